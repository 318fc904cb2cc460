"""Vectors, and where a local frame lies: placements turn and move, and never mirror."""

from __future__ import annotations

from dataclasses import dataclass

from mouldgeom.errors import GeometryError
from mouldgeom.units import AnyUnit, Mm

Vec = tuple[Mm, Mm, Mm]


def add(a: Vec, b: Vec, scale: AnyUnit = 1.0) -> Vec:
    """Return ``a + scale * b``."""
    return (a[0] + scale * b[0], a[1] + scale * b[1], a[2] + scale * b[2])


def dot(a: Vec, b: Vec) -> AnyUnit:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec, b: Vec) -> Vec:
    """Return the vector product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a part's local frame stands in the casting frame: origin, and unit vectors of local x and y.

    Local z is x cross y, so a placement turns and moves a part but never mirrors it.
    """

    origin: Vec
    x: Vec
    y: Vec

    def __post_init__(self) -> None:
        if (
            abs(dot(self.x, self.x) - 1) > 1e-9
            or abs(dot(self.y, self.y) - 1) > 1e-9
            or abs(dot(self.x, self.y)) > 1e-9
        ):
            raise GeometryError(
                f"axes {self.x} and {self.y} of a placement are not of length 1 and square to each other"
            )

    @property
    def z(self) -> Vec:
        """Unit vector of local z."""
        return cross(self.x, self.y)

    def to_casting(self, point: Vec) -> Vec:
        """Return a local point in the casting frame."""
        return add(add(add(self.origin, self.x, point[0]), self.y, point[1]), self.z, point[2])

    def to_local(self, point: Vec) -> Vec:
        """Return a point of the casting frame in the local frame."""
        gap = add(point, self.origin, -1)
        return (dot(gap, self.x), dot(gap, self.y), dot(gap, self.z))

    def direction_to_local(self, direction: Vec) -> Vec:
        """Return a direction of the casting frame in the local frame."""
        return (dot(direction, self.x), dot(direction, self.y), dot(direction, self.z))

    def of(self, inner: Placement) -> Placement:
        """Return the placement that first places by ``inner``, then by this one."""
        turn = Placement((0.0, 0.0, 0.0), self.x, self.y)
        return Placement(self.to_casting(inner.origin), turn.to_casting(inner.x), turn.to_casting(inner.y))

    @property
    def matrix(self) -> tuple[tuple[AnyUnit, ...], ...]:
        """4 x 4 matrix, row by row, that takes local points to the casting frame."""
        z = self.z
        return (
            *((self.x[i], self.y[i], z[i], self.origin[i]) for i in range(3)),
            (0.0, 0.0, 0.0, 1.0),
        )
