"""Packed-bed pressure drop against the fluids library (MIT) and the numbers of its test_packed_bed.py.

Tolerance: 1e-9 where both code the same formula; the numbers printed in that test to the printed digit; 8 % against the
three newer correlations, which is how far they spread about Ergun's.
"""

from __future__ import annotations

import fluids
import pytest

from mouldgeom.filter.hydraulics import CleanBed, Tube, friction_factor
from mouldgeom.filter.sand import SieveFraction
from mouldgeom.units import GRAVITY

RHO, MU = 1000.0, 1e-3


def bed(size_mm: float = 0.8, porosity: float = 0.4, velocity: float = 1e-3) -> CleanBed:
    return CleanBed((SieveFraction(size_mm, 1.0),), 1000, velocity, porosity, 1.0, MU / RHO)


def pascal(head_m: float) -> float:
    return head_m * RHO * GRAVITY


def test_ergun_as_printed() -> None:
    assert pascal(bed().ergun().value) == pytest.approx(1338.8671875, rel=1e-10)


def test_carman_as_printed() -> None:
    assert pascal(bed().carman().value) == pytest.approx(1614.7217, abs=6e-4)


def test_laminar_term_alone_is_less_than_carman() -> None:
    assert pascal(bed().kozeny().value) == pytest.approx(1582.03, abs=6e-3)  # worked by hand
    assert bed().kozeny().value == pytest.approx(0.161, abs=6e-4)
    assert bed().kozeny().value < bed().carman().value


@pytest.mark.parametrize(("name", "printed"), [("Erdim_Akgiray_Demir", 1438.28), ("Brauer", 1441.55), ("KTA", 1440.41)])
def test_newer_correlations_spread_by_8_percent(name: str, printed: float) -> None:
    other = getattr(fluids, name)(dp=8e-4, voidage=0.4, vs=1e-3, rho=RHO, mu=MU, L=1.0)
    assert other == pytest.approx(printed, abs=6e-3)
    assert pascal(bed().ergun().value) == pytest.approx(other, rel=0.08)


def test_voidage_scaling() -> None:
    """Laminar loss falls to 0.590 from voidage 0.40 to 0.45 (worked by hand to three digits)."""
    assert bed(porosity=0.45).kozeny().value / bed().kozeny().value == pytest.approx(0.590, abs=6e-4)


@pytest.mark.parametrize("size_mm", [0.15, 0.3, 0.8, 3.0])
@pytest.mark.parametrize("velocity", [1e-5, 1e-4, 1e-3])
@pytest.mark.parametrize("porosity", [0.35, 0.45])
def test_same_formulas_over_a_grid(size_mm: float, velocity: float, porosity: float) -> None:
    ours = bed(size_mm, porosity, velocity)
    given = {"dp": size_mm / 1000, "voidage": porosity, "vs": velocity, "rho": RHO, "mu": MU, "L": 1.0}
    assert pascal(ours.ergun().value) == pytest.approx(fluids.Ergun(**given), rel=1e-9)
    assert pascal(ours.carman().value) == pytest.approx(fluids.Carman(**given), rel=1e-9)


@pytest.mark.parametrize("reynolds", [4000, 1e4, 9.9e4])
def test_smooth_tube_friction(reynolds: float) -> None:
    """Blasius is the same formula; the smooth-tube law of Prandtl and von Karman lies within 3 % of it."""
    assert friction_factor(reynolds) == pytest.approx(fluids.friction.Blasius(reynolds), rel=2e-4)
    exact = fluids.friction.Prandtl_von_Karman_Nikuradse(reynolds)
    assert friction_factor(reynolds) == pytest.approx(exact, rel=0.03)


@pytest.mark.parametrize("reynolds", [1.1e5, 1e6, 5e6])
def test_smooth_tube_friction_beyond_blasius(reynolds: float) -> None:
    exact = fluids.friction.Prandtl_von_Karman_Nikuradse(reynolds)
    assert friction_factor(reynolds) == pytest.approx(exact, rel=0.02)


def test_petukhov_worked() -> None:
    """(0.790 ln R - 1.64)^-2 of the textbooks on heat transfer (from memory), by pocket calculator at 1.1e5 and 1e6."""
    assert [friction_factor(r) for r in (1.1e5, 1e6)] == pytest.approx([0.017634, 0.011626], abs=6e-7)


@pytest.mark.parametrize("reynolds", [1, 100, 2000, 2300])
def test_laminar_tube_friction(reynolds: float) -> None:
    assert friction_factor(reynolds) == pytest.approx(fluids.friction.friction_laminar(reynolds), rel=1e-12)


def test_usual_bend_lies_within_published_spread() -> None:
    """Four published methods give 0.10 to 1.8 for an 8 mm tube bent at 30 mm; ours is within twice their middle."""
    methods = ("Rennels", "Miller", "Ito", "Swamee")
    values = sorted(
        fluids.fittings.bend_rounded(Di=0.008, angle=90, Re=re, rc=0.03, fd=64 / re, method=method)
        for method in methods
        for re in (500, 1000, 1800)
    )
    middle = (values[5] + values[6]) / 2
    assert middle / 2 < Tube(8, 900).bend_loss < middle * 2
