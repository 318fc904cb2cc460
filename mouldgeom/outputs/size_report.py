"""What ``mouldgeom size`` answers: the design, the answer in words, in JSON and as a specification with its reasons."""

from __future__ import annotations

import math
from typing import Any, Final

from mouldgeom.design.sizing_answer import SPHERICITY, SizingAnswer, answer, body_of
from mouldgeom.filter.cautions import CAUTIONS
from mouldgeom.filter.concrete import Batch, governing
from mouldgeom.filter.findings import Estimate
from mouldgeom.filter.hydraulics import tube_loss
from mouldgeom.filter.resting import WEIR_BORE, Running, TubeLevels, full_bore
from mouldgeom.filter.sand import who_decides
from mouldgeom.filter.sizing import Sizing
from mouldgeom.filter.water import kinematic_viscosity, surface_tension
from mouldgeom.filter.working import Working
from mouldgeom.outputs.filter_files import tube_record
from mouldgeom.spec import spec_toml
from mouldgeom.units import Mm, rounded, told_apart
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said, Words, joined

__all__ = [
    "SPHERICITY",
    "SizingAnswer",
    "answer",
    "body_of",
    "document",
    "headline",
    "limit_record",
    "lines",
    "spec_text",
]

_LITRES_PER_HOUR: Final = 3.6e6


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


def document(found: SizingAnswer) -> dict[str, Any]:
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


def _demand_record(found: SizingAnswer) -> dict[str, Any] | None:
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


def _concrete_record(found: SizingAnswer) -> dict[str, Any]:
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


def lines(found: SizingAnswer) -> list[str]:
    """The answer first, then the reasons, in the language of the papers."""
    words = Words(found.spec.papers.language)
    return [words(line) for line in _lines(found)]


def _lines(found: SizingAnswer) -> list[str]:
    cautions = (_under("{text} ({source})", text=one.text, source=one.source) for one in CAUTIONS)
    return [*headline(found), "", *_why(found), "", *_levels(found), "", *_water(found), "", *_concrete(found), "",
            "Cautions", *cautions]  # fmt: skip


def _under(template: str, **values: object) -> Said:
    """A line that belongs to the one above it."""
    return Said("  {line}", line=Said(template, **values))


def headline(found: SizingAnswer) -> list[str]:
    """The answer in a few lines."""
    sizing, spec, working = found.sizing, found.spec, found.sizing.working
    width, depth = sizing.design.outside
    low, high = found.loading_spread
    speed = Said("{loading:.2f} m/h at full reservoir", loading=working.loading)
    if low != high:
        speed = Said("{loading} ({low:.2f} to {high:.2f} by formula)", loading=speed, low=low, high=high)
    answer: list[str] = [
        Said(
            "Outside {width:.0f} x {depth:.0f} mm, {height:.0f} mm high, {mass:.0f} kg of concrete, for {sand:p1} mm "
            "of sand and {charge:p1} l at a time.",
            width=width,
            depth=depth,
            height=sizing.levels.rim,
            mass=sizing.mass,
            sand=spec.filter.sand_column,
            charge=spec.filter.charge,
        ),
        Said("Limited by: {limit}.", limit=_bound(sizing)),
        Said(
            "Loading {speed}, {flow:.0f} l/h; drained to 2 mm in {time:.1f} h.",
            speed=speed,
            flow=working.full_flow * _LITRES_PER_HOUR,
            time=working.drain_time,
        ),
    ]
    if found.asked.grading is not None or found.sand_verdict != "not sieved":
        answer.append(Said("Sand: {verdict}.", verdict=found.sand_verdict))
    if found.demand is not None:
        answer.append(found.demand.lines()[0])
    return answer


def _told(limit: Verdict) -> tuple[str, str]:
    return limit.told(_hundredths)


def _hundredths(value: float, more: int) -> Said:
    return Said(f"{{value:p{2 + more}}}", value=value)


def _bound(sizing: Sizing) -> str:
    """The limit that governs, and how far it is reached."""
    for limit in sizing.limits:
        if limit.title == sizing.binding:
            value, bound = _told(limit)
            bound = _with_unit(bound, limit.unit)
            return Said("{limit} ({value} against {bound})", limit=limit.title, value=value, bound=bound)
    return sizing.binding


def _with_unit(value: str, unit: str) -> str:
    return value if unit == "-" else Said("{value} {unit}", value=value, unit=unit)


def _why(found: SizingAnswer) -> list[str]:
    rows = []
    for limit in found.sizing.limits:
        at_least = limit.operator is Operator.AT_LEAST
        told = "{limit}: {value}, at least {bound}" if at_least else "{limit}: {value}, at most {bound}"
        value, bound = (_with_unit(text, limit.unit) for text in _told(limit))
        row = Said(told, limit=limit.title, value=value, bound=bound)
        if limit.title == found.sizing.binding:
            row = Said("{limit}  <- governs", limit=row)
        if not limit.source.startswith("specification"):
            row = Said("{limit}  [{source}]", limit=row, source=limit.source)
        rows.append(_under("{limit}", limit=row))
    return ["Limits", *rows, *(_under("{reason}", reason=reason) for reason in found.sizing.reasons)]


def _levels(found: SizingAnswer) -> list[str]:
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
    return [
        "Levels above the underside, mm",
        *(
            _under("{level:7.1f}  {name}", level=level, name=name)
            for name, level in sorted(names, key=lambda row: -row[1])
        ),
        _under(
            "cavity {width:p1} x {depth:p1} mm at the rim, least wall {wall:p1} mm, reservoir {reservoir:.1f} mm",
            width=spec.filter.cavity_width,
            depth=spec.filter.cavity_depth,
            wall=spec.filter.least_wall,
            reservoir=levels.full - levels.rest,
        ),
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


def _tube_words(working: Working) -> Said:
    """How the tube runs, and by what that is reckoned."""
    laid, temperature = working.resting, working.spec.water.temperature
    return Said(
        "Outlet tube: a bore of {bore:p1} mm {runs}. Up to {full:.1f} mm stay full, by a surface tension of "
        "{tension:.1f} mN/m (clean water, IAPWS R1-76: keep soap and oil out of it); above {weir:p} mm it runs as a "
        "weir.",
        bore=laid.bore,
        runs=laid.running.value,
        full=full_bore(temperature),
        tension=surface_tension(temperature) * 1000,
        weir=WEIR_BORE,
    )


def _water(found: SizingAnswer) -> list[str]:
    working, spec = found.sizing.working, found.spec
    temperature = spec.water.temperature
    loss = tube_loss(working.tube, working.full_flow, kinematic_viscosity(temperature))
    curve = working.drain_curve
    flows = joined(
        Said("{flow:.1f} l/h after {time:g} h", flow=curve.flow_at(part * 3600) * _LITRES_PER_HOUR, time=part)
        for part in (0.25, 0.5, 1.0, 2.0, 4.0)
        if part * 3600 < curve.drain_time
    )
    measured = [finding.line() for finding in found.asked.findings if not finding.holds]
    decided = who_decides() if found.asked.grading is not None else ()
    demand = [_under("{line}", line=line) for line in (found.demand.lines() if found.demand else ())]
    return [
        Said("Sand and water of {temperature:p1} C", temperature=temperature),
        *(_under("{line}", line=line) for line in (*found.asked.sand_words, *measured, *decided)),
        _under("Conductivity used: {speed:.3g} m/s; by grain size:", speed=found.conductivity),
        *(Said("    {estimate}", estimate=_estimate(e)) for e in found.estimates),
        *_clean_bed(found),
        _under("{line}", line=_tube_words(working)),
        _under(
            "It takes {loss:.1f} mm of the {head:.0f} mm head, {regime}.",
            loss=loss.total * 1000,
            head=working.head * 1000,
            regime=loss.regime,
        ),
        _under("Flow: {flow:.1f} l/h at the start, {later}.", flow=working.full_flow * _LITRES_PER_HOUR, later=flows),
        *(["Demand", *demand] if demand else []),
    ]


def _estimate(e: Estimate) -> Said:
    told = "{method}: {value:.3g} m/s ({low:.3g} to {high:.3g})"
    estimate = Said(told, method=e.method, value=e.value, low=e.low, high=e.high)
    return estimate if e.valid else Said("{estimate}, outside its range", estimate=estimate)


def _clean_bed(found: SizingAnswer) -> list[str]:
    if not found.clean_bed:
        return []
    losses = joined(Said("{method} {loss:.0f} mm", method=e.method, loss=e.value * 1000) for e in found.clean_bed)
    return [_under("Loss of the clean sand at full flow, by its whole grading: {losses}.", losses=losses)]


def _batch_line(mix: Batch, count: int) -> Said:
    cement, sand, stone = mix.buckets
    return _under(
        "For {filters}, {concrete:.0f} l: {cement:.1f} kg of cement ({bags:.2f} bags), {sand:.0f} l of sand, "
        "{stone:.0f} l of stone, {water:.1f} l of water; {buckets}.",
        filters="one filter" if count == 1 else Said("{count} filters", count=count),
        concrete=mix.concrete,
        cement=mix.cement,
        bags=mix.bags,
        sand=mix.sand,
        stone=mix.stone,
        water=mix.water,
        buckets=Said(
            "in buckets of {bucket:p1} l: cement {cement:.1f}, sand {sand:.1f}, stone {stone:.1f}",
            bucket=mix.bucket,
            cement=cement,
            sand=sand,
            stone=stone,
        ),
    )


def _stage_line(stage: Verdict) -> Said:
    def write(value: float, digits: int) -> Said:
        return Said(f"{{value:.{digits}f}}", value=value)

    needed, there = stage.told(lambda value, more: write(value, 2 + more))
    use, _ = told_apart(100 * stage.use, 100.0, stage.holds, write)
    told = "{stage}: needs {needed} MPa of {there} MPa, {use} %"
    return _under(told, stage=stage.title, needed=needed, there=there, use=use)


def _concrete(found: SizingAnswer) -> list[str]:
    mix, stage = found.spec.concrete, governing(found.stages)
    counts = [1, *([found.filters] if found.filters > 1 else [])]
    return [
        Said(
            "Concrete 1:{sand:p}:{stone:p} by volume, yield {bulk:p}, water/cement {water:p}, stone to {largest:p1} "
            "mm, waste not counted",
            sand=mix.mix_sand,
            stone=mix.mix_stone,
            bulk=mix.mix_yield,
            water=mix.water_cement,
            largest=mix.largest_stone,
        ),
        *(_batch_line(found.batch(count), count) for count in counts),
        *(_stage_line(stage) for stage in found.stages),
        _under("Governing: {stage}.", stage=stage.title),
    ]


# ---------------------------------------------------------------- specification


def spec_text(found: SizingAnswer) -> str:
    """The specification for `make`, the reasoning and the cautions as comments at its head."""
    head = (
        "Specification written by mouldgeom size.",
        "",
        *_lines(found),
        "",
    )
    return spec_toml(found.spec, comments=True, head=head)
