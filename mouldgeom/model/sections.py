"""Cross-sections of bars as outlines, from the rows of the section tables.  No solid kernel."""

from __future__ import annotations

from mouldgeom import tables
from mouldgeom.geometry.outline import QUARTER, Outline, Vertex


def angle_section(designation: str) -> Outline:
    """Section of an equal angle with its root and toe radii, heel at the origin.

    Raises:
        UnknownDesignationError: no table has this angle.
    """
    row = tables.angle(designation)
    a, t, root, toe = row.leg_mm, row.thickness_mm, row.root_radius_mm, row.toe_radius_mm
    corners = (
        Vertex(0, 0),
        Vertex(a, 0),
        Vertex(a, t - toe, QUARTER),
        Vertex(a - toe, t),
        Vertex(t + root, t, -QUARTER),
        Vertex(t, t + root),
        Vertex(t, a - toe, QUARTER),
        Vertex(t - toe, a),
        Vertex(0, a),
    )
    # a toe as round as the leg is thick has no flat end
    after = (*corners[1:], corners[0])
    return Outline(tuple(v for v, w in zip(corners, after, strict=True) if (v.x, v.y) != (w.x, w.y)))


def tube_section(designation: str) -> tuple[Outline, Outline]:
    """Outer and inner line of a square tube with its corner radii, centred.

    Raises:
        UnknownDesignationError: no table has this tube.
    """
    row = tables.square_tube(designation)
    half, t = row.side_mm / 2, row.thickness_mm
    return (
        Outline.rectangle(-half, -half, half, half, row.outer_radius_mm),
        Outline.rectangle(-half + t, -half + t, half - t, half - t, row.inner_radius_mm),
    )
