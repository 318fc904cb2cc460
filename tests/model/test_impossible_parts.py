"""A change from outside that gives parts that no mould can have is refused: the piece is named, and what to do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from enum import StrEnum
from typing import Any

import pytest
from conftest import bridged

from mouldgeom import InputError, Spec
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.identity import FRONT_PANEL, LEFT_PANEL, PieceId, Role, Side, Unit
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.changes import Addition, Change, Groups
from mouldgeom.model.joints import GroupParts, Seat, Weld, WeldRole
from mouldgeom.model.shapes import Bar, Group
from mouldgeom.outputs.job import Job, make_files
from mouldgeom.outputs.kinds import CUTLIST, FLAT, INSPECTION, PARTS, SPEC
from mouldgeom.spec.fields import Gear
from mouldgeom.strength.book import book


class Own(StrEnum):
    HANDLE = "handle"
    HOOK = "rack hook"


FIRST = PieceId(Role.HANDLE, (Side.LEFT,), 1)
NONE = PieceId(Own.HOOK, (Side.LEFT,))


def handle(box: GroupParts) -> Bar:
    return next(bar for bar in box.bars if bar.stands[0].id == FIRST)


def called(bar: Bar, piece: PieceId, unit: Unit = LEFT_PANEL) -> Bar:
    return replace(bar, stands=(replace(bar.stands[0], id=piece, unit=unit),))


IMPOSSIBLE: dict[str, tuple[Callable[[GroupParts], Any], str]] = {
    "twice": (lambda box: box.plus(GroupParts(bars=(handle(box),))), "handle, left 1: two pieces"),
    "row twice": (lambda box: box.plus(GroupParts(rows=box.rows[:1])), "corner bolts, front left: two rows"),
    "weld to nothing": (
        lambda box: box.plus(GroupParts(welds=(replace(box.welds[0], pieces=(FIRST, NONE)),))),
        "rack hook, left: no such piece, and the weld corner flange to side panel, toe holds it",
    ),
    "seat on nothing": (
        lambda box: box.plus(GroupParts(seats=(Seat((FIRST, NONE), ((0.0, 0.0, 0.0),)),))),
        "rack hook, left: no such piece, and a seat holds it",
    ),
    "row through nothing": (
        lambda box: replace(box, rows=(replace(box.rows[0], members=(FIRST, NONE)), *box.rows[1:])),
        "rack hook, left: no such piece, and the row corner bolts",
    ),
    "part gone, weld left": (
        lambda box: replace(box, bars=tuple(bar for bar in box.bars if bar is not handle(box))),
        "handle, left 1: no such piece, and the weld handle to stiffener holds it",
    ),
    "two pieces in one": (
        lambda box: box.plus(GroupParts(bars=(replace(handle(box), stands=handle(box).stands * 2),))),
        "2 pieces of one Bar",
    ),
    "foreign part": (lambda box: replace(box, plates=(*box.plates, handle(box))), "Bar among the plates of outer box"),
    "no parts": (lambda box: [box], "list"),
    "word of another": (
        lambda box: box.plus(GroupParts(bars=(called(handle(box), PieceId(Own.HANDLE, (), 7)),))),
        "'handle': a role of one's own",
    ),
    "no word": (
        lambda box: box.plus(GroupParts(bars=(called(handle(box), PieceId("hook")),))),  # type: ignore[arg-type]  # wrong on purpose
        "'hook': a role of one's own",
    ),
    "row askew": (
        lambda box: replace(box, rows=(replace(box.rows[0], axis=(0.0, 0.6, 0.8)), *box.rows[1:])),
        "does not stand square",
    ),
    "foreign unit": (
        lambda box: box.plus(GroupParts(bars=(called(handle(box), NONE, Unit("yard")),))),
        "rack hook, left: the unit yard is no part of the mould",
    ),
    "row of nothing": (
        lambda box: replace(box, rows=(replace(box.rows[0], points=()), *box.rows[1:])),
        "the row corner bolts, front left: it has no point or line",
    ),
    "weld of nothing": (
        lambda box: replace(box, welds=(replace(box.welds[0], roots=()), *box.welds[1:])),
        "the weld corner flange to side panel, toe: it has no point or line",
    ),
    "unknown section": (
        lambda box: replace(box, rows=(replace(box.rows[0], bolt="M99"), *box.rows[1:])),
        "M99",
    ),
    "raises": (lambda box: 1 / 0, "ZeroDivisionError: division by zero: its code stopped there"),
}


@pytest.mark.parametrize("what", IMPOSSIBLE)
def test_impossible_parts_are_refused_by_name(what: str, hill_spec: Spec) -> None:
    made, told = IMPOSSIBLE[what]

    def change(_: Dimensions, groups: Groups) -> Groups:
        box = made(groups[Group.OUTER_BOX])
        return {Group.OUTER_BOX: box} if isinstance(box, GroupParts) else box

    with pytest.raises(InputError, match="extension yard") as error:
        build(hill_spec, extensions=[Addition("yard", "1", (change,))])
    assert told in str(error.value)
    with pytest.raises(InputError, match="change = "):
        build(hill_spec, [change])


def gone(*pieces: PieceId) -> Change:
    """Takes pieces out of every group, both halves of a bar, with the joints that hold them."""

    def change(_: Dimensions, groups: Groups) -> Groups:
        parts = [part for each in groups.values() for part in (*each.plates, *each.bars, *each.fasteners)]
        ids = [stand.id for part in parts for stand in part.stands if stand.id.whole in pieces]
        return {group: each.without(*ids) for group, each in groups.items()}

    return change


def test_whatever_piece_is_taken_away_the_mould_is_reckoned_or_refused(either: Mould) -> None:
    """Every piece, and every role as a whole; what is bought for a row goes with its row, below."""
    example = either
    pieces = {piece.id.whole for piece in example.pieces() if piece.id.row is None}
    of_role = {role: {one for one in pieces if one.role is role} for role in {one.role for one in pieces}}
    for less in (*({one} for one in pieces), *of_role.values()):
        if {piece.role for piece in less} == {Role.HANDLE}:
            mould = build(example.dims.spec, [gone(*less)])
            assert book(mould)
            job = Job(mould, kinds=(SPEC, PARTS, FLAT, CUTLIST, INSPECTION))
            assert all(file.content for file in make_files(job))
        else:
            with pytest.raises(InputError) as error:
                build(example.dims.spec, [gone(*less)])
            assert error.value.value in {f"{piece.name} taken away" for piece in less}
            assert "need it" in error.value.limit
            assert error.value.remedy.startswith("Leave it in")


WITH_JOINTS = [group for group in Group if group is not Group.FASTENERS]


@pytest.mark.parametrize("group", WITH_JOINTS)
@pytest.mark.parametrize("gear", Gear)
def test_no_joint_of_the_design_can_be_left_out(group: Group, gear: Gear, hill_spec: Spec) -> None:
    """Each weld and each row alone; only a handle may be fastened in another way."""
    spec = bridged(hill_spec) if gear is Gear.BRIDGE else hill_spec
    design: list[GroupParts] = []

    def look(_: Dimensions, groups: Groups) -> Groups:
        design.append(groups[group])
        return {}

    build(spec, [look])
    (parts,) = design
    assert parts.welds or parts.rows
    handles = 0
    for left_out in (*parts.welds, *parts.rows):
        rows = tuple(row for row in parts.rows if row is not left_out)
        welds = tuple(weld for weld in parts.welds if weld is not left_out)
        less = {group: replace(parts, rows=rows, welds=welds)}
        if isinstance(left_out, Weld) and left_out.role is WeldRole.HANDLE_TO_STIFFENER:
            handles += len(build(spec, [lambda *_, less=less: less]).welds) > 0
        else:
            with pytest.raises(InputError, match="taken away"):
                build(spec, [lambda *_, less=less: less])
    assert bool(handles) is (group is Group.OUTER_BOX)


@pytest.mark.parametrize(
    ("gear", "role", "named"),
    [
        (Gear.FORCING, Role.FORCING_SCREW, "forcing screw, left front"),
        (Gear.BRIDGE, Role.JACK_SCREW, "jack screw"),
    ],
)
def test_a_part_in_the_place_of_another_is_of_its_kind_and_unit(
    gear: Gear, role: Role, named: str, hill_spec: Spec
) -> None:
    """What the calculation takes as the screw that draws is a bar among the gear."""

    def moved(_: Dimensions, groups: Groups) -> Groups:
        gear = groups[Group.EXTRACTION]
        bars = [
            called(bar, bar.stands[0].id, FRONT_PANEL) if bar.stands[0].id.role is role else bar for bar in gear.bars
        ]
        return {Group.EXTRACTION: replace(gear, bars=tuple(bars))}

    spec = bridged(hill_spec) if gear is Gear.BRIDGE else hill_spec
    with pytest.raises(InputError, match=f"{named} made another kind of part, or put into another unit"):
        build(spec, [moved])


def test_a_piece_that_is_not_there_is_told(hill_spec: Spec) -> None:
    bare = build(hill_spec, [gone(FIRST)])
    with pytest.raises(InputError, match="handle, left 1: this mould has no such piece"):
        bare.piece(Role.HANDLE, Side.LEFT, number=1)


@pytest.mark.parametrize("groups", [{Group.FASTENERS: GroupParts()}, {"yard": GroupParts()}, {Group.BASE: None}])
def test_what_is_no_group_with_parts_is_refused(groups: Any, hill_spec: Spec) -> None:
    with pytest.raises(InputError, match="GroupParts"):
        build(hill_spec, [lambda _, __: groups])


def test_a_change_cannot_change_what_it_is_given(hill_spec: Spec) -> None:
    def change(_: Dimensions, groups: Groups) -> Groups:
        groups[Group.BASE] = GroupParts()  # type: ignore[index]  # wrong on purpose
        return {}

    with pytest.raises(InputError, match="TypeError"):
        build(hill_spec, [change])


def test_a_mould_made_with_more_has_digests_of_its_own(hill_spec: Spec, hill: Mould) -> None:
    """By names and versions; without any it is that of the specification."""
    assert (hill.digest, hill.shape_digest) == (hill_spec.digest, hill_spec.mould_digest)
    adds = [
        [Addition("a")],
        [Addition("b")],
        [Addition("a", "1")],
        [Addition("a"), Addition("b")],
        [Addition("a", "b")],
    ]
    moulds = [hill, *(build(hill_spec, extensions=each) for each in adds)]
    assert len({mould.digest for mould in moulds} | {mould.shape_digest for mould in moulds}) == 2 * len(moulds)
