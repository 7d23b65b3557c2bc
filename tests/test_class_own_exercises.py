"""Exercises that a teacher writes in one file: tried on a hundred jobs, opened, set and marked."""

import json
import re
from pathlib import Path

import pytest

from course_lib import class_commands
from course_lib.bench.refusals import Refused
from course_lib.bench.tables import data_folder
from course_lib.classroom.exercises.own_exercises import load_own, own_job, tried
from course_lib.classroom.page.asking import open_own
from course_lib.classroom.page.hand_in import hand_in
from course_lib.classroom.pieces.job_in_hand import CannotGoOn, demo_job
from course_lib.classroom.pieces.own_numbers import made_up_jobs, my_job

SOUND = """
title = "A hinge of our own"

[exercise.knuckle]
kind = "size"
title = "One knuckle"
task = "Three equal knuckles share {plate_diameter:.2f} mm. How long is one of them?"
right = "plate_diameter / 3"
unit = "mm"
fine = "caliper"
clue = "How many knuckles share the length?"
working = "{plate_diameter:.2f} / 3 = {right:.2f} mm"
basis = "common practice"

[exercise.knuckle.slips]
"two knuckles" = {gives = "plate_diameter / 2", says = "You divided by two. Count them again."}
"all of it" = {gives = "plate_diameter", says = "That is the whole hinge."}
"""
# Its second slip leads so close to the right answer that no caliper tells them apart.
AMBIGUOUS = SOUND.replace('{gives = "plate_diameter", ', '{gives = "plate_diameter / 3 + 0.004", ')
OTHER_KINDS = """
title = "A hinge, further"

[exercise.bore]
kind = "choice"
title = "Which hole"
task = "Which drill first, for a pin of {post_wire:.2f} mm?"
right = "small"
clue = "What leads it?"
working = "1. A small one leads the next"
basis = "common practice"
[exercise.bore.choices]
small = "a small one"
large = "the one that fits"
thick = "one thicker than the pin"
[exercise.bore.slips]
large = "It wanders without a start."
thick = "The pin would be loose."

[exercise.order]
kind = "order"
title = "In which order"
task = "Put these in order."
first = "the first step"
clue = "What must be there before the next?"
working = "1. As it stands"
basis = "common practice"
[exercise.order.items]
saw = "saw the tube"
file = "file the ends square"
solder = "solder them on"
[exercise.order.slips]
"filed last" = {gives = ["saw", "solder", "file"], says = "Soldered on, no file reaches between them."}
"soldered first" = {gives = ["solder", "saw", "file"], says = "There is nothing to solder yet."}

[exercise.tube]
kind = "table"
title = "Two tubes"
task = "How long, and from which stock?"
right = [["length", "tube"], ["length / 2", "wire"]]
columns = [{name = "length", unit = "mm", fine = "caliper"}, {name = "stock", words = ["tube", "wire"]}]
clue = "The pin is half of it."
working = "1. {length:.2f} mm, and {half:.2f} mm"
basis = "common practice"
[exercise.tube.rows]
hinge = "the hinge"
pin = "the pin"
[exercise.tube.sums]
length = "half * 2"
half = "sqrt(plate_diameter ** 2) / 2"
[exercise.tube.slips]
"both alike" = {gives = [["length", "tube"], ["length", "wire"]], says = "The pin is shorter."}
"both halved" = {gives = [["half", "tube"], ["half", "wire"]], says = "Only the pin is half."}
"""


def written(folder: Path, text: str, name: str = "our-hinge.toml") -> Path:
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


def test_every_kind_can_be_written_without_a_line_of_code(tmp_path: Path) -> None:
    lesson = load_own(written(tmp_path, OTHER_KINDS))
    jobs = made_up_jobs(12)
    assert str(tried(lesson, jobs)) == "Tried on 12 jobs: nothing is ambiguous, and every slip is told apart."
    bore, order, tube = lesson.exercises
    width = jobs[0].readings["plate_diameter"].value
    assert tube.expected(jobs[0]) == [[pytest.approx(width), "tube"], [pytest.approx(width / 2), "wire"]]
    assert bore.judged("b", jobs[0]).says == "It wanders without a start."
    # the steps stand in order in the file, and never so for all learners
    assert len({order.written(order.expected(job), job) for job in jobs}) > 2


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('/ 3"\n', '/ 0"\n'), "line 8: knuckle: 'plate_diameter / 0' divides by nothing on this job."),
        (('plate_diameter / 3"\n', 'plate_diamete / 3"\n'), "line 8: .* did you mean 'plate_diameter'"),
        (
            ("{right:.2f} mm", "{rigth:.2f} mm"),
            r"line 12: knuckle: \{rigth\} is no hole .* did you mean \{right\}",
        ),
        (("plate_diameter / 2", "notch_pin / 2"), "line 16: knuckle: 'notch_pin' is no size, choice or sum"),
        (('plate_diameter / 3"\n', 'post_wire.real"\n'), "line 8: .*nothing that a formula can hold"),
        (('plate_diameter / 3"\n', '9 ** 9 ** 9 ** 9"\n'), "line 8: .*comes to no number on this job"),
    ],
)
def test_faults_that_show_on_a_job_are_told_with_their_line(
    tmp_path: Path, change: tuple[str, str], said: str
) -> None:
    assert change[0] in SOUND
    lesson = load_own(written(tmp_path, SOUND.replace(*change)))
    assert re.search(f"it cannot be asked: our-hinge.toml, {said}", str(tried(lesson, made_up_jobs(6))))


IN_A_BOOK = SOUND.replace('"common practice"', '"handbook"\nsource = "{book}, {where}"').replace(
    "[exercise.knuckle]",
    'phrases = {book = "Our book of hinges", where = "page 3", size = "{plate_diameter:.2f}"}\n'
    '[exercise.knuckle]\nphrases.where = "page 7"',
)


def test_a_source_names_its_book_by_a_phrase_of_the_exercise_or_the_file(tmp_path: Path) -> None:
    (exercise,) = load_own(written(tmp_path, IN_A_BOOK)).exercises
    assert exercise.source_line() == "Our book of hinges, page 7 (handbook)."


@pytest.mark.parametrize(
    ("hole", "said"),
    [
        ("boook", r"{boook} in a source is no phrase .* did you mean {book}\?"),
        ("right", "{right} in a source is no phrase that is the same for every job"),
        ("size", "{size} in a source is no phrase that is the same for every job"),
    ],
)
def test_a_source_with_an_unknown_hole_is_refused_with_its_line(tmp_path: Path, hole: str, said: str) -> None:
    with pytest.raises(Refused, match=f"our-hinge.toml, line 16: knuckle: {said}"):
        load_own(written(tmp_path, IN_A_BOOK.replace("{book}", f"{{{hole}}}")))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('unit = "mm"', 'unit = "mm'), "cannot be read: .*line 9"),
        (('clue = "How many knuckles share the length?"\n', ""), "line 4: knuckle: clue is missing"),
        (('"common practice"', '"hearsay"'), "line 13: knuckle: its basis 'hearsay' is none of"),
        (('"common practice"', '"handbook"'), "line 13: .*no source is named"),
        (('says = "That is the whole hinge."', 'says = ""'), "line 17: .*the slip 'all of it' says nothing"),
        (('kind = "size"', 'kind = "syze"'), "line 5: knuckle: its kind 'syze' is none of"),
        (('fine = "caliper"', "fine = {step = 0.1}"), "line 10: .*says nothing. Write .*{to = 0.1, why"),
        (('fine = "caliper"', 'fine = "kaliper"'), "line 10: .*'kaliper' is not an instrument"),
        (
            ('fine = "caliper"', 'fien = "caliper"'),
            "line 10: knuckle: 'fien' is nothing .* mean 'fine'",
        ),
        (("{plate_diameter:.2f} / 3", "{plate_diameter:.2f / 3"), "line 12: knuckle: its braces"),
        (('right = "plate_diameter / 3"\n', ""), "line 4: knuckle: it has words but no sums"),
        (("[exercise.knuckle.slips]", SOUND + "[exercise.knuckle.slips]"), "cannot be read"),
        (("[exercise.knuckle]", "[exercises.knuckle]"), "line 4: 'exercises' .* did you mean 'exercise'"),
    ],
)
def test_a_file_that_will_not_do_is_refused_with_its_line(
    tmp_path: Path, change: tuple[str, str], said: str
) -> None:
    assert change[0] in SOUND
    with pytest.raises(Refused, match=f"our-hinge.toml,? {said}"):
        load_own(written(tmp_path, SOUND.replace(*change, 1)))


def test_a_file_that_is_not_called_so_or_not_there_is_refused(tmp_path: Path) -> None:
    for name in ("Our Hinge.toml", "02.toml", "our-hinge.txt", "our-hinge.py"):
        with pytest.raises(Refused, match="does not do as the name"):
            load_own(written(tmp_path, SOUND, name))
    with pytest.raises(Refused, match="no such file"):
        load_own(tmp_path / "none.toml")


def test_it_opens_in_a_notebook_with_the_learners_job_or_with_its_own(tmp_path: Path) -> None:
    (tmp_path / "hinge.csv").write_bytes((data_folder() / "demo-six-claws.csv").read_bytes())
    path = written(tmp_path, SOUND)
    with pytest.raises(CannotGoOn, match="names no job"):
        open_own(path)
    own = written(tmp_path, 'job = "hinge.csv"\n' + SOUND, "our-job.toml")
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
    assert class_commands.set_work(arguments) == 0
    said = json.loads((tmp_path / "set" / "set-work.json").read_text(encoding="utf-8"))
    assert said["own_files"] == ["our-hinge.toml"] and "our-hinge/knuckle" in said["asked"]
    assert (tmp_path / "set" / "our-hinge.toml").read_text(encoding="utf-8") == SOUND
    code = said["learners"][0]["code"]
    record = tmp_path / "home" / "answers.jsonl"
    lesson = open_own(path, my_job(code), record)
    exercise = lesson.lesson.exercise("knuckle")
    lesson.ask("knuckle", exercise.written(exercise.expected(my_job(code)), my_job(code)))
    handed = hand_in(code, record)
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / handed.path.name).write_bytes(handed.path.read_bytes())
    marks = ["--record", str(tmp_path / "set" / "set-work.json"), "-o", str(tmp_path / "marks")]
    assert class_commands.mark([str(tmp_path / "in"), *marks]) == 0
    book = (tmp_path / "marks" / "mark-list.csv").read_text(encoding="utf-8-sig").splitlines()
    assert f"1,Ann Example,{code},1,8," in book[1] and "our-hinge/knuckle" in book[0]
