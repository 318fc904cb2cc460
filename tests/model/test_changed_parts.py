"""Parts taken away, or others put in their place, from outside: everything follows, and what floats is told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from mouldgeom import Spec
from mouldgeom.checks import Case
from mouldgeom.checks.held import check_held
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.identity import LEFT_PANEL, PieceId, Role, Side
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.changes import Change, Groups
from mouldgeom.model.joints import GroupParts
from mouldgeom.model.shapes import Group, Stand
from mouldgeom.outputs.job import Job, make_files
from mouldgeom.outputs.kinds import COST, KINDS
from mouldgeom.solids import SolidMould
from mouldgeom.strength import handling
from mouldgeom.strength.masses import masses

pytestmark = pytest.mark.slow(seconds=45)


def pieces(box: GroupParts, role: Role) -> list[PieceId]:
    return [stand.id for bar in box.bars for stand in bar.stands if stand.id.role is role]


def no_handles(_: Dimensions, groups: Groups) -> Groups:
    box = groups[Group.OUTER_BOX]
    return {Group.OUTER_BOX: box.without(*pieces(box, Role.HANDLE))}


def stout_handles(_: Dimensions, groups: Groups) -> Groups:
    """Each handle of the left panel of a threaded rod."""
    box = groups[Group.OUTER_BOX]
    bars = tuple(
        replace(bar, section="16 mm")
        if bar.stands[0].id.role is Role.HANDLE and bar.stands[0].unit == LEFT_PANEL
        else bar
        for bar in box.bars
    )
    return {Group.OUTER_BOX: replace(box, bars=bars)}


def eye(away: float) -> Change:
    """One handle more on the left panel, welded like the first, or laid so far off it."""

    def change(_: Dimensions, groups: Groups) -> Mapping[Group, GroupParts]:
        box = groups[Group.OUTER_BOX]
        first, third = (PieceId(Role.HANDLE, (Side.LEFT,), number) for number in (1, 3))
        bar = next(bar for bar in box.bars if bar.stands[0].id == first)
        at = bar.stands[0].placement
        x, y, z = at.origin
        moved = replace(at, origin=(x + away, y + 40.0, z))
        added = replace(bar, stands=(Stand(third, LEFT_PANEL, moved),))
        return {Group.OUTER_BOX: box.plus(GroupParts(bars=(added,)))}

    return change


@pytest.fixture(scope="module")
def bare(hill_spec: Spec) -> Mould:
    return build(hill_spec, [no_handles])


def test_without_handles_every_file_is_made(bare: Mould) -> None:
    """No weld, mass, picture or check of a handle is left; whoever lifts a panel takes hold of its edges."""
    job = Job(bare, kinds=tuple(kind for kind in KINDS if kind is not COST))
    files = {file.path: file.content for file in make_files(job)}
    assert {"drawings.pdf", "build-sheet.pdf", "report.html", "cut-list.csv"} < files.keys()
    assert b"handle" not in files["parts.json"] + files["cut-list.csv"] + files["work.json"]
    assert not any(piece.role is Role.HANDLE for weld in bare.welds for piece in weld.pieces)
    assert all(result.holds for result in job.results)
    assert "10.9" not in {result.code for result in job.results}


def test_a_removed_handle_changes_masses_and_lifts(bare: Mould, hill: Mould) -> None:
    whole, less = masses(hill), masses(bare)
    rods = sum(hill.mass(bar) * bar.quantity for bar in hill.bars if bar.stands[0].id.role is Role.HANDLE)
    assert whole.empty.mass - less.empty.mass == pytest.approx(rods)
    was, now = (handling.lifts(mould, found)[LEFT_PANEL] for mould, found in ((hill, whole), (bare, less)))
    assert now.lump.mass < was.lump.mass
    assert now.lift.vertical != was.lift.vertical


def test_other_handles_are_reckoned_as_they_are(hill_spec: Spec, hill: Mould) -> None:
    changed = build(hill_spec, [stout_handles])
    assert len(changed.bars) == len(hill.bars) + 1
    assert masses(changed).empty.mass > masses(hill).empty.mass
    one, other = ({r.code: r for r in handling.chapter(mould).requirements}["10.9"] for mould in (hill, changed))
    assert other.value == pytest.approx(one.value, rel=0.05), "the weakest handle counts"


@pytest.mark.parametrize("away", [0.0, 700.0])
def test_what_nothing_holds_is_told(hill_spec: Spec, away: float) -> None:
    """A handle more without a weld floats, on the panel as well as far from it."""
    mould = build(hill_spec, [eye(away)])
    (result,) = check_held(Case(SolidMould(mould)))
    assert result.code == "1.5"
    assert not result.holds
    assert "handle, left 3" in str(result.where)


def test_parts_without_some_and_with_more(hill: Mould) -> None:
    assert GroupParts().plus(GroupParts(bars=hill.bars)).bars == hill.bars
    less = GroupParts(hill.plates, hill.bars, hill.fasteners, hill.rows, hill.welds, hill.seats)
    panel = PieceId(Role.PANEL, (Side.FRONT,))
    left = less.without(panel)
    assert panel not in [stand.id for plate in left.plates for stand in plate.stands]
    assert not [row for row in left.rows if panel in row.members]
    assert len(left.rows) < len(hill.rows)
    assert not [weld for weld in left.welds if panel in weld.pieces]
