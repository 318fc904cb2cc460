"""From plates and stock to sheets: openings filled first, then sheet after sheet, a good sheet repeated."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import Polygon

from mouldgeom.errors import InputError
from mouldgeom.fabrication.stocklist import StockSheet
from mouldgeom.geometry.outline import Point
from mouldgeom.model.shapes import Plate
from mouldgeom.nesting.layout import Nest, NestOptions, NestPlacement, SheetLayout, StraightCut, rank
from mouldgeom.nesting.lp import Room, Spot
from mouldgeom.nesting.pairs import PartKind, make_kind
from mouldgeom.nesting.polygons import Apart, Array, cover, inscribed, outside_bits, shape_of, turned
from mouldgeom.nesting.rectangles import Places, Rect
from mouldgeom.nesting.search import Effort, Layout, Searcher
from mouldgeom.nesting.solver import Rows, minimise
from mouldgeom.nesting.straight import StraightSearcher
from mouldgeom.units import Deg, Mm, Mm2, Ratio, plain

_LEAST_REST: Mm = 100.0
"""A rest is of use from this width on (common practice, no source)."""
_NODES = 500
"""Most nodes of the search for a mixture of sheets."""
_POWERS: tuple[Ratio, ...] = (1.0, 1.25, 1.1, 1.5, 1.2, 1.0, 1.3, 1.1)
"""How much more a large part counts than its area when a sheet is filled; one pass over all sheets for each.

More moulds are worth more passes: their sheets may be mixed in the end.
"""


@dataclass(frozen=True, eq=False)
class _Rider:
    """A part in the opening of another, placed in the other's frame."""

    mark: str
    x: Mm
    y: Mm
    angle: Deg


@dataclass(frozen=True, eq=False)
class _Lot:
    """Parts of one mark that carry the same riders: how many a mould."""

    plate: Plate
    count: int
    riders: tuple[_Rider, ...] = ()


@dataclass(frozen=True, eq=False)
class _Sheet:
    """A sheet with what lies on it, before pieces are numbered."""

    stock: StockSheet
    layout: Layout


def plan(
    plates: Sequence[Plate], sheets: Sequence[StockSheet], options: NestOptions, moulds: int, angles: tuple[Deg, ...]
) -> Nest:
    """Return the best nest found; it is not proven yet.

    Raises:
        InputError: a part fits no sheet that is there, or there are too few sheets.
    """
    return _Planner(plates, sheets, options, moulds, angles).best()


class _Planner:
    """Lays parts grown by half a kerf, as the torch goes: sharp corners reach further, and their cuts stay clear."""

    def __init__(
        self,
        plates: Sequence[Plate],
        sheets: Sequence[StockSheet],
        options: NestOptions,
        moulds: int,
        angles: tuple[Deg, ...],
    ) -> None:
        self.plates, self.options, self.moulds, self.angles = tuple(plates), options, moulds, angles
        self.sheets = tuple(s for s in sheets if s.quantity is None or s.quantity > 0)
        self.half = 0.0 if options.straight_cuts else options.kerf / 2
        self.gap = options.gap - 2 * self.half
        self.edge = options.edge - self.half
        self.lots = self._lots()
        self.kinds = [make_kind(lot.plate.mark, self._bits(lot.plate), angles) for lot in self.lots]
        self.demand = [lot.count * moulds for lot in self.lots]
        self._fits_somewhere()

    def _bits(self, plate: Plate) -> tuple[Array, ...]:
        if self.options.straight_cuts:
            x0, y0, x1, y1 = plate.outline.bounds
            return (np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]),)
        return cover(plate.outline, self.half)

    def _searcher(self, tries: int, slides: int, turn: int = 0) -> Searcher:
        make = StraightSearcher if self.options.straight_cuts else Searcher
        polish = slides if turn == 0 and not self.options.straight_cuts else 0
        effort = Effort(tries, slides, 20 if tries >= 3000 else 3, polish)
        return make(self.kinds, self.gap, self.angles, effort, self.options.seed + 1000 * turn)

    # --- openings ---

    def _lots(self) -> list[_Lot]:
        """Fill the openings of one mould with its small parts; every mould is treated alike."""
        left = {plate.mark: plate.quantity for plate in self.plates}
        lots: list[_Lot] = []
        for plate in sorted(self.plates, key=lambda p: (-max((o.area for o in p.openings), default=0.0), p.mark)):
            if not self.options.use_openings or not plate.openings:
                continue
            while left[plate.mark] > 0:
                left[plate.mark] -= 1
                riders = self._riders(plate, left)
                if not riders:
                    left[plate.mark] += 1
                    break
                lots.append(_Lot(plate, 1, riders))
        lots += [_Lot(plate, left[plate.mark]) for plate in self.plates if left[plate.mark] > 0]
        order = {plate.mark: number for number, plate in enumerate(self.plates)}
        return sorted(lots, key=lambda lot: (order[lot.plate.mark], -len(lot.riders)))

    def _riders(self, host: Plate, left: dict[str, int]) -> tuple[_Rider, ...]:
        """Take parts from what is left into the openings of a host."""
        riders: list[_Rider] = []
        for opening in host.openings:
            points = inscribed(opening)
            x0, y0, x1, y1 = opening.bounds
            small = [
                p
                for p in self.plates
                if p.mark != host.mark
                and left[p.mark] > 0
                and not p.openings
                and min(_sides(p)) <= min(x1 - x0, y1 - y0) - 2 * self.options.gap
                and p.outline.area < opening.area
            ]
            if not small:
                continue
            kinds = [make_kind(p.mark, self._bits(p), self.angles) for p in small]
            search = Searcher(kinds, self.gap, self.angles, Effort(200, 8, 2), self.options.seed)
            room = _room(points, self.gap + self.half)
            layout = search.fill([left[p.mark] for p in small], room) if room is not None else None
            for spot in layout.spots if layout else ():
                x, y = _frame(spot)
                left[small[spot.item].mark] -= 1
                riders.append(_Rider(small[spot.item].mark, x, y, spot.shape.angle))
        return tuple(riders)

    # --- what fits at all ---

    def _fits_somewhere(self) -> None:
        for lot, kind in zip(self.lots, self.kinds, strict=True):
            if not any(self._fits(kind, sheet) for sheet in self.sheets):
                wide, high = sorted(_sides(lot.plate))
                nearest = max(self.sheets, key=lambda s: (s.width, s.length), default=None)
                raise InputError(
                    f"plate {lot.plate.mark} ({lot.plate.name})",
                    f"{plain(wide, 1)} x {plain(high, 1)} mm of {lot.plate.sheet}",
                    f"no sheet in stock is large enough with a margin of {plain(self.options.edge, 1)} mm; "
                    + (f"the nearest is {nearest.title}" if nearest else f"there is no sheet of {lot.plate.sheet}"),
                    "Add a larger sheet to the stock list, or reduce the margin.",
                )

    def _fits(self, kind: PartKind, sheet: StockSheet) -> bool:
        long, wide = sheet.length - 2 * self.edge, sheet.width - 2 * self.edge
        return any(s.width <= long + 1e-6 and s.height <= wide + 1e-6 for s in kind.shapes)

    # --- sheet after sheet ---

    def best(self) -> Nest:
        """Try each kind of full sheet as the usual one, and ways of filling; return the best nest."""
        full = [s for s in self.sheets if s.outline is None]
        offcuts = sorted((s for s in self.sheets if s.outline is not None), key=lambda s: (s.area, s.title))
        orders = [[main, *(s for s in full if s is not main)] for main in full] or [[]]
        found: list[Nest] = []
        refusal: InputError | None = None
        for order in orders:
            for use_offcuts in (True, False) if offcuts and full else (True,):
                try:
                    found += self._ways(offcuts if use_offcuts else [], order)
                except InputError as error:
                    refusal = error
        if not found:
            assert refusal is not None
            raise refusal
        return min(found, key=rank)

    def _ways(self, offcuts: Sequence[StockSheet], full: Sequence[StockSheet]) -> Iterator[Nest]:
        options = self.options
        room = _room_of(full[0], self.edge) if full else None
        if room is not None and not offcuts and full[0].quantity != 0:
            one = self._searcher(options.tries, options.slides).strip(
                [lot.count for lot in self.lots] if self._is_many() else self.demand, room
            )
            if one is not None and not self._is_many():
                yield self._nest([_Sheet(full[0], one)])
                return
            if one is not None and (full[0].quantity is None or full[0].quantity >= self.moulds):
                yield self._nest([_Sheet(full[0], one)] * self.moulds)
            seen = [_Sheet(full[0], one)] if one is not None else []
        else:
            seen = []
        least = self._least_sheets(full[0]) if full else 0
        passes = 3 if self.moulds < 10 else 5 if self.moulds < 20 else len(_POWERS)
        for turn, power in enumerate(_POWERS[:passes]):
            sheets = self._sequence(offcuts, full, power, turn)
            yield self._nest(sheets)
            if len(sheets) <= least:
                return
            seen += sheets
        mixed = self._mixed(list(dict.fromkeys(seen)))
        if mixed is not None:
            yield self._nest(mixed)

    def _mixed(self, seen: Sequence[_Sheet]) -> list[_Sheet] | None:
        """Choose, among all sheets laid so far, how often to cut each: at least all parts from the least steel.

        Parts beyond what is wanted are left out again, and what is on the emptiest sheet is laid anew.
        """
        counts = [self._counts(sheet.layout) for sheet in seen]
        kinds = range(len(self.demand))
        table = [[(i, float(n[k])) for i, n in enumerate(counts) if n[k]] for k in kinds]
        lower, upper = [float(n) for n in self.demand], [math.inf] * len(self.demand)
        for stock in dict.fromkeys(sheet.stock for sheet in seen):
            if stock.quantity is not None:
                table.append([(i, 1.0) for i, sheet in enumerate(seen) if sheet.stock == stock])
                lower.append(0.0)
                upper.append(float(stock.quantity))
        starts = [sum(map(len, table[:i])) for i in range(len(table))]
        index, value = [i for row in table for i, _ in row], [n for row in table for _, n in row]
        cost = [sheet.stock.area / 1e6 for sheet in seen]
        most = [float(sum(self.demand))] * len(seen)
        rows = Rows(starts, index, value, lower, upper)
        answer = minimise(cost, [0.0] * len(seen), most, rows, whole=True, nodes=_NODES)
        if answer is None:
            return None
        chosen = [sheet for sheet, times in zip(seen, answer.values, strict=True) for _ in range(round(float(times)))]
        chosen.sort(key=lambda sheet: -sheet.layout.area)
        surplus = [sum(self._counts(c.layout)[k] for c in chosen) - self.demand[k] for k in kinds]
        out: list[_Sheet] = []
        for sheet in reversed(chosen):
            spots = []
            for spot in sorted(sheet.layout.spots, key=lambda s: -s.right):
                if surplus[spot.item] > 0:
                    surplus[spot.item] -= 1
                else:
                    spots.append(spot)
            if spots:
                out.append(_Sheet(sheet.stock, replace(sheet.layout, spots=tuple(spots))))
        out.sort(key=lambda sheet: -sheet.layout.area)
        room = _room_of(out[-1].stock, self.edge)
        again = self._last(self._counts(out[-1].layout), room, out[-1].stock) if room is not None else None
        return [*out[:-1], out[-1] if again is None else _Sheet(out[-1].stock, again)]

    def _counts(self, layout: Layout) -> list[int]:
        taken = [0] * len(self.demand)
        for spot in layout.spots:
            taken[spot.item] += 1
        return taken

    def _least_sheets(self, stock: StockSheet) -> int:
        """Sheets that no nest can do without, by area."""
        gap, edge = self.options.gap, self.options.edge
        room = (stock.length - 2 * edge + gap) * (stock.width - 2 * edge + gap)
        return math.ceil(self._grown_area() / room - 1e-9)

    def _is_many(self) -> bool:
        return self.moulds > 1

    def _sequence(
        self, offcuts: Sequence[StockSheet], full: Sequence[StockSheet], power: Ratio, turn: int
    ) -> list[_Sheet]:
        left = list(self.demand)
        out: list[_Sheet] = []
        for stock in (*offcuts, *full):
            used = 0
            room = _room_of(stock, self.edge)
            while any(left) and room is not None and (stock.quantity is None or used < stock.quantity):
                layout = self._last(left, room, stock)
                if layout is None:
                    pool = self._pool(left, room)
                    share = min(0.16, 8 / sum(pool))  # more parts take longer: about the same time for each sheet
                    filler = self._searcher(
                        int(share * self.options.tries), int(2 * share * self.options.slides) + 4, turn
                    )
                    layout = filler.fill(pool, room, power)
                if layout is None or not layout.spots:
                    break
                taken = self._counts(layout)
                times = min(left[k] // n for k, n in enumerate(taken) if n)
                if stock.quantity is not None:
                    times = min(times, stock.quantity - used)
                out += [_Sheet(stock, layout)] * times
                used += times
                left = [have - times * n for have, n in zip(left, taken, strict=True)]
        if any(left):
            k = next(k for k, n in enumerate(left) if n)
            plate = self.lots[k].plate
            raise InputError(
                f"plate {plate.mark} ({plate.name})",
                f"{sum(left)} pieces of {plate.sheet} left over",
                "the sheets in stock are too few",
                "Add sheets to the stock list, or make fewer moulds.",
            )
        return out

    def _last(self, left: Sequence[int], room: Room, stock: StockSheet) -> Layout | None:
        """Lay all that is left on one sheet, if its area allows."""
        area = sum(n * kind.area for n, kind in zip(left, self.kinds, strict=True))
        if area > 0.99 * stock.area:
            return None
        share = min(0.3, 5 / sum(left))
        return self._searcher(int(share * self.options.tries), int(2 * share * self.options.slides) + 4).strip(
            left, room
        )

    def _pool(self, left: Sequence[int], room: Room) -> list[int]:
        """Return a share of what is left, about twice what a sheet holds, in the proportions of what is left."""
        area = sum(n * kind.area for n, kind in zip(left, self.kinds, strict=True))
        share = min(1.0, 2.0 * (room.x1 - room.x0) * (room.y1 - room.y0) / area)
        return [min(n, math.ceil(n * share)) for n in left]

    # --- the result ---

    def _nest(self, sheets: Sequence[_Sheet]) -> Nest:
        numbers: dict[str, int] = {}
        widest = next((s.stock for s in sheets if s.stock.outline is None), sheets[0].stock)
        return Nest(
            self.plates[0].sheet,
            self.moulds,
            self.options,
            tuple(self._sheet_layout(sheet, numbers) for sheet in sheets),
            self._bound(widest.width),
        )

    def _bound(self, width: Mm) -> Mm:
        """Each part grown by half the gap needs its area of a strip that is wider by the gap."""
        gap, edge = self.options.gap, self.options.edge
        wide = width - 2 * self.edge + 1e-6
        longest = max(min(s.width for s in kind.shapes if s.height <= wide) for kind in self.kinds) - 2 * self.half
        return max(self._grown_area() / (width - 2 * edge + gap) - gap, longest) + 2 * edge

    def _grown_area(self) -> Mm2:
        gap = self.options.gap
        return sum(
            n * (lot.plate.outline.area if not self.options.straight_cuts else math.prod(_sides(lot.plate)))
            + n * (_girth(lot.plate, self.options.straight_cuts) * gap / 2 + math.pi * gap**2 / 4)
            for n, lot in zip(self.demand, self.lots, strict=True)
        )

    def _sheet_layout(self, sheet: _Sheet, numbers: dict[str, int]) -> SheetLayout:
        stock, layout = sheet.stock, sheet.layout
        placements: list[NestPlacement] = []
        for spot in sorted(layout.spots, key=lambda s: (round(s.x, 1), round(s.y, 1))):
            lot = self.lots[spot.item]
            x, y = _frame(spot)
            x, y, angle = round(x, 4), round(y, 4), round(spot.shape.angle, 6)
            number = numbers[lot.plate.mark] = numbers.get(lot.plate.mark, 0) + 1
            for rider in lot.riders:
                rx, ry = turned(np.array([(rider.x, rider.y)]), angle)[0]
                count = numbers[rider.mark] = numbers.get(rider.mark, 0) + 1
                placements.append(
                    NestPlacement(
                        rider.mark,
                        count,
                        round(x + float(rx), 4),
                        round(y + float(ry), 4),
                        round((rider.angle + angle) % 360, 6),
                        (lot.plate.mark, number),
                    )
                )
            placements.append(NestPlacement(lot.plate.mark, number, x, y, angle))
        used = min(stock.length, max(s.right for s in layout.spots) - self.half + self.options.edge)
        areas = {plate.mark: plate.area for plate in self.plates}
        area = sum(areas[p.mark] for p in placements)
        return SheetLayout(
            stock,
            stock.edge,
            tuple(placements),
            round(used, 4),
            area / (used * stock.width if stock.outline is None else stock.area),
            self._rest(stock, layout) if stock.outline is None else None,
            tuple(StraightCut(*cut) for cut in layout.cuts),
        )

    def _rest(self, stock: StockSheet, layout: Layout) -> Rect | None:
        """The largest rectangle of the sheet that is clear of all parts by the gap."""
        gap = self.options.gap - self.half
        places = Places(stock.length, stock.width)
        for s in layout.spots:
            x, y = max(0.0, s.x - gap), max(0.0, s.y - gap)
            places.take(x, y, s.right + gap - x, s.top + gap - y)
        usable = [p for p in places.free if min(p[2], p[3]) >= _LEAST_REST]
        if not usable:
            return None
        x, y, w, h = max(usable, key=lambda p: (round(p[2] * p[3]), p[0], p[1]))
        return (round(x, 3), round(y, 3), round(w, 3), round(h, 3))


def _sides(plate: Plate) -> tuple[Mm, Mm]:
    x0, y0, x1, y1 = plate.outline.bounds
    return x1 - x0, y1 - y0


def _girth(plate: Plate, box: bool) -> Mm:
    """Length around the convex hull, which is no longer than the outline."""
    return 2 * sum(_sides(plate)) if box else Polygon(plate.outline.points(1.0)).convex_hull.length


def _frame(spot: Spot) -> Point:
    """Return where the part's own origin lies."""
    return spot.x + spot.shape.origin[0], spot.y + spot.shape.origin[1]


def _room_of(stock: StockSheet, edge: Mm) -> Room | None:
    if stock.outline is None:
        room = Room(edge, edge, stock.length - edge, stock.width - edge)
        return room if room.x1 > room.x0 and room.y1 > room.y0 else None
    return _room(inscribed(stock.outline), edge)


def _room(points: Sequence[Point], edge: Mm) -> Room | None:
    """Return the room within a polygon: its bounding box, with what is not polygon as obstacles."""
    x0, y0, x1, y1 = Polygon(points).bounds
    if x1 - x0 <= 2 * edge or y1 - y0 <= 2 * edge:
        return None
    room = Room(x0 + edge, y0 + edge, x1 - edge, y1 - edge)
    if abs(Polygon(points).area - (x1 - x0) * (y1 - y0)) < 1.0:
        return room
    spots = []
    for bit in outside_bits(points):
        shape = shape_of((bit,), 0.0)
        spots.append(Spot(-1, shape, -shape.origin[0], -shape.origin[1]))
    return replace(room, obstacles=tuple(spots), to_obstacle=Apart(edge))
