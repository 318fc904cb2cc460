"""Sets a drawing set as files, here or in a process beside this one that works while this one goes on.

Both give the same bytes.  Where the process beside cannot be had, the work is done here.
"""

from __future__ import annotations

import pickle
import subprocess
import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from threading import Thread

from mouldgeom.drawing.primitives import Sheet
from mouldgeom.words import Words


@dataclass(frozen=True)
class PrintOrder:
    """What is to be set: the sheets, title of the document, language, units, and dots per inch of the pictures."""

    sheets: tuple[Sheet, ...]
    title: str
    language: str
    units: str
    dpi: int


@dataclass(frozen=True)
class Printed:
    """The set as one PDF, and each sheet as DXF, SVG and PNG, in the order of the sheets."""

    pdf: bytes
    dxf: tuple[bytes, ...]
    svg: tuple[bytes, ...]
    png: tuple[bytes, ...]


def press(order: PrintOrder) -> Printed:
    """Set everything here."""
    from mouldgeom.drawing.sheet_dxf import dxf_bytes
    from mouldgeom.drawing.sheet_pdf import pdf_bytes, png_pages
    from mouldgeom.drawing.sheet_svg import svg_text

    words = Words(order.language, order.units)
    return Printed(
        pdf_bytes(order.sheets, words, order.title),
        tuple(dxf_bytes(sheet) for sheet in order.sheets),
        tuple(svg_text(sheet).encode("utf-8") for sheet in order.sheets),
        tuple(png_pages(order.sheets, words, order.dpi)),
    )


class Press:
    """A process beside this one that gets ready at once, takes one order, and sets it; ``printed`` waits for it."""

    def __init__(self) -> None:
        self._order: PrintOrder | None = None
        self._answer = b""
        self._waiter: Thread | None = None
        self._process: subprocess.Popen[bytes] | None = None
        command = [sys.executable, "-m", "mouldgeom.drawing.press_beside"]
        with suppress(OSError):
            self._process = subprocess.Popen(
                command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
            )

    def take(self, order: PrintOrder) -> None:
        """Hand over what is to be set; the first order counts."""
        if self._order is None:
            self._order = order
            self._waiter = Thread(target=self._wait, daemon=True)
            self._waiter.start()

    def _wait(self) -> None:
        if self._process is not None:
            with suppress(OSError, ValueError):
                self._answer, _ = self._process.communicate(pickle.dumps(self._order))

    def printed(self) -> Printed:
        """The files, once they are there.

        Raises:
            RuntimeError: no order was taken.
        """
        if self._order is None or self._waiter is None:
            raise RuntimeError("nothing was ordered")
        self._waiter.join()
        if self._process is not None and self._process.returncode == 0:
            answer = pickle.loads(self._answer)
            if isinstance(answer, Printed):
                return answer
        return press(self._order)

    def stop(self) -> None:
        """End the process beside, if it still runs."""
        if self._process is not None and self._process.poll() is None:
            self._process.kill()


def orders(sheets: Sequence[Sheet], words: Words, title: str, dpi: int) -> PrintOrder:
    """The order for a drawing set."""
    return PrintOrder(tuple(sheets), title, words.language, words.units, dpi)
