"""A bolted flange and its sheet by pocket calculator: beam theory, torsion of open sections, plate coefficients.

40x40x4 with its bolts 22 mm from the heel, M10, 3 mm sheet, S235.  Handbooks: a bar under an even torque, held at its
ends, turns by M p^2/(8 G J), G J with J = t^3 (2 b - t)/3; a fixed beam sags by w L^4/384 under an even load and by
F L^3/192 under one in the middle, so twice as much; D = E t^3/(12 (1 - nu^2)).  Timoshenko and Woinowsky-Krieger,
2nd ed. 1959, Table 35 (from memory).  Worked numbers 0.1 %.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from mouldgeom.model.assembly import Mould
from mouldgeom.rules.flanges import CornerJoint, Foot, Joint, Load, edge_moment, lift_factor, tributaries

NEAR = 1e-3


def falling(z: float) -> float:
    """25 kN/m3 below a pour face at 900 mm."""
    return 25e-6 * (900 - z)


@pytest.fixture
def joint(hill: Mould) -> Joint:
    return hill.dims.flanges.joints[0]


def test_gap(joint: Joint) -> None:
    """10 N/mm of pull and 60 N of moment on each mm, bolts 160 mm apart.

    J 64 x 76/3 = 1621.3 mm4, G J 80 769 x 1621.3 = 1.3095e8: twist 60 x 160^2/(8 x 1.3095e8) x 40 = 0.05865 mm.
    D 519 231: tilt 60 x 16.5/(3 x 519 231) x 22 = 0.01398 mm.  Leg 75.3 mm wide, I 401.6 mm4: 1600 x 13.2^3/(3 E I) =
    0.01454 mm.  The sheet lifts by 10 x 160^3/519 231 = 78.89 times the factor of its series.
    """
    found = joint.gap(Load(10, 4, 60), 160)
    assert (found.twist, found.tilt, found.leg) == pytest.approx((0.05865, 0.01398, 0.01454), rel=NEAR)
    assert found.sheet == pytest.approx(78.89 * lift_factor(160, 18, 22, 0.3), rel=NEAR)
    assert found.total == pytest.approx(found.sheet + 0.05865 + 0.01398 + 0.01454, rel=NEAR)


@pytest.mark.parametrize(
    ("carried", "place", "more"), [(160, 80, 2.0), (320, 80, 4.0), (320, 40, 2.25), (60, 80, 1.0), (320, 1, 1.0)]
)
def test_gap_where_a_stiffener_ends(joint: Joint, carried: float, place: float, more: float) -> None:
    """In the middle twice what the same force does evenly; at a quarter 3/4 squared of it; never less than evenly."""
    even, found = joint.gap(Load(10, 4, 60), 160), joint.gap(Load(10, 4, 60), 160, carried, place)
    assert found.sheet / even.sheet == pytest.approx(more)


def test_lengths_and_resistances(joint: Joint) -> None:
    """Circles 2 pi x 16.5 = 103.7 mm in the sheet and, far from an edge, 2 pi x 13.2 = 82.9 mm in the leg.

    Head of 16 mm across flats and 17.9 across corners: 0.6 pi x 16.95 x 3 x 360/1.25 = 27 605 N.
    """
    wide = replace(joint, angle=replace(joint.angle, leg_mm=100.0))
    assert (joint.sheet_length, wide.flange_length) == pytest.approx((103.7, 82.94), rel=NEAR)
    assert joint.punching_resistance == pytest.approx(27_605, rel=NEAR)


def test_shear_counts_beside_tension(joint: Joint) -> None:
    """Half of the shear and 0.7 of the tension are 0.5 + 0.7/1.4 = 1 by EN 1993-1-8:2005 Table 3.4."""
    tension, shear = 0.7 * joint.tension_resistance / 150, 0.5 * joint.shear_resistance / 150
    assert joint.bolt_use(Load(tension, shear, 0), 100).interaction == pytest.approx(1)


def test_corner() -> None:
    """Panels 400 and 350 wide, stiffeners at 300 and 600 mm of 900.

    Fields 300 mm tall: 0.0563 x 300^2 = 5070 (b/a 4/3, short edge); the uppermost, its top free, as one twice as tall:
    0.0753 x 400^2 = 12 048 (3/2, long edge).  From 0 to 200 mm 22.5 kPa: pull 0.505 x 22.5e-3 x 400 = 4.545, shear
    3.977, moment 114.1.  The stiffeners carry 300 and 450 mm of panel, by the pressure 150 and 450 mm up.
    """
    corner = CornerJoint(400, 350, 900, (300, 600), falling)
    assert [field[:2] for field in corner.fields] == [(0, 300), (300, 600), (600, 900)]
    assert [field[2] for field in corner.fields] == pytest.approx([5070, 5070, 12_048])
    assert corner.load(0, 200) == pytest.approx((4.545, 3.977, 114.1), rel=NEAR)
    assert [corner.share(0), corner.share(1)] == [300, 450]
    assert dict(corner.ends) == pytest.approx({300: 994.2, 600: 894.8}, rel=NEAR)


def test_foot() -> None:
    """400 mm wide, 22.5 kPa, lowest stiffener at 250 mm: 0.505 x 22.5e-3 x 250 = 2.841 N/mm, moment 0.0780 x 250^2 p.

    A post 80 mm from the middle carries from there half way to the corner, 80 + 60 = 140 mm.
    """
    foot = Foot(400, 900, (250,), falling, 80)
    assert foot.load(0, 0) == pytest.approx((0, 2.841, 109.7), rel=NEAR)
    assert dict(foot.ends) == pytest.approx({-80: 140 * 2.841, 80: 140 * 2.841}, rel=NEAR)
    assert Foot(400, 900, (), falling).field == 1800


def test_both_edges_of_a_square_are_alike() -> None:
    assert edge_moment(1, 1, 1) == pytest.approx(edge_moment(1, 1, 1 + 1e-9)) == pytest.approx(0.0513)


def test_bolts_hold_half_way_to_their_neighbours() -> None:
    assert tributaries([100, 200, 400], 0, 500) == ((0, 150), (150, 300), (300, 500))
