"""Checks 8 and 10, and tolerances of check 4: what the calculation requires of the design."""

from __future__ import annotations

from mouldgeom.checks.case import Case
from mouldgeom.checks.result import CheckResult, Operator
from mouldgeom.strength.book import requirements


def check_strength(case: Case) -> tuple[CheckResult, ...]:
    """Work through every chapter and hand over its requirements as results."""
    return tuple(
        CheckResult(
            requirement.code,
            requirement.title,
            requirement.provided,
            requirement.required,
            Operator.AT_LEAST if requirement.at_least else Operator.AT_MOST,
            requirement.unit,
            requirement.where,
            requirement.source,
        )
        for requirement in requirements(case.chapters)
    )
