"""Design of the welded sheet-steel mould in which a concrete household sand filter is cast.

What a person needs is here, and what they need to write parts and checks of their own in ``mouldgeom.extend``:

    load, parse, Spec       read a specification; change, compare and write it
    size                    the filter for a sand, a charge and a household
    build, Mould            design the mould: parts, masses, flat patterns, solids, checks, differences, the package
    as_built, read_list     the finished mould as measured; a cut list from anywhere

Inside, a module imports only what stands before it; only ``solids`` and what stands behind it load the kernel:

    units, errors          numbers with units, lengths as a workshop writes them; the error tree
    letters, reading       what a text may hold; files that a person gives
    writing                files written whole; ending in order
    words, rich, verdict   every word on paper, in the language asked for; tables for notebooks; value against limit
    identity               what each piece is, where it is, and the unit that it belongs to
    tables, rules          steel that can be bought and published values; one rule a function, with its source
    spec                   what a person chooses, read from a .toml file
    geometry               outlines and placements
    filter                 the filter that is wanted: sand, water, levels
    design                 from a specification to every dimension, worked out once
    model                  plates, bars, bolt rows and welds by group; the mould: punched, marked and placed
    fabrication, nesting   welds, steps, quantities, cost; plates on sheets and pieces of bars
    strength               the calculation: concrete pressure, bolts, extraction, handling, tolerances
    inspection             the finished mould as measured, and what to do about it
    solids, checks         solids by the kernel; what is measured on them, one file a kind
    drawing                what papers and pictures are drawn with
    outputs                files
    extend, front          the words of extensions; the objects that stand here
    cli                    commands

    >>> from mouldgeom import build, load
    >>> mould = build(load("hill-example"))
    >>> round(mould.dims.width), len(mould.parts)
    (364, 37)
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from mouldgeom.edition import VERSION

__version__ = VERSION

if TYPE_CHECKING:
    from mouldgeom.errors import (
        FolderError,
        GeometryError,
        InputError,
        KernelError,
        MeasurementError,
        MouldError,
        RenamedWarning,
        SpecError,
        UnknownDesignationError,
    )
    from mouldgeom.fabrication.objective import WholeCost
    from mouldgeom.filter.changes import NoFilterError
    from mouldgeom.front.checked import Checks
    from mouldgeom.front.compared import MouldDifferences
    from mouldgeom.front.lists import ReadList, read_list
    from mouldgeom.front.measuring import AsBuilt, as_built
    from mouldgeom.front.mould import DesignedMould as Mould
    from mouldgeom.front.mould import build
    from mouldgeom.front.packing import Package
    from mouldgeom.front.showing import Picture
    from mouldgeom.front.sized import QUESTIONS, Question, SizedFilter, size
    from mouldgeom.front.starting import new
    from mouldgeom.outputs.extension import Extension
    from mouldgeom.outputs.kinds import KINDS
    from mouldgeom.reading import check_given
    from mouldgeom.spec import BUILT_IN, EXAMPLES, Difference, Spec, load, parse
    from mouldgeom.verdict import Verdict
    from mouldgeom.writing import Stopped, stoppable

_HOMES = {
    "errors": (
        *("FolderError", "GeometryError", "InputError", "KernelError", "MeasurementError", "MouldError"),
        *("RenamedWarning", "SpecError", "UnknownDesignationError"),
    ),
    "fabrication.objective": ("WholeCost",),
    "filter.changes": ("NoFilterError",),
    "front.checked": ("Checks",),
    "front.compared": ("MouldDifferences",),
    "front.lists": ("ReadList", "read_list"),
    "front.measuring": ("AsBuilt", "as_built"),
    "front.mould": ("Mould", "build"),
    "front.packing": ("Package",),
    "front.showing": ("Picture",),
    "front.sized": ("QUESTIONS", "Question", "SizedFilter", "size"),
    "front.starting": ("new",),
    "outputs.extension": ("Extension",),
    "outputs.kinds": ("KINDS",),
    "spec": ("BUILT_IN", "EXAMPLES", "Difference", "Spec", "load", "parse"),
    "reading": ("check_given",),
    "verdict": ("Verdict",),
    "writing": ("Stopped", "stoppable"),
}
"""Where each public name is found, on first use: importing the package alone loads next to nothing."""
_HOME = {name: f"mouldgeom.{module}" for module, names in _HOMES.items() for name in names}
_INSIDE = {"Mould": "DesignedMould"}

__all__ = [
    "BUILT_IN",
    "EXAMPLES",
    "KINDS",
    "QUESTIONS",
    "AsBuilt",
    "Checks",
    "Difference",
    "Extension",
    "FolderError",
    "GeometryError",
    "InputError",
    "KernelError",
    "MeasurementError",
    "Mould",
    "MouldDifferences",
    "MouldError",
    "NoFilterError",
    "Package",
    "Picture",
    "Question",
    "ReadList",
    "RenamedWarning",
    "SizedFilter",
    "Spec",
    "SpecError",
    "Stopped",
    "UnknownDesignationError",
    "Verdict",
    "WholeCost",
    "__version__",
    "as_built",
    "build",
    "check_given",
    "load",
    "new",
    "parse",
    "read_list",
    "size",
    "stoppable",
]

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        if name not in _HOME:
            raise AttributeError(f"module 'mouldgeom' has no attribute {name!r}")
        found = getattr(import_module(_HOME[name]), _INSIDE.get(name, name))
        globals()[name] = found
        return found


def __dir__() -> list[str]:
    return __all__
