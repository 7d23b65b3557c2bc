"""One earring worked out by calling the unit layer, as a learner would, for comparison of speed."""

from collections.abc import Mapping
from typing import Any

from course_lib.bench.basket import basket, crossing_gap, groove_volume
from course_lib.bench.metal import weight_of
from course_lib.bench.plate import disc_blank, plate_volume
from course_lib.bench.post import load_that_bends, notch_volume, post_blank, tip_give, wire_volume
from course_lib.bench.ring import mandrel_for, ring_volume, wire_for_coil, wire_for_ring
from course_lib.bench.scroll import curl_length, curl_over_all, grip, riser_height, scroll_strip
from course_lib.bench.solder import groove_joint, joint_solder, round_joint
from course_lib.bench.stone import round_weight
from course_lib.bench.units import quantity
from course_lib.bench.whole_piece import Fixed


def one_earring(read: Mapping[str, float], fixed: Fixed) -> list[Any]:
    """The main sums of the whole piece, each called once with quantities."""
    mm = {
        k: quantity(v, "mm")
        for k, v in read.items()
        if k not in ("density", "specific_gravity", "stone_factor")
    }
    choices, density = fixed.choices, quantity(read["density"], "gram/cm**3")
    modulus, soft = quantity(fixed.elastic_modulus, "MPa"), quantity(fixed.soft_yield, "MPa")
    wire, strip = mm["claw_wire"], mm["strip_thickness"]
    third, turns = wire * 0.33, read["curl_turns"]
    ring = [
        mandrel_for(mm["ring_inside"], mm["ring_wire"], quantity(choices.ring_kerf, "mm"), 0.02),
        wire_for_ring(mm["ring_inside"], mm["ring_wire"]),
        wire_for_coil(mm["ring_inside"], mm["ring_wire"], 2),
        weight_of(ring_volume(mm["ring_inside"], mm["ring_wire"]), density),
        groove_volume(mm["ring_wire"], wire, third),
        groove_joint(mm["ring_wire"], wire, third),
    ]
    made = basket(
        mm["stone_diameter"], mm["ring_inside"], mm["ring_wire"], wire, third, quantity(2.0, "mm"),
        quantity(1.1, "mm"), third, wire / 2, fixed.claws,
    )  # fmt: skip
    post, length = mm["post_wire"], mm["post_length"]
    pin = [
        post_blank(length, quantity(1.5, "mm")),
        wire_volume(post, length),
        notch_volume(post, quantity(0.08, "mm"), quantity(0.4, "mm")),
        tip_give(post, length, quantity(1, "newton"), modulus),
        load_that_bends(post, length, soft),
    ]
    inner = mm["curl_inside"] / 2 + strip / 2
    curl, riser = curl_length(inner, turns, strip), riser_height(inner, turns, strip, strip)
    nut = [
        curl_over_all(inner, turns, strip, strip),
        scroll_strip(mm["base_length"], riser, curl),
        grip(post, mm["curl_gap"], strip, mm["strip_width"], curl, modulus, 0.2),
        disc_blank(mm["plate_diameter"], quantity(0.1, "mm"), quantity(0.2, "mm")),
        plate_volume(mm["plate_diameter"], mm["plate_thickness"], post),
    ]
    rest = [
        made,
        crossing_gap(wire, fixed.claws),
        joint_solder(round_joint(post), quantity(0.05, "mm"), 0.5),
        round_weight(mm["stone_diameter"], mm["stone_depth"], read["specific_gravity"], 1),
    ]
    return [*ring, *pin, *nut, *rest]
