"""Rates of work and prices: what an operation takes and a thing costs, as low, likely and high.

The shipped rates stand in ``data/rates.csv``, each with its source or "estimate (no source)".  A person gives prices,
and rates known better, in a file::

    currency = "crowns"          # a label, nothing is converted
    welding = "stick"            # or "wire"
    [material]                   # each kilogram; the more exact name goes first
    sheet = 1.2
    "sheet 6 mm" = [1.2, 1.3, 1.5]
    angle = 1.1
    "square tube" = 1.4
    rod = 1.1
    "threaded rod" = 3
    [fastener]                   # each
    "hexagon bolt" = 0.2
    "hexagon nut M24" = 1.5
    "hexagon nut" = 0.1
    washer = 0.05
    [consumable]
    electrode_kg = 3
    grinding_disc = 1.5
    cutting_disc = 1
    paint_l = 6
    [hour]
    labour = [3, 4, 6]
    cutting = 20
    [rates]
    fit_min = [5, 6, 9]

One number is a number known exactly; three are low, likely and high.
"""

from __future__ import annotations

import csv
import importlib.resources
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Final, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationError,
    ValidationInfo,
    model_validator,
)

from mouldgeom import tables
from mouldgeom.errors import InputError, TableError
from mouldgeom.model.assembly import fastener_name
from mouldgeom.model.shapes import Fastener, FastenerKind, Group, SectionKind
from mouldgeom.reading import Form, as_number, meant, parse_toml, read_toml, reason, shown
from mouldgeom.spec.fields import Lettered
from mouldgeom.spec.own_rows import NO_ROWS, OwnRows
from mouldgeom.strength_classes import class_texts
from mouldgeom.units import AnyUnit

Money = Annotated[float, "money, in whatever currency the prices are in"]


class Range(BaseModel):
    """A value that is not known exactly: 0 <= low <= likely <= high."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    low: AnyUnit
    likely: AnyUnit
    high: AnyUnit

    def times(self, factor: AnyUnit) -> Range:
        """The same for so many alike, or in another unit."""
        return Range(low=factor * self.low, likely=factor * self.likely, high=factor * self.high)

    @model_validator(mode="after")
    def _in_order(self) -> Range:
        if not 0 <= self.low <= self.likely <= self.high:
            raise ValueError("wanted is 0 <= low <= likely <= high")
        return self


_MOST: Final[Money] = 1e9
"""The highest price that is read."""


def _range(value: object) -> object:
    if isinstance(value, Range):
        return value
    ends = value if isinstance(value, list) else [value] * 3
    if isinstance(value, list) and len(value) != 3:
        raise ValueError("three numbers [low, likely, high] are wanted")
    try:
        numbers = [as_number(end) for end in ends]
    except ValueError as error:
        raise ValueError("a number, or three numbers [low, likely, high], is wanted") from error
    if not all(abs(end) <= _MOST for end in numbers):
        raise ValueError(f"allowed is 0 to {_MOST:,.0f}")
    return dict(zip(("low", "likely", "high"), numbers, strict=True))


def exactly(value: AnyUnit) -> Range:
    """A range without width."""
    return Range(low=value, likely=value, high=value)


Ranged = Annotated[Range, BeforeValidator(_range)]


@dataclass(frozen=True)
class Rate:
    """One row of ``data/rates.csv``."""

    name: str
    range: Range
    unit: str
    meaning: str
    source: str
    evidence: str


@cache
def shipped_rates() -> Mapping[str, Rate]:
    """The rates of ``data/rates.csv`` by name.

    Raises:
        TableError: the table has a fault.
    """
    return read_rates(importlib.resources.files("mouldgeom.data").joinpath("rates.csv").read_text("utf-8"))


def read_rates(text: str) -> Mapping[str, Rate]:
    """Read a table of rates with the columns of ``data/rates.csv``.

    Raises:
        TableError: a column is missing or unknown, a name stands twice, or a value does not fit.
    """
    columns = ["name", "low", "likely", "high", "unit", "meaning", "source", "evidence"]
    try:
        rows = list(csv.reader(io.StringIO(text), strict=True))
    except csv.Error as error:
        raise TableError(f"data/rates.csv cannot be read: {error}") from error
    if not rows or rows[0] != columns:
        raise TableError(f"data/rates.csv: the columns are to be {', '.join(columns)}")
    rates: dict[str, Rate] = {}
    for number, row in enumerate(rows[1:], start=2):
        where = f"data/rates.csv, row {number}"
        if len(row) != len(columns) or not all(cell.strip() for cell in row):
            raise TableError(f"{where}: {len(columns)} filled cells are wanted")
        name, low, likely, high, unit, meaning, source, evidence = row
        try:
            value = Range(low=float(low), likely=float(likely), high=float(high))
        except ValueError as error:
            raise TableError(f"{where}: {name}: numbers 0 <= low <= likely <= high are wanted") from error
        if value.low == 0 or name in rates:
            raise TableError(f"{where}: {name} is zero or stands there twice")
        rates[name] = Rate(name, value, unit, meaning, source, evidence)
    return rates


class Consumables(BaseModel):
    """Prices of what is used up; only what the chosen way of welding needs has to be given."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    electrode_kg: Ranged | None = Field(default=None, description="each kilogram of stick electrodes")
    wire_kg: Ranged | None = Field(default=None, description="each kilogram of welding wire")
    gas_m3: Ranged | None = Field(default=None, description="each cubic metre of shielding gas")
    grinding_disc: Ranged | None = Field(default=None, description="each grinding disc")
    cutting_disc: Ranged | None = Field(default=None, description="each cutting disc")
    paint_l: Ranged | None = Field(default=None, description="each litre of paint")


class Hours(BaseModel):
    """Prices of an hour."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    labour: Ranged = Field(description="an hour of the welder")
    cutting: Ranged = Field(description="an hour of the cutting machine, with its operator, beside the welder's hours")


@cache
def priced(table: str, own: OwnRows = NO_ROWS) -> tuple[str, ...]:
    """Names that may stand in a table of prices, ``material`` or ``fastener``, or among the ``rates``; of own rows too.

    A kind of steel or fastener by itself, or with its size: ``"sheet"``, ``"sheet 3 mm"``, ``"hexagon bolt M10"``,
    ``"hexagon bolt M10 x 25"``.
    """
    if table == "rates":
        return tuple(shipped_rates())
    if table == "material":
        steel: Mapping[str, Sequence[Any]] = {
            "sheet": (*tables.sheets(), *own.sheet),
            SectionKind.ANGLE: (*tables.angles(), *own.angle),
            SectionKind.SQUARE_TUBE: (*tables.square_tubes(), *own.square_tube),
            SectionKind.ROD: (*tables.rods(), *own.rod),
            SectionKind.THREADED_ROD: (*tables.bolts(), *own.bolt),
        }
        return tuple(
            name for kind, rows in steel.items() for name in (kind, *(f"{kind} {r.designation}" for r in rows))
        )
    names = [str(kind) for kind in FastenerKind]
    for bolt in (*tables.bolts(), *own.bolt):
        names += [f"{kind} {bolt.designation}" for kind in FastenerKind]
        for length in tables.bolt_lengths(bolt.designation):
            names.append(fastener_name(Fastener(Group.FASTENERS, (), FastenerKind.BOLT, bolt.designation, length)))
    return tuple(names)


def _known(table: str) -> Callable[[str, ValidationInfo], str]:
    """Refuse names that the table does not have; a thread may be priced by its strength class too."""

    def check(name: str, info: ValidationInfo) -> str:
        bought, _, strength = name.partition(", ")
        if bought not in priced(table, info.context or NO_ROWS) or (strength and strength not in class_texts()):
            raise ValueError("no such name")
        return name

    return check


_SPAN: Final = 1000
"""How many times more or less than the shipped rate a rate may be."""


class Prices(BaseModel):
    """What things cost, and rates that replace the shipped ones."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    currency: Lettered = Field(default="money", min_length=1, max_length=20)
    welding: Literal["stick", "wire"] = "stick"
    material: dict[Annotated[str, AfterValidator(_known("material"))], Ranged] = Field(default_factory=dict)
    fastener: dict[Annotated[str, AfterValidator(_known("fastener"))], Ranged] = Field(default_factory=dict)
    consumable: Consumables = Consumables()
    hour: Hours
    rates: dict[Annotated[str, AfterValidator(_known("rates"))], Ranged] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _possible_rates(self) -> Prices:
        for name, value in self.rates.items():
            if value.low <= 0:
                raise ValueError(f"rate {name} must be above zero")
            likely = shipped_rates()[name].range.likely
            if not likely / _SPAN <= value.low <= value.high <= likely * _SPAN:
                raise ValueError(f"rate {name} is {likely:g} as a rule: allowed is {_SPAN} times less to {_SPAN} more")
        return self

    def rate(self, name: str) -> Range:
        """The rate of that name: the person's own, or the shipped one."""
        return self.rates.get(name, shipped_rates()[name].range)


def load_prices(source: str | Path, own: OwnRows = NO_ROWS) -> Prices:
    """Read prices from a TOML file, which may name ``own`` rows.

    Raises:
        FolderError: the file cannot be read.
        InputError: it is no TOML, a key is unknown, or a value does not fit.
    """
    return _prices(read_toml(source, _FORM), str(source), own)


_FORM: Final = Form("--prices", "a list of prices", "Write it like the example in the README, under Steel and prices.")


def parse_prices(text: str, name: str = "prices", own: OwnRows = NO_ROWS) -> Prices:
    """Read prices from TOML text, which may name ``own`` rows.

    Raises:
        InputError: as ``load_prices``.
    """
    return _prices(parse_toml(text, name, _FORM), name, own)


_MOVED: Final = {"life_filters": "It is use.life of the specification now."}
"""Names that earlier editions knew, and what to do."""


def _prices(data: dict[str, Any], name: str, own: OwnRows) -> Prices:
    try:
        return Prices.model_validate(data, context=own)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = [str(part) for part in first["loc"]]
        value = "missing" if first["type"] == "missing" else shown(first["input"])
        if where[-1:] == ["[key]"]:
            remedy = _MOVED.get(where[1]) or meant(where[1], priced(where[0], own), _FORM.remedy)
            name = f"{where[0]}.{where[1]}"
            raise InputError(name, shown(data[where[0]][where[1]]), reason(first), remedy) from None
        remedy = "Remove or correct it." if first["type"] == "extra_forbidden" else _FORM.remedy
        raise InputError(".".join(where) or name, value, reason(first), remedy) from None
