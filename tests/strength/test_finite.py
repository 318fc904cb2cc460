"""The finite-element path: equilibrium, convergence, symmetry, the whole mould, and what it refuses."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from conftest import Run
from hypothesis import assume, given
from hypothesis import strategies as st
from random_specs import profile

from mouldgeom import EXAMPLES, load
from mouldgeom.errors import GeometryError
from mouldgeom.model.assembly import Mould, build
from mouldgeom.model.shapes import ConcreteFace, Group
from mouldgeom.strength.finite import (
    Edge,
    Edges,
    HoldLine,
    Opening,
    PanelSolution,
    PressedPlate,
    Strip,
    compare,
    faces,
    plate,
    solve_mould,
)
from mouldgeom.strength.panels import greatest_bulges

pytestmark = pytest.mark.slow

STEEL = (210_000.0, 0.3)
EVEN = ((0.0, 0.01),)
HELD = Edges()
CLAMPED = Edges(Edge.CLAMPED, Edge.CLAMPED, Edge.CLAMPED, Edge.CLAMPED)
FREE_TOP = Edges(top=Edge.FREE)
OPEN_BOX = Edges(Edge.CLAMPED, Edge.FREE, Edge.CLAMPED, Edge.CLAMPED)


# ---------------------------------------------------------------- equilibrium and convergence

HOLD = st.sampled_from(list(Edge))
SIZE = st.floats(150, 1000)


@st.composite
def pressed_plates(draw: st.DrawFn) -> PressedPlate:
    width, height, thickness = draw(SIZE), draw(SIZE), draw(st.floats(3, 8))  # a shell has 3 mm or more
    edges = Edges(draw(HOLD), draw(HOLD), draw(HOLD), draw(HOLD))
    held = [edge is not Edge.FREE for edge in (edges.foot, edges.top, edges.left, edges.right)]
    assume(all(held[:2]) or all(held[2:]))
    shares = draw(st.lists(st.integers(1, 19), max_size=3, unique=True))
    lines = [HoldLine(height * i / 20, draw(st.one_of(st.none(), st.floats(1e8, 1e11)))) for i in shares]
    bend = draw(st.floats(0.1, 0.9)) * height
    pressure = ((0.0, draw(st.floats(0, 0.03))), (bend, draw(st.floats(0, 0.03))), (height, draw(st.floats(0, 0.03))))
    kind, opening, top = draw(st.sampled_from(["plain", "opening", "narrows"])), None, None
    if kind == "opening":
        left, right = -width * draw(st.floats(0.05, 0.4)), width * draw(st.floats(0.05, 0.4))
        marks = [0.0, *sorted(line.at for line in lines), height]
        low, high = max(itertools.pairwise(marks), key=lambda pair: pair[1] - pair[0])
        opening = Opening(left, right, low + (high - low) * 0.3, low + (high - low) * 0.6, draw(st.booleans()))
        lines.append(HoldLine(right, 1e9, True, opening.low, opening.high))
    elif kind == "narrows":
        top = width * draw(st.floats(0.5, 1.5))
    strips = (Strip(0.0, height * 0.3, draw(st.floats(2, 8))),) if draw(st.booleans()) else ()
    return PressedPlate(width, height, thickness, 210_000, 0.3, pressure, edges, tuple(lines), strips, opening, top)


def force(pressed: PressedPlate) -> float:
    """Integral of the pressure over the plate, worked out apart: Simpson's rule is exact between the knots."""
    narrowing = (pressed.top_width or pressed.width) / pressed.width - 1
    hole = pressed.opening
    heights, values = zip(*pressed.pressure, strict=True)

    def width(y: float) -> float:
        lost = hole.right - hole.left if hole and not hole.loaded and hole.low < y < hole.high else 0.0
        return pressed.width * (1 + narrowing * y / pressed.height) - lost

    knots = sorted({0.0, pressed.height, *heights, *((hole.low, hole.high) if hole else ())})
    total = 0.0
    for low, high in itertools.pairwise(knots):
        wide = width((low + high) / 2)
        slope = pressed.width * narrowing / pressed.height * (high - low) / 2
        ends = [(low, wide - slope), ((low + high) / 2, wide), (high, wide + slope)]
        total += (
            (high - low)
            / 6
            * sum(k * w * np.interp(y, heights, values) for k, (y, w) in zip((1, 4, 1), ends, strict=True))
        )
    return float(total)


@profile(40)
@given(pressed_plates())
def test_reactions_carry_the_pressure(pressed: PressedPlate) -> None:
    """The sum of reactions is the integral of the pressure, to 1e-6, whatever holds the plate."""
    field = plate(pressed, 0.5)
    total = force(pressed)
    assert field.load == pytest.approx(total, rel=1e-6, abs=1e-6)
    assert sum(r.force for r in field.reactions) == pytest.approx(total, rel=1e-6, abs=1e-6)
    assert all(
        sum(f for _, f in r.along) == pytest.approx(r.force, rel=1e-9, abs=1e-6 * total) for r in field.reactions
    )


@pytest.mark.parametrize("edges", [HELD, CLAMPED, FREE_TOP, OPEN_BOX])
@pytest.mark.parametrize("ratio", [0.4, 1.0, 4.0])
def test_halving_the_mesh_changes_little(edges: Edges, ratio: float) -> None:
    """Deflection by less than 0.2 %, greatest stress by less than 1.5 %."""
    pressed = PressedPlate(300, 300 * ratio, 3, *STEEL, ((0.0, 0.02), (300 * ratio, 0.0)), edges)
    coarse, fine = plate(pressed), plate(pressed, 2.0)
    assert coarse.greatest.value == pytest.approx(fine.greatest.value, rel=0.002)
    assert coarse.stress.value == pytest.approx(fine.stress.value, rel=0.015)


@pytest.mark.parametrize("example", EXAMPLES)
def test_halving_the_mesh_of_a_mould_changes_little(example: str) -> None:
    """Bulge by less than 0.5 %, stress by less than 1 %, faces with their bars, strips and opening."""
    for pressed in dict.fromkeys(face.plate for face in faces(build(load(example)).dims)):
        coarse, fine = plate(pressed), plate(pressed, 2.0)
        assert coarse.greatest.value == pytest.approx(fine.greatest.value, rel=0.005)
        assert coarse.stress.value == pytest.approx(fine.stress.value, rel=0.01)


def test_posts_beside_the_nose() -> None:
    """A stiffer mould has them: bulge and moments of the bars within 1 % of a mesh twice as fine, stress 3 %."""
    spec = load("hill-example")
    stiff = build(spec.model_copy(update={"shop": spec.shop.model_copy(update={"allowed_bulge": 0.5})}))
    assert stiff.dims.nose_posts
    front = faces(stiff.dims)[0].plate
    coarse, fine = plate(front), plate(front, 2.0)
    assert coarse.greatest.value == pytest.approx(fine.greatest.value, rel=0.01)
    assert coarse.stress.value == pytest.approx(fine.stress.value, rel=0.03)
    assert [bar.moment for bar in coarse.bars] == pytest.approx([bar.moment for bar in fine.bars], rel=0.01)


# ---------------------------------------------------------------- one plate


def test_half_of_a_symmetric_plate_is_enough() -> None:
    """A bar of next to no stiffness in the middle makes the whole be solved, on a mesh with one line more: 0.1 %."""
    lines = (HoldLine(300, 5e9), HoldLine(-60, 1e9, True, 50, 200), HoldLine(60, 1e9, True, 50, 200), HoldLine(450))
    opening = Opening(-40, 40, 80, 160, loaded=True)
    half = PressedPlate(360, 700, 3, *STEEL, ((0.0, 0.02), (700.0, 0.0)), FREE_TOP, lines, opening=opening)
    whole = replace(half, lines=(*lines, HoldLine(0, 1e-6, True, 650, 700)))
    assert half.symmetric
    assert not whole.symmetric
    one, other = plate(half), plate(whole)
    assert one.greatest.value == pytest.approx(other.greatest.value, rel=1e-4)
    assert one.load == pytest.approx(other.load, rel=1e-7)
    forces = {r.support: r.force for r in other.reactions}
    assert {r.support: r.force for r in one.reactions} == pytest.approx(forces, rel=1e-3)
    loads = [bar.load for bar in one.bars]
    assert [bar.load for bar in other.bars][: len(loads)] == pytest.approx(loads, rel=1e-3)


def test_the_field_is_smooth_and_fits_its_own_moments() -> None:
    """Moments are rigidity times the curvature that differences of the deflection give: 1 %."""
    field = plate(PressedPlate(300, 400, 3, *STEEL, ((0.0, 0.02), (400.0, 0.0)), FREE_TOP))
    rigidity, h = field.plate.rigidity(1), 4.0
    for x, y in ((0, 200), (60, 120), (-100, 300)):
        w = {(i, j): field.deflection_at(x + i * h, y + j * h) for i in (-1, 0, 1) for j in (-1, 0, 1)}
        xx, yy = (w[1, 0] - 2 * w[0, 0] + w[-1, 0]) / h**2, (w[0, 1] - 2 * w[0, 0] + w[0, -1]) / h**2
        xy = (w[1, 1] - w[1, -1] - w[-1, 1] + w[-1, -1]) / (4 * h**2)
        moments = (-rigidity * (xx + 0.3 * yy), -rigidity * (yy + 0.3 * xx), -rigidity * 0.7 * xy)
        assert field.moments_at(x, y) == pytest.approx(moments, rel=0.03, abs=0.01 * abs(moments[0]))


def test_the_greatest_values_are_values_of_the_field() -> None:
    pressed = PressedPlate(
        300, 500, 3, *STEEL, ((0.0, 0.02), (500.0, 0.0)), FREE_TOP, (HoldLine(240, 1e10),), top_width=260
    )
    field = plate(pressed)
    assert field.deflection_at(field.greatest.x, field.greatest.y) == pytest.approx(field.greatest.value)
    assert field.stress_at(field.stress.x, field.stress.y) == pytest.approx(field.stress.value, rel=1e-3)
    assert field.greatest.value >= max(field.deflection_at(0, y) for y in np.linspace(0, 500, 101)) * (1 - 1e-4)


@pytest.mark.parametrize(
    ("change", "less"),
    [
        ({"thickness": 4}, True),
        ({"lines": (HoldLine(200, 1e10), HoldLine(350, 1e10))}, True),
        ({"lines": (HoldLine(200, 2e10),)}, True),
        ({"strips": (Strip(0, 500, 3),)}, True),
        ({"edges": OPEN_BOX}, True),
        ({"width": 320}, False),
        ({"pressure": ((0.0, 0.021), (500.0, 0.0))}, False),
    ],
)
def test_what_stiffens_and_what_does_not(change: dict[str, object], less: bool) -> None:
    start = PressedPlate(300, 500, 3, *STEEL, ((0.0, 0.02), (500.0, 0.0)), FREE_TOP, (HoldLine(200, 1e10),))
    before, after = (plate(p).greatest.value for p in (start, replace(start, **change)))  # type: ignore[arg-type]  # by name
    assert (after < before) == less


def test_a_point_off_the_plate_is_refused() -> None:
    field = plate(PressedPlate(300, 300, 3, *STEEL, EVEN, HELD, opening=Opening(-20, 20, 100, 140)))
    for x, y in ((151, 100), (0, -1), (0, 120)):
        with pytest.raises(ValueError, match="lie"):
            field.deflection_at(x, y)


@pytest.mark.parametrize(
    "change",
    [
        {"width": 0},
        {"height": math.nan},
        {"thickness": -3},
        {"pressure": ()},
        {"pressure": ((10.0, 1.0), (10.0, 2.0))},
        {"lines": (HoldLine(301),)},
        {"lines": (HoldLine(100, low=20, high=20),)},
        {"opening": Opening(-150, 20, 100, 140)},
        {"opening": Opening(-20, 20, 100, 140), "top_width": 250},
        {"lines": (HoldLine(0, 1e9, upright=True),), "top_width": 250},
    ],
)
def test_what_cannot_be_meshed_is_refused(change: dict[str, object]) -> None:
    with pytest.raises(GeometryError):
        replace(PressedPlate(300, 300, 3, *STEEL, EVEN), **change)  # type: ignore[arg-type]  # fields by name


@pytest.mark.parametrize("foot", [Edge.FREE, Edge.SIMPLE])
def test_a_plate_that_nothing_holds_is_refused(foot: Edge) -> None:
    edges = Edges(foot, Edge.FREE, Edge.FREE, Edge.FREE)
    with pytest.raises(GeometryError, match="not held"):
        plate(PressedPlate(300, 300, 3, *STEEL, EVEN, edges))


# ---------------------------------------------------------------- the mould


@pytest.fixture(scope="module", params=EXAMPLES)
def mould(request: pytest.FixtureRequest) -> Mould:
    return build(load(request.param))


@pytest.fixture(scope="module")
def solutions(mould: Mould) -> tuple[PanelSolution, ...]:
    return solve_mould(mould)


def test_every_face_of_box_and_core_is_solved(mould: Mould, solutions: tuple[PanelSolution, ...]) -> None:
    """Each plate of outer box and core that touches concrete, ledge strips with their walls."""
    touching = {
        piece.name
        for piece in mould.pieces()
        if piece.part.group in {Group.OUTER_BOX, Group.CORE}
        and getattr(piece.part, "concrete_face", ConcreteFace.NONE) is ConcreteFace.OUTLINE
        and not piece.name.startswith("ledge strip")
    }
    assert {one.name for one in solutions} == touching


def test_reactions_of_each_face_carry_its_pressure(mould: Mould, solutions: tuple[PanelSolution, ...]) -> None:
    """Pressure of the design over each face, integrated apart in 2000 strips: 1e-5; reactions add up to 1e-6."""
    dims = mould.dims
    foot = dims.stock.angle.leg_mm
    core_top = dims.end_z - dims.shell

    def over(low: float, high: float, width_low: float, width_high: float) -> float:
        z = (np.arange(2000) + 0.5) / 2000
        width = width_low + (width_high - width_low) * z
        pressure = np.array([dims.pressure_at(low + (high - low) * share) for share in z])
        return float((pressure * width).mean() * (high - low))

    x, y = 2 * dims.core_half_x(0), 2 * dims.core_half_y(0)
    upper_x, upper_y = 2 * dims.core_half_x(core_top), 2 * dims.core_half_y(core_top)
    end = 4 * dims.core_half_x(dims.end_z) * dims.core_half_y(dims.end_z) * dims.pressure_at(dims.end_z)
    panels = [over(foot, dims.height, w, w) for w in (dims.width, dims.width, dims.depth, dims.depth)]
    walls = [over(0, core_top, low, high) for low, high in ((x, upper_x), (x, upper_x), (y, upper_y), (y, upper_y))]
    assert [one.load for one in solutions] == pytest.approx([*panels, *walls, end], rel=1e-5)
    for one in solutions:
        assert sum(force for _, force in one.reactions) == pytest.approx(one.load, rel=1e-6)


def test_faces_bulge_outwards_a_little_where_the_field_says(solutions: tuple[PanelSolution, ...]) -> None:
    for one in solutions:
        assert 0 < one.bulge < 3 * one.thickness
        assert one.small == (one.bulge <= one.thickness / 2)
        assert one.bulge == pytest.approx(one.field.greatest.value, abs=1e-6)


def test_lines_have_their_names(mould: Mould, solutions: tuple[PanelSolution, ...]) -> None:
    names = {one.name: [name for name, *_ in one.bars] + [name for name, _ in one.reactions] for one in solutions}
    for number, z in enumerate(mould.dims.stiffener_z, 1):
        assert f"stiffener {number}, lower edge" in names["back panel"]
        assert (f"stiffener {number}, lower edge" in names["front panel"]) == (z in mould.dims.front_stiffener_z)
    assert {"diaphragm 1", "foot", "top", "left", "right"} <= set(names["core wall, left"])
    assert "anchor plate" not in names["core wall, left"]
    assert "top" not in names["back panel"]


def test_the_anchor_plate_of_a_bridge_is_a_line(bridged_hill: Mould) -> None:
    wall = next(one for one in solve_mould(bridged_hill) if one.name == "core wall, left")
    assert {"anchor plate", "diaphragm 1"} <= {name for name, *_ in wall.bars} | {name for name, _ in wall.reactions}


def test_compared_with_quick_formulas(mould: Mould, solutions: tuple[PanelSolution, ...]) -> None:
    """Quick formulas let the sheet turn on its lines: never less, and at most what fixed edges take off a plate.

    0.00406/0.00126, simply supported over fixed: Timoshenko and Woinowsky-Krieger, 2nd ed. 1959, Tables 8 and 35.
    """
    fast = greatest_bulges(mould)
    table = compare(mould, fast)
    assert [row[0] for row in table.rows] == [one.name for one in solutions[:-1]]
    for name, quick, finite, ratio, _ in table.rows:
        assert 1 <= ratio <= 0.00406 / 0.00126, name
        assert (quick, ratio) == pytest.approx((fast[name], quick / finite), rel=1e-2)
    assert all(len(row) == len(table.head) for row in table.rows)


def test_the_same_to_the_last_byte_and_without_the_kernel(run: Run) -> None:
    code = (
        "import sys\nfrom mouldgeom import EXAMPLES, load\nfrom mouldgeom.model.assembly import build\n"
        "from mouldgeom.strength.finite import solve_mould\n"
        "print(*(solve_mould(build(load(name))) for name in EXAMPLES), sep='\\n')\n"
        "assert not {'cadquery', 'OCP'} & set(sys.modules)"
    )
    done = run("-c", code)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == [repr(solve_mould(build(load(name)))) for name in EXAMPLES]


def test_importing_it_does_not_load_the_library(run: Run) -> None:
    done = run("-c", "import sys, mouldgeom.strength.finite; print({'skfem', 'scipy'} & set(sys.modules))")
    assert done.stdout.strip() == "set()", done.stderr
