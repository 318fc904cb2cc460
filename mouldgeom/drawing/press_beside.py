"""The process beside: ``python -m mouldgeom.drawing.press_beside`` reads an order, writes what was printed."""

from __future__ import annotations

import importlib
import pickle
import sys

from mouldgeom.drawing.press import press


def serve() -> None:
    """Read an order from standard input and write what was printed to standard output."""
    for name in ("sheet_dxf", "sheet_pdf", "sheet_svg"):  # while the order is still on its way
        importlib.import_module(f"mouldgeom.drawing.{name}")
    order = pickle.loads(sys.stdin.buffer.read())
    sys.stdout.buffer.write(pickle.dumps(press(order)))


if __name__ == "__main__":
    serve()
