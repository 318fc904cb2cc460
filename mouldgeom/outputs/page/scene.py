"""The scene of the page: every piece of the mould, the concrete and the outlet tube as one glTF file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from mouldgeom.checks.case import Case
from mouldgeom.drawing.colours import CONCRETE_COLOUR, GROUP_COLOURS, TUBE_COLOUR
from mouldgeom.geometry.placement import Placement, Vec
from mouldgeom.identity import GEAR
from mouldgeom.model.mesh import Mesh, part_mesh
from mouldgeom.outputs.page.explode import STILL, moves
from mouldgeom.outputs.page.glb import PLACE_BITS, GlbMesh, GlbNode, coarse, glb_bytes, glb_mesh
from mouldgeom.outputs.page.wall_colours import scale_of, subdivide, valued_faces, wall_values
from mouldgeom.solids import SolidMould, body_mesh
from mouldgeom.units import Mm

CHORD: Final[Mm] = 0.3
"""How far a chord of the page's meshes may lie from its arc."""
CONCRETE, TUBE = "concrete", "outlet tube"
_HERE: Final = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


@dataclass(frozen=True, eq=False)
class Scene:
    """What the page shows.

    Args:
        glb: the file.
        scale: ends of its colour scale for the thickness of walls, mm.
        least: the least wall that it shows, mm.
        meshes: of the parts, each in its own frame, by mark; and of the tube, in the casting frame.
    """

    glb: bytes
    scale: tuple[Mm, Mm]
    least: Mm
    meshes: Mapping[str, Mesh]


def page_scene(solids: SolidMould) -> Scene:
    """Make the scene of a mould in the casting frame.

    Each node's extras say what it is: ``role`` (``mould``, ``gear``, ``concrete``, ``tube``), ``mark``, ``group``, and
    its two moves when the mould is taken apart, ``pull`` and ``spread`` (mm).
    """
    mould = solids.mould
    plain = {part.mark: part_mesh(part, CHORD) for part in mould.parts}
    numbers = {mark: number for number, mark in enumerate(plain)}
    meshes = [glb_mesh(part.mark, GROUP_COLOURS[part.group], plain[part.mark])[0] for part in mould.parts]
    plain[TUBE] = body_mesh(solids.tube, CHORD)
    away = moves(mould)
    nodes = []
    for piece in mould.pieces():
        pull, spread = away[piece.id]
        extras = {
            "role": "gear" if piece.unit.within(GEAR) else "mould",
            "mark": piece.mark,
            "group": str(piece.part.group),
            "pull": _whole(pull),
            "spread": _whole(spread),
        }
        nodes.append(GlbNode(piece.name, numbers[piece.mark], piece.placement, extras))
    concrete, scale, least = _concrete(solids)
    tube, _ = glb_mesh(TUBE, TUBE_COLOUR, plain[TUBE])
    for name, mesh in ((CONCRETE, concrete), (TUBE, tube)):
        role = {"role": "concrete" if name == CONCRETE else "tube", "pull": _whole(STILL), "spread": _whole(STILL)}
        nodes.append(GlbNode(name, len(meshes), _HERE, role))
        meshes.append(mesh)
    return Scene(glb_bytes(meshes, nodes, "mould"), scale, least, plain)


def _whole(vector: Vec) -> list[int]:
    return [round(c) for c in vector]


def _concrete(solids: SolidMould) -> tuple[GlbMesh, tuple[Mm, Mm], Mm]:
    """The concrete with the thickness at its corners, the scale, and the thinnest wall."""
    case, whole = Case(solids), body_mesh(solids.body, CHORD)
    face_of, valued = valued_faces(case, whole)
    body, owner = subdivide(whole, valued)
    mesh, triangle = glb_mesh(CONCRETE, CONCRETE_COLOUR, body)
    values = wall_values(case, mesh.points.astype(np.float64), face_of[owner[triangle]])
    found = values[values >= 0]
    return replace(mesh, values=coarse(values, PLACE_BITS)), scale_of(values), float(found.min())
