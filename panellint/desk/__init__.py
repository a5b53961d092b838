"""A page on this machine to paste a label and work at it, for who has no terminal or editor.

`guard.py` lets in this one browser and nothing else, `folder.py` keeps the labels, `answers.py`
makes what stands beside them, `app.py` is the page, `serving.py` runs it.
"""
