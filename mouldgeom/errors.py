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

from collections.abc import Sequence
from typing import Any


class Copied:
    """An exception that can be copied, and sent to another process, whatever it is made from."""

    args: tuple[Any, ...]

    def __reduce__(self) -> tuple[Any, ...]:
        return _again, (type(self), *self.args), dict(vars(self))


def _again(kind: type[BaseException], *args: object) -> BaseException:
    """One without a call of its ``__init__``; an error of files lets nobody but ``OSError`` make it."""
    error = (OSError if issubclass(kind, OSError) else kind).__new__(kind)
    error.args = args
    return error


class RenamedWarning(Copied, FutureWarning):
    """Names from an earlier edition were read as those that took their place: one warning a file.

    Args:
        changes: what was taken over, each such as ``"water.pause is now called water.rest"``.
        head: what stands before them in the message.

    >>> print(RenamedWarning(["rest is now called pause", "floor is now called base"]))
    rest is now called pause; floor is now called base
    """

    def __init__(self, changes: Sequence[str], head: str = "") -> None:
        self.changes = tuple(changes)
        super().__init__(head + "; ".join(self.changes))


class MouldError(Copied, Exception):
    """Base of all errors raised on purpose.

    >>> from mouldgeom import load
    >>> try:
    ...     load("no-such-file.toml")
    ... except MouldError as error:
    ...     print(type(error).__name__, error.value)
    FolderError 'no-such-file.toml'
    """


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

    >>> print(InputError("filter.floor", "3 mm", "allowed is 40 mm to 150 mm", "Choose a greater one."))
    filter.floor = 3 mm: allowed is 40 mm to 150 mm. Choose a greater one.
    """

    def __init__(self, name: str, value: str, limit: str, remedy: str) -> None:
        self.name, self.value, self.limit, self.remedy = _cut(name), _cut(value), limit, remedy
        super().__init__(f"{self.name} = {self.value}: {limit}. {remedy}")


class SpecError(InputError):
    """Fields of a specification that are wrong, or two that disagree.

    Of several, ``name``, ``value``, ``limit`` and ``remedy`` are those of the first; the message tells of all.

    >>> from mouldgeom.spec import Spec
    >>> try:
    ...     Spec(tube={"bore": 40}, water={"rest": 0})
    ... except SpecError as error:
    ...     print(error.name, [one.value for one in error.errors], error.errors[1].limit, sep="; ")
    water.rest; ['0 h', '40 mm']; allowed is 3 mm to 22 mm
    """

    _several: tuple[SpecError, ...] = ()

    @property
    def errors(self) -> tuple[SpecError, ...]:
        """One error for each field that is wrong; itself if that is one."""
        return self._several or (self,)

    @staticmethod
    def together(faults: Sequence[SpecError]) -> SpecError:
        """One error that tells of all these; if there is one, that."""
        first = faults[0]
        if len(faults) == 1:
            return first
        error = SpecError(first.name, first.value, first.limit, first.remedy)
        error._several = tuple(one for fault in faults for one in fault.errors)
        told = " ".join(f"{number}) {one}" for number, one in enumerate(error._several, 1))
        error.args = (f"{len(error._several)} fields are wrong: {told}",)
        return error


class UnknownDesignationError(InputError, LookupError):
    """A designation that no table has.

    >>> from mouldgeom import tables
    >>> try:
    ...     tables.bolt("M999")
    ... except LookupError as error:
    ...     print(type(error).__name__, error.value)
    UnknownDesignationError 'M999'
    """


class MeasurementError(InputError):
    """A file of measured values cannot be used."""


class FolderError(InputError, OSError):
    """A file or folder cannot be read or written.

    >>> issubclass(FolderError, OSError) and issubclass(FolderError, InputError)
    True
    """

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

    >>> print(KernelError("A1", "3 mm x 20 mm", "no face"))
    solid of A1 (3 mm x 20 mm) cannot be made: the kernel said no face
    """

    def __init__(self, mark: str, dimensions: str, cause: str) -> None:
        self.mark, self.dimensions, self.cause = mark, dimensions, cause
        super().__init__(f"solid of {mark} ({dimensions}) cannot be made: the kernel said {cause}")
