"""Setting work: a code for every learner, no two alike in the numbers asked; the teacher's own record."""

import html
import json
from collections import Counter
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from course_lib import class_commands, ways_in
from course_lib.bench.refusals import Refused
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.keys import as_plain
from course_lib.classroom.exercises.lesson_check import faults_of
from course_lib.classroom.exercises.sizes import SizeAsked
from course_lib.classroom.pieces.learner_code import code_from, difficulty_of
from course_lib.classroom.pieces.own_numbers import is_sound, job_of, sheet_of
from course_lib.classroom.school.class_list import Learner
from course_lib.classroom.school.set_work import MOST_SHARED, WorkSet, set_work
from course_lib.classroom.school.tickets import code_list, tickets_page
from course_lib.classroom.school.work_record import (
    Given,
    SetWork,
    asked_in,
    due_at,
    new_seed,
    read_record,
    write_record,
)
from tests.invented_class import NAMES, class_list

CLASS = [Learner(str(1001 + at), name) for at, name in enumerate(NAMES)]
ASKED = asked_in(["03", "07", "08"], [], [])


@pytest.fixture(scope="module")
def work() -> WorkSet:
    return set_work(CLASS, ASKED, "usual", "a word")


def test_everybody_has_a_code_of_their_own_and_a_sound_job(work: WorkSet) -> None:
    assert [given.name for given in work.given] == list(NAMES)
    assert len({given.code for given in work.given}) == len(CLASS)
    for given, sheet in zip(work.given, work.sheets, strict=True):
        job = job_of(given.code)
        assert given.digest == job.digest and sheet == sheet_of(given.code)
        assert difficulty_of(given.code) == "usual" and is_sound(job.plan())


def test_every_exercise_can_be_asked_of_everybody(work: WorkSet) -> None:
    for given in work.given[:6]:
        for _, exercise in ASKED:
            job = job_of(given.code)
            assert exercise.judged(exercise.written(exercise.expected(job), job), job).is_right


def test_no_slip_leads_to_the_right_answer_for_anybody(work: WorkSet) -> None:
    for given in work.given[:6]:
        for _, exercise in ASKED:
            faults = faults_of(exercise, job_of(given.code))
            assert not [fault for fault in faults if "right answer" in fault], (given.code, exercise.name)


def test_no_two_learners_are_alike_in_the_numbers_asked(work: WorkSet) -> None:
    """Worked anew: give every learner's right numbers to every other one, and let the exercises judge."""
    numbers = [exercise for _, exercise in ASKED if isinstance(exercise, SizeAsked)]
    jobs = [job_of(given.code) for given in work.given]
    answers = [[exercise.number(exercise.expected(job)) for exercise in numbers] for job in jobs]
    most = 0.0
    for one, other in combinations(range(len(jobs)), 2):
        same = sum(
            abs(mine - theirs) <= min(exercise.tolerance(mine), exercise.tolerance(theirs))
            for exercise, mine, theirs in zip(numbers, answers[one], answers[other], strict=True)
        )
        most = max(most, same / len(numbers))
    assert most == pytest.approx(work.most_shared) and most <= MOST_SHARED


def test_the_same_word_gives_the_same_codes_and_another_word_others() -> None:
    few = CLASS[:4]
    one, again, other = (set_work(few, ASKED[:3], "first", word) for word in ("x", "x", "y"))
    assert [given.code for given in one.given] == [given.code for given in again.given]
    assert not {given.code for given in one.given} & {given.code for given in other.given}
    # a learner keeps their code when others come or go
    fewer = set_work(few[:2], ASKED[:3], "first", "x")
    assert [given.code for given in fewer.given] == [given.code for given in one.given[:2]]
    assert len({new_seed() for _ in range(100)}) == 100


def test_what_differs_is_said_in_words(work: WorkSet) -> None:
    said = work.differing(ASKED)
    assert said[0].startswith("Of the ") and "no two learners have more than" in said[0]
    named = " ".join(said)
    assert all(f"{lesson}/{exercise.name}" in named for lesson, exercise in ASKED if not exercise.ticks)


def test_an_exercise_that_no_job_allows_is_refused() -> None:
    def never(job: Any) -> Any:
        raise Refused("never")

    from dataclasses import replace

    lesson, exercise = ASKED[0]
    with pytest.raises(Refused, match="cannot be asked of jobs of the difficulty 'first'"):
        set_work(CLASS[:1], [(lesson, replace(exercise, expected=never))], "first", "x")
    with pytest.raises(Refused, match="no difficulty"):
        set_work(CLASS[:1], ASKED[:1], "impossible", "x")


# --- the record ----------------------------------------------------------------------------------------


def written(folder: Path, work: WorkSet, **more: Any) -> SetWork:
    names = tuple((lesson, exercise.name) for lesson, exercise in ASKED)
    set_up = SetWork(
        "Ring & basket", names, tuple(work.given), due_at("2027-01-15"), "usual", "a word", **more
    )
    return write_record(set_up, work.sheets, work.choices, work.keys, folder / "set-work.json")


def test_the_record_comes_back_as_it_was_written(tmp_path: Path, work: WorkSet) -> None:
    found = written(tmp_path, work)
    assert found.learners == tuple(work.given) and found.asked[0] == ("03", ASKED[0][1].name)
    assert found.due == due_at("2027-01-15") and (found.title, found.seed) == ("Ring & basket", "a word")
    assert [found.sheet_of(given.code) for given in work.given] == work.sheets
    assert [list(map(as_plain, found.keys_of(given.code))) for given in work.given] == [
        json.loads(json.dumps(list(map(as_plain, keys)))) for keys in work.keys
    ]
    asked = [(each.name, each.title) for each in found.exercises()]
    assert asked == [(exercise.name, exercise.title) for _, exercise in ASKED]
    # plain JSON for any program, and written anew by one it is still read
    said = json.loads((tmp_path / "set-work.json").read_text(encoding="utf-8"))
    (tmp_path / "anew.json").write_text(json.dumps(said, indent=2), encoding="utf-8")
    anew = read_record(tmp_path / "anew.json")
    assert anew.learners == found.learners and anew.sheet_of(work.given[3].code) == work.sheets[3]


def test_the_record_keeps_the_sheets_should_the_rules_of_making_them_up_ever_change(
    tmp_path: Path, work: WorkSet
) -> None:
    written(tmp_path, work)
    path = tmp_path / "set-work.json"
    path.write_text(
        path.read_text(encoding="utf-8").replace(
            "stone,diameter,mm,caliper,", "stone,diameter,mm,caliper,9", 1
        ),
        encoding="utf-8",
    )
    first = read_record(path).sheet_of(work.given[0].code)
    assert first != work.sheets[0]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda text: text[: len(text) // 2], "cut short"),
        (lambda text: "", "no record"),
        (lambda text: "[]", "no record"),
        (lambda text: text.replace("work", "shopping list", 1), "no record of set work"),
        (lambda text: text.replace('"version": 2', '"version": 3'), "newer version"),
        (lambda text: text.replace('"due":', '"until":'), "lacks something"),
        (lambda text: text.replace('"code": "', '"code": "X'), "has 10 letters"),
    ],
)
def test_a_damaged_record_is_refused(tmp_path: Path, work: WorkSet, change: Any, said: str) -> None:
    written(tmp_path, work)
    path = tmp_path / "set-work.json"
    path.write_text(change(path.read_text(encoding="utf-8")), encoding="utf-8")
    with pytest.raises(Refused, match=said):
        read_record(path)


def test_a_code_that_stands_twice_in_the_record_is_refused(tmp_path: Path) -> None:
    code = code_from("first", "x")
    twice = (Given("1", "A", code, "d"), Given("2", "B", code, "d"))
    with pytest.raises(Refused, match="stands there twice"):
        write_record(
            SetWork("x", (), twice),
            [sheet_of(code)] * 2,
            [job_of(code).choices] * 2,
            [[], []],
            tmp_path / "a.json",
        )


@pytest.mark.parametrize("text", ["tomorrow", "2027-13-01", "1/15/2027", "31.2.2027", "2027-01-15T25:00"])
def test_a_date_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(Refused, match="is no date"):
        due_at(text)


def test_a_date_is_the_end_of_its_day_where_the_teacher_is() -> None:
    due = due_at("2027-01-15")
    assert due is not None and due.tzinfo is not None and (due.hour, due.minute) == (23, 59)
    at_six = due_at("2027-01-15T18:00")
    assert at_six is not None and at_six.hour == 18
    assert due_at(None) is None


@pytest.mark.parametrize(
    ("lessons", "names", "said"),
    [
        ([], [], "No exercise is set"),
        (["99"], [], "There is no lesson '99'"),
        ([], ["density"], "LESSON/NAME"),
        ([], ["02/densty"], "Write 'density'"),
    ],
)
def test_what_is_not_there_is_refused_with_an_offer(lessons: list[str], names: list[str], said: str) -> None:
    with pytest.raises(Refused, match=said):
        asked_in(lessons, names, [])


def test_exercises_are_set_once_and_in_the_order_of_the_course() -> None:
    chosen = asked_in(["04", "02"], ["02/density", "01/value"], [])
    assert [lesson for lesson, _ in chosen] == sorted(lesson for lesson, _ in chosen)
    assert Counter((lesson, each.name) for lesson, each in chosen).most_common(1)[0][1] == 1
    assert [each.name for lesson, each in chosen if lesson == "02"] == [
        each.name for each in find_lesson("02").exercises
    ]


# --- paper ---------------------------------------------------------------------------------------------


def test_tickets_hold_every_code_and_no_name_breaks_the_page(tmp_path: Path, work: WorkSet) -> None:
    page = tickets_page(written(tmp_path, work)).decode("utf-8")
    assert all(given.code in page for given in work.given)
    assert "15 January 2027" in page and "Ring &amp; basket" in page
    assert "Ulla O'Example" in html.unescape(page) and "山田 見本" in page
    assert "<script" not in page and "http" not in page


def test_the_list_of_codes_runs_no_formula(tmp_path: Path, work: WorkSet) -> None:
    text = code_list(written(tmp_path, work)).decode("utf-8-sig")
    assert "'=cmd|" in text and "'@SUM" in text and "\n=" not in text
    assert len(text.splitlines()) == len(CLASS) + 1


# --- the command ---------------------------------------------------------------------------------------


def test_the_command_sets_work(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    listed = tmp_path / "class.csv"
    listed.write_text(class_list(NAMES[:5]), encoding="utf-8")
    out = tmp_path / "set"
    arguments = [str(listed), "-o", str(out), "--exercises", "02/density", "07/wire", "--due", "2027-01-15"]
    assert (
        class_commands.set_work([*arguments, "--difficulty", "first", "--seed", "x", "--title", "Rings"]) == 0
    )
    said = capsys.readouterr().out
    assert (
        "5 learners, from Alvar Test (number 1001)" in said
        and "2 exercises" in said
        and "tickets.html" in said
    )
    assert sorted(path.name for path in out.iterdir()) == [
        "codes.csv",
        "handed-in",
        "numbers.txt",
        "set-work.json",
        "tickets.html",
    ]
    found = read_record(out / "set-work.json")
    assert found.title == "Rings" and found.asked == (("02", "density"), ("07", "wire"))
    # a second time would change everybody's code
    assert class_commands.set_work(arguments) == 2
    assert "holds set work already" in capsys.readouterr().err
    assert read_record(out / "set-work.json").learners == found.learners


def test_the_command_refuses_before_anything_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    listed = tmp_path / "class.csv"
    listed.write_text("name,number\nAnn,1\nBo,1\n", encoding="utf-8")
    for more in (["--lessons", "02"], ["--lessons", "99"], ["--lessons", "02", "--due", "soon"]):
        assert class_commands.set_work([str(listed), "-o", str(tmp_path / "set"), *more]) == 2
        listed.write_text("name\nAnn\n", encoding="utf-8")
    assert not (tmp_path / "set").exists()
    assert "too. Every learner needs" in capsys.readouterr().err


def test_the_ways_in_know_the_commands() -> None:
    for name in ("set-work", "mark", "try-exercise"):
        assert callable(ways_in.load(ways_in.COMMANDS[name].place)) and name in ways_in.help_text()
