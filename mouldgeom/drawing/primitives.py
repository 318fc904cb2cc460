"""A drawing as plain data in millimetres of paper: x to the right, y up, the origin at the lower left corner.

A ``Sheet`` holds items.  An item is a primitive (``Stroke``, ``Circle``, ``Area``, ``Text``) or a ``Dimension``, which
knows what it fixes and the primitives that it is drawn of.  A ``Block`` is a group of items that moves as one.
Writers ask a sheet for its ``primitives``; every primitive knows its ``box``; every text knows its exact box.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from itertools import pairwise
from typing import Final, Literal, Self

from mouldgeom.drawing import lettering
from mouldgeom.drawing.lettering import NORMAL, PITCH, SMALL
from mouldgeom.geometry.outline import Outline, Point, Vertex, arc_of
from mouldgeom.units import Deg, Mm, Ratio

Box = tuple[Mm, Mm, Mm, Mm]
"""Least x and y, greatest x and y."""
Anchor = Literal["start", "middle", "end"]
ARROW: Final[Mm] = 3.0
"""Length of an arrowhead."""
ARROW_ANGLE: Final[Deg] = 15.0
"""Included angle of the closed, filled arrowhead.

Source: ISO 129-1:2018.
"""
GAP: Final[Mm] = 1.6
"""Clear distance of a value from its dimension line (common practice, no source)."""


class Line(StrEnum):
    """Kinds of line; the text is the name of the layer in DXF.

    ``wide`` lines are as wide as the paper says, others half of that; ``dash`` is in widths of the line, empty if
    continuous; ``colour`` is the colour index of DXF.

    Source: ISO 128-2:2020 (types 01, 02, 04, 05; dash 12 d, long dash 24 d, gap 3 d, dot 0.5 d: from memory).
    """

    wide: bool
    dash: tuple[Ratio, ...]
    colour: int

    VISIBLE = "VISIBLE", True, (), 7
    """Visible edges."""
    HIDDEN = "HIDDEN", False, (12, 3), 4
    """Hidden edges."""
    CENTRE = "CENTRE", False, (24, 3, 0.5, 3), 1
    """Centre lines and lines of symmetry."""
    THIN = "DIMENSION", False, (), 3
    """Dimension lines, extension lines, leaders, thread roots."""
    HATCH = "HATCH", False, (), 8
    """Hatching of sections, dots of concrete."""
    CUTTING = "CUTTING_PLANE", True, (24, 3, 0.5, 3), 5
    """Where a section is cut."""
    ADJACENT = "ADJACENT", False, (24, 3, 0.5, 3, 0.5, 3), 6
    """Outlines of neighbouring parts, positions that a part moves to."""
    WELD = "WELD", False, (), 2
    """Weld symbols."""
    FRAME = "FRAME", True, (), 9
    """Frame, title block, lines of tables; see ``Stroke.width``."""

    def __new__(cls, name: str, wide: bool, dash: tuple[Ratio, ...], colour: int) -> Self:
        """Make a member whose text is the layer's name."""
        member = str.__new__(cls, name)
        member._value_ = name
        member.wide, member.dash, member.colour = wide, dash, colour
        return member

    def width(self, wide: Mm) -> Mm:
        """Width on a paper whose wide lines are ``wide``; narrow ones are half of that, from the series.

        Source: ISO 128-2:2020, 2 : 1, series 0.18, 0.25, 0.35, 0.5, 0.7.
        """
        return wide if self.wide else {0.7: 0.35, 0.5: 0.25, 0.35: 0.18}[wide]


@dataclass(frozen=True)
class Stroke:
    """A line through vertices, with arcs by their bulges as in an outline; the last bulge counts if it is closed.

    ``weight`` is a width of its own (frame lines); 0 takes that of the kind.
    """

    kind: Line
    vertices: tuple[Vertex, ...]
    closed: bool = False
    weight: Mm = 0.0

    def width(self, wide: Mm) -> Mm:
        """Width of the line on a paper whose wide lines are ``wide``."""
        return self.weight or self.kind.width(wide)

    @cached_property
    def points(self) -> tuple[Point, ...]:
        """The line as a polyline, arcs in steps of 5 degrees, closed by its first point."""
        out: list[Point] = []
        ring = [*self.vertices, self.vertices[0]] if self.closed else list(self.vertices)
        for a, b in pairwise(ring):
            out.append((a.x, a.y))
            if a.arc:
                centre, radius, start, sweep = arc_of(a, b)
                count = max(2, math.ceil(abs(math.degrees(sweep)) / 5))
                out += [
                    (centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn))
                    for turn in (start + sweep * i / count for i in range(1, count))
                ]
        return (*out, (ring[-1].x, ring[-1].y))

    @cached_property
    def box(self) -> Box:
        """Bounds of the line, its width left out."""
        return box_of(self.points)

    def moved(self, dx: Mm, dy: Mm) -> Stroke:
        """The same, moved."""
        return replace(self, vertices=tuple(Vertex(v.x + dx, v.y + dy, v.arc) for v in self.vertices))


@dataclass(frozen=True)
class Circle:
    """A circle; ``filled`` makes it a dot."""

    kind: Line
    x: Mm
    y: Mm
    radius: Mm
    filled: bool = False

    @property
    def points(self) -> tuple[Point, ...]:
        """The circle as a closed polyline."""
        turns = (2 * math.pi * i / 36 for i in range(37))
        return tuple((self.x + self.radius * math.cos(t), self.y + self.radius * math.sin(t)) for t in turns)

    @property
    def box(self) -> Box:
        """Bounds of the circle."""
        return self.x - self.radius, self.y - self.radius, self.x + self.radius, self.y + self.radius

    def moved(self, dx: Mm, dy: Mm) -> Circle:
        """The same, moved."""
        return replace(self, x=self.x + dx, y=self.y + dy)


@dataclass(frozen=True)
class Area:
    """A filled polygon: arrowheads, shading.  ``grey`` is 0 for black, 1 for white."""

    kind: Line
    vertices: tuple[Point, ...]
    grey: Ratio = 0.0

    @property
    def points(self) -> tuple[Point, ...]:
        """The polygon, closed by its first point."""
        return (*self.vertices, self.vertices[0])

    @property
    def box(self) -> Box:
        """Bounds of the polygon."""
        return box_of(self.vertices)

    def moved(self, dx: Mm, dy: Mm) -> Area:
        """The same, moved."""
        return replace(self, vertices=tuple((x + dx, y + dy) for x, y in self.vertices))


@dataclass(frozen=True)
class Text:
    """A line of writing: (x, y) is the base line's start, middle or end; ``turn`` is anticlockwise."""

    text: str
    x: Mm
    y: Mm
    height: Mm = NORMAL
    anchor: Anchor = "start"
    turn: Deg = 0.0
    bold: bool = False

    def __post_init__(self) -> None:
        if self.height < SMALL - 1e-9:
            raise ValueError(f"lettering of {self.height:g} mm is smaller than {SMALL:g} mm: {self.text}")

    @property
    def width(self) -> Mm:
        """Length of the line of writing."""
        return lettering.width(self.text, self.height, self.bold)

    @cached_property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Corners of the exact box in the turned frame, from the lower left one anticlockwise."""
        wide, low, high = (self.height * share for share in lettering.extent(self.text, self.bold))
        left = -{"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * wide
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        ring = ((left, low), (left + wide, low), (left + wide, high), (left, high))
        a, b, d, e = ((self.x + c * x - s * y, self.y + s * x + c * y) for x, y in ring)
        return a, b, d, e

    @cached_property
    def box(self) -> Box:
        """Bounds of the writing."""
        return box_of(self.corners)

    def moved(self, dx: Mm, dy: Mm) -> Text:
        """The same, moved."""
        return replace(self, x=self.x + dx, y=self.y + dy)


Primitive = Stroke | Circle | Area | Text


@dataclass(frozen=True)
class Feature:
    """What a dimension fixes: a part by its mark, the kind of measure, and the places that have it.

    Kinds for plates: ``"x"``, ``"y"`` (distance of corners from the datum edges), ``"across"`` (two corners, alike to
    both sides of the centre line), ``"radius"``, ``"chamfer"``, ``"arc"`` (radius of an edge), ``"hole"`` (a row of a
    hole chart: then ``at`` holds x, y and diameter).  For bars: ``"length"``, ``"hole"``.  ``"reference"`` fixes
    nothing.  ``places`` are (ring, corner): ring 0 is the outline, others are the openings.
    """

    mark: str
    kind: str
    places: tuple[tuple[int, int], ...] = ()
    at: tuple[Mm, ...] = ()


@dataclass(frozen=True)
class Dimension:
    """A dimension as drawn: measured value (mm, or degrees), printed text, what it fixes, and its primitives.

    ``ends`` are the points of paper between which it measures, where the extension lines begin.
    """

    feature: Feature
    value: Mm
    text: str
    ends: tuple[Point, ...]
    parts: tuple[Primitive, ...]

    @cached_property
    def box(self) -> Box:
        """Bounds of everything that it is drawn of."""
        return union(p.box for p in self.parts)

    def moved(self, dx: Mm, dy: Mm) -> Dimension:
        """The same, moved."""
        ends = tuple((x + dx, y + dy) for x, y in self.ends)
        return replace(self, ends=ends, parts=tuple(p.moved(dx, dy) for p in self.parts))


Item = Primitive | Dimension


def primitives(items: Iterable[Item]) -> list[Primitive]:
    """What items are drawn with, in their order."""
    return [part for item in items for part in (item.parts if isinstance(item, Dimension) else (item,))]


@dataclass(frozen=True)
class Block:
    """Items that stay together, such as a part with its dimensions and its chart; ``name`` says of what."""

    name: str
    items: tuple[Item, ...]

    @cached_property
    def box(self) -> Box:
        """Bounds of all items."""
        return union(item.box for item in self.items)

    @property
    def width(self) -> Mm:
        """Width of the box."""
        return self.box[2] - self.box[0]

    @property
    def height(self) -> Mm:
        """Height of the box."""
        return self.box[3] - self.box[1]

    def moved(self, dx: Mm, dy: Mm) -> Block:
        """The same, moved."""
        return Block(self.name, tuple(item.moved(dx, dy) for item in self.items))

    def put(self, left: Mm, top: Mm) -> Block:
        """The same with its upper left corner at a point."""
        return self.moved(left - self.box[0], top - self.box[3])


@dataclass(frozen=True)
class Sheet:
    """One sheet of paper: size, number, title, frame and title block, and what is drawn on it.

    Attributes:
        width, height: of the trimmed paper.
        wide: width of wide lines.
        space: the drawing space inside the frame; everything of ``items`` lies in it.
        furniture: frame, centring marks, grid and title block.
        items: the drawing itself.
        number_at, number_height: where the number of the sheet is written, and how high.
        number, of: of the sheet, and how many there are; 0 until ``paper.numbered`` has counted them.
        name: short ASCII name, unique in a set, for files: ``"parts-1"``.
    """

    name: str
    title: str
    width: Mm
    height: Mm
    wide: Mm
    space: Box
    furniture: tuple[Primitive, ...] = ()
    items: tuple[Item, ...] = ()
    number_at: Point = (0.0, 0.0)
    number: int = 0
    of: int = 0
    number_height: Mm = NORMAL

    def primitives(self) -> Iterator[Primitive]:
        """Everything to draw, furniture first."""
        yield from self.furniture
        if self.number:
            yield Text(f"{self.number} / {self.of}", *self.number_at, self.number_height)
        yield from primitives(self.items)

    def texts(self) -> Iterator[Text]:
        """Every line of writing."""
        return (p for p in self.primitives() if isinstance(p, Text))

    def dimensions(self) -> Iterator[Dimension]:
        """Every dimension."""
        return (item for item in self.items if isinstance(item, Dimension))


# --- small makers ----------------------------------------------------------------------------------------------------


def box_of(points: Iterable[Point]) -> Box:
    """Bounds of points."""
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def union(boxes: Iterable[Box]) -> Box:
    """Bounds of boxes."""
    lows_x, lows_y, highs_x, highs_y = zip(*boxes, strict=True)
    return min(lows_x), min(lows_y), max(highs_x), max(highs_y)


def line(kind: Line, *points: Point, closed: bool = False, weight: Mm = 0.0) -> Stroke:
    """A line through points."""
    return Stroke(kind, tuple(Vertex(float(x), float(y)) for x, y in points), closed, weight)


def rectangle(kind: Line, box: Box, weight: Mm = 0.0) -> Stroke:
    """The edges of a box."""
    x0, y0, x1, y1 = box
    return line(kind, (x0, y0), (x1, y0), (x1, y1), (x0, y1), closed=True, weight=weight)


def outline(kind: Line, shape: Outline, scale: Ratio = 1.0, at: Point = (0.0, 0.0)) -> Stroke:
    """An outline of a part at a scale, its origin at a point of the paper."""
    ring = tuple(Vertex(at[0] + scale * v.x, at[1] + scale * v.y, v.arc) for v in shape.vertices)
    return Stroke(kind, ring, closed=True)


def arrow(tip: Point, towards: Point, size: Mm = ARROW) -> Area:
    """A closed, filled arrowhead at ``tip`` that points along ``towards``, a direction of any length."""
    length = math.hypot(*towards)
    ux, uy = towards[0] / length, towards[1] / length
    half = size * math.tan(math.radians(ARROW_ANGLE / 2))
    back = (tip[0] - size * ux, tip[1] - size * uy)
    side = (half * uy, -half * ux)
    return Area(Line.THIN, (tip, (back[0] - side[0], back[1] - side[1]), (back[0] + side[0], back[1] + side[1])))


def paragraph(
    text: str, left: Mm, top: Mm, room: Mm, height: Mm = NORMAL, *, bold: bool = False
) -> tuple[tuple[Text, ...], Mm]:
    """Lines of a text from an upper left corner, no wider than ``room``; and the y below them."""
    lines = lettering.wrapped(text, room, height, bold)
    pitch = PITCH * height
    made = tuple(Text(t, left, top - height - i * pitch, height, bold=bold) for i, t in enumerate(lines))
    return made, top - len(lines) * pitch


def leader(target: Point, *bends: Point, dot: bool = False) -> tuple[Primitive, ...]:
    """A leader from a target through bends: with an arrowhead on an edge, or a dot inside a face."""
    nxt = bends[0]
    head: Primitive = (
        Circle(Line.THIN, *target, 0.6, filled=True) if dot else arrow(target, (target[0] - nxt[0], target[1] - nxt[1]))
    )
    return line(Line.THIN, target, *bends), head


def balloon(text: str, centre: Point, target: Point, *, dot: bool = True, height: Mm = NORMAL) -> tuple[Primitive, ...]:
    """A part mark in a circle with a leader to the part; the circle grows with the mark.

    Source: ISO 6433 (item references; from memory).
    """
    wide = lettering.width(text, height, True)
    radius = max(1.25 * height, wide / 2 + 0.45 * height)
    gap = math.dist(centre, target)
    name = Text(text, centre[0], centre[1] - height / 2, height, "middle", bold=True)
    ring = Circle(Line.THIN, *centre, radius)
    if gap <= radius:
        return ring, name
    edge = (
        centre[0] + (target[0] - centre[0]) * radius / gap,
        centre[1] + (target[1] - centre[1]) * radius / gap,
    )
    return (*leader(target, edge, dot=dot), ring, name)


def table(
    head: Sequence[str], rows: Sequence[Sequence[str]], left: Mm, top: Mm, *, height: Mm = SMALL,
    right: Sequence[int] = (), widths: Sequence[Mm] = (),
) -> tuple[Primitive, ...]:  # fmt: skip
    """A ruled table from its upper left corner, columns as wide as their texts.

    Args:
        head: titles of the columns, set bold.
        rows: cells of each row.
        left, top: upper left corner.
        height: of the lettering.
        right: numbers of the columns that are set flush right.
        widths: widths of the columns instead of fitted ones; longer texts are wrapped.
    """
    pad, pitch = 1.2, PITCH * height
    columns = list(zip(head, *rows, strict=True))
    fitted = [max(lettering.width(c, height, i == 0) for i, c in enumerate(column)) + 2 * pad for column in columns]
    spans = list(widths) or fitted
    edges = [left]
    for span in spans:
        edges.append(edges[-1] + span)
    out: list[Primitive] = []
    y = top
    for number, row in enumerate([head, *rows]):
        bold = number == 0
        cells = [lettering.wrapped(c, span - 2 * pad + 1e-6, height, bold) for c, span in zip(row, spans, strict=True)]
        tall = max(1, *(len(cell) for cell in cells))
        base = y - 0.35 * height - height
        for column, cell in enumerate(cells):
            flush = column in right
            x = edges[column + 1] - pad if flush else edges[column] + pad
            anchor: Anchor = "end" if flush else "start"
            out += [Text(t, x, base - i * pitch, height, anchor, bold=bold) for i, t in enumerate(cell)]
        y -= 0.8 * height + height + (tall - 1) * pitch
        weight = 0.35 if number == 0 else 0.13
        out.append(line(Line.FRAME, (left, y), (edges[-1], y), weight=weight))
    out += [line(Line.FRAME, (x, top), (x, y), weight=0.13) for x in edges[1:-1]]
    return (*out, rectangle(Line.FRAME, (left, y, edges[-1], top), 0.25))
