"""``measured.csv``: what is to be measured on the finished mould, and what was.

One row a dimension, nominal and limits filled in, the column ``measured`` empty.  It is read back with a few or many
values, in millimetres or with a unit of their own: ``364.5``, ``364,5``, ``14 5/16 in``.
"""

from __future__ import annotations

import csv
import difflib
import io
import math
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from mouldgeom.errors import MeasurementError
from mouldgeom.inspection.critical import Critical, Stage
from mouldgeom.reading import read_up_to
from mouldgeom.units import MM_PER_INCH, AnyUnit, drill_fraction, inch_fraction, parse_length, plain

COLUMNS: Final = (
    "code", "stage", "what", "nominal", "nominal_in", "low", "high", "unit", "measured", "with_what",
)  # fmt: skip
_LARGEST: Final = 200_000
_NUMBER: Final = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
_TOO_FAR: Final = 3.0
"""A value this many times its nominal, or a third of it, is a slip of the unit or of the pen."""


def measured_csv(dimensions: tuple[Critical, ...], values: Mapping[str, AnyUnit] | None = None) -> str:
    """The list as CSV, nominal and limits filled in; ``values`` go into the column ``measured``."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for item in dimensions:
        inches = _inches(item) if item.unit == "mm" else ""
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


def _inches(item: Critical) -> str:
    """The nominal in inches: to 1/64, a thickness exactly or to a thousandth."""
    if item.stage is Stage.PLATES:
        return drill_fraction(item.nominal) or f"{item.nominal / MM_PER_INCH:.3f} in"
    return inch_fraction(item.nominal, 64)


def load_measured(source: str | Path, dimensions: tuple[Critical, ...]) -> dict[str, AnyUnit]:
    """Read measured values from a file, by code, in mm (the mass in kg).

    Raises:
        FolderError: the file cannot be read.
        MeasurementError: as ``read_measured``.
    """
    content = read_up_to(_LARGEST, source, "MEASURED", "Give the file measured.csv of a package, filled in.")
    name = str(source)
    if len(content) > _LARGEST:
        raise MeasurementError(name, "over 200 kB", "a list of measured values is a few kilobytes", _START)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
    if "\0" in text:
        raise MeasurementError(name, "a file that is no text", "CSV is wanted", _START)
    return read_measured(text, dimensions, name)


_START: Final = "Fill in the column measured of measured.csv, which mouldgeom make writes."


def read_measured(text: str, dimensions: tuple[Critical, ...], name: str = "measured.csv") -> dict[str, AnyUnit]:
    """Read measured values from CSV: comma, semicolon or tab; columns ``code`` and ``measured``, others ignored.

    Raises:
        MeasurementError: a column is missing, a code unknown or given twice, a value no number, or nothing measured.
    """
    known = {item.code: item for item in dimensions}
    lines = text.splitlines()
    head = lines[0] if lines else ""
    delimiter = max(",;\t", key=head.count)
    rows = list(csv.reader(lines, delimiter=delimiter))
    titles = [cell.strip().lower() for cell in rows[0]] if rows else []
    for column in ("code", "measured"):
        if titles.count(column) != 1:
            raise MeasurementError(name, repr(head[:60]), f"the first line has no column {column!r}, or two", _START)
    at_code, at_value = titles.index("code"), titles.index("measured")
    found: dict[str, AnyUnit] = {}
    for number, row in enumerate(rows[1:], 2):
        code = row[at_code].strip() if len(row) > at_code else ""
        value = row[at_value].strip() if len(row) > at_value else ""
        if not code and not value:
            continue
        where = f"{name}, line {number}"
        if code not in known:
            near = (difflib.get_close_matches(code, list(known), 1, 0.0) or [""])[0]
            raise MeasurementError(where, repr(code), "no such code", f"Did you mean {near}?")
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
