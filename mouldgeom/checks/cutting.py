"""Checks 7 and 11: what the torch can cut, and whether every piece comes out of sheets and bars of usual size."""

from __future__ import annotations

import math

from mouldgeom import tables
from mouldgeom.checks.case import Case
from mouldgeom.fabrication.quantities import cut_diameter
from mouldgeom.fabrication.stocklist import default_stock
from mouldgeom.model.shapes import Plate
from mouldgeom.nesting.layout import NestOptions
from mouldgeom.rules import least_cut_hole
from mouldgeom.spec.fields import HoleMethod
from mouldgeom.units import Mm
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

PART_SPACING: Mm = 5.0
_WEB = "common practice, no source: no web narrower than the sheet is thick"


def check_cutting(case: Case) -> tuple[Verdict, ...]:
    """Compare holes, webs, kerf and the taper of cut holes with what the cutting process does."""
    spec = case.dims.spec
    process = tables.cutting_process(spec.shop.cutting)
    out = []
    cut: list[tuple[Mm, Mm, str, Mm, Mm]] = []
    for plate in case.mould.plates:
        for hole in plate.holes:
            size = cut_diameter(hole, plate.thickness, spec)
            if size is not None:
                clearance = hole.diameter - _bolt(case) if hole.purpose == "bolt" else math.inf
                least = least_cut_hole(plate.thickness, spec.shop.cutting)
                cut.append(
                    (size, least, Said("{mark} {name}", mark=plate.mark, name=plate.name), plate.thickness, clearance)
                )
    if cut:
        size, least, where, *_ = min(cut, key=lambda c: round(c[0] - c[1], 6))
        by_ratio, *_, by_size = 2 * process.hole_source.split("; ")
        rule = by_ratio if least > process.least_hole_mm else by_size
        out.append(Verdict("7.1", "smallest hole that is cut", size, least, Operator.AT_LEAST, "mm", where, rule))
    web, thick, where = min((_least_web(plate) for plate in case.mould.plates), key=lambda w: round(w[0] - w[1], 6))
    out.append(Verdict("7.2", "narrowest web beside a hole", web, thick, Operator.AT_LEAST, "mm", where, _WEB))
    kerf, band = spec.shop.kerf, f"usual kerf of {process.name} cutting: {process.kerf_source}"
    out.append(Verdict("7.3", "kerf", kerf, process.kerf_high_mm, Operator.AT_MOST, "mm", "shop.kerf", band))
    out.append(Verdict("7.4", "kerf", kerf, process.kerf_low_mm, Operator.AT_LEAST, "mm", "shop.kerf", band))
    full = spec.shop.hole_method is HoleMethod.FULL  # pilot holes are drilled out, and the drill makes them round
    options = NestOptions.from_spec(spec)
    between = Verdict(
        "7.6",
        "steel left between parts on a sheet, edge to edge",
        options.gap,
        max(PART_SPACING, 2 * kerf),
        Operator.AT_LEAST,
        "mm",
        "shop.part_spacing",
        "shop design guide: 5 mm or more (seen); own rule: two kerfs do not meet",
    )
    out.append(between)
    bolts = [c for c in cut if full and math.isfinite(c[4])]
    if bolts:
        _, _, where, thickness, clearance = max(bolts, key=lambda c: round(c[3] - c[4], 6))
        taper = 2 * thickness * math.tan(math.radians(process.edge_angle_deg))
        out.append(
            Verdict(
                "7.5",
                "a cut hole is narrower at one face by",
                taper,
                clearance,
                Operator.AT_MOST,
                "mm",
                Said("bolt holes of {plate}", plate=where),
                f"bevel of {process.edge_angle_deg:g} degrees: {process.edge_source}",
            )
        )
    return tuple(out)


def _bolt(case: Case) -> Mm:
    """Diameter of the bolts of the mould."""
    return case.dims.stock.bolt.diameter_mm


def _least_web(plate: Plate) -> tuple[Mm, Mm, str]:
    """Least steel between a hole and another hole, an opening or the edge; the thickness; and where."""
    best = math.inf
    lines = [plate.outline, *plate.openings]
    for i, hole in enumerate(plate.holes):
        for other in plate.holes[i + 1 :]:
            best = min(best, math.dist((hole.x, hole.y), (other.x, other.y)) - (hole.diameter + other.diameter) / 2)
        for line in lines:
            points = line.points(3.0)
            for a, b in zip(points, [*points[1:], points[0]], strict=True):
                best = min(best, _to_segment((hole.x, hole.y), a, b) - hole.diameter / 2)
    return best, plate.thickness, Said("{mark} {name}", mark=plate.mark, name=plate.name)


def _to_segment(point: tuple[Mm, Mm], a: tuple[Mm, Mm], b: tuple[Mm, Mm]) -> Mm:
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    share = 0.0 if square == 0 else min(1.0, max(0.0, ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / square))
    return math.dist(point, (a[0] + share * dx, a[1] + share * dy))


def check_stock(case: Case) -> tuple[Verdict, ...]:
    """Compare the largest plate and the longest bar with usual sheets and bars, margin, kerf and trim included."""
    shop, stock, options = case.dims.spec.shop, default_stock(case.dims.spec.own), NestOptions.from_spec(case.dims.spec)
    source = "usual sheet and bar sizes, trade practice (48 x 96 in and 20 ft seen; others from memory)"
    plates = []
    for plate in case.mould.plates:
        x0, y0, x1, y1 = plate.outline.bounds
        small, large = sorted((x1 - x0, y1 - y0))
        for sheet in stock.sheets_of(plate.sheet):
            room = (sheet.width - 2 * options.edge, sheet.length - 2 * options.edge)
            plates.append(
                (
                    max(small / room[0], large / room[1]),
                    Said("{mark} {name} in {stock}", mark=plate.mark, name=plate.name, stock=sheet.title),
                )
            )
    bars = []
    for bar in case.mould.bars:
        for length in stock.bars_of(bar.kind, bar.section):
            bars.append(
                (
                    (bar.length + shop.end_trim + shop.saw_kerf) / length.length,
                    Said("{mark} {name} in {stock}", mark=bar.mark, name=bar.name, stock=length.title),
                )
            )
    out = []
    for code, what, found in (
        ("11.1", "largest plate, share of its sheet", plates),
        ("11.2", "longest bar, share of its stock length", bars),
    ):
        share, where = max(found, key=lambda f: round(f[0], 9))
        out.append(Verdict(code, what, share, 1.0, Operator.AT_MOST, "-", where, source))
    return tuple(out)
