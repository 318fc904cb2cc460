"""Mass and centre of gravity of every piece, of what people carry, of the whole mould and of the finished filter.

All centres are in the casting frame, those of the filter too (``upright`` turns them over).  Plates go by the area of
their outline less holes and openings, bars by their section, the concrete by boxes, tapered boxes, a wedge and the run
of the tube: exact but for the tube's slanted inlet and the thickness of its bends.  No solid kernel.
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
from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import BOLTS, BRIDGE, FOOT, FORCING, GEAR, LID, PADS, PANELS, SCREW, Unit
from mouldgeom.model.assembly import Mould, Piece, bar_wall
from mouldgeom.model.sections import angle_section
from mouldgeom.model.shapes import Bar, BarHole, Fastener, FastenerKind, Plate, SectionKind, bar_diameter
from mouldgeom.units import GRAVITY, AnyUnit, Kg, KgPerM3, Mm, Mm3, Ratio


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


def upright(centre: Vec, dims: Dimensions) -> Vec:
    """Return a point of the casting frame in the frame of the upright filter: a half turn about y."""
    return (-centre[0], centre[1], dims.height - centre[2])


# ---------------------------------------------------------------- sections and pieces


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


def _bar_centre(mould: Mould, bar: Bar) -> Vec:
    x, y = outline_centroid(angle_section(bar.section)) if bar.kind is SectionKind.ANGLE else (0.0, 0.0)
    density = mould.dims.stock.steel.density_kg_m3 * 1e-9
    holes = [
        Lump(-math.pi / 4 * hole.diameter**2 * bar_wall(bar) * density, _hole_centre(bar, hole)) for hole in bar.holes
    ]
    whole = mould.mass(bar) - sum(hole.mass for hole in holes)
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


def piece_lump(mould: Mould, piece: Piece) -> Lump:
    """Mass and centre of gravity of one piece where it stands."""
    part = piece.part
    if isinstance(part, Plate):
        centre = _plate_centre(part)
    elif isinstance(part, Bar):
        centre = _bar_centre(mould, part)
    else:
        centre = _fastener_centre(part)
    return Lump(mould.mass(part), piece.placement.to_casting(centre))


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


LOADS = (*PANELS.values(), LID, FOOT, BRIDGE, SCREW, FORCING, PADS, BOLTS)
"""What is lifted in one go: the pieces that are welded together, with what stays on them."""


@dataclass(frozen=True, slots=True)
class Carried:
    """A load with its mass, centre of gravity, size over everything (bolts apart) and number of pieces."""

    load: Unit
    lump: Lump
    low: Vec
    high: Vec
    pieces: int

    @property
    def size(self) -> Vec:
        """Extent along x, y and z of the casting frame."""
        return (self.high[0] - self.low[0], self.high[1] - self.low[1], self.high[2] - self.low[2])


def carried(mould: Mould) -> dict[Unit, Carried]:
    """Every load of a mould."""
    pieces = list(mould.pieces())
    out: dict[Unit, Carried] = {}
    for load in LOADS:
        own = [piece for piece in pieces if piece.unit.within(load)]
        if not own:
            continue
        corners = [corner for piece in own for corner in _corners(piece)]
        low, high = _bounds(corners)
        out[load] = Carried(load, combined(piece_lump(mould, piece) for piece in own), low, high, len(own))
    return out


def _corners(piece: Piece) -> list[Vec]:
    if isinstance(piece.part, Fastener):
        return [piece.placement.origin]
    low, high = _box(piece.part)
    choices = itertools.product(*zip(low, high, strict=True))
    return [piece.placement.to_casting((x, y, z)) for x, y, z in choices]


def _bounds(points: Sequence[Vec]) -> tuple[Vec, Vec]:
    xs, ys, zs = zip(*points, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


# ---------------------------------------------------------------- concrete and filling


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


def _filling(dims: Dimensions, bottom: Mm, top: Mm, density: KgPerM3) -> list[Lump]:
    """What stands in the cavity between two levels of the upright filter."""
    low, high = dims.height - top, dims.height - bottom
    bulks = [_taper(dims, a, b, step) for a, b, step in _stretches(dims, low, high)]
    return [Lump(bulk.volume * density * 1e-9, bulk.centre) for bulk in bulks]


# ---------------------------------------------------------------- the whole


@dataclass(frozen=True)
class Masses:
    """Everything that is lifted, turned or stood up.

    ``empty`` is the mould with core, base, lid and bolts, the bridge not on it; ``filled`` has the concrete by its
    fresh weight; ``filter_empty`` is the hardened body; ``filter_full`` has gravel, sand and water up to the full
    level, ``filter_resting`` up to the rest level.
    """

    carried: dict[Unit, Carried]
    fresh: Lump
    empty: Lump
    filled: Lump
    filter_empty: Lump
    filter_resting: Lump
    filter_full: Lump


def masses(mould: Mould) -> Masses:
    """Work out every mass of a mould."""
    dims, spec = mould.dims, mould.dims.spec
    loads = carried(mould)
    empty = combined(item.lump for load, item in loads.items() if not load.within(GEAR))
    fresh = body_lump(dims, spec.concrete.unit_weight_fresh * 1000 / GRAVITY)
    body, levels = body_lump(dims, spec.concrete.density), dims.levels
    bed = _filling(dims, levels.floor, levels.sand_top, bed_density(spec.sand.porosity))
    resting, full = (
        combined([body, *bed, *_filling(dims, levels.sand_top, top, WATER_DENSITY)])
        for top in (levels.rest, levels.full)
    )
    return Masses(loads, fresh, empty, combined([empty, fresh]), body, resting, full)
