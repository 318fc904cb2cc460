"""Bar plans: against brute force, against common-practice check values, and whole moulds."""

from __future__ import annotations

import functools
import itertools
import math
import time
from collections import Counter
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_specs import profile
from scipy.optimize import linprog

from mouldgeom import load
from mouldgeom.errors import InputError
from mouldgeom.fabrication.stocklist import StockBar, StockList, default_stock
from mouldgeom.model.assembly import build
from mouldgeom.model.shapes import SectionKind
from mouldgeom.nesting import bar_patterns
from mouldgeom.nesting.bar_patterns import Problem, Solution, _all_patterns, _columns, _least_bars, solve
from mouldgeom.nesting.bars import BarPlan, Want, cut_bars, cut_mould
from mouldgeom.nesting.solver import Optimum
from mouldgeom.outputs.nest_picture import bars_svg

pytestmark = pytest.mark.slow


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


@profile(60)
@given(st.lists(st.integers(100, 900), min_size=1, max_size=8), st.integers(0, 10))
def test_as_few_bars_as_brute_force(lengths: list[int], kerf: int) -> None:
    lengths = sorted(lengths, reverse=True)
    pieces = [Want(f"P{i}", float(length), 1) for i, length in enumerate(lengths)]
    plan = checked(cut_bars(pieces, [bar(1000)], float(kerf)), pieces, float(kerf))
    assert plan.proven
    assert plan.bars == brute_force(lengths, 1000, kerf)


def ways(problem: Problem) -> list[tuple[int, tuple[int, ...]]]:
    """Every pattern that each bar holds, full or not."""
    return [
        (bar, pattern)
        for bar, capacity in enumerate(problem.capacities)
        for pattern in itertools.product(*(range(n + 1) for n in problem.counts))
        if any(pattern) and sum(n * w for n, w in zip(pattern, problem.weights, strict=True)) <= capacity
    ]


def cheapest(problem: Problem) -> float:
    """Least cost, by cutting every pattern from every bar in every order; infinite if the bars are too few."""
    patterns = ways(problem)

    @functools.cache
    def rest(wanted: tuple[int, ...], left: tuple[int, ...]) -> float:
        if not any(wanted):
            return 0.0
        best = math.inf
        for bar, pattern in patterns:
            after = tuple(w - n for w, n in zip(wanted, pattern, strict=True))
            if left[bar] and min(after) >= 0:
                bars = (*left[:bar], left[bar] - 1, *left[bar + 1 :])
                best = min(best, problem.costs[bar] + rest(after, bars))
        return best

    many = sum(problem.counts)
    return rest(problem.counts, tuple(many if limit is None else limit for limit in problem.limits))


def priced(sizes: dict[int, int], *bars: tuple[int, float, int | None]) -> Problem:
    """Pieces by weight; bars of capacity, cost and number."""
    weights = tuple(sorted(sizes, reverse=True))
    capacities, costs, limits = zip(*bars, strict=True)
    return Problem(weights, tuple(sizes[w] for w in weights), capacities, costs, limits)


def cut(problem: Problem) -> Solution | None:
    """The plan, if there is one: it holds what is wanted, out of bars that there are, and costs what it says."""
    found = solve(problem)
    if found is not None:
        for k, count in enumerate(problem.counts):
            assert sum(pattern[k] * times for _, pattern, times in found.bars) == count
        for bar, pattern, _ in found.bars:
            assert sum(n * w for n, w in zip(pattern, problem.weights, strict=True)) <= problem.capacities[bar]
        used = Counter[int]()
        for bar, _, times in found.bars:
            used[bar] += times
        assert all(limit is None or used[bar] <= limit for bar, limit in enumerate(problem.limits))
        assert found.value == pytest.approx(sum(problem.costs[bar] * n for bar, n in used.items()))
    return found


BARS = st.lists(
    st.tuples(
        st.integers(600, 1500),
        st.one_of(st.integers(1, 30).map(float), st.integers(100, 3000).map(lambda n: n / 100), st.floats(1, 30)),
        st.sampled_from([None, 1, 2, 3]),
    ),
    min_size=1,
    max_size=3,
)


@profile(150)
@given(st.dictionaries(st.integers(100, 600), st.integers(1, 3), min_size=1, max_size=3), BARS)
def test_proven_least_is_least(sizes: dict[int, int], bars: list[tuple[int, float, int | None]]) -> None:
    """Several lengths at their prices, some of them scarce: no plan is missed, and no bound lies above the least."""
    problem = priced(sizes, *bars)
    least, found = cheapest(problem), cut(problem)
    if found is None:
        assert least == math.inf
        return
    assert found.bound <= least + 1e-6 * least
    assert found.value >= least - 1e-6 * least
    assert found.proven
    assert found.value == pytest.approx(least, rel=2e-6)


@profile(100)
@given(st.dictionaries(st.integers(100, 600), st.integers(1, 3), min_size=1, max_size=3), BARS)
def test_bound_is_that_of_all_patterns_without_whole_numbers(
    sizes: dict[int, int], bars: list[tuple[int, float, int | None]]
) -> None:
    """Against another library's programme over every pattern, scarce bars in it; rounding up may only lift it."""
    problem = priced(sizes, *bars)
    patterns = ways(problem)
    wanted = -np.array([[pattern[k] for _, pattern in patterns] for k in range(len(sizes))])
    scarce = np.array([[float(bar == b) for bar, _ in patterns] for b in range(len(bars))])
    most = [math.inf if limit is None else limit for limit in problem.limits]
    relaxed = linprog(
        [problem.costs[bar] for bar, _ in patterns],
        np.vstack([wanted, scarce]),
        [*(-n for n in problem.counts), *(min(n, 1e6) for n in most)],
    )
    bound = _columns(problem)[1]
    if relaxed.success:
        assert relaxed.fun * (1 - 1e-6) <= bound <= cheapest(problem) * (1 + 1e-6)
    else:
        assert solve(problem) is None


def test_a_solver_that_stops_early_proves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three of 400 need two bars of 900 at 9.901 each; one and a half, 14.8515, is all that a bound can say."""
    problem = priced({400: 3}, (1000, 10.003, None), (900, 9.901, None))
    solved = cut(problem)
    assert solved is not None
    assert (solved.value, solved.bound, solved.proven) == (pytest.approx(19.802), pytest.approx(19.802), True)
    real = bar_patterns.minimise

    def stopped(*given: Any, **how: Any) -> Optimum | None:
        found = real(*given, **how)
        return replace(found, bound=0.0, proven=False) if found is not None and how.get("whole") else found

    monkeypatch.setattr(bar_patterns, "minimise", stopped)
    found = cut(problem)
    assert found is not None
    assert (found.value, found.bound, found.proven) == (pytest.approx(19.802), pytest.approx(14.8515), False)


@profile(200)
@given(st.dictionaries(st.integers(1, 10), st.integers(1, 3), min_size=1, max_size=4), st.integers(10, 13))
def test_no_plan_needs_fewer_bars_than_the_simple_bound(sizes: dict[int, int], capacity: int) -> None:
    """Small whole numbers, so that pieces often fill a bar just so, or half of it."""
    problem = priced(sizes, (capacity, 1.0, None))
    length = sum(w * n for w, n in sizes.items())
    assert math.ceil(length / capacity) <= _least_bars(problem) <= cheapest(problem)


def test_simple_bound_of_martello_and_toth() -> None:
    """Knapsack Problems, 1990, 8.3 (from memory): 100 holds 70, 60, 50, 33, 33, 33, 11, 7, 3; L1 3, L2 4."""
    problem = priced({70: 1, 60: 1, 50: 1, 33: 3, 11: 1, 7: 1, 3: 1}, (100, 1.0, None))
    assert sum(w * n for w, n in zip(problem.weights, problem.counts, strict=True)) == 300
    assert _least_bars(problem) == 4


@profile(30)
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


@profile(40)
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
