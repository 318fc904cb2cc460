"""The filter upright: its cavity, and its levels above the underside of the base.

Frame: z = 0 at the underside of the base, z up.  The cavity is a tapered box, widest at the rim, with a step
outwards at the ledge.  The full level is where the reservoir above the rest level holds one charge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from mouldgeom.errors import SpecError
from mouldgeom.filter.cures import CurableError, Cure
from mouldgeom.spec import Spec
from mouldgeom.units import NOISE, Litre, Mm, Mm2, Mm3, Ratio, plain, rounded_down, rounded_up

_CLOSE: Final[Ratio] = 1e-12
"""Share of the charge within which the reservoir holds it."""
_NARROWEST: Final[Mm] = 100.0
"""Width or depth of the cavity at the floor, at least (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Levels:
    """Heights above the underside of the base, in mm, lowest first."""

    floor: Mm
    fine_gravel_bottom: Mm
    sand_bottom: Mm
    sand_top: Mm
    rest: Mm
    ledge: Mm
    full: Mm
    rim: Mm


@dataclass(frozen=True, slots=True)
class Cavity:
    """The tapered box inside the concrete.

    Args:
        width, depth: at the rim, ledge step not counted.
        taper: tangent of the draft.
        step: horizontal width of the ledge.
        ledge, rim: levels.
    """

    width: Mm
    depth: Mm
    taper: Ratio
    step: Mm
    ledge: Mm
    rim: Mm

    def width_at(self, level: Mm) -> Mm:
        """Clear width at a level."""
        return self.width + self._change(level)

    def depth_at(self, level: Mm) -> Mm:
        """Clear depth at a level."""
        return self.depth + self._change(level)

    def area_at(self, level: Mm) -> Mm2:
        """Water surface at a level; on the ledge itself the wider area above it."""
        return self.width_at(level) * self.depth_at(level)

    def volume(self, low: Mm, high: Mm) -> Mm3:
        """Volume between two levels: Simpson's rule on each side of the ledge, exact for a tapered box."""
        if low < self.ledge < high:
            return self._prismoid(low, self.ledge, -self.step) + self._prismoid(self.ledge, high, 0.0)
        return self._prismoid(low, high, -self.step if high <= self.ledge else 0.0)

    def _change(self, level: Mm) -> Mm:
        return 2 * ((self.step if level >= self.ledge else 0.0) - (self.rim - level) * self.taper)

    def _prismoid(self, low: Mm, high: Mm, correction: Mm) -> Mm3:
        """Volume between levels that the ledge does not part; ``correction`` takes the step off below the ledge."""

        def area(level: Mm) -> Mm2:
            grow = 2 * (self.step + correction - (self.rim - level) * self.taper)
            return (self.width + grow) * (self.depth + grow)

        return (high - low) / 6 * (area(low) + 4 * area((low + high) / 2) + area(high))


DIFFUSER_PLAY: Final[Mm] = 1.0
"""Diffuser smaller than the cavity at the ledge, both sides together, cut to the finished filter: own rule."""


def ledge_step(spec: Spec, thickness: Mm) -> Mm:
    """Horizontal width of the ledge that a strip of this thickness makes on a drafted wall."""
    return thickness / math.cos(math.radians(spec.filter.draft))


def held_below_ledge(spec: Spec, step: Mm) -> Litre:
    """What the reservoir holds up to the ledge when the full level is at the ledge: the charge must not be less."""
    wanted = spec.filter
    taper = math.tan(math.radians(wanted.draft))
    above = wanted.ledge_clearance
    box = Cavity(wanted.cavity_width, wanted.cavity_depth, taper, step, above, above + wanted.freeboard)
    return litres(box.volume(0.0, above))


def solve_levels(spec: Spec, step: Mm) -> tuple[Levels, Cavity]:
    """Find the full level and the height at which the reservoir holds one charge.

    The cavity narrows below the rim, so the height stands on both sides of the equation; it is found by Newton's
    method, held between bounds.

    Raises:
        SpecError: the charge does not reach the ledge, or no height within 3 m holds it.
    """
    try:
        return _solve(spec, step)
    except CurableError as refusal:
        raise refusal.tried(spec, lambda changed: _outcome(changed, step)) from None


def _outcome(spec: Spec, step: Mm) -> str | None:
    try:
        _solve(spec, step)
    except SpecError as refusal:
        return refusal.name
    return None


def _solve(spec: Spec, step: Mm) -> tuple[Levels, Cavity]:
    wanted = spec.filter
    floor = wanted.floor
    fine_bottom = floor + wanted.coarse_gravel
    sand_bottom = fine_bottom + wanted.fine_gravel
    sand_top = sand_bottom + wanted.sand_column
    rest = sand_top + wanted.water_over_sand
    ledge = rest + wanted.ledge_clearance
    charge = wanted.charge * 1e6
    taper = math.tan(math.radians(wanted.draft))

    def cavity(rim: Mm) -> Cavity:
        return Cavity(wanted.cavity_width, wanted.cavity_depth, taper, step, ledge, rim)

    def held(full: Mm) -> Mm3:
        return cavity(full + wanted.freeboard).volume(rest, full)

    low, high = ledge, rest + 3000.0
    least = min(wanted.cavity_width, wanted.cavity_depth)
    high = min(high, rest + (least / 2 - 20) / taper)
    if held(low) > charge * (1 + _CLOSE):
        share = charge / held(low)
        raise CurableError(
            "filter.charge",
            f"{plain(wanted.charge)} l",
            f"the reservoir holds {plain(rounded_up(litres(held(low)), 3))} l below the ledge already, so the water "
            "would not reach it",
            (
                Cure.at_least("a larger charge", "filter.charge", litres(held(low)), 3),
                Cure.at_most("a lower ledge", "filter.ledge_clearance", share * wanted.ledge_clearance, 0),
                Cure.at_most("a smaller cavity", "filter.cavity_width", share * wanted.cavity_width),
            ),
        )

    def gain(full: Mm) -> Mm2:
        """Volume gained for each millimetre that the full level rises: the rim rises with it, the ledge does not."""
        box = cavity(full + wanted.freeboard)
        below_ledge = box.width_at(ledge) - 2 * step, box.depth_at(ledge) - 2 * step
        return box.area_at(ledge) + box.area_at(rest) - below_ledge[0] * below_ledge[1]

    full = min(high, rest + charge / (wanted.cavity_width * wanted.cavity_depth))
    for _ in range(100):
        missing = charge - held(full)
        if abs(missing) <= _CLOSE * charge:
            break
        low, high = (full, high) if missing > 0 else (low, full)
        rise = gain(full)
        guess = full + missing / rise if rise > 0 else high
        full = guess if low < guess < high else (low + high) / 2
    if abs(held(full) - charge) > 1.0:
        raise SpecError(
            "filter.charge",
            f"{plain(wanted.charge)} l",
            "no reservoir above this cavity holds it before the draft closes the cavity",
            "Choose a wider cavity, a smaller charge or less draft.",
        )
    rim = full + wanted.freeboard
    bottom = cavity(rim)
    left = min(bottom.width_at(floor), bottom.depth_at(floor))
    if left < _NARROWEST - NOISE:
        slope = math.degrees(math.atan(taper - (_NARROWEST - left) / (2 * (rim - floor))))
        raise CurableError(
            "filter.draft",
            f"{plain(wanted.draft)} deg",
            f"over {rim - floor:.0f} mm it narrows the cavity to {plain(rounded_down(left))} mm at the floor, "
            f"less than {plain(_NARROWEST)} mm",
            (
                Cure.at_most("less draft", "filter.draft", slope, 2),
                *(
                    Cure.at_least("a wider cavity", f"filter.{name}", getattr(wanted, name) + _NARROWEST - left)
                    for name in ("cavity_width", "cavity_depth")
                ),
            ),
        )
    return Levels(floor, fine_bottom, sand_bottom, sand_top, rest, ledge, full, rim), bottom


def litres(volume: Mm3) -> Litre:
    """Cubic millimetres as litres."""
    return volume / 1e6
