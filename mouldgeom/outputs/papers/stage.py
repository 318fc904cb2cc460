"""What the assembly drawings share: the pieces by sub-assembly, their words, and the views of the whole mould."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final, TypeVar
from weakref import WeakKeyDictionary

from mouldgeom.drawing import lettering
from mouldgeom.drawing.hidden import Key, Thing, View
from mouldgeom.drawing.lettering import SMALL
from mouldgeom.drawing.looking import CONCRETE, TUBE
from mouldgeom.drawing.paper import PaperOptions
from mouldgeom.drawing.primitives import Block, table
from mouldgeom.identity import PieceId, Role, for_casting
from mouldgeom.model.shapes import Bar, Fastener, Part, Plate, SectionKind
from mouldgeom.outputs.papers.naming import class_words, part_name
from mouldgeom.solids import PlacedSolid, SolidMould
from mouldgeom.strength_classes import class_text
from mouldgeom.units import Mm
from mouldgeom.words import Words

_Made = TypeVar("_Made")
_MADE: Final[WeakKeyDictionary[SolidMould, dict[str, Any]]] = WeakKeyDictionary()
"""Views by the mould that they are of: they depend on nothing else, and take longer than all the rest."""
_CLEAR: Final = frozenset({
    Role.HANDLE, Role.BOLT, Role.NUT, Role.NOSE_FLANGE, Role.JACK_SCREW, Role.ANCHOR_NUT, Role.DRIVE_NUT,
    Role.LOCK_NUT, Role.JACK_WASHER,
})  # fmt: skip


@dataclass(frozen=True, eq=False)
class Easel:
    """A mould with its words and paper, ready to be drawn."""

    solids: SolidMould
    words: Words
    options: PaperOptions

    def once(self, name: str, make: Callable[[], _Made]) -> _Made:
        """What ``make`` returns, made once for a mould, whatever its paper, projection and language."""
        made = _MADE.setdefault(self.solids, {})
        if name not in made:
            made[name] = make()
        found: _Made = made[name]
        return found

    @cached_property
    def body(self) -> Thing:
        """The concrete in the casting frame."""
        return Thing("", CONCRETE, self.solids.body)

    @cached_property
    def tube(self) -> Thing:
        """The outlet tube in the casting frame."""
        return Thing("", TUBE, self.solids.tube)

    @cached_property
    def pieces(self) -> tuple[PlacedSolid, ...]:
        """All pieces but the washers of the joints."""
        return tuple(p for p in self.solids.pieces if not is_thin(p))

    @cached_property
    def fitted(self) -> tuple[PlacedSolid, ...]:
        """The pieces of the mould as it stands for casting: without extraction gear, stand and closing bars."""
        return tuple(p for p in self.pieces if for_casting(p.id, p.unit))

    @cached_property
    def whole(self) -> frozenset[Key]:
        """What is not cut in sections: bolts, nuts, rods, screws, and the tube.

        Source: ISO 128-3:2020 (from memory).
        """
        rods = (SectionKind.ROD, SectionKind.THREADED_ROD)
        return frozenset({TUBE, *(p.id for p in self.pieces if isinstance(p.part, Fastener) or _is(p.part, *rods))})

    @cached_property
    def by_mark(self) -> dict[str, Part]:
        """Parts by their marks."""
        return {part.mark: part for part in self.solids.mould.parts}

    def length(self, value: Mm) -> str:
        """A length as it is printed."""
        return self.words.length(value)

    def weld_length(self, value: Mm) -> str:
        """A run, a gap or a leg of a weld as it is printed: inches as a tape has them."""
        return self.words.length(value, parts=16)

    def part_name(self, part: Part) -> str:
        """Name of a part, translated piece by piece where the catalogue has it."""
        return part_name(self.words, part)


def is_thin(piece: PlacedSolid) -> bool:
    """Whether a piece is too thin to be drawn small, as the washers of the joints are."""
    return piece.id.role in (Role.HEAD_WASHER, Role.NUT_WASHER)


def _is(part: Part, *kinds: object) -> bool:
    return getattr(part, "kind", None) in kinds


def material(words: Words, part: Part) -> str:
    """What a part is made from, as bought; a thread with its strength class."""
    if isinstance(part, Plate):
        return part.sheet
    size = part.section if isinstance(part, Bar) else part.designation
    return f"{size}, {class_words(words, class_text(part.strength))}" if part.strength else size


def mark_order(mark: str) -> tuple[str, int]:
    """Marks in the order A1, A2, A10, B1."""
    return mark[:1], int(mark[1:] or 0)


def part_list(stage: Easel, marks: Iterable[str], *, height: Mm = SMALL) -> list[Block]:
    """Mark, quantity, name, material and mass of some parts; in pieces that fit on the paper."""
    words, mould = stage.words, stage.solids.mould
    rows = []
    for mark in sorted(set(marks), key=mark_order):
        part = stage.by_mark[mark]
        mass = mould.mass(part)
        digits = 1 if mass >= 1 else 2 if mass >= 0.1 else 3
        rows.append(
            (mark, str(part.quantity), stage.part_name(part), material(words, part), words.number(mass, digits))
        )
    quantity = words("Quantity") if stage.options.moulds == 1 else words("For one mould")
    head = (words("Mark"), quantity, words("Name"), words("Material"), words("Mass of one, kg"))
    columns = list(zip(head, *rows, strict=True))
    widths = [max(lettering.width(c, height, i == 0) for i, c in enumerate(column)) + 2.5 for column in columns]
    room = min(stage.options.paper.width, stage.options.paper.height) - 40.0
    widths[2] -= max(0.0, sum(widths) - room)
    most = 45 if stage.options.paper.grid else 24
    return [
        Block("part list", table(head, rows[i : i + most], 0.0, 0.0, height=height, right=(1, 4), widths=widths))
        for i in range(0, len(rows), most)
    ]


def clear(key: Key) -> bool:
    """Whether a piece shows well behind the plane of a section: things that stand out from the walls."""
    return isinstance(key, PieceId) and key.role in _CLEAR


def size_of(*views: View) -> tuple[Mm, Mm]:
    """Width and height of the widest and the highest of some views."""
    boxes = [v.box for v in views]
    return max(b[2] - b[0] for b in boxes), max(b[3] - b[1] for b in boxes)


def seen_marks(view: View, among: Collection[Key] = ()) -> dict[str, Key]:
    """For each mark that is seen in a view, the piece that shows most of it; in a section above all what is cut."""
    best: dict[str, tuple[float, Key]] = {}
    cut = {c.id: round(c.area.area, 3) for c in view.cuts}
    for key, curves in view.of_piece.items():
        mark = view.marks.get(key, "")
        if not mark or (among and key not in among):
            continue
        if cut and key not in cut and not among and not clear(key):
            continue
        rating = 1e6 + cut[key] if key in cut else float(len(curves))
        if rating > best.get(mark, (0.0, ""))[0]:
            best[mark] = (rating, key)
    return {mark: key for mark, (_, key) in sorted(best.items(), key=lambda item: mark_order(item[0]))}
