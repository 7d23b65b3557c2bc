"""Answers: how they are read, and every stage of the judge."""

import math
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from course_lib.bench.measuring import decimals_of, measured
from course_lib.bench.units import gram, mm, quantity, size, um
from course_lib.classroom.exercises.course import find_lesson
from course_lib.classroom.exercises.exercise import Slip
from course_lib.classroom.exercises.fineness import Division, GaugeDivision, TwoFigures, Whole
from course_lib.classroom.exercises.judge import Found
from course_lib.classroom.exercises.lists import ChoiceAsked, OrderAsked
from course_lib.classroom.exercises.sizes import NumberAsked, SizeAsked
from course_lib.classroom.exercises.typed import CannotRead, as_typed, is_blank, read_answer
from course_lib.classroom.exercises.verdicts import Verdict
from course_lib.classroom.pieces.job_in_hand import JobInHand, demo_job
from course_lib.screen.pages import paragraphs

JOB = demo_job()
UNHURRIED = settings(max_examples=300, deadline=None)


def rest(**said: Any) -> dict[str, Any]:
    """What every exercise must say, filled with nothing in particular."""
    common: dict[str, Any] = {
        "name": "it", "title": "It", "task": "How much?", "clue": "Look.", "working": "So.",
        "basis": "common practice", "source": "", "objective": "do",
        "slips": (),
    }  # fmt: skip
    return common | said


WIRE = SizeAsked(
    unit="mm",
    fineness=GaugeDivision("caliper"),
    **rest(
        expected=lambda job: 0.8,
        slips=(Slip("radius", lambda job: 0.4, "Half."), Slip("never here", lambda job: None, "No.")),
        well_done="Draw it.",
    ),
)
COUNT = NumberAsked(counted="readings", **rest(expected=lambda job: 12))
DOUBT = SizeAsked(unit="um", fineness=TwoFigures(), **rest(expected=lambda job: 0.2887))
LEAN = SizeAsked(unit="degree", fineness=Division(0.5), **rest(expected=lambda job: -8.0))
CHOICE = ChoiceAsked(
    choices=lambda job: {"saw": "the saw", "file": "the file", "torch": "the torch"},
    **rest(expected=lambda job: "file", slips=(Slip("hot", lambda job: "torch", "Too hot."),)),
)
ORDER = OrderAsked(
    items=lambda job: {"three": "3 mm", "one": "1 mm", "two": "2 mm", "four": "4 mm"},
    first="the thinnest",
    **rest(
        expected=lambda job: ["one", "two", "three", "four"],
        slips=(Slip("backwards", lambda job: ["four", "three", "two", "one"], "Turn it."),),
    ),
)


# --- reading ---


@pytest.mark.parametrize(
    ("answer", "in_mm"),
    [
        ("0.81 mm", 0.81),
        ("0,81 mm", 0.81),
        ("0,81mm", 0.81),
        (" '0.81 mm' ", 0.81),
        ("\u00a00.81\u00a0mm ", 0.81),
        (".81 mm", 0.81),
        ("810 µm", 0.81),
        ("810 um", 0.81),
        ("0.081 cm", 0.81),
        ("1/32 in", 25.4 / 32),
        ("1 1/2 in", 38.1),
        ("32 thou", 0.8128),
        ("20 AWG", 0.127 * 92 ** (16 / 39)),
        ("AWG 20", 0.127 * 92 ** (16 / 39)),
        (0.81 * mm, 0.81),
        (810 * um, 0.81),
        (size("0,81 mm"), 0.81),
        ("-0.004 mm", -0.004),
        ("\u22120.004 mm", -0.004),
        ("0 mm", 0.0),
        (measured([0.8 * mm, 0.82 * mm], 0.01 * mm), 0.81),
    ],
)
def test_a_length_is_read_in_every_form(answer: Any, in_mm: float) -> None:
    assert read_answer(answer).amount.m_as("mm") == pytest.approx(in_mm, abs=1e-12)


@pytest.mark.parametrize(
    ("answer", "unit", "number"),
    [
        ("1,25 g", "gram", 1.25),
        ("12 °", "degree", 12),
        ("12 deg", "degree", 12),
        ("60 %", "percent", 60),
        ("0.5 ct", "carat", 0.5),
        ("3 N", "newton", 3),
        ("90 MPa", "MPa", 90),
        ("20 °C", "degC", 20),
        ("2.5 mm³", "mm**3", 2.5),
        ("1.5 mm2", "mm**2", 1.5),
        ("13.6 g/cm3", "gram/cm**3", 13.6),
        ("15 min", "minute", 15),
    ],
)
def test_other_units_are_read_as_people_write_them(answer: str, unit: str, number: float) -> None:
    assert read_answer(answer).amount.m_as(unit) == pytest.approx(number)


@pytest.mark.parametrize(
    "answer", [3, 3.0, "3", "3,0", np.int64(3), np.float64(3), Decimal(3), Fraction(6, 2)]
)
def test_a_plain_number_has_no_unit(answer: Any) -> None:
    read = read_answer(answer)
    assert (read.number, read.unit, read.amount) == (3.0, "", None)


@pytest.mark.parametrize(
    ("answer", "place"),
    [
        ("0,81 mm", 0.01),
        ("0.810 mm", 0.001),
        ("12 mm", 1.0),
        ("1/32 in", None),
        ("20 AWG", None),
        (0.81 * mm, 0.01),
        (2.4072 / 3 * mm, 0.0001),
        (0.1 / 3 * mm, None),
    ],
)
def test_the_last_place_is_that_which_was_typed(answer: Any, place: float | None) -> None:
    found = read_answer(answer).place
    assert found == (None if place is None else pytest.approx(place))


STRANGE = [
    True,
    float("nan"),
    math.inf,
    10**400,
    1j,
    [],
    [1, 2],
    {},
    object(),
    mm,
    b"0.8 mm",
    int,
    (0, 81),
    lambda: 1,
    np.array([1.0, 2.0]),
    np.array([1.0, 2.0]) * mm,
    np.array(None),
    quantity(float("nan"), "mm"),
    "wide",
    "mm",
    "0.8 mil",
    "0.8 0.9 mm",
    "0.8 ± 0.1 mm",
    "3 bananas",
    "1.234,5 mm",
    "99 AWG",
    "9" * 400 + " mm",
    "\x00",
    "1/0 in",
    "None",
]


@pytest.mark.parametrize("answer", STRANGE, ids=lambda a: repr(a)[:20].encode("ascii", "replace").decode())
def test_what_cannot_be_read_is_refused_in_a_sentence(answer: Any) -> None:
    with pytest.raises(CannotRead) as refusal:
        read_answer(answer)
    assert str(refusal.value).endswith(".")
    assert "Error" not in str(refusal.value)


@pytest.mark.parametrize("exercise", [WIRE, COUNT, DOUBT, CHOICE, ORDER], ids=lambda e: type(e).__name__)
@pytest.mark.parametrize("answer", STRANGE, ids=lambda a: repr(a)[:20].encode("ascii", "replace").decode())
def test_no_answer_whatever_raises(exercise: Any, answer: Any) -> None:
    verdict = exercise.judged(answer, JOB)
    assert verdict.found is Found.UNREADABLE
    assert verdict.says


@given(st.text(max_size=30))
@UNHURRIED
def test_no_text_whatever_raises(text: str) -> None:
    for exercise in (WIRE, COUNT, DOUBT, CHOICE, ORDER):
        assert exercise.judged(text, JOB).says


@given(
    st.floats(allow_nan=True, allow_infinity=True),
    st.sampled_from(["mm", "um", "gram", "degC", "", "percent"]),
)
@UNHURRIED
def test_no_quantity_whatever_raises(number: float, unit: str) -> None:
    for exercise in (WIRE, COUNT, DOUBT, LEAN):
        assert exercise.judged(quantity(number, unit), JOB).says


def test_a_comma_outside_quotes_is_explained() -> None:
    with pytest.raises(CannotRead, match="quotes"):
        read_answer((0, 81))


def test_blank_answers_are_no_answers() -> None:
    assert all(is_blank(answer) for answer in (None, "", "  ", ...))
    assert not any(is_blank(answer) for answer in (0, "0", 0 * mm, False))


def test_the_record_keeps_an_answer_as_typed() -> None:
    assert as_typed(" 0,81 mm ") == "0,81 mm"
    assert as_typed(0.81 * mm) == "0.81 mm"
    assert as_typed(measured([0.8 * mm], 0.01 * mm)) == "0.8 mm"
    assert len(as_typed("9" * 1000)) <= 200
    assert "0x" not in as_typed(object())


# --- the judge's stages ---


@pytest.mark.parametrize(
    ("answer", "found"),
    [
        ("wide", Found.UNREADABLE),
        ("0.8", Found.NO_UNIT),
        (0.8, Found.NO_UNIT),
        ("0,8", Found.NO_UNIT),
        ("0.8 g", Found.OTHER_KIND),
        (0.8 * gram, Found.OTHER_KIND),
        ("0.8 °", Found.OTHER_KIND),
        ("0.8 mm", Found.RIGHT),
        ("0,80 mm", Found.RIGHT),
        (0.8 * mm, Found.RIGHT),
        ("0.08 cm", Found.RIGHT),
        ("0.805 mm", Found.TOO_FINE),
        ("0.795 mm", Found.TOO_FINE),
        ("800 µm", Found.TOO_FINE),
        (2.4 / 3 * mm, Found.RIGHT),
        (2.4000001 / 3 * mm, Found.RIGHT),
        ("0.8003 mm", Found.TOO_FINE),
        ("0.8 cm", Found.WRONG_UNIT),
        ("0.8 in", Found.WRONG_UNIT),
        ("0.8 µm", Found.WRONG_UNIT),
        ("0.4 mm", Found.SLIP),
        ("0.0157 in", Found.SLIP),
        ("0.404 mm", Found.SLIP),
        ("0.81 mm", Found.CLOSE),
        ("0.79 mm", Found.CLOSE),
        ("0.815 mm", Found.CLOSE),
        ("0.82 mm", Found.WRONG),
        ("8 mm", Found.WRONG),
        ("0.08 mm", Found.WRONG),
        ("80 mm", Found.WRONG),
        ("-0.8 mm", Found.WRONG),
        ("0 mm", Found.WRONG),
        ("5 mm", Found.WRONG),
        ("0.1 mm", Found.WRONG),
    ],
)
def test_every_stage_of_a_size(answer: Any, found: Found) -> None:
    assert WIRE.judged(answer, JOB).found is found


@pytest.mark.parametrize(
    ("answer", "says"),
    [
        ("0.8", "unit"),
        ("0.8 g", "a weight"),
        ("0.805 mm", "one division of the caliper is 0.01 mm"),
        ("0.8 cm", "you wrote cm"),
        ("0.4 mm", "Half."),
        ("0.81 mm", "too large"),
        ("0.79 mm", "too small"),
        ("8 mm", "ten times too large"),
        ("0.008 mm", "a hundred times too small"),
        ("800 mm", "a thousand times too large"),
        ("-0.8 mm", "sign"),
        ("5 mm", "more than twice"),
        ("0.1 mm", "less than half"),
        ("0.9 mm", "Too large"),
        ("0.7 mm", "Too small"),
    ],
)
def test_each_stage_has_its_own_sentence(answer: str, says: str) -> None:
    assert says in WIRE.judged(answer, JOB).says


def test_the_number_of_a_wrong_answer_is_never_given_away() -> None:
    for answer in ("0.81 mm", "0.9 mm", "8 mm", "0.4 mm", "0.8 cm", "0.8 g", "5 mm"):
        assert "0.80 mm" not in WIRE.judged(answer, JOB).says


def test_a_right_answer_says_what_it_means_at_the_bench() -> None:
    assert WIRE.judged("0.8 mm", JOB).in_full == "Right. Draw it."
    assert WIRE.judged("0.8004 mm", JOB).in_full.endswith("Write 0.80 mm. Draw it.")


@pytest.mark.parametrize(
    ("answer", "found"),
    [
        (12, Found.RIGHT),
        ("12", Found.RIGHT),
        ("12 readings", Found.RIGHT),
        ("12.0", Found.TOO_FINE),
        (12.0, Found.RIGHT),
        ("12 mm", Found.OTHER_KIND),
        (12 * mm, Found.OTHER_KIND),
        ("13", Found.WRONG),
        ("12.2", Found.WRONG),
        ("120", Found.WRONG),
        ("a dozen", Found.UNREADABLE),
    ],
)
def test_every_stage_of_a_count(answer: Any, found: Found) -> None:
    assert COUNT.judged(answer, JOB).found is found


def test_a_count_accepts_one_of_what_is_counted() -> None:
    one = replace(COUNT, expected=lambda job: 1)
    assert one.judged("1 reading", JOB).is_right


@pytest.mark.parametrize(
    ("answer", "found"),
    [
        ("0.29 µm", Found.RIGHT),
        ("0.289 µm", Found.RIGHT),
        ("0.00029 mm", Found.RIGHT),
        ("0.288675 µm", Found.TOO_FINE),
        ("0.29 mm", Found.WRONG_UNIT),
        ("0.3 µm", Found.CLOSE),
        ("0.5 µm", Found.WRONG),
        ("2.9 µm", Found.WRONG),
    ],
)
def test_a_doubt_is_known_to_two_figures(answer: str, found: Found) -> None:
    assert DOUBT.judged(answer, JOB).found is found


def test_a_negative_answer_can_be_right() -> None:
    assert LEAN.judged("-8 °", JOB).found is Found.RIGHT
    assert LEAN.judged("8 °", JOB).says.endswith("the wrong way round.")


@pytest.mark.parametrize(
    ("answer", "found"),
    [
        ("b", Found.RIGHT),
        ("B)", Found.RIGHT),
        ("file", Found.RIGHT),
        ("The file", Found.RIGHT),
        ("a", Found.WRONG),
        ("c", Found.SLIP),
        ("torch", Found.SLIP),
        ("d", Found.UNREADABLE),
        (2, Found.UNREADABLE),
    ],
)
def test_every_stage_of_a_choice(answer: Any, found: Found) -> None:
    assert CHOICE.judged(answer, JOB).found is found


@pytest.mark.parametrize(
    ("answer", "found", "says"),
    [
        ("b c a d", Found.RIGHT, ""),
        ("bcad", Found.RIGHT, ""),
        ("B, C, A, D", Found.RIGHT, ""),
        ("b>c>a>d", Found.RIGHT, ""),
        (["b", "c", "a", "d"], Found.RIGHT, ""),
        (("one", "two", "three", "four"), Found.RIGHT, ""),
        ("d a c b", Found.SLIP, "Turn it."),
        ("b a c d", Found.CLOSE, "exchanged"),
        ("d b c a", Found.WRONG, "the thinnest"),
        ("b d c a", Found.WRONG, "the first one is"),
        ("b c", Found.UNREADABLE, "each letter once"),
        ("b b a d", Found.UNREADABLE, "each letter once"),
        ("b c a e", Found.UNREADABLE, "each letter once"),
    ],
)
def test_every_stage_of_an_order(answer: Any, found: Found, says: str) -> None:
    verdict = ORDER.judged(answer, JOB)
    assert verdict.found is found
    assert says in verdict.says


def test_two_slips_that_lead_to_one_number_are_both_said() -> None:
    both = replace(WIRE, slips=(Slip("one", lambda job: 0.4, "This."), Slip("two", lambda job: 0.4, "That.")))
    assert both.judged("0.4 mm", JOB) == Verdict(Found.SLIP, "This. Or else: That.", "one")


def test_the_order_of_the_stages_is_that_of_the_list() -> None:
    # a right answer is never called a slip, even where a slip leads to it
    twice = replace(WIRE, slips=(Slip("same", lambda job: 0.8, "Never said."),))
    assert twice.judged("0.8 mm", JOB).is_right


@given(st.floats(0.05, 40), st.floats(0, 0.49))
@UNHURRIED
def test_within_half_a_step_is_right_and_a_whole_step_is_not(true: float, off: float) -> None:
    exercise = replace(WIRE, expected=lambda job: true, slips=())
    assert exercise.judged((true + off * 0.01) * mm, JOB).is_right
    assert not exercise.judged((true + (1 + off) * 0.01) * mm, JOB).is_right


# --- how fine ---


def test_tolerance_is_half_of_what_the_gauge_shows() -> None:
    assert GaugeDivision("micrometer").tolerance(0.8, "mm") == pytest.approx(0.0005)
    assert GaugeDivision("micrometer").tolerance(800, "um") == pytest.approx(0.5)
    assert GaugeDivision("fine balance").finest(0.4, "gram") == pytest.approx(0.001)
    assert GaugeDivision("caliper", mean=True).finest(0.8, "mm") == pytest.approx(0.001)
    assert Whole().tolerance(12, "") < 0.5


@given(st.floats(1e-4, 1e4))
@UNHURRIED
def test_two_figures_always_forgive_rounding_to_two_figures(value: float) -> None:
    rounded = float(f"{value:.1e}")
    assert abs(rounded - value) <= TwoFigures().tolerance(value, "um") * (1 + 1e-9)


@pytest.mark.parametrize(("step", "places"), [(1, 0), (0.5, 1), (0.1, 1), (0.05, 2), (0.001, 3), (10, 0)])
def test_decimals_show_the_step(step: float, places: int) -> None:
    assert decimals_of(step) == places


def test_what_a_learner_typed_is_never_taken_for_marks_of_a_page() -> None:
    assert "<script>" not in paragraphs("<script>alert(1)</script>")


def test_lessons_are_found_by_number_or_refused_with_a_sentence() -> None:
    assert find_lesson("01") is find_lesson(1)
    with pytest.raises(ValueError, match="There is no lesson 99"):
        find_lesson(99)


def test_a_job_is_planned_once() -> None:
    job = demo_job()
    assert isinstance(job, JobInHand)
    assert job.plan() is job.plan()
