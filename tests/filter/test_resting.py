"""Where the water comes to rest: three ways in which a tube runs, on the solids, in the limits and on every paper."""

from __future__ import annotations

import dataclasses
import io
import json
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest
from conftest import named
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader
from random_specs import LONG, changed, profile

from mouldgeom import load
from mouldgeom.checks.case import Case
from mouldgeom.checks.filter_checks import check_filter, tube_of
from mouldgeom.cli import main
from mouldgeom.design.dimensions import derive
from mouldgeom.errors import SpecError
from mouldgeom.filter.candidates import Request
from mouldgeom.filter.changes import NoFilterError
from mouldgeom.filter.hydraulics import Bed, BedLayer, Tube, outlet_flow, tube_loss
from mouldgeom.filter.levels import ledge_step, solve_levels
from mouldgeom.filter.resting import Running
from mouldgeom.filter.sizing import size
from mouldgeom.filter.water import kinematic_viscosity
from mouldgeom.filter.weir import SELF_VENTING, critical_flow, leg_filling
from mouldgeom.filter.working import Working
from mouldgeom.model.assembly import Mould, build
from mouldgeom.outputs.filter_section import section_figure
from mouldgeom.outputs.size_report import body_of
from mouldgeom.solids import SolidMould
from mouldgeom.spec import Spec, spec_toml

pytestmark = pytest.mark.slow(seconds=30)

HILL = load("hill-example")
WEIR = {"tube.bore": 16, "tube.outside_diameter": 18, "filter.least_wall": 48}
EITHER = {
    "tube.bore": 8.5, "tube.outside_diameter": 9.5, "tube.bend_radius": 16, "tube.tail": 2,
    "filter.water_over_sand": 58,
}  # fmt: skip


def working_of(spec: Spec) -> Working:
    dims = derive(spec)
    return Working.of(spec, dims.levels, dims.cavity, dims.shell)


def water(case: Case) -> dict[str, tuple[bool, float, str]]:
    return {r.code: (r.holds, r.value, r.where) for r in check_filter(case) if r.code in {"9.4", "9.5"}}


# ---------------------------------------------------------------- how it is laid


def test_a_tube_that_stays_full_is_laid_by_its_end(example_case: Case) -> None:
    dims = example_case.dims
    assert dims.resting.running is Running.FULL
    assert dims.height - dims.tube.end_z == pytest.approx(dims.levels.rest)
    assert (dims.resting.lowest, dims.resting.highest) == (dims.resting.end, dims.resting.end)


@pytest.mark.parametrize("more", [{}, {"tube.bend_radius": 33, "tube.outside_diameter": 20, "filter.least_wall": 55}])
def test_a_weir_is_laid_by_the_invert_of_its_crest(more: dict[str, Any]) -> None:
    dims = derive(changed(HILL, {**WEIR, **more}))
    crest = dims.height - dims.tube.crest_centre[1] + dims.tube.bend_radius
    assert dims.resting.running is Running.WEIR
    assert crest - dims.tube.bore / 2 == pytest.approx(dims.levels.rest)
    assert dims.height - dims.tube.end_z < dims.levels.rest - 20
    assert dims.resting.lowest == dims.resting.highest == pytest.approx(dims.levels.rest)
    assert dims.nose.lid_z == pytest.approx(dims.tube.end_z - dims.shell)


def test_a_bore_between_holds_both_ways_or_is_refused() -> None:
    dims = derive(changed(HILL, EITHER))
    assert dims.resting.running is Running.EITHER
    assert dims.resting.highest == pytest.approx(dims.levels.rest)
    assert dims.resting.lowest == pytest.approx(dims.height - dims.tube.end_z)
    assert 40 <= dims.resting.lowest - dims.levels.sand_top < dims.resting.highest - dims.levels.sand_top <= 60
    with pytest.raises(SpecError, match=r"a smaller bore that stays full \(tube\.bore = 8\.1 mm\)"):
        derive(changed(HILL, {**EITHER, "filter.water_over_sand": 50}))


@profile(60)
@given(st.floats(3, 22), st.floats(40, 60), st.floats(2, 40), st.floats(0, 45))
def test_whatever_is_not_refused_has_its_water_within_the_limits(
    bore: float, over: float, tail: float, warmth: float
) -> None:
    spec = changed(HILL, {
        "tube.bore": bore, "tube.outside_diameter": bore + 3, "tube.bend_radius": 1.5 * bore + 12, "tube.tail": tail,
        "filter.water_over_sand": over, "filter.least_wall": 70, "filter.charge": 15, "water.temperature": warmth,
    })  # fmt: skip
    try:
        body_of(spec)
    except SpecError:
        return
    levels, cavity = solve_levels(spec, ledge_step(spec, 6.0))
    limits = {limit.code: limit for limit in Working.of(spec, levels, cavity, 3.0).flow_limits()}
    assert limits["water-least"].holds
    assert limits["water-greatest"].holds
    assert limits["water-greatest"].value - limits["water-least"].value <= 20 + 1e-6


# ---------------------------------------------------------------- the checks measure the tube that is laid


@pytest.mark.parametrize("changes", [{}, WEIR, EITHER], ids=["full", "weir", "either"])
def test_the_tube_is_measured_where_it_was_laid(changes: dict[str, Any]) -> None:
    case = Case(SolidMould(build(changed(HILL, changes))))
    measured, laid = tube_of(case), case.dims.resting
    assert measured.running is laid.running
    assert measured.end == pytest.approx(laid.end, abs=1e-6)
    assert measured.crest == pytest.approx(laid.crest, abs=1e-6)
    assert all(result.holds for result in check_filter(case))


@pytest.mark.parametrize(
    ("changes", "lift", "failing"),
    [({}, 15, "9.5"), ({}, -15, "9.4"), (WEIR, 15, "9.5"), (WEIR, -15, "9.4"), (EITHER, 4, "9.5"), (EITHER, -4, "9.4")],
)
def test_a_tube_cast_in_at_another_height_fails(changes: dict[str, Any], lift: float, failing: str) -> None:
    """What is asked for stays the same; the solid of the tube stands higher or lower (z counts down when cast)."""
    solids = SolidMould(build(changed(HILL, changes)))
    solids.__dict__["tube"] = solids.tube.moved(cq.Location(cq.Vector(0, 0, -lift)))
    found = water(Case(solids))
    (other,) = {"9.4", "9.5"} - {failing}
    assert not found[failing][0]
    assert found[other][0]


def test_a_wide_tube_laid_like_a_narrow_one_fails(hill: Mould) -> None:
    """Its end at the rest level: the water would stand at the crest, 35 mm higher, and the sand would starve of air."""
    spec = changed(HILL, {"tube.bore": 16, "tube.outside_diameter": 17})
    dims = dataclasses.replace(hill.dims, spec=spec, tube=dataclasses.replace(hill.dims.tube, bore=16.0))
    found = water(Case(SolidMould(dataclasses.replace(hill, dims=dims))))
    assert found["9.5"] == (
        False,
        pytest.approx(50 + 3 + 10 + 30 - 8),
        "at the crest of the tube, which runs as a weir",
    )
    spec = changed(HILL, {"tube.bore": 9})
    dims = dataclasses.replace(hill.dims, spec=spec, tube=dataclasses.replace(hill.dims.tube, bore=9.0))
    found = water(Case(SolidMould(dataclasses.replace(hill, dims=dims))))
    assert found["9.4"] == (True, pytest.approx(50), "at the end of the tube, if it stays full")
    assert found["9.5"][0] is False
    assert found["9.5"][2] == "at the crest, if the tube empties"


def test_a_flow_too_great_for_the_leg_leaves_it_open_where_the_water_rests() -> None:
    """A weir whose leg cannot vent itself may siphon: the lower level counts for the water over the sand."""
    fast = changed(HILL, {
        **WEIR, "filter.cavity_width": 500, "filter.cavity_depth": 500, "filter.charge": 40, "sand.conductivity": 1e-3,
    })  # fmt: skip
    working = working_of(fast)
    assert leg_filling(16, working.full_flow) > SELF_VENTING
    assert working.resting.running is Running.EITHER
    (least,) = [limit for limit in working.flow_limits() if limit.code == "water-least"]
    assert not least.holds
    assert working_of(changed(fast, {"sand.conductivity": 2e-4})).resting.running is Running.WEIR


# ---------------------------------------------------------------- how it flows

beds = st.builds(lambda k: Bed((BedLayer("sand", 480, k, 262.0**2),)), st.floats(1e-5, 1e-3)) | st.none()


@given(st.floats(0.002, 0.4), beds, st.floats(15.1, 22), st.floats(0, 45))
def test_flow_over_the_crest_takes_just_the_head(head: float, bed: Bed | None, bore: float, warmth: float) -> None:
    tube = Tube(bore, 700, bends=2, weir=True)
    flow = outlet_flow(head, bed, tube, warmth)
    low, high = 1e-9, 2 * 3.141592653589793 - 1e-9
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if critical_flow(bore, middle)[0] < flow else (low, middle)
    lost = tube_loss(tube, flow, kinematic_viscosity(warmth)).total + critical_flow(bore, low)[1]
    lost += 0.0 if bed is None else bed.head_loss(flow, warmth)
    assert lost == pytest.approx(head, rel=1e-6)
    assert 0 < flow < outlet_flow(head, bed, Tube(bore, 700, bends=2), warmth)
    assert outlet_flow(-head, bed, tube, warmth) == 0


def test_a_weir_drains_to_its_crest_and_slower_than_a_siphon() -> None:
    weir, full = working_of(changed(HILL, WEIR)), working_of(changed(HILL, {"filter.least_wall": 48}))
    assert weir.drain_curve.rest_level == pytest.approx(690)
    assert weir.drain_curve.levels[-1] == pytest.approx(692)
    assert weir.head == pytest.approx(full.head)
    assert 1.02 < weir.drain_time / full.drain_time < 1.2
    either = working_of(changed(HILL, EITHER))
    assert len(either.ways) == 2
    assert either.head == pytest.approx((either.levels.full - either.resting.end) / 1000)
    assert either.drain_time == pytest.approx(max(c.drain_time for c in [either.drain_curve]) / 3600)


# ---------------------------------------------------------------- sizing


def request(**changes: Any) -> Request:
    return Request(changed(HILL, {name.replace("__", "."): value for name, value in changes.items()}))


@pytest.mark.skipif(not LONG, reason="takes a minute: by .ci/long")
def test_sizing_names_the_bore_that_stays_full() -> None:
    with pytest.raises(NoFilterError) as caught:
        size(request(tube__bore=10, tube__outside_diameter=12, tube__bend_radius=36))
    assert "water over the sand" in caught.value.names
    (bore,) = [change for change in caught.value.changes if change.name == "bore"]
    assert bore.new == 8


def test_sizing_lays_a_weir_by_its_crest() -> None:
    found = size(request(tube__bore=16, tube__outside_diameter=18), body_of, derive)
    dims = derive(found.spec)
    assert dims.resting.running is Running.WEIR
    assert dims.resting.invert == pytest.approx(dims.levels.rest)
    assert found.working.reservoir == pytest.approx(12)
    assert all(limit.holds for limit in found.limits)


# ---------------------------------------------------------------- a weir through the whole package


@pytest.fixture(scope="module")
def package(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("weir")
    spec = folder / "weir.toml"
    spec.write_text(spec_toml(changed(HILL, WEIR)), "utf-8")
    assert main(["make", str(spec), "--out", str(folder / "package")]) == 0, "every check holds"
    return folder / "package"


def text_of(pdf: Path, number: int | None = None) -> str:
    pages = PdfReader(io.BytesIO(pdf.read_bytes())).pages
    chosen = pages if number is None else [pages[number]]
    return " ".join(" ".join(page.extract_text().split()) for page in chosen)


def test_files_of_a_weir(package: Path) -> None:
    record = json.loads((package / "filter/filter.json").read_text("utf-8"))
    assert record["levels_mm"]["rest"] == 690
    assert record["tube"] == {
        "runs": "runs as a weir", "bore_mm": 16.0, "stays_full_up_to_bore_mm": pytest.approx(8.18, abs=0.01),
        "surface_tension_mn_m": pytest.approx(72.74, abs=0.01), "end_mm": 655.0, "crest_invert_mm": 690.0,
        "rest_lowest_mm": 690.0, "rest_highest_mm": 690.0,
    }  # fmt: skip
    checks = json.loads((package / "checks.json").read_text("utf-8"))
    water_checks = [c for c in checks["results"] if c["code"] in {"9.4", "9.5"}]
    assert [(c["provided"], c["where"]) for c in water_checks] == [
        (pytest.approx(50), "at the crest of the tube, which runs as a weir")
    ] * 2


def test_papers_of_a_weir(package: Path) -> None:
    drawings = text_of(package / "drawings.pdf")
    assert "rest level, crest of the tube 690" in drawings
    assert "end of the tube 655" in drawings
    sheet = text_of(package / "build-sheet.pdf")
    assert "It stops at the crest of the tube, 35 mm above its end" in sheet
    assert "Soap or oil in the tube" not in sheet
    assert "the water stands 50 mm over the sand" in sheet


def test_mould_of_a_weir(hill: Mould) -> None:
    """Cover, sides and opening of the nose follow the end of the tube 35 mm down, that is up as it is cast."""
    weir, full = build(changed(HILL, WEIR)), build(changed(HILL, {"filter.least_wall": 48}))
    lower, upper, before = (named(mould, "nose lid").placement.origin[2] for mould in (weir, full, hill))
    assert lower - upper == pytest.approx(10 + 30 + 3 - 8)
    assert weir.dims.nose.opening_top - full.dims.nose.opening_top == pytest.approx(35)
    assert before == pytest.approx(upper)


@pytest.mark.parametrize(
    ("changes", "rows"),
    [
        ({}, {"rest level = end of the tube": 690}),
        (WEIR, {"rest level = crest of the tube": 690, "end of the tube": 655}),
        (EITHER, {"rest level, if the tube empties": 698, "rest level, if it stays full": 681}),
    ],
    ids=["full", "weir", "either"],
)
def test_the_section_names_the_levels(changes: dict[str, Any], rows: dict[str, int], lettered: list[str]) -> None:
    section_figure(derive(changed(HILL, changes)))
    named = {
        words: lettered[i - 1] for i, words in enumerate(lettered) if "of the tube" in words or "rest level" in words
    }
    assert named == {words: str(level) for words, level in rows.items()}
