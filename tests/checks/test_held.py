"""Check 1.5: nothing floats, and every joint is where the design has it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest
from conftest import bridged, named

from mouldgeom import load, parse
from mouldgeom.checks.case import Case
from mouldgeom.checks.held import check_held, links, reached
from mouldgeom.geometry.placement import Placement, Vec, add
from mouldgeom.identity import PieceId, Role, Side
from mouldgeom.model.assembly import Mould, build
from mouldgeom.solids import SolidMould
from mouldgeom.spec import spec_toml
from mouldgeom.spec.fields import Gear

pytestmark = pytest.mark.slow

START = PieceId(Role.BASE_PLATE)


def moved(mould: Mould, label: str, shift: Vec) -> Mould:
    """The mould with one piece, and nothing else, out of its place."""
    piece = named(mould, label)
    there = Placement(add(piece.placement.origin, shift), piece.placement.x, piece.placement.y)

    def changed(parts: Iterable[Any]) -> tuple[Any, ...]:
        return tuple(
            replace(part, stands=tuple(replace(s, placement=there) if s.id == piece.id else s for s in part.stands))
            for part in parts
        )

    return replace(mould, plates=changed(mould.plates), bars=changed(mould.bars), fasteners=changed(mould.fasteners))


def result(mould: Mould) -> Any:
    (found,) = check_held(Case(SolidMould(mould)))
    return found


def test_everything_is_held(example_case: Case) -> None:
    (found,) = check_held(example_case)
    assert found.holds, found.where
    assert len(links(example_case)) > 120


def test_two_angles_for_a_tube_hang_together() -> None:
    text = spec_toml(load("hill-example")).replace('square_tube = "40x40x3"', 'square_tube = "two 40x40x4"')
    found = result(build(parse(text)))
    assert found.holds, found.where


@pytest.mark.parametrize(
    ("label", "shift"),
    [
        ("handle, left 1", (1.0, 0.0, 0.0)),
        ("handle, left 1", (700.0, 0.0, 0.0)),
        ("front stiffener, back 1", (0.0, 1.0, 0.0)),
        ("corner flange, front left", (0.0, 1.0, 0.0)),
        ("diaphragm 1", (0.0, 0.0, 1.0)),
        ("core wall, front", (0.0, -1.0, 0.0)),
        ("ledge strip, right", (-1.0, 0.0, 0.0)),
        ("end plate", (0.0, 0.0, 1.0)),
        ("runner, back", (0.0, 0.0, -1.0)),
        ("nose lid", (0.0, 0.0, 1.0)),
        ("nose side, left", (1.0, 0.0, 0.0)),
        ("nut plate, left front", (0.0, 0.0, -1.0)),
        ("forcing nut, left front welded", (0.0, 0.0, -1.0)),
        ("forcing nut, right back drive", (0.0, 1.0, 0.0)),
        ("forcing screw, left front", (1.0, 0.0, 0.0)),
        ("thrust pad, left front", (0.0, 0.0, 1.0)),
        ("trunnion pin, left", (0.0, 0.0, 1.0)),
        ("pin plate, right", (-1.0, 0.0, 0.0)),
        ("closing bar, front", (0.0, 0.0, 1.0)),
        ("nut, corner bolts, front left 2", (0.0, 1.0, 0.0)),
    ],
)
def test_a_piece_moved_off_its_joint_is_found(hill: Mould, label: str, shift: Vec) -> None:
    """By 1 mm, square to what holds it; and the handle set loose altogether."""
    found = result(moved(hill, label, shift))
    assert not found.holds
    assert label in str(found.where) or "bolts" in str(found.where)


@pytest.mark.parametrize(
    ("label", "shift"),
    [
        ("gusset, left front", (0.0, 0.0, 1.0)),
        ("anchor plate", (0.0, 0.0, 1.0)),
        ("bridge beam, front", (0.0, 0.0, -1.0)),
        ("jack nut, anchor", (0.0, 0.0, 1.0)),
        ("jack screw", (1.0, 0.0, 0.0)),
    ],
)
def test_a_piece_of_a_bridge_moved_off_its_joint_is_found(bridged_hill: Mould, label: str, shift: Vec) -> None:
    found = result(moved(bridged_hill, label, shift))
    assert not found.holds
    assert label in str(found.where)


@pytest.mark.parametrize("gear", Gear)
def test_deleting_any_joint_that_alone_holds_a_piece_is_found(example_case: Case, gear: Gear) -> None:
    """Every joint of the mould in turn; a ring of welds holds without one of them."""
    spec = example_case.dims.spec
    case = example_case if gear is spec.extraction.gear else Case(SolidMould(build(bridged(spec))))
    found, everything = list(links(case)), set(case.by_id)
    assert reached(found, START) == everything
    alone = [
        name for i, (name, _, _) in enumerate(found) if reached([*found[:i], *found[i + 1 :]], START) != everything
    ]
    titles = {name.partition(":")[0] for name in alone}
    of_gear = {Gear.BRIDGE: "gusset to base flange", Gear.FORCING: "nut plate to base plate"}
    assert {"runner to base plate", of_gear[gear]} <= titles
    assert {"corner bolts, front left", "base bolts, front"} <= titles
    assert len(alone) > 10


@pytest.mark.parametrize("what", ["runners", "front bolts", "seats"])
def test_a_mould_without_a_joint_fails(hill: Mould, what: str) -> None:
    smaller = {
        "runners": replace(hill, welds=tuple(w for w in hill.welds if w.pieces[0].role is not Role.RUNNER)),
        "front bolts": replace(hill, rows=tuple(row for row in hill.rows if row.id.place[0] is not Side.FRONT)),
        "seats": replace(hill, seats=()),
    }[what]
    assert not result(smaller).holds
