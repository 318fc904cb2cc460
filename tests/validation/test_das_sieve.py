"""Sieve analysis against published examples.

Das, Principles of Geotechnical Engineering, Examples 2.1 and 2.2 (masses, percent finer, sizes read off a graph); a
student problem with its published answers; Davis, Water and Wastewater Engineering (2010), Example 11-2 (geometric mean
sizes); Woessner and Poeter, The Groundwater Project (2020), Solution 6 (uniformity).

Tolerances: percentages to the printed digit; sizes read off a graph 7 %, since a log-linear d60 differs that much from
the reading; printed sizes of two digits half of the last digit plus 2 %.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from mouldgeom.filter.sand import Grading, SieveAnalysis, opening_of, read_sieve_csv, sieve_openings

DAS_SIEVES = ("No.4", "10", "20", "40", "60", "80", "100", "200", "pan")
DAS_MASSES = (0, 40, 60, 89, 140, 122, 210, 56, 12)
DAS_OPENINGS = (4.75, 2.00, 0.850, 0.425, 0.250, 0.180, 0.150, 0.075)
DAS_FINER = (100, 94.5, 86.3, 74.1, 54.9, 38.1, 9.3, 1.7)


@pytest.fixture
def das(tmp_path: Path) -> SieveAnalysis:
    file = tmp_path / "das.csv"
    lines = [f"{name},{mass}" for name, mass in zip(DAS_SIEVES, DAS_MASSES, strict=True)]
    file.write_text("sieve,retained_g\n" + "\n".join(lines), encoding="utf-8")
    return read_sieve_csv(file, sample_g=729)


def test_das_example_2_1_percent_finer(das: SieveAnalysis) -> None:
    assert das.grading.openings == DAS_OPENINGS
    assert das.grading.passing[:-1] == pytest.approx(DAS_FINER[:-1], abs=0.051)  # printed to 0.1
    # 12 g of 729 g are 1.646 %; the book prints 1.7, the rounding of the lines above having added up
    assert das.grading.passing[-1] == pytest.approx(12 / 729 * 100)
    assert das.grading.passing[-1] == pytest.approx(DAS_FINER[-1], abs=0.1)
    assert das.loss == 0.0


def test_das_example_2_2_sizes_read_off_the_graph(das: SieveAnalysis) -> None:
    grading = das.grading
    assert grading.d10 == pytest.approx(0.15, rel=0.07)
    assert grading.d30 == pytest.approx(0.17, rel=0.07)
    assert grading.d60 == pytest.approx(0.27, rel=0.07)
    assert grading.uniformity == pytest.approx(1.8, rel=0.07)
    # 0.71 = 0.17^2/(0.15 x 0.27); it carries three readings, so their tolerance adds up
    assert grading.curvature == pytest.approx(0.71, rel=0.14)


def test_das_example_log_linear_values() -> None:
    """Worked by hand from the printed percentages of Example 2.1, to the digits worked."""
    grading = Grading(DAS_OPENINGS, DAS_FINER)
    assert grading.d10 == pytest.approx(0.1507, abs=5e-5)
    assert grading.d30 == pytest.approx(0.1710, abs=5e-5)
    assert grading.d60 == pytest.approx(0.2878, abs=5e-5)
    assert grading.uniformity == pytest.approx(1.911, abs=1e-3)


def test_student_problem_with_published_answers(tmp_path: Path) -> None:
    """Published d10, d30, d60 0.14, 0.27, 0.42 mm; that they answer these masses is inferred from the match."""
    openings = (4.75, 2.00, 0.85, 0.425, 0.25, 0.15, 0.075, 0)
    masses = (28, 42, 48, 128, 221, 86, 40, 24)
    file = tmp_path / "problem.csv"
    lines = [f"{size},{mass}" for size, mass in zip(openings, masses, strict=True)]
    file.write_text("opening_mm,retained_g\n" + "\n".join(lines), encoding="utf-8")
    grading = read_sieve_csv(file).grading
    assert grading.passing == pytest.approx((95.46, 88.65, 80.88, 60.13, 24.31, 10.37, 3.89), abs=0.0051)
    for value, printed in ((grading.d10, 0.14), (grading.d30, 0.27), (grading.d60, 0.42)):
        assert value == pytest.approx(printed, abs=0.005 + 0.02 * printed)
    assert 2.9 <= grading.uniformity <= 3.0
    assert grading.fines == pytest.approx(3.89, abs=0.0051)


def test_groundwater_project_uniformity() -> None:
    """d10 0.66 and d60 1.3 mm give 1.96 by the graph, 1.97 by division."""
    grading = Grading((1.3, 0.66), (60.0, 10.0))
    assert (grading.d10, grading.d60) == pytest.approx((0.66, 1.3))
    assert grading.uniformity == pytest.approx(1.96, abs=0.011)


@pytest.mark.parametrize(
    ("coarse", "fine", "mean_mm"),
    [
        (8, 12, 2.00), (12, 16, 1.42), (16, 20, 1.00), (20, 30, 0.714), (30, 40, 0.505), (40, 50, 0.357),
        (50, 70, 0.252), (70, 100, 0.178), (100, 140, 0.126),
    ],
)  # fmt: skip
def test_sieve_table_against_davis_mean_sizes(coarse: int, fine: int, mean_mm: float) -> None:
    """Davis, Example 11-2, prints geometric means of neighbouring sieves: a second number for the openings."""
    openings = (opening_of(f"No.{coarse}"), opening_of(f"No.{fine}"))
    grading = Grading(openings, (100.0, 0.0))
    (only,) = grading.fractions()
    assert only.size == pytest.approx(mean_mm, rel=0.003)  # printed to three digits


def test_sieve_table_against_the_ratio_of_the_series() -> None:
    """Davis, ch. 11: the American series steps by the fourth root of two; openings are rounded by up to 4 %."""
    openings = [size for name, size in sieve_openings().items() if name.startswith("No.")]
    assert openings == sorted(openings, reverse=True)
    for coarse, fine in pairwise(openings):
        assert coarse / fine == pytest.approx(2**0.25, rel=0.04)
