"""Change every number of every table in ``mouldgeom/data`` by its last printed digit, and tell what no test notices.

Run by hand, from anywhere::

    python tests/mutate_tables.py                    # every table
    python tests/mutate_tables.py bolts steels       # some of them
    python tests/mutate_tables.py --list sheets      # only how many numbers there are, and which test files read them

A number that survives stands in the table unproven: give it a second number, from another source, in a test; the rates
of work are estimates, which have none.  Each change runs in a process of its own, which sees the changed text wherever
it reads that file; tests of ``FILES`` only, since these take seconds and the others hours.  What noticed the change
before is tried first, and all of pytest only on what plain calls do not notice.
"""

from __future__ import annotations

import argparse
import contextlib
import csv
import functools
import gc
import importlib.util
import inspect
import io
import itertools
import os
import re
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import hypothesis
import numpy
import pytest
from _pytest.mark import ParameterSet

import mouldgeom.cli
import mouldgeom.fabrication.rates
import mouldgeom.filter.sand
import mouldgeom.strength.book

ROOT = Path(__file__).resolve().parent.parent
DATA = ROOT / "mouldgeom" / "data"
TESTS = ROOT / "tests"
FILES = (
    *("ground/test_tables.py", "rules/test_rules.py", "filter/test_sand.py", "validation/test_asme_inch.py"),
    *("validation/test_bolt_strength.py", "validation/test_das_sieve.py", "validation/test_en_10051.py"),
    *("validation/test_en_10056_sections.py", "validation/test_en_10219_sections.py", "validation/test_en_1993_1_8.py"),
    *("validation/test_iso_13920.py", "validation/test_iso_273.py"),
    *("validation/test_iso_898.py", "validation/test_iso_9013.py"),
    *("validation/test_plates.py", "validation/test_steels.py", "validation/test_stock_sizes.py"),
)
NUMBER = re.compile(r"\d+(?:\.\d+)?")
KEPT = (hypothesis, numpy, mouldgeom.cli, mouldgeom.filter.sand, mouldgeom.fabrication.rates, mouldgeom.strength.book)
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


def run(names: list[str], replaced: tuple[str, str | None], *, first: bool, seconds: int = 300) -> list[str]:
    """The tests that fail, in a process of its own, while a table has another text, or cannot be read.

    ``first``: stop at the first failure, and leave out what needs pytest's own machinery (fixtures, drawn examples).
    """
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        with contextlib.suppress(BaseException):
            _replace(*replaced)
            found = _plainly(names) if first else _with_pytest(names)
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
            time.sleep(0.005)
        out += pipe.read() or b""
    return [line for line in out.decode().splitlines() if line]


def _replace(table: str, text: str | None) -> None:
    plain_read = Path.read_text

    def read_text(path: Path, *args: object, **kwargs: object) -> str:
        if path.name == f"{table}.csv" and path.parent.name == "data":
            if text is None:
                raise RuntimeError(f"{table}.csv is not to be read")
            return text
        # handed on as they came
        return plain_read(path, *args, **kwargs)  # type: ignore[arg-type]  # passed on

    # for all that this process reads from here on
    Path.read_text = read_text  # type: ignore[method-assign,assignment]  # till this process ends
    for made in gc.get_objects():
        if isinstance(made, functools._lru_cache_wrapper):
            made.cache_clear()
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 1)
    os.dup2(null, 2)


def _with_pytest(names: list[str]) -> list[str]:
    failed: list[str] = []

    class Watch:
        def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
            if report.failed:
                failed.append(report.nodeid)

        def pytest_collectreport(self, report: pytest.CollectReport) -> None:
            if report.failed:
                failed.append(report.nodeid)

    fixed = ["-p", "no:cacheprovider", "-n", "0", "-q", "--no-header", "--hypothesis-seed=0", f"--rootdir={ROOT}"]
    pytest.main([*names, *fixed, "--continue-on-collection-errors"], plugins=[Watch()])
    return failed


def _plainly(names: list[str]) -> list[str]:
    """Run test functions as plain functions: parameters are filled in, the rest is left out."""
    for name in names:
        file, _, function = name.partition("::")
        try:
            sys.path.insert(0, str(Path(file).parent))
            spec = importlib.util.spec_from_file_location(f"mutated_{Path(file).stem}", file)
            assert spec is not None
            assert spec.loader is not None
            module = importlib.util.module_from_spec(spec)
            spec.loader.exec_module(module)
        except BaseException:
            return [file]
        for found, test in list(vars(module).items()):
            if found.startswith("test_") and function in ("", found) and not hasattr(test, "hypothesis"):
                for given in _parameters(test):
                    try:
                        test(**given)
                    except BaseException:
                        return [f"{file}::{found}"]
    return []


def _parameters(test: Callable[..., object]) -> Iterator[dict[str, object]]:
    lists = []
    for mark in getattr(test, "pytestmark", []):
        if mark.name == "parametrize":
            titles = mark.args[0].split(",") if isinstance(mark.args[0], str) else mark.args[0]
            rows = [
                value.values if isinstance(value, ParameterSet) else (value,) if len(titles) == 1 else value
                for value in mark.args[1]
            ]
            lists.append([dict(zip((title.strip() for title in titles), row, strict=True)) for row in rows])
    wanted = set(inspect.signature(test).parameters)
    for chosen in itertools.product(*lists):
        given = {title: value for one in chosen for title, value in one.items()}
        if set(given) == wanted:
            yield given


def readers(table: str) -> list[str]:
    """The test files that fail without the table."""
    found = run([str(TESTS / name) for name in FILES], (table, None), first=False)
    return sorted({str(ROOT / nodeid.split("::")[0]) for nodeid in found})


def survivors(table: str, names: list[str]) -> Iterator[Change]:
    """The changes of a table that no test notices."""
    killers: list[str] = []
    for change in changes(table):
        replaced = (table, change.text)
        failed = (run(killers, replaced, first=True) if killers else []) or run(names, replaced, first=True)
        if failed:
            killers = [failed[0], *(name for name in killers if name != failed[0])][:3]
        elif not run(names, replaced, first=False):
            yield change


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
