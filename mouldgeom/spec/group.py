"""A table of a specification: what it does when it is made, changed, compared and shown, whatever its fields."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, ClassVar, Final, NamedTuple, NoReturn, Self

from pydantic import BaseModel, ConfigDict, ValidationError
from pydantic.fields import FieldInfo

from mouldgeom.errors import SpecError
from mouldgeom.reading import shown
from mouldgeom.rich import Strong, html_table
from mouldgeom.units import AnyUnit, plain

_WIDEST: Final = 110
"""Characters of a table in one line."""


class Difference(NamedTuple):
    """A field in which two specifications differ.

    >>> Difference("filter.charge", 12.0, 15.0, "l").name
    'filter.charge'

    Args:
        name: such as ``"filter.sand_column"``.
        before: its value in the one that is asked.
        after: its value in the other.
        unit: of both; ``"-"`` for a choice or text.
    """

    name: str
    before: object
    after: object
    unit: str


class FieldGroup(BaseModel):
    """A table of a specification: frozen, and no key that it does not know.

    However one is made, what is wrong with it is told as a `SpecError`.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, strict=False)

    _whole: ClassVar[type[FieldGroup]]
    """The specification, which tells what is wrong in its tables."""
    _table: ClassVar[str] = ""
    """What this table is called there."""

    def __init__(self, /, **fields: Any) -> None:
        try:
            super().__init__(**fields)
        except ValidationError as error:
            raise self._whole._explained(error, self._table) from None

    __init__.__pydantic_base_init__ = True  # type: ignore[attr-defined]  # for it, tables inside are made without calls

    @classmethod
    def __pydantic_init_subclass__(cls, **_: object) -> None:
        """Let the tables of a specification know it."""
        for name, info in cls.model_fields.items():
            if isinstance(info.annotation, type) and issubclass(info.annotation, FieldGroup):
                FieldGroup._whole, info.annotation._table = cls, name

    @classmethod
    def _explained(cls, error: ValidationError, table: str) -> SpecError:
        """What the validation library found in ``table``, or in the whole specification."""
        raise NotImplementedError

    @classmethod
    def model_validate(cls, obj: Any, **options: Any) -> Self:
        """Make one from a mapping.

        Raises:
            SpecError: a field is unknown, of the wrong type or out of range.
        """
        try:
            return super().model_validate(obj, **options)
        except ValidationError as error:
            raise cls._whole._explained(error, cls._table) from None

    @classmethod
    def model_validate_json(cls, json_data: str | bytes | bytearray, **options: Any) -> Self:
        """Make one from JSON.

        Raises:
            SpecError: as ``model_validate``, or it is no JSON.
        """
        try:
            return super().model_validate_json(json_data, **options)
        except ValidationError as error:
            raise cls._whole._explained(error, cls._table) from None

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """A copy; one with other values is checked like a new one.

        Raises:
            SpecError: as ``model_validate``.
        """
        copied = super().model_copy(deep=deep)
        return type(self).model_validate({**vars(copied), **update}) if update else copied

    @classmethod
    def model_validate_strings(cls, obj: Any, **options: Any) -> Self:
        """Make one from a mapping of texts.

        Raises:
            SpecError: as ``model_validate``.
        """
        try:
            return super().model_validate_strings(obj, **options)
        except ValidationError as error:
            raise cls._whole._explained(error, cls._table) from None

    def __setattr__(self, name: str, value: object) -> NoReturn:
        field = f"{self._table}.{name}".lstrip(".")
        remedy = f'Make another one: spec.changed({{"{field}": ...}}).'
        raise SpecError(field, shown(value), "a specification is frozen", remedy)

    def __delattr__(self, name: str) -> NoReturn:
        field = f"{self._table}.{name}".lstrip(".")
        raise SpecError(field, shown(getattr(self, name, None)), "a specification is frozen", "Leave it as it is.")

    def _differences(self, other: FieldGroup) -> Iterator[Difference]:
        """Fields in which two tables of a kind differ."""
        for name, info in type(self).model_fields.items():
            before, after = getattr(self, name), getattr(other, name)
            if before != after:
                yield Difference(f"{self._table}.{name}".lstrip("."), before, after, unit_of(info))

    def _rows(self) -> Iterator[tuple[str, str, str]]:
        """Each field, its value with its unit, and what it means; in bold what is not the default."""
        for name, info in type(self).model_fields.items():
            value = getattr(self, name)
            kind = str if value == info.default else Strong
            yield kind(f"{self._table}.{name}".lstrip(".")), kind(_told(value, info)), str(info.description)

    def _repr_html_(self) -> str:
        """The fields as a table, for a notebook."""
        return html_table(("Field", "Value", "Meaning"), self._rows(), caption=self._table)

    def __repr__(self) -> str:
        """The fields that differ from their defaults, cut where there are many."""
        named = (f"{one.name.rpartition('.')[2]}={one.after!r}" for one in type(self)()._differences(self))
        fields = ", ".join(named)
        room = _WIDEST - len(type(self).__name__)
        return f"{type(self).__name__}({fields if len(fields) <= room else fields[: room - 3] + '...'})"

    __str__ = __repr__


def _refusing(name: str, remedy: str) -> classmethod[FieldGroup, ..., NoReturn]:
    """What stands for a method of the validation library that checks nothing, or is to go from it."""

    def refuse(cls: type[FieldGroup], /, *_: object, **__: object) -> NoReturn:
        raise SpecError(f"{cls.__name__}.{name}", "a call", "a specification has no such method", remedy)

    refuse.__name__, refuse.__doc__ = name, f"Refused. {remedy}"
    return classmethod(refuse)


_CHANGED: Final = 'Make another one, which is checked: spec.changed({"filter.floor": 60}).'
_READ: Final = "Make one by load, parse or Spec(...); change one by spec.changed({...})."
_GONE: Final = {
    **dict.fromkeys(("copy", "construct", "model_construct"), _CHANGED),
    **dict.fromkeys(("from_orm", "parse_file", "parse_obj", "parse_raw", "validate"), _READ),
    **dict.fromkeys(("dict", "json"), "Take spec.toml() or model_dump(); change one by spec.changed({...})."),
}
for _name, _remedy in _GONE.items():
    setattr(FieldGroup, _name, _refusing(_name, _remedy))


def unit_of(info: FieldInfo) -> str:
    """Return the unit of a field, ``"-"`` for a choice."""
    extra = info.json_schema_extra
    return str(extra["unit"]) if isinstance(extra, dict) else "-"


def limits_of(info: FieldInfo) -> tuple[AnyUnit, AnyUnit] | None:
    """Return least and greatest allowed value of a field, in its unit."""
    low = [m.ge for m in info.metadata if getattr(m, "ge", None) is not None]
    high = [m.le for m in info.metadata if getattr(m, "le", None) is not None]
    return (low[0], high[0]) if low and high else None


def _told(value: object, info: FieldInfo) -> str:
    """A value with its unit, text without quotes."""
    if isinstance(value, str):
        return str(value)
    if limits_of(info) and isinstance(value, int | float):
        return f"{plain(value)} {unit_of(info)}".removesuffix(" -")
    return shown(value)
