"""Sheets of paper and the files made of them: frames, title blocks, templates, PDF, SVG, PNG, DXF."""

from __future__ import annotations

import hashlib
import io
import json
import math
import re
import xml.etree.ElementTree as ElementTree
from functools import cache

import ezdxf
import pytest
from conftest import Run
from hypothesis import HealthCheck, assume, given, settings
from PIL import Image
from pypdf import PdfReader
from random_specs import changed, profile, specs

from mouldgeom import EXAMPLES, SpecError, load
from mouldgeom.drawing import lettering
from mouldgeom.drawing.compose import compose
from mouldgeom.drawing.layout import clashes
from mouldgeom.drawing.paper import (
    PAPERS,
    PaperOptions,
    blank,
    frame,
    numbered,
    projection_symbol,
    scale_text,
    words_of,
)
from mouldgeom.drawing.primitives import (
    ARROW,
    Area,
    Block,
    Circle,
    Line,
    Sheet,
    Stroke,
    Text,
    arrow,
    balloon,
    table,
)
from mouldgeom.drawing.sheet_dxf import TEXT_LAYER, dxf_bytes
from mouldgeom.drawing.sheet_pdf import pdf_bytes
from mouldgeom.drawing.sheet_svg import png_bytes, svg_text
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.shapes import Plate
from mouldgeom.outputs.papers.naming import plate_holes
from mouldgeom.outputs.papers.part_sheets import part_sheets
from mouldgeom.outputs.papers.templates import template_sheets
from mouldgeom.spec import Spec
from mouldgeom.words import Words

pytestmark = pytest.mark.slow

FILLED = {
    "papers.owner": "Workshop of the valley",
    "papers.creator": "A. Drawer",
    "papers.approver": "B. Checker",
    "papers.number": "MG-12",
    "papers.issued": "2031-05-01",
}


@cache
def mould(name: str = "hill-example") -> Mould:
    return build(load(name))


@cache
def parts() -> list[Sheet]:
    spec = load("hill-example")
    return part_sheets(mould(), words_of(spec), PaperOptions.from_spec(spec))


@cache
def templates(name: str = "hill-example", paper: str = "A3") -> list[Sheet]:
    spec = changed(load(name), {"papers.paper": paper})
    return template_sheets(build(spec), words_of(spec), PaperOptions.from_spec(spec))


def empty(spec: Spec) -> Sheet:
    options = PaperOptions.from_spec(spec)
    return numbered([blank("empty", "Nothing at all", options, words_of(spec))])[0]


# ---------------------------------------------------------------- paper


@pytest.mark.parametrize(("name", "space"), [("A3", (390, 277)), ("A4", (180, 277))])
def test_drawing_space_is_that_of_the_standard(name: str, space: tuple[float, float]) -> None:
    """ISO 5457:1999 Table 1: 277 x 390 for A3, 180 x 277 for A4 (from memory); exact."""
    x0, y0, x1, y1 = PAPERS[name].space
    assert (x1 - x0, y1 - y0) == space
    assert x0 == 20


def test_inch_papers_are_whole_inches() -> None:
    assert (PAPERS["letter"].width / 25.4, PAPERS["letter"].height / 25.4) == (8.5, 11)
    assert (PAPERS["tabloid"].width / 25.4, PAPERS["tabloid"].height / 25.4) == (17, 11)


@pytest.mark.parametrize("name", PAPERS)
def test_frame_and_centring_marks(name: str) -> None:
    paper = PAPERS[name]
    heavy = [p for p in frame(paper) if isinstance(p, Stroke) and p.weight == 0.7]
    assert heavy[0].box == paper.space
    middles = {(round(sum(s.box[0::2]) / 2, 6), round(sum(s.box[1::2]) / 2, 6)) for s in heavy[1:]}
    assert len(middles) == 4
    assert all(abs(x - paper.width / 2) < 1e-6 or abs(y - paper.height / 2) < 1e-6 for x, y in middles)


@pytest.mark.parametrize("name", PAPERS)
@pytest.mark.parametrize("language", ["en", "fr", "es"])
def test_title_block_has_its_fields(name: str, language: str) -> None:
    """The mandatory fields of ISO 7200:2004, and what the workshop needs beside them."""
    spec = changed(load("hill-example"), {**FILLED, "papers.paper": name, "papers.language": language})
    sheet, words = empty(spec), words_of(spec)
    assert clashes(sheet) == []
    told = {t.text for t in sheet.texts()}
    assert {
        "Workshop of the valley",
        "A. Drawer",
        "B. Checker",
        "MG-12",
        "2031-05-01",
        "1 / 1",
        "Nothing at all",
    } <= told
    labels = (
        *("Legal owner", "Identification number", "Date of issue", "Sheet", "Title", "Approved by", "Created by"),
        *("Document type", "Scale", "General tolerances", "Material", "Mass"),
    )
    for label in labels:
        assert words(label) in told, label
    x0, y0, x1, _ = PAPERS[name].title_box
    assert x1 - x0 == 180
    assert (x1, y0) == PAPERS[name].space[2:0:-1]


@pytest.mark.parametrize("name", PAPERS)
@pytest.mark.parametrize("long", [6 * "very WIDE ", 60 * "W", "a" + 59 * "M"])
def test_empty_fields_stay_blank_and_long_ones_stand_whole(long: str, name: str) -> None:
    """Nothing that a person has written is cut: the title block grows, upwards, with what stands in it."""
    spec = changed(load("hill-example"), {"papers.paper": name})
    assert clashes(empty(spec)) == []
    filled = changed(spec, dict.fromkeys(FILLED, long))
    sheet, options = empty(filled), PaperOptions.from_spec(filled)
    assert clashes(sheet) == []
    assert not any("…" in t.text for t in sheet.texts())
    written = "".join(t.text for t in sorted(sheet.texts(), key=lambda t: (t.x, -t.y))).replace(" ", "")
    assert written.count(long.replace(" ", "")) == len(FILLED)
    x0, y0, x1, y1 = options.paper.title_box
    assert y1 - y0 > PAPERS[name].title_box[3] - y0
    inside = [t for t in sheet.texts() if len(t.text) > 1 and t.text in long]
    assert all(x0 < t.box[0] and t.box[2] < x1 and y0 < t.box[1] and t.box[3] < y1 for t in inside)


@pytest.mark.parametrize(("projection", "side"), [("first angle", 1), ("third angle", -1)])
def test_projection_symbol(projection: str, side: int) -> None:
    """ISO 5456-2: the view from the left, which sees the small end at the left, lies on the right in first angle."""
    drawn = list(projection_symbol(projection, 0, 0))
    (cone,) = [p for p in drawn if isinstance(p, Stroke) and p.kind is Line.VISIBLE]
    circles = [p for p in drawn if isinstance(p, Circle)]
    assert all(math.copysign(1, c.x) == side for c in circles)
    assert math.copysign(1, sum(cone.box[0::2])) == -side
    left, right = (max(v.y for v in cone.vertices if v.x == x) for x in cone.box[0::2])
    assert left < right
    assert {left, right} == {c.radius for c in circles}


def test_an_arrowhead_is_narrow() -> None:
    """ISO 129-1: closed, filled, 15 degrees."""
    tip, a, b = arrow((0, 0), (1, 0)).vertices
    assert tip == (0, 0)
    assert math.degrees(2 * math.atan2(a[1], -a[0])) == pytest.approx(15)
    assert a[0] == b[0] == -ARROW


def test_line_widths() -> None:
    """ISO 128-2: narrow to wide 1 : 2, widths from the series."""
    for paper in PAPERS.values():
        wide, narrow = Line.VISIBLE.width(paper.wide), Line.THIN.width(paper.wide)
        assert wide / narrow == pytest.approx(2, rel=0.03)
        assert {wide, narrow} <= {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0}


def test_scales() -> None:
    assert [scale_text(s) for s in (2.0, 1.0, 1 / 2, 1 / 5, 1 / 10)] == ["2:1", "1:1", "1:2", "1:5", "1:10"]


def test_lettering_is_never_too_small() -> None:
    with pytest.raises(ValueError, match="smaller than"):
        Text("x", 0, 0, 1.8)
    assert lettering.width("H" * 10, 3.5) == pytest.approx(10 * lettering.width("H", 3.5))
    assert lettering.wrapped("one two three", 1000) == ["one two three"]
    assert len(lettering.wrapped("one two three", lettering.width("three") + 0.1)) == 3


def test_balloon_and_table() -> None:
    ring, name = balloon("A11", (50, 50), (20, 20))[-2:]
    assert isinstance(ring, Circle)
    assert isinstance(name, Text)
    assert max(math.dist(corner, (50, 50)) for corner in name.corners) < ring.radius
    drawn = table(["mark", "name"], [["A1", "front panel"], ["B2", "core wall"]], 30, 200)
    words = Words()
    sheet = blank("t", "t", PaperOptions(PAPERS["A3"]), words, drawn)
    assert clashes(sheet) == []


def test_a_drawing_gets_as_many_sheets_as_it_needs() -> None:
    """Three tables that fill two sheets of A4, where one is asked for."""
    rows = [["A1", "front panel, seen from the concrete side, its upper edge up"]] * 28
    blocks = [Block(name, tuple(table(["mark", "name"], rows, 0, 0))) for name in "abc"]
    sheets = compose("t", "t", lambda _scale, _height: blocks, Words(), PaperOptions(PAPERS["A4"]), pages=1)
    assert [sheet.name for sheet in sheets] == ["t-1", "t-2"]
    assert all(clashes(sheet) == [] for sheet in sheets)


# ---------------------------------------------------------------- templates


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_templates_are_full_size(name: str, paper: str) -> None:
    """Every hole stands on a sheet, and those of one sheet are as far apart as in the steel."""
    spec = changed(load(name), {"papers.paper": paper})
    made = build(spec)
    sheets = templates(name, paper)
    for sheet in sheets:
        assert clashes(sheet) == [], sheet.name
        assert min(t.height for t in sheet.texts()) >= 5
    for plate in made.plates:
        own = [s for s in sheets if s.name.startswith(f"template-{plate.mark}-")]
        check_tiles(plate, own)
    strips = [s for s in sheets if s.name.startswith("template-bars")]
    found = [c.radius for s in strips for c in s.items if isinstance(c, Circle) and c.kind is Line.VISIBLE]
    assert len(found) == sum(len(bar.holes) for bar in made.bars)


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("language", ["en", "fr", "es"])
def test_nothing_on_a_template_is_cut(language: str, paper: str) -> None:
    """How to print it, which end a piece is laid from: every word of it, in every language, with a long number too."""
    spec = changed(
        load("hill-example"), {"papers.paper": paper, "papers.language": language, "papers.number": 60 * "W"}
    )
    sheets, words = template_sheets(build(spec), words_of(spec), PaperOptions.from_spec(spec)), words_of(spec)
    for sheet in sheets:
        assert clashes(sheet) == [], sheet.name
        assert not [t.text for t in sheet.texts() if "…" in t.text]
        assert all(t.box[0] > 0 and t.box[2] < sheet.width and t.box[1] > 0 for t in sheet.texts())
        (rule,) = [p.box[1] for p in sheet.furniture if isinstance(p, Stroke) and p.kind is Line.FRAME]
        assert all(t.box[3] < rule for t in sheet.furniture if isinstance(t, Text))
        told = " ".join(t.text for t in sorted(sheet.texts(), key=lambda t: -t.y))
        assert words("Print at 100 %, check the bars.") in told
        assert told.replace(" ", "").count(60 * "W") == 1


@given(spec=specs())
# drawing a specification and building it is slow, and many are refused: both are meant
@settings(profile(10, shrink=False), suppress_health_check=list(HealthCheck))
def test_templates_of_any_mould(spec: Spec) -> None:
    try:
        made = build(spec)
    except SpecError:
        assume(False)
    sheets = template_sheets(made, words_of(spec), PaperOptions.from_spec(spec))
    assert [clash for sheet in sheets for clash in clashes(sheet)] == []
    for plate in made.plates:
        check_tiles(plate, [s for s in sheets if s.name.startswith(f"template-{plate.mark}-")])


def check_tiles(plate: Plate, sheets: list[Sheet]) -> None:
    """By number and diameter beside them; on each tile the holes are as far apart as in the plate."""
    ordered = plate_holes(plate)
    count = 0
    for sheet in sheets:
        circles = [c for c in sheet.items if isinstance(c, Circle) and c.kind is Line.VISIBLE]
        numbers = [int(m[1]) for t in sheet.items if isinstance(t, Text) and (m := re.match(r"(\d+): Ø", t.text))]
        assert len(numbers) == len(circles)
        count += len(circles)
        holes = [ordered[n - 1] for n in numbers]
        for circle, hole in zip(circles, holes, strict=True):
            assert circle.radius == hole.diameter / 2
            assert circle.x - circles[0].x == pytest.approx(hole.x - holes[0].x, abs=1e-9)
            assert circle.y - circles[0].y == pytest.approx(hole.y - holes[0].y, abs=1e-9)
    assert count in ({len(plate.holes)} if sheets else {0})
    assert sheets or len(plate.holes) < 2


def test_scale_bar() -> None:
    for sheet in templates():
        bars = [p for p in sheet.furniture if isinstance(p, Stroke) and p.kind is Line.VISIBLE]
        assert sorted(round(p.box[2] - p.box[0], 9) for p in bars) == [100.0, 101.6]
        assert {"100 mm", "4 in"} <= {t.text for t in sheet.texts()}


def test_joins_meet() -> None:
    """Each letter at a join stands on exactly two sheets of a plate, at places that fall together."""
    found: dict[str, list[str]] = {}
    for sheet in templates("hill-example", "A4"):
        if not sheet.name.startswith("template-A1-"):
            continue
        for text in sheet.items:
            if isinstance(text, Text) and text.bold and text.text.isalpha():
                found.setdefault(text.text, []).append(sheet.name)
    assert found
    assert all(len(set(names)) == len(names) == 2 for names in found.values())


# ---------------------------------------------------------------- files


def test_pdf_has_the_pages_and_can_be_searched() -> None:
    sheets = [*parts(), *templates()[:2], templates()[-1]]
    reader = PdfReader(io.BytesIO(pdf_bytes(sheets, Words(), "Parts")))
    assert len(reader.pages) == len(sheets)
    assert reader.metadata is not None
    assert reader.metadata.title == "Parts"
    assert reader.metadata.creation_date is None
    titles = [str(entry.title) for entry in reader.outline if not isinstance(entry, list)]
    assert titles == [f"{s.number} {s.title}" for s in sheets]
    for sheet, page in zip(sheets, reader.pages, strict=True):
        assert float(page.mediabox.width) == pytest.approx(sheet.width / 25.4 * 72, abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(sheet.height / 25.4 * 72, abs=0.01)
        text = re.sub(r"\s", "", page.extract_text())
        for wanted in sheet.texts():
            assert re.sub(r"\s", "", wanted.text) in text, wanted.text
        fonts = page["/Resources"]["/Font"].values()  # type: ignore[index]  # the reader leaves it open
        assert all("SourceSansPro" in str(font.get_object()["/BaseFont"]) for font in fonts)


def test_words_of_the_specification_are_no_markup() -> None:
    """What a typesetter would read as commands comes out as written."""
    odd = '#panic() *b* _i_ $x$ <a> & "q" @r \\n [x]'
    spec = changed(load("hill-example"), {"papers.owner": odd, "papers.creator": "<script>&amp;</script>"})
    sheet = empty(spec)
    text = PdfReader(io.BytesIO(pdf_bytes([sheet], Words()))).pages[0].extract_text()
    assert "#panic() *b*" in text
    assert "<script>&amp;" in text
    assert "<script>" not in svg_text(sheet)


HASHES = """
import hashlib
from mouldgeom import load
from mouldgeom.model.assembly import build
from mouldgeom.drawing.paper import PaperOptions, words_of
from mouldgeom.outputs.papers.part_sheets import part_sheets
from mouldgeom.drawing.sheet_dxf import dxf_bytes
from mouldgeom.drawing.sheet_pdf import pdf_bytes
from mouldgeom.drawing.sheet_svg import svg_text
import json
spec = load("hill-example")
sheets = part_sheets(build(spec), words_of(spec), PaperOptions.from_spec(spec))
made = [pdf_bytes(sheets, words_of(spec)), *(dxf_bytes(s) for s in sheets), *(svg_text(s).encode() for s in sheets)]
print(json.dumps([hashlib.sha256(b).hexdigest() for b in made]))
"""


def test_the_same_bytes_each_time(run: Run) -> None:
    made = [pdf_bytes(parts(), Words()), *(dxf_bytes(s) for s in parts()), *(svg_text(s).encode() for s in parts())]
    here = [hashlib.sha256(content).hexdigest() for content in made]
    done = run("-c", HASHES, env={"PYTHONHASHSEED": "77", "TZ": "Asia/Kathmandu", "LC_ALL": "C"})
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == here


def test_svg_is_in_millimetres_and_needs_no_font() -> None:
    sheet = parts()[0]
    root = ElementTree.fromstring(svg_text(sheet))
    assert (root.get("width"), root.get("height")) == ("420mm", "297mm")
    assert root.get("viewBox") == "0 0 420 297"
    tags = {element.tag.split("}")[1] for element in root.iter()}
    assert "text" not in tags
    described = next(e for e in root.iter() if e.tag.endswith("desc")).text or ""
    assert all(t.text in described for t in sheet.texts())


def test_png_has_the_size_of_the_paper() -> None:
    sheet = parts()[0]
    picture = Image.open(io.BytesIO(png_bytes(sheet, 72))).convert("L")
    assert picture.size == pytest.approx((420 / 25.4 * 72, 297 / 25.4 * 72), abs=1)
    dark = sum(picture.histogram()[:100])
    assert 0.005 < dark / (picture.size[0] * picture.size[1]) < 0.2


@pytest.mark.parametrize("index", [0, -1])
def test_dxf_holds_the_drawing(index: int) -> None:
    """Read by the library: sound, ASCII, R2000, millimetres; each primitive is there with its true size."""
    sheet = parts()[index]
    content = dxf_bytes(sheet)
    content.decode("ascii")
    assert b"\r" not in content
    drawing = ezdxf.read(io.StringIO(content.decode("ascii")))  # type: ignore[attr-defined]  # not exported by name
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert drawing.dxfversion == "AC1015"
    assert drawing.header["$INSUNITS"] == 4
    space = drawing.modelspace()
    layers = {layer.dxf.name for layer in drawing.layers}
    assert {e.dxf.layer for e in space} <= layers
    assert layers >= {line.value for line in Line} | {TEXT_LAYER}
    primitives = list(sheet.primitives())
    circles = sorted((c.x, c.y, c.radius) for c in primitives if isinstance(c, Circle))
    read = sorted((*e.dxf.center.vec2, e.dxf.radius) for e in space.query("CIRCLE"))
    assert read == [pytest.approx(c, abs=1e-6) for c in circles]
    assert len(space.query("SOLID")) == sum(isinstance(p, Area) for p in primitives)
    assert len(space.query("TEXT")) == sum(isinstance(p, Text) for p in primitives)
    strokes = [p for p in primitives if isinstance(p, Stroke)]
    lines = [e for e in space.query("LWPOLYLINE") if not e.dxf.const_width]
    assert len(lines) == len(strokes)
    for entity, stroke in zip(lines, strokes, strict=True):
        assert entity.closed == stroke.closed
        points = [(v.x, v.y, v.arc) for v in stroke.vertices]
        assert [tuple(p) for p in entity.get_points("xyb")] == [pytest.approx(p, abs=1e-6) for p in points]
