"""``readlist``: a cut list from anywhere: what disagrees in it, and what does not fit the stock."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from mouldgeom.cli.arguments import JSON_HELP, Command, whole_number
from mouldgeom.cli.printing import print_json
from mouldgeom.errors import InputError
from mouldgeom.reading import length_given

if TYPE_CHECKING:
    from mouldgeom.nesting.two_units import StockFit


def add(command: Command) -> None:
    """Say what it takes."""
    listed = command(
        "readlist",
        "read a cut list in mm and inches (CSV from anywhere): pairs that disagree, pieces that do not fit the stock",
        "mouldgeom readlist cut-list.csv --stock-length 1435 --kerf 2.2",
    )
    listed.add_argument("file", metavar="FILE", help="the list, CSV")
    listed.add_argument("--stock-length", metavar="L", help='length of a bar: mm, or text with a unit ("56 1/2 in")')
    listed.add_argument("--kerf", metavar="K", help="width of a saw cut (default 0)")
    listed.add_argument("--bars", metavar="N", type=whole_number, help="bars of each material (default 1)")
    listed.add_argument("--material", metavar="TEXT", help="only rows whose material has this text")
    for name in ("mm", "inch", "quantity"):
        listed.add_argument(f"--{name}", metavar="HEADER", help=f"header of the column: {name}")
    listed.add_argument("--json", action="store_true", help=JSON_HELP)
    listed.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Read the list and print what was found."""
    from mouldgeom.nesting.two_units import Columns, list_record, list_text, load_list, stock_fits

    for name in ("kerf", "bars", "material"):
        if options.stock_length is None and getattr(options, name) is not None:
            limit = "it serves to see what comes out of a bar, and no bar is given"
            raise InputError(f"--{name}", str(getattr(options, name)), limit, "Add --stock-length L, or leave it out.")
    kerf = length_given("--kerf", options.kerf or "0", 0.0)
    bars = 1 if options.bars is None else options.bars
    if bars < 1:
        raise InputError("--bars", str(bars), "at least one bar is needed", "Give 1 or more.")
    length = None
    if options.stock_length is not None:
        length = length_given("--stock-length", options.stock_length, 1.0)
    rows = load_list(options.file, Columns(options.mm, options.inch, options.quantity))
    fits: tuple[StockFit, ...] = ()
    if length is not None:
        fits = stock_fits(rows, length, kerf, bars, options.material)
    record = list_record(rows, fits)
    if options.json:
        print_json(record)
    else:
        print(list_text(rows, fits))
    return 0 if record["agree"] and record["fit"] else 1
