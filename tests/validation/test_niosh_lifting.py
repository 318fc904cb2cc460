"""Lifting: rows of the project's reference values (NIOSH 94-110 rev. 9/2021, ISO 11228-1), and tipping.

The equation's constants in inches and pounds are no exact conversions of the metric ones: examples printed in pounds
are met within 1 % (Example 4) and, the printed HM of .44 put in for the formula's .43, 2 % (Example 1).
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom.errors import InputError
from mouldgeom.rules import lifting
from mouldgeom.rules.lifting import Lift

INCH = 25.4
POUND = 0.45359237


def test_n1_constants() -> None:
    """N1: LC 23, HM 25/H, VM 1 - 0.003 |V - 75|, DM 0.82 + 4.5/D, AM 1 - 0.0032 A; exact."""
    assert lifting.LOAD_CONSTANT == 23
    assert lifting.horizontal_multiplier(500) == 0.5
    assert lifting.vertical_multiplier(0) == pytest.approx(0.775)
    assert lifting.vertical_multiplier(1750) == pytest.approx(0.7)
    assert lifting.distance_multiplier(450) == pytest.approx(0.92)
    assert lifting.asymmetry_multiplier(135) == pytest.approx(0.568)
    assert lifting.lift_limit(Lift(250, 750, coupling="good")) == pytest.approx(23)


def test_n2_limits() -> None:
    """N2: H, D and F below their least count as it; above their greatest nothing may be lifted; exact."""
    assert lifting.horizontal_multiplier(100) == lifting.horizontal_multiplier(250) == 1
    assert lifting.distance_multiplier(0) == lifting.distance_multiplier(250) == pytest.approx(1)
    assert lifting.frequency_multiplier(0, 1, 800) == lifting.frequency_multiplier(0.2, 1, 800) == 1
    assert lifting.horizontal_multiplier(630) > lifting.horizontal_multiplier(631) == 0
    assert lifting.vertical_multiplier(1751) == lifting.distance_multiplier(1751) == 0
    assert lifting.asymmetry_multiplier(135.1) == 0
    assert lifting.lifting_index(5, 0) == math.inf


def test_n3_hands() -> None:
    """N3: H = 20 + W/2 from 25 cm up, 25 + W/2 below; exact."""
    assert lifting.hands_distance(400, 250) == 400
    assert lifting.hands_distance(400, 249) == 450


def test_n4_grip() -> None:
    """N4: fair 0.95 below 75 cm, else 1; good 1, poor 0.90 (all seen, in the same programs as the table); exact."""
    got = [(lifting.coupling_multiplier(c, 749), lifting.coupling_multiplier(c, 750)) for c in ("fair", "good", "poor")]
    assert got == [(0.95, 1.0), (1.0, 1.0), (0.90, 0.90)]


FREQUENCIES = (0.2, 0.5, *range(1, 16))
PRINTED = {
    # up to 1, 2 and 8 hours, hands at 30 in and above
    1: (1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28),
    2: (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0.23, 0.21, 0.00, 0.00, 0.00),
    8: (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13, 0.00, 0.00, 0.00, 0.00, 0.00),
}
"""NIOSH 94-110 Table 5 as five public programs have it, independently and alike (seen)."""
LOW_ZEROS = {1: 13, 2: 11, 8: 9}
"""Lifts a minute from which those programs have 0 below 30 in."""


@pytest.mark.parametrize("hours", PRINTED)
def test_n5_frequency(hours: int) -> None:
    """N5: every cell of the table, at and below 30 in; exact.  Between rows the lower value is taken."""
    for lifts, value in zip(FREQUENCIES, PRINTED[hours], strict=True):
        assert lifting.frequency_multiplier(lifts, hours, 30 * INCH) == value
        low = 0.0 if lifts >= LOW_ZEROS[hours] else value
        assert lifting.frequency_multiplier(lifts, hours, 29 * INCH) == low
    assert lifting.frequency_multiplier(1.5, hours, 800) == lifting.frequency_multiplier(2, hours, 800)
    assert lifting.frequency_multiplier(16, hours, 800) == 0
    with pytest.raises(InputError):
        lifting.frequency_multiplier(1, 8.1, 800)


def test_n6_example_4() -> None:
    """N6, Example 4, origin: V 22 in, D 37 in, 3/min, up to 1 h, fair: 34.9 lb printed, 34.8 at full precision; 1 %."""
    lift = Lift(250, 22 * INCH, 37 * INCH, frequency=3)
    assert lifting.vertical_multiplier(lift.vertical) == pytest.approx(0.94, abs=5e-3)
    assert lifting.distance_multiplier(lift.travel) == pytest.approx(0.87, abs=5e-3)
    assert lifting.frequency_multiplier(3, 1, lift.vertical) == 0.88
    assert lifting.lift_limit(lift) / POUND == pytest.approx(34.9, rel=0.01)


def test_n7_example_1() -> None:
    """N7, Example 1 (from memory): 44 lb, H 23, V 15, D 48 in, fair: 16.3 lb, LI 2.7; destination V 63: 14.5, 3.0.

    The printed HM .44 is .428 by the metric formula (a known fault of the printed table): with it 2 %, without 5 %.
    """
    for vertical, printed, pounds, index in ((15, 0.89, 16.3, 2.7), (63, 0.75, 14.5, 3.0)):
        limit = lifting.lift_limit(Lift(23 * INCH, vertical * INCH, 48 * INCH)) / POUND
        assert limit == pytest.approx(pounds, rel=0.05)
        corrected = limit * 0.44 / lifting.horizontal_multiplier(23 * INCH)
        assert corrected == pytest.approx(pounds, rel=0.02)
        assert lifting.lifting_index(44, corrected) == pytest.approx(index, rel=0.03)
        assert lifting.vertical_multiplier(vertical * INCH) == pytest.approx(printed, abs=6e-3)
    assert lifting.horizontal_multiplier(23 * INCH) == pytest.approx(0.43, abs=5e-3)
    assert lifting.distance_multiplier(48 * INCH) == pytest.approx(0.86, abs=5e-3)


def test_n8_not_valid_for() -> None:
    """N8: what the equation is not for is said; more than 8 h is refused."""
    assert len(lifting.NOT_FOR) == 6
    with pytest.raises(InputError):
        Lift(300, 700, duration=8.1)


def test_n10_teams() -> None:
    """N10, railway guidance on lifting in teams: 2/3 and 1/2 of the sum; two of 20 kg lift 26.6 (cut); the digit."""
    assert lifting.team_limit(20, 2) == pytest.approx(26.6, abs=0.1)
    assert [lifting.team_share(n) for n in (1, 2, 3)] == pytest.approx([1, 2 / 3, 1 / 2])
    assert lifting.team_limit(20, 2) < lifting.team_limit(20, 3) < lifting.team_limit(20, 4)
    for people in (0, 5):
        with pytest.raises(InputError):
            lifting.team_share(people)


def test_n11_iso() -> None:
    """N11, ISO 11228-1: 25, 20, 20, 15 kg (second hand); exact."""
    people = ("man 20 to 45", "woman 20 to 45", "man of another age", "woman of another age")
    assert [lifting.reference_mass(p) for p in people] == [25, 20, 20, 15]


def test_who_lifts() -> None:
    """At best one lifts 23 kg, two 30.7, four 36.8; above that a hoist; an older woman 15, and no more than two fit."""
    best = Lift(250, 750, coupling="good")
    got = {mass: lifting.who_lifts(mass, best).words for mass in (23, 23.1, 30.6, 30.7, 36.8, 36.9)}
    assert list(got.values()) == ["one person", "two people", "two people", "four people", "four people", "hoist"]
    assert lifting.who_lifts(16, best, "woman of another age").people == 2
    refused = lifting.who_lifts(35, best, most_people=2)
    assert (refused.words, refused.index > 1) == ("hoist", True)
    assert lifting.who_lifts(1, Lift(700, 750)).index == math.inf


def test_tipping() -> None:
    """Statics: 100 kg, 300 x 900 mm, pushed at the top: 980.665 x 150/900 N; it balances at atan(150/450); 1e-9."""
    assert lifting.tipping_force(100, 150, 450, 900) == pytest.approx(980.665 / 6)
    angle = lifting.stability_angle(150, 450)
    assert angle == pytest.approx(18.43494882)
    assert lifting.tipping_force(100, 150, 450, 900, angle) == pytest.approx(0, abs=1e-9)
    assert lifting.tipping_moment(100, 150, 450, angle + 1) < 0
    assert lifting.slope_safety(150, 450, angle) == pytest.approx(1)
    assert lifting.slope_safety(150, 450, 0) == math.inf
    for wrong in (lambda: lifting.tipping_force(1, 1, 1, 0), lambda: lifting.stability_angle(-1, 1)):
        with pytest.raises(InputError):
            wrong()


@given(st.floats(250, 630), st.floats(0, 1750), st.floats(1, 200), st.floats(0, 15))
def test_more_is_never_easier(horizontal: float, vertical: float, mass: float, lifts: float) -> None:
    """A heavier piece never takes fewer people; reaching further or lifting more often never raises the limit."""
    lift = Lift(horizontal, vertical, frequency=lifts)
    rank = {1: 1, 2: 2, 4: 3, 0: 4}
    assert rank[lifting.who_lifts(mass, lift).people] <= rank[lifting.who_lifts(1.5 * mass, lift).people]
    assert lifting.lift_limit(Lift(horizontal + 10, vertical, frequency=lifts)) <= lifting.lift_limit(lift)
    assert lifting.lift_limit(Lift(horizontal, vertical, frequency=lifts + 1)) <= lifting.lift_limit(lift)
