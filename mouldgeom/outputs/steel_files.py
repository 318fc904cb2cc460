"""Files about the steel to buy: a nest of each sheet as DXF and picture, the bar cutting plan, and a summary."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from typing import Any

from mouldgeom.drawing.status import Status
from mouldgeom.fabrication.quantities import material_of
from mouldgeom.fabrication.wear import Spare
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Fastener
from mouldgeom.nesting.bars import BarPlan
from mouldgeom.nesting.layout import Nest, SheetLayout
from mouldgeom.outputs.dxf import CutOptions
from mouldgeom.outputs.nest_dxf import nest_dxfs
from mouldgeom.outputs.nest_picture import bars_svg, sheet_svg
from mouldgeom.outputs.records import json_bytes
from mouldgeom.units import inch_fraction, plain
from mouldgeom.words import Words


def nest_files(
    mould: Mould, nests: Sequence[Nest], changes: Sequence[str], status: Status, words: Words
) -> Iterator[tuple[str, bytes]]:
    """Yield path and content: one DXF and one picture a sheet, and ``nests/nests.json``."""
    options = CutOptions.from_spec(mould.dims.spec)
    for nest in nests:
        plates = [plate for plate in mould.plates if plate.sheet == nest.sheet]
        for number, content in enumerate(nest_dxfs(nest, plates, options)):
            name = f"nests/{file_name(nest.sheet)}-sheet-{number + 1}"
            yield f"{name}.dxf", content
            yield f"{name}.svg", sheet_svg(nest, number + 1, plates, status, words).encode("utf-8")
    document = {"changes": list(changes), "nests": [_nest_record(nest) for nest in nests]}
    yield "nests/nests.json", json_bytes(document)


def file_name(sheet: str) -> str:
    """A designation as part of a file name: ``"1/8 in"`` becomes ``"1-8-in"``."""
    return sheet.replace("/", "-").replace(" ", "-")


def _nest_record(nest: Nest) -> dict[str, Any]:
    return {
        "sheet": nest.sheet,
        "moulds": nest.moulds,
        "used_length_mm": round(nest.used_length, 3),
        "length_bound_mm": round(nest.length_bound, 3),
        "sheets": [_sheet_record(sheet) for sheet in nest.sheets],
    }


def _sheet_record(sheet: SheetLayout) -> dict[str, Any]:
    rest = sheet.rest
    return {
        "stock": sheet.stock.title,
        "used_length_mm": round(sheet.used_length, 3),
        "density": round(sheet.density, 4),
        "rest_mm": None if rest is None else [round(value, 1) for value in rest],
        "cuts_mm": [[round(value, 1) for value in (cut.x0, cut.y0, cut.x1, cut.y1)] for cut in sheet.cuts],
        "parts": [
            {
                "mark": p.mark,
                "number": p.number,
                "x_mm": round(p.x, 4),
                "y_mm": round(p.y, 4),
                "angle_deg": round(p.angle, 6),
                "inside": None if p.inside is None else list(p.inside),
            }
            for p in sheet.placements
        ],
    }


def bar_files(plans: Sequence[BarPlan], status: Status, words: Words) -> Iterator[tuple[str, bytes]]:
    """Yield path and content: the bar cutting plan as table and picture."""
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\n")
    writer.writerow(
        ["material", "bars", "bar_length_mm", "bar_length_in", "cuts", "rest_mm", "kerf_mm", "proven_least", "bound"]
    )
    for plan in plans:
        for run in plan.runs:
            cuts = "; ".join(f"{piece.mark} {plain(piece.length, 1)}" for piece in run.pieces)
            length = run.stock.length
            writer.writerow(
                [
                    plan.material,
                    run.times,
                    plain(length, 1),
                    inch_fraction(length),
                    cuts,
                    plain(run.rest, 1),
                    plain(plan.kerf, 2),
                    "yes" if plan.proven else "no",
                    plain(plan.bound, 2),
                ]
            )
    yield "bars/cutting-plan.csv", table.getvalue().encode("utf-8")
    yield "bars/cutting-plan.svg", bars_svg(plans, status, words).encode("utf-8")


def purchase_lines(
    nests: Sequence[Nest],
    plans: Sequence[BarPlan],
    fasteners: Sequence[Fastener],
    moulds: int,
    spares: Sequence[Spare] = (),
) -> list[str]:
    """What to buy, a line each: sheets by size, bars by section and length, bolts and nuts by their class, spares."""
    counted: dict[str, int] = {}
    for nest in nests:
        for sheet in nest.sheets:
            counted[f"sheet {sheet.stock.title}"] = counted.get(f"sheet {sheet.stock.title}", 0) + 1
    for plan in plans:
        for run in plan.runs:
            title = f"{plan.material}, {plain(run.stock.length, 1)} mm"
            counted[title] = counted.get(title, 0) + run.times
    for part in fasteners:
        counted[material_of(part)] = counted.get(material_of(part), 0) + moulds * part.quantity
    for spare in spares:
        counted[f"spare {spare.name}"] = moulds * spare.count
    return [f"{count} x {title}" for title, count in counted.items()]
