"""``new``: a complete, commented specification to start from."""

from __future__ import annotations

import argparse
from pathlib import Path

from mouldgeom.cli.arguments import Command
from mouldgeom.errors import InputError
from mouldgeom.spec import BUILT_IN, EXAMPLES, load, spec_toml
from mouldgeom.spec.own_rows import EXAMPLE
from mouldgeom.writing import write_whole


def add(command: Command) -> None:
    """Say what it takes."""
    new = command(
        "new",
        "write a complete, commented specification to start from",
        "mouldgeom new my-mould.toml --like inch-example",
    )
    new.add_argument("file", metavar="FILE", nargs="?", default="mould.toml", help="file to write (default mould.toml)")
    new.add_argument("--like", metavar="NAME", default=BUILT_IN, help=f"example to copy: {', '.join(EXAMPLES)}")
    new.add_argument("--force", action="store_true", help="overwrite an existing file")
    new.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Write the file."""
    if options.like not in EXAMPLES:
        raise InputError("--like", repr(options.like), "no such example", f"Choose {', '.join(EXAMPLES)}.")
    spec = load(options.like)
    text = spec_toml(spec, comments=True, head=(f"Specification of a mould, started from {options.like}.", ""))
    text += f"\n{EXAMPLE}"
    path = Path(options.file)
    write_whole(path, text.encode("utf-8"), "FILE", over=options.force)
    print(f"{path} written. Change it, then run: mouldgeom check {path}")
    return 0
