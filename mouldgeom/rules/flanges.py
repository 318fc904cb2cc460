"""Bolted flanges under fresh concrete: what a row of bolts has to bear, what it bears, how far it opens between bolts.

The panels of the box press each other outwards.  The front and back panels lie over the outstanding legs of the corner
flanges and are pulled off them: their bolts are in tension.  The side panels push the same flanges outwards along the
front panel, which ties them together: the bolts are in shear.  At each corner the panels hold each other from turning;
that moment is passed on by the bolts and by the toe of the flange, which presses on the sheet (prying).  A panel's foot
pushes its base flange outwards: shear in the base bolts, and the moment that keeps the foot from turning.

Only numbers: the design uses it to find pitch and angle, the calculation to write them down.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Annotated, Final, NamedTuple

from mouldgeom import rules, tables
from mouldgeom.rules import NewtonPerMm
from mouldgeom.strength_classes import StrengthClass
from mouldgeom.units import Mm, Mm2, Mpa, Newton, NewtonMm, Ratio

NewtonMm2 = Annotated[float, "N mm2"]

LOAD_FACTOR: Final[Ratio] = 1.5
"""On pressure of the concrete and pull of the core: EN 1990:2002 Table A1.2(B), variable actions (from memory)."""
REACTION: Final[Ratio] = 0.505
"""Greatest reaction of a panel's edge over pressure and span, whatever its sides: Roark's Formulas for Stress and
Strain, 7th ed. 2002, Table 11.4 case 1a, gamma, greatest of its rows (a/b = 3)."""
_RATIOS: Final = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 2.4)
_LONG_EDGE: Final = (0.0513, 0.0639, 0.0726, 0.0780, 0.0812, 0.0829, 0.0833)
_SHORT_EDGE: Final = (0.0513, 0.0554, 0.0568, 0.0571, 0.0571, 0.0571, 0.0571)


def edge_moment(pressure: Mpa, along: Mm, span: Mm) -> Newton:
    """Moment on each mm of a clamped edge of a sheet field, as a size: N mm/mm.

    Args:
        along: length of that edge; ``span``: distance to the opposite edge.

    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, Table 35, even load (from
    memory), read off linearly; the last value from 2.4 on.
    """
    short, long = (span, along) if along >= span else (along, span)
    row = _LONG_EDGE if along >= span else _SHORT_EDGE
    ratio = long / short
    if ratio >= _RATIOS[-1]:
        factor = row[-1]
    else:
        i = max(bisect_left(_RATIOS, ratio), 1)
        factor = row[i - 1] + (row[i] - row[i - 1]) * (ratio - _RATIOS[i - 1]) / (_RATIOS[i] - _RATIOS[i - 1])
    return factor * pressure * short * short


class Load(NamedTuple):
    """What each mm of a bolted joint has to bear, no load factor: pull off the flange, shear, moment of the corner."""

    pull: NewtonPerMm
    shear: NewtonPerMm
    moment: Newton


@dataclass(frozen=True)
class CornerJoint:
    """The joint of two panels as one corner row sees it.

    Args:
        across: pressed width of the panel that is pulled off; ``beside``: that of the panel round the corner.
        height: of the pour; ``lines``: heights of the stiffeners; ``pressure`` at a height.
    """

    across: Mm
    beside: Mm
    height: Mm
    lines: tuple[Mm, ...]
    pressure: Callable[[Mm], Mpa]

    @cached_property
    def fields(self) -> tuple[tuple[Mm, Mm, Mm2], ...]:
        """Lower and upper edge of each field between stiffeners, and the moment of the corner there over pressure."""
        out = []
        for start, end in pairwise((0.0, *self.lines, self.height)):
            tall = 2 * (end - start) if end == self.height else end - start  # the upper edge is free
            moment = edge_moment(1.0, tall, self.across)
            if self.beside != self.across:
                moment = max(moment, edge_moment(1.0, tall, self.beside))
            out.append((start, end, moment))
        return tuple(out)

    def load(self, low: Mm, high: Mm) -> Load:
        """Load on the part of the joint from one height to another, by the pressure at its lower end."""
        pressure = self.pressure(low)
        moment = 0.0
        for start, end, here in self.fields:
            if start < high and end > low and here > moment:
                moment = here
        return Load(REACTION * pressure * self.across, REACTION * pressure * self.beside, pressure * moment)

    @cached_property
    def ends(self) -> tuple[tuple[Mm, Newton], ...]:
        """Where each side stiffener ends, and what it brings at most: by the pressure at the lower end of its share."""
        edges, out = (0.0, *self.lines), []
        for number, z in enumerate(self.lines):
            pressure = self.pressure((edges[number] + z) / 2)
            out.append((z, REACTION * pressure * self.beside * self.share(number)))
        return tuple(out)

    def share(self, number: int) -> Mm:
        """Height of panel that a stiffener carries: half way to its neighbours, the uppermost up to the rim."""
        edges = (0.0, *self.lines)
        above = (edges[number + 1] + edges[number + 2]) / 2 if number + 2 < len(edges) else self.height
        return above - (edges[number] + edges[number + 1]) / 2


@dataclass(frozen=True)
class Foot:
    """The joint of a panel's base flange with the base plate: alike all along, but for the ends of nose posts.

    ``post`` is the distance of each of two posts from the middle, 0 if there are none.
    """

    across: Mm
    height: Mm
    lines: tuple[Mm, ...]
    pressure: Callable[[Mm], Mpa]
    post: Mm = 0.0

    @cached_property
    def ends(self) -> tuple[tuple[Mm, Newton], ...]:
        """Where each post ends, and what it brings at most."""
        if not self.post:
            return ()
        carried = self._load.shear * (self.post + (self.across / 2 - self.post) / 2)
        return ((-self.post, carried), (self.post, carried))

    @cached_property
    def field(self) -> Mm:
        """Height of the lowest field of the panel; without a stiffener its upper edge is free."""
        return self.lines[0] if self.lines else 2 * self.height

    def load(self, low: Mm, high: Mm) -> Load:
        """Load on each mm, wherever."""
        return self._load

    @cached_property
    def _load(self) -> Load:
        pressure, tall = self.pressure(0.0), self.field
        return Load(0.0, REACTION * pressure * min(self.across, tall), edge_moment(pressure, self.across, tall))


class BoltUse(NamedTuple):
    """Forces of one bolt, load factor included, and how far each part is used: at most 1."""

    pull: Newton
    prying: Newton
    shear: Newton
    tension_use: Ratio
    interaction: Ratio
    bearing: Ratio
    punching: Ratio
    flange: Ratio
    sheet: Ratio

    @property
    def tension(self) -> Newton:
        """Pull and prying together."""
        return self.pull + self.prying

    @property
    def greatest(self) -> Ratio:
        """The most used part."""
        return max(self.tension_use, self.interaction, self.bearing, self.punching, self.flange, self.sheet)


class Gap(NamedTuple):
    """How far a joint opens between two bolts, at the heel of its flange, no load factor: the parts of it."""

    sheet: Mm
    twist: Mm
    tilt: Mm
    leg: Mm

    @property
    def total(self) -> Mm:
        """All together."""
        return self.sheet + self.twist + self.tilt + self.leg


@dataclass(frozen=True)
class Joint:
    """A flange, what is bolted to it, and its bolts.

    Args:
        ply: thickness of the sheet or plate on the flange; ``ply_edge``: from a bolt outwards to its edge;
            ``row_edge``: from the last bolt to the end of a member.
    """

    angle: tables.Angle
    ply: Mm
    bolt: tables.Bolt
    bolt_steel: StrengthClass
    steel: tables.Steel
    ply_edge: Mm
    row_edge: Mm

    @cached_property
    def lever(self) -> Mm:
        """From the bolt to the root of the outstanding leg, m.

        Source: EN 1993-1-8:2005 6.2.4 and Figure 6.2, less 0.8 r (from memory).
        """
        angle = self.angle
        return angle.gauge_mm - angle.thickness_mm - 0.8 * angle.root_radius_mm

    @cached_property
    def toe(self) -> Mm:
        """From the bolt to where the flange's toe presses, n: at most 1.25 m.

        Source: EN 1993-1-8:2005 6.2.4, Table 6.2 (from memory).
        """
        return min(self.angle.leg_mm - self.angle.gauge_mm, 1.25 * self.lever)

    @cached_property
    def flange_length(self) -> Mm:
        """Length of leg that yields around one bolt, or less if the bolts stand closer.

        Source: EN 1993-1-8:2005 Table 6.4, min(2 pi m, 4 m + 1.25 e) (from memory).
        """
        edge = self.angle.leg_mm - self.angle.gauge_mm
        return min(2 * math.pi * self.lever, 4 * self.lever + 1.25 * edge)

    @cached_property
    def sheet_length(self) -> Mm:
        """Length of the other ply that yields around one bolt: a circle to where the toe presses.

        Source: EN 1993-1-8:2005 Table 6.4, 2 pi m with m = n (from memory).
        """
        return 2 * math.pi * self.toe

    @cached_property
    def flange_strength(self) -> Newton:
        """Plastic moment of each mm of the leg, t^2/4 fy."""
        return self.angle.thickness_mm**2 / 4 * self.steel.yield_mpa

    @cached_property
    def sheet_strength(self) -> Newton:
        """Plastic moment of each mm of the other ply."""
        return self.ply**2 / 4 * self.steel.yield_mpa

    @cached_property
    def tension_resistance(self) -> Newton:
        """Ft,Rd of one bolt."""
        return rules.bolt_tension_resistance(self.bolt_steel.ultimate_mpa, self.bolt.stress_area_mm2)

    @cached_property
    def shear_resistance(self) -> Newton:
        """Fv,Rd of one bolt, one plane, through the thread."""
        factor = rules.shear_factor(self.bolt_steel.designation)
        return rules.bolt_shear_resistance(self.bolt_steel.ultimate_mpa, self.bolt.stress_area_mm2, factor)

    @cached_property
    def bearing_resistance(self) -> Newton:
        """Fb,Rd of one bolt in the weaker ply: the bolt presses the ply outwards and the flange towards its heel.

        Source: EN 1993-1-8:2005 Table 3.4; 3.6.1(10) for a single lap with one row, 1.5 fu d t/gamma_M2.
        """
        diameter, ultimate = self.bolt.diameter_mm, self.steel.ultimate_mpa
        plies = ((self.ply, self.ply_edge), (self.angle.thickness_mm, self.angle.gauge_mm))
        single_lap = 1.5 * ultimate * diameter * min(thickness for thickness, _ in plies) / rules.GAMMA_M2
        return min(
            single_lap,
            *(
                rules.bearing_resistance(
                    bolt_ultimate=self.bolt_steel.ultimate_mpa,
                    plate_ultimate=ultimate,
                    diameter=diameter,
                    hole=self.bolt.hole_medium_mm,
                    thickness=thickness,
                    end_distance=end,
                    edge_distance=self.row_edge,
                )
                for thickness, end in plies
            ),
        )

    @cached_property
    def punching_resistance(self) -> Newton:
        """Bp,Rd of head or nut through the thinner ply; washers are not counted on."""
        mean = (self.bolt.across_flats_mm + self.bolt.across_corners_mm) / 2
        return rules.punching_resistance(self.steel.ultimate_mpa, mean, min(self.ply, self.angle.thickness_mm))

    @cached_property
    def rigidity(self) -> NewtonMm:
        """Of the other ply."""
        return rules.plate_rigidity(self.steel.elastic_modulus_mpa, self.ply, self.steel.poisson)

    @cached_property
    def torsion(self) -> NewtonMm2:
        """Torsional stiffness of the angle, G J."""
        angle, steel = self.angle, self.steel
        shear_modulus: Mpa = steel.elastic_modulus_mpa / (2 * (1 + steel.poisson))
        return shear_modulus * angle.thickness_mm**3 * (2 * angle.leg_mm - angle.thickness_mm) / 3

    def bolt_use(self, load: Load, length: Mm, crowding: Ratio = 1.0) -> BoltUse:
        """How far a bolt and what it holds are used by the load on this length of the joint.

        ``crowding`` is how much more pull and shear the ends of stiffeners bring to it.
        """
        held = LOAD_FACTOR * length * crowding
        pull, shear = load.pull * held, load.shear * held
        moment: NewtonMm = LOAD_FACTOR * load.moment * length
        prying = moment / self.toe
        tension = pull + prying
        alone = tension / self.tension_resistance
        return BoltUse(
            pull,
            prying,
            shear,
            alone,
            max(shear / self.shear_resistance + alone / 1.4, alone),
            shear / self.bearing_resistance,
            tension / self.punching_resistance,
            max(pull * self.lever, moment) / (min(self.flange_length, length) * self.flange_strength),
            moment / (min(self.sheet_length, length) * self.sheet_strength),
        )

    def gap(self, load: Load, pitch: Mm, carried: Mm = 0.0, place: Mm = 0.0) -> Gap:
        """How far the joint opens midway between two bolts ``pitch`` apart.

        The sheet lifts off the flange between the bolts under an even pull; where a stiffener ends between them that
        carries ``carried`` mm of panel, at ``place`` from the lower bolt, its force at that spot counts instead if
        that opens more.  The angle twists under the moment of the corner, the sheet tilts between bolt and toe, the
        leg bends at the bolt.

        Source: plate theory for the sheet (``lift_factor``); beam theory for the rest: twist M p^2/(8 G J) over the
        leg, tilt M n/(3 D) over the gauge, leg F m^3/(3 E I).
        """
        angle, elastic = self.angle, self.steel.elastic_modulus_mpa
        factor = lift_factor(float(math.ceil(pitch)), angle.leg_mm - angle.gauge_mm, angle.gauge_mm, self.steel.poisson)
        lift = load.pull * pitch**3 * factor / self.rigidity
        if carried:
            lift *= max(1.0, 2 * carried / pitch * (4 * place * (pitch - place) / pitch**2) ** 2)
        inertia_12 = min(self.flange_length, pitch) * angle.thickness_mm**3
        return Gap(
            lift,
            load.moment * pitch**2 / (8 * self.torsion) * angle.leg_mm,
            load.moment * self.toe / (3 * self.rigidity) * angle.gauge_mm,
            4 * load.pull * pitch * self.lever**3 / (elastic * inertia_12),
        )


@lru_cache(maxsize=4096)
def lift_factor(pitch: Mm, edge: Mm, inside: Mm, poisson: Ratio) -> Ratio:
    """Lift of a sheet between two bolts over pull x pitch^3 / rigidity.

    The sheet has a free edge ``edge`` beyond the line of bolts and reaches far to the other side; every bolt holds it
    back with the pull on one pitch.  The lift is that ``inside`` of the line of bolts midway between two of them,
    against the sheet at the bolts.  The first eight harmonics of the row; what is left is below 0.3 %.

    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959: a line load cos kz on a plate
    with a free edge, D (d2/dx2 - k^2)^2 w = 0 on each side, worked out here.
    """
    total = 0.0
    for n in range(1, 9):
        k = 2 * math.pi * n / pitch
        total += (_ripple(k, edge, 0.0, poisson) - (-1) ** n * _ripple(k, edge, inside, poisson)) / n**3
    return total * 2 / (2 * math.pi) ** 3


def _ripple(k: Annotated[float, "1/mm"], edge: Mm, inside: Mm, poisson: Ratio) -> Ratio:
    """Deflection w D k^3 under a line load cos kz, at a distance from it; far from the edge 1/4 under the load."""
    far, n = math.exp(-k * edge), 1 - poisson
    slope = far * n * (1 + 2 * k * edge) / (3 + poisson)
    level = (2 * slope + far * (1 + poisson - n * k * edge)) / n
    own = (1 + k * inside) * math.exp(-k * inside)
    return (own + (level + slope * k * (inside + edge)) * math.exp(-k * (inside + edge))) / 4


def tributaries(places: Sequence[Mm], low: Mm, high: Mm) -> tuple[tuple[Mm, Mm], ...]:
    """The part of a joint from ``low`` to ``high`` that each bolt of a row holds: half way to its neighbours."""
    edges = (low, *((a + b) / 2 for a, b in pairwise(places)), high)
    return tuple(pairwise(edges))


@dataclass(frozen=True)
class JointRow:
    """A row of bolts in a joint that reaches from ``low`` to ``high``."""

    joint: Joint
    pressed: CornerJoint | Foot
    low: Mm
    high: Mm

    def brought(self, places: Sequence[Mm]) -> list[Newton]:
        """What the ends of stiffeners or posts bring to each bolt, divided between the two beside by the lever rule."""
        out = [0.0] * len(places)
        for place, force in self.pressed.ends:
            i = bisect_left(places, place)
            if 0 < i < len(places):
                upper = (place - places[i - 1]) / (places[i] - places[i - 1])
                out[i - 1] += force * (1 - upper)
                out[i] += force * upper
            else:
                out[min(i, len(places) - 1)] += force
        return out

    def uses(self, places: Sequence[Mm]) -> tuple[tuple[Mm, Mm, Load, Ratio, BoltUse], ...]:
        """Of each bolt: the part of the joint that it holds, the load on each mm there, crowding, and use.

        Crowding is how much more a bolt gets if stiffeners bring all of the load than if it is spread, at least 1.
        """
        out = []
        for (low, high), brought in zip(tributaries(places, self.low, self.high), self.brought(places), strict=True):
            load, length = self.pressed.load(low, high), high - low
            spread = load.shear * length
            crowding = brought / spread if brought > spread > 0 else 1.0
            out.append((low, high, load, crowding, self.joint.bolt_use(load, length, crowding)))
        return tuple(out)

    def gaps(self, places: Sequence[Mm]) -> tuple[tuple[Mm, Mm, Load, Gap], ...]:
        """Between each pair of bolts: where they stand, the load on each mm there, and how far the joint opens."""
        out = []
        for low, high in pairwise(places):
            load = self.pressed.load(low, high)
            carried = place = 0.0
            if isinstance(self.pressed, CornerJoint):
                for number, z in enumerate(self.pressed.lines):
                    if low < z < high:
                        carried, place = carried + self.pressed.share(number), z - low
            worst = self.joint.gap(load, high - low, carried, place)
            out.append((low, high, load, worst))
        return tuple(out)

    def strain(self, places: Sequence[Mm], allowed: Mm) -> Ratio:
        """The most used part of any bolt, or the widest gap over the allowed one: at most 1 if the row serves."""
        if (
            isinstance(self.pressed, Foot) and not self.pressed.post
        ):  # loaded alike all along: the longest part and the widest pair decide
            load = self.pressed.load(self.low, self.high)
            length = max(high - low for low, high in tributaries(places, self.low, self.high))
            pitch = max((high - low for low, high in pairwise(places)), default=0.0)
            gap = self.joint.gap(load, pitch).total if pitch else 0.0
            return max(self.joint.bolt_use(load, length).greatest, gap / allowed)
        use = max(bolt.greatest for *_, bolt in self.uses(places))
        return max(use, max((gap.total for *_, gap in self.gaps(places)), default=0.0) / allowed)
