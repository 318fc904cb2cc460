"""The report page: one HTML file that needs nothing else, to look at, to turn the mould on, to print and to send."""

from __future__ import annotations

import base64
import hashlib
import importlib.resources
import re
from collections.abc import Mapping, Sequence
from typing import Final

import mouldgeom
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.page import lettering, library, sections
from mouldgeom.outputs.page.html import data_script, said, tag
from mouldgeom.outputs.page.model import model, page_data, scripts_of
from mouldgeom.outputs.page.scene import page_scene
from mouldgeom.solids import SolidMould
from mouldgeom.strength.steps import Chapter
from mouldgeom.verdict import Verdict
from mouldgeom.words import Words

_FILES: Final = importlib.resources.files("mouldgeom.outputs.page")
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

    Raises:
        MouldError: the 3-D library is missing.
    """
    mould, scene = solids.mould, page_scene(solids)
    mass = solids.body.Volume() * mould.dims.spec.concrete.density * 1e-9
    parts = (
        sections.summary(words, mould, results, mass),
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
    return _document(words.language, title, "\n".join(body))


def _footer(words: Words, mould: Mould) -> str:
    licence = tag("details", tag("summary", said(words("Licences"))) + "".join(
        tag("p", said(text)) for text in (library.LICENCE + ".", library.LICENCE_TEXT, lettering.LICENCE + ".")
    ))  # fmt: skip
    made = words(
        "Made by mouldgeom {version}; specification {digest}.",
        version=mouldgeom.__version__,
        digest=mould.dims.spec.digest[:16],
    )
    if mould.extensions:
        made += " " + words("Made with extensions: {names}.", names=", ".join(map(str, mould.extensions)))
    return tag("footer", tag("p", said(made)) + licence)


def _document(language: str, title: str, body: str) -> bytes:
    """The whole file; its policy lets it load nothing and run only its own scripts."""
    own = [(_FILES / name).read_text("utf-8") for name in ("page.js", "look.js", "viewer.js")]
    scripts = scripts_of(library.three_script(), own)
    hashes = " ".join(f"'sha256-{_digest(script)}'" for script in scripts)
    policy = (
        f"default-src 'none'; script-src {hashes}; style-src 'unsafe-inline'; img-src data:; font-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    style = (_FILES / "page.css").read_text("utf-8")
    letters = re.sub(r"<script.*?</script>|data:[^\"]*", "", body, flags=re.DOTALL)
    head = (
        f'<meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{said(title)}</title><style>\n{lettering.font_faces(letters)}\n{style}</style>"
    )
    run = "".join(f"<script>{script}</script>\n" for script in scripts)
    page = f'<!DOCTYPE html>\n<html lang="{language}"><head>{head}</head>\n<body>\n{body}\n{run}</body></html>\n'
    return page.encode("utf-8")


def _digest(script: str) -> str:
    return base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
