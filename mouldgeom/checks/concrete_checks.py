"""Concrete of the body: volume by the solid, strength when the mould comes off, and the walls of the full filter."""

from __future__ import annotations

from typing import Final

from mouldgeom.checks.case import Case, height_words
from mouldgeom.checks.filter_checks import MeasuredHollow
from mouldgeom.checks.result import CheckResult, Operator
from mouldgeom.filter.concrete import body_volume, stages, wall_stress
from mouldgeom.units import GRAVITY, Percent
from mouldgeom.words import Said

VOLUME_TOLERANCE: Final[Percent] = 0.01
"""Difference between the solid and the closed formula: own rule."""


def check_concrete(case: Case) -> tuple[CheckResult, ...]:
    """Volume by the solid against the dimensions, stripping, lifting, and tension in the walls."""
    dims, spec = case.dims, case.dims.spec
    hollow = MeasuredHollow.of(case)
    volume = case.solids.body.Volume()
    closed = body_volume(spec, dims.levels, dims.cavity, dims.nose, dims.tube, dims.shell)
    mass = volume * 1e-9 * spec.concrete.density
    stress = wall_stress(spec, dims.levels, dims.cavity, hollow.thickness)
    section = dims.width * dims.depth - hollow.area_at(hollow.rim)
    strip, lift, fill, _ = stages(spec, stress.stress, mass * GRAVITY, section)
    place = height_words(dims.height - stress.level, dims)
    return (
        CheckResult(
            "4.6",
            "concrete by the solid against by the dimensions, difference",
            abs(volume / closed - 1) * 100,
            VOLUME_TOLERANCE,
            Operator.AT_MOST,
            "%",
            Said("whole body, {volume:.1f} l, {mass:.0f} kg", volume=volume / 1e6, mass=mass),
            "own rule",
        ),
        CheckResult(
            "4.7",
            "strength when the mould comes off",
            strip.provided,
            strip.required,
            Operator.AT_LEAST,
            "MPa",
            Said(
                "after {age:g} h at {temperature:g} C",
                age=spec.concrete.stripping_age,
                temperature=spec.concrete.curing_temperature,
            ),
            strip.source,
        ),
        CheckResult(
            "4.8",
            "tension in the walls by which the body hangs when it is drawn",
            lift.required,
            lift.provided,
            Operator.AT_MOST,
            "MPa",
            "rim",
            lift.source,
        ),
        CheckResult(
            "8.1",
            "tension in the walls of the filter, filled with its charge",
            fill.required,
            fill.provided,
            Operator.AT_MOST,
            "MPa",
            Said("corners, {place}; {stage}", place=place, stage=fill.name),
            fill.source,
        ),
    )
