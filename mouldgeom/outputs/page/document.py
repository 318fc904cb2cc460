"""A file with a 3-D model that needs nothing else: its head, its style, its scripts and the policy that holds them."""

from __future__ import annotations

import base64
import hashlib
import importlib.resources
import re
from collections.abc import Sequence
from typing import Final

from mouldgeom.outputs.page import lettering, library
from mouldgeom.outputs.page.html import said

FILES: Final = importlib.resources.files("mouldgeom.outputs.page")
"""Where its styles and scripts lie."""


def document(language: str, title: str, body: str, more_style: str = "") -> str:
    """The whole file around a body with a stage; its policy lets it load nothing and run only its own scripts."""
    own = [(FILES / name).read_text("utf-8") for name in ("page.js", "look.js", "viewer.js")]
    scripts = _scripts(library.three_script(), own)
    hashes = " ".join(f"'sha256-{_digest(script)}'" for script in scripts)
    policy = (
        f"default-src 'none'; script-src {hashes}; style-src 'unsafe-inline'; img-src data:; font-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    style = (FILES / "page.css").read_text("utf-8")
    letters = re.sub(r"<script.*?</script>|data:[^\"]*", "", body, flags=re.DOTALL)
    head = (
        f'<meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{said(title)}</title><style>\n{lettering.font_faces(letters)}\n{style}{more_style}</style>"
    )
    run = "".join(f"<script>{script}</script>\n" for script in scripts)
    return f'<!DOCTYPE html>\n<html lang="{language}"><head>{head}</head>\n<body>\n{body}\n{run}</body></html>\n'


def _digest(script: str) -> str:
    return base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")


def _scripts(library: str, own: Sequence[str]) -> list[str]:
    """Scripts in the order in which they run; none may end its element early."""
    for script in (library, *own):
        assert "</script" not in script.lower()
    return [own[0], library, *own[1:]]
