"""Layouts that a shear or a grinder can cut: every cut runs straight through the piece in hand."""

from __future__ import annotations

from collections.abc import Sequence

from mouldgeom.nesting.lp import Room, Spot
from mouldgeom.nesting.rectangles import Places, Rect
from mouldgeom.nesting.search import LayingOrder, Layout, Searcher
from mouldgeom.units import Mm

Cut = tuple[Mm, Mm, Mm, Mm]
"""x, y of both ends."""

_SAME = 1e-6


class StraightPlaces(Places):
    """Free places that do not overlap: each part is cut from a corner of one by two cuts.

    The wider of the two strips that are left stays whole, or with ``lengthwise`` always the one along the sheet.
    """

    def __init__(self, length: Mm, width: Mm, gap: Mm, lengthwise: bool) -> None:
        super().__init__(length, width)
        self.gap, self.lengthwise = gap, lengthwise
        self.cuts: list[Cut] = []

    def take(self, x: Mm, y: Mm, w: Mm, h: Mm) -> None:
        """Cut a rectangle, the gap included, off the free place whose corner it lies in."""
        at = next(
            i
            for i, (fx, fy, fw, fh) in enumerate(self.free)
            if abs(fx - x) < _SAME and abs(fy - y) < _SAME and w <= fw + _SAME and h <= fh + _SAME
        )
        fx, fy, fw, fh = self.free.pop(at)
        right, top, half = fx + fw, fy + fh, self.gap / 2
        over_x, over_y = fw - w, fh - h
        across: Rect = (x + w, fy, over_x, fh) if not self.lengthwise else (x + w, fy, over_x, h)
        along: Rect = (fx, y + h, w, over_y) if not self.lengthwise else (fx, y + h, fw, over_y)
        first: list[Cut] = [(x + w - half, fy, x + w - half, top - self.gap)] if over_x > _SAME else []
        second: list[Cut] = [(fx, y + h - half, x + w - self.gap, y + h - half)] if over_y > _SAME else []
        if self.lengthwise:
            first = [(fx, y + h - half, right - self.gap, y + h - half)] if over_y > _SAME else []
            second = [(x + w - half, fy, x + w - half, y + h - self.gap)] if over_x > _SAME else []
        self.cuts += first + second
        self.free += [r for r in (across, along) if r[2] > _SAME and r[3] > _SAME]


class StraightSearcher(Searcher):
    """The search by rectangles alone, on places that straight cuts leave."""

    use_pairs = False

    def _places(self, order: LayingOrder, length: Mm, width: Mm) -> Places:
        return StraightPlaces(length, width, self.gap, order.rule % 2 == 1)

    def _slid(self, order: LayingOrder, room: Room, whole: bool) -> list[Layout]:
        laid, rest, places = self._lay(order, room, whole)
        assert isinstance(places, StraightPlaces)
        spots = [
            Spot(m.kind, m.shape, room.x0 + x + m.x, room.y0 + y + m.y) for block, x, y in laid for m in block.members
        ]
        length = max((s.right for s in spots), default=room.x0) - room.x0
        if length > room.x1 - room.x0 + _SAME:
            return []
        left = tuple(k for unit in rest for k in unit.kinds)
        return [Layout(tuple(spots), left, length, self._on_sheet(places.cuts, room, length))]

    def _on_sheet(self, cuts: Sequence[Cut], room: Room, length: Mm) -> tuple[Cut, ...]:
        """Move cuts to the sheet's frame: first the rest is freed, then the margin trimmed, then parts cut."""
        wide = room.y1 + room.y0
        end = room.x0 + length + self.gap / 2
        free = end < room.x1 - _SAME
        out: list[Cut] = [(end, 0.0, end, wide)] if free else []
        right = end - self.gap / 2 if free else room.x1
        if room.x0 > _SAME:
            out.append((room.x0, 0.0, room.x0, wide))
            out += [(room.x0, y, right, y) for y in (room.y0, room.y1)]
        for x0, y0, x1, y1 in cuts:
            x, y, spare = x0 + room.x0, y0 + room.y0, self.gap / 2
            if x - (x0 == x1) * spare < right - _SAME and y - (y0 == y1) * spare < room.y1 - _SAME:
                out.append(
                    (x, y, x if x0 == x1 else min(x1 + room.x0, right), y if y0 == y1 else min(y1 + room.y0, room.y1))
                )
        return tuple((round(a, 3), round(b, 3), round(c, 3), round(d, 3)) for a, b, c, d in out)
