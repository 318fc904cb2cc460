"""Density and viscosity of water against temperature, and how readily it passes sand by the size of its grains.

`Finding` and `Estimate`, in which all of the filter's modules report, stand here because this one comes first.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Final

from mouldgeom.errors import InputError, MeasurementError
from mouldgeom.units import GRAVITY, M2, Celsius, KgPerM3, M2PerSecond, MetrePerSecond, Mm, PascalSecond, Ratio, plain

Kelvin = Annotated[float, "K"]
Quantity = Annotated[float, "in the unit given beside it"]
HazenCoefficient = Annotated[float, "1/(cm s)"]
OriginalHazenCoefficient = Annotated[float, "m/d per mm2"]

ZERO_CELSIUS: Final = 273.15
"""0 C in kelvin, by definition of the Celsius scale."""
LOWEST: Final[Celsius] = -20.0
HIGHEST: Final[Celsius] = 110.0
"""Range of the formulation, 253.15 to 383.15 K; a filter works between 0 and 50 C."""
PRACTICAL: Final[tuple[Celsius, Celsius]] = (0.0, 50.0)

_POROSITY: Final[tuple[Ratio, Ratio]] = (0.2, 0.8)
_GAS_CONSTANT: Final = 461.51805  # J/(kg K)
_REFERENCE_TEMPERATURE: Final = 10.0  # K
_REFERENCE_PRESSURE: Final = 1.0e5  # Pa
_VOLUME_CONSTANT: Final = 1.93763157e-2
_VOLUME_UPPER: Final = (  # (coefficient, exponent) of 10 K / (593 K - T)
    (6.74458446e3, 4),
    (-2.22521604e5, 5),
    (1.00231247e8, 7),
    (-1.63552118e9, 8),
    (8.32299658e9, 9),
)
_VOLUME_LOWER: Final = (  # (coefficient, exponent) of 10 K / (T - 232 K)
    (5.78545292e-3, 1),
    (-1.53195665e-2, 2),
    (3.11337859e-2, 3),
    (-4.23546241e-2, 4),
    (3.38713507e-2, 5),
    (-1.19946761e-2, 6),
)
_VISCOSITY: Final = (  # (coefficient in micropascal seconds, exponent) of T / 300 K
    (280.68, -1.9),
    (511.45, -7.7),
    (61.131, -19.6),
    (0.45903, -40.0),
)


def kelvin(temperature: Celsius) -> Kelvin:
    """Absolute temperature, refused outside the range of the formulation.

    Raises:
        InputError: below -20 C or above 110 C, or no number.
    """
    if not LOWEST <= temperature <= HIGHEST:
        raise InputError(
            "water temperature",
            f"{temperature:g} C",
            f"between {LOWEST:g} and {HIGHEST:g} C (liquid water at 0.1 MPa)",
            "Give the temperature of the water in degrees Celsius.",
        )
    return temperature + ZERO_CELSIUS


def density(temperature: Celsius) -> KgPerM3:
    """Density of liquid water at 0.1 MPa, from its specific volume.

    Valid from -20 to 110 C (metastable below 0 C).

    Source: IAPWS SR6-08(2011), specific volume of liquid water at 0.1 MPa; coefficients compared with a public program.
    """
    absolute = kelvin(temperature)
    upper = _REFERENCE_TEMPERATURE / (593.0 - absolute)
    lower = _REFERENCE_TEMPERATURE / (absolute - 232.0)
    total = (
        _VOLUME_CONSTANT
        + sum(coefficient * upper**exponent for coefficient, exponent in _VOLUME_UPPER)
        + sum(coefficient * lower**exponent for coefficient, exponent in _VOLUME_LOWER)
    )
    return _REFERENCE_PRESSURE / (_GAS_CONSTANT * _REFERENCE_TEMPERATURE * total)


def dynamic_viscosity(temperature: Celsius) -> PascalSecond:
    """Dynamic viscosity of liquid water at 0.1 MPa, valid from -20 to 110 C.

    Source: IAPWS SR6-08(2011), eq. 7 and Table 5.
    """
    reduced = kelvin(temperature) / 300.0
    return 1e-6 * sum(coefficient * math.pow(reduced, exponent) for coefficient, exponent in _VISCOSITY)


def kinematic_viscosity(temperature: Celsius) -> M2PerSecond:
    """Dynamic viscosity over density, valid from -20 to 110 C.

    Source: IAPWS SR6-08(2011), as `dynamic_viscosity` and `density`.
    """
    return dynamic_viscosity(temperature) / density(temperature)


def viscosity_ratio(measured_at: Celsius, wanted_at: Celsius) -> Ratio:
    """What a conductivity measured at one temperature is multiplied by to hold at another.

    Above 1 where the wanted water is warmer.

    Source: K = permeability x g / kinematic viscosity (Darcy's law); viscosities by IAPWS SR6-08(2011).
    """
    return kinematic_viscosity(measured_at) / kinematic_viscosity(wanted_at)


@dataclass(frozen=True, slots=True)
class Finding:
    """A value held against a published range; reported, never raised.

    Args:
        decides: false for ranges that only inform and do not turn the verdict.
        verdict: a word or two, such as ``"too fine"``; ``"within"`` where all is well.
        advice: what to do about it, or nothing.
        evidence: ``"seen"``, ``"part seen"`` (quoted second hand), ``"memory"`` or ``"common practice"``.
    """

    code: str
    what: str
    passed: bool
    decides: bool
    value: Quantity
    low: Quantity | None
    high: Quantity | None
    unit: str
    verdict: str
    advice: str
    source: str
    evidence: str

    def line(self) -> str:
        """The finding as one line of text."""
        unit = "" if self.unit == "-" else f" {self.unit}"
        bounds = [f"at least {plain(self.low)}"] if self.low is not None else []
        bounds += [f"at most {plain(self.high)}"] if self.high is not None else []
        where = f"wanted {' and '.join(bounds)}{unit}; {self.source}, {self.evidence}"
        return f"{self.what} {plain(self.value)}{unit}: {self.verdict} ({where}). {self.advice}".rstrip()


def within(
    code: str,
    what: str,
    value: Quantity,
    low: Quantity | None,
    high: Quantity | None,
    unit: str,
    *,
    source: str,
    evidence: str,
    decides: bool = True,
    below: tuple[str, str] = ("too low", ""),
    above: tuple[str, str] = ("too high", ""),
) -> Finding:
    """Hold a value against a range, its ends included; ``below`` and ``above`` are verdict and advice outside it."""
    if low is not None and not value >= low:
        passed, (verdict, advice) = False, below
    elif high is not None and not value <= high:
        passed, (verdict, advice) = False, above
    else:
        passed, verdict, advice = True, "within", ""
    return Finding(code, what, passed, decides, value, low, high, unit, verdict, advice, source, evidence)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value by one formula, its spread, and whether the formula's limits of validity hold."""

    method: str
    value: Quantity
    low: Quantity
    high: Quantity
    unit: str
    findings: tuple[Finding, ...]
    source: str

    @property
    def valid(self) -> bool:
        """Whether all limits of validity hold."""
        return all(finding.passed for finding in self.findings)


def positive(unit: str, **values: Quantity) -> None:
    """Refuse values that are not finite numbers above zero.

    Raises:
        MeasurementError: naming the first such value.
    """
    for name, value in values.items():
        if not 0 < value < math.inf:
            limit = "must be a number above zero"
            raise MeasurementError(name.replace("_", " "), f"{value:g} {unit}", limit, "Measure it or enter it again.")


_VUKOVIC: Final = "Vukovic and Soro form"
_HAZEN_1911: Final = "Hazen 1892/1911"
_CARRIER: Final = "Carrier, J. Geotech. Geoenviron. Eng. 129(11):1054, 2003"


def _valid(
    code: str, what: str, value: Quantity, low: Quantity | None, high: Quantity | None, unit: str, source: str
) -> Finding:
    outside = ("outside the formula's range", "Rather measure it (falling-head test).")
    evidence = "memory" if source == _HAZEN_1911 else "seen"
    return within(code, what, value, low, high, unit, source=source, evidence=evidence, below=outside, above=outside)


def _hazen_limits(d10: Mm, uniformity: Ratio, most: Ratio, source: str) -> tuple[Finding, ...]:
    positive("mm", d10=d10)
    return (
        _valid("valid-d10", "effective size d10", d10, 0.1, 3.0, "mm", source),
        _valid("valid-uniformity", "uniformity coefficient", uniformity, None, most, "-", source),
    )


def hazen(d10: Mm, uniformity: Ratio, coefficient: HazenCoefficient = 100.0) -> Estimate:
    """Conductivity of loose clean filter sand by Hazen's short form, K [cm/s] = C d10 [cm]^2; water of about 10 C.

    Spread: from half the usual coefficient 100 (spread of such formulas) to 1000, the greatest in real data.

    Source: Carrier, J. Geotech. Geoenviron. Eng. 129(11):1054, 2003.
    """
    findings = _hazen_limits(d10, uniformity, 2.0, _CARRIER)
    square = (d10 / 10) ** 2 / 100
    return Estimate("Hazen", coefficient * square, 50 * square, 1000 * square, "m/s", findings, _CARRIER)


def hazen_with_porosity(d10: Mm, uniformity: Ratio, porosity: Ratio, temperature: Celsius) -> Estimate:
    """Conductivity by K = (g/nu) 6e-4 [1 + 10 (n - 0.26)] d10^2, for d10 0.1 to 3 mm and uniformity below 5.

    Spread: a factor of two either way.

    Source: Vukovic and Soro form of Hazen's formula.
    """
    check_porosity(porosity)
    factor = 6e-4 * (1 + 10 * (porosity - 0.26))
    findings = _hazen_limits(d10, uniformity, 5.0, _VUKOVIC)
    return _of_grain("Hazen with porosity", factor, d10, temperature, findings, _VUKOVIC)


def hazen_original(
    d10: Mm, uniformity: Ratio, temperature: Celsius, coefficient: OriginalHazenCoefficient = 1000.0
) -> Estimate:
    """Conductivity by K [m/d] = C (0.70 + 0.03 T) d10 [mm]^2, for d10 0.1 to 3 mm and uniformity below 5.

    Spread: C from 400 to 1200.

    Source: Hazen 1892/1911 (from memory).
    """
    findings = _hazen_limits(d10, uniformity, 5.0, _HAZEN_1911)
    unit = (0.70 + 0.03 * (kelvin(temperature) - ZERO_CELSIUS)) * d10**2 / 86400
    return Estimate("Hazen original", coefficient * unit, 400 * unit, 1200 * unit, "m/s", findings, _HAZEN_1911)


def kozeny_carman(size: Mm, porosity: Ratio, temperature: Celsius, divisor: Ratio = 180.0) -> Estimate:
    """Conductivity by K = (g/nu) n^3 d^2 / [divisor (1 - n)^2], d the effective size: below 3 mm and no clay.

    The divisor 180 is that of a bed of spheres (constant 5); 120 is the other usual form.  Spread: a factor of two.

    Source: Kozeny-Carman with 1/180, a general page; with 8.3e-3 = 1/120 in the Vukovic and Soro form.
    """
    check_porosity(porosity)
    factor = porosity**3 / (divisor * (1 - porosity) ** 2)
    findings = (_valid("valid-size", "grain size", size, 0.002, 3.0, "mm", _VUKOVIC),)
    return _of_grain(f"Kozeny-Carman 1/{divisor:g}", factor, size, temperature, findings, _VUKOVIC)


def _of_grain(
    method: str, factor: Ratio, size: Mm, temperature: Celsius, findings: tuple[Finding, ...], source: str
) -> Estimate:
    positive("mm", grain_size=size)
    value = GRAVITY / kinematic_viscosity(temperature) * factor * (size / 1000) ** 2
    return Estimate(method, value, value / 2, value * 2, "m/s", findings, source)


def check_porosity(porosity: Ratio) -> None:
    """Refuse a porosity that no bed of grains has.

    Raises:
        InputError: not between 0.2 and 0.8.
    """
    if not _POROSITY[0] < porosity < _POROSITY[1]:
        limit, remedy = "must lie between 0.2 and 0.8", "Filter sand has 0.40 to 0.50."
        raise InputError("porosity", f"{porosity:g}", limit, remedy)


def conductivities(d10: Mm, uniformity: Ratio, porosity: Ratio, temperature: Celsius) -> tuple[Estimate, ...]:
    """All five estimates side by side, in this order."""
    return (
        hazen(d10, uniformity),
        hazen_with_porosity(d10, uniformity, porosity, temperature),
        hazen_original(d10, uniformity, temperature),
        kozeny_carman(d10, porosity, temperature),
        kozeny_carman(d10, porosity, temperature, divisor=120.0),
    )


def porosity_of(uniformity: Ratio) -> Ratio:
    """Porosity n = 0.255 (1 + 0.83^U) where none was measured.

    Source: Vukovic and Soro, 1992 (from memory); filter sand has 0.40 to 0.47 by Davis (2010), Table 11-1.
    """
    return float(0.255 * (1 + math.pow(0.83, uniformity)))


def conductivity_of(permeability: M2, temperature: Celsius) -> MetrePerSecond:
    """Conductivity K = permeability x g / nu.

    Source: Darcy's law.
    """
    return permeability * GRAVITY / kinematic_viscosity(temperature)
