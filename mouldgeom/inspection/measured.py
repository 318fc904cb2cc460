"""``measured.csv``: what is to be measured on the finished mould, and what was.

One row a dimension, nominal and limits filled in, the column ``measured`` empty.  It is read back with a few or many
values, in millimetres or with a unit of their own: ``364.5``, ``364,5``, ``14 5/16 in``.  The column ``mould`` says in
each row which mould the file is of, in words that no spreadsheet program takes for a number.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from mouldgeom.errors import MeasurementError
from mouldgeom.inspection.critical import Critical
from mouldgeom.model.assembly import Mould
from mouldgeom.reading import CsvTable, Form, meant, parse_csv, read_csv, shown
from mouldgeom.units import AnyUnit, parse_length, plain
from mouldgeom.words import Words

COLUMNS: Final = (
    "code", "stage", "what", "nominal", "nominal_in", "low", "high", "unit", "measured", "with_what", "mould",
)  # fmt: skip
_NUMBER: Final = re.compile(r"[-+]?\d+(?:\.\d+)?")
_DECIMAL_COMMA: Final = re.compile(r"([-+]?\d+),(\d+)(?![\d,.])")
_MOULD: Final = re.compile(r"spec ([0-9a-f]{16})\b")
_TOO_FAR: Final = 3.0
"""A value this many times its nominal, or a third of it, is a slip of the unit or of the pen."""


def name_of(mould: Mould) -> str:
    """Name of a mould in its file: the first figures of the digest of what shapes it, its title, its extensions."""
    extensions = f", with {' and '.join(map(str, mould.extensions))}" if mould.extensions else ""
    return f"spec {mould.shape_digest[:16]}, {mould.dims.spec.title}{extensions}"


def measured_csv(
    dimensions: tuple[Critical, ...],
    values: Mapping[str, AnyUnit] | None = None,
    *,
    mould: str = "",
    words: Words | None = None,
) -> str:
    """The list as CSV, nominal and limits filled in; ``values`` go into the column ``measured``.

    Args:
        mould: its name, by ``name_of``.
        words: the language in which the file says what is measured; English if left out.
    """
    out, say, given = io.StringIO(), words or Words(), values or {}
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for item in dimensions:
        writer.writerow(
            [
                item.code,
                say(str(item.stage)),
                say(item.what),
                plain(item.nominal, item.digits),
                item.inches(item.nominal, 0) if item.unit == "mm" else "",
                plain(item.low, item.digits),
                plain(item.high, item.digits),
                item.unit,
                plain(given[item.code], 2) if item.code in given else "",
                say(item.tool),
                mould,
            ]
        )
    return out.getvalue()


def load_measured(
    source: str | Path, dimensions: tuple[Critical, ...], *, mould: str = "", chosen: bool = True
) -> dict[str, AnyUnit]:
    """Read measured values of a mould from a file, by code, in mm (the mass in kg).

    Args:
        mould: its name, by ``name_of``; without it the file may be of any.
        chosen: whether a person chose the mould; if not, the file has to say that it is of this one.

    Raises:
        FolderError: the file cannot be read.
        MeasurementError: it is of another mould, or as ``read_measured``.
    """
    return _values(read_csv(source, _FORM), dimensions, str(source), mould, chosen)


_START: Final = "Fill in the column measured of measured.csv, which mouldgeom make writes."
_FORM: Final = Form("MEASURED", "a list of measured values", _START, MeasurementError)
_GIVE_SPEC: Final = (
    "Give the specification of the mould that was measured, spec.toml beside measured.csv, and --with each extension "
    "that it was made with."
)


def read_measured(
    text: str,
    dimensions: tuple[Critical, ...],
    name: str = "measured.csv",
    *,
    mould: str = "",
    chosen: bool = True,
) -> dict[str, AnyUnit]:
    """Read measured values from CSV: comma, semicolon or tab; columns ``code`` and ``measured``, others ignored.

    A decimal comma is read as such; in a file with commas between its cells it has to stand in quotes.

    Raises:
        MeasurementError: the file is of another mould, a row has more or fewer cells than the first line, a column is
            missing, a code unknown or given twice, a value no number, or nothing measured.
    """
    return _values(parse_csv(text, name, _FORM), dimensions, name, mould, chosen)


def _values(
    table: CsvTable, dimensions: tuple[Critical, ...], name: str, mould: str, chosen: bool
) -> dict[str, AnyUnit]:
    known = {item.code: item for item in dimensions}
    rows = _rows(table, name)
    _hold_to(mould, {row["mould"] for _, row in rows if row.get("mould")}, name, chosen)
    found: dict[str, AnyUnit] = {}
    for line, row in rows:
        code, value, where = row["code"], row["measured"], f"{name}, line {line}"
        if not code and not value:
            continue
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


def _rows(table: CsvTable, name: str) -> list[tuple[int, dict[str, str]]]:
    """Number of the line and cells by the titles of their columns, of each row."""
    head, *filled = table.rows
    titles = [cell.lower() for cell in head.cells]
    for column in ("code", "measured"):
        if titles.count(column) != 1:
            limit = f"the first line has no column {column!r}, or two"
            raise MeasurementError(name, shown(table.delimiter.join(head.cells)), limit, _START)
    for row in filled:
        if len(row.cells) != len(titles) or (table.delimiter == "," and _cut(titles, row.cells)):
            raise MeasurementError(
                f"{name}, line {row.line}",
                shown(table.delimiter.join(row.cells)),
                f"{len(row.cells)} cells, the first line has {len(titles)}"
                if len(row.cells) != len(titles)
                else "the value may have been cut at a decimal comma",
                'Write a decimal point, "1,4" in quotes, or semicolons between all cells.',
            )
    return [(row.line, dict(zip(titles, row.cells, strict=True))) for row in filled]


def _cut(titles: Sequence[str], row: Sequence[str]) -> bool:
    """Whether the measured value may have been cut at a decimal comma, its end in a column that is none of ours."""
    after = titles.index("measured") + 1
    if after == len(titles) or titles[after] in COLUMNS:
        return False
    return row[after - 1].lstrip("+-").isdecimal() and row[after].isdecimal()


def _hold_to(mould: str, named: set[str], name: str, chosen: bool) -> None:
    """Refuse a file of another mould, and one that does not say of which where nobody else does."""
    other = sorted(one for one in named if _digest(one) != _digest(mould))
    if mould and other:
        raise MeasurementError(name, other[0], f"another mould than {mould}", _GIVE_SPEC)
    if not named and not chosen:
        raise MeasurementError(name, "no column mould", "it does not say which mould it is of", _GIVE_SPEC)


def _digest(name: str) -> str:
    found = _MOULD.match(name)
    return found[1] if found else name


def _value(text: str, item: Critical, where: str) -> AnyUnit:
    """A number in the row's unit, or a length with a unit of its own."""
    text = text.replace("\N{MINUS SIGN}", "-")
    number = _DECIMAL_COMMA.sub(r"\1.\2", text, count=1) if _DECIMAL_COMMA.match(text) else text
    if _NUMBER.fullmatch(number):
        value = float(number)
    elif item.unit != "mm":
        raise MeasurementError(where, repr(text), f"{item.code} is a number of {item.unit}", "Correct the value.")
    else:
        try:
            value = parse_length(number)
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
