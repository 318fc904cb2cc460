"""From sheets and bars that a nest or bar plan asks for to what ``cost`` pays for."""

from __future__ import annotations

from collections.abc import Iterable

from mouldgeom.assembly import bar_mass_per_metre
from mouldgeom.shapes import Bar, Group
from mouldgeom.stock.cost import Bought
from mouldgeom.stock.rates import exactly
from mouldgeom.stock.stocklist import StockBar, StockSheet
from mouldgeom.units import Kg, KgPerM3


def bought(items: Iterable[tuple[StockSheet | StockBar, int]], density: KgPerM3) -> tuple[Bought, ...]:
    """Each sheet or bar with how many of it; alike ones together, in the order in which they first stand."""
    counts: dict[StockSheet | StockBar, int] = {}
    for item, count in items:
        counts[item] = counts.get(item, 0) + count
    return tuple(
        Bought(
            _material(item),
            item.title,
            count,
            stock_mass(item, density),
            None if item.price is None else exactly(item.price),
        )
        for item, count in counts.items()
    )


def _material(item: StockSheet | StockBar) -> str:
    return f"sheet {item.sheet}" if isinstance(item, StockSheet) else f"{item.kind.value} {item.section}"


def stock_mass(item: StockSheet | StockBar, density: KgPerM3) -> Kg:
    """Mass of one sheet, offcut or bar."""
    if isinstance(item, StockSheet):
        return item.area * item.thickness * density * 1e-9
    bar = Bar(Group.OUTER_BOX, (), item.kind, item.section, item.length)
    return bar_mass_per_metre(bar, density * 1e-9) * item.length / 1000
