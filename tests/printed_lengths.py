"""Lengths and drills read back from the papers as a welder reads them."""

from __future__ import annotations

import re
from fractions import Fraction

from mouldgeom.units import MM_PER_INCH

_NUMBER = r"(?:(\d+) )?(\d+)/(\d+) in|(\d+) in|(\d+(?:\.\d+)?)(?: mm)?"


def inches_or_mm(text: str) -> tuple[Fraction, str]:
    """A printed number in its own unit, exactly."""
    found = re.fullmatch(_NUMBER, text)
    assert found is not None, text
    whole, top, bottom, plain, metric = found.groups()
    if metric:
        return Fraction(metric), "mm"
    return Fraction(plain) if plain else int(whole or 0) + Fraction(int(top), int(bottom)), "in"


def readings(text: str) -> list[float]:
    """What a printed length, or each of the drills that it names, is in millimetres."""
    parts = re.split(r" or | = | \(", text.removesuffix(")").replace("\N{NO-BREAK SPACE}", " "))
    return [float(value) * (MM_PER_INCH if unit == "in" else 1) for value, unit in map(inches_or_mm, parts)]
