"""Tables in HTML for whoever shows an object in a notebook: fragments that need nothing else, everything escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape


def html_table(header: Sequence[str], rows: Iterable[Sequence[object]], *, caption: str = "") -> str:
    """A table as a fragment of HTML."""
    head = "".join(f"<th>{escape(cell)}</th>" for cell in header)
    body = "".join(f"<tr>{''.join(f'<td>{escape(str(cell))}</td>' for cell in row)}</tr>" for row in rows)
    named = f"<caption>{escape(caption)}</caption>" if caption else ""
    return f"<table>{named}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
