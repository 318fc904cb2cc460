"""What ``mouldgeom size`` has found: a sizing with everything that is said about it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

from mouldgeom.design.bought import buy
from mouldgeom.design.dimensions import derive
from mouldgeom.design.outlet import nose_box, tube_path
from mouldgeom.filter.asking import Asked
from mouldgeom.filter.concrete import Batch, batch, body_volume, stages, wall_stress
from mouldgeom.filter.conductivity import conductivities
from mouldgeom.filter.demand import Demand
from mouldgeom.filter.findings import Estimate
from mouldgeom.filter.hydraulics import CleanBed, loading_rate, outlet_flow
from mouldgeom.filter.levels import ledge_step, solve_levels
from mouldgeom.filter.sand import verdict
from mouldgeom.filter.sizing import Sizing, size
from mouldgeom.filter.water import kinematic_viscosity, viscosity_ratio
from mouldgeom.filter.working import sand_conductivity
from mouldgeom.spec import Spec, parse, spec_toml
from mouldgeom.units import GRAVITY, MetrePerHour, MetrePerSecond, Mm3, Ratio
from mouldgeom.verdict import Verdict
from mouldgeom.words import Said

SPHERICITY: Final[Ratio] = 0.75
"""Shape of average sand grains: Davis, Water and Wastewater Engineering (2010), Table 11-2."""


def body_of(spec: Spec) -> Mm3:
    """Volume of the concrete body, worked out without the solid kernel.

    Raises:
        SpecError: the tube does not fit its wall, or the nose comes down on the base flange.
    """
    stock = buy(spec)
    levels, cavity = solve_levels(spec, ledge_step(spec, stock.ledge.thickness_mm))
    depth = spec.filter.cavity_depth + 2 * (cavity.step + spec.filter.least_wall)
    tube = tube_path(spec, stock, levels, cavity, depth)
    nose = nose_box(spec, stock, levels, tube, depth)
    return body_volume(spec, levels, cavity, nose, tube, stock.shell.thickness_mm)


@dataclass(frozen=True)
class SizingAnswer:
    """A sizing with everything that is said about it."""

    asked: Asked
    sizing: Sizing

    @property
    def spec(self) -> Spec:
        """The specification for `make`."""
        return self.sizing.spec

    @cached_property
    def estimates(self) -> tuple[Estimate, ...]:
        """Conductivity by each formula, at the water's temperature where the formula knows it."""
        sand = self.spec.sand
        return conductivities(sand.effective_size, sand.uniformity, sand.porosity, self.spec.water.temperature)

    @cached_property
    def conductivity(self) -> MetrePerSecond:
        """Conductivity that was used, at the water's temperature."""
        return sand_conductivity(self.spec) * viscosity_ratio(20.0, self.spec.water.temperature)

    @cached_property
    def loading_spread(self) -> tuple[MetrePerHour, MetrePerHour]:
        """Loading rate with the least and the greatest of the estimates; twice the same where it was measured."""
        working = self.sizing.working
        if self.spec.sand.conductivity:
            return working.loading, working.loading
        values = [estimate.value for estimate in self.estimates]
        rates = []
        for value in (min(values), max(values)):
            sand = working.bed.layers[0]
            ratio = value / self.conductivity
            bed = type(working.bed)((type(sand)(sand.name, sand.thickness, sand.conductivity * ratio, sand.area),
                                     *working.bed.layers[1:]))  # fmt: skip
            flow = outlet_flow(working.head, bed, working.tube, self.spec.water.temperature)
            rates.append(loading_rate(flow, working.sand_area))
        return rates[0], rates[1]

    @cached_property
    def demand(self) -> Demand | None:
        """What the household asks, where people were given."""
        if self.asked.people is None:
            return None
        wanted = self.spec.water.rest
        drain = self.sizing.working.drain_time
        charge, cast = self.spec.filter.charge, self.asked.filters
        return Demand(self.asked.people, self.asked.litres_per_person, charge, wanted, drain, cast=cast)

    @cached_property
    def clean_bed(self) -> tuple[Estimate, ...]:
        """Head lost in the clean bed at full flow, by formulas for graded grains; none where sand was not sieved."""
        grading, working = self.asked.grading, self.sizing.working
        if grading is None:
            return ()
        velocity = working.full_flow / (working.sand_area * 1e-6)
        viscosity = kinematic_viscosity(self.spec.water.temperature)
        depth, porosity = self.spec.filter.sand_column, self.spec.sand.porosity
        return CleanBed(grading.fractions(), depth, velocity, porosity, SPHERICITY, viscosity).all()

    @property
    def filters(self) -> int:
        """Filters to be cast."""
        return self.demand.count if self.demand else self.asked.filters or 1

    @cached_property
    def stages(self) -> tuple[Verdict, ...]:
        """What the concrete must bear, stage by stage."""
        design = self.sizing.design
        stress = wall_stress(self.spec, design.levels, design.cavity).stress
        width, depth = design.outside
        section = width * depth - design.cavity.area_at(design.levels.rim)
        return stages(self.spec, stress, self.sizing.mass * GRAVITY, section)

    def batch(self, count: int = 1) -> Batch:
        """Mix for so many filters."""
        return batch(self.spec, count * self.sizing.body / 1e6)

    @property
    def sand_verdict(self) -> str:
        """The sand against published ranges, in a line."""
        failing = any(finding.decides and not finding.holds for finding in self.asked.findings)
        if self.asked.grading is None:
            told = "not sieved, {verdict}"
            return Said(told, verdict=verdict(self.asked.findings)) if failing else "not sieved"
        return verdict(self.asked.findings)


def answer(asked: Asked) -> SizingAnswer:
    """Size what was asked, mould included, and read the result back as `make` will.

    Raises:
        NoFilterError: two limits conflict.
        SpecError: the mould cannot be made.
    """
    sizing = size(asked.request, body_of, derive)
    parse(spec_toml(sizing.spec))
    return SizingAnswer(asked, sizing)
