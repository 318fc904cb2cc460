"""Sideways pressure of fresh concrete on a form: the full liquid head, and the published formulas that reduce it.

Heads are measured down from the pour face in the casting position.  A form that is filled before the concrete sets has
the full liquid head: the rule for every mould poured within the hour.  The other formulas give the greatest pressure of
a tall form filled slowly; each says its limits, refuses what lies outside, and never gives more than the liquid head.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from mouldgeom import rules
from mouldgeom.errors import InputError
from mouldgeom.rules import NewtonPerMm
from mouldgeom.rules.given import above_zero, from_zero, one_of, within
from mouldgeom.units import GRAVITY, Celsius, Hour, KgPerM3, KnPerM3, MetrePerHour, Mm, Mpa, Ratio
from mouldgeom.words import Said

Form = Literal["wall", "column"]
"""A column's plan dimensions are both below 2 m."""
Cement = Literal["plain", "retarded", "blended", "blended retarded"]
"""Plain: Portland cement, any admixture but a retarder.  Blended: less than 70 % slag or 40 % fly ash; with more, take
"blended retarded".  The groups are from memory."""
Consistency = Literal["stiff", "plastic", "soft", "flowing"]
Vibration = Literal["internal", "external"]

_USE_HEAD: Final = "Use the full liquid head."
_KPA: Final = 1e-3


@dataclass(frozen=True)
class Placing:
    """How a form is filled.

    ``height`` of the pour; ``rate`` of rise; ``temperature`` of the concrete; ``slump``; ``vibration`` by needles
    inside or vibrators on the form; ``vibrated_depth`` to which needles reach.
    """

    unit_weight: KnPerM3
    height: Mm
    rate: MetrePerHour
    temperature: Celsius
    slump: Mm = 100.0
    vibration: Vibration = "internal"
    vibrated_depth: Mm = 1200.0

    def __post_init__(self) -> None:
        above_zero("unit weight of the concrete", self.unit_weight, "kN/m3")
        above_zero("height of the pour", self.height, "mm")
        _rate_and_temperature(self.rate, self.temperature)
        from_zero("slump", self.slump, "mm")
        from_zero("vibrated depth", self.vibrated_depth, "mm")
        one_of("vibration", self.vibration, {"internal": 0, "external": 0})


@dataclass(frozen=True)
class FreshPressure:
    """Pressure against depth: it grows by ``gradient`` (vibration allowance included) and stays at ``greatest``.

    ``findings`` say which limit governs and what lies outside of a formula's tried range.
    """

    method: str
    gradient: KnPerM3
    height: Mm
    greatest: Mpa
    findings: tuple[str, ...] = ()

    @property
    def liquid_depth(self) -> Mm:
        """Depth down to which the pressure is that of a liquid."""
        return min(self.greatest / (self.gradient * 1e-6), self.height)

    @property
    def resultant(self) -> NewtonPerMm:
        """Force on each mm of a wall's width, over the whole height."""
        return self.greatest * (self.height - self.liquid_depth / 2)

    def at(self, depth: Mm) -> Mpa:
        """Pressure at a depth below the pour face; 0 above it, constant below the height of the pour."""
        return min(rules.hydrostatic_pressure(self.gradient, min(max(depth, 0.0), self.height)), self.greatest)


def liquid_head(unit_weight: KnPerM3, height: Mm, allowance: Ratio = 0.0) -> FreshPressure:
    """Full liquid head, with a share added for vibration or pumping (0.1 adds 10 % at each depth).

    Raises:
        InputError: weight or height not above 0, or an allowance below 0.

    Source: US Navy builder manual 14045, full liquid head in a form filled within the initial set; allowance by input.
    """
    above_zero("unit weight of the concrete", unit_weight, "kN/m3")
    above_zero("height of the pour", height, "mm")
    from_zero("vibration allowance", allowance, "")
    gradient = unit_weight * (1 + allowance)
    return FreshPressure("full liquid head", gradient, height, rules.hydrostatic_pressure(gradient, height))


def _limited(
    method: str, unit_weight: KnPerM3, height: Mm, value: Mpa, least: Mpa = 0.0, findings: tuple[str, ...] = ()
) -> FreshPressure:
    """Raise a formula's value to its least, then cut it at the liquid head."""
    head = rules.hydrostatic_pressure(unit_weight, height)
    if head <= max(value, least):
        findings = (*findings, "the full liquid head governs: the formula reduces nothing")
    elif value < least:
        findings = (*findings, Said("the formula's least value governs: {least:.1f} kPa", least=least / _KPA))
    return FreshPressure(method, unit_weight, height, min(max(value, least), head), findings)


def _needles_only(placing: Placing, rule: str) -> None:
    if placing.vibration != "internal":
        limit = f"{rule} is for needles inside the concrete"
        raise InputError("vibration", placing.vibration, limit, "Use the full liquid head with an allowance.")


# ---------------------------------------------------------------- ACI 347


def aci_weight_factor(unit_weight: KnPerM3) -> Ratio:
    """The factor Cw: below 2240 kg/m3 0.5 (1 + w/2320), at least 0.80; to 2400 kg/m3 1.0; above w/2320.

    The jumps at 2240 (0.983 to 1) and 2400 kg/m3 (1 to 1.034) are the standard's.

    Raises:
        InputError: a weight not above 0.

    Source: ACI 347-04 and 347R-14, table of unit weight coefficients (from memory).
    """
    above_zero("unit weight of the concrete", unit_weight, "kN/m3")
    density: KgPerM3 = round(unit_weight * 1000 / GRAVITY, 6)
    if density < 2240:
        return max(0.5 * (1 + density / 2320), 0.80)
    return 1.0 if density <= 2400 else density / 2320


def aci_chemistry_factor(cement: Cement) -> Ratio:
    """The factor Cc: 1.0 plain, 1.2 retarded or blended, 1.4 blended and retarded.

    Raises:
        InputError: an unknown cement.

    Source: ACI 347-04 and 347R-14, table of chemistry coefficients (from memory).
    """
    return one_of("cement", cement, {"plain": 1.0, "retarded": 1.2, "blended": 1.2, "blended retarded": 1.4})


def _rate_and_temperature(rate: MetrePerHour, temperature: Celsius) -> None:
    above_zero("rate of rise", rate, "m/h")
    above_zero("temperature of the concrete", temperature, "C")


def aci_first_formula(rate: MetrePerHour, temperature: Celsius) -> Mpa:
    """The first formula, 7.2 + 785 R/(T + 17.8) kPa, before factors and limits.

    Raises:
        InputError: rate or temperature not above 0.

    Source: ACI 347-04 and 347R-14 eq. 2.2, columns and low slow walls (from memory).
    """
    _rate_and_temperature(rate, temperature)
    return (7.2 + 785 * rate / (temperature + 17.8)) * _KPA


def aci_second_formula(rate: MetrePerHour, temperature: Celsius) -> Mpa:
    """The second formula, 7.2 + 1156/(T + 17.8) + 244 R/(T + 17.8) kPa, before factors and limits.

    Raises:
        InputError: rate or temperature not above 0.

    Source: ACI 347-04 and 347R-14, walls that are taller or rise faster (from memory).
    """
    _rate_and_temperature(rate, temperature)
    return (7.2 + (1156 + 244 * rate) / (temperature + 17.8)) * _KPA


def aci_347(placing: Placing, form: Form = "wall", cement: Cement = "plain") -> FreshPressure:
    """Cw Cc times the first or second formula; at least 30 Cw kPa and never above the liquid head.

    First: columns at any rate; walls up to 4.2 m that rise by less than 2.1 m/h.  Second: other walls, up to 4.5 m/h.
    As 30 Cw kPa is the head of 1.27 m of concrete or more, the formulas reduce nothing in a lower form.  The
    formulas have been tried from 4.4 to 38 C (from memory): another temperature is a finding.

    Raises:
        InputError: slump above 175 mm, walls rising faster than 4.5 m/h, vibrators on the form, needles deeper than
            1.2 m, or an unknown form or cement.

    Source: ACI 347-04 and 347R-14; limits of height, rate and slump as in Hurd 2006, formulas from memory.
    """
    one_of("form", form, {"wall": 0, "column": 0})
    _needles_only(placing, "ACI 347")
    within("slump", placing.slump, 0, 175, "mm", _USE_HEAD)
    within("vibrated depth", placing.vibrated_depth, 0, 1200, "mm", _USE_HEAD)
    if form == "wall":
        within("rate of rise", placing.rate, 0, 4.5, "m/h", _USE_HEAD)
    first = form == "column" or (placing.rate < 2.1 and placing.height <= 4200)
    value = (aci_first_formula if first else aci_second_formula)(placing.rate, placing.temperature)
    weight = aci_weight_factor(placing.unit_weight)
    outside = not 4.4 <= placing.temperature <= 38
    return _limited(
        f"ACI 347, {'first' if first else 'second'} formula",
        placing.unit_weight,
        placing.height,
        weight * aci_chemistry_factor(cement) * value,
        30 * weight * _KPA,
        (Said("{at:g} C is outside 4.4 to 38 C, where the formula has been tried", at=placing.temperature),)
        if outside
        else (),
    )


# ---------------------------------------------------------------- CIRIA 108


def ciria_temperature_factor(temperature: Celsius) -> Ratio:
    """The factor K = (36/(T + 16))^2.

    Raises:
        InputError: outside 5 to 30 C (limits from memory).

    Source: CIRIA Report 108, 1985, as quoted in a worked sheet.
    """
    within("temperature of the concrete", temperature, 5, 30, "C", _USE_HEAD)
    return (36 / (temperature + 16)) ** 2


def ciria_108(
    placing: Placing, form: Form = "wall", cement: Cement = "plain", form_height: Mm | None = None
) -> FreshPressure:
    """D [C1 sqrt R + C2 K sqrt(H - C1 sqrt R)], or D h where less or where C1 sqrt R exceeds H.

    H is the height of the form (that of the pour, h, if not given), C1 1.0 for walls and 1.5 for columns, C2 0.30 for
    plain cement, 0.45 retarded or blended, 0.60 blended and retarded (numbers seen, groups from memory).

    Raises:
        InputError: outside 5 to 30 C, vibrators on the form, a form lower than the pour, or an unknown form or cement.

    Source: CIRIA Report 108, 1985, as quoted in a worked sheet.
    """
    _needles_only(placing, "CIRIA 108")
    shape = one_of("form", form, {"wall": 1.0, "column": 1.5})
    mix = one_of("cement", cement, {"plain": 0.30, "retarded": 0.45, "blended": 0.45, "blended retarded": 0.60})
    height = placing.height if form_height is None else form_height
    within("height of the form", height, placing.height, math.inf, "mm", "Give a form at least as high as the pour.")
    factor = ciria_temperature_factor(placing.temperature)
    rise, tall = shape * math.sqrt(placing.rate), height / 1000
    value = math.inf if rise > tall else placing.unit_weight * (rise + mix * factor * math.sqrt(tall - rise)) * _KPA
    return _limited("CIRIA 108", placing.unit_weight, placing.height, value)


# ---------------------------------------------------------------- DIN 18218

_DIN_1980: Final[dict[str, tuple[Ratio, Ratio]]] = {
    "stiff": (5.0, 21.0),
    "plastic": (10.0, 19.0),
    "soft": (14.0, 18.0),
    "flowing": (17.0, 17.0),
}
"""Slope and start of the pressure in kPa against the rate in m/h, at 15 C and 25 kN/m3."""


def din_temperature_factor(temperature: Celsius) -> Ratio:
    """The factor kT = (145 - 3 T)/100, 1 at 15 C.

    Raises:
        InputError: outside 5 to 25 C, the range of the printed table.

    Source: DIN 18218:1980-09, as printed in a formwork handbook.
    """
    within("temperature of the concrete", temperature, 5, 25, "C", "Take 25 C for warmer concrete, else the full head.")
    return (145 - 3 * temperature) / 100


def din_18218_1980(placing: Placing, consistency: Consistency, set_time: Hour = 5.0) -> FreshPressure:
    """Greatest pressure kT (a v + b), scaled from 25 kN/m3: 5v + 21 stiff, 10v + 19 plastic, 14v + 18 soft, 17v + 17.

    Raises:
        InputError: rate above 7 m/h, set after more than 5 h, outside 5 to 25 C, vibrators on the form, or an unknown
            consistency.

    Source: DIN 18218:1980-09, as printed in a formwork handbook; soft and flowing from memory.
    """
    _needles_only(placing, "DIN 18218")
    slope, start = one_of("consistency", consistency, _DIN_1980)
    within("rate of rise", placing.rate, 0, 7, "m/h", _USE_HEAD)
    above_zero("time to set", set_time, "h")
    within("time to set", set_time, 0, 5, "h", _USE_HEAD)
    value = din_temperature_factor(placing.temperature) * (slope * placing.rate + start) * placing.unit_weight / 25
    named = Said("DIN 18218:1980, {consistency}", consistency=consistency)
    return _limited(named, placing.unit_weight, placing.height, value * _KPA)
