"""The package: a folder of files, written beside its target and moved into place at the end."""

from __future__ import annotations

import ctypes
import glob
import hashlib
import json
import os
import shutil
import signal
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

import mouldgeom
from mouldgeom.errors import FolderError
from mouldgeom.outputs.job import Job, Kind, PackageFile
from mouldgeom.outputs.kinds import MAKERS, make_files
from mouldgeom.outputs.records import json_bytes

__all__ = [
    "MAKERS",
    "MANIFEST",
    "Job",
    "Kind",
    "PackageFile",
    "make_files",
    "manifest_bytes",
    "prepare",
    "write_package",
]

MANIFEST = "manifest.json"


def manifest_bytes(job: Job, files: Sequence[PackageFile]) -> bytes:
    """The list of files with kind, part mark and SHA-256; program version; SHA-256 of the specification."""
    shop = job.mould.dims.spec.shop
    listed = [
        {"path": f.path, "kind": str(f.kind), "mark": f.mark, "sha256": hashlib.sha256(f.content).hexdigest()}
        for f in sorted(files, key=lambda f: f.path)
    ]
    return json_bytes(
        {
            "program": "mouldgeom",
            "version": mouldgeom.__version__,
            "spec_sha256": job.mould.dims.spec.digest,
            "cut_size": f"kerf {shop.kerf:g} mm compensated" if shop.kerf_compensation else "nominal",
            "hole_method": str(shop.hole_method),
            "checked": job.checked,
            "passed": job.passed if job.checked else None,
            "files": listed,
        }
    )


def prepare(target: Path) -> Path:
    """Check that the package can be written, before any work is done; return the folder to write beside it.

    Clears up after a run that was killed: an earlier package that was set aside goes back to its place.

    Raises:
        FolderError: the target is a file, holds something that is no part of a package, or cannot be written to.
    """

    def refusal(limit: str, remedy: str) -> FolderError:
        return FolderError("--out", repr(str(target)), limit, remedy)

    try:
        place = _place(target)
        backup = _backup(place)
        if not place.exists() and _whole(backup):
            backup.rename(place)
        if place.exists() and not place.is_dir():
            raise refusal("a file of that name is in the way", "Choose another folder.")
        if place in (Path.cwd(), *Path.cwd().parents):
            raise refusal("the folder that the program runs in cannot be replaced", "Name a folder inside it.")
        stranger = _stranger(place)
        if stranger is not None:
            raise refusal(
                f"the folder holds something other than a package, which would be lost: {stranger}",
                "Choose a new or an empty folder.",
            )
        near = place.parent
        while not near.exists():
            near = near.parent
        if not near.is_dir():
            raise refusal(f"{near.name!r} is no folder", "Choose another folder.")
        _sweep(near, place)
        probe = near / _partial_name(place)
        probe.mkdir()
        probe.rmdir()
        if place.is_dir() and not os.access(place, os.W_OK | os.X_OK):
            raise PermissionError(13, "Permission denied")
        if len(os.fsencode(place.name)) > 180:
            raise OSError(36, "File name too long")
    except FolderError:
        raise
    except (OSError, ValueError) as error:
        cause = getattr(error, "strerror", None) or str(error)
        raise refusal(f"the folder cannot be written ({cause})", _WRITABLE) from error
    return near


_WRITABLE = "Choose a folder that you may write to."


def _place(target: Path) -> Path:
    """Where the package will stand, links followed."""
    return Path(os.path.realpath(target))


def _partial_name(place: Path) -> str:
    return f".{place.name}.{os.getpid()}.partial"


def _backup(place: Path) -> Path:
    return place.parent / f".{place.name}.previous"


def _listed(folder: Path) -> set[str] | None:
    """Paths of the files of a package by its manifest; ``None`` if the folder is no package."""
    try:
        manifest = json.loads((folder / MANIFEST).read_bytes())
        if manifest["program"] != mouldgeom.__name__:
            return None
        return {MANIFEST, *(str(entry["path"]) for entry in manifest["files"])}
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _whole(folder: Path) -> bool:
    listed = _listed(folder)
    return listed is not None and all((folder / path).is_file() for path in listed)


def _stranger(folder: Path) -> str | None:
    """Path of something in the folder that its manifest does not list; ``None`` if there is nothing such."""
    listed = _listed(folder) or set()
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if name not in listed and (path.is_symlink() or not path.is_dir()):
            return name
    return None


def _sweep(near: Path, place: Path) -> None:
    """Remove half-written packages of processes that are no more."""
    for path in near.glob(f".{glob.escape(place.name)}.*.partial"):
        number = path.name.split(".")[-2]
        if number.isdecimal() and len(number) < 10 and (int(number) == os.getpid() or not _alive(int(number))):
            shutil.rmtree(path, ignore_errors=True)


def _alive(process: int) -> bool:
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def _exchange(one: Path, other: Path) -> bool:
    """Swap two folders in one step that nothing can interrupt; ``False`` where the system has no such step."""
    try:
        swap = ctypes.CDLL(None).renameat2
    except (OSError, AttributeError, TypeError):
        return False
    here, exchange = -100, 2
    return bool(swap(here, os.fsencode(one), here, os.fsencode(other), exchange) == 0)


@contextmanager
def _staged(near: Path, place: Path) -> Iterator[Path]:
    """A folder beside the target that goes away unless it is moved into place, also when the program is told to end."""

    def stop(number: int, frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    stage = near / _partial_name(place)
    previous = None
    with suppress(ValueError):  # signals can only be set in the main thread
        previous = signal.signal(signal.SIGTERM, stop)
    try:
        stage.mkdir()
        yield stage
    finally:
        shutil.rmtree(stage, ignore_errors=True)
        if previous is not None:
            signal.signal(signal.SIGTERM, previous)


def _put(stage: Path, place: Path) -> None:
    """Put a finished package in its place; an earlier one is left in ``stage``, or set aside and then removed."""
    backup = _backup(place)
    place.parent.mkdir(parents=True, exist_ok=True)
    if not (place.exists() and _exchange(stage, place)):
        try:
            if place.exists():
                shutil.rmtree(backup, ignore_errors=True)
                place.rename(backup)
            stage.rename(place)
        except BaseException:
            if backup.exists() and not place.exists():
                backup.rename(place)
            raise
    shutil.rmtree(backup, ignore_errors=True)


def write_package(job: Job, files: Sequence[PackageFile], target: Path) -> None:
    """Write the files and the manifest into a folder beside the target, then put it in the target's place.

    An earlier package is removed only after that, so that at every moment a whole one is on the disk.

    Raises:
        FolderError: as ``prepare``, or the disk is full.
    """
    near = prepare(target)
    place = _place(target)
    try:
        with _staged(near, place) as stage:
            for file in files:
                path = stage / file.path
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(file.content)
            (stage / MANIFEST).write_bytes(manifest_bytes(job, files))
            _put(stage, place)
    except OSError as error:
        raise FolderError(
            "--out", repr(str(target)), f"the folder cannot be written ({error.strerror or error})", _WRITABLE
        ) from error
