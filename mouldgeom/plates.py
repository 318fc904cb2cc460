"""Deflections of pressed plates, quickly: the coefficients of ``rules``, read off between points that are kept.

A design asks for hundreds of fields of sheet.  Only the ratio of a field's sides matters to its coefficient, so each is
worked out once at evenly spaced logarithms of that ratio and read off by a cubic between them: within 0.2 % of the
series for a plate with a free top edge, within a millionth for one held all round.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import Final

from mouldgeom import rules
from mouldgeom.units import Mm, Mpa, NewtonMm, Ratio

_STEP: Final = 0.02


@cache
def _held(node: int) -> Ratio:
    return rules.plate_deflection_uniform(1.0, math.exp(node * _STEP), 1.0, 1.0)


@cache
def _free_top(node: int) -> Ratio:
    return rules.plate_deflection_free_top(1.0, math.exp(node * _STEP), 1.0, 1.0)


def _between(coefficient: Callable[[int], Ratio], ratio: Ratio) -> Ratio:
    """Read a coefficient off at a ratio, by the cubic through the four nodes around its logarithm."""
    place = math.log(ratio) / _STEP
    node = math.floor(place)
    t = place - node
    return (
        -t * (t - 1) * (t - 2) * coefficient(node - 1)
        + 3 * (t + 1) * (t - 1) * (t - 2) * coefficient(node)
        - 3 * (t + 1) * t * (t - 2) * coefficient(node + 1)
        + (t + 1) * t * (t - 1) * coefficient(node + 2)
    ) / 6


def deflection_held(side: Mm, other: Mm, pressure: Mpa, rigidity: NewtonMm) -> Mm:
    """Deflection at the centre of a plate simply supported all round, as ``rules.plate_deflection_uniform``."""
    short, long = sorted((side, other))
    return _between(_held, long / short) * pressure * short**4 / rigidity


def deflection_free_top(width: Mm, height: Mm, pressure_at_bottom: Mpa, rigidity: NewtonMm) -> Mm:
    """Greatest deflection of a plate with a free top edge, as ``rules.plate_deflection_free_top``."""
    return _between(_free_top, height / width) * pressure_at_bottom * width**4 / rigidity
