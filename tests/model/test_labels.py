"""A label is for the reader: with others the same is drawn, listed and built; and a part of a new kind goes through."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from enum import StrEnum
from typing import TYPE_CHECKING, Any

import pytest
from conftest import ROOT, Run
from label_facts import cuts, facts, moves, pictures, sheets

from mouldgeom import Spec
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.fabrication.stages import Stage, build_steps
from mouldgeom.geometry.placement import Placement
from mouldgeom.identity import PANELS, PieceId, Role, Side
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.joints import WeldRole
from mouldgeom.model.shapes import Bar, Stand

pytestmark = pytest.mark.slow

if TYPE_CHECKING:
    from mouldgeom.solids import SolidMould


# ---------------------------------------------------------------- other labels


@pytest.fixture(scope="module")
def other(run: Run) -> dict[str, Any]:
    """What the built-in example gives when every label is a random string, and its labels."""
    done = run(ROOT / "tests" / "label_facts.py", "hill-example", timeout=600)
    assert done.returncode == 0, done.stderr
    made: dict[str, Any] = json.loads(done.stdout)
    return made


def test_every_label_is_another(other: dict[str, Any], hill: Mould) -> None:
    """None of the words that name a piece is left, so the test below has something to find."""
    own = [piece.name for piece in hill.pieces()] + [part.name for part in hill.parts]
    assert len(other["names"]) == len(own)
    words = {word for name in own for word in re.findall(r"[a-z]{4,}", name)} - {"head"}
    assert {"forcing", "front", "left", "panel", "core", "nose", "thrust"} <= words
    left = {name for name in other["names"] if any(word in words for word in re.findall("[a-z]+", name))}
    assert left <= {part.name for part in hill.fasteners}


@pytest.mark.parametrize(
    "what", ["parts", "flats", "cut list", "steps", "build sheet", "sheets", "views", "moves"]
)  # fmt: skip
def test_nothing_but_words_depends_on_a_label(other: dict[str, Any], plain: dict[str, Any], what: str) -> None:
    assert other["facts"][what] == plain[what]
    assert plain[what]


@pytest.fixture(scope="module")
def plain(hill: Mould) -> dict[str, Any]:
    """What the built-in example gives, as a file of it is read back; of solids that no other test has drawn."""
    from mouldgeom.solids import SolidMould

    made: dict[str, Any] = json.loads(json.dumps(facts(SolidMould(hill))))
    return made


# ---------------------------------------------------------------- a new kind of part


class Added(StrEnum):
    """A role that no module knows, as one more member of ``Role`` would be."""

    LIFTING_EYE = "lifting eye"


Eyed = tuple[PieceId, "SolidMould"]
EYES = {
    "handle on the back": PieceId(Role.HANDLE, (Side.BACK,), 3),
    # of no role that the package has: that is the test
    "eye on the left": PieceId(Added.LIFTING_EYE, (Side.LEFT,)),
    "eye on the right": PieceId(Added.LIFTING_EYE, (Side.RIGHT,)),
}


@pytest.fixture(scope="module", params=EYES)
def eyed(request: pytest.FixtureRequest, hill_spec: Spec) -> Eyed:
    """The built-in example with a bar more in the middle of a panel, and that bar."""
    from mouldgeom.model.parts import outer_box
    from mouldgeom.solids import SolidMould

    piece, handles = EYES[request.param], outer_box._handles

    def more(dims: Dimensions) -> list[Bar]:
        """The handles and the eye: as a handle, but in the middle, and longer."""
        made = handles(dims)
        one = next(bar for bar in made if bar.stands[0].id == PieceId(Role.HANDLE, piece.place, 1))
        at, (x, y, z) = one.placements[0], one.placements[0].origin
        middle = (x, 0.0, z - 3) if piece.place[0].crosswise else (0.0, y, z - 3)
        stand = Stand(piece, PANELS[piece.place[0]], Placement(middle, at.x, at.y))
        return [*made, replace(one, stands=(stand,), length=one.length + 6)]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(outer_box, "_handles", more)
        return piece, SolidMould(build(hill_spec))


def test_a_new_part_is_welded_in_the_step_of_its_panel(eyed: Eyed) -> None:
    piece, solids = eyed
    own = [step for step in build_steps(solids.mould) if piece in step.new]
    assert [step.stage for step in own] == [Stage.FACES if piece.place == (Side.BACK,) else Stage.SIDES]
    welds = [weld for weld in own[0].welds if any(piece in seam.pieces for seam in weld.seams)]
    assert {weld.role for weld in welds} == {WeldRole.HANDLE_TO_STIFFENER}


def test_a_new_part_is_shown_and_listed_on_every_paper(eyed: Eyed) -> None:
    """Part list, welding sheet of its panel, its own drawing, cut list, its step; taken apart, if seen from there."""
    piece, solids = eyed
    mark = solids.mould.piece(piece.role, *piece.place, number=piece.number).mark
    shown = {name: marks for name, marks, _ in sheets(solids)}
    wanted = {"general-section", "parts", f"weld-{piece.place[0]}"}
    wanted |= {"exploded"} if piece.place == (Side.LEFT,) else set()
    assert {name for name, marks in shown.items() if mark in marks} >= wanted
    assert mark in [row[1] for row in cuts(solids)]
    (page,) = [found for found in pictures(solids) if found[1] and any(mark in marks for marks in found[1])]
    assert page[0] == ("Front and back panel" if piece.place == (Side.BACK,) else "Side panels")


def test_a_new_part_moves_with_its_panel(eyed: Eyed) -> None:
    piece, solids = eyed
    away = {tuple(order): rest[:2] for order, *rest in moves(solids)}
    assert away[piece.order] == away[PieceId(Role.PANEL, piece.place).order]
