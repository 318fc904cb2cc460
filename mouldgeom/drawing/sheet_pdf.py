"""Sheets as one PDF: a page each, its lettering as searchable text in the packaged font, a bookmark for each sheet;
and the same pages as pictures.

The typesetter gets a fixed template; everything that is drawn or written is passed to it as data.  Fonts of the machine
are not looked at and no date is written, so that the same sheets give the same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Final

from mouldgeom.drawing import lettering
from mouldgeom.drawing.primitives import Sheet
from mouldgeom.drawing.sheet_svg import svg_words
from mouldgeom.letters import FAMILY
from mouldgeom.words import Words

_TEMPLATE: Final = """\
#let data = json(bytes(sys.inputs.data))
#set document(title: data.title, date: none)
#set text(lang: data.language, font: data.font)
#show heading: it => none
#for sheet in data.sheets {
  page(width: sheet.width * 1mm, height: sheet.height * 1mm, margin: 0mm, {
    place(top + left, heading(level: 1, bookmarked: true, outlined: true, sheet.name))
    image(bytes(sheet.svg), format: "svg", width: 100%, height: 100%, alt: sheet.name)
  })
}
"""


def pdf_bytes(sheets: Sequence[Sheet], words: Words, title: str = "") -> bytes:
    """All sheets in one file, in their order.

    Args:
        sheets: at least one.
        words: of the language of the sheets.
        title: of the document; that of the first sheet if empty.
    """
    import typst

    made = typst.compile(
        _TEMPLATE.encode(),
        format="pdf",
        font_paths=lettering.for_typesetter(),
        ignore_system_fonts=True,
        sys_inputs={"data": _data(sheets, words, title)},
    )
    return made


def png_pages(sheets: Sequence[Sheet], words: Words, dpi: int = 100) -> list[bytes]:
    """A picture of each sheet, as ``pdf_bytes`` sets it: several times faster than one by one."""
    import typst

    made = typst.compile(
        _TEMPLATE.encode(),
        format="png",
        ppi=float(dpi),
        font_paths=lettering.for_typesetter(),
        ignore_system_fonts=True,
        sys_inputs={"data": _data(sheets, words, "")},
    )
    return list(made) if isinstance(made, list) else [made]


def _data(sheets: Sequence[Sheet], words: Words, title: str) -> str:
    """What the template sets, as JSON."""
    return json.dumps(
        {
            "title": title or sheets[0].title,
            "language": words.language,
            "font": FAMILY,
            "sheets": [
                {
                    "name": f"{sheet.number} {sheet.title}" if sheet.number else sheet.title,
                    "width": sheet.width,
                    "height": sheet.height,
                    "svg": svg_words(sheet),
                }
                for sheet in sheets
            ],
        }
    )
