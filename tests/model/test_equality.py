"""Parts that are equal share a mark; a mirror image is equal only if turning it over keeps the concrete face right."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest
from conftest import stands
from hypothesis import assume, given
from hypothesis import strategies as st

from mouldgeom.geometry.outline import Outline, Vertex
from mouldgeom.geometry.placement import Placement
from mouldgeom.model.assembly import Mould
from mouldgeom.model.equality import same_bar, same_plate
from mouldgeom.model.shapes import Bar, BarHole, ConcreteFace, Group, Hole, HolePurpose, Plate, SectionKind

HERE = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
OVER = Placement((0.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


def plate(outline: Outline, face: ConcreteFace, holes: tuple[Hole, ...] = (), **more: object) -> Plate:
    return Plate(Group.CORE, stands(HERE), "3 mm", 3.0, outline, face, holes, **more)  # type: ignore[arg-type]  # fields by name


def hole(x: float, y: float, diameter: float = 11.0, purpose: HolePurpose = HolePurpose.BOLT) -> Hole:
    return Hole(x, y, diameter, purpose)


def mirrored(one: Plate) -> Plate:
    """The mirror image about local x = 0."""

    def outline(given: Outline) -> Outline:
        v = given.vertices
        return Outline(tuple(Vertex(-v[i].x, v[i].y, v[i - 1].arc) for i in range(len(v) - 1, -1, -1)))

    return replace(
        one,
        outline=outline(one.outline),
        holes=tuple(replace(h, x=-h.x) for h in one.holes),
        openings=tuple(outline(o) for o in one.openings),
    )


def turned(one: Plate, angle: float, dx: float, dy: float, start: int = 0) -> Plate:
    """The plate turned and moved in its plane, its outline begun at another corner."""
    c, s = math.cos(angle), math.sin(angle)

    def at(x: float, y: float) -> tuple[float, float]:
        return c * x - s * y + dx, s * x + c * y + dy

    def outline(given: Outline, first: int) -> Outline:
        v = [Vertex(*at(p.x, p.y), p.arc) for p in given.vertices]
        return Outline((*v[first % len(v) :], *v[: first % len(v)]))

    holes = []
    for h in reversed(one.holes):
        x, y = at(h.x, h.y)
        holes.append(replace(h, x=x, y=y))
    return replace(
        one,
        outline=outline(one.outline, start),
        holes=tuple(holes),
        openings=tuple(outline(o, start + 1) for o in one.openings),
    )


def assert_lies_on(one: Plate, other: Plate, lay: Placement) -> None:
    """The placement takes corners and holes of the one to those of the other, and its steel into the other's."""
    corners = {(round(v.x, 3) + 0.0, round(v.y, 3) + 0.0) for v in other.outline.vertices}
    flipped = lay.z[2] < 0
    for v in one.outline.vertices:
        x, y, z = lay.to_casting((v.x, v.y, 0.0))
        assert any(math.dist((x, y), corner) < 2e-3 for corner in corners)
        assert z == pytest.approx(-one.thickness if flipped else 0.0)
    for h in one.holes:
        x, y, _ = lay.to_casting((h.x, h.y, 0.0))
        assert any(math.dist((x, y), (o.x, o.y)) < 2e-3 and o.purpose is h.purpose for o in other.holes)
    _, _, middle = lay.to_casting((0.0, 0.0, -one.thickness / 2))
    assert middle == pytest.approx(-one.thickness / 2)


@st.composite
def plates(draw: st.DrawFn, face: ConcreteFace | None = None) -> Plate:
    """A star-shaped outline with straight edges and arcs, and some holes inside."""
    count = draw(st.integers(3, 8))
    radii = [draw(st.integers(60, 200)) for _ in range(count)]
    steps = [2 * math.pi * (i + draw(st.floats(-0.3, 0.3))) / count for i in range(count)]
    bulges = [draw(st.sampled_from([0.0, 0.0, 0.05, 0.2])) for _ in range(count)]
    vertices = tuple(Vertex(r * math.cos(a), r * math.sin(a), b) for r, a, b in zip(radii, steps, bulges, strict=True))
    spots = draw(st.lists(st.tuples(st.integers(-20, 20), st.integers(-20, 20)), max_size=3, unique=True))
    chosen = face or draw(st.sampled_from(list(ConcreteFace)))
    return plate(Outline(vertices), chosen, tuple(hole(x, y, 4.0) for x, y in spots))


POSES = st.tuples(st.floats(-math.pi, math.pi), st.floats(-500, 500), st.floats(-500, 500), st.integers(0, 7))


@given(plates(), POSES)
def test_a_plate_turned_and_moved_is_the_same(one: Plate, pose: tuple[float, float, float, int]) -> None:
    other = turned(one, *pose)
    for a, b in ((one, other), (other, one)):
        lay = same_plate(a, b)
        assert lay is not None
        assert_lies_on(a, b, lay)


@given(plates(ConcreteFace.NONE), POSES)
def test_a_mirror_image_without_a_concrete_face_is_the_same_turned_over(
    one: Plate, pose: tuple[float, float, float, int]
) -> None:
    other = turned(mirrored(one), *pose)
    lay = same_plate(one, other)
    assert lay is not None
    assert_lies_on(one, other, lay)


def chiral(one: Plate) -> bool:
    """Whether no mirror image lies on the plate, told from distances alone: edge lengths read round both ways."""
    edges = [(round(math.dist((a.x, a.y), (b.x, b.y)), 1), a.arc) for a, b in one.outline.edges]
    back = [edges[-i - 1] for i in range(len(edges))]
    return all(back[i:] + back[:i] != edges for i in range(len(edges)))


@given(plates(ConcreteFace.OUTLINE), POSES)
def test_a_mirror_image_with_a_concrete_face_is_another_part(one: Plate, pose: tuple[float, float, float, int]) -> None:
    assume(chiral(one))
    assert same_plate(one, turned(mirrored(one), *pose)) is None


@given(st.integers(50, 200), st.integers(50, 200), POSES)
def test_a_symmetric_mirror_image_is_the_same_in_its_plane(
    width: int, height: int, pose: tuple[float, float, float, int]
) -> None:
    one = plate(Outline.rectangle(0, 0, width, height), ConcreteFace.OUTLINE, (hole(width / 2, 20),))
    lay = same_plate(one, turned(mirrored(one), *pose))
    assert lay is not None
    assert lay.z[2] > 0


@given(plates(), st.data())
def test_any_difference_makes_another_part(one: Plate, data: st.DataObject) -> None:
    vertices = list(one.outline.vertices)
    number = data.draw(st.integers(0, len(vertices) - 1))
    vertices[number] = replace(vertices[number], x=vertices[number].x + 0.5)
    changed = [
        replace(one, sheet="4 mm"),
        replace(one, group=Group.NOSE),
        replace(one, holes=(*one.holes, hole(0, 33))),
        replace(one, openings=(Outline.rectangle(-5, -5, 5, 5),)),
        replace(one, outline=Outline(tuple(vertices))),
    ]
    if one.holes:
        first, *rest = one.holes
        changed += [
            replace(one, holes=(replace(first, diameter=4.5), *rest)),
            replace(one, holes=(replace(first, purpose=HolePurpose.SCREW), *rest)),
            replace(one, holes=tuple(rest)),
        ]
    for other in changed:
        assert same_plate(one, other) is None
        assert same_plate(other, one) is None


def test_a_concrete_face_is_a_difference() -> None:
    outline = Outline.rectangle(0, 0, 100, 50)
    assert same_plate(plate(outline, ConcreteFace.OUTLINE), plate(outline, ConcreteFace.NONE)) is None


@pytest.mark.parametrize("face", list(ConcreteFace))
def test_openings_are_compared_in_shape_and_place(face: ConcreteFace) -> None:
    outline = Outline.rectangle(0, 0, 100, 100)
    one = plate(outline, face, openings=(Outline.rectangle(10, 10, 30, 20),))
    assert same_plate(one, turned(one, math.pi / 2, 7, 8, 1)) is not None
    moved = replace(one, openings=(Outline.rectangle(12, 10, 32, 20),))
    round_cornered = replace(one, openings=(Outline.rectangle(10, 10, 30, 20, 3.0),))
    assert same_plate(one, moved) is None
    assert same_plate(one, round_cornered) is None
    # an opening near one corner: the mirror image of the square lies on itself, that of the opening does not
    assert (same_plate(one, mirrored(one)) is None) is (face is ConcreteFace.OUTLINE)
    assert (same_plate(mirrored(round_cornered), round_cornered) is None) is (face is ConcreteFace.OUTLINE)


def test_an_opening_with_its_arcs_the_other_way_is_another() -> None:
    def keyhole(arc: float) -> Outline:
        return Outline((Vertex(40, 40), Vertex(60, 40, arc), Vertex(60, 60, -arc), Vertex(40, 60)))

    outline = Outline.rectangle(0, 0, 100, 130)
    one, other = (plate(outline, ConcreteFace.OUTLINE, openings=(keyhole(b),)) for b in (0.3, -0.3))
    assert one.openings[0].area == pytest.approx(other.openings[0].area)
    assert same_plate(one, other) is None


# ---------------------------------------------------------------- bars


def angle_bar(*holes: tuple[str, float, float], length: float = 300.0) -> Bar:
    made = tuple(BarHole(leg, offset, along, 11.0, HolePurpose.BOLT) for leg, offset, along in holes)
    return Bar(Group.OUTER_BOX, stands(HERE), SectionKind.ANGLE, "40x40x4", length, made)


def test_an_angle_lies_on_itself_with_legs_and_ends_changed() -> None:
    one, other = angle_bar(("x", 22, 40), ("x", 22, 100)), angle_bar(("y", 22, 260), ("y", 22, 200))
    lay = same_bar(one, other)
    assert lay is not None
    for h in one.holes:  # a hole of the x leg is at (offset, 0, along) of the bar
        x, y, along = lay.to_casting((h.offset, 0.0, h.along))
        assert any((x, y, along) == pytest.approx((0.0, o.offset, o.along)) for o in other.holes)


@pytest.mark.parametrize(
    "other",
    [
        angle_bar(("y", 22, 40), ("y", 22, 100)),  # the mirror image
        angle_bar(("x", 22, 260), ("x", 22, 200)),  # the other mirror image
        angle_bar(("x", 22, 40)),
        angle_bar(("x", 22, 40), ("x", 23, 100)),
        angle_bar(("x", 22, 40), ("x", 22, 100), length=301.0),
    ],
)
def test_other_angles(other: Bar) -> None:
    assert same_bar(angle_bar(("x", 22, 40), ("x", 22, 100)), other) is None


# ---------------------------------------------------------------- in the mould


def quantities(mould: Mould, start: str) -> list[int]:
    return sorted(part.quantity for part in (*mould.plates, *mould.bars) if part.name.startswith(start))


def test_nose_sides_are_two_parts_for_their_faces_differ(example: Mould) -> None:
    assert quantities(example, "nose side") == [1, 1]
    left, right = (next(p for p in example.plates if p.name == f"nose side, {side}") for side in ("left", "right"))
    assert left.concrete_face is right.concrete_face is ConcreteFace.OUTLINE
    bare = [replace(p, concrete_face=ConcreteFace.NONE) for p in (left, right)]
    assert same_plate(*bare) is not None  # without concrete the one would be the other, turned over


def test_corner_flanges_are_two_and_two(example: Mould) -> None:
    assert quantities(example, "corner flange") == [2, 2]
    for part in example.bars:
        if part.name.startswith("corner flange"):
            names = " ".join(stand.id.name for stand in part.stands)
            assert names.count("front") == names.count("back") == 1
            assert names.count("left") == names.count("right") == 1


def test_equal_parts_share_a_mark_and_others_do_not(either: Mould) -> None:
    for parts, same in ((either.plates, same_plate), (either.bars, same_bar)):
        for i, one in enumerate(parts):
            for other in parts[i + 1 :]:
                assert same(one, other) is None, f"{one.name} and {other.name} are the same"
    marks = Counter(part.mark for part in either.parts)
    assert set(marks.values()) == {1}
    for part in either.parts:
        assert part.quantity == len(part.stands) >= 1
    names = [piece.id for piece in either.pieces()]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(
    ("start", "count"), [("core wall", 4), ("ledge strip", 4), ("side panel", 2), ("nut plate", 4), ("thrust pad", 4)]
)
def test_as_many_pieces_as_there_are_places(start: str, count: int, example: Mould) -> None:
    assert sum(quantities(example, start)) == count


@pytest.mark.parametrize(("start", "count"), [("gusset", 4), ("bridge cap", 2), ("bridge leg", 2)])
def test_as_many_pieces_of_a_bridge_as_there_are_places(start: str, count: int, bridged_example: Mould) -> None:
    assert sum(quantities(bridged_example, start)) == count


def test_left_and_right_walls_share_a_mark_and_front_walls_another(hill: Mould) -> None:
    assert quantities(hill, "core wall") == [2, 2]
    assert quantities(hill, "ledge strip") == [2, 2]


def test_every_piece_with_a_concrete_face_looks_at_the_concrete(example: Mould) -> None:
    """However a part was turned to be the same as another, its local z still points to the concrete."""
    dims = example.dims
    for piece in example.pieces():
        if not (isinstance(piece.part, Plate) and piece.part.concrete_face is ConcreteFace.OUTLINE):
            continue
        if piece.part.group is Group.OUTER_BOX:  # panels look inwards
            x0, y0, x1, y1 = piece.part.outline.bounds
            middle = piece.placement.to_casting(((x0 + x1) / 2, (y0 + y1) / 2, 0.0))
            assert piece.placement.z[0] * middle[0] + piece.placement.z[1] * middle[1] < 0
        if piece.part.group is Group.CORE and "end plate" not in piece.name:  # core walls and strips look outwards
            x0, y0, x1, y1 = piece.part.outline.bounds
            middle = piece.placement.to_casting(((x0 + x1) / 2, (y0 + y1) / 2, 0.0))
            assert piece.placement.z[0] * middle[0] + piece.placement.z[1] * middle[1] > 0
            assert piece.placement.z[2] == pytest.approx(math.sin(math.radians(dims.draft)))
