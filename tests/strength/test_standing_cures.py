"""Cures of tipping: what is printed was tried, is the least that serves, and says so where nothing serves."""

from __future__ import annotations

import re

import pytest

from mouldgeom import Spec
from mouldgeom.model.assembly import build
from mouldgeom.strength.handling import chapter
from mouldgeom.verdict import Verdict

STEEP = {"handling.slope": 10}


def standing(spec: Spec) -> dict[str, Verdict]:
    return {one.code: one for one in chapter(build(spec)).requirements}


def test_a_filter_that_tips_on_steep_ground_is_cured_by_what_is_printed(hill_spec: Spec) -> None:
    """The flattest change of ground and of wall, each by itself, makes the check hold; half a degree more does not."""
    failing = standing(hill_spec.changed(STEEP))["10.10"]
    assert not failing.holds
    cures = re.findall(r"\((\w+\.\w+) = ([\d.]+) ", str(failing.cure))
    assert "handling.slope" in dict(cures)
    for field, value in cures:
        assert standing(hill_spec.changed({**STEEP, field: float(value)}))["10.10"].holds
    steeper = float(dict(cures)["handling.slope"]) + 0.5
    assert not standing(hill_spec.changed({"handling.slope": steeper}))["10.10"].holds


def test_what_holds_has_no_cure(hill_spec: Spec) -> None:
    assert {one.cure for one in standing(hill_spec).values()} == {""}


def test_the_mould_on_a_slope_is_cured_too(hill_spec: Spec, monkeypatch: pytest.MonkeyPatch) -> None:
    """No ground that a specification may have tips it: the factor asked for is made greater."""
    monkeypatch.setattr("mouldgeom.strength.handling.SLOPE_FACTOR", 5.5)
    found = standing(hill_spec.changed({"handling.slope": 5}))
    for code in ("10.7", "10.8"):
        assert not found[code].holds
        (slope,) = re.findall(r"handling\.slope = ([\d.]+) deg", str(found[code].cure))
        assert standing(hill_spec.changed({"handling.slope": float(slope)}))[code].holds


def test_where_nothing_serves_it_is_tied_down(hill_spec: Spec, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("mouldgeom.strength.handling.PUSH", 5000.0)
    assert standing(hill_spec)["10.10"].cure.startswith("Level the ground, and tie")
