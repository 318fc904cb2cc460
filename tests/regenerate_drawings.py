"""Write ``drawings/`` anew: ``python tests/regenerate_drawings.py``.  Look at every picture before committing it."""

from __future__ import annotations

from pathlib import Path

from mouldgeom import load
from mouldgeom.drawing.picture import PictureKind, mould_picture, write_png
from mouldgeom.model.assembly import build
from mouldgeom.outputs.dxf import CutOptions, flat_dxf
from mouldgeom.outputs.job import Job, make_files
from mouldgeom.outputs.kinds import BUILD, CHECKS, DRAWINGS
from mouldgeom.outputs.steel_files import nest_files

EXAMPLE = "hill-example"
FOLDER = Path(__file__).parent.parent / "drawings"


def main() -> None:
    """Write the flat patterns, the pictures and the papers of the built-in example."""
    mould = build(load(EXAMPLE))
    options = CutOptions.from_spec(mould.dims.spec)
    flat = FOLDER / "flat"
    flat.mkdir(parents=True, exist_ok=True)
    for old in flat.glob("*.dxf"):
        old.unlink()
    for plate in mould.plates:
        (flat / f"{plate.mark}.dxf").write_bytes(flat_dxf(plate, options))
    job = Job(mould, kinds=(CHECKS, BUILD, DRAWINGS))
    made = make_files(job, print)
    for path, content in nest_files(mould, job.nests, (), job.status, job.words):
        if path == "nests/3-mm-sheet-1.svg":
            (FOLDER / f"{EXAMPLE}-nest.svg").write_bytes(content)
    for view in PictureKind:
        write_png(FOLDER / f"{EXAMPLE}-{view}.png", mould_picture(job.solids, view))
    for file in made:
        if file.path.endswith(".pdf") or (file.path.startswith("drawings/01-") and file.path.endswith(".png")):
            name = "general.png" if file.path.endswith(".png") else file.path
            (FOLDER / f"{EXAMPLE}-{name}").write_bytes(file.content)


if __name__ == "__main__":
    main()
