"""The nose lid under the concrete that rises against it: its uplift, its two bolts, its bending and its flanges."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from mouldgeom.identity import Role, RowRole
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Plate
from mouldgeom.rules.flanges import LOAD_FACTOR, BoltUse, Load
from mouldgeom.units import Mm, Mm2, Mm3, Mpa, Newton, NewtonMm, Ratio

_NEAR: Final[Mm] = 1.0
"""Least lever that is reckoned with, so that a bolt at the very edge gives a large force and not none."""


@dataclass(frozen=True)
class Lid:
    """What holds the nose lid down, and how far it is used.

    Args:
        uplift: pressure times area, no load factor; ``levered``: the two bolts together, the lid prised up about the
            edge that it tips on, no load factor.
        centre, bolt: of the pressed area and the bolts, from the panel outwards; ``reach`` of the pressed area.
        span: from bolt to bolt; ``modulus`` and ``stress`` of the lid across the tube's hole, load factor included.
        use: of one bolt and its flange, ``lift``: of the lid's free edge at the panel.
    """

    pressure: Mpa
    area: Mm2
    uplift: Newton
    levered: Newton
    centre: Mm
    bolt: Mm
    reach: Mm
    span: Mm
    flange: Mm
    moment: NewtonMm
    modulus: Mm3
    stress: Mpa
    stress_use: Ratio
    use: BoltUse
    lift: Mm

    @property
    def greatest(self) -> tuple[Ratio, str]:
        """The most used part, and which one it is."""
        use = self.use
        parts = (
            (max(use.tension_use, use.interaction), "bolts"),
            (use.punching, "sheet under the bolts' heads"),
            (use.flange, "flanges"),
            (use.sheet, "lid at the bolts"),
            (self.stress_use, "lid between the bolts"),
        )
        return max(parts)


def lid_of(mould: Mould) -> Lid:
    """Work out the nose lid of a mould.

    The pressed area is a trapezoid from panel to tip; the tube's hole is counted as pressed.  Where the middle of the
    pressed area lies nearer to the panel than the bolts, the lid tips on the top edge of the nose's front; else on
    its edge at the panel.  Between the bolts it is a beam across the nose.

    Source: statics; beam theory, even load over part of a span; EN 1993-1-8:2005 for bolts and flanges (``flanges``).
    """
    dims, nose = mould.dims, mould.dims.nose
    steel, joint = dims.stock.steel, dims.flanges.joints[0]
    reach = nose.root_y - nose.tip_y
    area = (nose.root_half + nose.tip_half) * reach
    pressure = dims.pressure_at(nose.lid_z)
    uplift = pressure * area
    centre = reach / 3 * (nose.root_half + 2 * nose.tip_half) / (nose.root_half + nose.tip_half)
    points = [point for row in mould.rows if row.id.role is RowRole.LID for point in row.points]
    span = max(x for x, _, _ in points) - min(x for x, _, _ in points)
    bolt = nose.root_y - points[0][1]
    if centre < bolt:
        levered = uplift * (reach - centre) / max(reach - bolt, _NEAR) if bolt < reach else uplift
    else:
        levered = uplift * centre / max(bolt, _NEAR)
    plate = mould.piece(Role.NOSE_LID).part
    assert isinstance(plate, Plate)
    _, y0, _, y1 = plate.outline.bounds
    deep = y1 - y0 - max(hole.diameter for hole in plate.holes)
    flange = next(bar.length for bar in mould.bars if bar.stands[0].id.role is Role.NOSE_FLANGE)
    wide = nose.root_half + nose.tip_half
    moment = LOAD_FACTOR * levered / 8 * (2 * span - wide)
    modulus = deep * dims.shell**2 / 6
    inertia = deep * dims.shell**3 / 12
    load = Load(levered / 2 / flange, 0.0, levered * wide / 12 / 2 / flange)
    return Lid(
        pressure,
        area,
        uplift,
        levered,
        centre,
        bolt,
        reach,
        span,
        flange,
        moment,
        modulus,
        moment / modulus,
        moment / modulus / steel.yield_mpa,
        joint.bolt_use(load, flange),
        5 * levered * span**3 / (384 * steel.elastic_modulus_mpa * inertia),
    )
