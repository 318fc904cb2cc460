"""Masses, lifts, turning and stability: hand-worked examples, the kernel's solids, and what must never go backwards."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

import pytest
from conftest import named
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom import Spec, load
from mouldgeom.filter.concrete import body_volume
from mouldgeom.geometry.outline import QUARTER, Outline, Vertex
from mouldgeom.identity import (
    BACK_PANEL,
    BRIDGE,
    CLOSING,
    FOOT,
    FORCING,
    FRONT_PANEL,
    LEFT_PANEL,
    LID,
    PADS,
    RIGHT_PANEL,
    SCREW,
    Side,
    Unit,
)
from mouldgeom.model.assembly import Mould, Piece, build
from mouldgeom.model.weights import Lump, bed_density, body_lump, body_parts, combined, outline_centroid
from mouldgeom.spec import unchecked
from mouldgeom.strength import handling, turning
from mouldgeom.strength.masses import LOADS, Masses, carried, masses, piece_lump, upright
from mouldgeom.units import GRAVITY
from mouldgeom.verdict import Verdict

if TYPE_CHECKING:
    from mouldgeom.solids import SolidMould


def varied(name: str = "hill-example", **groups: dict[str, object]) -> Mould:
    """An example with some fields changed, beyond their limits too."""
    spec: Spec = load(name)
    for group, fields in groups.items():
        spec = unchecked(spec, group, **fields)
    return build(spec)


def load_of(piece: Piece) -> Unit:
    """With what a piece is carried."""
    return next(unit for unit in piece.unit.line if unit in LOADS)


def required(mould: Mould) -> dict[str, Verdict]:
    return {r.code: r for r in handling.chapter(mould).requirements}


@pytest.fixture(scope="module")
def found(hill: Mould) -> Masses:
    return masses(hill)


# ---------------------------------------------------------------- centroids


def test_centroid_of_an_l() -> None:
    """Two rectangles by hand: 100 x 20 at (50, 10) and 20 x 80 at (10, 60)."""
    shape = Outline.polygon([(0, 0), (100, 0), (100, 20), (20, 20), (20, 100), (0, 100)])
    assert outline_centroid(shape) == pytest.approx(((2000 * 50 + 1600 * 10) / 3600, (2000 * 10 + 1600 * 60) / 3600))


def test_centroid_of_a_quarter_disc() -> None:
    """4 r/(3 pi) from both straight edges (any handbook)."""
    shape = Outline((Vertex(0, 0), Vertex(60, 0, QUARTER), Vertex(0, 60)))
    assert outline_centroid(shape) == pytest.approx((80 / math.pi, 80 / math.pi))


def test_centroid_with_an_arc_that_bites_in() -> None:
    """A square of 60 less a quarter disc of 20 at its far corner."""
    shape = Outline((Vertex(0, 0), Vertex(60, 0), Vertex(60, 40, -QUARTER), Vertex(40, 60), Vertex(0, 60)))
    disc, inside = math.pi * 100, 60 - 80 / (3 * math.pi)
    assert outline_centroid(shape)[0] == pytest.approx((3600 * 30 - disc * inside) / (3600 - disc))


def test_combined() -> None:
    both = combined([Lump(3, (0, 0, 0)), Lump(1, (40, -8, 4))])
    assert both == Lump(4, (10, -2, 1))


def test_every_piece_against_the_kernel(hill: Mould, hill_solids: SolidMould) -> None:
    """Plates and bars to a hundredth of a millimetre; bolts have a shank by pitch diameter here, so 1 mm."""
    for placed in hill_solids.pieces:
        centre = placed.shape.Center()
        mine = piece_lump(hill, named(hill, placed.name)).centre
        near = 1.0 if placed.name.startswith("bolt") else 0.01
        assert mine == pytest.approx((centre.x, centre.y, centre.z), abs=near), placed.name


@pytest.mark.parametrize("solids", ["hill_solids", "inch_solids", "short_solids"])
def test_body_against_the_kernel(solids: str, request: pytest.FixtureRequest) -> None:
    made: SolidMould = request.getfixturevalue(solids)
    dims, body = made.dims, made.body
    centre = body.Center()
    assert body_lump(dims, 1e9).mass == pytest.approx(body.Volume(), rel=1e-3)
    assert body_lump(dims, 1e9).centre == pytest.approx((centre.x, centre.y, centre.z), abs=0.1)


def test_body_parts_make_the_body_volume(example: Mould) -> None:
    dims = example.dims
    volume = body_volume(dims.spec, dims.levels, dims.cavity, dims.nose, dims.tube, dims.shell)
    assert sum(part.volume for part in body_parts(dims)) == pytest.approx(volume, rel=1e-9)


# ---------------------------------------------------------------- what is carried


def test_loads_are_the_mould(either: Mould) -> None:
    """Every piece is carried with exactly one load, and nothing is lost or counted twice."""
    loads = carried(either)
    assert sum(item.pieces for item in loads.values()) == len(list(either.pieces()))
    whole = combined(piece_lump(either, piece) for piece in either.pieces())
    again = combined(item.lump for item in loads.values())
    assert again.mass == pytest.approx(whole.mass)
    assert again.centre == pytest.approx(whole.centre)


@pytest.mark.parametrize(
    ("name", "load"),
    [
        ("front panel", FRONT_PANEL),
        ("side panel, left", LEFT_PANEL),
        ("corner flange, front left", LEFT_PANEL),
        ("corner flange, back right", RIGHT_PANEL),
        ("front base flange, back", BACK_PANEL),
        ("side base flange, right", RIGHT_PANEL),
        ("closing clip, back left", LEFT_PANEL),
        ("pin plate, right", RIGHT_PANEL),
        ("nut plate, left front", FOOT),
        ("thrust pad, left front", PADS),
        ("forcing screw, right back", FORCING),
        ("forcing nut, right back drive", FORCING),
        ("front stiffener, front 1", FRONT_PANEL),
        ("side stiffener, right 2", RIGHT_PANEL),
        ("handle, back 1", BACK_PANEL),
        ("nose front", FRONT_PANEL),
        ("nose lid", LID),
        ("ledge strip, back", FOOT),
        ("base plate", FOOT),
        ("runner, front", FOOT),
        ("closing bar, front", CLOSING),
    ],
)
def test_what_is_carried_with_what(hill: Mould, name: str, load: Unit) -> None:
    assert load_of(named(hill, name)) is load


@pytest.mark.parametrize(
    ("name", "load"),
    [
        ("gusset, left back", LEFT_PANEL),
        ("jack nut, anchor", FOOT),
        ("jack nut, drive", SCREW),
        ("bridge leg, left", BRIDGE),
    ],
)
def test_what_is_carried_with_what_of_a_bridge(bridged_hill: Mould, name: str, load: Unit) -> None:
    assert load_of(named(bridged_hill, name)) is load


def test_two_angles_for_a_tube_go_with_their_panel() -> None:
    mould = varied(steel={"square_tube": "two 40x40x4"})
    assert load_of(named(mould, "front stiffener, back 1 b")) is BACK_PANEL
    assert load_of(named(mould, "runner, front a")) is FOOT


def test_side_panels_mirror(found: Masses) -> None:
    left, right = found.carried[LEFT_PANEL].lump, found.carried[RIGHT_PANEL].lump
    assert left.mass == pytest.approx(right.mass)
    assert left.centre == pytest.approx((-right.centre[0], right.centre[1], right.centre[2]))


def test_filter_is_filled_from_floor_to_full(hill: Mould, found: Masses) -> None:
    """By hand: bed and water of a tapered box by its mean area, and the charge on top of the rest level."""
    levels, cavity = hill.dims.levels, hill.dims.cavity
    assert bed_density(0.42) == pytest.approx(0.58 * 2650 + 420)
    bed = cavity.volume(levels.floor, levels.sand_top) * bed_density(0.42) * 1e-9
    water = cavity.volume(levels.sand_top, levels.rest) * 1e-6
    assert found.filter_resting.mass == pytest.approx(found.filter_empty.mass + bed + water)
    assert found.filter_full.mass - found.filter_resting.mass == pytest.approx(12, rel=1e-9)


def test_upright_is_a_half_turn(hill: Mould) -> None:
    assert upright((3, -5, 10), hill.dims) == (-3, -5, hill.dims.height - 10)


# ---------------------------------------------------------------- lifting


def test_limit_of_a_panel_by_hand(hill: Mould, found: Masses) -> None:
    """Side panel: 55 mm deep, hands at 439 mm: 23 x 25/25 x (1 - 0.003 x 31.1) x 1 x 1 x 1 x 0.95."""
    item = handling.lifts(hill, found)[LEFT_PANEL]
    assert item.lift.vertical == pytest.approx(439, abs=0.5)
    assert item.single == pytest.approx(23 * (1 - 0.003 * (75 - item.lift.vertical / 10)) * 0.95)
    assert item.limit == pytest.approx(2 * item.single * 2 / 3)
    assert item.team.people == 1


def test_a_lift_counts_at_its_worse_end(hill: Mould) -> None:
    low, high = turning.lift_of(0, 100, 250), turning.lift_of(0, 750, 250)
    lump = Lump(10, (0, 0, 0))
    both = handling.judge("x", lump, [high, low], hill, 2)
    assert both.lift == low
    assert both.single < handling.judge("x", lump, [high], hill, 2).single


@given(st.floats(1, 200), st.floats(1, 200), st.sampled_from([1, 2, 3, 4, 8]))
def test_heavier_never_takes_fewer(one: float, other: float, people: int) -> None:
    mould, ends = HILLS[people], [turning.lift_of(100, 500, 250)]
    few, many = (
        handling.judge("x", Lump(mass, (0, 0, 0)), ends, mould, 4).team.people or 99 for mass in sorted((one, other))
    )
    assert few <= many


HILLS = {people: varied(handling={"team": people}) for people in (1, 2, 3, 4, 8)}


def test_a_load_that_takes_two_is_none_for_one(hill: Mould) -> None:
    ends, lump = [turning.lift_of(0, 750, 250)], Lump(5, (0, 0, 0))
    assert handling.judge("x", lump, ends, hill, 4, least=2).team.people == 2
    alone = handling.judge("x", lump, ends, HILLS[1], 4, least=2)
    assert (alone.team.people, alone.limit) == (0, 0.0)


# ---------------------------------------------------------------- tipping and turning


def test_tipping_is_in_balance(hill: Mould, found: Masses) -> None:
    """At the stability angle nothing holds it and nothing is needed to tip it."""
    for edge in turning.mould_edges(hill, "filled mould", found.filled):
        assert edge.factor(edge.angle) == pytest.approx(1)
        assert edge.tipping_push(edge.angle) == pytest.approx(0, abs=1e-6)


def test_edges_of_a_block_by_hand() -> None:
    """A block of 100 kg, 400 x 300, its centre 20 mm to +x and 10 mm to -y, 500 mm up."""
    one, two, three, four = turning.edges(
        "block", 100, (20, -10, 500), (200, 150), 900, dict(zip(Side, "abcd", strict=True))
    )
    assert [e.offset for e in (one, two, three, four)] == [180, 220, 160, 140]
    assert four.angle == pytest.approx(math.degrees(math.atan(0.28)))
    assert four.tipping_push() == pytest.approx(100 * GRAVITY * 140 / 900)
    assert four.factor(3) == pytest.approx(0.28 / math.tan(math.radians(3)))


@given(st.floats(50, 400), st.floats(0, 200), st.floats(0.01, 12))
def test_wider_is_never_less_stable(half: float, more: float, slope: float) -> None:
    narrow, wide = (
        turning.edges("b", 250, (5, -3, 470), (h, h), 930, dict(zip(Side, "abcd", strict=True)))
        for h in (half, half + more)
    )
    for one, other in zip(narrow, wide, strict=True):
        assert other.angle >= one.angle
        assert other.factor(slope) >= one.factor(slope)
        assert other.tipping_push(slope) >= one.tipping_push(slope)


def test_turning_about_the_pins_by_hand(hill: Mould, found: Masses) -> None:
    """Moment of the weight at each angle, friction of a dry pin, and the push at the nearer end of the mould."""
    turn, at = turning.pin_turn(hill, found.filled), hill.trunnions
    weight = found.filled.mass * GRAVITY
    above, aside = at.z - found.filled.centre[2], at.y - found.filled.centre[1]
    assert (turn.moment(0), turn.moment(180)) == pytest.approx((0, 0), abs=1e-6)
    assert turn.moment(30) == pytest.approx(weight * above / 2)
    assert turn.heaviest == pytest.approx(weight * math.hypot(above, aside))
    assert turn.friction == pytest.approx(0.3 * weight * at.diameter / 2)
    assert turn.lever == min(at.z + hill.dims.base, hill.dims.height - at.z)
    assert turn.push == pytest.approx((turn.heaviest + turn.friction) / turn.lever)
    assert turn.limit == 2 * 200  # two of a team; HSE L23, men
    assert turning.pin_turn(HILLS[1], found.filled).limit == 200
    assert turning.pin_turn(HILLS[8], found.filled).people == 2


def test_a_woman_pushes_less(hill: Mould, found: Masses) -> None:
    """HSE L23: 150 N."""
    weaker = varied(handling={"lifter": "woman 20 to 45"})
    assert turning.pin_turn(weaker, found.filled).limit == 300


# ---------------------------------------------------------------- bolts and handles


def test_bracket_by_hand() -> None:
    """Bolts at 10 and 30 mm under 1000 N mm: 1000 x 30/(100 + 900), and the moments agree."""
    assert turning.bracket_pull(1000, [10, 30]) == pytest.approx(30)
    pulls = [30 * arm / 30 for arm in (10, 30)]
    assert sum(p * a for p, a in zip(pulls, (10, 30), strict=True)) == pytest.approx(1000)


@pytest.mark.parametrize(("fixture", "sides", "bolts"), [("hill", 6, 14), ("bridged_hill", 8, 16)])
def test_base_bolts_by_hand(fixture: str, sides: int, bolts: int, request: pytest.FixtureRequest) -> None:
    """Bolts M10 4.6: Ft,Rd = 0.9 x 400 x 58/1.25 = 16.7 kN; core and concrete hang on those of the sides, 1.5 x 1.3."""
    mould: Mould = request.getfixturevalue(fixture)
    found = masses(mould)
    hanging, quarter = turning.base_bolts(mould, found)
    core = found.carried[FOOT].lump.mass
    assert hanging.tension == pytest.approx(1.5 * 1.3 * (core + found.fresh.mass) * GRAVITY / sides)
    assert hanging.use == pytest.approx(hanging.tension / (0.9 * 400 * 58 / 1.25))
    assert quarter.shear == pytest.approx(1.5 * 1.3 * core * GRAVITY / bolts)


def test_handle_by_hand(hill: Mould) -> None:
    """12 mm rod of S235 bears 235 x pi 12^3/32 = 39.9 N m; 15 kg with 1.5 over 268 mm: 14.8 N m."""
    found = turning.handle(hill, 15.0)
    assert found.strength == pytest.approx(235 * math.pi * 12**3 / 32)
    assert found.moment == pytest.approx(1.5 * 15 * GRAVITY * 268 / 4)
    assert found.holds == pytest.approx(4 * found.strength / 268)


def test_a_threaded_rod_bears_less_than_a_plain_one(hill: Mould) -> None:
    assert turning.handle(varied(steel={"rod": "M12"}), 15).strength < turning.handle(hill, 15).strength


# ---------------------------------------------------------------- the chapter


def test_examples_hold(either: Mould) -> None:
    assert [r.code for r in handling.chapter(either).requirements if not r.holds] == []


def test_codes(either: Mould) -> None:
    """10.3 is of the bridge alone."""
    codes = [f"10.{i}" for i in range(1, 11) if i != 3 or either.dims.has_bridge]
    assert list(required(either)) == codes


def test_what_a_hoist_does_is_said(hill: Mould) -> None:
    found = required(hill)
    assert "hoist" in found["10.2"].where
    assert "hoist" not in found["10.1"].where
    assert found["10.5"].value == pytest.approx(1.3 * masses(hill).filled.mass)


def test_without_a_hoist_people_turn_it_in_a_stand() -> None:
    found = required(varied(handling={"hoist_capacity": 0.0}))
    assert "10.5" not in found
    assert found["10.4"].holds
    assert found["10.4"].unit == "N"
    assert not found["10.2"].holds
    assert found["10.1"].holds


def test_a_weak_hoist_lifts_no_filled_mould() -> None:
    """300 kg take its 280, but not with 1.3 for starting and stopping: the core goes on it, the mould in the stand."""
    mould = varied(handling={"hoist_capacity": 300.0})
    assert not mould.trunnions.hoisted
    assert required(mould)["10.5"].where == FOOT.name


def test_level_ground_has_no_infinite_factor(hill: Mould) -> None:
    found = required(varied(handling={"slope": 0.0}))
    assert found["10.7"].value == pytest.approx(required(varied(handling={"slope": 0.1}))["10.7"].value)
    assert found["10.7"].limit == found["10.8"].limit == 1.5  # as crane and scaffold rules ask (from memory)
    assert found["10.7"].holds


def test_a_hoist_that_cannot_bear_a_load_is_named() -> None:
    where = required(varied(handling={"hoist_capacity": 20.0, "team": 1}))["10.2"].where
    assert re.search(r"its \d+ kg are too much for the hoist of 20 kg", where)
    none = required(varied(handling={"hoist_capacity": 0.0}))
    assert none["10.2"].where.endswith("; there is no hoist")
    assert not any("too much for the hoist" in found.where for found in none.values())


def test_steep_ground_is_less_safe() -> None:
    factors = [required(varied(handling={"slope": s}))["10.8"].value for s in (1.0, 3.0, 8.0, 15.0)]
    assert factors == sorted(factors, reverse=True)


def test_the_empty_mould_is_cautioned_about(hill: Mould) -> None:
    assert any("empty mould tips" in caution for caution in handling.chapter(hill).cautions)


def test_every_load_stands_in_the_table(either: Mould) -> None:
    table = handling.chapter(either).tables[0]
    names = {row[0] for row in table.rows}
    assert {load.name for load in LOADS if load in carried(either)} <= names
    assert all(len(row) == len(table.head) for row in table.rows)


def test_limit_and_who_lifts_belong_together(bridged_hill: Mould) -> None:
    """A limit is that of the people who are said to lift, not of the largest team that could."""
    made, found = handling.lifts(bridged_hill, masses(bridged_hill)), required(bridged_hill)
    assert made[BRIDGE].team.people == made[LEFT_PANEL].team.people == 1
    assert made[BRIDGE].limit > made[BRIDGE].single
    assert found["10.3"].limit == pytest.approx(made[BRIDGE].single)
    assert found["10.1"].limit == pytest.approx(made[LEFT_PANEL].single)
    assert "one person" in found["10.1"].where


def test_too_few_people_are_said_in_words(hill: Mould) -> None:
    alone = required(varied(handling={"hoist_capacity": 0.0, "team": 1, "lifter": "woman of another age"}))
    assert "one person is too few" in alone["10.1"].where
    assert not alone["10.1"].holds
    high = required(varied(handling={"hoist_capacity": 0.0}))["10.2"]
    assert re.search(r"no people may lift it, with their hands \d+ mm above the ground", high.where)
