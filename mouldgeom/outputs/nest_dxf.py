"""Cutting files of nests: one DXF for each sheet, with the layers and the patterns of the single plates.

Parts stand in the file in the order of cutting: what lies in an opening comes before the part around it, and in each
part marks come first, then inner cuts, the outline last.  Nothing is mirrored; x runs along the sheet.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from mouldgeom.drawing.dxf_frame import empty_layout
from mouldgeom.model.shapes import ConcreteFace, Plate
from mouldgeom.nesting.layout import Nest, NestOptions, SheetLayout
from mouldgeom.outputs.dxf import (
    CutOptions,
    Transform,
    drawing_bytes,
    plate_pattern,
    write_outline,
    write_pattern,
)
from mouldgeom.outputs.dxf_layers import Layer
from mouldgeom.units import plain


def nest_dxfs(nest: Nest, plates: Sequence[Plate], options: CutOptions) -> tuple[bytes, ...]:
    """Return the cutting file of each sheet of a nest.

    Raises:
        GeometryError: as ``dxf.plate_pattern``.
    """
    return tuple(sheet_dxf(nest, number, plates, options) for number in range(1, len(nest.sheets) + 1))


def sheet_dxf(nest: Nest, number: int, plates: Sequence[Plate], options: CutOptions) -> bytes:
    """Return the cutting file of one sheet, counted from 1.

    Raises:
        GeometryError: as ``dxf.plate_pattern``.
    """
    layout = nest.sheets[number - 1]
    known = {plate.mark: plate for plate in plates}
    patterns = {mark: plate_pattern(known[mark], options) for mark in dict.fromkeys(p.mark for p in layout.placements)}
    drawing = empty_layout()
    write_outline(drawing, Layer.SHEET_EDGE, layout.outline, Transform())
    for placed in layout.placements:
        write_pattern(drawing, patterns[placed.mark], Transform(placed.x, placed.y, placed.angle))
    for cut in layout.cuts:
        drawing.add_line((cut.x0, cut.y0), (cut.x1, cut.y1), {"layer": Layer.ETCH_MARK.value})
    return drawing_bytes(drawing, _comments(nest, number, known, options))


def _comments(nest: Nest, number: int, known: dict[str, Plate], options: CutOptions) -> list[str]:
    layout = nest.sheets[number - 1]
    return [
        "mouldgeom: nest for cutting",
        f"sheet {number} of {len(nest.sheets)}: {layout.stock.title}, thickness {plain(layout.stock.thickness)} mm",
        f"moulds: {nest.moulds}",
        "units: millimetres",
        f"face: {_face(layout, known)}",
        f"size: {_size(options)}",
        *_distances(nest.options),
        f"used length: {plain(layout.used_length, 1)} mm; density {plain(100 * layout.density, 1)} %",
        f"rest: {_rest(layout)}",
        *_inside(layout),
        f"straight cuts in order on layer {Layer.ETCH_MARK}: {len(layout.cuts)}"
        if layout.cuts
        else "parts: cut in the order of this file",
        *(f"part {mark}: {count} x {known[mark].name}" for mark, count in _counts(layout).items()),
    ]


def _counts(layout: SheetLayout) -> Counter[str]:
    return Counter(sorted((p.mark for p in layout.placements), key=lambda mark: (mark[:1], len(mark), mark)))


def _face(layout: SheetLayout, known: dict[str, Plate]) -> str:
    wet = any(known[p.mark].concrete_face is not ConcreteFace.NONE for p in layout.placements)
    return "concrete face up, no part mirrored" if wet else "either face up, no part mirrored"


def _size(options: CutOptions) -> str:
    if not options.kerf_compensation:
        return "nominal size, no kerf compensation"
    return f"outlines bigger, holes smaller by half of a kerf of {plain(options.kerf)} mm"


def _distances(options: NestOptions) -> list[str]:
    return [
        f"distances: parts at least {plain(options.gap)} mm apart (web {plain(options.web)} mm between two cuts "
        f"of {plain(options.kerf)} mm), at least {plain(options.edge)} mm from the edge",
        f"grain: {'all parts lie one way' if options.grain else 'free'}",
    ]


def _rest(layout: SheetLayout) -> str:
    if layout.rest is None:
        return "no usable rectangle"
    x, y, width, height = (plain(value, 1) for value in layout.rest)
    return f"rectangle {width} x {height} mm with its lower left corner at ({x}, {y})"


def _inside(layout: SheetLayout) -> list[str]:
    hosts: dict[tuple[str, int], list[str]] = {}
    for placed in layout.placements:
        if placed.inside is not None:
            hosts.setdefault(placed.inside, []).append(placed.mark)
    return [
        f"cut before the opening of {mark} number {number}: {', '.join(marks)}, which lie in it"
        for (mark, number), marks in hosts.items()
    ]
