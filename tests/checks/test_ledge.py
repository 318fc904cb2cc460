"""What the ledge leaves to the diffuser: strips, seam and play count, and a thicker strip cures it."""

from __future__ import annotations

import re

import pytest

from mouldgeom import Spec
from mouldgeom.checks import Case
from mouldgeom.checks.ledge import BEARING, bearing, check_ledge, edge_loss
from mouldgeom.fabrication.welds import seams
from mouldgeom.filter.levels import DIFFUSER_PLAY
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.joints import WeldRole
from mouldgeom.solids import SolidMould
from mouldgeom.strength.wall_model import thickness_deviation

pytestmark = pytest.mark.slow


def test_the_ledge_of_an_example_carries_its_diffuser(example_case: Case) -> None:
    """By hand: the strip's thickness on the slope, less its deviation, the fillet along it, and the play."""
    dims = example_case.dims
    (leg,) = {seam.leg for seam in seams(example_case.mould) if seam.role is WeldRole.STRIP_LEDGE}
    (verdict,) = check_ledge(example_case)
    thin, _ = thickness_deviation(dims, dims.ledge)
    assert verdict.value == pytest.approx(dims.step - thin - leg - DIFFUSER_PLAY, abs=1e-4)
    assert (verdict.code, verdict.limit, verdict.cure) == ("9.9", BEARING, "")
    assert verdict.holds


def test_a_thin_strip_is_no_ledge_and_the_cure_serves(hill_spec: Spec) -> None:
    thin = build(hill_spec.changed({"steel.ledge": "4 mm"}))
    (verdict,) = check_ledge(Case(SolidMould(thin)))
    assert not verdict.holds
    (sheet,) = re.findall(r'steel\.ledge = "(.+)"', str(verdict.cure))
    assert sheet == "6 mm"
    cured = build(hill_spec.changed({"steel.ledge": sheet}))
    assert bearing(cured, cured.dims.step) >= BEARING


def test_without_a_seam_the_edge_still_breaks(hill: Mould) -> None:
    from dataclasses import replace

    bare = replace(hill, welds=tuple(weld for weld in hill.welds if weld.role is not WeldRole.STRIP_LEDGE))
    assert edge_loss(bare) == 2.0 < edge_loss(hill)
