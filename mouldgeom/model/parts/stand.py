"""The stand that the filled mould is turned in where no hoist takes it: two trestles, each with a saddle for a pin.

The mould is put together and filled between the trestles, its pins in the saddles, its runners on blocks and wedges.
The wedges out, it hangs on its pins; a rod through saddle and pin plate of each side locks it, as it is cast and half a
turn on.  Two ties are bolted to the feet: off, each trestle slides out sideways.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.outline import QUARTER, Outline, Vertex
from mouldgeom.geometry.placement import Placement, Vec
from mouldgeom.identity import STAND, PieceId, Role, RowId, RowRole, Side
from mouldgeom.model.joints import TOUCHES, GroupParts, Root, SeamKind, Seat, Weld, WeldRole, toe_and_heel
from mouldgeom.model.parts.axes import ENDS, SIDES, X, Y, Z
from mouldgeom.model.parts.boxes import SquareBar
from mouldgeom.model.parts.trunnions import upright_plate
from mouldgeom.model.shapes import (
    Bar,
    BoltRow,
    Group,
    Hole,
    HolePurpose,
    Plate,
    SectionKind,
    Stand,
)
from mouldgeom.model.turning_places import (
    CHEEK,
    CLEAT,
    HORN,
    LAP,
    LOCK_GRIP,
    PIN_FIT,
    PITCH,
    RIM,
    Trestles,
    Trunnions,
    cheek_foot,
    flat,
    lock_hole,
    place_trestles,
    post_top,
    saddle_half,
)
from mouldgeom.units import Mm


def stand(dims: Dimensions, at: Trunnions) -> GroupParts:
    """Describe trestles, ties and lock rods; nothing where a hoist takes the mould."""
    if at.hoisted:
        return GroupParts()
    made = place_trestles(dims, at)
    posts, feet = _posts(dims, at, made), _feet(dims, at, made)
    saddles, cheeks = _saddles(dims, at, made), _cheeks(dims, at, made)
    cleats, ties, rows = _ties(dims, at, made)
    squares = (*posts, *feet)
    return GroupParts(
        plates=(*saddles, *cheeks),
        bars=(*(bar for one in squares for bar in one.bars), *cleats, *ties, *(_lock(at, *one) for one in SIDES)),
        rows=tuple(rows),
        welds=(
            *(weld for post in posts for weld in _post_welds(at, made, post)),
            *(weld for post in posts for weld in _cheek_welds(dims, at, made, post)),
            *(_cleat_weld(dims, made, cleat) for cleat in cleats),
            *(weld for one in squares for weld in one.welds),
        ),
        seats=tuple(seat for side, sign in SIDES for seat in _seats(at, side, sign)),
    )


def _square(dims: Dimensions, piece: PieceId, length: Mm, at: Placement) -> SquareBar:
    return SquareBar(piece, STAND, Group.TURNING, dims.stock.tube, length, at)


def _posts(dims: Dimensions, at: Trunnions, made: Trestles) -> list[SquareBar]:
    low = made.ground + dims.stock.tube.side_mm
    return [
        _square(dims, PieceId(Role.STAND_POST, (side,)), post_top(at) - low,
                Placement((sign * made.post_x, at.y, low), X, Y))
        for side, sign in SIDES
    ]  # fmt: skip


def _feet(dims: Dimensions, at: Trunnions, made: Trestles) -> list[SquareBar]:
    level = made.ground + dims.stock.tube.side_mm / 2
    return [
        _square(dims, PieceId(Role.STAND_FOOT, (side,)), 2 * made.foot_half,
                Placement((sign * made.post_x, at.y - made.foot_half, level), Z, X))
        for side, sign in SIDES
    ]  # fmt: skip


def _saddles(dims: Dimensions, at: Trunnions, made: Trestles) -> list[Plate]:
    """Plates with a round notch that the pin lies in, on the inner side of the posts."""
    wide, notch, low = saddle_half(dims, at), at.diameter / 2 + PIN_FIT, post_top(at) - LAP - at.z
    horn = at.diameter / 2 + PIN_FIT + HORN
    outline = Outline(
        (
            Vertex(-wide, low), Vertex(wide, low), Vertex(wide, horn), Vertex(notch, horn),
            Vertex(notch, PIN_FIT, -QUARTER), Vertex(0.0, PIN_FIT - notch, -QUARTER), Vertex(-notch, PIN_FIT),
            Vertex(-notch, horn), Vertex(-wide, horn),
        )
    )  # fmt: skip
    lock = Hole(0.0, -at.lock_down, lock_hole(at), HolePurpose.PIN)
    inner = made.post_x - dims.stock.tube.side_mm / 2 - at.sheet.thickness_mm
    return [
        upright_plate(at, PieceId(Role.SADDLE, (side,)), STAND, (sign * inner, at.y, at.z), outline, lock)
        for side, sign in SIDES
    ]


def _cheeks(dims: Dimensions, at: Trunnions, made: Trestles) -> list[Plate]:
    """Plates on both sides of post and foot, which hold the post upright both ways."""
    tube, low = dims.stock.tube.side_mm, cheek_foot(dims)
    wide, narrow = tube / 2 + CHEEK, tube / 2 + RIM
    outline = Outline.polygon(
        [(-wide, low), (wide, low), (wide, tube), (narrow, tube + CHEEK), (-narrow, tube + CHEEK), (-wide, tube)]
    )
    out = []
    for side, sign in SIDES:
        for number, x in ((1, made.post_x - tube / 2 - at.sheet.thickness_mm), (2, made.post_x + tube / 2)):
            piece = PieceId(Role.STAND_CHEEK, (side,), number)
            out.append(upright_plate(at, piece, STAND, (sign * x, at.y, made.ground), outline))
    return out


def _ties(dims: Dimensions, at: Trunnions, made: Trestles) -> tuple[list[Bar], list[Bar], list[BoltRow]]:
    """Cleats on the feet, ties across, back to back with them, and their bolts."""
    angle, tube = dims.stock.angle, dims.stock.tube.side_mm
    level, outer = made.ground + tube, made.post_x + tube / 2
    cleats, ties, rows = [], [], []

    def bar(piece: PieceId, length: Mm, place: Placement) -> Bar:
        return Bar(Group.TURNING, (Stand(piece, STAND, place),), SectionKind.ANGLE, angle.designation, length)

    for end, way in ENDS:
        y, tie = at.y + way * made.tie_y, PieceId(Role.STAND_TIE, (end,))
        ties.append(bar(tie, 2 * outer, Placement((way * outer, y, level), (0.0, -way, 0.0), Z)))
        for side, sign in SIDES:
            cleat = PieceId(Role.STAND_CLEAT, (side, end))
            start = sign * outer if sign * way < 0 else sign * (outer - CLEAT)
            cleats.append(bar(cleat, CLEAT, Placement((start, y, level), (0.0, way, 0.0), Z)))
            first = (CLEAT - PITCH) / 2
            points: tuple[Vec, ...] = tuple(
                (sign * (outer - x), y - way * angle.thickness_mm, level + angle.gauge_mm)
                for x in (first, first + PITCH)
            )
            row, grip = RowId(RowRole.STAND, (side, end)), 2 * angle.thickness_mm
            members, hole = (tie, cleat), dims.bolting.hole
            rows.append(BoltRow(row, dims.stock.bolt.designation, points, (0.0, way, 0.0), members, grip, hole))
    return cleats, ties, rows


def _lock(at: Trunnions, side: Side, sign: float) -> Bar:
    """A rod through saddle and pin plate; it hangs in its holes."""
    level = at.z - at.lock_down - PIN_FIT / 2
    place = Placement((sign * at.face, at.y, level), (0.0, sign, 0.0), Z)
    stands = (Stand(PieceId(Role.LOCK_ROD, (side,)), STAND, place),)
    length = at.bears - at.face + LOCK_GRIP
    return Bar(Group.TURNING, stands, SectionKind.ROD, at.rod.designation, length)


def _post_welds(at: Trunnions, made: Trestles, post: SquareBar) -> list[Weld]:
    """The saddle along both flats of its post and across; the post's foot on two sides, between the cheeks."""
    saddle, foot = PieceId(Role.SADDLE, post.piece.place), PieceId(Role.STAND_FOOT, post.piece.place)
    inward: Vec = (-1.0 if post.at.origin[0] > 0 else 1.0, 0.0, 0.0)
    x, y, low = post.at.origin
    side, radius = x + inward[0] * post.half, post.tube.outer_radius_mm
    wide = min(post.flat(inward, Y), post.flat(inward, (0.0, -1.0, 0.0)))
    start, end = post_top(at) - LAP, post_top(at)
    along: tuple[Root, ...] = tuple(((side, y + w, start), (side, y + w, end)) for w in (-wide, wide))
    across: Root = ((side, y - wide, start), (side, y + wide, start))
    flats: tuple[Root, ...] = tuple(((x - wide, y + w, low), (x + wide, y + w, low)) for w in (-post.half, post.half))
    return [
        Weld(WeldRole.SADDLE_ALONG, (saddle, post.piece), along, SeamKind.FLARE, TOUCHES, True, radius=radius,
             bears=True),
        Weld(WeldRole.SADDLE_ACROSS, (saddle, post.piece), (across,), SeamKind.FILLET, TOUCHES, through=True),
        Weld(WeldRole.POST_TO_FOOT, (post.piece, foot), flats, SeamKind.FILLET, TOUCHES, through=True),
    ]  # fmt: skip


def _cheek_welds(dims: Dimensions, at: Trunnions, made: Trestles, post: SquareBar) -> Iterator[Weld]:
    """Each cheek along both flats of its post and across, and along its lower edge on the foot."""
    (side,), (x, y, low), radius = post.piece.place, post.at.origin, post.tube.outer_radius_mm
    foot, high, wide = PieceId(Role.STAND_FOOT, (side,)), low + CHEEK, flat(dims)
    reach, under = post.half + CHEEK, made.ground + cheek_foot(dims)
    for number, away in ((1, -post.half), (2, post.half)):
        cheek, on = PieceId(Role.STAND_CHEEK, (side,), number), x + math.copysign(away, x * away)
        along: tuple[Root, ...] = tuple(((on, y + w, low), (on, y + w, high)) for w in (-wide, wide))
        across: Root = ((on, y - wide, high), (on, y + wide, high))
        lower: Root = ((on, y - reach, under), (on, y + reach, under))
        for role, other, roots, kind in (
            (WeldRole.CHEEK_ALONG, post.piece, along, SeamKind.FLARE),
            (WeldRole.CHEEK_ACROSS, post.piece, (across,), SeamKind.FILLET),
            (WeldRole.CHEEK_TO_FOOT, foot, (lower,), SeamKind.FILLET),
        ):
            flare = kind is SeamKind.FLARE
            yield Weld(role, (cheek, other), roots, kind, TOUCHES, True, radius=radius * flare, bears=flare)


def _cleat_weld(dims: Dimensions, made: Trestles, cleat: Bar) -> Weld:
    """Toe and heel of a cleat's level leg, as far as it lies on the flat of its foot."""
    piece = cleat.stands[0].id
    middle = made.post_x if piece.place[0] is Side.LEFT else -made.post_x
    near, far = middle - flat(dims), middle + flat(dims)
    roots = tuple(((near, *start[1:]), (far, *end[1:])) for start, end in toe_and_heel(cleat, "x"))
    foot = PieceId(Role.STAND_FOOT, piece.place[:1])
    return Weld(WeldRole.CLEAT_TO_FOOT, (piece, foot), roots, SeamKind.FILLET, TOUCHES, through=True, at_edge=True)


def _seats(at: Trunnions, side: Side, sign: float) -> tuple[Seat, Seat]:
    """The pin in its saddle, the lock rod in its hole."""
    saddle, bottom = PieceId(Role.SADDLE, (side,)), at.diameter / 2
    return (
        Seat((PieceId(Role.TRUNNION, (side,)), saddle), ((sign * at.bears, at.y, at.z - bottom),)),
        Seat((PieceId(Role.LOCK_ROD, (side,)), saddle),
             ((sign * at.bears, at.y, at.z - at.lock_down - PIN_FIT / 2 - bottom),)),
    )  # fmt: skip
