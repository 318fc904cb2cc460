"""Where things go along a line: supports of a pressed plate, and bolts between things that are in the way."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from typing import Final

from mouldgeom.errors import GeometryError
from mouldgeom.rules.plate_fields import PressedBar
from mouldgeom.units import Mm, Ratio

Interval = tuple[Mm, Mm]
Bulge = Callable[[Mm, Mm, bool], Mm]
"""Bulge of a field from one line to another, both stiff; the third argument says whether its upper edge is free."""


def support_lines(
    start: Mm,
    end: Mm,
    bulge: Bulge,
    limit: Callable[[Mm, Mm], Mm],
    keep_out: Sequence[Interval] = (),
    *,
    end_supported: bool,
    least: int = 0,
    nearest: Mm = 40.0,
) -> tuple[Mm, ...]:
    """Place the fewest support lines between ``start`` and ``end`` that keep every field of a plate within its bulge.

    With that number the fields are then made as equal in bulge as they can be, so that the lines stand closer where
    the pressure is greater.  Heights are whole millimetres.

    Args:
        start: the lower line of support, there already.
        end: the upper edge.
        bulge: bulge of the field from one height to another.
        limit: allowed bulge of the field from one height to another.
        keep_out: heights where no line may stand.
        end_supported: whether the upper edge is held.
        least: fewest lines wanted in any case.
        nearest: lines stand at least this far from each other and from ``start`` and ``end``.

    Raises:
        GeometryError: no arrangement stays within the limit, even with the lines ``nearest`` apart.
    """

    before: list[tuple[Mm, Ratio]] = []  # height of each field when last marched, and its share of the limit

    def march(share: Ratio, most: int = 40) -> list[Mm] | None:
        lines: list[Mm] = []
        low = start
        while not _holds(low, end, not end_supported, bulge, limit, share):
            i = len(lines)
            first = before[i][0] * (share / before[i][1]) ** 0.26 if i < len(before) else 200.0
            step = _furthest(low, end - nearest, bulge, limit, share, first)
            before[i : i + 1] = [(step - low, share)]
            height = _clear_below(step, keep_out)
            if height is None or height < low + nearest or len(lines) >= most:
                return None
            lines.append(float(height))
            low = height
        return lines

    best = march(1.0)
    if best is None:
        raise GeometryError(f"no row of supports between {start:.0f} and {end:.0f} mm keeps the plate within its bulge")
    count = max(len(best), least)
    low, high = 0.0, 1.0
    for _ in range(8):
        middle = (low + high) / 2
        lines = march(middle, count)
        if lines is not None:
            best, high = lines, middle
        else:
            low = middle
    while len(best) < count:
        best = _halve_widest(start, best, end, keep_out, nearest)
    return tuple(best)


def elastic_lines(
    start: Mm,
    bulge: Bulge,
    bar: PressedBar,
    allowed: Mm,
    keep_out: Sequence[Interval] = (),
    *,
    least: int = 0,
    nearest: Mm = 40.0,
) -> tuple[Mm, ...]:
    """Place the fewest stiffeners from ``start`` to the pour face that keep sheet and bars together within a bulge.

    They are placed as if the bars were stiff; if those bend too far for that, with the bars' bending taken from what is
    allowed, and then with more and more of them.  The upper edge of the sheet is free.

    Raises:
        GeometryError: no arrangement stays within the limit.
    """
    end = bar.fresh.height

    def place(unit: Ratio, count: int) -> tuple[Mm, ...]:
        def together(low: Mm, high: Mm, free: bool) -> Mm:
            bar_at = high if low == start else low
            return bulge(low, high, free) + unit * bar.fresh.at(end - bar_at)

        return support_lines(
            start,
            end,
            together if unit else bulge,
            lambda low, high: allowed,
            keep_out,
            end_supported=False,
            least=count,
            nearest=nearest,
        )

    lines = place(0.0, least)
    for more in range(10):
        if max(elastic_bulges(start, lines, bulge, bar)) <= allowed:
            return lines
        reach = max(b - a for a, b in itertools.pairwise([start, *lines])) / 2
        try:
            lines = place(bar.unit_deflection(reach), len(lines) + (more > 0))
        except GeometryError:
            lines = place(0.0, len(lines) + 1)
    raise GeometryError(f"the stiffeners between {start:.0f} and {end:.0f} mm bend too far, however many there are")


def elastic_bulges(start: Mm, lines: Sequence[Mm], bulge: Bulge, bar: PressedBar) -> tuple[Mm, ...]:
    """Bulge of each field from ``start`` up, the bending of the bars at its edges added at its greatest."""
    reaches = bar_reaches(start, lines, bar)
    sunk = [0.0, *(bar.deflection(z, reaches[i], reaches[i + 1]) for i, z in enumerate(lines)), 0.0]
    edges = [start, *lines, bar.fresh.height]
    return tuple(
        bulge(low, high, high == edges[-1]) + max(sunk[i : i + 2])
        for i, (low, high) in enumerate(itertools.pairwise(edges))
    )


def bar_reaches(start: Mm, lines: Sequence[Mm], bar: PressedBar) -> list[Mm]:
    """How far at most each field from ``start`` up brings its load to the bar above and below; the last one is free."""
    half = bar.side / 2
    held = [
        (high - half - low - (0.0 if low == start else half)) / 2 for low, high in itertools.pairwise([start, *lines])
    ]
    return [*held, max(bar.fresh.height - (lines[-1] + half if lines else start), 0.0)]


def _holds(low: Mm, high: Mm, free: bool, bulge: Bulge, limit: Callable[[Mm, Mm], Mm], share: float) -> bool:
    return bulge(low, high, free) <= share * limit(low, high)


def _furthest(low: Mm, high: Mm, bulge: Bulge, limit: Callable[[Mm, Mm], Mm], share: Ratio, first: Mm = 200.0) -> int:
    """Highest whole millimetre at which the field from ``low`` is still within the limit.

    The use of the limit grows by a power of the field's height, near the fourth if it is low: a few steps by the power
    found so far close the bracket; if they do not, it is halved.  ``first`` is the height to begin with.
    """
    near, far = math.floor(low) + 1, math.floor(high)
    guess, tries, power = low + first, 0, 4.0
    tall, used = 0.0, 0.0
    while near < far:
        here = min(max(math.floor(guess), near + 1), far) if tries < 8 else (near + far + 1) // 2
        tries += 1
        found, allowed = bulge(low, here, False), share * limit(low, here)
        if found <= allowed:
            near = here
        else:
            far = here - 1
        if found <= 0 or allowed <= 0:
            guess = far if found <= 0 else near
            continue
        if used > 0 and abs(here - low - tall) > 1.5:
            power = min(max(math.log(found / allowed / used) / math.log((here - low) / tall), 0.5), 8.0)
        tall, used = here - low, found / allowed
        guess = low + tall * used ** (-1 / power)
    return near


def _clear_below(height: int, keep_out: Sequence[Interval]) -> int | None:
    for _ in range(len(keep_out) + 1):
        inside = [low for low, high in keep_out if low < height < high]
        if not inside:
            return height
        height = math.floor(min(inside))
    return None


def _halve_widest(start: Mm, lines: list[Mm], end: Mm, keep_out: Sequence[Interval], nearest: Mm) -> list[Mm]:
    edges = [start, *lines, end]
    for low, high in sorted(itertools.pairwise(edges), key=lambda gap: gap[0] - gap[1]):
        middle = round((low + high) / 2)
        for height in sorted(
            range(math.ceil(low + nearest), math.floor(high - nearest) + 1), key=lambda h: (abs(h - middle), h)
        ):
            if not any(a < height < b for a, b in keep_out):
                return sorted([*lines, float(height)])
    raise GeometryError(f"no room for another support between {start:.0f} and {end:.0f} mm")


def bolt_positions(
    low: Mm, high: Mm, pitch: Mm, keep_out: Sequence[Interval] = (), least_pitch: Mm = 0.0, grid: Mm = 0.5
) -> tuple[Mm, ...]:
    """Place bolts from ``low`` to ``high`` so that none is in the way and no two are further apart than ``pitch``.

    The bolts are spread evenly, then those in the way step aside by the shortest distance; one is added until no gap
    is wider than the pitch, or until the only gaps wider are those that ``keep_out`` forces.  Every place is a multiple
    of ``grid``, and the even pitch one of twice that, so that steps add up to their sum as they are marked out.

    Raises:
        GeometryError: everything between ``low`` and ``high`` is kept out.
    """
    free = _on_grid(_free_parts(low, high, keep_out), grid)
    if not free:
        raise GeometryError(f"no room for a bolt between {low:.0f} and {high:.0f} mm")
    first, last = free[0][0], free[-1][1]
    if last - first < max(least_pitch, grid / 2):
        return (_multiple(math.floor((first + last) / 2 / grid + _EPS), grid),)
    forced = max([b[0] - a[1] for a, b in itertools.pairwise(free)], default=0.0)
    allowed = max(pitch, forced)
    count = math.ceil((last - first) / pitch - 1e-9) + 1
    for number in range(count, count + 40):
        even = _even(first, last, number, grid, least_pitch)
        spots = sorted({_nearest_free(spot, free) for spot in even})
        kept = [spots[0]]
        for spot in spots[1:]:
            if spot - kept[-1] >= least_pitch:
                kept.append(spot)
        if kept[-1] < spots[-1] - 1e-9:
            kept[-1] = spots[-1]
        if max((b - a for a, b in itertools.pairwise(kept)), default=math.inf) <= allowed + 1e-6:
            return tuple(kept)
    raise GeometryError(f"no row of bolts between {low:.0f} and {high:.0f} mm has a pitch of {pitch:.0f} mm or less")


def _free_parts(low: Mm, high: Mm, keep_out: Sequence[Interval]) -> list[Interval]:
    parts = [(low, high)] if high >= low else []
    for a, b in keep_out:
        parts = [p for start, end in parts for p in ((start, min(end, a)), (max(start, b), end)) if p[0] <= p[1]]
    return sorted(set(parts))


_EPS: Final = 1e-6
"""Part of a step of the grid that counts as none."""


def _multiple(steps: int, grid: Mm) -> Mm:
    return round(steps * grid, 6) + 0.0


def _on_grid(parts: Sequence[Interval], grid: Mm) -> list[Interval]:
    """The parts from their first multiple of the grid to their last; those without any are left out."""
    ends = [(math.ceil(low / grid - _EPS), math.floor(high / grid + _EPS)) for low, high in parts]
    return [(_multiple(low, grid), _multiple(high, grid)) for low, high in ends if low <= high]


def _even(first: Mm, last: Mm, number: int, grid: Mm, least_pitch: Mm) -> list[Mm]:
    """So many places on the grid from one to another: alike in pitch in the middle between them, unless too close."""
    start, span = round(first / grid), round((last - first) / grid)
    step = 2 * (span // (2 * (number - 1)))
    if step * grid < least_pitch:
        return [_multiple(start + round(span * i / (number - 1)), grid) for i in range(number)]
    start += (span - step * (number - 1)) // 2
    return [_multiple(start + step * i, grid) for i in range(number)]


def _nearest_free(spot: Mm, free: Sequence[Interval]) -> Mm:
    return min((min(max(spot, low), high) for low, high in free), key=lambda value: (abs(value - spot), value))
