"""What the filled mould is turned by: two pins on the side panels, and bars across the pour face.

The pins stand a little above the filled mould's centre of gravity, in the plane of it: the mould hangs upright as it is
cast, and takes a small push to go round.  Each is welded into a plate across two stiffeners of its side panel.  Where a
hoist takes the mould, a hanger turns on each pin, between two keepers; else the pins rest in the saddles of a stand
(``stand``).  Upside down nothing but the bars holds young concrete in an oiled box.
"""

from __future__ import annotations

import itertools
import math

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.outline import Outline
from mouldgeom.geometry.placement import Placement, Vec
from mouldgeom.identity import CLOSING, PANELS, PieceId, Role, RowId, RowRole, Side, Unit
from mouldgeom.model.joints import TOUCHES, GroupParts, Root, SeamKind, Seat, Weld, WeldRole, toe_and_heel
from mouldgeom.model.parts.axes import ENDS, NY, NZ, SIDES, Y, Z
from mouldgeom.model.parts.outer_box import panel, side_flange_half
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
from mouldgeom.model.turning_places import (
    CHORDS,
    CLIP,
    HANGER_RISE,
    PIN_FIT,
    PLAY,
    RIM,
    SHACKLE_HOLE,
    SHACKLE_WEB,
    Trunnions,
    clip_y,
    flat,
    hanger_half,
    lock_hole,
)
from mouldgeom.units import Mm


def trunnions(dims: Dimensions, at: Trunnions) -> GroupParts:
    """Describe pins, pin plates, keepers and hangers on the side panels, and the closing bars with their clips."""
    clips, bars, rows = _closing(dims)
    return GroupParts(
        plates=tuple(plate for side, sign in SIDES for plate in _plates(at, side, sign)),
        bars=(*(_pin(at, side, sign) for side, sign in SIDES), *clips, *bars),
        rows=tuple(rows),
        welds=(
            *(weld for side, sign in SIDES for weld in _welds(dims, at, side, sign)),
            *(weld for clip in clips for weld in _clip_welds(clip)),
        ),
        seats=tuple(_hanger_seat(at, side, sign) for side, sign in SIDES) if at.hoisted else (),
    )


def upright_plate(at: Trunnions, piece: PieceId, unit: Unit, inner: Vec, outline: Outline, *holes: Hole) -> Plate:
    """A plate that stands beside the mould, square to the pins; ``inner`` is on its face towards the mould."""
    towards = NY if inner[0] > 0 else Y
    stands = (Stand(piece, unit, Placement(inner, towards, Z)),)
    sheet = at.sheet
    return Plate(
        Group.TURNING, stands, sheet.designation, sheet.thickness_mm, outline, ConcreteFace.NONE, tuple(holes)
    )  # fmt: skip


def _pin_hole(at: Trunnions, fit: Mm = PIN_FIT, up: Mm = 0.0) -> Hole:
    return Hole(0.0, up, at.diameter + fit, HolePurpose.PIN)


def _keepers(at: Trunnions) -> tuple[Mm, ...]:
    """From the middle of the mould to the inner face of each keeper of one pin."""
    thick = at.sheet.thickness_mm
    near = at.bears - thick / 2 - PLAY - thick
    return (near, at.bears + thick / 2 + PLAY) if at.hoisted else (near,)


def _plates(at: Trunnions, side: Side, sign: float) -> list[Plate]:
    unit, z = PANELS[side], at.z
    lock = lock_hole(at)
    levels = () if at.hoisted else (at.lock_down, -at.lock_down)
    locks = (Hole(0.0, level, lock, HolePurpose.PIN) for level in levels)
    outline = Outline.rectangle(-at.half, at.low - z, at.half, at.high - z)
    out = [
        upright_plate(
            at, PieceId(Role.PIN_PLATE, (side,)), unit, (sign * at.face, at.y, z), outline, _pin_hole(at), *locks
        )
    ]
    wide = at.diameter / 2 + RIM
    for number, x in enumerate(_keepers(at), 1):
        piece = PieceId(Role.KEEPER, (side,), number)
        square = Outline.rectangle(-wide, -wide, wide, wide)
        out.append(upright_plate(at, piece, unit, (sign * x, at.y, z), square, _pin_hole(at)))
    if at.hoisted:
        wide, inner = hanger_half(at), (sign * (at.bears - at.sheet.thickness_mm / 2), at.y, z)
        outline = Outline.rectangle(-wide, -wide, wide, HANGER_RISE + SHACKLE_HOLE / 2 + SHACKLE_WEB)
        eye = Hole(0.0, HANGER_RISE, SHACKLE_HOLE, HolePurpose.PIN)
        turns = _pin_hole(at, up=PIN_FIT / 2)  # its lower edge bears
        out.append(upright_plate(at, PieceId(Role.HANGER, (side,)), unit, inner, outline, turns, eye))
    return out


def _pin(at: Trunnions, side: Side, sign: float) -> Bar:
    """A pin, from the inner face of its plate outwards."""
    place = Placement((sign * at.face, at.y, at.z), (0.0, sign, 0.0), Z)
    stands = (Stand(PieceId(Role.TRUNNION, (side,)), PANELS[side], place),)
    return Bar(Group.TURNING, stands, SectionKind.ROD, at.rod.designation, at.end - at.face)


def _hanger_seat(at: Trunnions, side: Side, sign: float) -> Seat:
    bottom = (sign * at.bears, at.y, at.z - at.diameter / 2)
    return Seat((PieceId(Role.HANGER, (side,)), PieceId(Role.TRUNNION, (side,))), (bottom,))


def _welds(dims: Dimensions, at: Trunnions, side: Side, sign: float) -> list[Weld]:
    pin, plate, thick = PieceId(Role.TRUNNION, (side,)), PieceId(Role.PIN_PLATE, (side,)), at.sheet.thickness_mm
    loose = (PIN_FIT / 2, PIN_FIT / 2)

    def around(role: WeldRole, other: PieceId, x: Mm) -> Weld:
        points = [
            (sign * x, at.y + at.diameter / 2 * math.cos(turn), at.z + at.diameter / 2 * math.sin(turn))
            for turn in (2 * math.pi * i / CHORDS for i in range(CHORDS + 1))
        ]
        return Weld(role, (pin, other), tuple(itertools.pairwise(points)), SeamKind.FILLET, ((0.0, 0.0), loose), True)

    near, *far = _keepers(at)
    out = [
        around(WeldRole.PIN_TO_PLATE, plate, at.face + thick),
        around(WeldRole.PIN_TO_KEEPER, PieceId(Role.KEEPER, (side,), 1), near),
        *(around(WeldRole.PIN_TO_KEEPER, PieceId(Role.KEEPER, (side,), 2), x + thick) for x in far),
    ]
    for number in at.lines:
        level, run = dims.stiffener_z[number - 1], flat(dims)
        bars = plate, PieceId(Role.STIFFENER, (side,), number)
        low, high = max(at.low, level - run), min(at.high, level + run)
        x = sign * at.face
        sides: tuple[Root, ...] = tuple(((x, at.y + edge, low), (x, at.y + edge, high)) for edge in (-at.half, at.half))
        out.append(Weld(WeldRole.PIN_PLATE_SIDE, bars, sides, SeamKind.FILLET, TOUCHES, through=True))
        for end in (at.low, at.high):
            if level - run <= end <= level + run:
                root: Root = ((x, at.y - at.half, end), (x, at.y + at.half, end))
                out.append(Weld(WeldRole.PIN_PLATE_END, bars, (root,), SeamKind.FILLET, TOUCHES, through=True))
    return out


# ---------------------------------------------------------------- closing bars


def _closing(dims: Dimensions) -> tuple[list[Bar], list[Bar], list[BoltRow]]:
    """Clips on the side panels, level with the pour face, the bars over them, and their bolts."""
    angle, y, top = dims.stock.angle, clip_y(dims), dims.height
    long, out_x = min(CLIP, 2 * (side_flange_half(dims) - y) - 4), dims.width / 2 + dims.shell
    clips, bars, rows = [], [], []

    def bar(piece: PieceId, unit: Unit, length: Mm, at: Placement) -> Bar:
        return Bar(Group.TURNING, (Stand(piece, unit, at),), SectionKind.ANGLE, angle.designation, length)

    for end, way in ENDS:
        bar_id = PieceId(Role.CLOSING_BAR, (end,))
        half = out_x + angle.leg_mm
        heel = (-way * half, way * (y - angle.gauge_mm), top)
        bars.append(bar(bar_id, CLOSING, 2 * half, Placement(heel, (0.0, way, 0.0), Z)))
        for side, sign in SIDES:
            piece = PieceId(Role.CLOSING_CLIP, (end, side))
            start = (sign * out_x, way * y - sign * long / 2, top)
            clips.append(bar(piece, PANELS[side], long, Placement(start, (sign, 0.0, 0.0), NZ)))
            point = (sign * (out_x + angle.gauge_mm), way * y, top + angle.thickness_mm)
            row, grip = RowId(RowRole.CLOSING, (end, side)), 2 * angle.thickness_mm
            members, hole = (bar_id, piece), dims.bolting.hole
            rows.append(BoltRow(row, dims.stock.bolt.designation, (point,), NZ, members, grip, hole))
    return clips, bars, rows


def _clip_welds(clip: Bar) -> tuple[Weld, Weld]:
    """Toe and heel of a clip's leg on the side panel."""
    toe, heel = toe_and_heel(clip, "y")
    pieces = clip.stands[0].id, panel(clip.stands[0].id.place[1])
    return (
        Weld(WeldRole.CLIP_TOE, pieces, (toe,), SeamKind.FILLET, TOUCHES, through=True, at_edge=True),
        Weld(WeldRole.CLIP_HEEL, pieces, (heel,), SeamKind.EDGE, TOUCHES, through=True, flush=True),
    )
