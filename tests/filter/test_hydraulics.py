"""Bed, tube and drain curve: they behave as water does, and nothing is lost on the way."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_specs import profile

from mouldgeom.errors import GeometryError, InputError, MeasurementError
from mouldgeom.filter.conductivity import conductivities
from mouldgeom.filter.hydraulics import (
    LAMINAR_LIMIT,
    TURBULENT_LIMIT,
    Bed,
    BedLayer,
    DrainCurve,
    Tube,
    drain,
    friction_factor,
    loading_rate,
    mean_area,
    outlet_flow,
    tube_loss,
)
from mouldgeom.filter.water import kinematic_viscosity

AREA = 262.0**2
REST, LEDGE, FULL, RIM = 645.0, 665.0, 880.0, 910.0
BED = Bed((BedLayer("sand", 480, 3.5e-4, AREA), BedLayer("fine", 50, 5e-3, AREA), BedLayer("coarse", 50, 0.1, AREA)))
TUBE = Tube(8, 900)

temperatures = st.floats(0, 50)
heads = st.floats(0.001, 1.0)
conductivity = st.floats(1e-5, 1e-1)
beds = st.builds(
    lambda thickness, k, side: Bed((BedLayer("sand", thickness, k, side**2),)),
    st.floats(200, 900),
    conductivity,
    st.floats(150, 500),
)
tubes = st.builds(Tube, st.floats(3, 22), st.floats(300, 2500), st.sampled_from([0, 2, 3]))


def stepped_area(level: float) -> float:
    """A cavity of 1 degree draft, with a 6 mm step outwards at the ledge."""
    side = 262 - 2 * (RIM - level) * math.tan(math.radians(1)) - (12 if level < LEDGE else 0)
    return side**2


def integral(values: tuple[float, ...], times: tuple[float, ...]) -> float:
    """Trapezoids of a tabulated function of time."""
    steps = zip(pairwise(values), pairwise(times), strict=True)
    return sum((a + b) / 2 * (t2 - t1) for (a, b), (t1, t2) in steps)


# conductivity


@given(st.floats(0.1, 2), st.floats(1.01, 1.5), st.floats(1.1, 5), st.floats(0.35, 0.5), temperatures)
def test_coarser_sand_conducts_more(
    d10: float, coarser: float, uniformity: float, porosity: float, temperature: float
) -> None:
    fine = conductivities(d10, uniformity, porosity, temperature)
    coarse = conductivities(d10 * coarser, uniformity, porosity, temperature)
    for less, more in zip(fine, coarse, strict=True):
        assert more.value > less.value
        assert less.low < less.value < less.high


@given(st.floats(0.1, 2), st.floats(0.35, 0.5), temperatures, st.floats(0.5, 20))
def test_warmer_water_passes_faster(d10: float, porosity: float, temperature: float, warmer: float) -> None:
    cold = conductivities(d10, 2, porosity, temperature)
    warm = conductivities(d10, 2, porosity, temperature + warmer)
    for less, more in list(zip(cold, warm, strict=True))[1:]:  # Hazen's short form knows no temperature
        assert more.value > less.value


@given(st.floats(0.1, 2), st.floats(0.3, 0.5), st.floats(0.01, 0.1))
def test_looser_sand_conducts_more(d10: float, porosity: float, looser: float) -> None:
    dense_sand, loose_sand = (conductivities(d10, 2, n, 10) for n in (porosity, porosity + looser))
    for dense, loose in zip(dense_sand, loose_sand, strict=True):
        assert loose.value >= dense.value


# bed


def test_gravel_adds_little() -> None:
    sand = Bed(BED.layers[:1])
    assert sand.resistance(20) < BED.resistance(20) < 1.01 * sand.resistance(20)


@given(st.lists(st.tuples(st.floats(10, 900), conductivity), min_size=1, max_size=5))
def test_layers_lie_between_the_best_and_the_worst(values: list[tuple[float, float]]) -> None:
    layers = [BedLayer("layer", thickness, k, AREA) for thickness, k in values]
    # thicknesses in mm, areas in mm2: 1000 mm/m
    together = 1000 * sum(thickness for thickness, _ in values) / (AREA * Bed(tuple(layers)).resistance(20))
    assert min(k for _, k in values) * (1 - 1e-9) <= together <= max(k for _, k in values) * (1 + 1e-9)


def test_mean_area_of_a_tapered_layer_is_exact() -> None:
    """A frustum of 1000 slices resists like one straight layer of the mean area."""
    slices = [BedLayer("slice", 0.5, 1e-4, (240 + 20 * (i + 0.5) / 1000) ** 2) for i in range(1000)]
    straight = BedLayer("whole", 500, 1e-4, mean_area(240**2, 260**2))
    assert Bed((straight,)).resistance(20) == pytest.approx(Bed(tuple(slices)).resistance(20), rel=1e-6)


def test_head_and_flow_are_inverse() -> None:
    flow = BED.flow(0.25, 12)
    assert BED.head_loss(flow, 12) == pytest.approx(0.25, rel=1e-12)


@pytest.mark.parametrize("values", [(0, 1e-4, AREA), (500, 0, AREA), (500, 1e-4, -1), (math.nan, 1e-4, AREA)])
def test_layers_that_cannot_be(values: tuple[float, float, float]) -> None:
    with pytest.raises(MeasurementError, match="above zero"):
        BedLayer("sand", *values)


# tube


@given(st.floats(1, 4e6), st.floats(1.0001, 1.5))
def test_tube_loss_always_rises_with_flow(reynolds: float, more: float) -> None:
    assert friction_factor(reynolds * more) * (reynolds * more) ** 2 > friction_factor(reynolds) * reynolds**2


@pytest.mark.parametrize("limit", [LAMINAR_LIMIT, TURBULENT_LIMIT])
def test_friction_joins_without_a_step(limit: float) -> None:
    assert friction_factor(limit * (1 - 1e-9)) == pytest.approx(friction_factor(limit * (1 + 1e-9)), rel=1e-6)


@given(heads, beds | st.none(), tubes, temperatures)
def test_flow_found_loses_just_the_head(head: float, bed: Bed | None, tube: Tube, temperature: float) -> None:
    flow = outlet_flow(head, bed, tube, temperature)
    lost = tube_loss(tube, flow, kinematic_viscosity(temperature)).total
    if bed is not None:
        lost += bed.head_loss(flow, temperature)
    assert lost == pytest.approx(head, rel=1e-9)


@given(heads, st.floats(1.001, 3), beds | st.none(), tubes, temperatures)
def test_more_head_gives_more_flow(head: float, more: float, bed: Bed | None, tube: Tube, temperature: float) -> None:
    assert outlet_flow(head * more, bed, tube, temperature) > outlet_flow(head, bed, tube, temperature)


@given(heads, beds, tubes, st.floats(1, 2000), temperatures)
def test_a_longer_tube_never_gives_more_flow(
    head: float, bed: Bed, tube: Tube, longer: float, temperature: float
) -> None:
    long = Tube(tube.bore, tube.length + longer, tube.bends)
    short_flow = outlet_flow(head, bed, tube, temperature)
    assert outlet_flow(head, bed, long, temperature) <= short_flow * (1 + 1e-12)
    assert short_flow <= outlet_flow(head, bed, None, temperature) * (1 + 1e-12)


@given(heads, st.floats(1e-5, 5e-4), temperatures, st.floats(0.5, 10))
def test_warmer_is_faster_through_sand_and_tube(head: float, k: float, temperature: float, warmer: float) -> None:
    """Filter sand and the usual tube: laminar throughout, so warmth only helps."""
    bed = Bed((BedLayer("sand", 480, k, AREA),))
    cold = outlet_flow(head, bed, TUBE, temperature)
    assert outlet_flow(head, bed, TUBE, temperature + warmer) > cold


def test_nothing_flows_at_or_below_the_tube_end() -> None:
    for head in (0.0, -0.1):
        assert outlet_flow(head, BED, TUBE, 20) == 0
        assert outlet_flow(head, BED, None, 20) == 0


def test_neither_bed_nor_tube() -> None:
    with pytest.raises(InputError, match="at least one"):
        outlet_flow(0.1, None, None, 20)


@pytest.mark.parametrize("values", [{"bore": 0, "length": 900}, {"bore": 8, "length": -1}])
def test_tubes_that_cannot_be(values: dict[str, float]) -> None:
    with pytest.raises(MeasurementError, match="above zero"):
        Tube(**values)


def test_tube_losses_below_zero_are_refused() -> None:
    with pytest.raises(InputError, match="bend_loss"):
        Tube(8, 900, bend_loss=-0.1)


# drain curve


def test_drain_of_a_real_reservoir() -> None:
    curve = drain(stepped_area, REST, FULL, BED, TUBE, 20)
    assert curve.levels[0] == FULL
    assert curve.levels[-1] == pytest.approx(REST + 2)
    assert curve.flows[0] == outlet_flow(0.235, BED, TUBE, 20)
    assert curve.times[0] == 0
    assert 1.5 < curve.drain_time / 3600 < 2.5
    assert curve.level_at(0) == pytest.approx(FULL)
    assert curve.level_at(curve.drain_time) == pytest.approx(REST + 2)
    assert 0.5 < loading_rate(curve.flow_at(0), AREA) < 0.7


def test_all_of_the_charge_comes_out() -> None:
    """Flow integrated over time is the volume between the levels: a prismoid on each side of the ledge."""
    curve = drain(stepped_area, REST, FULL, BED, TUBE, 20)

    def prismoid(low: float, high: float, area_low: float) -> float:
        return (high - low) / 6 * (area_low + 4 * stepped_area((low + high) / 2) + stepped_area(high))

    below = (LEDGE - REST - 2) / 6 * (
        stepped_area(REST + 2) + 4 * stepped_area((REST + 2 + LEDGE) / 2) + stepped_area(LEDGE - 1e-9)
    )  # fmt: skip
    volume = (below + prismoid(LEDGE, FULL, stepped_area(LEDGE))) / 1e6
    assert curve.drained[-1] == pytest.approx(volume, rel=1e-6)
    assert integral(curve.flows, curve.times) * 1000 == pytest.approx(volume, rel=1e-3)


def test_a_finer_curve_changes_nothing() -> None:
    coarse = drain(stepped_area, REST, FULL, BED, TUBE, 20)
    fine = drain(stepped_area, REST, FULL, BED, TUBE, 20, cells=2000)
    assert coarse.drain_time == pytest.approx(fine.drain_time, rel=1e-6)
    for hours in (0.0, 0.25, 0.5, 1.0, 1.5):
        assert coarse.level_at(hours * 3600) == pytest.approx(fine.level_at(hours * 3600), abs=0.01)
        assert coarse.flow_at(hours * 3600) == pytest.approx(fine.flow_at(hours * 3600), rel=1e-3)


def test_drain_agrees_with_small_steps_of_time() -> None:
    """An independent way: level stepped in time by the midpoint rule."""
    curve = drain(stepped_area, REST, FULL, BED, TUBE, 20)
    level, step = FULL, 1.0
    for _ in range(3600):
        middle = level - step / 2 * outlet_flow((level - REST) / 1000, BED, TUBE, 20) * 1e9 / stepped_area(level)
        level -= step * outlet_flow((middle - REST) / 1000, BED, TUBE, 20) * 1e9 / stepped_area(middle)
    assert curve.level_at(3600) == pytest.approx(level, abs=0.02)


@profile(60)
@given(
    beds | st.none(), tubes | st.none(), temperatures, st.floats(40, 500), st.floats(0, 4), st.floats(0, 12),
    st.floats(0.02, 0.9),
)  # fmt: skip
def test_drain_conserves_water(
    bed: Bed | None, tube: Tube | None, temperature: float, charge: float, draft: float, step: float, ledge: float
) -> None:
    if bed is None and tube is None:
        return

    def area(level: float) -> float:
        return (250 + 2 * level * math.tan(math.radians(draft)) + (step if level >= ledge * charge else 0)) ** 2

    curve = drain(area, 0, charge, bed, tube, temperature)
    assert integral(curve.flows, curve.times) * 1000 == pytest.approx(curve.drained[-1], rel=1e-3)
    assert all(later > sooner for sooner, later in pairwise(curve.times))
    assert all(lower < upper for upper, lower in pairwise(curve.levels))
    assert all(slower <= faster for faster, slower in pairwise(curve.flows))


@profile(40)
@given(st.floats(60, 400), st.floats(1, 200), st.floats(1e-5, 1e-3))
def test_a_larger_charge_never_drains_sooner(charge: float, more: float, k: float) -> None:
    bed = Bed((BedLayer("sand", 500, k, AREA),))
    once = drain(lambda _: AREA, 0, charge, bed, TUBE, 15)
    assert drain(lambda _: AREA, 0, charge + more, bed, TUBE, 15).drain_time > once.drain_time


def test_beyond_the_end_the_curve_goes_on_falling() -> None:
    curve = drain(stepped_area, REST, FULL, BED, TUBE, 20)
    assert 0 < curve.flow_at(2 * curve.drain_time) < curve.flows[-1]
    assert curve.flow_at(-5) == curve.flows[0]
    assert REST < curve.level_at(2 * curve.drain_time) < REST + 2


@pytest.mark.parametrize("residual", [0, -1, 235, 300, math.nan])
def test_residual_must_lie_inside(residual: float) -> None:
    with pytest.raises(InputError, match="residual head"):
        drain(stepped_area, REST, FULL, BED, TUBE, 20, residual=residual)


def test_a_reservoir_without_area_is_refused() -> None:
    with pytest.raises(GeometryError, match="has an area of 0"):
        drain(lambda _: 0.0, REST, FULL, BED, TUBE, 20)


def test_curve_is_plain_data() -> None:
    curve = DrainCurve(0, (0.0, 10.0), (100.0, 10.0), (1e-5, 1e-6), (0.0, 5.0))
    assert curve.flow_at(5) == pytest.approx(1e-5 / math.sqrt(10))
    assert curve.level_at(5) == pytest.approx(100 / math.sqrt(10))
