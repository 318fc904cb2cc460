"""Pictures: readable in print, the same bytes each time, and nothing but shapes."""

from __future__ import annotations

import json
import re
import struct
import xml.etree.ElementTree as ET
from collections.abc import Iterator

import pytest

from mouldgeom import load
from mouldgeom.design.dimensions import derive
from mouldgeom.design.sizing_answer import SizingAnswer, answer
from mouldgeom.drawing.figure import DPI, Figure, round_steps, text_width
from mouldgeom.filter.asking import ask
from mouldgeom.filter.sand import Grading
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.charts import drain_figure, grading_figure
from mouldgeom.outputs.filter_files import filter_files
from mouldgeom.outputs.filter_section import section_figure
from mouldgeom.outputs.size_table import size_table, table_figure

SAND = Grading((4.75, 2.0, 0.85, 0.425, 0.25, 0.18, 0.15, 0.075), (100, 94.5, 86.3, 74.1, 54.9, 38.1, 9.3, 1.7))


@pytest.fixture(scope="module")
def found() -> SizingAnswer:
    return answer(ask({}))


@pytest.fixture(scope="module")
def drawn(found: SizingAnswer) -> dict[str, Figure]:
    request = ask({"mass_limit": 150}).request
    cells = size_table(request, (400.0, 500.0), (10.0, 14.0), None)
    return {
        "grading": grading_figure(SAND, "of a book"),
        "drain": drain_figure(found.sizing.working.drain_curve, "480 mm, 12 l"),
        "section": section_figure(derive(found.spec)),
        "table": table_figure(cells, request),
        **{name: section_figure(derive(load(name))) for name in ("inch-example", "short-example")},
    }


def each(drawn: dict[str, Figure]) -> Iterator[tuple[str, Figure, ET.Element]]:
    for name, figure in drawn.items():
        yield name, figure, ET.fromstring(figure.svg())


def test_svg_is_well_formed_and_in_millimetres(drawn: dict[str, Figure]) -> None:
    for name, figure, root in each(drawn):
        assert root.tag.endswith("svg"), name
        assert float(root.attrib["width"].removesuffix("mm")) == pytest.approx(figure.width, abs=0.01)
        assert root[0].text
        assert root[1].text
        tags = {element.tag.rpartition("}")[2] for element in root.iter()}
        assert tags <= {"svg", "title", "desc", "defs", "rect", "path", "circle", "g", "use"}, "no text, no fonts"


def test_lettering_is_readable(drawn: dict[str, Figure]) -> None:
    """Capitals of 2.5 mm at least."""
    for name, figure, _ in each(drawn):
        scales = [float(value) for value in re.findall(r"scale\(([\d.]+)\)", figure.svg())]
        assert scales, name
        assert min(scales) >= 2.5


def test_everything_stays_on_the_paper(drawn: dict[str, Figure]) -> None:
    for name, figure, root in each(drawn):
        for element in root.iter():
            if element.tag.endswith("path") and "id" not in element.attrib:
                numbers = [float(n) for n in re.findall(r"-?[\d.]+", element.attrib["d"].replace("h0", ""))]
                for x, y in zip(numbers[::2], numbers[1::2], strict=True):
                    assert -0.01 <= x <= figure.width + 0.01, (name, x)
                    assert -0.01 <= y <= figure.height + 0.01, (name, y)


def texts(root: ET.Element) -> list[tuple[float, float, float, float]]:
    """Boxes of level lines of text: left, right, top, bottom."""
    boxes = []
    for group in root.iter():
        place = group.attrib.get("transform", "")
        moved = re.match(r"translate\(([-\d.]+) ([-\d.]+)\)(?: translate\(([-\d.]+) 0\))? scale\(([\d.]+)\)$", place)
        uses = list(group)
        if moved and uses:
            left = float(moved[1]) + float(moved[3] or 0)
            size = float(moved[4])
            last = float(uses[-1].attrib.get("x", 0)) + 0.8
            boxes.append((left, left + size * last, float(moved[2]) - size, float(moved[2])))
    return boxes


def test_no_text_covers_another(drawn: dict[str, Figure]) -> None:
    for name, _, root in each(drawn):
        boxes = texts(root)
        assert len(boxes) > 5, name
        for i, a in enumerate(boxes):
            for b in boxes[i + 1 :]:
                apart = a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2]
                assert apart, (name, a, b)


def test_png_has_the_size_and_the_same_bytes(drawn: dict[str, Figure]) -> None:
    for name in ("grading", "section"):
        figure = drawn[name]
        png = figure.png()
        assert png.startswith(b"\x89PNG\r\n\x1a\n")
        wide, high = struct.unpack(">II", png[16:24])
        assert wide == pytest.approx(figure.width / 25.4 * DPI, abs=1.5)
        assert high == pytest.approx(figure.height / 25.4 * DPI, abs=1.5)
        assert figure.png() == png


def test_the_same_figure_twice_is_the_same_text(found: SizingAnswer) -> None:
    one, two = (section_figure(derive(found.spec)).svg() for _ in range(2))
    assert one == two


def test_text_is_escaped() -> None:
    root = ET.fromstring(grading_figure(SAND, "<a & b>").svg())
    assert root[0].text == "Grading curve <a & b>"


def test_letters_that_the_font_lacks_are_drawn_as_boxes() -> None:
    assert text_width("\u4e00") > 0


@pytest.mark.parametrize(("low", "high", "count"), [(0, 1, 8), (0, 173.2, 8), (0, 2.59, 8), (0, 39.0, 6)])
def test_round_steps(low: float, high: float, count: int) -> None:
    steps = round_steps(low, high, count)
    assert 3 <= len(steps) <= count + 2
    assert steps[0] >= low
    assert steps[-1] <= high + 1e-9


def test_the_table_says_why_not(drawn: dict[str, Figure]) -> None:
    cells = size_table(ask({"mass_limit": 150}).request, (400.0, 500.0), (10.0, 14.0), None)
    reasons = {cell.reason for cell in cells if cell.sizing is None}
    assert reasons == {"charge against pore volume of the sand conflicts with mass of the concrete"}


def test_files_of_the_package(hill: Mould) -> None:
    """How the filter works, without the kernel and in a blink."""
    made = filter_files(hill.dims)
    assert set(made) == {"filter/filter.json", "filter/section.svg", "filter/drain-curve.svg"}
    record = json.loads(made["filter/filter.json"])
    assert record["charge_l"] <= record["pore_volume_l"]
    assert record["concrete_kg"] == pytest.approx(158, abs=1)
    assert record["levels_mm"]["rim"] == pytest.approx(hill.dims.height)
    assert any("disinfect" in line for line in record["cautions"])
    assert filter_files(hill.dims) == made
