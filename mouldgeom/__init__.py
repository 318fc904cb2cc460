"""Design of the welded sheet-steel mould in which a concrete household sand filter is cast.

    units, errors          numbers with units, lengths as a workshop writes them; the error tree
    letters, reading       what a text may hold; files that a person gives
    writing                files written whole; ending in order
    words, verdict         every word on paper, in the language asked for; value against limit
    rich                   tables for a notebook
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
    outputs, cli           files and commands

A module imports only what stands before it.  Only ``solids`` and what stands behind it load the kernel.

    >>> from mouldgeom import build, load
    >>> mould = build(load("hill-example"))
    >>> round(mould.dims.width), len(mould.plates)
    (364, 18)
"""

from __future__ import annotations

from mouldgeom.design.dimensions import Dimensions, derive
from mouldgeom.errors import InputError, KernelError, MouldError, SpecError
from mouldgeom.model.assembly import Mould, build
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
