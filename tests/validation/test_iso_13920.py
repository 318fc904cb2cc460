"""General tolerances of weldments against ISO 13920:1996 (and 2023), Tables 1 and 3.

Printed values, compared for equality.  The trap: the first cell of Table 1 (1 mm for 2 to 30 mm) is shared by all
classes, so many copies print classes B to D one column to the left of their place.
"""

from __future__ import annotations

import pytest

from mouldgeom import tables
from mouldgeom.errors import TableError

LIMITS = (2, 30, 120, 400, 1000, 2000, 4000, 8000)
LINEAR = {
    "A": (1, 1, 1, 2, 3, 4, 5),
    "B": (1, 2, 2, 3, 4, 6, 8),
    "C": (1, 3, 4, 6, 8, 11, 14),
    "D": (1, 4, 7, 9, 12, 16, 21),  # from memory
}
FLAT_LIMITS = (30, 120, 400, 1000, 2000, 4000)
FLAT = {
    "E": (0.5, 1, 1.5, 2, 3),
    "F": (1, 1.5, 3, 4.5, 6),
    "G": (1.5, 3, 5.5, 9, 11),  # from memory but for the first value
    "H": (2.5, 5, 9, 14, 18),  # from memory
}


@pytest.mark.parametrize("name", LINEAR)
def test_linear_rows(name: str) -> None:
    """Table 1; the first value of B and C from memory."""
    for over, to, value in zip(LIMITS, LIMITS[1:], LINEAR[name], strict=False):
        for nominal in (over + 1e-6, (over + to) / 2, to):
            assert tables.weld_tolerance(nominal, name) == value
            assert tables.weld_tolerance(nominal, name.lower()) == value
    assert tables.weld_tolerance(2, name) == 1


def test_the_columns_are_not_shifted() -> None:
    """A shifted copy gives 2 mm for a 20 mm class B dimension and 4 mm for one of 600 mm."""
    assert tables.weld_tolerance(20, "B") == tables.weld_tolerance(20, "C") == 1
    assert tables.weld_tolerance(600, "B") == 3
    assert tables.weld_tolerance(600, "C") == 6


@pytest.mark.parametrize("name", FLAT)
def test_flatness_rows(name: str) -> None:
    """Table 3, columns from over 30 mm."""
    for over, to, value in zip(FLAT_LIMITS, FLAT_LIMITS[1:], FLAT[name], strict=False):
        for nominal in (over + 1e-6, (over + to) / 2, to):
            assert tables.weld_flatness(nominal, name) == value


def test_look_up() -> None:
    """A 600 mm side of a weldment: +/- 3 mm in class B, 3 mm flatness in class F."""
    assert tables.weld_tolerance(600, "B") == 3
    assert tables.weld_flatness(600, "F") == 3


@pytest.mark.parametrize(("nominal", "name"), [(1.9, "A"), (8001, "A"), (100, "X"), (100, "E"), (float("nan"), "B")])
def test_linear_outside_the_table(nominal: float, name: str) -> None:
    with pytest.raises(TableError, match="outside the table"):
        tables.weld_tolerance(nominal, name)


@pytest.mark.parametrize(("nominal", "name"), [(30, "E"), (4001, "F"), (100, "X"), (100, "A")])
def test_flatness_outside_the_table(nominal: float, name: str) -> None:
    with pytest.raises(TableError, match="outside the table"):
        tables.weld_flatness(nominal, name)
