"""Household demand: Sphere 2011 table (via Open University), and a WHO answer on water quantity, quoted.

Tolerance: none, the numbers are transcribed; the worked check is exact.
"""

from __future__ import annotations

from mouldgeom.filter import demand
from mouldgeom.filter.demand import NEEDS, TESTED_DAILY, Demand


def test_published_needs() -> None:
    needs = {need.what: (need.low, need.high) for need in NEEDS}
    assert needs["survival, all uses"] == (7.5, 15)
    assert needs["drinking and food"] == (2.5, 3)
    assert needs["basic hygiene"] == (2, 6)
    assert needs["cooking"] == (3, 6)
    assert needs["most people's least"] == (7.5, 7.5)
    assert needs["emergency"] == (15, 15)
    assert needs["with hygiene"] == (20, 20)
    assert all(need.evidence == "seen" for need in NEEDS)


def test_parts_add_up_to_the_survival_total() -> None:
    """The table's total is the sum of its parts: 2.5 + 2 + 3 and 3 + 6 + 6."""
    parts = NEEDS[:3]
    assert (sum(part.low for part in parts), sum(part.high for part in parts)) == (NEEDS[3].low, NEEDS[3].high)


def test_rests_of_the_papers() -> None:
    """Papers on household filters filled now and then (from memory): 1 h at least, 48 h at most, 6 to 12 h usual."""
    assert (demand.LEAST_REST, demand.LONGEST_REST, demand.USUAL_REST) == (1, 48, (6, 12))
    assert demand.WAKING == 16, "a night of 8 h"


def test_six_people_at_20_litres() -> None:
    """120 l/d."""
    asked = Demand(people=6, per_person=20, charge=12, rest=6, drain=1.6)
    assert asked.daily == 120
    assert asked.fillings_needed == 10


def test_daily_charge_of_the_paper_is_named() -> None:
    """Water Sci. Technol.: Water Supply 14(4):643, 2014 compares 20 and 40 l/d: twice costs at least 1 log10."""
    assert TESTED_DAILY == 20
    once = Demand(people=1, per_person=20, charge=20, rest=6, drain=2)
    twice = Demand(people=2, per_person=20, charge=20, rest=6, drain=2)
    assert twice.filters == 1
    (caution,) = [finding for finding in twice.findings() if finding.code == "daily-charge"]
    assert not caution.holds
    assert "14(4):643, 2014" in caution.ends[0].source
    assert all(finding.holds for finding in once.findings())
