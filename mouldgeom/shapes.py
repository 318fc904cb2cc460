"""Plain descriptions of parts: outlines, plates, bars, fasteners and bolt rows.  No solid kernel.

A plate is one planar outline with holes, one thickness and one placement.  Its outline lies on the concrete face, seen
from the concrete: local x to the right, local y up, local z towards the concrete; the steel fills -thickness <= z <= 0.
A bar is one section along local z from 0 to its length: an angle has its heel at the origin and its legs along +x and
+y; a square tube, rod or threaded rod is centred on the z axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from mouldgeom import tables
from mouldgeom.errors import GeometryError
from mouldgeom.identity import Label, PieceId, RowId, Unit, label
from mouldgeom.units import AnyUnit, Deg, Kg, KgPerMm3, Mm, Mm2, Rad, Ratio

Vec = tuple[Mm, Mm, Mm]
Point = tuple[Mm, Mm]

SAME = 1e-6
"""Lengths closer than this (mm) are the same length."""


def add(a: Vec, b: Vec, scale: AnyUnit = 1.0) -> Vec:
    """Return ``a + scale * b``."""
    return (a[0] + scale * b[0], a[1] + scale * b[1], a[2] + scale * b[2])


def dot(a: Vec, b: Vec) -> AnyUnit:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec, b: Vec) -> Vec:
    """Return the vector product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


class Group(StrEnum):
    """Where a part belongs; the first letter of its mark is in ``GROUP_LETTERS``."""

    OUTER_BOX = "outer box"
    CORE = "core"
    BASE = "base"
    NOSE = "nose"
    EXTRACTION = "extraction"
    FASTENERS = "fasteners"


GROUP_LETTERS = dict(zip(Group, "ABCDEF", strict=True))


class ConcreteFace(StrEnum):
    """Which face of a plate touches concrete."""

    OUTLINE = "outline"
    NONE = "none"


class HolePurpose(StrEnum):
    """What a hole is for: only bolt holes follow the shop's hole method."""

    BOLT = "bolt"
    TUBE = "outlet tube"
    SCREW = "jack screw"


class SectionKind(StrEnum):
    """Kinds of bar."""

    ANGLE = "angle"
    SQUARE_TUBE = "square tube"
    ROD = "rod"
    THREADED_ROD = "threaded rod"


class FastenerKind(StrEnum):
    """Kinds of bought fastener."""

    BOLT = "hexagon bolt"
    NUT = "hexagon nut"
    WASHER = "washer"


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a part's local frame stands in the casting frame: origin, and unit vectors of local x and y.

    Local z is x cross y, so a placement turns and moves a part but never mirrors it.
    """

    origin: Vec
    x: Vec
    y: Vec

    def __post_init__(self) -> None:
        if (
            abs(dot(self.x, self.x) - 1) > 1e-9
            or abs(dot(self.y, self.y) - 1) > 1e-9
            or abs(dot(self.x, self.y)) > 1e-9
        ):
            raise GeometryError(
                f"axes {self.x} and {self.y} of a placement are not of length 1 and square to each other"
            )

    @property
    def z(self) -> Vec:
        """Unit vector of local z."""
        return cross(self.x, self.y)

    def to_casting(self, point: Vec) -> Vec:
        """Return a local point in the casting frame."""
        return add(add(add(self.origin, self.x, point[0]), self.y, point[1]), self.z, point[2])

    def to_local(self, point: Vec) -> Vec:
        """Return a point of the casting frame in the local frame."""
        gap = add(point, self.origin, -1)
        return (dot(gap, self.x), dot(gap, self.y), dot(gap, self.z))

    def direction_to_local(self, direction: Vec) -> Vec:
        """Return a direction of the casting frame in the local frame."""
        return (dot(direction, self.x), dot(direction, self.y), dot(direction, self.z))

    def of(self, inner: Placement) -> Placement:
        """Return the placement that first places by ``inner``, then by this one."""
        turn = Placement((0.0, 0.0, 0.0), self.x, self.y)
        return Placement(self.to_casting(inner.origin), turn.to_casting(inner.x), turn.to_casting(inner.y))

    @property
    def matrix(self) -> tuple[tuple[AnyUnit, ...], ...]:
        """4 x 4 matrix, row by row, that takes local points to the casting frame."""
        z = self.z
        return (
            *((self.x[i], self.y[i], z[i], self.origin[i]) for i in range(3)),
            (0.0, 0.0, 0.0, 1.0),
        )


@dataclass(frozen=True, slots=True)
class Vertex:
    """A corner of an outline and the bulge of the edge that leaves it: tan(angle / 4) of the arc, 0 if straight."""

    x: Mm
    y: Mm
    bulge: Ratio = 0.0


@dataclass(frozen=True)
class Outline:
    """A closed line of straight edges and arcs, anticlockwise, the last vertex joined to the first."""

    vertices: tuple[Vertex, ...]

    def __post_init__(self) -> None:
        if len(self.vertices) < 3 and not any(v.bulge for v in self.vertices):
            raise GeometryError("an outline needs three corners")
        if self.area <= 0:
            raise GeometryError(f"an outline runs clockwise or encloses nothing (area {self.area:g} mm2)")

    @staticmethod
    def polygon(points: Iterable[Point]) -> Outline:
        """Make an outline of straight edges, turned anticlockwise if need be."""
        kept = [Vertex(float(x), float(y)) for x, y in points]
        twice = sum(a.x * b.y - b.x * a.y for a, b in _pairs(kept))
        return Outline(tuple(kept if twice > 0 else reversed(kept)))

    @staticmethod
    def rectangle(x0: Mm, y0: Mm, x1: Mm, y1: Mm, radius: Mm = 0.0) -> Outline:
        """Make a rectangle, its corners rounded if a radius is given."""
        if radius <= 0:
            return Outline.polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
        r, k = radius, QUARTER
        return Outline(
            (
                Vertex(x0 + r, y0),
                Vertex(x1 - r, y0, k),
                Vertex(x1, y0 + r),
                Vertex(x1, y1 - r, k),
                Vertex(x1 - r, y1),
                Vertex(x0 + r, y1, k),
                Vertex(x0, y1 - r),
                Vertex(x0, y0 + r, k),
            )
        )

    @property
    def edges(self) -> list[tuple[Vertex, Vertex]]:
        """Each vertex with the next."""
        return _pairs(self.vertices)

    @property
    def area(self) -> Mm2:
        """Enclosed area, arcs exact, positive when anticlockwise."""
        return sum((a.x * b.y - b.x * a.y) / 2 + _segment_area(a, b) for a, b in self.edges)

    @property
    def length(self) -> Mm:
        """Length of the line, arcs exact."""
        return sum(edge_length(a, b) for a, b in self.edges)

    @property
    def bounds(self) -> tuple[Mm, Mm, Mm, Mm]:
        """Least x and y, greatest x and y; arcs by their ends and quarter points."""
        points = self.points(1.0)
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return min(xs), min(ys), max(xs), max(ys)

    def points(self, step: Deg = 5.0) -> list[Point]:
        """Return corners, and points along each arc at most ``step`` apart, the quarter points of the circle kept."""
        out: list[Point] = []
        for a, b in self.edges:
            out.append((a.x, a.y))
            if a.bulge:
                centre, radius, start, sweep = arc_of(a, b)
                count = max(1, math.ceil(abs(math.degrees(sweep)) / step - 1e-9))
                turns = {start + sweep * i / count for i in range(1, count)}
                low, high = sorted((start, start + sweep))
                turns |= {q for q in (i * math.pi / 2 for i in range(-8, 9)) if low + 1e-9 < q < high - 1e-9}
                for turn in sorted(turns, reverse=sweep < 0):
                    out.append((centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)))
        return out

    def moved(self, dx: Mm, dy: Mm) -> Outline:
        """Return the outline moved in its plane."""
        return Outline(tuple(Vertex(v.x + dx, v.y + dy, v.bulge) for v in self.vertices))


QUARTER = math.tan(math.pi / 8)
"""Bulge of a quarter circle."""


def _pairs(vertices: Sequence[Vertex]) -> list[tuple[Vertex, Vertex]]:
    return list(zip(vertices, [*vertices[1:], vertices[0]], strict=True))


def arc_of(a: Vertex, b: Vertex) -> tuple[Point, Mm, Rad, Rad]:
    """Return centre, radius, start angle and signed sweep (rad) of the arc from ``a`` to ``b``."""
    sweep = 4 * math.atan(a.bulge)
    chord = math.hypot(b.x - a.x, b.y - a.y)
    radius = chord / (2 * abs(math.sin(sweep / 2)))
    offset = (1 - a.bulge**2) / (4 * a.bulge)
    centre = ((a.x + b.x) / 2 - offset * (b.y - a.y), (a.y + b.y) / 2 + offset * (b.x - a.x))
    return centre, radius, math.atan2(a.y - centre[1], a.x - centre[0]), sweep


def edge_length(a: Vertex, b: Vertex) -> Mm:
    """Return the length of the edge from ``a`` to ``b``."""
    if not a.bulge:
        return math.hypot(b.x - a.x, b.y - a.y)
    _, radius, _, sweep = arc_of(a, b)
    return radius * abs(sweep)


def _segment_area(a: Vertex, b: Vertex) -> Mm2:
    if not a.bulge:
        return 0.0
    _, radius, _, sweep = arc_of(a, b)
    return radius**2 * (sweep - math.sin(sweep)) / 2


@dataclass(frozen=True, slots=True)
class Hole:
    """A round hole in a plate, in the plate's frame."""

    x: Mm
    y: Mm
    diameter: Mm
    purpose: HolePurpose


@dataclass(frozen=True, slots=True)
class BarHole:
    """A round hole through one leg of an angle or through both walls of a tube.

    ``leg`` is ``"x"`` or ``"y"``: the leg (or wall pair) whose outer face the hole is seen on; ``offset`` is the
    distance from the heel (angle) or from the middle (tube) across the leg, ``along`` from the start of the bar.
    """

    leg: str
    offset: Mm
    along: Mm
    diameter: Mm
    purpose: HolePurpose


@dataclass(frozen=True, slots=True)
class Stand:
    """Which piece of a part stands where, and the unit that it belongs to."""

    id: PieceId
    unit: Unit
    placement: Placement


@dataclass(frozen=True)
class _Part:
    """What plates, bars and fasteners share; it has no mark and no label of its own until it is marked."""

    group: Group
    stands: tuple[Stand, ...]
    mark: str = field(default="", kw_only=True)
    label: Label | None = field(default=None, kw_only=True)

    @property
    def called(self) -> Label:
        """What it is called: until it is marked, as its first piece."""
        return self.label or label(self.stands[0].id)

    @property
    def name(self) -> str:
        """Its English label."""
        return str(self.called)

    @property
    def placements(self) -> tuple[Placement, ...]:
        """Where its pieces stand."""
        return tuple(stand.placement for stand in self.stands)

    @property
    def quantity(self) -> int:
        """How many are needed."""
        return len(self.stands)


@dataclass(frozen=True)
class Plate(_Part):
    """A part cut from sheet. ``openings`` are inner cuts that are not round."""

    sheet: str
    thickness: Mm
    outline: Outline
    concrete_face: ConcreteFace
    holes: tuple[Hole, ...] = ()
    openings: tuple[Outline, ...] = ()

    @property
    def area(self) -> Mm2:
        """Area of one face, holes and openings left out."""
        round_holes = sum(math.pi / 4 * hole.diameter**2 for hole in self.holes)
        return self.outline.area - round_holes - sum(opening.area for opening in self.openings)

    def mass(self, density: KgPerMm3) -> Kg:
        """Return the mass of one."""
        return self.area * self.thickness * density


@dataclass(frozen=True)
class Bar(_Part):
    """A part sawn square from a bar; ``strength`` is the strength class of a threaded rod."""

    kind: SectionKind
    section: str
    length: Mm
    holes: tuple[BarHole, ...] = ()
    strength: str = field(default="", kw_only=True)


def bar_diameter(bar: Bar) -> Mm:
    """Diameter of a rod or threaded rod."""
    if bar.kind is SectionKind.ROD:
        return tables.rod(bar.section).diameter_mm
    return tables.bolt(bar.section).diameter_mm


@dataclass(frozen=True)
class Fastener(_Part):
    """A bought bolt, nut or washer; local z along its axis, z = 0 at the bearing face, the body on +z.

    A bolt's head is on -z and its shank runs along +z for ``length``.  ``strength`` is the strength class of a bolt or
    nut.
    """

    kind: FastenerKind
    designation: str
    length: Mm
    strength: str = field(default="", kw_only=True)


Part = Plate | Bar | Fastener


@dataclass(frozen=True)
class BoltRow:
    """A bolted joint: it owns its bolts and punches every member they pass through.

    ``points`` lie on the bearing face of the heads; ``axis`` points from head to nut; ``members`` are the pieces in
    the order in which the bolt passes them; ``grip`` is their thickness together.
    """

    id: RowId
    bolt: str
    points: tuple[Vec, ...]
    axis: Vec
    members: tuple[PieceId, ...]
    grip: Mm
    hole: Mm

    @property
    def name(self) -> str:
        """Its English label."""
        return self.id.name
