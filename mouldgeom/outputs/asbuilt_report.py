"""What ``mouldgeom asbuilt`` prints: results as built, what deviates and its cure, as text and as one JSON document."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from mouldgeom.inspection.asbuilt import BuiltMould
from mouldgeom.inspection.rework import Deviation, deviations
from mouldgeom.strength.steps import Requirement, in_order
from mouldgeom.units import plain

_WIDTH = 110


def built_text(built: BuiltMould) -> str:
    """The answer in words, the verdict first."""
    results, found = built.results, deviations(built)
    failed = [result for result in results if not result.holds]
    lines = [built.dims.spec.title, _measured(built), ""]
    if failed:
        lines.append(f"Do not accept it yet: {len(failed)} of {len(results)} results fail.")
    else:
        lines.append(f"As measured, all {len(results)} results hold.")
    lines += [f"  {line}" for line in _result_lines(results)]
    lines += ["", *_deviation_lines(found)]
    lines += [f"Note: {note}" for note in built.disagreements()]
    lines.append("The tool advises: a trial cast and a leak test decide before the full payment.")
    return "\n".join(lines)


def _measured(built: BuiltMould) -> str:
    return f"{len(built.measured)} of {len(built.list)} dimensions measured; the others count as designed"


def _result_lines(results: tuple[Requirement, ...]) -> Iterator[str]:
    for r in sorted(results, key=lambda r: (r.holds, in_order(r.code))):
        sign = ">=" if r.at_least else "<="
        yield (
            f"{'ok   ' if r.holds else 'FAIL '} {r.code:5} {r.title}: {plain(r.provided, 2)} {sign} "
            f"{plain(r.required, 2)} {r.unit} ({r.where})"
        )


def _deviation_lines(found: tuple[Deviation, ...]) -> Iterator[str]:
    if not found:
        yield "Nothing that was measured lies outside its limits."
        return
    yield f"Outside their limits: {len(found)}."
    for d in found:
        gain = f", {d.wall_gain:.1f} mm more wall when put right" if d.wall_gain > 0.05 else ""
        unit = d.item.unit
        yield (
            f"  {d.item.code}: {plain(d.measured, 1)} {unit}, wanted {plain(d.item.low, 1)} to "
            f"{plain(d.item.high, 1)} {unit}{gain}{'; it makes a result fail' if d.matters else ''}"
        )
        yield from textwrap.wrap(
            f"{d.cure}: {d.advice}", _WIDTH, initial_indent="      ", subsequent_indent="      "
        )  # fmt: skip


def built_record(built: BuiltMould) -> dict[str, object]:
    """The same as one JSON document."""
    results = built.results
    wall, where = built.least_wall()
    return {
        "title": built.dims.spec.title,
        "measured": {code: round(value, 3) for code, value in sorted(built.measured.items())},
        "not_measured": [item.code for item in built.list if item.code not in built.measured],
        "passed": all(result.holds for result in results),
        "least_wall_mm": round(wall, 3),
        "least_wall_where": where,
        "filter_kg": round(built.mass(), 2),
        "results": [
            {
                "code": r.code,
                "title": r.title,
                "passed": r.holds,
                "provided": round(r.provided, 4),
                "required": round(r.required, 4) if abs(r.required) < 1e9 else None,
                "operator": ">=" if r.at_least else "<=",
                "unit": r.unit,
                "where": r.where,
                "source": r.source,
            }
            for r in results
        ],
        "deviations": [
            {
                "code": d.item.code,
                "what": d.item.what,
                "measured": round(d.measured, 3),
                "low": round(d.item.low, 3),
                "high": round(d.item.high, 3),
                "unit": d.item.unit,
                "wall_gain_mm": round(d.wall_gain, 3),
                "matters": d.matters,
                "cure": str(d.cure),
                "advice": d.advice,
            }
            for d in deviations(built)
        ],
        "disagreements": list(built.disagreements()),
        "walls": [
            {
                "side": wall.side,
                "least_mm": round(wall.least()[0], 3),
                "heights_mm": [round(float(z), 2) for z in wall.heights[::5]],
                "across": [round(float(place), 3) for place in wall.across[::5]],
                "thickness_mm": [[round(float(t), 3) for t in row[::5]] for row in wall.thickness[::5]],
            }
            for wall in built.walls
        ],
    }
