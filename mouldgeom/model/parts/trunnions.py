"""What the filled mould is turned by: two pins on the side panels, and bars across the pour face.

The pins stand a little above the filled mould's centre of gravity, in the plane of it: the mould hangs upright as it is
cast, and takes a small push to go round.  Each is welded into a plate across two stiffeners of its side panel.  Where a
hoist takes the mould, a hanger turns on each pin, between two keepers; else the pins rest in the saddles of a stand
(``stand``).  Upside down nothing but the bars holds young concrete in an oiled box.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mouldgeom import tables
from mouldgeom.design.bought import PairOfAngles
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
from mouldgeom.model.weights import Lump, combined, part_lump
from mouldgeom.rules import fillet_leg_least, lifting, pins
from mouldgeom.tables import Rod, SheetSize
from mouldgeom.units import GRAVITY, Kg, Mm, Newton

ABOVE: Final[Mm] = 15.0
"""Pins above the centre of gravity of the filled mould: it hangs upright, and goes round by hand (own rule)."""
SWEEP: Final[Mm] = 10.0
"""From what goes round with the mould to hanger or saddle (own rule)."""
PLAY: Final[Mm] = 2.0
"""Between a keeper and what turns beside it (own rule)."""
LEAST_PIN: Final[Mm] = 15.0
"""No thinner rod makes a pin (own rule)."""
PIN_FIT: Final[Mm] = 1.0
"""Hole less pin (own rule)."""
PLATE_HALF: Final[Mm] = 50.0
"""Half width of a pin plate, where the handles leave room for it (own rule)."""
CLIP: Final[Mm] = 60.0
"""Length of a closing clip, at most (own rule)."""
LOCK_DOWN: Final[Mm] = 60.0
"""From a pin to the rod that locks the mould (own rule)."""
SHACKLE_HOLE: Final[Mm] = 20.0
"""Hole of a hanger for the pin of a shackle of 2 t: 16 to 19 mm (from memory)."""
SHACKLE_PIN: Final[Mm] = 16.0
"""Pin of that shackle (from memory)."""
SHACKLE_WEB: Final[Mm] = 22.0
"""Hanger above that hole (own rule)."""
HANGER_RISE: Final[Mm] = 70.0
"""From the pin up to the shackle (own rule)."""
_EDGE: Final[Mm] = 20.0


@dataclass(frozen=True)
class Trunnions:
    """Where the pins are, in the casting frame, and what they carry.

    Args:
        hoisted: a hoist takes the mould; else it is turned in a stand.
        y, z: axis of the pins.
        rod: what they are cut from.
        sheet: of plates, keepers, hangers and saddles.
        face: from the middle of the mould to the inner face of a pin plate.
        bears: the same to the middle of hanger or saddle.
        end: the same to the end of a pin.
        half, low, high: half width of a pin plate, and its ends.
        lines: numbers of the two stiffeners that it lies across.
        reach: from the axis to the farthest corner of what goes round.
        mass: filled mould.
    """

    hoisted: bool
    y: Mm
    z: Mm
    rod: Rod
    sheet: SheetSize
    face: Mm
    bears: Mm
    end: Mm
    half: Mm
    low: Mm
    high: Mm
    lines: tuple[int, int]
    reach: Mm
    mass: Kg

    @property
    def diameter(self) -> Mm:
        """Of a pin."""
        return self.rod.diameter_mm

    @property
    def lever(self) -> Mm:
        """From the outer face of a pin plate to the middle of hanger or saddle."""
        return self.bears - self.face - self.sheet.thickness_mm


def hoist_takes(dims: Dimensions, mass: Kg) -> bool:
    """Whether the hoist on site lifts the filled mould, starting and stopping included."""
    return lifting.DYNAMIC * mass <= dims.spec.handling.hoist_capacity


def pin_force(mass: Kg) -> Newton:
    """Force on one pin, with the factors on weight and motion."""
    return lifting.LOAD_FACTOR * lifting.DYNAMIC * mass * GRAVITY / 2


def place_trunnions(dims: Dimensions, filled: Lump, corners: Sequence[Vec]) -> Trunnions:
    """Find the pins of a filled mould.

    Args:
        dims: its lengths.
        filled: all that goes round, these parts left out.
        corners: of all that goes round.
    """
    density = dims.stock.steel.density_kg_m3 * 1e-9
    found = _placed(dims, filled, corners)
    for _ in range(3):
        made = trunnions(dims, found)
        parts: tuple[Plate | Bar, ...] = (*made.plates, *made.bars)
        own = (part_lump(part, part.placements[0], density) for part in parts)
        found = _placed(dims, combined([filled, *own]), corners)
    return found


def _placed(dims: Dimensions, filled: Lump, corners: Sequence[Vec]) -> Trunnions:
    stock, hoisted = dims.stock, hoist_takes(dims, filled.mass)
    y, z = round(2 * filled.centre[1]) / 2, float(math.ceil(filled.centre[2] + ABOVE))
    sheet = max((stock.base, stock.ledge), key=lambda one: one.thickness_mm)
    thick, tube, rod = sheet.thickness_mm, stock.tube.side_mm, stock.rod.diameter_mm
    face = dims.width / 2 + dims.shell + tube
    swept = max(face + max(thick, rod), *(abs(x) for x, _, _ in corners))
    inner = swept + SWEEP + PLAY
    bears = inner + thick / 2
    made = _rod(dims, pin_force(filled.mass), bears - face - thick)
    leg = fillet_leg_least(thick, made.diameter_mm)
    outside = inner + thick + (PLAY + thick + leg if hoisted else _EDGE)
    handle = side_flange_half(dims) / 2
    half = min(PLATE_HALF, handle - rod / 2 - leg)
    pair = min(
        itertools.pairwise(enumerate(dims.stiffener_z, 1)),
        key=lambda two: (not two[0][1] <= z <= two[1][1], abs(two[0][1] + two[1][1] - 2 * z)),
    )
    (lower, low), (upper, high) = pair
    end = flat(dims) - leg
    least = LOCK_DOWN + _EDGE
    bar = (0.0, clip_y(dims) - stock.angle.gauge_mm + stock.angle.leg_mm, dims.height + stock.angle.leg_mm)
    reach = max(math.hypot(abs(corner[1]) + abs(y), corner[2] - z) for corner in (bar, *corners))
    return Trunnions(
        hoisted=hoisted, y=y, z=z, rod=made, sheet=sheet, face=face, bears=bears, end=outside, half=half,
        low=min(low - end, z - least), high=max(high + end, z + least), lines=(lower, upper), reach=reach,
        mass=filled.mass,
    )  # fmt: skip


def flat(dims: Dimensions) -> Mm:
    """Half of the flat of a stiffener's outer side, least of tube and two angles."""
    tube = dims.stock.tube
    notch = tube.thickness_mm if isinstance(tube, PairOfAngles) else 0.0
    return tube.side_mm / 2 - tube.outer_radius_mm - notch


def _rod(dims: Dimensions, force: Newton, lever: Mm) -> Rod:
    """The thinnest rod of the tables that bears the force; the thickest where none does."""
    system = dims.stock.bolt.system
    rows = sorted(
        (row for row in tables.rods() if row.system == system and row.diameter_mm >= LEAST_PIN),
        key=lambda row: row.diameter_mm,
    )

    def bears(row: Rod) -> bool:
        steel, size = dims.stock.steel, row.diameter_mm
        moment = pins.pin_moment_resistance(size, steel.at(size).yield_mpa)
        shear = pins.pin_shear_resistance(size, steel.ultimate_mpa)
        return pins.pin_use(force * lever, moment, force, shear) <= 1

    return next(filter(bears, rows), rows[-1])


# ---------------------------------------------------------------- parts


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
    levels = () if at.hoisted else (LOCK_DOWN, -LOCK_DOWN)
    locks = (Hole(0.0, level, lock, HolePurpose.PIN) for level in levels)
    outline = Outline.rectangle(-at.half, at.low - z, at.half, at.high - z)
    out = [
        upright_plate(
            at, PieceId(Role.PIN_PLATE, (side,)), unit, (sign * at.face, at.y, z), outline, _pin_hole(at), *locks
        )
    ]
    wide = at.diameter / 2 + 15
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


def hanger_half(at: Trunnions) -> Mm:
    """Half width of a hanger."""
    return at.diameter / 2 + _EDGE


def lock_hole(at: Trunnions) -> Mm:
    """Hole that a lock rod goes through; the rod is as thick as the pin."""
    return at.diameter + PIN_FIT


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
            for turn in (2 * math.pi * i / 8 for i in range(9))
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


def clip_y(dims: Dimensions) -> Mm:
    """From the middle of a side panel to the middle of a closing clip."""
    return side_flange_half(dims) / 2


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
