"""The mould's sheet by finite elements: the reference that the quick formulas are compared with.

``plate`` solves any one pressed plate.  ``solve_mould`` solves every panel, core wall and the end plate whole, each
with its stiffeners, diaphragms and opening at the heights of the design.  How the mould is idealised:

- Sides of panels and core walls are simply supported at the edge of the concrete: flanges and corner seams that would
  hold them against turning are left out (conservative).  The end plate is simply supported all round.
- A panel begins at the top of its base flange, simply supported there, and its upper edge is free.
- A stiffener or nose post is a bar along both welded edges of the tube, half of its E I in each; sheet and tube do not
  act as one, and the tube's torsion is left out (conservative).  Stiffeners are held at the sides.
- A core wall runs from the base plate to the end plate, simply supported by both, as the trapezoid it is; diaphragms
  and anchor plate are lines that do not give way, at the middle of their thickness.
- A ledge strip slides on its wall: rigidities are added.
- The rim of the nose opening is free above and below; the nose's sides stand on the upright rims, from end to end,
  as bars of half their greatest depth, and hand on the pressure over the opening.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.model.assembly import Mould
from mouldgeom.model.parts.axes import SIDES
from mouldgeom.strength.fields import inner_plates
from mouldgeom.strength.finite_mesh import (
    Edge,
    Edges,
    HoldLine,
    NewtonMm2,
    Opening,
    PressedPlate,
    Profile,
    Strip,
    Support,
)
from mouldgeom.strength.finite_plate import BarLoad, Peak, PlateField, Reaction, plate
from mouldgeom.strength.steps import ResultTable
from mouldgeom.units import Mm, Mpa, Newton, NewtonMm
from mouldgeom.words import Said

__all__ = [
    "BarLoad",
    "Edge",
    "Edges",
    "FiniteFace",
    "HoldLine",
    "Opening",
    "PanelSolution",
    "Peak",
    "PlateField",
    "PressedPlate",
    "Profile",
    "Reaction",
    "Strip",
    "compare",
    "faces",
    "plate",
    "solve_mould",
]


@dataclass(frozen=True)
class PanelSolution:
    """One face of the mould, solved; rounded, so that it is the same wherever it is worked out.

    Args:
        name: of the part, such as ``"front panel"`` or ``"core wall, left"``.
        bulge: greatest deflection, outwards from the concrete; ``across`` and ``up`` (mm): where, from the middle of
            the face and, for an upright face, as height in the casting frame, for the end plate from its front edge.
        stress: greatest at the surface, von Mises, corners of the opening and ends of posts left out.
        load: force of the pressure; ``reactions``: what holds it, by name, the same sum.
        bars: each stiffener line: name, load handed to it, its greatest moment (N mm) and its deflection.
        small: whether the bulge is at most half the sheet, where small-deflection theory holds (Roark ch. 11).
    """

    name: str
    thickness: Mm
    bulge: Mm
    across: Mm
    up: Mm
    stress: Mpa
    load: Newton
    reactions: tuple[tuple[str, Newton], ...]
    bars: tuple[tuple[str, Newton, NewtonMm, Mm], ...]
    small: bool
    field: PlateField = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class FiniteFace:
    """A face of the mould as a pressed plate: ``foot`` is its height in the casting frame, the lines have names."""

    name: str
    plate: PressedPlate
    foot: Mm
    line_names: tuple[str, ...] = ()


def solve_mould(mould: Mould) -> tuple[PanelSolution, ...]:
    """Solve every panel, every core wall and the end plate; equal ones once.

    Raises:
        GeometryError: a line of the design lies outside its plate.
    """
    solved: dict[PressedPlate, PlateField] = {}
    out = []
    for face in faces(mould.dims):
        if face.plate not in solved:
            solved[face.plate] = plate(face.plate)
        out.append(_solution(face, solved[face.plate]))
    return tuple(out)


def _solution(face: FiniteFace, found: PlateField) -> PanelSolution:
    def named(support: Support) -> str:
        return face.line_names[support] if isinstance(support, int) else support

    return PanelSolution(
        name=face.name,
        thickness=face.plate.thickness,
        bulge=round(found.greatest.value, 6),
        across=round(abs(found.greatest.x), 3),
        up=round(face.foot + found.greatest.y, 3),
        stress=round(found.stress.value, 4),
        load=round(found.load, 5),
        reactions=tuple((named(r.support), round(r.force, 5)) for r in found.reactions),
        bars=tuple(
            (
                face.line_names[face.plate.lines.index(b.line)],
                round(b.load, 4),
                round(b.moment, 2),
                round(b.deflection, 6),
            )
            for b in found.bars
        ),
        small=found.greatest.value <= face.plate.thickness / 2,
        field=found,
    )


def faces(dims: Dimensions) -> tuple[FiniteFace, ...]:
    """Every face of the mould as a plate that can be solved."""
    return (*_panels(dims), *_core_walls(dims), _end_plate(dims))


def _profile(dims: Dimensions, foot: Mm, top: Mm) -> Profile:
    """Pressure between two heights, points that lie on a straight line left out."""
    steps = 32
    heights = [foot + (top - foot) * i / steps for i in range(steps + 1)]
    points = [(z - foot, dims.pressure_at(z)) for z in heights]
    noise = 1e-9 * max(p for _, p in points)
    bends = [b for a, b, c in zip(points, points[1:], points[2:], strict=False) if abs(a[1] - 2 * b[1] + c[1]) > noise]
    return (points[0], *bends, points[-1])


def _pressed(
    dims: Dimensions, width: Mm, foot: Mm, top: Mm, lines: tuple[HoldLine, ...], edges: Edges, **more: object
) -> PressedPlate:
    steel = dims.stock.steel
    return PressedPlate(
        width,
        top - foot,
        dims.shell,
        steel.elastic_modulus_mpa,
        steel.poisson,
        _profile(dims, foot, top),
        edges,
        lines,
        **more,  # type: ignore[arg-type]  # fields by name, of several types
    )


def _panels(dims: Dimensions) -> Iterator[FiniteFace]:
    foot, edges = dims.stock.angle.leg_mm, Edges(top=Edge.FREE)
    for name, width, heights in (
        ("front panel", dims.width, dims.front_stiffener_z),
        ("back panel", dims.width, dims.stiffener_z),
        ("side panel, left", dims.depth, dims.stiffener_z),
        ("side panel, right", dims.depth, dims.stiffener_z),
    ):
        named = [*_stiffener_lines(dims, foot, heights)]
        opening = None
        if name == "front panel":
            named += [*_post_lines(dims, foot), *_nose_lines(dims, foot)]
            nose = dims.nose
            low, high = nose.low_z - foot, nose.opening_top - foot
            opening = Opening(-nose.root_half, nose.root_half, low, high, loaded=True)
        lines = tuple(line for _, line in named)
        pressed = _pressed(dims, width, foot, dims.height, lines, edges, opening=opening)
        yield FiniteFace(name, pressed, foot, tuple(n for n, _ in named))


def _tube_bending(dims: Dimensions) -> NewtonMm2:
    return dims.stock.steel.elastic_modulus_mpa * dims.stock.tube.second_moment_cm4 * 1e4


def _stiffener_lines(dims: Dimensions, foot: Mm, heights: tuple[Mm, ...]) -> Iterator[tuple[str, HoldLine]]:
    half = dims.stock.tube.side_mm / 2
    for number, z in enumerate(dims.stiffener_z, 1):
        if z in heights:
            for edge, at in (("lower", z - half), ("upper", z + half)):
                if foot < at < dims.height:
                    yield (
                        Said("stiffener {number}, {edge} edge", number=number, edge=edge),
                        HoldLine(at - foot, _tube_bending(dims) / 2),
                    )


def _post_lines(dims: Dimensions, foot: Mm) -> Iterator[tuple[str, HoldLine]]:
    posts, half = dims.nose_posts, dims.stock.tube.side_mm / 2
    if posts is None:
        return
    for side, sign in SIDES:
        for edge, x in (("inner", posts.x - half), ("outer", posts.x + half)):
            if x < dims.width / 2:
                line = HoldLine(sign * x, _tube_bending(dims) / 2, True, posts.low - foot, posts.high - foot)
                yield f"nose post {side}, {edge} edge", line


def _nose_lines(dims: Dimensions, foot: Mm) -> Iterator[tuple[str, HoldLine]]:
    nose = dims.nose
    depth = (nose.root_y - nose.tip_y) / 2
    bending = dims.stock.steel.elastic_modulus_mpa * dims.shell * depth**3 / 12
    for side, sign in SIDES:
        yield (
            f"nose side {side}",
            HoldLine(sign * nose.root_half, bending, True, nose.low_z - foot, nose.opening_top - foot),
        )


def _core_walls(dims: Dimensions) -> Iterator[FiniteFace]:
    top = dims.end_z - dims.shell
    named = [(name, HoldLine(z - thickness / 2)) for name, z, thickness in inner_plates(dims)]
    strips = (Strip(0.0, dims.ledge_z, dims.ledge),)
    for name, half in (
        ("front", dims.core_half_x),
        ("back", dims.core_half_x),
        ("left", dims.core_half_y),
        ("right", dims.core_half_y),
    ):
        lines = tuple(line for _, line in named)
        pressed = _pressed(dims, 2 * half(0), 0.0, top, lines, Edges(), strips=strips, top_width=2 * half(top))
        yield FiniteFace(f"core wall, {name}", pressed, 0.0, tuple(n for n, _ in named))


def _end_plate(dims: Dimensions) -> FiniteFace:
    """The end plate lies flat: its up is across the mould, and the pressure on it is even."""
    steel, z = dims.stock.steel, dims.end_z
    width, depth = 2 * dims.core_half_x(z), 2 * dims.core_half_y(z)
    pressure = ((0.0, dims.pressure_at(z)),)
    return FiniteFace(
        "end plate",
        PressedPlate(width, depth, dims.shell, steel.elastic_modulus_mpa, steel.poisson, pressure, Edges()),
        0.0,
    )


def compare(mould: Mould, fast: Mapping[str, Mm]) -> ResultTable:
    """Bulge of each face by the quick formulas (``fast``: greatest bulge by name of part) and by finite elements."""
    solved = solve_mould(mould)
    rows = tuple(
        (one.name, round(fast[one.name], 4), round(one.bulge, 4), round(fast[one.name] / one.bulge, 3), one.up)
        for one in solved
        if one.name in fast and one.bulge > 0
    )
    large = ", ".join(one.name for one in solved if not one.small)
    note = "Finite elements: whole faces with their stiffeners, thin plates, small deflections, sheet that runs on over"
    note += " its lines.  Quick formulas that let it turn freely there are above them, on the safe side."
    note += f"  Bulge above half the sheet, so really smaller: {large}." if large else ""
    head = ("face", "quick formulas, mm", "finite elements, mm", "ratio", "greatest at height, mm")
    return ResultTable("Bulge by quick formulas and by finite elements", head, rows, note)
