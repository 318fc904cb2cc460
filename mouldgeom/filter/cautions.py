"""Cautions of drinking water and cement, said wherever a filter is sized or its specification written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution and where it comes from."""

    text: str
    source: str

    def line(self) -> str:
        """Both in one line."""
        return f"{self.text} ({self.source})"


CAUTIONS: Final = (
    Caution(
        "A new or newly cleaned bed is no barrier until it has ripened, about a month: disinfect the water meanwhile.",
        "Water Sci. Technol.: Water Supply 14(4):643, 2014: mean removal below 90 % while ripening",
    ),
    Caution(
        "Go on disinfecting after that: sand alone does not hold back viruses well enough.",
        "WHO scheme for household water treatment, from memory; Elliott et al., IJERPH 12:10276, 2015",
    ),
    Caution(
        "Tube and release oil must be fit for drinking water: food-grade tube, edible oil, never used engine oil.",
        "ASCE/AWWA Water Treatment Plant Design, ch. 9, for the tube; common practice for the oil",
    ),
    Caution(
        "Never push a hose on the outlet: it siphons the bed dry, and a dry bed dies.",
        "hydraulics of the outlet, from memory",
    ),
    Caution("Wet cement burns skin and eyes: gloves, boots, goggles, and water at hand.", "HSE CIS26"),
    Caution(
        "Dust of sand, stone and cement harms the lungs: work damp or with a mask (silica 0.05 mg/m3 over 8 h).",
        "OSHA 29 CFR 1926.1153",
    ),
    Caution(
        "Local health rules decide whether and how the water may be drunk; have it tested.",
        "common practice, no source",
    ),
)
