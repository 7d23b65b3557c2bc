"""The report on a class: one page that needs nothing else, pictures first, each also said in words."""

import html
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from course_lib.bench.for_spreadsheets import printable
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.school.alike import Alike
from course_lib.classroom.school.class_figures import MOST_NAMED, ClassFigures, ExerciseFigures
from course_lib.classroom.school.mark_ledger import Change
from course_lib.classroom.school.marking import Marks
from course_lib.classroom.school.tickets import said_date
from course_lib.screen import class_pictures as pictures
from course_lib.screen.sheet import Sheet
from course_lib.screen.svg import as_svg

_MOST_SLIPS = 12
_MOST_CHANGES = 40
_SENTENCES = 5
# The board has room for so many exercises; of more it shows one lesson after the other.
_MOST_ACROSS = 28

STYLE = """
@page { size: A4; margin: 14mm }
body { font: 11pt/1.45 "DejaVu Sans", Verdana, sans-serif; color: #000; background: #fff; margin: 0 auto;
  padding: 1em; max-width: 60em }
h1 { font-size: 1.5em; margin: 0 0 0.2em } h2 { font-size: 1.15em; margin: 1.6em 0 0.4em }
.sum { font-size: 1.15em } figure { margin: 0.8em 0; break-inside: avoid } svg { width: 100%; height: auto }
table { border-collapse: collapse; font-size: 0.92em } th { font-weight: bold }
th, td { text-align: left; padding: 0.25em 1.2em 0.25em 0; border-bottom: 1px solid #bbb; vertical-align: top;
  overflow-wrap: anywhere }
.wide { overflow-x: auto } .note { color: #444; font-size: 0.92em } li { margin: 0.25em 0 }
"""


def report_page(marks: Marks, figures: ClassFigures) -> bytes:
    """The report.

    Args:
        marks: from `mark`.
        figures: from `class_figures`.

    Returns:
        The content of an HTML file.
    """
    title = html.escape(printable(marks.work.title))
    return page_of(f"Report: {title}", f"<h1>{title}</h1>{''.join(_parts(marks, figures))}")


def page_of(title: str, body: str, more_style: str = "") -> bytes:
    """A page that needs nothing else, in the look of the report.

    Args:
        title, body: of texts that are safe already.
        more_style: added to the style.

    Returns:
        The content of an HTML file.
    """
    page = (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<style>{STYLE}{more_style}</style></head><body><main>{body}</main></body></html>\n"
    )
    return page.encode("utf-8", "replace")


def _parts(marks: Marks, figures: ClassFigures) -> Iterator[str]:
    if course := marks.course_in_words():
        yield f'<p class="sum">{html.escape(course)}</p>'
    yield _sum(marks, figures)
    yield _moved(marks)
    yield _sentences(figures)
    yield _picture(pictures.points_spread(figures.tenths))
    yield _picture(pictures.slips_made(list(_slip_bars(figures))))
    yield from _board(marks, figures)
    yield _who_needs_help(figures)
    yield _alike(marks, figures)
    yield _to_look_at(figures)
    yield from _by_lesson(marks, figures)
    yield _not_marked(marks)
    yield _changes(marks.ledger.changes())
    yield (
        '<p class="note">One point for each exercise that is right, however often it was tried. Tries, help '
        "and time are what the learners' own files say: use them to talk with somebody, not to mark. Open "
        "tasks are ticked by the learner and give no points.</p>"
    )


def _sum(marks: Marks, figures: ClassFigures) -> str:
    due = f", due {said_date(marks.work)}" if marks.work.due else ""
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
    made = datetime.now().astimezone().strftime("%Y-%m-%d %H:%M")
    count = sum(not each.own_word for each in figures.exercises)
    return (
        f'<p class="note">{count} exercises{html.escape(due)}. Marked {made}.</p>'
        f'<p class="sum">{"; ".join(said)}. '
        f"Half of them were at work no longer than {figures.usual_minutes} minutes.</p>"
    )


def _moved(marks: Marks) -> str:
    """Marks that this marking has changed: a teacher must not learn of it from a learner."""
    said = marks.moved_in_words()
    return f'<p class="sum">{said} See <em>Marks that changed</em>, at the end.</p>' if said else ""


def _and_others(names: Sequence[str], count: int) -> str:
    """The first of these names; `count` is how many there are."""
    shown = ", ".join(html.escape(printable(name)) for name in names[:12])
    return f"{shown}{' and others' if count > min(12, len(names)) else ''}"


def _sentences(figures: ClassFigures) -> str:
    """What to bring up in the next lesson."""
    said = []
    for count, each, slip in _commonest(figures)[:_SENTENCES]:
        line = f"<strong>{count} of {each.answered}</strong>: {html.escape(slip)} <em>({_called(each)})</em>"
        says = f"<br>{html.escape(each.says[slip])}" if slip in each.says else ""
        said.append(line + says)
    hard = sorted(
        (each for each in figures.exercises if each.answered and not each.own_word),
        key=lambda each: (each.at_once + each.later) / each.answered,
    )
    if hard and hard[0].not_right:
        worst = hard[0]
        right = worst.at_once + worst.later
        said.append(
            f"Least understood: <em>{_called(worst)}</em>, right with {right} of {worst.answered} who tried."
        )
    return (
        f"<h2>To bring up in class</h2><ul>{''.join(f'<li>{each}</li>' for each in said)}</ul>"
        if said
        else ""
    )


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


def _called(each: ExerciseFigures) -> str:
    return html.escape(f"{each.name}: {each.title}")


def _picture(drawn: tuple[Sheet, str]) -> str:
    sheet, words = drawn
    return f"<figure>{as_svg(sheet, words)}</figure>"


def _board(marks: Marks, figures: ClassFigures) -> Iterator[str]:
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
        yield _picture(pictures.board(rows, shown))
        yield _columns_of(figures.exercises[start : start + count], shown)
        start += count


def _columns_of(exercises: Sequence[ExerciseFigures], shown: Sequence[tuple[str, int]]) -> str:
    """What stands in each column of the board."""
    titles = iter(html.escape(each.title) for each in exercises)
    said = [
        f"<strong>{html.escape(lesson)}</strong> "
        + ", ".join(f"{at}\N{NO-BREAK SPACE}{next(titles)}" for at in range(1, count + 1))
        for lesson, count in shown
    ]
    return f'<p class="note">{"; ".join(said)}.</p>'


def _lessons_of(marks: Marks) -> list[tuple[str, int]]:
    """The lessons in order, each with how many of its exercises are set."""
    counts: dict[str, int] = {}
    for lesson, _ in marks.asked:
        counts[lesson] = counts.get(lesson, 0) + 1
    return [(lesson, count) for lesson, count in counts.items()]


def _by_lesson(marks: Marks, figures: ClassFigures) -> Iterator[str]:
    yield "<h2>Exercise by exercise</h2>"
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
        yield _picture(pictures.by_exercise(_lesson_title(marks, lesson), bars))
        yield _slip_table(each)


def _lesson_title(marks: Marks, lesson: str) -> str:
    if any(path.stem == lesson for path in marks.work.own_paths()):
        return lesson
    return f"{lesson} {find_lesson(lesson).title}"


def _slip_table(exercises: Sequence[ExerciseFigures]) -> str:
    rows = []
    for each in exercises:
        slips = [f"{count} {html.escape(slip)}" for slip, count in each.slips.most_common(6)]
        if each.after_working:
            slips.append(f"{each.after_working} opened the working first")
        if slips:
            rows.append((html.escape(each.title), "; ".join(slips)))
    return _table(("exercise", "slips, and how many made them"), rows)


def _who_needs_help(figures: ClassFigures) -> str:
    rows = [
        (html.escape(printable(each.name)), html.escape("; ".join(each.needs)), f"{each.minutes} min")
        for each in figures.named
        if each.needs
    ]
    if not rows:
        return "<h2>Who may need help</h2><p>Nobody stands out.</p>"
    more = figures.need_help - len(rows)
    told = f"<p>And {more} more: see the mark list.</p>" if more else ""
    return f"<h2>Who may need help</h2>{_table(('learner', 'why', 'at work'), rows)}{told}"


def _alike(marks: Marks, figures: ClassFigures) -> str:
    named = {code for codes in figures.the_same_file for code in codes[:8]}
    named |= {code for pair in figures.alike[:20] for code in (pair.one, pair.other)}
    names = {
        given.code: html.escape(printable(marks.work.called(given)))
        for given in marks.work.learners
        if given.code in named
    }
    said = [
        f"<li>{' and '.join(names[code] for code in codes[:8])} handed in the very same answers.</li>"
        for codes in figures.the_same_file
    ]
    said += [
        f"<li>{names[pair.one]} and {names[pair.other]}: {pair.same} of {pair.of} numbers are the same, "
        f"though each was asked for others.{_whose(pair, names)}</li>"
        for pair in figures.alike[:20]
        if not any(pair.one in codes and pair.other in codes for codes in figures.the_same_file)
    ]
    if not said:
        return "<h2>Very like answers</h2><p>None. Everybody had numbers of their own.</p>"
    note = '<p class="note">Like answers are a reason to ask, not a proof.</p>'
    return f"<h2>Very like answers</h2><ul>{''.join(said)}</ul>{note}"


def _whose(pair: Alike, names: dict[str, str]) -> str:
    """For whom the numbers that two learners share are right."""
    rights = ((names[pair.one], pair.of_one), (names[pair.other], pair.of_other))
    said = [f"{count} of them are right for {name}" for name, count in rights if count]
    return f" {', and '.join(said)}." if said else " They are right for neither."


def _to_look_at(figures: ClassFigures) -> str:
    whose: dict[str, list[str]] = {}
    for each in figures.named:
        for remark in each.remarks:
            whose.setdefault(remark, []).append(each.name)
    rows = [
        (_and_others(names, len(names)), html.escape(printable(remark))) for remark, names in whose.items()
    ]
    return f"<h2>Files to look at</h2>{_table(('learner', 'what is odd'), rows)}" if rows else ""


def _not_marked(marks: Marks) -> str:
    if not marks.not_marked:
        return ""
    names = {given.code: marks.work.called(given) for given in marks.work.learners}
    rows = [
        (
            html.escape(one.path),
            html.escape(printable(names.get(one.named_after, ""))),
            html.escape(printable(one.why)),
        )
        for one in marks.not_marked[:MOST_NAMED]
    ]
    more = len(marks.not_marked) - len(rows)
    told = f"<p>And {more} more: see the list of what was not marked.</p>" if more else ""
    heads = ("file", "named after", "why")
    return f"<h2>Files that were not marked</h2>{_table(heads, rows)}{told}"


def _changes(changes: Iterable[Change]) -> str:
    """Marks that are not what they were: the newest first."""
    last = deque((change for change in changes if change.before is not None), _MOST_CHANGES)
    rows = [
        (
            html.escape(change.when[:10]),
            html.escape(printable(change.name)),
            f"{change.before} to {change.mark.points}",
            html.escape(printable(change.why)),
        )
        for change in reversed(last)
    ]
    if not rows:
        return ""
    head = ("when", "learner", "points", "why")
    return f"<h2>Marks that changed</h2>{_table(head, rows)}"


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table of texts that are safe already."""
    if not rows:
        return ""
    head = "".join(f'<th scope="col">{text}</th>' for text in heads)
    body = "".join(f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in rows)
    return f'<div class="wide"><table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>'
