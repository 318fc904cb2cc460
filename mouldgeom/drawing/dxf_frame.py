"""An empty DXF R2000 drawing as text, cut where the entities go, and a layout written between its halves.

It is made section by section: the library's own way of saving stamps time and random identifiers into the file.  Layer
``0`` stays in the table because the format requires it; nothing is drawn on it.
"""

from __future__ import annotations

import io
from typing import Final, NamedTuple

from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.layouts.base import VirtualLayout
from ezdxf.lldxf.const import DXF2000
from ezdxf.lldxf.tagwriter import TagWriter
from ezdxf.units import MM

from mouldgeom.geometry.outline import Point
from mouldgeom.units import Mm

_NEXT_HANDLE: Final = "FFFFFFF"
"""Stands in the frame for the first handle that is free."""


class DxfFrame(NamedTuple):
    """The text before the entities and after them, the handle of their owner, and the first that is free for them."""

    before: str
    after: str
    owner: str
    first: int

    def filled(self, layout: VirtualLayout) -> tuple[str, str, str]:
        """Text before the entities of a layout, of these, and after them."""
        stream = io.StringIO()
        writer = TagWriter(stream, dxfversion=DXF2000)
        entities = list(layout)
        for handle, entity in enumerate(entities, self.first):
            entity.dxf.handle, entity.dxf.owner = f"{handle:X}", self.owner
            entity.export_dxf(writer)
        before = self.before.replace(_NEXT_HANDLE, f"{self.first + len(entities):X}")
        return before, stream.getvalue(), self.after


def empty_layout() -> VirtualLayout:
    """A layout to draw on."""
    return VirtualLayout()  # type: ignore[no-untyped-call]  # the library leaves it untyped


def empty_drawing() -> Drawing:
    """A drawing in millimetres without anything that the library adds of its own."""
    drawing = new("R2000", setup=False, units=MM)
    drawing.rootdict.get_required_dict("EZDXF_META").clear()
    drawing.rootdict.remove("EZDXF_META")
    drawing.layers.remove("Defpoints")
    return drawing


def frame_of(drawing: Drawing, low: Point, high: Point, middle: Point, height: Mm, *, line_widths: bool) -> DxfFrame:
    """The frame of an empty drawing whose layers are there.

    Args:
        drawing: as ``empty_drawing`` gives it, and layers and styles added.
        low, high: corners of what will be drawn.
        middle, height: of the view.
        line_widths: whether a program that shows it draws lines as wide as they are.
    """
    space = drawing.modelspace()
    drawing.set_modelspace_vport(height, middle)
    drawing.classes.add_required_classes(DXF2000)
    drawing.classes.classes = dict(sorted(drawing.classes.classes.items()))
    space.dxf.extmin, space.dxf.extmax = (*low, 0.0), (*high, 0.0)
    header = drawing.header
    for name in ("$TDCREATE", "$TDUPDATE", "$FINGERPRINTGUID", "$VERSIONGUID"):
        header.hdrvars.pop(name, None)
    header["$MEASUREMENT"], header["$HANDSEED"] = 1, _NEXT_HANDLE
    if line_widths:
        header["$LWDISPLAY"] = 1
    header["$EXTMIN"], header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
    stream = io.StringIO()
    drawing.export_sections(TagWriter(stream, dxfversion=DXF2000))
    before, mark, after = stream.getvalue().partition("SECTION\n  2\nENTITIES\n")
    return DxfFrame(before + mark, after, space.layout_key, int(str(drawing.entitydb.handles), 16))
