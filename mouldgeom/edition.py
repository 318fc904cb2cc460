"""Which program this is, and which edition of it."""

from __future__ import annotations

from typing import Final

PROGRAM: Final = "mouldgeom"
VERSION: Final = "0.1.0"
