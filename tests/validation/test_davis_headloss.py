"""Clean-bed head loss: Davis, Water and Wastewater Engineering (2010), Example 11-2.

Tolerance: each number of the table to its last printed digit.  The example takes g = 9.81; ours is 9.80665, which the
table does not see and the sum moves by 0.03 %, below the printed digit.
"""

from __future__ import annotations

import pytest

from mouldgeom.filter.hydraulics import CleanBed, rose_drag
from mouldgeom.filter.sand import SieveFraction

# percent retained, d in m, R, C_D, C_D f/d in 1/m, as printed
TABLE = [
    (5.3, "0.002", "3.1370", "9.684551", "256.64"),
    (17.1, "0.00142", "2.2272", "13.12587", "1580.7"),
    (14.6, "0.001", "1.5685", "18.03689", "2633.4"),
    (20.4, "0.000714", "1.1199", "24.60549", "7030.1"),
    (17.6, "0.000505", "0.79208", "34.01075", "11853"),
    (11.9, "0.000357", "0.55995", "47.21035", "15737"),
    (5.9, "0.000252", "0.39526", "60.72009", "14216"),
    (3.1, "0.000178", "0.27919", "85.96328", "14971"),
    (0.7, "0.000126", "0.19763", "121.4402", "6746.7"),
]
FRACTIONS = tuple(SieveFraction(float(size) * 1000, percent / 100) for percent, size, *_ in TABLE)
BED = CleanBed(FRACTIONS, depth=500, velocity=0.0025, porosity=0.45, sphericity=0.82, viscosity=1.307e-6)


def last_digit(text: str) -> float:
    return 10.0 ** -len(text.partition(".")[2])


@pytest.mark.parametrize(("row", "fraction"), list(zip(TABLE, FRACTIONS, strict=True)))
def test_table_to_the_printed_digit(row: tuple[float, str, str, str, str], fraction: SieveFraction) -> None:
    _, _, reynolds, drag, term = row
    ours = BED.reynolds(fraction.size)
    assert ours == pytest.approx(float(reynolds), abs=0.51 * last_digit(reynolds))
    assert rose_drag(ours) == pytest.approx(float(drag), abs=0.51 * last_digit(drag))
    assert BED.rose_term(fraction) == pytest.approx(float(term), abs=0.51 * last_digit(term))


def test_sum_and_head_loss() -> None:
    assert sum(BED.rose_term(part) for part in FRACTIONS) == pytest.approx(75025, abs=0.51)
    rose = BED.rose()
    assert f"{rose.value:.2f}" == "0.76"
    assert rose.value == pytest.approx(0.7584, rel=1e-3)  # worked at g = 9.81
    assert rose.valid


def test_other_formulas_on_the_same_data() -> None:
    """Worked by hand from the formulas of Davis, Table 11-2, at g = 9.81: a useful size of their spread."""
    assert BED.ergun().value == pytest.approx(0.576, rel=1.5e-3)
    assert BED.fair_hatch().value == pytest.approx(0.683, rel=1.5e-3)


def test_limits_of_validity_are_reported() -> None:
    assert not BED.fair_hatch().valid  # the coarsest grains run at R = 3.1, no longer laminar
    fast = CleanBed(FRACTIONS, 500, 0.005, 0.45, 0.82, 1.307e-6)
    (finding,) = fast.rose().findings
    assert not finding.holds
    assert finding.ends[0].value == pytest.approx(6.274, abs=1e-3)
    assert finding.ends[-1].limit == 6.0


def test_losses_at_household_rates_stay_far_below() -> None:
    """At 0.4 m/h the same bed is laminar, and all five formulas agree within their usual factor of two."""
    slow = CleanBed(FRACTIONS, 500, 0.4 / 3600, 0.45, 0.82, 1.307e-6)
    values = [estimate.value for estimate in slow.all()]
    assert all(estimate.valid for estimate in slow.all())
    assert max(values) < 2 * min(values)
