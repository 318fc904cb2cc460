"""All assembly sheets of a mould: general arrangement, exploded view, and a welding sheet for each sub-assembly."""

from __future__ import annotations

from mouldgeom.drawing.paper import PaperOptions
from mouldgeom.drawing.primitives import Sheet
from mouldgeom.outputs.papers.exploded import exploded_sheets
from mouldgeom.outputs.papers.general import general_sheets
from mouldgeom.outputs.papers.stage import Easel
from mouldgeom.outputs.papers.subassemblies import subassembly_sheets
from mouldgeom.solids import SolidMould
from mouldgeom.words import Words


def assembly_sheets(solid_mould: SolidMould, words: Words, options: PaperOptions) -> list[Sheet]:
    """General arrangement, the filter, extraction, exploded view, and the sub-assemblies in the order of welding.

    Sheets are not numbered yet: ``paper.numbered`` does it for the whole set.
    """
    stage = Easel(solid_mould, words, options)
    return [*general_sheets(stage), *exploded_sheets(stage), *subassembly_sheets(stage)]
