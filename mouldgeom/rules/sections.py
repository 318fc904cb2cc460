"""Area, centroid and second moment of the sections that are bought, from their outlines."""

from __future__ import annotations

import math
from typing import Annotated, Final, NamedTuple

from mouldgeom.units import Mm, Mm2

Mm4 = Annotated[float, "mm4"]

_LESS: Final = 1 - math.pi / 4
_REACH: Final = (1 / 2 - math.pi / 4 + 1 / 3) / _LESS


class SectionOf(NamedTuple):
    """Area, distance of the centroid from the heel or the middle, second moment about an axis through it."""

    area: Mm2
    centroid: Mm
    second_moment: Mm4


def equal_angle(leg: Mm, thickness: Mm, root: Mm, toe: Mm) -> SectionOf:
    """Section of an equal angle with root and toe radii, the centroid from the heel.

    Source: plane geometry and parallel axis theorem; the values of EN 10056-1 come out.
    """
    return _put_together(
        (leg * thickness, thickness / 2, leg * thickness**3 / 12),
        ((leg - thickness) * thickness, (leg + thickness) / 2, thickness * (leg - thickness) ** 3 / 12),
        _spandrel(root, thickness, inwards=1),
        _less(_spandrel(toe, thickness, inwards=-1)),
        _less(_spandrel(toe, leg, inwards=-1)),
    )


def square_hollow(side: Mm, thickness: Mm, outer: Mm, inner: Mm) -> SectionOf:
    """Section of a square tube with outer and inner corner radii, about its middle.

    Source: plane geometry and parallel axis theorem; the values of EN 10219-2 come out.
    """
    hole = _rounded_square(side - 2 * thickness, inner)
    return _put_together(_rounded_square(side, outer), _less(hole))


_Piece = tuple[Mm2, Mm, Mm4]


def _rounded_square(side: Mm, radius: Mm) -> _Piece:
    corner = _spandrel(radius, side / 2, inwards=-1)
    of_corners = corner[2] + corner[0] * corner[1] ** 2
    return side**2 - 4 * corner[0], 0.0, side**4 / 12 - 4 * of_corners


def _spandrel(radius: Mm, corner: Mm, *, inwards: int) -> _Piece:
    """What a square corner has more than its quarter circle; ``inwards`` 1: it lies beyond the corner."""
    area = _LESS * radius**2
    own = radius**4 * (1 / 3 - math.pi / 16) - area * (radius * (1 - _REACH)) ** 2
    return area, corner + inwards * _REACH * radius, own


def _less(piece: _Piece) -> _Piece:
    return -piece[0], piece[1], -piece[2]


def _put_together(*pieces: _Piece) -> SectionOf:
    area = sum(piece[0] for piece in pieces)
    centroid = sum(piece[0] * piece[1] for piece in pieces) / area
    return SectionOf(area, centroid, sum(own + a * (at - centroid) ** 2 for a, at, own in pieces))
