"""A course for the bench: plan the making of one lost earring of a pair.

Three rooms, one direction: ``classroom`` may use ``screen`` and ``bench``, ``screen`` may use
``bench``, and ``bench`` uses neither. This front door needs only the standard library, so that
the course can set itself up before anything is installed.
"""

__version__ = "0.2.0"

# Who writes a bench card of which kind, by file ending. The bench computes a plan and looks here by
# name, so it never has to know the room that draws.
CARD_WRITERS = {
    ".csv": "course_lib.bench.cut_list:write_cut_list",
    ".pdf": "course_lib.screen.card:write_card",
}
