"""Refusals that say by which single change of the specification they are cured, each change tried before it is said."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from mouldgeom.errors import SpecError
from mouldgeom.spec import Spec, groups, limits_of, unchecked, unit_of
from mouldgeom.units import plain, rounded_down, rounded_up
from mouldgeom.verdict import Quantity

Outcome = Callable[[Spec], str | None]
"""Name of the field that a specification is refused for, or of the check that it fails; None where all is well."""


@dataclass(frozen=True, slots=True)
class Cure:
    """One change of a specification, in words and as the value that a field is given.

    Args:
        words: such as ``"a smaller bend radius"``.
        field: such as ``"tube.bend_radius"``.
        value: in the unit of the field; text where it takes a choice or a designation.
    """

    words: str
    field: str
    value: Quantity | str

    @staticmethod
    def at_most(words: str, field: str, most: Quantity, digits: int = 1) -> Cure:
        """A value that is to be this or less, rounded to the safe side."""
        return Cure(words, field, rounded_down(most, digits))

    @staticmethod
    def at_least(words: str, field: str, least: Quantity, digits: int = 1) -> Cure:
        """A value that is to be this or more, rounded to the safe side."""
        return Cure(words, field, rounded_up(least, digits))

    def applied(self, spec: Spec) -> Spec | None:
        """The specification with this change; None where the field does not go that far."""
        group, name = self.field.split(".")
        limits = limits_of(dict(groups())[group].model_fields[name])
        if limits and not isinstance(self.value, str) and not limits[0] <= self.value <= limits[1]:
            return None
        return unchecked(spec, group, **{name: self.value})

    def line(self) -> str:
        """Words and value: ``"a smaller bend radius (tube.bend_radius = 28 mm)"``, text as a file has it."""
        if isinstance(self.value, str):
            return f'{self.words} ({self.field} = "{self.value}")'
        group, name = self.field.split(".")
        unit = unit_of(dict(groups())[group].model_fields[name])
        return f"{self.words} ({self.field} = {plain(self.value)} {unit})"


class CurableError(SpecError):
    """A refusal with the changes that may cure it, none of them tried yet."""

    def __init__(self, name: str, value: str, limit: str, cures: Iterable[Cure]) -> None:
        self.cures = tuple(cures)
        super().__init__(name, value, limit, f"Choose {_either(cure.words for cure in self.cures)}.")

    def tried(self, spec: Spec, outcome: Outcome) -> SpecError:
        """The refusal with those changes that cure it: if there are such, with those alone that leave nothing else.

        Where none cures it alone, its remedy is in words.
        """
        found: list[tuple[Cure, str | None]] = []
        for cure in self.cures:
            changed = cure.applied(spec)
            if changed is not None and (refused := outcome(changed)) != self.name:
                found.append((cure, refused))
        whole = [cure for cure, refused in found if refused is None] or [cure for cure, _ in found]
        whole = list({(cure.field, cure.value): cure for cure in reversed(whole)}.values())[::-1]
        if not whole:
            return SpecError(self.name, self.value, self.limit, f"{self.remedy[:-1]}: more than one of them.")
        return SpecError(self.name, self.value, self.limit, f"Choose {_either(cure.line() for cure in whole)}.")


def _either(words: Iterable[str]) -> str:
    *most, last = words
    return f"{', '.join(most)} or {last}" if most else last
