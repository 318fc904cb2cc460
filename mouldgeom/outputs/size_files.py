"""Files that ``mouldgeom size`` writes: specification, pictures and the trainer's table."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final

from mouldgeom.drawing.figure import Figure
from mouldgeom.errors import FolderError
from mouldgeom.outputs.charts import drain_figure, grading_figure
from mouldgeom.outputs.filter_section import section_figure
from mouldgeom.outputs.size_report import SizingAnswer, spec_text
from mouldgeom.words import Said, Words
from mouldgeom.writing import write_whole

if TYPE_CHECKING:
    from mouldgeom.filter.candidates import Request


_ELSEWHERE: Final = "Choose another place."


def figures(found: SizingAnswer) -> dict[str, Figure]:
    """Grading curve (where sand was sieved), drain curve and section, by file name."""
    from mouldgeom.design.dimensions import derive

    wanted, words = found.spec.filter, Words(found.spec.papers.language)
    title = Said("{sand_column:p1} mm of sand, {charge:p1} l", sand_column=wanted.sand_column, charge=wanted.charge)
    drawn = {
        "drain-curve": drain_figure(found.sizing.working.drain_curve, title, words),
        "section": section_figure(derive(found.spec)),
    }
    if found.asked.grading is not None:
        drawn["grading-curve"] = grading_figure(found.asked.grading, language=words)
    return drawn


def picture_files(found: SizingAnswer) -> dict[str, bytes]:
    """The figures as SVG and PNG."""
    return _both(figures(found))


def table_files(request: Request) -> dict[str, bytes]:
    """The trainer's table as CSV, SVG and PNG."""
    from mouldgeom.outputs.size_table import size_table, table_csv, table_figure

    cells = size_table(request)
    return {"size-table.csv": table_csv(cells).encode()} | _both({"size-table": table_figure(cells, request)})


def _both(drawn: Mapping[str, Figure]) -> dict[str, bytes]:
    files = {f"{name}.svg": figure.svg().encode() for name, figure in drawn.items()}
    return files | {f"{name}.png": figure.png() for name, figure in drawn.items()}


def write_all(
    spec: tuple[Path, bytes] | None, folders: Mapping[str, tuple[Path, Mapping[str, bytes]]], *, force: bool
) -> int:
    """Write a specification and folders of files, by option; every place is looked at before the first is written.

    Returns:
        The number of files.

    Raises:
        FolderError: a place cannot be written to, or a file that is none of this command's own is in the way.
    """
    if spec is not None:
        _look("--out", *spec, force=force)
    for option, (folder, _) in folders.items():
        near = folder
        while not os.path.lexists(near) and near != near.parent:
            near = near.parent
        if not os.path.isdir(near) or not os.access(near, os.W_OK | os.X_OK):
            raise FolderError(option, repr(str(folder)), "it is no folder that can be written to", _ELSEWHERE)
    files = [("--out", *spec)] if spec is not None else []
    files += [(o, folder / name, content) for o, (folder, made) in folders.items() for name, content in made.items()]
    for option, path, content in files:
        _write(option, path, content)
    return len(files)


def spec_bytes(found: SizingAnswer) -> bytes:
    """The specification as written."""
    return spec_text(found).encode()


def _look(option: str, path: Path, content: bytes, *, force: bool) -> None:
    try:
        if path.is_dir():
            raise FolderError(option, repr(str(path)), "a folder is in the way", _ELSEWHERE)
        parent = path.absolute().parent
        if not parent.is_dir() or not os.access(parent, os.W_OK | os.X_OK):
            raise FolderError(option, repr(str(path)), "its folder is not there or cannot be written to", _ELSEWHERE)
        if path.exists() and not force:
            with path.open("rb") as file:
                if file.read(len(content) + 1) != content:
                    limit = "it is there already and holds something else"
                    raise FolderError(option, repr(str(path)), limit, "Choose another name, or add --force.")
    except FolderError:
        raise
    except (OSError, ValueError) as error:
        raise _refused(option, path, error) from error


def _write(option: str, path: Path, content: bytes) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise _refused(option, path, error) from error
    write_whole(path, content, option)


def _refused(option: str, path: Path, error: Exception) -> FolderError:
    cause = getattr(error, "strerror", None) or str(error)
    return FolderError(option, repr(str(path)), f"it cannot be written ({cause})", _ELSEWHERE)
