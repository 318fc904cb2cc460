"""From sheets and bars that a nest or bar plan asks for to what ``cost`` pays for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from mouldgeom.fabrication.cost import Bought
from mouldgeom.fabrication.rates import exactly
from mouldgeom.fabrication.stocklist import StockBar, StockSheet
from mouldgeom.model.shapes import Bar, Group, SectionKind
from mouldgeom.model.weights import bar_mass_per_metre
from mouldgeom.units import Kg, KgPerM3


def bought(
    items: Iterable[tuple[StockSheet | StockBar, int]], density: KgPerM3, rods: Mapping[str, str] = MappingProxyType({})
) -> tuple[Bought, ...]:
    """Each sheet or bar with how many of it; alike ones together, in the order in which they first stand.

    ``rods`` are the threaded rods with their strength class as ``quantities.material_of`` names them, by section.
    """
    counts: dict[StockSheet | StockBar, int] = {}
    for item, count in items:
        counts[item] = counts.get(item, 0) + count
    return tuple(
        Bought(
            _material(item, rods),
            item.title,
            count,
            stock_mass(item, density),
            None if item.price is None else exactly(item.price),
        )
        for item, count in counts.items()
    )


def _material(item: StockSheet | StockBar, rods: Mapping[str, str]) -> str:
    if isinstance(item, StockSheet):
        return f"sheet {item.sheet}"
    plain = f"{item.kind.value} {item.section}"
    return rods.get(item.section, plain) if item.kind is SectionKind.THREADED_ROD else plain


def stock_mass(item: StockSheet | StockBar, density: KgPerM3) -> Kg:
    """Mass of one sheet, offcut or bar."""
    if isinstance(item, StockSheet):
        return item.area * item.thickness * density * 1e-9
    bar = Bar(Group.OUTER_BOX, (), item.kind, item.section, item.length)
    return bar_mass_per_metre(bar, density * 1e-9) * item.length / 1000
