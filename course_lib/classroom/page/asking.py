"""Asking an exercise in a notebook: judge what was answered, keep it, and say what to do next."""

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from importlib import import_module
from pathlib import Path
from typing import Any

from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import Exercise, Lesson, task_text
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.exercises.own_exercises import load_own, own_job
from course_lib.classroom.exercises.typed import as_typed, is_blank
from course_lib.classroom.exercises.verdicts import Verdict
from course_lib.classroom.page.record import Followed, Try, keep, stamped
from course_lib.classroom.pieces.job_in_hand import CannotGoOn, JobInHand
from course_lib.classroom.pieces.own_folder import ANSWERS, kept_at
from course_lib.classroom.pieces.own_numbers import keep_piece

_WIDGET = "application/vnd.jupyter.widget-view+json"


# The help of an exercise, in the order in which it opens.
_HELP = ("", "clue", "working", "source")


class OpenLesson:
    """A lesson that is open in a notebook, for one job.

    What was answered is kept in `record`, and read from there when the notebook is opened again.
    """

    def __init__(self, lesson: Lesson, job: JobInHand, record: str | Path = ANSWERS) -> None:
        self.lesson = lesson
        self.job = job
        self.record = kept_at(record)
        self._followed = Followed(self.record)
        self._verdicts: dict[str, Verdict] = {}
        self._given: dict[str, list[str]] = {}
        self._right: dict[str, str] = {}
        self._saw: dict[str, str] = {}
        self._look()

    def _look(self) -> None:
        """Take over what was kept since the last time, here or in another notebook."""
        tries, anew = self._followed.news()
        if anew:
            self._saw.clear()
            self._given.clear()
            self._right.clear()
        for one in tries:
            if one.lesson != self.lesson.number:
                continue
            if one.digest == self.job.digest or self._is_same_task(one):
                self._note(one)
            elif one.is_of(self.job.title, self.job.digest):
                self._note(self._judged_anew(one))

    def _judged_anew(self, one: Try) -> Try:
        """A try of the first version, with what it is worth for the piece in hand."""
        by_name = {each.name: each for each in self.lesson.exercises}
        if one.exercise not in by_name:
            return one
        return replace(one, verdict=_judged(by_name[one.exercise], one.answer, self.job).found)

    def _is_same_task(self, one: Try) -> bool:
        """What was ticked stays ticked when a reading of the same piece is put right."""
        ticked = {each.name for each in self.lesson.exercises if each.ticks}
        return one.exercise in ticked and one.job == self.job.title

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
        verdict = self.judge(exercise, answer, in_cell=True)
        return Asked(_in_full(self, exercise, verdict), self, exercise, verdict)

    def judge(self, exercise: Exercise, answer: Any, seen: str = "", in_cell: bool = False) -> Verdict:
        """Judge an answer and keep it; every way to answer goes through here.

        Args:
            exercise: of this lesson.
            answer: whatever was answered.
            seen: the furthest help that lay open.
            in_cell: it stands in a cell, which may be run again and again.
        """
        self._look()
        if is_blank(answer):
            return self._unanswered(exercise)
        verdict = _judged(exercise, answer, self.job)
        self.saw(exercise.name, seen)
        trouble = self._keep(exercise, answer, verdict, self._saw.get(exercise.name, ""), in_cell)
        self._verdicts[exercise.name] = verdict
        return replace(verdict, says=f"{verdict.says} {trouble}".strip())

    def saw(self, name: str, help_open: str) -> None:
        """Note that a clue, a working or a source lay open: it was seen wherever the answer is then typed."""
        if help_open in _HELP and _HELP.index(help_open) > _HELP.index(self._saw.get(name, "")):
            self._saw[name] = help_open

    def last_answer(self, name: str) -> str:
        """What was answered last to an exercise, by box or by cell; nothing if it never was."""
        return self._given.get(name, [""])[-1]

    def _unanswered(self, exercise: Exercise) -> Verdict:
        before = self._right.get(exercise.name, "")
        if exercise.ticks:
            before = self.last_answer(exercise.name)
        if before:
            return Verdict(Found.UNANSWERED, exercise.told_before(before, self.job))
        return Verdict(Found.UNANSWERED, "Not answered yet.")

    def _keep(self, exercise: Exercise, answer: Any, verdict: Verdict, seen: str, in_cell: bool) -> str:
        """Keep a try; running a cell again is no new try. What could not be kept is told, not raised."""
        one = Try(
            self.lesson.number, exercise.name, exercise.kept(answer, self.job), verdict.found, verdict.slip,
            self.job.title, self.job.digest, seen,
        )  # fmt: skip
        before = self._given.get(exercise.name, [])
        # a cell is also run again after other answers were given in the box
        if one.answer in (before if in_cell else before[-1:]):
            return ""
        self._note(one)
        try:
            keep(self.record, stamped(one))
            keep_piece(self.job, self.record.parent)
        except Refused:
            self._given[exercise.name].pop()
            return (
                f"(This answer is judged but could not be kept: {self.record.parent} cannot be written to. "
                "Save a copy of the notebook in a folder of your own, and go on there.)"
            )
        self._look()
        return ""

    def _note(self, one: Try) -> None:
        given = self._given.setdefault(one.exercise, [])
        if given[-1:] != [one.answer]:
            given.append(one.answer)
        self.saw(one.exercise, one.seen)
        if one.verdict in (Found.RIGHT, Found.TOO_FINE):
            self._right[one.exercise] = one.answer

    def take(self, job: JobInHand) -> "Said":
        """Go on with another job: lesson 14 takes the learner's own as soon as its sheet is complete.

        What was answered right stays so only where it is right for this job too.
        """
        self.job = job
        self._saw.clear()
        by_name = {each.name: each for each in self.lesson.exercises}
        self._right = {
            name: answer
            for name, answer in self._right.items()
            if name in by_name and _judged(by_name[name], answer, job).is_right
        }
        self._followed.from_the_start()
        self._look()
        return Said(f"From here on this page is about: {job.title}.")

    def panel(self) -> Any:
        """The panel of this lesson's stage, for the job in hand."""
        from course_lib.screen.panel import stage_panel

        return self._of_the_plan(lambda stage, plan: stage_panel(stage, plan))

    def figure(self, name: str = "panel") -> Any:
        """A drawing of this lesson's stage, by name."""
        from course_lib.screen.stage import figure_of

        return self._of_the_plan(lambda stage, plan: figure_of(stage, plan, name))

    def _of_the_plan(self, show: Callable[[Any, Any], Any]) -> Any:
        """What a stage shows of the plan; a job that cannot be planned says why."""
        from course_lib.screen.stage import NotDrawn

        stage = self._stage()
        try:
            plan = self.job.plan()
        except Refused as error:
            return NotDrawn(f"This cannot be shown for your job: {error}")
        return show(stage, plan)

    def _stage(self) -> Any:
        if not self.lesson.stage:
            raise CannotGoOn(f"Lesson {self.lesson.number} has no panel of its own.")
        return import_module(f"course_lib.screen.stages.{self.lesson.stage}").STAGE

    def offered(self, name: str) -> Mapping[str, str]:
        """What an exercise offers to choose from or to put in order: letter and text."""
        return self.lesson.exercise(name).offered(self.job)

    def open_ones(self) -> list[str]:
        """The exercises that have no right answer yet, by name."""
        self._look()
        return [each.name for each in self.lesson.exercises if each.name not in self._right]

    def standing(self) -> "Said":
        """How far the learner has come: the last cell of a lesson."""
        still = self.open_ones()
        done = len(self.lesson.exercises) - len(still)
        head = f"Lesson {self.lesson.number}: {done} of {len(self.lesson.exercises)} exercises are right."
        titles = [f"  {self.lesson.exercise(name).title}" for name in still]
        return Said("\n".join([head, "Still open:", *titles]) if titles else head)

    def hand_in(self) -> Any:
        """The button that hands in, for a piece that came from a teacher's code; else what to do."""
        from course_lib.classroom.page.hand_in import hand_in_box
        from course_lib.classroom.pieces.learner_code import code_in

        code = code_in(self.job.title)
        if code is None:
            return Said(
                "This piece came from no code, so there is nothing to hand in. A teacher gave you one? Write "
                'my_job("your code") in the first cell, and run the page again.'
            )
        return hand_in_box(code, self.record)

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
        from course_lib.classroom.page.answer_box import AnswerBox

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
    name = getattr(exercise, "figure", "")
    figure = f"The figure: {lesson.figure(name)!r}\n\n" if name else ""
    return f"{head}\n\n{figure}{task_text(exercise, lesson.job)}"


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


def open_own(path: str | Path, job: JobInHand | None = None, record: str | Path = ANSWERS) -> OpenLesson:
    """Open a teacher's exercises in a notebook, as `open_lesson` opens a lesson.

    Args:
        path: the teacher's file.
        job: whose numbers are asked; left out, the job that the file names.
        record: the file that keeps the answers.

    Raises:
        CannotGoOn: the file will not do, or there is no job.
    """
    try:
        lesson = load_own(path)
        found = job or own_job(path)
    except Refused as error:
        raise CannotGoOn(str(error)) from None
    if found is None:
        raise CannotGoOn(
            f'{Path(path).name} names no job. Write open_own({str(path)!r}, my_job("your code"))'
        )
    return OpenLesson(lesson, found, record)
