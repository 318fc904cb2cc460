"""The objective that designs are compared by, and the wear of the screws in it: by hand, and what is always so."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_specs import changed, profile

from mouldgeom import Spec, load
from mouldgeom import build as designed
from mouldgeom.fabrication.cost import cost
from mouldgeom.fabrication.objective import RELATIVE, WholeCost, whole_cost
from mouldgeom.fabrication.quantities import material_of
from mouldgeom.fabrication.rates import Prices, Range, parse_prices
from mouldgeom.fabrication.wear import screw_casts, spares, turns, wear_casts
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.shapes import SectionKind
from mouldgeom.outputs.cutlist import consumables
from mouldgeom.outputs.steel_files import purchase_lines
from mouldgeom.strength.book import book
from mouldgeom.strength.pull import wearing_pull
from mouldgeom.tables import bolt

PRICES = """
currency = "crowns"
[material]
sheet = 1
angle = 0
"square tube" = 0
rod = 0
"threaded rod" = 3
[fastener]
"hexagon bolt" = 0
"hexagon nut M24" = 1.5
"hexagon nut" = 0
washer = 0
[consumable]
electrode_kg = 0
grinding_disc = 0
cutting_disc = 0
paint_l = 0
[hour]
labour = [3, 4, 6]
cutting = 20
[rates]
cast_bolt_s = 40
turn_s = 5
upkeep_ratio = 0.1
"""


def lasting(life: float, spec: Spec | None = None) -> Mould:
    return build(changed(spec or load("hill-example"), {"use.life": life}))


def found(mould: Mould, prices: Prices | None = None) -> WholeCost:
    return whole_cost(mould, wearing_pull(mould), prices)


# ---------------------------------------------------------------- by hand


def test_a_screw_lasts_by_hand() -> None:
    """M24 by 3 mm, class 4.6 (400 MPa), 7000 N over 60 mm: d2 22.0515 mm, depth 1.6239 mm, 21.5 mm of nut.

    p = 7000/(pi 22.0515 1.6239 7.1667) = 8.682 MPa; 20 turns of 69.28 mm are 1385.5 mm; each cast takes
    1e-4 8.682 1385.5/(3 400) = 1.0024e-3 mm, and a quarter of the pitch is 0.75 mm.
    """
    assert bolt("M24").nut_height_mm == 21.5
    assert screw_casts(bolt("M24"), "4.6", 7000, 60) == pytest.approx(748.2, rel=1e-3)


@pytest.mark.parametrize(
    ("gear", "life", "bolts", "screws", "nuts", "seconds"),
    [("forcing screws", 14000, 44, 4, 12, 2142.0), ("bridge", 4000, 46, 1, 3, 1935.5)],
)
def test_the_objective_by_hand(gear: str, life: float, bolts: int, screws: int, nuts: int, seconds: float) -> None:
    """Use of a cast: each bolt 40 s, and 57.3 mm of stroke in turns of 3 mm and 5 s, of each screw.

    A screw lasts as above, in proportion to force and stroke: two spare rods and nuts for each in either life.
    """
    mould, prices = lasting(life, changed(load("hill-example"), {"extraction.gear": gear})), parse_prices(PRICES)
    seen, built = found(mould, prices), cost(mould, prices)
    sheet = 1.25 * sum(plate.quantity * mould.mass(plate) for plate in mould.plates)
    (rod,) = (bar for bar in mould.bars if bar.kind is SectionKind.THREADED_ROD)
    kilograms = screws * mould.mass(rod)
    assert seen.material == pytest.approx(sheet + 3 * 1.1 * kilograms + nuts * 1.5)
    assert seen.build == pytest.approx(sum(line.cost.likely for line in built.lines if line.kind == "operation"))
    assert seen.seconds == pytest.approx(bolts * 40 + screws * 57.3 / 3 * 5, rel=1e-4) == pytest.approx(seconds)
    assert seen.use == pytest.approx(life * seconds / 3600 * 4, rel=1e-4)
    casts = 748.2 * 7000 / (wearing_pull(mould) / screws) * 60 / 57.3
    assert seen.sets == math.ceil(life / casts) - 1 == 2
    assert seen.wear == pytest.approx(0.1 * (seen.material + seen.build) + 2 * (3 * kilograms + screws * 1.5))
    assert seen.hours == pytest.approx(built.hours.likely)
    assert seen.total == seen.material + seen.build + seen.use + seen.wear
    assert (seen.unit, seen.life) == ("crowns", life)


def test_without_prices_a_kilogram_of_sheet_is_the_measure(hill: Mould) -> None:
    """All sheet by its mass; M10 x 25 and the like by two and a half times theirs."""
    seen = found(hill)
    assert seen.unit == RELATIVE
    weights = {"sheet": 1.25, "angle": 1.1, "rod": 1.1, "square tube": 1.1 * 1.2, "threaded rod": 1.1 * 2.5}
    steel = sum(
        part.quantity * hill.mass(part) * next(w for kind, w in weights.items() if material_of(part).startswith(kind))
        for part in (*hill.plates, *hill.bars)
    )
    bolts = 2.5 * sum(part.quantity * hill.mass(part) for part in hill.fasteners)
    used = sum(line.cost.likely for line in cost(hill, parse_prices(RELATIVE_USED)).lines if line.kind == "consumable")
    assert seen.material == pytest.approx(steel + bolts + used)


RELATIVE_USED = """
[material]
sheet = 0
angle = 0
rod = 0
"square tube" = 0
"threaded rod" = 0
[fastener]
"hexagon bolt" = 0
"hexagon nut" = 0
washer = 0
[consumable]
electrode_kg = 2.5
grinding_disc = 1.2
cutting_disc = 0.8
paint_l = 5
[hour]
labour = 0
cutting = 0
"""


# ---------------------------------------------------------------- what is always so


def test_all_but_the_use_is_what_a_filter_costs(example: Mould) -> None:
    mould, prices = lasting(3000, example.dims.spec), parse_prices(PRICES)
    seen, pull = found(mould, prices), wearing_pull(mould)
    by_filter = cost(mould, prices, spares=spares(mould, pull)).per_filter.likely
    assert (seen.total - seen.use) / 3000 == pytest.approx(by_filter)


@profile(8)
@given(st.floats(1, 10000), st.sampled_from([None, parse_prices(PRICES)]))
def test_twice_the_life_is_twice_the_use_and_no_other_mould(life: float, prices: Prices | None) -> None:
    one, other = (found(lasting(casts), prices) for casts in (life, 2 * life))
    assert other.use == pytest.approx(2 * one.use)
    assert (other.material, other.build, other.hours) == (one.material, one.build, one.hours)
    assert other.sets >= 2 * one.sets
    assert other.wear >= one.wear


def test_one_more_bolt_makes_use_and_building_dearer(hill: Mould) -> None:
    before = found(hill)
    for number, row in enumerate(hill.rows):
        more = replace(row, points=(*row.points, row.points[0]))
        after = found(replace(hill, rows=(*hill.rows[:number], more, *hill.rows[number + 1 :])))
        assert after.use - before.use == pytest.approx(hill.dims.spec.use.life * 45 / 3600 * 3)
        assert after.build > before.build


def test_a_closer_pitch_has_more_bolts_and_never_less_use() -> None:
    seen = [found(build(changed(load("hill-example"), {"shop.bolt_pitch": pitch}))) for pitch in range(90, 190, 20)]
    uses = [one.use for one in seen]
    assert uses == sorted(uses, reverse=True)
    assert uses[0] > 1.2 * uses[-1]


@profile(5)
@given(st.floats(0.01, 100))
def test_prices_so_many_times_higher_make_every_part_so(times: float) -> None:
    def dearer(given: dict[str, Range]) -> dict[str, Range]:
        return {name: price.times(times) for name, price in given.items()}

    prices, mould = parse_prices(PRICES), lasting(2000)
    hour = prices.hour.model_copy(update=dearer(dict(prices.hour)))
    used = prices.consumable.model_copy(update=dearer({k: v for k, v in prices.consumable if v is not None}))
    tables = {"material": dearer(prices.material), "fastener": dearer(prices.fastener)}
    one, other = (
        found(mould, prices),
        found(mould, prices.model_copy(update={**tables, "hour": hour, "consumable": used})),
    )
    for name, part in one.parts.items():
        assert other.parts[name] == pytest.approx(times * part)


def test_a_mould_without_screws_has_no_wear_and_no_turns(hill: Mould) -> None:
    bare = replace(hill, bars=tuple(bar for bar in hill.bars if bar.kind is not SectionKind.THREADED_ROD))
    assert (turns(bare), wear_casts(bare, 7000.0), spares(bare, 7000.0)) == (0, math.inf, ())


# ---------------------------------------------------------------- one life everywhere


@pytest.mark.parametrize(("gear", "screws"), [("forcing screws", 4), ("bridge", 1)])
@pytest.mark.parametrize(("share", "sets"), [(0.5, 0), (0.999, 0), (1.001, 1), (2.5, 2)])
def test_life_counts_the_spares_of_calculation_list_and_record(gear: str, screws: int, share: float, sets: int) -> None:
    """A set is every screw with the nut that it runs in."""
    spec = changed(load("hill-example"), {"extraction.gear": gear})
    first = build(spec)
    pull = wearing_pull(first)
    mould = lasting(round(share * wear_casts(first, pull), 3), spec)
    step = next(step for chapter in book(mould) for step in chapter.steps if step.what.startswith("spare sets"))
    assert step.result == found(mould).sets == sets
    bought = {spare.name: spare.count for spare in spares(mould, pull)}
    assert [name.partition(",")[0] for name in bought] == (["threaded rod M24", "hexagon nut M24"] if sets else [])
    each = screws * sets
    assert set(bought.values()) == ({each} if sets else set())
    assert purchase_lines((), (), (), 3, spares(mould, pull)) == [f"{3 * each} x spare {name}" for name in bought]
    listed = {name: amount.likely for name, amount, _ in consumables(mould, 3) if name.startswith("spare")}
    assert listed == {f"spare {name}": 3 * each for name in bought}


def test_the_life_makes_no_other_mould(hill: Mould) -> None:
    other = lasting(2000)
    assert other.parts == hill.parts
    assert other.shape_digest == hill.shape_digest
    assert other.digest != hill.digest


def test_two_moulds_beside_each_other() -> None:
    one = designed("hill-example")
    other = designed(one.spec.changed({"shop.bolt_pitch": 100}))
    beside = one.differences(other)
    assert beside.costs == (one.objective(), other.objective())
    assert beside.costs[1].use > beside.costs[0].use
    more = other.objective().total - one.objective().total
    assert f"mould and use over its life: {more:+,.1f} {RELATIVE}" in beside.text()
    assert beside.record()["over_its_life"]["after"] == other.objective().record()
    assert "<caption>WholeCost" in one.objective()._repr_html_()
