"""The nose box on the front panel: two splayed sides, the sloping front between them, and a lid that lifts off.

The lid stops at the outer face of the front panel, so that it lifts straight off; the panel's opening reaches past
the lid's thickness, so that the end of the outlet tube, flush with the outside of the lid, passes it.
"""

from __future__ import annotations

import math

from mouldgeom.dimensions import SLACK, Dimensions
from mouldgeom.parts.axes import NZ, SIDES, Z
from mouldgeom.shapes import (
    Bar,
    BoltRow,
    ConcreteFace,
    Group,
    GroupParts,
    Hole,
    HolePurpose,
    Outline,
    Placement,
    Plate,
    SectionKind,
    Vec,
    add,
)
from mouldgeom.units import Mm


def nose(dims: Dimensions) -> GroupParts:
    """Describe the nose box, its lid and the flanges that the lid is bolted to."""
    return GroupParts(
        plates=(*(_side(dims, name, sign) for name, sign in SIDES), _front(dims), _lid(dims)),
        bars=tuple(_flange(dims, name, sign) for name, sign in SIDES),
        rows=tuple(_row(dims, name, sign) for name, sign in SIDES),
    )


def _plate(dims: Dimensions, name: str, outline: Outline, at: Placement, holes: tuple[Hole, ...] = ()) -> Plate:
    sheet = dims.stock.shell
    return Plate(name, Group.NOSE, sheet.designation, sheet.thickness_mm, outline, (at,), ConcreteFace.OUTLINE, holes)


def _splay(dims: Dimensions) -> tuple[float, float]:
    angle = math.radians(dims.nose.splay)
    return math.sin(angle), math.cos(angle)


def _slope(dims: Dimensions) -> tuple[float, float]:
    angle = math.radians(dims.nose.slope)
    return math.sin(angle), math.cos(angle)


def _reach(dims: Dimensions) -> Mm:
    """Length of a nose side along its top edge, to the outside of the sloping front."""
    return (dims.nose.root_y - dims.nose.tip_y + dims.shell / _slope(dims)[1]) / _splay(dims)[1]


def _side(dims: Dimensions, name: str, sign: float) -> Plate:
    """A side runs past the thickness of the sloping front; local x is level, local y up."""
    nose, (sine, cosine) = dims.nose, _splay(dims)
    low = nose.low_z - dims.shell / _slope(dims)[0]
    outline = Outline.polygon([(0, low), (0, nose.lid_z), (sign * _reach(dims), nose.lid_z)])
    at = Placement((sign * nose.root_half, nose.root_y, 0.0), (-sine, -sign * cosine, 0.0), Z)
    return _plate(dims, f"nose side, {name}", outline, at)


def _front(dims: Dimensions) -> Plate:
    """The sloping front fits between the sides at its outer face, where they are closest."""
    nose, (sine, cosine) = dims.nose, _slope(dims)
    narrow = dims.shell * cosine * math.tan(math.radians(nose.splay))
    length = (nose.lid_z - nose.low_z) / cosine
    low, high = nose.root_half - narrow, nose.tip_half - narrow
    outline = Outline.polygon([(-low, 0), (low, 0), (high, length), (-high, length)])
    at = Placement((0.0, nose.root_y, nose.low_z), (-1.0, 0.0, 0.0), (0.0, -sine, cosine))
    return _plate(dims, "nose front", outline, at)


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
    return _plate(dims, "nose lid", Outline.rectangle(-half, fit / 2, half, far), at, (hole,))


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


def _flange(dims: Dimensions, name: str, sign: float) -> Bar:
    heel, out, tipward = _flange_line(dims, sign)
    length = _flange_length(dims)
    start = add(heel, tipward, length) if sign > 0 else heel
    at = Placement(start, out, NZ)
    return Bar(f"nose flange, {name}", Group.NOSE, SectionKind.ANGLE, dims.stock.angle.designation, length, (at,))


def _bolt_spot(dims: Dimensions, sign: float) -> Vec:
    """Where the lid's bolt stands: in the middle of its flange, on the outside of the lid."""
    heel, out, tipward = _flange_line(dims, sign)
    return add(add(add(heel, out, dims.bolting.gauge), tipward, _flange_length(dims) / 2), Z, dims.shell)


def _row(dims: Dimensions, name: str, sign: float) -> BoltRow:
    return BoltRow(
        name=f"lid bolt, {name}",
        bolt=dims.stock.bolt.designation,
        points=(_bolt_spot(dims, sign),),
        axis=NZ,
        members=("nose lid", f"nose flange, {name}"),
        grip=dims.shell + dims.stock.angle.thickness_mm,
        hole=dims.bolting.hole,
    )
