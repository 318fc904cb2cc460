"""Which piece is which: its role, its place, its number, and the unit that it belongs to.

What is told apart is told apart by these; a name is a label made from them for people, and nothing takes one apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Final

from mouldgeom.units import Mm

Direction = tuple[Mm, Mm, Mm]


class Side(StrEnum):
    """Sides of the upright filter as seen from its front; a corner is two of them."""

    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"

    @property
    def crosswise(self) -> bool:
        """Whether it is left or right: reached along x."""
        return self in (Side.LEFT, Side.RIGHT)


Place = tuple[Side, ...]
"""Where a piece is: nothing where there is but one, a side, or a corner."""


class Role(StrEnum):
    """What a piece is for, in the words of the trade."""

    PANEL = "panel"
    GUSSET = "gusset"
    CORNER_FLANGE = "corner flange"
    BASE_FLANGE = "base flange"
    STIFFENER = "stiffener"
    NOSE_POST = "nose post"
    HANDLE = "handle"
    CORE_WALL = "core wall"
    LEDGE_STRIP = "ledge strip"
    END_PLATE = "end plate"
    ANCHOR_PLATE = "anchor plate"
    DIAPHRAGM = "diaphragm"
    BASE_PLATE = "base plate"
    RUNNER = "runner"
    NOSE_SIDE = "nose side"
    NOSE_FRONT = "nose front"
    NOSE_LID = "nose lid"
    NOSE_FLANGE = "nose flange"
    BRIDGE_CAP = "bridge cap"
    WASHER_PLATE = "washer plate"
    BRIDGE_LEG = "bridge leg"
    BRIDGE_BEAM = "bridge beam"
    PIN_PLATE = "pin plate"
    TRUNNION = "trunnion pin"
    KEEPER = "pin keeper"
    HANGER = "hanger"
    CLOSING_BAR = "closing bar"
    CLOSING_CLIP = "closing clip"
    SADDLE = "saddle"
    STAND_POST = "stand post"
    STAND_FOOT = "stand foot"
    STAND_CHEEK = "stand cheek"
    STAND_CLEAT = "stand cleat"
    STAND_TIE = "stand tie"
    LOCK_ROD = "lock rod"
    JACK_SCREW = "jack screw"
    ANCHOR_NUT = "jack nut on the anchor plate"
    DRIVE_NUT = "jack nut that drives"
    LOCK_NUT = "jack nut that locks"
    JACK_WASHER = "jack washer"
    NUT_PLATE = "nut plate"
    THRUST_PAD = "thrust pad"
    FORCING_SCREW = "forcing screw"
    PLATE_NUT = "forcing nut on its nut plate"
    TURNING_NUT = "forcing nut that drives"
    LOCKING_NUT = "forcing nut that locks"
    BOLT = "bolt"
    HEAD_WASHER = "washer under a head"
    NUT_WASHER = "washer under a nut"
    NUT = "nut"


class RowRole(StrEnum):
    """What a row of bolts joins."""

    CORNER = "corner bolts"
    BASE = "base bolts"
    LID = "lid bolt"
    CLOSING = "closing bolt"
    STAND = "stand bolts"


@dataclass(frozen=True, slots=True)
class RowId:
    """A row of bolts: what it joins, and where."""

    role: StrEnum
    place: Place = ()

    @property
    def name(self) -> str:
        """Its English label."""
        return _tailed(self.role, self.place)


@dataclass(frozen=True, slots=True)
class PieceId:
    """A piece, told apart from every other of its mould.

    Args:
        role, place: what it is for, and where; a role of one's own is a ``StrEnum`` of trade words.
        number: of several at one place, from 1; 0 where there is but one.
        half: ``"a"`` or ``"b"`` of two angles that stand for one square tube.
        row: of a fastener in a bolted joint, its row; ``number`` counts along it.
    """

    role: StrEnum
    place: Place = ()
    number: int = 0
    half: str = ""
    row: RowId | None = None

    @property
    def name(self) -> str:
        """Its English label."""
        return str(label(self))

    @property
    def whole(self) -> PieceId:
        """The bar that a half belongs to; itself if it is no half."""
        return PieceId(self.role, self.place, self.number, "", self.row) if self.half else self

    @property
    def order(self) -> tuple[str, ...]:
        """What puts pieces into one order, whatever they are called: by role, then by place."""
        row = (str(self.row.role),) if self.row else ()
        number = (str(self.number),) if self.number else ()
        return (_sided(self), *row, *self.place, *number, self.half)


@dataclass(frozen=True, slots=True)
class Unit:
    """What is welded together, carried or drawn off as one: a node of a tree.

    Args:
        name: in English.
        parent: the unit that it is part of; ``None`` for the whole.
        pull: direction in which it comes off, a unit vector of the casting frame; nothing where it stays.
    """

    name: str
    parent: Unit | None = None
    pull: Direction = (0.0, 0.0, 0.0)

    @property
    def line(self) -> Iterator[Unit]:
        """Itself, its parent, and so on up to the whole."""
        unit: Unit | None = self
        while unit is not None:
            yield unit
            unit = unit.parent

    def within(self, *others: Unit) -> bool:
        """Whether it is one of these, or part of one."""
        return any(unit in others for unit in self.line)


_DOWN: Final = (0.0, 0.0, -1.0)
MOULD: Final = Unit("mould")
BOX: Final = Unit("outer box", MOULD)
FRONT_PANEL: Final = Unit("front panel", BOX, (0.0, -1.0, 0.0))
BACK_PANEL: Final = Unit("back panel", BOX, (0.0, 1.0, 0.0))
LEFT_PANEL: Final = Unit("side panel, left", BOX, (1.0, 0.0, 0.0))
RIGHT_PANEL: Final = Unit("side panel, right", BOX, (-1.0, 0.0, 0.0))
NOSE: Final = Unit("nose", FRONT_PANEL, (0.0, -1.0, 0.0))
LID: Final = Unit("nose lid", BOX, (0.0, 0.0, 1.0))
FOOT: Final = Unit("core with base plate and runners", MOULD, _DOWN)
CORE: Final = Unit("core", FOOT, _DOWN)
BASE: Final = Unit("base", FOOT, _DOWN)
GEAR: Final = Unit("extraction gear", MOULD, _DOWN)
BRIDGE: Final = Unit("bridge", GEAR, _DOWN)
SCREW: Final = Unit("jack screw with its nuts", GEAR, _DOWN)
FORCING: Final = Unit("forcing screws with their nuts", GEAR, _DOWN)
PADS: Final = Unit("thrust pads", MOULD, _DOWN)
BOLTS: Final = Unit("bolts of the box", MOULD)
CLOSING: Final = Unit("closing bars", MOULD, (0.0, 0.0, 1.0))
STAND: Final = Unit("stand", MOULD, _DOWN)
APART: Final = (GEAR, STAND)
"""What is not on the mould when it is filled."""
PANELS: Final = {
    Side.FRONT: FRONT_PANEL, Side.BACK: BACK_PANEL, Side.LEFT: LEFT_PANEL, Side.RIGHT: RIGHT_PANEL,
}  # fmt: skip
"""The panel of each side, with all that is welded to it."""


def for_casting(piece: PieceId, unit: Unit) -> bool:
    """Whether a piece of a unit is there while concrete is placed: no gear, no stand, and the pour face open."""
    closes = piece.row is not None and piece.row.role is RowRole.CLOSING
    return not closes and not unit.within(*APART, CLOSING)


# ---------------------------------------------------------------- labels


@dataclass(frozen=True, slots=True)
class Term:
    """A word or two of a label.

    Args:
        text: in English, the key of its translations.
        number: which of several: ``"2"``, ``"2 a"``.
        size: of a bought thing, as it is asked for: ``"M10 x 25"``.
        which: of several there, in a word of its own: ``"welded"``.
    """

    text: str
    number: str = ""
    size: str = ""
    which: str = ""

    def __str__(self) -> str:
        return " ".join(filter(None, (self.text, self.number, self.size, self.which)))


@dataclass(frozen=True, slots=True)
class Label:
    """What pieces are called: what they are, and which ones.  As text it is English."""

    heads: tuple[Term, ...]
    tails: tuple[Term, ...] = ()

    def __str__(self) -> str:
        return ", ".join(" and ".join(map(str, terms)) for terms in (self.heads, self.tails) if terms)


_BY_SIDE: Final = frozenset({Role.BASE_FLANGE, Role.STIFFENER})
"""Roles whose pieces on front and back differ from those on the sides, and are called so."""


def _sided(piece: PieceId) -> str:
    """Its role, with the side before it where those of other sides differ: ``"side stiffener"``, ``"front panel"``."""
    if not piece.place or piece.role not in (Role.PANEL, *_BY_SIDE):
        return str(piece.role)
    other = Side.FRONT if piece.role in _BY_SIDE else piece.place[0]
    return f"{'side' if piece.place[0].crosswise else other} {piece.role}"


_JACK_NUTS: Final[dict[StrEnum, str]] = {Role.ANCHOR_NUT: "anchor", Role.DRIVE_NUT: "drive", Role.LOCK_NUT: "lock"}


_FORCING_NUTS: Final[dict[StrEnum, str]] = {
    Role.PLATE_NUT: "welded", Role.TURNING_NUT: "drive", Role.LOCKING_NUT: "lock",
}  # fmt: skip


_ENDS: Final[dict[StrEnum, str]] = {Role.HEAD_WASHER: " head", Role.NUT_WASHER: " nut"}


def kind(piece: PieceId) -> str:
    """What a piece is, in English, whichever it is: ``"core wall"``, ``"stiffener"``, ``"front panel"``."""
    if piece.role in (Role.HEAD_WASHER, Role.NUT_WASHER):
        return "washer"
    if piece.role in _JACK_NUTS:
        return "jack nut"
    if piece.role in _FORCING_NUTS:
        return "forcing nut"
    return _sided(piece) if piece.role is Role.PANEL else str(piece.role)


def head(piece: PieceId) -> Term:
    """What a piece is, without where: core wall, side stiffener, diaphragm 1."""
    if piece.role in _BY_SIDE:
        return Term(_sided(piece))
    counted = piece.number and not piece.place and piece.row is None
    return Term(kind(piece), str(piece.number) if counted else "")


def tail(piece: PieceId) -> Term | None:
    """Where a piece is, and which of several there: left 2; nothing where there is but one."""
    if piece.row is not None:
        end = _ENDS.get(piece.role, "")
        return Term(piece.row.name, f"{piece.number}{end}")
    if piece.role in _JACK_NUTS:
        return Term(_JACK_NUTS[piece.role])
    if piece.role in _FORCING_NUTS:
        return Term(" ".join(piece.place), which=_FORCING_NUTS[piece.role])
    if not piece.place or (piece.role is Role.PANEL and not piece.place[0].crosswise):
        return Term(piece.half) if piece.half else None
    number = (str(piece.number),) if piece.number else ()
    return Term(" ".join(piece.place), " ".join((*number, *piece.half)))


@cache
def label(piece: PieceId) -> Label:
    """What a piece is called: ``"core wall, left"``."""
    place = tail(piece)
    return Label((head(piece),), (place,) if place else ())


def _tailed(first: str, place: Place) -> str:
    return f"{first}, {' '.join(place)}" if place else first


def shared_label(pieces: Sequence[PieceId], others: Sequence[PieceId]) -> Label:
    """What pieces have in common, and which ones where others have that in common too."""
    if len(pieces) == 1:
        return label(pieces[0])
    heads = tuple(dict.fromkeys(head(piece) for piece in pieces))
    if len(heads) == 1 and pieces[0].role in _BY_SIDE:
        sides = (Side.LEFT, Side.RIGHT) if pieces[0].place[0].crosswise else (Side.FRONT, Side.BACK)
        return Label((Term(str(pieces[0].role)),), tuple(Term(side) for side in sides))
    if len(heads) > 1 or not any(head(other) == heads[0] for other in others):
        return Label(heads)
    return Label(heads, tuple(place for place in map(tail, pieces) if place))
