"""The package: a folder of files, written beside its target and moved into place at the end.

The manifest has the SHA-256 of each file as it was written, so that a later run sees which of them a person has edited
since.  Such a file is never lost: the run is refused, or keeps it beside the new one, listed in the manifest under
``kept`` from then on, and every later run carries it along.
"""

from __future__ import annotations

import ctypes
import glob
import hashlib
import json
import os
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from mouldgeom.edition import PROGRAM, VERSION
from mouldgeom.errors import FolderError
from mouldgeom.outputs.job import MANIFEST, Job, make_files
from mouldgeom.outputs.kinds import PackageFile
from mouldgeom.outputs.records import SCHEMA, json_bytes
from mouldgeom.writing import finishing, stoppable

__all__ = [
    "MANIFEST",
    "Job",
    "PackageFile",
    "make_files",
    "manifest_bytes",
    "prepare",
    "write_package",
]


def manifest_bytes(job: Job, files: Sequence[PackageFile], kept: Sequence[str] = ()) -> bytes:
    """The list of files with kind, part mark and SHA-256; program version; SHA-256 of the specification.

    ``kept`` are the paths of files that were edited in an earlier package and stand beside the new ones.
    """
    shop = job.mould.dims.spec.shop
    listed = [
        {"path": f.path, "kind": str(f.kind), "mark": f.mark, "sha256": hashlib.sha256(f.content).hexdigest()}
        for f in sorted(files, key=lambda f: f.path)
    ]
    own = [{"name": one.name, "version": one.version} for one in job.extensions]
    return json_bytes(
        {
            "program": PROGRAM,
            "version": VERSION,
            **({"extensions": own} if own else {}),
            "spec_sha256": job.mould.dims.spec.digest,
            "cut_size": f"kerf {shop.kerf:g} mm compensated" if shop.kerf_compensation else "nominal",
            "hole_method": str(shop.hole_method),
            "checked": job.checked,
            "passed": job.passed if job.checked else None,
            "files": listed,
            "kept": sorted(kept),
        }
    )


def prepare(target: Path, *, keep_edited: bool = False) -> Path:
    """Check that the package can be written, before any work is done; return the folder to write beside it.

    Clears up after a run that was killed: an earlier package that was set aside goes back to its place.

    Raises:
        FolderError: the target is a file, holds something that is no part of a package or was edited since it was
            written, a package of a newer schema, or cannot be written to.
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
        schema = (_manifest(place) or {}).get("schema")
        if isinstance(schema, int) and schema > SCHEMA:
            limit = f"it holds a package of schema {schema}, and the newest that this edition reads is {SCHEMA}"
            raise refusal(limit, "Choose another folder, or write it with the edition that wrote that package.")
        stranger = _stranger(place)
        if stranger is not None and Path(stranger).name.startswith(_OPENED):
            raise refusal(f"a file there is open in another program, by {stranger}", "Close it there, and try again.")
        if stranger is not None:
            raise refusal(
                f"the folder holds something other than a package, which would be lost: {stranger}",
                "Choose a new or an empty folder.",
            )
        edited = [] if keep_edited else _edited(place)
        if edited:
            more = f" and {len(edited) - 5} more" if len(edited) > 5 else ""
            raise refusal(
                f"edited since the package was written, and would be lost: {', '.join(edited[:5])}{more}",
                "Choose another folder, or add --keep-edited, which keeps each beside the new one.",
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
_OPENED = ("~$", ".~lock.")
"""How the files begin that spreadsheet programs lay beside a file that is open in them."""


def _place(target: Path) -> Path:
    """Where the package will stand, links followed."""
    return Path(os.path.realpath(target))


def _partial_name(place: Path) -> str:
    return f".{place.name}.{os.getpid()}.partial"


def _backup(place: Path) -> Path:
    return place.parent / f".{place.name}.previous"


def _manifest(folder: Path) -> dict[str, Any] | None:
    """The manifest of a package; ``None`` if the folder is no package."""
    try:
        manifest = json.loads((folder / MANIFEST).read_bytes())
        return manifest if manifest["program"] == PROGRAM else None
    except (OSError, ValueError, LookupError, TypeError, RecursionError):
        return None


def _listed(folder: Path) -> dict[str, str] | None:
    """Paths of the files of a package by its manifest, each with its SHA-256; ``None`` if the folder is no package.

    The manifest itself has none, nor have kept files, which no run loses.
    """
    manifest = _manifest(folder)
    if manifest is None:
        return None
    try:
        files = {str(entry["path"]): str(entry.get("sha256")) for entry in manifest["files"]}
        files |= dict.fromkeys((MANIFEST, *map(str, manifest.get("kept", ()))), "")
        return None if any(Path(path).is_absolute() or ".." in Path(path).parts for path in files) else files
    except (ValueError, LookupError, TypeError, AttributeError):
        return None


def _whole(folder: Path) -> bool:
    listed = _listed(folder)
    return listed is not None and all((folder / path).is_file() for path in listed)


def _edited(folder: Path) -> list[str]:
    """Paths of files of a package that are no longer what they were when it was written."""
    listed = (_listed(folder) or {}).items()
    return [
        path
        for path, written in sorted(listed)
        if written and (folder / path).is_file() and hashlib.sha256((folder / path).read_bytes()).hexdigest() != written
    ]


def _kept(folder: Path, made: Sequence[str]) -> dict[str, str]:
    """Files of an earlier package that go into the new one: where each stands, and its path beside the files made."""
    earlier = [path for path, written in (_listed(folder) or {}).items() if not written and path != MANIFEST]
    kept: dict[str, str] = {}
    for path in [*(path for path in earlier if (folder / path).is_file()), *_edited(folder)]:
        name, number = Path(path), 1
        new = path if path in earlier else name.with_stem(f"{name.stem}-edited").as_posix()
        while new in {*made, *kept.values()}:
            number += 1
            new = name.with_stem(f"{name.stem}-edited-{number}").as_posix()
        kept[path] = new
    return kept


def _stranger(folder: Path) -> str | None:
    """Path of something in the folder that its manifest does not list; ``None`` if there is nothing such."""
    listed = _listed(folder) or {}
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
    stage = near / _partial_name(place)
    with stoppable():
        try:
            stage.mkdir()
            yield stage
        finally:
            with finishing(""):
                shutil.rmtree(stage, ignore_errors=True)


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


def write_package(job: Job, files: Sequence[PackageFile], target: Path, *, keep_edited: bool = False) -> list[str]:
    """Write the files and the manifest into a folder beside the target, then put it in the target's place.

    An earlier package is removed only after that, so that at every moment a whole one is on the disk.  What was edited
    in it is kept beside the new files, if ``keep_edited``.

    Returns:
        Paths of the files that were kept, in the new package.

    Raises:
        FolderError: as ``prepare``, or the disk is full.
        Stopped: the program was told to end.
    """
    near = prepare(target, keep_edited=keep_edited)
    place = _place(target)
    try:
        with _staged(near, place) as stage:
            kept = _kept(place, [MANIFEST, *(file.path for file in files)])
            made = {file.path: file.content for file in files}
            made |= {new: (place / old).read_bytes() for old, new in kept.items()}
            for name, content in made.items():
                path = stage / name
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content)
            (stage / MANIFEST).write_bytes(manifest_bytes(job, files, [*kept.values()]))
            with finishing(f"the new package is whole and in its place, {place.name}"):
                _put(stage, place)
                shutil.rmtree(stage, ignore_errors=True)
    except OSError as error:
        raise FolderError(
            "--out", repr(str(target)), f"the folder cannot be written ({error.strerror or error})", _WRITABLE
        ) from error
    return sorted(kept.values())
