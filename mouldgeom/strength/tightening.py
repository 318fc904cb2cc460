"""How hard the bolts of the mould are tightened, and what preload that gives, whatever the state of their threads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from mouldgeom import tables
from mouldgeom.model.assembly import Mould
from mouldgeom.rules import screw
from mouldgeom.strength.steps import ResultTable, Step
from mouldgeom.strength_classes import UNMARKED, StrengthClass, class_text, strength_class
from mouldgeom.units import Newton, NewtonMm, Ratio, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

PROOF_SHARE: Final[Ratio] = 0.9
"""Preload over proof load that the recommended torque gives an oiled thread, the most it can give (0.9 for joints that
stay, Shigley's Mechanical Engineering Design, ch. 8, from memory); as received it is three quarters of that."""
_SURFACES: Final[tuple[screw.Surface, ...]] = ("lubricated", "as received", "dry or rusty")
_SHIGLEY: Final = "Shigley's Mechanical Engineering Design, ch. 8"


def recommended_torque(bolt_class: str, bolt: tables.Bolt) -> NewtonMm:
    """Torque whose preload stays below the proof load on any surface, in whole newton metres, below 10 in halves.

    A class that bears no mark on the head gets the torque of an unmarked bolt: nobody can tell them apart.

    Raises:
        InputError: the bolt is not made in that class.

    Source: T = K F d, Shigley's Mechanical Engineering Design, ch. 8, with K of a lubricated thread.
    """
    named, weakest = strength_class(bolt_class, bolt), strength_class(UNMARKED, bolt)
    proof = named.proof_mpa if named.marked else weakest.proof_mpa
    force = screw.preload(proof, bolt.stress_area_mm2, PROOF_SHARE)
    exact = screw.bolt_torque(screw.usual_coefficient("lubricated"), force, bolt.diameter_mm)
    step = 1000.0 if exact >= 10_000 else 500.0
    return max(step * math.floor(exact / step), 500.0)


@dataclass(frozen=True)
class Tightness:
    """The bolts of a mould tightened with a torque, the recommended one if none is given."""

    mould: Mould
    given: NewtonMm | None = None

    @cached_property
    def strength(self) -> StrengthClass:
        """The strength class of the bolts."""
        return strength_class(self.mould.dims.spec.steel.bolt_class, self.mould.dims.stock.bolt)

    @cached_property
    def torque(self) -> NewtonMm:
        """The torque that is looked at."""
        return self.recommended if self.given is None else self.given

    @cached_property
    def recommended(self) -> NewtonMm:
        """The torque to tighten with."""
        return recommended_torque(self.strength.designation, self.mould.dims.stock.bolt)

    @cached_property
    def unmarked(self) -> NewtonMm:
        """The most for a bolt of the same thread that bears no mark on its head."""
        return recommended_torque(UNMARKED, self.mould.dims.stock.bolt)

    @cached_property
    def proof(self) -> Newton:
        """Proof load of one bolt."""
        return self.strength.proof_mpa * self.mould.dims.stock.bolt.stress_area_mm2

    @cached_property
    def preload(self) -> screw.Tightening:
        """Preload: least, as received, greatest."""
        return screw.tightening_over_surfaces(self.torque, self.mould.dims.stock.bolt.diameter_mm)

    @property
    def _class(self) -> str:
        return class_text(self.strength.designation)

    def requirement(self) -> Verdict:
        """That the greatest preload stays below the proof load."""
        return Verdict(
            "8.17",
            "bolts: greatest preload of the torque, thread oiled",
            self.preload.greatest,
            self.proof,
            Operator.AT_MOST,
            "N",
            Said(
                "every bolt, {designation}, {torque:.1f} N m",
                designation=self.mould.dims.stock.bolt.designation,
                torque=self.torque / 1000,
            ),
            f"{_SHIGLEY}, T = K F d; proof load of {self._class}: {self.strength.source}",
        )

    def steps(self, tension: Newton) -> tuple[Step, ...]:
        """The tightening; ``tension`` is the greatest of any bolt while the concrete is wet, no load factor."""
        dims, preload = self.mould.dims, self.preload
        bolt = dims.stock.bolt
        diameter, area = plain(bolt.diameter_mm, 2), plain(bolt.stress_area_mm2, 2)
        held = "stays closed" if preload.least >= tension else "may open"
        return (
            Step(
                "proof load of a bolt",
                "Fp = Sp As",
                f"{self._class}, {plain(self.strength.proof_mpa, 1)} MPa x {area} mm2",
                self.proof,
                "N",
                self.strength.source,
            ),
            Step(
                "torque to tighten with",
                "T = K 0.9 Fp d, rounded down",
                f"{self._class}: K {screw.usual_coefficient('lubricated'):g}, d {diameter} mm; a bolt without a mark "
                f"on its head gets {self.unmarked / 1000:.1f} N m at most",
                self.recommended / 1000,
                "N m",
                f"{_SHIGLEY} (0.9 from memory)",
            ),
            Step(
                "greatest preload, thread oiled",
                "T/(K d)",
                f"{self.torque / 1000:.1f} N m, K 0.15",
                preload.greatest,
                "N",
                f"{_SHIGLEY}; K: general bolt torque page",
            ),
            Step(
                "preload as received",
                "T/(K d)",
                f"K 0.20: {preload.intended / self.proof:.0%} of the proof load",
                preload.intended,
                "N",
                f"{_SHIGLEY}, 75 % for joints that are undone",
            ),
            Step("least preload, thread dry or rusty", "T/(K d)", "K 0.30", preload.least, "N", _SHIGLEY),
            Step(
                "least preload over the greatest tension in use, without the load factor",
                "Fi/Ft",
                f"{preload.least:.0f}/{tension:.0f} N: the joint {held} at the bolts",
                preload.least / max(tension, 1e-9),
                "-",
                "statics",
            ),
        )

    def table(self) -> ResultTable:
        """Preload by the state of the surfaces."""
        diameter = self.mould.dims.stock.bolt.diameter_mm
        body = []
        for surface in _SURFACES:
            factor = screw.usual_coefficient(surface)
            force = screw.tightening(self.torque, diameter, factor).intended
            body.append((surface, factor, force, force / self.proof))
        return ResultTable(
            Said("Preload at {torque:.1f} N m, {strength}", torque=self.torque / 1000, strength=self._class),
            ("surfaces", "K", "preload, N", "of the proof load"),
            tuple(body),
            "By feel, with a spanner as long as usual for the bolt, the scatter is greater still: use a torque wrench "
            "once to learn the feel.",
        )
