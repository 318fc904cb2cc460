"""The commands: one file each, which parses what is given, calls the library and prints what it found."""

from mouldgeom.cli.program import main

__all__ = ["main"]
