"""Every word on paper and page, in the language that is asked for: one catalogue of English sentences.

The English sentence is the key.  A translation is a gettext catalogue ``mouldgeom/data/words/LANGUAGE.po``; adding a
language is adding that file.  What a catalogue does not hold comes out in English.  Numbers follow the locale.

    >>> Words("en")("{count} bolts", count=42)
    '42 bolts'
    >>> Words("fr").number(1234.5, 1)
    '1\\u202f234,5'
"""

from __future__ import annotations

import importlib.resources
from functools import cache, cached_property
from typing import Final

from mouldgeom.units import AnyUnit, Mm, inch_fraction

_FOLDER: Final = importlib.resources.files("mouldgeom.data") / "words"
ENGLISH: Final = "en"
LANGUAGES: Final = (ENGLISH, *sorted(p.name[:-3] for p in _FOLDER.iterdir() if p.name.endswith(".po")))
"""Languages that there is a catalogue for; the catalogue of English is the program itself."""


@cache
def _catalogue(language: str) -> dict[str, str]:
    """Translated sentences by their English."""
    if language == ENGLISH:
        return {}
    from babel.messages.pofile import read_po

    with (_FOLDER / f"{language}.po").open("rb") as file:
        return {str(m.id): str(m.string) for m in read_po(file, locale=language) if m.id and m.string}


class Words:
    """The words of one language.

    Args:
        language: one of ``LANGUAGES``.
        units: ``"mm"``, ``"inches"`` or ``"both"``: how ``length`` writes.
    """

    def __init__(self, language: str = ENGLISH, units: str = "mm") -> None:
        self.language, self.units = language, units

    def __call__(self, sentence: str, /, **values: object) -> str:
        """The sentence in this language, with its ``{names}`` filled in."""
        text = _catalogue(self.language).get(sentence, sentence)
        return text.format(**values) if values else text

    def number(self, value: AnyUnit, digits: int = 0) -> str:
        """A number with at most ``digits`` decimals, separators as the locale has them."""
        from babel.numbers import format_decimal

        pattern = "#,##0" + ("." + "#" * digits if digits else "")
        text = str(format_decimal(round(value, digits) + 0.0, pattern, locale=self.language))
        return text

    def length(self, length: Mm, digits: int = 1) -> str:
        """A length in the units of the papers: ``"364"``, ``"14 5/16 in"`` or ``"364 (14 5/16 in)"``."""
        inches = inch_fraction(length)
        if self.units == "inches":
            return inches
        return f"{self.number(length, digits)} ({inches})" if self.units == "both" else self.number(length, digits)

    @cached_property
    def checked(self) -> bool:
        """Whether a speaker has read this catalogue; drafts say so on every paper."""
        return self.language == ENGLISH
