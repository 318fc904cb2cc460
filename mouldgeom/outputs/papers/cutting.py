"""Nests and bar cutting plans as drawing sheets: what lies where on each sheet and bar, and what is left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, radians, sin
from typing import Final

from shapely import Point as Spot
from shapely import Polygon, maximum_inscribed_circle
from shapely.affinity import rotate, translate

from mouldgeom.drawing import lettering
from mouldgeom.drawing.compose import compose
from mouldgeom.drawing.dimensioning import note
from mouldgeom.drawing.layout import Obstacles, pack
from mouldgeom.drawing.lettering import SMALL
from mouldgeom.drawing.paper import PaperOptions, blank
from mouldgeom.drawing.primitives import (
    Block,
    Circle,
    Feature,
    Item,
    Line,
    Primitive,
    Sheet,
    Stroke,
    Text,
    line,
    primitives,
    rectangle,
    table,
)
from mouldgeom.drawing.viewdraw import FIRST, NEXT, linear
from mouldgeom.geometry.outline import Outline, Point, Vertex
from mouldgeom.model.shapes import Plate
from mouldgeom.nesting.bars import BarPlan, BarRun
from mouldgeom.nesting.layout import Nest, NestPlacement, SheetLayout
from mouldgeom.outputs.papers.naming import name_words, part_name
from mouldgeom.units import Mm, Ratio
from mouldgeom.words import Words

_REFERENCE: Final = Feature("", "reference")
_SCALES: Final[tuple[Ratio, ...]] = (1 / 5, 1 / 10, 1 / 20, 1 / 50)


def cutting_sheets(
    nests: Sequence[Nest], bars: Sequence[BarPlan], plates: Sequence[Plate], words: Words, options: PaperOptions
) -> list[Sheet]:
    """A drawing of each sheet of each nest, then the bars.

    Args:
        nests: from ``Job.nests``.
        bars: from ``Job.bars``.
        plates: of the mould (``Mould.plates``), for their outlines and names.
        words: language and units.
        options: what stands on every sheet.
    """
    known = {plate.mark: plate for plate in plates}
    out: list[Sheet] = []
    for number, nest in enumerate(nests, 1):
        for count, layout in enumerate(nest.sheets, 1):
            name = f"nest-{number}-{count}"
            title = words("Sheet {sheet}, {count} of {all}", sheet=nest.sheet, count=count, all=len(nest.sheets))
            out += _nest(name, title, layout, known, words, options)
    return out + (_bars(bars, words, options) if bars else [])


# --- nests -----------------------------------------------------------------------------------------------------------


def _nest(
    name: str, title: str, layout: SheetLayout, known: dict[str, Plate], words: Words, options: PaperOptions
) -> list[Sheet]:
    return compose(
        name, title,
        lambda scale, height: [_layout(layout, known, words, scale, height), _pieces(layout, known, words)],
        words, options, document=words("Cutting plan"), pages=2, scales=_SCALES,
        size=(layout.stock.length, layout.stock.width),
    )  # fmt: skip


def _layout(layout: SheetLayout, known: dict[str, Plate], words: Words, scale: Ratio, height: Mm) -> Block:
    """The sheet with its parts, their marks, and what is left of it."""
    items: list[Item] = [_ring(layout.outline, Line.VISIBLE, scale)]
    for spot in layout.placements:
        plate = known[spot.mark]
        items += _part(plate, spot, scale)
    for cut in layout.cuts:
        items.append(line(Line.CENTRE, (scale * cut.x0, scale * cut.y0), (scale * cut.x1, scale * cut.y1)))
    if layout.rest is not None:
        x, y, w, h = layout.rest
        items.append(rectangle(Line.ADJACENT, (scale * x, scale * y, scale * (x + w), scale * (y + h))))
        items += _rest_text(words, layout.rest, scale)
    long, wide = layout.stock.length, layout.stock.width
    items.append(_size((0, 0), (long, 0), -FIRST - NEXT, long, words, scale, height))
    if layout.rest is None and long - layout.used_length > 1:
        items.append(_size((layout.used_length, 0), (long, 0), -FIRST, long - layout.used_length, words, scale, height))
    items.append(_size((0, 0), (0, wide), -FIRST, wide, words, scale, height, upright=True))
    obstacles = Obstacles(primitives(items))
    return Block("nest", (*items, *_marks(layout.placements, known, scale, obstacles)))


def _size(
    a: Point, b: Point, level: Mm, value: Mm, words: Words, scale: Ratio, height: Mm, *, upright: bool = False
) -> Item:  # fmt: skip
    p, q = ((scale * x, scale * y) for x, y in (a, b))
    return linear(p, q, level, words.length(value), value, _REFERENCE, upright=upright, height=height)


def _rest_text(words: Words, rest: tuple[Mm, Mm, Mm, Mm], scale: Ratio) -> list[Primitive]:
    x, y, w, h = rest
    text = words("rest {length} × {width}", length=words.length(round(w)), width=words.length(round(h)))
    long = lettering.width(text, SMALL)
    at = (scale * (x + w / 2), scale * (y + h / 2))
    if long < scale * w - 1 and scale * h > 2 * SMALL:
        return [Text(text, at[0], at[1] - SMALL / 2, SMALL, "middle")]
    if long < scale * h - 1 and scale * w > 2 * SMALL:
        return [Text(text, at[0] + SMALL / 2, at[1], SMALL, "middle", 90.0)]
    return []


def _ring(outline: Outline, kind: Line, scale: Ratio) -> Stroke:
    return Stroke(kind, tuple(Vertex(scale * v.x, scale * v.y, v.arc) for v in outline.vertices), closed=True)


def _turned(outline: Outline, spot: NestPlacement) -> Outline:
    c, s = cos(radians(spot.angle)), sin(radians(spot.angle))
    return Outline(
        tuple(Vertex(spot.x + c * v.x - s * v.y, spot.y + s * v.x + c * v.y, v.arc) for v in outline.vertices)
    )


def _part(plate: Plate, spot: NestPlacement, scale: Ratio) -> Iterator[Primitive]:
    c, s = cos(radians(spot.angle)), sin(radians(spot.angle))
    for outline in (plate.outline, *plate.openings):
        yield _ring(_turned(outline, spot), Line.VISIBLE, scale)
    for hole in plate.holes:
        x, y = spot.x + c * hole.x - s * hole.y, spot.y + s * hole.x + c * hole.y
        yield Circle(Line.THIN, scale * x, scale * y, scale * hole.diameter / 2)


def _marks(
    spots: Sequence[NestPlacement], known: dict[str, Plate], scale: Ratio, obstacles: Obstacles
) -> Iterator[Primitive]:
    """Each mark in the widest place of its part; then, with a leader, those of parts that have no room for it."""
    beside = []
    for spot in spots:
        x, y = _widest(known[spot.mark], spot)
        made = Text(spot.mark, scale * x, scale * y - SMALL / 2, SMALL, "middle", bold=True)
        if obstacles.meets(made, 0.3):
            beside.append((spot.mark, (scale * x, scale * y)))
        else:
            obstacles.add(made)
            yield made
    for mark, at in beside:
        yield from note([(at, (cos(t), sin(t))) for t in (1.57, 0.79, 2.36, -1.57)], mark, obstacles, height=SMALL)


def _widest(plate: Plate, spot: NestPlacement) -> Point:
    """The middle of the widest place of a part on its sheet."""
    area = Polygon(plate.outline.points(6.0), [opening.points(6.0) for opening in plate.openings])
    for hole in plate.holes:
        area = area.difference(Spot(hole.x, hole.y).buffer(hole.diameter / 2))
    area = translate(rotate(area, spot.angle, origin=(0, 0)), spot.x, spot.y)
    x, y = maximum_inscribed_circle(area).coords[0]
    return x, y


def _pieces(layout: SheetLayout, known: dict[str, Plate], words: Words) -> Block:
    """What is cut from the sheet, in the order of cutting."""
    counts: dict[str, int] = {}
    for spot in layout.placements:
        counts[spot.mark] = counts.get(spot.mark, 0) + 1
    rows = [(mark, str(count), part_name(words, known[mark])) for mark, count in counts.items()]
    head = (words("Mark"), words("Quantity"), words("Name"))
    return Block("pieces", table(head, rows, 0.0, 0.0, right=(1,)))


# --- bars ------------------------------------------------------------------------------------------------------------


def _bars(plans: Sequence[BarPlan], words: Words, options: PaperOptions) -> list[Sheet]:
    """All bars, one strip for bars that are cut alike, as long as the paper takes them."""
    paper = options.paper if options.paper.width > options.paper.height else options.paper.turned
    long = max(run.stock.length for plan in plans for run in plan.runs)
    x0, _, x1, _ = paper.space
    scale = (x1 - x0 - 30.0) / long
    blocks = [_plan(plan, run, words, scale, first=not i) for plan in plans for i, run in enumerate(plan.runs)]
    pages = pack(blocks, paper.space, (paper.title_box,), gap=4.0)
    names = ["bars"] if len(pages) == 1 else [f"bars-{n}" for n in range(1, len(pages) + 1)]
    title = words("Bars, cutting plan")
    return [
        blank(
            name, title, options, words, [i for b in page for i in b.items], document=words("Cutting plan"), paper=paper
        )
        for name, page in zip(names, pages, strict=True)
    ]


def _plan(plan: BarPlan, run: BarRun, words: Words, scale: Ratio, *, first: bool) -> Block:
    """One strip: the bar, its pieces with their marks and lengths, the cuts, what is left; a list below it."""
    high, left = 5.0, 12.0
    length = run.stock.length
    items: list[Item] = [
        Text(f"{run.times} ×", left - 2.0, high / 2 - SMALL / 2, SMALL, "end", bold=True),
        rectangle(Line.THIN, (left, 0.0, left + scale * length, high)),
    ]
    counts: dict[tuple[str, Mm], int] = {}
    for piece in run.pieces:
        a, b = left + scale * piece.start, left + scale * (piece.start + piece.length)
        counts[piece.mark, piece.length] = counts.get((piece.mark, piece.length), 0) + 1
        items.append(rectangle(Line.VISIBLE, (a, 0.0, b, high)))
        both = f"{piece.mark}: {words.length(piece.length)}"
        text = next((t for t in (both, piece.mark) if lettering.width(t, SMALL) < b - a - 1.0), "")
        if text:
            items.append(Text(text, (a + b) / 2, high / 2 - SMALL / 2, SMALL, "middle"))
    heading = words(
        "{section}, bar {length}, cut {kerf} wide",
        section=name_words(words, plan.material),
        length=words.length(length), kerf=words.length(plan.kerf),
    )  # fmt: skip
    listed = ", ".join(f"{count} × {mark} {words.length(size)}" for (mark, size), count in counts.items())
    below = f"{listed}; {words('rest {length}', length=words.length(round(run.rest)))}"
    y = -1.5
    for text in lettering.wrapped(below, scale * length, SMALL):
        y -= SMALL
        items.append(Text(text, left, y, SMALL))
        y -= 0.6 * SMALL
    if first:
        items.append(Text(heading, left, high + 2.0, SMALL, bold=True))
    return Block(heading, tuple(items))
