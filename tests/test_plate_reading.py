"""The quick deflections against the series that they are read off from."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom import plates, rules

side = st.floats(30, 1500)
pressure = st.floats(1e-4, 0.05)


@given(side, side, pressure)
def test_held_plate(one: float, other: float, load: float) -> None:
    exact = rules.plate_deflection_uniform(one, other, load, 5e5)
    assert plates.deflection_held(one, other, load, 5e5) == pytest.approx(exact, rel=1e-6)


@given(side, st.floats(0.15, 6), pressure)
def test_free_top(width: float, ratio: float, load: float) -> None:
    exact = rules.plate_deflection_free_top(width, ratio * width, load, 5e5)
    assert plates.deflection_free_top(width, ratio * width, load, 5e5) == pytest.approx(exact, rel=2.5e-3)
