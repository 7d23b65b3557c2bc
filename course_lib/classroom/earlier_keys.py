"""The answer keys of before something was corrected: what was right then was honestly called right."""

import json
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path

from course_lib.classroom.answer_key import RIGHT, Entry, Judge
from course_lib.classroom.judge_sent import LearnersKey
from course_lib.classroom.kept_lines import KeptLines

# The line of a key file that names its exercises; no code looks like it.
_NAMES = "exercises"


def key_file(folder: Path, rules: str) -> Path:
    """Where the key of these rules lies."""
    return folder / f"answer-key-{rules}.tsv"


def name_exercises(key: KeptLines, names: Sequence[str]) -> None:
    """Put down in a key which exercises it is of, so that it can be read when others are set."""
    if _NAMES not in key:
        key.put(_NAMES, json.dumps(names).encode("ascii"))


class EarlierKeys:
    """All keys that lie beside the one of today. Nothing of them is read before it is asked for."""

    def __init__(self, today: Path) -> None:
        self._today = today
        self._opened: dict[Path, KeptLines] = {}

    def was_right(self, code: str, name: str, text: str, judge: Judge) -> bool:
        """Whether an answer was right by one of them.

        Args:
            code: the learner's.
            name: of the exercise, as ``LESSON/NAME``.
            text: the answer.
            judge: of the exercise.
        """
        return any(
            judge.quickly(text, entry) == RIGHT
            for path in self._paths
            if (entry := self._entry(path, code, name)) is not None
        )

    def entry(self, rules: str, code: str, name: str) -> Entry | None:
        """What a key held for a learner and an exercise; None if it did not, or is not there any more."""
        return self._entry(key_file(self._today.parent, rules), code, name)

    @cached_property
    def _paths(self) -> list[Path]:
        found = self._today.parent.glob(key_file(Path(), "*").name)
        return sorted(path for path in found if path != self._today)

    def _entry(self, path: Path, code: str, name: str) -> Entry | None:
        if path not in self._opened:
            self._opened[path] = KeptLines(path)
        key = self._opened[path]
        named, line = key.get(_NAMES), key.get(code)
        if named is None or line is None or name not in (names := json.loads(named)):
            return None
        return LearnersKey(line).entry(names.index(name))
