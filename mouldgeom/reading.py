"""Reads the files that a person gives: one reader for TOML and one for CSV, each with one set of limits.

``Form`` says what a file is and which error tells of its faults.  ``read_toml`` and ``read_csv`` take a file,
``parse_toml`` and ``parse_csv`` its text; every text in it has passed ``letters.seen``.  ``as_length`` and
``as_number`` read single values, ``reason`` puts a finding of the validation library into the words of this program,
``shown`` writes a value as a person would know it again, and ``nearest`` finds the name that may be meant.
"""

from __future__ import annotations

import csv
import difflib
import io
import math
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time
from os import PathLike, fspath
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from mouldgeom.errors import FolderError, InputError
from mouldgeom.letters import seen, without_unseen
from mouldgeom.units import AnyUnit, Mm, Ratio, parse_length, plain

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

LARGEST_TOML: Final = 100_000
LARGEST_CSV: Final = 1_000_000
"""Bytes of the largest files that are read."""
WIDEST: Final = 1_000
"""Characters of the longest line of TOML and the longest cell of CSV: reading a key of TOML takes the square of its
length in time and memory."""
MOST_ROWS: Final = 5_000
MOST_COLUMNS: Final = 100
"""Rows and columns of the largest table."""


@dataclass(frozen=True, slots=True)
class Form:
    """A kind of file that a person fills in.

    Args:
        option: what it is given as, such as ``"--stock"``.
        what: it is, such as ``"a stock list"``.
        remedy: what to do where it cannot be used.
        fault: the error that tells so.
        unread: what to do where there is no such file to be read; ``remedy`` if empty.
    """

    option: str
    what: str
    remedy: str
    fault: type[InputError] = InputError
    unread: str = ""


@dataclass(frozen=True, slots=True)
class CsvRow:
    """A row of a table: the number of its line in the file, and its cells without blanks around them."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CsvTable:
    """A table from a CSV file: what parts its cells, and the rows that are not empty, the first of them the header."""

    delimiter: str
    rows: tuple[CsvRow, ...]


class Unseen(NamedTuple):
    """A text that holds a character that cannot be printed: where it stands, the text, and what is wrong with it."""

    where: str
    text: str
    cause: str


def read_toml(source: str | Path, form: Form, unseen: list[Unseen] | None = None) -> dict[str, Any]:
    """Read a TOML file; ``unseen`` as for ``parse_toml``.

    Raises:
        FolderError: it cannot be read.
        InputError: it is too large, empty, no text, or as ``parse_toml``; of the kind ``form.fault``.
    """
    content = _content(source, form, LARGEST_TOML, "TOML")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        limit = f"{form.what} is TOML in UTF-8"
        raise form.fault(str(source), "a file that is no text", limit, form.remedy) from error
    data = parse_toml(text, str(source), form, unseen)
    if not data:
        raise form.fault(str(source), "an empty file", f"{form.what} has at least one line", form.remedy)
    return data


def parse_toml(text: str, name: str, form: Form, unseen: list[Unseen] | None = None) -> dict[str, Any]:
    """Read TOML text that came as ``name``.

    Args:
        text: of the file.
        name: by which a person knows it.
        form: what it is.
        unseen: takes the texts with a character that cannot be printed, which are read without it; nothing: refused.

    Raises:
        InputError: it is no TOML, a line is too long, or a text in it holds a character that cannot be printed.
    """
    for number, line in enumerate(text.splitlines(), 1):
        if len(line) > WIDEST and not line.lstrip().startswith("#"):
            raise form.fault(name, "not TOML", f"line {number} is longer than {WIDEST} characters", form.remedy)
    try:
        data = tomllib.loads(text)
    except RecursionError as error:
        raise form.fault(name, "not TOML", "nested too deep", form.remedy) from error
    except ValueError as error:
        raise form.fault(name, "not TOML", _toml_fault(str(error)), form.remedy) from error
    for where, table, key in _texts(data):
        try:
            seen(table[key])
        except ValueError as error:
            if unseen is None:
                raise form.fault(where, repr(table[key]), str(error), "Take it out.") from error
            unseen.append(Unseen(where, table[key], str(error)))
            table[key] = without_unseen(table[key])
    return data


def _texts(data: dict[str, Any]) -> Iterator[tuple[str, Any, Any]]:
    """Every text in a table in its order, however deep: where, the table or list that it is in, and its key there."""
    todo: list[tuple[str, Any, Any]] = [("", {"": data}, "")]
    while todo:
        where, table, key = todo.pop()
        value = table[key]
        if isinstance(value, dict):
            todo += [(f"{where}.{name}" if where else name, value, name) for name in reversed(value)]
        elif isinstance(value, list):
            todo += [(f"{where}, {place + 1}", value, place) for place in reversed(range(len(value)))]
        elif isinstance(value, str):
            yield where, table, key


_TOML_FAULTS: Final = (
    ("twice|overwrite|redefine|mutate|Duplicate", "a name that stands there already"),
    ("Untermin|Unclosed|at the end of", "a quotation mark or a bracket is not closed"),
    ("Unescaped", "a backslash: write it twice, or put the text in single quotes"),
    ("character", "a character that may not stand there"),
    ("date", "no such date"),
    ("value", "no value: text stands in quotes, a number without its unit"),
)
"""What the library's findings say, by a word of theirs."""


def _toml_fault(message: str) -> str:
    place = re.search(r"line (\d+), column (\d+)", message)
    at = f"line {place[1]}, column {place[2]}: " if place else "at its end: "
    lines = "lines such as name = value, and [group] above them, are wanted"
    return at + next((words for found, words in _TOML_FAULTS if re.search(found, message)), lines)


def read_csv(source: str | Path, form: Form) -> CsvTable:
    """Read a CSV file: UTF-8, or the code page of western spreadsheets.

    Raises:
        FolderError: it cannot be read.
        InputError: it is too large, no text, or as ``parse_csv``; of the kind ``form.fault``.
    """
    content = _content(source, form, LARGEST_CSV, "CSV")
    if b"\0" in content:
        raise form.fault(str(source), "a file that is no text", f"{form.what} is CSV in UTF-8", form.remedy)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
    return parse_csv(text, str(source), form)


def parse_csv(text: str, name: str, form: Form) -> CsvTable:
    """Read CSV text that came as ``name``: comma, semicolon or tab; a line break inside a cell is read as a blank.

    Raises:
        InputError: it is no CSV, empty, too long, or holds a character that cannot be printed.
    """
    for number, line in enumerate(re.split("\r\n|\n|\r", text), 1):
        try:
            seen(line.replace("\t", " "))
        except ValueError as error:
            raise form.fault(f"{name}, line {number}", repr(line), str(error), "Take it out.") from error
    first = next((line for line in text.splitlines() if line.strip(" ,;\t")), "")
    delimiter = max(",;\t", key=re.sub('"[^"]*"', "", first).count)
    rows: list[CsvRow] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for cells in reader:
            row = CsvRow(reader.line_num, tuple(" ".join(re.split("[\r\n\t]+", cell.strip())) for cell in cells))
            if any(row.cells):
                rows.append(row)
                _measure(rows, name, form)
    except csv.Error as error:
        limit = "it is no CSV: a quotation mark that is not closed, or stands inside a cell"
        raise form.fault(f"{name}, line {reader.line_num}", "not CSV", limit, form.remedy) from error
    if not rows:
        raise form.fault(name, "empty", f"{form.what} has a line of column names and lines below it", form.remedy)
    return CsvTable(delimiter, tuple(rows))


def _measure(rows: list[CsvRow], name: str, form: Form) -> None:
    """Refuse a table as soon as it grows too large."""
    row = rows[-1]
    for size, most, what in (
        (len(rows), MOST_ROWS, "rows"),
        (len(row.cells), MOST_COLUMNS, "columns"),
        (max(len(cell) for cell in row.cells), WIDEST, "characters in a cell"),
    ):
        if size > most:
            limit = f"{form.what} has at most {most} {what}"
            raise form.fault(f"{name}, line {row.line}", f"{size} {what}", limit, form.remedy)


def _content(source: str | Path, form: Form, largest: int, language: str) -> bytes:
    """The bytes of a file, of a larger one than is wanted never more than one too many."""
    try:
        with Path(source).open("rb") as file:
            content = file.read(largest + 1)
    except (OSError, ValueError) as error:
        cause = getattr(error, "strerror", None) or str(error)
        limit = f"the file cannot be read ({cause})"
        raise FolderError(form.option, repr(str(source)), limit, form.unread or form.remedy) from error
    if len(content) > largest:
        size = f"{largest // 1000} kB" if largest < 1_000_000 else f"{largest // 1_000_000} MB"
        limit = f"{form.what} is a few kilobytes of {language}"
        raise form.fault(str(source), f"a file over {size}", limit, form.remedy)
    return content


# ---------------------------------------------------------------- single values


def as_number(value: object) -> AnyUnit:
    """A number as TOML has it, and none of its other kinds of value.

    Raises:
        ValueError: it is no number, or has more than fifteen digits.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("a number without quotes is wanted")
    if isinstance(value, int) and abs(value) > 10**15:
        raise ValueError("the number is too large")
    return float(value)


def as_length(value: object) -> Mm:
    """A length: a number of millimetres, or text with a unit.

    Raises:
        ValueError: it is neither.
    """
    if isinstance(value, bool):
        raise ValueError("true and false are no lengths")
    if not isinstance(value, int | float | str):
        raise ValueError('a length is wanted: a number of millimetres, or text with a unit such as "1/8 in"')
    return parse_length(value) if isinstance(value, str) else as_number(value)


def check_given(options: Mapping[str, object], places: Mapping[str, str]) -> None:
    """Refuse texts on a command line that are empty, or hold what cannot be printed.

    Args:
        options: what was given, by name.
        places: names of those that are given by their place, and what they are called.

    Raises:
        InputError: there is such a text.

    >>> check_given({"out": "package", "moulds": 2}, {})
    """
    for key, given in options.items():
        name = places.get(key, "--" + key.replace("_", "-"))
        for text in [given] if isinstance(given, str) else given if isinstance(given, list) else ():
            if not text.strip():
                raise InputError(name, repr(text), "it is empty", "Give a value, or leave it out.")
            try:
                seen(text)
            except ValueError as error:
                raise InputError(name, repr(text), str(error), "Choose another.") from error


def path_given(name: str, given: object, remedy: str = "Give it as text or a Path.") -> Path:
    """The path that is meant.

    Raises:
        InputError: something other than text or a path of text.
    """
    if not isinstance(given, str | PathLike) or not isinstance(fspath(given), str):
        raise InputError(name, shown(given), "a path is wanted, as text or a Path", remedy)
    return Path(given)


def length_given(name: str, text: str, least: Mm) -> Mm:
    """A length of the command line: millimetres, or text with a unit.

    Raises:
        InputError: it is neither, below ``least``, or 1000 m and more.
    """
    try:
        value = parse_length(text) if not text.replace(".", "", 1).isdigit() else float(text)
    except ValueError as error:
        raise InputError(name, repr(text), str(error), "Give millimetres, or text with a unit.") from error
    if not least <= value < 1e6:
        raise InputError(name, repr(text), f"allowed is {plain(least)} mm to 1000 m", "Choose another length.")
    return value


def shown(value: object, unit: str = "-") -> str:
    """Write a value of whatever kind as a person would know it again, in at most 60 characters."""
    try:
        if isinstance(value, int | float) and not isinstance(value, bool):
            return f"{value:g} {unit}".rstrip(" -") if math.isfinite(value) else str(value)
        return short(_written(value))
    except (OverflowError, ValueError):
        return "a value too large to be shown"


def _written(value: object, depth: int = 0) -> str:
    if depth > 3 and isinstance(value, list | tuple | Mapping):
        return "..."
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, list | tuple):
        return f"[{', '.join(_written(item, depth + 1) for item in value)}]"
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key!r}: {_written(item, depth + 1)}" for key, item in value.items()) + "}"
    return repr(value)


def short(text: str) -> str:
    """The text, or its first 57 characters and three dots."""
    return text if len(text) <= 60 else text[:57] + "..."


def reason(finding: ErrorDetails) -> str:
    """What is wrong with a value that the validation library found a fault in, in the words of this program."""
    context: dict[str, Any] = dict(finding.get("ctx", {}))
    for bound in {"ge", "le"} & context.keys():
        context[bound] = plain(context[bound])
    return _REASONS.get(finding["type"], "this cannot be used here").format(**context)


_TABLE: Final = "a table of fields is wanted"
_REASONS: Final = {
    "value_error": "{error}",
    "missing": "this is needed",
    "invalid_key": "the name of a field is text",
    "json_invalid": "it is no JSON",
    "extra_forbidden": "unknown key",
    "string_type": "a string is wanted: text in quotes",
    "string_too_short": "at least {min_length} character",
    "string_too_long": "at most {max_length} characters",
    "literal_error": "wanted is {expected}",
    "enum": "wanted is {expected}",
    "bool_type": "true or false is wanted",
    "int_type": "a whole number is wanted",
    "int_from_float": "a whole number is wanted",
    "finite_number": "a number that is not finite cannot be used",
    "greater_than_equal": "allowed is {ge} or more",
    "less_than_equal": "allowed is {le} or less",
    "list_type": "a list in square brackets is wanted",
    "tuple_type": "a list in square brackets is wanted",
    "too_short": "at least {min_length} entries",
    "too_long": "at most {max_length} entries",
    "dict_type": _TABLE,
    "model_type": _TABLE,
}


# ---------------------------------------------------------------- names


def nearest(word: str, known: Iterable[str], own: Iterable[str] = ()) -> str | None:
    """The known name that a person may have meant, or ``None`` where none is near.

    Near is a name that is spelt alike, and one of which the word gives whole words or their beginnings:
    ``hoist`` for ``hoist_capacity``.

    Args:
        word: as the person wrote it.
        known: names to choose from.
        own: those of them that are rather meant, where two are as near.
    """
    rather = set(own)
    ranked = [(_likeness(_folded(word), name) + 0.1 * (name in rather), name) for name in known]
    best = max(ranked, key=lambda item: item[0], default=(0.0, ""))
    return best[1] if best[0] >= _NEAR else None


_NEAR: Final[Ratio] = 0.6


def _folded(text: str) -> str:
    return re.sub(r"[\s_-]+", " ", text.casefold()).strip()


def _likeness(word: str, name: str) -> Ratio:
    plain_name = _folded(name)
    parts = plain_name.split()
    if len(word) >= 3 and all(any(part.startswith(w) for part in parts) for w in word.split()):
        return 0.85 + 0.1 * len(word) / len(plain_name)
    return difflib.SequenceMatcher(None, word, plain_name).ratio()


def meant(word: str, known: Iterable[str], otherwise: str) -> str:
    """The remedy for a name that is not known: the name that may be meant, or ``otherwise``."""
    near = nearest(word, known)
    return otherwise if near is None else f"Did you mean {near}?"
