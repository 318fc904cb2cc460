"""Checks 7 and 11 hold for the examples, and each can fail."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mouldgeom import Spec, tables
from mouldgeom.checks import Case
from mouldgeom.checks.cutting import check_cutting, check_stock
from mouldgeom.geometry.outline import Outline
from mouldgeom.model.assembly import Mould, build
from mouldgeom.solids import SolidMould
from mouldgeom.spec.fields import HoleMethod
from mouldgeom.verdict import Verdict


def results(mould: Mould) -> dict[str, Verdict]:
    case = Case(SolidMould(mould))
    return {result.code: result for result in (*check_cutting(case), *check_stock(case))}


def with_shop(spec: Spec, **fields: object) -> Mould:
    return build(spec.model_copy(update={"shop": spec.shop.model_copy(update=fields)}))


def test_examples_hold(example: Mould) -> None:
    found = results(example)
    assert set(found) == {"7.1", "7.2", "7.3", "7.4", "7.5", "7.6", "11.1", "11.2"}
    assert all(result.holds for result in found.values())


def test_parts_too_close(hill_spec: Spec) -> None:
    assert not results(with_shop(hill_spec, part_spacing=4.0))["7.6"].holds


def test_wide_and_narrow_kerf(hill_spec: Spec) -> None:
    assert not results(with_shop(hill_spec, kerf=4.0))["7.3"].holds
    assert not results(with_shop(hill_spec, kerf=0.3))["7.4"].holds


def test_bevel_only_matters_to_holes_cut_full_size(
    hill: Mould, hill_spec: Spec, monkeypatch: pytest.MonkeyPatch
) -> None:
    pilot = hill_spec.model_copy(update={"shop": hill_spec.shop.model_copy(update={"hole_method": HoleMethod.PILOT})})
    assert "7.5" not in results(build(pilot))
    worn = replace(tables.cutting_process("plasma"), edge_angle_deg=5.0)
    monkeypatch.setattr(tables, "cutting_process", lambda name: worn)
    found = results(hill)["7.5"]
    assert not found.holds
    assert found.value == pytest.approx(2 * 6 * math.tan(math.radians(5)))


def test_hole_too_near_the_edge(hill: Mould) -> None:
    panel = hill.plates[0]
    hole = replace(panel.holes[0], x=panel.holes[0].diameter / 2 + 1.0)
    broken = replace(hill, plates=(replace(panel, holes=(hole, *panel.holes[1:])), *hill.plates[1:]))
    found = results(broken)["7.2"]
    assert not found.holds
    assert found.value == pytest.approx(1.0)
    assert "front panel" in found.where


def test_small_cut_hole(hill: Mould, hill_spec: Spec) -> None:
    assert results(hill)["7.1"].limit == 9.0
    assert results(hill)["7.1"].value == 11.0
    assert results(hill)["7.1"].where.startswith("C1")


def test_each_number_has_its_own_source(hill: Mould) -> None:
    """What is said of kerf, hole and bevel stands with its own number and with no other."""
    found = results(hill)
    process = tables.cutting_process("plasma")
    ratio, least = process.hole_source.split("; ")
    own = {"7.1": ratio, "7.3": process.kerf_source, "7.4": process.kerf_source, "7.5": process.edge_source}
    texts = {*own.values(), least, process.source}
    assert len(texts) == 5
    for code, source in own.items():
        assert {text for text in texts if text in found[code].source} == {source}


def test_plate_and_bar_larger_than_the_stock(hill: Mould) -> None:
    panel, bar = hill.plates[0], hill.bars[0]
    wide = replace(panel, outline=Outline.rectangle(0, 0, 1300, 1300))
    assert not results(replace(hill, plates=(wide, *hill.plates[1:])))["11.1"].holds
    assert not results(replace(hill, bars=(replace(bar, length=6001.0), *hill.bars[1:])))["11.2"].holds
