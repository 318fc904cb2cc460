"""Design of the welded sheet-steel mould in which a concrete household sand filter is cast.

    units, errors          numbers with units, lengths as a workshop writes them; the error tree
    letters, reading       what a text may hold; files that a person gives
    writing                files written whole; ending in order
    tables, rules          steel that can be bought and published values; one rule a function, with its source
    words                  every word on paper, in the language asked for
    plates, mechanics      pressed plates, quickly; pressure, screws, lifting and beams
    choices, spec          what a person chooses, read from a .toml file
    filter                 the filter that is wanted: sand, water, levels
    spacing, dimensions    every derived length, worked out once
    shapes, parts          plates, bars and bolt rows as plain descriptions, by group
    equality, assembly     the mould: parts punched, marked and placed
    sections, solids       solids of parts and concrete; only here does the kernel make shapes
    stock                  steel that is there: nests, bars, substitutes, welds, cost
    strength               the calculation: concrete pressure, bolts, extraction, handling, tolerances
    inspection             the finished mould as measured, and what to do about it
    checks                 measured on the solids, one file a kind
    outputs, cli           files and commands

A module imports only what stands before it.  Only ``solids``, ``checks`` and ``outputs`` load the kernel.

    >>> from mouldgeom import build, load
    >>> mould = build(load("hill-example"))
    >>> round(mould.dims.width), len(mould.plates)
    (364, 18)
"""

from __future__ import annotations

from mouldgeom.assembly import Mould, build
from mouldgeom.dimensions import Dimensions, derive
from mouldgeom.errors import InputError, KernelError, MouldError, SpecError
from mouldgeom.spec import EXAMPLES, Spec, load, parse

__version__ = "0.1.0"

__all__ = [
    "EXAMPLES",
    "Dimensions",
    "InputError",
    "KernelError",
    "Mould",
    "MouldError",
    "Spec",
    "SpecError",
    "__version__",
    "build",
    "derive",
    "load",
    "parse",
]
