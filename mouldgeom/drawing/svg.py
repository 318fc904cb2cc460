"""Small pieces of SVG that several pictures are made of."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape

from mouldgeom.geometry.outline import Outline, Point
from mouldgeom.units import AnyUnit, Deg, Mm

QUIET = "#777777"


def number(value: AnyUnit) -> str:
    """Write a coordinate to a hundredth."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def ring(points: Sequence[Point]) -> str:
    """Return path data of a closed polygon; y is turned over, as SVG counts downwards."""
    return "M" + "L".join(f"{number(x)} {number(-y)}" for x, y in points) + "Z"


def path(rings: Sequence[Sequence[Point]], fill: str, stroke: str, width: Mm, extra: str = "") -> str:
    """Return a shape with holes."""
    data = "".join(ring(points) for points in rings)
    return (
        f'<path d="{data}" fill="{fill}" fill-rule="evenodd" stroke="{stroke}" stroke-width="{number(width)}"{extra}/>'
    )


def line(a: Point, b: Point, colour: str, width: Mm, dash: str = "") -> str:
    """Return a straight line."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{number(a[0])}" y1="{number(-a[1])}" x2="{number(b[0])}" y2="{number(-b[1])}" '
        f'stroke="{colour}" stroke-width="{number(width)}"{dashed}/>'
    )


def text(words: str, at: Point, size: Mm, *, turn: Deg = 0.0, anchor: str = "middle", colour: str = "#111111") -> str:
    """Return a text whose middle height lies at a point, turned anticlockwise."""
    x, y = number(at[0]), number(-at[1])
    turned = f' transform="rotate({number(-turn)} {x} {y})"' if turn else ""
    return (
        f'<text x="{x}" y="{y}" dy="0.35em" font-size="{number(size)}" text-anchor="{anchor}" '
        f'fill="{colour}"{turned}>{escape(words)}</text>'
    )


def dimension(a: Point, b: Point, words: str, size: Mm) -> list[str]:
    """Return a dimension line, level or upright, with its end strokes and its text above or left of it."""
    upright = abs(a[0] - b[0]) < abs(a[1] - b[1])
    tick, thin = size / 2, size / 16
    ends = [((x - tick, y), (x + tick, y)) if upright else ((x, y - tick), (x, y + tick)) for x, y in (a, b)]
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    at = (middle[0] - 0.75 * size, middle[1]) if upright else (middle[0], middle[1] + 0.75 * size)
    return [
        line(a, b, QUIET, thin),
        *(line(p, q, QUIET, thin) for p, q in ends),
        text(words, at, size, turn=90.0 if upright else 0.0),
    ]


def points_of(outline: Outline) -> list[Point]:
    """Return an outline as a polygon fine enough to look at."""
    return outline.points(6.0)


def document(body: Sequence[str], box: tuple[Mm, Mm, Mm, Mm], pixels: int = 1400) -> str:
    """Return a whole picture; the box is x, y (upwards), width, height of what is shown."""
    x, y, width, height = box
    shown = f"{number(x)} {number(-(y + height))} {number(width)} {number(height)}"
    back = f'<rect x="{number(x)}" y="{number(-(y + height))}" width="{number(width)}" height="{number(height)}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{shown}" width="{pixels}" '
        f'height="{round(pixels * height / width)}" font-family="Noto Sans, DejaVu Sans, sans-serif">\n'
        f'{back} fill="white"/>\n' + "\n".join(body) + "\n</svg>\n"
    )
