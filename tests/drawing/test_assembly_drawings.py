"""Assembly drawings: exact line art, its outlines against the solids, and sheets without clashing lettering."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from enum import StrEnum
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, assume, given, settings
from random_specs import profile, specs

from mouldgeom import Spec
from mouldgeom.drawing.layout import clashes
from mouldgeom.drawing.paper import PAPERS, PaperOptions, numbered
from mouldgeom.drawing.primitives import Circle, Sheet, Stroke, Text
from mouldgeom.drawing.strokes import (
    Arc,
    Path,
    Segment,
    box_of,
    curve_through,
    line_between,
    merged,
    points_of,
)
from mouldgeom.errors import MouldError
from mouldgeom.fabrication.welds import seams
from mouldgeom.identity import CLOSING, GEAR, LEFT_PANEL, RIGHT_PANEL, STAND, PieceId, Role, RowRole
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.joints import WeldRole
from mouldgeom.outputs.papers.weldmarks import all_round
from mouldgeom.words import Words

pytestmark = pytest.mark.slow(seconds=84)

if TYPE_CHECKING:
    from mouldgeom.drawing.hidden import Frame, Solid, View
    from mouldgeom.solids import SolidMould

PROJECTIONS = ("first angle", "third angle")


# --- plane curves ----------------------------------------------------------------------------------------------------


def test_lines_on_one_straight_line_are_joined_where_they_meet() -> None:
    """Two that overlap, one that touches and one apart: two lines."""
    lines = [Segment((0, 0), (2, 1)), Segment((1, 0.5), (4, 2)), Segment((4, 2), (6, 3)), Segment((8, 4), (10, 5))]
    assert merged(lines) == [Segment((0, 0), (6, 3)), Segment((8, 4), (10, 5))]


def test_merging_does_not_depend_on_the_order() -> None:
    """Every order of some lines and arcs gives the same list."""
    curves = [
        Segment((0, 0), (0, 5)), Segment((0, 9), (0, 4)), Segment((1, 0), (1, 5)),
        Arc((0, 0), 2, 0, 1), Arc((0, 0), 2, 1, 2),
    ]  # fmt: skip
    results = {tuple(merged(list(order))) for order in itertools.permutations(curves)}
    assert results == {(Segment((0, 0), (0, 9)), Segment((1, 0), (1, 5)), Arc((0, 0), 2, 0.0, 3.0))}


def test_halves_of_a_circle_are_a_circle() -> None:
    """Arcs that go round make a whole one."""
    (whole,) = merged([Arc((3, 4), 5, 0, math.pi).rounded(), Arc((3, 4), 5, math.pi, math.pi).rounded()])
    assert isinstance(whole, Arc)
    assert whole.whole
    assert box_of([whole]) == pytest.approx((-2, -1, 8, 9), abs=1e-4)


def test_points_become_the_simplest_curve() -> None:
    """A line from points on one, an arc from points on a circle, a chain otherwise, nothing from one point."""
    assert curve_through([(0, 0), (3, 3), (1, 1)], 0.02) == line_between((0, 0), (3, 3))
    arc = curve_through([(10 * math.cos(t / 10), 10 * math.sin(t / 10)) for t in range(16)], 0.02)
    assert isinstance(arc, Arc)
    assert arc.radius == pytest.approx(10, abs=1e-3)
    assert arc.sweep == pytest.approx(1.5, abs=1e-3)
    assert isinstance(curve_through([(t, t**3) for t in range(6)], 0.02), Path)
    assert curve_through([(1, 1), (1, 1)], 0.02) is None


# --- views -----------------------------------------------------------------------------------------------------------


def solids_box(pieces: Sequence[Solid], frame: Frame) -> tuple[float, float, float, float]:
    """Bounds of the pieces on the picture, from the kernel's exact bounds of the turned solids."""
    import cadquery as cq
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    plane = cq.Plane(origin=(0, 0, 0), xDir=frame.right, normal=frame.eye)
    box = Bnd_Box()
    for piece in pieces:
        BRepBndLib.AddOptimal_s(piece.shape.moved(cq.Location(plane).inverse).wrapped, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return low.X(), low.Y(), high.X(), high.Y()


DIRECTIONS = [(0.0, -1.0, 0.0), (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (1.0, -1.0, 1.0), (1.0, -1.25, 0.95)]


@pytest.mark.parametrize("eye", DIRECTIONS)
def test_a_views_outline_box_is_that_of_the_solids(hill_solids: SolidMould, eye: tuple[float, float, float]) -> None:
    """To 0.01 mm; the kernel's bounds of the turned solids are another algorithm than its hidden-line removal."""
    from mouldgeom.drawing.hidden import view

    pieces = [p for p in hill_solids.pieces if not p.name.startswith(("bolt", "nut", "washer"))]
    shown = view(pieces, eye)
    assert shown.box == pytest.approx(solids_box(pieces, shown.frame), abs=0.01)


def silhouette(shown: View) -> float:
    """Area within the lines of a view: the union of all faces that its lines enclose."""
    from shapely import polygonize, unary_union
    from shapely.geometry import LineString

    lines = unary_union([LineString(points_of(c, math.radians(1))) for c in shown.visible], grid_size=1e-3)
    return float(unary_union(list(polygonize(list(lines.geoms)).geoms)).area)


def test_the_silhouette_of_the_concrete_is_its_projection(example_solids: SolidMould) -> None:
    """From the front: the box; from the side: box and nose with the lid's edge; areas from the dimensions alone.

    To 1 mm2: corners are snapped to 0.001 mm before the faces are found, times some 2 m of outline.
    """
    from mouldgeom.drawing.hidden import FRONT, Thing, view

    dims = example_solids.dims
    body = Thing("", "concrete", example_solids.body)
    front = silhouette(view([body], FRONT.eye))
    assert front == pytest.approx(dims.width * dims.height, abs=1.0)
    side = silhouette(view([body], (1.0, 0.0, 0.0)))
    nose = dims.nose
    triangle = (nose.root_y - nose.tip_y) * (nose.lid_z - nose.low_z) / 2
    root = (-dims.depth / 2 - nose.root_y) * (nose.opening_top - nose.low_z)
    assert side == pytest.approx(dims.depth * dims.height + triangle + root, abs=1.0)


def test_leaving_out_what_is_behind_changes_no_line(hill_solids: SolidMould) -> None:
    """The view of what ``in_front`` keeps is the view of everything: the kernel hides the rest itself."""
    from mouldgeom.drawing.hidden import FRONT, Frame, in_front, view

    pieces = [p for p in hill_solids.pieces if not p.name.startswith(("nut", "washer"))]
    for eye in (FRONT.eye, (1.0, -1.0, 1.0)):
        kept = in_front(pieces, Frame.towards(eye))
        assert len(kept) < 0.9 * len(pieces)
        everything = view(pieces, eye, hidden=True)
        assert everything.visible == view(pieces, eye).visible


def test_bold_pieces_have_their_own_lines(hill_solids: SolidMould) -> None:
    """All lines are there once, and the named pieces' lines apart."""
    from mouldgeom.drawing.hidden import view

    pieces = [p for p in hill_solids.pieces if p.part.group == "nose"]
    front = PieceId(Role.NOSE_FRONT)
    whole, some = view(pieces), view(pieces, bold=[front])
    assert some.bold == tuple(merged(some.of_piece[front]))
    assert set(merged([*some.visible, *some.bold])) == set(whole.visible)


def test_cut_faces_have_the_area_that_the_dimensions_say(example_solids: SolidMould) -> None:
    """The base plate cut through the middle: its depth less the access opening, times its thickness."""
    from mouldgeom.drawing.hidden import section

    dims = example_solids.dims
    base = [p for p in example_solids.pieces if p.name == "base plate"]
    shown = section(base)
    area = sum(cut.area.area for cut in shown.cuts)
    assert area == pytest.approx(2 * (dims.base_half_y - dims.access_half_y) * dims.base, abs=1e-3)
    outlines = [tuple(merged(cut.rings[0])) for cut in shown.cuts]
    assert all(len(ring) == 4 for ring in outlines)


def test_anchors_lie_on_their_pieces(hill_solids: SolidMould) -> None:
    """Every anchor is inside the box of its piece on the picture."""
    from mouldgeom.drawing.hidden import view

    pieces = [p for p in hill_solids.pieces if not p.name.startswith(("bolt", "nut", "washer"))]
    shown = view(pieces, (1.0, -1.25, 0.95))
    known = {p.id: p for p in pieces}
    for piece, (x, y) in shown.anchors.items():
        x0, y0, x1, y1 = solids_box([known[piece]], shown.frame)
        assert x0 - 0.01 <= x <= x1 + 0.01, piece
        assert y0 - 0.01 <= y <= y1 + 0.01, piece


# --- sheets ----------------------------------------------------------------------------------------------------------


def sheets_of(solids: SolidMould, paper: str, projection: str, words: Words | None = None) -> list[Sheet]:
    """All assembly sheets of a mould."""
    from mouldgeom.outputs.papers.assemblies import assembly_sheets

    options = replace(PaperOptions.from_spec(solids.dims.spec), paper=PAPERS[paper], projection=projection)
    return numbered(assembly_sheets(solids, words or Words(), options))


@pytest.fixture(scope="module")
def hill_sheets(hill_solids: SolidMould) -> list[Sheet]:
    """The assembly sheets of the built-in example."""
    return sheets_of(hill_solids, "A3", "first angle")


def wrong_with(sheets: Sequence[Sheet]) -> list[str]:
    """All clashes of some sheets."""
    return [clash for sheet in sheets for clash in clashes(sheet)]


@pytest.mark.parametrize("projection", PROJECTIONS)
def test_lettering_meets_nothing(example_solids: SolidMould, projection: str) -> None:
    """On the three examples, in both projections, on the large and the small paper in turn."""
    paper = "A4" if projection == "third angle" else "A3"
    assert wrong_with(sheets_of(example_solids, paper, projection)) == []


@pytest.mark.parametrize(("language", "units"), [("fr", "both"), ("es", "inches")])
def test_lettering_meets_nothing_in_other_languages_and_units(
    hill_solids: SolidMould, language: str, units: str
) -> None:
    """Longer words and longer numbers find their room."""
    assert wrong_with(sheets_of(hill_solids, "A3", "first angle", Words(language, units))) == []


@given(spec=specs(near=0.6))
# solids take seconds, and many specifications are refused
@settings(
    profile(4, shrink=False), suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)  # fmt: skip
def test_lettering_meets_nothing_on_random_moulds(spec: Spec) -> None:
    """Whatever can be built can be drawn, in its own paper, projection, language and units."""
    from mouldgeom.drawing.paper import words_of
    from mouldgeom.solids import SolidMould

    try:
        mould = build(spec)
    except MouldError:
        assume(False)
        return
    papers = spec.papers
    assert wrong_with(sheets_of(SolidMould(mould), papers.paper, papers.projection, words_of(spec))) == []


def test_sheets_are_the_same_each_time(hill: Mould, hill_solids: SolidMould) -> None:
    """Made from solids made anew, they are equal item by item."""
    from mouldgeom.outputs.papers.exploded import exploded_sheets
    from mouldgeom.outputs.papers.stage import Easel
    from mouldgeom.outputs.papers.subassemblies import subassembly_sheets
    from mouldgeom.solids import SolidMould

    options = PaperOptions.from_spec(hill.dims.spec)
    one, other = (Easel(solids, Words(), options) for solids in (hill_solids, SolidMould(hill)))
    assert exploded_sheets(one) == exploded_sheets(other)
    assert subassembly_sheets(one) == subassembly_sheets(other)


def test_views_stand_where_the_projection_has_them(hill_solids: SolidMould) -> None:
    """First angle: the view from above below the front; third angle: above it.  ISO 5456-2:1996."""
    for projection, sign in zip(PROJECTIONS, (1, -1), strict=True):
        sheet = next(s for s in sheets_of(hill_solids, "A3", projection) if s.name == "general-views")
        spots = {t.text: t for t in sheet.texts()}
        front, above, side = (spots[name] for name in ("From the front", "From above", "From the right"))
        assert sign * (front.y - above.y) > 50
        assert sign * (side.x - front.x) > 50
        assert abs(front.x - above.x) < 1e-6


def test_every_mark_has_a_balloon(hill: Mould, hill_sheets: list[Sheet]) -> None:
    """Each part but the thin washers is pointed at on some sheet, and every part is in the list once."""
    drawn = [t.text for s in hill_sheets for t in s.texts() if t.bold]
    for part in hill.parts:
        if not part.name.startswith("washer M"):
            assert part.mark in drawn, part.mark
    listed = [t.text for s in hill_sheets if s.name.startswith("general-section") for t in s.texts() if not t.bold]
    assert all(listed.count(part.mark) == 1 for part in hill.parts)


def test_every_weld_has_a_symbol_and_a_row(hill: Mould, hill_sheets: list[Sheet]) -> None:
    """One symbol and one row on each sheet that a seam is on; numbers follow the order of welding."""
    from mouldgeom.outputs.papers.weldmarks import welds

    numbered_welds = welds(hill)
    assert [w.number for w in numbered_welds] == list(range(1, len(numbered_welds) + 1))
    for weld in numbered_welds:
        found = 0
        for sheet in hill_sheets:
            spots = sorted(t.bold for t in sheet.texts() if t.text == weld.mark)
            assert spots in ([], [False, True]), weld.mark
            found += bool(spots)
        assert found, weld.mark


def test_weld_symbols_say_size_and_runs(hill: Mould) -> None:
    """ISO 2553: z and the leg before a fillet, also one laid on a flare, n x l (e) behind; the runs fill the line."""
    from mouldgeom.fabrication.welds import laid
    from mouldgeom.outputs.papers.weldmarks import runs, size

    for seam in seams(hill):
        text = runs(laid([seam])[0], lambda value: f"{value:.1f}")
        longest = max(math.dist(*line) for line in seam.lines)
        leg = seam.leg if seam.kind == "fillet" else seam.laid
        assert size(seam, lambda v: f"{v:g}") == (f"z{leg:g}" if leg else "")
        if "×" not in text:
            assert float(text) == pytest.approx(longest, abs=0.06)
            continue
        count, rest = text.split(" × ")
        run, gap = rest.rstrip(")").split(" (")
        assert int(count) * float(run) + (int(count) - 1) * float(gap) == pytest.approx(longest, abs=int(count))


def test_overall_sizes_are_those_of_the_solids(hill_solids: SolidMould, hill_sheets: list[Sheet]) -> None:
    """The three overall dimensions are the sides of the box around all that stands for casting, each drawn once."""
    fitted = [p for p in hill_solids.pieces if not p.unit.within(GEAR, STAND, CLOSING)]
    standing = [p for p in fitted if p.id.row is None or p.id.row.role is not RowRole.CLOSING]
    boxes = [p.shape.BoundingBox() for p in standing]
    expected = sorted(
        max(getattr(b, f"{axis}max") for b in boxes) - min(getattr(b, f"{axis}min") for b in boxes) for axis in "xyz"
    )
    sheet = next(s for s in hill_sheets if s.name == "general-views")
    assert sorted(d.value for d in sheet.dimensions()) == pytest.approx(expected, abs=0.01)


def test_the_filters_sizes_are_those_of_the_specification(hill: Mould, hill_sheets: list[Sheet]) -> None:
    """Outside, inside at the rim, least wall; levels above the underside."""
    dims = hill.dims
    sheet = next(s for s in hill_sheets if s.name == "filter")
    values = sorted(round(d.value, 3) for d in sheet.dimensions())
    inside = dims.spec.filter.cavity_width + 2 * dims.step, dims.spec.filter.cavity_depth + 2 * dims.step
    expected = [dims.width, dims.depth, dims.height, *inside, dims.spec.filter.least_wall]
    expected.append(-dims.depth / 2 - dims.nose.tip_y)
    assert values == pytest.approx(sorted(expected), abs=0.002)
    texts = {t.text for t in sheet.texts()}
    assert f"floor inside {dims.levels.floor:g}" in texts
    assert f"top of the sand {dims.levels.sand_top:g}" in texts


def test_side_panels_that_are_alike_share_a_sheet(hill_solids: SolidMould) -> None:
    """The panels of the example are alike by a half turn; one with a handle more is not."""
    from mouldgeom.outputs.papers.subassemblies import alike

    left, right = ([p for p in hill_solids.pieces if p.unit.within(side)] for side in (LEFT_PANEL, RIGHT_PANEL))
    assert len(left) == len(right) > 5
    assert alike(left, right)
    assert not alike(left, right[1:])


def test_cutting_sheets_show_every_piece(hill: Mould) -> None:
    """Marks of all plates and of all bars are on the sheets; lettering meets nothing."""
    from mouldgeom.outputs.package import Job
    from mouldgeom.outputs.papers.cutting import cutting_sheets

    job = Job(hill)
    for paper in ("A3", "A4"):
        options = replace(PaperOptions.from_spec(hill.dims.spec), paper=PAPERS[paper])
        sheets = numbered(cutting_sheets(job.nests, job.bars, hill.plates, Words(), options))
        assert wrong_with(sheets) == []
        texts = [t.text for s in sheets if s.name.startswith("nest") for t in s.texts()]
        for plate in hill.plates:
            assert texts.count(plate.mark) == plate.quantity + 1, plate.mark
        bars = " ".join(t.text for s in sheets if s.name.startswith("bars") for t in s.texts())
        assert all(f"{bar.mark} " in bars for bar in hill.bars)


def test_sheets_hold_plain_primitives(hill_sheets: list[Sheet]) -> None:
    """Coordinates are finite and on the paper."""
    for sheet in hill_sheets:
        for part in sheet.primitives():
            assert isinstance(part, Text | Stroke | Circle) or part.vertices
            x0, y0, x1, y1 = part.box
            assert -1 <= x0 <= x1 <= sheet.width + 1
            assert -1 <= y0 <= y1 <= sheet.height + 1


def test_a_weld_that_runs_round_a_piece_is_known_by_its_lines(hill: Mould, bridged_hill: Mould) -> None:
    """So that one of an extension is drawn like those of nuts, pins and the bridge's legs."""

    class Own(StrEnum):
        RING = "ring to plate"

    pins = {WeldRole.PIN_TO_PLATE, WeldRole.PIN_TO_KEEPER}
    found = {seam.role: seam for seam in seams(hill) if all_round(seam)}
    assert found.keys() == pins | {WeldRole.NUT_PLATE_TO_BASE, WeldRole.NUT_TO_PLATE}
    found = {seam.role: seam for seam in seams(bridged_hill) if all_round(seam)}
    assert found.keys() == pins | {WeldRole.NUT_TO_ANCHOR, WeldRole.LEG_TO_CAP}
    ring = replace(found[WeldRole.NUT_TO_ANCHOR], role=Own.RING)
    assert all_round(ring)
    assert not all_round(replace(ring, lines=ring.lines[1:]))
