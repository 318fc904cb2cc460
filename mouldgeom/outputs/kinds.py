"""The kinds of file in a package: each with its name, what it holds, and the maker of its files.

A maker's parameters are what it needs: attributes of a ``Job`` by their names, or ``others``, the files of the other
kinds asked for.  It sees nothing else, so that a kind made alone has the bytes that it has in a package.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from inspect import signature
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from mouldgeom.drawing.press import Printed
    from mouldgeom.drawing.primitives import Sheet
    from mouldgeom.drawing.status import Status
    from mouldgeom.fabrication.cost import Cost
    from mouldgeom.fabrication.objective import WholeCost
    from mouldgeom.model.assembly import Mould
    from mouldgeom.nesting.bars import BarPlan
    from mouldgeom.nesting.layout import Nest
    from mouldgeom.solids import SolidMould
    from mouldgeom.strength.steps import Chapter
    from mouldgeom.verdict import Verdict
    from mouldgeom.words import Words

OTHERS: Final = "others"
"""The need of a kind that links to the files of the other kinds asked for."""


class File(NamedTuple):
    """What a maker gives: the path inside the package, the bytes, and the mark of the part if it is of one."""

    path: str
    content: bytes
    mark: str | None = None


@dataclass(frozen=True)
class Kind:
    """A kind of file: its name, what it holds in a few words, and the maker of its files."""

    name: str
    meaning: str
    maker: Callable[..., Iterable[File]]

    def __str__(self) -> str:
        return self.name

    @cached_property
    def needs(self) -> tuple[str, ...]:
        """What it is made from: the parameters of its maker."""
        return tuple(signature(self.maker).parameters)


@dataclass(frozen=True)
class PackageFile:
    """One file of a package: its path inside the folder, kind, part mark if it has one, and bytes."""

    path: str
    kind: Kind
    content: bytes
    mark: str | None = None


def _json(path: str, document: Mapping[str, object]) -> File:
    from mouldgeom.outputs.records import json_bytes

    return File(path, json_bytes(document))


def _spec(mould: Mould) -> Iterator[File]:
    from mouldgeom.spec import spec_toml

    yield File("spec.toml", spec_toml(mould.dims.spec).encode("utf-8"))


def _filter(mould: Mould) -> Iterator[File]:
    from mouldgeom.outputs.filter_files import filter_files

    for path, content in filter_files(mould.dims).items():
        yield File(path, content)


def _parts(mould: Mould) -> Iterator[File]:
    from mouldgeom.outputs.records import part_records

    yield _json("parts.json", {"parts": part_records(mould)})


def _flat(mould: Mould, moulds: int) -> Iterator[File]:
    from mouldgeom.outputs.dxf import CutOptions, flat_dxf

    options = replace(CutOptions.from_spec(mould.dims.spec), moulds=moulds)
    for plate in mould.plates:
        yield File(f"flat/{plate.mark}.dxf", flat_dxf(plate, options), plate.mark)


def _nests(
    mould: Mould, nests: tuple[Nest, ...], changes: tuple[str, ...], status: Status, words: Words
) -> Iterator[File]:
    from mouldgeom.outputs.steel_files import nest_files

    for path, content in nest_files(mould, nests, changes, status, words):
        yield File(path, content)


def _bars(bars: tuple[BarPlan, ...], status: Status, words: Words) -> Iterator[File]:
    from mouldgeom.outputs.steel_files import bar_files

    for path, content in bar_files(bars, status, words):
        yield File(path, content)


def _cutlist(mould: Mould, moulds: int, status: Status) -> Iterator[File]:
    from mouldgeom.outputs.cutlist import cutlist_csv
    from mouldgeom.outputs.spreadsheet import cutlist_xlsx
    from mouldgeom.outputs.work_record import work_record

    yield File("cut-list.csv", cutlist_csv(mould, moulds, status))
    yield File("cut-list.xlsx", cutlist_xlsx(mould, moulds, status))
    yield _json("work.json", work_record(mould))


def _cost(cost: Cost | None, objective: WholeCost) -> Iterator[File]:
    """Nothing, unless prices are given."""
    from mouldgeom.fabrication.cost import cost_record, cost_rows
    from mouldgeom.outputs.cutlist import csv_bytes

    if cost is not None:
        yield _json("cost.json", {**cost_record(cost), "over_its_life": objective.record()})
        yield File("cost.csv", csv_bytes(cost_rows(cost)))


def _checks(results: tuple[Verdict, ...]) -> Iterator[File]:
    passed = all(result.holds for result in results)
    yield _json("checks.json", {"passed": passed, "results": [result.record() for result in results]})


def _calculation(mould: Mould, reviewed_chapters: tuple[Chapter, ...], words: Words, status: Status) -> Iterator[File]:
    from mouldgeom.outputs.calculation import calculation_text

    yield File("calculation.md", calculation_text(mould, reviewed_chapters, words, status).encode("utf-8"))


def _inspection(mould: Mould, words: Words) -> Iterator[File]:
    """In the language of the papers; with the mark of UTF-8 where an office program needs it to read that right."""
    from mouldgeom.inspection.critical import critical
    from mouldgeom.inspection.measured import measured_csv, name_of

    text = measured_csv(critical(mould), mould=name_of(mould), words=words)
    yield File("measured.csv", text.encode("utf-8" if text.isascii() else "utf-8-sig"))


def _solid(solids: SolidMould) -> Iterator[File]:
    """The mould and all that is cast in it in the casting frame; the concrete alone as the filter will stand."""
    from mouldgeom.drawing.colours import CONCRETE_COLOUR
    from mouldgeom.outputs.casting import CASTING, CONCRETE, UNMOVED, cast_parts, mould_parts
    from mouldgeom.outputs.step import StepPart, step_bytes

    mould = mould_parts(solids)
    yield File("solid/mould.step", step_bytes(mould, "mould"))
    yield File("solid/casting.step", step_bytes((*mould, *cast_parts(solids)), CASTING))
    body = StepPart(CONCRETE, CONCRETE_COLOUR, solids.upright_body, (UNMOVED,))
    yield File("solid/filter.step", step_bytes([body], "filter"))


def _templates(mould: Mould, words: Words, status: Status) -> Iterator[File]:
    from mouldgeom.drawing.paper import PaperOptions
    from mouldgeom.drawing.sheet_pdf import pdf_bytes
    from mouldgeom.outputs.papers.templates import template_sheets

    sheets = template_sheets(mould, words, PaperOptions.of(mould, status))
    if sheets:
        title = words("Hole templates: {title}", title=mould.dims.spec.title)
        yield File("hole-templates.pdf", pdf_bytes(sheets, words, title))


class _Built(NamedTuple):
    """What a build sheet is about."""

    mould: Mould
    solids: SolidMould
    status: Status
    moulds: int
    cut: bool


def _build(mould: Mould, solids: SolidMould, status: Status, moulds: int, cut: bool, words: Words) -> Iterator[File]:
    from mouldgeom.outputs.papers.build.sheet import build_sheet_pdf

    yield File("build-sheet.pdf", build_sheet_pdf(_Built(mould, solids, status, moulds, cut), words))


def _drawings(sheets: tuple[Sheet, ...], printed: Printed) -> Iterator[File]:
    yield File("drawings.pdf", printed.pdf)
    for sheet, *forms in zip(sheets, printed.dxf, printed.svg, printed.png, strict=True):
        for ending, content in zip(("dxf", "svg", "png"), forms, strict=True):
            yield File(f"drawings/{sheet.number:02d}-{sheet.name}.{ending}", content)


def _report(
    solids: SolidMould,
    results: tuple[Verdict, ...],
    words: Words,
    sheets: tuple[Sheet, ...],
    pictures: tuple[str, ...],
    reviewed_chapters: tuple[Chapter, ...],
    moulds: int,
    objective: WholeCost,
    others: Sequence[PackageFile],
) -> Iterator[File]:
    from mouldgeom.outputs.page.page import page_bytes
    from mouldgeom.strength.book import CAUTIONS

    page = page_bytes(
        solids,
        results,
        words,
        drawings=[(sheet.title, picture) for sheet, picture in zip(sheets, pictures, strict=True)],
        chapters=reviewed_chapters,
        cautions=CAUTIONS,
        files={file.path: file.content for file in others},
        moulds=moulds,
        objective=objective,
    )
    yield File("report.html", page)


SPEC: Final = Kind("spec", "the specification", _spec)
FILTER: Final = Kind("filter", "levels and water of the filter", _filter)
PARTS: Final = Kind("parts", "every part as a record", _parts)
FLAT: Final = Kind("flat", "cut file of each plate", _flat)
NESTS: Final = Kind("nests", "plates laid on sheets", _nests)
BARS: Final = Kind("bars", "bar cutting plan", _bars)
CUTLIST: Final = Kind("cutlist", "cut list and work", _cutlist)
COST: Final = Kind("cost", "cost, with --prices", _cost)
CHECKS: Final = Kind("checks", "results of the checks", _checks)
CALCULATION: Final = Kind("calculation", "the calculation", _calculation)
INSPECTION: Final = Kind("inspection", "form for measuring", _inspection)
SOLID: Final = Kind("solid", "solids as STEP", _solid)
TEMPLATES: Final = Kind("templates", "hole templates", _templates)
BUILD: Final = Kind("build", "build sheet", _build)
DRAWINGS: Final = Kind("drawings", "drawing set", _drawings)
REPORT: Final = Kind("report", "report page", _report)

KINDS: Final = (
    *(SPEC, FILTER, PARTS, FLAT, NESTS, BARS, CUTLIST, COST),
    *(CHECKS, CALCULATION, INSPECTION, SOLID, TEMPLATES, BUILD, DRAWINGS, REPORT),
)
"""Every kind, in the order of a package."""
