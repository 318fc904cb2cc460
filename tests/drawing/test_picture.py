"""Meshes, pictures and colours: what they must look like, worked out without them."""

from __future__ import annotations

import hashlib
import io
import itertools
import math
import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from conftest import ROOT, bridged, stands
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray
from PIL import Image
from random_specs import profile

from mouldgeom.drawing.colours import CONCRETE_COLOUR, CUT_COLOUR, GROUP_COLOURS, TUBE_COLOUR, Colour
from mouldgeom.drawing.picture import (
    HERE,
    Camera,
    PictureKind,
    Pixels,
    SceneItem,
    mould_picture,
    png_bytes,
    render,
    write_png,
)
from mouldgeom.errors import FolderError, GeometryError, InputError
from mouldgeom.geometry.outline import Outline, Vertex
from mouldgeom.geometry.placement import Placement
from mouldgeom.model.assembly import build
from mouldgeom.model.mesh import (
    bar_mesh,
    circle,
    make_mesh,
    part_mesh,
    prism,
    ring,
    surface_of,
    triangulate,
)
from mouldgeom.model.shapes import Bar, BarHole, Fastener, FastenerKind, Group, HolePurpose, SectionKind
from mouldgeom.solids import SolidMould
from mouldgeom.spec import load
from mouldgeom.spec.fields import Gear

pytestmark = pytest.mark.slow

DRAWINGS = ROOT / "drawings"
RED: Colour = (0.9, 0.1, 0.1)
BLUE: Colour = (0.1, 0.1, 0.9)


@cache
def solid_mould(gear: Gear = Gear.FORCING) -> SolidMould:
    spec = load("hill-example")
    return SolidMould(build(bridged(spec) if gear is Gear.BRIDGE else spec))


@cache
def picture(kind: PictureKind, gear: Gear = Gear.FORCING) -> Pixels:
    return mould_picture(solid_mould(gear), kind)


def box(x: float, y: float, z: float, colour: Colour, at: tuple[float, float, float] = (0, 0, 0)) -> SceneItem:
    mesh = prism([[(0, 0), (x, 0), (x, y), (0, y)]], 0, z)
    return SceneItem(mesh, colour, Placement(at, HERE.x, HERE.y))


def looks(pixels: Pixels, colour: Colour) -> NDArray[np.bool_]:
    """Pixels whose hue and saturation are those of a colour, in more or less light."""
    seen, asked = pixels.astype(float), np.array(colour)
    bright = seen.max(axis=2)
    near = np.abs(seen / np.maximum(bright, 1)[..., None] - asked / asked.max()).max(axis=2) < 0.03
    return np.asarray(near & (bright > 40) & (pixels.min(axis=2) < 250))


# meshes


@given(
    st.integers(1, 4),
    st.integers(1, 3),
    st.floats(2.0, 18.0),
    st.floats(0.001, 0.5),
)
@profile(60)
def test_triangles_cover_a_face_with_holes(across: int, up: int, diameter: float, chord: float) -> None:
    centres = [(20.0 * i + 10, 20.0 * j + 10) for i in range(across) for j in range(up)]
    rings = [[(0, 0), (20.0 * across, 0), (20.0 * across, 20.0 * up), (0, 20.0 * up)]]
    rings += [circle(diameter, chord, centre) for centre in centres]
    points = np.array([p for r in rings for p in r])
    a, b, c = np.moveaxis(points[np.array(triangulate(rings))], 1, 0)
    areas = ((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])) / 2
    corners = len(rings[1])
    hole = corners * diameter**2 / 8 * math.sin(2 * math.pi / corners)
    assert areas.min() > 0
    assert areas.sum() == pytest.approx(400 * across * up - len(centres) * hole, rel=1e-9)


def test_touching_rings_are_refused() -> None:
    square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
    with pytest.raises(GeometryError, match="cannot be cut into triangles"):
        triangulate([square, [(0.0, 0.0), (5.0, 2.0), (2.0, 5.0)]])


@given(st.floats(0.5, 500.0), st.floats(0.001, 1.0))
@profile(60)
def test_chords_stay_close_to_their_arc(radius: float, chord: float) -> None:
    half = Outline((Vertex(-radius, 0, 1.0), Vertex(radius, 0)))
    points = np.array([p for p in ring(half, chord) if p[1] < -1e-9] + [(radius, 0.0)])
    assert np.hypot(*points.T) == pytest.approx(radius)
    middles = (points[1:] + points[:-1]) / 2
    assert radius - np.hypot(*middles.T).min() <= chord * 1.001
    assert np.hypot(*np.diff(points, axis=0).T).max() <= 2 * radius * math.sin(math.pi / 16) + 1e-9


def test_an_open_surface_is_refused() -> None:
    vertices = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], dtype=float)
    triangles = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]], dtype=np.int32)
    assert make_mesh(vertices, triangles).volume == pytest.approx(1 / 6)
    with pytest.raises(GeometryError, match="not closed"):
        make_mesh(vertices, triangles[:3])
    triangles[0] = triangles[0][::-1]
    with pytest.raises(GeometryError, match="not closed"):
        make_mesh(vertices, triangles)


def test_feature_lines_of_a_nut_and_smooth_surfaces() -> None:
    nut = part_mesh(Fastener(Group.FASTENERS, stands(HERE), FastenerKind.NUT, "M10", 8.4))
    rim = len(circle(10.0))
    assert len(nut.edges) == 18 + 2 * rim
    surface = surface_of(nut)
    assert len(np.unique(surface.patch)) == 6 + 2 + 1
    assert surface.sharp.sum() == len(nut.edges)
    assert np.linalg.norm(surface.normals, axis=2) == pytest.approx(1.0)


def test_normals_of_a_rod_point_away_from_its_axis() -> None:
    rod = part_mesh(Bar(Group.BASE, stands(HERE), SectionKind.ROD, "12 mm", 100.0))
    surface = surface_of(rod)
    wall = np.abs(surface.normals[:, :, 2]).max(axis=1) < 0.5
    radial = rod.vertices[rod.triangles[wall]][:, :, :2] / 6.0
    assert np.abs(surface.normals[wall][:, :, :2] - radial).max() < 1e-9


@pytest.mark.parametrize(
    ("kind", "section", "offset", "along"),
    [
        (SectionKind.ANGLE, "40x40x4", 12.0, 50.0),  # into the root
        (SectionKind.ANGLE, "40x40x4", 33.0, 50.0),  # over the toe
        (SectionKind.ANGLE, "40x40x4", 22.0, 4.0),  # over the end
        (SectionKind.SQUARE_TUBE, "40x40x3", 10.0, 50.0),  # into the corner
        (SectionKind.ROD, "12 mm", 0.0, 50.0),  # no flat side
    ],
)
def test_holes_outside_flat_sides_are_refused(kind: SectionKind, section: str, offset: float, along: float) -> None:
    hole = BarHole("x", offset, along, 11.0, HolePurpose.BOLT)
    with pytest.raises(GeometryError, match="flat side"):
        bar_mesh(Bar(Group.BASE, stands(HERE), kind, section, 100.0, (hole,)))


def test_meshes_and_renderer_do_not_load_the_kernel() -> None:
    code = "import sys, mouldgeom.drawing.picture; sys.exit('cadquery' in sys.modules or 'OCP' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False).returncode == 0


# pictures


@given(st.floats(-180, 180), st.floats(5, 85))
@profile(12)
def test_a_box_covers_the_area_that_its_projection_has(azimuth: float, elevation: float) -> None:
    """The projected area of a box is the sum of its faces' areas times the cosines; lines add half their width."""
    sides, camera = (30.0, 40.0, 50.0), Camera(azimuth, elevation, 0.1)
    pixels = render([box(*sides, RED)], camera, 160, 120)
    x, y, z = sides
    eye = np.abs(camera.axes[2])
    area = eye @ (y * z, x * z, x * y)
    corners = np.array(list(itertools.product((0, x), (0, y), (0, z)))) @ camera.axes.T
    wide, high, _ = np.ptp(corners, axis=0)
    scale = 0.8 * min(160 / wide, 120 / high)
    covered = (255 - pixels[:, :, 1].astype(float)).sum() / 255
    edge = 2 * (wide + high) * scale  # no outline of a convex shape is longer
    assert area * scale**2 * 0.85 < covered < area * scale**2 + edge


def test_one_face_is_one_colour_without_seams() -> None:
    plate = part_mesh(next(p for p in solid_mould().mould.plates if p.name == "front panel"))
    pixels = render([SceneItem(plate, RED)], Camera(0.0, 90.0), 120, 300)
    panel = pixels[90:160, 12:108]  # between the bolt holes, above the opening
    assert len(np.unique(panel.reshape(-1, 3), axis=0)) == 1


def test_what_is_nearer_hides_what_is_farther_lines_too() -> None:
    wall, cube = box(100, 4, 100, RED), box(20, 20, 20, BLUE, (40, 30, 40))
    behind = render([wall, cube], Camera(0.0, 0.0), 200, 200)
    only = render([wall, box(1, 1, 1, RED, (40, 30, 40))], Camera(0.0, 0.0), 200, 200)
    assert not looks(behind, BLUE).any()
    assert np.array_equal(behind, only)
    assert looks(render([cube, wall], Camera(180.0, 0.0), 200, 200), BLUE).sum() > 900


def test_an_empty_scene_is_refused() -> None:
    with pytest.raises(InputError, match="at least one"):
        render([], Camera(0.0, 0.0), 20, 20)


@pytest.mark.parametrize("kind", PictureKind)
def test_pictures_are_framed_and_not_blank(kind: PictureKind) -> None:
    pixels = picture(kind)
    height, width, _ = pixels.shape
    assert {height, width} == {1200, 1600}
    rows, columns = np.nonzero((pixels < 250).any(axis=2))
    assert 0.15 < len(rows) / (height * width) < 0.8
    free = [rows.min() / height, 1 - rows.max() / height, columns.min() / width, 1 - columns.max() / width]
    assert min(free) > 0.02
    assert min(free) < 0.035
    assert rows.min() / height == pytest.approx(1 - rows.max() / height, abs=0.01)
    assert columns.min() / width == pytest.approx(1 - columns.max() / width, abs=0.01)


FITTED = {Group.OUTER_BOX, Group.CORE, Group.BASE, Group.NOSE}


@pytest.mark.parametrize("gear", Gear)
@pytest.mark.parametrize(
    ("kind", "shown", "hidden"),
    [
        (PictureKind.CLOSED, FITTED, {Group.EXTRACTION}),
        (PictureKind.OPEN, FITTED, {Group.EXTRACTION}),
        (PictureKind.SECTION, set(), set(Group) - {Group.FASTENERS}),
        (PictureKind.EXTRACTION, set(Group) - {Group.FASTENERS}, set()),
    ],
)
def test_pictures_show_what_they_should(kind: PictureKind, gear: Gear, shown: set[Group], hidden: set[Group]) -> None:
    """A bridge is off until the core is drawn; nut plates and pads of forcing screws are on the base plate."""
    pixels = picture(kind, gear)
    if (kind, gear) == (PictureKind.OPEN, Gear.FORCING):
        assert 1e-4 < looks(pixels, GROUP_COLOURS[Group.EXTRACTION]).mean() < 0.01
        hidden = set()
    share = {group: looks(pixels, GROUP_COLOURS[group]).mean() for group in Group}
    assert all(share[group] > 0.002 for group in shown), share
    assert all(share[group] < 1e-5 for group in hidden), share
    cut = looks(pixels, CUT_COLOUR).mean()
    assert (cut > 0.03) == (kind in (PictureKind.SECTION, PictureKind.EXTRACTION)), cut


def test_the_core_leaves_a_gap_over_the_floor_as_it_is_drawn() -> None:
    """Right below the middle: end plate, then bare concrete for the length of the stroke, then cut concrete."""
    pixels = picture(PictureKind.EXTRACTION)
    column = pixels[:, pixels.shape[1] // 2 - 60][None]
    core = np.flatnonzero(looks(column, GROUP_COLOURS[Group.CORE])[0])
    floor = np.flatnonzero(looks(column, CONCRETE_COLOUR)[0])
    cut = np.flatnonzero(looks(column, CUT_COLOUR)[0])
    assert core.max() < floor[floor > core.max()].min() < floor.max() < cut.max()


@pytest.mark.parametrize("kind", PictureKind)
def test_pictures_are_those_in_the_gallery(kind: PictureKind) -> None:
    """Other versions of the kernel may cut triangles another way: half a shade, and a bolt head's worth of pixels."""
    kept = np.asarray(Image.open(DRAWINGS / f"hill-example-{kind}.png").convert("RGB")).astype(int)
    gap = np.abs(kept - picture(kind))
    assert gap.mean() < 1.0
    assert (gap.max(axis=2) > 40).mean() < 2e-4


def test_same_bytes_in_another_process_and_in_any_order_of_hashes() -> None:
    code = (
        "import hashlib; from mouldgeom.model.assembly import build; from mouldgeom.drawing.picture import *;"
        "from mouldgeom.solids import SolidMould; from mouldgeom.spec import load;"
        "sm = SolidMould(build(load('hill-example')));"
        "[print(hashlib.sha256(png_bytes(mould_picture(sm, k, 300))).hexdigest()) for k in PictureKind]"
    )
    told = [
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
            text=True,
        ).stdout.split()
        for seed in ("1", "2")
    ]
    here = [hashlib.sha256(png_bytes(mould_picture(solid_mould(), kind, 300))).hexdigest() for kind in PictureKind]
    assert len(set(here)) == 4
    assert told == [here, here]


# files


@given(arrays(np.uint8, st.tuples(st.integers(1, 9), st.integers(1, 9), st.just(3))))
@profile(60)
def test_another_reader_finds_the_same_pixels(pixels: Pixels) -> None:
    file = io.BytesIO(png_bytes(pixels))
    Image.open(file).verify()
    read = Image.open(file)
    assert read.mode == "RGB"
    assert np.array_equal(np.asarray(read), pixels)


def test_a_file_holds_pixels_and_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    write_png(path, picture(PictureKind.CLOSED))
    data = path.read_bytes()
    assert len(data) < 400_000
    kinds, at = [], 8
    while at < len(data):
        kinds.append(data[at + 4 : at + 8])
        at += 12 + int.from_bytes(data[at : at + 4], "big")
    assert kinds == [b"IHDR", b"IDAT", b"IEND"]
    with pytest.raises(FolderError, match="cannot be written"):
        write_png(tmp_path / "none" / "a.png", picture(PictureKind.CLOSED))


# colours

DEFECTS = {
    "none": np.eye(3),
    "protan": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deutan": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritan": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}


def lab(colour: Colour, defect: str) -> NDArray[np.float64]:
    """CIELAB (D65) of an sRGB colour as an eye with this defect sees it."""
    value = np.array(colour)
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    linear = np.clip(np.asarray(DEFECTS[defect]) @ linear, 0, 1)
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]) @ linear
    x, y, z = (math.cbrt(t) if t > 216 / 24389 else (24389 / 27 * t + 16) / 116 for t in xyz / (0.9505, 1, 1.089))
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


@pytest.mark.parametrize("defect", DEFECTS)
def test_colours_are_told_apart_by_every_eye(defect: str) -> None:
    """Source: Machado, Oliveira and Fernandes, 2009, matrices for severity 1.0; CIELAB 1976 (both from memory).

    A difference of 2.3 is just noticeable side by side; 12 is five times that.
    """
    assert np.asarray(DEFECTS[defect]).sum(axis=1) == pytest.approx(1.0, abs=2e-6)
    colours = {**{group.value: colour for group, colour in GROUP_COLOURS.items()}, "tube": TUBE_COLOUR}
    colours["concrete"] = CONCRETE_COLOUR
    for (name, one), (other, two) in itertools.combinations(colours.items(), 2):
        assert np.linalg.norm(lab(one, defect) - lab(two, defect)) > 12, f"{name} and {other}"


def test_every_group_has_a_colour() -> None:
    assert set(GROUP_COLOURS) == set(Group)
    assert all(0 <= part <= 1 for colour in GROUP_COLOURS.values() for part in colour)
