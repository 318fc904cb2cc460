"""What a person can do to the gear with a lever: the force that breaks its weakest part, and the lever that does not.

Torque tells force only as well as friction is known.  The pull is reckoned at the greatest friction, what may break a
part at the least one, and between both lies a lever that is long enough and not too long, or none.  Forcing screws are
turned in order up to the same torque, so each gives at least its quarter, and none more than the overload.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.model.assembly import Mould
from mouldgeom.rules import screw
from mouldgeom.strength import bridge, jack, thrust
from mouldgeom.strength.pull import greatest_pull, rough, slick
from mouldgeom.strength.steps import Checked, Step
from mouldgeom.units import Mm, Newton, NewtonMm, Ratio, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

SHORTEST: Final[Mm] = 80.0
"""Shortest lever: below it a hand finds no hold beside the nut (own rule)."""
RARE_FACTOR: Final[Ratio] = 1.2
"""gamma_C of what should not happen, here a screw that is turned until a hand gives up: EN 1992-1-1:2004, Table 2.1N
(from memory)."""
_STEP: Final[Mm] = 10.0
"""Levers are cut to a whole centimetre."""
_UNIT: Final[Newton] = 1000.0


@dataclass(frozen=True, slots=True)
class PartLimit:
    """A part, or what in it gives way first, and the force in the gear at which it does."""

    part: str
    force: Newton


@dataclass(frozen=True, slots=True)
class Lever:
    """The lever that is used, and what a person does with it.

    Args:
        length: of the lever.
        torque: of ``extraction.hand_force`` at its end, at which to stop.
        least, greatest: force in the screw at that torque, at the greatest and at the least friction.
        weakest: the part that gives way first.
    """

    length: Mm
    torque: NewtonMm
    least: Newton
    greatest: Newton
    weakest: PartLimit


def limits(found: Iterable[Verdict], load: Newton) -> list[PartLimit]:
    """Force at which each requirement is just kept, of requirements under a load that grow evenly with it.

    Deflections, in mm, break nothing and are left out.
    """
    return [
        PartLimit(Said("{title} ({where})", title=need.title, where=need.where), load / need.use)
        for need in found
        if need.unit != "mm" and need.use
    ]


def screws(dims: Dimensions) -> int:
    """How many screws share the pull."""
    return 1 if dims.has_bridge else 4


def weakest(mould: Mould) -> PartLimit:
    """What gives way first as the force in a screw grows, of the gear, its seats and the rim; and that force.

    The rim counts at the age of stripping, when it is weakest.
    """
    dims = mould.dims
    chain = [jack.bears(mould, _UNIT), *bridge.bears(mould, _UNIT)] if dims.has_bridge else thrust.bears(mould, _UNIT)
    found = limits((need for _, needs in chain for need in needs), _UNIT)
    if not dims.has_bridge:
        age = dims.spec.concrete.stripping_age
        found.append(PartLimit("rim under a pad, at stripping", thrust.crushing(dims, age, RARE_FACTOR)))
        found.append(PartLimit("walls that a tilted core presses, at stripping", thrust.tilting(dims, age)))
    return min(found, key=lambda limit: limit.force)


def lever(mould: Mould) -> Lever:
    """The longest lever, up to ``extraction.lever``, at whose end nobody breaks anything; at least ``SHORTEST``."""
    given, first = mould.dims.spec.extraction, weakest(mould)
    low, high = slick(mould.dims), rough(mould.dims)
    arm = low.up(first.force) / given.hand_force
    length = max(SHORTEST, min(given.lever, _STEP * (arm // _STEP)))
    torque = given.hand_force * length
    return Lever(length, torque, high.force(torque), low.force(torque), first)


def checked(mould: Mould) -> Checked:
    """The lever: that it draws the greatest pull at the greatest friction, and breaks nothing at the least one."""
    dims, given, found = mould.dims, mould.dims.spec.extraction, lever(mould)
    low, high = slick(dims), rough(dims)
    share = greatest_pull(mould) / screws(dims)
    hand = screw.hand_force(high.up(share), found.length)
    steps = [
        Step(
            Said("force in a screw at which the weakest part gives way: {part}", part=found.weakest.part),
            "F0 = F/u",
            "the least over screw, nuts, plates, welds and rim; u: share used at F",
            found.weakest.force / 1000,
            "kN",
            "requirements of the gear; concrete with a factor of 1.2",
        ),
        Step(
            "lever: the longest at hand at whose end one person breaks nothing",
            "r = T0/H, in whole cm",
            f"T0 {low.up(found.weakest.force) / 1000:.1f} N m at mu {plain(low.friction)}, "
            f"H {plain(given.hand_force)} N; at hand {plain(given.lever)} mm",
            found.length,
            "mm",
            "own rule",
        ),
        Step(
            "torque to stop at",
            "T = H r",
            f"{plain(given.hand_force)} N, {plain(found.length)} mm",
            found.torque / 1000,
            "N m",
            "statics",
        ),
        Step(
            "force in the screw at that torque, greatest friction",
            "F = T/(T/F)",
            f"mu {plain(high.friction)}, dc {plain(high.collar, 1)} mm",
            found.least / 1000,
            "kN",
            jack.SHIGLEY,
        ),
        Step(
            "force in the screw at that torque, least friction: the overload",
            "F = T/(T/F)",
            f"mu {plain(low.friction)}, dc {plain(low.collar, 1)} mm",
            found.greatest / 1000,
            "kN",
            jack.SHIGLEY,
        ),
    ]
    stronger = Said("Make stronger what gives way first: {part}.", part=found.weakest.part)
    codes = ("8.20", "8.40") if dims.has_bridge else ("8.58", "8.59")
    return steps, [
        Verdict(
            codes[0],
            "hand on the lever at the greatest pull",
            hand,
            given.hand_force,
            Operator.AT_MOST,
            "N",
            Said("lever of {lever:p} mm", lever=found.length),
            "specification, extraction.hand_force",
            stronger if found.length < given.lever else "Take a longer lever, extraction.lever.",
        ),
        Verdict(
            codes[1],
            "hand on the lever, thread well greased: force in the screw that breaks nothing",
            found.greatest / 1000,
            found.weakest.force / 1000,
            Operator.AT_MOST,
            "kN",
            found.weakest.part,
            "own rule: nobody breaks the gear by hand",
            stronger,
        ),
    ]


def stop_words(mould: Mould) -> str:
    """Where to stop, in numbers."""
    found = lever(mould)
    return Said(
        "Stop at {torque:.0f} N m, {hand:p} N at the end of a {lever:p} mm lever: a screw then bears {least:.1f} to "
        "{greatest:.1f} kN. Torque tells force only within a factor of about two. If the core has not moved, a longer "
        "lever only breaks something.",
        torque=found.torque / 1000,
        hand=mould.dims.spec.extraction.hand_force,
        lever=found.length,
        least=found.least / 1000,
        greatest=found.greatest / 1000,
    )
