"""The plates and welds that the jack screw bears on: closed forms, and no judgement."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

from mouldgeom import rules
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.fabrication.welds import Seam
from mouldgeom.model.assembly import Mould
from mouldgeom.model.joints import WeldRole
from mouldgeom.model.parts.bridge import washer_plate_width
from mouldgeom.rules import NewtonPerMm, bending
from mouldgeom.units import Mm, Mpa, Newton, Ratio

_FIXED_STRESS: Final = (-0.238, -0.078, 0.011, 0.053, 0.068, 0.067)
_FIXED_SAG: Final = (0.0611, 0.0706, 0.0754, 0.0777, 0.0786, 0.0788)


def plastic_boss_load(yield_stress: Mpa, thickness: Mm, radius: Mm, boss: Mm) -> Newton:
    """Load at which a round plate, held up at its rim, yields around a stiff boss at its middle.

    ``radius`` is that of the rim, ``boss`` that of the circle beyond which the plate bends.  A square or oblong plate
    around that circle bears more.

    Source: yield lines, cone with a hinge at the boss, P = 2 pi m a / (a - c), m = fy t^2/4 (from memory).
    """
    return 2 * math.pi * yield_stress * thickness**2 / 4 * radius / (radius - boss)


def fixed_coefficients(short: Mm, long: Mm) -> tuple[Ratio, Ratio]:
    """Coefficients beta and alpha of ``fixed_plate``, by a cubic between the printed aspects 1, 1.2, ... 2.

    Source: Roark's Formulas for Stress and Strain, 7th ed. 2002, Table 11.4 case 8b (from memory).
    """
    place = min(max((long / short - 1) / 0.2, 0.0), len(_FIXED_STRESS) - 1.0)
    return bending.cubic_through(_FIXED_STRESS, place), bending.cubic_through(_FIXED_SAG, place)


def fixed_plate(load: Newton, short: Mm, long: Mm, thickness: Mm, radius: Mm, elastic: Mpa) -> tuple[Mpa, Mm]:
    """Stress and deflection at the middle of a plate with fixed edges, loaded on a small circle; Poisson's ratio 0.3.

    Source: Roark's Formulas for Stress and Strain, 7th ed. 2002, Table 11.4 case 8b (coefficients from memory).
    """
    beta, alpha = fixed_coefficients(short, long)
    peak = 3 * load / (2 * math.pi * thickness**2) * (1.3 * math.log(2 * short / (math.pi * radius)) + beta)
    return peak, alpha * load * short**2 / (elastic * thickness**3)


def weld_resistance(mould: Mould, leg: Mm) -> NewtonPerMm:
    """Resistance of a fillet of this leg, each mm.

    The rule is for parts from 4 mm up.  The seams of thinner sheet have a leg of at most its thickness, so that the
    throat is never above 0.707 of it; EN 1993-1-3 is not gone through for them.

    Source: EN 1993-1-8:2005 4.5.3.3, simplified method; beta_w Table 4.1.
    """
    steel = mould.dims.stock.steel
    correlation = 0.8 if steel.yield_mpa < 270 else 0.85 if steel.yield_mpa < 300 else 0.9
    return rules.fillet_resistance_per_mm(rules.fillet_throat(leg), steel.ultimate_mpa, correlation)


def seams_of(made: Iterable[Seam], *roles: WeldRole) -> list[Seam]:
    """Those of some seams that have one of these roles."""
    return [seam for seam in made if seam.role in roles]


def washer_plate_stress(dims: Dimensions, load: Newton) -> tuple[Mm, Mm, Mpa]:
    """Lever, width that bears, and bending stress of the washer plate between the beams, at its hole.

    The washer's half ring of load has its centre at 2 r/pi; the plate lies on the beams where their flats begin.

    Source: statics, F/2 times the lever; plastic modulus b t^2/4 of a plate, EN 1993-1-1:2005 6.2.5 (from memory).
    """
    bridge, tube, jack = dims.bridge, dims.stock.tube, dims.stock.jack
    flat = bridge.beam_y - tube.side_mm / 2 + tube.outer_radius_mm
    ring = (bridge.screw_hole + jack.washer_outside_mm) / 4
    lever = max(0.0, flat - 2 * ring / math.pi)
    width = min(washer_plate_width(dims), jack.washer_outside_mm + 2 * flat) - bridge.screw_hole
    return lever, width, load / 2 * lever / (width * dims.base**2 / 4)
