"""What cannot be, or looks wrong, in a measured pattern: said plainly, with the size to measure again."""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import IntEnum

from course_lib.bench.carry import Carried
from course_lib.bench.choices import Choices
from course_lib.bench.measuring import Reading, coverage, difference_band
from course_lib.bench.sheet import label_of
from course_lib.bench.tables import Row, table_by


class Harm(IntEnum):
    """What a remark warns of, the worst first: remarks stand in this order wherever they are listed."""

    MEETS = 1  # parts that touch or run into one another
    WEIGHT = 2  # the balance and the sizes disagree: the wrong metal, stone or size
    FIRE = 3  # what heat, acid or the metal itself does to stone or wearer
    BREAKS = 4  # a part too weak, or one that does not hold
    READING = 5  # a reading to take again


@dataclass(frozen=True)
class Remark:
    """Something to see to before the saw comes out.

    `stop` is True for what cannot be made as measured; otherwise it is for a person to judge.
    """

    text: str
    stop: bool = False
    measure: tuple[str, ...] = ()
    harm: Harm = Harm.READING

    def __str__(self) -> str:
        again = f" Measure again: {'; '.join(self.measure)}." if self.measure else ""
        return f"{self.text}{again}"


@dataclass(frozen=True, eq=False)
class Findings:
    """All that the checks look at."""

    read: Mapping[str, Reading]
    carried: Carried
    claws: int
    choices: Choices
    alloy: Row
    stone: Row
    strip_yield: float

    def value(self, name: str) -> float:
        """A reading or a result, in its plain unit."""
        return (self.read.get(name) or self.carried.results[name]).value

    def band(self, name: str) -> float:
        """Half the width of its 95 % band."""
        found = self.read.get(name) or self.carried.results[name]
        return coverage(max(found.degrees_of_freedom, 1.0)) * found.standard_uncertainty

    def widest(self, name: str) -> float:
        """What that band cannot be wider than: quick, where most are far inside a limit."""
        found = self.read.get(name) or self.carried.results[name]
        return (4.303 if found.degrees_of_freedom >= 2 else 12.707) * found.standard_uncertainty


def in_order_of_harm(remarks: Iterable[Remark]) -> list[Remark]:
    """What stops the job first; then what does the most harm."""
    return sorted(remarks, key=lambda remark: (not remark.stop, remark.harm))


def suspicions(found: Findings) -> list[Remark]:
    """Every remark on a pattern, each with the harm that its check tells of."""
    return [replace(remark, harm=harm) for check, harm in _CHECKS for remark in check(found)]


def _again(*keys: str) -> tuple[str, ...]:
    return tuple(label_of(key) for key in keys)


def _stone_drops(found: Findings) -> Iterator[Remark]:
    stone, ring = found.value("stone_diameter"), found.value("ring_inside")
    if stone <= ring:
        yield Remark(
            f"The stone ({stone:.2f} mm) falls through the gallery ring, which is {ring:.2f} mm inside.",
            True,
            _again("stone_diameter", "ring_inside"),
        )


def _culet(found: Findings) -> Iterator[Remark]:
    air = found.value("culet_clearance")
    wanted = found.choices["smallest_culet_gap"]
    keys = [
        "base_to_girdle",
        "claw_wire",
        "pavilion_depth" if "pavilion_depth" in found.read else "stone_diameter",
    ]
    if air <= 0:
        yield Remark(
            f"The culet would stand {-air:.2f} mm inside the crossing: as measured, the stone cannot sit "
            "so low.",
            True,
            _again(*keys),
        )
    elif air < wanted:
        yield Remark(
            f"Only {air:.2f} mm of air between culet and crossing ({wanted:g} mm is usual). The culet "
            "chips if it touches.",
            False,
            _again(*keys),
        )
    elif air <= found.widest("culet_clearance") and air - (band := found.band("culet_clearance")) <= 0:
        yield Remark(
            f"The air between culet and crossing is {air:.2f} mm, give or take {band:.2f} mm: it cannot be "
            "told whether it touches.",
            False,
            _again(*keys),
        )


def _stone_shape(found: Findings) -> Iterator[Remark]:
    depth, diameter, pavilion = (found.value(k) for k in ("stone_depth", "stone_diameter", "pavilion_depth"))
    if pavilion >= depth:
        yield Remark(
            f"The pavilion ({pavilion:.2f} mm) is not less than the whole depth of the stone ({depth:.2f} "
            "mm).",
            True,
            _again(
                "stone_depth", *(["pavilion_depth"] if "pavilion_depth" in found.read else ["stone_diameter"])
            ),
        )
    elif not 0.45 <= depth / diameter <= 0.8:
        yield Remark(
            f"The stone is {(depth / diameter) * 100:.0f} % as deep as it is wide; 55 to 70 % is usual.",
            False,
            _again("stone_depth", "stone_diameter"),
        )


def _basket_heights(found: Findings) -> Iterator[Remark]:
    for name, said in (
        ("base_depth", "the ring lies below the base wires"),
        ("girdle_height", "the girdle lies below the ring"),
    ):
        if found.value(name) <= 0:
            yield Remark(f"By the heights measured, {said}.", True, _again("base_to_girdle", "base_to_ring"))
    if found.value("girdle_height") > 0 and found.value("bearing_over_ring") <= 0:
        yield Remark(
            "The girdle would sit no higher than the top of the gallery ring.",
            True,
            _again("base_to_girdle", "base_to_ring"),
        )
    if found.value("base_to_ring") - found.value("ring_wire") < found.value("claw_wire") - 1e-9:
        yield Remark(
            "The gallery ring would lie inside the base wires.",
            False,
            _again("base_to_ring", "ring_wire", "claw_wire"),
        )


def _claws_meet(found: Findings) -> Iterator[Remark]:
    lean = found.value("flare")
    if lean < -0.5:
        yield Remark(
            f"The claws would lean inward by {-lean:.0f} degrees from ring to girdle.",
            False,
            _again("stone_diameter", "ring_inside", "ring_wire"),
        )
    elif lean > 35:
        yield Remark(
            f"The claws would lean outward by {lean:.0f} degrees; under 25 is usual.",
            lean > 60,
            _again("stone_diameter", "ring_inside", "base_to_girdle"),
        )
    apart = found.value("groove_spacing") - found.value("claw_wire")
    if apart < 0.2 * found.value("claw_wire"):
        yield Remark(
            "The claws stand so close round the ring that they touch."
            if apart <= 0
            else f"Round the ring only {apart:.2f} mm is left between two claws.",
            apart <= 0,
            _again("claw_wire", "ring_inside"),
        )
    if found.value("staple_base") < 0:
        yield Remark(
            "The two bends of a staple meet: there is no straight base between them. Bend tighter (claw, "
            "bend radius) or look at the ring's size.",
            True,
            _again("ring_inside", "base_to_ring"),
        )


def _claws_weak(found: Findings) -> Iterator[Remark]:
    if found.value("bearing_cut") > found.value("claw_wire") / 2:
        yield Remark(
            "The bearing cut takes more than half the claw, which then snaps.", False, _again("bearing_cut")
        )
    if found.value("groove_depth") >= found.value("ring_wire") / 2:
        yield Remark(
            "The claw is thick for its ring: a groove for it would take half of the ring's wire or more.",
            True,
            _again("ring_wire", "claw_wire"),
        )


def _post_fits(found: Findings) -> Iterator[Remark]:
    post, hole = found.value("post_wire"), found.read.get("plate_hole")
    if hole and hole.value < post:
        yield Remark(
            f"The pattern's post ({post:.2f} mm) is wider than the hole in its plate ({hole.value:.2f} mm).",
            True,
            _again("post_wire", "plate_hole"),
        )
    left = found.read.get("notch_wire")
    if left and left.value >= post:
        yield Remark(
            f"The notch cannot leave {left.value:.2f} mm of a post of {post:.2f} mm.",
            True,
            _again("notch_wire", "post_wire"),
        )


def _post_weak(found: Findings) -> Iterator[Remark]:
    post, left = found.value("post_wire"), found.read.get("notch_wire")
    if left and left.value < 0.4 * post:
        yield Remark(
            f"The notch leaves only {left.value:.2f} mm of the post.",
            False,
            _again("notch_wire", "post_wire"),
        )
    place = found.read.get("notch_from_tip")
    if place and place.value > 0.6 * found.value("post_length"):
        yield Remark(
            "The notch lies nearer to the ear's front than to the tip.",
            False,
            _again("notch_from_tip", "post_length"),
        )
    bends = found.value("post_bends_at")
    if bends < found.choices["slip_load"]:
        yield Remark(
            f"A load of {bends:.1f} N across the tip already bends the post for good: it is thin for its "
            "length.",
            False,
        )


def _nut_grips(found: Findings) -> Iterator[Remark]:
    post, gap = found.value("post_wire"), found.value("curl_gap")
    if post <= gap:
        yield Remark(
            f"The nut does not grip: the gap between its curls ({gap:.2f} mm) is not less than the post "
            f"({post:.2f} mm). The pattern's own nut may be worn: close the curls of the new one to about "
            "nine tenths of the post.",
            False,
            _again("curl_gap", "post_wire"),
        )
    stress, limit = found.value("grip_stress"), found.strip_yield
    if stress > limit:
        yield Remark(
            f"The strip would be bent for good: about {stress:.0f} MPa where it yields at about "
            f"{limit:.0f}. Leave a wider gap, or make the curl larger.",
            False,
            _again("strip_thickness", "curl_gap"),
        )


def _nut_meets(found: Findings) -> Iterator[Remark]:
    fits = found.value("curl_gap") + 2 * found.value("curl_over_all")
    if abs(fits - found.value("base_length")) > max(0.15 * fits, found.widest("curl_over_all")):
        yield Remark(
            f"Two curls and the gap between them take {fits:.2f} mm, but the base is "
            f"{found.value('base_length'):.2f} mm long.",
            False,
            _again("base_length", "curl_inside", "curl_turns"),
        )
    if found.value("strip_width") > found.value("plate_diameter"):
        yield Remark("The scroll is wider than its plate.", False, _again("strip_width", "plate_diameter"))
    if found.value("base_length") > found.value("plate_diameter"):
        yield Remark(
            "The scroll's base is longer than its plate is wide.",
            False,
            _again("base_length", "plate_diameter"),
        )


def _weights(found: Findings) -> Iterator[Remark]:
    if "weight" in found.read:
        yield from _weight(found, "weight", "earring_weight", "earring")
    if "nut_weight" in found.read:
        yield from _weight(found, "nut_weight", "nut_weight", "friction nut")


def _weight(found: Findings, key: str, result: str, called: str) -> Iterator[Remark]:
    weighed, worked_out = found.read[key], found.carried.results[result]
    difference = weighed.value - worked_out.value
    if abs(difference) <= 1.9 * math.hypot(weighed.standard_uncertainty, worked_out.standard_uncertainty):
        return  # no band is narrower than this, so the longer sum can be spared
    band = difference_band(weighed, worked_out)
    if abs(difference) <= band:
        return
    lines = _would_agree(found, result, difference)
    words = (
        f" It would agree if {' or '.join(text for text, _ in lines)}."
        if lines
        else " No one size explains it: look at the alloy, the kind of stone, and what lay on the balance."
    )
    yield Remark(
        f"The {called} weighs {weighed.value:.3f} g but its sizes make {worked_out.value:.3f} g, give or "
        f"take {band:.3f} g.{words}",
        False,
        (*_again(*(k for _, k in lines if k)), label_of(key)),
    )


def _would_agree(found: Findings, result: str, difference: float) -> list[tuple[str, str]]:
    """The readings whose smallest change would bring the weights together, in words."""
    offers, known = [], table_by("sheet_sizes", "key")
    for name, share in zip(found.carried.inputs, found.carried.shares[result], strict=True):
        reading = found.read[name]
        doubt = found.carried.doubts[name]
        if share == 0 or doubt == 0 or name not in known:
            continue
        change = difference / (float(share) / doubt)
        if abs(change) < 0.3 * reading.value:
            unit = "turns" if name == "curl_turns" else "mm"
            text = (
                f"'{label_of(name)}' were {reading.value + change:.2f} {unit} instead of {reading.value:.2f}"
            )
            offers.append((abs(change) / reading.value, text, name))
    return [(text, name) for _, text, name in sorted(offers)[:2]]


def _materials(found: Findings) -> Iterator[Remark]:
    if found.stone["heat_sensitive"] == "yes":
        yield Remark(
            f"{found.stone['gem'].capitalize()}: {found.stone['note']}. Set it last, after all heat.", False
        )
    if found.stone["pickle_sensitive"] == "yes":
        yield Remark(f"{found.stone['gem'].capitalize()} must not go into the pickle.", False)
    if "Ni " in found.alloy["composition_percent"]:
        yield Remark(
            "This alloy holds nickel: it must not go through a piercing unless its release is tested and "
            "low.",
            False,
        )


def _few_readings(found: Findings) -> Iterator[Remark]:
    known = table_by("sheet_sizes", "key")
    wide = [
        key
        for key, reading in found.read.items()
        if (limit := max(0.1 * reading.value, 0.1)) < found.widest(key)
        and key in known
        and known[key]["kind"] == "length"
        and found.band(key) > limit
    ]
    if wide:
        yield Remark(
            "These readings scatter by more than a tenth of the size: "
            f"{'; '.join(label_of(k) for k in wide)}.",
            False,
            _again(*wide),
        )


_CHECKS: tuple[tuple[Callable[[Findings], Iterator[Remark]], Harm], ...] = (
    (_stone_drops, Harm.MEETS),
    (_culet, Harm.MEETS),
    (_stone_shape, Harm.READING),
    (_basket_heights, Harm.MEETS),
    (_claws_meet, Harm.MEETS),
    (_claws_weak, Harm.BREAKS),
    (_post_fits, Harm.MEETS),
    (_post_weak, Harm.BREAKS),
    (_nut_grips, Harm.BREAKS),
    (_nut_meets, Harm.MEETS),
    (_weights, Harm.WEIGHT),
    (_materials, Harm.FIRE),
    (_few_readings, Harm.READING),
)
