"""The extraction gear: a bridge of two beams on two legs, and the jack screw that draws the core.

It is fitted after the filter has been turned upright.  The legs pass the notches of the base plate and stand on the
side base flanges; the screw hangs in the washer plate across the beams and pulls the nut on the anchor plate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from mouldgeom.design.dimensions import PLATE_OVERHANG, Dimensions
from mouldgeom.geometry.outline import Outline
from mouldgeom.geometry.placement import Placement, add
from mouldgeom.identity import BRIDGE, CORE, SCREW, PieceId, Role
from mouldgeom.model.joints import TOUCHES, GroupParts, SeamKind, Seat, Weld, WeldRole, ring
from mouldgeom.model.parts.axes import ENDS, NX, NY, NZ, SIDES, X, Y, Z
from mouldgeom.model.parts.boxes import SquareBar
from mouldgeom.model.shapes import (
    Bar,
    ConcreteFace,
    Fastener,
    FastenerKind,
    Group,
    Hole,
    HolePurpose,
    Plate,
    SectionKind,
    Stand,
)
from mouldgeom.strength_classes import strength_class, welded_class
from mouldgeom.units import Mm


def bridge_and_screw(dims: Dimensions) -> GroupParts:
    """Describe the bridge, the jack screw and its nuts and washer."""
    plates, legs, beams = _plates(dims), _legs(dims), _beams(dims)
    made = (*legs, *beams)
    return GroupParts(
        plates=tuple(plates),
        bars=(*(bar for square in made for bar in square.bars), _screw(dims)),
        fasteners=tuple(_fasteners(dims)),
        welds=(
            *map(_leg_weld, legs),
            *(weld for plate in plates for beam in beams for weld in _plate_on_beam(plate, beam)),
            *(weld for square in made for weld in square.welds),
        ),
        seats=tuple(_seats(dims, legs)),
    )


def _beam_top(dims: Dimensions) -> Mm:
    return -dims.bridge.leg_length - dims.base


def _washer_face(dims: Dimensions) -> Mm:
    """Outer face of the washer plate, that the washer turns on."""
    return _beam_top(dims) - dims.stock.tube.side_mm - dims.base


def washer_plate_width(dims: Dimensions) -> Mm:
    """Width of the washer plate along the beams: beyond the tube, and beyond the washer that bends it at its hole."""
    return max(dims.bridge.plate_width, dims.stock.jack.washer_outside_mm + 2 * PLATE_OVERHANG)


def _plates(dims: Dimensions) -> list[Plate]:
    bridge, sheet = dims.bridge, dims.stock.base
    half_y = bridge.beam_y + dims.stock.tube.side_mm / 2

    def plate(piece: PieceId, x: Mm, z: Mm, width: Mm, holes: tuple[Hole, ...] = ()) -> Plate:
        outline = Outline.rectangle(-width / 2, -half_y, width / 2, half_y)
        stands = (Stand(piece, BRIDGE, Placement((x, 0.0, z), X, Y)),)
        face = ConcreteFace.NONE
        return Plate(Group.EXTRACTION, stands, sheet.designation, sheet.thickness_mm, outline, face, holes)

    caps = [
        plate(PieceId(Role.BRIDGE_CAP, (name,)), sign * bridge.leg_x, -bridge.leg_length, bridge.plate_width)
        for name, sign in SIDES
    ]
    hole = Hole(0.0, 0.0, bridge.screw_hole, HolePurpose.SCREW)
    level = _beam_top(dims) - dims.stock.tube.side_mm
    return [*caps, plate(PieceId(Role.WASHER_PLATE), 0.0, level, washer_plate_width(dims), (hole,))]


def _square(dims: Dimensions, piece: PieceId, length: Mm, at: Placement) -> SquareBar:
    return SquareBar(piece, BRIDGE, Group.EXTRACTION, dims.stock.tube, length, at)


def _legs(dims: Dimensions) -> list[SquareBar]:
    bridge, out = dims.bridge, []
    for side, sign in SIDES:
        at = Placement((sign * bridge.leg_x, 0.0, -bridge.leg_length), X, Y)
        out.append(_square(dims, PieceId(Role.BRIDGE_LEG, (side,)), bridge.leg_length, at))
    return out


def _beams(dims: Dimensions) -> list[SquareBar]:
    bridge, out = dims.bridge, []
    z = _beam_top(dims) - dims.stock.tube.side_mm / 2
    for end, sign in ENDS:
        at = Placement((-bridge.beam_length / 2, sign * bridge.beam_y, z), Y, Z)
        out.append(_square(dims, PieceId(Role.BRIDGE_BEAM, (end,)), bridge.beam_length, at))
    return out


def _screw(dims: Dimensions) -> Bar:
    bridge = dims.bridge
    return Bar(
        Group.EXTRACTION,
        (Stand(PieceId(Role.JACK_SCREW), SCREW, Placement((0.0, 0.0, bridge.screw_bottom), X, Y)),),
        SectionKind.THREADED_ROD,
        dims.stock.jack.designation,
        bridge.screw_top - bridge.screw_bottom,
        strength=dims.spec.steel.screw_class,
    )


def _leg_weld(leg: SquareBar) -> Weld:
    """The foot of a leg on its cap, along the four flats."""
    roots = []
    for normal, across in ((X, Y), (NX, NY), (Y, X), (NY, NX)):
        side, back = add(leg.at.origin, normal, leg.half), add((0.0, 0.0, 0.0), across, -1.0)
        roots.append((add(side, back, leg.flat(normal, back)), add(side, across, leg.flat(normal, across))))
    pieces = leg.piece, PieceId(Role.BRIDGE_CAP, leg.piece.place)
    return Weld(WeldRole.LEG_TO_CAP, pieces, tuple(roots), SeamKind.FILLET, TOUCHES, through=True)


def _plate_on_beam(plate: Plate, beam: SquareBar) -> tuple[Weld, Weld]:
    """Across the beam at both edges of the plate, and along the beam's outer side."""
    x0, _, x1, _ = plate.outline.bounds
    at, (start, y, level) = plate.placements[0], beam.at.origin
    low = max(at.to_casting((x0, 0.0, 0.0))[0], start)
    high = min(at.to_casting((x1, 0.0, 0.0))[0], start + beam.length)
    face = Z if at.origin[2] > level else NZ
    z = level + math.copysign(beam.half, at.origin[2] - level)
    near, far = y - beam.flat(face, NY), y + beam.flat(face, Y)
    flank = far if y > 0 else near
    across = tuple(((x, near, z), (x, far, z)) for x in (low, high))
    pieces, gaps = (plate.stands[0].id, beam.piece), TOUCHES
    washer = pieces[0].role is Role.WASHER_PLATE
    roles = (
        (WeldRole.WASHER_PLATE_ACROSS, WeldRole.WASHER_PLATE_ALONG)
        if washer
        else (WeldRole.CAP_ACROSS, WeldRole.CAP_ALONG)
    )
    radius = beam.tube.outer_radius_mm
    return (
        Weld(roles[0], pieces, across, SeamKind.FILLET, gaps, through=True),
        Weld(roles[1], pieces, (((low, flank, z), (high, flank, z)),), SeamKind.FLARE, gaps, True, radius=radius),
    )


def _fasteners(dims: Dimensions) -> list[Fastener]:
    jack, face = dims.stock.jack, _washer_face(dims)
    down = (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)  # local z points down
    washer = jack.washer_thickness_mm

    given = dims.spec.steel.screw_class
    welded = welded_class(given, jack)

    def bought(role: Role, kind: FastenerKind, length: Mm, at: Placement, strength: str = "") -> Fastener:
        unit = CORE if role is Role.ANCHOR_NUT else SCREW
        stands = (Stand(PieceId(role), unit, at),)
        return Fastener(Group.FASTENERS, stands, kind, jack.designation, length, strength=strength)

    def nut(role: Role, at: Placement, screw: str = given) -> Fastener:
        return bought(role, FastenerKind.NUT, jack.nut_height_mm, at, strength_class(screw, jack).nut)

    return [
        nut(Role.ANCHOR_NUT, Placement((0.0, 0.0, dims.bridge.anchor_z), X, Y), welded),
        bought(Role.JACK_WASHER, FastenerKind.WASHER, washer, Placement((0.0, 0.0, face), *down)),
        nut(Role.DRIVE_NUT, Placement((0.0, 0.0, face - washer), *down)),
        nut(Role.LOCK_NUT, Placement((0.0, 0.0, face - washer - jack.nut_height_mm), *down)),
    ]


def _seats(dims: Dimensions, legs: Sequence[SquareBar]) -> list[Seat]:
    """Three nuts on the screw; drive nut on washer on washer plate; the legs on the base flanges of the sides."""
    jack, face = dims.stock.jack, _washer_face(dims)
    screw, washer = PieceId(Role.JACK_SCREW), PieceId(Role.JACK_WASHER)
    drive = face - jack.washer_thickness_mm
    nuts = (
        (Role.ANCHOR_NUT, dims.bridge.anchor_z + jack.nut_height_mm / 2),
        (Role.DRIVE_NUT, drive - jack.nut_height_mm / 2),
        (Role.LOCK_NUT, drive - jack.nut_height_mm - jack.nut_height_mm / 2),
    )
    out = [Seat((PieceId(role), screw), ring(jack.diameter_mm / 2, z)) for role, z in nuts]
    bears = (dims.bridge.screw_hole + jack.across_flats_mm) / 4
    out.append(Seat((PieceId(Role.DRIVE_NUT), washer), ring(bears, drive)))
    out.append(Seat((washer, PieceId(Role.WASHER_PLATE)), ring((bears + jack.washer_outside_mm / 2) / 2, face)))
    for leg in legs:
        wall = leg.half - leg.tube.thickness_mm / 2
        inward = NX if leg.at.origin[0] > 0 else X
        foot = add(add(leg.at.origin, inward, wall), Z, leg.length)
        out.append(Seat((leg.piece, PieceId(Role.BASE_FLANGE, leg.piece.place)), (foot,)))
    return out
