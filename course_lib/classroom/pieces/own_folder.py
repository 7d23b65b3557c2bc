"""Where a learner's own files lie: beside the notebooks, or in the folder that COURSE_ANSWERS names."""

import os
from pathlib import Path

ANSWERS = Path("my-answers") / "answers.jsonl"
# Where a room of learners shares the lessons, this names a folder of each one's own, such as ~/my-answers.
_ELSEWHERE = "COURSE_ANSWERS"


def kept_at(record: str | Path = ANSWERS) -> Path:
    """Where a record is kept: beside the notebooks, or in the folder that COURSE_ANSWERS names.

    >>> kept_at("somewhere/else.jsonl").name
    'else.jsonl'
    """
    if Path(record) == ANSWERS and os.environ.get(_ELSEWHERE):
        return own_file(ANSWERS.name)
    # the whole path now, for a notebook may change its folder later
    return Path(record).absolute()


def own_file(name: str | Path) -> Path:
    """Where a file goes that a learner makes: beside the notebooks, or to the answers if they are elsewhere.

    Args:
        name: of the file. One that says its folder stays there.

    Returns:
        The whole path; a folder for the answers is made if it is not there.

    >>> own_file("/tmp/my-earring.csv").as_posix()
    '/tmp/my-earring.csv'
    """
    folder = os.environ.get(_ELSEWHERE)
    if not folder or Path(name).name != str(name):
        return Path(name).absolute()
    own = Path(folder).expanduser()
    own.mkdir(parents=True, exist_ok=True)
    return own / name
