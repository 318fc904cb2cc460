"""Head and flow through bed and outlet tube, and how the reservoir drains.

Lengths of sand, filter and tube are mm and areas mm2, as everywhere; heads, speeds and flows are m and s.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Final, Literal

from mouldgeom.errors import GeometryError, InputError
from mouldgeom.filter.conductivity import check_porosity
from mouldgeom.filter.findings import Estimate, positive, within
from mouldgeom.filter.sand import SieveFraction
from mouldgeom.filter.water import kinematic_viscosity, viscosity_ratio
from mouldgeom.filter.weir import critical_flow
from mouldgeom.units import (
    GRAVITY,
    M2,
    Celsius,
    Litre,
    M2PerSecond,
    M3PerSecond,
    Metre,
    MetrePerHour,
    MetrePerSecond,
    Mm,
    Mm2,
    Ratio,
    Second,
)
from mouldgeom.verdict import Quantity

SecondPerM2 = Annotated[float, "s/m2"]
PerMetre = Annotated[float, "1/m"]
Regime = Literal["laminar", "transitional", "turbulent"]

REFERENCE_TEMPERATURE: Final[Celsius] = 20.0
"""Conductivities of layers are stated for water of this temperature."""
LAMINAR_LIMIT: Final[Ratio] = 2300.0
TURBULENT_LIMIT: Final[Ratio] = 4000.0
"""Reynolds numbers between which the flow in a tube is neither (worked example in public code; textbook rule)."""
BLASIUS_LIMIT: Final[Ratio] = 1e5
RESIDUAL: Final[Mm] = 2.0
"""Head above the rest level at which the reservoir counts as drained: common practice, no source."""


_STOKES_LIMIT: Final[Ratio] = 0.5
_JUMP: Final[Ratio] = 1e-3  # of the area, below which it counts as smooth
_CLOSE: Final[Mm] = 1e-3  # interval that is not halved again
_GAUSS: Final = 1 / math.sqrt(3)
_DAVIS: Final = "Davis, Water and Wastewater Engineering (2010), Table 11-2"


@dataclass(frozen=True, slots=True)
class BedLayer:
    """A layer of sand or gravel that water crosses from top to bottom.

    ``conductivity`` is for water of 20 C.  In a tapered cavity ``area`` is the geometric mean of the areas at top and
    bottom, which is exact where both plan directions shrink alike (see `mean_area`).

    Raises:
        MeasurementError: a value not above zero.
    """

    name: str
    thickness: Mm
    conductivity: MetrePerSecond
    area: Mm2

    def __post_init__(self) -> None:
        positive("mm", thickness=self.thickness)
        positive("m/s", conductivity=self.conductivity)
        positive("mm2", area=self.area)


def mean_area(bottom: Mm2, top: Mm2) -> Mm2:
    """Area of the straight layer that resists like a tapered one: geometric mean of its ends.

    Source: Darcy's law integrated over a frustum.
    """
    return math.sqrt(bottom * top)


@dataclass(frozen=True, slots=True)
class Bed:
    """The layers that water crosses one after the other."""

    layers: tuple[BedLayer, ...]

    def resistance(self, temperature: Celsius) -> SecondPerM2:
        """Head over flow: sum of L/(K A).

        Source: Darcy's law; viscosities by IAPWS SR6-08(2011).
        """
        # mm / (m/s x mm2) is 1000 s/m2
        cold = sum(1000 * layer.thickness / (layer.conductivity * layer.area) for layer in self.layers)
        return cold / viscosity_ratio(REFERENCE_TEMPERATURE, temperature)

    def flow(self, head: Metre, temperature: Celsius) -> M3PerSecond:
        """Flow through the bed alone under a head."""
        return head / self.resistance(temperature)

    def head_loss(self, flow: M3PerSecond, temperature: Celsius) -> Metre:
        """Head that a flow loses in the bed."""
        return flow * self.resistance(temperature)


def loading_rate(flow: M3PerSecond, area: Mm2) -> MetrePerHour:
    """Flow over plan area, as filters are rated."""
    return flow / (area * 1e-6) * 3600


@dataclass(frozen=True, slots=True)
class CleanBed:
    """A clean bed of graded grains crossed at a steady velocity (flow over plan area): losses in metres of water.

    ``sphericity`` is Davis's shape factor: 1.0 sphere, 0.82 rounded, 0.75 average, 0.73 angular.  Shares are taken as
    they are: they need not add up to 1.  R is the Reynolds number of a grain, R1 = R/(1 - porosity).

    Source: Rose, Ergun (there Carman-Kozeny) and Fair-Hatch: Davis, Water and Wastewater Engineering (2010),
        Table 11-2 and eq. 11-9; Carman 1937 as coded in the fluids library, Kozeny-Carman being its laminar term.
    """

    fractions: Sequence[SieveFraction]
    depth: Mm
    velocity: MetrePerSecond
    porosity: Ratio
    sphericity: Ratio
    viscosity: M2PerSecond

    def __post_init__(self) -> None:
        positive("mm", depth=self.depth, **{f"size_{i}": part.size for i, part in enumerate(self.fractions, 1)})
        positive("m/s", velocity=self.velocity)
        positive("-", sphericity=self.sphericity)
        positive("m2/s", viscosity=self.viscosity)
        check_porosity(self.porosity)

    def reynolds(self, size: Mm) -> Ratio:
        """Reynolds number of grains of this size, R = phi d v / nu."""
        return self.sphericity * size / 1000 * self.velocity / self.viscosity

    def rose_term(self, fraction: SieveFraction) -> PerMetre:
        """One fraction's drag coefficient times share over size."""
        return rose_drag(self.reynolds(fraction.size)) * fraction.share / (fraction.size / 1000)

    def rose(self) -> Estimate:
        """Loss by Rose's formula, for R up to 6."""
        scale = 1.067 * self.velocity**2 * self.depth / 1000 / (self.sphericity * GRAVITY * self.porosity**4)
        return self._estimate("Rose", scale * sum(self.rose_term(part) for part in self.fractions), 6.0)

    def ergun(self) -> Estimate:
        """Loss by Ergun's formula, f = 150/R1 + 1.75."""
        return self._by_friction("Ergun", lambda reynolds: 150 / reynolds + 1.75)

    def carman(self) -> Estimate:
        """Loss by Carman's correlation, f = 180/R1 + 2.871/R1^0.1."""
        return self._by_friction("Carman", lambda reynolds: 180 / reynolds + 2.871 / math.pow(reynolds, 0.1))

    def kozeny(self) -> Estimate:
        """Loss by Kozeny-Carman, laminar only, f = 180/R1; limit R1 = 1 (common practice, no source)."""
        return self._by_friction("Kozeny-Carman", lambda reynolds: 180 / reynolds, 1 - self.porosity)

    def fair_hatch(self, constant: Ratio = 5.0) -> Estimate:
        """Loss by Fair and Hatch, laminar: constant 5 for sieve openings or 6, shape S = 6/sphericity."""
        pore = (1 - self.porosity) ** 2 / self.porosity**3 * (6 / self.sphericity) ** 2
        speed = self.depth / 1000 * self.velocity * self.viscosity / GRAVITY
        squares = sum(part.share / (part.size / 1000) ** 2 for part in self.fractions)
        return self._estimate("Fair-Hatch", constant * pore * speed * squares, 1 - self.porosity)

    def all(self) -> tuple[Estimate, ...]:
        """The five formulas side by side."""
        return (self.rose(), self.ergun(), self.carman(), self.kozeny(), self.fair_hatch())

    def _by_friction(self, method: str, friction: Callable[[Ratio], Ratio], limit: Ratio | None = None) -> Estimate:
        solid = 1 - self.porosity
        loss = sum(
            friction(self.reynolds(part.size) / solid) * part.share / (self.sphericity * part.size / 1000)
            for part in self.fractions
        )
        scale = solid / self.porosity**3 * self.depth / 1000 * self.velocity**2 / GRAVITY
        return self._estimate(method, scale * loss, limit)

    def _estimate(self, method: str, value: Metre, limit: Ratio | None) -> Estimate:
        most = self.reynolds(max(part.size for part in self.fractions))
        coarse = ("outside the formula's range", "Take a formula for faster flow.")
        held = within(
            "valid-reynolds", "grain Reynolds number", most, None, limit, "-", source=_DAVIS, evidence="seen",
            above=coarse,
        )  # fmt: skip
        return Estimate(method, value, value / 2, value * 2, "m", () if limit is None else (held,), _DAVIS)


def rose_drag(reynolds: Ratio) -> Ratio:
    """Drag coefficient of grains: 24/R below R = 0.5, else 24/R + 3/sqrt(R) + 0.34.

    Source: Davis, Water and Wastewater Engineering (2010), Table 11-2.
    """
    return 24 / reynolds + (0.0 if reynolds < _STOKES_LIMIT else 3 / math.sqrt(reynolds) + 0.34)


@dataclass(frozen=True, slots=True)
class Tube:
    """The outlet tube: smooth, running full as far as its ``length``, discharging freely there.

    ``length`` is along the axis, bends included; ``bends`` counts quarter bends (a rise and a turn over make three).
    Loss coefficients are in velocity heads; that of a bend comes on top of friction and spreads from 0.1 to 1.2.
    With ``weir`` the length ends at the crest, two quarter bends on, and there the water runs over as over a weir.

    Raises:
        MeasurementError: bore or length not above zero.

    Source: entrance 0.5 sharp, about 0.8 re-entrant, exit 1.0, bend about 0.4: handbooks (from memory).
    """

    bore: Mm
    length: Mm
    bends: Ratio = 3.0
    bend_loss: Ratio = 0.4
    entrance_loss: Ratio = 0.5
    exit_loss: Ratio = 1.0
    weir: bool = False

    def __post_init__(self) -> None:
        positive("mm", bore=self.bore, length=self.length)
        for name in ("bends", "bend_loss", "entrance_loss", "exit_loss"):
            if not 0 <= getattr(self, name) < math.inf:
                raise InputError(f"tube {name}", f"{getattr(self, name):g}", "must not be below zero", "Correct it.")

    @property
    def area(self) -> M2:
        """Area of the bore."""
        return math.pi / 4 * (self.bore / 1000) ** 2

    @property
    def fittings(self) -> Ratio:
        """Entrance, bends and exit, in velocity heads."""
        return self.entrance_loss + self.bends * self.bend_loss + self.exit_loss


@dataclass(frozen=True, slots=True)
class TubeLoss:
    """What a flow loses in the tube."""

    velocity: MetrePerSecond
    reynolds: Ratio
    regime: Regime
    friction: Metre
    fittings: Metre

    @property
    def total(self) -> Metre:
        """Friction, entrance, bends and exit."""
        return self.friction + self.fittings


def friction_factor(reynolds: Ratio) -> Ratio:
    """Darcy friction factor of a smooth tube: 64/R, from 4000 on Blasius, from 1e5 on Petukhov (up to 5e6).

    Between 2300 and 4000 it is joined by a straight line (common practice, no source), so that loss grows with flow.

    Source: Blasius 1913, 0.3164/R^0.25; Petukhov 1970, (0.790 ln R - 1.64)^-2 (both from memory).
    """
    if reynolds <= LAMINAR_LIMIT:
        return 64 / reynolds
    if reynolds < TURBULENT_LIMIT:
        start, end = 64 / LAMINAR_LIMIT, _turbulent(TURBULENT_LIMIT)
        return start + (end - start) * (reynolds - LAMINAR_LIMIT) / (TURBULENT_LIMIT - LAMINAR_LIMIT)
    return _turbulent(reynolds)


def _turbulent(reynolds: Ratio) -> Ratio:
    if reynolds <= BLASIUS_LIMIT:
        return 0.3164 / math.sqrt(math.sqrt(reynolds))
    return 1 / (0.790 * math.log(reynolds) - 1.64) ** 2


def tube_loss(tube: Tube, flow: M3PerSecond, viscosity: M2PerSecond) -> TubeLoss:
    """Head that a flow loses in the tube; kinematic viscosity from `water.kinematic_viscosity`.

    Source: Darcy-Weisbach (Hagen-Poiseuille where laminar): Cengel and Cimbala, Fluid Mechanics, ch. 8.
    """
    velocity = flow / tube.area
    reynolds = velocity * tube.bore / 1000 / viscosity
    head = velocity**2 / (2 * GRAVITY)
    friction = friction_factor(reynolds) * tube.length / tube.bore * head if reynolds > 0 else 0.0
    slow: Regime = "laminar" if reynolds <= LAMINAR_LIMIT else "transitional"
    regime: Regime = "turbulent" if reynolds >= TURBULENT_LIMIT else slow
    return TubeLoss(velocity, reynolds, regime, friction, tube.fittings * head)


def outlet_flow(head: Metre, bed: Bed | None, tube: Tube | None, temperature: Celsius) -> M3PerSecond:
    """Flow through bed and tube in series under a head of water over the tube's end; nothing below it.

    For a weir the head is that over the invert of the crest: the bottom of the bore, where it stands highest.

    Without a tube the bed alone resists, without a bed the tube alone.  Warmer water flows faster, but for a tube near
    the end of laminar flow, where it may flow a little slower.

    Raises:
        InputError: neither bed nor tube is given.

    Source: Darcy's law, and Darcy-Weisbach in `tube_loss`.
    """
    return _flow_under_head(bed, tube, temperature)(head)


def _flow_under_head(bed: Bed | None, tube: Tube | None, temperature: Celsius) -> Callable[[Metre], M3PerSecond]:
    resistance = 0.0 if bed is None else bed.resistance(temperature)
    if tube is None:
        if bed is None:
            raise InputError("bed and tube", "none", "at least one must resist the flow", "Give a bed or a tube.")
        return lambda head: max(head, 0.0) / resistance
    viscosity = kinematic_viscosity(temperature)
    bore = tube.bore / 1000
    # while the tube runs laminar, head = linear Q + square Q^2
    linear = resistance + 32 * viscosity * tube.length / 1000 / (GRAVITY * bore**2 * tube.area)
    square = tube.fittings / (2 * GRAVITY * tube.area**2)
    most_laminar = LAMINAR_LIMIT * viscosity * tube.area / bore
    if tube.weir:
        return lambda head: _weir_flow(head, resistance, tube, viscosity)

    def flow(head: Metre) -> M3PerSecond:
        if head <= 0:
            return 0.0
        laminar = 2 * head / (linear + math.sqrt(linear**2 + 4 * square * head))
        if laminar <= most_laminar:
            return laminar
        # friction beyond the laminar limit is never below the laminar one, so the root lies between the two
        return _root(lambda q: resistance * q + tube_loss(tube, q, viscosity).total - head, most_laminar, laminar)

    return flow


def _weir_flow(head: Metre, resistance: SecondPerM2, tube: Tube, viscosity: M2PerSecond) -> M3PerSecond:
    """Flow over the crest: bed, tube up to the crest and weir together take up the head, and rise with the angle."""
    low, high = 0.0, 2 * math.pi
    flow = 0.0
    for _ in range(64 if head > 0 else 0):
        angle = (low + high) / 2
        flow, over = critical_flow(tube.bore, angle)
        taken = resistance * flow + tube_loss(tube, flow, viscosity).total + over
        low, high = (angle, high) if taken < head else (low, angle)
    return flow


def _root(f: Callable[[M3PerSecond], Metre], low: M3PerSecond, high: M3PerSecond) -> M3PerSecond:
    """Root of a rising function inside a bracket: false position, halving the end that stays (Illinois)."""
    f_low, f_high = f(low), f(high)
    if f_low >= 0:
        return low
    small = 1e-13 * (f_high - f_low)
    middle, side = high, 0
    for _ in range(200):
        middle = (low * f_high - high * f_low) / (f_high - f_low) if f_high > 0 else high
        f_middle = f(middle)
        if abs(f_middle) <= small or f_high <= 0:
            break
        if f_middle > 0:
            high, f_high, f_low, side = middle, f_middle, f_low / (2 if side > 0 else 1), 1
        else:
            low, f_low, f_high, side = middle, f_middle, f_high / (2 if side < 0 else 1), -1
    return middle


@dataclass(frozen=True, slots=True)
class DrainCurve:
    """How the reservoir drains: time, level, flow and volume drained, at the same moments, from the full level on.

    Between the moments head and flow fall exponentially; after the last they go on as in the last interval.
    """

    rest_level: Mm
    times: tuple[Second, ...]
    levels: tuple[Mm, ...]
    flows: tuple[M3PerSecond, ...]
    drained: tuple[Litre, ...]

    @property
    def drain_time(self) -> Second:
        """Time until the residual head is reached."""
        return self.times[-1]

    def flow_at(self, time: Second) -> M3PerSecond:
        """Flow so long after the start."""
        return self._at(time, self.flows)

    def level_at(self, time: Second) -> Mm:
        """Water level so long after the start."""
        return self.rest_level + self._at(time, tuple(level - self.rest_level for level in self.levels))

    def _at(self, time: Second, values: Sequence[Quantity]) -> Quantity:
        i = min(max(bisect.bisect_right(self.times, time), 1), len(self.times) - 1)
        part = (max(time, 0.0) - self.times[i - 1]) / (self.times[i] - self.times[i - 1])
        return values[i - 1] * math.exp(part * math.log(values[i] / values[i - 1]))


def drain(
    area_of_level: Callable[[Mm], Mm2],
    rest_level: Mm,
    full_level: Mm,
    bed: Bed | None,
    tube: Tube | None,
    temperature: Celsius,
    *,
    residual: Mm = RESIDUAL,
    cells: int = 64,
) -> DrainCurve:
    """Let the reservoir drain from the full level to ``residual`` above the rest level (2 mm unless asked otherwise).

    The head dies away without end, so a residual must be named.  Time is integrated over the logarithm of the head,
    dt = A dh / Q; intervals are halved where the area jumps, as at the ledge.

    Args:
        area_of_level: water surface at a level; it may taper and jump.
        rest_level: level of the tube's end, or of its crest's invert if it is a weir.
        cells: intervals, at least; more give a smoother curve.

    Raises:
        InputError: the residual does not lie between rest and full level.
        GeometryError: the area is not above zero at some level.

    Source: continuity and Darcy's law; two-point Gauss quadrature.
    """
    charge = full_level - rest_level
    if not 0 < residual < charge:
        limit = f"must lie between 0 and the {charge:g} mm from rest level to full level"
        raise InputError("residual head", f"{residual:g} mm", limit, "Choose another residual or check the levels.")

    def area(head: Mm) -> Mm2:
        value = area_of_level(rest_level + head)
        if not value > 0:
            raise GeometryError(f"the water surface at level {rest_level + head:g} mm has an area of {value:g} mm2")
        return value

    flow = _flow_under_head(bed, tube, temperature)
    step = math.log(residual / charge) / cells
    heads = _split_at_jumps(area, [charge * math.exp(step * i) for i in range(cells)] + [residual])
    times, drained = [0.0], [0.0]
    for upper, lower in pairwise(heads):
        middle, half = math.sqrt(upper * lower), math.log(upper / lower) / 2
        nodes = (middle * math.exp(half * _GAUSS), middle * math.exp(-half * _GAUSS))
        strips = [area(head) * head * half * 1e-9 for head in nodes]  # m3
        times.append(times[-1] + sum(strip / flow(head / 1000) for strip, head in zip(strips, nodes, strict=True)))
        drained.append(drained[-1] + sum(strips) * 1000)
    levels = tuple(rest_level + head for head in heads)
    return DrainCurve(rest_level, tuple(times), levels, tuple(flow(head / 1000) for head in heads), tuple(drained))


def _split_at_jumps(area: Callable[[Mm], Mm2], heads: Sequence[Mm]) -> list[Mm]:
    edges = [heads[0]]
    waiting = list(pairwise(heads))[::-1]
    while waiting:
        upper, lower = waiting.pop()
        middle = (upper + lower) / 2
        bend = area(upper) + area(lower) - 2 * area(middle)
        if abs(bend) > _JUMP * area(middle) and upper - lower > _CLOSE:
            waiting += [(middle, lower), (upper, middle)]
        else:
            edges.append(lower)
    return edges
