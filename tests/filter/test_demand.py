"""Fillings, filters and findings of a household's demand."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom.errors import InputError
from mouldgeom.filter.demand import Demand

BASE: dict[str, Any] = {"people": 6, "per_person": 20, "charge": 12, "rest": 1, "drain": 1.6}

demands = st.builds(
    Demand,
    people=st.integers(1, 200),
    per_person=st.floats(1, 100),
    charge=st.floats(5, 40),
    rest=st.floats(0.5, 60),
    drain=st.floats(0.1, 12),
    waking=st.floats(1, 24),
)


def by_code(demand: Demand) -> dict[str, bool]:
    return {finding.code: finding.holds for finding in demand.findings()}


def test_a_household() -> None:
    demand = Demand(**BASE)
    assert demand.cycle == pytest.approx(2.6)
    assert demand.fillings_possible == 7  # at 0, 2.6 … 15.6 h
    assert demand.fillings_needed == 10
    assert demand.filters == 2
    assert demand.daily_each == 60
    assert demand.lines()[0] == "2 filters are needed."


def test_one_filter_serves() -> None:
    demand = Demand(people=2, per_person=7.5, charge=15, rest=8, drain=2)
    assert (demand.fillings_needed, demand.fillings_possible, demand.filters) == (1, 2, 1)
    assert demand.lines()[0] == "One filter serves."
    assert len(demand.lines()) == 5  # nothing to complain about


@pytest.mark.parametrize(
    ("cycle", "waking", "possible"),
    [
        (8.0, 16.0, 3.0),  # at 0, 8, 16 h; the night leaves 8 h
        (9.0, 16.0, 2.0),
        (12.0, 16.0, 2.0),
        (12.1, 16.0, 1.0),  # a second filling would leave a night of less than a cycle
        (24.0, 16.0, 1.0),
        (30.0, 16.0, 0.5),
        (50.0, 16.0, 1 / 3),
        (1.0, 24.0, 24.0),
        (0.3, 0.9, 4.0),  # 0.9/0.3 is 3 but for the last bit
    ],
)
def test_fillings_possible(cycle: float, waking: float, possible: float) -> None:
    demand = Demand(people=1, per_person=1, charge=1, rest=cycle - 0.1, drain=0.1, waking=waking)
    assert demand.fillings_possible == pytest.approx(possible)


def test_rounding_does_not_add_a_filling() -> None:
    assert Demand(people=3, per_person=0.1, charge=0.1, rest=6, drain=1).fillings_needed == 3


def test_rest_against_published_values() -> None:
    assert by_code(Demand(**{**BASE, "rest": 0.9}))["rest"] is False
    assert by_code(Demand(**{**BASE, "rest": 1.0})) == {"rest": True, "rest-usual": False, "daily-charge": False}
    assert by_code(Demand(**{**BASE, "rest": 12.0, "people": 1})) == {
        "rest": True,
        "rest-usual": True,
        "daily-charge": True,
    }
    assert by_code(Demand(**{**BASE, "rest": 48.5}))["rest"] is False
    assert all(finding.evidence == "memory" for finding in Demand(**BASE).findings() if "rest" in finding.code)


def test_filters_that_are_to_be_cast_change_the_demand() -> None:
    """10 fillings of 12 l a day, 7 a filter: two are needed; one serves 84 l a day and so four people of 20 l."""
    few, more = Demand(**BASE, cast=1), Demand(**BASE, cast=3)
    assert (few.filters, few.count, few.serves, few.daily_each) == (2, 1, 4, 84)
    assert (more.filters, more.count, more.serves, more.daily_each) == (2, 3, 12, 40)
    assert by_code(few)["filters"] is False
    assert by_code(more)["filters"] is True
    assert few.lines()[0] == "Filters to be cast: 1; needed for 6 people: 2; those cast are enough for 4."
    assert any("too few" in line for line in few.lines())
    assert "Each filter then takes 40 l a day." in more.lines()
    assert "filters" not in by_code(Demand(**BASE))


@given(demands, st.integers(1, 400))
def test_those_cast_are_enough_just_where_as_many_as_needed_are_cast(demand: Demand, cast: int) -> None:
    given_ = replace(demand, cast=cast)
    assert cast < demand.filters or given_.serves >= demand.people
    assert given_.daily_each <= demand.fillings_possible * demand.charge * (1 + 1e-9)


@pytest.mark.parametrize(
    "change",
    [{"people": 0}, {"per_person": -1}, {"charge": 0}, {"rest": math.nan}, {"drain": math.inf}, {"waking": 24.1}],
)
def test_refused(change: dict[str, float]) -> None:
    with pytest.raises(InputError, match="demand"):
        Demand(**{**BASE, **change})


@given(demands)
def test_the_filters_meet_the_demand(demand: Demand) -> None:
    charges = demand.filters * demand.fillings_possible
    assert charges * demand.charge >= demand.daily * (1 - 1e-6)
    assert demand.filters == 1 or (demand.filters - 1) * demand.fillings_possible < demand.fillings_needed
    assert demand.fillings_possible * demand.cycle <= 24 * (1 + 1e-6)
    assert demand.lines()


@given(demands, st.integers(1, 50), st.floats(0.1, 20))
def test_more_people_or_longer_rests_never_need_fewer_filters(demand: Demand, people: int, rest: float) -> None:
    values = {name: getattr(demand, name) for name in ("per_person", "charge", "drain", "waking")}
    assert Demand(people=demand.people + people, rest=demand.rest, **values).filters >= demand.filters
    assert Demand(people=demand.people, rest=demand.rest + rest, **values).filters >= demand.filters
