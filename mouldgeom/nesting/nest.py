"""Nests: all plates of some moulds laid on the sheets and offcuts that are there.

Each plate keeps its own frame, concrete face up: it is turned and moved, never turned over.  x runs along the sheet.
The search counts its steps and looks at no clock: the same input gives the same nest.  Every nest is proven
afterwards by ``nest_proof.prove``, which shares nothing with the search.
"""

from __future__ import annotations

from collections.abc import Sequence

from mouldgeom.errors import InputError
from mouldgeom.fabrication.stocklist import StockList, StockSheet
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Plate
from mouldgeom.nesting.layout import Nest, NestOptions, rank
from mouldgeom.nesting.plan import plan
from mouldgeom.nesting.proof import prove
from mouldgeom.units import Deg


def nest_mould(mould: Mould, stock: StockList, options: NestOptions, moulds: int = 1) -> tuple[Nest, ...]:
    """Nest all plates of some equal moulds: one nest for each kind of sheet, in the order of the parts.

    Raises:
        InputError: the number of moulds is not 1 to 50, or a part fits no sheet that is there.
        GeometryError: a nest fails its proof.
    """
    kinds = list(dict.fromkeys(plate.sheet for plate in mould.plates))
    return tuple(
        nest_plates([p for p in mould.plates if p.sheet == kind], stock.sheets_of(kind), options, moulds)
        for kind in kinds
    )


def nest_plates(plates: Sequence[Plate], sheets: Sequence[StockSheet], options: NestOptions, moulds: int = 1) -> Nest:
    """Nest plates of one kind of sheet, each in its quantity times the number of moulds.

    Raises:
        InputError: as ``nest_mould``.
        GeometryError: as ``nest_mould``.
    """
    if not 1 <= moulds <= 50:
        raise InputError("moulds", str(moulds), "allowed is 1 to 50", "Choose a number in that range.")
    if len({plate.sheet for plate in plates}) != 1:
        raise InputError("plates", str(len(plates)), "they must be of one kind of sheet", "Nest each kind by itself.")
    if len({plate.mark for plate in plates}) != len(plates) or not all(plate.mark for plate in plates):
        raise InputError("plates", str(len(plates)), "each needs a mark of its own", "Give them marks.")
    if options.grain:
        both = [_attempt(plates, sheets, options, moulds, angles) for angles in ((90.0, 270.0), (0.0, 180.0))]
        nests = [nest for nest in both if isinstance(nest, Nest)]
        if not nests:
            raise next(error for error in both if isinstance(error, InputError))
        nest = min(nests, key=rank)
    else:
        nest = plan(plates, sheets, options, moulds, (0.0, 90.0, 180.0, 270.0))
    prove(nest, plates)
    return nest


def _attempt(
    plates: Sequence[Plate],
    sheets: Sequence[StockSheet],
    options: NestOptions,
    moulds: int,
    angles: tuple[Deg, ...],
) -> Nest | InputError:
    try:
        return plan(plates, sheets, options, moulds, angles)
    except InputError as error:
        return error
