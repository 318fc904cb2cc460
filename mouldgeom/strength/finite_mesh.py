"""One pressed plate by finite elements: what it is, how it is meshed and put together, and its field of deflection.

Thin plate (Kirchhoff), small deflections, conforming bicubic rectangles of Bogner, Fox and Schmit from scikit-fem.  The
unknowns at a node are w, w_x, w_y and w_xy, so a bar along a line of nodes is a beam element of the same kind, exact
between them.  The plate stands upright: x across from its middle, y up from its foot, w in the direction of the
pressure.  A plate that narrows evenly upwards is mapped onto a rectangle with its curvatures transformed exactly.
"""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Annotated, Any, Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from mouldgeom.errors import GeometryError
from mouldgeom.geometry.outline import SAME
from mouldgeom.units import Mm, Mpa, Newton, NewtonMm, Ratio

NewtonMm2 = Annotated[float, "N mm2"]
Profile = tuple[tuple[Mm, Mpa], ...]
"""Pressure at heights above the foot, from low to high; even between them, level outside."""
Array = NDArray[np.float64]
Support = str | int
"""What holds a plate: ``"foot"``, ``"top"``, ``"left"``, ``"right"``, or a line of the plate by its number."""
Holds = dict[Support, tuple[list[int], tuple[Any, Any]]]
"""Which unknowns (of w, w_x, w_y, w_xy) each support holds, and at which nodes (across, up)."""

DIVISIONS: Final = 8
"""Elements across the shorter side of a plate: a uniform square then deflects within 0.01 % of the series."""
NOTHING: Final[Newton] = 1e-12
"""A load so small is none."""
GRADED: Final = (1.5, 4.0, 9.0)
"""Extra lines of the mesh beside the rims of an opening and ends of upright bars, in thicknesses of the sheet."""


class Edge(StrEnum):
    """How an edge is held."""

    FREE = "free"
    SIMPLE = "simply supported"
    CLAMPED = "clamped"


@dataclass(frozen=True, slots=True)
class Edges:
    """How the four edges are held; left is at -x."""

    foot: Edge = Edge.SIMPLE
    top: Edge = Edge.SIMPLE
    left: Edge = Edge.SIMPLE
    right: Edge = Edge.SIMPLE


@dataclass(frozen=True, slots=True)
class HoldLine:
    """A bar, or a line that cannot give way, along which a plate is held; it may turn freely about itself.

    Args:
        at: height of a level line; distance from the middle of an upright one.
        bending: E I of the bar about the plate's plane; ``None`` for a line that cannot give way.
        upright: whether it runs upwards.
        low, high: where it ends along its run; by default at the plate's edges, which hold its ends if they are held.
    """

    at: Mm
    bending: NewtonMm2 | None = None
    upright: bool = False
    low: Mm = -math.inf
    high: Mm = math.inf


@dataclass(frozen=True, slots=True)
class Strip:
    """A second sheet that lies on the plate between two heights, from side to side; the two slide on each other."""

    low: Mm
    high: Mm
    thickness: Mm


@dataclass(frozen=True, slots=True)
class Opening:
    """A rectangular opening with a free rim; ``loaded``: what covers it passes its pressure to the upright rims."""

    left: Mm
    right: Mm
    low: Mm
    high: Mm
    loaded: bool = False


@dataclass(frozen=True, slots=True)
class PressedPlate:
    """A plate with its pressure and all that holds it.

    Args:
        width: at the foot; ``top_width`` at the top, if it narrows (then only level lines and no opening).

    Raises:
        GeometryError: a size is not above 0, or something lies where it cannot be meshed.
    """

    width: Mm
    height: Mm
    thickness: Mm
    elastic_modulus: Mpa
    poisson: Ratio
    pressure: Profile
    edges: Edges = Edges()
    lines: tuple[HoldLine, ...] = ()
    strips: tuple[Strip, ...] = ()
    opening: Opening | None = None
    top_width: Mm | None = None

    def __post_init__(self) -> None:
        sizes = (self.width, self.height, self.thickness, self.elastic_modulus, self.top_width or self.width)
        if not all(math.isfinite(size) and size > 0 for size in sizes):
            raise GeometryError(f"a plate of {self.width:g} x {self.height:g} x {self.thickness:g} mm cannot be meshed")
        if not self.pressure or any(b[0] <= a[0] for a, b in itertools.pairwise(self.pressure)):
            raise GeometryError("the pressure on a plate is not given from low to high")
        if self.narrows and (self.opening is not None or any(line.upright for line in self.lines)):
            raise GeometryError("a plate that narrows has no opening and no upright lines")
        for line in self.lines:
            low, high = (-self.width / 2, self.width / 2) if line.upright else (0.0, self.height)
            if not low - SAME <= line.at <= high + SAME or line.high <= line.low:
                raise GeometryError(f"a line at {line.at:g} mm lies outside its plate")
        hole = self.opening
        if hole is not None and not (
            -self.width / 2 < hole.left < hole.right < self.width / 2 and 0 < hole.low < hole.high < self.height
        ):
            raise GeometryError("an opening reaches the edge of its plate")

    @property
    def narrows(self) -> bool:
        """Whether the top is narrower or wider than the foot."""
        return self.top_width is not None and abs(self.top_width - self.width) > SAME

    @property
    def symmetric(self) -> bool:
        """Whether left and right are alike, so that half of it is enough."""
        spots = sorted(line.at for line in self.lines if line.upright)
        level = all(math.isclose(-line.low, line.high) for line in self.lines if not line.upright)
        paired = {(-line.at, line.bending, line.low, line.high) for line in self.lines if line.upright} == {
            (line.at, line.bending, line.low, line.high) for line in self.lines if line.upright
        }
        hole = self.opening is None or self.opening.left == -self.opening.right
        return self.edges.left == self.edges.right and level and paired and hole and 0.0 not in spots

    @property
    def spots(self) -> tuple[tuple[Mm, ...], tuple[Mm, ...]]:
        """Where stress crowds: rims of the opening and ends of upright bars inside the plate, across and up."""
        hole, ended = self.opening, [line for line in self.lines if line.upright]
        ends = [(line.at, y) for line in ended for y in (line.low, line.high) if SAME < y < self.height - SAME]
        across = [x for x, _ in ends] + ([] if hole is None else [hole.left, hole.right])
        up = [y for _, y in ends] + ([] if hole is None else [hole.low, hole.high])
        return tuple(dict.fromkeys(across)), tuple(dict.fromkeys(up))

    def layers(self, y: Mm) -> tuple[Mm, ...]:
        """Thicknesses of the sheets at a height."""
        return (self.thickness, *(strip.thickness for strip in self.strips if strip.low < y < strip.high))

    def rigidity(self, y: Mm) -> NewtonMm:
        """Flexural rigidity at a height: that of each sheet, added.

        Source: thin plate theory, E t^3/(12 (1 - nu^2)); sheets that slide share the curvature.
        """
        return self.elastic_modulus * sum(t**3 for t in self.layers(y)) / (12 * (1 - self.poisson**2))


@dataclass(frozen=True, eq=False)
class Nodal:
    """What the solution gives at the nodes of the whole plate, each array (across, up).

    ``values`` has w, w_x, w_y, w_xy one after the other, by the coordinates of the mapped rectangle; ``active`` tells
    the cells that are there; ``forces`` on the plate's nodes by what holds each; ``bars`` by number of line.
    """

    x: Array
    y: Array
    values: Array
    active: NDArray[np.bool_]
    forces: dict[Support, Array]
    bars: dict[int, Array]


def solve(plate: PressedPlate, fineness: Ratio = 1.0) -> Nodal:
    """Mesh a plate, put it together and solve it; ``fineness`` 2 halves every element.

    Raises:
        GeometryError: the plate is not held enough to carry anything.
    """
    import warnings

    from scipy.sparse.linalg import MatrixRankWarning  # type: ignore[import-untyped]  # the library has no types
    from skfem import condense  # type: ignore[import-untyped]  # the library has no types
    from skfem import solve as solve_equations

    parts = _Parts(plate, *_ticks(plate, fineness))
    stiffness, load = parts.assemble()
    bars = {number: parts.bar(plate.lines[number]) for number in parts.bars}
    for matrix in bars.values():
        stiffness = stiffness + matrix
    holds = parts.holds()
    fixed = stiffness.diagonal() == 0
    for numbers, nodes in holds.values():
        fixed[parts.dofs[numbers][:, nodes[0], nodes[1]].ravel()] = True
    if plate.symmetric:
        fixed[parts.dofs[[1, 3], 0].ravel()] = True
    solution = np.zeros_like(load)
    if not fixed.all():
        with warnings.catch_warnings():
            warnings.simplefilter("error", MatrixRankWarning)
            try:
                solution = solve_equations(*condense(stiffness, load, D=np.flatnonzero(fixed)))
            except MatrixRankWarning as warning:
                raise GeometryError(_LOOSE) from warning
    residual = stiffness @ solution - load
    held = sum(float(residual[parts.dofs[0][nodes]].sum()) for nodes in parts.distinct(holds))
    total = float(load[parts.dofs[0]].sum())
    if not math.isclose(-held, total, rel_tol=1e-4, abs_tol=NOTHING + 1e-9 * float(np.abs(load).sum())):
        raise GeometryError(_LOOSE)
    return parts.nodal(solution, residual, holds, {n: m @ solution for n, m in bars.items()})


_LOOSE: Final = "a plate is not held enough to carry its pressure"


def _ticks(plate: PressedPlate, fineness: Ratio) -> tuple[Array, Array]:
    """Lines of the mesh across (half of them if it is symmetric) and up; every line, rim and strip is one of them."""
    size = min(plate.width, plate.height) / (DIVISIONS * fineness)
    half = plate.width / 2
    across, up = [-half, half], [0.0, plate.height]
    near_x, near_y = plate.spots
    steps = [sign * k * plate.thickness for k in GRADED for sign in (-1, 1)]
    across += near_x
    up += near_y
    up += [place for place, _ in plate.pressure]
    up += [z for strip in plate.strips for z in (strip.low, strip.high)]
    for line in plate.lines:
        own, other = (across, up) if line.upright else (up, across)
        own.append(line.at)
        other += [line.low, line.high]
    if plate.symmetric:
        across.append(0.0)
    apart = plate.thickness / 4
    x = _divided(_with(across, [at + step for at in near_x for step in steps], apart), -half, half, size)
    y = _divided(_with(up, [at + step for at in near_y for step in steps], apart), 0.0, plate.height, size)
    return (x[x >= -SAME] if plate.symmetric else x), y


def _with(marks: Sequence[Mm], finer: Sequence[Mm], apart: Mm) -> list[Mm]:
    """The marks that the mesh must have, and those of the finer ones that would make no sliver of an element."""
    kept = sorted(marks)
    for mark in sorted(finer):
        place = bisect.bisect(kept, mark)
        if all(abs(mark - near) >= apart for near in kept[max(0, place - 1) : place + 1]):
            kept.insert(place, mark)
    return kept


def _divided(marks: Sequence[Mm], low: Mm, high: Mm, size: Mm) -> Array:
    kept = [low]
    for mark in sorted(marks):
        if kept[-1] + SAME < mark < high - SAME:
            kept.append(mark)
    kept.append(high)
    cells = [np.linspace(a, b, max(1, math.ceil((b - a) / size - 1e-9)) + 1)[:-1] for a, b in itertools.pairwise(kept)]
    return np.append(np.concatenate(cells), high)


class _Parts:
    """Everything that the equations of one plate are put together from."""

    def __init__(self, plate: PressedPlate, x: Array, y: Array) -> None:
        from skfem import Basis, ElementQuadBFS, MeshQuad

        self.plate, self.x, self.y = plate, x, y
        self.mesh = MeshQuad.init_tensor(x, y)
        self.basis = Basis(self.mesh, ElementQuadBFS(), intorder=6)
        place = np.empty((len(x), len(y)), dtype=np.int64)
        place[np.searchsorted(x, self.mesh.p[0]), np.searchsorted(y, self.mesh.p[1])] = np.arange(x.size * y.size)
        self.dofs = self.basis.nodal_dofs[:, place]
        """Number of each unknown: (w, w_x, w_y, w_xy; across; up)."""
        self.meshed = [n for n, line in enumerate(plate.lines) if self._nodes(line)[0].size]
        """Numbers of the lines that lie on the mesh: on one half of a symmetric plate only its own upright ones."""
        self.bars = [n for n in self.meshed if plate.lines[n].bending is not None]
        middles = (x[:-1] + x[1:]) / 2, (y[:-1] + y[1:]) / 2
        hole = plate.opening
        self.active = np.ones((len(x) - 1, len(y) - 1), dtype=np.bool_)
        if hole is not None:
            inside = [(low < m) & (m < high) for m, low, high in zip(middles, *_sides(hole), strict=True)]
            self.active[np.ix_(*inside)] = False

    def assemble(self) -> tuple[Any, Array]:
        """Stiffness of the sheet, and the load of the pressure."""
        from skfem import BilinearForm, LinearForm

        plate, poisson = self.plate, self.plate.poisson
        slope = ((plate.top_width or plate.width) / plate.width - 1) / plate.height if plate.narrows else 0.0

        def curvatures(u: Any, w: Any) -> tuple[Any, Any, Any]:
            """w_xx, w_yy, w_xy of the true plate, x = r s, from derivatives by s and y."""
            if not plate.narrows:
                return u.hess[0, 0], u.hess[1, 1], u.hess[0, 1]
            r = 1 + slope * w.x[1]
            turn = -w.x[0] * slope / r
            xx, xy, yy = u.hess[0, 0], u.hess[0, 1], u.hess[1, 1]
            return (
                xx / r**2,
                yy + 2 * xy * turn + xx * turn**2 - 2 * u.grad[0] * turn * slope / r,
                (xy + xx * turn - u.grad[0] * slope / r) / r,
            )

        def energy(u: Any, v: Any, w: Any) -> Any:
            (ax, ay, axy), (bx, by, bxy) = curvatures(u, w), curvatures(v, w)
            bent = ax * bx + ay * by + poisson * (ax * by + ay * bx) + 2 * (1 - poisson) * axy * bxy
            return w.rigidity * bent * (1 + slope * w.x[1])

        def pressed(v: Any, w: Any) -> Any:
            return w.pressure * v * (1 + slope * w.x[1])

        coordinates = np.asarray(self.basis.global_coordinates())
        cells = [np.searchsorted(t, c.mean(axis=1)) - 1 for t, c in zip((self.x, self.y), coordinates, strict=True)]
        there = self.active[cells[0], cells[1]].astype(np.float64)
        middles = (self.y[:-1] + self.y[1:]) / 2
        rows = np.array([plate.rigidity(y) for y in middles])
        rigidity = np.broadcast_to((rows[cells[1]] * there)[:, None], coordinates[1].shape)
        pressure = _pressure(plate, coordinates[1]) * there[:, None]
        load = np.asarray(LinearForm(pressed).assemble(self.basis, pressure=pressure), dtype=np.float64)
        return BilinearForm(energy).assemble(self.basis, rigidity=rigidity), load + self._covered()

    def _covered(self) -> Array:
        """Load on the upright rims of an opening from what covers it, half on each."""
        load, hole = np.zeros(self.basis.N), self.plate.opening
        if hole is None or not hole.loaded:
            return load
        points, weights = np.polynomial.legendre.leggauss(4)
        t, weights = (points + 1) / 2, weights / 2
        for rim in (hole.left, hole.right):
            at = int(np.abs(self.x - rim).argmin())
            if abs(self.x[at] - rim) > SAME:
                continue
            for j in np.flatnonzero((self.y[:-1] > hole.low - SAME) & (self.y[1:] < hole.high + SAME)):
                span = self.y[j + 1] - self.y[j]
                force = _pressure(self.plate, self.y[j] + t * span) * (hole.right - hole.left) / 2 * weights * span
                np.add.at(load, self.dofs[[0, 2]][:, at, j : j + 2].T.ravel(), force @ hermite(t, span, 0))
        return load

    def bar(self, line: HoldLine) -> Any:
        """Stiffness of a bar, at the unknowns of the plate that it goes with."""
        from scipy.sparse import coo_matrix  # type: ignore[import-untyped]  # the library has no types

        along, chosen = self._nodes(line)
        numbers = self.dofs[[0, 2] if line.upright else [0, 1]][:, chosen[0], chosen[1]]
        plate = self.plate
        slope = ((plate.top_width or plate.width) / plate.width - 1) / plate.height
        stretch = 1 + slope * line.at if plate.narrows and not line.upright else 1.0
        rows, columns, values = [], [], []
        points, weights = np.polynomial.legendre.leggauss(2)
        for k, span in enumerate(np.diff(along)):
            bend = hermite((points + 1) / 2, span, 2)
            own = numbers[:, k : k + 2].T.ravel()
            rows.append(np.repeat(own, 4))
            columns.append(np.tile(own, 4))
            bending = float(line.bending or 0.0) / stretch**3
            values.append((bending * (bend.T * (weights / 2 * span)) @ bend).ravel())
        whole = (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns)))
        return coo_matrix(whole, shape=(self.basis.N, self.basis.N)).tocsr()

    def _nodes(self, line: HoldLine) -> tuple[Array, tuple[Any, Any]]:
        """Nodes on a line: how far along it they are, and their places in the mesh."""
        own, other = (self.x, self.y) if line.upright else (self.y, self.x)
        at = int(np.abs(own - line.at).argmin())
        if abs(own[at] - line.at) > SAME:
            return np.empty(0), (np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64))
        along = np.flatnonzero((other > line.low - SAME) & (other < line.high + SAME))
        level = np.full_like(along, at)
        return other[along], ((level, along) if line.upright else (along, level))

    def distinct(self, holds: Holds) -> list[tuple[Any, Any]]:
        """All nodes that are held, each once."""
        held = np.zeros(self.dofs.shape[1:], dtype=np.bool_)
        for _, nodes in holds.values():
            held[nodes] = True
        across, up = np.nonzero(held)
        return [(across, up)]

    def holds(self) -> Holds:
        """Which unknowns each edge and each line that cannot give way holds, and at which nodes."""
        edges, nx, ny = self.plate.edges, len(self.x), len(self.y)
        level, upright = np.arange(nx), np.arange(ny)
        places = {
            "foot": (edges.foot, [0, 1], (level, np.full(nx, 0))),
            "top": (edges.top, [0, 1], (level, np.full(nx, ny - 1))),
            "left": (edges.left, [0, 2], (np.full(ny, 0), upright)),
            "right": (edges.right, [0, 2], (np.full(ny, nx - 1), upright)),
        }
        if self.plate.symmetric:
            del places["left"]
        out: Holds = {
            name: ([0, 1, 2, 3] if edge is Edge.CLAMPED else numbers, nodes)
            for name, (edge, numbers, nodes) in places.items()
            if edge is not Edge.FREE
        }
        for number in self.meshed:
            line = self.plate.lines[number]
            if line.bending is None:
                out[number] = ([0, 2] if line.upright else [0, 1], self._nodes(line)[1])
        return out

    def nodal(self, solution: Array, residual: Array, holds: Holds, bars: dict[int, Array]) -> Nodal:
        """Spread the solution over the whole plate; a node that two things hold shares its force among them."""
        share = np.zeros(self.dofs.shape[1:])
        for _, nodes in holds.values():
            share[nodes] += 1
        pushed = residual[self.dofs[0]]
        forces = {}
        for name, (_, nodes) in holds.items():
            own = np.zeros_like(pushed)
            own[nodes] = pushed[nodes] / share[nodes]
            forces[name] = own
        values, active, x = solution[self.dofs], self.active, self.x
        carried = {number: force[self.dofs[0]] for number, force in bars.items()}
        if self.plate.symmetric:
            signs = np.array([1.0, -1.0, 1.0, -1.0])[:, None, None]
            values = np.concatenate([signs * values[:, :0:-1], values], axis=1)
            active = np.concatenate([active[::-1], active])
            x = np.concatenate([-x[:0:-1], x])
            twins = self._twins()
            names: dict[Support, Support] = {"right": "left"} | dict(twins.items())
            carried, forces = _mirrored(carried, twins), _mirrored(forces, names)
        return Nodal(x, self.y, values, active, forces, carried)

    def _twins(self) -> dict[int, int]:
        """Each upright line on the right with its like on the left."""
        lines = self.plate.lines
        return {
            i: next(j for j, other in enumerate(lines) if other.upright and other == replace(lines[i], at=-lines[i].at))
            for i in self.meshed
            if lines[i].upright
        }


_Key = TypeVar("_Key")


def _mirrored(forces: dict[_Key, Array], twins: Mapping[_Key, _Key]) -> dict[_Key, Array]:
    """Forces at the nodes of the right half, over the whole; the middle ones count for both halves."""
    out = {}
    for name, force in forces.items():
        nothing = np.zeros_like(force[1:])
        if name in twins:
            out[twins[name]] = np.concatenate([force[::-1], nothing])
            out[name] = np.concatenate([nothing, force])
        else:
            out[name] = np.concatenate([force[:0:-1], 2 * force[:1], force[1:]])
    return out


def _sides(hole: Opening) -> tuple[tuple[Mm, Mm], tuple[Mm, Mm]]:
    return (hole.left, hole.low), (hole.right, hole.high)


def _pressure(plate: PressedPlate, y: Array) -> Array:
    heights, values = zip(*plate.pressure, strict=True)
    return np.asarray(np.interp(y, heights, values), dtype=np.float64)


def hermite(t: Array, span: Mm | Array, derivative: int) -> Array:
    """Cubic shapes of a line element for value and slope at its start, value and slope at its end: (points, 4).

    Args:
        t: places along it, 0 to 1; ``span``: its length, or that of the element of each place;
            ``derivative``: 0, 1 or 2, by length.

    Source: cubic Hermite polynomials, any finite-element textbook.
    """
    one = np.ones_like(t)
    shapes = (
        (1 - 3 * t**2 + 2 * t**3, span * (t - 2 * t**2 + t**3), 3 * t**2 - 2 * t**3, span * (t**3 - t**2)),
        (6 * (t**2 - t), span * (one - 4 * t + 3 * t**2), 6 * (t - t**2), span * (3 * t**2 - 2 * t)),
        (12 * t - 6, span * (6 * t - 4), 6 - 12 * t, span * (6 * t - 2)),
    )
    return np.asarray(np.stack(shapes[derivative], axis=-1) / np.asarray(span)[..., None] ** derivative)
