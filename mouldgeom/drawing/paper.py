"""Sheets of paper: sizes, frame, centring marks, grid, title block and projection symbol.

``PaperOptions.from_spec`` reads the ``[papers]`` group.  ``blank`` makes an empty sheet with its title block, and
``Paper.space`` and ``title_box`` say what room is left.  ``numbered`` gives every sheet of a set its number at the end.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from mouldgeom import tables
from mouldgeom.drawing import lettering
from mouldgeom.drawing.lettering import LARGE, NORMAL, SMALL
from mouldgeom.drawing.primitives import (
    Area,
    Box,
    Circle,
    Item,
    Line,
    Primitive,
    Sheet,
    Text,
    line,
    rectangle,
)
from mouldgeom.drawing.status import Status
from mouldgeom.model.assembly import Mould
from mouldgeom.spec import Spec
from mouldgeom.units import Kg, Mm, Ratio
from mouldgeom.words import Words

BINDING: Final[Mm] = 20.0
BORDER: Final[Mm] = 10.0
FRAME: Final[Mm] = 0.7
BLOCK_WIDTH: Final[Mm] = 180.0
FIELD: Final[Mm] = 50.0
"""Left border, other borders, width of the frame line, width of the title block, fields of the grid.

Source: ISO 5457:1999 (from memory).
"""
BLOCK_ROWS: Final[tuple[Mm, ...]] = (10.5, 12.5, 10.5, 10.5)
"""Heights of the rows of the title block, from below; a row grows with what a person has written into it."""
FILLED: Final[dict[str, tuple[int, Mm]]] = {
    "approver": (0, 46.0),
    "issued": (0, 30.0),
    "creator": (1, 60.0),
    "owner": (2, 60.0),
    "number": (2, 48.0),
}
"""Row and width of the fields of the title block that a person fills in, by their names in ``[papers]``."""
PAD: Final[Mm] = 1.2
"""Room at either side of what stands in a field."""
BAND: Final[Mm] = 9.0
"""Height of the band over a sheet whose design fails (common practice, no source)."""
SCALES: Final[tuple[Ratio, ...]] = (2.0, 1.0, 1 / 2, 1 / 5, 1 / 10, 1 / 20, 1 / 50)
"""Scales of drawings.

Source: ISO 5455 (from memory).
"""


@dataclass(frozen=True)
class Paper:
    """A size of paper: trimmed size, width of wide lines, whether it has a grid, and what a band takes at the top."""

    name: str
    width: Mm
    height: Mm
    wide: Mm
    grid: bool
    rows: tuple[Mm, ...] = BLOCK_ROWS
    head: Mm = 0.0

    @property
    def framed(self) -> Box:
        """What is inside the frame."""
        return BINDING, BORDER, self.width - BORDER, self.height - BORDER

    @property
    def space(self) -> Box:
        """The drawing space: inside the frame, below the band."""
        x0, y0, x1, y1 = self.framed
        return x0, y0, x1, y1 - self.head

    @property
    def title_box(self) -> Box:
        """The title block, at the lower right of the drawing space."""
        _, y0, x1, _ = self.space
        return x1 - BLOCK_WIDTH, y0, x1, y0 + sum(self.rows)

    @property
    def turned(self) -> Paper:
        """The same paper, turned by a quarter."""
        return replace(self, width=self.height, height=self.width)


PAPERS: Final[dict[str, Paper]] = {
    paper.name: paper
    for paper in (
        Paper("A3", 420.0, 297.0, 0.5, True),
        Paper("A4", 210.0, 297.0, 0.35, False),
        Paper("tabloid", 431.8, 279.4, 0.5, True),
        Paper("letter", 215.9, 279.4, 0.35, False),
    )
}
"""Papers by the names that a specification has for them.

Source: ISO 5457:1999 Table 1 for A3 and A4; 11 x 17 in and 8 1/2 x 11 in (from memory).
"""


@dataclass(frozen=True)
class PaperOptions:
    """What stands on every sheet of a set."""

    paper: Paper
    projection: str = "first angle"
    owner: str = ""
    creator: str = ""
    approver: str = ""
    number: str = ""
    issued: str = ""
    grade: str = ""
    tolerances: str = ""
    status: Status = Status.UNCHECKED
    moulds: int = 1

    @staticmethod
    def of(mould: Mould, status: Status = Status.UNCHECKED, moulds: int = 1) -> PaperOptions:
        """As ``from_spec``, and without a number the first figures of the digest of the mould stand for it."""
        return PaperOptions.from_spec(mould.dims.spec, status, moulds, mould.digest)

    @staticmethod
    def from_spec(spec: Spec, status: Status = Status.UNCHECKED, moulds: int = 1, digest: str = "") -> PaperOptions:
        """Take the rest from a specification; without a number, the first figures of its digest stand for it."""
        papers, shop = spec.papers, spec.shop
        number = papers.number or (digest or spec.digest)[:8].upper()
        head = BAND + 2.0 if status is Status.FAILS else 0.0
        quality = tables.cutting_process(shop.cutting).quality
        return PaperOptions(
            replace(PAPERS[papers.paper], head=head, rows=_rows({**papers.model_dump(), "number": number})),
            papers.projection,
            papers.owner,
            papers.creator,
            papers.approver,
            number,
            papers.issued,
            spec.steel.grade,
            f"ISO 2768-m, ISO 9013-{quality}, ISO 13920-{shop.weld_class}{shop.flatness_class}",
            status,
            moulds,
        )


def _rows(texts: Mapping[str, str]) -> tuple[Mm, ...]:
    """Heights of the rows of the title block that hold these texts whole."""
    rows = [*BLOCK_ROWS]
    for name, (row, wide) in FILLED.items():
        lines, _ = lettering.settled(texts[name], wide - 2 * PAD, NORMAL)
        rows[row] = max(rows[row], BLOCK_ROWS[0] + (len(lines) - 1) * lettering.LINE)
    return tuple(rows)


def words_of(spec: Spec) -> Words:
    """The words of the papers of a specification: its language and units."""
    return Words(spec.papers.language, spec.papers.paper_units)


def scale_text(scale: Ratio) -> str:
    """A scale as it is written: ``"1:5"``, ``"2:1"``."""
    return f"1:{round(1 / scale)}" if scale <= 1 else f"{round(scale)}:1"


# --- the sheet -------------------------------------------------------------------------------------------------------


def blank(
    name: str, title: str, options: PaperOptions, words: Words, items: Sequence[Item] = (), *,
    scale: Ratio | None = None, document: str = "", mass: Kg | None = None, paper: Paper | None = None,
) -> Sheet:  # fmt: skip
    """A sheet with frame and title block.

    Args:
        name: short, ASCII, unique in the set.
        title: what the sheet shows, translated.
        options: what stands on every sheet.
        words: language and units.
        items: what is drawn on it.
        scale: of the whole sheet; ``None`` if each view says its own, 0 if it is not to scale.
        document: type of document, translated; "Part drawing" if empty.
        mass: of what is shown, if it is one thing.
        paper: another than that of the options.
    """
    sheet = paper or options.paper
    told = _Told(
        title=title,
        document=document or words("Part drawing"),
        scale=words("as shown") if scale is None else scale_text(scale) if scale else words("none"),
        mass=words("as stated") if mass is None else f"{words.number(mass, 1)} kg",
        units=words({"mm": "mm", "inches": "inches", "both": "mm (in)"}[words.units]),
    )
    furniture = (*frame(sheet), *_title_block(sheet, told, options, words), *band(sheet.framed, options.status, words))
    x0, y0, _, _ = sheet.title_box
    at = (x0 + 153 + 1.2, y0 + 1.8)
    return Sheet(name, title, sheet.width, sheet.height, sheet.wide, sheet.space, furniture, tuple(items), at)


def numbered(sheets: Sequence[Sheet]) -> list[Sheet]:
    """The sheets of a set, each with its number and how many there are."""
    return [replace(sheet, number=n, of=len(sheets)) for n, sheet in enumerate(sheets, 1)]


def frame(paper: Paper) -> tuple[Primitive, ...]:
    """Frame, centring marks and, on larger papers, the grid; the upper mark ends at the frame where a band lies inside.

    Source: ISO 5457:1999 (from memory).
    """
    x0, y0, x1, y1 = paper.framed
    # The centring marks lie on the axes of the trimmed paper.
    x, y = paper.width / 2, paper.height / 2
    marks = [
        line(Line.FRAME, (x0 - 10, y), (x0 + 5, y), weight=FRAME),
        line(Line.FRAME, (x1 + 10, y), (x1 - 5, y), weight=FRAME),
        line(Line.FRAME, (x, y1 + 10), (x, y1 - (0 if paper.head else 5)), weight=FRAME),
        line(Line.FRAME, (x, y0 - 10), (x, y0), weight=FRAME),
    ]
    grid = _grid(paper) if paper.grid else ()
    return (rectangle(Line.FRAME, paper.framed, FRAME), *marks, *grid)


def band(box: Box, status: Status, words: Words) -> Iterator[Primitive]:
    """A striped band with the verdict along the upper edge of a box, if the design fails; else nothing."""
    if status is not Status.FAILS:
        return
    x0, _, x1, y1 = box
    y0, middle = y1 - BAND, (x0 + x1) / 2
    text = Text(words(str(status)), middle, y1 - BAND / 2 - LARGE / 2 - 0.3, LARGE, "middle", bold=True)
    yield line(Line.FRAME, (x0, y0), (x1, y0), weight=FRAME)
    yield text
    step, lean = 6.0, 3.0
    for k in range(int(((x1 - x0) - text.width - 2 * step) / 2 / step)):
        for way, edge in ((1.0, x0 + 1.5), (-1.0, x1 - 1.5)):
            x = edge + way * k * step
            a, b, c, d = (x, y0), (x + way * lean, y0), (x + 2 * way * lean, y1), (x + way * lean, y1)
            yield Area(Line.FRAME, (a, b, c))
            yield Area(Line.FRAME, (a, c, d))


def _grid(paper: Paper) -> Iterator[Primitive]:
    x0, y0, x1, y1 = paper.framed
    rim = 5.0
    yield rectangle(Line.FRAME, (x0 - rim, y0 - rim, x1 + rim, y1 + rim), 0.18)
    columns, rows = _fields(x0, x1, paper.width / 2), _fields(y0, y1, paper.height / 2)
    for number, (low, high) in enumerate(columns, 1):
        for base in (y0 - rim, y1):
            yield Text(str(number), (low + high) / 2, base + 0.9, NORMAL - 0.3, "middle")
            if number > 1:
                yield line(Line.FRAME, (low, base), (low, base + rim), weight=0.18)
    for number, (low, high) in enumerate(reversed(rows)):
        for left in (x0 - rim, x1):
            name = "ABCDEFGH"[number]
            yield Text(name, left + rim / 2, (low + high) / 2 - NORMAL / 2, NORMAL - 0.3, "middle")
            if number:
                yield line(Line.FRAME, (left, high), (left + rim, high), weight=0.18)


def _fields(low: Mm, high: Mm, centre: Mm) -> list[tuple[Mm, Mm]]:
    """Fields of the grid, counted from the centring mark; a remnant of less than half a field joins its neighbour."""
    cuts = [centre]
    while cuts[-1] + 1.5 * FIELD < high:
        cuts.append(cuts[-1] + FIELD)
    while cuts[0] - 1.5 * FIELD > low:
        cuts.insert(0, cuts[0] - FIELD)
    edges = [low, *cuts, high]
    return list(pairwise(edges))


# --- the title block -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Told:
    title: str
    document: str
    scale: str
    mass: str
    units: str


def _title_block(paper: Paper, told: _Told, options: PaperOptions, words: Words) -> Iterator[Primitive]:
    """The fields of ISO 7200 and what a workshop needs beside them; an empty field stays blank to be written in.

    Source: ISO 7200:2004 (fields); ISO 5457:1999 (width, place).
    """
    x0, y0, x1, y1 = paper.title_box
    yield rectangle(Line.FRAME, (x0, y0, x1, y1), 0.5)
    language = words.language if words.checked else words("{language}, draft to be checked", language=words.language)
    rows: list[list[tuple[Mm, str, str]]] = [
        [
            (FILLED["approver"][1], words("Approved by"), options.approver),
            (FILLED["issued"][1], words("Date of issue"), options.issued),
            (47, words("Status"), words(str(options.status))),
            (30, words("Language"), language),
            (27, words("Sheet"), ""),
        ],
        [(FILLED["creator"][1], words("Created by"), options.creator), (120, words("Title"), told.title)],
        [
            (FILLED["owner"][1], words("Legal owner"), options.owner),
            (72, words("Document type"), told.document),
            (FILLED["number"][1], words("Identification number"), options.number),
        ],
        [
            (72, words("General tolerances"), options.tolerances),
            (26, words("Material"), options.grade),
            (24, words("Mass"), told.mass),
            (20, words("Scale"), told.scale),
            (20, words("Units"), told.units),
            (18, "", ""),
        ],
    ]
    y = y0
    for usual, tall, row in zip(BLOCK_ROWS, paper.rows, rows, strict=True):
        x = x0
        height = LARGE if usual > 12 else min(_height(value, wide - 2 * PAD) for wide, _, value in row)
        for wide, label, value in row:
            yield from _field(x, y, wide, tall, label, value, height)
            if x > x0:
                yield line(Line.FRAME, (x, y), (x, y + tall), weight=0.25)
            x += wide
        y += tall
        if y < y1 - 1:
            yield line(Line.FRAME, (x0, y), (x1, y), weight=0.25)
    yield from projection_symbol(options.projection, x1 - 9, y1 - paper.rows[-1] / 2)


def _height(value: str, room: Mm) -> Mm:
    return NORMAL if lettering.width(value, NORMAL) <= room else SMALL


def _field(x: Mm, y: Mm, wide: Mm, tall: Mm, label: str, value: str, height: Mm) -> Iterator[Primitive]:
    if label:
        yield Text(label, x + PAD, y + tall - 1.0 - SMALL, SMALL)
    if value:
        lines, height = lettering.settled(value, wide - 2 * PAD, height)
        for text, foot in lettering.stacked(lines, y + 1.8):
            yield Text(text, x + PAD, foot, height)


def projection_symbol(projection: str, x: Mm, y: Mm) -> Iterator[Primitive]:
    """The symbol of the arrangement of views, its middle at a point, 15 mm wide: a truncated cone and its end view.

    The small end is at the left, so the circles are the view from the left: on the right in first angle, on the left
    in third angle.

    Source: ISO 5456-2:1996.
    """
    side = -1.0 if projection == "first angle" else 1.0
    cone, end = x + side * 3.6, x - side * 3.6
    small, large, half = 1.25, 2.5, 2.6
    ring = ((cone - half, y - small), (cone + half, y - large), (cone + half, y + large), (cone - half, y + small))
    yield line(Line.VISIBLE, *ring, closed=True, weight=0.35)
    yield Circle(Line.VISIBLE, end, y, small)
    yield Circle(Line.VISIBLE, end, y, large)
    yield line(Line.CENTRE, (cone - half - 0.8, y), (cone + half + 0.8, y), weight=0.13)
    yield line(Line.CENTRE, (end - large - 0.8, y), (end + large + 0.8, y), weight=0.13)
    yield line(Line.CENTRE, (end, y - large - 0.8), (end, y + large + 0.8), weight=0.13)
