"""The quick deflections against the series that they are read off from."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom.rules import bending

side = st.floats(30, 1500)
pressure = st.floats(1e-4, 0.05)
RIGIDITY = 5e5


@given(side, side, pressure)
def test_held_plate(one: float, other: float, load: float) -> None:
    short, long = sorted((one, other))
    exact = bending.greatest(bending.profile(long / short, load, load, free_top=False).deflection)[0]
    found = bending.deflection_linear(short, long, load, load, RIGIDITY)
    assert found == pytest.approx(exact * short**4 / RIGIDITY, rel=1e-6)


@given(side, st.floats(0.15, 6), pressure)
def test_free_top(width: float, ratio: float, load: float) -> None:
    exact = bending.greatest(bending.profile(ratio, load, 0.0, free_top=True).deflection)[0]
    found = bending.deflection_linear(width, ratio * width, load, 0.0, RIGIDITY, free_top=True)
    assert found == pytest.approx(exact * width**4 / RIGIDITY, rel=2.5e-3)


@given(st.floats(0.5, 2000), st.floats(0.5, 2000), st.floats(0.5, 2000))
def test_a_larger_plate_bends_more(one: float, other: float, more: float) -> None:
    short, long = sorted((one, other))
    first = bending.deflection_linear(short, long, 0.01, 0.01, RIGIDITY)
    assert 0 < first < bending.deflection_linear(short + more, long + more, 0.01, 0.01, RIGIDITY)
    assert first <= 5 / 384 * 0.01 * short**4 / RIGIDITY * (1 + 1e-6)


@given(st.floats(50, 2000), st.floats(0.2, 5))
def test_a_free_edge_bends_more_than_a_held_one(width: float, ratio: float) -> None:
    free, held = (
        bending.deflection_linear(width, width * ratio, 0.02, 0.0, RIGIDITY, free_top=top) for top in (True, False)
    )
    assert free > held
