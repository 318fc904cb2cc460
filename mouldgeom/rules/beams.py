"""Straight beams under simple loads: small deflections, elastic, constant section, shear deflection left out.

``load`` is a force on each mm of length; a strip of plate 1 mm wide takes pressure for load and t^3/12 for inertia
(with E/(1 - nu^2) for E).
"""

from __future__ import annotations

from mouldgeom.rules import NewtonPerMm
from mouldgeom.rules.given import above_zero
from mouldgeom.units import Mm, Mm3, Mm4, Mpa, Newton, NewtonMm


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


def bending_stress(moment: NewtonMm, modulus: Mm3) -> Mpa:
    """Stress in the outermost fibre of a section with this elastic modulus.

    Raises:
        InputError: a modulus not above 0.

    Source: beam theory, M/W, any handbook.
    """
    above_zero("section modulus", modulus, "mm3")
    return moment / modulus
