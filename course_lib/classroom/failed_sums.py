"""What went wrong in a sum that somebody else wrote, in a sentence, with the line where it stands."""

import traceback
from pathlib import Path

_THE_COURSE = Path(__file__).resolve().parent.parent


def said_of(error: BaseException) -> str:
    """An error and its place: the last line that is not the course's own.

    >>> said_of(ValueError("no such size"))
    'ValueError: no such size'
    """
    if isinstance(error, SyntaxError):
        return _in_words(error, error.msg, error.filename or "", error.lineno)
    steps = traceback.extract_tb(error.__traceback__)
    theirs = [step for step in steps if _is_elsewhere(step.filename)] or list(steps)
    # a missing name tells nothing but the name
    what = f"there is no {error}" if isinstance(error, KeyError) else f"{error}"
    return (
        _in_words(error, what, theirs[-1].filename, theirs[-1].lineno) if theirs else _in_words(error, what)
    )


def _in_words(error: BaseException, what: str, file: str = "", line: int | None = None) -> str:
    place = f" in {Path(file).name}, line {line}" if file and line else ""
    return f"{type(error).__name__}{place}: {what}"


def _is_elsewhere(filename: str) -> bool:
    """Whether a line of a file is neither of the course nor of a library."""
    path = Path(filename)
    return (
        not path.is_relative_to(_THE_COURSE)
        and not {"site-packages", "importlib"} & set(path.parts)
        and (not filename.startswith("<"))
    )
