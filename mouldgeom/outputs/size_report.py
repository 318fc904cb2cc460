"""What ``mouldgeom size`` answers: the design, the answer in words, in JSON and as a specification with its reasons."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from mouldgeom.bought import buy
from mouldgeom.dimensions import derive
from mouldgeom.filter.asking import Asked
from mouldgeom.filter.cautions import CAUTIONS
from mouldgeom.filter.concrete import Batch, batch, body_volume, governing, stages, wall_stress
from mouldgeom.filter.conductivity import conductivities
from mouldgeom.filter.demand import Demand
from mouldgeom.filter.findings import Estimate
from mouldgeom.filter.hydraulics import CleanBed, loading_rate, outlet_flow, tube_loss
from mouldgeom.filter.levels import ledge_step, solve_levels
from mouldgeom.filter.resting import WEIR_BORE, Running, TubeLevels, full_bore
from mouldgeom.filter.sand import verdict, who_decides
from mouldgeom.filter.sizing import Sizing, size
from mouldgeom.filter.water import kinematic_viscosity, surface_tension, viscosity_ratio
from mouldgeom.filter.working import Working, sand_conductivity
from mouldgeom.outlet import nose_box, tube_path
from mouldgeom.outputs.filter_files import tube_record
from mouldgeom.spec import Spec, parse, spec_toml
from mouldgeom.units import GRAVITY, MetrePerHour, MetrePerSecond, Mm, Mm3, Ratio, plain, rounded, told_apart
from mouldgeom.verdict import Verdict

SPHERICITY: Final[Ratio] = 0.75
"""Shape of average sand grains: Davis, Water and Wastewater Engineering (2010), Table 11-2."""

_LITRES_PER_HOUR: Final = 3.6e6


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
class Answer:
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
            return f"not sieved, {verdict(self.asked.findings)}" if failing else "not sieved"
        return verdict(self.asked.findings)


def answer(asked: Asked) -> Answer:
    """Size what was asked, mould included, and read the result back as `make` will.

    Raises:
        NoFilterError: two limits conflict.
        SpecError: the mould cannot be made.
    """
    sizing = size(asked.request, body_of, derive)
    parse(spec_toml(sizing.spec))
    return Answer(asked, sizing)


# ---------------------------------------------------------------- JSON


def _round(value: float, digits: int = 3) -> float | None:
    return round(value, digits) + 0.0 if math.isfinite(value) else None


def _figures(value: float, digits: int = 6) -> float:
    return float(f"{value:.{digits}g}")


def limit_record(limit: Verdict) -> dict[str, Any]:
    """One limit as a JSON object."""
    value, bound = limit.told(rounded)
    return {
        "code": limit.code, "name": limit.title, "holds": limit.holds, "value": value,
        "bound": bound, "operator": str(limit.operator), "unit": limit.unit,
        "source": limit.source,
    }  # fmt: skip


def document(found: Answer) -> dict[str, Any]:
    """The answer as one JSON document."""
    sizing, spec, working = found.sizing, found.spec, found.sizing.working
    width, depth = sizing.design.outside
    sand, grading = spec.sand, found.asked.grading
    low, high = found.loading_spread
    levels = sizing.levels
    hazen, _, _, kozeny, _ = found.estimates
    return {
        "outside_width_mm": _round(width),
        "outside_depth_mm": _round(depth),
        "height_mm": _round(levels.rim),
        "concrete_kg": _round(sizing.mass),
        "concrete_l": _round(sizing.body / 1e6),
        "binding": sizing.binding,
        "loading_m_h": _round(working.loading, 5),
        "loading_low_m_h": _round(low, 5),
        "loading_high_m_h": _round(high, 5),
        "charge_l": _round(spec.filter.charge),
        "pore_volume_l": _round(working.pore_volume),
        "gravel_pores_l": _round(working.gravel_pores),
        "drain_time_h": _round(working.drain_time, 4),
        "flow_start_l_h": _round(working.full_flow * _LITRES_PER_HOUR),
        "d10_mm": _figures(sand.effective_size),
        "d60_mm": _figures(grading.d60 if grading is not None else sand.effective_size * sand.uniformity),
        "uniformity": _figures(grading.uniformity if grading is not None else sand.uniformity),
        "fines_percent": None if grading is None or grading.fines is None else _round(grading.fines),
        "fines_at_most_percent": None if grading is None else _round(grading.fines_at_most),
        "porosity": sand.porosity,
        "conductivity_hazen_m_s": _figures(hazen.value),
        "conductivity_kozeny_carman_m_s": _figures(kozeny.value),
        "conductivity_used_m_s": _figures(found.conductivity),
        "conductivity_measured": bool(sand.conductivity),
        "conductivities": [
            {
                "method": e.method, "value_m_s": _figures(e.value), "low_m_s": _figures(e.low),
                "high_m_s": _figures(e.high), "valid": e.valid, "source": e.source,
            }
            for e in found.estimates
        ],
        "clean_bed_loss_mm": {e.method: _round(e.value * 1000, 1) for e in found.clean_bed},
        "temperature_c": spec.water.temperature,
        "sand_verdict": found.sand_verdict,
        "findings": [{"what": f.title, "passed": f.holds, "decides": f.decides, "line": f.line()}
                     for f in found.asked.findings],
        "sand_ranges": list(who_decides()),
        "sand_column_mm": _round(spec.filter.sand_column),
        "cavity_width_mm": _round(spec.filter.cavity_width),
        "cavity_depth_mm": _round(spec.filter.cavity_depth),
        "reservoir_mm": _round(levels.full - levels.rest),
        "least_wall_mm": _round(spec.filter.least_wall),
        "levels_mm": {name: _round(getattr(levels, name)) for name in levels.__slots__},
        "tube": tube_record(working),
        "limits": [limit_record(limit) for limit in sizing.limits],
        "reasons": list(sizing.reasons),
        "demand": _demand_record(found),
        "concrete": _concrete_record(found),
        "cautions": [caution.line() for caution in CAUTIONS],
    }  # fmt: skip


def _demand_record(found: Answer) -> dict[str, Any] | None:
    demand = found.demand
    if demand is None:
        return None
    return {
        "people": demand.people,
        "daily_l": _round(demand.daily),
        "fillings_a_day": demand.fillings_needed,
        "fillings_possible_a_day": _round(demand.fillings_possible),
        "filters": demand.filters,
        "filters_to_be_cast": demand.count,
        "people_served": demand.serves,
        "daily_each_l": _round(demand.daily_each),
        "rest_h": demand.rest,
        "lines": list(demand.lines()),
    }


def _concrete_record(found: Answer) -> dict[str, Any]:
    def one(count: int) -> dict[str, Any]:
        mix = found.batch(count)
        return {
            "filters": count, "volume_l": _round(mix.concrete, 1), "cement_kg": _round(mix.cement, 1),
            "cement_bags": _round(mix.bags, 2), "sand_l": _round(mix.sand, 1), "stone_l": _round(mix.stone, 1),
            "water_l": _round(mix.water, 1),
        }  # fmt: skip

    stage = governing(found.stages)
    return {
        "batches": [one(1), *([one(found.filters)] if found.filters > 1 else [])],
        "stages": [
            {"code": s.code, "name": s.title, "strength_mpa": _round(s.limit), "needed_mpa": _round(s.value),
             "use": _round(s.use), "source": s.source}
            for s in found.stages
        ],
        "governing": stage.code,
    }  # fmt: skip


# ---------------------------------------------------------------- words


def lines(found: Answer) -> list[str]:
    """The answer first, then the reasons."""
    return [*headline(found), "", *_why(found), "", *_levels(found), "", *_water(found), "", *_concrete(found), "",
            "Cautions", *(f"  {caution.line()}" for caution in CAUTIONS)]  # fmt: skip


def headline(found: Answer) -> list[str]:
    """The answer in a few lines."""
    sizing, spec, working = found.sizing, found.spec, found.sizing.working
    width, depth = sizing.design.outside
    low, high = found.loading_spread
    spread = f" ({low:.2f} to {high:.2f} by formula)" if low != high else ""
    answer = [
        f"Outside {width:.0f} x {depth:.0f} mm, {sizing.levels.rim:.0f} mm high, {sizing.mass:.0f} kg of concrete, "
        f"for {plain(spec.filter.sand_column, 1)} mm of sand and {plain(spec.filter.charge, 1)} l at a time.",
        f"Limited by: {sizing.binding}{_bound_words(sizing)}.",
        f"Loading {working.loading:.2f} m/h at full reservoir{spread}, {working.full_flow * _LITRES_PER_HOUR:.0f} l/h; "
        f"drained to 2 mm in {working.drain_time:.1f} h.",
    ]
    if found.asked.grading is not None or found.sand_verdict != "not sieved":
        answer.append(f"Sand: {found.sand_verdict}.")
    if found.demand is not None:
        answer.append(found.demand.lines()[0])
    return answer


def _told(limit: Verdict) -> tuple[str, str]:
    return limit.told(lambda value, more: plain(value, 2 + more))


def _bound_words(sizing: Sizing) -> str:
    for limit in sizing.limits:
        if limit.title == sizing.binding:
            unit = "" if limit.unit == "-" else f" {limit.unit}"
            return " ({} against {}{})".format(*_told(limit), unit)
    return ""


def _why(found: Answer) -> list[str]:
    rows = []
    for limit in found.sizing.limits:
        unit = "" if limit.unit == "-" else f" {limit.unit}"
        mark = "  <- governs" if limit.title == found.sizing.binding else ""
        value, bound = _told(limit)
        rows.append(f"  {limit.title}: {value}{unit}, {limit.operator.words} {bound}{unit}{mark}")
        rows[-1] += "" if limit.source.startswith("specification") else f"  [{limit.source}]"
    return ["Limits", *rows, *(f"  {reason}" for reason in found.sizing.reasons)]


def _levels(found: Answer) -> list[str]:
    levels, spec = found.sizing.levels, found.spec
    names = (
        ("rim", levels.rim),
        ("full level", levels.full),
        ("ledge", levels.ledge),
        *_rests(found.sizing.working.resting),
        ("sand top", levels.sand_top),
        ("sand bottom", levels.sand_bottom),
        ("fine supporting gravel from", levels.fine_gravel_bottom),
        ("floor", levels.floor),
    )
    size = f"{plain(spec.filter.cavity_width, 1)} x {plain(spec.filter.cavity_depth, 1)} mm"
    return [
        "Levels above the underside, mm",
        *(f"  {level:7.1f}  {name}" for name, level in sorted(names, key=lambda row: -row[1])),
        f"  cavity {size} at the rim, least wall {plain(spec.filter.least_wall, 1)} mm, "
        f"reservoir {levels.full - levels.rest:.1f} mm",
    ]


def _rests(laid: TubeLevels) -> tuple[tuple[str, Mm], ...]:
    if laid.running is Running.FULL:
        return (("rest level, end of the tube", laid.end),)
    if laid.running is Running.WEIR:
        return (("rest level, crest of the tube", laid.invert), ("end of the tube", laid.end))
    return (
        ("rest level if the tube empties, its crest", laid.invert),
        ("rest level if it stays full, its end", laid.end),
    )


def _tube_words(working: Working) -> str:
    """How the tube runs, and by what that is reckoned."""
    laid, temperature = working.resting, working.spec.water.temperature
    return (
        f"Outlet tube: a bore of {plain(laid.bore, 1)} mm {laid.running.value}. Up to {full_bore(temperature):.1f} mm "
        f"stay full, by a surface tension of {surface_tension(temperature) * 1000:.1f} mN/m (clean water, IAPWS R1-76: "
        f"keep soap and oil out of it); above {plain(WEIR_BORE)} mm it runs as a weir."
    )


def _water(found: Answer) -> list[str]:
    working, spec = found.sizing.working, found.spec
    temperature = spec.water.temperature
    loss = tube_loss(working.tube, working.full_flow, kinematic_viscosity(temperature))
    curve = working.drain_curve
    flows = ", ".join(
        f"{curve.flow_at(part * 3600) * _LITRES_PER_HOUR:.1f} l/h after {part:g} h"
        for part in (0.25, 0.5, 1.0, 2.0, 4.0)
        if part * 3600 < curve.drain_time
    )
    measured = [finding.line() for finding in found.asked.findings if not finding.holds]
    rows = [
        f"  {e.method}: {e.value:.3g} m/s ({e.low:.3g} to {e.high:.3g}){'' if e.valid else ', outside its range'}"
        for e in found.estimates
    ]
    demand = [f"  {line}" for line in (found.demand.lines() if found.demand else ())]
    return [
        f"Sand and water of {plain(temperature, 1)} C",
        *(f"  {words}" for words in found.asked.sand_words),
        *(f"  {line}" for line in measured),
        *(f"  {line}" for line in (who_decides() if found.asked.grading is not None else ())),
        f"  Conductivity used: {found.conductivity:.3g} m/s; by grain size:",
        *(f"  {row}" for row in rows),
        *_clean_bed(found),
        f"  {_tube_words(working)}",
        f"  It takes {loss.total * 1000:.1f} mm of the {working.head * 1000:.0f} mm head, {loss.regime}.",
        f"  Flow: {working.full_flow * _LITRES_PER_HOUR:.1f} l/h at the start, {flows}.",
        *(["Demand", *demand] if demand else []),
    ]


def _clean_bed(found: Answer) -> list[str]:
    if not found.clean_bed:
        return []
    losses = ", ".join(f"{e.method} {e.value * 1000:.0f} mm" for e in found.clean_bed)
    return [f"  Loss of the clean sand at full flow, by its whole grading: {losses}."]


def _batch_line(mix: Batch, count: int) -> str:
    cement, sand, stone = mix.buckets
    number = "one filter" if count == 1 else f"{count} filters"
    return (
        f"  For {number}, {mix.concrete:.0f} l: {mix.cement:.1f} kg of cement ({mix.bags:.2f} bags), "
        f"{mix.sand:.0f} l of sand, {mix.stone:.0f} l of stone, {mix.water:.1f} l of water; "
        f"in buckets of {plain(mix.bucket, 1)} l: cement {cement:.1f}, sand {sand:.1f}, stone {stone:.1f}."
    )


def _stage_line(stage: Verdict) -> str:
    needed, there = stage.told(lambda value, more: f"{value:.{2 + more}f}")
    use, _ = told_apart(100 * stage.use, 100.0, stage.holds, lambda value, more: f"{value:.{more}f}")
    return f"  {stage.title}: needs {needed} MPa of {there} MPa, {use} %"


def _concrete(found: Answer) -> list[str]:
    mix, stage = found.spec.concrete, governing(found.stages)
    counts = [1, *([found.filters] if found.filters > 1 else [])]
    return [
        f"Concrete 1:{plain(mix.mix_sand)}:{plain(mix.mix_stone)} by volume, yield {plain(mix.mix_yield)}, "
        f"water/cement {plain(mix.water_cement)}, stone to {plain(mix.largest_stone, 1)} mm, waste not counted",
        *(_batch_line(found.batch(count), count) for count in counts),
        *(_stage_line(stage) for stage in found.stages),
        f"  Governing: {stage.title}.",
    ]


# ---------------------------------------------------------------- specification


def spec_text(found: Answer) -> str:
    """The specification for `make`, the reasoning and the cautions as comments at its head."""
    head = (
        "Specification written by mouldgeom size.",
        "",
        *headline(found),
        "",
        *_why(found),
        "",
        *_levels(found),
        "",
        *_water(found),
        "",
        *_concrete(found),
        "",
        "Cautions",
        *(f"  {caution.line()}" for caution in CAUTIONS),
        "",
    )
    return spec_toml(found.spec, comments=True, head=head)
