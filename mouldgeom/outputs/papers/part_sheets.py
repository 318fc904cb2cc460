"""Sheets of parts: every plate and bar of a group at a standard scale, packed on as few sheets as read well."""

from __future__ import annotations

from collections.abc import Sequence

from mouldgeom import tables
from mouldgeom.drawing.layout import pack, placed
from mouldgeom.drawing.lettering import SMALL
from mouldgeom.drawing.paper import SCALES, Paper, PaperOptions, blank, numbered
from mouldgeom.drawing.primitives import Block, Box, Primitive, Sheet, paragraph
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Bar, Plate
from mouldgeom.outputs.papers.bar_blocks import bar_size, bar_ways
from mouldgeom.outputs.papers.plate_blocks import PartDesk, plate_ways
from mouldgeom.units import Ratio
from mouldgeom.words import Words


def part_sheets(mould: Mould, words: Words, options: PaperOptions) -> list[Sheet]:
    """Draw every plate and every bar, group by group.

    Raises:
        ValueError: a part fits on no sheet even at the smallest scale.
    """
    desk = PartDesk(mould, words, options)
    blocks = [block for part in mould.parts if isinstance(part, Plate | Bar) for block in _fitted(part, desk)]
    notes = _notes(desk)
    sheets = []
    order = [part.mark for part in mould.parts]
    for number, page in enumerate(_packed(blocks, order, desk), 1):
        title = words("Parts {marks}", marks=_listed(sorted({block.name for block in page}, key=order.index)))
        items = [item for block in [*page, notes] for item in block.items]
        sheets.append(blank(f"parts-{number}", title, options, words, items))
    return numbered(sheets)


def _packed(blocks: Sequence[Block], order: Sequence[str], desk: PartDesk) -> list[list[Block]]:
    """The blocks on as few pages as one of four orders gives: by mark, tall ones first, large ones first, pairs first.

    A hole chart that stands by itself stays on the page of its part if any of them brings it there.
    """
    space, taken = desk.options.paper.space, _taken(desk)
    tall = sorted(blocks, key=lambda block: -block.height)
    large = sorted(blocks, key=lambda block: -block.height * block.width)
    names = [block.name for block in blocks]
    pairs = sorted(blocks, key=lambda block: names.count(block.name) == 1)

    def parted(pages: Sequence[Sequence[Block]]) -> int:
        return sum(len({block.name for block in page}) for page in pages) - len(set(names))

    found = [pack(ordered, space, taken) for ordered in (blocks, tall, large, pairs)]
    pages = min(found, key=lambda pages: (parted(pages), len(pages)))
    return sorted(pages, key=lambda page: min(order.index(block.name) for block in page))


def _listed(marks: Sequence[str]) -> str:
    """Marks with runs drawn together: ``"A1 to A4, B2"``."""
    runs: list[list[tuple[str, int]]] = []
    for letter, number in ((mark[0], int(mark[1:])) for mark in marks):
        if runs and runs[-1][-1] == (letter, number - 1):
            runs[-1].append((letter, number))
        else:
            runs.append([(letter, number)])
    ends = [f"{a}{b}" if len(run) < 2 else f"{a}{b}–{a}{run[-1][1]}" for run in runs for a, b in run[:1]]
    return ", ".join(ends)


def _fitted(part: Plate | Bar, desk: PartDesk) -> list[Block]:
    """The part at the scale that suits it, or at the next smaller one that fits on the paper.

    Raises:
        ValueError: there is none.
    """
    space, taken = desk.options.paper.space, _taken(desk)
    for scale in (s for s in SCALES if s <= _scale(part, desk.options.paper) + 1e-9):
        for way in plate_ways(part, desk, scale) if isinstance(part, Plate) else bar_ways(part, desk, scale):
            if all(placed(block, (), space, taken) is not None for block in way):
                return way
    raise ValueError(f"{part.mark} fits on no sheet")


def _scale(part: Plate | Bar, paper: Paper) -> Ratio:
    """The smallest scale at which everything about a part is still easy to see (common practice, no source)."""
    if isinstance(part, Bar):
        wide, _ = bar_size(part)
        longest = 180.0 if paper.wide >= 0.5 else 130.0
        return next((s for s in SCALES if s <= 1 and s * part.length <= longest and s * wide <= 24), SCALES[-1])
    x0, y0, x1, y1 = part.outline.bounds
    features = len(part.holes) + 4 * len(part.openings) + len(part.outline.vertices) - 4
    least = 30.0 if features <= 0 else 36.0 if features <= 5 else 60.0 if features <= 16 else 80.0
    least *= 1.0 if paper.wide >= 0.5 else 0.75
    return next((s for s in reversed(SCALES) if s * min(x1 - x0, y1 - y0) >= least), SCALES[0])


def _taken(desk: PartDesk) -> list[Box]:
    """What is not free on a sheet."""
    return [desk.options.paper.title_box, _notes(desk).box]


def _notes(desk: PartDesk) -> Block:
    """What holds for every part of the sheet, above the title block."""
    words, paper, shop = desk.words, desk.options.paper, desk.mould.dims.spec.shop
    left, _, _, top = paper.title_box
    marking = words(
        'Mark holes out with rule and scriber, to 1/64 in. A drill after "or" is the next larger one and serves too.'
    )
    told = (
        words("Every plate is seen from the side with its concrete face. Never cut it turned over."),
        words("Measure from the two edges marked 0. Hole charts: x from the left edge, y from the lower edge."),
        words("Thin chain lines are centre lines: the part is the same on both sides of them."),
        words("Saw the bars square. Write the mark on every piece."),
        words(
            "Bolt holes: {standard}. Cut edges: ISO 9013-{quality}. Sizes in brackets are for checking only.",
            standard="ASME B18.2.8 normal" if desk.mould.dims.stock.bolt.system == "inch" else "ISO 273 medium",
            quality=tables.cutting_process(shop.cutting).quality,
        ),
        *((marking,) if words.units != "mm" else ()),
    )
    items: list[Primitive] = []
    y = 0.0
    for text in told:
        made, y = paragraph(text, left + 2, y, 174, SMALL)
        items += made
    block = Block("notes", tuple(items))
    return block.moved(0, top + 4 - block.box[1])
