"""Check 2.3: at one seam the gap of the drawing and the gap that the pressure opens add up, and paste runs out of both.

Seams are those that are taken apart: panel on panel along the corner bolts, panel on base plate, lid on nose.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from mouldgeom.checks.backing import surface_points
from mouldgeom.checks.case import Case
from mouldgeom.checks.measure import Array, distance
from mouldgeom.identity import RowRole, Side
from mouldgeom.model.sides import OUTWARDS
from mouldgeom.spec.fields import JointSeal
from mouldgeom.strength.bolt_rows import rows_of
from mouldgeom.strength.nose_lid import lid_of
from mouldgeom.units import Mm
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

BRIDGED: Final[dict[JointSeal, Mm]] = {JointSeal.NONE: 0.0, JointSeal.TAPE: 3.0, JointSeal.CLAY: 5.0}
"""Widest gap across which a seal keeps the paste in, tamping included: own rule."""
_BESIDE: Final = 3.0
"""What lies within so many allowed leaks of a seam belongs to it."""


@dataclass(frozen=True, slots=True)
class SeamGap:
    """A seam that is taken apart: the gap that the solids have there, what the pressure adds, and its length."""

    name: str
    drawn: Mm
    pressed: Mm
    length: Mm

    @property
    def total(self) -> Mm:
        """Both together."""
        return self.drawn + self.pressed


def seam_gaps(case: Case) -> tuple[SeamGap, ...]:
    """Every seam that is taken apart, its widest gaps of both kinds."""
    dims = case.dims
    points, _, _ = surface_points(case)
    seams = list(_seams(case, points))
    near = np.any([beside for _, beside, _, _ in seams], axis=0)
    away = np.zeros(len(points))
    steel = case.faces_of(piece.id for piece in case.concrete_plates)
    away[near], _ = distance(points[near], steel, reach=10 * dims.spec.shop.allowed_leak)
    return tuple(
        SeamGap(name, 2 * float(away[beside].max(initial=0.0)), pressed, length)
        for name, beside, pressed, length in seams
    )


def _seams(case: Case, points: Array) -> Iterator[tuple[str, np.ndarray, Mm, Mm]]:
    """Label, which points lie beside it, what the pressure opens, and length."""
    dims, nose = case.dims, case.dims.nose
    x, y, z = points.T
    reach = _BESIDE * dims.spec.shop.allowed_leak
    low = np.abs(z) < reach
    beside = {
        Side(side): np.abs(x * out[0] + y * out[1] - (dims.width if out[0] else dims.depth) / 2) < reach
        for side, out in OUTWARDS.items()
    }
    for row in rows_of(case.mould):
        if row.id.role is RowRole.CORNER:
            end, side = row.id.place
            yield row.id.name, beside[end] & beside[side], row.gap.total, dims.height
        else:
            (side,) = row.id.place
            yield row.id.name, beside[side] & low, row.gap.total, dims.depth if side.crosswise else dims.width
    within = dims.shell + reach
    lid = (y < nose.root_y + within) & (np.abs(z - nose.lid_z) < within) & (np.abs(x) < nose.root_half + reach)
    around = 2 * (nose.root_half + nose.tip_half + (nose.root_y - nose.tip_y))
    yield "nose lid, at the panel", lid, lid_of(case.mould).lift, around


def seal_of(case: Case) -> tuple[SeamGap, ...]:
    """The seams that need tape or clay: wider than the allowed leak under pressure; none where the shop uses none."""
    shop = case.dims.spec.shop
    if shop.joint_seal is JointSeal.NONE:
        return ()
    return tuple(seam for seam in seam_gaps(case) if seam.total > shop.allowed_leak)


def check_seal(case: Case) -> tuple[Verdict, ...]:
    """Hold the widest gap of both kinds against the allowed leak, or what the seal of the shop bridges."""
    shop = case.dims.spec.shop
    worst = max(seam_gaps(case), key=lambda seam: round(seam.total, 6))
    limit = max(shop.allowed_leak, BRIDGED[shop.joint_seal])
    where = Said(
        "{seam}: {drawn:.2f} mm as designed, {pressed:.2f} mm by the pressure",
        seam=worst.name, drawn=worst.drawn, pressed=worst.pressed,
    )  # fmt: skip
    return (
        Verdict(
            "2.3",
            "gap of a seam as designed and opened by the pressure, together",
            worst.total,
            limit,
            Operator.AT_MOST,
            "mm",
            where,
            "specification, shop.allowed_leak; own rule: tape bridges 3 mm, clay 5 mm (shop.joint_seal)",
            _cure(worst, limit),
        ),
    )


def _cure(worst: SeamGap, limit: Mm) -> str:
    """The least seal that bridges the gap; nothing where it holds."""
    if worst.total <= limit:
        return ""
    serves = next((seal for seal, bridged in BRIDGED.items() if worst.total <= bridged), None)
    if serves is None:
        return "Choose closer bolts (shop.bolt_pitch) or a smaller shop.fit_gap."
    return Said('Seal the joints: shop.joint_seal = "{seal}".', seal=str(serves))
