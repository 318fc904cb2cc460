"""Filter sand: sieve analysis, grading, verdict against published ranges, jar test and measured conductivity."""

from __future__ import annotations

import csv
import functools
import importlib.resources
import io
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Final

from mouldgeom.errors import MeasurementError, TableError
from mouldgeom.filter.findings import Finding, positive, within
from mouldgeom.reading import Form, meant, read_csv
from mouldgeom.units import Gram, Mm, Percent, Ratio, parse_length, plain
from mouldgeom.verdict import Quantity
from mouldgeom.words import joined

FINES_SIZE: Final[Mm] = 0.075
"""Grains below this are fines (the No.200 sieve)."""
LOSS_LIMIT: Final[Percent] = 1.0
"""Mass that may be lost or gained in sieving: common practice, no source."""
LOSS_LIMIT_C136: Final[Percent] = 0.3
"""The same by ASTM C136 (from memory): ask for it where a laboratory balance is used."""

_COLUMNS: Final = ("opening_mm", "sieve", "retained_g", "passing_percent", "sample_g", "note")
_FORM: Final = Form(
    "sieve file",
    "a sieve analysis",
    "The first line names the columns, such as opening_mm,retained_g; each line below it is a sieve.",
    MeasurementError,
)
_ALL, _LEAST = 100.0, 1e-6  # all of the mass in percent; millimetres that no sieve is finer than
_INCHES: Final = re.compile(r"(\d[\d /-]*?) ?(?:inch(?:es)?|in\.?|\")")
_HALF: Final = re.compile("[ -]1/2$")
_GREATEST: Final[Quantity] = 1e9  # no mass in grams or opening is larger
_SIEVE_AGAIN: Final = "Brush the sieves out over their pan and weigh again, or sieve another sample."


@dataclass(frozen=True, slots=True)
class SandRange:
    """One published range of effective size, uniformity coefficient or fines, a row of ``data/sand_ranges.csv``.

    One row of each quantity decides, and its ``note`` says why it does; the others inform.
    """

    quantity: str
    low: Quantity | None
    high: Quantity | None
    unit: str
    decides: bool
    use: str
    source: str
    evidence: str
    note: str

    def words(self) -> str:
        """The range: ``"0.15 to 0.35 mm"``, ``"at most 2.5"``."""
        ends = [plain(end) for end in (self.low, self.high) if end is not None]
        one = "" if len(ends) > 1 else "at least " if self.high is None else "at most "
        return f"{one}{' to '.join(ends)}{'' if self.unit == '-' else f' {self.unit}'}"


def _table(name: str, columns: str) -> list[dict[str, str]]:
    text = importlib.resources.files("mouldgeom.data").joinpath(name).read_text(encoding="utf-8")
    reader = csv.DictReader(io.StringIO(text), strict=True)
    if list(reader.fieldnames or ()) != columns.split():
        raise TableError(f"{name} has the columns {reader.fieldnames}; it needs {columns}")
    return list(reader)


def _limit(text: str) -> Quantity | None:
    try:
        return float(text) if text else None
    except ValueError:
        raise TableError(f"{text!r} in data/ is no number") from None


@functools.cache
def sand_ranges() -> tuple[SandRange, ...]:
    """The published ranges, those that decide before those that inform.

    Raises:
        TableError: a quantity for which not just one row decides.
    """
    rows = _table("sand_ranges.csv", "quantity low high unit role use source evidence note")
    ranges = [
        SandRange(what, _limit(low), _limit(high), unit, role == "decides", *rest)
        for what, low, high, unit, role, *rest in (row.values() for row in rows)
    ]
    deciding = [row.quantity for row in ranges if row.decides]
    if sorted(deciding) != sorted({row.quantity for row in ranges}):
        raise TableError(f"sand_ranges.csv decides {deciding}: each quantity once")
    return tuple(sorted(ranges, key=lambda row: not row.decides))


@functools.cache
def sieve_openings() -> Mapping[str, Mm]:
    """Opening of each named sieve (``"No.20"``, ``"1/2 in"``, ``"0.250 mm"``) in mm."""
    rows = _table("sieves.csv", "series designation opening_mm source evidence")
    return {row["designation"]: _limit(row["opening_mm"]) or math.nan for row in rows}


def opening_of(name: str) -> Mm:
    """Opening of a sieve by name, in mm; 0 for the pan.

    Accepts ``"No.20"``, ``"No 20"``, ``"#20"``, ``"20"``, ``"No. 3 1/2"`` (American number), ``"0.25 mm"``,
    ``"250 um"`` and ``"pan"``; ``"1/2 in"`` and ``'1-1/2"'`` too, by their standard openings: 3/4 in is 19 mm.

    Raises:
        ValueError: no sieve has this name.
    """
    text = " ".join(name.lower().replace("\u00b5", "u").replace("\u03bc", "u").split())
    if text in {"pan", "0", "0 mm"}:
        return 0.0
    number = text.removeprefix("no").removeprefix("#").removeprefix(".").strip()
    inches = _INCHES.fullmatch(text)
    name = f"{inches[1].replace('-', ' ')} in" if inches else text
    known = sieve_openings().get(f"No.{_HALF.sub('.5', number)}", sieve_openings().get(name))
    if known is not None:
        return known
    return parse_length(text.removesuffix("um") + "mm") / 1000 if text.endswith("um") else parse_length(text)


@dataclass(frozen=True, slots=True)
class SieveFraction:
    """Share of the mass between two sieves, taken as grains of one size."""

    size: Mm
    share: Ratio


@dataclass(frozen=True, slots=True)
class Grading:
    """A grading curve: openings in mm, falling, and the percent of the mass that passes each.

    Raises:
        MeasurementError: fewer than two sieves; an opening not above zero or not falling; a percentage outside 0 to
            100, or rising as the openings fall.

    Source: effective size and uniformity: Davis, Water and Wastewater Engineering (2010), ch. 11; curvature: Das,
        Principles of Geotechnical Engineering, ch. 2.
    """

    openings: tuple[Mm, ...]
    passing: tuple[Percent, ...]

    def __post_init__(self) -> None:
        if len(self.openings) <= 1 or len(self.openings) != len(self.passing):
            limit = "a grading curve needs at least two, each with its percentage"
            raise MeasurementError("sieves", str(len(self.openings)), limit, "Sieve with more sieves.")
        for size, percent in zip(self.openings, self.passing, strict=True):
            if not _LEAST <= size < math.inf:
                raise MeasurementError("opening", f"{size:g} mm", "is no size of a sieve above zero", "Correct it.")
            if not 0 <= percent <= _ALL:
                name = f"passing_percent at {size:g} mm"
                raise MeasurementError(name, f"{percent:g} %", "must lie between 0 and 100", "Correct the entry.")
        for (coarse, more), (fine, less) in pairwise(zip(self.openings, self.passing, strict=True)):
            if fine >= coarse:
                limit = f"stands after {coarse:g} mm, and no two openings may be alike"
                raise MeasurementError("opening", f"{fine:g} mm", limit, "List each sieve once, coarsest first.")
            if less > more:
                limit = f"at {fine:g} mm is more than the {more:g} % that pass {coarse:g} mm"
                raise MeasurementError("passing_percent", f"{less:g} %", limit, "A finer sieve passes less.")

    def size_at(self, percent: Percent) -> Mm:
        """Size in mm that this percentage of the mass is finer than; the smaller one where the curve is flat.

        Percent is taken as linear in the logarithm of the size between two sieves; nothing is extrapolated.

        Raises:
            MeasurementError: the curve does not reach the percentage.

        Source: common practice, no source (log-linear interpolation of the grading curve).
        """
        curve = tuple(zip(self.openings, self.passing, strict=True))[::-1]
        (finest, least), (coarsest, most) = curve[0], curve[-1]
        name = f"{percent:g} % size"
        if least > percent:
            limit = f"{least:g} % pass the smallest sieve, and the curve is not extrapolated"
            remedy = "Sieve again with a finer sieve below (0.075 mm), or wash the fines out first."
            raise MeasurementError(name, f"below {finest:g} mm", limit, remedy)
        if most < percent:
            limit = f"only {most:g} % pass the largest sieve, and the curve is not extrapolated"
            raise MeasurementError(name, f"above {coarsest:g} mm", limit, "Sieve again with a coarser sieve on top.")
        for (fine, less), (coarse, more) in pairwise(curve):
            if less < percent <= more:
                return fine * math.exp(math.log(coarse / fine) * (percent - less) / (more - less))
        return finest

    def passing_at(self, opening: Mm) -> Percent | None:
        """Percent finer than an opening, log-linear; None outside the sieves used."""
        for (coarse, more), (fine, less) in pairwise(zip(self.openings, self.passing, strict=True)):
            if fine <= opening <= coarse:
                return less + (more - less) * math.log(opening / fine) / math.log(coarse / fine)
        return None

    @property
    def d10(self) -> Mm:
        """Effective size: 10 % of the mass is finer."""
        return self.size_at(10)

    @property
    def d30(self) -> Mm:
        """Size that 30 % of the mass is finer than."""
        return self.size_at(30)

    @property
    def d60(self) -> Mm:
        """Size that 60 % of the mass is finer than."""
        return self.size_at(60)

    @property
    def uniformity(self) -> Ratio:
        """Uniformity coefficient d60/d10."""
        return self.d60 / self.d10

    @property
    def curvature(self) -> Ratio:
        """Coefficient of curvature d30^2/(d10 d60)."""
        return self.d30**2 / (self.d10 * self.d60)

    @property
    def fines(self) -> Percent | None:
        """Percent finer than 0.075 mm; None where no sieve was that fine (see `fines_at_most`)."""
        return self.passing[0] if self.openings[0] < FINES_SIZE else self.passing_at(FINES_SIZE)

    @property
    def fines_at_most(self) -> Percent:
        """Percent finer than 0.075 mm, or what passes the smallest sieve where that is coarser."""
        return self.passing[-1] if self.fines is None else self.fines

    def fractions(self) -> tuple[SieveFraction, ...]:
        """Shares of the mass by size, adding up to 1, each at the geometric mean of its two sieves.

        What stays on the largest sieve counts at its opening, what passes the smallest at its opening over root two.

        Source: geometric means as in Davis (2010), Example 11-2; the two ends are common practice, no source.
        """
        means = (math.sqrt(coarse * fine) for coarse, fine in pairwise(self.openings))
        sizes = (self.openings[0], *means, self.openings[-1] / math.sqrt(2))
        shares = ((more - less) / _ALL for more, less in pairwise((_ALL, *self.passing, 0.0)))
        return tuple(SieveFraction(size, share) for size, share in zip(sizes, shares, strict=True) if share > 0)


@dataclass(frozen=True, slots=True)
class SieveAnalysis:
    """A sieve analysis as measured: the grading, and the masses where they were given.

    ``retained`` are the masses on the sieves of ``grading`` in the same order, ``pan`` what passed all of them,
    ``sample`` the mass before sieving.
    """

    name: str
    grading: Grading
    retained: tuple[Gram, ...] | None = None
    pan: Gram | None = None
    sample: Gram | None = None

    @property
    def loss(self) -> Percent | None:
        """Mass lost in sieving in percent of the sample, below zero for a gain; None where masses are not known."""
        if self.retained is None or self.pan is None or self.sample is None:
            return None
        return 100 * (self.sample - math.fsum((*self.retained, self.pan))) / self.sample

    def check_loss(self, limit: Percent = LOSS_LIMIT) -> Finding | None:
        """Hold the loss against a limit; None where it is not known.

        Source: common practice, no source (1 %); ASTM C136 asks for 0.3 % (from memory).
        """
        if self.loss is None:
            return None
        source, evidence = ("ASTM C136", "memory") if limit == LOSS_LIMIT_C136 else ("balance", "common practice")
        return within(
            "sieve-loss", "mass lost in sieving", self.loss, -limit, limit, "%", source=source, evidence=evidence,
            below=("mass gained", _SIEVE_AGAIN), above=("mass lost", _SIEVE_AGAIN),
        )  # fmt: skip


def _read_rows(path: Path) -> tuple[tuple[str, ...], list[tuple[int, dict[str, str]]]]:
    """Column names, and each line's number with its cells by column."""
    table = read_csv(path, _FORM)
    header = tuple(cell.lower() for cell in table.rows[0].cells)
    for column in header:
        if column not in _COLUMNS:
            remedy = meant(column, _COLUMNS, _FORM.remedy)
            raise MeasurementError(path.name, f"column {column!r}", f"is none of {', '.join(_COLUMNS)}", remedy)
        if header.count(column) > 1:
            raise MeasurementError(path.name, f"column {column!r}", "stands there twice", "Keep one.")
    for row in table.rows[1:]:
        if len(row.cells) != len(header):
            limit = f"has {len(row.cells)} fields, the first line {len(header)}"
            raise MeasurementError(path.name, f"line {row.line}", limit, "Give each line one field a column.")
    decimal = "." if table.delimiter == "," else ","
    return header, [
        (row.line, {key: cell.replace(decimal, ".") for key, cell in zip(header, row.cells, strict=True)})
        for row in table.rows[1:]
    ]


def _one_of(path: Path, header: tuple[str, ...], *columns: str) -> str:
    present = [column for column in columns if column in header]
    if len(present) != 1:
        limit = f"needs exactly one of the columns {' and '.join(columns)}"
        remedy = f"The columns read were: {', '.join(header)}."
        raise MeasurementError(path.name, "both" if present else "missing column", limit, remedy)
    return present[0]


def _number(where: str, text: str) -> Quantity:
    try:
        value = float(text.replace("_", "?"))
    except ValueError:
        value = math.nan
    if not abs(value) <= _GREATEST:
        raise MeasurementError(where, text or "empty", "is not a number", "Write digits with a decimal point.")
    if value < 0:
        raise MeasurementError(where, text, "is below zero", "Correct the entry.")
    return value


def _opening(where: str, column: str, text: str) -> Mm:
    if column == "opening_mm":
        return 0.0 if text.lower() == "pan" else _number(where, text)
    try:
        size = opening_of(text)
    except ValueError as error:
        remedy = 'Write an American number ("No.20"), an opening with its unit ("0.25 mm"), or "pan".'
        raise MeasurementError(where, repr(text), "is not the name of a sieve", remedy) from error
    return _number(where, f"{size:.12g}")


def read_sieve_csv(path: Path | str, *, sample_g: Gram | None = None) -> SieveAnalysis:
    """Read a sieve analysis: ``opening_mm`` or ``sieve``, and ``retained_g`` or ``passing_percent``, one line a sieve.

    An opening of 0, or ``pan``, is the pan, which masses need and percentages do not.  The mass before sieving may
    stand in a column ``sample_g`` or be given here; a column ``note`` is free.  Lines may be in any order; a table
    parted by semicolons or tabs may write decimal commas.

    Raises:
        FolderError: the file cannot be read.
        MeasurementError: not CSV or not UTF-8; a column missing or unknown; no number, a negative one; openings alike;
            no pan; masses that add up to nothing; percentages that are not monotone; 10 % size below the smallest or
            60 % size above the largest sieve.
    """
    path = Path(path)
    header, rows = _read_rows(path)
    size_column = _one_of(path, header, "opening_mm", "sieve")
    value_column = _one_of(path, header, "retained_g", "passing_percent")
    entries: dict[Mm, Quantity] = {}
    samples = set() if sample_g is None else {sample_g}
    for line, row in rows:
        where = f"{path.name} line {line}, "
        size = _opening(where + size_column, size_column, row[size_column])
        if size in entries:
            name = f"{size:g} mm" if size else "the pan"
            raise MeasurementError(where + size_column, name, "is there already", "List each sieve once.")
        entries[size] = _number(where + value_column, row[value_column])
        if row.get("sample_g"):
            samples.add(_number(where + "sample_g", row["sample_g"]))
    positive("g", **{f"sample_g_{number}": mass for number, mass in enumerate(samples, 1)})
    if len(samples) > 1 or (samples and value_column == "passing_percent"):
        values = " and ".join(f"{mass:g} g" for mass in sorted(samples))
        limit = "is the mass before sieving: one value, beside masses retained"
        raise MeasurementError(f"{path.name}, sample_g", values, limit, "Give it once, with retained_g.")
    pan = entries.pop(0.0, None)
    sizes = tuple(sorted(entries, reverse=True))
    values_down = tuple(entries[size] for size in sizes)
    if value_column == "passing_percent":
        if pan:
            raise MeasurementError(f"{path.name}, pan", f"{pan:g} %", "nothing passes the pan", "Write 0.")
        analysis = SieveAnalysis(path.stem, Grading(sizes, values_down))
    else:
        grading = _grading_of_masses(path, sizes, values_down, pan)
        analysis = SieveAnalysis(path.stem, grading, values_down, pan, next(iter(samples), None))
    _ = (analysis.grading.d10, analysis.grading.d60)  # refused here, while the file is at hand
    return analysis


def _grading_of_masses(path: Path, sizes: tuple[Mm, ...], retained: tuple[Gram, ...], pan: Gram | None) -> Grading:
    if pan is None:
        limit = "the masses need what passed the smallest sieve"
        raise MeasurementError(path.name, "no pan", limit, "Add a line with opening 0 (or pan); its mass may be 0.")
    masses = (*retained, pan)
    total = math.fsum(masses)
    if not 0 < total < math.inf:
        raise MeasurementError(path.name, f"{total:g} g", "is what the masses add up to", "Weigh what stays on each.")
    return Grading(sizes, tuple(100 * math.fsum(masses[i + 1 :]) / total for i in range(len(sizes))))


_FINER: Final = ("too fine", "Wash or sieve the finest part out, or mix in coarser sand, and sieve again.")
_COARSER: Final = ("too coarse", "Sieve the coarse part off, or look for finer sand, and sieve again.")
_MIXED: Final = ("not uniform enough", "Sieve off what stays on the coarsest sieves and wash the finest part out.")
WASH: Final = ("wash it", "Wash it until the water over it clears at once, dry it and sieve again.")
_FINES_UNKNOWN: Final = ("fines not known", "Sieve again with a 0.075 mm sieve, or wash it and do the jar test.")


def judge(grading: Grading) -> tuple[Finding, ...]:
    """Hold a sand against the one published range that decides for each quantity.

    Too fine or coarse, not uniform enough, to be washed; what no sieve was fine enough to measure is said to be so.

    Source: each row of ``data/sand_ranges.csv`` has its own.
    """
    known = grading.fines is not None
    fines = "fines" if known else f"fines and all else that passes the finest sieve ({plain(grading.openings[-1])} mm)"
    measured = {
        "effective size d10": ("sand-d10", "effective size d10", grading.d10, _COARSER),
        "uniformity coefficient": ("sand-uniformity", "uniformity coefficient", grading.uniformity, _MIXED),
        "fines": ("sand-fines", fines, grading.fines_at_most, WASH if known else _FINES_UNKNOWN),
    }

    def held(row: SandRange) -> Finding:
        code, what, value, above = measured[row.quantity]
        return within(
            code, what, value, row.low, row.high, row.unit, source=f"{row.source} ({row.use})", evidence=row.evidence,
            below=_FINER, above=above,
        )  # fmt: skip

    return tuple(held(row) for row in sand_ranges() if row.decides)


def who_decides() -> tuple[str, ...]:
    """One line for each quantity: the range that decides and why, and those that only inform."""
    lines = []
    for row in sand_ranges():
        if row.decides:
            rows = (other for other in sand_ranges() if other.quantity == row.quantity and other.words() != row.words())
            others = [f"{other.words()} ({other.source}, {other.evidence})" for other in rows]
            more = f" Others inform: {'; '.join(others)}." if others else ""
            lines.append(f"Wanted {row.quantity}: {row.words()} ({row.source}, {row.evidence}), {row.note}.{more}")
    return tuple(lines)


def verdict(findings: Iterable[Finding]) -> str:
    """What the deciding findings say in one line; ``"within the published ranges"`` if all of them hold."""
    words = dict.fromkeys(finding.word for finding in findings if finding.decides and not finding.holds)
    return joined(words) or "within the published ranges"
