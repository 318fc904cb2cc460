"""``new``: a complete, commented specification to start from."""

from __future__ import annotations

import argparse

import mouldgeom
from mouldgeom.cli.arguments import Command


def add(command: Command) -> None:
    """Say what it takes."""
    new = command(
        "new",
        "write a complete, commented specification to start from",
        "mouldgeom new my-mould.toml --like inch-example",
    )
    new.add_argument("file", metavar="FILE", nargs="?", default="mould.toml", help="file to write (default mould.toml)")
    new.add_argument(
        "--like", metavar="NAME", default=mouldgeom.BUILT_IN, help=f"example to copy: {', '.join(mouldgeom.EXAMPLES)}"
    )
    new.add_argument("--force", action="store_true", help="overwrite an existing file")
    new.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Write the file."""
    path = mouldgeom.new(options.file, options.like, over=options.force)
    print(f"{path} written. Change it, then run: mouldgeom check {path}")
    return 0
