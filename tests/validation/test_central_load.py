"""Plates under a load at their middle, struts of curve c, and walls under a bearing: the books against each other.

All of these are from memory: they prove that two books that print the same result agree in this program, not what
either book prints.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from mouldgeom import rules
from mouldgeom.model.assembly import Mould
from mouldgeom.strength import bridge, seats


@pytest.mark.parametrize(
    ("aspect", "alpha"),
    [(1.0, 0.00560), (1.2, 0.00647), (1.4, 0.00691), (1.6, 0.00712), (1.8, 0.00720), (2.0, 0.00722)],
)
def test_roark_8b_against_timoshenko(aspect: float, alpha: float) -> None:
    """Roark, 7th ed. 2002, Table 11.4 case 8b against Timoshenko and Woinowsky-Krieger, 2nd ed. 1959, Table 37.

    Both MEMORY.  Deflection alpha P a^2/D of a fixed plate with a load at its middle; half of the last digit of alpha
    and of Roark's, 0.2 %.
    """
    rigidity = rules.plate_rigidity(210_000, 6, 0.3)
    _, sag = seats.fixed_plate(5000, 250, 250 * aspect, 6, 20, 210_000)
    assert sag == pytest.approx(alpha * 5000 * 250**2 / rigidity, rel=2e-3)


def sag_by_energy(aspect: float) -> float:
    """Deflection of a fixed plate, sides 1 and ``aspect``, under a load 1 at its middle, D = 1: 400 polynomials."""
    legendre = np.polynomial.Legendre
    zero = legendre.basis(0, [-0.5, 0.5]) / 6 - legendre.basis(2, [-0.5, 0.5]) / 6  # 1/4 - x^2
    shapes = [zero**2 * legendre.basis(n, [-0.5, 0.5]) for n in range(0, 40, 2)]
    x, w = np.polynomial.legendre.leggauss(60)
    v = [np.array([(s.deriv(d) if d else s)(x / 2) for s in shapes]) for d in range(3)]
    g = {(i, j): (v[i] * w / 2) @ v[j].T for i in range(3) for j in range(3)}
    energy = np.kron(g[2, 2], g[0, 0]) * aspect + np.kron(g[0, 0], g[2, 2]) / aspect**3
    energy += (np.kron(g[2, 0], g[0, 2]) + np.kron(g[0, 2], g[2, 0])) / aspect
    middle = np.array([s(0.0) for s in shapes])
    load = np.kron(middle, middle)
    return float(load @ np.linalg.solve(energy, load))


@pytest.mark.parametrize("aspect", [1.0, 1.05, 1.1, 1.2, 1.3, 1.5, 1.7, 1.9, 2.0])
def test_fixed_plates_between_the_printed_aspects(aspect: float) -> None:
    """Deflection by energy, which converges from below: 0.25 % for three figures of Roark."""
    _, alpha = seats.fixed_coefficients(250, 250 * aspect)
    assert alpha / (12 * (1 - 0.3**2)) == pytest.approx(sag_by_energy(aspect), rel=2.5e-3)


def test_fixed_stress_between_the_printed_aspects() -> None:
    """The coefficient of the stress rises ever more slowly: between two printed aspects it lies above their chord."""
    printed = [seats.fixed_coefficients(1, a)[0] for a in (1.0, 1.2, 1.4, 1.6, 1.8)]
    assert printed == pytest.approx([-0.238, -0.078, 0.011, 0.053, 0.068])
    for start, low, high in zip((1.0, 1.2, 1.4, 1.6), printed, printed[1:], strict=False):
        assert (low + high) / 2 < seats.fixed_coefficients(1, start + 0.1)[0] < high


def test_roark_8b_against_the_round_plate() -> None:
    """The stress at the middle of a fixed square against the round plate inscribed: Roark Table 11.2 case 17 (MEMORY).

    Load on a small circle r: M = W (1 + nu) ln(a/r)/(4 pi).  The square gives a little more: 0 to 15 %.
    """
    load, half, radius, thick = 5000.0, 125.0, 18.0, 6.0
    disc = 6 / thick**2 * load * 1.3 * math.log(half / radius) / (4 * math.pi)
    square, _ = seats.fixed_plate(load, 2 * half, 2 * half, thick, radius, 210_000)
    assert disc < square < 1.15 * disc


def test_yield_lines_of_round_plates() -> None:
    """Simply supported disc, load at a point: P = 2 pi m, Hopkins and Prager 1953 (MEMORY); exact in the limit."""
    moment = 235 * 6**2 / 4
    assert seats.plastic_boss_load(235, 6, 100, 1e-9) == pytest.approx(2 * math.pi * moment)
    assert seats.plastic_boss_load(235, 6, 100, 50) == pytest.approx(4 * math.pi * moment)


@pytest.mark.parametrize(
    ("slender", "factor"), [(0.2, 1.00), (0.5, 0.843), (1.0, 0.540), (1.5, 0.315), (2.0, 0.196), (3.0, 0.0951)]
)
def test_curve_c(slender: float, factor: float) -> None:
    """EN 1993-1-1:2005 Figure 6.4, curve c, as ECCS tabulates it (MEMORY): last printed digit."""
    euler = math.pi * math.sqrt(210_000 / 235)
    assert bridge.buckling_factor(slender * euler * 15, 15, 235, 210_000) == pytest.approx(factor, abs=1e-3)


def test_crushing_of_a_wall() -> None:
    """EN 1993-1-3:2006 eq. 6.18 with phi 90 (MEMORY), by pocket calculator: t 3, r 3, la 10, S235, alpha 0.057."""
    by_hand = 0.057 * 9 * 7024.9 * 0.9 * (0.5 + 0.2582) * (2.4 + 1)
    assert bridge.crippling_resistance(3, 3, 10, 235, 210_000, 0.057) == pytest.approx(by_hand, rel=1e-3)
    sizes = [bridge.crippling_resistance(t, 3, 10, 235, 210_000, 0.057) for t in (2, 3, 4)]
    assert sizes == sorted(sizes)


def test_crushing_of_the_beams(bridged_hill: Mould) -> None:
    """The same with the coefficients for hat sections: 0.057 and 10 mm near an end, 0.115 away from ends (MEMORY).

    40x40x3 in S235, by pocket calculator: 8.36 kN, and 23.17 kN under the 44 mm of an M24 washer; sheeting has 0.075
    and 0.15 there, in the same proportion to a hundredth.
    """
    walls = [
        step for step in bridge.chapter(bridged_hill).steps if step.what.startswith("beams: what the inner wall bears")
    ]
    assert [step.result for step in walls] == pytest.approx([8.36, 23.17], abs=5e-3)
    near, away = bridge.CRIPPLING
    assert (near, away) == (0.057, 0.115)
    assert away / near == pytest.approx(0.15 / 0.075, abs=0.02)
