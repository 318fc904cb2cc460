"""``drawings/`` is gallery, deliverable and regression test at once: what it holds is what the program makes now."""

from __future__ import annotations

import io
from pathlib import Path

import ezdxf
import pytest
from conftest import ROOT
from ezdxf.document import Drawing
from pypdf import PdfReader

from mouldgeom import load
from mouldgeom.model.assembly import build
from mouldgeom.outputs.dxf import CutOptions, flat_dxf

pytestmark = pytest.mark.slow

FLAT = ROOT / "drawings" / "flat"
TOLERANCE = 0.001


def numbers(document: Drawing) -> list[tuple[str, str, list[float]]]:
    """Every entity as type, layer and coordinates."""
    out = []
    for entity in document.modelspace():
        kind = entity.dxftype()
        if kind == "LWPOLYLINE":
            values = [v for point in entity.get_points("xyb") for v in point]
        elif kind == "CIRCLE":
            values = [*entity.dxf.center, entity.dxf.radius]
        elif kind == "POINT":
            values = [*entity.dxf.location]
        else:
            assert kind == "TEXT", f"an entity of kind {kind} has no place in a flat pattern"
            values = [*entity.dxf.align_point, entity.dxf.height, entity.dxf.rotation]
        out.append((kind, entity.dxf.layer, [float(v) for v in values]))
    return out


MOULD = build(load("hill-example"))


def test_one_file_a_plate() -> None:
    assert {path.stem for path in FLAT.glob("*.dxf")} == {plate.mark for plate in MOULD.plates}


@pytest.mark.parametrize("name", ["drawings.pdf", "build-sheet.pdf"])
def test_the_kept_papers_say_what_the_program_writes_now(name: str, hill_package: Path) -> None:
    """Page by page, the lettering of the drawing set and of the build sheet."""
    kept, made = FLAT.parent / f"hill-example-{name}", hill_package / name
    if kept.read_bytes() != made.read_bytes():  # such as by another typesetter
        one, other = ([page.extract_text() for page in PdfReader(path).pages] for path in (kept, made))
        assert one == other


@pytest.mark.parametrize("plate", MOULD.plates, ids=lambda plate: plate.mark)
def test_flat_pattern_is_what_the_program_makes(plate) -> None:
    kept = numbers(ezdxf.readfile(FLAT / f"{plate.mark}.dxf"))
    made = numbers(ezdxf.read(io.StringIO(flat_dxf(plate, CutOptions.from_spec(MOULD.dims.spec)).decode("ascii"))))
    assert [(kind, layer) for kind, layer, _ in kept] == [(kind, layer) for kind, layer, _ in made]
    for (_, _, one), (_, _, other) in zip(kept, made, strict=True):
        assert one == pytest.approx(other, abs=TOLERANCE)
