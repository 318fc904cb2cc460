"""Rows of sheet, section, bolt or steel that no table has, as a person describes them in a file.

::

    [[own.angle]]
    designation = "45x45x5"
    leg = 45                    # mm, or text with a unit
    thickness = 5
    source = "list of the town's dealer"

Every number has the name of its column in the tables without the unit.  What a person cannot know is worked out from
what is given, and what is given is held against it (``own_cells``).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, Final, TypeAlias, get_args

from mouldgeom import tables
from mouldgeom.designations import OwnDesignation, key
from mouldgeom.errors import SpecError, UnknownDesignationError
from mouldgeom.letters import lettered
from mouldgeom.reading import meant, shown
from mouldgeom.spec.fields import LEAST, PAIR, StrengthClassName, pair_of
from mouldgeom.spec.own_cells import CELLS
from mouldgeom.units import AnyUnit

Row: TypeAlias = tables.SheetSize | tables.Angle | tables.SquareTube | tables.Rod | tables.Bolt | tables.Steel

MOST: Final = 50
"""Rows of a kind, at most."""
FINDERS: Final[Mapping[str, Callable[[str], Row]]] = {
    "sheet": tables.sheet,
    "angle": tables.angle,
    "square_tube": tables.square_tube,
    "rod": tables.rod,
    "bolt": tables.bolt,
    "steel": tables.steel,
}
"""What finds a row of the tables, by kind."""
_RECORDS: Final[Mapping[str, type[Any]]] = {
    "sheet": tables.SheetSize,
    "angle": tables.Angle,
    "square_tube": tables.SquareTube,
    "rod": tables.Rod,
    "bolt": tables.Bolt,
    "steel": tables.Steel,
}
_BESIDE: Final = {"rod": "bolt", "bolt": "rod"}
"""Kinds that one field names, so that no designation may stand in both."""
_IN_STEEL: Final = {
    "shell": ("sheet",),
    "ledge": ("sheet",),
    "base": ("sheet",),
    "angle": ("angle",),
    "square_tube": ("square_tube",),
    "rod": ("bolt", "rod"),
    "bolt": ("bolt",),
    "jack_screw": ("bolt",),
    "grade": ("steel",),
}
"""Fields of ``steel``, and the kinds of row that each names."""


@dataclass(frozen=True)
class OwnRows:
    """The rows that a person describes, by kind; the designation in each brings its row along."""

    sheet: tuple[tables.SheetSize, ...] = ()
    angle: tuple[tables.Angle, ...] = ()
    square_tube: tuple[tables.SquareTube, ...] = ()
    rod: tuple[tables.Rod, ...] = ()
    bolt: tuple[tables.Bolt, ...] = ()
    steel: tuple[tables.Steel, ...] = ()

    def rows(self) -> Iterator[tuple[str, Row]]:
        """Yield kind and row of each, in the order of a file."""
        for kind in fields(self):
            yield from ((kind.name, row) for row in getattr(self, kind.name))

    def named(self, written: str, *kinds: str) -> str | None:
        """The designation that is written so, with its row, of the first of these kinds that has it."""
        rows = (row for kind in kinds for row in getattr(self, kind))
        return next((row.designation for row in rows if key(row.designation) == key(written)), None)

    def taking(self, designation: str) -> OwnRows:
        """These rows and the one that a designation brings along, if it does.

        Raises:
            SpecError: there is another row of that designation.
        """
        if not isinstance(designation, OwnDesignation):
            return self
        kind = next(name for name, record in _RECORDS.items() if record is designation.kind)
        there = self.named(designation, kind, *_beside(kind))
        if there is None:
            return replace(self, **{kind: (*getattr(self, kind), designation.row)})
        if there != designation:
            limit = "two files describe it, each in its own way"
            raise SpecError(f"own.{kind}", repr(str(designation)), limit, "Describe it alike, or rename one of them.")
        return self

    def plus(self, other: OwnRows) -> OwnRows:
        """These rows and those of another file.

        Raises:
            SpecError: as ``taking``.
        """
        both = self
        for _, row in other.rows():
            both = both.taking(row.designation)
        return both


EXAMPLE: Final = """\
# Steel that no table has is described at the end of the file, and named above like any other:
# [[own.angle]]                 # or own.sheet, own.square_tube, own.rod, own.bolt, own.steel
# designation = "45x45x5"
# leg = 45                      # what is left out is worked out or told to be needed
# thickness = 5
# source = "list of the town's dealer"
"""
"""What a file to start from says of them."""
NO_ROWS: Final = OwnRows()
"""Where a person describes none."""


def in_steel(steel: object, own: OwnRows) -> object:
    """The table ``steel`` of a specification as read, each designation of an own row with that row."""
    if not isinstance(steel, dict):
        return steel
    return {field: _brought(field, value, own) for field, value in steel.items()}


def _brought(field: str, value: object, own: OwnRows) -> object:
    if not isinstance(value, str) or field not in _IN_STEEL:
        return value
    if field == "square_tube" and value.startswith(PAIR):
        angle = own.named(value.removeprefix(PAIR), "angle")
        return value if angle is None else pair_of(angle)
    return own.named(value, *_IN_STEEL[field]) or value


def _beside(kind: str) -> tuple[str, ...]:
    return (_BESIDE[kind],) if kind in _BESIDE else ()


def called(kind: str) -> str:
    """The kind of a row in words."""
    return kind.replace("_", " ")


def cells(kind: str, row: Row) -> dict[str, AnyUnit | str]:
    """What stands in a row, by the names of a file, in its order."""
    numbers = {cell.name: getattr(row, cell.column) for cell in CELLS[kind]}
    system = {} if isinstance(row, tables.Steel) else {"system": row.system}
    return {"designation": str(row.designation), **numbers, **system, "source": row.source}


# ---------------------------------------------------------------- reading


def read_own(data: object) -> tuple[OwnRows, tuple[SpecError, ...]]:
    """The rows in the table ``own`` of a file, and everything that is wrong with them.

    A row that the tables have with the same numbers is that of the tables, and left out.
    """
    if not isinstance(data, dict):
        fault = SpecError("own", shown(data), "a table of rows is wanted", "Begin a row with [[own.sheet]].")
        return NO_ROWS, (fault,)
    faults: list[SpecError] = []
    own = NO_ROWS
    for kind, listed in data.items():
        if kind not in CELLS:
            remedy = meant(kind, CELLS, f"Known are: {', '.join(CELLS)}.")
            faults.append(SpecError(f"own.{kind}", shown(listed), "unknown kind of row", remedy))
        elif not isinstance(listed, list) or len(listed) > MOST:
            limit = f"a list of up to {MOST} rows is wanted"
            faults.append(SpecError(f"own.{kind}", shown(listed), limit, f"Begin each row with [[own.{kind}]]."))
        else:
            for number, given in enumerate(listed, 1):
                own = _Reading(kind, f"own.{kind}[{number}]", given, faults).into(own)
    return own, tuple(faults)


@dataclass
class _Reading:
    """One row on its way: where it stands, what is given, what is wrong so far."""

    kind: str
    where: str
    given: Any
    faults: list[SpecError]

    def into(self, own: OwnRows) -> OwnRows:
        """The rows with this one, or as they were where it is wrong or that of a table."""
        before = len(self.faults)
        if not isinstance(self.given, dict):
            self._wrong("", shown(self.given), "a table of fields is wanted", f"Begin it with [[own.{self.kind}]].")
            return own
        self._no_other_key()
        name, source = self._text("designation", 24), self._text("source", 500)
        system = "" if self.kind == "steel" else self._system()
        if name is None or not self._may_be_called(name, own):
            return own
        listed = _found(self.kind, name)
        if listed is not None:
            self._as_in_the_tables(listed)
            return own
        row = self._numbers()
        if len(self.faults) > before or source is None:
            return own
        numbers = (row[column.name] for column in fields(_RECORDS[self.kind]) if column.name in row)
        behind: tuple[AnyUnit | str, ...] = (*numbers, *([system] if system else []), source)
        return own.taking(OwnDesignation(name, _RECORDS[self.kind], behind))

    def _wrong(self, name: str, value: str, limit: str, remedy: str) -> None:
        self.faults.append(SpecError(f"{self.where}.{name}".rstrip("."), value, limit, remedy))

    def _no_other_key(self) -> None:
        system = [] if self.kind == "steel" else ["system"]
        known = ["designation", *(cell.name for cell in CELLS[self.kind]), *system, "source"]
        for name in self.given:
            if name not in known:
                remedy = meant(name, known, f"Known are: {', '.join(known)}.")
                self._wrong(name, shown(self.given[name]), "unknown key", remedy)

    def _text(self, name: str, longest: int) -> str | None:
        value = self.given.get(name)
        if not isinstance(value, str) or not 0 < len(value.strip()) <= longest:
            limit = f"wanted is text of 1 to {longest} characters"
            limit += ": where the numbers come from" if name == "source" else ""
            self._wrong(name, "left out" if value is None else shown(value), limit, f"Give {name}.")
            return None
        try:
            return lettered(value.strip())
        except ValueError as error:
            self._wrong(name, shown(value), str(error), f"Correct {name}.")
            return None

    def _system(self) -> str:
        value = self.given.get("system", tables.SYSTEMS[0])
        if value not in tables.SYSTEMS:
            limit = f"wanted is one of {', '.join(tables.SYSTEMS)}"
            self._wrong("system", shown(value), limit, "Correct it, or leave it out for metric.")
            return tables.SYSTEMS[0]
        return str(value)

    def _may_be_called(self, name: str, own: OwnRows) -> bool:
        """Whether nothing else has that name."""
        taken = ""
        if not re.fullmatch(r"[^\W_][\w ./()+-]*", name) or not key(name):
            taken = "letters, digits, blanks and . / ( ) + - are wanted, a letter or digit first"
        elif name in (LEAST, *get_args(StrengthClassName)) or name.startswith(PAIR):
            taken = "that name has a meaning of its own"
        elif own.named(name, self.kind, *_beside(self.kind)) is not None:
            taken = "an own row above it has that name"
        elif any(_found(other, name) for other in _beside(self.kind)):
            taken = f"the tables have a {_BESIDE[self.kind]} of that name"
        if taken:
            self._wrong("designation", repr(name), taken, "Give it a name of its own.")
        return not taken

    def _as_in_the_tables(self, listed: Row) -> None:
        """Refuse numbers that differ from those of the row of the tables."""
        told: Mapping[str, object] = cells(self.kind, listed)
        for cell in CELLS[self.kind]:
            if cell.name not in self.given:
                continue
            try:
                value = cell.number(self.given[cell.name])
            except ValueError as error:
                self._wrong(cell.name, shown(self.given[cell.name]), str(error), f"Correct {cell.name}.")
                continue
            if value != told[cell.name]:
                has = shown(told[cell.name], cell.unit)
                limit = f"the tables have {listed.designation} with {has}"
                self._wrong(cell.name, shown(value, cell.unit), limit, "Give the row a designation of its own.")

    def _numbers(self) -> dict[str, AnyUnit]:
        """Every number, by its column; what follows from a wrong one is not looked at."""
        row: dict[str, AnyUnit] = {}
        for cell in CELLS[self.kind]:
            try:
                row[cell.name] = cell.read(self.given.get(cell.name), row, f"{self.where}.{cell.name}")
            except SpecError as error:
                self.faults.append(error)
            except KeyError:
                continue
        return {cell.column: row[cell.name] for cell in CELLS[self.kind] if cell.name in row}


def _found(kind: str, name: str) -> Row | None:
    try:
        return FINDERS[kind](name)
    except UnknownDesignationError:
        return None
