"""The list of parts as plain records, for ``parts.json`` and for every list made from it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Final

from mouldgeom.designations import OwnDesignation
from mouldgeom.fabrication.quantities import grade_of
from mouldgeom.geometry.placement import Placement
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Bar, Fastener, Hole, Part, Plate

SCHEMA: Final = 1
"""Edition of the form of every JSON document; those written before there was one bear no such key."""


def json_bytes(document: Mapping[str, object]) -> bytes:
    """A document as JSON, its schema first: two spaces, keys in the order given, ASCII, one line end at the end."""
    return (json.dumps({"schema": SCHEMA, **document}, indent=2, ensure_ascii=True, allow_nan=False) + "\n").encode(
        "ascii"
    )


def _tidy(value: float, digits: int = 4) -> float:
    return round(value, digits) + 0.0


def part_records(mould: Mould) -> list[dict[str, Any]]:
    """One record a mark: lengths in mm to a ten-thousandth, mass of one in kg to a gram, casting frame."""
    return [_record(mould, part) for part in mould.parts]


def _record(mould: Mould, part: Part) -> dict[str, Any]:
    grade = grade_of(mould, part)
    record: dict[str, Any] = {"mark": part.mark, "name": part.name, "group": str(part.group)}
    if isinstance(part, Plate):
        x0, y0, x1, y1 = part.outline.bounds
        record |= {
            "kind": "plate",
            "material": str(part.sheet),
            "grade": str(grade),
            "thickness_mm": _tidy(part.thickness),
            "width_mm": _tidy(x1 - x0),
            "height_mm": _tidy(y1 - y0),
            "area_mm2": _tidy(part.area, 2),
            "concrete_face": str(part.concrete_face),
            "holes": [_hole(hole) for hole in part.holes],
        }
    elif isinstance(part, Bar):
        record |= {
            "kind": "bar",
            "material": str(part.kind),
            "grade": str(grade),
            "section": str(part.section),
            "length_mm": _tidy(part.length),
            "holes": [
                {
                    "leg": hole.leg,
                    "x_mm": _tidy(hole.along),
                    "y_mm": _tidy(hole.offset),
                    "diameter_mm": _tidy(hole.diameter),
                    "purpose": str(hole.purpose),
                }
                for hole in part.holes
            ],
        }
    else:
        record |= {"kind": "fastener", "material": str(part.kind), "designation": str(part.designation)}
        record |= {"grade": str(grade), "length_mm": _tidy(part.length), "holes": []}
    bought = part.sheet if isinstance(part, Plate) else part.section if isinstance(part, Bar) else part.designation
    for key, designation in (("source", bought), ("grade_source", grade)):
        if isinstance(designation, OwnDesignation):
            record[key] = designation.row.source
    record |= {
        "quantity": part.quantity,
        "mass_kg": _tidy(mould.mass(part), 3),
        "pieces": [stand.id.name for stand in part.stands],
        "placements": [_matrix(placement) for placement in part.placements],
    }
    return record


def _hole(hole: Hole) -> dict[str, Any]:
    return {
        "x_mm": _tidy(hole.x),
        "y_mm": _tidy(hole.y),
        "diameter_mm": _tidy(hole.diameter),
        "purpose": str(hole.purpose),
    }


def _matrix(placement: Placement) -> list[list[float]]:
    return [[_tidy(value, 6 if column == 3 else 9) for column, value in enumerate(row)] for row in placement.matrix]


def headline(mould: Mould) -> dict[str, Any]:
    """The figures that say what filter and mould these are."""
    dims = mould.dims
    return {
        "title": dims.spec.title,
        "outside_width_mm": _tidy(dims.width, 2),
        "outside_depth_mm": _tidy(dims.depth, 2),
        "height_mm": _tidy(dims.height, 2),
        "marks": len(mould.parts),
        "pieces": sum(part.quantity for part in mould.parts if not isinstance(part, Fastener)),
        "bolts": mould.bolt_count,
        "steel_kg": _tidy(mould.steel_mass, 1),
    }
