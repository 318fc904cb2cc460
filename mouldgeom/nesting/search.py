"""The search for a good layout of one sheet: rectangles in many orders, then true shapes slid together.

Everything is counted, nothing is timed: the same input takes the same steps and gives the same layout.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from mouldgeom.nesting.lp import Room, Spot, compact
from mouldgeom.nesting.pairs import Cluster, LaidBlock, PartKind, joined, single
from mouldgeom.nesting.place import insert
from mouldgeom.nesting.polygons import Apart, Shape
from mouldgeom.nesting.rectangles import Places
from mouldgeom.units import Deg, Mm, Mm2, Ratio

_RULES = 4


@dataclass(frozen=True)
class Effort:
    """How many layouts are tried by rectangles, how many of them slid together, how many changes to the best tried."""

    tries: int = 900
    slides: int = 24
    starts: int = 3
    polish: int = 0


@dataclass(frozen=True)
class LayingOrder:
    """One try: units in the order in which they are laid, which block each must take (-1 any), and the rule."""

    units: tuple[Cluster, ...]
    forced: tuple[int, ...]
    rule: int


@dataclass(frozen=True, eq=False)
class Layout:
    """Spots of one sheet, the kinds left over, and the length used from the start of the room."""

    spots: tuple[Spot, ...]
    rest: tuple[int, ...]
    length: Mm
    cuts: tuple[tuple[Mm, Mm, Mm, Mm], ...] = ()

    @property
    def area(self) -> Mm2:
        """Area of what is laid."""
        return sum(s.shape.area for s in self.spots)


class Searcher:
    """Lays kinds of parts on one room after another; what it knows of pairs of shapes is kept."""

    use_pairs = True

    def __init__(self, kinds: Sequence[PartKind], gap: Mm, angles: Sequence[Deg], effort: Effort, seed: int) -> None:
        self.kinds = tuple(kinds)
        self.apart = Apart(gap)
        self.gap = gap
        self.angles = tuple(angles)
        self.effort = effort
        self.seed = seed
        self.singles = tuple(single(i, kind) for i, kind in enumerate(kinds))

    def strip(self, demand: Sequence[int], room: Room) -> Layout | None:
        """Return the shortest layout found of all parts; ``None`` if none fits the room."""
        found = self._search(demand, room, whole=True)
        return found if found is not None and not found.rest else None

    def fill(self, demand: Sequence[int], room: Room, power: Ratio = 1.0) -> Layout | None:
        """Return a layout with as much of the parts as goes in; a power over 1 prefers large parts."""
        return self._search(demand, room, whole=False, power=power)

    def _search(self, demand: Sequence[int], room: Room, *, whole: bool, power: Ratio = 1.0) -> Layout | None:
        if room.obstacles:
            return self._by_contact(demand, room)
        rng = random.Random(self.seed)
        pairs = joined(self.kinds, demand, self.apart, self.angles) if self.use_pairs else []
        tried: dict[tuple[Mm, ...], LayingOrder] = {}
        known: dict[LayingOrder, tuple[Mm, ...]] = {}

        def value(order: LayingOrder) -> tuple[Mm, ...]:
            if order not in known:  # equal parts that change places make the same order again
                known[order] = self._value(order, room, whole, power)
            return known[order]

        for start in range(self.effort.starts):
            self._climb(self._first(demand, pairs, start, rng), pairs, value, rng, tried)
        best: tuple[tuple[Mm, ...], Layout] | None = None
        ranked = sorted(tried.items(), key=lambda item: item[0])[: self.effort.slides]
        least = self._least(demand, room)
        for _, order in ranked:
            if whole and best is not None and best[0][0] == 0 and best[1].length <= least + 0.05:
                break
            for layout in self._slid(order, room, whole):
                score = _score(layout, whole, power, self.kinds)
                if best is None or score < best[0]:
                    best = (score, layout)
        if best is None:
            return None
        if self.effort.polish and whole and not best[1].rest and best[1].length > least + 0.05:
            return self._polished(best[1], room, rng)
        return best[1]

    def _polished(self, layout: Layout, room: Room, rng: random.Random) -> Layout:
        """Turn parts round, change places of two, or take one out and put it in again, while that shortens."""
        now = list(layout.spots)
        best = self._reach(now)
        for _ in range(self.effort.polish):
            other = self._moved(now, room, rng)
            other = compact(other, room, self.apart, 2) if other is not None else None
            if other is None:
                continue
            reach = self._reach(other)
            if reach < best:
                now, best = other, reach
        return Layout(tuple(now), (), max(s.right for s in now) - room.x0)

    def _reach(self, spots: Sequence[Spot]) -> tuple[Mm, Mm]:
        moment = sum(s.shape.area * s.right for s in spots) / sum(s.shape.area for s in spots)
        return round(max(s.right for s in spots), 2), round(moment, 3)

    def _moved(self, spots: Sequence[Spot], room: Room, rng: random.Random) -> list[Spot] | None:
        out = list(spots)
        i, j = rng.randrange(len(out)), rng.randrange(len(out))
        a, b = out[i], out[j]
        what = rng.random()
        if what < 0.35:
            shape = rng.choice(self.kinds[a.item].shapes)
            out[i] = Spot(
                a.item, shape, a.x + (a.shape.width - shape.width) / 2, a.y + (a.shape.height - shape.height) / 2
            )
        elif what < 0.7 and a.item != b.item:
            for at, one, other in ((i, a, b), (j, b, a)):
                shape = self._like(other, one)
                out[at] = Spot(
                    other.item,
                    shape,
                    one.x + (one.shape.width - shape.width) / 2,
                    one.y + (one.shape.height - shape.height) / 2,
                )
        else:
            del out[i]
            spot = insert(a.item, self.kinds[a.item].shapes, out, room, self.apart)
            if spot is None:
                return None
            out.append(spot)
        return out

    def _like(self, spot: Spot, place: Spot) -> Shape:
        """Return the orientation of a part that is nearest in size to the place of another."""
        return min(
            self.kinds[spot.item].shapes,
            key=lambda s: round(abs(s.width - place.shape.width) + abs(s.height - place.shape.height), 3),
        )

    def _least(self, demand: Sequence[int], room: Room) -> Mm:
        """The longest part needs its own length: no layout is shorter."""
        wide = room.y1 - room.y0
        return max(
            min((s.width for s in kind.shapes if s.height <= wide + 1e-6), default=0.0)
            for kind, count in zip(self.kinds, demand, strict=True)
            if count
        )

    # --- orders of rectangles ---

    def _first(self, demand: Sequence[int], pairs: Sequence[Cluster], start: int, rng: random.Random) -> LayingOrder:
        left = list(demand)
        units: list[Cluster] = []
        if start % 3 != 1:
            for pair in sorted(pairs, key=lambda u: (-len(u.kinds) if start % 3 == 2 else 0,)):
                while all(left[k] >= pair.kinds.count(k) for k in pair.kinds):
                    units.append(pair)
                    for k in pair.kinds:
                        left[k] -= 1
        for k, count in enumerate(left):
            units += [self.singles[k]] * count
        units.sort(key=lambda u: (-max(max(b.width, b.height) for b in u.blocks), -u.area, u.kinds))
        return LayingOrder(tuple(units), (-1,) * len(units), start % _RULES)

    def _climb(
        self,
        order: LayingOrder,
        pairs: Sequence[Cluster],
        value_of: Callable[[LayingOrder], tuple[Mm, ...]],
        rng: random.Random,
        tried: dict[tuple[Mm, ...], LayingOrder],
    ) -> None:
        """Change an order step by step; a step is kept if the outcome is no worse than that of some steps ago."""
        steps = max(1, self.effort.tries // self.effort.starts)
        now = value_of(order)
        tried.setdefault(now, order)
        history = [now] * 20
        best, best_order, since = now, order, 0
        for step in range(steps):
            other = self._changed(order, pairs, rng)
            value = value_of(other)
            tried.setdefault(value, other)
            if value <= now or value <= history[step % len(history)]:
                order, now = other, value
            history[step % len(history)] = now
            since += 1
            if now < best:
                best, best_order, since = now, order, 0
            elif since > 120:
                order, now, since = best_order, best, 0
                history = [best] * len(history)

    def _changed(self, order: LayingOrder, pairs: Sequence[Cluster], rng: random.Random) -> LayingOrder:
        units, forced, rule = list(order.units), list(order.forced), order.rule
        for _ in range(1 + (rng.random() < 0.3)):
            what = rng.random()
            i, j = rng.randrange(len(units)), rng.randrange(len(units))
            if what < 0.35:
                units[i], units[j] = units[j], units[i]
                forced[i], forced[j] = forced[j], forced[i]
            elif what < 0.6:
                units.insert(j, units.pop(i))
                forced.insert(j, forced.pop(i))
            elif what < 0.8:
                forced[i] = rng.randrange(-1, len(units[i].blocks))
            elif what < 0.95 and pairs:
                self._rejoin(units, forced, pairs, i, rng)
            else:
                rule = rng.randrange(_RULES)
        return LayingOrder(tuple(units), tuple(forced), rule)

    def _rejoin(
        self, units: list[Cluster], forced: list[int], pairs: Sequence[Cluster], i: int, rng: random.Random
    ) -> None:
        """Take a block apart, or join parts to one."""
        if len(units[i].kinds) > 1:
            loose = [self.singles[k] for k in units[i].kinds]
            units[i : i + 1] = loose
            forced[i : i + 1] = [-1] * len(loose)
            return
        pair = pairs[rng.randrange(len(pairs))]
        at: list[int] = []
        for k in pair.kinds:
            spot = next((n for n, u in enumerate(units) if u.kinds == (k,) and n not in at), None)
            if spot is None:
                return
            at.append(spot)
        for n in sorted(at, reverse=True):
            del units[n], forced[n]
        units.insert(min(at), pair)
        forced.insert(min(at), -1)

    def _places(self, order: LayingOrder, length: Mm, width: Mm) -> Places:
        return Places(length, width)

    def _lay(
        self, order: LayingOrder, room: Room, whole: bool
    ) -> tuple[list[tuple[LaidBlock, Mm, Mm]], list[Cluster], Places]:
        """Lay units one by one; return where their blocks lie from the room's corner, and what finds no place."""
        gap = self.gap
        long = room.x1 - room.x0 if not whole else 3 * (room.x1 - room.x0)
        places = self._places(order, long + gap, room.y1 - room.y0 + gap)
        laid: list[tuple[LaidBlock, Mm, Mm]] = []
        rest: list[Cluster] = []
        for unit, forced in zip(order.units, order.forced, strict=True):
            blocks = unit.blocks if forced < 0 else unit.blocks[forced : forced + 1]
            spot = places.best([(b.width + gap, b.height + gap) for b in blocks], order.rule)
            if spot is None and forced >= 0:
                blocks = unit.blocks
                spot = places.best([(b.width + gap, b.height + gap) for b in blocks], order.rule)
            if spot is None:
                rest.append(unit)
                continue
            number, x, y = spot
            block = blocks[number]
            places.take(x, y, block.width + gap, block.height + gap)
            laid.append((block, x, y))
        return laid, rest, places

    def _value(self, order: LayingOrder, room: Room, whole: bool, power: Ratio) -> tuple[Mm, ...]:
        laid, rest, _ = self._lay(order, room, whole)
        worth = sum(self.kinds[k].area ** power for u in rest for k in u.kinds)
        reach = max((x + b.width for b, x, _ in laid), default=0.0)
        moment = sum(b.area * (x + b.width) for b, x, _ in laid) / max(1.0, sum(b.area for b, _, _ in laid))
        return round(worth, 1), round(reach + (0.05 if whole else 0.02) * moment, 3)

    # --- true shapes ---

    def _slid(self, order: LayingOrder, room: Room, whole: bool) -> list[Layout]:
        laid, rest, _ = self._lay(order, room, whole)
        spots = [
            Spot(m.kind, m.shape, room.x0 + x + m.x, room.y0 + y + m.y) for block, x, y in laid for m in block.members
        ]
        left = [k for u in rest for k in u.kinds]
        out = [self._finish(spots, left, room)]
        if whole:
            total = sum(s.shape.area for s in spots)
            small = [s.item for s in spots if s.shape.area < 0.03 * total]
            if 0 < len(small) <= 12:
                out.append(self._finish([s for s in spots if s.shape.area >= 0.03 * total], left + small, room))
        return [layout for layout in out if layout is not None]

    def _finish(self, spots: Sequence[Spot], left: Sequence[int], room: Room) -> Layout | None:
        """Slide together, put in what is left wherever it goes, and slide again."""
        now = compact(spots, room, self.apart)
        if now is None:
            return None
        rest: list[int] = []
        failed: set[int] = set()
        added = False
        for k in sorted(left, key=lambda k: (-self.kinds[k].area, k)):
            spot = None if k in failed else insert(k, self.kinds[k].shapes, now, room, self.apart)
            if spot is None:
                failed.add(k)
                rest.append(k)
            else:
                now.append(spot)
                added = True
        if added:
            now = compact(now, room, self.apart, 2) or now
        return Layout(tuple(now), tuple(rest), max((s.right for s in now), default=room.x0) - room.x0)

    def _by_contact(self, demand: Sequence[int], room: Room) -> Layout | None:
        """Lay a room that is no rectangle: large parts first, each where it reaches least far."""
        spots: list[Spot] = []
        rest: list[int] = []
        failed: set[int] = set()
        everything = [k for k, count in enumerate(demand) for _ in range(count)]
        for k in sorted(everything, key=lambda k: (-self.kinds[k].area, k)):
            spot = None if k in failed else insert(k, self.kinds[k].shapes, spots, room, self.apart)
            if spot is None:
                failed.add(k)
                rest.append(k)
            else:
                spots.append(spot)
        if not spots:
            return None
        now = compact(spots, room, self.apart, 2) or spots
        return Layout(tuple(now), tuple(rest), max(s.right for s in now) - room.x0)


def _score(layout: Layout, whole: bool, power: Ratio, kinds: Sequence[PartKind]) -> tuple[Mm, ...]:
    worth = sum(kinds[k].area ** power for k in layout.rest)
    moment = sum(s.shape.area * s.right for s in layout.spots) / max(1.0, layout.area)
    return (round(worth, 1), round(layout.length, 3), round(moment, 3))
