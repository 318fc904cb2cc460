"""The extraction gear: a bridge of two beams on two legs, and the jack screw that draws the core.

It is fitted after the filter has been turned upright.  The legs pass the notches of the base plate and stand on the
side base flanges; the screw hangs in the washer plate across the beams and pulls the nut on the anchor plate.
"""

from __future__ import annotations

from mouldgeom.dimensions import PLATE_OVERHANG, Dimensions
from mouldgeom.parts.axes import ENDS, SIDES, X, Y, Z
from mouldgeom.parts.boxes import square_bars
from mouldgeom.shapes import (
    Bar,
    ConcreteFace,
    Fastener,
    FastenerKind,
    Group,
    GroupParts,
    Hole,
    HolePurpose,
    Outline,
    Placement,
    Plate,
    SectionKind,
)
from mouldgeom.strength_classes import strength_class, welded_class
from mouldgeom.units import Mm


def extraction(dims: Dimensions) -> GroupParts:
    """Describe the bridge, the jack screw and its nuts and washer."""
    return GroupParts(plates=tuple(_plates(dims)), bars=tuple(_bars(dims)), fasteners=tuple(_fasteners(dims)))


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

    def plate(name: str, x: Mm, z: Mm, width: Mm, holes: tuple[Hole, ...] = ()) -> Plate:
        outline = Outline.rectangle(-width / 2, -half_y, width / 2, half_y)
        at = Placement((x, 0.0, z), X, Y)
        return Plate(
            name, Group.EXTRACTION, sheet.designation, sheet.thickness_mm, outline, (at,), ConcreteFace.NONE, holes
        )

    caps = [
        plate(f"bridge cap, {name}", sign * bridge.leg_x, -bridge.leg_length, bridge.plate_width)
        for name, sign in SIDES
    ]
    hole = Hole(0.0, 0.0, bridge.screw_hole, HolePurpose.SCREW)
    level = _beam_top(dims) - dims.stock.tube.side_mm
    return [*caps, plate("washer plate", 0.0, level, washer_plate_width(dims), (hole,))]


def _bars(dims: Dimensions) -> list[Bar]:
    bridge = dims.bridge
    out: list[Bar] = []
    for name, sign in SIDES:
        at = Placement((sign * bridge.leg_x, 0.0, -bridge.leg_length), X, Y)
        out += square_bars(dims, f"bridge leg, {name}", Group.EXTRACTION, bridge.leg_length, at)
    z = _beam_top(dims) - dims.stock.tube.side_mm / 2
    for name, sign in ENDS:
        at = Placement((-bridge.beam_length / 2, sign * bridge.beam_y, z), Y, Z)
        out += square_bars(dims, f"bridge beam, {name}", Group.EXTRACTION, bridge.beam_length, at)
    out.append(
        Bar(
            "jack screw",
            Group.EXTRACTION,
            SectionKind.THREADED_ROD,
            dims.stock.jack.designation,
            bridge.screw_top - bridge.screw_bottom,
            (Placement((0.0, 0.0, bridge.screw_bottom), X, Y),),
            strength=dims.spec.steel.screw_class,
        )
    )
    return out


def _fasteners(dims: Dimensions) -> list[Fastener]:
    jack, face = dims.stock.jack, _washer_face(dims)
    down = (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)  # local z points down
    washer = jack.washer_thickness_mm

    given = dims.spec.steel.screw_class
    welded = welded_class(given, jack)

    def nut(name: str, at: Placement, screw: str = given) -> Fastener:
        strength = strength_class(screw, jack).nut
        return Fastener(name, FastenerKind.NUT, jack.designation, jack.nut_height_mm, (at,), strength=strength)

    return [
        nut("jack nut, anchor", Placement((0.0, 0.0, dims.anchor_z), X, Y), welded),
        Fastener("jack washer", FastenerKind.WASHER, jack.designation, washer, (Placement((0.0, 0.0, face), *down),)),
        nut("jack nut, drive", Placement((0.0, 0.0, face - washer), *down)),
        nut("jack nut, lock", Placement((0.0, 0.0, face - washer - jack.nut_height_mm), *down)),
    ]
