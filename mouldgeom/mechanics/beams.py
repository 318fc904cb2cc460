"""Straight beams under simple loads: small deflections, elastic, constant section, shear deflection left out.

``load`` is a force on each mm of length; a strip of plate 1 mm wide takes pressure for load and t^3/12 for inertia
(with E/(1 - nu^2) for E).
"""

from __future__ import annotations

import math
from typing import Final

from mouldgeom.mechanics.given import above_zero
from mouldgeom.rules import NewtonPerMm
from mouldgeom.units import Mm, Mm3, Mm4, Mpa, Newton, NewtonMm, Ratio

TRIANGULAR_MOMENT_PLACE: Final[Ratio] = 1 / math.sqrt(3)
"""Place of the greatest moment under a triangular load, from the unloaded end, over the span."""
TRIANGULAR_DEFLECTION_PLACE: Final[Ratio] = math.sqrt(1 - math.sqrt(8 / 15))
"""Place of the greatest deflection under a triangular load, from the unloaded end, over the span: 0.5193."""


def _section(span: Mm, elastic_modulus: Mpa, inertia: Mm4) -> None:
    above_zero("span", span, "mm")
    above_zero("elastic modulus", elastic_modulus, "MPa")
    above_zero("second moment of area", inertia, "mm4")


def uniform_moment(load: NewtonPerMm, span: Mm) -> NewtonMm:
    """Greatest moment of a simply supported beam under an even load, at the middle.

    Source: beam theory, w L^2/8, any handbook.
    """
    return load * span**2 / 8


def uniform_deflection(load: NewtonPerMm, span: Mm, elastic_modulus: Mpa, inertia: Mm4) -> Mm:
    """Greatest deflection of a simply supported beam under an even load, at the middle.

    Raises:
        InputError: span, modulus or inertia not above 0.

    Source: beam theory, 5 w L^4/(384 E I), any handbook.
    """
    _section(span, elastic_modulus, inertia)
    return 5 * load * span**4 / (384 * elastic_modulus * inertia)


def triangular_reactions(load_at_end: NewtonPerMm, span: Mm) -> tuple[Newton, Newton]:
    """Reactions at the unloaded and the loaded end under a load that grows evenly from 0.

    Source: beam theory, w L/6 and w L/3, any handbook.
    """
    return load_at_end * span / 6, load_at_end * span / 3


def triangular_moment(load_at_end: NewtonPerMm, span: Mm) -> NewtonMm:
    """Greatest moment under a triangular load, at ``TRIANGULAR_MOMENT_PLACE`` times the span; simply supported.

    Source: beam theory, w L^2/(9 sqrt 3), any handbook.
    """
    return load_at_end * span**2 / (9 * math.sqrt(3))


def triangular_deflection(load_at_end: NewtonPerMm, span: Mm, elastic_modulus: Mpa, inertia: Mm4) -> Mm:
    """Greatest deflection under a triangular load, at ``TRIANGULAR_DEFLECTION_PLACE``; simply supported.

    Raises:
        InputError: span, modulus or inertia not above 0.

    Source: beam theory, w x (7 L^4 - 10 L^2 x^2 + 3 x^4)/(360 L E I) = 0.00652 w L^4/(E I), any handbook.
    """
    _section(span, elastic_modulus, inertia)
    x = TRIANGULAR_DEFLECTION_PLACE
    return load_at_end * span**4 * x * (7 - 10 * x**2 + 3 * x**4) / (360 * elastic_modulus * inertia)


def point_moment(force: Newton, span: Mm) -> NewtonMm:
    """Greatest moment of a simply supported beam with a force at the middle, as a bridge over a jack screw.

    Source: beam theory, F L/4, any handbook (from memory).
    """
    return force * span / 4


def point_deflection(force: Newton, span: Mm, elastic_modulus: Mpa, inertia: Mm4) -> Mm:
    """Greatest deflection of a simply supported beam with a force at the middle.

    Raises:
        InputError: span, modulus or inertia not above 0.

    Source: beam theory, F L^3/(48 E I), any handbook (from memory).
    """
    _section(span, elastic_modulus, inertia)
    return force * span**3 / (48 * elastic_modulus * inertia)


def fixed_moments(load: NewtonPerMm, span: Mm) -> tuple[NewtonMm, NewtonMm]:
    """Moments at the ends and at the middle of a beam with fixed ends under an even load, both as sizes.

    The span between others of a continuous strip is near to this.

    Source: beam theory, w L^2/12 and w L^2/24, any handbook (from memory).
    """
    return load * span**2 / 12, load * span**2 / 24


def fixed_deflection(load: NewtonPerMm, span: Mm, elastic_modulus: Mpa, inertia: Mm4) -> Mm:
    """Greatest deflection of a beam with fixed ends under an even load.

    Raises:
        InputError: span, modulus or inertia not above 0.

    Source: beam theory, w L^4/(384 E I), any handbook (from memory).
    """
    _section(span, elastic_modulus, inertia)
    return load * span**4 / (384 * elastic_modulus * inertia)


def bending_stress(moment: NewtonMm, modulus: Mm3) -> Mpa:
    """Stress in the outermost fibre of a section with this elastic modulus.

    Raises:
        InputError: a modulus not above 0.

    Source: beam theory, M/W, any handbook.
    """
    above_zero("section modulus", modulus, "mm3")
    return moment / modulus


def modulus_needed(moment: NewtonMm, allowed: Mpa) -> Mm3:
    """Least elastic section modulus for a moment.

    Raises:
        InputError: a stress not above 0.

    Source: beam theory, M/sigma, any handbook.
    """
    above_zero("allowed stress", allowed, "MPa")
    return moment / allowed
