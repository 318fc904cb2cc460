"""``readlist``: a cut list from anywhere: what disagrees in it, and what does not fit the stock."""

from __future__ import annotations

import argparse

import mouldgeom
from mouldgeom.cli.arguments import JSON_HELP, Command, whole_number
from mouldgeom.cli.printing import answered


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
    found = mouldgeom.read_list(
        options.file,
        mm=options.mm,
        inch=options.inch,
        quantity=options.quantity,
        stock_length=options.stock_length,
        kerf=options.kerf,
        bars=options.bars,
        material=options.material,
    )
    return answered(found, json=options.json)
