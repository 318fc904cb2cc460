"""The core: four drafted walls, ledge strips over their rim end, end plate, diaphragms and anchor plate.

Front and back walls and strips run full width; left and right ones stand between them.  Plates with square-cut edges
stand off their neighbours by at most thickness x sin(draft), and never dip into them.
"""

from __future__ import annotations

import math

from mouldgeom.dimensions import Dimensions
from mouldgeom.parts.axes import X, Y, Z
from mouldgeom.shapes import (
    ConcreteFace,
    Group,
    GroupParts,
    Hole,
    HolePurpose,
    Outline,
    Placement,
    Plate,
    Vec,
    add,
    cross,
)
from mouldgeom.sides import OUTWARDS
from mouldgeom.tables import Sheet
from mouldgeom.units import Mm


def core(dims: Dimensions) -> GroupParts:
    """Describe every part of the core."""
    walls = [_wall(dims, name, out) for name, out in OUTWARDS.items()]
    strips = [_strip(dims, name, out) for name, out in OUTWARDS.items()]
    anchor = _inner_plate(dims, "anchor plate", dims.stock.base, dims.anchor_z)
    diaphragms = [
        _inner_plate(dims, f"diaphragm {number}", dims.stock.shell, z) for number, z in enumerate(dims.diaphragm_z, 1)
    ]
    return GroupParts(plates=(*walls, *strips, _end_plate(dims), anchor, *diaphragms))


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


def _in_concrete(name: str, sheet: Sheet, outline: Outline, at: Placement) -> Plate:
    """A plate of the core whose outline lies on its concrete face."""
    return Plate(name, Group.CORE, sheet.designation, sheet.thickness_mm, outline, (at,), ConcreteFace.OUTLINE)


def _wall(dims: Dimensions, name: str, out: Vec) -> Plate:
    """A wall: its foot stands off the base plate at the concrete face so that the inner edge just touches."""
    low = dims.shell * math.sin(math.radians(dims.draft))
    high = dims.end_z - dims.shell
    if out[0] == 0:
        reach, half_low, half_high = dims.core_half_y(0), dims.core_half_x(low), dims.core_half_x(high)
    else:
        reach = dims.core_half_x(0)
        half_low, half_high = (dims.core_half_y(z) - dims.wall_inset for z in (low, high))
    outline = _trapezoid(dims, low, high, half_low, half_high)
    return _in_concrete(f"core wall, {name}", dims.stock.shell, outline, _drafted(dims, out, reach))


def _strip(dims: Dimensions, name: str, out: Vec) -> Plate:
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
    return _in_concrete(f"ledge strip, {name}", dims.stock.ledge, outline, _drafted(dims, out, reach))


def _end_plate(dims: Dimensions) -> Plate:
    """The end plate covers the wall ends; it makes the floor of the filter."""
    z = dims.end_z
    x, y = dims.core_half_x(z), dims.core_half_y(z)
    return _in_concrete("end plate", dims.stock.shell, Outline.rectangle(-x, -y, x, y), Placement((0.0, 0.0, z), X, Y))


def _inner_plate(dims: Dimensions, name: str, sheet: Sheet, z: Mm) -> Plate:
    """A plate across the inside of the core, its top at z: it goes in with clearance, corners snipped for the welds."""
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
        name,
        Group.CORE,
        sheet.designation,
        sheet.thickness_mm,
        outline,
        (Placement((0.0, 0.0, z), X, Y),),
        ConcreteFace.NONE,
        (Hole(0.0, 0.0, dims.bridge.screw_hole, HolePurpose.SCREW),),
    )
