"""How the modules of the filter report: a value held against a published range, and a value with its spread."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from mouldgeom.errors import MeasurementError
from mouldgeom.units import plain, told_apart

Quantity = Annotated[float, "in the unit given beside it"]


@dataclass(frozen=True, slots=True)
class Finding:
    """A value held against a published range; reported, never raised.

    Args:
        decides: false for ranges that only inform and do not turn the verdict.
        verdict: a word or two, such as ``"too fine"``; ``"within"`` where all is well.
        advice: what to do about it, or nothing.
        evidence: ``"seen"``, ``"part seen"`` (quoted second hand), ``"memory"`` or ``"common practice"``.
    """

    code: str
    what: str
    passed: bool
    decides: bool
    value: Quantity
    low: Quantity | None
    high: Quantity | None
    unit: str
    verdict: str
    advice: str
    source: str
    evidence: str

    def line(self) -> str:
        """The finding as one line of text."""
        unit = "" if self.unit == "-" else f" {self.unit}"
        ends = {"at least": self.low, "at most": self.high}
        told = {
            side: told_apart(self.value, end, self.passed, lambda value, more: plain(value, 3 + more))
            for side, end in ends.items()
            if end is not None
        }
        value = max((shown for shown, _ in told.values()), key=len, default=plain(self.value))
        wanted = " and ".join(f"{side} {end}" for side, (_, end) in told.items())
        where = f"wanted {wanted}{unit}; {self.source}, {self.evidence}"
        return f"{self.what} {value}{unit}: {self.verdict} ({where}). {self.advice}".rstrip()


def within(
    code: str,
    what: str,
    value: Quantity,
    low: Quantity | None,
    high: Quantity | None,
    unit: str,
    *,
    source: str,
    evidence: str,
    decides: bool = True,
    below: tuple[str, str] = ("too low", ""),
    above: tuple[str, str] = ("too high", ""),
) -> Finding:
    """Hold a value against a range, its ends included; ``below`` and ``above`` are verdict and advice outside it.

    Rounding noise counts as on the end.
    """
    if low is not None and not (value >= low or math.isclose(value, low)):
        passed, (verdict, advice) = False, below
    elif high is not None and not (value <= high or math.isclose(value, high)):
        passed, (verdict, advice) = False, above
    else:
        passed, verdict, advice = True, "within", ""
    return Finding(code, what, passed, decides, value, low, high, unit, verdict, advice, source, evidence)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value by one formula, its spread, and whether the formula's limits of validity hold."""

    method: str
    value: Quantity
    low: Quantity
    high: Quantity
    unit: str
    findings: tuple[Finding, ...]
    source: str

    @property
    def valid(self) -> bool:
        """Whether all limits of validity hold."""
        return all(finding.passed for finding in self.findings)


def positive(unit: str, **values: Quantity) -> None:
    """Refuse values that are not finite numbers above zero.

    Raises:
        MeasurementError: naming the first such value.
    """
    for name, value in values.items():
        if not 0 < value < math.inf:
            limit = "must be a number above zero"
            raise MeasurementError(name.replace("_", " "), f"{value:g} {unit}", limit, "Measure it or enter it again.")
