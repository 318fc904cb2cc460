"""Check 9: the filter at work, its cavity measured on the solid of the concrete."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from mouldgeom.checks.case import Case
from mouldgeom.checks.faces import FaceRole
from mouldgeom.checks.measure import PlaneFace, plane_faces, torus_rings
from mouldgeom.filter.hydraulics import Tube
from mouldgeom.filter.resting import TubeLevels, running
from mouldgeom.filter.working import Working
from mouldgeom.identity import Side
from mouldgeom.units import Mm, Mm2, Mm3, Ratio
from mouldgeom.verdict import Operator, Verdict

_CODES: Final = {
    "loading": "9.1", "pore-volume": "9.2", "reservoir": "9.3", "water-least": "9.4", "water-greatest": "9.5",
    "crest-head": "9.6", "tube-capacity": "9.7", "drain-time": "9.8",
}  # fmt: skip
_SQUARE: Final = 1e-6
"""A normal whose part along an axis is shorter than 1 by no more than this points along it."""
WALLS: Final = (Side.LEFT, Side.RIGHT, Side.FRONT, Side.BACK)


@dataclass(frozen=True, slots=True)
class Slope:
    """A coordinate that changes evenly with the height of the casting frame: where an upright face stands."""

    at_zero: Mm
    rise: Ratio

    @staticmethod
    def of(face: PlaneFace, axis: int) -> Slope:
        """Trace of a plane face along x (0) or y (1)."""
        centre, normal = face.centre, face.normal
        rise = -float(normal[2] / normal[axis])
        return Slope(float(centre[axis]) - rise * float(centre[2]), rise)

    def at(self, z: Mm) -> Mm:
        """Coordinate at a height of the casting frame."""
        return self.at_zero + self.rise * z


@dataclass(frozen=True, slots=True)
class MeasuredHollow:
    """Cavity and outside of a concrete body, from its faces; levels as of the upright filter.

    Args:
        rim, ledge: levels.
        below, above: traces of the inner faces below and above the ledge, in the order of ``WALLS``.
        outside: traces of the outer faces.
    """

    rim: Mm
    ledge: Mm
    below: tuple[Slope, ...]
    above: tuple[Slope, ...]
    outside: tuple[Slope, ...]

    @staticmethod
    def of(case: Case) -> MeasuredHollow:
        """Measure a body."""

        def traces(role: FaceRole) -> tuple[Slope, ...]:
            return tuple(Slope.of(case.face(role, wall), 0 if wall.crosswise else 1) for wall in WALLS)

        rim, ledge = (case.dims.height - float(case.face(role).centre[2]) for role in (FaceRole.RIM, FaceRole.LEDGE))
        inside = traces(FaceRole.BELOW_LEDGE), traces(FaceRole.ABOVE_LEDGE)
        return MeasuredHollow(rim, ledge, *inside, traces(FaceRole.OUTSIDE))

    def _spans(self, level: Mm, lines: tuple[Slope, ...]) -> tuple[Mm, Mm]:
        left, right, front, back = (line.at(self.rim - level) for line in lines)
        return abs(right - left), abs(back - front)

    def area_at(self, level: Mm) -> Mm2:
        """Plan area at a level; on the ledge itself the wider area above it."""
        width, depth = self._spans(level, self.above if level >= self.ledge else self.below)
        return width * depth

    def volume(self, low: Mm, high: Mm) -> Mm3:
        """Volume between two levels, exact for plane walls."""
        if low < self.ledge < high:
            return self._between(low, self.ledge, self.below) + self._between(self.ledge, high, self.above)
        return self._between(low, high, self.below if high <= self.ledge else self.above)

    def _between(self, low: Mm, high: Mm, lines: tuple[Slope, ...]) -> Mm3:
        areas = [width * depth for width, depth in (self._spans(z, lines) for z in (low, (low + high) / 2, high))]
        return (high - low) / 6 * (areas[0] + 4 * areas[1] + areas[2])

    def thickness(self, level: Mm) -> Mm:
        """Least thickness of the four walls at a level."""
        inside, z = (self.above if level >= self.ledge else self.below), self.rim - level
        return min(abs(outer.at(z) - inner.at(z)) for outer, inner in zip(self.outside, inside, strict=True))


def tube_of(case: Case) -> TubeLevels:
    """Levels of the outlet tube, measured on its solid: the face at its end, and the top of its crest bend's axis."""
    dims, tube = case.dims, case.solids.tube
    (end,) = [float(face.centre[2]) for face in plane_faces(tube) if face.normal[2] > 1 - _SQUARE]
    crest = min(float(middle[2]) - radius for middle, radius in torus_rings(tube))
    how = running(dims.tube.bore, dims.spec.water.temperature)
    return TubeLevels(how, dims.height - end, dims.height - crest, dims.tube.bore)


def working_of(case: Case) -> Working:
    """The filter at work, its areas and volumes and the levels of its tube from the solids."""
    dims = case.dims
    tube = Tube(dims.tube.bore, dims.tube.length)
    return Working(dims.spec, dims.levels, MeasuredHollow.of(case), tube, tube_of(case))


def check_filter(case: Case) -> tuple[Verdict, ...]:
    """Loading rate, charge against pores and reservoir, water over the sand, crest, tube and time to drain."""
    working = working_of(case)
    charge = case.dims.spec.filter.charge
    holds = Verdict(
        "reservoir", "reservoir holds the charge", working.reservoir, charge, Operator.AT_LEAST, "l",
        "between rest level and full level", "filter.charge",
    )  # fmt: skip
    limits = (*working.flow_limits(), holds, working.drain_limit())
    return tuple(replace(limit, code=_CODES[limit.code]) for limit in limits)
