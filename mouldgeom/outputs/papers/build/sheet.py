"""The build sheet as one PDF: A4 or letter, searchable, with bookmarks, page numbers, and the same bytes each time.

Everything that is written goes to the typesetter as data; its template is a file of the package.
"""

from __future__ import annotations

import importlib.resources
import json
from typing import Final

from mouldgeom.drawing import lettering
from mouldgeom.drawing.status import Status
from mouldgeom.fabrication.stages import build_steps
from mouldgeom.letters import FAMILY
from mouldgeom.outputs.papers.build.assembly import assembly
from mouldgeom.outputs.papers.build.blocks import BuildChapter, record
from mouldgeom.outputs.papers.build.casting import casting, dry_fit, release
from mouldgeom.outputs.papers.build.cutting import cutting
from mouldgeom.outputs.papers.build.desk import BuildDesk, BuildJob
from mouldgeom.outputs.papers.build.forms import forms
from mouldgeom.outputs.papers.build.material import material
from mouldgeom.outputs.papers.build.purpose import purpose
from mouldgeom.outputs.papers.build.turning import extraction, keeping
from mouldgeom.outputs.papers.build.views import Views
from mouldgeom.words import Words

_TEMPLATE: Final = importlib.resources.files("mouldgeom.outputs.papers.build") / "build_sheet.typ"


def chapters(job: BuildJob, words: Words) -> tuple[BuildChapter, ...]:
    """All pages of the build sheet, in the order of the work; makes the solids on first use."""
    desk = BuildDesk(job, words)
    views = Views(desk)
    return (
        purpose(desk, views),
        material(desk),
        cutting(desk),
        assembly(desk, build_steps(job.mould)),
        release(desk),
        dry_fit(desk),
        casting(desk, views),
        extraction(desk, views),
        keeping(desk),
        forms(desk),
    )


def build_sheet_pdf(job: BuildJob, words: Words) -> bytes:
    """The build sheet of a mould, in the language and units of ``words``.

    A4 upright, or letter where the drawings are letter or tabloid.
    """
    import typst

    spec = job.mould.dims.spec
    data = {
        "title": words("Build sheet: {title}", title=spec.title),
        "language": words.language,
        "font": FAMILY,
        "paper": "letter" if spec.papers.paper in ("letter", "tabloid") else "a4",
        "page": words("page {page} of {pages}"),
        "status": words("Status: {status}", status=words(str(job.status))),
        "band": words(str(job.status)) if job.status is Status.FAILS else "",
        "draft": "" if words.checked else words("Draft translation, to be checked by a speaker."),
        "chapters": record(chapters(job, words)),
    }
    made = typst.compile(
        _TEMPLATE.read_bytes(),
        format="pdf",
        font_paths=lettering.for_typesetter(),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data)},
    )
    return bytes(made)
