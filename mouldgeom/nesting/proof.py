"""Proof of a nest by independent geometry: it takes nothing from the search but the result.

Every part is drawn anew from its own outline, arcs in steps of one degree, by another library's turning and moving.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from shapely import STRtree
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

from mouldgeom.errors import GeometryError
from mouldgeom.model.shapes import Plate
from mouldgeom.nesting.layout import Nest, NestPlacement, SheetLayout
from mouldgeom.units import Mm

TOLERANCE: Mm = 0.005
"""What places rounded to a ten-thousandth and arcs drawn as one-degree chords may cost."""


def prove(nest: Nest, plates: Sequence[Plate]) -> None:
    """Check that every part lies inside its sheet, apart from all others, and that each is there once.

    Raises:
        GeometryError: one of these does not hold; it names the parts and the sheet.
    """
    known = {plate.mark: plate for plate in plates}
    _all_there(nest, known)
    gap, edge = nest.options.gap, nest.options.edge
    for number, layout in enumerate(nest.sheets, 1):
        where = f"sheet {number} of {nest.sheet}"
        drawn = [(p, _drawn(known, p, where)) for p in layout.placements]
        room = Polygon(layout.outline.points(1.0)).buffer(-(edge - TOLERANCE), join_style="mitre")
        for placement, polygon in drawn:
            if not room.covers(polygon):
                raise GeometryError(f"{where}: {_title(placement)} is less than {edge:g} mm inside the edge")
        _apart(drawn, gap, where)
        _in_order(layout, drawn, where)
    if nest.options.grain and len({round(p.angle % 180, 6) for s in nest.sheets for p in s.placements}) > 1:
        raise GeometryError(f"nest of {nest.sheet}: parts lie with and across the grain")
    for stock, used in Counter(layout.stock for layout in nest.sheets).items():
        if stock.quantity is not None and used > stock.quantity:
            raise GeometryError(f"nest of {nest.sheet}: {used} of {stock.title} are used, {stock.quantity} are there")


def _title(placement: NestPlacement) -> str:
    return f"{placement.mark} number {placement.number}"


def _all_there(nest: Nest, known: dict[str, Plate]) -> None:
    found = Counter((p.mark, p.number) for layout in nest.sheets for p in layout.placements)
    wanted = {(mark, n) for mark, plate in known.items() for n in range(1, plate.quantity * nest.moulds + 1)}
    wrong = sorted(wanted.symmetric_difference(found)) + sorted(key for key, count in found.items() if count > 1)
    if wrong:
        mark, number = wrong[0]
        raise GeometryError(f"nest of {nest.sheet}: {mark} number {number} is not there exactly once")


def _drawn(known: dict[str, Plate], placement: NestPlacement, where: str) -> Polygon:
    plate = known[placement.mark]
    polygon = Polygon(plate.outline.points(1.0), [opening.points(1.0) for opening in plate.openings])
    if not polygon.is_valid:
        raise GeometryError(f"{where}: the outline of {placement.mark} crosses itself")
    return translate(rotate(polygon, placement.angle, origin=(0, 0)), placement.x, placement.y)


def _apart(drawn: Sequence[tuple[NestPlacement, Polygon]], gap: Mm, where: str) -> None:
    shapes = [polygon for _, polygon in drawn]
    tree = STRtree(shapes)
    for number, (placement, polygon) in enumerate(drawn):
        for other in sorted(int(i) for i in tree.query(polygon, predicate="dwithin", distance=gap - TOLERANCE)):
            if other != number:
                away = polygon.distance(shapes[other])
                raise GeometryError(
                    f"{where}: {_title(placement)} and {_title(drawn[other][0])} "
                    f"are {away:.3f} mm apart, less than {gap:g} mm"
                )


def _in_order(layout: SheetLayout, drawn: Sequence[tuple[NestPlacement, Polygon]], where: str) -> None:
    """A part that lies in an opening says so, and comes before the part around it."""
    order = {(p.mark, p.number): i for i, p in enumerate(layout.placements)}
    for number, (placement, polygon) in enumerate(drawn):
        around = [
            (other.mark, other.number)
            for other, shape in drawn
            if other is not placement and Polygon(shape.exterior).contains(polygon)
        ]
        if around != ([placement.inside] if placement.inside else []):
            raise GeometryError(f"{where}: {_title(placement)} does not say rightly in which opening it lies")
        if placement.inside is not None and order[placement.inside] < number:
            raise GeometryError(f"{where}: {_title(placement)} comes after the opening that it lies in")
