"""From the readings to every size and weight of the duplicate, on plain numbers.

`work_out` is the whole job in one run of sums. It takes numbers or arrays alike: one earring, an
earring with each reading moved by its doubt, or a hundred thousand imagined ones.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from course_lib.bench.basket import basket, crossing_gap, groove_volume
from course_lib.bench.choices import Choices
from course_lib.bench.plate import disc_blank, plate_volume
from course_lib.bench.post import load_that_bends, notch_volume, post_blank, tip_give, wire_volume
from course_lib.bench.ring import mandrel_for, ring_volume, wire_for_coil, wire_for_ring
from course_lib.bench.scroll import (
    curl_length,
    curl_over_all,
    fold_stands_out,
    grip,
    riser_height,
    scroll_strip,
)
from course_lib.bench.solder import groove_joint, joint_solder, round_joint
from course_lib.bench.stone import round_weight

# The sizes that papers and mop work on, and how they are called.
WORKED = {
    "ring_wire": "gallery ring, wire",
    "claw_wire": "claw, wire",
    "post_wire": "post, wire",
    "plate_thickness": "back plate, thickness",
    "plate_diameter": "back plate, diameter",
    "strip_thickness": "scroll, strip thickness",
    "strip_width": "scroll, strip width",
}

# Pavilion of a round brilliant, as a share of its diameter (Tolkowsky, Diamond Design, 1919).
PAVILION_SHARE = 0.431

_MM, _GRAM, _PLAIN = "mm", "gram", ""

# Every result: what it is called, and its unit.
RESULTS: dict[str, tuple[str, str]] = {
    **{f"{key}_before_polishing": (f"{label} before the mop", _MM) for key, label in WORKED.items()},
    **{f"{key}_before_sanding": (f"{label} before papers", _MM) for key, label in WORKED.items()},
    "ring_inside_as_made": ("inside of the ring as it is closed", _MM),
    "mandrel": ("mandrel", _MM),
    "ring_length": ("wire in the ring, on its middle", _MM),
    "coil_length": ("wire for the coil", _MM),
    "girdle_height": ("ring's middle up to the girdle", _MM),
    "base_depth": ("ring's middle down to the base wire's middle", _MM),
    "groove_depth": ("groove depth", _MM),
    "groove_spacing": ("groove to groove on the finished ring, straight across", _MM),
    "groove_to_file": ("groove depth to file before the mop", _MM),
    "grooves_apart": ("groove to groove before the mop, straight across", _MM),
    "way_round": ("way round the ring before the mop", _MM),
    "bearing_over_ring": ("girdle over the ring's top", _MM),
    "bearing_cut": ("bearing cut", _MM),
    "flare": ("flare of the claws from upright", "degree"),
    "staple_length": ("staple, girdle to girdle", _MM),
    "staple_blank": ("staple blank", _MM),
    "staple_base": ("straight base between the bends", _MM),
    "bend_radius": ("inside radius of the bends", _MM),
    "crossing_gap": ("gap in the finished staple", _MM),
    "gap_to_cut": ("gap to cut in the staple before the mop", _MM),
    "claw_spread": ("claw to claw over the outside at the girdle (odd number: to the next claw)", _MM),
    "culet_clearance": ("air between culet and crossing", _MM),
    "pavilion_depth": ("pavilion depth", _MM),
    "post_blank": ("post blank", _MM),
    "post_give": ("tip gives way under a knock", _MM),
    "post_bends_at": ("load that bends the post for good", "newton"),
    "plate_blank": ("back plate blank", _MM),
    "strip_length": ("strip for the scroll", _MM),
    "curl_length": ("strip in one curl", _MM),
    "curl_over_all": ("a curl over all", _MM),
    "riser": ("height of the curl's centre over the plate", _MM),
    "fold_lines": ("fold line to fold line on the flat strip", _MM),
    "arm": ("straight from fold line to curl on the flat strip", _MM),
    "curl_gap": ("gap between the curls", _MM),
    "dimple_depth": ("guide dimple", _MM),
    "fold_depth": ("fold cut depth", _MM),
    "grip_force": ("force that slides the nut", "newton"),
    "grip_stress": ("stress in the strip", "MPa"),
    "seam_area": ("ring seam", "mm**2"),
    "crossing_area": ("crossing", "mm**2"),
    "groove_area": ("claws to ring", "mm**2"),
    "post_area": ("post", "mm**2"),
    "fold_area": ("folds", "mm**2"),
    "scroll_area": ("scroll to plate", "mm**2"),
    "ring_volume": ("gallery ring", "mm**3"),
    "claws_volume": ("claws", "mm**3"),
    "post_volume": ("post", "mm**3"),
    "plate_volume": ("back plate", "mm**3"),
    "scroll_volume": ("scroll", "mm**3"),
    "ring_weight": ("gallery ring", _GRAM),
    "claws_weight": ("claws", _GRAM),
    "post_weight": ("post", _GRAM),
    "solder_weight": ("solder in the setting", _GRAM),
    "stone_weight": ("stone", _GRAM),
    "stone_carat": ("stone", "carat"),
    "earring_weight": ("earring without its nut", _GRAM),
    "plate_weight": ("back plate", _GRAM),
    "scroll_weight": ("scroll", _GRAM),
    "nut_solder_weight": ("solder in the nut", _GRAM),
    "nut_weight": ("friction nut", _GRAM),
    "metal_weight": ("metal in earring and nut", _GRAM),
}


# Joints in the order they are made, the piece each belongs to, and the result that holds its area.
SETTING_JOINTS = (
    ("ring seam", "seam_area"),
    ("crossing", "crossing_area"),
    ("claws to ring", "groove_area"),
    ("post", "post_area"),
)
NUT_JOINTS = (("folds", "fold_area"), ("scroll to plate", "scroll_area"))

# Ring and crossed staples are soldered apart; from the third heat on all is in the fire together.
SETTING_FIRES = ((), (), (0, 1), (0, 1, 2))
NUT_FIRES = ((), (0,))


@dataclass(frozen=True, eq=False)
class Fixed:
    """What is chosen before the sums run: counts, stock, drill and the alloy's stiffness."""

    claws: int
    choices: Choices
    drill: float
    fold_cuts: int
    elastic_modulus: float
    soft_yield: float
    post_yield: float


def before_finish(read: Mapping[str, Any], choices: Choices) -> dict[str, Any]:
    """Each worked size before polishing and before sanding, in mm.

    Formula: finished + 2 faces x what polishing takes, then + 2 faces x what the papers take.
    """
    polish = 2 * choices["polishing"]
    sand, post_sand = 2 * choices.sanding, 2 * choices.post_sanding
    out: dict[str, Any] = {}
    for key in WORKED:
        out[f"{key}_before_polishing"] = read[key] + polish
        out[f"{key}_before_sanding"] = read[key] + polish + (post_sand if key == "post_wire" else sand)
    return out


def work_out(read: Mapping[str, Any], fixed: Fixed) -> dict[str, Any]:
    """The whole duplicate from the readings.

    Args:
        read: the readings by the keys of data/sheet_sizes.csv, in mm; and ``density`` in g/cm3,
            ``specific_gravity`` and ``stone_factor`` (1 for an ordinary girdle). Numbers or arrays.
        fixed: what was chosen before.

    Returns:
        The results named in `RESULTS`, in mm, mm3, g, degrees, N and MPa.

    Limits: round stone, round wires, flat plate, curls whose turns touch. The rounding of the claw and
    post tips and the bearing cuts are not taken off the weight: together less than 1 % of it.
    """
    out = before_finish(read, fixed.choices)
    _ring(read, fixed, out)
    _basket(read, fixed, out)
    _post(read, fixed, out)
    _nut(read, fixed, out)
    _weights(read, fixed, out)
    return out


def _ring(read: Mapping[str, Any], fixed: Fixed, out: dict[str, Any]) -> None:
    wire = out["ring_wire_before_polishing"]
    # the mop works inside and outside alike, so the middle of the wire stays where it is
    out["ring_inside_as_made"] = read["ring_inside"] + read["ring_wire"] - wire
    out["mandrel"] = mandrel_for.plain(
        out["ring_inside_as_made"], wire, fixed.choices.ring_kerf, fixed.choices["spring_back"]
    )
    out["ring_length"] = wire_for_ring.plain(read["ring_inside"], read["ring_wire"])
    out["coil_length"] = wire_for_coil.plain(out["mandrel"], wire, fixed.choices["coil_turns"])


def _basket(read: Mapping[str, Any], fixed: Fixed, out: dict[str, Any]) -> None:
    wire, choices = read["claw_wire"], fixed.choices
    # never through the ring: where a thick claw asks for that, the plan says so
    deepest = read["ring_wire"] / 2
    out["groove_depth"] = np.minimum(read.get("groove_depth", choices["groove_share"] * wire), deepest)
    out["bearing_cut"] = read.get("bearing_cut", choices["bearing_share"] * wire)
    out["bend_radius"] = read.get("bend_radius", choices["bend_share"] * wire)
    out["pavilion_depth"] = read.get("pavilion_depth", PAVILION_SHARE * read["stone_diameter"])
    out["base_depth"] = read["base_to_ring"] - read["ring_wire"] / 2 - wire / 2
    out["girdle_height"] = read["base_to_girdle"] - wire / 2 - out["base_depth"]
    made = basket.plain(
        read["stone_diameter"], read["ring_inside"], read["ring_wire"], wire, out["groove_depth"],
        out["girdle_height"], out["base_depth"], out["bearing_cut"], out["bend_radius"], fixed.claws,
    )  # fmt: skip
    out["flare"], out["groove_spacing"] = made.flare, made.groove_spacing
    out["staple_length"] = made.staple_length
    tip = read["claw_tip"] / np.cos(np.radians(made.flare))
    out["staple_blank"] = made.staple_length + 2 * (tip + choices["claw_spare"])
    set_back = (out["bend_radius"] + wire / 2) * np.tan(np.radians(90 - made.flare) / 2)
    out["staple_base"] = 2 * (made.base_radius - set_back)
    # over two claws that stand opposite; of an odd number over two neighbours
    across = 1.0 if fixed.claws % 2 == 0 else float(np.sin(np.pi / fixed.claws))
    out["claw_spread"] = 2 * made.girdle_radius * across + wire
    out["culet_clearance"] = made.culet_clearance(out["pavilion_depth"])
    # an odd number of claws has no gap: the half staple's end is filed to fit
    out["crossing_gap"] = crossing_gap.plain(wire, fixed.claws) if fixed.claws % 2 == 0 else 0 * wire
    _filed_before_the_mop(read, fixed, out)
    area = round_joint.plain(wire)
    saved = _saved_at_crossing(fixed.claws, wire, out["crossing_gap"])
    claws = fixed.claws / 2 * (made.staple_length + 2 * tip) - saved
    out["claws_volume"] = claws * area
    grooves = fixed.claws * groove_volume.plain(read["ring_wire"], wire, out["groove_depth"])
    out["ring_volume"] = ring_volume.plain(read["ring_inside"], read["ring_wire"]) - grooves
    out["crossing_area"] = butt_joints(fixed.claws) * area
    out["groove_area"] = fixed.claws * groove_joint.plain(read["ring_wire"], wire, out["groove_depth"])
    out["seam_area"] = round_joint.plain(read["ring_wire"])


def _filed_before_the_mop(read: Mapping[str, Any], fixed: Fixed, out: dict[str, Any]) -> None:
    """What is marked and filed on wires that are papered but not yet polished.

    Ring and claw are each thicker by what the mop will take off two faces, so a groove goes deeper by
    that much for the claw's middle to stand where it should.
    """
    polish, claws = fixed.choices["polishing"], fixed.claws
    outside = read["ring_inside"] + 2 * (read["ring_wire"] + polish)
    out["groove_to_file"] = out["groove_depth"] + 2 * polish
    out["grooves_apart"] = outside * np.sin(np.pi / claws)
    out["way_round"] = outside * np.pi
    papered = out["claw_wire_before_polishing"]
    # an odd number of claws has no gap: the half staple's end is filed to fit
    out["gap_to_cut"] = crossing_gap.plain(papered, claws) if claws % 2 == 0 else 0 * papered
    out["bearing_over_ring"] = out["girdle_height"] - read["ring_wire"] / 2


def butt_joints(claws: int) -> int:
    """How many wire ends are soldered at the crossing: two at each gap, one for each half staple."""
    return 2 * (claws // 2 - 1) if claws % 2 == 0 else claws - 2


def _saved_at_crossing(claws: int, wire: Any, gap: Any) -> Any:
    """Length of wire that the crossing saves.

    An even number of claws: one whole staple, and a gap in each of the others. An odd number: one
    staple turned in plan, and half staples that end half a wire before the middle.
    """
    return (claws // 2 - 1) * gap if claws % 2 == 0 else (claws - 2) * wire / 2


def _post(read: Mapping[str, Any], fixed: Fixed, out: dict[str, Any]) -> None:
    wire, length, choices = read["post_wire"], read["post_length"], fixed.choices
    left = np.minimum(read.get("notch_wire", wire), wire)
    depth, width = (wire - left) / 2, read.get("notch_width", 0.4)
    out["post_blank"] = post_blank.plain(length, choices["post_spare"])
    out["post_volume"] = wire_volume.plain(wire, length) - notch_volume.plain(wire, depth, width)
    out["post_give"] = tip_give.plain(wire, length, choices["slip_load"], fixed.elastic_modulus)
    # the heat of its own joint leaves the post soft at the root
    at_root = load_that_bends.plain(wire, length, fixed.soft_yield)
    from_tip = read.get("notch_from_tip", 0.25 * length)
    at_notch = load_that_bends.plain(wire - 2 * depth, from_tip, fixed.post_yield)
    out["post_bends_at"] = np.minimum(at_root, at_notch)
    out["post_area"] = round_joint.plain(wire)


def _nut(read: Mapping[str, Any], fixed: Fixed, out: dict[str, Any]) -> None:
    thick, width, choices = read["strip_thickness"], read["strip_width"], fixed.choices
    inner = (read["curl_inside"] + thick) / 2
    turns = read["curl_turns"]
    out["curl_length"] = curl_length.plain(inner, turns, thick)
    out["curl_over_all"] = curl_over_all.plain(inner, turns, thick, thick)
    out["riser"] = riser_height.plain(inner, turns, thick, thick)
    apart = choices.fold_kerf + choices["fold_web"]
    stands_out = fold_stands_out.plain(choices["fold_angle"], fixed.fold_cuts, apart)
    out["fold_lines"] = read["base_length"] - 2 * stands_out
    out["arm"] = out["riser"] - stands_out
    out["strip_length"] = scroll_strip.plain(out["fold_lines"], out["arm"], out["curl_length"])
    out["curl_gap"] = read["curl_gap"]
    # up the riser and half a turn over the top, to where the curl meets the post
    to_post = out["riser"] + np.pi * (inner + thick * (turns - 0.25))
    free = read.get("free_length", to_post)
    held = grip.plain(
        read["post_wire"],
        read["curl_gap"],
        thick,
        width,
        free,
        fixed.elastic_modulus,
        choices["nut_friction"],
    )
    out["grip_force"], out["grip_stress"] = held.force, held.stress
    out["dimple_depth"] = choices["dimple_share"] * out["strip_thickness_before_polishing"]
    out["fold_depth"] = choices["fold_share"] * out["strip_thickness_before_polishing"]
    out["plate_blank"] = disc_blank.plain(
        out["plate_diameter_before_sanding"], choices["file_allowance"], choices["saw_allowance"]
    )
    out["plate_volume"] = plate_volume.plain(read["plate_diameter"], read["plate_thickness"], fixed.drill)
    # two folds; what their saw cuts take out is gone, for they close until the lips touch
    out["fold_area"] = 2 * fixed.fold_cuts * out["fold_depth"] * width
    sawn = out["fold_area"] * choices.fold_kerf
    out["scroll_volume"] = (out["strip_length"] * width - np.pi / 4 * fixed.drill**2) * thick - sawn
    out["scroll_area"] = choices["nut_solder_share"] * read["base_length"] * width


def _weights(read: Mapping[str, Any], fixed: Fixed, out: dict[str, Any]) -> None:
    choices, density = fixed.choices, read["density"] / 1000
    for part in ("ring", "claws", "post", "plate", "scroll"):
        out[f"{part}_weight"] = out[f"{part}_volume"] * density
    gap, fillet = choices["solder_gap"], choices["solder_fillet"]
    setting = out["seam_area"] + out["crossing_area"] + out["groove_area"] + out["post_area"]
    out["solder_weight"] = joint_solder.plain(setting, gap, fillet) * density
    nut = out["fold_area"] + out["scroll_area"]
    out["nut_solder_weight"] = joint_solder.plain(nut, gap, fillet) * density
    out["stone_carat"] = round_weight.plain(
        read["stone_diameter"], read["stone_depth"], read["specific_gravity"], read["stone_factor"]
    )
    out["stone_weight"] = out["stone_carat"] * 0.2
    setting_metal = out["ring_weight"] + out["claws_weight"] + out["post_weight"] + out["solder_weight"]
    out["earring_weight"] = setting_metal + out["stone_weight"]
    out["nut_weight"] = out["plate_weight"] + out["scroll_weight"] + out["nut_solder_weight"]
    out["metal_weight"] = setting_metal + out["nut_weight"]
