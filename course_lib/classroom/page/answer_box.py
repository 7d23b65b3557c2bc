"""The box beside an exercise: type or choose an answer, give it, and open help a step at a time."""

from collections.abc import Callable, Mapping
from typing import Any, Protocol

import ipywidgets as widgets

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.exercise import Exercise, Text, task_text, text_for
from course_lib.classroom.exercises.judge import Found, ticked_in
from course_lib.classroom.exercises.verdicts import Verdict
from course_lib.classroom.pieces.job_in_hand import JobInHand
from course_lib.screen.pages import paragraphs, part_from


class Answering(Protocol):
    """What a box needs of the lesson that it stands in."""

    job: JobInHand

    def judge(self, exercise: Exercise, answer: Any) -> Verdict:
        """Judge an answer and keep it."""

    def saw(self, name: str, help_open: str) -> None:
        """Note that help lay open."""

    def last_answer(self, name: str) -> str:
        """What was answered last."""

    def figure(self, name: str) -> Any:
        """A drawing of the lesson's stage."""


# The sign says it too, for whoever does not see the colour of the edge.
_LOOKS = {True: ("✓", "right"), False: ("→", "not-right")}
_NOTHING_YET = ("", "open")


class Ticks(widgets.VBox):
    """Boxes to tick, one a point, and a field for a few words; `value` holds both.

    Args:
        points: letter and text of each.
        before: what was given last, to go on from.
    """

    def __init__(self, points: Mapping[str, str], before: str = "") -> None:
        letters, words = ticked_in(before)
        whole = widgets.Layout(width="44em", max_width="100%")
        self._boxes = {
            letter: widgets.Checkbox(
                value=letter in letters, description=f"{letter})  {text}", indent=False, layout=whole
            )
            for letter, text in points.items()
        }
        for box in self._boxes.values():
            box.add_class("course-tick")
        self.words = widgets.Textarea(
            value=words, description="In your words", placeholder="What you did, and what you saw",
            style={"description_width": "8em"},
            layout=widgets.Layout(width="34em", max_width="100%", height="5em"),
        )  # fmt: skip
        super().__init__([*self._boxes.values(), self.words])

    @property
    def value(self) -> str:
        """The letters that are ticked; behind a colon the words, if there are any."""
        letters = " ".join(letter for letter, box in self._boxes.items() if box.value)
        words = self.words.value.strip()
        return f"{letters}: {words}" if words else letters


class AnswerBox:
    """One exercise as widgets. `view` is what is shown.

    Tab goes from field to field; Enter in the field, or the button, gives the answer.
    """

    def __init__(self, lesson: Answering, exercise: Exercise, verdict: Verdict) -> None:
        self._lesson = lesson
        self._exercise = exercise
        self._waiting_text = self._enter_pressed = False
        self.entry = self._make_entry()
        said = "Keep this" if exercise.ticks else "Give this answer"
        self.give = widgets.Button(description=said, button_style="primary")
        self.give.on_click(lambda _: self.give_answer())
        self.verdict = widgets.HTML()
        self.help = widgets.HTML()
        steps: list[tuple[str, Callable[[], str]]] = [
            ("Clue", lambda: self._text(exercise.clue)),
            ("Working", lambda: self._text(exercise.working)),
            ("Source", lambda: _with_capital(exercise.source_line())),
        ]
        self._open: list[tuple[str, str]] = []
        self.steps = [self._step(name, text, at) for at, (name, text) in enumerate(steps)]
        asked = task_text(exercise, lesson.job, listed=not exercise.ticks)
        task = widgets.HTML(
            self._part("task", title=exercise.title, figure=self._figure(), asked=paragraphs(asked))
        )
        wide = widgets.Layout(flex_flow="row wrap")
        asking, helping = (
            widgets.HBox([self.entry, self.give], layout=wide),
            widgets.HBox(self.steps, layout=wide),
        )
        rows = [task, asking, self.verdict, helping, self.help]
        self.view = widgets.VBox(rows, layout=widgets.Layout(max_width="46em", padding="4px 0"))
        self.view.add_class("course-answer")
        self.show(verdict)

    @staticmethod
    def _part(part: str, **values: Any) -> str:
        return part_from("answer_box.html", part, **values)

    def _make_entry(self) -> Any:
        exercise, job = self._exercise, self._lesson.job
        wide = widgets.Layout(width="24em", max_width="100%")
        label = "Your answer"
        try:
            offered, prompt, _ = exercise.offered(job), exercise.prompt(job), exercise.form(job)
        except Refused:  # the task says why it cannot be asked
            return widgets.Text(description=label, disabled=True, layout=wide)
        if exercise.picks_one:
            lettered = [(f"{letter})  {text}", letter) for letter, text in offered.items()]
            listed = [("choose one", ""), *lettered]
            return widgets.Dropdown(options=listed, value="", description=label, layout=wide)
        if exercise.ticks:
            return Ticks(offered, self._lesson.last_answer(exercise.name))
        if exercise.many_lines:
            tall = widgets.Layout(width="28em", max_width="100%", height="9em")
            return widgets.Textarea(description=label, placeholder=prompt, layout=tall)
        entry = widgets.Text(description=label, placeholder=prompt, layout=wide, continuous_update=False)
        entry.on_msg(self._hear_key)
        entry.observe(self._hear_text, "value")
        return entry

    def _figure(self) -> str:
        """The figure that is to be read, if there is one."""
        name = getattr(self._exercise, "figure", "")
        if not name:
            return ""
        drawn: str = self._lesson.figure(name)._repr_mimebundle_()["text/html"]
        return drawn

    # The Enter key arrives before the text that was typed, and the text also arrives when somebody only
    # leaves the field. So Enter is kept in mind until its text is there, and leaving judges nothing.

    def _hear_key(self, _: Any, content: dict[str, Any], buffers: Any) -> None:
        if content.get("event") == "submit":
            if self._waiting_text:
                self.give_answer()
            self._enter_pressed = True

    def _hear_text(self, _: object) -> None:
        self._waiting_text = True
        if self._enter_pressed:
            self.give_answer()

    def _step(self, name: str, text: Callable[[], str], at: int) -> Any:
        button = widgets.Button(description=name, disabled=at > 0)
        if at:
            button.tooltip = f"Opens after {('Clue', 'Working')[at - 1]}"
        button.on_click(lambda _: self._open_step(name, text(), at))
        return button

    def _open_step(self, name: str, text: str, at: int) -> None:
        if all(name != each for each, _ in self._open):
            self._open.append((name, text))
        self._lesson.saw(self._exercise.name, name.lower())
        self.steps[at].disabled = True
        if at + 1 < len(self.steps):
            self.steps[at + 1].disabled = False
            self.steps[at + 1].tooltip = ""
        self.help.value = self._part("help", steps=[(each, paragraphs(said)) for each, said in self._open])

    def _text(self, text: Text) -> str:
        try:
            return text_for(text, self._lesson.job)
        except Refused as error:
            return str(error)

    def give_answer(self) -> None:
        """Judge what stands in the field."""
        self._waiting_text = self._enter_pressed = False
        self.show(self._lesson.judge(self._exercise, self.entry.value))

    def show(self, verdict: Verdict) -> None:
        """Show a verdict under the field."""
        neither = verdict.found in (Found.UNANSWERED, Found.OPEN)
        sign, kind = _NOTHING_YET if neither else _LOOKS[verdict.is_right]
        says = paragraphs(f"{sign} {verdict.in_full}".strip())
        self.verdict.value = self._part("verdict", kind=kind, says=says)


def _with_capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
