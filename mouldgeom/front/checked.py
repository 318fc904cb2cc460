"""The results of the checks of one mould."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from mouldgeom.front.answers import Answer, result_text, verdict_rows, verdict_text
from mouldgeom.front.showing import bars_svg
from mouldgeom.rich import html_table
from mouldgeom.verdict import Verdict, worst_first


class Checks(Answer):
    """Every check of a mould, in the order of codes; it goes through its results one by one.

        >>> from mouldgeom import build
        >>> checks = build("hill-example").calculated()
        >>> checks.passed, checks["8.2"].unit
        (True, 'mm')

    Args:
        results: of the checks.
        headline: what filter and mould these are, in words and as a record.
    """

    def __init__(self, results: tuple[Verdict, ...], headline: tuple[str, dict[str, Any]]) -> None:
        self.results = results
        self._headline = headline

    @property
    def passed(self) -> bool:
        """Whether every check holds."""
        return all(result.holds for result in self.results)

    @property
    def failed(self) -> tuple[Verdict, ...]:
        """Those that do not hold, the worst first."""
        return tuple(result for result in worst_first(self.results) if not result.holds)

    @property
    def governing(self) -> Verdict:
        """The one that is worst, or nearest to its limit."""
        return worst_first(self.results)[0]

    def __len__(self) -> int:
        return len(self.results)

    def __iter__(self) -> Iterator[Verdict]:
        return iter(self.results)

    def __getitem__(self, code: str) -> Verdict:
        """The worst result of a code.

        Raises:
            KeyError: there is none.
        """
        for result in worst_first(self.results):
            if result.code == code:
                return result
        raise KeyError(code)

    def text(self) -> str:
        """Every result in three lines, the worst first."""
        lines = [self._headline[0], *(result_text(r) for r in worst_first(self.results)), verdict_text(self.results)]
        return "\n".join(lines)

    def record(self) -> dict[str, Any]:
        """As ``checks.json``."""
        return {**self._headline[1], "passed": self.passed, "results": [r.record() for r in self.results]}

    def __repr__(self) -> str:
        state = "all hold" if self.passed else f"{len(self.failed)} fail: {', '.join(r.code for r in self.failed[:8])}"
        return f"<Checks: {len(self)} results, {state}>"

    def _repr_html_(self) -> str:
        worst = worst_first(self.results)
        bars = [(_called(r), min(r.use, 2.0), f"{r.use:.0%}") for r in worst[:10]]
        failed = {_called(r) for r in self.failed}
        rows = verdict_rows(worst)
        return bars_svg("Nearest to their limits, or beyond", bars, failed=failed) + html_table(
            ("", "check", "of", "value and limit", "where"), rows, caption=repr(self)[1:-1]
        )


def _called(result: Verdict) -> str:
    return f"{result.code} {result.title}"
