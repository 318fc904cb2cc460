"""Every paper says whether the checks hold, fail, or were not run, in every language; a failing one bears a band."""

from __future__ import annotations

import csv
import io
import itertools
import json
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from papers_read import PAGE, texts
from random_specs import LONG
from test_build_sheet import changed

from mouldgeom import Spec
from mouldgeom.cli import main
from mouldgeom.drawing.layout import clashes
from mouldgeom.drawing.paper import BAND, PAPERS, PaperOptions, blank, words_of
from mouldgeom.drawing.primitives import Area, Sheet
from mouldgeom.drawing.sheet_svg import svg_text
from mouldgeom.drawing.status import Status
from mouldgeom.model.assembly import build
from mouldgeom.nesting.layout import Nest
from mouldgeom.outputs.job import Job, make_files
from mouldgeom.outputs.kinds import BARS, BUILD, CALCULATION, CHECKS, CUTLIST, DRAWINGS, NESTS, TEMPLATES
from mouldgeom.solids import SolidMould
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import LANGUAGES, Words

pytestmark = pytest.mark.slow(seconds=80)

HELD = Verdict("7.3", "kerf", 2.0, 3.0, Operator.AT_MOST, "mm", "shop.kerf", "a test")
FAILED = replace(HELD, value=5.0)
SHEETS = (CUTLIST, CALCULATION, TEMPLATES, BUILD, DRAWINGS, NESTS, BARS)
"""What is looked at, drawn or cut by."""


def made(spec: Spec, solids: SolidMould, nests: tuple[Nest, ...], status: Status) -> dict[str, bytes]:
    """The papers of two moulds of that status, whatever their own checks say."""
    kinds = SHEETS if status is Status.UNCHECKED else (CHECKS, *SHEETS)
    job = Job(build(spec), moulds=2, kinds=kinds)
    job.__dict__.update(solids=solids, nests=nests)
    if status is not Status.UNCHECKED:
        job.__dict__["results"] = (HELD, HELD if status is Status.HOLDS else FAILED)
    return {file.path: file.content for file in make_files(job)}


IN_LANGUAGES = list(itertools.product(LANGUAGES, Status)) if LONG else [*zip(LANGUAGES, reversed(Status), strict=True)]
"""Each language, and each status; a failing sheet with its band is looked at in every language below."""


@pytest.mark.parametrize(("language", "status"), IN_LANGUAGES)
def test_every_page_says_it_in_every_language(
    request: pytest.FixtureRequest, hill_spec: Spec, language: str, status: Status
) -> None:
    """Pages of every PDF, drawings in each of their forms, nests and bar plan, cut list, calculation; nothing else."""
    if (language, status) == ("fr", Status.HOLDS):
        kinds = request.getfixturevalue("french").kinds
        files = {path: content for kind in (CHECKS, *SHEETS) for path, content in kinds[kind.name].items()}
    else:
        solids, nests = (request.getfixturevalue(name) for name in ("hill_solids", "two_nests"))
        files = made(changed(hill_spec, "papers", language=language), solids, nests, status)
    words = Words(language)
    say = {one: words(str(one)) for one in Status}
    pages = 0
    papers = texts(files)
    for path, text in papers.items():
        if path.endswith((".json", "plan.csv")) or (path.startswith("nests/") and path.endswith(".dxf")):
            continue
        listed = path.startswith("cut-list") or (path.startswith(("nests", "bars")) and not path.endswith(".svg"))
        own = str(status) if listed else say[status]
        for page in text.split(PAGE) if path.endswith(".pdf") else [text]:
            assert _written(own, path) in _written(page, path), path
            assert status is Status.FAILS or _written(say[Status.FAILS], path) not in _written(page, path), path
            pages += 1
    assert pages > 100


def _written(text: str, path: str) -> str:
    """Lettering without spaces, which readers of a PDF guess; in a drawing file letters with accents are numbers."""
    bare = "".join(text.split())
    return "".join(c if ord(c) < 128 else f"\\U+{ord(c):04X}" for c in bare) if path.endswith(".dxf") else bare


# ---------------------------------------------------------------- the band


def sheet(spec: Spec, status: Status, paper: str, language: str) -> Sheet:
    spec = changed(spec, "papers", paper=paper, language=language)
    return blank("empty", "Nothing at all", PaperOptions.from_spec(spec, status), words_of(spec))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_a_failing_sheet_bears_a_band_that_takes_room_from_nothing(hill_spec: Spec, paper: str, language: str) -> None:
    """Along the whole upper edge, black in at least a third of it, with the verdict in large letters."""
    failing = sheet(hill_spec, Status.FAILS, paper, language)
    text = Words(language)(str(Status.FAILS))
    assert clashes(failing) == []
    large = [t for t in failing.texts() if t.text == text and t.bold and t.height == 5.0]
    stripes = [p for p in failing.primitives() if isinstance(p, Area)]
    x0, _, x1, top = PAPERS[paper].framed
    assert len(large) == 1
    assert min(s.box[0] for s in stripes) < x0 + 3
    assert max(s.box[2] for s in stripes) > x1 - 3
    assert all(s.box[3] <= top and s.box[1] >= top - BAND for s in stripes)
    assert sum(_size(s) for s in stripes) > 0.3 * BAND * (x1 - x0 - large[0].width)
    assert failing.space[3] <= top - BAND
    assert text in svg_text(failing)


def _size(area: Area) -> float:
    (ax, ay), (bx, by), (cx, cy) = area.vertices
    return abs((bx - ax) * (cy - ay) - (cx - ax) * (by - ay)) / 2


@pytest.mark.parametrize("status", [Status.HOLDS, Status.UNCHECKED])
def test_no_other_sheet_bears_one(hill_spec: Spec, status: Status) -> None:
    plain = sheet(hill_spec, status, "A3", "en")
    assert [p for p in plain.primitives() if isinstance(p, Area)] == []
    assert plain.space == PAPERS["A3"].framed
    assert str(status) in {t.text for t in plain.texts()}


@pytest.mark.parametrize(("paper", "moulds"), [("A3", 2), ("A4", 1)])
def test_drawings_find_room_below_the_band(
    hill_spec: Spec, hill_solids: SolidMould, two_nests: tuple[Nest, ...], paper: str, moulds: int
) -> None:
    """All drawings and templates of a failing design, nothing on top of anything else."""
    from mouldgeom.outputs.papers.templates import template_sheets

    spec = changed(hill_spec, "papers", paper=paper)
    job = Job(build(spec), moulds=moulds, kinds=(CHECKS,))
    job.__dict__.update(solids=hill_solids, results=(FAILED,))
    if moulds == 2:
        job.__dict__["nests"] = two_nests
    templates = template_sheets(job.mould, job.words, PaperOptions.from_spec(spec, job.status))
    for one in (*job.sheets, *templates):
        assert clashes(one) == [], one.name
        assert any(isinstance(p, Area) for p in one.furniture), one.name


# ---------------------------------------------------------------- how it is known


def test_papers_alone_are_not_checked(hill_spec: Spec) -> None:
    """No check is run for a list; where the checks are asked for, the list says what they found."""
    job = Job(build(hill_spec), kinds=(CUTLIST,))
    (listed,) = (f for f in make_files(job) if f.path == "cut-list.csv")
    assert b"status,,not checked," in listed.content
    assert "results" not in job.__dict__
    assert "solids" not in job.__dict__


def test_a_real_failure_is_on_its_papers(hill_spec: Spec, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A kerf wider than the torch cuts, through the command line."""
    from mouldgeom.spec import spec_toml

    source, out = tmp_path / "spec.toml", tmp_path / "out"
    source.write_text(spec_toml(changed(hill_spec, "shop", kerf=5.0)), "utf-8")
    kinds = ["--only", "checks", "--only", "cutlist", "--only", "templates"]
    assert main(["make", str(source), "--out", str(out), *kinds]) == 1
    assert "1 of" in capsys.readouterr().out
    assert json.loads((out / "manifest.json").read_text("utf-8"))["passed"] is False
    rows = list(csv.DictReader(io.StringIO((out / "cut-list.csv").read_text("utf-8-sig"))))
    assert (rows[0]["list"], rows[0]["name"]) == ("status", "FAILS, not for construction")
    book = openpyxl.load_workbook(out / "cut-list.xlsx")
    for one in book:
        assert one["A1"].value == "Status: FAILS, not for construction. For one mould."
        assert one["A1"].fill.fgColor.rgb == "FF000000"
        assert one["A1"].font.color.rgb == "FFFFFFFF"
    (pages,) = (text for path, text in texts({"t.pdf": (out / "hole-templates.pdf").read_bytes()}).items())
    assert all("FAILS, not for construction" in page for page in pages.split(PAGE))
