"""The base: the plate that carries core and box, with its access opening and leg notches, on two runners."""

from __future__ import annotations

from mouldgeom.dimensions import Dimensions
from mouldgeom.shapes import (
    QUARTER,
    Bar,
    ConcreteFace,
    Group,
    GroupParts,
    Outline,
    Placement,
    Plate,
    SectionKind,
    Vertex,
)


def base(dims: Dimensions) -> GroupParts:
    """Describe the base plate and its runners."""
    return GroupParts(plates=(_base_plate(dims),), bars=tuple(_runners(dims)))


def _base_plate(dims: Dimensions) -> Plate:
    x, y, notch, half = dims.base_half_x, dims.base_half_y, dims.bridge.notch_x, dims.bridge.notch_half
    radius = min(5.0, half / 2, (x - notch) / 2)
    right = [
        Vertex(x, -y),
        Vertex(x, -half),
        Vertex(notch + radius, -half, -QUARTER),
        Vertex(notch, -half + radius),
        Vertex(notch, half - radius, -QUARTER),
        Vertex(notch + radius, half),
        Vertex(x, half),
        Vertex(x, y),
    ]
    outline = Outline((*right, *(Vertex(-v.x, -v.y, v.bulge) for v in right)))
    ax, ay = dims.access_half_x, dims.access_half_y
    sheet = dims.stock.base
    return Plate(
        "base plate",
        Group.BASE,
        sheet.designation,
        sheet.thickness_mm,
        outline,
        (Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),),
        ConcreteFace.OUTLINE,
        (),
        (Outline.rectangle(-ax, -ay, ax, ay, min(15.0, ax / 3, ay / 3)),),
    )


def _runners(dims: Dimensions) -> list[Bar]:
    tube = dims.stock.tube
    z = -dims.base - tube.side_mm / 2
    return [
        Bar(
            f"runner, {name}",
            Group.BASE,
            SectionKind.SQUARE_TUBE,
            tube.designation,
            2 * dims.base_half_x,
            (Placement((-dims.base_half_x, sign * dims.runner_y, z), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),),
        )
        for name, sign in (("front", -1.0), ("back", 1.0))
    ]
