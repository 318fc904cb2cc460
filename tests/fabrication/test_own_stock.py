"""Steel that no table has, in a specification or in the stock list: through substitutes, nests, cost and papers."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import openpyxl
import pytest

from mouldgeom import InputError, SpecError, load
from mouldgeom.cli import main
from mouldgeom.fabrication.rates import parse_prices, priced
from mouldgeom.fabrication.stocklist import default_stock, parse_stock
from mouldgeom.fabrication.substitute import substitute
from mouldgeom.model.assembly import build
from mouldgeom.outputs.records import part_records
from mouldgeom.spec import parse, spec_toml
from mouldgeom.strength.book import failing

pytestmark = pytest.mark.slow

ROWS = """
[[own.sheet]]
designation = "3.5 mm"
thickness = 3.5
source = "mill certificate (invented)"

[[own.angle]]
designation = "45x45x5"
leg = 45
thickness = 5
source = "list of sections (invented)"

[[own.square_tube]]
designation = "45x45x3"
side = 45
thickness = 3
source = "list of tubes (invented)"

[[own.rod]]
designation = "13 mm"
diameter = 13
source = "measured (invented)"

[[own.bolt]]
designation = "M11"
diameter = 11
pitch = 1.5
across_flats = 17
source = "bolts measured (invented)"

[[own.bolt]]
designation = "M25"
diameter = 25
pitch = 3
across_flats = 37
source = "screw measured (invented)"

[[own.steel]]
designation = "St 37"
yield = 235
ultimate = 360
source = "certificate of the steel (invented)"
"""
STEEL = """
[steel]
shell = "3.5 mm"
angle = "45x45x5"
square_tube = "45x45x3"
rod = "13 mm"
bolt = "M11"
jack_screw = "M25"
grade = "St 37"
"""
STOCK = """
[[sheet]]
sheet = "3.5mm"
width = 1220
length = 2440

[[sheet]]
sheet = "6 mm"
width = 1220
length = 2440

[[bar]]
kind = "angle"
section = "45 x 45 x 5"
length = "6 m"

[[bar]]
kind = "square tube"
section = "45x45x3"
length = "6 m"

[[bar]]
kind = "rod"
section = "13 mm"
length = "6 m"

[[bar]]
kind = "rod"
section = "16 mm"
length = "1 m"

[[bar]]
kind = "threaded rod"
section = "M25"
length = "1 m"
quantity = 9
"""
PRICES = """
fastener = {"hexagon bolt" = 0.2, "hexagon nut" = 0.1, washer = 0.05, "washer M25" = 0.4}
consumable = {electrode_kg = 3, grinding_disc = 1.5, cutting_disc = 1, paint_l = 6}
hour = {labour = 4, cutting = 20}
[material]
sheet = 1.2
"sheet 3.5 mm" = 1.3
angle = 1
"angle 45x45x5" = 1.1
"square tube" = 1
rod = 1
"threaded rod" = 3
"""


def test_a_package_with_own_rows_of_every_kind(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(STEEL + ROWS, "utf-8")
    kinds = [f"--only={kind}" for kind in ("parts", "flat", "cutlist", "calculation", "spec", "drawings", "checks")]
    out = tmp_path / "out"
    assert main(["make", str(tmp_path / "mine.toml"), "--out", str(out), *kinds]) == 0
    spec = parse(STEEL + ROWS)
    assert load(out / "spec.toml") == spec
    assert (out / "spec.toml").read_text("utf-8").endswith(spec_toml(spec))
    assert json.loads((out / "parts.json").read_text())["parts"] == part_records(build(spec))
    told = {row.source for _, row in spec.own.rows()}
    rows = list(csv.DictReader((out / "cut-list.csv").read_text("utf-8-sig").splitlines()))
    assert {row["name"] for row in rows if row["list"] == "source"} == told
    assert {row["material"] for row in rows if row["list"] == "bar"} >= {"angle 45x45x5", "square tube 45x45x3"}
    calculation = (out / "calculation.md").read_text("utf-8")
    notes = [str(cell.value) for cell in openpyxl.load_workbook(out / "cut-list.xlsx")["Notes"]["A"]]
    for source in told:
        assert source in calculation
        assert any(source in note for note in notes)


def test_prices_and_stock_may_name_the_rows_of_the_specification(tmp_path: Path) -> None:
    for name, text in (("mine", STEEL + ROWS), ("stock", STOCK), ("prices", PRICES)):
        (tmp_path / f"{name}.toml").write_text(text, "utf-8")
    out = tmp_path / "out"
    given = [f"--{name}={tmp_path / name}.toml" for name in ("stock", "prices")]
    kinds = [f"--only={kind}" for kind in ("nests", "bars", "cost", "spec")]
    assert main(["make", str(tmp_path / "mine.toml"), *given, "--out", str(out), *kinds]) == 0
    assert load(out / "spec.toml") == parse(STEEL + ROWS)
    assert {nest["sheet"] for nest in json.loads((out / "nests" / "nests.json").read_text())["nests"]} == {
        "3.5 mm",
        "6 mm",
    }
    own = parse(ROWS).own
    for table, name in (
        ("material", "rod 13 mm"),
        ("fastener", "hexagon nut M11"),
        ("fastener", "hexagon bolt M25 x 40"),
    ):
        assert name in priced(table, own)
        assert name not in priced(table)
    assert parse_prices(PRICES, own=own).fastener["washer M25"].likely == 0.4
    with pytest.raises(InputError, match=r"sheet 3\.5 mm"):
        parse_prices(PRICES)


def test_the_design_adapts_to_rows_of_the_stock_list() -> None:
    """The rows go along into the specification, which makes the same mould when it is read again."""
    stock = parse_stock(ROWS + STOCK.replace('kind = "square tube"', 'kind = "angle"').replace("45x45x3", "45x45x5"))
    found = substitute(load("hill-example"), stock, failing)
    used = {change.field: str(change.used) for change in found.changes}
    assert used == {
        "shell": "3.5 mm", "angle": "45x45x5", "square_tube": "two 45x45x5", "rod": "13 mm", "jack_screw": "M25",
    }  # fmt: skip
    assert [str(row.designation) for _, row in found.spec.own.rows()] == ["3.5 mm", "45x45x5", "13 mm", "M25"]
    again = parse(spec_toml(found.spec))
    assert again == found.spec
    assert part_records(build(again)) == part_records(build(found.spec))
    assert substitute(again, stock, failing).changes == ()


def test_a_stock_list_is_held_against_the_specification() -> None:
    own = parse(ROWS).own
    with pytest.raises(InputError, match=r"sheet 1 .* '3.5mm' is in no table"):
        parse_stock(STOCK)
    assert parse_stock(STOCK, own=own).own == parse_stock(ROWS + STOCK, own=own).own == own
    with pytest.raises(SpecError, match=r"own.sheet = '3.5 mm': two files"):
        parse_stock(ROWS.replace("thickness = 3.5", "thickness = 3.4"), own=own)
    with pytest.raises(SpecError, match=r"own.angle\[1\].thickness = 50 mm: allowed"):
        parse_stock(ROWS.replace("thickness = 5\n", "thickness = 50\n"))


def test_without_a_list_every_own_row_can_be_had() -> None:
    plain, mine = default_stock(), default_stock(parse(ROWS).own)
    assert set(plain.sheets) < set(mine.sheets)
    assert sorted(str(bar.section) for bar in set(mine.bars) - set(plain.bars)) == [
        "13 mm", "45x45x3", "45x45x5", "M11", "M25",
    ]  # fmt: skip
