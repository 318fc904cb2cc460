"""Meshes against two independent programs, trimesh and manifold3d, and against the solid kernel.

Documents: trimesh 5 (volume of a closed mesh by the divergence theorem), manifold3d 3 (exact-topology booleans), and
the kernel's volumes by Gauss integration over true surfaces.

Tolerances.  The same triangles summed by two programs: 1e-9 of the volume, which is rounding.  Straight parts against
the kernel: 1e-9, both are exact.  Parts with arcs: a chord lies at most ``CHORD`` from its arc, so the volumes differ
by at most ``CHORD`` times the curved area.  Overlaps: 1e-6 mm3, against 1e3 mm3 for a wall 0.01 mm out of place;
booleans run in double precision, since trimesh's own wrapper rounds to single, which alone makes 0.1 mm3.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cache

import manifold3d  # type: ignore[import-not-found]  # the library has no types
import numpy as np
import pytest
import trimesh
from conftest import named, stands

from mouldgeom import tables
from mouldgeom.geometry.outline import Outline, edge_length
from mouldgeom.geometry.placement import Placement
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.mesh import CHORD, Floats, Mesh, part_mesh
from mouldgeom.model.sections import angle_section, tube_section
from mouldgeom.model.shapes import (
    Bar,
    BarHole,
    FastenerKind,
    Group,
    HolePurpose,
    Part,
    Plate,
    SectionKind,
    bar_diameter,
)
from mouldgeom.solids import SolidMould, bar_solid, body_mesh
from mouldgeom.spec import load

EXAMPLES = ("hill-example", "inch-example", "short-example")
NO_OVERLAP = 1e-6


@dataclass(frozen=True, eq=False)
class Placed:
    """A piece's mesh in its place, as a manifold, with its box."""

    name: str
    group: Group
    solid: manifold3d.Manifold
    low: Floats
    high: Floats


@cache
def solid_mould(example: str) -> SolidMould:
    return SolidMould(build(load(example)))


@cache
def meshes(example: str) -> dict[str, Mesh]:
    return {part.mark: part_mesh(part) for part in solid_mould(example).mould.parts}


@cache
def body(example: str) -> Mesh:
    return body_mesh(solid_mould(example).body)


@cache
def placed(example: str) -> tuple[Placed, ...]:
    mould: Mould = solid_mould(example).mould
    out = []
    for piece in mould.pieces():
        mesh = meshes(example)[piece.mark].placed(piece.placement)
        low, high = mesh.vertices.min(axis=0), mesh.vertices.max(axis=0)
        out.append(Placed(piece.name, piece.part.group, manifold(mesh), low, high))
    return tuple(out)


def manifold(mesh: Mesh) -> manifold3d.Manifold:
    made = manifold3d.Manifold(manifold3d.Mesh64(mesh.vertices, mesh.triangles.astype(np.uint64)))
    assert made.status() == manifold3d.Error.NoError
    return made


def independent(mesh: Mesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)


def arcs(outline: Outline) -> float:
    return sum(edge_length(a, b) for a, b in outline.edges if a.arc)


def curved_area(part: Part) -> float:
    """Area of the arcs' faces of a part, mm2, no smaller than it is."""
    if isinstance(part, Plate):
        rims = sum(math.pi * hole.diameter for hole in part.holes)
        return part.thickness * (rims + arcs(part.outline) + sum(arcs(opening) for opening in part.openings))
    if isinstance(part, Bar):
        if part.kind is SectionKind.ANGLE:
            wall = tables.angle(part.section).thickness_mm
            rims = sum(math.pi * hole.diameter * wall for hole in part.holes)
            return rims + part.length * arcs(angle_section(part.section))
        if part.kind is SectionKind.SQUARE_TUBE:
            wall = 2 * tables.square_tube(part.section).thickness_mm
            rims = sum(math.pi * hole.diameter * wall for hole in part.holes)
            return rims + part.length * sum(arcs(line) for line in tube_section(part.section))
        return math.pi * bar_diameter(part) * part.length
    row = tables.bolt(part.designation)
    if part.kind is FastenerKind.WASHER:
        return math.pi * (row.washer_outside_mm + row.hole_fine_mm) * row.washer_thickness_mm
    if part.kind is FastenerKind.NUT:
        return math.pi * row.diameter_mm * row.nut_height_mm
    return math.pi * row.diameter_mm * part.length


def handles(part: Part) -> int:
    """Genus of a part: how many ways lead through it."""
    if isinstance(part, Plate):
        return len(part.holes) + len(part.openings)
    if isinstance(part, Bar):
        return len(part.holes) + (part.kind is SectionKind.SQUARE_TUBE)
    return int(part.kind is not FastenerKind.BOLT)


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_part_is_closed_and_has_the_volume_that_trimesh_finds(example: str) -> None:
    for part in solid_mould(example).mould.parts:
        mesh = meshes(example)[part.mark]
        other = independent(mesh)
        assert other.is_watertight, part.mark
        assert other.is_winding_consistent, part.mark
        assert mesh.volume == pytest.approx(other.volume, rel=1e-9), part.mark
        assert mesh.volume > 0, part.mark
        assert manifold(mesh).genus() == handles(part), part.mark


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_part_has_the_kernel_s_volume(example: str) -> None:
    straight = 0
    for part in solid_mould(example).mould.parts:
        kernel = solid_mould(example).shapes[part.mark].Volume()
        slack = CHORD * curved_area(part)
        straight += slack == 0
        assert meshes(example)[part.mark].volume == pytest.approx(kernel, rel=1e-9, abs=slack), part.mark
        assert slack < 0.03 * kernel, part.mark  # so that the check above says something
    assert straight >= 10


@pytest.mark.parametrize("chord", [0.4, 0.02, 0.001])
def test_volumes_come_closer_with_finer_chords(chord: float) -> None:
    for part in solid_mould("hill-example").mould.parts:
        kernel = solid_mould("hill-example").shapes[part.mark].Volume()
        slack = chord * curved_area(part)
        assert part_mesh(part, chord).volume == pytest.approx(kernel, rel=1e-9, abs=slack), part.mark


@pytest.mark.parametrize("leg", ["x", "y"])
def test_a_drilled_tube_has_the_kernel_s_volume(leg: str) -> None:
    """No mould has one yet; the walls of a tube are drilled in pairs."""
    holes = (BarHole(leg, 3.0, 60.0, 11.0, HolePurpose.BOLT), BarHole(leg, -5.0, 200.0, 9.0, HolePurpose.BOLT))
    here = stands(Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
    bar = Bar(Group.BASE, here, SectionKind.SQUARE_TUBE, "40x40x3", 300.0, holes)
    mesh = part_mesh(bar)
    assert independent(mesh).is_watertight
    assert mesh.volume == pytest.approx(bar_solid(bar).Volume(), abs=CHORD * curved_area(bar))
    assert manifold(mesh).genus() == 1 + 2 * len(holes)


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_body_has_the_kernel_s_volume_and_one_way_through(example: str) -> None:
    mesh = body(example)
    tube = solid_mould(example).dims.tube
    assert independent(mesh).is_watertight
    slack = CHORD * math.pi * tube.outside * (tube.length + 2 * tube.outside)
    assert mesh.volume == pytest.approx(solid_mould(example).body.Volume(), abs=slack)
    assert mesh.volume == pytest.approx(independent(mesh).volume, rel=1e-9)
    assert manifold(mesh).genus() == 1


@pytest.mark.parametrize("example", EXAMPLES)
@pytest.mark.parametrize("group", [Group.CORE, Group.OUTER_BOX, Group.NOSE, Group.BASE, Group.FASTENERS])
def test_steel_and_concrete_do_not_overlap(example: str, group: Group) -> None:
    concrete = manifold(body(example))
    found = {p.name: (p.solid ^ concrete).volume() for p in placed(example) if p.group is group}
    assert found
    assert max(found.values()) < NO_OVERLAP, max(found, key=found.__getitem__)


@pytest.mark.parametrize("example", EXAMPLES)
def test_no_two_pieces_overlap(example: str) -> None:
    near = 0
    for one, two in itertools.combinations(placed(example), 2):
        if (one.low < two.high - 1e-6).all() and (two.low < one.high - 1e-6).all():
            near += 1
            assert (one.solid ^ two.solid).volume() < NO_OVERLAP, f"{one.name} and {two.name}"
    assert near > 200


def test_a_wall_out_of_place_is_found() -> None:
    """The proof that the tests above can fail: 0.01 mm over a whole wall."""
    piece = named(solid_mould("hill-example").mould, "core wall, left")
    x, y, z = piece.placement.origin
    wrong = Placement((x + 0.01, y, z), piece.placement.x, piece.placement.y)
    mesh = meshes("hill-example")[piece.mark].placed(wrong)
    shared = (manifold(mesh) ^ manifold(body("hill-example"))).volume()
    assert shared == pytest.approx(0.01 * 154e3, rel=0.01)  # the wall above the ledge strip: some 239 mm x 650 mm
