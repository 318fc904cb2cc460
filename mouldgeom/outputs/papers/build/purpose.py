"""First pages: what the mould is for, contents, names of the parts, and what matters most."""

from __future__ import annotations

from collections.abc import Sequence

from mouldgeom.drawing.hidden import View
from mouldgeom.drawing.looking import CONCRETE, TUBE, Key
from mouldgeom.filter.concrete import body_volume
from mouldgeom.geometry.outline import Point
from mouldgeom.identity import BASE, FOOT, GEAR, PADS, PieceId, Place, Role, Side
from mouldgeom.outputs.papers.build.blocks import (
    BuildChapter,
    Bullets,
    CautionBlock,
    Contents,
    Large,
    Page,
    Pictures,
    Prose,
)
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.picture import At, StepPicture, Tag, labelled
from mouldgeom.outputs.papers.build.sketches import sticks_sketch
from mouldgeom.outputs.papers.build.views import Views, tags_of
from mouldgeom.units import Litre, Mm


def purpose(desk: BuildDesk, views: Views) -> BuildChapter:
    """What it is for, contents, names, critical dimensions."""
    return BuildChapter(
        desk.say("What the mould is for"), (_purpose(desk, views), _contents(desk), _names(desk), _critical(desk))
    )


def concrete_volume(desk: BuildDesk) -> Litre:
    """Concrete of one filter."""
    dims = desk.dims
    return body_volume(dims.spec, dims.levels, dims.cavity, dims.nose, dims.tube, dims.shell) / 1e6


def _purpose(desk: BuildDesk, views: Views) -> Page:
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

    def filling(picture: StepPicture, at: At) -> None:
        rests = {dims.resting.lowest, dims.resting.highest}
        for level in (levels.fine_gravel_bottom, levels.sand_bottom, levels.sand_top, *sorted(rests)):
            wide = dims.cavity.depth_at(level) / 2
            picture.line((at(spot(-wide, level)), at(spot(wide, level))), dash=(1.6, 1.0))

    one = labelled(
        views.filter, tags, say("Section of the filter, standing upright."), width=90.0, height=150.0, room=30.0,
        draw=filling, side="left",
    )  # fmt: skip
    parts: list[tuple[Key, str]] = [
        (CONCRETE, say("concrete")),
        (PieceId(Role.PANEL, (Side.BACK,)), say("outer box")),
        (PieceId(Role.CORE_WALL, (Side.BACK,)), say("core")),
        (PieceId(Role.LEDGE_STRIP, (Side.BACK,)), say("ledge strip")),
        (PieceId(Role.BASE_PLATE), say("base plate")),
        (PieceId(Role.RUNNER, (Side.BACK,)), say("runner")),
        (PieceId(Role.NOSE_LID), say("nose lid")),
        (PieceId(Role.END_PLATE), say("end plate")),
        (TUBE, say("outlet tube")),
    ]
    other = labelled(
        views.mould, tags_of(views.mould, parts), say("Section of the mould, upside down, as it is filled."),
        width=84.0, height=150.0, room=24.0, side="right",
    )  # fmt: skip
    return Page(
        say("What the mould is for"),
        (
            Prose(say("You build a steel mould. In it a household water filter is cast from concrete."), "lead"),
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
                say(
                    "The same mould is made for {life} filters, one a day at most. So it must open and close many "
                    "times.",
                    life=desk.number(desk.dims.spec.use.life),
                ),
                say("Whoever drinks the water never sees the mould. They depend on your work all the same."),
            )),
        ),
    )  # fmt: skip


def _contents(desk: BuildDesk) -> Page:
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
            CautionBlock(say("Who decides"), (
                say("This sheet advises. Local law, local codes, a trained welder and a licensed engineer decide."),
                say("It promises nothing about safety. Stop when something is not clear, and ask."),
            )),
        ),
    )  # fmt: skip


def _names(desk: BuildDesk) -> Page:
    say = desk.say
    left, front, back = (Side.LEFT,), (Side.FRONT,), (Side.BACK,)
    shown = {
        *_whole(Role.PANEL, left, front, back), *_whole(Role.CORNER_FLANGE, (*front, *left), (*back, *left)),
        *_whole(Role.BASE_FLANGE, left, front), *_whole(Role.STIFFENER, left, front, numbers=(1, 2)),
        *_whole(Role.HANDLE, left, front, numbers=(1, 2)), *_whole(Role.NOSE_SIDE, left, (Side.RIGHT,)),
        *_whole(Role.NOSE_FLANGE, left), *_whole(Role.GUSSET, (*left, *front)), *_whole(Role.RUNNER, front, back),
        *_whole(Role.NOSE_FRONT, ()), *_whole(Role.NOSE_LID, ()), *_whole(Role.BASE_PLATE, ()),
    }  # fmt: skip
    outside = desk.view([p for p in desk.pieces.values() if p.id.whole in shown], (1.0, -0.9, 0.6), frozenset())
    wanted = [
        PieceId(Role.PANEL, front), PieceId(Role.PANEL, left), PieceId(Role.CORNER_FLANGE, (*front, *left)),
        PieceId(Role.BASE_FLANGE, front), PieceId(Role.BASE_FLANGE, left), PieceId(Role.STIFFENER, front, 2),
        PieceId(Role.STIFFENER, left, 2), PieceId(Role.HANDLE, left, 1), PieceId(Role.NOSE_LID),
        PieceId(Role.GUSSET, (*left, *front)), PieceId(Role.BASE_PLATE), PieceId(Role.RUNNER, front),
    ]  # fmt: skip
    box = labelled(
        outside, _named(desk, outside, wanted), say("The outer box on its base plate, with the names of its parts."),
        width=170.0, height=118.0, room=48.0,
    )  # fmt: skip
    inner = labelled(
        *_core(desk), say("The core on the base plate, two walls left out."), width=80.0, height=84.0, room=30.0,
        side="right",
    )  # fmt: skip
    bridge = desk.dims.has_bridge
    named = say("The bridge with the jack screw.") if bridge else say("Base plate and forcing screws, upright.")
    tool = labelled(*_gear(desk), named, width=92.0, height=84.0, room=28.0, side="right")
    return Page(
        say("Names of the parts"),
        (
            Pictures(((box, say("Outer box and base plate, as the mould is filled.")),)),
            Pictures((
                (inner, say("Core on the base plate, two walls left out of the picture.")),
                (tool, say("Bridge with jack screw: it draws the core.") if bridge
                 else say("Forcing screws: they push the core out.")),
            )),
        ),
    )  # fmt: skip


def _whole(role: Role, *places: Place, numbers: Sequence[int] = (0,)) -> list[PieceId]:
    """Pieces of a role at some places."""
    return [PieceId(role, place, number) for place in places for number in numbers]


def _core(desk: BuildDesk) -> tuple[View, list[Tag]]:
    """The core on the base plate without its front and left side, and its names."""
    near = [PieceId(role, (side,)) for role in (Role.CORE_WALL, Role.LEDGE_STRIP) for side in (Side.FRONT, Side.LEFT)]
    kept = [p for p in desk.shown if p.unit.within(FOOT) and p.id not in near]
    shown = desk.view(kept, (1.0, -0.9, 0.6), frozenset())
    back, right = (Side.BACK,), (Side.RIGHT,)
    wanted = [
        PieceId(Role.CORE_WALL, back), PieceId(Role.CORE_WALL, right), PieceId(Role.END_PLATE),
        PieceId(Role.ANCHOR_PLATE), PieceId(Role.DIAPHRAGM, (), 1), PieceId(Role.LEDGE_STRIP, back),
        PieceId(Role.ANCHOR_NUT), PieceId(Role.RUNNER, (Side.FRONT,)), PieceId(Role.BASE_PLATE),
    ]  # fmt: skip
    return shown, _named(desk, shown, wanted)


def _gear(desk: BuildDesk) -> tuple[View, list[Tag]]:
    """The extraction gear and its names."""
    gear = (GEAR,) if desk.dims.has_bridge else (GEAR, BASE, PADS)
    kept = [p for p in desk.shown if p.unit.within(*gear)]
    shown = desk.view(kept, (1.0, -0.9, -0.6), frozenset(), (0.0, 0.0, -1.0))
    left, right = (Side.LEFT,), (Side.RIGHT,)
    wanted = [
        *_whole(Role.BRIDGE_BEAM, (Side.FRONT,), (Side.BACK,)), PieceId(Role.BRIDGE_LEG, left),
        *_whole(Role.BRIDGE_CAP, left, right), PieceId(Role.WASHER_PLATE), PieceId(Role.JACK_SCREW),
        *(PieceId(role, (Side.LEFT, Side.FRONT)) for role in (
            Role.FORCING_SCREW, Role.TURNING_NUT, Role.PLATE_NUT, Role.NUT_PLATE, Role.THRUST_PAD)),
    ]  # fmt: skip
    return shown, _named(desk, shown, wanted)


def _named(desk: BuildDesk, shown: View, wanted: Sequence[PieceId]) -> list[Tag]:
    """Labels with mark and name, one for each mark."""
    marks: set[str] = set()
    out = []
    for piece in wanted:
        found = next((body for body in desk.bodies(piece) if body.id in shown.anchors), None)
        if found is not None and found.mark not in marks:
            marks.add(found.mark)
            out.append(Tag(f"{found.mark} {desk.kind(piece)}", shown.anchors[found.id]))
    return out


def _critical(desk: BuildDesk) -> Page:
    say, rows = desk.say, []
    for code, what in (
        ("box-width-rim", say("Inside of the box, left to right")),
        ("box-depth-rim", say("Inside of the box, front to back")),
        ("gap-front-rim", say("Gap between panel and core at the rim, all four sides")),
        ("gap-front-end", say("Gap between panel and core at the end plate, all four sides")),
        ("floor", say("End plate below the top edge of the panels")),
        ("nose-lid-height", say("Nose lid over the base plate")),
        *(
            (("leg-length", say("Length of the bridge legs")),)
            if desk.dims.has_bridge
            else (("pad-flush", say("Pads level with the base plate")),)
        ),
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
            Prose(say("The gap between the panels and the core becomes the wall of the filter."), "lead"),
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
