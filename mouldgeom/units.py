"""Units as annotated numbers, and lengths as people write them in a workshop.

Inside the program a length is a number of millimetres, a force newtons, a stress megapascals.  The aliases below
put the unit into each signature; a type checker sees a plain ``float``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from fractions import Fraction
from typing import Annotated, Final, TypeVar

Mm = Annotated[float, "mm"]
Mm2 = Annotated[float, "mm2"]
Mm3 = Annotated[float, "mm3"]
Mm4 = Annotated[float, "mm4"]
Metre = Annotated[float, "m"]
M2 = Annotated[float, "m2"]
Litre = Annotated[float, "l"]
LitrePerHour = Annotated[float, "l/h"]
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
Casts = Annotated[float, "casts"]
AnyUnit = Annotated[float, "whatever unit its neighbours have"]
"""For the few functions that serve every unit: a scalar product, a number to be printed."""

MM_PER_INCH: Final = 25.4
"""Exact by definition of the international inch (1959)."""
DRILL_STEP: Final[Mm] = MM_PER_INCH / 64
"""Fractional drills come in steps of 1/64 in, and the finest scale of a steel rule has them (shop practice)."""
GRAVITY: Final = 9.80665
"""Standard acceleration of free fall, m/s2 (3rd CGPM, 1901)."""
NOISE: Final[Mm] = 1e-6
"""Length by which two that ought to be equal may differ, so that a limit that is met is not refused."""
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


def drill_fraction(diameter: Mm) -> str | None:
    """Name of a size that is a whole number of 64ths of an inch, such as ``"13/32 in"``; of no other."""
    exact = abs(diameter - round(diameter / DRILL_STEP) * DRILL_STEP) < 0.001
    return inch_fraction(diameter, 64) if exact else None


def drill_text(diameter: Mm) -> str:
    """A hole by the exact names of its drill in a file of both units: ``"11 mm"``, ``"10.32 mm (13/32 in)"``."""
    fraction = drill_fraction(diameter)
    return f"{plain(diameter, 2)} mm" + (f" ({fraction})" if fraction else "")


def larger_drill(diameter: Mm) -> Mm:
    """The next larger drill in 64ths of an inch."""
    return (math.floor(diameter / DRILL_STEP + 1e-6) + 1) * DRILL_STEP


def plain(value: AnyUnit, digits: int = 3) -> str:
    """Write a number with at most ``digits`` decimals and no trailing zeros: ``"45"``, ``"0.125"``."""
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"
    return "0" if text in {"-0", ""} else text


def decimals(value: AnyUnit) -> int:
    """Decimals that give a finite number four figures, 6 at most: 2 for 12.345, 0 for 12345."""
    return 0 if value == 0 else min(6, max(0, 3 - math.floor(math.log10(abs(value)))))


def four_figures(value: AnyUnit, more: int = 0) -> str:
    """Write a number with four figures and so many ``more``, no trailing zeros: ``"12.35"``, ``"1234"``."""
    return plain(value, decimals(value) + more) if math.isfinite(value) else str(value)


def rounded(value: AnyUnit, more: int = 0) -> AnyUnit | None:
    """Round a number to a ten-thousandth, or ``more`` digits, for a JSON document; none if it is not finite."""
    return round(value, 4 + more) + 0.0 if math.isfinite(value) else None


Shown = TypeVar("Shown")
_MOST_MORE: Final = 12
"""Digits that can tell two numbers apart beyond the usual ones: those of a double."""


def told_apart(
    value: AnyUnit, limit: AnyUnit, holds: bool, write: Callable[[AnyUnit, int], Shown]
) -> tuple[Shown, Shown]:
    """Write a value and its limit: where it fails, with as many digits as tell the two apart.

    >>> told_apart(14.99996, 15, False, four_figures)
    ('14.99996', '15')

    Args:
        write: makes text of a number and of how many digits ``more`` than usual it is to have.
    """
    shown = write(value, 0), write(limit, 0)
    for more in range(1, _MOST_MORE):
        if holds or shown[0] != shown[1] or math.isclose(value, limit, rel_tol=1e-10):
            break
        shown = write(value, more), write(limit, more)
    return shown


def rounded_down(value: AnyUnit, digits: int = 1) -> AnyUnit:
    """The next number of so many decimals at or below a value; a millionth of the last digit counts as noise."""
    scale = float(10**digits)
    return math.floor(value * scale + 1e-6) / scale


def rounded_up(value: AnyUnit, digits: int = 1) -> AnyUnit:
    """The next number of so many decimals at or above a value; a millionth of the last digit counts as noise."""
    return -rounded_down(-value, digits)
