"""Pictures of nests and of bar plans, as SVG: what lies where, how large the sheet is, and what is left of it."""

from __future__ import annotations

from collections.abc import Sequence

from shapely import maximum_inscribed_circle
from shapely.affinity import rotate, translate
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon

from mouldgeom.drawing.colours import GROUP_COLOURS
from mouldgeom.drawing.status import Status
from mouldgeom.drawing.svg import QUIET, dimension, document, line, number, path, points_of, text
from mouldgeom.geometry.outline import Point
from mouldgeom.model.shapes import GROUP_LETTERS, Group, Plate
from mouldgeom.nesting.bars import BarPlan, BarRun
from mouldgeom.nesting.layout import Nest, NestPlacement, SheetLayout
from mouldgeom.outputs.dxf import Transform
from mouldgeom.units import Mm
from mouldgeom.words import Said, Words, joined

_ENGLISH = Words()
_PALE = 0.55
"""Share of white in the fills."""
FILLS = {
    group: "#" + "".join(f"{round(255 * (_PALE + (1 - _PALE) * part)):02x}" for part in colour)
    for group, colour in GROUP_COLOURS.items()
}
"""Fills of the parts: the colours of the groups, paler, so that marks stand out."""
_BY_LETTER = {letter: group for group, letter in GROUP_LETTERS.items()}
REST = "#ffffff"
STEEL = "#ececec"


def sheet_svg(
    nest: Nest, sheet: int, plates: Sequence[Plate], status: Status = Status.UNCHECKED, words: Words = _ENGLISH
) -> str:
    """Return the picture of one sheet of a nest, counted from 1."""
    layout = nest.sheets[sheet - 1]
    known = {plate.mark: plate for plate in plates}
    long, wide = layout.stock.length, layout.stock.width
    size = long / 60
    body = [path([points_of(layout.outline)], STEEL, "#555555", size / 12)]
    drawn = [(p, _polygon(known[p.mark], p)) for p in layout.placements]
    for placed, polygon in reversed(drawn):  # parts in openings on top
        rings = [list(polygon.exterior.coords)[:-1], *(list(r.coords)[:-1] for r in polygon.interiors)]
        body.append(path(rings, FILLS[known[placed.mark].group], "#333333", size / 16))
        for x, y, radius in _holes(known[placed.mark], placed):
            body.append(
                f'<circle cx="{number(x)}" cy="{number(-y)}" r="{number(radius)}" fill="{STEEL}" '
                f'stroke="#333333" stroke-width="{number(size / 24)}"/>'
            )
    body += _rest(layout, size, words)
    for order, cut in enumerate(layout.cuts, 1):
        a, b = (cut.x0, cut.y0), (cut.x1, cut.y1)
        body.append(line(a, b, "#c00000", size / 10, f"{number(size / 2)} {number(size / 4)}"))
        share = 0.12 if order % 2 else 0.2
        at = (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
        body.append(f'<circle cx="{number(at[0])}" cy="{number(-at[1])}" r="{number(0.4 * size)}" fill="white"/>')
        body.append(text(str(order), at, 0.6 * size, colour="#c00000"))
    for placed, polygon in drawn:
        body.append(_mark(placed.mark, polygon, known[placed.mark], placed, size))
    body += dimension((0, wide + size), (long, wide + size), words(Said("{length:p1}", length=long)), size)
    body += dimension((-size, 0), (-size, wide), words(Said("{length:p1}", length=wide)), size)
    used, low = words(Said("used {length:p0}", length=layout.used_length)), -size * 1.9
    body += dimension((0, low), (layout.used_length, low), used, size)
    body.append(text(words(_title(nest, sheet)), (0, wide + 3.6 * size), 1.2 * size, anchor="start"))
    body.append(verdict(status, words, (0, wide + 5.4 * size), 1.2 * size))
    return document(body, (-3.2 * size, -3.4 * size, long + 5 * size, wide + 10.2 * size))


def verdict(status: Status, words: Words, at: Point, size: Mm) -> str:
    """Status of the design, in the colour of a warning if it fails."""
    colour = "#c00000" if status is Status.FAILS else "#555555"
    return text(words(Said("Status: {status}", status=str(status))), at, size, anchor="start", colour=colour)


def _title(nest: Nest, sheet: int) -> Said:
    layout = nest.sheets[sheet - 1]
    return Said(
        "Sheet {sheet} of {sheets} · {stock} · {moulds} · {pieces} pieces · {share:p1} % of the used length is pieces",
        sheet=sheet,
        sheets=len(nest.sheets),
        stock=layout.stock.title,
        moulds="1 mould" if nest.moulds == 1 else Said("{count} moulds", count=nest.moulds),
        pieces=len(layout.placements),
        share=100 * layout.density,
    )


def _polygon(plate: Plate, placed: NestPlacement) -> Polygon:
    polygon = Polygon(points_of(plate.outline), [points_of(opening) for opening in plate.openings])
    return translate(rotate(polygon, placed.angle, origin=(0, 0)), placed.x, placed.y)


def _holes(plate: Plate, placed: NestPlacement) -> list[tuple[Mm, Mm, Mm]]:
    lay = Transform(placed.x, placed.y, placed.angle)
    return [(*lay.point(hole.x, hole.y), hole.diameter / 2) for hole in plate.holes]


def _mark(mark: str, polygon: Polygon, plate: Plate, placed: NestPlacement, size: Mm) -> str:
    """Write a mark in the middle of the widest place that is free of holes, as large as it fits."""
    clear = polygon
    for x, y, radius in _holes(plate, placed):
        clear = clear.difference(ShapelyPoint(x, y).buffer(radius))
    whole = polygon.centroid
    room = maximum_inscribed_circle(clear, tolerance=1.0)
    (cx, cy), radius = room.coords[0], room.length
    if clear.contains(whole.buffer(0.8 * radius)):
        cx, cy = whole.x, whole.y
    height = max(0.35 * size, min(1.6 * size, 2 * radius / (0.62 * len(mark) + 0.4)))
    return text(mark, (cx, cy), height)


def _rest(layout: SheetLayout, size: Mm, words: Words) -> list[str]:
    if layout.rest is None:
        return []
    x, y, width, height = layout.rest
    corners: list[Point] = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    dash = f' stroke-dasharray="{number(size / 2)} {number(size / 3)}"'
    told = words(Said("rest {width:p0} × {height:p0}", width=width, height=height))
    turn = 90.0 if width < 0.55 * size * len(told) else 0.0
    room = height if turn else width
    letters = min(1.2 * size, room / (0.6 * len(told)), 0.8 * (width if turn else height))
    return [
        path([corners], REST, QUIET, size / 12, dash),
        text(told, (x + width / 2, y + height / 2), letters, turn=turn, colour="#555555"),
    ]


# --- bars ------------------------------------------------------------------------------------------------------------


def bars_svg(plans: Sequence[BarPlan], status: Status = Status.UNCHECKED, words: Words = _ENGLISH) -> str:
    """Return the picture of cutting plans: one row for bars that are cut alike, all to one scale."""
    long = max(run.stock.length for plan in plans for run in plan.runs)
    size = long / 75
    y = -1.2 * size
    body: list[str] = [verdict(status, words, (0, -0.7 * size), 1.15 * size)]
    for plan in plans:
        y -= 3.4 * size
        body.append(text(_capital(words(_heading(plan))), (0, y + 1.7 * size), 1.15 * size, anchor="start"))
        for run in plan.runs:
            body += _row(run, y, size, words)
            y -= 2.9 * size
    return document(body, (-5 * size, y, long + 7 * size, -y + size))


def _heading(plan: BarPlan) -> Said:
    proof = "fewest possible" if plan.proven and not plan.by_cost else "least cost" if plan.proven else "best found"
    said = Said(
        "{material}: {bars} ({proof}), cut {kerf:p1} mm wide",
        material=plan.material,
        bars="1 bar" if plan.bars == 1 else Said("{count} bars", count=plan.bars),
        proof=proof,
        kerf=plan.kerf,
    )
    return Said("{cut}, end trim {trim:p1} mm", cut=said, trim=plan.trim) if plan.trim else said


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _row(run: BarRun, y: Mm, size: Mm, words: Words) -> list[str]:
    high = 1.5 * size

    def block(x0: Mm, x1: Mm) -> list[Point]:
        return [(x0, y - high), (x1, y - high), (x1, y), (x0, y)]

    out = [
        text(f"{run.times} ×", (-0.6 * size, y - high / 2), size, anchor="end"),
        path([block(0, run.stock.length)], REST, "#555555", size / 12),
    ]
    names: dict[tuple[str, Mm], int] = {}
    for piece in run.pieces:
        names[piece.mark, piece.length] = names.get((piece.mark, piece.length), 0) + 1
        fill = FILLS[_BY_LETTER.get(piece.mark[:1], Group.FASTENERS)]
        out.append(path([block(piece.start, piece.start + piece.length)], fill, "#333333", size / 20))
        middle = (piece.start + piece.length / 2, y - high / 2)
        told = words(Said("{mark} · {length:p1}", mark=piece.mark, length=piece.length))
        if 0.6 * 0.8 * size * len(told) < piece.length:
            out.append(text(told, middle, 0.8 * size))
        else:
            fits = piece.length / (0.62 * len(piece.mark))
            out.append(text(piece.mark, middle, max(0.35 * size, min(0.7 * size, 0.9 * fits))))
    if run.rest > 6 * size:
        at = (run.stock.length - run.rest / 2, y - high / 2)
        out.append(text(words(Said("rest {length:p0}", length=run.rest)), at, 0.8 * size, colour="#777777"))
    listed = joined(
        Said("{count} × {mark} {length:p1}", count=count, mark=mark, length=length)
        for (mark, length), count in names.items()
    )
    told = Said("{cuts}; rest {rest:p0} of {bar:p0} mm", cuts=listed, rest=run.rest, bar=run.stock.length)
    out.append(text(words(told), (0, y - high - 0.6 * size), 0.7 * size, anchor="start", colour="#555555"))
    return out
