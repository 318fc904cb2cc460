"""Inch practice: lengths in two units, and the pairs and bar lengths of printed lists that are known to slip.

Sources stand with each test.  Rows 14.xx are those of the reference values for fabrication.
"""

from __future__ import annotations

import pytest

from mouldgeom import tables
from mouldgeom.nesting.bar_fit import fits_bars, greatest_kerf
from mouldgeom.nesting.two_units import agree, parse_inches, read_list, stock_fits
from mouldgeom.outputs.cutlist import inches
from mouldgeom.units import inch_fraction, parse_length

TUBE = [89.0] * 5 + [57.0] * 4 + [175.0] * 2 + [387.0]
ANGLE = [940.0, 387.0, 305.0] * 2
RODS = [152.0] * 4


@pytest.mark.parametrize(("length", "text", "printed"), [(41.3, "1 5/8 in", 41.275), (600.0, "23 5/8 in", 600.075)])
def test_to_the_sixteenth(length: float, text: str, printed: float) -> None:
    """14.05, computed there: exact arithmetic, so no tolerance on the text and 1e-9 on the millimetres."""
    assert inch_fraction(length) == text
    assert parse_inches(text) == pytest.approx(printed, abs=1e-9)
    assert inches(length).startswith(text + " (")


def test_rounding_step_is_half_the_tolerance() -> None:
    """14.01, shop practice (seen): a tolerance of 1/8 in is rounded to 1/16 in; the greatest error is half a step."""
    step = parse_length("1/8 in") / 2
    assert step == pytest.approx(25.4 / 16)
    assert agree(100.0, 100.0 + step / 2)
    assert not agree(100.0, 100.0 + step / 2 + 0.01)


@pytest.mark.parametrize(("designation", "thickness"), [("1/8 in", 3.175), ("1/4 in", 6.35)])
def test_exact_plates(designation: str, thickness: float) -> None:
    """14.03: inch plates by the definition of 25.4 mm; exact."""
    assert tables.sheet(designation).thickness_mm == pytest.approx(thickness, abs=1e-12)


@pytest.mark.parametrize(("metric", "inch"), [("3 mm", "1/8 in"), ("6 mm", "1/4 in")])
def test_usual_swaps(metric: str, inch: str) -> None:
    """14.04, computed there: 5.5 % thinner, 15.6 % less bending stiffness; printed to 0.1 %."""
    ratio = tables.sheet(metric).thickness_mm / tables.sheet(inch).thickness_mm
    assert 100 * (1 - ratio) == pytest.approx(5.5, abs=0.05)
    assert 100 * (1 - ratio**3) == pytest.approx(15.6, abs=0.05)


def test_lowest_terms() -> None:
    """14.06 (from memory): fractions in lowest terms, never 8/16."""
    for steps in range(1, 16):
        text = inch_fraction(steps * 25.4 / 16).removesuffix(" in")
        top, bottom = (int(n) for n in text.split("/"))
        assert top % 2 == 1
        assert bottom in (2, 4, 8, 16)


@pytest.mark.parametrize(("mm", "text"), [(387.0, "15 1/4"), (175.0, "6 7/8"), (29.0, "1 1/8")])
def test_pairs_of_printed_lists_that_agree(mm: float, text: str) -> None:
    """Common-practice check values, no source: to the nearest 1/16 in."""
    assert agree(mm, parse_inches(text))
    assert inch_fraction(mm) == f"{text} in"


def test_pair_of_printed_lists_that_slips() -> None:
    """Common-practice check value, no source: 140 mm is 5 1/2 in; 5 1/4 in is 133.35 mm."""
    assert not agree(140.0, parse_inches("5 1/4"))
    assert inch_fraction(140.0) == "5 1/2 in"


def test_tube_list_and_its_kerf() -> None:
    """Common-practice check values, no source: twelve pieces out of 1435 mm with a kerf of 2.2 mm, not of 2.4 mm.

    1410 mm of pieces and eleven cuts: 25 / 11 = 2.27 mm at most.
    """
    assert sum(TUBE) == 1410
    assert fits_bars(TUBE, 1435.0, 2.2)
    assert not fits_bars(TUBE, 1435.0, 2.4)
    assert greatest_kerf(TUBE, 1435.0) == pytest.approx(25 / 11)


def test_list_that_does_not_come_out_at_all() -> None:
    """Common-practice check values, no source: two each of 940, 387 and 305 mm are 3264 mm, more than 3210 mm."""
    assert sum(ANGLE) == 3264
    assert not fits_bars(ANGLE, 3210.0, 0.0)
    assert greatest_kerf(ANGLE, 3210.0) is None


def test_rods_that_need_a_thin_saw() -> None:
    """Common-practice check values, no source: four rods of 152 mm out of 610 mm only with a kerf under 0.7 mm."""
    assert fits_bars(RODS, 610.0, 0.66)
    assert not fits_bars(RODS, 610.0, 0.7)
    assert greatest_kerf(RODS, 610.0) == pytest.approx(2 / 3)


def test_the_same_lists_through_the_reader() -> None:
    """The same check values as a person would have them, as CSV."""
    text = "item,qty,mm,inches\na,5,89,3 1/2\nb,4,57,2 1/4\nc,2,175,6 7/8\nd,1,387,15 1/4\n"
    rows = read_list(text)
    assert all(pair.agrees for row in rows for pair in row.pairs)
    assert [fit.fits for kerf in (2.2, 2.4) for fit in stock_fits(rows, 1435.0, kerf)] == [True, False]
