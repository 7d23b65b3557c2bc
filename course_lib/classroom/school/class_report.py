"""The report on a class: one page that needs nothing else, pictures first, each also said in words."""

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from itertools import islice

from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.school.alike import Alike
from course_lib.classroom.school.class_figures import MOST_NAMED, ClassFigures, ExerciseFigures
from course_lib.classroom.school.mark_ledger import Change
from course_lib.classroom.school.marking import Marks
from course_lib.classroom.school.tickets import said_date
from course_lib.screen import class_pictures as pictures
from course_lib.screen.pages import page_file
from course_lib.screen.sheet import Sheet
from course_lib.screen.svg import as_svg

_MOST_SLIPS = 12
_MOST_CHANGES = 40
_SENTENCES = 5
# The board has room for so many exercises; of more it shows one lesson after the other.
_MOST_ACROSS = 28


def report_page(marks: Marks, figures: ClassFigures) -> bytes:
    """The report.

    Args:
        marks: from `mark`.
        figures: from `class_figures`.

    Returns:
        The content of an HTML file.
    """
    not_marked, names = marks.not_marked[:MOST_NAMED], _names(marks)
    need_help = [
        (each.name, "; ".join(each.needs), f"{each.minutes} min") for each in figures.named if each.needs
    ]
    return page_file(
        "report.html",
        title=marks.work.title,
        course=marks.course_in_words(),
        count=sum(not each.own_word for each in figures.exercises),
        due=said_date(marks.work),
        made=datetime.now().astimezone().strftime("%Y-%m-%d %H:%M"),
        handed_in=_handed_in(figures),
        usual_minutes=figures.usual_minutes,
        # a teacher must not learn from a learner that this marking has changed a mark
        moved=marks.moved_in_words(),
        commonest=_commonest(figures)[:_SENTENCES],
        worst=_least_understood(figures),
        points=_drawn(pictures.points_spread(figures.tenths)),
        slips=_drawn(pictures.slips_made(list(_slip_bars(figures)))),
        boards=list(_boards(marks, figures)),
        need_help=need_help,
        more_need_help=figures.need_help - len(need_help),
        alike=_alike(figures, names),
        to_look_at=_to_look_at(figures),
        lessons=list(_by_lesson(marks, figures)),
        not_marked=[(one.path, names.get(one.named_after, ""), one.why) for one in not_marked],
        more_not_marked=len(marks.not_marked) - len(not_marked),
        changes=_changes(marks.ledger.changes()),
    )


def _names(marks: Marks) -> dict[str, str]:
    return {given.code: marks.work.called(given) for given in marks.work.learners}


def _handed_in(figures: ClassFigures) -> str:
    missing = figures.learners - figures.handed_in - figures.no_more
    said = [f"{figures.handed_in} of {figures.learners} learners have handed in"]
    if figures.late:
        said.append(f"{figures.late} of them late")
    if missing:
        said.append(f"{missing} not: {_and_others(figures.missing, missing)}")
    if figures.unusable:
        said.append(
            "of these a file came that cannot be marked: "
            f"{_and_others(figures.unusable, len(figures.unusable))}"
        )
    if figures.no_more:
        gone = _and_others(figures.gone, figures.no_more)
        said.append(f"{figures.no_more} did before, but their file is not there any more: {gone}")
    return "; ".join(said)


def _and_others(names: Sequence[str], count: int) -> str:
    """The first of these names; `count` is how many there are."""
    return f"{', '.join(names[:12])}{' and others' if count > min(12, len(names)) else ''}"


def _least_understood(figures: ClassFigures) -> ExerciseFigures | None:
    """The exercise that the smallest share of those who tried have right; none if all have all right."""
    tried = [each for each in figures.exercises if each.answered and not each.own_word]
    worst = min(tried, key=lambda each: (each.at_once + each.later) / each.answered, default=None)
    return worst if worst and worst.not_right else None


def _commonest(figures: ClassFigures) -> list[tuple[int, ExerciseFigures, str]]:
    """The slips that most learners made: by how many, in which exercise, and which."""
    made = [
        (count, each, slip)
        for each in figures.exercises
        for slip, count in each.slips.items()
        if not each.own_word
    ]
    return sorted(made, key=lambda one: (-one[0], one[1].name, one[2]))[:_MOST_SLIPS]


def _slip_bars(figures: ClassFigures) -> Iterator[pictures.SlipBar]:
    for count, each, slip in _commonest(figures):
        yield pictures.SlipBar(slip, f"{each.name}: {each.title}", count, each.answered)


def _drawn(drawn: tuple[Sheet, str]) -> str:
    return as_svg(*drawn)


def _boards(marks: Marks, figures: ClassFigures) -> Iterator[tuple[str, list[tuple[str, list[str]]]]]:
    """The board, or one for each lesson; each with what stands in its columns."""
    if figures.learners > MOST_NAMED or not figures.named:
        return
    groups = _lessons_of(marks)
    groups_shown = [groups] if len(marks.asked) <= _MOST_ACROSS else [[group] for group in groups]
    start = 0
    for shown in groups_shown:
        count = sum(size for _, size in shown)
        rows = [
            pictures.Row(
                each.name,
                each.stands[start : start + count],
                each.points,
                each.of,
                bool(each.needs or each.remarks),
            )
            for each in figures.named
        ]
        titles = iter([each.title for each in figures.exercises[start : start + count]])
        columns = [(lesson, list(islice(titles, size))) for lesson, size in shown]
        yield _drawn(pictures.board(rows, shown)), columns
        start += count


def _lessons_of(marks: Marks) -> list[tuple[str, int]]:
    """The lessons in order, each with how many of its exercises are set."""
    counts: dict[str, int] = {}
    for lesson, _ in marks.asked:
        counts[lesson] = counts.get(lesson, 0) + 1
    return [(lesson, count) for lesson, count in counts.items()]


def _by_lesson(marks: Marks, figures: ClassFigures) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Of each lesson its picture, and the slips that were made in it."""
    start = 0
    for lesson, count in _lessons_of(marks):
        each = figures.exercises[start : start + count]
        start += count
        bars = [
            pictures.ExerciseBar(
                one.title,
                (one.at_once, one.later, one.not_right, one.nothing),
                one.tries / max(one.answered, 1),
            )
            for one in each
        ]
        yield _drawn(pictures.by_exercise(_lesson_title(marks, lesson), bars)), _slip_rows(each)


def _lesson_title(marks: Marks, lesson: str) -> str:
    if any(path.stem == lesson for path in marks.work.own_paths()):
        return lesson
    return f"{lesson} {find_lesson(lesson).title}"


def _slip_rows(exercises: Sequence[ExerciseFigures]) -> list[tuple[str, str]]:
    rows = []
    for each in exercises:
        slips = [f"{count} {slip}" for slip, count in each.slips.most_common(6)]
        if each.after_working:
            slips.append(f"{each.after_working} opened the working first")
        if slips:
            rows.append((each.title, "; ".join(slips)))
    return rows


def _alike(figures: ClassFigures, names: dict[str, str]) -> list[str]:
    said = [
        f"{' and '.join(names[code] for code in codes[:8])} handed in the very same answers."
        for codes in figures.the_same_file
    ]
    said += [
        f"{names[pair.one]} and {names[pair.other]}: {pair.same} of {pair.of} numbers are the same, "
        f"though each was asked for others.{_whose(pair, names)}"
        for pair in figures.alike[:20]
        if not any(pair.one in codes and pair.other in codes for codes in figures.the_same_file)
    ]
    return said


def _whose(pair: Alike, names: dict[str, str]) -> str:
    """For whom the numbers that two learners share are right."""
    rights = ((names[pair.one], pair.of_one), (names[pair.other], pair.of_other))
    said = [f"{count} of them are right for {name}" for name, count in rights if count]
    return f" {', and '.join(said)}." if said else " They are right for neither."


def _to_look_at(figures: ClassFigures) -> list[tuple[str, str]]:
    whose: dict[str, list[str]] = {}
    for each in figures.named:
        for remark in each.remarks:
            whose.setdefault(remark, []).append(each.name)
    return [(_and_others(names, len(names)), remark) for remark, names in whose.items()]


def _changes(changes: Iterable[Change]) -> list[tuple[str, ...]]:
    """Marks that are not what they were: the newest first."""
    last = deque((change for change in changes if change.before is not None), _MOST_CHANGES)
    return [
        (change.when[:10], change.name, f"{change.before} to {change.mark.points}", change.why)
        for change in reversed(last)
    ]
