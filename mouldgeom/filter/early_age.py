"""Concrete at an age: equivalent age, strength, tension and stiffness, and the hours until a strength is there.

Model.  Concrete kept at another temperature is as old as its equivalent age at 20 C (Arrhenius).  Its share of the mean
strength at 28 days is the lower of two published curves: EN 1992-1-1 with s by the class of the cement, which is meant
for 3 days and more, and the hyperbola of ACI 209, which is lower when young.  So the share never exceeds the standard's
curve, grows with age and temperature, and is slow where the cement is not known.

Assumptions.  The concrete is kept moist and at one temperature; its own heat is left out.  Neither curve was fitted to
the first half day, so a mould that is opened before ``LEAST_AGE`` is refused.  At one day tests lie between half and
twice the share: where it matters, break cylinders that were kept beside the mould.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final

from mouldgeom.errors import InputError
from mouldgeom.filter.cures import CurableError, Cure
from mouldgeom.spec import Spec
from mouldgeom.spec.fields import ConcreteGroup
from mouldgeom.units import NOISE, Celsius, Hour, Mpa, Ratio, plain, rounded_down

Day = Annotated[float, "d"]

LEAST_AGE: Final[Hour] = 12.0
"""Age at 20 C before which no mould is opened: own rule, the later of the 9 and 12 h after which vertical forms are
struck by Cement and Concrete Association TR 42.505, 1975."""
MOST_STRENGTH: Final[Mpa] = 50.0
"""Characteristic strength up to which the formula of EN 1992-1-1:2004, Table 3.1 for tension holds."""
NAMING_AGE: Final[Day] = 28.0
"""Age of the strength that concrete is named by."""
EARLY_SOURCE: Final = "own rule: the lower of EN 1992-1-1:2004, 3.1.2(6) and ACI 209, at the age at 20 C by TI-B 103"
_KELVIN: Final = 273.0
_GAS: Final = 8.314
"""Gas constant, J/(mol K)."""


@dataclass(frozen=True, slots=True)
class Cement:
    """How fast a class of cement hardens.

    Args:
        rate: s of ``exp(s (1 - sqrt(28/t)))``.
        delay: a of ``t/(a + b t)``, in days.
        slope: b of the same.

    Source: s of classes R, N and S: EN 1992-1-1:2004, 3.1.2(6); a and b of cement Type I (N and S) and III (R):
        MacGregor, Reinforced Concrete, 2nd ed., the form of ACI 209.
    """

    rate: Ratio
    delay: Day
    slope: Ratio


SLOW: Final = Cement(0.38, 4.0, 0.85)
NORMAL: Final = Cement(0.25, 4.0, 0.85)
RAPID: Final = Cement(0.20, 2.3, 0.92)

CEMENTS: Final[Mapping[str, Cement]] = {
    "any": SLOW,
    "32.5N": SLOW,
    "32.5R": NORMAL,
    "42.5N": NORMAL,
    "42.5R": RAPID,
    "52.5N": RAPID,
    "52.5R": RAPID,
}
"""By what is printed on the bag: EN 1992-1-1:2004, 3.1.2(6); one that is not known is taken as slow (own rule)."""


# ---------------------------------------------------------------- at 28 days


def mean_strength(strength: Mpa) -> Mpa:
    """Mean strength of cylinders at 28 days from the characteristic one.

    Source: EN 1992-1-1:2004, Table 3.1 (formula from memory).
    """
    return strength + 8


def mean_tension(strength: Mpa) -> Mpa:
    """Mean axial tensile strength at 28 days, up to a characteristic strength of 50 MPa.

    Raises:
        InputError: not above 0, or above 50 MPa.

    Source: EN 1992-1-1:2004, Table 3.1 (formula from memory).
    """
    if not 0 < strength <= MOST_STRENGTH:
        limit = "the formula holds up to 50 MPa"
        raise InputError("concrete.strength", f"{strength:g} MPa", limit, "Household filters need 15 to 30 MPa.")
    return 0.30 * math.pow(strength, 2 / 3)


def low_tension(strength: Mpa) -> Mpa:
    """Tensile strength that 5 % of tests fall below.

    Source: EN 1992-1-1:2004, Table 3.1 (formula from memory).
    """
    return 0.7 * mean_tension(strength)


def mean_modulus(strength: Mpa) -> Mpa:
    """Secant modulus of elasticity at 28 days, for quartzite stone; limestone has 10 % less, basalt 20 % more.

    Source: EN 1992-1-1:2004, Table 3.1 and 3.1.3(2) (from memory).
    """
    return 22_000 * math.pow(mean_strength(strength) / 10, 0.3)


# ---------------------------------------------------------------- age


def rate_of_ageing(temperature: Celsius) -> Ratio:
    """Hours at 20 C that an hour at this temperature counts for.

    Source: Danish Technological Institute TI-B 103 (94), Arrhenius; 33.5 kJ/mol and 1.47 kJ/mol/K from memory.
    """
    energy = 33_500 + 1_470 * max(0.0, 20 - temperature)
    return math.exp(energy / _GAS * (1 / (_KELVIN + 20) - 1 / (_KELVIN + temperature)))


def age_at_20(age: Hour, temperature: Celsius) -> Day:
    """Age at 20 C, in days, that concrete kept at another temperature corresponds to.

    Source: as ``rate_of_ageing``.
    """
    return age / 24 * rate_of_ageing(temperature)


def age_factor(age: Day, rate: Ratio = NORMAL.rate) -> Ratio:
    """Strength over that at 28 days by the standard's curve, at an age at 20 C; too high below 3 days.

    Raises:
        InputError: no age.

    Source: EN 1992-1-1:2004, 3.1.2(6), eq. (3.2).
    """
    if not 0 < age < math.inf:
        raise InputError("age of the concrete", f"{age:g} d", "must be above zero", "Give it in days.")
    return math.exp(rate * (1 - math.sqrt(NAMING_AGE / age)))


def hyperbola(age: Day, cement: Cement) -> Ratio:
    """Strength over that at 28 days by the hyperbola of ACI 209, at an age at 20 C.

    Source: MacGregor, Reinforced Concrete, 2nd ed.: t/(4 + 0.85 t), t/(2.3 + 0.92 t).
    """
    return age / (cement.delay + cement.slope * age)


def early_factor(age: Day, cement: Cement = SLOW) -> Ratio:
    """Strength over that at 28 days, at an age at 20 C: the lower of both curves, from 28 days on the standard's.

    Raises:
        InputError: no age.

    Source: own rule from EN 1992-1-1:2004, 3.1.2(6) and ACI 209; a rule of thumb has 16, 40 and 65 % of the design
        strength at 1, 3 and 7 days.
    """
    curve = age_factor(age, cement.rate)
    return min(curve, hyperbola(age, cement)) if age < NAMING_AGE else curve


def aged_tension(strength: Mpa, factor: Ratio) -> Mpa:
    """Mean tensile strength of concrete that has a share of its strength at 28 days.

    Source: EN 1992-1-1:2004, 3.1.2(9), eq. (3.4): exponent 1 before 28 days, 2/3 from then on.
    """
    return mean_tension(strength) * math.pow(factor, 1.0 if factor < 1 else 2 / 3)


def aged_modulus(strength: Mpa, factor: Ratio) -> Mpa:
    """Secant modulus of concrete that has a share of its strength at 28 days.

    Source: EN 1992-1-1:2004, 3.1.3(3), eq. (3.5) (from memory): exponent 0.3.
    """
    return mean_modulus(strength) * math.pow(factor, 0.3)


def plain_design_tension(strength: Mpa, factor: Ratio = 1.0) -> Mpa:
    """Design tensile strength of unreinforced concrete that has a share, up to 1, of its strength at 28 days.

    Source: EN 1992-1-1:2004, 12.3.1 (from memory): 0.8 of the 5 % value over 1.5.
    """
    return 0.8 * low_tension(strength) * min(1.0, factor) / 1.5


# ---------------------------------------------------------------- of a specification


def cement_of(mix: ConcreteGroup) -> Cement:
    """How fast the cement of a specification hardens."""
    return CEMENTS[mix.cement]


def factor_at(mix: ConcreteGroup, age: Hour) -> Ratio:
    """Strength over that at 28 days, for concrete that was kept so many hours at its curing temperature."""
    return early_factor(age_at_20(age, mix.curing_temperature), cement_of(mix))


def strength_at(mix: ConcreteGroup, age: Hour) -> Mpa:
    """Mean strength of cylinders after so many hours at the curing temperature, by ``early_factor``.

    Source: EN 1992-1-1:2004, 3.1.2(6), fcm(t) = factor x (fck + 8 MPa).
    """
    return mean_strength(mix.strength) * factor_at(mix, age)


def tension_at(mix: ConcreteGroup, age: Hour) -> Mpa:
    """Mean tensile strength after so many hours at the curing temperature, by ``early_factor``."""
    return aged_tension(mix.strength, factor_at(mix, age))


def modulus_at(mix: ConcreteGroup, age: Hour) -> Mpa:
    """Secant modulus after so many hours at the curing temperature, by ``early_factor``: on the soft side.

    Where stiff concrete is the worse, as in a grip on steel, ``aged_modulus`` with ``age_factor`` of a rapid cement is
    the upper bound.
    """
    return aged_modulus(mix.strength, factor_at(mix, age))


def hours_until(strength: Mpa, mix: ConcreteGroup, temperature: Celsius | None = None) -> Hour:
    """Hours at a temperature, or else the curing temperature, until the mean strength is there: at least ``LEAST_AGE``.

    Raises:
        InputError: more than the mean strength at 28 days, or none.

    Source: both curves of ``early_factor`` solved for the age, the later counts.
    """
    cement, whole = cement_of(mix), mean_strength(mix.strength)
    if not 0 < strength <= whole:
        limit = f"must be above zero, and no more than the {plain(whole)} MPa at 28 days"
        raise InputError("strength of young concrete", f"{plain(strength)} MPa", limit, "Correct it.")
    share = strength / whole
    curve = NAMING_AGE / (1 - math.log(share) / cement.rate) ** 2
    other = cement.delay * share / (1 - cement.slope * share)
    at_20 = max(LEAST_AGE, 24 * max(curve, min(other, NAMING_AGE)))
    return at_20 / rate_of_ageing(mix.curing_temperature if temperature is None else temperature)


def refuse_too_young(spec: Spec) -> None:
    """Refuse a mould that is opened before ``LEAST_AGE``.

    Raises:
        SpecError: the stripping age counts for less at 20 C; the remedy has the hours that the strengths to turn and to
            draw ask for at the curing temperature, or where that is out of range those of ``LEAST_AGE``.
    """
    if _too_young(spec) is None:
        return
    mix = spec.concrete
    at_20 = 24 * age_at_20(mix.stripping_age, mix.curing_temperature)
    enough = (hours_until(max(mix.turning_strength, mix.drawing_strength), mix), hours_until(NOISE, mix))
    words = f"a later stripping at {plain(mix.curing_temperature)} C"
    later = [Cure.at_least(words, "concrete.stripping_age", hours) for hours in enough]
    raise CurableError(
        "concrete.stripping_age",
        f"{plain(mix.stripping_age)} h",
        f"it counts as {plain(rounded_down(at_20))} h at 20 C, and before {plain(LEAST_AGE)} h no curve of strength "
        "holds",
        [cure for cure in later if cure.applied(spec)][:1],
    ).tried(spec, _too_young)


def _too_young(spec: Spec) -> str | None:
    """The field that a specification is refused for; None where its mould is opened late enough."""
    at_20 = 24 * age_at_20(spec.concrete.stripping_age, spec.concrete.curing_temperature)
    return None if at_20 >= LEAST_AGE - NOISE else "concrete.stripping_age"
