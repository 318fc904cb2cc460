"""Grades of inch bolts against SAE J429, as printed in ksi.

1 ksi is 6.894757 MPa; the table has tenths of a megapascal, cut and not rounded up, so 0.1 MPa below and none above.
"""

from __future__ import annotations

import pytest

from mouldgeom import tables
from mouldgeom.strength_classes import classes_for, strength_class

KSI = 4.4482216152605 / 25.4**2 * 1000
"""Newtons of a pound over the square millimetres of a square inch: MPa in a ksi."""
PRINTED = [
    ("grade 2", "1/4-20", 55, 57, 74, "none"),
    ("grade 2", "3/4-10", 55, 57, 74, "none"),
    ("grade 2", "7/8-9", 33, 36, 60, "none"),
    ("grade 2", "1-8", 33, 36, 60, "none"),
    ("grade 5", "3/8-16", 85, 92, 120, "3 radial lines"),
    ("grade 5", "1-8", 85, 92, 120, "3 radial lines"),
    ("grade 8", "1/4-20", 120, 130, 150, "6 radial lines"),
    ("grade 8", "1-8", 120, 130, 150, "6 radial lines"),
]
"""Grade, thread, proof, yield and tensile strength, head marking (grade 8 and markings: chart of head markings)."""


@pytest.mark.parametrize(("grade", "thread", "proof", "yields", "breaks", "marking"), PRINTED)
def test_grades(grade: str, thread: str, proof: float, yields: float, breaks: float, marking: str) -> None:
    found = strength_class(grade, tables.bolt(thread))
    for value, printed in ((found.proof_mpa, proof), (found.yield_mpa, yields), (found.ultimate_mpa, breaks)):
        assert printed * KSI - 0.1 < value <= printed * KSI
    assert found.marking == marking


def test_grades_are_those_of_inch_threads() -> None:
    assert classes_for(tables.bolt("3/8-16")) == ("grade 2", "grade 5", "grade 8", "unmarked")


@pytest.mark.parametrize("length", tables.bolt_lengths("3/8-16"))
def test_every_bolt_is_short_enough_for_grade_2(length: float) -> None:
    """Longer than 6 in, a bolt of grade 2 has the strength of grade 1."""
    assert length <= 6 * 25.4
