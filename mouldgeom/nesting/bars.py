"""Bars cut from stock lengths with the fewest bars, or at the least cost, and a proof that no plan needs less.

Lengths are whole hundredths of a millimetre: pieces and kerf rounded up, stock rounded down.  n pieces from one bar
need their sum and n - 1 kerfs (the last piece may end at the end of the bar), so pieces weigh length + kerf and a bar
holds length - trim + kerf.

Source: the cutting-stock model by patterns, Gilmore and Gomory (1961) (from memory).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from mouldgeom.errors import InputError
from mouldgeom.fabrication.stocklist import StockBar, StockList
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import SectionKind
from mouldgeom.nesting.bar_patterns import Problem, Solution, solve
from mouldgeom.strength_classes import class_text
from mouldgeom.units import AnyUnit, Mm, plain
from mouldgeom.words import Said

KERF: Mm = 2.0
"""Width of the saw's or cut-off disc's cut (common practice, no source)."""
END_TRIM: Mm = 0.0
"""Cut off one end of each bar before anything else, its own cut included (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Want:
    """Pieces wanted: mark, length and how many."""

    mark: str
    length: Mm
    count: int


@dataclass(frozen=True, slots=True)
class CutPiece:
    """A piece on a bar, from ``start`` along it (end trim included)."""

    mark: str
    start: Mm
    length: Mm


@dataclass(frozen=True)
class BarRun:
    """Some bars cut alike: the longest piece first, ``rest`` left at the end (the cut that frees it counted)."""

    stock: StockBar
    times: int
    pieces: tuple[CutPiece, ...]
    rest: Mm


@dataclass(frozen=True)
class BarPlan:
    """How all pieces of one section are cut.

    ``bound`` is what no plan can do better than: bars if one stock length serves, else cost (price, or mm of bar where
    a price is not known).  ``proven`` says that the plan reaches it; ``value`` is what the plan takes in that measure.
    ``by_cost`` says which measure it is.
    """

    kind: SectionKind
    section: str
    kerf: Mm
    trim: Mm
    runs: tuple[BarRun, ...]
    value: AnyUnit
    bound: AnyUnit
    proven: bool
    by_cost: bool
    method: str
    strength: str = ""

    @property
    def material(self) -> str:
        """What to ask for, a threaded rod with its strength class: ``"threaded rod M24, class 4.6"``."""
        bar = Said("{kind} {section}", kind=self.kind, section=self.section)
        return Said("{bar}, {strength}", bar=bar, strength=class_text(self.strength)) if self.strength else bar

    @property
    def bars(self) -> int:
        """How many bars are bought."""
        return sum(run.times for run in self.runs)

    @property
    def gap(self) -> AnyUnit:
        """What could still be saved at most, in the measure of the bound."""
        return 0.0 if self.proven else max(0.0, self.value - self.bound)

    @property
    def price(self) -> AnyUnit | None:
        """Price of all bars, ``None`` if one is not known."""
        prices = [run.stock.price for run in self.runs]
        return (
            sum(p * r.times for p, r in zip(prices, self.runs, strict=True) if p is not None)
            if None not in prices
            else None
        )


def cut_mould(
    mould: Mould, stock: StockList, moulds: int = 1, kerf: Mm = KERF, trim: Mm = END_TRIM
) -> tuple[BarPlan, ...]:
    """Plan all bars of some equal moulds: one plan for each section, in the order of the parts.

    Raises:
        InputError: as ``cut_bars``.
    """
    if not 1 <= moulds <= 50:
        raise InputError("moulds", str(moulds), "allowed is 1 to 50", "Choose a number in that range.")
    kinds = dict.fromkeys((bar.kind, bar.section, bar.strength) for bar in mould.bars)
    return tuple(
        replace(
            cut_bars(
                [
                    Want(b.mark, b.length, b.quantity * moulds)
                    for b in mould.bars
                    if (b.kind, b.section, b.strength) == (kind, section, strength)
                ],
                _named(stock.bars_of(kind, section), kind, section),
                kerf,
                trim,
            ),
            strength=strength,
        )
        for kind, section, strength in kinds
    )


def _named(bars: tuple[StockBar, ...], kind: SectionKind, section: str) -> tuple[StockBar, ...]:
    if not bars:
        raise InputError(
            f"{kind} {section}", "not in stock", "the stock list has no bar of that section", "Add it to the list."
        )
    return bars


def cut_bars(wants: Sequence[Want], stock: Sequence[StockBar], kerf: Mm = KERF, trim: Mm = END_TRIM) -> BarPlan:
    """Plan the cutting of pieces of one section.

    Args:
        wants: the pieces; equal lengths may stand under several marks.
        stock: bars of one section, each length with its quantity and price.
        kerf: width of the cut, 0 to 10 mm.
        trim: cut off one end of each bar, 0 to 500 mm.

    Raises:
        InputError: kerf or trim is out of range, a piece is longer than any bar, or there are too few bars.
    """
    for name, value, limit in (("kerf", kerf, 10), ("trim", trim, 500)):
        if not 0 <= value <= limit:
            raise InputError(
                f"bars.{name}", f"{value:g} mm", f"allowed is 0 to {limit} mm", "Choose a value in that range."
            )
    wants = [w for w in wants if w.count > 0]
    if not wants:
        raise InputError("bars", "no pieces", "at least one is needed", "Leave the section out.")
    usable = [s for s in stock if s.quantity is None or s.quantity > 0]
    if not usable:
        raise InputError("bars", "no stock", "the stock list has no bar of that section", "Add it to the list.")
    longest, most = max(wants, key=lambda w: w.length), max(usable, key=lambda s: s.length)
    if _up(longest.length) > _down(most.length - trim):
        raise InputError(
            f"bar {longest.mark}",
            f"{plain(longest.length, 1)} mm of {most.kind} {most.section}",
            f"the longest in stock is {plain(most.length, 1)} mm, less {plain(trim, 1)} mm of end trim",
            "Add a longer bar to the stock list.",
        )
    counts: Counter[int] = Counter()
    for want in wants:
        counts[_up(want.length)] += want.count
    sizes = tuple(sorted(counts, reverse=True))
    by_cost = len(usable) > 1
    priced = all(s.price is not None for s in usable)
    cut = _up(kerf)
    problem = Problem(
        weights=tuple(size + cut for size in sizes),
        counts=tuple(counts[size] for size in sizes),
        capacities=tuple(_down(s.length - trim) + cut for s in usable),
        costs=tuple((s.price or 0.0) if priced else s.length for s in usable) if by_cost else (1.0,),
        limits=tuple(s.quantity for s in usable),
    )
    solution = solve(problem)
    if solution is None:
        raise InputError(
            f"bars of {most.kind} {most.section}",
            f"{sum(counts.values())} pieces",
            "the bars in stock are too few",
            "Add bars to the stock list, or make fewer moulds.",
        )
    runs = _runs(solution, sizes, wants, usable, kerf, trim)
    return BarPlan(
        most.kind,
        most.section,
        kerf,
        trim,
        runs,
        solution.value,
        solution.bound,
        solution.proven,
        by_cost,
        solution.method,
    )


_STEPS = 100
"""Whole numbers a millimetre."""


def _up(length: Mm) -> int:
    return math.ceil(round(_STEPS * length, 6))


def _down(length: Mm) -> int:
    return math.floor(round(_STEPS * length, 6))


def _runs(
    solution: Solution, sizes: Sequence[int], wants: Sequence[Want], stock: Sequence[StockBar], kerf: Mm, trim: Mm
) -> tuple[BarRun, ...]:
    """Name the pieces of each pattern; bars cut alike come together, the fullest first."""
    marks: dict[int, list[tuple[Want, int]]] = {size: [] for size in sizes}
    for want in wants:
        marks[_up(want.length)].append((want, want.count))
    supply = {size: _names(queue) for size, queue in marks.items()}
    alike: dict[tuple[int, tuple[Want, ...]], int] = {}
    for bar, pattern, times in solution.bars:
        for _ in range(times):
            pieces = tuple(next(supply[size]) for size, n in zip(sizes, pattern, strict=True) for _ in range(n))
            alike[bar, pieces] = alike.get((bar, pieces), 0) + 1
    return tuple(_run(stock[bar], times, pieces, kerf, trim) for (bar, pieces), times in alike.items())


def _names(queue: Sequence[tuple[Want, int]]) -> Iterator[Want]:
    for want, count in queue:
        for _ in range(count):
            yield want


def _run(stock: StockBar, times: int, wants: Sequence[Want], kerf: Mm, trim: Mm) -> BarRun:
    at, pieces = trim, []
    for want in wants:
        pieces.append(CutPiece(want.mark, round(at, 4), want.length))
        at += want.length + kerf
    return BarRun(stock, times, tuple(pieces), round(max(0.0, stock.length - at), 4))
