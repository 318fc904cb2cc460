"""Prints how long the commands take, as ratios to ``import cadquery`` alone: ``python tests/benchmarks/benchmark.py``.

Every figure is the median over a few runs in turn with its yardstick, since machines are shared.  No test depends on
it.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

RUNS = 5
KERNEL = "import cadquery"
CHEAP = """
import mouldgeom
from mouldgeom.outputs.job import Job, make_files
from mouldgeom.outputs.kinds import FLAT, PARTS, SPEC
make_files(Job(mouldgeom.build("hill-example").model, kinds=(SPEC, PARTS, FLAT)))
import sys
assert "cadquery" not in sys.modules
"""
WHOLE = """
from mouldgeom.cli import main
raise SystemExit(main(["make", "--out", {out!r}, "--json", *{only!r}]))
"""
STEEL = ("spec", "filter", "parts", "flat", "cutlist", "checks", "solid")
"""Kinds of file that need no paper."""


def seconds(code: str) -> float:
    """Wall time of one fresh interpreter that runs this code."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def ratio(code: str, limit: float, name: str) -> None:
    """Print the median ratio of this code to the import of the kernel, pair by pair."""
    seconds(code), seconds(KERNEL)
    pairs = [(seconds(code), seconds(KERNEL)) for _ in range(RUNS)]
    ratios = sorted(a / b for a, b in pairs)
    own, kernel = (statistics.median(pair[i] for pair in pairs) for i in (0, 1))
    print(
        f"{name}: {statistics.median(ratios):.2f} x import cadquery"
        f" (limit {limit}; {ratios[0]:.2f} to {ratios[-1]:.2f}; {own:.2f} s against {kernel:.2f} s)"
    )


def papers(folder: Path) -> None:
    """Print what drawings, templates, build sheet and report page take on top of everything before them."""
    before = [f"--only={kind}" for kind in (*STEEL, "calculation", "inspection")]
    without, all_kinds = (WHOLE.format(out=str(folder / "package"), only=only) for only in (before, []))
    seconds(all_kinds)
    trios = [(seconds(all_kinds), seconds(without), seconds(KERNEL)) for _ in range(RUNS)]
    ratios = sorted((whole - part) / kernel for whole, part, kernel in trios)
    print(
        f"all papers on top of the solids: {statistics.median(ratios):.2f} x import cadquery"
        f" (limit 4; {ratios[0]:.2f} to {ratios[-1]:.2f})"
    )


def wall_field() -> None:
    """Print the time of a wall field of 100,000 points, warm."""
    from mouldgeom import load
    from mouldgeom.checks.case import Case
    from mouldgeom.checks.walls import body_field
    from mouldgeom.model.assembly import build
    from mouldgeom.solids import SolidMould

    case = Case(SolidMould(build(load("hill-example"))))
    body_field(case, 1000)
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        field = body_field(case, 100_000)
        times.append(time.perf_counter() - start)
    print(f"wall field of {len(field.points)} points, warm: {statistics.median(times):.3f} s (limit 1 s)")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        ratio(CHEAP, 0.4, "parts and flat patterns without the kernel")
        steel = [f"--only={kind}" for kind in STEEL]
        ratio(WHOLE.format(out=str(Path(folder) / "package"), only=steel), 3.0, "make without papers")
        papers(Path(folder))
        wall_field()
