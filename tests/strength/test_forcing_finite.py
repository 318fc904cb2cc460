"""Base plate under forcing screws by finite elements of its own (Morley, scikit-fem), beside the strip of the chapter.

A quarter of the plate: held at the core walls, stiffened by its runner, doubled by the nut plate and without its pad's
opening; each screw loads the nut's place with 1 kN.
"""

from __future__ import annotations

import itertools
from functools import cache
from typing import Any

import numpy as np
import pytest
import skfem as fem
from random_specs import changed
from skfem.helpers import dd, ddot, trace

from mouldgeom import load
from mouldgeom.design.dimensions import Dimensions, derive
from mouldgeom.strength import thrust

LOAD = 1000.0
SIZE = 4.0


@cache
def dims() -> Dimensions:
    return derive(changed(load("hill-example"), {"extraction.gear": "forcing screws"}))


def ticks(marks: list[float]) -> Any:
    found = [marks[0]]
    for low, high in itertools.pairwise(marks):
        found += list(np.linspace(low, high, max(2, round((high - low) / SIZE) + 1))[1:])
    return np.array(found)


@cache
def column_moments() -> tuple[Any, Any, float]:
    """Middles along y, moment m_x in the row of elements outside of the core's side wall, and all reactions there."""
    one, f = dims(), dims().forcing
    wall, tube, nut = (
        one.core_half_x(0) - one.wall_inset / 2,
        one.stock.tube.side_mm / 2,
        one.stock.jack.across_flats_mm / 2,
    )
    x_marks = sorted({0.0, one.access_half_x, f.plate_inner_x, wall, f.x - f.pad_half_x, f.x - nut, f.x + nut,
                      f.x + f.pad_half_x, f.plate_outer_x, one.base_half_x})  # fmt: skip
    y_marks = sorted({0.0, f.y - f.plate_half_y, f.y - f.pad_half_y, f.y - nut, one.access_half_y, f.y + nut, wall,
                      f.y + f.pad_half_y, f.y + f.plate_half_y, one.runner_y - tube, one.runner_y + tube,
                      one.base_half_y})  # fmt: skip
    mesh = fem.MeshTri.init_tensor(ticks(x_marks), ticks(y_marks))
    middle = mesh.p[:, mesh.t].mean(axis=1)
    keep = ~((middle[0] < one.access_half_x) & (middle[1] < one.access_half_y))
    mesh = mesh.restrict(np.flatnonzero(keep))
    steel = one.stock.steel
    rigidity = steel.elastic_modulus_mpa * one.base**3 / 12 / (1 - steel.poisson**2)
    inertia = one.stock.tube.second_moment_cm4 * 1e4

    def within(at: Any, x: float, y: float, half_x: float, half_y: float) -> Any:
        return (np.abs(at[0] - x) < half_x) & (np.abs(at[1] - y) < half_y)

    def plates(at: Any) -> Any:
        centre, half = (f.plate_inner_x + f.plate_outer_x) / 2, (f.plate_outer_x - f.plate_inner_x) / 2
        base = ~within(at, f.x, f.y, f.pad_half_x, f.pad_half_y)
        return np.maximum(base.astype(float) + within(at, centre, f.y, half, f.plate_half_y), 1e-3)

    @fem.BilinearForm
    def bends(u: Any, v: Any, w: Any) -> Any:
        nu = steel.poisson
        plate = rigidity * plates(w.x) * ((1 - nu) * ddot(dd(u), dd(v)) + nu * trace(dd(u)) * trace(dd(v)))
        runner = steel.elastic_modulus_mpa * inertia / (2 * tube) * (np.abs(w.x[1] - one.runner_y) < tube)
        return plate + runner * dd(u)[0, 0] * dd(v)[0, 0]

    @fem.LinearForm
    def pushes(v: Any, w: Any) -> Any:
        return LOAD / (2 * nut) ** 2 * within(w.x, f.x, f.y, nut, nut) * v

    basis = fem.Basis(mesh, fem.ElementTriMorley())
    stiff, force = bends.assemble(basis), pushes.assemble(basis)
    at = mesh.p
    side = np.flatnonzero((np.abs(at[0] - wall) < 1e-6) & (at[1] < wall + 1e-6))
    end = np.flatnonzero((np.abs(at[1] - wall) < 1e-6) & (at[0] < wall + 1e-6))
    held = basis.nodal_dofs[0, np.union1d(side, end)]
    turned = basis.facet_dofs[0, mesh.facets_satisfying(lambda p: (p[0] < 1e-6) | (p[1] < 1e-6), boundaries_only=True)]
    solved = fem.solve(*fem.condense(stiff, force, D=np.union1d(held, turned)))
    curved = basis.interpolate(solved).hess
    moment = (rigidity * plates(basis.global_coordinates().value) * (curved[0, 0] + steel.poisson * curved[1, 1])).mean(
        1
    )
    middle = mesh.p[:, mesh.t].mean(axis=1)
    row = np.flatnonzero((middle[0] > wall) & (middle[0] < wall + SIZE))
    order = row[np.argsort(middle[1][row])]
    return middle[1][order], moment[order], float((stiff @ solved - force)[held].sum())


def test_the_core_walls_take_the_screw() -> None:
    """Reactions at the walls are the load, but for nothing."""
    assert column_moments()[2] == pytest.approx(-LOAD, rel=1e-6)


def test_the_strip_is_on_the_safe_side() -> None:
    """Moment beside the core wall as wide as the nut plate: not above the strip's, and more than a third of it."""
    y, moment, _ = column_moments()
    f = dims().forcing
    near = np.abs(y - f.y) < f.plate_half_y
    mean = float(np.abs(moment[near]).mean())
    strip = thrust.wall_moment(dims(), LOAD) / (2 * f.plate_half_y)
    assert 0.33 * strip < mean < strip
    assert float(np.abs(moment[~near]).max()) < float(np.abs(moment[near]).max())
