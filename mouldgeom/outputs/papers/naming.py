"""Names of parts and pieces in the language of the papers, and numbers of holes: the same on every paper.

Names are made of few sentences of the catalogue: what a piece is is one, each word of place another.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from mouldgeom.identity import Label, PieceId, Term, head, label
from mouldgeom.model.shapes import Bar, BarHole, FastenerKind, Hole, Part, Plate, SectionKind
from mouldgeom.strength_classes import UNMARKED
from mouldgeom.words import Words


def plate_holes(plate: Plate) -> list[Hole]:
    """Holes in the order of their numbers: from the left datum edge on, then upwards."""
    return sorted(plate.holes, key=lambda hole: (round(hole.x, 3), round(hole.y, 3)))


def bar_holes(bar: Bar) -> list[BarHole]:
    """Holes in the order of their numbers: along each leg from the start of the bar."""
    return sorted(bar.holes, key=lambda hole: (hole.leg, round(hole.along, 3), round(hole.offset, 3)))


_KINDS: Final = (*SectionKind, *FastenerKind, "sheet")


def part_name(words: Words, part: Part) -> str:
    """Name of a part, such as "core wall, front and back"; of bolts, nuts and washers of joints what to ask for."""
    return label_words(words, part.called)


def label_words(words: Words, label: Label) -> str:
    """A label in the language of the papers."""
    shown = (f" {words('and')} ".join(_term(words, term) for term in terms) for terms in (label.heads, label.tails))
    return ", ".join(filter(None, shown))


def _term(words: Words, term: Term) -> str:
    number = f"\N{NO-BREAK SPACE}{term.number}" if term.number else ""
    which = f" {words(term.which)}" if term.which else ""
    return words(term.text) + number + (f" {term.size}" if term.size else "") + which


def name_words(words: Words, name: str) -> str:
    """What to ask for; sizes stay: ``"sheet 3 mm"``, ``"hexagon nut M10, class 5"``."""
    kind = next((kind for kind in _KINDS if re.match(rf"{kind} M?\d", name)), "")
    if not kind:
        return words(name)
    size, _, strength = name.removeprefix(kind).partition(", ")
    return words(kind) + size + (f", {class_words(words, strength)}" if strength else "")


def class_words(words: Words, text: str) -> str:
    """A strength class, as ``class_text`` writes it, or a steel grade: ``"class 8.8"``, ``"unmarked"``, ``"S235"``."""
    kind, _, name = text.partition(" ")
    return words(f"{kind} {{name}}", name=name) if name else words(text) if text == UNMARKED else text


def piece_list(words: Words, pieces: Sequence[PieceId]) -> str:
    """What tells the pieces of one mark apart: ``"left, right"``; ``"front 1, back 1"``."""
    alike = len({head(piece) for piece in pieces}) == 1
    labels = map(label, pieces)
    return ", ".join(label_words(words, Label((), own.tails) if alike else own) for own in labels)
