"""What a check returns: it measures and reports; it does not raise on a bad design and does not print."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from mouldgeom.units import Ratio, rounded, told_apart

Measured = Annotated[float, "the unit that stands beside it"]
NOISE = 1e-6
"""Relative difference that two equal numbers may have after measuring."""


class Operator(StrEnum):
    """How provided and required are compared."""

    AT_LEAST = ">="
    AT_MOST = "<="


@dataclass(frozen=True)
class CheckResult:
    """One line of the report.

    ``provided`` and ``required`` are in ``unit``; ``where`` says where the worst value
    stands; ``source`` is the rule's.
    """

    code: str
    title: str
    provided: Measured
    required: Measured
    operator: Operator
    unit: str
    where: str
    source: str

    @property
    def passed(self) -> bool:
        """Whether the requirement holds, rounding noise allowed."""
        slack = NOISE * max(1.0, abs(self.required))
        if math.isnan(self.provided):
            return False
        if self.operator is Operator.AT_LEAST:
            return self.provided >= self.required - slack
        return self.provided <= self.required + slack

    @property
    def use(self) -> Ratio:
        """Share of the limit that is used: 1 at the limit, above 1 when it fails, NaN counted as failing."""
        more, less = (
            (self.required, self.provided) if self.operator is Operator.AT_LEAST else (self.provided, self.required)
        )
        if math.isnan(self.provided):
            return math.inf
        if less <= 0:
            return 0.0 if more <= 0 else math.inf
        return max(0.0, more / less)

    def record(self) -> dict[str, object]:
        """The result as one JSON object, numbers rounded to a ten-thousandth so that noise does not show."""
        provided, required = told_apart(self.provided, self.required, self.passed, rounded)
        return {
            "code": self.code,
            "title": self.title,
            "passed": self.passed,
            "provided": provided,
            "required": required,
            "operator": str(self.operator),
            "unit": self.unit,
            "where": self.where,
            "source": self.source,
        }


def worst_first(results: tuple[CheckResult, ...]) -> tuple[CheckResult, ...]:
    """Failures first, then by share of the limit used, then by code."""
    return tuple(sorted(results, key=lambda r: (r.passed, -round(r.use, 6), r.code)))
