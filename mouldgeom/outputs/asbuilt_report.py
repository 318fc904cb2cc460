"""What ``mouldgeom asbuilt`` prints: results as built, what deviates and its cure, as text and as one JSON document."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from mouldgeom.inspection.asbuilt import BuiltMould
from mouldgeom.inspection.cures import Cure
from mouldgeom.inspection.rework import Deviation, Plan, plan
from mouldgeom.strength.steps import Requirement, in_order
from mouldgeom.units import AnyUnit, plain, rounded, told_apart

_WIDTH = 110


def built_text(built: BuiltMould) -> str:
    """The answer in words, the verdict first."""
    results = built.results
    failed = [result for result in results if not result.holds]
    lines = [built.dims.spec.title, _measured(built), ""]
    if failed:
        lines.append(f"Do not accept it yet: {len(failed)} of {len(results)} results fail.")
    else:
        lines.append(f"As measured, all {len(results)} results hold.")
    lines += [f"  {line}" for line in _result_lines(results)]
    lines += ["", *_deviation_lines(plan(built))]
    lines.append("The tool advises: a trial cast and a leak test decide before the full payment.")
    return "\n".join(lines)


def _measured(built: BuiltMould) -> str:
    return f"{len(built.measured)} of {len(built.list)} dimensions measured; the others count as designed"


def _result_lines(results: tuple[Requirement, ...]) -> Iterator[str]:
    for r in sorted(results, key=lambda r: (r.holds, in_order(r.code))):
        provided, required = told_apart(r.provided, r.required, r.holds, _hundredths)
        yield (
            f"{'ok   ' if r.holds else 'FAIL '} {r.code:5} {r.title}: {provided} {'>=' if r.at_least else '<='} "
            f"{required} {r.unit} ({r.where})"
        )


def _hundredths(value: AnyUnit, more: int) -> str:
    return plain(value, 2 + more)


def _deviation_lines(found: Plan) -> Iterator[str]:
    matter = [d for d in found.deviations if d.matters]
    rest = [d for d in found.deviations if not d.matters]
    if not found.deviations:
        yield "Nothing that was measured lies outside its limits."
    if matter:
        yield f"To be put right: {len(matter)}. {_tried(found)}"
        yield from (line for d in matter for line in _deviation(d))
    elif found.still_failing:
        yield f"As designed, {', '.join(found.still_failing)} fail already: change the specification."
    if rest:
        yield f"{'Besides, outside' if matter else 'Outside'} their limits: {len(rest)}."
        yield from (line for d in rest for line in _deviation(d))


def _tried(found: Plan) -> str:
    """What came out when the cures were tried."""
    if found.still_failing:
        return f"Tried on the measured values, that is not enough: {', '.join(found.still_failing)} still fail."
    cures = {d.cure for d in found.deviations if d.matters}
    if cures == {Cure.CAST_AGAIN}:
        return "No rework undoes a cast."
    if Cure.MEASURE in cures:
        return "Tried as if what is measured again came out as designed: every result of the mould holds then."
    return "Tried on the measured values: when all of it is done, every result of the mould holds."


def _deviation(d: Deviation) -> Iterator[str]:
    item = d.item
    gain = f", {d.wall_gain:.1f} mm more wall when put right" if d.wall_gain > 0.05 else ""
    inside = item.accepts(d.measured)

    def write(value: AnyUnit, more: int) -> str:
        return plain(value, item.digits + more)

    measured, low = told_apart(d.measured, item.low, inside or d.measured > item.low, write)
    other, high = told_apart(d.measured, item.high, inside or d.measured < item.high, write)
    shown, wanted = max(measured, other, key=len), f"{low} to {high} {item.unit}"
    yield f"  {item.code}: {shown} {item.unit}, {'within' if inside else 'wanted'} {wanted}{gain}"
    yield from textwrap.wrap(
        f"{d.cure}: {d.advice}", _WIDTH, initial_indent="      ", subsequent_indent="      ", break_on_hyphens=False
    )  # fmt: skip


def _result_record(r: Requirement) -> dict[str, object]:
    provided, required = told_apart(r.provided, r.required, r.holds, rounded)
    return {
        "code": r.code,
        "title": r.title,
        "passed": r.holds,
        "provided": provided,
        "required": required,
        "operator": ">=" if r.at_least else "<=",
        "unit": r.unit,
        "where": r.where,
        "source": r.source,
    }


def built_record(built: BuiltMould) -> dict[str, object]:
    """The same as one JSON document."""
    results, found = built.results, plan(built)
    wall, where = built.least_wall()
    return {
        "title": built.dims.spec.title,
        "measured": {code: round(value, 3) for code, value in sorted(built.measured.items())},
        "not_measured": [item.code for item in built.list if item.code not in built.measured],
        "passed": all(result.holds for result in results),
        "least_wall_mm": round(wall, 3),
        "least_wall_where": where,
        "filter_kg": round(built.mass(), 2),
        "results": [_result_record(r) for r in results],
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
            for d in found.deviations
        ],
        "still_failing": list(found.still_failing),
        "disagreements": [one.line() for one in built.disagreements()],
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
