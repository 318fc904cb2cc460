"""Every notebook runs from its first cell to its last, draws, and stays short."""

from __future__ import annotations

import shutil
from pathlib import Path

import nbformat
import pytest
from conftest import ROOT
from nbclient import NotebookClient

pytestmark = pytest.mark.slow

FOLDER = ROOT / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))


def test_there_are_four_notebooks() -> None:
    assert len(NOTEBOOKS) == 4


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_notebook_runs(path: Path, tmp_path: Path) -> None:
    notebook = nbformat.read(path, as_version=4)
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    lines = [line for cell in code for line in cell.source.splitlines() if line.strip()]
    assert len(lines) < 20, f"{len(lines)} lines of code"
    assert not any(cell.get("outputs") for cell in code), "outputs are not kept in the repository"
    shutil.copy(path, tmp_path)
    NotebookClient(
        notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(tmp_path)}}
    ).execute()
    outputs = [output for cell in code for output in cell.outputs]
    assert not any(output.get("name") == "stderr" for output in outputs), "a warning stands in the notebook"
    pictures = [output for output in outputs if {"image/png", "image/svg+xml"} & {*output.get("data", {})}]
    drawn = [output for output in outputs if "<svg" in output.get("data", {}).get("text/html", "")]
    assert len(pictures) >= 2
    assert len(pictures) + len(drawn) >= 2
    for output in outputs:
        html = output.get("data", {}).get("text/html", "")
        assert 'src="http' not in html
        assert 'href="http' not in html
