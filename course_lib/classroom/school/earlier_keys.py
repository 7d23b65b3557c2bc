"""The answer keys of before something was corrected: what was right then was honestly called right."""

import json
from collections.abc import Sequence
from functools import cached_property
from pathlib import Path

from course_lib.classroom.exercises.judge import judged
from course_lib.classroom.exercises.keys import Key
from course_lib.classroom.school.class_keys import LearnersKey
from course_lib.classroom.school.kept_lines import KeptLines

# The line of a key file that names its exercises; no code looks like it.
_NAMES = "exercises"


def key_file(folder: Path, rules: str) -> Path:
    """Where the key of these rules lies.

    Another name than in the first version of the record, whose keys held no units and judge nothing now.
    """
    return folder / f"keys-{rules}.tsv"


def name_exercises(key: KeptLines, names: Sequence[str]) -> None:
    """Put down in a key which exercises it is of, so that it can be read when others are set."""
    if _NAMES not in key:
        key.put(_NAMES, json.dumps(names).encode("ascii"))


class EarlierKeys:
    """All keys that lie beside the one of today. Nothing of them is read before it is asked for."""

    def __init__(self, today: Path) -> None:
        self._today = today
        self._opened: dict[Path, KeptLines] = {}

    def was_right(self, code: str, name: str, text: str) -> bool:
        """Whether an answer was right by one of them.

        Args:
            code: the learner's.
            name: of the exercise, as ``LESSON/NAME``.
            text: the answer.

        Returns:
            True if any earlier key calls it right.
        """
        return any(judged(text, key).is_right for path in self._paths for key in self._keys(path, code, name))

    def key(self, rules: str, code: str, name: str) -> Key | None:
        """What a key held for a learner and an exercise.

        Args:
            rules: the word of the key, as the ledger keeps it.
            code: the learner's.
            name: of the exercise, as ``LESSON/NAME``.

        Returns:
            The key; None if it held none, or is not there any more.
        """
        found = self._keys(key_file(self._today.parent, rules), code, name)
        return found[0] if found else None

    @cached_property
    def _paths(self) -> list[Path]:
        found = self._today.parent.glob(key_file(Path(), "*").name)
        return sorted(path for path in found if path != self._today)

    def _keys(self, path: Path, code: str, name: str) -> tuple[Key, ...]:
        if path not in self._opened:
            self._opened[path] = KeptLines(path)
        key = self._opened[path]
        named, line = key.get(_NAMES), key.get(code)
        if named is None or line is None or name not in (names := json.loads(named)):
            return ()
        return LearnersKey(line).keys(names.index(name))
