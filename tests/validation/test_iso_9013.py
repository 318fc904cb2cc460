"""Limit deviations of thermal cuts against ISO 9013:2017, tolerance classes 1 and 2.

Printed values, compared for equality.  The 2002 edition has other numbers and only eight columns.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom import tables
from mouldgeom.errors import TableError

# one nominal size inside each column: >0-<3, >=3-<10, >=10-<35, ... >=6000-<8000
INSIDE = (1, 5, 20, 60, 200, 500, 1500, 3000, 5000, 7000)
FIRST = (1e-9, 3, 10, 35, 125, 315, 1000, 2000, 4000, 6000)
LAST = tuple(math.nextafter(end, 0) for end in (*FIRST[1:], 8000))

PRINTED = {
    (1, 1.0): (0.075, 0.10, 0.10, 0.20, 0.20, 0.30, 0.40, 0.65, 0.90, 1.60),
    (1, 2.0): (0.10, 0.15, 0.20, 0.25, 0.25, 0.35, 0.40, 0.65, 1.00, 1.75),
    (1, 5.0): (0.20, 0.20, 0.25, 0.25, 0.30, 0.40, 0.45, 0.70, 1.10, 1.90),
    (1, 8.0): (None, 0.25, 0.30, 0.30, 0.35, 0.45, 0.55, 0.75, 1.25, 2.20),
    (1, 12.0): (None, 0.30, 0.35, 0.40, 0.45, 0.55, 0.65, 0.85, 1.50, 2.50),
    (2, 1.0): (0.5, 0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 0.9, None, None),
    (2, 2.0): (0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 1, 1.1, 1.4, 1.4),
    (2, 5.0): (0.7, 0.8, 0.9, 0.9, 1.1, 1.2, 1.3, 1.3, 1.6, 1.6),
    (2, 8.0): (None, 1, 1.1, 1.3, 1.4, 1.5, 1.6, 1.7, 1.9, 2),
    (2, 12.7): (None, 1.8, 1.8, 1.8, 1.9, 2.3, 3, 4.2, 4.3, 4.5),
}


@pytest.mark.parametrize(("quality", "thickness"), PRINTED)
@pytest.mark.parametrize("sizes", [INSIDE, FIRST, LAST], ids=["inside", "first", "last"])
def test_printed_rows(quality: int, thickness: float, sizes: tuple[float, ...]) -> None:
    """Whole rows.  Where a row has fewer numbers than columns, which column is blank is inferred."""
    for nominal, value in zip(sizes, PRINTED[quality, thickness], strict=True):
        if value is None:
            with pytest.raises(TableError, match="blank"):
                tables.cut_tolerance(thickness, nominal, quality)
        else:
            assert tables.cut_tolerance(thickness, nominal, quality) == value


def test_look_up() -> None:
    """4 mm plate, a side of 600 mm, plasma (class 2): +/- 1.2 mm."""
    quality = tables.cutting_process("plasma").quality
    assert tables.cut_tolerance(4.0, 600.0, quality) == 1.2


@pytest.mark.parametrize(
    ("thickness", "value"), [(1.0, 0.8), (1.001, 0.9), (3.15, 0.9), (3.175, 1.2), (6.3, 1.2), (6.35, 1.5), (10.0, 1.5)]
)
def test_a_thickness_range_takes_its_upper_limit_in(thickness: float, value: float) -> None:
    """>1 to 3.15, >3.15 to 6.3: so 1/8 in (3.175) and 1/4 in (6.35) plate fall into the next range."""
    assert tables.cut_tolerance(thickness, 500, 2) == value


@pytest.mark.parametrize(
    ("thickness", "nominal", "quality"),
    [
        (0, 100, 2),
        (15.01, 100, 2),
        (3, 8000, 2),
        (3, 0, 2),
        (3, -5, 2),
        (3, 100, 3),
        (math.nan, 100, 2),
        (3, math.nan, 1),
    ],
)
def test_outside_the_table(thickness: float, nominal: float, quality: int) -> None:
    with pytest.raises(TableError, match="outside the table") as caught:
        tables.cut_tolerance(thickness, nominal, quality)
    assert isinstance(caught.value, ValueError)


@pytest.mark.parametrize(("name", "quality"), [("oxyfuel", 2), ("plasma", 2), ("laser", 1)])
def test_usual_class(name: str, quality: int) -> None:
    """ISO 9013:2017: usual class of each process."""
    assert tables.cutting_process(name).quality == quality


@given(st.floats(0.01, 15), st.floats(0.01, 15), st.floats(3, 3999), st.floats(3, 3999), st.sampled_from([1, 2]))
def test_thicker_or_longer_is_never_tighter(t1: float, t2: float, n1: float, n2: float, quality: int) -> None:
    low = tables.cut_tolerance(min(t1, t2), min(n1, n2), quality)
    assert low <= tables.cut_tolerance(max(t1, t2), max(n1, n2), quality)
    assert tables.cut_tolerance(t1, n1, 1) < tables.cut_tolerance(t1, n1, 2)


@pytest.mark.parametrize(
    ("name", "kerf", "holes", "bevel"),
    [
        ("plasma", (1.0, 3.0), (1.5, 6), (1 + 5) / 2),
        ("laser", (0.1, 0.5), (1.0, 1), 1),
        ("oxyfuel", (1.5, 3.0), (2.0, 12), 1),
    ],
)
def test_kerf_holes_and_bevel(name: str, kerf: tuple[float, float], holes: tuple[float, float], bevel: float) -> None:
    """Plasma as seen (standard current; 1.5 t; bevel in the middle of 1 to 5 degrees); its least hole, and all of laser
    and oxyfuel, from memory, here as in the row: no published number was found.
    """
    process = tables.cutting_process(name)
    assert (process.kerf_low_mm, process.kerf_high_mm) == kerf
    assert (process.least_hole_ratio, process.least_hole_mm) == holes
    assert process.edge_angle_deg == bevel
