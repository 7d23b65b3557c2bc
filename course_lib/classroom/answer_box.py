"""The box beside an exercise: type or choose an answer, give it, and open help a step at a time."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercise import Exercise, Found, Text, Verdict, as_html, task_text, text_for

if TYPE_CHECKING:
    from course_lib.classroom.asking import OpenLesson

# The sign says it too, for whoever does not see the colour of the edge.
_LOOKS = {True: ("✓", "#00695c"), False: ("→", "#b35900")}
_NOTHING_YET = ("", "#757575")


class Ticks(widgets.VBox):
    """Boxes to tick, one a point; `value` holds the letters of those that are ticked."""

    def __init__(self, points: Mapping[str, str]) -> None:
        whole = widgets.Layout(width="44em", max_width="100%")
        self._boxes = {
            letter: widgets.Checkbox(description=text, indent=False, layout=whole)
            for letter, text in points.items()
        }
        super().__init__(list(self._boxes.values()))

    @property
    def value(self) -> str:
        """The letters that are ticked."""
        return " ".join(letter for letter, box in self._boxes.items() if box.value)


class AnswerBox:
    """One exercise as widgets. `view` is what is shown.

    Tab goes from field to field; Enter in the field, or the button, gives the answer.
    """

    def __init__(self, lesson: "OpenLesson", exercise: Exercise, verdict: Verdict) -> None:
        self._lesson = lesson
        self._exercise = exercise
        self._seen = ""
        self._waiting_text = self._enter_pressed = False
        self.entry = self._make_entry()
        self.give = widgets.Button(description="Give this answer", button_style="primary")
        self.give.on_click(lambda _: self.give_answer())
        self.verdict = widgets.HTML()
        self.help = widgets.HTML()
        steps: list[tuple[str, Callable[[], str]]] = [
            ("Clue", lambda: self._text(exercise.clue)),
            ("Working", lambda: self._text(exercise.working)),
            ("Source", exercise.source_line),
        ]
        self._open: list[tuple[str, str]] = []
        self.steps = [self._step(name, text, at) for at, (name, text) in enumerate(steps)]
        task = widgets.HTML(
            f"<h4>{exercise.title}</h4>{self._figure()}{as_html(task_text(exercise, lesson.job))}"
        )
        wide = widgets.Layout(flex_flow="row wrap")
        asking, helping = (
            widgets.HBox([self.entry, self.give], layout=wide),
            widgets.HBox(self.steps, layout=wide),
        )
        rows = [task, asking, self.verdict, helping, self.help]
        self.view = widgets.VBox(rows, layout=widgets.Layout(max_width="46em", padding="4px 0"))
        self.show(verdict)

    def _make_entry(self) -> Any:
        wide = widgets.Layout(width="24em")
        offered = self._exercise.offered(self._lesson.job)
        label = "Your answer"
        if self._exercise.picks_one:
            lettered = [(f"{letter})  {text}", letter) for letter, text in offered.items()]
            listed = [("choose one", ""), *lettered]
            return widgets.Dropdown(options=listed, value="", description=label, layout=wide)
        prompt = self._exercise.prompt(self._lesson.job)
        if self._exercise.ticks:
            return Ticks(offered)
        if self._exercise.many_lines:
            tall = widgets.Layout(width="28em", height="9em")
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
        return str(self._lesson.figure(name)._repr_mimebundle_()["text/html"])

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
        self._seen = name.lower()
        self.steps[at].disabled = True
        if at + 1 < len(self.steps):
            self.steps[at + 1].disabled = False
            self.steps[at + 1].tooltip = ""
        self.help.value = "".join(f"<h5>{each}</h5>{as_html(said)}" for each, said in self._open)

    def _text(self, text: Text) -> str:
        try:
            return text_for(text, self._lesson.job)
        except Refused as error:
            return str(error)

    def give_answer(self) -> None:
        """Judge what stands in the field."""
        self._waiting_text = self._enter_pressed = False
        self.show(self._lesson.judge(self._exercise, self.entry.value, self._seen))

    def show(self, verdict: Verdict) -> None:
        """Show a verdict under the field."""
        sign, colour = _NOTHING_YET if verdict.found is Found.UNANSWERED else _LOOKS[verdict.is_right]
        says = as_html(f"{sign} {verdict.in_full}".strip())
        self.verdict.value = (
            f'<div role="status" style="border-left: 4px solid {colour}; padding: 0 0.8em">{says}</div>'
        )
