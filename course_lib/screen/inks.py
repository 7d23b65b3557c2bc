"""The inks: every colour of the drawings, of the pages and of what stands beside an exercise.

`SIGNAL` and `RIGHT` are seen on white paper (4.5 to 1 and more) and as an edge on a dark screen (3 to 1).
"""

INK, GREY, PALE, PAPER = "#000000", "#6b6b6b", "#e6e6e6", "#ffffff"
# Small print of a page.
NOTE = "#444444"
# The one colour that says wrong: always with a word, a hatch or a thicker line, for not everybody sees it.
SIGNAL = "#ab4000"
RIGHT = "#007064"
# Lines between the rows of a table, and the frame around what the keyboard is at.
RULE, FOCUS = "#bbbbbb", "#1a5fb4"
