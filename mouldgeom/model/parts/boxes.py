"""Square tubes, or the two angles welded toe to toe that take the place of one."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from mouldgeom import tables
from mouldgeom.design.bought import PairOfAngles
from mouldgeom.geometry.placement import Placement, Vec, add, cross
from mouldgeom.identity import PieceId, Unit
from mouldgeom.model.joints import Root, SeamKind, Weld, WeldRole, placed
from mouldgeom.model.shapes import Bar, Group, SectionKind, Stand
from mouldgeom.tables import SquareTube
from mouldgeom.units import Mm, Ratio


@dataclass(frozen=True)
class SquareBar:
    """One square bar, centred on the z axis of its placement: a tube, or two angles heel to opposite heel."""

    piece: PieceId
    unit: Unit
    group: Group
    tube: SquareTube
    length: Mm
    at: Placement

    @property
    def half(self) -> Mm:
        """Half its side."""
        return self.tube.side_mm / 2

    def flat(self, normal: Vec, along: Vec) -> Mm:
        """From the middle of the side that faces ``normal`` to where it ends ``along`` it, square to the axis.

        A tube ends where its corner begins to turn.  Two angles leave a notch as deep as they are thick at the two
        corners where they meet, for their weld.
        """
        x, y, _ = self.at.direction_to_local(add(normal, along))
        notch = self.tube.thickness_mm if self.angle and x * y < 0 else 0.0
        return self.half - self.tube.outer_radius_mm - notch

    @property
    def angle(self) -> tables.Angle | None:
        """What it is made of where two angles make it."""
        return self.tube.angle if isinstance(self.tube, PairOfAngles) else None

    @property
    def bars(self) -> tuple[Bar, ...]:
        """What it is cut from: one tube, or two angles."""
        if self.angle is None:
            stands = (Stand(self.piece, self.unit, self.at),)
            return (Bar(self.group, stands, SectionKind.SQUARE_TUBE, self.tube.designation, self.length),)
        return tuple(
            Bar(self.group, (self._stand(which, turn),), SectionKind.ANGLE, self.angle.designation, self.length)
            for which, turn in (("a", 1.0), ("b", -1.0))
        )

    def _stand(self, which: str, turn: Ratio) -> Stand:
        inner = Placement((-turn * self.half, -turn * self.half, 0.0), (turn, 0.0, 0.0), (0.0, turn, 0.0))
        return Stand(replace(self.piece, half=which), self.unit, self.at.of(inner))

    @property
    def welds(self) -> tuple[Weld, ...]:
        """Along the two corners where two angles meet; none of a tube."""
        if self.angle is None:
            return ()
        root = self.half - self.tube.thickness_mm
        corners = ((x, -x) for x in (root, -root))
        roots = tuple(placed(self.at, (x, y, 0.0), (x, y, self.length)) for x, y in corners)
        pieces = replace(self.piece, half="a"), replace(self.piece, half="b")
        off = (math.sqrt(2) - 1) * self.angle.toe_radius_mm
        return (Weld(WeldRole.PAIR, pieces, roots, SeamKind.EDGE, ((off, off), (off, off)), through=False),)

    def flats(self, towards: Vec) -> tuple[Root, Root]:
        """Where the flat of a side ends on the plate that lies against it, both ends of it."""
        axis = self.at.z
        across = cross(axis, towards)
        start = add(self.at.origin, towards, self.half)
        ways = across, add((0.0, 0.0, 0.0), across, -1.0)
        one, other = (add(start, way, self.flat(towards, way)) for way in ways)
        return (one, add(one, axis, self.length)), (other, add(other, axis, self.length))
