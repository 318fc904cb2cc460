"""Sizes of sheet and round bar against what they weigh: manufacturers' standard gauge, and bar tables of both systems.

A gauge is a mass on each square foot by definition (15 U.S.C. 206: seen); the manufacturers' standard makes inches of
it with 41.82 lb/ft2 each inch (seen), printed to 0.0001 in.  Bars are printed to three figures.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from mouldgeom import tables

INCH = 25.4


@pytest.mark.parametrize(
    ("number", "pounds", "printed"),
    [(10, 5.625, 0.1345), (11, 5.000, 0.1196), (12, 4.375, 0.1046), (14, 3.125, 0.0747)],
)
def test_manufacturers_standard_gauge(number: int, pounds: float, printed: float) -> None:
    """10, 12 and 14 as printed (seen), 11 from memory; each from its pounds on a square foot: the last figure."""
    thickness = tables.sheet(f"{number} gauge MSG").thickness_mm
    assert round(pounds / 41.82, 4) == printed
    assert thickness == round(printed * INCH, 5)


@pytest.mark.parametrize(
    ("number", "other"), [(10, 3.25), (10, 3.18), (10, 3.572), (12, 2.64), (12, 2.52), (12, 2.778)]
)
def test_no_other_gauge_is_in_the_table(number: int, other: float) -> None:
    """The same number by SWG, B.G. and the US standard gauge of 1893 (seen)."""
    assert abs(tables.sheet(f"{number} gauge MSG").thickness_mm - other) > 0.01


@pytest.mark.parametrize(("designation", "exact"), [("3.2 mm", 25.12), ("6 mm", 47.1), ("12 mm", 94.2)])
def test_mass_of_sheet(designation: str, exact: float) -> None:
    """kg/m2 (3.2 mm from memory, the others by 7.85): half a unit of the last figure."""
    assert tables.sheet(designation).thickness_mm * 7.85 == pytest.approx(exact, abs=0.005)


@pytest.mark.parametrize(
    ("designation", "mass"),
    [("8 mm", 0.395), ("10 mm", 0.617), ("12 mm", 0.888), ("14 mm", 1.21), ("16 mm", 1.58), ("20 mm", 2.47)],
)
def test_round_bars(designation: str, mass: float) -> None:
    """kg/m, 0.006165 d^2: 8 and 20 mm seen, the others from memory; half a unit of the last figure."""
    rod = tables.rod(designation)
    assert rod.diameter_mm == float(designation.split()[0])
    assert 0.0061654 * rod.diameter_mm**2 == pytest.approx(mass, abs=0.0005 if mass < 1 else 0.005)


@pytest.mark.parametrize(("designation", "pounds"), [("3/8 in", 0.376), ("1/2 in", 0.668), ("5/8 in", 1.043)])
def test_inch_round_bars(designation: str, pounds: float) -> None:
    """lb/ft (from memory) at 3.4 lb/ft each square inch, and the fraction exactly: 5/8 in is 15.875 mm."""
    rod = tables.rod(designation)
    assert rod.diameter_mm == round(float(Fraction(designation.split()[0])) * INCH, 4)
    assert 3.4 * math.pi / 4 * (rod.diameter_mm / INCH) ** 2 == pytest.approx(pounds, abs=0.0006)


def test_inch_bolt_lengths_are_quarters() -> None:
    """1/2 in and every quarter up to 5 in, exactly."""
    assert tables.bolt_lengths("3/8-16") == tuple(round(n * INCH / 4, 3) for n in range(2, 21))
