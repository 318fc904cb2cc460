"""Change every number of every table in ``mouldgeom/data`` by its last printed digit, and tell what no test notices.

Run by hand, from anywhere::

    python tests/mutate_tables.py                    # every table
    python tests/mutate_tables.py bolts steels       # some of them
    python tests/mutate_tables.py --list sheets      # only how many numbers there are, and which test files read them

A number that survives stands in the table unproven: give it a second number, from another source, in a test; the rates
of work are estimates, which have none.  Each change runs in a process of its own, which sees the changed text wherever
it reads that file; tests of ``FILES`` only, since these take seconds and the others hours.  What noticed the change
before is tried first.
"""

from __future__ import annotations

import argparse
import contextlib
import csv
import functools
import gc
import io
import os
import re
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import hypothesis
import numpy
import pytest

import mouldgeom.cli
import mouldgeom.filter.sand
import mouldgeom.stock.rates
import mouldgeom.strength.book

ROOT = Path(__file__).resolve().parent.parent
DATA = ROOT / "mouldgeom" / "data"
TESTS = ROOT / "tests"
FILES = (
    *("test_tables.py", "test_rules.py", "test_sand.py", "validation/test_asme_inch.py"),
    *("validation/test_bolt_strength.py", "validation/test_das_sieve.py", "validation/test_en_10051.py"),
    *("validation/test_en_10056_sections.py", "validation/test_en_10219_sections.py", "validation/test_en_1993_1_8.py"),
    *("validation/test_iso_13920.py", "validation/test_iso_273.py"),
    *("validation/test_iso_2768.py", "validation/test_iso_898.py", "validation/test_iso_9013.py"),
    *("validation/test_plates.py", "validation/test_steels.py", "validation/test_stock_sizes.py"),
)
NUMBER = re.compile(r"\d+(?:\.\d+)?")
KEPT = (hypothesis, numpy, mouldgeom.cli, mouldgeom.filter.sand, mouldgeom.stock.rates, mouldgeom.strength.book)
"""Loaded here once, so that no child loads them again."""


@dataclass(frozen=True)
class Change:
    """One number of a table, and what it is changed to."""

    table: str
    row: int
    column: str
    label: str
    old: str
    new: str
    text: str


def bumped(number: str) -> str:
    """The number, one more in its last printed digit."""
    value = Decimal(number)
    return str(value + Decimal((0, (1,), value.as_tuple().exponent)))


def changes(table: str) -> Iterator[Change]:
    """Every number of a table, changed."""
    header, *rows = csv.reader(io.StringIO((DATA / f"{table}.csv").read_text("utf-8")))
    for i, row in enumerate(rows):
        for j, cell in enumerate(row):
            if NUMBER.fullmatch(cell) and header[j] not in {"designation", "name"}:
                new = [[*r[:j], bumped(cell), *r[j + 1 :]] if k == i else r for k, r in enumerate(rows)]
                out = io.StringIO()
                csv.writer(out, lineterminator="\n").writerows([header, *new])
                label = " ".join(c for c in row[: max(j, 1)] if len(c) < 25)
                yield Change(table, i + 2, header[j], label, cell, bumped(cell), out.getvalue())


class Watch:
    """Notes the tests that fail; a file that cannot even be collected counts by its name."""

    def __init__(self) -> None:
        self.failed: list[str] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)


def run(names: list[str], replaced: tuple[str, str | None], *, first: bool = True, seconds: int = 300) -> list[str]:
    """The tests that fail, in a process of its own, while a table has another text, or cannot be read."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        with contextlib.suppress(BaseException):
            found = _as_child(names, replaced, first)
            os.write(write, "\n".join(found)[:60_000].encode())
        os._exit(0)
    os.close(write)
    started, out = time.monotonic(), b""
    with os.fdopen(read, "rb") as pipe:
        os.set_blocking(pipe.fileno(), False)
        while os.waitpid(child, os.WNOHANG)[0] == 0:
            out += pipe.read() or b""
            if time.monotonic() - started > seconds:
                os.kill(child, 9)
                os.waitpid(child, 0)
                return ["took too long"]
            time.sleep(0.01)
        out += pipe.read() or b""
    return [line for line in out.decode().splitlines() if line]


def _as_child(names: list[str], replaced: tuple[str, str | None], first: bool) -> list[str]:
    table, text = replaced
    plain_read = Path.read_text

    def read_text(path: Path, *args: object, **kwargs: object) -> str:
        if path.name == f"{table}.csv" and path.parent.name == "data":
            if text is None:
                raise RuntimeError(f"{table}.csv is not to be read")
            return text
        return plain_read(path, *args, **kwargs)  # type: ignore[arg-type]

    Path.read_text = read_text  # type: ignore[method-assign,assignment]
    for made in gc.get_objects():
        if isinstance(made, functools._lru_cache_wrapper):
            made.cache_clear()
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 1)
    os.dup2(null, 2)
    watch = Watch()
    fixed = ["-p", "no:cacheprovider", "-n", "0", "-q", "--no-header", "--hypothesis-seed=0", f"--rootdir={ROOT}"]
    pytest.main([*names, *fixed, "-x" if first else "--continue-on-collection-errors"], plugins=[watch])
    return watch.failed


def readers(table: str) -> list[str]:
    """The test files that fail without the table."""
    found = run([str(TESTS / name) for name in FILES], (table, None), first=False)
    return sorted({str(ROOT / nodeid.split("::")[0]) for nodeid in found})


def survivors(table: str, names: list[str]) -> Iterator[Change]:
    """The changes of a table that no test notices."""
    killers: list[str] = []
    for change in changes(table):
        replaced = (table, change.text)
        failed = (run(killers, replaced) if killers else []) or run(names, replaced)
        if not failed:
            yield change
            continue
        function = str(ROOT / failed[0].split("[")[0])
        killers = [function, *(name for name in killers if name != function)][:6]


def main() -> int:
    """Ask for the tables, change each number of them, print what survives."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    asked.add_argument("tables", nargs="*", default=sorted(path.stem for path in DATA.glob("*.csv")))
    asked.add_argument("--list", action="store_true", help="count, and name the readers, only")
    given = asked.parse_args()
    sys.path[:0] = [str(ROOT), str(TESTS)]
    left = 0
    for table in given.tables:
        names, count = readers(table), len(list(changes(table)))
        print(f"{table}: {count} numbers, read by {', '.join(Path(name).name for name in names)}", flush=True)
        for change in [] if given.list else survivors(table, names):
            left += 1
            print(f"  row {change.row}, {change.column} ({change.label}): {change.old} -> {change.new}", flush=True)
    print(f"{left} numbers that no test notices")
    return 1 if left else 0


if __name__ == "__main__":
    sys.exit(main())
