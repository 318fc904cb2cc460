"""Left and right: every side that a paper, a check or a list names is that side of the filter, seen from its front.

Where the sides lie is found here from the concrete alone: its nose is at the front, and who stands there and looks at
it has its right side at the right hand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from conftest import ROOT

from mouldgeom.drawing.paper import PaperOptions
from mouldgeom.geometry.placement import Vec, dot
from mouldgeom.identity import PieceId
from mouldgeom.words import LANGUAGES, Words, _catalogue

pytestmark = pytest.mark.slow

if TYPE_CHECKING:
    from mouldgeom.drawing.hidden import View
    from mouldgeom.solids import SolidMould

WORDS = ("front", "back", "left", "right")
Compass = dict[str, Vec]
Titled = tuple[str, "View"]


def compass(solids: SolidMould) -> Compass:
    """Where the sides lie in the casting frame, from the solid of the filter and the half turn between the frames."""
    from mouldgeom.solids import upright

    box = solids.upright_body.BoundingBox()
    middle = solids.upright_body.Center()
    assert abs(box.ymin) - abs(box.ymax) > 20, "the nose stands out at one end only"
    front, up = np.array((0.0, np.sign(box.ymin + box.ymax), 0.0)), np.array((0.0, 0.0, 1.0))
    right = np.cross(up, front)  # to the right for an eye in front of it
    out = {}
    for side, way in (("front", front), ("back", -front), ("right", right), ("left", -right)):
        spot = solids.upright_body.moved(_by(100 * way))
        casting = upright(spot, solids.dims).Center() - upright(solids.upright_body, solids.dims).Center()
        out[side] = (round(casting.x / 100), round(casting.y / 100), round(casting.z / 100))
    assert middle.z > 0
    return out


def _by(way: Any) -> Any:
    import cadquery as cq

    return cq.Location(cq.Vector(*way))


@pytest.fixture(scope="module")
def hill_compass(hill_solids: SolidMould) -> Compass:
    return compass(hill_solids)


# ---------------------------------------------------------------- names of pieces


def test_every_piece_that_bears_a_side_lies_there(example_solids: SolidMould) -> None:
    """Pieces of bolt rows too; of two sides in a name, both."""
    known, tried = compass(example_solids), 0
    for piece in example_solids.pieces:
        head, _, tail = piece.name.partition(", ")
        at = piece.shape.BoundingBox()
        centre = ((at.xmin + at.xmax) / 2, (at.ymin + at.ymax) / 2, 0.0)
        own = tail.rpartition(", ")[2] or (head if "panel" in head else "")
        for word in own.split():
            if word in known and head != "nose side":
                tried += 1
                assert dot(centre, known[word]) > 0, piece.name
    assert tried > 60


def test_the_authority_says_the_same(hill_compass: Compass) -> None:
    from mouldgeom.model.sides import DOWN, OUTWARDS, SIDES, UP, side_of, view_name

    assert dict(hill_compass) == OUTWARDS
    for side in SIDES:
        assert side_of(OUTWARDS[side]) == side
        assert view_name(OUTWARDS[side]) == view_name(OUTWARDS[side], DOWN) == f"From the {side}"
    assert view_name(UP) == view_name(DOWN, DOWN) == "From above"
    assert view_name(DOWN) == view_name(UP, DOWN) == "From below"
    with pytest.raises(KeyError):
        view_name((1.0, 1.0, 1.0))


@pytest.mark.parametrize("language", [language for language in LANGUAGES if language != "en"])
def test_every_title_of_a_view_is_translated(language: str) -> None:
    from mouldgeom.model.sides import VIEWS

    assert set(VIEWS.values()) <= set(_catalogue(language))
    assert len({_catalogue(language)[title] for title in VIEWS.values()}) == len(VIEWS)


def test_no_other_module_has_a_table_of_sides() -> None:
    """A table that gives a side its direction stands in one module only."""
    side = r"(?:[\"'](?:left|right|front|back)[\"']|Side\.(?:LEFT|RIGHT|FRONT|BACK))"
    table = re.compile(side + r"\s*[:,]\s*\(?(?:0\.0, )?-?1\.0\b")
    found = {p.name for p in (ROOT / "mouldgeom").rglob("*.py") if table.search(p.read_text("utf-8"))}
    assert found == {"sides.py"}


# ---------------------------------------------------------------- titles of views


def wrong(title: str, view: View, known: Compass) -> list[str]:
    """What a title says of the place of the eye that is not so."""
    only_concrete = set(view.of_piece) <= {"concrete", "outlet tube"}
    up = (0.0, 0.0, -1.0) if only_concrete else (0.0, 0.0, 1.0)
    ways = {**known, "above": up, "below": (-up[0], -up[1], -up[2])}
    said = [word for word in ways if re.search(rf"\b{word}\b", title.lower())]
    square = len(said) == 1
    return [word for word in said if not dot(view.frame.eye, ways[word]) > (0.999 if square else 0.3)]


def titled(solids: SolidMould, options: PaperOptions, monkeypatch: pytest.MonkeyPatch) -> tuple[set[str], list[Titled]]:
    """Every text of the assembly sheets, and every view that is drawn there with the title above it."""
    from mouldgeom.outputs.papers import general, subassemblies
    from mouldgeom.outputs.papers.assemblies import assembly_sheets

    drawn: dict[tuple[float, ...], View] = {}
    found: list[Titled] = []

    def watch(module: Any) -> None:
        draw, write = module.drawn, module.caption

        def drawing(view: View, place: Any, *more: Any, **given: Any) -> Any:
            drawn[tuple(round(v, 6) for v in place.box(view.box)[:3])] = view
            return draw(view, place, *more, **given)

        def writing(title: str, box: Any, *more: Any, **given: Any) -> Any:
            found.append((title, drawn[tuple(round(v, 6) for v in box[:3])]))
            return write(title, box, *more, **given)

        monkeypatch.setattr(module, "drawn", drawing)
        monkeypatch.setattr(module, "caption", writing)

    watch(general)
    watch(subassemblies)
    sheets = assembly_sheets(solids, Words(), options)
    return {text.text for sheet in sheets for text in sheet.texts()}, found


VIEW = re.compile(r"^(Front|Back|Side|Seen from .*|From (the|above|below|outside).*|.*, from the .*)$")


@pytest.mark.parametrize("projection", ["first angle", "third angle"])
def test_every_view_shows_the_side_that_its_title_names(
    example_solids: SolidMould, projection: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    options = replace(PaperOptions.from_spec(example_solids.dims.spec), projection=projection)
    texts, found = titled(example_solids, options, monkeypatch)
    known = compass(example_solids)
    assert {(title, *wrong(title, view, known)) for title, view in found if wrong(title, view, known)} == set()
    titles = {title for title, _ in found}
    assert {text for text in texts if VIEW.match(text)} <= titles, "the title of a view that was not seen being drawn"
    sides = {word for word in (*WORDS, "above", "below") if any(word in title.lower() for title in titles)}
    assert sides >= {"front", "back", "left", "right", "above", "below"} - {"left" if projection[0] == "t" else ""}


def test_a_wrong_title_is_seen(hill_solids: SolidMould, hill_compass: Compass) -> None:
    from mouldgeom.drawing.hidden import view

    panel = [p for p in hill_solids.pieces if p.name == "side panel, left"]
    for word, way in hill_compass.items():
        shown = view(panel, way)
        assert wrong(f"From the {word}", shown, hill_compass) == []
        for other in WORDS:
            assert other == word or wrong(f"From the {other}", shown, hill_compass) == [other]


def captions(solids: SolidMould) -> Iterator[tuple[str, Vec, tuple[PieceId, ...]]]:
    """Caption, place of the eye and pieces of each picture of the steps of the build sheet."""
    from mouldgeom.fabrication.stages import build_steps
    from mouldgeom.outputs.job import Job
    from mouldgeom.outputs.papers.build.desk import BuildDesk
    from mouldgeom.outputs.papers.build.views import shots

    job = Job(solids.mould)
    job.__dict__["solids"] = solids
    for step in build_steps(solids.mould):
        for shot in shots(BuildDesk(job, Words()), step):
            yield shot.caption.partition(";")[0], shot.eye, shot.pieces


def test_every_picture_of_the_build_sheet_shows_the_side_that_its_caption_names(example_solids: SolidMould) -> None:
    known, tried = compass(example_solids), 0
    ways = {**known, "from below": (0.0, 0.0, -1.0)}
    for caption, eye, pieces in captions(example_solids):
        for word, way in ways.items():
            if re.search(rf"(?<!lying on the )\b{word}\b(?! out)", caption.lower()):
                tried += 1
                assert dot(eye, way) > 0.3, caption
                there = any(word in piece.place for piece in pieces)
                assert word == "from below" or there is (f"open {word}" not in caption.lower()), caption
    assert tried >= 6
