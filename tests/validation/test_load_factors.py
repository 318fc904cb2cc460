"""Load factors and the ages that go with them: published numbers, all from memory, each with a second source.

EN 1990:2002 Table A1.2(B): 1.35 on permanent actions, 1.5 on variable ones; EN 12812:2008 9.2.2 has the same two for
falsework (permanent, and all others, fresh concrete among them).  EN 1990 eq. (6.10b) prints 1.15 for 0.85 x 1.35.
PCI Design Handbook, Table 5.2.2.1, multipliers of own weight when stripped (retarder, oiled mould): flat with removable
sides 1.2, 1.3; flat with joints 1.3, 1.4; fluted with draft 1.4, 1.6; sculptured 1.5, 1.7.  ACI 308R: 7 moist days.

Exact; worked stresses 0.5 %.
"""

from __future__ import annotations

import re

import pytest

from mouldgeom import load
from mouldgeom.filter import concrete
from mouldgeom.model.assembly import Mould
from mouldgeom.rules.flanges import LOAD_FACTOR, Load
from mouldgeom.strength import panel_steps, panels, turning

PCI_OILED = {"flat": 1.3, "flat with joints": 1.4, "fluted with draft": 1.6, "sculptured": 1.7}


def test_variable_actions() -> None:
    """Fresh concrete, the pull on the core, and lifting."""
    assert (LOAD_FACTOR, turning.LOAD_FACTOR) == (1.5, 1.5)


def test_permanent_actions() -> None:
    assert concrete.LOAD_FACTOR == 1.35
    assert pytest.approx(1.15, abs=0.005) == 0.85 * concrete.LOAD_FACTOR


def test_yield() -> None:
    """EN 1993-1-1:2005 6.1, recommended gamma_M0 (from memory)."""
    assert panel_steps.GAMMA_M0 == 1.0


def test_stages_of_the_concrete_by_hand() -> None:
    """C20 of class N, 0.13 MPa from the water, 1550 N on 55 000 mm2.

    Hung by its walls 1.6 x 1550/55 000 = 0.0451 MPa; full 1.35 x 0.13 = 0.1755 MPa.  Borne, at 20 C: 0.170 MPa after a
    day (1/4.85 = 0.206 of 0.825), 0.580 after 7 (7/9.95 = 0.7035), 0.825 after 28; 28 x 0.206 = 5.77 MPa after a day
    against 5 to turn and to draw, 28 x 0.7035 = 19.7 MPa after 7 against 10 to lift.
    """
    assert concrete.FILLING_AGE == 7
    found = concrete.stages(load("hill-example").changed({"concrete.cement": "42.5N"}), 0.13, 1550.0, 55_000.0)
    required = [stage.value for stage in found]
    hung = PCI_OILED["fluted with draft"] * 1550 / 55_000
    assert required == pytest.approx([5.0, 5.0, hung, 10.0, 0.1755, 0.1755])
    assert [stage.limit for stage in found] == pytest.approx([5.77, 5.77, 0.170, 19.7, 0.580, 0.825], rel=5e-3)


def test_bolts_bear_one_and_a_half_times_the_pressure(hill: Mould) -> None:
    """A corner bolt with 100 mm of a joint, 10 N/mm pull, 4 N/mm shear, 60 N mm/mm: 1500, 600 N, and 9000 N mm."""
    joint = hill.dims.flanges.joints[0]
    use = joint.bolt_use(Load(10.0, 4.0, 60.0), 100.0)
    assert (use.pull, use.shear, use.prying * joint.toe) == pytest.approx((1500, 600, 9000))
    assert joint.bolt_use(Load(10.0, 4.0, 60.0), 100.0, crowding=2.0).pull == pytest.approx(3000)


def test_sheet_is_held_to_yield_under_one_and_a_half_times_the_pressure(hill: Mould) -> None:
    """9 M/t^2 from the moment and the sheet that are written beside it."""
    steps = [step for step in panels.chapter(hill).steps if step.formula == "sigma = 1.5 x 6 M/t^2"]
    assert len(steps) == 3
    for step in steps:
        moment, thick = (float(n) for n in re.findall(r"x ([0-9.]+) N/\(([0-9.]+) mm", step.numbers)[0])
        assert step.result == pytest.approx(9 * moment / thick**2, rel=5e-3)
