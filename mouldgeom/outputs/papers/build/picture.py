"""Line art with lettering for the build sheet: black on white, millimetres of paper, x to the right and y down.

Lettering stays text, in the font of the papers, so that a page can be searched.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal
from xml.sax.saxutils import escape

from mouldgeom.drawing import lettering
from mouldgeom.drawing.hidden import CutFace, View
from mouldgeom.drawing.looking import CONCRETE, TUBE, Key
from mouldgeom.drawing.strokes import Curve, Segment, points_of
from mouldgeom.geometry.outline import Point
from mouldgeom.letters import FAMILY
from mouldgeom.units import Mm, Ratio

NARROW: Final[Mm] = 0.18
MEDIUM: Final[Mm] = 0.3
WIDE: Final[Mm] = 0.6
DASHED: Final = (1.6, 1.0)
CAPITAL: Final[Mm] = 2.6
"""Height of the capitals of all lettering in pictures: some 11 points."""
_LINE: Final[Ratio] = 1.65
_GAP: Final[Mm] = 5.0
_RIM: Final[Mm] = 1.2
_FILLS: Final[dict[Key, str]] = {CONCRETE: "#d4d4d4", TUBE: "#fff"}

At = Callable[[Point], Point]
"""Takes a point of the model to the paper."""
Box = tuple[Mm, Mm, Mm, Mm]
Side = Literal["left", "right", "both"]


def _n(value: Mm) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


@dataclass
class StepPicture:
    """A picture of so many millimetres; ``alt`` says what it shows to one who cannot see it."""

    width: Mm
    height: Mm
    alt: str
    _parts: list[str] = field(default_factory=list)

    def line(
        self, points: Sequence[Point], width: Mm = NARROW, *, dash: Sequence[Mm] = (), close: bool = False,
        fill: str = "none", clear: bool = False, colour: str = "#000",
    ) -> None:  # fmt: skip
        """A line through points, or an area; ``clear`` keeps a white rim beside it."""
        data = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points) + ("Z" if close else "")
        if clear:
            self._parts.append(f"<path d='{data}' fill='none' stroke='#fff' stroke-width='{_n(width + _RIM)}'/>")
        ink = f" stroke='{colour}' stroke-width='{_n(width)}' stroke-linecap='round' stroke-linejoin='round'"
        if width <= 0:
            ink = ""
        if dash:
            ink = ink.replace("round", "butt", 1) + f" stroke-dasharray='{' '.join(_n(d) for d in dash)}'"
        self._parts.append(f"<path d='{data}' fill='{fill}'{ink}/>")

    def curves(self, curves: Iterable[Curve], at: At, width: Mm, *, dash: Sequence[Mm] = ()) -> None:
        """Lines of a view."""
        data = []
        for curve in curves:
            points = [at(p) for p in ((curve.start, curve.end) if isinstance(curve, Segment) else points_of(curve))]
            data.append("M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points))
        more = f" stroke-dasharray='{' '.join(_n(d) for d in dash)}'" if dash else " stroke-linecap='round'"
        if data:
            self._parts.append(
                f"<path d='{''.join(data)}' fill='none' stroke='#000' stroke-width='{_n(width)}'"
                f" stroke-linejoin='round'{more}/>"
            )

    def area(self, rings: Iterable[Sequence[Point]], fill: str, width: Mm = NARROW) -> None:
        """An area with holes."""
        data = "".join("M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in ring) + "Z" for ring in rings)
        self._parts.append(
            f"<path d='{data}' fill='{fill}' fill-rule='evenodd' stroke='#000' stroke-width='{_n(width)}'/>"
        )

    def dot(self, spot: Point, radius: Mm = 0.5, *, fill: str = "#000", width: Mm = NARROW) -> None:
        """A dot, or a ring if it is filled white."""
        x, y = spot
        self._parts.append(
            f"<circle cx='{_n(x)}' cy='{_n(y)}' r='{_n(radius)}' fill='{fill}' stroke='#000' "
            f"stroke-width='{_n(width)}'/>"
        )

    def text(
        self, spot: Point, words: str, capital: Mm = CAPITAL, *, anchor: str = "start", bold: bool = False,
        clear: bool = False,
    ) -> None:  # fmt: skip
        """A line of lettering; ``clear`` puts white behind it."""
        x, y = spot
        if clear:
            wide = lettering.width(words, capital, bold)
            left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * wide
            self._parts.append(
                f"<rect x='{_n(left - 0.7)}' y='{_n(y - capital - 0.8)}' width='{_n(wide + 1.4)}' "
                f"height='{_n(capital + 1.6)}' fill='#fff'/>"
            )
        weight = " font-weight='700'" if bold else ""
        place = f" text-anchor='{anchor}'" if anchor != "start" else ""
        size = f"{capital * lettering.em(bold):.3f}"
        self._parts.append(
            f"<text x='{_n(x)}' y='{_n(y)}' font-family='{FAMILY}' font-size='{size}'{weight}{place}>"
            f"{escape(words)}</text>"
        )

    def clip(self, corner: Point, other: Point) -> None:
        """Show what follows inside a rectangle only, until ``unclip``."""
        (x0, y0), (x1, y1) = corner, other
        data = f"M{_n(x0)} {_n(y0)}H{_n(x1)}V{_n(y1)}H{_n(x0)}Z"
        self._parts.append(f"<clipPath id='near'><path d='{data}'/></clipPath><g clip-path='url(#near)'>")

    def unclip(self) -> None:
        """Show everything again."""
        self._parts.append("</g>")

    def arrow(self, start: Point, end: Point, width: Mm = MEDIUM, head: Mm = 2.2, *, clear: bool = False) -> None:
        """A line with a filled head at its end."""
        length = math.dist(start, end) or 1.0
        ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        neck = (end[0] - head * ux, end[1] - head * uy)
        self.line((start, neck), width, clear=clear)
        side = head * 0.32
        wings = [(neck[0] - side * uy, neck[1] + side * ux), (neck[0] + side * uy, neck[1] - side * ux)]
        self.line((end, *wings), 0.0, close=True, fill="#000")

    def span(self, one: Point, other: Point, words: str) -> None:
        """A dimension: a line with a head at both ends and words at its middle."""
        middle = ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)
        self.arrow(middle, one, NARROW, clear=True)
        self.arrow(middle, other, NARROW, clear=True)
        self.text((middle[0], middle[1] + CAPITAL / 2), words, anchor="middle", clear=True)

    def svg(self) -> str:
        """The picture as SVG."""
        size = f"{_n(self.width)} {_n(self.height)}"
        return (
            f"<svg xmlns='http://www.w3.org/2000/svg' width='{_n(self.width)}mm' height='{_n(self.height)}mm' "
            f"viewBox='0 0 {size}'>{''.join(self._parts)}</svg>"
        )


# ---------------------------------------------------------------- views with labels


@dataclass(frozen=True)
class Tag:
    """Words beside a picture with a line to a point of it; ``boxed`` frames them, ``behind`` ends in a ring."""

    words: str
    point: Point
    boxed: bool = False
    behind: bool = False


def fitted(box: Box, room: Box) -> tuple[Ratio, At]:
    """Largest scale at which a box of the model (y up) fits into a room of the paper, and the way there, centred."""
    x0, y0, x1, y1 = box
    left, top, right, low = room
    scale = min((right - left) / max(x1 - x0, 1e-6), (low - top) / max(y1 - y0, 1e-6))
    middle = ((left + right) / 2 - scale * (x0 + x1) / 2, (top + low) / 2 + scale * (y0 + y1) / 2)

    def at(point: Point) -> Point:
        return middle[0] + scale * point[0], middle[1] - scale * point[1]

    return scale, at


def labelled(
    view: View, tags: Sequence[Tag], alt: str, *, width: Mm = 170.0, height: Mm = 100.0, room: Mm = 40.0,
    draw: Callable[[StepPicture, At], None] | None = None, box: Box | None = None, side: Side = "both",
) -> StepPicture:  # fmt: skip
    """A view with its labels in one or two columns of at most ``room`` beside it, each line led to its point.

    ``height`` is the most that it may take.  ``draw`` adds to the picture under the labels, in places of the view.
    With ``box`` that part of the view is shown, and what lies in it is labelled.
    """
    shown = box or view.box
    if box is not None:
        tags = [t for t in tags if box[0] < t.point[0] < box[2] and box[1] < t.point[1] < box[3]]
    columns = _columns(tags, (shown[0] + shown[2]) / 2, side)
    wides = [min(room, max((lettering.width(t.words, CAPITAL, t.boxed) for t in c), default=0.0)) for c in columns]
    margins = [wide + _GAP + 2.0 if c else 2.0 for wide, c in zip(wides, columns, strict=True)]
    scale = min(
        (width - sum(margins)) / max(shown[2] - shown[0], 1e-6), (height - 4.0) / max(shown[3] - shown[1], 1e-6)
    )  # fmt: skip
    needs = [sum(_high(t, room) for t in c) + 2.0 for c in columns]
    picture = StepPicture(width, max(scale * (shown[3] - shown[1]) + 4.0, *needs), alt)
    _, at = fitted(shown, (margins[0], 2.0, width - margins[1], picture.height - 2.0))
    if box is not None:
        picture.clip(at((box[0], box[3])), at((box[2], box[1])))
    for face in view.cuts:
        _cut(picture, face, at)
    picture.curves(view.visible, at, NARROW)
    picture.curves(view.bold, at, WIDE)
    if draw is not None:
        draw(picture, at)
    if box is not None:
        picture.unclip()
    edges = (at((shown[0], 0.0))[0], at((shown[2], 0.0))[0])
    for column, sign, edge in zip(columns, (-1.0, 1.0), edges, strict=True):
        _set(picture, [Tag(t.words, at(t.point), t.boxed, t.behind) for t in column], edge, sign, room)
    return picture


def _columns(tags: Sequence[Tag], middle: Mm, side: Side) -> tuple[list[Tag], list[Tag]]:
    """Labels to the left and to the right, about as many on each side, or all on one."""
    if side != "both":
        return ([], list(tags)) if side == "right" else (list(tags), [])
    left = [t for t in tags if t.point[0] < middle]
    right = [t for t in tags if t.point[0] >= middle]
    while len(left) - len(right) > 1:
        right.append(left.pop(left.index(max(left, key=lambda t: t.point[0]))))
    while len(right) - len(left) > 1:
        left.append(right.pop(right.index(min(right, key=lambda t: t.point[0]))))
    return left, right


def _high(tag: Tag, room: Mm) -> Mm:
    return CAPITAL * _LINE * len(lettering.wrapped(tag.words, room, CAPITAL)) + 1.6


def _cut(picture: StepPicture, face: CutFace, at: At) -> None:
    fill = _FILLS.get(face.id, "#000")
    rings = [face.area.exterior.coords, *(r.coords for r in face.area.interiors)]
    picture.area([[at((x, y)) for x, y in ring] for ring in rings], fill)


def _set(picture: StepPicture, tags: Sequence[Tag], edge: Mm, sign: Ratio, room: Mm) -> None:
    """One column of labels beside the edge of a drawing; lines of lettering do not touch."""
    column = sorted(tags, key=lambda t: (t.point[1], t.point[0]))
    highs = [_high(t, room) for t in column]
    tops = _spread([t.point[1] - high / 2 for t, high in zip(column, highs, strict=True)], highs, picture.height)
    x = edge + sign * (_GAP - 1.0)
    for tag, high, top in zip(column, highs, tops, strict=True):
        _label(picture, tag, lettering.wrapped(tag.words, room, CAPITAL), (x, top, high), sign)


def _label(picture: StepPicture, tag: Tag, lines: Sequence[str], spot: tuple[Mm, Mm, Mm], sign: Ratio) -> None:
    x, top, high = spot
    level = top + high / 2
    picture.line(((x, level), tag.point), NARROW, clear=True)
    if tag.behind:
        picture.dot(tag.point, 0.7, fill="#fff")
    else:
        picture.dot(tag.point, 0.45)
    anchor = "start" if sign > 0 else "end"
    if tag.boxed:
        wide = lettering.width(lines[0], CAPITAL, bold=True) + 2.0
        left = x if sign > 0 else x - wide
        low, up = level + CAPITAL / 2 + 0.9, level - CAPITAL / 2 - 0.9
        picture.line(((left, low), (left + wide, low), (left + wide, up), (left, up)), MEDIUM, close=True, fill="#fff")
        x += sign
    else:
        x += sign * 0.8
    start = level - CAPITAL * _LINE * len(lines) / 2 + CAPITAL * (1 + _LINE) / 2
    for number, line in enumerate(lines):
        picture.text((x, start + number * CAPITAL * _LINE), line, anchor=anchor, bold=tag.boxed)


def _spread(wanted: Sequence[Mm], highs: Sequence[Mm], room: Mm) -> list[Mm]:
    """Tops of blocks as near as can be to those wanted, in their order, without overlap, inside the room."""
    tops = list(wanted)
    for _ in range(400):
        worst = 0.0
        for i in range(len(tops) - 1):
            short = highs[i] - (tops[i + 1] - tops[i])
            if short > 1e-3:
                tops[i] -= short / 2
                tops[i + 1] += short / 2
                worst = max(worst, short)
        if tops and tops[0] < 0:
            tops[0], worst = 0.0, max(worst, -tops[0])
        if tops and tops[-1] + highs[-1] > room:
            worst = max(worst, tops[-1] + highs[-1] - room)
            tops[-1] = room - highs[-1]
        if worst <= 1e-3:
            break
    return tops
