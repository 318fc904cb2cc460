"""A cut list from anywhere: what disagrees in it, and what does not fit the stock."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from mouldgeom.errors import InputError
from mouldgeom.front.answers import Answer
from mouldgeom.nesting.two_units import Columns, ListRow, StockFit, list_record, list_text, load_list, stock_fits
from mouldgeom.reading import length_given, path_given
from mouldgeom.rich import html_table
from mouldgeom.units import Mm, plain


class ReadList(Answer):
    """A cut list in two units, as it was read; it passes if every pair agrees and all pieces fit.

    It is made by ``read_list``.

    >>> ReadList((), ())
    <ReadList: 0 rows, agree>
    """

    def __init__(self, rows: tuple[ListRow, ...], fits: tuple[StockFit, ...]) -> None:
        self.rows, self.fits = rows, fits

    @property
    def passed(self) -> bool:
        """Whether every pair of millimetres and inches agrees, and all pieces come out of the stock."""
        record = self.record()
        return bool(record["agree"] and record["fit"])

    def text(self) -> str:
        """Pairs that disagree, and pieces that do not fit."""
        return list_text(self.rows, self.fits)

    def record(self) -> dict[str, Any]:
        """As ``readlist --json`` prints it."""
        return list_record(self.rows, self.fits)

    def __repr__(self) -> str:
        return f"<ReadList: {len(self.rows)} rows, {'agree' if self.passed else 'something is wrong'}>"

    def _repr_html_(self) -> str:
        lengths = ((row.label, row.quantity, "" if row.length is None else plain(row.length)) for row in self.rows)
        return html_table(("piece", "number", "mm"), lengths, caption=self.text())


def read_list(
    path: str | Path,
    *,
    mm: str | None = None,
    inch: str | None = None,
    quantity: str | None = None,
    stock_length: Mm | str | None = None,
    kerf: Mm | str | None = None,
    bars: int | None = None,
    material: str | None = None,
) -> ReadList:
    """Read a cut list in millimetres and inches, CSV from anywhere.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = Path(folder, "list.csv")
    ...     _ = path.write_text("piece,mm,inch\\nleg,254,10\\nbeam,700,26\\n")
    ...     read_list(path)
    <ReadList: 2 rows, something is wrong>

    Args:
        path: of the list.
        mm, inch, quantity: headers of these columns, where they are not found by themselves.
        stock_length: of a bar, mm or text with a unit: whether all pieces come out of it.
        kerf: of a saw cut, mm or text with a unit.
        bars: so many of each material, 1 if ``None``.
        material: only rows whose material has this text.

    Raises:
        InputError: the list cannot be read, or a value is out of range.
    """
    for name, given in (("kerf", kerf), ("bars", bars), ("material", material)):
        if stock_length is None and given is not None:
            limit = "it serves to see what comes out of a bar, and no bar is given"
            raise InputError(f"--{name}", str(given), limit, "Add --stock-length L, or leave it out.")
    cut = length_given("--kerf", str(kerf or "0"), 0.0)
    number = 1 if bars is None else bars
    if isinstance(number, bool) or not isinstance(number, int) or number < 1:
        raise InputError("--bars", repr(number)[:60], "at least one bar is needed", "Give 1 or more.")
    length = None if stock_length is None else length_given("--stock-length", str(stock_length), 1.0)
    rows = load_list(path_given("FILE", path), Columns(mm, inch, quantity))
    return ReadList(rows, stock_fits(rows, length, cut, number, material) if length is not None else ())
