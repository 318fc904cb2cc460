"""Structural steels against their product standards: EN 10025-2, JIS G 3101, GB/T 700, ASTM A36 and A1011.

Printed values, compared for equality; each strength stands here a second time, as another source prints it: in the
other system of units, or as the strength of a weld that follows from it.  A1011 is from memory in both.
"""

from __future__ import annotations

import math

import pytest

from mouldgeom import load, rules, tables
from mouldgeom.errors import TableError, UnknownDesignationError
from mouldgeom.model.assembly import build
from mouldgeom.strength.seats import weld_resistance

KSI = 4.4482216152605 * 1000 / 25.4**2
"""A thousand pounds on a square inch, in MPa, by definition of pound and inch."""

PRINTED = {
    # yield up to 16 and over 16 to 40 mm; ultimate from 3 and below 3 mm
    "S235": (235, 225, 360, 360),
    "S275": (275, 265, 410, 430),
    "S355": (355, 345, 470, 510),
    "Q235": (235, 225, 370, 370),
    "SS400": (245, 235, 400, 400),
    "A36": (248, 248, 400, 400),
    "A1011 SS 36": (248, 248, 365, 365),
}


@pytest.mark.parametrize("designation", PRINTED)
def test_strength_by_thickness(designation: str) -> None:
    """EN 10025-2:2004 Table 7, JIS G 3101, GB/T 700-2006; 3 mm is in the thicker range and 16 mm in the thinner."""
    steel = tables.steel(designation)
    thin, thick = math.nextafter(3, 0), math.nextafter(16, 17)
    found = [(steel.at(t).yield_mpa, steel.at(t).ultimate_mpa) for t in (0.5, thin, 3, 16, thick, 40)]
    low, high, strong, stronger = PRINTED[designation]
    assert found == [(low, stronger), (low, stronger), (low, strong), (low, strong), (high, strong), (high, strong)]
    assert (steel.yield_mpa, steel.ultimate_mpa) == (steel.at(10).yield_mpa, steel.at(10).ultimate_mpa)
    with pytest.raises(TableError, match="outside the table"):
        steel.at(40.1)


def test_one_standard_for_all_and_not_the_traps() -> None:
    """S275 has 430 MPa in EN 1993-1-1 Table 3.1, which S355's 470 is not of; a page has 370 for it: neither is in."""
    assert tables.steel("S275").ultimate_mpa not in {430, 370}
    assert tables.steel("S355").ultimate_mpa != 490


@pytest.mark.parametrize(
    ("designation", "correlation", "printed"), [("S235", 0.8, 0.624), ("S275", 0.85, 0.668), ("S355", 0.9, 0.724)]
)
def test_ultimate_by_the_weld_that_follows(designation: str, correlation: float, printed: float) -> None:
    """A fillet of throat 3 mm, kN/mm, as worked out in the reference values (EN 1993-1-8 4.5.3.3): last figure."""
    found = rules.fillet_resistance_per_mm(3.0, tables.steel(designation).ultimate_mpa, correlation)
    assert found / 1000 == pytest.approx(printed, abs=5.1e-4)


def test_a_weld_of_s275_in_a_mould() -> None:
    """By 4.7 % below what 430 MPa gives: 410/430; leg 3 mm, throat 2.121, 222.8 MPa: 472.6 N/mm."""
    spec = load("hill-example")
    mould = build(spec.model_copy(update={"steel": spec.steel.model_copy(update={"grade": "S275"})}))
    assert weld_resistance(mould, 3.0) == pytest.approx(472.6, abs=0.3)
    assert weld_resistance(mould, 3.0) * 430 / 410 == pytest.approx(1.0488 * 472.6, abs=0.4)


@pytest.mark.parametrize(
    ("designation", "yield_ksi", "ultimate_ksi", "metric"),
    [("A36", 36, 58, (250, 400)), ("A1011 SS 36", 36, 53, (250, 365))],
)
def test_inch_steel(designation: str, yield_ksi: float, ultimate_ksi: float, metric: tuple[int, int]) -> None:
    """ASTM A36 and A1011 in both units: a yield cut down from 248.2 MPa, the ultimate as the metric standard has it."""
    steel = tables.steel(designation)
    assert steel.yield_mpa == math.floor(yield_ksi * KSI) < metric[0]
    assert steel.ultimate_mpa == metric[1] == round(ultimate_ksi * KSI)


def test_modulus_goes_by_the_standard() -> None:
    """AISC 360: 29 000 ksi; EN 1993-1-1 3.2.6: 210 000 MPa; GB 50017 and the AIJ standard from memory; exact."""
    found = {name: tables.steel(name).elastic_modulus_mpa for name in PRINTED}
    assert found["A36"] == found["A1011 SS 36"] == round(29_000 * KSI) == 199_948
    assert found["S235"] == found["S275"] == found["S355"] == 210_000
    assert (found["Q235"], found["SS400"]) == (206_000, 205_000)


def test_inch_steel_bends_more_in_a_mould() -> None:
    """A panel of A36 against S235: the modulus is 4.8 % less, so what bends freely bends 5.0 % more."""
    spec = load("inch-example")
    bulges = []
    for grade in ("S235", "A36"):
        mould = build(spec.model_copy(update={"steel": spec.steel.model_copy(update={"grade": grade})}))
        steel = mould.dims.stock.steel
        bulges.append(1 / rules.plate_rigidity(steel.elastic_modulus_mpa, mould.dims.shell, steel.poisson))
    assert bulges[1] / bulges[0] == pytest.approx(1.0503, abs=1e-4)


CLASSES = ("4.6", "5.6", "8.8")


@pytest.mark.parametrize("designation", PRINTED)
def test_density_and_poisson(designation: str) -> None:
    """7850 kg/m3 is 490 lb/ft3 to the last figure (AISC); Poisson's ratio 0.3 (EN 1993-1-1 3.2.6, AISC 360)."""
    steel = tables.steel(designation)
    assert steel.density_kg_m3 == 7850
    assert steel.density_kg_m3 / 0.45359237 * 0.3048**3 == pytest.approx(490, abs=0.07)
    assert steel.poisson == 0.3


@pytest.mark.parametrize("designation", CLASSES)
def test_a_bolt_class_is_no_steel_of_plates(designation: str) -> None:
    """EN 1993-1-8:2005 Table 3.1 is of bolts; plates and bars have the grades of EN 10025-2."""
    with pytest.raises(UnknownDesignationError, match=f"steel = '{designation}'"):
        tables.steel(designation)


@pytest.mark.parametrize(("rod", "limit"), [("16 mm", 235), ("20 mm", 225)])
def test_a_thick_handle_has_the_yield_of_its_thickness(rod: str, limit: float) -> None:
    from mouldgeom.strength.turning import handle

    spec = load("hill-example")
    mould = build(spec.model_copy(update={"steel": spec.steel.model_copy(update={"rod": rod})}))
    size = mould.dims.stock.rod.diameter_mm
    assert handle(mould, 20.0).strength == pytest.approx(math.pi / 32 * size**3 * limit)
