"""Beams: rows 9.01 to 9.05 of the project's reference values.  Closed forms: the printed digit; the rest 1e-9."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from mouldgeom.errors import InputError
from mouldgeom.mechanics import beams


def test_9_01_uniform() -> None:
    """9.01, any handbook (SEEN): w L^2/8 and 5 w L^4/(384 E I); exact."""
    assert beams.uniform_moment(2, 1000) == 250_000
    assert beams.uniform_deflection(1, 1, 1, 1) == pytest.approx(5 / 384)
    assert beams.uniform_deflection(1, 2, 3, 5) == pytest.approx(5 * 16 / (384 * 15))


def test_9_02_triangular() -> None:
    """9.02, handbook pages (SEEN): 0.06415 w L^2 at 0.5774 L, 0.00652 w L^4/(E I) at 0.5193 L (one prints 0.5192)."""
    assert beams.triangular_reactions(6, 1) == (1, 2)
    assert beams.triangular_moment(1, 1) == pytest.approx(0.06415, abs=5e-6)
    assert beams.triangular_moment(2, 10) == pytest.approx(12.83, abs=5e-3)
    assert pytest.approx(0.5774, abs=5e-5) == beams.TRIANGULAR_MOMENT_PLACE
    assert beams.triangular_deflection(1, 1, 1, 1) == pytest.approx(0.00652, abs=5e-6)
    assert beams.triangular_deflection(1, 10, 10, 5) == pytest.approx(1.304, abs=5e-4)
    assert pytest.approx(0.5193, abs=5e-5) == beams.TRIANGULAR_DEFLECTION_PLACE


def test_9_03_worked_example() -> None:
    """9.03, W12x35, 100 in, 100 lb/in, general page (SEEN, recomputed 2741.2 psi, 0.01575 in): the last digit."""
    assert beams.bending_stress(beams.uniform_moment(100, 100), 285 / 6.25) == pytest.approx(2741.2, abs=0.05)
    assert beams.uniform_deflection(100, 100, 29e6, 285) == pytest.approx(0.01575, abs=5e-6)


def test_9_04_required_modulus() -> None:
    """9.04, Singer and Pytel problem 529: 10 m, 16 kN/m, 120 MPa: 200 kN m, 1667e3 mm3; half of the last digit."""
    moment = beams.uniform_moment(16, 10_000)
    assert moment == pytest.approx(200e6)
    assert beams.modulus_needed(moment, 120) == pytest.approx(1667e3, abs=500)


def test_9_05_fixed_ends() -> None:
    """9.05, any handbook (MEMORY): w L^2/12, w L^2/24, w L^4/(384 E I), a fifth of the free beam's; exact."""
    ends, middle = beams.fixed_moments(24, 1)
    assert (ends, middle) == (2, 1)
    assert ends + middle == beams.uniform_moment(24, 1)
    assert beams.fixed_moments(24, 3) == (18, 9)
    assert beams.fixed_deflection(3, 2, 1, 1) == pytest.approx(beams.uniform_deflection(3, 2, 1, 1) / 5)


def test_point_force() -> None:
    """Any handbook (from memory): F L/4 and F L^3/(48 E I); exact."""
    assert beams.point_moment(4, 10) == 10
    assert beams.point_deflection(48, 1, 1, 1) == pytest.approx(1)
    assert beams.point_deflection(48, 3, 2, 1) == pytest.approx(27 / 2)


def test_triangular_deflection_by_integration() -> None:
    """The curve's second difference is the moment w (L^2 x - x^3)/(6 L) over E I: integrated twice by hand, 1e-5."""
    n = 2000
    moments = [(i / n - (i / n) ** 3) / 6 for i in range(n + 1)]
    slope, line, lines = 0.0, 0.0, [0.0]
    for a, b in pairwise(moments):
        line += (slope + slope - (a + b) / 2 / n) / 2 / n
        slope -= (a + b) / 2 / n
        lines.append(line)
    deflections = [y - lines[-1] * i / n for i, y in enumerate(lines)]
    assert max(deflections) == pytest.approx(beams.triangular_deflection(1, 1, 1, 1), rel=1e-5)
    assert deflections.index(max(deflections)) / n == pytest.approx(beams.TRIANGULAR_DEFLECTION_PLACE, abs=1 / n)


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan])
def test_no_section(value: float) -> None:
    """A beam without length or stiffness has no deflection."""
    for wrong in (
        lambda: beams.uniform_deflection(1, value, 1, 1),
        lambda: beams.triangular_deflection(1, 1, value, 1),
        lambda: beams.fixed_deflection(1, 1, 1, value),
        lambda: beams.point_deflection(1, 1, 1, value),
        lambda: beams.bending_stress(1, value),
        lambda: beams.modulus_needed(1, value),
    ):
        with pytest.raises(InputError):
            wrong()
