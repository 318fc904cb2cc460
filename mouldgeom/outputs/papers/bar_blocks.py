"""A bar as a block of a drawing: heading, a view of each leg that has holes, an end view, length and hole chart."""

from __future__ import annotations

from typing import Final

from mouldgeom import rules, tables
from mouldgeom.drawing.dimensioning import FIRST, centre_mark, label, linear
from mouldgeom.drawing.layout import Obstacles
from mouldgeom.drawing.lettering import NORMAL
from mouldgeom.drawing.primitives import (
    Block,
    Circle,
    Feature,
    Item,
    Line,
    Stroke,
    Text,
    line,
    primitives,
    table,
)
from mouldgeom.fabrication.quantities import grade_of
from mouldgeom.geometry.outline import Point
from mouldgeom.model.shapes import Bar, BarHole, SectionKind, bar_diameter
from mouldgeom.outputs.papers.naming import bar_holes, class_words
from mouldgeom.outputs.papers.plate_blocks import (
    HEADING,
    PURPOSES,
    PartDesk,
    arranged,
    charted,
    heading,
    kilograms,
    pitch_text,
)
from mouldgeom.spec.fields import HoleMethod
from mouldgeom.units import Mm, Ratio
from mouldgeom.words import Words

END_VIEW: Final[Mm] = 14.0
"""Distance of the end view from the bar, the length's extension line between them."""
_KINDS: Final = {
    SectionKind.ANGLE: "Angle {section}, {grade}, {mass} each",
    SectionKind.SQUARE_TUBE: "Square tube {section}, {grade}, {mass} each",
    SectionKind.ROD: "Round bar {section}, {grade}, {mass} each",
    SectionKind.THREADED_ROD: "Threaded rod {section}, {grade}, {mass} each",
}


def section_text(words: Words, bar: Bar) -> str:
    """The section as it is asked for in the shop, with signs of multiplication."""
    if bar.kind is SectionKind.ROD:
        return f"Ø {words.diameter(bar_diameter(bar))}"
    return bar.section.replace("x", " × ") if bar.kind is not SectionKind.THREADED_ROD else bar.section


def bar_ways(bar: Bar, desk: PartDesk, scale: Ratio) -> list[list[Block]]:
    """The bar at a scale, lying, its start at the left: ways to arrange it."""
    words, mould = desk.words, desk.mould
    fact = words(
        _KINDS[bar.kind],
        section=section_text(words, bar),
        grade=class_words(words, grade_of(mould, bar)),
        mass=kilograms(words, mould.mass(bar)),
    )
    facts = [fact]
    if bar.holes:
        datum = "y from the heel" if bar.kind is SectionKind.ANGLE else "y from the middle"
        facts.append(words("Holes: x from the end marked 0, {datum}", datum=words(datum)))
    view = bar_view(bar, desk, scale)
    room = max(HEADING, min(110.0, scale * bar.length))
    chart = _chart(bar, desk) if bar.holes else ()
    return arranged(bar.mark, heading(bar, desk, scale, facts, None, room), view, chart, words)


def bar_size(bar: Bar) -> tuple[Mm, Mm]:
    """Width across the bar, and thickness of its leg or wall (0 if it is solid)."""
    if bar.kind is SectionKind.ANGLE:
        row = tables.angle(bar.section)
        return row.leg_mm, row.thickness_mm
    if bar.kind is SectionKind.SQUARE_TUBE:
        tube = tables.square_tube(bar.section)
        return tube.side_mm, tube.thickness_mm
    return bar_diameter(bar), 0.0


def views_of(bar: Bar) -> tuple[str, ...]:
    """Legs that are shown: those with holes, in the order of the unfolded bar; any one if there are none."""
    legs = {hole.leg for hole in bar.holes}
    return tuple(leg for leg in ("y", "x") if leg in legs) or ("y",)


def bar_view(bar: Bar, desk: PartDesk, scale: Ratio) -> tuple[Item, ...]:
    """Views of the legs that have holes, one above the other as if unfolded at the heel, and the end view.

    Looking at the outer face of leg y with the start at the left, the heel is below; of leg x, above.
    """
    wide, thick = (scale * v for v in bar_size(bar))
    long = scale * bar.length
    items: list[Item] = []
    labels: list[tuple[Mm, Mm, Mm, str]] = []
    legs = views_of(bar)
    pitch = wide + 8.0
    for row, leg in enumerate(legs):
        base = (len(legs) - 1 - row) * pitch
        middle = bar.kind is not SectionKind.ANGLE
        heel, up = (base + wide / 2, 1.0) if middle else (base, 1.0)
        if leg == "x":
            heel, up = (heel, -1.0) if middle else (base + wide, -1.0)
        items.append(line(Line.VISIBLE, (0, base), (long, base), (long, base + wide), (0, base + wide), closed=True))
        items += _inside_lines(bar, long, base, wide, thick, heel, up)
        for number, hole in enumerate(bar_holes(bar), 1):
            if hole.leg == leg:
                x, y, radius = scale * hole.along, heel + up * scale * hole.offset, scale * hole.diameter / 2
                items += [Circle(Line.VISIBLE, x, y, radius), *centre_mark(x, y, radius)]
                labels.append((x, y, radius, str(number)))
    items += _end_view(bar, desk, legs[-1], long + END_VIEW, wide, thick)
    text = desk.words.length(bar.length)
    feature = Feature(bar.mark, "length")
    items.append(linear("x", (0, 0), (long, 0), -FIRST, bar.length, text, feature))
    if bar.holes:
        zero = -FIRST / 2
        items += [Circle(Line.THIN, 0, zero, 0.9), Text("0", -1.6, zero - NORMAL / 2, NORMAL, "end")]
    items += _pitch(bar, desk, scale, legs[0], (len(legs) - 1) * pitch + wide)
    obstacles = Obstacles(primitives(items))
    for spot in labels:
        items += label(*spot, obstacles)
    return tuple(items)


def _pitch(bar: Bar, desk: PartDesk, scale: Ratio, leg: str, top: Mm) -> list[Item]:
    """The pitch of the holes of the upper view above it, if they are evenly spaced."""
    spots = [hole.along for hole in bar.holes if hole.leg == leg]
    made = pitch_text(spots, desk.words, scale)
    if made is None:
        return []
    value, text = made
    a, b = (scale * min(spots), top), (scale * max(spots), top)
    return [linear("x", a, b, top + FIRST - 2.0, value, text, Feature(bar.mark, "reference"))]


def _inside_lines(bar: Bar, long: Mm, base: Mm, wide: Mm, thick: Mm, heel: Mm, up: Ratio) -> list[Stroke]:
    """Hidden inner faces, or the centre line and the root of the thread."""
    middle = base + wide / 2
    if bar.kind is SectionKind.ANGLE:
        return [line(Line.HIDDEN, (0, heel + up * thick), (long, heel + up * thick))]
    if bar.kind is SectionKind.SQUARE_TUBE:
        return [line(Line.HIDDEN, (0, y), (long, y)) for y in (base + thick, base + wide - thick)]
    out = [line(Line.CENTRE, (-3, middle), (long + 3, middle))]
    if bar.kind is SectionKind.THREADED_ROD:
        root = 0.425 * wide
        out += [line(Line.THIN, (0, middle + s * root), (long, middle + s * root)) for s in (1, -1)]
    return out


def _end_view(bar: Bar, desk: PartDesk, leg: str, left: Mm, wide: Mm, thick: Mm) -> list[Item]:
    """The end at the right: the view from the right in third angle, from the left in first angle."""
    if bar.kind in (SectionKind.ROD, SectionKind.THREADED_ROD):
        x, y = left + wide / 2, wide / 2
        return [Circle(Line.VISIBLE, x, y, wide / 2), *centre_mark(x, y, wide / 2)]
    if bar.kind is SectionKind.SQUARE_TUBE:
        return [
            line(
                Line.VISIBLE,
                *((left + d, d), (left + wide - d, d), (left + wide - d, wide - d), (left + d, wide - d)),
                closed=True,
            )
            for d in (0.0, thick)
        ]
    ring: list[Point] = [(0, 0), (wide, 0), (wide, thick), (thick, thick), (thick, wide), (0, wide)]
    if leg == "x":
        ring = [(a, wide - b) for a, b in ring]
    if desk.options.projection == "first angle":
        ring = [(wide - a, b) for a, b in ring]
    return [line(Line.VISIBLE, *((left + a, b) for a, b in ring), closed=True)]


def _chart(bar: Bar, desk: PartDesk) -> tuple[Item, ...]:
    """One row a hole, which is also the dimension that fixes it."""
    words, shop = desk.words, desk.mould.dims.spec.shop
    _, thick = bar_size(bar)
    least = rules.least_cut_hole(thick, shop.cutting)
    both = len({hole.leg for hole in bar.holes}) > 1
    rows, features = [], []
    for number, hole in enumerate(bar_holes(bar), 1):
        rows.append(
            (
                str(number),
                words.length(hole.along),
                words.length(hole.offset),
                words.diameter(hole.diameter, desk.mould.widest(hole.purpose)),
                _drilling(words, desk, hole, least),
                words(PURPOSES[hole.purpose]),
                *((hole.leg,) if both else ()),
            )
        )
        at = (hole.along, hole.offset, hole.diameter)
        features.append(Feature(bar.mark, "hole", ((0, number - 1),), at))
    head = (words("Hole"), "x", "y", "Ø", words("Make"), words("For"), *((words("Leg"),) if both else ()))
    return charted(table(head, rows, 0, 0, right=(0, 1, 2, 3)), features, len(head))


def _drilling(words: Words, desk: PartDesk, hole: BarHole, least: Mm) -> str:
    """Bars are drilled, not cut: to size, as a pilot, or through the plate's centre mark."""
    shop = desk.mould.dims.spec.shop
    if shop.hole_method is HoleMethod.FULL:
        return words("drill")
    if shop.hole_method is HoleMethod.PILOT:
        pilot = words.diameter(min(hole.diameter, shop.pilot_diameter), hole.diameter)
        return words("drill {pilot}, open out", pilot=pilot)
    return words("drill through the plate")
