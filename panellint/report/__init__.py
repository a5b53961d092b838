"""Reports of one food or several, for owners and for people who are no specialists.

`owner.py` tells a food in plain words, for the sheet, the range and the slides; `reading.py` is the
long reading. `page.py` makes one self-contained HTML file of a report, `paper.py` prints it.
"""
