"""Reading a drawing back: where its lettering lies, and whether any of it covers another."""

from itertools import combinations

import numpy as np

from course_lib.screen.sheet import CAPITAL, POINT, Drawn, Sheet, text_width


def lettering_box(mark: Drawn) -> np.ndarray:
    """Corners of a line of lettering on the sheet, without what hangs under the base line."""
    text, size, bold, _, side, turned, _ = mark.looks
    wide, high = text_width(text, size, bold), CAPITAL * size * POINT
    left = -wide * {"left": 0.0, "center": 0.5, "right": 1.0}[side]
    turn = np.radians(turned)
    across, up = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    corners = [(left, 0), (left + wide, 0), (left + wide, high), (left, high)]
    return np.array([mark.points + across * x + up * y for x, y in corners])


def letterings(*sheets: Sheet) -> list[tuple[str, np.ndarray]]:
    return [
        (mark.looks[0], lettering_box(mark))
        for sheet in sheets
        for mark in sheet.marks()
        if mark.kind == "lettering" and mark.looks[0]
    ]


def crossing(*sheets: Sheet) -> list[tuple[str, str]]:
    """Letterings that lie over one another, by a tenth of a millimetre or more each way."""
    found = []
    for (one, a), (other, b) in combinations(letterings(*sheets), 2):
        shared = np.minimum(a.max(axis=0), b.max(axis=0)) - np.maximum(a.min(axis=0), b.min(axis=0))
        if (shared > 0.1).all():
            found.append((one, other))
    return found


def off_the_paper(*sheets: Sheet) -> list[str]:
    """Letterings that do not lie wholly on the paper."""
    return [
        text
        for text, box in letterings(*sheets)
        if (box < -0.01).any() or (box > np.array([sheets[0].width, sheets[0].height]) + 0.01).any()
    ]
