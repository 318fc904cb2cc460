"""Concrete of the body: volume by the solid, and the walls by which it hangs and that hold the charge."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from mouldgeom.checks.case import Case
from mouldgeom.checks.filter_checks import MeasuredHollow
from mouldgeom.filter.concrete import body_volume, stages, wall_stress
from mouldgeom.strength.places import height_words
from mouldgeom.units import GRAVITY, Percent
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

VOLUME_TOLERANCE: Final[Percent] = 0.01
"""Difference between the solid and the closed formula: own rule."""


def check_concrete(case: Case) -> tuple[Verdict, ...]:
    """Volume by the solid against the dimensions, and tension in the walls, hanging and full."""
    dims, spec = case.dims, case.dims.spec
    hollow = MeasuredHollow.of(case)
    volume = case.solids.body.Volume()
    closed = body_volume(spec, dims.levels, dims.cavity, dims.nose, dims.tube, dims.shell)
    mass = volume * 1e-9 * spec.concrete.density
    stress = wall_stress(spec, dims.levels, dims.cavity, hollow.thickness)
    section = dims.width * dims.depth - hollow.area_at(hollow.rim)
    _, _, hang, _, fill, _ = stages(spec, stress.stress, mass * GRAVITY, section)
    place = height_words(dims.height - stress.level, dims)
    return (
        Verdict(
            "4.6",
            "concrete by the solid against by the dimensions, difference",
            abs(volume / closed - 1) * 100,
            VOLUME_TOLERANCE,
            Operator.AT_MOST,
            "%",
            Said("whole body, {volume:.1f} l, {mass:.0f} kg", volume=volume / 1e6, mass=mass),
            "own rule",
        ),
        replace(hang, code="4.8", title="tension in the walls by which the body hangs when it is drawn"),
        replace(
            fill,
            code="8.1",
            title="tension in the walls of the filter, filled with its charge",
            where=Said("corners, {place}; {stage}", place=place, stage=fill.title),
        ),
    )
