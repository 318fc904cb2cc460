"""The report page: one HTML file that needs nothing else, to look at, to turn the mould on, to print and to send."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from mouldgeom.edition import VERSION
from mouldgeom.fabrication.objective import WholeCost
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.page import lettering, library, sections
from mouldgeom.outputs.page.document import document
from mouldgeom.outputs.page.html import data_script, said, tag
from mouldgeom.outputs.page.model import model, page_data
from mouldgeom.outputs.page.scene import page_scene
from mouldgeom.solids import SolidMould
from mouldgeom.strength.steps import Chapter
from mouldgeom.verdict import Verdict
from mouldgeom.words import Words

_CONTENTS: Final = (
    ("summary", "Summary"),
    ("model", "3-D model"),
    ("checks", "Checks"),
    ("parts", "Parts"),
    ("cut-list", "Cut list"),
    ("calculation", "Calculation"),
    ("drawings", "Drawings"),
    ("files", "Files"),
    ("cautions", "Cautions"),
)


def page_bytes(
    solids: SolidMould,
    results: Sequence[Verdict],
    words: Words,
    *,
    drawings: Sequence[tuple[str, str]] = (),
    chapters: Sequence[Chapter] = (),
    cautions: Sequence[str] = (),
    files: Mapping[str, bytes] | None = None,
    moulds: int = 1,
    objective: WholeCost | None = None,
) -> bytes:
    """Make the page; the same input gives the same bytes.

    Args:
        solids: of the mould.
        results: of its checks; empty if none were run.
        words: language and units of the page.
        drawings: title and SVG of each sheet.
        chapters: of the calculation.
        cautions: said besides those of the filter.
        files: of the package that the page lies in, by their path from the page; linked, small records carried too.
        moulds: how many the cut list is for.
        objective: cost of one mould and of its use; not told if ``None``.

    Raises:
        MouldError: the 3-D library is missing.
    """
    mould, scene = solids.mould, page_scene(solids)
    mass = solids.body.Volume() * mould.dims.spec.concrete.density * 1e-9
    parts = (
        sections.summary(words, mould, results, mass, objective),
        model(words, solids, scene),
        sections.checks(words, results) if results else "",
        sections.parts(words, mould),
        sections.cut_list(words, mould, moulds),
        sections.calculation(words, chapters),
        sections.drawings(words, drawings),
        sections.downloads(words, files or {}),
        sections.cautions(words, cautions),
    )
    title = mould.dims.spec.title
    shown = "".join(
        f'<a href="#{name}">{said(words(text))}</a>'
        for (name, text), part in zip(_CONTENTS, parts, strict=True)
        if part
    )
    plain = words("Without scripts the model and the drawings are not shown; everything else is.")
    body = [
        f'<a class="skip" href="#summary">{said(words("Skip to the summary"))}</a>',
        tag("header", tag("h1", said(title)) + tag("p", said(words("Report of a mould for a household sand filter")))),
        ""
        if words.checked
        else tag("p", said(words("Draft translation, to be checked by a speaker.")), class_="draft"),
        f"<noscript><p>{said(plain)}</p></noscript>",
        tag("nav", shown, aria_label=words("Contents")),
        tag("main", "\n".join(parts)),
        _footer(words, mould),
        data_script("page-data", page_data(words, mould, scene)),
    ]
    return document(words.language, title, "\n".join(body)).encode("utf-8")


def _footer(words: Words, mould: Mould) -> str:
    licence = tag("details", tag("summary", said(words("Licences"))) + "".join(
        tag("p", said(text)) for text in (library.LICENCE + ".", library.LICENCE_TEXT, lettering.LICENCE + ".")
    ))  # fmt: skip
    made = words(
        "Made by mouldgeom {version}; specification {digest}.", version=VERSION, digest=mould.dims.spec.digest[:16]
    )
    if mould.extensions:
        made += " " + words("Made with extensions: {names}.", names=", ".join(map(str, mould.extensions)))
    return tag("footer", tag("p", said(made)) + licence)
