"""The field of one pressed plate, solved by finite elements: deflection, moments, stress, reactions, loads of bars."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mouldgeom.geometry.outline import SAME
from mouldgeom.strength.finite_mesh import Array, HoldLine, Nodal, PressedPlate, Support, hermite, solve
from mouldgeom.units import AnyUnit, Mm, Mpa, Newton, NewtonMm, Ratio

Index = NDArray[np.int64]

_SAMPLES: Final = 7
"""Points across an element, ends counted, at which a greatest value is looked for."""
_CORNER: Final = 3.0
"""Distance from corners of an opening and ends of bars, in thicknesses, within which no greatest stress is sought."""

_ORDERS: Final = ((2, 0), (1, 1), (0, 2), (1, 0))
"""Derivatives that moments are made of."""
_GAUSS: Final = ((1 - 1 / math.sqrt(3)) / 2, (1 + 1 / math.sqrt(3)) / 2)
_FAR: Final[Mm] = 1e30
"""A point so far away that a parabola through it is a straight line."""


@dataclass(frozen=True, slots=True)
class Peak:
    """A greatest value and where it is: across from the middle, up from the foot."""

    value: AnyUnit
    x: Mm
    y: Mm


@dataclass(frozen=True, slots=True)
class Reaction:
    """What an edge or a line that does not give way takes; ``along`` it: place of each node, and its force.

    A corner's force is shared by the edges that meet there; plates lift at corners, so it may be below 0.
    """

    support: Support
    force: Newton
    along: tuple[tuple[Mm, Newton], ...]


@dataclass(frozen=True, slots=True)
class BarLoad:
    """What the sheet hands to a bar between its ends, the bar's greatest moment and greatest deflection.

    The load is counted at the nodes: what enters within half an element of an end counts as its support's.
    """

    line: HoldLine
    load: Newton
    moment: NewtonMm
    deflection: Mm


@dataclass(frozen=True, eq=False)
class PlateField:
    """The solved plate.  ``load`` is the whole force of the pressure, in its own direction."""

    plate: PressedPlate
    load: Newton
    reactions: tuple[Reaction, ...]
    bars: tuple[BarLoad, ...]
    greatest: Peak
    stress: Peak
    nodal: Nodal = field(repr=False)

    def deflection_at(self, x: Mm, y: Mm) -> Mm:
        """Deflection in the direction of the pressure.

        Raises:
            ValueError: the point does not lie on the plate.
        """
        return float(self._derivative(x, y, 0, 0))

    def moments_at(self, x: Mm, y: Mm) -> tuple[NewtonMm, NewtonMm, NewtonMm]:
        """Bending moments on each mm, Mx and My (above 0: tension on the side away from the pressure), and Mxy.

        Raises:
            ValueError: the point does not lie on the plate.
        """
        s = self._mapped(x, y)
        by = {order: np.asarray(self._derivative(x, y, *order)) for order in _ORDERS}
        mx, my, mxy = _moments(self.plate, by, np.asarray(s), np.asarray(y))
        return float(mx), float(my), float(mxy)

    def stress_at(self, x: Mm, y: Mm) -> Mpa:
        """Stress at the surface of the thickest sheet, by von Mises."""
        return float(_von_mises(self.plate, self.moments_at(x, y), np.asarray(y)))

    def _mapped(self, x: Mm, y: Mm) -> Mm:
        narrowing = (self.plate.top_width or self.plate.width) / self.plate.width - 1
        s, half = x / (1 + narrowing * y / self.plate.height), self.plate.width / 2
        if not (abs(s) <= half * (1 + 1e-9) and -1e-9 <= y <= self.plate.height * (1 + 1e-9)):
            raise ValueError(f"({x:g}, {y:g}) mm does not lie on the plate")
        return s

    def _derivative(self, x: Mm, y: Mm, by_x: int, by_y: int) -> AnyUnit:
        nodal, s = self.nodal, self._mapped(x, y)
        i, j = (_cell(nodes, at) for nodes, at in ((nodal.x, s), (nodal.y, y)))
        if not nodal.active[i[0], j[0]]:
            raise ValueError(f"({x:g}, {y:g}) mm lies in the opening of the plate")
        breaks = _breaks(self.plate)
        across = _matrix(nodal.x, breaks[0], i, (s - nodal.x[i]) / (nodal.x[i + 1] - nodal.x[i]), by_x)
        up = _matrix(nodal.y, breaks[1], j, (y - nodal.y[j]) / (nodal.y[j + 1] - nodal.y[j]), by_y)
        return float((across @ _blocks(nodal) @ up.T)[0, 0])


def _cell(nodes: Array, at: Mm) -> Index:
    return np.array([np.clip(np.searchsorted(nodes, at, side="right") - 1, 0, len(nodes) - 2)])


def plate(pressed: PressedPlate, fineness: Ratio = 1.0) -> PlateField:
    """Solve one plate; ``fineness`` 2 halves every element.

    The greatest stress leaves out the points within three thicknesses of a corner of the opening and of an upright
    bar's end inside the plate, since the linear solution has no limit there.

    Raises:
        GeometryError: the plate is not held enough to carry its pressure.

    Source: thin plate theory; element of Bogner, Fox and Schmit (1965), from scikit-fem.
    """
    nodal = solve(pressed, fineness)
    blocks = _blocks(nodal)
    breaks = _breaks(pressed)
    across = [_sampling(nodal.x, breaks[0], order) for order in range(3)]
    up = [_sampling(nodal.y, breaks[1], order) for order in range(3)]
    grid = {(a, b): across[a] @ blocks @ up[b].T for a, b in ((0, 0), *_ORDERS)}
    s, y = _places(nodal.x), _places(nodal.y)
    there = np.repeat(np.repeat(nodal.active, _SAMPLES, axis=0), _SAMPLES, axis=1)
    stretch = 1 + ((pressed.top_width or pressed.width) / pressed.width - 1) * y / pressed.height
    moments = _moments(pressed, grid, s[:, None], y[None, :])
    smooth = there & _smooth(pressed, s[:, None], y[None, :])

    def peak(values: Array, where: NDArray[np.bool_]) -> Peak:
        rounded = np.where(where, np.round(values, 9), -math.inf)
        i, j = np.unravel_index(int(rounded.argmax()), rounded.shape)
        return Peak(float(values[i, j]), float(s[i] * stretch[j]), float(y[j]))

    return PlateField(
        plate=pressed,
        load=-sum(float(force.sum()) for force in nodal.forces.values()),
        reactions=tuple(_reaction(pressed, nodal, support, force) for support, force in nodal.forces.items()),
        bars=tuple(_bar_load(pressed, nodal, number, force) for number, force in sorted(nodal.bars.items())),
        greatest=peak(grid[0, 0], there),
        stress=peak(_von_mises(pressed, moments, y[None, :]), smooth),
        nodal=nodal,
    )


def _blocks(nodal: Nodal) -> Array:
    """Unknowns as one matrix: value and slope by x of each node across, value and slope by y of each node up."""
    nx, ny = len(nodal.x), len(nodal.y)
    return np.asarray(nodal.values.reshape(2, 2, nx, ny).transpose(2, 1, 3, 0).reshape(2 * nx, 2 * ny))


def _breaks(pressed: PressedPlate) -> tuple[tuple[Mm, ...], tuple[Mm, ...]]:
    """Where the curvature may jump or bend sharply, across and up: lines and their ends, rims, ends of strips."""
    across: list[Mm] = []
    up = [z for strip in pressed.strips for z in (strip.low, strip.high)]
    for line in pressed.lines:
        own, other = (across, up) if line.upright else (up, across)
        own.append(line.at)
        other += [line.low, line.high]
    if pressed.opening is not None:
        across += [pressed.opening.left, pressed.opening.right]
        up += [pressed.opening.low, pressed.opening.high]
    return tuple(across), tuple(up)


def _matrix(nodes: Array, breaks: tuple[Mm, ...], cells: Index, t: Array, derivative: int) -> Array:
    """Matrix from values and slopes at the nodes to a derivative at the places t, 0 to 1, of elements; a row a place.

    A second derivative is best at the two Gauss points of each element: it is carried on from those of the element and
    the nearest one beyond its nearer end, as a parabola; from its own alone, where the curvature breaks at both ends.

    Source: points where the derivative of a cubic element is most exact (Barlow 1976, from memory).
    """
    spans = np.diff(nodes)
    if derivative < 2:
        return _spread(hermite(t, spans[cells], derivative), cells, len(nodes))
    every = np.repeat(np.arange(len(spans)), 2)
    gauss = np.tile(np.array(_GAUSS), len(spans))
    bends = _spread(hermite(gauss, spans[every], 2), every, len(nodes))
    spots = nodes[every] + gauss * spans[every]
    joined = np.array([0 < n < len(nodes) - 1 and _clear(at, breaks) for n, at in enumerate(nodes)])
    before, after = joined[cells], joined[cells + 1]
    back = before & ((t < 0.5) | ~after)
    third = np.where(back, 2 * cells - 1, np.where(after, 2 * cells + 2, 2 * cells))
    beyond = np.where(back | after, spots[third], -_FAR)
    one, two, at = spots[2 * cells], spots[2 * cells + 1], nodes[cells] + t * spans[cells]
    weights = (
        (at - two) * (at - beyond) / ((one - two) * (one - beyond)),
        (at - one) * (at - beyond) / ((two - one) * (two - beyond)),
        (at - one) * (at - two) / ((beyond - one) * (beyond - two)),
    )
    picked = (2 * cells, 2 * cells + 1, third)
    return np.asarray(sum(w[:, None] * bends[k] for w, k in zip(weights, picked, strict=True)), dtype=np.float64)


def _clear(at: Mm, breaks: tuple[Mm, ...]) -> bool:
    return all(abs(at - place) > SAME for place in breaks)


def _spread(shapes: Array, cells: Index, count: int) -> Array:
    """Rows of four numbers at the columns of the two nodes of their elements."""
    out = np.zeros((len(cells), 2 * count))
    np.put_along_axis(out, 2 * cells[:, None] + np.arange(4), shapes, axis=1)
    return out


def _sampling(nodes: Array, breaks: tuple[Mm, ...], derivative: int) -> Array:
    """Matrix from values and slopes at the nodes to the derivative at the sample points of every element."""
    cells = np.repeat(np.arange(len(nodes) - 1), _SAMPLES)
    return _matrix(nodes, breaks, cells, np.tile(np.linspace(0.0, 1.0, _SAMPLES), len(nodes) - 1), derivative)


def _places(nodes: Array) -> Array:
    t = np.linspace(0.0, 1.0, _SAMPLES)
    return np.asarray((nodes[:-1, None] + np.diff(nodes)[:, None] * t).ravel(), dtype=np.float64)


def _within(y: Array) -> Array:
    """Heights moved a trifle into their own element, so that each finds the sheets of its own side."""
    if y.size < _SAMPLES:
        return y
    cells = y.reshape(-1, _SAMPLES)
    return np.asarray((cells + (cells.mean(axis=1, keepdims=True) - cells) * 1e-6).reshape(y.shape))


def _moments(
    pressed: PressedPlate, by: Mapping[tuple[int, int], Array], s: Array, y: Array
) -> tuple[Array, Array, Array]:
    slope = ((pressed.top_width or pressed.width) / pressed.width - 1) / pressed.height
    r = 1 + slope * y
    turn = -s * slope / r
    xx = by[2, 0] / r**2
    yy = by[0, 2] + 2 * by[1, 1] * turn + by[2, 0] * turn**2 - 2 * by[1, 0] * turn * slope / r
    xy = (by[1, 1] + by[2, 0] * turn - by[1, 0] * slope / r) / r
    rigidity = np.vectorize(pressed.rigidity)(_within(y))
    nu = pressed.poisson
    return -rigidity * (xx + nu * yy), -rigidity * (yy + nu * xx), -rigidity * (1 - nu) * xy


def _von_mises(pressed: PressedPlate, moments: Sequence[Array | AnyUnit], y: Array) -> Array:
    """Stress at the surface of the thickest of the sheets, which share the curvature."""
    mx, my, mxy = (np.asarray(moment) for moment in moments)

    def modulus(height: Mm) -> AnyUnit:
        layers = pressed.layers(height)
        return sum(t**3 for t in layers) / (6 * max(layers))

    whole = np.sqrt(mx**2 - mx * my + my**2 + 3 * mxy**2)
    return np.asarray(whole / np.vectorize(modulus)(_within(y)), dtype=np.float64)


def _smooth(pressed: PressedPlate, x: Array, y: Array) -> NDArray[np.bool_]:
    """Which points lie far enough from corners of the opening and ends of upright bars for stress to mean something."""
    hole = pressed.opening
    spots = [] if hole is None else [(cx, cy) for cx in (hole.left, hole.right) for cy in (hole.low, hole.high)]
    spots += [(line.at, end) for line in pressed.lines if line.upright for end in (line.low, line.high)]
    out = np.ones(np.broadcast_shapes(x.shape, y.shape), dtype=np.bool_)
    for cx, cy in spots:
        if SAME < cy < pressed.height - SAME:
            out &= (x - cx) ** 2 + (y - cy) ** 2 >= (_CORNER * pressed.thickness) ** 2
    return out


def _reaction(pressed: PressedPlate, nodal: Nodal, support: Support, force: Array) -> Reaction:
    """Forces of the support on the plate, counted against the pressure."""
    upright = pressed.lines[support].upright if isinstance(support, int) else support in {"left", "right"}
    per_node = -force.sum(axis=0 if upright else 1)
    places = nodal.y if upright else nodal.x
    along = tuple((float(p), float(f)) for p, f in zip(places, per_node, strict=True) if f != 0)
    return Reaction(support, float(per_node.sum()), along)


def _bar_load(pressed: PressedPlate, nodal: Nodal, number: int, force: Array) -> BarLoad:
    line = pressed.lines[number]
    own, other = (nodal.x, nodal.y) if line.upright else (nodal.y, nodal.x)
    at = int(np.abs(own - line.at).argmin())
    blocks = _blocks(nodal)
    values = blocks[2 * at] if line.upright else blocks[:, 2 * at]
    there = np.repeat((other[:-1] > line.low - 1e-6) & (other[1:] < line.high + 1e-6), _SAMPLES)
    narrowing = (pressed.top_width or pressed.width) / pressed.width - 1
    stretch = 1.0 if line.upright else 1 + narrowing * line.at / pressed.height
    breaks = _breaks(pressed)[1 if line.upright else 0]
    bend = (_sampling(other, breaks, 2) @ values)[there] / stretch**2
    on_line = force[at] if line.upright else force[:, at]
    ends = np.flatnonzero((other > line.low - 1e-6) & (other < line.high + 1e-6))[[0, -1]]
    return BarLoad(
        line,
        load=float(-on_line[ends].sum()),
        moment=float(np.abs(bend).max()) * float(line.bending or 0.0),
        deflection=float((_sampling(other, breaks, 0) @ values)[there].max()),
    )
