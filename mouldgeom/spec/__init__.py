"""The specification: its fields, reading and writing."""

from mouldgeom.spec.own_rows import OwnRows
from mouldgeom.spec.specification import (
    BUILT_IN,
    EXAMPLES,
    SCHEMA,
    Spec,
    groups,
    limits_of,
    load,
    note_renamed,
    parse,
    spec_toml,
    take_over,
    unit_of,
)

__all__ = [
    "BUILT_IN",
    "EXAMPLES",
    "SCHEMA",
    "OwnRows",
    "Spec",
    "groups",
    "limits_of",
    "load",
    "note_renamed",
    "parse",
    "spec_toml",
    "take_over",
    "unit_of",
]
