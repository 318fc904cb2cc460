"""Small pieces of HTML: every text escaped, tables that scroll by themselves, numbers as the language has them."""

from __future__ import annotations

import base64
import gzip
import json
import math
from collections.abc import Iterable, Sequence
from html import escape

from mouldgeom.units import AnyUnit, decimals
from mouldgeom.words import Words

Cell = str
"""Finished HTML of one cell of a table."""


def tag(name: str, inner: str, **attributes: str) -> str:
    """An element around finished HTML; ``class_`` stands for ``class``, ``data_mark`` for ``data-mark``."""
    written = "".join(f' {key.strip("_").replace("_", "-")}="{escape(value)}"' for key, value in attributes.items())
    return f"<{name}{written}>{inner}</{name}>"


def said(text: str) -> str:
    """A text as HTML."""
    return escape(text, quote=False)


def table(label: str, head: Sequence[str], rows: Iterable[Sequence[Cell]], **attributes: str) -> str:
    """A table in a box that scrolls sideways, by keyboard too; heads that begin with ``#`` stand over numbers."""
    numeric = [title.startswith("#") for title in head]
    first = "".join(
        tag("th", said(title.removeprefix("#")), scope="col", **({"class_": "n"} if number else {}))
        for title, number in zip(head, numeric, strict=True)
    )
    lines = []
    for row in rows:
        cells = (
            f'<td class="n">{cell}</td>' if number else f"<td>{cell}</td>"
            for cell, number in zip(row, numeric, strict=True)
        )
        lines.append("<tr>" + "".join(cells) + "</tr>")
    body = f"<thead><tr>{first}</tr></thead><tbody>{''.join(lines)}</tbody>"
    inner = tag("table", tag("caption", said(label)) + body, **attributes)
    return tag("div", inner, class_="scroll", tabindex="0", role="region", aria_label=label)


def figures(words: Words, value: AnyUnit, unit: str = "-", more: int = 0) -> str:
    """A number to four figures and ``more`` with its unit, ``-`` left out."""
    if math.isnan(value):
        shown = words("no number")
    elif math.isinf(value):
        shown = words("without limit")
    else:
        shown = words.number(value, decimals(value) + more)
    return shown if unit == "-" else f"{shown} {words(unit)}"


def size_words(words: Words, count: int) -> str:
    """Bytes in words: ``"12 kB"``."""
    if count < 1000:
        return f"{words.number(count)} B"
    return f"{words.number(count / 1000)} kB" if count < 1_000_000 else f"{words.number(count / 1_000_000, 1)} MB"


def packed(content: bytes) -> str:
    """Bytes as text of a script element: compressed without name or time, and in base 64."""
    return base64.b64encode(gzip.compress(content, 6, mtime=0)).decode("ascii")


def data_script(name: str, document: object) -> str:
    """A document as JSON in an element that no browser runs."""
    text = json.dumps(document, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return f'<script type="application/json" id="{name}">{text.replace("<", chr(92) + "u003c")}</script>'
