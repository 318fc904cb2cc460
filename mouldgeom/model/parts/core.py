"""The core: four drafted walls, ledge strips over their rim end, end plate, diaphragms and anchor plate.

Front and back walls and strips run full width; left and right ones stand between them.  Plates with square-cut edges
stand off their neighbours by at most thickness x sin(draft), and never dip into them.  Diaphragms are welded to three
walls while the core lies open at its back; the back wall, which closes it, bears on their fourth edge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.errors import GeometryError
from mouldgeom.geometry.outline import SAME, Outline
from mouldgeom.geometry.placement import Placement, Vec, add, cross
from mouldgeom.identity import CORE, PieceId, Role, Side
from mouldgeom.model.joints import (
    TOUCH,
    TOUCHES,
    GroupParts,
    Root,
    SeamKind,
    Seat,
    Weld,
    WeldRole,
    hexagon,
    placed,
)
from mouldgeom.model.parts.axes import ENDS, SIDES, X, Y, Z
from mouldgeom.model.shapes import ConcreteFace, Group, Hole, HolePurpose, Plate, Stand
from mouldgeom.model.sides import OUTWARDS
from mouldgeom.tables import SheetSize
from mouldgeom.units import Mm

CLOSING: Final = Side.BACK
"""The wall that is put on last, when everything that is welded to the other three from inside is in."""


def core(dims: Dimensions) -> GroupParts:
    """Describe every part of the core."""
    walls = [_wall(dims, Side(side), out) for side, out in OUTWARDS.items()]
    strips = [_strip(dims, Side(side), out) for side, out in OUTWARDS.items()]
    diaphragms = [
        _inner_plate(dims, PieceId(Role.DIAPHRAGM, (), number), dims.stock.shell, z, dims.spec.shop.fit_gap / 2)
        for number, z in enumerate(dims.diaphragm_z, 1)
    ]
    anchor, nut = ([_anchor_plate(dims)], [_nut_weld(dims)]) if dims.has_bridge else ([], [])
    return GroupParts(
        plates=(*walls, *strips, _end_plate(dims), *anchor, *diaphragms),
        welds=(
            *_corner_welds(dims),
            *nut,
            *_inner_welds(dims, [*reversed(diaphragms), *anchor]),
            *_end_plate_welds(dims),
            *_strip_welds(dims),
        ),
        seats=tuple(_bearing(plate) for plate in diaphragms),
    )


def _drafted(dims: Dimensions, out: Vec, reach: Mm) -> Placement:
    """Place a plate on the drafted plane that meets z = 0 at ``reach`` from the axis; local y runs up the slope."""
    sine, cosine = math.sin(math.radians(dims.draft)), math.cos(math.radians(dims.draft))
    normal = add((cosine * out[0], cosine * out[1], 0.0), Z, sine)
    up = add((-sine * out[0], -sine * out[1], 0.0), Z, cosine)
    return Placement((reach * out[0], reach * out[1], 0.0), cross(up, normal), up)


def _trapezoid(dims: Dimensions, low: Mm, high: Mm, half_low: Mm, half_high: Mm) -> Outline:
    """Outline on a drafted plane between two heights (measured plumb), with half widths there."""
    cosine = math.cos(math.radians(dims.draft))
    return Outline.polygon(
        [(-half_low, low / cosine), (half_low, low / cosine), (half_high, high / cosine), (-half_high, high / cosine)]
    )


def _in_concrete(piece: PieceId, sheet: SheetSize, outline: Outline, at: Placement) -> Plate:
    """A plate of the core whose outline lies on its concrete face."""
    stands = (Stand(piece, CORE, at),)
    return Plate(Group.CORE, stands, sheet.designation, sheet.thickness_mm, outline, ConcreteFace.OUTLINE)


def _wall(dims: Dimensions, side: Side, out: Vec) -> Plate:
    """A wall: its foot stands off the base plate at the concrete face so that the inner edge just touches."""
    low = dims.shell * math.sin(math.radians(dims.draft))
    high = dims.end_z - dims.shell
    if out[0] == 0:
        reach, half_low, half_high = dims.core_half_y(0), dims.core_half_x(low), dims.core_half_x(high)
    else:
        reach = dims.core_half_x(0)
        half_low, half_high = (dims.core_half_y(z) - dims.wall_inset for z in (low, high))
    outline = _trapezoid(dims, low, high, half_low, half_high)
    return _in_concrete(PieceId(Role.CORE_WALL, (side,)), dims.stock.shell, outline, _drafted(dims, out, reach))


def _strip(dims: Dimensions, side: Side, out: Vec) -> Plate:
    """A ledge strip: lies on the wall; its upper edge at the concrete face is the ledge."""
    low = dims.ledge * math.sin(math.radians(dims.draft))
    high = dims.ledge_z
    if out[0] == 0:
        reach = dims.core_half_y(0) + dims.step
        half_low, half_high = (dims.core_half_x(z) + dims.step for z in (low, high))
    else:
        reach = dims.core_half_x(0) + dims.step
        half_low, half_high = dims.core_half_y(low), dims.core_half_y(high)
    outline = _trapezoid(dims, low, high, half_low, half_high)
    return _in_concrete(PieceId(Role.LEDGE_STRIP, (side,)), dims.stock.ledge, outline, _drafted(dims, out, reach))


def _end_plate(dims: Dimensions) -> Plate:
    """The end plate covers the wall ends; it makes the floor of the filter."""
    z = dims.end_z
    x, y = dims.core_half_x(z), dims.core_half_y(z)
    outline = Outline.rectangle(-x, -y, x, y)
    return _in_concrete(PieceId(Role.END_PLATE), dims.stock.shell, outline, Placement((0.0, 0.0, z), X, Y))


def _inner_plate(dims: Dimensions, piece: PieceId, sheet: SheetSize, z: Mm, back: Mm = 0.0) -> Plate:
    """A plate across the inside of the core, its top at z: it goes in with clearance, corners snipped for the welds.

    It stands off the middle by ``back`` mm, towards the back wall.
    """
    fit = dims.wall_inset + dims.spec.shop.fit_gap / 2
    x, y = dims.core_half_x(z) - fit, dims.core_half_y(z) - fit
    snipe = 3 * dims.shell
    outline = Outline.polygon(
        [
            (-x + snipe, -y),
            (x - snipe, -y),
            (x, -y + snipe),
            (x, y - snipe),
            (x - snipe, y),
            (-x + snipe, y),
            (-x, y - snipe),
            (-x, -y + snipe),
        ]
    )
    return Plate(
        Group.CORE,
        (Stand(piece, CORE, Placement((0.0, back, z), X, Y)),),
        sheet.designation,
        sheet.thickness_mm,
        outline,
        ConcreteFace.NONE,
        (Hole(0.0, 0.0, dims.bridge.screw_hole, HolePurpose.SCREW),) if dims.has_bridge else (),
    )


def _anchor_plate(dims: Dimensions) -> Plate:
    """The plate that the jack screw of a bridge pulls."""
    return _inner_plate(dims, PieceId(Role.ANCHOR_PLATE), dims.stock.base, dims.bridge.anchor_z)


# ---------------------------------------------------------------- welds


def _square_off(dims: Dimensions, thickness: Mm) -> Mm:
    """How far a square edge of this thickness stands off at most where it meets a drafted plate."""
    return thickness * math.sin(math.radians(dims.draft))


def _corner_welds(dims: Dimensions) -> list[Weld]:
    """The four corners of the core, ground level outside."""
    foot, top = _square_off(dims, dims.shell), dims.end_z - dims.shell
    out = []
    for side, sx in SIDES:
        for end, sy in ENDS:
            low, high = (
                (sx * dims.core_half_x(z), sy * (dims.core_half_y(z) - dims.wall_inset), z) for z in (foot, top)
            )
            pieces = PieceId(Role.CORE_WALL, (side,)), PieceId(Role.CORE_WALL, (end,))
            gaps = TOUCH, (0.0, foot)
            out.append(
                Weld(WeldRole.CORE_CORNER, pieces, ((low, high),), SeamKind.EDGE, gaps, through=True, flush=True)
            )
    return out


def _nut_weld(dims: Dimensions) -> Weld:
    """The nut all round on the anchor plate."""
    pieces = PieceId(Role.ANCHOR_NUT), PieceId(Role.ANCHOR_PLATE)
    roots = hexagon(dims.stock.jack.across_flats_mm, dims.bridge.anchor_z)
    return Weld(WeldRole.NUT_TO_ANCHOR, pieces, roots, SeamKind.FILLET, TOUCHES, through=True)


def _inner_welds(dims: Dimensions, inner: Sequence[Plate]) -> list[Weld]:
    """Diaphragms and anchor plate, welded on the underside, the deepest first; no diaphragm to the back wall."""
    out = []
    fit = dims.spec.shop.fit_gap / 2
    for plate in inner:
        piece, back = plate.stands[0].id, plate.placements[0].origin[1]
        anchor = piece.role is Role.ANCHOR_PLATE
        role = WeldRole.ANCHOR_TO_WALL if anchor else WeldRole.DIAPHRAGM_TO_WALL
        for side, sign in (*ENDS, *SIDES):
            if side is CLOSING and not anchor:
                continue
            pieces, root = (piece, PieceId(Role.CORE_WALL, (side,))), _side_root(plate, side, sign)
            off = fit + plate.thickness * dims.taper + (0.0 if side.crosswise else back)
            gaps = TOUCH, (off, off)
            out.append(Weld(role, pieces, (root,), SeamKind.FILLET, gaps, through=anchor))
    return out


def _bearing(plate: Plate) -> Seat:
    """Upper edge of a diaphragm on the inside of the back wall."""
    top = plate.outline.bounds[3]
    ends = [v.x for v in plate.outline.vertices if abs(v.y - top) < SAME]
    points = tuple(plate.placements[0].to_casting((x, top, 0.0)) for x in (min(ends), 0.0, max(ends)))
    return Seat((plate.stands[0].id, PieceId(Role.CORE_WALL, (CLOSING,))), points)


def _side_root(plate: Plate, side: Side, sign: float) -> Root:
    """The straight edge of a level plate on one side, on its underside."""
    level = 0 if side.crosswise else 1
    for a, b in plate.outline.edges:
        root = placed(plate.placements[0], (a.x, a.y, -plate.thickness), (b.x, b.y, -plate.thickness))
        if abs(root[0][level] - root[1][level]) < SAME and sign * root[0][level] > 0:
            return root
    raise GeometryError(f"{plate.name} has no straight edge there")


def _level_root(dims: Dimensions, side: Side, sign: float, z: Mm) -> Root:
    """Across the concrete face of a core wall at a height; left and right walls stand between the other two."""
    x, y = dims.core_half_x(z), dims.core_half_y(z)
    if side.crosswise:
        return (sign * x, dims.wall_inset - y, z), (sign * x, y - dims.wall_inset, z)
    return (-x, sign * y, z), (x, sign * y, z)


def _end_plate_welds(dims: Dimensions) -> list[Weld]:
    out = []
    for side, sign in (*ENDS, *SIDES):
        pieces = PieceId(Role.END_PLATE), PieceId(Role.CORE_WALL, (side,))
        root = _level_root(dims, side, sign, dims.end_z - dims.shell)
        off = dims.shell * dims.taper
        gaps = (off, math.sqrt(2) * off), TOUCH
        out.append(Weld(WeldRole.END_TO_WALL, pieces, (root,), SeamKind.EDGE, gaps, through=True, flush=True))
    return out


def _strip_welds(dims: Dimensions) -> list[Weld]:
    """The corners of the strips; each strip along its rim end, and along the ledge, dressed smooth."""
    foot, out = _square_off(dims, dims.ledge), []
    for side, sx in SIDES:
        for end, sy in ENDS:
            low, high = (
                (sx * (dims.core_half_x(z) + dims.step), sy * dims.core_half_y(z), z) for z in (foot, dims.ledge_z)
            )
            pieces = PieceId(Role.LEDGE_STRIP, (side,)), PieceId(Role.LEDGE_STRIP, (end,))
            gaps = TOUCH, (0.0, foot)
            out.append(
                Weld(WeldRole.STRIP_CORNER, pieces, ((low, high),), SeamKind.EDGE, gaps, through=True, flush=True)
            )
    for side, sign in (*ENDS, *SIDES):
        pieces = PieceId(Role.LEDGE_STRIP, (side,)), PieceId(Role.CORE_WALL, (side,))
        for role, kind, z, off, flush in (
            (WeldRole.STRIP_RIM, SeamKind.EDGE, foot, 0.0, True),
            (WeldRole.STRIP_LEDGE, SeamKind.FILLET, dims.ledge_z, foot, False),
        ):
            root, gaps = _level_root(dims, side, sign, z), ((off, off), TOUCH)
            out.append(Weld(role, pieces, (root,), kind, gaps, through=True, flush=flush, at_edge=True))
    return out
