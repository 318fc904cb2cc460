"""Units as annotated numbers, and lengths as people write them in a workshop.

Inside the program a length is a number of millimetres, a force newtons, a stress megapascals.  The aliases below
put the unit into each signature; a type checker sees a plain ``float``.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Annotated, Final

Mm = Annotated[float, "mm"]
Mm2 = Annotated[float, "mm2"]
Mm3 = Annotated[float, "mm3"]
Mm4 = Annotated[float, "mm4"]
Metre = Annotated[float, "m"]
M2 = Annotated[float, "m2"]
M3 = Annotated[float, "m3"]
Litre = Annotated[float, "l"]
Deg = Annotated[float, "deg"]
Rad = Annotated[float, "rad"]
Kg = Annotated[float, "kg"]
Gram = Annotated[float, "g"]
KgPerM = Annotated[float, "kg/m"]
KgPerM3 = Annotated[float, "kg/m3"]
KgPerMm3 = Annotated[float, "kg/mm3"]
KnPerM3 = Annotated[float, "kN/m3"]
Newton = Annotated[float, "N"]
NewtonMm = Annotated[float, "N mm"]
Mpa = Annotated[float, "MPa"]
Kpa = Annotated[float, "kPa"]
Celsius = Annotated[float, "C"]
Second = Annotated[float, "s"]
Hour = Annotated[float, "h"]
MetrePerSecond = Annotated[float, "m/s"]
MetrePerHour = Annotated[float, "m/h"]
M3PerSecond = Annotated[float, "m3/s"]
M2PerSecond = Annotated[float, "m2/s"]
PascalSecond = Annotated[float, "Pa s"]
Ratio = Annotated[float, "-"]
Percent = Annotated[float, "%"]
AnyUnit = Annotated[float, "whatever unit its neighbours have"]
"""For the few functions that serve every unit: a scalar product, a number to be printed."""

MM_PER_INCH: Final = 25.4
"""Exact by definition of the international inch (1959)."""
GRAVITY: Final = 9.80665
"""Standard acceleration of free fall, m/s2 (3rd CGPM, 1901)."""
KG_PER_POUND: Final = 0.45359237
"""Exact by definition of the international pound (1959)."""
LITRES_PER_GALLON: Final = 3.785411784
"""Of the US gallon, 231 cubic inches: exact by definition.  An imperial gallon is a fifth more."""
NMM_PER_POUND_FOOT: Final = KG_PER_POUND * GRAVITY * 12 * MM_PER_INCH
"""Exact by definition of pound, foot and standard gravity."""

_FRACTION = r"\d+\s*/\s*\d+"
_DECIMAL = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(
    rf"""(?P<sign>[-+]?)\s*
    (?:(?P<whole>\d+)(?:\s+|\s*-\s*)(?P<part>{_FRACTION})|(?P<fraction>{_FRACTION})|(?P<decimal>{_DECIMAL}))
    \s*(?P<unit>mm|millimetres?|cm|m|inches|inch|in|"|ft|')""",
    re.VERBOSE,
)
_FACTOR: Final[dict[str, float]] = {
    "mm": 1.0,
    "millimetre": 1.0,
    "millimetres": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
    "ft": 12 * MM_PER_INCH,
    "'": 12 * MM_PER_INCH,
}


def parse_length(text: str) -> Mm:
    """Read a length with its unit, in millimetres.

    Accepts ``"50 mm"``, ``"4.5 cm"``, ``"1/8 in"``, ``"5 1/4 in"``, ``"5-1/4 in"``, ``"2 ft"``.

    Raises:
        ValueError: no number with a known unit can be read, or a fraction divides by zero.
    """
    shown = repr(text) if len(text) <= 40 else repr(text[:37] + "...")
    found = _LENGTH.fullmatch(text.strip())
    if found is None:
        raise ValueError(f'{shown} is not a length with its unit, such as "50 mm", "1/8 in" or "5 1/4 in"')
    try:
        if found["decimal"] is not None:
            value = float(found["decimal"])
        else:
            top, bottom = (int(n) for n in (found["part"] or found["fraction"]).split("/"))
            value = float(int(found["whole"] or 0) + Fraction(top, bottom))
    except ZeroDivisionError:
        raise ValueError(f"{shown} divides by zero") from None
    except OverflowError:
        value = math.inf
    result = value * _FACTOR[found["unit"]]
    if not math.isfinite(result):
        raise ValueError(f"{shown} is not a finite length")
    return -result if found["sign"] == "-" else result


def inch_fraction(length: Mm, denominator: int = 16) -> str:
    """Write a length as inches and the nearest fraction in lowest terms, such as ``"5 1/4 in"``.

    Source: shop practice, fractions to 1/16 in lowest terms (drafting practice, from memory).
    """
    steps = round(length / MM_PER_INCH * denominator)
    sign = "-" if steps < 0 else ""
    whole, rest = divmod(abs(steps), denominator)
    if rest == 0:
        return f"{sign}{whole} in"
    part = Fraction(rest, denominator)
    body = f"{part.numerator}/{part.denominator}"
    return f"{sign}{whole} {body} in" if whole else f"{sign}{body} in"


def plain(value: AnyUnit, digits: int = 3) -> str:
    """Write a number with at most ``digits`` decimals and no trailing zeros: ``"45"``, ``"0.125"``."""
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"
    return "0" if text in {"-0", ""} else text
