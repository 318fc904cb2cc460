"""Tests of sand that need no sieve: shaken in a jar with water, and water that sinks through it in a standpipe."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from mouldgeom.errors import MeasurementError
from mouldgeom.filter.findings import Finding, positive, within
from mouldgeom.filter.sand import WASH
from mouldgeom.filter.water import viscosity_ratio
from mouldgeom.units import Celsius, MetrePerSecond, Mm, Mm2, Percent, Second

SILT_LIMIT: Final[Percent] = 6.0
"""Settled silt in a jar above which sand is washed: common practice, no source."""


@dataclass(frozen=True, slots=True)
class JarTest:
    """Sand shaken with water in a jar and left to settle: height of the sand and of the silt on top of it.

    Raises:
        MeasurementError: no sand, or a negative height.
    """

    sand_mm: Mm
    silt_mm: Mm

    def __post_init__(self) -> None:
        positive("mm", settled_sand=self.sand_mm)
        if self.silt_mm != 0:
            positive("mm", settled_silt=self.silt_mm)

    @property
    def silt(self) -> Percent:
        """Silt in percent of the whole settled height."""
        return 100 * self.silt_mm / (self.sand_mm + self.silt_mm)

    def check(self, limit: Percent = SILT_LIMIT) -> Finding:
        """Hold the settled silt against a limit.

        Source: common practice, no source (6 %, a limit used for building sand; a filter wants less).
        """
        return within(
            "sand-silt", "settled silt", self.silt, None, limit, "%", source="jar test", evidence="common practice",
            above=WASH,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class FallingHead:
    """Water sinks from ``h1`` to ``h2`` in a standpipe, which may be as wide as the sample of sand below it.

    Raises:
        MeasurementError: a value not above zero, or a head that does not fall.
    """

    length: Mm
    sample_area: Mm2
    tube_area: Mm2
    h1: Mm
    h2: Mm
    time: Second
    temperature: Celsius

    def __post_init__(self) -> None:
        positive("mm", sample_length=self.length, h1=self.h1, h2=self.h2)
        positive("mm2", sample_area=self.sample_area, tube_area=self.tube_area)
        positive("s", time=self.time)
        if self.h2 >= self.h1:
            raise MeasurementError("h2", f"{self.h2:g} mm", f"must lie below h1 = {self.h1:g} mm", "Read both again.")

    @property
    def conductivity(self) -> MetrePerSecond:
        """Hydraulic conductivity at the temperature of the test.

        Source: Darcy's law: K = a L/(A t) ln(h1/h2) (student notes with derivation).
        """
        return self.tube_area * self.length / (self.sample_area * self.time) * math.log(self.h1 / self.h2) / 1000

    def conductivity_at(self, temperature: Celsius) -> MetrePerSecond:
        """Hydraulic conductivity at another temperature, corrected by the viscosity of water."""
        return self.conductivity * viscosity_ratio(self.temperature, temperature)
