"""A sheet as DXF R2000 for those who edit drawings: paper millimetres 1 : 1, a layer for each kind of line.

Lines are LWPOLYLINE with bulges, circles CIRCLE, arrowheads SOLID, lettering TEXT.  The file is ASCII with ``\\n`` line
ends: signs are written as the format has them (``%%c`` for a diameter), letters with accents as ``\\U+XXXX``.  The same
sheet gives the same bytes.
"""

from __future__ import annotations

import functools
import io
from typing import Final

from ezdxf.filemanagement import new
from ezdxf.graphicsfactory import CreatorInterface
from ezdxf.layouts.base import VirtualLayout
from ezdxf.lldxf.const import DXF2000
from ezdxf.lldxf.tagwriter import TagWriter
from ezdxf.units import MM

from mouldgeom.drawing import lettering
from mouldgeom.drawing.primitives import Area, Circle, Line, Primitive, Sheet, Text
from mouldgeom.units import Mm

TEXT_LAYER: Final = "TEXT"
_TEXT_COLOUR: Final = 7
_STYLE: Final = "LETTERING"
_FONT: Final = "SourceSansPro-Regular.ttf"
_NEXT_HANDLE: Final = "FFFFFFF"
_SIGNS: Final = str.maketrans(
    {"Ø": "%%c", "°": "%%d", "×": "x", "·": "-", "–": "-", "…": "...", "\u00a0": " ", "\u202f": " ", "’": "'"}
)


def dxf_bytes(sheet: Sheet) -> bytes:
    """The sheet as an ASCII DXF file."""
    before, after, owner, first = _frame(sheet.width, sheet.height, sheet.wide)
    layout = VirtualLayout()  # type: ignore[no-untyped-call]  # the library has no annotation there
    for primitive in sheet.primitives():
        _draw(layout, primitive)
    stream = io.StringIO()
    writer = TagWriter(stream, dxfversion=DXF2000)
    entities = list(layout)
    for handle, entity in enumerate(entities, first):
        entity.dxf.handle, entity.dxf.owner = f"{handle:X}", owner
        entity.export_dxf(writer)
    head = f"999\n{_ascii(f'mouldgeom: {sheet.title}')}\n999\nunits: millimetres of paper\n"
    body = _ascii(stream.getvalue())
    return f"{head}{before.replace(_NEXT_HANDLE, f'{first + len(entities):X}')}{body}{after}".encode("ascii")


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
def _frame(width: Mm, height: Mm, wide: Mm) -> tuple[str, str, str, int]:
    """An empty drawing cut where the entities go, the handle of their owner and the first free one.

    Made section by section: the library's own way of saving stamps time and random identifiers into the file.
    """
    drawing = new("R2000", setup=False, units=MM)
    space = drawing.modelspace()
    drawing.rootdict.get_required_dict("EZDXF_META").clear()
    drawing.rootdict.remove("EZDXF_META")
    drawing.layers.remove("Defpoints")
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
    drawing.set_modelspace_vport(1.05 * height, (width / 2, height / 2))
    drawing.classes.add_required_classes(DXF2000)
    drawing.classes.classes = dict(sorted(drawing.classes.classes.items()))
    space.dxf.extmin, space.dxf.extmax = (0.0, 0.0, 0.0), (width, height, 0.0)
    header = drawing.header
    for name in ("$TDCREATE", "$TDUPDATE", "$FINGERPRINTGUID", "$VERSIONGUID"):
        header.hdrvars.pop(name, None)
    header["$MEASUREMENT"], header["$HANDSEED"], header["$LWDISPLAY"] = 1, _NEXT_HANDLE, 1
    header["$EXTMIN"], header["$EXTMAX"] = (0.0, 0.0, 0.0), (width, height, 0.0)
    stream = io.StringIO()
    drawing.export_sections(TagWriter(stream, dxfversion=DXF2000))
    before, mark, after = stream.getvalue().partition("SECTION\n  2\nENTITIES\n")
    return before + mark, after, space.layout_key, int(str(drawing.entitydb.handles), 16)
