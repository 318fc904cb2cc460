"""One colour for each group of parts, the same in every output, and told apart by colour-blind eyes too.

The hues are those of a palette made for all kinds of colour vision; a test measures how far apart they look to each.

Source: M. Okabe and K. Ito, Color Universal Design, 2008 (hues, from memory); lightness changed here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from mouldgeom.model.shapes import Group
from mouldgeom.units import Ratio

Colour = tuple[Ratio, Ratio, Ratio]
"""Red, green and blue as sRGB, each from 0 to 1."""

GROUP_COLOURS: Final[Mapping[Group, Colour]] = {
    Group.OUTER_BOX: (0.44, 0.73, 0.92),
    Group.CORE: (0.95, 0.62, 0.10),
    Group.BASE: (0.13, 0.36, 0.62),
    Group.NOSE: (0.96, 0.90, 0.36),
    Group.EXTRACTION: (0.00, 0.55, 0.42),
    Group.FASTENERS: (0.60, 0.59, 0.60),
    Group.TURNING: (0.60, 0.20, 0.45),
}
CONCRETE_COLOUR: Final[Colour] = (0.80, 0.79, 0.76)
CUT_COLOUR: Final[Colour] = (0.62, 0.58, 0.52)
"""Concrete where it is cut open."""
TUBE_COLOUR: Final[Colour] = (0.80, 0.33, 0.05)
