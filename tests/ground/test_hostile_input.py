"""Whatever stands in a file from a person, every reader understands it or refuses it in one line, and soon."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_specs import profile

from mouldgeom import load
from mouldgeom.errors import InputError
from mouldgeom.fabrication.rates import Consumables, Hours, Prices, load_prices, shipped_rates
from mouldgeom.fabrication.stocklist import load_stock
from mouldgeom.filter.asking import FIELDS, TEXTS, read_input
from mouldgeom.filter.sand import read_sieve_csv
from mouldgeom.inspection.critical import critical
from mouldgeom.inspection.measured import load_measured
from mouldgeom.model.assembly import build
from mouldgeom.nesting.two_units import list_text, load_list, stock_fits
from mouldgeom.spec import Spec, groups

pytestmark = pytest.mark.slow

Reader = Callable[[Path], object]
DIMENSIONS = critical(build(load("hill-example")))


def cut_list(path: Path) -> str:
    rows = load_list(path)
    return list_text(rows, stock_fits(rows, 6000.0, 2.0))


TOML_READERS: dict[str, Reader] = {
    "specification": load,
    "size": lambda path: read_input(path, {}),
    "stock list": load_stock,
    "prices": load_prices,
}
CSV_READERS: dict[str, Reader] = {
    "sieve analysis": read_sieve_csv,
    "cut list": cut_list,
    "measured values": lambda path: load_measured(path, DIMENSIONS),
}
LONGEST = 5.0
"""Seconds of work that a reader may take on a slow machine: the bound is for what hangs, not for what is slow."""
LIBRARIES = ("Input should", "permitted", "datetime.", "pydantic", "tomllib", "csv.", "field larger", "Traceback")


def tried(reader: Reader, path: Path, content: bytes | str) -> str:
    """What a reader says to a content: nothing, or its refusal."""
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))
    begun = time.process_time()
    said, single = "", [""]
    try:
        reader(path)
    except InputError as error:
        said = str(error)
        single = [str(one) for one in getattr(error, "errors", ())]
    assert time.process_time() - begun < LONGEST
    assert not [word for word in LIBRARIES if word in said], said
    assert len(said) < (1500 if len(single) <= 1 else 6000)
    assert max(map(len, single), default=0) < 1500
    return said


# ---------------------------------------------------------------- TOML

HOSTILE: dict[str, bytes | str] = {
    "dotted key of 300 kB": "a." * 150_000 + "b = 1\n",
    "dotted keys of 300 kB": "\n".join(f"k{n}." + "a." * 480 + "b = 1" for n in range(300)),
    "dotted keys within every limit": "\n".join(f"k{n}." + "a." * 490 + "b = 1" for n in range(99)),
    "dotted headers within every limit": "\n".join(f"[k{n}." + "a." * 490 + "b]" for n in range(99)),
    "brackets": "x = " + "[\n" * 40_000,
    "braces": "x = " + "{a = " * 190,
    "many tables": "[[sheet]]\n" * 9_000,
    "many offcuts": "[[offcut]]\nsheet = '3 mm'\noutline = [[0, 0], [1, 1], [2, 0]]\n" * 1_000,
    "long line": "title = '" + "x" * 90_000 + "'",
    "endless": b"\n" * 10_000_000,
    "nothing": b"",
    "null": b"\0" * 100,
    "two bytes a letter": "title = 'x'".encode("utf-16"),
    "latin": "title = 'Gef\u00e4lle'".encode("latin-1"),
    "half a letter": "title = 'Gef\u00e4lle'".encode()[:13],
    "surrogate": "title = '\ud800'",
}
VALUES = (
    "9" * 400, "-" + "9" * 400, "0x" + "f" * 400, "1e300", "-1e300", "1e-320", "nan", "inf", "-inf", "true", "false",
    "-0.0", "1979-05-27", "07:32:00", "1979-05-27T07:32:00Z", "[]", "{}", "[[]]", "[{a = 1}]", "{a = 1}", "''", "' '",
    "'x'", "'1/0 in'", f"'{'9' * 400} mm'", f"'{'9' * 400}/7 in'", "'1e999 mm'", "'nan mm'", "'٣ mm'", "'1_0'",
    '"\\u0007"', '"\\u001b[2J"', '"\\u0000"', '"x\\uffff"', '"\\U0001ffff"', '"\\u202e"', '"\\u2028"', '"\\u6c34"',
    "[1, 2, 3]", "[3, 2, 1]", "[1e300, 1e300, 1e300]", f"[{'9' * 400}]", "[1979-05-27]", "[true]", "['x', 1]",
    "[0.0, 1e-320, 1e9]", "1e9", "0", "1", "2.5", "'6 m'", "'3 mm'", "'sheet'",
)  # fmt: skip


ENTRIES = {
    "sheet": {"sheet": "'3 mm'", "width": "1000", "length": "2000"},
    "offcut": {"sheet": "'3 mm'", "outline": "[[0, 0], [900, 0], [0, 900]]"},
    "bar": {"kind": "'rod'", "section": "'12 mm'", "length": "6000"},
}


def keys() -> dict[str, list[str]]:
    """By reader, every dotted name that it knows, and some that it does not."""
    entries = {kind: (*usual, "quantity", "price", "name") for kind, usual in ENTRIES.items()}
    return {
        "specification": [
            *("title", "own", "own.sheet"),
            *(f"{group}.{field}" for group, model in groups() for field in model.model_fields),
        ],
        "size": [*FIELDS, *TEXTS, "falling_head.length", "falling_head"],
        "stock list": [
            *("currency", "own", *ENTRIES),
            *(f"{kind}.{key}" for kind, names in entries.items() for key in names),
        ],
        "prices": [
            *Prices.model_fields,
            *(f"consumable.{key}" for key in Consumables.model_fields),
            *(f"hour.{key}" for key in Hours.model_fields),
            *(f"rates.{key}" for key in shipped_rates()),
            "material.sheet",
            "material.'sheet 3 mm'",
            "fastener.washer",
        ],
    }


KEYS = keys()
WHOLE = {
    "specification": "title = 'x'",
    "size": "charge = 12",
    "stock list": "currency = 'x'",
    "prices": "hour.labour = 1\nhour.cutting = 1",
}
"""A file that each reader understands; other lines are put before it."""


def lines(name: str, pairs: Iterable[tuple[str, str]]) -> str:
    """The file with more lines, some of which take the place of what stands in it."""
    given = dict(pairs)
    whole = "\n".join(line for line in WHOLE[name].splitlines() if line.partition(" = ")[0] not in given)
    if name == "stock list":
        whole = ""
        for kind, usual in ENTRIES.items():
            own = {key.partition(".")[2]: value for key, value in given.items() if key.startswith(f"{kind}.")}
            whole += "\n".join([f"\n[[{kind}]]", *(f"{key} = {value}" for key, value in (usual | own).items())])
        given = {key: value for key, value in given.items() if "." not in key}
    return "\n".join([*(f"{key} = {value}" for key, value in given.items()), whole])


@pytest.mark.parametrize("content", HOSTILE.values(), ids=HOSTILE.keys())
@pytest.mark.parametrize("name", TOML_READERS)
def test_a_hostile_toml_file_is_refused_soon(name: str, content: bytes | str, tmp_path: Path) -> None:
    assert tried(TOML_READERS[name], tmp_path / "hostile.toml", content)


@pytest.mark.parametrize("name", TOML_READERS)
def test_each_hostile_value_in_each_field(name: str, tmp_path: Path) -> None:
    assert not tried(TOML_READERS[name], tmp_path / "whole.toml", WHOLE[name])
    for key in KEYS[name]:
        for value in VALUES:
            said = tried(TOML_READERS[name], tmp_path / "hostile.toml", lines(name, [(key, value)]))
            if value in ('"\\u0007"', '"\\u001b[2J"', '"\\u0000"', '"x\\uffff"', '"\\u202e"', '"\\u2028"'):
                assert "which cannot be printed" in said or "stands there already" in said, (key, value)


@given(st.data())
@profile(200)
@pytest.mark.parametrize("name", TOML_READERS)
def test_any_toml_is_understood_or_refused(
    name: str, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    key = st.one_of(st.sampled_from(KEYS[name]), st.text(max_size=8).map(lambda text: json.dumps(text)))
    number = st.one_of(st.integers().map(str), st.floats().map(str), st.text(max_size=20).map(json.dumps))
    value = st.one_of(st.sampled_from(VALUES), number)
    text = lines(name, data.draw(st.lists(st.tuples(key, value), max_size=4)))
    tried(TOML_READERS[name], tmp_path_factory.getbasetemp() / "any.toml", text)


# ---------------------------------------------------------------- CSV

HEADERS = {
    "sieve analysis": ("opening_mm", "retained_g", "sample_g", "note"),
    "cut list": ("Mark", "Material", "Qty", "Length mm", "Length in"),
    "measured values": ("code", "measured", "unit"),
}
CELLS = (
    "", " ", "1", "1.5", "1,5", "0", "pan", "-1", "1e999", "nan", "9" * 400, "1/0 in", "1/0", "15 1/4", "x", "floor",
    "a\nb", "15\n1/4", "a\r\nb", "\n", "x" * 131_073, "9" * 131_073, "\x1b[2J", "\x07", "\0", "\u202e", "\uffff",
    "٣", "½", "15 ¼ in", "1'" * 400, "x" * 999, "-", "--", "\ud800", "=1+1", '"', ";", "\t", "364", "14 5/16 in",
)  # fmt: skip


def quoted(cell: str, mark: str) -> str:
    """A cell as it stands in the file."""
    return '"' + cell.replace('"', '""') + '"' if mark in cell or {*'"\r\n'} & {*cell} else cell


def table(header: Iterable[str], rows: Iterable[Iterable[str]], mark: str = ",") -> str:
    return "\n".join(mark.join(quoted(cell, mark) for cell in row) for row in (header, *rows)) + "\n"


def hostile_csv(header: tuple[str, ...]) -> dict[str, bytes | str]:
    head = ",".join(header) + "\n"
    return {
        "60 000 rows": head + "".join(f"{10 - n / 6001:.6f},1,1,1,1\n" for n in range(60_000)),
        "rows within every limit": head + "".join(f"{10 - n / 600:.6f},1,1,1,1\n"[:40] for n in range(4_990)),
        "many columns": ",".join(header * 3_000) + "\n" + ",".join("1" * 9_000) + "\n",
        "one cell of 900 kB": head + "x" * 900_000 + "\n",
        "one quoted cell of 900 kB": head + '"' + "x\n" * 450_000 + '"\n',
        "a quotation mark never closed": head + '"' + "1,2\n" * 1_000,
        "quotation marks": head + '"' * 99_999 + "\n",
        "endless": b"\n" * 10_000_000,
        "nothing": b"",
        "blanks": b" ,; \t\n" * 100,
        "null": head.encode() + b"\0" * 100,
        "two bytes a letter": head.encode("utf-16"),
        "any bytes": head.encode() + bytes(range(256)),
        "escape": head + "\x1b]0;x\x07,1\n",
    }


@pytest.mark.parametrize("case", hostile_csv(("a",)))
@pytest.mark.parametrize("name", CSV_READERS)
def test_a_hostile_csv_file_is_refused_soon(name: str, case: str, tmp_path: Path) -> None:
    said = tried(CSV_READERS[name], tmp_path / "hostile.csv", hostile_csv(HEADERS[name])[case])
    assert said or case == "rows within every limit"


@given(st.data())
@profile(300)
@pytest.mark.parametrize("name", CSV_READERS)
def test_any_csv_is_understood_or_refused(
    name: str, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    cell = st.one_of(st.sampled_from(CELLS), st.text(max_size=8), st.floats(0, 400).map(str))
    header = data.draw(st.one_of(st.just(HEADERS[name]), st.permutations(HEADERS[name]), st.lists(cell, max_size=5)))
    rows = data.draw(st.lists(st.lists(cell, min_size=len(header), max_size=len(header)) | st.lists(cell), max_size=6))
    text = table(header, rows, data.draw(st.sampled_from(",;\t")))
    tried(CSV_READERS[name], tmp_path_factory.getbasetemp() / "any.csv", text)


def test_a_line_break_in_a_cell_is_a_blank(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(b'Mark,"Length\r\n(mm)","Length\n(in)"\na,387,"15\n1/4"\n')
    (row,) = load_list(path)
    assert row.pairs[0].agrees


def test_every_field_is_tried() -> None:
    assert {name.partition(".")[0] for name in KEYS["specification"]} == set(Spec.model_fields)
    with suppress(InputError):
        assert set(HEADERS) == set(CSV_READERS)
