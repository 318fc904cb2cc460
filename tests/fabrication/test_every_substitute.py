"""Every substitute that the tables know, taken through every kind of file of a package.

The n-th test builds one mould from the n-th option of every field; what does not go together is built alone, and what
cannot be built at all is refused.  The solid kernel takes seconds a mould, so what needs it is made of one mould that
holds a substitute of each sort.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from itertools import zip_longest
from pathlib import Path
from typing import Final

import pytest
from random_specs import LONG

from mouldgeom import Spec, SpecError, load
from mouldgeom.cli import main
from mouldgeom.drawing.paper import PaperOptions
from mouldgeom.fabrication.rates import parse_prices
from mouldgeom.fabrication.stocklist import default_stock
from mouldgeom.fabrication.substitute import _FIELDS, _options, _with
from mouldgeom.model.assembly import build
from mouldgeom.outputs.calculation import calculation_text
from mouldgeom.outputs.job import Job, make_kind
from mouldgeom.outputs.kinds import BUILD, CALCULATION, CHECKS, COST, CUTLIST, DRAWINGS, KINDS, NESTS, REPORT, SOLID
from mouldgeom.outputs.papers.part_sheets import part_sheets

pytestmark = pytest.mark.slow(seconds=90)

HILL: Final = load("hill-example")
STOCK: Final = default_stock()
OPTIONS: Final = {
    field: [option for option in _options(field, str(getattr(HILL.steel, field)), STOCK) if option]
    for field, _ in _FIELDS
}
ROUNDS: Final = [dict(zip(OPTIONS, row, strict=True)) for row in zip_longest(*OPTIONS.values())]
WITH_SOLIDS: Final = {SOLID, CHECKS, DRAWINGS, BUILD, REPORT, CALCULATION}
"""Made with the kernel, or like the calculation with finite elements, which know no steel but its thickness."""
PRICES: Final = parse_prices("""
[material]
sheet = 1
angle = 1
"square tube" = 1
rod = 1
"threaded rod" = 1
[fastener]
"hexagon bolt" = 1
"hexagon nut" = 1
washer = 1
[consumable]
electrode_kg = 1
grinding_disc = 1
cutting_disc = 1
paint_l = 1
[hour]
labour = 1
cutting = 1
""")


def buildable(spec: Spec) -> bool:
    try:
        build(spec)
    except SpecError:
        return False
    return True


def moulds_of(options: dict[str, str | None]) -> Iterator[tuple[Spec, set[str]]]:
    """The mould that takes as many of the options as go together, one more for each that does not; and their fields."""
    together, taken = HILL, set[str]()
    for field, option in options.items():
        if option is None:
            continue
        if buildable(more := _with(together, field, option)):
            together, taken = more, taken | {field}
        elif buildable(alone := _with(HILL, field, option)):
            yield alone, {field}
    yield together, taken


def test_the_options_are_those_of_the_tables() -> None:
    assert {field: len(options) >= 9 for field, options in OPTIONS.items()} == dict.fromkeys(OPTIONS, True)
    assert len([option for option in OPTIONS["square_tube"] if option.startswith("two ")]) >= 14


@pytest.mark.parametrize("number", range(0, len(ROUNDS), 1 if LONG else 5))
def test_every_substitute_makes_every_kind_of_file(number: int) -> None:
    options, made = ROUNDS[number], set[str]()
    for spec, fields in moulds_of(options):
        job = Job(build(spec), PRICES, 1, STOCK, ("a change",), straight_cuts=True)
        skipped = WITH_SOLIDS if fields & {"shell", "ledge", "base"} else {*WITH_SOLIDS, NESTS}
        files = {kind: make_kind(job, kind) for kind in KINDS if kind not in skipped}
        assert all(found and all(file.content for file in found) for found in files.values())
        text = calculation_text(job.mould, job.chapters, job.words)
        assert all(need.title in text for chapter in job.chapters for need in chapter.requirements)
        assert part_sheets(job.mould, job.words, PaperOptions.from_spec(spec))
        listed = {row["material"] for row in csv.DictReader(io.StringIO(_text(files[CUTLIST][0].content)))}
        for field in fields:
            section = str(options[field]).removeprefix("two ")
            assert any(name.split(",")[0].endswith(f" {section}") for name in listed), section
        made |= fields
    refused = {field for field, option in options.items() if option and field not in made}
    for field in refused:
        with pytest.raises(SpecError):
            build(_with(HILL, field, str(options[field])))


def _text(content: bytes) -> str:
    return content.decode("utf-8-sig")


def test_one_of_each_sort_makes_a_whole_package(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By a stock list: other sheets and angle, two angles for tube, threaded handles, a screw of the other system."""
    stock = tmp_path / "stock.toml"
    sheets = "".join(f'[[sheet]]\nsheet = "{s}"\nwidth = 1220\nlength = 2440\n' for s in ("4 mm", "5 mm", "1/4 in"))
    bars = [("angle", "45x45x4.5"), ("angle", "35x35x4"), ("threaded rod", "M12"), ("threaded rod", "1-8")]
    bars.append(("rod", "16 mm"))
    stock.write_text(
        sheets + "".join(f'[[bar]]\nkind = "{k}"\nsection = "{s}"\nlength = 6000\n' for k, s in bars), "utf-8"
    )
    out = tmp_path / "package"
    main(["make", "--stock", str(stock), "--out", str(out)])
    printed = capsys.readouterr().out
    assert {line.partition(":")[0] for line in printed.splitlines() if " for " in line and "(" in line} >= {
        *("sheet of panels and core walls", "sheet of base, anchor and bridge plates", "angle of the flanges"),
        *("square tube of stiffeners, runners and bridge", "rod of the handles", "threaded rod of the jack screw"),
    }
    made = {path["kind"] for path in json.loads((out / "manifest.json").read_text("utf-8"))["files"]}
    assert made == {kind.name for kind in KINDS if kind is not COST}
    results = json.loads((out / "checks.json").read_text("utf-8"))["results"]
    assert len(results) > 90
