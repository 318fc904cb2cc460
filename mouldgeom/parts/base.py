"""The base: the plate that carries core and box, with its access opening and leg notches, on two runners."""

from __future__ import annotations

from mouldgeom.dimensions import NOTCH_RADIUS, OPENING_RADIUS, Dimensions
from mouldgeom.identity import BASE, PieceId, Role
from mouldgeom.parts.axes import ENDS
from mouldgeom.parts.boxes import square_bars
from mouldgeom.shapes import (
    QUARTER,
    Bar,
    ConcreteFace,
    Group,
    GroupParts,
    Outline,
    Placement,
    Plate,
    Stand,
    Vertex,
)


def base(dims: Dimensions) -> GroupParts:
    """Describe the base plate and its runners."""
    return GroupParts(plates=(_base_plate(dims),), bars=tuple(_runners(dims)))


def _base_plate(dims: Dimensions) -> Plate:
    x, y, notch, half = dims.base_half_x, dims.base_half_y, dims.bridge.notch_x, dims.bridge.notch_half
    radius = min(NOTCH_RADIUS, half / 2, (x - notch) / 2)
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
    at = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    return Plate(
        Group.BASE,
        (Stand(PieceId(Role.BASE_PLATE), BASE, at),),
        sheet.designation,
        sheet.thickness_mm,
        outline,
        ConcreteFace.OUTLINE,
        (),
        (Outline.rectangle(-ax, -ay, ax, ay, min(OPENING_RADIUS, ax / 3, ay / 3)),),
    )


def _runners(dims: Dimensions) -> list[Bar]:
    """Two runners from side to side; under a thin base plate they reach beyond it."""
    z, half = -dims.base - dims.stock.tube.side_mm / 2, dims.runner_half
    out: list[Bar] = []
    for end, sign in ENDS:
        at = Placement((-half, sign * dims.runner_y, z), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
        out += square_bars(dims, PieceId(Role.RUNNER, (end,)), BASE, Group.BASE, 2 * half, at)
    return out
