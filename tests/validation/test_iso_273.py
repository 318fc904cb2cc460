"""Clearance holes for bolts against ISO 273:1979 (EN 20273:1991), the table of fine, medium and coarse series.

Printed values are exact nominal sizes: compared for equality.
"""

from __future__ import annotations

import pytest

from mouldgeom import tables


@pytest.mark.parametrize(
    ("designation", "fine", "medium", "coarse"),
    [
        ("M6", 6.4, 6.6, 7),
        ("M10", 10.5, 11, 12),
        ("M12", 13, 13.5, 14.5),
        ("M14", 15, 15.5, 16.5),
        ("M16", 17, 17.5, 18.5),
        ("M22", 23, 24, 26),
        ("M24", 25, 26, 28),
    ],
)
def test_printed_holes(designation: str, fine: float, medium: float, coarse: float) -> None:
    bolt = tables.bolt(designation)
    assert (bolt.hole_fine_mm, bolt.hole_medium_mm, bolt.hole_coarse_mm) == (fine, medium, coarse)


@pytest.mark.parametrize(
    ("designation", "fine", "medium", "coarse"),
    [("M8", 8.4, 9, 10), ("M20", 21, 22, 24), ("M27", 28, 30, 32), ("M30", 31, 33, 35)],
)
def test_holes_from_memory(designation: str, fine: float, medium: float, coarse: float) -> None:
    """Same table, these rows from memory."""
    bolt = tables.bolt(designation)
    assert (bolt.hole_fine_mm, bolt.hole_medium_mm, bolt.hole_coarse_mm) == (fine, medium, coarse)


@pytest.mark.parametrize(("designation", "trap"), [("M12", 14), ("M16", 18)])
def test_the_columns_of_some_public_files_are_not_in(designation: str, trap: float) -> None:
    """Public data files give 14 and 18 as the medium holes of M12 and M16, and mix the medium and coarse columns."""
    assert tables.bolt(designation).hole_medium_mm != trap
    assert tables.bolt("M10").hole_medium_mm != 12
    assert tables.bolt("M24").hole_medium_mm != 27


@pytest.mark.parametrize(
    ("designation", "clearance"), [("M16", 2), ("M20", 2), ("M22", 2), ("M24", 2), ("M27", 3), ("M30", 3)]
)
def test_medium_hole_is_within_structural_clearance(designation: str, clearance: float) -> None:
    """EN 1090-2:2008+A1, Table 11: nominal clearance of normal round holes, 2 mm for M16 to M24, 3 mm from M27."""
    bolt = tables.bolt(designation)
    assert 0 < bolt.hole_medium_mm - bolt.diameter_mm <= clearance
