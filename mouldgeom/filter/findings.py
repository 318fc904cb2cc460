"""How the modules of the filter report: a value held against a published range, and a value with its spread."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mouldgeom.errors import MeasurementError
from mouldgeom.units import plain
from mouldgeom.verdict import Operator, Quantity, Verdict


@dataclass(frozen=True, slots=True)
class Finding:
    """A value held against a published range: a verdict for each end of it, and what is said of the whole.

    Args:
        ends: the least first; one of them where the range is open.
        word: a word or two, such as ``"too fine"``; ``"within"`` where all is well.
        decides: false for ranges that only inform and do not turn the verdict.
        evidence: ``"seen"``, ``"part seen"`` (quoted second hand), ``"memory"`` or ``"common practice"``.
    """

    ends: tuple[Verdict, ...]
    word: str
    decides: bool
    evidence: str

    @property
    def code(self) -> str:
        """Code of what was looked at."""
        return self.ends[0].code

    @property
    def title(self) -> str:
        """What was looked at."""
        return self.ends[0].title

    @property
    def holds(self) -> bool:
        """Whether the value lies within the range, its ends included."""
        return all(end.holds for end in self.ends)

    @property
    def cure(self) -> str:
        """What to do about it, or nothing."""
        return next((end.cure for end in self.ends if not end.holds), "")

    def line(self) -> str:
        """The finding as one line of text."""
        first = self.ends[0]
        unit = "" if first.unit == "-" else f" {first.unit}"
        told = [end.told(lambda value, more: plain(value, 3 + more)) for end in self.ends]
        value = max((value for value, _ in told), key=len)
        wanted = " and ".join(f"{end.operator.words} {limit}" for end, (_, limit) in zip(self.ends, told, strict=True))
        where = f"wanted {wanted}{unit}; {first.source}, {self.evidence}"
        return f"{self.title} {value}{unit}: {self.word} ({where}). {self.cure}".rstrip()


def within(
    code: str,
    title: str,
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
    """Hold a value against a range, its ends included; ``below`` and ``above`` are word and cure outside it."""
    sides = ((low, Operator.AT_LEAST, below), (high, Operator.AT_MOST, above))
    ends = {
        Verdict(code, title, value, end, operator, unit, "", source, cure): word
        for end, operator, (word, cure) in sides
        if end is not None
    }
    word = next((word for end, word in ends.items() if not end.holds), "within")
    return Finding(tuple(ends), word, decides, evidence)


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
        return all(finding.holds for finding in self.findings)


def positive(unit: str, **values: Quantity) -> None:
    """Refuse values that are not finite numbers above zero.

    Raises:
        MeasurementError: naming the first such value.
    """
    for name, value in values.items():
        if not 0 < value < math.inf:
            limit = "must be a number above zero"
            raise MeasurementError(name.replace("_", " "), f"{value:g} {unit}", limit, "Measure it or enter it again.")
