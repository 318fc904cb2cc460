"""Reads a file that a person names: never more of it than is wanted, and a clear refusal where it cannot be read."""

from __future__ import annotations

from pathlib import Path

from mouldgeom.errors import FolderError


def read_up_to(largest: int, source: str | Path, name: str, remedy: str) -> bytes:
    """Read a file, but of a larger one only a byte more than ``largest``, so that the caller sees that it is too large.

    Args:
        largest: bytes that are wanted at most.
        source: the file.
        name: what the person gave it as, such as ``"--stock"``; ``remedy``: what to do if it cannot be read.

    Raises:
        FolderError: it cannot be read.
    """
    try:
        with Path(source).open("rb") as file:
            return file.read(largest + 1)
    except (OSError, ValueError) as error:
        cause = getattr(error, "strerror", None) or str(error)
        raise FolderError(name, repr(str(source)), f"the file cannot be read ({cause})", remedy) from error
