"""From blocks to sheets: the largest standard scale, and the way up of the paper, at which everything finds room."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product

from mouldgeom.drawing.layout import pack
from mouldgeom.drawing.lettering import NORMAL, SMALL
from mouldgeom.drawing.paper import SCALES, Paper, PaperOptions, blank
from mouldgeom.drawing.primitives import Block, Sheet
from mouldgeom.units import Mm, Ratio
from mouldgeom.words import Words

Maker = Callable[[Ratio, Mm], Sequence[Block]]
"""Makes the blocks of a drawing for a scale and a height of lettering."""


def compose(
    name: str, title: str, make: Maker | Sequence[Maker], words: Words, options: PaperOptions, *,
    document: str = "", pages: int = 2, scales: Sequence[Ratio] = SCALES, size: tuple[Mm, Mm] = (0.0, 0.0),
    to_scale: bool = True, ordered: bool = False,
) -> list[Sheet]:  # fmt: skip
    """Sheets of one drawing, as large as it can be on ``pages`` sheets or fewer; landscape if it does not matter.

    What finds no room on them at any scale gets twice as many, then four times.

    Of several makers the first of those that need the fewest sheets at a scale is taken.  ``size`` is that of the
    largest view in the model: scales at which it is larger than the paper are not tried.  ``ordered`` keeps the blocks
    in reading order from sheet to sheet.

    Raises:
        ValueError: it finds no room on four times ``pages`` at any scale.
    """
    height = lettering_of(options.paper)
    wide = options.paper if options.paper.width > options.paper.height else options.paper.turned
    makers = (make,) if callable(make) else tuple(make)
    papers = (wide, wide.turned) if height == NORMAL else (wide.turned, wide)
    for most, scale in product((pages, 2 * pages, 4 * pages), scales):
        if max(size) * scale > wide.width or min(size) * scale > wide.height:
            continue
        found: tuple[Paper, list[list[Block]]] | None = None
        for maker in makers:
            blocks = list(maker(scale, height))
            for paper in papers:
                try:
                    packed = pack(
                        blocks, paper.space, (paper.title_box,), gap=7.0 if height == NORMAL else 5.0, ordered=ordered
                    )
                except ValueError:
                    continue
                if len(packed) <= most and (found is None or len(packed) < len(found[1])):
                    found = (paper, packed)
            if found and len(found[1]) == 1:
                break
        if found:
            paper, packed = found
            names = [name if len(packed) == 1 else f"{name}-{n}" for n in range(1, len(packed) + 1)]
            return [
                blank(n, title, options, words, [i for b in page for i in b.items], scale=scale if to_scale else 0.0,
                      document=document or words("Assembly drawing"), paper=paper)
                for n, page in zip(names, packed, strict=True)
            ]  # fmt: skip
    raise ValueError(f"{name} finds no room on {options.paper.name} at any scale")


def lettering_of(paper: Paper) -> Mm:
    """Height of the lettering of views on a paper: larger papers are looked at from further away."""
    return NORMAL if paper.grid else SMALL
