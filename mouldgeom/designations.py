"""One spelling for each designation: what people write for a sheet, section, fastener or steel, made comparable."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from functools import cache
from typing import Any, Final, Self

from mouldgeom.units import AnyUnit, Mm

_SPELLING: Final = (
    (r"(?:\bno\.?|#)\s*(?=\d)", ""),
    (r"\bb\.g\.", "bg"),
    ("[\u00d7*]", "x"),
    ("[\u2010-\u2015]", "-"),
    (r",(?=\d)", "."),
    ('["\u2033\u201d]|inch(?:es)?', "in"),
    (r"(?<=\d)\s+(?=\d+/\d)", "-"),  # 1 1/2 -> 1-1/2
    (r"\s+", ""),
    (r"^(?:shs|hss|l)(?=\d)", ""),
    (r"(?<=\d)unc$", ""),
    (r"(\.\d*?)0+(?!\d)", r"\1"),  # 4.50 -> 4.5, 3.0 -> 3.
    (r"\.(?!\d)", ""),
    (r"^astm|grade|(?<=ss)gr(?=\d)", ""),  # ASTM A1011 SS Grade 36 -> a1011ss36
    (r"^(s\d{3})(?:j[r02]|k2)h?$|^(q\d{3})[a-d]$", r"\1\2"),  # quality at the end: S275JR, Q235B
    (r"manufacturers['\u2019]?standard(?:ga(?:u?ge)?)?", "msg"),
    (r"^[^\w/]*(?:us)?\(?msg\)?(\d+)$", r"\1gaugemsg"),  # MSG 10
    (r"^(\d+)ga(?:u?ge)?,?(?:us)?\(?msg\)?$", r"\1gaugemsg"),  # 10 ga (MSG)
)
"""Ways of writing a designation, made one, in this order."""

_GAUGE: Final = re.compile(r"(?:[sb]wg|bg|ga(?:u?ge)?)?(\d+)(?:ga(?:u?ge)?|[sb]?wg|bg)?")


class OwnDesignation(str):
    """A designation that brings its row along: one that no table has, given by a person.

    Two are equal where text and row are, and none equals plain text, so that whatever is kept by designation never
    takes one row for another of the same name.

    Args:
        text: what it is called.
        kind: the record of the tables that its row is.
        cells: what stands in that record behind the designation.
    """

    kind: type[Any]
    cells: tuple[AnyUnit | str, ...]

    def __new__(cls, text: str, kind: type[Any], cells: tuple[AnyUnit | str, ...]) -> Self:
        """Put it together."""
        made = super().__new__(cls, text)
        made.kind, made.cells = kind, cells
        return made

    def __getnewargs__(self) -> tuple[str, type[Any], tuple[AnyUnit | str, ...]]:  # type: ignore[override]
        """What a copy is made from, in another process too."""
        return str(self), self.kind, self.cells

    @property
    def row(self) -> Any:
        """Its row, a record of the kind; the designation in it is this one."""
        return self.kind(self, *self.cells)

    def __eq__(self, other: object) -> bool:
        """Whether name and row are the same."""
        return isinstance(other, OwnDesignation) and other.__getnewargs__() == self.__getnewargs__()

    def __ne__(self, other: object) -> bool:
        """Whether name or row differs; text would compare by the name alone."""
        return not self == other

    def __hash__(self) -> int:
        """By name and numbers."""
        return hash((str(self), self.cells))


def renamed(designation: str, text: str) -> str:
    """The text, with the row of the designation if that brings one along."""
    if isinstance(designation, OwnDesignation):
        return OwnDesignation(text, designation.kind, designation.cells)
    return text


@cache
def key(designation: str) -> str:
    """What two ways of writing one designation have in common."""
    made = designation.casefold()
    for pattern, replacement in _SPELLING:
        made = re.sub(pattern, replacement, made)
    # a section needs no unit: 2"x2"x1/8", 40x40x4 mm
    return re.sub("(?:mm|in)(?=x|$)", "", made) if re.search(r"\dx|[mn]x", made) else made


def nearest(designation: str, known: Iterable[str]) -> list[str]:
    """Up to three of ``known`` that are written most alike, the nearest in size first among equals; none may be.

    ``known`` are made comparable by ``key``, as the result is.
    """
    wanted = key(designation)
    matcher = difflib.SequenceMatcher(b=wanted)
    ranked = []
    for other in known:
        matcher.set_seq1(other)
        if matcher.real_quick_ratio() >= 0.4 and matcher.ratio() >= 0.4:
            ranked.append((-round(matcher.ratio(), 2), _apart(other, wanted), other))
    return [other for _, _, other in sorted(ranked)[:3]]


def _apart(one: str, other: str) -> Mm:
    first, second = ([float(n) for n in re.findall(r"\d+(?:\.\d+)?", text)[:3]] for text in (one, other))
    return sum(abs(a - b) for a, b in zip(first, second, strict=False))


def gauge_refusal(designation: str, known: Iterable[str]) -> str | None:
    """Why a gauge number whose gauge is not named is no sheet, and what to write; ``None`` for anything else.

    Source: 15 U.S.C. 206 (US standard gauge); lists of SWG, B.G. and manufacturers' standard gauge, as seen.
    """
    found = _GAUGE.fullmatch(key(designation))
    if found is None or found[0].isdigit():
        return None
    named = [name for name in known if name.endswith("MSG")]
    offered = next((name for name in named if name.split()[0] == found[1]), named[-1])
    return (
        "a gauge number is no thickness until its gauge is named: no. 10 is 3.25 mm by SWG, 3.18 by B.G., 3.42 by the "
        f'US manufacturers\' standard (MSG) and 3.57 by the US standard; write "{offered}" if that is what it is, '
        'else the next thinner sheet of the tables, such as "3.2 mm"'
    )
