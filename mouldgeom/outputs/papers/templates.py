"""Hole-marking templates at 1:1: print without scaling, check the bar, join the tiles, lay on the datum edge, punch.

A plate with holes is cut into tiles that overlap; a bar is cut into strips, several on a sheet.  Lettering is at least
5 mm high, lines are few: outline, openings, holes with centre crosses, datum edges, cut lines and join marks.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from mouldgeom.drawing import lettering
from mouldgeom.drawing.dimensioning import label
from mouldgeom.drawing.layout import Obstacles
from mouldgeom.drawing.lettering import LARGE, PITCH
from mouldgeom.drawing.paper import Paper, PaperOptions, band, numbered
from mouldgeom.drawing.primitives import (
    Box,
    Circle,
    Item,
    Line,
    Primitive,
    Sheet,
    Stroke,
    Text,
    arrow,
    line,
    rectangle,
)
from mouldgeom.geometry.outline import Outline, Point
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Bar, ConcreteFace, Plate, SectionKind
from mouldgeom.outputs.papers.bar_blocks import bar_size, views_of
from mouldgeom.outputs.papers.naming import bar_holes, part_name, plate_holes
from mouldgeom.outputs.papers.plate_blocks import PURPOSES
from mouldgeom.units import MM_PER_INCH, Mm
from mouldgeom.words import Words

OVERLAP: Final[Mm] = 10.0
"""How far a tile runs over its neighbour (common practice, no source)."""
EDGE: Final[Mm] = 10.0
"""Border that every printer leaves white (common practice, no source)."""
NEXT: Final[Mm] = PITCH * LARGE
"""Distance of two lines of writing."""
STRIP: Final[Mm] = 15.5 + 5 * NEXT
"""Room at the lower edge for the scale bar and five lines of words."""
CROSS: Final[Mm] = 6.0
"""Reach of a centre cross beyond the hole, at least."""


@dataclass(frozen=True)
class _Hole:
    number: int
    x: Mm
    y: Mm
    diameter: Mm
    purpose: str


@dataclass(frozen=True)
class _Pattern:
    """What is marked: lines and holes in the part's own frame, as seen from the side to be marked."""

    mark: str
    title: str
    shapes: tuple[Stroke, ...]
    holes: tuple[_Hole, ...]
    width: Mm
    height: Mm
    faced: bool = False


def template_sheets(mould: Mould, words: Words, options: PaperOptions) -> list[Sheet]:
    """Templates of every plate and every bar that has holes.

    A plate with one hole that would take more than one sheet has none: two measures do.
    """
    sheets: list[Sheet] = []
    for part in mould.parts:
        if isinstance(part, Plate) and part.holes:
            tiles = list(_plate_tiles(_plate_pattern(part, words), words, options))
            sheets += tiles if len(part.holes) > 1 or len(tiles) == 1 else []
    strips = [p for part in mould.parts if isinstance(part, Bar) for p in _bar_patterns(part, words)]
    sheets += _bar_sheets(strips, words, options)
    return numbered(sheets)


def _plate_pattern(plate: Plate, words: Words) -> _Pattern:
    shapes = (_stroke(plate.outline), *(_stroke(o) for o in plate.openings))
    holes = tuple(_Hole(i, h.x, h.y, h.diameter, PURPOSES[h.purpose]) for i, h in enumerate(plate_holes(plate), 1))
    _, _, wide, high = plate.outline.bounds
    faced = plate.concrete_face is not ConcreteFace.NONE
    return _Pattern(plate.mark, part_name(words, plate), shapes, holes, wide, high, faced)


def _stroke(shape: Outline) -> Stroke:
    return Stroke(Line.VISIBLE, shape.vertices, closed=True)


def _bar_patterns(bar: Bar, words: Words) -> Iterator[_Pattern]:
    """A strip for each leg with holes, its outer face up, the start at the left."""
    if not bar.holes:
        return
    wide, _ = bar_size(bar)
    heel = bar.kind is SectionKind.ANGLE
    for leg in views_of(bar):
        sign = -1.0 if leg == "x" else 1.0
        zero = (wide if leg == "x" else 0.0) if heel else wide / 2
        holes = tuple(
            _Hole(i, h.along, zero + sign * h.offset, h.diameter, PURPOSES[h.purpose])
            for i, h in enumerate(bar_holes(bar), 1)
            if h.leg == leg
        )
        edge = line(Line.VISIBLE, (0, 0), (bar.length, 0), (bar.length, wide), (0, wide), closed=True)
        datum = words("heel at the top") if leg == "x" else words("heel at the bottom")
        title = f"{part_name(words, bar)}, {datum}" if heel else part_name(words, bar)
        yield _Pattern(bar.mark, title, (edge,), holes, bar.length, wide)


# --- tiles of a plate ------------------------------------------------------------------------------------------------


def _room(paper: Paper) -> Box:
    """Where a tile may lie on a sheet."""
    return EDGE, EDGE + STRIP, paper.width - EDGE, paper.height - EDGE - paper.head


def _cuts(length: Mm, room: Mm, holes: Sequence[tuple[Mm, Mm]]) -> list[Mm]:
    """Where a length is cut so that no piece is longer than ``room`` and no hole (middle, radius) lies on a cut."""
    cuts = [0.0]
    while length - cuts[-1] > room + 1e-9:
        left = length - cuts[-1]
        even = left / math.ceil(left / room - 1e-9)
        steps = sorted((cuts[-1] + room - i for i in range(int(room / 2))), key=lambda c: abs(c - cuts[-1] - even))
        free = (c for c in steps if all(abs(c - at) > radius + CROSS + 1 for at, radius in holes))
        cuts.append(next(free, cuts[-1] + even))
    return [*cuts, length]


def _grid(pattern: _Pattern, paper: Paper) -> tuple[list[Mm], list[Mm]]:
    """Edges of the columns and of the rows of tiles."""
    x0, y0, x1, y1 = _room(paper)
    across = [(h.x, h.diameter / 2) for h in pattern.holes]
    up = [(h.y, h.diameter / 2) for h in pattern.holes]
    return _cuts(pattern.width, x1 - x0 - 2 * OVERLAP, across), _cuts(pattern.height, y1 - y0 - 2 * OVERLAP, up)


def _plate_tiles(pattern: _Pattern, words: Words, options: PaperOptions) -> Iterator[Sheet]:
    both = (options.paper, options.paper.turned)
    paper = min(both, key=lambda p: math.prod(len(edges) - 1 for edges in _grid(pattern, p)))
    xs, ys = _grid(pattern, paper)
    columns, rows = len(xs) - 1, len(ys) - 1
    joins = _joins(pattern, xs, ys)
    x0, _, x1, y1 = _room(paper)
    face = words("Lay on the concrete face.") if pattern.faced else words("Lay on either face.")
    for row in range(rows):
        for column in range(columns):
            own: Box = (xs[column], ys[row], xs[column + 1], ys[row + 1])
            left = x0 + (x1 - x0 - own[2]) / 2 if columns == 1 else x0 + OVERLAP
            move = (left - own[0], y1 - OVERLAP - own[3])
            seen = (
                own[0] - (OVERLAP if column else 0),
                own[1] - (OVERLAP if row else 0),
                own[2] + (OVERLAP if column < columns - 1 else 0),
                own[3] + (OVERLAP if row < rows - 1 else 0),
            )
            items = _tile(pattern, seen, own, move, words, joins, _room(paper))
            place = words(
                "Tile: column {column} of {columns}, row {row} of {rows} from below.",
                column=column + 1,
                columns=columns,
                row=row + 1,
                rows=rows,
            )
            title = words("{mark} {name}: hole template", mark=pattern.mark, name=pattern.title)
            where = (place, face) if rows * columns > 1 else ("", face)
            name = f"template-{pattern.mark}-{row * columns + column + 1}"
            yield _sheet(name, title, where, paper, items, words, options)


def _tile(
    pattern: _Pattern, seen: Box, own: Box, move: Point, words: Words, joins: Sequence[_Join], within: Box
) -> list[Item]:
    """What is seen through a window, and the marks of its joins; labels stay within a box."""
    items: list[Primitive] = []
    for shape in pattern.shapes:
        items += [piece.moved(*move) for piece in _clipped(shape, seen)]
    items += [p.moved(*move) for p in _datum(pattern, seen, words)]
    items += [p.moved(*move) for p in _cut_lines(seen, own)]
    items += [p.moved(*move) for join in joins if (side := join.side(own)) for p in join.mark(side)]
    return _with_holes(items, [h for h in pattern.holes if _holds(own, h)], move, words, within)


def _with_holes(
    items: Sequence[Primitive], shown: Sequence[_Hole], move: Point, words: Words, within: Box
) -> list[Item]:
    """What is there already, the holes, and their labels where there is room for them."""
    out = [*items, *(p.moved(*move) for h in shown for p in _hole(h))]
    obstacles = Obstacles(out)
    for h in shown:
        out += _told(h, move, words, obstacles, within)
    return list(out)


def _holds(box: Box, hole: _Hole) -> bool:
    return box[0] <= hole.x <= box[2] and box[1] <= hole.y <= box[3]


def _hole(hole: _Hole) -> tuple[Primitive, ...]:
    """Circle, centre cross and centre dot of a hole."""
    r = hole.diameter / 2
    reach = r + CROSS
    return (
        Circle(Line.VISIBLE, hole.x, hole.y, r),
        line(Line.THIN, (hole.x - reach, hole.y), (hole.x + reach, hole.y), weight=0.18),
        line(Line.THIN, (hole.x, hole.y - reach), (hole.x, hole.y + reach), weight=0.18),
    )


def _told(hole: _Hole, move: Point, words: Words, obstacles: Obstacles, within: Box) -> tuple[Primitive, ...]:
    """Number and diameter beside a hole."""
    text = f"{hole.number}: Ø {words.diameter(hole.diameter)}"
    return label(hole.x + move[0], hole.y + move[1], hole.diameter / 2, text, obstacles, LARGE, within)


def _datum(pattern: _Pattern, seen: Box, words: Words) -> Iterator[Primitive]:
    """Arrows and words along the left and the lower edge, from which everything is measured."""
    word = words("datum edge")
    wide = lettering.width(word, LARGE)
    if seen[0] <= 0:
        y = (max(seen[1], 0) + min(seen[3], pattern.height)) / 2
        yield from _edge_mark((0, y), (-1.0, 0.0))
        if (min(seen[3], pattern.height) - max(seen[1], 0)) / 2 > wide + 10:
            yield Text(word, -2.0, y + 8, LARGE, "start", 90.0)
    if seen[1] <= 0:
        x = (max(seen[0], 0) + min(seen[2], pattern.width)) / 2
        yield from _edge_mark((x, 0), (0.0, -1.0))
        if (min(seen[2], pattern.width) - max(seen[0], 0)) / 2 > wide + 10:
            yield Text(word, x + 8, -2.0 - LARGE, LARGE)


def _edge_mark(at: Point, away: Point) -> Iterator[Primitive]:
    """A heavy arrow onto a datum edge from outside."""
    yield arrow(at, (-away[0], -away[1]), 5.0)
    yield line(Line.THIN, (at[0] + 4 * away[0], at[1] + 4 * away[1]), (at[0] + 8 * away[0], at[1] + 8 * away[1]))


def _cut_lines(seen: Box, own: Box) -> Iterator[Primitive]:
    """Lines to cut a tile along, where it has neighbours."""
    for k in (0, 1):
        for side in (k, k + 2):
            if seen[side] != own[side]:
                low, high = seen[1 - k], seen[3 - k]
                ends = ((own[side], low), (own[side], high)) if k == 0 else ((low, own[side]), (high, own[side]))
                yield line(Line.CUTTING, *ends, weight=0.25)


@dataclass(frozen=True)
class _Join:
    """A mark on a cut line that falls together with that of the neighbour: a ring with a cross, and a letter."""

    letter: str
    x: Mm
    y: Mm
    upright: bool

    def side(self, own: Box) -> int:
        """1 if the mark is on the left or lower edge of a tile, -1 on the right or upper edge, else 0."""
        k = 0 if self.upright else 1
        at = (self.x, self.y)
        if not own[1 - k] <= at[1 - k] <= own[3 - k]:
            return 0
        return 1 if at[k] == own[k] else -1 if at[k] == own[k + 2] else 0

    def mark(self, side: int) -> tuple[Primitive, ...]:
        """What is drawn on the tile of that side, the letter inside of it."""
        x, y = self.x, self.y
        up = 2.2 if side > 0 else -2.2 - LARGE
        spot = (x + 9.5 * side, y + 3.0) if self.upright else (x + 9.5, y + up)
        return (
            Circle(Line.THIN, x, y, 4.0),
            line(Line.THIN, (x - 5.5, y), (x + 5.5, y)),
            line(Line.THIN, (x, y - 5.5), (x, y + 5.5)),
            Text(self.letter, *spot, LARGE, "middle", bold=True),
        )


def _joins(pattern: _Pattern, xs: Sequence[Mm], ys: Sequence[Mm]) -> list[_Join]:
    """Two marks for each pair of neighbours, clear of edges, holes and each other; fewer where there is no room."""
    obstacles = Obstacles([*pattern.shapes, *(p for h in pattern.holes for p in _hole(h))])
    out: list[_Join] = []
    for upright, cuts, spans in ((True, xs, ys), (False, ys, xs)):
        for low, high in pairwise(spans):
            for cut in cuts[1:-1]:
                for first in (0.15, 0.85):
                    shares = [first + (0.02 * i if first < 0.5 else -0.02 * i) for i in range(17)]
                    made = [_join(_letter(len(out)), cut, low + s * (high - low), upright) for s in shares]
                    mark = next((m for m in made if _clear(m, obstacles)), None)
                    if mark is not None:
                        out.append(mark)
                        for part in (*mark.mark(1), *mark.mark(-1)):
                            obstacles.add(part)
    return out


def _join(letter: str, cut: Mm, along: Mm, upright: bool) -> _Join:
    return _Join(letter, cut, along, True) if upright else _Join(letter, along, cut, False)


def _clear(join: _Join, obstacles: Obstacles) -> bool:
    """Whether mark and letters of both sides meet no line of the pattern."""
    letters = [p for side in (1, -1) for p in join.mark(side) if isinstance(p, Text)]
    arms = (((join.x - 6, join.y), (join.x + 6, join.y)), ((join.x, join.y - 6), (join.x, join.y + 6)))
    return not any(obstacles.meets(t, 1.0) for t in letters) and not any(obstacles.crossings(a, b) for a, b in arms)


def _letter(number: int) -> str:
    """A, B ... Z, AA, AB ..."""
    high, low = divmod(number, 26)
    return (_letter(high - 1) if high else "") + chr(ord("A") + low)


def _clipped(shape: Stroke, box: Box) -> Iterator[Stroke]:
    """The pieces of a line within a box; a line that lies in it whole keeps its arcs."""
    x0, y0, x1, y1 = shape.box
    if box[0] <= x0 and box[1] <= y0 and x1 <= box[2] and y1 <= box[3]:
        yield shape
        return
    run: list[Point] = []
    points = shape.points
    for a, b in pairwise(points):
        cut = _cut(a, b, box)
        if cut is None or (run and math.dist(run[-1], cut[0]) > 1e-9):
            if len(run) > 1:
                yield line(shape.kind, *run)
            run = []
        if cut is not None:
            run = [*(run or [cut[0]]), cut[1]]
    if len(run) > 1:
        yield line(shape.kind, *run)


def _cut(a: Point, b: Point, box: Box) -> tuple[Point, Point] | None:
    """The part of a straight piece in a box.

    Source: Liang and Barsky, A new concept and method for line clipping, 1984.
    """
    low, high = 0.0, 1.0
    for k in (0, 1):
        d = b[k] - a[k]
        for wall, sign in ((box[k], -1.0), (box[k + 2], 1.0)):
            p, q = sign * d, sign * (wall - a[k])
            if p == 0:
                if q < 0:
                    return None
            elif p < 0:
                low = max(low, q / p)
            else:
                high = min(high, q / p)
    if low >= high:
        return None

    def at(t: float) -> Point:
        return a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])

    return at(low), at(high)


# --- strips of bars --------------------------------------------------------------------------------------------------


def _bar_sheets(patterns: Sequence[_Pattern], words: Words, options: PaperOptions) -> Iterator[Sheet]:
    """Strips of bars, cut to the width of the sheet, one below the other."""
    paper = max((options.paper, options.paper.turned), key=lambda p: p.width)
    x0, y0, x1, y1 = _room(paper)
    long = x1 - x0 - 2 * OVERLAP
    strips: list[tuple[_Pattern, list[Mm], int]] = []
    for pattern in patterns:
        cuts = _cuts(pattern.width, long, [(h.x, h.diameter / 2) for h in pattern.holes])
        strips += [(pattern, cuts, i) for i in range(len(cuts) - 1)]
    page: list[Item] = []
    marks: list[str] = []
    top, number = y1, 0

    def made() -> Sheet:
        title = words("Flange templates {marks}", marks=", ".join(dict.fromkeys(marks)))
        told = words("Lay on the outer face of the leg.")
        return _sheet(f"template-bars-{number}", title, ("", told), paper, page, words, options)

    for pattern, cuts, index in strips:
        count = len(cuts) - 1
        piece = words("piece {piece} of {pieces} from the end marked 0", piece=index + 1, pieces=count)
        told = f"{pattern.mark} {pattern.title}" + (f", {piece}" if count > 1 else "")
        heading = lettering.wrapped(told, long, LARGE)
        more = (len(heading) - 1) * NEXT
        tall = pattern.height + 3 * LARGE + 14 + more
        if top - tall < y0 and page:
            number += 1
            yield made()
            page, marks, top = [], [], y1
        own = (cuts[index], 0.0, cuts[index + 1], pattern.height)
        seen = (
            own[0] - (OVERLAP if index else 0),
            0.0,
            own[2] + (OVERLAP if index < count - 1 else 0),
            pattern.height,
        )
        move = (x0 + OVERLAP - own[0], top - 2.6 * LARGE - more - pattern.height)
        head = [Text(t, x0 + OVERLAP, top - LARGE - 1 - i * NEXT, LARGE) for i, t in enumerate(heading)]
        within = (x0, top - tall + 1, x1, head[-1].box[1] - 0.5)
        page += [*head, *_strip(pattern, seen, own, move, words, within)]
        marks.append(pattern.mark)
        top -= tall
    if page:
        number += 1
        yield made()


def _strip(pattern: _Pattern, seen: Box, own: Box, move: Point, words: Words, within: Box) -> list[Item]:
    """A piece of a bar; labels stay within a box."""
    items: list[Primitive] = []
    for shape in pattern.shapes:
        items += [piece.moved(*move) for piece in _clipped(shape, seen)]
    if seen[0] <= 0:
        items += [p.moved(*move) for p in (Text("0", -2.0, pattern.height / 2 - LARGE / 2, LARGE, "end", bold=True),)]
    for edge in (own[0], own[2]):
        if 1e-6 < edge < pattern.width - 1e-6:
            items.append(line(Line.CUTTING, (edge, -3), (edge, pattern.height + 3), weight=0.25).moved(*move))
            low = pattern.height / 8
            items += [p.moved(*move) for p in _cross(edge, low)]
    return _with_holes(items, [h for h in pattern.holes if own[0] <= h.x <= own[2]], move, words, within)


def _cross(x: Mm, y: Mm) -> Iterator[Primitive]:
    yield Circle(Line.THIN, x, y, 2.0)
    yield line(Line.THIN, (x - 3.5, y), (x + 3.5, y))


# --- the sheet -------------------------------------------------------------------------------------------------------


def _sheet(
    name: str,
    title: str,
    where: tuple[str, str],
    paper: Paper,
    items: Sequence[Item],
    words: Words,
    options: PaperOptions,
) -> Sheet:
    """A sheet without frame: words, number and scale bar along the lower edge."""
    x0, y0, x1, y1 = EDGE, EDGE, paper.width - EDGE, paper.height - EDGE
    room = x1 - x0
    verdict = words("Status: {status}", status=words(str(options.status)))
    titles = lettering.wrapped(title, room - 30, LARGE, True)
    texts = [where[0], f"{where[1]} {words('Print at 100 %, check the bars.')}", verdict]
    told = [part for text in texts if text for part in lettering.wrapped(text, room, LARGE)]
    number, tall = lettering.settled(options.number, 60, LARGE)
    top = y0 + 14.5 + (len(titles) + len(told) - 1) * NEXT
    furniture: list[Primitive] = [
        line(Line.FRAME, (x0, y0 + STRIP - 3), (x1, y0 + STRIP - 3), weight=0.5),
        *(Text(part, x1, foot, tall, "end") for part, foot in lettering.stacked(number, y0 + 0.3)),
        *(Text(t, x0, top - i * NEXT, LARGE, bold=i < len(titles)) for i, t in enumerate((*titles, *told))),
        *_scale_bar(x0, y0),
        *band((x0, y0, x1, y1), options.status, words),
    ]
    at = (x1 - 24, top)
    space = (x0, y0, x1, y1)
    sheet = Sheet(name, title, paper.width, paper.height, paper.wide, space, tuple(furniture), tuple(items), at)
    return replace(sheet, number_height=LARGE)


def _scale_bar(x: Mm, y: Mm) -> Iterator[Primitive]:
    """100 mm and 4 in, to be measured after printing."""
    for left, length, text, steps in ((x, 100.0, "100 mm", 10), (x, 4 * MM_PER_INCH, "4 in", 4)):
        base = y + (8.0 if steps == 10 else 0.5)
        for i in range(0, steps, 2):
            box = (left + i * length / steps, base, left + (i + 1) * length / steps, base + 2.5)
            yield rectangle(Line.THIN, box)
        yield rectangle(Line.VISIBLE, (left, base, left + length, base + 2.5), 0.35)
        yield Text(text, left + length + 3, base - 0.2, LARGE)
