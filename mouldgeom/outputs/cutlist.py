"""The cut list and its CSV: grouped by material with sums, millimetres, and inches made from them.

A length is stated in millimetres; the inches are that length to the nearest 1/16 in, with what this is in millimetres
behind it: ``15 1/4 in (387.35)``.  A slip between the units cannot come in, and the rounding is seen.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from mouldgeom.drawing.status import Status
from mouldgeom.fabrication.cost import work
from mouldgeom.fabrication.quantities import grade_of, material_of, take_off
from mouldgeom.fabrication.rates import Range, exactly
from mouldgeom.fabrication.wear import spares
from mouldgeom.geometry.outline import SAME
from mouldgeom.identity import Label
from mouldgeom.model.assembly import Mould
from mouldgeom.model.concrete_side import concrete_side
from mouldgeom.model.shapes import Bar, FastenerKind, Part, Plate, SectionKind
from mouldgeom.spec.own_rows import called
from mouldgeom.strength.pull import wearing_pull
from mouldgeom.units import KG_PER_POUND, LITRES_PER_GALLON, MM_PER_INCH, Kg, Mm, drill_text, inch_fraction, plain
from mouldgeom.words import Said, joined

HEADER: Final = (
    "list",
    "mark",
    "name",
    "quantity",
    "material",
    "grade",
    "length_mm",
    "length_in",
    "width_mm",
    "width_in",
    "shape",
    "holes",
    "ends",
    "concrete_side",
    "mass_each_kg",
    "mass_kg",
)


@dataclass(frozen=True)
class CutRow:
    """One mark of the list: ``length`` is the longer side of a plate's outline, ``width`` the other; mass of one.

    Lengths are rounded to a tenth of a millimetre, and the inches are made from what is printed.
    """

    kind: str
    mark: str
    called: Label
    quantity: int
    material: str
    grade: str
    length: Mm | None
    width: Mm | None
    shape: str
    holes: str
    ends: str
    concrete: str
    mass: Kg

    @property
    def name(self) -> str:
        """English name of the part."""
        return str(self.called)


@dataclass(frozen=True)
class CutGroup:
    """The rows of one material, and their sums."""

    material: str
    rows: tuple[CutRow, ...]

    @property
    def pieces(self) -> int:
        """Pieces together."""
        return sum(row.quantity for row in self.rows)

    @property
    def mass(self) -> Kg:
        """Mass together."""
        return sum(row.quantity * row.mass for row in self.rows)

    @property
    def length(self) -> Mm:
        """Length of bars together; 0 for sheet and fasteners."""
        return sum(row.quantity * (row.length or 0.0) for row in self.rows if row.kind == "bar")


def inches(length: Mm) -> str:
    """A length in inches to 1/16, and what that is in millimetres: ``"15 1/4 in (387.35)"``.

    Source: shop practice, fractions to 1/16 in lowest terms (drafting practice, from memory).
    """
    steps = round(length / MM_PER_INCH * 16)
    hundredths = (steps * 15_875 + 50) // 100  # 1/16 in is 1.5875 mm; a half goes up
    return f"{inch_fraction(length)} ({plain(hundredths / 100, 2)})"


def cut_groups(mould: Mould, moulds: int = 1) -> tuple[CutGroup, ...]:
    """The list of equal moulds: sheets, thickest first, bars by kind and section, fasteners by what to ask for."""
    rows: dict[str, list[CutRow]] = {}
    plates = sorted(mould.plates, key=lambda plate: -plate.thickness)
    bars = sorted(mould.bars, key=lambda bar: (list(SectionKind).index(bar.kind), bar.section))
    made: list[Part] = [*plates, *bars]
    for part in made:
        rows.setdefault(material_of(part), []).append(_row(mould, part, moulds))
    fasteners = [_row(mould, part, moulds) for part in sorted(mould.fasteners, key=material_of)]
    groups = [CutGroup(material, tuple(listed)) for material, listed in rows.items()]
    return (*groups, CutGroup("fasteners", tuple(fasteners)))


def _row(mould: Mould, part: Part, moulds: int) -> CutRow:
    grade = grade_of(mould, part)
    common = (part.mark, part.called, part.quantity * moulds, material_of(part))
    mass = mould.mass(part)
    if isinstance(part, Plate):
        x0, y0, x1, y1 = part.outline.bounds
        width, length = sorted((round(x1 - x0, 1), round(y1 - y0, 1)))
        side = concrete_side(mould.dims, part)
        return CutRow("plate", *common, grade, length, width, _shape(part), _holes(part), "", side, mass)
    if isinstance(part, Bar):
        return CutRow(
            "bar", *common, grade, round(part.length, 1), None, "", _holes(part), "square, 90 deg", "none", mass
        )
    length_of_bolt = part.length if part.kind is FastenerKind.BOLT else None
    return CutRow("fastener", *common, grade, length_of_bolt, None, "", "", "", "none", mass)


def _shape(plate: Plate) -> str:
    """The outline in words; a taper with its two ends, so that it can be marked out without the pattern."""
    vertices = plate.outline.vertices
    x0, y0, x1, y1 = plate.outline.bounds
    straight = not any(v.arc for v in vertices)
    word: str = Said("outline of {corners} corners: see flat/{mark}.dxf", corners=len(vertices), mark=plate.mark)
    if straight and len(vertices) == 4:
        low = sorted(v.x for v in vertices if abs(v.y - y0) < SAME)
        high = sorted(v.x for v in vertices if abs(v.y - y1) < SAME)
        if len(low) == len(high) == 2:
            ends = [low[1] - low[0], high[1] - high[0]]
            even = abs(low[0] + low[1] - high[0] - high[1]) < 1e-4
            if abs(ends[0] - ends[1]) < 1e-4:
                word = "rectangle"
            elif even:
                taper = "even taper, {low:p1} to {high:p1} mm over {tall:p1} mm"
                word = Said(taper, low=ends[0], high=ends[1], tall=y1 - y0)
    elif straight and len(vertices) == 3:
        word = Said("triangle, square corner, {wide:p1} x {tall:p1} mm", wide=x1 - x0, tall=y1 - y0)
    count = len(plate.openings)
    if not count:
        return word
    return Said("{shape}; {openings}", shape=word, openings=_openings(count))


def _openings(count: int) -> str:
    """So many openings, in words."""
    return "1 opening" if count == 1 else Said("{count} openings", count=count)


def _holes(part: Plate | Bar) -> str:
    """``"12 x 11 mm bolt"``, ``"12 x 10.32 mm (13/32 in) bolt"``: finished size; inches if exact."""
    count = Counter((str(hole.purpose), round(hole.diameter, 3)) for hole in part.holes)
    return joined(
        Said("{number} x {drill} {purpose}", number=number, drill=drill_text(size), purpose=purpose)
        for (purpose, size), number in sorted(count.items())
    )


# ---------------------------------------------------------------- CSV


def csv_bytes(rows: Iterable[Sequence[str]]) -> bytes:
    """Rows as CSV in UTF-8 with its mark, so that an office program reads it right; lines end as RFC 4180 says."""
    file = io.StringIO(newline="")
    csv.writer(file, lineterminator="\r\n").writerows(rows)
    return file.getvalue().encode("utf-8-sig")


def cutlist_csv(mould: Mould, moulds: int = 1, status: Status = Status.UNCHECKED) -> bytes:
    """The list of equal moulds as CSV; status, number of moulds, sums, consumables and the sources of
    own rows in rows of their own kind."""
    rows: list[Sequence[str]] = [HEADER, _filled(list="status", name=str(status))]
    rows.append(_filled(list="moulds", name="moulds that this list is for", quantity=str(moulds)))
    for group in cut_groups(mould, moulds):
        rows += [*(_cells(row) for row in group.rows), _total(group)]
    for name, amount, unit in consumables(mould, moulds):
        likely, low, high = (plain(end, 2) for end in (amount.likely, amount.low, amount.high))
        rows.append(_filled(list="consumable", name=name, shape=f"{likely} {unit} ({low} to {high}), estimate"))
    for kind, row in mould.dims.stock.own.rows():
        rows.append(_filled(list="source", name=row.source, material=f"{called(kind)} {row.designation}"))
    return csv_bytes(rows)


def _filled(**cells: str) -> list[str]:
    """A row with these cells and no others."""
    return [cells.get(title, "") for title in HEADER]


def _cells(row: CutRow) -> list[str]:
    def both(length: Mm | None) -> tuple[str, str]:
        return ("", "") if length is None else (plain(length, 1), inches(length))

    head = [row.kind, row.mark, row.name, str(row.quantity), row.material, row.grade]
    tail = [row.shape, row.holes, row.ends, row.concrete, plain(row.mass, 3), plain(row.mass * row.quantity, 3)]
    return [*head, *both(row.length), *both(row.width), *tail]


def _total(group: CutGroup) -> list[str]:
    return _filled(
        list="sum",
        name=f"all of {group.material}",
        quantity=str(group.pieces),
        material=group.material,
        shape=f"{plain(group.length / 1000, 3)} m of bar, no kerf" if group.length else "",
        mass_kg=plain(group.mass, 3),
    )


_INCH_UNITS: Final = {"kg": ("lb", 1 / KG_PER_POUND), "l": ("US gal", 1 / LITRES_PER_GALLON)}


def consumables(mould: Mould, moulds: int = 1) -> list[tuple[str, Range, str]]:
    """What equal moulds use up at the shipped rates, stick welding, with its unit: pounds and US gallons on inch
    papers, a row of each where both units are asked for; last the spares over their life.
    """
    units = {"stick electrodes": "kg", "grinding discs": "pieces", "cutting discs": "pieces", "paint": "l"}
    found, asked = work(take_off(mould)), mould.dims.spec.papers.paper_units
    rows: list[tuple[str, Range, str]] = []
    for name, unit in units.items():
        other, factor = _INCH_UNITS.get(unit, ("", 1.0))
        if asked != "inches" or not other:
            rows.append((name, found[name].times(moulds), unit))
        if asked != "mm" and other:
            rows.append((name, found[name].times(moulds * factor), other))
    for spare in spares(mould, wearing_pull(mould)):
        rows.append((f"spare {spare.name}", exactly(spare.count * moulds), "pieces"))
    return rows
