"""Volumes of tapered boxes against printed solutions and textbook formulas.

Documents: Moscow Mathematical Papyrus (about 1850 BC), problem 14: a truncated pyramid of height 6, 4 by 4 below and
2 by 2 above, holds 56 (from memory); frustum of a pyramid, h/3 (A1 + A2 + sqrt(A1 A2)); prismoidal formula,
h/6 (A1 + 4 Am + A2) (school geometry, from memory).

Tolerance: 1e-12 of the volume between formulas, which is rounding; 1e-9 against the solid kernel, which integrates.
"""

from __future__ import annotations

import math

import pytest

from mouldgeom.filter.levels import Cavity
from mouldgeom.model.assembly import Mould
from mouldgeom.solids import concrete_body

PAPYRUS = Cavity(width=4, depth=4, taper=1 / 6, step=0, ledge=100, rim=6)


def pyramid(height: float, below: float, above: float) -> float:
    """Frustum of a pyramid: only for similar ends, so for square plans."""
    return height / 3 * (below + above + math.sqrt(below * above))


def test_moscow_papyrus_14() -> None:
    assert PAPYRUS.volume(0, 6) == pytest.approx(56, rel=1e-12)


@pytest.mark.parametrize(("low", "high"), [(0, 6), (1, 5), (2.5, 2.75)])
def test_square_frustum(low: float, high: float) -> None:
    wanted = pyramid(high - low, PAPYRUS.area_at(low), PAPYRUS.area_at(high))
    assert PAPYRUS.volume(low, high) == pytest.approx(wanted, rel=1e-12)


def test_a_rectangular_cavity_is_no_pyramid() -> None:
    """Its ends are not similar, so the pyramid's formula is wrong for it; the integral of (a + kz)(b + kz) is right."""
    cavity = Cavity(width=6, depth=3, taper=0.1, step=0, ledge=100, rim=10)
    a, b, k, h = 4, 1, 0.2, 10
    wanted = a * b * h + (a + b) * k * h**2 / 2 + k**2 * h**3 / 3
    assert cavity.volume(0, 10) == pytest.approx(wanted, rel=1e-12)
    assert abs(pyramid(10, 4, 18) - wanted) > 1


def test_across_the_ledge_by_slices(example: Mould) -> None:
    """The surface at the middle of 20 000 slices, added up; the slice that the ledge parts is off by 2e-6 at most."""
    cavity, levels = example.dims.cavity, example.dims.levels
    for low, high in ((levels.floor, levels.rim), (levels.rest, levels.full)):
        thick = (high - low) / 20_000
        slices = math.fsum(cavity.area_at(low + (i + 0.5) * thick) for i in range(20_000)) * thick
        assert cavity.volume(low, high) == pytest.approx(slices, rel=3e-6)


def test_cavity_of_the_concrete_body(example: Mould) -> None:
    """Outer prism and nose less the body without bore is the cavity, from floor to rim, by both formulas."""
    dims = example.dims
    nose, cavity, levels = dims.nose, dims.cavity, dims.levels
    tip, root = nose.tip_half, nose.root_half
    block = (nose.root_y - nose.tip_y) * (nose.lid_z - nose.low_z) * (2 * root + tip) / 3
    slab = 2 * root * dims.shell * (nose.opening_top - nose.low_z)
    outside = dims.width * dims.depth * dims.height + block + slab
    held = outside - concrete_body(dims, tube_bore=False).Volume()
    assert held == pytest.approx(cavity.volume(levels.floor, levels.rim), rel=1e-9)


def test_square_cavities_by_the_pyramid(hill: Mould) -> None:
    dims = hill.dims
    cavity, levels = dims.cavity, dims.levels
    narrow = cavity.width_at(levels.ledge - 1e-9) ** 2
    lower = pyramid(levels.ledge - levels.floor, cavity.area_at(levels.floor), narrow)
    upper = pyramid(levels.rim - levels.ledge, cavity.area_at(levels.ledge), cavity.area_at(levels.rim))
    assert cavity.volume(levels.floor, levels.rim) == pytest.approx(lower + upper, rel=1e-9)
