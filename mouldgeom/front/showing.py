"""What a notebook shows beside a table: bars, and pictures of the solids."""

from __future__ import annotations

from collections.abc import Container, Sequence
from pathlib import Path
from typing import Final

from mouldgeom.drawing.figure import BLACK, BLUE, GREY, VERMILION, Figure, text_width
from mouldgeom.reading import path_given
from mouldgeom.units import Mm, Ratio

_LINE: Final[Mm] = 5.0
_LONG: Final[Mm] = 60.0
_GAP: Final[Mm] = 3.0


def bars_svg(title: str, bars: Sequence[tuple[str, Ratio, str]], *, failed: Container[str] | None = None) -> str:
    """Bars below one another, as SVG.

    Args:
        title: what they show.
        bars: of each its label, its length and what is written behind it; below nothing it goes to the left.
        failed: labels of those that go beyond 1, where a line then stands; ``None`` where there is no limit.
    """
    left = max((text_width(label) for label, _, _ in bars), default=0.0) + 2 * _GAP
    most = max((abs(length) for _, length, _ in bars), default=0.0) or 1.0
    limit = 0.0 if failed is None else 1.0
    scale = _LONG / max(most, limit)
    below = max((-length for _, length, _ in bars), default=0.0)
    zero = left + max(0.0, below) * scale
    right = max((max(limit, length) * scale + text_width(text) for _, length, text in bars), default=0.0)
    figure = Figure(zero + right + 4 * _GAP, (len(bars) + 2) * _LINE, title, title)
    figure.text(_GAP, _LINE, title)
    for number, (label, length, text) in enumerate(bars, 2):
        base = number * _LINE
        figure.text(_GAP, base, label)
        at, wide = zero + min(0.0, length) * scale, abs(length) * scale
        figure.rectangle(
            at, base - 2.8, wide, 3.2, stroke=None, fill=VERMILION if failed is not None and label in failed else BLUE
        )
        figure.text(zero + max(limit, length) * scale + _GAP / 2, base, text)
    top, foot = 1.4 * _LINE, (len(bars) + 1.4) * _LINE
    figure.path([(zero, top), (zero, foot)], stroke=BLACK)
    if failed is not None:
        figure.path([(zero + scale, top), (zero + scale, foot)], stroke=GREY, dash=(1.5, 1.0))
    return figure.svg()


class Picture:
    """A picture of the solids, as PNG; a notebook shows it.

    It is made by ``Mould.picture``.

    >>> Picture(b"...", "a mould, open")
    <Picture of a mould, open: PNG of 3 bytes>
    """

    def __init__(self, content: bytes, of: str) -> None:
        self.content, self._of = content, of

    def write(self, path: str | Path, *, over: bool = True) -> Path:
        """Write it to a file.

        Raises:
            FolderError: the file cannot be written, or is there and ``over`` does not allow it.
        """
        from mouldgeom.writing import write_whole

        file = path_given("path", path)
        write_whole(file, self.content, "path", over=over)
        return file

    def __repr__(self) -> str:
        return f"<Picture of {self._of}: PNG of {len(self.content)} bytes>"

    def _repr_png_(self) -> bytes:
        return self.content
