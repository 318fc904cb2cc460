"""A calculation as it is written down: steps, tables and requirements, gathered in chapters.

A step shows formula, numbers and result; a requirement holds a value against its limit and becomes a check.  The
numbers of both are those that were worked with, never typed again.
"""

from __future__ import annotations

from dataclasses import dataclass

from mouldgeom.verdict import Quantity, Verdict


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a calculation.

    Args:
        what: what is worked out, such as ``"pressure at the foot of the panels"``.
        formula: in symbols, such as ``"p = gamma h"``; plain ASCII.
        numbers: the same with numbers and units, such as ``"25 kN/m3 x 886 mm"``.
        result: in ``unit``; ``unit`` is ``"-"`` for a ratio.
        source: standard, edition and clause, or "common practice, no source".
    """

    what: str
    formula: str
    numbers: str
    result: Quantity
    unit: str
    source: str


Checked = tuple[list[Step], list[Verdict]]
"""What is worked out of some parts, and what it requires."""


@dataclass(frozen=True, slots=True)
class ResultTable:
    """Many like results: head of each column with its unit, and rows of text or numbers."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str | Quantity, ...], ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Chapter:
    """One subject: what is looked at and assumed, the steps in order, tables, requirements and cautions."""

    title: str
    assumptions: tuple[str, ...]
    steps: tuple[Step, ...]
    tables: tuple[ResultTable, ...] = ()
    requirements: tuple[Verdict, ...] = ()
    cautions: tuple[str, ...] = ()
