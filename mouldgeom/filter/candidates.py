"""What a filter is sized for, and one candidate: a width, its levels, its wall, and the limits it meets or breaks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, Final

from mouldgeom import rules, tables
from mouldgeom.errors import InputError, SpecError
from mouldgeom.filter.levels import Cavity, Levels, held_below_ledge, ledge_step, solve_levels
from mouldgeom.filter.resting import tube_levels
from mouldgeom.filter.working import LOADING_LIMIT, Limit, Working, wall_at
from mouldgeom.spec import Spec, limits_of, unchecked
from mouldgeom.spec.fields import FilterGroup, Gear
from mouldgeom.units import Kg, MetrePerHour, Mm, Mm3, Ratio, rounded_up
from mouldgeom.verdict import Operator, Quantity

HEIGHT_LIMIT: Final[Mm] = 1200.0
"""Greatest height of the rim, so that a full bucket can be lifted to it: common practice, no source."""
MASS_LIMIT: Final[Kg] = 250.0
"""Greatest mass of the concrete, that a trolley and a few people can move: common practice, no source."""
GRID: Final = 10
"""Parts of a millimetre in which a length is chosen."""
AS_ASKED: Final = "as asked for"

_PRACTICE: Final = "common practice, no source"

Shape = Callable[[Spec], Mm3]
"""Volume of the whole concrete body of a spec; raises `SpecError` where tube or nose do not fit."""
Mould = Callable[[Spec], object]
"""Derives the mould; raises `SpecError` where it cannot be made."""


def range_of(name: str) -> tuple[Quantity, Quantity]:
    """Least and greatest value that a field of the filter may have."""
    low, high = limits_of(FilterGroup.model_fields[name]) or (0.0, math.inf)
    return low, high


@dataclass(frozen=True, slots=True)
class Request:
    """What a filter is to be sized for.

    Args:
        base: sand, water, tube, steel and the rest; its cavity is not looked at, its wall is the least asked for.
        ratio: width over depth of the cavity at the rim.
        loading, height, mass: limits.

    Raises:
        InputError: a ratio that no cavity has.
    """

    base: Spec
    ratio: Ratio = 1.0
    loading: MetrePerHour = LOADING_LIMIT
    height: Mm = HEIGHT_LIMIT
    mass: Kg = MASS_LIMIT

    def __post_init__(self) -> None:
        low, high = range_of("cavity_width")
        if not low / high <= self.ratio <= high / low:
            limit = f"width over depth lies between {low / high:.2f} and {high / low:.2f}"
            raise InputError("ratio", f"{self.ratio:g}", limit, "Choose 1 for a square plan.")


@dataclass(frozen=True)
class Design:
    """A filter with its levels, how it works, and why its wall is as thick as it is."""

    spec: Spec
    levels: Levels
    cavity: Cavity
    working: Working
    wall_reason: str

    @property
    def outside(self) -> tuple[Mm, Mm]:
        """Width and depth over all, the nose not counted."""
        wanted = self.spec.filter
        more = 2 * (self.cavity.step + wanted.least_wall)
        return wanted.cavity_width + more, wanted.cavity_depth + more

    @property
    def concrete(self) -> Mm3:
        """Volume of the vessel without its nose."""
        width, depth = self.outside
        return width * depth * self.levels.rim - self.cavity.volume(self.levels.floor, self.levels.rim)


@dataclass(frozen=True)
class Candidate:
    """One width with the limits it meets or breaks; no design where it has no levels."""

    limits: tuple[Limit, ...]
    design: Design | None = None

    @property
    def concrete(self) -> Mm3:
        """Volume of the vessel without its nose; without end where there is no design."""
        return math.inf if self.design is None else self.design.concrete

    def broken(self, *, wider: bool | None) -> list[Limit]:
        """Limits that do not hold and that a wider cavity would mend, or a narrower one, or (None) neither."""
        return [limit for limit in self.limits if limit.wider is wider and not limit.holds]


@dataclass
class Search:
    """Candidates by width in tenths of a millimetre, each evaluated once.

    Args:
        nose: volume that nose and tube add to the vessel.
        with_drain: whether the time to drain is among the limits (it costs most).
    """

    request: Request
    nose: Mm3 = 0.0
    with_drain: bool = False
    seen: dict[int, Candidate] = field(default_factory=dict)

    def __post_init__(self) -> None:
        low, high = range_of("cavity_width")
        ratio = self.request.ratio
        self.least = math.ceil(GRID * low * max(1.0, ratio) - 1e-6)
        self.most = math.floor(GRID * high * min(1.0, ratio) + 1e-6)

    def at(self, tenths: int) -> Candidate:
        """The candidate of this width."""
        if tenths not in self.seen:
            self.seen[tenths] = candidate(self.request, tenths, self.nose, with_drain=self.with_drain)
        return self.seen[tenths]

    def narrowest(self) -> int | None:
        """Least width at which no limit asks for a wider cavity."""
        low, high = self.least, self.most
        if self.at(high).broken(wider=True):
            return None
        while low < high:
            middle = (low + high) // 2
            if self.at(middle).broken(wider=True):
                low = middle + 1
            else:
                high = middle
        return low

    def widest(self) -> int | None:
        """Greatest width at which no limit asks for a narrower cavity."""
        low, high = self.least, self.most
        if self.at(low).broken(wider=False):
            return None
        while low < high:
            middle = (low + high + 1) // 2
            if self.at(middle).broken(wider=False):
                high = middle - 1
            else:
                low = middle
        return low

    def leanest(self, low: int, high: int) -> int:
        """Width of least concrete between two widths: volume falls, then rises; the narrower of two alike."""
        while high - low > 2:
            third = (high - low) // 3
            left, right = low + third, high - third
            if self.at(left).concrete <= self.at(right).concrete:
                high = right - 1
            else:
                low = left + 1
        return min(range(low, high + 1), key=lambda tenths: (self.at(tenths).concrete, tenths))


def feasible(request: Request, nose: Mm3 = 0.0) -> bool:
    """Whether some width meets every limit, with a nose of this volume; the mould is not looked at."""
    search = Search(request, nose, with_drain=True)
    low, high = search.narrowest(), search.widest()
    return low is not None and high is not None and low <= high and not search.at(low).broken(wider=None)


def with_filter(spec: Spec, **changes: Any) -> Spec:
    """The spec with some of the filter's fields changed, within their limits."""
    return unchecked(spec, "filter", **changes)


@lru_cache(maxsize=8)
def _steel(shell: str, ledge: str) -> tuple[Mm, Mm]:
    return tables.sheet(shell).thickness_mm, tables.sheet(ledge).thickness_mm


def candidate(request: Request, tenths: int, nose: Mm3, *, with_drain: bool) -> Candidate:
    """Work out the levels, the wall and every limit of one width in tenths of a millimetre."""
    base = request.base
    shell, strip = _steel(base.steel.shell, base.steel.ledge)
    width, depth = tenths / GRID, rounded_up(tenths / GRID / request.ratio)
    spec = with_filter(base, cavity_width=width, cavity_depth=depth)
    step = ledge_step(spec, strip)
    held = held_below_ledge(spec, step)
    reach = Limit(
        "ledge", "charge that reaches the ledge", spec.filter.charge, held, Operator.AT_LEAST, "l", "ledge", _PRACTICE,
        wider=False,
    )  # fmt: skip
    if not reach.holds:
        return Candidate((reach,))
    try:
        levels, cavity = solve_levels(spec, step)
    except SpecError:
        name = "width that the draft leaves at the floor"
        return Candidate((Limit("taper", name, 0.0, 100.0, Operator.AT_LEAST, "mm", "floor", _PRACTICE, wider=True),))
    spec, why = _with_wall(spec, levels, cavity, shell)
    working = Working.of(spec, levels, cavity, shell)
    design = Design(spec, levels, cavity, working, why)
    mass = (design.concrete + nose) * 1e-9 * spec.concrete.density
    limits = (
        *working.flow_limits(request.loading),
        reach,
        Limit(
            "height", "overall height", levels.rim, request.height, Operator.AT_MOST, "mm", "rim", _PRACTICE, wider=True
        ),
        Limit(
            "mass", "mass of the concrete", mass, request.mass, Operator.AT_MOST, "kg", "body", _PRACTICE, wider=False
        ),
        *_stone_and_wall(spec),
        *((working.drain_limit(),) if with_drain else ()),
    )
    return Candidate(limits, design)


def _stone_and_wall(spec: Spec) -> tuple[Limit, ...]:
    """The largest stone in floor and beside the tube, and a wall that a spec can state.

    Source: ACI 318-19 26.4.2.1(a)(5).
    """
    stone, aci = spec.concrete.largest_stone, "ACI 318-19 26.4.2.1(a)(5)"
    floor, beside = rules.aggregate_greatest(spec.filter.floor), rules.aggregate_greatest_beside_insert(spec.tube.cover)
    thickest = range_of("least_wall")[1]
    return (
        Limit("stone-floor", "largest stone in the floor", stone, floor, Operator.AT_MOST, "mm", "floor", aci),
        Limit("stone-tube", "largest stone beside the tube", stone, beside, Operator.AT_MOST, "mm", "tube", aci),
        Limit("wall", "least wall", spec.filter.least_wall, thickest, Operator.AT_MOST, "mm", "rim", _PRACTICE),
    )


def with_drain_limit(found: Candidate) -> Candidate:
    """The candidate with the time to drain among its limits."""
    if found.design is None or any(limit.code == "drain-time" for limit in found.limits):
        return found
    return replace(found, limits=(*found.limits, found.design.working.drain_limit()))


def _pads(spec: Spec) -> Mm:
    """Least wall that the pads of forcing screws stand on; 0 for a bridge."""
    if spec.extraction.gear is Gear.BRIDGE:
        return 0.0
    screw = tables.bolt(spec.steel.jack_screw)
    return rules.forcing_rim(screw.diameter_mm, screw.system)


def _with_wall(spec: Spec, levels: Levels, cavity: Cavity, shell: Mm) -> tuple[Spec, str]:
    """Thicken the least wall to what stone, tube and screws need, and say why.

    Source: stone: ACI 318-19 26.4.2.1(a)(5); tube: its cover on both sides, and room for its first bend.
    """
    tube, wanted = spec.tube, spec.filter
    around = tube.outside_diameter + 2 * tube.cover
    bend = tube.cover + tube.outside_diameter / 2 + tube.bend_radius + 2.0
    crest = wall_at(spec, cavity, tube_levels(spec, levels.rest, shell).crest) - wanted.least_wall
    inlet = wall_at(spec, cavity, levels.floor + tube.inlet_rise) - wanted.least_wall
    needs = (
        (wanted.least_wall, AS_ASKED),
        (spec.concrete.largest_stone / rules.aggregate_greatest(1.0), "five times the largest stone"),
        (around - crest, "the tube with its cover at the crest"),
        (bend - inlet, "the first bend of the tube"),
        (_pads(spec), "the pads of the forcing screws"),
    )
    most, why = max(needs, key=lambda need: need[0])
    if most <= wanted.least_wall:
        return spec, AS_ASKED
    return with_filter(spec, least_wall=rounded_up(most)), why
