"""The bulge of panels and core walls at each point: what the wall that is cast gains on the drawing.

In this model steel only gives way, so the bulge is never negative, and nil at every held line.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from mouldgeom.identity import Role
from mouldgeom.model.assembly import Mould
from mouldgeom.strength.fields import WALLS, Field, PressedFace, core_face, core_name, panel_face, panel_name
from mouldgeom.units import Mm

Numbers = npt.NDArray[np.floating[Any]]


@dataclass(frozen=True)
class Bulge:
    """Bulge of the pressed faces, by the name of the plate; points across from its middle and up from the base plate.

    Across counts along x on front and back, along y on left and right, in the casting frame.
    """

    faces: dict[str, PressedFace]
    side: Mm

    def at(self, piece: str, across: Numbers, z: Numbers) -> Numbers:
        """Bulge of a plate at points, (n,); 0 beyond its fields.

        Raises:
            KeyError: no pressed face has that name.
        """
        face = self.faces[piece]
        out = np.zeros(np.broadcast(across, z).shape)
        for field in face.fields:
            out = np.maximum(out, _in_field(field, across, z))
        for bar in face.bars:
            if bar.role is Role.STIFFENER:
                within = np.abs(z - bar.z) <= self.side / 2
                wide = max(field.right for field in face.fields)
                out = np.where(within, np.maximum(out, bar.deflection * _wave(across, -wide, wide)), out)
        return out

    def outside(self, wall: str, across: Numbers, z: Numbers) -> Numbers:
        """Bulge of the panel outside of a wall ("front", "back", "left", "right") at points, (n,)."""
        return self.at(panel_name(wall), across, z)

    def inside(self, wall: str, across: Numbers, z: Numbers) -> Numbers:
        """Bulge of the core inside of a wall at points, (n,)."""
        return self.at(core_name(wall), across, z)

    def greatest(self) -> dict[str, Mm]:
        """Greatest bulge of each face, sheet and bars together."""
        return {name: max((field.bulge for field in face.fields), default=0.0) for name, face in self.faces.items()}


def bulge_of(mould: Mould) -> Bulge:
    """Work out the bulge of every panel and core wall of a mould."""
    dims = mould.dims
    faces = {panel_name(wall): panel_face(dims, wall) for wall in WALLS}
    faces |= {core_name(wall): core_face(dims, wall) for wall in WALLS}
    return Bulge(faces, dims.stock.tube.side_mm)


def _wave(across: Numbers, left: Numbers | Mm, right: Numbers | Mm) -> Numbers:
    """Half a wave from side to side, 0 beyond."""
    share = np.clip((across - left) / np.maximum(np.subtract(right, left), 1e-9), 0.0, 1.0)
    wave: Numbers = np.sin(np.pi * share)
    return wave


def _in_field(field: Field, across: Numbers, z: Numbers) -> Numbers:
    """Bulge of one field at points: half a wave across, the plate's own line upwards, and what its lines give way."""
    share = (z - field.low) / (field.high - field.low)
    inside = (share >= 0) & (share <= 1)
    share = np.clip(share, 0.0, 1.0)
    inset = (field.width - field.narrow) / 2 * share
    shape = field.shape()
    up = np.interp(share, np.linspace(0.0, 1.0, len(shape)), shape)
    sheet = field.bent * up + field.sunk_side * np.sin(np.pi * share)
    wave = _wave(across, field.left + inset, field.right - inset)
    within = (across > field.left) & (across < field.right)
    lines = np.where(
        within, (1 - share) * field.sunk_low + share * (field.sunk_high if field.top else field.sunk_low), 0
    )
    found: Numbers = np.where(inside, wave * (sheet + lines), 0.0)
    return found
