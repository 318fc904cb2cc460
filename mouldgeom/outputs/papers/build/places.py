"""Where the pieces of a step sit, measured from an edge that the welder can hook a tape on."""

from __future__ import annotations

from collections.abc import Iterable

from mouldgeom.fabrication.stages import BuildStep, Stage
from mouldgeom.identity import PieceId, Role, Side
from mouldgeom.outputs.papers.build.blocks import TableBlock
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.units import Mm

Span = tuple[Mm, Mm]
Row = tuple[str, str, str]


def places(desk: BuildDesk, step: BuildStep) -> TableBlock | None:
    """Piece, from where to where, and how far; ``None`` where edges that lie flush say it all."""
    made = {
        Stage.SIDES: _sides, Stage.FACES: _faces, Stage.NOSE: _nose,
        Stage.INSIDE: lambda desk: _inside(desk, desk.some(Role.DIAPHRAGM)),
        Stage.CLOSE: lambda desk: _inside(desk, desk.some(Role.ANCHOR_PLATE)),
        Stage.BASE: _base, Stage.JOIN: _join, Stage.BRIDGE: _bridge,
        Stage.FORCING: _forcing, Stage.STAND: _stand,
    }.get(step.stage)  # fmt: skip
    rows = tuple(made(desk)) if made else ()
    if not rows:
        return None
    say = desk.say
    return TableBlock((say("Piece"), say("Measure"), say("Distance")), rows, ("auto", "1", "auto"), (2,), "small")


def _spans(desk: BuildDesk, piece: PieceId) -> tuple[Span, Span, Span]:
    """Extent of a piece along x, y and z of the casting frame; a bar of two angles is one."""
    boxes = [body.shape.BoundingBox() for body in desk.bodies(piece)]
    return (
        (min(b.xmin for b in boxes), max(b.xmax for b in boxes)),
        (min(b.ymin for b in boxes), max(b.ymax for b in boxes)),
        (min(b.zmin for b in boxes), max(b.zmax for b in boxes)),
    )


def _title(desk: BuildDesk, piece: PieceId) -> str:
    return f"{desk.bodies(piece)[0].mark} {desk.kind(piece)}"


def _at(role: Role, *place: Side) -> PieceId:
    """The piece of a role at a place."""
    return PieceId(role, place)


def _all(desk: BuildDesk, values: Iterable[Mm]) -> str:
    """Lengths without those that come again, rising."""
    return "; ".join(dict.fromkeys(desk.length(v, 1) for v in sorted(values)))


def _bars(desk: BuildDesk, side: Side) -> list[Row]:
    """Stiffeners and handles of one panel."""
    say = desk.say
    axis = 1 if side.crosswise else 0
    wide = _spans(desk, _at(Role.PANEL, side))[axis]
    rows: list[Row] = []
    bars = desk.some(Role.STIFFENER, side)
    if bars:
        spans = [_spans(desk, bar) for bar in bars]
        title = _title(desk, bars[0])
        rows += [
            (title, say("lower edge of the panel to the lower side of the bar"), _all(desk, (s[2][0] for s in spans))),
            (title, say("its ends to the edges of the panel"), _all(desk, (s[axis][0] - wide[0] for s in spans))),
        ]
    handles = desk.some(Role.HANDLE, side)
    if handles:
        spans = [_spans(desk, handle) for handle in handles]
        title = _title(desk, handles[0])
        rows += [
            (title, say("middle line of the panel to the middle of the rod"),
             _all(desk, (abs(sum(s[axis])) / 2 for s in spans))),
            (title, say("lower edge of the panel to its lower end"), _all(desk, (s[2][0] for s in spans))),
        ]  # fmt: skip
    return rows


def _sides(desk: BuildDesk) -> list[Row]:
    say = desk.say
    flange = _at(Role.BASE_FLANGE, Side.LEFT)
    wide, long = _spans(desk, _at(Role.PANEL, Side.LEFT))[1], _spans(desk, flange)[1]
    rows = [
        (_title(desk, flange), say("its ends to the edges of the panel"),
         desk.length(long[0] - wide[0], 1)),
        *_bars(desk, Side.LEFT),
    ]  # fmt: skip
    pin, plate, clips = _at(Role.TRUNNION, Side.LEFT), _at(Role.PIN_PLATE, Side.LEFT), desk.some(Role.CLOSING_CLIP)
    panel, at = _spans(desk, _at(Role.PANEL, Side.LEFT)), desk.mould.trunnions
    clipped = [clip for clip in clips if Side.LEFT in clip.place]
    rows += [
        (_title(desk, pin), say("lower edge of the panel to the middle of the pin"), desk.length(at.z, 1)),
        (_title(desk, pin), say("front edge of the panel to the middle of the pin"),
         desk.length(at.y - panel[1][0], 1)),
        (_title(desk, plate), say("lower edge of the panel to its lower end"),
         desk.length(_spans(desk, plate)[2][0], 1)),
        (_title(desk, clipped[0]), say("middle line of the panel to the middle of the clip"),
         _all(desk, (abs(sum(_spans(desk, clip)[1])) / 2 for clip in clipped))),
    ]  # fmt: skip
    gussets = desk.some(Role.GUSSET, Side.LEFT)
    if gussets:
        far = (abs(sum(_spans(desk, gusset)[1])) / 2 for gusset in gussets)
        rows.append(
            (_title(desk, gussets[0]), say("middle line of the panel to the middle of the gusset"), _all(desk, far))
        )
    return rows


def _faces(desk: BuildDesk) -> list[Row]:
    say = desk.say
    rows, back = _bars(desk, Side.FRONT), _bars(desk, Side.BACK)
    posts = desk.some(Role.NOSE_POST)
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


def _nose(desk: BuildDesk) -> list[Row]:
    say = desk.say
    one, other = _at(Role.NOSE_SIDE, Side.LEFT), _at(Role.NOSE_FLANGE, Side.LEFT)
    panel, side, flange = _spans(desk, _at(Role.PANEL, Side.FRONT)), _spans(desk, one), _spans(desk, other)
    return [
        (_title(desk, one), say("lower edge of the panel to the upper edge of the nose"),
         desk.length(side[2][1] - panel[2][0], 1)),
        (_title(desk, other), say("its end to the panel"), desk.length(panel[1][0] - flange[1][1], 1)),
    ]  # fmt: skip


def _inside(desk: BuildDesk, plates: Iterable[PieceId]) -> list[Row]:
    """Plates across the inside of the core, the deepest first."""
    say = desk.say
    return [
        (_title(desk, plate), say("rim edge of the walls down to the near face of the plate"),
         desk.length(_spans(desk, plate)[2][0], 1))
        for plate in sorted(plates, key=lambda plate: -_spans(desk, plate)[2][0])
    ]  # fmt: skip


def _base(desk: BuildDesk) -> list[Row]:
    say = desk.say
    front = _at(Role.RUNNER, Side.FRONT)
    plate, runner, title = _spans(desk, _at(Role.BASE_PLATE)), _spans(desk, front), _title(desk, front)
    return [
        (title, say("front or back edge of the plate to the outer side of the runner"),
         desk.length(runner[1][0] - plate[1][0], 1)),
        (title, say("its ends to the left and right edge of the plate"), desk.length(runner[0][0] - plate[0][0], 1)),
        *([] if desk.dims.has_bridge else _nut_plates(desk, plate)),
    ]  # fmt: skip


def _nut_plates(desk: BuildDesk, base: tuple[Span, Span, Span]) -> list[Row]:
    """Where a nut plate lies on the base plate, whose extents are given."""
    say, one = desk.say, PieceId(Role.NUT_PLATE, (Side.LEFT, Side.FRONT))
    (x, y, _), title = _spans(desk, one), _title(desk, one)
    return [
        (title, say("left or right edge of the base plate to the outer edge of the nut plate"),
         desk.length(base[0][1] - x[1], 1)),
        (title, say("front or back edge of the base plate to the near edge of the nut plate"),
         desk.length(y[0] - base[1][0], 1)),
    ]  # fmt: skip


def _forcing(desk: BuildDesk) -> list[Row]:
    say, dims = desk.say, desk.dims
    screw, pad = (PieceId(role, (Side.LEFT, Side.FRONT)) for role in (Role.FORCING_SCREW, Role.THRUST_PAD))
    free = dims.base + dims.stock.jack.nut_height_mm + dims.forcing.room
    return [
        (_title(desk, screw), say("tip of the screw to the nuts that drive"), desk.length(free, 1)),
        (_title(desk, pad), say("gap to its opening, all round"), desk.length(dims.spec.shop.fit_gap, 1)),
    ]


def _join(desk: BuildDesk) -> list[Row]:
    say = desk.say
    strip = _at(Role.LEDGE_STRIP, Side.FRONT)
    plate, core, title = _spans(desk, _at(Role.BASE_PLATE)), _spans(desk, strip), desk.kind(strip)
    return [
        (title, say("left or right edge of the base plate to the strip"), desk.length(core[0][0] - plate[0][0], 1)),
        (title, say("front or back edge of the base plate to the strip"), desk.length(core[1][0] - plate[1][0], 1)),
    ]


def _stand(desk: BuildDesk) -> list[Row]:
    say, left = desk.say, Side.LEFT
    saddle, post, foot = _at(Role.SADDLE, left), _at(Role.STAND_POST, left), _at(Role.STAND_FOOT, left)
    tie, cheek = _at(Role.STAND_TIE, Side.FRONT), desk.some(Role.STAND_CHEEK, left)[0]
    ends, ground = _spans(desk, foot)[1], _spans(desk, foot)[2][0]
    return [
        (_title(desk, post), say("end of the foot to the side of the post"),
         desk.length(_spans(desk, post)[1][0] - ends[0], 1)),
        (_title(desk, saddle), say("lower end of the saddle to the upper end of the post"),
         desk.length(_spans(desk, post)[2][1] - _spans(desk, saddle)[2][0], 1)),
        (_title(desk, cheek), say("lower side of the foot to the lower edge of the cheek"),
         desk.length(_spans(desk, cheek)[2][0] - ground, 1)),
        (_title(desk, tie), say("end of the foot to the outer face of the tie"),
         desk.length(_spans(desk, tie)[1][0] - ends[0], 1)),
        (_title(desk, saddle), say("gap between the two saddles"), desk.length(2 * _spans(desk, saddle)[0][0], 1)),
    ]  # fmt: skip


def _bridge(desk: BuildDesk) -> list[Row]:
    say = desk.say
    cap, leg, plate = _at(Role.BRIDGE_CAP, Side.LEFT), _at(Role.BRIDGE_LEG, Side.LEFT), _at(Role.WASHER_PLATE)
    beams = [_at(Role.BRIDGE_BEAM, end) for end in (Side.FRONT, Side.BACK)]
    (ends, front, _), (_, back, _) = (_spans(desk, beam) for beam in beams)
    washer = _spans(desk, plate)[0]
    return [
        (_title(desk, beams[0]), say("gap between the two beams"), desk.length(back[0] - front[1], 1)),
        (_title(desk, cap), say("cap beyond the end of the beams"),
         desk.length(_spans(desk, cap)[0][1] - ends[1], 1)),
        (_title(desk, leg), say("end of the beams to the outer side of the leg"),
         desk.length(ends[1] - _spans(desk, leg)[0][1], 1)),
        (_title(desk, plate), say("end of the beams to the edge of the plate"),
         desk.length(ends[1] - sum(ends) / 2 - (washer[1] - washer[0]) / 2, 1)),
    ]  # fmt: skip
