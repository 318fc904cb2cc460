"""Linear and whole-number programmes, by HiGHS: the only module that knows it.

The runs are reproducible: one thread, a fixed seed, no clock.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from mouldgeom.units import AnyUnit


class _Quiet(highspy.Highs):  # type: ignore[misc, unused-ignore]  # the base class is untyped
    """HiGHS without its callbacks: switching them on prints a banner on standard output."""

    def __init__(self) -> None:
        super(highspy.Highs, self).__init__()


@dataclass(frozen=True)
class Rows:
    """Constraints ``lower <= A x <= upper``; row i begins at ``starts[i]`` in ``index`` (columns) and ``value``."""

    starts: Sequence[int]
    index: Sequence[int]
    value: Sequence[AnyUnit]
    lower: Sequence[AnyUnit]
    upper: Sequence[AnyUnit] | None = None


@dataclass(frozen=True, eq=False)
class Optimum:
    """Values of the columns, dual values of the rows (empty for whole numbers), and the objective with its bound."""

    values: NDArray[np.float64]
    duals: NDArray[np.float64]
    objective: AnyUnit
    bound: AnyUnit
    proven: bool


def minimise(
    cost: Sequence[AnyUnit],
    low: Sequence[AnyUnit],
    high: Sequence[AnyUnit],
    rows: Rows,
    *,
    whole: bool = False,
    nodes: int = 0,
    enough: AnyUnit = -math.inf,
) -> Optimum | None:
    """Minimise ``cost x`` under the rows and ``low <= x <= high``; ``None`` if nothing fits.

    Args:
        cost, low, high: one for each column.
        rows: the constraints.
        whole: whether every column is a whole number.
        nodes: most nodes of the search tree, 0 for no limit; at the limit the best found is given, not proven.
        enough: a whole-number answer that costs no more than this ends the search.
    """
    if any(a > b + 1e-9 for a, b in zip(low, high, strict=True)):
        return None
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(cost), len(rows.lower)
    model.col_cost_ = np.array(cost, dtype=np.float64)
    model.col_lower_, model.col_upper_ = np.array(low, dtype=np.float64), np.array(high, dtype=np.float64)
    model.row_lower_ = np.array(rows.lower, dtype=np.float64)
    model.row_upper_ = (
        np.full(len(rows.lower), highspy.kHighsInf) if rows.upper is None else np.array(rows.upper, dtype=np.float64)
    )
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = np.array([*rows.starts, len(rows.index)], dtype=np.int32)
    model.a_matrix_.index_ = np.array(rows.index, dtype=np.int32)
    model.a_matrix_.value_ = np.array(rows.value, dtype=np.float64)
    if whole:
        model.integrality_ = [highspy.HighsVarType.kInteger] * len(cost)
    solver = _Quiet()
    for option, value in (("output_flag", False), ("threads", 1), ("random_seed", 1), ("parallel", "off")):
        solver.setOptionValue(option, value)
    if whole:
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("objective_target", enough + 1e-6)
        if nodes:
            solver.setOptionValue("mip_max_nodes", nodes)
    else:
        solver.setOptionValue("presolve", "off")
    solver.passModel(model)
    solver.run()
    optimal = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    info = solver.getInfo()
    if not optimal and not (whole and info.primal_solution_status == 2):
        return None
    solution = solver.getSolution()
    return Optimum(
        np.array(solution.col_value),
        np.array([] if whole else solution.row_dual),
        float(info.objective_function_value),
        float(info.mip_dual_bound) if whole else float(info.objective_function_value),
        optimal,
    )
