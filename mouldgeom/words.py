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

from mouldgeom.units import DRILL_STEP, AnyUnit, Mm, drill_fraction, inch_fraction, larger_drill

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

    def length(self, length: Mm, digits: int = 1, parts: int = 64) -> str:
        """A length in the units of the papers: ``"1364"``, ``"14 21/64 in"`` or ``"364 (14 21/64 in)"``.

        Thousands are not set apart: lengths on drawings are not.  ``parts`` of an inch: 64, as fine as a rule and a
        scriber mark, so that holes that meet are marked where they meet; 16 for what a tape measures.
        """
        inches = inch_fraction(length, parts)
        if self.units == "inches":
            return inches
        metric = self._digits(length, digits, "0")
        return f"{metric} ({inches})" if self.units == "both" else metric

    def said_by(self, length: Mm) -> tuple[Mm, ...]:
        """What the numbers that ``length`` writes are in millimetres: one of each unit of the papers."""
        metric, inches = round(length, 1), round(length / DRILL_STEP) * DRILL_STEP
        return {"mm": (metric,), "inches": (inches,)}.get(self.units, (metric, inches))

    def diameter(self, diameter: Mm, most: Mm = 0.0, unit: str = "") -> str:
        """A drill, a rod or a thickness by its exact name: ``"11"``, ``"13/32 in"``; it is never rounded to a fraction.

        A size that is no fraction of an inch is named in millimetres on every paper, and behind it the next larger
        drill in 64ths where that is no more than ``most`` and inches are asked for: ``"11 mm or 7/16 in"``.  A fraction
        that is no tenth of a millimetre stands on every paper: ``"10.32 = 13/32 in"``.  ``unit`` stands behind the
        millimetres of a paper in millimetres.
        """
        metric, fraction = self._digits(diameter, 2, "0"), drill_fraction(diameter)
        if self.units == "mm":
            fraction = None if abs(diameter - round(diameter, 1)) < 1e-6 else fraction
            return f"{metric}{unit} = {fraction}" if fraction else metric + unit
        if fraction:
            return fraction if self.units == "inches" else f"{metric}{unit} ({fraction})"
        larger = larger_drill(diameter)
        if larger > most:
            return f"{metric} mm"
        return self("{drill} or {larger}", drill=f"{metric} mm", larger=inch_fraction(larger, 64))

    @cached_property
    def checked(self) -> bool:
        """Whether a speaker has read this catalogue; drafts say so on every paper."""
        return self.language == ENGLISH
