"""The bench card: true to size, complete, kind to whoever prints it, and never half written."""

import csv
import io
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text
from pypdf import PdfReader

from course_lib.bench.job import Job
from course_lib.bench.plan import Plan
from course_lib.bench.refusals import Refused
from course_lib.bench.steps import bench_steps, caution_text
from course_lib.bench.suspicions import Harm, Remark
from course_lib.bench.tables import data_folder
from course_lib.commands import card
from course_lib.screen import outlines
from course_lib.screen.card import card_pages
from course_lib.screen.drafting import Placed
from course_lib.screen.part_drawings import words_of
from course_lib.screen.sheet import A4, Sheet
from course_lib.screen.templates import BAR, all_templates, scale_bar

from .drawn import off_the_paper

DEMOS = [data_folder() / f"demo-{n}-claws.csv" for n in ("three", "four", "six")]
POINT = 25.4 / 72


@pytest.fixture(params=DEMOS, ids=lambda path: path.stem, name="plan")
def _plan(request) -> Plan:
    return Job.load(request.param).plan()


def text_of(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def test_the_card_is_a_page_or_two_of_a4(plan: Plan, tmp_path: Path) -> None:
    pages = PdfReader(plan.card(tmp_path / "card.pdf")).pages
    assert len(pages) == 2
    for page in pages:
        size = (float(page.mediabox.width) * POINT, float(page.mediabox.height) * POINT)
        assert size == pytest.approx(A4, abs=0.1)


def test_the_scale_bar_is_fifty_millimetres_on_paper() -> None:
    """The page's axes run in mm over the whole of A4, so page mm are paper mm."""
    sheet = Sheet(*A4)
    scale_bar(Placed(sheet, 20, 100, 1))
    FigureCanvasAgg(sheet.figure).draw()
    ends = sheet.axes.transData.transform([(20, 100), (20 + BAR, 100)])
    inches = float(np.hypot(*(ends[1] - ends[0]))) / sheet.figure.dpi
    assert inches * 25.4 == pytest.approx(50.0, abs=1e-6)


def test_templates_are_true_to_size(plan: Plan) -> None:
    sheet = Sheet(*A4)
    all_templates(Placed(sheet, 12, 100, 1), plan, 186)
    spans = [np.ptp(patch.get_xy(), axis=0) for patch in sheet.axes.patches]
    for name in ("plate_blank", "strip_length", "staple_blank", "post_blank"):
        assert any(span[0] == pytest.approx(plan.plain(name), abs=1e-6) for span in spans), name
    polish = plan.job.choices["polishing"]  # the band goes round the ring before the mop
    outside = plan.job.readings["ring_inside"].value + 2 * (plan.job.readings["ring_wire"].value + polish)
    assert any(span[0] == pytest.approx(np.pi * outside) for span in spans)


def test_drawings_are_to_scale_and_meet_where_metal_meets(plan: Plan) -> None:
    """Outlines measured again with a ruler: widths, lengths, and distances that must be a wire apart."""
    piece = outlines.piece_of(plan)
    middle = outlines.claw_middle(piece)
    along = np.hypot(*np.diff(middle, axis=0).T).sum() * 2
    tips = 2 * piece.tip / np.cos(piece.lean)
    assert along == pytest.approx(plan.plain("staple_length") + tips, rel=2e-3)
    over = plan.plain("claw_spread") - piece.claw  # of an odd number of claws: to the next one round
    opposite = over if piece.claws % 2 == 0 else over / np.sin(np.pi / piece.claws)
    at_girdle = 2 * np.interp(piece.girdle, middle[-2:, 1], middle[-2:, 0])
    assert at_girdle == pytest.approx(opposite)
    at_ring = np.interp(0, middle[-2:, 1], middle[-2:, 0])
    outside = piece.ring_inside / 2 + piece.ring_wire
    assert at_ring - piece.claw / 2 == pytest.approx(outside - piece.groove)
    post = outlines.post_outline(piece)
    assert post[:, 1].max() == pytest.approx(-piece.base - piece.claw / 2)
    assert np.ptp(post[:, 1]) == pytest.approx(piece.post_length)
    stone = outlines.stone_outline(piece)
    assert np.ptp(stone[:, 0]) == pytest.approx(piece.stone)
    assert np.ptp(stone[:, 1]) == pytest.approx(piece.depth)
    air = stone[:, 1].min() - (-piece.base + piece.claw / 2)
    assert air == pytest.approx(plan.plain("culet_clearance"))
    curl = outlines.curl_middle(piece)
    assert curl[:, 0].min() - piece.strip / 2 == pytest.approx(piece.gap / 2, abs=1e-6)
    assert np.ptp(curl[:, 0]) + piece.strip == pytest.approx(plan.plain("curl_over_all"), rel=0.02)
    assert curl[:, 1].min() - piece.strip / 2 == pytest.approx(piece.strip, abs=0.05)  # rests on the base


def test_nothing_on_the_card_runs_off_the_page_or_over_its_neighbour(plan: Plan) -> None:
    for figure in (sheet.figure for sheet in card_pages(plan)):
        FigureCanvasAgg(figure).draw()
        page = figure.bbox
        boxes = [Text.get_window_extent(t) for t in figure.axes[0].texts if t.get_text()]
        for box in boxes:
            assert box.x0 >= page.x0 + 5 and box.x1 <= page.x1 - 5
            assert box.y0 >= page.y0 + 5 and box.y1 <= page.y1 - 5
        shrunk = [box.shrunk(0.92, 0.75) for box in boxes]
        crossing = [
            (i, j) for i, a in enumerate(shrunk) for j, b in enumerate(shrunk[:i]) if a.overlaps(b)
        ]  # fmt: skip
        texts = [t.get_text() for t in figure.axes[0].texts if t.get_text()]
        assert not crossing, [(texts[i], texts[j]) for i, j in crossing]


def test_the_card_says_everything_a_bench_needs(plan: Plan, tmp_path: Path) -> None:
    text = text_of(plan.card(tmp_path / "card.pdf"))
    for word in (
        "Stock",
        "Weights",
        "Templates",
        "50 mm",
        "Roll and draw",
        "solder",
        "Set",
        "Made by",
        "measured",
    ):
        assert word in text
    assert plan.job.title in text and plan.job.alloy in text
    for step in bench_steps(plan):
        assert step.text[:30].strip() in text
        for name in step.cautions:
            assert caution_text(name, short=True)[:25] in text
    assert "qualified person" in text


def test_the_card_prints_in_black_and_white(plan: Plan) -> None:
    for figure in (sheet.figure for sheet in card_pages(plan)):
        for artist in [*figure.axes[0].lines, *figure.axes[0].texts]:
            colour = artist.get_color()
            assert len({colour[1:3], colour[3:5], colour[5:7]}) == 1, colour


def test_the_drawing_is_said_in_words(plan: Plan) -> None:
    words = words_of(outlines.piece_of(plan))
    assert (
        f"{plan.job.claws} claws" in words
        and f"{plan.job.readings['post_length'].value:.2f} mm long" in words
    )


def test_the_cut_list_opens_as_a_table(plan: Plan, tmp_path: Path) -> None:
    path = plan.card(tmp_path / "card.csv")
    assert path.read_bytes().startswith(b"\xef\xbb\xbf")
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {"stock", "sizes", "passes", "solder", "weights", "price"} <= {row["section"] for row in rows}
    assert all(None not in row and None not in row.values() for row in rows)
    staple = next(row for row in rows if row["what"] == "staple blank")
    assert float(staple["value"]) == pytest.approx(plan.plain("staple_blank"), abs=5e-3)


def test_a_title_that_a_spreadsheet_would_run_is_made_harmless(tmp_path: Path) -> None:
    text = (data_folder() / "demo-four-claws.csv").read_text(encoding="utf-8")
    text = text.replace("fine balance,0.435,0.434,0.435", "fine balance,0.9,0.9,0.9")
    plan = Job.from_text(text).plan()
    path = plan.card(tmp_path / "card.csv")
    with path.open(encoding="utf-8-sig", newline="") as file:
        assert all(not cell.startswith(("=", "@", "+")) for row in csv.reader(file) for cell in row if cell)


def test_the_same_plan_makes_the_same_card(tmp_path: Path) -> None:
    first, second = (Job.load(DEMOS[0]).plan().card(tmp_path / f"{n}.pdf").read_bytes() for n in "ab")
    assert first == second


# --- the command --------------------------------------------------------------------------------------


def test_the_command_writes_a_card_and_says_where(tmp_path: Path, capsys) -> None:
    assert card([str(DEMOS[1]), "-o", str(tmp_path / "card.pdf")]) == 0
    assert "card.pdf" in capsys.readouterr().out


@pytest.mark.parametrize(
    "content", [b"", b"\x00\x01", b"part,size,unit,instrument,readings\npost,wire,mm,micrometer,-1\n"]
)
def test_a_failed_run_says_why_and_leaves_the_old_card_alone(tmp_path: Path, content: bytes, capsys) -> None:
    sheet, old = tmp_path / "sheet.csv", tmp_path / "card.pdf"
    sheet.write_bytes(content)
    old.write_bytes(b"the old card")
    assert card([str(sheet), "-o", str(old)]) == 2
    said = capsys.readouterr().err
    assert said.strip() and "Traceback" not in said
    assert old.read_bytes() == b"the old card"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["card.pdf", "sheet.csv"]


def test_a_card_that_cannot_be_written_is_said(tmp_path: Path, capsys) -> None:
    blocked = tmp_path / "a-file"
    blocked.write_text("in the way")
    for out in (blocked / "card.pdf", tmp_path / "nowhere" / "card.pdf", tmp_path / "card.docx", DEMOS[1]):
        assert card([str(DEMOS[1]), "-o", str(out)]) == 2
    assert "Traceback" not in capsys.readouterr().err
    with pytest.raises(Refused, match=r"\.csv or \.pdf"):
        Job.load(DEMOS[1]).plan().card(tmp_path / "card.docx")


def test_the_whole_command_ends_with_code_two_and_a_sentence(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.csv"
    sheet.write_text("part,size,unit,instrument,readings\npost,wire,mm,micrometer,0.03\n")
    run = subprocess.run(
        [sys.executable, "-m", "course_lib", "card", str(sheet), "-o", str(tmp_path / "card.pdf")],
        cwd=data_folder().parent, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 2, run.stderr
    assert "Row 2" in run.stderr and "Traceback" not in run.stderr
    assert not (tmp_path / "card.pdf").exists()


def stopped() -> Plan:
    """A pattern with much to see to first."""
    text = (data_folder() / "demo-four-claws.csv").read_text(encoding="utf-8")
    text = text.replace("mm,caliper,3.42,3.40,3.41", "mm,caliper,2.40,2.41,2.40")
    text = text.replace("mm,plug gauge,0.95,0.95,0.95", "mm,plug gauge,0.80,0.80,0.80")
    return Job.from_text(text.replace("Demo: the harbour pair", "A very long name " * 8)).plan()


def test_a_card_with_stops_and_a_long_name_keeps_to_its_page() -> None:
    plan = stopped()
    assert sum(remark.stop for remark in plan.remarks) >= 2
    for figure in (sheet.figure for sheet in card_pages(plan)):
        FigureCanvasAgg(figure).draw()
        for text in figure.axes[0].texts:
            box = Text.get_window_extent(text)
            assert not text.get_text() or box.x1 <= figure.bbox.x1 - 5, text.get_text()


def test_a_notebooks_own_settings_do_not_change_the_card(tmp_path: Path) -> None:
    before = Job.load(DEMOS[0]).plan().card(tmp_path / "before.pdf").read_bytes()
    with matplotlib.rc_context({"savefig.bbox": "tight", "font.size": 30, "lines.linewidth": 9}):
        after = Job.load(DEMOS[0]).plan().card(tmp_path / "after.pdf").read_bytes()
    assert before == after


def test_a_cut_list_never_takes_the_place_of_another_table(tmp_path: Path, capsys) -> None:
    other = tmp_path / "my-other-earring.csv"
    other.write_bytes(DEMOS[0].read_bytes())
    assert card([str(DEMOS[1]), "-o", str(other)]) == 2
    assert other.read_bytes() == DEMOS[0].read_bytes()
    assert "no cut list" in capsys.readouterr().err
    own = tmp_path / "cuts.csv"
    assert card([str(DEMOS[1]), "-o", str(own)]) == card([str(DEMOS[2]), "-o", str(own)]) == 0


def test_a_card_never_takes_the_place_of_another_pdf(tmp_path: Path, capsys) -> None:
    invoice = tmp_path / "invoice.pdf"
    for content in (b"%PDF-1.7\n1 0 obj << /Creator (A letter) /Title (Bench card: no) >>", b"notes"):
        invoice.write_bytes(content)
        assert card([str(DEMOS[1]), "-o", str(invoice)]) == 2
        assert invoice.read_bytes() == content
        assert "no bench card" in capsys.readouterr().err
    own = tmp_path / "card.pdf"
    own.touch()
    assert card([str(DEMOS[1]), "-o", str(own)]) == card([str(DEMOS[2]), "-o", str(own)]) == 0
    assert own.read_bytes() == Job.load(DEMOS[2]).plan().card(tmp_path / "other.pdf").read_bytes()


@pytest.mark.parametrize("title", ["+1+1", "-5+5", "=1+1", "@SUM(A1)", " +1", "|calc", "＝1"])
def test_no_title_in_the_cut_list_runs_as_a_formula(title: str, tmp_path: Path) -> None:
    job = Job.load(DEMOS[0])
    # a ring read much too high: the girdle comes to lie under it, by a size below nothing
    high = replace(job.readings["base_to_ring"], value=job.readings["base_to_ring"].value + 3)
    plan = replace(job, title=title, readings={**job.readings, "base_to_ring": high}).plan()
    with plan.card(tmp_path / "cuts.csv").open(encoding="utf-8-sig", newline="") as file:
        cells = list(csv.reader(file))
    assert ["job", "", "name", f"'{title}", "", ""] in cells
    numbers = [row[3] for row in cells if row[0] == "sizes" and row[4] == "mm"]
    assert not any(number.startswith("'") for number in numbers)
    assert any(number.startswith("-") for number in numbers)


@pytest.mark.parametrize("name", [".", "", "/", "x" * 300, "no\x00name"])
def test_a_name_that_is_no_file_is_said(name: str, capsys) -> None:
    assert card([name]) == 2
    assert capsys.readouterr().err.strip()


def read_once() -> Plan:
    """Every size read once, a culet that nearly touches, and a weight that its sizes do not make."""
    with DEMOS[1].open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    for row in rows[1:]:
        row[5:7] = ["", ""]
        if row[:2] == ["claw", "base to girdle"]:
            row[4] = "3.02"
        if row[:2] == ["piece", "weight"]:
            row[4] = "0.535"
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return Job.from_text(out.getvalue()).plan()


def test_remarks_stand_in_the_order_of_harm_and_like_ones_are_one(tmp_path: Path) -> None:
    plan = read_once()
    harms = [remark.harm for remark in plan.remarks]
    assert harms == sorted(harms) and harms[:2] == [Harm.MEETS, Harm.WEIGHT]
    assert sum("one reading only" in str(remark) for remark in plan.remarks) == 1
    said = text_of(plan.card(tmp_path / "card.pdf"))
    places = [said.index(words) for words in ("culet and crossing", "weighs 0.535 g", "one reading only")]
    assert said.index("Look at this before you saw") < places[0] and places == sorted(places)
    between = said[said.index("Look at this before you saw") : places[1]]
    assert between.count("- ") == 2, "these two come first"
    assert "See to this first" not in said, "nothing stops this job"
    assert "See to this first" in text_of(stopped().card(tmp_path / "stopped.pdf"))


def test_what_the_first_sheet_has_no_room_for_stands_on_the_next(tmp_path: Path) -> None:
    plan = read_once()
    many = [
        Remark(f"Remark {at}: {'something is not as it should be, ' * 12}look.", at < 3, (), Harm.FIRE)
        for at in range(60)
    ]
    pages = PdfReader(replace(plan, remarks=(*many, *plan.remarks)).card(tmp_path / "card.pdf")).pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    whole = " ".join(texts)
    found = [whole.index(f"Remark {at}: something") for at in range(60)]
    assert found == sorted(found) and all(str(one) in whole for one in plan.remarks)
    assert "Remark 0" in texts[0] and "more: on the next sheet" in texts[0] and "Remark 59" not in texts[0]
    for step in bench_steps(plan):
        assert " ".join(step.text.split()) in whole
    for sheet in card_pages(replace(plan, remarks=(*many, *plan.remarks))):
        assert off_the_paper(sheet) == []
