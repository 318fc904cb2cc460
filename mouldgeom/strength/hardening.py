"""Hardening of the concrete: how old and strong it is when the mould is turned, the core drawn and the filter lifted.

The three least strengths are fields of the specification.  Drawing: 5 MPa, that of sides that are opened.  Turning: the
same, since the mould carries the concrete all round but on its open face, and is set down on that one; the concrete has
only to stay whole when the mould is jolted.  Lifting: 10 MPa, since the filter then hangs or rests on few places.
All three are common practice in precasting, from memory.
"""

from __future__ import annotations

from typing import Final

from mouldgeom.filter.concrete import cured_age
from mouldgeom.filter.early_age import (
    EARLY_SOURCE,
    LEAST_AGE,
    age_at_20,
    age_factor,
    cement_of,
    hours_until,
    hyperbola,
    mean_strength,
    modulus_at,
    strength_at,
    tension_at,
)
from mouldgeom.model.assembly import Mould
from mouldgeom.spec.fields import ConcreteGroup
from mouldgeom.strength.steps import Chapter, ResultTable, Step
from mouldgeom.units import Celsius, Hour, Mpa, plain, rounded_up
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

TEMPERATURES: Final[tuple[Celsius, ...]] = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0)
"""At which the hours are told."""


def chapter(mould: Mould) -> Chapter:
    """Equivalent age, share and strength when the mould is opened; requirements 4.7, 4.11 and 4.12."""
    mix = mould.dims.spec.concrete
    return Chapter(
        title="Hardening of the concrete",
        assumptions=(
            "The share of the strength at 28 days is the lower of two published curves, so that it is never above the "
            "curve of EN 1992-1-1, which is meant for 3 days and more.",
            "The concrete is kept moist and at one temperature; the heat that it makes itself is left out.",
            "Cement that is not known is taken as slow."
            if mix.cement == "any"
            else Said("The cement is {cement}.", cement=mix.cement),
            "While it is turned the mould carries the concrete on every face but the open one, on which it is set "
            "down: turning asks for no more than drawing, unless the specification says so.",
        ),
        steps=_steps(mix),
        tables=(_hours(mix),),
        requirements=_requirements(mix),
        cautions=(
            "At one day concrete may have half of this strength, or twice: break a cylinder that was kept beside the "
            "mould before the first core is drawn.",
        ),
    )


def _steps(mix: ConcreteGroup) -> tuple[Step, ...]:
    cement, warmth, age, cured = cement_of(mix), mix.curing_temperature, mix.stripping_age, cured_age(mix)
    days = age_at_20(age, warmth)
    named = f"t {days:.3f} d, cement {mix.cement}"
    whole, strong = mean_strength(mix.strength), strength_at(mix, age)

    def equivalent(what: str, hours: Hour) -> Step:
        return Step(
            what, "t = h/24 exp(E/R (1/293 - 1/(273 + T))), E = 33500 + 1470 max(0, 20 - T)",
            f"h {plain(hours)}, T {plain(warmth)} C", age_at_20(hours, warmth), "d",
            "TI-B 103 (94), Arrhenius; both numbers of E from memory",
        )  # fmt: skip

    return (
        Step("mean strength at 28 days", "fcm = fck + 8", f"{plain(mix.strength)} MPa + 8 MPa", whole, "MPa",
             "EN 1992-1-1:2004, Table 3.1 (formula from memory)"),
        equivalent("age at 20 C when the mould is turned and the core drawn", age),
        Step("share of that strength by the standard's curve", "b1 = exp(s (1 - sqrt(28/t)))",
             f"s {cement.rate:g}, {named}", age_factor(days, cement.rate), "-",
             "EN 1992-1-1:2004, 3.1.2(6), eq. (3.2)"),
        Step("share by the hyperbola", "b2 = t/(a + b t)", f"a {cement.delay:g}, b {cement.slope:g}, {named}",
             hyperbola(days, cement), "-", "MacGregor, Reinforced Concrete, 2nd ed. (ACI 209)"),
        Step("strength when the mould is turned and the core drawn", "f = min(b1, b2) fcm",
             f"{strong / whole:.3f} x {plain(whole)} MPa", strong, "MPa", EARLY_SOURCE),
        Step("mean tensile strength then", "fctm(t) = min(b1, b2) 0.3 fck^(2/3)", f"fck {plain(mix.strength)} MPa",
             tension_at(mix, age), "MPa", "EN 1992-1-1:2004, 3.1.2(9)"),
        Step("modulus of elasticity then", "Ecm(t) = min(b1, b2)^0.3 22 (fcm/10)^0.3", f"fcm {plain(whole)} MPa",
             modulus_at(mix, age) / 1000, "GPa", "EN 1992-1-1:2004, 3.1.3(3) (from memory)"),
        equivalent("age at 20 C when the filter is lifted", cured),
        Step("strength when the filter is lifted", "f = min(b1, b2) fcm",
             f"{strength_at(mix, cured) / whole:.3f} x {plain(whole)} MPa", strength_at(mix, cured), "MPa",
             EARLY_SOURCE),
    )  # fmt: skip


def _hours(mix: ConcreteGroup) -> ResultTable:
    """Hours until each strength is there, by temperature, rounded up."""
    strengths = (mix.turning_strength, mix.drawing_strength, mix.lifting_strength)
    return ResultTable(
        "Hours until the concrete is strong enough",
        (
            "temperature, C",
            Said("turning the mould, {strength:p1} MPa, h", strength=mix.turning_strength),
            Said("drawing the core, {strength:p1} MPa, h", strength=mix.drawing_strength),
            Said("lifting the filter, {strength:p1} MPa, h", strength=mix.lifting_strength),
        ),
        tuple((warmth, *(rounded_up(hours_until(f, mix, warmth)) for f in strengths)) for warmth in TEMPERATURES),
        Said("Never less than {hours:p} h at 20 C or what they correspond to.", hours=LEAST_AGE),
    )


def _requirements(mix: ConcreteGroup) -> tuple[Verdict, ...]:
    def grown(code: str, title: str, age: Hour, least: Mpa) -> Verdict:
        return Verdict(
            code, title, strength_at(mix, age), least, Operator.AT_LEAST, "MPa",
            Said("after {age:p1} h at {temperature:p1} C; that strength is there after {hours:p1} h",
                 age=age, temperature=mix.curing_temperature, hours=rounded_up(hours_until(least, mix))),
            EARLY_SOURCE,
        )  # fmt: skip

    return (
        grown("4.7", "strength when the core is drawn", mix.stripping_age, mix.drawing_strength),
        grown("4.11", "strength when the filled mould is turned", mix.stripping_age, mix.turning_strength),
        grown("4.12", "strength when the filter is lifted", cured_age(mix), mix.lifting_strength),
    )
