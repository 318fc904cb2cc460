"""What steel is there: sheets, offcuts and bars, read from a ``.toml`` file, or the list that is built in.

::

    currency = "EUR"

    [[sheet]]
    sheet = "3 mm"              # designation from the tables
    width = 1220                # mm, or text with a unit: "48 in"
    length = 2440
    quantity = 4                # left out: as many as wanted
    price = 61.5                # of one; left out: not known

    [[offcut]]
    sheet = "6 mm"
    outline = [[0, 0], [700, 0], [700, 400], [300, 650], [0, 650]]

    [[bar]]
    kind = "angle"              # "angle", "square tube", "rod", "threaded rod"
    section = "40x40x4"
    length = "6 m"

What no table has is described there as in a specification (``spec.own_rows``), and then named like any other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Final

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StrictInt, ValidationError, model_validator
from shapely.geometry import Polygon

from mouldgeom import tables
from mouldgeom.errors import InputError, SpecError, UnknownDesignationError
from mouldgeom.geometry.outline import Outline, Point
from mouldgeom.model.shapes import SectionKind
from mouldgeom.reading import Form, as_length, as_number, meant, parse_toml, read_toml, reason, shown
from mouldgeom.spec.fields import Lettered
from mouldgeom.spec.own_rows import FINDERS, NO_ROWS, OwnRows, read_own
from mouldgeom.units import AnyUnit, Mm, Mm2
from mouldgeom.words import Said

_FORM: Final = Form("--stock", "a stock list", "Write it like the example in the README, under Steel and prices.")
_REMEDY: Final = "Correct that entry of the stock list."


@dataclass(frozen=True)
class StockSheet:
    """Sheets of one kind: ``length`` is the longer side; an offcut has an outline of its own.

    ``quantity`` ``None`` means as many as wanted, ``price`` ``None`` means not known.
    """

    sheet: str
    thickness: Mm
    length: Mm
    width: Mm
    quantity: int | None = None
    price: AnyUnit | None = None
    outline: Outline | None = None
    name: str = ""

    @property
    def edge(self) -> Outline:
        """Outline, x along the length."""
        return self.outline or Outline.rectangle(0.0, 0.0, self.length, self.width)

    @property
    def area(self) -> Mm2:
        """Area of one."""
        return self.edge.area

    @property
    def title(self) -> str:
        """What it is in words: ``"3 mm, 1220 x 2440"``."""
        size = Said("{sheet}, {width:p1} x {length:p1} mm", sheet=self.sheet, width=self.width, length=self.length)
        if self.name:
            return Said("{name}, {sheet}", name=self.name, sheet=size)
        return Said("offcut, {sheet}", sheet=size) if self.outline else size


@dataclass(frozen=True)
class StockBar:
    """Bars of one section and length."""

    kind: SectionKind
    section: str
    length: Mm
    quantity: int | None = None
    price: AnyUnit | None = None

    @property
    def title(self) -> str:
        """What it is in words: ``"angle 40x40x4, 6000 mm"``."""
        return Said("{kind} {section}, {length:p1} mm", kind=self.kind, section=self.section, length=self.length)


@dataclass(frozen=True)
class StockList:
    """All steel that is there; ``currency`` is a label, ``own`` the rows that no table has."""

    sheets: tuple[StockSheet, ...]
    bars: tuple[StockBar, ...]
    currency: str = ""
    own: OwnRows = NO_ROWS

    def sheets_of(self, sheet: str) -> tuple[StockSheet, ...]:
        """Return the sheets of a designation, in the order of the list."""
        return tuple(s for s in self.sheets if s.sheet == sheet)

    def bars_of(self, kind: SectionKind, section: str) -> tuple[StockBar, ...]:
        """Return the bars of a section, in the order of the list."""
        return tuple(b for b in self.bars if (b.kind, b.section) == (kind, section))


def default_stock(own: OwnRows = NO_ROWS) -> StockList:
    """Every designation of the tables and of ``own`` rows, as many as wanted, no prices.

    Metric: sheets of 1220 x 2440 mm and bars of 6 m; inch: sheets of 48 x 96 in and bars of 20 ft; threaded rod of
    1 m or 36 in.

    Source: usual sheets and bar lengths, trade practice (48 x 96 in and 20 ft seen; 6 m and threaded rod from memory).
    """
    sheets = tuple(
        StockSheet(s.designation, s.thickness_mm, *((2440.0, 1220.0) if s.system == "metric" else (2438.4, 1219.2)))
        for s in (*tables.sheets(), *own.sheet)
    )
    bars = [
        StockBar(kind, row.designation, 6000.0 if row.system == "metric" else 6096.0)
        for kind, rows in (
            (SectionKind.ANGLE, (*tables.angles(), *own.angle)),
            (SectionKind.SQUARE_TUBE, (*tables.square_tubes(), *own.square_tube)),
            (SectionKind.ROD, (*tables.rods(), *own.rod)),
        )
        for row in rows
    ]
    bars += [
        StockBar(SectionKind.THREADED_ROD, row.designation, 1000.0 if row.system == "metric" else 914.4)
        for row in (*tables.bolts(), *own.bolt)
    ]
    return StockList(sheets, tuple(bars), own=own)


# --- the file --------------------------------------------------------------------------------------------------------


_Length = Annotated[Mm, BeforeValidator(as_length), Field(ge=20, le=30_000)]
_Place = Annotated[Mm, BeforeValidator(as_length), Field(ge=-30_000, le=30_000)]
_Count = Annotated[StrictInt, Field(ge=0, le=100_000)]
_Price = Annotated[AnyUnit, BeforeValidator(as_number), Field(ge=0, le=1e9)]


class _Entry(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


def _designated(kind: str, designation: str, own: OwnRows) -> Any:
    try:
        return FINDERS[kind](own.named(designation, kind) or designation)
    except UnknownDesignationError as error:
        raise ValueError(f"{designation!r} is in no table: {error.limit}") from error


class _SheetEntry(_Entry):
    sheet: str
    width: _Length
    length: _Length
    quantity: _Count | None = None
    price: _Price | None = None
    name: Lettered = Field(default="", max_length=60)

    def record(self, own: OwnRows) -> StockSheet:
        row = _designated("sheet", self.sheet, own)
        long, short = max(self.length, self.width), min(self.length, self.width)
        return StockSheet(row.designation, row.thickness_mm, long, short, self.quantity, self.price, name=self.name)


class _OffcutEntry(_Entry):
    sheet: str
    outline: Annotated[list[tuple[_Place, _Place]], Field(min_length=3, max_length=200)]
    quantity: _Count = 1
    price: _Price | None = None
    name: Lettered = Field(default="", max_length=60)

    def record(self, own: OwnRows) -> StockSheet:
        row = _designated("sheet", self.sheet, own)
        polygon = Polygon(self.outline)
        if not polygon.is_valid or polygon.area < 400:
            raise ValueError("the outline crosses itself or encloses nothing")
        x0, y0, x1, y1 = polygon.bounds
        points: list[Point] = [(x - x0, y - y0) for x, y in self.outline]
        wide, high = x1 - x0, y1 - y0
        if high > wide:  # the longer side along x; turned, not mirrored
            points, wide, high = [(y, wide - x) for x, y in points], high, wide
        return StockSheet(
            row.designation,
            row.thickness_mm,
            wide,
            high,
            self.quantity,
            self.price,
            Outline.polygon(points),
            self.name,
        )


_SECTIONS: Final[dict[SectionKind, str]] = {
    SectionKind.ANGLE: "angle",
    SectionKind.SQUARE_TUBE: "square_tube",
    SectionKind.ROD: "rod",
    SectionKind.THREADED_ROD: "bolt",
}
"""The kind of row that each is."""


class _BarEntry(_Entry):
    kind: SectionKind
    section: str
    length: _Length
    quantity: _Count | None = None
    price: _Price | None = None

    def record(self, own: OwnRows) -> StockBar:
        row = _designated(_SECTIONS[self.kind], self.section, own)
        return StockBar(self.kind, row.designation, self.length, self.quantity, self.price)


class _File(_Entry):
    currency: Lettered = Field(default="", max_length=12)
    sheet: list[_SheetEntry] = Field(default=[], max_length=500)
    offcut: list[_OffcutEntry] = Field(default=[], max_length=500)
    bar: list[_BarEntry] = Field(default=[], max_length=500)

    @model_validator(mode="before")
    @classmethod
    def _tables(cls, data: Any) -> Any:
        for key in ("sheet", "offcut", "bar"):
            if isinstance(data, dict) and isinstance(data.get(key), dict):
                raise ValueError(f"write [[{key}]] with two brackets: there may be several")
        return data


def load_stock(source: str | Path, own: OwnRows = NO_ROWS) -> StockList:
    """Read a stock list from a file, which may name ``own`` rows of a specification beside its own.

    Raises:
        FolderError: the file cannot be read.
        InputError: it is no TOML, or an entry is unknown, of the wrong type or out of range.
    """
    return _stock(read_toml(source, _FORM), str(source), own)


def parse_stock(text: str, name: str = "stock list", own: OwnRows = NO_ROWS) -> StockList:
    """Read a stock list from TOML text; what there is none of (quantity 0) is left out.

    Raises:
        InputError: as ``load_stock``.
    """
    return _stock(parse_toml(text, name, _FORM), name, own)


def _stock(data: dict[str, Any], name: str, own: OwnRows) -> StockList:
    more, faults = read_own(data.pop("own", {}))
    if faults:
        raise SpecError.together(faults)
    own = own.plus(more)
    try:
        file = _File.model_validate(data)
    except ValidationError as error:
        raise _explained(error, name) from None
    sheets = [*_records("sheet", file.sheet, own), *_records("offcut", file.offcut, own)]
    bars = _records("bar", file.bar, own)
    return StockList(
        tuple(sheet for sheet in sheets if sheet.quantity != 0),
        tuple(bar for bar in bars if bar.quantity != 0),
        file.currency,
        own,
    )


def _records(key: str, entries: list[Any], own: OwnRows) -> Iterator[Any]:
    for number, entry in enumerate(entries, 1):
        try:
            yield entry.record(own)
        except ValueError as error:
            raise InputError(f"{key} {number}", "an entry of the stock list", str(error), _REMEDY) from error


_ENTRIES: Final[dict[str, type[BaseModel]]] = {"sheet": _SheetEntry, "offcut": _OffcutEntry, "bar": _BarEntry}


def _explained(error: ValidationError, name: str) -> InputError:
    """Turn the first finding of the validation library into one clear error: ``"sheet 2, price"``."""
    errors = error.errors(include_url=False)
    first = next((e for e in errors if e["type"] == "extra_forbidden"), errors[0])
    where = first["loc"]
    words = [
        f"{where[0]} {where[1] + 1}" if len(where) > 1 and isinstance(where[1], int) else str(w) for w in where[:1]
    ]
    words += [str(w) for w in where[2:]]
    label = ", ".join(words) or name
    value = shown(first["input"])
    if first["type"] == "extra_forbidden":
        model = _ENTRIES.get(str(where[0]), _File) if len(where) > 1 else _File
        known = f"Known are: {', '.join(model.model_fields)}."
        return InputError(label, value, reason(first), meant(str(where[-1]), model.model_fields, known))
    if first["type"] == "missing":
        return InputError(label, "left out", reason(first), _REMEDY)
    return InputError(label, value, reason(first), _REMEDY)
