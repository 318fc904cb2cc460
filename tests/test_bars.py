"""Bar plans: against brute force, against common-practice check values, and whole moulds."""

from __future__ import annotations

import itertools
import math
import time
from collections import Counter
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mouldgeom import build, load
from mouldgeom.errors import InputError
from mouldgeom.outputs.nest_picture import bars_svg
from mouldgeom.shapes import SectionKind
from mouldgeom.stock.bar_patterns import Problem, _all_patterns, solve
from mouldgeom.stock.bars import BarPlan, Want, cut_bars, cut_mould
from mouldgeom.stock.stocklist import StockBar, StockList, default_stock


def bar(length: float, quantity: int | None = None, price: float | None = None) -> StockBar:
    return StockBar(SectionKind.SQUARE_TUBE, "40x40x3", length, quantity, price)


def wants(**counts: int) -> list[Want]:
    """Pieces by length: ``wants(L89=5)``."""
    return [Want(name, float(name[1:].replace("_", ".")), count) for name, count in counts.items()]


def checked(plan: BarPlan, pieces: list[Want], kerf: float, trim: float = 0.0) -> BarPlan:
    """Each piece is there, and each bar holds its pieces and a kerf between each two."""
    found = Counter[str]()
    for run in plan.runs:
        lengths = [p.length for p in run.pieces]
        assert math.fsum(lengths) + kerf * (len(lengths) - 1) <= run.stock.length - trim + 1e-6
        for one, other in itertools.pairwise(run.pieces):
            assert other.start == pytest.approx(one.start + one.length + kerf, abs=1e-3)
        found.update({mark: n * run.times for mark, n in Counter(p.mark for p in run.pieces).items()})
    assert found == {w.mark: w.count for w in pieces if w.count}
    assert plan.value >= plan.bound - 1e-6
    return plan


# ---------------------------------------------------------------- check values (common practice, no source)

TUBE = wants(L89=5, L57=4, L175=2, L387=1)


@pytest.mark.parametrize(("kerf", "bars"), [(0.0, 1), (2.0, 1), (2.2, 1), (2.4, 2), (3.0, 2)])
def test_twelve_pieces_from_1435_mm(kerf: float, bars: int) -> None:
    """The pieces are 1410 mm together: 25 mm for 11 cuts, 2.27 mm each."""
    plan = checked(cut_bars(TUBE, [bar(1435)], kerf), TUBE, kerf)
    assert (plan.bars, plan.proven) == (bars, True)


@pytest.mark.parametrize("kerf", [0.0, 2.0])
def test_two_each_of_940_387_and_305_do_not_come_out_of_3210_mm(kerf: float) -> None:
    pieces = wants(L940=2, L387=2, L305=2)
    assert checked(cut_bars(pieces, [bar(3210)], kerf), pieces, kerf).bars == 2


@pytest.mark.parametrize(("kerf", "bars"), [(0.0, 1), (0.6, 1), (0.66, 1), (0.7, 2), (2.0, 2)])
def test_four_rods_of_152_mm_from_610_mm(kerf: float, bars: int) -> None:
    pieces = wants(L152=4)
    assert checked(cut_bars(pieces, [bar(610)], kerf), pieces, kerf).bars == bars


# ---------------------------------------------------------------- against brute force


def brute_force(lengths: list[int], capacity: int, kerf: int) -> int:
    """Fewest bars, by trying every way to deal the pieces out."""
    best = len(lengths)

    def deal(at: int, room: list[int]) -> None:
        nonlocal best
        if len(room) >= best:
            return
        if at == len(lengths):
            best = len(room)
            return
        seen = set()
        for i, left in enumerate(room):
            if left >= lengths[at] + kerf and left not in seen:
                seen.add(left)
                deal(at + 1, [*room[:i], left - lengths[at] - kerf, *room[i + 1 :]])
        deal(at + 1, [*room, capacity - lengths[at]])

    deal(0, [])
    return best


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(100, 900), min_size=1, max_size=8), st.integers(0, 10))
def test_as_few_bars_as_brute_force(lengths: list[int], kerf: int) -> None:
    lengths = sorted(lengths, reverse=True)
    pieces = [Want(f"P{i}", float(length), 1) for i, length in enumerate(lengths)]
    plan = checked(cut_bars(pieces, [bar(1000)], float(kerf)), pieces, float(kerf))
    assert plan.proven
    assert plan.bars == brute_force(lengths, 1000, kerf)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.integers(150, 700), st.integers(1, 12)), min_size=1, max_size=6, unique_by=lambda t: t[0]))
def test_generated_columns_never_beat_their_bound(sizes: list[tuple[int, int]]) -> None:
    sizes = sorted(sizes, reverse=True)
    problem = Problem(tuple(w for w, _ in sizes), tuple(n for _, n in sizes), (1000, 1700), (10.0, 16.0), (None, None))
    found = solve(problem)
    assert found is not None
    assert found.value >= found.bound - 1e-6
    assert sum(problem.costs[b] * t for b, _, t in found.bars) == pytest.approx(found.value)
    for k, count in enumerate(problem.counts):
        assert sum(p[k] * t for _, p, t in found.bars) == count


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(100, 600), min_size=1, max_size=4, unique=True), st.integers(1, 4))
def test_patterns_are_all_maximal_ones(weights: list[int], count: int) -> None:
    weights = sorted(weights, reverse=True)
    problem = Problem(tuple(weights), (count,) * len(weights), (1000,), (1.0,), (None,))
    listed = _all_patterns(problem)
    assert listed is not None
    every = [
        p
        for p in itertools.product(range(count + 1), repeat=len(weights))
        if sum(n * w for n, w in zip(p, weights, strict=True)) <= 1000
    ]
    maximal = {p for p in every if not any(p != q and all(a <= b for a, b in zip(p, q, strict=True)) for q in every)}
    assert {p for _, p in listed} == maximal
    assert len(listed) == len(maximal)


# ---------------------------------------------------------------- stock


def test_the_cheapest_lengths_are_chosen() -> None:
    pieces = wants(L1000=6)
    plan = checked(cut_bars(pieces, [bar(6000, price=30.0), bar(3100, price=14.0)], 2.0), pieces, 2.0)
    assert plan.price == 28.0
    assert plan.proven
    assert plan.by_cost


def test_scarce_bars_are_not_used_twice() -> None:
    pieces = wants(L1000=6)
    plan = checked(cut_bars(pieces, [bar(6000), bar(3100, 1)], 2.0), pieces, 2.0)
    assert sum(run.times for run in plan.runs if run.stock.length == 3100) <= 1
    with pytest.raises(InputError, match="too few"):
        cut_bars(pieces, [bar(3100, 1)], 2.0)


def test_end_trim_is_cut_off_each_bar() -> None:
    pieces = wants(L1000=6)
    assert cut_bars(pieces, [bar(6010)], 2.0).bars == 1
    trimmed = checked(cut_bars(pieces, [bar(6010)], 2.0, 5.0), pieces, 2.0, 5.0)
    assert trimmed.bars == 2
    assert trimmed.runs[0].pieces[0].start == 5.0


def test_equal_lengths_of_several_marks_share_patterns() -> None:
    pieces = [Want("A1", 886.2601, 2), Want("A2", 886.2601, 2), Want("B1", 450.0, 3)]
    plan = checked(cut_bars(pieces, [bar(6000)], 2.0), pieces, 2.0)
    assert plan.bars == 1


def test_faults_are_named() -> None:
    with pytest.raises(InputError, match=r"bar L7000 = 7000 mm .* longest in stock is 6000 mm"):
        cut_bars(wants(L7000=1), [bar(6000)])
    with pytest.raises(InputError, match="kerf"):
        cut_bars(wants(L70=1), [bar(6000)], -1.0)
    with pytest.raises(InputError, match="no bar of that section"):
        cut_bars(wants(L70=1), [])
    with pytest.raises(InputError, match="at least one"):
        cut_bars([], [bar(6000)])
    with pytest.raises(InputError, match="no bar of that section"):
        cut_mould(build(load("hill-example")), StockList((), ()))


# ---------------------------------------------------------------- whole moulds


@pytest.mark.parametrize("name", ["hill-example", "inch-example", "short-example"])
@pytest.mark.parametrize("moulds", [1, 7, 50])
def test_bars_of_moulds_are_proven_optimal(name: str, moulds: int) -> None:
    """At most 5 s for 50 moulds; it takes a tenth of that, so a busy machine passes too."""
    mould = build(load(name))
    start = time.perf_counter()
    plans = cut_mould(mould, default_stock(), moulds)
    assert time.perf_counter() - start < 5
    for plan in plans:
        pieces = [
            Want(b.mark, b.length, b.quantity * moulds)
            for b in mould.bars
            if (b.kind, b.section) == (plan.kind, plan.section)
        ]
        checked(plan, pieces, 2.0)
        assert plan.proven, plan
        assert plan.gap == 0.0


def test_two_stock_lengths_for_many_moulds() -> None:
    stock = default_stock()
    both = StockList((), (*stock.bars, *(replace(b, length=2 * b.length) for b in stock.bars)))
    for plan in cut_mould(build(load("hill-example")), both, 50):
        assert plan.proven, plan


def test_the_same_plan_each_time() -> None:
    mould = build(load("short-example"))
    assert cut_mould(mould, default_stock(), 50) == cut_mould(mould, default_stock(), 50)


def test_the_picture_shows_every_bar() -> None:
    plans = cut_mould(build(load("hill-example")), default_stock(), 3)
    picture = bars_svg(plans)
    texts = [e.text or "" for e in ElementTree.fromstring(picture).iter() if e.tag.endswith("text")]
    assert sum(t.endswith(" ×") for t in texts) == sum(len(p.runs) for p in plans)
    assert all(any(p.section in t for t in texts) for p in plans)
