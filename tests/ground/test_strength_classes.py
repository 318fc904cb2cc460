"""The strength class of every thread: where people buy and build, what it allows, and what an unmarked bolt bears."""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from pathlib import Path
from typing import Any, get_args

import pytest
from conftest import bridged, named
from random_specs import changed

from mouldgeom import Spec, SpecError, load, tables
from mouldgeom.cli import main
from mouldgeom.fabrication.quantities import material_of
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.shapes import Bar, Fastener, FastenerKind, SectionKind
from mouldgeom.outputs.cutlist import cutlist_csv
from mouldgeom.outputs.papers.build.assembly import torques
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.records import part_records
from mouldgeom.outputs.spreadsheet import cutlist_xlsx
from mouldgeom.spec.fields import Gear, StrengthClassName
from mouldgeom.strength.book import book, requirements
from mouldgeom.strength.tightening import recommended_torque
from mouldgeom.strength_classes import UNMARKED, class_text, strength_class, strength_classes, welded_class
from mouldgeom.words import Words

HILL, INCH = load("hill-example"), load("inch-example")
THREADS = {
    "hill-example": {"bolt": "class 4.6", "nut": "class 5", "jack nut": "class 5", "screw": "class 4.6"},
    "inch-example": {"bolt": "grade 2", "nut": "grade 2", "jack nut": "grade 2", "screw": "grade 2"},
}


def mould_of(spec: Spec = HILL, **steel: str) -> Mould:
    return build(changed(spec, {f"steel.{name}": value for name, value in steel.items()}))


class Paper:
    """Stands for a job where only the mould is asked for."""

    def __init__(self, mould: Mould) -> None:
        self.mould = mould

    @property
    def solids(self) -> Any:
        raise AssertionError("no solids are needed here")


def desk(mould: Mould, language: str = "en", units: str = "mm") -> BuildDesk:
    return BuildDesk(Paper(mould), Words(language, units))


def threads(mould: Mould) -> list[Bar | Fastener]:
    bars = [bar for bar in mould.bars if bar.kind is SectionKind.THREADED_ROD]
    return [*bars, *(part for part in mould.fasteners if part.kind is not FastenerKind.WASHER)]


# ---------------------------------------------------------------- where it stands


@pytest.mark.parametrize("name", ["hill-example", "inch-example"])
def test_every_thread_bears_its_class_in_lists_and_records(name: str) -> None:
    mould, wanted = build(load(name)), THREADS[name]
    rows = {row["mark"]: row for row in csv.DictReader(io.StringIO(cutlist_csv(mould).decode("utf-8-sig")))}
    records = {record["mark"]: record for record in part_records(mould)}
    assert len(threads(mould)) >= 4
    for part in threads(mould):
        kind = "screw" if isinstance(part, Bar) else "bolt" if part.kind is FastenerKind.BOLT else "nut"
        assert rows[part.mark]["grade"] == records[part.mark]["grade"] == wanted[kind]
        assert material_of(part).endswith(f", {wanted[kind]}")
        assert rows[part.mark]["material"] == material_of(part)
    for part in (*mould.plates, *mould.bars):
        if part not in threads(mould):
            assert rows[part.mark]["grade"] == records[part.mark]["grade"] == mould.dims.stock.steel.designation


def test_the_spreadsheet_says_it(hill: Mould) -> None:
    with zipfile.ZipFile(io.BytesIO(cutlist_xlsx(hill))) as book_file:
        text = book_file.read("xl/sharedStrings.xml").decode()
    assert "threaded rod M24, class 4.6<" in text
    assert ">class 4.6<" in text
    assert ">class 5<" in text
    assert "M24, S235" not in text


@pytest.mark.slow
def test_what_to_buy_says_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Purchase lines, cutting plan and cost of a design with strong bolts and strong screws.

    Bolts of a mould: 4 x 6 at corners, 2 x 4 and 2 x 3 at the base, 2 of the lid, 4 of the closing bars.  Four screws
    have three nuts each, one of them welded.
    """
    spec, prices = tmp_path / "strong.toml", tmp_path / "prices.toml"
    text = '[steel]\nbolt_class = "8.8"\nscrew_class = "8.8"\n'
    spec.write_text(text, "utf-8")
    prices.write_text(PRICES, "utf-8")
    out = tmp_path / "package"
    only = [word for kind in ("nests", "bars", "cost") for word in ("--only", kind)]
    assert main(["make", str(spec), "--moulds", "2", "--prices", str(prices), "--out", str(out), *only]) == 0
    printed = capsys.readouterr().out
    assert re.search(r"\d x threaded rod M24, class 8\.8, 1000 mm", printed)
    assert re.search(r"\b88 x hexagon nut M10, class 8\b", printed)
    assert re.search(r"\b8 x hexagon nut M24, class 5\b", printed)
    assert re.search(r"\b16 x hexagon nut M24, class 8\b", printed)
    assert "threaded rod M24, class 8.8" in (out / "bars" / "cutting-plan.csv").read_text("utf-8")
    named = [line["name"] for line in json.loads((out / "cost.json").read_text("utf-8"))["lines"]]
    assert [name for name in named if name.startswith("threaded rod M24, class 8.8,")]
    assert {"hexagon nut M10, class 8", "hexagon nut M24, class 5"} <= set(named)


PRICES = """
currency = "crowns"
[material]
sheet = 1
angle = 1
"square tube" = 1
rod = 1
"threaded rod" = 2
"threaded rod M24, class 8.8" = 5
[fastener]
"hexagon bolt" = 0.2
"hexagon nut" = 0.1
"hexagon nut M24, class 8" = 2
washer = 0.05
[consumable]
electrode_kg = 1
grinding_disc = 1
cutting_disc = 1
paint_l = 1
[hour]
labour = 1
cutting = 1
"""


# ---------------------------------------------------------------- torque


def said(mould: Mould, language: str = "en", units: str = "mm") -> str:
    return " ".join(torques(desk(mould, language, units)))


def test_the_torque_of_a_strong_bolt_is_tied_to_its_mark() -> None:
    """M10: K 0.15 and 0.9 of the proof load, 580 MPa and 225 MPa on 58 mm2, whole newton metres below it."""
    text = said(mould_of(bolt_class="8.8"))
    assert "With the mark 8.8 (class 8.8): 45 N m." in text
    assert "A head without that mark: 17 N m at most, more breaks the bolt." in text


@pytest.mark.parametrize("name", ["4.6", "unmarked"])
def test_one_torque_where_a_mark_changes_nothing(name: str) -> None:
    text = said(mould_of(bolt_class=name))
    assert "17 N m" in text
    assert "45" not in text
    assert "without a mark" in text
    assert ("class 4.6" in text) == (name == "4.6")


def test_grade_2_bears_no_mark_and_gets_the_torque_of_an_unknown_bolt() -> None:
    """0.15 x 0.9 x 225 MPa x 50 mm2 x 9.525 mm = 14.5 N m."""
    thread = tables.bolt("3/8-16")
    assert recommended_torque("grade 2", thread) == recommended_torque(UNMARKED, thread) == 14_000
    assert "3 radial lines (grade 5)" in said(mould_of(INCH, bolt_class="grade 5"))


@pytest.mark.parametrize("bolt", tables.bolts(), ids=lambda bolt: bolt.designation)
def test_the_lesser_torque_breaks_no_bolt_of_the_table(bolt: tables.Bolt) -> None:
    """The greatest preload, K 0.15, stays below the proof load of every class that the thread is made in."""
    force = recommended_torque(UNMARKED, bolt) / (0.15 * bolt.diameter_mm)
    own = [row for row in strength_classes() if row.system == bolt.system and bolt.diameter_mm <= row.diameter_to_mm]
    assert own
    for row in own:
        assert force <= row.proof_mpa * bolt.stress_area_mm2


@pytest.mark.parametrize(("units", "shown"), [("inches", "33 lb ft."), ("both", "45 N m / 33 lb ft.")])
def test_torque_in_pound_feet(units: str, shown: str) -> None:
    """45 N m / 1.355818 = 33.19 lb ft, rounded down."""
    assert shown in said(mould_of(bolt_class="8.8"), units=units)


# ---------------------------------------------------------------- what goes together


@pytest.mark.parametrize("grade", get_args(StrengthClassName))
def test_a_strength_class_is_no_steel_of_sheet(grade: str) -> None:
    with pytest.raises(ValueError, match=r"strength class of bolts, no steel of sheet and bars"):
        changed(HILL, {"steel.grade": grade})


def test_every_choice_stands_in_the_table() -> None:
    assert {row.designation for row in strength_classes()} | {UNMARKED} == set(get_args(StrengthClassName))


@pytest.mark.parametrize(
    ("spec", "field", "given"),
    [(HILL, "bolt_class", "grade 5"), (HILL, "screw_class", "grade 2"), (INCH, "bolt_class", "8.8"),
     (INCH, "screw_class", "4.6")],
)  # fmt: skip
def test_a_class_of_the_other_system_is_refused(spec: Spec, field: str, given: str) -> None:
    with pytest.raises(SpecError, match=r"threads are not made in that class") as caught:
        mould_of(spec, **{field: given})
    assert caught.value.name == f"steel.{field}"
    for offered in re.findall(r"'([^']+)'", caught.value.remedy):
        assert mould_of(spec, **{field: offered})


@pytest.mark.parametrize("spec", [HILL, INCH], ids=["metric", "inch"])
def test_unmarked_is_a_choice_in_either_system_and_the_weakest(spec: Spec) -> None:
    mould = mould_of(spec, bolt_class=UNMARKED, screw_class=UNMARKED)
    assert {part.strength for part in threads(mould)} == {UNMARKED}
    found = strength_class(UNMARKED, mould.dims.stock.bolt)
    for name in ("yield_mpa", "ultimate_mpa", "proof_mpa"):
        assert getattr(found, name) == min(getattr(row, name) for row in strength_classes())


SCREW_BODY = {Gear.FORCING: "8.41", Gear.BRIDGE: "8.21"}
FIRST_TURN = {Gear.FORCING: "8.42", Gear.BRIDGE: "8.22"}
"""Checks of the screws that draw the core, by the gear."""


def drawn_by(gear: Gear, spec: Spec = HILL) -> Spec:
    return bridged(spec) if gear is Gear.BRIDGE else spec


def uses(mould: Mould) -> dict[str, float]:
    """How far bolts, screw and a threaded handle are used, by check."""
    found = {r.code: r for r in requirements(book(mould))}
    gear = mould.dims.spec.extraction.gear
    codes = ("8.10", "8.11", "8.17", SCREW_BODY[gear], FIRST_TURN[gear], "10.6", "10.9")
    return {code: found[code].value / found[code].limit for code in codes}


@pytest.mark.parametrize("gear", Gear)
@pytest.mark.parametrize("name", [name for name in get_args(StrengthClassName) if not name.startswith("grade")])
def test_unmarked_is_never_reckoned_stronger(name: str, gear: Gear) -> None:
    """The rows stand alike, so that only the strength differs."""
    alike = {"shop.bolt_pitch": 120, "steel.rod": "M12"}
    strong, weak = (
        build(changed(drawn_by(gear), {**alike, "steel.bolt_class": c, "steel.screw_class": c}))
        for c in (name, UNMARKED)
    )
    one, other = uses(strong), uses(weak)
    for code in one:
        if code != "8.17":  # a stronger bolt is drawn up harder
            assert other[code] >= one[code] - 1e-9


# ---------------------------------------------------------------- what is welded


NUTS = {
    Gear.FORCING: [f"forcing nut, {place}" for place in ("left front", "left back", "right front", "right back")],
    Gear.BRIDGE: ["jack nut,"],
}
WELDED = {Gear.FORCING: "welded", Gear.BRIDGE: "anchor"}


@pytest.mark.parametrize("gear", Gear)
@pytest.mark.parametrize(("given", "welded"), [("4.6", "4.6"), ("5.8", "5.8"), ("8.8", "4.6"), ("10.9", "4.6")])
def test_what_is_welded_is_not_hardened(given: str, welded: str, gear: Gear) -> None:
    """The nut on its nut plate or on the anchor plate, and handles of threaded rod."""
    mould = mould_of(drawn_by(gear), bolt_class=given, screw_class=given, rod="M12")
    thread = tables.bolt("M24")
    for nut in NUTS[gear]:
        # a nut is a fastener, and a part in general has no class
        assert named(mould, f"{nut} {WELDED[gear]}").part.strength == strength_class(welded, thread).nut  # type: ignore[union-attr]  # it is a nut
        for turned in ("drive", "lock"):
            assert named(mould, f"{nut} {turned}").part.strength == strength_class(given, thread).nut  # type: ignore[union-attr]  # it is a nut
    assert {bar.strength for bar in mould.bars if bar.name.startswith("handle")} == {welded}
    assert {bar.strength for bar in mould.bars if bar.name in ("forcing screw", "jack screw")} == {given}


def test_inch_bolts_and_a_metric_handle() -> None:
    """Of a rod of the other system nobody knows the class."""
    assert welded_class("grade 8", tables.bolt("M12")) == UNMARKED
    assert welded_class("grade 8", tables.bolt("1/2-13")) == "grade 2"
    handles = {bar.strength for bar in mould_of(INCH, rod="M12").bars if bar.name.startswith("handle")}
    assert handles == {UNMARKED}


@pytest.mark.parametrize("gear", Gear)
def test_the_thread_in_the_welded_nut_is_held_against_the_nut(gear: Gear) -> None:
    strong = {r.code: r for r in requirements(book(mould_of(drawn_by(gear), screw_class="10.9")))}
    body, turn = strong[SCREW_BODY[gear]], strong[FIRST_TURN[gear]]
    assert body.limit == 900
    assert turn.limit == 240
    assert turn.source.endswith("class 4.6: the nut is welded, class 5")


def test_rods_that_look_alike_and_differ_are_refused() -> None:
    with pytest.raises(SpecError, match=r"steel\.rod = 'M24'.*one would be taken for the other"):
        mould_of(rod="M24", screw_class="8.8")
    assert mould_of(rod="M24", screw_class="4.6")


@pytest.mark.parametrize(
    ("name", "text"), [("8.8", "class 8.8"), ("8", "class 8"), ("grade 5", "grade 5"), (UNMARKED, "unmarked")]
)
def test_class_in_words(name: str, text: str) -> None:
    assert class_text(name) == text


@pytest.mark.parametrize(("language", "text"), [("fr", "classe 8.8"), ("es", "clase 8.8")])
def test_class_in_other_languages(language: str, text: str) -> None:
    mould = mould_of(bolt_class="8.8")
    bolt = next(part for part in mould.fasteners if part.kind is FastenerKind.BOLT)
    assert desk(mould, language).strength(bolt) == text
