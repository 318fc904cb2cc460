"""Guards against numbers for which a rule has no meaning."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TypeVar

from mouldgeom.errors import InputError
from mouldgeom.units import AnyUnit

_Value = TypeVar("_Value")


def above_zero(name: str, value: AnyUnit, unit: str) -> None:
    """Let only a finite number above 0 pass.

    Raises:
        InputError: any other number.
    """
    if not (math.isfinite(value) and value > 0):
        raise InputError(
            name, f"{value:g} {unit}", "it must be a number above 0", "Give the measured or planned value."
        )


def from_zero(name: str, value: AnyUnit, unit: str) -> None:
    """Let only a finite number from 0 up pass.

    Raises:
        InputError: any other number.
    """
    if not (math.isfinite(value) and value >= 0):
        raise InputError(name, f"{value:g} {unit}", "it must be 0 or more", "Give the measured or planned value.")


def within(name: str, value: AnyUnit, least: AnyUnit, most: AnyUnit, unit: str, remedy: str) -> None:
    """Let only a number within a rule's limits of validity pass, both limits included.

    Raises:
        InputError: any other number.
    """
    if not least <= value <= most:
        raise InputError(name, f"{value:g} {unit}", f"the rule holds from {least:g} to {most:g} {unit}", remedy)


def one_of(name: str, word: str, known: Mapping[str, _Value]) -> _Value:
    """Look a word up.

    Raises:
        InputError: the word is not among those known.
    """
    if word not in known:
        raise InputError(name, repr(word), f"known are {', '.join(known)}", "Choose one of these.")
    return known[word]
