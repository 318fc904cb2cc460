"""Part drawings from their own data: every part fixed by its dimensions, each given once, no lettering in the way."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest
from conftest import bridged
from hypothesis import HealthCheck, assume, given, settings
from printed_lengths import readings
from random_specs import changed, profile, specs

from mouldgeom import EXAMPLES, SpecError, load
from mouldgeom.drawing.layout import clashes, pack, spread
from mouldgeom.drawing.paper import SCALES, PaperOptions, words_of
from mouldgeom.drawing.primitives import Circle, Dimension, Line, Sheet, Text, line
from mouldgeom.geometry.outline import Outline, Vertex, edge_length
from mouldgeom.identity import Role
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.shapes import Plate
from mouldgeom.outputs.papers.fixing import fixed, skeleton
from mouldgeom.outputs.papers.part_sheets import part_sheets
from mouldgeom.spec import Spec
from mouldgeom.spec.fields import Gear, HoleMethod
from mouldgeom.units import MM_PER_INCH

pytestmark = pytest.mark.slow

EXACT = 0.001
"""What is put together from the dimensions equals the part to a thousandth of a millimetre."""
PRINTED = {"mm": 0.0501, "inches": MM_PER_INCH / 128 + 1e-6, "both": 0.0501}
"""What is printed is rounded to a tenth of a millimetre, or to 1/64 in; a diameter is not."""


def drawn(spec: Spec) -> tuple[Mould, list[Sheet]]:
    mould = build(spec)
    return mould, part_sheets(mould, words_of(spec), PaperOptions.from_spec(spec))


def dimensions(sheets: Sequence[Sheet]) -> list[Dimension]:
    return [dimension for sheet in sheets for dimension in sheet.dimensions()]


def equal(ring: Sequence[Vertex], shape: Outline) -> bool:
    """Whether two closed lines are the same, wherever they start."""
    a = [(v.x, v.y) for v in ring]
    b = [(v.x, v.y) for v in shape.vertices]
    if len(a) != len(b):
        return False
    for start in range(len(a)):
        turned = [*ring[start:], *ring[:start]]
        if all(math.dist((u.x, u.y), (v.x, v.y)) < EXACT for u, v in zip(turned, shape.vertices, strict=True)):
            arcs = zip(turned, shape.edges, strict=True)
            closed = [*turned, turned[0]]
            sides = [edge_length(p, q) for p, q in pairwise(closed)]
            return all(
                abs(side - edge_length(*edge)) < EXACT and u.arc * edge[0].arc >= 0
                for side, (u, edge) in zip(sides, arcs, strict=True)
            )
    return False


def read(text: str, units: str) -> float:
    """The millimetres that a printed value says."""
    body = re.sub(r"^\d+× ", "", text).removeprefix("R ").removesuffix(" × 45°")
    if units == "inches":
        found = re.fullmatch(r"(?:(\d+) )?(?:(\d+)/(\d+)|(\d+)) in", body)
        assert found is not None, text
        whole, top, bottom, plain = found.groups()
        return (int(whole or 0) + (int(top) / int(bottom) if top else int(plain))) * MM_PER_INCH
    return float(re.sub(r"\s*\(.*\)", "", body).replace("\u202f", "").replace(",", "."))


def check(spec: Spec) -> None:
    mould, sheets = drawn(spec)
    found = dimensions(sheets)
    for sheet in sheets:
        assert clashes(sheet) == []
        assert all(text.height >= 2.5 for text in sheet.texts())
    for plate in mould.plates:
        check_plate(plate, [d for d in found if d.feature.mark == plate.mark])
    for bar in mould.bars:
        own = [d for d in found if d.feature.mark == bar.mark]
        assert [d.value for d in own if d.feature.kind == "length"] == [bar.length]
        at = [d.feature.at for d in own if d.feature.kind == "hole"]
        assert Counter(at) == Counter((h.along, h.offset, h.diameter) for h in bar.holes)
    assert {d.feature.mark for d in found} == {p.mark for p in (*mould.plates, *mould.bars)}
    units = spec.papers.paper_units
    if spec.papers.language != "en":
        return
    for d in found:
        if d.feature.kind == "hole":
            cells = [p.text for p in d.parts if isinstance(p, Text)]
            for cell, value in zip(cells[1:3], d.feature.at[:2], strict=True):
                assert abs(read(cell, units) - value) <= PRINTED[units]
            assert abs(readings(cells[3])[0] - d.feature.at[2]) <= 0.0051, cells
        elif d.feature.kind == "reference":
            check_pitch(mould, d, units)
        else:
            assert abs(read(d.text.replace(",", ""), units) - d.value) <= PRINTED[units], d.text


def check_pitch(mould: Mould, d: Dimension, units: str) -> None:
    """An auxiliary dimension in brackets, ``(5 × 163.7)``: so many steps of so much between holes of the part."""
    found = re.fullmatch(r"\((\d+) × (.+)\)", d.text)
    assert found is not None, d.text
    count = int(found[1])
    assert abs(read(found[2].replace(",", ""), units) - d.value) <= PRINTED[units], d.text
    part = next(p for p in (*mould.plates, *mould.bars) if p.mark == d.feature.mark)
    rows: dict[tuple[str, float], list[float]] = {}
    if isinstance(part, Plate):
        for h in part.holes:
            rows.setdefault(("x", round(h.x, 2)), []).append(h.y)
            rows.setdefault(("y", round(h.y, 2)), []).append(h.x)
    else:
        for b in part.holes:
            rows.setdefault((b.leg, 0.0), []).append(b.along)
    steps = [[b - a for a, b in pairwise(sorted(row))] for row in rows.values()]
    assert any(len(row) == count and all(abs(step - d.value) < 0.2 for step in row) for row in steps), d.text


def check_plate(plate: Plate, own: Sequence[Dimension]) -> None:
    made = fixed(plate, own)
    assert made.faults == ()
    for ring, shape in zip(made.outlines, (plate.outline, *plate.openings), strict=True):
        assert equal(ring, shape), (plate.mark, ring, shape)
    assert Counter(made.holes) == Counter((h.x, h.y, h.diameter) for h in plate.holes)
    scales = set()
    for d in own:
        if d.feature.kind in {"x", "y", "across", "length"}:
            k = 1 if d.feature.kind == "y" else 0
            (start, *_), (end, *_) = ((p[k],) for p in d.ends)
            scales.add(round(abs(end - start) / d.value, 9))
    assert len(scales) == 1, f"{plate.mark} is drawn at {scales}"
    assert min(abs(scale - scales.copy().pop()) for scale in SCALES) < 1e-8


@pytest.mark.parametrize("name", EXAMPLES)
def test_examples(name: str) -> None:
    check(load(name))


@pytest.mark.parametrize("paper", ["A4", "letter", "tabloid"])
@pytest.mark.parametrize(("units", "language"), [("inches", "en"), ("both", "fr"), ("mm", "es")])
def test_papers_units_and_languages(paper: str, units: str, language: str) -> None:
    check(changed(load("hill-example"), {
        "papers.paper": paper, "papers.paper_units": units, "papers.language": language,
        "papers.projection": "third angle", "shop.hole_method": "pilot",
    }))  # fmt: skip


def test_note_on_a_corner_beside_a_numbered_hole() -> None:
    """Found at random: the only way for the leader ran through the number, which could stand elsewhere."""
    check(changed(Spec(title="random"), {
        "filter.cavity_depth": 357.156, "steel.square_tube": "50x50x3", "steel.bolt": "5/16-18",
        "papers.paper": "letter", "papers.paper_units": "both",
    }))  # fmt: skip


@given(spec=specs())
# drawing a specification and building it is slow, and many are refused: both are meant
@settings(profile(25, shrink=False), suppress_health_check=list(HealthCheck))
def test_any_mould(spec: Spec) -> None:
    try:
        build(spec)
    except SpecError:
        assume(False)
    check(spec)


def test_each_dimension_is_needed() -> None:
    """Take any one away, or give any one twice, and it is noticed."""
    mould, sheets = drawn(load("hill-example"))
    found = dimensions(sheets)
    for plate in mould.plates:
        own = [d for d in found if d.feature.mark == plate.mark and d.feature.kind != "reference"]
        for i, d in enumerate(own):
            less = fixed(plate, own[:i] + own[i + 1 :])
            more = fixed(plate, [*own, d])
            if d.feature.kind == "hole":
                assert len(less.holes) + 1 == len(plate.holes) == len(more.holes) - 1
            else:
                assert less.faults, d
                assert more.faults, d


def test_a_wrong_value_is_noticed() -> None:
    mould, sheets = drawn(load("hill-example"))
    found = dimensions(sheets)
    for plate in mould.plates:
        own = [d for d in found if d.feature.mark == plate.mark and d.feature.kind not in ("hole", "reference")]
        for i, d in enumerate(own):
            wrong = [*own[:i], replace(d, value=d.value + 0.01), *own[i + 1 :]]
            made = fixed(plate, wrong)
            shapes = (plate.outline, *plate.openings)
            assert not all(equal(r, s) for r, s in zip(made.outlines, shapes, strict=True)), d


@pytest.mark.parametrize("gear", Gear)
def test_a_view_is_the_outline_itself(gear: Gear) -> None:
    """Circles and lines of a view, set back by scale and place, are the holes and edges of the base plate."""
    spec = load("hill-example")
    mould, sheets = drawn(bridged(spec) if gear is Gear.BRIDGE else spec)
    plate = mould.piece(Role.BASE_PLATE).part
    assert isinstance(plate, Plate)
    assert plate.openings
    sheet = next(s for s in sheets if any(d.feature.mark == plate.mark for d in s.dimensions()))
    wide = next(d for d in sheet.dimensions() if d.feature.mark == plate.mark and d.feature.kind == "x")
    scale = abs(wide.ends[1][0] - wide.ends[0][0]) / wide.value
    left = min(p[0] for p in wide.ends)
    low = min(p[1] for d in sheet.dimensions() if d.feature.mark == plate.mark for p in d.ends)
    circles = {
        (round((c.x - left) / scale, 3), round((c.y - low) / scale, 3), round(2 * c.radius / scale, 3))
        for c in sheet.primitives()
        if isinstance(c, Circle) and c.kind is Line.VISIBLE
    }
    assert {(round(h.x, 3), round(h.y, 3), round(h.diameter, 3)) for h in plate.holes} <= circles


def test_mark_quantity_mass_and_face_are_told() -> None:
    mould, sheets = drawn(load("hill-example"))
    told = " ".join(t.text for s in sheets for t in s.texts())
    for part in (*mould.plates, *mould.bars):
        assert part.mark in told
    assert told.count("Concrete face towards you.") == sum(str(p.concrete_face) == "outline" for p in mould.plates)
    assert told.count("No concrete face") == sum(str(p.concrete_face) == "none" for p in mould.plates)
    offs = Counter(re.findall(r"(\d+) off", told))
    assert offs == Counter(str(p.quantity) for p in (*mould.plates, *mould.bars))


WORDS = {
    HoleMethod.FULL: "cut bolt",
    HoleMethod.PILOT: "cut 6, open out bolt",
    HoleMethod.CENTRE: "drill at centre mark bolt",
}


@pytest.mark.parametrize("method", HoleMethod)
def test_the_hole_chart_follows_the_method(method: HoleMethod) -> None:
    _, sheets = drawn(changed(load("hill-example"), {"shop.hole_method": str(method)}))
    rows = [d.text for d in dimensions(sheets) if d.feature.kind == "hole" and d.feature.mark == "A1"]
    assert rows
    assert all(row.endswith(WORDS[method]) for row in rows), rows[0]


def test_both_members_of_a_joint_show_its_holes() -> None:
    """Holes of a bolt row are in the charts of every member, as many as the row has bolts."""
    mould, sheets = drawn(load("hill-example"))
    charted = Counter(d.feature.mark for d in dimensions(sheets) if d.feature.kind == "hole")
    marks = {piece.id: piece.mark for piece in mould.pieces()}
    need: dict[str, dict[str, int]] = {}
    for row in mould.rows:
        for member in row.members:
            need.setdefault(marks[member], Counter())[member] += len(row.points)
    for mark, members in need.items():
        assert charted[mark] >= max(members.values())
    assert need


# ---------------------------------------------------------------- the tools


def test_clashes_are_found() -> None:
    _, sheets = drawn(load("hill-example"))
    sheet = sheets[0]
    some = next(t for t in sheet.items if isinstance(t, Text))
    assert any("meets" in c for c in clashes(replace(sheet, items=(*sheet.items, replace(some, x=some.x + 1)))))
    x0, y0, x1, y1 = some.box
    across = line(Line.THIN, (x0 - 1, y0), (x1 + 1, y1))
    assert any("meets a line" in c for c in clashes(replace(sheet, items=(*sheet.items, across))))
    outside = Text("far", sheet.width - 5, sheet.height / 3)
    assert any("outside" in c for c in clashes(replace(sheet, items=(*sheet.items, outside))))


def test_a_turned_text_has_a_turned_box() -> None:
    text = Text("886.3", 100, 100, 3.5, "middle", 90.0)
    x0, y0, x1, y1 = text.box
    assert y1 - y0 == pytest.approx(text.width)
    assert x1 - x0 < 4.5
    assert (y0 + y1) / 2 == pytest.approx(100)


def test_spread() -> None:
    assert spread([0, 10, 20], 5) == [0, 10, 20]
    assert spread([0, 1, 2, 30, 31], 5) == [-4, 1, 6, 28, 33]
    places = spread([3, 3, 3, 4, 9, 9.5], 2)
    assert all(b - a >= 2 - 1e-9 for a, b in pairwise(places))


def test_pack_refuses_what_is_too_large() -> None:
    from mouldgeom.drawing.primitives import Block

    block = Block("big", (line(Line.VISIBLE, (0, 0), (500, 500)),))
    with pytest.raises(ValueError, match="big finds no room"):
        pack([block], (0, 0, 400, 400))


def test_skeleton_of_a_rounded_rectangle() -> None:
    corners = skeleton(Outline.rectangle(0, 0, 100, 60, 8))
    assert [(round(c.x, 9), round(c.y, 9), round(c.radius, 9)) for c in corners] == [
        (100, 0, 8), (100, 60, 8), (0, 60, 8), (0, 0, 8)
    ]  # fmt: skip


def test_skeleton_of_chamfers() -> None:
    shape = Outline.polygon([(9, 0), (91, 0), (100, 9), (100, 91), (91, 100), (9, 100), (0, 91), (0, 9)])
    corners = skeleton(shape)
    assert len(corners) == 4
    assert {round(c.chamfer, 9) for c in corners} == {9}
