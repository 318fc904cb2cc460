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
import re
from functools import cache, cached_property
from typing import Final

from mouldgeom.units import AnyUnit, Mm, inch_fraction

_FOLDER: Final = importlib.resources.files("mouldgeom.data") / "words"
ENGLISH: Final = "en"
_NUMBER: Final = re.compile(r"\d+(?:\.\d+)?")
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


def masked(sentence: str) -> tuple[str, dict[str, object]]:
    """A sentence with its numbers taken out, and what stood there, in order.

    >>> masked("hand at 500 mm, 3.5 N")
    ('hand at {n1} mm, {n2} N', {'n1': '500', 'n2': '3.5'})
    """
    numbers: dict[str, object] = {}

    def take(found: re.Match[str]) -> str:
        name = f"n{len(numbers) + 1}"
        numbers[name] = found.group()
        return f"{{{name}}}"

    return _NUMBER.sub(take, sentence), numbers


class Words:
    """The words of one language.

    Args:
        language: one of ``LANGUAGES``.
        units: ``"mm"``, ``"inches"`` or ``"both"``: how ``length`` writes.
    """

    def __init__(self, language: str = ENGLISH, units: str = "mm") -> None:
        self.language, self.units = language, units

    def __call__(self, sentence: str, /, **values: object) -> str:
        """The sentence in this language, with its ``{names}`` filled in.

        A sentence that bears numbers already is found under its key with ``{n1}``, ``{n2}`` in their place.
        """
        known = _catalogue(self.language)
        text = known.get(sentence)
        if text is None and known and not values and any(character.isdigit() for character in sentence):
            key, numbers = masked(sentence)
            if key in known:
                text, values = known[key], numbers
        if text is None:
            text = sentence
        return text.format(**values) if values else text

    def number(self, value: AnyUnit, digits: int = 0) -> str:
        """A number with at most ``digits`` decimals, separators as the locale has them."""
        return self._digits(value, digits, "#,##0")

    def _digits(self, value: AnyUnit, digits: int, whole: str) -> str:
        from babel.numbers import format_decimal

        pattern = whole + ("." + "#" * digits if digits else "")
        return str(format_decimal(round(value, digits) + 0.0, pattern, locale=self.language))

    def length(self, length: Mm, digits: int = 1) -> str:
        """A length in the units of the papers: ``"1364"``, ``"14 5/16 in"`` or ``"364 (14 5/16 in)"``.

        Thousands are not set apart: lengths on drawings are not.
        """
        inches = inch_fraction(length)
        if self.units == "inches":
            return inches
        metric = self._digits(length, digits, "0")
        return f"{metric} ({inches})" if self.units == "both" else metric

    @cached_property
    def checked(self) -> bool:
        """Whether a speaker has read this catalogue; drafts say so on every paper."""
        return self.language == ENGLISH
