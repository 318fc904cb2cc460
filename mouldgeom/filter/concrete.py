"""Concrete of the filter: its batch by volume, what it must bear at which age, and what water does to its walls."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Final, Protocol

from mouldgeom.errors import InputError
from mouldgeom.filter.early_age import EARLY_SOURCE, Day, factor_at, plain_design_tension, strength_at
from mouldgeom.filter.levels import Cavity, Levels
from mouldgeom.filter.working import wall_at
from mouldgeom.spec import Spec
from mouldgeom.spec.fields import ConcreteGroup
from mouldgeom.units import GRAVITY, Hour, Kg, KgPerM3, Litre, Mm, Mm2, Mm3, Mpa, Newton, Ratio
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

NewtonMmPerMm = Annotated[float, "N mm/mm"]

CEMENT_DENSITY: Final[KgPerM3] = 1440.0
"""Loose cement: a 50 kg bag is 34.7 l; several sources, 1400 to 1500 among them."""
LOAD_FACTOR: Final[Ratio] = 1.35
"""On water and sand pressure and on own weight: EN 1990, permanent action (from memory)."""
REST_PRESSURE: Final[Ratio] = 0.5
"""Sideways to downwards pressure of sand at rest, 1 - sin 30 (Jaky, from memory)."""
SAND_GRAIN_DENSITY: Final[KgPerM3] = 2650.0
"""Grains of filter sand, upper end of 2550 to 2650: Davis, Water and Wastewater Engineering (2010), Table 11-1."""
STRIPPING_FACTOR: Final[Ratio] = 1.6
"""On own weight when a cast with draft leaves an oiled mould: PCI Design Handbook, Table 5.2.2.1 (from memory)."""
FILLING_AGE: Final[Day] = 7.0
"""Least age at which the filter is filled, after its moist curing: ACI 308R (from memory)."""
WATER_DENSITY: Final[KgPerM3] = 1000.0


# ---------------------------------------------------------------- batch


@dataclass(frozen=True, slots=True)
class Batch:
    """What one volume of concrete is mixed from, by loose volume.

    Source: yield 0.65 (civil engineering quantity rules: 1.54 of loose for 1 of concrete) to 0.735 (site norms sheet).
    """

    concrete: Litre
    cement: Kg
    bags: Ratio
    cement_volume: Litre
    sand: Litre
    stone: Litre
    water: Litre
    bucket: Litre

    @property
    def buckets(self) -> tuple[Ratio, Ratio, Ratio]:
        """Buckets of cement, sand and stone."""
        return self.cement_volume / self.bucket, self.sand / self.bucket, self.stone / self.bucket


def batch(spec: Spec, volume: Litre, cement_density: KgPerM3 = CEMENT_DENSITY) -> Batch:
    """Mix for a volume of placed concrete; waste comes on top.

    Raises:
        InputError: no volume.

    Source: loose volumes by ratio and yield: civil engineering quantity rules, site norms sheet.
    """
    if not 0 < volume < math.inf:
        raise InputError("volume of concrete", f"{volume:g} l", "must be above zero", "Correct it.")
    mix = spec.concrete
    part = volume / mix.mix_yield / (1 + mix.mix_sand + mix.mix_stone)
    cement = part * cement_density / 1000
    return Batch(
        volume, cement, cement / mix.cement_bag, part, part * mix.mix_sand, part * mix.mix_stone,
        cement * mix.water_cement, mix.bucket,
    )  # fmt: skip


# ---------------------------------------------------------------- the standing filter


def corner_moment(long: Mm, short: Mm, pressure: Mpa) -> NewtonMmPerMm:
    """Moment at the corners of a closed frame with equal walls under pressure from inside, each mm of its height.

    Spans are measured on the centre lines of the walls; no moment in the frame is greater.

    Source: moment distribution, fixed-end moments p L^2/12 and stiffness 1/L (tank example: 5833 kg m/m for 6 m x 4 m
        under 2500 kg/m2).
    """
    return pressure * (long**3 + short**3) / (12 * (long + short))


@dataclass(frozen=True, slots=True)
class WallStress:
    """Greatest tension in the wall and the level where it stands."""

    stress: Mpa
    level: Mm
    pressure: Mpa
    thickness: Mm


def pressure_inside(levels: Levels, porosity: Ratio, level: Mm, water: Mm | None = None) -> Mpa:
    """Pressure on the wall at a level: water up to the full level (or another), and sand at rest below its top.

    Gravel counts as sand.

    Source: hydrostatics; earth pressure at rest with a coefficient of 0.5 (from memory) on the buoyant weight.
    """
    top = levels.full if water is None else water
    head = max(0.0, top - level) / 1000
    depth = max(0.0, levels.sand_top - level) / 1000
    buoyant = (1 - porosity) * (SAND_GRAIN_DENSITY - WATER_DENSITY)
    return GRAVITY * (WATER_DENSITY * head + REST_PRESSURE * buoyant * depth) * 1e-6


def wall_stress(
    spec: Spec, levels: Levels, cavity: Cavity, thickness: Callable[[Mm], Mm] | None = None, *, water: Mm | None = None
) -> WallStress:
    """Greatest tension in the walls of the standing filter, as closed frames one above the other.

    On the safe side near the floor, which holds the walls too.  ``thickness`` gives the wall at a level where it was
    measured; without it, it follows from the dimensions.

    Source: closed frame by moment distribution; bending and direct tension added.
    """

    def wall(level: Mm) -> Mm:
        return wall_at(spec, cavity, level) if thickness is None else thickness(level)

    def at(level: Mm) -> WallStress:
        pressure, thick = pressure_inside(levels, spec.sand.porosity, level, water), wall(level)
        clear = sorted((cavity.width_at(level), cavity.depth_at(level)))
        short, long = (span + thick for span in clear)
        bending = 6 * corner_moment(long, short, pressure) / thick**2
        return WallStress(bending + pressure * clear[1] / 2 / thick, level, pressure, thick)

    steps = 24
    low, high = levels.floor, levels.rim
    marks = [low + (high - low) * i / steps for i in range(steps + 1)] + [levels.ledge - 1e-6, levels.ledge]
    return max((at(level) for level in marks), key=lambda found: found.stress)


def cured_age(mix: ConcreteGroup) -> Hour:
    """Age after the moist curing, when the filter is lifted and filled for the first time."""
    return max(mix.stripping_age, 24 * FILLING_AGE)


def stages(spec: Spec, stress: Mpa, weight: Newton, section: Mm2) -> tuple[Verdict, ...]:
    """Stress in the concrete against what it bears then: turned, drawn, hanging, lifted, first filled, standing full.

    Args:
        stress: greatest tension in the walls when full, unfactored.
        weight: of the whole body.
        section: plan area of the walls where they are thinnest, by which the body would hang.

    Source: least strengths of the specification, strength by ``early_age``.
    """
    mix = spec.concrete
    stripped = mix.stripping_age
    cured = cured_age(mix)
    plain = "EN 1992-1-1:2004, 12.3.1 and 3.1.2(9) (12.3.1 from memory)"
    full = LOAD_FACTOR * stress

    def bears(
        code: str, title: str, stress: Mpa, strength: Mpa, where: str = "walls", source: str = EARLY_SOURCE
    ) -> Verdict:
        return Verdict(code, title, stress, strength, Operator.AT_MOST, "MPa", where, source)

    def grown(code: str, title: str, least: Mpa, age: Hour) -> Verdict:
        where = Said("after {age:p1} h at {temperature:p1} C", age=age, temperature=mix.curing_temperature)
        return bears(code, title, least, strength_at(mix, age), where)

    def tension(age: Hour) -> Mpa:
        return plain_design_tension(mix.strength, factor_at(mix, age))

    return (
        grown(
            "turning", Said("turning the filled mould after {age:p1} h", age=stripped), mix.turning_strength, stripped
        ),
        grown("drawing", Said("drawing the core after {age:p1} h", age=stripped), mix.drawing_strength, stripped),
        bears(
            "hanging", "hanging by its walls when the mould comes off", STRIPPING_FACTOR * weight / section,
            tension(stripped), "rim", plain,
        ),
        grown("lifting", Said("lifting the filter after {days:g} days", days=FILLING_AGE), mix.lifting_strength, cured),
        bears(
            "first filling", Said("filled after {days:g} days", days=FILLING_AGE), full, tension(cured), source=plain
        ),
        bears(
            "standing full", "filled after 28 days and later", full, plain_design_tension(mix.strength), source=plain
        ),
    )  # fmt: skip


def governing(found: tuple[Verdict, ...]) -> Verdict:
    """The stage that uses most of the strength."""
    return max(found, key=lambda stage: stage.use)


class NoseShape(Protocol):
    """The nose, in the casting frame, as `outlet.Nose` has it."""

    @property
    def root_y(self) -> Mm:
        """Where the nose begins, outside the panel."""

    @property
    def tip_y(self) -> Mm:
        """Where it ends."""

    @property
    def root_half(self) -> Mm:
        """Half width where it begins."""

    @property
    def tip_half(self) -> Mm:
        """Half width where it ends."""

    @property
    def lid_z(self) -> Mm:
        """Underside of the upright filter's nose."""

    @property
    def low_z(self) -> Mm:
        """Where its sloping front meets the panel."""

    @property
    def opening_top(self) -> Mm:
        """Upper edge of the opening in the panel."""


class TubeShape(Protocol):
    """The outlet tube, as `outlet.TubePath` has it."""

    @property
    def length(self) -> Mm:
        """Developed length of the axis."""

    @property
    def outside(self) -> Mm:
        """Outside diameter."""


def body_volume(spec: Spec, levels: Levels, cavity: Cavity, nose: NoseShape, tube: TubeShape, shell: Mm) -> Mm3:
    """Volume of the concrete body: box less cavity, with the nose and its root through the panel, less the tube.

    ``shell`` is the thickness of the panel and of the nose lid, which the tube passes before it ends.
    """
    more = 2 * (cavity.step + spec.filter.least_wall)
    box = (cavity.width + more) * (cavity.depth + more) * levels.rim
    # triangle in elevation whose width goes evenly from root to tip
    wedge = (nose.lid_z - nose.low_z) * (nose.root_y - nose.tip_y) * (2 * nose.root_half + nose.tip_half) / 3
    root = 2 * nose.root_half * shell * (nose.opening_top - nose.low_z)
    bore = math.pi / 4 * tube.outside**2 * (tube.length - shell)
    return box - cavity.volume(levels.floor, levels.rim) + wedge + root - bore
