"""The calculation as a whole: every chapter in it, every number from it, and the checks that it becomes."""

from __future__ import annotations

import ast
import json
import re

import pytest
from conftest import ROOT

from mouldgeom import EXAMPLES, load, parse
from mouldgeom.model.assembly import Mould, build
from mouldgeom.outputs.calculation import amount, calculation_text
from mouldgeom.outputs.job import Job
from mouldgeom.spec.fields import Gear
from mouldgeom.strength.book import CAUTIONS, book, makers, requirements
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Words

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_requirement_of_the_examples_holds(name: str) -> None:
    found = requirements(book(build(load(name))))
    assert [r.code for r in found if not r.holds] == []
    assert len({r.code for r in found}) == len(found) >= 45
    assert {r.code.split(".")[0] for r in found} == {"4", "8", "10"}


def test_every_chapter_is_in_the_book() -> None:
    """That of one gear or of the other."""
    made = {
        path.stem
        for path in (ROOT / "mouldgeom/strength").glob("*.py")
        for node in ast.parse(path.read_text("utf-8")).body
        if isinstance(node, ast.FunctionDef) and node.name == "chapter"
    }
    moulds = [build(load("hill-example").changed({"extraction.gear": gear})) for gear in Gear]
    assert made == {chapter.__module__.rsplit(".", 1)[1] for mould in moulds for chapter in makers(mould)}


def test_every_step_has_formula_numbers_result_and_source(hill: Mould) -> None:
    for chapter in book(hill):
        assert len(chapter.steps) >= 3, chapter.title
        assert chapter.assumptions, chapter.title
        for step in chapter.steps:
            assert step.what, chapter.title
            assert step.formula, step.what
            assert step.numbers, step.what
            assert len(step.source) > 3, step.what
            assert step.result == step.result, step.what
        for table in chapter.tables:
            assert {len(row) for row in table.rows} == {len(table.head)}, table.title
        for required in chapter.requirements:
            assert min(len(required.title), len(required.where), len(required.source)) > 3, required.code


def test_a_title_stands_as_it_was_written() -> None:
    """CommonMark 0.31.2, section 2.4: any ASCII punctuation may be escaped, and then stands for itself."""
    title = "<script>alert('x')</script> [a](b) *c* `d` &amp; _e_ \\ | # ~~f~~"
    mould = build(parse(f"title = {json.dumps(title)}"))
    heading = calculation_text(mould, [], Words()).splitlines()[0]
    shown = heading.removeprefix("# Calculation: ")
    assert re.sub(r"\\([!-/:-@\[-`{-~])", r"\1", shown) == title
    signs = r"\\`*_\[\]<>&#~$|"
    assert re.fullmatch(rf"(?:\\[{signs}]|[^{signs}])*", shown), "nothing that Markdown reads as a sign stands bare"


def test_the_text_holds_every_step_and_requirement(hill: Mould) -> None:
    chapters = book(hill)
    text = calculation_text(hill, chapters, Words())
    for caution in CAUTIONS:
        assert caution in text
    for number, chapter in enumerate(chapters, 1):
        assert f"## {number} {chapter.title}" in text
        for step in chapter.steps:
            assert step.what in text
            assert f"= {amount(step.result, step.unit)}" in text
        for required in chapter.requirements:
            assert f"| {required.code} | {required.title} |" in text
    assert f"All {len(requirements(chapters))} requirements hold." in text
    assert text == calculation_text(hill, chapters, Words())


def test_a_design_that_fails_says_so_first() -> None:
    mould = build(load("hill-example").model_copy(deep=True))
    spec = mould.dims.spec
    weak = spec.model_copy(update={"extraction": spec.extraction.model_copy(update={"core_adhesion_greatest": 60.0})})
    made = build(weak)
    chapters = book(made)
    failed = [r for r in requirements(chapters) if not r.holds]
    assert failed
    head = calculation_text(made, chapters, Words()).split("## 1 ")[0]
    assert "requirements do not hold" in head
    for r in failed:  # "904 N <= 250 N" would read as if it held
        assert f"- {r.code} {r.title}: {amount(r.value, r.unit)}, required {r.operator} " in head


def test_finite_elements_stand_beside_the_tables(hill: Mould) -> None:
    job = Job(hill)
    text = calculation_text(hill, job.reviewed_chapters, job.words).split("by finite elements**")[1].split("**")[0]
    ratios = re.findall(r"\| (?:front|back|side) panel[^|]*\| *([\d.]+) \| *([\d.]+) \| *([\d.]+) \|", text)
    assert len(ratios) == 4
    for fast, fine, ratio in ratios:
        assert float(fast) >= float(fine)
        assert float(ratio) == pytest.approx(float(fast) / float(fine), rel=2e-3)


def test_the_calculation_is_part_of_the_checks(hill: Mould, hill_results: tuple[Verdict, ...]) -> None:
    results = {result.code: result for result in hill_results}
    for required in requirements(book(hill)):
        result = results[required.code]
        assert (result.value, result.limit) == (required.value, required.limit)
        assert result.holds == required.holds
        assert (result.where, result.source) == (required.where, required.source)


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0 mm"), (1234.5678, "1235 mm"), (0.012345, "0.01235 mm"), (12.0, "12 mm"), (-3.14159, "-3.142 mm")],
)
def test_an_amount_has_four_figures(value: float, text: str) -> None:
    assert amount(value, "mm") == text


def test_a_requirement_that_is_no_number_fails() -> None:
    required = Verdict("8.99", "nothing", float("nan"), 1.0, Operator.AT_MOST, "mm", "nowhere", "no source")
    assert not required.holds
