"""``check``: every check, the worst first."""

from __future__ import annotations

import argparse

import mouldgeom
from mouldgeom.cli.arguments import JSON_HELP, SPEC_HELP, Command, add_extensions
from mouldgeom.cli.printing import answered, progress


def add(command: Command) -> None:
    """Say what it takes."""
    check = command("check", "run every check and print the results, worst first", "mouldgeom check my-mould.toml")
    check.add_argument("spec", metavar="SPEC", nargs="?", default=mouldgeom.BUILT_IN, help=SPEC_HELP)
    add_extensions(check)
    check.add_argument("--json", action="store_true", help=JSON_HELP)
    check.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Run the checks and print them."""
    mould = mouldgeom.build(options.spec, extensions=options.extensions)
    progress("building solids and running the checks")
    return answered(mould.check(), json=options.json)
