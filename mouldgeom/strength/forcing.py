"""Base plate and runners where forcing screws draw the core."""

from __future__ import annotations

from mouldgeom.fabrication.welds import seams
from mouldgeom.model.assembly import Mould
from mouldgeom.strength.base_plate import core_welds, runners, when_drawn, when_filled
from mouldgeom.strength.steps import Chapter


def chapter(mould: Mould) -> Chapter:
    """Base plate and runners, drawn with the core and under the filled mould."""
    found = [when_drawn(mould), when_filled(mould), runners(mould), core_welds(mould, seams(mould))]
    return Chapter(
        "Forcing screws and base",
        (
            "Base bolts are out while the core is drawn; the corner bolts are in.",
            "The filled mould stands on its runners on even ground, or on two battens under their ends.",
        ),
        tuple(step for steps, _ in found for step in steps),
        (),
        tuple(need for _, needs in found for need in needs),
        (),
    )
