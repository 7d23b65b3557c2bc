"""Exercises that a teacher writes in one file: tried on a hundred jobs, opened, set and marked."""

import json
from pathlib import Path
from typing import Any

import pytest

from course_lib import class_commands
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder
from course_lib.classroom import to_write_with
from course_lib.classroom.hand_in import hand_in
from course_lib.classroom.job_in_hand import CannotGoOn, demo_job
from course_lib.classroom.own_exercises import load_own, open_own, own_job, tried
from course_lib.classroom.own_numbers import made_up_jobs, my_job

HEAD = "from course_lib.classroom.to_write_with import *\n"
SOUND = (
    HEAD
    + '''
TITLE = "A hinge of our own"


def knuckle(job: JobInHand) -> float:
    """Tube for three knuckles as wide as the back plate, in mm."""
    return job.readings["plate_diameter"].value / 3


KNUCKLE = SizeAsked(
    name="knuckle", title="One knuckle", task=lambda job: (
        "A hinge of three equal knuckles is as long as the plate is wide: "
        f"{job.readings['plate_diameter'].value:.2f} mm. How long is one knuckle?"
    ),
    expected=knuckle, unit="mm", fineness=GaugeStep("caliper"),
    slips=(
        Slip(
            "two knuckles", lambda job: job.readings["plate_diameter"].value / 2,
            "You divided by two. Count them again.",
        ),
        Slip("all of it", lambda job: job.readings["plate_diameter"].value, "That is the whole hinge."),
    ),
    clue="How many knuckles share the length?",
    working=lambda job: f"{job.readings['plate_diameter'].value:.2f} / 3 = {knuckle(job):.2f} mm",
    basis="common practice", source="", objective="hinge",
)
EXERCISES = (KNUCKLE,)
'''
)
# Its second slip leads so close to the right answer that no caliper tells them apart.
AMBIGUOUS = SOUND.replace('job.readings["plate_diameter"].value, "That', 'knuckle(job) + 0.004, "That')


def written(folder: Path, text: str, name: str = "our-hinge.py") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_sound_exercise_is_sound_on_a_hundred_jobs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path, SOUND)
    assert class_commands.try_exercise([str(path)]) == 0
    assert "Tried on 100 jobs: nothing is ambiguous" in capsys.readouterr().out


def test_an_ambiguous_one_is_told_with_what_to_mend_and_an_example(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert class_commands.try_exercise([str(written(tmp_path, AMBIGUOUS))]) == 1
    said = capsys.readouterr().out
    assert "knuckle: the slip 'all of it' leads to the right answer" in said
    assert "on every job, for example Made up: " in said
    # the same fault with other numbers is told once
    assert said.count("leads to the right answer") == 1


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('"How many knuckles share the length?"', '""'), "it has no clue"),
        (('basis="common practice"', 'basis="hearsay"'), "its basis 'hearsay' is none of"),
        (("/ 3\n", "/ 0\n"), "a sum fails: ZeroDivisionError in our-hinge.py, line"),
        (('"You divided by two. Count them again."', '""'), "the slip 'two knuckles' says nothing"),
        (
            ('.readings["plate_diameter"].value / 3\n', '.size("back plate", "colour")\n'),
            "it cannot be asked",
        ),
    ],
)
def test_other_faults_are_told_too(tmp_path: Path, change: tuple[str, str], said: str) -> None:
    assert change[0] in SOUND
    lesson = load_own(written(tmp_path, SOUND.replace(*change)))
    assert said in str(tried(lesson, made_up_jobs(6)))


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("our-hinge.py", "EXERCISES = (", "cannot be run: SyntaxError in our-hinge.py, line 1: .*closed"),
        (
            "our-hinge.py",
            "import math\n\n1 / 0\n",
            "ZeroDivisionError in our-hinge.py, line 3: division by zero",
        ),
        ("our-hinge.py", "TITLE = 'x'", "holds no exercises"),
        ("our-hinge.py", "EXERCISES = ('a',)", "is no exercise"),
        (
            "our-hinge.py",
            SOUND.replace("(KNUCKLE,)", "(KNUCKLE, KNUCKLE)"),
            "two exercises are called 'knuckle'",
        ),
        ("Our Hinge.py", SOUND, "small letters, digits and hyphens"),
        ("02.py", SOUND, "does not do as the name"),
        ("our-hinge.txt", SOUND, "does not do as the name"),
    ],
)
def test_a_file_that_will_not_do_is_refused_with_its_line(
    tmp_path: Path, name: str, text: str, said: str
) -> None:
    with pytest.raises(Refused, match=said):
        load_own(written(tmp_path, text, name))
    with pytest.raises(Refused, match="no such file"):
        load_own(tmp_path / "none.py")


def test_it_opens_in_a_notebook_with_the_learners_job_or_with_its_own(tmp_path: Path) -> None:
    (tmp_path / "hinge.csv").write_bytes((data_folder() / "demo-six-claws.csv").read_bytes())
    path = written(tmp_path, SOUND)
    with pytest.raises(CannotGoOn, match="names no job"):
        open_own(path)
    own = written(tmp_path, SOUND + 'JOB = "hinge.csv"\n', "our-job.py")
    lesson = open_own(own, record=tmp_path / "answers.jsonl")
    assert own_job(own) is not None and lesson.job.digest == demo_job("six claws").digest
    assert lesson.lesson.title == "A hinge of our own"
    asked = lesson.ask("knuckle", "2.34 mm")
    assert "Right." in repr(asked)
    job = made_up_jobs(1)[0]
    assert open_own(path, job, tmp_path / "answers.jsonl").job is job


def test_it_is_set_answered_handed_in_and_marked_like_any_other(tmp_path: Path) -> None:
    path = written(tmp_path, SOUND)
    (tmp_path / "class.csv").write_text("name,number\nAnn Example,1\nBo Sample,2\n", encoding="utf-8")
    arguments = [
        str(tmp_path / "class.csv"),
        "-o",
        str(tmp_path / "set"),
        "--own",
        str(path),
        "--lessons",
        "07",
    ]
    assert class_commands.assign(arguments) == 0
    said = json.loads((tmp_path / "set" / "assignment.json").read_text(encoding="utf-8"))
    assert said["own_files"] == ["our-hinge.py"] and "our-hinge/knuckle" in said["asked"]
    assert (tmp_path / "set" / "our-hinge.py").read_text(encoding="utf-8") == SOUND
    code = said["learners"][0]["code"]
    record = tmp_path / "home" / "answers.jsonl"
    lesson = open_own(path, my_job(code), record)
    exercise = lesson.lesson.exercise("knuckle")
    lesson.ask("knuckle", exercise.written(exercise.expected(my_job(code)), my_job(code)))
    handed = hand_in(code, record)
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / handed.path.name).write_bytes(handed.path.read_bytes())
    marks = ["--assignment", str(tmp_path / "set" / "assignment.json"), "-o", str(tmp_path / "marks")]
    assert class_commands.mark([str(tmp_path / "in"), *marks]) == 0
    book = (tmp_path / "marks" / "gradebook.csv").read_text(encoding="utf-8-sig").splitlines()
    assert f"1,Ann Example,{code},1,8," in book[1] and "our-hinge/knuckle" in book[0]


def test_a_kind_of_its_own_judges_by_its_own_rules_when_marked(tmp_path: Path) -> None:
    kind = SOUND.replace(
        "KNUCKLE = SizeAsked(",
        "from dataclasses import dataclass\n\n\n"
        "@dataclass(frozen=True, kw_only=True)\n"
        "class Generous(SizeAsked):\n"
        "    def tolerance(self, number: float) -> float:\n"
        "        return 1.0\n\n\n"
        "KNUCKLE = Generous(",
    )
    from course_lib.classroom.answer_key import RIGHT, Judge, key_of

    exercise: Any = load_own(written(tmp_path, kind)).exercise("knuckle")
    job = made_up_jobs(1)[0]
    (entry,) = key_of([exercise], job)
    generous = f"{exercise.expected(job) + 0.5:.2f} mm"
    assert Judge(exercise).quickly(generous, entry) is None
    assert Judge(exercise).finds(generous, entry, lambda: job) == RIGHT


def test_all_that_is_named_to_write_with_is_there() -> None:
    assert all(hasattr(to_write_with, name) for name in to_write_with.__all__)
