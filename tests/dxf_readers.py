"""Two readers of cutting files that share no code with each other: the DXF library itself, and GDAL through pyogrio."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import ezdxf
import pyogrio  # type: ignore[import-untyped]  # the library has no types
from shapely import Polygon, from_wkb

from mouldgeom.geometry.outline import Outline, Vertex

ARC_STEP_DEG = 0.25
_SETTINGS = {"OGR_ARC_STEPSIZE": str(ARC_STEP_DEG), "DXF_CLOSED_LINE_AS_POLYGON": "TRUE"}


@dataclass(frozen=True)
class Read:
    """What a reader makes of the cuts: net area, diameters of the round holes, number of other inner cuts."""

    area: float
    diameters: tuple[float, ...]
    openings: int


@contextmanager
def gdal_settings() -> Iterator[None]:
    """Fine arcs, and closed lines as polygons, while this lasts."""
    before = {name: pyogrio.get_gdal_config_option(name) for name in _SETTINGS}
    pyogrio.set_gdal_config_options(_SETTINGS)
    try:
        yield
    finally:
        pyogrio.set_gdal_config_options(before)


def by_ezdxf(data: bytes) -> Read:
    """Areas by the closed formulas of polylines and circles; the audit must find nothing."""
    document = ezdxf.read(io.StringIO(data.decode("ascii")))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    area, diameters, openings = 0.0, [], 0
    for entity in document.modelspace():
        if not entity.dxf.layer.startswith("CUT"):
            continue
        if entity.dxftype() == "CIRCLE":
            diameters.append(2 * entity.dxf.radius)
            area -= math.pi * entity.dxf.radius**2
            continue
        assert entity.dxftype() == "LWPOLYLINE"
        assert entity.closed
        line = Outline(tuple(Vertex(x, y, bulge) for x, y, bulge in entity.get_points("xyb")))
        outside = entity.dxf.layer == "CUT_OUTSIDE"
        area += line.area if outside else -line.area
        openings += not outside
    return Read(area, tuple(sorted(diameters)), openings)


def by_gdal(data: bytes) -> Read:
    """Areas of polygons, arcs as chords; call it inside ``gdal_settings``."""
    meta, _, shapes, fields = pyogrio.raw.read(io.BytesIO(data))
    column = dict(zip(meta["fields"], fields, strict=True))
    area, diameters, openings = 0.0, [], 0
    for wkb, layer, classes in zip(shapes, column["Layer"], column["SubClasses"], strict=True):
        if not layer.startswith("CUT"):
            continue
        shape = from_wkb(wkb)
        if shape.geom_type == "LineString":
            assert shape.is_closed, "a loose line"
            shape = Polygon(shape)
        area += shape.area if layer == "CUT_OUTSIDE" else -shape.area
        if classes.endswith("AcDbCircle"):
            x0, _, x1, _ = shape.bounds
            diameters.append(x1 - x0)
        else:
            openings += layer == "CUT_INSIDE"
    return Read(area, tuple(sorted(diameters)), openings)


def chord_loss(read: Read, radii_of_arcs: float) -> float:
    """Greatest area that chords of GDAL's step take away, from circles and from arcs of these radii together, mm2."""
    share = 2 * math.pi * math.radians(ARC_STEP_DEG) ** 2 / 12
    return share * (sum((d / 2) ** 2 for d in read.diameters) + radii_of_arcs)
