"""Conductivity from grain size.

Carrier, J. Geotech. Geoenviron. Eng. 129(11):1054, 2003 (Hazen's short form and its spread); Vukovic and Soro form of
Hazen with porosity and of Kozeny-Carman; Kozeny-Carman with 1/180; Hazen 1892/1911 (formula from memory, numbers worked
by hand); Woessner and Poeter, The Groundwater Project (2020), Solution 6.

Tolerances: worked arithmetic to its printed digit; between formulas a factor of two, which is their published spread.
"""

from __future__ import annotations

import pytest

from mouldgeom.errors import InputError
from mouldgeom.filter.conductivity import (
    conductivities,
    hazen,
    hazen_original,
    hazen_with_porosity,
    kozeny_carman,
)
from mouldgeom.filter.water import kinematic_viscosity
from mouldgeom.units import GRAVITY


@pytest.mark.parametrize(("d10", "expected"), [(0.1, 0.01), (0.2, 0.04), (0.66, 0.4356)])
def test_hazen_short_form(d10: float, expected: float) -> None:
    """k = 100 D10^2 in cm/s and cm; 0.4356 for the coarse sand of Solution 6."""
    assert hazen(d10, 1.9).value * 100 == pytest.approx(expected, rel=1e-9)


def test_hazen_spread_is_carriers() -> None:
    """Real sands of 0.1 to 0.7 mm give coefficients from 100 to 1000, where 100 is usual."""
    estimate = hazen(0.3, 1.8)
    assert estimate.high / estimate.value == pytest.approx(10)
    assert estimate.low / estimate.value == pytest.approx(0.5)
    assert estimate.valid
    assert not hazen(0.3, 2.1).valid  # meant for a uniformity below about 2
    assert not hazen(0.05, 1.5).valid


def test_hazen_with_porosity_worked() -> None:
    """At the 1.307e-6 m2/s that Davis prints for 10 C: 9.80665/1.307e-6 x 6e-4 x 2.4 x 4e-8 = 4.322e-4 m/s; 0.1 %."""
    estimate = hazen_with_porosity(0.2, 3, 0.40, 10)
    assert estimate.value == pytest.approx(4.322e-4, rel=1e-3)
    assert estimate.valid
    assert not hazen_with_porosity(0.2, 5.1, 0.40, 10).valid
    assert not hazen_with_porosity(3.1, 2, 0.40, 10).valid


def test_kozeny_carman_1_180_worked() -> None:
    """At nu 1.00337e-6 m2/s (20 C): 3.456e-4 for 0.17 mm at 0.42; 3.861e-4 for 0.20 mm at 0.40."""
    assert kozeny_carman(0.17, 0.42, 20).value == pytest.approx(3.456e-4, abs=0.51e-7)
    assert kozeny_carman(0.20, 0.40, 20).value == pytest.approx(3.861e-4, abs=0.51e-7)


def test_kozeny_carman_1_120_is_the_8_3e_3_of_vukovic_and_soro() -> None:
    """Printed 8.3e-3, two digits, is 1/120 = 8.333e-3 within 0.5 %."""
    printed = GRAVITY / kinematic_viscosity(20) * 8.3e-3 * 0.42**3 / 0.58**2 * 0.00017**2
    assert kozeny_carman(0.17, 0.42, 20, divisor=120).value == pytest.approx(printed, rel=5e-3)


def test_limits_of_validity_to_the_digit() -> None:
    """Vukovic and Soro: Hazen from 0.1 to 3 mm and a uniformity up to 5, Kozeny-Carman up to 3 mm but no clay."""
    assert [hazen(d10, 1.5).valid for d10 in (0.099, 0.1, 3.0, 3.05)] == [False, True, True, False]
    assert [hazen_original(0.2, u, 20).valid for u in (5.0, 5.05)] == [True, False]
    assert [kozeny_carman(d, 0.4, 20).valid for d in (0.0019, 0.002, 3.0, 3.05)] == [False, True, True, False]


def test_both_divisors_stand_side_by_side() -> None:
    """1/180 and 1/120 differ by half; each is given with the factor of two of its spread."""
    by_180 = kozeny_carman(0.17, 0.42, 20)
    assert (by_180.low, by_180.high) == pytest.approx((1.728e-4, 6.912e-4), rel=5e-4)
    values = [estimate.value for estimate in conductivities(0.17, 2, 0.42, 20)]
    assert [any(v == pytest.approx(by_180.value * more, rel=1e-9) for v in values) for more in (1, 1.5)] == [True] * 2


def test_hazen_original_worked() -> None:
    """At 20 C: 0.15 mm gives 29.2 m/d (3.385e-4 m/s); 0.17 mm gives 37.6 m/d (4.348e-4 m/s)."""
    fine, coarse = hazen_original(0.15, 2, 20), hazen_original(0.17, 2, 20)
    assert fine.value * 86400 == pytest.approx(29.2, abs=0.051)
    assert fine.value == pytest.approx(3.385e-4, abs=0.51e-7)
    assert coarse.value * 86400 == pytest.approx(37.6, abs=0.051)
    assert coarse.value == pytest.approx(4.348e-4, abs=0.51e-7)
    assert fine.low / fine.value == pytest.approx(0.4)
    assert fine.high / fine.value == pytest.approx(1.2)


@pytest.mark.parametrize(("d10", "uniformity"), [(0.15, 1.5), (0.17, 1.9), (0.25, 1.6), (0.35, 2.0)])
def test_side_by_side_within_the_spread(d10: float, uniformity: float) -> None:
    """In filter sand the formulas lie within a factor of two of their middle."""
    values = sorted(estimate.value for estimate in conductivities(d10, uniformity, 0.42, 10))
    middle = values[2]
    assert middle / 2 <= values[0]
    assert values[-1] <= middle * 2


@pytest.mark.parametrize("porosity", [0.0, 0.2, 0.8, 1.0, -1.0, float("nan")])
def test_porosity_that_no_sand_has_is_refused(porosity: float) -> None:
    with pytest.raises(InputError, match="porosity"):
        kozeny_carman(0.2, porosity, 20)
    with pytest.raises(InputError, match="porosity"):
        hazen_with_porosity(0.2, 2, porosity, 20)
