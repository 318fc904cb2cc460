"""How the outlet tube stands in the mould: closed, held by blocks that fill the room beside it, on page and list."""

from __future__ import annotations

import json
import math

import pytest

from mouldgeom.checks import Case
from mouldgeom.outputs.job import Job
from mouldgeom.outputs.papers.build.blocks import record
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.material import material
from mouldgeom.outputs.papers.build.tube_page import bought, ties, tube_page, uplift
from mouldgeom.outputs.papers.build.views import Views
from mouldgeom.words import Words


def test_blocks_reach_from_steel_to_tube_and_on_to_steel(example_case: Case) -> None:
    """Panel, block, tube, block and core wall lie on each other, along the straight riser."""
    dims = example_case.dims
    found = ties(dims)
    assert len(found) == 2
    for tie in found:
        assert dims.tube.crest_centre[1] < tie.z < dims.tube.first_centre[1]
        step = dims.step if tie.z < dims.ledge_z else 0.0
        wall = dims.depth / 2 - dims.core_half_y(tie.z) - step
        assert tie.panel + dims.tube.outside + tie.core == pytest.approx(wall)
        assert tie.panel == pytest.approx(dims.spec.tube.cover)
        assert tie.core > 0


def test_the_closed_tube_floats_by_its_outside(hill_case: Case) -> None:
    """By hand: 10 mm tube, its axis in the concrete, 25 kN/m3."""
    dims = hill_case.dims
    volume = math.pi * 5**2 * dims.tube.length
    assert uplift(dims) == pytest.approx(volume * 1e-9 * dims.spec.concrete.unit_weight_fresh * 1e3)
    assert 1 < uplift(dims) < 3


def test_what_holds_the_tube_is_drawn_told_and_listed(hill_case: Case) -> None:
    desk = BuildDesk(Job(hill_case.mould), Words())
    (chapter,) = record([material(desk)])
    listed = json.dumps(chapter, ensure_ascii=False)
    for what, much in bought(desk):
        assert what in listed
        assert much
    page = tube_page(desk, Views(desk))
    told = str(page)
    for word in ("block of mortar at the core", "wire round tube and blocks", "inlet, closed, against the core"):
        assert word in told
    assert "No paste may enter." in told
