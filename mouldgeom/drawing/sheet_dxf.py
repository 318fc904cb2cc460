"""A sheet as DXF R2000 for those who edit drawings: paper millimetres 1 : 1, a layer for each kind of line.

Lines are LWPOLYLINE with bulges, circles CIRCLE, arrowheads SOLID, lettering TEXT.  The file is ASCII with ``\\n`` line
ends: signs are written as the format has them (``%%c`` for a diameter), letters with accents as ``\\U+XXXX``.  The same
sheet gives the same bytes.
"""

from __future__ import annotations

import functools
from typing import Final

from ezdxf.graphicsfactory import CreatorInterface

from mouldgeom.drawing import lettering
from mouldgeom.drawing.dxf_frame import DxfFrame, empty_drawing, empty_layout, frame_of
from mouldgeom.drawing.primitives import Area, Circle, Line, Primitive, Sheet, Text
from mouldgeom.units import Mm

TEXT_LAYER: Final = "TEXT"
_TEXT_COLOUR: Final = 7
_STYLE: Final = "LETTERING"
_FONT: Final = "SourceSansPro-Regular.ttf"
_SIGNS: Final = str.maketrans(
    {"Ø": "%%c", "°": "%%d", "×": "x", "·": "-", "–": "-", "…": "...", "\u00a0": " ", "\u202f": " ", "’": "'"}
)


def dxf_bytes(sheet: Sheet) -> bytes:
    """The sheet as an ASCII DXF file."""
    layout = empty_layout()
    for primitive in sheet.primitives():
        _draw(layout, primitive)
    before, body, after = _frame(sheet.width, sheet.height, sheet.wide).filled(layout)
    head = f"999\n{_ascii(f'mouldgeom: {sheet.title}')}\n999\nunits: millimetres of paper\n"
    return f"{head}{before}{_ascii(body)}{after}".encode("ascii")


def _ascii(text: str) -> str:
    return text if text.isascii() else "".join(c if ord(c) < 128 else f"\\U+{ord(c):04X}" for c in text)


def _tidy(value: Mm) -> Mm:
    return round(float(value), 6) + 0.0


def _draw(layout: CreatorInterface, item: Primitive) -> None:
    if isinstance(item, Text):
        _write(layout, item)
    elif isinstance(item, Circle):
        attributes: dict[str, object] = {"layer": item.kind.value}
        layout.add_circle((_tidy(item.x), _tidy(item.y)), _tidy(item.radius), attributes)
        if item.filled:
            ring = [(_tidy(item.x + s * item.radius / 2), _tidy(item.y), 1.0) for s in (-1, 1)]
            attributes |= {"const_width": _tidy(item.radius)}
            layout.add_lwpolyline(ring, format="xyb", close=True, dxfattribs=attributes)
    elif isinstance(item, Area):
        points = [(_tidy(x), _tidy(y)) for x, y in item.vertices]
        if len(points) == 3:
            layout.add_solid(points, {"layer": item.kind.value})
        else:
            layout.add_lwpolyline(points, close=True, dxfattribs={"layer": item.kind.value})
    else:
        ring = [(_tidy(v.x), _tidy(v.y), round(v.arc, 10) + 0.0) for v in item.vertices]
        attributes = {"layer": item.kind.value}
        if item.weight:
            attributes["lineweight"] = round(100 * item.weight)
        layout.add_lwpolyline(ring, format="xyb", close=item.closed, dxfattribs=attributes)


def _write(layout: CreatorInterface, item: Text) -> None:
    text = layout.add_text(
        item.text.translate(_SIGNS),
        height=item.height,
        rotation=_tidy(item.turn),
        dxfattribs={"layer": TEXT_LAYER, "style": _STYLE},
    )
    # Every text starts at its lower left end, so that readers need to know neither alignment nor font.
    start = item.corners[0]
    low = item.corners[3][0] - start[0], item.corners[3][1] - start[1]
    tall = max(1e-9, (low[0] ** 2 + low[1] ** 2) ** 0.5)
    drop = item.height * lettering.extent(item.text, item.bold)[1]
    text.dxf.insert = (_tidy(start[0] - low[0] / tall * drop), _tidy(start[1] - low[1] / tall * drop))


@functools.cache
def _frame(width: Mm, height: Mm, wide: Mm) -> DxfFrame:
    """An empty drawing with a layer for each kind of line."""
    drawing = empty_drawing()
    for line in Line:
        pen = line.width(wide)
        kind = "Continuous"
        if line.dash:
            kind = f"MOULD_{line.value}"
            dashes = [_tidy(share * pen) * (-1) ** i for i, share in enumerate(line.dash)]
            drawing.linetypes.add(kind, [sum(map(abs, dashes)), *dashes], description=line.value)
        drawing.layers.add(line.value, color=line.colour, linetype=kind, lineweight=round(100 * pen))
    drawing.layers.add(TEXT_LAYER, color=_TEXT_COLOUR)
    drawing.styles.add(_STYLE, font=_FONT)
    middle = (width / 2, height / 2)
    return frame_of(drawing, (0.0, 0.0), (width, height), middle, 1.05 * height, line_widths=True)
