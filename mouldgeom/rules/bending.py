"""Rectangular plates pressed by a pressure that changes evenly with height: sides and foot simply supported, the top
simply supported or free.  Levy's series, and a quick reading of its deflections for a design that asks for hundreds.

All coefficients are for a plate 1 wide with rigidity 1, its foot at height share 0 and its top at share 1.  Moments
are positive where they open the outside of the field; reactions are positive where the support holds the plate back.
Small deflections.  ``ratio`` is height over width; the series holds for any, and is checked from 0.2 to 5.

Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, Art. 30, 31 and 48.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final

from mouldgeom.errors import InputError
from mouldgeom.units import Mm, Mpa, NewtonMm, Ratio

LEAST_RATIO: Final[Ratio] = 0.05
"""Below it a held plate is read as a strip from foot to top, and a free top by the square of the ratio."""
GREATEST_RATIO: Final[Ratio] = 20.0
"""Above it the top has no part in what is greatest."""
POISSON: Final[Ratio] = 0.3
_STEP: Final = 0.05
_LEVELS: Final = 32
_SHARES: Final = 16
_Shape = tuple[Ratio, Ratio, Ratio, Ratio]


@dataclass(frozen=True, slots=True)
class Profile:
    """What happens on the middle line of a field, at evenly spaced heights from foot to top, and along its edges.

    ``deflection`` in p a^4/D, ``across`` and ``upwards`` (moments) in p a^2, ``side`` (reaction along a side) in p a,
    where p is the pressure that the profile was asked for with and a the width; ``foot`` and ``top`` are the reactions
    at the middle of these edges, in p a.
    """

    deflection: tuple[Ratio, ...]
    across: tuple[Ratio, ...]
    upwards: tuple[Ratio, ...]
    side: tuple[Ratio, ...]
    foot: Ratio
    top: Ratio


def profile(ratio: Ratio, low: Ratio, high: Ratio, *, free_top: bool, poisson: Ratio = POISSON) -> Profile:
    """Solve a field under a pressure that is ``low`` at its foot and ``high`` at its top.

    Raises:
        InputError: ratio not above 0.
    """
    even, falling = _basic(ratio, free_top, poisson)
    first, second = high, low - high

    def add(one: tuple[Ratio, ...], other: tuple[Ratio, ...]) -> tuple[Ratio, ...]:
        return tuple(first * a + second * b for a, b in zip(one, other, strict=True))

    return Profile(
        add(even.deflection, falling.deflection),
        add(even.across, falling.across),
        add(even.upwards, falling.upwards),
        add(even.side, falling.side),
        first * even.foot + second * falling.foot,
        first * even.top + second * falling.top,
    )


def greatest(values: tuple[Ratio, ...]) -> tuple[Ratio, Ratio]:
    """Return the greatest of evenly spaced values from 0 to 1, by the parabola around it, and its place."""
    last = len(values) - 1
    i = max(range(last + 1), key=values.__getitem__)
    if 0 < i < last:
        before, here, after = values[i - 1 : i + 2]
        bend = before - 2 * here + after
        if bend < 0:
            off = (before - after) / (2 * bend)
            return here - (before - after) * off / 4, (i + off) / last
    return values[i], i / last


# ---------------------------------------------------------------- series


@lru_cache(maxsize=512)
def _basic(ratio: Ratio, free_top: bool, poisson: Ratio) -> tuple[Profile, Profile]:
    """Profiles under pressure 1 everywhere, and under a pressure that falls from 1 at the foot to 0 at the top."""
    if not (ratio > 0 and math.isfinite(ratio)):
        raise InputError("ratio of a plate's sides", f"{ratio:g}", "must be above zero", "Give a positive number")
    terms = [
        (m, _amplitudes(m * math.pi * ratio, free_top, poisson)) for m in range(1, max(17, math.ceil(8 / ratio)) + 1, 2)
    ]
    return (
        _sum(ratio, [(m, pair[0]) for m, pair in terms], 0.0, poisson),
        _sum(ratio, [(m, pair[1]) for m, pair in terms], 1.0, poisson),
    )


def _amplitudes(k: Ratio, free_top: bool, poisson: Ratio) -> tuple[_Shape, _Shape]:
    """Amplitudes of exp(-q), q exp(-q), exp(-t), t exp(-t) beside the particular solution, q = k s and t = k (1 - s).

    ``k`` is m pi times the ratio.  First for pressure 1, then for pressure 1 - s.  Derivatives are by q; decaying
    functions only, so nothing overflows.
    """
    e = math.exp(-k)
    rows = [[1.0, 0.0, e, k * e, -1.0, -1.0], [1.0, -2.0, e, (k - 2) * e, 0.0, 0.0]]
    if free_top:
        n, v, w = 1 - poisson, 1 + poisson, 2 - poisson
        rows += [
            [n * e, (n * k - 2) * e, n, -2.0, poisson, 0.0],
            [n * e, (n * k + v) * e, -n, -v, 0.0, -w / k],
        ]
    else:
        rows += [[e, k * e, 1.0, 0.0, -1.0, 0.0], [e, (k - 2) * e, 1.0, -2.0, 0.0, 0.0]]
    for i in range(4):
        pivot = max(range(i, 4), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for r in range(4):
            if r != i:
                factor = rows[r][i] / rows[i][i]
                rows[r] = [x - factor * y for x, y in zip(rows[r], rows[i], strict=True)]
    one, other = ([rows[i][column] / rows[i][i] for i in range(4)] for column in (4, 5))
    return (one[0], one[1], one[2], one[3]), (other[0], other[1], other[2], other[3])


def _sum(ratio: Ratio, terms: list[tuple[int, _Shape]], fall: Ratio, poisson: Ratio) -> Profile:
    """Add the terms up; the particular solution is that of a strip from side to side, summed exactly."""
    w, across, upwards, side = [], [], [], []
    pi = math.pi
    for level in range(_LEVELS + 1):
        s = level / _LEVELS
        total, mx, my, edge = 0.0, 0.0, 0.0, 0.0
        for m, (c1, c2, c3, c4) in terms:
            q, t = m * pi * ratio * s, m * pi * ratio * (1 - s)
            down, up = math.exp(-q), math.exp(-t)
            value = (c1 + c2 * q) * down + (c3 + c4 * t) * up
            bend = (c1 + c2 * (q - 2)) * down + (c3 + c4 * (t - 2)) * up
            sign = 1 if m % 4 == 1 else -1
            total += sign * value / m**5
            mx += sign * (value - poisson * bend) / m**3
            my += sign * (poisson * value - bend) / m**3
            edge += (value - (2 - poisson) * bend) / m**2
        pressure = 1 - fall * s
        w.append(pressure * 5 / 384 + 4 * total / pi**5)
        across.append(pressure / 8 + 4 * mx / pi**3)
        upwards.append(poisson * pressure / 8 + 4 * my / pi**3)
        side.append(pressure / 2 + 4 * edge / pi**2)
    foot = _end_reaction(ratio, terms, fall, poisson, at_top=False)
    top = _end_reaction(ratio, terms, fall, poisson, at_top=True)
    return Profile(tuple(w), tuple(across), tuple(upwards), tuple(side), foot, top)


def _end_reaction(ratio: Ratio, terms: list[tuple[int, _Shape]], fall: Ratio, poisson: Ratio, *, at_top: bool) -> Ratio:
    """Reaction at the middle of foot or top; the series alternates, so the mean of its last two sums is taken."""
    total = before = 0.0
    for m, (c1, c2, c3, c4) in terms:
        k = m * math.pi * ratio
        q, t = (k, 0.0) if at_top else (0.0, k)
        down, up = math.exp(-q), math.exp(-t)
        slope = -fall / k + (-c1 + c2 * (1 - q)) * down + (c3 - c4 * (1 - t)) * up
        third = (-c1 + c2 * (3 - q)) * down + (c3 - c4 * (3 - t)) * up
        sign = 1 if m % 4 == 1 else -1
        before, total = total, total + sign * (third - (2 - poisson) * slope) / m**2
    return (total + before) / 2 * 4 / math.pi**2 * (1 if at_top else -1)


# ---------------------------------------------------------------- reading


@cache
def _node(node: int, number: int, free_top: bool) -> Ratio:
    """Logarithm of the greatest deflection at one ratio, the top pressed by ``number`` shares of the foot's."""
    even, falling = _basic(math.exp(node * _STEP), free_top, POISSON)
    high = number / _SHARES
    line = (high * a + (1 - high) * b for a, b in zip(even.deflection, falling.deflection, strict=True))
    return math.log(greatest(tuple(line))[0])


@cache
def _nodes(node: int, number: int, free_top: bool) -> _Shape:
    return (
        _node(node - 1, number, free_top),
        _node(node, number, free_top),
        _node(node + 1, number, free_top),
        _node(node + 2, number, free_top),
    )


def cubic(t: Ratio) -> _Shape:
    """Weights of four values at -1, 0, 1 and 2 that give the cubic through them at ``t``."""
    u, v, w = t + 1, t - 1, t - 2
    return -t * v * w / 6, u * v * w / 2, -u * t * w / 2, u * t * v / 6


def cubic_through(values: Sequence[Ratio], place: Ratio) -> Ratio:
    """What evenly spaced values, numbered from 0, have at a place between them: the cubic through the nearest four."""
    first = min(max(int(place) - 1, 0), len(values) - 4)
    four = values[first : first + 4]
    return sum(weight * value for weight, value in zip(cubic(place - first - 1), four, strict=True))


def deflection_linear(width: Mm, height: Mm, low: Mpa, high: Mpa, rigidity: NewtonMm, *, free_top: bool = False) -> Mm:
    """Greatest deflection of a plate under a pressure from ``low`` at its foot to ``high`` at its top, not greater.

    Read off by a cubic along the logarithm of the ratio, and straight between seventeen load shapes, which never reads
    too low since the greatest of many places is a convex function of the load.  Within 0.1 % of the series, and 1 %
    where the place of the greatest deflection jumps to a free top; nu = 0.3.
    """
    if low <= 0:
        return 0.0
    ratio, beyond = height / width, low * width**4 / rigidity
    if ratio < LEAST_RATIO:
        beyond *= (ratio / LEAST_RATIO) ** (2 if free_top else 4)
        ratio = LEAST_RATIO
    elif ratio > GREATEST_RATIO:
        ratio = GREATEST_RATIO
    place = math.log(ratio) / _STEP
    node = math.floor(place)
    t = place - node
    f0, f1, f2, f3 = cubic(t)
    shape = high / low * _SHARES if high > 0 else 0.0
    i = int(shape)
    a, b, c, d = _nodes(node, i, free_top)
    one = math.exp(f0 * a + f1 * b + f2 * c + f3 * d)
    if shape == i:
        return one * beyond
    a, b, c, d = _nodes(node, i + 1, free_top)
    other = math.exp(f0 * a + f1 * b + f2 * c + f3 * d)
    return (one + (other - one) * (shape - i)) * beyond
