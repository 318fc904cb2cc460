"""Check 9.9: what the ledge leaves to the diffuser plate or basin that rests on it.

The seam along the ledge strip moulds a slope instead of the ledge's inner edge; what is left there breaks with use.
"""

from __future__ import annotations

from typing import Final

from mouldgeom import tables
from mouldgeom.checks.case import Case
from mouldgeom.checks.filter_checks import MeasuredHollow
from mouldgeom.errors import MouldError
from mouldgeom.fabrication.welds import seams
from mouldgeom.filter.levels import DIFFUSER_PLAY
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.joints import WeldRole
from mouldgeom.strength.wall_model import thickness_deviation
from mouldgeom.units import Mm
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

BEARING: Final[Mm] = 1.5
"""Least width on which the diffuser rests, pushed over to the other side: own rule."""
BREAKAGE: Final[Mm] = 2.0
"""Edge of concrete that breaks off with use, where no seam has sloped it: own rule."""


def edge_loss(mould: Mould) -> Mm:
    """Width that the inner edge of the ledge lacks: the fillet that moulds it, or what breaks off."""
    legs = [seam.leg for seam in seams(mould) if seam.role is WeldRole.STRIP_LEDGE]
    return max([BREAKAGE, *legs])


def bearing(mould: Mould, step: Mm) -> Mm:
    """Least width on which the diffuser rests on a ledge of this width, its strips thin and it pushed over."""
    thin, _ = thickness_deviation(mould.dims, mould.dims.ledge)
    return step - thin - edge_loss(mould) - DIFFUSER_PLAY


def check_ledge(case: Case) -> tuple[Verdict, ...]:
    """Hold the least bearing of the diffuser, the ledge measured on the concrete, against the own rule."""
    hollow, mould = MeasuredHollow.of(case), case.mould
    z = hollow.rim - hollow.ledge
    wide = min(abs(a.at(z) - b.at(z)) for a, b in zip(hollow.above, hollow.below, strict=True))
    left = bearing(mould, wide)
    where = Said(
        "ledge {wide:.1f} mm wide, {lost:.1f} mm of its edge sloped or broken, {play:p1} mm of play",
        wide=wide, lost=edge_loss(mould), play=DIFFUSER_PLAY,
    )  # fmt: skip
    return (
        Verdict(
            "9.9",
            "least bearing of the diffuser on the ledge",
            left,
            BEARING,
            Operator.AT_LEAST,
            "mm",
            where,
            "own rule; thickness of the strips: EN 10051:1991+A1:1997",
            "" if left >= BEARING else _cure(mould),
        ),
    )


def _cure(mould: Mould) -> str:
    """The thinnest sheet for the ledge strips with which the diffuser rests well, tried on the design."""
    spec, now = mould.dims.spec, mould.dims.stock.ledge
    rows = [row for row in tables.sheets() if row.system == now.system and row.thickness_mm > now.thickness_mm]
    for row in sorted(rows, key=lambda row: row.thickness_mm):
        try:
            other = build(spec.changed({"steel.ledge": row.designation}))
        except MouldError:
            continue
        if bearing(other, other.dims.step) >= BEARING:
            return Said('Choose thicker ledge strips: steel.ledge = "{sheet}".', sheet=row.designation)
    return "Hang the diffuser from the rim instead."
