"""What ``mouldgeom asbuilt`` prints: results as built, what deviates and its cure, as text and as one JSON document."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from mouldgeom.inspection.asbuilt import BuiltMould
from mouldgeom.inspection.cures import Mend
from mouldgeom.inspection.rework import Deviation, Plan, plan
from mouldgeom.units import AnyUnit, told_apart
from mouldgeom.verdict import Verdict, in_order
from mouldgeom.words import Said, Words

_WIDTH = 110


def built_text(built: BuiltMould) -> str:
    """The answer in the language of the papers, the verdict first."""
    results, words = built.results, Words(built.dims.spec.papers.language)
    failed = [result for result in results if not result.holds]
    lines = [built.dims.spec.title, words(_measured(built)), ""]
    if failed:
        told = "Do not accept it yet: {failed} of {results} results fail."
        lines.append(words(Said(told, failed=len(failed), results=len(results))))
    else:
        lines.append(words(Said("As measured, all {results} results hold.", results=len(results))))
    lines += [f"  {words(line)}" for line in _result_lines(results)]
    lines += ["", *_deviation_lines(plan(built), words)]
    lines.append(words("The tool advises: a trial cast and a leak test decide before the full payment."))
    return "\n".join(lines)


def _measured(built: BuiltMould) -> Said:
    told = "{measured} of {all} dimensions measured; the others count as designed"
    return Said(told, measured=len(built.measured), all=len(built.list))


def _result_lines(results: tuple[Verdict, ...]) -> Iterator[Said]:
    for r in sorted(results, key=lambda r: (r.holds, in_order(r.code))):
        provided, required = r.told(_hundredths)
        yield Said(
            "{verdict:5} {code:5} {title}: {provided} {sign} {required} {unit} ({where})",
            verdict="ok" if r.holds else "FAIL",
            code=r.code,
            title=r.title,
            provided=provided,
            sign=str(r.operator),
            required=required,
            unit=r.unit,
            where=r.where,
        )


def _hundredths(value: AnyUnit, more: int) -> Said:
    return Said(f"{{value:p{2 + more}}}", value=value)


def _deviation_lines(found: Plan, words: Words) -> Iterator[str]:
    matter = [d for d in found.deviations if d.matters]
    rest = [d for d in found.deviations if not d.matters]
    if not found.deviations:
        yield words("Nothing that was measured lies outside its limits.")
    if matter:
        yield words(Said("To be put right: {count}. {tried}", count=len(matter), tried=_tried(found)))
        yield from (line for d in matter for line in _deviation(d, words))
    elif found.still_failing:
        codes = ", ".join(found.still_failing)
        yield words(Said("As designed, {codes} fail already: change the specification.", codes=codes))
    if rest:
        outside = "Besides, outside their limits: {count}." if matter else "Outside their limits: {count}."
        yield words(Said(outside, count=len(rest)))
        yield from (line for d in rest for line in _deviation(d, words))


def _tried(found: Plan) -> str:
    """What came out when the cures were tried."""
    if found.still_failing:
        codes = ", ".join(found.still_failing)
        return Said("Tried on the measured values, that is not enough: {codes} still fail.", codes=codes)
    cures = {d.cure for d in found.deviations if d.matters}
    if cures == {Mend.CAST_AGAIN}:
        return "No rework undoes a cast."
    if Mend.MEASURE in cures:
        return "Tried as if what is measured again came out as designed: every result of the mould holds then."
    return "Tried on the measured values: when all of it is done, every result of the mould holds."


def _deviation(d: Deviation, words: Words) -> Iterator[str]:
    item = d.item
    inside = item.accepts(d.measured)

    def write(value: AnyUnit, more: int) -> Said:
        return Said(f"{{value:p{item.digits + more}}}", value=value)

    measured, low = told_apart(d.measured, item.low, inside or d.measured > item.low, write)
    other, high = told_apart(d.measured, item.high, inside or d.measured < item.high, write)
    told = "{code}: {shown} {unit}, within {low} to {high} {unit}" if inside else (
        "{code}: {shown} {unit}, wanted {low} to {high} {unit}"
    )  # fmt: skip
    line = Said(told, code=item.code, shown=max(measured, other, key=len), unit=item.unit, low=low, high=high)
    if d.wall_gain > 0.05:
        line = Said("{line}, {gain:.1f} mm more wall when put right", line=line, gain=d.wall_gain)
    yield f"  {words(line)}"
    yield from textwrap.wrap(
        words(Said("{cure}: {advice}", cure=str(d.cure), advice=d.advice)), _WIDTH,
        initial_indent="      ", subsequent_indent="      ", break_on_hyphens=False
    )  # fmt: skip


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
        "results": [r.record() for r in results],
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
