"""The mould: every part of every group, punched by its joints, marked and placed."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final, TypeVar

from mouldgeom import tables
from mouldgeom.design.dimensions import Dimensions, derive
from mouldgeom.errors import GeometryError, blamed
from mouldgeom.geometry.placement import Placement, Vec, add, cross, dot
from mouldgeom.identity import BOLTS, Label, PieceId, Role, Side, Term, Unit, head, shared_label
from mouldgeom.model.changes import Addition, Change, Groups, changed, refuse_impossible
from mouldgeom.model.equality import same_bar, same_plate
from mouldgeom.model.joints import GroupParts, Seat, Weld, WeldRole
from mouldgeom.model.parts.base import base
from mouldgeom.model.parts.core import core
from mouldgeom.model.parts.extraction import extraction
from mouldgeom.model.parts.nose import nose
from mouldgeom.model.parts.outer_box import outer_box
from mouldgeom.model.shapes import (
    GROUP_LETTERS,
    Bar,
    BarHole,
    BoltRow,
    Fastener,
    FastenerKind,
    Group,
    Hole,
    HolePurpose,
    Part,
    Plate,
    SectionKind,
    Stand,
    bar_diameter,
)
from mouldgeom.spec import Spec
from mouldgeom.strength_classes import strength_class
from mouldgeom.units import Kg, KgPerM, KgPerMm3, Mm, Mm3, inch_fraction, plain

_Made = TypeVar("_Made", bound=Plate | Bar | Fastener)


@dataclass(frozen=True)
class Piece:
    """One of the pieces that share a mark: which one it is, the unit that it belongs to, and where it stands."""

    mark: str
    id: PieceId
    unit: Unit
    part: Part
    placement: Placement

    @property
    def name(self) -> str:
        """Its English label."""
        return self.id.name


@dataclass(frozen=True)
class Mould:
    """All parts, marked and placed; and the joints that hold them."""

    dims: Dimensions
    plates: tuple[Plate, ...]
    bars: tuple[Bar, ...]
    fasteners: tuple[Fastener, ...]
    rows: tuple[BoltRow, ...]
    welds: tuple[Weld, ...]
    seats: tuple[Seat, ...] = ()
    extensions: tuple[Addition, ...] = ()

    @property
    def digest(self) -> str:
        """That of the specification, and of what else the mould was made with."""
        return self._with_extensions(self.dims.spec.digest)

    @property
    def shape_digest(self) -> str:
        """As ``digest``, of what shapes filter and mould alone: the same under any title, life and on any papers."""
        return self._with_extensions(self.dims.spec.mould_digest)

    def _with_extensions(self, digest: str) -> str:
        named = [f"{len(text)} {text}" for one in self.extensions for text in (one.name, one.version)]
        return hashlib.sha256("\n".join([digest, *named]).encode()).hexdigest() if named else digest

    @property
    def parts(self) -> tuple[Part, ...]:
        """Plates and bars by group, then fasteners."""
        made: list[Part] = sorted([*self.plates, *self.bars], key=lambda part: list(Group).index(part.group))
        return (*made, *self.fasteners)

    def pieces(self) -> Iterator[Piece]:
        """Yield every single piece of the mould."""
        for part in self.parts:
            for stand in part.stands:
                yield Piece(part.mark, stand.id, stand.unit, part, stand.placement)

    def piece(self, role: StrEnum, *place: Side, number: int = 0) -> Piece:
        """Return the piece of a role, place and number; of two angles that stand for one tube, the first.

        Raises:
            KeyError: there is none.
        """
        wanted = PieceId(role, place, number)
        for piece in self.pieces():
            if piece.id.whole == wanted:
                return piece
        raise KeyError(wanted)

    def widest(self, purpose: HolePurpose) -> Mm:
        """Diameter up to which a hole drilled too large still serves; 0: it is to be as designed.

        A bolt's head and washer bear on a coarse hole yet; around the tube no more may leak than is allowed.

        Source: ISO 273:1979 coarse and ASME B18.2.8-1999 loose series, as in ``data/bolts.csv``.
        """
        tube = self.dims.spec.tube.outside_diameter + self.dims.spec.shop.allowed_leak
        return {HolePurpose.BOLT: self.dims.stock.bolt.hole_coarse_mm, HolePurpose.TUBE: tube}.get(purpose, 0.0)

    @property
    def steel_mass(self) -> Kg:
        """Mass of all pieces, fasteners included."""
        return sum(self.mass(part) * part.quantity for part in self.parts)

    @property
    def bolt_count(self) -> int:
        """Bolts of every row."""
        return sum(len(row.points) for row in self.rows)

    def mass(self, part: Part) -> Kg:
        """Mass of one piece: plates by area, bars by the table's mass per metre less holes, fasteners by envelope."""
        density = self.dims.stock.steel.density_kg_m3 * 1e-9
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


_MAKERS: Final = {
    Group.OUTER_BOX: outer_box, Group.CORE: core, Group.BASE: base, Group.NOSE: nose, Group.EXTRACTION: extraction,
}  # fmt: skip
_WELDED: Final = (Group.CORE, Group.BASE, Group.OUTER_BOX, Group.NOSE, Group.EXTRACTION)
"""Groups in the order in which they are welded."""


def build(spec: Spec, changes: Sequence[Change] = (), extensions: Sequence[Addition] = ()) -> Mould:
    """Build the mould of a specification: no solid kernel, milliseconds.

    Args:
        spec: the specification.
        changes: of its parts, one after the other.
        extensions: whose changes come after these.

    Raises:
        SpecError: two fields of the specification disagree.
        InputError: a change gives parts that no mould can have.
    """
    return assemble(derive(spec), changes, extensions)


def assemble(dims: Dimensions, changes: Sequence[Change] = (), extensions: Sequence[Addition] = ()) -> Mould:
    """Gather the parts of every group, punch them by their bolt rows, add the bolts, find equal parts and mark them."""
    made = {group: make(dims) for group, make in _MAKERS.items()}
    owned = [("change", change) for change in changes]
    owned += [(f"extension {one.name}", change) for one in extensions for change in one.changes]
    for whose, change in owned:
        made = changed(dims, made, change, whose)
        with blamed(whose):
            refuse_impossible(made, _bolts(dims, made), whose)
            _punched(made)
    gathered = made.values()
    plates, bars = _punched(made)
    fasteners = [f for parts in gathered for f in parts.fasteners]
    fasteners += _bolts(dims, made)
    merged_plates = _merge(plates, same_plate)
    merged_bars = _merge(bars, same_bar)
    merged_fasteners = _merge(fasteners, _same_fastener)
    counters = dict.fromkeys(Group, 0)

    def marked(items: list[_Made]) -> list[_Made]:
        out = []
        for part in items:
            others = [stand.id for other in items if other is not part for stand in other.stands]
            counters[part.group] += 1
            mark = f"{GROUP_LETTERS[part.group]}{counters[part.group]}"
            own = [stand.id for stand in part.stands]
            name = _called(part) if isinstance(part, Fastener) else shared_label(own, others)
            out.append(replace(part, mark=mark, label=name))
        return out

    return Mould(
        dims=dims,
        plates=tuple(marked(merged_plates)),
        bars=tuple(marked(merged_bars)),
        fasteners=tuple(marked(merged_fasteners)),
        rows=tuple(row for parts in gathered for row in parts.rows),
        welds=_welds([made[group] for group in _WELDED]),
        seats=tuple(seat for parts in gathered for seat in parts.seats),
        extensions=tuple(extensions),
    )


def _punched(groups: Groups) -> tuple[list[Plate], list[Bar]]:
    """Plates and bars with the holes of their bolt rows."""
    rows = [row for parts in groups.values() for row in parts.rows]
    plates = [_normalised(_punch_plate(p, rows)) for parts in groups.values() for p in parts.plates]
    return plates, [_punch_bar(b, rows) for parts in groups.values() for b in parts.bars]


def _bolts(dims: Dimensions, groups: Groups) -> list[Fastener]:
    """Bolts, nuts and washers of every row."""
    rows = (row for parts in groups.values() for row in parts.rows)
    return [fastener for row in rows for fastener in _bolt_set(row, dims.spec.steel.bolt_class)]


def _welds(groups: Sequence[GroupParts]) -> tuple[Weld, ...]:
    """Welds of the groups in their order; those that make one bar of two angles stand last."""
    found = [weld for parts in groups for weld in parts.welds]
    return tuple(sorted(found, key=lambda weld: weld.role is WeldRole.PAIR))


def fastener_name(part: Fastener) -> str:
    """What to ask for in the shop: ``"hexagon bolt M10 x 25"``, ``"hexagon bolt 3/8-16 x 1 in"``."""
    return f"{part.kind} {fastener_size(part)}"


def fastener_size(part: Fastener) -> str:
    """Thread, and length of a bolt: ``"M10"``, ``"M10 x 25"``, ``"3/8-16 x 1 in"``."""
    if part.kind is not FastenerKind.BOLT:
        return part.designation
    inch = tables.bolt(part.designation).system == "inch"
    return f"{part.designation} x {inch_fraction(part.length) if inch else plain(part.length)}"


def _called(part: Fastener) -> Label:
    """Its own name, as the jack nut has, or for bolts, nuts and washers of the joints what to ask for in the shop."""
    piece = part.stands[0].id
    return Label((head(piece) if piece.row is None else Term(str(part.kind), size=fastener_size(part)),))


def _merge(parts: Sequence[_Made], same: Callable[[_Made, _Made], Placement | None]) -> list[_Made]:
    kept: list[_Made] = []
    for part in parts:
        lays = ((i, same(other, part)) for i, other in enumerate(kept))
        number, lay = next(((i, lay) for i, lay in lays if lay is not None), (-1, None))
        if lay is None:
            kept.append(part)
        else:
            (stand,) = part.stands
            turned = replace(stand, placement=stand.placement.of(lay))
            kept[number] = replace(kept[number], stands=(*kept[number].stands, turned))
    return kept


def _same_fastener(one: Fastener, other: Fastener) -> Placement | None:
    def asked_for(part: Fastener) -> tuple[object, ...]:
        jointed = part.stands[0].id.row is not None
        return part.kind, part.designation, part.length, part.strength, jointed

    same = asked_for(one) == asked_for(other)
    return Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)) if same else None


def _normalised(plate: Plate) -> Plate:
    """Move the local origin to the lower left corner of the outline, the datum that holes are dimensioned from."""
    x0, y0, _, _ = plate.outline.bounds
    at = plate.placements[0]
    return replace(
        plate,
        outline=plate.outline.moved(-x0, -y0),
        holes=tuple(replace(h, x=h.x - x0, y=h.y - y0) for h in plate.holes),
        openings=tuple(o.moved(-x0, -y0) for o in plate.openings),
        stands=(replace(plate.stands[0], placement=Placement(at.to_casting((x0, y0, 0.0)), at.x, at.y)),),
    )


def _punch_plate(plate: Plate, rows: Sequence[BoltRow]) -> Plate:
    at = plate.placements[0]
    holes = list(plate.holes)
    for row in rows:
        if plate.stands[0].id in row.members:
            if abs(abs(dot(row.axis, at.z)) - 1) > 1e-9:
                raise GeometryError(f"{row.name} does not stand square to {plate.name}")
            for point in row.points:
                x, y, _ = at.to_local(point)
                holes.append(Hole(x, y, row.hole, HolePurpose.BOLT))
    return replace(plate, holes=tuple(holes))


def _punch_bar(bar: Bar, rows: Sequence[BoltRow]) -> Bar:
    at = bar.placements[0]
    holes = list(bar.holes)
    for row in rows:
        if bar.stands[0].id in row.members:
            axis = at.direction_to_local(row.axis)
            if max(abs(axis[0]), abs(axis[1])) < 1 - 1e-9:
                raise GeometryError(f"{row.name} does not stand square to {bar.name}")
            leg = "x" if abs(axis[1]) > 0.5 else "y"
            for point in row.points:
                x, y, along = at.to_local(point)
                holes.append(BarHole(leg, x if leg == "x" else y, along, row.hole, HolePurpose.BOLT))
    return replace(bar, holes=tuple(holes))


def bolt_length(designation: str, grip: Mm) -> Mm:
    """Shortest preferred length that passes the grip, a washer under head and nut, the nut, and two threads more."""
    row = tables.bolt(designation)
    need = grip + 2 * row.washer_thickness_mm + row.nut_height_mm + 2 * row.pitch_mm
    for length in tables.bolt_lengths(designation):
        if length >= need:
            return length
    raise GeometryError(f"no {designation} bolt is as long as {need:.0f} mm")


def _bolt_set(row: BoltRow, strength: str) -> list[Fastener]:
    table = tables.bolt(row.bolt)
    nut = strength_class(strength, table).nut
    washer, length = table.washer_thickness_mm, bolt_length(row.bolt, row.grip)
    side: Vec = (1.0, 0.0, 0.0) if abs(row.axis[0]) < 0.5 else (0.0, 1.0, 0.0)
    back = (-row.axis[0], -row.axis[1], -row.axis[2])
    out = []

    def bought(
        role: Role, kind: FastenerKind, number: int, length: Mm, point: Vec, axis: Vec, strength: str = ""
    ) -> Fastener:
        piece = PieceId(role, row.id.place, number, row=row.id)
        stands = (Stand(piece, BOLTS, Placement(point, side, cross(axis, side))),)
        return Fastener(Group.FASTENERS, stands, kind, row.bolt, length, strength=strength)

    for number, point in enumerate(row.points, 1):
        far = add(point, row.axis, row.grip)
        head = add(point, row.axis, -washer)
        out += [
            bought(Role.BOLT, FastenerKind.BOLT, number, length, head, row.axis, strength),
            bought(Role.HEAD_WASHER, FastenerKind.WASHER, number, washer, point, back),
            bought(Role.NUT_WASHER, FastenerKind.WASHER, number, washer, far, row.axis),
            bought(Role.NUT, FastenerKind.NUT, number, table.nut_height_mm, add(far, row.axis, washer), row.axis, nut),
        ]
    return out
