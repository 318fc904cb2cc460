"""Tables for a notebook: a piece of HTML that stands alone, whatever is in its cells.

>>> print(html_table(("Field", "Value"), [("kerf", "1.8 mm"), (Strong("bolt"), "<M12>")], caption="shop"))
<table><caption>shop</caption>
<thead><tr><th>Field</th><th>Value</th></tr></thead>
<tbody>
<tr><td>kerf</td><td>1.8 mm</td></tr>
<tr><td><strong>bolt</strong></td><td>&lt;M12&gt;</td></tr>
</tbody></table>
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape


class Strong(str):
    """Text that stands out in a table."""


def html_table(header: Sequence[str], rows: Iterable[Sequence[object]], *, caption: str = "") -> str:
    """A table as HTML, every text in it escaped.

    Args:
        header: names of the columns.
        rows: cells, written as ``str`` writes them.
        caption: what stands above it.
    """
    above = f"<caption>{escape(caption)}</caption>" if caption else ""
    head = "".join(f"<th>{escape(name)}</th>" for name in header)
    body = "".join(f"<tr>{''.join(f'<td>{_cell(cell)}</td>' for cell in row)}</tr>\n" for row in rows)
    return f"<table>{above}\n<thead><tr>{head}</tr></thead>\n<tbody>\n{body}</tbody></table>"


def _cell(cell: object) -> str:
    text = escape(str(cell))
    return f"<strong>{text}</strong>" if isinstance(cell, Strong) else text
