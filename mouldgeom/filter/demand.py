"""How much water a household needs, how often a filter can be filled, and how many filters that takes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Final

from mouldgeom.errors import InputError
from mouldgeom.filter.findings import Finding, within
from mouldgeom.units import Hour, Litre, Ratio
from mouldgeom.words import Said

LitrePerDay = Annotated[float, "l/d"]

DAY: Final[Hour] = 24.0
WAKING: Final[Hour] = 16.0
"""Hours of the day in which somebody can fill the filter: common practice, no source."""
LEAST_REST: Final[Hour] = 1.0
LONGEST_REST: Final[Hour] = 48.0
USUAL_REST: Final[tuple[Hour, Hour]] = (6.0, 12.0)
"""Rests between charges in papers on household filters (from memory)."""
TESTED_DAILY: Final[LitrePerDay] = 20.0
"""Daily charge of one filter that removed at least 1 log10 more E. coli than twice as much did."""

_SPHERE: Final = "Sphere 2011 table"
_WHO: Final = "WHO answer on water quantity, quoted"


@dataclass(frozen=True, slots=True)
class WaterNeed:
    """A published range of litres a person a day."""

    what: str
    low: LitrePerDay
    high: LitrePerDay
    source: str
    evidence: str


NEEDS: Final = (
    WaterNeed("drinking and food", 2.5, 3.0, _SPHERE, "seen"),
    WaterNeed("basic hygiene", 2.0, 6.0, _SPHERE, "seen"),
    WaterNeed("cooking", 3.0, 6.0, _SPHERE, "seen"),
    WaterNeed("survival, all uses", 7.5, 15.0, _SPHERE, "seen"),
    WaterNeed("most people's least", 7.5, 7.5, _WHO, "seen"),
    WaterNeed("emergency", 15.0, 15.0, _WHO, "seen"),
    WaterNeed("with hygiene", 20.0, 20.0, _WHO, "seen"),
)
"""What a person needs a day; not all of it has to pass the filter."""


@dataclass(frozen=True, slots=True)
class Demand:
    """What a household asks of its filters.

    Args:
        people: number of people.
        per_person: litres a person a day that are to be filtered.
        charge: litres poured at once.
        rest: hours the water rests in the sand after the flow has stopped.
        drain: hours the reservoir takes to drain (`hydraulics.DrainCurve.drain_time`).
        waking: hours of the day in which the filter can be filled.
        cast: filters that are to be cast; none given: as many as are needed.

    Raises:
        InputError: a value not above zero, or more waking hours than the day has.
    """

    people: int
    per_person: LitrePerDay
    charge: Litre
    rest: Hour
    drain: Hour
    waking: Hour = WAKING
    cast: int | None = None

    def __post_init__(self) -> None:
        for name in ("people", "per_person", "charge", "rest", "drain", "waking"):
            value = getattr(self, name)
            if not 0 < value < math.inf:
                limit = "must be a number above zero"
                raise InputError(f"demand {name.replace('_', ' ')}", f"{value:g}", limit, "Enter it again.")
        if self.waking > DAY:
            raise InputError("demand waking", f"{self.waking:g} h", "the day has 24 hours", "Enter it again.")

    @property
    def daily(self) -> LitrePerDay:
        """Litres a day for all."""
        return self.people * self.per_person

    @property
    def cycle(self) -> Hour:
        """Hours from one filling to the next that the filter allows: drain, then rest."""
        return self.drain + self.rest

    @property
    def fillings_needed(self) -> int:
        """Charges a day for all."""
        return math.ceil(_tidy(self.daily / self.charge))

    @property
    def fillings_possible(self) -> Ratio:
        """Charges a day that one filter takes, the same every day; below 1 where a cycle is longer than a day.

        They fall in the waking hours, the first at their start, and the night too leaves a full cycle.
        """
        if self.cycle > DAY:
            return 1 / math.ceil(_tidy(self.cycle / DAY))
        awake = math.floor(_tidy(self.waking / self.cycle)) + 1
        return float(min(awake, math.floor(_tidy(DAY / self.cycle))))

    @property
    def filters(self) -> int:
        """Filters that meet the demand."""
        return math.ceil(_tidy(self.fillings_needed / self.fillings_possible))

    @property
    def count(self) -> int:
        """Filters that there will be: as many as are to be cast, or as are needed."""
        return self.filters if self.cast is None else self.cast

    @property
    def daily_each(self) -> LitrePerDay:
        """Litres a day that each of them then takes, or can take where they are too few."""
        return min(self.daily / self.count, self.fillings_possible * self.charge)

    @property
    def serves(self) -> int:
        """People whom those filters serve."""
        return math.floor(_tidy(self.count * self.fillings_possible * self.charge / self.per_person))

    def findings(self) -> tuple[Finding, ...]:
        """The rest, and what each filter takes a day, against published values.

        Source: rest: several papers on household filters (from memory); daily charge: Water Sci. Technol.: Water
            Supply 14(4):643, 2014.
        """
        papers = "papers on household filters filled now and then"
        longer = ("too short", "Wait longer before filling again: the living layer needs the rest.")
        short = ("too long", "Fill more often: the living layer starves without fresh water.")
        less = ("more than tested", "Use more filters or filter less: 40 l a day took out 1 log10 less E. coli.")
        few = ("too few", f"Cast {self.filters}, or filter less.")
        cast = within(
            "filters", "filters to be cast", self.count, self.filters, None, "-", source="the demand",
            evidence="worked out", below=few,
        )  # fmt: skip
        return (
            *(() if self.cast is None else (cast,)),
            within(
                "rest", "rest between charges", self.rest, LEAST_REST, LONGEST_REST, "h", source=papers,
                evidence="memory", below=longer, above=short,
            ),
            within(
                "rest-usual", "rest between charges", self.rest, *USUAL_REST, "h", source=papers,
                evidence="memory", decides=False, below=("shorter than usual", ""), above=("longer than usual", ""),
            ),
            within(
                "daily-charge", "daily charge of each filter", self.daily_each, None, TESTED_DAILY, "l",
                source="Water Sci. Technol.: Water Supply 14(4):643, 2014", evidence="seen", decides=False, above=less,
            ),
        )  # fmt: skip

    def lines(self) -> tuple[str, ...]:
        """The answer first, then the reasons, one line each."""
        many: str = (
            Said("{count} filters are needed.", count=self.filters) if self.filters > 1 else "One filter serves."
        )
        if self.cast is not None:
            many = Said(
                "Filters to be cast: {cast}; needed for {people} people: {needed}; those cast are enough for {serves}.",
                cast=self.cast,
                people=self.people,
                needed=self.filters,
                serves=self.serves,
            )
        per_day = self.fillings_possible
        possible = (
            Said("{count:p} fillings a day", count=per_day)
            if per_day >= 1
            else Said("one filling in {days:p} days", days=1 / per_day)
        )
        misses = [finding.line() for finding in self.findings() if not finding.holds]
        return (
            many,
            Said(
                "{people} people x {each:p} l a day = {all:p} l a day.",
                people=self.people,
                each=self.per_person,
                all=self.daily,
            ),
            Said("That is {count} fillings of {charge:p} l a day.", count=self.fillings_needed, charge=self.charge),
            Said(
                "One filter takes {possible}: {drain:p1} h to drain and {rest:p1} h rest, filled within {waking:p1} "
                "waking hours.",
                possible=possible,
                drain=self.drain,
                rest=self.rest,
                waking=self.waking,
            ),
            Said("Each filter then takes {volume:p1} l a day.", volume=self.daily_each),
            *misses,
        )


def _tidy(value: Ratio) -> Ratio:
    """Take off the last bits, so that 3.0000000000000004 counts as 3."""
    return round(value, 9)
