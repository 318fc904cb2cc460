"""Everything that this package raises on purpose.

::

    MouldError
    ├── InputError (ValueError)        what a person gave cannot be used: exit status 2
    │   ├── SpecError                  a field of a specification: wrong type, range, or two fields that disagree
    │   ├── NoFilterError              no filter fits the limits (in ``filter.changes``)
    │   ├── UnknownDesignationError (LookupError)   a sheet, section or fastener that no table has
    │   ├── MeasurementError           a file of measured values (sieve analysis, list in both units) cannot be used
    │   └── FolderError (OSError)      a file or folder cannot be read or written
    ├── TableError (ValueError)        a table in data/ has a fault
    ├── GeometryError (ArithmeticError)   a derived shape cannot be made
    └── KernelError (RuntimeError)     the solid kernel failed; carries the part's mark and dimensions

    RenamedWarning (FutureWarning)     names from an earlier edition were read as their newer ones

A design that fails a check is no error: it is reported.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager


class RenamedWarning(FutureWarning):
    """Names from an earlier edition were read as those that took their place: one warning a file.

    Args:
        changes: what was taken over, each such as ``"water.pause is now called water.rest"``.
        head: what stands before them in the message.
    """

    def __init__(self, changes: Sequence[str], head: str = "") -> None:
        self.changes = tuple(changes)
        super().__init__(head + "; ".join(self.changes))


class MouldError(Exception):
    """Base of all errors raised on purpose."""


def _cut(text: str) -> str:
    """Leave the middle out of what is too long for a message, such as a path of thousands of characters."""
    return text if len(text) <= 160 else f"{text[:75]} ... {text[-75:]}"


class InputError(MouldError, ValueError):
    """What a person gave cannot be used.

    Args:
        name: what was given, as the person wrote it (``filter.least_wall``).
        value: the value with its unit.
        limit: what would be allowed.
        remedy: what to do about it.
    """

    def __init__(self, name: str, value: str, limit: str, remedy: str) -> None:
        self.name, self.value, self.limit, self.remedy = _cut(name), _cut(value), limit, remedy
        super().__init__(f"{self.name} = {self.value}: {limit}. {remedy}")


class SpecError(InputError):
    """A field of a specification, or two that disagree."""


class UnknownDesignationError(InputError, LookupError):
    """A designation that no table has."""


class MeasurementError(InputError):
    """A file of measured values cannot be used."""


class FolderError(InputError, OSError):
    """A file or folder cannot be read or written."""

    def __init__(self, name: str, value: str, limit: str, remedy: str) -> None:
        InputError.__init__(self, name, value, limit, remedy)

    def __str__(self) -> str:
        return f"{self.name} = {self.value}: {self.limit}. {self.remedy}"


class TableError(MouldError, ValueError):
    """A table in ``data/`` has a fault: an unknown or missing column, or a value that is no number."""


class GeometryError(MouldError, ArithmeticError):
    """A derived shape cannot be made from these dimensions."""


class KernelError(MouldError, RuntimeError):
    """The solid kernel failed.

    Args:
        mark: the part's mark or name.
        dimensions: the part's dimensions in words.
        cause: what the kernel said.
    """

    def __init__(self, mark: str, dimensions: str, cause: str) -> None:
        self.mark, self.dimensions, self.cause = mark, dimensions, cause
        super().__init__(f"solid of {mark} ({dimensions}) cannot be made: the kernel said {cause}")


@contextmanager
def blamed(whose: str) -> Iterator[None]:
    """While the code of somebody else runs: whatever it raises is an error of what was given, and names whose it is.

    Args:
        whose: code it is, such as ``"extension rack-hooks"``.

    Raises:
        InputError: with what it said.
    """
    try:
        yield
    except InputError as error:
        if error.name == whose:
            raise
        raise InputError(whose, f"{error.name} = {error.value}", error.limit, error.remedy) from error
    except (Exception, SystemExit) as error:
        said = f"{type(error).__name__}: {error}".removesuffix(": ")
        raise InputError(whose, said, "its code stopped there", "Leave it out, or tell those who made it.") from error
