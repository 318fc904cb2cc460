"""Blocks: parts joined beforehand, such as two trapezoids head to toe, that fill their box better than alone."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from mouldgeom.nesting.polygons import Apart, Array, Shape, convex_hull, same_place, shape_of, turned
from mouldgeom.units import Deg, Mm, Mm2, Ratio


@dataclass(frozen=True, eq=False)
class PartKind:
    """One kind of part: its mark, the convex bits that cover it, and the orientations it may take."""

    mark: str
    bits: tuple[Array, ...]
    shapes: tuple[Shape, ...]

    @property
    def area(self) -> Mm2:
        """Area of the cover."""
        return self.shapes[0].area


@dataclass(frozen=True, eq=False)
class Member:
    """A part of a block: number of its kind, its shape, and the lower left corner of the shape in the block."""

    kind: int
    shape: Shape
    x: Mm
    y: Mm


@dataclass(frozen=True, eq=False)
class LaidBlock:
    """Parts that keep their places to each other, in a bounding box with its lower left corner at the origin."""

    members: tuple[Member, ...]
    width: Mm
    height: Mm

    @cached_property
    def area(self) -> Mm2:
        """Area of the parts."""
        return sum(m.shape.area for m in self.members)

    @property
    def fill(self) -> Ratio:
        """Share of the bounding box that is part."""
        return self.area / (self.width * self.height)


@dataclass(frozen=True, eq=False)
class Cluster:
    """What the search lays as one rectangle: the kinds in it, and the blocks that it may be laid as."""

    kinds: tuple[int, ...]
    blocks: tuple[LaidBlock, ...]
    area: Mm2


def make_kind(mark: str, bits: tuple[Array, ...], angles: Sequence[Deg]) -> PartKind:
    """Return a kind with those orientations that differ."""
    shapes: list[Shape] = []
    for angle in angles:
        shape = shape_of(bits, angle)
        if not any(same_place(shape, other) for other in shapes):
            shapes.append(shape)
    return PartKind(mark, bits, tuple(shapes))


def single(number: int, kind: PartKind) -> Cluster:
    """Return a part alone, once for each size of bounding box."""
    blocks: list[LaidBlock] = []
    for shape in kind.shapes:
        if not any(abs(shape.width - b.width) < 1e-6 and abs(shape.height - b.height) < 1e-6 for b in blocks):
            blocks.append(LaidBlock((Member(number, shape, 0.0, 0.0),), shape.width, shape.height))
    return Cluster((number,), tuple(blocks), kind.area)


def joined(kinds: Sequence[PartKind], demand: Sequence[int], apart: Apart, angles: Sequence[Deg]) -> list[Cluster]:
    """Return pairs, and pairs of pairs, that fill a box clearly better than their parts do."""
    pairs: list[Cluster] = []
    for i, j in itertools.combinations_with_replacement(range(len(kinds)), 2):
        if demand[i] < 1 or demand[j] < (2 if i == j else 1):
            continue
        own = max(_fill(kinds[i]), _fill(kinds[j]))
        worst = min(_fill(kinds[i]), _fill(kinds[j]))
        if worst > 0.985 or min(kinds[i].area, kinds[j].area) < 0.3 * max(kinds[i].area, kinds[j].area):
            continue
        block = _best_pair(LaidBlock((Member(i, kinds[i].shapes[0], 0, 0),), 0, 0), kinds[j].shapes, j, apart)
        alone = 2 * own * worst / (own + worst)
        if block is not None and block.fill > max(0.7, alone + 0.02 * (1 - alone)):
            pairs.append(Cluster((i, j), _orientations(block, angles), block.area))
    pairs.sort(key=lambda u: (-max(b.fill for b in u.blocks), u.kinds))
    fours: list[Cluster] = []
    for one, other in itertools.combinations_with_replacement(pairs[:4], 2):
        needed = one.kinds + other.kinds
        if any(demand[k] < needed.count(k) for k in needed):
            continue
        block = _best_pair(one.blocks[0], tuple(b for b in other.blocks), -1, apart)
        if block is not None and block.fill > min(one.blocks[0].fill, other.blocks[0].fill) + 0.002:
            fours.append(Cluster(needed, _orientations(block, angles), block.area))
    return pairs[:12] + fours[:6]


def _fill(kind: PartKind) -> Ratio:
    return max(shape.area / (shape.width * shape.height) for shape in kind.shapes)


def _best_pair(first: LaidBlock, seconds: Sequence[Shape | LaidBlock], number: int, apart: Apart) -> LaidBlock | None:
    """Return the tightest block of a standing block and one of several others beside it."""
    best: tuple[Mm2, int, LaidBlock] | None = None
    for order, second in enumerate(seconds):
        other = second if isinstance(second, LaidBlock) else LaidBlock((Member(number, second, 0, 0),), 0, 0)
        for x, y in _contacts(first, other, apart):
            block = _normalised((*first.members, *(Member(m.kind, m.shape, m.x + x, m.y + y) for m in other.members)))
            size = round(block.width * block.height, 3)
            if best is None or size < best[0]:
                best = (size, order, block)
    return None if best is None else best[2]


def _hull_of(block: LaidBlock) -> Array:
    return convex_hull(np.concatenate([m.shape.hull + np.array((m.x, m.y)) for m in block.members]))


def _contacts(first: LaidBlock, second: LaidBlock, apart: Apart) -> Iterator[tuple[Mm, Mm]]:
    """Yield moves of the second block at which the hulls touch and are in line, or touch corner to corner."""
    a, b = _hull_of(first), _hull_of(second)
    normals = np.concatenate([_out(a), -_out(b)])
    turns = np.arctan2(normals[:, 1], normals[:, 0])
    normals = normals[np.argsort(np.round(turns, 9), kind="stable")]
    keep = [i for i in range(len(normals)) if normals[i] @ normals[i - 1] < 1 - 1e-9]
    normals = normals[keep]
    offsets = (normals @ a.T).max(1) - (normals @ b.T).min(1) + apart.gap
    corners = []
    for i in range(len(normals)):
        n, m = normals[i - 1], normals[i]
        det = n[0] * m[1] - n[1] * m[0]
        if abs(det) > 1e-9:
            p, q = offsets[i - 1], offsets[i]
            corners.append(((p * m[1] - q * n[1]) / det, (n[0] * q - m[0] * p) / det))
    lows, highs = a.min(0) - b.min(0), a.max(0) - b.max(0)
    for (x0, y0), (x1, y1) in zip(corners, [*corners[1:], corners[0]], strict=True):
        yield float(x0), float(y0)
        for axis, (s0, s1) in enumerate(((x0, x1), (y0, y1))):
            for at in (lows[axis], highs[axis]):
                if min(s0, s1) < at < max(s0, s1):
                    t = (at - s0) / (s1 - s0)
                    yield float(x0 + t * (x1 - x0)), float(y0 + t * (y1 - y0))


def _out(ring: Array) -> Array:
    along = np.roll(ring, -1, 0) - ring
    out: Array = np.stack((along[:, 1], -along[:, 0]), 1) / np.hypot(along[:, 0], along[:, 1])[:, None]
    return out


def _normalised(members: tuple[Member, ...]) -> LaidBlock:
    x0, y0 = min(m.x for m in members), min(m.y for m in members)
    x1 = max(m.x + m.shape.width for m in members)
    y1 = max(m.y + m.shape.height for m in members)
    return LaidBlock(tuple(Member(m.kind, m.shape, m.x - x0, m.y - y0) for m in members), x1 - x0, y1 - y0)


def _orientations(block: LaidBlock, angles: Sequence[Deg]) -> tuple[LaidBlock, ...]:
    """Return a block in its orientations of different size.

    Where quarter turns are allowed, also turned so that its longest side, if it slants, lies square.
    """
    turns = [(angle - angles[0]) % 360 for angle in angles]
    if len(turns) > 2:
        ring = _hull_of(block)
        along = np.roll(ring, -1, 0) - ring
        longest = along[int(np.argmax(np.round(np.hypot(along[:, 0], along[:, 1]), 6)))]
        slant = math.degrees(math.atan2(longest[1], longest[0])) % 90
        if 1e-6 < slant < 90 - 1e-6:
            turns += [turn - slant for turn in turns]
    out: list[LaidBlock] = []
    for turn in turns:
        spun = _spun(block, turn % 360)
        if not any(abs(spun.width - b.width) < 1e-6 and abs(spun.height - b.height) < 1e-6 for b in out):
            out.append(spun)
    return tuple(out)


def _spun(block: LaidBlock, turn: Deg) -> LaidBlock:
    if not turn:
        return block
    members = []
    for m in block.members:
        shape = _turned_shape(m.shape, turn)
        corners = turned(np.concatenate(m.shape.bits) + np.array((m.x, m.y)), turn)
        members.append(Member(m.kind, shape, float(corners[:, 0].min()), float(corners[:, 1].min())))
    return _normalised(tuple(members))


def _turned_shape(shape: Shape, turn: Deg) -> Shape:
    """Return a shape turned further; its angle and origin still refer to the part itself."""
    own = [bit - np.array(shape.origin) for bit in shape.bits]
    back = [turned(bit, (360 - shape.angle) % 360) for bit in own]
    return shape_of(back, round((shape.angle + turn) % 360, 6) % 360)
