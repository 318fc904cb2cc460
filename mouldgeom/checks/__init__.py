"""Checks of a mould, measured on its solids.  One file a kind; ``CHECKS`` is the order in which they run.

Importing this package loads the solid kernel.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from mouldgeom.checks.backing import check_backing, check_body_and_steel
from mouldgeom.checks.case import Case
from mouldgeom.checks.clashes import check_bolt_clearance, check_overlaps, check_validity
from mouldgeom.checks.concrete_checks import check_concrete
from mouldgeom.checks.cutting import check_cutting, check_stock
from mouldgeom.checks.draft import check_draft
from mouldgeom.checks.filter_checks import check_filter
from mouldgeom.checks.held import check_held
from mouldgeom.checks.joints import check_edges, check_pitch, check_reach, check_room
from mouldgeom.checks.ledge import check_ledge
from mouldgeom.checks.release import check_core, check_panels
from mouldgeom.checks.sealing import check_seal
from mouldgeom.checks.walls import check_walls
from mouldgeom.solids import SolidMould
from mouldgeom.strength.book import requirements
from mouldgeom.verdict import Verdict, by_code, own_verdicts

__all__ = ["CHECKS", "Case", "Check", "own_results", "run_checks"]

Check = Callable[[Case], Iterable[Verdict]]


def check_strength(case: Case) -> tuple[Verdict, ...]:
    """Checks 8 and 10, and tolerances of check 4: what the chapters of the calculation require."""
    return requirements(case.chapters)


CHECKS: tuple[Check, ...] = (
    check_validity,
    check_overlaps,
    check_bolt_clearance,
    check_held,
    check_body_and_steel,
    check_backing,
    check_seal,
    check_draft,
    check_walls,
    check_concrete,
    check_core,
    check_panels,
    check_pitch,
    check_edges,
    check_room,
    check_reach,
    check_strength,
    check_filter,
    check_ledge,
    check_cutting,
    check_stock,
)


def run_checks(solids: SolidMould, case: Case | None = None, own: Sequence[Check] = ()) -> tuple[Verdict, ...]:
    """Run every check, and those from outside, and return the results in order of their codes.

    Raises:
        InputError: one from outside gives something other than verdicts, or takes a code of the program.
    """
    shared = case or Case(solids)
    results = [result for check in CHECKS for result in check(shared)]
    return by_code([*results, *own_results(shared, own)])


def own_results(case: Case, own: Sequence[Check]) -> tuple[Verdict, ...]:
    """Results of checks from outside.

    Raises:
        InputError: as ``run_checks``.
    """
    called = ((check, getattr(check, "__qualname__", "check")) for check in own)
    return tuple(result for check, name in called for result in own_verdicts(check(case), name))
