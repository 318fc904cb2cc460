"""A picture of the walls that a finished mould will cast: each wall unrolled, its thickness as a shade, for print.

Thin is dark: the picture reads in grey, too.  A dot stands where each wall is least, red if it is less than asked for.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np

from mouldgeom.drawing.colours import Colour
from mouldgeom.drawing.figure import NORMAL, SMALL, VERMILION, Figure, round_steps
from mouldgeom.errors import FolderError
from mouldgeom.inspection.asbuilt import BuiltMould, BuiltWall
from mouldgeom.units import Mm, Ratio, told_apart
from mouldgeom.words import Said, Words
from mouldgeom.writing import write_whole

_WIDE: Final[Mm] = 42.0
_GAP: Final[Mm] = 14.0
_TALL: Final[Mm] = 110.0
_TOP: Final[Mm] = 26.0
_LEFT: Final[Mm] = 16.0
_CELLS: Final = (12, 40)
_DARK: Final[Colour] = (0.05, 0.19, 0.42)
_PALE: Final[Colour] = (0.97, 0.92, 0.72)
"""Ends of the shades: dark blue to pale yellow, told apart with every kind of colour vision and in grey."""


def write_picture(path: Path, built: BuiltMould) -> None:
    """Write the picture as SVG or PNG, by the end of its name; nothing half-written.

    Raises:
        FolderError: another ending, or the file cannot be written.
    """
    kind = path.suffix.lower()
    if kind not in {".svg", ".png"}:
        raise FolderError("--picture", repr(str(path)), "a picture ends in .svg or .png", "Give such a name.")
    figure = built_figure(built)
    content = figure.svg().encode("utf-8") if kind == ".svg" else figure.png()
    write_whole(path, content, "--picture")


def _shade(share: Ratio) -> str:
    share = min(max(share, 0.0), 1.0)
    mixed = (a + (b - a) * share for a, b in zip(_DARK, _PALE, strict=True))
    return "#" + "".join(f"{round(255 * part):02x}" for part in mixed)


def _enough(wall: Mm, asked: Mm) -> bool:
    return wall >= asked - 1e-3


def _told(wall: Mm, asked: Mm) -> tuple[str, str]:
    return told_apart(
        wall, asked, _enough(wall, asked), lambda value, more: Said(f"{{value:.{1 + more}f}}", value=value)
    )


def built_figure(built: BuiltMould) -> Figure:
    """The four walls beside each other, the rim below, as they stand in the mould."""
    wall, where = built.least_wall()
    asked = built.dims.spec.filter.least_wall
    least, wanted = _told(wall, asked)
    figure = Figure(
        _LEFT + 4 * _WIDE + 3 * _GAP + 34,
        _TOP + _TALL + 22,
        Said("Walls as built: {title}", title=built.dims.spec.title),
        Said(
            "Thickness of the walls that the measured mould will cast; least {least} mm, {where}; asked {wanted}",
            least=least,
            where=where,
            wanted=wanted,
        ),
        Words(built.dims.spec.papers.language),
    )
    values = np.concatenate([w.thickness.ravel() for w in built.walls])
    steps = round_steps(float(values.min()), float(values.max()), 6)
    low, high = min(float(values.min()), steps[0]), max(float(values.max()), steps[-1])
    figure.text(_LEFT, 8, Said("Walls that the measured mould will cast: least {least} mm", least=least), NORMAL)
    figure.text(_LEFT, 14, Said("{where}; asked for {wanted} mm", where=where, wanted=wanted), SMALL)
    for number, one in enumerate(built.walls):
        _wall(figure, one, _LEFT + number * (_WIDE + _GAP), low, high, asked)
    _legend(figure, low, high, steps)
    return figure


def _wall(figure: Figure, wall: BuiltWall, left: Mm, low: Mm, high: Mm, asked: Mm) -> None:
    across, up = _CELLS
    tall = float(wall.heights[-1])
    figure.text(left + _WIDE / 2, _TOP - 3, f"{wall.side} wall", SMALL, anchor="middle")
    for i in range(up):
        z = tall * (i + 0.5) / up
        row = int(np.argmin(np.abs(wall.heights - z)))
        for j in range(across):
            column = round((j + 0.5) / across * (wall.thickness.shape[1] - 1))
            share = (float(wall.thickness[row, column]) - low) / (high - low) if high > low else 1.0
            cell = (left + j * _WIDE / across, _TOP + _TALL * (1 - (i + 1) / up))
            figure.rectangle(*cell, _WIDE / across + 0.1, _TALL / up + 0.1, stroke=None, fill=_shade(share))
    figure.rectangle(left, _TOP, _WIDE, _TALL)
    thin, z, place = wall.least()
    spot = (left + (place + 1) / 2 * _WIDE, _TOP + _TALL * (1 - z / tall))
    colour = "#ffffff" if _enough(thin, asked) else VERMILION
    figure.dot(*spot, 1.3, fill=colour, stroke="#000000")
    figure.text(
        left + _WIDE / 2, _TOP + _TALL + 5, Said("least {told} mm", told=_told(thin, asked)[0]), SMALL, anchor="middle"
    )
    figure.text(left, _TOP + _TALL + 9.5, "rim", SMALL)


def _legend(figure: Figure, low: Mm, high: Mm, steps: list[Mm]) -> None:
    x, count = _LEFT + 4 * _WIDE + 3 * _GAP + 8, 40
    for i in range(count):
        y = _TOP + _TALL * (1 - (i + 1) / count)
        figure.rectangle(x, y, 6, _TALL / count + 0.1, stroke=None, fill=_shade((i + 0.5) / count))
    figure.rectangle(x, _TOP, 6, _TALL)
    for step in steps:
        y = _TOP + _TALL * (1 - (step - low) / (high - low))
        figure.path(((x + 6, y), (x + 7.5, y)))
        figure.text(x + 8.5, y + 0.9, Said("{step:p1} mm", step=step), SMALL)
