"""Which face and which edges of a plate touch concrete, in words for the workshop."""

from __future__ import annotations

import math

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.outline import Vertex
from mouldgeom.geometry.placement import Vec
from mouldgeom.model.shapes import ConcreteFace, Plate

_STEP = 0.6
"""How far off an edge (mm) is looked: beyond the gaps of square-cut edges, within every concrete section."""
_NAMES = ("right", "upper", "left", "lower")


def in_concrete(dims: Dimensions, point: Vec) -> bool:
    """Whether a point of the casting frame lies in the concrete body, the outlet tube not taken out."""
    x, y, z = point
    nose = dims.nose
    if abs(x) <= dims.width / 2 and abs(y) <= dims.depth / 2 and 0 <= z <= dims.height:
        step = dims.step if z < dims.ledge_z else 0.0
        inside = abs(x) < dims.core_half_x(z) + step and abs(y) < dims.core_half_y(z) + step
        return not (inside and z < dims.end_z)
    if not (nose.tip_y <= y <= -dims.depth / 2 and z <= nose.lid_z):
        return False
    half = nose.root_half if y > nose.root_y else nose.half_at(y)
    slope = math.tan(math.radians(nose.slope))
    return abs(x) <= half and z >= nose.low_z + max(0.0, nose.root_y - y) / slope


def concrete_edges(dims: Dimensions, plate: Plate) -> tuple[str, ...]:
    """Edges of a plate against concrete, by the side that they face in the flat pattern, and ``"opening"``.

    An edge counts if concrete lies before its middle at half the thickness.
    """
    found = []
    for a, b in plate.outline.edges:
        turn = math.degrees(math.atan2(a.x - b.x, b.y - a.y))
        if _before(dims, plate, a, b, 1.0):
            found.append(_NAMES[round(turn / 90) % 4])
    for opening in plate.openings:
        if any(_before(dims, plate, a, b, -1.0) for a, b in opening.edges):
            found.append("opening")
    return tuple(dict.fromkeys(found))


def _before(dims: Dimensions, plate: Plate, a: Vertex, b: Vertex, side: float) -> bool:
    length = math.hypot(b.x - a.x, b.y - a.y)
    nx, ny = side * (b.y - a.y) / length, side * (a.x - b.x) / length
    local = ((a.x + b.x) / 2 + _STEP * nx, (a.y + b.y) / 2 + _STEP * ny, -plate.thickness / 2)
    return in_concrete(dims, plate.placements[0].to_casting(local))


def concrete_side(dims: Dimensions, plate: Plate) -> str:
    """Face and edges against concrete in words: ``"marked face; upper edge"``."""
    if plate.concrete_face is ConcreteFace.NONE:
        return "none"
    edges = concrete_edges(dims, plate)
    if not edges:
        return "marked face"
    plural = "edges" if len(edges) > 1 else "edge"
    return f"marked face; {' and '.join(edges)} {plural}"
