"""A sheet as a picture: SVG with lettering as outlines or as text, and PNG from the former.

Outlines look the same everywhere; text is what a typesetter makes searchable.  The same sheet gives the same bytes.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final
from xml.sax.saxutils import escape

from mouldgeom.drawing import lettering
from mouldgeom.drawing.primitives import Area, Circle, Primitive, Sheet, Stroke, Text
from mouldgeom.drawing.svg import number
from mouldgeom.geometry.outline import arc_of
from mouldgeom.letters import FAMILY
from mouldgeom.units import Mm

DPI: Final = 150


def svg_text(sheet: Sheet) -> str:
    """The sheet as SVG whose lettering is drawn as outlines; its words stand in the description."""
    return _Writer(sheet, outlines=True).document()


def svg_words(sheet: Sheet) -> str:
    """The sheet as SVG whose lettering is text, for a typesetter that has the font."""
    return _Writer(sheet, outlines=False).document()


def png_bytes(sheet: Sheet, dpi: int = DPI) -> bytes:
    """The sheet as PNG."""
    import resvg_py

    return bytes(resvg_py.svg_to_bytes(svg_string=svg_text(sheet), dpi=float(dpi), skip_system_fonts=True))


class _Writer:
    def __init__(self, sheet: Sheet, outlines: bool) -> None:
        self.sheet, self.outlines = sheet, outlines
        self.glyphs: dict[str, str] = {}

    def document(self) -> str:
        """The whole picture: lines by width and dash in the order in which they are drawn."""
        sheet = self.sheet
        body: list[str] = []
        style, run = "", ""
        for primitive in sheet.primitives():
            if isinstance(primitive, Stroke) or (isinstance(primitive, Circle) and not primitive.filled):
                new = self._style(primitive)
                if new != style and run:
                    body.append(f"<path {style} d='{run}'/>")
                    run = ""
                style = new
                run += self._data(primitive)
                continue
            if run:
                body.append(f"<path {style} d='{run}'/>")
                run = ""
            body.append(self._filled(primitive))
        if run:
            body.append(f"<path {style} d='{run}'/>")
        defs = "".join(f"<path id='{name}' d='{data}'/>" for name, data in sorted(self.glyphs.items()))
        wide, high = number(sheet.width), number(sheet.height)
        words = " | ".join(dict.fromkeys(t.text for t in sheet.texts()))
        return (
            f"<svg xmlns='http://www.w3.org/2000/svg' width='{wide}mm' height='{high}mm' viewBox='0 0 {wide} {high}' "
            f"role='img'>\n<title>{escape(sheet.title)}</title>\n"
            + (f"<desc>{escape(words)}</desc>\n<defs>{defs}</defs>\n" if self.outlines else "")
            + "<rect width='100%' height='100%' fill='#fff'/>\n"
            + "\n".join(body)
            + "\n</svg>\n"
        )

    def _y(self, y: Mm) -> str:
        return number(self.sheet.height - y)

    def _style(self, item: Stroke | Circle) -> str:
        wide = item.width(self.sheet.wide) if isinstance(item, Stroke) else item.kind.width(self.sheet.wide)
        dash = " ".join(number(share * wide) for share in item.kind.dash)
        more = f" stroke-dasharray='{dash}'" if dash else " stroke-linecap='round'"
        return f"fill='none' stroke='#000' stroke-width='{number(wide)}' stroke-linejoin='round'{more}"

    def _data(self, item: Stroke | Circle) -> str:
        if isinstance(item, Circle):
            r = number(item.radius)
            left, right, y = number(item.x - item.radius), number(item.x + item.radius), self._y(item.y)
            return f"M{left} {y}A{r} {r} 0 0 1 {right} {y}A{r} {r} 0 0 1 {left} {y}Z"
        first = item.vertices[0]
        ring = [*item.vertices, first] if item.closed else list(item.vertices)
        out = f"M{number(first.x)} {self._y(first.y)}"
        for index, (a, b) in enumerate(pairwise(ring)):
            if a.arc:
                _, radius, _, sweep = arc_of(a, b)
                flags = f"{int(abs(sweep) > 3.141592653589793)} {int(sweep < 0)}"
                out += f"A{number(radius)} {number(radius)} 0 {flags} {number(b.x)} {self._y(b.y)}"
            elif not (item.closed and index == len(ring) - 2):
                out += f"L{number(b.x)} {self._y(b.y)}"
        return out + ("Z" if item.closed else "")

    def _filled(self, item: Primitive) -> str:
        if isinstance(item, Text):
            return self._lettering(item)
        if isinstance(item, Circle):
            return f"<circle cx='{number(item.x)}' cy='{self._y(item.y)}' r='{number(item.radius)}'/>"
        assert isinstance(item, Area)
        level = f"{round(255 * item.grey):02x}"
        points = " ".join(f"{number(x)},{self._y(y)}" for x, y in item.vertices)
        return f"<polygon points='{points}'" + (f" fill='#{level * 3}'/>" if item.grey else "/>")

    def _lettering(self, item: Text) -> str:
        x, y = number(item.x), self._y(item.y)
        if not self.outlines:
            turned = f" transform='rotate({number(-item.turn)} {x} {y})'" if item.turn else ""
            weight = " font-weight='700'" if item.bold else ""
            anchor = f" text-anchor='{item.anchor}'" if item.anchor != "start" else ""
            size = f"{item.height * lettering.em(item.bold):.4f}"
            return (
                f"<text x='{x}' y='{y}' font-family='{FAMILY}' font-size='{size}'{weight}{anchor}{turned}>"
                f"{escape(item.text)}</text>"
            )
        shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * item.width
        at, uses = 0.0, []
        for character in item.text:
            data, advance, _, _ = lettering.glyph(character, item.bold)
            if data:
                name = f"{'b' if item.bold else 'g'}{ord(character):x}"
                self.glyphs[name] = data
                uses.append(f"<use href='#{name}'" + (f" x='{at:.3f}'" if at else "") + "/>")
            at += advance
        place = f"translate({x} {y})" + (f" rotate({number(-item.turn)})" if item.turn else "")
        place += f" translate({number(-shift)} 0)" if shift else ""
        return f"<g transform='{place} scale({number(item.height)})'>{''.join(uses)}</g>"
