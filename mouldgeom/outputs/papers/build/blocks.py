"""What a page of the build sheet is made of; each block is a plain record for the typesetter's template."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from mouldgeom.outputs.papers.build.picture import StepPicture


@dataclass(frozen=True)
class Prose:
    """A paragraph; ``size`` is ``"body"``, ``"lead"`` or ``"note"``."""

    words: str
    size: str = "body"


@dataclass(frozen=True)
class Head:
    """A heading inside a page."""

    words: str


@dataclass(frozen=True)
class Actions:
    """What to do, in order, with large numbers from ``start`` on."""

    items: tuple[str, ...]
    start: int = 1


@dataclass(frozen=True)
class Bullets:
    """Things without order."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class CautionBlock:
    """A box with a warning triangle."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True)
class CheckBlock:
    """A box with what is measured at once: rows of what, nominal and limits."""

    title: str
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class TableBlock:
    """A table; ``columns`` are shares of the width, ``right`` the columns set to the right; an empty row head spans."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    columns: tuple[str, ...]
    right: tuple[int, ...] = ()
    size: str = "body"


@dataclass(frozen=True)
class Large:
    """Few rows in the largest type: name, value, and go and no-go sticks."""

    rows: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Pictures:
    """Pictures side by side, each with a caption."""

    shown: tuple[tuple[StepPicture, str], ...]


@dataclass(frozen=True)
class Boxes:
    """Boxes to tick; what follows each is seen, or measured on a line at its end."""

    items: tuple[str, ...]
    line: bool = False


@dataclass(frozen=True)
class FormBlock:
    """Rows with code, what, how, nominal, limits, and empty boxes for the measured value and OK."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Signatures:
    """Lines to sign on."""

    titles: tuple[str, ...]


@dataclass(frozen=True)
class Break:
    """Where the page may go on on a second one, if it is too full in type that is read with ease."""


@dataclass(frozen=True)
class Contents:
    """The list of pages."""

    title: str


Block = (
    Prose
    | Head
    | Break
    | Actions
    | Bullets
    | CautionBlock
    | CheckBlock
    | TableBlock
    | Large
    | Pictures
    | Boxes
    | FormBlock
    | Signatures
    | Contents
)


@dataclass(frozen=True)
class Page:
    """One group of steps; ``number`` is the large number beside its title, if it has one."""

    title: str
    blocks: tuple[Block, ...]
    number: str = ""


@dataclass(frozen=True)
class BuildChapter:
    """Pages on one subject."""

    title: str
    pages: tuple[Page, ...]


def record(chapters: Sequence[BuildChapter]) -> list[dict[str, Any]]:
    """All chapters as plain data."""
    return [
        {
            "title": chapter.title,
            "pages": [
                {"title": page.title, "number": page.number, "blocks": [_block(block) for block in page.blocks]}
                for page in chapter.pages
            ],
        }
        for chapter in chapters
    ]


def _block(block: Block) -> dict[str, Any]:
    kind = type(block).__name__.lower()
    if isinstance(block, Pictures):
        shown = [
            {"svg": p.svg(), "alt": p.alt, "width": p.width, "caption": caption} for p, caption in block.shown
        ]  # fmt: skip
        return {"kind": kind, "shown": shown}
    return {"kind": kind, **asdict(block)}
