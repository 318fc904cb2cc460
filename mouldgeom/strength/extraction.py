"""Drawing the core: what holds it, over the stated range of adhesion, and what the jack screw and its seats make of it.

The filter stands upright on its floor, the base bolts are out, the panels are still bolted: the bridge stands on the
side base flanges and the screw draws core and base plate off.  Two nuts locked against each other turn the screw in
the nut on the anchor plate; they rub on the washer plate.
"""

from __future__ import annotations

from typing import Final

from mouldgeom.fabrication.wear import spare_sets, wear_casts
from mouldgeom.fabrication.welds import seams
from mouldgeom.model.assembly import Mould
from mouldgeom.model.joints import WeldRole
from mouldgeom.rules import screw
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength.pull import (
    Drive,
    body_weight,
    comparison_table,
    design_pull,
    drive,
    faces,
    grip_force,
    hold_down,
    lifted_mass,
    plan_area,
    pull,
    range_table,
)
from mouldgeom.strength.seats import (
    fixed_coefficients,
    fixed_plate,
    plastic_boss_load,
    seams_of,
    washer_plate_stress,
    weld_resistance,
)
from mouldgeom.strength.steps import Chapter, Step
from mouldgeom.strength_classes import class_text, strength_class, welded_class
from mouldgeom.units import GRAVITY, Mpa, Newton, Ratio, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

LOCK_MARGIN: Final[Ratio] = 2.0
"""Friction of the thread over the least that holds: oil may halve it (common practice, no source)."""
WEAR_PRESSURE: Final[Mpa] = 12.6
"""Greatest pressure between the flanks of a slowly turned screw jack, steel on cast iron, from handbooks of machine
design (from memory); no value for steel on plain steel was found."""

_VIEW: Final = "statics"
_SHIGLEY: Final = "Shigley's Mechanical Engineering Design, ch. 8"
_SHIGLEY_MEMORY: Final = f"{_SHIGLEY} (from memory)"
_YIELD: Final = "EN 1993-1-1:2005 6.2 (from memory), fy / gamma_M0, gamma_M0 = 1"
_FIELDS: Final = "specification, [extraction]; no agreed value"


# ---------------------------------------------------------------- seats of the screw


def _anchor(mould: Mould, load: Newton) -> tuple[list[Step], list[Verdict]]:
    dims, made = mould.dims, seams(mould)
    steel, jack = dims.stock.steel, dims.stock.jack
    halves = sorted(
        half - dims.wall_inset for half in (dims.core_half_x(dims.anchor_z), dims.core_half_y(dims.anchor_z))
    )
    nut = seams_of(made, WeldRole.NUT_TO_ANCHOR)[0]
    boss = jack.across_flats_mm / 2 + nut.leg
    holds = plastic_boss_load(steel.yield_mpa, dims.base, halves[0], boss)
    service = load / LOAD_FACTOR
    beta, alpha = fixed_coefficients(2 * halves[0], 2 * halves[1])
    peak, sag = fixed_plate(service, 2 * halves[0], 2 * halves[1], dims.base, boss, steel.elastic_modulus_mpa)
    ring = "yield lines, hinge at the toe of the nut's weld, edges not held against turning (from memory)"
    roark = "Roark, 7th ed. 2002, Table 11.4 case 8b, fixed edges (coefficients from memory)"
    welds = seams_of(made, WeldRole.ANCHOR_TO_WALL)
    length, resistance = sum(seam.welded for seam in welds) / 2, weld_resistance(mould, welds[0].leg)
    steps = [
        Step(
            "anchor plate: load at which it yields around the nut",
            "P = 2 pi (fy t^2/4) a/(a - c), c = s/2 + z",
            f"fy {plain(steel.yield_mpa)} MPa, t {plain(dims.base)} mm, a {halves[0]:.1f} mm; nut welded all round, "
            f"s {plain(jack.across_flats_mm, 1)} mm, leg z {plain(nut.leg, 2)} mm",
            holds / 1000,
            "kN",
            ring,
        ),
        Step(
            "anchor plate: elastic stress under the nut at the greatest pull (the first yield, not the strength)",
            "s = 3 W/(2 pi t^2) (1.3 ln(2 b/(pi r)) + beta)",
            f"W {service / 1000:.2f} kN, t {plain(dims.base)} mm, b {2 * halves[0]:.0f} mm, r {plain(boss, 1)} mm, "
            f"beta {beta:.3f}",
            peak,
            "MPa",
            roark,
        ),
        Step(
            "anchor plate: sag at the greatest pull",
            "w = alpha W b^2/(E t^3)",
            f"alpha {alpha:.4f}, E {steel.elastic_modulus_mpa:g} MPa, the rest as above",
            sag,
            "mm",
            roark,
        ),
        Step(
            "anchor plate: force on each mm of its welds, the middle half of each side counted",
            "f = F/(L/2)",
            f"{load / 1000:.2f} kN over {length:.0f} mm, leg {plain(welds[0].leg)} mm; "
            f"the nut's own seam has {nut.welded:.0f} mm and is not loaded: the nut bears on the plate",
            load / length,
            "N/mm",
            "EN 1993-1-8:2005 4.5.3.3",
        ),
    ]
    needs = [
        Verdict(
            "8.24",
            "anchor plate: load that it bears, kept above the design pull",
            holds / 1000,
            load / 1000,
            Operator.AT_LEAST,
            "kN",
            "anchor plate, around the jack nut",
            ring,
        ),
        Verdict(
            "8.25",
            "anchor plate: force on its welds",
            load / length,
            resistance,
            Operator.AT_MOST,
            "N/mm",
            "anchor plate to core walls",
            "EN 1993-1-8:2005 4.5.3.3, a fu/(sqrt 3 beta_w gamma_M2)",
        ),
    ]
    return steps, needs


def _held(mould: Mould, load: Newton) -> tuple[list[Step], Verdict]:
    given = mould.dims.spec.extraction
    kept, lifts, at = min(
        ((*hold_down(mould, a), a) for a in (given.adhesion_least, given.adhesion_greatest)),
        key=lambda row: row[0] / max(row[1], 1e-9),
    )
    service, weight = load / LOAD_FACTOR, lifted_mass(mould) * GRAVITY
    steps = [
        Step(
            "force of both bridge legs on the side flanges at the greatest pull, the bridge's own weight apart",
            "R = F = weight + what the concrete holds",
            f"{weight / 1000:.2f} kN + {(service - weight) / 1000:.2f} kN; the panels hand it to the ground that they "
            f"stand on, and the concrete lifts by the second part only: ground, legs and body are in balance",
            service / 1000,
            "kN",
            _VIEW,
        ),
        Step(
            Said("what keeps the concrete in its box, at an adhesion of {at:p} kPa", at=at),
            "K = weight of the concrete + adhesion and friction of the panels",
            f"{body_weight(mould) / 1000:.2f} kN + {(kept - body_weight(mould)) / 1000:.2f} kN",
            kept / 1000,
            "kN",
            "statics; friction 0.1 by BS 5975:2008; the nose is a reserve",
        ),
    ]
    need = Verdict(
        "8.39",
        "filter stays in its box: weight and panels hold more than the core lifts",
        kept / 1000,
        lifts / 1000,
        Operator.AT_LEAST,
        "kN",
        Said("concrete body, at an adhesion of {at:p} kPa", at=at),
        "statics: the legs press on the flanges, nothing touches the concrete",
    )
    return steps, need


# ---------------------------------------------------------------- chapter


CAUTIONS: Final = (
    "Leave the load on and wait ten minutes: a stuck core often lets go late. Then turn on by an eighth.",
    "Look for what still holds: a base bolt left in, paste over a notch or a flange, a weld bead on the core.",
    "Tap the base plate over the core walls with a soft mallet, all round; never the concrete, never the screw.",
    "Run water or thin oil into the gap at the rim and let it creep; air blown gently behind the end plate breaks its "
    "suction. Full pressure of a compressor would throw the core: a tyre pump does.",
    "Give the concrete another day if it is young: it gains strength, and shrinks but little more.",
    "Leave the corner bolts tight until the core has come: the panels hold the concrete down (8.39). If the body "
    "lifts with the core, let down and start again.",
    "Draw the core within a day or two of casting: the longer it waits, the tighter concrete grips it.",
    "Nothing hangs over a hand: never reach below a raised core or base plate, and hang no weight under it.",
    "Stand aside of the screw, not in its line, and push the lever with an open palm. Nobody stands on the mould.",
    "Grease the screw and brush grit off before each cast; change nut and rod when the play is a quarter of the pitch.",
)


def _stop(mould: Mould, gear: Drive, service: Newton) -> str:
    torque, lever = gear.up(service), mould.dims.spec.extraction.lever
    return Said(
        "Stop at {torque:.0f} N m, {torque_2:.0f} N at the end of a {lever:p} mm lever: it is "
        "what the greatest pull asks for. If the core has not moved, a longer lever only breaks "
        "something.",
        torque=torque / 1000,
        torque_2=torque / lever,
        lever=lever,
    )


def _torque_steps(mould: Mould, gear: Drive, service: Newton) -> list[Step]:
    dims, given = mould.dims, mould.dims.spec.extraction
    torque, thread = gear.up(service), gear.thread
    turns = dims.bridge.stroke / thread.lead
    casts, life = wear_casts(mould, service), dims.spec.use.life
    force = f"F {service / 1000:.2f} kN"
    form = f"{gear.row.designation}: d2 {thread.mean:.3f} mm, P {plain(thread.pitch)} mm, mu {plain(gear.friction)}"
    return [
        Step(
            "torque that draws, thread and nut face",
            "T = F dm/2 (l + pi mu dm sec a)/(pi dm - mu l sec a) + F mu dc/2",
            f"{force}; {form}, a 30 deg, dc {plain(gear.collar, 1)} mm",
            torque / 1000,
            "N m",
            f"{_SHIGLEY}; sec a from memory",
        ),
        Step(
            "torque that lets down",
            "T = F dm/2 (pi mu dm sec a - l)/(pi dm + mu l sec a) + F mu dc/2",
            f"{force}; as above",
            gear.down(service) / 1000,
            "N m",
            f"{_SHIGLEY}; sec a from memory",
        ),
        Step(
            "efficiency",
            "e = F l/(2 pi T)",
            f"{force}, l {plain(thread.lead)} mm",
            screw.efficiency(service, thread.lead, torque),
            "-",
            _SHIGLEY,
        ),
        Step(
            "hand on the lever",
            "H = T/r",
            f"{torque / 1000:.1f} N m over {plain(given.lever)} mm",
            screw.hand_force(torque, given.lever),
            "N",
            _VIEW,
        ),
        Step(
            "turns for the stroke",
            "n = s/l",
            f"{dims.bridge.stroke:.1f} mm by {plain(thread.lead)} mm",
            turns,
            "turns",
            "geometry",
        ),
        Step(
            "pressure between the flanks, spread over the nut",
            "p = F/(pi dm h n)",
            f"{force}, h {thread.depth:.2f} mm, {gear.turns:.1f} turns",
            gear.pressure(service),
            "MPa",
            _SHIGLEY_MEMORY,
        ),
        Step(
            "casts until a quarter of the pitch is worn off the flanks (order of magnitude only)",
            "N = (P/4) H/(k p s), H = 3 fu",
            f"k {screw.WEAR_FACTOR:g}, s {screw.slide(thread, dims.bridge.stroke):.0f} mm a cast under full pull; "
            f"{thread.pitch / 4 / casts * 1000:.2f} micrometres a cast",
            casts,
            "casts",
            "Archard's law; k and H from memory",
        ),
        Step(
            "spare sets of screw and nut over the life of the mould",
            "S = ceil(L/N) - 1",
            f"L {plain(life)} casts, N {casts:.0f} casts",
            spare_sets(mould, service),
            "-",
            "own rule; life: specification, use.life",
        ),
    ]


def _stress_steps(gear: Drive, load: Newton) -> list[Step]:
    thread = gear.thread
    first = screw.FIRST_THREAD_SHARE * load
    torque = screw.torque_to_raise(load, thread, gear.friction)
    return [
        Step(
            "screw between its nuts: pull with the torque of the thread, at its root",
            "s = sqrt((4 F/(pi d3^2))^2 + 3 (16 T/(pi d3^3))^2)",
            f"F {load / 1000:.2f} kN, T {torque / 1000:.1f} N m, d3 {thread.root:.2f} mm",
            gear.body(load),
            "MPa",
            _SHIGLEY_MEMORY,
        ),
        Step(
            "first engaged turn of the screw: bending with shear (the turn of the nut is wider)",
            "s = sqrt(sb^2 + 3 t^2), sb = 3 F1 h/(pi d3 w^2), t = 1.5 F1/(pi d3 w), F1 = 0.38 F",
            f"F1 {first / 1000:.2f} kN, h {thread.depth:.2f} mm, w {thread.root_width:.2f} mm, d3 {thread.root:.2f} mm",
            gear.turn(load),
            "MPa",
            _SHIGLEY_MEMORY,
        ),
        Step(
            "pressure on the first engaged turn",
            "p = F1/(pi dm h)",
            f"F1 {first / 1000:.2f} kN",
            screw.thread_bearing(first, thread),
            "MPa",
            _SHIGLEY_MEMORY,
        ),
    ]


def _screw_needs(mould: Mould, gear: Drive, load: Newton) -> list[Verdict]:
    dims, given = mould.dims, mould.dims.spec.extraction
    grade = strength_class(dims.spec.steel.screw_class, gear.row)
    nut = strength_class(welded_class(grade.designation, gear.row), gear.row)
    service = load / LOAD_FACTOR
    hand = screw.hand_force(gear.up(service), given.lever)
    name = Said("jack screw {designation}", designation=gear.row.designation)
    tough = f"{_YIELD}; {class_text(grade.designation)}"
    return [
        Verdict(
            "8.20",
            "hand on the lever at the greatest pull",
            hand,
            given.hand_force,
            Operator.AT_MOST,
            "N",
            Said("lever of {lever:p} mm", lever=given.lever),
            "specification, extraction.hand_force",
        ),
        Verdict(
            "8.21",
            "jack screw: stress of its body",
            gear.body(load),
            grade.yield_mpa,
            Operator.AT_MOST,
            "MPa",
            name,
            tough,
        ),
        Verdict(
            "8.22",
            "jack screw and nut: stress of the first turn",
            gear.turn(load),
            min(grade.yield_mpa, nut.yield_mpa),
            Operator.AT_MOST,
            "MPa",
            Said("{name}, thread in the jack nut", name=name),
            f"{_YIELD}; {class_text(nut.designation)}: the nut is welded, {class_text(nut.nut)}",
        ),
        Verdict(
            "8.23",
            "jack screw holds by itself: friction over what just holds",
            gear.lock,
            LOCK_MARGIN,
            Operator.AT_LEAST,
            "-",
            name,
            f"{_SHIGLEY}, self-locking; margin common practice, no source",
        ),
        Verdict(
            "8.38",
            "jack screw: pressure between the turning flanks at the greatest pull",
            gear.pressure(service),
            WEAR_PRESSURE,
            Operator.AT_MOST,
            "MPa",
            Said("{name}, {turns:.1f} turns in the nut", name=name, turns=gear.turns),
            "screw jack, steel on cast iron, slow: handbooks of machine design (from memory)",
        ),
    ]


def _pull_steps(mould: Mould) -> list[Step]:
    dims, given = mould.dims, mould.dims.spec.extraction
    adhesion = max(given.adhesion_least, given.adhesion_greatest)
    found = pull(mould, adhesion)
    area = ", ".join(f"{face.name} {face.area / 1e6:.3f} m2" for face in faces(dims))
    squeeze = given.grip * grip_force(dims)
    end = plan_area(dims, dims.end_z, 0)
    return [
        Step(
            "weight on the screw: core, base plate with runners, screw with its nuts",
            "W = m g",
            f"{lifted_mass(mould):.1f} kg",
            found.weight / 1000,
            "kN",
            "mass of the parts",
        ),
        Step(
            Said("adhesion at {adhesion:p} kPa", adhesion=adhesion),
            "A = a (sum of drafted faces x cos d + level faces)",
            f"{area}; d {plain(dims.draft)} deg",
            found.adhesion / 1000,
            "kN",
            _FIELDS,
        ),
        Step(
            "grip that the fresh pressure leaves on the core walls",
            "N = grip x integral of p dA",
            f"{plain(given.grip)} x {grip_force(dims) / 1000:.2f} kN, {dims.fresh.method}",
            squeeze / 1000,
            "kN",
            _FIELDS,
        ),
        Step(
            "friction on the draft",
            "R = N (mu cos d - sin d), not below 0",
            f"{squeeze / 1000:.2f} kN, mu {plain(given.friction)}, d {plain(dims.draft)} deg",
            found.friction / 1000,
            "kN",
            "statics of a wedge; mu: Rabbat and Russell 1985",
        ),
        Step(
            "suction under the end plate",
            "S = s x area",
            f"{plain(given.suction)} kPa x {end / 1e6:.4f} m2",
            found.suction / 1000,
            "kN",
            _FIELDS,
        ),
        Step(
            "greatest pull",
            "F = W + A + R + S",
            f"{found.weight / 1000:.2f} + {found.adhesion / 1000:.2f} + {found.friction / 1000:.2f} + "
            f"{found.suction / 1000:.2f} kN",
            found.total / 1000,
            "kN",
            _VIEW,
        ),
        Step(
            "design pull, for every part that it loads",
            "Fd = 1.5 F",
            f"{plain(LOAD_FACTOR)} x {found.total / 1000:.2f} kN",
            LOAD_FACTOR * found.total / 1000,
            "kN",
            "EN 1990:2002 Table A1.2(B), gamma_Q (from memory)",
        ),
    ]


def chapter(mould: Mould) -> Chapter:
    """Pull, torque and stresses when the core is drawn, and what they require."""
    dims, load = mould.dims, design_pull(mould)
    gear = drive(dims)
    anchor, anchor_needs = _anchor(mould, load)
    lever, width, stress = washer_plate_stress(dims, load)
    held, held_need = _held(mould, load)
    washer = Step(
        "washer plate between the beams, at its hole",
        "s = (F/2) c/(b t^2/4)",
        f"F {load / 1000:.2f} kN, c {lever:.1f} mm, b {width:.1f} mm, t {plain(dims.base)} mm",
        stress,
        "MPa",
        "EN 1993-1-1:2005 6.2.5 (from memory), plastic modulus of a solid plate",
    )
    washer_need = Verdict(
        "8.26",
        "washer plate: bending between the beams",
        stress,
        dims.stock.steel.yield_mpa,
        Operator.AT_MOST,
        "MPa",
        "washer plate, at its hole",
        _YIELD,
    )
    needs = [*_screw_needs(mould, gear, load), *anchor_needs, washer_need, held_need]
    return Chapter(
        "Drawing the core",
        (
            "The filter stands upright, the base bolts are out, the panels are bolted to each other.",
            "No agreed value of adhesion was found in any source read: a range is carried, and its greatest value "
            "governs. The range is an assumption until a core has been drawn: test.",
            "Adhesion, grip and suction are all at their greatest at once, as if nothing had let go yet.",
            "Adhesion acts as shear on the drafted faces and as tension on the level ones; faces are oiled and clean.",
            "The screw turns in the jack nut under two nuts that are locked against each other and rub on the "
            "washer; friction is the same in the thread and under the nut.",
        ),
        (
            *_pull_steps(mould),
            *_torque_steps(mould, gear, load / LOAD_FACTOR),
            *_stress_steps(gear, load),
            *anchor,
            washer,
            *held,
        ),
        (range_table(mould), comparison_table(mould)),
        tuple(sorted(needs, key=lambda need: need.code)),
        (_stop(mould, gear, load / LOAD_FACTOR), *CAUTIONS),
    )
