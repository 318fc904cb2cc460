"""What parts and the concrete weigh, and where their centres of gravity are; no solid kernel.

Plates go by the area of their outline less holes and openings, bars by their section, the concrete by boxes, tapered
boxes, a wedge and the run of the tube: exact but for the tube's slanted inlet and the thickness of its bends.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mouldgeom import tables
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.filter.concrete import SAND_GRAIN_DENSITY, WATER_DENSITY, body_volume
from mouldgeom.geometry.outline import Outline, Point, Vertex, arc_of
from mouldgeom.geometry.placement import Placement, Vec
from mouldgeom.model.sections import angle_section
from mouldgeom.model.shapes import (
    Bar,
    BarHole,
    Fastener,
    FastenerKind,
    Part,
    Plate,
    SectionKind,
    bar_diameter,
)
from mouldgeom.units import AnyUnit, Kg, KgPerM, KgPerM3, KgPerMm3, Mm, Mm3, Ratio


@dataclass(frozen=True, slots=True)
class Lump:
    """A mass and its centre of gravity in the casting frame."""

    mass: Kg
    centre: Vec


def combined(lumps: Iterable[Lump]) -> Lump:
    """Return several lumps as one; a mass below 0 takes away.

    Raises:
        ZeroDivisionError: they weigh nothing together.
    """
    kept = tuple(lumps)
    mass = sum(lump.mass for lump in kept)
    x, y, z = (sum(lump.mass * lump.centre[i] for lump in kept) / mass for i in range(3))
    return Lump(mass, (x, y, z))


# ---------------------------------------------------------------- parts


def part_mass(part: Part, density: KgPerMm3) -> Kg:
    """Mass of one piece: plates by area, bars by the table's mass per metre less holes, fasteners by envelope."""
    if isinstance(part, Plate):
        return part.mass(density)
    if isinstance(part, Bar):
        holes = sum(math.pi / 4 * h.diameter**2 for h in part.holes) * bar_wall(part) * density
        return bar_mass_per_metre(part, density) * part.length / 1000 - holes
    return fastener_volume(part) * density


def bar_wall(bar: Bar) -> Mm:
    """Thickness of the leg or wall that a hole in this bar goes through."""
    if bar.kind is SectionKind.ANGLE:
        return tables.angle(bar.section).thickness_mm
    if bar.kind is SectionKind.SQUARE_TUBE:
        return 2 * tables.square_tube(bar.section).thickness_mm
    return bar_diameter(bar)


def bar_mass_per_metre(bar: Bar, density: KgPerMm3) -> KgPerM:
    """Mass of a metre of the bar; a threaded rod by its pitch diameter."""
    if bar.kind is SectionKind.ANGLE:
        return tables.angle(bar.section).mass_kg_m
    if bar.kind is SectionKind.SQUARE_TUBE:
        return tables.square_tube(bar.section).mass_kg_m
    if bar.kind is SectionKind.ROD:
        diameter = tables.rod(bar.section).diameter_mm
    else:
        diameter = tables.bolt(bar.section).pitch_diameter_mm
    return math.pi / 4 * diameter**2 * 1000 * density


def fastener_volume(part: Fastener) -> Mm3:
    """Volume of a fastener from its table row: hexagon prism, shank at the pitch diameter, or ring."""
    row = tables.bolt(part.designation)
    hexagon = math.sqrt(3) / 2 * row.across_flats_mm**2
    bore = math.pi / 4 * row.diameter_mm**2
    if part.kind is FastenerKind.BOLT:
        return hexagon * row.head_height_mm + math.pi / 4 * row.pitch_diameter_mm**2 * part.length
    if part.kind is FastenerKind.NUT:
        return (hexagon - bore) * row.nut_height_mm
    return (math.pi / 4 * row.washer_outside_mm**2 - bore) * row.washer_thickness_mm


def outline_centroid(outline: Outline) -> Point:
    """Centroid of the enclosed area, arcs exact.

    Source: geometry: polygon by triangles, circular segment at 4 r sin^3(a/2) / (3 (a - sin a)) from the centre.
    """
    area = x = y = 0.0
    for a, b in outline.edges:
        twice = a.x * b.y - b.x * a.y
        area += twice / 2
        x += twice * (a.x + b.x) / 6
        y += twice * (a.y + b.y) / 6
        if a.arc:
            part, (px, py) = _segment(a, b)
            area += part
            x += part * px
            y += part * py
    return x / area, y / area


def _segment(a: Vertex, b: Vertex) -> tuple[AnyUnit, Point]:
    """Area between an arc and its chord, below 0 where it bites into the outline, and its centroid."""
    centre, radius, start, sweep = arc_of(a, b)
    turn = abs(sweep)
    off = 4 * radius * math.sin(turn / 2) ** 3 / (3 * (turn - math.sin(turn)))
    middle = start + sweep / 2
    area = radius**2 * (sweep - math.sin(sweep)) / 2
    return area, (centre[0] + off * math.cos(middle), centre[1] + off * math.sin(middle))


def _plate_centre(plate: Plate) -> Vec:
    parts = [(plate.outline.area, outline_centroid(plate.outline))]
    parts += [(-math.pi / 4 * hole.diameter**2, (hole.x, hole.y)) for hole in plate.holes]
    parts += [(-opening.area, outline_centroid(opening)) for opening in plate.openings]
    area = sum(part for part, _ in parts)
    x, y = (sum(part * point[i] for part, point in parts) / area for i in range(2))
    return (x, y, -plate.thickness / 2)


def _bar_centre(bar: Bar, density: KgPerMm3) -> Vec:
    x, y = outline_centroid(angle_section(bar.section)) if bar.kind is SectionKind.ANGLE else (0.0, 0.0)
    holes = [
        Lump(-math.pi / 4 * hole.diameter**2 * bar_wall(bar) * density, _hole_centre(bar, hole)) for hole in bar.holes
    ]
    whole = part_mass(bar, density) - sum(hole.mass for hole in holes)
    return combined([Lump(whole, (x, y, bar.length / 2)), *holes]).centre


def _hole_centre(bar: Bar, hole: BarHole) -> Vec:
    """Middle of what a hole takes away: of the leg of an angle, of both walls of a tube."""
    inside = bar_wall(bar) / 2 if bar.kind is SectionKind.ANGLE else 0.0
    return (hole.offset, inside, hole.along) if hole.leg == "x" else (inside, hole.offset, hole.along)


def _fastener_centre(part: Fastener) -> Vec:
    row = tables.bolt(part.designation)
    if part.kind is FastenerKind.BOLT:
        head = math.sqrt(3) / 2 * row.across_flats_mm**2 * row.head_height_mm
        shank = math.pi / 4 * row.pitch_diameter_mm**2 * part.length
        return (0.0, 0.0, (shank * part.length - head * row.head_height_mm) / 2 / (head + shank))
    return (0.0, 0.0, (row.nut_height_mm if part.kind is FastenerKind.NUT else row.washer_thickness_mm) / 2)


def part_lump(part: Part, at: Placement, density: KgPerMm3) -> Lump:
    """Mass and centre of gravity of one piece of a part where it stands."""
    if isinstance(part, Plate):
        centre = _plate_centre(part)
    elif isinstance(part, Bar):
        centre = _bar_centre(part, density)
    else:
        centre = _fastener_centre(part)
    return Lump(part_mass(part, density), at.to_casting(centre))


def _box(part: Plate | Bar) -> tuple[Vec, Vec]:
    """Least and greatest local coordinates."""
    if isinstance(part, Plate):
        x0, y0, x1, y1 = part.outline.bounds
        return (x0, y0, -part.thickness), (x1, y1, 0.0)
    if part.kind is SectionKind.ANGLE:
        leg = tables.angle(part.section).leg_mm
        return (0.0, 0.0, 0.0), (leg, leg, part.length)
    square = part.kind is SectionKind.SQUARE_TUBE
    half = (tables.square_tube(part.section).side_mm if square else bar_diameter(part)) / 2
    return (-half, -half, 0.0), (half, half, part.length)


# ---------------------------------------------------------------- what is carried


def part_corners(part: Part, at: Placement) -> list[Vec]:
    """Corners of the box around one piece; of a fastener its origin alone."""
    if isinstance(part, Fastener):
        return [at.origin]
    low, high = _box(part)
    choices = itertools.product(*zip(low, high, strict=True))
    return [at.to_casting((x, y, z)) for x, y, z in choices]


def bounds(points: Sequence[Vec]) -> tuple[Vec, Vec]:
    """Least and greatest coordinates of points."""
    xs, ys, zs = zip(*points, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


# ---------------------------------------------------------------- the concrete


@dataclass(frozen=True, slots=True)
class Bulk:
    """A volume and its centroid in the casting frame; below 0 it takes away."""

    volume: Mm3
    centre: Vec


def body_parts(dims: Dimensions) -> tuple[Bulk, ...]:
    """The concrete body as simple solids: box, cavity in two tapers, nose wedge, its root through the panel, tube.

    Source: geometry; together the same as ``filter.concrete.body_volume``.
    """
    nose = dims.nose
    box = Bulk(dims.width * dims.depth * dims.height, (0.0, 0.0, dims.height / 2))
    tapers = [_taken(_taper(dims, low, high, step)) for low, high, step in _stretches(dims, 0.0, dims.end_z)]
    rise = nose.opening_top - nose.low_z
    root = Bulk(2 * nose.root_half * dims.shell * rise, (0.0, nose.root_y + dims.shell / 2, nose.low_z + rise / 2))
    return (box, *tapers, _wedge(dims), root, _taken(_tube(dims)))


def _taken(bulk: Bulk) -> Bulk:
    return Bulk(-bulk.volume, bulk.centre)


def _stretches(dims: Dimensions, low: Mm, high: Mm) -> list[tuple[Mm, Mm, Mm]]:
    """The cavity between two heights on either side of the ledge, with the step that belongs to each."""
    ledge = min(max(dims.ledge_z, low), high)
    parts = [(low, ledge, dims.step), (ledge, high, 0.0)]
    return [part for part in parts if part[1] > part[0]]


def _taper(dims: Dimensions, low: Mm, high: Mm, step: Mm) -> Bulk:
    """Tapered box of the cavity between two heights: Simpson's rule, exact up to the third power of z."""

    def area(z: Mm) -> AnyUnit:
        return 4 * (dims.core_half_x(z) + step) * (dims.core_half_y(z) + step)

    marks = ((low, 1.0), ((low + high) / 2, 4.0), (high, 1.0))
    sixth = (high - low) / 6
    volume = sixth * sum(weight * area(z) for z, weight in marks)
    return Bulk(volume, (0.0, 0.0, sixth * sum(weight * area(z) * z for z, weight in marks) / volume))


def _wedge(dims: Dimensions) -> Bulk:
    """Nose in front of the panel: a triangle in elevation whose width goes evenly from root to tip."""
    nose = dims.nose
    area = (nose.lid_z - nose.low_z) * (nose.root_y - nose.tip_y) / 2
    widths = (2 * nose.root_half, 2 * nose.root_half, 2 * nose.tip_half)
    volume = area * sum(widths) / 3

    def mean(values: tuple[Mm, Mm, Mm]) -> Mm:
        """Mean of a linear value over the wedge, by its three corners."""
        own = sum(width * value for width, value in zip(widths, values, strict=True))
        return area / 12 * (own + sum(widths) * sum(values)) / volume

    y, z = mean((nose.root_y, nose.root_y, nose.tip_y)), mean((nose.low_z, nose.lid_z, nose.lid_z))
    return Bulk(volume, (0.0, y, z))


def _tube(dims: Dimensions) -> Bulk:
    """Tube in the concrete, along its axis: three straights, a quarter and a half turn."""
    path, radius = dims.tube, dims.tube.bend_radius
    (inlet_y, inlet_z), (first_y, first_z), (_, crest_z) = path.inlet, path.first_centre, path.crest_centre
    end = path.end_z - dims.shell
    quarter = 2 * radius / math.pi  # of the centroid of a quarter turn, along each axis from its centre
    runs = (
        (inlet_y - first_y, ((inlet_y + first_y) / 2, inlet_z)),
        (math.pi / 2 * radius, (first_y - quarter, first_z + quarter)),
        (first_z - crest_z, (path.riser_y, (first_z + crest_z) / 2)),
        (math.pi * radius, (path.crest_centre[0], crest_z - quarter)),
        (end - crest_z, (path.leg_y, (crest_z + end) / 2)),
    )
    length = sum(abs(run) for run, _ in runs)
    y, z = (sum(abs(run) * middle[i] for run, middle in runs) / length for i in range(2))
    return Bulk(math.pi / 4 * path.outside**2 * length, (0.0, y, z))


def body_lump(dims: Dimensions, density: KgPerM3) -> Lump:
    """Mass and centre of gravity of the concrete body."""
    volume = body_volume(dims.spec, dims.levels, dims.cavity, dims.nose, dims.tube, dims.shell)
    centre = combined(Lump(part.volume, part.centre) for part in body_parts(dims)).centre
    return Lump(volume * density * 1e-9, centre)


def bed_density(porosity: Ratio) -> KgPerM3:
    """Density of a bed of sand or gravel whose pores are full of water.

    Source: solids and water by their shares.
    """
    return (1 - porosity) * SAND_GRAIN_DENSITY + porosity * WATER_DENSITY


def filling(dims: Dimensions, bottom: Mm, top: Mm, density: KgPerM3) -> list[Lump]:
    """What stands in the cavity between two levels of the upright filter."""
    low, high = dims.height - top, dims.height - bottom
    bulks = [_taper(dims, a, b, step) for a, b, step in _stretches(dims, low, high)]
    return [Lump(bulk.volume * density * 1e-9, bulk.centre) for bulk in bulks]
