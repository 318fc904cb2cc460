"""Equal angles against EN 10056-1 (1998, 2017): printed mass, area, second moment, modulus and centroid.

Each is worked out again from the exact outline: two legs, root fillet r, toe radii r/2.  Printed to three figures, so
0.5 %; the centroid, printed to 0.01 cm, 0.6 %.  Rows 20x20x3 and 35x35x4 are from memory.
"""

from __future__ import annotations

import math

import pytest

from mouldgeom import tables
from mouldgeom.rules.sections import equal_angle

PRINTED = {
    # mass kg/m, area cm2, Ix cm4, Wx cm3, centroid cm, root radius mm
    "20x20x3": (0.882, 1.12, 0.392, None, None, 3.5),
    "25x25x3": (1.12, 1.42, 0.803, 0.452, 0.72, 3.5),
    "30x30x3": (1.36, 1.74, 1.4, 0.649, 0.84, 5),
    "30x30x4": (1.78, 2.27, 1.8, 0.85, 0.88, 5),
    "35x35x4": (2.09, 2.67, 2.95, 1.18, 1.00, 5),
    "40x40x3": (1.84, 2.35, None, None, None, 6),
    "40x40x4": (2.42, 3.08, 4.47, 1.55, 1.12, 6),
    "40x40x5": (2.97, 3.79, 5.43, 1.91, 1.16, 6),
    "45x45x4.5": (3.06, 3.9, 7.14, 2.2, 1.25, 7),
    "50x50x4": (3.06, 3.89, 8.97, 2.46, 1.36, 7),
    "50x50x5": (3.77, 4.8, 11, 3.05, 1.4, 7),
    "50x50x6": (4.47, 5.69, 12.8, 3.61, 1.45, 7),
    "60x60x6": (5.42, 6.91, 22.8, 5.29, 1.69, 8),
}
METRIC = [angle for angle in tables.angles() if angle.system == "metric"]


def outline(angle: tables.Angle) -> tuple[float, float, float]:
    """Area in mm2, centroid from the heel in mm, second moment about it in mm4, in closed form."""
    leg, t = angle.leg_mm, angle.thickness_mm

    def spandrel(radius: float, corner: float, towards: int) -> tuple[float, float, float]:
        # what a square corner has more than its quarter circle; towards: +1 if it lies above the corner
        area = (1 - math.pi / 4) * radius**2
        reach = radius * (1 / 2 - math.pi / 4 + 1 / 3) / (1 - math.pi / 4)
        own = radius**4 * (1 / 3 - math.pi / 16) - area * (radius - reach) ** 2
        return area, corner + towards * reach, own

    pieces = [
        (leg * t, t / 2, leg * t**3 / 12),
        ((leg - t) * t, (leg + t) / 2, t * (leg - t) ** 3 / 12),
        spandrel(angle.root_radius_mm, t, +1),
    ]
    for corner in (t, leg):
        area, place, own = spandrel(angle.toe_radius_mm, corner, -1)
        pieces.append((-area, place, -own))
    total = sum(area for area, _, _ in pieces)
    centroid = sum(area * place for area, place, _ in pieces) / total
    return total, centroid, sum(own + area * (place - centroid) ** 2 for area, place, own in pieces)


def test_all_printed_rows_are_there() -> None:
    assert [angle.designation for angle in METRIC] == list(PRINTED)


@pytest.mark.parametrize("angle", METRIC, ids=lambda angle: angle.designation)
def test_row_is_as_printed(angle: tables.Angle) -> None:
    mass, area, second, _, centroid, root = PRINTED[angle.designation]
    assert (angle.mass_kg_m, angle.area_cm2) == (mass, area)
    if second is not None:
        assert angle.second_moment_cm4 == second
    assert angle.root_radius_mm == root
    assert angle.toe_radius_mm == root / 2
    if centroid is not None:
        assert angle.centroid_cm == centroid


@pytest.mark.parametrize("angle", METRIC, ids=lambda angle: angle.designation)
def test_row_recomputed_from_the_outline(angle: tables.Angle) -> None:
    area, centroid, second = outline(angle)
    assert angle.area_cm2 == pytest.approx(area / 100, rel=0.005)
    assert angle.mass_kg_m == pytest.approx(area * 7850e-6, rel=0.005)
    assert angle.second_moment_cm4 == pytest.approx(second / 1e4, rel=0.005)
    assert angle.centroid_cm == pytest.approx(centroid / 10, rel=0.006)
    if angle.designation == "20x20x3":  # the centroid is in no table seen
        assert angle.centroid_cm == round(centroid / 10, 3)
    if angle.designation == "40x40x3":  # in no table seen
        assert (angle.second_moment_cm4, angle.centroid_cm) == (round(second / 1e4, 2), round(centroid / 10, 2))
    modulus = PRINTED[angle.designation][3]
    if modulus is not None:
        assert second / (angle.leg_mm - centroid) / 1e3 == pytest.approx(modulus, rel=0.005)


DIN_997 = {
    20: (12, 4.3),
    25: (15, 6.4),
    30: (17, 8.4),
    35: (18, 11),
    40: (22, 11),
    45: (25, 13),
    50: (30, 13),
    60: (35, 17),
}


@pytest.mark.parametrize("angle", METRIC, ids=lambda angle: angle.designation)
def test_gauges_from_memory(angle: tables.Angle) -> None:
    """DIN 997, back marks and largest holes by the leg, whatever its thickness (from memory, here as in the row)."""
    leg, thickness = angle.designation.split("x")[1:]
    assert (angle.leg_mm, angle.thickness_mm) == (float(leg), float(thickness))
    assert (angle.gauge_mm, angle.largest_hole_mm) == DIN_997[int(leg)]


@pytest.mark.parametrize("angle", METRIC, ids=lambda angle: angle.designation)
def test_rule_against_the_printed_values(angle: tables.Angle) -> None:
    found = equal_angle(angle.leg_mm, angle.thickness_mm, angle.root_radius_mm, angle.toe_radius_mm)
    assert found == pytest.approx(outline(angle), rel=1e-9)
    _, area, second, _, centroid, _ = PRINTED[angle.designation]
    assert found.area / 100 == pytest.approx(area, rel=0.005)
    assert found.second_moment / 1e4 == pytest.approx(second or angle.second_moment_cm4, rel=0.005)
    assert found.centroid / 10 == pytest.approx(centroid or angle.centroid_cm, rel=0.006)
