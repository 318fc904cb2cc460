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
import difflib
import importlib.resources
import io
import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Final, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError, model_validator

from mouldgeom.errors import InputError, TableError
from mouldgeom.reading import read_up_to
from mouldgeom.units import AnyUnit

Money = Annotated[float, "money, in whatever currency the prices are in"]
_LARGEST: Final = 1_000_000


class Range(BaseModel):
    """A value that is not known exactly: 0 <= low <= likely <= high."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    low: AnyUnit
    likely: AnyUnit
    high: AnyUnit

    def times(self, factor: AnyUnit) -> Range:
        """The same in another unit."""
        return Range(low=factor * self.low, likely=factor * self.likely, high=factor * self.high)

    @model_validator(mode="after")
    def _in_order(self) -> Range:
        if not 0 <= self.low <= self.likely <= self.high:
            raise ValueError("wanted is 0 <= low <= likely <= high")
        return self


def _range(value: object) -> object:
    if isinstance(value, bool | str):
        raise ValueError("a number, or [low, likely, high], is wanted")
    if isinstance(value, int | float):
        return {"low": value, "likely": value, "high": value}
    if isinstance(value, list):
        if len(value) != 3 or any(isinstance(v, bool) or not isinstance(v, int | float) for v in value):
            raise ValueError("three numbers [low, likely, high] are wanted")
        return dict(zip(("low", "likely", "high"), value, strict=True))
    return value


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


class Prices(BaseModel):
    """What things cost, and rates that replace the shipped ones."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    currency: str = Field(default="money", min_length=1, max_length=20)
    welding: Literal["stick", "wire"] = "stick"
    material: dict[str, Ranged] = Field(default_factory=dict)
    fastener: dict[str, Ranged] = Field(default_factory=dict)
    consumable: Consumables = Consumables()
    hour: Hours
    rates: dict[str, Ranged] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _known_rates(self) -> Prices:
        for name, value in self.rates.items():
            if name not in shipped_rates():
                near = difflib.get_close_matches(name, shipped_rates(), 1, 0.0)
                raise ValueError(f"no rate is called {name!r}; did you mean {near[0]}?")
            if value.low <= 0:
                raise ValueError(f"rate {name} must be above zero")
        return self

    def rate(self, name: str) -> Range:
        """The rate of that name: the person's own, or the shipped one."""
        return self.rates.get(name, shipped_rates()[name].range)


def load_prices(source: str | Path) -> Prices:
    """Read prices from a TOML file.

    Raises:
        FolderError: the file cannot be read.
        InputError: it is no TOML, a key is unknown, or a value does not fit.
    """
    content = read_up_to(_LARGEST, source, "--prices", _SEE)
    if len(content) > _LARGEST:
        raise InputError("--prices", repr(str(source)), "a file over 1 MB holds no prices", _SEE)
    return parse_prices(content, str(source))


_SEE: Final = "Write it like the example in the README, under Steel and prices."


def parse_prices(content: bytes | str, name: str = "prices") -> Prices:
    """Read prices from TOML.

    Raises:
        InputError: as ``load_prices``.
    """
    try:
        text = content.decode("utf-8-sig") if isinstance(content, bytes) else content
        data: dict[str, Any] = tomllib.loads(text)
    except RecursionError as error:
        raise InputError(name, "not TOML", "nested too deep", _SEE) from error
    except ValueError as error:
        raise InputError(name, "not TOML", str(error), _SEE) from error
    try:
        return Prices.model_validate(data)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"]) or name
        shown = "missing" if first["type"] == "missing" else _shown(first["input"])
        reason = str(first.get("ctx", {}).get("error", "")) or str(first["msg"])
        remedy = "Remove or correct it." if first["type"] == "extra_forbidden" else _SEE
        raise InputError(where, shown, reason[:1].lower() + reason[1:], remedy) from None


def _shown(value: object) -> str:
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
