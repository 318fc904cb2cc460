"""Grading curve and drain curve as figures."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from mouldgeom.drawing.figure import (
    BLUE,
    DASHED,
    NORMAL,
    PALE,
    SMALL,
    THICK,
    VERMILION,
    Figure,
    Point,
    round_steps,
)
from mouldgeom.filter.hydraulics import DrainCurve
from mouldgeom.filter.sand import Grading, sand_ranges
from mouldgeom.units import AnyUnit, LitrePerHour, Mm, Second
from mouldgeom.words import Said, Words

_ENGLISH: Final = Words()
WIDTH: Final[Mm] = 170.0
HEIGHT: Final[Mm] = 110.0
_LEFT: Final[Mm] = 18.0
_TOP: Final[Mm] = 16.0
_BOTTOM: Final[Mm] = 18.0


@dataclass(frozen=True)
class Axes:
    """A field on paper with a scale each way."""

    figure: Figure
    left: Mm
    top: Mm
    right: Mm
    bottom: Mm
    x: Callable[[AnyUnit], Mm]
    y: Callable[[AnyUnit], Mm]

    def at(self, x: AnyUnit, y: AnyUnit) -> Point:
        """Place of a value on paper."""
        return self.x(x), self.y(y)

    def frame(self) -> None:
        """The border, last, so that nothing covers it."""
        self.figure.rectangle(self.left, self.top, self.right - self.left, self.bottom - self.top)

    def x_marks(self, marks: Sequence[AnyUnit], named: Sequence[AnyUnit], label: str) -> None:
        """Grid lines and numbers along x."""
        for mark in marks:
            self.figure.path(((self.x(mark), self.top), (self.x(mark), self.bottom)), stroke=PALE, width=0.15)
        for mark in named:
            self.figure.text(self.x(mark), self.bottom + 4.0, _number(mark), anchor="middle")
        self.figure.text((self.left + self.right) / 2, self.bottom + 10.0, label, anchor="middle")

    def y_marks(self, marks: Sequence[AnyUnit], label: str) -> None:
        """Grid lines and numbers along y."""
        for mark in marks:
            self.figure.path(((self.left, self.y(mark)), (self.right, self.y(mark))), stroke=PALE, width=0.15)
            self.figure.text(self.left - 1.5, self.y(mark) + 0.9, _number(mark), anchor="end")
        self.figure.text(self.left - 12.0, (self.top + self.bottom) / 2, label, anchor="middle", turn=90)


def _number(value: AnyUnit) -> Said:
    return Said("{value:p}", value=float(value))


def _linear(low: AnyUnit, high: AnyUnit, start: Mm, end: Mm) -> Callable[[AnyUnit], Mm]:
    return lambda value: start + (end - start) * (value - low) / (high - low)


def _logarithmic(low: AnyUnit, high: AnyUnit, start: Mm, end: Mm) -> Callable[[AnyUnit], Mm]:
    return lambda value: start + (end - start) * math.log(value / low) / math.log(high / low)


def grading_figure(grading: Grading, name: str = "", language: Words = _ENGLISH) -> Figure:
    """Percent passing against the opening, with d10, d60 and the published range of d10."""
    words = Said(
        "d10 {d10:.3f} mm, d60 {d60:.3f} mm, uniformity {uniformity:.2f}",
        d10=grading.d10,
        d60=grading.d60,
        uniformity=grading.uniformity,
    )
    figure = Figure(
        WIDTH, HEIGHT, Said("Grading curve {name}", name=name) if name else "Grading curve", words, language
    )
    low = min(0.05, min(grading.openings) / 1.5)
    high = max(5.0, max(grading.openings) * 1.1)
    right, bottom = WIDTH - 8.0, HEIGHT - _BOTTOM
    axes = Axes(
        figure, _LEFT, _TOP, right, bottom,
        _logarithmic(low, high, _LEFT, right), _linear(0, 100, bottom, _TOP),
    )  # fmt: skip
    figure.text(_LEFT, 7.0, figure.title, NORMAL)
    figure.text(_LEFT, 12.5, words)
    note: tuple[Mm, Mm, str] | None = None
    band = next(row for row in sand_ranges() if row.quantity == "effective size d10" and row.decides)
    if band.low is not None and band.high is not None:
        x0, x1 = axes.x(band.low), axes.x(band.high)
        figure.rectangle(x0, axes.y(13), x1 - x0, axes.y(7) - axes.y(13), stroke=None, fill="#bcdcf0")
        note = x1 + 1.5, axes.y(10) + 0.9, Said("wanted d10: {low:p} to {high:p} mm", low=band.low, high=band.high)
    powers = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    marks = [d * 10.0**p for p in powers for d in range(1, 10) if low * 0.999 <= d * 10.0**p <= high]
    named = [mark for mark in marks if round(mark / 10 ** math.floor(math.log10(mark) + 1e-9)) in {1, 2, 5}]
    axes.x_marks(marks, named, "opening of the sieve, mm")
    axes.y_marks(range(0, 101, 10), "passing, % of the mass")
    if note is not None:
        figure.text(*note, clear=True)
        figure.text(_LEFT, HEIGHT - 2.5, Said("wanted d10 by {source}", source=band.source))
    for percent, size in ((10, grading.d10), (60, grading.d60)):
        x, y = axes.at(size, percent)
        figure.path(((_LEFT, y), (x, y), (x, bottom)), stroke=VERMILION, dash=DASHED)
        figure.text(
            _LEFT + 1.5,
            y - 1.2,
            Said("d{percent} = {size:.3f} mm", percent=percent, size=size),
            fill=VERMILION,
            clear=True,
        )
    points = [axes.at(size, percent) for size, percent in zip(grading.openings, grading.passing, strict=True)]
    figure.path(points, width=THICK)
    for x, y in points:
        figure.dot(x, y)
    axes.frame()
    return figure


def drain_figure(curve: DrainCurve, title: str, language: Words = _ENGLISH) -> Figure:
    """Water above the rest level, litres that have come out, and the flow at some moments."""
    heads = [level - curve.rest_level for level in curve.levels]
    hours = [time / 3600 for time in curve.times]
    words = Said(
        "{flow:.1f} l/h at the start; drained to {head:.0f} mm in {time:.2f} h",
        flow=_flow(curve, 0),
        head=heads[-1],
        time=hours[-1],
    )
    figure = Figure(WIDTH, HEIGHT, "Drain curve", Said("{title}: {words}", title=title, words=words), language)
    right, bottom = WIDTH - 18.0, HEIGHT - _BOTTOM
    steps, most = round_steps(0, hours[-1], 8), max(heads) * 1.08
    axes = Axes(
        figure, _LEFT, _TOP, right, bottom, _linear(0, hours[-1], _LEFT, right), _linear(0, most, bottom, _TOP)
    )  # fmt: skip
    litres = max(curve.drained) * 1.08
    out = _linear(0, litres, bottom, _TOP)
    figure.text(_LEFT, 7.0, Said("Drain curve: {title}", title=title), NORMAL)
    figure.text(_LEFT, 12.5, words)
    axes.x_marks(steps, steps, "time since the filter was filled, h")
    axes.y_marks(round_steps(0, most, 8), "water above the rest level, mm")
    for mark in round_steps(0, litres, 8):
        figure.path(((right, out(mark)), (right + 1.2, out(mark))))
        figure.text(right + 2.0, out(mark) + 0.9, _number(mark))
    figure.text(right + 13.0, (_TOP + bottom) / 2, "water that has come out, l", anchor="middle", turn=90)
    figure.path([axes.at(t, h) for t, h in zip(hours, heads, strict=True)], width=THICK, stroke=BLUE)
    drained = [(axes.x(t), out(v)) for t, v in zip(hours, curve.drained, strict=True)]
    figure.path(drained, width=THICK, stroke=VERMILION, dash=DASHED)
    for mark in steps[:-1] if len(steps) > 1 else steps:
        x, y = axes.at(mark, curve.level_at(3600 * mark) - curve.rest_level)
        figure.dot(x, y, fill=BLUE)
        figure.text(x + 1.8, y - 1.8, Said("{flow:.1f} l/h", flow=_flow(curve, 3600 * mark)), clear=True)
    x, y = axes.x(hours[-1]) - 56.0, axes.y(most / 2)
    for row, (label, colour, dash) in enumerate(
        (("water level and flow", BLUE, ()), ("water that has come out", VERMILION, DASHED))
    ):
        figure.path(((x, y + 6.0 * row), (x + 12.0, y + 6.0 * row)), width=THICK, stroke=colour, dash=dash)
        figure.text(x + 14.0, y + 6.0 * row + 0.9, label, SMALL, clear=True)
    axes.frame()
    return figure


def _flow(curve: DrainCurve, time: Second) -> LitrePerHour:
    return curve.flow_at(time) * 3.6e6
