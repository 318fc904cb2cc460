"""Weld seams: each line lies on both pieces, nothing is left loose, sizes and patterns follow their rules."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_specs import changed, profile, specs
from shapely import Point, Polygon

from mouldgeom import SpecError, load
from mouldgeom.drawing.primitives import Text
from mouldgeom.fabrication.welds import (
    RunPattern,
    Seam,
    SeamKind,
    fillet_leg_greatest_at_edge,
    least_run,
    seams,
    totals,
    usual_pattern,
    weld_metal,
)
from mouldgeom.geometry.outline import Outline
from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import PieceId, Role
from mouldgeom.model.assembly import Mould, Piece, build
from mouldgeom.model.joints import WeldRole
from mouldgeom.model.sections import angle_section, tube_section
from mouldgeom.model.shapes import Bar, Fastener, Group, Plate, SectionKind, bar_diameter
from mouldgeom.outputs.papers import weldmarks
from mouldgeom.spec import Spec
from mouldgeom.strength import turning
from mouldgeom.units import plain
from mouldgeom.words import Words


def region(outline: Outline, openings: tuple[Outline, ...] = ()) -> Polygon:
    return Polygon(outline.points(1.0), [opening.points(1.0) for opening in openings])


def section(piece: Piece) -> tuple[Polygon, float, float]:
    """Cross-section of a piece in its local x and y, and the local z between which it stands."""
    part = piece.part
    if isinstance(part, Plate):
        return region(part.outline, part.openings), -part.thickness, 0.0
    if isinstance(part, Fastener):
        return Point(0, 0).buffer(40), 0.0, part.length
    if part.kind is SectionKind.ANGLE:
        return region(angle_section(part.section)), 0.0, part.length
    if part.kind is SectionKind.SQUARE_TUBE:
        outer, inner = tube_section(part.section)
        return region(outer, (inner,)), 0.0, part.length
    return Point(0, 0).buffer(bar_diameter(part) / 2, 256), 0.0, part.length


def distance(piece: Piece, point: Vec) -> float:
    """Distance of a point from the steel of a piece."""
    x, y, z = piece.placement.to_local(point)
    shape, low, high = section(piece)
    return math.hypot(shape.distance(Point(x, y)), max(low - z, z - high, 0.0))


def points(seam: Seam) -> Iterator[Vec]:
    for a, b in seam.lines:
        for share in (0.02, 0.5, 0.98):
            yield tuple(p + share * (q - p) for p, q in zip(a, b, strict=True))


def assert_on_both(mould: Mould) -> None:
    dims = mould.dims
    fit = dims.spec.shop.fit_gap / 2 + dims.taper * dims.base + 0.05
    splayed = dims.shell * math.sin(math.radians(dims.nose.splay)) + 0.05
    front = fit + dims.spec.shop.fit_gap / 2  # a diaphragm bears on the back wall: all its room is at the front
    gaps = {"corner flange": dims.spec.shop.weld_gap + 0.05, "anchor": fit, "diaphragm": front, "nose": splayed}
    pieces = {piece.id: piece for piece in mould.pieces()}
    for seam in seams(mould):
        gap = dims.shell * math.sin(math.radians(dims.draft)) + 0.05
        if seam.name.endswith("to corner flange"):
            gap = gaps["corner flange"]
        elif seam.name.startswith(("anchor", "diaphragm")):
            gap = gaps[seam.name.split()[0]]
        elif seam.name.startswith("nose"):
            gap = gaps["nose"]
        elif seam.name.startswith("ledge strip"):
            gap = dims.ledge * math.sin(math.radians(dims.draft)) + 0.05
        for piece, point in itertools.product(seam.pieces, points(seam)):
            off = distance(pieces[piece], point)
            assert off <= gap, f"{seam.name}: {off:.3f} mm from {piece.name} at {point}"


def test_each_line_lies_on_both_pieces(either: Mould) -> None:
    """Measured against the pieces' own sections and outlines; the gaps are those that the design leaves on purpose."""
    assert_on_both(either)


@given(st.data())
@profile(25)
def test_each_line_lies_on_both_pieces_of_any_mould(data: st.DataObject) -> None:
    spec: Spec = data.draw(specs(near=0.4))
    try:
        mould = build(spec)
    except SpecError:
        return
    assert_on_both(mould)


LOOSE = {Role.NOSE_LID, Role.JACK_SCREW, Role.FORCING_SCREW, Role.THRUST_PAD, Role.HANGER, Role.CLOSING_BAR}
"""Pieces of steel that are taken off at every cast, each by itself."""
WELDED_NUTS = {Role.ANCHOR_NUT, Role.PLATE_NUT}


def test_no_piece_is_left_loose(either: Mould) -> None:
    """What is neither bolted, nor turned by hand, nor taken off is welded; and a weldment hangs together."""
    made = seams(either)
    welded = {name for seam in made for name in seam.names}
    for piece in either.pieces():
        loose = piece.id.role in LOOSE if piece.part.group is not Group.FASTENERS else piece.id.role not in WELDED_NUTS
        assert (piece.name in welded) is not loose, piece.name


def weldments(made: tuple[Seam, ...]) -> list[set[str]]:
    groups: list[set[str]] = []
    for seam in made:
        joined = set(seam.names)
        rest = []
        for group in groups:
            if group & joined:
                joined |= group
            else:
                rest.append(group)
        groups = [*rest, joined]
    return groups


def test_what_comes_apart_is_not_welded_together(either: Mould) -> None:
    """Front, back, two sides, core with base, and a bridge: five or six weldments and no seam between them."""
    groups = weldments(seams(either))
    heads = [{"front panel"}, {"back panel"}, {"side panel, left"}, {"side panel, right"}, {"base plate", "end plate"}]
    if either.dims.has_bridge:
        heads.append({"washer plate", "bridge leg, left", "bridge beam, back"})
    assert len(groups) == len(heads)
    for head in heads:
        assert sum(head <= group for group in groups) == 1


def test_no_two_pieces_of_a_bolt_row_are_welded_together(either: Mould) -> None:
    for seam in seams(either):
        for row in either.rows:
            assert not set(seam.pieces) <= set(row.members)


def test_marks_are_those_of_the_pieces(either: Mould) -> None:
    marks = {piece.name: piece.mark for piece in either.pieces()}
    for seam in seams(either):
        assert seam.marks == tuple(marks[name] for name in seam.names)


def test_sides_are_alike(hill: Mould) -> None:
    """Left and right carry the same welds."""
    total: dict[str, float] = {"left": 0.0, "right": 0.0}
    for seam in seams(hill):
        for side in total:
            if any(side in name for name in seam.names):
                total[side] += seam.welded
    assert total["left"] == pytest.approx(total["right"])
    assert total["left"] > 5000


def lengths(mould: Mould) -> dict[str, float]:
    """Length of the seams of each name together."""
    by_name: dict[str, float] = {}
    for seam in seams(mould):
        by_name[seam.name] = by_name.get(seam.name, 0.0) + seam.length
    return by_name


def test_lengths_against_hand_sums(hill: Mould, bridged_hill: Mould) -> None:
    """The built-in example, from its drawing: four corners of 886 mm less 40 mm; runners of 470 mm, both sides."""
    by_name = lengths(hill)
    assert by_name["corner flange to side panel, toe"] == pytest.approx(4 * (886.26 - 40), abs=0.1)
    assert by_name["runner to base plate"] == pytest.approx(2 * 2 * 470, abs=0.1)
    assert by_name["stiffener to panel"] == pytest.approx(2 * (4 * 384 + 4 * 280), abs=0.1)
    assert by_name["base flange to panel, toe"] == pytest.approx(2 * 450 + 2 * 280, abs=0.1)
    # M24 nut, 36 mm across flats: six sides of 36 / sqrt 3
    assert by_name["forcing nut to nut plate"] == pytest.approx(4 * 6 * 36 / math.sqrt(3))
    assert lengths(bridged_hill)["jack nut to anchor plate"] == pytest.approx(6 * 36 / math.sqrt(3))
    # nut plates of 88 x 102 mm, all round
    assert by_name["nut plate to base plate"] == pytest.approx(4 * 2 * (88 + 102))


def test_the_concrete_side_carries_no_bead(hill: Mould) -> None:
    """Seams on the core's outside, the ledge, and faces that bolt flat on another are ground level."""
    flush = {seam.name for seam in seams(hill) if seam.flush}
    assert {"core corner", "end plate to wall", "ledge strip corner", "corner flange to side panel, heel"} <= flush
    assert "runner to base plate" not in flush
    assert "core to base plate, inside" not in flush


@pytest.mark.parametrize(("thickness", "leg"), [(3, 3), (4, 4), (5.9, 5.9), (6, 4), (10, 8)])
def test_leg_at_an_edge(thickness: float, leg: float) -> None:
    """AISC 360 J2.2b: below 6 mm the thickness, from 6 mm up 2 mm less."""
    assert fillet_leg_greatest_at_edge(thickness) == pytest.approx(leg)


@pytest.mark.parametrize(("leg", "run"), [(3, 38), (8, 38), (10, 40)])
def test_least_run(leg: float, run: float) -> None:
    """AISC 360 J2.2b: four legs, 38 mm (1 1/2 in)."""
    assert least_run(leg) == run


@pytest.mark.parametrize("leg", [2, 3, 5, 6])
def test_usual_pattern_keeps_the_seen_rule_and_the_range_from_memory(leg: float) -> None:
    pattern = usual_pattern(leg)
    assert pattern.run >= least_run(leg)
    assert 25 <= pattern.run <= 50
    assert 100 <= pattern.pitch <= 150


@given(st.floats(1, 5000), st.floats(20, 60), st.floats(80, 150))
def test_runs_leave_no_gap_wider_than_the_pattern(length: float, run: float, pitch: float) -> None:
    pattern = RunPattern(run, pitch)
    count, welded = pattern.runs(length), pattern.welded(length)
    assert 0 < welded <= length + 1e-9
    if count > 1:
        assert (length - run) / (count - 1) <= pitch + 1e-6
        assert welded <= length
    else:
        assert welded == length


def test_runs_by_hand() -> None:
    """40 mm runs at 100 mm: 440 mm holds five, the last one at its end; 80 mm is welded through."""
    pattern = RunPattern(40, 100)
    assert (pattern.runs(440), pattern.welded(440)) == (5, 200)
    assert (pattern.runs(441), pattern.welded(441)) == (6, 240)
    assert (pattern.runs(80), pattern.welded(80)) == (1, 80)


def test_totals_add_up(example: Mould) -> None:
    made = seams(example)
    rows = totals(made)
    assert sum(row.welded for row in rows) == pytest.approx(sum(seam.welded for seam in made))
    assert sum(row.volume for row in rows) == pytest.approx(sum(seam.volume for seam in made))
    assert sum(row.flush for row in rows) == pytest.approx(sum(seam.welded for seam in made if seam.flush))
    assert len({(row.kind, row.size) for row in rows}) == len(rows)


def test_metal_of_one_metre() -> None:
    """One metre of 3 mm fillet: 4.5 mm2 of steel, 35.3 g; welding handbooks print 0.035 kg/m without convexity."""
    seam = Seam(
        WeldRole.CORE_CORNER,
        (PieceId(Role.CORE_WALL), PieceId(Role.CORE_WALL)),
        ("A1", "B1"),
        (((0, 0, 0), (1000, 0, 0)),),
        SeamKind.FILLET,
        3,
        0,
        None,
        False,
        "geometry",
    )
    assert weld_metal([seam], 7850) == pytest.approx(0.0353, rel=0.002)


def test_handles_and_bars_are_on_the_outside(hill: Mould) -> None:
    """No seam of bars with panels lies inside the box."""
    dims = hill.dims
    for seam in seams(hill):
        if seam.name.startswith(("stiffener", "handle", "base flange to panel", "corner flange")):
            for x, y, _ in points(seam):
                assert abs(x) >= dims.width / 2 - 1e-6 or abs(y) >= dims.depth / 2 - 1e-6


def test_every_bar_of_the_box_has_a_seam_of_its_own_length(hill: Mould) -> None:
    made = seams(hill)
    for bar in (p for p in hill.bars if p.kind is SectionKind.ANGLE and p.group is Group.OUTER_BOX):
        assert isinstance(bar, Bar)
        for stand in bar.stands:
            longest = max(seam.length for seam in made if seam.pieces[0] == stand.id)
            assert longest == pytest.approx(bar.length)


def test_only_the_fillet_that_is_laid_on_it_bears(hill: Mould, bridged_hill: Mould) -> None:
    """A 12 mm rod has a radius of 6 mm: the filled corner counts nothing, a fillet of 3 mm does; both take metal."""
    handle = next(seam for seam in seams(hill) if seam.name == "handle to stiffener")
    assert (handle.kind, handle.radius, handle.laid) == (SeamKind.FLARE, 6, 3)
    assert handle.throat == pytest.approx(3 / math.sqrt(2))
    assert handle.section == pytest.approx((1 - math.pi / 4) * 36 + 4.5)
    assert turning.handle(hill, 15).throat == handle.throat
    assert replace(handle, radius=10.0).throat == pytest.approx(5 / 16 * 10)
    bare = [seam for seam in seams(bridged_hill) if seam.kind is SeamKind.FLARE and not seam.laid]
    assert {seam.name for seam in bare} == {
        *(
            "runner to base plate",
            "stiffener to panel",
            "bridge cap to beam, along",
            "washer plate to beam, along",
        ),
    }
    assert {seam.throat for seam in bare} == {0}


def test_paper_asks_for_the_fillet(hill: Mould) -> None:
    handle = next(seam for seam in seams(hill) if seam.name == "handle to stiffener")
    assert weldmarks.size(handle, plain) == "z3"
    table = weldmarks.weld_table([w for w in weldmarks.welds(hill) if w.first.name == handle.name], Words(), plain)
    told = " ".join(item.text for item in table.items if isinstance(item, Text))
    assert "fillet on it" in told


def test_beside_a_sharp_corner_stands_a_fillet() -> None:
    """Two angles welded into one have no round outside."""
    found = [
        s for s in seams(build(changed(load("hill-example"), {"steel.square_tube": "two 40x40x4"}))) if not s.radius
    ]
    stiffeners = [seam for seam in found if seam.name == "stiffener to panel"]
    assert stiffeners
    assert {(seam.kind, seam.leg) for seam in stiffeners} == {(SeamKind.FILLET, 3)}
