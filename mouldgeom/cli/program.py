"""The program: its commands, and what becomes of errors.  Heavy imports only inside a command.

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
from typing import Final, NoReturn

import mouldgeom
from mouldgeom.cli import asbuilt, check, make, new, readlist, size
from mouldgeom.cli.arguments import EXIT

_COMMANDS: Final = (new, size, check, make, readlist, asbuilt)
_CAUTION = (
    "The tool advises; a licensed engineer and local codes decide. Welding, cutting, grinding, lifting, wet cement\n"
    "and drinking water each carry their usual cautions. Try one filter before paying for or repeating a mould."
)


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        told = message if len(message) < 300 else f"{message[:140]} ... {message[-140:]}"
        self.exit(2, f"mouldgeom: {_one_line(told)}. See: {self.prog} --help\n")


def parser() -> argparse.ArgumentParser:
    """What the program takes."""
    program = _Parser(
        prog="mouldgeom",
        description="Design the welded steel mould of a concrete household sand filter.",
        epilog=EXIT + "\n\n" + _CAUTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    program.add_argument("--version", action="version", version=f"mouldgeom {mouldgeom.__version__}")
    commands = program.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def command(name: str, text: str, example: str) -> argparse.ArgumentParser:
        return commands.add_parser(
            name,
            help=text,
            description=text[0].upper() + text[1:] + ".",
            epilog=f"example:\n  {example}\n\n{EXIT}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )

    for one in _COMMANDS:
        one.add(command)
    return program


_PLACES = {"spec": "SPEC", "file": "FILE", "input": "INPUT", "measured": "MEASURED", "extensions": "--with"}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    _ready_streams()
    options = parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = options.run
    warnings.showwarning = _note
    try:
        with mouldgeom.stoppable():
            mouldgeom.check_given(vars(options), _PLACES)
            status = run(options)
            sys.stdout.flush()
            return status
    except mouldgeom.InputError as error:
        return _fail(str(error))
    except mouldgeom.MouldError as error:
        return _fail(f"{error}. This is a fault of the program: please report the specification that shows it.")
    except BrokenPipeError:
        _drop_output()
        return 0
    except mouldgeom.Stopped as told:
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
