"""Pins and the plates that turn on them: EN 1993-1-8 for the pin, ASME BTH-1 for the plate that hangs on it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from mouldgeom.errors import InputError
from mouldgeom.rules.given import above_zero, from_zero
from mouldgeom.units import Mm, Mm3, Mpa, Newton, NewtonMm, Ratio

_GAMMA_M0: Final = 1.0
_GAMMA_M2: Final = 1.25
CONTACT: Final[Ratio] = 2.5
"""Greatest contact stress over the lesser yield, of a pin that turns: EN 1993-1-8:2005 eq. 3.16."""


def pin_modulus(diameter: Mm) -> Mm3:
    """Elastic section modulus of a round pin.

    Raises:
        InputError: a diameter not above 0.

    Source: any handbook, pi d^3/32.
    """
    above_zero("diameter of the pin", diameter, "mm")
    return math.pi / 32 * diameter**3


def pin_shear_resistance(diameter: Mm, ultimate: Mpa) -> Newton:
    """Shear resistance of one plane of a pin; gamma_M2 is 1.25.

    Raises:
        InputError: a value not above 0.

    Source: EN 1993-1-8:2005 Table 3.10, 0.6 A fup/gamma_M2.
    """
    above_zero("diameter of the pin", diameter, "mm")
    above_zero("ultimate strength", ultimate, "MPa")
    return 0.6 * math.pi / 4 * diameter**2 * ultimate / _GAMMA_M2


def pin_moment_resistance(diameter: Mm, yield_stress: Mpa, *, replaceable: bool = False) -> NewtonMm:
    """Moment resistance of a pin; one that is to be taken out again must stay elastic under the load of service.

    Raises:
        InputError: a value not above 0.

    Source: EN 1993-1-8:2005 Table 3.10, 1.5 Wel fyp/gamma_M0; replaceable: 0.8 Wel fyp/gamma_M6,ser; both gammas 1.
    """
    above_zero("yield strength", yield_stress, "MPa")
    return (0.8 if replaceable else 1.5) * pin_modulus(diameter) * yield_stress / _GAMMA_M0


def pin_bearing_resistance(thickness: Mm, diameter: Mm, yield_stress: Mpa) -> Newton:
    """Bearing resistance of plate and pin, by the lesser yield of the two.

    Raises:
        InputError: a value not above 0.

    Source: EN 1993-1-8:2005 Table 3.10, 1.5 t d fy/gamma_M0.
    """
    above_zero("thickness of the plate", thickness, "mm")
    above_zero("diameter of the pin", diameter, "mm")
    above_zero("yield strength", yield_stress, "MPa")
    return 1.5 * thickness * diameter * yield_stress / _GAMMA_M0


def pin_use(moment: NewtonMm, moment_resistance: NewtonMm, shear: Newton, shear_resistance: Newton) -> Ratio:
    """Bending and shear together; above 1 the pin fails.

    Source: EN 1993-1-8:2005 Table 3.10, (M/MRd)^2 + (Fv/Fv,Rd)^2.
    """
    return (moment / moment_resistance) ** 2 + (shear / shear_resistance) ** 2


def pin_contact_stress(force: Newton, diameter: Mm, hole: Mm, thickness: Mm, elastic: Mpa) -> Mpa:
    """Contact stress of a pin in a hole that it turns in, under the force of service.

    Raises:
        InputError: a size not above 0, a force below 0, or a hole smaller than the pin.

    Source: EN 1993-1-8:2005 eq. 3.15, 0.591 sqrt(E F (d0 - d)/(d^2 t)).
    """
    from_zero("force", force, "N")
    above_zero("diameter of the pin", diameter, "mm")
    above_zero("thickness of the plate", thickness, "mm")
    from_zero("hole less pin", hole - diameter, "mm")
    return 0.591 * math.sqrt(elastic * force * (hole - diameter) / (diameter**2 * thickness))


# ---------------------------------------------------------------- plates that hang on a pin


@dataclass(frozen=True, slots=True)
class Lug:
    """A plate that a pin pulls at in its plane.

    Args:
        thickness, hole, pin: of the plate, of its hole and of what is in it, mm.
        end: from the hole to the edge that the pin pulls towards, mm.
        side: from the hole to the edge at its side, mm.
        yield_stress, ultimate: of the plate, MPa.
        design_factor: Nd; 2 for category A (predictable loads), 3 for B.
    """

    thickness: Mm
    hole: Mm
    pin: Mm
    end: Mm
    side: Mm
    yield_stress: Mpa
    ultimate: Mpa
    design_factor: Ratio

    def __post_init__(self) -> None:
        for name in ("thickness", "hole", "pin", "end", "side", "yield_stress", "ultimate", "design_factor"):
            above_zero(f"{name.replace('_', ' ')} of the lug", getattr(self, name), "")
        if self.pin > self.hole:
            raise InputError(
                "pin of the lug", f"{self.pin:g} mm", f"at most its hole, {self.hole:g} mm", "Choose a thinner pin."
            )

    @property
    def clearance_factor(self) -> Ratio:
        """Cr: what a loose pin leaves of the strength.

        Source: ASME BTH-1-2005 3-3.3.1, 1 - 0.275 sqrt(1 - Dp^2/Dh^2).
        """
        return 1 - 0.275 * math.sqrt(1 - (self.pin / self.hole) ** 2)

    @property
    def effective_side(self) -> Mm:
        """Width at each side of the hole that counts in tension.

        Source: ASME BTH-1-2005 3-3.3.1, the least of b, 4 t and 0.6 b Fu/Fy sqrt(Dh/b).
        """
        wide = 0.6 * self.side * self.ultimate / self.yield_stress * math.sqrt(self.hole / self.side)
        return min(self.side, 4 * self.thickness, wide)

    @property
    def _ultimate(self) -> Mpa:
        return self.ultimate / (1.20 * self.design_factor)

    @property
    def tension(self) -> Newton:
        """Pt: beside the hole.

        Source: ASME BTH-1-2005 3-3.3.1, Cr Fu/(1.20 Nd) 2 t beff.
        """
        return self.clearance_factor * self._ultimate * 2 * self.thickness * self.effective_side

    @property
    def splitting(self) -> Newton:
        """Pb: fracture on one plane beyond the hole.

        Source: ASME BTH-1-2005 3-3.3.1, Cr (1.13 (R - Dh/2) + 0.92 b/(1 + b/Dh)) Fu/(1.20 Nd) t.
        """
        beyond = 1.13 * self.end + 0.92 * self.side / (1 + self.side / self.hole)
        return self.clearance_factor * beyond * self._ultimate * self.thickness

    @property
    def shear(self) -> Newton:
        """Pv: two planes beyond the hole, the edge taken as straight.

        Source: ASME BTH-1-2005 3-3.3.1, 0.70 Fu/(1.20 Nd) 2 (a + Dp/2 (1 - cos phi)) t, phi = 55 Dp/Dh degrees.
        """
        phi = math.radians(55 * self.pin / self.hole)
        return 0.70 * self._ultimate * 2 * (self.end + self.pin / 2 * (1 - math.cos(phi))) * self.thickness

    @property
    def bearing(self) -> Newton:
        """Pp: the bearing stress times diameter and thickness, never the stress alone.

        Source: ASME BTH-1-2005 3-3.3.4, 1.25 Fy/Nd Dp t.
        """
        return 1.25 * self.yield_stress / self.design_factor * self.pin * self.thickness

    @property
    def allowed(self) -> Newton:
        """What it may carry: the least of the four."""
        return min(self.tension, self.splitting, self.shear, self.bearing)
