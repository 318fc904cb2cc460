"""Where the pieces of a step sit, measured from an edge that the welder can hook a tape on."""

from __future__ import annotations

from collections.abc import Iterable

from mouldgeom.outputs.papers.build.blocks import Table
from mouldgeom.outputs.papers.build.desk import Desk
from mouldgeom.outputs.papers.build.stages import BuildStep, Stage
from mouldgeom.units import Mm

Span = tuple[Mm, Mm]
Row = tuple[str, str, str]


def places(desk: Desk, step: BuildStep) -> Table | None:
    """Piece, from where to where, and how far; ``None`` where edges that lie flush say it all."""
    made = {
        Stage.SIDES: _sides, Stage.FACES: _faces, Stage.NOSE: _nose, Stage.INSIDE: _inside, Stage.BASE: _base,
        Stage.JOIN: _join, Stage.BRIDGE: _bridge,
    }.get(step.stage)  # fmt: skip
    if made is None:
        return None
    say = desk.say
    return Table(
        (say("Piece"), say("Measure"), say("Distance")), tuple(made(desk)), ("auto", "1", "auto"), (2,), "small"
    )


def _spans(desk: Desk, name: str) -> tuple[Span, Span, Span]:
    """Extent of a piece along x, y and z of the casting frame; a bar of two angles is one."""
    boxes = [desk.pieces[n].shape.BoundingBox() for n in (name, f"{name} a", f"{name} b") if n in desk.pieces]
    return (
        (min(b.xmin for b in boxes), max(b.xmax for b in boxes)),
        (min(b.ymin for b in boxes), max(b.ymax for b in boxes)),
        (min(b.zmin for b in boxes), max(b.zmax for b in boxes)),
    )


def _title(desk: Desk, name: str) -> str:
    piece = desk.pieces.get(name) or desk.pieces[f"{name} a"]
    return f"{piece.mark} {desk.kind(name)}"


def _named(desk: Desk, head: str) -> list[str]:
    """Names of pieces that start so, a bar of two angles once."""
    names = (name.removesuffix(" a").removesuffix(" b") for name in desk.pieces if name.startswith(head))
    return list(dict.fromkeys(names))


def _all(desk: Desk, values: Iterable[Mm]) -> str:
    """Lengths without those that come again, rising."""
    return "; ".join(dict.fromkeys(desk.length(v, 1) for v in sorted(values)))


def _bars(desk: Desk, side: str, axis: int, panel: str, stiffener: str) -> list[Row]:
    """Stiffeners and handles of one panel, whose width runs along ``axis``."""
    say = desk.say
    wide = _spans(desk, panel)[axis]
    rows: list[Row] = []
    bars = _named(desk, f"{stiffener}, {side}")
    if bars:
        spans = [_spans(desk, bar) for bar in bars]
        title = _title(desk, bars[0])
        rows += [
            (title, say("lower edge of the panel to the lower side of the bar"), _all(desk, (s[2][0] for s in spans))),
            (title, say("its ends to the edges of the panel"), _all(desk, (s[axis][0] - wide[0] for s in spans))),
        ]
    handles = _named(desk, f"handle, {side}")
    if handles:
        spans = [_spans(desk, handle) for handle in handles]
        title = _title(desk, handles[0])
        rows += [
            (title, say("middle line of the panel to the middle of the rod"),
             _all(desk, (abs(sum(s[axis])) / 2 for s in spans))),
            (title, say("lower edge of the panel to its lower end"), _all(desk, (s[2][0] for s in spans))),
        ]  # fmt: skip
    return rows


def _sides(desk: Desk) -> list[Row]:
    say = desk.say
    wide, flange = _spans(desk, "side panel, left")[1], _spans(desk, "side base flange, left")[1]
    rows = [
        (_title(desk, "side base flange, left"), say("its ends to the edges of the panel"),
         desk.length(flange[0] - wide[0], 1)),
        *_bars(desk, "left", 1, "side panel, left", "side stiffener"),
    ]  # fmt: skip
    gussets = _named(desk, "gusset, left")
    if gussets:
        far = (abs(sum(_spans(desk, name)[1])) / 2 for name in gussets)
        rows.append(
            (_title(desk, gussets[0]), say("middle line of the panel to the middle of the gusset"), _all(desk, far))
        )
    return rows


def _faces(desk: Desk) -> list[Row]:
    say = desk.say
    rows = _bars(desk, "front", 0, "front panel", "front stiffener")
    back = _bars(desk, "back", 0, "back panel", "front stiffener")
    posts = _named(desk, "nose post")
    if posts:
        spans = [_spans(desk, post) for post in posts]
        title = _title(desk, posts[0])
        rows += [
            (title, say("middle line of the panel to the middle of the bar"),
             _all(desk, (abs(sum(s[0])) / 2 for s in spans))),
            (title, say("lower edge of the panel to its lower end"), _all(desk, (s[2][0] for s in spans))),
        ]  # fmt: skip
    if back == rows:
        return rows
    return [
        *((say("{piece}, front", piece=piece), what, far) for piece, what, far in rows),
        *((say("{piece}, back", piece=piece), what, far) for piece, what, far in back),
    ]


def _nose(desk: Desk) -> list[Row]:
    say = desk.say
    panel = _spans(desk, "front panel")
    side, flange = _spans(desk, "nose side, left"), _spans(desk, "nose flange, left")
    return [
        (_title(desk, "nose side, left"), say("lower edge of the panel to the upper edge of the nose"),
         desk.length(side[2][1] - panel[2][0], 1)),
        (_title(desk, "nose flange, left"), say("its end to the panel"), desk.length(panel[1][0] - flange[1][1], 1)),
    ]  # fmt: skip


def _inside(desk: Desk) -> list[Row]:
    say = desk.say
    names = sorted((*_named(desk, "diaphragm"), "anchor plate"), key=lambda name: -_spans(desk, name)[2][0])
    return [
        (_title(desk, name), say("rim edge of the walls down to the near face of the plate"),
         desk.length(_spans(desk, name)[2][0], 1))
        for name in names
    ]  # fmt: skip


def _base(desk: Desk) -> list[Row]:
    say = desk.say
    plate, runner = _spans(desk, "base plate"), _spans(desk, "runner, front")
    title = _title(desk, "runner, front")
    return [
        (title, say("front or back edge of the plate to the outer side of the runner"),
         desk.length(runner[1][0] - plate[1][0], 1)),
        (title, say("its ends to the left and right edge of the plate"), desk.length(runner[0][0] - plate[0][0], 1)),
    ]  # fmt: skip


def _join(desk: Desk) -> list[Row]:
    say = desk.say
    plate = _spans(desk, "base plate")
    core = _spans(desk, "ledge strip, front")[0], _spans(desk, "ledge strip, front")[1]
    title = _title(desk, "ledge strip, front").partition(" ")[2]
    return [
        (title, say("left or right edge of the base plate to the strip"), desk.length(core[0][0] - plate[0][0], 1)),
        (title, say("front or back edge of the base plate to the strip"), desk.length(core[1][0] - plate[1][0], 1)),
    ]


def _bridge(desk: Desk) -> list[Row]:
    say = desk.say
    beams = _spans(desk, "bridge beam, front"), _spans(desk, "bridge beam, back")
    cap, leg = _spans(desk, "bridge cap, left"), _spans(desk, "bridge leg, left")
    middle = sum(beams[0][0]) / 2
    washer = _spans(desk, "washer plate")[0]
    return [
        (_title(desk, "bridge beam, front"), say("gap between the two beams"), desk.length(
            beams[1][1][0] - beams[0][1][1], 1)),
        (_title(desk, "bridge cap, left"), say("cap beyond the end of the beams"),
         desk.length(cap[0][1] - beams[0][0][1], 1)),
        (_title(desk, "bridge leg, left"), say("end of the beams to the outer side of the leg"),
         desk.length(beams[0][0][1] - leg[0][1], 1)),
        (_title(desk, "washer plate"), say("end of the beams to the edge of the plate"),
         desk.length(beams[0][0][1] - middle - (washer[1] - washer[0]) / 2, 1)),
    ]  # fmt: skip
