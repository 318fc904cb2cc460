"""Installs extensions as an installer does, without one: a package, and its entry points in its metadata."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Mapping
from pathlib import Path

from conftest import ROOT

from mouldgeom.outputs.extension import GROUP

YARD = ROOT / "tests" / "extensions"
NAMES = ("rack-hooks", "bent-handles", "cart-check")


def describe(site: Path, name: str, version: str, points: Mapping[str, str]) -> None:
    """Write the metadata of a package with these entry points."""
    info = site / f"{name.replace('-', '_')}-{version}.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n", "utf-8")
    lines = "".join(f"{point} = {target}\n" for point, target in points.items())
    (info / "entry_points.txt").write_text(f"[{GROUP}]\n{lines}", "utf-8")


def install_yard(site: Path) -> Path:
    """Put the package of ``tests/extensions`` into a folder."""
    project = tomllib.loads((YARD / "pyproject.toml").read_text("utf-8"))["project"]
    shutil.copytree(YARD / "drying_yard", site / "drying_yard", ignore=shutil.ignore_patterns("__pycache__"))
    describe(site, project["name"], project["version"], project["entry-points"][GROUP])
    return site
