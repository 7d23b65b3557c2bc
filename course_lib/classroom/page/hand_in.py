"""Handing in: everything that was answered for one job, in one small file to send to the teacher.

The file is plain JSON (UTF-8). It holds the learner's code, from which their job can be made again, and the
tries as they were kept. Handing in again writes another file; nothing is ever taken back.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from course_lib.bench.filing import write_whole
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.page.record import Try, tries_in
from course_lib.classroom.pieces.job_in_hand import CannotGoOn
from course_lib.classroom.pieces.learner_code import read_code
from course_lib.classroom.pieces.own_folder import ANSWERS, kept_at
from course_lib.classroom.pieces.own_numbers import job_of, kept_piece
from course_lib.screen.pages import page_from
from course_lib.version import VERSION

WHAT = "lost earring course: hand-in"
FORMAT = 1
# Of so many tries at one exercise the first and the last ones are kept: nobody's file grows large.
MOST_TRIES_EACH = 40
# What is kept of a try; the lesson and the exercise say what it was for.
TRY_FIELDS = ("lesson", "exercise", "answer", "verdict", "slip", "seen", "time")
_RIGHT = (Found.RIGHT.value, Found.TOO_FINE.value)


@dataclass(frozen=True)
class HandedIn:
    """What was handed in, as a cell shows it; `path` is the file to send."""

    path: Path
    says: str

    def __repr__(self) -> str:
        return self.says


def hand_in(code: str, record: str | Path = ANSWERS) -> HandedIn:
    """Write the file to hand in: everything that was answered for the job of this code.

    Args:
        code: the learner's.
        record: the file that keeps the answers; the hand-in is written beside it.

    Returns:
        The file and what it holds. If nothing was answered since the last time, that is the last file.

    Raises:
        CannotGoOn: the code is none, nothing was answered for its job yet, or the file cannot be written.
    """
    try:
        return _handed_in(read_code(code), kept_at(record))
    except Refused as error:
        raise CannotGoOn(str(error)) from None


def _handed_in(code: str, record: Path) -> HandedIn:
    job = kept_piece(code, record.parent) or job_of(code)
    digest = job.digest
    tries = [one for one in _all_tries(record) if one.is_of(job.title, digest)]
    if not tries:
        raise Refused(
            f"Nothing is answered yet for the earring of {code}. Open a lesson with my_job({code!r}), "
            "answer, and hand in then."
        )
    kept, left_out = _not_too_many(tries)
    said = [{name: getattr(one, name) for name in TRY_FIELDS} for one in kept]
    files = sorted(record.parent.glob(f"hand-in-{code}-*.json"), key=_turn_of)
    before = files[-1] if files else None
    if before is not None and _read(before).get("tries") == said:
        return HandedIn(before, f"Nothing is new since {before.name}.\n{_what_it_holds(tries)}")
    now = datetime.now(UTC)
    whole = {
        "what": WHAT,
        "version": FORMAT,
        "course": VERSION,
        "code": code,
        "job": digest,
        "turn": _turn_of(before) + 1 if before else 1,
        "handed_in": now.isoformat(timespec="seconds"),
        "left_out": left_out,
    }
    path = _free_name(record.parent, f"hand-in-{code}-{now:%Y%m%d-%H%M%S}")
    write_whole(path, as_file(whole, said))
    where = (
        f"Written: {path.parent.name}/{path.name}\nSend this file to your teacher, in the way they asked for."
    )
    return HandedIn(path, f"{where}\n{_what_it_holds(tries)}")


def _all_tries(record: Path) -> list[Try]:
    """What stands in the record, and in those that were put aside to start over: nothing is taken back."""
    aside = sorted(record.parent.glob(f"{record.stem}-until-*{record.suffix}"))
    return [one for path in (*aside, record) for one in tries_in(path)]


def as_file(whole: dict[str, Any], tries: Iterable[dict[str, str]]) -> bytes:
    """The content of a hand-in, plain enough to be read by eye: a line a try.

    Args:
        whole: everything but the tries.
        tries: with the names of `TRY_FIELDS`.
    """
    head = json.dumps(whole, ensure_ascii=False, indent=1)[:-2]
    lines = ",\n".join(json.dumps(one, ensure_ascii=False) for one in tries)
    # half a sign of an alphabet, which only a program can type, is no UTF-8
    return f'{head},\n "tries": [\n{lines}\n]}}\n'.encode("utf-8", "replace")


def _not_too_many(tries: Sequence[Try]) -> tuple[list[Try], int]:
    """The first and the last tries at each exercise, and the first right one; and how many are left out."""
    by_exercise: dict[tuple[str, str], list[int]] = {}
    for at, one in enumerate(tries):
        by_exercise.setdefault((one.lesson, one.exercise), []).append(at)
    keep: set[int] = set()
    half = MOST_TRIES_EACH // 2
    for places in by_exercise.values():
        right = [at for at in places if tries[at].verdict in _RIGHT]
        keep |= {*places[:half], *places[-half:], *right[:1]}
    return [tries[at] for at in sorted(keep)], len(tries) - len(keep)


def _read(path: Path) -> dict[str, Any]:
    """An earlier hand-in; nothing if it cannot be read any more."""
    try:
        said = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return {}
    return said if isinstance(said, dict) else {}


def _turn_of(path: Path) -> int:
    """Which one it was: the clock may have been put back, so that its time does not tell."""
    turn = _read(path).get("turn")
    return turn if isinstance(turn, int) else 0


def _free_name(folder: Path, name: str) -> Path:
    """A name that no file has yet, even if the clock was put back."""
    at, path = 1, folder / f"{name}.json"
    while path.exists():
        at += 1
        path = folder / f"{name}-{at}.json"
    return path


def _what_it_holds(tries: Sequence[Try]) -> str:
    """How much of each lesson was answered, and how much of it right."""
    answered: dict[str, set[str]] = {}
    right: dict[str, set[str]] = {}
    for one in tries:
        answered.setdefault(one.lesson, set()).add(one.exercise)
        if one.verdict in _RIGHT:
            right.setdefault(one.lesson, set()).add(one.exercise)
    lines = [
        f"  lesson {lesson}: {len(names)} answered, {len(right.get(lesson, ()))} of them right"
        for lesson, names in sorted(answered.items())
    ]
    return "\n".join(["It holds:", *lines])


def hand_in_box(code: str = "", record: str | Path = ANSWERS) -> Any:
    """A field for the code and a button that hands in, for a notebook.

    Args:
        code: stands in the field at first.
        record: as for `hand_in`.

    Returns:
        The widgets.
    """
    import ipywidgets as widgets

    entry = widgets.Text(value=code, description="Your code", placeholder="for example LO47-MI82-L")
    give = widgets.Button(description="Hand in", button_style="primary")
    told = widgets.HTML()

    def pressed(_: object) -> None:
        try:
            told.value = page_from("told.html", role="status", text=hand_in(entry.value, record).says)
        except CannotGoOn as error:
            told.value = page_from("told.html", role="alert", text=str(error))

    give.on_click(pressed)
    return widgets.VBox([widgets.HBox([entry, give], layout=widgets.Layout(flex_flow="row wrap")), told])
