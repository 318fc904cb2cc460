"""What to do about each deviation: accept it, or shim, grind, re-drill or re-weld, by how much, and what it gains.

A cure aims at the nominal, and it is tried before it is named: what was measured is changed as the cure says, what
follows from it goes along, and the results are worked out again.  Named are all deviations that have to be put right
together so that every result holds, also those within their limits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from mouldgeom.inspection.asbuilt import AXIS, BuiltMould
from mouldgeom.inspection.critical import Critical
from mouldgeom.units import AnyUnit, Mm


class Cure(StrEnum):
    """Kinds of rework, the least work first."""

    ACCEPT = "accept"
    MEASURE = "measure again"
    SHIM = "shim"
    GRIND = "grind"
    REDRILL = "re-drill"
    REWELD = "re-weld"
    REPLACE = "replace"
    CAST_AGAIN = "look into it"


@dataclass(frozen=True, slots=True)
class Rework:
    """A cure in words, and what it changes; nothing where it is left as it is.

    Args:
        done: what will be measured when it has been done, by code.
        centres: axis and place, "rim" or "end", at which the core then stands in the middle of the box.
    """

    cure: Cure
    advice: str
    done: Mapping[str, AnyUnit]
    centres: tuple[str, str] | None = None

    def changes(self, code: str) -> bool:
        """Whether it puts this dimension right too."""
        axis, place = self.centres or ("", "")
        gaps = [f"gap-{side}-{end}" for side in _sides(axis) for end in ("rim", "end") if place in ("rim", end)]
        return code in self.done or code in gaps


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
    cure: Cure
    advice: str


@dataclass(frozen=True)
class Plan:
    """Every deviation that matters or lies outside its limits, and codes of the results that fail though all is done.

    A filter that was cast fails until one more is cast: its results are not tried.
    """

    deviations: tuple[Deviation, ...]
    still_failing: tuple[str, ...]


_BIG: Final = "It only takes more concrete."
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
        cast = item.code.startswith("cast-") and _cast_fails(built, item.code)
        matters = item.code in chosen or cast or (twin != item.code and not item.accepts(measured))
        if item.accepts(measured) and not matters:
            continue
        work = works.get(item.code) or _rework(built, item)
        if item.code not in chosen and twin != item.code and work.cure is not Cure.MEASURE:
            work = Rework(works[twin].cure, f"With {twin}: the same work puts it right.", {})
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
        return Rework(Cure.MEASURE, "It comes right with what is put right.", {})
    if work.cure is Cure.ACCEPT or item.code.startswith(("joint-", "cast-")):
        return work
    return Rework(Cure.ACCEPT, f"Every result holds with it. To put it right all the same: {work.advice}", {})


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
            work = _rework(built, item)
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
        return not item.accepts(measured), not code.endswith("-end"), code not in _FOLLOWS, *last

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
    if changed.keys() & set(_DIAGONALS):  # pushed square, whatever the widths have become
        square = dict(zip(_DIAGONALS, after.diagonals(0.0), strict=True))
        moved |= {code: square[code] for code in _DIAGONALS if code in built.measured}
    after = built.with_measured({**after.measured, **moved})
    for axis, place in sorted({work.centres for work in works.values() if work.centres}, reverse=True):
        after = after.with_measured({**after.measured, **_centred(after, axis, place)})  # the rim first
    return after


def _centred(built: BuiltMould, axis: str, place: str) -> dict[str, AnyUnit]:
    """Measured gaps when the box has been shifted so that the core stands in its middle; a lean stays."""
    pair = [code for code in _gap_codes(axis, place) if code in built.measured]
    aim = _middle(built, axis, place)
    out = dict.fromkeys(pair, aim)
    if place == "rim":
        shift, first = aim - built.measured[pair[0]], pair[0].removesuffix("rim")
        for code in _gap_codes(axis, "end"):
            if code in built.measured:
                out[code] = built.measured[code] + (shift if code.startswith(first) else -shift)
    return out


def _middle(built: BuiltMould, axis: str, place: str) -> Mm:
    """Gap at rim or end plate where the core stands in the middle of the box."""
    given = [built.measured[code] for code in _gap_codes(axis, place) if code in built.measured]
    return sum(given) / 2 if len(given) == 2 else built.free(axis, place)


def _sides(axis: str) -> tuple[str, ...]:
    return tuple(side for side, (its, _) in AXIS.items() if its == axis)


def _gap_codes(axis: str, place: str) -> tuple[str, ...]:
    return tuple(f"gap-{side}-{place}" for side in _sides(axis))


_DIAGONALS: Final = ("box-diagonal-one", "box-diagonal-other")
_FOLLOWS: Final = (*(f"gap-{side}-{place}" for side in AXIS for place in ("rim", "end")), "floor", *_DIAGONALS)
"""Codes of what follows from box and core."""


def _following(built: BuiltMould, leaning: BuiltMould) -> dict[str, AnyUnit]:
    """What box and core give for each of ``_FOLLOWS``, the box as far out of square as another."""
    gaps = {f"gap-{side}-{place}": built.free(axis, place) for side, (axis, _) in AXIS.items()
            for place in ("rim", "end")}  # fmt: skip
    floor = built.value("box-height") - built.value("core-height")
    return {**gaps, "floor": floor, **dict(zip(_DIAGONALS, built.diagonals(leaning.lean), strict=True))}


def _cast_fails(built: BuiltMould, code: str) -> bool:
    """Whether a result of the filter that was cast fails by this dimension of it."""
    alone = {name: value for name, value in built.measured.items() if name == code or not name.startswith("cast-")}
    return any(not r.holds for r in built.with_measured(alone).results if r.code in _CAST)


# ---------------------------------------------------------------- cures by kind


def _rework(built: BuiltMould, item: Critical) -> Rework:
    """Cure of one deviation, in words and done."""
    for clash in built.disagreements():
        if item.code in clash.codes:
            return Rework(
                Cure.MEASURE, f"{clash.line()} Put none of them right before that.",
                {code: built.drawn(code) for code in clash.codes if code in built.measured},
            )  # fmt: skip
    off = item.nominal - built.measured[item.code]
    return next(rule for family, rule in _RULES.items() if item.code.startswith(family))(built, item, off)


def _tenths(off: Mm) -> Mm:
    """How much to take off or add, in tenths of a millimetre, rounded up."""
    return math.ceil((abs(off) - 0.005) * 10) / 10


def _by(item: Critical, built: BuiltMould, off: Mm, sides: int = 1) -> Mapping[str, AnyUnit]:
    """A dimension when ``off`` has been added to it, or taken off, by the same tenths at each of its sides."""
    return {item.code: round(built.measured[item.code] + math.copysign(sides * _tenths(off / sides), off), 6)}


_Rule = Callable[[BuiltMould, Critical, Mm], Rework]
"""Takes what has to be added to come to the nominal; below 0: taken off."""


def _shell(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off > 0:
        return Rework(
            Cure.REPLACE, f"The sheet is {off:.2f} mm thinner than drawn and bulges more: do not weld it, cut the "
            f"plates from sheet of {item.nominal:g} mm.", {item.code: item.nominal},
        )  # fmt: skip
    return Rework(Cure.ACCEPT, "Thicker sheet is stiffer; the mould is heavier.", {})


def _base_plate(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    lack = _leg_lack(built)
    if lack > 0.005:
        return Rework(
            Cure.SHIM, f"It takes from the travel of the core: weld a plate of {_tenths(lack):.1f} mm or more between "
            "each leg of the bridge and its cap; both legs alike.",
            {"leg-length": built.value("leg-length") + _tenths(lack)},
        )  # fmt: skip
    return Rework(Cure.ACCEPT, "Thinner plate bends more; the core travels further.", {})


def _strips(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    return Rework(Cure.ACCEPT, "The ledge comes out as wide as its strips are thick.", {})


def _box_width(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    half = _tenths(off / 2)
    if off > 0:
        return Rework(
            Cure.REDRILL, f"Slot the corner holes of front and back panel outwards by {half:.1f} mm at each side at "
            "this height, clamp to the right width, tighten, and pin the row with one new hole.",
            _by(item, built, off, sides=2),
        )  # fmt: skip
    return Rework(Cure.ACCEPT, f"{_BIG} Slot the corner holes inwards by {half:.1f} mm if the weight counts.", {})


def _box_depth(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    half = _tenths(off / 2)
    if off > 0:
        return Rework(
            Cure.SHIM, f"Lay packing {half:.1f} mm thick between corner flange and panel, at front and at back, at "
            "this height, running out to nothing where the depth is right, and tack it to the flange.",
            _by(item, built, off, sides=2),
        )  # fmt: skip
    return Rework(Cure.ACCEPT, f"{_BIG} Otherwise grind {half:.1f} mm off the face of each corner flange.", {})


def _diagonal(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    return Rework(
        Cure.REDRILL, "Loosen the base bolts, push the box square until both diagonals agree, and tighten; open the "
        "base holes to the coarse size if they bind.",
        {code: built.value(code) for code in _DIAGONALS if code in built.measured},
    )  # fmt: skip


def _box_height(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off > 0:
        return Rework(
            Cure.REWELD, f"Weld a strip {_tenths(off):.1f} mm high on the top edge, flush inside, and grind it flat.",
            _by(item, built, off),
        )  # fmt: skip
    return Rework(Cure.ACCEPT, "Mark the right height inside and fill to the mark.", {})


def _bow(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off < 0:
        return Rework(
            Cure.REWELD, f"Press the panel {_tenths(off):.1f} mm outwards in its middle: cut the stiffener's welds "
            "there, press flat against a beam, weld again in short runs from the middle outwards.",
            _by(item, built, off),
        )  # fmt: skip
    return Rework(Cure.ACCEPT, _BIG, {})


def _core_width(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    way = f"draw the walls together by {_tenths(off):.1f} mm, weld" if off < 0 else (
        f"spread the walls by {_tenths(off):.1f} mm, weld a strip into the gap"
    )  # fmt: skip
    return Rework(
        Cure.REWELD, f"Cut one corner seam of the core open at this height, {way}, grind the seam flush.",
        _by(item, built, off),
    )  # fmt: skip


def _core_height(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off < 0:
        return Rework(
            Cure.REWELD, f"Cut the end plate off, grind the walls down by {_tenths(off):.1f} mm, weld it on again.",
            _by(item, built, off),
        )  # fmt: skip
    return Rework(Cure.ACCEPT, "The floor comes out thicker; fill with that much less gravel.", {})


def _ledge(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    way = "Grind the strips down by" if off < 0 else "Accept, or lay weld on the edge and grind it flat:"
    return Rework(Cure.GRIND, f"{way} {_tenths(off):.1f} mm.", _by(item, built, off))


def _nose(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    words = {"nose-depth": ("deeper", "shallower"), "nose-lid-height": ("higher", "lower")}
    way = words.get(item.code, ("wider", "closer"))[off < 0]
    return Rework(
        Cure.REWELD, f"Cut the tacks of the nose, set it {_tenths(off):.1f} mm {way}, weld again; the sides must open "
        "towards the panel.", _by(item, built, off),
    )  # fmt: skip


def _tube_hole(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    way = "away from" if off > 0 else "towards"
    return Rework(
        Cure.REDRILL, f"File the hole {_tenths(off):.1f} mm {way} the panel and close the other side with weld.",
        _by(item, built, off),
    )  # fmt: skip


def _gap(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    _, side, place = item.code.split("-")
    axis = AXIS[side][0]
    aim = _middle(built, axis, place)
    shift, pair = aim - built.measured[item.code], [c for c in _gap_codes(axis, place) if c in built.measured]
    words, size = [], _tenths(shift)
    if size > 0 and place == "end" and any(code in built.measured for code in _gap_codes(axis, "rim")):
        words.append(
            f"The core leans {'towards' if shift > 0 else 'away from'} this side. Cut its seam to the base plate, "
            f"wedge it until this gap has changed by {size:.1f} mm, weld again in short runs."
        )
    elif size > 0:
        words.append(
            f"Slot the base holes and shift the box {size:.1f} mm {'away from' if shift > 0 else 'towards'} the core "
            "on this side."
        )
    if len(pair) == 2 and aim < item.low:
        words.append(
            f"Both gaps lack {2 * (item.nominal - aim):.1f} mm together: widen the box by as much here, as for its "
            "width, or draw the core together; measure both widths first."
        )
        return Rework(Cure.REDRILL, " ".join(words), {code: built.drawn(code) for code in pair}, (axis, place))
    return Rework(Cure.REDRILL, words[0], {}, (axis, place)) if words else Rework(Cure.ACCEPT, _BIG, {})


def _joint(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    return Rework(
        Cure.GRIND, "Grind weld beads that hold the faces apart and tighten again; what then stays open is closed "
        "with a strip of sheet or clay from outside.", {item.code: item.nominal},
    )  # fmt: skip


def _floor(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off > 0:
        strip = _tenths(off)
        raised = {code: built.measured[code] + strip for code in ("box-height",) if code in built.measured}
        return Rework(
            Cure.REWELD, f"Weld a strip {strip:.1f} mm high on the top edge of the panels.",
            {**raised, item.code: built.measured[item.code] + strip},
        )  # fmt: skip
    return Rework(Cure.ACCEPT, "Mark the right height inside and fill to the mark.", {})


def _leg_lack(built: BuiltMould) -> Mm:
    """What the legs of the bridge lack for the drawn travel of the core, a thick base plate counted."""
    thick = max(0.0, built.value("plate-base") - built.drawn("plate-base"))
    return built.drawn("leg-length") + thick - built.value("leg-length")


def _leg(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off > 0:
        lack = _leg_lack(built)
        return Rework(
            Cure.SHIM, f"Weld a plate of {_tenths(lack):.1f} mm or more between each leg and its cap; both legs alike.",
            _by(item, built, lack),
        )  # fmt: skip
    return Rework(Cure.ACCEPT, "Longer legs give more travel; check that the screw still reaches its nuts.", {})


def _spread(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    """The notches go to the legs: then these stand in their middle, as if they were where they are drawn."""
    return Rework(
        Cure.GRIND, f"Grind each notch of the base plate {_tenths(off / 2):.1f} mm wider on its "
        f"{'inner' if off > 0 else 'outer'} side.", {item.code: item.nominal},
    )  # fmt: skip


def _cast(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    return Rework(
        Cure.CAST_AGAIN, "Compare with the gaps of the mould at the dry fit: if those were right, the core moved or a "
        "panel gave way while the concrete was placed. Tighten, fill all sides evenly, cast one more.", {},
    )  # fmt: skip


_RULES: Final[dict[str, _Rule]] = {
    "plate-shell": _shell,
    "plate-base": _base_plate,
    "plate-ledge": _strips,
    "box-width": _box_width,
    "box-depth": _box_depth,
    "box-diagonal": _diagonal,
    "box-height": _box_height,
    "bow-": _bow,
    "core-width": _core_width,
    "core-depth": _core_width,
    "core-height": _core_height,
    "ledge-height": _ledge,
    "nose-": _nose,
    "tube-hole": _tube_hole,
    "gap-": _gap,
    "joint-": _joint,
    "floor": _floor,
    "leg-length": _leg,
    "leg-spread": _spread,
    "cast-": _cast,
}
"""Cures by the beginnings of the codes."""
