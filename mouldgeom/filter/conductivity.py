"""How readily water passes a sand, by the size of its grains: published formulas, their limits and their spread."""

from __future__ import annotations

from typing import Annotated, Final

from mouldgeom.errors import InputError
from mouldgeom.filter.findings import Estimate, Finding, positive, within
from mouldgeom.filter.water import ZERO_CELSIUS, kelvin, kinematic_viscosity
from mouldgeom.units import GRAVITY, Celsius, Mm, Ratio
from mouldgeom.verdict import Quantity

HazenCoefficient = Annotated[float, "1/(cm s)"]
OriginalHazenCoefficient = Annotated[float, "m/d per mm2"]

_POROSITY: Final[tuple[Ratio, Ratio]] = (0.2, 0.8)
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
