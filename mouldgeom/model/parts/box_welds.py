"""How the outer box is welded: flanges, stiffeners and posts to panels, gussets to flanges, handles to stiffeners."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.outline import SAME
from mouldgeom.geometry.placement import Vec, add
from mouldgeom.identity import PieceId, Role, Side
from mouldgeom.model.joints import (
    TOUCH,
    TOUCHES,
    Root,
    SeamKind,
    Weld,
    WeldRole,
    leg_on,
    placed,
    toe_and_heel,
)
from mouldgeom.model.parts.axes import ENDS, NZ, SIDES, Z
from mouldgeom.model.parts.boxes import SquareBar
from mouldgeom.model.shapes import Bar, Plate, bar_diameter
from mouldgeom.units import Mm

INWARD: Final[dict[Side, Vec]] = {
    **{side: (-sign, 0.0, 0.0) for side, sign in SIDES},
    **{end: (0.0, -sign, 0.0) for end, sign in ENDS},
}
"""From each panel towards the concrete."""


def _panel(side: Side) -> PieceId:
    return PieceId(Role.PANEL, (side,))


def _corner_flange(side: Side, point: Vec) -> PieceId:
    """The corner flange of a side panel that is nearest to a point."""
    return PieceId(Role.CORNER_FLANGE, (Side.BACK if point[1] > 0 else Side.FRONT, side))


def flange_welds(dims: Dimensions, corners: Sequence[Bar], flanges: Sequence[Bar]) -> list[Weld]:
    """Toe and heel of each flange on its panel; side base flanges at both ends to the corner flanges."""
    leg, open_ = dims.stock.angle.leg_mm, (dims.spec.shop.weld_gap,) * 2
    out: list[Weld] = []
    roles = WeldRole.CORNER_FLANGE_TOE, WeldRole.CORNER_FLANGE_HEEL
    for bar in corners:
        out += _on_panel(bar, bar.stands[0].id.place[1], roles, leg)
    roles = WeldRole.BASE_FLANGE_TOE, WeldRole.BASE_FLANGE_HEEL
    for bar in flanges:
        out += _on_panel(bar, bar.stands[0].id.place[0], roles)
    for bar in flanges:
        at, side = bar.placements[0], bar.stands[0].id.place[0]
        for point in (at.origin, add(at.origin, at.z, bar.length)) if side.crosswise else ():
            pieces = bar.stands[0].id, _corner_flange(side, point)
            root, gaps = (point, add(point, Z, leg)), (TOUCH, open_)
            out.append(Weld(WeldRole.BASE_TO_CORNER_FLANGE, pieces, (root,), SeamKind.EDGE, gaps, through=True))
    return out


def _on_panel(bar: Bar, side: Side, roles: tuple[WeldRole, WeldRole], start: Mm = 0.0) -> tuple[Weld, Weld]:
    """Toe and heel of a flange on its panel; the toe begins at ``start`` above the base plate."""
    (low, high), heel = toe_and_heel(bar, leg_on(bar, INWARD[side]))
    pieces, toe = (bar.stands[0].id, _panel(side)), (add(low, Z, start), high)
    return (
        Weld(roles[0], pieces, (toe,), SeamKind.FILLET, TOUCHES, through=False, at_edge=True),
        Weld(roles[1], pieces, (heel,), SeamKind.EDGE, TOUCHES, through=False, flush=True),
    )


def stiffener_welds(dims: Dimensions, squares: Sequence[SquareBar]) -> list[Weld]:
    """Stiffeners and nose posts along both flats on their panel; those of the sides to the corner flanges too."""
    out = []
    for square in squares:
        side, radius = square.piece.place[0], square.tube.outer_radius_mm
        roots, pieces = square.flats(INWARD[side]), (square.piece, _panel(side))
        out.append(
            Weld(WeldRole.STIFFENER_TO_PANEL, pieces, roots, SeamKind.FLARE, TOUCHES, through=False, radius=radius)
        )
        for ends in zip(*roots, strict=True) if side.crosswise else ():
            pieces, gaps = (square.piece, _corner_flange(side, ends[0])), (TOUCH, (dims.spec.shop.weld_gap,) * 2)
            out.append(Weld(WeldRole.STIFFENER_TO_CORNER, pieces, (ends,), SeamKind.EDGE, gaps, through=True))
    return out


def gusset_welds(gussets: Sequence[Plate]) -> list[Weld]:
    """Both faces of each gusset, along the legs of the angle that it stands in."""
    out = []
    for plate in gussets:
        piece, at = plate.stands[0].id, plate.placements[0]
        edges = [
            (a, b)
            for a, b in plate.outline.edges
            if (max(abs(a.x), abs(b.x)) < SAME) != (max(abs(a.y), abs(b.y)) < SAME)
        ]
        roots = tuple(placed(at, (a.x, a.y, z), (b.x, b.y, z)) for z in (0.0, -plate.thickness) for a, b in edges)
        pieces = piece, PieceId(Role.BASE_FLANGE, piece.place[:1])
        out.append(Weld(WeldRole.GUSSET_TO_FLANGE, pieces, roots, SeamKind.FILLET, TOUCHES, through=True))
    return out


def handle_welds(handles: Sequence[Bar], stiffeners: Sequence[SquareBar]) -> list[Weld]:
    """Each handle on the stiffeners of its panel that it crosses, both sides, as far as it lies on the flat."""
    out = []
    for bar in handles:
        side, (x, y, low), radius = bar.stands[0].id.place[0], bar.placements[0].origin, bar_diameter(bar) / 2
        inward = INWARD[side]
        for square in stiffeners:
            if square.piece.place[0] is not side:
                continue
            outward, level = add((0.0, 0.0, 0.0), inward, -1.0), square.at.origin[2]
            start = max(low, level - square.flat(outward, NZ))
            end = min(low + bar.length, level + square.flat(outward, Z))
            if start < end:
                root: Root = add((x, y, start), inward, radius), add((x, y, end), inward, radius)
                pieces, kind = (bar.stands[0].id, square.piece), SeamKind.FLARE
                role, roots = WeldRole.HANDLE_TO_STIFFENER, (root, root)
                out.append(Weld(role, pieces, roots, kind, TOUCHES, through=True, radius=radius, bears=True))
    return out
