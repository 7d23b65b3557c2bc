"""Lesson 09, Solder in order: hard, medium, easy, so that no finished joint flows again."""

from collections.abc import Sequence

from course_lib.bench.alloy import alloy_facts, solders_for
from course_lib.bench.refusals import NoSolder, Refused
from course_lib.bench.solder import Heat, Solder, joint_solder, pallion_volume, pallions, plan_heats
from course_lib.bench.whole_piece import SETTING_FIRES, SETTING_JOINTS
from course_lib.classroom.exercises.worked import Say, Worked, moved, say, turn, unless_near
from course_lib.classroom.pieces.job_in_hand import JobInHand

JOINTS = [name for name, _ in SETTING_JOINTS]
_FAULTS = ("side", "again", "cold", "much")
_LEFT = ("pendant", "one gone", "stick", "easy")
_FITTED_BADLY = 4  # times the gap


def solders(job: JobInHand) -> list[Solder]:
    """The solders for the job's metal, the one that flows highest first."""
    return sorted(solders_for(job.alloy), key=lambda each: -each.flow_degC)


def _several(job: JobInHand) -> list[Solder]:
    box = solders(job)
    if len(box) < 2:
        raise Refused("there is only one solder for its metal.")
    return box


def _metal(job: JobInHand) -> float:
    """Where the metal itself begins to melt, in degC."""
    return alloy_facts(job.alloy).solidus


def _lines(box: Sequence[Solder]) -> list[Say]:
    """A line for each solder, with its temperatures."""
    return [
        say("one_solder", solder=each.name, melts=each.solidus_degC, flows=each.flow_degC) for each in box
    ]


def _told(heats: Sequence[Heat]) -> list[Say]:
    """A line for each heat: its joint, its solder, and what is shielded."""
    return [
        say(
            "shield" if heat.shield else "shield_nothing",
            at=at,
            joint=say(heat.joint.replace(" ", "_")),
            solder=heat.solder,
            flows=heat.flow_degC,
            shielded=[say("shielded_joint", name=name) for name in heat.shield],
        )
        for at, heat in enumerate(heats, 1)
    ]


def work_order(job: JobInHand) -> Worked:
    """The four joints in the order in which they are soldered."""
    return Worked(
        JOINTS,
        {
            "post before the ring": moved(JOINTS, "post", "claws to ring", after=False),
            "claws before the crossing": moved(JOINTS, "claws to ring", "crossing", after=False),
            "ring last": moved(JOINTS, "ring seam", "claws to ring", after=True),
        },
    )


def work_table(job: JobInHand) -> Worked:
    """A solder for each joint of the setting."""
    box, metal, heats = [each.name for each in solders(job)], _metal(job), job.plan().setting_heats
    if not heats:
        raise Refused("with these solders its setting cannot be soldered.")
    right = [[heat.solder] for heat in heats]
    slips = {
        "the easiest everywhere": [box[-1:]] * len(JOINTS),
        "the hardest everywhere": [box[:1]] * len(JOINTS),
        "easy first": right[::-1],
    }
    return Worked(
        right,
        {name: None if table == right else table for name, table in slips.items()},
        {
            "metal": metal,
            "solders": _lines(solders(job)),
            "margin": job.choices["solder_margin"],
            "heats": _told(heats),
            "below": metal - heats[-1].flow_degC,
        },
        shown=[heat.joint for heat in heats],
        columns={"solder": tuple(box)},
    )


def work_margin(job: JobInHand) -> Worked:
    """Degrees from where the last solder flows to where the last but one begins to melt."""
    old, new = _several(job)[-2:]
    between, flows = old.solidus_degC - new.flow_degC, old.flow_degC - new.flow_degC
    melting = old.solidus_degC - new.solidus_degC
    return Worked(
        between,
        {"flow to flow": flows, "melting to melting": unless_near(melting, 0.5, between, flows)},
        {
            "old_solder": old.name,
            "old_melts": old.solidus_degC,
            "old_flows": old.flow_degC,
            "new_solder": new.name,
            "new_melts": new.solidus_degC,
            "new_flows": new.flow_degC,
            "between": between,
        },
    )


def bar(job: JobInHand) -> Solder:
    """The solder whose bar is read: for each piece another."""
    return solders(job)[turn(job, "base_to_ring", len(solders(job)))]


def work_ladder(job: JobInHand) -> Worked:
    """Where a solder flows, read from the picture, in degC."""
    read = bar(job)
    melts, flows = read.solidus_degC, read.flow_degC
    return Worked(
        flows,
        {
            "lower end": unless_near(melts, 11, flows),
            "the metal's line": unless_near(_metal(job), 11, flows, melts),
        },
        {"solder": read.name, "flows": flows, "apart": flows - melts},
    )


def left(job: JobInHand) -> str:
    """What the drawer of this piece still holds: ``one gone``, ``pendant``, ``stick`` or ``easy``."""
    return _LEFT[turn(job, "plate_diameter", len(_LEFT))]


def gone(job: JobInHand) -> Solder:
    """The solder that is used up."""
    return solders(job)[turn(job, "stone_depth", len(solders(job)))]


def drawer(job: JobInHand) -> list[Solder]:
    """The solders that are left."""
    box = _several(job)
    if left(job) == "stick":
        # one that flows half a margin too high, and at least a little below the metal
        high = round(_metal(job) - max(job.choices["solder_margin"] / 2, 1))
        return [Solder("stick", high - 30.0, float(high))]
    if left(job) == "easy":
        return box[-1:]
    return [solder for solder in box if solder != gone(job)]


def _heats_left(job: JobInHand) -> Sequence[Heat]:
    """The heats with what is left; none where it cannot be done. A pendant has no post."""
    joints = JOINTS[:3] if left(job) == "pendant" else JOINTS
    margin, fires = job.choices["solder_margin"], SETTING_FIRES[: len(joints)]
    try:
        return plan_heats(joints, drawer(job), _metal(job), margin, fires)
    except NoSolder:
        return ()


def least_to_do(job: JobInHand) -> str:
    """What must be done to solder with what is left: ``none``, ``once``, ``each`` or ``never``."""
    heats = _heats_left(job)
    return ("none", "once", "each")[min(2, sum(bool(heat.shield) for heat in heats))] if heats else "never"


def work_missing(job: JobInHand) -> Worked:
    """What must be done at the least: for each piece with another drawer."""
    heats, least = _heats_left(job), least_to_do(job)
    metal, margin = _metal(job), job.choices["solder_margin"]
    return Worked(
        least,
        holes={
            "metal": metal,
            "margin": margin,
            "drawer": _lines(drawer(job)),
            "gone": gone(job).name,
            "easiest": solders(job)[-1].name,
            "heats": _told(heats) or say("too_hot"),
            "at_most": metal - margin,
            "lowest_flow": min(each.flow_degC for each in drawer(job)),
            "then": say(least),
        },
        way=left(job),
    )


def work_volume(job: JobInHand) -> Worked:
    """How much solder the joint of the post takes, in mm3."""
    foot, gap, fillet = job.plan().plain("post_area"), job.choices["solder_gap"], job.choices["solder_fillet"]
    thick, side = job.choices["pallion_thickness"], job.choices["pallion_side"]
    filled, volume = foot * gap, float(joint_solder.plain(foot, gap, fillet))
    corner, one = fillet * filled, float(pallion_volume.plain(side, thick))
    return Worked(
        volume,
        {
            "gap alone": unless_near(filled, 0.1 * filled, volume),
            "gap twice": unless_near(2 * filled, 0.2 * filled, volume, filled),
            "corner alone": unless_near(corner, 0.1 * corner, volume, filled, 2 * filled) if corner else None,
        },
        {
            "foot": foot,
            "gap": gap,
            "corner": 100 * fillet,
            "gap_filled": filled,
            "with_corner": 1 + fillet,
            "volume": volume,
            "thick": thick,
            "side": side,
            "pallions": pallions(volume, one),
            "bad_gap": _FITTED_BADLY * gap,
            "pallions_fitted_badly": pallions(_FITTED_BADLY * volume, one),
        },
    )


def gone_wrong(job: JobInHand) -> str:
    """What went wrong at the joint of this piece."""
    return _FAULTS[turn(job, "post_wire", len(_FAULTS))]


def work_balled(job: JobInHand) -> Worked:
    """What went wrong at a joint: for each piece something else."""
    fault, new = gone_wrong(job), solders(job)[-1]
    holes = {"solder": new.name, "flows": new.flow_degC, "below": _metal(job) - new.flow_degC}
    return Worked(fault, holes=holes, way=fault)
