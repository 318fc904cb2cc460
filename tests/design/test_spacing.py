"""Supports and bolts along a line."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_specs import profile

from mouldgeom.design.spacing import bolt_positions, elastic_bulges, elastic_lines, support_lines
from mouldgeom.design.supports import panel_bulge
from mouldgeom.errors import GeometryError
from mouldgeom.rules.plate_fields import PressedBar, PressedSheet
from mouldgeom.rules.pressure import liquid_head


def quartic(low: float, high: float, free: bool) -> float:
    """A bulge that grows with the fourth power of the field and with the head above its foot."""
    return ((high - low) / 200) ** 4 * max(0.0, 1200 - low) / 1200


def test_fewest_supports_closer_below() -> None:
    lines = support_lines(40, 900, quartic, lambda low, high: 1.0, end_supported=True)
    edges = [40.0, *lines, 900.0]
    fields = [quartic(a, b, False) for a, b in itertools.pairwise(edges)]
    gaps = [b - a for a, b in itertools.pairwise(edges)]
    assert max(fields) <= 1.0
    assert gaps == sorted(gaps)
    fewer = support_lines(40, 900, quartic, lambda low, high: 8.0, end_supported=True)
    assert len(fewer) < len(lines)


def test_no_line_where_none_may_stand() -> None:
    lines = support_lines(40, 900, quartic, lambda low, high: 1.0, [(150, 260)], end_supported=True)
    assert not any(150 < z < 260 for z in lines)
    assert quartic(40, lines[0], False) <= 1.0


def test_refuses_what_cannot_be_held() -> None:
    with pytest.raises(GeometryError, match="keeps the plate within its bulge"):
        support_lines(40, 900, quartic, lambda low, high: 0.001, end_supported=True, nearest=60)
    with pytest.raises(GeometryError, match="keeps the plate within its bulge"):
        support_lines(40, 900, quartic, lambda low, high: 1.0, [(50, 700)], end_supported=True)


def test_least_asks_for_more_lines() -> None:
    few = support_lines(40, 900, quartic, lambda low, high: 1.0, end_supported=True)
    more = support_lines(40, 900, quartic, lambda low, high: 1.0, end_supported=True, least=len(few) + 2)
    assert len(more) == len(few) + 2


@given(st.floats(200, 600), st.floats(500, 1200), st.floats(2, 60), st.floats(0.4, 2.0))
@profile(60)
def test_stiffeners_that_bend_stay_within_the_limit(wide: float, tall: float, inertia: float, allowed: float) -> None:
    """Sheet and bars together, whatever the bar; if the bars are stiff, no more of them than for stiff lines."""
    fresh = liquid_head(25, tall)
    sheet, side = PressedSheet(fresh, 3.0, 210_000), 40.0
    bulge = panel_bulge(sheet, wide, 40.0, side)
    bar = PressedBar(fresh, wide, wide + 50, side, 210_000, inertia * 1e4)
    try:
        lines = elastic_lines(40.0, bulge, bar, allowed, nearest=60)
    except GeometryError:
        return
    assert max(elastic_bulges(40.0, lines, bulge, bar)) <= allowed
    rigid = support_lines(40.0, tall, bulge, lambda low, high: allowed, end_supported=False, nearest=60)
    assert len(lines) >= len(rigid)
    stiff = PressedBar(fresh, wide, wide + 50, side, 210_000, 1e9)
    assert abs(len(elastic_lines(40.0, bulge, stiff, allowed, nearest=60)) - len(rigid)) <= 1


@given(
    st.floats(0, 100),
    st.floats(101, 1200),
    st.floats(60, 250),
    st.lists(st.tuples(st.floats(0, 1200), st.floats(1, 80)), max_size=4),
    st.sampled_from([0.5, 25.4 / 32]),
    st.floats(20, 60),
)
def test_bolts_keep_out_of_the_way_and_within_the_pitch(
    low: float, high: float, pitch: float, blocked: list[tuple[float, float]], grid: float, least: float
) -> None:
    keep_out = [(start, start + wide) for start, wide in blocked]
    try:
        bolts = bolt_positions(low, high, pitch, keep_out, least, grid)
    except GeometryError:
        return
    assert list(bolts) == sorted(bolts)
    assert all(low - 1e-6 <= z <= high + 1e-6 for z in bolts)
    assert not any(a + 1e-6 < z < b - 1e-6 for z in bolts for a, b in keep_out)
    assert all(z % grid < 1e-5 or z % grid > grid - 1e-5 for z in bolts)
    free = [(low, high)]
    for a, b in keep_out:
        free = [p for s, e in free for p in ((s, min(e, a)), (max(s, b), e)) if p[0] <= p[1]]
    free = [(math.ceil(s / grid - 1e-6) * grid, math.floor(e / grid + 1e-6) * grid) for s, e in free]
    free = [(s, e) for s, e in free if s <= e + 1e-9]
    forced = max([b[0] - a[1] for a, b in itertools.pairwise(sorted(set(free)))], default=0.0)
    for one, other in itertools.pairwise(bolts):
        assert other - one <= max(pitch, forced) + 1e-5


@pytest.mark.parametrize(
    ("grid", "low", "high"), [(0.5, -211.0, 211.0), (25.4 / 32, -209.55, 209.55), (0.5, 54, 872.4)]
)
@pytest.mark.parametrize("pitch", [200.0, 140.0, 60.0])
def test_the_pitch_is_rounded_and_not_each_bolt(grid: float, low: float, high: float, pitch: float) -> None:
    """Equal steps, each an even number of the grid's; a row about the middle stays alike on both sides."""
    bolts = bolt_positions(low, high, pitch, grid=grid)
    steps = {round((b - a) / grid, 4) for a, b in itertools.pairwise(bolts)}
    assert len(steps) == 1
    assert steps.pop() % 2 == 0
    if low == -high:
        assert list(bolts) == [-z for z in reversed(bolts)]
    assert bolts[0] - low < len(bolts) * grid


def test_no_place_for_a_third_bolt_is_a_refusal() -> None:
    """Two bolts stand too far apart, and a third too close to both, however the row is divided."""
    with pytest.raises(GeometryError, match="pitch of 62 mm or less"):
        bolt_positions(60.0, 122.5, 62.117, (), 60.0)
