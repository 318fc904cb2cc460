"""Dimensions, notes with leaders and marks, drawn as ISO 129-1 has them, in millimetres of paper.

A dimension line stands off the outline, its value above it and readable from below or from the right.  Running
dimensions count from a datum edge marked by a ring and 0; their values stand at the ends of the extension lines.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from mouldgeom.drawing.layout import Obstacles, inside, spread
from mouldgeom.drawing.lettering import NORMAL, SMALL, extent
from mouldgeom.drawing.primitives import (
    ARROW,
    GAP,
    Anchor,
    Area,
    Box,
    Circle,
    Dimension,
    Feature,
    Line,
    Primitive,
    Stroke,
    Text,
    arrow,
    line,
)
from mouldgeom.geometry.outline import Point
from mouldgeom.units import Mm

Axis = Literal["x", "y"]
FIRST: Final[Mm] = 10.0
"""Distance of the first dimension line from the outline.

Source: drawing practice.
"""
OVERSHOOT: Final[Mm] = 2.0
CLEAR: Final[Mm] = 0.8
"""Extension lines run past the dimension line and start off the outline by so much.

Source: ISO 129-1:2018 (from memory; the gap is drawing practice).
"""


def _turned(axis: Axis, along: Mm, off: Mm) -> Point:
    return (along, off) if axis == "x" else (off, along)


def linear(
    axis: Axis, a: Point, b: Point, where: Mm, value: Mm, text: str, feature: Feature, *, before: bool = False
) -> Dimension:
    """A level (``axis`` x) or upright (y) dimension between two points.

    Args:
        axis: which distance is measured.
        a, b: points of paper that it measures between.
        where: y (or x) of the dimension line.
        value: measured value, mm.
        text: as printed.
        feature: what it fixes.
        before: a text that is too long stands before the first point, not behind the second.
    """
    k = 0 if axis == "x" else 1
    low, high = sorted((a, b), key=lambda p: p[k])
    start, end = low[k], high[k]
    parts: list[Primitive] = [_extension(axis, p[k], p[1 - k], where) for p in (low, high)]
    narrow = end - start < 2 * ARROW + 1.5
    wide = Text(text, 0, 0).width
    fits = wide <= end - start - (1.0 if narrow else 2.0)
    out = 1.0 if narrow else -1.0
    first, last = start - (ARROW + 2 if narrow else 0), end + (ARROW + 2 if narrow else 0)
    if not fits and before:
        first = start - (ARROW if narrow else 0) - OVERSHOOT - wide - 1
    elif not fits:
        last = end + (ARROW if narrow else 0) + OVERSHOOT + wide + 1
    parts.append(line(Line.THIN, _turned(axis, first, where), _turned(axis, last, where)))
    parts += [
        arrow(_turned(axis, start, where), _turned(axis, out, 0)),
        arrow(_turned(axis, end, where), _turned(axis, -out, 0)),
    ]
    beyond = first + wide / 2 + 0.5 if before else last - wide / 2 - 0.5
    centre = (start + end) / 2 if fits else beyond
    parts.append(value_text(axis, text, centre, where))
    return Dimension(feature, value, text, (low, high), tuple(parts))


def value_text(axis: Axis, text: str, centre: Mm, where: Mm) -> Text:
    """A value above a level dimension line, or left of an upright one."""
    if axis == "x":
        return Text(text, centre, where + GAP, NORMAL, "middle")
    return Text(text, where - GAP, centre, NORMAL, "middle", 90.0)


def _extension(axis: Axis, along: Mm, start: Mm, where: Mm, past: Mm = OVERSHOOT) -> Stroke:
    side = 1.0 if where > start else -1.0
    return line(Line.THIN, _turned(axis, along, start + side * CLEAR), _turned(axis, along, where + side * past))


@dataclass(frozen=True)
class Station:
    """One value of a row of running dimensions: where it is, how far off its nearest corner lies, and the rest."""

    along: Mm
    start: Mm
    value: Mm
    text: str
    feature: Feature


def running(
    axis: Axis, datum: Point, stations: Sequence[Station], where: Mm
) -> tuple[list[Dimension], list[Primitive]]:
    """Running dimensions from a datum edge, on the lower side (``axis`` x) or on the left (y).

    Args:
        axis: which distance they count.
        datum: point of paper on the datum edge, where its extension line begins.
        stations: the values.
        where: y (or x) of the dimension line.

    Returns:
        One dimension a station, and the ring and 0 at the datum.

    Source: ISO 129-1:2018 (running dimensioning; from memory).
    """
    k = 0 if axis == "x" else 1
    ordered = sorted(stations, key=lambda s: s.along)
    targets = [datum[k], *(s.along for s in ordered)]
    heights = (NORMAL * (high - low) for _, low, high in (extent(s.text) for s in ordered))
    spots = spread(targets, max(1.3 * NORMAL, *heights) + 0.3)
    jog = 5.0 if max(abs(s - t) for s, t in zip(spots, targets, strict=True)) > 0.3 else 2.0
    zero: list[Primitive] = [
        Circle(Line.THIN, *_turned(axis, datum[k], where), 0.9),
        _extension(axis, datum[k], datum[1 - k], where + 0.9, -0.0),
        *_tail(axis, targets[0], spots[0], where - 0.9, jog - 0.9, "0"),
    ]
    made = []
    before = datum[k] + 0.9
    for station, spot in zip(ordered, spots[1:], strict=True):
        tip = _turned(axis, station.along, where)
        parts: list[Primitive] = [
            _extension(axis, station.along, station.start, where, 0.0),
            line(Line.THIN, _turned(axis, before, where), tip),
        ]
        if station.along - before > ARROW + 0.3:
            parts.append(arrow(tip, _turned(axis, 1.0, 0.0)))
        else:
            parts.append(line(Line.THIN, (tip[0] - 0.9, tip[1] - 0.9), (tip[0] + 0.9, tip[1] + 0.9), weight=0.35))
        parts += _tail(axis, station.along, spot, where, jog, station.text)
        ends = (datum, _turned(axis, station.along, station.start))
        made.append(Dimension(station.feature, station.value, station.text, ends, tuple(parts)))
        before = station.along
    return made, zero


def _tail(axis: Axis, along: Mm, spot: Mm, where: Mm, jog: Mm, text: str) -> Iterator[Primitive]:
    """The end of an extension line beyond the dimension line, cranked to where the value has room, and the value."""
    end = where - jog
    if jog > 3:
        bends = [(along, where), (along, where - 1.0), (spot, end + 0.8), (spot, end)]
    else:
        bends = [(along, where), (spot, end)]
    yield line(Line.THIN, *(_turned(axis, p, q) for p, q in bends))
    if axis == "x":
        yield Text(text, spot + NORMAL / 2, end - 0.8, NORMAL, "end", 90.0)
    else:
        yield Text(text, end - 0.8, spot - NORMAL / 2, NORMAL, "end")


def centre_mark(x: Mm, y: Mm, radius: Mm) -> tuple[Primitive, ...]:
    """The two centre lines of a hole."""
    reach = radius + max(1.2, min(2.5, 0.4 * radius))
    kind, weight = (Line.CENTRE, 0.0) if radius > 6 else (Line.THIN, 0.18)
    return (
        line(kind, (x - reach, y), (x + reach, y), weight=weight),
        line(kind, (x, y - reach), (x, y + reach), weight=weight),
    )


def concrete_symbol(x: Mm, y: Mm, size: Mm = 5.0) -> tuple[Primitive, ...]:
    """A square with the grains of concrete, its lower left corner at a point: the face that touches concrete."""
    s = size / 5
    square = line(Line.HATCH, (x, y), (x + size, y), (x + size, y + size), (x, y + size), closed=True, weight=0.35)
    stones = (
        ((0.7, 0.8), (1.9, 0.6), (1.2, 1.8)),
        ((2.9, 2.6), (4.2, 2.3), (3.8, 3.7)),
        ((0.8, 3.4), (1.9, 3.2), (1.6, 4.3)),
    )
    dots = ((3.2, 0.9), (2.2, 2.2), (4.2, 1.4), (2.7, 4.3), (0.8, 2.5), (4.3, 4.4))
    return (
        square,
        *(Area(Line.HATCH, tuple((x + s * a, y + s * b) for a, b in stone)) for stone in stones),
        *(Circle(Line.HATCH, x + s * a, y + s * b, 0.18 * s, filled=True) for a, b in dots),
    )


# --- notes that look for room ----------------------------------------------------------------------------------------


def note(
    targets: Sequence[tuple[Point, Point]], text: str, obstacles: Obstacles, *, height: Mm = NORMAL,
    within: Box | None = None,
) -> tuple[Primitive, ...]:  # fmt: skip
    """A text with a leader to one of the targets, where it meets least; above the first of them if all is full.

    Args:
        targets: points on edges, each with a direction away from the material.
        text: what it says.
        obstacles: what is there already; the note is added to it.
        height: of the lettering.
        within: where the text has to stay.
    """
    best: tuple[float, tuple[Primitive, ...]] | None = None
    for preference, (target, away) in enumerate(targets):
        for turn in (0, 30, -30, 60, -60, 90, -90, 180, 150, -150):
            angle = math.atan2(away[1], away[0]) + math.radians(turn)
            for reach in (6.0, 9.0, 13.0, 18.0, 25.0, 34.0, 45.0):
                least = reach + 0.1 * abs(turn) + 2 * preference
                if best is not None and least >= best[0]:
                    break
                knee = (target[0] + reach * math.cos(angle), target[1] + reach * math.sin(angle))
                drawn = _note(target, knee, text, height, math.cos(angle) >= -1e-9)
                words = drawn[-1]
                assert isinstance(words, Text)
                if (within is not None and not inside(words.box, within)) or obstacles.meets(words, 0.6):
                    continue
                cost = least + 15 * obstacles.crossings(knee, target, 1.0)
                if best is None or cost < best[0]:
                    best = (cost, drawn)
        if best is not None and best[0] < 20:
            break
    (x, y), _ = targets[0]
    drawn = best[1] if best is not None else _note((x, y), (x, y + 6), text, height, True)
    for part in drawn:
        obstacles.add(part)
    return drawn


def _note(target: Point, knee: Point, text: str, height: Mm, rightwards: bool) -> tuple[Primitive, ...]:
    side = 1.0 if rightwards else -1.0
    anchor: Anchor = "start" if rightwards else "end"
    shelf = (knee[0] + side * 1.5, knee[1])
    return (
        line(Line.THIN, target, knee, shelf),
        arrow(target, (target[0] - knee[0], target[1] - knee[1])),
        Text(text, shelf[0] + side * 0.8, knee[1] - height / 2, height, anchor),
    )


def label(
    x: Mm, y: Mm, radius: Mm, text: str, obstacles: Obstacles, height: Mm = SMALL, within: Box | None = None
) -> tuple[Primitive, ...]:
    """A short label beside a hole where it meets nothing; with a leader if there is no room close by."""
    for off in (0.6, 1.4, 2.4):
        for dx, dy in ((1, 1), (-1, 1), (1, -1), (-1, -1), (1, 0), (-1, 0), (0, 1), (0, -1)):
            reach = radius * (0.7071 if dx and dy else 1.0) + off
            anchor: Anchor = "start" if dx > 0 else "end" if dx < 0 else "middle"
            base = y + dy * reach - (height if dy < 0 else height / 2 if dy == 0 else 0)
            made = Text(text, x + dx * reach, base, height, anchor)
            if (within is None or inside(made.box, within)) and not obstacles.meets(made, 0.3):
                obstacles.add(made)
                return (made,)
    ring = [((x + radius * math.cos(t), y + radius * math.sin(t)), (math.cos(t), math.sin(t))) for t in _EIGHT]
    return note(ring, text, obstacles, height=height, within=within)


_EIGHT: Final = tuple(math.pi / 4 * (i + 0.5) for i in range(8))
