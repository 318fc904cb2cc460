"""Flat patterns for the cutter: one plate as a plain ``Pattern``, and patterns written as DXF R2000 in millimetres.

A pattern is drawn in the plate's own frame: concrete face up, x to the right, y up, never mirrored.  The file is ASCII
with ``\\n`` line ends, and the same plate gives the same bytes: no dates, no identifiers, coordinates rounded to a
millionth of a millimetre.  Closed lines are LWPOLYLINE with bulges, round holes are CIRCLE, nothing else is on a layer
that is cut.
"""

from __future__ import annotations

import functools
import math
import unicodedata
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from ezdxf.entities.circle import Circle
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.point import Point as DxfPoint
from ezdxf.enums import TextEntityAlignment
from ezdxf.graphicsfactory import CreatorInterface
from ezdxf.layouts.base import VirtualLayout
from numpy.typing import NDArray

from mouldgeom import rules
from mouldgeom.drawing.dxf_frame import DxfFrame, empty_drawing, empty_layout, frame_of
from mouldgeom.errors import GeometryError
from mouldgeom.fabrication.quantities import hole_cut
from mouldgeom.geometry.offset import offset_outline
from mouldgeom.geometry.outline import Outline, Point, Vertex, arc_of
from mouldgeom.model.shapes import ConcreteFace, Hole, Plate
from mouldgeom.outputs.dxf_layers import Layer
from mouldgeom.spec import Spec
from mouldgeom.spec.fields import HoleMethod
from mouldgeom.units import Deg, Mm, drill_text, plain

CLEARANCE = 3.0
"""Least distance (mm) from the box of the part mark to edges, openings, holes and centre marks (common practice)."""
CHARACTER = 0.9
"""Width of a character with its gap, as a share of the text height (common practice, no source)."""
LEAST_MARK = 4.0
"""Least height (mm) of a part mark that can still be read when etched (common practice, no source)."""

_Grid = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CutOptions:
    """How the shop cuts: what turns a plate's nominal shape into what is drawn."""

    hole_method: HoleMethod
    pilot_diameter: Mm
    kerf: Mm
    kerf_compensation: bool
    mark_height: Mm
    process: str
    moulds: int = 1

    @staticmethod
    def from_spec(spec: Spec) -> CutOptions:
        """Take the options from the ``[shop]`` group of a specification."""
        shop = spec.shop
        return CutOptions(
            shop.hole_method, shop.pilot_diameter, shop.kerf, shop.kerf_compensation, shop.mark_height, shop.cutting
        )


@dataclass(frozen=True, slots=True)
class RoundCut:
    """A round cut."""

    x: Mm
    y: Mm
    diameter: Mm


@dataclass(frozen=True, slots=True)
class MarkText:
    """The part mark: text centred on (x, y), turned anticlockwise by ``rotation``."""

    text: str
    x: Mm
    y: Mm
    height: Mm
    rotation: Deg


@dataclass(frozen=True)
class CutPattern:
    """What is drawn of one plate, in the plate's frame, kerf compensation included if asked for."""

    outside: Outline
    insides: tuple[Outline, ...] = ()
    circles: tuple[RoundCut, ...] = ()
    centre_marks: tuple[Point, ...] = ()
    mark: MarkText | None = None


@dataclass(frozen=True, slots=True)
class Transform:
    """A turn anticlockwise about the origin, then a move; it never mirrors."""

    x: Mm = 0.0
    y: Mm = 0.0
    angle: Deg = 0.0

    def point(self, x: Mm, y: Mm) -> Point:
        """Return where a point goes, rounded to what the file holds; quarter turns are exact."""
        quarters, rest = divmod(self.angle, 90)
        c, s = math.cos(math.radians(rest)), math.sin(math.radians(rest))
        for _ in range(int(quarters) % 4):
            c, s = -s, c
        return _tidy(self.x + c * x - s * y), _tidy(self.y + s * x + c * y)


def _tidy(value: Mm) -> Mm:
    return round(float(value), 6) + 0.0


# --- the pattern of a plate ------------------------------------------------------------------------------------------


def plate_pattern(plate: Plate, options: CutOptions) -> CutPattern:
    """Return what is drawn of a plate.

    Bolt holes follow the hole method; any hole below the least that the process can cut in this thickness becomes a
    centre mark, to be drilled.  With kerf compensation every cut is moved into the scrap by half a kerf.

    Raises:
        GeometryError: with kerf compensation, an edge, an opening or a hole vanishes.

    Source: common practice, no source; the least hole as ``rules.least_cut_hole``.
    """
    least = _least_cut_hole(plate, options)
    half = options.kerf / 2 if options.kerf_compensation else 0.0
    sizes = [(hole, _cut_diameter(hole, options, least)) for hole in plate.holes]
    circles = [RoundCut(h.x, h.y, _shrunk(plate, h, size - 2 * half)) for h, size in sizes if size is not None]
    marks = [(h.x, h.y) for h, size in sizes if size is None]
    try:
        outside = offset_outline(plate.outline, half)
        insides = tuple(offset_outline(opening, -half) for opening in plate.openings)
    except GeometryError as error:
        raise GeometryError(
            f"plate {_title(plate)} cannot be made bigger by half a kerf: {error}. "
            "Set shop.kerf_compensation to false, or cut with a narrower kerf."
        ) from error
    text = _place_mark(plate, options.mark_height)
    return CutPattern(outside, insides, tuple(dict.fromkeys(circles)), tuple(dict.fromkeys(marks)), text)


def _title(plate: Plate) -> str:
    return f"{plate.mark} ({plate.name})" if plate.mark else plate.name


def _least_cut_hole(plate: Plate, options: CutOptions) -> Mm:
    return rules.least_cut_hole(plate.thickness, options.process)


def _cut_diameter(hole: Hole, options: CutOptions, least: Mm) -> Mm | None:
    """Return the finished diameter that is cut, or None if the hole is only marked."""
    return hole_cut(hole, options.hole_method, options.pilot_diameter, least)


def _shrunk(plate: Plate, hole: Hole, diameter: Mm) -> Mm:
    if diameter <= 0:
        raise GeometryError(
            f"plate {_title(plate)}: the hole of {hole.diameter:g} mm at ({hole.x:.3f}, {hole.y:.3f}) "
            "is cut no wider than the kerf. Set shop.kerf_compensation to false, or cut with a narrower kerf."
        )
    return _tidy(diameter)


# --- where the part mark stands --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Obstacles:
    """Edges as straight pieces, and holes, as arrays; ``spare`` is what a chord may lie off its arc."""

    start: _Grid
    end: _Grid
    normal: _Grid
    spare: _Grid
    holes: _Grid

    @staticmethod
    def of(plate: Plate) -> _Obstacles:
        starts, ends, spares = [], [], []
        for outline in (plate.outline, *plate.openings):
            for a, b in outline.edges:
                piece = _pieces(a, b)
                starts += piece[:-1]
                ends += piece[1:]
                length = math.dist(piece[0], piece[1])
                spares += [length * abs(math.tan(math.atan(a.arc) / (len(piece) - 1))) / 2] * (len(piece) - 1)
        start, end = np.array(starts), np.array(ends)
        along = end - start
        normal = np.stack((-along[:, 1], along[:, 0]), 1) / np.hypot(along[:, 0], along[:, 1])[:, None]
        holes = np.array([(h.x, h.y, h.diameter / 2) for h in plate.holes]).reshape(-1, 3)
        return _Obstacles(start, end, normal, np.array(spares), holes)

    def clear(self, spots: _Grid, half_x: Mm, half_y: Mm) -> _Grid:
        """Return the spots whose box lies in the steel and is clear of everything, in the order given."""
        x, y = spots[:, 0, None], spots[:, 1, None]
        apart = np.abs(x * self.normal[:, 0] + y * self.normal[:, 1] - (self.start * self.normal).sum(1))
        apart -= np.abs(self.normal) @ (half_x, half_y)
        for at, half, centre in ((0, half_x, x), (1, half_y, y)):
            middle, reach = (self.start[:, at] + self.end[:, at]) / 2, np.abs(self.start[:, at] - self.end[:, at]) / 2
            np.maximum(apart, np.abs(centre - middle) - reach - half, out=apart)
        fits = (apart >= CLEARANCE + self.spare).all(1)
        gap_x = np.maximum(np.abs(x - self.holes[:, 0]) - half_x, 0)
        gap_y = np.maximum(np.abs(y - self.holes[:, 1]) - half_y, 0)
        fits &= (np.hypot(gap_x, gap_y) >= CLEARANCE + self.holes[:, 2]).all(1)
        kept: _Grid = spots[fits]
        steel: _Grid = kept[self._in_steel(kept)]
        return steel

    def _in_steel(self, spots: _Grid) -> NDArray[np.bool_]:
        x, y = spots[:, None, 0], spots[:, None, 1]
        (x0, y0), (x1, y1) = self.start.T, self.end.T
        spans = (y0 <= y) != (y1 <= y)
        with np.errstate(divide="ignore", invalid="ignore"):
            right = x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)
        inside: NDArray[np.bool_] = (spans & right).sum(1) % 2 == 1
        return inside

    def first_clear(self, spots: _Grid, half_x: Mm, half_y: Mm) -> Point | None:
        """Return the first clear spot; the search takes bites that grow, since most plates are clear in the middle."""
        at, bite = 0, 32
        while at < len(spots):
            found = self.clear(spots[at : at + bite], half_x, half_y)
            if len(found):
                return float(found[0, 0]), float(found[0, 1])
            at, bite = at + bite, 2 * bite
        return None


def _pieces(a: Vertex, b: Vertex) -> list[Point]:
    """Return points along one edge, an arc in steps of at most 10 degrees."""
    if not a.arc:
        return [(a.x, a.y), (b.x, b.y)]
    (cx, cy), radius, start, sweep = arc_of(a, b)
    count = max(1, math.ceil(abs(math.degrees(sweep)) / 10 - 1e-9))
    turns = [start + sweep * i / count for i in range(1, count)]
    between = [(cx + radius * math.cos(turn), cy + radius * math.sin(turn)) for turn in turns]
    return [(a.x, a.y), *between, (b.x, b.y)]


def _place_mark(plate: Plate, height: Mm) -> MarkText | None:
    """Return the part mark as near the centroid as it is clear; turned, then made smaller, only if it must be."""
    text = ascii_text(plate.mark)
    if not text:
        return None
    obstacles, grid = _Obstacles.of(plate), _grid(plate.outline)
    spots = {0.0: grid, 90.0: grid}
    for size in _heights(height):
        for rotation, places in spots.items():
            found = obstacles.first_clear(places, *_half_box(text, size, rotation))
            if found:
                return MarkText(text, _tidy(found[0]), _tidy(found[1]), size, rotation)
        if size == height:  # what does not hold the least text need not be looked at again
            spots = {turn: obstacles.clear(grid, *_half_box(text, min(LEAST_MARK, height), turn)) for turn in spots}
    return None


def _half_box(text: str, height: Mm, rotation: Deg) -> tuple[Mm, Mm]:
    along, up = CHARACTER * height * len(text) / 2, height / 2
    return (along, up) if rotation == 0 else (up, along)


def _heights(height: Mm) -> Iterator[Mm]:
    """Yield the height asked for, then whole millimetres down to the least."""
    yield float(height)
    yield from (float(h) for h in range(math.ceil(height) - 1, math.ceil(LEAST_MARK) - 1, -1))


def _grid(outline: Outline) -> _Grid:
    """Return points of a grid over an outline, the nearest to its centroid first, row by row among equals.

    The grid is finer across the outline than along it, so that narrow strips are searched well.
    """
    x0, y0, x1, y1 = outline.bounds
    cx, cy = (round(c, 3) for c in _centroid(outline.points()))
    counts = (100, 40) if x1 - x0 > y1 - y0 else (40, 100)
    dx, dy = (max(0.5, round(size / count, 1)) for size, count in zip((x1 - x0, y1 - y0), counts, strict=True))
    i = np.arange(math.ceil((x0 - cx) / dx), math.floor((x1 - cx) / dx) + 1)
    j = np.arange(math.ceil((y0 - cy) / dy), math.floor((y1 - cy) / dy) + 1)
    across, up = (part.ravel() for part in np.meshgrid(dx * i, dy * j))
    order = np.lexsort((across, up, across**2 + up**2))
    return np.stack((cx + across[order], cy + up[order]), 1)


def _centroid(points: Sequence[Point]) -> Point:
    x0, y0 = points[0]
    twice = sx = sy = 0.0
    for (ax, ay), (bx, by) in zip(points, [*points[1:], points[0]], strict=True):
        part = (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
        twice += part
        sx += part * (ax + bx - 2 * x0)
        sy += part * (ay + by - 2 * y0)
    return x0 + sx / (3 * twice), y0 + sy / (3 * twice)


# --- writing ---------------------------------------------------------------------------------------------------------


def flat_dxf(plate: Plate, options: CutOptions) -> bytes:
    """Return the cutting file of one plate.

    Raises:
        GeometryError: as ``plate_pattern``.
    """
    pattern = plate_pattern(plate, options)
    layout = empty_layout()
    write_pattern(layout, pattern, Transform())
    return drawing_bytes(layout, pattern_comments(plate, options, pattern))


def write_pattern(layout: CreatorInterface, pattern: CutPattern, transform: Transform) -> None:
    """Draw a pattern, turned and moved: marks first, then inner cuts, the outline last, as they are to be done."""
    if pattern.mark is not None:
        _write_text(layout, pattern.mark, transform)
    for x, y in pattern.centre_marks:
        layout.add_point(transform.point(x, y), {"layer": Layer.CENTRE_MARK.value})
    for circle in pattern.circles:
        centre = transform.point(circle.x, circle.y)
        layout.add_circle(centre, _tidy(circle.diameter / 2), {"layer": Layer.CUT_INSIDE.value})
    for inside in pattern.insides:
        write_outline(layout, Layer.CUT_INSIDE, inside, transform)
    write_outline(layout, Layer.CUT_OUTSIDE, pattern.outside, transform)


def write_outline(layout: CreatorInterface, layer: Layer, outline: Outline, transform: Transform) -> None:
    """Draw an outline as one closed polyline, its arcs as bulges."""
    points = [(*transform.point(v.x, v.y), round(v.arc, 10) + 0.0) for v in outline.vertices]
    layout.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": layer.value})


def _write_text(layout: CreatorInterface, mark: MarkText, transform: Transform) -> None:
    turn = _tidy((mark.rotation + transform.angle) % 360)
    text = layout.add_text(
        mark.text,
        height=mark.height,
        rotation=turn,
        dxfattribs={"layer": Layer.ETCH_TEXT.value, "style": "Standard"},
    )
    text.set_placement(transform.point(mark.x, mark.y), align=TextEntityAlignment.MIDDLE_CENTER)
    # Readers that know no alignment start the text at the insertion point: the lower left corner of its box.
    left, down = _half_box(mark.text, mark.height, 0.0)
    text.dxf.insert = Transform(*transform.point(mark.x, mark.y), turn).point(-left, -down)


def drawing_bytes(layout: VirtualLayout, comments: Sequence[str]) -> bytes:
    """Return what was drawn as ASCII DXF, the comments (group 999) first; extents and first view are set from the cuts.

    Raises:
        GeometryError: nothing is drawn.
    """
    x0, y0, x1, y1 = _extents(layout)
    before, body, after = _frame().filled(layout)
    height = 1.1 * max(y1 - y0, (x1 - x0) / 1.5)
    numbers = (x0, y0, x1, y1, _tidy((x0 + x1) / 2), _tidy((y0 + y1) / 2), _tidy(height))
    for blank, number in zip(_BLANKS, numbers, strict=True):
        before, after = before.replace(repr(blank), repr(number)), after.replace(repr(blank), repr(number))
    head = "".join(f"999\n{ascii_text(line)}\n" for line in comments)
    return f"{head}{before}{body}{after}".encode("ascii")


_BLANKS = tuple(float(9_000_001 + i) for i in range(7))
"""Stand in the frame for extents (least x, y, greatest x, y) and view (centre x, y, height)."""


@functools.cache
def _frame() -> DxfFrame:
    """An empty drawing with the layers of a shop, its extents and view left blank."""
    drawing = empty_drawing()
    for layer in Layer:
        drawing.layers.add(layer.value, color=layer.colour)
    x0, y0, x1, y1, x, y, height = _BLANKS
    return frame_of(drawing, (x0, y0), (x1, y1), (x, y), height, line_widths=False)


def _extents(layout: VirtualLayout) -> tuple[Mm, Mm, Mm, Mm]:
    """Return the least and greatest x and y of closed lines, circles and points; texts lie within them."""
    boxes: list[tuple[Mm, Mm, Mm, Mm]] = []
    for entity in layout:
        if isinstance(entity, LWPolyline):
            boxes.append(Outline(tuple(Vertex(*v) for v in entity.get_points("xyb"))).bounds)
        elif isinstance(entity, Circle):
            (x, y, _), r = entity.dxf.center, entity.dxf.radius
            boxes.append((x - r, y - r, x + r, y + r))
        elif isinstance(entity, DxfPoint):
            boxes.append((*entity.dxf.location.vec2, *entity.dxf.location.vec2))
    if not boxes:
        raise GeometryError("a drawing without any cut cannot be written")
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return _tidy(min(x0)), _tidy(min(y0)), _tidy(max(x1)), _tidy(max(y1))


# --- what the file says in words -------------------------------------------------------------------------------------


def pattern_comments(plate: Plate, options: CutOptions, pattern: CutPattern) -> list[str]:
    """Return the lines that a cutting file starts with."""
    face = "concrete face up" if plate.concrete_face is not ConcreteFace.NONE else "either face up"
    lines = [
        "mouldgeom: flat pattern for cutting",
        f"mark: {plate.mark or 'none'}",
        f"name: {plate.name}",
        f"sheet: {plate.sheet}, thickness {plain(plate.thickness)} mm",
        f"quantity: {plate.quantity * options.moulds}",
        f"moulds: {options.moulds}",
        "units: millimetres",
        f"face: {face}",
        f"size: {_size_words(options)}",
        f"bolt holes: {_method_words(options)}",
        *_drill_lines(plate, options),
    ]
    if plate.mark and pattern.mark is None:
        lines.append("etched text: none, the mark finds no room; write it on by hand")
    return lines


def _size_words(options: CutOptions) -> str:
    if not options.kerf_compensation:
        return "nominal size, no kerf compensation"
    half = plain(options.kerf / 2)
    return (
        f"kerf compensation: outlines drawn {half} mm outside, openings and holes {half} mm inside nominal size "
        f"for kerf {plain(options.kerf)} mm"
    )


def _method_words(options: CutOptions) -> str:
    return {
        HoleMethod.FULL: "full-size, cut to final diameter",
        HoleMethod.PILOT: f"pilot, cut at {plain(options.pilot_diameter)} mm and opened out at assembly",
        HoleMethod.CENTRE: "centre-mark, drilled through both members at assembly",
    }[options.hole_method]


def _drill_lines(plate: Plate, options: CutOptions) -> Iterator[str]:
    """Yield a line for each kind of hole that is not cut to its final diameter."""
    least = _least_cut_hole(plate, options)
    todo: Counter[tuple[str, Mm, Mm | None]] = Counter()
    for hole in dict.fromkeys(plate.holes):
        todo[hole.purpose.value, hole.diameter, _cut_diameter(hole, options, least)] += 1
    for (purpose, diameter, cut), count in sorted(todo.items(), key=lambda item: (item[0][:2], item[0][2] or 0.0)):
        if cut is None:
            yield f"drill at centre marks: {count} x {drill_text(diameter)} ({purpose})"
        elif cut < diameter:
            yield f"open out: {count} x {plain(cut)} mm to {drill_text(diameter)} ({purpose})"


def ascii_text(text: str) -> str:
    """Return a text on one line in ASCII: accents dropped, other foreign characters as ``?``."""
    spaced = " ".join(text.split())
    bare = "".join(c for c in unicodedata.normalize("NFKD", spaced) if not unicodedata.combining(c))
    return "".join(c if " " <= c <= "~" else "?" for c in bare)
