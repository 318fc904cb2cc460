"""Sheets, sections, fasteners, steels, tolerances and cutting processes, from the CSV files in ``data/``.

One file a kind, one row a designation; the unit stands in the column name, ``source`` in each row says where the row
comes from, ``evidence`` how far it was read there (seen, part seen, memory, computed).  A file is read as UTF-8 on
first use and kept.  Designations are read leniently (``designations``): ``"3mm"`` is ``"3 mm"``, ``'1/8"'`` is
``"1/8 in"`` and ``"L 40 x 40 x 4"`` is ``"40x40x4"``.

To add a sheet, section or fastener, add a row.  A designation that a person described brings its row along
(``designations.OwnDesignation``), and every function here returns that.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from typing import Annotated, Any, Final, TypeVar, get_type_hints

from mouldgeom.designations import OwnDesignation, gauge_refusal, key, nearest
from mouldgeom.errors import TableError, UnknownDesignationError
from mouldgeom.units import Deg, KgPerM, KgPerM3, Mm, Mm2, Mpa, Ratio

Cm = Annotated[float, "cm"]
Cm2 = Annotated[float, "cm2"]
Cm3 = Annotated[float, "cm3"]
Cm4 = Annotated[float, "cm4"]

EVIDENCE: Final = ("seen", "part seen", "memory", "computed")
SYSTEMS: Final = ("metric", "inch")

_Record = TypeVar("_Record")


@dataclass(frozen=True)
class SheetSize:
    """A stock thickness of steel sheet or plate; ``system`` is "metric" or "inch", as in every record here."""

    designation: str
    thickness_mm: Mm
    system: str
    source: str


@dataclass(frozen=True)
class Angle:
    """A hot-rolled equal-leg angle.

    ``centroid_cm`` is from the heel, ``gauge_mm`` from the heel to the bolt line (the usual back mark),
    ``largest_hole_mm`` the largest hole usual on that line; ``second_moment_cm4`` is about the axis through the
    centroid parallel to a leg.
    """

    designation: str
    leg_mm: Mm
    thickness_mm: Mm
    root_radius_mm: Mm
    toe_radius_mm: Mm
    mass_kg_m: KgPerM
    area_cm2: Cm2
    second_moment_cm4: Cm4
    centroid_cm: Cm
    gauge_mm: Mm
    largest_hole_mm: Mm
    system: str
    source: str


@dataclass(frozen=True)
class SquareTube:
    """A square hollow section.

    Dimensions and mass are nominal.  Area, second moment and section modulus are those of the nominal wall for metric
    sizes, and of the thinner design wall (0.93 nominal) of the AISC Manual for inch sizes.
    """

    designation: str
    side_mm: Mm
    thickness_mm: Mm
    outer_radius_mm: Mm
    inner_radius_mm: Mm
    mass_kg_m: KgPerM
    area_cm2: Cm2
    second_moment_cm4: Cm4
    section_modulus_cm3: Cm3
    system: str
    source: str


@dataclass(frozen=True)
class Rod:
    """A round bar."""

    designation: str
    diameter_mm: Mm
    system: str
    source: str


@dataclass(frozen=True)
class Bolt:
    """A hexagon bolt, coarse thread, with its nut, washer and clearance holes.

    ``across_corners_mm`` is the least value for metric bolts and the greatest for inch bolts; for clearances take the
    greatest possible, across flats / cos 30 degrees.
    Holes are fine, medium and coarse (metric) or the close, normal and loose drill (inch).
    """

    designation: str
    diameter_mm: Mm
    pitch_mm: Mm
    pitch_diameter_mm: Mm
    stress_area_mm2: Mm2
    head_height_mm: Mm
    across_flats_mm: Mm
    across_corners_mm: Mm
    nut_height_mm: Mm
    washer_outside_mm: Mm
    washer_thickness_mm: Mm
    hole_fine_mm: Mm
    hole_medium_mm: Mm
    hole_coarse_mm: Mm
    system: str
    source: str


@dataclass(frozen=True)
class Steel:
    """A structural steel ("S235"): yield, ultimate, elastic constants; bolts have a ``strength_classes``.

    ``yield_mpa`` and ``ultimate_mpa`` are those of 3 to 16 mm, and not above what the standard has for thinner steel;
    ``at`` finds those of any thickness.
    """

    designation: str
    yield_mpa: Mpa
    yield_over_16_mpa: Mpa
    ultimate_mpa: Mpa
    ultimate_below_3_mpa: Mpa
    elastic_modulus_mpa: Mpa
    poisson: Ratio
    density_kg_m3: KgPerM3
    source: str

    def at(self, thickness: Mm) -> Steel:
        """The same steel as it is ``thickness`` thick, or in that diameter.

        Raises:
            TableError: over 40 mm, where the table ends.

        Source: EN 10025-2:2004 Table 7, JIS G 3101 and GB/T 700, steps at 3 mm (3 is in the thicker) and 16 mm.
        """
        if thickness > 40:
            raise TableError(f"{self.designation}, {thickness:g} mm: outside the table; ask for thinner steel")
        yields = self.yield_over_16_mpa if thickness > 16 else self.yield_mpa
        breaks = self.ultimate_below_3_mpa if thickness < 3 else self.ultimate_mpa
        return replace(self, yield_mpa=yields, ultimate_mpa=breaks)


@dataclass(frozen=True)
class CuttingProcess:
    """A thermal cutting process; ``quality`` by ISO 9013; ``hole_source``: of the ratio; then of the least size."""

    name: str
    kerf_low_mm: Mm
    kerf_high_mm: Mm
    least_hole_ratio: Ratio
    least_hole_mm: Mm
    quality: int
    edge_angle_deg: Deg
    kerf_source: str
    hole_source: str
    edge_source: str
    source: str


def sheet(designation: str) -> SheetSize:
    """The sheet of that designation, such as ``"3 mm"`` or ``"1/8 in"``; raises UnknownDesignationError."""
    return _find("sheets", SheetSize, designation)


def sheets() -> tuple[SheetSize, ...]:
    """All sheets, metric first, thinnest first."""
    return _records("sheets", SheetSize)


def angle(designation: str) -> Angle:
    """The equal angle of that designation, such as ``"40x40x4"`` or ``"2x2x3/16"``; raises UnknownDesignationError."""
    return _find("angles", Angle, designation)


def angles() -> tuple[Angle, ...]:
    """All equal angles, metric first, smallest leg first."""
    return _records("angles", Angle)


def square_tube(designation: str) -> SquareTube:
    """The square tube of that designation, such as ``"40x40x3"`` or ``"2x2x1/8"``; raises UnknownDesignationError."""
    return _find("square_tubes", SquareTube, designation)


def square_tubes() -> tuple[SquareTube, ...]:
    """All square tubes, metric first, smallest side first."""
    return _records("square_tubes", SquareTube)


def rod(designation: str) -> Rod:
    """The round bar of that designation, such as ``"12 mm"`` or ``"1/2 in"``; raises UnknownDesignationError."""
    return _find("rods", Rod, designation)


def rods() -> tuple[Rod, ...]:
    """All round bars, metric first, thinnest first."""
    return _records("rods", Rod)


def bolt(designation: str) -> Bolt:
    """The bolt of that designation, such as ``"M10"`` or ``"3/8-16"``; raises UnknownDesignationError."""
    return _find("bolts", Bolt, designation)


def bolts() -> tuple[Bolt, ...]:
    """All bolts, metric first, thinnest first."""
    return _records("bolts", Bolt)


def bolt_lengths(designation: str) -> tuple[Mm, ...]:
    """Preferred lengths of a bolt under the head, in millimetres, shortest first; raises UnknownDesignationError.

    They go by the system of the bolt only: the shortest lengths are not sold in the largest diameters.
    """
    system = bolt(designation).system
    return tuple(row.length_mm for row in _records("bolt_lengths", _Length) if row.system == system)


def steel(designation: str) -> Steel:
    """The steel of that designation (``"S235"``); raises UnknownDesignationError."""
    return _find("steels", Steel, designation)


def cutting_process(name: str) -> CuttingProcess:
    """The cutting process of that name: plasma, laser or oxyfuel; raises UnknownDesignationError."""
    return _find("cutting_processes", CuttingProcess, name)


def cut_tolerance(thickness: Mm, nominal: Mm, quality: int) -> Mm:
    """Limit deviation, plus and minus, of a thermally cut dimension of ``nominal`` size.

    Thickness up to 15 mm (a range takes its upper limit in), nominal size below 8000 mm (a range takes its lower
    limit in), quality class 1 or 2.

    Raises:
        TableError: outside these ranges, or the standard leaves the cell blank.

    Source: ISO 9013:2017, limit deviations for nominal dimensions, classes 1 and 2.
    """
    return _only(
        f"ISO 9013 class {quality}, thickness {thickness:g} mm, nominal size {nominal:g} mm",
        (
            row.deviation_mm
            for row in _records("cut_tolerances", _CutRow)
            if row.quality == quality
            and row.thickness_over_mm < thickness <= row.thickness_to_mm
            and row.nominal_from_mm <= nominal < row.nominal_below_mm
            and nominal > 0
        ),
    )


def weld_tolerance(nominal: Mm, tolerance_class: str) -> Mm:
    """Limit deviation, plus and minus, of a linear dimension of a weldment from 2 to 8000 mm; class A, B, C or D.

    Raises:
        TableError: outside these ranges.

    Source: ISO 13920:1996, Table 1 (first cell shared by all classes; class D from memory).
    """
    return _by_class("weld_tolerances", "ISO 13920 linear", nominal, tolerance_class.strip().upper(), closed_from=2)


def weld_flatness(nominal: Mm, tolerance_class: str) -> Mm:
    """Straightness, flatness and parallelism of a weldment over a longer side above 30 to 4000 mm; class E, F, G or H.

    Raises:
        TableError: outside these ranges.

    Source: ISO 13920:1996, Table 3 (class H from memory).
    """
    return _by_class("weld_flatness", "ISO 13920 flatness", nominal, tolerance_class.strip().upper())


def sheet_tolerance(thickness: Mm, width: Mm) -> Mm:
    """Limit deviation, plus and minus, of the thickness of hot-rolled sheet cut from a coil ``width`` wide.

    Thickness up to 15 mm, width up to 2200 mm; upper limits belong to their range (3.00 mm sheet to 2.50-3.00).
    Category A: yield strength up to 300 MPa; categories B, C and D have 15, 30 and 40 % more.

    Raises:
        TableError: outside these ranges, or the standard leaves the cell blank.

    Source: EN 10051:1991+A1:1997, thickness tolerances, category A.
    """
    return _only(
        f"EN 10051 category A, thickness {thickness:g} mm, width {width:g} mm",
        (
            row.deviation_mm
            for row in _records("sheet_tolerances", _SheetRow)
            if row.thickness_over_mm < thickness <= row.thickness_to_mm and row.width_over_mm < width <= row.width_to_mm
        ),
    )


@dataclass(frozen=True)
class _Length:
    system: str
    length_mm: Mm
    source: str


@dataclass(frozen=True)
class _CutRow:
    quality: int
    thickness_over_mm: Mm
    thickness_to_mm: Mm
    nominal_from_mm: Mm
    nominal_below_mm: Mm
    deviation_mm: Mm | None
    source: str


@dataclass(frozen=True)
class _ClassRow:
    tolerance_class: str
    nominal_over_mm: Mm
    nominal_to_mm: Mm
    deviation_mm: Mm
    source: str


@dataclass(frozen=True)
class _SheetRow:
    thickness_over_mm: Mm
    thickness_to_mm: Mm
    width_over_mm: Mm
    width_to_mm: Mm
    deviation_mm: Mm | None
    source: str


_KINDS: Final[Mapping[str, type[Any]]] = {
    "sheets": SheetSize,
    "angles": Angle,
    "square_tubes": SquareTube,
    "rods": Rod,
    "bolts": Bolt,
    "bolt_lengths": _Length,
    "steels": Steel,
    "cutting_processes": CuttingProcess,
    "cut_tolerances": _CutRow,
    "weld_tolerances": _ClassRow,
    "weld_flatness": _ClassRow,
    "sheet_tolerances": _SheetRow,
}
"""Each file in data/ and the record that its columns make."""


def _by_class(table: str, standard: str, nominal: Mm, tolerance_class: str, *, closed_from: Mm = math.inf) -> Mm:
    """The lowest range takes its lower limit in where the standard says so: ``closed_from``."""
    return _only(
        f"{standard} class {tolerance_class}, nominal size {nominal:g} mm",
        (
            row.deviation_mm
            for row in _records(table, _ClassRow)
            if row.tolerance_class == tolerance_class
            and (row.nominal_over_mm < nominal <= row.nominal_to_mm or row.nominal_over_mm == nominal == closed_from)
        ),
    )


def _only(what: str, values: Iterable[Mm | None]) -> Mm:
    found = tuple(values)
    if not found:
        raise TableError(f"{what}: outside the table; give the tolerance on the drawing instead")
    if found[0] is None:
        raise TableError(f"{what}: the standard leaves this cell blank; give the tolerance on the drawing instead")
    return found[0]


_ROWS: Final = {
    "sheets": "sheet",
    "angles": "angle",
    "square_tubes": "square tube",
    "rods": "rod",
    "bolts": "bolt",
    "steels": "steel",
    "cutting_processes": "cutting process",
}
"""What a row of each table is called when none is found."""


def _find(table: str, kind: type[_Record], designation: str) -> _Record:
    found = designation.row if isinstance(designation, OwnDesignation) else _index(table).get(key(designation))
    if isinstance(found, kind):
        return found
    known = {written: _designation(row) for written, row in _index(table).items()}
    near = ", ".join(known[written] for written in nearest(designation, known) or known)
    refusal = gauge_refusal(designation, known.values()) if kind is SheetSize else None
    raise UnknownDesignationError(
        name=_ROWS[table],
        value=repr(designation),
        limit=refusal or f"no row of the table has it; nearest known: {near}",
        remedy=f"Take one of these, or add a row to data/{table}.csv",
    )


def _records(table: str, kind: type[_Record]) -> tuple[_Record, ...]:
    return tuple(row for row in _rows(table) if isinstance(row, kind))


@cache
def _rows(table: str) -> tuple[Any, ...]:
    text = resources.files("mouldgeom.data").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    return _parse(table, _KINDS[table], text)


@cache
def _index(table: str) -> Mapping[str, object]:
    return _indexed(table, _rows(table))


def _indexed(table: str, rows: Iterable[object]) -> Mapping[str, object]:
    index: dict[str, object] = {}
    for row in rows:
        if index.setdefault(key(_designation(row)), row) is not row:
            raise TableError(f"data/{table}.csv: {_designation(row)} stands there twice")
    return index


def _designation(row: object) -> str:
    return str(next(iter(vars(row).values())))


def _parse(table: str, kind: type[Any], text: str) -> tuple[Any, ...]:
    """The rows of a table as records; its columns are the fields of ``kind`` and ``evidence``, in any order.

    Raises:
        TableError: an unknown or missing column, a row too short or too long, or a value that does not fit.
    """
    types = get_type_hints(kind)
    wanted = {*types, "evidence"}
    try:
        header, *lines = [line for line in csv.reader(io.StringIO(text), strict=True) if line]
    except (csv.Error, ValueError) as error:
        raise TableError(f"data/{table}.csv cannot be read: {error}") from error
    faults = [f"column missing: {name}" for name in sorted(wanted - set(header))]
    faults += [f"unknown column: {name}" for name in sorted(set(header) - wanted)]
    if faults or len(header) != len(wanted):
        raise TableError(f"data/{table}.csv: {'; '.join(faults) or 'a column stands there twice'}")
    records = []
    for number, line in enumerate(lines, start=2):
        where = f"data/{table}.csv, row {number}"
        if len(line) != len(header):
            raise TableError(f"{where}: {len(line)} cells, {len(header)} expected")
        cells = dict(zip(header, line, strict=True))
        for name, allowed in (("evidence", EVIDENCE), ("system", SYSTEMS)):
            if cells.get(name, allowed[0]) not in allowed:
                raise TableError(f"{where}: {name} = {cells[name]!r} is none of {', '.join(allowed)}")
        records.append(kind(**{name: _value(where, name, cells[name], types[name]) for name in types}))
    return tuple(records)


def _value(where: str, name: str, cell: str, kind: Any) -> str | int | float | None:
    cell = cell.strip()
    if not cell:
        if kind == (float | None):
            return None
        raise TableError(f"{where}: {name} is empty")
    if kind is str:
        return cell
    try:
        number = int(cell) if kind is int else float(cell)
    except ValueError:
        number = math.nan
    if not (math.isfinite(number) and number >= 0):
        raise TableError(f"{where}: {name} = {cell!r} is no number from 0 up")
    return number
