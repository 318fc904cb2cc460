"""The filter for a sand, a charge and a household: what can be asked, and the answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from mouldgeom.design.sizing_answer import SizingAnswer, answer
from mouldgeom.filter.asking import FIELDS, OLD_NAMES, TEXTS, read_input
from mouldgeom.front.answers import Answer
from mouldgeom.front.given import names_given
from mouldgeom.reading import path_given
from mouldgeom.spec import Spec


@dataclass(frozen=True)
class Question:
    """Something that can be asked of a filter.

    >>> [question for question in QUESTIONS if question.name == "ratio"]
    [Question(name='ratio', meaning='width over depth of the cavity (default 1)', unit='-', takes='number')]

    Args:
        name: by which it is given.
        meaning: in words.
        unit: of a number, ``"-"`` where it has none.
        takes: ``"number"``, ``"file"`` or ``"text"``; empty for a name of an earlier edition, still read.
    """

    name: str
    meaning: str
    unit: str
    takes: str


QUESTIONS: Final = (
    *(Question(name, meaning, "-", "text" if name == "title" else "file") for name, meaning in TEXTS.items()),
    *(Question(field.name, field.meaning, field.unit, "number") for field in FIELDS.values()),
    *(Question(old, f"now called {new}", "-", "") for old, new in OLD_NAMES.items()),
)
"""All that can be asked of ``size``."""


class SizedFilter(Answer):
    """A filter with the least concrete for what was asked, and its specification.

    It is made by ``size``.

    >>> size(asked={"sand_column": 500, "charge": 12}).record()["charge_l"]
    12.0
    """

    def __init__(self, found: SizingAnswer) -> None:
        self._found = found

    @property
    def spec(self) -> Spec:
        """The specification of the filter and its mould."""
        return self._found.spec

    @property
    def passed(self) -> bool:
        """Always: where no filter keeps the limits, there is no answer but an error."""
        return True

    def text(self) -> str:
        """The answer first, then the reasons."""
        from mouldgeom.outputs.size_report import lines

        return "\n".join(lines(self._found))

    def record(self) -> dict[str, Any]:
        """As ``size --json`` prints it."""
        from mouldgeom.outputs.size_report import document

        return document(self._found)

    def write(
        self,
        spec: str | Path | None = None,
        *,
        pictures: str | Path | None = None,
        table: str | Path | None = None,
        over: bool = False,
    ) -> None:
        """Write the specification with its reasons, a folder of pictures, a folder with the table of other sizes.

        Every place is looked at before the first is written.

        Raises:
            FolderError: a place cannot be written to, or something else is there and ``over`` does not allow it.
        """
        from mouldgeom.outputs.size_files import picture_files, spec_bytes, table_files, write_all

        folders: dict[str, tuple[Path, Mapping[str, bytes]]] = {}
        if pictures is not None:
            folders["--pictures"] = (path_given("--pictures", pictures), picture_files(self._found))
        if table is not None:
            folders["--table"] = (path_given("--table", table), table_files(self._found.asked.request))
        file = None if spec is None else (path_given("--out", spec), spec_bytes(self._found))
        write_all(file, folders, force=over)

    def __repr__(self) -> str:
        wanted = self.spec.filter
        return f"<SizedFilter {self.spec.title!r}: {wanted.sand_column:g} mm of sand, {wanted.charge:g} l>"

    def _repr_html_(self) -> str:
        """A section of the filter, and the answer in a few lines."""
        from html import escape

        from mouldgeom.design.dimensions import derive
        from mouldgeom.outputs.filter_section import section_figure
        from mouldgeom.outputs.size_report import headline
        from mouldgeom.words import Words

        words = Words(self.spec.papers.language)
        told = "".join(f"<li>{escape(words(line))}</li>" for line in headline(self._found))
        return f"{section_figure(derive(self.spec)).svg()}<ul>{told}</ul>"


def size(source: str | Path | None = None, asked: Mapping[str, object] | None = None) -> SizedFilter:
    """Find the filter for a sand, a charge and a household with the least concrete.

    >>> from mouldgeom import size
    >>> size(asked={"sand_column": "500 mm", "charge": 12}).spec.filter.charge
    12.0

    Args:
        source: a TOML file with what is asked.
        asked: the same by names, which go before it; a value may bring its unit.

    Raises:
        InputError: a name that is not known, a value out of range, two that exclude each other, a file that cannot be
            read; or no filter keeps the limits.
    """
    return SizedFilter(
        answer(read_input(None if source is None else path_given("INPUT", source), names_given(asked or {})))
    )
