"""Still pictures by a software z-buffer: the same bytes each time, and no graphics library.

A scene is seen in parallel projection, so that depth is a plane over each triangle.  Runs of pixels across triangles
are laid out as one array, and the nearest triangle of each pixel is kept.  Each line then looks which surface was kept
beside it: it is drawn where that is one of its own.  All of it is drawn ``SAMPLES`` times as large, band by band, and
averaged.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from mouldgeom.drawing.colours import CONCRETE_COLOUR, CUT_COLOUR, GROUP_COLOURS, TUBE_COLOUR, Colour
from mouldgeom.errors import FolderError, InputError
from mouldgeom.geometry.outline import SAME
from mouldgeom.geometry.placement import Placement
from mouldgeom.identity import FOOT, FRONT_PANEL, LEFT_PANEL, LID, STAND, RowRole, for_casting
from mouldgeom.model.assembly import Mould
from mouldgeom.model.mesh import Floats, Mesh, Surface, part_mesh, surface_of
from mouldgeom.model.shapes import Group
from mouldgeom.units import Deg, Mm, Ratio

if TYPE_CHECKING:
    import cadquery as cq

    from mouldgeom.solids import SolidMould

Pixels = NDArray[np.uint8]
Whole = NDArray[np.int64]

HERE: Final = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
"""The placement that moves nothing."""
SAMPLES: Final = 3
"""Samples along each side of a pixel."""

_FAR: Final = 1e4
_SKIN: Final = 0.6
_PAPER: Final = 1.0
_FLAT: Final = 1e-6
_INK: Final[Colour] = (0.10, 0.11, 0.13)
_REACH: Final = 2
_HALO: Final = 2 * _REACH
_STEP: Final = 0.7
_CHUNK: Final = 1 << 13
_BAND: Final = 48
_DEPTH_UNIT: Final = 2.0**-22
_ID_BITS: Final = 24
_ID_MASK: Final = (1 << _ID_BITS) - 1
_NOTHING: Final = np.iinfo(np.int64).max
_NEAR_LINE: Final = 18.0
_AMBIENT: Final = 0.58
_LIGHTS: Final = (((-0.35, 0.60, 0.72), 0.42), ((0.60, 0.10, 0.80), 0.18))
"""Directions to the two lights as right, up and towards the eye, and their strengths."""


@dataclass(frozen=True, eq=False)
class SceneItem:
    """One mesh of a scene, its colour, and its place."""

    mesh: Mesh
    colour: Colour
    placement: Placement = HERE


@dataclass(frozen=True, slots=True)
class Camera:
    """A parallel view that frames the whole scene.

    Args:
        azimuth: 0 looks from the front (from -y), 90 from +x.
        elevation: 0 looks level, 90 straight down.
        margin: free border, a part of the picture's width or height.
    """

    azimuth: Deg
    elevation: Deg
    margin: Ratio = 0.03

    @property
    def axes(self) -> Floats:
        """Rows: unit vectors to the right, up, and towards the eye."""
        turn, rise = math.radians(self.azimuth), math.radians(self.elevation)
        right = np.array([math.cos(turn), math.sin(turn), 0.0])
        eye = np.array([math.sin(turn) * math.cos(rise), -math.cos(turn) * math.cos(rise), math.sin(rise)])
        return np.stack((right, np.cross(eye, right), eye))


def render(scene: Sequence[SceneItem], camera: Camera, width: int, height: int) -> Pixels:
    """Draw a scene on white: (height, width, 3) uint8, sRGB.

    Raises:
        InputError: the scene is empty.
    """
    if not scene:
        raise InputError("scene", "0 items", "a picture needs at least one", "Add an item.")
    view = _View.of(scene, camera, width * SAMPLES, height * SAMPLES)
    runs, marks = _runs(view), _marks(view)
    picture = np.empty((height, width, 3), dtype=np.uint8)
    for top in range(0, height, _BAND):
        band = range(top * SAMPLES, min(top + _BAND, height) * SAMPLES)
        key = _rasterise(view, runs, band)
        fine = _shade(view, key, band)
        fine[_inked(view, marks, key, band)] = _INK
        fine = fine[_HALO:-_HALO]
        down = np.add.reduce([fine[i::SAMPLES] for i in range(SAMPLES)])
        across = np.add.reduce([down[:, i::SAMPLES] for i in range(SAMPLES)])
        picture[top : top + _BAND] = np.rint(across * (255 / SAMPLES**2))
    return picture


@dataclass(frozen=True, eq=False)
class _View:
    """The scene in fine pixels: x to the right, y down, and depth away from the eye in the same unit.

    Of the triangles that face the eye: ``corners`` (t, 3, 3); ``shades`` (t, 3), the light's rise to the right, its
    rise downwards and its value at the first fine pixel, and its ``limits`` (t, 2); ``colour`` (t, 3); ``patch`` (t,).
    ``lines`` (l, 2, 3) are the lines that might be seen, ``beside`` (l, 2) their visible patches, or -1.
    """

    width: int
    height: int
    corners: Floats
    shades: Floats
    limits: Floats
    colour: NDArray[np.float32]
    patch: Whole
    lines: Floats
    beside: Whole

    @staticmethod
    def of(scene: Sequence[SceneItem], camera: Camera, width: int, height: int) -> _View:
        axes = camera.axes
        surfaces: dict[int, Surface] = {}
        turned, points = [], []
        for item in scene:
            matrix = np.array(item.placement.matrix)
            turn = axes @ matrix[:3, :3]
            turned.append(turn)
            points.append(item.mesh.vertices @ turn.T + axes @ matrix[:3, 3])
        everything = np.concatenate(points)
        low, high = everything.min(axis=0), everything.max(axis=0)
        room = 1 - 2 * camera.margin
        scale = room * min(width / (high[0] - low[0]), height / (high[1] - low[1]))
        middle = (low + high) / 2
        corners, light, colour, patch, lines, beside, patches = [], [], [], [], [], [], 0
        for item, turn, seen in zip(scene, turned, points, strict=True):
            surface = surfaces.get(id(item.mesh)) or surface_of(item.mesh)
            surfaces[id(item.mesh)] = surface
            spot = (seen - middle) * (scale, -scale, -scale) + (width / 2, height / 2, 0.0)
            at = spot[item.mesh.triangles]
            ahead = _area(at) < 0  # y runs down
            corners.append(at[ahead])
            light.append(_light(surface.normals[ahead] @ turn.T))
            colour.append(np.broadcast_to(np.array(item.colour, dtype=np.float32), (int(ahead.sum()), 3)))
            patch.append(surface.patch[ahead] + patches)
            facing = ahead[surface.sides]
            drawn = facing.any(axis=1) & (surface.sharp | ~facing.all(axis=1))
            lines.append(spot[surface.pairs[drawn]])
            beside.append(np.where(facing[drawn], surface.patch[surface.sides[drawn]] + patches, -1))
            patches += len(surface.patch)
        spots, lights = np.concatenate(corners), np.concatenate(light)
        shades = _plane(spots, lights)
        shades[:, 2] += shades[:, 0] * (0.5 - spots[:, 0, 0]) + shades[:, 1] * (0.5 - spots[:, 0, 1])
        return _View(
            width=width,
            height=height,
            corners=spots,
            shades=shades,
            limits=np.stack((lights.min(axis=1), lights.max(axis=1)), axis=1),
            colour=np.concatenate(colour),
            patch=np.concatenate(patch),
            lines=np.concatenate(lines),
            beside=np.concatenate(beside),
        )


def _area(at: Floats) -> Floats:
    """Twice the signed area of triangles on the picture."""
    a, b, c = at[:, 0], at[:, 1], at[:, 2]
    return np.asarray((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]))


def _light(normals: Floats) -> Floats:
    """Brightness for unit normals given as right, up, towards the eye."""
    total = np.full(normals.shape[:-1], _AMBIENT)
    for direction, strength in _LIGHTS:
        unit = np.array(direction) / np.linalg.norm(direction)
        total += strength * np.maximum(0.0, normals @ unit)
    return total


def _plane(corners: Floats, value: Floats) -> Floats:
    """Rise to the right, rise downwards, and value at the first corner, (t, 3), of values given at triangle corners."""
    area = _area(corners)
    x, y = corners[:, :, 0], corners[:, :, 1]
    one, two = value[:, 1] - value[:, 0], value[:, 2] - value[:, 0]
    right = (one * (y[:, 2] - y[:, 0]) - two * (y[:, 1] - y[:, 0])) / area
    down = (two * (x[:, 1] - x[:, 0]) - one * (x[:, 2] - x[:, 0])) / area
    return np.stack((right, down, value[:, 0]), axis=1)


@dataclass(frozen=True, eq=False)
class _Runs:
    """Runs of fine pixels whose middles lie in a triangle, by row: ``base`` is the first key, ``step`` its rise."""

    row: Whole
    first: Whole
    count: Whole
    base: Whole
    step: Whole


def _runs(view: _View) -> _Runs:
    """Find the runs of all triangles."""
    x, y = view.corners[:, :, 0], view.corners[:, :, 1]
    top = np.clip(np.ceil(y.min(axis=1) - 0.5), 0, view.height).astype(np.int64)
    end = np.clip(np.ceil(y.max(axis=1) - 0.5), 0, view.height).astype(np.int64)
    triangle, rank = _expand(end - top)
    row = top[triangle] + rank
    middle = row + 0.5
    left, right = np.full(len(row), -np.inf), np.full(len(row), np.inf)
    for i in range(3):
        j = (i + 1) % 3
        # both triangles beside an edge work from its upper end, so that their runs meet without gap or overlap
        swap = (y[:, i] > y[:, j]) | ((y[:, i] == y[:, j]) & (x[:, i] > x[:, j]))
        x0, y0 = np.where(swap, x[:, j], x[:, i]), np.where(swap, y[:, j], y[:, i])
        x1, y1 = np.where(swap, x[:, i], x[:, j]), np.where(swap, y[:, i], y[:, j])
        level = y0 == y1
        lean = (x1 - x0) / np.where(level, 1.0, y1 - y0)
        cross = x0[triangle] + (middle - y0[triangle]) * lean[triangle]
        up, down = (swap & ~level)[triangle], (~swap & ~level)[triangle]
        # anticlockwise on the picture: edges run down on the left and up on the right
        left = np.where(down, np.maximum(left, cross), left)
        right = np.where(up, np.minimum(right, cross), right)
    first = np.clip(np.ceil(left - 0.5), 0, view.width).astype(np.int64)
    count = np.clip(np.ceil(right - 0.5), 0, view.width).astype(np.int64) - first
    order = np.argsort(row, kind="stable")
    order = order[count[order] > 0]
    triangle, row, first, count = triangle[order], row[order], first[order], count[order]
    depth = view.corners[:, :, 2]
    plane, corner = _plane(view.corners, depth)[triangle], view.corners[triangle, 0]
    nearest, farthest = depth.min(axis=1)[triangle], depth.max(axis=1)[triangle]
    start = plane[:, 2] + plane[:, 0] * (first + 0.5 - corner[:, 0]) + plane[:, 1] * (row + 0.5 - corner[:, 1])
    last = np.clip(start + plane[:, 0] * (count - 1), nearest, farthest)
    start = np.clip(start, nearest, farthest)
    step = np.rint((last - start) / np.maximum(1, count - 1) / _DEPTH_UNIT).astype(np.int64) << _ID_BITS
    base = (np.rint(start / _DEPTH_UNIT).astype(np.int64) << _ID_BITS) + triangle
    return _Runs(row, first, count, base, step)


def _expand(counts: Whole) -> tuple[Whole, Whole]:
    """For counts (2, 0, 3): owners (0, 0, 2, 2, 2) and ranks (0, 1, 0, 1, 2)."""
    owner = np.repeat(np.arange(len(counts)), counts)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)


def _rasterise(view: _View, runs: _Runs, band: range) -> Whole:
    """Keys (depth and triangle in one number) of what is nearest, for a band and ``_HALO`` rows more on each side."""
    top, end = band.start - _HALO, band.stop + _HALO
    key = np.full((end - top) * view.width, _NOTHING)
    start, stop = np.searchsorted(runs.row, (top, end))
    for some in range(start, stop, _CHUNK):
        part = slice(some, min(some + _CHUNK, stop))
        owner, rank = _expand(runs.count[part])
        place = (runs.row[part] - top) * view.width + runs.first[part]
        np.minimum.at(key, place[owner] + rank, runs.base[part][owner] + runs.step[part][owner] * rank)
    return key.reshape(-1, view.width)


def _shade(view: _View, key: Whole, band: range) -> NDArray[np.float32]:
    """Colours of the fine pixels of a band and its halo, (rows, width, 3), 0 to 1."""
    picture = np.full((*key.shape, 3), _PAPER, dtype=np.float32)
    place = np.flatnonzero(key != _NOTHING)
    triangle = key.ravel()[place] & _ID_MASK
    colour = np.minimum(view.colour * view.limits[:, :1].astype(np.float32), 1)[triangle]
    curved = np.flatnonzero((np.ptp(view.limits, axis=1) > _FLAT)[triangle])
    owner, (row, column) = triangle[curved], np.divmod(place[curved], view.width)
    right, down, start = view.shades[owner].T
    light = np.clip(start + right * column + down * (row + (band.start - _HALO)), *view.limits[owner].T)
    colour[curved] = np.minimum(view.colour[owner] * light[:, None].astype(np.float32), 1)
    picture.reshape(-1, 3)[place] = colour
    return picture


@dataclass(frozen=True, eq=False)
class _Marks:
    """Points close together along the lines that might be seen, by row; ``beside`` (n, 2) as for the lines."""

    row: Whole
    column: Whole
    depth: Floats
    beside: Whole


def _marks(view: _View) -> _Marks:
    """Place the points."""
    a, b = view.lines[:, 0], view.lines[:, 1]
    counts = np.ceil(np.linalg.norm((b - a)[:, :2], axis=1) / _STEP).astype(np.int64) + 1
    line, rank = _expand(counts)
    spot = a[line] + (b - a)[line] * (rank / np.maximum(1, counts - 1)[line])[:, None]
    column, row = np.floor(spot[:, :2]).astype(np.int64).T
    order = np.argsort(row, kind="stable")
    order = order[(column[order] >= _HALO) & (column[order] < view.width - _HALO)]
    return _Marks(row[order], column[order], spot[order, 2], view.beside[line[order]])


def _inked(view: _View, marks: _Marks, key: Whole, band: range) -> NDArray[np.bool_]:
    """Fine pixels of a band and its halo that a visible line covers (in the halo: some of them)."""
    top = band.start - _HALO
    start, stop = np.searchsorted(marks.row, (band.start - _REACH, band.stop + _REACH))
    place = (marks.row[start:stop] - top) * view.width + marks.column[start:stop]
    depth, (one, two) = marks.depth[start:stop], marks.beside[start:stop].T
    patch, nearest = np.append(view.patch, -2), key.ravel()  # the last patch stands for paper
    seen = np.zeros(len(place), dtype=np.bool_)
    for dy in (-1, 0, 1):
        for dx in (-1, 0, 1):
            found = nearest[place + (dy * view.width + dx)]
            shown = patch[np.minimum(found & _ID_MASK, len(view.patch))]
            near = np.abs((found >> _ID_BITS) * _DEPTH_UNIT - depth) < _NEAR_LINE
            seen |= ((shown == one) | (shown == two)) & near
    mask = np.zeros(key.size, dtype=np.bool_)
    for dy in range(-_REACH, _REACH + 1):
        for dx in range(-_REACH, _REACH + 1):
            if dx * dx + dy * dy <= _REACH**2:
                mask[place[seen] + (dy * view.width + dx)] = True
    return mask.reshape(key.shape)


class PictureKind(StrEnum):
    """The pictures of a mould."""

    CLOSED = "closed"
    OPEN = "open"
    SECTION = "section"
    EXTRACTION = "extraction"


_VIEWS: Final[dict[PictureKind, tuple[Camera, int, int]]] = {
    PictureKind.CLOSED: (Camera(35.0, 28.0), 1200, 1600),
    PictureKind.OPEN: (Camera(35.0, 28.0), 1600, 1200),
    PictureKind.SECTION: (Camera(58.0, 20.0), 1200, 1600),
    PictureKind.EXTRACTION: (Camera(-38.0, 15.0), 1200, 1600),
}


def mould_picture(solid_mould: SolidMould, kind: PictureKind, width: int | None = None) -> Pixels:
    """Draw a mould, ``width`` pixels wide (left out: 1600, upright pictures 1200); the height follows.

    ``CLOSED``: ready for casting, from the front left above.  ``OPEN``: the front and left panels taken off the core,
    no concrete.  ``SECTION``: the upright filter, half of it, with its tube.  ``EXTRACTION``: turned upright, what
    draws the core fitted, the core drawn by the stroke, a quarter of box, concrete and core cut away.
    """
    camera, wide, high = _VIEWS[PictureKind(kind)]
    scene = {
        PictureKind.CLOSED: _closed,
        PictureKind.OPEN: _open,
        PictureKind.SECTION: _section,
        PictureKind.EXTRACTION: _extraction,
    }[PictureKind(kind)](solid_mould)
    return render(scene, camera, width or wide, round((width or wide) * high / wide))


def _moved(x: Mm = 0.0, y: Mm = 0.0, z: Mm = 0.0) -> Placement:
    return Placement((x, y, z), HERE.x, HERE.y)


def _upright(mould: Mould) -> Placement:
    """From the casting frame to the upright frame: a half turn about y."""
    return Placement((0.0, 0.0, mould.dims.height), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


def _tube(solid_mould: SolidMould, at: Placement = HERE) -> SceneItem:
    return SceneItem(_kernel_mesh(solid_mould.tube), TUBE_COLOUR, at)


def _closed(solid_mould: SolidMould) -> list[SceneItem]:
    mould = solid_mould.mould
    meshes = {part.mark: part_mesh(part) for part in mould.parts}
    fitted = (p for p in mould.pieces() if for_casting(p.id, p.unit))
    items = [SceneItem(meshes[p.mark], GROUP_COLOURS[p.part.group], p.placement) for p in fitted]
    return [*items, _tube(solid_mould)]


def _open(solid_mould: SolidMould) -> list[SceneItem]:
    """Bolts that hold two things together that now stand apart are left out."""
    mould = solid_mould.mould
    meshes = {part.mark: part_mesh(part) for part in mould.parts}
    reach = mould.dims.width + mould.dims.depth
    shift_of = {}
    for piece in mould.pieces():
        by = 0.8 if piece.unit.within(FRONT_PANEL, LID) else 0.6 if piece.unit.within(LEFT_PANEL) else 0.0
        out = FRONT_PANEL.pull if by == 0.8 else LEFT_PANEL.pull
        shift_of[piece.id] = _moved(*(by * reach * d for d in out)) if by else HERE
    items = []
    for piece in mould.pieces():
        row = next((r for r in mould.rows if r.id == piece.id.row), None)
        shift = {shift_of[member] for member in (row.members if row else (piece.id,))}
        if len(shift) == 1 and for_casting(piece.id, piece.unit):
            at = shift.pop().of(piece.placement)
            items.append(SceneItem(meshes[piece.mark], GROUP_COLOURS[piece.part.group], at))
    return items


def _kernel_mesh(shape: cq.Shape) -> Mesh:
    from mouldgeom.solids import body_mesh  # the kernel takes seconds to load, and ``render`` does not need it

    return body_mesh(shape)


def _block(x0: Mm, y0: Mm, x1: Mm, y1: Mm) -> cq.Solid:
    """Endless upright block to cut with."""
    import cadquery as cq  # the kernel takes seconds to load, and ``render`` does not need it

    return cq.Solid.makeBox(x1 - x0, y1 - y0, 2 * _FAR, cq.Vector(x0, y0, -_FAR))


def _opened(body: cq.Shape, tool: cq.Solid, deeper: cq.Solid, at: Placement) -> list[SceneItem]:
    """Concrete cut by ``tool``; what lies between it and ``deeper`` is a skin that gives the cut its colour."""
    return [
        SceneItem(_kernel_mesh(body.cut(deeper)), CONCRETE_COLOUR, at),
        SceneItem(_kernel_mesh(body.cut(tool).intersect(deeper)), CUT_COLOUR, at),
    ]


def _section(solid_mould: SolidMould) -> list[SceneItem]:
    at = _upright(solid_mould.mould)
    tool, deeper = _block(-_FAR, -_FAR, 0.0, _FAR), _block(-_FAR, -_FAR, _SKIN, _FAR)
    return [*_opened(solid_mould.body, tool, deeper, at), _tube(solid_mould, at)]


def _extraction(solid_mould: SolidMould) -> list[SceneItem]:
    mould = solid_mould.mould
    still = _upright(mould)
    drawn = _moved(z=mould.dims.stroke).of(still)
    tool, deeper = _block(0.0, -_FAR, _FAR, 0.0), _block(-_SKIN, -_FAR, _FAR, _SKIN)
    items = [*_opened(solid_mould.body, tool, deeper, still), _tube(solid_mould, still)]
    meshes = {part.mark: part_mesh(part) for part in mould.parts}
    for piece, solid in zip(mould.pieces(), solid_mould.pieces, strict=True):
        group, (x, y, _), box = piece.part.group, piece.placement.origin, solid.shape.BoundingBox()
        row = piece.id.row
        if piece.unit.within(STAND) or (row and (row.role is RowRole.BASE or (x > SAME and y < -SAME))):
            continue
        at = drawn if piece.unit.within(FOOT) else still
        if group in (Group.OUTER_BOX, Group.CORE, Group.NOSE) and box.xmax > SAME and box.ymin < -SAME:
            rest = solid.shape.cut(tool)
            items += [SceneItem(_kernel_mesh(rest), GROUP_COLOURS[group], at)] if rest.Solids() else []
        else:
            items.append(SceneItem(meshes[piece.mark], GROUP_COLOURS[group], at.of(piece.placement)))
    return items


def png_bytes(pixels: Pixels) -> bytes:
    """The PNG file of (height, width, 3) uint8 pixels, sRGB, without time or text.

    Source: ISO/IEC 15948:2004 (Portable Network Graphics), clauses 5, 9 and 11 (from memory).
    """
    height, width, _ = pixels.shape
    raw = pixels.reshape(height, width * 3).astype(np.int16)
    left = np.pad(raw, ((0, 0), (3, 0)))[:, :-3]
    above = np.pad(raw, ((1, 0), (0, 0)))[:-1]
    corner = np.pad(raw, ((1, 0), (3, 0)))[:-1, :-3]
    guess = left + above - corner
    to_left, to_above, to_corner = abs(guess - left), abs(guess - above), abs(guess - corner)
    best = np.where(to_above <= to_corner, above, corner)
    paeth = np.where((to_left <= to_above) & (to_left <= to_corner), left, best)
    filtered = np.stack([raw, raw - left, raw - above, raw - (left + above) // 2, raw - paeth]).astype(np.uint8)
    cost = np.abs(filtered.view(np.int8).astype(np.int16)).sum(axis=2, dtype=np.int64)
    kind = cost.argmin(axis=0)
    lines = np.concatenate((kind[:, None].astype(np.uint8), filtered[kind, np.arange(height)]), axis=1)
    header = width.to_bytes(4, "big") + height.to_bytes(4, "big") + bytes((8, 2, 0, 0, 0))
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(lines.tobytes(), 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(kind, data) for kind, data in chunks)


def _chunk(kind: bytes, data: bytes) -> bytes:
    return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")


def write_png(path: Path, pixels: Pixels) -> None:
    """Write ``png_bytes`` into a file; its folder must exist.

    Raises:
        FolderError: the file cannot be written.
    """
    try:
        path.write_bytes(png_bytes(pixels))
    except OSError as error:
        raise FolderError("picture", str(path), f"cannot be written ({error})", "Choose another folder.") from error
