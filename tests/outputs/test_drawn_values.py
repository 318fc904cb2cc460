"""What the files of the drawing set say, read back by independent readers, against ``parts.json``."""

from __future__ import annotations

import io
import json
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

import ezdxf
import pytest
from pypdf import PdfReader

from mouldgeom import EXAMPLES, load
from mouldgeom.drawing.paper import PaperOptions, numbered
from mouldgeom.drawing.press import Printed, orders, press
from mouldgeom.model.assembly import build
from mouldgeom.outputs.job import Job
from mouldgeom.outputs.papers.part_sheets import part_sheets
from mouldgeom.outputs.records import part_records
from mouldgeom.units import plain

pytestmark = pytest.mark.slow


class Files:
    """The part drawings of one example as files, and the records of its parts."""

    def __init__(self, name: str) -> None:
        spec = load(name)
        job = Job(build(spec))
        sheets = numbered(part_sheets(job.mould, job.words, PaperOptions.from_spec(spec)))
        self.sheets = len(sheets)
        self.printed: Printed = press(orders(sheets, job.words, "Parts", 40))
        self.records: list[dict[str, Any]] = json.loads(json.dumps(part_records(job.mould)))
        self.outlines = {p.mark: p.outline.bounds for p in job.mould.plates}


@pytest.fixture(scope="module", params=EXAMPLES)
def files(request: pytest.FixtureRequest) -> Files:
    return Files(request.param)


def rows_of(content: bytes) -> Iterator[list[str]]:
    """Lettering of a DXF sheet that stands on one line, from left to right."""
    lines: dict[float, list[tuple[float, str]]] = defaultdict(list)
    for text in ezdxf.read(io.StringIO(content.decode("ascii"))).modelspace().query("TEXT"):
        lines[round(text.dxf.insert.y, 1)].append((text.dxf.insert.x, text.dxf.text))
    for found in lines.values():
        yield [text for _, text in sorted(found)]


def holds(row: list[str], wanted: list[str]) -> bool:
    """Whether these cells stand beside each other in a row; an inch drill has its own name behind its millimetres."""
    cells = [cell.partition(" = ")[0] for cell in row]
    return any(cells[i : i + len(wanted)] == wanted for i in range(len(cells)))


def test_every_hole_stands_in_a_chart_of_the_dxf(files: Files) -> None:
    rows = [row for sheet in files.printed.dxf for row in rows_of(sheet)]
    tried = 0
    for record in files.records:
        for hole in record["holes"] if record["kind"] == "plate" else ():
            tried += 1
            wanted = [plain(hole[key], 1) for key in ("x_mm", "y_mm")] + [plain(hole["diameter_mm"], 2)]
            assert any(holds(row, wanted) for row in rows), (record["mark"], wanted)
    assert tried > 40


def test_overall_sizes_and_lengths_stand_on_the_sheet_of_the_part(files: Files) -> None:
    sheets = [[text for row in rows_of(sheet) for text in row] for sheet in files.printed.dxf]
    for record in files.records:
        if record["kind"] == "fastener":
            continue
        if record["kind"] == "bar":
            sizes = [record["length_mm"]]
        else:
            x0, y0, x1, y1 = files.outlines[record["mark"]]
            sizes = [x1 - x0, y1 - y0]
        (texts,) = [texts for texts in sheets if record["mark"] in texts]
        assert {plain(size, 1) for size in sizes} <= set(texts), record["mark"]
        assert any(text.startswith(f"{record['quantity']} off") for text in texts), record["mark"]


def test_the_pdf_lists_every_mark(files: Files) -> None:
    reader = PdfReader(io.BytesIO(files.printed.pdf))
    assert len(reader.pages) == files.sheets == len(files.printed.dxf) == len(files.printed.png)
    found = " ".join(page.extract_text() for page in reader.pages).split()
    assert {r["mark"] for r in files.records if r["kind"] != "fastener"} <= set(found)
