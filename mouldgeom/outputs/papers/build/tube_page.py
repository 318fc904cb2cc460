"""How the outlet tube stands in the mould while it is filled: closed at both ends, between blocks of mortar."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.outputs.papers.build.blocks import Actions, Page, Pictures
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.picture import WIDE, At, StepPicture, Tag, labelled
from mouldgeom.outputs.papers.build.views import Views
from mouldgeom.units import Mm, Newton, Ratio

SHARES: Final[tuple[Ratio, ...]] = (0.2, 0.8)
"""Where along the riser it is held (common practice, no source)."""
BLOCK: Final[Mm] = 20.0
"""Height of a block of mortar (common practice, no source)."""
WIRE: Final[Mm] = 300.0
"""Wire for one tie, twice round tube and blocks (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Tie:
    """Two blocks of mortar at one height, from the front panel and from the core to the tube.

    Args:
        z: middle of the blocks, in the casting frame.
        panel, core: thickness of each, from steel to tube.
    """

    z: Mm
    panel: Mm
    core: Mm


def ties(dims: Dimensions) -> tuple[Tie, ...]:
    """The places where the riser is held."""
    tube, half = dims.tube, dims.tube.outside / 2
    low, high = tube.crest_centre[1], tube.first_centre[1]
    out = []
    for share in SHARES:
        z = low + share * (high - low)
        inside = -dims.core_half_y(z) - (dims.step if z < dims.ledge_z else 0.0)
        out.append(Tie(z, tube.riser_y - half + dims.depth / 2, inside - tube.riser_y - half))
    return tuple(out)


def uplift(dims: Dimensions) -> Newton:
    """What lifts the closed tube in fresh concrete, its own weight not counted.

    Source: Archimedes, volume of the tube by its outside times the unit weight of the fresh concrete.
    """
    volume = math.pi / 4 * dims.tube.outside**2 * dims.tube.length
    return volume * dims.spec.concrete.unit_weight_fresh * 1e-6


def bought(desk: BuildDesk) -> Iterator[tuple[str, str]]:
    """What holds and closes the tube for one filter, and how much of it."""
    say, found = desk.say, ties(desk.dims)
    for thick, count in _blocks(desk):
        yield say("block of mortar for the outlet tube, {thick} thick, made the week before", thick=thick), str(count)
    yield say("soft wire for the outlet tube"), desk.length(WIRE * len(found))
    yield say("plug or tape for the ends of the outlet tube"), "2"


def _blocks(desk: BuildDesk) -> list[tuple[str, int]]:
    """Thickness of the blocks, and how many are alike."""
    thick = [desk.length(one) for tie in ties(desk.dims) for one in (tie.panel, tie.core)]
    return [(one, thick.count(one)) for one in dict.fromkeys(thick)]


def tube_page(desk: BuildDesk, views: Views) -> Page:
    """The tube in the mould, before it is filled."""
    say, dims = desk.say, desk.dims
    tube, half, spot = dims.tube, dims.tube.outside / 2, views.mould.at
    found = ties(dims)

    def held(picture: StepPicture, at: At) -> None:
        for tie in found:
            low, high = tie.z - BLOCK / 2, tie.z + BLOCK / 2
            for y0, y1 in (
                (-dims.depth / 2, tube.riser_y - half),
                (tube.riser_y + half, tube.riser_y + half + tie.core),
            ):
                corners = ((y0, low), (y1, low), (y1, high), (y0, high))
                picture.area([[at(spot((0.0, y, z))) for y, z in corners]], "#fff")
            for z in (tie.z - 3.0, tie.z + 3.0):
                ends = (tube.riser_y - half - tie.panel / 2, tube.riser_y + half + tie.core / 2)
                picture.line([at(spot((0.0, y, z))) for y in ends], WIDE)
        y, z = tube.inlet
        cap = [at(spot((0.0, y, z + off))) for off in (-half - 2, half + 2)]
        picture.line(cap, 1.2)

    tie = found[0]
    tags = [
        Tag(say("block of mortar at the panel"), spot((0.0, tube.riser_y - half - tie.panel / 2, tie.z))),
        Tag(say("block of mortar at the core"), spot((0.0, tube.riser_y + half + tie.core / 2, found[-1].z))),
        Tag(say("wire round tube and blocks"), spot((0.0, tube.riser_y, found[-1].z + 3.0))),
        Tag(say("inlet, closed, against the core"), spot((0.0, *tube.inlet))),
        Tag(say("end of the tube, plugged"), spot((0.0, tube.leg_y, tube.end_z))),
    ]
    corners = (
        spot((0.0, dims.nose.tip_y - 20.0, dims.nose.low_z - 20.0)),
        spot((0.0, -dims.core_half_y(0) + 40.0, dims.end_z + 40.0)),
    )
    xs, ys = zip(*corners, strict=True)
    shown = labelled(
        views.mould, tags, say("Section of the mould with the outlet tube and what holds it."), width=130.0,
        height=120.0, room=55.0, side="right", draw=held, box=(min(xs), min(ys), max(xs), max(ys)),
    )  # fmt: skip
    listed = "; ".join(say("{count} × {length}", count=count, length=thick) for thick, count in _blocks(desk))
    return Page(
        say("The outlet tube in the mould"),
        (
            Pictures(((shown, say("The tube is closed and held before the mould is filled.")),)),
            Actions((
                say("Plug both ends of the tube: a peg of wood or soft plug, tape over it. No paste may enter. The "
                    "tape on the inlet lies flat against the core, just below the end plate."),
                say("Set the blocks of mortar between tube and panel, and between tube and core, at {count} heights: "
                    "{listed}. They stay in the concrete.", count=len(found), listed=listed),
                say("Tie tube and blocks with wire, twice round, the ends turned away from the steel: {cover} of "
                    "concrete must cover them.", cover=desk.length(dims.spec.tube.cover / 2)),
                say("Push at the tube: closed, it floats up in the concrete with {force} N. It must not move.",
                    force=desk.number(max(1.0, math.ceil(uplift(dims))))),
                say("When the mould is off, take the plugs out, the one at the inlet from inside the filter. Blow "
                    "through the tube: air must pass."),
            )),
        ),
    )  # fmt: skip
