"""The mould's parts: all there, derived from the specification alone, and clear of the traps of the mechanism."""

from __future__ import annotations

import ast
import dataclasses
import itertools
import math
from pathlib import Path
from typing import Any

import pytest
from conftest import named
from random_specs import changed, numeric_fields

import mouldgeom.model.parts
from mouldgeom import GeometryError, SpecError, rules, tables
from mouldgeom.design.dimensions import Dimensions, field_bulge
from mouldgeom.geometry.outline import Outline
from mouldgeom.geometry.placement import Vec, cross, dot
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.shapes import Bar, ConcreteFace, FastenerKind, Group, HolePurpose, Plate, SectionKind
from mouldgeom.outputs.records import part_records
from mouldgeom.spec import Spec, limits_of
from mouldgeom.spec.fields import Gear


def corners(made: Mould, name: str) -> list[Vec]:
    """Corners of a plate in the casting frame, concrete face and outer face."""
    piece = named(made, name)
    assert isinstance(piece.part, Plate)
    flat = piece.part.outline.points()
    return [piece.placement.to_casting((x, y, z)) for z in (0.0, -piece.part.thickness) for x, y in flat]


def spans(points: list[Vec]) -> list[tuple[float, float]]:
    return [(min(p[i] for p in points), max(p[i] for p in points)) for i in range(3)]


def bar_span(made: Mould, name: str) -> list[tuple[float, float]]:
    """Box of a bar in the casting frame, from its section's box and its length."""
    piece = named(made, name)
    bar = piece.part
    assert isinstance(bar, Bar)
    if bar.kind is SectionKind.ANGLE:
        low, high = 0.0, tables.angle(bar.section).leg_mm
    else:
        high = tables.square_tube(bar.section).side_mm / 2 if bar.kind is SectionKind.SQUARE_TUBE else 0.0
        low = -high
    grid = itertools.product((low, high), (low, high), (0.0, bar.length))
    return spans([piece.placement.to_casting(corner) for corner in grid])


# ---------------------------------------------------------------- what must be there


def expected(made: Mould) -> dict[str, tuple[Group, int]]:
    """Heads of the names of the pieces, with group and number: mould.md section 2."""
    lines = len(made.dims.stiffener_z)
    wanted = {
        "front panel": (Group.OUTER_BOX, 1),
        "back panel": (Group.OUTER_BOX, 1),
        "side panel": (Group.OUTER_BOX, 2),
        "corner flange": (Group.OUTER_BOX, 4),
        "front base flange": (Group.OUTER_BOX, 2),
        "side base flange": (Group.OUTER_BOX, 2),
        "front stiffener": (Group.OUTER_BOX, 2 * lines),
        "side stiffener": (Group.OUTER_BOX, 2 * lines),
        "handle": (Group.OUTER_BOX, 8),
        "core wall": (Group.CORE, 4),
        "ledge strip": (Group.CORE, 4),
        "end plate": (Group.CORE, 1),
        "base plate": (Group.BASE, 1),
        "runner": (Group.BASE, 2),
        "nose side": (Group.NOSE, 2),
        "nose front": (Group.NOSE, 1),
        "nose lid": (Group.NOSE, 1),
        "nose flange": (Group.NOSE, 2),
        "pin plate": (Group.TURNING, 2),
        "trunnion pin": (Group.TURNING, 2),
        "pin keeper": (Group.TURNING, 4),
        "hanger": (Group.TURNING, 2),
        "closing bar": (Group.TURNING, 2),
        "closing clip": (Group.TURNING, 4),
    }
    diaphragms = {f"diaphragm {i}": (Group.CORE, 1) for i in range(1, len(made.dims.diaphragm_z) + 1)}
    return wanted | diaphragms | (OF_BRIDGE if made.dims.spec.extraction.gear is Gear.BRIDGE else OF_FORCING)


OF_BRIDGE = {
    "gusset": (Group.OUTER_BOX, 4),
    "anchor plate": (Group.CORE, 1),
    "bridge cap": (Group.EXTRACTION, 2),
    "washer plate": (Group.EXTRACTION, 1),
    "bridge leg": (Group.EXTRACTION, 2),
    "bridge beam": (Group.EXTRACTION, 2),
    "jack screw": (Group.EXTRACTION, 1),
}
OF_FORCING = {
    "nut plate": (Group.EXTRACTION, 4),
    "thrust pad": (Group.EXTRACTION, 4),
    "forcing screw": (Group.EXTRACTION, 4),
}


def test_every_part_is_there(either: Mould) -> None:
    found: dict[str, tuple[Group, int]] = {}
    for piece in either.pieces():
        if piece.part.group is not Group.FASTENERS:
            head = piece.name.split(",")[0]
            found[head] = (piece.part.group, found.get(head, (None, 0))[1] + 1)
    assert found == expected(either)


def test_fasteners_by_the_bolt_rows(either: Mould) -> None:
    """A bolt, a nut and two washers for each point of each row.

    Three nuts on each screw that draws the core: one jack screw, with a washer, or four forcing screws.
    """
    bolts = sum(len(row.points) for row in either.rows)
    jack = either.dims.stock.jack.designation
    count: dict[tuple[str, bool], int] = {}
    for part in either.fasteners:
        key = (part.kind, part.designation == jack)
        count[key] = count.get(key, 0) + part.quantity
    assert count == {
        (FastenerKind.BOLT, False): bolts,
        (FastenerKind.NUT, False): bolts,
        (FastenerKind.WASHER, False): 2 * bolts,
        **(
            {(FastenerKind.NUT, True): 3, (FastenerKind.WASHER, True): 1}
            if either.dims.has_bridge
            else {(FastenerKind.NUT, True): 12}
        ),
    }


def test_bolts_pass_their_grip(example: Mould) -> None:
    """Shank through both washers, all members and the nut, with two threads beyond; a shorter stock length does not."""
    lengths = {stand.id.name: part.length for part in example.fasteners for stand in part.stands}
    for row in example.rows:
        bolt = tables.bolt(row.bolt)
        need = row.grip + 2 * bolt.washer_thickness_mm + bolt.nut_height_mm + 2 * bolt.pitch_mm
        length = lengths[f"bolt, {row.name} 1"]
        assert length >= need
        assert not [x for x in tables.bolt_lengths(row.bolt) if need <= x < length]


def test_front_and_back_panels_differ_by_the_opening(example: Mould) -> None:
    front, back = named(example, "front panel").part, named(example, "back panel").part
    assert isinstance(front, Plate)
    assert isinstance(back, Plate)
    assert (len(front.openings), len(back.openings)) == (1, 0)
    assert front.outline.area == pytest.approx(back.outline.area)


def test_mirror_images_are_equal_only_if_the_concrete_face_stays_right(example: Mould) -> None:
    """The nose sides mirror each other, and turned over they would show the concrete their rough face."""
    left, right = named(example, "nose side, left").part, named(example, "nose side, right").part
    assert left.mark != right.mark
    assert isinstance(left, Plate)
    assert isinstance(right, Plate)
    assert left.area == pytest.approx(right.area)
    flanges = {named(example, f"corner flange, {end} {side}").mark for end in ("front", "back") for side in SIDES}
    assert len(flanges) == 2


def test_mirror_images_without_concrete_are_equal(bridged_example: Mould) -> None:
    gussets = {named(bridged_example, f"gusset, {side} {end}").mark for end in ("front", "back") for side in SIDES}
    assert len(gussets) == 1


SIDES = ("left", "right")


def test_placements_turn_and_never_mirror(example: Mould) -> None:
    for piece in example.pieces():
        at = piece.placement
        assert dot(cross(at.x, at.y), at.z) == pytest.approx(1, abs=1e-9)


def test_left_is_at_positive_x_of_the_casting_frame(example: Mould) -> None:
    """(x, y, z) of the upright filter stands at (-x, y, H - z): what the front view calls left is at +x."""
    for piece in example.pieces():
        if isinstance(piece.part, Plate | Bar) and piece.part.group is not Group.FASTENERS:
            words = piece.name.split(", ")[-1].split()
            for side, sign in (("left", 1), ("right", -1)):
                if side in words:
                    box = spans(corners(example, piece.name)) if isinstance(piece.part, Plate) else None
                    x = sum((box or bar_span(example, piece.name))[0]) / 2
                    assert sign * x > 0, piece.name


def test_concrete_faces_look_at_the_concrete(example: Mould) -> None:
    """Local z points from the steel to the concrete: panels inwards, core outwards, base plate up, lid down."""
    towards: dict[str, Vec] = {
        "front panel": (0, 1, 0),
        "back panel": (0, -1, 0),
        "side panel, left": (-1, 0, 0),
        "side panel, right": (1, 0, 0),
        "core wall, front": (0, -1, 0),
        "core wall, left": (1, 0, 0),
        "ledge strip, back": (0, 1, 0),
        "ledge strip, right": (-1, 0, 0),
        "end plate": (0, 0, 1),
        "base plate": (0, 0, 1),
        "nose lid": (0, 0, -1),
        "nose side, left": (-1, 0, 0),
        "nose side, right": (1, 0, 0),
        "nose front": (0, 1, 0),
    }
    for name, way in towards.items():
        piece = named(example, name)
        assert isinstance(piece.part, Plate)
        assert piece.part.concrete_face is ConcreteFace.OUTLINE
        assert dot(piece.placement.z, way) > 0.5, name


# ---------------------------------------------------------------- no dimension is typed into a part

FACTORS = {0, 1, 2, 3, 4, 0.5}
"""Numbers that a part may hold: signs, directions, halves and multiples, no length."""


@pytest.mark.parametrize(
    "path", sorted(Path(mouldgeom.model.parts.__file__).parent.glob("*.py")), ids=lambda path: path.stem
)
def test_no_dimension_is_typed_into_a_part(path: Path) -> None:
    numbers = {
        node.value
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, int | float) and not isinstance(node.value, bool)
    }
    assert numbers <= FACTORS


# ---------------------------------------------------------------- traps of the mechanism


def socket(dims: Dimensions) -> float:
    return rules.socket_outside_diameter(dims.stock.bolt.across_flats_mm) / 2


def test_runners_clear_the_base_bolts(example: Mould) -> None:
    """Bolts come down beside the runners, not on them, with room for a socket on the nut."""
    dims = example.dims
    runners = [bar_span(example, f"runner, {end}") for end in ("front", "back")]
    for row in example.rows:
        if row.name.startswith("base bolts"):
            for x, y, _ in row.points:
                for box in runners:
                    away = max(box[1][0] - y, y - box[1][1])
                    assert away >= socket(dims), (row.name, x, y)


def test_legs_land_on_gussets(bridged_example: Mould) -> None:
    """A gusset stands below each of the two walls of a leg that cross the flange, inside its angle."""
    example, dims = bridged_example, bridged_example.dims
    wall = dims.stock.tube.thickness_mm
    for side in SIDES:
        leg = bar_span(example, f"bridge leg, {side}")
        flange = bar_span(example, f"side base flange, {side}")
        for end, sign in (("front", -1.0), ("back", 1.0)):
            gusset = spans(corners(example, f"gusset, {side} {end}"))
            middle = sum(gusset[1]) / 2
            edge = leg[1][0] if sign < 0 else leg[1][1]
            assert abs(middle - (edge - sign * wall / 2)) < 1e-6
            shared = min(leg[0][1], gusset[0][1]) - max(leg[0][0], gusset[0][0])
            assert shared > 0.6 * (leg[0][1] - leg[0][0]), "the gusset carries less than half of the leg"
            assert flange[0][0] - 1e-6 <= gusset[0][0]
            assert gusset[0][1] <= flange[0][1] + 1e-6
            assert gusset[2][0] == pytest.approx(dims.stock.angle.thickness_mm)


def test_legs_pass_the_notches_of_the_base_plate(bridged_example: Mould) -> None:
    example, dims = bridged_example, bridged_example.dims
    outline = named(example, "base plate").part
    assert isinstance(outline, Plate)
    for side in SIDES:
        leg = bar_span(example, f"bridge leg, {side}")
        clear = dims.spec.shop.leg_clearance
        assert leg[1][1] <= dims.bridge.notch_half - clear + 1e-6
        assert min(abs(leg[0][0]), abs(leg[0][1])) == pytest.approx(dims.bridge.notch_x + clear)


def test_the_tube_ends_flush_with_the_outside_of_the_lid(example: Mould) -> None:
    outside = max(z for _, _, z in corners(example, "nose lid"))
    assert outside == pytest.approx(example.dims.tube.end_z, abs=1e-9)


def test_the_opening_of_the_front_panel_reaches_past_the_lid(example: Mould) -> None:
    """So the end of the tube passes it when the panel draws off."""
    piece = named(example, "front panel")
    assert isinstance(piece.part, Plate)
    (opening,) = piece.part.openings
    top = max(piece.placement.to_casting((x, y, 0.0))[2] for x, y in opening.points())
    assert top >= example.dims.tube.end_z + example.dims.spec.shop.fit_gap - 1e-9


def test_the_hole_of_the_lid_is_where_the_tube_ends(example: Mould) -> None:
    piece, tube = named(example, "nose lid"), example.dims.tube
    assert isinstance(piece.part, Plate)
    (hole,) = [h for h in piece.part.holes if h.purpose is HolePurpose.TUBE]
    x, y, _ = piece.placement.to_casting((hole.x, hole.y, 0.0))
    assert (x, y) == pytest.approx((0.0, tube.leg_y), abs=1e-9)
    assert tube.outside < hole.diameter <= tube.outside + example.dims.spec.shop.fit_gap + 1e-9


def test_the_tube_ends_at_the_rest_level_and_turns_below_the_full_level(example: Mould) -> None:
    dims = example.dims
    assert dims.height - dims.tube.end_z == pytest.approx(dims.levels.rest)
    crest = dims.height - (dims.tube.crest_centre[1] - dims.tube.bend_radius) + dims.tube.bore / 2
    assert dims.levels.full - crest >= dims.spec.tube.crest_head


def test_lowest_corner_bolts_clear_the_base_flange(example: Mould) -> None:
    """The base flange's upright leg ends at its leg length; head, washer and socket stand above it."""
    dims = example.dims
    washer = dims.stock.bolt.washer_outside_mm / 2
    for row in example.rows:
        if row.name.startswith("corner"):
            lowest = min(z for _, _, z in row.points)
            assert lowest - max(socket(dims), washer) > dims.stock.angle.leg_mm


def test_stiffeners_clear_corner_bolts_and_nose(example: Mould) -> None:
    dims = example.dims
    tall = dims.stock.tube.side_mm / 2
    nose = [z for name in NOSE_PLATES for _, _, z in corners(example, name)]
    corner_x = dims.width / 2 + dims.shell + dims.bolting.gauge
    for number, z in enumerate(dims.stiffener_z, 1):
        for end in ("front", "back"):
            box = bar_span(example, f"front stiffener, {end} {number}")
            assert corner_x - box[0][1] >= socket(dims)
        for side in SIDES:
            box = bar_span(example, f"side stiffener, {side} {number}")
            assert box[1][1] <= dims.depth / 2 - dims.stock.angle.leg_mm
        assert z + tall < min(nose) or z - tall > max(nose)
        assert all(abs(bolt - z) >= tall + socket(dims) for bolt in dims.bolting.corner_z)


NOSE_PLATES = ("nose side, left", "nose side, right", "nose front", "nose lid")


def test_ledge_strips_meet_like_the_walls_two_full_and_two_between(example: Mould) -> None:
    dims = example.dims
    for end in ("front", "back"):
        strip = spans(corners(example, f"ledge strip, {end}"))
        assert strip[0][1] == pytest.approx(
            dims.core_half_x(dims.ledge * math.sin(math.radians(dims.draft))) + dims.step
        )
        wall = spans(corners(example, f"core wall, {end}"))
        assert wall[0][1] == pytest.approx(dims.core_half_x(dims.shell * math.sin(math.radians(dims.draft))))
    for side in SIDES:
        strip = spans(corners(example, f"ledge strip, {side}"))
        assert strip[1][1] == pytest.approx(dims.core_half_y(dims.ledge * math.sin(math.radians(dims.draft))))
        wall = spans(corners(example, f"core wall, {side}"))
        assert wall[1][1] < dims.core_half_y(0) - dims.shell


def test_the_strip_s_thickness_is_the_step(example: Mould) -> None:
    dims = example.dims
    assert dims.step == pytest.approx(dims.ledge / math.cos(math.radians(dims.draft)))
    assert dims.width == pytest.approx(dims.spec.filter.cavity_width + 2 * dims.step + 2 * dims.spec.filter.least_wall)
    assert dims.depth == pytest.approx(dims.spec.filter.cavity_depth + 2 * dims.step + 2 * dims.spec.filter.least_wall)


@pytest.mark.parametrize("name", ["core wall", "ledge strip"])
def test_drafted_plates_stand_off_and_never_dip(example: Mould, name: str) -> None:
    """The inner edge just touches the base plate; at the concrete face the gap is thickness x sin(draft)."""
    dims = example.dims
    for where in ("front", "back", "left", "right"):
        piece = named(example, f"{name}, {where}")
        assert isinstance(piece.part, Plate)
        points = corners(example, piece.name)
        face = points[: len(points) // 2]
        assert min(z for _, _, z in points) == pytest.approx(0.0, abs=1e-9)
        gap = piece.part.thickness * math.sin(math.radians(dims.draft))
        assert min(z for _, _, z in face) == pytest.approx(gap, abs=1e-9)
        assert 0 < gap < 0.2


def test_walls_end_below_the_end_plate_and_never_in_it(example: Mould) -> None:
    dims = example.dims
    low = min(z for _, _, z in corners(example, "end plate"))
    for where in ("front", "back", "left", "right"):
        high = max(z for _, _, z in corners(example, f"core wall, {where}"))
        assert high == pytest.approx(low, abs=1e-9)
    assert low == pytest.approx(dims.end_z - dims.shell)


def panel_fields(dims: Dimensions) -> list[tuple[float, float]]:
    return list(itertools.pairwise([dims.stock.angle.leg_mm, *dims.stiffener_z, dims.height]))


def bulge(dims: Dimensions, across: float, low: float, high: float, *, free: bool) -> float:
    return field_bulge(dims.spec, dims.stock, dims.height, across, low, high, free)


def test_panels_bulge_no_further_than_allowed(example: Mould) -> None:
    dims = example.dims
    across = max(dims.width, dims.depth)
    fields = panel_fields(dims)
    for low, high in fields:
        free, half = high == dims.height, dims.stock.tube.side_mm / 2
        foot = low if low == dims.stock.angle.leg_mm else low + half
        assert bulge(dims, across, foot, high if free else high - half, free=free) <= dims.spec.shop.allowed_bulge


def test_stiffeners_stand_closer_where_the_pressure_is_greater(example: Mould) -> None:
    *held, _ = panel_fields(example.dims)
    gaps = [high - low for low, high in held]
    assert gaps == sorted(gaps)
    assert len(set(gaps)) == len(gaps)


def test_panels_without_stiffeners_would_bulge_by_more_than_half_their_thickness(hill: Mould) -> None:
    dims = hill.dims
    assert bulge(dims, dims.width, dims.stock.angle.leg_mm, dims.height, free=True) > dims.shell / 2


def foot(dims: Dimensions) -> float:
    """Where the lowest field of a core wall begins: its anchor plate, or the base plate that it is welded to."""
    return dims.bridge.anchor_z if dims.has_bridge else 0.0


def test_the_next_deeper_stiff_line_passes_each_bulge_of_the_core(either: Mould) -> None:
    """Bulge at most draft x distance from the middle of the field to the line that lies deeper in the filter."""
    dims = either.dims
    across = max(dims.spec.filter.cavity_width, dims.spec.filter.cavity_depth)
    lines = [foot(dims), *dims.diaphragm_z, dims.end_z - dims.shell]
    assert lines == sorted(lines)
    for low, high in itertools.pairwise(lines):
        found = bulge(dims, across, low, high, free=False)
        assert found <= dims.taper * (high - low) / 2
        assert found <= dims.spec.shop.allowed_bulge


@pytest.mark.parametrize("mould", ["hill", "bridged_hill"])
def test_the_core_needs_a_diaphragm_where_one_is_placed(mould: str, request: pytest.FixtureRequest) -> None:
    """Without it the wall of the hill example would bulge further than allowed."""
    dims: Dimensions = request.getfixturevalue(mould).dims
    assert dims.diaphragm_z
    assert bulge(dims, 262, foot(dims), dims.end_z - dims.shell, free=False) > dims.spec.shop.allowed_bulge


def test_the_stroke_releases_the_core(either: Mould) -> None:
    """Clearance square to a drafted wall is travel x sin(draft).

    A bridge stands as far off the base plate; a forcing screw goes on until its drive nut meets the welded nut.
    """
    dims = either.dims
    assert dims.stroke * math.sin(math.radians(dims.draft)) == pytest.approx(dims.spec.shop.release_clearance)
    if dims.has_bridge:
        assert dims.bridge.leg_length - dims.base >= dims.stroke
        return
    for side, end in itertools.product(SIDES, ("front", "back")):
        low, high = (
            named(either, f"forcing nut, {side} {end} {which}").placement.origin[2] for which in ("drive", "welded")
        )
        assert high - (low + dims.stock.jack.nut_height_mm) >= dims.stroke + dims.spec.shop.stroke_spare


def test_a_forcing_screw_stands_on_its_pad_and_the_pad_on_rim_and_nut_plate(example: Mould) -> None:
    """One axis through screw, nuts, plate and pad; the pad lies flush, on the rim, an arris of 5 mm off its edges.

    The pad's middle is set out on the grid that is marked, and so may stand off by as much.
    """
    dims = example.dims
    arris = 5 - rules.MARKED[dims.stock.jack.system]
    inner, outer = dims.spec.filter.cavity_width / 2 + dims.step, dims.width / 2
    for side, end in itertools.product(SIDES, ("front", "back")):
        at = f"{side} {end}"
        screw = named(example, f"forcing screw, {at}").placement.origin[:2]
        assert {named(example, f"forcing nut, {at} {which}").placement.origin[:2] for which in NUTS} == {screw}
        pad, plate = (spans(corners(example, f"{name}, {at}")) for name in ("thrust pad", "nut plate"))
        assert [sum(span) / 2 for span in pad[:2]] == pytest.approx(screw)
        assert pad[2] == pytest.approx((-dims.base, 0.0))
        assert plate[2] == pytest.approx((-2 * dims.base, -dims.base))
        assert bar_span(example, f"forcing screw, {at}")[2][1] == pytest.approx(-dims.base)
        across = sorted(abs(x) for x in pad[0])
        assert inner + arris <= across[0] < across[1] <= outer - arris
        nut_plate = named(example, f"nut plate, {at}")
        assert isinstance(nut_plate.part, Plate)
        (hole,) = nut_plate.part.holes
        assert nut_plate.placement.to_casting((hole.x, hole.y, 0.0))[:2] == pytest.approx(screw)
        assert dims.stock.jack.diameter_mm < hole.diameter < across[1] - across[0]
        for low, high in zip(pad[:2], plate[:2], strict=True):
            assert high[0] < low[0] < low[1] < high[1]


NUTS = ("welded", "drive", "lock")


def test_a_bridge_is_asked_for_by_one_field(hill: Mould, bridged_hill: Mould) -> None:
    """Gear that is not there has no sizes."""
    assert (hill.dims.has_bridge, bridged_hill.dims.has_bridge) == (False, True)
    with pytest.raises(GeometryError, match="drawn by Forcing, not by Bridge"):
        _ = hill.dims.bridge
    with pytest.raises(GeometryError, match="drawn by Bridge, not by Forcing"):
        _ = bridged_hill.dims.forcing


# ---------------------------------------------------------------- a changed field rebuilds everything


def records(made: Mould) -> dict[str, dict[str, Any]]:
    return {record["mark"]: record for record in part_records(made)}


def derived(dims: Dimensions) -> dict[str, Any]:
    return {f.name: getattr(dims, f.name) for f in dataclasses.fields(dims) if f.name not in ("spec", "stock")}


NO_LENGTH = {
    *("concrete.largest_stone", "concrete.density", "concrete.unit_weight_fresh"),
    *("tube.crest_head", "shop.allowed_leak", "shop.allowed_bulge", "shop.centring", "shop.allowed_undersize"),
    *("shop.kerf", "shop.pilot_diameter", "shop.mark_height", "shop.bolt_pitch"),
    *("shop.part_spacing", "shop.sheet_margin", "shop.saw_kerf", "shop.end_trim"),
}
"""Limits, weights, and what only the cutting files show: they move a part only if they bind."""
NO_PART = {"tube.bore", "tube.inlet_rise"}
"""They change the tube's path or bore, which is concrete and tube and no steel."""
OF_A_BRIDGE = {"shop.leg_clearance", "shop.weld_access"}
"""They place legs and anchor plate; without a bridge the latter holds a diaphragm up only if one is so low."""
GEOMETRIC_GROUPS = {"filter", "tube", "shop"}


def nudged(spec: Spec, path: str) -> Spec:
    """The field a fiftieth of its range further, or as much back if that is refused.

    What a screw has to spare goes 5 mm further: screws are cut in steps of 5 mm.
    """
    group, field = path.split(".")
    limits = {name: limits_of(info) for name, _, info in numeric_fields()}[path]
    assert limits is not None
    value = getattr(getattr(spec, group), field)
    for step in (0.02, -0.02):
        least = math.copysign(5.0, step) if path == "shop.stroke_spare" else 0.0
        new = 120.0 if path == "shop.bolt_pitch" else round(value + (least or step * (limits[1] - limits[0])), 4)
        if limits[0] <= new <= limits[1]:
            other = changed(spec, {path: new})
            try:
                build(other)
            except SpecError:
                continue
            return other
    raise AssertionError(f"{path} cannot be moved either way")


@pytest.mark.parametrize("gear", ["hill", "bridged_hill"])
@pytest.mark.parametrize("path", [path for path, _, _ in numeric_fields()])
def test_a_nudged_field_rebuilds_what_it_should(path: str, gear: str, request: pytest.FixtureRequest) -> None:
    before: Mould = request.getfixturevalue(gear)
    spec = nudged(before.dims.spec, path)
    after = build(spec)
    assert spec.digest != before.dims.spec.digest
    same_lengths = derived(before.dims) == derived(after.dims)
    same_parts = records(before) == records(after)
    if path.split(".")[0] not in GEOMETRIC_GROUPS or path in NO_LENGTH:
        assert same_lengths == same_parts
    elif path in OF_A_BRIDGE and not before.dims.has_bridge:
        assert same_lengths
        assert same_parts
    else:
        assert not same_lengths, path
        assert same_parts == (path in NO_PART), path


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("steel.shell", "4 mm"),
        ("steel.ledge", "5 mm"),
        ("steel.base", "8 mm"),
        ("steel.angle", "50x50x5"),
        ("steel.square_tube", "30x30x2"),
        ("steel.rod", "10 mm"),
        ("steel.bolt", "M8"),
        ("steel.jack_screw", "M20"),
        ("extraction.gear", "bridge"),
        ("shop.bolt_pitch", 100),
        ("shop.allowed_bulge", 0.6),
    ],
)
def test_a_changed_choice_rebuilds_parts(hill: Mould, path: str, value: object) -> None:
    spec = changed(hill.dims.spec, {path: value})
    assert records(build(spec)) != records(hill)


ALIKE_AT_50 = {
    *("core wall, front and back", "core wall, left and right", "ledge strip, front and back"),
    *("ledge strip, left and right", "end plate", "diaphragm 1"),
    *("nose side, left", "nose side, right", "nose front", "nose lid", "nose flange"),
    *("corner flange, front left and back right", "corner flange, back left and front right"),
    *("trunnion pin", "pin keeper", "hanger", "closing clip"),
}
"""Parts that are cut the same for 45 and 50 mm of wall: core, corner flanges, nose; what is turned by, but the pin
plates, which follow the stiffeners, and the closing bars."""
GEAR_ALIKE_AT_50 = {
    "hill": {"forcing screw"},
    "bridged_hill": {"gusset", "anchor plate", "bridge cap", "washer plate", "bridge leg", "jack screw"},
}
"""And of either gear: a wider rim takes wider pads on wider nut plates; a bridge all but its beams."""
CHANGED_LENGTHS = {
    *("width", "depth", "tube", "nose", "bolting", "stiffener_z", "front_stiffener_z"),
    *("front_half", "base_half_x", "base_half_y", "runner_y", "runner_half", "gear"),
}


@pytest.mark.parametrize("gear", ["hill", "bridged_hill"])
def test_least_wall_from_45_to_50(gear: str, request: pytest.FixtureRequest) -> None:
    """The outside grows by 10 mm all round, cavity and core stay, and the stiffeners of a wider panel move down.

    Cut differently: the four panels, the base flanges, stiffeners, handles, base plate, runners and bridge beams; the
    corner flanges only if their bolts step aside.  Moved but cut the same: nose, gussets, bridge legs and caps, forcing
    screws.  Not even moved: the core and the jack screw.
    """
    before: Mould = request.getfixturevalue(gear)
    after = build(changed(before.dims.spec, {"filter.least_wall": 50}))
    one, other = derived(before.dims), derived(after.dims)
    assert {name for name in one if one[name] != other[name]} == CHANGED_LENGTHS
    assert after.dims.width - before.dims.width == pytest.approx(10)
    assert after.dims.depth - before.dims.depth == pytest.approx(10)
    old, new = records(before), records(after)
    assert old.keys() == new.keys()
    cut = {r["name"] for r in old.values() if r["kind"] != "fastener" and not same_cut(r, new[r["mark"]])}
    kept = {r["name"] for r in old.values() if r["kind"] != "fastener"} - cut
    assert kept == ALIKE_AT_50 | GEAR_ALIKE_AT_50[gear]
    core = [r for r in old.values() if r["group"] == "core" or r["name"] == "jack screw"]
    assert all(new[r["mark"]] == r for r in core)


def same_cut(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether two records are the same but for how many there are and where they stand."""
    return all(one[key] == other[key] for key in one if key not in ("placements", "pieces", "quantity"))


def test_outline_refuses_to_run_clockwise() -> None:
    square = Outline.rectangle(0, 0, 10, 10)
    assert square.area == 100
    assert Outline.polygon(reversed([(0, 0), (10, 0), (10, 10), (0, 10)])).area == 100


def test_the_sides_of_the_nose_stand_off_the_tube_by_its_cover(example: Mould) -> None:
    """Square to the side, from the tube's edge at the tip: the cover, and no more, by the distance from a line."""
    nose, tube = example.dims.nose, example.dims.spec.tube
    along = (nose.tip_half - nose.root_half, nose.tip_y - nose.root_y)
    beside = tube.outside_diameter / 2 - nose.root_half, nose.tip_y - nose.root_y
    away = (along[0] * beside[1] - along[1] * beside[0]) / math.hypot(*along)
    assert abs(away) == pytest.approx(tube.cover, abs=1e-9)
    assert math.degrees(math.atan2(-along[0], -along[1])) == pytest.approx(example.dims.spec.shop.nose_draft)
