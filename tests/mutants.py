"""Prints which numbers of a module no test notices: ``python tests/mutants.py mouldgeom/rules/shop.py [--inside]``.

Each number is changed by its last printed digit in a copy of the package, and the test files that import the module are
run on it.  Numbers of module level are taken; with ``--inside`` those in functions too.  No test depends on it.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import os
import re
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
SLOW = ("numpy", "scipy.optimize", "pydantic", "shapely", "highspy", "skfem", "hypothesis", "pytest")
"""Imported once, before the tests of each changed number run in a process that is forked."""
PLAIN = frozenset({"0", "1", "0.0", "1.0"})
"""Not changed inside a function: counts, places and neutral values rather than data."""


class Number(NamedTuple):
    """A number as it is printed, and where: line from 1, column in bytes from 0."""

    line: int
    column: int
    text: str


def nudged(text: str) -> str:
    """The number with its last printed digit one up, or one down from 9: 0.505 becomes 0.506, 1e-4 becomes 2e-4."""
    # every number of the source has this shape
    mantissa, exponent = re.fullmatch(r"([\d_.]+?)\.?(e[-+]?\d+)?", text, re.I).groups()  # type: ignore[union-attr]  # any number
    last = int(mantissa[-1])
    return f"{mantissa[:-1]}{last + 1 if last < 9 else 8}{exponent or ''}"


def numbers(source: str, inside: bool) -> Iterator[Number]:
    """The numbers of a module in the order of its lines."""
    tree, lines = ast.parse(source), source.encode().splitlines()
    functions = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef | ast.Lambda)]
    held = {id(n) for function in functions for n in ast.walk(function)}
    printed = {id(n) for whole in ast.walk(tree) if isinstance(whole, ast.JoinedStr) for n in ast.walk(whole)}
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float) and id(node) not in printed:
            text = lines[node.lineno - 1][node.col_offset : node.end_col_offset].decode()
            if id(node) not in held or (inside and text not in PLAIN):
                found.append(Number(node.lineno, node.col_offset, text))
    return iter(sorted(found))


def imported(path: Path) -> set[str]:
    """Modules of the package that a file imports, by their dotted names."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def tests_of(module: Path) -> list[Path]:
    """Test files that import the module, or else one that imports it; those against published values first."""
    name = ".".join(module.with_suffix("").parts)
    tests = {path: imported(path) for path in sorted(ROOT.glob("tests/*/test_*.py"))}
    near = {name}
    if not any(near & names for names in tests.values()):
        files = {".".join(p.relative_to(ROOT).with_suffix("").parts): p for p in ROOT.glob("mouldgeom/**/*.py")}
        near |= {other for other, path in files.items() if name in imported(path)}
    return [path.relative_to(ROOT) for path, names in tests.items() if near & names]


def outcome(copy: Path, tests: list[Path], seconds: float, keep: bool = False) -> str:
    """Run the tests on the copy in a process of its own: "passed", "failed" or "too slow"."""
    child = os.fork()
    if child == 0:
        os.setsid()
        os.chdir(copy)
        sys.path.insert(0, str(copy))
        sys.dont_write_bytecode = not keep
        with open(os.devnull, "w") as nothing:
            os.dup2(nothing.fileno(), 1)
            os.dup2(nothing.fileno(), 2)
        import pytest

        code = pytest.main(["-x", "-q", "-n", "0", "-p", "no:cacheprovider", *map(str, tests)])
        foreign = not str(import_module("mouldgeom").__file__).startswith(str(copy))
        os._exit(99 if foreign else int(code))
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            code = os.waitstatus_to_exitcode(status)
            if code == 99:
                raise SystemExit("the tests read another copy of the package")
            return "passed" if code == 0 else "failed"
        time.sleep(0.05)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return "too slow"


def survivors(
    copy: Path, module: Path, tests: list[Path], inside: bool, seconds: float
) -> Iterator[tuple[Number, str]]:
    """Numbers whose change no test notices, and those for which the time was too short."""
    sound = [test for test in tests or tests_of(module) if outcome(copy, [test], seconds, keep=True) == "passed"]
    print(f"{module}: {', '.join(test.name for test in sound) or 'no test'}", flush=True)
    target, source = copy / module, (copy / module).read_text(encoding="utf-8")
    for number in numbers(source, inside):
        lines = source.encode().splitlines(keepends=True)
        line, start = lines[number.line - 1], number.column
        lines[number.line - 1] = line[:start] + nudged(number.text).encode() + line[start + len(number.text) :]
        target.write_bytes(b"".join(lines))
        for compiled in (target.parent / "__pycache__").glob(f"{target.stem}.*.pyc"):
            compiled.unlink()
        found = outcome(copy, sound, seconds) if sound else "passed"
        if found != "failed":
            yield number, found
    target.write_text(source, encoding="utf-8")


def main() -> None:
    """Change every number of the modules named."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("modules", nargs="+", type=Path, help="files or folders of the package, from its root")
    parser.add_argument("--inside", action="store_true", help="numbers in functions too")
    parser.add_argument("--seconds", type=float, default=120, help="longest run of the tests of one number")
    parser.add_argument("--tests", nargs="*", type=Path, default=[], help="test files, instead of those that import it")
    asked = parser.parse_args()
    for name in SLOW:
        import_module(name)
    with tempfile.TemporaryDirectory() as folder, contextlib.suppress(KeyboardInterrupt):
        copy = Path(folder).resolve()
        for part in ("mouldgeom", "tests"):
            shutil.copytree(ROOT / part, copy / part, ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(ROOT / "pyproject.toml", copy)
        for path in asked.modules:
            whole = ROOT / path
            for module in sorted(whole.rglob("*.py")) if whole.is_dir() else [whole]:
                relative = module.resolve().relative_to(ROOT)
                source = module.read_text(encoding="utf-8").splitlines()
                for number, found in survivors(copy, relative, asked.tests, asked.inside, asked.seconds):
                    note = "not noticed" if found == "passed" else found
                    print(f"{relative}:{number.line}: {number.text} -> {nudged(number.text)} {note}: "
                          f"{source[number.line - 1].strip()}", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
