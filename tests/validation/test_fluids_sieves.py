"""Sieves and losses of the tube against the general library ``fluids``, which codes published tables by itself.

Openings: its tables of ASTM E11 and ISO 3310-1; and the preferred numbers of ISO 3 (R40, 10^(n/40) to three digits), of
which every opening but 0.038 mm is one.  Entrance and exit: Crane TP-410, Idelchik, Blevins and Swamee, all 0.5 for a
sharp entrance; and 1 for an exit.

Tolerance: as printed.
"""

from __future__ import annotations

import pytest
from fluids import (
    ASTM_E11_sieves,
    ISO_3310_1_sieves,
    entrance_sharp,
    exit_normal,
)

from mouldgeom.filter.hydraulics import Tube
from mouldgeom.filter.sand import opening_of, sieve_openings

LIBRARY = {
    sieve.old_designation.replace(" in.", " in").replace("1.00 in", "1 in"): sieve.opening * 1000
    for sieve in ASTM_E11_sieves.values()
}
# the longer list of ISO 3: 1.06 not 1.059, 3.15 not 3.162, and so on
R40 = (
    1.00, 1.06, 1.12, 1.18, 1.25, 1.32, 1.40, 1.50, 1.60, 1.70, 1.80, 1.90, 2.00, 2.12, 2.24, 2.36, 2.50, 2.65, 2.80,
    3.00, 3.15, 3.35, 3.55, 3.75, 4.00, 4.25, 4.50, 4.75, 5.00, 5.30, 5.60, 6.00, 6.30, 6.70, 7.10, 7.50, 8.00, 8.50,
    9.00, 9.50,
)  # fmt: skip


NAMED = [name for name in sieve_openings() if not name.endswith("mm")]


def in_the_library(name: str) -> str:
    return name.replace("No.3.5", "No. 3 1/2").replace("No.", "No. ").replace("No.  ", "No. ")


@pytest.mark.parametrize("name", NAMED)
def test_american_sieves(name: str) -> None:
    assert opening_of(name) == sieve_openings()[name] == pytest.approx(LIBRARY[in_the_library(name)], rel=1e-9)


def test_every_american_sieve_that_a_sand_is_sieved_with_is_listed() -> None:
    """From 3 in to No. 400; those in decimal inches and the few above and below are not for sand and gravel."""
    missing = set(LIBRARY) - {in_the_library(name) for name in NAMED}
    assert {name for name in missing if "." not in name.removeprefix("No.")} == {
        "No. 450", "No. 500", "No. 635", "3 1/2 in", "4 in", "5 in",
    }  # fmt: skip


@pytest.mark.parametrize("name", [name for name in sieve_openings() if name.endswith("mm")])
def test_metric_sieves(name: str) -> None:
    opening = sieve_openings()[name]
    assert opening == float(name.removesuffix(" mm"))
    assert any(sieve.opening * 1000 == pytest.approx(opening, rel=1e-9) for sieve in ISO_3310_1_sieves.values())


@pytest.mark.parametrize("name", [name for name in sieve_openings() if name != "No.400"])
def test_openings_are_preferred_numbers(name: str) -> None:
    mantissa = float(f"{sieve_openings()[name]:e}".partition("e")[0])
    assert min(abs(mantissa - number) for number in R40) < 1e-9


def test_entrance_and_exit_of_the_tube() -> None:
    tube = Tube(8, 900)
    for method in ("Crane", "Idelchik", "Blevins", "Swamee"):
        assert tube.entrance_loss == entrance_sharp(method=method)
    assert tube.exit_loss == exit_normal()
