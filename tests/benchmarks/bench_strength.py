"""Prints how long the calculation takes, finite elements or not: ``python tests/benchmarks/bench_strength.py``.

Cold runs are ratios to ``import cadquery``, medians over pairs, since machines are shared; warm ones the best of a few.
No test depends on it.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from mouldgeom import EXAMPLES, load
from mouldgeom.model.assembly import build
from mouldgeom.strength.book import book
from mouldgeom.strength.book import chapters as made_of
from mouldgeom.strength.finite import faces, plate, solve_mould
from mouldgeom.strength.tolerances import sample

ROOT = Path(__file__).resolve().parents[2]
RUNS = 5
KERNEL = "import cadquery"
START = "from mouldgeom import load; from mouldgeom.model.assembly import build; mould = build(load({name!r}))"
COLD = START + "; from mouldgeom.strength.finite import solve_mould; solve_mould(mould)"


def seconds(code: str) -> float:
    """Wall time of one fresh interpreter that runs this code."""
    start = time.perf_counter()
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, "-c", code], check=True, env=environment)
    return time.perf_counter() - start


def best(run: Callable[[], object]) -> float:
    """Least wall time of a few runs, the first one thrown away."""
    run()
    times = []
    for _ in range(RUNS):
        begin = time.perf_counter()
        run()
        times.append(time.perf_counter() - begin)
    return min(times)


def chapters() -> None:
    """Print the time of the whole calculation without finite elements, and of the sampled walls, warm."""
    for name in EXAMPLES:
        mould = build(load(name))
        own = " ".join(f"{c.__module__.rsplit('.', 1)[1]} {best(partial(c, mould)):.3f}" for c in made_of(mould))
        print(f"{name}, all chapters, warm: {best(partial(book, mould)):.3f} s (limit 0.5 s): {own}")
        print(f"{name}, 10,000 samples of the walls, warm: {best(partial(sample, mould)):.3f} s (limit 2 s)")


def main() -> None:
    """Print everything."""
    seconds(KERNEL)
    chapters()
    for name in EXAMPLES:
        cold, start = COLD.format(name=name), START.format(name=name)
        trios = [(seconds(cold), seconds(start), seconds(KERNEL)) for _ in range(RUNS)]
        ratios = sorted((own - before) / kernel for own, before, kernel in trios)
        own = statistics.median(one - before for one, before, _ in trios)
        print(
            f"{name}, cold, libraries imported: {statistics.median(ratios):.2f} x import cadquery"
            f" ({ratios[0]:.2f} to {ratios[-1]:.2f}), {own:.2f} s (limit 5 s, aim 1 s)"
        )
        mould = build(load(name))
        times = []
        for _ in range(RUNS):
            begin = time.perf_counter()
            solve_mould(mould)
            times.append(time.perf_counter() - begin)
        print(f"{name}, warm: {min(times):.2f} s (aim 0.5 s)")
        for pressed in dict.fromkeys(face.plate for face in faces(mould.dims)):
            change = abs(plate(pressed).greatest.value / plate(pressed, 2.0).greatest.value - 1)
            named = [face.name for face in faces(mould.dims) if face.plate == pressed]
            print(f"  {', '.join(named)}: halving the mesh changes the bulge by {change:.2%}")


if __name__ == "__main__":
    main()
