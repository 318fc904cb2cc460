"""What a person chooses: the specification of one filter and its mould, read from a ``.toml`` file.

Every field states its unit, meaning, range and default here and nowhere else; ``mouldgeom new`` writes them out.
Rules that need a derived length (the tube in its wall, the crest below the full level) are in ``dimensions``.
"""

from __future__ import annotations

import hashlib
import importlib.resources
import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel, Field, InstanceOf, ValidationError
from pydantic.fields import FieldInfo

from mouldgeom.errors import InputError, RenamedWarning, SpecError
from mouldgeom.reading import Form, meant, nearest, parse_toml, read_toml, reason, short, shown
from mouldgeom.spec.fields import (
    RENAMED,
    ConcreteGroup,
    ExtractionGroup,
    FieldGroup,
    FilterGroup,
    HandlingGroup,
    Lettered,
    PapersGroup,
    SandGroup,
    ShopGroup,
    SteelGroup,
    TubeGroup,
    WaterGroup,
)
from mouldgeom.spec.own_rows import NO_ROWS, OwnRows, cells, in_steel, read_own, together
from mouldgeom.units import AnyUnit, plain

BUILT_IN: Final = "hill-example"
"""The example that commands use when no specification is named."""
EXAMPLES: Final = ("hill-example", "inch-example", "short-example")
SCHEMA: Final = 2
"""Edition of the form of a specification, which stands in its first line; a file without that line is of the first."""


class Spec(FieldGroup):
    """One filter and its mould, as chosen.

    Source of the ranges: common practice, no source, except where a rule in ``rules`` is named by its check.
    """

    title: Lettered = Field(default="Untitled mould", min_length=1, max_length=80, description="name of the job")
    filter: FilterGroup = FilterGroup()
    sand: SandGroup = SandGroup()
    water: WaterGroup = WaterGroup()
    tube: TubeGroup = TubeGroup()
    concrete: ConcreteGroup = ConcreteGroup()
    steel: SteelGroup = SteelGroup()
    shop: ShopGroup = ShopGroup()
    extraction: ExtractionGroup = ExtractionGroup()
    handling: HandlingGroup = HandlingGroup()
    papers: PapersGroup = PapersGroup()
    own: InstanceOf[OwnRows] = NO_ROWS
    """Rows that no table has, written last."""

    @property
    def digest(self) -> str:
        """SHA-256 of the specification as written with every default, the line of its schema left out.

        So a drawing keeps its number, and a list of measured dimensions its mould, in the next edition.
        """
        return hashlib.sha256("\n".join([*_field_lines(self, comments=False), ""]).encode()).hexdigest()

    @property
    def mould_digest(self) -> str:
        """As ``digest``, of what shapes filter and mould alone: the same under any title and on any papers."""
        unnamed = Spec()
        return self.model_copy(update={"title": unnamed.title, "papers": unnamed.papers}).digest


def groups() -> Iterator[tuple[str, type[BaseModel]]]:
    """Yield each group's name and model, in the order of the file."""
    for name, info in Spec.model_fields.items():
        if isinstance(info.annotation, type) and issubclass(info.annotation, BaseModel):
            yield name, info.annotation


def unit_of(info: FieldInfo) -> str:
    """Return the unit of a field, ``"-"`` for a choice."""
    extra = info.json_schema_extra
    return str(extra["unit"]) if isinstance(extra, dict) else "-"


def limits_of(info: FieldInfo) -> tuple[AnyUnit, AnyUnit] | None:
    """Return least and greatest allowed value of a field, in its unit."""
    low = [m.ge for m in info.metadata if getattr(m, "ge", None) is not None]
    high = [m.le for m in info.metadata if getattr(m, "le", None) is not None]
    return (low[0], high[0]) if low and high else None


def load(source: str | Path) -> Spec:
    """Read a specification from a file, or one of the shipped ``EXAMPLES`` by name.

    Raises:
        FolderError: the file cannot be read.
        SpecError: it is no TOML or of a newer schema, or a field is unknown, of the wrong type or out of range.
    """
    path = Path(source)
    if str(source) in EXAMPLES and not path.is_file():
        text = importlib.resources.files("mouldgeom.data").joinpath(f"examples/{source}.toml").read_text("utf-8")
        return parse(text, str(source))
    hint = meant(str(source), EXAMPLES, f"Give a file, or one of {', '.join(EXAMPLES)}.")
    return _spec(read_toml(path, replace(_FORM, unread=hint)))


_FORM: Final = Form("SPEC", "a specification", "Write a complete one with: mouldgeom new FILE.", SpecError)


def parse(text: str, name: str = "specification") -> Spec:
    """Read a specification from TOML text.

    One of an earlier schema is taken over, and a `RenamedWarning` says what changed.

    Raises:
        SpecError: as ``load``.
    """
    return _spec(parse_toml(text, name, _FORM))


def _spec(data: dict[str, Any]) -> Spec:
    schema = _schema(data.pop("schema", 1))
    if schema < SCHEMA:
        changes: list[str] = []
        for group, names in RENAMED.items():
            if isinstance(fields := data.get(group), dict):
                changes += take_over(fields, names, f"{group}.")
        note_renamed(changes, f"schema {schema} is read as {SCHEMA}: ")
    own, faults = read_own(data.pop("own", {}))
    if faults:
        raise together(faults)
    if "steel" in data:
        data["steel"] = in_steel(data["steel"], own)
    try:
        return Spec.model_validate({**data, "own": own})
    except ValidationError as error:
        raise _explain(error) from None


def _schema(given: object) -> int:
    if isinstance(given, bool) or not isinstance(given, int) or given < 1:
        remedy = f"Write schema = {SCHEMA}, or remove the line from a file without one."
        raise SpecError("schema", shown(given), f"wanted is a whole number from 1 to {SCHEMA}", remedy)
    if given > SCHEMA:
        limit = f"the newest that this edition of the program reads is {SCHEMA}"
        raise SpecError("schema", shown(given), limit, "Read it with the edition that wrote it, or a newer one.")
    return given


def note_renamed(changes: Sequence[str], head: str = "") -> None:
    """Warn of what was taken over, in one line; not at all if there is nothing."""
    if changes:
        warnings.warn(RenamedWarning(changes, head), stacklevel=2)


def take_over(fields: dict[str, Any], names: Mapping[str, str], prefix: str = "") -> list[str]:
    """Give the keys of a table that bear a name from an earlier edition the name that took its place, in place.

    Args:
        fields: the table as read.
        names: old names and the new ones.
        prefix: what stands before a key where a person is told of it, such as ``"filter."``.

    Returns:
        What changed, such as ``"water.pause is now called water.rest"``.

    Raises:
        SpecError: a field is given under both names.
    """
    changes = []
    for old in [name for name in names if name in fields]:
        new = names[old]
        if new in fields:
            limit = f"the same field stands there under its newer name, {prefix}{new}, too"
            raise SpecError(prefix + old, shown(fields[old]), limit, f"Remove {prefix}{old}.")
        fields[new] = fields.pop(old)
        changes.append(f"{prefix}{old} is now called {prefix}{new}")
    return changes


def _explain(error: ValidationError) -> InputError:
    """Turn the first finding of the validation library into one clear error."""
    first = error.errors(include_url=False)[0]
    where = [str(part) for part in first["loc"]]
    name = short(".".join(where)) or "specification"
    model: type[BaseModel] = dict(groups()).get(where[0], Spec) if len(where) > 1 else Spec
    if first["type"] == "extra_forbidden":
        return SpecError(name, shown(first["input"]), "unknown key", _unknown(where))
    if first["type"] == "model_type":
        return SpecError(name, shown(first["input"]), "a table of fields is wanted", f"Begin it with [{name}].")
    info = model.model_fields.get(where[-1]) if where else None
    unit = unit_of(info) if info else "-"
    value = shown(first["input"], unit)
    limits = limits_of(info) if info else None
    if limits:
        low, high = (f"{plain(v)} {unit}" for v in limits)
        allowed = f"allowed is {low} to {high}"
        cause = reason(first) if first["type"] == "value_error" else ""
        remedy = (
            f"Choose a value from {low} to {high}, or remove the line to get the default {plain(info.default)} {unit}."
            if info
            else ""
        )
        return SpecError(name, value, f"{cause}; {allowed}" if cause else allowed, remedy)
    default = (
        f" The default is {_toml_value(info.default)}."
        if info is not None
        and not info.is_required()
        and unit_of(info) == "-"
        and not isinstance(info.default, BaseModel)
        else ""
    )
    return SpecError(name, value, reason(first), f"Correct {name}, or remove the line.{default}")


def _unknown(where: list[str]) -> str:
    """The remedy for an unknown key: the field that may be meant, of all groups, rather of its own."""
    if renamed := RENAMED.get(where[0], {}).get(where[-1]):
        return f"It is called {where[0]}.{renamed} since schema 2; a file without the line schema is read as before."
    fields = {f: f"{g}.{f}" for g, model in groups() for f in model.model_fields}
    own = (
        [f for f, full in fields.items() if full == f"{where[0]}.{f}"]
        if len(where) > 1
        else ["schema", *Spec.model_fields]
    )
    best = nearest(where[-1], [*own, *fields], own)
    if best is None:
        return "Remove it. All that there are stand in the file that this writes: mouldgeom new FILE."
    return f"Did you mean {best if len(where) == 1 and best in own else fields[best]}?"


def _toml_value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple):
        return f"[{', '.join(_toml_value(item) for item in value)}]"
    if isinstance(value, int | float):
        return repr(float(value)) if value != int(value) else str(int(value))
    escaped = "".join(
        c if c >= " " and c != "\x7f" else f"\\u{ord(c):04x}"
        for c in str(value).replace("\\", "\\\\").replace('"', '\\"')
    )
    return f'"{escaped}"'


def spec_toml(spec: Spec, *, comments: bool = False, head: tuple[str, ...] = ()) -> str:
    """Write a specification as TOML with every default written out.

    Args:
        spec: the specification.
        comments: say of each field what it is, its unit and its range.
        head: lines of comment to stand first.
    """
    lines = [f"# {line}".rstrip() for line in head]
    if comments:
        lines += [
            '# A length is a number of millimetres or text with a unit: 50, "50 mm", "1/8 in", "5 1/4 in".',
            "# Steel is named by designation. A line that is left out takes its default.",
            "",
        ]
        lines.append("# Edition of the form of this file.")
    return "\n".join([*lines, f"schema = {SCHEMA}", *_field_lines(spec, comments=comments)]) + "\n"


def _field_lines(spec: Spec, *, comments: bool) -> Iterator[str]:
    yield f"title = {_toml_value(spec.title)}"
    for name, model in groups():
        group = getattr(spec, name)
        yield ""
        if comments:
            yield "# " + (model.__doc__ or "").strip().replace("``", '"')
        yield f"[{name}]"
        for field, info in model.model_fields.items():
            if comments:
                yield f"# {info.description} {_range_text(info)}".rstrip()
            yield f"{field} = {_toml_value(getattr(group, field))}"
    for kind, row in spec.own.rows():
        yield from ("", f"[[own.{kind}]]")
        yield from (f"{name} = {_toml_value(value)}" for name, value in cells(kind, row).items())


def _range_text(info: FieldInfo) -> str:
    limits = limits_of(info)
    default = plain(info.default) if limits else _toml_value(info.default)
    if limits is None:
        return f"(default {default})"
    return f"[{unit_of(info)}, {plain(limits[0])} to {plain(limits[1])}, default {default}]"
