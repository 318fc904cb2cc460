"""A field of sheet under fresh concrete: bulge, stress, and how its load comes to the lines that hold it.

Heights z run up from the base plate in the casting frame; the pour face is at ``height``.  A field is held along foot
and sides, and along its top unless that is free.  Where a published formula caps the pressure inside of a field, the
lesser of two answers counts that are both too great: the cap everywhere, or the liquid head without cap.
"""

from __future__ import annotations

import csv
import io
import itertools
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from importlib import resources
from typing import Annotated, Final

from mouldgeom import rules
from mouldgeom.errors import TableError
from mouldgeom.rules import NewtonPerMm, bending
from mouldgeom.rules.pressure import FreshPressure
from mouldgeom.units import AnyUnit, Mm, Mm4, Mpa, Newton, NewtonMm, Ratio

NewtonMm2 = Annotated[float, "N mm2"]

SMALL_DEFLECTION: Final[Ratio] = 0.5
"""Deflection over thickness up to which plates bend without stretching.

Source: Roark's Formulas for Stress and Strain, ch. 11.
"""
MEMBRANE: Final[Ratio] = 3 * (1 - bending.POISSON**2) / 8
"""How fast stretching stiffens a held plate: 0.341 for a square whose edges stay straight but may pull in, the least.

Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, ch. 13, equations of large
deflections, one term (from memory; worked out here).
"""
EDGE_SLOPE: Final[Ratio] = 3.2
"""Slope at the edge of a pressed plate over deflection and side, at most: 16/5 of a strip, pi of a square."""


@dataclass(frozen=True, slots=True)
class Coefficient:
    """A row of ``data/plate_coefficients.csv``.

    ``case`` "held", "free top", "clamped" or "clamped, free top"; ``ratio`` height over width; ``share`` pressure at
    the top over that at the foot; ``place`` height share on the middle line, or "greatest".  ``value`` on the shorter
    side for plates held or clamped all round, on the width for those with a free top; Roark's as he gives them.
    """

    case: str
    ratio: Ratio
    share: Ratio
    quantity: str
    place: str
    value: Ratio
    source: str
    evidence: str


@cache
def coefficients() -> tuple[Coefficient, ...]:
    """Published and computed coefficients of plates, nu = 0.3; evidence "seen", "memory" or "computed".

    Raises:
        TableError: the file has a fault.
    """
    text = resources.files("mouldgeom.data").joinpath("plate_coefficients.csv").read_text("utf-8")
    try:
        return tuple(
            Coefficient(
                row["case"],
                float(row["ratio"]),
                float(row["share"]),
                row["quantity"],
                row["place"],
                float(row["value"]),
                row["source"],
                row["evidence"],
            )
            for row in csv.DictReader(io.StringIO(text), strict=True)
        )
    except (KeyError, TypeError, ValueError) as error:
        raise TableError(f"data/plate_coefficients.csv: {error}") from error


def series_value(row: Coefficient) -> Ratio:
    """What this program has for a row of the table; for moments of clamped edges its own table between rows."""
    free = row.case.endswith("free top")
    short = 1.0 if free else min(1.0, row.ratio)
    if row.case.startswith("clamped"):
        return clamped_moment(1.0, row.ratio, 1.0, row.share, free_top=free) / short**2
    found = bending.profile(row.ratio, 1.0, row.share, free_top=free)
    if row.place == "greatest":
        if row.quantity == "roark alpha":
            return bending.greatest(found.deflection)[0] / short**4 * 12 * (1 - bending.POISSON**2)
        if row.quantity == "roark gamma":
            return max(bending.greatest(found.side)[0], found.foot) / short
        return 6 * max(bending.greatest(found.across)[0], bending.greatest(found.upwards)[0]) / short**2
    line = {"deflection": found.deflection, "moment across": found.across, "moment upwards": found.upwards}
    level = round(float(row.place) * (len(found.deflection) - 1))
    return line[row.quantity][level] / (short**4 if row.quantity == "deflection" else short**2)


# ---------------------------------------------------------------- stress


@cache
def _clamped(case: str) -> tuple[Ratio, Ratio, dict[tuple[str, Ratio], tuple[Ratio, ...]]]:
    """Logarithm of the least ratio, its step, and by edge and load share the logarithms of moments of a plate 1 wide.

    The ratios of the table are evenly spaced by their logarithms.
    """
    rows = [c for c in coefficients() if c.case == case and c.quantity in ("foot moment", "side moment")]
    ratios = sorted({row.ratio for row in rows})
    values: dict[tuple[str, Ratio], tuple[Ratio, ...]] = {}
    for row in sorted(rows, key=lambda c: c.ratio):
        short = 1.0 if case.endswith("free top") else min(1.0, row.ratio)
        edge = (row.quantity, row.share)
        values[edge] = (*values.get(edge, ()), math.log(row.value * short**2))
    return math.log(ratios[0]), math.log(ratios[-1] / ratios[0]) / (len(ratios) - 1), values


def clamped_moment(width: Mm, height: Mm, low: Mpa, high: Mpa, *, free_top: bool = False) -> NewtonMm:
    """Greatest moment at a clamped edge, each mm: where sheet runs on over its support into a like field.

    Foot and sides are read apart from the computed rows of the table: by a cubic along the logarithm of the ratio, and
    straight between loads, which never reads too low since the greatest of many places is a convex function of the
    load: from 0.1 % below to 1.3 % above the exact moment for plates clamped all round, 1.5 % below and 10 % above it
    under a free top, at whose corners the moment has a narrow peak.  Ratios of height to width outside 0.25 to 4 are
    read at that limit, on the safe side for plates held all round.
    """
    least, step, table = _clamped("clamped, free top" if free_top else "clamped")
    last = len(table["foot moment", 0.0]) - 1.0
    share = min(max(high / low, 0.0), 1.0) if low > 0 else 0.0
    place = min(max((math.log(height / width) - least) / step, 0.0), last)

    def read(edge: str, load: Ratio) -> Ratio:
        return math.exp(bending.cubic_through(table[edge, load], place))

    below = 0.0 if share <= 0.5 else 0.5
    part = 2 * (share - below)
    side = (1 - part) * read("side moment", below) + part * read("side moment", below + 0.5)
    foot = (1 - share) * read("foot moment", 0.0) + share * read("foot moment", 1.0)
    narrow = 1.0 if free_top else min(height / width / math.exp(least), 1.0)
    return max(foot, side) * low * (width * narrow) ** 2


@lru_cache(maxsize=1024)
def _moment_factor(ratio: Ratio, share: Ratio, free_top: bool) -> Ratio:
    found = bending.profile(ratio, 1.0, share, free_top=free_top)
    return max(bending.greatest(found.across)[0], bending.greatest(found.upwards)[0])


def held_moment(width: Mm, height: Mm, low: Mpa, high: Mpa, *, free_top: bool = False) -> NewtonMm:
    """Greatest moment on the middle line of a field with simply supported edges, each mm.

    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, Art. 30, 31 and 48, series.
    """
    if low <= 0:
        return 0.0
    ratio = min(max(height / width, bending.LEAST_RATIO), bending.GREATEST_RATIO)
    scale = width if height > width * bending.LEAST_RATIO else height / bending.LEAST_RATIO
    return _moment_factor(round(ratio, 6), round(high / low, 6), free_top) * low * scale**2


def stress(moment: NewtonMm, thickness: Mm) -> Mpa:
    """Bending stress in the faces of a sheet.

    Source: plate theory, 6 M/t^2, any handbook.
    """
    return 6 * moment / thickness**2


# ---------------------------------------------------------------- bulge


def stretched(deflection: Mm, thickness: Mm) -> Mm:
    """Deflection of a held plate, stretching counted: w + c (w^3 - w0^3)/t^2 = that of bending alone, w0 = t/2.

    Nothing is taken off up to the small-deflection limit w0, and beyond it only what comes on top, with the least of
    all stiffening factors c; so the answer is never too small.

    Source: small-deflection limit Roark ch. 11; cubic law with ``MEMBRANE`` (from memory).
    """
    limit = SMALL_DEFLECTION * thickness
    if deflection <= limit:
        return deflection
    bent, base = deflection / thickness, SMALL_DEFLECTION**3
    x = SMALL_DEFLECTION
    for _ in range(60):
        step = (x + MEMBRANE * (x**3 - base) - bent) / (1 + 3 * MEMBRANE * x**2)
        x -= step
        if abs(step) < 1e-13:
            break
    return x * thickness


@dataclass(frozen=True)
class PressedSheet:
    """Sheet of one thickness under one pour: what its fields do.  ``height`` is that of the pour face."""

    fresh: FreshPressure
    thickness: Mm
    elastic_modulus: Mpa

    @cached_property
    def rigidity(self) -> NewtonMm:
        """Flexural rigidity, each unit of width."""
        return rules.plate_rigidity(self.elastic_modulus, self.thickness, bending.POISSON)

    def loads(self, low: Mm, high: Mm) -> tuple[tuple[Mpa, Mpa], ...]:
        """Pressures at foot and top that change evenly between: what is there, or two that are nowhere less."""
        rate, height, greatest, kink = self._pressure
        if low >= kink:
            return ((rate * (height - low), rate * (height - high)),)
        if high <= kink:
            return ((greatest, greatest),)
        return ((greatest, greatest), (rate * (height - low), rate * (height - high)))

    @cached_property
    def _pressure(self) -> tuple[Mpa, Mm, Mpa, Mm]:
        """Pressure gained by each mm of depth, height of the pour, the cap, and the height up to which it counts."""
        fresh = self.fresh
        return fresh.gradient * 1e-6, fresh.height, fresh.greatest, fresh.height - fresh.liquid_depth - 1e-9

    def bulge(self, across: Mm, low: Mm, high: Mm, free: bool) -> Mm:
        """Greatest bulge of a field between two heights, simply supported; ``free``: its top edge is."""
        rigidity = self.rigidity
        bent = math.inf
        for bottom, top in self.loads(low, high):
            bent = min(bent, bending.deflection_linear(across, high - low, bottom, top, rigidity, free_top=free))
        return bent if free or bent <= SMALL_DEFLECTION * self.thickness else stretched(bent, self.thickness)

    def moment(self, across: Mm, low: Mm, high: Mm, *, free: bool, clamped: bool) -> NewtonMm:
        """Greatest moment of a field, each mm: on its middle line if held, or at its edges if it runs on over them."""
        find = clamped_moment if clamped else held_moment
        return min(find(across, high - low, *load, free_top=free) for load in self.loads(low, high))

    def force(self, low: Mm, high: Mm) -> NewtonPerMm:
        """Force between two heights, each mm of width: the exact integral of the pressure."""
        return _above(self.fresh, low) - _above(self.fresh, high)


def _above(fresh: FreshPressure, z: Mm) -> NewtonPerMm:
    """Integral of the pressure from a height up to the pour face."""
    depth = min(max(fresh.height - z, 0.0), fresh.height)
    if depth <= fresh.liquid_depth:
        return fresh.gradient * 1e-6 * depth**2 / 2
    return fresh.greatest * (depth - fresh.liquid_depth / 2)


# ---------------------------------------------------------------- sharing out


@dataclass(frozen=True, slots=True)
class Shared:
    """The load of a field by the line that takes it: each part of the field goes to the edge nearest to it."""

    foot: Newton
    top: Newton
    side: Newton
    """To each of the two sides."""


_GAUSS: Final = ((-math.sqrt(0.6), 5 / 9), (0.0, 8 / 9), (math.sqrt(0.6), 5 / 9))


def integral(function: Callable[[AnyUnit], AnyUnit], ends: Iterable[AnyUnit]) -> AnyUnit:
    """Integrate from the least to the greatest of ``ends``, exactly for fifth-degree polynomials between them."""
    total = 0.0
    for start, end in itertools.pairwise(sorted(ends)):
        if end - start > 1e-12:
            half, middle = (end - start) / 2, (start + end) / 2
            total += half * sum(weight * function(middle + half * x) for x, weight in _GAUSS)
    return total


def share_out(
    fresh: FreshPressure, low: Mm, high: Mm, width_low: Mm, width_high: Mm, *, free_top: bool = False
) -> Shared:
    """Share a field's load between its edges, by lines at 45 degrees from its corners; widths change evenly.

    The shares add up to the integral of the pressure over the field.

    Source: tributary areas, common practice, no source.
    """
    tall, taper = high - low, (width_low - width_high) / (high - low)
    kink = fresh.height - fresh.liquid_depth - low

    def width(s: Mm) -> Mm:
        return width_low - taper * s

    def to_side(s: Mm) -> Mm:
        return min(s, width(s) / 2) if free_top else min(s, tall - s, width(s) / 2)

    def pressure(s: Mm) -> Mpa:
        return fresh.at(fresh.height - low - s)

    breaks = [width_low / (2 + taper), (2 * tall - width_low) / (2 - taper), tall / 2, kink]
    ends = [0.0, *(b for b in breaks if 0 < b < tall), tall]
    side = integral(lambda s: pressure(s) * to_side(s), ends)
    middle = tall if free_top else tall / 2

    def rest(s: Mm) -> Newton:
        return pressure(s) * (width(s) - 2 * to_side(s))

    foot = integral(rest, [e for e in [*ends, middle] if e <= middle])
    top = 0.0 if free_top else integral(rest, [e for e in [*ends, middle] if e >= middle])
    return Shared(foot, top, side)


# ---------------------------------------------------------------- bars


@dataclass(frozen=True)
class PressedBar:
    """A level bar behind sheet, simply supported at its ends: it takes what the fields above and below bring to it.

    ``across`` is the width of the sheet, ``span`` that of the bar, at least as long; ``side`` is the height of the bar.
    """

    fresh: FreshPressure
    across: Mm
    span: Mm
    side: Mm
    elastic_modulus: Mpa
    second_moment: Mm4

    @property
    def stiffness(self) -> NewtonMm2:
        """Flexural stiffness."""
        return self.elastic_modulus * self.second_moment

    def _pieces(self, reaches: Iterable[Mm]) -> list[Mm]:
        half = self.across / 2
        return [0.0, half, *(r for r in reaches if 0 < r < half)]

    def _bent(self, line_load: Callable[[Mm], NewtonPerMm], ends: Iterable[Mm]) -> Mm:
        """Deflection at the middle under a load that goes by the distance from the sheet's edge."""
        start, cube = (self.span - self.across) / 2, 3 * self.span**2

        def turned(d: Mm) -> AnyUnit:
            x = start + d
            return line_load(d) * x * (cube - 4 * x * x)

        return integral(turned, ends) / (24 * self.stiffness)

    def _line_load(self, z: Mm, reach_below: Mm, reach_above: Mm) -> Callable[[Mm], NewtonPerMm]:
        low, high, fresh = z - self.side / 2, z + self.side / 2, self.fresh
        return lambda d: _above(fresh, low - min(d, reach_below)) - _above(fresh, high + min(d, reach_above))

    def unit_deflection(self, reach: Mm) -> Ratio:
        """Deflection at the middle, each MPa of pressure at its axis, if fields reach so far to both sides at most."""
        return self._bent(lambda d: 2 * min(d, reach) + self.side, self._pieces((reach,)))

    def deflection(self, z: Mm, reach_below: Mm, reach_above: Mm) -> Mm:
        """Deflection at the middle of the bar at height z.

        ``reach_below`` and ``reach_above``: how far at most the fields below and above bring their load to it.
        """
        return self._bent(self._line_load(z, reach_below, reach_above), self._pieces((reach_below, reach_above)))

    def bend(self, z: Mm, reach_below: Mm, reach_above: Mm) -> tuple[Mm, NewtonMm, Newton]:
        """Deflection and moment at the middle, and force at each end, of the bar at height z, as ``deflection``."""
        load, ends = self._line_load(z, reach_below, reach_above), self._pieces((reach_below, reach_above))
        start = (self.span - self.across) / 2
        return self._bent(load, ends), integral(lambda d: load(d) * (start + d), ends), integral(load, ends)

    def pair(self, force: Newton, off_middle: Mm) -> tuple[Mm, NewtonMm, Newton]:
        """Deflection and moment at the middle, and force at each end, from two like forces either side of the middle.

        Source: beam theory, F c (3 L^2 - 4 c^2)/(24 E I) and F c, any handbook (from memory).
        """
        c = max(self.span / 2 - off_middle, 0.0)
        return force * c * (3 * self.span**2 - 4 * c**2) / (24 * self.stiffness), force * c, force
