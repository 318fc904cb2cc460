"""Square tubes, or the two angles welded toe to toe that take the place of one."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mouldgeom.choices import PAIR
from mouldgeom.identity import PieceId, Unit
from mouldgeom.joints import Root, SeamKind, Weld, WeldRole, placed
from mouldgeom.shapes import Bar, Group, Placement, SectionKind, Stand, Vec, add, cross
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

    @property
    def flat(self) -> Mm:
        """From the middle of a side to where its corner begins to turn."""
        return self.half - self.tube.outer_radius_mm

    @property
    def paired(self) -> bool:
        """Whether two angles make it."""
        return self.tube.designation.startswith(PAIR)

    @property
    def bars(self) -> tuple[Bar, ...]:
        """What it is cut from: one tube, or two angles."""
        if not self.paired:
            stands = (Stand(self.piece, self.unit, self.at),)
            return (Bar(self.group, stands, SectionKind.SQUARE_TUBE, self.tube.designation, self.length),)
        angle = self.tube.designation.removeprefix(PAIR).strip()
        return tuple(
            Bar(self.group, (self._stand(which, turn),), SectionKind.ANGLE, angle, self.length)
            for which, turn in (("a", 1.0), ("b", -1.0))
        )

    def _stand(self, which: str, turn: Ratio) -> Stand:
        inner = Placement((-turn * self.half, -turn * self.half, 0.0), (turn, 0.0, 0.0), (0.0, turn, 0.0))
        return Stand(replace(self.piece, half=which), self.unit, self.at.of(inner))

    @property
    def welds(self) -> tuple[Weld, ...]:
        """Along the two corners where two angles meet; none of a tube."""
        if not self.paired:
            return ()
        corners = ((x, -x) for x in (self.half, -self.half))
        roots = tuple(placed(self.at, (x, y, 0.0), (x, y, self.length)) for x, y in corners)
        pieces = replace(self.piece, half="a"), replace(self.piece, half="b")
        return (Weld(WeldRole.PAIR, pieces, roots, SeamKind.EDGE, (0.0, 0.0), through=False),)

    def flats(self, towards: Vec) -> tuple[Root, Root]:
        """Where the flat of a side ends on the plate that lies against it, both ends of it."""
        axis = self.at.z
        across = cross(axis, towards)
        start = add(self.at.origin, towards, self.half)
        one, other = (add(start, across, sign * self.flat) for sign in (1.0, -1.0))
        return (one, add(one, axis, self.length)), (other, add(other, axis, self.length))
