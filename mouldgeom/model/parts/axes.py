"""Directions of the casting frame, and the names of sides and ends with their signs along x and y."""

from __future__ import annotations

from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import Side
from mouldgeom.model.sides import OUTWARDS

X: Vec = (1.0, 0.0, 0.0)
Y: Vec = (0.0, 1.0, 0.0)
Z: Vec = (0.0, 0.0, 1.0)
NX: Vec = (-1.0, 0.0, 0.0)
NY: Vec = (0.0, -1.0, 0.0)
NZ: Vec = (0.0, 0.0, -1.0)

SIDES = tuple((side, OUTWARDS[side][0]) for side in (Side.LEFT, Side.RIGHT))
ENDS = tuple((end, OUTWARDS[end][1]) for end in (Side.FRONT, Side.BACK))
