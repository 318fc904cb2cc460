"""Walls of a tank as closed frames.

Numerical example of a rectangular water tank in a course on concrete structures (6 m x 4 m under 2500 kg/m2: corner
5833, middle of the long side 5417, of the short side -833 kg m/m); the square box by the same method (from memory).

Tolerances: the printed digit; worked numbers 0.5 %.
"""

from __future__ import annotations

import pytest

from mouldgeom.filter.concrete import frame_moments, pressure_inside
from mouldgeom.filter.levels import Levels


def test_published_tank() -> None:
    """In metres and kilograms, as printed."""
    found = frame_moments(6, 4, 2500)
    assert found.corner == pytest.approx(5833, abs=0.5)
    assert found.middle_long == pytest.approx(5417, abs=0.5)
    assert found.middle_short == pytest.approx(-833, abs=0.5)


def test_square_box() -> None:
    """Corner p L2/12, middle p L2/24."""
    found = frame_moments(3, 3, 8)
    assert found.corner == pytest.approx(8 * 9 / 12)
    assert found.middle_long == found.middle_short == pytest.approx(8 * 9 / 24)


def test_box_of_400_mm_under_a_metre_of_water() -> None:
    """Worked by hand: M 0.1308 kN m/m, bending 0.218 MPa, pull 1.668 kN/m = 0.028 MPa, in all 0.246 MPa."""
    pressure, span, thick = 9.81e-3, 400.0, 60.0
    moment = frame_moments(span, span, pressure).corner
    assert moment / 1000 == pytest.approx(0.1308, rel=5e-3)
    bending = 6 * moment / thick**2
    pull = pressure * (span - thick) / 2
    assert bending == pytest.approx(0.218, rel=5e-3)
    assert pull == pytest.approx(1.668, rel=5e-3)
    assert bending + pull / thick == pytest.approx(0.246, rel=5e-3)


def test_pressure_of_water_alone() -> None:
    """A metre of water is 9.81 kPa; without sand above the level nothing is added."""
    levels = Levels(0, 0, 0, 0, 500, 520, 1000, 1030)
    assert pressure_inside(levels, 0.4, 0.0) * 1000 == pytest.approx(9.80665, rel=1e-9)
    assert pressure_inside(levels, 0.4, 1000.0) == 0
