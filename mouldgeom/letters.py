"""Which characters a text from a person may hold: those that can be seen, and on paper those that the font has.

Control characters steer a terminal or end an XML file early; what the papers' font lacks would be printed as a box.
"""

from __future__ import annotations

import functools
import unicodedata
from pathlib import Path
from typing import Final

FAMILY: Final = "Source Sans Pro"
"""The font of the papers; it comes with a package, never from the machine."""
_UNSEEN: Final = {"Cc": "control", "Cf": "invisible", "Cs": "broken", "Zl": "line break", "Zp": "line break"}
"""Categories of Unicode that are refused in every text, in words."""


@functools.cache
def font_files() -> tuple[Path, Path]:
    """Font files of the papers: regular and bold."""
    import font_source_sans_pro

    folder = Path(font_source_sans_pro.__file__).parent / "files"
    return folder / "SourceSansPro-Regular.ttf", folder / "SourceSansPro-Bold.ttf"


@functools.cache
def _letters() -> frozenset[int]:
    from fontTools.ttLib import TTFont

    regular, bold = (frozenset(TTFont(file, lazy=True).getBestCmap()) for file in font_files())
    return regular & bold


def _named(character: str) -> str:
    name = unicodedata.name(character, "")
    return f"U+{ord(character):04X}" + (f" ({name})" if name else "")


def seen(text: str) -> str:
    """The same text, if each of its characters can be seen and may stand in an XML file.

    Raises:
        ValueError: a control, invisible or broken character, or a code that Unicode keeps free.
    """
    for character in "" if text.isprintable() else text:
        if kind := _unseen(character):
            raise ValueError(f"it holds the {kind} character {_named(character)}, which cannot be printed")
    return text


def without_unseen(text: str) -> str:
    """The text without the characters for which it is not ``seen``."""
    return "".join(character for character in text if not _unseen(character))


def _unseen(character: str) -> str | None:
    """What kind of character it is, if it cannot be seen."""
    code = ord(character)
    unused = code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF
    return _UNSEEN.get(unicodedata.category(character), "unused" if unused else None)


def lettered(text: str) -> str:
    """The same text, if it is ``seen`` and the font of the papers has each of its characters.

    Raises:
        ValueError: as ``seen``, or a character that the font lacks.
    """
    for character in "" if text.isascii() else seen(text):
        if ord(character) not in _letters():
            raise ValueError(
                f"the font of the papers, {FAMILY}, has no {character!r}, {_named(character)}: for now, "
                "what stands on paper is written in Latin, Greek or Cyrillic letters"
            )
    return seen(text)
