"""A sheet for each welded sub-assembly: its pieces and their places, bolt rows, weld symbols, and the weld table."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from mouldgeom.drawing.compose import Maker, compose
from mouldgeom.drawing.hidden import (
    ABOVE,
    BACK,
    BELOW,
    FRONT,
    LEFT,
    RIGHT,
    Frame,
    Key,
    View,
    section,
    view,
)
from mouldgeom.drawing.lettering import SMALL
from mouldgeom.drawing.paper import SCALES
from mouldgeom.drawing.primitives import (
    Block,
    Feature,
    Item,
    Line,
    Primitive,
    Sheet,
    line,
    paragraph,
    union,
)
from mouldgeom.drawing.viewdraw import FIRST, Size, ViewPlace, at_corner, caption, columns, drawn, stacked
from mouldgeom.fabrication.welds import Seam
from mouldgeom.geometry.outline import Point
from mouldgeom.geometry.placement import Vec, dot
from mouldgeom.identity import BASE, BRIDGE, CORE, NOSE, PANELS, STAND, PieceId, Role, Side, Unit
from mouldgeom.model.joints import WeldRole
from mouldgeom.model.sides import DOWN, UP, view_name
from mouldgeom.outputs.papers.general import marked
from mouldgeom.outputs.papers.stage import Easel, seen_marks, size_of
from mouldgeom.outputs.papers.weldmarks import NARROW, WIDE, SeamMark, all_round, symbol, weld_table, welds
from mouldgeom.solids import PlacedSolid
from mouldgeom.units import Mm, Ratio

_CLOSE: Final[Mm] = 0.6
"""Lengths shorter than this are not worth a dimension: fits and weld gaps."""
_BETWEEN: Final[Mm] = 12.0
_READABLE: Final[Mm] = 75.0
"""A view whose longer side is smaller on paper does not save a sheet."""
_ALONG: Final[Mm] = 167.0
"""Notes as wide as the smallest paper run on in one paragraph."""
BEHIND: Final = frozenset({WeldRole.CORE_TO_BASE})
"""Welds on the far side of the joint that is seen from outside."""


@dataclass(frozen=True)
class Sub:
    """A welded sub-assembly: its pieces, the piece that places are measured from, and how it is looked at.

    ``cut``: the main view is a section through the middle.  ``across``: places along the width are given too.
    ``given``: pieces whose place is fixed otherwise (they stand flush, or on another piece); ``inside``: those that
    come welded together from an earlier sheet; ``deep``: those whose place is given in the view from the side.
    ``up``: which way is up for what is shown.
    """

    name: str
    title: str
    pieces: tuple[PlacedSolid, ...]
    datum: PieceId
    frame: Frame
    cut: bool = False
    across: bool = True
    notes: tuple[str, ...] = ()
    given: frozenset[PieceId] = frozenset()
    inside: frozenset[PieceId] = frozenset()
    deep: frozenset[PieceId] = frozenset()
    up: Vec = UP

    @property
    def ids(self) -> frozenset[PieceId]:
        """Which pieces it has."""
        return frozenset(p.id for p in self.pieces)

    @property
    def placed(self) -> list[PlacedSolid]:
        """Pieces whose places are given from the datum piece."""
        free = (p for p in self.pieces if p.id.whole != self.datum and p.id not in self.given)
        return sorted(free, key=lambda p: p.id.order)


def subassembly_sheets(stage: Easel) -> list[Sheet]:
    """One sheet or two for each sub-assembly, in the order of the numbers of their welds."""
    numbered = welds(stage.solids.mould)
    made: list[tuple[int, list[Sheet]]] = []
    done: set[int] = set()
    for sub in subassemblies(stage):
        own = []
        for weld in numbered:
            kept = weld.of(sub.ids)
            fresh = kept and tuple(s for s in kept.seams if id(s) not in done)
            if kept and fresh:
                own.append(replace(kept, seams=fresh))
                done |= {id(s) for s in fresh}
        made.append((min((w.number for w in own), default=len(numbered) + 1), _sheets(stage, sub, own)))
    return [sheet for _, sheets in sorted(made, key=lambda pair: pair[0]) for sheet in sheets]


def subassemblies(stage: Easel) -> list[Sub]:
    """The sub-assemblies of a mould; side panels that are alike share one."""
    words = stage.words
    plain = [p for p in stage.pieces if p.id.row is None]

    def of(unit: Unit) -> tuple[PlacedSolid, ...]:
        return tuple(p for p in plain if p.unit.within(unit))

    def ids(pieces: Sequence[PlacedSolid], *roles: Role) -> frozenset[PieceId]:
        return frozenset(p.id for p in pieces if p.id.role in roles)

    def panel(side: Side, title: str, frame: Frame, *notes: str, name: str = "") -> Sub:
        own = of(PANELS[side])
        flush = ids(own, Role.CORNER_FLANGE, Role.GUSSET, Role.KEEPER, Role.HANGER)
        datum = PieceId(Role.PANEL, (side,))
        return Sub(f"weld-{name or side}", title, own, datum, frame, notes=notes, given=flush)

    nose, core, base, bridge = of(NOSE), of(CORE), of(BASE), of(BRIDGE)
    gear = ids(base, Role.NUT_PLATE, Role.PLATE_NUT)
    joined = (Role.CORE_WALL, Role.LEDGE_STRIP, Role.END_PLATE, Role.BASE_PLATE)
    walls = tuple(p for p in (*core, *base) if p.id.role in joined)
    front_strip = PieceId(Role.LEDGE_STRIP, (Side.FRONT,))
    base_plate = PieceId(Role.BASE_PLATE)
    upright = Frame.towards(FRONT.eye, DOWN)
    front = panel(Side.FRONT, words("Front panel"), FRONT,
                  words("Nose: its inner faces stand level with the edges of the opening."))  # fmt: skip
    out = [
        Sub("weld-core", words("Core"), core, PieceId(Role.CORE_WALL, (Side.LEFT,)), FRONT, True, False,
            given=ids(core, Role.ANCHOR_NUT)),
        Sub("weld-base", words("Base plate with runners, nut plates and nuts") if gear
            else words("Base plate with runners"), base, base_plate, BELOW, given=ids(base, Role.PLATE_NUT)),
        Sub(
            "weld-core-base", words("Core on the base plate"), walls, base_plate, ABOVE,
            given=ids(walls, *joined) - {front_strip}, inside=ids(walls, Role.LEDGE_STRIP, Role.END_PLATE),
            notes=(words("Weld inside the core only: no bead on the concrete side."),),
        ),
        Sub("weld-nose", words("Nose box"), nose, PieceId(Role.NOSE_FRONT), FRONT, across=False,
            notes=(words("Build it up on the front panel: its sheet shows the other welds of the nose."),)),
        replace(front, given=front.given | {p.id for p in nose}, inside=frozenset(p.id for p in nose)),
        panel(Side.BACK, words("Back panel"), BACK),
    ]  # fmt: skip
    if alike(of(PANELS[Side.LEFT]), of(PANELS[Side.RIGHT])):
        note = words("Make two: the left and the right panel are alike, turned half round. The left one is drawn.")
        out.append(panel(Side.LEFT, words("Side panels, left and right"), LEFT, note, name="sides"))
    else:
        out += [panel(Side.LEFT, words("Side panel, left"), LEFT), panel(Side.RIGHT, words("Side panel, right"), RIGHT)]
    if not bridge:
        return out
    beam = PieceId(Role.BRIDGE_BEAM, (Side.FRONT,))
    legs = ids(bridge, Role.BRIDGE_LEG)
    out.append(Sub("weld-bridge", words("Bridge"), bridge, beam, upright, deep=legs, up=DOWN))
    trestle = tuple(p for p in of(STAND) if Side.LEFT in p.id.place and p.id.role is not Role.LOCK_ROD)
    if trestle:
        note = words("Make two trestles: the right one is the left one, turned half round.")
        foot, flush = PieceId(Role.STAND_FOOT, (Side.LEFT,)), ids(trestle, Role.STAND_CHEEK)
        out.append(Sub("weld-trestle", words("Trestle of the stand"), trestle, foot, LEFT, notes=(note,), given=flush))
    return out


def alike(one: Sequence[PlacedSolid], other: Sequence[PlacedSolid]) -> bool:
    """Whether one panel turned half round about the upright axis is the other: same marks in the same boxes."""

    def places(pieces: Sequence[PlacedSolid], sign: float) -> list[tuple[object, ...]]:
        out = []
        for piece in pieces:
            box = piece.shape.BoundingBox()
            xs = sorted((sign * box.xmin, sign * box.xmax))
            ys = sorted((sign * box.ymin, sign * box.ymax))
            out.append((piece.mark, *(round(v, 2) + 0.0 for v in (*xs, *ys, box.zmin, box.zmax))))
        return sorted(out, key=repr)

    return places(one, 1.0) == places(other, -1.0)


# --- one sheet -------------------------------------------------------------------------------------------------------


def _sheets(stage: Easel, sub: Sub, own: Sequence[SeamMark]) -> list[Sheet]:
    frame = sub.frame
    first = stage.options.projection == "first angle"
    eye: Vec = frame.right if first else _minus(frame.right)
    main = stage.once(sub.name, lambda: _main(stage, sub))
    side = stage.once(f"{sub.name} {eye}", lambda: view(sub.pieces, eye, frame.up))

    def maker(widths: Sequence[Mm], room: Mm, brief: bool) -> Maker:
        def make(scale: Ratio, height: Mm) -> list[Block]:
            blocks = [_views(stage, sub, main, side, own, scale, height, brief)]
            if own:
                blocks.append(weld_table(own, stage.words, stage.weld_length, widths=widths))
            return [*blocks, _notes(stage, sub, own, room)]

        return make

    def composed(pages: int, scales: Sequence[Ratio], brief: bool = False) -> list[Sheet]:
        arranged = ((NARROW, 92.0), (NARROW, _ALONG), (WIDE, _ALONG), (WIDE, 74.0))
        makers = [maker(widths, room, brief) for widths, room in arranged]
        return compose(
            sub.name, sub.title, makers, stage.words, stage.options,
            document=stage.words("Welding drawing"), size=size_of(main), pages=pages, scales=scales,
        )  # fmt: skip

    try:
        return composed(1, _one_sheet(main))
    except ValueError:
        pass
    try:
        return composed(2, SCALES)
    except ValueError:
        return composed(2, SCALES, brief=True)


def _main(stage: Easel, sub: Sub) -> View:
    frame = sub.frame
    if sub.cut:
        return section(sub.pieces, frame.eye, frame.up, whole=stage.whole)
    return view(sub.pieces, frame.eye, frame.up)


def _minus(v: Vec) -> Vec:
    return (-v[0], -v[1], -v[2])


def _views(
    stage: Easel, sub: Sub, main: View, side: View, own: Sequence[SeamMark], scale: Ratio, height: Mm, brief: bool
) -> Block:
    """The main view with places, marks and weld symbols, and on its left the view from the side."""
    place = at_corner(main, scale, 0.0, 0.0)
    box = place.box(main.box)
    items: list[Item] = [*drawn(main, place), *_bolt_crosses(stage, sub, main, place)]
    here = {c.id for c in main.cuts} if sub.cut else set(main.of_piece)
    loose = sub.ids - sub.inside
    shown = seen_marks(main, loose & (here | stage.whole))
    rest = {mark: key for mark, key in seen_marks(side, loose).items() if mark not in shown}
    beside = not sub.cut and not rest and not sub.deep
    shown = {mark: _piece(main, mark, key, loose & (here | stage.whole), beside) for mark, key in shown.items()}
    marks = [marked(stage, main, place, mark, key, height) for mark, key in shown.items()]
    symbols = [
        symbol(
            seam, weld.mark, target, stage.weld_length,
            around=all_round(weld.first), behind=not sub.cut and seam.role in BEHIND, brief=brief,
        )
        for weld in own
        for target, seam in [_target(weld, main, place)]
    ]  # fmt: skip
    room, middle = (box[1] - 10.0, box[3] + 10.0), (box[0] + box[2]) / 2
    lefts = [c for c in marks if beside and c.target[0] < middle + 1.0]
    sides = columns([c for c in marks if c not in lefts] + symbols, box, 9.0, sides="right", room=room)
    on_left = columns(lefts, box, 9.0, sides="left", room=(box[1], box[3]))
    sides += on_left
    items += sides
    places = [] if beside else _heights(stage, sub, place, box[0], height, sides)
    left = min([box[0], *(item.box[0] for item in (*places, *sides))])
    at_side = ViewPlace(scale, left - _BETWEEN - scale * side.box[2], place.y)
    side_box = at_side.box(side.box)
    items += [*drawn(side, at_side), *_bolt_crosses(stage, sub, side, at_side)]
    others = columns([marked(stage, side, at_side, mark, key, height) for mark, key in rest.items()],
                     side_box, 7.0, sides="left")  # fmt: skip
    heights = places or _heights(stage, sub, place, side_box[0], height, others)
    items += heights
    around = [*sides, *heights, *others]
    below = _deep(stage, sub, side, at_side, height, around)
    floor = min([box[1], *(item.box[1] + 4.0 for item in places)])
    below += _across(stage, sub, place, floor, height, [*around, *below])
    items += [*below, *others]
    words = stage.words
    told = [*around, *below]
    beyond = max([5.0, *(p.box[3] - side_box[3] + 2.0 for p in on_left)])
    items.append(caption(words(view_name(side.frame.eye, sub.up)), side_box, SMALL, beyond, told))
    seen = words("Cut through the middle") if sub.cut else words(view_name(main.frame.eye, sub.up))
    items.append(caption(seen, box, SMALL, max(5.0, union(p.box for p in sides)[3] - box[3] + 2.0), told))
    return Block(sub.title, tuple(items))


def _piece(main: View, mark: str, key: Key, among: Collection[Key], beside: bool) -> Key:
    """Of the pieces of a mark the one that the leader reaches without crossing the view."""
    if beside:
        return key
    alike = [k for k in main.anchors if k in among and main.marks.get(k) == mark]
    return max([key, *alike], key=lambda k: main.anchors[k][0])


def _one_sheet(main: View) -> tuple[Ratio, ...]:
    """Scales at which a view is still easy to read on a single sheet (common practice, no source)."""
    x0, y0, x1, y1 = main.box
    return tuple(s for s in SCALES if s * max(x1 - x0, y1 - y0) >= _READABLE)


def _deep(stage: Easel, sub: Sub, side: View, place: ViewPlace, height: Mm, around: Sequence[Item]) -> list[Item]:
    """Places of some pieces in the view from the side, from the edge of all."""
    x0, y0, _, _ = side.box
    lefts = {round(_box(p, side.frame)[0] - x0, 2): p.mark for p in sub.pieces if p.id in sub.deep}
    ends = {value: (place((x0, y0)), place((x0 + value, y0))) for value in lefts if value > _CLOSE}
    return list(stacked(_sizes(stage, ends, lefts), place((x0, y0))[1] - FIRST, around, height=height))


def _target(weld: SeamMark, main: View, place: ViewPlace) -> tuple[Point, Seam]:
    """A point on the root of a weld, and its seam with that line alone.

    It is on the line that lies furthest right in the view, a third along it.
    """
    spots = []
    for seam in weld.seams:
        for a, b in seam.lines:
            (ax, ay), (bx, by) = main.at(a), main.at(b)
            spot = (round(ax + (bx - ax) * 0.36, 3), round(ay + (by - ay) * 0.36, 3))
            spots.append((spot, replace(seam, lines=((a, b),))))
    spot, seam = max(spots, key=lambda found: found[0])
    return place(spot), seam


def _bolt_crosses(stage: Easel, sub: Sub, shown: View, place: ViewPlace) -> list[Primitive]:
    """Centre lines of the bolts that stand square to the view."""
    out: list[Primitive] = []
    for row in stage.solids.mould.rows:
        if sub.ids.isdisjoint(row.members) or abs(dot(row.axis, shown.frame.eye)) < 0.999:
            continue
        reach = place.scale * row.hole / 2 + 1.6
        for point in row.points:
            x, y = place(shown.at(point))
            out += [line(Line.THIN, (x - reach, y), (x + reach, y)), line(Line.THIN, (x, y - reach), (x, y + reach))]
    return out


def _sizes(stage: Easel, ends: Mapping[Mm, tuple[Point, Point]], marks: Mapping[Mm, str]) -> list[Size]:
    """Lengths in ascending order, each between its two ends and with the mark that it places."""
    return [Size(*ends[v], v, stage.length(v), Feature(marks[v], "reference")) for v in sorted(ends)]


def _heights(
    stage: Easel, sub: Sub, place: ViewPlace, left: Mm, height: Mm, around: Sequence[Item]
) -> list[Item]:  # fmt: skip
    """Heights of lower edges above that of the datum piece, on the left of what ends at x = ``left`` of the paper."""
    _, y0, _, y1 = _datum(sub)
    heights: dict[Mm, str] = {}
    for piece in sub.placed:
        low = _box(piece, sub.frame)[1] - y0
        if low > _CLOSE:
            heights.setdefault(round(low, 2), piece.mark)
    heights.setdefault(round(y1 - y0, 2), "")
    ends = {v: ((left, place((0.0, y0))[1]), (left, place((0.0, y0 + v))[1])) for v in heights}
    return list(stacked(_sizes(stage, ends, heights), left - FIRST, around, upright=True, height=height))


def _across(stage: Easel, sub: Sub, place: ViewPlace, floor: Mm, height: Mm, around: Sequence[Item]) -> list[Item]:
    """Distances of left edges from that of the datum piece, below y = ``floor`` of the paper."""
    if not sub.across:
        return []
    x0, y0, x1, _ = _datum(sub)
    lefts: dict[Mm, str] = {}
    for piece in sub.placed:
        left = _box(piece, sub.frame)[0] - x0
        if left > _CLOSE:
            lefts.setdefault(round(left, 2), piece.mark)
    lefts.setdefault(round(x1 - x0, 2), "")
    ends = {v: (place((x0, y0)), place((x0 + v, y0))) for v in lefts}
    return list(stacked(_sizes(stage, ends, lefts), floor - FIRST, around, height=height))


def _datum(sub: Sub) -> tuple[Mm, Mm, Mm, Mm]:
    """The box of the datum piece, or of the two angles that stand for it."""
    return union(_box(p, sub.frame) for p in sub.pieces if p.id.whole == sub.datum)


def _box(piece: PlacedSolid, frame: Frame) -> tuple[Mm, Mm, Mm, Mm]:
    box = piece.shape.BoundingBox()
    corners = [
        frame.at((x, y, z))
        for x in (box.xmin, box.xmax)
        for y in (box.ymin, box.ymax)
        for z in (box.zmin, box.zmax)
    ]  # fmt: skip
    xs, ys = [c[0] for c in corners], [c[1] for c in corners]
    return min(xs), min(ys), max(xs), max(ys)


def _notes(stage: Easel, sub: Sub, own: Sequence[SeamMark], room: Mm) -> Block:
    """How to keep it straight."""
    words = stage.words
    told = [*sub.notes, words("z is the leg of the fillet; n × l (e): n runs of length l, e apart.")]
    if any(w.first.pattern for w in own):
        told.append(words("Weld in the order of the numbers. Tack both ends of every seam first, then the middle."))
        told.append(words("Clamp the sheet flat; work outwards from the middle, alternate sides, let it cool clamped."))
    else:
        told.append(words("Weld in the order of the numbers. Tack all corners, check the diagonals, then weld."))
    if any(w.first.flush for w in own):
        told.append(words("Grind flush seams level with the concrete face; no bead stands out on that side."))
    told.append(words("Fume, arc and fire: see the cautions of the build sheet. A trained welder decides."))
    items: list[Item] = []
    y = 0.0
    for sentence in [" ".join(told)] if room >= _ALONG else told:
        lines, y = paragraph(sentence, 0.0, y, room, SMALL)
        items += lines
        y -= 0.8
    return Block("notes", tuple(items))
