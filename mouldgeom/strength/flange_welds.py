"""The welds of the flanges: what the joints ask of the toe seam of each angle, bead by bead."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mouldgeom.design.bolting import OuterBox
from mouldgeom.fabrication.welds import Seam, seams
from mouldgeom.identity import Side
from mouldgeom.model.assembly import Mould
from mouldgeom.model.joints import FLANGE_TOES, WeldRole
from mouldgeom.rules import NewtonPerMm
from mouldgeom.rules.flanges import LOAD_FACTOR, Load
from mouldgeom.strength.nose_lid import Lid
from mouldgeom.strength.seats import weld_resistance
from mouldgeom.strength.steps import ResultTable, Step
from mouldgeom.units import Mm, Ratio, plain
from mouldgeom.verdict import Operator, Verdict

_WELD: Final = "EN 1993-1-8:2005 4.5.3.3, a fu/(sqrt 3 beta_w gamma_M2)"


@dataclass(frozen=True)
class FlangeWeld:
    """The toe seam of a flange: its load with the factor and its resistance, on each mm that is welded."""

    name: str
    load: Load
    lever: Mm
    leg: Mm
    share: Ratio
    force: NewtonPerMm
    resistance: NewtonPerMm

    @property
    def use(self) -> Ratio:
        """Force over resistance."""
        return self.force / self.resistance


def flange_welds(mould: Mould, lid: Lid) -> tuple[FlangeWeld, ...]:
    """The toe seam of every flange under the greatest load on its length; the heel, ground level, is not counted.

    Source: statics: pull along the panel, and the greater of the corner's moment and pull x gauge over the leg.
    """
    box, out = mould.dims.flanges, []
    for seam in seams(mould):
        if seam.role in FLANGE_TOES:
            out.append(_weld(mould, seam, _load(box, seam, lid)))
    return tuple(out)


def _load(box: OuterBox, seam: Seam, lid: Lid) -> Load:
    if seam.role is WeldRole.NOSE_FLANGE_TOE:
        return Load(lid.levered / 2 / seam.length, 0.0, 0.0)
    side, corner = seam.pieces[0].place[0], seam.role is WeldRole.CORNER_FLANGE_TOE
    row = box.corner(side is Side.FRONT) if corner else box.base(side)
    edges = (0.0, *row.pressed.lines, box.height) if corner else (row.low, row.high)
    loads = [row.pressed.load(low, high) for low, high in itertools.pairwise(edges)]
    return Load(max(load.pull for load in loads), max(load.shear for load in loads), max(load.moment for load in loads))


def _weld(mould: Mould, seam: Seam, load: Load) -> FlangeWeld:
    angle = mould.dims.stock.angle
    share = seam.welded / seam.length
    moment = max(load.moment, load.pull * angle.gauge_mm)
    force = LOAD_FACTOR * math.hypot(load.pull, moment / angle.leg_mm) / share
    name = f"{seam.name}: {seam.names[0]}"
    return FlangeWeld(name, load, angle.leg_mm, seam.leg, share, force, weld_resistance(mould, seam.leg))


def weld_step(weld: FlangeWeld) -> Step:
    """The most used seam."""
    return Step(
        f"{weld.name} (the most used): force on each mm of bead",
        "1.5 sqrt(V^2 + (M/leg)^2)/share",
        f"V {weld.load.pull:.2f} N/mm, M the greater of {weld.load.moment:.1f} N and V x gauge, leg "
        f"{plain(weld.lever, 1)} mm, welded {weld.share:.0%} of its length, fillet leg {plain(weld.leg, 1)} mm",
        weld.force,
        "N/mm",
        "statics",
    )


def weld_requirement(weld: FlangeWeld) -> Verdict:
    """That the most used seam holds."""
    title = "flanges: force on each mm of their welds"
    return Verdict("8.16", title, weld.force, weld.resistance, Operator.AT_MOST, "N/mm", weld.name, _WELD)


def weld_table(welds: Sequence[FlangeWeld]) -> ResultTable:
    """Every toe seam."""
    body = tuple((w.name, w.leg, w.share, w.force, w.resistance, w.use) for w in welds)
    head = ("seam", "fillet leg, mm", "share welded", "force, N/mm", "resistance, N/mm", "use")
    return ResultTable("Welds of the flanges", head, body, "On each mm of bead, load factor included.")
