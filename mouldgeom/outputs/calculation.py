"""The calculation as a text that an engineer reads from the top: ``calculation.md``.

Each step has formula, numbers, result and source; each chapter ends with what it requires.  The same chapters stand in
the report page.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import Final

from mouldgeom.drawing.status import Status
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.records import headline
from mouldgeom.spec.own_rows import called
from mouldgeom.strength.book import CAUTIONS
from mouldgeom.strength.steps import Chapter, ResultTable, Step
from mouldgeom.units import four_figures
from mouldgeom.verdict import Quantity, Verdict
from mouldgeom.words import Words

_ENGLISH: Final = Words()


def amount(value: Quantity, unit: str, words: Words = _ENGLISH, more: int = 0) -> str:
    """A value to four figures and ``more`` with its unit, ``-`` left out; a decimal point, as in the formulas."""
    if math.isnan(value):
        shown = words("no number")
    elif math.isinf(value):
        shown = words("without limit")
    else:
        shown = four_figures(value, more)
    return shown if unit == "-" else f"{shown} {words(unit)}"


def calculation_text(mould: Mould, chapters: Sequence[Chapter], words: Words, status: Status = Status.UNCHECKED) -> str:
    """The calculation of one mould as Markdown (CommonMark with tables)."""
    lines = [*_front(mould, chapters, words, status)]
    for number, chapter in enumerate(chapters, 1):
        lines += ["", f"## {number} {words(chapter.title)}", *_chapter(number, chapter, words)]
    return "\n".join(lines).rstrip() + "\n"


def _front(mould: Mould, chapters: Sequence[Chapter], words: Words, status: Status) -> Iterator[str]:
    figures = headline(mould)
    yield f"# {words('Calculation: {title}', title=_literal(str(figures['title'])))}"
    yield ""
    if not words.checked:
        yield words("Draft translation, to be checked by a speaker.")
        yield ""
    yield words(
        "Filter {width} x {depth} x {height} mm, mould of {mass} kg of steel.",
        width=words.number(mould.dims.width, 1),
        depth=words.number(mould.dims.depth, 1),
        height=words.number(mould.dims.height, 1),
        mass=words.number(float(str(figures["steel_kg"])), 0),
    )
    yield ""
    verdict = words("Status: {status}", status=words(str(status)))
    yield f"**{verdict}**" if status is Status.FAILS else verdict
    yield ""
    yield from (f"- {words(caution)}" for caution in CAUTIONS)
    for kind, row in mould.dims.stock.own.rows():
        what = f"{words(called(kind))} {_literal(row.designation)}"
        source = _literal(row.source)
        yield f"- {words('No table has {what}; its numbers come from: {source}', what=what, source=source)}"
    yield ""
    failed = [r for chapter in chapters for r in chapter.requirements if not r.holds]
    total = sum(len(chapter.requirements) for chapter in chapters)
    if failed:
        yield words("{failed} of {total} requirements do not hold:", failed=len(failed), total=total)
        yield ""
        yield from (f"- {r.code} {words(r.title)}: {_missed(r, words)}" for r in failed)
    else:
        yield words("All {total} requirements hold.", total=total)


def _chapter(number: int, chapter: Chapter, words: Words) -> Iterator[str]:
    if chapter.assumptions:
        yield ""
        yield words("Taken as given:")
        yield ""
        yield from (f"- {words(line)}" for line in chapter.assumptions)
    for place, step in enumerate(chapter.steps, 1):
        yield from _step(f"{number}.{place}", step, words)
    for table in chapter.tables:
        yield from _table(table, words)
    if chapter.requirements:
        yield from _requirements(chapter.requirements, words)
    if chapter.cautions:
        yield ""
        yield f"**{words('Cautions')}**"
        yield ""
        yield from (f"- {words(line)}" for line in chapter.cautions)


def _step(place: str, step: Step, words: Words) -> Iterator[str]:
    yield ""
    yield f"**{place} {words(step.what)}**"
    yield ""
    yield f"    {step.formula}" if step.formula else f"    {words('by geometry')}"
    if step.numbers:
        yield f"    = {step.numbers}"
    yield f"    = {amount(step.result, step.unit, words)}"
    yield ""
    yield words("Source: {source}", source=step.source)


def _table(table: ResultTable, words: Words) -> Iterator[str]:
    yield ""
    yield f"**{words(table.title)}**"
    yield ""
    yield "| " + " | ".join(_cell(words(head)) for head in table.head) + " |"
    numeric = [all(not isinstance(row[i], str) for row in table.rows) for i in range(len(table.head))]
    yield "| " + " | ".join("---:" if right else "---" for right in numeric) + " |"
    for row in table.rows:
        yield "| " + " | ".join(_cell(words(c)) if isinstance(c, str) else amount(c, "-", words) for c in row) + " |"
    if table.note:
        yield ""
        yield words(table.note)


def _requirements(requirements: Sequence[Verdict], words: Words) -> Iterator[str]:
    yield ""
    yield f"**{words('Required')}**"
    yield ""
    heads = (
        words("check"),
        words("what"),
        words("provided"),
        words("required"),
        words("holds"),
        words("where"),
        words("source"),
    )
    yield "| " + " | ".join(heads) + " |"
    yield "| --- | --- | ---: | ---: | --- | --- | --- |"
    for r in requirements:
        provided, limit = _held(r, words)
        cells = (
            r.code,
            words(r.title),
            provided,
            limit,
            words("yes") if r.holds else f"**{words('NO')}**",
            f"{words(r.where)}. {words(r.cure)}" if r.cure and not r.holds else words(r.where),
            r.source,
        )
        yield "| " + " | ".join(_cell(cell) for cell in cells) + " |"


def _held(r: Verdict, words: Words) -> tuple[str, str]:
    """Value and limit, the limit with its sign."""
    provided, required = r.told(lambda value, more: amount(value, r.unit, words, more))
    return provided, f"{r.operator} {required}"


def _missed(r: Verdict, words: Words) -> str:
    provided, limit = _held(r, words)
    return f"{provided}, {words('required')} {limit} ({words(r.where)})"


def _literal(text: str) -> str:
    """A text from a person as it was written, with nothing in it that Markdown would read as a sign or as HTML."""
    return re.sub(r"([\\`*_\[\]<>&#~$|])", r"\\\1", text)


def _cell(text: str) -> str:
    return text.replace("|", "/").replace("\n", " ")
