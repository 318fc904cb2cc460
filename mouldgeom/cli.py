"""The commands. Heavy imports only inside a command.

Exit status: 0 done and all checks hold; 1 done, a check fails; 2 bad input or unusable folder, nothing written.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import mouldgeom
from mouldgeom.errors import FolderError, InputError, MouldError
from mouldgeom.spec import BUILT_IN, EXAMPLES, load, spec_toml

if TYPE_CHECKING:
    from mouldgeom.checks import CheckResult
    from mouldgeom.checks.result import Measured
    from mouldgeom.outputs.package import Job

_EXIT = "exit status: 0 all checks hold, 1 a check fails, 2 bad input or unusable folder (nothing written)"
_CAUTION = (
    "The tool advises; a licensed engineer and local codes decide. Welding, cutting, grinding, lifting, wet cement\n"
    "and drinking water each carry their usual cautions. Try one filter before paying for or repeating a mould."
)


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        self.exit(2, f"mouldgeom: {message}. See: {self.prog} --help\n")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="mouldgeom",
        description="Design the welded steel mould of a concrete household sand filter.",
        epilog=_EXIT + "\n\n" + _CAUTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"mouldgeom {mouldgeom.__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def command(name: str, text: str, example: str) -> argparse.ArgumentParser:
        return commands.add_parser(
            name,
            help=text,
            description=text[0].upper() + text[1:] + ".",
            epilog=f"example:\n  {example}\n\n{_EXIT}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )

    new = command(
        "new",
        "write a complete, commented specification to start from",
        "mouldgeom new my-mould.toml --like inch-example",
    )
    new.add_argument("file", metavar="FILE", nargs="?", default="mould.toml", help="file to write (default mould.toml)")
    new.add_argument("--like", metavar="NAME", default=BUILT_IN, help=f"example to copy: {', '.join(EXAMPLES)}")
    new.add_argument("--force", action="store_true", help="write over a file that is there")
    new.set_defaults(run=_new)

    spec_help = f"specification file, or {', '.join(EXAMPLES)} (default {BUILT_IN})"
    check = command("check", "run every check and print the results, worst first", "mouldgeom check my-mould.toml")
    check.add_argument("spec", metavar="SPEC", nargs="?", default=BUILT_IN, help=spec_help)
    check.add_argument("--json", action="store_true", help="print one JSON document instead")
    check.set_defaults(run=_check)

    make = command(
        "make", "write the package: cut files, solids, lists, checks", "mouldgeom make my-mould.toml --out package"
    )
    make.add_argument("spec", metavar="SPEC", nargs="?", default=BUILT_IN, help=spec_help)
    make.add_argument(
        "--out", metavar="FOLDER", required=True, help="folder to write; an earlier package there is replaced"
    )
    make.add_argument(
        "--only",
        metavar="KIND",
        action="append",
        default=None,
        help="write only this kind of file; may be given again: spec, parts, flat, checks, solid",
    )
    make.add_argument("--json", action="store_true", help="print one JSON document instead")
    make.set_defaults(run=_make)
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    options = _parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = options.run
    try:
        status = run(options)
        sys.stdout.flush()
        return status
    except InputError as error:
        return _fail(str(error))
    except MouldError as error:
        return _fail(f"{error}. This is a fault of the program: please report the specification that shows it.")
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return _fail("stopped; nothing was changed", 130)
    except ImportError as error:
        if "mouldgeom" in str(error.name or ""):
            raise
        return _fail(
            f"a library cannot be loaded ({error}). On Debian the solid kernel needs: apt-get install libgl1 libx11-6"
        )


def _fail(message: str, status: int = 2) -> int:
    print(f"mouldgeom: {message}", file=sys.stderr)
    return status


def _progress(text: str) -> None:
    """Say what is being done, on a terminal only."""
    if sys.stderr.isatty():
        print(f"\r\x1b[K{text} ..." if text else "\r\x1b[K", end="", file=sys.stderr, flush=True)


def _new(options: argparse.Namespace) -> int:
    if options.like not in EXAMPLES:
        raise InputError("--like", repr(options.like), "no such example", f"Choose {', '.join(EXAMPLES)}.")
    spec = load(options.like)
    text = spec_toml(spec, comments=True, head=(f"Specification of a mould, started from {options.like}.", ""))
    path = Path(options.file)
    try:
        with path.open("w" if options.force else "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError as error:
        raise FolderError(
            "FILE", repr(str(path)), "it is there already", "Choose another name, or add --force."
        ) from error
    except (OSError, ValueError) as error:
        cause = getattr(error, "strerror", None) or str(error)
        raise FolderError(
            "FILE", repr(str(path)), f"it cannot be written ({cause})", "Choose another place."
        ) from error
    print(f"{path} written. Change it, then run: mouldgeom check {path}")
    return 0


def _job(source: str) -> Job:
    from mouldgeom.assembly import build
    from mouldgeom.outputs.package import Job

    return Job(build(load(source)))


def _check(options: argparse.Namespace) -> int:
    job = _job(options.spec)
    _progress("building solids and running the checks")
    results = job.results
    _progress("")
    if options.json:
        from mouldgeom.outputs.records import headline, json_bytes

        document = {**headline(job.mould), "passed": job.passed, "results": [r.record() for r in results]}
        sys.stdout.write(json_bytes(document).decode())
    else:
        print(_headline(job))
        print(_table(results))
        print(_verdict(results))
    return 0 if job.passed else 1


def _make(options: argparse.Namespace) -> int:
    from mouldgeom.outputs.package import Kind, make_files, prepare, write_package

    known = [str(kind) for kind in Kind]
    for name in options.only or ():
        if name not in known:
            raise InputError("--only", repr(name), "no such kind of file", f"Choose from {', '.join(known)}.")
    kinds = [kind for kind in Kind if options.only is None or str(kind) in options.only]
    job = _job(options.spec)
    target = Path(options.out)
    prepare(target)
    files = make_files(job, kinds, lambda kind: _progress(f"making {kind}"))
    _progress("writing")
    write_package(job, files, target)
    _progress("")
    if options.json:
        from mouldgeom.outputs.records import headline, json_bytes

        paths = sorted([*(file.path for file in files), "manifest.json"])
        document = {**headline(job.mould), "checked": job.checked, "passed": job.passed if job.checked else None}
        sys.stdout.write(json_bytes({**document, "files": paths}).decode())
    else:
        print(_headline(job))
        print(f"{len(files) + 1} files in {target}{os.sep}: {', '.join(kinds)}, manifest")
        if job.checked:
            print(_verdict(job.results))
            for result in job.results:
                if not result.passed:
                    print(_line(result))
        else:
            print("The checks were not run; run them with: mouldgeom check")
    return 0 if job.passed else 1


def _headline(job: Job) -> str:
    from mouldgeom.outputs.records import headline

    figures = headline(job.mould)
    return (
        f"{figures['title']}\n"
        f"filter {figures['outside_width_mm']:.0f} x {figures['outside_depth_mm']:.0f} x {figures['height_mm']:.0f} mm;"
        f" mould of {figures['pieces']} pieces under {figures['marks']} marks, {figures['bolts']} bolts,"
        f" {figures['steel_kg']:.0f} kg of steel"
    )


def _number(value: Measured, unit: str) -> str:
    if abs(value) >= 1e4 or (unit == "-" and value == int(value)):
        return f"{value:.0f}"
    return f"{value:.4g}"


def _line(result: CheckResult) -> str:
    verdict = "ok  " if result.passed else "FAIL"
    unit = "" if result.unit == "-" else f" {result.unit}"
    provided, required = (_number(value, result.unit) for value in (result.provided, result.required))
    return (
        f"{verdict}  {result.code:<5} {result.title}\n"
        f"            {provided} {result.operator} {required}{unit}  at: {result.where}\n"
        f"            {result.source}"
    )


def _table(results: tuple[CheckResult, ...]) -> str:
    from mouldgeom.checks import worst_first

    return "\n".join(_line(result) for result in worst_first(results))


def _verdict(results: tuple[CheckResult, ...]) -> str:
    failed = [result for result in results if not result.passed]
    if not failed:
        return f"All {len(results)} checks hold. " + _CAUTION.splitlines()[0].split(".")[0] + "."
    return f"{len(failed)} of {len(results)} checks fail: {', '.join(r.code for r in failed)}."
