"""Solids of the parts, the concrete body and the outlet tube, by the kernel: the only module that makes them.

Every solid is extruded from the same outline or section that the flat pattern and the cut list use.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import cadquery as cq
import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepOffsetAPI import BRepOffsetAPI_MakePipe
from OCP.gp import gp_Trsf
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopTools import TopTools_ListOfShape

from mouldgeom import tables
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.errors import KernelError
from mouldgeom.geometry.outline import Outline, Point, arc_of
from mouldgeom.geometry.placement import Placement
from mouldgeom.identity import PieceId, Unit
from mouldgeom.model.assembly import Mould
from mouldgeom.model.mesh import CHORD, WELD, Mesh, make_mesh
from mouldgeom.model.sections import angle_section, tube_section
from mouldgeom.model.shapes import Bar, Fastener, FastenerKind, Part, Plate, SectionKind, bar_diameter
from mouldgeom.units import Mm, Mm3


@contextmanager
def _kernel(mark: str, dimensions: str) -> Iterator[None]:
    """Turn whatever the kernel raises into one error with the part's mark and dimensions."""
    try:
        yield
    except KernelError:
        raise
    except Exception as error:  # the kernel raises classes of its own, without a common useful base
        raise KernelError(mark, dimensions, f"{type(error).__name__} {error}".strip()) from error


def _vector(point: Point, z: Mm = 0.0) -> cq.Vector:
    return cq.Vector(point[0], point[1], z)


def _wire(outline: Outline) -> cq.Wire:
    edges = []
    for a, b in outline.edges:
        if a.arc:
            centre, radius, start, sweep = arc_of(a, b)
            turn = start + sweep / 2
            middle = (centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn))
            edges.append(cq.Edge.makeThreePointArc(_vector((a.x, a.y)), _vector(middle), _vector((b.x, b.y))))
        else:
            edges.append(cq.Edge.makeLine(_vector((a.x, a.y)), _vector((b.x, b.y))))
    return cq.Wire.assembleEdges(edges)


def _circle(x: Mm, y: Mm, diameter: Mm) -> cq.Wire:
    return cq.Wire.makeCircle(diameter / 2, cq.Vector(x, y, 0), cq.Vector(0, 0, 1))


def _prism(outer: cq.Wire, inner: Sequence[cq.Wire], start: Mm, height: Mm) -> cq.Solid:
    solid = cq.Solid.extrudeLinear(outer, list(inner), cq.Vector(0, 0, height))
    return solid.translate(cq.Vector(0, 0, start)) if start else solid


def plate_solid(plate: Plate) -> cq.Solid:
    """Solid of one plate in its local frame."""
    with _kernel(plate.mark or plate.name, f"{plate.thickness:g} mm, area {plate.area:.0f} mm2"):
        inner = [_circle(h.x, h.y, h.diameter) for h in plate.holes] + [_wire(o) for o in plate.openings]
        return _prism(_wire(plate.outline), inner, -plate.thickness, plate.thickness)


def bar_solid(bar: Bar) -> cq.Shape:
    """Solid of one bar in its local frame; a threaded rod is a cylinder of its nominal diameter."""
    with _kernel(bar.mark or bar.name, f"{bar.section}, {bar.length:g} mm long"):
        if bar.kind is SectionKind.ANGLE:
            solid: cq.Shape = _prism(_wire(angle_section(bar.section)), (), 0, bar.length)
        elif bar.kind is SectionKind.SQUARE_TUBE:
            outer, inner = tube_section(bar.section)
            solid = _prism(_wire(outer), [_wire(inner)], 0, bar.length)
        else:
            solid = cq.Solid.makeCylinder(bar_diameter(bar) / 2, bar.length)
        if bar.holes:
            solid = _cut(solid, [_bar_drill(bar, i) for i in range(len(bar.holes))])
        return solid


def _bar_drill(bar: Bar, index: int) -> cq.Solid:
    hole = bar.holes[index]
    if bar.kind is SectionKind.ANGLE:
        start, reach = -1.0, tables.angle(bar.section).thickness_mm + 2.0
    else:
        reach = 2 * bar_diameter(bar) if bar.kind in (SectionKind.ROD, SectionKind.THREADED_ROD) else 200.0
        start = -reach / 2
    if hole.leg == "x":
        return cq.Solid.makeCylinder(
            hole.diameter / 2, reach, cq.Vector(hole.offset, start, hole.along), cq.Vector(0, 1, 0)
        )
    return cq.Solid.makeCylinder(
        hole.diameter / 2, reach, cq.Vector(start, hole.offset, hole.along), cq.Vector(1, 0, 0)
    )


def fastener_solid(part: Fastener) -> cq.Shape:
    """Envelope of one fastener: hexagon over the corners, shank of the nominal diameter."""
    row = tables.bolt(part.designation)
    with _kernel(part.mark or part.name, f"{part.designation}, {part.length:g} mm"):
        if part.kind is FastenerKind.WASHER:
            outer = _circle(0, 0, row.washer_outside_mm)
            return _prism(outer, [_circle(0, 0, row.hole_fine_mm)], 0, row.washer_thickness_mm)
        radius = row.across_flats_mm / math.sqrt(3)
        hexagon = _wire(
            Outline.polygon(
                [(radius * math.cos(math.pi / 3 * i), radius * math.sin(math.pi / 3 * i)) for i in range(6)]
            )
        )
        if part.kind is FastenerKind.NUT:
            return _prism(hexagon, [_circle(0, 0, row.diameter_mm)], 0, row.nut_height_mm)
        head = _prism(hexagon, (), -row.head_height_mm, row.head_height_mm)
        shank = cq.Solid.makeCylinder(row.diameter_mm / 2, part.length)
        return _fuse(head, [shank])


def part_solid(part: Part) -> cq.Shape:
    """Solid of one piece in its local frame."""
    if isinstance(part, Plate):
        return plate_solid(part)
    if isinstance(part, Bar):
        return bar_solid(part)
    return fastener_solid(part)


def placed(shape: cq.Shape, placement: Placement) -> cq.Shape:
    """The shape moved to its place; the geometry is shared, not copied."""
    return shape.moved(location(placement))


def location(placement: Placement) -> cq.Location:
    """A place as the kernel has it."""
    return cq.Location(cq.Plane(origin=placement.origin, xDir=placement.x, normal=placement.z))


def _list(shapes: Sequence[cq.Shape]) -> TopTools_ListOfShape:
    out = TopTools_ListOfShape()
    for shape in shapes:
        out.Append(shape.wrapped)
    return out


def _boolean(
    kind: type[BRepAlgoAPI_Cut] | type[BRepAlgoAPI_Fuse] | type[BRepAlgoAPI_Common],
    one: cq.Shape,
    others: Sequence[cq.Shape],
    *,
    keep: bool = False,
) -> cq.Shape:
    """What comes of solids; they are not used any more, unless they are to ``keep`` their tolerances as they are."""
    operation = kind()
    operation.SetArguments(_list([one]))
    operation.SetTools(_list(others))
    operation.SetRunParallel(False)
    operation.SetNonDestructive(keep)
    operation.Build()
    return cq.Shape.cast(operation.Shape())


def _cut(one: cq.Shape, others: Sequence[cq.Shape]) -> cq.Shape:
    return _single(_boolean(BRepAlgoAPI_Cut, one, others))


def _fuse(one: cq.Shape, others: Sequence[cq.Shape]) -> cq.Shape:
    joined = _boolean(BRepAlgoAPI_Fuse, one, others)
    unify = ShapeUpgrade_UnifySameDomain(joined.wrapped, True, True, False)
    unify.Build()
    return _single(cq.Shape.cast(unify.Shape()))


def _single(shape: cq.Shape) -> cq.Shape:
    solids = shape.Solids()
    return solids[0] if len(solids) == 1 else shape


def common_volume(one: cq.Shape, other: cq.Shape) -> Mm3:
    """Volume that two solids share."""
    shared = _boolean(BRepAlgoAPI_Common, one, [other], keep=True)
    return sum(abs(solid.Volume()) for solid in shared.Solids())


def _polyhedron(points: Sequence[tuple[Mm, Mm, Mm]], faces: Sequence[Sequence[int]]) -> cq.Solid:
    """Closed solid of plane faces, each given by the numbers of its corners."""
    made = [
        cq.Face.makeFromWires(cq.Wire.makePolygon([cq.Vector(*points[i]) for i in face], close=True)) for face in faces
    ]
    solid = cq.Solid.makeSolid(cq.Shell.makeShell(made))
    return solid.fix() if isinstance(solid.fix(), cq.Solid) else solid


_BOX_FACES = ((0, 3, 2, 1), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7))


def _frustum(half: tuple[Mm, Mm], z: Mm, half_top: tuple[Mm, Mm], z_top: Mm) -> cq.Solid:
    points = []
    for (x, y), height in ((half, z), (half_top, z_top)):
        points += [(-x, -y, height), (x, -y, height), (x, y, height), (-x, y, height)]
    return _polyhedron(points, _BOX_FACES)


def _nose_block(dims: Dimensions) -> cq.Solid:
    """Concrete in front of the panel: a wedge between splayed sides, sloping front and lid."""
    nose = dims.nose
    y0, y1, low, top = nose.root_y, nose.tip_y, nose.low_z, nose.lid_z
    root, tip = nose.root_half, nose.tip_half
    points = [(-root, y0, low), (root, y0, low), (root, y0, top), (-root, y0, top), (tip, y1, top), (-tip, y1, top)]
    faces = [(0, 1, 2, 3), (0, 5, 4, 1), (3, 2, 4, 5), (1, 4, 2), (0, 3, 5)]
    return _polyhedron(points, faces)


def tube_solid(dims: Dimensions, diameter: Mm, beyond: Mm | None = None) -> cq.Shape:
    """The outlet tube as a solid rod of this diameter, its ends carried on by ``beyond``.

    Without ``beyond`` it is the tube as fitted: cut square, so that at its inlet it just touches the drafted core wall.
    """
    inward, outward = (-diameter / 2 * dims.taper, 0.0) if beyond is None else (beyond, beyond)
    path, x = dims.tube, 0.0
    radius = path.bend_radius

    def at(y: Mm, z: Mm) -> cq.Vector:
        return cq.Vector(x, y, z)

    (y_in, z_in), (yc, zc), (yk, zk) = path.inlet, path.first_centre, path.crest_centre
    half = math.sqrt(0.5) * radius
    with _kernel("outlet tube", f"{diameter:g} mm, bend radius {radius:g} mm"):
        edges = [
            cq.Edge.makeLine(at(y_in + inward, z_in), at(yc, z_in)),
            cq.Edge.makeThreePointArc(at(yc, z_in), at(yc - half, zc + half), at(path.riser_y, zc)),
            cq.Edge.makeLine(at(path.riser_y, zc), at(path.riser_y, zk)),
            cq.Edge.makeThreePointArc(at(path.riser_y, zk), at(yk, zk - radius), at(path.leg_y, zk)),
            cq.Edge.makeLine(at(path.leg_y, zk), at(path.leg_y, path.end_z + outward)),
        ]
        ring = cq.Wire.makeCircle(diameter / 2, edges[0].startPoint(), cq.Vector(0, -1, 0))
        pipe = BRepOffsetAPI_MakePipe(cq.Wire.assembleEdges(edges).wrapped, cq.Face.makeFromWires(ring).wrapped)
        return cq.Shape.cast(pipe.Shape())


def hollow_tube(dims: Dimensions) -> cq.Shape:
    """The outlet tube as fitted, bored out: what stands in the concrete and in the hole of the nose lid."""
    tube = dims.tube
    with _kernel("outlet tube", f"{tube.outside:g} x {tube.bore:g} mm"):
        return _cut(tube_solid(dims, tube.outside), [tube_solid(dims, tube.bore, beyond=tube.outside)])


def tube_end(dims: Dimensions, diameter: Mm) -> cq.Solid:
    """The straight end of the outlet tube, that stands out of the concrete in the hole of the nose lid."""
    path = dims.tube
    length = path.end_z - path.crest_centre[1]
    with _kernel("outlet tube, end", f"{diameter:g} mm, {length:g} mm long"):
        start = cq.Vector(0, path.leg_y, path.end_z - length)
        return cq.Solid.makeCylinder(diameter / 2, length, start, cq.Vector(0, 0, 1))


def concrete_body(dims: Dimensions, *, tube_bore: bool = True) -> cq.Shape:
    """The concrete body in the casting frame: outer box and nose, less cavity, ledge and tube.

    The ledge lies level at its own height; the steel edge that makes it stands off by at most thickness x sin(draft).
    """
    with _kernel("concrete body", f"{dims.width:.1f} x {dims.depth:.1f} x {dims.height:.1f} mm"):
        x, y, nose = dims.width / 2, dims.depth / 2, dims.nose
        outer = _frustum((x, y), 0, (x, y), dims.height)
        rise = nose.opening_top - nose.low_z
        root = cq.Solid.makeBox(
            2 * nose.root_half, dims.shell, rise, cq.Vector(-nose.root_half, nose.root_y, nose.low_z)
        )
        body = _fuse(outer, [root, _nose_block(dims)])
        step = dims.step

        def half(z: Mm, more: Mm = 0.0) -> tuple[Mm, Mm]:
            return dims.core_half_x(z) + more, dims.core_half_y(z) + more

        upper = _frustum(half(0, step), 0, half(dims.ledge_z, step), dims.ledge_z)
        lower = _frustum(half(dims.ledge_z), dims.ledge_z, half(dims.end_z), dims.end_z)
        tools: list[cq.Shape] = [upper, lower]
        if tube_bore:
            tools.append(tube_solid(dims, dims.tube.outside, beyond=dims.tube.outside))
        return _cut(body, tools)


def upright(shape: cq.Shape, dims: Dimensions) -> cq.Shape:
    """Turn a shape from the casting frame to the filter's upright frame: a half turn about y, never a mirror."""
    turn = gp_Trsf()
    turn.SetValues(-1, 0, 0, 0, 0, 1, 0, 0, 0, 0, -1, dims.height)
    return cq.Shape.cast(BRepBuilderAPI_Transform(shape.wrapped, turn, True).Shape())


@dataclass(frozen=True)
class PlacedSolid:
    """One piece of the mould as a solid in the casting frame."""

    mark: str
    id: PieceId
    unit: Unit
    part: Part
    shape: cq.Shape

    @property
    def name(self) -> str:
        """Its English label."""
        return self.id.name


class SolidMould:
    """All solids of a mould, each made once, on first use."""

    def __init__(self, mould: Mould) -> None:
        self.mould = mould
        self.dims = mould.dims

    @cached_property
    def shapes(self) -> dict[str, cq.Shape]:
        """Solid of each mark in its local frame."""
        return {part.mark: part_solid(part) for part in self.mould.parts}

    @cached_property
    def pieces(self) -> tuple[PlacedSolid, ...]:
        """Every piece in its place."""
        return tuple(
            PlacedSolid(p.mark, p.id, p.unit, p.part, placed(self.shapes[p.mark], p.placement))
            for p in self.mould.pieces()
        )

    @cached_property
    def body(self) -> cq.Shape:
        """The concrete body in the casting frame, with the bore of the tube."""
        return concrete_body(self.dims)

    @cached_property
    def upright_body(self) -> cq.Shape:
        """The concrete body standing upright, as the filter will."""
        return upright(self.body, self.dims)

    @cached_property
    def tube(self) -> cq.Shape:
        """The outlet tube in the casting frame, as a solid rod."""
        return tube_solid(self.dims, self.dims.tube.outside)

    @cached_property
    def hollow_tube(self) -> cq.Shape:
        """The outlet tube in the casting frame, as it is bought: with its bore."""
        return hollow_tube(self.dims)


_ANGLE: Final = math.radians(12.0)
"""How far the faces of two triangles of a mesh turn on a curved face, at most."""


def body_mesh(shape: cq.Shape, chord: Mm = CHORD) -> Mesh:
    """Mesh of one solid of the kernel, such as the concrete body; the shape keeps no trace of it.

    Raises:
        GeometryError: the kernel's triangles do not close.
    """
    copy = shape.copy()
    BRepMesh_IncrementalMesh(copy.wrapped, chord, False, _ANGLE, False)
    points, faces = copy.tessellate(chord)
    raw = np.array([point.toTuple() for point in points], dtype=np.float64)
    _, first, number = np.unique(np.round(raw / WELD), axis=0, return_index=True, return_inverse=True)
    triangles = number.reshape(-1)[np.array(faces)].astype(np.int32)
    whole = (triangles != np.roll(triangles, -1, axis=1)).all(axis=1)
    return make_mesh(raw[first], triangles[whole])
