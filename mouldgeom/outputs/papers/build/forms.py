"""The inspection form of the mould and the acceptance form that the contract refers to."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Final

from mouldgeom.filter.concrete import FILLING_AGE
from mouldgeom.filter.resting import Running
from mouldgeom.filter.working import Working
from mouldgeom.inspection.critical import Critical
from mouldgeom.inspection.critical import Occasion as Measured
from mouldgeom.outputs.papers.build.blocks import (
    Block,
    Boxes,
    BuildChapter,
    FormBlock,
    Head,
    Page,
    Pictures,
    Prose,
    Signatures,
)
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.sketches import bow_sketch
from mouldgeom.units import LitrePerHour


def forms(desk: BuildDesk) -> BuildChapter:
    """Inspection and acceptance."""
    say = desk.say
    return BuildChapter(say("Inspection and acceptance"), (*_inspection(desk), *_acceptance(desk)))


def _head(desk: BuildDesk) -> tuple[str, ...]:
    say = desk.say
    return say("Code and what"), say("Nominal"), say("Limits"), say("Measured"), say("OK")


def _rows(desk: BuildDesk, items: Sequence[Critical]) -> tuple[tuple[str, ...], ...]:
    """A row for each dimension; a line across the form says with what those below it are measured."""
    out: list[tuple[str, ...]] = []
    for tool, group in itertools.groupby(items, key=lambda item: item.tool):
        out.append((desk.say("With: {tool}", tool=desk.say(tool)),))
        out += [(item.code, desk.what(item), *desk.stacked(item)) for item in group]
    return tuple(out)


def _signatures(desk: BuildDesk) -> Signatures:
    say = desk.say
    return Signatures((say("measured by"), say("date"), say("signature")))


_TOGETHER: Final = (
    (Measured.PLATES,),
    (Measured.BOX,),
    (Measured.CORE, Measured.NOSE),
    (Measured.DRY_FIT, Measured.BRIDGE, Measured.FORCING),
)
"""Stages by page; the cast filter stands in the acceptance form."""


def _bow(desk: BuildDesk) -> tuple[Pictures]:
    """What sign a panel's bow has."""
    words = desk.say("Bow of a panel: a straight edge on its concrete face, and the sign of what is measured.")
    return (Pictures(((bow_sketch(desk), words),)),)


def _inspection(desk: BuildDesk) -> list[Page]:
    say, pages = desk.say, []
    lead: tuple[Block, ...] = (
        Prose(say("Write the measured value into the box, tick OK when it lies within the limits. The codes are those "
                 "of the "
                 "file for the values as built."), "note"),
    )  # fmt: skip
    known = {stage for stages in _TOGETHER for stage in stages} | {Measured.CAST}
    more = tuple((stage,) for stage in Measured if stage not in known)
    together = tuple((stage,) for stages in _TOGETHER for stage in stages) if desk.words.units == "both" else _TOGETHER
    for stages in (*together, *more):
        blocks: list[Block] = list(lead)
        lead = ()
        held = {stage: [item for item in desk.critical.values() if item.stage is stage] for stage in stages}
        for stage, items in held.items():
            if not items:
                continue
            reasons = list(dict.fromkeys(desk.say(item.why) for item in items))
            blocks += [
                Head(say("Stage: {stage}", stage=say(str(stage)))), FormBlock(_head(desk), _rows(desk, items)),
                *(_bow(desk) if stage is Measured.BOX else ()),
                Prose(say("Why: {reasons}.", reasons="; ".join(reasons)), "note"), _signatures(desk),
            ]  # fmt: skip
        title = say("Inspection: {stage}", stage="; ".join(say(str(stage)) for stage in held if held[stage]))
        pages.append(Page(title, tuple(blocks)))
    return pages


def flow_at_full(desk: BuildDesk) -> LitrePerHour:
    """Flow at the full level by the design; the sand's conductivity is an estimate unless it was measured."""
    dims = desk.dims
    return Working.of(dims.spec, dims.levels, dims.cavity, dims.shell).full_flow * 3.6e6


def _how_it_rests(desk: BuildDesk) -> str:
    """What the water's rest level depends on, by how the tube runs."""
    say, laid, top = desk.say, desk.dims.resting, desk.dims.levels.sand_top
    more = desk.length(laid.invert - laid.end)
    if laid.running is Running.FULL:
        return say("It stops at the end of the tube, which stays full. Soap or oil in the tube lets it run empty, and "
                   "the water then stands {more} higher: rinse it well.", more=more)  # fmt: skip
    if laid.running is Running.WEIR:
        return say("It stops at the crest of the tube, {more} above its end: the tube is too wide to stay full.",
                   more=more)  # fmt: skip
    return say("That is so if the tube empties. If it stays full, the water stands {water} over the sand.",
               water=desk.length(laid.lowest - top))  # fmt: skip


def _acceptance(desk: BuildDesk) -> list[Page]:
    say, dims = desk.say, desk.dims
    cast = [item for item in desk.critical.values() if item.stage is Measured.CAST]
    mould = Page(
        say("Acceptance of the mould"),
        (
            Prose(say("Full payment only after the mould has been tested and has produced a sound filter. (Common "
                     "practice, "
                     "no source. The contract decides.)"), "lead"),
            Boxes((
                say("The inspection form is filled in; every value lies within its limits, or was agreed in writing."),
                say("Dry fit: every bolt by hand, sticks pass and do not pass, no gap over {leak}.",
                    leak=desk.length(dims.spec.shop.allowed_leak, 2)),
                say("Trial extraction, empty: the core rises {stroke} without a rub; every panel comes off by hand.",
                    stroke=desk.length(dims.stroke)),
                say("Concrete faces: free of rust, beads, pits; oiled with edible oil. Outside painted."),
                say("Bridge, screw, nuts, all bolts, plugs, sticks and this sheet are there.") if dims.has_bridge
                else say("Forcing screws with their nuts, pads, all bolts, plugs, sticks and this sheet are there."),
                say("One filter was cast with this mould, of the mix of this sheet, and measured as below."),
            )),
            FormBlock(_head(desk), _rows(desk, cast)),
            Prose(say("Limits of walls and floor come from the design; 7 per cent of the mass is common practice, no "
                     "source. What is not ticked is put right and tested again before the balance is paid."), "note"),
            Boxes((
                say("Torque that drew the core, in {unit}:", unit=desk.unit("N m", "lb ft")),
                say("Turned and drawn with (hoist, people):"),
                say("What leaked while filling, and where:"),
            ), line=True),
        ),
    )  # fmt: skip
    filter_page = Page(
        say("Acceptance of the filter that was cast"),
        (
            Boxes((
                say("Walls closed all round: no hole, no stones without paste, no crack, the tube nowhere bare."),
                say("The rim is whole and flat; the ledge is even all round."),
                say("The tube is free from end to end; its end is flush with the underside of the nose."),
                say("After {days} days wet: filled to the rim for 24 hours. Damp spots allowed, drops not. (Common "
                    "practice, "
                    "no source.)", days=desk.number(FILLING_AGE)),
            )),
            Boxes((
                say("Level at the start and after 24 hours:"), say("Damp spots, where:"), say("Drops (must be none):"),
            ), line=True),
            Prose(say("If the sand is there"), "lead"),
            Prose(say("Fill gravel, sand and water. Let it settle, fill to the full level and catch what comes in the "
                     "first "
                     "minute. The design expects about {flow} an hour, with sand as specified: the real sand "
                     "may "
                     "give half or twice as much. When the flow has stopped, the water stands {water} over the sand.",
                     flow=desk.volume(flow_at_full(desk)),
                     water=desk.length(dims.resting.highest - dims.levels.sand_top))),
            Prose(_how_it_rests(desk)),
            Boxes((
                say("Water in one minute at the full level, in {unit}:", unit=desk.unit("l", "US gal")),
                say("Water over the sand when it has stopped:"),
            ), line=True),
            Prose(say("Decision"), "lead"),
            Boxes((
                say("Accepted. The balance is paid."), say("Accepted when this has been done, by this day:"),
                say("Not accepted, because:"),
            ), line=True),
            Signatures((say("welder"), say("for the customer"), say("date, place"))),
        ),
    )  # fmt: skip
    return [mould, filter_page]
