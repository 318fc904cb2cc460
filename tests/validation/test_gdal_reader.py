"""Cutting files as another program reads them: GDAL's DXF driver, through pyogrio; it shares no code with the writer.

Reference: each plate's own numbers (area, holes, layers), worked out by hand where the shape allows.

Tolerance: coordinates are written to 1e-6 mm, which moves an area by at most 1e-6 mm2 for each mm of line; straight
edges leave nothing else, far below the 0.05 mm2 that would matter.  GDAL turns arcs into chords of 0.25 degrees: over
an arc of radius r and angle a, chords of angle s lose r2 (a - n sin(a / n)) / 2, with n = a / s about r2 a s2 / 12,
which is added for each arc.  It is 0.0003 mm2 for an 11 mm hole, 0.06 mm2 for the flat arc of radius 182 mm below.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import pyogrio  # type: ignore[import-untyped]  # the library has no types
import pytest
from conftest import stands
from shapely import Polygon, from_wkb
from shapely.geometry.base import BaseGeometry

from mouldgeom.geometry.outline import Outline, Vertex, arc_of
from mouldgeom.geometry.placement import Placement
from mouldgeom.model.shapes import ConcreteFace, Group, Hole, HolePurpose, Plate
from mouldgeom.outputs.dxf import CutOptions, flat_dxf, plate_pattern
from mouldgeom.spec.fields import HoleMethod

STEP = math.radians(0.25)
SETTINGS = {"OGR_ARC_STEPSIZE": "0.25", "DXF_CLOSED_LINE_AS_POLYGON": "TRUE"}
OPTIONS = CutOptions(HoleMethod.FULL, 6.0, 1.8, False, 12.0, "plasma")
HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


def plate(outline: Outline, holes: tuple[Hole, ...] = (), openings: tuple[Outline, ...] = ()) -> Plate:
    return Plate(Group.BASE, stands(HERE), "3 mm", 3.0, outline, ConcreteFace.OUTLINE, holes, openings, mark="C7")


GRID = tuple(Hole(x, y, 11.0, HolePurpose.BOLT) for x in (20.0, 250.0, 480.0) for y in (20.0, 280.0))
STRAIGHT = plate(
    Outline.polygon([(0, 0), (300, 0), (300, 30), (40, 30), (40, 150), (0, 150)]),
    openings=(Outline.rectangle(10, 60, 30, 100),),
)
ROUNDED = plate(
    Outline.rectangle(0, 0, 500, 300, 15),
    (*GRID, Hole(250, 150, 29, HolePurpose.SCREW), Hole(250, 90, 10, HolePurpose.TUBE)),
    (
        Outline.rectangle(60, 100, 160, 200, 8),
        Outline((Vertex(330, 140), Vertex(400, 140, 1), Vertex(400, 180), Vertex(330, 180, 1))),
    ),
)
"""The last opening is a slot: 70 mm long between the centres of its two half circles of radius 20."""
NOTCHED = plate(
    Outline((Vertex(0, 0), Vertex(200, 0), Vertex(200, 100, 0.3), Vertex(0, 100), Vertex(0, 80, -1.0), Vertex(0, 20)))
)
"""One arc bulges outwards, the other cuts in."""
PLATES = {"straight": STRAIGHT, "rounded": ROUNDED, "notched": NOTCHED}


@dataclass(frozen=True)
class Found:
    """What GDAL made of one entity."""

    layer: str
    kind: str
    shape: BaseGeometry
    text: str | None


@pytest.fixture(autouse=True)
def gdal_settings() -> Iterator[None]:
    before = {name: pyogrio.get_gdal_config_option(name) for name in SETTINGS}
    pyogrio.set_gdal_config_options(SETTINGS)
    yield
    pyogrio.set_gdal_config_options(before)


def gdal(data: bytes) -> list[Found]:
    """Read the bytes as they are, closed lines as polygons (GDAL leaves circles as closed lines)."""
    meta, _, shapes, fields = pyogrio.raw.read(io.BytesIO(data))
    column = dict(zip(meta["fields"], fields, strict=True))
    out = []
    for wkb, layer, classes, text in zip(shapes, column["Layer"], column["SubClasses"], column["Text"], strict=True):
        shape = from_wkb(wkb)
        if shape.geom_type == "LineString":
            assert shape.is_closed, "a loose line"
            shape = Polygon(shape)
        out.append(Found(layer, classes.split(":")[-1], shape, text))
    return out


def tolerance(*outlines: Outline, circles: tuple[float, ...] = ()) -> float:
    total = 0.0
    for outline in outlines:
        total += 1e-6 * outline.length
        for a, b in outline.edges:
            if a.arc:
                _, radius, _, sweep = arc_of(a, b)
                total += radius**2 * abs(sweep) * STEP**2 / 12
    return total + sum(2e-6 * math.pi * d + (d / 2) ** 2 * 2 * math.pi * STEP**2 / 12 for d in circles)


def plate_tolerance(part: Plate) -> float:
    return tolerance(part.outline, *part.openings, circles=tuple(h.diameter for h in part.holes))


def net_area(found: list[Found]) -> float:
    outside = sum(f.shape.area for f in found if f.layer == "CUT_OUTSIDE")
    return float(outside - sum(f.shape.area for f in found if f.layer == "CUT_INSIDE"))


@pytest.mark.parametrize("name", PLATES)
def test_net_area(name: str) -> None:
    part = PLATES[name]
    assert net_area(gdal(flat_dxf(part, OPTIONS))) == pytest.approx(part.area, abs=plate_tolerance(part))


def test_tolerance_is_small() -> None:
    assert plate_tolerance(STRAIGHT) < 0.05
    assert plate_tolerance(ROUNDED) < 0.05
    assert plate_tolerance(NOTCHED) < 0.07


def test_net_area_by_hand() -> None:
    """L of 300 x 30 and 40 x 120 less an opening of 20 x 40; rectangle, rounded corners, slot and holes likewise."""
    assert net_area(gdal(flat_dxf(STRAIGHT, OPTIONS))) == pytest.approx(9000 + 4800 - 800, abs=0.05)
    corners = (4 - math.pi) * (15**2 - 8**2)
    slot = 70 * 40 + math.pi * 20**2
    holes = math.pi / 4 * (6 * 11**2 + 29**2 + 10**2)
    assert net_area(gdal(flat_dxf(ROUNDED, OPTIONS))) == pytest.approx(
        500 * 300 - 100 * 100 - corners - slot - holes, abs=0.05
    )


@pytest.mark.parametrize("name", PLATES)
def test_net_area_with_kerf_compensation(name: str) -> None:
    part, options = PLATES[name], replace(OPTIONS, kerf_compensation=True)
    pattern = plate_pattern(part, options)
    round_cuts = tuple(c.diameter for c in pattern.circles)
    wanted = pattern.outside.area - sum(i.area for i in pattern.insides) - sum(math.pi / 4 * d**2 for d in round_cuts)
    found = gdal(flat_dxf(part, options))
    allowed = tolerance(pattern.outside, *pattern.insides, circles=round_cuts)
    assert net_area(found) == pytest.approx(wanted, abs=allowed)
    # The torch takes half a kerf on either side of the line: what is left is the plate itself.
    left = sum(f.shape.buffer(-0.9, join_style="mitre").area for f in found if f.layer == "CUT_OUTSIDE")
    gone = sum(f.shape.buffer(0.9, join_style="mitre").area for f in found if f.layer == "CUT_INSIDE")
    assert left - gone == pytest.approx(part.area, abs=allowed + 0.001)


def test_holes_and_diameters() -> None:
    found = [f for f in gdal(flat_dxf(ROUNDED, OPTIONS)) if f.kind == "AcDbCircle"]
    assert {f.layer for f in found} == {"CUT_INSIDE"}
    assert len(found) == len(ROUNDED.holes)
    seen = []
    for f in found:
        x0, y0, x1, y1 = f.shape.bounds
        assert x1 - x0 == pytest.approx(y1 - y0, abs=1e-4)
        seen.append((round((x0 + x1) / 2, 4), round((y0 + y1) / 2, 4), round(x1 - x0, 4)))
    assert sorted(seen) == sorted((h.x, h.y, h.diameter) for h in ROUNDED.holes)


def test_layers_and_kinds() -> None:
    found = gdal(flat_dxf(ROUNDED, replace(OPTIONS, hole_method=HoleMethod.CENTRE)))
    counts: dict[tuple[str, str], int] = {}
    for f in found:
        counts[f.layer, f.shape.geom_type] = counts.get((f.layer, f.shape.geom_type), 0) + 1
    assert counts == {
        ("CUT_OUTSIDE", "Polygon"): 1,
        ("CUT_INSIDE", "Polygon"): 4,
        ("CENTRE_MARK", "Point"): 6,
        ("ETCH_TEXT", "Point"): 1,
    }
    points = sorted((f.shape.x, f.shape.y) for f in found if f.layer == "CENTRE_MARK")
    assert points == sorted((h.x, h.y) for h in GRID)


def test_part_mark() -> None:
    part = replace(STRAIGHT, openings=())
    (text,) = [f for f in gdal(flat_dxf(part, OPTIONS)) if f.layer == "ETCH_TEXT"]
    assert text.text == "C7"
    assert Polygon(part.outline.points()).contains(text.shape)


def test_inner_cuts_lie_in_the_outline_and_do_not_cross() -> None:
    found = [f for f in gdal(flat_dxf(ROUNDED, OPTIONS)) if f.layer.startswith("CUT")]
    (outside,) = [f.shape for f in found if f.layer == "CUT_OUTSIDE"]
    insides = [f.shape for f in found if f.layer == "CUT_INSIDE"]
    assert len(insides) == len(ROUNDED.holes) + len(ROUNDED.openings)
    for i, inside in enumerate(insides):
        assert outside.contains(inside)
        assert not any(inside.intersects(other) for other in insides[:i])


def test_arcs_bulge_to_their_own_side() -> None:
    """The notch: a half circle of radius 30 cut in from the left; the top: 0.3 x 100 mm = 30 mm above 100 mm."""
    (outside,) = [f.shape for f in gdal(flat_dxf(NOTCHED, OPTIONS)) if f.layer == "CUT_OUTSIDE"]
    assert outside.bounds == pytest.approx((0, 0, 200, 130), abs=1e-3)
    angle = 4 * math.atan(0.3)
    radius = 100 / math.sin(angle / 2)
    area = 200 * 100 + radius**2 * (angle - math.sin(angle)) / 2 - math.pi * 30**2 / 2
    assert outside.area == pytest.approx(area, abs=plate_tolerance(NOTCHED))
