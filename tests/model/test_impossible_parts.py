"""A change from outside that gives parts that no mould can have is refused: the piece is named, and what to do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from enum import StrEnum
from typing import Any

import pytest

from mouldgeom import InputError, Spec
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.identity import PieceId, Role, Side
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.changes import Addition, Groups
from mouldgeom.model.joints import GroupParts, Seat
from mouldgeom.model.shapes import Bar, Group


class Own(StrEnum):
    HANDLE = "handle"
    HOOK = "rack hook"


FIRST = PieceId(Role.HANDLE, (Side.LEFT,), 1)
NONE = PieceId(Own.HOOK, (Side.LEFT,))


def handle(box: GroupParts) -> Bar:
    return next(bar for bar in box.bars if bar.stands[0].id == FIRST)


def called(bar: Bar, piece: PieceId) -> Bar:
    return replace(bar, stands=(replace(bar.stands[0], id=piece),))


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
        lambda box: box.plus(GroupParts(bars=(called(handle(box), PieceId("hook")),))),  # type: ignore[arg-type]
        "'hook': a role of one's own",
    ),
    "row askew": (
        lambda box: replace(box, rows=(replace(box.rows[0], axis=(0.0, 0.6, 0.8)), *box.rows[1:])),
        "does not stand square",
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


@pytest.mark.parametrize("groups", [{Group.FASTENERS: GroupParts()}, {"yard": GroupParts()}, {Group.BASE: None}])
def test_what_is_no_group_with_parts_is_refused(groups: Any, hill_spec: Spec) -> None:
    with pytest.raises(InputError, match="GroupParts"):
        build(hill_spec, [lambda _, __: groups])


def test_a_change_cannot_change_what_it_is_given(hill_spec: Spec) -> None:
    def change(_: Dimensions, groups: Groups) -> Groups:
        groups[Group.BASE] = GroupParts()  # type: ignore[index]
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
