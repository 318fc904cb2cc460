"""Darcy's law: worked examples on permeability tests and layered beds.

Student notes with derivation (falling head, constant head, layers in series and parallel); study notes (short constant
head); Amanzi user guide, representative case; a drain worked by hand from the falling-head formula.

Tolerances: exact arithmetic, relative 1e-4 or the printed digit.  The constant-head example prints half the true value
(its denominator is twice 589 050): the test holds ours to the right one and off the wrong one.
"""

from __future__ import annotations

import math

import pytest

from mouldgeom.filter.field_tests import FallingHead
from mouldgeom.filter.hydraulics import (
    Bed,
    BedLayer,
    drain,
    loading_rate,
    outlet_flow,
)
from mouldgeom.filter.water import viscosity_ratio

LAYERS = (BedLayer("upper", 2000, 1e-4, 1e6), BedLayer("middle", 3000, 5e-5, 1e6), BedLayer("lower", 1000, 2e-4, 1e6))


def constant_head(volume_cm3: float, length_cm: float, area_cm2: float, head_cm: float, seconds: float) -> float:
    """Conductivity in cm/s that the bed must be given for the measured volume to pass under the measured head."""
    flow = volume_cm3 * 1e-6 / seconds
    unit = Bed((BedLayer("sample", length_cm * 10, 1.0, area_cm2 * 100),))
    return 100 * flow / outlet_flow(head_cm / 100, unit, None, 20)


def test_falling_head_example() -> None:
    """L 10 cm, sample dia 5 cm, standpipe 0.785 cm2, 50 to 25 cm in 600 s: printed 4.62e-4 cm/s."""
    test = FallingHead(100, 1963, 78.5, 500, 250, 600, 20)
    assert test.conductivity * 100 == pytest.approx(4.62e-4, abs=0.5e-6)
    assert test.conductivity * 100 == pytest.approx(0.785 * 10 / (19.63 * 600) * math.log(2), rel=1e-9)


def test_falling_head_at_another_temperature() -> None:
    test = FallingHead(100, 1963, 78.5, 500, 250, 600, 12)
    assert test.conductivity_at(12) == test.conductivity
    assert test.conductivity_at(20) / test.conductivity == viscosity_ratio(12, 20)
    assert test.conductivity_at(20) > test.conductivity > test.conductivity_at(5)


def test_constant_head_example_corrected() -> None:
    area = math.pi / 4 * 10**2
    right = constant_head(300, 15, area, 25, 300)
    assert right == pytest.approx(0.00764, abs=0.5e-5)
    assert right == pytest.approx(300 * 15 / 589_050, rel=1e-4)
    assert right != pytest.approx(0.00382, rel=0.5)  # the printed value, half the true one


def test_constant_head_short_example() -> None:
    assert constant_head(120, 10, 20, 30, 60) == pytest.approx(0.0333, abs=0.5e-4)


def test_layers_in_series() -> None:
    """Printed 7.06e-5 m/s, 7.0588e-5 by hand: what one layer would have that resists like the three."""
    one = Bed((BedLayer("all", 6000, 7.0588e-5, 1e6),))
    assert Bed(LAYERS).resistance(20) == pytest.approx(one.resistance(20), rel=1e-4)


def test_drain_of_a_straight_reservoir() -> None:
    """L 0.5 m, K 2e-4 m/s, reservoir as wide as the bed, 250 to 25 mm: t = (L/K) ln 10, 0.360 m/h at first."""
    area = 250.0**2
    bed = Bed((BedLayer("sand", 500, 2.0e-4, area),))
    curve = drain(lambda _level: area, 600, 850, bed, None, 20, residual=25)
    assert curve.drain_time == pytest.approx(5756.5, rel=1e-5)
    assert curve.drain_time / 3600 == pytest.approx(1.599, abs=5e-4)
    assert loading_rate(curve.flows[0], area) == pytest.approx(0.360, rel=1e-9)
    assert curve.flow_at(curve.drain_time / 2) == pytest.approx(curve.flows[0] / math.sqrt(10), rel=1e-6)
    assert curve.drained[-1] == pytest.approx(area * 225 / 1e6, rel=1e-7)
