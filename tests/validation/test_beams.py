"""Beams: rows 9.01, 9.03, 9.04 of the project's reference values.  Closed forms: the printed digit; the rest 1e-9."""

from __future__ import annotations

import math

import pytest

from mouldgeom.errors import InputError
from mouldgeom.rules import beams


def test_9_01_uniform() -> None:
    """9.01, any handbook (SEEN): w L^2/8 and 5 w L^4/(384 E I); exact."""
    assert beams.uniform_moment(2, 1000) == 250_000
    assert beams.uniform_deflection(1, 1, 1, 1) == pytest.approx(5 / 384)
    assert beams.uniform_deflection(1, 2, 3, 5) == pytest.approx(5 * 16 / (384 * 15))


def test_9_03_worked_example() -> None:
    """9.03, W12x35, 100 in, 100 lb/in, general page (SEEN, recomputed 2741.2 psi, 0.01575 in): the last digit."""
    assert beams.bending_stress(beams.uniform_moment(100, 100), 285 / 6.25) == pytest.approx(2741.2, abs=0.05)
    assert beams.uniform_deflection(100, 100, 29e6, 285) == pytest.approx(0.01575, abs=5e-6)


def test_9_04_required_modulus() -> None:
    """9.04, Singer and Pytel problem 529: 10 m, 16 kN/m, 120 MPa: 200 kN m, 1667e3 mm3; its last digit, 0.03 %."""
    moment = beams.uniform_moment(16, 10_000)
    assert moment == pytest.approx(200e6)
    assert beams.bending_stress(moment, 1667e3) == pytest.approx(120, rel=3e-4)


def test_point_force() -> None:
    """Any handbook (from memory): F L/4 and F L^3/(48 E I); exact."""
    assert beams.point_moment(4, 10) == 10
    assert beams.point_deflection(48, 1, 1, 1) == pytest.approx(1)
    assert beams.point_deflection(48, 3, 2, 1) == pytest.approx(27 / 2)


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan])
def test_no_section(value: float) -> None:
    """A beam without length or stiffness has no deflection."""
    for wrong in (
        lambda: beams.uniform_deflection(1, value, 1, 1),
        lambda: beams.uniform_deflection(1, 1, value, 1),
        lambda: beams.point_deflection(1, 1, 1, value),
        lambda: beams.bending_stress(1, value),
    ):
        with pytest.raises(InputError):
            wrong()
