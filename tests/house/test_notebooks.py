"""Every notebook runs from its first cell to its last, and prints and draws something in each cell that should."""

from __future__ import annotations

from pathlib import Path

import nbformat
import pytest
from conftest import ROOT
from nbclient import NotebookClient

pytestmark = pytest.mark.slow

FOLDER = ROOT / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))


def test_there_is_a_notebook() -> None:
    assert NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_notebook_runs(path: Path) -> None:
    notebook = nbformat.read(path, as_version=4)
    NotebookClient(notebook, timeout=120, kernel_name="python3").execute()
    outputs = [output for cell in notebook.cells if cell.cell_type == "code" for output in cell.outputs]
    assert sum("image/png" in output.get("data", {}) for output in outputs) >= 2
    assert any("as before: " in output.get("text", "") for output in outputs)
