"""What a person hands to the package from Python, turned into what is meant, or refused in the package's own words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from mouldgeom.errors import InputError
from mouldgeom.spec import Spec, load

if TYPE_CHECKING:
    from mouldgeom.outputs.extension import Extension

Source = Spec | str | Path
"""A specification, a file with one, or the name of an example."""


def spec_given(source: Source) -> Spec:
    """The specification that is meant.

    Raises:
        SpecError: as ``load``.
    """
    return source if isinstance(source, Spec) else load(source)


def extensions_given(extensions: Sequence[Extension | str]) -> tuple[Extension, ...]:
    """Extensions as such or by the name of an installed one, in the order given.

    Raises:
        InputError: something else, none of that name is installed, or two do not go together.
    """
    from mouldgeom.outputs.extension import installed, together

    if isinstance(extensions, str) or not isinstance(extensions, Sequence):
        raise InputError("extensions", repr(extensions), "no list of extensions", "Put it in a list: [extension].")
    found: list[Extension] = []
    for given in extensions:
        found += installed([given]) if isinstance(given, str) else [given]
    return together(found)


def functions_given(what: str, functions: Sequence[object]) -> None:
    """Refuse what cannot be called.

    Args:
        what: each of them is, such as ``"check"``.
        functions: from a person.

    Raises:
        InputError: one of them is no function.
    """
    if not isinstance(functions, Sequence):
        raise InputError(f"{what}s", type(functions).__name__, f"no list of {what}s", "Put it in a list.")
    for one in functions:
        if not callable(one):
            raise InputError(what, repr(one)[:60], "no function", f"Hand in the {what} itself, a function.")


def names_given(given: object) -> dict[str, object]:
    """Values by name.

    Raises:
        InputError: something else.
    """
    if not isinstance(given, Mapping) or not all(isinstance(name, str) for name in given):
        raise InputError("asked", repr(given)[:60], "no values by their names", 'Write {"sand_column": 500}.')
    return dict(given)
