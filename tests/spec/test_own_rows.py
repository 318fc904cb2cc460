"""Rows that no table has: read, worked out, held against one another, refused by name, written out again."""

from __future__ import annotations

import copy
import pickle
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom import Spec, SpecError, load, tables
from mouldgeom.checks import run_checks
from mouldgeom.designations import OwnDesignation
from mouldgeom.errors import UnknownDesignationError
from mouldgeom.model.assembly import build
from mouldgeom.outputs.calculation import calculation_text
from mouldgeom.outputs.records import part_records
from mouldgeom.solids import SolidMould
from mouldgeom.spec import parse, spec_toml
from mouldgeom.spec.own_cells import CELLS
from mouldgeom.spec.own_rows import EXAMPLE, MOST, NO_ROWS, Row, cells, in_steel, read_own
from mouldgeom.strength.book import book
from mouldgeom.verdict import Verdict
from mouldgeom.words import Words

OWN: dict[str, dict[str, Any]] = {
    "sheet": {"designation": "3.5 mm", "thickness": 3.5},
    "angle": {"designation": "45x45x5", "leg": 45, "thickness": "5 mm"},
    "square_tube": {"designation": "45x45x3", "side": 45, "thickness": 3},
    "rod": {"designation": "13 mm", "diameter": 13},
    "bolt": {"designation": "M11", "diameter": 11, "pitch": 1.5, "across_flats": 17},
    "steel": {"designation": "St 37", "yield": 235, "ultimate": 360},
}
"""The least that is to be known of a row of each kind."""
STEEL = {"shell": "3.5mm", "angle": "L 45 x 45 x 5", "square_tube": "45x45x3", "rod": "13mm", "bolt": "m11"}
STEEL |= {"grade": "st 37"}


def toml(own: dict[str, dict[str, Any]], steel: dict[str, str] | None = None) -> str:
    """A specification with one row of each of these kinds."""
    lines = ["[steel]", *(f"{name} = {value!r}" for name, value in (steel or {}).items())]
    for kind, row in own.items():
        lines += [f"[[own.{kind}]]", *(f"{name} = {value!r}" for name, value in row.items())]
        lines += [] if "source" in row else ["source = 'measured, invented'"]
    return "\n".join(lines)


def made(kind: str, **given: Any) -> Row:
    """One row of what is given."""
    own, faults = read_own({kind: [{"source": "a table", **given}]})
    assert faults == ()
    ((_, row),) = own.rows()
    return row


def listed() -> Iterator[tuple[str, Row]]:
    """Every row of the tables, with its kind."""
    for kind, rows in (
        ("sheet", tables.sheets()),
        ("angle", tables.angles()),
        ("square_tube", tables.square_tubes()),
        ("rod", tables.rods()),
        ("bolt", tables.bolts()),
    ):
        yield from ((kind, row) for row in rows)
    yield from (("steel", tables.steel(name)) for name in ("S235", "S275", "S355", "Q235", "SS400", "A36"))


@pytest.fixture(scope="module")
def spec() -> Spec:
    return parse(toml(OWN, STEEL))


# ---------------------------------------------------------------- what is left out


@pytest.mark.parametrize(
    ("name", "mass", "area", "second", "centroid"),
    [
        # EN 10056-1:1998, printed (from memory); none stands in data/
        ("70x70x7", 7.38, 9.40, 42.3, 1.97),
        ("80x80x8", 9.63, 12.3, 72.2, 2.26),
        ("100x100x10", 15.0, 19.2, 177, 2.82),
    ],
)
def test_a_published_angle_comes_out(name: str, mass: float, area: float, second: float, centroid: float) -> None:
    leg, _, thickness = map(float, name.split("x"))
    row = made("angle", designation=name, leg=leg, thickness=thickness)
    assert isinstance(row, tables.Angle)
    found = (row.mass_kg_m, row.area_cm2, row.second_moment_cm4, row.centroid_cm)
    assert found == pytest.approx((mass, area, second, centroid), rel=0.005)


@pytest.mark.parametrize(
    ("name", "mass", "area", "second", "modulus"),
    [
        # EN 10219-2, printed (from memory); none stands in data/
        ("60x60x3", 5.19, 6.61, 35.1, 11.7),
        ("60x60x4", 6.71, 8.55, 43.6, 14.5),
        ("70x70x3", 6.13, 7.81, 57.5, 16.4),
    ],
)
def test_a_published_tube_comes_out(name: str, mass: float, area: float, second: float, modulus: float) -> None:
    side, _, thickness = map(float, name.split("x"))
    row = made("square_tube", designation=name, side=side, thickness=thickness)
    assert isinstance(row, tables.SquareTube)
    found = (row.mass_kg_m, row.area_cm2, row.second_moment_cm4, row.section_modulus_cm3)
    assert found == pytest.approx((mass, area, second, modulus), rel=0.005)


@pytest.mark.parametrize(("name", "pitch", "mean", "area"), [("M18", 2.5, 16.376, 192), ("M33", 3.5, 30.727, 694)])
def test_a_published_thread_comes_out(name: str, pitch: float, mean: float, area: float) -> None:
    """ISO 724 and ISO 898-1, printed (from memory)."""
    diameter = float(name[1:])
    row = made("bolt", designation=name, diameter=diameter, pitch=pitch, across_flats=1.5 * diameter)
    assert isinstance(row, tables.Bolt)
    assert (row.pitch_diameter_mm, row.stress_area_mm2) == pytest.approx((mean, area), rel=0.005)


@pytest.mark.parametrize(("kind", "row"), listed(), ids=lambda value: getattr(value, "designation", value))
def test_a_row_of_the_tables_would_be_taken(kind: str, row: Row) -> None:
    """All of it under another name; by the least that is to be known, near the row; under its own name, not at all."""
    told = cells(kind, row)
    again = made(kind, **{**told, "designation": "another"})
    assert {**cells(kind, again), "designation": row.designation} == told
    least = {cell.name: told[cell.name] for cell in CELLS[kind] if cell.otherwise is None}
    near = made(kind, **{**least, "designation": "another"})
    for cell in CELLS[kind]:
        if "hole" not in cell.name and "radius" not in cell.name and cell.name != "washer_thickness":
            assert getattr(near, cell.column) == pytest.approx(getattr(row, cell.column), rel=0.15), cell.name
    if isinstance(row, tables.Steel) and isinstance(near, tables.Steel):
        assert near.yield_over_16_mpa <= row.yield_over_16_mpa
        assert near.ultimate_below_3_mpa <= row.ultimate_below_3_mpa
    own, faults = read_own({kind: [{**least, "designation": row.designation, "source": "a dealer"}]})
    assert (own, faults) == (NO_ROWS, ())


def test_what_is_given_goes_before_what_is_worked_out() -> None:
    row = made("angle", **OWN["angle"], mass=3.38, gauge="26 mm", root_radius=7)
    assert isinstance(row, tables.Angle)
    assert (row.mass_kg_m, row.gauge_mm, row.root_radius_mm, row.toe_radius_mm) == (3.38, 26, 7, 3.5)
    assert row.source == "a table"


# ---------------------------------------------------------------- refused


@pytest.mark.parametrize(
    ("kind", "change", "name", "says"),
    [
        ("sheet", {"thickness": 0.2}, "thickness", "0.2 mm: allowed is 0.5 to 40 mm"),
        ("sheet", {"thickness": True}, "thickness", "no lengths"),
        ("sheet", {"thickness": "thick"}, "thickness", "allowed is 0.5 to 40 mm"),
        ("sheet", {"thickness": float("nan")}, "thickness", "allowed is"),
        ("sheet", {"system": "imperial"}, "system", "metric, inch"),
        ("sheet", {"thicknes": 3}, "thicknes", "Did you mean thickness"),
        ("sheet", {"designation": "3 mm"}, "thickness", "the tables have 3 mm with 3 mm"),
        ("sheet", {"designation": "least"}, "designation", "meaning of its own"),
        ("sheet", {"designation": "two 3"}, "designation", "meaning of its own"),
        ("sheet", {"designation": "../x"}, "designation", "letters, digits"),
        ("sheet", {"designation": "=1"}, "designation", "letters, digits"),
        ("sheet", {"designation": ""}, "designation", "1 to 24 characters"),
        ("sheet", {"designation": "3\u2603"}, "designation", "U\\+2603"),
        ("sheet", {"designation": 3}, "designation", "text"),
        ("sheet", {"source": ""}, "source", "where the numbers come from"),
        ("angle", {"thickness": 22}, "thickness", "22 mm: allowed is 2 to 15 mm: a leg is at least three thicknesses"),
        ("angle", {"root_radius": 20}, "root_radius", "allowed is 0 to 11.25 mm"),
        ("angle", {"toe_radius": 6}, "toe_radius", "allowed is 0 to 5 mm"),
        ("angle", {"mass": 4}, "mass", "4 kg/m: allowed is 3.03[45] to 3.709 kg/m: within 10%"),
        ("angle", {"area": 43}, "area", "43 cm2: allowed"),
        ("angle", {"second_moment": 0.8}, "second_moment", "cm4"),
        ("angle", {"centroid": 12.8}, "centroid", "12.8 cm: allowed"),
        ("angle", {"gauge": 40}, "gauge", "allowed is 18 to 31.5 mm"),
        ("angle", {"largest_hole": 20}, "largest_hole", "1.2 holes from the bolt line"),
        ("square_tube", {"thickness": 8}, "thickness", "a side is at least six thicknesses"),
        ("square_tube", {"outer_radius": 10}, "outer_radius", "allowed is 0 to 9 mm"),
        ("square_tube", {"inner_radius": 7}, "inner_radius", "allowed is 0 to 6 mm"),
        ("square_tube", {"section_modulus": 10}, "section_modulus", "cm3"),
        ("rod", {"diameter": 300}, "diameter", "allowed is 3 to 60 mm"),
        ("rod", {"designation": "M10"}, "designation", "the tables have a bolt of that name"),
        ("bolt", {"designation": "12 mm"}, "designation", "the tables have a rod of that name"),
        ("bolt", {"pitch": 5}, "pitch", "allowed is 0.55 to 2.42 mm"),
        ("bolt", {"pitch_diameter": 11}, "pitch_diameter", "within 3%"),
        ("bolt", {"stress_area": 40}, "stress_area", "40 mm2: allowed"),
        ("bolt", {"across_flats": 10}, "across_flats", "a head is wider than its bolt"),
        ("bolt", {"across_corners": 25}, "across_corners", "hexagon"),
        ("bolt", {"head_height": 1}, "head_height", "allowed"),
        ("bolt", {"nut_height": 1}, "nut_height", "allowed"),
        ("bolt", {"washer_outside": 12}, "washer_outside", "as wide as its nut"),
        ("bolt", {"washer_thickness": 0}, "washer_thickness", "allowed"),
        ("bolt", {"hole_fine": 10}, "hole_fine", "the bolt goes through it"),
        ("bolt", {"hole_fine": 12, "hole_medium": 11.5}, "hole_medium", "no less than the fine hole"),
        ("bolt", {"hole_coarse": 11.5}, "hole_coarse", "no less than the medium hole"),
        ("steel", {"yield": 23.5}, "yield", "23.5 MPa: allowed is 150 to 700 MPa"),
        ("steel", {"ultimate": 235}, "ultimate", "steel breaks above its yield strength"),
        ("steel", {"yield_over_16": 240}, "yield_over_16", "thicker steel has no more"),
        ("steel", {"ultimate_below_3": 900}, "ultimate_below_3", "allowed"),
        ("steel", {"elastic_modulus": 210}, "elastic_modulus", "210 MPa: allowed is 180000 to 220000 MPa"),
        ("steel", {"poisson": 0.5}, "poisson", "0.5: allowed is 0.25 to 0.35"),
        ("steel", {"density": 7.85}, "density", "allowed is 7500 to 8200 kg/m3"),
        ("steel", {"designation": "8.8"}, "designation", "meaning of its own"),
        ("steel", {"system": "metric"}, "system", "unknown key"),
    ],
)
def test_a_row_without_sense_is_refused(kind: str, change: dict[str, Any], name: str, says: str) -> None:
    given = {"source": "invented", **OWN[kind], **change}
    own, faults = read_own({kind: [given]})
    assert own == NO_ROWS
    (fault,) = faults
    assert fault.name == f"own.{kind}[1].{name}"
    assert fault.remedy
    with pytest.raises(AssertionError, match=says):
        raise AssertionError(str(fault))


@pytest.mark.parametrize("kind", OWN)
def test_what_follows_from_nothing_is_needed(kind: str) -> None:
    own, faults = read_own({kind: [{}]})
    needed = [cell.name for cell in CELLS[kind] if cell.otherwise is None]
    assert own == NO_ROWS
    assert [fault.name for fault in faults[:2]] == [f"own.{kind}[1].designation", f"own.{kind}[1].source"]
    for name in needed[:1]:
        _, faults = read_own({kind: [{"designation": "x", "source": "x"}]})
        assert (faults[0].name, faults[0].value) == (f"own.{kind}[1].{name}", "left out")


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("own = 3", "own"),
        ("[own.sheet]\nthickness = 3", "own.sheet"),
        ("own.angel = []", "own.angel"),
        ("own.sheet = [3]", "own.sheet[1]"),
        ("own.sheet = [" + "{}, " * (MOST + 1) + "]", "own.sheet"),
        (toml(OWN) + "\n[[own.sheet]]\ndesignation = '3.50mm'\nsource = 'x'", "own.sheet[2].designation"),
        (toml({"bolt": {**OWN["bolt"], "designation": "13 mm own"}, "rod": {**OWN["rod"], "designation": "13 mm own"}}),
         "own.rod[1].designation"),
    ],
)  # fmt: skip
def test_a_table_that_is_none_is_refused(text: str, name: str) -> None:
    with pytest.raises(SpecError) as caught:
        parse(text)
    assert caught.value.name == name


def test_everything_that_is_wrong_is_said_at_once() -> None:
    wrong = {**OWN, "angle": {**OWN["angle"], "mass": 9, "gauge": 1}, "rod": {**OWN["rod"], "diameter": 0}}
    with pytest.raises(SpecError) as caught:
        parse(toml(wrong))
    for name in ("own.angle[1].mass = 9 kg/m", "own.angle[1].gauge = 1 mm", "own.rod[1].diameter = 0 mm"):
        assert name in str(caught.value)


@pytest.mark.parametrize(
    ("field", "value"),
    [("shell", "45x45x5"), ("angle", "45x45x3"), ("jack_screw", "13 mm"), ("grade", "M11"), ("square_tube", "two M11")],
)
def test_a_row_of_another_kind_is_not_taken(field: str, value: str) -> None:
    with pytest.raises(SpecError, match=f"steel.{field} = .*no such"):
        parse(toml(OWN, {field: value}))


VALUES = st.one_of(st.integers(-9, 400), st.floats(), st.booleans(), st.text(max_size=8), st.just([]), st.just({}))


@given(st.data())
def test_any_row_is_understood_or_refused(data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(sorted(CELLS)))
    names = ["designation", "source", "system", "other", *(cell.name for cell in CELLS[kind])]
    given = {"source": "x", **OWN[kind], **data.draw(st.dictionaries(st.sampled_from(names), VALUES, max_size=4))}
    own, faults = read_own({kind: [given]})
    assert faults or len(list(own.rows())) <= 1
    assert all(fault.name.startswith(f"own.{kind}[1]") for fault in faults)
    if not faults:
        written = spec_toml(Spec(own=own))
        assert parse(written) == Spec(own=own)


# ---------------------------------------------------------------- written, copied, kept apart


def test_a_specification_comes_back_with_its_rows(spec: Spec) -> None:
    text = spec_toml(spec)
    again = parse(text)
    assert again == spec
    assert spec_toml(again) == text
    assert again.digest == spec.digest
    assert [kind for kind, _ in again.own.rows()] == list(OWN)
    assert spec.digest != parse(toml({**OWN, "sheet": {**OWN["sheet"], "thickness": 3.6}}, STEEL)).digest


def test_a_specification_without_rows_is_written_as_ever() -> None:
    assert "own" not in spec_toml(load("hill-example")).replace("owner", "")


def test_the_example_of_new_is_read() -> None:
    lines = [line.removeprefix("# ") for line in EXAMPLE.splitlines() if "=" in line or "[[" in line]
    (row,) = parse("\n".join(lines)).own.angle
    assert (row.designation.upper(), row.leg_mm) == ("45X45X5", 45)


def seen_elsewhere(spec: Spec) -> tuple[Spec, float, str]:
    """What another process makes of a specification."""
    dims = build(spec).dims
    return spec, dims.stock.shell.thickness_mm, spec.digest


def test_rows_go_along_to_another_process(spec: Spec) -> None:
    with ProcessPoolExecutor(1, get_context("spawn")) as pool:
        again, thickness, digest = pool.submit(seen_elsewhere, spec).result()
    assert (again, thickness, digest) == (spec, 3.5, spec.digest)
    assert isinstance(again.steel.shell, OwnDesignation)


@pytest.mark.parametrize("copied", [copy.copy, copy.deepcopy, lambda one: pickle.loads(pickle.dumps(one))])
def test_a_copy_is_equal(spec: Spec, copied: Any) -> None:
    for designation in (
        spec.steel.shell,
        spec.steel.bolt,
        parse(toml(OWN, {"square_tube": "two 45x45x5"})).steel.square_tube,
    ):
        again = copied(designation)
        assert again == designation
        assert hash(again) == hash(designation)
        assert again.row == designation.row
    assert copied(build(spec).dims) == build(spec).dims


def test_a_designation_with_its_row_is_no_other(spec: Spec) -> None:
    thicker = parse(toml({**OWN, "sheet": {**OWN["sheet"], "thickness": 3.6}}, STEEL))
    one, other = spec.steel.shell, thicker.steel.shell
    assert str(one) == str(other) == "3.5 mm"
    assert one != other
    assert one != "3.5 mm"
    assert "3.5 mm" != one  # noqa: SIM300 (the other way round is another method)
    assert {"3.5 mm": 0, one: 1, other: 2}[one] == 1
    assert tables.sheet(one).thickness_mm == 3.5
    assert tables.sheet(other).thickness_mm == 3.6
    for find in (tables.angle, tables.bolt, tables.steel):
        with pytest.raises(UnknownDesignationError):
            find(one)


def test_two_rows_of_one_name_do_not_mix(spec: Spec) -> None:
    """In one process, in turn, the masses are those of each specification's own rows."""
    heavy = parse(
        toml({**OWN, "sheet": {**OWN["sheet"], "thickness": 4}, "angle": {**OWN["angle"], "mass": 3.6}}, STEEL)
    )

    def weights(one: Spec) -> dict[str, float]:
        return {f"{record['mark']} {record['name']}": record["mass_kg"] for record in part_records(build(one))}

    light, loaded, again = weights(spec), weights(heavy), weights(spec)
    assert light == again
    assert loaded != light
    assert build(heavy).dims.shell == 4
    assert build(spec).dims.shell == 3.5


# ---------------------------------------------------------------- used


def twin(spec: Spec) -> Spec:
    """The same steel, every row of it described by a person under another name."""
    rows: dict[str, list[dict[str, Any]]] = {}
    named: dict[str, str] = {}
    stock = build(spec).dims.stock
    for field, kind, row in (
        ("shell", "sheet", stock.shell),
        ("base", "sheet", stock.base),
        ("angle", "angle", stock.angle),
        ("square_tube", "square_tube", stock.tube),
        ("rod", "rod", stock.rod),
        ("bolt", "bolt", stock.bolt),
        ("jack_screw", "bolt", stock.jack),
        ("grade", "steel", stock.steel),
    ):
        named[field] = f"{row.designation} own"
        rows.setdefault(kind, []).append({**cells(kind, row), "designation": named[field], "source": "a twin"})
    named["ledge"] = named["base"]
    own, faults = read_own(rows)
    assert faults == ()
    brought = in_steel(named, own)
    assert isinstance(brought, dict)
    steel = spec.steel.model_copy(update=brought)
    return parse(spec_toml(spec.model_copy(update={"steel": steel, "own": own})))


@pytest.mark.parametrize("name", ["hill-example", "inch-example"])
def test_a_row_like_that_of_a_table_makes_the_same_mould(name: str) -> None:
    """Records, calculation and what it requires, but for names and sources."""
    plain = load(name)
    theirs, mine = build(plain), build(twin(plain))
    mine_of = [{k: v for k, v in record.items() if not k.endswith("source")} for record in part_records(mine)]
    assert str(mine_of).replace(" own", "") == str(part_records(theirs)).replace(" own", "")
    texts = [calculation_text(mould, book(mould), Words()).replace(" own", "") for mould in (theirs, mine)]
    assert texts[0] == "".join(line for line in texts[1].splitlines(True) if "No table has" not in line)


@pytest.mark.slow
def test_a_row_like_that_of_a_table_passes_the_same_checks(hill_spec: Spec, hill_results: tuple[Verdict, ...]) -> None:
    mine = run_checks(SolidMould(build(twin(hill_spec))))
    told = [str([result.record() for result in results]).replace(" own", "") for results in (hill_results, mine)]
    assert told[0] == told[1]


def test_the_least_angle_is_sought_among_own_rows_too() -> None:
    """A lighter angle that serves is found; it is not where it is not described."""
    hill = load("hill-example")
    wanted = hill.model_copy(update={"steel": hill.steel.model_copy(update={"angle": "least"})})
    found = build(wanted).dims.stock.angle
    lighter = {**cells("angle", found), "designation": "light", "mass": 0.99 * found.mass_kg_m, "source": "x"}
    own, faults = read_own({"angle": [lighter]})
    assert faults == ()
    assert str(build(wanted.model_copy(update={"own": own})).dims.stock.angle.designation) == "light"
    assert build(wanted).dims.stock.angle == found


def test_sources_stand_in_the_records(spec: Spec) -> None:
    records = part_records(build(spec))
    for record in records:
        own = record["material"] == "3.5 mm" or record.get("section", record.get("designation")) in ("45x45x5", "M11")
        assert ("source" in record) >= own
        assert ("grade_source" in record) == (record["grade"] == "St 37")
    assert all(type(value) in (str, int, float, list) for record in records for value in record.values())
    assert not any("source" in record for record in part_records(build(load("hill-example"))))


def test_two_files_that_differ_are_told(spec: Spec) -> None:
    other, _ = read_own({"sheet": [{**OWN["sheet"], "thickness": 3.4, "source": "another list"}]})
    with pytest.raises(SpecError, match=r"own.sheet = '3.5 mm': two files describe it"):
        spec.own.plus(other)
    assert spec.own.plus(spec.own) == spec.own
    assert NO_ROWS.plus(spec.own) == spec.own
