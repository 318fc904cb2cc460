"""The tables as data: faults in a file, lenient designations, order, and that each row says where it comes from."""

from __future__ import annotations

import csv
import itertools
import math
import re
from dataclasses import FrozenInstanceError
from fractions import Fraction
from importlib import resources

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom import tables
from mouldgeom.errors import InputError, TableError, UnknownDesignationError
from mouldgeom.units import MM_PER_INCH

ALL = sorted(tables._KINDS)
DESIGNATED = {
    table: [tables._designation(row) for row in tables._rows(table)]
    for table in ("sheets", "angles", "square_tubes", "rods", "bolts", "steels")
}


def lines(table: str) -> list[dict[str, str]]:
    text = resources.files("mouldgeom.data").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def text_of(table: str) -> str:
    return resources.files("mouldgeom.data").joinpath(f"{table}.csv").read_text(encoding="utf-8")


# ------------------------------------------------------------------ the files


@pytest.mark.parametrize("table", ALL)
def test_every_row_reads_and_has_source_and_evidence(table: str) -> None:
    rows = tables._rows(table)
    assert len(rows) == len(lines(table)) > 0
    for row, cells in zip(rows, lines(table), strict=True):
        said = " ".join(value for name, value in vars(row).items() if name.endswith("source"))
        assert len(row.source) > 10
        assert cells["evidence"] in tables.EVIDENCE
        if cells["evidence"] in {"memory", "part seen"}:
            assert "memory" in said or "inferred" in said
        if cells["evidence"] == "seen":
            assert "memory" not in said or table == "sheets"


@pytest.mark.parametrize("table", ALL)
def test_numbers_have_their_unit_in_the_column_name(table: str) -> None:
    words = {"designation", "name", "system", "source", "evidence", "tolerance_class"}
    bare = {"quality", "poisson", "least_hole_ratio"}
    units = ("_mm", "_mm2", "_cm", "_cm2", "_cm3", "_cm4", "_kg_m", "_kg_m3", "_mpa", "_deg")
    for column in lines(table)[0]:
        assert column in words | bare or column.endswith((*units, "_source")), column


@pytest.mark.parametrize("table", ["sheets", "angles", "square_tubes", "rods", "bolts", "steels", "cutting_processes"])
def test_designations_are_unique_once_normalised(table: str) -> None:
    assert len(tables._index(table)) == len(tables._rows(table))


# ------------------------------------------------------------------ faults

SHEETS = "designation,thickness_mm,system,source,evidence\n3 mm,3,metric,somewhere,seen\n"


def read_sheets(text: str) -> tuple[tables.SheetSize, ...]:
    return tables._parse("sheets", tables.SheetSize, text)


def test_columns_may_stand_in_any_order() -> None:
    assert read_sheets("evidence,source,system,thickness_mm,designation\nseen,book,inch,3.175,1/8 in\n") == (
        tables.SheetSize("1/8 in", 3.175, "inch", "book"),
    )


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (SHEETS.replace("thickness_mm", "thickness"), "column missing: thickness_mm; unknown column: thickness"),
        (SHEETS.replace(",source", "").replace(",somewhere", ""), "column missing: source"),
        (SHEETS.replace(",evidence", "").replace(",seen", ""), "column missing: evidence"),
        (SHEETS.replace("evidence\n", "evidence,colour\n").replace("seen\n", "seen,red\n"), "unknown column: colour"),
        (SHEETS.replace("evidence\n", "evidence,system\n").replace("seen\n", "seen,inch\n"), "stands there twice"),
        (SHEETS.replace("mm,3,", "mm,three,"), "row 2: thickness_mm = 'three' is no number"),
        (SHEETS.replace("mm,3,", "mm,-3,"), "is no number from 0 up"),
        (SHEETS.replace("mm,3,", "mm,nan,"), "is no number from 0 up"),
        (SHEETS.replace("mm,3,", "mm,inf,"), "is no number from 0 up"),
        (SHEETS.replace("mm,3,", "mm,,"), "thickness_mm is empty"),
        (SHEETS.replace("somewhere", " "), "source is empty"),
        (SHEETS.replace(",seen", ""), "4 cells, 5 expected"),
        (SHEETS.replace(",seen", ",seen,more"), "6 cells, 5 expected"),
        (SHEETS.replace(",seen", ",perhaps"), "evidence = 'perhaps' is none of seen, part seen, memory, computed"),
        (SHEETS.replace("metric", "imperial"), "system = 'imperial' is none of metric, inch"),
        (SHEETS.replace("somewhere", '"somewhere'), "cannot be read"),
        ("", "cannot be read"),
    ],
)
def test_a_faulty_table_says_what_is_wrong(text: str, says: str) -> None:
    with pytest.raises(TableError, match=r"data/sheets\.csv") as caught:
        read_sheets(text)
    assert says in str(caught.value)
    assert isinstance(caught.value, ValueError)


@pytest.mark.parametrize("table", ALL)
def test_each_table_misses_each_of_its_columns(table: str) -> None:
    rows = list(csv.reader(text_of(table).splitlines()))
    for column, name in enumerate(rows[0]):
        cut = "\n".join(",".join(f'"{cell}"' for i, cell in enumerate(row) if i != column) for row in rows)
        with pytest.raises(TableError, match=f"column missing: {name}$"):
            tables._parse(table, tables._KINDS[table], cut)


def test_the_same_designation_twice_is_a_fault() -> None:
    rows = (tables.SheetSize("3 mm", 3.0, "metric", "a"), tables.SheetSize("3.0mm", 3.0, "metric", "b"))
    with pytest.raises(TableError, match=r"3\.0mm stands there twice"):
        tables._indexed("sheets", rows)


# ------------------------------------------------------------------ designations


@pytest.mark.parametrize(
    ("written", "designation"),
    [
        ("3 mm", "3 mm"),
        ("3mm", "3 mm"),
        (" 3.0 MM ", "3 mm"),
        ("2,5 mm", "2.5 mm"),
        ("2.50mm", "2.5 mm"),
        ("10 mm", "10 mm"),
        ('1/8"', "1/8 in"),
        ("1/8 in", "1/8 in"),
        ("1/8in.", "1/8 in"),
        ("1/8 inch", "1/8 in"),
        ("3/16 inches", "3/16 in"),
        ("1/4\N{DOUBLE PRIME}", "1/4 in"),
        ("10 gauge MSG", "10 gauge MSG"),
        ("10 ga. msg", "10 gauge MSG"),
        ("MSG 11", "11 gauge MSG"),
        ("US MSG no. 12", "12 gauge MSG"),
        ("#14 gage (MSG)", "14 gauge MSG"),
        ("10 gauge, US manufacturers' standard", "10 gauge MSG"),
        ("Manufacturers\N{RIGHT SINGLE QUOTATION MARK} Standard Gauge No. 10", "10 gauge MSG"),
    ],
)
def test_sheet_designations_are_read_leniently(written: str, designation: str) -> None:
    assert tables.sheet(written).designation == designation


@pytest.mark.parametrize(
    ("written", "designation"),
    [
        ("40x40x4", "40x40x4"),
        ("L40X40X4", "40x40x4"),
        ("L 40 x 40 x 4 mm", "40x40x4"),
        ("40\N{MULTIPLICATION SIGN}40\N{MULTIPLICATION SIGN}4", "40x40x4"),
        ("40*40*4.0", "40x40x4"),
        ("45x45x4,5", "45x45x4.5"),
        ("1 1/2 x 1 1/2 x 1/8", "1-1/2x1-1/2x1/8"),
        ('L1-1/2"x1-1/2"x3/16"', "1-1/2x1-1/2x3/16"),
        ("2 in x 2 in x 1/4 in", "2x2x1/4"),
        ("1\N{NON-BREAKING HYPHEN}1/2x1\N{NON-BREAKING HYPHEN}1/2x1/8", "1-1/2x1-1/2x1/8"),
    ],
)
def test_angle_designations_are_read_leniently(written: str, designation: str) -> None:
    assert tables.angle(written).designation == designation


@pytest.mark.parametrize(
    "written", ["10 gauge", "10 ga", "10ga.", "no. 10 gage", "SWG 10", "10 swg", "B.G. 12", "#14 ga", "gauge 11"]
)
def test_a_gauge_number_without_the_name_of_its_gauge_is_no_thickness(written: str) -> None:
    """No. 10 is four thicknesses, by four gauges: the refusal says so, and names the gauge that is in the table."""
    with pytest.raises(
        UnknownDesignationError, match=r"3\.25 mm by SWG.* 3\.42 by the US manufacturers' stan"
    ) as caught:
        tables.sheet(written)
    offered = re.search(r'"(\d+ gauge MSG)"', str(caught.value))
    assert offered is not None
    assert tables.sheet(offered[1]).designation.split()[0] in written


def test_other_designations_are_read_leniently() -> None:
    assert tables.square_tube("SHS 40x40x3").designation == "40x40x3"
    assert tables.square_tube("HSS2x2x1/8").designation == "2x2x1/8"
    assert tables.bolt("m10").designation == "M10"
    assert tables.bolt("3/8 - 16 UNC").designation == "3/8-16"
    assert tables.rod("12mm").diameter_mm == 12
    assert tables.rod('1/2"').diameter_mm == 12.7
    assert tables.steel("s 235").designation == "S235"
    assert tables.steel("ASTM A1011 SS Grade 36").designation == tables.steel("a1011 ss36").designation == "A1011 SS 36"
    assert tables.steel("Q235B").designation == tables.steel("q 235").designation == "Q235"
    assert tables.steel("S275JR").designation == "S275"
    with pytest.raises(UnknownDesignationError):
        tables.steel("8.8")
    assert tables.cutting_process(" Plasma ").name == "plasma"


def test_every_designation_finds_its_own_row() -> None:
    for records, find in (
        (tables.sheets(), tables.sheet),
        (tables.angles(), tables.angle),
        (tables.square_tubes(), tables.square_tube),
        (tables.rods(), tables.rod),
        (tables.bolts(), tables.bolt),
    ):
        for record in records:
            assert find(record.designation) is record


@pytest.mark.parametrize(
    ("find", "written", "parts"),
    [
        (tables.sheet, "3.5 mm", ("sheet = '3.5 mm'", "2.5 mm", "data/sheets.csv")),
        (tables.angle, "40x40x7", ("angle = '40x40x7'", "40x40x4", "data/angles.csv")),
        (tables.square_tube, "40x40x6", ("square tube = '40x40x6'", "40x40x3", "data/square_tubes.csv")),
        (tables.bolt, "M11", ("bolt = 'M11'", "M12", "M10", "data/bolts.csv")),
        (tables.bolt_lengths, "M11", ("bolt = 'M11'",)),
        (tables.rod, "13 mm", ("rod = '13 mm'", "12 mm")),
        (tables.steel, "S236", ("steel = 'S236'", "S235")),
        (tables.cutting_process, "plasme", ("cutting process = 'plasme'", "plasma")),
        (tables.steel, "", ("steel = ''", "S235", "A36")),
    ],
)
def test_an_unknown_designation_names_the_nearest(find: object, written: str, parts: tuple[str, ...]) -> None:
    assert callable(find)
    with pytest.raises(UnknownDesignationError) as caught:
        find(written)
    for part in parts:
        assert part in str(caught.value)
    assert isinstance(caught.value, InputError)
    assert isinstance(caught.value, LookupError)


def test_a_section_of_one_kind_is_not_found_among_another() -> None:
    with pytest.raises(UnknownDesignationError):
        tables.angle("40x40x3.2")


@given(st.text(max_size=30))
def test_any_text_is_found_or_refused_with_the_one_error(text: str) -> None:
    for find in (tables.sheet, tables.angle, tables.square_tube, tables.rod, tables.bolt, tables.steel):
        caught: Exception | None = None
        try:
            find(text)
        except UnknownDesignationError as error:
            caught = error
        assert caught is None or repr(text) in str(caught)


def test_records_are_frozen() -> None:
    with pytest.raises(FrozenInstanceError):
        tables.sheet("3 mm").thickness_mm = 4.0  # type: ignore[misc]  # it is frozen: that is the test


# ------------------------------------------------------------------ order and plausibility


def test_order_is_metric_then_inch_and_small_to_large() -> None:
    orders = (
        [(s.system, s.thickness_mm) for s in tables.sheets()],
        [(a.system, (a.leg_mm, a.thickness_mm)) for a in tables.angles()],
        [(t.system, (t.side_mm, t.thickness_mm)) for t in tables.square_tubes()],
        [(r.system, r.diameter_mm) for r in tables.rods()],
        [(b.system, b.diameter_mm) for b in tables.bolts()],
    )
    for order in orders:
        assert order == sorted(order, key=lambda pair: (pair[0] != "metric", pair[1]))


def test_the_promised_rows_exist() -> None:
    assert [s.designation for s in tables.sheets()] == [
        *("2 mm", "2.5 mm", "3 mm", "3.2 mm", "4 mm", "5 mm", "6 mm", "8 mm", "10 mm", "12 mm"),
        *("14 gauge MSG", "12 gauge MSG", "11 gauge MSG", "1/8 in", "10 gauge MSG"),
        *("3/16 in", "1/4 in", "5/16 in", "3/8 in", "1/2 in"),
    ]
    assert [b.designation for b in tables.bolts()] == [
        *("M6", "M8", "M10", "M12", "M14", "M16", "M20", "M22", "M24", "M27", "M30"),
        *("1/4-20", "5/16-18", "3/8-16", "1/2-13", "5/8-11", "3/4-10", "7/8-9", "1-8"),
    ]
    assert [r.designation for r in tables.rods()] == [
        *("8 mm", "10 mm", "12 mm", "14 mm", "16 mm", "20 mm"),
        *("3/8 in", "1/2 in", "5/8 in"),
    ]
    assert {"30x30x4", "40x40x3", "40x40x5", "50x50x6"} <= {a.designation for a in tables.angles()}
    tubes = {"20x20x2.5", "25x25x2.5", "30x30x3", "40x40x2.5", "40x40x2.6", "40x40x4", "50x50x2", "50x50x3.2"}
    assert tubes <= {tube.designation for tube in tables.square_tubes()}
    assert {"S235", "S275", "S355", "Q235", "SS400", "A36", "A1011 SS 36"} <= set(DESIGNATED["steels"])


def test_inch_sizes_are_exact_and_designations_say_the_size() -> None:
    for record in tables.sheets():
        number, unit, *gauge = record.designation.split()
        if gauge:
            continue
        top, _, bottom = number.partition("/")
        value = float(top) / float(bottom or 1) * (MM_PER_INCH if unit == "in" else 1)
        assert record.thickness_mm == pytest.approx(value, abs=1e-6)
    for section in tables.angles():
        assert section.designation.endswith(thickness_text(section.thickness_mm, section.system))
    for tube in tables.square_tubes():
        assert tube.designation.endswith(thickness_text(tube.thickness_mm, tube.system))


def thickness_text(thickness: float, system: str) -> str:
    if system == "metric":
        return f"x{thickness:g}"
    return f"x{Fraction(thickness / MM_PER_INCH).limit_denominator(64)}"


def test_bolt_lengths_go_by_system() -> None:
    metric = (16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120)
    assert tables.bolt_lengths("M10") == metric == tables.bolt_lengths("M24")
    inch = tables.bolt_lengths("3/8-16")
    assert inch[0] == 12.7
    assert inch[-1] == 127
    assert all(b - a == pytest.approx(6.35) for a, b in itertools.pairwise(inch))


def test_angles_have_room_for_their_bolt_line() -> None:
    for angle in tables.angles():
        to_toe = angle.leg_mm - angle.gauge_mm
        assert to_toe >= 1.2 * angle.largest_hole_mm, angle.designation
        assert angle.gauge_mm - angle.largest_hole_mm / 2 > angle.thickness_mm, angle.designation
        assert angle.toe_radius_mm <= angle.thickness_mm
        assert angle.root_radius_mm + angle.thickness_mm + angle.toe_radius_mm < angle.leg_mm


def test_no_angle_mass_from_the_list_that_prints_areas_as_masses() -> None:
    # a public list claims L40x40x4 = 3.05 kg/m and L50x50x5 = 4.77 kg/m: those are areas in cm2
    assert tables.angle("40x40x4").mass_kg_m == 2.42
    assert tables.angle("50x50x5").mass_kg_m == 3.77


def test_bolt_parts_fit_together() -> None:
    for bolt in tables.bolts():
        assert bolt.pitch_diameter_mm < bolt.diameter_mm
        assert bolt.diameter_mm < bolt.hole_fine_mm < bolt.hole_medium_mm < bolt.hole_coarse_mm
        assert bolt.hole_coarse_mm < bolt.across_flats_mm < bolt.across_corners_mm
        assert bolt.across_corners_mm <= bolt.across_flats_mm / math.cos(math.pi / 6) + 0.013  # printed to 0.001 in
        assert bolt.across_corners_mm >= 1.10 * bolt.across_flats_mm
        assert bolt.washer_outside_mm > bolt.across_flats_mm
        assert 0.6 * bolt.diameter_mm <= bolt.head_height_mm < bolt.nut_height_mm < bolt.diameter_mm


def test_cutting_processes() -> None:
    for name in ("plasma", "laser", "oxyfuel"):
        process = tables.cutting_process(name)
        assert process.kerf_low_mm < process.kerf_high_mm
        assert process.quality in {1, 2}
    plasma = tables.cutting_process("plasma")
    # bands and rules as seen: kerf 1.0-3.0; least hole 1.5 t; bevel 1 to 5 degrees
    assert (plasma.kerf_low_mm, plasma.kerf_high_mm) == (1.0, 3.0)
    assert plasma.least_hole_ratio == 1.5
    assert 1 <= plasma.edge_angle_deg <= 5


def test_steels() -> None:
    s235 = tables.steel("S235")
    assert (s235.yield_mpa, s235.ultimate_mpa) == (235, 360)
    assert (s235.elastic_modulus_mpa, s235.poisson, s235.density_kg_m3) == (210_000, 0.3, 7850)


@pytest.mark.parametrize("table", ["weld_tolerances", "weld_flatness"])
def test_class_ranges_follow_one_another_without_gap(table: str) -> None:
    classes: dict[str, list[tuple[float, float]]] = {}
    for row in lines(table):
        classes.setdefault(row["tolerance_class"], []).append(
            (float(row["nominal_over_mm"]), float(row["nominal_to_mm"]))
        )
    for ranges in classes.values():
        assert all(a[1] == b[0] for a, b in itertools.pairwise(ranges))
        assert ranges == next(iter(classes.values()))


@pytest.mark.parametrize("table", ["cut_tolerances", "sheet_tolerances"])
def test_two_way_tables_are_full_grids(table: str) -> None:
    rows = lines(table)
    low, across = ("thickness_over_mm", "nominal_from_mm" if table == "cut_tolerances" else "width_over_mm")
    high, end = ("thickness_to_mm", "nominal_below_mm" if table == "cut_tolerances" else "width_to_mm")
    for quality in {row.get("quality") for row in rows}:
        mine = [row for row in rows if row.get("quality") == quality]
        thicknesses = sorted({(float(row[low]), float(row[high])) for row in mine})
        columns = sorted({(float(row[across]), float(row[end])) for row in mine})
        assert len(mine) == len(thicknesses) * len(columns)
        assert all(a[1] == b[0] for a, b in itertools.pairwise(thicknesses))
        assert all(a[1] == b[0] for a, b in itertools.pairwise(columns))
