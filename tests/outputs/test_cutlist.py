"""The cut list: every part once, sums, units that cannot slip, a spreadsheet that opens, the same bytes each time."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from conftest import Run
from hypothesis import given
from hypothesis import strategies as st
from random_specs import profile, specs

from mouldgeom import SpecError, parse
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.concrete_side import concrete_edges, in_concrete
from mouldgeom.model.shapes import Plate
from mouldgeom.nesting.two_units import disagreements, parse_inches, read_list
from mouldgeom.outputs.cutlist import HEADER, cut_groups, cutlist_csv, inches
from mouldgeom.outputs.kinds import COST, CUTLIST
from mouldgeom.outputs.package import Job, make_files
from mouldgeom.outputs.records import part_records
from mouldgeom.outputs.spreadsheet import cutlist_xlsx

pytestmark = pytest.mark.slow

Book = Any


def rows_of(mould: Mould) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(cutlist_csv(mould).decode("utf-8-sig"), newline="")))


@pytest.fixture(scope="module")
def workbook(hill: Mould) -> Book:
    return openpyxl.load_workbook(io.BytesIO(cutlist_xlsx(hill)))


@pytest.mark.parametrize("screw", ["M24", "M10"])
def test_the_jack_nut_has_one_name_and_is_bought_by_its_size(screw: str) -> None:
    """Also where the joints have nuts of that size."""
    bolts, bought = fasteners_for(f'[steel]\nbolt = "M10"\njack_screw = "{screw}"\n[extraction]\ngear = "bridge"')
    assert bought["jack nut"] == ("3", f"hexagon nut {screw}, unmarked")
    assert bought["jack washer"] == ("1", f"washer {screw}")
    assert bought["hexagon nut M10"] == (str(bolts), "hexagon nut M10, unmarked")


@pytest.mark.parametrize("screw", ["M24", "M10"])
def test_the_forcing_nuts_have_one_name_and_are_bought_by_their_size(screw: str) -> None:
    """Three a screw: one is welded, two are locked against each other; the screws take no washer."""
    bolts, bought = fasteners_for(f'[steel]\nbolt = "M10"\njack_screw = "{screw}"')
    assert bought["forcing nut"] == ("12", f"hexagon nut {screw}, unmarked")
    assert bought["hexagon nut M10"] == (str(bolts), "hexagon nut M10, unmarked")
    assert bought["washer M10"] == (str(2 * bolts), "washer M10")
    assert not any("jack" in name for name in bought)


def fasteners_for(text: str) -> tuple[int, dict[str, tuple[str, str]]]:
    """How many bolts the joints of a mould have, and what is bought of each name: quantity and material."""
    mould = build(parse(text))
    rows = [row for row in rows_of(mould) if row["list"] == "fastener"]
    bought = {row["name"]: (row["quantity"], row["material"]) for row in rows}
    assert len(bought) == len(rows)
    return sum(len(row.points) for row in mould.rows), bought


def test_every_part_once_with_quantity_and_mass(example: Mould) -> None:
    """Against ``parts.json``, which is made another way."""
    listed = {row["mark"]: row for row in rows_of(example) if row["mark"]}
    records = {record["mark"]: record for record in part_records(example)}
    assert listed.keys() == records.keys()
    for mark, record in records.items():
        row = listed[mark]
        assert row["list"] == record["kind"]
        assert row["name"] == record["name"]
        assert int(row["quantity"]) == record["quantity"]
        assert float(row["mass_each_kg"]) == pytest.approx(record["mass_kg"], abs=6e-4)
        if record["kind"] == "plate":
            sides = sorted((record["width_mm"], record["height_mm"]))
            assert [float(row["width_mm"]), float(row["length_mm"])] == pytest.approx(sides, abs=0.051)
        if record["kind"] == "bar":
            assert float(row["length_mm"]) == pytest.approx(record["length_mm"], abs=0.051)
            assert row["ends"] == "square, 90 deg"
        holes = sum(int(part.split(" x ")[0]) for part in row["holes"].split(", ") if part)
        assert holes == len(record["holes"])


def test_sums(example: Mould) -> None:
    rows = rows_of(example)
    for total in (row for row in rows if row["list"] == "sum"):
        alike = [r for r in rows if r["mark"] and total["material"] in (r["material"], f"{r['list']}s")]
        assert int(total["quantity"]) == sum(int(r["quantity"]) for r in alike)
        assert float(total["mass_kg"]) == pytest.approx(sum(float(r["mass_kg"]) for r in alike), abs=0.002 * len(alike))
    parts, steel = 0, 0.0
    for part in example.parts:
        parts += part.quantity
        steel += part.quantity * example.mass(part)
    sums = [row for row in rows if row["list"] == "sum"]
    assert sum(int(row["quantity"]) for row in sums) == parts
    assert sum(float(row["mass_kg"]) for row in sums) == pytest.approx(steel, abs=0.01)


def test_the_csv_is_one_table(example: Mould) -> None:
    text = cutlist_csv(example).decode("utf-8-sig")
    lines = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert tuple(lines[0]) == HEADER
    assert {len(line) for line in lines} == {len(HEADER)}
    assert text.endswith("\r\n")


def test_our_own_list_has_no_slip(example: Mould) -> None:
    """Read back by the reader for lists in two units: every pair agrees, and every length is there."""
    rows = read_list(cutlist_csv(example).decode("utf-8-sig"))
    assert not disagreements(rows)
    lengths = sum(bool(row["length_mm"]) + bool(row["width_mm"]) for row in rows_of(example))
    assert sum(len(row.pairs) for row in rows) == lengths > 40


@given(st.data())
@profile(40)
def test_no_mould_has_a_list_with_a_slip(data: st.DataObject) -> None:
    try:
        mould = build(data.draw(specs(near=0.5)))
    except SpecError:
        return
    assert not disagreements(read_list(cutlist_csv(mould).decode("utf-8-sig")))


@given(st.floats(0.1, 5000))
def test_inches_say_their_rounding(length: float) -> None:
    """The number in brackets is what the inches are, and within 1/32 in of what is meant."""
    text = inches(length)
    head, _, tail = text.partition(" (")
    assert float(tail.rstrip(")")) == pytest.approx(parse_inches(head), abs=0.0051)
    assert abs(parse_inches(text) - length) <= 25.4 / 32 + 1e-9


def test_inches_by_hand() -> None:
    assert inches(387) == "15 1/4 in (387.35)"
    assert inches(175) == "6 7/8 in (174.63)"
    assert inches(29) == "1 1/8 in (28.58)"


def test_grouped_by_material(hill: Mould) -> None:
    names = [group.material for group in cut_groups(hill)]
    assert names == [
        "sheet 6 mm",
        "sheet 3 mm",
        "angle 40x40x4",
        "square tube 40x40x3",
        "rod 12 mm",
        "rod 16 mm",
        "threaded rod M24, class 4.6",
        "fasteners",
    ]


def test_concrete_sides(hill: Mould, bridged_hill: Mould) -> None:
    """By the drawing of the mould: which edges the concrete comes up to."""
    bridge = {row["name"]: row["concrete_side"] for row in rows_of(bridged_hill)}
    assert bridge["anchor plate"] == bridge["gusset"] == "none"
    side = {row["name"]: row["concrete_side"] for row in rows_of(hill)}
    assert side["ledge strip, left and right"] == "marked face; upper edge"
    assert side["ledge strip, front and back"] == "marked face; right and upper and left edges"
    assert side["core wall, front and back"] == "marked face; right and left edges"
    assert side["core wall, left and right"] == "marked face"
    assert side["end plate"].startswith("marked face; ")
    assert side["end plate"].count("and") == 3
    assert side["front panel"] == "marked face; opening edge"
    assert side["back panel"] == side["base plate"] == side["nose lid"] == side["thrust pad"] == "marked face"
    assert side["nut plate"] == side["pin plate"] == side["runner"] == "none"


def test_concrete_by_points_is_concrete_by_the_kernel(hill: Mould, hill_solids: Any) -> None:
    """The plain rule against the solid body, clear of the tube; points within 1 mm of a face are left out."""
    import cadquery as cq

    body, inside, outside = hill_solids.body, 0, 0
    faces = body.Faces()
    for x in (-170, -140, -60, -20, 14, 100, 150):
        for y in (-240, -220, -200, -183, -170, -150, -100, 3, 130, 165):
            for z in (15, 100, 165, 190, 300, 500, 800, 850):
                vertex = cq.Vertex.makeVertex(x, y, z)
                if min(face.distance(vertex) for face in faces) > 1:
                    solid = vertex.distance(body) < 1e-6
                    assert solid == in_concrete(hill.dims, (x, y, z)), (x, y, z)
                    inside, outside = inside + solid, outside + (not solid)
    assert min(inside, outside) > 100


def test_edges_of_every_plate_can_be_named(example: Mould) -> None:
    for plate in example.plates:
        assert set(concrete_edges(example.dims, plate)) <= {"left", "right", "upper", "lower", "opening"}


# ---------------------------------------------------------------- spreadsheet


def test_sheets_and_headings(workbook: Book) -> None:
    assert workbook.sheetnames == ["Cut list", "Welds", "Consumables", "Notes"]
    sheet = workbook["Cut list"]
    assert sheet["A1"].value == "Status: not checked. For one mould."
    assert [cell.value for cell in sheet[2]][:5] == ["Mark", "Name", "Number", "Length mm", "Length in (mm)"]
    assert sheet.freeze_panes == "C3"
    assert sheet.print_title_rows == "$1:$2"


def evaluate(sheet: Any, formula: str) -> float:
    """The value of the few kinds of formula that the list has, from the cells themselves."""
    body = formula.removeprefix("=")

    def value(cell: Any) -> float:
        return evaluate(sheet, cell.value) if isinstance(cell.value, str) else float(cell.value)

    if body.startswith("SUM("):
        total = 0.0
        for block in body[4:-1].split(","):
            cells = sheet[block] if ":" in block else ((sheet[block],),)
            total += sum(value(cell) for row in cells for cell in row)
        return total
    one, other = body.split("*")
    return value(sheet[one]) * value(sheet[other])


def test_formulas_give_what_is_stored(hill: Mould, workbook: Book) -> None:
    """Each formula worked out from the cells against the value that is stored with it and the mould's own sums."""
    stored = openpyxl.load_workbook(io.BytesIO(cutlist_xlsx(hill)), data_only=True)["Cut list"]
    sheet, count = workbook["Cut list"], 0
    for row in sheet.iter_rows():
        for cell in row:
            if isinstance(cell.value, str) and cell.value.startswith("="):
                assert evaluate(sheet, cell.value) == pytest.approx(stored[cell.coordinate].value, abs=1e-3)
                count += 1
    assert count > 40
    last = stored[stored.max_row]
    assert last[1].value == "all"
    assert last[2].value == sum(part.quantity for part in hill.parts)
    assert last[11].value == pytest.approx(sum(part.quantity * hill.mass(part) for part in hill.parts))


def test_spreadsheet_and_csv_say_the_same(hill: Mould, workbook: Book) -> None:
    listed = {row["mark"]: row for row in rows_of(hill) if row["mark"]}
    seen = 0
    for row in workbook["Cut list"].iter_rows(min_row=3, values_only=True):
        if row[0] in listed:
            match, seen = listed[row[0]], seen + 1
            assert row[1] == match["name"]
            assert row[2] == int(match["quantity"])
            assert (row[3] is None) == (match["length_mm"] == "")
            if row[3] is not None:
                assert row[3] == float(match["length_mm"])
                assert row[4] == match["length_in"]
            assert (row[9] or "") == match["concrete_side"]
    assert seen == len(listed)


def test_welds_in_the_spreadsheet(hill: Mould, workbook: Book) -> None:
    from mouldgeom.fabrication.welds import seams

    rows = list(workbook["Welds"].iter_rows(min_row=3, values_only=True))
    steps = [row for row in rows if row[0]]
    sums = [row for row in rows if not row[0]]
    together = sum(seam.welded for seam in seams(hill))
    assert sum(row[7] for row in steps) == pytest.approx(together, abs=len(steps))
    assert sum(row[7] for row in sums) == pytest.approx(together, abs=len(sums))


def test_notes_carry_the_cautions(workbook: Book) -> None:
    text = " ".join(str(row[0]) for row in workbook["Notes"].iter_rows(values_only=True))
    for word in ("licensed engineer", "protection", "Zinc", "1/16 in", "mirrored"):
        assert word in text


def test_a_title_that_looks_like_a_formula_is_text() -> None:
    from mouldgeom import load

    spec = load("hill-example").model_copy(update={"title": "=1+1 & <b>"})
    sheet = openpyxl.load_workbook(io.BytesIO(cutlist_xlsx(build(spec))))["Notes"]
    assert sheet["A3"].value.startswith("=1+1 & <b>: one mould")
    assert sheet["A3"].data_type == "s"


def digest(make: Callable[[Mould], bytes], mould: Mould) -> str:
    return hashlib.sha256(make(mould)).hexdigest()


@pytest.mark.parametrize("seed", ["0", "12345"])
def test_same_bytes_in_every_process(run: Run, hill: Mould, seed: str) -> None:
    code = (
        "import hashlib, mouldgeom\n"
        "from mouldgeom.outputs.cutlist import cutlist_csv\n"
        "from mouldgeom.outputs.spreadsheet import cutlist_xlsx\n"
        "mould = mouldgeom.build('hill-example').model\n"
        "print(*(hashlib.sha256(make(mould)).hexdigest() for make in (cutlist_csv, cutlist_xlsx)))"
    )
    done = run("-c", code, env={"PYTHONHASHSEED": seed, "TZ": "Asia/Kolkata"})
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == [digest(cutlist_csv, hill), digest(cutlist_xlsx, hill)]


def test_the_package_holds_all_files(hill: Mould, tmp_path: Path) -> None:
    job = Job(hill, kinds=(CUTLIST, COST))
    files = make_files(job)
    assert [file.path for file in files] == ["cut-list.csv", "cut-list.xlsx", "work.json"]
    assert not job.checked


def test_tapers_are_said(hill: Mould, bridged_hill: Mould) -> None:
    """Ends of an even taper against the outline's own corners."""
    shape = {row["name"]: row["shape"] for row in rows_of(hill)}
    for plate in hill.plates:
        assert isinstance(plate, Plate)
        if shape[plate.name].startswith("even taper"):
            ends = sorted({round(v.y, 3) for v in plate.outline.vertices})
            widths = []
            for level in ends:
                xs = [v.x for v in plate.outline.vertices if abs(v.y - level) < 0.01]
                widths.append(max(xs) - min(xs))
            said = [float(word) for word in shape[plate.name].replace("even taper, ", "").split() if word[0].isdigit()]
            assert said == pytest.approx([*widths, ends[1] - ends[0]], abs=0.051)
    assert shape["core wall, front and back"].startswith("even taper, 262 to 233.3")
    assert shape["base plate"] == "rectangle; 5 openings", "to weld through, and one for each pad"
    bridge = {row["name"]: row["shape"] for row in rows_of(bridged_hill)}
    assert bridge["base plate"] == "outline of 16 corners: see flat/C1.dxf; 1 opening"
