"""Steel that is not there: what takes its place, what that costs, and that the geometry follows."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
from conftest import bridged

from mouldgeom import Spec, SpecError, load, tables
from mouldgeom.checks import run_checks
from mouldgeom.cli import main
from mouldgeom.design.bought import pair_of_angles
from mouldgeom.fabrication.stocklist import StockList, parse_stock
from mouldgeom.fabrication.substitute import substitute
from mouldgeom.fabrication.welds import seams
from mouldgeom.model.assembly import build
from mouldgeom.model.shapes import SectionKind
from mouldgeom.outputs.package import Job
from mouldgeom.outputs.work_record import work_record
from mouldgeom.solids import SolidMould
from mouldgeom.strength.book import failing

pytestmark = pytest.mark.slow

SHEETS = {"3 mm", "6 mm"}
BARS = {("angle", "40x40x4"), ("square tube", "40x40x3"), ("rod", "12 mm"), ("threaded rod", "M24")}
PINS = {("rod", "16 mm")}
"""What the pins are sawn from, which nothing takes the place of: for the bar plan alone."""


def stock_text(sheets: set[str], bars: set[tuple[str, str]]) -> str:
    out = [f'[[sheet]]\nsheet = "{s}"\nwidth = 1220\nlength = 2440\n' for s in sorted(sheets)]
    out += [f'[[bar]]\nkind = "{k}"\nsection = "{s}"\nlength = "6 m"\n' for k, s in sorted(bars)]
    return "\n".join(out)


def there(sheets: set[str] = SHEETS, bars: set[tuple[str, str]] = BARS) -> StockList:
    return parse_stock(stock_text(sheets, bars))


@pytest.fixture(scope="module")
def wanted() -> Spec:
    return load("hill-example")


def test_nothing_changes_when_all_is_there(wanted: Spec) -> None:
    found = substitute(wanted, there(), failing)
    assert found.spec == wanted
    assert found.changes == ()
    assert found.lines() == []


def test_4_mm_shell_for_3_mm(wanted: Spec) -> None:
    found = substitute(wanted, there({"2 mm", "4 mm", "6 mm"}), failing)
    assert [(c.field, c.wanted, c.used) for c in found.changes] == [("shell", "3 mm", "4 mm")]
    assert found.spec.steel.shell == "4 mm"
    assert found.steel == pytest.approx(mass(found.spec) - mass(wanted))
    assert found.steel > 10


def mass(spec: Spec) -> float:
    mould = build(spec)
    return sum(mould.mass(part) * part.quantity for part in mould.parts)


@pytest.mark.parametrize(("other", "width"), [("5 mm", 362.0), ("3 mm", 358.0), ("8 mm", 368.0)])
def test_other_ledge_is_another_ledge_width(wanted: Spec, other: str, width: float) -> None:
    found = substitute(wanted, there({"3 mm", other}), failing)
    mould = build(found.spec)
    assert found.spec.steel.ledge == other
    assert mould.dims.step == pytest.approx(tables.sheet(other).thickness_mm / math.cos(math.radians(1)))
    assert mould.dims.width == pytest.approx(width, abs=0.01)
    assert any("ledge" in effect for change in found.changes for effect in change.effects)


def test_thin_base_gets_longer_runners(wanted: Spec) -> None:
    found = substitute(wanted, there({"3 mm"}), failing)
    dims = build(found.spec).dims
    assert found.spec.steel.base == "3 mm"
    assert dims.runner_half == pytest.approx(dims.base_half_x + 80)
    assert any("runners 160 mm longer" in effect for change in found.changes for effect in change.effects)
    assert build(wanted).dims.runner_half == build(wanted).dims.base_half_x


def test_what_fails_by_a_substitute_is_said(wanted: Spec) -> None:
    """Only 3 mm sheet: base plate, nut plates and pads no longer bear a screw; the calculation names the same."""
    found = substitute(wanted, there({"3 mm"}), failing)
    (base,) = (change for change in found.changes if change.field == "base")
    assert [line.split()[0] for line in base.fails] == ["8.46", "8.48", "8.51", "8.59"]
    assert any("with it the mould FAILS 8.46 nut plate" in line for line in found.lines())
    assert [change.fails for change in found.changes if change.field != "base"] == [()]
    assert set(failing(build(found.spec))) == {"8.46", "8.48", "8.51", "8.59"}


@pytest.mark.parametrize(
    ("field", "sheets", "bars", "nearest", "taken"),
    [
        ("base", {"3 mm", "4 mm", "8 mm"}, BARS, "4 mm", "8 mm"),
        (
            *("square_tube", SHEETS),
            BARS - {("square tube", "40x40x3")} | {("square tube", "30x30x2"), ("angle", "35x35x4")},
            *("30x30x2", "two 35x35x4"),
        ),
    ],
)
def test_a_substitute_that_fails_is_left_where_another_serves(
    wanted: Spec, field: str, sheets: set[str], bars: set[tuple[str, str]], nearest: str, taken: str
) -> None:
    """A bridge sags and yields with the nearest tube, and what else fails in it fails with the wanted one too."""
    spec = bridged(wanted) if field == "square_tube" else wanted
    near = spec.model_copy(update={"steel": spec.steel.model_copy(update={field: nearest})})
    assert set(failing(build(near))) - set(failing(build(spec))), "the nearest is no good"
    found = substitute(spec, there(sheets, bars), failing)
    assert getattr(found.spec.steel, field) == taken
    assert not any(change.fails for change in found.changes)


def test_what_failed_before_is_not_laid_on_the_substitute(wanted: Spec) -> None:
    """A hand that is too weak for the lever at hand fails 8.58 with any steel."""
    weak = wanted.changed({"extraction.hand_force": 50.0, "extraction.lever": 150.0})
    assert set(failing(build(weak))) == {"8.58"}
    found = substitute(weak, there({"4 mm", "6 mm"}), failing)
    assert [(change.field, change.fails) for change in found.changes] == [("shell", ())]


def test_make_says_what_fails_by_the_stock(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stock = tmp_path / "stock.toml"
    stock.write_text(stock_text({"3 mm"}, BARS), "utf-8")
    assert main(["make", "--stock", str(stock), "--out", str(tmp_path / "package"), "--only", "spec"]) == 0
    printed = capsys.readouterr().out
    assert "with it the mould FAILS 8.46 nut plate: load that it bears around its nut" in printed
    assert "The checks were not run" in printed


@pytest.mark.parametrize("bridge", [False, True])
def test_two_angles_for_square_tube(wanted: Spec, bridge: bool) -> None:
    spec = bridged(wanted) if bridge else wanted
    found = substitute(spec, there(bars=BARS - {("square tube", "40x40x3")}), failing)
    assert found.spec.steel.square_tube == "two 40x40x4"
    mould = build(found.spec)
    assert not [bar for bar in mould.bars if bar.kind is SectionKind.SQUARE_TUBE]
    before = build(spec)
    for name in ("front stiffener", "runner", *(("bridge beam", "bridge leg") if bridge else ())):
        pairs = [sum(b.quantity for b in m.bars if b.name.startswith(name)) for m in (before, mould)]
        assert pairs[1] == 2 * pairs[0]
    toes = [seam for seam in seams(mould) if seam.name == "angle to angle"]
    assert len(toes) == sum(b.quantity for b in before.bars if b.kind is SectionKind.SQUARE_TUBE)


def test_box_of_two_angles_by_the_parallel_axis_theorem() -> None:
    pair, angle = pair_of_angles("two 40x40x4"), tables.angle("40x40x4")
    assert pair.side_mm == 44
    assert pair.mass_kg_m == pytest.approx(2 * angle.mass_kg_m)
    # thin square box of mean side 40 and wall 4: I = 2/3 t b^3, corners and toes rounded off
    assert pair.second_moment_cm4 == pytest.approx(2 / 3 * 0.4 * 4.0**3, rel=0.06)


def test_bolt_for_handle_rod(wanted: Spec) -> None:
    found = substitute(wanted, there(bars=BARS - {("rod", "12 mm")} | {("threaded rod", "M12")}), failing)
    assert found.spec.steel.rod == "M12"
    (handle,) = (bar for bar in build(found.spec).bars if bar.name == "handle")
    assert (handle.kind, handle.section, handle.quantity) == (SectionKind.THREADED_ROD, "M12", 8)


def test_a_screw_is_no_handle(wanted: Spec) -> None:
    """Eight lengths of M24 for a missing rod of 12 mm would weigh four times as much, and no hand closes round them."""
    with pytest.raises(SpecError, match=r"steel\.rod = '12 mm'.*none for the rod of the handles") as caught:
        substitute(wanted, there(bars=BARS - {("rod", "12 mm")}), failing)
    low, high = re.findall(r"(\d+) to (\d+) mm", caught.value.remedy)[0]
    fitting = [row for row in tables.rods() if int(low) <= row.diameter_mm <= int(high)]
    assert len(fitting) >= 4
    for row in fitting:
        bars = BARS - {("rod", "12 mm")} | {("rod", row.designation)}
        assert substitute(wanted, there(bars=bars), failing).spec.steel.rod == row.designation


def test_the_cheaper_handle_of_those_that_serve(wanted: Spec) -> None:
    """Without prices the lighter plain rod, with prices the cheaper length; a thinner one if nothing else is there."""
    bars = BARS - {("rod", "12 mm")} | {("rod", "10 mm"), ("rod", "14 mm"), ("rod", "16 mm"), ("threaded rod", "M12")}
    assert substitute(wanted, there(bars=bars), failing).spec.steel.rod == "14 mm"
    price = {"10 mm": 1, "14 mm": 9, "16 mm": 6, "M12": 7}
    stock = there(bars=bars)
    dear = replace(stock, bars=tuple(replace(bar, price=price.get(bar.section)) for bar in stock.bars))
    assert substitute(wanted, dear, failing).spec.steel.rod == "16 mm"
    thin = there(bars=BARS - {("rod", "12 mm")} | {("rod", "10 mm")})
    assert substitute(wanted, thin, failing).spec.steel.rod == "10 mm"


def test_next_angle_up_moves_the_bolts(wanted: Spec) -> None:
    found = substitute(wanted, there(bars=BARS - {("angle", "40x40x4")} | {("angle", "50x50x5")}), failing)
    old, new = build(wanted).dims, build(found.spec).dims
    assert found.spec.steel.angle == "50x50x5"
    assert new.bolting.gauge - old.bolting.gauge == tables.angle("50x50x5").gauge_mm - tables.angle("40x40x4").gauge_mm
    assert new.base_half_x == pytest.approx(old.base_half_x + 10)


def test_inch_stock_for_metric(wanted: Spec) -> None:
    bars = {
        ("angle", "1-1/2x1-1/2x3/16"),
        ("square tube", "1-1/2x1-1/2x1/8"),
        ("rod", "1/2 in"),
        ("threaded rod", "1-8"),
    }
    found = substitute(wanted, there({"1/8 in", "1/4 in"}, bars), failing)
    assert found.spec.steel.screw_class == "unmarked"
    assert any("its strength class is not known" in line for line in found.lines())
    assert (found.spec.steel.shell, found.spec.steel.ledge, found.spec.steel.base) == ("1/8 in", "1/4 in", "1/4 in")
    assert {c.field for c in found.changes} == {
        *("shell", "ledge", "base", "angle", "square_tube", "rod", "jack_screw"),
    }


@pytest.mark.parametrize(
    ("sheets", "bars", "field", "words"),
    [
        ({"2 mm", "6 mm"}, BARS - {("rod", "12 mm")}, "steel.rod", "handles"),
        ({"2 mm"}, BARS, "steel.shell", "3 mm, 1/8 in or 4 mm"),
        (SHEETS, BARS - {("angle", "40x40x4")} | {("angle", "25x25x3")}, "steel.angle", "40x40x4 angle"),
        (SHEETS, BARS - {("threaded rod", "M24")}, "steel.jack_screw", "M24 threaded rod"),
    ],
)
def test_refusal_names_piece_and_nearest_stock(
    wanted: Spec, sheets: set[str], bars: set[tuple[str, str]], field: str, words: str
) -> None:
    if field == "steel.rod":
        bars = bars - {("threaded rod", "M24")}
        sheets = SHEETS
    with pytest.raises(SpecError) as caught:
        substitute(wanted, there(sheets, bars), failing)
    assert caught.value.name == field
    assert words in str(caught.value)
    assert "Buy " in caught.value.remedy


@pytest.mark.parametrize(
    ("steel", "fails"),
    [
        ({"square_tube": "two 40x40x4", "shell": "4 mm"}, []),
        ({"rod": "M12", "base": "8 mm", "ledge": "8 mm", "square_tube": "two 30x30x3"}, []),
        ({"ledge": "3 mm"}, ["9.9 ledge 3.0 mm wide, 3.0 mm of its edge sloped or broken, 1 mm of play"]),
        (
            {"base": "3 mm"},
            [
                "8.46 nut plate, around the forcing nut",
                "8.48 base plate, at the core wall beside a screw",
                "8.51 pad, over the screw",
                "8.59 pad: bending (pad, over the screw)",
            ],
        ),
    ],
    ids=["two angles", "thick base", "thin ledge", "thin base"],
)
def test_checks_hold_with_substitutes(wanted: Spec, steel: dict[str, str], fails: list[str]) -> None:
    """On a ledge of 3 mm no diffuser rests, and a base of 3 mm does not bear the screws: the checks say so."""
    spec = wanted.model_copy(update={"steel": wanted.steel.model_copy(update=steel)})
    failed = [f"{r.code} {r.where}" for r in run_checks(SolidMould(build(spec))) if not r.holds]
    assert failed == fails


def test_make_with_a_stock_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stock = tmp_path / "stock.toml"
    stock.write_text(stock_text({"4 mm", "8 mm"}, BARS - {("square tube", "40x40x3")} | PINS), "utf-8")
    out = tmp_path / "package"
    kinds = [word for kind in ("spec", "nests", "bars") for word in ("--only", kind)]
    assert main(["make", "--stock", str(stock), "--moulds", "2", "--out", str(out), *kinds]) == 0
    printed = capsys.readouterr().out
    assert "4 mm for 3 mm" in printed
    assert "To buy for 2 moulds:" in printed
    assert 'square_tube = "two 40x40x4"' in (out / "spec.toml").read_text("utf-8")
    nests = json.loads((out / "nests" / "nests.json").read_text("utf-8"))
    assert {nest["sheet"] for nest in nests["nests"]} == {"4 mm", "8 mm"}
    marks = [p["mark"] for nest in nests["nests"] for sheet in nest["sheets"] for p in sheet["parts"]]
    assert marks.count("A1") == 2
    assert marks.count("A3") == 4
    assert len(nests["changes"]) >= 4
    assert sorted(path.suffix for path in (out / "nests").iterdir()).count(".dxf") == sum(
        len(nest["sheets"]) for nest in nests["nests"]
    )
    assert "yes" in (out / "bars" / "cutting-plan.csv").read_text("utf-8")


def test_stock_that_cannot_do_it_is_one_clear_error(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stock = tmp_path / "stock.toml"
    stock.write_text(stock_text({"2 mm"}, BARS), "utf-8")
    assert main(["make", "--stock", str(stock), "--out", str(tmp_path / "package")]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert "steel.shell" in captured.err
    assert not (tmp_path / "package").exists()


def test_saw_kerf_and_end_trim_reach_the_bar_plan(wanted: Spec) -> None:
    shop = wanted.shop.model_copy(update={"saw_kerf": 3.0, "end_trim": 12.0})
    plans = Job(build(wanted.model_copy(update={"shop": shop})), stock=there(bars=BARS | PINS)).bars
    for plan in plans:
        assert (plan.kerf, plan.trim) == (3.0, 12.0)
        for run in plan.runs:
            taken = sum(piece.length for piece in run.pieces) + 3.0 * len(run.pieces) + 12.0
            assert run.pieces[0].start == pytest.approx(12.0)
            assert run.rest == pytest.approx(run.stock.length - taken, abs=0.02 * len(run.pieces))


def test_work_without_prices(wanted: Spec) -> None:
    mould = build(wanted)
    record = work_record(mould)
    cuts = record["cuts"]
    shell = [plate for plate in mould.plates if plate.sheet == "3 mm"]
    pierces = sum(p.quantity * (1 + len(p.openings) + len(p.holes)) for p in shell)
    (name,) = (key for key in cuts if "3 mm" in key)
    assert cuts[name]["pierces"] == pierces
    assert record["hours"]["welding"]["low"] < record["hours"]["welding"]["likely"] < record["hours"]["welding"]["high"]
    assert record["used_up"]["stick electrodes"]["likely"] > record["weld_metal_kg"]
    assert sum(weld["welded_mm"] for weld in record["welds"]) > 5000
