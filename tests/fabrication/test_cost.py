"""Quantities, rates and cost: against the cut files, against sums by hand, and the uncertainty against sampling."""

from __future__ import annotations

import csv
import io
import itertools
import json
import math
import random
from collections.abc import Mapping
from pathlib import Path

import ezdxf
import pytest
from conftest import bridged, named
from hypothesis import given
from hypothesis import strategies as st
from random_specs import changed

from mouldgeom import InputError, load
from mouldgeom.cli import main
from mouldgeom.errors import FolderError, TableError
from mouldgeom.fabrication.cost import (
    OPERATIONS,
    Bought,
    cost,
    cost_record,
    cost_rows,
    cost_text,
    propagate,
    work,
)
from mouldgeom.fabrication.purchase import bought
from mouldgeom.fabrication.quantities import material_of, paint_area, take_off
from mouldgeom.fabrication.rates import (
    Prices,
    Range,
    exactly,
    load_prices,
    parse_prices,
    read_rates,
    shipped_rates,
)
from mouldgeom.fabrication.stocklist import StockBar, StockSheet, default_stock
from mouldgeom.fabrication.wear import Spare
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.shapes import Plate, SectionKind
from mouldgeom.outputs.dxf import CutOptions, flat_dxf
from mouldgeom.outputs.dxf_layers import Layer

PRICES = """
currency = "crowns"
[material]
sheet = 1.2
"sheet 6 mm" = [1.2, 1.3, 1.5]
angle = 1.1
"square tube" = 1.4
rod = 1.1
"threaded rod" = 3
[fastener]
"hexagon bolt" = 0.2
"hexagon nut M24" = 1.5
"hexagon nut" = 0.1
washer = 0.05
[consumable]
electrode_kg = 3
grinding_disc = 1.5
cutting_disc = 1
paint_l = 6
[hour]
labour = [3, 4, 6]
cutting = 20
"""


@pytest.fixture(scope="module")
def prices() -> Prices:
    return parse_prices(PRICES)


# ---------------------------------------------------------------- quantities


def cut_in_file(mould: Mould, mark: str) -> tuple[float, int]:
    """Length of all cuts of a flat pattern, and how many closed lines they are, as the cutter's file has them."""
    plate = next(plate for plate in mould.plates if plate.mark == mark)
    drawing = ezdxf.read(io.StringIO(flat_dxf(plate, CutOptions.from_spec(mould.dims.spec)).decode("ascii")))
    length, count = 0.0, 0
    for entity in drawing.modelspace():
        if entity.dxf.layer not in {Layer.CUT_OUTSIDE, Layer.CUT_INSIDE}:
            continue
        count += 1
        if entity.dxftype() == "CIRCLE":
            length += 2 * math.pi * entity.dxf.radius
        else:
            corners = list(entity.get_points("xyb"))
            for (x, y, bulge), (u, v, _) in zip(corners, [*corners[1:], corners[0]], strict=True):
                chord, turn = math.dist((x, y), (u, v)), 4 * math.atan(abs(bulge))
                length += chord * turn / (2 * math.sin(turn / 2)) if turn else chord
    return length, count


@pytest.mark.parametrize("method", ["full-size", "pilot", "centre-mark"])
@pytest.mark.parametrize("process", ["plasma", "laser", "oxyfuel"])
def test_cuts_are_those_of_the_cut_files(method: str, process: str) -> None:
    """Length and pierces against the entities of every flat pattern at nominal size; coordinates are rounded there."""
    spec = changed(load("hill-example"), {"shop.hole_method": method, "shop.cutting": process})
    mould = build(spec)
    taken = take_off(mould)
    for material, cuts in taken.cuts.items():
        plates = [plate for plate in mould.plates if material_of(plate) == material]
        files = [(plate.quantity, *cut_in_file(mould, plate.mark)) for plate in plates]
        assert cuts.pierces == sum(many * count for many, _, count in files)
        assert cuts.length == pytest.approx(sum(many * length for many, length, _ in files), abs=0.5)
        assert cuts.area == cuts.length * cuts.thickness


def test_mass_and_length_are_those_of_the_mould(example: Mould) -> None:
    taken = take_off(example)
    steel = sum(example.mass(part) * part.quantity for part in (*example.plates, *example.bars))
    assert sum(taken.mass.values()) == pytest.approx(steel)
    assert sum(taken.length.values()) == pytest.approx(sum(bar.length * bar.quantity for bar in example.bars))
    assert sum(taken.fasteners.values()) == sum(part.quantity for part in example.fasteners)
    assert taken.saw_cuts == sum(bar.quantity for bar in example.bars)


@pytest.mark.parametrize(
    ("method", "process", "holes", "of_a_bridge"),
    [
        ("full-size", "plasma", (48, 0, 48), (50, 0, 50)),
        ("pilot", "plasma", (62, 44, 62), (66, 46, 66)),
        ("pilot", "laser", (48, 44, 48), (50, 46, 50)),
        ("centre-mark", "plasma", (44, 0, 88), (46, 0, 92)),
    ],
)
def test_holes_by_hand(
    method: str, process: str, holes: tuple[int, int, int], of_a_bridge: tuple[int, int, int]
) -> None:
    """44 bolts through 40 holes in plates (24 panels, 14 base, 2 lid) and 48 in angles (24, 14, 2, 8 of closing bars).

    Full size: the torch cuts the plates' holes, the angles' are drilled.  Pilots of 6 mm: cut in 3 mm sheet by plasma
    (least 6 mm), marked and drilled in the 6 mm base (least 9 mm), drilled in angles; every bolt's hole opened out.
    Centre marks: all 88 marked, each pair drilled once, clamped.  A bridge's legs part each side's three base bolts
    into two and two: 2 bolts, 2 holes in the base and 2 in angles more.
    """
    spec = changed(load("hill-example"), {"shop.hole_method": method, "shop.cutting": process})
    for one, wanted in ((spec, holes), (bridged(spec), of_a_bridge)):
        taken = take_off(build(one))
        assert (taken.drilled, taken.opened, taken.marked) == wanted


def test_paint_by_hand(hill: Mould, bridged_hill: Mould) -> None:
    """Back of a panel once; both faces of gusset and nut plate; a tube round its corners: 4 x 40 less (8 - 2 pi) x 6.

    A pad is painted above alone; a nut plate of 88 x 102 mm less a hole of 26 mm has no side to the concrete.
    """
    by_name = {part.name: part for part in hill.parts}
    side, plate, pad, runner = (by_name[name] for name in ("side panel", "nut plate", "thrust pad", "runner"))
    assert paint_area(side) == pytest.approx(364 * 886.26, rel=1e-4)
    assert paint_area(plate) == pytest.approx(2 * (88 * 102 - math.pi * 13**2))
    assert paint_area(pad) == pytest.approx(35 * 77 - (4 - math.pi) * 25)
    assert paint_area(runner) == pytest.approx((160 - (8 - 2 * math.pi) * 6) * 470, rel=1e-4)
    assert paint_area(by_name["forcing screw"]) == 0
    assert paint_area(by_name["washer M10"]) == 0
    gusset = named(bridged_hill, "gusset, left back").part
    assert isinstance(gusset, Plate)
    assert paint_area(gusset) == pytest.approx(2 * gusset.area)


def test_everything_welded_is_fitted(hill: Mould, bridged_hill: Mould) -> None:
    """75 pieces of steel less lid, pads, screws, hangers and closing bars, with the four nuts of the nut plates.

    A bridge takes the 12 nut plates, pads and screws away, and brings legs, beams, caps, gussets, washer plate, anchor
    plate and a screw: 76 pieces, less lid, screw, hangers and closing bars, with the anchor's nut.
    """
    assert take_off(hill).welded_pieces == 75 - 1 - 4 - 4 - 2 - 2 + 4
    assert take_off(bridged_hill).welded_pieces == 75 - 12 + 13 - 1 - 1 - 2 - 2 + 1


# ---------------------------------------------------------------- rates

NOT_OF_WORK = {
    *("sheet_waste", "bar_waste", "upkeep_ratio", "repeat_ratio", "open_out_min", "mark_min", "cast_bolt_s", "turn_s"),
}
"""Rates that change the cost or the use only, or the hours of holes that this mould has not."""


def test_every_rate_has_its_source() -> None:
    for rate in shipped_rates().values():
        assert rate.source
        assert rate.evidence in {"seen", "part seen", "memory", "computed"}
        assert 0 < rate.range.low <= rate.range.likely <= rate.range.high


def test_every_rate_is_used(hill: Mould, prices: Prices) -> None:
    """Whatever rate is doubled, something changes, for one way of cutting and welding or another."""
    taken = take_off(hill)
    wire = parse_prices(
        PRICES.replace("[material]", 'welding = "wire"\n[material]').replace(
            "[hour]", "wire_kg = 2\ngas_m3 = 5\n[hour]"
        )
    )
    for name, rate in shipped_rates().items():
        if name in NOT_OF_WORK:
            continue
        changes = False
        for given_prices in (prices, wire):
            doubled = given_prices.model_copy(update={"rates": {name: exactly(2 * rate.range.likely)}})
            for process in ("plasma", "laser", "oxyfuel"):
                before, after = (work(taken, p, process) for p in (given_prices, doubled))
                changes |= any(before[key].likely != after[key].likely for key in before)
        assert changes, name


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name,low\n", "columns"),
        ("name,low,likely,high,unit,meaning,source,evidence\nx,1,2\n", "filled cells"),
        ("name,low,likely,high,unit,meaning,source,evidence\nx,3,2,1,h,m,s,memory\n", "low <= likely"),
        ("name,low,likely,high,unit,meaning,source,evidence\nx,a,2,3,h,m,s,memory\n", "numbers"),
        ("name,low,likely,high,unit,meaning,source,evidence\nx,0,2,3,h,m,s,memory\n", "zero"),
        ('name,"low', "cannot be read"),
    ],
)
def test_faults_in_the_table(text: str, words: str) -> None:
    with pytest.raises(TableError, match=words):
        read_rates(text)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("labour = [3, 4, 6]", "", "hour.labour = missing"),
        ("labour = [3, 4, 6]", "labour = [3, 4]", "three numbers"),
        ("labour = [3, 4, 6]", "labour = [6, 4, 3]", "low <= likely <= high"),
        ("labour = [3, 4, 6]", 'labour = "four"', "a number"),
        ("labour = [3, 4, 6]", "labour = true", "a number"),
        ("labour = [3, 4, 6]", "labour = nan", "hour.labour"),
        ("labour = [3, 4, 6]", "labour = -1", "low <= likely"),
        ("[hour]", "[hours]", "hour"),
        ("[hour]", "[rates]\nfit_mins = 4\n[hour]", "rates.fit_mins = 4: no such name. Did you mean fit_min"),
        ("[hour]", "[rates]\nfit_min = 0\n[hour]", "above zero"),
        ("[hour]", "[rates]\nlife_filters = 90\n[hour]", r"rates\.life_filters = 90: no such name\. It is use\.life"),
        ("currency", "coin", "coin"),
        ("[hour]", "[hour", "not TOML"),
        ("angle =", "angel =", r"material\.angel = .*: no such name\. Did you mean angle\?"),
        (
            "[fastener]",
            '"sheet 6mm" = 2\n[fastener]',
            r"material\.sheet 6mm = 2: no such name\. Did you mean sheet 6 mm\?",
        ),
        ("[fastener]", '"sheet 6.5 mm" = 2\n[fastener]', r"material\.sheet 6\.5 mm = 2: no such name"),
        ("[fastener]", '[fastener]\n"hexagon bolt M10 x 26" = 2', r"fastener\.hexagon bolt M10 x 26 = 2: no such name"),
        ("[fastener]", "[fastener]\ntreacle = 2", r"fastener\.treacle = 2: no such name\. Write it like the example"),
        ("labour = [3, 4, 6]", "labour = [3, 4, 1e300]", "allowed is 0 to 1,000,000,000"),
        ("labour = [3, 4, 6]", f"labour = {'9' * 400}", "a number, or three numbers"),
        ("[hour]", "[rates]\nfit_min = 1e-300\n[hour]", "1000 times less"),
        ("currency", 'currency = "\\u0007"\n#', "control character U\\+0007"),
    ],
)
def test_faults_in_prices(old: str, new: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        parse_prices(PRICES.replace(old, new))


def test_price_files(tmp_path: Path) -> None:
    with pytest.raises(FolderError, match="--prices"):
        load_prices(tmp_path / "none.toml")
    path = tmp_path / "prices.toml"
    path.write_bytes(b"\xef\xbb\xbf" + PRICES.encode())
    assert load_prices(path) == parse_prices(PRICES)


def test_the_example_in_the_docstring_is_a_price_file() -> None:
    from mouldgeom.fabrication import rates

    text = (rates.__doc__ or "").split("::\n", 1)[1].split("\n\nOne number", 1)[0]
    found = parse_prices("\n".join(line.removeprefix("    ") for line in text.splitlines()))
    assert found.currency == "crowns"
    assert found.rate("fit_min").likely == 6


# ---------------------------------------------------------------- uncertainty


def test_propagation_of_a_sum_and_a_product() -> None:
    """By hand: 10 (8 to 14) + 20 (19 to 22): down 2 and 1, up 4 and 2; 10 x 20: down 40 and 10, up 80 and 20."""
    inputs = {"a": Range(low=8, likely=10, high=14), "b": Range(low=19, likely=20, high=22), "c": exactly(5.0)}

    def model(v: Mapping[str, float]) -> dict[str, float]:
        return {"sum": v["a"] + v["b"], "product": v["a"] * v["b"], "inverse": v["c"] / v["a"], "same": v["c"]}

    found = propagate(model, inputs)
    assert found["sum"].low == pytest.approx(30 - math.sqrt(5))
    assert found["sum"].high == pytest.approx(30 + math.sqrt(20))
    assert found["product"].low == pytest.approx(200 - math.hypot(40, 10))
    assert found["product"].high == pytest.approx(200 + math.hypot(80, 20))
    assert found["inverse"].high == pytest.approx(5 / 8)
    assert found["same"] == exactly(5.0)


def test_propagation_against_sampling(hill: Mould, prices: Prices) -> None:
    """600 draws of two-sided normal inputs, low and high taken as 2 standard deviations from likely.

    The 2.5 and 97.5 percent points of the total are compared with its low and high.  The model is made of products and
    quotients of wide inputs, and the points are drawn: 20 % of the width is allowed.
    """
    found = cost(hill, prices)
    taken = take_off(hill)
    names = list(shipped_rates())
    draw = random.Random(4)

    def sample(value: Range) -> float:
        z = draw.gauss(0, 1)
        spread = (value.high - value.likely) if z > 0 else (value.likely - value.low)
        return max(value.low * 0.5, value.likely + z * spread / 2)

    totals = []
    for _ in range(600):
        drawn = {name: exactly(sample(prices.rate(name))) for name in names}
        hour = prices.hour.model_copy(update={"labour": exactly(sample(prices.hour.labour))})
        material = {name: exactly(sample(value)) for name, value in prices.material.items()}
        once = prices.model_copy(update={"rates": drawn, "hour": hour, "material": material})
        totals.append(cost(hill, once, quantities=taken).total.likely)
    totals.sort()
    low, high = totals[round(0.025 * len(totals))], totals[round(0.975 * len(totals))]
    width = found.total.high - found.total.low
    assert abs(high - found.total.high) < 0.2 * width
    assert abs(low - found.total.low) < 0.2 * width


@given(st.lists(st.tuples(st.floats(0.1, 1), st.floats(1, 2), st.floats(2, 9)), min_size=1, max_size=6))
def test_no_wider_than_all_worst_cases_together(rows: list[tuple[float, float, float]]) -> None:
    inputs = {str(i): Range(low=low, likely=likely, high=high) for i, (low, likely, high) in enumerate(rows)}
    found = propagate(lambda values: {"sum": sum(values.values())}, inputs)["sum"]
    assert sum(r.low for r in inputs.values()) - 1e-9 <= found.low <= found.likely
    assert found.likely <= found.high <= sum(r.high for r in inputs.values()) + 1e-9


# ---------------------------------------------------------------- cost


def test_a_first_mould_takes_about_a_week(hill: Mould) -> None:
    """Common practice, no source: about a week beside the welder, 40 hours."""
    found = work(take_off(hill))
    likely = sum(found[name].likely for name in OPERATIONS)
    assert 30 <= likely <= 50


def test_total_is_the_sum_of_the_lines(example: Mould, prices: Prices) -> None:
    found = cost(example, prices, 3)
    assert found.total.likely == pytest.approx(sum(line.cost.likely for line in found.lines))
    assert found.each.likely == pytest.approx(found.total.likely / 3)
    hours = sum(line.quantity.likely for line in found.lines if line.kind == "operation")
    assert found.hours.likely == pytest.approx(hours)
    kinds = {line.kind for line in found.lines}
    assert kinds == {"material", "fastener", "consumable", "operation"}
    assert [line.name for line in found.lines if line.kind == "operation"] == list(OPERATIONS)


def test_sheet_by_hand(hill: Mould, prices: Prices) -> None:
    """3 mm sheet at 1.2 a kilogram; 6 mm at its own price; waste 1.25 (1.1 to 1.5)."""
    lines = {line.name: line for line in cost(hill, prices).lines}
    mass = sum(p.quantity * hill.mass(p) for p in hill.plates if p.sheet == "3 mm")
    assert lines["sheet 3 mm"].cost.likely == pytest.approx(1.2 * 1.25 * mass)
    assert lines["sheet 3 mm"].cost.low == pytest.approx(1.2 * 1.1 * mass)
    assert lines["sheet 3 mm"].cost.high == pytest.approx(1.2 * 1.5 * mass)
    mass = sum(p.quantity * hill.mass(p) for p in hill.plates if p.sheet == "6 mm")
    assert lines["sheet 6 mm"].cost.likely == pytest.approx(1.3 * 1.25 * mass)
    assert lines["hexagon nut M24, class 5"].cost == exactly(12 * 1.5)
    assert lines["hexagon nut M10, class 5"].cost.likely == pytest.approx(44 * 0.1)


def test_more_moulds_cost_more_in_all_and_less_each(hill: Mould, prices: Prices) -> None:
    found = [cost(hill, prices, count) for count in (1, 2, 10, 50)]
    assert found[0].total == found[0].first == found[0].each
    for one, other in itertools.pairwise(found):
        assert other.total.likely > one.total.likely
        assert other.each.likely < one.each.likely
        assert other.first.likely == pytest.approx(found[0].first.likely)


def test_cost_of_a_filter(hill: Mould, prices: Prices) -> None:
    """Price of the mould and 15 % repairs over 500 filters, and what two spare rods and nuts add to it."""
    found = cost(hill, prices)
    assert found.per_filter.likely == pytest.approx(found.each.likely * 1.15 / 500)
    assert found.per_filter.low < found.per_filter.likely < found.per_filter.high
    rod = next(bar for bar in hill.bars if bar.kind is SectionKind.THREADED_ROD)
    nut = next(part for part in hill.fasteners if material_of(part) == "hexagon nut M24, class 5")
    spare = cost(hill, prices, spares=[Spare(rod, 2), Spare(nut, 2)])
    assert spare.total == found.total
    more = (2 * 3.0 * hill.mass(rod) + 2 * 1.5) / 500
    assert spare.per_filter.likely - found.per_filter.likely == pytest.approx(more)


def test_a_spare_rod_is_paid_as_the_rods_that_are_bought(hill: Mould, prices: Prices) -> None:
    """Two metres at 20 for 6.3 kg: not the price of a kilogram in the list."""
    rod = next(bar for bar in hill.bars if bar.kind is SectionKind.THREADED_ROD)
    bars = [Bought(material_of(rod), "2000", 1, 6.3, exactly(20.0))]
    without, spare = (cost(hill, prices, bought=bars, spares=spares) for spares in ([], [Spare(rod, 1)]))
    assert 500 * (spare.per_filter.likely - without.per_filter.likely) == pytest.approx(20 / 6.3 * hill.mass(rod))


def test_bought_sheets_replace_the_waste_rate(hill: Mould, prices: Prices) -> None:
    sheets = [
        Bought("sheet 3 mm", "1220 x 2440", 1, 70.1, exactly(61.5)),
        Bought("sheet 6 mm", "1000 x 1000", 1, 47.1),
        Bought("angle 40x40x4", "6000", 1, 14.5, Range(low=12, likely=13, high=15)),
    ]
    lines = {line.name: line for line in cost(hill, prices, bought=sheets).lines}
    assert lines["sheet 3 mm, 1220 x 2440"].cost == exactly(61.5)
    assert lines["sheet 6 mm, 1000 x 1000"].cost.likely == pytest.approx(1.3 * 47.1)
    assert lines["angle 40x40x4, 6000"].cost.high == pytest.approx(15)
    assert "sheet 3 mm" not in lines
    assert "rod 12 mm" in lines


def test_what_a_plan_asks_for_is_paid(hill: Mould, prices: Prices) -> None:
    """Reference values: a sheet of 3 mm, 1250 x 2500, has 73.6 kg, one of 4 mm, 1000 x 2000, 62.8 kg."""
    one = StockSheet("3 mm", 3.0, 2500.0, 1250.0, price=70.0)
    other = StockSheet("4 mm", 4.0, 2000.0, 1000.0)
    bar = StockBar(SectionKind.ANGLE, "40x40x4", 6000.0, price=15.0)
    items = bought([(one, 1), (other, 2), (bar, 1), (one, 2)], 7850)
    assert [(item.material, item.count) for item in items] == [
        ("sheet 3 mm", 3),
        ("sheet 4 mm", 2),
        ("angle 40x40x4", 1),
    ]
    assert [item.mass for item in items] == pytest.approx([73.6, 62.8, 6 * 2.42], abs=0.05)
    lines = [line for line in cost(hill, prices, bought=items).lines if line.kind == "material"]
    assert [line.cost.likely for line in lines[:3]] == pytest.approx([210.0, 2 * 62.8 * 1.2, 15.0])
    assert {"sheet 3 mm", "angle 40x40x4"}.isdisjoint(line.name for line in lines)


def test_every_stock_has_the_name_of_its_material(hill: Mould) -> None:
    stock = default_stock()
    rods = {"M24": "threaded rod M24, class 4.6"}
    named = {item.material for item in bought([(item, 1) for item in (*stock.sheets, *stock.bars)], 7850, rods)}
    assert {material_of(part) for part in (*hill.plates, *hill.bars)} <= named


def test_missing_prices_are_all_named(hill: Mould) -> None:
    with pytest.raises(InputError, match="needs") as caught:
        cost(hill, parse_prices("[hour]\nlabour = 4\ncutting = 20\n"))
    for name in ("material.sheet", "material.'square tube'", "fastener.washer", "consumable.electrode_kg", "paint_l"):
        assert name in str(caught.value)
    assert "wire" not in str(caught.value)


def test_number_of_moulds(hill: Mould, prices: Prices) -> None:
    for count in (0, -1, 1001):
        with pytest.raises(InputError, match="--moulds"):
            cost(hill, prices, count)


def test_a_rod_is_no_threaded_rod(hill: Mould, prices: Prices) -> None:
    """Less exact names never reach over to another kind."""
    lines = {line.name: line for line in cost(hill, prices).lines}
    bars = {material_of(bar): bar for bar in hill.bars if bar.kind in (SectionKind.ROD, SectionKind.THREADED_ROD)}
    for name, price in (("rod 12 mm", 1.1), ("threaded rod M24, class 4.6", 3.0)):
        mass = bars[name].quantity * hill.mass(bars[name])
        assert lines[name].cost.likely == pytest.approx(price * 1.1 * mass)


def test_wire_needs_gas(hill: Mould) -> None:
    text = PRICES.replace("[material]", 'welding = "wire"\n[material]', 1)
    with pytest.raises(InputError, match=r"consumable\.wire_kg, consumable\.gas_m3"):
        cost(hill, parse_prices(text))


def test_records_and_text(hill: Mould, prices: Prices) -> None:
    found = cost(hill, prices, 2)
    record = cost_record(found)
    assert json.loads(json.dumps(record)) == record
    assert record["total"]["likely"] == pytest.approx(found.total.likely, abs=0.005)
    rows = cost_rows(found)
    assert {len(row) for row in rows} == {9}
    assert sum(float(row[7]) for row in rows[1:] if row[0] != "sum") == pytest.approx(found.total.likely, abs=0.2)
    text = cost_text(found)
    assert "crowns" in text
    assert "each filter over the mould's life" in text


@pytest.mark.slow
def test_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, out = tmp_path / "prices.toml", tmp_path / "out"
    path.write_text(PRICES, "utf-8")
    only = ["--only", "parts", "--only", "cost"]
    assert main(["make", "--out", str(out), *only, "--prices", str(path), "--moulds", "5"]) == 0
    assert "5 moulds" in capsys.readouterr().out
    document = json.loads((out / "cost.json").read_text())
    assert (document["moulds"], document["currency"]) == (5, "crowns")
    rows = list(csv.reader((out / "cost.csv").read_text("utf-8-sig").splitlines()))
    assert rows[0][0] == "kind"
    before = sorted(out.iterdir())
    path.write_text(PRICES.replace("washer = 0.05", ""), "utf-8")
    assert main(["make", "--out", str(out), "--only", "parts", "--prices", str(path)]) == 2
    assert "fastener.washer" in capsys.readouterr().err
    assert main(["make", "--out", str(out), "--only", "cost"]) == 2
    assert "--prices" in capsys.readouterr().err
    assert sorted(out.iterdir()) == before
