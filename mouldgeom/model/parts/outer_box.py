"""The outer box: four panels with their flanges, stiffeners and handles; it comes off outwards, panel by panel."""

from __future__ import annotations

import itertools

from mouldgeom.design.dimensions import SLACK, Dimensions
from mouldgeom.geometry.outline import Outline
from mouldgeom.geometry.placement import Placement, Vec
from mouldgeom.identity import PANELS, PieceId, Role, RowId, RowRole, Side
from mouldgeom.model.joints import GroupParts
from mouldgeom.model.parts.axes import ENDS, NX, NY, NZ, SIDES, X, Y, Z
from mouldgeom.model.parts.box_welds import flange_welds, gusset_welds, handle_welds, stiffener_welds
from mouldgeom.model.parts.boxes import SquareBar
from mouldgeom.model.shapes import Bar, BoltRow, ConcreteFace, Group, Plate, SectionKind, Stand
from mouldgeom.units import Mm


def outer_box(dims: Dimensions) -> GroupParts:
    """Describe every part of the outer box."""
    gussets, corners, flanges = _gussets(dims), _corner_flanges(dims), _base_flanges(dims)
    stiffeners, posts, handles = _stiffeners(dims), _nose_posts(dims), _handles(dims)
    squares = (*stiffeners, *posts)
    return GroupParts(
        plates=(*_panels(dims), *gussets),
        bars=(*corners, *flanges, *(bar for square in squares for bar in square.bars), *handles),
        rows=(*_corner_rows(dims), *_base_rows(dims)),
        welds=(
            *flange_welds(dims, corners, flanges),
            *stiffener_welds(dims, squares),
            *gusset_welds(gussets),
            *handle_welds(handles, stiffeners),
            *(weld for square in squares for weld in square.welds),
        ),
    )


def _panels(dims: Dimensions) -> list[Plate]:
    nose, half, height = dims.nose, dims.front_half, dims.height
    opening = Outline.rectangle(-nose.root_half, nose.low_z, nose.root_half, nose.opening_top)
    face = Outline.rectangle(-half, 0, half, height)
    side = Outline.rectangle(-dims.depth / 2, 0, dims.depth / 2, height)
    x, y = dims.width / 2, dims.depth / 2

    def plate(place: Side, outline: Outline, at: Placement, openings: tuple[Outline, ...] = ()) -> Plate:
        sheet = dims.stock.shell
        return Plate(
            Group.OUTER_BOX,
            (Stand(panel(place), PANELS[place], at),),
            sheet.designation,
            sheet.thickness_mm,
            outline,
            ConcreteFace.OUTLINE,
            (),
            openings,
        )

    return [
        plate(Side.FRONT, face, Placement((0, -y, 0), NX, Z), (opening,)),
        plate(Side.BACK, face, Placement((0, y, 0), X, Z)),
        plate(Side.LEFT, side, Placement((x, 0, 0), NY, Z)),
        plate(Side.RIGHT, side, Placement((-x, 0, 0), Y, Z)),
    ]


def panel(side: Side) -> PieceId:
    """The panel of a side."""
    return PieceId(Role.PANEL, (side,))


def _gussets(dims: Dimensions) -> list[Plate]:
    """Gussets under the landings of the bridge legs, if there is one, below each side wall of the leg."""
    if not dims.has_bridge:
        return []
    angle, bridge, sheet = dims.stock.angle, dims.bridge, dims.stock.base
    leg, blunt, snipe = bridge.gusset_leg, sheet.thickness_mm, angle.root_radius_mm + SLACK
    outline = Outline.polygon([(snipe, 0), (leg, 0), (leg, blunt), (blunt, leg), (0, leg), (0, snipe)])
    corner = dims.width / 2 + dims.shell + angle.thickness_mm
    out = []
    for side, sign in SIDES:
        for end, where in ENDS:
            y = where * bridge.gusset_y - sign * sheet.thickness_mm / 2
            at = Placement((sign * corner, y, angle.thickness_mm), (sign, 0, 0), Z)
            out.append(
                Plate(
                    Group.OUTER_BOX,
                    (Stand(PieceId(Role.GUSSET, (side, end)), PANELS[side], at),),
                    sheet.designation,
                    sheet.thickness_mm,
                    outline,
                    ConcreteFace.NONE,
                )
            )
    return out


def _bar(
    dims: Dimensions, piece: PieceId, side: Side, kind: SectionKind, length: Mm, at: Placement, strength: str = ""
) -> Bar:
    """A bar on the panel of a side."""
    section = dims.stock.angle.designation if kind is SectionKind.ANGLE else dims.stock.rod.designation
    return Bar(Group.OUTER_BOX, (Stand(piece, PANELS[side], at),), kind, section, length, strength=strength)


def _corner_flanges(dims: Dimensions) -> list[Bar]:
    """Angles welded to the side panels, one leg in the plane of the front or back panel's concrete face."""
    out = []
    for side, sx in SIDES:
        for end, sy in ENDS:
            heel = (sx * (dims.width / 2 + dims.shell), sy * dims.depth / 2, 0.0)
            along_x, along_y = (sx, 0.0, 0.0), (0.0, -sy, 0.0)
            x, y = (along_x, along_y) if sx * -sy > 0 else (along_y, along_x)
            piece = PieceId(Role.CORNER_FLANGE, (end, side))
            out.append(_bar(dims, piece, side, SectionKind.ANGLE, dims.height, Placement(heel, x, y)))
    return out


def _base_flanges(dims: Dimensions) -> list[Bar]:
    out = []
    for end, sign in ENDS:
        half = dims.front_half
        at = Placement((-sign * half, sign * (dims.depth / 2 + dims.shell), 0), (0, sign, 0), Z)
        out.append(_bar(dims, PieceId(Role.BASE_FLANGE, (end,)), end, SectionKind.ANGLE, 2 * half, at))
    half = side_flange_half(dims)
    for side, sign in SIDES:
        at = Placement((sign * (dims.width / 2 + dims.shell), sign * half, 0), (sign, 0, 0), Z)
        out.append(_bar(dims, PieceId(Role.BASE_FLANGE, (side,)), side, SectionKind.ANGLE, 2 * half, at))
    return out


def side_flange_half(dims: Dimensions) -> Mm:
    """Half length of what fits between the corner flanges of a side panel."""
    return dims.depth / 2 - dims.stock.angle.leg_mm - dims.spec.shop.weld_gap


def _front_stiffener_half(dims: Dimensions) -> Mm:
    """Half length of a front or back stiffener: it stops short of the heads and sockets of the corner bolts."""
    bolts = dims.bolting
    return dims.width / 2 + dims.shell + bolts.gauge - bolts.socket_radius - dims.spec.shop.weld_gap


def _square(dims: Dimensions, piece: PieceId, side: Side, length: Mm, at: Placement) -> SquareBar:
    return SquareBar(piece, PANELS[side], Group.OUTER_BOX, dims.stock.tube, length, at)


def _stiffeners(dims: Dimensions) -> list[SquareBar]:
    tube = dims.stock.tube.side_mm
    out = []
    front, side = _front_stiffener_half(dims), side_flange_half(dims)
    for number, z in enumerate(dims.stiffener_z, 1):
        for end, sign in ENDS:
            if end is Side.FRONT and z not in dims.front_stiffener_z:
                continue
            y = sign * (dims.depth / 2 + dims.shell + tube / 2)
            at = Placement((-front, y, z), Y, Z)
            out.append(_square(dims, PieceId(Role.STIFFENER, (end,), number), end, 2 * front, at))
        for name, sign in SIDES:
            x = sign * (dims.width / 2 + dims.shell + tube / 2)
            at = Placement((x, -side, z), Z, X)
            out.append(_square(dims, PieceId(Role.STIFFENER, (name,), number), name, 2 * side, at))
    return out


def _nose_posts(dims: Dimensions) -> list[SquareBar]:
    """Posts beside the nose, where no stiffener can cross the front panel."""
    posts = dims.nose_posts
    if posts is None:
        return []
    y = -(dims.depth / 2 + dims.shell + dims.stock.tube.side_mm / 2)
    out = []
    for name, sign in SIDES:
        at = Placement((sign * posts.x, y, posts.low), X, Y)
        piece = PieceId(Role.NOSE_POST, (Side.FRONT, name))
        out.append(_square(dims, piece, Side.FRONT, posts.high - posts.low, at))
    return out


def _handles(dims: Dimensions) -> list[Bar]:
    """Two upright rods on each panel, from stiffener to stiffener; the hand goes behind them."""
    tube, rod = dims.stock.tube.side_mm, dims.stock.rod.diameter_mm
    above_nose = [z for z in dims.front_stiffener_z if z > dims.nose.lid_z]
    low, high = min(itertools.pairwise(above_nose), key=lambda pair: (abs(sum(pair) / 2 - dims.height / 2), pair))
    start, length = low - tube / 4, high - low + tube / 2
    off = dims.shell + tube + rod / 2
    kind = SectionKind.THREADED_ROD if dims.handle_is_bolt else SectionKind.ROD
    strength = dims.stock.handle_class(dims.spec.steel.bolt_class)
    out = []
    for number, part in ((1, -0.5), (2, 0.5)):
        for end, sign in ENDS:
            at = Placement((part * _front_stiffener_half(dims), sign * (dims.depth / 2 + off), start), X, Y)
            out.append(_bar(dims, PieceId(Role.HANDLE, (end,), number), end, kind, length, at, strength))
        for side, sign in SIDES:
            at = Placement((sign * (dims.width / 2 + off), part * side_flange_half(dims), start), X, Y)
            out.append(_bar(dims, PieceId(Role.HANDLE, (side,), number), side, kind, length, at, strength))
    return out


def _corner_rows(dims: Dimensions) -> list[BoltRow]:
    bolts, out = dims.bolting, []
    for end, sy in ENDS:
        for side, sx in SIDES:
            x = sx * (dims.width / 2 + dims.shell + bolts.gauge)
            y = sy * (dims.depth / 2 + dims.shell)
            out.append(
                BoltRow(
                    id=RowId(RowRole.CORNER, (end, side)),
                    bolt=dims.stock.bolt.designation,
                    points=tuple((x, y, z) for z in bolts.corner_z),
                    axis=(0.0, -sy, 0.0),
                    members=(panel(end), PieceId(Role.CORNER_FLANGE, (end, side))),
                    grip=dims.shell + dims.stock.angle.thickness_mm,
                    hole=bolts.hole,
                )
            )
    return out


def _base_rows(dims: Dimensions) -> list[BoltRow]:
    bolts, top = dims.bolting, dims.stock.angle.thickness_mm
    out = []
    for end, sign in ENDS:
        y = sign * (dims.depth / 2 + dims.shell + bolts.gauge)
        points = tuple((x, y, top) for x in bolts.front_x)
        out.append(_base_row(dims, end, points))
    for side, sign in SIDES:
        x = sign * (dims.width / 2 + dims.shell + bolts.gauge)
        points = tuple((x, y, top) for y in bolts.side_y)
        out.append(_base_row(dims, side, points))
    return out


def _base_row(dims: Dimensions, side: Side, points: tuple[Vec, ...]) -> BoltRow:
    members = (PieceId(Role.BASE_FLANGE, (side,)), PieceId(Role.BASE_PLATE))
    grip = dims.stock.angle.thickness_mm + dims.base
    row = RowId(RowRole.BASE, (side,))
    return BoltRow(row, dims.stock.bolt.designation, points, NZ, members, grip, dims.bolting.hole)
