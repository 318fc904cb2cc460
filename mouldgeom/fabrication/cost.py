"""Hours, things used up, and cost of one mould and of several, each as low, likely and high.

Uncertainty: every rate and price is taken as independent of the others.  Each in turn is set to its low and its high
value while the others stay likely; the deviations that this makes upwards and downwards are added as squares, each
side by itself, and set off from the likely value.  So one rate that enters many lines (the price of an hour) counts
once in the total, and the total is less uncertain than the sum of its lines' worst cases.  Low and high are meant as
the ends that a person would be surprised to see passed, and the result is of that kind too; it is no guarantee.

Source: ISO/IEC Guide 98-3:2008 (GUM) 5.1.2, combination of independent uncertainties, by differences (from memory);
the separate sides are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from mouldgeom.errors import InputError
from mouldgeom.fabrication.quantities import Quantities, material_of, take_off
from mouldgeom.fabrication.rates import Money, Prices, Range, exactly, shipped_rates
from mouldgeom.fabrication.wear import Spare
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Bar
from mouldgeom.units import AnyUnit, Casts, Hour, Kg, plain

Values = Mapping[str, AnyUnit]

OPERATIONS: Final = (
    "cutting",
    "drilling",
    "sawing",
    "fitting and tacking",
    "welding",
    "grinding",
    "painting",
    "assembly and trial",
)
MOST_MOULDS: Final = 1000


@dataclass(frozen=True)
class Bought:
    """Sheets or bars of one size that a nest or bar plan asks for.

    ``material`` as ``quantities.material_of`` names it; ``price`` of each, or ``None`` to go by its mass.
    """

    material: str
    size: str
    count: int
    mass: Kg
    price: Range | None = None


@dataclass(frozen=True)
class CostLine:
    """What one material, thing or operation costs for all moulds together; ``quantity`` in ``unit``."""

    kind: str
    name: str
    quantity: Range
    unit: str
    cost: Range


@dataclass(frozen=True)
class Cost:
    """Cost of ``moulds`` moulds together, of each, and of a filter over a mould's ``life``; hours of labour."""

    currency: str
    moulds: int
    life: Casts
    lines: tuple[CostLine, ...]
    total: Range
    each: Range
    first: Range
    per_filter: Range
    hours: Range


def propagate(model: Callable[[Values], Mapping[str, AnyUnit]], inputs: Mapping[str, Range]) -> dict[str, Range]:
    """Carry low, likely and high of independent inputs through a model; see the top of this module."""
    likely = {name: value.likely for name, value in inputs.items()}
    base = model(likely)
    squares = {name: [0.0, 0.0] for name in base}
    for name, value in inputs.items():
        if value.low == value.high:
            continue
        ends = [model({**likely, name: end}) for end in (value.low, value.high)]
        for key, middle in base.items():
            changes = [end[key] - middle for end in ends]
            squares[key][0] += min(0.0, *changes) ** 2
            squares[key][1] += max(0.0, *changes) ** 2
    return {
        key: Range(low=max(0.0, middle - math.sqrt(down)), likely=middle, high=middle + math.sqrt(up))
        for (key, middle), (down, up) in zip(base.items(), squares.values(), strict=True)
    }


def work(quantities: Quantities, prices: Prices | None = None, process: str = "plasma") -> dict[str, Range]:
    """Hours of each operation and amounts of each thing used up, for one mould, by the names of ``cost``."""
    welding = prices.welding if prices else "stick"
    inputs = {name: prices.rate(name) if prices else rate.range for name, rate in shipped_rates().items()}

    def model(values: Values) -> dict[str, AnyUnit]:
        hours = _hours(quantities, values, process, welding)
        return {**hours, **{name: amount for name, (amount, _) in _used(quantities, values, welding).items()}}

    return propagate(model, inputs)


def cost(
    mould: Mould,
    prices: Prices,
    moulds: int = 1,
    bought: Sequence[Bought] = (),
    quantities: Quantities | None = None,
    spares: Sequence[Spare] = (),
) -> Cost:
    """Cost of a number of equal moulds.

    Materials in ``bought`` are paid by the sheet or bar for all moulds together; all others by the mass of the parts
    and the waste rate.  A filter bears its share of the mould, of repairs, and of the ``spares`` of one mould.

    Raises:
        InputError: a price is missing, or the number of moulds is not from 1 to ``MOST_MOULDS``.
    """
    if not 1 <= moulds <= MOST_MOULDS:
        raise InputError("--moulds", str(moulds), f"allowed is 1 to {MOST_MOULDS}", "Choose another number.")
    needed = quantities or take_off(mould)
    process, life = mould.dims.spec.shop.cutting, mould.dims.spec.use.life
    inputs = _inputs(needed, prices, bought)

    def model(values: Values) -> dict[str, AnyUnit]:
        out: dict[str, AnyUnit] = {}
        for kind, name, quantity, unit_price, _ in _terms(needed, values, process, prices.welding, moulds, bought):
            out[f"quantity {kind} {name}"] = quantity
            out[f"cost {kind} {name}"] = quantity * unit_price
        out["total"] = sum(value for key, value in out.items() if key.startswith("cost "))
        out["each"] = out["total"] / moulds
        alone = _terms(needed, values, process, prices.welding, 1, bought)
        shared = sum(item.count * values[f"bought {number}"] for number, item in enumerate(bought))
        out["first"] = sum(quantity * price for _, _, quantity, price, _ in alone) - shared + shared / moulds
        out["filter"] = (out["each"] + _kept(mould, out["each"], values, bought, spares)) / life
        out["hours"] = sum(value for key, value in out.items() if key.startswith("quantity operation"))
        return out

    likely = {name: value.likely for name, value in inputs.items()}
    found = propagate(model, inputs)
    lines = tuple(
        CostLine(kind, name, found[f"quantity {kind} {name}"], unit, found[f"cost {kind} {name}"])
        for kind, name, _, _, unit in _terms(needed, likely, process, prices.welding, moulds, bought)
    )
    return Cost(
        prices.currency,
        moulds,
        life,
        lines,
        found["total"],
        found["each"],
        found["first"],
        found["filter"],
        found["hours"],
    )


@dataclass(frozen=True)
class LikelyCost:
    """Likely cost of one of several equal moulds: what is bought for it, work on it, repairs and spares over its life;
    and the likely hours of that work."""

    material: Money
    work: Money
    upkeep: Money
    hours: Hour


def likely_cost(
    mould: Mould, prices: Prices, moulds: int = 1, bought: Sequence[Bought] = (), spares: Sequence[Spare] = ()
) -> LikelyCost:
    """The likely values of ``cost`` alone, for one of the moulds: in milliseconds.

    Raises:
        InputError: a price is missing.
    """
    needed = take_off(mould)
    values = {name: value.likely for name, value in _inputs(needed, prices, bought).items()}
    terms = _terms(needed, values, mould.dims.spec.shop.cutting, prices.welding, moulds, bought)
    worked = [(quantity, price) for kind, _, quantity, price, _ in terms if kind == "operation"]
    work_cost = sum(quantity * price for quantity, price in worked) / moulds
    material = sum(quantity * price for kind, _, quantity, price, _ in terms if kind != "operation") / moulds
    upkeep = _kept(mould, material + work_cost, values, bought, spares)
    return LikelyCost(material, work_cost, upkeep, sum(hours for hours, _ in worked) / moulds)


def _inputs(needed: Quantities, prices: Prices, bought: Sequence[Bought]) -> dict[str, Range]:
    """Every rate and price, by the names of ``_terms``."""
    return {name: prices.rate(name) for name in shipped_rates()} | _price_inputs(needed, prices, bought)


def _kept(mould: Mould, each: Money, values: Values, bought: Sequence[Bought], spares: Sequence[Spare]) -> Money:
    """Repairs of one mould over its life, and its spares; a spare rod costs by its mass what that of the mould does."""
    kilogram = {item.material: values[f"bought {number}"] / item.mass for number, item in enumerate(bought)}
    out = each * values["upkeep_ratio"]
    for spare in spares:
        part, name = spare.part, material_of(spare.part)
        if isinstance(part, Bar):
            price = mould.mass(part) * (kilogram[name] if name in kilogram else values[f"material {name}"])
        else:
            price = values[f"fastener {name}"]
        out += spare.count * price
    return out


Term = tuple[str, str, AnyUnit, AnyUnit, str]
"""Kind, name, quantity, price of one, unit."""


def _terms(
    needed: Quantities, values: Values, process: str, welding: str, moulds: int, bought: Sequence[Bought]
) -> list[Term]:
    out: list[Term] = []
    paid = {item.material for item in bought}
    for number, item in enumerate(bought):
        price = values[f"bought {number}"]
        out.append(("material", f"{item.material}, {item.size}", float(item.count), price, "pieces"))
    for material, mass in needed.mass.items():
        if material not in paid:
            waste = values["sheet_waste" if material.startswith("sheet ") else "bar_waste"]
            out.append(("material", material, mass * waste * moulds, values[f"material {material}"], "kg"))
    for name, count in needed.fasteners.items():
        out.append(("fastener", name, float(count * moulds), values[f"fastener {name}"], "pieces"))
    for name, (amount, unit) in _used(needed, values, welding).items():
        out.append(("consumable", name, amount * moulds, values[f"consumable {name}"], unit))
    times = 1 + (moulds - 1) * values["repeat_ratio"]
    for name, hours in _hours(needed, values, process, welding).items():
        hourly = values["labour"] + (values["cutting hour"] if name == "cutting" else 0.0)
        out.append(("operation", name, hours * times, hourly, "h"))
    return out


def _hours(needed: Quantities, values: Values, process: str, welding: str) -> dict[str, AnyUnit]:
    """Hours of each operation of the first mould."""
    area, pierces = sum(cut.area for cut in needed.cuts.values()), sum(cut.pierces for cut in needed.cuts.values())
    other = (needed.weld - needed.flush) / 1000
    seconds = area / values[f"{process}_mm2_s"] + pierces * values["pierce_s"]
    holes = needed.drilled * values["drill_min"] + needed.opened * values["open_out_min"]
    coated = needed.paint / 1e6 * values["coats"]
    minutes = {
        "cutting": seconds / 60 + needed.plates * values["plate_min"],
        "drilling": holes + needed.marked * values["mark_min"],
        "sawing": needed.saw_cuts * values["saw_min"],
        "fitting and tacking": needed.welded_pieces * values["fit_min"],
        "welding": 60 * _arc_hours(needed, values, welding) / values["arc_ratio"],
        "grinding": needed.flush / 1000 * values["flush_min_m"] + other * values["dress_min_m"],
        "painting": coated * values["paint_min_m2"],
        "assembly and trial": needed.bolts * values["bolt_min"] + 60 * values["check_h"],
    }
    return {name: minutes[name] / 60 for name in OPERATIONS}


def _arc_hours(needed: Quantities, values: Values, welding: str) -> AnyUnit:
    return needed.metal * values["convexity"] / values[f"{welding}_kg_h"]


def _used(needed: Quantities, values: Values, welding: str) -> dict[str, tuple[AnyUnit, str]]:
    """What one mould uses up, with its unit."""
    metal = needed.metal * values["convexity"] / values[f"{welding}_yield"]
    out: dict[str, tuple[AnyUnit, str]] = {}
    if welding == "stick":
        out["stick electrodes"] = (metal, "kg")
    else:
        gas = _arc_hours(needed, values, welding) * 60 * values["gas_l_min"] / 1000
        out |= {"welding wire": (metal, "kg"), "shielding gas": (gas, "m3")}
    return out | {
        "grinding discs": (needed.flush / 1000 / values["grinding_disc_m"], "pieces"),
        "cutting discs": (needed.saw_cuts / values["cutting_disc_cuts"], "pieces"),
        "paint": (needed.paint / 1e6 * values["coats"] / values["paint_m2_l"], "l"),
    }


_CONSUMABLE_KEYS: Final = {
    "stick electrodes": "electrode_kg",
    "welding wire": "wire_kg",
    "shielding gas": "gas_m3",
    "grinding discs": "grinding_disc",
    "cutting discs": "cutting_disc",
    "paint": "paint_l",
}


def _price_inputs(needed: Quantities, prices: Prices, bought: Sequence[Bought]) -> dict[str, Range]:
    """Every price that is needed, by the names of ``_terms``.

    Raises:
        InputError: one or more are missing; all of them are named.
    """
    inputs: dict[str, Range] = {"labour": prices.hour.labour, "cutting hour": prices.hour.cutting}
    missing: list[str] = []

    def find(table: str, given: Mapping[str, Range], names: Sequence[str]) -> Range:
        for name in names:
            if name in given:
                return given[name]
        missing.append(f"{table}.{names[-1]!r}" if " " in names[-1] else f"{table}.{names[-1]}")
        return exactly(0.0)

    for number, item in enumerate(bought):
        if item.price is not None:
            inputs[f"bought {number}"] = item.price
        else:
            each = find("material", prices.material, _less_exact(item.material))
            scaled = {end: value * item.mass for end, value in each.model_dump().items()}
            inputs[f"bought {number}"] = Range(**scaled)
    paid = {item.material for item in bought}
    for material in needed.mass:
        if material not in paid:
            inputs[f"material {material}"] = find("material", prices.material, _less_exact(material))
    for name in needed.fasteners:
        inputs[f"fastener {name}"] = find("fastener", prices.fastener, _less_exact(name))
    used = _used(needed, {name: rate.range.likely for name, rate in shipped_rates().items()}, prices.welding)
    for name in used:
        key = _CONSUMABLE_KEYS[name]
        price = getattr(prices.consumable, key)
        inputs[f"consumable {name}"] = find("consumable", {} if price is None else {key: price}, [key])
    if missing:
        listed = ", ".join(dict.fromkeys(missing))
        raise InputError("--prices", "a price is missing", f"the mould needs {listed}", "Add it; 0 if it is free.")
    return inputs


def _less_exact(name: str) -> list[str]:
    """``"hexagon bolt M10 x 25"``, ``"hexagon bolt M10"``, ``"hexagon bolt"``; but never half a name of two words.

    The strength class may stand behind the first of them, or be left out.
    """
    known = ("hexagon bolt", "hexagon nut", "washer", "sheet", "square tube", "angle", "threaded rod", "rod")
    kind = next((word for word in known if name.startswith(word)), name)
    bare = name.partition(", ")[0]
    middle = bare.partition(" x ")[0] if kind in {"hexagon bolt"} else bare
    return list(dict.fromkeys((name, bare, middle, kind)))


# ---------------------------------------------------------------- records


def cost_record(found: Cost) -> dict[str, Any]:
    """The cost as a plain document; money to two decimals, quantities to three."""
    return {
        "currency": found.currency,
        "moulds": found.moulds,
        "life_casts": found.life,
        "total": _money(found.total),
        "each": _money(found.each),
        "one_alone": _money(found.first),
        "per_filter": _money(found.per_filter, 4),
        "labour_h": _money(found.hours),
        "lines": [
            {
                "kind": line.kind,
                "name": line.name,
                "quantity": _money(line.quantity, 3),
                "unit": line.unit,
                "cost": _money(line.cost),
            }
            for line in found.lines
        ],
        "uncertainty": "each rate and price varied alone from low to high, deviations added as squares, sides apart",
    }


def _money(value: Range, digits: int = 2) -> dict[str, Money]:
    return {end: round(amount, digits) + 0.0 for end, amount in value.model_dump().items()}


def cost_rows(found: Cost) -> list[list[str]]:
    """The cost as rows of a table, the header first and the sums last."""
    rows = [["kind", "name", "quantity_low", "quantity_likely", "quantity_high", "unit", "low", "likely", "high"]]

    def ends(value: Range, digits: int) -> list[str]:
        return [plain(end, digits) for end in (value.low, value.likely, value.high)]

    for line in found.lines:
        rows.append([line.kind, line.name, *ends(line.quantity, 3), line.unit, *ends(line.cost, 2)])
    many = plain(float(found.moulds))
    for name, count, unit, value in (
        ("all moulds", many, "moulds", found.total),
        ("each of them", "1", "moulds", found.each),
        ("one mould alone", "1", "moulds", found.first),
        ("each filter over the mould's life", "1", "filters", found.per_filter),
    ):
        rows.append(["sum", name, count, count, count, unit, *ends(value, 4 if unit == "filters" else 2)])
    return rows


def cost_text(found: Cost) -> str:
    """The cost in a few lines to print."""

    def line(name: str, value: Range, digits: int = 0, unit: str = found.currency) -> str:
        low, likely, high = (f"{end:,.{digits}f}" for end in (value.low, value.likely, value.high))
        return f"{name:<34} {likely:>10} {unit}  ({low} to {high})"

    kinds: dict[str, AnyUnit] = {}
    for item in found.lines:
        kinds[item.kind] = kinds.get(item.kind, 0.0) + item.cost.likely
    share = ", ".join(f"{kind} {value / (found.total.likely or 1):.0%}" for kind, value in kinds.items())
    plural = "mould" if found.moulds == 1 else "moulds"
    out = [line(f"{found.moulds} {plural}", found.total), f"  of which {share}"]
    if found.moulds > 1:
        out += [line("each of them", found.each), line("one mould alone", found.first)]
    out.append(line("each filter over the mould's life", found.per_filter, 2))
    out.append(line("labour", found.hours, 0, "h"))
    return "\n".join(out)
