"""What a package says of the filter itself: how it works, its concrete, its section and its drain curve."""

from __future__ import annotations

import math
from typing import Any

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.filter.cautions import CAUTIONS
from mouldgeom.filter.concrete import batch, body_volume, governing, stages, wall_stress
from mouldgeom.filter.resting import full_bore
from mouldgeom.filter.water import surface_tension
from mouldgeom.filter.working import Working
from mouldgeom.outputs.charts import drain_figure
from mouldgeom.outputs.filter_section import section_figure
from mouldgeom.outputs.records import json_bytes
from mouldgeom.units import GRAVITY, AnyUnit
from mouldgeom.words import Said, Words


def _tidy(value: AnyUnit, digits: int = 4) -> AnyUnit | None:
    return round(value, digits) + 0.0 if math.isfinite(value) else None


def tube_record(working: Working) -> dict[str, Any]:
    """How the outlet tube runs, its levels, and those at which the water may come to rest."""
    laid = working.resting
    return {
        "runs": laid.running.value,
        "bore_mm": _tidy(laid.bore),
        "stays_full_up_to_bore_mm": _tidy(full_bore(working.spec.water.temperature)),
        "surface_tension_mn_m": _tidy(surface_tension(working.spec.water.temperature) * 1000),
        "end_mm": _tidy(laid.end),
        "crest_invert_mm": _tidy(laid.invert),
        "rest_lowest_mm": _tidy(laid.lowest),
        "rest_highest_mm": _tidy(laid.highest),
    }


def filter_record(dims: Dimensions) -> dict[str, Any]:
    """Levels, flow, concrete for one filter and its stages, and the cautions; no kernel needed."""
    spec, levels = dims.spec, dims.levels
    working = Working.of(spec, levels, dims.cavity, dims.shell)
    volume = body_volume(spec, levels, dims.cavity, dims.nose, dims.tube, dims.shell)
    mass = volume * 1e-9 * spec.concrete.density
    mix = batch(spec, volume / 1e6)
    stress = wall_stress(spec, levels, dims.cavity)
    section = dims.width * dims.depth - dims.cavity.area_at(levels.rim)
    found = stages(spec, stress.stress, mass * GRAVITY, section)
    return {
        "outside_width_mm": _tidy(dims.width),
        "outside_depth_mm": _tidy(dims.depth),
        "height_mm": _tidy(dims.height),
        "levels_mm": {name: _tidy(getattr(levels, name)) for name in levels.__slots__},
        "tube": tube_record(working),
        "charge_l": spec.filter.charge,
        "pore_volume_l": _tidy(working.pore_volume),
        "loading_m_h": _tidy(working.loading),
        "flow_start_l_h": _tidy(working.full_flow * 3.6e6),
        "drain_time_h": _tidy(working.drain_time),
        "concrete_l": _tidy(volume / 1e6),
        "concrete_kg": _tidy(mass),
        "batch": {
            "cement_kg": _tidy(mix.cement, 1),
            "cement_bags": _tidy(mix.bags, 2),
            "sand_l": _tidy(mix.sand, 1),
            "stone_l": _tidy(mix.stone, 1),
            "water_l": _tidy(mix.water, 1),
        },
        "stages": [
            {"name": s.title, "needed_mpa": _tidy(s.value), "strength_mpa": _tidy(s.limit), "source": s.source}
            for s in found
        ],
        "governing": governing(found).title,
        "cautions": [caution.line() for caution in CAUTIONS],
    }


def filter_files(dims: Dimensions) -> dict[str, bytes]:
    """Files of the folder ``filter/`` by name."""
    spec = dims.spec
    working = Working.of(spec, dims.levels, dims.cavity, dims.shell)
    title = Said(
        "{sand_column:p1} mm of sand, {charge:p1} l", sand_column=spec.filter.sand_column, charge=spec.filter.charge
    )
    return {
        "filter/filter.json": json_bytes(filter_record(dims)),
        "filter/section.svg": section_figure(dims).svg().encode(),
        "filter/drain-curve.svg": drain_figure(working.drain_curve, title, Words(spec.papers.language)).svg().encode(),
    }
