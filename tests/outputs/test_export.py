"""Exported files, as trimesh reads them: names, places, colours, closed meshes and volumes."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cadquery as cq
import numpy as np
import pytest
import trimesh
from conftest import Run
from test_casting import made

from mouldgeom.drawing.colours import CONCRETE_COLOUR, GROUP_COLOURS, TUBE_COLOUR
from mouldgeom.errors import FolderError, InputError
from mouldgeom.model.assembly import Mould
from mouldgeom.model.mesh import CHORD, part_mesh
from mouldgeom.outputs.export import export_mould
from mouldgeom.solids import SolidMould

pytestmark = pytest.mark.slow(seconds=12)

ROUNDED = 1e-3
"""What rounded places take from a volume."""


def volume_of(shape: cq.Shape) -> Any:
    """Volume of a solid, and what its mesh may lose of it: chords lie within ``CHORD`` of curved faces."""
    curved = sum(face.Area() for face in shape.Faces() if face.geomType() != "PLANE")
    return pytest.approx(shape.Volume(), abs=CHORD * curved + ROUNDED * shape.Volume())


def written(mould: Mould | SolidMould, folder: Path, ending: str, *, concrete: bool = False) -> bytes:
    path = folder / f"mould{ending}"
    export_mould(mould, path, concrete=concrete)
    assert [one.name for one in folder.iterdir()] == [path.name]
    path_bytes = path.read_bytes()
    path.unlink()
    return path_bytes


# ---------------------------------------------------------------- STEP


def test_step_is_that_of_the_package(hill_solids: SolidMould, tmp_path: Path) -> None:
    files = made(hill_solids)
    assert written(hill_solids, tmp_path, ".step") == files["solid/mould.step"]
    assert written(hill_solids.mould, tmp_path, ".STEP", concrete=True) == files["solid/casting.step"]


# ---------------------------------------------------------------- glTF


def solids_of(content: bytes) -> dict[str, trimesh.Trimesh]:
    """Every named body of a glTF file where it stands, in mm, z up."""
    scene: Any = trimesh.load(io.BytesIO(content), file_type="glb")
    out = {}
    for node in scene.graph.nodes_geometry:
        matrix, name = scene.graph[node]
        if isinstance(scene.geometry[name], trimesh.Trimesh):
            body = scene.geometry[name].copy().apply_transform(matrix).apply_scale(1000)
            body.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, (1, 0, 0)))
            body.merge_vertices(merge_norm=True, merge_tex=True)
            out[str(scene.graph.transforms.parents[node])] = body  # below it, faces and lines each have a node
    return out


def shade(body: trimesh.Trimesh) -> tuple[float, ...]:
    """The colour of a body as sRGB, from bytes of linear light."""
    look: Any = body.visual
    linear = np.asarray(look.material.baseColorFactor[:3], dtype=float)
    linear = linear / 255 if linear.max() > 1 else linear
    return tuple(np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055))


def test_glb_names_places_and_colours(hill_solids: SolidMould, tmp_path: Path) -> None:
    bodies = solids_of(written(hill_solids, tmp_path, ".glb", concrete=True))
    assert set(bodies) == {*(piece.name for piece in hill_solids.pieces), "concrete", "tube"}
    for piece in hill_solids.pieces:
        box, (low, high) = piece.shape.BoundingBox(), bodies[piece.name].bounds
        assert low == pytest.approx((box.xmin, box.ymin, box.zmin), abs=0.1)
        assert high == pytest.approx((box.xmax, box.ymax, box.zmax), abs=0.1)
        assert shade(bodies[piece.name]) == pytest.approx(GROUP_COLOURS[piece.part.group], abs=0.015)
    assert shade(bodies["concrete"]) == pytest.approx(CONCRETE_COLOUR, abs=0.015)
    assert shade(bodies["tube"]) == pytest.approx(TUBE_COLOUR, abs=0.015)


def test_glb_is_closed_and_weighs_what_the_lists_say(hill_solids: SolidMould, tmp_path: Path) -> None:
    mould = hill_solids.mould
    bodies = solids_of(written(hill_solids, tmp_path, ".glb", concrete=True))
    assert all(body.is_watertight for body in bodies.values())
    density = mould.dims.stock.steel.density_kg_m3 * 1e-9
    for plate in mould.plates:
        for stand in plate.stands:
            assert bodies[stand.id.name].volume * density == pytest.approx(mould.mass(plate), rel=2e-3)
    for piece in hill_solids.pieces:
        assert bodies[piece.name].volume == volume_of(piece.shape)
    assert bodies["concrete"].volume == volume_of(hill_solids.body)
    assert bodies["tube"].volume == volume_of(hill_solids.hollow_tube)


# ---------------------------------------------------------------- STL


def test_stl_is_one_closed_mesh_for_each_piece(hill_solids: SolidMould, tmp_path: Path) -> None:
    content = written(hill_solids, tmp_path, ".stl", concrete=True)
    whole: Any = trimesh.load(io.BytesIO(content), file_type="stl", process=False)
    ends = np.cumsum([len(part_mesh(piece.part).triangles) for piece in hill_solids.pieces])
    *pieces, cast = np.split(whole.triangles, ends)

    def body(triangles: Any) -> trimesh.Trimesh:
        return trimesh.Trimesh(**trimesh.triangles.to_kwargs(triangles))

    for piece, triangles in zip(hill_solids.pieces, pieces, strict=True):
        one = body(triangles)
        assert one.is_watertight
        assert one.volume == volume_of(piece.shape)
        assert one.center_mass == pytest.approx(piece.shape.Center().toTuple(), abs=0.05)
    # the tube touches the concrete all round, and parts them by the number of triangles alone
    assert body(cast).volume == pytest.approx(hill_solids.body.Volume() + hill_solids.hollow_tube.Volume(), rel=1e-4)
    volumes = sum(piece.shape.Volume() for piece in hill_solids.pieces)
    alone: Any = trimesh.load(io.BytesIO(written(hill_solids, tmp_path, ".stl")), file_type="stl", process=False)
    assert len(alone.triangles) == ends[-1]
    assert alone.volume == pytest.approx(volumes, rel=1e-3)


def test_stl_normals_point_out_and_nothing_lies_between(hill: Mould, tmp_path: Path) -> None:
    content = written(hill, tmp_path, ".stl")
    assert not content.startswith(b"solid")
    assert b"mm" in content[:80]
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("nothing", "<u2")])
    rows = np.frombuffer(content, record, offset=84)
    assert len(rows) == int.from_bytes(content[80:84], "little")
    a, b, c = np.moveaxis(rows["corners"].astype(float), 1, 0)
    across = np.cross(b - a, c - a)
    length = np.linalg.norm(across, axis=1)
    assert (length > 0).all()
    assert np.abs(across / length[:, None] - rows["normal"]).max() < 2e-3
    assert not rows["nothing"].any()


# ---------------------------------------------------------------- bytes, kernel, refusals


@pytest.mark.parametrize("ending", [".stl", ".glb"])
def test_the_mould_alone_is_the_same_without_the_kernel(hill: Mould, ending: str, tmp_path: Path, run: Run) -> None:
    code = (
        "import sys; from mouldgeom import load; from mouldgeom.model.assembly import build\n"
        "from mouldgeom.outputs.export import export_mould\n"
        "export_mould(build(load('hill-example')), sys.argv[1])\n"
        "print([m for m in sys.modules if m.split('.')[0] in ('cadquery', 'OCP')])"
    )
    other = tmp_path / "other"
    other.mkdir()
    done = run("-c", code, other / f"m{ending}", env={"PYTHONHASHSEED": "77"})
    assert (done.returncode, done.stdout.strip()) == (0, "[]"), done.stderr
    here = tmp_path / "here"
    here.mkdir()
    assert (other / f"m{ending}").read_bytes() == written(hill, here, ending)


def endings() -> Iterator[str]:
    yield from ("mould.obj", "mould", ".step", "mould.stl.gz")


@pytest.mark.parametrize("name", endings())
def test_another_ending_is_refused(hill: Mould, name: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"^path = .*its ending must be one of \.step, \.stl, \.glb\. Choose"):
        export_mould(hill, tmp_path / name)
    assert not [*tmp_path.iterdir()]


def test_a_file_that_is_there_stays_if_it_is_to(hill: Mould, tmp_path: Path) -> None:
    path = tmp_path / "mould.stl"
    path.write_bytes(b"mine")
    with pytest.raises(FolderError, match="it is there already"):
        export_mould(hill, path, over=False)
    assert path.read_bytes() == b"mine"
    export_mould(hill, path)
    assert len(path.read_bytes()) > 1000
    with pytest.raises(FolderError, match="cannot be written"):
        export_mould(hill, tmp_path / "none" / "mould.stl")
