"""``size``: the filter for a sand, a charge and a household, with the least concrete."""

from __future__ import annotations

import argparse
from pathlib import Path

from mouldgeom.cli.arguments import JSON_HELP, Command
from mouldgeom.cli.printing import print_json, progress
from mouldgeom.filter.asking import FIELDS, OLD_NAMES, TEXTS, read_input


def add(command: Command) -> None:
    """Say what it takes."""
    size = command(
        "size",
        "find the filter for your sand, charge and household with the least concrete",
        "mouldgeom size --sieve sand.csv --sand-column 450 --charge 12 --people 5 --out my-mould.toml",
    )
    size.add_argument("input", metavar="INPUT", nargs="?", default=None, help="TOML file with the same names as below")
    for name, meaning in TEXTS.items():
        size.add_argument(f"--{name}", metavar="FILE" if name != "title" else "TEXT", help=meaning)
    for field in FIELDS.values():
        unit = "" if field.unit == "-" else f" [{field.unit}]"
        size.add_argument(field.option, metavar="N", help=f"{field.meaning}{unit}".replace("%", "%%"))
    for old in OLD_NAMES:
        size.add_argument("--" + old.replace("_", "-"), help=argparse.SUPPRESS)
    size.add_argument("--out", metavar="FILE", help="write the specification, with its reasons, for make")
    size.add_argument("--force", action="store_true", help="overwrite an existing file")
    size.add_argument("--pictures", metavar="FOLDER", help="write grading curve, drain curve and section, SVG and PNG")
    size.add_argument("--table", metavar="FOLDER", help="write the table of sand columns and charges: CSV, SVG and PNG")
    size.add_argument("--json", action="store_true", help=JSON_HELP)
    size.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Size the filter, write the files that are asked for, and print the answer."""
    from mouldgeom.outputs.size_report import answer, document, lines

    path = None if options.input is None else Path(options.input)
    found = answer(read_input(path, {name: getattr(options, name) for name in (*FIELDS, *TEXTS, *OLD_NAMES)}))
    if options.out or options.pictures or options.table:
        from mouldgeom.outputs.size_files import picture_files, spec_bytes, table_files, write_all

        folders = {}
        if options.pictures:
            progress("making pictures")
            folders["--pictures"] = (Path(options.pictures), picture_files(found))
        if options.table:
            progress("sizing the table")
            folders["--table"] = (Path(options.table), table_files(found.asked.request))
        spec = (Path(options.out), spec_bytes(found)) if options.out else None
        write_all(spec, folders, force=options.force)
        progress("")
    if options.json:
        print_json(document(found))
        return 0
    print("\n".join(lines(found)))
    if options.out:
        print(f"\n{options.out} written. Now run: mouldgeom make {options.out} --out package")
    return 0
