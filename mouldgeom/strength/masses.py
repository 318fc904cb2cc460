"""Mass and centre of gravity of what people carry, of the whole mould and of the finished filter.

All centres are in the casting frame, those of the filter too (``upright`` turns them over).
"""

from __future__ import annotations

from dataclasses import dataclass

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.filter.concrete import WATER_DENSITY
from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import APART, BOLTS, BRIDGE, CLOSING, FOOT, FORCING, LID, PADS, PANELS, SCREW, STAND, Unit
from mouldgeom.model.assembly import Mould, Piece
from mouldgeom.model.weights import Lump, bed_density, body_lump, bounds, combined, filling, part_corners, part_lump
from mouldgeom.units import GRAVITY


def upright(centre: Vec, dims: Dimensions) -> Vec:
    """Return a point of the casting frame in the frame of the upright filter: a half turn about y."""
    return (-centre[0], centre[1], dims.height - centre[2])


def piece_lump(mould: Mould, piece: Piece) -> Lump:
    """Mass and centre of gravity of one piece where it stands."""
    return part_lump(piece.part, piece.placement, mould.density)


LOADS = (*PANELS.values(), LID, FOOT, BRIDGE, SCREW, FORCING, PADS, BOLTS, CLOSING, STAND)
"""What is lifted in one go: the pieces that are welded together, with what stays on them."""


@dataclass(frozen=True, slots=True)
class Carried:
    """A load with its mass, centre of gravity, size over everything (bolts apart) and number of pieces."""

    load: Unit
    lump: Lump
    low: Vec
    high: Vec
    pieces: int

    @property
    def size(self) -> Vec:
        """Extent along x, y and z of the casting frame."""
        return (self.high[0] - self.low[0], self.high[1] - self.low[1], self.high[2] - self.low[2])


def carried(mould: Mould) -> dict[Unit, Carried]:
    """Every load that a mould has."""
    pieces = list(mould.pieces())
    out: dict[Unit, Carried] = {}
    for load in LOADS:
        own = [piece for piece in pieces if piece.unit.within(load)]
        if not own:
            continue
        corners = [corner for piece in own for corner in part_corners(piece.part, piece.placement)]
        low, high = bounds(corners)
        out[load] = Carried(load, combined(piece_lump(mould, piece) for piece in own), low, high, len(own))
    return out


# ---------------------------------------------------------------- the whole


@dataclass(frozen=True)
class Masses:
    """Everything that is lifted, turned or stood up.

    ``empty`` is the mould with core, base, lid and bolts, neither bridge nor stand; ``filled`` has the concrete by its
    fresh weight; ``filter_empty`` is the hardened body; ``filter_full`` has gravel, sand and water up to the full
    level, ``filter_resting`` up to the rest level.
    """

    carried: dict[Unit, Carried]
    fresh: Lump
    empty: Lump
    filled: Lump
    filter_empty: Lump
    filter_resting: Lump
    filter_full: Lump


def masses(mould: Mould) -> Masses:
    """Work out every mass of a mould."""
    dims, spec = mould.dims, mould.dims.spec
    loads = carried(mould)
    empty = combined(item.lump for load, item in loads.items() if not load.within(*APART))
    fresh = body_lump(dims, spec.concrete.unit_weight_fresh * 1000 / GRAVITY)
    body, levels = body_lump(dims, spec.concrete.density), dims.levels
    bed = filling(dims, levels.floor, levels.sand_top, bed_density(spec.sand.porosity))
    resting, full = (
        combined([body, *bed, *filling(dims, levels.sand_top, top, WATER_DENSITY)])
        for top in (levels.rest, levels.full)
    )
    return Masses(loads, fresh, empty, combined([empty, fresh]), body, resting, full)
