"""Gaps of one seam add up: as drawn on the solids, and as the pressure opens them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mouldgeom import Spec
from mouldgeom.checks import Case
from mouldgeom.checks.sealing import check_seal, seal_of, seam_gaps
from mouldgeom.model.assembly import build
from mouldgeom.outputs.job import Job
from mouldgeom.outputs.papers.build.blocks import record
from mouldgeom.outputs.papers.build.casting import casting
from mouldgeom.outputs.papers.build.desk import BuildDesk
from mouldgeom.outputs.papers.build.material import material
from mouldgeom.outputs.papers.build.views import Views
from mouldgeom.strength.bolt_rows import rows_of
from mouldgeom.strength.nose_lid import lid_of
from mouldgeom.words import Words

pytestmark = pytest.mark.slow
LIFT = 0.5
"""Of the nose lid, in mm: within the leak by itself, as its gap as drawn is, but not both together."""


def test_each_seam_has_its_own_two_gaps(hill_case: Case) -> None:
    """Panels lie on each other, so that only the pressure opens them; the lid has its clearance, on the slope too."""
    found = {seam.name: seam for seam in seam_gaps(hill_case)}
    for row in rows_of(hill_case.mould):
        assert found[row.id.name].drawn == pytest.approx(0, abs=1e-6)
        assert found[row.id.name].total == pytest.approx(row.gap.total)
    lid, fit = found["nose lid, at the panel"], hill_case.dims.spec.shop.fit_gap
    assert fit <= lid.drawn <= 1.2 * fit
    assert lid.pressed == lid_of(hill_case.mould).lift
    assert seal_of(hill_case) == ()
    (verdict,) = check_seal(hill_case)
    assert verdict.value == max(seam.total for seam in found.values())


@pytest.mark.parametrize("seal", ["none", "tape", "clay"])
def test_a_sum_beyond_the_leak_is_sealed_or_fails(hill_spec: Spec, seal: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("mouldgeom.checks.sealing.lid_of", lambda mould: replace(lid_of(mould), lift=LIFT))
    job = Job(build(hill_spec.changed({"shop.joint_seal": seal})))
    (verdict,) = check_seal(job.case)
    (lid,) = [gap for gap in seam_gaps(job.case) if gap.pressed == LIFT]
    assert lid.drawn < job.mould.dims.spec.shop.allowed_leak < verdict.value == lid.drawn + LIFT
    desk = BuildDesk(job, Words())
    told = str(record([material(desk), casting(desk, Views(desk))]))
    assert verdict.holds == (seal != "none")
    assert ("nose lid, at the panel" in told) == (seal != "none")
    assert ("for the joints that open under the pressure" in told) == (seal != "none")
    if seal == "none":
        assert verdict.cure == 'Seal the joints: shop.joint_seal = "tape".'
    else:
        assert verdict.cure == ""
