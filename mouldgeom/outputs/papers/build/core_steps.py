"""How the core is built: open at its back until everything inside is welded."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from mouldgeom.fabrication.reach import ways
from mouldgeom.fabrication.stages import Stage
from mouldgeom.identity import PieceId, Role
from mouldgeom.model.parts.core import CLOSING
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.units import Mm

Texts = tuple[str, tuple[str, ...], tuple[str, ...], tuple[str, ...]]
"""Title of a step, what to do, codes of what is measured at once, cautions."""
BEARING_GAP: Final[Mm] = 0.3
"""Between back wall and diaphragm, at most: a third of the usual allowed bulge (common practice, no source)."""


def _walls(desk: BuildDesk) -> Texts:
    say = desk.say
    return (
        say("Core: three walls and end plate"),
        (
            say("Lay the front wall on a flat table, concrete face down. Stand the left and right wall on it along its "
                "edges, concrete face out. The back stays open: from there everything inside is welded."),
            say("Clamp the back wall on as a gauge, without welding it. Tack both corners outside, at both ends and in "
                "the middle. Measure both diagonals at the rim end: they must agree."),
            say("Lay the end plate on the narrow ends, its edges level with the outside of all four walls. Tack it to "
                "three of them and take the back wall off."),
            say("Clamp a straight beam along each corner. Weld the corners in back-steps, one after the other, then "
                "the end plate on three sides: it must be tight. Grind corners and end level and smooth."),
        ),
        (),
        (),
    )  # fmt: skip


def _inside(desk: BuildDesk) -> Texts:
    say = desk.say
    laid_here = [way for way in ways(desk.mould) if way.stage is Stage.INSIDE]
    deep = [
        say("The core lies on its front wall, the open back above. Every seam of this step is reached from there: "
            "{depth} deep at most, through {width}.", depth=desk.length(way.depth), width=desk.length(way.width))
        for way in sorted(laid_here, key=lambda way: way.depth)[-1:]
    ]  # fmt: skip
    return (
        say("Core: diaphragms, through the open back"),
        (
            *deep,
            say("Set the diaphragm between the walls, as far from the rim edge as the table says. If there are "
                "several: the one next to the end plate first, and weld each before the next goes in."),
            say("Lay a straight edge across the edges of the left and right wall: the edge of the diaphragm must touch "
                "it. What it has too much is filed off; what gap there is stays at the front wall, where the weld "
                "fills it."),
            say("Tack, then weld on the side of the rim end: front, left, right, in short runs. Nothing is welded to "
                "the back wall: the concrete presses it on to this edge."),
            say("Leave no plate out. Without it the walls bulge under the concrete, and the core is locked for good."),
        ),
        (),
        (_fume(desk),),
    )  # fmt: skip


def _close(desk: BuildDesk) -> Texts:
    say = desk.say
    seats = any(seat.pieces[1] == PieceId(Role.CORE_WALL, (CLOSING,)) for seat in desk.mould.seats)
    bridge = desk.dims.has_bridge
    return (
        say("Core: back wall, and anchor plate with the nut") if bridge else say("Core: back wall"),
        (
            say("Look at every seam inside once more: nobody comes near it again."),
            *([say("Lay the back wall on, concrete face out. It must lie on the edges of both walls and on every "
                   "diaphragm: a strip of sheet of {thin} goes in nowhere. File what stands too high.",
                   thin=desk.length(BEARING_GAP, 1))] if seats else
              [say("Lay the back wall on, concrete face out, on the edges of both walls.")]),
            say("Clamp it down with a straight beam along each edge. Tack both corners and the end plate, then weld "
                "them from outside, in back-steps. Grind them level and smooth."),
            *(() if not bridge else (
                say("Weld the nut to the anchor plate all round, on the side of the end plate. Screw the jack screw in "
                    "first: it "
                    "must stand square to the plate, both ways. Keep spatter off the thread."),
                say("Stand the core on its end plate, rim end up. Wedge it: it must not tip."),
                say("Push the anchor plate in from the rim end, its nut towards the end plate. Measure from the rim "
                    "edge down to the near face. Weld it from the rim end to all four walls, opposite walls in turn."),
                say("Turn the jack screw through the nut once more by hand."),
            )),
            say("Measure at both ends. A core that does not grow narrower towards the end plate stays in "
                "the concrete."),
        ),
        ("core-width-end-plate", "core-depth-end-plate"),
        (_fume(desk),),
    )  # fmt: skip


def _fume(desk: BuildDesk) -> str:
    return desk.say("You weld inside a box: fume stays there. Extract it, and never put your head into the core.")


def _strips(desk: BuildDesk) -> Texts:
    say = desk.say
    return (
        say("Core: ledge strips"),
        (
            say("Lay the strips on the walls, edge level with the rim end: front and back run past, left and right "
                "between."),
            say("Clamp them tight to the wall. Tack in the middle, then outwards."),
            say("Weld the corners and the rim end in short runs and grind them level."),
            say("The seam at the ledge is dressed smooth: a small even fillet. It moulds the ledge of the filter."),
        ),
        ("core-width-rim", "core-depth-rim", "core-width-ledge", "core-depth-ledge"),
        (),
    )  # fmt: skip


CORE_TEXTS: Final[dict[Stage, Callable[[BuildDesk], Texts]]] = {
    Stage.WALLS: _walls,
    Stage.INSIDE: _inside,
    Stage.CLOSE: _close,
    Stage.STRIPS: _strips,
}
"""The steps of the core."""
