"""Equivalent age at 20 C: Arrhenius by Danish Technological Institute TI-B 103 (94), beside Nurse-Saul by ASTM C1074.

TI-B 103: H = exp[E/R (1/293 - 1/(273 + T))], E 33.5 kJ/mol and 1.47 kJ/mol more for each degree below 20 C (both from
memory); H worked by hand.  ASTM C1074 by a general page: 12 h at 20 C and 12 h at 25 C, datum 0 C, are 240 + 300 =
540 C h; its "0 C or 14 F" are two datums, by which 24 h at 10 C count as 12 or 16 h.

Half of the last printed digit; the two methods 1 % where it is warm.
"""

from __future__ import annotations

import pytest

from mouldgeom.filter.early_age import age_at_20, rate_of_ageing


@pytest.mark.parametrize(
    ("temperature", "rate"), [(5, 0.292), (10, 0.497), (15, 0.747), (20, 1.0), (25, 1.260), (30, 1.574), (40, 2.408)]
)
def test_rate_of_ageing(temperature: float, rate: float) -> None:
    assert rate_of_ageing(temperature) == pytest.approx(rate, abs=5e-4)


def nurse_saul(steps: list[tuple[float, float]], datum: float = 0.0) -> float:
    """Maturity of hours at temperatures, in C h."""
    return sum(hours * (temperature - datum) for hours, temperature in steps)


def test_a_day_at_20_and_25_degrees() -> None:
    """540 C h are 27 h at 20 C; Arrhenius has 12 + 12 x 1.26 = 27.1."""
    steps = [(12.0, 20.0), (12.0, 25.0)]
    assert nurse_saul(steps) == 540
    aged = 24 * sum(age_at_20(hours, temperature) for hours, temperature in steps)
    assert aged == pytest.approx(540 / 20, rel=0.01)


def test_a_cold_day_counts_for_no_more_than_by_either_datum() -> None:
    """24 h at 10 C: 12 h with a datum of 0 C, 16 h with one of -10 C, 11.9 h by Arrhenius, which is taken."""
    cold = [(24.0, 10.0)]
    by_datum = [nurse_saul(cold, datum) / (20 - datum) for datum in (0.0, -10.0)]
    assert by_datum == pytest.approx([12.0, 16.0])
    aged = 24 * age_at_20(24, 10)
    assert aged == pytest.approx(11.9, abs=0.05)
    assert aged <= min(by_datum)
