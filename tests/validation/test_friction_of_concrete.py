"""Friction of concrete on steel: BS 5975:2008 (seen, quoted by a concrete society), Rabbat and Russell 1985 (seen).

BS 5975: plain unrusted steel on cast concrete 0.1.  Rabbat and Russell, J. Struct. Eng. 111(3):505: concrete cast on
rolled steel 0.57 dry, 0.65 wet, 0.70 the greatest of the tests.  Values compared for equality; worked forces 0.1 %.
"""

from __future__ import annotations

import re

import pytest

from mouldgeom.model.assembly import Mould
from mouldgeom.spec.fields import ExtractionGroup
from mouldgeom.strength import pull


def test_what_is_reckoned_with() -> None:
    """Least where friction helps, and dry cast steel where it hinders."""
    assert pull.OUTSIDE_FRICTION == 0.1
    assert ExtractionGroup().friction == 0.57


def test_what_is_set_beside_it(hill: Mould) -> None:
    """The comparison: frictions as published, and PCI's multipliers for an oiled mould, 1.3 and 1.7 (from memory)."""
    texts = [str(row[0]) for row in pull.comparison_table(hill).rows]
    numbers = [float(n) for text in texts[1:] for n in re.findall(r"(?:friction of|multiplier) ([0-9.]+)", text)]
    assert numbers == [0.1, 0.57, 0.65, 0.7, 1.3, 1.7]


def test_what_keeps_the_body_in_its_box(hill: Mould) -> None:
    """By hand, panels 364 mm wide and 886.26 mm high, 5 kPa, 22.157 kPa at the foot and a grip of 0.3.

    Adhesion 5e-3 x 1456 x 886.26 = 6452 N; friction 0.1 x 0.3 x 1456 x 886.26 x 22.157e-3/2 = 429 N.
    """
    kept, lifted = pull.hold_down(hill, pull.Sticking(5.0, 5.0, 0.3, 0.3, 0.0, 24.0))
    assert kept - pull.body_weight(hill) == pytest.approx(6452 + 429, rel=1e-3)
    assert lifted < kept
