"""``measured.csv``: what is to be measured on the finished mould, and what was.

One row a dimension, nominal and limits filled in, the column ``measured`` empty.  It is read back with a few or many
values, in millimetres or with a unit of their own: ``364.5``, ``364,5``, ``14 5/16 in``.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from mouldgeom.errors import MeasurementError
from mouldgeom.inspection.critical import Critical
from mouldgeom.reading import Form, Table, meant, parse_csv, read_csv, shown
from mouldgeom.units import AnyUnit, inch_fraction, parse_length, plain

COLUMNS: Final = (
    "code", "stage", "what", "nominal", "nominal_in", "low", "high", "unit", "measured", "with_what",
)  # fmt: skip
_NUMBER: Final = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
_TOO_FAR: Final = 3.0
"""A value this many times its nominal, or a third of it, is a slip of the unit or of the pen."""


def measured_csv(dimensions: tuple[Critical, ...], values: Mapping[str, AnyUnit] | None = None) -> str:
    """The list as CSV, nominal and limits filled in; ``values`` go into the column ``measured``."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for item in dimensions:
        inches = inch_fraction(item.nominal) if item.unit == "mm" else ""
        given = (values or {}).get(item.code)
        writer.writerow(
            [
                item.code,
                str(item.stage),
                item.what,
                plain(item.nominal, 1),
                inches,
                plain(item.low, 1),
                plain(item.high, 1),
                item.unit,
                "" if given is None else plain(given, 2),
                item.tool,
            ]
        )
    return out.getvalue()


def load_measured(source: str | Path, dimensions: tuple[Critical, ...]) -> dict[str, AnyUnit]:
    """Read measured values from a file, by code, in mm (the mass in kg).

    Raises:
        FolderError: the file cannot be read.
        MeasurementError: as ``read_measured``.
    """
    return _values(read_csv(source, _FORM), dimensions, str(source))


_START: Final = "Fill in the column measured of measured.csv, which mouldgeom make writes."
_FORM: Final = Form("MEASURED", "a list of measured values", _START, MeasurementError)


def read_measured(text: str, dimensions: tuple[Critical, ...], name: str = "measured.csv") -> dict[str, AnyUnit]:
    """Read measured values from CSV: comma, semicolon or tab; columns ``code`` and ``measured``, others ignored.

    Raises:
        MeasurementError: a column is missing, a code unknown or given twice, a value no number, or nothing measured.
    """
    return _values(parse_csv(text, name, _FORM), dimensions, name)


def _values(table: Table, dimensions: tuple[Critical, ...], name: str) -> dict[str, AnyUnit]:
    known = {item.code: item for item in dimensions}
    head, *rows = table.rows
    titles = [cell.lower() for cell in head.cells]
    for column in ("code", "measured"):
        if titles.count(column) != 1:
            raise MeasurementError(
                name, shown(", ".join(head.cells)), f"the first line has no column {column!r}, or two", _START
            )
    at_code, at_value = titles.index("code"), titles.index("measured")
    found: dict[str, AnyUnit] = {}
    for row in rows:
        code, value = (row.cells[at] if len(row.cells) > at else "" for at in (at_code, at_value))
        if not code and not value:
            continue
        where = f"{name}, line {row.line}"
        if code not in known:
            raise MeasurementError(where, repr(code), "no such code", meant(code, known, _START))
        if not value:
            continue
        if code in found:
            raise MeasurementError(where, code, "it stands there twice", "Keep one of the two.")
        found[code] = _value(value, known[code], where)
    if not found:
        raise MeasurementError(name, "no value", "nothing is filled in", _START)
    return found


def _value(text: str, item: Critical, where: str) -> AnyUnit:
    """A number in the row's unit, or a length with a unit of its own."""
    if _NUMBER.fullmatch(text):
        value = float(text.replace(",", "."))
    elif item.unit != "mm":
        raise MeasurementError(where, repr(text), f"{item.code} is a number of {item.unit}", "Correct the value.")
    else:
        try:
            value = parse_length(text)
        except ValueError as error:
            raise MeasurementError(where, repr(text), str(error), "Give millimetres, or a length with unit.") from error
    if item.low >= 0 and value < 0:
        raise MeasurementError(where, repr(text), f"{item.code} cannot be below 0", "Correct the value.")
    if item.nominal > 0 and not item.nominal / _TOO_FAR <= value <= item.nominal * _TOO_FAR:
        raise MeasurementError(
            where,
            repr(text),
            f"{item.code} is {plain(item.nominal, 1)} {item.unit} by design: {plain(value, 1)} {item.unit} is a slip",
            'Correct the value, or write its unit: "14 5/16 in".',
        )
    if not math.isfinite(value) or abs(value - item.nominal) > 1000:
        raise MeasurementError(where, repr(text), f"{item.code} is no such length", "Correct the value.")
    return value
