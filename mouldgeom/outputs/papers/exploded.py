"""The mould taken apart on paper: each group moved the way it comes off, with the marks of all parts."""

from __future__ import annotations

from typing import Final

import cadquery as cq

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.drawing.compose import compose
from mouldgeom.drawing.hidden import Solid, Thing, View, view
from mouldgeom.drawing.primitives import Block, Sheet, paragraph
from mouldgeom.geometry.placement import Vec, add
from mouldgeom.identity import BASE, BOLTS, CLOSING, FRONT_PANEL, GEAR, LID, PANELS, STAND, Unit
from mouldgeom.outputs.papers.general import with_marks
from mouldgeom.outputs.papers.stage import Easel, seen_marks, size_of
from mouldgeom.units import Mm, Ratio

EYE: Final[Vec] = (1.0, -1.25, 0.95)
"""Where the exploded view is seen from: no two faces of the box look alike."""
_SCALES: Final[tuple[Ratio, ...]] = tuple(1 / n for n in (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 18, 22, 27, 33, 40))


def exploded_sheets(stage: Easel) -> list[Sheet]:
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


def exploded(stage: Easel) -> View:
    """The exploded view: panels outwards, base and bridge down, nose lid up and off."""
    kept: list[Solid] = []
    for piece in stage.pieces:
        if not piece.unit.within(BOLTS, STAND):
            move = cq.Vector(*shift(stage.solids.dims, piece.unit))
            kept.append(Thing(piece.mark, piece.id, piece.shape.moved(cq.Location(move))))
    return view(kept, EYE)


def shift(dims: Dimensions, unit: Unit) -> Vec:
    """How far a unit is moved: along its own pull, and along that of every unit that it is part of."""
    out = 0.62 * max(dims.width, dims.depth)
    down = dims.base + dims.stock.tube.side_mm
    far = {
        **dict.fromkeys(PANELS.values(), out), BASE: 0.42 * out, GEAR: 0.42 * out + 1.6 * down + 0.3 * out,
        LID: 3.0 * dims.stock.angle.leg_mm, CLOSING: 3.0 * dims.stock.angle.leg_mm,
    }  # fmt: skip
    move: Vec = (0.0, 0.0, 0.0)
    for moved in (*unit.line, *((FRONT_PANEL,) if unit.within(LID) else ())):
        move = add(move, moved.pull, far.get(moved, 0.0))
    return move
