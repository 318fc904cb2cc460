"""Forcing screws: loads by hand, the rim at an age, the lever, tilt, free bodies, finite elements, and each failing."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from random_specs import changed, profile, specs

from mouldgeom import EXAMPLES, Spec, load
from mouldgeom.errors import MouldError
from mouldgeom.model.assembly import Mould, build
from mouldgeom.strength import forcing, overload, pull, thrust
from mouldgeom.strength.book import book, requirements
from mouldgeom.strength.steps import Chapter
from mouldgeom.verdict import Verdict

CODES = [f"8.{number}" for number in (34, 35, 36, 37, *range(41, 55), 56, 57, 58, 59, 60)]


@cache
def mould(name: str = "hill-example") -> Mould:
    return build(load(name))


@cache
def chapter(name: str = "hill-example") -> Chapter:
    return forcing.chapter(mould(name))


def needs(made: Mould) -> dict[str, Verdict]:
    return {need.code: need for need in forcing.chapter(made).requirements}


def step(what: str, name: str = "hill-example") -> float:
    return next(one.result for one in chapter(name).steps if one.what.startswith(what))


EACH = pytest.mark.parametrize("name", EXAMPLES)


@EACH
def test_every_example_holds_with_forcing_screws(name: str) -> None:
    found = requirements(book(mould(name)))
    assert [f"{r.code} {r.title}" for r in found if not r.holds] == []
    assert {"8.20", "8.24", "8.39"}.isdisjoint(r.code for r in found)


@EACH
def test_every_code_stands_once_with_its_source(name: str) -> None:
    found = chapter(name)
    assert [need.code for need in found.requirements] == CODES
    assert all(need.where and need.source and need.unit for need in found.requirements)
    for one in found.steps:
        assert all((one.source, one.formula, one.unit)), one.what
        assert math.isfinite(one.result), one.what
        assert (one.what + one.formula + one.numbers).isascii()


# ---------------------------------------------------------------- loads


def test_two_screws_carry_all() -> None:
    made = mould()
    load_ = pull.design_pull(made) / 2
    assert step("forcing nut: force on its weld") == pytest.approx(load_ / 124.7, rel=1e-3)
    assert needs(made)["8.46"].limit == pytest.approx(load_ / 1000)


def test_the_rim_is_judged_at_the_age_when_it_is_used_most() -> None:
    """At stripping, when it is weak, or on the last day, when the pull is greatest: here at stripping, young."""
    made = mould()
    uses = {
        age: pull.design_pull(made, age) / 2 / thrust.crushing(made.dims, age) for age in (24.0, 30.0, 36.0, 42.0, 48.0)
    }
    assert needs(made)["8.53"].use == pytest.approx(max(uses.values()), rel=1e-6)
    assert max(uses, key=lambda age: uses[age]) == 24.0


def test_the_rim_by_hand() -> None:
    """A pad of 35 x 77 mm less its corners, C20 of slow cement at 24 h: EN's curve exp(0.38 (1 - sqrt 28))."""
    made = mould()
    area = 35 * 77 - (4 - math.pi) * 25
    fcd = 20 * math.exp(0.38 * (1 - math.sqrt(28))) / 1.5
    assert thrust.crushing(made.dims, 24.0) == pytest.approx(area * fcd, rel=1e-3)
    assert thrust.rim_half(made.dims) == made.dims.forcing.pad_half_x


def test_pads_on_a_wide_rim_are_no_longer_than_the_side_is() -> None:
    """Walls of 100 mm, pads 90 mm wide: 198 mm long they would meet in the middle, so two nut plates share the side.

    From the middle to a runner's near face less 2 mm for its weld are 165 mm, so a nut plate has 164 mm, and its pad
    12.5 mm less at each end.
    """
    wide: dict[str, Any] = {"filter.least_wall": 100, "filter.cavity_depth": 180, "filter.cavity_width": 360}
    made = build(changed(mould().dims.spec, wide))
    found = made.dims.forcing
    assert made.dims.runner_y - made.dims.stock.tube.side_mm / 2 - 2 == pytest.approx(165, abs=0.01)
    assert (found.pad_half_x, found.plate_half_y, found.pad_half_y, found.y) == (45, 82, 69.5, 83)


@pytest.mark.parametrize(("wide", "long"), [(45.0, 60.0), (60.0, 45.0)])
def test_a_pad_bends_over_its_longer_half(wide: float, long: float) -> None:
    """60 mm from the middle either way: 1000 N on 90 x 120 mm less its corners, 6 mm thick, half a disc of d3 away."""
    made = mould()
    forcing_ = replace(made.dims.forcing, pad_half_x=wide, pad_half_y=long)
    made = replace(made, dims=replace(made.dims, gear=forcing_))
    found = {need.code: need for _, checked in thrust.bears(made, 1000.0) for need in checked}
    pressed = 1000 / (90 * 120 - (4 - math.pi) * 25)
    assert found["8.51"].value == pytest.approx(pressed * (60 - 20.3193 / math.pi) ** 2 / 2 / 9, rel=1e-4)


@EACH
def test_pads_stand_off_the_arris(name: str) -> None:
    dims = mould(name).dims
    inner, outer = dims.core_half_x(0) + dims.step, dims.width / 2
    assert inner + 4.9 < dims.forcing.x - dims.forcing.pad_half_x
    assert dims.forcing.x + dims.forcing.pad_half_x < outer - 4.9


def test_older_concrete_bears_more() -> None:
    found = [thrust.crushing(mould().dims, age) for age in (24.0, 30.0, 48.0, 96.0)]
    assert found == sorted(found)
    held = [thrust.tilting(mould().dims, age) for age in (24.0, 30.0, 48.0, 96.0)]
    assert held == sorted(held)


# ---------------------------------------------------------------- lever


@EACH
def test_nobody_breaks_anything(name: str) -> None:
    """The overload of the chosen lever is below what every part bears, the rim and the walls at stripping too."""
    made = mould(name)
    found = overload.lever(made)
    for steps, checked in thrust.bears(made, found.greatest):
        assert steps
        assert all(need.holds for need in checked)
    assert found.greatest <= thrust.crushing(made.dims, 24.0, 1.2)
    assert found.greatest <= thrust.tilting(made.dims, 24.0)
    assert 4 * found.least >= pull.greatest_pull(made)


def test_the_rim_gives_way_first_while_it_is_young() -> None:
    assert "rim" in overload.weakest(mould()).part
    old = build(changed(mould().dims.spec, {"concrete.stripping_age": 168}))
    assert "rim" not in overload.weakest(old).part


def test_the_end_of_a_screw_rubs_on_two_thirds_of_its_diameter() -> None:
    gear = pull.rough(mould().dims)
    assert gear.collar == pytest.approx(16)
    assert gear.force(gear.up(1000)) == pytest.approx(1000)


# ---------------------------------------------------------------- tilt and free bodies


def test_tilt_by_hand() -> None:
    """One screw 1 mm ahead turns the plane of the four about the diagonal of its neighbours."""
    dims = mould().dims
    x, y = dims.forcing.x, dims.forcing.y
    corners = {(-x, y): 0.0, (x, -y): 0.0, (x, y): 1.0}
    (a, b), height = next(iter({(y, x)})), 1.0 / math.hypot(x, y) ** 0  # normal of the diagonal, and the lead
    for (px, py), up in corners.items():
        distance = (a * px + b * py) / math.hypot(a, b)
        assert up == pytest.approx(height * distance / thrust.tilt_arm(dims), abs=1e-9)
    assert thrust.lead_allowed(dims) * (dims.end_z + 6) / thrust.tilt_arm(dims) == pytest.approx(1.0)


def test_the_bodies_are_in_balance() -> None:
    rows = {str(row[0]): [float(cell) for cell in row[1:]] for row in chapter().tables[0].rows}
    for forces in rows.values():
        assert sum(forces) == pytest.approx(0.0, abs=0.011)
    assert rows["concrete"][0] == -rows["core with base plate"][0]
    assert rows["concrete"][1] == -rows["core with base plate"][1]
    assert step("ground under") == pytest.approx(rows["concrete"][3], abs=0.01)


def test_a_panel_takes_its_share_of_the_stiffness() -> None:
    """3 mm of steel beside 45 mm of concrete at 0.7 of its upper modulus: a good third."""
    assert 0.3 < forcing.panel_share(mould()) < 0.6
    thick = build(changed(mould().dims.spec, {"steel.shell": "5 mm"}))
    assert forcing.panel_share(thick) > forcing.panel_share(mould())


@given(specs(near=0.6))
@profile(25, shrink=False)
def test_any_mould_can_be_reckoned(spec: Spec) -> None:
    try:
        made = build(changed(spec, {"extraction.gear": "forcing screws"}))
    except MouldError:
        return
    found = needs(made)
    assert list(found) == CODES
    assert all(math.isfinite(need.value) and need.limit >= 0 for need in found.values())


# ---------------------------------------------------------------- each can fail


STUCK: dict[str, Any] = {"extraction.core_adhesion_greatest": 100.0}
WIDE: dict[str, Any] = {
    "steel.base": "3 mm",
    "steel.shell": "5 mm",
    "filter.cavity_width": 600,
    "filter.cavity_depth": 600,
    "filter.sand_column": 900,
    "filter.charge": 40,
    "filter.least_wall": 100,
    "shop.allowed_bulge": 4,
}
TALL: dict[str, Any] = {
    "filter.sand_column": 900,
    "filter.charge": 20,
    "extraction.friction": 0.8,
    "extraction.grip_greatest": 1.0,
}
BROKEN: dict[str, dict[str, Any]] = {
    "8.34": {**STUCK, "steel.base": "3 mm"},
    "8.35": WIDE,
    "8.36": WIDE,
    "8.37": {**STUCK, "shop.base_margin": 60},
    **{code: {**STUCK, "steel.jack_screw": "M16"} for code in ("8.41", "8.42")},
    "8.43": {"steel.jack_screw": "M10", "extraction.thread_friction_least": 0.05},
    "8.44": {"extraction.grip_greatest": 1.0, "extraction.friction": 0.8, "steel.jack_screw": "M10"},
    "8.45": {**STUCK, "steel.jack_screw": "M10", "steel.base": "3 mm", "filter.sand_column": 900},
    "8.46": {**STUCK, "steel.base": "3 mm"},
    **{code: {**STUCK, "steel.base": "3 mm"} for code in ("8.48", "8.49", "8.50", "8.51")},
    "8.47": {**STUCK, **TALL},
    "8.52": {**STUCK, "steel.jack_screw": "M10"},
    **{code: {"concrete.stripping_age": 24, "concrete.strength": 15} for code in ("8.53", "8.54")},
    "8.56": {"concrete.stripping_age": 16, "extraction.hand_force": 500},
    "8.57": {"shop.release_clearance": 0.3},
    "8.58": {"extraction.hand_force": 50, "extraction.lever": 150},
    "8.59": {"extraction.hand_force": 500},
    "8.60": {**STUCK, **TALL},
}


def test_every_code_has_a_case() -> None:
    assert sorted(BROKEN) == sorted(CODES)


@pytest.mark.parametrize("code", CODES)
def test_each_requirement_can_fail(code: str) -> None:
    found = needs(build(changed(mould().dims.spec, BROKEN[code])))[code]
    assert not found.holds, f"{code}: {found.value:g} against {found.limit:g} {found.unit}"


def test_a_failing_rim_says_what_helps() -> None:
    weak = needs(build(changed(mould().dims.spec, BROKEN["8.53"])))["8.53"]
    assert "Draw later" in weak.cure
    assert all(a.code < b.code for a, b in itertools.pairwise(chapter().requirements))
