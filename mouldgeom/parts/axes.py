"""Directions of the casting frame, and the names of sides and ends with their signs along x and y."""

from __future__ import annotations

from mouldgeom.identity import Side
from mouldgeom.shapes import Vec

X: Vec = (1.0, 0.0, 0.0)
Y: Vec = (0.0, 1.0, 0.0)
Z: Vec = (0.0, 0.0, 1.0)
NX: Vec = (-1.0, 0.0, 0.0)
NY: Vec = (0.0, -1.0, 0.0)
NZ: Vec = (0.0, 0.0, -1.0)

SIDES = ((Side.LEFT, 1.0), (Side.RIGHT, -1.0))
"""Left is at +x in the casting frame: the upright filter has been turned over."""
ENDS = ((Side.FRONT, -1.0), (Side.BACK, 1.0))
