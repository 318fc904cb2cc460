"""``check``: every check, the worst first."""

from __future__ import annotations

import argparse

from mouldgeom.cli.arguments import JSON_HELP, SPEC_HELP, Command, add_extensions
from mouldgeom.cli.printing import headline_text, print_json, progress, result_text, verdict_text
from mouldgeom.spec import BUILT_IN


def add(command: Command) -> None:
    """Say what it takes."""
    check = command("check", "run every check and print the results, worst first", "mouldgeom check my-mould.toml")
    check.add_argument("spec", metavar="SPEC", nargs="?", default=BUILT_IN, help=SPEC_HELP)
    add_extensions(check)
    check.add_argument("--json", action="store_true", help=JSON_HELP)
    check.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Run the checks and print them."""
    from mouldgeom.outputs.extension import installed
    from mouldgeom.outputs.job import read_job
    from mouldgeom.outputs.kinds import CHECKS
    from mouldgeom.outputs.records import headline

    job = read_job(options.spec, kinds=(CHECKS,), extensions=installed(options.extensions))
    progress("building solids and running the checks")
    results = job.results
    progress("")
    if options.json:
        print_json({**headline(job.mould), "passed": job.passed, "results": [r.record() for r in results]})
    else:
        from mouldgeom.verdict import worst_first

        print(headline_text(job.mould))
        for result in worst_first(results):
            print(result_text(result))
        print(verdict_text(results))
    return 0 if job.passed else 1
