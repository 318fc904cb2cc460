"""A plate as a block of a drawing: heading, view with dimensions, hole chart."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Final

from mouldgeom import rules, tables
from mouldgeom.drawing import lettering
from mouldgeom.drawing.dimensioning import (
    FIRST,
    Axis,
    Station,
    centre_mark,
    concrete_symbol,
    label,
    linear,
    note,
    running,
)
from mouldgeom.drawing.layout import Obstacles, meetings
from mouldgeom.drawing.lettering import LARGE, NORMAL, PITCH, SMALL
from mouldgeom.drawing.paper import PaperOptions, scale_text
from mouldgeom.drawing.primitives import (
    Block,
    Circle,
    Dimension,
    Feature,
    Item,
    Line,
    Primitive,
    Text,
    line,
    outline,
    paragraph,
    primitives,
    table,
)
from mouldgeom.fabrication.quantities import hole_cut
from mouldgeom.geometry.outline import Outline, Point
from mouldgeom.model.assembly import Mould
from mouldgeom.model.concrete_side import concrete_edges
from mouldgeom.model.shapes import Bar, ConcreteFace, HolePurpose, Plate
from mouldgeom.outputs.papers.fixing import Corner, is_trapezoid, same, skeleton
from mouldgeom.outputs.papers.naming import part_name, piece_list, plate_holes
from mouldgeom.units import Kg, Mm, Ratio
from mouldgeom.words import Words

ROOM: Final[Mm] = 6.0
"""Room between the parts of a block."""
HEADING: Final[Mm] = 78.0
"""Widest heading, unless more is said to be free."""
PURPOSES: Final = {
    HolePurpose.BOLT: "bolt",
    HolePurpose.TUBE: "outlet tube",
    HolePurpose.SCREW: "jack screw",
    HolePurpose.FORCING: "forcing screw",
    HolePurpose.PIN: "pin",
}


@dataclass(frozen=True)
class PartDesk:
    """What every part drawing is made with."""

    mould: Mould
    words: Words
    options: PaperOptions


def plate_ways(plate: Plate, desk: PartDesk, scale: Ratio) -> list[list[Block]]:
    """The plate at a scale, seen from the concrete, with everything needed to make it: ways to arrange it."""
    view = plate_view(plate, desk, scale)
    chart = _hole_chart(plate, desk) if plate.holes else ()
    head = heading(plate, desk, scale, _facts(plate, desk), plate.concrete_face)
    return arranged(plate.mark, head, view, chart, desk.words)


def arranged(
    name: str, head: Sequence[Item], view: Sequence[Item], chart: Sequence[Item], words: Words
) -> list[list[Block]]:
    """Heading above, view below it, chart beside or under the view; or, for small paper, a chart by itself.

    Returns:
        Each way as its blocks, what takes least room first.
    """
    top = Block(name, tuple(head))
    below = Block(name, tuple(view)).put(top.box[0], top.box[1] - ROOM)
    bare = (*top.items, *below.items)
    if not chart:
        return [[Block(name, bare)]]
    listed = Block(name, tuple(chart))
    beside = listed.put(below.box[2] + ROOM, below.box[3])
    under = listed.put(below.box[0], below.box[1] - ROOM)
    made = [Block(name, (*bare, *spot.items)) for spot in (beside, under)]
    title = Text(f"{name}, {words('holes')}", listed.box[0], listed.box[3] + 2.5, LARGE, bold=True)
    apart = [Block(name, bare), Block(name, (title, *chart))]
    return [*([block] for block in sorted(made, key=lambda block: block.width * block.height)), apart]


# --- heading ---------------------------------------------------------------------------------------------------------


def heading(
    part: Plate | Bar, desk: PartDesk, scale: Ratio, facts: Sequence[str], face: ConcreteFace | None, room: Mm = HEADING
) -> tuple[Primitive, ...]:
    """Mark, name, pieces and facts of a part from (0, 0) downwards; the symbol if a face touches concrete."""
    words, mould = desk.words, desk.mould
    mark = Text(part.mark, 0, -LARGE, LARGE, bold=True)
    out: list[Primitive] = [mark]
    left = mark.width + 3
    names = lettering.wrapped(part_name(words, part), room - left, NORMAL)
    out += [Text(t, left, -LARGE - i * PITCH * NORMAL, NORMAL) for i, t in enumerate(names)]
    y = -LARGE - PITCH * NORMAL * (len(names) - 1) - 2.4
    pieces = [stand.id for stand in part.stands]
    moulds = desk.options.moulds
    off = (
        words("{count} off", count=part.quantity)
        if moulds == 1
        else words("{count} off for each of {moulds} moulds", count=part.quantity, moulds=moulds)
    )
    made, y = paragraph(f"{off} · {scale_text(scale)}", 0, y, room, NORMAL)
    out += made
    if len(pieces) > 1 and not part.called.tails:
        facts = [piece_list(words, pieces), *facts]
    for text in facts:
        made, y = paragraph(text, 0, y, room, SMALL)
        out += made
    if face is not None:
        if face is ConcreteFace.NONE:
            made, y = paragraph(words("No concrete face: either side up."), 0, y, room, SMALL)
        else:
            out += concrete_symbol(0, y - 5.0)
            told = words("Concrete face towards you.")
            edges = concrete_edges(mould.dims, part) if isinstance(part, Plate) else ()
            if edges:
                listed = ", ".join(words(edge) for edge in edges)
                told += " " + words("Edges against concrete too: {edges}.", edges=listed)
            made, y = paragraph(told, 7, y - 1.2, room - 7, SMALL)
        out += made
    return tuple(out)


def kilograms(words: Words, mass: Kg) -> str:
    """A mass as it stands on a drawing: three figures below a kilogram, else one decimal."""
    return f"{words.number(mass, 3 if mass < 1 else 1)} kg"


def _facts(plate: Plate, desk: PartDesk) -> list[str]:
    words, mould = desk.words, desk.mould
    quality = tables.cutting_process(mould.dims.spec.shop.cutting).quality
    return [
        words(
            "Sheet {sheet}, {grade}, {mass} each, ISO 9013-{quality}",
            sheet=plate.sheet,
            grade=mould.dims.stock.steel.designation,
            mass=kilograms(words, mould.mass(plate)),
            quality=quality,
        )
    ]


# --- hole chart ------------------------------------------------------------------------------------------------------


def _hole_chart(plate: Plate, desk: PartDesk) -> tuple[Item, ...]:
    """One row a hole, which is also the dimension that fixes it."""
    words, shop = desk.words, desk.mould.dims.spec.shop
    least = rules.least_cut_hole(plate.thickness, shop.cutting)
    rows = []
    for number, hole in enumerate(plate_holes(plate), 1):
        cut = hole_cut(hole, shop.hole_method, shop.pilot_diameter, least)
        rows.append(
            (
                str(number),
                words.length(hole.x),
                words.length(hole.y),
                words.diameter(hole.diameter, desk.mould.widest(hole.purpose)),
                making(words, hole.diameter, cut),
                words(PURPOSES[hole.purpose]),
            )
        )
    head = (words("Hole"), "x", "y", "Ø", words("Make"), words("For"))
    drawn = table(head, rows, 0, 0, right=(0, 1, 2, 3))
    features = [
        Feature(plate.mark, "hole", ((0, i),), (hole.x, hole.y, hole.diameter))
        for i, hole in enumerate(plate_holes(plate))
    ]
    return charted(drawn, features, len(head))


def charted(drawn: Sequence[Primitive], features: Sequence[Feature], columns: int) -> tuple[Item, ...]:
    """A table whose rows, each of so many one-line cells, are the dimensions of so many features."""
    texts = [p for p in drawn if isinstance(p, Text)]
    head, cells = texts[:columns], texts[columns:]
    assert len(cells) == columns * len(features)
    out: list[Item] = [*head, *(p for p in drawn if not isinstance(p, Text))]
    for i, feature in enumerate(features):
        row = tuple(cells[i * columns : (i + 1) * columns])
        out.append(Dimension(feature, feature.at[-1], " ".join(t.text for t in row), (), row))
    return tuple(out)


def making(words: Words, diameter: Mm, cut: Mm | None) -> str:
    """How a hole is made: cut to size, cut as a pilot and opened out, or drilled at a centre mark."""
    if cut is None:
        return words("drill at centre mark")
    if cut < diameter - 1e-9:
        return words("cut {pilot}, open out", pilot=words.diameter(cut))
    return words("cut")


# --- view ------------------------------------------------------------------------------------------------------------


def plate_view(plate: Plate, desk: PartDesk, scale: Ratio) -> tuple[Item, ...]:
    """Outline, openings, holes and every dimension; the datum corner at (0, 0).

    Holes are numbered before the notes on corners look for room, or after them where a note would run through a number.
    """
    words = desk.words
    shapes = (plate.outline, *plate.openings)
    drawn: list[Item] = [outline(Line.VISIBLE, shape, scale) for shape in shapes]
    for hole in plate.holes:
        x, y, radius = scale * hole.x, scale * hole.y, scale * hole.diameter / 2
        drawn += [Circle(Line.VISIBLE, x, y, radius), *centre_mark(x, y, radius)]
    rings = [skeleton(shape) for shape in shapes]
    dimensions, extra = _dimensions(plate, rings, scale, words)
    drawn += [*dimensions, *extra]
    free = Obstacles(primitives(drawn))
    drawn += _pitches(plate, scale, words, free)
    ways = []
    for numbers_first in (True, False):
        room = Obstacles(primitives(drawn))
        steps = (partial(_numbers, plate, scale, room), partial(_cut_corners, plate, rings, scale, words, room))
        made = [item for step in (steps if numbers_first else steps[::-1]) for item in step()]
        if plate.concrete_face is ConcreteFace.OUTLINE:
            made += _face_mark(plate, scale, words, room)
        ways.append((*drawn, *made))
        if not any(meetings(primitives(ways[-1]))):
            return ways[-1]
    return ways[0]


def _numbers(plate: Plate, scale: Ratio, obstacles: Obstacles) -> Iterator[Item]:
    """The number of each hole of the chart beside it."""
    for number, hole in enumerate(plate_holes(plate), 1):
        yield from label(scale * hole.x, scale * hole.y, scale * hole.diameter / 2, str(number), obstacles)


def pitch_text(spots: Sequence[Mm], words: Words, scale: Ratio) -> tuple[Mm, str] | None:
    """Pitch of evenly spaced holes and its auxiliary dimension ``"(5 × 163)"``; ``None`` if uneven or too short.

    Even is what is printed: so many steps of the pitch lead from the first hole as it is printed to the last.

    Source: ISO 129-1:2018 (auxiliary dimensions in brackets; from memory).
    """
    ordered = sorted(spots)
    gaps = [tuple(q - p for p, q in zip(*said, strict=True)) for said in pairwise(map(words.said_by, ordered))]
    if len(gaps) < 2 or any(abs(g - h) > 1e-6 for gap in gaps for g, h in zip(gap, gaps[0], strict=True)):
        return None
    pitch = (ordered[-1] - ordered[0]) / len(gaps)
    text = f"({len(gaps)} × {words.length(pitch)})"
    room = scale * (ordered[-1] - ordered[0]) - 4.0
    return (pitch, text) if lettering.width(text, NORMAL) < room else None


def _pitches(plate: Plate, scale: Ratio, words: Words, obstacles: Obstacles) -> list[Item]:
    """The pitch along rows of bolts beside the first of those that are alike, on the side of the plate's middle."""
    out: list[Item] = []
    x0, y0, x1, y1 = plate.outline.bounds
    bolts = [h for h in plate.holes if h.purpose is HolePurpose.BOLT]
    axes: tuple[Axis, Axis] = ("x", "y")
    for axis in axes:
        rows: dict[Mm, list[Mm]] = defaultdict(list)
        for hole in bolts:
            along, off = (hole.x, hole.y) if axis == "x" else (hole.y, hole.x)
            rows[round(off, 2)].append(along)
        drawn: set[tuple[Mm, ...]] = set()
        for off, spots in sorted(rows.items()):
            row, made = tuple(round(s, 1) for s in sorted(spots)), pitch_text(spots, words, scale)
            if made is None or row in drawn:
                continue
            value, text = made
            middle = (y0 + y1) / 2 if axis == "x" else (x0 + x1) / 2
            side = 1.0 if off < middle else -1.0
            reach = scale * bolts[0].diameter / 2 + 1.5
            start, where = scale * off + side * reach, scale * off + side * (FIRST + 1.0)
            low, high = ((start, scale * s) if axis == "y" else (scale * s, start) for s in (min(spots), max(spots)))
            item = linear(axis, low, high, where, value, text, Feature(plate.mark, "reference"))
            first, last = ((where, p[1]) if axis == "y" else (p[0], where) for p in (low, high))
            texts = [p for p in item.parts if isinstance(p, Text)]
            if obstacles.crossings(first, last) or any(obstacles.meets(t, 0.8) for t in texts):
                continue
            for part in item.parts:
                obstacles.add(part)
            drawn.add(row)
            out.append(item)
    return out


def _dimensions(
    plate: Plate, rings: Sequence[Sequence[Corner]], scale: Ratio, words: Words
) -> tuple[list[Dimension], list[Primitive]]:
    outer = rings[0]
    symmetric = is_trapezoid(outer)
    out: list[Dimension] = []
    extra: list[Primitive] = []
    axes: tuple[Axis, Axis] = ("x", "y")
    for axis in axes:
        places: dict[int, list[tuple[int, int]]] = defaultdict(list)
        values: list[Mm] = []
        for r, ring in enumerate(rings):
            for k, corner in enumerate(ring):
                value = corner.x if axis == "x" else corner.y
                if same(value, 0.0) or (symmetric and axis == "x" and r == 0):
                    continue
                index = next((i for i, v in enumerate(values) if same(v, value)), len(values))
                if index == len(values):
                    values.append(value)
                places[index].append((r, k))
        extreme = max((c.x if axis == "x" else c.y) for c in outer)
        inner = [i for i, v in enumerate(values) if not same(v, extreme)]
        for i in (i for i, v in enumerate(values) if same(v, extreme)):
            feature = Feature(plate.mark, axis, tuple(places[i]))
            out.append(_overall(axis, rings, feature, values[i], scale, words, far=bool(inner)))
        if inner:
            stations = [
                _station(axis, rings, Feature(plate.mark, axis, tuple(places[i])), values[i], scale, words)
                for i in inner
            ]
            datum = _datum(axis, outer, scale)
            made, zero = running(axis, datum, stations, -FIRST)
            out += made
            extra += zero
    if symmetric:
        made, centre = _across(plate, outer, scale, words, bool(plate.openings))
        out += made
        extra += centre
    return out, extra


def _spot(corner: Corner, scale: Ratio) -> Point:
    return scale * corner.x, scale * corner.y


def _datum(axis: Axis, outer: Sequence[Corner], scale: Ratio) -> Point:
    """The corner on the datum edge that is nearest to the dimension line."""
    on = [c for c in outer if same(c.x if axis == "x" else c.y, 0.0)]
    return _spot(min(on, key=lambda c: c.y if axis == "x" else c.x), scale)


def _station(
    axis: Axis, rings: Sequence[Sequence[Corner]], feature: Feature, value: Mm, scale: Ratio, words: Words
) -> Station:
    corners = [rings[r][k] for r, k in feature.places]
    start = min(c.y if axis == "x" else c.x for c in corners)
    return Station(scale * value, scale * start, value, words.length(value), feature)


def _overall(
    axis: Axis, rings: Sequence[Sequence[Corner]], feature: Feature, value: Mm, scale: Ratio, words: Words, *, far: bool
) -> Dimension:
    """The overall width or height: beside the datum edges, or on the far side if running dimensions stand there."""
    outer = rings[0]
    pick = max if far else min
    off = 1 if axis == "x" else 0
    low = pick((c for c in outer if same((c.x, c.y)[1 - off], 0.0)), key=lambda c: (c.x, c.y)[off])
    corners = [rings[r][k] for r, k in feature.places]
    high = pick(corners, key=lambda c: (c.x, c.y)[off])
    edge = max((c.x, c.y)[off] for c in outer) * scale
    where = edge + FIRST if far else -FIRST
    ends, text = (_spot(low, scale), _spot(high, scale)), words.length(value)
    return linear(axis, *ends, where, value, text, feature, before=far and axis == "x")


def _across(
    plate: Plate, outer: Sequence[Corner], scale: Ratio, words: Words, crowded: bool
) -> tuple[list[Dimension], list[Primitive]]:
    """Both widths of a trapezoid that is alike on both sides of its centre line."""
    height = max(c.y for c in outer)
    out = []
    for level in (0.0, height):
        pair = sorted((c.x, k) for k, c in enumerate(outer) if same(c.y, level))
        feature = Feature(plate.mark, "across", tuple((0, k) for _, k in pair))
        value = pair[1][0] - pair[0][0]
        ends = [(scale * x, scale * level) for x, _ in pair]
        running_below = crowded and level == 0.0
        where = scale * height + FIRST if level else -FIRST - (_BELOW if running_below else 0.0)
        out.append(linear("x", ends[0], ends[1], where, value, words.length(value), feature))
    middle = scale * max(c.x for c in outer) / 2
    axis = line(Line.CENTRE, (middle, -4), (middle, scale * height + 4))
    return out, [axis]


_BELOW: Final[Mm] = 26.0
"""Room for running dimensions between a trapezoid and its width, where it has openings too."""


def _cut_corners(
    plate: Plate, rings: Sequence[Sequence[Corner]], scale: Ratio, words: Words, obstacles: Obstacles
) -> Iterator[Item]:
    """Radii and chamfers, one note for all that are alike; arcs by their radius."""
    alike: dict[tuple[str, float], list[tuple[int, int]]] = defaultdict(list)
    for r, ring in enumerate(rings):
        for k, c in enumerate(ring):
            if c.radius:
                alike["radius", round(c.radius, 4)].append((r, k))
            if c.chamfer:
                alike["chamfer", round(c.chamfer, 4)].append((r, k))
            if c.arc:
                a, b = c, ring[(k + 1) % len(ring)]
                chord = math.hypot(b.x - a.x, b.y - a.y)
                alike["arc", round(chord * (1 + c.arc**2) / (4 * abs(c.arc)), 4)].append((r, k))
    for (kind, value), places in alike.items():
        size = words.length(value)
        text = f"R {size}" if kind != "chamfer" else f"{size} × 45°"
        if len(places) > 1:
            text = f"{len(places)}× {text}"
        targets = [_target(rings[r], k, kind, value, scale) for r, k in places]
        r, k = places[0]
        exact = getattr(rings[r][k], kind) if kind != "arc" else value
        drawn = note(targets, text, obstacles)
        yield Dimension(Feature(plate.mark, kind, tuple(places)), exact, text, (targets[0][0],), drawn)


def _target(ring: Sequence[Corner], k: int, kind: str, value: Mm, scale: Ratio) -> tuple[Point, Point]:
    """A point in the middle of a cut corner or an arc, and the way out of the corner."""
    before, c, after = ring[k - 1], ring[k], ring[(k + 1) % len(ring)]
    if kind == "arc":
        nx, ny = after.y - c.y, c.x - after.x
        sag = c.arc / 2
        return (scale * ((c.x + after.x) / 2 + sag * nx), scale * ((c.y + after.y) / 2 + sag * ny)), (nx, ny)
    d1, d2 = (
        ((c.x - p.x) / (length := math.hypot(c.x - p.x, c.y - p.y)), (c.y - p.y) / length) for p in (before, after)
    )
    bx, by = d1[0] + d2[0], d1[1] + d2[1]
    norm = math.hypot(bx, by)
    half = math.acos(max(-1.0, min(1.0, -(d1[0] * d2[0] + d1[1] * d2[1])))) / 2
    gap = value / math.sqrt(2) if kind == "chamfer" else value * (1 / math.cos(half) - 1)
    return (scale * (c.x - gap * bx / norm), scale * (c.y - gap * by / norm)), (bx, by)


def _face_mark(plate: Plate, scale: Ratio, words: Words, obstacles: Obstacles) -> tuple[Primitive, ...]:
    """The word inside the outline, if it has room there."""
    left, low, right, high = plate.outline.bounds
    box = (scale * left, scale * low, scale * right, scale * high)
    for height in (NORMAL, SMALL):
        text = words("concrete face")
        for turn in (0.0, 90.0):
            for share in (0.5, 0.62, 0.38, 0.75, 0.25, 0.85):
                for across in (0.5, 0.7, 0.3, 0.62, 0.38):
                    x, y = box[0] + across * (box[2] - box[0]), box[1] + share * (box[3] - box[1])
                    if not _inside(plate, x / scale, y / scale):
                        continue
                    shift = (0.0, -height / 2) if not turn else (height / 2, 0.0)
                    made = Text(text, x + shift[0], y + shift[1], height, "middle", turn)
                    if not obstacles.meets(made, 1.5):
                        obstacles.add(made)
                        return (made,)
    return ()


def _inside(plate: Plate, x: Mm, y: Mm) -> bool:
    return _within(plate.outline, x, y) and not any(_within(o, x, y) for o in plate.openings)


def _within(shape: Outline, x: Mm, y: Mm) -> bool:
    points = shape.points(10.0)
    inside = False
    for (x1, y1), (x2, y2) in zip(points, [*points[1:], points[0]], strict=True):
        if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
            inside = not inside
    return inside
