"""Bolt holes of the shipped moulds against EN 1993-1-8:2005, Table 3.3: least edge distance and pitch.

Table 3.3: e1, e2 at least 1.2 d0; p1 at least 2.2 d0; p2 at least 2.4 d0.  The greatest values (14 t, 200 mm) are for
steel in compression or out in the weather and are not asked of a mould.  Worked out here from the parts' own holes, by
distances to the lines of their outlines, not by the program's checks.  Tolerance: 1e-6 mm, rounding of coordinates.
"""

from __future__ import annotations

import itertools
import math

import pytest
from conftest import named

from mouldgeom import rules, tables
from mouldgeom.geometry.outline import Outline
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Bar, HolePurpose, Plate

END, PITCH, GAUGE = 1.2, 2.2, 2.4
CLOSE = 1e-6


def to_line(x: float, y: float, outline: Outline) -> float:
    """Distance from a point to the nearest edge, chords of arcs included at 1 degree."""
    points = outline.points(1.0)
    best = math.inf
    for (ax, ay), (bx, by) in itertools.pairwise([*points, points[0]]):
        length = math.hypot(bx - ax, by - ay)
        share = min(1.0, max(0.0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length**2))
        best = min(best, math.hypot(x - ax - share * (bx - ax), y - ay - share * (by - ay)))
    return best


def test_table_3_3_for_m10() -> None:
    """d0 = 11 mm: 13.2 and 24.2 mm by hand, in the rules as here."""
    d0 = tables.bolt("M10").hole_medium_mm
    assert [END * d0, PITCH * d0] == pytest.approx([13.2, 24.2])
    assert [rules.end_distance_least(d0), rules.pitch_least(d0)] == pytest.approx([13.2, 24.2])


def test_plates(example: Mould) -> None:
    seen = 0
    for plate in example.plates:
        bolts = [h for h in plate.holes if h.purpose is HolePurpose.BOLT]
        seen += len(bolts)
        for hole in bolts:
            edge = min(to_line(hole.x, hole.y, line) for line in (plate.outline, *plate.openings))
            assert edge >= END * hole.diameter - CLOSE, (plate.name, hole)
        for a, b in itertools.combinations(bolts, 2):
            assert math.hypot(a.x - b.x, a.y - b.y) >= GAUGE * a.diameter - CLOSE, plate.name
    assert seen > 30


def test_angles(example: Mould) -> None:
    """e1 to the sawn end, e2 to the toe of the leg; e2 towards the heel is more by the thickness of the other leg."""
    seen = 0
    for bar in example.bars:
        for hole in bar.holes:
            seen += 1
            leg = tables.angle(bar.section).leg_mm
            assert min(hole.along, bar.length - hole.along) >= END * hole.diameter - CLOSE, bar.name
            assert min(leg - hole.offset, hole.offset) >= END * hole.diameter - CLOSE, bar.name
        for a, b in itertools.pairwise(sorted(hole.along for hole in bar.holes)):
            assert b - a >= PITCH * bar.holes[0].diameter - CLOSE, bar.name
    assert seen > 15


def test_every_bolted_part_was_looked_at(example: Mould) -> None:
    members = {member.name for row in example.rows for member in row.members}
    for name in members:
        part = named(example, name).part
        assert isinstance(part, Plate | Bar)
        assert part.holes
