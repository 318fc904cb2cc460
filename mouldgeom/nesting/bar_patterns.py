"""The cutting-stock problem in whole numbers: first-fit with its bound, all patterns, or column generation."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from mouldgeom.nesting.solver import Rows, minimise
from mouldgeom.units import AnyUnit, Ratio

MOST_PATTERNS = 50_000
"""With more maximal patterns than this, columns are generated instead of listed."""
_WORK = 400_000
"""Most nodes of the search tree times columns: many columns get few nodes."""

_ROUNDS = 500
"""Most rounds of column generation."""

Pattern = tuple[int, ...]
"""How many of each weight."""


@dataclass(frozen=True)
class Problem:
    """Weights (heaviest first) with their counts; bars with capacity, cost and how many there are (``None``: any)."""

    weights: tuple[int, ...]
    counts: tuple[int, ...]
    capacities: tuple[int, ...]
    costs: tuple[AnyUnit, ...]
    limits: tuple[int | None, ...]


@dataclass(frozen=True)
class Solution:
    """Bars cut: which bar, how many of each weight, how often.  ``bound`` is a proven least cost."""

    bars: tuple[tuple[int, Pattern, int], ...]
    value: AnyUnit
    bound: AnyUnit
    proven: bool
    method: str


def solve(problem: Problem) -> Solution | None:
    """Return the cheapest plan found with its bound; ``None`` if there are too few bars.

    First fit if it meets a simple bound; else generated columns if their best plan meets their bound; else every
    pattern, if they can be listed.
    """
    if len(problem.capacities) == 1:
        first = _first_fit(problem)
        limit = problem.limits[0]
        if len(first) <= _least_bars(problem) and (limit is None or len(first) <= limit):
            least = len(first) * problem.costs[0]
            return _solution(problem, [(0, p, 1) for p in first], least, "first fit meets the bound")
    columns, bound = _columns(problem)
    found = _plan(problem, columns, bound, "generated columns")
    if found is not None and found.proven:
        return found
    listed = _all_patterns(problem)
    exact = _plan(problem, listed, bound, "all patterns") if listed is not None else None
    if exact is None or (found is not None and found.value < exact.value - 1e-9):
        return found
    return exact


def _plan(problem: Problem, columns: Sequence[tuple[int, Pattern]], bound: AnyUnit, method: str) -> Solution | None:
    answer = _choose(problem, columns, bound)
    if answer is None:
        return None
    bars, own, proven = answer
    if method == "all patterns":
        bound = max(bound, _cost(problem, bars) if proven else _rounded(problem, own))
    return _solution(problem, bars, bound, method)


def _step(problem: Problem) -> AnyUnit:
    """The cost of every plan is a multiple of this: the greatest common divisor of the costs in hundredths."""
    return math.gcd(*(round(100 * cost) for cost in problem.costs)) / 100


def _rounded(problem: Problem, bound: AnyUnit) -> AnyUnit:
    """Return a bound raised to the next cost that a plan can have."""
    step = _step(problem)
    if not step or any(abs(100 * cost - round(100 * cost)) > 1e-9 for cost in problem.costs):
        return bound
    return step * math.ceil(bound / step - 1e-6)


def _solution(problem: Problem, bars: Sequence[tuple[int, Pattern, int]], bound: AnyUnit, method: str) -> Solution:
    ordered = sorted(bars, key=lambda b: (b[0], tuple(-n for n in b[1])))
    value = _cost(problem, bars)
    return Solution(tuple(ordered), value, bound, value <= bound + 1e-6 * max(1.0, value), method)


def _cost(problem: Problem, bars: Sequence[tuple[int, Pattern, int]]) -> AnyUnit:
    return math.fsum(problem.costs[bar] * times for bar, _, times in bars)


# --- first fit and its bound ---


def _first_fit(problem: Problem) -> list[Pattern]:
    """Heaviest first, each into the first bar that has room."""
    room: list[int] = []
    bars: list[list[int]] = []
    for k, (weight, count) in enumerate(zip(problem.weights, problem.counts, strict=True)):
        for _ in range(count):
            at = next((i for i, left in enumerate(room) if left >= weight), None)
            if at is None:
                at = len(room)
                room.append(problem.capacities[0])
                bars.append([0] * len(problem.weights))
            room[at] -= weight
            bars[at][k] += 1
    return [tuple(bar) for bar in bars]


def _least_bars(problem: Problem) -> int:
    """Bars that no plan can do without: by length, and by the pieces of which only few share a bar.

    Source: the bound L2 of Martello and Toth (1990) (from memory).
    """
    capacity = problem.capacities[0]
    best = 0
    for small in sorted({0, *(w for w in problem.weights if 2 * w <= capacity)}):
        big = [(w, n) for w, n in zip(problem.weights, problem.counts, strict=True) if w > capacity - small]
        middle = [
            (w, n) for w, n in zip(problem.weights, problem.counts, strict=True) if capacity - small >= w > capacity / 2
        ]
        light = sum(w * n for w, n in zip(problem.weights, problem.counts, strict=True) if capacity / 2 >= w >= small)
        alone = sum(n for _, n in middle)
        room = alone * capacity - sum(w * n for w, n in middle)
        best = max(best, sum(n for _, n in big) + alone + max(0, -(-(light - room) // capacity)))
    return best


# --- all patterns ---


def _all_patterns(problem: Problem) -> list[tuple[int, Pattern]] | None:
    """Every pattern to which no piece can be added, for each bar; ``None`` if there are too many."""
    out: list[tuple[int, Pattern]] = []
    for bar, capacity in enumerate(problem.capacities):
        for pattern in _maximal(problem.weights, problem.counts, capacity):
            out.append((bar, pattern))
            if len(out) > MOST_PATTERNS:
                return None
    return out


def _maximal(weights: Sequence[int], counts: Sequence[int], capacity: int) -> Iterator[Pattern]:
    """Yield the maximal patterns of one bar, most of the heaviest piece first."""
    last = len(weights) - 1
    pattern = [0] * len(weights)

    def spare(k: int) -> int:
        """The lightest piece before k of which more are wanted: weights fall, so it is the last of them."""
        return next((weights[i] for i in range(k - 1, -1, -1) if pattern[i] < counts[i]), capacity + 1)

    def step(k: int, left: int) -> Iterator[Pattern]:
        most = min(counts[k], left // weights[k])
        for n in range(most, -1, -1) if k < last else (most,):
            pattern[k] = n
            rest = left - n * weights[k]
            if k < last:
                yield from step(k + 1, rest)
            elif rest < (weights[k] if n < counts[k] else spare(k)):
                yield tuple(pattern)
        pattern[k] = 0

    if weights:
        yield from step(0, capacity)


def _choose(
    problem: Problem, columns: Sequence[tuple[int, Pattern]], bound: AnyUnit
) -> tuple[list[tuple[int, Pattern, int]], AnyUnit, bool] | None:
    """Choose how often each column is cut: at least all pieces, at the least cost; then drop what is too much."""
    columns = [c for c in columns if any(c[1])]
    kinds = range(len(problem.weights))
    rows: list[list[tuple[int, int]]] = [[] for _ in kinds]
    for number, (_, pattern) in enumerate(columns):
        for k in kinds:
            if pattern[k]:
                rows[k].append((number, pattern[k]))
    lower: list[AnyUnit] = [float(n) for n in problem.counts]
    upper: list[AnyUnit] = [math.inf] * len(rows)
    for bar, limit in enumerate(problem.limits):
        if limit is not None:
            rows.append([(number, 1) for number, column in enumerate(columns) if column[0] == bar])
            lower.append(0.0)
            upper.append(float(limit))
    starts: list[int] = []
    index: list[int] = []
    value: list[AnyUnit] = []
    for row in rows:
        starts.append(len(index))
        index += [number for number, _ in row]
        value += [float(n) for _, n in row]
    step = _step(problem) or 1.0
    cost = [problem.costs[bar] / step for bar, _ in columns]
    top = [float(sum(problem.counts))] * len(columns)
    answer = minimise(
        cost,
        [0.0] * len(columns),
        top,
        Rows(starts, index, value, lower, upper),
        whole=True,
        nodes=max(20, _WORK // len(columns)),
        enough=bound / step,
    )
    if answer is None:
        return None
    chosen = [(columns[i], round(float(x))) for i, x in enumerate(answer.values) if x > 0.5]
    return _exact(problem, chosen), answer.bound * step, answer.proven


def _exact(problem: Problem, chosen: Sequence[tuple[tuple[int, Pattern], int]]) -> list[tuple[int, Pattern, int]]:
    """Take away pieces cut beyond what is wanted, from the last bars."""
    bars = [(bar, list(pattern)) for (bar, pattern), times in sorted(chosen, key=_column_key) for _ in range(times)]
    for k, count in enumerate(problem.counts):
        over = sum(pattern[k] for _, pattern in bars) - count
        for _, pattern in reversed(bars):
            less = min(over, pattern[k])
            pattern[k] -= less
            over -= less
    out: dict[tuple[int, Pattern], int] = {}
    for bar, pattern in bars:
        if any(pattern):
            out[bar, tuple(pattern)] = out.get((bar, tuple(pattern)), 0) + 1
    return [(bar, pattern, times) for (bar, pattern), times in out.items()]


def _column_key(item: tuple[tuple[int, Pattern], int]) -> tuple[int, Pattern]:
    (bar, pattern), _ = item
    return bar, tuple(-n for n in pattern)


# --- column generation ---


def _columns(problem: Problem) -> tuple[list[tuple[int, Pattern]], AnyUnit]:
    """Return patterns that serve the programme without whole numbers, and its bound on the cost."""
    columns: list[tuple[int, Pattern]] = []
    for bar, capacity in enumerate(problem.capacities):
        for k, weight in enumerate(problem.weights):
            if weight <= capacity:
                one = [0] * len(problem.weights)
                one[k] = min(problem.counts[k], capacity // weight)
                columns.append((bar, tuple(one)))
    for bar, limit in enumerate(problem.limits):
        if limit is None:
            alone = Problem(problem.weights, problem.counts, (problem.capacities[bar],), (1.0,), (None,))
            if problem.weights[0] <= alone.capacities[0]:
                columns += [(bar, pattern) for pattern in _first_fit(alone)]
    columns = list(dict.fromkeys(columns))
    capped = any(limit is not None for limit in problem.limits)
    bound = 0.0
    for _ in range(_ROUNDS):
        duals, caps, value = _relaxed(problem, columns)
        fresh: list[tuple[int, Pattern]] = []
        worst: Ratio = 1.0
        for bar, capacity in enumerate(problem.capacities):
            pattern, worth = _knapsack(problem.weights, problem.counts, duals, capacity)
            price = problem.costs[bar] + caps[bar]
            if worth > price + 1e-9 and (bar, pattern) not in columns:
                fresh.append((bar, pattern))
                worst = max(worst, worth / price if price > 0 else math.inf)
        if not fresh:
            bound = max(bound, value)
            break
        if not capped:
            bound = max(bound, value / worst)  # Farley's bound: the dual values scaled down until no column beats them
        columns += fresh
    return columns, _rounded(problem, bound)


def _relaxed(problem: Problem, columns: Sequence[tuple[int, Pattern]]) -> tuple[list[AnyUnit], list[AnyUnit], AnyUnit]:
    """Solve without whole numbers: worth of each piece, surcharge on each scarce bar, and the cost.

    A piece may also be bought at a price far above any bar, so that there is always a plan.
    """
    kinds = len(problem.weights)
    dear = 1000 * max(problem.costs)
    starts: list[int] = []
    index: list[int] = []
    value: list[AnyUnit] = []
    lower: list[AnyUnit] = []
    for k, count in enumerate(problem.counts):
        starts.append(len(index))
        for number, (_, pattern) in enumerate(columns):
            if pattern[k]:
                index.append(number)
                value.append(float(pattern[k]))
        index.append(len(columns) + k)
        value.append(1.0)
        lower.append(float(count))
    scarce = [bar for bar, limit in enumerate(problem.limits) if limit is not None]
    for bar in scarce:
        starts.append(len(index))
        for number, column in enumerate(columns):
            if column[0] == bar:
                index.append(number)
                value.append(-1.0)
        lower.append(-float(problem.limits[bar] or 0))
    cost = [problem.costs[bar] for bar, _ in columns] + [dear] * kinds
    answer = minimise(cost, [0.0] * len(cost), [math.inf] * len(cost), Rows(starts, index, value, lower))
    if answer is None:
        return [0.0] * kinds, [0.0] * len(problem.capacities), 0.0
    duals = [max(0.0, float(d)) for d in answer.duals]
    caps = [0.0] * len(problem.capacities)
    for number, bar in enumerate(scarce):
        caps[bar] = duals[kinds + number]
    return duals[:kinds], caps, answer.objective


def _knapsack(
    weights: Sequence[int], counts: Sequence[int], worths: Sequence[AnyUnit], capacity: int
) -> tuple[Pattern, AnyUnit]:
    """Return the pattern of greatest worth, by branch and bound in the order of worth for length."""
    order = sorted((k for k in range(len(weights)) if worths[k] > 1e-12), key=lambda k: (-worths[k] / weights[k], k))
    best_worth, best = 0.0, [0] * len(weights)
    now = [0] * len(weights)

    def step(at: int, left: int, worth: AnyUnit) -> None:
        nonlocal best_worth, best
        if worth > best_worth + 1e-12:
            best_worth, best = worth, list(now)
        if at == len(order):
            return
        k = order[at]
        if worth + left * worths[k] / weights[k] <= best_worth + 1e-12:
            return
        for n in range(min(counts[k], left // weights[k]), -1, -1):
            now[k] = n
            step(at + 1, left - n * weights[k], worth + n * worths[k])
        now[k] = 0

    step(0, capacity, 0.0)
    return tuple(best), best_worth
