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
import string
from collections.abc import Iterable
from functools import cache, cached_property
from typing import Any, Final, Self

from mouldgeom.units import DRILL_STEP, AnyUnit, Mm, drill_fraction, inch_fraction, larger_drill, plain

_FOLDER: Final = importlib.resources.files("mouldgeom.data") / "words"
ENGLISH: Final = "en"
_NAMES: Final = re.compile(r"\{\w+\}")
_WORD: Final = re.compile(r"[a-z]{3}")
_SPEC: Final = re.compile(r"\{(\w+):[^{}]*\}")
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


class _Filling(string.Formatter):
    """Fills in the values of a sentence as ``Said`` describes them."""

    def __init__(self, words: Words | None = None) -> None:
        self.words = words

    def format_field(self, value: Any, spec: str) -> str:
        if isinstance(value, str):
            return format(self.words(value) if self.words else str(value), spec)
        text = plain(value, int(spec[1:] or 3)) if spec.startswith("p") else str(format(value, spec))
        return text.replace(".", self.words.point) if self.words and isinstance(value, float) else text


class Said(str):
    """A sentence with values: the English text of it, and what another language needs to say it.

    What is made of it by ``+`` or an f-string is plain text, and stays English: give it to another as a value.

    Args:
        template: the sentence in English; names in braces stand for values, as ``str.format`` has them, and ``{n:p}``
            and ``{n:p1}`` for a number as ``units.plain`` writes it.
        values: numbers, which follow the locale; words and sentences, which are translated in turn.

    >>> hand = Said("hand at {height:p1} mm", height=500.25)
    >>> str(hand), Words("fr")(hand), hand.key
    ('hand at 500.2 mm', 'main à 500,2 mm', 'hand at {height} mm')
    """

    template: str
    values: dict[str, object]

    def __new__(cls, template: str, /, **values: object) -> Self:
        """Put it into English."""
        said = super().__new__(cls, _Filling().vformat(template, (), values))
        said.template, said.values = template, values
        return said

    def __getnewargs_ex__(self) -> tuple[tuple[str], dict[str, object]]:
        """What a copy in another process is made from."""
        return (self.template,), self.values

    @property
    def key(self) -> str:
        """The sentence as a catalogue has it: how a number is rounded is no matter of the language."""
        return key_of(self.template)


def joined(sentences: Iterable[str], mark: str = ", ") -> Said:
    """Several of them as one, ``mark`` between them."""
    values = {f"n{number}": sentence for number, sentence in enumerate(sentences)}
    return Said(mark.join(f"{{{name}}}" for name in values), **values)


def key_of(template: str) -> str:
    """A sentence with nothing but names in its braces."""
    return _SPEC.sub(r"{\1}", template)


class Words:
    """The words of one language.

    Args:
        language: one of ``LANGUAGES``.
        units: ``"mm"``, ``"inches"`` or ``"both"``: how ``length`` writes.
    """

    def __init__(self, language: str = ENGLISH, units: str = "mm") -> None:
        self.language, self.units = language, units
        self.missed: set[str] = set()
        """Sentences that were said and that the catalogue does not hold."""

    def __call__(self, sentence: str, /, **values: object) -> str:
        """The sentence in this language, its ``{names}`` filled in: those of a ``Said`` by its own values."""
        known = _catalogue(self.language)
        key = sentence.key if isinstance(sentence, Said) else sentence
        if known and key not in known and _WORD.search(_NAMES.sub("", key)):
            self.missed.add(key)
        if isinstance(sentence, Said):
            return self._fill(known.get(key), sentence)
        values = {name: self(value) if isinstance(value, Said) else value for name, value in values.items()}
        text = known.get(key, key)
        return text.format(**values) if values else text

    def _fill(self, translated: str | None, said: Said) -> str:
        """A sentence with its values, each rounded as the English one has it."""
        if self.language == ENGLISH:
            return str(said)
        specs = dict(re.findall(r"\{(\w+)(:[^{}]*)\}", said.template))
        template = re.sub(r"\{(\w+)\}", lambda name: f"{{{name[1]}{specs.get(name[1], '')}}}", translated or said.key)
        return _Filling(self).vformat(template, (), said.values)

    @cached_property
    def point(self) -> str:
        """What stands between a number and its decimals."""
        from babel.numbers import get_decimal_symbol

        return str(get_decimal_symbol(self.language))

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
