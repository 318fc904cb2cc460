"""What a person chooses: the specification of one filter and its mould, read from a ``.toml`` file.

Every field states its unit, meaning, range and default here and nowhere else; ``mouldgeom new`` writes them out.
Rules that need a derived length (the tube in its wall, the crest below the full level) are in ``dimensions``.
"""

from __future__ import annotations

import hashlib
import importlib.resources
import warnings
from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Final, Self, TypeVar

from pydantic import BaseModel, BeforeValidator, Field, InstanceOf, PlainSerializer, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from mouldgeom.errors import InputError, RenamedWarning, SpecError
from mouldgeom.letters import seen
from mouldgeom.reading import Form, Unseen, meant, nearest, parse_toml, path_given, read_toml, reason, short, shown
from mouldgeom.rich import html_table
from mouldgeom.spec.fields import (
    RENAMED,
    ConcreteGroup,
    ExtractionGroup,
    FilterGroup,
    HandlingGroup,
    Lettered,
    PapersGroup,
    SandGroup,
    ShopGroup,
    SteelGroup,
    TubeGroup,
    UseGroup,
    WaterGroup,
)
from mouldgeom.spec.group import Difference, FieldGroup, limits_of, unit_of
from mouldgeom.spec.own_rows import NO_ROWS, OwnRows, cells, in_steel, read_own
from mouldgeom.units import plain
from mouldgeom.writing import write_whole

BUILT_IN: Final = "hill-example"
"""The example that commands use when no specification is named."""
EXAMPLES: Final = ("hill-example", "inch-example", "short-example")
SCHEMA: Final = 2
"""Edition of the form of a specification, which stands in its first line; a file without that line is of the first."""


def _no_rows(given: object) -> object:
    """None, where a specification that was taken apart has none."""
    return NO_ROWS if isinstance(given, dict) and not any(given.values()) else given


class Spec(FieldGroup):
    """One filter and its mould, as chosen.

    Source of the ranges: common practice, no source, except where a rule in ``rules`` is named by its check.

    >>> spec = Spec(title="Two of sand", filter={"sand_column": "20 in"})
    >>> spec
    Spec('Two of sand', 1 field differs from its default)
    >>> spec.filter
    FilterGroup(sand_column=508.0)
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
    use: UseGroup = UseGroup()
    papers: PapersGroup = PapersGroup()
    own: Annotated[InstanceOf[OwnRows], BeforeValidator(_no_rows), PlainSerializer(lambda own: own)] = NO_ROWS
    """Rows that no table has, written last."""

    @property
    def digest(self) -> str:
        """SHA-256 of the specification as written with every default, the line of its schema left out.

        So a drawing keeps its number, and a list of measured dimensions its mould, in the next edition.
        """
        return _sha256(_field_lines(self, comments=False))

    @property
    def mould_digest(self) -> str:
        """As ``digest``, of what shapes filter and mould alone: the same under any title, life and on any papers."""
        unnamed = Spec()
        shaped = self.model_copy(update={"title": unnamed.title, "papers": unnamed.papers})
        return _sha256(_field_lines(shaped, comments=False, without=("use",)))

    def changed(self, changes: Mapping[str, object]) -> Self:
        """Another specification, with other values for some fields; each is read as it would be from a file.

        Args:
            changes: values by name of the field, such as ``"filter.sand_column"`` or ``"title"``.

        Raises:
            SpecError: a field is unknown, of the wrong type or out of range; it tells of every such field.

        >>> spec = Spec().changed({"filter.sand_column": "20 in", "steel.bolt": "M12"})
        >>> spec.filter.sand_column, spec.steel.bolt
        (508.0, 'M12')
        """
        if not isinstance(changes, Mapping):
            remedy = 'Give them by name, such as {"filter.sand_column": "20 in"}.'
            raise SpecError("changes", shown(changes), "a mapping is wanted", remedy)
        data: dict[str, Any] = dict(vars(self))
        faults = []
        for name, value in changes.items():
            group, _, field = name.partition(".") if isinstance(name, str) else ("", "", "")
            table = data.get(group)
            refused = _refused(name, value)
            if refused is not None:
                faults.append(refused)
            elif field:
                data[group] = {**(table if isinstance(table, dict) else vars(table)), field: value}
            else:
                data[group] = value
        if isinstance(data["steel"], dict):
            data["steel"] = in_steel(data["steel"], self.own)
        return _together(faults, lambda: type(self).model_validate(data))

    def differences(self, other: Spec) -> tuple[Difference, ...]:
        """The fields in which another specification differs from this one, in the order of the file.

        Raises:
            InputError: the other one is no specification.

        >>> Spec().differences(Spec(filter={"charge": 15}))
        (Difference(name='filter.charge', before=12.0, after=15.0, unit='l'),)
        """
        _check_is_spec("other", other)
        named = [one for one in self._differences(other) if not isinstance(one.before, FieldGroup)]
        for name, _ in groups():
            named += getattr(self, name)._differences(getattr(other, name))
        return tuple(named)

    def toml(self, *, comments: bool = False) -> str:
        """The specification as TOML, every default written out; as ``spec_toml``.

        >>> parse(Spec().toml()) == Spec()
        True
        """
        return spec_toml(self, comments=comments)

    def write(self, path: str | Path, *, comments: bool = False, over: bool = False) -> Path:
        """Write the specification as a file that ``load`` reads, and return its path.

        Args:
            path: where to.
            comments: say of each field what it is, its unit and its range.
            over: whether a file that is there may be replaced.

        Raises:
            FolderError: a file is there already, or it cannot be written.
            InputError: that is no path.

        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     load(Spec().write(f"{folder}/mine.toml")) == Spec()
        True
        """
        place = path_given("path", path, "Give the path of the file to write.")
        write_whole(place, self.toml(comments=comments).encode(), "path", over=over, force="give over=True")
        return place

    def __repr__(self) -> str:
        """The title, and how many other fields differ from the defaults."""
        count = sum(one.name != "title" for one in Spec().differences(self))
        differ = "1 field differs from its default" if count == 1 else f"{count} fields differ from their defaults"
        return f"Spec({short(repr(self.title))}, {differ})"

    __str__ = __repr__

    def _rows(self) -> Iterator[tuple[str, str, str]]:
        for name, _ in groups():
            yield from getattr(self, name)._rows()

    def _repr_html_(self) -> str:
        """Every field as a table, for a notebook."""
        return html_table(("Field", "Value", "Meaning"), self._rows(), caption=self.title)

    @classmethod
    def _explained(cls, error: ValidationError, table: str) -> SpecError:
        """Turn the findings of the validation library into one clear error.

        A file of nothing but unknown keys would take long to look through: the last of them are only counted.
        """
        findings = error.errors(include_url=False)
        unknown = [finding for finding in findings if finding["type"] == "extra_forbidden"]
        known = [finding for finding in findings if finding["type"] != "extra_forbidden"]
        faults = [_explain(finding, table) for finding in [*known, *unknown[:_MOST_UNKNOWN]]]
        if (more := len(unknown) - _MOST_UNKNOWN) > 0:
            faults.append(SpecError("specification", f"{more} more keys", "unknown keys", "Remove them."))
        return SpecError.together(faults)


def groups() -> Iterator[tuple[str, type[BaseModel]]]:
    """Yield each group's name and model, in the order of the file."""
    for name, info in Spec.model_fields.items():
        if isinstance(info.annotation, type) and issubclass(info.annotation, BaseModel):
            yield name, info.annotation


_S = TypeVar("_S", bound=Spec)


def load(source: str | Path) -> Spec:
    """Read a specification from a file, or one of the shipped ``EXAMPLES`` by name.

    Raises:
        FolderError: the file cannot be read.
        InputError: the source is neither.
        SpecError: it is no TOML or of a newer schema, or fields are unknown, of the wrong type or out of range.

    >>> load("hill-example").title
    'Hill-district workshop (invented example)'
    """
    path = path_given("source", source, f"Give a file, or one of {', '.join(EXAMPLES)}.")
    if str(source) in EXAMPLES and not path.is_file():
        text = importlib.resources.files("mouldgeom.data").joinpath(f"examples/{source}.toml").read_text("utf-8")
        return parse(text, str(source))
    hint = meant(str(source), EXAMPLES, f"Give a file, or one of {', '.join(EXAMPLES)}.")
    unseen: list[Unseen] = []
    return _spec(read_toml(path, replace(_FORM, unread=hint), unseen), unseen)


_FORM: Final = Form("SPEC", "a specification", "Write a complete one with: mouldgeom new FILE.", SpecError)


def parse(text: str, name: str = "specification") -> Spec:
    """Read a specification from TOML text.

    One of an earlier schema is taken over, and a `RenamedWarning` says what changed.

    Raises:
        SpecError: as ``load``, or that is no text.

    >>> parse('[filter]\\nfloor = "2 1/2 in"').filter.floor
    63.5
    """
    if not isinstance(text, str):
        remedy = "Give the text of a file; a file itself is read by load."
        raise SpecError("specification", shown(text), "text is wanted", remedy)
    unseen: list[Unseen] = []
    return _spec(parse_toml(text, name, _FORM, unseen), unseen)


def _check_is_spec(name: str, given: object) -> None:
    if not isinstance(given, Spec):
        raise InputError(name, shown(given), "a specification is wanted", "Give a Spec, as load and parse return it.")


def unchecked(spec: _S, group: str, **values: object) -> _S:
    """The specification with values in one group that are known to be good, and are not looked at.

    For a search alone, which makes thousands and keeps to the limits itself; everyone else calls ``Spec.changed``.
    """
    fields = BaseModel.model_copy(getattr(spec, group), update=values)
    return BaseModel.model_copy(spec, update={group: fields})


def _spec(data: dict[str, Any], unseen: Sequence[Unseen]) -> Spec:
    """A specification from the tables of a file; ``unseen`` is told with what else is wrong."""
    schema = _schema(data.pop("schema", 1))
    faults = [_unprintable(*one) for one in unseen]
    if schema < SCHEMA:
        changes: list[str] = []
        for group, names in RENAMED.items():
            if isinstance(fields := data.get(group), dict):
                try:
                    changes += take_over(fields, names, f"{group}.")
                except SpecError as twice:
                    faults += twice.errors
        if not faults:
            note_renamed(changes, f"schema {schema} is read as {SCHEMA}: ")
    own, wrong = read_own(data.pop("own", {}))
    faults += wrong
    if "steel" in data:
        data["steel"] = in_steel(data["steel"], own)
    return _together(faults, lambda: Spec.model_validate({**data, "own": own}))


def _together(faults: list[SpecError], make: Callable[[], _S]) -> _S:
    """What is made, unless there are faults, or it has some: then all are told at once."""
    try:
        made = make()
    except SpecError as wrong:
        faults = [*faults, *wrong.errors]
    if faults:
        raise SpecError.together(faults) from None
    return made


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
    changes, faults = [], []
    for old in [name for name in names if name in fields]:
        new, value = names[old], fields.pop(old)
        if new in fields:
            limit = f"the same field stands there under its newer name, {prefix}{new}, too"
            faults.append(SpecError(prefix + old, shown(value), limit, f"Remove {prefix}{old}."))
            continue
        fields[new] = value
        changes.append(f"{prefix}{old} is now called {prefix}{new}")
    if faults:
        raise SpecError.together(faults)
    return changes


def _explain(finding: ErrorDetails, table: str = "") -> SpecError:
    """Turn one finding of the validation library in a table, or in the whole, into a clear error."""
    where = [*([table] if table else []), *(str(part) for part in finding["loc"])]
    name = short(".".join(where)) or "specification"
    model: type[BaseModel] = dict(groups()).get(where[0], Spec) if len(where) > 1 else Spec
    if finding["type"] == "extra_forbidden":
        return SpecError(name, shown(finding["input"]), "unknown key", _unknown(where))
    if finding["type"] == "model_type":
        remedy = f"Begin it with [{name}]." if where else "Give its tables by name."
        return SpecError(name, shown(finding["input"]), "a table of fields is wanted", remedy)
    info = model.model_fields.get(where[-1]) if where else None
    unit = unit_of(info) if info else "-"
    value = shown(finding["input"], unit)
    limits = limits_of(info) if info else None
    if limits:
        low, high = (f"{plain(v)} {unit}" for v in limits)
        allowed = f"allowed is {low} to {high}"
        cause = reason(finding) if finding["type"] == "value_error" else ""
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
    return SpecError(name, value, reason(finding), f"Correct {name}, or remove the line.{default}")


_MOST_UNKNOWN: Final = 20


def _refused(name: object, value: object) -> SpecError | None:
    """What is wrong with the name of a field that is to be changed, where the validation library would not tell."""
    if not isinstance(name, str):
        return SpecError(shown(name), shown(value), "the name of a field is text", 'Write such as "filter.floor".')
    if isinstance(value, str):
        try:
            seen(value)
        except ValueError as error:
            return _unprintable(name, value, str(error))
    group, dot, field = name.partition(".")
    model = dict(groups()).get(group)
    if model is not None and not field:
        limit, example = "a table is changed field by field", f"{group}.{next(iter(model.model_fields))}"
        return SpecError(short(name), shown(value), limit, f"Name a field of it, such as {example}.")
    if model is None and dot:
        return SpecError(short(name), shown(value), "unknown key", _unknown([group, field]))
    return None


def _unprintable(where: str, text: str, cause: str) -> SpecError:
    return SpecError(short(where), repr(text), cause, "Take it out.")


def _unknown(where: list[str]) -> str:
    """The remedy for an unknown key: the field that may be meant, of all groups, rather of its own."""
    if where == ["schema"]:
        return "Remove it: it is a line of a file, and no field."
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

    Raises:
        InputError: that is no specification.

    >>> print(spec_toml(Spec(title="mine"), head=("Invented.",)).partition("\\n\\n")[0])
    # Invented.
    schema = 2
    title = "mine"
    """
    _check_is_spec("spec", spec)
    lines = [f"# {line}".rstrip() for line in head]
    if comments:
        lines += [
            '# A length is a number of millimetres or text with a unit: 50, "50 mm", "1/8 in", "5 1/4 in".',
            "# Steel is named by designation. A line that is left out takes its default.",
            "",
        ]
        lines.append("# Edition of the form of this file.")
    return "\n".join([*lines, f"schema = {SCHEMA}", *_field_lines(spec, comments=comments)]) + "\n"


def _sha256(lines: Iterable[str]) -> str:
    return hashlib.sha256("\n".join([*lines, ""]).encode()).hexdigest()


def _field_lines(spec: Spec, *, comments: bool, without: Container[str] = ()) -> Iterator[str]:
    """The fields as TOML, but for the tables that are to be left out."""
    yield f"title = {_toml_value(spec.title)}"
    for name, model in groups():
        if name in without:
            continue
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
