"""Pressure of the fresh concrete on every face, as it is written down, and the published formulas beside it."""

from __future__ import annotations

from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.design.supports import pressure_of, reduced_pressure
from mouldgeom.errors import InputError
from mouldgeom.model.assembly import Mould
from mouldgeom.rules.pressure import FreshPressure
from mouldgeom.strength.fields import WALLS, core_face, core_name, panel_face, panel_name
from mouldgeom.strength.steps import Chapter, ResultTable, Step
from mouldgeom.units import Mm
from mouldgeom.words import Said, joined

__all__ = ["FreshPressure", "chapter", "pressure_of"]

METHODS: Final = ("liquid head", "ACI 347", "CIRIA 108", "DIN 18218")
_SOURCES: Final = {
    "liquid head": "US Navy builder manual 14045: full liquid head in a form filled within the initial set",
    "ACI 347": "ACI 347-04 and 347R-14; limits as in Hurd 2006, formulas from memory",
    "CIRIA 108": "CIRIA Report 108, 1985, as quoted in a worked sheet",
    "DIN 18218": "DIN 18218:1980-09, as printed in a formwork handbook; soft and flowing from memory",
}


def chapter(mould: Mould) -> Chapter:
    """Pressure from the pour face down, at each face, and what each panel and core wall bears altogether."""
    dims = mould.dims
    concrete, fresh = dims.spec.concrete, dims.fresh
    slow = concrete.pressure != "liquid head"
    return Chapter(
        title="Pressure of the fresh concrete",
        assumptions=(
            Said(
                "The mould is filled upside down to its upper edge, {height:.0f} mm above the base "
                "plate; depth counts from there.",
                height=dims.height,
            ),
            Said(
                "It is filled within the initial set of the concrete: the pressure is that of a liquid, reduced by "
                "{method}.",
                method=fresh.method,
            )
            if slow
            else "It is filled within the initial set of the concrete: the pressure is that of a liquid.",
            "No share is added for vibration: the reduced formulas have it in them."
            if slow
            else Said(
                "Share added for vibration: {vibration_allowance:.0f} %.",
                vibration_allowance=concrete.vibration_allowance * 100,
            ),
        ),
        steps=tuple(_steps(dims)),
        tables=(_methods(dims), _resultants(dims)),
        cautions=(
            "Concrete vibrated from outside, or that flows by itself, presses as a liquid: keep the full head for it.",
            *fresh.findings,
        ),
    )


def _steps(dims: Dimensions) -> list[Step]:
    fresh, concrete = dims.fresh, dims.spec.concrete
    source, liquid = _SOURCES[concrete.pressure], concrete.pressure == "liquid head"
    places: list[tuple[str, Mm]] = [
        ("foot of the panels and of the core, at the rim", 0.0),
        ("the ledge", dims.ledge_z),
        ("the underside of the nose lid, which it lifts", dims.nose.lid_z),
        ("the end plate of the core", dims.end_z),
    ]
    out = [
        Step(
            "weight of the fresh concrete" + (", share for vibration added" if liquid else ""),
            "g = gamma (1 + v)" if liquid else "g = gamma",
            f"{concrete.unit_weight_fresh:g} kN/m3" + (f", v = {concrete.vibration_allowance:g}" if liquid else ""),
            fresh.gradient,
            "kN/m3",
            "specification, concrete.unit_weight_fresh" + (" and concrete.vibration_allowance" if liquid else ""),
        )
    ]
    capped = fresh.liquid_depth < fresh.height
    for where, z in places:
        depth = dims.height - z
        numbers = f"{fresh.gradient:.2f} kN/m3 x {depth:.0f} mm"
        if capped:
            numbers = f"min({numbers}, {fresh.greatest * 1e3:.2f} kPa)"
        out.append(
            Step(
                Said("pressure at {where}", where=where),
                "p = min(g h, p_max)" if capped else "p = g h",
                numbers,
                dims.pressure_at(z) * 1e3,
                "kPa",
                source,
            )
        )
    width = dims.width
    out.append(
        Step(
            "load on the front panel",
            "F = B integral of p over the height",
            f"{width:.0f} mm x {fresh.resultant:.3f} N/mm",
            width * fresh.resultant / 1e3,
            "kN",
            source,
        )
    )
    return out


def _methods(dims: Dimensions) -> ResultTable:
    """Each method for this pour: its greatest pressure, or the limit that it lies outside of."""
    rows: list[tuple[str, ...]] = []
    for method in METHODS:
        try:
            found = reduced_pressure(dims.spec, dims.height, method)
        except InputError as error:
            rows.append(
                (
                    method,
                    "-",
                    "-",
                    Said(
                        "does not hold: {name} {value}, {limit}", name=error.name, value=error.value, limit=error.limit
                    ),
                    _SOURCES[method],
                )
            )
            continue
        note: str = joined(found.findings, "; ") or (
            "holds" if found.liquid_depth < found.height else "holds: full head"
        )
        if method == dims.spec.concrete.pressure:
            note = Said("{limits} (used)", limits=note)
        rows.append(
            (
                found.method,
                f"{found.greatest * 1e3:.2f}",
                f"{found.resultant / found.height * 1e3:.2f}",
                note,
                _SOURCES[method],
            )
        )
    concrete = dims.spec.concrete
    return ResultTable(
        "Published formulas for this pour",
        ("method", "greatest pressure, kPa", "mean pressure, kPa", "limits", "source"),
        tuple(rows),
        Said(
            "Rise {rate_of_rise:p} m/h, {placing_temperature:p} C, slump {slump:p} mm, "
            "{consistency}; a column, since its plan is below 2 m; needles inside; cement without "
            "retarder.",
            rate_of_rise=concrete.rate_of_rise,
            placing_temperature=concrete.placing_temperature,
            slump=concrete.slump,
            consistency=concrete.consistency,
        ),
    )


def _resultants(dims: Dimensions) -> ResultTable:
    rows = [(panel_name(w), panel_face(dims, w).load / 1e3) for w in WALLS]
    rows += [(core_name(w), core_face(dims, w).load / 1e3) for w in WALLS]
    nose, end = dims.nose, dims.end_z
    plate = 4 * dims.core_half_x(end) * dims.core_half_y(end)
    lid = (nose.root_half + nose.tip_half) * (nose.root_y - nose.tip_y)
    rows += [
        ("end plate of the core, downwards", dims.pressure_at(end) * plate / 1e3),
        ("nose lid, upwards", dims.pressure_at(nose.lid_z) * lid / 1e3),
    ]
    return ResultTable(
        "What each face bears",
        ("face", "load square to it, kN"),
        tuple((name, f"{load:.3f}") for name, load in rows),
        "The front panel bears the load on its nose too.",
    )
