"""What people may lift, how many it takes, and what tips a block over.

The revised lifting equation with metric constants (its constants in inches and pounds are no exact conversions and give
up to 5 % other limits), and the reference masses of ISO 11228-1 in place of its 23 kg where they are less.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Final, Literal

from mouldgeom.errors import InputError
from mouldgeom.rules.given import above_zero, from_zero, one_of, within
from mouldgeom.units import GRAVITY, Deg, Hour, Kg, Mm, Newton, NewtonMm, Ratio

PerMinute = Annotated[float, "1/min"]
Coupling = Literal["good", "fair", "poor"]
Lifter = Literal["man 20 to 45", "woman 20 to 45", "man of another age", "woman of another age"]

LOAD_CONSTANT: Final[Kg] = 23.0
"""LC, the most to be lifted at best: NIOSH 94-110 (rev. 9/2021)."""
NOT_FOR: Final[tuple[str, ...]] = (
    "unstable loads",
    "lifting with one hand",
    "kneeling or sitting",
    "more than 8 hours",
    "cramped space",
    "foot grip below 0.4",
)
"""Where the equation is not valid: NIOSH 94-110 (rev. 9/2021)."""

DYNAMIC: Final[Ratio] = 1.3
"""On loads of a hoist, for starting and stopping: overhead hoist, a site's page on lifted precast concrete."""
LOAD_FACTOR: Final[Ratio] = 1.5
"""On weights that hang on bolts, rods, pins and welds (common practice, no source)."""

_LOW: Final[Mm] = 750.0
_FREQUENCY: Final[tuple[tuple[PerMinute, tuple[Ratio, Ratio, Ratio]], ...]] = (
    (0.2, (1.00, 0.95, 0.85)),
    (0.5, (0.97, 0.92, 0.81)),
    (1, (0.94, 0.88, 0.75)),
    (2, (0.91, 0.84, 0.65)),
    (3, (0.88, 0.79, 0.55)),
    (4, (0.84, 0.72, 0.45)),
    (5, (0.80, 0.60, 0.35)),
    (6, (0.75, 0.50, 0.27)),
    (7, (0.70, 0.42, 0.22)),
    (8, (0.60, 0.35, 0.18)),
    (9, (0.52, 0.30, 0.15)),
    (10, (0.45, 0.26, 0.13)),
    (11, (0.41, 0.23, 0.0)),
    (12, (0.37, 0.21, 0.0)),
    (13, (0.34, 0.0, 0.0)),
    (14, (0.31, 0.0, 0.0)),
    (15, (0.28, 0.0, 0.0)),
)
"""Lifts a minute against FM for work up to 1, 2 and 8 hours, hands at 75 cm or above.

NIOSH 94-110, Table 5: ten values seen in copies of it, all of them as several public programs have them.
"""
_LOW_STOPS: Final[tuple[PerMinute, PerMinute, PerMinute]] = (12, 10, 8)
"""Hands below 75 cm: FM is 0 above these (NIOSH 94-110, Table 5, as above)."""


@dataclass(frozen=True)
class Lift:
    """How a load is taken up or set down: judge both ends of a lift, the lower limit counts.

    ``horizontal`` from the middle between the ankles to the hands, ``vertical`` from the floor to the hands, ``travel``
    upwards or downwards, ``asymmetry`` of the twist, lifts a minute over ``duration``, and the grip.
    """

    horizontal: Mm
    vertical: Mm
    travel: Mm = 250.0
    asymmetry: Deg = 0.0
    frequency: PerMinute = 0.2
    duration: Hour = 1.0
    coupling: Coupling = "fair"

    def __post_init__(self) -> None:
        above_zero("horizontal distance of the hands", self.horizontal, "mm")
        from_zero("height of the hands", self.vertical, "mm")
        from_zero("travel of the load", self.travel, "mm")
        from_zero("twist", self.asymmetry, "deg")
        from_zero("lifts a minute", self.frequency, "1/min")
        above_zero("duration", self.duration, "h")
        within("duration", self.duration, 0, 8, "h", "The equation is not valid for longer shifts.")
        one_of("grip", self.coupling, {"good": 0, "fair": 0, "poor": 0})


# ---------------------------------------------------------------- the equation


def hands_distance(load_depth: Mm, vertical: Mm) -> Mm:
    """Estimate of the hands' horizontal distance for a load this deep: 20 cm + W/2, or 25 cm + W/2 below 25 cm.

    Raises:
        InputError: a size below 0.

    Source: NIOSH 94-110 (rev. 9/2021), estimate of H.
    """
    from_zero("depth of the load", load_depth, "mm")
    from_zero("height of the hands", vertical, "mm")
    return (200.0 if vertical >= 250 else 250.0) + load_depth / 2


def horizontal_multiplier(horizontal: Mm) -> Ratio:
    """HM = 25/H: 1 below 25 cm, 0 above 63 cm.

    Source: NIOSH 94-110 (rev. 9/2021).
    """
    return 0.0 if horizontal > 630 else 250 / max(horizontal, 250.0)


def vertical_multiplier(vertical: Mm) -> Ratio:
    """VM = 1 - 0.003 |V - 75|: 0 above 175 cm.

    Source: NIOSH 94-110 (rev. 9/2021).
    """
    return 0.0 if vertical > 1750 else 1 - 0.003 * abs(vertical / 10 - 75)


def distance_multiplier(travel: Mm) -> Ratio:
    """DM = 0.82 + 4.5/D: 1 below 25 cm, 0 above 175 cm.

    Source: NIOSH 94-110 (rev. 9/2021).
    """
    return 0.0 if travel > 1750 else 0.82 + 45 / max(travel, 250.0)


def asymmetry_multiplier(asymmetry: Deg) -> Ratio:
    """AM = 1 - 0.0032 A: 0 above 135 degrees.

    Source: NIOSH 94-110 (rev. 9/2021).
    """
    return 0.0 if asymmetry > 135 else 1 - 0.0032 * asymmetry


def frequency_multiplier(frequency: PerMinute, duration: Hour, vertical: Mm) -> Ratio:
    """FM from the table; between two rows the lower value, on the safe side.

    Raises:
        InputError: a duration above 8 h.

    Source: NIOSH 94-110 (rev. 9/2021), Table 5.
    """
    within("duration", duration, 0, 8, "h", "The equation is not valid for longer shifts.")
    column = 0 if duration <= 1 else 1 if duration <= 2 else 2
    if vertical < _LOW and frequency > _LOW_STOPS[column]:
        return 0.0
    return next((row[column] for lifts, row in _FREQUENCY if frequency <= lifts), 0.0)


def coupling_multiplier(coupling: Coupling, vertical: Mm) -> Ratio:
    """CM below 75 cm and from there up: fair 0.95 and 1, good 1, poor 0.90.

    Raises:
        InputError: an unknown grip.

    Source: NIOSH 94-110 (rev. 9/2021).
    """
    low, high = one_of("grip", coupling, {"good": (1.0, 1.0), "fair": (0.95, 1.0), "poor": (0.90, 0.90)})
    return low if vertical < _LOW else high


def lift_limit(lift: Lift, reference: Kg = LOAD_CONSTANT) -> Kg:
    """Recommended weight limit RWL of one person: the reference mass times all multipliers.

    Raises:
        InputError: a reference mass not above 0.

    Source: NIOSH 94-110 (rev. 9/2021), RWL = LC HM VM DM AM FM CM.
    """
    above_zero("reference mass", reference, "kg")
    return (
        reference
        * horizontal_multiplier(lift.horizontal)
        * vertical_multiplier(lift.vertical)
        * distance_multiplier(lift.travel)
        * asymmetry_multiplier(lift.asymmetry)
        * frequency_multiplier(lift.frequency, lift.duration, lift.vertical)
        * coupling_multiplier(lift.coupling, lift.vertical)
    )


def lifting_index(mass: Kg, limit: Kg) -> Ratio:
    """Load over limit, LI; infinite where nothing may be lifted.

    Raises:
        InputError: a mass or limit below 0.

    Source: NIOSH 94-110 (rev. 9/2021), LI = load/RWL.
    """
    from_zero("mass", mass, "kg")
    from_zero("limit", limit, "kg")
    return mass / limit if limit > 0 else math.inf


# ---------------------------------------------------------------- ISO 11228-1 and teams


def reference_mass(lifter: Lifter) -> Kg:
    """Reference mass: 25 kg men and 20 kg women of 20 to 45 years, 20 and 15 kg at other ages.

    Raises:
        InputError: an unknown lifter.

    Source: ISO 11228-1, reference masses, at second hand.
    """
    masses = {"man 20 to 45": 25.0, "woman 20 to 45": 20.0, "man of another age": 20.0, "woman of another age": 15.0}
    return one_of("lifter", lifter, masses)


def team_share(people: int) -> Ratio:
    """Part of the sum of single limits that a team may lift: 1, 2/3, 1/2 for one, two, three.

    Four: 2/5, as 2/(n + 1) gives the published shares too (no source).

    Raises:
        InputError: fewer than one or more than four people.

    Source: railway guidance on lifting in teams, two 2/3, three 1/2, over four not advised.
    """
    if people not in (1, 2, 3, 4):
        raise InputError("people in the team", f"{people}", "one to four", "Use a hoist: larger teams are not advised.")
    return 2 / (people + 1)


def team_limit(single: Kg, people: int) -> Kg:
    """Most that a team of equal lifters may lift.

    Raises:
        InputError: a limit below 0, fewer than one or more than four people.

    Source: railway guidance on lifting in teams (``team_share``).
    """
    from_zero("limit of one person", single, "kg")
    return people * single * team_share(people)


@dataclass(frozen=True)
class Team:
    """Who may lift a piece: ``people`` 1, 2 or 4, or 0 for a hoist; ``limit`` of that team, of four beside a hoist.

    ``index`` is mass over that limit: above 1 beside a hoist only.
    """

    mass: Kg
    people: int
    limit: Kg
    index: Ratio

    @property
    def words(self) -> str:
        """The team in words."""
        return {1: "one person", 2: "two people", 4: "four people"}.get(self.people, "hoist")


def who_lifts(mass: Kg, lift: Lift, lifter: Lifter = "man 20 to 45", most_people: int = 4) -> Team:
    """Smallest of one, two and four people that may lift the mass, else a hoist.

    One person's limit has the lesser of 23 kg and the lifter's reference mass.  Pieces that only ``most_people`` can
    get hold of leave larger teams out.

    Raises:
        InputError: a mass not above 0, an unknown lifter, or no people.

    Source: NIOSH 94-110 (rev. 9/2021), ISO 11228-1 and ``team_share``, the least of them.
    """
    above_zero("mass", mass, "kg")
    above_zero("most people", most_people, "")
    single = lift_limit(lift, min(LOAD_CONSTANT, reference_mass(lifter)))
    limit = 0.0
    for people in (n for n in (1, 2, 4) if n <= most_people):
        limit = team_limit(single, people)
        if mass <= limit:
            return Team(mass, people, limit, lifting_index(mass, limit))
    return Team(mass, 0, limit, lifting_index(mass, limit))


# ---------------------------------------------------------------- slings


def sling_factor(angle: Deg) -> Ratio:
    """Tension of a sling over the share of the load that it carries; ``angle`` from the HORIZONTAL.

    Tables by the angle between two legs, or from the vertical, give the same under other angles: legs 60 deg apart
    stand at 60 deg from the horizontal, legs 90 deg apart at 45, legs 120 deg apart at 30.

    Raises:
        InputError: an angle below 30 (legs more than 120 deg apart) or above 90 degrees.

    Source: statics, 1/sin(angle); never more than 120 deg between legs: LEEA practice.
    """
    within("angle of a sling from the horizontal", angle, 30, 90, "deg", "Use longer slings.")
    return 1 / math.sin(math.radians(angle))


# ---------------------------------------------------------------- pushing


def starting_push(lifter: Lifter) -> Newton:
    """Push of one person to start or stop a load, hands between knuckle and shoulder.

    A value to sort tasks by, not a limit of strength.

    Raises:
        InputError: an unknown lifter.

    Source: HSE L23, 200 N men and 150 N women.
    """
    known = {"man 20 to 45": 200.0, "man of another age": 200.0, "woman 20 to 45": 150.0, "woman of another age": 150.0}
    return one_of("lifter", lifter, known)


# ---------------------------------------------------------------- tipping


def tipping_moment(mass: Kg, offset: Mm, height: Mm, tilt: Deg = 0.0) -> NewtonMm:
    """Moment of a block's weight against tipping about an edge; below 0 it falls over by itself.

    ``offset`` and ``height`` of the centre of gravity from the edge when the block stands, ``tilt`` so far.

    Raises:
        InputError: a mass or height not above 0.

    Source: statics, m g (offset cos tilt - height sin tilt).
    """
    above_zero("mass", mass, "kg")
    above_zero("height of the centre of gravity", height, "mm")
    turned = math.radians(tilt)
    return mass * GRAVITY * (offset * math.cos(turned) - height * math.sin(turned))


def tipping_force(mass: Kg, offset: Mm, height: Mm, arm: Mm, tilt: Deg = 0.0) -> Newton:
    """Force that holds a block at a tilt about an edge; ``arm`` from the edge to the force's line, at right angles.

    It is greatest at the start for a force that stays at right angles to its arm; below 0 the block must be held back.

    Raises:
        InputError: a mass, height or arm not above 0.

    Source: statics, moment of the weight over the arm.
    """
    above_zero("arm of the force", arm, "mm")
    return tipping_moment(mass, offset, height, tilt) / arm


def stability_angle(offset: Mm, height: Mm) -> Deg:
    """Tilt, or slope of the ground, at which a block balances on its edge.

    Raises:
        InputError: an offset below 0 or a height not above 0.

    Source: statics, atan(offset/height).
    """
    from_zero("offset of the centre of gravity", offset, "mm")
    above_zero("height of the centre of gravity", height, "mm")
    return math.degrees(math.atan2(offset, height))


def slope_safety(offset: Mm, height: Mm, slope: Deg) -> Ratio:
    """Moment that holds a block on a slope over the one that tips it: 1 at the stability angle, infinite on the level.

    Raises:
        InputError: an offset below 0, a height not above 0, or a slope outside 0 to 60 degrees.

    Source: statics, tan(stability angle)/tan(slope).
    """
    from_zero("offset of the centre of gravity", offset, "mm")
    above_zero("height of the centre of gravity", height, "mm")
    within("slope", slope, 0, 60, "deg", "Level the ground.")
    return offset / (height * math.tan(math.radians(slope))) if slope > 0 else math.inf
