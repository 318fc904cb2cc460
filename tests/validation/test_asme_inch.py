"""Inch fasteners against ASME B1.1, B18.2.1, B18.2.2, B18.2.8 and B18.21.1; inch sections against the AISC Manual.

Fastener sizes are exact fractions or printed to 0.0001 in: 0.00005 in allowed.  Section values are computed from
sizes and radii, and compared with the printed ones at the tolerance that each test gives.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import pytest
from test_en_10056_sections import outline
from test_en_10219_sections import rounded_square

from mouldgeom import tables

INCH = 25.4
CM_PER_INCH = 2.54
KG_M_PER_LB_FT = 0.45359237 / 0.3048
BOLTS = [bolt for bolt in tables.bolts() if bolt.system == "inch"]


@pytest.mark.parametrize(
    ("designation", "major", "pitch", "area"),
    [("3/8-16", 0.3750, 0.3344, 0.0775), ("1/2-13", 0.5000, 0.4500, 0.1419)],
)
def test_printed_threads(designation: str, major: float, pitch: float, area: float) -> None:
    """ASME B1.1, UNC."""
    bolt = tables.bolt(designation)
    assert bolt.diameter_mm / INCH == pytest.approx(major, abs=5e-5)
    assert bolt.pitch_diameter_mm / INCH == pytest.approx(pitch, abs=5e-5)
    assert bolt.stress_area_mm2 / INCH**2 == pytest.approx(area, abs=5e-5)


@pytest.mark.parametrize("bolt", BOLTS, ids=lambda bolt: bolt.designation)
def test_thread_formulas(bolt: tables.Bolt) -> None:
    """ASME B1.1: d2 = d - 0.6495 P, As = pi/4 (d - 0.9743/n)^2.

    Diameters are printed to 0.0001 in, some rounded up by one more: 0.0002 in; areas to three figures: 0.4 %.
    """
    size, threads = bolt.designation.rsplit("-", 1)
    diameter, pitch = float(Fraction(size)), 1 / int(threads)
    assert bolt.diameter_mm / INCH == pytest.approx(diameter, abs=1e-6)
    assert bolt.pitch_mm / INCH == pytest.approx(pitch, abs=1e-6)
    assert bolt.pitch_diameter_mm / INCH == pytest.approx(diameter - 0.649519 * pitch, abs=2e-4)
    area = math.pi / 4 * (diameter - 0.9743 * pitch) ** 2
    assert bolt.stress_area_mm2 / INCH**2 == pytest.approx(area, rel=0.004)


@pytest.mark.parametrize(
    ("designation", "pitch", "area"),
    [
        ("1/4-20", 0.2175, 0.0318),
        ("5/16-18", 0.2764, 0.0524),
        ("3/8-16", 0.3344, 0.0775),
        ("1/2-13", 0.4500, 0.1419),
        ("5/8-11", 0.5660, 0.226),
        ("3/4-10", 0.6850, 0.334),
        ("7/8-9", 0.8028, 0.462),
        ("1-8", 0.9188, 0.606),
    ],
)
def test_threads_as_public_tables_print_them(designation: str, pitch: float, area: float) -> None:
    """UNC in two public tables (seen): what the row has is that, in millimetres, to the last figure of the row."""
    bolt = tables.bolt(designation)
    threads = int(designation.rsplit("-", 1)[1])
    assert bolt.pitch_mm == round(INCH / threads, 6)
    assert bolt.pitch_diameter_mm == round(pitch * INCH, 5)
    assert bolt.stress_area_mm2 == round(area * INCH**2, 2)


def inches(text: str) -> float:
    """Inches of ``"1-1/8"``, in millimetres."""
    return sum(float(Fraction(part)) for part in text.split("-")) * INCH


@pytest.mark.parametrize(
    ("designation", "head", "flats", "corners", "nut", "washer", "printed", "thick"),
    [
        ("1/4-20", "5/32", "7/16", 0.505, "7/32", "5/8", 0.625, 0.065),
        ("5/16-18", "13/64", "1/2", 0.577, "17/64", "11/16", 0.688, 0.065),
        ("3/8-16", "15/64", "9/16", 0.650, "21/64", "13/16", 0.812, 0.065),
        ("1/2-13", "5/16", "3/4", 0.866, "7/16", "1-1/16", 1.062, 0.095),
        ("5/8-11", "25/64", "15/16", 1.083, "35/64", "1-5/16", 1.312, 0.095),
        ("3/4-10", "15/32", "1-1/8", 1.299, "41/64", "1-15/32", 1.469, 0.134),
        ("7/8-9", "35/64", "1-5/16", 1.516, "3/4", "1-3/4", 1.750, 0.134),
        ("1-8", "39/64", "1-1/2", 1.732, "55/64", "2", 2.000, 0.134),
    ],
)
def test_hexagons_and_washers_as_a_handbook_prints_them(
    designation: str, head: str, flats: str, corners: float, nut: str, washer: str, printed: float, thick: float
) -> None:
    """Heads ASME B18.2.1, nuts B18.2.2, narrow type A washers B18.21.1, in a handbook and a public table (all seen,
    but the washers of 7/8 and 1 in from memory).  Washers are printed to 0.001 in of the fraction that they are.
    """
    bolt = tables.bolt(designation)
    found = (bolt.head_height_mm, bolt.across_flats_mm, bolt.nut_height_mm, bolt.washer_outside_mm)
    assert found == pytest.approx([inches(size) for size in (head, flats, nut, washer)], abs=4e-7)
    assert bolt.across_corners_mm == round(corners * INCH, 4)
    assert bolt.washer_outside_mm / INCH == pytest.approx(printed, abs=5.1e-4)
    assert bolt.washer_thickness_mm == round(thick * INCH, 4)


def test_the_narrow_washer_of_3_4_in_is_no_wide_one() -> None:
    """1.469 in: 1.5 in is in no series of ASME B18.21.1, and the wide washer has 2 in."""
    assert tables.bolt("3/4-10").washer_outside_mm == pytest.approx(37.31, abs=0.005)


@pytest.mark.parametrize(
    ("designation", "close", "normal", "loose"),
    [
        ("1/4-20", "17/64", "9/32", "19/64"),
        ("5/16-18", "21/64", "11/32", "23/64"),
        ("3/8-16", "25/64", "13/32", "27/64"),
        ("1/2-13", "17/32", "9/16", "39/64"),
        ("5/8-11", "21/32", "11/16", "47/64"),
        ("3/4-10", "25/32", "13/16", "29/32"),
        ("7/8-9", "29/32", "15/16", "1-1/32"),
        ("1-8", "1-1/32", "1-3/32", "1-5/32"),
    ],
)
def test_printed_holes(designation: str, close: str, normal: str, loose: str) -> None:
    """ASME B18.2.8-1999 (R2017) Table 1a, drill sizes (3/8 and 1/2 in seen, the others from memory)."""
    bolt = tables.bolt(designation)
    found = (bolt.hole_fine_mm, bolt.hole_medium_mm, bolt.hole_coarse_mm)
    assert found == pytest.approx([inches(size) for size in (close, normal, loose)], abs=4e-7)


@pytest.mark.parametrize(
    ("designation", "least", "greatest"),
    [
        ("1/4-20", 0.297, 0.311),
        ("5/16-18", 0.359, 0.373),
        ("3/8-16", 0.422, 0.438),
        ("1/2-13", 0.609, 0.625),
        ("5/8-11", 0.734, 0.754),
        ("3/4-10", 0.906, 0.926),
        ("7/8-9", 1.031, 1.051),
        ("1-8", 1.156, 1.181),
    ],
)
def test_loose_hole_limits(designation: str, least: float, greatest: float) -> None:
    """ASME B18.2.8-1999 (R2017) Table 1a, least and greatest loose hole; printed to 0.001 in."""
    assert least - 5e-4 <= tables.bolt(designation).hole_coarse_mm / INCH <= greatest


@pytest.mark.parametrize(
    ("designation", "flats", "corners", "nut"), [("3/8-16", "9/16", 0.650, "21/64"), ("1/2-13", "3/4", 0.866, "7/16")]
)
def test_printed_hex_nuts(designation: str, flats: str, corners: float, nut: str) -> None:
    """ASME B18.2.2, hex nuts; bolts of these sizes have the same flats and corners."""
    bolt = tables.bolt(designation)
    assert bolt.across_flats_mm == pytest.approx(float(Fraction(flats)) * INCH, abs=1e-6)
    assert bolt.across_corners_mm / INCH == pytest.approx(corners, abs=5e-4)
    assert bolt.nut_height_mm == pytest.approx(float(Fraction(nut)) * INCH, abs=1e-6)


@pytest.mark.parametrize(("designation", "head"), [("3/8-16", "15/64"), ("1/2-13", "5/16"), ("1-8", "39/64")])
def test_head_heights_from_memory(designation: str, head: str) -> None:
    """ASME B18.2.1-2012, hex cap screw, nominal head height (from memory)."""
    assert tables.bolt(designation).head_height_mm == pytest.approx(float(Fraction(head)) * INCH, abs=1e-6)


def test_printed_washer() -> None:
    """ASME B18.21.1, 1/2 in SAE narrow plain washer: 1 1/16 x 0.095 in."""
    bolt = tables.bolt("1/2-13")
    assert bolt.washer_outside_mm == pytest.approx(1.0625 * INCH, abs=1e-6)
    assert bolt.washer_thickness_mm == pytest.approx(0.095 * INCH, abs=1e-6)


def test_exact_plates() -> None:
    """1/8 and 1/4 in plate by the definition of the inch."""
    assert tables.sheet("1/8 in").thickness_mm == 3.175
    assert tables.sheet("1/4 in").thickness_mm == 6.35


# ------------------------------------------------------------------ sections, by strips


def by_strips(width: Callable[[float], float], depth: float) -> tuple[float, float, float]:
    """Area, centroid from the bottom and second moment about it, from the width at each height, 20 000 strips."""
    count = 20_000
    step = depth / count
    area = first = second = 0.0
    for i in range(count):
        y = (i + 0.5) * step
        strip = width(y) * step
        area += strip
        first += strip * y
        second += strip * (y * y + step * step / 12)
    centroid = first / area
    return area, centroid, second - area * centroid**2


def angle_width(angle: tables.Angle) -> Callable[[float], float]:
    leg, t, root, toe = angle.leg_mm, angle.thickness_mm, angle.root_radius_mm, angle.toe_radius_mm

    def width(y: float) -> float:
        if y <= t - toe:
            return leg
        if y <= t:
            return leg - toe + math.sqrt(toe**2 - (y - t + toe) ** 2)
        if y <= t + root:
            return t + root - math.sqrt(root**2 - (t + root - y) ** 2)
        if y <= leg - toe:
            return t
        return t - toe + math.sqrt(max(toe**2 - (y - leg + toe) ** 2, 0.0))

    return width


def tube_width(side: float, wall: float) -> Callable[[float], float]:
    """Outer corner radius 2 t, inner t."""

    def rounded(y: float, half: float, radius: float) -> float:
        if y >= half:
            return 0.0
        inside = half - radius
        return 2 * (half if y <= inside else inside + math.sqrt(radius**2 - (y - inside) ** 2))

    def width(y: float) -> float:
        height = abs(y - side / 2)
        return rounded(height, side / 2, 2 * wall) - rounded(height, side / 2 - wall, wall)

    return width


INCH_ANGLES = [angle for angle in tables.angles() if angle.system == "inch"]


@pytest.mark.parametrize("angle", INCH_ANGLES, ids=lambda angle: angle.designation)
def test_angle_recomputed(angle: tables.Angle) -> None:
    """The row against its own outline: by strips 0.1 %, in closed form half a unit of its last figure."""
    found = (angle.mass_kg_m, angle.area_cm2, angle.centroid_cm, angle.second_moment_cm4)
    for (area, centroid, second), limit in (
        (by_strips(angle_width(angle), angle.leg_mm), {"rel": 1e-3}),
        (outline(angle), {"abs": 5.1e-4}),
    ):
        assert found == pytest.approx((area * 7850e-6, area / 100, centroid / 10, second / 1e4), **limit)


@pytest.mark.parametrize("angle", INCH_ANGLES, ids=lambda angle: angle.designation)
def test_angle_sizes(angle: tables.Angle) -> None:
    """Legs and thickness as designated; root radius 3/16 in of 1 1/2 in legs and 1/4 in of 2 in legs, gauge 7/8 and
    1 1/8 in (AISC Manual, from memory, here as in the row); toe radius and largest hole as the row says they are set.
    """
    leg, thickness = (sum(float(Fraction(p)) for p in s.split("-")) * INCH for s in angle.designation.split("x")[1:])
    root, gauge = (3 / 16 * INCH, 7 / 8 * INCH) if leg < 50 else (INCH / 4, 9 / 8 * INCH)
    found = (angle.leg_mm, angle.thickness_mm, angle.root_radius_mm, angle.gauge_mm)
    assert found == pytest.approx((leg, thickness, root, gauge), abs=4e-7)
    assert angle.toe_radius_mm == pytest.approx(min(angle.root_radius_mm / 2, 0.9 * thickness), abs=4e-7)
    assert angle.largest_hole_mm == pytest.approx(gauge / 2, abs=4e-7)


@pytest.mark.parametrize(
    ("designation", "weight", "area", "second", "centroid"),
    [
        ("2x2x1/8", 1.65, 0.491, 0.189, 0.534),
        ("2x2x3/16", 2.44, 0.722, 0.271, 0.561),
        ("2x2x1/4", 3.19, 0.944, 0.346, 0.586),
    ],
)
def test_angle_against_the_manual(designation: str, weight: float, area: float, second: float, centroid: float) -> None:
    """AISC Manual, 14th ed. 2011, Table 1-7, L2x2 (weights and second moments seen; areas and centroids from memory).

    Areas 0.5 %.  Weights 1.8 %: the printed ones are those of the sharp outline, t (2 b - t), without fillet.  Second
    moments 3 % and centroids 1.2 %: the toe radius of the Manual's outline is not known; ours gives the lower values.
    """
    angle = tables.angle(designation)
    assert angle.area_cm2 / CM_PER_INCH**2 == pytest.approx(area, rel=0.005)
    assert angle.mass_kg_m / KG_M_PER_LB_FT == pytest.approx(weight, rel=0.018)
    assert angle.second_moment_cm4 / CM_PER_INCH**4 == pytest.approx(second, rel=0.03)
    assert angle.second_moment_cm4 / CM_PER_INCH**4 <= second
    assert angle.centroid_cm / CM_PER_INCH == pytest.approx(centroid, rel=0.012)


@pytest.mark.parametrize(("designation", "weight"), [("1-1/2x1-1/2x1/8", 1.23), ("1-1/2x1-1/2x3/16", 1.80)])
def test_small_angle_weight(designation: str, weight: float) -> None:
    """Nominal weights, lb/ft (from memory), of the sharp outline: 0.6 %."""
    assert tables.angle(designation).mass_kg_m / KG_M_PER_LB_FT == pytest.approx(weight, rel=0.006)


@pytest.mark.parametrize(("designation", "wall"), [("1-1/2x1-1/2x1/8", 0.116), ("2x2x1/8", 0.116), ("2x2x3/16", 0.174)])
def test_tube_recomputed(designation: str, wall: float) -> None:
    """Mass from the nominal wall; area, second moment and modulus from the design wall: by strips 0.1 %, in
    closed form half a unit of the last figure.
    """
    tube = tables.square_tube(designation)
    side, nominal_wall = (sum(float(Fraction(p)) for p in s.split("-")) * INCH for s in designation.split("x")[1:])
    radii = (tube.outer_radius_mm, tube.inner_radius_mm)
    assert (tube.side_mm, tube.thickness_mm, *radii) == pytest.approx(
        (side, nominal_wall, 2 * nominal_wall, nominal_wall), abs=4e-7
    )
    found = (tube.mass_kg_m, tube.area_cm2, tube.second_moment_cm4, tube.section_modulus_cm3)

    def closed(thickness: float) -> tuple[float, float]:
        whole, hollow = rounded_square(side, 2 * thickness), rounded_square(side - 2 * thickness, thickness)
        return whole[0] - hollow[0], whole[1] - hollow[1]

    def strips(thickness: float) -> tuple[float, float]:
        return by_strips(tube_width(side, thickness), side)[::2]

    for properties, limit in ((strips, {"rel": 1e-3}), (closed, {"abs": 5.1e-4})):
        (nominal, _), (area, second) = properties(nominal_wall), properties(wall * INCH)
        assert found == pytest.approx((nominal * 7850e-6, area / 100, second / 1e4, 2 * second / side / 1e3), **limit)


@pytest.mark.parametrize(
    ("designation", "weight", "area", "second"),
    [("2x2x1/8", 3.05, 0.840, 0.486), ("2x2x3/16", 4.32, 1.19, 0.641), ("1-1/2x1-1/2x1/8", 2.20, None, None)],
)
def test_tube_against_the_manual(designation: str, weight: float, area: float | None, second: float | None) -> None:
    """AISC Manual, square HSS: nominal weight, design area and second moment; three figures, so 0.5 %.

    Areas, second moments and 4.32 lb/ft were seen; 3.05 and 2.20 lb/ft are from memory.
    """
    tube = tables.square_tube(designation)
    assert tube.mass_kg_m / KG_M_PER_LB_FT == pytest.approx(weight, rel=0.005)
    if area is not None:
        assert tube.area_cm2 / CM_PER_INCH**2 == pytest.approx(area, rel=0.005)
        assert tube.second_moment_cm4 / CM_PER_INCH**4 == pytest.approx(second, rel=0.005)


@pytest.mark.parametrize(("leg", "gauge"), [("1-1/2x1-1/2x1/8", "7/8"), ("2x2x1/8", "1-1/8")])
def test_gauges_from_memory(leg: str, gauge: str) -> None:
    """AISC Manual, workable gauges in angle legs (from memory)."""
    inches = sum(float(Fraction(part)) for part in gauge.split("-"))
    assert tables.angle(leg).gauge_mm == pytest.approx(inches * INCH, abs=1e-6)
