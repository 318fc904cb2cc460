"""Outlet tube and siphon: Cengel and Cimbala, Fluid Mechanics, Examples 5-7 and 8-2; Hagen-Poiseuille by hand.

Inputs and methods were read in public solution scripts; the results were worked from them and agree with the book from
memory.  Tolerance: the printed digit; the book's g = 9.81 against 9.80665 moves no result by more than 0.04 %.
"""

from __future__ import annotations

import math

import pytest

from mouldgeom.filter.hydraulics import (
    BLASIUS_LIMIT,
    LAMINAR_LIMIT,
    TURBULENT_LIMIT,
    Tube,
    friction_factor,
    outlet_flow,
    tube_loss,
)
from mouldgeom.filter.water import kinematic_viscosity
from mouldgeom.units import GRAVITY


def test_example_8_2_laminar_pipe() -> None:
    """rho 1000, mu 1.519e-3, D 3 mm, L 9 m, V 0.9 m/s: Re 1777.5, f 0.0360, h 4.46 m, 43.7 kPa, 0.28 W."""
    tube = Tube(3, 9000, bends=0, entrance_loss=0, exit_loss=0)
    flow = 0.9 * tube.area
    loss = tube_loss(tube, flow, 1.519e-6)
    assert loss.reynolds == pytest.approx(1777.5, abs=0.051)
    assert loss.regime == "laminar"
    assert friction_factor(loss.reynolds) == pytest.approx(0.0360, abs=5.1e-5)
    assert loss.total == pytest.approx(4.46, abs=0.0051)
    pressure = loss.total * 1000 * GRAVITY
    assert pressure / 1000 == pytest.approx(43.7, abs=0.051)
    assert pressure * flow == pytest.approx(0.28, abs=0.0051)


def test_example_5_7_siphon_without_friction() -> None:
    """Bore 5 mm, surface 0.75 m above the outlet, 4 L."""
    # a tube so short that friction vanishes, losing only its exit velocity head
    tube = Tube(5, 1e-6, bends=0, entrance_loss=0, exit_loss=1)
    flow = outlet_flow(0.75, None, tube, 20)
    assert flow / tube.area == pytest.approx(3.84, abs=0.0051)
    assert tube.area == pytest.approx(1.96e-5, abs=5.1e-8)
    assert flow * 1000 == pytest.approx(0.0753, abs=5.1e-5)
    assert 0.004 / flow == pytest.approx(53.1, abs=0.051)


@pytest.mark.parametrize(
    ("bore", "litres_a_minute", "velocity", "reynolds", "friction_mm", "velocity_head_mm"),
    [(6, 0.5, 0.2947, 1762, 26.8, 4.4), (8, 0.8, 0.2653, 2115, 13.6, 3.6)],
)
def test_hagen_poiseuille_by_hand(
    bore: float,
    litres_a_minute: float,
    velocity: float,
    reynolds: float,
    friction_mm: float,
    velocity_head_mm: float,
) -> None:
    """1 m of tube at 20 C (nu 1.00337e-6 m2/s)."""
    tube = Tube(bore, 1000, bends=0, entrance_loss=0, exit_loss=1)
    loss = tube_loss(tube, litres_a_minute / 60000, kinematic_viscosity(20))
    assert loss.velocity == pytest.approx(velocity, abs=5.1e-5)
    assert loss.reynolds == pytest.approx(reynolds, abs=0.51)
    assert loss.friction * 1000 == pytest.approx(friction_mm, abs=0.051)
    assert loss.fittings * 1000 == pytest.approx(velocity_head_mm, abs=0.051)
    assert loss.regime == "laminar"


def test_laminar_loss_is_128_nu_l_q_over_pi_g_d4() -> None:
    nu, flow = kinematic_viscosity(15), 1e-6
    by_hand = 128 * nu * 0.9 * flow / (math.pi * GRAVITY * 0.008**4)
    assert tube_loss(Tube(8, 900), flow, nu).friction == pytest.approx(by_hand, rel=1e-12)


def test_regimes_of_example_8_3() -> None:
    """Laminar to R 2300, turbulent above 4000; Blasius up to 1e5 (from memory)."""
    assert (LAMINAR_LIMIT, TURBULENT_LIMIT, BLASIUS_LIMIT) == (2300, 4000, 1e5)
    tube = Tube(8, 1000)
    unit = tube.area / 0.008 * 1e-6  # flow at R = 1, nu = 1e-6
    for reynolds, expected in ((2299, "laminar"), (2301, "transitional"), (3999, "transitional"), (4001, "turbulent")):
        assert tube_loss(tube, reynolds * unit, 1e-6).regime == expected
