"""``make``: the package, whole or some kinds of file."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from mouldgeom.cli.arguments import JSON_HELP, SPEC_HELP, Command, add_extensions, whole_number
from mouldgeom.cli.printing import headline_text, print_json, progress, result_text, verdict_text
from mouldgeom.errors import InputError
from mouldgeom.outputs.kinds import BARS, COST, DRAWINGS, KINDS, NESTS, REPORT, Kind
from mouldgeom.spec import BUILT_IN

if TYPE_CHECKING:
    from mouldgeom.outputs.package import Job, Package


def add(command: Command) -> None:
    """Say what it takes."""
    make = command(
        "make",
        "write the package: cut files, solids, lists, checks, calculation, drawings, build sheet, report page",
        "mouldgeom make my-mould.toml --out package",
    )
    make.add_argument("spec", metavar="SPEC", nargs="?", default=BUILT_IN, help=SPEC_HELP)
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
        type=whole_number,
        default=1,
        help="nests, bars and cost of so many equal moulds (1 to 50)",
    )
    add_extensions(make)
    make.add_argument("--json", action="store_true", help=JSON_HELP)
    make.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Make the files, write the package and print what it is."""
    from mouldgeom.outputs.extension import all_kinds, installed
    from mouldgeom.outputs.job import read_job
    from mouldgeom.outputs.package import make_package

    extensions = installed(options.extensions)
    job = read_job(
        options.spec,
        prices=options.prices,
        stock=options.stock,
        moulds=options.moulds,
        kinds=_kinds(options, all_kinds(extensions)),
        straight_cuts=options.straight_cuts,
        grain=options.grain,
        extensions=extensions,
    )
    made = make_package(job, Path(options.out), keep_edited=options.keep_edited, progress=progress)
    progress("")
    if options.json:
        print_json(made.record())
    else:
        _print(job, made, options.out)
    return 0 if job.passed else 1


def _kinds(options: argparse.Namespace, there: Sequence[Kind]) -> tuple[Kind, ...]:
    """The kinds of file that are asked for.

    Raises:
        InputError: there is no such kind, or options that contradict one another.
    """
    known = [kind.name for kind in there]
    for name in options.only or ():
        if name not in known:
            raise InputError("--only", repr(name), "no such kind of file", f"Choose from {', '.join(known)}.")
    kinds = [kind for kind in there if options.only is None or kind.name in options.only]
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
    return tuple(kinds)


def _print(job: Job, made: Package, folder: str) -> None:
    """What was made, what to buy, whether the checks hold, and the cost."""
    print(headline_text(job.mould))
    for line in job.changes:
        print(line)
    if NESTS in job.kinds and BARS in job.kinds:
        from mouldgeom.outputs.steel_files import purchase_lines

        print(f"To buy for {job.moulds} mould{'s' if job.moulds > 1 else ''}:")
        for line in purchase_lines(job.nests, job.bars, job.mould.fasteners, job.moulds):
            print(f"  {line}")
    print(f"{len(made.files) + 1} files in {Path(folder)}{os.sep}: {', '.join(map(str, job.kinds))}, manifest")
    for path in made.kept:
        print(f"kept beside them: {path}")
    if job.checked:
        print(verdict_text(job.results))
        for result in job.results:
            if not result.holds:
                print(result_text(result))
    else:
        print("The checks were not run; run them with: mouldgeom check")
    if job.cost is not None:
        from mouldgeom.fabrication.cost import cost_text

        print(cost_text(job.cost))
