"""Fillet welds against AWS D1.1:2025 Table 7.7 and EN 1993-1-8:2005 clause 4.5.

Sizes compared for equality; resistances printed to three or four figures, so 0.2 %.
"""

from __future__ import annotations

import math

import pytest

from mouldgeom import rules, tables


@pytest.mark.parametrize(
    ("one", "other", "leg"), [(6, 6, 3), (4, 6, 3), (3, 3, 3), (6.35, 6.35, 3), (8, 8, 5), (12, 12, 5), (12, 8, 5)]
)
def test_least_leg(one: float, other: float, leg: float) -> None:
    """AWS D1.1:2025 Table 7.7: 3 mm (1/8 in) up to 6 mm (1/4 in), 5 mm (3/16 in) up to 12 mm, by the thicker part."""
    assert rules.fillet_leg_least(one, other) == leg
    assert rules.fillet_leg_least(other, one) == leg


@pytest.mark.parametrize(("one", "other", "leg"), [(16, 16, 6), (25, 25, 8)])
def test_least_leg_from_memory(one: float, other: float, leg: float) -> None:
    """The same table beyond 12 mm (from memory)."""
    assert rules.fillet_leg_least(one, other) == leg


@pytest.mark.parametrize(("thin", "thick"), [(2, 6), (3, 10), (4, 12), (2.5, 20)])
def test_leg_need_not_exceed_the_thinner_part(thin: float, thick: float) -> None:
    """AWS D1.1:2025 Table 7.7, note b."""
    assert rules.fillet_leg_least(thin, thick) == thin


def test_throat() -> None:
    """EN 1993-1-8 4.5.2 and ISO 2553: a = 0.707 z; three figures, 0.05 %."""
    assert rules.fillet_throat(1) == pytest.approx(0.707, rel=5e-4)
    assert rules.fillet_throat(rules.fillet_throat(6)) == pytest.approx(3)


@pytest.mark.parametrize(("steel", "correlation", "strength"), [("S235", 0.8, 207.8), ("S355", 0.9, 241.2)])
def test_design_shear_strength(steel: str, correlation: float, strength: float) -> None:
    """EN 1993-1-8:2005 4.5.3.3 and Table 4.1: fvw,d = 208 and 241 MPa (recomputed 207.8 and 241.2)."""
    found = rules.fillet_resistance_per_mm(1.0, tables.steel(steel).ultimate_mpa, correlation)
    assert found == pytest.approx(strength, rel=0.002)
    assert round(found) == round(strength)


def test_partial_factor_is_divided_by_once() -> None:
    """The trap: a public page lists 166 and 187 MPa, with gamma_M2 divided by twice."""
    found = rules.fillet_resistance_per_mm(1.0, 360, 0.8)
    assert not math.isclose(found, 166, rel_tol=0.01)
    assert found * rules.GAMMA_M2 == pytest.approx(360 / (math.sqrt(3) * 0.8))


def test_three_millimetre_throat() -> None:
    """a = 3 mm in S235: 0.623 kN/mm (worked out for this reference)."""
    assert rules.fillet_resistance_per_mm(3, 360) / 1000 == pytest.approx(0.623, rel=0.002)


@pytest.mark.parametrize("radius", [4, 6, 6.35, 9.5, 9.99])
def test_a_small_round_counts_nothing(radius: float) -> None:
    """AISC 360-10 Table J2.2 note a: below 10 mm (3/8 in) only the reinforcing fillet; tube 40x40x3 has R = 2 t = 6."""
    assert rules.flare_throat(radius) == 0


@pytest.mark.parametrize(("radius", "throat"), [(10, 3.125), (16, 5.0)])
def test_a_large_round_counts_five_sixteenths(radius: float, throat: float) -> None:
    """AISC 360-10 Table J2.2, stick and wire without gas: 5/16 R (exact)."""
    assert rules.flare_throat(radius) == pytest.approx(throat)


def test_worked_flare() -> None:
    """Structural Steel Designer's Handbook, connection example: wall 3/8 in, R = 2 t, stick: 0.234 in (0.2 %)."""
    assert rules.flare_throat(2 * 3 / 8 * 25.4) / 25.4 == pytest.approx(0.234, rel=2e-3)
