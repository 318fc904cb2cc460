"""Hooks for drying racks: four flat plates with a notch, stood on edge on the side panels and welded along both faces.

They stand above the uppermost stiffener, or in the widest bay that no handle crosses where there is no room above it,
between the handles and the middle of the panel.  In the notch lies a rod of the rack.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from itertools import pairwise
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.errors import InputError
from mouldgeom.geometry.outline import Outline
from mouldgeom.geometry.placement import Placement
from mouldgeom.identity import PANELS, PieceId, Role, Side
from mouldgeom.model.changes import Groups
from mouldgeom.model.joints import TOUCHES, GroupParts, SeamKind, Weld
from mouldgeom.model.shapes import ConcreteFace, Group, Plate, Stand
from mouldgeom.outputs.extension import Extension

HIGH: Final = 60.0
DEEP: Final = 45.0
NOTCH: Final = 14.0
"""Height and depth of a hook and width of its notch, in mm: for a rack of 12 mm rod."""
CLEAR: Final = 15.0
"""From a hook to what is above and below it, in mm."""


class HookRole(StrEnum):
    """What a piece is for."""

    HOOK = "rack hook"


class HookWeld(StrEnum):
    """What a weld joins."""

    TO_PANEL = "rack hook to panel"


OUTLINE: Final = Outline.polygon(
    [
        (0, 0),
        (DEEP, 0),
        (DEEP, HIGH),
        (DEEP - 12, HIGH),
        (DEEP - 12, 25),
        (DEEP - 12 - NOTCH, 25),
        (10, HIGH),
        (0, HIGH),
    ]
)
"""x away from the panel, y up."""


def hooks(dims: Dimensions, groups: Groups) -> Groups:
    """Two hooks on each side panel."""
    low = _bay(dims, groups) - HIGH / 2
    plates, welds = [], []
    for side, sign in ((Side.LEFT, 1.0), (Side.RIGHT, -1.0)):
        for end, where in ((Side.FRONT, -1.0), (Side.BACK, 1.0)):
            plate = _hook(dims, PieceId(HookRole.HOOK, (side, end)), side, sign, where * dims.depth / 8, low)
            plates.append(plate)
            welds.append(_weld(plate, PieceId(Role.PANEL, (side,))))
    return {Group.OUTER_BOX: groups[Group.OUTER_BOX].plus(GroupParts(plates=tuple(plates), welds=tuple(welds)))}


def _bay(dims: Dimensions, groups: Groups) -> float:
    """Height of the middle of the hooks in the casting frame."""
    half = dims.stock.tube.side_mm / 2
    levels = [0.0, *sorted(dims.stiffener_z), dims.height + half]
    bays = [(low + half, high - half) for low, high in pairwise(levels)]
    handles = list(_handles(groups))
    free = [bay for bay in bays[1:] if not any(low < bay[1] and bay[0] < high for low, high in handles)]
    fits = [bay for bay in free if bay[1] - bay[0] >= HIGH + 2 * CLEAR]
    if not fits:
        limit = f"no bay of the side panels has {HIGH + 2 * CLEAR:.0f} mm for a hook"
        raise InputError("rack hooks", f"filter {dims.height:.0f} mm high", limit, "Leave out --with rack-hooks.")
    low, high = fits[-1]
    return (low + high) / 2


def _handles(groups: Groups) -> Iterator[tuple[float, float]]:
    """From where to where the handles of the side panels reach."""
    for bar in groups[Group.OUTER_BOX].bars:
        stand = bar.stands[0]
        if stand.id.role is Role.HANDLE and stand.id.place[0].crosswise:
            yield stand.placement.origin[2], stand.placement.origin[2] + bar.length


def _hook(dims: Dimensions, piece: PieceId, side: Side, sign: float, y: float, low: float) -> Plate:
    sheet = dims.stock.base
    face = sign * (dims.width / 2 + dims.shell)
    at = Placement((face, y - sign * sheet.thickness_mm / 2, low), (sign, 0.0, 0.0), (0.0, 0.0, 1.0))
    stands = (Stand(piece, PANELS[side], at),)
    return Plate(Group.OUTER_BOX, stands, sheet.designation, sheet.thickness_mm, OUTLINE, ConcreteFace.NONE)


def _weld(plate: Plate, panel: PieceId) -> Weld:
    """Along both faces, over the whole height."""
    stand = plate.stands[0]
    faces = (0.0, -plate.thickness)
    roots = tuple((stand.placement.to_casting((0, 0, z)), stand.placement.to_casting((0, HIGH, z))) for z in faces)
    return Weld(HookWeld.TO_PANEL, (stand.id, panel), roots, SeamKind.FILLET, TOUCHES, through=True)


EXTENSION: Final = Extension("rack-hooks", changes=(hooks,))
