"""A reading: one food, or several, explained from the label to people who are no specialists.

`reading.py` gathers plain data from everything else; `page.py` makes one self-contained HTML
file of it, `markdown.py` and `text.py` the same content for notes and terminals.
"""
