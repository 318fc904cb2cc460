"""Changes of the parts from outside: what one is, and the refusal of parts that no mould can have."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final, TypeVar

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.errors import InputError, blamed
from mouldgeom.identity import PieceId, Role, RowRole
from mouldgeom.model.joints import GroupParts, Seat, Weld, WeldRole
from mouldgeom.model.shapes import Bar, BoltRow, Fastener, Group, Plate

_One = TypeVar("_One", bound=Hashable)

Groups = Mapping[Group, GroupParts]
Change = Callable[[Dimensions, Groups], Groups]
"""A change of the parts before they are punched and marked: from all groups to those that differ."""


@dataclass(frozen=True)
class Addition:
    """What somebody adds to moulds from outside, as far as their parts go.

    Args:
        name: by which it is asked for.
        version: of it, in any words.
        changes: of the parts, one after the other.
    """

    name: str
    version: str = ""
    changes: tuple[Change, ...] = ()

    def __str__(self) -> str:
        return f"{self.name} {self.version}".rstrip()


def changed(dims: Dimensions, groups: Groups, change: Change, whose: str) -> dict[Group, GroupParts]:
    """All groups after a change.

    Args:
        whose: who answers for the change, such as ``"extension rack-hooks"``.

    Raises:
        InputError: it returns something other than parts by their group, or raises.
    """
    with blamed(whose):
        found: object = change(dims, MappingProxyType(dict(groups)))
    if not isinstance(found, Mapping):
        raise _no_parts(whose, type(found).__name__)
    for group, parts in found.items():
        if group not in groups or not isinstance(parts, GroupParts):
            raise _no_parts(whose, f"{group!r}: {type(parts).__name__}")
        for name, kind in _KINDS.items():
            for one in getattr(parts, name):
                if not isinstance(one, kind):
                    raise _no_parts(whose, f"{type(one).__name__} among the {name} of {group}")
    return {**groups, **found}


_KINDS: Final = {"plates": Plate, "bars": Bar, "fasteners": Fastener, "rows": BoltRow, "welds": Weld, "seats": Seat}


def _no_parts(whose: str, given: str) -> InputError:
    return InputError(
        whose,
        given,
        "a change of the parts returns each group that differs with its GroupParts: plates, bars, fasteners, bolt "
        "rows, welds, seats",
        "Return {Group.OUTER_BOX: groups[Group.OUTER_BOX].plus(...)}, or {} where nothing differs.",
    )


def refuse_impossible(groups: Groups, bought: Iterable[Fastener], whose: str) -> None:
    """Refuse parts that no mould can have.

    Args:
        groups: all of them, after the changes.
        bought: fasteners of their bolt rows.
        whose: who answers for the last change.

    Raises:
        InputError: names the piece, and what to do about it.
    """
    made = [part for parts in groups.values() for part in (*parts.plates, *parts.bars, *parts.fasteners)]
    for part in made:
        if len(part.stands) != 1:
            given = f"{len(part.stands)} pieces of one {type(part).__name__}"
            raise InputError(whose, given, "each part that is added is one piece", "Add one part for each piece.")
    rows = [row for parts in groups.values() for row in parts.rows]
    welds = [weld for parts in groups.values() for weld in parts.welds]
    pieces = [part.stands[0].id for part in (*made, *bought)]
    _refuse_words(whose, Role, (piece.role for piece in pieces))
    _refuse_words(whose, RowRole, (row.id.role for row in rows))
    _refuse_words(whose, WeldRole, (weld.role for weld in welds))
    for row in _again(row.id for row in rows):
        raise InputError(whose, row.name, "two rows of bolts of this role and place", "Give one another place or role.")
    for piece in _again(pieces):
        remedy = "Take the other away with GroupParts.without, or give this one another role, place or number."
        raise InputError(whose, piece.name, "two pieces of this role, place and number", remedy)
    known = {*pieces, *(piece.whole for piece in pieces)}
    for name, members in _joints(groups):
        for piece in members:
            if piece not in known:
                remedy = "Take pieces away with GroupParts.without, which takes their joints too, or name another."
                raise InputError(whose, piece.name, f"no such piece, and {name} holds it", remedy)


def _joints(groups: Groups) -> Iterator[tuple[str, tuple[PieceId, ...]]]:
    for parts in groups.values():
        yield from ((f"the weld {weld.role}", weld.pieces) for weld in parts.welds)
        yield from ((f"the row {row.name}", row.members) for row in parts.rows)
        yield from (("a seat", seat.pieces) for seat in parts.seats)


def _again(found: Iterable[_One]) -> Iterator[_One]:
    """What is there more than once."""
    return (one for one, count in Counter(found).items() if count > 1)


def _refuse_words(whose: str, built_in: type[StrEnum], used: Iterable[StrEnum]) -> None:
    """Refuse an own role in the words of another: the two would count as one."""
    words = {str(role): role for role in built_in}
    for role in used:
        if not isinstance(role, StrEnum) or words.setdefault(str(role), role) is not role:
            limit = "a role of one's own is a member of a StrEnum, in words that no other role has"
            raise InputError(whose, repr(str(role)), limit, "Choose other words for it.")
