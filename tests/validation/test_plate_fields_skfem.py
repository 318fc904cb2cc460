"""Plate fields: the finite-element path (scikit-fem 12) against published coefficients, and the quick forms against it.

Coefficients are from Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, and Roark's Formulas
for Stress and Strain, 7th ed. 2002.  Old printed tables carry errors up to about 0.5 % and three figures, so 1 % is
fair for deflections and 2 % for moments; rows recomputed by an independent high-order Ritz solution hold likewise.
Evidence beside each row: SEEN, MEMORY (from memory, recomputed) or COMPUTED (recomputed only, not published).
nu = 0.3, a plate 1 wide with D = 1.
"""

from __future__ import annotations

import itertools
import math
from functools import cache

import numpy as np
import pytest

from mouldgeom.rules import bending, plate_fields
from mouldgeom.strength.finite import Edge, Edges, HoldLine, Opening, PlateField, PressedPlate, Profile, Strip, plate

pytestmark = pytest.mark.slow

NU = 0.3
MODULUS = 12 * (1 - NU**2)
"""Young's modulus that makes the rigidity of a plate of thickness 1 equal to 1."""
HELD = Edges()
CLAMPED = Edges(Edge.CLAMPED, Edge.CLAMPED, Edge.CLAMPED, Edge.CLAMPED)
FREE_TOP = Edges(top=Edge.FREE)
OPEN_BOX = Edges(Edge.CLAMPED, Edge.FREE, Edge.CLAMPED, Edge.CLAMPED)
RATIOS = (0.4, 0.7, 1.0, 1.6, 2.5, 4.0)
LOADS = {"uniform": (1.0, 1.0), "falling": (1.0, 0.0), "rising": (0.0, 1.0), "trapezoidal": (1.0, 0.4)}


@cache
def solved(
    height: float,
    load: tuple[float, float] = (1.0, 1.0),
    edges: Edges = HELD,
    width: float = 1.0,
    fineness: float = 1.0,
) -> PlateField:
    profile: Profile = ((0.0, load[0]), (height, load[1]))
    return plate(PressedPlate(width, height, 1.0, MODULUS, NU, profile, edges), fineness)


def near(value: float, expected: float, rel: float = 0.01, digits: int = 4) -> bool:
    """Within a share, or within half a unit of the last printed digit."""
    return math.isclose(value, expected, rel_tol=rel, abs_tol=0.5 * 10.0**-digits)


# ---------------------------------------------------------------- published coefficients


@pytest.mark.parametrize(
    ("ratio", "alpha", "across", "upwards"),
    [
        (1.0, 0.00406, 0.0479, 0.0479),  # SEEN
        (1.2, 0.00564, 0.0627, 0.0501),  # MEMORY
        (1.4, 0.00705, 0.0755, 0.0502),  # MEMORY
        (1.5, 0.00772, 0.0812, 0.0498),  # MEMORY
        (1.6, 0.00830, 0.0862, 0.0492),  # MEMORY
        (1.8, 0.00931, 0.0948, 0.0479),  # MEMORY
        (2.0, 0.01013, 0.1017, 0.0464),  # MEMORY
        (3.0, 0.01223, 0.1189, 0.0406),  # MEMORY
        (5.0, 0.01297, 0.1246, 0.0377),  # MEMORY; upwards as recomputed (printed 0.0375)
    ],
)
def test_table_8_held_uniform(ratio: float, alpha: float, across: float, upwards: float) -> None:
    """Table 8, all edges simply supported, uniform load: deflection and both moments at the centre, 0.5 %; and the
    square to four figures (COMPUTED), 0.05 %.
    """
    field = solved(ratio)
    assert field.greatest.value == pytest.approx(alpha, rel=0.005)
    mx, my, _ = field.moments_at(0, ratio / 2)
    assert mx == pytest.approx(across, rel=0.005)
    assert my == pytest.approx(upwards, rel=0.005)
    if ratio == 1.0:
        assert (field.greatest.value, mx) == pytest.approx((0.004062, 0.04789), rel=5e-4)


@pytest.mark.parametrize(
    ("ratio", "alpha", "long_edge", "short_edge", "across", "upwards"),
    [
        (1.0, 0.001265, -0.0513, -0.0513, 0.0229, 0.0229),  # MEMORY; printed 0.00126 and 0.0231
        (1.2, 0.00172, -0.0639, -0.0554, 0.0300, 0.0228),  # MEMORY
        (1.4, 0.00207, -0.0726, -0.0568, 0.0350, 0.0213),  # MEMORY
        (1.5, 0.00220, -0.0757, -0.0570, 0.0368, 0.0203),  # MEMORY
        (1.6, 0.00230, -0.0780, -0.0571, 0.0382, 0.0193),  # MEMORY
        (1.8, 0.00245, -0.0812, -0.0571, 0.0401, 0.0174),  # MEMORY
        (2.0, 0.00253, -0.0829, -0.0570, 0.0412, 0.0158),  # MEMORY
    ],
)
def test_table_35_clamped_uniform(
    ratio: float, alpha: float, long_edge: float, short_edge: float, across: float, upwards: float
) -> None:
    """Table 35, all edges clamped, uniform load: deflections 0.5 %, moments 1 % (recomputed where printed differs)."""
    field = solved(ratio, edges=CLAMPED)
    assert field.greatest.value == pytest.approx(alpha, rel=0.005)
    assert field.moments_at(0.5, ratio / 2)[0] == pytest.approx(long_edge, rel=0.01)
    assert field.moments_at(0, 0)[1] == pytest.approx(short_edge, rel=0.01)
    assert field.moments_at(0, ratio / 2)[:2] == pytest.approx((across, upwards), rel=0.01)


@pytest.mark.parametrize(
    ("ratio", "beta_edge", "beta_centre", "alpha"),
    [
        (1.0, 0.3078, 0.1386, 0.0138),
        (1.2, 0.3834, 0.1794, 0.0188),
        (1.6, 0.4680, 0.2286, 0.0251),
        (2, 0.4974, 0.2472, 0.0277),
    ],
)
def test_roark_8a_clamped(ratio: float, beta_edge: float, beta_centre: float, alpha: float) -> None:
    """Roark Table 11.4 case 8a (MEMORY): sigma = beta q b^2/t^2 and y = alpha q b^4/(E t^3); 1 %, as he prints 0.1386
    for the square's centre where 0.1374 is exact.
    """
    field = solved(ratio, edges=CLAMPED)
    assert 6 * -field.moments_at(0.5, ratio / 2)[0] == pytest.approx(beta_edge, rel=0.01)
    assert 6 * field.moments_at(0, ratio / 2)[0] == pytest.approx(beta_centre, rel=0.01)
    assert field.greatest.value * MODULUS == pytest.approx(alpha, rel=0.01)


@pytest.mark.parametrize(
    ("ratio", "beta", "alpha"),
    [
        (1.0, 0.2874, 0.0444),
        (1.4, 0.4530, 0.0770),
        (1.8, 0.5688, 0.1017),
        (2.0, 0.6102, 0.1110),
        (3.0, 0.7134, 0.1335),
        (5.0, 0.7476, 0.1417),
    ],
)
def test_roark_1a_held(ratio: float, beta: float, alpha: float) -> None:
    """Roark Table 11.4 case 1a, simply supported, uniform (SEEN): 0.5 %."""
    field = solved(ratio)
    assert 6 * field.moments_at(0, ratio / 2)[0] == pytest.approx(beta, rel=0.005)
    assert field.greatest.value * MODULUS == pytest.approx(alpha, rel=0.005)


@pytest.mark.parametrize(
    ("ratio", "deflections", "moments_up", "moments_across"),
    [
        # SS hydrostatic along the side of length a = 1 here upwards, at 0.25, 0.50, 0.60, 0.75 a
        (1.0, (0.00131, 0.00203, 0.00203, 0.00163), (0.0131, 0.0239, 0.0264, 0.0258), (0.0149, 0.0239, 0.0245, 0.0207)),
        (2.0, (0.00342, 0.00506, 0.00494, 0.00382), (0.0309, 0.0508, 0.0529, 0.0463), (0.0148, 0.0232, 0.0234, 0.0196)),
    ],
)
def test_art_31_held_hydrostatic(
    ratio: float, deflections: tuple[float, ...], moments_up: tuple[float, ...], moments_across: tuple[float, ...]
) -> None:
    """Art. 31, simply supported, q = q0 x/a: b/a = 1 MEMORY as recomputed, b/a = 2 COMPUTED: 1 % or the last figure."""
    field = solved(1.0, (0.0, 1.0), width=ratio)
    for place, w, up, across in zip((0.25, 0.5, 0.6, 0.75), deflections, moments_up, moments_across, strict=True):
        mx, my, _ = field.moments_at(0, place)
        assert near(field.deflection_at(0, place), w, digits=5)
        assert near(my, up)
        assert near(mx, across)


def test_held_hydrostatic_strip() -> None:
    """A strip is a beam under a triangular load: 0.00652 and 0.0642 (SEEN), on a plate 8 times as wide: 0.5 %."""
    field = solved(1.0, (0.0, 1.0), width=8.0)
    assert field.greatest.value == pytest.approx(0.00652, rel=0.005)
    assert max(field.moments_at(0, y)[1] for y in np.linspace(0.5, 0.65, 16)) == pytest.approx(0.0642, rel=0.005)


@pytest.mark.parametrize(
    ("ratio", "w", "up", "across", "high_edge", "low_edge", "side_edge"),
    [
        (1.0, 0.000633, 0.0115, 0.0115, -0.0334, -0.0179, -0.0257),  # MEMORY
        (0.5, 0.000079, 0.0020, 0.0051, -0.0115, -0.0028, -0.0104),  # MEMORY
        (2.0, 0.00127, 0.0206, 0.0079, -0.0498, -0.0331, -0.0285),  # COMPUTED
    ],
)
def test_clamped_hydrostatic(
    ratio: float, w: float, up: float, across: float, high_edge: float, low_edge: float, side_edge: float
) -> None:
    """All clamped, q = q0 x/a along a = 1, other side b = ratio: centre and edge middles; 1.5 % or the last figure."""
    field = solved(1.0, (0.0, 1.0), CLAMPED, width=ratio)
    assert near(field.deflection_at(0, 0.5), w, 0.01, 6)
    mx, my, _ = field.moments_at(0, 0.5)
    assert near(my, up, 0.015)
    assert near(mx, across, 0.015)
    assert near(field.moments_at(0, 1)[1], high_edge, 0.015)
    assert near(field.moments_at(0, 0)[1], low_edge, 0.015)
    assert near(field.moments_at(ratio / 2, 0.5)[0], side_edge, 0.015)


@pytest.mark.parametrize(
    ("ratio", "w", "edge", "across", "upwards"),
    [
        (0.5, 0.00709, 0.0602, 0.0385, 0.0223),  # MEMORY
        (2 / 3, 0.00968, 0.0832, 0.0551, 0.0302),  # MEMORY
        (1.0, 0.01286, 0.1117, 0.0799, 0.0390),  # deflection SEEN, moments MEMORY
        (1.2, 0.01384, 0.1205, 0.0901, 0.0411),  # MEMORY
        (1.5, 0.01462, 0.1275, 0.1012, 0.0421),  # MEMORY
        (2.0, 0.01507, 0.1316, 0.1125, 0.0414),  # MEMORY
    ],
)
def test_art_48_free_top_uniform(ratio: float, w: float, edge: float, across: float, upwards: float) -> None:
    """Art. 48, three edges simply supported, one free, uniform load; figures as recomputed: 0.5 % and 1 %."""
    field = solved(ratio, edges=FREE_TOP)
    assert field.deflection_at(0, ratio) == pytest.approx(w, rel=0.005)
    assert field.moments_at(0, ratio)[0] == pytest.approx(edge, rel=0.01)
    assert field.moments_at(0, ratio / 2)[:2] == pytest.approx((across, upwards), rel=0.01)


@pytest.mark.parametrize(
    ("ratio", "beta", "alpha"), [(0.5, 0.36, 0.080), (1.0, 0.67, 0.14), (1.5, 0.77, 0.16), (4, 0.80, 0.167)]
)
def test_roark_2a_free_top(ratio: float, beta: float, alpha: float) -> None:
    """Roark Table 11.4 case 2a, edge b free, uniform (SEEN): 1 % or his last figure; his 0.080 is 3 % above 0.0774,
    recomputed, so 4 % there.
    """
    field = solved(ratio, edges=FREE_TOP)
    assert near(6 * field.moments_at(0, ratio)[0], beta, 0.01, 2)
    assert near(field.greatest.value * MODULUS, alpha, 0.04 if ratio == 0.5 else 0.01, 3)


@pytest.mark.parametrize(
    ("ratio", "w", "edge", "w_centre", "across", "upwards"),
    [(1.0, 0.00368, 0.0325, 0.00314, 0.0331, 0.0214), (0.5, 0.00229, 0.0197, 0.00134, 0.0145, 0.0117)],
)
def test_free_top_hydrostatic(
    ratio: float, w: float, edge: float, w_centre: float, across: float, upwards: float
) -> None:
    """Three edges simply supported, top free, q = q0 (1 - y/b) (COMPUTED): 0.5 %, moments 1 %."""
    field = solved(ratio, (1.0, 0.0), FREE_TOP)
    assert field.greatest.value == pytest.approx(w, rel=0.005)
    assert field.deflection_at(0, ratio / 2) == pytest.approx(w_centre, rel=0.005)
    assert field.moments_at(0, ratio)[0] == pytest.approx(edge, rel=0.01)
    assert field.moments_at(0, ratio / 2)[:2] == pytest.approx((across, upwards), rel=0.01)


@pytest.mark.parametrize(
    ("load", "w", "edge", "foot", "w_centre", "across", "upwards"),
    [
        ((1.0, 1.0), 0.00295, 0.0437, -0.0563, 0.00189, 0.0314, 0.0167),
        ((1.0, 0.0), 0.00057, 0.0093, -0.0349, 0.00080, 0.0138, 0.0104),
    ],
)
def test_open_box(
    load: tuple[float, float], w: float, edge: float, foot: float, w_centre: float, across: float, upwards: float
) -> None:
    """Sides and foot clamped, top free, square (COMPUTED; printed tables overstate): 1 % or the last figure."""
    field = solved(1.0, load, OPEN_BOX)
    assert near(field.deflection_at(0, 1), w, digits=5)
    assert near(field.moments_at(0, 1)[0], edge)
    assert near(field.moments_at(0, 0)[1], foot)
    assert near(field.deflection_at(0, 0.5), w_centre, digits=5)
    assert near(field.moments_at(0, 0.5)[0], across)
    assert near(field.moments_at(0, 0.5)[1], upwards)


def test_two_opposite_edges_clamped() -> None:
    """Square, two opposite edges simply supported, two clamped (SEEN): 0.00192, 0.0332 and 0.0244 within 0.5 %."""
    field = solved(1.0, edges=Edges(left=Edge.CLAMPED, right=Edge.CLAMPED))
    assert field.greatest.value == pytest.approx(0.00192, rel=0.005)
    assert field.moments_at(0, 0.5)[:2] == pytest.approx((0.0332, 0.0244), rel=0.005)


def test_worked_plate() -> None:
    """300 x 300 x 3 mm, 10 kPa, 210 GPa (COMPUTED): 0.633 mm and 28.7 MPa; clamped 0.197 mm and 30.8 MPa: 0.6 %."""
    for edges, w, stress, place in ((HELD, 0.633, 28.7, (0, 150)), (CLAMPED, 0.197, 30.8, (150, 150))):
        field = plate(PressedPlate(300, 300, 3, 210_000, 0.3, ((0.0, 0.01),), edges), 2.0)
        assert field.greatest.value == pytest.approx(w, rel=0.006)
        assert 6 * abs(field.moments_at(*place)[0]) / 9 == pytest.approx(stress, rel=0.006)


# ---------------------------------------------------------------- quick forms over the grid, 2 %


@pytest.mark.parametrize(("ratio", "load", "free"), itertools.product(RATIOS, LOADS, (False, True)))
def test_profiles_against_finite_elements(ratio: float, load: str, free: bool) -> None:
    """Levy's series in ``plates``: deflections (0.5 %) and moments (2 % of the greatest) up the middle line."""
    low, high = LOADS[load]
    field = solved(ratio, (low, high), FREE_TOP if free else HELD)
    series = bending.profile(ratio, low, high, free_top=free)
    levels = range(0, len(series.deflection), 4)
    heights = [ratio * i / (len(series.deflection) - 1) for i in levels]
    w, moments = [field.deflection_at(0, y) for y in heights], [field.moments_at(0, y) for y in heights]
    for own, found, rel in (
        (series.deflection, w, 0.005),
        (series.across, [m[0] for m in moments], 0.02),
        (series.upwards, [m[1] for m in moments], 0.02),
    ):
        assert [own[i] for i in levels] == pytest.approx(found, abs=rel * max(found))


@pytest.mark.parametrize(("ratio", "load", "free"), itertools.product(RATIOS, LOADS, (False, True)))
def test_reactions_along_edges(ratio: float, load: str, free: bool) -> None:
    """Reactions of the series at the middle of foot, top and sides, against the forces at the nodes around: 2 % of the
    greatest (a node's force is spread over its element).
    """
    low, high = LOADS[load]
    field = solved(ratio, (low, high), FREE_TOP if free else HELD)
    series = bending.profile(ratio, low, high, free_top=free)
    forces = {r.support: r.along for r in field.reactions}

    def middle(name: str) -> float:
        """Force on each length at the middle of an edge, between the inner nodes around it."""
        places, force = np.array(sorted(forces[name])).T
        each = 2 * force[1:-1] / (places[2:] - places[:-2])
        return float(np.interp((places[0] + places[-1]) / 2, places[1:-1], each))

    half = len(series.side) // 2
    pairs = [(series.foot, middle("foot")), (series.side[half], middle("right"))]
    pairs += [] if free else [(series.top, middle("top"))]
    scale = max(abs(found) for _, found in pairs)
    for own, found in pairs:
        assert own == pytest.approx(found, abs=0.02 * scale)


@pytest.mark.parametrize(
    ("ratio", "load", "free"), itertools.product(RATIOS, ("uniform", "falling", "trapezoidal"), (False, True))
)
def test_quick_reading_against_finite_elements(ratio: float, load: str, free: bool) -> None:
    """What a design reads off between nodes, ``bending.deflection_linear``."""
    low, high = LOADS[load]
    quick = bending.deflection_linear(1.0, ratio, low, high, 1.0, free_top=free)
    assert quick == pytest.approx(solved(ratio, (low, high), FREE_TOP if free else HELD).greatest.value, rel=0.02)


def greatest_edge_moment(field: PlateField) -> float:
    """Greatest clamping moment on foot, top and a side."""
    width, height = field.plate.width, field.plate.height
    places = np.linspace(0.01, 0.99, 99)
    edges = [-field.moments_at(width / 2, height * p)[0] for p in places]
    edges += [-field.moments_at(width * (p - 0.5), 0)[1] for p in places]
    if field.plate.edges.top is Edge.CLAMPED:
        edges += [-field.moments_at(width * (p - 0.5), height)[1] for p in places]
    return max(edges)


@pytest.mark.parametrize(("ratio", "load"), itertools.product(RATIOS, ("uniform", "falling", "trapezoidal")))
def test_clamped_moments_against_finite_elements(ratio: float, load: str) -> None:
    """Moments at clamped edges, read off between the rows of a table: 1 % for the mesh."""
    low, high = LOADS[load]
    exact = greatest_edge_moment(solved(ratio, (low, high), CLAMPED))
    assert plate_fields.clamped_moment(1.0, ratio, low, high) == pytest.approx(exact, rel=0.011)


@pytest.mark.parametrize(
    ("ratio", "load"),
    itertools.product((0.3, 0.4, 0.5, 0.58, 0.6667, 0.8, 1.0, 1.25, 1.4, 2.0), ("uniform", "falling", "trapezoidal")),
)
def test_clamped_moments_below_a_free_top(ratio: float, load: str) -> None:
    """Where a clamped side ends at the free top its moment peaks in a narrow layer: a mesh closer towards the corners
    (knots of the pressure, and ends of a bar of no stiffness, are lines of the mesh).

    Between ratios of the table too: 2 %; between its loads it is read straight, never too low, up to 10 % too high.
    """
    low, high = LOADS[load]
    layer = (0.08, 0.05, 0.03, 0.02, 0.01, 0.005, 0.0)
    profile = ((0.0, low), *((ratio - d, high + (low - high) * d / ratio) for d in layer))
    lines = tuple(HoldLine(ratio / 2, 1e-12, False, d - 0.5, 0.5 - d) for d in layer[:-1])
    exact = greatest_edge_moment(plate(PressedPlate(1.0, ratio, 1.0, MODULUS, NU, profile, OPEN_BOX, lines)))
    quick = plate_fields.clamped_moment(1.0, ratio, low, high, free_top=True)
    assert 0.98 * exact <= quick <= (1.10 if load == "trapezoidal" else 1.02) * exact


@pytest.mark.parametrize(
    ("ratio", "load", "free"), itertools.product(RATIOS, ("uniform", "falling", "trapezoidal"), (False, True))
)
def test_held_moments_against_finite_elements(ratio: float, load: str, free: bool) -> None:
    """Greatest moment on the middle line of a simply supported field."""
    low, high = LOADS[load]
    field = solved(ratio, (low, high), FREE_TOP if free else HELD)
    exact = max(max(field.moments_at(0, ratio * i / 64)[:2]) for i in range(65))
    assert plate_fields.held_moment(1.0, ratio, low, high, free_top=free) == pytest.approx(exact, rel=0.02)


# ---------------------------------------------------------------- bars, against known limits


def stiffened(*lines: HoldLine, height: float = 2.0, edges: Edges = HELD) -> PlateField:
    return plate(PressedPlate(1.0, height, 1.0, MODULUS, NU, ((0.0, 1.0), (height, 0.3)), edges, lines))


def test_a_line_that_cannot_give_way_is_a_very_stiff_bar() -> None:
    """1e5 times the plate's own stiffness over its width: 0.1 % of the deflection, and the same load on the line."""
    rigid, stiff = stiffened(HoldLine(0.9)), stiffened(HoldLine(0.9, 1e5))
    assert stiff.greatest.value == pytest.approx(rigid.greatest.value, rel=1e-3)
    (line,) = (r for r in rigid.reactions if r.support == 0)
    inner = sum(force for place, force in line.along if abs(place) < 0.5 - 1e-9)
    assert stiff.bars[0].load == pytest.approx(inner, rel=1e-3)


def test_a_very_weak_bar_is_none() -> None:
    """But for the line that it adds to the mesh: 0.02 %."""
    weak, none = stiffened(HoldLine(0.9, 1e-7)), stiffened()
    assert weak.greatest.value == pytest.approx(none.greatest.value, rel=2e-4)


def test_a_stiff_bar_makes_two_spans() -> None:
    """Symmetric load on both sides of the bar: no slope over it, so each half is a plate clamped there: 0.5 %."""
    whole = plate(PressedPlate(1.0, 2.0, 1.0, MODULUS, NU, ((0.0, 1.0),), HELD, (HoldLine(1.0, 1e6),)))
    half = plate(PressedPlate(1.0, 1.0, 1.0, MODULUS, NU, ((0.0, 1.0),), Edges(top=Edge.CLAMPED)))
    assert whole.greatest.value == pytest.approx(half.greatest.value, rel=0.005)
    assert whole.moments_at(0, 1)[1] == pytest.approx(half.moments_at(0, 1)[1], rel=0.01)


def test_a_bar_alone_is_a_beam() -> None:
    """A bar along the middle of a strip so narrow that it only loads it: 5 q L^4/(384 E I) and q L^2/8 within 0.5 %.

    The strip's own stiffness, its width times D (1 - nu^2) between free edges, is added to the bar's.
    """
    width, bending = 0.05, 20.0
    field = plate(
        PressedPlate(
            1.0,
            width,
            1.0,
            MODULUS,
            NU,
            ((0.0, 1.0),),
            Edges(foot=Edge.FREE, top=Edge.FREE),
            (HoldLine(width / 2, bending),),
        ),
        0.25,
    )
    whole = bending + width * (1 - NU**2)
    assert field.deflection_at(0, width / 2) == pytest.approx(5 * width / (384 * whole), rel=0.005)
    assert field.bars[0].moment == pytest.approx(width / 8 * bending / whole, rel=0.005)


def test_edge_beams_against_the_book() -> None:
    """Two opposite edges held, the other two on bars of E I = lambda a D: lambda from 0 to very stiff runs from the
    plate on two edges, 0.01309 (square, centre, Timoshenko Table 47, from memory; recomputed here), to 0.00406: 0.5 %.
    """
    edges = Edges(foot=Edge.FREE, top=Edge.FREE)
    for stiffness, expected in ((1e-9, 0.01309), (1e6, 0.00406)):
        lines = (HoldLine(0.0, stiffness), HoldLine(1.0, stiffness))
        field = plate(PressedPlate(1.0, 1.0, 1.0, MODULUS, NU, ((0.0, 1.0),), edges, lines))
        assert field.deflection_at(0, 0.5) == pytest.approx(expected, rel=0.005)


def test_upright_bars_are_level_bars_turned() -> None:
    """The same square plate described either way."""
    level = plate(
        PressedPlate(1.0, 1.0, 1.0, MODULUS, NU, ((0.0, 1.0),), HELD, (HoldLine(0.3, 5.0), HoldLine(0.7, 5.0)))
    )
    lines = (HoldLine(-0.2, 5.0, True), HoldLine(0.2, 5.0, True))
    upright = plate(PressedPlate(1.0, 1.0, 1.0, MODULUS, NU, ((0.0, 1.0),), HELD, lines))
    assert upright.greatest.value == pytest.approx(level.greatest.value, rel=1e-4)
    loads = [bar.load for bar in (*upright.bars, *level.bars)]
    assert loads == pytest.approx([loads[0]] * 4, rel=2e-3)


# ---------------------------------------------------------------- two sheets, narrowing, opening


def test_a_strip_over_the_whole_plate_adds_its_rigidity() -> None:
    """Two sheets of 1 and 2 that slide: rigidity 9, deflection 1/9; stress is that of the thicker, 6 M (8/9)/4."""
    pressed = PressedPlate(1.0, 1.0, 1.0, MODULUS, NU, ((0.0, 1.0),), HELD, strips=(Strip(0.0, 1.0, 2.0),))
    both, one = plate(pressed), solved(1.0)
    assert both.greatest.value == pytest.approx(one.greatest.value / 9, rel=1e-9)
    assert both.moments_at(0, 0.5) == pytest.approx(one.moments_at(0, 0.5), rel=1e-6, abs=1e-9)
    assert both.stress.value == pytest.approx(one.stress.value * 2 / 9, rel=1e-6)


def narrowing(top: float, height: float, fineness: float = 1.0) -> PlateField:
    return plate(PressedPlate(1.0, height, 1.0, MODULUS, NU, ((0.0, 1.0),), HELD, top_width=top), fineness)


def test_a_plate_that_narrows_lies_between_rectangles() -> None:
    """Narrower at the top than the one, wider than the other; and no narrowing is a rectangle."""
    assert solved(1.0, width=0.8).greatest.value < narrowing(0.8, 1.0).greatest.value < solved(1.0).greatest.value
    assert narrowing(1.0, 1.0).greatest.value == solved(1.0).greatest.value


def test_trapezoid_as_simply_supported_triangle() -> None:
    """A trapezoid with a very short top is an equilateral triangle, simply supported: at its centroid
    w = q a^4/(972 D), a its height, exact (Timoshenko and Woinowsky-Krieger, Art. 69, from memory): 0.5 %.
    """
    height, cut = math.sqrt(3) / 2, 0.02
    field = plate(PressedPlate(1.0, height * (1 - cut), 1.0, MODULUS, NU, ((0.0, 1.0),), HELD, top_width=cut), 2.0)
    assert field.deflection_at(0, height / 3) == pytest.approx(height**4 / 972, rel=0.005)


def test_a_small_opening_weakens_a_little() -> None:
    """A hole of 2 % of the side moves the deflection by less than 1 %; a larger one weakens more, and loads the rim."""
    fields = [
        plate(
            PressedPlate(
                1.0, 1.0, 0.01, MODULUS * 1e6, NU, ((0.0, 1.0),), HELD, opening=Opening(-h, h, 0.5 - h, 0.5 + h, True)
            )
        )
        for h in (0.01, 0.1)
    ]
    whole, small, large = solved(1.0).deflection_at(0.2, 0.5), *(f.deflection_at(0.2, 0.5) for f in fields)
    assert small == pytest.approx(whole, rel=0.01)
    assert large > small
    assert [f.load for f in fields] == pytest.approx([1.0, 1.0], rel=1e-6)
