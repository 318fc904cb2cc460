"""Places of a mould in words, for calculations and checks."""

from __future__ import annotations

from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.units import Mm
from mouldgeom.words import Said


def height_words(z: Mm, dims: Dimensions) -> str:
    """A height of the casting frame in the words of the upright filter: ``"12 mm above the ledge"``."""
    up = dims.height - z
    (at, above, below), level = min(
        zip(_MARKS, (dims.levels.rim, dims.levels.ledge, dims.levels.floor), strict=True),
        key=lambda mark: abs(up - mark[1]),
    )
    gap = up - level
    if abs(gap) < 0.5:
        return at
    return Said(above if gap > 0 else below, gap=abs(gap))


_MARKS: Final = (
    ("at the rim", "{gap:.0f} mm above the rim", "{gap:.0f} mm below the rim"),
    ("at the ledge", "{gap:.0f} mm above the ledge", "{gap:.0f} mm below the ledge"),
    ("at the floor", "{gap:.0f} mm above the floor", "{gap:.0f} mm below the floor"),
)
