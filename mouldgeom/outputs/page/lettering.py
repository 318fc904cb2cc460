"""The page's letters: two weights of a font from the registry, cut down to the characters that are used."""

from __future__ import annotations

import base64
import io
from pathlib import Path
from typing import Final

_WEIGHTS: Final = ((400, "SourceSansPro-Regular.ttf"), (600, "SourceSansPro-Semibold.ttf"))
_UNREAD: Final = ("GSUB", "GPOS", "GDEF", "BASE", "DSIG")
"""Kerning and the like: they take longer to read than all the rest; the figures are equally wide without them."""
LICENCE: Final = "Source Sans Pro, copyright 2010-2018 Adobe, SIL Open Font License 1.1"


def font_faces(text: str) -> str:
    """Style rules that carry the font for every character of a text; what the font lacks is left to the browser."""
    import font_source_sans_pro
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    folder = Path(font_source_sans_pro.__file__).parent / "files"
    rules = []
    for weight, name in _WEIGHTS:
        options = Options(hinting=False, layout_features=[], notdef_outline=True)
        font = TTFont(folder / name, recalcTimestamp=False)
        for unread in _UNREAD:
            del font[unread]
        cut = Subsetter(options)
        cut.populate(unicodes=sorted({ord(c) for c in text} | set(range(0x20, 0x7F))))
        cut.subset(font)
        font.flavor = "woff"
        file = io.BytesIO()
        font.save(file)
        data = base64.b64encode(file.getvalue()).decode("ascii")
        rules.append(
            f'@font-face{{font-family:"Page";font-weight:{weight};font-display:swap;'
            f'src:url(data:font/woff;base64,{data}) format("woff")}}'
        )
    return "\n".join(rules)
