"""Which side is which, and what a view is called: for parts, checks, drawings, pictures, build sheet and forms alike.

Sides are those of the filter standing upright, seen from its front, the side with the nose.  In the casting frame it
stands upside down, a half turn about y away: so left is at +x there.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from mouldgeom.geometry.placement import Vec, dot
from mouldgeom.identity import Side

OUTWARDS: Final[Mapping[str, Vec]] = {
    Side.FRONT: (0.0, -1.0, 0.0),
    Side.BACK: (0.0, 1.0, 0.0),
    Side.LEFT: (1.0, 0.0, 0.0),
    Side.RIGHT: (-1.0, 0.0, 0.0),
}
"""Where each side faces in the casting frame."""
SIDES: Final = tuple(Side)
UP: Final[Vec] = (0.0, 0.0, 1.0)
"""Up while the mould stands for casting."""
DOWN: Final[Vec] = (0.0, 0.0, -1.0)
"""Up once it has been turned upright."""
VIEWS: Final[dict[tuple[str, ...], str]] = {
    ("front",): "From the front",
    ("back",): "From the back",
    ("left",): "From the left",
    ("right",): "From the right",
    ("above",): "From above",
    ("below",): "From below",
    ("front", "left", "above"): "Seen from the front left, above",
}
"""Titles of views, in English, by the sides that they show."""


def side_of(direction: Vec) -> Side:
    """The side that faces most nearly in a direction of the casting frame."""
    return max(SIDES, key=lambda side: dot(OUTWARDS[side], direction))


def view_name(eye: Vec, up: Vec = UP) -> str:
    """Title of a view, in English: ``"From the left"``.

    Args:
        eye: direction from what is shown to the eye, casting frame.
        up: ``DOWN`` if what is shown stands upright.

    Raises:
        KeyError: there is no title for such a view.
    """
    faces = {**OUTWARDS, "above": up, "below": (-up[0], -up[1], -up[2])}
    return VIEWS[tuple(face for face, out in faces.items() if dot(out, eye) > 1e-9)]
