"""Head and table of words of a lesson's page, from its words file and data/glossary.csv."""

from course_lib.bench.refusals import Refused
from course_lib.bench.tables import TableRow, find
from course_lib.classroom.exercises.exercise import Lesson

WORDS = "**Words of this lesson**"


class _Earlier(tuple[str, ...]):
    """Lessons to have done before: ``{earlier}`` sets commas between them, ``{earlier: and }`` the word."""

    def __format__(self, between: str) -> str:
        return (between or ", ").join(f"lesson {number}" for number in self)


def head_of(lesson: Lesson) -> str:
    """The top of a lesson's page: title, what it is about, what can be done after it, what is needed.

    Args:
        lesson: as its words file has it.

    Returns:
        The text of the cell.

    >>> from course_lib.classroom.exercises.course import find_lesson
    >>> print(head_of(find_lesson("13")).splitlines()[-1])
    **You need** about 40 minutes, lesson 02, lesson 11, and a pocket calculator.
    """
    can = "\n".join(f"- {objective}" for objective in lesson.objectives.values())
    need = lesson.need.format(minutes=lesson.minutes, earlier=_Earlier(lesson.earlier))
    parts = [f"# {lesson.number} · {lesson.title}", lesson.intro, "**After this lesson you can**", can]
    return "\n\n".join(filter(None, [*parts, f"**You need** {need}"]))


def words_of(lesson: Lesson) -> str:
    """The table of a lesson's words, each with its meaning and what else it is called.

    Args:
        lesson: as its words file has it.

    Returns:
        The table, under its line.

    Raises:
        Refused: a word has no row of its own in data/glossary.csv.

    >>> from course_lib.classroom.exercises.course import find_lesson
    >>> print(words_of(find_lesson("08")).splitlines()[4])
    | claw | a wire that holds the stone | prong |
    """
    rows = [_row_of(word, lesson) for word in lesson.words]
    lines = [f"| {row['word']} | {row['means']} | {row['also_said'].replace('; ', ', ')} |" for row in rows]
    return "\n".join([WORDS, "", "| word | means | also said |", "|---|---|---|", *lines])


def _row_of(word: str, lesson: Lesson) -> TableRow:
    """The row of a word under its own name: another name would put another word on the page."""
    row = find("glossary", "word", word, f"a word of the glossary, and lesson {lesson.number} explains it")
    if row["word"] != word:
        raise Refused(
            f"Lesson {lesson.number} explains {word!r}, which data/glossary.csv has as {row['word']!r}. "
            "Write it so in the words of the lesson."
        )
    return row
