"""Rectangles into a rectangle: free places as maximal rectangles, parts put in one by one.  Pure Python, fast."""

from __future__ import annotations

from collections.abc import Sequence

from mouldgeom.units import Mm

Rect = tuple[Mm, Mm, Mm, Mm]
"""x, y, width, height."""

_SAME = 1e-6


class Places:
    """The maximal free rectangles of a bin."""

    def __init__(self, length: Mm, width: Mm) -> None:
        self.free: list[Rect] = [(0.0, 0.0, length, width)]

    def best(self, sizes: Sequence[tuple[Mm, Mm]], rule: int) -> tuple[int, Mm, Mm] | None:
        """Return which of the sizes goes where: number, x, y; ``None`` if none fits.

        Rule 0: least right end; 1: least right end, tightest place; 2: tightest place by its short side; 3: lowest x.
        """
        found: tuple[tuple[Mm, ...], int, Mm, Mm] | None = None
        for number, (w, h) in enumerate(sizes):
            for x, y, fw, fh in self.free:
                if w <= fw + _SAME and h <= fh + _SAME:
                    if rule == 0:
                        score: tuple[Mm, ...] = (x + w, y)
                    elif rule == 1:
                        score = (x + w, fh - h)
                    elif rule == 2:
                        score = (min(fw - w, fh - h), x)
                    else:
                        score = (x, fh - h)
                    if found is None or score < found[0]:
                        found = (score, number, x, y)
        return None if found is None else found[1:]

    def take(self, x: Mm, y: Mm, w: Mm, h: Mm) -> None:
        """Remove a rectangle from the free places."""
        right, top = x + w, y + h
        kept: list[Rect] = []
        fresh: list[Rect] = []
        for place in self.free:
            fx, fy, fw, fh = place
            fr, ft = fx + fw, fy + fh
            if x >= fr - _SAME or right <= fx + _SAME or y >= ft - _SAME or top <= fy + _SAME:
                kept.append(place)
                continue
            if x > fx + _SAME:
                fresh.append((fx, fy, x - fx, fh))
            if right < fr - _SAME:
                fresh.append((right, fy, fr - right, fh))
            if y > fy + _SAME:
                fresh.append((fx, fy, fw, y - fy))
            if top < ft - _SAME:
                fresh.append((fx, top, fw, ft - top))
        for number, (ax, ay, aw, ah) in enumerate(fresh):
            left, low, right, top = ax + _SAME, ay + _SAME, ax + aw - _SAME, ay + ah - _SAME
            inside = False
            for other, (bx, by, bw, bh) in enumerate(fresh):
                if (
                    other != number
                    and bx <= left
                    and by <= low
                    and bx + bw >= right
                    and by + bh >= top
                    and (other < number or bw * bh > aw * ah + _SAME)
                ):
                    inside = True
                    break
            if not inside:
                for bx, by, bw, bh in kept:
                    if bx <= left and by <= low and bx + bw >= right and by + bh >= top:
                        inside = True
                        break
            if not inside:
                kept.append((ax, ay, aw, ah))
        self.free = kept
