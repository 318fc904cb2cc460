"""The filter cut from front to back, standing upright, with its levels."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Final

from mouldgeom.design.dimensions import Dimensions
from mouldgeom.drawing.figure import BLACK, GREY, NORMAL, SMALL, THICK, WATER, Figure, Point
from mouldgeom.filter.levels import DIFFUSER_PLAY
from mouldgeom.filter.resting import Running
from mouldgeom.units import Mm, Ratio
from mouldgeom.words import Said, Words

WIDTH: Final[Mm] = 170.0
HEIGHT: Final[Mm] = 210.0
CONCRETE: Final = "#c9c9c9"
SAND: Final = "#f2e6c4"
GRAVEL: Final = "#e3d3a6"
OVER_SAND: Final = "#9fcbe8"

_TOP: Final[Mm] = 24.0
_BOTTOM: Final[Mm] = 8.0
_LEFT: Final[Mm] = 14.0
_LABELS: Final[Mm] = 74.0
_APART: Final[Mm] = 4.4
_At = Callable[[Mm, Mm], Point]
_Half = Callable[[Mm], Mm]
_SCALES: Final = (4, 5, 6, 7, 8, 10, 12, 15, 20)


def section_figure(dims: Dimensions) -> Figure:
    """Section through the middle of nose and tube, levels named at the right."""
    levels, cavity, nose, laid = dims.levels, dims.cavity, dims.nose, dims.resting
    front, back = min(nose.tip_y, -dims.depth / 2), dims.depth / 2
    room = WIDTH - _LEFT - _LABELS, HEIGHT - _TOP - _BOTTOM
    scale = next(
        (n for n in _SCALES if (back - front) / n <= room[0] and dims.height / n <= room[1]), _SCALES[-1]
    )  # fmt: skip
    words = Said(
        "outside {width:.0f} x {depth:.0f} mm, {height:.0f} mm high; {charge:p1} l at a time; scale 1:{scale}",
        width=dims.width,
        depth=dims.depth,
        height=dims.height,
        charge=dims.spec.filter.charge,
        scale=scale,
    )
    base = _TOP + dims.height / scale
    figure = Figure(WIDTH, base + 8.0, "Filter, section from front to back", words, Words(dims.spec.papers.language))

    def at(y: Mm, level: Mm) -> Point:
        return _LEFT + (y - front) / scale, base - level / scale

    def half(level: Mm) -> Mm:
        return cavity.depth_at(level) / 2

    figure.text(_LEFT, 8.0, figure.title, NORMAL)
    figure.text(_LEFT, 13.5, words)
    figure.text(_LEFT, 18.0, "levels in mm above the underside")
    layers = (
        (levels.floor, levels.fine_gravel_bottom, GRAVEL),
        (levels.fine_gravel_bottom, levels.sand_bottom, GRAVEL),
        (levels.sand_bottom, levels.sand_top, SAND),
        (levels.sand_top, levels.rest, OVER_SAND),
        (levels.rest, levels.ledge - 1e-6, WATER),
        (levels.ledge, levels.full, WATER),
    )
    for low, high, colour in layers:
        ring = [at(-half(low), low), at(half(low), low), at(half(high), high), at(-half(high), high)]
        figure.path(ring, close=True, stroke=None, fill=colour)
    for low, high, size in (
        (levels.floor, levels.fine_gravel_bottom, 9.0),
        (levels.fine_gravel_bottom, levels.sand_bottom, 4.0),
        (levels.sand_bottom, levels.sand_top, 1.0),
    ):
        _grains(figure, at, half, low, high, size, scale)
    figure.path(_body(dims, at, half), close=True, fill=CONCRETE, width=THICK)
    _tube(figure, dims, at, scale)
    for level in (*sorted({laid.lowest, laid.highest}), levels.full):
        figure.path((at(-half(level), level), at(half(level), level)), stroke=BLACK)
        x, y = at(half(level) - 22, level)
        figure.path(((x - 1.2, y - 2.1), (x + 1.2, y - 2.1), (x, y)), close=True, fill="#ffffff")
    _names(figure, dims, at, half)
    _labels(figure, dims, at)
    return figure


def _body(dims: Dimensions, at: _At, half: _Half) -> list[Point]:
    rim, floor, ledge = dims.levels.rim, dims.levels.floor, dims.levels.ledge
    nose, out = dims.nose, dims.depth / 2
    below = ledge - 1e-6
    front = [
        (-out, 0.0), (-out, rim - nose.opening_top), (nose.root_y, rim - nose.opening_top),
        (nose.root_y, rim - nose.lid_z), (nose.tip_y, rim - nose.lid_z), (nose.root_y, rim - nose.low_z),
        (-out, rim - nose.low_z), (-out, rim),
    ]  # fmt: skip
    inside = [(half(rim), rim), (half(ledge), ledge), (half(below), ledge), (half(floor), floor)]
    return [at(y, level) for y, level in (
        *front, *((-y, level) for y, level in inside), *reversed(inside), (out, rim), (out, 0.0),
    )]  # fmt: skip


def _tube(figure: Figure, dims: Dimensions, at: _At, scale: Ratio) -> None:
    tube, rim = dims.tube, dims.levels.rim
    (y_in, z_in), (y1, z1), (y2, z2) = tube.inlet, tube.first_centre, tube.crest_centre
    radius = tube.bend_radius
    axis = [(y_in, z_in)]
    axis += [(y1 - radius * math.sin(a), z1 + radius * math.cos(a)) for a in _angles(0, 90)]
    axis += [(y2 + radius * math.cos(a), z2 - radius * math.sin(a)) for a in _angles(0, 180)]
    axis += [(tube.leg_y, tube.end_z)]
    points = [at(y, rim - z) for y, z in axis]
    figure.path(points, width=tube.outside / scale)
    figure.path(points, width=tube.bore / scale, stroke="#ffffff")


def _angles(start: int, end: int) -> list[float]:
    return [math.radians(start + (end - start) * i / 18) for i in range(19)]


def _grains(figure: Figure, at: _At, half: _Half, low: Mm, high: Mm, size: Mm, scale: Ratio) -> None:
    """Grains in rows, each shifted: the same at every run."""
    sand = size <= 1.0
    radius = 0.22 if sand else max(0.4, size / 2 / scale)
    pitch = (2.0 if sand else 2.8 * radius) * scale
    rows = max(1, int((high - low) / pitch))
    spots = []
    for row in range(rows):
        level = low + (high - low) * (row + 0.5) / rows
        wide = half(level) - 2 * radius * scale
        count = max(1, int(2 * wide / pitch))
        shift = 0.75 if row % 2 else 0.25
        spots += [at(-wide + 2 * wide * (index + shift) / count, level) for index in range(count)]
    figure.dots(spots, radius + (0.0 if sand else 0.1), GREY)
    if not sand:
        figure.dots(spots, radius - 0.1, "#ffffff")


def _names(figure: Figure, dims: Dimensions, at: _At, half: _Half) -> None:
    levels, wanted = dims.levels, dims.spec.filter
    names = (
        (levels.rest, levels.full, Said("{charge:p1} l", charge=wanted.charge)),
        (levels.sand_bottom, levels.sand_top, Said("sand {sand_column:p1} mm", sand_column=wanted.sand_column)),
    )
    for low, high, words in names:
        x, y = at(0.0, (low + high) / 2)
        figure.text(x, y + SMALL / 2, words, NORMAL, anchor="middle", clear=True)


def _labels(figure: Figure, dims: Dimensions, at: _At) -> None:
    levels, wanted = dims.levels, dims.spec.filter
    rows = (
        (levels.rim, "rim"),
        (levels.full, Said("full level, freeboard {freeboard:p1}", freeboard=wanted.freeboard)),
        (
            levels.ledge,
            Said(
                "ledge for the diffuser, {width:.0f} x {depth:.0f} mm",
                width=dims.cavity.width_at(levels.ledge) - DIFFUSER_PLAY,
                depth=dims.cavity.depth_at(levels.ledge) - DIFFUSER_PLAY,
            ),
        ),
        *_rests(dims),
        (
            levels.sand_top,
            Said("sand top, under {water_over_sand:p1} of water", water_over_sand=wanted.water_over_sand),
        ),
        (levels.sand_bottom, "sand bottom"),
        (levels.fine_gravel_bottom, Said("fine supporting gravel {fine_gravel:p1}", fine_gravel=wanted.fine_gravel)),
        (levels.floor, Said("coarse supporting gravel {coarse_gravel:p1}", coarse_gravel=wanted.coarse_gravel)),
        (0.0, Said("floor of concrete {floor:p1}", floor=wanted.floor)),
    )
    rows = tuple(sorted(rows, key=lambda row: -row[0]))
    edge = at(dims.depth / 2, 0.0)[0]
    heights = _spread([at(0.0, level)[1] for level, _ in rows])
    for (level, words), y in zip(rows, heights, strict=True):
        true = at(0.0, level)[1]
        figure.path(((edge + 1.0, true), (edge + 4.0, true), (edge + 9.0, y), (edge + 13.0, y)), width=0.18)
        figure.text(edge + 24.0, y + 0.9, f"{level:.0f}", SMALL, anchor="end")
        figure.text(edge + 26.0, y + 0.9, words, SMALL)


def _rests(dims: Dimensions) -> tuple[tuple[Mm, str], ...]:
    laid = dims.resting
    if laid.running is Running.FULL:
        return ((laid.end, "rest level = end of the tube"),)
    if laid.running is Running.WEIR:
        return ((laid.invert, "rest level = crest of the tube"), (laid.end, "end of the tube"))
    return ((laid.invert, "rest level, if the tube empties"), (laid.end, "rest level, if it stays full"))


def _spread(wanted: Sequence[Mm]) -> list[Mm]:
    """Heights as wanted, falling on paper, pushed apart until lines of text do not touch."""
    found = list(wanted)
    for _ in range(200):
        for i in range(len(found) - 1):
            short = _APART - (found[i + 1] - found[i])
            if short > 1e-6:
                found[i] -= short / 2
                found[i + 1] += short / 2
    return found
