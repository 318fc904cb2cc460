"""What to do about each deviation: accept it, or shim, grind, re-drill or re-weld, by how much, and what it gains."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from mouldgeom.inspection.asbuilt import BuiltMould
from mouldgeom.inspection.critical import Critical
from mouldgeom.units import AnyUnit, Mm


class Cure(StrEnum):
    """Kinds of rework, the least work first."""

    ACCEPT = "accept"
    SHIM = "shim"
    GRIND = "grind"
    REDRILL = "re-drill"
    REWELD = "re-weld"
    CAST_AGAIN = "look into it"


@dataclass(frozen=True, slots=True)
class Deviation:
    """A measured value outside its limits, what it costs, and its cure.

    ``wall_gain`` is by how much the least wall grows when this alone is put right; ``matters`` says whether a result
    fails because of it.
    """

    item: Critical
    measured: AnyUnit
    wall_gain: Mm
    matters: bool
    cure: Cure
    advice: str

    @property
    def off(self) -> AnyUnit:
        """Distance from the nearer limit: above 0 too large, below 0 too small."""
        return self.measured - (self.item.high if self.measured > self.item.high else self.item.low)


_BIG: Final = "It only takes more concrete."


def deviations(built: BuiltMould) -> tuple[Deviation, ...]:
    """Every measured value outside its limits, those that matter first, then by what they cost the wall."""
    before = built.least_wall()[0]
    failing = {result.code for result in built.results if not result.holds}
    out = []
    for item in built.list:
        measured = built.measured.get(item.code)
        if measured is None or item.accepts(measured):
            continue
        other = built.without(item.code)
        gain = other.least_wall()[0] - before
        cured = {result.code for result in other.results if result.holds}
        matters = bool(failing & cured)
        cure, advice = _cure(item, measured, matters)
        if not matters and cure is not Cure.ACCEPT and not item.code.startswith(("joint-", "cast-")):
            cure, advice = Cure.ACCEPT, f"Every result holds with it. To put it right all the same: {advice}"
        out.append(Deviation(item, measured, gain, matters, cure, advice))
    return tuple(sorted(out, key=lambda d: (not d.matters, -round(d.wall_gain, 6), d.item.code)))


def _cure(item: Critical, measured: AnyUnit, matters: bool) -> tuple[Cure, str]:
    """Cure of one deviation, in words."""
    short, over = item.low - measured, measured - item.high
    for family, rule in _RULES.items():
        if item.code.startswith(family):
            return rule(short, over, matters)
    return Cure.ACCEPT, "Note it on the form."


def _plate(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    if short > 0:
        cure = Cure.REWELD if matters else Cure.ACCEPT
        return cure, f"The sheet is {short:.2f} mm too thin and bulges more: weld a stiffener into the widest field."
    return Cure.ACCEPT, "Thicker sheet is stiffer; the mould is heavier."


def _box_width(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    if short > 0:
        return Cure.REDRILL, (
            f"Slot the corner holes of front and back panel outwards by {short / 2:.1f} mm at each side at this "
            "height, clamp to the right width, tighten, and pin the row with one new hole."
        )
    return Cure.ACCEPT, f"{_BIG} Slot the corner holes inwards by {over / 2:.1f} mm if the weight counts."


def _box_depth(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    if short > 0:
        return Cure.SHIM, (
            f"Put strips of sheet, {short / 2:.1f} mm together, between corner flange and panel at front and at back, "
            "over the whole height, tacked to the flange."
        )
    return Cure.GRIND, f"{_BIG} Otherwise grind {over / 2:.1f} mm off the face of each corner flange."


def _diagonal(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    return Cure.REDRILL, (
        "Loosen the base bolts, push the box square until both diagonals agree, and tighten; open the base holes to "
        "the coarse size if they bind."
    )


def _box_height(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    if short > 0:
        return Cure.REWELD, f"Weld a strip {short:.1f} mm high on the top edge, flush inside, and grind it flat."
    return Cure.ACCEPT, "Mark the right height inside and fill to the mark."


def _bow(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    if over > 0:
        return Cure.REWELD, (
            f"Press the panel {over:.1f} mm outwards in its middle: cut the stiffener's welds there, press flat "
            "against a beam, weld again in short runs from the middle outwards."
        )
    return Cure.ACCEPT, _BIG


def _core_width(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    if over > 0:
        return Cure.REWELD, (
            f"Cut one corner seam of the core open, draw the walls together by {over:.1f} mm, weld, "
            "grind the seam flush."
        )
    return Cure.ACCEPT, "The cavity comes out smaller, the wall thicker: check that the diffuser still goes in."


def _core_height(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    if over > 0:
        return Cure.REWELD, f"Cut the end plate off, grind the walls down by {over:.1f} mm, weld it on again."
    return Cure.ACCEPT, "The floor comes out thicker; fill with that much less gravel."


def _ledge(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    return Cure.GRIND, (
        f"{'Grind the strips down by' if over > 0 else 'Accept, or lay weld on the edge and grind it flat:'} "
        f"{max(short, over):.1f} mm."
    )


def _nose(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    return Cure.REWELD, (
        f"Cut the tacks of the nose, set it {max(short, over):.1f} mm {'wider' if short > 0 else 'closer'}, weld "
        "again; the sides must open towards the panel."
    )


def _tube_hole(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    return Cure.REDRILL, (
        f"File the hole {max(short, over):.1f} mm {'away from' if short > 0 else 'towards'} the panel and close the "
        "other side with weld."
    )


def _gap(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    if short > 0:
        return Cure.REDRILL, (
            f"Slot the base holes and shift the box {short:.1f} mm away from the core on this side; if the other side "
            "then is too thin, the box or the core has the wrong width."
        )
    return Cure.REDRILL, f"Slot the base holes and shift the box {over / 2:.1f} mm towards the core on this side."


def _joint(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    return Cure.GRIND, (
        "Grind weld beads that hold the faces apart and tighten again; what then stays open is closed with a strip of "
        "sheet or clay from outside."
    )


def _floor(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    if short > 0:
        return Cure.REWELD, f"Weld a strip {short:.1f} mm high on the top edge of the panels."
    return Cure.ACCEPT, "Mark the right height inside and fill to the mark."


def _leg(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    if short > 0:
        return Cure.SHIM, f"Weld a plate of {short:.1f} mm or more between each leg and its cap; both legs alike."
    return Cure.ACCEPT, "Longer legs give more travel; check that the screw still reaches its nuts."


def _spread(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    return Cure.GRIND, f"Grind the notches of the base plate wider by {max(short, over) / 2:.1f} mm at each side."


def _cast(short: Mm, over: Mm, matters: bool) -> tuple[Cure, str]:
    return Cure.CAST_AGAIN, (
        "Compare with the gaps of the mould at the dry fit: if those were right, the core moved or a panel gave way "
        "while the concrete was placed. Tighten, fill all sides evenly, cast one more."
    )


_RULES: Final = {
    "plate-": _plate,
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
