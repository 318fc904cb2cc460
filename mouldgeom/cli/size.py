"""``size``: the filter for a sand, a charge and a household, with the least concrete."""

from __future__ import annotations

import argparse

import mouldgeom
from mouldgeom.cli.arguments import JSON_HELP, Command
from mouldgeom.cli.printing import answered, progress


def add(command: Command) -> None:
    """Say what it takes."""
    size = command(
        "size",
        "find the filter for your sand, charge and household with the least concrete",
        "mouldgeom size --sieve sand.csv --sand-column 450 --charge 12 --people 5 --out my-mould.toml",
    )
    size.add_argument("input", metavar="INPUT", nargs="?", default=None, help="TOML file with the same names as below")
    for asked in mouldgeom.QUESTIONS:
        option = "--" + asked.name.replace("_", "-")
        if not asked.takes:
            size.add_argument(option, help=argparse.SUPPRESS)
            continue
        unit = "" if asked.unit == "-" else f" [{asked.unit}]"
        metavar = {"number": "N", "file": "FILE", "text": "TEXT"}[asked.takes]
        size.add_argument(option, metavar=metavar, help=f"{asked.meaning}{unit}".replace("%", "%%"))
    size.add_argument("--out", metavar="FILE", help="write the specification, with its reasons, for make")
    size.add_argument("--force", action="store_true", help="overwrite an existing file")
    size.add_argument("--pictures", metavar="FOLDER", help="write grading curve, drain curve and section, SVG and PNG")
    size.add_argument("--table", metavar="FOLDER", help="write the table of sand columns and charges: CSV, SVG and PNG")
    size.add_argument("--json", action="store_true", help=JSON_HELP)
    size.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Size the filter, write the files that are asked for, and print the answer."""
    asked = {question.name: getattr(options, question.name) for question in mouldgeom.QUESTIONS}
    found = mouldgeom.size(options.input, asked)
    if options.out or options.pictures or options.table:
        progress("making the files")
        found.write(options.out, pictures=options.pictures, table=options.table, over=options.force)
    status = answered(found, json=options.json)
    if options.out and not options.json:
        print(f"\n{options.out} written. Now run: mouldgeom make {options.out} --out package")
    return status
