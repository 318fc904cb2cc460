"""What stands on every paper about the design: whether the checks hold, or that they were not run."""

from __future__ import annotations

from enum import StrEnum


class Status(StrEnum):
    """The verdict on a design, in English: a key of the catalogue."""

    HOLDS = "holds"
    FAILS = "FAILS, not for construction"
    UNCHECKED = "not checked"
