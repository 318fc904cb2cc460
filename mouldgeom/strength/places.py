"""Places of a mould in words, for calculations and checks."""

from __future__ import annotations

from mouldgeom.dimensions import Dimensions
from mouldgeom.units import Mm


def height_words(z: Mm, dims: Dimensions) -> str:
    """A height of the casting frame in the words of the upright filter: ``"12 mm above the ledge"``."""
    up = dims.height - z
    marks = (("the rim", dims.levels.rim), ("the ledge", dims.levels.ledge), ("the floor", dims.levels.floor))
    name, level = min(marks, key=lambda mark: abs(up - mark[1]))
    gap = up - level
    if abs(gap) < 0.5:
        return f"at {name}"
    return f"{abs(gap):.0f} mm {'above' if gap > 0 else 'below'} {name}"
