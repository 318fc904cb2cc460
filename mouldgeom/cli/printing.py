"""What the commands print alike: answers, and how far the work is."""

from __future__ import annotations

import sys
from typing import Protocol


class Printable(Protocol):
    """What can be printed in words or as JSON, and passes or fails."""

    @property
    def passed(self) -> bool:
        """Whether everything that was judged holds."""

    def text(self) -> str:
        """In words."""

    def json(self) -> str:
        """As a JSON document."""


def answered(answer: Printable, *, json: bool) -> int:
    """Print an answer; return the exit status."""
    progress("")
    if json:
        sys.stdout.write(answer.json())
    else:
        print(answer.text())
    return 0 if answer.passed else 1


def progress(text: str) -> None:
    """Say what is being done, on a terminal only; nothing more when it is done."""
    if sys.stderr.isatty():
        print(f"\r\x1b[K{text} ..." if text else "\r\x1b[K", end="", file=sys.stderr, flush=True)
