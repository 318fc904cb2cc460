"""Prints how long sizing takes: ``python tests/benchmarks/bench_sizing.py``; no test depends on it.

Cold runs are medians over pairs with ``import cadquery``, since machines are shared; warm ones the best of a few.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from mouldgeom.design.dimensions import derive
from mouldgeom.errors import InputError
from mouldgeom.filter.candidates import Request, candidate, with_filter
from mouldgeom.filter.working import Working
from mouldgeom.outputs.size_report import body_of
from mouldgeom.outputs.size_table import size_table
from mouldgeom.spec import Spec, load

ROOT = Path(__file__).resolve().parents[2]
HILL = load("hill-example")


def process(*arguments: str) -> float:
    """Seconds that a Python process takes."""
    start = time.perf_counter()
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL, env=environment)
    return time.perf_counter() - start


def best(work: Callable[[], object], times: int = 3) -> float:
    """Least of a few runs."""
    durations = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        durations.append(time.perf_counter() - start)
    return min(durations)


def random_specs(count: int) -> list[Spec]:
    """Designs around the example, always the same ones."""
    chance = random.Random(7)
    return [
        with_filter(
            HILL,
            cavity_width=chance.uniform(220, 380),
            cavity_depth=chance.uniform(220, 380),
            sand_column=chance.uniform(300, 600),
            charge=chance.uniform(9, 16),
        )
        for _ in range(count)
    ]


def designs(count: int, *, whole: bool) -> float:
    """Seconds for so many designs through dimensions and filter limits; ``whole`` derives the mould too."""
    specs, made = random_specs(count), 0
    start = time.perf_counter()
    for spec in specs:
        try:
            if whole:
                dims = derive(spec)
                working = Working.of(spec, dims.levels, dims.cavity, dims.shell)
                made += all(limit.holds for limit in working.flow_limits())
            else:
                body_of(spec)
                request = Request(spec, spec.filter.cavity_width / spec.filter.cavity_depth)
                made += bool(candidate(request, round(spec.filter.cavity_width * 10), 0.0, with_drain=False).limits)
        except InputError:
            continue
    return time.perf_counter() - start


def main() -> None:
    """Print everything."""
    pairs = [(process("-m", "mouldgeom", "size"), process("-c", "import cadquery")) for _ in range(5)]
    cold = statistics.median(own / kernel for own, kernel in pairs)
    print(f"size, cold: {cold:.2f} x import cadquery (limit 0.5), {statistics.median(p[0] for p in pairs):.2f} s")
    request = Request(HILL)
    print(f"table, warm: {best(lambda: size_table(request)):.2f} s (limit 2 s)")
    print(f"table, warm, mould not derived: {best(lambda: size_table(request, mould=None)):.2f} s")
    for whole, name in ((False, "levels, tube, nose, volume and filter limits"), (True, "derive and filter limits")):
        for count in (100, 1000):
            took = designs(count, whole=whole)
            print(f"{count} designs through {name}: {took:.2f} s, {took / count * 1e3:.2f} ms each (limit 1 ms)")


if __name__ == "__main__":
    main()
