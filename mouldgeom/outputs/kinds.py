"""How each kind of file of a package is made."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from mouldgeom.outputs.job import Job, Kind, PackageFile
from mouldgeom.outputs.records import json_bytes, part_records
from mouldgeom.spec import spec_toml


def _spec_files(job: Job) -> Iterator[PackageFile]:
    yield PackageFile("spec.toml", Kind.SPEC, spec_toml(job.mould.dims.spec).encode("utf-8"))


def _parts_files(job: Job) -> Iterator[PackageFile]:
    yield PackageFile("parts.json", Kind.PARTS, json_bytes({"parts": part_records(job.mould)}))


def _filter_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.filter_files import filter_files

    for path, content in filter_files(job.mould.dims).items():
        yield PackageFile(path, Kind.FILTER, content)


def _nest_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.steel_files import nest_files

    for path, content in nest_files(job.mould, job.nests, job.changes, job.status, job.words):
        yield PackageFile(path, Kind.NESTS, content)


def _bar_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.steel_files import bar_files

    for path, content in bar_files(job.bars, job.status, job.words):
        yield PackageFile(path, Kind.BARS, content)


def _checks_files(job: Job) -> Iterator[PackageFile]:
    document = {"passed": all(result.passed for result in job.results), "results": [r.record() for r in job.results]}
    yield PackageFile("checks.json", Kind.CHECKS, json_bytes(document))


def _calculation_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.calculation import calculation_text

    text = calculation_text(job.mould, job.reviewed_chapters, job.words, job.status)
    yield PackageFile("calculation.md", Kind.CALCULATION, text.encode("utf-8"))


def _inspection_files(job: Job) -> Iterator[PackageFile]:
    """In the language of the papers; with the mark of UTF-8 where an office program needs it to read that right."""
    from mouldgeom.inspection.critical import critical
    from mouldgeom.inspection.measured import measured_csv, name_of

    text = measured_csv(critical(job.mould), mould=name_of(job.mould.dims.spec), words=job.words)
    yield PackageFile("measured.csv", Kind.INSPECTION, text.encode("utf-8" if text.isascii() else "utf-8-sig"))


def _flat_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.dxf import CutOptions, flat_dxf

    options = replace(CutOptions.from_spec(job.mould.dims.spec), moulds=job.moulds)
    for plate in job.mould.plates:
        yield PackageFile(f"flat/{plate.mark}.dxf", Kind.FLAT, flat_dxf(plate, options), plate.mark)


def _cutlist_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.cutlist import cutlist_csv
    from mouldgeom.outputs.spreadsheet import cutlist_xlsx

    yield PackageFile("cut-list.csv", Kind.CUTLIST, cutlist_csv(job.mould, job.moulds, job.status))
    yield PackageFile("cut-list.xlsx", Kind.CUTLIST, cutlist_xlsx(job.mould, job.moulds, job.status))
    from mouldgeom.outputs.work_record import work_record

    yield PackageFile("work.json", Kind.CUTLIST, json_bytes(work_record(job.mould)))


def _cost_files(job: Job) -> Iterator[PackageFile]:
    """Nothing, unless prices are given."""
    if job.cost is not None:
        from mouldgeom.outputs.cutlist import csv_bytes
        from mouldgeom.stock.cost import cost_record, cost_rows

        yield PackageFile("cost.json", Kind.COST, json_bytes(cost_record(job.cost)))
        yield PackageFile("cost.csv", Kind.COST, csv_bytes(cost_rows(job.cost)))


def _solid_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.colours import CONCRETE_COLOUR, GROUP_COLOURS
    from mouldgeom.outputs.step import StepPart, step_bytes

    solids = job.solids
    parts = [
        StepPart(
            part.mark, GROUP_COLOURS[part.group], solids.shapes[part.mark], tuple(p.matrix for p in part.placements)
        )
        for part in job.mould.parts
    ]
    yield PackageFile("solid/mould.step", Kind.SOLID, step_bytes(parts, "mould"))
    unmoved = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
    body = StepPart("concrete", CONCRETE_COLOUR, solids.upright_body, (unmoved,))
    yield PackageFile("solid/filter.step", Kind.SOLID, step_bytes([body], "filter"))


def _drawing_files(job: Job) -> Iterator[PackageFile]:
    printed = job.order_drawings().printed()
    job.pictures = printed.svg
    yield PackageFile("drawings.pdf", Kind.DRAWINGS, printed.pdf)
    for sheet, *forms in zip(job.sheets, printed.dxf, printed.svg, printed.png, strict=True):
        for ending, content in zip(("dxf", "svg", "png"), forms, strict=True):
            yield PackageFile(f"drawings/{sheet.number:02d}-{sheet.name}.{ending}", Kind.DRAWINGS, content)


def _template_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.papers.paper import PaperOptions
    from mouldgeom.outputs.papers.sheet_pdf import pdf_bytes
    from mouldgeom.outputs.papers.templates import template_sheets

    sheets = template_sheets(job.mould, job.words, PaperOptions.from_spec(job.mould.dims.spec, job.status))
    if sheets:
        title = job.words("Hole templates: {title}", title=job.mould.dims.spec.title)
        yield PackageFile("hole-templates.pdf", Kind.TEMPLATES, pdf_bytes(sheets, job.words, title))


def _build_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.papers.build.sheet import build_sheet_pdf

    yield PackageFile("build-sheet.pdf", Kind.BUILD, build_sheet_pdf(job, job.words))


def _report_files(job: Job) -> Iterator[PackageFile]:
    """The page links to what was made before it."""
    from mouldgeom.outputs.page import page_bytes
    from mouldgeom.outputs.papers.sheet_svg import svg_text
    from mouldgeom.strength.book import CAUTIONS

    pictures = [svg.decode("utf-8") for svg in job.pictures] or [svg_text(sheet) for sheet in job.sheets]
    page = page_bytes(
        job.solids,
        job.results,
        job.words,
        drawings=[(sheet.title, picture) for sheet, picture in zip(job.sheets, pictures, strict=True)],
        chapters=job.reviewed_chapters,
        cautions=CAUTIONS,
        files={file.path: file.content for file in job.made},
        moulds=job.moulds,
    )
    yield PackageFile("report.html", Kind.REPORT, page)


MAKERS: dict[Kind, Callable[[Job], Iterator[PackageFile]]] = {
    Kind.SPEC: _spec_files,
    Kind.FILTER: _filter_files,
    Kind.PARTS: _parts_files,
    Kind.FLAT: _flat_files,
    Kind.NESTS: _nest_files,
    Kind.BARS: _bar_files,
    Kind.CUTLIST: _cutlist_files,
    Kind.COST: _cost_files,
    Kind.CHECKS: _checks_files,
    Kind.CALCULATION: _calculation_files,
    Kind.INSPECTION: _inspection_files,
    Kind.SOLID: _solid_files,
    Kind.DRAWINGS: _drawing_files,
    Kind.TEMPLATES: _template_files,
    Kind.BUILD: _build_files,
    Kind.REPORT: _report_files,
}
"""How each kind of file is made."""


def make_files(job: Job, kinds: Sequence[Kind], progress: Callable[[str], None]) -> list[PackageFile]:
    """Make every file of these kinds, and the manifest last."""
    job.made = []
    job.checking = Kind.CHECKS in kinds or Kind.REPORT in kinds
    for kind in Kind:
        if kind in kinds:
            progress(kind)
            if kind is Kind.BUILD and Kind.DRAWINGS in kinds:
                job.order_drawings()  # they are set while the build sheet is made
            job.made += MAKERS[kind](job)
    return job.made
