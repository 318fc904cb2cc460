"""What the commands print alike: the mould in short, results of checks, progress, documents."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from mouldgeom.units import four_figures

if TYPE_CHECKING:
    from mouldgeom.model.assembly import Mould
    from mouldgeom.verdict import Verdict


def progress(text: str) -> None:
    """Say what is being done, on a terminal only; nothing more when it is done."""
    if sys.stderr.isatty():
        print(f"\r\x1b[K{text} ..." if text else "\r\x1b[K", end="", file=sys.stderr, flush=True)


def print_json(document: Mapping[str, object]) -> None:
    """Print one JSON document."""
    from mouldgeom.outputs.records import json_bytes

    sys.stdout.write(json_bytes(document).decode())


def headline_text(mould: Mould) -> str:
    """What filter and mould these are, in two lines."""
    from mouldgeom.outputs.records import headline

    figures = headline(mould)
    return (
        f"{figures['title']}\n"
        f"filter {figures['outside_width_mm']:.0f} x {figures['outside_depth_mm']:.0f} x {figures['height_mm']:.0f} mm;"
        f" mould of {figures['pieces']} pieces under {figures['marks']} marks, {figures['bolts']} bolts,"
        f" {figures['steel_kg']:.0f} kg of steel"
    )


def result_text(result: Verdict) -> str:
    """The result of one check in three lines."""
    verdict = "ok  " if result.holds else "FAIL"
    unit = "" if result.unit == "-" else f" {result.unit}"
    provided, required = result.told(four_figures)
    return (
        f"{verdict}  {result.code:<5} {result.title}\n"
        f"            {provided} {result.operator} {required}{unit}  at: {result.where}\n"
        f"            {result.source}"
    )


def verdict_text(results: Sequence[Verdict]) -> str:
    """Whether all checks hold, and which fail."""
    failed = [result for result in results if not result.holds]
    if failed:
        return f"{len(failed)} of {len(results)} checks fail: {', '.join(r.code for r in failed)}."
    return f"All {len(results)} checks hold.\nThe tool advises; a licensed engineer and local codes decide."
