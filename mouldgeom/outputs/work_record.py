"""The work in one mould and in its use as a plain record: cuts, holes, weld metal, hours, things used up; no price."""

from __future__ import annotations

from typing import Any

from mouldgeom.fabrication.cost import work
from mouldgeom.fabrication.objective import whole_cost
from mouldgeom.fabrication.quantities import take_off
from mouldgeom.fabrication.rates import Range
from mouldgeom.fabrication.welds import seams, totals
from mouldgeom.model.assembly import Mould
from mouldgeom.strength.pull import wearing_pull


def work_record(mould: Mould) -> dict[str, Any]:
    """Return the work of one mould; hours and things used up as low, likely and high, by the shipped rates."""
    needed = take_off(mould)
    estimate = work(needed, process=mould.dims.spec.shop.cutting)
    operations = {"cutting", "drilling", "sawing", "fitting and tacking", "welding", "grinding", "painting"}
    operations.add("assembly and trial")
    return {
        "cuts": {
            name: {
                "thickness_mm": round(cut.thickness, 3),
                "length_mm": round(cut.length, 1),
                "pierces": cut.pierces,
            }
            for name, cut in needed.cuts.items()
        },
        "drilled_holes": needed.drilled,
        "opened_out_holes": needed.opened,
        "centre_marks": needed.marked,
        "saw_cuts": needed.saw_cuts,
        "welds": [
            {
                "kind": str(total.kind.value),
                "size_mm": round(total.size, 2),
                "seam_mm": round(total.length, 1),
                "welded_mm": round(total.welded, 1),
                "ground_level_mm": round(total.flush, 1),
            }
            for total in totals(seams(mould))
        ],
        "weld_metal_kg": round(needed.metal, 3),
        "painted_m2": round(needed.paint / 1e6, 3),
        "hours": {name: _ends(value) for name, value in estimate.items() if name in operations},
        "used_up": {name: _ends(value) for name, value in estimate.items() if name not in operations},
        "over_its_life": whole_cost(mould, wearing_pull(mould)).record(),
        "rates": "estimates; data/rates.csv says which have a source",
    }


def _ends(value: Range) -> dict[str, float]:
    return {end: round(amount, 3) + 0.0 for end, amount in value.model_dump().items()}
