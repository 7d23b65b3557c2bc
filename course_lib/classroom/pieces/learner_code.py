"""A learner's code: short, easy to type and to read aloud, with a check letter.

A code looks like ``LO47-MI82-L``. Letters and digits take turns, so no word can come out of it, and where a
digit must stand an O is read as 0. The first vowel says how difficult the job is; the last letter checks
the rest, so that one mistyped sign, or two that changed places, are noticed.
"""

import hashlib
import re
import unicodedata
from collections.abc import Iterator, Sequence

from course_lib.bench.refusals import Refused

CONSONANTS, VOWELS, DIGITS = "BDFGKLMNPRSTVZ", "AEIOU", "0123456789"
# What may stand at each place before the check letter.
_PLACES = (CONSONANTS, VOWELS, DIGITS, DIGITS) * 2
# Twenty-nine signs: a prime number of them, so that the check finds every single slip.
_SIGNS = CONSONANTS + VOWELS + DIGITS
_LENGTH = len(_PLACES) + 1
# Signs that are taken for each other, by what must stand there.
_AS_DIGIT = str.maketrans("OQDILZSBG", "000112586")
_AS_LETTER = str.maketrans("0152", "OISZ")

DIFFICULTIES = {"A": "first", "O": "usual", "U": "hard"}
_LOOKS_LIKE_ONE = re.compile(r"[A-Z]{2}\d\d-[A-Z]{2}\d\d-[A-Z]")
_EXAMPLE = "LO47-MI82-L"


def read_code(text: object) -> str:
    """A code as it was typed, in the form that it is kept.

    Args:
        text: what the learner typed; small letters, spaces and look-alikes are understood.

    Returns:
        The code, such as ``LO47-MI82-L``.

    Raises:
        Refused: it is no code, or a sign of it is mistyped.

    >>> good = code_from("usual", "an example")
    >>> read_code(good.lower().replace("-", " ")) == good
    True
    """
    if not isinstance(text, str):
        raise Refused(f"A code is written in quotes, for example {_EXAMPLE!r}.")
    tidy = [sign for sign in unicodedata.normalize("NFKC", text[:60]).upper() if sign.isalnum()]
    if len(tidy) != _LENGTH:
        raise Refused(
            f"The code {_short(text)} has {len(tidy)} letters and digits; a code has {_LENGTH}, for example "
            f"{_EXAMPLE}. Look at your ticket again."
        )
    signs = "".join(_read_as(sign, wanted) for sign, wanted in zip(tidy, (*_PLACES, CONSONANTS), strict=True))
    for at, (sign, wanted) in enumerate(zip(signs, (*_PLACES, CONSONANTS), strict=True), 1):
        if sign not in wanted:
            kind = "digit" if wanted == DIGITS else "vowel" if wanted == VOWELS else "consonant"
            raise Refused(
                f"The code {_short(text)} has {tidy[at - 1]!r} as sign number {at}, where a {kind} must "
                "stand. Look at your ticket again."
            )
    if signs[-1] != _check_letter(signs[:-1]) or signs[1] not in DIFFICULTIES:
        raise Refused(
            f"The code {_short(text)} does not agree with its last letter, so one sign of it is mistyped. "
            "Look at your ticket again."
        )
    if changed := _changed_places(tidy, signs):
        raise Refused(
            f"In the code {_short(text)} the signs {changed} may have changed places. Look at your ticket "
            "again."
        )
    return _written(signs)


def _changed_places(typed: Sequence[str], signs: str) -> str:
    """Two neighbours that are look-alikes where they stand, and fit as they are the other way round.

    Read as look-alikes they can make another learner's code: ``7D 5E`` is not ``70 SE`` but ``75 DE``.
    """
    places = (*_PLACES, CONSONANTS)
    for at in range(len(signs) - 1):
        one, other = typed[at : at + 2]
        fits = other in places[at] and one in places[at + 1]
        looks_alike = one != signs[at] and other != signs[at + 1]
        if fits and looks_alike and signs[at : at + 2] != other + one:
            return f"{one} and {other}"
    return ""


def code_in(text: str) -> str | None:
    """The first code that stands in a text, for example in the name of a file.

    >>> code_in("hand-in-LO47-MI82-L-20270114.json")
    'LO47-MI82-L'
    """
    for found in _LOOKS_LIKE_ONE.finditer(text):
        try:
            return read_code(found[0])
        except Refused:
            continue
    return None


def code_from(difficulty: str, words: str) -> str:
    """A code that follows from some words, always the same from the same.

    Args:
        difficulty: one of `DIFFICULTIES`.
        words: any text, for example a seed, a learner's number and how many codes were passed over.

    Returns:
        The code.

    Raises:
        Refused: there is no such difficulty.

    >>> read_code(code_from("first", "seven")) == code_from("first", "seven")
    True
    """
    vowels = {name: vowel for vowel, name in DIFFICULTIES.items()}
    if difficulty not in vowels:
        raise Refused(f"There is no difficulty {difficulty!r}. Write one of: {', '.join(vowels)}.")
    for numbers in _number_rows(words):
        signs = [place[number % len(place)] for place, number in zip(_PLACES, numbers, strict=True)]
        signs[1] = vowels[difficulty]
        # only a consonant is easy to read aloud as a last letter; other codes are not given out
        if (check := _check_letter("".join(signs))) in CONSONANTS:
            return _written("".join(signs) + check)
    raise AssertionError("about one in two is a code")


def difficulty_of(code: str) -> str:
    """How difficult the job of a code is.

    >>> difficulty_of(code_from("hard", "x"))
    'hard'
    """
    return DIFFICULTIES[read_code(code)[1]]


def _number_rows(words: str) -> Iterator[tuple[int, ...]]:
    """Rows of evenly spread numbers that follow from some words, without end."""
    at = 0
    while True:
        spread = hashlib.sha256(f"code {at} {words}".encode("utf-8", "surrogatepass")).digest()
        yield tuple(int.from_bytes(spread[4 * i : 4 * i + 4], "big") for i in range(len(_PLACES)))
        at += 1


def _read_as(sign: str, wanted: str) -> str:
    if sign in wanted:
        return sign
    return sign.translate(_AS_DIGIT if wanted == DIGITS else _AS_LETTER)


def _check_letter(signs: str) -> str:
    """The sign that makes the weighted sum of all places nothing, counted round 29 signs."""
    total = sum((at + 2) * _SIGNS.index(sign) for at, sign in enumerate(signs))
    return _SIGNS[-total % len(_SIGNS)]


def _written(signs: str) -> str:
    return f"{signs[:4]}-{signs[4:8]}-{signs[8:]}"


def _short(text: str) -> str:
    return repr(text if len(text) <= 20 else text[:20] + "...")
