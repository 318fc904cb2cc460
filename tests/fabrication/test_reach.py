"""Reach to the welds inside the core: what is open in each step, and how deep the seams lie behind it."""

from __future__ import annotations

import pytest

from mouldgeom import Spec
from mouldgeom.fabrication import stages
from mouldgeom.fabrication.reach import deepest, reach, ways
from mouldgeom.fabrication.stages import Stage, build_steps, stage_of
from mouldgeom.identity import PieceId, Role, Side
from mouldgeom.model.assembly import Mould, Piece, build
from mouldgeom.model.joints import WeldRole


def test_the_reach_grows_with_the_opening_up_to_an_arm() -> None:
    assert reach(150) == 200
    assert reach(375) == reach(600) == 500


def test_every_seam_inside_is_reached(either: Mould) -> None:
    """Diaphragms through the open back, no deeper than the core; the anchor plate from the rim, the base from below."""
    dims, found = either.dims, ways(either)
    by_role = {role: [way for way in found if way.seam.role is role] for role in {way.seam.role for way in found}}
    anchor = {WeldRole.ANCHOR_TO_WALL} if dims.has_bridge else set()
    assert set(by_role) == {WeldRole.DIAPHRAGM_TO_WALL, WeldRole.CORE_TO_BASE} | anchor
    for way in by_role[WeldRole.DIAPHRAGM_TO_WALL]:
        assert way.opening == "open back side"
        assert way.depth <= 2 * (dims.core_half_y(way.seam.lines[0][0][2]) - dims.shell)
    for way in by_role.get(WeldRole.ANCHOR_TO_WALL, []):
        assert (way.opening, way.depth) == ("rim end", pytest.approx(dims.bridge.anchor_z - dims.base))
    for way in by_role[WeldRole.CORE_TO_BASE]:
        assert way.opening == "opening of the base plate"
    assert all(way.use < 1 for way in found)


def test_no_diaphragm_is_welded_to_the_wall_that_closes_the_core(either: Mould) -> None:
    """It comes in a later step, and bears on them instead."""
    closing = PieceId(Role.CORE_WALL, (Side.BACK,))
    seams = [weld for weld in either.welds if weld.role is WeldRole.DIAPHRAGM_TO_WALL]
    count = len(either.dims.diaphragm_z)
    assert len(seams) == 3 * count
    assert closing not in {piece for weld in seams for piece in weld.pieces}
    assert [seat.pieces[1] for seat in either.seats].count(closing) == count
    order = [step.stage for step in build_steps(either)]
    assert order.index(Stage.WALLS) < order.index(Stage.INSIDE) < order.index(Stage.CLOSE) < order.index(Stage.STRIPS)
    assert closing in next(step for step in build_steps(either) if step.stage is Stage.CLOSE).new


def test_a_core_closed_first_cannot_be_welded(bridged_hill: Mould, monkeypatch: pytest.MonkeyPatch) -> None:
    """All four walls round the end plate first: the diaphragm lies 349 mm behind the rim end, too deep for 256 mm."""

    def all_at_once(piece: Piece) -> Stage:
        return Stage.WALLS if piece.id.role is Role.CORE_WALL else stage_of(piece)

    monkeypatch.setattr(stages, "stage_of", all_at_once)
    worst = deepest(bridged_hill)
    assert worst is not None
    assert (worst.seam.role, worst.opening) == (WeldRole.DIAPHRAGM_TO_WALL, "rim end")
    assert worst.depth == pytest.approx(bridged_hill.dims.diaphragm_z[0] - bridged_hill.dims.shell)
    assert worst.use > 1


def test_a_plate_shuts_off_what_lies_behind_it(bridged_hill: Mould, monkeypatch: pytest.MonkeyPatch) -> None:
    """The anchor plate in before the diaphragm, the core closed: nothing leads to the diaphragm."""

    def wrong(piece: Piece) -> Stage:
        early = {Role.CORE_WALL: Stage.WALLS, Role.ANCHOR_PLATE: Stage.INSIDE, Role.DIAPHRAGM: Stage.CLOSE}
        return early.get(piece.id.role, stage_of(piece))

    monkeypatch.setattr(stages, "stage_of", wrong)
    worst = deepest(bridged_hill)
    assert worst is not None
    assert (worst.opening, worst.reach) == ("nothing reaches in", 0)


def test_a_deep_narrow_core_is_out_of_reach(hill_spec: Spec) -> None:
    worst = deepest(build(hill_spec.changed({"filter.cavity_width": 180, "filter.cavity_depth": 420})))
    assert worst is not None
    assert worst.opening == "open back side"
    assert worst.use > 1
