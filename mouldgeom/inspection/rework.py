"""What to do about each deviation: accept it, or shim, grind, re-drill or re-weld, by how much, and what it gains.

A cure aims at the nominal, and it is tried before it is named: what was measured is changed as the cure says, what
follows from it goes along, and the results are worked out again.  Named are all deviations that have to be put right
together so that every result holds, also those within their limits.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from mouldgeom.inspection.asbuilt import AXIS, BuiltMould
from mouldgeom.inspection.critical import Critical, Subject
from mouldgeom.inspection.cures import DIAGONALS, Mend, Rework, gap_codes, middle, rework_of
from mouldgeom.units import AnyUnit, Mm
from mouldgeom.words import Said


@dataclass(frozen=True, slots=True)
class Deviation:
    """A measured value off its nominal, what it costs, and its cure.

    ``wall_gain`` is by how much the least wall grows when this alone is put right; ``matters`` says whether it has to
    be put right, alone or with others, for every result to hold.
    """

    item: Critical
    measured: AnyUnit
    wall_gain: Mm
    matters: bool
    cure: Mend
    advice: str


@dataclass(frozen=True)
class Plan:
    """Every deviation that matters or lies outside its limits, and codes of the results that fail though all is done.

    A filter that was cast fails until one more is cast: its results are not tried.
    """

    deviations: tuple[Deviation, ...]
    still_failing: tuple[str, ...]


_CAST: Final = ("12.9", "12.10", "12.11", "12.12")
"""Results of the filter that was cast: no rework of the mould changes that one."""


def plan(built: BuiltMould) -> Plan:
    """Everything to be put right, tried, and what else lies outside its limits; what matters first, then by gain."""
    works = _works(built)
    chosen, left = _needed(built, works)
    before, after = built.least_wall()[0], done(built, {code: works[code] for code in chosen})
    out = []
    for item in built.list:
        measured = built.measured.get(item.code)
        if measured is None:
            continue
        twin = next((code for code in sorted(chosen) if works[code].changes(item.code)), item.code)
        cast = item.subject is Subject.CAST and _cast_fails(built, item.code)
        matters = item.code in chosen or cast or (twin != item.code and not item.accepts(measured))
        if item.accepts(measured) and not matters:
            continue
        work = works.get(item.code) or rework_of(built, item)
        if item.code not in chosen and twin != item.code and work.cure is not Mend.MEASURE:
            work = Rework(works[twin].cure, Said("With {twin}: the same work puts it right.", twin=twin), {})
        elif not matters:
            work = _left(item, work, after)
        gain = built.without(item.code).least_wall()[0] - before
        out.append(Deviation(item, measured, gain, matters, work.cure, work.advice))

    def order(d: Deviation) -> tuple[bool, bool, Mm, str]:
        return not d.matters, d.item.code not in chosen, -round(d.wall_gain, 6), d.item.code

    return Plan(tuple(sorted(out, key=order)), left)


def _left(item: Critical, work: Rework, after: BuiltMould) -> Rework:
    """What is said of a deviation that makes no result fail once the others are put right."""
    if item.accepts(after.measured[item.code]):
        return Rework(Mend.MEASURE, "It comes right with what is put right.", {})
    if work.cure is Mend.ACCEPT or item.subject in (Subject.JOINT, Subject.CAST):
        return work
    advice = Said("Every result holds with it. To put it right all the same: {advice}", advice=work.advice)
    return Rework(Mend.ACCEPT, advice, {})


# ---------------------------------------------------------------- which are needed, and the trial


def _works(built: BuiltMould) -> dict[str, Rework]:
    """Rework of every measured dimension that is off its nominal, and of what is off once that has been done.

    A core that leans may have its gap right at one end: shifting the box for the other end puts that one out.
    """
    found = _off(built)
    moved = {code: work for code, work in _off(done(built, found)).items() if code not in found}
    return found | moved


def _off(built: BuiltMould) -> dict[str, Rework]:
    """Rework of every measured dimension that is off its nominal by more than is written, where there is any."""
    found = {}
    for item in built.list:
        measured = built.measured.get(item.code)
        if measured is not None and abs(measured - item.nominal) > 0.5 * 10.0**-item.digits:
            work = rework_of(built, item)
            if work.done or work.centres:
                found[item.code] = work
    return found


def _needed(built: BuiltMould, works: Mapping[str, Rework]) -> tuple[frozenset[str], tuple[str, ...]]:
    """Codes that have to be put right together, none of them for nothing; and results that fail all the same.

    Those fail as drawn, or nothing that was measured cures them.
    """
    drawn = _failing(built.with_measured({}))

    def failing(measured: BuiltMould) -> tuple[str, ...]:
        return tuple(code for code in _failing(measured) if code not in drawn)

    if not failing(built):
        return frozenset(), drawn
    left = failing(done(built, works))
    if left:
        return frozenset(works), (*drawn, *left)
    gains = {code: built.without(code).least_wall()[0] for code in works}
    items = {item.code: item for item in built.list}

    def order(code: str) -> tuple[bool, bool, bool, Mm, Mm, str]:
        """First those that one had rather leave: within limits, what follows from others, of little effect, too big."""
        item, measured = items[code], built.measured[code]
        last = (round(gains[code], 6), item.nominal - measured, code)
        return not item.accepts(measured), "end" not in item.place, code not in _FOLLOWS, *last

    chosen = dict(works)
    for code in sorted(works, key=order):
        fewer = {other: work for other, work in chosen.items() if other != code}
        if not failing(done(built, fewer)):
            chosen = fewer
    return frozenset(chosen), drawn


def _failing(built: BuiltMould) -> tuple[str, ...]:
    return tuple(r.code for r in built.results if not r.holds and r.code not in _CAST)


def done(built: BuiltMould, works: Mapping[str, Rework]) -> BuiltMould:
    """The mould as it will be measured when all of this has been done, what follows from it gone along."""
    changed: dict[str, AnyUnit] = {}
    for work in works.values():
        changed |= work.done
    after = built.with_measured({**built.measured, **changed})
    before, now = _following(built, built), _following(after, built)
    moved = {code: built.measured[code] + now[code] - before[code] for code in _FOLLOWS
             if code in built.measured and code not in changed}  # fmt: skip
    if changed.keys() & set(DIAGONALS):  # pushed square, whatever the widths have become
        square = dict(zip(DIAGONALS, after.diagonals(0.0), strict=True))
        moved |= {code: square[code] for code in DIAGONALS if code in built.measured}
    after = built.with_measured({**after.measured, **moved})
    for axis, place in sorted({work.centres for work in works.values() if work.centres}, reverse=True):
        after = after.with_measured({**after.measured, **_centred(after, axis, place)})  # the rim first
    return after


def _centred(built: BuiltMould, axis: str, place: str) -> dict[str, AnyUnit]:
    """Measured gaps when the box has been shifted so that the core stands in its middle; a lean stays."""
    pair = [code for code in gap_codes(axis, place) if code in built.measured]
    aim = middle(built, axis, place)
    out = dict.fromkeys(pair, aim)
    if place == "rim":
        shift = aim - built.measured[pair[0]]
        for code, above in zip(gap_codes(axis, "end"), gap_codes(axis, "rim"), strict=True):
            if code in built.measured:
                out[code] = built.measured[code] + (shift if above == pair[0] else -shift)
    return out


_FOLLOWS: Final = (*(f"gap-{side}-{place}" for side in AXIS for place in ("rim", "end")), "floor", *DIAGONALS)
"""Codes of what follows from box and core."""


def _following(built: BuiltMould, leaning: BuiltMould) -> dict[str, AnyUnit]:
    """What box and core give for each of ``_FOLLOWS``, the box as far out of square as another."""
    gaps = {f"gap-{side}-{place}": built.free(axis, place) for side, (axis, _) in AXIS.items()
            for place in ("rim", "end")}  # fmt: skip
    floor = built.value("box-height") - built.value("core-height")
    return {**gaps, "floor": floor, **dict(zip(DIAGONALS, built.diagonals(leaning.lean), strict=True))}


def _cast_fails(built: BuiltMould, code: str) -> bool:
    """Whether a result of the filter that was cast fails by this dimension of it."""
    others = {item.code for item in built.list if item.subject is Subject.CAST} - {code}
    alone = {name: value for name, value in built.measured.items() if name not in others}
    return any(not r.holds for r in built.with_measured(alone).results if r.code in _CAST)
