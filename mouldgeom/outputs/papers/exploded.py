"""The mould taken apart on paper: each group moved the way it comes off, with the marks of all parts."""

from __future__ import annotations

from typing import Final

import cadquery as cq

from mouldgeom.outputs.papers.compose import compose
from mouldgeom.outputs.papers.drawing import Block, Sheet, paragraph
from mouldgeom.outputs.papers.general import with_marks
from mouldgeom.outputs.papers.hidden import Solid, Thing, View, view
from mouldgeom.outputs.papers.stage import Stage, is_gear, seen_marks, size_of
from mouldgeom.shapes import Fastener, Group, Vec
from mouldgeom.sides import OUTWARDS, SIDES
from mouldgeom.solids import PlacedSolid
from mouldgeom.units import Mm, Ratio

EYE: Final[Vec] = (1.0, -1.25, 0.95)
"""Where the exploded view is seen from: no two faces of the box look alike."""
_SCALES: Final[tuple[Ratio, ...]] = tuple(1 / n for n in (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 18, 22, 27, 33, 40))


def exploded_sheets(stage: Stage) -> list[Sheet]:
    """One sheet: everything but the bolts, apart, as large as the paper takes it."""
    words = stage.words
    shown = stage.once("exploded", lambda: exploded(stage))
    marks = seen_marks(shown)

    def make(scale: Ratio, height: Mm) -> list[Block]:
        text = words("Bolts, nuts and washers of the box are not shown; the part list counts them. Not to scale.")
        lines, _ = paragraph(text, 0.0, 0.0, 70.0, height)
        return [with_marks(stage, shown, marks, scale, height, ""), Block("note", lines)]

    title = words("Mould, taken apart")
    return compose(
        "exploded", title, make, words, stage.options, pages=1, scales=_SCALES, size=size_of(shown), to_scale=False
    )


def exploded(stage: Stage) -> View:
    """The exploded view: panels outwards, base and bridge down, nose lid up and off."""
    kept: list[Solid] = []
    for piece in stage.pieces:
        if isinstance(piece.part, Fastener) and not piece.name.startswith("jack"):
            continue
        kept.append(Thing(piece.mark, piece.name, piece.shape.moved(cq.Location(cq.Vector(*_shift(stage, piece))))))
    return view(kept, EYE)


def _shift(stage: Stage, piece: PlacedSolid) -> Vec:
    """How far a piece is moved."""
    dims, side = stage.solids.dims, panel_of(piece)
    out = 0.62 * max(dims.width, dims.depth)
    down = dims.base + dims.stock.tube.side_mm
    if piece.name == "nose lid":
        return (0.0, -out, 3.0 * dims.stock.angle.leg_mm)
    if side:
        x, y, z = OUTWARDS[side]
        return (x * out, y * out, z * out)
    if piece.part.group is Group.BASE:
        return (0.0, 0.0, -0.42 * out)
    if is_gear(piece):
        return (0.0, 0.0, -0.42 * out - 1.6 * down - 0.3 * out)
    return (0.0, 0.0, 0.0)


def panel_of(piece: PlacedSolid) -> str:
    """The panel that a piece is welded to or bolted on: left, right, front, back, or none."""
    if piece.part.group is Group.NOSE:
        return "front"
    if piece.part.group is not Group.OUTER_BOX:
        return ""
    name = piece.name
    if name.startswith(("corner flange", "gusset")):
        return "left" if "left" in name else "right"
    if name.startswith("nose post"):
        return "front"
    place = (name.partition(", ")[2] or name).split()
    return next(side for side in SIDES if side in place)
