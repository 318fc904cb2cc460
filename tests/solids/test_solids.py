"""Solids against closed formulas: frusta, prisms, Pappus, section areas; the wall field; the upright frame."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest
from OCP.ShapeAnalysis import ShapeAnalysis_ShapeTolerance

from mouldgeom import KernelError, tables
from mouldgeom.checks import run_checks
from mouldgeom.checks.measure import PlaneFace, distance, plane_faces, spacing_for
from mouldgeom.checks.walls import wall_field
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.outline import arc_of
from mouldgeom.model.assembly import Mould
from mouldgeom.model.sections import angle_section, tube_section
from mouldgeom.model.shapes import Bar, Fastener, FastenerKind, Plate, SectionKind
from mouldgeom.model.weights import bar_wall, fastener_volume
from mouldgeom.solids import SolidMould, concrete_body, part_solid, plate_solid, tube_solid, upright

pytestmark = pytest.mark.slow

EXACT = 1e-9
"""Relative difference of two ways to reckon the same plane-faced or cylindrical solid: rounding."""


def frustum(a0: float, b0: float, a1: float, b1: float, height: float) -> float:
    """Volume of a box with sides a0 x b0 below and a1 x b1 above, plane walls (prismoid formula)."""
    middle = (a0 + a1) / 2 * (b0 + b1) / 2
    return height / 6 * (a0 * b0 + 4 * middle + a1 * b1)


def wedge(root: float, tip: float, depth: float, height: float) -> float:
    """Volume of the nose: a width from 2 root to 2 tip, while the height falls evenly to nothing over the depth.

    The integral of 2 (root + t (tip - root)) height (1 - t) depth over t from 0 to 1.
    """
    return depth * height * (2 * root + tip) / 3


def cavity(dims: Dimensions) -> float:
    """Volume of the cavity: two frusta with the ledge between."""
    step, ledge, end = dims.step, dims.ledge_z, dims.end_z

    def sides(z: float, more: float = 0.0) -> tuple[float, float]:
        return 2 * (dims.core_half_x(z) + more), 2 * (dims.core_half_y(z) + more)

    upper = frustum(*sides(0, step), *sides(ledge, step), ledge)
    lower = frustum(*sides(ledge), *sides(end), end - ledge)
    return upper + lower


def vessel(dims: Dimensions) -> float:
    """Volume of the concrete without the bore of its tube."""
    nose = dims.nose
    root = 2 * nose.root_half * dims.shell * (nose.opening_top - nose.low_z)
    block = wedge(nose.root_half, nose.tip_half, nose.root_y - nose.tip_y, nose.lid_z - nose.low_z)
    return dims.width * dims.depth * dims.height + root + block - cavity(dims)


def test_body_without_bore_is_prism_and_wedge_less_two_frusta(example: Mould) -> None:
    found = concrete_body(example.dims, tube_bore=False).Volume()
    assert found == pytest.approx(vessel(example.dims), rel=EXACT)


def test_bore_takes_its_section_times_the_length_of_its_axis(example_solids: SolidMould) -> None:
    """Pappus: a round hole along a bent axis; cut by a leaning plane through its axis, it loses as much as it gains."""
    dims = example_solids.dims
    inside = dims.tube.length - (dims.tube.end_z - dims.nose.lid_z)
    bore = math.pi / 4 * dims.tube.outside**2 * inside
    assert example_solids.body.Volume() == pytest.approx(vessel(dims) - bore, rel=1e-7)


def test_tube_is_as_long_as_its_axis(example: Mould) -> None:
    dims = example.dims
    tube = dims.tube
    straight = [
        abs(tube.inlet[0] - tube.first_centre[0]),
        abs(tube.first_centre[1] - tube.crest_centre[1]),
        abs(tube.end_z - tube.crest_centre[1]),
    ]
    assert tube.length == pytest.approx(sum(straight) + math.pi * tube.bend_radius * (1 / 2 + 1))
    ends = 7.0
    for diameter in (tube.outside, tube.bore):
        rod = tube_solid(dims, diameter, beyond=ends).Volume()
        assert rod == pytest.approx(math.pi / 4 * diameter**2 * (tube.length + 2 * ends), rel=1e-6)


def test_tube_touches_the_core_wall_and_does_not_enter_it(example_solids: SolidMould) -> None:
    """Cut square, its upper edge reaches the drafted wall; its end is flush with the outside of the lid."""
    dims, box = example_solids.dims, example_solids.tube.BoundingBox()
    short = dims.tube.outside / 2 * dims.taper
    assert box.ymax == pytest.approx(dims.tube.inlet[0] - short, abs=1e-6)
    assert box.zmax == pytest.approx(max(dims.tube.end_z, dims.tube.inlet[1] + dims.tube.outside / 2), abs=1e-6)


def test_body_is_one_closed_solid(example_solids: SolidMould) -> None:
    for shape in (example_solids.body, example_solids.tube, example_solids.upright_body):
        assert shape.isValid()
        assert shape.ShapeType() == "Solid"


def test_cavity_holds_the_charge_between_rest_and_full_level(example: Mould) -> None:
    """Cut out of the solid cavity, between the two levels (1e-3 mm3 of a bisection over 80 halvings)."""
    dims = example.dims
    levels = dims.levels
    solid_cavity = cq.Solid.makeBox(2000, 2000, dims.height, cq.Vector(-1000, -1000, 0))
    body = concrete_body(dims, tube_bore=False)
    low, high = dims.height - levels.full, dims.height - levels.rest
    inside = cq.Solid.makeBox(
        dims.width - 2, dims.depth - 2, high - low, cq.Vector(1 - dims.width / 2, 1 - dims.depth / 2, low)
    )
    held = inside.Volume() - solid_cavity.intersect(inside).intersect(body).Volume()
    assert held / 1e6 == pytest.approx(dims.spec.filter.charge, rel=1e-6)


# ---------------------------------------------------------------- parts


def plate_by_hand(plate: Plate) -> float:
    """Shoelace over the corners, circle segments added, holes and openings off, times thickness."""

    def area(outline) -> float:  # type: ignore[no-untyped-def]  # outlines of any kind
        total = 0.0
        for a, b in outline.edges:
            total += (a.x * b.y - b.x * a.y) / 2
            if a.arc:
                _, radius, _, sweep = arc_of(a, b)
                total += radius**2 / 2 * (sweep - math.sin(sweep))
        return total

    openings = sum(area(opening) for opening in plate.openings)
    holes = sum(math.pi * (hole.diameter / 2) ** 2 for hole in plate.holes)
    return (area(plate.outline) - openings - holes) * plate.thickness


def bar_by_hand(bar: Bar) -> float:
    """Section by rectangles, less or plus the corners of their radii, times length, less the holes."""
    corner = 1 - math.pi / 4
    if bar.kind is SectionKind.ANGLE:
        row = tables.angle(bar.section)
        a, t = row.leg_mm, row.thickness_mm
        section = (2 * a - t) * t + corner * (row.root_radius_mm**2 - 2 * row.toe_radius_mm**2)
    elif bar.kind is SectionKind.SQUARE_TUBE:
        tube = tables.square_tube(bar.section)
        inner = tube.side_mm - 2 * tube.thickness_mm
        section = tube.side_mm**2 - inner**2 - 4 * corner * (tube.outer_radius_mm**2 - tube.inner_radius_mm**2)
    elif bar.kind is SectionKind.ROD:
        section = math.pi / 4 * tables.rod(bar.section).diameter_mm ** 2
    else:
        section = math.pi / 4 * tables.bolt(bar.section).diameter_mm ** 2
    return section * bar.length - sum(math.pi / 4 * hole.diameter**2 * bar_wall(bar) for hole in bar.holes)


def fastener_by_hand(part: Fastener) -> float:
    """Hexagon prisms, cylinders and rings; a shank is as thick as the thread's outside."""
    row = tables.bolt(part.designation)
    hexagon = 2 * math.sqrt(3) * (row.across_flats_mm / 2) ** 2
    shank = math.pi / 4 * row.diameter_mm**2
    if part.kind is FastenerKind.BOLT:
        return hexagon * row.head_height_mm + shank * part.length
    if part.kind is FastenerKind.NUT:
        return (hexagon - shank) * row.nut_height_mm
    return math.pi / 4 * (row.washer_outside_mm**2 - row.hole_fine_mm**2) * row.washer_thickness_mm


def test_each_part_has_the_volume_of_its_formula(example_solids: SolidMould) -> None:
    for part in example_solids.mould.parts:
        if isinstance(part, Plate):
            wanted = plate_by_hand(part)
            assert wanted == pytest.approx(part.area * part.thickness, rel=EXACT)
        elif isinstance(part, Bar):
            wanted = bar_by_hand(part)
        else:
            wanted = fastener_by_hand(part)
        shape = example_solids.shapes[part.mark]
        assert shape.Volume() == pytest.approx(wanted, rel=EXACT), part.name
        assert shape.isValid(), part.name
        assert shape.ShapeType() == "Solid", part.name


def test_masses_by_volume_and_by_the_table(example_solids: SolidMould) -> None:
    """Bars by the table's mass a metre, rounded, and for inch tubes of the nominal wall: 3 %.

    Threads by their pitch diameter, solids by the outside: up to 17 % of a rod, less of a bolt with its head.
    """
    mould = example_solids.mould
    density = mould.dims.stock.steel.density_kg_m3 * 1e-9
    for part in mould.parts:
        by_volume = example_solids.shapes[part.mark].Volume() * density
        if isinstance(part, Plate):
            assert mould.mass(part) == pytest.approx(by_volume, rel=EXACT), part.name
        elif isinstance(part, Bar):
            thread = 0.17 if part.kind is SectionKind.THREADED_ROD else 0.03
            assert mould.mass(part) == pytest.approx(by_volume, rel=thread), part.name
        else:
            assert mould.mass(part) == pytest.approx(fastener_volume(part) * density), part.name
            assert mould.mass(part) == pytest.approx(by_volume, rel=0.2), part.name


@pytest.mark.parametrize("row", [a for a in tables.angles() if a.system == "metric"], ids=lambda row: row.designation)
def test_angle_sections_have_the_area_of_the_table(row: tables.Angle) -> None:
    """Printed to three figures, and with the toe radius rounded: 0.6 %."""
    assert angle_section(row.designation).area / 100 == pytest.approx(row.area_cm2, rel=0.006)


@pytest.mark.parametrize(
    "row", [t for t in tables.square_tubes() if t.system == "metric"], ids=lambda row: row.designation
)
def test_tube_sections_have_the_area_of_the_table(row: tables.SquareTube) -> None:
    """Printed to three figures: 0.6 %."""
    outer, inner = tube_section(row.designation)
    assert (outer.area - inner.area) / 100 == pytest.approx(row.area_cm2, rel=0.006)


def test_a_kernel_fault_carries_mark_and_dimensions(example: Mould, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("BRep_API: command not done")

    monkeypatch.setattr("mouldgeom.solids._prism", fail)
    plate = example.plates[0]
    with pytest.raises(KernelError, match=r"A1 \(.* mm, area \d+ mm2\).*command not done"):
        plate_solid(plate)
    with pytest.raises(KernelError, match=example.bars[0].mark):
        part_solid(example.bars[0])


# ---------------------------------------------------------------- the upright frame


def test_upright_is_one_half_turn_about_y(example_solids: SolidMould) -> None:
    """(x, y, z) to (-x, y, H - z), and no mirror: volumes stay positive, left goes to x < 0."""
    dims = example_solids.dims
    box = cq.Solid.makeBox(10, 20, 30, cq.Vector(100, -200, 300))
    turned = upright(box, dims)
    assert turned.Volume() == pytest.approx(6000)
    bounds = turned.BoundingBox()
    assert (bounds.xmin, bounds.xmax) == pytest.approx((-110, -100), abs=1e-4)
    assert (bounds.ymin, bounds.ymax) == pytest.approx((-200, -180), abs=1e-4)
    assert (bounds.zmin, bounds.zmax) == pytest.approx((dims.height - 330, dims.height - 300), abs=1e-4)
    left = next(p for p in example_solids.pieces if p.name == "side panel, left")
    assert left.shape.Center().x > 0
    assert upright(left.shape, dims).Center().x < 0


def test_upright_body_stands_on_its_base_with_the_nose_at_the_front(example_solids: SolidMould) -> None:
    dims, body = example_solids.dims, example_solids.upright_body
    box = body.BoundingBox()
    assert body.Volume() == pytest.approx(example_solids.body.Volume(), rel=EXACT)
    assert (box.zmin, box.zmax) == pytest.approx((0, dims.height), abs=1e-4)
    assert box.ymin == pytest.approx(dims.nose.tip_y, abs=1e-4)
    assert box.ymax == pytest.approx(dims.depth / 2, abs=1e-4)
    heights = [face.Center().z for face in body.Faces() if face.geomType() == "PLANE" and face.normalAt().z > 0.999]
    for level in (dims.levels.floor, dims.levels.ledge, dims.levels.rim):
        assert min(abs(z - level) for z in heights) < 1e-6


# ---------------------------------------------------------------- wall field

WALL, DRAFT, RIM, TALL = 45.0, 1.5, 260.0, 700.0


def tapered_box() -> tuple[list[PlaneFace], list[PlaneFace]]:
    """A plain box with a tapered cavity, 45 mm of wall at z = 0: inner and outer side faces."""
    cavity = cq.Workplane("XY").rect(RIM, RIM).extrude(TALL, taper=DRAFT)
    outer = cq.Workplane("XY").box(RIM + 2 * WALL, RIM + 2 * WALL, TALL, centered=(True, True, False))

    def sides(shape: cq.Shape) -> list[PlaneFace]:
        return [face for face in plane_faces(shape) if abs(face.normal[2]) < 0.5]

    inner, outside = sides(cavity.val()), sides(outer.val())
    assert (len(inner), len(outside)) == (4, 4)
    return inner, outside


@pytest.mark.parametrize("count", [24_000, 100_000])
def test_wall_field_of_a_plain_tapered_box(count: int) -> None:
    """Inside: w + z tan(draft), square to the plumb outer face.  Outside: times cos(draft)."""
    field = wall_field(*tapered_box(), count)
    assert len(field.points) >= max(20_000, count)
    least, _, _ = field.least()
    assert least == pytest.approx(WALL, abs=1e-6)
    tangent, cosine = math.tan(math.radians(DRAFT)), math.cos(math.radians(DRAFT))
    x, y, z = field.points.T
    reach = np.maximum(abs(x), abs(y))
    wall = WALL + z * tangent
    inside = field.face_of < 4
    assert np.abs(reach[inside] - (RIM / 2 - z[inside] * tangent)).max() < 1e-6
    assert np.abs(field.thickness[inside] - wall[inside]).max() < 0.01
    foot = z - wall * cosine * math.sin(math.radians(DRAFT))
    square_on = ~inside & (foot > 0) & (np.minimum(abs(x), abs(y)) < RIM / 2 - z * tangent - 1)
    assert square_on.sum() > 5000
    assert np.abs(field.thickness[square_on] - wall[square_on] * cosine).max() < 0.01


def test_distance_to_a_face_by_hand() -> None:
    """To a unit square: over it, beside an edge (3-4-5), beyond a corner."""
    (face,) = [f for f in plane_faces(cq.Solid.makeBox(1, 1, 1)) if f.normal[2] > 0.5]
    points = np.array([[0.5, 0.5, 3.0], [0.5, 4.0, 5.0], [3.0, 4.0, 1.0]])
    found, which = distance(points, [face])
    assert found == pytest.approx([2.0, 5.0, math.hypot(2, 3)])
    assert which.tolist() == [0, 0, 0]


def test_spread_covers_a_face_evenly() -> None:
    inner, _ = tapered_box()
    spacing = spacing_for(inner, 10_000)
    points = np.concatenate([face.spread(spacing, rim=False) for face in inner])
    assert len(points) == pytest.approx(10_000, rel=0.05)
    away, _ = distance(points, inner)
    assert away.max() < 1e-9


# ---------------------------------------------------------------- left as they are


def tolerances(solids: SolidMould) -> dict[str, float]:
    """Mean tolerance of the faces, edges and corners of each part's solid."""
    return {mark: ShapeAnalysis_ShapeTolerance().Tolerance(shape.wrapped, 0) for mark, shape in solids.shapes.items()}


def test_no_check_changes_the_solids_that_it_measures(example: Mould) -> None:
    """A boolean operation of the kernel widens tolerances of what it is given, unless it is told not to."""
    solids = SolidMould(example)
    before = tolerances(solids)
    run_checks(solids)
    assert tolerances(solids) == before
