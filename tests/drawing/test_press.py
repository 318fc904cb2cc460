"""Setting drawings in a process beside this one gives what setting them here gives, and never fails for want of it."""

from __future__ import annotations

import sys

import pytest

from mouldgeom import load
from mouldgeom.drawing.paper import PaperOptions, numbered
from mouldgeom.drawing.press import Press, PrintOrder, orders, press
from mouldgeom.model.assembly import build
from mouldgeom.outputs.papers.part_sheets import part_sheets
from mouldgeom.words import Words

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def order() -> PrintOrder:
    spec = load("hill-example")
    words = Words("fr", "both")
    sheets = numbered(part_sheets(build(spec), words, PaperOptions.from_spec(spec))[:2])
    return orders(sheets, words, "Dessins", 60)


def test_beside_and_here_give_the_same_bytes(order: PrintOrder) -> None:
    beside = Press()
    beside.take(order)
    printed = beside.printed()
    assert beside._process is not None
    assert beside._process.returncode == 0
    assert printed == press(order)
    assert printed.pdf.startswith(b"%PDF")
    assert [len(form) for form in (printed.dxf, printed.svg, printed.png)] == [2, 2, 2]


def test_where_no_process_can_be_had_it_is_done_here(order: PrintOrder, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    alone = Press()
    alone.take(order)
    assert alone.printed() == press(order)


def test_a_process_that_was_ended_is_no_loss(order: PrintOrder) -> None:
    beside = Press()
    beside.stop()
    beside.take(order)
    assert beside.printed() == press(order)


def test_nothing_ordered_is_an_error() -> None:
    empty = Press()
    with pytest.raises(RuntimeError, match="nothing was ordered"):
        empty.printed()
    empty.stop()
