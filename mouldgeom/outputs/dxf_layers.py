"""The layers of the cutting files: the only place where their names and colours stand.

A layer needs no table entry in DXF, so a misspelt name is legal and no audit finds it; hence an enum.
To add one, add a line: name, colour, and what it is for.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Self


class Layer(StrEnum):
    """Layers by what the shop does with them; ``colour`` is the colour index of DXF (1 to 255), ``use`` is in words.

    Source: names and colours are common practice, no source.
    """

    colour: int
    use: str

    CUT_OUTSIDE = "CUT_OUTSIDE", 1, "outline of the part, cut last"
    CUT_INSIDE = "CUT_INSIDE", 5, "openings and round holes, cut before the outline"
    CENTRE_MARK = "CENTRE_MARK", 6, "points to punch or touch with the arc, drilled afterwards"
    ETCH_MARK = "ETCH_MARK", 3, "lines marked on the surface, not cut"
    ETCH_TEXT = "ETCH_TEXT", 4, "mark written on the surface, not cut"
    SHEET_EDGE = "SHEET_EDGE", 8, "edge of the stock sheet of a nest, never cut"

    def __new__(cls, name: str, colour: int, use: str) -> Self:
        """Make a member whose text is the layer's name."""
        member = str.__new__(cls, name)
        member._value_ = name
        member.colour = colour
        member.use = use
        return member
