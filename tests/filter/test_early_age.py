"""Young concrete: never above the standard's curve, stronger with age and warmth, and refused before half a day."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from random_specs import changed, profile

from mouldgeom import build, load
from mouldgeom.design.dimensions import derive
from mouldgeom.errors import InputError, SpecError
from mouldgeom.filter.early_age import (
    CEMENTS,
    LEAST_AGE,
    age_at_20,
    age_factor,
    aged_modulus,
    aged_tension,
    early_factor,
    factor_at,
    hours_until,
    mean_strength,
    modulus_at,
    rate_of_ageing,
    strength_at,
    tension_at,
)
from mouldgeom.spec import Spec
from mouldgeom.spec.fields import ConcreteGroup
from mouldgeom.strength.hardening import TEMPERATURES, chapter
from mouldgeom.verdict import Verdict

HILL = load("hill-example")
HOURS = st.floats(8, 2000)
WARMTH = st.floats(5, 40)


MIXES = st.builds(
    ConcreteGroup, strength=st.floats(12, 50), cement=st.sampled_from(sorted(CEMENTS)), curing_temperature=WARMTH
)


def requirement(code: str, **fields: object) -> Verdict:
    mould = build(changed(HILL, {f"concrete.{name}": value for name, value in fields.items()})).model
    (found,) = [r for r in chapter(mould).requirements if r.code == code]
    return found


# ---------------------------------------------------------------- the rule


@given(MIXES, HOURS)
@profile(200)
def test_never_above_the_curve_of_the_standard(mix: ConcreteGroup, hours: float) -> None:
    curve = age_factor(age_at_20(hours, mix.curing_temperature), CEMENTS[mix.cement].rate)
    assert factor_at(mix, hours) <= curve
    assert strength_at(mix, hours) <= mean_strength(mix.strength) * curve
    assert tension_at(mix, hours) <= aged_tension(mix.strength, curve) * (1 + 1e-12)
    assert modulus_at(mix, hours) <= aged_modulus(mix.strength, curve)


@given(MIXES, HOURS, HOURS)
@profile(200)
def test_grows_with_age(mix: ConcreteGroup, one: float, other: float) -> None:
    young, old = sorted((one, other))
    assume(old > young * (1 + 1e-9))
    for value in (strength_at, tension_at, modulus_at):
        assert value(mix, young) < value(mix, old)


@given(MIXES, HOURS, WARMTH, WARMTH)
@profile(200)
def test_grows_with_warmth(mix: ConcreteGroup, hours: float, one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    assume(warm > cold + 1e-6)
    assert rate_of_ageing(cold) < rate_of_ageing(warm)
    at = [mix.model_copy(update={"curing_temperature": warmth}) for warmth in (cold, warm)]
    assert strength_at(at[0], hours) < strength_at(at[1], hours)


@given(st.floats(0.5, 25))
@profile(100)
def test_a_faster_cement_is_never_weaker_and_an_unknown_one_is_the_slowest(days: float) -> None:
    """Up to 25 days: after that the hyperbola of Type III lies by less than a thousandth below the curve of class N."""
    by_class = [early_factor(days, CEMENTS[name]) for name in ("any", "32.5N", "42.5N", "52.5R")]
    assert by_class == sorted(by_class)
    assert by_class[0] == by_class[1]


def test_the_rule_meets_the_standard_at_28_days() -> None:
    for cement in CEMENTS.values():
        assert early_factor(28, cement) == 1.0
        assert early_factor(27.999, cement) == pytest.approx(1.0, abs=3e-3)
        assert early_factor(90, cement) == age_factor(90, cement.rate)


# ---------------------------------------------------------------- hours


@given(MIXES, st.floats(0.01, 1.0))
@profile(200)
def test_hours_until_a_strength_are_the_least(mix: ConcreteGroup, share: float) -> None:
    needed = share * mean_strength(mix.strength)
    hours = hours_until(needed, mix)
    assert strength_at(mix, hours * (1 + 1e-9)) >= needed * (1 - 1e-9)
    if 24 * age_at_20(hours, mix.curing_temperature) > LEAST_AGE * (1 + 1e-9):
        assert strength_at(mix, hours * 0.999) < needed


@pytest.mark.parametrize("strength", [0.0, -1.0, 28.1, math.nan])
def test_no_hours_until_what_is_never_there(strength: float) -> None:
    """C20 has a mean of 28 MPa."""
    with pytest.raises(InputError, match="28 MPa at 28 days"):
        hours_until(strength, ConcreteGroup(strength=20))


# ---------------------------------------------------------------- refused


@pytest.mark.parametrize(("age", "warmth", "hours"), [(8, 20, "22"), (12, 10, "44.2"), (24, 5, "75.2")])
def test_opened_too_early_is_refused_with_the_hours_of_that_warmth(age: float, warmth: float, hours: str) -> None:
    young = changed(HILL, {"concrete.stripping_age": age, "concrete.curing_temperature": warmth})
    with pytest.raises(SpecError) as refusal:
        derive(young)
    assert refusal.value.name == "concrete.stripping_age"
    assert refusal.value.value == f"{age} h"
    assert "before 12 h" in refusal.value.limit
    assert refusal.value.remedy == (
        f"Choose a later stripping at {warmth} C (concrete.stripping_age = {hours} h)."
    )  # fmt: skip
    mended = changed(young, {"concrete.stripping_age": float(hours)})
    assert strength_at(mended.concrete, float(hours)) >= mended.concrete.drawing_strength
    derive(mended)


def test_half_a_day_at_20_degrees_is_not_refused() -> None:
    derive(changed(HILL, {"concrete.stripping_age": LEAST_AGE}))
    derive(changed(HILL, {"concrete.stripping_age": 8, "concrete.curing_temperature": 32}))


def test_a_strength_out_of_reach_still_leaves_a_remedy() -> None:
    """15 MPa from C12 at 5 C take weeks: the remedy is the age that is not refused, and the check tells the rest."""
    slow: dict[str, float] = {"strength": 12, "curing_temperature": 5, "drawing_strength": 15, "stripping_age": 24}
    with pytest.raises(SpecError, match=r"concrete\.stripping_age = 41\.1 h"):
        derive(changed(HILL, {f"concrete.{name}": value for name, value in slow.items()}))
    assert not requirement("4.7", **slow | {"stripping_age": 41.1}).holds


# ---------------------------------------------------------------- required


@pytest.mark.parametrize(
    ("code", "field", "fields"),
    [
        ("4.7", "drawing_strength", {"stripping_age": 18}),
        ("4.11", "turning_strength", {"stripping_age": 18}),
        ("4.12", "lifting_strength", {"strength": 12, "curing_temperature": 5, "stripping_age": 48}),
    ],
)
def test_too_weak_is_seen_and_less_asked_for_holds(code: str, field: str, fields: dict[str, float]) -> None:
    found = requirement(code, **fields)
    assert not found.holds
    assert found.limit == getattr(ConcreteGroup(), field)
    assert requirement(code, **fields, **{field: math.floor(found.value * 10) / 10}).holds


def test_the_table_of_hours_is_of_these_functions_and_rounded_up(hill_spec: Spec) -> None:
    (table,) = chapter(build(hill_spec).model).tables
    mix = hill_spec.concrete
    for warmth, (shown, *hours) in zip(TEMPERATURES, table.rows, strict=True):
        assert shown == warmth
        exact = [
            hours_until(f, mix, warmth) for f in (mix.turning_strength, mix.drawing_strength, mix.lifting_strength)
        ]
        assert all(e - 1e-6 <= float(h) < e + 0.1 for h, e in zip(hours, exact, strict=True))
    columns = list(zip(*table.rows, strict=True))[1:]
    assert all(list(column) == sorted(column, reverse=True) for column in columns), "colder takes longer"
