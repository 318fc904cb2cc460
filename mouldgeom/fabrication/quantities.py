"""What one mould takes: mass and length of steel, cuts, holes, welds, faces to paint.  Counted, no rates in it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from mouldgeom import rules
from mouldgeom.fabrication.welds import seams, weld_metal
from mouldgeom.model.assembly import Mould, fastener_name
from mouldgeom.model.sections import angle_section, tube_section
from mouldgeom.model.shapes import (
    Bar,
    ConcreteFace,
    Fastener,
    Hole,
    HolePurpose,
    Part,
    Plate,
    SectionKind,
    bar_diameter,
)
from mouldgeom.spec import Spec
from mouldgeom.spec.fields import HoleMethod
from mouldgeom.strength_classes import class_text
from mouldgeom.units import Kg, Mm, Mm2


@dataclass(frozen=True)
class Cuts:
    """Thermal cuts in sheets of one designation: their length, and how many times the torch starts."""

    thickness: Mm
    length: Mm
    pierces: int

    @property
    def area(self) -> Mm2:
        """Length times thickness, which the time goes by."""
        return self.length * self.thickness


@dataclass(frozen=True)
class Quantities:
    """What one mould takes, fasteners and steel by the names that prices go by.

    Attributes:
        mass: of sheet, tube, angle and rod, by material.
        length: of bars, by material.
        fasteners: number of each.
        cuts: by material of the sheet.
        drilled: holes drilled one by one, or at assembly through members with centre marks.
        opened: pilot holes opened out at assembly, one for each bolt.
        marked: centre marks.
        saw_cuts: one for each bar.
        plates: pieces of sheet.
        welded_pieces: pieces that are fitted and welded to another.
        bolts: bolts to put in.
        weld: length of seam that is welded; ``flush``: of it ground level with the sheet.
        metal: mass of weld metal by size, no allowance for convexity.
        paint: faces that touch no concrete; faces that lie on each other are not taken off.
    """

    mass: Mapping[str, Kg]
    length: Mapping[str, Mm]
    fasteners: Mapping[str, int]
    cuts: Mapping[str, Cuts]
    drilled: int
    opened: int
    marked: int
    saw_cuts: int
    plates: int
    welded_pieces: int
    bolts: int
    weld: Mm
    flush: Mm
    metal: Kg
    paint: Mm2


def material_of(part: Part) -> str:
    """What to ask for: ``"sheet 3 mm"``, ``"angle 40x40x4"``, ``"hexagon nut M10, class 5"``."""
    if isinstance(part, Plate):
        return f"sheet {part.sheet}"
    name = f"{part.kind.value} {part.section}" if isinstance(part, Bar) else fastener_name(part)
    return f"{name}, {class_text(part.strength)}" if part.strength else name


def grade_of(mould: Mould, part: Part) -> str:
    """Steel grade of a plate or bar, strength class of a bolt, nut or threaded rod; a washer has none."""
    if not isinstance(part, Plate) and part.strength:
        return class_text(part.strength)
    return "" if isinstance(part, Fastener) else mould.dims.stock.steel.designation


def cut_diameter(hole: Hole, thickness: Mm, spec: Spec) -> Mm | None:
    """Diameter that the torch cuts, smaller than the hole if it is a pilot; ``None``: the hole is only marked.

    Source: common practice, no source; the least hole as ``rules.least_cut_hole``.
    """
    shop = spec.shop
    return hole_cut(hole, shop.hole_method, shop.pilot_diameter, rules.least_cut_hole(thickness, shop.cutting))


def hole_cut(hole: Hole, method: HoleMethod, pilot: Mm, least: Mm) -> Mm | None:
    """Diameter that is cut of a hole by a hole method, if it is ``least`` or more; ``None``: it is only marked.

    Source: common practice, no source.
    """
    size = hole.diameter
    if hole.purpose is HolePurpose.BOLT:
        if method is HoleMethod.CENTRE:
            return None
        if method is HoleMethod.PILOT:
            size = min(size, pilot)
    return size if size >= least - 1e-9 else None


def plate_cuts(plate: Plate, spec: Spec) -> Cuts:
    """Cuts of one plate at nominal size, without lead-ins: outline, openings, and the holes that the torch cuts."""
    lines = [plate.outline, *plate.openings]
    round_cuts = [size for hole in plate.holes if (size := cut_diameter(hole, plate.thickness, spec)) is not None]
    length = sum(line.length for line in lines) + math.pi * sum(round_cuts)
    return Cuts(plate.thickness, length, len(lines) + len(round_cuts))


def take_off(mould: Mould) -> Quantities:
    """Count what one mould takes."""
    spec, made = mould.dims.spec, seams(mould)
    fasteners: Counter[str] = Counter()
    mass: dict[str, Kg] = {}
    lengths: dict[str, Mm] = {}
    cuts: dict[str, Cuts] = {}
    for part in mould.parts:
        name = material_of(part)
        if isinstance(part, Plate):
            one, sofar = plate_cuts(part, spec), cuts.get(name, Cuts(part.thickness, 0.0, 0))
            many = part.quantity
            cuts[name] = Cuts(one.thickness, sofar.length + many * one.length, sofar.pierces + many * one.pierces)
        elif isinstance(part, Bar):
            lengths[name] = lengths.get(name, 0.0) + part.length * part.quantity
        else:
            fasteners[name] += part.quantity
            continue
        mass[name] = mass.get(name, 0.0) + mould.mass(part) * part.quantity
    drilled, opened, marked = _holes(mould)
    return Quantities(
        mass=mass,
        length=lengths,
        fasteners=dict(fasteners),
        cuts=cuts,
        drilled=drilled,
        opened=opened,
        marked=marked,
        saw_cuts=sum(bar.quantity for bar in mould.bars),
        plates=sum(plate.quantity for plate in mould.plates),
        welded_pieces=len({name for seam in made for name in seam.pieces}),
        bolts=mould.bolt_count,
        weld=sum(seam.welded for seam in made),
        flush=sum(seam.welded for seam in made if seam.flush),
        metal=weld_metal(made, mould.dims.stock.steel.density_kg_m3),
        paint=sum(paint_area(part) * part.quantity for part in mould.parts),
    )


def _holes(mould: Mould) -> tuple[int, int, int]:
    """Holes drilled, opened out and marked, over all pieces."""
    spec = mould.dims.spec
    method, bolts = spec.shop.hole_method, mould.bolt_count
    drilled = marked = 0
    for plate in mould.plates:
        for hole in plate.holes:
            if cut_diameter(hole, plate.thickness, spec) is None:
                marked += plate.quantity
                if hole.purpose is not HolePurpose.BOLT or method is not HoleMethod.CENTRE:
                    drilled += plate.quantity
    for bar in mould.bars:
        count = bar.quantity * len(bar.holes)
        marked += count
        drilled += 0 if method is HoleMethod.CENTRE else count
    if method is HoleMethod.CENTRE:
        drilled += bolts
    return drilled, bolts if method is HoleMethod.PILOT else 0, marked


def paint_area(part: Part) -> Mm2:
    """Area of the faces of one piece that are painted: all but concrete faces, cut edges, threads and fasteners."""
    if isinstance(part, Plate):
        return part.area * (1 if part.concrete_face is ConcreteFace.OUTLINE else 2)
    if not isinstance(part, Bar) or part.kind is SectionKind.THREADED_ROD:
        return 0.0
    if part.kind is SectionKind.ANGLE:
        return angle_section(part.section).length * part.length
    if part.kind is SectionKind.SQUARE_TUBE:
        return tube_section(part.section)[0].length * part.length
    return math.pi * bar_diameter(part) * part.length
