"""Triangle meshes as one binary glTF file: equal pieces share a mesh, lines are drawn where faces turn.

The file is Y-up and in metres as its format wants: one node at the root turns the casting frame (Z-up, mm) and scales
it, so that everything below it is in millimetres as in the rest of the program.  The same scene gives the same bytes.

Source: Khronos glTF 2.0 specification (ISO/IEC 12113:2022), clauses 3 and 4 (from memory).
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from mouldgeom.drawing.colours import Colour
from mouldgeom.errors import InputError
from mouldgeom.geometry.placement import Placement
from mouldgeom.model.mesh import Floats, Mesh, surface_of
from mouldgeom.units import Mm

_JSON: Final = 0x4E4F534A
_BINARY: Final = 0x004E4942
_FLOAT, _SHORT, _LONG = 5126, 5123, 5125
_CORNERS, _INDICES = 34962, 34963
_LINES, _TRIANGLES = 1, 4
_TURN: Final = (-(0.5**0.5), 0.0, 0.0, 0.5**0.5)
"""Quaternion of a quarter turn about x, from Z-up to Y-up."""

PLACE_BITS: Final = 7
"""Places are kept to 1/128 mm: far finer than the chords, and the file packs well."""
NORMAL_BITS: Final = 9

Singles = NDArray[np.float32]
Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class GlbMesh:
    """What is drawn: corners split where faces turn.

    Args:
        name: as the file calls it.
        colour: sRGB.
        points: (n, 3) corners, mm.
        normals: (n, 3) unit normals.
        triangles: (m, 3) numbers of corners.
        edges: (k, 2) numbers of corners.
        values: one number a corner, kept as the attribute ``_WALL``; or nothing.
    """

    name: str
    colour: Colour
    points: Singles
    normals: Singles
    triangles: Numbers
    edges: Numbers
    values: Singles | None = None


@dataclass(frozen=True, eq=False)
class GlbNode:
    """One piece: its name, the number of its mesh, its place in the casting frame, and what else is known of it."""

    name: str
    mesh: int
    place: Placement
    extras: Mapping[str, object] = field(default_factory=dict)


def coarse(values: Floats, bits: int) -> Singles:
    """Numbers rounded to so many binary places."""
    return (np.rint(values * 2.0**bits) / 2.0**bits + 0.0).astype(np.float32)


def glb_mesh(name: str, colour: Colour, mesh: Mesh) -> tuple[GlbMesh, Numbers]:
    """Split the corners of a mesh where faces turn by more than the feature angle.

    Returns:
        the mesh, and (n,) the number of a triangle that each of its corners belongs to.
    """
    surface = surface_of(mesh)
    keys = mesh.triangles.astype(np.int64) * len(surface.patch) + surface.patch[:, None]
    _, first, inverse = np.unique(keys.ravel(), return_index=True, return_inverse=True)
    corner_of = np.zeros(len(mesh.vertices), dtype=np.int64)
    corner_of[mesh.triangles.ravel()[first]] = np.arange(len(first))
    drawn = GlbMesh(
        name,
        colour,
        coarse(mesh.vertices[mesh.triangles.ravel()[first]], PLACE_BITS),
        coarse(surface.normals.reshape(-1, 3)[first], NORMAL_BITS),
        inverse.reshape(-1, 3).astype(np.int64),
        corner_of[mesh.edges],
    )
    return drawn, np.asarray(first // 3, dtype=np.int64)


def glb_bytes(meshes: Sequence[GlbMesh], nodes: Sequence[GlbNode], title: str) -> bytes:
    """The file of a scene.

    Raises:
        InputError: there is nothing to show.
    """
    if not meshes or not nodes:
        raise InputError("scene", "0 items", "a model needs at least one", "Add an item.")
    store = _Store()
    colours = list(dict.fromkeys(mesh.colour for mesh in meshes))
    listed = [_mesh(store, mesh, colours.index(mesh.colour)) for mesh in meshes]
    root = {"name": title, "rotation": list(_TURN), "scale": [0.001] * 3, "children": list(range(1, len(nodes) + 1))}
    document = {
        "asset": {"version": "2.0", "generator": "mouldgeom"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [root, *(_node(node) for node in nodes)],
        "meshes": listed,
        "materials": [_material(colour) for colour in colours],
        "accessors": store.accessors,
        "bufferViews": store.views,
        "buffers": [{"byteLength": len(store.data)}],
    }
    text = json.dumps(document, separators=(",", ":"), allow_nan=False).encode("ascii")
    text += b" " * (-len(text) % 4)
    whole = 12 + 8 + len(text) + 8 + len(store.data)
    head = b"glTF" + _four(2) + _four(whole)
    return head + _four(len(text)) + _four(_JSON) + text + _four(len(store.data)) + _four(_BINARY) + bytes(store.data)


def _four(number: int) -> bytes:
    return number.to_bytes(4, "little")


class _Store:
    """The binary part, its views and accessors, each view beginning at a multiple of four bytes."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, int]] = []
        self.accessors: list[dict[str, Any]] = []

    def add(self, values: NDArray[Any], kind: str, component: int, target: int, *, bounds: bool = False) -> int:
        """Append an array and return the number of its accessor."""
        raw = np.ascontiguousarray(values).tobytes()
        self.views.append({"buffer": 0, "byteOffset": len(self.data), "byteLength": len(raw), "target": target})
        self.data += raw + b"\0" * (-len(raw) % 4)
        count = len(values) if kind != "SCALAR" else int(values.size)
        accessor: dict[str, Any] = {
            "bufferView": len(self.views) - 1,
            "componentType": component,
            "count": count,
            "type": kind,
        }
        if bounds:
            accessor |= {"min": values.min(axis=0).tolist(), "max": values.max(axis=0).tolist()}
        self.accessors.append(accessor)
        return len(self.accessors) - 1

    def indices(self, numbers: Numbers, corners: int) -> int:
        """Append numbers of corners."""
        small = corners < 1 << 16
        return self.add(
            numbers.astype("<u2" if small else "<u4").ravel(), "SCALAR", _SHORT if small else _LONG, _INDICES
        )


def _mesh(store: _Store, mesh: GlbMesh, material: int) -> dict[str, Any]:
    place = store.add(mesh.points.astype("<f4"), "VEC3", _FLOAT, _CORNERS, bounds=True)
    attributes = {"POSITION": place, "NORMAL": store.add(mesh.normals.astype("<f4"), "VEC3", _FLOAT, _CORNERS)}
    if mesh.values is not None:
        attributes["_WALL"] = store.add(mesh.values.astype("<f4"), "SCALAR", _FLOAT, _CORNERS)
    faces = {
        "attributes": attributes,
        "indices": store.indices(mesh.triangles, len(mesh.points)),
        "mode": _TRIANGLES,
        "material": material,
    }
    listed = [faces]
    if len(mesh.edges):
        edges = store.indices(mesh.edges, len(mesh.points))
        listed.append({"attributes": {"POSITION": place}, "indices": edges, "mode": _LINES})
    return {"name": mesh.name, "primitives": listed}


def _node(node: GlbNode) -> dict[str, Any]:
    matrix = [_tidy(value) for column in zip(*node.place.matrix, strict=True) for value in column]
    record: dict[str, Any] = {"name": node.name, "mesh": node.mesh}
    if matrix != [float(i % 5 == 0) for i in range(16)]:
        record["matrix"] = matrix
    return record | ({"extras": dict(node.extras)} if node.extras else {})


def _tidy(value: Mm) -> float:
    return round(value, 9) + 0.0


def _material(colour: Colour) -> dict[str, Any]:
    linear = [_tidy(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4) for c in colour]
    look = {"baseColorFactor": [*linear, 1.0], "metallicFactor": 0.0, "roughnessFactor": 0.8}
    return {"pbrMetallicRoughness": look}
