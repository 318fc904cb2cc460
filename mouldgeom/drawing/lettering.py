"""Lettering of the papers: the font that comes with a package, its widths, its exact boxes and its outlines.

A height is always that of the capitals, as the drawing standards count it.
"""

from __future__ import annotations

import functools
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, Final

from mouldgeom.letters import font_files
from mouldgeom.units import Mm, Ratio

if TYPE_CHECKING:
    import typst

SMALL: Final[Mm] = 2.5
NORMAL: Final[Mm] = 3.5
LARGE: Final[Mm] = 5.0
"""Heights of lettering on paper (the series of ISO 3098-1); nothing is written smaller than ``SMALL``."""
PITCH: Final[Ratio] = 1.75
"""Distance of two lines of writing in heights.

Source: ISO 3098-1, 13/10 h to 19/10 h.
"""

LINE: Final[Mm] = 3.5
"""Distance of lines of ``SMALL`` that stand close."""


@functools.cache
def _two_files() -> tempfile.TemporaryDirectory[str]:
    kept = tempfile.TemporaryDirectory(prefix="lettering")
    for file in font_files():
        shutil.copy(file, kept.name)
    return kept


@functools.cache
def for_typesetter() -> typst.Fonts:
    """Just the two fonts, for the typesetter's font paths; nothing of the machine, nothing of its own.

    The package's own folder holds each font twice, and which one is found first depends on the file system.
    """
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[_two_files().name])


@functools.cache
def _font(bold: bool) -> tuple[Any, dict[int, str], float, float]:
    """Glyphs, their names by character, height of capitals and size of the em, in font units."""
    from fontTools.ttLib import TTFont

    font = TTFont(font_files()[bold], lazy=True)
    return font.getGlyphSet(), font.getBestCmap(), float(font["OS/2"].sCapHeight), float(font["head"].unitsPerEm)


@functools.cache
def em(bold: bool = False) -> Ratio:
    """Font size (em) in heights of capitals."""
    _, _, capital, size = _font(bold)
    return size / capital


@functools.cache
def glyph(character: str, bold: bool = False) -> tuple[str, Ratio, Ratio, Ratio]:
    """Outline as an SVG path (y down), advance, lowest and highest y; all in heights of capitals."""
    from fontTools.pens.boundsPen import BoundsPen
    from fontTools.pens.svgPathPen import SVGPathPen
    from fontTools.pens.transformPen import TransformPen

    glyphs, names, capital, _ = _font(bold)
    drawn = glyphs[names.get(ord(character), ".notdef")]
    pen = SVGPathPen(glyphs, ntos=lambda value: f"{value:.3f}".rstrip("0").rstrip("."))
    drawn.draw(TransformPen(pen, (1 / capital, 0, 0, -1 / capital, 0, 0)))
    bounds = BoundsPen(glyphs)
    drawn.draw(bounds)
    low, high = (bounds.bounds[1] / capital, bounds.bounds[3] / capital) if bounds.bounds else (0.0, 0.0)
    return pen.getCommands(), drawn.width / capital, low, high


@functools.lru_cache(maxsize=20000)
def extent(text: str, bold: bool = False) -> tuple[Ratio, Ratio, Ratio]:
    """Width, lowest and highest y of a line of writing whose capitals are 1 high."""
    boxes = [glyph(character, bold) for character in text]
    return sum(b[1] for b in boxes), min([b[2] for b in boxes], default=0.0), max([b[3] for b in boxes], default=0.0)


def width(text: str, height: Mm = NORMAL, bold: bool = False) -> Mm:
    """Width of a line of writing."""
    return height * extent(text, bold)[0]


def wrapped(text: str, room: Mm, height: Mm = NORMAL, bold: bool = False) -> list[str]:
    """Lines of a text no wider than ``room``; a word that is wider alone goes on in the next line."""
    lines: list[str] = []
    for word in text.split(" "):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and width(joined, height, bold) <= room:
            lines[-1] = joined
            continue
        lines.append(word)
        while len(lines[-1]) > 1 and width(lines[-1], height, bold) > room:
            long = lines.pop()
            fits = next((n for n in range(len(long) - 1, 1, -1) if width(long[:n], height, bold) <= room), 1)
            lines += [long[:fits], long[fits:]]
    return lines


def settled(text: str, room: Mm, height: Mm, bold: bool = False) -> tuple[list[str], Mm]:
    """A text whole: in one line of the largest lettering up to ``height`` that fits, else in lines of ``SMALL``.

    Returns:
        The lines, and their height.
    """
    for size in (LARGE, NORMAL, SMALL):
        if size <= height and width(text, size, bold) <= room:
            return [text], size
    return wrapped(text, room, SMALL, bold), SMALL


def stacked(lines: Sequence[str], y: Mm) -> Iterator[tuple[str, Mm]]:
    """Lines of ``SMALL`` with the height of each one's foot, the last at ``y``.

    Source: ISO 3098-1, distance of lines 13/10 h to 19/10 h.
    """
    for number, text in enumerate(reversed(lines)):
        yield text, y + number * LINE
