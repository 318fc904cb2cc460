"""The cast wall as a sum of what is drawn and of everything that moves it, each with its limit.

The wall at sixteen places (four walls; at the rim, at the ledge, half way below it and at the floor) is the distance
from a panel to the core.  It is a sum: what is drawn, and each cause with its limit and its part at each place.  So the
worst case is plain arithmetic, and ten thousand moulds are one product of matrices.

All parts of the core and box are placed by their concrete faces.  Thickness matters only where one concrete face is set
by the far side of another sheet: the ledge strips lie on the core walls, and the front and back walls of the core lie
on the edges of its side walls, so their thickness adds to its depth at the rim; at the floor the end plate's edges set
both sizes.  Diaphragms and anchor plate go in with clearance and set no size; the thickness of the panels lies outside.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mouldgeom import tables
from mouldgeom.design.dimensions import Dimensions, sheet_bulge
from mouldgeom.model.assembly import Mould
from mouldgeom.model.parts.axes import ENDS, SIDES
from mouldgeom.units import Mm, Ratio

Array = NDArray[np.float64]

COIL: Final[Mm] = 1250.0
"""Width of the coil that sheet is cut from (usual stock, common practice)."""
STRONGER: Final[Ratio] = 1.15
"""On the thickness tolerance of steel of more than 300 MPa yield strength: EN 10051, category B."""
SIGMAS: Final[Ratio] = 3.0
"""A limit is so many standard deviations; nothing lies beyond (common practice, no source)."""
BULGE_SCATTER: Final[Ratio] = 0.3
"""Bulge more or less than calculated, at most (common practice, no source)."""


class Cause(StrEnum):
    """What moves the wall."""

    STRIP = "thickness of the ledge strips"
    SHELL = "thickness of the core's front and back walls"
    PANEL_CUT = "cut of the panels"
    CORE_CUT = "cut of core walls and end plate"
    BOX_WELD = "weld assembly of the box"
    CORE_WELD = "weld assembly of the core"
    PANEL_FLAT = "flatness of the panels"
    CORE_FLAT = "flatness of the core walls"
    CENTRING = "core off centre"
    BULGE = "bulge of panels and core walls"


@dataclass(frozen=True, slots=True)
class WallPlace:
    """A place of the wall: which wall, at what level of it, and its height in the casting frame."""

    wall: str
    level: str
    z: Mm

    @property
    def words(self) -> str:
        """The place in words."""
        return f"{self.wall} wall, {self.level}"


@dataclass(frozen=True)
class Variable:
    """One thing that varies: -1 to 1 of it moves the wall at each place by ``effect``, below 0 where it thins.

    ``row`` is what many of one cause and limit are called together.  ``uniform``: all values alike; else normal, its
    limits at three standard deviations.
    """

    cause: Cause
    name: str
    limit: Mm
    effect: tuple[Mm, ...]
    source: str
    row: str = ""
    uniform: bool = False


@dataclass(frozen=True)
class WallModel:
    """The wall as drawn and with its mean bulge at each place, and everything that varies."""

    places: tuple[WallPlace, ...]
    drawn: tuple[Mm, ...]
    bulge: tuple[Mm, ...]
    variables: tuple[Variable, ...]

    @property
    def middle(self) -> Array:
        """The wall with every variable in its middle."""
        out: Array = np.array(self.drawn, dtype=np.float64) + np.array(self.bulge, dtype=np.float64)
        return out

    @property
    def effects(self) -> Array:
        """Effects, one row a variable, one column a place."""
        out: Array = np.array([variable.effect for variable in self.variables], dtype=np.float64)
        return out

    @property
    def worst(self) -> Array:
        """The least that each place can come to: every variable at its worse limit at once."""
        out: Array = self.middle - np.abs(self.effects).sum(axis=0)
        return out

    @property
    def deviations(self) -> Array:
        """Standard deviation at each place, the cut tails of the normal distributions allowed for."""
        spread = [1 / math.sqrt(3) if v.uniform else _cut_normal() / SIGMAS for v in self.variables]
        out: Array = np.sqrt(((self.effects * np.array(spread)[:, None]) ** 2).sum(axis=0))
        return out


def _cut_normal() -> Ratio:
    """Standard deviation of a standard normal variable cut off at its limits.

    Source: variance of the truncated normal distribution, any handbook (from memory).
    """
    density = math.exp(-(SIGMAS**2) / 2) / math.sqrt(2 * math.pi)
    return math.sqrt(1 - 2 * SIGMAS * density / math.erf(SIGMAS / math.sqrt(2)))


# ---------------------------------------------------------------- the model

_WALLS: Final = (*((end, 1, sign) for end, sign in ENDS), *((side, 0, sign) for side, sign in SIDES))
"""Name, axis (0: x, 1: y) and sign of each wall."""


def wall_model(mould: Mould) -> WallModel:
    """Gather what moves the walls of a mould.

    Raises:
        TableError: a size outside a tolerance table, or a class that it does not have.
    """
    dims = mould.dims
    below = (dims.ledge_z + dims.end_z) / 2
    levels = (("rim", 0.0), ("ledge", dims.ledge_z), ("half way below the ledge", below), ("floor", dims.end_z))
    places = tuple(WallPlace(wall, level, z) for wall, _, _ in _WALLS for level, z in levels)
    outside, inside = panel_bulge(dims), core_bulge(dims)
    bulge = tuple(outside(p.z) + inside(p.z) for p in places)
    drawn = tuple(_drawn(dims, p) for p in places)
    return WallModel(places, drawn, bulge, tuple(_variables(dims, places, outside, inside)))


def _axis(place: WallPlace) -> tuple[int, float]:
    return next((axis, sign) for wall, axis, sign in _WALLS if wall == place.wall)


def _drawn(dims: Dimensions, place: WallPlace) -> Mm:
    axis, _ = _axis(place)
    box, core = (
        (dims.width / 2, dims.core_half_x(place.z)) if axis == 0 else (dims.depth / 2, dims.core_half_y(place.z))
    )
    return box - core - (dims.step if _over_strip(dims, place) else 0.0)


def _over_strip(dims: Dimensions, place: WallPlace) -> bool:
    return place.z <= dims.ledge_z


def panel_bulge(dims: Dimensions) -> Callable[[Mm], Mm]:
    """Bulge of the panels at a height: 0 at base flange and stiffeners, a half wave between them.

    Fields as they are when the stiffeners are placed, simply supported; the upper edge is free.  The front may lack a
    stiffener beside the nose: it bulges more there, which only thickens its wall.
    """
    side = dims.stock.tube.side_mm
    sheet = sheet_bulge(dims.spec, dims.stock, dims.height)
    lines = [dims.stock.angle.leg_mm]
    for z in dims.stiffener_z:
        lines += [z - side / 2, z + side / 2]
    lines.append(dims.height)
    across = max(dims.width, dims.depth)
    fields = list(pairwise(lines))[::2]

    def at(z: Mm) -> Mm:
        for low, high in fields:
            if low < z <= high:
                free = high == dims.height
                share = (z - low) / (high - low) * (0.5 if free else 1.0)
                return sheet(across, low, high, free) * math.sin(math.pi * share)
        return 0.0

    return at


def core_bulge(dims: Dimensions) -> Callable[[Mm], Mm]:
    """Bulge of the core walls inwards at a height: 0 at base plate, plates inside and end plate.

    Behind the ledge strips there is twice the steel and no bulge is taken.
    """
    sheet = sheet_bulge(dims.spec, dims.stock, dims.height)
    lines = [0.0, *dims.inner_z, dims.end_z - dims.shell]
    across = max(dims.spec.filter.cavity_width, dims.spec.filter.cavity_depth)

    def at(z: Mm) -> Mm:
        if z <= dims.ledge_z:
            return 0.0
        for low, high in pairwise(lines):
            if low < z < high:
                return sheet(across, low, high, False) * math.sin(math.pi * (z - low) / (high - low))
        return 0.0

    return at


def thickness_deviation(dims: Dimensions, thickness: Mm) -> tuple[Mm, str]:
    """Deviation, plus and minus, of the thickness of sheet of the mould's steel, and its source."""
    strong = dims.stock.steel.yield_mpa > 300
    source = f"EN 10051:1991+A1:1997 category {'B' if strong else 'A'}"
    return (STRONGER if strong else 1.0) * tables.sheet_tolerance(thickness, COIL), source


def _variables(
    dims: Dimensions, places: tuple[WallPlace, ...], outside: Callable[[Mm], Mm], inside: Callable[[Mm], Mm]
) -> Iterator[Variable]:
    shop, wanted = dims.spec.shop, dims.spec.filter

    def effect(part: Callable[[WallPlace], Ratio], limit: Mm) -> tuple[Mm, ...]:
        return tuple(part(place) * limit for place in places)

    def along(axis: int, part: Callable[[WallPlace], Ratio]) -> Callable[[WallPlace], Ratio]:
        """A part of the walls that face this axis, nothing of the others."""
        return lambda place: part(place) if _axis(place)[0] == axis else 0.0

    def foot(place: WallPlace) -> Ratio:
        """1 at the rim, 0 at the floor, even between."""
        return 1 - place.z / dims.end_z

    strip, sheet = thickness_deviation(dims, dims.ledge)
    over = effect(lambda p: -1.0 if _over_strip(dims, p) else 0.0, strip)
    yield Variable(Cause.STRIP, "all strips, from one sheet", strip, over, sheet)
    shell, sheet = thickness_deviation(dims, dims.shell)
    yield Variable(Cause.SHELL, "both walls, from one sheet", shell, effect(along(1, lambda p: -foot(p)), shell), sheet)

    quality = tables.cutting_process(shop.cutting).quality
    cut = f"ISO 9013:2017 class {quality}, usual of {shop.cutting}"
    rows = dims.width + 2 * (dims.shell + dims.bolting.gauge)
    for axis, what, nominal in ((1, "width of the side panels", dims.depth), (0, "front and back, hole to hole", rows)):
        limit = tables.cut_tolerance(dims.shell, nominal, quality)
        yield Variable(Cause.PANEL_CUT, what, limit, effect(along(axis, lambda p: 0.5), limit), cut)
    for axis, what, rim, end in (
        (0, "width", 2 * dims.core_half_x(0), 2 * dims.core_half_x(dims.end_z)),
        (1, "depth", 2 * (dims.core_half_y(0) - dims.wall_inset), 2 * dims.core_half_y(dims.end_z)),
    ):
        limit = tables.cut_tolerance(dims.shell, rim, quality)
        part = effect(along(axis, lambda p: -foot(p) / 2), limit)
        yield Variable(Cause.CORE_CUT, f"{what} of the core at the rim", limit, part, cut)
        limit = tables.cut_tolerance(dims.shell, end, quality)
        part = effect(along(axis, lambda p: (foot(p) - 1) / 2), limit)
        yield Variable(Cause.CORE_CUT, f"{what} of the end plate", limit, part, cut)

    weld = f"ISO 13920 class {shop.weld_class}"
    sizes = ((0, "width", dims.width, wanted.cavity_width), (1, "depth", dims.depth, wanted.cavity_depth))
    for axis, what, box, core in sizes:
        limit = tables.weld_tolerance(box, shop.weld_class)
        yield Variable(Cause.BOX_WELD, f"{what} of the box", limit, effect(along(axis, lambda p: 0.5), limit), weld)
        limit = tables.weld_tolerance(core, shop.weld_class)
        yield Variable(Cause.CORE_WELD, f"{what} of the core", limit, effect(along(axis, lambda p: -0.5), limit), weld)

    flat = f"ISO 13920 class {shop.flatness_class}"
    for number, place in enumerate(places):
        axis, _ = _axis(place)
        wide = (dims.depth, wanted.cavity_depth) if axis == 0 else (dims.width, wanted.cavity_width)
        rim = place.z == 0
        for cause, length in ((Cause.PANEL_FLAT, wide[0] if rim else dims.height),
                              (Cause.CORE_FLAT, wide[1] if rim else dims.end_z)):  # fmt: skip
            limit = tables.weld_flatness(length, shop.flatness_class)
            own = tuple(limit if i == number else 0.0 for i in range(len(places)))
            yield Variable(cause, place.words, limit, own, flat, place.level)

    for axis, what in ((0, "left or right"), (1, "front or back")):
        part = effect(along(axis, lambda p: -_axis(p)[1]), shop.centring)
        yield Variable(Cause.CENTRING, what, shop.centring, part, "shop.centring, all values alike", uniform=True)

    scatter = f"calculated bulge +-{BULGE_SCATTER * 100:.0f} % (common practice, no source)"
    for wall, _, _ in _WALLS:
        for what, bulge in (("panel", outside), ("core wall", inside)):
            part = tuple(BULGE_SCATTER * bulge(p.z) if p.wall == wall else 0.0 for p in places)
            yield Variable(Cause.BULGE, f"{wall} {what}", max(part), part, scatter)
