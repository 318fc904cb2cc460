"""The nose box on the front panel: two splayed sides, the sloping front between them, and a lid that lifts off.

The lid stops at the outer face of the front panel, so that it lifts straight off; the panel's opening reaches past
the lid's thickness, so that the end of the outlet tube, flush with the outside of the lid, passes it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from mouldgeom.design.dimensions import SLACK, Dimensions
from mouldgeom.geometry.outline import SAME, Outline, Point
from mouldgeom.geometry.placement import Placement, Vec, add
from mouldgeom.identity import LID, NOSE, PieceId, Role, RowId, RowRole, Side
from mouldgeom.model.joints import (
    TOUCH,
    TOUCHES,
    GroupParts,
    SeamKind,
    Weld,
    WeldRole,
    over,
    placed,
    toe_and_heel,
)
from mouldgeom.model.parts.axes import NZ, SIDES, Z
from mouldgeom.model.shapes import (
    Bar,
    BoltRow,
    ConcreteFace,
    Group,
    Hole,
    HolePurpose,
    Plate,
    SectionKind,
    Stand,
)
from mouldgeom.units import Mm


def nose(dims: Dimensions) -> GroupParts:
    """Describe the nose box, its cover and the flanges that the cover is bolted to."""
    sides = tuple(_side(dims, side, sign) for side, sign in SIDES)
    flanges = tuple(_flange(dims, side, sign) for side, sign in SIDES)
    return GroupParts(
        plates=(*sides, _front(dims), _lid(dims)),
        bars=flanges,
        rows=tuple(_row(dims, side, sign) for side, sign in SIDES),
        welds=(*_box_welds(dims), *_flange_welds(dims, flanges, sides)),
    )


def _plate(dims: Dimensions, piece: PieceId, outline: Outline, at: Placement, holes: tuple[Hole, ...] = ()) -> Plate:
    sheet, unit = dims.stock.shell, LID if piece.role is Role.NOSE_LID else NOSE
    stands, face = (Stand(piece, unit, at),), ConcreteFace.OUTLINE
    return Plate(Group.NOSE, stands, sheet.designation, sheet.thickness_mm, outline, face, holes)


def _splay(dims: Dimensions) -> tuple[float, float]:
    angle = math.radians(dims.nose.splay)
    return math.sin(angle), math.cos(angle)


def _slope(dims: Dimensions) -> tuple[float, float]:
    angle = math.radians(dims.nose.slope)
    return math.sin(angle), math.cos(angle)


def _reach(dims: Dimensions) -> Mm:
    """Length of a nose side along its top edge, to the outside of the sloping front."""
    return (dims.nose.root_y - dims.nose.tip_y + dims.shell / _slope(dims)[1]) / _splay(dims)[1]


def _side(dims: Dimensions, side: Side, sign: float) -> Plate:
    """A side runs past the thickness of the sloping front; local x is level, local y up."""
    nose, (sine, cosine) = dims.nose, _splay(dims)
    low = nose.low_z - dims.shell / _slope(dims)[0]
    outline = Outline.polygon([(0, low), (0, nose.lid_z), (sign * _reach(dims), nose.lid_z)])
    at = Placement((sign * nose.root_half, nose.root_y, 0.0), (-sine, -sign * cosine, 0.0), Z)
    return _plate(dims, PieceId(Role.NOSE_SIDE, (side,)), outline, at)


def _front(dims: Dimensions) -> Plate:
    """The sloping front fits between the sides at its outer face, where they are closest."""
    nose, (sine, cosine) = dims.nose, _slope(dims)
    narrow = dims.shell * cosine * math.tan(math.radians(nose.splay))
    length = (nose.lid_z - nose.low_z) / cosine
    low, high = nose.root_half - narrow, nose.tip_half - narrow
    outline = Outline.polygon([(-low, 0), (low, 0), (high, length), (-high, length)])
    at = Placement((0.0, nose.root_y, nose.low_z), (-1.0, 0.0, 0.0), (0.0, -sine, cosine))
    return _plate(dims, PieceId(Role.NOSE_FRONT), outline, at)


def _lid(dims: Dimensions) -> Plate:
    nose, fit = dims.nose, dims.spec.shop.fit_gap
    half = nose.root_half + dims.shell / _splay(dims)[1] + dims.stock.angle.leg_mm
    far = max(
        nose.root_y - nose.tip_y + dims.shell / _slope(dims)[1],
        _flange_length(dims) + dims.spec.shop.weld_gap,
        nose.root_y - _bolt_spot(dims, 1.0)[1] + dims.bolting.edge,
    )
    hole = Hole(0.0, nose.root_y - dims.tube.leg_y, dims.tube.outside + fit, HolePurpose.TUBE)
    at = Placement((0.0, nose.root_y, nose.lid_z), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0))
    return _plate(dims, PieceId(Role.NOSE_LID), Outline.rectangle(-half, fit / 2, half, far), at, (hole,))


def _flange_length(dims: Dimensions) -> Mm:
    """As long as the nose side, and long enough for the bolt in its middle: its end distances, room for a socket."""
    gap = dims.spec.shop.weld_gap
    room = 2 * ((dims.bolting.socket_radius + SLACK) / _splay(dims)[1] - gap)
    return float(max(math.floor(_reach(dims) - gap - dims.shell), math.ceil(room), 2 * dims.bolting.edge))


def _flange_line(dims: Dimensions, sign: float) -> tuple[Vec, Vec, Vec]:
    """Return the heel at the root, the level direction outwards and the direction towards the tip."""
    nose, (sine, cosine) = dims.nose, _splay(dims)
    out, tipward = (sign * cosine, -sine, 0.0), (-sign * sine, -cosine, 0.0)
    heel = add(add((sign * nose.root_half, nose.root_y, nose.lid_z), out, dims.shell), tipward, dims.spec.shop.weld_gap)
    return heel, out, tipward


def _flange(dims: Dimensions, side: Side, sign: float) -> Bar:
    heel, out, tipward = _flange_line(dims, sign)
    length = _flange_length(dims)
    start = add(heel, tipward, length) if sign > 0 else heel
    at = Placement(start, out, NZ)
    stand = Stand(PieceId(Role.NOSE_FLANGE, (side,)), NOSE, at)
    return Bar(Group.NOSE, (stand,), SectionKind.ANGLE, dims.stock.angle.designation, length)


def _bolt_spot(dims: Dimensions, sign: float) -> Vec:
    """Where the lid's bolt stands: in the middle of its flange, on the outside of the lid."""
    heel, out, tipward = _flange_line(dims, sign)
    return add(add(add(heel, out, dims.bolting.gauge), tipward, _flange_length(dims) / 2), Z, dims.shell)


def _row(dims: Dimensions, side: Side, sign: float) -> BoltRow:
    return BoltRow(
        id=RowId(RowRole.LID, (side,)),
        bolt=dims.stock.bolt.designation,
        points=(_bolt_spot(dims, sign),),
        axis=NZ,
        members=(PieceId(Role.NOSE_LID), PieceId(Role.NOSE_FLANGE, (side,))),
        grip=dims.shell + dims.stock.angle.thickness_mm,
        hole=dims.bolting.hole,
    )


def _box_welds(dims: Dimensions) -> list[Weld]:
    """Sides to the panel and to the sloping front, outside; the front's foot to the panel."""
    nose, front, panel = dims.nose, PieceId(Role.NOSE_FRONT), PieceId(Role.PANEL, (Side.FRONT,))
    plate, out = _front(dims), []
    low, foot = nose.low_z - dims.shell / _slope(dims)[0], nose.low_z
    splayed = (dims.shell * _splay(dims)[0],) * 2
    edges = dict(zip((Side.LEFT, Side.RIGHT), _upright_edges(plate), strict=True))
    for side, sign in SIDES:
        piece = PieceId(Role.NOSE_SIDE, (side,))
        x = sign * (nose.root_half + dims.shell / _splay(dims)[1])
        root = (x, nose.root_y, low), (x, nose.root_y, nose.lid_z)
        out.append(
            Weld(
                WeldRole.NOSE_SIDE_TO_PANEL,
                (piece, panel),
                (root,),
                SeamKind.FILLET,
                (splayed, TOUCH),
                through=True,
            )
        )
        a, b = edges[side]
        root = placed(plate.placements[0], (*a, -plate.thickness), (*b, -plate.thickness))
        out.append(Weld(WeldRole.NOSE_FRONT_TO_SIDE, (front, piece), (root,), SeamKind.EDGE, TOUCHES, through=True))
    root = (-nose.root_half, nose.root_y, foot), (nose.root_half, nose.root_y, foot)
    gaps = (0.0, nose.root_half - max(v.x for v in plate.outline.vertices)), TOUCH
    out.append(Weld(WeldRole.NOSE_FRONT_TO_PANEL, (front, panel), (root,), SeamKind.FILLET, gaps, through=True))
    return out


def _upright_edges(plate: Plate) -> tuple[tuple[Point, Point], tuple[Point, Point]]:
    """The two edges of a trapezoid that are not level, from foot to head: at lower x first."""
    ys = sorted(v.y for v in plate.outline.vertices)
    foot, head = (sorted((v.x, v.y) for v in plate.outline.vertices if abs(v.y - y) < SAME) for y in (ys[0], ys[-1]))
    return (foot[0], head[0]), (foot[1], head[1])


def _flange_welds(dims: Dimensions, flanges: Sequence[Bar], sides: Sequence[Plate]) -> list[Weld]:
    """Toe and heel of each flange, as far as they lie over the nose side."""
    out = []
    for flange, plate in zip(flanges, sides, strict=True):
        pieces = flange.stands[0].id, plate.stands[0].id
        toe, heel = (over(root, plate) for root in toe_and_heel(flange, "y"))
        if toe:
            out.append(Weld(WeldRole.NOSE_FLANGE_TOE, pieces, toe, SeamKind.FILLET, TOUCHES, True, at_edge=True))
        if heel:
            out.append(Weld(WeldRole.NOSE_FLANGE_HEEL, pieces, heel, SeamKind.EDGE, TOUCHES, True, flush=True))
    return out
