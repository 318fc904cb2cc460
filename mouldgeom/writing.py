"""Writes a file whole or not at all, and lets the program end in order when it is told to."""

from __future__ import annotations

import os
import shutil
import signal
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from pathlib import Path
from types import FrameType
from typing import Final

from mouldgeom.errors import Copied, FolderError

_TOLD_TO_END: Final = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))

_Handler = Callable[[int, FrameType | None], None]


class Stopped(Copied, KeyboardInterrupt):
    """The program was told to end by the signal ``number``; ``state`` says what stands on the disk.

    >>> Stopped(15, "the new package is whole").number
    15
    """

    def __init__(self, number: int, state: str = "") -> None:
        self.number, self.state = number, state
        super().__init__(state)


def write_whole(path: Path, content: bytes, name: str, *, over: bool = True, force: str = "add --force") -> None:
    """Write a file beside its place and move it there: whatever happens, it is never there in part.

    Args:
        path: where to; a link is followed.
        content: of the file.
        name: what the person gave the path as, such as ``"--out"``.
        over: whether a file that is there may be replaced.
        force: what a person does so that it may.

    Raises:
        FolderError: a file is there already, something other than a file is, or it cannot be written.
    """

    def refusal(limit: str, remedy: str = "Choose another place.") -> FolderError:
        return FolderError(name, repr(str(path)), limit, remedy)

    try:
        place = Path(os.path.realpath(path))
        if place.exists() and not over:
            raise refusal("it is there already", f"Choose another name, or {force}.")
        if place.exists() and not place.is_file():
            raise refusal("it is no file, and would be lost")
        beside = place.parent / f".mouldgeom.{os.getpid()}.partial"
        try:
            beside.write_bytes(content)
            if place.exists():
                shutil.copymode(place, beside)
            beside.replace(place)
        finally:
            with suppress(OSError):
                beside.unlink()
    except FolderError:
        raise
    except (OSError, ValueError) as error:
        raise refusal(f"it cannot be written ({getattr(error, 'strerror', None) or error})") from error


@contextmanager
def _heard(numbers: tuple[int, ...], hear: _Handler) -> Iterator[None]:
    """Signals go to ``hear`` meanwhile, but for those that the program is to take no notice of."""
    earlier = {}
    with suppress(ValueError):  # signals can only be set in the main thread
        for number in numbers:
            if signal.getsignal(number) not in (signal.SIG_IGN, None):
                earlier[number] = signal.signal(number, hear)
    try:
        yield
    finally:
        for number, handler in earlier.items():
            signal.signal(number, handler)


def stoppable() -> AbstractContextManager[None]:
    """Whoever tells the program to end raises ``Stopped`` in it, so that it clears up and says so.

    >>> with stoppable():
    ...     pass  # work that leaves something behind
    """

    def stop(number: int, frame: FrameType | None) -> None:
        raise Stopped(number)

    return _heard(_TOLD_TO_END, stop)


@contextmanager
def finishing(state: str) -> Iterator[None]:
    """What stands in here is finished before the program ends as it was told.

    Args:
        state: what then stands on the disk, in words.

    Raises:
        Stopped: the program was told to end meanwhile.
    """
    told: list[int] = []
    with _heard(_TOLD_TO_END, lambda number, frame: told.append(number)):
        yield
    if told:
        raise Stopped(told[0], state)
