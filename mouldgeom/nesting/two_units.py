"""A reader for cut lists that give lengths in millimetres and in inches: pairs that disagree, pieces that do not fit.

Printed lists hold both faults.  A list is CSV from anywhere: comma, semicolon or tab; the columns are found by their
headers (``Length mm`` beside ``Length in``), or one column holds both (``387 mm (15 1/4 in)``).
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from mouldgeom.errors import MeasurementError
from mouldgeom.nesting.bar_fit import fits_bars, greatest_kerf
from mouldgeom.reading import CsvTable, Form, parse_csv, read_csv
from mouldgeom.units import MM_PER_INCH, Mm, inch_fraction, parse_length, plain, told_apart

_FORM: Final = Form("FILE", "a cut list", "Give a CSV file with a header and rows.", MeasurementError)
_MOST_PIECES: Final = 5000
_EPS: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Columns:
    """Headers of the columns to read; what is ``None`` is found by the usual words."""

    mm: str | None = None
    inch: str | None = None
    quantity: str | None = None
    material: str | None = None
    label: str | None = None


@dataclass(frozen=True, slots=True)
class Pair:
    """One length in both units; ``inch_mm`` is what the inches are in millimetres."""

    column: str
    mm: Mm
    inch: str
    inch_mm: Mm

    @property
    def agrees(self) -> bool:
        """Whether one is the other to the nearest 1/16 in."""
        return agree(self.mm, self.inch_mm)


@dataclass(frozen=True, slots=True)
class ListRow:
    """One row of the list: where it stands, what it is called, how many, of what, and its lengths."""

    line: int
    label: str
    quantity: int
    material: str
    pairs: tuple[Pair, ...]
    length: Mm | None


@dataclass(frozen=True, slots=True)
class StockFit:
    """Whether all pieces of one material come out of ``bars`` lengths of stock.

    ``fits`` is ``None`` where that could not be decided; ``greatest_kerf`` is the widest kerf that still fits, worked
    out for one bar only; ``too_long`` are the pieces longer than the stock.
    """

    material: str
    pieces: int
    together: Mm
    stock_length: Mm
    kerf: Mm
    bars: int
    fits: bool | None
    greatest_kerf: Mm | None
    too_long: tuple[str, ...]


def agree(length: Mm, inch_length: Mm, denominator: int = 16) -> bool:
    """Whether two lengths are one length, the one rounded from the other to the nearest fraction of an inch.

    Source: shop practice, fractions to 1/16 in: at most 1/32 in (0.794 mm) apart.
    """
    return abs(length - inch_length) <= MM_PER_INCH / denominator / 2 + _EPS


# ---------------------------------------------------------------- reading


def load_list(source: str | Path, columns: Columns | None = None) -> tuple[ListRow, ...]:
    """Read a list from a file.

    Raises:
        FolderError: the file cannot be read.
        MeasurementError: as ``read_list``.
    """
    return _rows(read_csv(source, _FORM), columns)


def read_list(text: str, columns: Columns | None = None) -> tuple[ListRow, ...]:
    """Read a list from CSV text; rows without any length are headings or sums, and are passed over.

    Raises:
        MeasurementError: no rows, no such column, no columns with lengths in both units, or a cell that cannot be read.
    """
    return _rows(parse_csv(text, "the list", _FORM), columns)


def _rows(table: CsvTable, columns: Columns | None) -> tuple[ListRow, ...]:
    header, *body = table.rows
    if not body:
        raise _fault("the list", "1 row", "a header and at least one row are wanted", "Check the file.")
    plan = _plan(header.cells, [row.cells for row in body], columns or Columns())
    rows = [row for line in body if (row := _row(line.line, line.cells, header.cells, plan)) is not None]
    if not rows:
        raise _fault("the list", "no row with a length", "a list has rows with lengths", "Check the file.")
    return tuple(rows)


def _fault(name: str, value: str, limit: str, remedy: str) -> MeasurementError:
    return MeasurementError(name, value, limit, remedy)


@dataclass(frozen=True, slots=True)
class _Plan:
    pairs: tuple[tuple[str, int, int], ...]
    quantity: int | None
    material: int | None
    label: int | None
    length: int


_UNIT_AT_END: Final = re.compile(
    r"^(.*?)[\s_(\[/,.-]*(mm|millimet(?:re|er)s?|in|inch|inches|\"|\u2033)[\s)\].]*$", re.I
)
_USUAL: Final = {
    "quantity": ("quantity", "qty", "qty.", "pcs", "pieces", "count", "number", "no", "no.", "nr", "nr."),
    "material": ("material", "section", "profile", "stock"),
    "label": ("mark", "name", "part", "item", "description"),
}


def _plan(header: Sequence[str], body: Sequence[Sequence[str]], wanted: Columns) -> _Plan:
    found = {name: _find(header, getattr(wanted, name), words) for name, words in _USUAL.items()}
    pairs = _given(header, wanted) or _by_header(header) or _by_cells(header, body)
    if not pairs:
        raise _fault(
            "the list",
            f"columns {', '.join(header)[:80]}",
            "no two columns hold the same length in mm and in inches, and no column holds both",
            "Name them with --mm HEADER --inch HEADER.",
        )
    length = next((i for i, (title, _, _) in enumerate(pairs) if "length" in title.casefold()), 0)
    return _Plan(tuple(pairs), found["quantity"], found["material"], found["label"], length)


def _find(header: Sequence[str], name: str | None, words: Sequence[str] = ()) -> int | None:
    folded = [title.casefold() for title in header]
    if name is not None:
        if name.strip().casefold() not in folded:
            raise _fault("column", repr(name), f"the list has {', '.join(header)[:120]}", "Choose one of these.")
        return folded.index(name.strip().casefold())
    return next((folded.index(word) for word in words if word in folded), None)


def _given(header: Sequence[str], wanted: Columns) -> list[tuple[str, int, int]]:
    if wanted.mm is None and wanted.inch is None:
        return []
    mm, inch = _find(header, wanted.mm or wanted.inch), _find(header, wanted.inch or wanted.mm)
    assert mm is not None
    assert inch is not None
    return [(header[mm], mm, inch)]


def _by_header(header: Sequence[str]) -> list[tuple[str, int, int]]:
    by_unit: dict[str, dict[str, int]] = {"mm": {}, "in": {}}
    for index, title in enumerate(header):
        match = _UNIT_AT_END.match(title)
        if match:
            stem = re.sub(r"[\s_]+", " ", match[1]).strip(" -,/").casefold()
            by_unit["mm" if match[2].casefold().startswith("m") else "in"].setdefault(stem, index)
    return [
        (stem or "length", index, by_unit["in"][stem]) for stem, index in by_unit["mm"].items() if stem in by_unit["in"]
    ]


def _by_cells(header: Sequence[str], body: Sequence[Sequence[str]]) -> list[tuple[str, int, int]]:
    columns = [i for i in range(len(header)) if any(i < len(cells) and _both(cells[i]) for cells in body)]
    return [(header[i], i, i) for i in columns]


_NUMBER: Final = r"\d[\d\s.,/\u2044\u00bc-\u00be\u2150-\u215e'\u2032-]*?"
_SIZES: Final = rf"{_NUMBER}(?:\s*[x\u00d7]\s*{_NUMBER})*"
_MM_PART: Final = re.compile(rf"({_SIZES})\s*mm\b", re.I)
_INCH_PART: Final = re.compile(rf"({_SIZES})\s*(?:inch(?:es)?\b|in\b|\"|\u2033|'')", re.I)


def _both(cell: str) -> tuple[str, str] | None:
    """Millimetres and inches of a cell that holds both."""
    mm = _MM_PART.search(cell)
    rest = cell[: mm.start()] + " | " + cell[mm.end() :] if mm else ""
    inch = _INCH_PART.search(rest)
    return (mm[1], inch[1]) if mm and inch else None


def _row(line: int, cells: Sequence[str], header: Sequence[str], plan: _Plan) -> ListRow | None:
    def cell(index: int | None) -> str:
        return cells[index] if index is not None and index < len(cells) else ""

    pairs: list[Pair] = []
    lengths: list[Mm | None] = []
    for title, mm_index, inch_index in plan.pairs:
        mm_text, inch_text = cell(mm_index), cell(inch_index)
        if mm_index == inch_index:
            both = _both(mm_text)
            mm_text, inch_text = both or ("", "")
        mms = [_mm(part, f"line {line}, {title}") for part in _split(mm_text)]
        inches = [(part, _inches(part, f"line {line}, {title}")) for part in _split(inch_text)]
        if mms and inches and len(mms) != len(inches):
            value = f"{mm_text} / {inch_text}"
            raise _fault(
                f"line {line}, {title}", value, "one unit has more numbers than the other", "Correct the list."
            )
        pairs += [Pair(title, mm, part, inch) for mm, (part, inch) in zip(mms, inches, strict=False)]
        lengths.append(max(mms or [inch for _, inch in inches], default=None))
    if all(length is None for length in lengths):
        return None
    label = cell(plan.label) or f"line {line}"
    quantity = _quantity(cell(plan.quantity), line) if plan.quantity is not None else 1
    return ListRow(line, label, quantity, cell(plan.material), tuple(pairs), lengths[plan.length])


def _quantity(text: str, line: int) -> int:
    match = re.fullmatch(r"(\d{1,6})(?:[.,]0*)?\s*(?:x|pcs\.?|pieces|off)?", text.strip(), re.I)
    if match is None:
        raise _fault(f"line {line}, quantity", repr(text), "a whole number is wanted", "Correct the list.")
    return int(match[1])


def _split(text: str) -> list[str]:
    parts = [part.strip() for part in re.split(r"(?<![a-z])x(?![a-z])|\u00d7", text, flags=re.I)]
    return [] if text in {"", "-", "\u2013", "\u2014"} else parts


def _mm(text: str, where: str) -> Mm:
    """Millimetres; a comma before exactly three digits at the end groups thousands, any other is a decimal comma."""
    tidy = re.sub(r"\s*(?:mm|millimet(?:re|er)s?)\.?$", "", text.strip(), flags=re.I).replace(" ", "")
    tidy = re.sub(r",(?=\d{3}(?:\D|$))", "", tidy).replace(",", ".")
    if not re.fullmatch(r"\d{1,9}(?:\.\d*)?|\.\d+", tidy):
        raise _fault(where, repr(text), "this is no length in millimetres", "Correct the list, or name the column.")
    return float(tidy)


def parse_inches(text: str) -> Mm:
    """Inches as a list prints them, in millimetres: ``15 1/4``, ``15-1/4"``, ``15.25 in``, ``1' 3 1/4"``, ``15\u00bc``.

    What stands in brackets behind them, as ``15 1/4 in (387.35)``, is passed over.

    Raises:
        ValueError: it is none of these.
    """
    text = re.sub(r"\s*\([\d.,\s]*(?:mm)?\)\s*$", "", text)
    tidy = "".join(f" {unicodedata.normalize('NFKC', c)}" if unicodedata.category(c) == "No" else c for c in text)
    tidy = tidy.replace("\u2044", "/").replace("\u2033", '"').replace("\u2032", "'").replace("''", '"').strip()
    match = re.fullmatch(
        r"(?:(\d+(?:\.\d+)?)\s*(?:'|ft\.?|feet|foot)\s*-?\s*)?(.*?)\s*(?:inch(?:es)?|in\.?|\")?", tidy, re.I
    )
    assert match is not None
    feet, inches = match[1], match[2].strip()
    if not feet and not inches:
        raise ValueError("no number")
    total = 12 * MM_PER_INCH * float(feet) if feet else 0.0
    return total + (parse_length(f"{inches.replace(',', '.')} in") if inches else 0.0)


def _inches(text: str, where: str) -> Mm:
    try:
        value = parse_inches(text)
    except ValueError as error:
        raise _fault(
            where, repr(text), "this is no length in inches", "Correct the list, or name the column."
        ) from error
    if value < 0:
        raise _fault(where, repr(text), "a length is not below zero", "Correct the list.")
    return value


# ---------------------------------------------------------------- findings


def disagreements(rows: Iterable[ListRow]) -> tuple[tuple[ListRow, Pair], ...]:
    """Pairs of which neither is the other to the nearest 1/16 in."""
    return tuple((row, pair) for row in rows for pair in row.pairs if not pair.agrees)


def stock_fits(
    rows: Iterable[ListRow], stock_length: Mm, kerf: Mm, bars: int = 1, material: str | None = None
) -> tuple[StockFit, ...]:
    """For each material of the list, whether its pieces come out of so many bars; ``material``: only those with it.

    Raises:
        MeasurementError: no row has that material, or there are too many pieces.
    """
    groups: dict[str, list[tuple[str, Mm]]] = {}
    for row in rows:
        if row.length is not None and (material is None or material.casefold() in row.material.casefold()):
            groups.setdefault(row.material, []).extend([(row.label, row.length)] * min(row.quantity, _MOST_PIECES + 1))
    if not groups:
        raise _fault("--material", repr(material), "no row of the list has it", "Choose another, or leave it out.")
    out = []
    for name, pieces in groups.items():
        if len(pieces) > _MOST_PIECES:
            raise _fault("the list", f"{len(pieces)} pieces", f"at most {_MOST_PIECES} are handled", "Split it.")
        lengths = [length for _, length in pieces]
        long = dict.fromkeys(label for label, length in pieces if length > stock_length + _EPS)
        widest = greatest_kerf(lengths, stock_length) if bars == 1 else None
        fits = fits_bars(lengths, stock_length, kerf, bars)
        out.append(StockFit(name, len(pieces), sum(lengths), stock_length, kerf, bars, fits, widest, tuple(long)))
    return tuple(out)


def list_text(rows: Sequence[ListRow], fits: Sequence[StockFit] = ()) -> str:
    """The findings in words, one a line."""
    bad = disagreements(rows)
    count = sum(len(row.pairs) for row in rows)
    out = [f"{len(rows)} rows, {count} lengths in both units: {len(bad) or 'none'} disagree beyond 1/16 in."]
    for row, pair in bad:
        out.append(
            f"line {row.line}, {row.label}, {pair.column}: {plain(pair.mm)} mm is {inch_fraction(pair.mm)}; "
            f"the list says {pair.inch}, which is {plain(pair.inch_mm, 2)} mm ({pair.inch_mm - pair.mm:+.1f} mm)"
        )
    return "\n".join([*out, *(_fit_text(fit) for fit in fits)])


def _fit_text(fit: StockFit) -> str:
    bars = "one length" if fit.bars == 1 else f"{fit.bars} lengths"
    name = f"{fit.material}: " if fit.material else ""
    together, length = told_apart(
        fit.together, fit.stock_length, fit.fits is not False, lambda value, more: plain(value, 1 + more)
    )
    head = f"{name}{fit.pieces} {'piece' if fit.pieces == 1 else 'pieces'}, {together} mm together,"
    stock = f"{bars} of {length} mm with a kerf of {plain(fit.kerf, 2)} mm"
    if fit.fits is None:
        return f"{head} may or may not come out of {stock}: not decided"
    verdict = "come out of" if fit.fits else "do NOT come out of"
    tail = ""
    if fit.too_long:
        tail = f"; longer than the stock: {', '.join(fit.too_long)}"
    elif fit.bars == 1:
        few = fit.greatest_kerf is None or math.isinf(fit.greatest_kerf)
        tail = "" if few and fit.fits else "; not even without kerf"
        if fit.greatest_kerf is not None and not few:
            tail = f"; the kerf may be {math.floor(fit.greatest_kerf * 100) / 100:g} mm at most"
    return f"{head} {verdict} {stock}{tail}"


def list_record(rows: Sequence[ListRow], fits: Sequence[StockFit] = ()) -> dict[str, Any]:
    """The findings as a plain document."""
    bad = disagreements(rows)
    return {
        "rows": len(rows),
        "pairs": sum(len(row.pairs) for row in rows),
        "agree": not bad,
        "fit": all(fit.fits is True for fit in fits),
        "disagreements": [
            {
                "line": row.line,
                "label": row.label,
                "column": pair.column,
                "length_mm": pair.mm,
                "inches": pair.inch,
                "inches_as_mm": round(pair.inch_mm, 4),
                "nearest_inches": inch_fraction(pair.mm),
            }
            for row, pair in bad
        ],
        "stock": [
            {
                "material": fit.material,
                "pieces": fit.pieces,
                "together_mm": round(fit.together, 4),
                "stock_length_mm": round(fit.stock_length, 4),
                "kerf_mm": fit.kerf,
                "bars": fit.bars,
                "fits": fit.fits,
                "greatest_kerf_mm": None
                if fit.greatest_kerf is None or math.isinf(fit.greatest_kerf)
                else round(fit.greatest_kerf, 4),
                "too_long": list(fit.too_long),
            }
            for fit in fits
        ],
    }
