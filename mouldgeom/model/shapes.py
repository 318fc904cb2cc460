"""Plain descriptions of parts: outlines, plates, bars, fasteners and bolt rows.  No solid kernel.

A plate is one planar outline with holes, one thickness and one placement.  Its outline lies on the concrete face, seen
from the concrete: local x to the right, local y up, local z towards the concrete; the steel fills -thickness <= z <= 0.
A bar is one section along local z from 0 to its length: an angle has its heel at the origin and its legs along +x and
+y; a square tube, rod or threaded rod is centred on the z axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum

from mouldgeom import tables
from mouldgeom.geometry.outline import Outline
from mouldgeom.geometry.placement import Placement, Vec
from mouldgeom.identity import Label, PieceId, RowId, Unit, label
from mouldgeom.units import Kg, KgPerMm3, Mm, Mm2


class Group(StrEnum):
    """Where a part belongs; the first letter of its mark is in ``GROUP_LETTERS``."""

    OUTER_BOX = "outer box"
    CORE = "core"
    BASE = "base"
    NOSE = "nose"
    EXTRACTION = "extraction"
    FASTENERS = "fasteners"
    TURNING = "turning gear"


GROUP_LETTERS = dict(zip(Group, "ABCDEFG", strict=True))


class ConcreteFace(StrEnum):
    """Which face of a plate touches concrete."""

    OUTLINE = "outline"
    NONE = "none"


class HolePurpose(StrEnum):
    """What a hole is for: only bolt holes follow the shop's hole method."""

    BOLT = "bolt"
    TUBE = "outlet tube"
    SCREW = "jack screw"
    FORCING = "forcing screw"
    PIN = "pin"


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
