"""Weld symbols and the weld table: each distinct seam of a mould once, numbered in the order of welding.

Source: ISO 2553:2019, System A: solid reference line for the arrow side, dashed line below it for the other side.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from mouldgeom.drawing import lettering
from mouldgeom.drawing.lettering import SMALL
from mouldgeom.drawing.primitives import Block, Circle, Line, Primitive, Stroke, Text, line, table
from mouldgeom.drawing.viewdraw import Callout
from mouldgeom.fabrication.stages import build_steps
from mouldgeom.fabrication.welds import Laid, Seam, laid
from mouldgeom.geometry.outline import SAME, Point, Vertex
from mouldgeom.identity import PieceId
from mouldgeom.model.assembly import Mould
from mouldgeom.model.joints import SeamKind, WeldRole
from mouldgeom.units import Mm
from mouldgeom.words import Words

_TALL: Final[Mm] = 3.0
_DASHED: Final[Mm] = 1.1
"""Distance of the dashed line from the reference line."""
Length = Callable[[Mm], str]


@dataclass(frozen=True)
class SeamMark:
    """Seams that are alike: name, kind, size, pattern; ``number`` counts them in the order of welding."""

    number: int
    seams: tuple[Seam, ...]

    @property
    def first(self) -> Seam:
        """The seam that is welded first."""
        return self.seams[0]

    @property
    def mark(self) -> str:
        """What stands in the tail of the symbol and in the table."""
        return f"W{self.number}"

    def of(self, pieces: frozenset[PieceId]) -> SeamMark | None:
        """The seams both of whose pieces, or the angles that stand for them, are among these; ``None`` for none."""
        there = pieces | {piece.whole for piece in pieces}
        kept = tuple(s for s in self.seams if there.issuperset(s.pieces))
        return replace(self, seams=kept) if kept else None


def welds(mould: Mould) -> list[SeamMark]:
    """The seams of a mould in groups, numbered as in the steps of the build sheet."""
    return [SeamMark(weld.number, weld.seams) for step in build_steps(mould) for weld in step.welds]


def runs(how: Laid, length: Length) -> str:
    """How a line is welded as ISO 2553 has it: ``"5 × 40 (65)"``, or its length if it is welded through."""
    return f"{how.count} × {length(how.run)} ({length(how.gap)})" if how.count > 1 else length(how.length)


def size(seam: Seam, length: Length) -> str:
    """Size left of the symbol: the leg of a fillet, also of one laid on a flare; other seams fill what is there."""
    leg = seam.leg if seam.kind is SeamKind.FILLET else seam.laid
    return f"z{length(leg)}" if leg else ""


def all_round(seam: Seam) -> bool:
    """Whether a seam runs round a piece: its lines close, or leave out but the rounds of the leg's square tube."""
    met = (math.dist(one[1], other[0]) < SAME for one, other in pairwise((*seam.lines, seam.lines[0])))
    return seam.role is WeldRole.LEG_TO_CAP or (len(seam.lines) > 2 and all(met))


def symbol(
    seam: Seam,
    mark: str,
    target: Point,
    length: Length,
    height: Mm = SMALL,
    *,
    around: bool = False,
    behind: bool = False,
    brief: bool = False,
) -> Callout:
    """The weld symbol as a call-out for the column on either side of a view, its tail away from the view.

    ``seam`` has the one line that the arrow points at.  ``around``: it runs all round, and has no length.  ``behind``:
    the weld lies on the other side of the joint, so its symbol stands on the dashed line.  ``brief``: size and lengths
    stand in the weld table only.
    """
    parts: list[Primitive] = []
    before, after = size(seam, length), "" if around else runs(laid([seam])[0], length)
    if brief:
        before = after = ""
    base = -_DASHED - 0.8 - height if behind else 0.8
    x = 2.0
    if before:
        parts.append(Text(before, x, base, height))
        x += lettering.width(before, height) + 0.9
    parts += _below(seam, x) if behind else _shape(seam, x)
    x += _TALL + 0.9
    if after:
        parts.append(Text(after, x, base, height))
        x += lettering.width(after, height)
    x += 1.5
    parts += [line(Line.WELD, (0.0, 0.0), (x, 0.0)), line(Line.HIDDEN, (0.0, -_DASHED), (x, -_DASHED))]
    made: list[tuple[Primitive, ...]] = []
    for tail, out in ((x, 1.0), (0.0, -1.0)):
        own = [
            *parts,
            line(Line.WELD, (tail, 0.0), (tail + 1.8 * out, 1.8)),
            line(Line.WELD, (tail, 0.0), (tail + 1.8 * out, -1.8)),
            Text(mark, tail + 2.4 * out, -height / 2, height, "start" if out > 0 else "end", bold=True),
        ]
        if around:
            own.append(Circle(Line.WELD, x - tail, 0.0, 1.2))
        made.append(tuple(p.moved(tail - x, 0.0) for p in own))
    return Callout(target, _TALL + (6.3 if seam.laid else 4.2), made[0], made[1], dot=False)


def _below(seam: Seam, x: Mm) -> list[Primitive]:
    """The elementary symbol hung from the dashed line."""
    return [
        replace(p, vertices=tuple(Vertex(v.x, -_DASHED - v.y, -v.arc) for v in p.vertices)) for p in _shape(seam, x)
    ]


def _shape(seam: Seam, x: Mm) -> list[Stroke]:
    """The elementary symbol on the reference line: fillet, square butt or flare bevel, a fillet on it if one is laid;
    a flat line above if flush.
    """
    t = _TALL
    if seam.kind is SeamKind.FILLET:
        made: list[Stroke] = [line(Line.WELD, (x, 0.0), (x, t), (x + t, 0.0), closed=True)]
    elif seam.kind is SeamKind.EDGE:
        made = [line(Line.WELD, (x + 0.9, 0.0), (x + 0.9, t)), line(Line.WELD, (x + 2.1, 0.0), (x + 2.1, t))]
    else:
        bow = Stroke(Line.WELD, (Vertex(x + 1.5, 0.0, -0.4142), Vertex(x + t, t)))
        made = [line(Line.WELD, (x + 0.7, 0.0), (x + 0.7, t)), bow]
        if seam.laid:
            top = t + 0.7 * t
            made.append(line(Line.WELD, (x + 0.7, t), (x + 0.7, top), (x + 0.7 + 0.7 * t, t), closed=True))
    if seam.flush:
        made.append(line(Line.WELD, (x, t + 0.8), (x + t, t + 0.8)))
    return made


NARROW: Final = (11.0, 44.0, 24.0, 25.0, 11.0, 36.0)
WIDE: Final = (11.0, 50.0, 27.5, 33.0, 10.5, 35.5)
"""Widths of the columns of the weld table: with room beside it, and over the whole width of the smallest paper."""


def weld_table(
    shown: Sequence[SeamMark], words: Words, length: Length, height: Mm = SMALL, widths: Sequence[Mm] = NARROW
) -> Block:
    """Number, what to what, kind, size and lengths of each weld, in the order of welding."""
    kinds = {
        SeamKind.FILLET: words("fillet"),
        SeamKind.EDGE: words("square edges"),
        SeamKind.FLARE: words("flare bevel"),
    }
    rows = []
    for weld in shown:
        seam = weld.first
        marks = ", ".join(sorted({"–".join(dict.fromkeys(s.marks)) for s in weld.seams}))
        kind = kinds[seam.kind] + (f", {words('flush')}" if seam.flush else "")
        kind += f", {words('fillet on it')}" if seam.laid else ""
        lines = ", ".join(f"{how.lines} × [{runs(how, length)}]" for how in laid(weld.seams))
        rows.append((weld.mark, words(seam.name), marks, kind, size(seam, length) or "–", lines))
    head = (words("Weld"), words("What to what"), words("Marks"), words("Kind"), words("Size"), words("Seams × [runs]"))
    least = [lettering.width(title, height, True) + 2.5 for title in head]
    spans = [max(pair) for pair in zip(widths, least, strict=True)]
    spans[1] -= sum(spans) - sum(widths)
    return Block("weld table", table(head, rows, 0.0, 0.0, height=height, widths=spans))
