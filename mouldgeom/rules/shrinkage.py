"""Shrinkage of concrete: what it does by itself, sealed, and what it does as it dries."""

from __future__ import annotations

import itertools
import math
from typing import Annotated, Final

from mouldgeom.rules.given import above_zero, within
from mouldgeom.units import Mm, Mpa, Percent, Ratio

Day = Annotated[float, "d"]

_SIZES: Final[tuple[tuple[Mm, Ratio], ...]] = ((100.0, 1.0), (200.0, 0.85), (300.0, 0.75), (500.0, 0.70))
"""Notional size and k_h: EN 1992-1-1:2004, Table 3.3."""


def autogenous(strength: Mpa, age: Day) -> Ratio:
    """Strain of sealed concrete from casting to an age at 20 C; ``strength`` is the characteristic one of cylinders.

    Raises:
        InputError: no age, or a strength of 10 MPa or less.

    Source: EN 1992-1-1:2004, 3.1.4(6), eq. (3.11) to (3.13) (from memory).
    """
    above_zero("age of the concrete", age, "d")
    above_zero("strength of the concrete above 10 MPa", strength - 10, "MPa")
    return 2.5e-6 * (strength - 10) * -math.expm1(-0.2 * math.sqrt(age))


def size_factor(size: Mm) -> Ratio:
    """Coefficient k_h by the notional size, which is twice the area over the length that dries.

    Raises:
        InputError: no size.

    Source: EN 1992-1-1:2004, Table 3.3, a straight line between its rows.
    """
    above_zero("notional size", size, "mm")
    for (low, first), (high, second) in itertools.pairwise(_SIZES):
        if size <= high:
            return first + (second - first) * max(0.0, size - low) / (high - low)
    return _SIZES[-1][1]


def drying(strength: Mpa, humidity: Percent, size: Mm, days: Day) -> Ratio:
    """Strain of drying some days after the mould is off, cement of class N; tests scatter by 30 %.

    Args:
        strength: characteristic, of cylinders at 28 days.
        humidity: of the air.
        size: notional size, twice the area over the length that dries: the thickness of a wall open on both sides.
        days: since drying began.

    Raises:
        InputError: a humidity outside 0 to 100 %, no size, or days below 0.

    Source: EN 1992-1-1:2004, 3.1.4(6), eq. (3.9) and (3.10); Annex B.2, eq. (B.11) and (B.12) (B.2 from memory).
    """
    within("humidity of the air", humidity, 0, 100, "%", "Give it in percent.")
    within("days of drying", days, 0, math.inf, "d", "Count from the day when the mould came off.")
    whole = 0.85e-6 * (220 + 110 * 4) * math.exp(-0.12 * (strength + 8) / 10) * 1.55 * (1 - (humidity / 100) ** 3)
    return size_factor(size) * whole * days / (days + 0.04 * math.sqrt(size**3))
