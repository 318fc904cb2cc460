"""Water against IAPWS SR6-08(2011), against textbook tables, and against an independent program.

The check values of SR6-08 Table 8 and R12-08 Table 4 were read in public test suites.  Tolerances: formulas nine
printed digits; Crittenden et al. (MWH), 3rd ed. 2012, Table C-1 0.3 %, as far as tables of that kind differ;
International Critical Tables (1929) 0.75 %, whose viscosities rest on an older scale (0.71 % too high at 20 C).
"""

from __future__ import annotations

import iapws._iapws as reference  # type: ignore[import-untyped]  # the library has no types
import pytest

from mouldgeom.errors import InputError
from mouldgeom.filter.water import ZERO_CELSIUS, density, dynamic_viscosity, kinematic_viscosity, viscosity_ratio


@pytest.mark.parametrize(
    ("kelvin", "density_printed", "micropascal_seconds"),
    [(298.15, 997.047013, 889.996774), (260.0, 997.068360, 3058.36075)],
)
def test_sr6_08_table_8(kelvin: float, density_printed: float, micropascal_seconds: float) -> None:
    celsius = kelvin - ZERO_CELSIUS
    assert density(celsius) == pytest.approx(density_printed, rel=1e-9)
    assert dynamic_viscosity(celsius) * 1e6 == pytest.approx(micropascal_seconds, rel=2e-9)


def test_kinematic_viscosity_at_25_c() -> None:
    """Quotient of the two printed values of Table 8."""
    assert kinematic_viscosity(25) * 1e6 == pytest.approx(0.8926327, rel=1e-7)


@pytest.mark.parametrize(
    ("celsius", "millipascal_seconds"),
    [(5, 1.51820), (10, 1.30590), (15, 1.13755), (20, 1.00157), (25, 0.89000), (30, 0.79721)],
)
def test_eq_7_worked_by_hand(celsius: float, millipascal_seconds: float) -> None:
    assert dynamic_viscosity(celsius) * 1e3 == pytest.approx(millipascal_seconds, abs=6e-6)


@pytest.mark.parametrize(
    ("celsius", "rho", "mu", "nu"),
    [(5, 1000.0, 1.518, 1.519), (10, 999.7, 1.307, 1.306), (20, 998.2, 1.002, 1.003), (25, 997.0, 0.890, 0.893)],
)
def test_mwh_table_c_1(celsius: float, rho: float, mu: float, nu: float) -> None:
    assert density(celsius) == pytest.approx(rho, abs=0.1)
    assert dynamic_viscosity(celsius) * 1e3 == pytest.approx(mu, rel=0.003)
    assert kinematic_viscosity(celsius) * 1e6 == pytest.approx(nu, rel=0.003)


@pytest.mark.parametrize(
    ("celsius", "rho", "mu", "nu"),
    [
        (0, 0.99987, 1.7921, 1.7923), (5, 0.99999, 1.5188, 1.5188), (10, 0.99973, 1.3097, 1.3101),
        (15, 0.99913, 1.1447, 1.1457), (20, 0.99823, 1.0087, 1.0105), (25, 0.99707, 0.8949, 0.8975),
        (30, 0.99568, 0.8004, 0.8039),
    ],
)  # fmt: skip
def test_international_critical_tables(celsius: float, rho: float, mu: float, nu: float) -> None:
    assert density(celsius) / 1000 == pytest.approx(rho, abs=6e-5)
    assert dynamic_viscosity(celsius) * 1e3 == pytest.approx(mu, rel=0.0075)
    assert kinematic_viscosity(celsius) * 1e6 == pytest.approx(nu, rel=0.0075)


@pytest.mark.parametrize("celsius", [-20 + 1e-6, -5, 0, 0.1, 4, 10, 17.3, 20, 25, 30, 40, 50, 75, 100, 109.9])
def test_against_the_iapws_package(celsius: float) -> None:
    """The same formulation, coded independently: equal but for the order of additions."""
    other = reference._Liquid(celsius + ZERO_CELSIUS)
    assert density(celsius) == pytest.approx(other["rho"], rel=1e-12)
    assert dynamic_viscosity(celsius) == pytest.approx(other["mu"], rel=1e-12)


def test_against_the_general_viscosity_formulation() -> None:
    """R12-08 covers all densities; the package returns Table 4 of it, and our short formula is within 0.1 % of it."""
    assert reference._Viscosity(998, 298.15) * 1e6 == pytest.approx(889.735100, rel=1e-8)
    assert reference._Viscosity(1000, 433.15) * 1e6 == pytest.approx(217.685358, rel=1e-8)
    for celsius in (1, 10, 20, 30, 50):
        general = reference._Viscosity(density(celsius), celsius + ZERO_CELSIUS)
        assert dynamic_viscosity(celsius) == pytest.approx(general, rel=1e-3)


@pytest.mark.parametrize("celsius", [-20.01, 110.01, 433.15 - 273.15, float("nan"), float("inf")])
def test_outside_the_range_is_refused(celsius: float) -> None:
    with pytest.raises(InputError, match="water temperature"):
        density(celsius)
    with pytest.raises(InputError, match="between -20 and 110 C"):
        dynamic_viscosity(celsius)


def test_ends_of_the_range_are_inside() -> None:
    assert density(-20) > 990
    assert dynamic_viscosity(110) > 0


def test_ratio_of_two_temperatures() -> None:
    assert viscosity_ratio(20, 20) == 1
    assert viscosity_ratio(5, 25) == pytest.approx(kinematic_viscosity(5) / kinematic_viscosity(25))
    assert viscosity_ratio(5, 25) > 1.6
