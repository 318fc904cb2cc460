"""Bearing on a part of a face: EN 1992-1-1:2004, 6.7 (MEMORY, high), and ACI 318-14 as worked by a text book.

COMPUTED: a pad of 40 x 40 mm centred on a rim of 60 mm, Ac1 60 x 60 mm, 5 MPa/1.5: 8.0 kN; a pad 10 mm from an edge has
a factor of 1.5 and never 3.  SEEN: Wight, Reinforced Concrete, 7th ed., Example 15-2: a column of 18 x 18 in on a wide
footing, 3000 psi, 0.65 x 0.85 f'c A1 x 2: 1070 kip; the same root, which ACI stops at 2.  A page that prints the root
upside down (SEEN) would make it less than the area alone.

Tolerances: half of the last printed digit.
"""

from __future__ import annotations

import math

import pytest

from mouldgeom.strength.thrust import bearing_resistance

KIP = 4448.2216
PSI = 6.894757e-3
INCH = 25.4


def test_a_pad_on_a_rim() -> None:
    found = bearing_resistance(40**2, 60**2, 5 / 1.5)
    assert found / 1000 == pytest.approx(8.0, abs=0.05)
    assert found / (40**2 * 5 / 1.5) == pytest.approx(1.5)


def test_never_more_than_three() -> None:
    assert bearing_resistance(100, 10_000, 1.0) == 300.0
    assert bearing_resistance(100, 900, 1.0) == 300.0
    assert bearing_resistance(100, 400, 1.0) == 200.0


def test_wight_15_2() -> None:
    """A2/A1 of 4 makes the root 2, where ACI stops."""
    area = (18 * INCH) ** 2
    assert bearing_resistance(area, 4 * area, 0.65 * 0.85 * 3000 * PSI) / KIP == pytest.approx(1074, abs=0.5)


def test_the_root_stands_upright() -> None:
    assert bearing_resistance(100, 200, 1.0) == pytest.approx(100 * math.sqrt(2))
