"""Plain figures for print: lines, areas and lettering in millimetres of paper, as SVG and as PNG from that SVG.

Lettering is drawn as outlines of a font that comes with a package, so that a figure looks the same everywhere; what it
says stands in the title and description too, for a reader that cannot see it.  The same input gives the same bytes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from mouldgeom.drawing import lettering
from mouldgeom.units import Deg, Mm
from mouldgeom.words import Words

Point = tuple[Mm, Mm]
Anchor = Literal["start", "middle", "end"]

_ENGLISH: Final = Words()
DPI: Final = 200
THIN: Final[Mm] = 0.25
THICK: Final[Mm] = 0.5
SMALL: Final[Mm] = 2.5
NORMAL: Final[Mm] = 3.5
"""Heights of capitals and widths of lines: ISO 3098 and ISO 128 series (from memory)."""
BLACK: Final = "#000000"
GREY: Final = "#8a8a8a"
PALE: Final = "#d9d9d9"
BLUE: Final = "#0072b2"
VERMILION: Final = "#d55e00"
WATER: Final = "#cfe6f5"
"""Blue and vermilion are told apart with every kind of colour vision, and in grey by their line styles."""
DASHED: Final = (2.0, 1.2)


def _number(value: Mm) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def text_width(text: str, height: Mm = SMALL) -> Mm:
    """Width of a line of text whose capitals are so high."""
    return lettering.width(text, height)


@dataclass
class Figure:
    """A figure of so many millimetres of paper; x to the right, y down; its texts are put into its ``words``."""

    width: Mm
    height: Mm
    title: str
    description: str
    words: Words = _ENGLISH
    _parts: list[str] = field(default_factory=list)
    _glyphs: dict[str, str] = field(default_factory=dict)

    def path(
        self, points: Sequence[Point], *, close: bool = False, stroke: str | None = BLACK, fill: str | None = None,
        width: Mm = THIN, dash: Sequence[Mm] = (),
    ) -> None:  # fmt: skip
        """A line through points, or an area within them."""
        data = "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in points) + ("Z" if close else "")
        self._add(data, stroke, fill, width, dash)

    def outlines(self, rings: Iterable[Sequence[Point]], *, stroke: str | None, fill: str | None) -> None:
        """An area with holes: rings by the even-odd rule."""
        data = "".join("M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in ring) + "Z" for ring in rings)
        self._add(data, stroke, fill, THIN, (), " fill-rule='evenodd'")

    def rectangle(
        self, x: Mm, y: Mm, width: Mm, height: Mm, *, stroke: str | None = BLACK, fill: str | None = None
    ) -> None:
        """A rectangle from its upper left corner."""
        self.path(
            ((x, y), (x + width, y), (x + width, y + height), (x, y + height)), close=True, stroke=stroke, fill=fill
        )

    def dot(self, x: Mm, y: Mm, radius: Mm = 0.8, fill: str | None = BLACK, stroke: str | None = None) -> None:
        """A round mark."""
        ink = f" stroke='{stroke}' stroke-width='{_number(THIN)}'" if stroke else ""
        self._parts.append(
            f"<circle cx='{_number(x)}' cy='{_number(y)}' r='{_number(radius)}' fill='{fill or 'none'}'{ink}/>"
        )

    def dots(self, places: Sequence[Point], radius: Mm, fill: str) -> None:
        """Many round marks of one size and colour."""
        data = "".join(f"M{_number(x)} {_number(y)}h0" for x, y in places)
        ink = f"stroke='{fill}' stroke-width='{_number(2 * radius)}' stroke-linecap='round'"
        self._parts.append(f"<path d='{data}' fill='none' {ink}/>")

    def text(
        self, x: Mm, y: Mm, said: str, height: Mm = SMALL, *, anchor: Anchor = "start", turn: Deg = 0.0,
        fill: str = BLACK, clear: bool = False,
    ) -> None:  # fmt: skip
        """A line of text on the base line y; ``turn`` is anticlockwise; ``clear`` wipes what lies under it."""
        told = self.words(said)
        shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * text_width(told, height)
        if clear:
            wide = text_width(told, height)
            left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * wide
            self.rectangle(left - 0.3, y - 1.15 * height, wide + 0.6, 1.5 * height, stroke=None, fill="#ffffff")
        at, uses = 0.0, []
        for character in told:
            data, advance, _, _ = lettering.glyph(character)
            if data:
                name = f"g{ord(character):x}"
                self._glyphs[name] = data
                uses.append(f"<use href='#{name}'" + (f" x='{at:.3f}'" if at else "") + "/>")
            at += advance
        place = f"translate({_number(x)} {_number(y)})" + (f" rotate({_number(-turn)})" if turn else "")
        place += f" translate({_number(-shift)} 0)" if shift else ""
        self._parts.append(f"<g fill='{fill}' transform='{place} scale({_number(height)})'>{''.join(uses)}</g>")

    def _add(
        self, data: str, stroke: str | None, fill: str | None, width: Mm, dash: Sequence[Mm], more: str = ""
    ) -> None:
        ink = f" stroke='{stroke}' stroke-width='{_number(width)}' stroke-linejoin='round'" if stroke else ""
        if stroke and dash:
            ink += f" stroke-dasharray='{' '.join(_number(length) for length in dash)}'"
        self._parts.append(f"<path d='{data}' fill='{fill or 'none'}'{ink}{more}/>")

    def svg(self) -> str:
        """The figure as SVG."""
        size = f"{_number(self.width)} {_number(self.height)}"
        wide, high = (f"{_number(length)}mm" for length in (self.width, self.height))
        glyphs = "".join(f"<path id='{name}' d='{data}'/>" for name, data in sorted(self._glyphs.items()))
        return (
            f"<svg xmlns='http://www.w3.org/2000/svg' width='{wide}' height='{high}' viewBox='0 0 {size}' role='img'>\n"
            f"<title>{_escaped(self.words(self.title))}</title>\n<desc>{_escaped(self.words(self.description))}</desc>\n"
            f"<defs>{glyphs}</defs>\n<rect width='100%' height='100%' fill='#ffffff'/>\n"
            + "\n".join(self._parts)
            + "\n</svg>\n"
        )

    def png(self, dpi: int = DPI) -> bytes:
        """The same figure as PNG."""
        import resvg_py

        return bytes(resvg_py.svg_to_bytes(svg_string=self.svg(), dpi=float(dpi), skip_system_fonts=True))


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def round_steps(low: Mm, high: Mm, count: int) -> list[Mm]:
    """Round numbers from ``low`` to ``high``, some ``count`` of them: steps of 1, 2 or 5 times a power of ten."""
    rough = (high - low) / count
    power = 10 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * 0.999)
    first = math.ceil(low / step - 1e-9)
    return [index * step for index in range(first, math.floor(high / step + 1e-9) + 1)]
