"""Every bolt in its printed hole: what the papers say, read back as a welder reads it, put together by the placements.

Nothing but the placements, the bolts and the number of a hole comes from the model: where a hole is and how wide comes
from the text on the sheets, in the units of the sheets.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import combinations, pairwise
from typing import Any

import pytest
from conftest import named
from hypothesis import HealthCheck, assume, given, settings
from printed_lengths import inches_or_mm, readings
from random_specs import changed, profile, specs

from mouldgeom import EXAMPLES, SpecError, load, tables
from mouldgeom.drawing.paper import PaperOptions, words_of
from mouldgeom.drawing.primitives import Dimension, Sheet, Text
from mouldgeom.drawing.sheet_dxf import dxf_bytes
from mouldgeom.geometry.placement import Vec, add, dot
from mouldgeom.identity import Role
from mouldgeom.inspection.critical import critical
from mouldgeom.inspection.measured import measured_csv
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.shapes import Bar, BoltRow, HolePurpose, Plate
from mouldgeom.outputs.cutlist import cut_groups
from mouldgeom.outputs.papers.part_sheets import part_sheets
from mouldgeom.outputs.papers.templates import template_sheets
from mouldgeom.spec import Spec
from mouldgeom.units import MM_PER_INCH

pytestmark = pytest.mark.slow

UNITS = ("mm", "inches", "both")
OTHERS: tuple[dict[str, Any], ...] = (
    {"steel.bolt": "M6", "filter.cavity_width": 263.7},
    {"steel.bolt": "M8", "filter.cavity_depth": 281.3, "shop.hole_method": "pilot"},
    {"steel.bolt": "M12", "steel.angle": "least", "filter.least_wall": 53.4, "filter.charge": 9.0},
    {"shop.base_margin": 13.3, "filter.draft": 1.7, "shop.hole_method": "centre-mark"},
)
"""Changes of the metric examples whose lengths lie on no grid."""
INCH: tuple[dict[str, Any], ...] = (
    {"steel.bolt": "1/4-20", "filter.cavity_width": "10 11/64 in"},
    {"steel.bolt": "5/16-18", "filter.least_wall": 47.3, "tube.outside_diameter": "1/2 in", "tube.bore": "5/16 in"},
)
BRIDGE = (("extraction.gear", "bridge"),)
SCREWS = {"jack screw", "forcing screw"}
"""What a hole chart says of holes for the screws that draw the core."""


@dataclass(frozen=True)
class Printed:
    """A row of a hole chart: its cells, and what they say; every length of a cell that names two."""

    x: list[float]
    y: list[float]
    drills: list[float]
    cells: tuple[str, ...]


@cache
def sheets_of(name: str, units: str, changes: tuple[tuple[str, Any], ...] = ()) -> tuple[Mould, tuple[Sheet, ...]]:
    spec = changed(load(name), {"papers.paper_units": units, **dict(changes)})
    mould = build(spec)
    return mould, tuple(part_sheets(mould, words_of(spec), PaperOptions.from_spec(spec)))


def charts(sheets: Sequence[Sheet]) -> dict[str, list[Printed]]:
    """Rows of the hole charts by mark."""
    out: dict[str, list[Printed]] = {}
    for d in (d for sheet in sheets for d in sheet.dimensions() if d.feature.kind == "hole"):
        cells = tuple(p.text for p in d.parts if isinstance(p, Text))
        x, y, drills = (readings(cell) for cell in cells[1:4])
        out.setdefault(d.feature.mark, []).append(Printed(x, y, drills, cells))
    return out


@dataclass(frozen=True)
class Spot:
    """A printed hole of one member where the member stands: its middle by one of the units, and what is printed."""

    at: Vec
    printed: Printed
    unit: int


def spots(mould: Mould, listed: dict[str, list[Printed]], row: BoltRow, member: str, point: Vec) -> list[Spot]:
    """The printed hole of a member that is nearest to a bolt, by each unit of the papers."""
    piece = named(mould, member)
    out = []
    for unit in range(len(listed[piece.mark][0].x)):
        holes = []
        for printed in listed[piece.mark]:
            x, y = printed.x[unit], printed.y[unit]
            if isinstance(piece.part, Plate):
                local = (x, y, 0.0)
            else:
                assert isinstance(piece.part, Bar)
                (leg,) = {hole.leg for hole in piece.part.holes}
                local = (y, 0.0, x) if leg == "x" else (0.0, y, x)
            holes.append(Spot(piece.placement.to_casting(local), printed, unit))
        out.append(min(holes, key=lambda spot: apart(spot.at, point, row.axis)))
    return out


def apart(a: Vec, b: Vec, axis: Vec) -> float:
    """Distance of two points seen along an axis."""
    gap = add(a, b, -1.0)
    return math.hypot(*add(gap, axis, -dot(gap, axis)))


def mated(mould: Mould, sheets: Sequence[Sheet]) -> Iterator[tuple[BoltRow, Vec, Spot, Spot]]:
    """Both printed holes of every bolt of every joint, by each unit."""
    listed = charts(sheets)
    for row in mould.rows:
        one, other = (member.name for member in row.members)
        for point in row.points:
            pairs = (spots(mould, listed, row, member, point) for member in (one, other))
            for a, b in zip(*pairs, strict=True):
                yield row, point, a, b


def check_bolts(mould: Mould, sheets: Sequence[Sheet]) -> None:
    """Every bolt passes both of its holes as printed, and no printed drill is looser than the coarse series."""
    count = 0
    for row, point, a, b in mated(mould, sheets):
        bolt = tables.bolt(row.bolt)
        for spot in (a, b):
            assert apart(spot.at, point, row.axis) < 0.3, (row.name, spot.printed.cells)
            assert all(bolt.hole_fine_mm - 0.005 <= d <= bolt.hole_coarse_mm for d in spot.printed.drills), row.name
            assert abs(spot.printed.drills[0] - row.hole) <= 0.0051, (row.name, spot.printed.cells)
        room = (min(a.printed.drills) + min(b.printed.drills)) / 2 - apart(a.at, b.at, row.axis)
        assert bolt.diameter_mm < room, (row.name, a.printed.cells, b.printed.cells)
        count += 1
    units = 2 if mould.dims.spec.papers.paper_units == "both" else 1
    assert count == units * sum(len(row.points) for row in mould.rows)
    check_screw(mould, charts(sheets))


def check_screw(mould: Mould, listed: dict[str, list[Printed]]) -> None:
    """The jack screw passes all its plates, or each forcing screw its own; the tube its hole without a leak."""
    screw, bridge = mould.dims.stock.jack.diameter_mm, mould.dims.has_bridge
    tube, leak = mould.dims.spec.tube.outside_diameter, mould.dims.spec.shop.allowed_leak
    through: list[tuple[Vec, float]] = []
    for piece in mould.pieces():
        part = piece.part
        rows = listed.get(piece.mark, []) if isinstance(part, Plate) else []
        for printed in rows:
            if printed.cells[-1] in SCREWS:
                at = piece.placement.to_casting((printed.x[-1], printed.y[-1], 0.0))
                through.append((at, min(printed.drills)))
            if printed.cells[-1] == "outlet tube":
                assert all(tube < d <= tube + leak for d in printed.drills), printed.cells
    up = (0.0, 0.0, 1.0)
    if bridge:
        assert len(through) >= 2
        for (a, wide), (b, other) in combinations(through, 2):
            assert screw < (wide + other) / 2 - apart(a, b, up)
        return
    axes = [piece.placement.origin for piece in mould.pieces() if piece.id.role is Role.FORCING_SCREW]
    assert len(axes) == len(through) == 4
    for axis in axes:
        at, wide = min(through, key=lambda hole: apart(hole[0], axis, up))
        assert screw < wide - 2 * apart(at, axis, up)


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_every_bolt_enters_its_printed_holes(name: str, units: str) -> None:
    check_bolts(*sheets_of(name, units))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_so_it_does_with_a_bridge(name: str, units: str) -> None:
    check_bolts(*sheets_of(name, units, BRIDGE))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize(
    ("name", "changes"),
    [*(("hill-example", c) for c in OTHERS), *(("short-example", c) for c in OTHERS[:2]),
     *(("inch-example", c) for c in INCH)],
)  # fmt: skip
def test_so_it_does_off_the_grid(name: str, changes: dict[str, Any], units: str) -> None:
    check_bolts(*sheets_of(name, units, tuple(changes.items())))


@given(spec=specs(near=0.4))
# drawing a specification and building it is slow, and many are refused: both are meant
@settings(profile(12, shrink=False), suppress_health_check=list(HealthCheck))
def test_so_it_does_in_any_mould(spec: Spec) -> None:
    spec = changed(spec, {"papers.language": "en", "papers.paper": "A3"})
    try:
        mould = build(spec)
    except SpecError:
        assume(False)
    check_bolts(mould, part_sheets(mould, words_of(spec), PaperOptions.from_spec(spec)))


@pytest.mark.parametrize("bolt", tables.bolts(), ids=lambda bolt: bolt.designation)
def test_rounding_leaves_room_for_every_bolt_of_the_table(bolt: tables.Bolt) -> None:
    """Both members rounded the worst way, along and across: half of 1/64 in each."""
    assert 2 * math.hypot(MM_PER_INCH / 128, MM_PER_INCH / 128) < bolt.hole_medium_mm - bolt.diameter_mm


# ---------------------------------------------------------------- chains


def exact(cell: str, unit: int) -> Fraction:
    return inches_or_mm(re.split(r" \(", cell.removesuffix(")"))[unit])[0]


@pytest.mark.parametrize(
    ("name", "units"), [("hill-example", "mm"), ("short-example", "mm"), ("inch-example", "inches")]
)
def test_the_steps_of_a_row_are_printed_alike_in_both_members(name: str, units: str) -> None:
    """Exactly, and no finer than rule and scriber mark: the pitch is rounded, not each hole."""
    mould, sheets = sheets_of(name, units)
    rows: dict[str, list[tuple[Spot, Spot]]] = {}
    for row, _, a, b in mated(mould, sheets):
        rows.setdefault(row.name, []).append((a, b))
    steps = 0
    for pairs in rows.values():
        for (a, b), (c, d) in pairwise(pairs):
            moves = []
            for one, next_one in ((a, c), (b, d)):
                cells = zip(one.printed.cells[1:3], next_one.printed.cells[1:3], strict=True)
                moves.append(max(abs(exact(q, 0) - exact(p, 0)) for p, q in cells))
            assert moves[0] == moves[1]
            assert moves[0] % (Fraction(1, 2) if units == "mm" else Fraction(1, 32)) == 0
            steps += 1
    assert steps >= 25


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_printed_pitches_add_up_to_the_printed_places(name: str, units: str) -> None:
    sheets = sheets_of(name, units)[1]
    listed = charts(sheets)
    found = [d for sheet in sheets for d in sheet.dimensions() if d.feature.kind == "reference" and " × " in d.text]
    for d in found:
        adds_up(d, listed[d.feature.mark], units)
    own = {"inch-example": "inches"}.get(name, "mm")
    assert len(found) >= (2 if units == own else 0)


def adds_up(d: Dimension, rows: Sequence[Printed], units: str) -> None:
    """So many steps of the printed pitch lead from a printed hole to another, and each of them meets a hole."""
    shown = re.fullmatch(r"\((\d+) × (.+)\)", d.text)
    assert shown is not None, d.text
    for unit in range(2 if units == "both" else 1):
        pitch = exact(shown[2], unit)
        for k in (1, 2):
            lines: dict[Fraction, set[Fraction]] = {}
            for row in rows:
                lines.setdefault(exact(row.cells[3 - k], unit), set()).add(exact(row.cells[k], unit))
            chains = [
                start for line in lines.values() for start in line
                if {start + i * pitch for i in range(int(shown[1]) + 1)} <= line
            ]  # fmt: skip
            if chains:
                break
        assert chains, (d.feature.mark, d.text)


# ---------------------------------------------------------------- every paper names a drill alike


def test_the_file_of_a_sheet_says_what_the_sheet_says() -> None:
    import ezdxf

    _, sheets = sheets_of("inch-example", "inches")
    for sheet in sheets:
        read = ezdxf.read(io.StringIO(dxf_bytes(sheet).decode("utf-8")))
        texts = Counter(e.dxf.text for e in read.modelspace().query("TEXT"))
        cells = Counter(c for rows in charts([sheet]).values() for row in rows for c in row.cells)
        assert cells <= texts


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_templates_name_the_exact_drill(name: str, units: str) -> None:
    spec = changed(load(name), {"papers.paper_units": units})
    mould = build(spec)
    drills = {h.diameter for part in (*mould.plates, *mould.bars) for h in part.holes}
    sheets = template_sheets(mould, words_of(spec), PaperOptions.from_spec(spec))
    said = [t.text.partition("Ø ")[2] for sheet in sheets for t in sheet.texts() if "Ø " in t.text]
    assert len(said) >= 40
    for text in said:
        assert all(any(abs(d - drill) <= 0.0051 for drill in drills) for d in readings(text)), text


@pytest.mark.parametrize("units", ["inches", "both"])
@pytest.mark.parametrize(
    ("diameter", "most", "inches", "both"),
    [
        (10.31875, 10.715625, "13/32 in", "10.32 (13/32 in)"),
        (13.096875, 0.0, "33/64 in", "13.1 (33/64 in)"),
        (29.36875, 0.0, "1 5/32 in", "29.37 (1 5/32 in)"),
        (6.0, 0.0, "6 mm", "6 mm"),
        (11.0, 12.0, "11 mm or 7/16 in", "11 mm or 7/16 in"),
        (13.5, 13.5, "13.5 mm", "13.5 mm"),
        (12.7, 14.5, "1/2 in", "12.7 (1/2 in)"),
        (25.4, 0.0, "1 in", "25.4 (1 in)"),
    ],
)
def test_a_drill_is_named_exactly(diameter: float, most: float, inches: str, both: str, units: str) -> None:
    words = words_of(changed(load("hill-example"), {"papers.paper_units": units}))
    assert words.diameter(diameter, most) == (inches if units == "inches" else both)


def test_an_inch_drill_keeps_its_name_on_paper_in_millimetres() -> None:
    words = words_of(load("hill-example"))
    assert [words.diameter(d) for d in (10.31875, 11.0, 12.7, 10.03)] == ["10.32 = 13/32 in", "11", "12.7", "10.03"]


@pytest.mark.parametrize("changes", [(), BRIDGE], ids=["forcing screws", "bridge"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_the_cut_list_names_the_exact_drill(name: str, changes: tuple[tuple[str, Any], ...]) -> None:
    mould = build(changed(load(name), dict(changes)))
    for row in (row for group in cut_groups(mould) for row in group.rows if row.holes):
        part = next(p for p in (*mould.plates, *mould.bars) if p.mark == row.mark)
        sizes = sorted({h.diameter for h in part.holes})
        for text in row.holes.split(", "):
            found = re.fullmatch(
                r"\d+ x ([\d.]+) mm(?: \((.+)\))? (?:bolt|jack screw|forcing screw|outlet tube|pin)", text
            )
            assert found is not None, text
            said = [float(found[1]), *(readings(found[2]) if found[2] else [])]
            assert any(all(abs(d - size) <= 0.0051 for d in said) for size in sizes), text
            assert abs(said[-1] - min(sizes, key=lambda s: abs(s - said[0]))) <= 0.0051


def test_a_rod_and_a_sheet_keep_their_own_size_on_inch_papers() -> None:
    mould, sheets = sheets_of("hill-example", "inches")
    texts = [t.text for sheet in sheets for t in sheet.texts()]
    rod = next(bar for bar in mould.bars if bar.name.startswith("handle"))
    assert any(f"Ø {rod.section}" in text for text in texts)
    assert any(text.startswith("Sheet 3 mm") for text in texts)


@pytest.mark.parametrize(("name", "shell"), [("hill-example", "0.118 in"), ("inch-example", "1/8 in")])
def test_the_list_to_be_measured_has_the_exact_thickness(name: str, shell: str) -> None:
    rows = csv.DictReader(io.StringIO(measured_csv(critical(build(load(name))))))
    assert next(row["nominal_in"] for row in rows if row["code"] == "plate-shell") == shell


@pytest.mark.parametrize("units", UNITS)
def test_the_report_page_has_the_exact_thickness(units: str) -> None:
    from mouldgeom.outputs.page.sections import part_size

    spec = changed(load("hill-example"), {"papers.paper_units": units})
    mould = build(spec)
    for plate in mould.plates:
        assert part_size(words_of(spec), plate).rpartition(" × ")[2] == plate.sheet


@pytest.mark.parametrize(
    ("name", "method", "expected"),
    [
        ("hill-example", "pilot", ["11 mm or 7/16 in", "6 mm or 1/4 in"]),
        ("inch-example", "full-size", ["13/32 in", "6 mm or 1/4 in"]),
    ],
)
def test_the_build_sheet_names_the_exact_drill(name: str, method: str, expected: list[str]) -> None:
    from mouldgeom.outputs.job import Job
    from mouldgeom.outputs.papers.build.desk import BuildDesk

    spec = changed(load(name), {"papers.paper_units": "inches", "shop.hole_method": method})
    desk = BuildDesk(Job(build(spec)), words_of(spec))
    assert [text.replace("\N{NO-BREAK SPACE}", " ") for text in (desk.bolt_hole, desk.pilot_hole)] == expected


@pytest.mark.parametrize("bolt", [b for b in tables.bolts() if b.system == "inch"], ids=lambda bolt: bolt.designation)
def test_the_jack_screw_of_an_inch_mould_has_a_drill_that_exists(bolt: tables.Bolt) -> None:
    """From 3/4 in on it is the loose hole of ASME B18.2.8-1999."""
    from mouldgeom.rules import jack_screw_hole

    hole = jack_screw_hole(bolt.diameter_mm, bolt.system)
    assert hole / MM_PER_INCH * 64 == pytest.approx(round(hole / MM_PER_INCH * 64), abs=1e-9)
    assert bolt.diameter_mm + 3.8 < hole < bolt.diameter_mm + 4.2
    if bolt.diameter_mm >= 19:
        assert hole == pytest.approx(bolt.hole_coarse_mm, abs=1e-6)


@pytest.mark.parametrize("changes", [(), BRIDGE], ids=["forcing screws", "bridge"])
def test_only_holes_that_may_be_drilled_larger_say_so(changes: tuple[tuple[str, Any], ...]) -> None:
    mould, sheets = sheets_of("hill-example", "inches", changes)
    for mark, rows in charts(sheets).items():
        for row in rows:
            assert (len(row.drills) == 2) == (row.cells[-1] not in {*SCREWS, "pin"}), (mark, row.cells)
            assert row.drills == sorted(row.drills)
    assert mould.widest(HolePurpose.SCREW) == mould.widest(HolePurpose.FORCING) == 0
