"""Pins, closing bars, hangers and the stand: where they are, what they bear by hand, and that each check can fail."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mouldgeom import load
from mouldgeom.geometry.placement import Placement
from mouldgeom.identity import APART, FOOT, Role, Side
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.turning_places import place_trestles
from mouldgeom.model.weights import part_corners
from mouldgeom.spec import unchecked
from mouldgeom.strength import trunnions
from mouldgeom.strength.masses import masses
from mouldgeom.tables import rod, sheet
from mouldgeom.units import GRAVITY
from mouldgeom.verdict import Verdict

EXAMPLES = ("hill-example", "inch-example", "short-example")


def standing(name: str = "hill-example", **fields: object) -> Mould:
    """An example without a hoist."""
    return build(unchecked(load(name), "handling", hoist_capacity=0.0, **fields))


@pytest.fixture(scope="module")
def stood() -> Mould:
    return standing()


def required(mould: Mould) -> dict[str, Verdict]:
    return {verdict.code: verdict for verdict in trunnions.chapter(mould).requirements}


def moved(mould: Mould, **changes: object) -> Mould:
    """The same parts, told to stand elsewhere or to be of other steel."""
    return replace(mould, trunnions=replace(mould.trunnions, **changes))


# ---------------------------------------------------------------- where they are


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("hoist", [0.0, 500.0])
def test_the_pins_are_above_the_centre_of_gravity(name: str, hoist: float) -> None:
    """15 mm to the next millimetre, with all that goes round weighed, and on both sides alike."""
    mould = build(unchecked(load(name), "handling", hoist_capacity=hoist))
    filled = masses(mould).filled
    pins = [mould.piece(Role.TRUNNION, side).placement.origin for side in (Side.LEFT, Side.RIGHT)]
    assert all(14.5 <= z - filled.centre[2] <= 16.5 for _, _, z in pins)
    assert all(abs(y - filled.centre[1]) <= 2.5 for _, y, _ in pins)
    assert pins[0][0] == -pins[1][0]
    assert mould.trunnions.hoisted is (hoist > 0)


def test_hoist_or_stand_follows_from_the_hoist() -> None:
    """1.3 times the filled mould is what it must take."""
    mass = masses(standing()).filled.mass
    for hoist, taken in ((1.3 * mass - 5, False), (1.3 * mass + 5, True)):
        mould = build(unchecked(load("hill-example"), "handling", hoist_capacity=hoist))
        roles = {piece.id.role for piece in mould.pieces()}
        assert (Role.HANGER in roles, Role.SADDLE in roles) == (taken, not taken)


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_goes_round_clears_ground_ties_and_trestles(name: str) -> None:
    """Turned by every degree, no corner comes below the ties or out to the saddles."""
    mould = standing(name)
    at, stand = mould.trunnions, place_trestles(mould.dims, mould.trunnions)
    pieces = list(mould.pieces())
    corners = [
        corner for p in pieces if not p.unit.within(*APART) and p.id.role is not Role.TRUNNION
        for corner in part_corners(p.part, p.placement)
    ]  # fmt: skip
    ties = [c for p in pieces if p.id.role is Role.STAND_TIE for c in part_corners(p.part, p.placement)]
    top, near = max(z for _, _, z in ties), min(abs(y - at.y) for _, y, _ in ties)
    saddle = mould.piece(Role.SADDLE, Side.LEFT).placement.origin[0]
    assert max(abs(x) for x, _, _ in corners) < saddle
    for degree in range(360):
        turn = math.radians(degree)
        for _, y, z in corners:
            across = (y - at.y) * math.cos(turn) - (z - at.z) * math.sin(turn)
            level = at.z + (y - at.y) * math.sin(turn) + (z - at.z) * math.cos(turn)
            assert level > stand.ground + 20
            assert abs(across) < near or level > top


def test_half_a_turn_on_the_lock_rods_meet_their_holes(stood: Mould) -> None:
    plate = stood.piece(Role.PIN_PLATE, Side.LEFT).part
    holes = sorted((hole.x, hole.y) for hole in plate.holes)
    x, y = holes[1]
    turned = sorted((2 * x - a, 2 * y - b) for a, b in holes)
    assert [value for hole in turned for value in hole] == pytest.approx([value for hole in holes for value in hole])


# ---------------------------------------------------------------- what they bear


def test_the_pin_by_hand(hill: Mould) -> None:
    """Half of the filled mould with 1.5 x 1.3, at the middle of the hanger; 1.5 Wel fy."""
    at = hill.trunnions
    force = 1.5 * 1.3 * masses(hill).filled.mass * GRAVITY / 2
    lever = at.bears - at.face - at.sheet.thickness_mm
    resistance = 1.5 * math.pi / 32 * at.diameter**3 * 235
    assert required(hill)["10.13"].value == pytest.approx(force * lever / resistance)


def test_closing_bars_carry_concrete_and_core(hill: Mould) -> None:
    """The bolt legs by hand: a quarter of 1.5 x 1.3 x (concrete + core and base) at the gauge line."""
    found, angle, bolt = masses(hill), hill.dims.stock.angle, hill.dims.stock.bolt
    pull = 1.5 * 1.3 * (found.fresh.mass + found.carried[FOOT].lump.mass) * GRAVITY / 4
    lever = angle.gauge_mm - angle.thickness_mm
    stress = pull * lever / ((bolt.washer_outside_mm + 2 * lever) * angle.thickness_mm**2 / 4)
    assert required(hill)["10.20"].value == pytest.approx(stress / 235)


def test_the_spreader_by_hand(hill: Mould) -> None:
    """Slings at 60 deg over it carry 1.155 times the plumb legs; the legs are longer than what goes round."""
    mass = masses(hill).filled.mass
    rig = trunnions.rig(hill, mass)
    assert rig.leg_force == pytest.approx(1.3 * mass * GRAVITY / 2)
    assert rig.sling_force == pytest.approx(rig.leg_force * 1.1547, rel=1e-4)
    assert rig.leg >= hill.trunnions.reach + 100
    assert rig.spread == 2 * hill.trunnions.bears


# ---------------------------------------------------------------- each check can fail


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("hoist", [0.0, 500.0])
def test_examples_hold(name: str, hoist: float) -> None:
    mould = build(unchecked(load(name), "handling", hoist_capacity=hoist))
    found = required(mould)
    assert [code for code, verdict in found.items() if not verdict.holds] == []
    common = [f"10.{n}" for n in range(11, 21)]
    assert list(found) == [*common, *(["10.21"] if hoist else ["10.22", "10.23", "10.24", "10.25"])]


THIN = {"sheet": sheet("3 mm"), "rod": rod("8 mm")}


@pytest.mark.parametrize(
    ("code", "changes"),
    [
        ("10.11", {"z": 430.0}),
        ("10.12", {"y": 20.0}),
        ("10.13", {"rod": rod("8 mm")}),
        ("10.14", {"rod": rod("8 mm"), "sheet": sheet("3 mm")}),
        ("10.15", {"rod": rod("8 mm")}),
        ("10.16", {"sheet": sheet("3 mm")}),
        ("10.17", {"bears": 450.0, "half": 10.0}),
        ("10.18", {"bears": 2500.0}),
        ("10.22", THIN),
        ("10.25", {"y": 60.0}),
    ],
)
def test_a_check_fails_where_a_part_is_too_weak_or_out_of_place(
    code: str, changes: dict[str, object], stood: Mould
) -> None:
    assert required(stood)[code].holds
    assert not required(moved(stood, **changes))[code].holds


def test_a_heavier_load_breaks_bolts_bars_trestle_and_hanger(
    monkeypatch: pytest.MonkeyPatch, hill: Mould, stood: Mould
) -> None:
    """The same parts under twenty times the weight."""
    monkeypatch.setattr(trunnions, "GRAVITY", 20 * GRAVITY)
    monkeypatch.setattr("mouldgeom.model.turning_places.GRAVITY", 20 * GRAVITY)
    monkeypatch.setattr("mouldgeom.strength.turning.GRAVITY", 20 * GRAVITY)
    heavy = required(stood) | required(hill)
    assert not any(heavy[code].holds for code in ("10.19", "10.20", "10.21", "10.23"))


def test_a_stand_on_steep_ground_tips(stood: Mould) -> None:
    """The feet of level ground, pushed on a slope of 15 deg."""
    steep = stood.dims.spec.handling.model_copy(update={"slope": 15.0})
    spec = stood.dims.spec.model_copy(update={"handling": steep})
    book = trunnions._Book(replace(stood, dims=replace(stood.dims, spec=spec)))
    assert book.steady(place_trestles(stood.dims, stood.trunnions))[0] < 1.5


def test_something_that_sticks_out_hits_the_ground(stood: Mould) -> None:
    """A closing bar moved up by 100 mm."""
    bars = []
    for bar in stood.bars:
        if bar.stands[0].id.role is Role.CLOSING_BAR:
            stands = []
            for stand in bar.stands:
                (x, y, z), at = stand.placement.origin, stand.placement
                stands.append(replace(stand, placement=Placement((x, y, z + 200), at.x, at.y)))
            bar = replace(bar, stands=tuple(stands))
        bars.append(bar)
    assert not required(replace(stood, bars=tuple(bars)))["10.25"].holds
