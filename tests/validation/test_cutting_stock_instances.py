"""Cutting-stock and strip-packing instances with known optima.

Paper rolls: the worked example of an encyclopaedia's article on the cutting-stock problem, 13 widths from rolls of
5600 mm, optimum 73 rolls.  The figures and the optimum are quoted in the examples of a public optimisation suite
(seen).  The optimum is checked here too: no plan can use less than the total width, 72.7 rolls.

Chvatal, Linear Programming, 1983, chapter 13: 453 rolls (figures seen in public code; optimum from memory).  The
programme without whole numbers needs 452.25, so 453 is the least; the test proves it by its own bound.

Hopper and Turton, European Journal of Operational Research 128 (2001), set C1, problem 1: 16 rectangles that fill a
strip 20 wide to a height of 20 exactly (from memory; the areas add up to 400, which confirms the copy).

Whole numbers must agree exactly.  A heuristic need not reach an optimum without any waste: one row of 20 is allowed.
"""

from __future__ import annotations

import math

import pytest
from conftest import stands

from mouldgeom.fabrication.stocklist import StockBar, StockSheet
from mouldgeom.geometry.outline import Outline
from mouldgeom.geometry.placement import Placement
from mouldgeom.model.shapes import ConcreteFace, Group, Plate, SectionKind
from mouldgeom.nesting.bars import Want, cut_bars
from mouldgeom.nesting.layout import NestOptions
from mouldgeom.nesting.nest import nest_plates

pytestmark = pytest.mark.slow

PAPER = dict(
    zip(
        (1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200),
        (22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20),
        strict=True,
    )
)
CHVATAL = {45: 97, 36: 610, 31: 395, 14: 211}
HOPPER_C1_P1 = (
    *((2, 12), (7, 12), (8, 6), (3, 6), (3, 5), (5, 5), (3, 12), (3, 7)),
    *((5, 7), (2, 6), (3, 2), (4, 2), (3, 4), (4, 4), (9, 2), (11, 2)),
)


@pytest.mark.parametrize(
    ("counts", "roll", "scale", "optimum"), [(PAPER, 5600, 1, 73), (CHVATAL, 100, 10, 453)], ids=["paper", "chvatal"]
)
def test_fewest_rolls(counts: dict[int, int], roll: int, scale: int, optimum: int) -> None:
    stock = StockBar(SectionKind.ROD, "12 mm", float(roll * scale))
    plan = cut_bars([Want(f"W{w}", float(w * scale), n) for w, n in counts.items()], [stock], kerf=0.0)
    assert plan.bars == optimum
    assert plan.proven
    assert plan.bound == optimum
    assert math.ceil(sum(w * n for w, n in counts.items()) / roll) <= optimum


@pytest.mark.parametrize("straight", [False, True])
def test_hopper_and_turton(straight: bool) -> None:
    """20 units are 1000 mm here, parts touch and reach the edge; straight cuts alone may need two rows more."""
    assert sum(w * h for w, h in HOPPER_C1_P1) == 400
    still = stands(Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
    plates = [
        Plate(
            Group.CORE,
            still,
            "3 mm",
            3.0,
            Outline.rectangle(0, 0, 50.0 * w, 50.0 * h),
            ConcreteFace.OUTLINE,
            mark=f"R{i}",
        )
        for i, (w, h) in enumerate(HOPPER_C1_P1, 1)
    ]
    options = NestOptions(spacing=0.0, margin=0.0, kerf=0.0, straight_cuts=straight)
    nest = nest_plates(plates, [StockSheet("3 mm", 3.0, 2000.0, 1000.0)], options)
    assert len(nest.sheets) == 1
    assert nest.length_bound == pytest.approx(1000.0, abs=1e-6)
    assert 1000.0 <= nest.used_length <= (1100.5 if straight else 1050.5)
