"""The reader for lists in two units: ways of writing, pairs that disagree, pieces that do not fit."""

from __future__ import annotations

import itertools
import json
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom.cli import main
from mouldgeom.errors import FolderError, MeasurementError
from mouldgeom.nesting.bar_fit import fits_bars, greatest_kerf
from mouldgeom.nesting.two_units import (
    Columns,
    agree,
    list_text,
    load_list,
    parse_inches,
    read_list,
    stock_fits,
)
from mouldgeom.units import inch_fraction

LIST = """Mark;Material;Qty;Length (mm);Length (in)
a;tube 40;5;89;3 1/2
b;tube 40;4;57;2 1/4
c;tube 40;2;175;6 7/8
d;tube 40;1;387;15 1/4
e;rod;4;152;6
f;bolt;1;140;5 1/4
"""


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("15 1/4", 387.35),
        ("15-1/4", 387.35),
        ("15 1/4 in", 387.35),
        ('15 1/4"', 387.35),
        ("15\u00bc", 387.35),
        ("15 \u00bc\u2033", 387.35),
        ("\u00be", 19.05),
        ("15.25 inches", 387.35),
        ("15,25", 387.35),
        ("1' 3 1/4\"", 387.35),
        ("1 ft 3-1/4 in", 387.35),
        ("1\u2032 3\u00bc\u2033", 387.35),
        ("2'", 609.6),
        ("7/8", 22.225),
        ("3 1\u20442", 88.9),
        ("15 1/4 in (387.35)", 387.35),
        ("0", 0.0),
    ],
)
def test_ways_to_write_inches(text: str, mm: float) -> None:
    assert parse_inches(text) == pytest.approx(mm)


@pytest.mark.parametrize("text", ["", "in", "x", "1/0", "3 mm", "1//2", "5 1/4 1/8"])
def test_what_is_no_inches(text: str) -> None:
    with pytest.raises(ValueError, match=r".+"):
        parse_inches(text)


@given(st.floats(0.5, 6000))
def test_a_length_agrees_with_its_own_fraction(length: float) -> None:
    assert agree(length, parse_inches(inch_fraction(length)))
    assert not agree(length, parse_inches(inch_fraction(length)) + 25.4 / 16 + 0.01)


@pytest.mark.parametrize(
    ("head", "cells"),
    [
        ("mark,length_mm,length_in", "a,387,15 1/4"),
        ("mark;Length (mm);Length (in)", "a;387,0;15 1/4"),
        ('mark\tLength [mm]\tLength ["]', "a\t387.0\t15 1/4"),
        ("mark,mm,inches", "a,387 mm,15.25"),
        ("mark,millimetres,inch", "a,387,15 1/4 in"),
        ("mark,size", "a,387 mm (15 1/4 in)"),
        ("mark,size", 'a,"15 1/4"" / 387 mm"'),
        ("mark,cut mm,drawing,cut in", "a,387,x,15-1/4"),
    ],
)
def test_columns_are_found(head: str, cells: str) -> None:
    (row,) = read_list(f"{head}\n{cells}\n")
    (pair,) = row.pairs
    assert (pair.mm, pair.inch_mm) == (387.0, pytest.approx(387.35))
    assert row.label == "a"
    assert pair.agrees


def test_two_sides_in_one_cell() -> None:
    (row,) = read_list('part,size\np,"450 x 886 mm (17 11/16 x 34 7/8 in)"\n')
    assert [(pair.mm, pair.agrees) for pair in row.pairs] == [(450, True), (886, True)]
    assert row.length == 886


def test_columns_can_be_named() -> None:
    text = "what,saw to,old list,n\na,387,15 1/4,3\n"
    with pytest.raises(MeasurementError, match=r"--mm HEADER --inch HEADER"):
        read_list(text)
    (row,) = read_list(text, Columns(mm="Saw to", inch="old list", quantity="n", label="what"))
    assert (row.quantity, row.label, row.pairs[0].mm) == (3, "a", 387)
    with pytest.raises(MeasurementError, match="saw to, old list"):
        read_list(text, Columns(mm="sawn"))


def test_thousands_and_decimal_commas() -> None:
    rows = read_list('mark,mm,in\na,"1,435",56 1/2\n')
    assert rows[0].pairs[0].mm == 1435
    rows = read_list("mark;mm;in\na;387,4;15 1/4\n")
    assert rows[0].pairs[0].mm == 387.4


def test_headings_sums_and_empty_lines_are_passed_over() -> None:
    rows = read_list("\n\nmark,mm,in\n\nTUBES,,\na,387,15 1/4\nsum,,\nb,-,6 7/8\n")
    assert [(row.line, row.label) for row in rows] == [(6, "a"), (8, "b")]
    assert rows[1].pairs == ()
    assert rows[1].length == pytest.approx(174.625)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "a header"),
        ("mark,mm,in\n", "a header"),
        ("mark,mm,in\na,x387,15\n", "line 2, length"),
        ("mark,mm,in\na,387,fifteen\n", "inches"),
        ("mark,mm,in\na,387,-15\n", "below zero"),
        ("mark,mm,in,qty\na,387,15 1/4,many\n", "whole number"),
        ("mark,mm,in\na,387 x 2,15 1/4\n", "one unit has more numbers"),
        ('mark,mm,in\n"a,387,15\n', "not closed"),
        ("mark,mm,in\na,,\n", "no row with a length"),
        ("mark,length\na,387\n", "no column holds both"),
    ],
)
def test_what_cannot_be_read(text: str, words: str) -> None:
    with pytest.raises(MeasurementError, match=words):
        read_list(text)


@given(st.text(max_size=120))
def test_any_text_is_read_or_refused(text: str) -> None:
    with suppress(MeasurementError):
        assert list_text(read_list(text))


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(b"mark,mm,in\na,387,15 1/4\n" + content)
    with suppress(MeasurementError):
        assert load_list(path)


def test_files(tmp_path: Path) -> None:
    with pytest.raises(FolderError, match="cannot be read"):
        load_list(tmp_path / "none.csv")
    path = tmp_path / "list.csv"
    path.write_bytes("mark;mm;in\na;387;15\u00bc\n".encode("cp1252"))
    assert load_list(path)[0].pairs[0].agrees
    path.write_bytes(b"x" * 1_000_001)
    with pytest.raises(MeasurementError, match="1 MB"):
        load_list(path)


# ---------------------------------------------------------------- stock


def by_force(lengths: list[float], stock: float, kerf: float, bars: int) -> bool:
    """Every way of giving each piece a bar."""
    for choice in itertools.product(range(bars), repeat=len(lengths)):
        need = [0.0] * bars
        for bar, length in zip(choice, lengths, strict=True):
            need[bar] += length + kerf
        if max(need, default=0.0) <= stock + kerf + 1e-6:
            return True
    return False


@given(st.lists(st.integers(5, 60), min_size=1, max_size=7), st.integers(50, 100), st.integers(0, 4), st.integers(1, 3))
def test_fit_against_every_arrangement(lengths: list[int], stock: int, kerf: int, bars: int) -> None:
    pieces = [float(length) for length in lengths]
    assert fits_bars(pieces, stock, kerf, bars) == by_force(pieces, stock, kerf, bars)


@given(st.lists(st.floats(10, 500), min_size=2, max_size=12), st.floats(100, 3000))
def test_greatest_kerf_is_the_limit(lengths: list[float], stock: float) -> None:
    widest = greatest_kerf(lengths, stock)
    if widest is None:
        assert not fits_bars(lengths, stock, 0.0)
    else:
        assert fits_bars(lengths, stock, widest * 0.999)
        assert not fits_bars(lengths, stock, widest * 1.001 + 0.001)


def test_first_fit_is_not_taken_for_proof() -> None:
    """Two bars of 100: longest first gives 60 + 30 and 40 + 40, and leaves 30 out; 60 + 40 and 40 + 30 + 30 fit."""
    assert fits_bars([60.0, 40.0, 40.0, 30.0, 30.0], 100.0, 0.0, 2) is True
    assert fits_bars([51.0, 51.0, 51.0], 100.0, 0.0, 2) is False


def test_groups_by_material() -> None:
    rows = read_list(LIST)
    fits = {fit.material: fit for fit in stock_fits(rows, 1435, 2.2)}
    assert fits["tube 40"].pieces == 12
    assert fits["tube 40"].together == 1410
    assert fits["tube 40"].fits is True
    (only,) = stock_fits(rows, 140, 1, material="rod")
    assert only.too_long == ("e",)
    assert only.fits is False
    with pytest.raises(MeasurementError, match="--material"):
        stock_fits(rows, 140, 1, material="angle")


# ---------------------------------------------------------------- command


def test_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "list.csv"
    path.write_text(LIST, "utf-8")
    assert main(["readlist", str(path)]) == 1
    out = capsys.readouterr().out
    assert "6 rows, 6 lengths in both units: 1 disagree" in out
    assert "line 7, f, length: 140 mm is 5 1/2 in; the list says 5 1/4, which is 133.35 mm (-6.7 mm)" in out
    path.write_text(LIST.replace(";5 1/4", ";5 1/2"), "utf-8")
    tube = ["readlist", str(path), "--stock-length", "1435", "--material", "tube"]
    assert main([*tube, "--kerf", "2.2"]) == 0
    assert "the kerf may be 2.27 mm at most" in capsys.readouterr().out
    assert main([*tube, "--kerf", "2.4"]) == 1
    assert "do NOT come out of one length of 1435 mm" in capsys.readouterr().out
    assert main([*tube, "--kerf", "2.4", "--bars", "2"]) == 0
    assert "come out of 2 lengths" in capsys.readouterr().out
    assert main(["readlist", str(path), "--stock-length", "56 1/2 in", "--kerf", "3/32 in", "--json"]) == 1
    document = json.loads(capsys.readouterr().out)
    assert document["agree"] is True
    assert document["fit"] is False
    assert document["stock"][0]["stock_length_mm"] == pytest.approx(1435.1)


@pytest.mark.parametrize(
    "more",
    [["--stock-length", "long"], ["--kerf", "-1"], ["--bars", "0"], ["--mm", "nothing"], ["--stock-length", "1e9 m"]],
)
def test_bad_options(more: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "list.csv"
    path.write_text(LIST, "utf-8")
    try:
        status = main(["readlist", str(path), *more])
    except SystemExit as stop:
        status = int(str(stop.code))
    assert status == 2
    assert capsys.readouterr().err.count("\n") == 1
