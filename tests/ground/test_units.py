"""Lengths as people write them, and back."""

from __future__ import annotations

import math
from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom.units import MM_PER_INCH, inch_fraction, parse_length, plain

SPACES = st.sampled_from(["", " ", "  ", "\t"])


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("50 mm", 50.0),
        ("50mm", 50.0),
        (" 50  mm ", 50.0),
        ("50 millimetres", 50.0),
        ("1 millimetre", 1.0),
        ("4.5 cm", 45.0),
        ("4.5e1 mm", 45.0),
        (".5 m", 500.0),
        ("5. mm", 5.0),
        ("0.262 m", 262.0),
        ("1/8 in", 3.175),
        ("1/8in", 3.175),
        ('1/8"', 3.175),
        ("1 / 8 inch", 3.175),
        ("5 1/4 in", 133.35),
        ("5-1/4 in", 133.35),
        ("5 - 1/4 in", 133.35),
        ('5 1/4"', 133.35),
        ("19 inches", 482.6),
        ("2 ft", 609.6),
        ("2'", 609.6),
        ("-3 mm", -3.0),
        ("- 1/4 in", -6.35),
        ("+3 mm", 3.0),
        ("0/5 in", 0.0),
        ("9/8 in", 28.575),
    ],
)
def test_lengths_that_can_be_read(text: str, value: float) -> None:
    assert parse_length(text) == pytest.approx(value, rel=1e-15, abs=1e-15)


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "50",
        "mm",
        "in",
        "1/8",
        "fifty mm",
        "50 mmm",
        "50 MM",
        "50 parsec",
        "5,5 mm",
        "5_0 mm",
        "1/8/2 in",
        "1//8 in",
        "1 2 3 mm",
        "1/8.5 in",
        "1.5 1/8 in",
        "--3 mm",
        "3 mm 2",
        "3 mm; 4 mm",
        "nan mm",
        "inf mm",
        "0x10 mm",
        "5 -1/-4 in",
        "3\nmm 3",
    ],
)
def test_lengths_that_cannot_be_read(text: str) -> None:
    with pytest.raises(ValueError, match="is not a length with its unit"):
        parse_length(text)


@pytest.mark.parametrize("text", ["1/0 in", "5 1/0 in", "0/0 mm"])
def test_division_by_zero(text: str) -> None:
    with pytest.raises(ValueError, match="divides by zero"):
        parse_length(text)


@pytest.mark.parametrize("text", ["1e400 mm", "9" * 400 + " mm", "9" * 400 + "/1 in", "1e308 ft"])
def test_lengths_beyond_all_numbers(text: str) -> None:
    with pytest.raises(ValueError, match="is not a finite length") as caught:
        parse_length(text)
    assert len(str(caught.value)) < 100


def test_a_long_text_is_read_and_quoted_shortly() -> None:
    with pytest.raises(ValueError, match="is not a length") as caught:
        parse_length(" " * 100_000 + "x" * 100_000)
    assert len(str(caught.value)) < 200


@given(st.text(max_size=30))
def test_whatever_is_typed_is_a_length_or_a_value_error(text: str) -> None:
    with suppress(ValueError):
        assert math.isfinite(parse_length(text))


@given(st.floats(-1e6, 1e6), SPACES, SPACES)
def test_millimetres_come_back(value: float, before: str, between: str) -> None:
    assert parse_length(f"{before}{value!r}{between}mm") == value


@given(st.integers(0, 400), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]), SPACES, st.sampled_from(" -"))
def test_fractions_are_exact(whole: int, top: int, bottom: int, space: str, joint: str) -> None:
    exact = float(whole + Fraction(top, bottom)) * MM_PER_INCH
    assert parse_length(f"{whole}{joint}{top}/{bottom}{space}in") == exact


@given(st.integers(-6400, 6400), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_a_fraction_written_is_the_fraction_read(steps: int, denominator: int) -> None:
    length = steps / denominator * MM_PER_INCH
    assert parse_length(inch_fraction(length, denominator)) == pytest.approx(length, abs=1e-9)


@given(st.floats(-1e4, 1e4))
def test_a_written_fraction_is_the_nearest_and_in_lowest_terms(length: float) -> None:
    text = inch_fraction(length)
    assert abs(parse_length(text) - length) <= MM_PER_INCH / 32 + 1e-9
    if "/" in text:
        top, bottom = (int(n) for n in text.removesuffix(" in").split(" ")[-1].lstrip("-").split("/"))
        assert math.gcd(top, bottom) == 1
        assert top < bottom <= 16


@pytest.mark.parametrize(
    ("length", "text"),
    [
        (0, "0 in"),
        (25.4, "1 in"),
        (3.175, "1/8 in"),
        (133.35, "5 1/4 in"),
        (-6.35, "-1/4 in"),
        (0.1, "0 in"),
        (11, "7/16 in"),
    ],
)
def test_fractions_in_words(length: float, text: str) -> None:
    assert inch_fraction(length) == text


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (45, 3, "45"),
        (0.125, 3, "0.125"),
        (1.8, 3, "1.8"),
        (100, 0, "100"),
        (-0.0001, 3, "0"),
        (0, 0, "0"),
        (2.5, 1, "2.5"),
    ],
)
def test_plain_numbers(value: float, digits: int, text: str) -> None:
    assert plain(value, digits) == text


@given(st.floats(-1e6, 1e6), st.integers(0, 6))
def test_plain_numbers_round_to_their_digits(value: float, digits: int) -> None:
    text = plain(value, digits)
    assert abs(float(text) - value) <= 0.5 * 10.0**-digits * (1 + 1e-9)
    assert "." not in text or not text.endswith(("0", "."))
