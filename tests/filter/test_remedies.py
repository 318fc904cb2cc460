"""Refusals of levels, tube, nose and base opening: what they print never contradicts itself, and followed, it cures."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given
from random_specs import changed, profile, specs

from mouldgeom import load, parse
from mouldgeom.design.dimensions import derive
from mouldgeom.errors import SpecError
from mouldgeom.outputs.size_report import body_of
from mouldgeom.spec import Spec

HILL = load("hill-example")
PRINTED = re.compile(r'\((\w+\.\w+) = (?:([\d.]+) \w+|"([^"]+)")\)')
CASES: dict[str, tuple[dict[str, Any], str, set[str]]] = {
    # a specification that is refused, the field that it is refused for, and the fields that cure it
    "bore in tube": ({"tube.bore": 9.4}, "tube.bore", {"tube.bore"}),
    "bore in a wide tube": (
        {"tube.bore": 18.3, "tube.outside_diameter": 19, "filter.least_wall": 50},
        "tube.bore",
        {"tube.bore", "tube.outside_diameter"},
    ),
    "bore between": (
        {"tube.bore": 10, "tube.outside_diameter": 12, "tube.bend_radius": 36},
        "tube.bore",
        {"tube.bore"},
    ),
    "bore between, wide": ({"tube.bore": 14, "tube.outside_diameter": 18}, "tube.bore", {"tube.bore"}),
    "bore between, tight": (
        {"tube.bore": 8.5, "tube.outside_diameter": 9.5, "tube.bend_radius": 16, "tube.tail": 2},
        "tube.bore",
        {"tube.bore", "filter.water_over_sand"},
    ),
    "bends": (
        {"tube.outside_diameter": 9.525, "tube.bore": 6, "tube.bend_radius": 14},
        "tube.bend_radius",
        {"tube.bend_radius"},
    ),
    "inlet": ({"tube.inlet_rise": 5}, "tube.inlet_rise", {"tube.inlet_rise"}),
    "cover": ({"tube.cover": 25}, "tube.cover", {"tube.cover", "filter.least_wall"}),
    "thin wall": ({"filter.least_wall": 30}, "tube.cover", {"tube.cover", "filter.least_wall"}),
    "crest": ({"tube.crest_head": 200}, "tube.crest_head", {"tube.crest_head"}),
    "crest, low charge": (
        {"filter.charge": 4, "filter.cavity_width": 400, "filter.cavity_depth": 400, "filter.ledge_clearance": 10},
        "tube.crest_head",
        {"filter.charge"},
    ),
    "turn at the panel": (
        {"tube.bend_radius": 15.5}, "tube.bend_radius", {"tube.bend_radius", "tube.cover"},
    ),
    "turn over the opening": (
        {"tube.cover": 40, "filter.least_wall": 100, "tube.tail": 2}, "tube.bend_radius", {"tube.tail", "tube.cover"},
    ),
    "first bend": ({"tube.bend_radius": 60}, "tube.bend_radius", {"tube.bend_radius", "filter.least_wall"}),
    "nose": (
        {"filter.freeboard": 10, "filter.charge": 5, "filter.cavity_width": 300, "filter.cavity_depth": 300,
         "tube.crest_head": 5},
        "filter.freeboard",
        {"filter.freeboard", "filter.charge"},
    ),
    "ledge": (
        {"filter.charge": 4, "filter.cavity_width": 420, "filter.cavity_depth": 420, "filter.ledge_clearance": 40,
         "tube.crest_head": 5, "filter.freeboard": 150},
        "filter.charge",
        {"filter.charge", "filter.ledge_clearance", "filter.cavity_width"},
    ),
    "draft": (
        {"filter.cavity_depth": 160, "filter.charge": 40, "filter.sand_column": 900},
        "filter.draft",
        {"filter.draft", "filter.cavity_depth"},
    ),
    "land": (
        {"filter.cavity_width": 160, "filter.cavity_depth": 160, "filter.charge": 5, "filter.sand_column": 300,
         "shop.weld_land": 60},
        "shop.weld_land",
        {"shop.weld_land"},
    ),
    "opened too early": (
        {"concrete.stripping_age": 8, "concrete.curing_temperature": 15},
        "concrete.stripping_age",
        {"concrete.stripping_age"},
    ),
    "land, wide one way": (
        {"filter.cavity_width": 160, "filter.cavity_depth": 250, "filter.charge": 5, "filter.sand_column": 300,
         "shop.weld_land": 60},
        "shop.weld_land",
        {"shop.weld_land", "filter.cavity_width"},
    ),
    "screw on a narrow rim": (
        {"filter.least_wall": 40, "tube.cover": 12},
        "steel.jack_screw",
        {"steel.jack_screw", "filter.least_wall", "extraction.gear"},
    ),
    "screw on a narrow rim, no leg for a bridge": (
        {"steel.jack_screw": "M30", "steel.square_tube": "60x60x3.2"},
        "steel.jack_screw",
        {"steel.jack_screw", "filter.least_wall"},
    ),
    "screw on a narrow rim, bolts as thick": (
        {"filter.least_wall": 30, "tube.cover": 9, "steel.bolt": "M14", "steel.angle": "60x60x6",
         "steel.jack_screw": "M16"},
        "steel.jack_screw",
        {"filter.least_wall", "extraction.gear"},
    ),
}  # fmt: skip
WIDE_RUNNERS = """
[filter]
cavity_width = 300
cavity_depth = 160
charge = 8
[steel]
square_tube = "100x100x4"
[[own.square_tube]]
designation = "100x100x4"
side = 100
thickness = 4
source = "list of a dealer"
"""


def refusal_of(spec: Spec) -> SpecError | None:
    try:
        derive(spec)
    except SpecError as error:
        return error
    return None


def cures(error: SpecError) -> dict[str, float | str]:
    """Fields and values that a remedy prints."""
    return {field: float(number) if number else text for field, number, text in PRINTED.findall(error.remedy)}


def contradicts_itself(error: SpecError) -> bool:
    """Whether two of the numbers that are held against each other print alike."""
    said = re.findall(r"-?\d+(?:\.\d+)?", error.limit.replace("1.5 diameters", "").replace("0.5 mm of wall", ""))
    return len(said) > len(set(said))


@pytest.mark.parametrize(("changes", "name", "fields"), CASES.values(), ids=CASES)
def test_a_printed_remedy_cures_when_it_is_followed(changes: dict[str, Any], name: str, fields: set[str]) -> None:
    error = refusal_of(changed(HILL, changes))
    assert error is not None
    assert error.name == name
    assert set(cures(error)) == fields
    assert not contradicts_itself(error), error
    for field, value in cures(error).items():
        followed, refused = {**changes, field: value}, [name]
        while (after := refusal_of(changed(HILL, followed))) is not None:
            assert after.name not in refused, f"{error} -> {followed} -> {after}"
            refused.append(after.name)
            followed |= dict([next(iter(cures(after).items()))])
        assert len(refused) <= 2, f"{error} -> {followed}"


@pytest.mark.parametrize(("changes", "name", "fields"), CASES.values(), ids=CASES)
@pytest.mark.parametrize("short", [3e-6, 1e-4, 0.004, 0.04, 0.06])
def test_what_misses_by_little_prints_no_two_equal_numbers_and_is_cured(
    changes: dict[str, Any], name: str, fields: set[str], short: float
) -> None:
    """From what a remedy prints, back towards what was refused by less than is printed: refused again, or good."""
    first = refusal_of(changed(HILL, changes))
    assert first is not None
    for field, value in cures(first).items():
        if isinstance(value, str):
            continue
        group, leaf = field.split(".")
        before = getattr(getattr(changed(HILL, changes), group), leaf)
        nearly = {**changes, field: value + short * (1 if before > value else -1)}
        error = refusal_of(changed(HILL, nearly))
        if error is None:
            continue
        assert not contradicts_itself(error), error
        assert cures(error), error
        for other, cure in cures(error).items():
            after = refusal_of(changed(HILL, {**nearly, other: cure}))
            assert after is None or after.name != error.name, f"{error} -> {other} = {cure} -> {after}"


def test_forcing_screws_between_wide_runners_are_cured_by_a_deeper_cavity() -> None:
    """A bridge would have no angle that its legs of the same tube are welded on."""
    spec = parse(WIDE_RUNNERS)
    error = refusal_of(spec)
    assert error is not None
    assert error.name == "filter.cavity_depth"
    assert "stand in each other's way" in error.limit
    assert set(cures(error)) == {"filter.cavity_depth"}
    assert refusal_of(spec.changed(cures(error))) is None
    least = float(cures(error)["filter.cavity_depth"])
    assert refusal_of(spec.changed({"filter.cavity_depth": least - 4})) is not None


def refused_body(spec: Spec) -> SpecError | None:
    """What levels, tube or nose are refused for; nothing where it is the steel."""
    try:
        body_of(spec)
    except SpecError as error:
        return error if error.name.startswith(("filter.", "tube.")) else None
    return None


@pytest.mark.slow
@profile(200, shrink=False)
@given(specs())
def test_whatever_is_refused_is_cured_by_what_is_printed(spec: Spec) -> None:
    error = refused_body(spec)
    if error is None:
        return
    assert not contradicts_itself(error), error
    for field, value in cures(error).items():
        after = refused_body(changed(spec, {field: value}))
        assert after is None or after.name != error.name, f"{error} -> {after}"
