"""Names of parts and pieces in the language of the papers, and numbers of holes: the same on every paper.

Names are made of few sentences of the catalogue: what comes before the comma is one, each word of place another.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from mouldgeom.shapes import Bar, BarHole, FastenerKind, Hole, Plate, SectionKind
from mouldgeom.strength_classes import UNMARKED
from mouldgeom.words import Words


def plate_holes(plate: Plate) -> list[Hole]:
    """Holes in the order of their numbers: from the left datum edge on, then upwards."""
    return sorted(plate.holes, key=lambda hole: (round(hole.x, 3), round(hole.y, 3)))


def bar_holes(bar: Bar) -> list[BarHole]:
    """Holes in the order of their numbers: along each leg from the start of the bar."""
    return sorted(bar.holes, key=lambda hole: (hole.leg, round(hole.along, 3), round(hole.offset, 3)))


_KINDS: Final = (*SectionKind, *FastenerKind, "sheet")


def part_name(words: Words, name: str) -> str:
    """A name such as ``"core wall, front and back"`` or ``"diaphragm 1"``, translated piece by piece."""
    head, _, tail = name.partition(", ")
    translated = _joined(words, head)
    return f"{translated}, {_joined(words, tail)}" if tail else translated


def _joined(words: Words, text: str) -> str:
    pieces = [_numbered(words, piece) for piece in text.split(" and ")]
    return f" {words('and')} ".join(pieces)


def _numbered(words: Words, text: str) -> str:
    found = re.fullmatch(r"(.+?) (\d+)", text)
    return f"{words(found[1])}\N{NO-BREAK SPACE}{found[2]}" if found else words(text)


def name_words(words: Words, name: str) -> str:
    """A part's name, or what to ask for; sizes stay: ``"sheet 3 mm"``, ``"hexagon nut M10, class 5"``."""
    kind = next((kind for kind in _KINDS if re.match(rf"{kind} M?\d", name)), "")
    if not kind:
        return part_name(words, name)
    size, _, strength = name.removeprefix(kind).partition(", ")
    return words(kind) + size + (f", {class_words(words, strength)}" if strength else "")


def class_words(words: Words, text: str) -> str:
    """A strength class, as ``class_text`` writes it, or a steel grade: ``"class 8.8"``, ``"unmarked"``, ``"S235"``."""
    kind, _, name = text.partition(" ")
    return words(f"{kind} {{name}}", name=name) if name else words(text) if text == UNMARKED else text


def piece_list(words: Words, names: Sequence[str]) -> str:
    """What tells the pieces of one mark apart: ``"left, right"``; ``"front 1, back 1"``."""
    heads = {name.partition(", ")[0] for name in names}
    if len(heads) == 1:
        return ", ".join(_joined(words, name.partition(", ")[2]) for name in names)
    return ", ".join(part_name(words, name) for name in names)
