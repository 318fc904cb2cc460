"""The scene of the page: every piece of the mould, the concrete and the outlet tube as one glTF file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from mouldgeom.checks.case import Case
from mouldgeom.drawing.colours import CONCRETE_COLOUR, TUBE_COLOUR
from mouldgeom.model.mesh import Mesh, part_mesh
from mouldgeom.outputs.page.glb import PLACE_BITS, GlbMesh, coarse, glb_bytes, glb_mesh
from mouldgeom.outputs.page.pieces import CHORD, mould_nodes, still_node
from mouldgeom.outputs.page.wall_colours import scale_of, subdivide, valued_faces, wall_values
from mouldgeom.solids import SolidMould, body_mesh
from mouldgeom.units import Mm

CONCRETE, TUBE = "concrete", "outlet tube"


@dataclass(frozen=True, eq=False)
class Scene:
    """What the page shows.

    Args:
        glb: the file.
        scale: ends of its colour scale for the thickness of walls, mm.
        least: the least wall that it shows, mm.
        meshes: of the parts, each in its own frame, by mark.
        tube: its mesh in the casting frame.
    """

    glb: bytes
    scale: tuple[Mm, Mm]
    least: Mm
    meshes: Mapping[str, Mesh]
    tube: Mesh


def page_scene(solids: SolidMould) -> Scene:
    """Make the scene of a mould in the casting frame.

    Each node's extras say what it is, as those of ``mould_nodes``; the roles of the other two are ``concrete`` and
    ``tube``.
    """
    mould = solids.mould
    plain = {part.mark: part_mesh(part, CHORD) for part in mould.parts}
    meshes, nodes = mould_nodes(mould, plain)
    concrete, scale, least = _concrete(solids)
    rod = body_mesh(solids.tube, CHORD)
    tube, _ = glb_mesh(TUBE, TUBE_COLOUR, rod)
    for name, mesh in ((CONCRETE, concrete), (TUBE, tube)):
        nodes.append(still_node(name, len(meshes), "concrete" if name == CONCRETE else "tube"))
        meshes.append(mesh)
    return Scene(glb_bytes(meshes, nodes, "mould"), scale, least, plain, rod)


def _concrete(solids: SolidMould) -> tuple[GlbMesh, tuple[Mm, Mm], Mm]:
    """The concrete with the thickness at its corners, the scale, and the thinnest wall."""
    case, whole = Case(solids), body_mesh(solids.body, CHORD)
    face_of, valued = valued_faces(case, whole)
    body, owner = subdivide(whole, valued)
    mesh, triangle = glb_mesh(CONCRETE, CONCRETE_COLOUR, body)
    values = wall_values(case, mesh.points.astype(np.float64), face_of[owner[triangle]])
    found = values[values >= 0]
    return replace(mesh, values=coarse(values, PLACE_BITS)), scale_of(values), float(found.min())
