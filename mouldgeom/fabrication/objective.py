"""What designs are compared by: the cost of one mould and of its use over its life, likely values only.

Without a person's prices it is reckoned in kilograms of sheet steel, by weights that are dimensionless: what each
thing costs against a kilogram of sheet (own rule, no source).  Where they are wrong for a town, its prices replace
them.  What no design of the mould changes is left out: concrete, filling, curing, oil.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from mouldgeom.fabrication.cost import Bought, likely_cost
from mouldgeom.fabrication.quantities import material_of
from mouldgeom.fabrication.rates import Money, Prices, exactly
from mouldgeom.fabrication.wear import spare_sets, spares, turns
from mouldgeom.model.assembly import Mould
from mouldgeom.rich import html_table
from mouldgeom.units import Casts, Hour, Newton, Ratio, Second

RELATIVE: Final = "kg of sheet"
"""The unit where no prices are given."""
_WEIGHTS: Final = {
    "currency": RELATIVE,
    "material": {"sheet": 1.0, "angle": 1.0, "rod": 1.0, "square tube": 1.2, "threaded rod": 2.5},
    "consumable": {"electrode_kg": 2.5, "grinding_disc": 1.2, "cutting_disc": 0.8, "paint_l": 5.0},
    "hour": {"labour": 3.0, "cutting": 15.0},
}
"""Price of each kilogram, piece, litre or hour over that of a kilogram of sheet (own rule, no source)."""
_FASTENER: Final[Ratio] = 2.5
"""Price of a kilogram of bolts, nuts and washers over that of a kilogram of sheet (own rule, no source)."""


@dataclass(frozen=True)
class WholeCost:
    """Cost of one mould and of its use over its life: the less, the better.

    It is made by ``Mould.objective``.

    >>> WholeCost("crowns", 500, 140.0, 260.0, 900.0, 60.0, hours=45.0, seconds=2010.0, sets=0)
    <WholeCost: 1,360 crowns over 500 casts: material 140, build 260, use 900, wear 60>

    Attributes:
        unit: the currency, or ``"kg of sheet"`` where no prices were given.
        life: in casts.
        material: steel, fasteners and what is used up.
        build: hours of building it, those of the cutting machine too.
        use: time to bolt it together, undo it and draw the core, over its life.
        wear: repairs over its life, and spare screws and nuts.
        hours: of labour, to build it.
        seconds: of labour in ``use``, at each cast.
        sets: of spare screws and nuts over its life.
    """

    unit: str
    life: Casts
    material: Money
    build: Money
    use: Money
    wear: Money
    hours: Hour
    seconds: Second
    sets: int

    @property
    def total(self) -> Money:
        """All of it."""
        return sum(self.parts.values())

    @property
    def parts(self) -> dict[str, Money]:
        """Material, build, use and wear by name."""
        return {"material": self.material, "build": self.build, "use": self.use, "wear": self.wear}

    def record(self) -> dict[str, Any]:
        """As one JSON object; amounts in ``unit``, to two decimals."""
        return {
            "unit": self.unit,
            "life_casts": self.life,
            **{name: round(value, 2) for name, value in self.parts.items()},
            "total": round(self.total, 2),
            "build_h": round(self.hours, 2),
            "use_min_per_cast": round(self.seconds / 60, 2),
            "spare_sets": self.sets,
        }

    def text(self) -> str:
        """All of it in one line to print, its parts in another."""
        told = ", ".join(f"{name} {value / (self.total or 1):.0%}" for name, value in self.parts.items())
        return (
            f"{f'mould and use over {self.life:,.0f} casts':<34} {self.total:>10,.0f} {self.unit}\n"
            f"  of which {told}; {self.hours:.0f} h to build, {self.seconds / 60:.0f} min of bolts and screw a cast"
        )

    def __repr__(self) -> str:
        told = ", ".join(f"{name} {value:,.0f}" for name, value in self.parts.items())
        return f"<WholeCost: {self.total:,.0f} {self.unit} over {self.life:,.0f} casts: {told}>"

    def _repr_html_(self) -> str:
        rows = [(name, f"{value:,.1f}", f"{value / (self.total or 1):.0%}") for name, value in self.parts.items()]
        return html_table(("part", self.unit, "share"), rows, caption=repr(self)[1:-1])


def cast_seconds(mould: Mould, prices: Prices) -> Second:
    """Time that bolts and screws take at one cast: each bolt with its nut, and each turn that draws the core."""
    return mould.bolt_count * prices.rate("cast_bolt_s").likely + turns(mould) * prices.rate("turn_s").likely


def whole_cost(
    mould: Mould, pull: Newton, prices: Prices | None = None, moulds: int = 1, bought: Sequence[Bought] = ()
) -> WholeCost:
    """The objective, without the kernel and in milliseconds.

    Args:
        mould: whose specification has its life.
        pull: that draws its core, as ``strength.pull.wearing_pull``: it wears the screws.
        prices: of a person; relative weights if ``None``, which ``bought`` does not go with.
        moulds: so many equal ones are made, and this is one of them.
        bought: sheets and bars for all of them, as for ``cost``; else steel is paid by its mass and the waste rate.

    Raises:
        InputError: a price is missing.
    """
    paid, life = prices or _relative(mould), mould.dims.spec.use.life
    found = likely_cost(mould, paid, moulds, bought if prices else (), spares(mould, pull))
    seconds = cast_seconds(mould, paid)
    use = life * seconds / 3600 * paid.hour.labour.likely
    sets = spare_sets(mould, pull)
    return WholeCost(paid.currency, life, found.material, found.work, use, found.upkeep, found.hours, seconds, sets)


@cache
def _weights() -> Prices:
    return Prices.model_validate(_WEIGHTS)


def _relative(mould: Mould) -> Prices:
    """The built-in weights, with fasteners by their mass."""
    masses = {material_of(part): exactly(_FASTENER * mould.mass(part)) for part in mould.fasteners}
    return _weights().model_copy(update={"fastener": masses})
