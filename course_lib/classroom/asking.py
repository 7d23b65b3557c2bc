"""Asking an exercise in a notebook: judge what was answered, keep it, and say what to do next."""

import sys
from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib import import_module
from pathlib import Path
from typing import Any

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercise import Exercise, Found, Lesson, Verdict, find_lesson, task_text
from course_lib.classroom.job_in_hand import CannotGoOn, JobInHand
from course_lib.classroom.record import ANSWERS, Try, keep, kept_at, stamped, tries_in
from course_lib.classroom.typed import as_typed, is_blank

_WIDGET = "application/vnd.jupyter.widget-view+json"


class OpenLesson:
    """A lesson that is open in a notebook, for one job.

    What was answered is kept in `record`, and read from there when the notebook is opened again.
    """

    def __init__(self, lesson: Lesson, job: JobInHand, record: str | Path = ANSWERS) -> None:
        self.lesson = lesson
        self.job = job
        self.record = kept_at(record)
        self._verdicts: dict[str, Verdict] = {}
        self._kept: dict[str, str] = {}
        self._right: dict[str, str] = {}
        for one in tries_in(self.record):
            if (one.lesson, one.digest) == (lesson.number, job.digest):
                self._note(one)

    def ask(self, name: str, answer: Any = None) -> "Asked":
        """Ask one exercise: the last line of its cell.

        Args:
            name: the exercise.
            answer: what the learner wrote; None until then.

        Returns:
            What the notebook shows: the task, the verdict, and a box to answer in. Nothing is raised,
            whatever the answer.
        """
        try:
            exercise = self.lesson.exercise(name)
        except Refused as error:
            return Asked(str(error))
        verdict = self.judge(exercise, answer)
        return Asked(_in_full(self, exercise, verdict), self, exercise, verdict)

    def judge(self, exercise: Exercise, answer: Any, seen: str = "") -> Verdict:
        """Judge an answer and keep it; every way to answer goes through here."""
        if is_blank(answer):
            return self._unanswered(exercise)
        verdict = _judged(exercise, answer, self.job)
        trouble = self._keep(exercise, answer, verdict, seen)
        self._verdicts[exercise.name] = verdict
        return replace(verdict, says=f"{verdict.says} {trouble}".strip())

    def _unanswered(self, exercise: Exercise) -> Verdict:
        before = self._right.get(exercise.name)
        if before is not None:
            return Verdict(Found.UNANSWERED, f"You have answered this right before, with {before}.")
        return Verdict(Found.UNANSWERED, "Not answered yet.")

    def _keep(self, exercise: Exercise, answer: Any, verdict: Verdict, seen: str) -> str:
        """Keep a try; running a cell again is no new try. What could not be kept is told, not raised."""
        one = Try(
            self.lesson.number, exercise.name, exercise.kept(answer, self.job), verdict.found, verdict.slip,
            self.job.title, self.job.digest, seen,
        )  # fmt: skip
        if self._kept.get(exercise.name) == one.answer:
            return ""
        self._note(one)
        try:
            keep(self.record, stamped(one))
        except Refused:
            del self._kept[exercise.name]
            return (
                f"(This answer is judged but could not be kept: {self.record.parent} cannot be written to. "
                "Save a copy of the notebook in a folder of your own, and go on there.)"
            )
        return ""

    def _note(self, one: Try) -> None:
        self._kept[one.exercise] = one.answer
        if one.verdict in (Found.RIGHT, Found.TOO_FINE):
            self._right[one.exercise] = one.answer

    def take(self, job: JobInHand) -> "Said":
        """Go on with another job: lesson 14 takes the learner's own as soon as its sheet is complete."""
        self.job = job
        return Said(f"From here on this page is about: {job.title}.")

    def panel(self) -> Any:
        """The panel of this lesson's stage, for the job in hand."""
        from course_lib.screen.panel import stage_panel

        return stage_panel(self._stage(), self.job.plan())

    def figure(self, name: str = "panel") -> Any:
        """A drawing of this lesson's stage, by name."""
        from course_lib.screen.stage import figure_of

        return figure_of(self._stage(), self.job.plan(), name)

    def _stage(self) -> Any:
        if not self.lesson.stage:
            raise CannotGoOn(f"Lesson {self.lesson.number} has no panel of its own.")
        return import_module(f"course_lib.screen.stages.{self.lesson.stage}").STAGE

    def offered(self, name: str) -> Mapping[str, str]:
        """What an exercise offers to choose from or to put in order: letter and text."""
        return self.lesson.exercise(name).offered(self.job)

    def open_ones(self) -> list[str]:
        """The exercises that have no right answer yet, by name."""
        return [each.name for each in self.lesson.exercises if each.name not in self._right]

    def standing(self) -> "Said":
        """How far the learner has come: the last cell of a lesson."""
        done = len(self.lesson.exercises) - len(self.open_ones())
        head = f"Lesson {self.lesson.number}: {done} of {len(self.lesson.exercises)} exercises are right."
        titles = [f"  {self.lesson.exercise(name).title}" for name in self.open_ones()]
        return Said("\n".join([head, "Still open:", *titles]) if titles else head)

    def expect_all_right(self) -> "Said":
        """For solutions: stop unless every answer given in this notebook is right.

        Raises:
            AssertionError: with the exercises that are not.
        """
        wrong = [
            f"{each.name}: {self._verdicts[each.name].says if each.name in self._verdicts else 'not asked'}"
            for each in self.lesson.exercises
            if each.name not in self._verdicts or not self._verdicts[each.name].is_right
        ]
        if wrong:
            raise AssertionError(f"Lesson {self.lesson.number} is not all right. {' '.join(wrong)}")
        return Said(f"All {len(self.lesson.exercises)} answers of lesson {self.lesson.number} are right.")


class Said:
    """A sentence that a cell shows as it is."""

    def __init__(self, text: str) -> None:
        self.text = text

    def __repr__(self) -> str:
        return self.text


@dataclass(frozen=True, repr=False)
class Asked:
    """What an exercise cell shows: in words everywhere, and as a box to answer in where sliders work."""

    text: str
    lesson: OpenLesson | None = None
    exercise: Exercise | None = None
    verdict: Verdict | None = None

    def __repr__(self) -> str:
        return self.text

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        if not (self.lesson and self.exercise and self.verdict and _in_notebook()):
            return {"text/plain": self.text}
        from course_lib.classroom.answer_box import AnswerBox

        box = AnswerBox(self.lesson, self.exercise, self.verdict)
        view: Any = box.view._repr_mimebundle_()[_WIDGET]
        # beside a box the words of a right answer are short, and the same on every job
        right = self.verdict.is_right
        return {
            "text/plain": f"{self.exercise.title}: {self.verdict.says}" if right else self.text,
            _WIDGET: view,
        }


def _in_notebook() -> bool:
    """Whether somebody can be shown a box: a kernel runs, and ipywidgets is there."""
    try:
        import ipywidgets  # noqa: F401
    except ImportError:
        return False
    shell = sys.modules["IPython"].get_ipython() if "IPython" in sys.modules else None
    return shell is not None and (hasattr(shell, "kernel") or sys.platform == "emscripten")


def _judged(exercise: Exercise, answer: Any, job: JobInHand) -> Verdict:
    try:
        return exercise.judged(answer, job)
    except Refused as error:
        # the job lacks what the question needs, or its sizes allow no answer
        return Verdict(Found.NOT_FOR_THIS_JOB, f"This cannot be asked of your job: {error}")


def _in_full(lesson: OpenLesson, exercise: Exercise, verdict: Verdict) -> str:
    """All in words, for where no box can be shown; with the task until it is answered right."""
    head = f"{exercise.title}: {verdict.in_full}"
    if verdict.is_right:
        return head
    return f"{head}\n\n{task_text(exercise, lesson.job)}"


def open_lesson(number: str | int, job: JobInHand, record: str | Path = ANSWERS) -> OpenLesson:
    """Open a lesson for a job: the first line of code in its notebook.

    Args:
        number: such as ``"01"``.
        job: from `demo_job` or `load_job`.
        record: the file that keeps the answers.

    Returns:
        The open lesson.

    Raises:
        CannotGoOn: there is no such lesson, or the job is none.
    """
    if not isinstance(job, JobInHand):
        raise CannotGoOn(f"open_lesson needs a job and not {as_typed(job)!r}. Write first: job = demo_job()")
    try:
        return OpenLesson(find_lesson(number), job, record)
    except Refused as error:
        raise CannotGoOn(str(error)) from None
