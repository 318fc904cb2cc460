"""Density, viscosity and surface tension of water against temperature."""

from __future__ import annotations

import math
from typing import Annotated, Final

from mouldgeom.errors import InputError
from mouldgeom.units import GRAVITY, Celsius, KgPerM3, M2PerSecond, Mm, PascalSecond, Ratio

Kelvin = Annotated[float, "K"]
NewtonPerMetre = Annotated[float, "N/m"]

ZERO_CELSIUS: Final = 273.15
"""0 C in kelvin, by definition of the Celsius scale."""
LOWEST: Final[Celsius] = -20.0
HIGHEST: Final[Celsius] = 110.0
"""Range of the formulation, 253.15 to 383.15 K; a filter works between 0 and 50 C."""

_CRITICAL_TEMPERATURE: Final[Kelvin] = 647.096
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


def surface_tension(temperature: Celsius) -> NewtonPerMetre:
    """Surface tension of clean water against its vapour, or air.

    Source: IAPWS R1-76(2014); its constants are from memory and agree with the package ``iapws``, and with the
        correlation of Patek, Souckova and Klomfar, J. Chem. Eng. Data 2016, within 0.1 mN/m.
    """
    below = 1 - kelvin(temperature) / _CRITICAL_TEMPERATURE
    return 0.2358 * math.pow(below, 1.256) * (1 - 0.625 * below)


def capillary_length(temperature: Celsius) -> Mm:
    """Length below which surface tension outweighs gravity in clean water, sqrt(tension / (density g)).

    Source: definition; tension by IAPWS R1-76(2014), density by IAPWS SR6-08(2011).
    """
    return 1000 * math.sqrt(surface_tension(temperature) / (density(temperature) * GRAVITY))
