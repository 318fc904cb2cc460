"""``asbuilt``: the wall that a finished mould will cast, from its measured dimensions."""

from __future__ import annotations

import argparse

import mouldgeom
from mouldgeom.cli.arguments import JSON_HELP, SPEC_HELP, Command, add_extensions
from mouldgeom.cli.printing import answered


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
    built = mouldgeom.as_built(options.spec, options.measured, extensions=options.extensions)
    if options.picture is not None:
        built.picture(options.picture)
    return answered(built, json=options.json)
