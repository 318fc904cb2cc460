"""The base: the plate that carries core and box, with its access opening and leg notches, on two runners."""

from __future__ import annotations

from collections.abc import Iterator

from mouldgeom.design.dimensions import NOTCH_RADIUS, OPENING_RADIUS, Dimensions
from mouldgeom.geometry.outline import QUARTER, Outline, Vertex
from mouldgeom.geometry.placement import Placement
from mouldgeom.identity import BASE, PieceId, Role
from mouldgeom.model.joints import TOUCHES, GroupParts, SeamKind, Weld, WeldRole
from mouldgeom.model.parts.axes import ENDS, SIDES, Z
from mouldgeom.model.parts.boxes import SquareBar
from mouldgeom.model.shapes import ConcreteFace, Group, Plate, Stand
from mouldgeom.units import Mm


def base(dims: Dimensions) -> GroupParts:
    """Describe the base plate and its runners, and how the core and they are welded to it."""
    runners = _runners(dims)
    return GroupParts(
        plates=(_base_plate(dims),),
        bars=tuple(bar for runner in runners for bar in runner.bars),
        welds=(
            *_core_welds(dims),
            *_runner_welds(dims, runners),
            *(weld for runner in runners for weld in runner.welds),
        ),
    )


def _base_plate(dims: Dimensions) -> Plate:
    ax, ay = dims.access_half_x, dims.access_half_y
    sheet = dims.stock.base
    at = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    return Plate(
        Group.BASE,
        (Stand(PieceId(Role.BASE_PLATE), BASE, at),),
        sheet.designation,
        sheet.thickness_mm,
        _notched(dims) if dims.has_bridge else _oblong(dims.base_half_x, dims.base_half_y),
        ConcreteFace.OUTLINE,
        (),
        (_oblong(ax, ay, min(OPENING_RADIUS, ax / 3, ay / 3)), *_pad_openings(dims)),
    )


def _oblong(half_x: Mm, half_y: Mm, radius: Mm = 0.0) -> Outline:
    return Outline.rectangle(-half_x, -half_y, half_x, half_y, radius)


def _pad_openings(dims: Dimensions) -> Iterator[Outline]:
    """Openings for the pads of forcing screws, with clearance all round."""
    if dims.has_bridge:
        return
    forcing, gap = dims.forcing, dims.spec.shop.fit_gap
    half_x, half_y = forcing.pad_half_x + gap, forcing.pad_half_y + gap
    for _, sx in SIDES:
        for _, sy in ENDS:
            x, y = sx * forcing.x, sy * forcing.y
            yield Outline.rectangle(x - half_x, y - half_y, x + half_x, y + half_y, forcing.pad_radius + gap)


def _notched(dims: Dimensions) -> Outline:
    """Outline of a base plate with notches for the legs of a bridge."""
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
    return Outline((*right, *(Vertex(-v.x, -v.y, v.arc) for v in right)))


def _runners(dims: Dimensions) -> list[SquareBar]:
    """Two runners from side to side; under a thin base plate they reach beyond it."""
    z, half = -dims.base - dims.stock.tube.side_mm / 2, dims.runner_half
    out = []
    for end, sign in ENDS:
        at = Placement((-half, sign * dims.runner_y, z), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
        out.append(SquareBar(PieceId(Role.RUNNER, (end,)), BASE, Group.BASE, dims.stock.tube, 2 * half, at))
    return out


def _core_welds(dims: Dimensions) -> list[Weld]:
    """The foot of each core wall, from inside: no bead on the concrete side."""
    x, y = dims.core_half_x(0) - dims.wall_inset, dims.core_half_y(0) - dims.wall_inset
    out = []
    for side, sign in (*ENDS, *SIDES):
        root = (
            ((sign * x, -y, 0.0), (sign * x, y, 0.0)) if side.crosswise else ((-x, sign * y, 0.0), (x, sign * y, 0.0))
        )
        pieces = PieceId(Role.CORE_WALL, (side,)), PieceId(Role.BASE_PLATE)
        out.append(Weld(WeldRole.CORE_TO_BASE, pieces, (root,), SeamKind.FILLET, TOUCHES, through=False))
    return out


def _runner_welds(dims: Dimensions, runners: list[SquareBar]) -> list[Weld]:
    """Both edges of each runner's flat, as far as the base plate lies on it."""
    half = dims.base_half_x
    return [
        Weld(
            WeldRole.RUNNER_TO_BASE,
            (runner.piece, PieceId(Role.BASE_PLATE)),
            tuple(((-half, *start[1:]), (half, *end[1:])) for start, end in runner.flats(Z)),
            SeamKind.FLARE,
            TOUCHES,
            through=False,
            radius=runner.tube.outer_radius_mm,
        )
        for runner in runners
    ]
