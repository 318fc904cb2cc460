"""A filter at work: its bed, its tube, its flow, and the limits that both sizing and checks hold it to."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final, Protocol

from mouldgeom.filter.conductivity import kozeny_carman
from mouldgeom.filter.hydraulics import (
    REFERENCE_TEMPERATURE,
    Bed,
    BedLayer,
    DrainCurve,
    Tube,
    drain,
    loading_rate,
    mean_area,
    outlet_flow,
)
from mouldgeom.filter.levels import Cavity, Levels, litres
from mouldgeom.filter.resting import Running, TubeLevels, tube_levels
from mouldgeom.filter.weir import SELF_VENTING, leg_filling
from mouldgeom.spec import Spec
from mouldgeom.units import Hour, Litre, M3PerSecond, Metre, MetrePerHour, MetrePerSecond, Mm, Mm2, Mm3
from mouldgeom.verdict import Operator, Verdict

LOADING_LIMIT: Final[MetrePerHour] = 0.4
"""Flow at full reservoir over plan area: papers on household filters (from memory); WHO 1974 has 0.1 to 0.4 too."""
WATER_OVER_SAND: Final[tuple[Mm, Mm]] = (40.0, 60.0)
"""Water over the sand while it rests: papers on household filters (from memory)."""
GRAVEL_SIZES: Final[tuple[Mm, Mm]] = (0.7, 6.0)
"""Effective size of fine and coarse supporting gravel, the finest of the usual 0.7-6 and 6-12 mm (from memory)."""
GRAVEL_POROSITY: Final = 0.40
"""Pores of placed gravel: common practice, no source; counted apart, never towards the charge."""

PAPERS: Final = "papers on household filters filled now and then (from memory)"
_HANDBOOKS: Final = "handbooks of hydraulics (from memory)"
_SPEC: Final = "specification, "


class Hollow(Protocol):
    """The inside of the concrete, as dimensions give it or as it is measured on the solid."""

    def area_at(self, level: Mm) -> Mm2:
        """Plan area at a level."""

    def volume(self, low: Mm, high: Mm) -> Mm3:
        """Volume between two levels."""


@dataclass(frozen=True, slots=True)
class Limit(Verdict):
    """A verdict that sizing acts upon.

    ``wider`` says whether a wider cavity helps: true, false, or None where the width has no say.
    """

    wider: bool | None = None


def sand_conductivity(spec: Spec) -> MetrePerSecond:
    """Conductivity of the sand in water of 20 C: as measured, or by Kozeny-Carman with 1/180 from its d10.

    Source: Kozeny-Carman with 1/180, a general page; with 1/120 in the Vukovic and Soro form.
    """
    sand = spec.sand
    return sand.conductivity or kozeny_carman(sand.effective_size, sand.porosity, REFERENCE_TEMPERATURE).value


def bed_of(spec: Spec, levels: Levels, hollow: Hollow) -> Bed:
    """Sand, fine and coarse supporting gravel, each with the mean area of the tapered cavity.

    Source: gravel by Kozeny-Carman at its finest size; beyond 3 mm outside that formula's range, and of no weight.
    """
    fine, coarse = (kozeny_carman(size, GRAVEL_POROSITY, REFERENCE_TEMPERATURE).value for size in GRAVEL_SIZES)
    bounds = (
        ("sand", levels.sand_bottom, levels.sand_top, sand_conductivity(spec)),
        ("fine supporting gravel", levels.fine_gravel_bottom, levels.sand_bottom, fine),
        ("coarse supporting gravel", levels.floor, levels.fine_gravel_bottom, coarse),
    )
    return Bed(
        tuple(
            BedLayer(name, top - bottom, speed, mean_area(hollow.area_at(bottom), hollow.area_at(top)))
            for name, bottom, top, speed in bounds
        )
    )


def wall_at(spec: Spec, cavity: Cavity, level: Mm) -> Mm:
    """Thickness of the concrete wall at a level, outside faces plumb."""
    return spec.filter.least_wall + cavity.step + (cavity.width - cavity.width_at(level)) / 2


def tube_of(spec: Spec, levels: Levels, cavity: Cavity, shell: Mm) -> Tube:
    """The outlet tube: out of the cavity above the floor, up in the front wall, over and down in the nose."""
    tube, laid = spec.tube, tube_levels(spec, levels.rest, shell)
    inlet, bend = levels.floor + tube.inlet_rise, laid.crest - tube.bend_radius
    level = wall_at(spec, cavity, inlet) - tube.cover - tube.outside_diameter / 2 - tube.bend_radius
    riser = bend - (inlet + tube.bend_radius)
    length = level + riser + (bend - laid.end) + 1.5 * math.pi * tube.bend_radius
    return Tube(tube.bore, max(length, tube.bend_radius))


@dataclass(frozen=True, slots=True)
class Way:
    """A way in which the tube may run: as far as the water fills it, and the level at which the flow then stops."""

    tube: Tube
    rest: Mm


@dataclass(frozen=True)
class Working:
    """A filter at work.

    Args:
        whole: the tube from its inlet to its end.
        laid: its levels.
    """

    spec: Spec
    levels: Levels
    hollow: Hollow
    whole: Tube
    laid: TubeLevels

    @staticmethod
    def of(spec: Spec, levels: Levels, cavity: Cavity, shell: Mm) -> Working:
        """From the dimensions; ``shell`` is the thickness of the nose lid."""
        laid = tube_levels(spec, levels.rest, shell)
        return Working(spec, levels, cavity, tube_of(spec, levels, cavity, shell), laid)

    @cached_property
    def resting(self) -> TubeLevels:
        """The tube's levels, and how it may run in this filter.

        A tube too wide to stay full runs full all the same where the flow is too great for its leg to vent itself;
        whether the water then stops at its end is as open as for a narrower one.
        """
        laid = self.laid
        if laid.running is not Running.WEIR:
            return laid
        flow = self._flow_by(self._ways(laid)[0])
        return laid if leg_filling(laid.bore, flow) < SELF_VENTING else replace(laid, running=Running.EITHER)

    @cached_property
    def ways(self) -> tuple[Way, ...]:
        """How the tube may run, the way of greatest flow first."""
        return self._ways(self.resting)

    def _ways(self, laid: TubeLevels) -> tuple[Way, ...]:
        full = Way(self.whole, laid.end)
        if laid.running is Running.FULL:
            return (full,)
        radius = self.spec.tube.bend_radius
        leg = laid.crest - radius - laid.end + math.pi / 2 * radius
        to_crest = Tube(self.whole.bore, max(self.whole.length - leg, radius), bends=2.0, weir=True)
        weir = Way(to_crest, laid.invert)
        return (weir,) if laid.running is Running.WEIR else (full, weir)

    def _flow_by(self, way: Way) -> M3PerSecond:
        return outlet_flow((self.levels.full - way.rest) / 1000, self.bed, way.tube, self.spec.water.temperature)

    @property
    def tube(self) -> Tube:
        """The tube as far as the water fills it."""
        return self.ways[0].tube

    @property
    def crest_head(self) -> Mm:
        """Full level above the bore at the crest, less what the charge may have to fill up first (`TubeLevels`)."""
        return self.resting.crest_head(self.levels.full)

    @cached_property
    def bed(self) -> Bed:
        """Sand and gravel."""
        return bed_of(self.spec, self.levels, self.hollow)

    @property
    def head(self) -> Metre:
        """Head at full reservoir: full level above the level at which the flow stops, in metres."""
        return (self.levels.full - self.ways[0].rest) / 1000

    @property
    def sand_area(self) -> Mm2:
        """Plan area at the top of the sand."""
        return self.hollow.area_at(self.levels.sand_top)

    @cached_property
    def full_flow(self) -> M3PerSecond:
        """Flow at full reservoir through bed and tube in series."""
        return self._flow_by(self.ways[0])

    @property
    def loading(self) -> MetrePerHour:
        """Loading rate at full reservoir, over the plan area at the top of the sand."""
        return loading_rate(self.full_flow, self.sand_area)

    @property
    def reservoir(self) -> Litre:
        """Volume from the highest rest level to the full level."""
        return litres(self.hollow.volume(self.resting.highest, self.levels.full))

    @cached_property
    def pore_volume(self) -> Litre:
        """Pores of the sand."""
        return self.spec.sand.porosity * litres(self.hollow.volume(self.levels.sand_bottom, self.levels.sand_top))

    @property
    def gravel_pores(self) -> Litre:
        """Pores of both gravels, for information."""
        return GRAVEL_POROSITY * litres(self.hollow.volume(self.levels.floor, self.levels.sand_bottom))

    @cached_property
    def drain_curve(self) -> DrainCurve:
        """How the reservoir drains: the slowest of its ways."""
        full, temperature = self.levels.full, self.spec.water.temperature
        curves = [drain(self.hollow.area_at, w.rest, full, self.bed, w.tube, temperature) for w in self.ways]
        return max(curves, key=lambda curve: curve.drain_time)

    @property
    def drain_time(self) -> Hour:
        """Hours until the reservoir is drained to 2 mm."""
        return self.drain_curve.drain_time / 3600

    def flow_limits(self, loading: MetrePerHour = LOADING_LIMIT) -> tuple[Limit, ...]:
        """Limits that need no drain curve.

        Source: loading rate, charge against pores, water over the sand: papers on household filters (from memory).
        """
        spec, charge = self.spec, self.reservoir
        temperature, head = spec.water.temperature, self.head
        alone = outlet_flow(head, None, self.tube, temperature) * 3.6e6
        low, high = WATER_OVER_SAND
        least, most = (rest - self.levels.sand_top for rest in (self.resting.lowest, self.resting.highest))
        return (
            Limit(
                "loading", "loading rate at full reservoir", self.loading, loading, Operator.AT_MOST, "m/h",
                "top of the sand", PAPERS, wider=True,
            ),
            Limit(
                "pore-volume", "charge against pore volume of the sand", charge, self.pore_volume, Operator.AT_MOST,
                "l", "sand", PAPERS, wider=True,
            ),
            Limit(
                "water-least", "water over the sand", least, low, Operator.AT_LEAST, "mm",
                self._rests("at the end of the tube, if it stays full"), PAPERS,
            ),
            Limit(
                "water-greatest", "water over the sand", most, high, Operator.AT_MOST, "mm",
                self._rests("at the crest, if the tube empties"), PAPERS,
            ),
            Limit(
                "crest-head", "full level above the bore at the crest", self.crest_head, spec.tube.crest_head,
                Operator.AT_LEAST, "mm", "crest of the outlet tube", _SPEC + "tube.crest_head", wider=False,
            ),
            Limit(
                "tube-capacity", "flow that the tube alone could pass, against the bed's", alone,
                self.bed.flow(head, temperature) * 3.6e6, Operator.AT_LEAST, "l/h", "outlet tube", _HANDBOOKS,
            ),
        )  # fmt: skip

    def _rests(self, either: str) -> str:
        """Where the water comes to rest; ``either`` where the tube may run in both ways."""
        return {
            Running.FULL: "at the end of the tube, which stays full",
            Running.WEIR: "at the crest of the tube, which runs as a weir",
            Running.EITHER: either,
        }[self.resting.running]

    def drain_limit(self) -> Limit:
        """The reservoir drains within the rest, so that the bed rests for half of the time at least.

        Source: common practice, no source.
        """
        return Limit(
            "drain-time", "time to drain the reservoir", self.drain_time, self.spec.water.rest, Operator.AT_MOST, "h",
            "reservoir", _SPEC + "water.rest", wider=True,
        )  # fmt: skip
