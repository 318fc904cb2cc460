"""``asbuilt``: the wall that a finished mould will cast, from its measured dimensions."""

from __future__ import annotations

import argparse
from pathlib import Path

from mouldgeom.cli.arguments import JSON_HELP, SPEC_HELP, Command, add_extensions
from mouldgeom.cli.printing import print_json


def add(command: Command) -> None:
    """Say what it takes."""
    built = command(
        "asbuilt",
        "tell what wall a finished mould will cast, from its measured dimensions",
        "mouldgeom make my-mould.toml --out mould, fill in mould/measured.csv, "
        "then: mouldgeom asbuilt my-mould.toml mould/measured.csv",
    )
    built.add_argument("spec", metavar="SPEC", nargs="?", default=None, help=SPEC_HELP)
    built.add_argument("measured", metavar="MEASURED.csv", help="measured.csv of the package, filled in")
    built.add_argument(
        "--picture", metavar="FILE", help="picture of the four walls as they will be cast: FILE.svg or FILE.png"
    )
    add_extensions(built)
    built.add_argument("--json", action="store_true", help=JSON_HELP)
    built.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Read the measured dimensions, draw the picture that is asked for, and print the walls."""
    from mouldgeom.inspection.asbuilt import load_built
    from mouldgeom.outputs.asbuilt_report import built_record, built_text
    from mouldgeom.outputs.extension import installed

    built = load_built(options.spec, options.measured, installed(options.extensions))
    if options.picture is not None:
        from mouldgeom.outputs.asbuilt_picture import write_picture

        write_picture(Path(options.picture), built)
    if options.json:
        print_json(built_record(built))
    else:
        print(built_text(built))
    return 0 if all(result.holds for result in built.results) else 1
