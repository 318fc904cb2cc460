"""A specification to start from."""

from __future__ import annotations

from pathlib import Path

from mouldgeom.errors import InputError
from mouldgeom.reading import path_given
from mouldgeom.spec import BUILT_IN, EXAMPLES, load, spec_toml
from mouldgeom.spec.own_rows import EXAMPLE
from mouldgeom.writing import write_whole


def new(path: str | Path = "mould.toml", like: str = BUILT_IN, *, over: bool = False) -> Path:
    """Write a complete, commented specification to start from.

    >>> import tempfile
    >>> from mouldgeom import load, new
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     load(new(f"{folder}/mine.toml", "inch-example")) == load("inch-example")
    True

    Args:
        path: of the file.
        like: name of the example to copy.
        over: whether a file that is there may be replaced.

    Raises:
        InputError: there is no such example.
        FolderError: a file is there already, or it cannot be written.
    """
    if like not in EXAMPLES:
        raise InputError("--like", repr(like), "no such example", f"Choose {', '.join(EXAMPLES)}.")
    head = (f"Specification of a mould, started from {like}.", "")
    file = path_given("FILE", path)
    text = f"{spec_toml(load(like), comments=True, head=head)}\n{EXAMPLE}"
    write_whole(file, text.encode(), "FILE", over=over)
    return file
