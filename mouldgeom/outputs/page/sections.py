"""The sections of the page that are read: summary, checks, parts, cut list, calculation, drawings, files, cautions."""

from __future__ import annotations

import base64
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Final
from urllib.parse import quote

from mouldgeom.fabrication.objective import RELATIVE, WholeCost
from mouldgeom.fabrication.quantities import grade_of, material_of
from mouldgeom.filter.cautions import CAUTIONS
from mouldgeom.model.assembly import Mould, fastener_name
from mouldgeom.model.shapes import Bar, Fastener, Part, Plate
from mouldgeom.outputs.cutlist import CutGroup, CutRow, cut_groups
from mouldgeom.outputs.page.html import Cell, figures, packed, said, size_words, table, tag
from mouldgeom.outputs.papers.naming import class_words, label_words, name_words, part_name
from mouldgeom.outputs.records import headline
from mouldgeom.strength.steps import Chapter, ResultTable
from mouldgeom.units import Mm, inch_fraction, told_apart
from mouldgeom.verdict import Operator, Quantity, Verdict, worst_first
from mouldgeom.words import Words

EMBEDDED: Final = ("spec.toml", "parts.json", "checks.json")
"""Files that the page carries within itself, so that it can be sent alone."""
_MANY: Final = 20
"""Folders of more files are shown closed."""
_SIGNS: Final = {Operator.AT_LEAST: "≥", Operator.AT_MOST: "≤"}


def sheet(words: Words, name: str, title: str, inner: str) -> str:
    """One section of the page."""
    return tag(
        "section", tag("h2", said(words(title)), id=f"{name}-title") + inner, id=name, aria_labelledby=f"{name}-title"
    )


def verdict(words: Words, holds: bool) -> str:
    """A mark and a word, so that colour is not needed."""
    kind, sign, word = ("good", "✓", words("holds")) if holds else ("bad", "✗", words("fails"))
    return f'<span class="{kind}"><span aria-hidden="true">{sign}</span> {said(word)}</span>'


def summary(
    words: Words, mould: Mould, results: Sequence[Verdict], concrete: Quantity, objective: WholeCost | None = None
) -> str:
    """Verdict and key figures; ``concrete`` in kg."""
    known = headline(mould)
    failing = sum(not result.holds for result in results)
    if not results:
        text, kind = words("The mould was not checked."), "open"
    elif failing:
        text, kind = words("{failing} of {count} checks fail.", failing=failing, count=len(results)), "bad"
    else:
        text, kind = words("All {count} checks hold.", count=len(results)), "good"
    spec = mould.dims.spec
    outside = " × ".join(words.length(known[f"{k}_mm"]) for k in ("outside_width", "outside_depth", "height"))
    unit = "" if words.units == "inches" else " mm"
    rows = (
        (words("Filter outside, width × depth × height"), outside + unit),
        (words("Concrete"), f"{words.number(concrete)} kg"),
        (words("Least wall"), words.length(spec.filter.least_wall) + unit),
        (words("Charge"), f"{words.number(spec.filter.charge, 1)} l"),
        (words("Sand column"), words.length(spec.filter.sand_column) + unit),
        (words("Steel of the mould"), f"{words.number(known['steel_kg'])} kg"),
        (
            words("Pieces, bolts"),
            words("{pieces} pieces under {marks} marks, {bolts} bolts",
                  pieces=known["pieces"], marks=known["marks"], bolts=known["bolts"]),
        ),
        (words("Steel grade"), mould.dims.stock.steel.designation),
        *(_whole_cost(words, objective) if objective else ()),
    )  # fmt: skip
    cards = "".join(f"<div><dt>{said(name)}</dt><dd>{said(value)}</dd></div>" for name, value in rows)
    return sheet(
        words, "summary", "Summary", tag("p", said(text), class_=f"verdict {kind}") + f'<dl class="cards">{cards}</dl>'
    )


def _whole_cost(words: Words, objective: WholeCost) -> Iterator[tuple[str, str]]:
    """The cost of the mould and of its use, its parts, and the spares."""
    amount = words.number(objective.total)
    relative = objective.unit == RELATIVE
    all_of_it = words("{amount} kg of sheet", amount=amount) if relative else f"{amount} {objective.unit}"
    yield words("Mould and use over {life} casts", life=words.number(objective.life)), all_of_it
    shares = {name: words.number(100 * part / (objective.total or 1)) for name, part in objective.parts.items()}
    yield words("Of which"), words("material {material} %, build {build} %, use {use} %, wear {wear} %", **shares)
    if objective.sets:
        yield words("Spare sets of screw and nut"), words.number(objective.sets)


def _bar(words: Words, one: Verdict) -> Cell:
    """How much of the limit is used, as a bar and a number."""
    share = 100.0 if math.isinf(one.use) else min(100.0, 100 * one.use)
    number, _ = told_apart(100 * one.use, 100.0, one.holds, words.number)
    text = words("over") if math.isinf(one.use) else f"{number} %"
    kind = "use" if one.holds else "use bad"
    return f'<span class="{kind}" aria-hidden="true"><i style="width:{share:.0f}%"></i></span> {said(text)}'


def _row(words: Words, one: Verdict, *used: Cell) -> list[Cell]:
    """A verdict as a row: code, verdict, what, value and limit, how much of it is ``used``, where and source."""
    value, limit = one.told(lambda number, more: figures(words, number, one.unit, more))
    return [
        said(one.code),
        verdict(words, one.holds),
        said(words(one.title)),
        said(value),
        said(f"{_SIGNS[one.operator]} {limit}"),
        *used,
        said(f"{words(one.where)}. {words(one.cure)}" if one.cure and not one.holds else words(one.where)),
        said(words(one.source)),
    ]


def checks(words: Words, results: Sequence[Verdict]) -> str:
    """Every check, failing first, and a filter."""
    head = [words("Code"), words("Verdict"), words("What"), "#" + words("Value"), "#" + words("Limit"), words("Used"),
            words("Where"), words("Source")]  # fmt: skip
    rows = [_row(words, one, _bar(words, one)) for one in worst_first(results)]
    search = _search(words, "checks-table", words("Find a check"))
    only = f'<label class="js"><input type="checkbox" id="failing-only"> {said(words("Failing only"))}</label>'
    listed = table(words("Checks, failing ones first"), head, rows, id="checks-table") + _empty(words, "checks-table")
    return sheet(words, "checks", "Checks", f'<p class="tools">{search} {only}</p>' + listed)


def _search(words: Words, target: str, label: str) -> str:
    field = tag("input", "", type="search", class_="filter", data_table=target, autocomplete="off").removesuffix(
        "</input>"
    )
    return f'<label class="js">{said(label)} {field}</label>'


def _empty(words: Words, target: str) -> str:
    """What is said when the filter leaves no row."""
    return tag("p", said(words("No row is left.")), class_="empty none", data_empty=target)


def part_size(words: Words, part: Part) -> str:
    """Outline and sheet of a plate, section and length of a bar; of a fastener nothing: its name says it."""
    if isinstance(part, Plate):
        x0, y0, x1, y1 = part.outline.bounds
        return f"{words.length(x1 - x0)} × {words.length(y1 - y0)} × {part.sheet}"
    if isinstance(part, Bar):
        return f"{part.section}, {words.length(part.length)}"
    return ""


def _material(words: Words, mould: Mould, part: Part) -> str:
    """What a plate or bar is made from; what a fastener is bought as where its name does not say it, and its class."""
    if isinstance(part, Fastener):
        bought = "" if part.stands[0].id.row is not None else name_words(words, fastener_name(part))
        told = (bought, class_words(words, grade_of(mould, part)))
        return ", ".join(filter(None, told))
    return name_words(words, material_of(part))


def part_info(words: Words, mould: Mould) -> dict[str, dict[str, str]]:
    """What is said of a part when it is chosen in the model, by its mark."""
    return {
        part.mark: {
            "name": part_name(words, part),
            "size": part_size(words, part),
            "mass": f"{words.number(mould.mass(part), 2)} kg",
            "quantity": str(part.quantity),
            "material": _material(words, mould, part),
        }
        for part in mould.parts
    }


def parts(words: Words, mould: Mould) -> str:
    """Every mark, with a button that shows it in the model."""
    head = [words("Mark"), words("Name"), words("Group"), "#" + words("Quantity"), words("Material"), words("Size"),
            "#" + words("Mass of one, kg"), "#" + words("Mass, kg")]  # fmt: skip
    rows = []
    for part in mould.parts:
        show = words("Show {mark} in the model", mark=part.mark)
        button = tag(
            "button", said(part.mark), type="button", class_="mark", data_mark=part.mark, title=show, aria_label=show
        )
        mass = mould.mass(part)
        rows.append(
            [
                button,
                said(part_name(words, part)),
                said(words(str(part.group))),
                str(part.quantity),
                said(_material(words, mould, part)),
                said(part_size(words, part)),
                words.number(mass, 2),
                words.number(mass * part.quantity, 2),
            ]
        )
    search = _search(words, "parts-table", words("Find a part"))
    listed = table(words("Parts by mark"), head, rows, id="parts-table") + _empty(words, "parts-table")
    return sheet(words, "parts", "Parts", f'<p class="tools">{search}</p>' + listed)


def cut_list(words: Words, mould: Mould, moulds: int = 1) -> str:
    """The cut list of equal moulds by material, with its sums."""
    told = tag("p", said(words("For {moulds} moulds.", moulds=moulds))) if moulds > 1 else ""
    groups = (_cut_group(words, group) for group in cut_groups(mould, moulds))
    return sheet(words, "cut-list", "Cut list", told + "".join(groups))


def _cut_group(words: Words, group: CutGroup) -> str:
    head = [words("Mark"), words("Name"), "#" + words("Quantity"), "#" + words("Length, mm"),
            "#" + words("Length, in"), "#" + words("Width, mm"), "#" + words("Width, in"), words("Shape, holes"),
            "#" + words("Mass, kg")]  # fmt: skip

    def both(length: Mm | None) -> tuple[str, str]:
        return ("", "") if length is None else (words.number(length, 1), inch_fraction(length))

    def cells(row: CutRow) -> list[Cell]:
        shape = "; ".join(words(text) for text in (row.shape, row.holes) if text)
        called = [label_words(words, row.called)]
        if row.kind == "fastener":
            shape = class_words(words, row.grade)
            called.append(name_words(words, row.material.removesuffix(f", {row.grade}")))
        mass = words.number(row.mass * row.quantity, 2)
        return [
            row.mark,
            said(", ".join(dict.fromkeys(called))),
            str(row.quantity),
            *both(row.length),
            *both(row.width),
            said(shape),
            mass,
        ]

    rows = [cells(row) for row in group.rows]
    total = words("Sum")
    rows.append(
        [
            "",
            f"<b>{said(total)}</b>",
            f"<b>{group.pieces}</b>",
            "",
            "",
            "",
            "",
            "",
            f"<b>{words.number(group.mass, 2)}</b>",
        ]
    )
    return table(name_words(words, group.material), head, rows, class_="cuts")


def calculation(words: Words, chapters: Sequence[Chapter]) -> str:
    """Every chapter, each folded, opened when the page is printed."""
    if not chapters:
        return ""
    return sheet(words, "calculation", "Calculation", "".join(_chapter(words, n, c) for n, c in enumerate(chapters, 1)))


def _chapter(words: Words, number: int, chapter: Chapter) -> str:
    out = [tag("summary", f"{number} {said(words(chapter.title))} {_chapter_verdict(words, chapter)}")]
    if chapter.assumptions:
        out.append(
            tag("p", said(words("Assumed:")))
            + tag("ul", "".join(f"<li>{said(words(t))}</li>" for t in chapter.assumptions))
        )
    for step in chapter.steps:
        result = figures(words, step.result, step.unit)
        out.append(
            f'<div class="step"><p class="what">{said(words(step.what))}</p>'
            f'<p class="sum"><code>{said(step.formula)}</code> <code>= {said(step.numbers)}</code> '
            f"<b>= {said(result)}</b></p>"
            f'<p class="source">{said(step.source)}</p></div>'
        )
    out += [_table(words, one) for one in chapter.tables]
    if chapter.requirements:
        out.append(_requirements(words, chapter.requirements))
    out += [tag("p", said(words(text)), class_="caution") for text in chapter.cautions]
    return tag("details", "".join(out), class_="chapter")


def _chapter_verdict(words: Words, chapter: Chapter) -> str:
    return verdict(words, all(r.holds for r in chapter.requirements)) if chapter.requirements else ""


def _table(words: Words, one: ResultTable) -> str:
    def cell(value: str | Quantity) -> str:
        return said(words(value)) if isinstance(value, str) else said(figures(words, value))

    numeric = [all(not isinstance(row[i], str) for row in one.rows) for i in range(len(one.head))]
    head = [("#" if number else "") + words(title) for title, number in zip(one.head, numeric, strict=True)]
    note = tag("p", said(words(one.note)), class_="source") if one.note else ""
    return table(words(one.title), head, ([cell(value) for value in row] for row in one.rows)) + note


def _requirements(words: Words, listed: Sequence[Verdict]) -> str:
    head = [words("Code"), words("Verdict"), words("What"), "#" + words("Value"), "#" + words("Limit"), words("Where"),
            words("Source")]  # fmt: skip
    return table(words("What the chapter requires"), head, (_row(words, one) for one in listed))


def drawings(words: Words, sheets: Sequence[tuple[str, str]]) -> str:
    """Every sheet folded; it is unpacked when it is opened."""
    if not sheets:
        return ""
    note = words("Each sheet opens here; for printing take the files of the package.")
    out = [tag("p", said(note))]
    for number, (title, svg) in enumerate(sheets, 1):
        data = f'<script type="application/gzip">{packed(svg.encode("utf-8"))}</script>'
        inner = (
            tag("summary", f"{number} {said(title)}")
            + f'<div class="sheet" role="img" aria-label="{said(title)}"></div>'
        )
        out.append(tag("details", inner + data, class_="drawing"))
    return sheet(words, "drawings", "Drawings", "".join(out))


def downloads(words: Words, files: Mapping[str, bytes]) -> str:
    """Links to the files of the package beside the page, by folder; the small records also within the page."""
    if not files:
        return ""
    out = []
    inside = [name for name in EMBEDDED if name in files]
    if inside:
        links = "".join(f"<li>{_embedded(words, name, files[name])}</li>" for name in inside)
        out.append(tag("h3", said(words("Carried by this page"))) + f'<ul class="files">{links}</ul>')
    out.append(tag("h3", said(words("Beside this page in the package"))))
    for folder, names in _folders(files):
        links = "".join(f"<li>{_beside(words, name, files[name])}</li>" for name in names)
        inner = f'<ul class="files">{links}</ul>'
        count = words("{count} files", count=len(names))
        state = " open" if len(names) <= _MANY else ""
        folded = f"<details{state}><summary>{said(folder)}/ ({said(count)})</summary>{inner}</details>"
        out.append(folded if folder else inner)
    return sheet(words, "files", "Files", "".join(out))


def _embedded(words: Words, name: str, content: bytes) -> str:
    kind = "application/json" if name.endswith(".json") else "text/plain"
    data = base64.b64encode(content).decode("ascii")
    link = tag("a", said(name), href=f"data:{kind};base64,{data}", download=name)
    return f"{link} {said(size_words(words, len(content)))}"


def _beside(words: Words, name: str, content: bytes) -> str:
    return f"{tag('a', said(name.rpartition('/')[2]), href=quote(name))} {said(size_words(words, len(content)))}"


def _folders(files: Mapping[str, bytes]) -> Iterator[tuple[str, list[str]]]:
    """Files at the top first, then each folder."""
    by_folder: dict[str, list[str]] = {}
    for name in sorted(files, key=_natural):
        by_folder.setdefault(name.rpartition("/")[0], []).append(name)
    yield from sorted(by_folder.items())


def _natural(name: str) -> tuple[tuple[int, str], ...]:
    """``A2`` before ``A10``."""
    parts: list[str] = [""]
    for letter in name:
        if letter.isdigit() != parts[-1].isdigit():
            parts.append("")
        parts[-1] += letter
    return tuple((int(part), "") if part.isdecimal() else (-1, part) for part in parts)


def cautions(words: Words, more: Sequence[str]) -> str:
    """What must be known before the filter is used or the mould is made, with where each comes from."""
    lines = [said(words(text)) for text in more]
    lines += [f'{said(words(c.text))} <span class="source">{said(c.source)}</span>' for c in CAUTIONS]
    return sheet(
        words, "cautions", "Cautions", tag("ul", "".join(f"<li>{line}</li>" for line in lines), class_="cautions")
    )
