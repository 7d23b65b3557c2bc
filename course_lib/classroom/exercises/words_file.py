"""A words file: a lesson's sentences in TOML, checked where it stands; every refusal names file and line."""

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from pathlib import Path
from string import Formatter
from typing import Any

from course_lib.bench.refusals import Refused

BASES = ("standard", "handbook", "library", "common practice", "from memory", "invented")

_ON_THE_PAGE = {"title", "intro", "minutes", "earlier", "need", "words", "objectives"}
_OF_A_LESSON = {*_ON_THE_PAGE, "stage", "phrases", "exercise", "job"}
_SENTENCES = ("title", "task", "clue", "working", "well_done", "source")
_OF_ALL = {"kind", *_SENTENCES, "basis", "objective", "slips", "ways", "phrases", "right", "sums"}
_OF_A_KIND: Mapping[str, set[str]] = {
    "size": {"unit", "fine", "sample"},
    "figure": {"unit", "fine", "sample", "figure"},
    "number": {"unit", "fine", "sample", "counted"},
    "choice": {"choices"},
    "symptom": {"choices"},
    "order": {"items", "first"},
    "table": {"columns", "rows", "counted"},
    "open": {"points"},
}
_OF_A_WAY = {*_SENTENCES, "slips", "phrases", "choices", "items", "rows"}
_MUST = ("title", "task", "clue", "working", "basis")
_HOLE = re.compile(r"[a-z][a-z0-9_]*")


class WordsFile:
    """A words file as it was read, which knows in which line its tables and sentences stand.

    Raises:
        Refused: it cannot be read; the message says in which line, and why.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            self.text = path.read_text(encoding="utf-8-sig")
            self.all: dict[str, Any] = tomllib.loads(self.text)
        except OSError as error:
            raise Refused(f"{path} cannot be read: {error.strerror}.") from None
        except UnicodeDecodeError:
            raise Refused(f"{path.name} is not plain text in UTF-8. Save it as UTF-8.") from None
        except tomllib.TOMLDecodeError as error:
            raise Refused(f"{path.name} cannot be read: {error}.") from None

    def refused(self, said: str, *place: str) -> Refused:
        """A refusal that names the file and the line of a table or a sentence in it."""
        end = "" if said.endswith((".", "?")) else "."
        return Refused(f"{self.path.name}, line {self.line(*place)}: {said}{end}")

    def line(self, *place: str) -> int:
        """The line of a table's head or of a sentence in it; that of what holds it where it has none."""
        lines = self.text.splitlines()
        for length in range(len(place), 0, -1):
            head = re.compile(rf"\s*\[{_dotted(place[:length])}[\].]")
            at = next((number for number, line in enumerate(lines, 1) if head.match(line)), 0)
            if at:
                return self._below(lines, at, place[length:])
        return self._below(lines, 0, place[-1:])

    @staticmethod
    def _below(lines: Sequence[str], at: int, keys: Sequence[str]) -> int:
        for key in [keys, *([each] for each in keys)]:
            named = re.compile(rf"\s*{_dotted(key)}\s*=")
            below = enumerate(lines[at:], at + 1)
            found = next((number for number, line in below if key and named.match(line)), 0)
            if found:
                return found
        return at or 1


def _dotted(keys: Sequence[str]) -> str:
    """A pattern for the dotted name of a table, each part with or without quotes."""
    return r"\s*\.\s*".join(f"[\"']?{re.escape(key)}[\"']?" for key in keys)


def check_words(file: WordsFile) -> None:
    """Refuse what can be seen without a piece: words that no lesson has, and sentences that are missing.

    Raises:
        Refused: the first fault; the message names file and line.
    """
    for key in file.all:
        if key not in _OF_A_LESSON:
            raise file.refused(f"{key!r} is nothing that a lesson has{_or(key, _OF_A_LESSON)}", key)
    for key in ("title", "exercise"):
        if not file.all.get(key):
            raise file.refused(f"{key} is missing", key)
    for said in _faults_of_holes(file.all.get("need", ""), "minutes", "earlier"):
        raise file.refused(said, "need")
    for name, table in file.all["exercise"].items():
        for said, *place in _faults_of_table(table, file.all.get("objectives")):
            raise file.refused(f"{name}: {said}", "exercise", name, *place)


def _faults_of_table(table: Mapping[str, Any], objectives: Mapping[str, str] | None) -> Iterator[list[str]]:
    kind = table.get("kind", "")
    if kind not in _OF_A_KIND:
        yield [f"its kind {kind!r} is none of {', '.join(_OF_A_KIND)}", "kind"]
        return
    for key in table:
        if key not in _OF_ALL | _OF_A_KIND[kind]:
            yield [f"{key!r} is nothing that a {kind} has{_or(key, _OF_ALL | _OF_A_KIND[kind])}", key]
    ways = table.get("ways", {})
    for key in _MUST:
        in_ways = ways and all(way.get(key) for way in ways.values())
        if not table.get(key) and not in_ways:
            yield [f"{key} is missing", key]
    if table.get("basis") not in BASES:
        yield [f"its basis {table.get('basis')!r} is none of {', '.join(BASES)}", "basis"]
    elif not table.get("source") and table["basis"] in ("standard", "handbook", "library"):
        yield [f"its basis is {table['basis']} but no source is named", "basis"]
    if objectives is not None and table.get("objective") not in objectives:
        yield [f"its objective {table.get('objective')!r} is none of the lesson's", "objective"]
    for at, words in [((), table), *((("ways", way), said) for way, said in ways.items())]:
        yield from _faults_of_words(at, words)


def _faults_of_words(at: tuple[str, ...], words: Mapping[str, Any]) -> Iterator[list[str]]:
    """Sentences that are empty, no text, or hold a hole that is none; and what a way cannot have."""
    for key, value in words.items():
        if at and key not in _OF_A_WAY:
            yield [f"{key!r} is nothing that a way to ask has{_or(key, _OF_A_WAY)}", *at, key]
        texts = value if isinstance(value, Mapping) else {"": value}
        if key not in {*_SENTENCES, "slips", "phrases", "choices", "items", "rows"}:
            continue
        for name, text in texts.items():
            place = [*at, key, name] if name else [*at, key]
            if key == "slips" and isinstance(text, Mapping) and not at:
                if set(text) != {"says", "gives"}:
                    yield [f"the slip {name!r} needs gives and says, and no more", *place]
                    continue
                text = text["says"]
            if not isinstance(text, str):
                yield [f"{name or key} is no text", *place]
                continue
            if key == "slips" and not text.strip():
                yield [f"the slip {name!r} says nothing", *place]
            for fault in _faults_of_holes(text):
                yield [fault, *place]


def _faults_of_holes(text: str, *known: str) -> Iterator[str]:
    """Braces that do not fit together, holes that are none, and those that are none of the known."""
    try:
        holes = [hole for _, hole, _, _ in Formatter().parse(text) if hole is not None]
    except ValueError as error:
        yield f"its braces do not fit together ({error}); write {{{{ for a brace"
        return
    for hole in holes:
        if not _HOLE.fullmatch(hole):
            yield f"{{{hole}}} is no hole: small letters, digits and _ only"
        elif known and hole not in known:
            yield f"{{{hole}}} is no hole here: write {' or '.join(f'{{{name}}}' for name in known)}"


def _or(key: str, known: set[str]) -> str:
    near = get_close_matches(key, known, n=1)
    return f": did you mean {near[0]!r}?" if near else f". It has {', '.join(sorted(known))}."
