"""Drawing the core by forcing screws: what each part and the rim bear, the lever, tilt, the free bodies, and the base.

Four screws run in nuts on the base plate and press pads on the rim of the concrete: the force closes between base
plate, core and concrete, and nothing leans on the box.
"""

from __future__ import annotations

from typing import Final

from mouldgeom.fabrication.welds import seams
from mouldgeom.filter.early_age import factor_at, plain_design_tension
from mouldgeom.model.assembly import Mould
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength import jack, overload, thrust
from mouldgeom.strength.base_plate import core_welds, runners, when_drawn, when_filled
from mouldgeom.strength.extraction import LOCK_MARGIN, WEAR_PRESSURE
from mouldgeom.strength.jack import SHIGLEY
from mouldgeom.strength.pull import (
    Sticking,
    body_weight,
    design_pull,
    latest_age,
    lifted_mass,
    pull,
    slick,
)
from mouldgeom.strength.restraint import modulus_high
from mouldgeom.strength.steps import Chapter, Checked, ResultTable, Step
from mouldgeom.units import GRAVITY, Hour, Mm, Newton, Ratio, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

CARRYING: Final = 2
"""Screws that carry all in the design case: two that stand diagonally, the others a little behind."""
LEAD: Final[Ratio] = 0.25
"""Part of a turn by which one screw may be ahead."""
READ: Final[Mm] = 0.1
"""Difference of four gaps that a workshop reads with a slide gauge: common practice, no source."""

_VIEW: Final = "statics"


def _loads(mould: Mould) -> list[tuple[Hour, Newton]]:
    """Design thrust of a screw at the ages of stripping and of the last day; in between both grow."""
    ages = sorted({mould.dims.spec.concrete.stripping_age, latest_age(mould.dims)})
    return [(age, design_pull(mould, age) / CARRYING) for age in ages]


def _rim(mould: Mould) -> Checked:
    """The rim at either age; the requirement is that of the age at which it is used most."""
    found = [thrust.rim(mould, load, age) for age, load in _loads(mould)]
    needs = [max(pair, key=lambda need: need.use) for pair in zip(*(needs for _, needs in found), strict=True)]
    return [step for steps, _ in found for step in steps], needs


def _screws(mould: Mould) -> list[Verdict]:
    gear = slick(mould.dims)
    running = pull(mould, Sticking.worst(mould.dims)).running / CARRYING
    name = Said("forcing screw {designation}", designation=gear.row.designation)
    return [
        Verdict(
            "8.43", "forcing screw holds by itself: friction over what just holds", gear.lock, LOCK_MARGIN,
            Operator.AT_LEAST, "-", name, f"{SHIGLEY}, self-locking; margin common practice, no source",
        ),
        Verdict(
            "8.44", "forcing screw: pressure between the turning flanks while the core moves", gear.pressure(running),
            WEAR_PRESSURE, Operator.AT_MOST, "MPa",
            Said("{name}, {turns:.1f} turns in the nut", name=name, turns=gear.turns),
            "screw jack, steel on cast iron, slow: handbooks of machine design (from memory)",
        ),
    ]  # fmt: skip


def _tilt(mould: Mould) -> Checked:
    """One screw ahead of the others: held core before release, clearance at the end of the stroke."""
    dims, mix = mould.dims, mould.dims.spec.concrete
    age = mix.stripping_age
    alone = overload.lever(mould).greatest
    pressed, pulled = thrust.tilt_pressure(dims, alone), thrust.tilt_tension(dims, alone)
    bears = plain_design_tension(mix.strength, factor_at(mix, age))
    lead, allowed = LEAD * slick(dims).thread.lead, thrust.lead_allowed(dims)
    steps = [
        Step(
            "travel of a screw in a quarter of a turn, by which it may be ahead",
            "s = l/4",
            f"l {plain(slick(dims).thread.lead)} mm",
            lead,
            "mm",
            "geometry",
        ),
        Step(
            "core still held, one screw alone turned until the torque to stop at: pressure on a side of it",
            "p = 6 F c/(b h^2)",
            f"F {alone / 1000:.2f} kN, c {max(thrust.tilt_levers(dims)):.1f} mm, h {dims.end_z:.0f} mm",
            pressed * 1000,
            "kPa",
            _VIEW,
        ),
        Step(
            "tension of the walls beside that side",
            "s = p b/(2 t)",
            f"p {pressed * 1000:.1f} kPa",
            pulled,
            "MPa",
            "statics of a ring",
        ),
        Step(
            "core loose: far end of it to the side when one screw is a quarter turn ahead",
            "x = s h/r",
            f"s {lead:.2f} mm; from there on the concrete guides the core, and bears F r/h",
            lead * (dims.end_z + dims.base) / thrust.tilt_arm(dims),
            "mm",
            "geometry",
        ),
        Step(
            "core loose: how far one screw may be ahead at the end of the stroke without touching",
            "s = c r/h",
            f"c {plain(dims.spec.shop.release_clearance)} mm",
            allowed,
            "mm",
            "geometry",
        ),
    ]
    return steps, [
        Verdict(
            "8.56", "tilt of a core that is still held: tension in the concrete walls", pulled, bears,
            Operator.AT_MOST, "MPa", Said("walls at the rim, {age:p} h after casting", age=age),
            "statics of a ring; EN 1992-1-1:2004, 12.3.1 (from memory)",
            "Draw later, when the concrete is stronger, or with a shorter lever.",
        ),
        Verdict(
            "8.57", "tilt of a loose core: lead of one screw that the clearance allows, against what can be read",
            allowed, READ, Operator.AT_LEAST, "mm", "far end of the core, at the end of the stroke",
            "geometry; own rule", "Choose a greater shop.release_clearance.",
        ),
    ]  # fmt: skip


# ---------------------------------------------------------------- free bodies


def panel_share(mould: Mould) -> Ratio:
    """Part of a thrust that goes into the panel behind the rim, if concrete and panel stick and share their strain.

    Source: statics, stiffness in parallel; the concrete by its upper curve at the last day, creep let off.
    """
    dims = mould.dims
    wall = dims.width / 2 - dims.core_half_x(0) - dims.step
    steel = dims.stock.steel.elastic_modulus_mpa * dims.shell
    return steel / (steel + modulus_high(dims, dims.spec.concrete.stripping_age) * wall)


def _bodies(mould: Mould, load: Newton) -> tuple[list[Step], ResultTable, Verdict]:
    """Concrete, core, panels and nose as free bodies at the greatest pull."""
    dims = mould.dims
    found = pull(mould, Sticking.worst(dims))
    total, weight, body = found.total, lifted_mass(mould) * GRAVITY, body_weight(mould)
    share = panel_share(mould)
    section = dims.width * dims.depth - 4 * (dims.core_half_x(0) + dims.step) * (dims.core_half_y(0) + dims.step)
    shortens = total * dims.height / (section * modulus_high(dims, dims.spec.concrete.stripping_age))
    wide = 2 * dims.forcing.pad_half_y
    stress = share * load / (dims.shell * wide)
    steps = [
        Step(
            "panel beside a pad: share of the thrust, if concrete and panel stick",
            "k = Es t/(Es t + k Ec w)",
            f"t {plain(dims.shell)} mm; a panel that lets go bears nothing",
            share,
            "-",
            "statics, stiffness in parallel",
        ),
        Step(
            "panel beside a pad: stress, as wide as the pad is long",
            "s = k F/(t b)",
            f"F {load / 1000:.2f} kN, b {wide:.0f} mm",
            stress,
            "MPa",
            _VIEW,
        ),
        Step(
            "concrete shortens by, at most, which is what the nose moves in its panel",
            "w = F H/(A k Ec)",
            f"F {total / 1000:.2f} kN, H {dims.height:.0f} mm, A {section:.0f} mm2",
            shortens * 1000,
            "micrometre",
            "statics; the front panel goes along, no force is left in the nose",
        ),
        Step(
            "ground under concrete and core",
            "G = weight of the concrete + weight of the core + F - F",
            f"{body / 1000:.2f} + {weight / 1000:.2f} kN: pull and thrust are in balance within them",
            (body + weight) / 1000,
            "kN",
            _VIEW,
        ),
    ]
    rows = (
        ("concrete", round(-total / 1000, 2), round((total - weight) / 1000, 2), round(-body / 1000, 2),
         round((body + weight) / 1000, 2)),
        ("core with base plate", round(total / 1000, 2), round((weight - total) / 1000, 2), round(-weight / 1000, 2),
         0.0),
        ("panels and nose", 0.0, 0.0, 0.0, 0.0),
    )  # fmt: skip
    table = ResultTable(
        "Free bodies at the greatest pull, up counted above 0, panels and ground apart",
        ("body", "screws, kN", "faces between core and concrete, kN", "weight, kN", "ground, kN"),
        rows,
        "Concrete and panels stand each on the ground. The thrust shortens the concrete; what a panel takes of it "
        "while it sticks is in the steps.",
    )
    return steps, table, Verdict(
        "8.60", "panel beside a pad: stress, if it sticks to the concrete", stress, dims.stock.steel.yield_mpa,
        Operator.AT_MOST, "MPa", "side panels, behind the pads",
        "EN 1993-1-1:2005 6.2 (from memory), fy / gamma_M0, gamma_M0 = 1",
    )  # fmt: skip


# ---------------------------------------------------------------- chapter


CAUTIONS: Final = (
    "Turn the screws in order, crosswise, each by a quarter turn and no more: equal travel counts. Screws turned to "
    "the same torque may differ in force by 2.7 to 1.",
    "Measure from base plate to rim at all four corners after every round, and bring the low ones up.",
    "Wipe every pad and the rim below it: a pad that stands on grit or on one edge breaks the arris.",
    "Stand aside of the screws, not in their line, and push the lever with an open palm. Nobody stands on the mould.",
    "Grease the screws and brush grit off before each cast; change a screw and its nut when the play is a quarter of "
    "the pitch.",
)


def chapter(mould: Mould) -> Chapter:
    """Forcing screws, their seats and the rim under half of the design pull each; tilt, free bodies, and the base."""
    load = design_pull(mould) / CARRYING
    bodies, table, panel = _bodies(mould, load)
    found = [
        *thrust.bears(mould, load),
        _rim(mould),
        overload.checked(mould),
        _tilt(mould),
        when_drawn(mould),
        when_filled(mould),
        runners(mould),
        core_welds(mould, seams(mould)),
    ]
    needs = [*_screws(mould), panel, *(need for _, needs in found for need in needs)]
    return Chapter(
        "Forcing screws and base",
        (
            Said(
                "Each screw bears half of the design pull, {load:.2f} kN: two that stand diagonally carry all, "
                "{load_factor:p} times the greatest pull.",
                load=load / 1000,
                load_factor=LOAD_FACTOR,
            ),
            "The screws are turned in order to the same torque: each then gives at least its quarter at the greatest "
            "friction, and none more than the overload.",
            "The rim is judged at stripping and on the last day, by the strength of its age; while casting the pad "
            "closes its opening, so that it stands on the concrete with all of its face.",
            "The end of a screw rubs on its pad over its full face; the welded nut is of its own class.",
            "Base bolts are out while the core is drawn; the corner bolts are in.",
            "The filled mould stands on its runners on even ground, or on two battens under their ends.",
        ),
        (*(step for steps, _ in found for step in steps), *jack.wear_steps(mould), *bodies),
        (table,),
        tuple(sorted(needs, key=lambda need: need.code)),
        (overload.stop_words(mould), *CAUTIONS),
    )
