"""A mould as one file for another program: STEP, STL or glTF, by the ending of its name.

Triangle meshes come from the outlines of the parts, so that STL and glTF of the mould alone need no kernel; STEP and
the concrete do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from mouldgeom.drawing.colours import CONCRETE_COLOUR, TUBE_COLOUR
from mouldgeom.errors import InputError
from mouldgeom.model.assembly import Mould
from mouldgeom.model.mesh import Mesh, part_mesh, triangle_normals
from mouldgeom.outputs.page.glb import coarse, glb_bytes, glb_mesh
from mouldgeom.outputs.page.pieces import mould_nodes, still_node
from mouldgeom.writing import write_whole

if TYPE_CHECKING:
    from mouldgeom.solids import SolidMould

_STL_BITS: Final = 10
"""Places in an STL file are kept to 1/1024 mm: what single precision holds exactly out to 16 m."""
_STL_HEAD: Final = b"mould in the casting frame, mm, z up".ljust(80)
"""Any text of 80 bytes, but for one that begins like a file in letters."""


def export_mould(mould: Mould | SolidMould, path: str | Path, *, concrete: bool = False, over: bool = True) -> None:
    """Write every piece of a mould, in the casting frame, into one file whose ending says what it is.

    ``.step``: solids, named and coloured by mark, in mm; as ``solid/mould.step`` or ``solid/casting.step``.
    ``.stl``: binary, one closed mesh for each piece, one after the other.  The format has no units, names or colours:
    its numbers are mm.
    ``.glb``: binary glTF, in metres and y up as that wants, pieces named by their labels, coloured by their groups.

    Args:
        mould: parts, or solids of it: those that are made already are not made again.
        path: where to; its folder must exist.
        concrete: whether the concrete, with the outlet tube in it, is written too.
        over: whether a file that is there may be replaced.

    Raises:
        InputError: another ending.
        FolderError: a file is there already, or it cannot be written.
        KernelError: the kernel cannot make a solid.
    """
    ending = Path(path).suffix.lower()
    if ending not in _FORMS:
        known = ", ".join(_FORMS)
        raise InputError("path", repr(str(path)), f"its ending must be one of {known}", "Choose one of these endings.")
    write_whole(Path(path), _FORMS[ending](mould, concrete), "path", over=over)


def _solids(mould: Mould | SolidMould) -> SolidMould:
    from mouldgeom.solids import SolidMould  # the kernel takes seconds to load

    return SolidMould(mould) if isinstance(mould, Mould) else mould


def _parts(mould: Mould | SolidMould) -> Mould:
    return mould if isinstance(mould, Mould) else mould.mould


def _step(mould: Mould | SolidMould, concrete: bool) -> bytes:
    from mouldgeom.outputs.casting import CASTING, cast_parts, mould_parts
    from mouldgeom.outputs.step import step_bytes

    solids = _solids(mould)
    if concrete:
        return step_bytes((*mould_parts(solids), *cast_parts(solids)), CASTING)
    return step_bytes(mould_parts(solids), "mould")


def _cast(mould: Mould | SolidMould) -> Mapping[str, Mesh]:
    """Meshes of the concrete and of the hollow tube."""
    from mouldgeom.solids import body_mesh

    solids = _solids(mould)
    return {"concrete": body_mesh(solids.body), "tube": body_mesh(solids.hollow_tube)}


def _glb(mould: Mould | SolidMould, concrete: bool) -> bytes:
    parts = _parts(mould)
    meshes, nodes = mould_nodes(parts, {part.mark: part_mesh(part) for part in parts.parts})
    for name, mesh in _cast(mould).items() if concrete else ():
        nodes.append(still_node(name, len(meshes), name))
        meshes.append(glb_mesh(name, CONCRETE_COLOUR if name == "concrete" else TUBE_COLOUR, mesh)[0])
    return glb_bytes(meshes, nodes, "casting" if concrete else "mould")


def _stl(mould: Mould | SolidMould, concrete: bool) -> bytes:
    """The file: a head, the number of triangles, and of each its normal, its corners, and two bytes of nothing.

    Source: the binary form of STL as programs read it (from memory).
    """

    def meshes() -> Iterator[Mesh]:
        parts = _parts(mould)
        made = {part.mark: part_mesh(part) for part in parts.parts}
        yield from (made[piece.mark].placed(piece.placement) for piece in parts.pieces())
        if concrete:
            yield from _cast(mould).values()

    records = np.concatenate([_triangles(mesh) for mesh in meshes()])
    return _STL_HEAD + len(records).to_bytes(4, "little") + records.tobytes()


_RECORD: Final = np.dtype([("numbers", "<f4", (4, 3)), ("nothing", "<u2")])


def _triangles(mesh: Mesh) -> np.ndarray:
    corners = coarse(mesh.vertices, _STL_BITS)
    normals = triangle_normals(corners.astype(np.float64), mesh.triangles)
    out = np.zeros(len(mesh.triangles), dtype=_RECORD)
    out["numbers"][:, 0] = coarse(normals, _STL_BITS)
    out["numbers"][:, 1:] = corners[mesh.triangles]
    return out


_FORMS: Final[Mapping[str, Callable[[Mould | SolidMould, bool], bytes]]] = {".step": _step, ".stl": _stl, ".glb": _glb}
