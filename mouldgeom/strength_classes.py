"""Strength classes of bolts and threaded rods: what they bear, how they are marked, what nut goes with them.

Metric threads have the classes of ISO 898-1, inch threads the grades of SAE J429.  A bolt of which nobody knows the
class is ``"unmarked"``, in either system, and reckoned with the least of every strength in the table.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Final

from mouldgeom import tables
from mouldgeom.errors import InputError, TableError
from mouldgeom.units import Mm, Mpa, Ratio
from mouldgeom.words import Said

UNMARKED: Final = "unmarked"
"""The class of a bolt that bears no mark, or of which nobody knows the class."""


@dataclass(frozen=True)
class StrengthClass:
    """The strength of a thread of a class, up to a diameter.

    ``hardened`` says that it is quenched and tempered: welding spoils it.  ``marking`` is what stands on the head of a
    bolt, "none" if nothing; ``nut`` is the class of the nut that goes with it.

    Source: of the strengths, in each row; of the nuts, ISO 898-2:2012 and SAE J995 (from memory).
    """

    designation: str
    system: str
    diameter_to_mm: Mm
    yield_mpa: Mpa
    ultimate_mpa: Mpa
    proof_mpa: Mpa
    hardened: bool
    marking: str
    nut: str
    source: str
    evidence: str

    @property
    def marked(self) -> bool:
        """Whether the head of such a bolt tells its class."""
        return self.marking != "none"


@cache
def strength_classes() -> tuple[StrengthClass, ...]:
    """Every row of the table, metric first, the weakest first.

    Raises:
        TableError: a column or a cell does not fit.
    """
    text = resources.files("mouldgeom.data").joinpath("strength_classes.csv").read_text(encoding="utf-8")
    try:
        return tuple(StrengthClass(**_read(row)) for row in csv.DictReader(text.splitlines(), strict=True))
    except (TypeError, ValueError, KeyError) as error:
        raise TableError(f"data/strength_classes.csv: {error}") from error


def _read(row: dict[str, str]) -> dict[str, Any]:
    numbers = {name: float(cell) for name, cell in row.items() if name.endswith(("_mm", "_mpa"))}
    return {**row, **numbers, "hardened": {"yes": True, "no": False}[row["hardened"]]}


def classes_for(thread: tables.Bolt) -> tuple[str, ...]:
    """The designations of what a thread can be bought in, the weakest first, ``UNMARKED`` last."""
    own = (row.designation for row in strength_classes() if row.system == thread.system)
    return (*dict.fromkeys(own), UNMARKED)


def strength_class(designation: str, thread: tables.Bolt) -> StrengthClass:
    """The strength of a thread of a class.

    Raises:
        InputError: the thread is not made in that class.

    Source: in each row of data/strength_classes.csv; the unmarked one is the least of all rows.
    """
    if designation == UNMARKED:
        return _weakest(thread.system)
    for row in strength_classes():
        if (row.designation, row.system) == (designation, thread.system) and thread.diameter_mm <= row.diameter_to_mm:
            return row
    raise InputError(
        "strength class",
        repr(designation),
        f"{thread.system} threads such as {thread.designation} are not made in it",
        f"Choose one of {', '.join(classes_for(thread))}.",
    )


@cache
def _weakest(system: str) -> StrengthClass:
    rows = strength_classes()
    least: dict[str, Ratio] = {
        name: min(getattr(row, name) for row in rows) for name in ("yield_mpa", "ultimate_mpa", "proof_mpa")
    }
    return StrengthClass(
        UNMARKED,
        system,
        max(row.diameter_to_mm for row in rows),
        **least,
        hardened=False,
        marking="none",
        nut=UNMARKED,
        source="the least of every class in the table",
        evidence="computed",
    )


def welded_class(designation: str, thread: tables.Bolt) -> str:
    """The class of a part that is welded where the others have this one: itself, or the weakest if it is hardened.

    Of the other system nothing is known: ``UNMARKED``.

    Source: quenched and tempered steel loses its strength beside a weld, common practice, no source.
    """
    if designation not in classes_for(thread):
        return UNMARKED
    return classes_for(thread)[0] if strength_class(designation, thread).hardened else designation


def class_text(designation: str) -> str:
    """A class as it is asked for: ``"class 8.8"``, ``"grade 5"``, ``"unmarked"``."""
    return Said("class {name}", name=designation) if designation[:1].isdigit() else designation


def class_texts() -> frozenset[str]:
    """Every class as it is asked for, of bolts and of nuts."""
    rows = strength_classes()
    return frozenset(class_text(name) for row in rows for name in (row.designation, row.nut)) | {UNMARKED}
