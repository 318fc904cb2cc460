"""Whether pieces come out of lengths of stock, the saw kerf counted."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final

from mouldgeom.units import Mm

_NODES: Final = 200_000
_MOST_BARS: Final = 100
"""More bars than these are too many for a search to the end."""
_EPS: Final = 1e-6


def greatest_kerf(lengths: Iterable[Mm], stock_length: Mm) -> Mm | None:
    """Widest kerf with which the pieces still come out of one bar; ``None`` if they do not even without kerf."""
    kept = list(lengths)
    spare = stock_length - sum(kept)
    if spare < -_EPS:
        return None
    return max(0.0, spare) / (len(kept) - 1) if len(kept) > 1 else math.inf


def fits_bars(lengths: Iterable[Mm], stock_length: Mm, kerf: Mm, bars: int = 1) -> bool | None:
    """Whether the pieces come out of so many bars: exact, or ``None`` if a long search has not decided it."""
    pieces = sorted(lengths, reverse=True)
    room = stock_length + kerf + _EPS
    weights = [length + kerf for length in pieces]
    if not weights:
        return True
    if weights[0] > room or sum(weights) > bars * room:
        return False
    if bars == 1 or _first_fit(weights, room) <= bars:
        return True
    return _search(weights, room, bars) if bars <= _MOST_BARS else None


def _first_fit(weights: Sequence[Mm], room: Mm) -> int:
    left: list[Mm] = []
    for weight in weights:
        for index, free in enumerate(left):
            if weight <= free:
                left[index] -= weight
                break
        else:
            left.append(room - weight)
    return len(left)


def _search(weights: Sequence[Mm], room: Mm, bars: int) -> bool | None:
    """Try every bar for each piece, longest first, bars with the same room once."""
    rest = [0.0]
    for weight in reversed(weights):
        rest.append(rest[-1] + weight)
    rest.reverse()
    stack: list[tuple[int, tuple[Mm, ...]]] = [(0, (room,) * bars)]
    for _ in range(_NODES):
        if not stack:
            return False
        index, left = stack.pop()
        if index == len(weights):
            return True
        weight = weights[index]
        if sum(free for free in left if free >= weights[-1]) + _EPS < rest[index]:
            continue
        tried: set[int] = set()
        for place, free in sorted(enumerate(left), key=lambda item: -item[1]):
            key = round(free * 1e6)
            if free >= weight and key not in tried:
                tried.add(key)
                stack.append((index + 1, (*left[:place], free - weight, *left[place + 1 :])))
    return None
