"""What ``mouldgeom size`` is asked: a TOML file and options, one table of fields for both."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from mouldgeom.errors import InputError, MeasurementError
from mouldgeom.filter.candidates import HEIGHT_LIMIT, MASS_LIMIT, Request
from mouldgeom.filter.demand import NEEDS
from mouldgeom.filter.field_tests import FallingHead, JarTest
from mouldgeom.filter.findings import Finding
from mouldgeom.filter.hydraulics import REFERENCE_TEMPERATURE
from mouldgeom.filter.sand import Grading, judge, read_sieve_csv
from mouldgeom.filter.water import viscosity_ratio
from mouldgeom.filter.working import LOADING_LIMIT
from mouldgeom.letters import lettered, seen
from mouldgeom.reading import Form, as_number, meant, read_toml, shown
from mouldgeom.spec import BUILT_IN, Spec, groups, limits_of, load, note_renamed, take_over, unit_of
from mouldgeom.spec.fields import RENAMED
from mouldgeom.units import MetrePerSecond, parse_length, plain
from mouldgeom.verdict import Quantity

LEAST_NEED: Final = next(need.low for need in NEEDS if need.what == "most people's least")
"""Litres a person a day where none is given: WHO answer on water quantity, quoted."""

_IN_SPEC: Final = {
    "filter": "sand_column charge water_over_sand ledge_clearance freeboard floor coarse_gravel fine_gravel "
    "least_wall draft",
    "sand": "effective_size uniformity porosity",
    "water": "temperature rest",
    "tube": "crest_head bore",
    "concrete": "largest_stone strength",
}
_MEASURED_BY_SIEVES: Final = {"effective_size": "effective size", "uniformity": "uniformity coefficient"}
_BARE: Final = re.compile(r"[-+]?[\d.]+(?:[eE][-+]?\d+)?")
_FALLING_HEAD: Final = ("length", "sample_diameter", "tube_diameter", "h1", "h2", "time", "temperature")
_PATHS: Final = {
    "sieve": "sieve analysis, a CSV file with opening_mm (or sieve) and retained_g or passing_percent",
    "like": f"specification that gives tube, steel and all else (default {BUILT_IN})",
    "title": "name of the job",
}
_FORM: Final = Form("INPUT", "what is asked of a filter", "Write lines such as: sand_column = 480")


@dataclass(frozen=True, slots=True)
class AskedField:
    """A number that can be asked for: its unit, range, meaning, and the group of the spec that it belongs to."""

    name: str
    unit: str
    low: Quantity
    high: Quantity
    meaning: str
    group: str = ""

    @property
    def option(self) -> str:
        """The option of the command line."""
        return "--" + self.name.replace("_", "-")

    def read(self, raw: object, where: str) -> Quantity:
        """A number from a file or from the command line, a length with or without its unit.

        Raises:
            InputError: no number, or out of range.
        """
        value = _number(raw, self.unit)
        allowed = f"a number from {_short(self.low)} to {_short(self.high)} {self.unit}".rstrip(" -")
        if value is None or not self.low <= value <= self.high:
            given = shown(raw) if value is None else f"{_short(value)} {self.unit}".rstrip(" -")
            remedy = f"Choose a value from {_short(self.low)} to {_short(self.high)}."
            raise InputError(where, given, f"wanted is {allowed} ({self.meaning})", remedy)
        return value


def _short(value: Quantity) -> str:
    return f"{value:g}" if value and abs(value) < 0.01 else plain(value)


def _number(raw: object, unit: str) -> Quantity | None:
    """A number, or the text of one, with or without its unit: ``15``, ``"15"``, ``"15 l"``; ``None`` if it is none."""
    try:
        if not isinstance(raw, str):
            value = as_number(raw)
        elif unit == "mm" and not _BARE.fullmatch(raw.strip()):
            value = parse_length(raw)
        else:
            tidy = re.sub(r"\s*lit(?:re|er)s?$", "l", raw.strip())
            value = float(tidy[: -len(unit)] if tidy.casefold().endswith(unit.casefold()) else tidy)
    except ValueError:
        return None
    return value if math.isfinite(value) and "_" not in str(raw) else None


def _fields() -> dict[str, AskedField]:
    found = {}
    for group, model in groups():
        for name in _IN_SPEC.get(group, "").split():
            info = model.model_fields[name]
            low, high = limits_of(info) or (0.0, math.inf)
            found[name] = AskedField(name, unit_of(info), low, high, str(info.description), group)
    own = (
        AskedField("conductivity", "m/s", 1e-6, 0.01, "measured conductivity of the sand; overrides the estimate"),
        AskedField("conductivity_temperature", "C", 0, 45, "temperature of that test (default: the water's)"),
        AskedField("jar_sand", "mm", 1, 1000, "jar test: height of the settled sand"),
        AskedField("jar_silt", "mm", 0, 1000, "jar test: height of the silt on top of it"),
        AskedField("people", "-", 1, 1000, "people who drink from it"),
        AskedField("litres_per_person", "l", 0.5, 200, f"filtered water a person a day (default {plain(LEAST_NEED)})"),
        AskedField("filters", "-", 1, 1000, "filters to be cast (default: as the demand needs)"),
        AskedField("ratio", "-", 0.27, 3.75, "width over depth of the cavity (default 1)"),
        AskedField("loading_limit", "m/h", 0.05, 1, f"loading rate at full reservoir (default {plain(LOADING_LIMIT)})"),
        AskedField("height_limit", "mm", 400, 2500, f"overall height (default {plain(HEIGHT_LIMIT)})"),
        AskedField("mass_limit", "kg", 30, 2000, f"mass of the concrete (default {plain(MASS_LIMIT)})"),
    )
    return found | {field.name: field for field in own}


FIELDS: Final[Mapping[str, AskedField]] = _fields()
"""Every number that can be asked for, by name."""
TEXTS: Final[Mapping[str, str]] = _PATHS
"""Every text that can be given, and what it means."""


OLD_NAMES: Final = {old: new for names in RENAMED.values() for old, new in names.items() if new in FIELDS}
"""Numbers by the names that earlier editions gave them."""


@dataclass(frozen=True)
class Asked:
    """Everything that was asked, ready to be solved.

    ``sand_words`` says where the sand's figures come from.
    """

    request: Request
    grading: Grading | None
    findings: tuple[Finding, ...]
    sand_words: tuple[str, ...]
    people: int | None
    litres_per_person: Quantity
    filters: int | None = None

    @property
    def base(self) -> Spec:
        """The specification that it starts from."""
        return self.request.base


def read_input(path: Path | None, options: Mapping[str, object]) -> Asked:
    """Read the file, if any, and the options, which go before it.

    Raises:
        FolderError: a file cannot be read.
        InputError: a key that is not known, a value out of range, two that exclude each other.
        MeasurementError: a sieve analysis or a test that cannot be used.
    """
    given = read_toml(path, _FORM) if path is not None else {}
    folder = path.parent if path is not None else Path()
    if isinstance(given.get("sieve"), str):
        given["sieve"] = str(folder / given["sieve"])
    if isinstance(given.get("like"), str) and os.path.isfile(folder / given["like"]):
        given["like"] = str(folder / given["like"])
    chosen = {name: value for name, value in options.items() if value is not None}
    for table in (given, chosen):
        note_renamed(take_over(table, OLD_NAMES))
    for name in _MEASURED_BY_SIEVES:
        if "sieve" in chosen and name not in chosen:
            given.pop(name, None)
    if "effective_size" in chosen and "sieve" not in chosen:
        given.pop("sieve", None)
    if "conductivity" in chosen:
        given.pop("falling_head", None)
    return ask({**given, **chosen}, option_names=frozenset(chosen))


def ask(given: Mapping[str, object], option_names: frozenset[str] = frozenset()) -> Asked:
    """Turn keys and values into a request.

    Raises:
        InputError, FolderError, MeasurementError: as `read_input`.
    """
    known = [*FIELDS, *TEXTS, "falling_head"]
    given = dict(given)
    note_renamed(take_over(given, OLD_NAMES))
    for name, value in given.items():
        if name not in known:
            raise InputError(name, shown(value), "unknown key", meant(name, known, f"Known are: {', '.join(known)}."))
    numbers = {
        name: FIELDS[name].read(value, FIELDS[name].option if name in option_names else name)
        for name, value in given.items()
        if name in FIELDS
    }
    texts = {name: _text(name, given[name]) for name in TEXTS if name in given}
    for name, words in _MEASURED_BY_SIEVES.items():
        if given.get("sieve") is not None and name in numbers:
            limit = f"give the sieve analysis or the {words}, not both"
            raise InputError(name, f"{plain(numbers[name])} {FIELDS[name].unit}".rstrip(" -"), limit, "Remove one.")
    for name, other in (("conductivity_temperature", "conductivity"), ("litres_per_person", "people")):
        if name in numbers and other not in numbers:
            limit = f"it says nothing without {other}"
            raise InputError(name, f"{plain(numbers[name])} {FIELDS[name].unit}", limit, f"Give {other}, or remove it.")
    base = load(texts.get("like", BUILT_IN))
    analysis = read_sieve_csv(texts["sieve"]) if "sieve" in texts else None
    grading, loss = (analysis.grading, analysis.check_loss()) if analysis is not None else (None, None)
    if grading is not None:
        numbers["effective_size"] = _within_spec("effective_size", grading.d10)
        numbers["uniformity"] = _within_spec("uniformity", grading.uniformity)
    in_spec = {name: FIELDS[name].group for name in numbers if FIELDS[name].group in _IN_SPEC}
    base = base.changed({f"{group}.{name}": numbers[name] for name, group in in_spec.items()})
    speed, speed_words = _measured(numbers, given.get("falling_head"), base)
    if speed is not None:
        base = base.changed({"sand.conductivity": speed})
    elif grading is not None or "effective_size" in numbers:
        base = base.changed({"sand.conductivity": 0.0})
    wanted = base.filter
    title = texts.get("title", f"Filter for {plain(wanted.sand_column)} mm of sand and {plain(wanted.charge)} l")
    base = base.changed({"title": title})
    findings = [
        *(judge(grading) if grading is not None else ()),
        *((loss,) if loss is not None else ()),
        *_jar(numbers),
    ]
    people, filters = _whole(numbers, "people"), _whole(numbers, "filters")
    request = Request(
        base,
        numbers.get("ratio", 1.0),
        numbers.get("loading_limit", LOADING_LIMIT),
        numbers.get("height_limit", HEIGHT_LIMIT),
        numbers.get("mass_limit", MASS_LIMIT),
    )
    return Asked(
        request, grading, tuple(findings), _sand_words(grading, numbers, texts, speed_words, base),
        people, numbers.get("litres_per_person", LEAST_NEED), filters,
    )  # fmt: skip


def _whole(numbers: Mapping[str, Quantity], name: str) -> int | None:
    value = numbers.get(name)
    if value is None:
        return None
    if value != int(value):
        raise InputError(name, plain(value), "is no whole number", "Count them.")
    return int(value)


def _text(name: str, value: object) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > 1000:
        raise InputError(name, shown(value), f"wanted is text ({TEXTS[name]})", "Put it in quotes.")
    longest = 80
    if name == "title" and len(value) > longest:
        raise InputError(name, f"{len(value)} letters", f"at most {longest}", "Choose a shorter one.")
    try:
        return lettered(value) if name == "title" else seen(value)
    except ValueError as error:
        raise InputError(name, shown(value), str(error), "Write it otherwise.") from error


def _within_spec(name: str, value: Quantity) -> Quantity:
    field = FIELDS[name]
    if not field.low <= value <= field.high:
        limit = f"a filter is sized for {plain(field.low)} to {plain(field.high)} {field.unit}".rstrip(" -")
        raise MeasurementError(f"sieve analysis, {name}", plain(value), limit, "Look for another sand.")
    return round(value, 6)


def _jar(numbers: Mapping[str, Quantity]) -> tuple[Finding, ...]:
    if "jar_sand" not in numbers and "jar_silt" not in numbers:
        return ()
    if "jar_sand" not in numbers or "jar_silt" not in numbers:
        raise InputError("jar test", "one height", "needs both jar_sand and jar_silt", "Measure both layers.")
    return (JarTest(numbers["jar_sand"], numbers["jar_silt"]).check(),)


def _measured(numbers: Mapping[str, Quantity], test: object, base: Spec) -> tuple[MetrePerSecond | None, str]:
    """Measured conductivity in water of 20 C, and where it comes from."""
    if test is not None:
        if "conductivity" in numbers:
            value = f"{numbers['conductivity']:g} m/s"
            raise InputError("conductivity", value, "give it or the falling-head test, not both", "Remove one.")
        head = _falling_head(test)
        speed = head.conductivity_at(REFERENCE_TEMPERATURE)
        words = f"falling-head test: {head.conductivity:.3g} m/s in water of {plain(head.temperature)} C"
    elif "conductivity" in numbers:
        at = numbers.get("conductivity_temperature", base.water.temperature)
        speed = numbers["conductivity"] * viscosity_ratio(at, REFERENCE_TEMPERATURE)
        words = f"measured: {numbers['conductivity']:.3g} m/s in water of {plain(at)} C"
    else:
        return None, ""
    field = FIELDS["conductivity"]
    if not field.low <= speed <= field.high:
        limit = f"no filter sand; it has {field.low:g} to {field.high:g} m/s"
        raise MeasurementError("measured conductivity", f"{speed:.3g} m/s", limit, "Measure it again.")
    return float(f"{speed:.6g}"), words


def _falling_head(test: object) -> FallingHead:
    remedy = f"It has the keys {', '.join(_FALLING_HEAD)}; lengths in mm, time in s."
    if not isinstance(test, dict):
        raise InputError("falling_head", shown(test), "must be a table", remedy)
    for name in (*test, *_FALLING_HEAD):
        if name not in _FALLING_HEAD or name not in test:
            limit = "unknown key" if name not in _FALLING_HEAD else "the key is missing"
            raise InputError(f"falling_head.{name}", shown(test.get(name, "")), limit, remedy)
    values = {}
    for name in _FALLING_HEAD:
        unit = {"time": "s", "temperature": "C"}.get(name, "mm")
        low, high = (0, 45) if name == "temperature" else (1e-3, 1e7)
        values[name] = AskedField(name, unit, low, high, "falling-head test").read(test[name], f"falling_head.{name}")
    sample, tube = (math.pi / 4 * values[name] ** 2 for name in ("sample_diameter", "tube_diameter"))
    return FallingHead(
        values["length"], sample, tube, values["h1"], values["h2"], values["time"], values["temperature"]
    )


def _name(path: str) -> str:
    """Name of a file, safe to print."""
    return "".join(c if c.isprintable() else "?" for c in Path(path).name)


def _sand_words(
    grading: Grading | None, numbers: Mapping[str, Quantity], texts: Mapping[str, str], speed: str, base: Spec
) -> tuple[str, ...]:
    sand = base.sand
    size = f"d10 {plain(sand.effective_size)} mm, uniformity {plain(sand.uniformity, 2)}"
    if grading is not None:
        size = f"Sand by sieve analysis ({_name(texts['sieve'])}): {size}, d60 {plain(grading.d60)} mm."
    elif "effective_size" in numbers:
        size = f"Sand as given: {size}."
    else:
        size = f"Sand not measured: {size} assumed. Sieve it before you build."
        if "like" in texts:
            size = f"Sand as in {_name(texts['like'])}: {size}."
    how = "as given" if "porosity" in numbers else "assumed"
    pores = f"Porosity {plain(sand.porosity)} {how}; placed sand has 0.40 to 0.47 (Davis 2010, Table 11-1)."
    source = f"Conductivity {speed}." if speed else "Conductivity estimated from d10 by Kozeny-Carman (1/180)."
    if not speed and sand.conductivity:
        source = "Conductivity as in the specification, measured."
    return (size, pores, source)
