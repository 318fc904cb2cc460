"""Every row of the tables of steel, chosen one at a time: the mould builds and is reckoned through, or is refused.

What is in a table can be asked for and can be in a stock list, so nothing may stumble over it: no table of tolerances
that ends below a sheet, no name that a file cannot carry.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from mouldgeom import Spec, SpecError, load, tables
from mouldgeom.fabrication.stocklist import default_stock, parse_stock
from mouldgeom.fabrication.substitute import substitute
from mouldgeom.inspection.critical import critical
from mouldgeom.inspection.measured import measured_csv
from mouldgeom.model.assembly import Mould, build
from mouldgeom.outputs.cutlist import cutlist_csv
from mouldgeom.outputs.dxf import CutOptions, flat_dxf
from mouldgeom.spec.fields import LEAST, PAIR
from mouldgeom.strength.book import book, failing

pytestmark = pytest.mark.slow

GRADES = ("S235", "S275", "S355", "Q235", "SS400", "A36", "A1011 SS 36")
EXAMPLES = {"metric": load("hill-example"), "inch": load("inch-example")}
KINDS = {"angle": "angle", "square_tube": "square tube", "rod": "rod", "jack_screw": "threaded rod"}


def choices() -> Iterator[tuple[str, str, str]]:
    """Field of ``steel``, designation and system of everything that a specification can name."""
    for field in ("shell", "ledge", "base"):
        yield from ((field, row.designation, row.system) for row in tables.sheets())
    yield from (("angle", row.designation, row.system) for row in tables.angles())
    yield from (("square_tube", row.designation, row.system) for row in tables.square_tubes())
    yield from (("square_tube", f"{PAIR}{row.designation}", row.system) for row in tables.angles())
    yield from (("rod", row.designation, row.system) for row in tables.rods())
    yield from (("rod", row.designation, row.system) for row in tables.bolts())
    for field in ("bolt", "jack_screw"):
        yield from ((field, row.designation, row.system) for row in tables.bolts())
    yield from (("grade", grade, "inch" if grade.startswith("A") else "metric") for grade in GRADES)


ALL = [pytest.param(*choice, id=" ".join(choice[:2])) for choice in choices()]


def with_steel(system: str, **steel: str) -> Spec:
    spec = EXAMPLES[system]
    data = spec.model_dump(mode="json")
    data["steel"] |= steel
    return Spec.model_validate(data)


def built(spec: Spec) -> Mould | None:
    """The mould, or ``None`` where it is refused by name, with value, limit and remedy."""
    mould, refusal = None, None
    try:
        mould = build(spec)
    except SpecError as error:
        refusal = error
    if refusal is not None:
        assert refusal.name.split(".")[0] in {"steel", "shop", "filter"}
        assert all((refusal.value, refusal.limit, refusal.remedy))
    return mould


@pytest.mark.parametrize(("field", "designation", "system"), ALL)
def test_a_row_builds_and_is_reckoned_through_or_is_refused(field: str, designation: str, system: str) -> None:
    """What the example's own angle does not take, the least angle may."""
    mould = built(with_steel(system, **{field: designation}))
    if mould is None and field != "angle":
        mould = built(with_steel(system, **{field: designation, "angle": LEAST}))
    if mould is not None:
        for chapter in book(mould):
            assert not any(math.isnan(r.value) or math.isnan(r.limit) for r in chapter.requirements)
        assert designation.removeprefix(PAIR) in cutlist_csv(mould).decode()
        assert measured_csv(critical(mould))
        assert all(flat_dxf(plate, CutOptions.from_spec(mould.dims.spec)) for plate in mould.plates[:3])


COMMON = [
    *(("shell", sheet) for sheet in ("3.2 mm", "11 gauge MSG", "10 gauge MSG")),
    *(("ledge", sheet) for sheet in ("12 mm", "1/2 in")),
    *(("base", sheet) for sheet in ("12 mm", "1/2 in", "10 gauge MSG")),
    *(("angle", angle) for angle in ("40x40x3", "40x40x5", "50x50x6")),
    *(("square_tube", tube) for tube in ("20x20x2.5", "25x25x2.5", "30x30x3", "40x40x2.5", "40x40x2.6", "40x40x4")),
    *(("square_tube", tube) for tube in ("two 30x30x4", "two 40x40x3")),
    *(("rod", rod) for rod in ("8 mm", "20 mm", "M14")),
    *(("jack_screw", screw) for screw in ("M14", "M24")),
    *(("grade", grade) for grade in GRADES),
]


@pytest.mark.parametrize(("field", "designation"), COMMON, ids=[" ".join(pair) for pair in COMMON])
def test_common_steel_is_taken(field: str, designation: str) -> None:
    assert build(with_steel("metric", **{field: designation})).pieces()


@pytest.mark.parametrize("bolt", ["M12", "M14", "1/2-13"])
def test_a_refused_bolt_is_taken_as_the_refusal_says(bolt: str) -> None:
    """A larger angle takes it, in either system."""
    system = tables.bolt(bolt).system
    with pytest.raises(SpecError, match="Choose a smaller bolt or a larger angle"):
        build(with_steel(system, bolt=bolt))
    found = build(with_steel(system, bolt=bolt, angle=LEAST)).dims.stock
    assert found.bolt.designation == bolt
    assert found.angle.leg_mm > EXAMPLES_ANGLE[system]


EXAMPLES_ANGLE = {system: tables.angle(spec.steel.angle).leg_mm for system, spec in EXAMPLES.items()}


@pytest.mark.parametrize("field", ["shell", "ledge", "base"])
@pytest.mark.parametrize("sheet", ["2 mm", "2.5 mm", "12 gauge MSG", "14 gauge MSG"])
def test_thin_sheet_is_read_but_makes_no_face_of_concrete(field: str, sheet: str) -> None:
    """The rule of the shop is the reason, in a specification and in a stock list."""
    with pytest.raises(SpecError, match="at least 3 mm, since thinner sheet bends too easily") as caught:
        build(with_steel("metric", **{field: sheet}))
    assert caught.value.name == f"steel.{field}"
    for offered in ("3 mm", "1/8 in"):
        assert offered in caught.value.remedy
        assert build(with_steel("metric", **{field: offered}))


# ---------------------------------------------------------------- stock lists


def test_the_stock_that_is_built_in_has_every_row() -> None:
    stock = default_stock()
    assert [sheet.sheet for sheet in stock.sheets] == [row.designation for row in tables.sheets()]
    held = {(str(bar.kind), bar.section) for bar in stock.bars}
    rows = {"angle": tables.angles(), "square tube": tables.square_tubes(), "rod": tables.rods()}
    assert held == {(kind, row.designation) for kind, listed in rows.items() for row in listed} | {
        ("threaded rod", row.designation) for row in tables.bolts()
    }


def stock_text(field: str, designation: str) -> str:
    """A list that has one row for a field, and the example's own steel for the others."""
    own = EXAMPLES["metric"].steel.model_dump(mode="json") | {field: designation}
    sheets = sorted({own[name] for name in ("shell", "ledge", "base")})
    out = [f'[[sheet]]\nsheet = "{sheet}"\nwidth = 1220\nlength = 2440\n' for sheet in sheets]
    out += [f'[[bar]]\nkind = "{kind}"\nsection = "{own[f]}"\nlength = "6 m"\n' for f, kind in KINDS.items()]
    return "\n".join(out)


STOCKED = [choice for choice in choices() if choice[0] in {*KINDS, "shell", "ledge", "base"} and PAIR not in choice[1]]
STOCKED = [
    choice for choice in STOCKED if choice[0] != "rod" or choice[1] in {row.designation for row in tables.rods()}
]


@pytest.mark.parametrize(("field", "designation", "system"), STOCKED, ids=[" ".join(c[:2]) for c in STOCKED])
def test_a_stock_list_may_have_any_row(field: str, designation: str, system: str) -> None:
    """It is read, and the mould is built from it or the piece that lacks steel is named; thin sheet is left aside."""
    stock = parse_stock(stock_text(field, designation))
    assert designation in {sheet.sheet for sheet in stock.sheets} | {bar.section for bar in stock.bars}
    found, refusal = None, None
    try:
        found = substitute(EXAMPLES["metric"], stock, failing)
    except SpecError as error:
        refusal = error
    if found is None:
        assert refusal is not None
        assert refusal.name == f"steel.{field}"
        assert refusal.remedy.startswith("Buy ")
        return
    assert build(found.spec).pieces()
    held = {row.sheet for row in stock.sheets if row.thickness >= 3} | {row.section for row in stock.bars}
    used = found.spec.steel.model_dump(include={*KINDS, "shell", "ledge", "base"}, mode="json")
    assert {name.removeprefix(PAIR) for name in used.values()} <= held
