"""Drawing the core by a jack screw under a bridge: torque, lever, stresses, and what keeps the concrete down.

The filter stands upright on its floor, the base bolts are out, the panels are still bolted: the bridge stands on the
side base flanges and the screw draws core and base plate off.  Two nuts locked against each other turn the screw in
the nut on the anchor plate; they rub on the washer plate.
"""

from __future__ import annotations

from typing import Final

from mouldgeom.model.assembly import Mould
from mouldgeom.rules import screw
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength import jack, overload
from mouldgeom.strength.jack import SHIGLEY, SHIGLEY_MEMORY
from mouldgeom.strength.pull import (
    Drive,
    Sticking,
    body_weight,
    design_pull,
    hold_down,
    lifted_mass,
    pull,
    rough,
    slick,
    wearing_pull,
)
from mouldgeom.strength.steps import Chapter, Step
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

_VIEW: Final = "statics"


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
    "Leave the corner bolts tight until the core has come: the panels hold the concrete down (8.39). If the body "
    "lifts with the core, let down and start again.",
    "Stand aside of the screw, not in its line, and push the lever with an open palm. Nobody stands on the mould.",
    "Grease the screw and brush grit off before each cast; change nut and rod when the play is a quarter of the pitch.",
)


def _torque_steps(mould: Mould, gear: Drive, service: Newton, running: Newton) -> list[Step]:
    dims, lever = mould.dims, overload.lever(mould).length
    torque, thread = gear.up(service), gear.thread
    turns = dims.stroke / thread.lead
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
            f"{dims.stroke:.1f} mm by {plain(thread.lead)} mm",
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
        *jack.wear_steps(mould),
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


def chapter(mould: Mould) -> Chapter:
    """Torque and stresses when a jack screw draws the core, and what they require."""
    load, gear = design_pull(mould), rough(mould.dims)
    running = wearing_pull(mould)
    borne, borne_needs = jack.bears(mould, load)
    lever, lever_needs = overload.checked(mould)
    held, held_need = _held(mould)
    needs = [*_screw_needs(mould, running), *borne_needs, *lever_needs, held_need]
    return Chapter(
        "Drawing the core",
        (
            "The screw turns in the jack nut under two nuts that are locked against each other and rub on the "
            "washer; friction is the same in the thread and under the nut, anywhere in its range.",
        ),
        (
            *_torque_steps(mould, gear, load / LOAD_FACTOR, running),
            *lever,
            *borne,
            *held,
        ),
        (),
        tuple(sorted(needs, key=lambda need: need.code)),
        (overload.stop_words(mould), *CAUTIONS),
    )
