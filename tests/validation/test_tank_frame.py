"""Walls of a tank as closed frames.

Numerical example of a rectangular water tank in a course on concrete structures (6 m x 4 m under 2500 kg/m2: corner
5833, middle of the long side 5417, of the short side -833 kg m/m); the square box by the same method (from memory).
Pressure of sand under water: Jaky, K0 = 1 - sin phi, and the buoyant weight (Gs - 1) gw/(1 + e) of the textbooks on
soil mechanics (both from memory), with Gs 2.65 of Davis (2010), Table 11-1.

Tolerances: the printed digit; worked numbers 0.5 %.
"""

from __future__ import annotations

import math

import pytest

from mouldgeom.filter.concrete import corner_moment, pressure_inside, wall_stress
from mouldgeom.filter.levels import Cavity, Levels
from mouldgeom.spec import load

METRE = Levels(0, 0, 0, 0, 500, 520, 1000, 1030)
"""A metre of water and no sand."""


def test_published_tank() -> None:
    """In metres and kilograms, as printed."""
    corner = corner_moment(6, 4, 2500)
    assert corner == pytest.approx(5833, abs=0.5)
    assert 2500 * 6**2 / 8 - corner == pytest.approx(5417, abs=0.5), "the middle of the long side"
    assert 2500 * 4**2 / 8 - corner == pytest.approx(-833, abs=0.5), "of the short side"


def test_square_box() -> None:
    """Corner p L2/12."""
    assert corner_moment(3, 3, 8) == pytest.approx(8 * 9 / 12)


def test_box_of_400_mm_under_a_metre_of_water() -> None:
    """Worked by hand: M 0.1308 kN m/m, bending 0.218 MPa, pull 1.668 kN/m = 0.028 MPa, in all 0.246 MPa.

    400 mm from middle to middle of walls of 60 mm; the same where the long side is given as the depth.
    """
    assert corner_moment(400, 400, 9.81e-3) / 1000 == pytest.approx(0.1308, rel=5e-3)
    for width, depth in ((340, 340), (340, 300), (300, 340)):
        found = wall_stress(load("hill-example"), METRE, Cavity(width, depth, 0, 0, 520, 1030), lambda _: 60.0)
        assert (found.level, found.thickness) == (0, 60)
        if width == depth:
            assert found.pressure * 1000 == pytest.approx(9.81, abs=0.005)
            assert found.stress == pytest.approx(0.246, rel=5e-3)
        else:
            # corner 9.80665e-3 (400^3 + 360^3)/(12 x 760) = 118.99 N mm/mm, bending 0.1983, pull 0.0278 MPa
            assert found.stress == pytest.approx(0.2261, rel=5e-4)


def test_pressure_of_water_alone() -> None:
    """A metre of water is 9.81 kPa; without sand above the level nothing is added."""
    assert pressure_inside(METRE, 0.4, 0.0) * 1000 == pytest.approx(9.80665, rel=1e-9)
    assert pressure_inside(METRE, 0.4, 1000.0) == 0


def test_pressure_of_sand_under_water() -> None:
    """phi 30 degrees, K0 0.5; e = 0.4/0.6, 1.65 x 9.80665/1.6667 = 9.709 kN/m3 of buoyant weight.

    Half a metre of sand under a metre of water: 9.807 + 0.5 x 9.709 x 0.5 = 12.234 kPa; half way down in the sand
    7.355 + 1.214 = 8.569; emptied to the sand 4.903 + 2.427 = 7.330.  K0 by the theory of elasticity, nu/(1 - nu) with
    nu of 1/3, is the same half.
    """
    at_rest = 1 - math.sin(math.radians(30))
    assert at_rest == pytest.approx(1 / 3 / (1 - 1 / 3))
    bed = Levels(0, 0, 0, 500, 550, 570, 1000, 1030)
    found = [pressure_inside(bed, 0.4, 0), pressure_inside(bed, 0.4, 250), pressure_inside(bed, 0.4, 0, water=500)]
    assert [1000 * pressure for pressure in found] == pytest.approx([12.234, 8.569, 7.330], abs=6e-4)
