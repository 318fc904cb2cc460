"""Welds between the parts, as the parts' own functions describe them: which two pieces, along which lines, and how.

A line is the root of a weld in the casting frame; it lies on both pieces, but for the gap that the design leaves
there on purpose.  How large a weld is follows from the thickness of what it joins (``stock.welds``).
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, fields, replace
from enum import StrEnum
from typing import Final, TypeVar

from mouldgeom import tables
from mouldgeom.geometry.outline import SAME, Point
from mouldgeom.geometry.placement import Placement, Vec, dot
from mouldgeom.identity import PieceId
from mouldgeom.model.shapes import Bar, BoltRow, Fastener, Plate
from mouldgeom.units import Mm

Root = tuple[Vec, Vec]
"""A straight line, from end to end."""


Gap = tuple[Mm, Mm]
"""Least and greatest distance of a line from a piece."""
TOUCH: Final[Gap] = (0.0, 0.0)
TOUCHES: Final = (TOUCH, TOUCH)


class SeamKind(StrEnum):
    """Shapes of weld."""

    FILLET = "fillet"
    EDGE = "edge"
    FLARE = "flare"


class WeldRole(StrEnum):
    """What a weld joins, in the words of the trade."""

    CORE_CORNER = "core corner"
    NUT_TO_ANCHOR = "jack nut to anchor plate"
    DIAPHRAGM_TO_WALL = "diaphragm to wall"
    ANCHOR_TO_WALL = "anchor plate to wall"
    END_TO_WALL = "end plate to wall"
    STRIP_CORNER = "ledge strip corner"
    STRIP_RIM = "ledge strip to wall, rim end"
    STRIP_LEDGE = "ledge strip to wall, ledge, dressed smooth"
    CORE_TO_BASE = "core to base plate, inside"
    RUNNER_TO_BASE = "runner to base plate"
    CORNER_FLANGE_TOE = "corner flange to side panel, toe"
    CORNER_FLANGE_HEEL = "corner flange to side panel, heel"
    BASE_FLANGE_TOE = "base flange to panel, toe"
    BASE_FLANGE_HEEL = "base flange to panel, heel"
    BASE_TO_CORNER_FLANGE = "base flange to corner flange"
    STIFFENER_TO_PANEL = "stiffener to panel"
    STIFFENER_TO_CORNER = "stiffener to corner flange"
    GUSSET_TO_FLANGE = "gusset to base flange"
    HANDLE_TO_STIFFENER = "handle to stiffener"
    NOSE_SIDE_TO_PANEL = "nose side to front panel"
    NOSE_FRONT_TO_SIDE = "nose front to side"
    NOSE_FRONT_TO_PANEL = "nose front to front panel"
    NOSE_FLANGE_TOE = "nose flange to nose side, toe"
    NOSE_FLANGE_HEEL = "nose flange to nose side, heel"
    LEG_TO_CAP = "bridge leg to cap"
    CAP_ACROSS = "bridge cap to beam, across"
    CAP_ALONG = "bridge cap to beam, along"
    WASHER_PLATE_ACROSS = "washer plate to beam, across"
    WASHER_PLATE_ALONG = "washer plate to beam, along"
    NUT_TO_PLATE = "forcing nut to nut plate"
    NUT_PLATE_TO_BASE = "nut plate to base plate"
    PIN_TO_PLATE = "trunnion pin to pin plate"
    PIN_TO_KEEPER = "trunnion pin to keeper"
    PIN_PLATE_END = "pin plate to stiffener, ends"
    PIN_PLATE_SIDE = "pin plate to stiffener, sides"
    CLIP_TOE = "closing clip to side panel, toe"
    CLIP_HEEL = "closing clip to side panel, heel"
    SADDLE_ALONG = "saddle to stand post, along"
    SADDLE_ACROSS = "saddle to stand post, across"
    POST_TO_FOOT = "stand post to foot"
    CHEEK_ALONG = "stand cheek to post, along"
    CHEEK_ACROSS = "stand cheek to post, across"
    CHEEK_TO_FOOT = "stand cheek to foot"
    CLEAT_TO_FOOT = "stand cleat to foot"
    PAIR = "angle to angle"


FLANGE_TOES: Final = frozenset({WeldRole.CORNER_FLANGE_TOE, WeldRole.BASE_FLANGE_TOE, WeldRole.NOSE_FLANGE_TOE})
"""Welds along the toe of a flange: what it bears goes through them."""


@dataclass(frozen=True)
class Weld:
    """Two pieces welded together.

    Args:
        role: what it joins; one's own is a ``StrEnum`` of trade words.
        pieces: which two; a square bar of two angles counts as one.
        roots: its lines.
        kind: its shape.
        gaps: how far the lines stand off each piece as designed, at least and at most.
        through: welded along all of its lines, not in runs.
        flush: ground level with the sheet.
        at_edge: along an edge of the first piece, so that its leg is limited by that thickness.
        radius: of the round that a flare fills beside.
        bears: whether force goes through it: a flare then gets a fillet on it.
    """

    role: StrEnum
    pieces: tuple[PieceId, PieceId]
    roots: tuple[Root, ...]
    kind: SeamKind
    gaps: tuple[Gap, Gap]
    through: bool
    flush: bool = False
    at_edge: bool = False
    radius: Mm = 0.0
    bears: bool = False


@dataclass(frozen=True)
class Seat:
    """Two pieces that hold without bolt or weld: a nut on its thread, or what bears on what when the screw pulls.

    Args:
        pieces: which two.
        points: where they touch, in the casting frame.
    """

    pieces: tuple[PieceId, PieceId]
    points: tuple[Vec, ...]


_Some = TypeVar("_Some", Plate, Bar, Fastener)


@dataclass(frozen=True)
class GroupParts:
    """What one module of ``parts`` returns: its parts, not yet punched and not yet marked, and their joints."""

    plates: tuple[Plate, ...] = ()
    bars: tuple[Bar, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    rows: tuple[BoltRow, ...] = ()
    welds: tuple[Weld, ...] = ()
    seats: tuple[Seat, ...] = ()

    def without(self, *gone: PieceId) -> GroupParts:
        """The same without some pieces, and without the bolt rows, welds and seats that held them."""

        def kept(part: _Some) -> _Some:
            return replace(part, stands=tuple(stand for stand in part.stands if stand.id not in gone))

        return GroupParts(
            tuple(plate for plate in map(kept, self.plates) if plate.stands),
            tuple(bar for bar in map(kept, self.bars) if bar.stands),
            tuple(fastener for fastener in map(kept, self.fasteners) if fastener.stands),
            tuple(row for row in self.rows if not {*row.members} & {*gone}),
            tuple(weld for weld in self.welds if not {*weld.pieces} & {*gone}),
            tuple(seat for seat in self.seats if not {*seat.pieces} & {*gone}),
        )

    def plus(self, more: GroupParts) -> GroupParts:
        """The same with more parts and joints, behind those that are there."""
        return GroupParts(*(getattr(self, f.name) + getattr(more, f.name) for f in fields(self)))


# ---------------------------------------------------------------- lines on parts


def placed(at: Placement, start: Vec, end: Vec) -> Root:
    """A line of a local frame in the casting frame."""
    return at.to_casting(start), at.to_casting(end)


def ring(radius: Mm, z: Mm, count: int = 8, centre: Point = (0.0, 0.0)) -> tuple[Vec, ...]:
    """So many points around an upright axis of the casting frame."""
    (x, y), turns = centre, (2 * math.pi * i / count for i in range(count))
    return tuple((x + radius * math.cos(turn), y + radius * math.sin(turn), z) for turn in turns)


def hexagon(across_flats: Mm, z: Mm, centre: Point = (0.0, 0.0)) -> tuple[Root, ...]:
    """The six edges of a nut on an upright axis of the casting frame."""
    corners = ring(across_flats / math.sqrt(3), z, 6, centre)
    return tuple(itertools.pairwise((*corners, corners[0])))


def leg_on(bar: Bar, normal: Vec) -> str:
    """Which leg of an angle has its outer face against a plate with this normal."""
    at = bar.stands[0].placement
    return "x" if abs(dot(at.y, normal)) > abs(dot(at.x, normal)) else "y"


def toe_and_heel(bar: Bar, leg: str) -> tuple[Root, Root]:
    """Toe and heel of the leg of an angle that lies on a plate with its outer face."""
    at, toe = bar.stands[0].placement, tables.angle(bar.section).leg_mm
    x, y = (toe, 0.0) if leg == "x" else (0.0, toe)
    return placed(at, (x, y, 0.0), (x, y, bar.length)), placed(at, (0.0, 0.0, 0.0), (0.0, 0.0, bar.length))


def over(root: Root, plate: Plate) -> tuple[Root, ...]:
    """The part of a line that lies over a plate whose outline is convex; nothing if none does."""
    at = plate.stands[0].placement
    (ax, ay, az), (bx, by, bz) = (at.to_local(point) for point in root)
    low, high = 0.0, 1.0
    for v, w in plate.outline.edges:
        length = math.hypot(w.x - v.x, w.y - v.y)
        nx, ny = -(w.y - v.y) / length, (w.x - v.x) / length
        here = (ax - v.x) * nx + (ay - v.y) * ny + 1e-3
        there = (bx - v.x) * nx + (by - v.y) * ny + 1e-3
        if max(here, there) < 0:
            return ()
        if here < 0:
            low = max(low, here / (here - there))
        if there < 0:
            high = min(high, here / (here - there))
    if high - low <= SAME:
        return ()

    def point(share: float) -> Vec:
        return at.to_casting((ax + share * (bx - ax), ay + share * (by - ay), az + share * (bz - az)))

    return ((point(low), point(high)),)
