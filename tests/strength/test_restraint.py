"""The grip of shrinkage: its springs against frames and rings, its limits, and what makes it grow."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from random_specs import changed

from mouldgeom import load
from mouldgeom.design.dimensions import Dimensions, derive
from mouldgeom.strength import restraint


@cache
def dims(**fields: float) -> Dimensions:
    return derive(changed(load("hill-example"), {f"extraction.{name}": value for name, value in fields.items()}))


def test_the_rigid_bound_is_that_of_a_ring() -> None:
    """p = E e t/r over four walls, by hand: 4 x 2 x E e t x height, the wall at its mean thickness."""
    found = restraint.restraint(dims(), 48)
    one = dims()
    above = one.width / 2 - (one.core_half_x(one.ledge_z) + one.core_half_x(one.end_z)) / 2
    below = one.width / 2 - (one.core_half_x(0) + one.core_half_x(one.ledge_z)) / 2 - one.step
    by_hand = 8 * found.modulus * found.strain.total * (above * (one.end_z - one.ledge_z) + below * one.ledge_z)
    assert found.rigid == pytest.approx(by_hand, rel=1e-9)


def test_the_published_upper_bound_in_proportion() -> None:
    """A rigid undraughted core of 300 x 300 x 900 mm, wall 50 mm, 6.8 microstrain and 21.7 GPa: 53 kN, x 0.57 = 30 kN.

    What this core would have by the same formula, in proportion of strain, modulus, wall and height: within 10 %.
    """
    found, one = restraint.restraint(dims(), 48), dims()
    there = 0.049 * 4 * 300 * 900
    wall = one.width / 2 - one.core_half_x(one.end_z / 2)
    here = there * (found.strain.total / 6.8e-6) * (found.modulus / 21_700) * (wall / 50) * (one.end_z / 900)
    assert there * 0.57 / 1000 == pytest.approx(30, abs=0.5)
    assert found.rigid == pytest.approx(here, rel=0.1)


def test_a_core_of_sheet_gives_way() -> None:
    """Less than half of the bound; with steel without end only the concrete's own bed gives way, by a few percent."""
    found = restraint.restraint(dims(), 48)
    assert 0.2 < found.normal / found.rigid < 0.5
    one = dims()
    steel = replace(one.stock.steel, elastic_modulus_mpa=1e12)
    stiff = restraint.restraint(replace(one, stock=replace(one.stock, steel=steel)), 48)
    assert 0.95 < stiff.corners / stiff.rigid < 1.0


def frame(rigidity: float, bed: float, half: float, moves: float, axial: float, count: int = 400) -> float:
    """Force at a corner of half a wall on a bed that moves, by finite differences of a beam: w'''' D = bed (moves - w).

    The corner does not turn and gives way by its force over ``axial``; in the middle of the wall slope and shear are 0.
    """
    step = half / count
    size = count + 5  # two ghost points at each end
    matrix, right = np.zeros((size, size)), np.zeros(size)
    for i in range(count + 1):
        row = i + 2
        matrix[i, row - 2 : row + 3] = rigidity / step**4 * np.array([1, -4, 6, -4, 1])
        matrix[i, row] += bed
        right[i] = bed * moves
    matrix[count + 1, [1, 3]] = -1, 1  # no slope at the corner
    shear = rigidity / (2 * step**3) * np.array([-1, 2, 0, -2, 1])
    matrix[count + 2, 0:5] = shear  # its shear is what the corner gives way to
    matrix[count + 2, 2] += axial
    matrix[count + 3, [count + 1, count + 3]] = -1, 1
    matrix[count + 4, count : count + 5] = np.array([-1, 2, 0, -2, 1])
    found = np.linalg.solve(matrix, right)
    return float(axial * abs(found[2]))


@pytest.mark.parametrize("half", [80.0, 131.0])
@pytest.mark.parametrize("axial", [1e9, 4800.0])
def test_a_strip_on_its_bed_against_finite_differences(half: float, axial: float) -> None:
    """The closed form of an endless strip, in series with what gives way behind the corner, on a wall's half: 1 %."""
    rigidity, bed = 210_000 * 3**3 / 12 / 0.91, 700.0
    closed = restraint.in_series(restraint.strip_stiffness(rigidity, bed), axial)
    assert frame(rigidity, bed, half, 1.0, axial) == pytest.approx(closed, rel=0.01)


def test_nothing_at_stripping_more_each_day() -> None:
    found = [restraint.restraint(dims(), age) for age in (24, 48, 96, 168)]
    assert found[0].normal == found[0].approach == 0.0
    for column in (
        [one.normal for one in found], [one.approach for one in found], [one.strain.sealed for one in found],
    ):  # fmt: skip
        assert column == sorted(column)
        assert len(set(column)) == 4


def test_a_core_in_concrete_that_is_stripped_late_is_gripped_at_once() -> None:
    """Sealed, concrete shrinks from its first day on, whether the panels come off or not."""
    late = derive(changed(load("hill-example"), {"concrete.stripping_age": 72}))
    found = restraint.strain_at(late, 72)
    assert found.dried == 0.0
    assert found.sealed == pytest.approx(restraint.strain_at(dims(), 72).sealed)
    assert found.sealed > 2e-6


def test_drying_is_a_share() -> None:
    none, half = (restraint.strain_at(dims(drying=share), 48) for share in (0.0, 0.5))
    assert none.dried == 0.0
    assert half.dried == pytest.approx(10 * restraint.strain_at(dims(), 48).dried)
    assert none.sealed == half.sealed


def test_released_by_travel() -> None:
    """s sin d is the approach: strain times half of the core over its ledge strips."""
    found = restraint.restraint(dims(), 48)
    assert found.approach == pytest.approx(found.strain.total * (131 + 6), rel=1e-3)
    assert found.approach / math.sin(math.radians(1)) < 0.1


def test_springs_in_a_row() -> None:
    assert restraint.in_series(2.0, 2.0) == 1.0
    assert restraint.in_series(3.0, math.inf) == 3.0
