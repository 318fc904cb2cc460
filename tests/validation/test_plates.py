"""Plates in bending against Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, and Roark.

The books' tables were worked out by hand and differ from the exact series in the last figure: 0.5 % (Table 8), and
1 % for Roark's coefficients, which carry three figures.  nu = 0.3.  Rows of data/plate_coefficients.csv say themselves
whether they were seen, come from memory, or were computed.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from mouldgeom import plates, rules
from mouldgeom.mechanics.plate_fields import Coefficient, clamped_moment, coefficients, series_value


@pytest.mark.parametrize(
    ("ratio", "alpha"),
    [
        (1.0, 0.00406),
        (1.2, 0.00564),
        (1.4, 0.00705),
        (1.5, 0.00772),
        (1.6, 0.00830),
        (1.8, 0.00931),
        (2.0, 0.01013),
        (3.0, 0.01223),
        (5.0, 0.01297),
        (1e6, 0.01302),
    ],
)
def test_uniform_table_8(ratio: float, alpha: float) -> None:
    """Table 8, all edges simply supported, uniform load; b/a = 1 seen, the other rows from memory and recomputed."""
    assert rules.plate_deflection_uniform(1.0, ratio, 1.0, 1.0) == pytest.approx(alpha, rel=0.005)


def test_uniform_square_exact() -> None:
    """The series to four figures, 0.004062; and an infinite strip is a beam, 5/384: 1e-4 and 1e-6."""
    assert rules.plate_deflection_uniform(1, 1, 1, 1) == pytest.approx(0.004062, rel=1e-4)
    assert rules.plate_deflection_uniform(1, 1e9, 1, 1) == pytest.approx(5 / 384, rel=1e-6)


@pytest.mark.parametrize(
    ("ratio", "alpha"),
    [(1.0, 0.0444), (1.4, 0.0770), (1.8, 0.1017), (2.0, 0.1110), (3.0, 0.1335), (5.0, 0.1417), (1e6, 0.1421)],
)
def test_uniform_roark(ratio: float, alpha: float) -> None:
    """Roark's Formulas for Stress and Strain, 7th ed. 2002, Table 11.4 case 1a: y = alpha q b^4/(E t^3)."""
    rigidity = rules.plate_rigidity(210_000, 3, 0.3)
    deflection = rules.plate_deflection_uniform(300, 300 * ratio, 0.01, rigidity)
    assert deflection == pytest.approx(alpha * 0.01 * 300**4 / (210_000 * 3**3), rel=0.01)


def test_worked_plate() -> None:
    """300 x 300 x 3 mm, 10 kPa: D 519 231 N mm, w 0.633 mm (worked out with 0.00406, three figures): 0.2 %."""
    rigidity = rules.plate_rigidity(210_000, 3, 0.3)
    assert rigidity == pytest.approx(519_231, rel=1e-6)
    assert rules.plate_deflection_uniform(300, 300, 0.01, rigidity) == pytest.approx(0.633, rel=2e-3)


def test_sides_may_be_given_in_either_order() -> None:
    assert rules.plate_deflection_uniform(2, 1, 1, 1) == rules.plate_deflection_uniform(1, 2, 1, 1)


@pytest.mark.parametrize(("ratio", "alpha"), [(1.0, 0.00368), (0.5, 0.00229)])
def test_free_top(ratio: float, alpha: float) -> None:
    """Three edges simply supported, top free, hydrostatic: independent Ritz solution, not published; 0.3 % for its
    three figures.  The greatest deflection is at the free edge in both.
    """
    assert rules.plate_deflection_free_top(1.0, ratio, 1.0, 1.0) == pytest.approx(alpha, rel=0.003)


def ritz_free_top(ratio: float, poisson: float) -> float:
    """The same plate by energy: sines across, polynomials upwards, edge conditions of the free edge left to nature."""
    nodes, weights = np.polynomial.legendre.leggauss(40)
    y, w = (nodes + 1) / 2 * ratio, weights / 2 * ratio
    shapes = [
        np.polynomial.Polynomial([0, 1])
        * np.polynomial.Legendre.basis(i, [0, ratio]).convert(kind=np.polynomial.Polynomial)
        for i in range(11)
    ]
    value, slope, bend = (np.array([shape.deriv(d)(y) if d else shape(y) for shape in shapes]) for d in (0, 1, 2))
    heights = np.linspace(0, ratio, 65)
    total = np.zeros_like(heights)
    for m in range(1, 12, 2):
        k = m * math.pi
        lap = bend - k**2 * value
        energy = (lap * w) @ lap.T + (1 - poisson) * k**2 * (
            (value * w) @ bend.T + (bend * w) @ value.T + 2 * (slope * w) @ slope.T
        )
        load = 4 / k * (value * w) @ (1 - y / ratio)
        amplitudes = np.linalg.solve(energy, load)
        total += (-1) ** ((m - 1) // 2) * sum(a * shape(heights) for a, shape in zip(amplitudes, shapes, strict=True))
    return float(total.max())


@pytest.mark.parametrize("ratio", [0.2, 0.5, 1.0, 1.5, 2.5, 5.0])
@pytest.mark.parametrize("poisson", [0.0, 0.3])
def test_free_top_against_energy(ratio: float, poisson: float) -> None:
    """Levy's series in the rule against a Ritz solution here, over the stated limits of height / width: 0.2 %."""
    expected = ritz_free_top(ratio, poisson)
    assert rules.plate_deflection_free_top(1.0, ratio, 1.0, 1.0, poisson) == pytest.approx(expected, rel=0.002)


def test_free_top_lies_between_known_cases() -> None:
    """Square: above hydrostatic with all four edges held (Art. 31, greatest 0.00205, recomputed), and below uniform
    load with one edge free (Art. 48, 0.01286).
    """
    assert 0.00205 < rules.plate_deflection_free_top(1, 1, 1, 1) < 0.01286


def test_free_top_scales() -> None:
    """w = alpha q a^4 / D (exact)."""
    one = rules.plate_deflection_free_top(1, 2, 1, 1)
    assert rules.plate_deflection_free_top(300, 600, 0.02, 5e5) == pytest.approx(one * 0.02 * 300**4 / 5e5)


# ---------------------------------------------------------------- fields under pressure that changes with height

PUBLISHED = [row for row in coefficients() if row.quantity != "table moment"]
COARSE = {"memory": 0.02, "seen": 0.01, "computed": 0.005}


def half_unit(value: float) -> float:
    """Half a unit of the last figure printed."""
    return 0.5 * 10.0 ** -len(f"{value}".partition(".")[2])


@pytest.mark.parametrize("row", PUBLISHED, ids=[f"{r.case}-{r.ratio:g}-{r.quantity}-{r.place}" for r in PUBLISHED])
def test_printed_rows(row: Coefficient) -> None:
    """Within the last figure printed or 1 % (seen), 2 % (from memory), 0.5 % (computed by another method).

    Roark's case 2a at a/b = 0.5 prints alpha 0.080 where the series has 0.0774: 3.5 % there.
    """
    relative = COARSE[row.evidence]
    if row.quantity == "roark alpha" and row.case == "free top" and row.ratio == 0.5:
        relative = 0.035
    assert series_value(row) == pytest.approx(row.value, abs=max(half_unit(row.value), relative * row.value))


def test_the_table_has_each_kind_of_evidence() -> None:
    evidence = [row.evidence for row in PUBLISHED]
    assert evidence.count("seen") >= 25
    assert evidence.count("memory") >= 60
    assert all(row.source for row in coefficients())


def test_strip_under_a_falling_load() -> None:
    """A field much wider than tall is a beam under a triangle: 0.00652 q L^4/D, 0.0642 q L^2 (seen, beam tables)."""
    found = plates.profile(0.1, 1.0, 0.0, free_top=False)
    assert plates.greatest(found.deflection)[0] / 0.1**4 == pytest.approx(0.00652, rel=2e-3)
    assert plates.greatest(found.upwards)[0] / 0.1**2 == pytest.approx(0.0642, rel=2e-3)


@pytest.mark.parametrize("ratio", [0.3, 0.5, 0.8, 1.0, 1.25, 2.0, 3.0, 4.0])
def test_reactions_and_corner_forces_bear_the_plate(ratio: float) -> None:
    """Deflection by Navier's double series, which knows nothing of edges: 0.1 % over the plate's middle line."""
    share = 0.4
    found = plates.profile(ratio, 1.0, share, free_top=False)
    heights = np.linspace(0, 1, len(found.deflection))
    m, n = (a.ravel() for a in np.meshgrid(np.arange(1, 80, 2), np.arange(1, 200)))
    load = 8 / (math.pi**2 * m * n) * (1 - share * (-1.0) ** n)
    size = load / 1.0 / (math.pi**4 * (m**2 + (n / ratio) ** 2) ** 2)
    navier = [float(np.sum(size * np.sin(m * math.pi / 2) * np.sin(n * math.pi * s))) for s in heights]
    assert max(navier) == pytest.approx(max(found.deflection), rel=1e-3)
    assert np.allclose(navier, found.deflection, atol=1e-3 * max(found.deflection))


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("ratio", [0.3, 0.37, 0.5, 0.71, 1.0, 1.37, 2.0, 3.1, 4.0])
@pytest.mark.parametrize("share", [0.0, 0.13, 0.5, 0.77, 1.0])
def test_reading_against_the_series(ratio: float, share: float, free: bool) -> None:
    """The quick reading never falls short of the series by more than 2e-4, and exceeds it by 1 % at most."""
    exact = plates.greatest(plates.profile(ratio, 1.0, share, free_top=free).deflection)[0]
    read = plates.deflection_linear(1.0, ratio, 1.0, share, 1.0, free_top=free)
    assert (1 - 2e-4) * exact <= read <= 1.01 * exact


def ritz_clamped(ratio: float, share: float, free: bool) -> float:
    """Greatest edge moment of a clamped plate by energy: polynomials with two zeros at each clamped edge."""
    nodes, weights = np.polynomial.legendre.leggauss(40)
    poly, legendre = np.polynomial.Polynomial, np.polynomial.Legendre
    across = [
        (poly([0, 1]) * poly([1, -1])) ** 2 * legendre.basis(i, [0, 1]).convert(kind=poly) for i in range(0, 14, 2)
    ]
    foot = poly([0, 1 / ratio]) ** 2
    edge = foot if free else foot * poly([1, -1 / ratio]) ** 2
    upwards = [edge * legendre.basis(i, [0, ratio]).convert(kind=poly) for i in range(14)]
    x, w = (nodes + 1) / 2, weights / 2

    def values(shapes: list[np.polynomial.Polynomial], at: np.ndarray) -> list[np.ndarray]:
        return [np.array([(shape.deriv(d) if d else shape)(at) for shape in shapes]) for d in (0, 1, 2)]

    a, b = values(across, x), values(upwards, x * ratio)
    p = {(i, j): (a[i] * w) @ a[j].T for i in range(3) for j in range(3)}
    q = {(i, j): (b[i] * w * ratio) @ b[j].T for i in range(3) for j in range(3)}
    energy = (
        np.kron(p[2, 2], q[0, 0])
        + np.kron(p[0, 0], q[2, 2])
        + 0.3 * (np.kron(p[2, 0], q[0, 2]) + np.kron(p[0, 2], q[2, 0]))
        + 1.4 * np.kron(p[1, 1], q[1, 1])
    )
    load = np.kron(a[0] @ w, (b[0] * (1 - (1 - share) * x)) @ (w * ratio))
    size = np.linalg.solve(energy, load).reshape(len(across), len(upwards))
    grid = np.linspace(0, 1, 201)
    c, d = values(across, grid), values(upwards, grid * ratio)
    side = (c[2].T @ size @ d[0])[0].max()
    ends = c[0].T @ size @ d[2]
    return float(max(side, ends[:, 0].max(), 0.0 if free else ends[:, -1].max()))


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize(("ratio", "share"), [(0.25, 1.0), (0.5, 0.0), (0.8, 0.5), (1.0, 1.0), (1.5, 0.0), (3.0, 0.5)])
def test_clamped_table(ratio: float, share: float, free: bool) -> None:
    """The computed rows again: 0.1 % for their figures.

    Below a free top at ratios of 0.3 to 0.67 these polynomials miss a layer at the corner: there the rows are finite
    elements, repeated in their own file.
    """
    found = clamped_moment(1.0, ratio, 1.0, share, free_top=free)
    assert found == pytest.approx(ritz_clamped(ratio, share, free), rel=3e-3)


@pytest.mark.parametrize(("ratio", "share"), [(0.35, 0.7), (0.6, 0.3), (0.9, 0.85), (1.1, 0.2), (1.7, 0.9), (2.5, 0.6)])
def test_clamped_between_the_rows(ratio: float, share: float) -> None:
    """Straight between rows, on both sides: 3 %."""
    found = clamped_moment(1.0, ratio, 1.0, share)
    assert found == pytest.approx(ritz_clamped(ratio, share, False), rel=0.03)
