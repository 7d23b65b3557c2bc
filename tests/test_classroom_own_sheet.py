"""The form of lesson 14: one's own earring comes through, and nothing that was typed is lost."""

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from course_lib.bench.tables import data_folder, rows_of
from course_lib.bench.units import size
from course_lib.classroom.page.asking import open_lesson
from course_lib.classroom.page.own_piece import beside_on, card_of, finished_beside
from course_lib.classroom.page.own_sheet import OwnSheet
from course_lib.classroom.page.sheet_form import SheetForm, duplicate_form, questions, sheet_form
from course_lib.classroom.pieces.job_in_hand import CannotGoOn, JobInHand, demo_job, demo_names, load_job
from course_lib.classroom.pieces.own_numbers import made_up_jobs

DEMOS = [data_folder() / f"demo-{name.replace(' ', '-')}.csv" for name in demo_names()]


def kept(path: Path) -> list[dict[str, str]]:
    """What stands in a sheet, read without the course."""
    return list(csv.DictReader(io.StringIO(path.read_text("utf-8-sig"))))


def typed_for(job: JobInHand) -> dict[str, str]:
    """What a learner would type for a piece, by the rows of the form: three readings a size."""
    typed = {"alloy": job.alloy, "gem": job.gem, "claws": str(job.claws), "title": "The swallow pair"}
    for question in questions():
        reading = job.readings.get(question.key)
        if reading is None:
            continue
        if question.kind == "count":
            typed[question.key] = f"{reading.value:g}"
        else:
            typed[question.key] = " ".join(f"{reading.value + more:.3f}" for more in (0, 0.002, -0.002))
    return typed


# --- a learner with an earring of their own ---


@pytest.mark.parametrize("job", made_up_jobs(6)[1::2], ids=lambda job: job.title)
def test_a_learner_types_an_earring_in_and_takes_the_card_away(job: JobInHand, tmp_path: Path) -> None:
    """Another form, alloy and stone than the demo, through the form only; one row wrong at first."""
    form = sheet_form(tmp_path / "mine.csv")
    assert "21 needed rows are empty" in form.said.value
    for key, text in typed_for(job).items():
        row = form.rows[key]
        if key == "post_wire":
            row.box.value = str(10 * job.readings[key].value)
            assert "course-wrong" in row.box._dom_classes and "Did you mean" in row.said.value
            assert "Look again at: post, wire" in form.said.value
        row.box.value = text
        assert row.trouble == "" and "course-wrong" not in row.box._dom_classes, row.trouble
    assert "Complete, and saved as mine.csv" in form.said.value
    mine = form.job()
    assert (mine.title, mine.claws, mine.alloy, mine.gem) == (
        "The swallow pair",
        job.claws,
        job.alloy,
        job.gem,
    )
    for key, reading in job.readings.items():
        gauge = (
            0.015 if form.rows[key].gauge.value == "plug gauge" else 0
        )  # a plug reads low by half its step
        assert mine.readings[key].value == pytest.approx(reading.value + gauge, abs=1e-3), key
    said = card_of(mine, tmp_path / "mine.pdf")
    assert "mine.pdf" in repr(said)
    text = " ".join(page.extract_text() for page in PdfReader(tmp_path / "mine.pdf").pages)
    assert "The swallow pair" in text and job.alloy in text
    assert "Demo" not in text and "harbour" not in text


def test_the_page_goes_over_to_ones_own_piece_with_nothing_of_the_demo_left(tmp_path: Path) -> None:
    job = made_up_jobs(2)[1]
    form = sheet_form(tmp_path / "mine.csv")
    form.fill(**typed_for(job))
    lesson = open_lesson("14", demo_job(), tmp_path / "answers.jsonl")
    mine = form.job_or(demo_job())
    assert repr(lesson.take(mine)) == "From here on this page is about: The swallow pair."
    demo = demo_job()
    for shown in (lesson.panel(), lesson.figure("drawing"), lesson.ask("staple"), lesson.ask("roll")):
        assert "Demo" not in repr(shown) and "harbour" not in repr(shown)
    assert f"{demo.readings['stone_diameter'].value:.2f}" not in repr(lesson.figure("drawing"))
    assert lesson.panel().values["post_length"] == pytest.approx(mine.readings["post_length"].value)
    assert lesson.lesson.exercise("staple").expected(lesson.job) == mine.plan().plain("staple_blank")


# --- nothing is lost ---


def test_what_is_typed_is_there_again_when_the_page_is_opened_anew(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    form = sheet_form(path)
    form.fill(claw_wire="0,80; 0,81, 0,80 0,82 0.79", alloy="925 silver", claws="4", ring_wire="32 33 thou")
    form.rows["claw_wire"].gauge.value = "caliper"
    form.rows["closed caliper"].box.value = "-0,01"
    again = sheet_form(path)
    assert again.rows["claw_wire"].box.value == "0,80 0,81 0,80 0,82 0.79"
    assert again.rows["claw_wire"].gauge.value == "caliper"
    assert (again.rows["alloy"].box.value, again.rows["claws"].box.value) == ("925 silver", "4")
    assert again.rows["ring_wire"].box.value == "32 33 thou"
    assert again.rows["closed caliper"].box.value == "-0,01"
    assert [row["size"] for row in kept(path)] == ["alloy", "claws", "wire", "wire", "closed reading"]


@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_a_sheet_from_a_spreadsheet_comes_through_the_form_as_it_was(demo: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_bytes(demo.read_bytes())
    form = sheet_form(path)
    assert "Complete" in form.said.value
    assert [row.trouble for row in form.rows.values() if row.trouble] == []
    form.fill(title="Mine")
    before, after = load_job(demo), load_job(path)
    assert after.title == "Mine"
    assert dict(after.readings) == dict(before.readings)
    assert repr(after.choices) == repr(before.choices)
    assert dict(after.shared) == dict(before.shared)
    assert list(tmp_path.iterdir()) == [path], "nothing was left out, so no copy is needed"


def test_rows_that_the_form_does_not_know_stay_and_count(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    text = DEMOS[0].read_text("utf-8-sig")
    path.write_text(text + "choice,post spare,mm,,2,,,our way\n", "utf-8")
    form = sheet_form(path)
    form.fill(claw_tip="0.9 0.9 0.9")
    assert load_job(path).choices["post_spare"] == 2
    assert kept(path)[-1]["note"] == "our way"
    assert load_job(path).readings["claw_tip"].value == pytest.approx(0.9)


def test_two_pages_with_the_same_sheet_keep_what_each_was_told(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    one, other = sheet_form(path), sheet_form(path)
    one.fill(claw_wire="0.80 0.81 0.80")
    other.fill(post_wire="0.90 0.91 0.90")
    assert other.rows["claw_wire"].box.value == "0.80 0.81 0.80", "what the other page saved is shown too"
    one.fill(post_length="10.5")
    assert [row["size"] for row in kept(path)] == ["wire", "wire", "length"]
    one.fill(claw_wire="")
    other.fill(claws="4")
    assert [(row["part"], row["size"]) for row in kept(path)] == [
        ("piece", "claws"), ("post", "wire"), ("post", "length"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    "content",
    [b"PK\x03\x04 a workbook", b"\x00\x01\x02", b"no table at all\nsecond line\n", b"part,size\nx,y\n"],
)
def test_a_file_that_cannot_be_read_is_told_and_a_copy_of_it_kept(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_bytes(content)
    form = sheet_form(path)
    assert "a copy of that file is kept" in form.said.value
    assert path.read_bytes() == content, "opening the page changes nothing"
    form.fill(claws="4")
    (copy,) = tmp_path.glob("mine-until-*.csv")
    assert copy.read_bytes() == content
    assert kept(path)[0]["size"] == "claws"


def test_columns_of_somebody_elses_are_kept_in_a_copy(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("part,size,unit,instrument,reading 1,who\nclaw,wire,mm,micrometer,0.80,Ada\n", "utf-8")
    sheet_form(path).fill(claws="4")
    (copy,) = tmp_path.glob("mine-until-*.csv")
    assert "Ada" in copy.read_text("utf-8")
    assert [row["reading 1"] for row in kept(path)] == ["4", "0.80"]


def test_a_sheet_that_cannot_be_saved_says_so_and_is_checked_all_the_same(tmp_path: Path) -> None:
    form = sheet_form(tmp_path / "missing" / "mine.csv")
    form.fill(claw_wire="8")
    assert "It could not be saved" in form.said.value
    assert "cannot be right" in form.rows["claw_wire"].said.value


# --- each row is checked as it is entered ---


@pytest.mark.parametrize(
    ("key", "text", "said"),
    [
        ("claw_wire", "thick", "not a number"),
        ("claw_wire", "8", "cannot be right"),
        ("claw_wire", "0.80 8.0 0.81", "slipped decimal mark"),
        ("claw_wire", "0.80 mm 0.032 in", "has a unit of its own"),
        ("claw_wire", "0.8 g", "not a unit of a length"),
        ("claws", "2", "between 3 and 8"),
        ("claws", "four", "not a number"),
        ("claw_wire", "1e308", "not a number"),
        ("claw_wire", "nan", "not a number"),
        ("claw_wire", "-0.8", "less than nothing"),
        ("claw_wire", ";;;", "no reading"),
        ("weight", "400", "cannot be right"),
        ("post_length", "<b>", "not a number"),
        ("closed micrometer", "3", "large zero error"),
        ("closed micrometer", "dirty", "not a number"),
    ],
)
def test_what_cannot_be_right_turns_its_row_and_nothing_raises(
    tmp_path: Path, key: str, text: str, said: str
) -> None:
    form = sheet_form(tmp_path / "mine.csv")
    form.rows[key].box.value = text
    assert "course-wrong" in form.rows[key].box._dom_classes
    assert said in form.rows[key].said.value and "<b>" not in form.rows[key].said.value
    assert 'role="alert"' in form.rows[key].said.value
    with pytest.raises(CannotGoOn):
        form.job()
    assert form.job_or(demo_job()).title == demo_job().title


@pytest.mark.parametrize(
    ("text", "in_mm"),
    [
        ("0.80 0.81", 0.805), ("0,80 mm 0,81 mm", 0.805), ("1/32 in", 25.4 / 32),
        ("0.032 0.032 inch", 25.4 * 0.032),
        ("32 33 thou", 0.0254 * 32.5), ("800 µm", 0.8), ("0.08 cm", 0.8),
        # ASTM B258: a gauge number n is 0.127 mm times 92 to the power (36 - n)/39
        ("20 awg", 0.127 * 92 ** (16 / 39)), ("20 21 AWG", 0.127 * (92 ** (16 / 39) + 92 ** (15 / 39)) / 2),
    ],
)  # fmt: skip
def test_readings_in_other_units_are_taken(text: str, in_mm: float, tmp_path: Path) -> None:
    form = sheet_form(tmp_path / "mine.csv")
    form.fill(**(typed_for(made_up_jobs(1)[0]) | {"claw_wire": text}))
    assert form.rows["claw_wire"].trouble == ""
    assert form.job().readings["claw_wire"].value == pytest.approx(in_mm, abs=1e-5)


def test_what_the_closed_gauge_shows_is_taken_off(tmp_path: Path) -> None:
    form = sheet_form(tmp_path / "mine.csv")
    form.fill(**(typed_for(demo_job()) | {"claw_wire": "0.820 0.820 0.820"}))
    form.rows["closed micrometer"].box.value = "0.010 0.010"
    assert form.job().readings["claw_wire"].value == pytest.approx(0.810)


def test_sizes_that_are_right_alone_and_wrong_together_are_told(tmp_path: Path) -> None:
    form = sheet_form(tmp_path / "mine.csv")
    typed = typed_for(demo_job())
    form.fill(**typed)
    assert "culet" not in form.said.value
    form.fill(base_to_girdle="2.9 2.9 2.9")
    assert form.rows["base_to_girdle"].trouble == ""
    assert "culet" in form.said.value and "<strong>Stop:</strong>" in form.said.value


def test_the_form_asks_for_every_size_of_the_sheet_and_says_how() -> None:
    asked = {question.key: question for question in questions()}
    assert {row["key"] for row in rows_of("sheet_sizes")} <= asked.keys()
    for question in asked.values():
        assert question.how and "data/" not in question.how
        assert question.kind == "name" or question.example


def test_every_field_has_a_name_that_can_be_heard(tmp_path: Path) -> None:
    form = sheet_form(tmp_path / "mine.csv")
    named = [row.box.description for row in form.rows.values()] + [
        row.gauge.description for row in form.rows.values()
    ]
    assert len(set(named)) == len(named) and all(named)


# --- the finished duplicate ---


def finished(tmp_path: Path, **readings: str) -> SheetForm:
    form = duplicate_form(demo_job(), tmp_path / "made.csv")
    form.fill(**readings)
    return form


def test_the_second_form_asks_for_what_the_pattern_has_and_may_stay_half_empty(tmp_path: Path) -> None:
    form = finished(tmp_path, post_length="10.9 10.9 10.9", claw_wire="0.80 0.81 0.80")
    lengths = [key for key in form.rows if not key.startswith("closed")]
    assert "sheet_start" not in lengths and "alloy" not in lengths and "bend_radius" not in lengths
    assert f"2 of {len(lengths)} sizes are filled" in form.said.value
    again = duplicate_form(demo_job(), tmp_path / "made.csv")
    assert again.rows["post_length"].box.value == "10.9 10.9 10.9"


def test_the_finished_duplicate_is_set_beside_its_pattern(tmp_path: Path) -> None:
    job = demo_job()
    assert "Fill the second form" in repr(finished_beside(job, tmp_path / "none.csv"))
    finished(tmp_path, post_length="10.90 10.90 10.90", claw_wire="0.801 0.799 0.803")
    finished(tmp_path, plate_diameter="5.94 5.95 5.94")
    found = finished_beside(job, tmp_path / "made.csv")
    rows = {row.size: row for row in found.compared.itertuples()}
    assert set(rows) == {"post_length", "claw_wire", "plate_diameter"}
    # worked anew: 10.90 - 10.51 mm, against 500 mm times the angle of one minute
    assert rows["post_length"].difference_mm == pytest.approx(10.90 - 10.51)
    assert rows["post_length"].visible_mm == pytest.approx(500 * 3.14159265 / 180 / 60, rel=1e-4)
    assert rows["post_length"].verdict == "reject"
    assert rows["claw_wire"].verdict == "accept"
    # 0.143 of 0.145 mm: nobody can say
    assert rows["plate_diameter"].verdict == "cannot say"
    words = repr(found)
    assert "3 sizes compared, as seen from 500 mm: in 1 of them nobody sees a difference." in words
    assert "An eye sees a difference in: post, length." in words
    assert "measure again, with a finer gauge: back plate, diameter." in words
    assert "post, length | 10.51 | 10.90 | +0.39 |" in words
    assert found._repr_html_().count("<tr>") == 4


@pytest.mark.parametrize("content", ["part,size\n", "", "part,size,unit,readings\nclaw,wire,mm,thick\n"])
def test_a_duplicate_that_cannot_be_read_is_told(content: str, tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_text(content)
    said = repr(finished_beside(demo_job(), tmp_path / "bad.csv"))
    assert len(said) > 20 and "compared" not in said


def test_nothing_measured_on_both_is_told(tmp_path: Path) -> None:
    (tmp_path / "odd.csv").write_text("part,size,unit,instrument,readings\npiece,claws,,eye,4\n")
    assert "share no size" in repr(finished_beside(demo_job(), tmp_path / "odd.csv"))


def test_the_panel_opens_at_the_measured_duplicate(tmp_path: Path) -> None:
    lesson = open_lesson("14", demo_job(), tmp_path / "answers.jsonl")
    plain = beside_on(lesson.panel(), tmp_path / "none.csv")
    assert plain.values == lesson.panel().values
    finished(tmp_path, claw_tip="0.75 0.75 0.75", post_length="13.5 13.5 13.5")
    shown = beside_on(lesson.panel(), tmp_path / "made.csv")
    assert shown.values["claw_tip"] == pytest.approx(0.75)
    # further off than the slider goes: it stands at its end
    assert shown.values["post_length"] == shown.rows["post_length"].control.most
    assert shown.values["ring_wire"] == lesson.panel().values["ring_wire"]
    assert "post length" in repr(shown)
    said = object()
    assert beside_on(said, tmp_path / "made.csv") is said


# --- the file by itself ---


def test_a_sheet_keeps_the_separator_that_it_came_with(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_bytes(
        "part;size;unit;instrument;readings\r\nclaw;wire;mm;micrometer;0,80 0,81\r\n".encode("cp1252")
    )
    form = sheet_form(path)
    form.fill(claws="4")
    lines = path.read_text("utf-8-sig").splitlines()
    assert lines[0] == "part;size;unit;instrument;reading 1;reading 2;reading 3;note"
    assert lines[2].startswith("claw;wire;mm;micrometer;0,80 0,81;")
    assert form.rows["claw_wire"].box.value == "0,80 0,81"


def test_a_row_that_stands_twice_is_not_thrown_away(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("part,size,unit,instrument,readings\nclaw,wire,mm,,0.80\nclaw,wire,mm,,0.90\n")
    sheet = OwnSheet(path)
    assert sheet.rows["claw_wire"].readings == ("0.80",)
    assert [row.readings for row in sheet.others] == [("0.90",)]


def test_size_names_in_other_words_find_their_row(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text(
        "part,size,unit,gauge,readings\nstone,girdle,mm,micrometer screw,5.01\nstone,kind,,,Sapphire\n"
    )
    form = sheet_form(path)
    assert form.rows["stone_diameter"].box.value == "5.01"
    assert form.rows["stone_diameter"].gauge.value == "micrometer"
    assert form.rows["gem"].box.value == "corundum"
    assert size("5.01 mm").m == 5.01


def test_a_stone_that_no_list_holds_is_told_and_stays_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("part,size,unit,instrument,readings\nstone,gem,,,kryptonite\n")
    form: Any = sheet_form(path)
    assert "kryptonite" in form.rows["gem"].said.value and form.rows["gem"].trouble
    form.fill(claws="4")
    assert "kryptonite" in path.read_text("utf-8-sig")
