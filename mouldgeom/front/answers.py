"""What every answer can do: say itself in words, as a record, as JSON, and show itself in a notebook."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import TYPE_CHECKING, Any

from mouldgeom.units import four_figures
from mouldgeom.verdict import Verdict

if TYPE_CHECKING:
    from mouldgeom.model.assembly import Mould


class Answer(ABC):
    """What a question is answered with; it holds, or fails."""

    @property
    @abstractmethod
    def passed(self) -> bool:
        """Whether everything that was judged holds."""

    @abstractmethod
    def text(self) -> str:
        """The answer in words, as the command prints it."""

    @abstractmethod
    def record(self) -> dict[str, Any]:
        """The answer as one JSON object; keys end in their unit."""

    def json(self) -> str:
        """The answer as a JSON document."""
        from mouldgeom.outputs.records import json_bytes

        return json_bytes(self.record()).decode()


def judged_text(result: Verdict) -> str:
    """Value against limit: ``"15 >= 12 mm"``."""
    provided, required = result.told(four_figures)
    return f"{provided} {result.operator} {required} {result.unit}".removesuffix(" -")


def result_text(result: Verdict) -> str:
    """The result of one check in three lines, and its cure in a fourth where it fails and has one."""
    verdict = "ok  " if result.holds else "FAIL"
    return (
        f"{verdict}  {result.code:<5} {result.title}\n"
        f"            {judged_text(result)}  at: {result.where}\n"
        f"            {result.source}" + (f"\n            {result.cure}" if result.cure and not result.holds else "")
    )


def verdict_text(results: tuple[Verdict, ...]) -> str:
    """Whether all checks hold, and which fail."""
    failed = [result for result in results if not result.holds]
    if failed:
        return f"{len(failed)} of {len(results)} checks fail: {', '.join(r.code for r in failed)}."
    return f"All {len(results)} checks hold.\nThe tool advises; a licensed engineer and local codes decide."


def verdict_rows(results: tuple[Verdict, ...]) -> list[tuple[str, ...]]:
    """The results as rows of a table: verdict, code, title, value and limit, place."""
    return [
        ("holds" if result.holds else "FAILS", result.code, result.title, judged_text(result), result.where)
        for result in results
    ]


def mould_text(mould: Mould) -> tuple[str, dict[str, Any]]:
    """What filter and mould these are, in two lines and as a record."""
    from mouldgeom.outputs.records import headline

    figures = headline(mould)
    text = (
        f"{figures['title']}\n"
        f"filter {figures['outside_width_mm']:.0f} x {figures['outside_depth_mm']:.0f} x {figures['height_mm']:.0f} mm;"
        f" mould of {figures['pieces']} pieces under {figures['marks']} marks, {figures['bolts']} bolts,"
        f" {figures['steel_kg']:.0f} kg of steel"
    )
    return text, figures
