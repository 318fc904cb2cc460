"""Drawing the core: what holds it, over the ranges of what is not known, and what the jack screw makes of it.

The filter stands upright on its floor, the base bolts are out, the panels are still bolted: the bridge stands on the
side base flanges and the screw draws core and base plate off.  Two nuts locked against each other turn the screw in
the nut on the anchor plate; they rub on the washer plate.
"""

from __future__ import annotations

import math
from typing import Final

from mouldgeom.model.assembly import Mould
from mouldgeom.rules import screw
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength import jack, overload
from mouldgeom.strength.jack import SHIGLEY, SHIGLEY_MEMORY
from mouldgeom.strength.pull import (
    Drive,
    Sticking,
    age_table,
    body_weight,
    comparison_table,
    corner_table,
    design_pull,
    faces,
    grip_force,
    hold_down,
    latest_age,
    lifted_mass,
    plan_area,
    pull,
    range_table,
    release,
    rough,
    slick,
)
from mouldgeom.strength.restraint import CREEP, restraint
from mouldgeom.strength.steps import Chapter, Step
from mouldgeom.strength_classes import strength_class
from mouldgeom.units import GRAVITY, Mpa, Newton, Ratio, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

LOCK_MARGIN: Final[Ratio] = 2.0
"""Friction of the thread over the least that holds: oil may halve it (common practice, no source)."""
WEAR_PRESSURE: Final[Mpa] = 12.6
"""Greatest pressure between the flanks of a slowly turned screw jack, steel on cast iron, from handbooks of machine
design (from memory); no value for steel on plain steel was found."""
HOLD_FACTOR: Final[Ratio] = 1.5
"""What keeps the body down over what lifts it, at the worst corner of the ranges (own rule: the load factor of EN 1990
for what varies)."""
WEAR_FACTOR: Final[Ratio] = 1e-4
"""Archard's factor of plain steel on plain steel, greased: its order of magnitude (from memory)."""

_VIEW: Final = "statics"
_FIELDS: Final = "specification, [extraction]; no agreed value"


def _held(mould: Mould) -> tuple[list[Step], Verdict]:
    worst = Sticking.worst(mould.dims)
    kept, lifts = hold_down(mould, worst)
    service, weight = pull(mould, worst).total, lifted_mass(mould) * GRAVITY
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
            Said(
                "what keeps the concrete in its box, {panels:p} kPa on the panels and {core:p} kPa on the core",
                panels=worst.panels,
                core=worst.core,
            ),
            "K = weight of the concrete + adhesion and friction of the panels",
            f"{body_weight(mould) / 1000:.2f} kN + {(kept - body_weight(mould)) / 1000:.2f} kN",
            kept / 1000,
            "kN",
            "statics; friction 0.1 by BS 5975:2008; the nose is a reserve",
        ),
    ]
    need = Verdict(
        "8.39",
        Said(
            "filter stays in its box: weight and panels hold {factor:p} times what the core lifts", factor=HOLD_FACTOR
        ),
        kept / 1000,
        HOLD_FACTOR * lifts / 1000,
        Operator.AT_LEAST,
        "kN",
        Said("concrete body, {panels:p} kPa on the panels and {core:p} kPa on the core",
             panels=worst.panels, core=worst.core),
        "statics: the legs press on the flanges, nothing touches the concrete",
        "Press on the concrete itself, by forcing screws on its rim; or narrow the ranges by what a cast has shown.",
    )  # fmt: skip
    return steps, need


# ---------------------------------------------------------------- chapter


CAUTIONS: Final = (
    "Leave the load on and wait ten minutes: a stuck core often lets go late. Then turn on by an eighth.",
    "Look for what still holds: a base bolt left in, paste over a notch or a flange, a weld bead on the core.",
    "Tap the base plate over the core walls with a soft mallet, all round; never the concrete, never the screw.",
    "Run water or thin oil into the gap at the rim and let it creep; air blown gently behind the end plate breaks its "
    "suction. Full pressure of a compressor would throw the core: a tyre pump does.",
    "Young or cold concrete gains strength by the hour, and grips tighter by the day: wait hours, not days.",
    "The core is never warmer than the concrete: keep the sun off. Cold water into the core shrinks it loose.",
    "Leave the corner bolts tight until the core has come: the panels hold the concrete down (8.39). If the body "
    "lifts with the core, let down and start again.",
    "Nothing hangs over a hand: never reach below a raised core or base plate, and hang no weight under it.",
    "Stand aside of the screw, not in its line, and push the lever with an open palm. Nobody stands on the mould.",
    "Grease the screw and brush grit off before each cast; change nut and rod when the play is a quarter of the pitch.",
)


def _words(mould: Mould) -> tuple[str, ...]:
    """What is said with numbers: how to stop, and until when to draw."""
    found = overload.lever(mould)
    return (
        Said(
            "Stop at {torque:.0f} N m, {hand:p} N at the end of a {lever:p} mm lever: the screw then draws with "
            "{least:.1f} to {greatest:.1f} kN. Torque tells force only within a factor of about two. If the core has "
            "not moved, a longer lever only breaks something.",
            torque=found.torque / 1000,
            hand=mould.dims.spec.extraction.hand_force,
            lever=found.length,
            least=found.least / 1000,
            greatest=found.greatest / 1000,
        ),
        Said(
            "Draw the core until {age:p} h after casting: the longer it waits, the tighter concrete grips it.",
            age=latest_age(mould.dims),
        ),
    )


def _torque_steps(mould: Mould, gear: Drive, service: Newton, running: Newton) -> list[Step]:
    dims, lever = mould.dims, overload.lever(mould).length
    torque, thread = gear.up(service), gear.thread
    turns = dims.bridge.stroke / thread.lead
    slide = turns * math.pi * thread.mean
    ultimate = strength_class(dims.spec.steel.screw_class, gear.row).ultimate_mpa
    worn = WEAR_FACTOR * gear.pressure(running) * slide / (3 * ultimate)
    force = f"F {service / 1000:.2f} kN"
    form = f"{gear.row.designation}: d2 {thread.mean:.3f} mm, P {plain(thread.pitch)} mm, mu {plain(gear.friction)}"
    return [
        Step(
            "torque that draws, thread and nut face",
            "T = F dm/2 (l + pi mu dm sec a)/(pi dm - mu l sec a) + F mu dc/2",
            f"{force}; {form}, a 30 deg, dc {plain(gear.collar, 1)} mm",
            torque / 1000,
            "N m",
            f"{SHIGLEY}; sec a from memory",
        ),
        Step(
            "torque that lets down",
            "T = F dm/2 (pi mu dm sec a - l)/(pi dm + mu l sec a) + F mu dc/2",
            f"{force}; as above",
            gear.down(service) / 1000,
            "N m",
            f"{SHIGLEY}; sec a from memory",
        ),
        Step(
            "efficiency",
            "e = F l/(2 pi T)",
            f"{force}, l {plain(thread.lead)} mm",
            screw.efficiency(service, thread.lead, torque),
            "-",
            SHIGLEY,
        ),
        Step(
            "hand on the lever",
            "H = T/r",
            f"{torque / 1000:.1f} N m over {plain(lever)} mm",
            screw.hand_force(torque, lever),
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
            "pressure between the flanks while the core moves, spread over the nut",
            "p = F/(pi dm h n)",
            f"F {running / 1000:.2f} kN: weight, friction and suction; h {thread.depth:.2f} mm, {gear.turns:.1f} turns",
            gear.pressure(running),
            "MPa",
            SHIGLEY_MEMORY,
        ),
        Step(
            "casts until a quarter of the pitch is worn off the flanks (order of magnitude only)",
            "N = (P/4) H/(k p s), H = 3 fu",
            f"k {WEAR_FACTOR:g}, s {slide:.0f} mm a cast under that pull; {worn * 1000:.2f} micrometres a cast",
            thread.pitch / 4 / worn,
            "casts",
            "Archard's law; k and H from memory",
        ),
    ]


def _screw_needs(mould: Mould, running: Newton) -> list[Verdict]:
    least = slick(mould.dims)
    name = Said("jack screw {designation}", designation=least.row.designation)
    return [
        Verdict(
            "8.23",
            "jack screw holds by itself: friction over what just holds",
            least.lock,
            LOCK_MARGIN,
            Operator.AT_LEAST,
            "-",
            name,
            f"{SHIGLEY}, self-locking; margin common practice, no source",
        ),
        Verdict(
            "8.38",
            "jack screw: pressure between the turning flanks while the core moves",
            least.pressure(running),
            WEAR_PRESSURE,
            Operator.AT_MOST,
            "MPa",
            Said("{name}, {turns:.1f} turns in the nut", name=name, turns=least.turns),
            "screw jack, steel on cast iron, slow: handbooks of machine design (from memory)",
        ),
    ]


def _pull_steps(mould: Mould) -> list[Step]:
    dims, given = mould.dims, mould.dims.spec.extraction
    worst = Sticking.worst(dims)
    found, shrunk = pull(mould, worst), restraint(dims, worst.age)
    area = ", ".join(f"{face.name} {face.area / 1e6:.3f} m2" for face in faces(dims))
    squeeze = worst.core_grip * grip_force(dims)
    end = plan_area(dims, dims.end_z, 0)
    let_go = release(mould, worst)
    wedge = f"mu {plain(given.friction)}, d {plain(dims.draft)} deg"
    return [
        Step(
            "weight that is drawn: core, base plate with runners, screw with its nuts",
            "W = m g",
            f"{lifted_mass(mould):.1f} kg",
            found.weight / 1000,
            "kN",
            "mass of the parts",
        ),
        Step(
            Said("adhesion at {adhesion:p} kPa", adhesion=worst.core),
            "A = a (sum of drafted faces x cos d + level faces)",
            f"{area}; d {plain(dims.draft)} deg",
            found.adhesion / 1000,
            "kN",
            _FIELDS,
        ),
        Step(
            "grip that the fresh pressure leaves on the core walls",
            "N = grip x integral of p dA",
            f"{plain(worst.core_grip)} x {grip_force(dims) / 1000:.2f} kN, {dims.fresh.method}",
            squeeze / 1000,
            "kN",
            _FIELDS,
        ),
        Step(
            "friction of it on the draft",
            "R = N (mu cos d - sin d), not below 0",
            f"{squeeze / 1000:.2f} kN, {wedge}",
            found.friction / 1000,
            "kN",
            "statics of a wedge; mu: Rabbat and Russell 1985",
        ),
        Step(
            Said("strain of the concrete from stripping until {age:p} h", age=worst.age),
            "e = ca(t) - ca(t0) + share x cd(t - t0)",
            f"sealed {shrunk.strain.sealed * 1e6:.2f}, drying and cooling {shrunk.strain.dried * 1e6:.2f} microstrain, "
            f"share {plain(given.drying)}",
            shrunk.strain.total * 1e6,
            "microstrain",
            "EN 1992-1-1:2004, 3.1.4 and Annex B.2 (partly from memory); share: own rule",
        ),
        Step(
            "concrete against a core wall, if nothing stood in its way",
            "u = e x half the core",
            "at the rim",
            shrunk.approach * 1000,
            "micrometre",
            "geometry",
        ),
        Step(
            "force on all core walls beside their corners, sheet, bed and walls in series",
            "N1 = sum of u/(1/(4 D b^3) + a/(Es t) + a/(k Ec w)) over corners and height",
            f"k Ec {shrunk.modulus:.0f} MPa, k {CREEP:g} for creep; b^4 = k Ec/(w/2)/(4 D)",
            shrunk.corners / 1000,
            "kN",
            "own model: beam on an elastic foundation, Hetenyi (from memory)",
        ),
        Step(
            "force on all core walls along base plate, anchor plate, diaphragms and end plate",
            "N2 = sum of u/(1/(n 4 D b^3) + (1 - nu) a/(Es t) + 1/concrete wall) over their edges",
            "n 1 at an end of the walls, 2 between",
            shrunk.plates / 1000,
            "kN",
            "own model, as above",
        ),
        Step(
            "the same on a core that could not give way: the upper bound",
            "N = sum of e k Ec w over four walls, twice a height",
            "p = E e t/r of a ring",
            shrunk.rigid / 1000,
            "kN",
            "statics of a ring",
        ),
        Step(
            "friction of shrinkage on the draft",
            "R = N (mu cos d - sin d), not below 0",
            f"{shrunk.normal / 1000:.2f} kN, {wedge}",
            found.shrinkage / 1000,
            "kN",
            "statics of a wedge; mu: Rabbat and Russell 1985",
        ),
        Step(
            "travel until shrinkage grips no more",
            "s = u/sin d",
            f"u {shrunk.approach * 1000:.2f} micrometre, d {plain(dims.draft)} deg",
            let_go.shrinkage,
            "mm",
            "geometry",
        ),
        Step(
            "travel until the core walls have sprung out",
            "s = grip x bulge/sin d",
            f"grip {plain(worst.core_grip)}",
            let_go.grip,
            "mm",
            "geometry",
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
            "greatest pull, which starts the core",
            "F = W + A + R + S",
            f"{found.weight / 1000:.2f} + {found.adhesion / 1000:.2f} + {found.friction / 1000:.2f} + "
            f"{found.shrinkage / 1000:.2f} + {found.suction / 1000:.2f} kN",
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


ASSUMPTIONS: Final = (
    "No agreed value of adhesion was found in any source read, nor of what is left of the fresh pressure, nor of how "
    "shrinkage grips a core of sheet: ranges are carried, core and panels apart, and their worst corner governs. They "
    "are assumptions until a core has been drawn: test.",
    "Adhesion, grip, shrinkage and suction are all at their greatest at once, as if nothing had let go yet.",
    "Adhesion acts as shear on the drafted faces and as tension on the level ones; faces are oiled and clean.",
    "Before stripping concrete creeps, and its stiffness grows from nothing: what strain leaves by then is within the "
    "share of the fresh pressure. From then on it shrinks against the core: sealed, and by a share of the drying of a "
    "wall open on both sides in air of 60 %, which stands for what dries at rim and floor, and for concrete that cools "
    "ahead of the core.",
    "The core is sheet: its walls give way between corners and level plates, and bear only beside them. Oil film, "
    "slip and cracks are left out, which all loosen it.",
)


def chapter(mould: Mould) -> Chapter:
    """Pull, torque and stresses when the core is drawn, and what they require."""
    load, gear = design_pull(mould), rough(mould.dims)
    running = pull(mould, Sticking.worst(mould.dims)).running
    borne, borne_needs = jack.bears(mould, load)
    lever, lever_needs = overload.checked(mould)
    held, held_need = _held(mould)
    needs = [*_screw_needs(mould, running), *borne_needs, *lever_needs, held_need]
    return Chapter(
        "Drawing the core",
        (
            "The filter stands upright, the base bolts are out, the panels are bolted to each other.",
            *ASSUMPTIONS,
            "The screw turns in the jack nut under two nuts that are locked against each other and rub on the "
            "washer; friction is the same in the thread and under the nut, anywhere in its range.",
        ),
        (
            *_pull_steps(mould),
            *_torque_steps(mould, gear, load / LOAD_FACTOR, running),
            *lever,
            *borne,
            *held,
        ),
        (range_table(mould), age_table(mould), corner_table(mould), comparison_table(mould)),
        tuple(sorted(needs, key=lambda need: need.code)),
        (*_words(mould), *CAUTIONS),
    )
