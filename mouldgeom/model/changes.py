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
from mouldgeom.identity import MOULD, PieceId, Role, RowRole, Unit
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
    made = [part for parts in groups.values() for part in _parts(parts)]
    for part in made:
        if len(part.stands) != 1:
            given = f"{len(part.stands)} pieces of one {type(part).__name__}"
            raise InputError(whose, given, "each part that is added is one piece", "Add one part for each piece.")
        (stand,) = part.stands
        if not stand.unit.within(MOULD):
            limit = f"the unit {stand.unit.name} is no part of the mould"
            raise InputError(whose, stand.id.name, limit, "Give the unit a parent: MOULD, or a unit of it.")
    rows = [row for parts in groups.values() for row in parts.rows]
    welds = [weld for parts in groups.values() for weld in parts.welds]
    pieces = [part.stands[0].id for part in (*made, *bought)]
    _refuse_words(whose, Role, (piece.role for piece in pieces))
    _refuse_words(whose, RowRole, (row.id.role for row in rows))
    _refuse_words(whose, WeldRole, (weld.role for weld in welds))
    for name, held in (
        *((f"the row {row.name}", row.points) for row in rows),
        *((f"the weld {weld.role}", weld.roots) for weld in welds),
    ):
        if not held:
            raise InputError(whose, name, "it has no point or line", "Leave it out, or say where it is.")
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


REMOVABLE: Final = frozenset({Role.HANDLE})
"""What a mould can be without: it is reckoned and drawn from the parts that are there, all else from the dimensions."""
_NEEDED_BY: Final = {
    Group.OUTER_BOX: "the calculation of panels, bolts and lifts, the checks and the papers need it",
    Group.CORE: "the calculation of core walls and draw, the checks and the papers need it",
    Group.BASE: "the calculation of the base plate, the checks and the papers need it",
    Group.NOSE: "the calculation of the nose lid and its bolts, the checks and the papers need it",
    Group.EXTRACTION: "the calculation of what draws the core, the checks and the papers need it",
    Group.TURNING: "the calculation of the turn, the checks and the papers need it",
}


def refuse_missing(design: Groups, groups: Groups, whose: str) -> None:
    """Refuse a mould without a piece or joint that calculation, checks and papers take as there.

    A check would pass on what the dimensions say of a part that is gone; only what is ``REMOVABLE`` may go.

    Args:
        design: the groups as they were designed.
        groups: all of them, after the changes; none of them is impossible.
        whose: who answers for the last change.

    Raises:
        InputError: names the piece or joint, what needs it, and what to do about it.
    """
    made = _pieces(groups)
    ids = {*made, *(part.stands[0].id for parts in groups.values() for part in _parts(parts))}
    rows = {row.id: {piece.whole for piece in row.members} for parts in groups.values() for row in parts.rows}
    welds = {(weld.role, weld.pieces) for parts in groups.values() for weld in parts.welds}
    for group, parts in design.items():
        for piece, was in _pieces({group: parts}).items():
            if piece.role not in REMOVABLE and made.get(piece) != was:
                fault = "taken away" if piece not in made else "made another kind of part, or put into another unit"
                remedy = "Leave it in; another part in its place has the same role, place, number and unit."
                raise InputError(whose, f"{piece.name} {fault}", _NEEDED_BY[group], remedy)
    for group, parts in design.items():
        for row in parts.rows:
            if not rows.get(row.id, set()) >= {piece.whole for piece in row.members}:
                remedy = "Leave it in; another row in its place has the same role, place and pieces."
                raise InputError(whose, f"{row.name} taken away, or through fewer pieces", _NEEDED_BY[group], remedy)
        for weld in parts.welds:
            there = ids.issuperset(weld.pieces) and not any(piece.role in REMOVABLE for piece in weld.pieces)
            if there and (weld.role, weld.pieces) not in welds:
                where = " and ".join(piece.name for piece in weld.pieces)
                remedy = "Leave it in; another weld in its place has the same role and pieces."
                raise InputError(whose, f"weld of {where} taken away", _NEEDED_BY[group], remedy)


def _parts(parts: GroupParts) -> tuple[Plate | Bar | Fastener, ...]:
    return (*parts.plates, *parts.bars, *parts.fasteners)


def _pieces(groups: Groups) -> dict[PieceId, tuple[type, Unit]]:
    """What kind of part each piece is, and its unit; two halves are one piece."""
    made = (part for parts in groups.values() for part in _parts(parts))
    return {part.stands[0].id.whole: (type(part), part.stands[0].unit) for part in made}


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
