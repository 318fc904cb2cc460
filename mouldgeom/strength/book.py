"""The whole calculation: its chapters in the order in which an engineer reviews them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from mouldgeom.errors import InputError
from mouldgeom.model.assembly import Mould
from mouldgeom.strength.bolts import chapter as bolts
from mouldgeom.strength.bridge import chapter as bridge
from mouldgeom.strength.extraction import chapter as extraction
from mouldgeom.strength.forcing import chapter as forcing
from mouldgeom.strength.handling import chapter as handling
from mouldgeom.strength.hardening import chapter as hardening
from mouldgeom.strength.holding import chapter as holding
from mouldgeom.strength.panels import chapter as panels
from mouldgeom.strength.pressure import chapter as pressure
from mouldgeom.strength.steps import Chapter
from mouldgeom.strength.tolerances import chapter as tolerances
from mouldgeom.units import four_figures
from mouldgeom.verdict import Verdict, by_code, own_verdicts

ChapterMaker = Callable[[Mould], Chapter]


def chapters(mould: Mould) -> tuple[ChapterMaker, ...]:
    """One function a chapter, in order; the gear that draws the core has its own."""
    gear = (extraction, bridge) if mould.dims.has_bridge else (forcing,)
    return (pressure, panels, bolts, hardening, holding, *gear, handling, tolerances)


CAUTIONS: Final = (
    "The tool advises; a licensed engineer and local codes decide.",
    "Cast and test one filter before you pay for a mould or repeat it.",
    "The calculation takes the mould as designed, of the steel that is named, welded as the weld table says.",
)


def book(mould: Mould, own: Sequence[ChapterMaker] = ()) -> tuple[Chapter, ...]:
    """Every chapter of one mould, those from outside last.

    Raises:
        InputError: one from outside gives no chapter, or requires what is no verdict.
    """
    added = (own_chapter(chapter(mould), getattr(chapter, "__qualname__", "chapter")) for chapter in own)
    return (*(chapter(mould) for chapter in chapters(mould)), *added)


def own_chapter(found: object, whose: str) -> Chapter:
    """What a maker from outside gives, if it is a chapter.

    Raises:
        InputError: it is none, or requires what is no verdict; ``whose`` maker it was is named.
    """
    if not isinstance(found, Chapter):
        raise InputError(whose, type(found).__name__, "it gives no chapter", "Return a Chapter.")
    own_verdicts(found.requirements, whose)
    return found


def failing(mould: Mould, own: Sequence[ChapterMaker] = ()) -> dict[str, str]:
    """What the calculation requires and the mould does not keep, a line each, by code."""
    return {r.code: _missed(r) for r in requirements(book(mould, own)) if not r.holds}


def _missed(one: Verdict) -> str:
    value, limit = one.told(four_figures)
    return f"{one.code} {one.title}, {value} against {limit} {one.unit}".removesuffix(" -")


def requirements(chapters: tuple[Chapter, ...]) -> tuple[Verdict, ...]:
    """What the chapters require, in order of their codes."""
    found = [requirement for chapter in chapters for requirement in chapter.requirements]
    return by_code(found)
