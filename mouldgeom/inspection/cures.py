"""The cure of each deviation by its kind: shim, grind, re-drill or re-weld, by how much, and what is measured then.

A cure aims at the nominal; ``rework`` tries it before it is named.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from mouldgeom.inspection.asbuilt import AXIS, BuiltMould
from mouldgeom.inspection.critical import Critical, Subject
from mouldgeom.units import AnyUnit, Mm
from mouldgeom.words import Said, joined


class Mend(StrEnum):
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

    cure: Mend
    advice: str
    done: Mapping[str, AnyUnit]
    centres: tuple[str, str] | None = None

    def changes(self, code: str) -> bool:
        """Whether it puts this dimension right too."""
        axis, place = self.centres or ("", "")
        gaps = [f"gap-{side}-{end}" for side in _sides(axis) for end in ("rim", "end") if place in ("rim", end)]
        return code in self.done or code in gaps


_BIG: Final = "It only takes more concrete."


def middle(built: BuiltMould, axis: str, place: str) -> Mm:
    """Gap at rim or end plate where the core stands in the middle of the box."""
    given = [built.measured[code] for code in gap_codes(axis, place) if code in built.measured]
    return sum(given) / 2 if len(given) == 2 else built.free(axis, place)


def _sides(axis: str) -> tuple[str, ...]:
    return tuple(side for side, (its, _) in AXIS.items() if its == axis)


def gap_codes(axis: str, place: str) -> tuple[str, ...]:
    """Codes of the two gaps across an axis at rim or end plate."""
    return tuple(f"gap-{side}-{place}" for side in _sides(axis))


DIAGONALS: Final = ("box-diagonal-one", "box-diagonal-other")


def rework_of(built: BuiltMould, item: Critical) -> Rework:
    """Cure of one deviation, in words and done."""
    for clash in built.disagreements():
        if item.code in clash.codes:
            return Rework(
                Mend.MEASURE, Said("{clash} Put none of them right before that.", clash=clash.line()),
                {code: built.drawn(code) for code in clash.codes if code in built.measured},
            )  # fmt: skip
    off = item.nominal - built.measured[item.code]
    return _RULES[item.subject](built, item, off)


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
            Mend.REPLACE, Said("The sheet is {off:.2f} mm thinner than drawn and bulges more: do not weld it, cut the "
            "plates from sheet of {nominal:g} mm.", off=off, nominal=item.nominal), {item.code: item.nominal},
        )  # fmt: skip
    return Rework(Mend.ACCEPT, "Thicker sheet is stiffer; the mould is heavier.", {})


def _base_plate(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    lack, code = _travel_lack(built), _travel_code(built)
    if lack > 0.005:
        way = (
            "It takes from the travel of the core: weld a plate of {lack:.1f} mm or more between each leg of the "
            "bridge and its cap; both legs alike."
            if built.dims.has_bridge
            else "It takes from the travel of the core: cut longer screws, or lock the nuts {lack:.1f} mm further out."
        )
        return Rework(
            Mend.SHIM, Said(way, lack=_tenths(lack)), {code: built.value(code) + _tenths(lack)}
        )  # fmt: skip
    if off < 0:
        return Rework(Mend.ACCEPT, "Thicker sheet is stiffer; the mould is heavier.", {})
    return Rework(Mend.ACCEPT, "Thinner plate bends more; the core travels further.", {})


def _strips(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    return Rework(Mend.ACCEPT, "The ledge comes out as wide as its strips are thick.", {})


def _box_width(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    half = _tenths(off / 2)
    if off > 0:
        return Rework(
            Mend.REDRILL, Said("Slot the corner holes of front and back panel outwards by {half:.1f} mm at each side "
            "at this height, clamp to the right width, tighten, and pin the row with one new hole.", half=half),
            _by(item, built, off, sides=2),
        )  # fmt: skip
    advice = "It only takes more concrete. Slot the corner holes inwards by {half:.1f} mm if the weight counts."
    return Rework(Mend.ACCEPT, Said(advice, half=half), {})


def _box_depth(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    half = _tenths(off / 2)
    if off > 0:
        return Rework(
            Mend.SHIM, Said("Lay packing {half:.1f} mm thick between corner flange and panel, at front and at back, at "
            "this height, running out to nothing where the depth is right, and tack it to the flange.", half=half),
            _by(item, built, off, sides=2),
        )  # fmt: skip
    advice = "It only takes more concrete. Otherwise grind {half:.1f} mm off the face of each corner flange."
    return Rework(Mend.ACCEPT, Said(advice, half=half), {})


def _diagonal(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    return Rework(
        Mend.REDRILL, "Loosen the base bolts, push the box square until both diagonals agree, and tighten; open the "
        "base holes to the coarse size if they bind.",
        {code: built.value(code) for code in DIAGONALS if code in built.measured},
    )  # fmt: skip


def _box_height(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off > 0:
        return Rework(
            Mend.REWELD, Said("Weld a strip {off:.1f} mm high on the top edge, flush inside, and grind it flat.",
                              off=_tenths(off)),
            _by(item, built, off),
        )  # fmt: skip
    return Rework(Mend.ACCEPT, "Mark the right height inside and fill to the mark.", {})


def _bow(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off < 0:
        return Rework(
            Mend.REWELD, Said("Press the panel {off:.1f} mm outwards in its middle: cut the stiffener's welds there, "
            "press flat against a beam, weld again in short runs from the middle outwards.", off=_tenths(off)),
            _by(item, built, off),
        )  # fmt: skip
    return Rework(Mend.ACCEPT, _BIG, {})


def _core_width(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    way = "draw the walls together by {off:.1f} mm, weld" if off < 0 else (
        "spread the walls by {off:.1f} mm, weld a strip into the gap"
    )  # fmt: skip
    return Rework(
        Mend.REWELD, Said("Cut one corner seam of the core open at this height, {way}, grind the seam flush.",
                          way=Said(way, off=_tenths(off))),
        _by(item, built, off),
    )  # fmt: skip


def _core_height(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off < 0:
        return Rework(
            Mend.REWELD, Said("Cut the end plate off, grind the walls down by {off:.1f} mm, weld it on again.",
                              off=_tenths(off)),
            _by(item, built, off),
        )  # fmt: skip
    return Rework(Mend.ACCEPT, "The floor comes out thicker; fill with that much less gravel.", {})


def _ledge(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    advice = "Grind the strips down by {off:.1f} mm." if off < 0 else (
        "Accept, or lay weld on the edge and grind it flat: {off:.1f} mm."
    )  # fmt: skip
    return Rework(Mend.GRIND, Said(advice, off=_tenths(off)), _by(item, built, off))


def _nose(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    words = {"nose-depth": ("deeper", "shallower"), "nose-lid-height": ("higher", "lower")}
    way = words.get(item.code, ("wider", "closer"))[off < 0]
    return Rework(
        Mend.REWELD, Said("Cut the tacks of the nose, set it {off:.1f} mm {way}, weld again; the sides must open "
        "towards the panel.", off=_tenths(off), way=way), _by(item, built, off),
    )  # fmt: skip


def _tube_hole(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    way = "away from the panel" if off > 0 else "towards the panel"
    return Rework(
        Mend.REDRILL,
        Said("File the hole {off:.1f} mm {way} and close the other side with weld.", off=_tenths(off), way=way),
        _by(item, built, off),
    )  # fmt: skip


def _gap(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    side, place = item.place
    axis = AXIS[side][0]
    aim = middle(built, axis, place)
    shift, pair = aim - built.measured[item.code], [c for c in gap_codes(axis, place) if c in built.measured]
    words, size = [], _tenths(shift)
    if size > 0 and place == "end" and any(code in built.measured for code in gap_codes(axis, "rim")):
        words.append(
            Said("The core leans {way}. Cut its seam to the base plate, wedge it until this gap has changed by "
            "{size:.1f} mm, weld again in short runs.",
            way="towards this side" if shift > 0 else "away from this side", size=size)
        )  # fmt: skip
    elif size > 0:
        way = "away from the core" if shift > 0 else "towards the core"
        words.append(
            Said("Slot the base holes and shift the box {size:.1f} mm {way} on this side.", size=size, way=way)
        )
    if len(pair) == 2 and aim < item.low:
        words.append(
            Said("Both gaps lack {lack:.1f} mm together: widen the box by as much here, as for its width, or draw the "
            "core together; measure both widths first.", lack=2 * (item.nominal - aim))
        )  # fmt: skip
        return Rework(Mend.REDRILL, joined(words, " "), {code: built.drawn(code) for code in pair}, (axis, place))
    return Rework(Mend.REDRILL, words[0], {}, (axis, place)) if words else Rework(Mend.ACCEPT, _BIG, {})


def _joint(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    return Rework(
        Mend.GRIND, "Grind weld beads that hold the faces apart and tighten again; what then stays open is closed "
        "with a strip of sheet or clay from outside.", {item.code: item.nominal},
    )  # fmt: skip


def _floor(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off > 0:
        strip = _tenths(off)
        raised = {code: built.measured[code] + strip for code in ("box-height",) if code in built.measured}
        return Rework(
            Mend.REWELD, Said("Weld a strip {strip:.1f} mm high on the top edge of the panels.", strip=strip),
            {**raised, item.code: built.measured[item.code] + strip},
        )  # fmt: skip
    return Rework(Mend.ACCEPT, "Mark the right height inside and fill to the mark.", {})


def _travel_code(built: BuiltMould) -> str:
    """The dimension that the core's travel goes by: legs of a bridge, or free threads of forcing screws."""
    return "leg-length" if built.dims.has_bridge else "free-thread"


def _travel_lack(built: BuiltMould) -> Mm:
    """What that dimension lacks for the drawn travel of the core, a thick base plate counted."""
    code, thick = _travel_code(built), max(0.0, built.value("plate-base") - built.drawn("plate-base"))
    return built.drawn(code) + thick - built.value(code)


def _pad_gap(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    return Rework(Mend.REPLACE, "Cut a new pad, of the size of its opening less the clearance.",
                  {item.code: item.nominal})  # fmt: skip


def _pad_flush(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off < 0:
        return Rework(Mend.GRIND, Said("Grind {off:.1f} mm off the back of the pad.", off=_tenths(off)),
                      {item.code: item.nominal})  # fmt: skip
    return Rework(Mend.SHIM, Said("Lay sheet of {off:.1f} mm under the pad.", off=_tenths(off)),
                  {item.code: item.nominal})  # fmt: skip


def _free_thread(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off > 0:
        lack = _travel_lack(built)
        return Rework(Mend.REPLACE, Said("Cut longer screws, or lock the nuts {off:.1f} mm further out.",
                                         off=_tenths(lack)), _by(item, built, lack))  # fmt: skip
    return Rework(Mend.ACCEPT, "A longer screw gives more travel.", {})


def _leg(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    if off > 0:
        lack = _travel_lack(built)
        return Rework(
            Mend.SHIM, Said("Weld a plate of {lack:.1f} mm or more between each leg and its cap; both legs alike.",
                            lack=_tenths(lack)),
            _by(item, built, lack),
        )  # fmt: skip
    return Rework(Mend.ACCEPT, "Longer legs give more travel; check that the screw still reaches its nuts.", {})


def _spread(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    """The notches go to the legs: then these stand in their middle, as if they were where they are drawn."""
    return Rework(
        Mend.GRIND, Said("Grind each notch of the base plate {off:.1f} mm wider on its {way}.", off=_tenths(off / 2),
                         way="inner side" if off > 0 else "outer side"), {item.code: item.nominal},
    )  # fmt: skip


def _cast(built: BuiltMould, item: Critical, off: Mm) -> Rework:
    return Rework(
        Mend.CAST_AGAIN, "Compare with the gaps of the mould at the dry fit: if those were right, the core moved or a "
        "panel gave way while the concrete was placed. Tighten, fill all sides evenly, cast one more.", {},
    )  # fmt: skip


_RULES: Final[dict[Subject, _Rule]] = {
    Subject.SHELL: _shell,
    Subject.BASE_SHEET: _base_plate,
    Subject.LEDGE_SHEET: _strips,
    Subject.BOX_WIDTH: _box_width,
    Subject.BOX_DEPTH: _box_depth,
    Subject.BOX_DIAGONAL: _diagonal,
    Subject.BOX_HEIGHT: _box_height,
    Subject.BOW: _bow,
    Subject.CORE_WIDTH: _core_width,
    Subject.CORE_DEPTH: _core_width,
    Subject.CORE_HEIGHT: _core_height,
    Subject.LEDGE_HEIGHT: _ledge,
    Subject.NOSE: _nose,
    Subject.TUBE_HOLE: _tube_hole,
    Subject.GAP: _gap,
    Subject.JOINT: _joint,
    Subject.FLOOR: _floor,
    Subject.LEG_LENGTH: _leg,
    Subject.LEG_SPREAD: _spread,
    Subject.PAD_GAP: _pad_gap,
    Subject.PAD_FLUSH: _pad_flush,
    Subject.FREE_THREAD: _free_thread,
    Subject.CAST: _cast,
}
"""Cures by what is measured."""
