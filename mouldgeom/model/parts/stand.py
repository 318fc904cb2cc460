"""The stand that the filled mould is turned in where no hoist takes it: two trestles, each with a saddle for a pin.

The mould is put together and filled between the trestles, its pins in the saddles, its runners on blocks and wedges.
The wedges out, it hangs on its pins; a rod through saddle and pin plate of each side locks it, as it is cast and half a
turn on.  Two ties are bolted to the feet: off, each trestle slides out sideways.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.outline import QUARTER, Outline, Vertex
from mouldgeom.geometry.placement import Placement, Vec
from mouldgeom.identity import STAND, PieceId, Role, RowId, RowRole, Side
from mouldgeom.model.joints import TOUCHES, GroupParts, Root, SeamKind, Seat, Weld, WeldRole, toe_and_heel
from mouldgeom.model.parts.axes import ENDS, SIDES, X, Y, Z
from mouldgeom.model.parts.boxes import SquareBar
from mouldgeom.model.parts.trunnions import LOCK_DOWN, PIN_FIT, Trunnions, flat, lock_hole, upright_plate
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
from mouldgeom.model.weights import body_lump
from mouldgeom.rules import lifting
from mouldgeom.units import GRAVITY, Mm, Newton

ROOM: Final[Mm] = 40.0
"""Under the farthest corner while the mould goes round, at least (own rule)."""
OVER_TIES: Final[Mm] = 25.0
"""Over the ties, at least (own rule)."""
PUSHERS: Final = 2
"""People who turn it (own rule)."""
STANDS: Final = 1.5
"""Moment that holds the stand over the moment that tips it (common practice, no source)."""
CHEEK: Final[Mm] = 120.0
"""Cheek above the foot, and beyond the post at each side (own rule)."""
LAP: Final[Mm] = 120.0
"""Saddle on its post (own rule)."""
CLEAT: Final[Mm] = 110.0
"""Length of a cleat, for two bolts (own rule)."""
PITCH: Final[Mm] = 50.0
"""Between the two bolts of a cleat (own rule)."""
_LEG: Final[Mm] = 6.0
"""Room for a fillet."""
_WEDGED: Final[Mm] = 60.0
"""Blocks and wedges under the runners, at least (own rule)."""


@dataclass(frozen=True)
class Trestles:
    """The stand: ``height`` of the pins above the ground, ``ground`` in the casting frame, half length of a foot,
    middle of a post and heels of the ties from the middle of the mould.
    """

    height: Mm
    ground: Mm
    foot_half: Mm
    post_x: Mm
    tie_y: Mm

    def room(self, at: Trunnions) -> Mm:
        """Between the ground and the farthest corner at its lowest."""
        return self.height - at.reach


def team_push(dims: Dimensions) -> Newton:
    """Push of those who turn it, together."""
    who = dims.spec.handling
    return min(who.team, PUSHERS) * lifting.starting_push(who.lifter)


def place_trestles(dims: Dimensions, at: Trunnions) -> Trestles:
    """How high, how long and how far apart: the mould goes round over ground and ties, and the stand does not tip."""
    tube, angle = dims.stock.tube.side_mm, dims.stock.angle
    tie = tube / 2 + CHEEK + angle.leg_mm + dims.spec.shop.weld_gap
    inner = tie - angle.leg_mm
    over_ties = math.sqrt(max(at.reach**2 - inner**2, 0.0)) + tube + angle.leg_mm
    below = at.z + dims.base + tube + _WEDGED
    height = 5.0 * math.ceil(max(at.reach + ROOM, over_ties + OVER_TIES, below) / 5)
    leans = math.radians(dims.spec.handling.slope)
    fresh = body_lump(dims, dims.spec.concrete.unit_weight_fresh * 1000 / GRAVITY).mass
    empty = (at.mass - fresh) * GRAVITY
    held = STANDS * height * (team_push(dims) / empty + math.sin(leans)) / math.cos(leans)
    half = 10.0 * math.ceil(max(held, tie + angle.leg_mm + dims.spec.shop.weld_gap) / 10)
    post = at.bears + at.sheet.thickness_mm / 2 + tube / 2
    return Trestles(height, at.z - height, half, post, tie)


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


def post_top(at: Trunnions) -> Mm:
    """Upper end of a post: the lock rod passes over it."""
    return at.z - LOCK_DOWN - lock_hole(at)


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


def saddle_half(dims: Dimensions, at: Trunnions) -> Mm:
    """Half width of a saddle."""
    return max(dims.stock.tube.side_mm / 2 + 15, at.diameter / 2 + PIN_FIT + 20)


def _saddles(dims: Dimensions, at: Trunnions, made: Trestles) -> list[Plate]:
    """Plates with a round notch that the pin lies in, on the inner side of the posts."""
    wide, notch, low = saddle_half(dims, at), at.diameter / 2 + PIN_FIT, post_top(at) - LAP - at.z
    horn = at.diameter / 2 + PIN_FIT + 12
    outline = Outline(
        (
            Vertex(-wide, low), Vertex(wide, low), Vertex(wide, horn), Vertex(notch, horn),
            Vertex(notch, PIN_FIT, -QUARTER), Vertex(0.0, PIN_FIT - notch, -QUARTER), Vertex(-notch, PIN_FIT),
            Vertex(-notch, horn), Vertex(-wide, horn),
        )
    )  # fmt: skip
    lock = Hole(0.0, -LOCK_DOWN, lock_hole(at), HolePurpose.PIN)
    inner = made.post_x - dims.stock.tube.side_mm / 2 - at.sheet.thickness_mm
    return [
        upright_plate(at, PieceId(Role.SADDLE, (side,)), STAND, (sign * inner, at.y, at.z), outline, lock)
        for side, sign in SIDES
    ]


def cheek_foot(dims: Dimensions) -> Mm:
    """From the ground to the lower edge of a cheek: its weld lies on the flat of the foot."""
    return dims.stock.tube.side_mm / 2 - flat(dims) + _LEG


def _cheeks(dims: Dimensions, at: Trunnions, made: Trestles) -> list[Plate]:
    """Plates on both sides of post and foot, which hold the post upright both ways."""
    tube, low = dims.stock.tube.side_mm, cheek_foot(dims)
    wide, narrow = tube / 2 + CHEEK, tube / 2 + 15
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
    level = at.z - LOCK_DOWN - PIN_FIT / 2
    place = Placement((sign * at.face, at.y, level), (0.0, sign, 0.0), Z)
    stands = (Stand(PieceId(Role.LOCK_ROD, (side,)), STAND, place),)
    length = 10.0 * math.ceil((at.bears - at.face + 100) / 10)
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
             ((sign * at.bears, at.y, at.z - LOCK_DOWN - PIN_FIT / 2 - bottom),)),
    )  # fmt: skip
