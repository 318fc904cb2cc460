"""The rules by themselves: small cases with known answers, limits, and a source in each docstring."""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom import rules, tables
from mouldgeom.errors import InputError, UnknownDesignationError
from mouldgeom.rules import shop

PUBLIC = [
    function
    for name, function in inspect.getmembers(shop, inspect.isfunction)
    if not name.startswith("_") and function.__module__ == shop.__name__
]
SIZES = st.floats(0.5, 2000)


def test_the_promised_rules_exist() -> None:
    assert {function.__name__ for function in PUBLIC} == {
        *("end_distance_least", "pitch_least", "shear_factor"),
        *("bolt_shear_resistance", "bolt_tension_resistance", "bearing_resistance", "punching_resistance"),
        *("shear_tension_use", "least_cut_hole", "fillet_leg_least", "fillet_throat", "fillet_resistance_per_mm"),
        "flare_throat",
        *("hydrostatic_pressure", "plate_rigidity"),
        *("aggregate_greatest", "aggregate_greatest_beside_insert", "least_draft_steel", "jack_screw_hole"),
        *("forcing_screw_hole", "forcing_rim"),
        *("socket_outside_diameter", "least_shell_thickness", "socket_depth"),
        "runner_overhang",
    }


@pytest.mark.parametrize("rule", PUBLIC, ids=lambda rule: rule.__name__)
def test_each_rule_has_its_source_on_a_line_of_its_own(rule: object) -> None:
    lines = (inspect.getdoc(rule) or "").splitlines()
    assert sum(line.startswith("Source: ") and len(line) > 20 for line in lines) == 1


@pytest.mark.parametrize("rule", PUBLIC, ids=lambda rule: rule.__name__)
def test_no_bare_float_in_a_signature(rule: object) -> None:
    assert callable(rule)
    signature = inspect.signature(rule)
    annotations = [signature.return_annotation, *(p.annotation for p in signature.parameters.values())]
    assert not {"float", "int"} & set(annotations)


@pytest.mark.parametrize(
    ("process", "thickness", "least"),
    [
        ("plasma", 3.0, 6.0),
        ("plasma", 6.0, 9.0),
        ("plasma", 10.0, 15.0),
        ("laser", 0.5, 1.0),
        ("laser", 6.0, 6.0),
        ("oxyfuel", 3.0, 12.0),
        ("oxyfuel", 10.0, 20.0),
    ],
)
def test_least_cut_hole(process: str, thickness: float, least: float) -> None:
    assert rules.least_cut_hole(thickness, process) == least


def test_least_cut_hole_of_an_unknown_process() -> None:
    with pytest.raises(UnknownDesignationError, match="plasma"):
        rules.least_cut_hole(3.0, "plasmaa")


def test_a_bolt_hole_of_the_shop_can_be_cut_by_plasma() -> None:
    assert rules.least_cut_hole(6.0, "plasma") <= tables.bolt("M10").hole_medium_mm


def test_hydrostatic_pressure() -> None:
    assert rules.hydrostatic_pressure(25.0, 1000.0) == pytest.approx(0.025)
    # 0.87 m of concrete at 24 kN/m3: 20.9 kPa
    assert rules.hydrostatic_pressure(24.0, 870.0) * 1000 == pytest.approx(20.88)
    assert rules.hydrostatic_pressure(24.0, 0.0) == 0


@pytest.mark.parametrize(("wall", "stone"), [(50, 10), (60, 12)])
def test_aggregate_for_a_wall(wall: float, stone: float) -> None:
    """ACI 318-19 26.4.2.1(a)(5), worked in its published answers: 50 mm wall 10 mm, 60 mm wall 12 mm."""
    assert rules.aggregate_greatest(wall) == stone


def test_aggregate_beside_an_insert() -> None:
    assert rules.aggregate_greatest_beside_insert(20) == 15


def test_least_draft() -> None:
    assert rules.least_draft_steel() == pytest.approx(0.5968, abs=1e-4)
    assert math.tan(math.radians(rules.least_draft_steel())) * 96 == pytest.approx(1)


def test_shop_rules() -> None:
    assert rules.jack_screw_hole(25) == 29
    assert rules.socket_outside_diameter(16) == 24
    assert rules.socket_depth() == 30
    # 3/16 in counts as 5 mm; 7 gauge, 0.1793 in, does not
    assert [rules.runner_overhang(t, 40) for t in (3.0, 25.4 * 0.1793, 25.4 * 3 / 16, 5.0)] == [80, 80, 0, 0]
    assert rules.least_shell_thickness() <= tables.sheet("3 mm").thickness_mm
    assert rules.least_shell_thickness() <= tables.sheet("1/8 in").thickness_mm
    assert rules.least_shell_thickness() > tables.sheet("2.5 mm").thickness_mm


@pytest.mark.parametrize(
    ("diameter", "system", "rim"),
    [(16.0, "metric", 33.0), (20.0, "metric", 37.0), (24.0, "metric", 41.0), (25.4, "inch", 43.3375)],
)
def test_rim_for_the_pad_of_a_forcing_screw(diameter: float, system: str, rim: float) -> None:
    """By hand: 5 mm of arris at each edge, and twice half a pad: half the hole and 2.5 mm, up to what is marked.

    M24: 13 + 2.5 = 15.5 mm, marked as it is.  1 in: 27.384/2 + 2.5 = 16.19 mm, which is 20.4 of 1/32 in; 21 are marked.
    """
    assert rules.forcing_rim(diameter, system) == pytest.approx(rim, abs=1e-9)


def test_shear_factor_left_out_is_the_safe_one() -> None:
    assert rules.bolt_shear_resistance(400, 58) == 0.5 * 400 * 58 / 1.25
    assert rules.shear_factor(" 8.8 ") == 0.6
    assert rules.shear_factor("unknown") == 0.5


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_impossible_numbers_are_refused(bad: float) -> None:
    calls: tuple[Callable[[], object], ...] = (
        lambda: rules.shear_tension_use(1, bad, 1, 1),
        lambda: rules.shear_tension_use(1, 1, 1, bad),
        lambda: rules.bearing_resistance(bolt_ultimate=1, plate_ultimate=1, diameter=1, hole=bad, thickness=1),
    )
    for call in calls:
        with pytest.raises(InputError, match="must be above zero"):
            call()


@given(SIZES, SIZES, SIZES)
def test_least_leg_is_between_the_table_and_the_thinner_part(one: float, other: float, more: float) -> None:
    leg = rules.fillet_leg_least(one, other)
    assert 0 < leg <= min(one, other, 8.0)
    assert leg <= rules.fillet_leg_least(one + more, other + more)


@given(st.floats(1, 60), st.floats(1, 60), st.floats(1, 100))
def test_bearing_grows_with_the_end_distance(diameter: float, thickness: float, end: float) -> None:
    def bearing(end_distance: float) -> float:
        return rules.bearing_resistance(
            bolt_ultimate=400,
            plate_ultimate=360,
            diameter=diameter,
            hole=1.1 * diameter,
            thickness=thickness,
            end_distance=end_distance,
        )

    assert 0 <= bearing(end) <= bearing(2 * end) <= bearing(math.inf)
