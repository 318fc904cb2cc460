"""What the commands share where they say what they take."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import Final

from mouldgeom import BUILT_IN, EXAMPLES

EXIT: Final = "exit status: 0 all checks hold, 1 a check fails, 2 bad input or unusable folder (nothing written)"
SPEC_HELP: Final = f"specification file, or {', '.join(EXAMPLES)} (default {BUILT_IN})"
JSON_HELP: Final = "print one JSON document instead"

_WITH_HELP: Final = "use an extension that is installed, with its parts, checks and files; may be given again"

Command = Callable[[str, str, str], argparse.ArgumentParser]
"""Makes the parser of a command from its name, what it does, and an example."""


def add_extensions(parser: argparse.ArgumentParser) -> None:
    """Let a command take extensions."""
    parser.add_argument("--with", dest="extensions", metavar="NAME", action="append", default=[], help=_WITH_HELP)


def whole_number(text: str) -> int:
    """A count as it is typed.

    Raises:
        ArgumentTypeError: it has a sign, a point or a letter, or too many digits.
    """
    if not (text.isdecimal() and text.isascii() and len(text) < 10):
        raise argparse.ArgumentTypeError(f"{text!r} is no whole number")
    return int(text)
