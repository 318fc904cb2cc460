"""The commands. Heavy imports only inside a command.

Exit status: 0 done and all checks hold; 1 done, a check fails; 2 bad input or unusable folder, nothing written.
"""

from __future__ import annotations

import argparse
import io
import logging
import os
import sys
import warnings
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import mouldgeom
from mouldgeom.errors import InputError, MouldError
from mouldgeom.outputs.kinds import BARS, CHECKS, COST, DRAWINGS, KINDS, NESTS, REPORT, Kind
from mouldgeom.reading import check_given, length_given
from mouldgeom.spec import BUILT_IN, EXAMPLES, load, spec_toml
from mouldgeom.units import four_figures, told_apart
from mouldgeom.writing import Stopped, stoppable, write_whole

if TYPE_CHECKING:
    from mouldgeom.checks import CheckResult
    from mouldgeom.outputs.package import Job
    from mouldgeom.stock.two_units import StockFit

_EXIT = "exit status: 0 all checks hold, 1 a check fails, 2 bad input or unusable folder (nothing written)"
_CAUTION = (
    "The tool advises; a licensed engineer and local codes decide. Welding, cutting, grinding, lifting, wet cement\n"
    "and drinking water each carry their usual cautions. Try one filter before paying for or repeating a mould."
)


def _whole_number(text: str) -> int:
    if not (text.isdecimal() and text.isascii() and len(text) < 10):
        raise argparse.ArgumentTypeError(f"{text!r} is no whole number")
    return int(text)


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        told = message if len(message) < 300 else f"{message[:140]} ... {message[-140:]}"
        self.exit(2, f"mouldgeom: {_one_line(told)}. See: {self.prog} --help\n")


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
    new.add_argument("--force", action="store_true", help="overwrite an existing file")
    new.set_defaults(run=_new)

    _add_size(command)

    spec_help = f"specification file, or {', '.join(EXAMPLES)} (default {BUILT_IN})"
    check = command("check", "run every check and print the results, worst first", "mouldgeom check my-mould.toml")
    check.add_argument("spec", metavar="SPEC", nargs="?", default=BUILT_IN, help=spec_help)
    check.add_argument("--json", action="store_true", help="print one JSON document instead")
    check.set_defaults(run=_check)

    make = command(
        "make",
        "write the package: cut files, solids, lists, checks, calculation, drawings, build sheet, report page",
        "mouldgeom make my-mould.toml --out package",
    )
    make.add_argument("spec", metavar="SPEC", nargs="?", default=BUILT_IN, help=spec_help)
    make.add_argument(
        "--out",
        metavar="FOLDER",
        required=True,
        help="folder to write; an earlier package there is replaced as a whole",
    )
    make.add_argument(
        "--keep-edited",
        action="store_true",
        help="keep what was edited in an earlier package there beside the new file, as NAME-edited",
    )
    make.add_argument(
        "--only",
        metavar="KIND",
        action="append",
        default=None,
        help="write only this kind of file; may be given again: "
        + ", ".join(f"{kind} ({kind.meaning})" for kind in KINDS),
    )
    make.add_argument("--prices", metavar="FILE", help="prices and rates (TOML): adds cost.json and cost.csv")
    make.add_argument(
        "--stock",
        metavar="FILE",
        help="steel in stock (TOML): the design adapts to it; adds nests and a bar cutting plan",
    )
    make.add_argument(
        "--straight-cuts", action="store_true", help="nests for a shear or grinder: cuts from edge to edge"
    )
    make.add_argument("--grain", action="store_true", help="nests without quarter turns")
    make.add_argument(
        "--moulds",
        metavar="N",
        type=_whole_number,
        default=1,
        help="nests, bars and cost of so many equal moulds (1 to 50)",
    )
    make.add_argument("--json", action="store_true", help="print one JSON document instead")
    make.set_defaults(run=_make)

    listed = command(
        "readlist",
        "read a cut list in mm and inches (CSV from anywhere): pairs that disagree, pieces that do not fit the stock",
        "mouldgeom readlist cut-list.csv --stock-length 1435 --kerf 2.2",
    )
    listed.add_argument("file", metavar="FILE", help="the list, CSV")
    listed.add_argument("--stock-length", metavar="L", help='length of a bar: mm, or text with a unit ("56 1/2 in")')
    listed.add_argument("--kerf", metavar="K", help="width of a saw cut (default 0)")
    listed.add_argument("--bars", metavar="N", type=_whole_number, help="bars of each material (default 1)")
    listed.add_argument("--material", metavar="TEXT", help="only rows whose material has this text")
    for name in ("mm", "inch", "quantity"):
        listed.add_argument(f"--{name}", metavar="HEADER", help=f"header of the column: {name}")
    listed.add_argument("--json", action="store_true", help="print one JSON document instead")
    listed.set_defaults(run=_readlist)
    built = command(
        "asbuilt",
        "tell what wall a finished mould will cast, from its measured dimensions",
        "mouldgeom make my-mould.toml --out mould, fill in mould/measured.csv, "
        "then: mouldgeom asbuilt my-mould.toml mould/measured.csv",
    )
    built.add_argument("spec", metavar="SPEC", nargs="?", default=None, help=spec_help)
    built.add_argument("measured", metavar="MEASURED.csv", help="measured.csv of the package, filled in")
    built.add_argument(
        "--picture", metavar="FILE", help="picture of the four walls as they will be cast: FILE.svg or FILE.png"
    )
    built.add_argument("--json", action="store_true", help="print one JSON document instead")
    built.set_defaults(run=_asbuilt)
    return parser


def _add_size(command: Callable[[str, str, str], argparse.ArgumentParser]) -> None:
    from mouldgeom.filter.asking import FIELDS, OLD_NAMES, TEXTS

    size = command(
        "size",
        "find the filter for your sand, charge and household with the least concrete",
        "mouldgeom size --sieve sand.csv --sand-column 450 --charge 12 --people 5 --out my-mould.toml",
    )
    size.add_argument("input", metavar="INPUT", nargs="?", default=None, help="TOML file with the same names as below")
    for name, meaning in TEXTS.items():
        size.add_argument(f"--{name}", metavar="FILE" if name != "title" else "TEXT", help=meaning)
    for field in FIELDS.values():
        unit = "" if field.unit == "-" else f" [{field.unit}]"
        size.add_argument(field.option, metavar="N", help=f"{field.meaning}{unit}".replace("%", "%%"))
    for old in OLD_NAMES:
        size.add_argument("--" + old.replace("_", "-"), help=argparse.SUPPRESS)
    size.add_argument("--out", metavar="FILE", help="write the specification, with its reasons, for make")
    size.add_argument("--force", action="store_true", help="overwrite an existing file")
    size.add_argument("--pictures", metavar="FOLDER", help="write grading curve, drain curve and section, SVG and PNG")
    size.add_argument("--table", metavar="FOLDER", help="write the table of sand columns and charges: CSV, SVG and PNG")
    size.add_argument("--json", action="store_true", help="print one JSON document instead")
    size.set_defaults(run=_size)


_PLACES = {"spec": "SPEC", "file": "FILE", "input": "INPUT", "measured": "MEASURED"}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    _ready_streams()
    options = _parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = options.run
    warnings.showwarning = _note
    try:
        with stoppable():
            check_given(vars(options), _PLACES)
            status = run(options)
            sys.stdout.flush()
            return status
    except InputError as error:
        return _fail(str(error))
    except MouldError as error:
        return _fail(f"{error}. This is a fault of the program: please report the specification that shows it.")
    except BrokenPipeError:
        _drop_output()
        return 0
    except Stopped as told:
        state = told.state or "a package that was there is still whole, and no file is there in part"
        return _fail(f"stopped; {state}", 128 + told.number)
    except OSError as error:
        _drop_output()
        return _fail(f"the output cannot be written ({error.strerror or error})")
    except ImportError as error:
        if "mouldgeom" in str(error.name or ""):
            raise
        return _fail(
            f"a library cannot be loaded ({error}). On Debian the solid kernel needs: apt-get install libgl1 libx11-6"
        )


def _note(message: Warning | str, *_: object, **__: object) -> None:
    """Say in one line what a warning says."""
    print(f"mouldgeom: {_one_line(str(message))}", file=sys.stderr)


def _fail(message: str, status: int = 2) -> int:
    print(f"mouldgeom: {_one_line(message)}", file=sys.stderr)
    return status


def _one_line(text: str) -> str:
    """The text with whatever would break its line, or steer a terminal, written as an escape."""
    return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)


def _ready_streams() -> None:
    """Make sure that there is somewhere to print to, that no character stops the printing, and that no library prints.

    The DXF library would say where it keeps no list of the machine's fonts; nothing here asks for one.
    """
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115 (open until the end)
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _drop_output() -> None:
    """Send what is still to be printed nowhere, so that the interpreter does not stumble over it at its end."""
    with suppress(OSError):  # no file stands behind it
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


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
    write_whole(path, text.encode("utf-8"), "FILE", over=options.force)
    print(f"{path} written. Change it, then run: mouldgeom check {path}")
    return 0


def _size(options: argparse.Namespace) -> int:
    from mouldgeom.filter.asking import FIELDS, OLD_NAMES, TEXTS, read_input
    from mouldgeom.outputs.size_report import answer, document, lines

    path = None if options.input is None else Path(options.input)
    found = answer(read_input(path, {name: getattr(options, name) for name in (*FIELDS, *TEXTS, *OLD_NAMES)}))
    if options.out or options.pictures or options.table:
        from mouldgeom.outputs.size_files import picture_files, spec_bytes, table_files, write_all

        folders = {}
        if options.pictures:
            _progress("making pictures")
            folders["--pictures"] = (Path(options.pictures), picture_files(found))
        if options.table:
            _progress("sizing the table")
            folders["--table"] = (Path(options.table), table_files(found.asked.request))
        spec = (Path(options.out), spec_bytes(found)) if options.out else None
        write_all(spec, folders, force=options.force)
        _progress("")
    if options.json:
        from mouldgeom.outputs.records import json_bytes

        sys.stdout.write(json_bytes(document(found)).decode())
        return 0
    print("\n".join(lines(found)))
    if options.out:
        print(f"\n{options.out} written. Now run: mouldgeom make {options.out} --out package")
    return 0


def _readlist(options: argparse.Namespace) -> int:
    from mouldgeom.outputs.records import json_bytes
    from mouldgeom.stock.two_units import Columns, list_record, list_text, load_list, stock_fits

    for name in ("kerf", "bars", "material"):
        if options.stock_length is None and getattr(options, name) is not None:
            limit = "it serves to see what comes out of a bar, and no bar is given"
            raise InputError(f"--{name}", str(getattr(options, name)), limit, "Add --stock-length L, or leave it out.")
    kerf = length_given("--kerf", options.kerf or "0", 0.0)
    bars = 1 if options.bars is None else options.bars
    if bars < 1:
        raise InputError("--bars", str(bars), "at least one bar is needed", "Give 1 or more.")
    length = None
    if options.stock_length is not None:
        length = length_given("--stock-length", options.stock_length, 1.0)
    rows = load_list(options.file, Columns(options.mm, options.inch, options.quantity))
    fits: tuple[StockFit, ...] = ()
    if length is not None:
        fits = stock_fits(rows, length, kerf, bars, options.material)
    record = list_record(rows, fits)
    sys.stdout.write(json_bytes(record).decode() if options.json else list_text(rows, fits) + "\n")
    return 0 if record["agree"] and record["fit"] else 1


def _asbuilt(options: argparse.Namespace) -> int:
    from mouldgeom.assembly import build
    from mouldgeom.inspection.asbuilt import BuiltMould
    from mouldgeom.inspection.critical import critical
    from mouldgeom.inspection.measured import load_measured, name_of
    from mouldgeom.outputs.asbuilt_report import built_record, built_text
    from mouldgeom.outputs.records import json_bytes

    mould = build(load(options.spec or BUILT_IN))
    name, chosen = name_of(mould.dims.spec), options.spec is not None
    built = BuiltMould(mould, load_measured(options.measured, critical(mould), mould=name, chosen=chosen))
    if options.picture is not None:
        from mouldgeom.outputs.asbuilt_picture import write_picture

        write_picture(Path(options.picture), built)
    sys.stdout.write(json_bytes(built_record(built)).decode() if options.json else built_text(built) + "\n")
    return 0 if all(result.holds for result in built.results) else 1


def _job(options: argparse.Namespace, kinds: Sequence[Kind]) -> Job:
    from mouldgeom.assembly import build
    from mouldgeom.outputs.package import Job

    spec = load(options.spec)
    rates = there = None
    changes: tuple[str, ...] = ()
    if options.prices is not None:
        from mouldgeom.stock.rates import load_prices

        rates = load_prices(options.prices)
    if options.stock is not None:
        from mouldgeom.stock.stocklist import load_stock
        from mouldgeom.stock.substitute import substitute
        from mouldgeom.strength.book import failing

        there = load_stock(options.stock)
        adapted = substitute(spec, there, failing)
        spec, changes = adapted.spec, tuple(adapted.lines())
    cuts = {"straight_cuts": options.straight_cuts, "grain": options.grain}
    return Job(build(spec), rates, options.moulds, there, changes, kinds=tuple(kinds), **cuts)


def _check(options: argparse.Namespace) -> int:
    from mouldgeom.assembly import build
    from mouldgeom.outputs.package import Job

    job = Job(build(load(options.spec)), kinds=(CHECKS,))
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
    from mouldgeom.outputs.package import make_files, prepare, write_package

    known = [kind.name for kind in KINDS]
    for name in options.only or ():
        if name not in known:
            raise InputError("--only", repr(name), "no such kind of file", f"Choose from {', '.join(known)}.")
    kinds = [kind for kind in KINDS if options.only is None or kind.name in options.only]
    if options.prices is None and COST in kinds:
        if options.only is not None:
            raise InputError("--only", "cost", "the cost needs prices", "Give --prices FILE.")
        kinds.remove(COST)
    if options.prices is None and not {NESTS, DRAWINGS, REPORT} & {*kinds}:
        for name in ("straight_cuts", "grain"):
            if getattr(options, name):
                limit = "it serves the nests, which are not among --only"
                raise InputError("--" + name.replace("_", "-"), "given", limit, "Add --only nests, or leave it out.")
    asked = options.stock is not None or options.moulds > 1 or options.straight_cuts or options.grain
    if options.only is None and not asked:
        kinds = [kind for kind in kinds if kind not in (NESTS, BARS)]
    if not 1 <= options.moulds <= 50:
        raise InputError("--moulds", str(options.moulds), "allowed is 1 to 50", "Choose a number in that range.")
    job = _job(options, kinds)
    costs = job.cost
    target = Path(options.out)
    prepare(target, keep_edited=options.keep_edited)
    files = make_files(job, lambda kind: _progress(f"making {kind}"))
    _progress("writing")
    kept = write_package(job, files, target, keep_edited=options.keep_edited)
    _progress("")
    if options.json:
        from mouldgeom.outputs.records import headline, json_bytes

        paths = sorted([*(file.path for file in files), "manifest.json", *kept])
        document = {**headline(job.mould), "checked": job.checked, "passed": job.passed if job.checked else None}
        sys.stdout.write(json_bytes({**document, "files": paths}).decode())
    else:
        print(_headline(job))
        for line in job.changes:
            print(line)
        if NESTS in kinds and BARS in kinds:
            from mouldgeom.outputs.steel_files import purchase_lines

            print(f"To buy for {job.moulds} mould{'s' if job.moulds > 1 else ''}:")
            for line in purchase_lines(job.nests, job.bars, job.mould.fasteners, job.moulds):
                print(f"  {line}")
        print(f"{len(files) + 1} files in {target}{os.sep}: {', '.join(map(str, kinds))}, manifest")
        for path in kept:
            print(f"kept beside them: {path}")
        if job.checked:
            print(_verdict(job.results))
            for result in job.results:
                if not result.passed:
                    print(_line(result))
        else:
            print("The checks were not run; run them with: mouldgeom check")
        if costs is not None:
            from mouldgeom.stock.cost import cost_text

            print(cost_text(costs))
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


def _line(result: CheckResult) -> str:
    verdict = "ok  " if result.passed else "FAIL"
    unit = "" if result.unit == "-" else f" {result.unit}"
    provided, required = told_apart(result.provided, result.required, result.passed, four_figures)
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
    if failed:
        return f"{len(failed)} of {len(results)} checks fail: {', '.join(r.code for r in failed)}."
    return f"All {len(results)} checks hold.\nThe tool advises; a licensed engineer and local codes decide."
