"""First pages: what the mould is for, contents, names of the parts, and what matters most."""

from __future__ import annotations

from mouldgeom.filter.concrete import body_volume
from mouldgeom.outputs.papers.build.blocks import (
    Bullets,
    Caution,
    Chapter,
    Contents,
    Large,
    Page,
    Pictures,
    Text,
)
from mouldgeom.outputs.papers.build.desk import Desk
from mouldgeom.outputs.papers.build.picture import At, Picture, Tag, labelled
from mouldgeom.outputs.papers.build.sketches import sticks_sketch
from mouldgeom.outputs.papers.build.views import Views, tags_of
from mouldgeom.outputs.papers.hidden import View
from mouldgeom.outputs.papers.stage import TUBE
from mouldgeom.shapes import Point
from mouldgeom.units import Litre, Mm


def purpose(desk: Desk, views: Views) -> Chapter:
    """What it is for, contents, names, critical dimensions."""
    return Chapter(
        desk.say("What the mould is for"), (_purpose(desk, views), _contents(desk), _names(desk), _critical(desk))
    )


def concrete_volume(desk: Desk) -> Litre:
    """Concrete of one filter."""
    dims = desk.dims
    return body_volume(dims.spec, dims.levels, dims.cavity, dims.nose, dims.tube, dims.shell) / 1e6


def _purpose(desk: Desk, views: Views) -> Page:
    say, dims = desk.say, desk.dims
    levels, rim = dims.levels, dims.height

    def spot(y: Mm, level: Mm) -> Point:
        return views.filter.at((0.0, y, rim - level))

    half = dims.cavity.depth_at(levels.sand_bottom) / 2
    tags = [
        Tag(say("rim"), spot(10 - dims.depth / 2, rim)),
        Tag(say("water goes in here"), spot(-40, levels.ledge + 40)),
        Tag(say("ledge for the diffuser"), spot(-half, levels.ledge)),
        Tag(say("water level when the flow has stopped"), spot(-40, levels.rest)),
        Tag(say("filter sand"), spot(half / 2, (levels.sand_top + levels.sand_bottom) / 2)),
        Tag(say("gravel"), spot(half / 2, (levels.floor + levels.sand_bottom) / 2)),
        Tag(say("outlet tube"), spot(dims.tube.riser_y, rim - (dims.tube.inlet[1] + dims.tube.crest_centre[1]) / 2)),
        Tag(say("nose: clean water comes out"), spot(dims.tube.leg_y, rim - dims.tube.end_z)),
        Tag(say("floor"), spot(-40, levels.floor / 2)),
    ]

    def filling(picture: Picture, at: At) -> None:
        rests = {dims.resting.lowest, dims.resting.highest}
        for level in (levels.fine_gravel_bottom, levels.sand_bottom, levels.sand_top, *sorted(rests)):
            wide = dims.cavity.depth_at(level) / 2
            picture.line((at(spot(-wide, level)), at(spot(wide, level))), dash=(1.6, 1.0))

    one = labelled(
        views.filter, tags, say("Section of the filter, standing upright."), width=90.0, height=150.0, room=30.0,
        draw=filling, side="left",
    )  # fmt: skip
    parts = [
        ("concrete", say("concrete")), ("back panel", say("outer box")), ("core wall, back", say("core")),
        ("ledge strip, back", say("ledge strip")), ("base plate", say("base plate")), ("runner, back", say("runner")),
        ("nose lid", say("nose lid")), ("end plate", say("end plate")), (TUBE, say("outlet tube")),
    ]  # fmt: skip
    other = labelled(
        views.mould, tags_of(desk, views.mould, parts), say("Section of the mould, upside down, as it is filled."),
        width=84.0, height=150.0, room=24.0, side="right",
    )  # fmt: skip
    return Page(
        say("What the mould is for"),
        (
            Text(say("You build a steel mould. In it a household water filter is cast from concrete."), "lead"),
            Pictures((
                (one, say("The filter: concrete, sand and gravel. It stands in a home for many years.")),
                (other, say("The mould, filled with concrete (grey). The filter is cast upside down.")),
            )),
            Bullets((
                say(
                    "Filter outside: {width} wide, {depth} deep, {height} high. Walls at the rim: {wall}.",
                    width=desk.length(dims.width), depth=desk.length(dims.depth), height=desk.length(dims.height),
                    wall=desk.length(dims.spec.filter.least_wall),
                ),
                say(
                    "One filter takes {volume} of concrete and weighs {mass}.",
                    volume=desk.volume(concrete_volume(desk)), mass=desk.mass(desk.masses.filter_empty.mass),
                ),
                say("The same mould casts a filter a day, for years. So it must open and close many times."),
                say("Whoever drinks the water never sees the mould. They depend on your work all the same."),
            )),
        ),
    )  # fmt: skip


def _contents(desk: Desk) -> Page:
    say = desk.say
    return Page(
        say("How to read this sheet"),
        (
            Bullets((
                say("Work through the pages in order. Do not start a page before the checks of the page before hold."),
                say("In the pictures, wide lines are the new pieces. Narrow lines are there already."),
                say("A letter with a number (A1, B2) is the mark of a piece. It is etched on the plates."),
                say("W with a number in a frame is a weld. A ring at the end of its line: the weld lies behind."),
                say("Left and right are those of the finished filter, seen from its front, the side with the nose."),
                say("The mould is built upside down. Lower edge of a panel, rim end of the core: at the base plate."),
                say("Toe: the free edge of an angle's leg. Heel: the outer corner of the angle."),
            )),
            Contents(say("Contents")),
            Caution(say("Who decides"), (
                say("This sheet advises. Local law, local codes, a trained welder and a licensed engineer decide."),
                say("It promises nothing about safety. Stop when something is not clear, and ask."),
            )),
        ),
    )  # fmt: skip


def _names(desk: Desk) -> Page:
    say = desk.say
    names = {
        "front panel", "back panel", "side panel, left", "corner flange, front left", "corner flange, back left",
        "front base flange, front", "side base flange, left", "front stiffener, front 1", "front stiffener, front 2",
        "side stiffener, left 1", "side stiffener, left 2", "handle, front 1", "handle, left 1", "nose lid",
        "nose side, left", "nose flange, left", "gusset, left front", "base plate", "runner, front",
        "nose side, right", "nose front", "handle, front 2", "handle, left 2", "runner, back",
    }  # fmt: skip
    whole = [p for p in desk.pieces.values() if p.name.removesuffix(" a").removesuffix(" b") in names]
    shown = desk.view(whole, (1.0, -0.9, 0.6), frozenset())
    wanted = [
        "front panel", "side panel, left", "corner flange, front left", "front base flange, front",
        "side base flange, left", "front stiffener, front 2", "side stiffener, left 2", "handle, left 1", "nose lid",
        "gusset, left front", "base plate", "runner, front",
    ]  # fmt: skip
    box = labelled(
        shown, _named(desk, shown, wanted), say("The outer box on its base plate, with the names of its parts."),
        width=170.0, height=118.0, room=48.0,
    )  # fmt: skip
    heads = ("core wall, back", "core wall, right", "end plate", "anchor plate", "diaphragm", "jack nut, anchor",
             "ledge strip, back", "ledge strip, right", "base plate", "runner")  # fmt: skip
    core = desk.view([p for p in desk.pieces.values() if p.name.startswith(heads)], (1.0, -0.9, 0.6), frozenset())
    wanted = ["core wall, back", "core wall, right", "end plate", "anchor plate", "diaphragm 1", "ledge strip, back",
              "jack nut, anchor", "runner, front", "base plate"]  # fmt: skip
    inner = labelled(
        core, _named(desk, core, wanted), say("The core on the base plate, two walls left out."), width=80.0,
        height=84.0, room=30.0, side="right",
    )  # fmt: skip
    gear = [
        p
        for p in desk.pieces.values()
        if p.name.startswith(("bridge", "washer plate", "jack")) and "anchor" not in p.name
    ]
    bridge = desk.view(gear, (1.0, -0.9, -0.6), frozenset(), (0.0, 0.0, -1.0))
    wanted = ["bridge beam, front", "bridge beam, back", "bridge leg, left", "bridge cap, left", "bridge cap, right",
              "washer plate", "jack screw"]  # fmt: skip
    tool = labelled(
        bridge, _named(desk, bridge, wanted), say("The bridge with the jack screw."), width=92.0, height=84.0,
        room=28.0, side="right",
    )  # fmt: skip
    return Page(
        say("Names of the parts"),
        (
            Pictures(((box, say("Outer box and base plate, as the mould is filled.")),)),
            Pictures((
                (inner, say("Core on the base plate, two walls left out of the picture.")),
                (tool, say("Bridge with jack screw: it draws the core.")),
            )),
        ),
    )  # fmt: skip


def _named(desk: Desk, shown: View, wanted: list[str]) -> list[Tag]:
    """Labels with mark and name, one for each mark."""
    marks: set[str] = set()
    out = []
    by_mark = {part.mark: part for part in desk.mould.parts}
    for name in wanted:
        found = next((n for n in (name, f"{name} a", f"{name} b") if n in shown.anchors), None)
        if found is None or shown.marks[found] in marks:
            continue
        mark = shown.marks[found]
        marks.add(mark)
        head = desk.kind(name)
        out.append(Tag(f"{mark} {head}" if mark in by_mark else head, shown.anchors[found]))
    return out


def _critical(desk: Desk) -> Page:
    say, rows = desk.say, []
    for code, what in (
        ("box-width-rim", say("Inside of the box, left to right")),
        ("box-depth-rim", say("Inside of the box, front to back")),
        ("gap-front-rim", say("Gap between panel and core at the rim, all four sides")),
        ("gap-front-end", say("Gap between panel and core at the end plate, all four sides")),
        ("floor", say("End plate below the top edge of the panels")),
        ("nose-lid-height", say("Nose lid over the base plate")),
        ("leg-length", say("Length of the bridge legs")),
    ):
        low, high = desk.ends(desk.critical[code])
        words = (
            say("must pass: {low}\nmust not pass: {high}", low=low, high=high)
            if "gap" in code
            else say("not less than {low}\nnot more than {high}", low=low, high=high)
        )
        rows.append((what, desk.stacked(desk.critical[code])[0], words))
    low, high = desk.ends(desk.critical["gap-front-rim"])
    return Page(
        say("What matters most"),
        (
            Text(say("The gap between the panels and the core becomes the wall of the filter."), "lead"),
            Large(tuple(rows)),
            Pictures(((sticks_sketch(desk, low, high), say("Make two sticks for each gap and try all four sides.")),)),
            Bullets((
                say("Gap too narrow: the wall is thin and breaks. Gap too wide: heavy, and the core leans."),
                say("The core grows narrower towards its end plate. If it does not, it stays in the concrete for "
                    "good."),
                say("No dent, bead or burr may stand out from a face that touches concrete: it holds the core back."),
                say("The nose lid sets the height of the tube, and that sets the water level."),
            )),
        ),
    )  # fmt: skip
