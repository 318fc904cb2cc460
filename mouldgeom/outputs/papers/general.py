"""General arrangement: the mould as it stands for casting, in three views and a section; the filter; the extraction."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.drawing.compose import compose
from mouldgeom.drawing.hidden import ABOVE, FRONT, ISOMETRIC, RIGHT, Key, Solid, View, section, view
from mouldgeom.drawing.layout import meetings, overlap
from mouldgeom.drawing.lettering import SMALL, width
from mouldgeom.drawing.paper import scale_text
from mouldgeom.drawing.primitives import (
    Block,
    Feature,
    Item,
    Line,
    Primitive,
    Sheet,
    Text,
    arrow,
    line,
    paragraph,
    primitives,
    union,
)
from mouldgeom.drawing.viewdraw import (
    FIRST,
    Callout,
    ViewPlace,
    at_corner,
    caption,
    columns,
    drawn,
    linear,
    mark_callout,
    thickness,
)
from mouldgeom.fabrication.quantities import grade_of
from mouldgeom.filter.resting import Running
from mouldgeom.geometry.outline import Point
from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import (
    BACK_PANEL,
    FRONT_PANEL,
    GEAR,
    LEFT_PANEL,
    PADS,
    RIGHT_PANEL,
    STAND,
    PieceId,
    Role,
    RowRole,
    Side,
)
from mouldgeom.model.shapes import Group
from mouldgeom.model.sides import DOWN, OUTWARDS, UP, view_name
from mouldgeom.outputs.papers.naming import class_words
from mouldgeom.outputs.papers.stage import Easel, part_list, seen_marks, size_of
from mouldgeom.solids import PlacedSolid
from mouldgeom.strength.overload import lever
from mouldgeom.strength_classes import class_text
from mouldgeom.units import Mm, Ratio

_GAP: Final[Mm] = 26.0
_OVERALL: Final = Feature("", "reference")


def general_sheets(stage: Easel) -> list[Sheet]:
    """Three views; section with part list; the filter; turned upright with the gear on."""
    words, options = stage.words, stage.options
    arrangement = stage.once("three views", lambda: _views(stage))
    cut, outside = stage.once("section", lambda: _section(stage)), stage.once("picture", lambda: _picture(stage))
    filter_views = stage.once("filter", lambda: _filter_views(stage))
    turned = stage.once("extraction", lambda: _turned(stage))
    marks = {p.mark for p in stage.solids.pieces}

    def listed(scale: Ratio, height: Mm) -> list[Block]:
        section_block = with_marks(stage, cut, shown, scale, height, words("A–A, cut through the middle"))
        pictures = [] if beside else [picture(scale, height)]
        return [*pictures, section_block, *part_list(stage, marks), _classes(stage)]

    shown = seen_marks(cut)
    rest = {mark: name for mark, name in seen_marks(outside).items() if mark not in shown}
    seen = words(view_name(ISOMETRIC.eye))

    def picture(scale: Ratio, height: Mm, told: str = "") -> Block:
        return with_marks(stage, outside, rest, scale, height, seen + told)

    def views(scale: Ratio, height: Mm) -> list[Block]:
        return [_three(stage, arrangement, scale, height, _overall)]

    def views_beside_picture(scale: Ratio, height: Mm) -> list[Block]:
        return [*views(scale, height), picture(scale, height)]

    def views_and_picture(scale: Ratio, height: Mm) -> list[Block]:
        three = _three(stage, arrangement, scale, height, _overall)
        small = picture(scale / 2, height, f", {scale_text(scale / 2)}")
        x0, _, x1, y1 = three.box
        if options.projection == "first angle":
            left = x1 - small.width
            small = small.put(left, min(item.box[1] for item in three.items if item.box[2] > left - 4.0) - 5.0)
        else:
            small = small.put(x0, y1)
        if any(overlap(item.box, small.box, 4.0) for item in three.items):
            return [three]
        return [Block(three.name, (*three.items, *small.items))]

    note, _ = paragraph(words("Levels count from the underside of the filter."), 0.0, 0.0, 105.0, SMALL)
    levels = Block("levels", note)
    makers = [views_beside_picture, views_and_picture, views] if options.paper.grid else [views]
    first = compose(
        "general-views", words("Mould, ready for casting"), makers, words, options, pages=1, size=size_of(*arrangement)
    )
    beside = any(t.text.startswith(seen) for t in first[0].texts())
    return [
        *first,
        *compose("general-section", words("Mould, section and parts"), listed, words, options, pages=4,
                 size=size_of(cut, outside), ordered=True),
        *compose(
            "filter", words("The filter, standing upright"),
            lambda scale, height: [_three(stage, filter_views, scale, height, _filter_sizes), levels], words, options,
            size=size_of(*filter_views),
        ),
        *compose(
            "extraction",
            words("Turned upright, bridge fitted")
            if stage.solids.dims.has_bridge
            else words("Turned upright, forcing screws fitted"),
            lambda scale, height: _extraction(stage, turned, scale, height), words, options,
            size=size_of(*turned),
        ),
    ]  # fmt: skip


# --- three views -----------------------------------------------------------------------------------------------------

_Three = tuple[View, View, View]


def _classes(stage: Easel) -> Block:
    """What the list has no column for."""
    words, mould = stage.words, stage.solids.mould
    steel, bridge = mould.dims.spec.steel, mould.dims.has_bridge
    welded = mould.piece(Role.ANCHOR_NUT) if bridge else mould.piece(Role.PLATE_NUT, Side.LEFT, Side.FRONT)
    text = words(
        "Bolts: {bolt}. Jack screw: {screw}. Nuts to match; on the anchor plate, where it is welded: {nut}."
        if bridge
        else "Bolts: {bolt}. Forcing screws: {screw}. Nuts to match; on the nut plates, where they are welded: {nut}.",
        bolt=class_words(words, class_text(steel.bolt_class)), screw=class_words(words, class_text(steel.screw_class)),
        nut=class_words(words, grade_of(mould, welded.part)),
    )  # fmt: skip
    lines, _ = paragraph(text, 0.0, 0.0, 105.0, SMALL)
    return Block("classes", lines)


def _views(stage: Easel) -> _Three:
    """From the front, the right and above; the core is not seen from the side."""
    around = [p for p in stage.fitted if p.part.group is not Group.CORE]
    return (
        view(around, FRONT.eye, FRONT.up),
        view(around, RIGHT.eye, RIGHT.up),
        view([*stage.fitted, stage.tube], ABOVE.eye, ABOVE.up),
    )


def _three(stage: Easel, views: _Three, scale: Ratio, height: Mm, sizes: _Sizes) -> Block:
    """Three views as near to each other as their lettering allows."""
    made = [_spaced(stage, views, scale, height, sizes, 0.0)]
    for extra in _EXTRA:
        if not any(meetings(primitives(made[-1].items))):
            return made[-1]
        made.append(_spaced(stage, views, scale, height, sizes, extra))
    return made[-1]


_EXTRA: Final[tuple[Mm, ...]] = (7.0, 14.0, 21.0, 28.0, 35.0)
"""Views that have no room for their dimensions stand so much further apart."""


def _spaced(stage: Easel, views: _Three, scale: Ratio, height: Mm, sizes: _Sizes, extra: Mm) -> Block:
    """Three views in their places by the chosen projection; the front view's lower left corner is at (0, 0).

    Source: ISO 5456-2:1996: in first angle the view from the left lies on the right and the view from above below; in
    third angle the other way about.
    """
    front, side, top = views
    first = stage.options.projection == "first angle"
    x0, y0, x1, y1 = (scale * c for c in front.box)
    sx0, _, sx1, _ = (scale * c for c in side.box)
    _, ty0, _, ty1 = (scale * c for c in top.box)
    between = extra + (sizes.room(stage, height) if first else sizes.between_third)
    under = extra + sizes.under
    places = (
        ViewPlace(scale, -x0, -y0),
        ViewPlace(scale, (x1 - x0 + between - sx0) if first else (-between - sx1), -y0),
        ViewPlace(scale, -x0, (-under - ty1) if first else (y1 - y0 + under - ty0)),
    )
    items: list[Item] = [p for v, place in zip(views, places, strict=True) for p in drawn(v, place)]
    names = [stage.words(name or view_name(v.frame.eye, sizes.up)) for name, v in zip(sizes.names, views, strict=True)]
    written = sizes(stage, views, places, height)
    captions = [
        caption(n, p.box(v.box), height, gap, [*items, *written])
        for n, v, p, gap in zip(names, views, places, sizes.gaps, strict=True)
    ]
    return Block("three views", (*items, *captions, *written))


class _Sizes:
    """What is written beside three views."""

    names: tuple[str, str, str] = ("", "", "")
    """Titles of the views; empty: where it is seen from."""
    up: Vec = UP
    between: Mm = _GAP
    between_third: Mm = _GAP + 8.0
    under: Mm = _GAP
    gaps: tuple[Mm, Mm, Mm] = (4.0, 4.0, 4.0)

    def room(self, stage: Easel, height: Mm) -> Mm:
        """Room between front and side in first angle."""
        return self.between

    def __call__(self, stage: Easel, views: _Three, places: Sequence[ViewPlace], height: Mm) -> list[Item]:
        raise NotImplementedError


class _OverallSizes(_Sizes):
    gaps = (4.0, 4.0, 9.0)

    def __call__(self, stage: Easel, views: _Three, places: Sequence[ViewPlace], height: Mm) -> list[Item]:
        """Overall width, depth and height, and where the section is cut."""
        (front, side, top), (at_front, at_side, at_top) = views, places
        out: list[Item] = [
            span(stage, front, at_front, "x", height),
            span(stage, front, at_front, "y", height),
            span(stage, side, at_side, "x", height),
        ]
        x, low = at_top((0.0, top.box[1]))
        high = at_top((0.0, top.box[3]))[1]
        for end, sign in ((low, -1.0), (high, 1.0)):
            y = end + sign * 5.0
            out += [
                line(Line.CUTTING, (x, end + sign * 1.0), (x, y)),
                line(Line.THIN, (x, y), (x - 7.0, y)),
                arrow((x - 7.0, y), (-1.0, 0.0)),
                Text("A", x + 2.0, y - height / 2, height, bold=True),
            ]
        return out


_overall = _OverallSizes()


def span(stage: Easel, shown: View, place: ViewPlace, axis: str, height: Mm, off: Mm = FIRST) -> Item:
    """Overall size of a view: below it, or on its left."""
    x0, y0, x1, y1 = place.box(shown.box)
    if axis == "x":
        value = shown.box[2] - shown.box[0]
        return linear((x0, y0), (x1, y0), y0 - off, stage.length(value), value, _OVERALL, height=height)
    value = shown.box[3] - shown.box[1]
    return linear((x0, y0), (x0, y1), x0 - off, stage.length(value), value, _OVERALL, upright=True, height=height)


# --- section and picture with marks ----------------------------------------------------------------------------------


def _in_row(piece: PlacedSolid, role: RowRole) -> bool:
    """Whether a piece is a fastener of such a row."""
    return piece.id.row is not None and piece.id.row.role is role


def _section(stage: Easel) -> View:
    kept: list[Solid] = [
        *(p for p in stage.fitted if not _in_row(p, RowRole.CORNER)),
        stage.body,
        stage.tube,
    ]
    return section(kept, whole=stage.whole)


def _picture(stage: Easel) -> View:
    return view(stage.fitted, ISOMETRIC.eye)


def with_marks(
    stage: Easel, shown: View, marks: dict[str, Key], scale: Ratio, height: Mm, name: str, *, sides: str = "both"
) -> Block:
    """A view with the marks of its parts in columns beside it."""
    place = at_corner(shown, scale, 0.0, 0.0)
    box = place.box(shown.box)
    notes = [marked(stage, shown, place, mark, piece, height) for mark, piece in marks.items()]
    room = (box[1], box[3])
    items = [*drawn(shown, place), *columns(notes, box, sides=sides, room=room)]
    if name:
        items.append(caption(name, (box[0], box[1], box[2], union(item.box for item in items)[3]), height))
    return Block(name, tuple(items))


def marked(stage: Easel, shown: View, place: ViewPlace, mark: str, piece: Key, height: Mm) -> Callout:
    """A mark that points at a piece: a dot in it, an arrowhead where it is too thin for one."""
    cut = next((c for c in shown.cuts if c.id == piece), None)
    thin = cut is not None and thickness(cut.area) * place.scale < 2.0
    return mark_callout(mark, place(shown.anchors[piece]), height, dot=not thin)


# --- the filter ------------------------------------------------------------------------------------------------------


def _filter_views(stage: Easel) -> _Three:
    both = [stage.body, stage.tube]
    return (
        view(both, FRONT.eye, DOWN),
        section(both, OUTWARDS["left"], DOWN, whole=stage.whole),
        view(both, DOWN, OUTWARDS["back"]),
    )


class _FilterSizes(_Sizes):
    def room(self, stage: Easel, height: Mm) -> Mm:
        """Room for the levels written on the left of the section."""
        named = _named(stage.solids.dims)
        return max(width(f"{stage.words(name)} {stage.length(level)}", height) for name, level in named) + 16.0

    names = ("", "Cut through the middle", "")
    up = DOWN
    between_third = 16.0
    under = 31.0
    gaps = (4.0, 7.0, 12.0)

    def __call__(self, stage: Easel, views: _Three, places: Sequence[ViewPlace], height: Mm) -> list[Item]:
        """Outside, inside, walls and levels, each once."""
        (front, cut, _), (at_front, at_cut, at_top) = views, places
        dims = stage.solids.dims
        x, y = dims.width / 2, dims.depth / 2
        in_x, in_y = dims.core_half_x(0) + dims.step, dims.core_half_y(0) + dims.step

        def size(
            place: ViewPlace, a: Point, b: Point, off: Mm, upright: bool = False, outside: int = -1, form: str = "{}"
        ) -> Item:
            value = abs(b[1] - a[1]) if upright else abs(b[0] - a[0])
            p, q = place(a), place(b)
            return linear(
                p, q, (p[0] if upright else p[1]) + off, form.format(stage.length(value)), value, _OVERALL,
                upright=upright, height=height, outside=outside,
            )  # fmt: skip

        low = front.box[1]
        tip = scale_of(at_top) * (-y - dims.nose.tip_y)
        out: list[Item] = [
            size(at_front, (-x, low), (x, low), -FIRST, False, 1),
            size(at_front, (-x, low), (-x, 0.0), -FIRST, True),
            size(at_top, (-x, -y), (-x, y), -FIRST, True, 1),
            size(at_top, (in_x, -in_y), (in_x, in_y), FIRST + scale_of(at_top) * (x - in_x), True, -1),
            size(at_top, (-in_x, -y), (in_x, -y), -FIRST - max(0.0, tip), False, -1),
            size(at_top, (in_x, y), (x, y), 6.0, False, 1, "({})"),
            size(at_cut, (y, -dims.height), (-dims.nose.tip_y, -dims.height), -FIRST, False, -1),
        ]
        return out + list(self._levels(stage, cut, at_cut, height))

    def _levels(self, stage: Easel, cut: View, place: ViewPlace, height: Mm) -> list[Primitive]:
        dims = stage.solids.dims
        levels = dims.levels
        out: list[Primitive] = []
        notes = []
        for name, level in _named(dims):
            z = dims.height - level
            half = dims.core_half_y(z) + (dims.step if level >= levels.ledge else 0.0)
            a, b = place((-half, -z)), place((half, -z))
            if name not in ("rim", "floor inside", "ledge", "end of the tube"):
                out.append(line(Line.THIN, a, b))
            text = f"{stage.words(name)} {stage.length(level)}"
            words_right = (Text(text, 0.8, -height / 2, height),)
            words_left = (Text(text, -0.8, -height / 2, height, "end"),)
            notes.append(Callout((a[0] + 1.0, a[1]), 1.3 * height, words_right, words_left))
        box = place.box(cut.box)
        return out + columns(notes, box, 6.0, sides="left", room=(box[1], box[3] + 4))


_filter_sizes = _FilterSizes()


def _named(dims: Dimensions) -> tuple[tuple[str, Mm], ...]:
    """Levels from the rim down; the end of the tube is one of them where it is not the rest level."""
    levels, laid = dims.levels, dims.resting
    rests = {
        Running.FULL: (("rest level", laid.end),),
        Running.WEIR: (("rest level, crest of the tube", laid.invert), ("end of the tube", laid.end)),
        Running.EITHER: (
            ("rest level if the tube empties", laid.invert), ("rest level if the tube stays full", laid.end),
        ),
    }  # fmt: skip
    named = (
        ("rim", levels.rim),
        ("highest water", levels.full),
        ("ledge", levels.ledge),
        *rests[laid.running],
        ("top of the sand", levels.sand_top),
        ("bottom of the sand", levels.sand_bottom),
        ("top of the coarse supporting gravel", levels.fine_gravel_bottom),
        ("floor inside", levels.floor),
    )
    return tuple(sorted(named, key=lambda row: -row[1]))


def scale_of(place: ViewPlace) -> Ratio:
    """Scale of a place."""
    return place.scale


# --- extraction ------------------------------------------------------------------------------------------------------


def _turned(stage: Easel) -> tuple[View, View]:
    """Two sections of the mould turned upright with the gear on, seen from the front and from the side."""
    inside = [p for p in stage.pieces if not (_in_row(p, RowRole.BASE) or p.unit.within(STAND))]
    across: list[Solid] = [*(p for p in inside if p.id.role is not Role.BOLT), stage.body, stage.tube]
    along: list[Solid] = [
        *(p for p in inside if not _in_row(p, RowRole.CORNER) and not _beside(p)), stage.body, stage.tube
    ]  # fmt: skip
    dims = stage.solids.dims
    at_y, at_x = (0.0, 0.0) if dims.has_bridge else (dims.forcing.y, dims.forcing.x)
    return (
        section(across, OUTWARDS["front"], DOWN, level=at_y, whole=stage.whole),
        section(along, OUTWARDS["left"], DOWN, level=at_x, whole=stage.whole),
    )


def _beside(piece: PlacedSolid) -> bool:
    """Whether a piece stands out beside the panels when one looks from the left, and would hide what lies behind."""
    handle = piece.id.role is Role.HANDLE and piece.unit.within(FRONT_PANEL, BACK_PANEL)
    return handle or piece.id.role is Role.CORNER_FLANGE


def _bears(piece: PlacedSolid) -> bool:
    """Whether a piece is of the gear, or next to it bears its pull."""
    landing = piece.id.role is Role.BASE_FLANGE and piece.unit.within(LEFT_PANEL, RIGHT_PANEL)
    return landing or piece.unit.within(GEAR, PADS) or piece.id.role in _BEARING


_BEARING: Final = (Role.GUSSET, Role.ANCHOR_PLATE, Role.ANCHOR_NUT, Role.NUT_PLATE, Role.PLATE_NUT)
"""Roles of what is welded to core and box and bears the pull."""


def _extraction(stage: Easel, views: tuple[View, View], scale: Ratio, height: Mm) -> list[Block]:
    words, dims = stage.words, stage.solids.dims
    across, along = views
    drawn_up = (
        PieceId(Role.BASE_PLATE), PieceId(Role.LEDGE_STRIP, (Side.LEFT,)), PieceId(Role.CORE_WALL, (Side.LEFT,)),
    )  # fmt: skip
    marks = seen_marks(across, {*(p.id for p in stage.pieces if _bears(p)), *drawn_up})
    first = with_marks(stage, across, marks, scale, height, words("Cut across, from the front"))
    place = at_corner(along, scale, 0.0, 0.0)
    box = place.box(along.box)
    title = words(
        "Cut through the middle, from the left" if dims.has_bridge else "Cut through the screws, from the left"
    )
    items: list[Item] = [*drawn(along, place), caption(title, box, height)]
    items.append(span(stage, along, place, "y", height))
    text = (
        words(
            "Fit the screws after the filter has been turned upright, pads on the rim. Turn them in order, each by a "
            "quarter turn: base plate and core rise by {stroke} and are free. Keep hands and feet from under the load; "
            "lifting gear and local rules decide.",
            stroke=stage.length(dims.stroke),
        )
        if not dims.has_bridge
        else words(
            "Fit the bridge after the filter has been turned upright. Turn the two locked nuts: the core rises by "
            "{stroke} and is free. Keep hands and feet from under the load; lifting gear and local rules decide.",
            stroke=stage.length(dims.stroke),
        )
    )
    found = lever(stage.solids.mould)
    stop = words(
        "Paint or etch beside the nut that is turned: STOP {torque} N m, lever {lever}. Torque tells force only within "
        "a factor of about two.",
        torque=words.number(found.torque / 1000, 0),
        lever=stage.length(found.length),
    )
    lines, low = paragraph(text, 0.0, 0.0, 80.0, height)
    more, _ = paragraph(stop, 0.0, low, 80.0, height)
    return [first, Block("from the side", tuple(items)), Block("how", (*lines, *more))]
