"""How deep each weld inside the core lies, and whether arm and torch reach it through what is open in its step.

What is open follows from the steps of building alone: a side of the core until its wall is there, the rim end until
the base plate is, its far end until the end plate is.  A plate across the inside shuts off what lies behind it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.fabrication.stages import BuildStep, Stage, build_steps
from mouldgeom.fabrication.welds import Seam
from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import PieceId, Role, Side
from mouldgeom.model.assembly import Mould
from mouldgeom.model.sides import OUTWARDS
from mouldgeom.units import Mm, Ratio
from mouldgeom.words import Said

DEEPER_THAN_WIDE: Final[Ratio] = 4 / 3
"""Depth over the lesser width of an opening through which a gun is led and its arc is seen.

Source: own rule; by MIL-STD-1472 an opening for both hands is 3/4 as wide as they reach deep (from memory).
"""
FARTHEST: Final[Mm] = 500.0
"""Most that a gloved arm with a torch reaches through an opening, however wide: own rule."""
_INNER: Final = (Role.DIAPHRAGM, Role.ANCHOR_PLATE)
_AROUND: Final = (Role.CORE_WALL, Role.END_PLATE, Role.BASE_PLATE)


def reach(width: Mm) -> Mm:
    """How deep arm and torch reach through an opening whose lesser width this is.

    Source: own rule, ``DEEPER_THAN_WIDE`` and ``FARTHEST``.

    >>> reach(240)
    320.0
    """
    return min(DEEPER_THAN_WIDE * width, FARTHEST)


@dataclass(frozen=True, slots=True)
class InnerSeam:
    """A seam inside the core and the opening from which it is laid.

    Args:
        stage: of the step in which it is laid.
        opening: English label; ``"nothing reaches in"`` where all that leads to it is shut.
        depth: from the opening to the farthest point of the seam.
        width: lesser width of the opening.
    """

    seam: Seam
    stage: Stage
    opening: str
    depth: Mm
    width: Mm

    @property
    def reach(self) -> Mm:
        """How deep arm and torch reach through it."""
        return reach(self.width)

    @property
    def use(self) -> Ratio:
        """Depth over reach."""
        return self.depth / self.reach if self.reach else math.inf


def ways(mould: Mould) -> tuple[InnerSeam, ...]:
    """The best way to each seam that joins something to the core's walls from inside, in the order of welding.

    What joins two pieces neither of which is a wall, end plate or base plate is welded on the bench.
    """
    dims, there, out = mould.dims, set[PieceId](), list[InnerSeam]()
    levels = {p.id: p.placement.origin[2] for p in mould.pieces() if p.id.role in _INNER}
    for step in build_steps(mould):
        placed = {piece for piece in there if piece in levels}
        there |= step.new
        for seam in (seam for weld in step.welds for seam in weld.seams):
            if not any(piece.role in _AROUND for piece in seam.pieces) or not _inside(dims, seam):
                continue
            placed |= {piece for piece in seam.pieces if piece in levels}
            behind = [levels[piece] for piece in placed if piece not in seam.pieces]
            found = list(_open(dims, seam, _standing(step, there), behind))
            best = min(found, key=lambda way: way[1] / way[2], default=("nothing reaches in", dims.end_z, 0.0))
            out.append(InnerSeam(seam, step.stage, *best))
    return tuple(out)


def _standing(step: BuildStep, there: set[PieceId]) -> set[PieceId]:
    """What is there while the seams of a step are laid; the base plate counts once the core stands on it."""
    joined = step.stage in (Stage.JOIN, Stage.BOLTS, Stage.BRIDGE)
    return there if joined else {piece for piece in there if piece.role is not Role.BASE_PLATE}


def _ends(seam: Seam) -> Iterator[Vec]:
    return (point for line in seam.lines for point in line)


def _inside(dims: Dimensions, seam: Seam) -> bool:
    """Whether a seam lies behind the concrete faces of the core by more than half a wall."""
    half = dims.shell / 2
    return all(
        abs(x) < dims.core_half_x(z) - half and abs(y) < dims.core_half_y(z) - half and z < dims.end_z - half
        for x, y, z in _ends(seam)
    )


def _open(dims: Dimensions, seam: Seam, there: set[PieceId], plates: list[Mm]) -> Iterator[tuple[str, Mm, Mm]]:
    """Label, depth and lesser width of every opening that leads to a seam; ``plates``: heights of what shuts it off."""
    inset = dims.wall_inset
    heights = [z for _, _, z in _ends(seam)]
    low, high = min(heights), max(heights)
    if all(z > high for z in plates):
        if PieceId(Role.BASE_PLATE) in there:
            yield "opening of the base plate", high + dims.base, 2 * min(dims.access_half_x, dims.access_half_y)
        else:
            yield "rim end", high, 2 * (min(dims.core_half_x(0), dims.core_half_y(0)) - inset)
    if PieceId(Role.END_PLATE) not in there and all(z < low for z in plates):
        end = dims.end_z - dims.shell
        yield "narrow end", end - low, 2 * (min(dims.core_half_x(end), dims.core_half_y(end)) - inset)
    for side, out in OUTWARDS.items():
        if PieceId(Role.CORE_WALL, (Side(side),)) in there:
            continue
        axis = 0 if out[0] else 1
        half, other = (dims.core_half_x, dims.core_half_y)[axis], (dims.core_half_y, dims.core_half_x)[axis]
        depth = max(half(point[2]) - inset - out[axis] * point[axis] for point in _ends(seam))
        yield Said("open {side} side", side=side), depth, 2 * (other(high) - inset)


def deepest(mould: Mould) -> InnerSeam | None:
    """The seam that is hardest to reach; ``None`` where nothing is welded inside."""
    return max(ways(mould), key=lambda way: (round(way.use, 9), way.depth), default=None)
