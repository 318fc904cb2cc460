"""One verdict, of whatever is judged: a value held against its limit; it reports, and does not raise or print.

Of a filter, a mould, its solids or a finished mould as it was measured, and calculated or measured: the same class.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, TypeVar

from mouldgeom.errors import InputError
from mouldgeom.units import Ratio, rounded, told_apart

Quantity = Annotated[float, "in the unit given beside it"]
NOISE = 1e-6
"""Relative difference, absolute below 1, that two equal numbers may have after measuring."""

Shown = TypeVar("Shown")


class Operator(StrEnum):
    """How a value and its limit are compared."""

    AT_LEAST = ">="
    AT_MOST = "<="

    @property
    def words(self) -> str:
        """``"at least"`` or ``"at most"``."""
        return "at least" if self is Operator.AT_LEAST else "at most"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A value held against its limit.

    >>> one = Verdict("cart", "heaviest unit", 33.5, 40.0, Operator.AT_MOST, "kg", "core", "own rule")
    >>> one.holds, round(one.use, 2)
    (True, 0.84)

    Args:
        code: by which it is found and sorted, such as ``"8.10"`` or ``"lift"``.
        title: what is judged.
        value: in ``unit``.
        limit: in ``unit``.
        operator: whether the limit is the least or the most that is allowed.
        unit: ``"-"`` for a ratio.
        where: the place at which the value is worst.
        source: the rule that sets the limit and where it stands: standard, edition and clause, the field of the
            specification, or "common practice, no source".
        cure: what to do where it fails; empty where nothing is known.
    """

    code: str
    title: str
    value: Quantity
    limit: Quantity
    operator: Operator
    unit: str
    where: str
    source: str
    cure: str = ""

    @property
    def holds(self) -> bool:
        """Whether the limit is kept, rounding noise allowed; not a number never holds."""
        slack = NOISE * max(1.0, abs(self.limit))
        if self.operator is Operator.AT_LEAST:
            return self.value >= self.limit - slack
        return self.value <= self.limit + slack

    @property
    def use(self) -> Ratio:
        """Share of the limit that is used: 1 at the limit, above 1 when it fails, without end for not a number."""
        more, less = (self.limit, self.value) if self.operator is Operator.AT_LEAST else (self.value, self.limit)
        if math.isnan(self.value):
            return math.inf
        if less <= 0:
            return 0.0 if self.holds else math.inf
        return max(0.0, more / less)

    def told(self, write: Callable[[Quantity, int], Shown]) -> tuple[Shown, Shown]:
        """Value and limit as ``write`` makes them; where it fails, never the same (`units.told_apart`)."""
        return told_apart(self.value, self.limit, self.holds, write)

    def record(self) -> dict[str, object]:
        """The verdict as one JSON object, numbers rounded to a ten-thousandth so that noise does not show."""
        value, limit = self.told(rounded)
        return {
            "code": self.code,
            "title": self.title,
            "passed": self.holds,
            "provided": value,
            "required": limit,
            "operator": str(self.operator),
            "unit": self.unit,
            "where": self.where,
            "source": self.source,
        }


def own_verdicts(found: object, whose: str) -> tuple[Verdict, ...]:
    """What a check from outside found, as verdicts.

    Args:
        found: by the check.
        whose: who answers for it, such as ``"extension cart-check"``.

    Raises:
        InputError: it is something else, not a number, or of a code that begins with a digit, as those of the program.
    """

    def refused(given: str, limit: str, remedy: str) -> InputError:
        return InputError(whose, given, limit, remedy)

    if not isinstance(found, Iterable):
        raise refused(type(found).__name__, "a check gives verdicts", "Return a tuple of Verdict, or yield them.")
    verdicts = tuple(found)
    for one in verdicts:
        if not isinstance(one, Verdict):
            raise refused(type(one).__name__, "a check gives verdicts", "Return a tuple of Verdict, or yield them.")
        if not all(isinstance(number, int | float) and math.isfinite(number) for number in (one.value, one.limit)):
            raise refused(f"{one.code}: {one.value} against {one.limit}", "no two finite numbers", "Give such.")
        if not one.code.strip() or one.code[0].isdigit():
            limit = "codes that begin with a digit are those of the program"
            raise refused(repr(one.code), limit, 'Give it a code that begins with a word: "cart", "cart.2".')
    return verdicts


Judged = TypeVar("Judged", bound=Verdict)


def in_order(code: str) -> tuple[tuple[str | int, ...], str]:
    """Sorting key of any code: numbers in it count as numbers, so ``"8.10"`` stands behind ``"8.9"``.

    >>> sorted(["lift", "8.10", "9.a", "8.9"], key=in_order)
    ['8.9', '8.10', '9.a', 'lift']
    """
    parts = re.split(r"(\d+)", code)
    return tuple(int(part) if number % 2 else part for number, part in enumerate(parts)), code


def by_code(verdicts: Iterable[Judged]) -> tuple[Judged, ...]:
    """Verdicts in the order of their codes; those of one code stay as they were."""
    return tuple(sorted(verdicts, key=lambda one: in_order(one.code)))


def worst_first(verdicts: Iterable[Judged]) -> tuple[Judged, ...]:
    """Failures first, then by share of the limit used, then by code."""
    return tuple(sorted(verdicts, key=lambda one: (one.holds, -round(one.use, 6), in_order(one.code))))
