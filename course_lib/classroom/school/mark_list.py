"""The mark list: a row a learner, for any spreadsheet or school system, and a list of what was not marked."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import chain
from pathlib import Path
from typing import Any

from course_lib.bench.filing import write_parts
from course_lib.bench.for_spreadsheets import as_csv
from course_lib.classroom.school.class_figures import needs_help
from course_lib.classroom.school.marking import Marks
from course_lib.classroom.school.work_record import Given

_HEADS = (
    "number", "name", "code", "points", "of", "per cent", "handed in", "late", "files", "tries", "minutes",
    "right at once", "working opened first", "needs help", "look at",
)  # fmt: skip
# The mark by which a spreadsheet knows that a file is UTF-8.
_IS_UTF_8 = "\ufeff".encode()
_SHOWN: dict[str, int | None] = {"R": 1, "r": 1, "x": 0, ".": None, "-": None}


def write_mark_list(marks: Marks, path: Path, separator: str = ",") -> Path:
    """Write the mark list as CSV.

    Args:
        marks: from `mark`.
        path: where to.
        separator: between the columns; some spreadsheets want a semicolon.

    Returns:
        The path.

    Raises:
        Refused: it cannot be written, for example because a spreadsheet has it open.
    """
    rows = (as_csv([row], separator).encode("utf-8") for row in _rows(marks))
    return write_parts(path, chain([_IS_UTF_8], rows))


def _rows(marks: Marks) -> Iterator[Sequence[Any]]:
    yield [*_HEADS, *marks.names]
    for given in marks.work.learners:
        yield _row(marks, given)


def _row(marks: Marks, given: Given) -> Sequence[Any]:
    who = (given.number, given.name, given.code)
    judged = marks.judged_of(given.code)
    if judged is None:
        return [*who, *_without_a_file(marks, given), *([None] * len(marks.names))]
    counted, mark = marks.counted[given.code], marks.mark_of(given.code)
    done: list[Any] = [_SHOWN[sign] for sign in judged.stands]
    for at in marks.own_word:
        done[at] = "done" if judged.stands[at] in "Rr" else ""
    return [
        *who, mark.points, mark.of, round(100 * mark.points / mark.of) if mark.of else None,
        here_and_then(judged.handed_in), "late" if mark.late else "", counted.files, sum(judged.tries),
        judged.minutes, judged.stands.count("R"), len(judged.after_working),
        "; ".join(needs_help(judged, mark)),
        "; ".join(dict.fromkeys([*judged.remarks, *counted.remarks])), *done,
    ]  # fmt: skip


def _without_a_file(marks: Marks, given: Given) -> Sequence[Any]:
    """Nothing was handed in; or it was once, and a mark that was given stands."""
    last = marks.ledger.last(given.code)
    if last is None:
        came = marks.unusable_of(given.code)
        needs = "a file came, and cannot be marked" if came else "nothing handed in"
        said = "; ".join(f"{one.path}: {one.why}" for one in came)
        return [None, None, None, "", "", 0, None, None, None, None, needs, said]
    mark = last.mark
    share = round(100 * mark.points / mark.of) if mark.of else None
    said = f"the file that was marked on {last.when[:10]} is not there any more; the mark stands"
    late = "late" if mark.late else ""
    return [mark.points, mark.of, share, "", late, 0, None, None, None, None, "", said]


def here_and_then(moment: str) -> str:
    """A moment as it is told where the teacher is."""
    return datetime.fromisoformat(moment).astimezone().strftime("%Y-%m-%d %H:%M") if moment else ""


def write_not_marked(marks: Marks, path: Path, separator: str = ",") -> Path:
    """Write the list of files that were not marked, each with its reason and whose it may be."""
    whose = {given.code: given for given in marks.work.learners}
    rows: list[Sequence[Any]] = [("file", "number", "name", "why it was not marked")]
    for one in marks.not_marked:
        given = whose.get(one.named_after)
        rows.append((one.path, given.number if given else "", given.name if given else "", one.why))
    return write_parts(path, [_IS_UTF_8, as_csv(rows, separator).encode("utf-8")])
