"""Strength against age as a hyperbola: MacGregor, Reinforced Concrete, 2nd ed., in the form of ACI 209.

t/(4 + 0.85 t) for cement Type I and t/(2.3 + 0.92 t) for Type III, t in days moist; the values below were worked by
hand from the printed formulas.  Beside it a rule of thumb of building practice: 16, 40, 65, 90 and 99 % of the design
strength at 1, 3, 7, 14 and 28 days.

Half of the last printed digit; the rule of thumb a quarter.
"""

from __future__ import annotations

import pytest

from mouldgeom.filter.early_age import NORMAL, RAPID, SLOW, Cement, early_factor, hyperbola

AGES = (0.5, 0.75, 1, 2, 3)


@pytest.mark.parametrize(
    ("cement", "shares"),
    [
        (SLOW, (0.113, 0.162, 0.206, 0.351, 0.458)),
        (NORMAL, (0.113, 0.162, 0.206, 0.351, 0.458)),
        (RAPID, (0.181, 0.251, 0.311, 0.483, 0.593)),
    ],
)
def test_shares_of_the_first_days(cement: Cement, shares: tuple[float, ...]) -> None:
    assert [hyperbola(age, cement) for age in AGES] == pytest.approx(shares, abs=5e-4)


def test_the_rule_of_thumb_is_of_the_same_size() -> None:
    """As shares of the mean strength; at one day, at which tests spread by a factor of two, the least agreement."""
    shares = [early_factor(age) for age in (1, 3, 7, 14, 28)]
    assert shares == pytest.approx([0.16, 0.40, 0.65, 0.90, 0.99], rel=0.25)
    assert shares[1:] == pytest.approx([0.40, 0.65, 0.90, 0.99], rel=0.15)
