"""``make``: the package, whole or some kinds of file."""

from __future__ import annotations

import argparse

import mouldgeom
from mouldgeom.cli.arguments import JSON_HELP, SPEC_HELP, Command, add_extensions, whole_number
from mouldgeom.cli.printing import answered, progress


def add(command: Command) -> None:
    """Say what it takes."""
    make = command(
        "make",
        "write the package: cut files, solids, lists, checks, calculation, drawings, build sheet, report page",
        "mouldgeom make my-mould.toml --out package",
    )
    make.add_argument("spec", metavar="SPEC", nargs="?", default=mouldgeom.BUILT_IN, help=SPEC_HELP)
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
        + ", ".join(f"{kind} ({kind.meaning})" for kind in mouldgeom.KINDS),
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
    mould = mouldgeom.build(options.spec, stock=options.stock, extensions=options.extensions)
    made = mould.package(
        options.out,
        only=options.only,
        prices=options.prices,
        moulds=options.moulds,
        straight_cuts=options.straight_cuts,
        grain=options.grain,
        keep_edited=options.keep_edited,
        progress=progress,
    )
    return answered(made, json=options.json)
