"""What is said where no filter meets every limit: the two that conflict, and the nearest change that would do."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from mouldgeom.errors import InputError
from mouldgeom.filter.candidates import GRID, Request, Search, feasible, range_of, with_filter
from mouldgeom.filter.resting import full_bore
from mouldgeom.filter.working import WATER_OVER_SAND, Limit
from mouldgeom.spec import unchecked
from mouldgeom.units import Ratio, plain, rounded_down
from mouldgeom.verdict import Quantity


@dataclass(frozen=True, slots=True)
class FilterChange:
    """One change that would make a filter possible."""

    what: str
    name: str
    old: Quantity
    new: Quantity
    unit: str

    @property
    def share(self) -> Ratio:
        """Size of the change as a share of the old value."""
        return abs(self.new - self.old) / abs(self.old)

    def words(self) -> str:
        """The change as a person would say it."""
        return f"{self.what} {plain(self.new, 2)} {self.unit} instead of {plain(self.old, 2)} {self.unit}"


class NoFilterError(InputError):
    """No filter meets all limits; says which two conflict and what would mend it, nearest change first.

    >>> from mouldgeom import size
    >>> try:
    ...     size(asked={"sand_column": 500, "charge": 12, "height_limit": 700})
    ... except NoFilterError as error:
    ...     print(len(error.names) > 0)
    True
    """

    def __init__(
        self, request: Request, reason: str, names: tuple[str, ...], changes: tuple[FilterChange, ...]
    ) -> None:
        self.reason, self.names, self.changes = reason, names, changes
        wanted = request.base.filter
        value = f"{plain(wanted.sand_column)} mm of sand, {plain(wanted.charge)} l at a time"
        others = "".join(f"; or {change.words()}" for change in changes[1:])
        remedy = f"Nearest change that would do: {changes[0].words()}{others}." if changes else _NOTHING
        super().__init__("filter", value, reason, remedy)


_NOTHING = "No single change was found that would do."


def no_filter(search: Search, *, mend: bool = True) -> NoFilterError:
    """Say why a search has no width: which limits conflict, and (if asked) which single changes would do."""
    low, high = search.narrowest(), search.widest()
    if low is not None and high is not None and low <= high:
        one = search.at(low).broken(wider=None)[0]
        other: Limit | None = None
        reason = f"{_against(one)} whatever the width of the cavity"
    elif low is not None and high is not None:
        one, other = search.at(low - 1).broken(wider=True)[0], search.at(high + 1).broken(wider=False)[0]
        reason = (
            f"'{one.title}' wants a cavity at least {plain(low / GRID, 1)} mm wide, "
            f"'{other.title}' one at most {plain(high / GRID, 1)} mm wide"
        )
    elif low is None:
        one = search.at(search.most).broken(wider=True)[0]
        other = search.at(high + 1).broken(wider=False)[0] if high is not None and high < search.most else None
        reason = f"{_against(one)} even with the widest cavity that a mould is made for ({_edge(search.most)})"
    else:
        one = search.at(search.least).broken(wider=False)[0]
        other = search.at(low - 1).broken(wider=True)[0] if low > search.least else None
        reason = f"{_against(one)} even with the narrowest cavity that a mould is made for ({_edge(search.least)})"
    if other is not None and (low is None or high is None):
        reason += f", and '{other.title}' does not allow that"
    names = (one.title, other.title if other is not None else "range of the cavity")
    return NoFilterError(search.request, reason, names, _changes(search, one, other) if mend else ())


def _edge(tenths: int) -> str:
    return f"{plain(tenths / GRID, 1)} mm"


def _against(limit: Limit) -> str:
    unit = "" if limit.unit == "-" else f" {limit.unit}"
    value, bound = limit.told(lambda number, more: plain(number, 3 + more))
    return f"'{limit.title}' is {value}{unit}, allowed is {limit.operator.words} {bound}{unit},"


def _changes(search: Search, one: Limit, other: Limit | None) -> tuple[FilterChange, ...]:
    """Single changes that would do, each found by solving again, the smallest first."""
    request = search.request
    wanted, tube = request.base.filter, request.base.tube
    codes = {limit.code for limit in (one, other) if limit is not None}
    tried: list[tuple[str, str, Quantity, Quantity, str, Quantity]] = [
        *(("a sand column of", "sand_column", wanted.sand_column, end, "mm", 1.0) for end in range_of("sand_column")),
        *(("a charge of", "charge", wanted.charge, end, "l", 0.1) for end in range_of("charge")),
    ]
    if "loading" in codes:
        tried.append(("a loading rate up to", "loading", request.loading, 1.0, "m/h", 0.01))
    if "height" in codes:
        tried.append(("an overall height up to", "height", request.height, 2000.0, "mm", 5.0))
    if "mass" in codes:
        tried.append(("a mass up to", "mass", request.mass, 1000.0, "kg", 1.0))
    if "drain-time" in codes:
        tried.append(("a rest of", "rest", request.base.water.rest, 48.0, "h", 0.5))
    if "crest-head" in codes:
        tried.append(("a crest head of", "crest_head", tube.crest_head, 5.0, "mm", 1.0))
        tried.append(("a bend radius of", "bend_radius", tube.bend_radius, 1.5 * tube.outside_diameter, "mm", 1.0))
    if "ledge" in codes:
        tried.append(("a ledge clearance of", "ledge_clearance", wanted.ledge_clearance, 5.0, "mm", 1.0))
    if "tube-capacity" in codes:
        tried.append(("a tube bore of", "bore", tube.bore, tube.outside_diameter - 1.0, "mm", 0.5))
    if codes & {"water-least", "water-greatest"}:
        now, full = wanted.water_over_sand, rounded_down(2 * full_bore(request.base.water.temperature), 0) / 2
        if tube.bore > full:
            tried.append(("a tube bore of", "bore", tube.bore, full, "mm", 0.5))
        tried += [("water over the sand of", "water_over_sand", now, end, "mm", 1.0) for end in WATER_OVER_SAND]
    if codes & {"stone-floor", "stone-tube", "wall"}:
        tried.append(("a largest stone of", "largest_stone", request.base.concrete.largest_stone, 2.0, "mm", 0.5))
    found = [change for change in (_changed(search, *row) for row in tried) if change is not None]
    return tuple(sorted(found, key=lambda change: change.share))


def _apply(request: Request, name: str, value: Quantity) -> Request:
    base = request.base
    if name == "loading":
        return replace(request, loading=value)
    if name == "height":
        return replace(request, height=value)
    if name == "mass":
        return replace(request, mass=value)
    if name == "rest":
        return replace(request, base=unchecked(base, "water", **{name: value}))
    if name == "largest_stone":
        return replace(request, base=unchecked(base, "concrete", **{name: value}))
    if name in {"crest_head", "bend_radius", "bore"}:
        return replace(request, base=unchecked(base, "tube", **{name: value}))
    return replace(request, base=with_filter(base, **{name: value}))


def _changed(
    search: Search, what: str, name: str, old: Quantity, end: Quantity, unit: str, grid: Quantity
) -> FilterChange | None:
    """Least change of one value towards ``end``, in whole steps of ``grid``, that makes the filter possible."""
    way = 1 if end > old else -1
    most = math.floor(abs(end - old) / grid + 1e-9)
    first = math.floor(old / grid + 1e-9) if way > 0 else math.ceil(old / grid - 1e-9)

    def does(step: int) -> bool:
        return feasible(_apply(search.request, name, round((first + way * step) * grid, 6)), search.nose)

    # too much of a change may break another limit: look along the way, then close in on the near side of what does
    low, step = 0, next((step for step in _strides(most) if does(step)), None)
    if step is None:
        return None
    while step - low > 1:
        middle = (low + step) // 2
        low, step = (low, middle) if does(middle) else (middle, step)
    return FilterChange(what, name, old, round((first + way * step) * grid, 6), unit)


def _strides(most: int) -> list[int]:
    """Steps of growing length up to ``most``."""
    steps = [1] if most >= 1 else []
    while steps and steps[-1] < most:
        steps.append(min(most, max(steps[-1] + 1, math.ceil(steps[-1] * 1.6))))
    return steps
