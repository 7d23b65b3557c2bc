"""Lesson 14, Your own pattern: from your readings to your card, and to the finished pair."""

from course_lib.bench.sheet import label_of
from course_lib.classroom.exercise import Lesson, Slip, unless_near
from course_lib.classroom.fineness import Step
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked, SymptomAsked
from course_lib.classroom.open_tasks import OpenTask
from course_lib.classroom.sizes import SizeAsked

MEASURE = OpenTask(
    name="measure",
    title="Measure your own pattern",
    task=(
        "Take an earring that you may measure, and fill the form above. A row turns and says why where "
        "something cannot be right. "
        "Tick what you have done."
    ),
    points=(
        "I cleaned the earring before I measured it.",
        "I closed every gauge and read it first.",
        "I read each size three times, and wrote each reading down before the next.",
        "The form says that the sheet is complete.",
    ),
    slips=(),
    clue="What each size is, and how it is taken, stands beside its row.",
    working="1. Clean\n2. Closed gauges\n3. Three readings a size\n4. What cannot be measured is left "
    "out, if it is not needed",
    basis="common practice",
    source="",
    objective="sheet",
    well_done="The sheet is kept beside this page, and can be opened in any spreadsheet.",
)


def _tenfold(job: JobInHand) -> str:
    wire = job.readings["claw_wire"].value
    return f"{wire:.2f}, {wire * 10:.1f}, {wire + 0.01:.2f}"


TENFOLD = SymptomAsked(
    name="tenfold",
    title="The row that turns",
    task=lambda job: (
        f"You type three readings of the claw wire, in mm: {_tenfold(job)}. The row turns. What is wrong?"
    ),
    choices=lambda job: {
        "comma": "the decimal mark of the second one has slipped",
        "scatter": "they scatter too much: take the middle one",
        "gauge": "the gauge has a zero error",
        "few": "three readings are too few",
    },
    expected=lambda job: "comma",
    slips=(
        Slip(
            "scatter",
            lambda job: "scatter",
            "Ten times as large is no scatter. Look at the figures, not at the size.",
        ),
        Slip("gauge", lambda job: "gauge", "A zero error is in all three alike."),
        Slip("few", lambda job: "few", "Three will do, if they are what the gauge showed."),
    ),
    clue="Compare the figures of the first and the second reading.",
    working="1. The figures are the same, the decimal mark is not\n2. Correct what you typed, not what "
    "you read: look at your paper",
    basis="common practice",
    source="",
    objective="sheet",
)


LEAST = ChoiceAsked(
    name="least",
    title="What can be left out",
    task="One of these may be left empty in the sheet; the plan then takes a usual share of another size. "
    "Which?",
    choices=lambda job: {
        "stone_diameter": label_of("stone_diameter"),
        "pavilion_depth": label_of("pavilion_depth"),
        "claw_wire": label_of("claw_wire"),
        "post_length": label_of("post_length"),
    },
    expected=lambda job: "pavilion_depth",
    slips=(
        Slip(
            "stone",
            lambda job: "stone_diameter",
            "Without the stone's diameter nothing of the basket can be worked out.",
        ),
        Slip("claw", lambda job: "claw_wire", "Nobody can guess the wire. The form marks it as needed."),
        Slip("post", lambda job: "post_length", "Ears differ, and so do posts. The form marks it as needed."),
    ),
    clue="Which of them is often hidden in the setting?",
    working="1. The pavilion is often hidden\n2. Left out, it is taken as a part of the diameter, which "
    "fits most round brilliants\n"
    "3. Measure it all the same, if you can: the culet depends on it",
    basis="handbook",
    source="pavilion 43.1 % of the diameter: Tolkowsky, Diamond Design, 1919",
    objective="sheet",
)


STAPLE = SizeAsked(
    name="staple",
    title="Read your card",
    task=lambda job: (
        "Make the card of your job, and read it: how long is a "
        f"{'staple' if job.claws % 2 == 0 else 'whole staple'} to be cut?"
    ),
    expected=lambda job: job.plan().plain("staple_blank"),
    unit="mm",
    fineness=Step(0.1, "the card shows tenths"),
    slips=(
        Slip(
            "girdle to girdle",
            lambda job: job.plan().plain("staple_length"),
            "That is from girdle to girdle. Tips and something to hold come to it.",
        ),
        Slip(
            "base",
            lambda job: job.plan().plain("staple_base"),
            "That is the straight part between the bends.",
        ),
        Slip(
            "post",
            lambda job: unless_near(
                job.plan().plain("post_blank"),
                0.21,
                *map(job.plan().plain, ("staple_blank", "staple_length", "staple_base")),
            ),
            "That is the post.",
        ),
    ),
    clue="In the table *Stock*, the row of the claws, the column *cut*.",
    working=lambda job: f"1. Row *claw*, column *cut*: {job.plan().plain('staple_blank'):.1f} mm",
    basis="common practice",
    source="",
    objective="card",
)


def _strip_stock(job: JobInHand) -> tuple[float, float, float]:
    """Of the strip: what to roll to, before the papers, and finished, in mm."""
    blank = next(b for b in job.plan().blanks if b.part == "scroll")
    return blank.stock_mm, blank.before_sanding_mm, blank.finished_mm


ROLL = SizeAsked(
    name="roll",
    title="Where to stop",
    task="Your card again: to which thickness is the strip for the scroll rolled?",
    expected=lambda job: _strip_stock(job)[0],
    unit="mm",
    fineness=Step(0.01, "the mill is set to hundredths"),
    slips=(
        Slip(
            "finished",
            lambda job: _strip_stock(job)[2],
            "That is the finished strip. Papers and mop still come.",
        ),
        Slip(
            "plate",
            lambda job: unless_near(
                next(b.stock_mm for b in job.plan().blanks if b.part == "back plate"),
                0.011,
                _strip_stock(job)[0],
                _strip_stock(job)[2],
            ),
            "That is the back plate.",
        ),
    ),
    clue="In the table *Stock*, the row of the scroll, the column *roll or draw to*.",
    working=lambda job: f"1. Row *scroll*, column *roll or draw to*: {_strip_stock(job)[0]:.2f} mm",
    basis="common practice",
    source="",
    objective="card",
)


STOP = SymptomAsked(
    name="stop",
    title="The card says STOP",
    task="At the top of a card stands: the culet would touch the crossing. The pattern lies before you, "
    "and its stone is whole. Which "
    "reading do you take again first?",
    choices=lambda job: {
        "base_to_girdle": label_of("base_to_girdle"),
        "post_length": label_of("post_length"),
        "plate_diameter": label_of("plate_diameter"),
        "strip_width": label_of("strip_width"),
    },
    expected=lambda job: "base_to_girdle",
    slips=(
        Slip("post", lambda job: "post_length", "The post hangs below. It does not lift the stone."),
        Slip("plate", lambda job: "plate_diameter", "The plate belongs to the nut."),
        Slip("strip", lambda job: "strip_width", "The strip belongs to the nut."),
    ),
    clue="Which of them says how high the stone lies?",
    working="1. The pattern exists, so a reading must be wrong\n2. Height of the girdle and depth of the "
    "stone decide: take both again",
    basis="common practice",
    source="",
    objective="card",
)


FINISHED = OpenTask(
    name="finished",
    title="Make it, and look",
    task="This takes days, and a bench. Tick what you have done; you may come back to it.",
    points=(
        "I printed the card, and its bar measures 50 mm.",
        "I ticked off its steps at the bench, with somebody trained beside me where it was new to me.",
        "I measured the finished duplicate, and filled the second form.",
        "I looked at the table of differences, and at the pair itself from half a metre.",
    ),
    slips=(),
    clue="The second form is further up, under *The finished duplicate*.",
    working="1. Print, gauge the bar\n2. Work from the card\n3. Measure the duplicate like the "
    "pattern\n4. Look",
    basis="common practice",
    source="",
    objective="pair",
    well_done="That is the whole way: from one earring to a pair.",
)


LESSON = Lesson(
    number="14",
    title="Your own pattern",
    minutes=45,
    objectives={
        "sheet": "fill a measuring sheet of your own piece, and mend what cannot be right",
        "card": "make and read the card of your own piece",
        "pair": "compare the finished duplicate with its pattern",
    },
    exercises=(MEASURE, TENFOLD, LEAST, STAPLE, ROLL, STOP, FINISHED),
    earlier=("01",),
    stage="own_pattern",
)
