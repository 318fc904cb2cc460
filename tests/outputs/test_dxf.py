"""Cutting files: what they hold, what they refuse, and that the same plate gives the same bytes."""

from __future__ import annotations

import io
import math
import os
import subprocess
import sys
import time
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from conftest import stands
from ezdxf.document import Drawing
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import read
from hypothesis import assume, given
from hypothesis import strategies as st
from random_specs import profile
from shapely import Point as Spot
from shapely import Polygon, affinity, box

from mouldgeom import rules, units
from mouldgeom.errors import GeometryError
from mouldgeom.geometry.offset import offset_outline
from mouldgeom.geometry.outline import Outline, Vertex
from mouldgeom.geometry.placement import Placement
from mouldgeom.model.shapes import ConcreteFace, Group, Hole, HolePurpose, Plate
from mouldgeom.outputs import dxf
from mouldgeom.outputs.dxf import CutOptions, CutPattern, RoundCut, Transform, flat_dxf, plate_pattern
from mouldgeom.outputs.dxf_layers import Layer
from mouldgeom.spec import Spec
from mouldgeom.spec.fields import HoleMethod

HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
NOMINAL = CutOptions(HoleMethod.FULL, 6.0, 1.8, False, 12.0, "plasma")
BIGGER = replace(NOMINAL, kerf_compensation=True)
FAST = profile(40)


def plate(outline: Outline, holes: tuple[Hole, ...] = (), openings: tuple[Outline, ...] = (), **more: object) -> Plate:
    given = {"label": "test plate", "thickness": 3.0, "sheet": "3 mm", "mark": "A1", "stands": stands(HERE)} | more
    return Plate(
        group=Group.BASE,
        outline=outline,
        holes=holes,
        openings=openings,
        concrete_face=given.pop("concrete_face", ConcreteFace.OUTLINE),  # type: ignore[arg-type]  # fields by name
        **given,  # type: ignore[arg-type]  # fields by name
    )


def bolt(x: float, y: float, diameter: float = 11.0) -> Hole:
    return Hole(x, y, diameter, HolePurpose.BOLT)


BOLTS = tuple(bolt(x, y) for x in (-130.0, 130.0) for y in (-180.0, 0.0, 180.0))
PANEL = plate(
    Outline.rectangle(-150, -200, 150, 200, 12),
    (*BOLTS, Hole(60, 0, 29, HolePurpose.SCREW), Hole(60, 90, 10, HolePurpose.TUBE)),
    (Outline.rectangle(-80, -120, -20, -30, 6),),
    mark="A3",
    stands=stands(HERE, HERE),
)
"""A plate that is not its own mirror image, with every kind of cut."""
LEG = Outline.polygon([(0, 0), (200, 0), (200, 30), (40, 30), (40, 150), (0, 150)])
"""An L: not convex, and not its own mirror image."""


def opened(data: bytes) -> Drawing:
    return read(io.StringIO(data.decode("ascii")))


def shape(outline: Outline, step: float = 0.5) -> Polygon:
    return Polygon(outline.points(step))


def entities(data: bytes) -> list[tuple[str, str]]:
    """Type and layer of each entity, read from the text itself, without the library that wrote it."""
    lines = data.decode("ascii").split("\n")
    tags = [(int(code), value) for code, value in zip(lines[0:-1:2], lines[1::2], strict=True)]
    start = tags.index((2, "ENTITIES"))
    found: list[list[str]] = []
    for code, value in tags[start + 1 :]:
        if code == 0:
            if value == "ENDSEC":
                break
            found.append([value, ""])
        elif code == 8:
            found[-1][1] = value
    return [(kind, layer) for kind, layer in found]


def polylines(data: bytes, layer: Layer) -> list[Outline]:
    """The closed polylines of one layer; a loose or clockwise one fails."""
    out = []
    for line in opened(data).modelspace():
        if isinstance(line, LWPolyline) and line.dxf.layer == layer:
            assert line.closed
            out.append(Outline(tuple(Vertex(*v) for v in line.get_points("xyb"))))
    return out


def comments(data: bytes) -> list[str]:
    lines = data.decode("ascii").split("\n")
    return [text for code, text in zip(lines[0:-1:2], lines[1::2], strict=True) if code == "999"]


def circles(data: bytes, layer: Layer = Layer.CUT_INSIDE) -> list[tuple[float, float, float]]:
    drawn = opened(data).modelspace().query(f'CIRCLE[layer=="{layer}"]')
    return sorted((c.dxf.center.x, c.dxf.center.y, 2 * c.dxf.radius) for c in drawn)


def marks(data: bytes) -> list[tuple[float, float]]:
    drawn = opened(data).modelspace().query(f'POINT[layer=="{Layer.CENTRE_MARK}"]')
    return sorted((p.dxf.location.x, p.dxf.location.y) for p in drawn)


# --- the file --------------------------------------------------------------------------------------------------------


def test_format_and_units() -> None:
    drawing = opened(flat_dxf(PANEL, NOMINAL))
    assert drawing.dxfversion == "AC1015"
    assert drawing.header["$INSUNITS"] == 4
    assert drawing.header["$MEASUREMENT"] == 1


def test_ascii_with_plain_line_ends() -> None:
    data = flat_dxf(replace(PANEL, label="plaque été \u1218 x\r\n  0\nEOF"), NOMINAL)
    assert data.isascii()
    assert b"\r" not in data
    assert data.endswith(b"  0\nEOF\n")
    assert comments(data)[2] == "name: plaque ete ? x 0 EOF"
    assert not opened(data).audit().fixes


@pytest.mark.parametrize("options", [NOMINAL, BIGGER, replace(NOMINAL, hole_method=HoleMethod.CENTRE)])
def test_audit_finds_nothing(options: CutOptions) -> None:
    audit = opened(flat_dxf(PANEL, options)).audit()
    assert not audit.errors
    assert not audit.fixes


def test_handles_are_unique_and_below_the_seed() -> None:
    data = flat_dxf(PANEL, NOMINAL)
    lines = data.decode().split("\n")
    tags = list(zip(lines[0:-1:2], lines[1::2], strict=True))
    handles = [int(value, 16) for code, value in tags if code.strip() in {"5", "105"}]
    seed, *handles = handles  # $HANDSEED of the header has group code 5 too
    assert len(handles) == len(set(handles))
    assert seed > max(handles)


def test_extents_are_those_of_the_cuts() -> None:
    half_round = Outline((Vertex(0, 0), Vertex(60, 0, 1.0), Vertex(60, 40)))
    closed = Outline((*half_round.vertices, Vertex(0, 40)))
    header = opened(flat_dxf(plate(closed), NOMINAL)).header
    assert header["$EXTMIN"] == pytest.approx((0, 0, 0), abs=1e-6)
    assert header["$EXTMAX"] == pytest.approx((80, 40, 0), abs=1e-6)
    header = opened(flat_dxf(plate(closed), BIGGER)).header
    assert header["$EXTMIN"] == pytest.approx((-0.9, -0.9, 0), abs=1e-6)
    assert header["$EXTMAX"] == pytest.approx((80.9, 40.9, 0), abs=1e-6)
    layout = opened(flat_dxf(plate(closed), NOMINAL)).modelspace()
    assert layout.dxf.extmax.x == pytest.approx(80, abs=1e-6)


def test_no_dates_no_identifiers() -> None:
    text = flat_dxf(PANEL, NOMINAL).decode()
    for word in ("$TDCREATE", "$TDUPDATE", "GUID", "EZDXF_META", "T00:00:00"):
        assert word not in text
    assert time.strftime("%Y-%m") not in text


SCRIPT = """
import hashlib
from mouldgeom.outputs.dxf import CutOptions, flat_dxf
from mouldgeom.identity import BASE, PieceId, Role
from mouldgeom.model.shapes import *
from mouldgeom.spec.fields import HoleMethod
here = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
holes = tuple(Hole(x, y, 11.0, HolePurpose.BOLT) for x in (20.0, 480.0) for y in (20.0, 150.0, 280.0))
stands = (Stand(PieceId(Role.BASE_PLATE), BASE, here),)
part = Plate(Group.BASE, stands, "3 mm", 3.0, Outline.rectangle(0, 0, 500, 300, 7), ConcreteFace.OUTLINE,
             holes, (Outline.rectangle(200, 100, 300, 200, 9),), mark="B2")
total = hashlib.sha256()
for method in HoleMethod:
    for kerf in (False, True):
        total.update(flat_dxf(part, CutOptions(method, 6.0, 1.8, kerf, 12.0, "plasma")))
digest = total.hexdigest()
"""


def test_same_bytes_in_every_process() -> None:
    def run(seed: str, zone: str, tongue: str) -> str:
        env = os.environ | {"PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": tongue, "LANG": tongue}
        env["PYTHONPATH"] = str(Path(units.__file__).parents[1])
        script = SCRIPT + "print(digest)"
        done = subprocess.run([sys.executable, "-c", script], env=env, capture_output=True, text=True, check=True)
        return done.stdout.strip()

    scope: dict[str, str] = {}
    exec(SCRIPT, scope, scope)
    seen = {run("0", "UTC", "C"), run("1", "Pacific/Auckland", "C.UTF-8"), run("77", "America/St_Johns", "de_DE.UTF-8")}
    assert seen == {scope["digest"]}


def test_same_bytes_whatever_was_written_before() -> None:
    first = flat_dxf(PANEL, NOMINAL)
    flat_dxf(plate(LEG), BIGGER)
    assert flat_dxf(PANEL, NOMINAL) == first


def test_speed() -> None:
    """Twice the budget of 0.15 s for 25 plates, the best of five, so that a busy machine does not fail it."""

    def once() -> float:
        start = time.process_time()
        for _ in range(25):
            flat_dxf(PANEL, NOMINAL)
        return time.process_time() - start

    assert min(once() for _ in range(5)) < 0.3


# --- layers ----------------------------------------------------------------------------------------------------------


def test_layers_are_distinct_and_legal() -> None:
    assert len({layer.colour for layer in Layer}) == len(Layer)
    for layer in Layer:
        assert layer == layer.name
        assert layer.isascii()
        assert 1 <= layer.colour <= 255
        assert layer.use


def test_table_holds_the_layers_and_no_others_but_zero() -> None:
    data = flat_dxf(PANEL, NOMINAL)
    text = data.decode()
    table = text[text.index("TABLE\n  2\nLAYER\n") : text.index("TABLE\n  2\nSTYLE\n")]
    lines = table.split("\n")
    names = [lines[i + 1] for i, line in enumerate(lines) if line == "AcDbLayerTableRecord" for i in (i + 1,)]
    assert set(names) == {"0", *(layer.value for layer in Layer)}
    for layer in Layer:
        assert opened(data).layers.get(layer).color == layer.colour


@pytest.mark.parametrize("method", list(HoleMethod))
@pytest.mark.parametrize("kerf", [False, True])
def test_each_kind_of_thing_on_its_own_layer(method: HoleMethod, kerf: bool) -> None:
    found = set(entities(flat_dxf(PANEL, replace(NOMINAL, hole_method=method, kerf_compensation=kerf))))
    allowed = {
        ("LWPOLYLINE", Layer.CUT_OUTSIDE),
        ("LWPOLYLINE", Layer.CUT_INSIDE),
        ("CIRCLE", Layer.CUT_INSIDE),
        ("POINT", Layer.CENTRE_MARK),
        ("TEXT", Layer.ETCH_TEXT),
    }
    assert found <= allowed
    assert found >= {("LWPOLYLINE", Layer.CUT_OUTSIDE), ("LWPOLYLINE", Layer.CUT_INSIDE), ("TEXT", Layer.ETCH_TEXT)}


def test_outside_is_drawn_once_and_last() -> None:
    found = entities(flat_dxf(PANEL, NOMINAL))
    assert found.count(("LWPOLYLINE", "CUT_OUTSIDE")) == 1
    assert found[-1] == ("LWPOLYLINE", "CUT_OUTSIDE")


# --- shape -----------------------------------------------------------------------------------------------------------


def test_outline_is_drawn_as_given_and_not_mirrored() -> None:
    data = flat_dxf(PANEL, NOMINAL)
    for layer, outline in ((Layer.CUT_OUTSIDE, PANEL.outline), (Layer.CUT_INSIDE, PANEL.openings[0])):
        (drawn,) = polylines(data, layer)
        for one, other in zip(drawn.vertices, outline.vertices, strict=True):
            assert (one.x, one.y, one.arc) == pytest.approx((other.x, other.y, other.arc), abs=1e-6)
    assert (60, 0, 29) in circles(data)


def test_corner_bulge_is_that_of_a_quarter_circle() -> None:
    """Bulge = tan(angle / 4): 0.414214 for 90 degrees (definition in the DXF reference, recomputed)."""
    (drawn,) = polylines(flat_dxf(PANEL, NOMINAL), Layer.CUT_OUTSIDE)
    assert {round(v.arc, 6) for v in drawn.vertices} == {0.0, 0.414214}


def test_same_hole_twice_is_cut_once() -> None:
    data = flat_dxf(plate(Outline.rectangle(0, 0, 200, 100), (bolt(30, 30), bolt(30, 30))), NOMINAL)
    assert circles(data) == [(30, 30, 11)]


# --- holes -----------------------------------------------------------------------------------------------------------


def of_holes(holes: tuple[Hole, ...], options: CutOptions, thickness: float = 3.0) -> bytes:
    return flat_dxf(plate(Outline.rectangle(0, 0, 300, 200), holes, thickness=thickness), options)


def test_full_size() -> None:
    data = of_holes((bolt(30, 40), bolt(30, 80, 5.9), bolt(30, 120, 6.0)), NOMINAL)
    assert rules.least_cut_hole(3.0, "plasma") == 6.0
    assert circles(data) == [(30, 40, 11), (30, 120, 6)]
    assert marks(data) == [(30, 80)]


def test_a_hole_too_small_for_the_thickness_is_marked() -> None:
    """Least plasma hole 1.5 t: 11 mm can be cut in 7 mm plate (10.5 mm), not in 8 mm (12 mm)."""
    assert circles(of_holes((bolt(30, 40),), NOMINAL, 7.0)) == [(30, 40, 11)]
    assert marks(of_holes((bolt(30, 40),), NOMINAL, 8.0)) == [(30, 40)]
    assert circles(of_holes((bolt(30, 40),), replace(NOMINAL, process="laser"), 8.0)) == [(30, 40, 11)]


def test_pilot() -> None:
    pilot = replace(NOMINAL, hole_method=HoleMethod.PILOT)
    holes = (bolt(30, 40), Hole(80, 40, 29, HolePurpose.SCREW), Hole(150, 40, 10, HolePurpose.TUBE))
    assert circles(of_holes(holes, pilot)) == [(30, 40, 6), (80, 40, 29), (150, 40, 10)]
    too_small = of_holes(holes, replace(pilot, pilot_diameter=5.0))
    assert circles(too_small) == [(80, 40, 29), (150, 40, 10)]
    assert marks(too_small) == [(30, 40)]


def test_pilot_is_never_larger_than_the_hole() -> None:
    pilot = replace(NOMINAL, hole_method=HoleMethod.PILOT, pilot_diameter=10.0, process="laser")
    assert circles(of_holes((bolt(30, 40, 7.0),), pilot)) == [(30, 40, 7)]


def test_centre_marks() -> None:
    centre = replace(NOMINAL, hole_method=HoleMethod.CENTRE)
    data = of_holes((bolt(30, 40), Hole(80, 40, 29, HolePurpose.SCREW), Hole(150, 40, 5, HolePurpose.TUBE)), centre)
    assert circles(data) == [(80, 40, 29)]
    assert marks(data) == [(30, 40), (150, 40)]


# --- words -----------------------------------------------------------------------------------------------------------


def test_first_lines_say_what_it_is() -> None:
    data = flat_dxf(PANEL, NOMINAL)
    assert data.startswith(b"999\nmouldgeom")
    assert comments(data) == [
        "mouldgeom: flat pattern for cutting",
        "mark: A3",
        "name: test plate",
        "sheet: 3 mm, thickness 3 mm",
        "quantity: 2",
        "moulds: 1",
        "units: millimetres",
        "face: concrete face up",
        "size: nominal size, no kerf compensation",
        "bolt holes: full-size, cut to final diameter",
    ]


def test_words_of_kerf_and_face() -> None:
    lines = comments(flat_dxf(replace(PANEL, concrete_face=ConcreteFace.NONE), BIGGER))
    assert "face: either face up" in lines
    assert (
        "size: kerf compensation: outlines drawn 0.9 mm outside, openings and holes 0.9 mm inside nominal size "
        "for kerf 1.8 mm"
    ) in lines


def test_words_of_hole_methods() -> None:
    lines = comments(flat_dxf(PANEL, replace(NOMINAL, hole_method=HoleMethod.PILOT)))
    assert "bolt holes: pilot, cut at 6 mm and opened out at assembly" in lines
    assert "open out: 6 x 6 mm to 11 mm (bolt)" in lines
    lines = comments(flat_dxf(PANEL, replace(NOMINAL, hole_method=HoleMethod.CENTRE)))
    assert "bolt holes: centre-mark, drilled through both members at assembly" in lines
    assert "drill at centre marks: 6 x 11 mm (bolt)" in lines
    lines = comments(flat_dxf(replace(PANEL, thickness=8.0), NOMINAL))
    assert "drill at centre marks: 1 x 10 mm (outlet tube)" in lines


def test_options_from_specification() -> None:
    options = CutOptions.from_spec(Spec())
    assert options == NOMINAL


# --- kerf ------------------------------------------------------------------------------------------------------------


def test_two_inch_square() -> None:
    """A 2 in square cut on the line with a kerf of 0.050 in comes out 1.950 in (shop page); so it is drawn 2.050 in."""
    square = plate(Outline.rectangle(0, 0, 50.8, 50.8), mark="")
    drawn = plate_pattern(square, replace(BIGGER, kerf=0.05 * 25.4)).outside.bounds
    assert (drawn[2] - drawn[0]) / 25.4 == pytest.approx(2.050)
    assert plate_pattern(square, NOMINAL).outside == square.outline


def test_kerf_2_1_gives_offset_1_05() -> None:
    """Kerf 2.1 mm, offset 1.05 mm (calculator page, general)."""
    pattern = plate_pattern(PANEL, replace(BIGGER, kerf=2.1))
    assert pattern.outside.bounds == pytest.approx((-151.05, -201.05, 151.05, 201.05))
    assert pattern.insides[0].bounds == pytest.approx((-78.95, -118.95, -21.05, -31.05))
    assert {c.diameter for c in pattern.circles} == {11 - 2.1, 29 - 2.1, 10 - 2.1}


def test_marks_and_text_do_not_move_with_the_kerf() -> None:
    centre = replace(NOMINAL, hole_method=HoleMethod.CENTRE)
    nominal, bigger = plate_pattern(PANEL, centre), plate_pattern(PANEL, replace(centre, kerf_compensation=True))
    assert nominal.centre_marks == bigger.centre_marks
    assert nominal.mark == bigger.mark


def test_refuses_what_the_kerf_swallows() -> None:
    base = Outline.rectangle(0, 0, 200, 100)
    slit = plate(base, openings=(Outline.rectangle(20, 20, 80, 21.5),), mark="B7", label="bridge plate")
    with pytest.raises(GeometryError, match=r"B7 \(bridge plate\).*half a kerf.*kerf_compensation"):
        plate_pattern(slit, BIGGER)
    pin = plate(base, (bolt(50, 50, 1.5),), thickness=1.0)
    with pytest.raises(GeometryError, match=r"hole of 1\.5 mm at \(50\.000, 50\.000\)"):
        plate_pattern(pin, replace(BIGGER, process="laser", kerf=1.5))
    assert plate_pattern(slit, NOMINAL).insides


def test_offset_nothing() -> None:
    assert offset_outline(LEG, 0.0) is LEG


def test_offset_rounded_rectangle_keeps_centres() -> None:
    moved = offset_outline(Outline.rectangle(0, 0, 100, 60, 10), 2.0)
    wanted = Outline.rectangle(-2, -2, 102, 62, 12)
    for one, other in zip(moved.vertices, wanted.vertices, strict=True):
        assert (one.x, one.y, one.arc) == pytest.approx((other.x, other.y, other.arc), abs=1e-12)


def test_offset_circle_of_two_arcs() -> None:
    circle = Outline((Vertex(-10, 0, 1.0), Vertex(10, 0, 1.0)))
    assert offset_outline(circle, 3.0).area == pytest.approx(math.pi * 13**2, rel=1e-12)
    assert offset_outline(circle, -3.0).area == pytest.approx(math.pi * 7**2, rel=1e-12)
    with pytest.raises(GeometryError, match="vanishes"):
        offset_outline(circle, -10.0)


def test_offset_reflex_corner() -> None:
    moved = offset_outline(LEG, 1.0)
    assert [(v.x, v.y) for v in moved.vertices] == [(-1, -1), (201, -1), (201, 31), (41, 31), (41, 151), (-1, 151)]


def test_offset_line_meets_arc_at_a_corner() -> None:
    """A half disc: the line y = -1 meets the circle of radius 11 at x = sqrt(120)."""
    half = Outline((Vertex(-10, 0), Vertex(10, 0, 1.0)))
    moved = offset_outline(half, 1.0)
    assert sorted(v.x for v in moved.vertices) == pytest.approx([-math.sqrt(120), math.sqrt(120)])
    assert {v.y for v in moved.vertices} == {-1.0}
    inner = offset_outline(half, -1.0)
    assert sorted(v.x for v in inner.vertices) == pytest.approx([-math.sqrt(80), math.sqrt(80)])


def test_offset_lens_of_two_arcs() -> None:
    """Circles of radius 13 about (0, -5) and (0, 5) meet at x = 12, of radius 14 at sqrt(171), of 12 at sqrt(119)."""
    arc = math.tan(math.atan2(12, 5) / 2)  # half of each arc's angle is atan(12 / 5)
    lens = Outline((Vertex(-12, 0, arc), Vertex(12, 0, arc)))
    for distance, square in ((1.0, 171), (-1.0, 119)):
        xs = sorted(v.x for v in offset_outline(lens, distance).vertices)
        assert xs == pytest.approx([-math.sqrt(square), math.sqrt(square)])


def test_offset_rounds_a_tip_too_sharp_for_a_mitre() -> None:
    spike = Outline.polygon([(0, 0), (300, -10), (300, 10)])
    moved = offset_outline(spike, 1.0)
    assert moved.bounds[0] == pytest.approx(-1.0)
    assert len(moved.vertices) == 4
    assert offset_outline(spike, -1.0).area == pytest.approx(shape(spike).buffer(-1, join_style="mitre").area, rel=1e-9)


SLOT = Outline.polygon([(0, 0), (60, 0), (60, 40), (31, 40), (31, 20), (30, 20), (30, 40), (0, 40)])
MOUTH = [(30.7, 40), (30.7, 30), (45, 30), (45, 10), (15, 10), (15, 30), (29.3, 30), (29.3, 40)]
POCKET = Outline.polygon([(0, 0), (60, 0), (60, 40), *MOUTH, (0, 40)])
"""A pocket whose mouth of 1.4 mm is narrower than its inside."""
SKEW = Outline.polygon([(0, 0), (60, 0), (60, 41), *MOUTH[:-1], (29.3, 39), (0, 38)])
CAP = Outline((Vertex(-30, 0), Vertex(30, 0), Vertex(0.25, 29.75, 0.1), Vertex(-0.25, 29.75)))
"""A roof with an arc of radius 1.26 mm for its ridge, narrower than the two slopes leave when they move in."""
NECK = [(20, 0), (20, 9.5), (40, 9.5), (40, 0)]
CHAMBERS = Outline.polygon([(0, 0), *NECK, (60, 0), (60, 20), *((x, 20 - y) for x, y in reversed(NECK)), (0, 20)])
"""Two chambers joined by a neck of 1 mm."""


@pytest.mark.parametrize(
    ("outline", "distance", "words"),
    [
        (Outline.rectangle(0, 0, 50, 1.6), -0.9, "vanishes"),
        (Outline.rectangle(0, 0, 50, 30, 0.5), -0.9, "arc of radius"),
        (SLOT, 0.9, "vanishes"),
        (CAP, -0.9, "edge .* vanishes"),
        (POCKET, 0.9, "crosses itself"),
        (POCKET, 0.7, "crosses itself"),
        (SKEW, 0.9, "crosses itself"),
        (CHAMBERS, -0.9, "crosses itself"),
    ],
)
def test_offset_refuses(outline: Outline, distance: float, words: str) -> None:
    with pytest.raises(GeometryError, match=words):
        offset_outline(outline, distance)


def test_offset_leaves_a_gap_that_is_wide_enough() -> None:
    assert offset_outline(POCKET, 0.69).area == pytest.approx(shape(POCKET).buffer(0.69, join_style="mitre").area)
    assert offset_outline(CHAMBERS, -0.49).area == pytest.approx(shape(CHAMBERS).buffer(-0.49, join_style="mitre").area)


# --- random outlines -------------------------------------------------------------------------------------------------


def rounded(corners: list[tuple[float, float]], radii: list[float]) -> Outline:
    """Round each corner of an anticlockwise polygon, as far as its sides allow."""
    vertices: list[Vertex] = []
    for i, (x, y) in enumerate(corners):
        (px, py), (qx, qy) = corners[i - 1], corners[(i + 1) % len(corners)]
        back, on = math.hypot(px - x, py - y), math.hypot(qx - x, qy - y)
        turn = math.atan2((x - px) * (qy - y) - (y - py) * (qx - x), (x - px) * (qx - x) + (y - py) * (qy - y))
        cut = radii[i % len(radii)] * abs(math.tan(turn / 2))
        if radii[i % len(radii)] == 0 or cut > 0.4 * min(back, on) or cut < 0.01:
            vertices.append(Vertex(x, y))
            continue
        vertices.append(Vertex(x + (px - x) * cut / back, y + (py - y) * cut / back, math.tan(turn / 4)))
        vertices.append(Vertex(x + (qx - x) * cut / on, y + (qy - y) * cut / on))
    return Outline(tuple(vertices))


RADII = st.lists(st.one_of(st.just(0.0), st.floats(4, 25)), min_size=1, max_size=4)


@st.composite
def convex(draw: st.DrawFn) -> Outline:
    count = draw(st.integers(3, 9))
    angles = [2 * math.pi * (i + draw(st.floats(0, 0.6))) / count for i in range(count)]
    a, b = draw(st.floats(60, 300)), draw(st.floats(60, 300))
    return rounded([(a * math.cos(t), b * math.sin(t)) for t in angles], draw(RADII))


@st.composite
def star(draw: st.DrawFn) -> Outline:
    count = draw(st.integers(4, 9))
    reach = [draw(st.floats(90, 200)) for _ in range(count)]
    turn = draw(st.floats(0, 2 * math.pi))
    corners = [
        (r * math.cos(turn + 2 * math.pi * i / count), r * math.sin(turn + 2 * math.pi * i / count))
        for i, r in enumerate(reach)
    ]
    return rounded(corners, draw(RADII))


def turns(outline: Outline) -> list[float]:
    """Turn at each vertex, from the direction in which one edge arrives to that in which the next leaves (rad)."""
    directions = []
    for a, b in outline.edges:
        chord, half = math.atan2(b.y - a.y, b.x - a.x), 2 * math.atan(a.arc)
        directions.append((chord - half, chord + half))
    return [
        (first - last + math.pi) % (2 * math.pi) - math.pi
        for (_, last), (first, _) in pairwise([*directions, directions[0]])
    ]


def steiner(outline: Outline, distance: float) -> float:
    """Area of a convex outline moved outwards: A + L d + d2 (sum of half the angle of arcs, tan half of corners).

    Source: Steiner's formula for parallel bodies, in the plane, with mitred corners in place of round ones.
    """
    corners = sum(2 * math.atan(v.arc) for v in outline.vertices) + sum(math.tan(t / 2) for t in turns(outline))
    return outline.area + outline.length * distance + corners * distance**2


@FAST
@given(convex(), st.floats(0.05, 3.0))
def test_convex_outlines_grow_and_shrink_by_steiner(outline: Outline, distance: float) -> None:
    assume(max(turns(outline)) < 2 * math.acos(1 / 10))  # sharper tips are rounded, not mitred
    assert offset_outline(outline, distance).area == pytest.approx(steiner(outline, distance), rel=1e-9)
    assert offset_outline(outline, -distance).area == pytest.approx(steiner(outline, -distance), rel=1e-9)


@FAST
@given(star(), st.floats(0.05, 3.0), st.booleans())
def test_offset_agrees_with_an_independent_buffer(outline: Outline, distance: float, inwards: bool) -> None:
    """Against GEOS buffers with mitred corners; arcs there are chords of half a degree, hence 1e-4 of the strip."""
    moved = offset_outline(outline, -distance if inwards else distance)
    wanted = shape(outline).buffer(-distance if inwards else distance, join_style="mitre", mitre_limit=10)
    strip = outline.length * distance
    assert shape(moved).symmetric_difference(wanted).area < 1e-4 * strip + 0.01


@FAST
@given(star(), st.floats(0.05, 3.0))
def test_offset_and_back(outline: Outline, distance: float) -> None:
    back = offset_outline(offset_outline(outline, distance), -distance)
    for one, other in zip(back.vertices, outline.vertices, strict=True):
        assert (one.x, one.y, one.arc) == pytest.approx((other.x, other.y, other.arc), abs=1e-6)


def text_box(data: bytes) -> Polygon | None:
    texts = opened(data).modelspace().query("TEXT")
    assert len(texts) <= 1
    if not texts:
        return None
    text = texts.first
    assert text.get_align_enum().name == "MIDDLE_CENTER"
    assert text.dxf.style == "Standard"
    x, y, _ = text.dxf.align_point
    wide, high = 0.9 * text.dxf.height * len(text.dxf.text), text.dxf.height
    turned = affinity.rotate(box(-wide / 2, -high / 2, wide / 2, high / 2), text.dxf.rotation, origin=(0, 0))
    placed = affinity.translate(turned, x, y)
    assert placed.buffer(1e-6).covers(Spot(text.dxf.insert.x, text.dxf.insert.y))
    return placed


def assert_clear(part: Plate, data: bytes) -> Polygon | None:
    found = text_box(data)
    if found is not None:
        steel = shape(part.outline)
        assert steel.contains(found)
        assert steel.exterior.distance(found) >= 3 - 1e-3
        for opening in part.openings:
            assert shape(opening).distance(found) >= 3 - 1e-3
        for hole in part.holes:
            assert Spot(hole.x, hole.y).distance(found) >= hole.diameter / 2 + 3 - 1e-6
    return found


@FAST
@given(
    st.one_of(convex(), star()),
    st.lists(st.tuples(st.floats(-200, 200), st.floats(-200, 200), st.floats(6.5, 40)), max_size=8),
    st.sampled_from(list(HoleMethod)),
    st.booleans(),
    st.text("ABC0123456789", min_size=1, max_size=4),
)
def test_any_plate(
    outline: Outline, spots: list[tuple[float, float, float]], method: HoleMethod, kerf: bool, mark: str
) -> None:
    steel = shape(outline)
    holes: list[Hole] = []
    for x, y, size in spots:
        round_hole = Spot(x, y).buffer(size / 2 + 3)
        if steel.contains(round_hole) and all(
            math.hypot(x - h.x, y - h.y) > (size + h.diameter) / 2 + 3 for h in holes
        ):
            holes.append(bolt(x, y, size))
    part = plate(outline, tuple(holes), mark=mark)
    options = replace(NOMINAL, hole_method=method, kerf_compensation=kerf)
    data = flat_dxf(part, options)
    drawing = opened(data)
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert {layer for _, layer in entities(data)} <= set(Layer)
    cuts = circles(data)
    assert len(cuts) + len(marks(data)) == len(holes)
    (drawn,) = polylines(data, Layer.CUT_OUTSIDE)
    wanted = plate_pattern(part, options).outside
    assert drawn.area == pytest.approx(wanted.area, abs=1e-6 * wanted.length)
    if assert_clear(part, data) is None:
        assert any("write it on by hand" in line for line in comments(data))


# --- the part mark ---------------------------------------------------------------------------------------------------


def test_mark_stands_in_the_middle_of_a_plain_plate() -> None:
    mark = plate_pattern(plate(Outline.rectangle(10, 20, 210, 120), mark="C14"), NOMINAL).mark
    assert mark is not None
    assert (mark.text, mark.x, mark.y, mark.height, mark.rotation) == ("C14", 110, 70, 12, 0)


def test_mark_avoids_holes_openings_and_centre_marks() -> None:
    for method in HoleMethod:
        assert assert_clear(PANEL, flat_dxf(PANEL, replace(NOMINAL, hole_method=method))) is not None
    middle = plate(Outline.rectangle(0, 0, 120, 120), (bolt(60, 60),), (Outline.rectangle(20, 70, 100, 110),))
    assert assert_clear(middle, flat_dxf(middle, replace(NOMINAL, hole_method=HoleMethod.CENTRE))) is not None


def test_mark_does_not_stand_in_a_large_opening() -> None:
    frame = plate(Outline.rectangle(0, 0, 200, 200), openings=(Outline.rectangle(30, 30, 170, 170),))
    assert assert_clear(frame, flat_dxf(frame, NOMINAL)) is not None


def test_mark_on_an_l_whose_centroid_is_outside() -> None:
    bracket = plate(Outline.polygon([(0, 0), (300, 0), (300, 25), (25, 25), (25, 300), (0, 300)]))
    assert assert_clear(bracket, flat_dxf(bracket, NOMINAL)) is not None


def test_mark_turns_if_it_fits_only_so() -> None:
    mark = plate_pattern(plate(Outline.rectangle(0, 0, 19, 300), mark="B12"), NOMINAL).mark
    assert mark is not None
    assert (mark.rotation, mark.height) == (90, 12)


def test_mark_gets_smaller_only_if_it_must() -> None:
    """3 mm on both sides of a strip of 14 mm leave 8 mm."""
    strip = plate(Outline.rectangle(0, 0, 300, 14), mark="B12")
    mark = plate_pattern(strip, NOMINAL).mark
    assert mark is not None
    assert (mark.rotation, mark.height) == (0, 8)
    assert assert_clear(strip, flat_dxf(strip, NOMINAL)) is not None


def test_mark_that_finds_no_room_is_said_in_words() -> None:
    data = flat_dxf(plate(Outline.rectangle(0, 0, 300, 9.9)), NOMINAL)
    assert not [kind for kind, _ in entities(data) if kind == "TEXT"]
    assert comments(data)[-1] == "etched text: none, the mark finds no room; write it on by hand"
    assert plate_pattern(plate(Outline.rectangle(0, 0, 300, 10.1)), NOMINAL).mark is not None


def test_arcs_count_as_arcs() -> None:
    disc = plate(Outline((Vertex(-60, 0, 1.0), Vertex(60, 0, 1.0))), mark="A11")
    assert assert_clear(disc, flat_dxf(disc, NOMINAL)) is not None
    notch = Outline((Vertex(0, 0), Vertex(10, 0, -1.0), Vertex(90, 0), Vertex(100, 0), Vertex(100, 62), Vertex(0, 62)))
    notched = plate(notch, mark="A1")
    assert assert_clear(notched, flat_dxf(notched, NOMINAL)) is not None
    flat_arc = Outline((Vertex(-52, 0, -0.0434), Vertex(52, 0), Vertex(52, 19), Vertex(-52, 19)))
    hollow = plate(flat_arc, mark="A1")  # the arc rises 2.26 mm above its chord: 16.7 mm are left, 10.7 mm for the text
    assert assert_clear(hollow, flat_dxf(hollow, NOMINAL)) is not None
    mark = plate_pattern(hollow, NOMINAL).mark
    assert mark is not None
    assert mark.height == 10


# --- several patterns on one sheet -----------------------------------------------------------------------------------


def test_transform_turns_and_moves() -> None:
    assert Transform(10, 20, 90).point(1, 2) == (8, 21)
    assert Transform(10, 20, -90).point(1, 2) == (12, 19)
    assert Transform(0, 0, 180).point(1, 2) == (-1, -2)
    assert Transform(0, 0, 30).point(2, 0) == pytest.approx((math.sqrt(3), 1), abs=1e-6)


@pytest.mark.parametrize("angle", [0.0, 37.0, 90.0, 180.0, 270.0])
def test_patterns_on_a_sheet(angle: float) -> None:
    layout = dxf.empty_layout()
    pattern = plate_pattern(PANEL, NOMINAL)
    dxf.write_outline(layout, Layer.SHEET_EDGE, Outline.rectangle(0, 0, 2440, 1220), Transform())
    dxf.write_pattern(layout, pattern, Transform(600, 600, angle))
    dxf.write_pattern(layout, pattern, Transform(1400, 600, 0))
    data = dxf.drawing_bytes(layout, ["sheet 1"])
    drawing = opened(data)
    assert not drawing.audit().fixes
    assert drawing.header["$EXTMAX"] == (2440, 1220, 0)
    first, second = polylines(data, Layer.CUT_OUTSIDE)
    assert first.area == pytest.approx(second.area, rel=1e-8)  # an outline is anticlockwise: a mirror image would raise
    turned = affinity.translate(affinity.rotate(shape(PANEL.outline), angle, origin=(0, 0)), 600, 600)
    assert shape(first).symmetric_difference(turned).area < 0.01
    hole = next(c for c in circles(data) if c[2] == 29)
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    assert hole == pytest.approx((600 + 60 * c, 600 + 60 * s, 29), abs=1e-5)
    text = drawing.modelspace().query("TEXT").first
    assert text.dxf.rotation == angle
    assert entities(data)[0] == ("LWPOLYLINE", "SHEET_EDGE")


def test_a_pattern_is_plain_data() -> None:
    pattern = plate_pattern(PANEL, NOMINAL)
    assert isinstance(pattern, CutPattern)
    assert hash(pattern) == hash(plate_pattern(PANEL, NOMINAL))
    assert RoundCut(60, 0, 29) in pattern.circles


def test_nothing_drawn_is_refused() -> None:
    with pytest.raises(GeometryError, match="without any cut"):
        dxf.drawing_bytes(dxf.empty_layout(), [])
