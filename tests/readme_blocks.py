"""The README as text, and its fenced blocks."""

from __future__ import annotations

import re

from conftest import ROOT

README = (ROOT / "README.md").read_text("utf-8")


def blocks(kind: str) -> list[str]:
    """What stands in the fenced blocks of a kind, in their order."""
    return re.findall(rf"```{kind}\n(.*?)```", README, re.DOTALL)
