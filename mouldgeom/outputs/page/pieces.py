"""Every piece of a mould as a node of a glTF file; no kernel is needed for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from mouldgeom.drawing.colours import GROUP_COLOURS
from mouldgeom.geometry.placement import Placement, Vec
from mouldgeom.identity import APART
from mouldgeom.model.assembly import Mould
from mouldgeom.model.mesh import Mesh
from mouldgeom.outputs.page.explode import STILL, moves
from mouldgeom.outputs.page.glb import GlbMesh, GlbNode, glb_mesh
from mouldgeom.units import Mm

CHORD: Final[Mm] = 0.3
"""How far a chord of the page's meshes may lie from its arc."""
_HERE: Final = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


def mould_nodes(mould: Mould, meshes: Mapping[str, Mesh]) -> tuple[list[GlbMesh], list[GlbNode]]:
    """A mesh for each mark, and a node for each piece, in the casting frame.

    Each node's extras say what it is: ``role`` (``mould``, ``gear``), ``mark``, ``group``, and its two moves when the
    mould is taken apart, ``pull`` and ``spread`` (mm).

    Args:
        mould: the mould.
        meshes: of its parts, each in its own frame, by mark.
    """
    numbers = {part.mark: number for number, part in enumerate(mould.parts)}
    drawn = [glb_mesh(part.mark, GROUP_COLOURS[part.group], meshes[part.mark])[0] for part in mould.parts]
    away = moves(mould)
    nodes = []
    for piece in mould.pieces():
        pull, spread = away[piece.id]
        extras = {
            "role": "gear" if piece.unit.within(*APART) else "mould",
            "mark": piece.mark,
            "group": str(piece.part.group),
            "pull": _whole(pull),
            "spread": _whole(spread),
        }
        nodes.append(GlbNode(piece.name, numbers[piece.mark], piece.placement, extras))
    return drawn, nodes


def still_node(name: str, mesh: int, role: str) -> GlbNode:
    """A node that stays where it is when the mould is taken apart: concrete or tube."""
    return GlbNode(name, mesh, _HERE, {"role": role, "pull": _whole(STILL), "spread": _whole(STILL)})


def _whole(vector: Vec) -> list[int]:
    return [round(c) for c in vector]
