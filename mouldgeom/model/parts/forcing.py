"""The forcing screws: they press on the rim of the concrete through the base plate, and push it off with the core.

A nut plate is welded on the outer face of the base plate over each corner of the rim at the sides, with a nut welded on
it.  While casting, a pad of base plate lies on the nut plate, in an opening of the base plate, flush with its face and
taped round.  After the filter has been turned upright a screw is turned into each nut and presses its pad on the rim;
two nuts locked against each other are its head.  The force closes between base plate, core and concrete: nothing leans
on the box.
"""

from __future__ import annotations

from collections.abc import Iterator

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.outline import Outline, Point
from mouldgeom.geometry.placement import Placement
from mouldgeom.identity import BASE, FORCING, PADS, PieceId, Place, Role
from mouldgeom.model.joints import TOUCHES, GroupParts, SeamKind, Seat, Weld, WeldRole, hexagon, placed, ring
from mouldgeom.model.parts.axes import ENDS, SIDES, X, Y
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


def forcing_screws(dims: Dimensions) -> GroupParts:
    """Describe nut plates, pads, screws and nuts, one of each in every corner."""
    places = list(_places(dims))
    nut_plates = [_nut_plate(dims, place, at) for place, at in places]
    return GroupParts(
        plates=(*nut_plates, *(_pad(dims, place, at) for place, at in places)),
        bars=tuple(_screw(dims, place, at) for place, at in places),
        fasteners=tuple(nut for place, at in places for nut in _nuts(dims, place, at)),
        welds=(
            *(_plate_weld(plate) for plate in nut_plates),
            *(_nut_weld(dims, place, at) for place, at in places),
        ),
        seats=tuple(seat for place, at in places for seat in _seats(dims, place, at)),
    )


def _places(dims: Dimensions) -> Iterator[tuple[Place, Point]]:
    for side, sx in SIDES:
        for end, sy in ENDS:
            yield (side, end), (sx * dims.forcing.x, sy * dims.forcing.y)


def _nut_plate(dims: Dimensions, place: Place, at: Point) -> Plate:
    """A nut plate under the base plate; its x runs outwards from the axis of the screw."""
    forcing, sheet = dims.forcing, dims.stock.base
    inner, outer, half = forcing.x - forcing.plate_inner_x, forcing.plate_outer_x - forcing.x, forcing.plate_half_y
    out = 1.0 if at[0] > 0 else -1.0
    return Plate(
        Group.EXTRACTION,
        (Stand(PieceId(Role.NUT_PLATE, place), BASE, Placement((*at, -dims.base), (out, 0.0, 0.0), (0.0, out, 0.0))),),
        sheet.designation,
        sheet.thickness_mm,
        Outline.rectangle(-inner, -half, outer, half),
        ConcreteFace.NONE,
        (Hole(0.0, 0.0, forcing.screw_hole, HolePurpose.FORCING),),
    )


def _pad(dims: Dimensions, place: Place, at: Point) -> Plate:
    forcing, sheet = dims.forcing, dims.stock.base
    x, y = forcing.pad_half_x, forcing.pad_half_y
    return Plate(
        Group.EXTRACTION,
        (Stand(PieceId(Role.THRUST_PAD, place), PADS, Placement((*at, 0.0), X, Y)),),
        sheet.designation,
        sheet.thickness_mm,
        Outline.rectangle(-x, -y, x, y, forcing.pad_radius),
        ConcreteFace.OUTLINE,
    )


def _screw(dims: Dimensions, place: Place, at: Point) -> Bar:
    """A screw whose tip stands on the back of its pad."""
    length = dims.forcing.screw_length
    return Bar(
        Group.EXTRACTION,
        (Stand(PieceId(Role.FORCING_SCREW, place), FORCING, Placement((*at, -dims.base - length), X, Y)),),
        SectionKind.THREADED_ROD,
        dims.stock.jack.designation,
        length,
        strength=dims.spec.steel.screw_class,
    )


def _nuts(dims: Dimensions, place: Place, at: Point) -> Iterator[Fastener]:
    """The welded nut on its plate, and two at the end of the screw, locked against each other."""
    jack, given = dims.stock.jack, dims.spec.steel.screw_class
    high, pitch = jack.nut_height_mm, jack.pitch_mm
    end = -dims.base - dims.forcing.screw_length + pitch
    for role, unit, z, screw in (
        (Role.PLATE_NUT, BASE, -2 * dims.base - high, welded_class(given, jack)),
        (Role.TURNING_NUT, FORCING, end + high, given),
        (Role.LOCKING_NUT, FORCING, end, given),
    ):
        stand = Stand(PieceId(role, place), unit, Placement((*at, z), X, Y))
        strength = strength_class(screw, jack).nut
        yield Fastener(Group.FASTENERS, (stand,), FastenerKind.NUT, jack.designation, high, strength=strength)


def _plate_weld(plate: Plate) -> Weld:
    """A nut plate on the base plate, all round."""
    at = plate.placements[0]
    roots = tuple(placed(at, (a.x, a.y, 0.0), (b.x, b.y, 0.0)) for a, b in plate.outline.edges)
    pieces = plate.stands[0].id, PieceId(Role.BASE_PLATE)
    return Weld(WeldRole.NUT_PLATE_TO_BASE, pieces, roots, SeamKind.FILLET, TOUCHES, through=True, at_edge=True)


def _nut_weld(dims: Dimensions, place: Place, at: Point) -> Weld:
    pieces = PieceId(Role.PLATE_NUT, place), PieceId(Role.NUT_PLATE, place)
    roots = hexagon(dims.stock.jack.across_flats_mm, -2 * dims.base, at)
    return Weld(WeldRole.NUT_TO_PLATE, pieces, roots, SeamKind.FILLET, TOUCHES, through=True)


def _seats(dims: Dimensions, place: Place, at: Point) -> Iterator[Seat]:
    """Three nuts on the screw, its tip on the pad, the pad on its nut plate."""
    jack, forcing, base = dims.stock.jack, dims.forcing, dims.base
    screw, pad = PieceId(Role.FORCING_SCREW, place), PieceId(Role.THRUST_PAD, place)
    end, high = -base - forcing.screw_length + jack.pitch_mm, jack.nut_height_mm
    for role, z in (
        (Role.PLATE_NUT, -2 * base - high),
        (Role.TURNING_NUT, end + high),
        (Role.LOCKING_NUT, end),
    ):
        yield Seat((PieceId(role, place), screw), ring(jack.diameter_mm / 2, z + high / 2, centre=at))
    yield Seat((screw, pad), ((*at, -base),))
    lap = (forcing.screw_hole / 2 + forcing.pad_half_x) / 2
    yield Seat((pad, PieceId(Role.NUT_PLATE, place)), ring(lap, -base, centre=at))
