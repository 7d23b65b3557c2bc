"""Lesson 01, Read the pattern: from repeated readings to a value and how far it may be trusted."""

import math
from dataclasses import dataclass
from statistics import mean, median, pstdev, stdev
from typing import Any

from course_lib.bench.measuring import Measured, coverage, measured, readings_enough
from course_lib.bench.sheet import label_of
from course_lib.bench.tables import find
from course_lib.bench.units import quantity, shown
from course_lib.classroom.exercise import Lesson, Slip
from course_lib.classroom.fineness import GaugeStep, TwoFigures
from course_lib.classroom.job_in_hand import JobInHand
from course_lib.classroom.lists import ChoiceAsked
from course_lib.classroom.size_table import doubt_shares, pattern_sizes, share_of_measuring
from course_lib.classroom.sizes import NumberAsked, SizeAsked

GAUGE = "micrometer"
GUIDE = "JCGM 100:2008, Guide to the expression of uncertainty in measurement"

# How five readings of a soft wire may fall, in steps of the gauge about the size, and what the closed
# gauge showed. Each job gets one of them. They are uneven on purpose: where the middle reading equals
# the mean, nobody could tell which of the two was taken.
_PATTERNS = (
    ((-1, 7, -2, 0, -2), 4),
    ((0, -3, 5, -1, -3), 4),
    ((4, -6, 2, 4, -2), 5),
    ((3, -4, 2, 4, -3), 6),
    ((2, -6, -1, 4, 2), 3),
    ((-2, 6, -5, 2, -2), 7),
)


@dataclass(frozen=True)
class WorkshopReadings:
    """Readings of one wire, in plain mm; `zero` is what the closed gauge showed, `gauge` its own doubt."""

    in_mm: tuple[float, ...]
    zero: float
    step: float
    gauge: float

    @property
    def readings(self) -> list[Any]:
        """The readings as quantities."""
        return [quantity(reading, "mm") for reading in self.in_mm]

    @property
    def zero_error(self) -> Any:
        """What the closed gauge showed."""
        return quantity(self.zero, "mm")

    @property
    def resolution(self) -> Any:
        """The smallest step that the gauge shows."""
        return quantity(self.step, "mm")

    @property
    def instrument_uncertainty(self) -> Any:
        """The standard uncertainty of the gauge itself."""
        return quantity(self.gauge, "mm")

    @property
    def found(self) -> Measured:
        """What they tell."""
        return measured(self.readings, self.resolution, self.zero_error, self.instrument_uncertainty)


def workshop_readings(job: JobInHand) -> WorkshopReadings:
    """Five readings of the job's claw wire with the workshop's micrometer: invented, about the real size.

    >>> from course_lib.classroom.job_in_hand import demo_job
    >>> len(workshop_readings(demo_job()).in_mm)
    5
    """
    row = find("instruments", "instrument", GAUGE, "an instrument")
    step = row.amount("resolution")
    middle = round(job.readings["claw_wire"].value / step)
    # any sum will do that differs from job to job
    falls, zero = _PATTERNS[(middle + round(job.readings["stone_diameter"].value / step)) % len(_PATTERNS)]
    read = tuple(round((middle + zero + fall) * step, 6) for fall in falls)
    return WorkshopReadings(read, round(zero * step, 6), step, row.amount("instrument_uncertainty"))


def _mm(value: float, places: int = 3) -> str:
    return f"{value:.{places}f} mm"


def _um(value: float) -> str:
    """A doubt in plain mm, written in µm to two figures."""
    return _write_um(1000 * value)


def _write_um(value: float) -> str:
    places = max(0, 1 - math.floor(math.log10(value)))
    return f"{value:.{places}f} µm"


def _listed(job: JobInHand) -> str:
    return ", ".join(f"{reading:.3f}" for reading in workshop_readings(job).in_mm)


def _count(job: JobInHand) -> int:
    return len(workshop_readings(job).in_mm)


# --- the value -----------------------------------------------------------------------------------------


def _value_slip(take: Any, zeros: int) -> Any:
    """The sum of a slip: what was taken of the readings, and how often the zero error was taken off."""

    def value(job: JobInHand) -> float:
        read = workshop_readings(job)
        return float(take(read.in_mm)) - zeros * read.zero

    return value


def _value_task(job: JobInHand) -> str:
    read = workshop_readings(job)
    return (
        f"Five readings of the claw wire, in mm: {_listed(job)}. Closed and wiped clean, this {GAUGE} shows "
        f"{_mm(read.zero)} where it should show nothing.\n\nHow thick is the wire? Use every reading."
    )


def _value_working(job: JobInHand) -> str:
    read = workshop_readings(job)
    middle = mean(read.in_mm)
    added = " + ".join(f"{reading:.3f}" for reading in read.in_mm)
    return (
        "1. The mean: add the readings and divide by how many there are. "
        f"({added}) / {len(read.in_mm)} = {_mm(middle, 4)}\n"
        f"2. The closed gauge shows {_mm(read.zero)} too much, so every reading does. Take it off: "
        f"{middle:.4f} − {read.zero:.3f} = {_mm(middle - read.zero, 4)}"
    )


VALUE = SizeAsked(
    name="value",
    title="The size of the wire",
    task=_value_task,
    expected=lambda job: workshop_readings(job).found.value,
    unit="mm",
    fineness=GaugeStep(GAUGE, mean=True),
    slips=(
        Slip(
            "zero error left in",
            _value_slip(mean, 0),
            "This is the mean of the readings as they stand. The closed gauge does not show nothing: that is"
            " in every reading and must be taken off.",
        ),
        Slip(
            "zero error with the wrong sign",
            _value_slip(mean, -1),
            "The zero error was added. A closed gauge that shows more than nothing makes every reading too "
            "large, so take it off.",
        ),
        Slip(
            "largest reading",
            _value_slip(max, 1),
            "This is the largest reading. A high reading is as doubtful as a low one: take the mean of all.",
        ),
        Slip(
            "largest reading, zero error left in",
            _value_slip(max, 0),
            "This is the largest reading as it stands. Take the mean of all, and then take off the zero"
            " error.",
        ),
        Slip(
            "middle reading",
            _value_slip(median, 1),
            "This is the reading in the middle. It leaves the others unused: take the mean of all.",
        ),
        Slip(
            "middle reading, zero error left in",
            _value_slip(median, 0),
            "This is the reading in the middle as it stands. Take the mean of all, then take off the zero"
            " error.",
        ),
        Slip(
            "smallest reading",
            _value_slip(min, 1),
            "This is the smallest reading. A low reading is as doubtful as a high one: take the mean of all.",
        ),
    ),
    clue=(
        "Two steps. First one number from all five readings; then think what a gauge that shows too much does"
        " to each of them."
    ),
    working=_value_working,
    basis="standard",
    source=f"{GUIDE}, 4.2 (mean) and 3.2.3 (known error taken off)",
    objective="value",
    well_done="That is the size for the measuring sheet.",
)


# --- the scatter ---------------------------------------------------------------------------------------


def _scatter(job: JobInHand) -> float:
    """Standard deviation of one reading, in plain µm."""
    return 1000 * stdev(workshop_readings(job).in_mm)


def _mean_distance(job: JobInHand) -> float:
    read = workshop_readings(job).in_mm
    return 1000 * mean(abs(reading - mean(read)) for reading in read)


def _range(job: JobInHand) -> float:
    read = workshop_readings(job).in_mm
    return 1000 * (max(read) - min(read))


def _scatter_working(job: JobInHand) -> str:
    read = workshop_readings(job).in_mm
    off = [1000 * (reading - mean(read)) for reading in read]
    squares = math.fsum(each**2 for each in off)
    return (
        f"1. How far each reading is from the mean, in µm: {', '.join(f'{each:+.1f}' for each in off)}\n"
        f"2. Square these and add them: {squares:.1f}\n"
        f"3. Divide by one less than the number of readings: {squares:.1f} / {len(off) - 1} = "
        f"{squares / (len(off) - 1):.2f}\n"
        f"4. Take the root: {_write_um(_scatter(job))}"
    )


SCATTER = SizeAsked(
    name="scatter",
    title="How far the readings scatter",
    task=lambda job: (
        f"The same readings, in mm: {_listed(job)}. What is their standard deviation: how far, typically,"
        " does one reading lie from the mean? Answer in µm (1 µm is a thousandth of a millimetre)."
    ),
    expected=_scatter,
    unit="um",
    fineness=TwoFigures(),
    slips=(
        Slip(
            "divided by n",
            lambda job: 1000 * pstdev(workshop_readings(job).in_mm),
            "The squares were divided by the number of readings. Divide by one less: the mean was worked out "
            "from these same readings, so they lie a little too near to it.",
        ),
        Slip(
            "largest less smallest",
            _range,
            "This is the largest reading less the smallest. It grows with every reading you add; the standard"
            " deviation uses how far each one is from the mean.",
        ),
        Slip(
            "half of largest less smallest",
            lambda job: _range(job) / 2,
            "This is half of the way from smallest to largest. It uses only two of the readings: use how far "
            "each one is from the mean.",
        ),
        Slip(
            "mean distance",
            _mean_distance,
            "This is the mean of the distances. Square the distances first, and take the root at the end: "
            "far readings must count for more.",
        ),
        Slip(
            "root forgotten",
            lambda job: _scatter(job) ** 2,
            "This is the square of it. Take the root at the end.",
        ),
    ),
    clue=(
        "Distance of each reading from the mean; squares; add; divide by one less than the number of"
        " readings; root. The zero error plays no part: it moves all readings alike."
    ),
    working=_scatter_working,
    basis="standard",
    source=f"{GUIDE}, 4.2.2",
    objective="scatter",
    well_done="One reading alone may be wrong by this much; several together know better.",
)


# --- the step of the gauge -----------------------------------------------------------------------------


def _step(job: JobInHand) -> float:
    """The step of the gauge, in µm."""
    return 1000 * workshop_readings(job).step


def _step_working(job: JobInHand) -> str:
    half = _step(job) / 2
    return (
        f"1. The true size lies anywhere within half a step to either side: {half:g} µm\n2. Every place in"
        " there is as likely as any other; the standard uncertainty of such a spread is its half width"
        f" divided by the root of three: {half:g} / {math.sqrt(3):.3f} = {_write_um(half / math.sqrt(3))}"
    )


STEP = SizeAsked(
    name="step",
    title="What the gauge's step leaves in doubt",
    task=lambda job: (
        f"The {GAUGE} shows steps of {_mm(workshop_readings(job).step)}. Whatever lies between two steps is "
        "rounded to the nearest. Which standard uncertainty does that leave, in µm?"
    ),
    expected=lambda job: (
        1000
        * measured(
            workshop_readings(job).readings[:1], workshop_readings(job).resolution
        ).standard_uncertainty.m_as("mm")
    ),
    unit="um",
    fineness=TwoFigures(),
    sample="4.5 µm",
    slips=(
        Slip(
            "whole step for half",
            lambda job: _step(job) / math.sqrt(3),
            "The whole step was divided by the root of three. The size lies at most half a step to either"
            " side of what is shown: begin with the half.",
        ),
        Slip(
            "half a step",
            lambda job: _step(job) / 2,
            "This is half a step: the farthest the size can be off. Typically it is off by less: divide by"
            " the root of three.",
        ),
        Slip(
            "whole step",
            _step,
            "This is the step itself. Take half of it, to either side, and divide by the root of three.",
        ),
        Slip(
            "divided by three",
            lambda job: _step(job) / 6,
            "Half a step was divided by three. Divide by the root of three.",
        ),
    ),
    clue=(
        "The reading is right to half a step, up or down. For a spread where every place is as likely as any "
        "other, divide the half width by the root of 3."
    ),
    working=_step_working,
    basis="standard",
    source=f"{GUIDE}, F.2.2.1 (a step counts as a rectangular spread)",
    objective="step",
    well_done="No number of readings makes this part smaller: only a finer gauge does.",
)


# --- all together --------------------------------------------------------------------------------------


def _parts(job: JobInHand) -> tuple[float, float, float]:
    """Doubt of the mean by scatter, by the step, and by the gauge itself, in µm."""
    read = workshop_readings(job)
    return _scatter(job) / math.sqrt(_count(job)), _step(job) / 2 / math.sqrt(3), 1000 * read.gauge


def _together(job: JobInHand) -> float:
    return float(1000 * workshop_readings(job).found.standard_uncertainty.m_as("mm"))


def _with_scatter(part: float, job: JobInHand) -> float:
    """The doubts together, with another part for the scatter."""
    return math.hypot(part, *_parts(job)[1:])


def _together_working(job: JobInHand) -> str:
    scatter, step, gauge = _parts(job)
    return (
        f"1. The mean of {_count(job)} readings scatters less than one: {_write_um(_scatter(job))} /"
        f" √{_count(job)} = {scatter:.2f} µm\n2. The step leaves {step:.2f} µm, the gauge itself {gauge:.2f}"
        f" µm\n3. Doubts that know nothing of each other add up as squares: √({scatter:.2f}² + {step:.2f}² +"
        f" {gauge:.2f}²) = {_write_um(_together(job))}"
    )


TOGETHER = SizeAsked(
    name="together",
    title="All doubts together",
    task=lambda job: (
        f"Three things leave the size in doubt: the scatter of your {_count(job)} readings, the step of the"
        " gauge, and the gauge itself, which may be wrong by a standard uncertainty of"
        f" {_um(workshop_readings(job).gauge)}. What is the standard uncertainty of the mean, in µm?"
    ),
    expected=_together,
    unit="um",
    fineness=TwoFigures(),
    slips=(
        Slip(
            "added straight",
            lambda job: math.fsum(_parts(job)),
            "The three parts were added straight. It is most unlikely that all three are wrong the same way: "
            "square them, add, and take the root.",
        ),
        Slip(
            "scatter of one reading",
            lambda job: _with_scatter(_scatter(job), job),
            "The scatter of a single reading was used. The mean of n readings scatters less: divide it by the"
            " root of n first.",
        ),
        Slip(
            "divided by n",
            lambda job: _with_scatter(_scatter(job) / _count(job), job),
            "The scatter was divided by n, which is dividing by its root twice. Divide by the root of n"
            " once.",
        ),
        Slip(
            "gauge left out",
            lambda job: math.hypot(*_parts(job)[:2]),
            "The doubt of the gauge itself is missing. It is the same in every reading, so the mean does not "
            "take it away.",
        ),
        Slip(
            "scatter divided by n for n - 1",
            lambda job: _with_scatter(
                1000 * pstdev(workshop_readings(job).in_mm) / math.sqrt(_count(job)), job
            ),
            "In the scatter the squares were divided by n. Divide them by n − 1, then go on.",
        ),
    ),
    clue=lambda job: (
        f"The scatter of one reading is {_write_um(_scatter(job))}; a mean of n readings has that divided by"
        f" √n. The step leaves {_write_um(_parts(job)[1])}. Then square all three, add, and take the root."
    ),
    working=_together_working,
    basis="standard",
    source=f"{GUIDE}, 4.2.3 (mean of n readings) and 5.1.2 (squares added)",
    objective="together",
    well_done="Look which part is the largest: that is the one worth mending.",
)


# --- the band ------------------------------------------------------------------------------------------


def _band(job: JobInHand) -> float:
    return float(1000 * workshop_readings(job).found.expanded().m_as("mm"))


def _factor(job: JobInHand) -> float:
    return coverage(workshop_readings(job).found.degrees_of_freedom)


def _band_working(job: JobInHand) -> str:
    freedom = workshop_readings(job).found.degrees_of_freedom
    return (
        f"1. Standard uncertainty of the mean: {_together(job):.2f} µm\n"
        f"2. All parts together are known as well as the scatter of about {freedom + 1:.0f} readings "
        f"({freedom:.1f} degrees of freedom); the factor for 95 % is then {_factor(job):.2f}\n"
        f"3. {_together(job):.2f} µm × {_factor(job):.2f} = {_write_um(_band(job))}"
    )


BAND = SizeAsked(
    name="band",
    title="The band for the card",
    task=lambda job: (
        "On the bench card stands the size and a band, plus or minus, that holds the true size 95 times out"
        f" of 100. Because the scatter is known from {_count(job)} readings only, the factor from standard"
        f" uncertainty to band is {_factor(job):.2f} here. How wide is the band to one side, in µm?"
    ),
    expected=_band,
    unit="um",
    fineness=TwoFigures(),
    slips=(
        Slip(
            "standard for expanded",
            _together,
            "This is the standard uncertainty. It holds the true size only about two times out of three: "
            "multiply it by the factor.",
        ),
        Slip(
            "factor 2 for few readings",
            lambda job: 2 * _together(job),
            "The factor 2 was used. That is right for very many readings; with few, the scatter itself is "
            "poorly known, and the factor is larger.",
        ),
        Slip(
            "whole width",
            lambda job: 2 * _band(job),
            "This is the whole width of the band. A band is written as plus or minus its half.",
        ),
        Slip(
            "factor for n - 1",
            lambda job: coverage(_count(job) - 1) * _together(job),
            "The factor for n − 1 was used. It would be right if scatter were the only doubt; the other parts"
            " are better known, so the factor is smaller.",
        ),
    ),
    clue=lambda job: (
        f"Band = factor × standard uncertainty of the mean, and that is {_write_um(_together(job))} here."
    ),
    working=_band_working,
    basis="standard",
    source=f"{GUIDE}, G.4.1 (how well the parts are known) and table G.2 (factors)",
    objective="together",
    well_done=lambda job: (
        f"The card says {_mm(workshop_readings(job).found.value.m_as('mm'))} ± {_mm(_band(job) / 1000)}."
    ),
)


# --- how many readings ---------------------------------------------------------------------------------


def _floor(job: JobInHand) -> float:
    """What the gauge leaves in doubt however often it is read, in µm."""
    return math.hypot(*_parts(job)[1:])


def _enough(job: JobInHand) -> int:
    return readings_enough(quantity(_scatter(job), "um"), quantity(_floor(job), "um"))


def _enough_working(job: JobInHand) -> str:
    many = coverage(math.inf)

    def scatter_band(count: int) -> float:
        return coverage(count - 1) * _scatter(job) / math.sqrt(count)

    last, first = _enough(job) - 1, _enough(job)
    return (
        f"1. However often you read, step and gauge leave ± {many * _floor(job):.2f} µm (95 %)\n2. With"
        f" {last} readings the scatter still leaves ± {scatter_band(last):.2f} µm\n3. With {first} readings"
        f" it leaves ± {scatter_band(first):.2f} µm, no more than the gauge: {first} are enough"
    )


ENOUGH = NumberAsked(
    name="enough",
    title="How many readings are enough",
    task=(
        "More readings make the scatter of the mean smaller, but not the doubt of step and gauge. With this"
        " scatter and this gauge, from how many readings on does the scatter leave no more doubt (at 95 %)"
        " than the gauge does? Move 'readings' in the panel above and read the two lines under it."
    ),
    expected=_enough,
    counted="readings",
    sample="25",
    slips=(
        Slip(
            "one too few",
            lambda job: _enough(job) - 1,
            "There the scatter still leaves a little more doubt than the gauge. One step further.",
        ),
        Slip(
            "factor left out",
            lambda job: _without_factor(job),
            "That would do if the scatter were known exactly. It is worked out from the readings themselves,"
            " so with few of them it gets a larger factor: read the lines for 95 %.",
        ),
        Slip(
            "as many as were taken",
            lambda job: None if _enough(job) == _count(job) else _count(job),
            "So many were taken. Do they bring the scatter down to what the gauge leaves in doubt?",
        ),
        Slip(
            "as many as the slider has",
            lambda job: 30,
            "So many the slider offers. Far fewer bring the scatter down to what the gauge leaves.",
        ),
    ),
    clue=(
        "Begin at the left end of the slider and go to the right until the first of the two lines is no"
        " larger than the second."
    ),
    working=_enough_working,
    basis="common practice",
    source="",
    objective="enough",
    well_done=(
        "More would cost time and tell almost nothing new: then only a better gauge helps. For most sizes of"
        " an earring three to five readings do, because a band of a few µm is finer than any eye."
    ),
)


def _without_factor(job: JobInHand) -> int | None:
    count = math.ceil((_scatter(job) / _floor(job)) ** 2)
    return count if count < _enough(job) - 1 else None


# --- which size matters --------------------------------------------------------------------------------

RESULT = "earring_weight"


def _suspects(job: JobInHand) -> list[str]:
    """Four readings: the one that puts most doubt into the weight, and three that put clearly less."""
    ranked = doubt_shares(job.plan(), RESULT)
    most, share = ranked[0]
    less = [key for key, each in ranked[1:] if each < 0.8 * share]
    largest = max(pattern_sizes(job), key=lambda key: _length(key, job))
    finest = min(pattern_sizes(job), key=lambda key: _length(key, job) or math.inf)
    chosen = list(dict.fromkeys([less[0], largest, finest, *less]))
    return [most, *[key for key in chosen if key != most][:3]]


def _length(key: str, job: JobInHand) -> float:
    found = job.measured[key].value
    return float(found.m_as("mm")) if found.is_compatible_with("mm") else 0.0


def _offered(job: JobInHand) -> dict[str, Any]:
    return {key: label_of(key) for key in sorted(_suspects(job), key=label_of)}


def _suspect(place: int) -> Any:
    return lambda job: _suspects(job)[place]


def _share_says(place: int) -> Any:
    def says(job: JobInHand) -> str:
        key = _suspects(job)[place]
        share = dict(doubt_shares(job.plan(), RESULT)).get(key, 0.0)
        found = job.measured[key]
        unit = f"{found.value.units:~P}"
        return (
            f"'{label_of(key)}' gives {_percent(share)} of the doubt that comes from your readings. It is "
            f"{shown(found.value, unit)} ± {shown(found.expanded(), unit, 3)}. Ask of each size how wide its "
            "band is, and how much metal or stone hangs on it."
        )

    return says


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %" if share >= 0.01 else "less than 1 %"


def _matters_working(job: JobInHand) -> str:
    top = doubt_shares(job.plan(), RESULT)[:4]
    lines = [f"{at}. {label_of(key)}: {_percent(share)}" for at, (key, share) in enumerate(top, 1)]
    return (
        "Move each reading by its own doubt, work out the weight anew, and see how far it moves. Each "
        "reading's share, by squares:\n" + "\n".join(lines)
    )


MATTERS = ChoiceAsked(
    name="matters",
    title="Which size deserves your care",
    task=(
        "The weight of the finished earring is worked out from its sizes. One of these readings leaves more"
        " doubt in that weight than the others. Which one would you read again, with more care or a finer"
        " gauge?"
    ),
    expected=lambda job: _suspects(job)[0],
    choices=_offered,
    slips=tuple(
        Slip(name, _suspect(place), _share_says(place))
        for place, name in enumerate(("less doubtful size", "large size", "small size"), 1)
    ),
    clue=(
        "Look in the table of sizes for a band that is wide for its size, on a part that holds much metal or"
        " stone."
    ),
    working=_matters_working,
    basis="standard",
    source=f"{GUIDE}, 5.1.3 note 2 (each reading moved by its own doubt)",
    objective="matters",
    well_done=lambda job: (
        f"All measuring together brings {_percent(share_of_measuring(job.plan(), RESULT))} of the doubt in"
        " this weight. The rest is the density of the alloy and the shape of the stone, which no gauge mends."
    ),
)


LESSON = Lesson(
    number="01",
    title="Read the pattern",
    minutes=30,
    earlier=("00",),
    objectives={
        "value": "turn several readings and the zero error of a gauge into one size",
        "scatter": "say how far readings scatter",
        "step": "say what the step of a gauge leaves in doubt",
        "together": "put all doubts together and write a size with its band",
        "enough": "say how many readings are enough",
        "matters": "find the size that deserves your care",
    },
    exercises=(VALUE, SCATTER, STEP, TOGETHER, BAND, ENOUGH, MATTERS),
)
