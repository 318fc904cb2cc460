"""The specification: its fields, reading and writing."""

from mouldgeom.spec.group import Difference, limits_of, unit_of
from mouldgeom.spec.own_rows import OwnRows
from mouldgeom.spec.specification import (
    BUILT_IN,
    EXAMPLES,
    SCHEMA,
    Spec,
    groups,
    load,
    note_renamed,
    parse,
    spec_toml,
    take_over,
    unchecked,
)

__all__ = [
    "BUILT_IN",
    "EXAMPLES",
    "SCHEMA",
    "Difference",
    "OwnRows",
    "Spec",
    "groups",
    "limits_of",
    "load",
    "note_renamed",
    "parse",
    "spec_toml",
    "take_over",
    "unchecked",
    "unit_of",
]
