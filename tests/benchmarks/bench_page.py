"""Prints size, making time and drawing time of the report page: ``python tests/benchmarks/bench_page.py``.

No test depends on it.

The page is that of the hill example with all its drawings.  Making is processor time, as a ratio to ``import cadquery``
in the same process; drawing is the clock of a headless browser with its software renderer, from the start of loading.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

LOADS = 7
TESTS = Path(__file__).resolve().parents[1]
MAKE = """
import sys, time
begin = time.process_time()
import cadquery
unit = time.process_time() - begin
from pathlib import Path
from mouldgeom import load
from mouldgeom.model.assembly import build
from mouldgeom.outputs.job import Job, make_files, make_kind
from mouldgeom.outputs.kinds import CHECKS, CUTLIST, DRAWINGS, FLAT, PARTS, REPORT, SPEC
job = Job(build(load("hill-example")), kinds=(SPEC, PARTS, FLAT, CUTLIST, CHECKS, DRAWINGS))
others = make_files(job)
job.results, job.reviewed_chapters, job.sheets
begin = time.process_time()
(file,) = make_kind(job, REPORT, others)
made = time.process_time() - begin
Path(sys.argv[1]).write_bytes(file.content)
print(unit, made, len(file.content))
"""


def make(page: Path) -> tuple[float, float, int]:
    """Seconds of processor time of ``import cadquery`` and of the page, and its bytes."""
    done = subprocess.run([sys.executable, "-c", MAKE, str(page)], check=True, stdout=subprocess.PIPE, text=True)
    unit, made, size = done.stdout.split()
    return float(unit), float(made), int(size)


def drawn(page: Path) -> list[float]:
    """Milliseconds from the start of loading until the model was drawn, of some loads; empty without a browser."""
    sys.path[:0] = [str(TESTS), str(TESTS / "outputs")]
    from test_page_browser import CHROMIUM, DRIVER, start_browser

    if CHROMIUM is None or DRIVER is None:
        return []
    times = []
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        browser = start_browser(Path(profile), 1280, 900)
        try:
            for _ in range(LOADS):
                browser.get(page.as_uri())
                while not (ready := browser.execute_script("return window.__ready || 0")):
                    time.sleep(0.05)
                times.append(float(ready))
        finally:
            browser.quit()
    return times


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / "report.html"
        unit, made, size = make(page)
        print(f"size        {size / 1e6:.2f} MB")
        print(f"making      {made:.2f} s of processor time, {made / unit:.2f} of import cadquery ({unit:.2f} s)")
        times = drawn(page)
    if times:
        print(
            f"drawn       {min(times):.0f} ms at best, {statistics.median(times):.0f} ms at the middle of {len(times)}"
        )
    else:
        print("drawn       no browser on this machine")


if __name__ == "__main__":
    main()
