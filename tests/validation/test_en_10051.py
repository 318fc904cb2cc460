"""Thickness of hot-rolled sheet cut from coil against EN 10051:1991+A1:1997, category A.

Printed values, compared for equality; the same table was seen in two copies.
"""

from __future__ import annotations

import pytest

from mouldgeom import tables
from mouldgeom.errors import TableError

WIDTHS = (1000, 1300, 1600, 2000)
WIDEST = (1200, 1500, 1800, 2200)
PRINTED = {
    2.0: (0.17, 0.19, 0.21, None),
    2.5: (0.18, 0.21, 0.23, 0.25),
    3.0: (0.20, 0.22, 0.24, 0.26),
    4.0: (0.22, 0.24, 0.26, 0.27),
    5.0: (0.24, 0.26, 0.28, 0.29),
    6.0: (0.26, 0.28, 0.29, 0.31),
    8.0: (0.29, 0.30, 0.31, 0.35),
    10.0: (0.32, 0.33, 0.34, 0.40),
    12.5: (0.35, 0.36, 0.37, 0.43),
    15.0: (0.37, 0.38, 0.40, 0.46),
}


@pytest.mark.parametrize("thickness", PRINTED)
@pytest.mark.parametrize("widths", [WIDTHS, WIDEST], ids=["inside", "upper limits"])
def test_printed_rows(thickness: float, widths: tuple[float, ...]) -> None:
    """A row by its upper limit, which belongs to it: 3.00 mm sheet is in >2.50 to 3.00."""
    for width, value in zip(widths, PRINTED[thickness], strict=True):
        if value is None:
            with pytest.raises(TableError, match="blank"):
                tables.sheet_tolerance(thickness, width)
        else:
            assert tables.sheet_tolerance(thickness, width) == value
            assert tables.sheet_tolerance(thickness - 0.3, width) == value


def test_look_up() -> None:
    """3 mm sheet from a coil 1250 mm wide: +/- 0.22 mm; 1/8 in plate is in the next range."""
    assert tables.sheet_tolerance(3.0, 1250) == 0.22
    assert tables.sheet_tolerance(3.175, 1250) == 0.24


@pytest.mark.parametrize(("thickness", "width"), [(0, 1250), (15.1, 1250), (3, 0), (3, 2201)])
def test_outside_the_table(thickness: float, width: float) -> None:
    with pytest.raises(TableError, match="outside the table"):
        tables.sheet_tolerance(thickness, width)
