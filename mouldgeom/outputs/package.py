"""The package: a folder of files, written beside its target and moved into place at the end."""

from __future__ import annotations

import hashlib
import os
import shutil
import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

import mouldgeom
from mouldgeom.assembly import Mould
from mouldgeom.errors import FolderError
from mouldgeom.outputs.records import json_bytes, part_records
from mouldgeom.spec import spec_toml

if TYPE_CHECKING:
    from mouldgeom.checks import CheckResult
    from mouldgeom.solids import SolidMould

MANIFEST = "manifest.json"


class Kind(StrEnum):
    """Kinds of file in a package, in the order in which they are made."""

    SPEC = "spec"
    PARTS = "parts"
    FLAT = "flat"
    CHECKS = "checks"
    SOLID = "solid"


@dataclass(frozen=True)
class PackageFile:
    """One file of a package: its path inside the folder, kind, part mark if it has one, and bytes."""

    path: str
    kind: Kind
    content: bytes
    mark: str | None = None


class Job:
    """One mould on its way into a package; solids and checks are made on first use, so that cheap kinds stay cheap."""

    def __init__(self, mould: Mould) -> None:
        self.mould = mould
        self.checked = False

    @cached_property
    def solids(self) -> SolidMould:
        """The solids; loads the kernel."""
        from mouldgeom.solids import SolidMould

        return SolidMould(self.mould)

    @cached_property
    def results(self) -> tuple[CheckResult, ...]:
        """Results of every check; loads the kernel."""
        from mouldgeom.checks import run_checks

        self.checked = True
        return run_checks(self.solids)

    @property
    def passed(self) -> bool:
        """Whether all checks that were run hold."""
        return not self.checked or all(result.passed for result in self.results)


def _spec_files(job: Job) -> Iterator[PackageFile]:
    yield PackageFile("spec.toml", Kind.SPEC, spec_toml(job.mould.dims.spec).encode("utf-8"))


def _parts_files(job: Job) -> Iterator[PackageFile]:
    yield PackageFile("parts.json", Kind.PARTS, json_bytes(part_records(job.mould)))


def _checks_files(job: Job) -> Iterator[PackageFile]:
    document = {"passed": all(result.passed for result in job.results), "results": [r.record() for r in job.results]}
    yield PackageFile("checks.json", Kind.CHECKS, json_bytes(document))


def _flat_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.dxf import CutOptions, flat_dxf

    options = CutOptions.from_spec(job.mould.dims.spec)
    for plate in job.mould.plates:
        yield PackageFile(f"flat/{plate.mark}.dxf", Kind.FLAT, flat_dxf(plate, options), plate.mark)


def _solid_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.colours import CONCRETE_COLOUR, GROUP_COLOURS
    from mouldgeom.outputs.step import StepPart, step_bytes

    solids = job.solids
    parts = [
        StepPart(
            part.mark, GROUP_COLOURS[part.group], solids.shapes[part.mark], tuple(p.matrix for p in part.placements)
        )
        for part in job.mould.parts
    ]
    yield PackageFile("solid/mould.step", Kind.SOLID, step_bytes(parts, "mould"))
    unmoved = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
    body = StepPart("concrete", CONCRETE_COLOUR, solids.upright_body, (unmoved,))
    yield PackageFile("solid/filter.step", Kind.SOLID, step_bytes([body], "filter"))


MAKERS: dict[Kind, Callable[[Job], Iterator[PackageFile]]] = {
    Kind.SPEC: _spec_files,
    Kind.PARTS: _parts_files,
    Kind.FLAT: _flat_files,
    Kind.CHECKS: _checks_files,
    Kind.SOLID: _solid_files,
}
"""How each kind of file is made."""


def make_files(job: Job, kinds: Sequence[Kind], progress: Callable[[str], None]) -> list[PackageFile]:
    """Make every file of these kinds, and the manifest last."""
    files: list[PackageFile] = []
    for kind in Kind:
        if kind in kinds:
            progress(kind)
            files += MAKERS[kind](job)
    return files


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

    Raises:
        FolderError: the target is a file, is a folder with something else in it, or cannot be written to.
    """
    name = "--out"
    try:
        backup = _backup(target)
        if not target.exists() and backup.is_dir():
            backup.rename(target)
        if target.exists() and not target.is_dir():
            raise FolderError(name, repr(str(target)), "a file of that name is in the way", "Choose another folder.")
        if target.is_dir() and any(target.iterdir()) and not (target / MANIFEST).is_file():
            raise FolderError(
                name,
                repr(str(target)),
                "the folder holds something other than a package, which would be lost",
                "Choose a new or an empty folder.",
            )
        near = target.absolute().parent
        while not near.exists():
            near = near.parent
        if not near.is_dir():
            raise FolderError(name, repr(str(target)), f"{near.name!r} is no folder", "Choose another folder.")
        probe = near / _partial_name(target)
        probe.mkdir()
        probe.rmdir()
        if target.is_dir() and not os.access(target, os.W_OK | os.X_OK):
            raise PermissionError(13, "Permission denied")
        if len(os.fsencode(target.name)) > 180:
            raise OSError(36, "File name too long")
    except FolderError:
        raise
    except (OSError, ValueError) as error:
        cause = getattr(error, "strerror", None) or str(error)
        raise FolderError(name, repr(str(target)), f"the folder cannot be written ({cause})", _WRITABLE) from error
    return near


_WRITABLE = "Choose a folder that you may write to."


def _partial_name(target: Path) -> str:
    return f".{target.name or 'package'}.{os.getpid()}.partial"


def _backup(target: Path) -> Path:
    return target.absolute().parent / f".{target.name}.previous"


@contextmanager
def _staged(near: Path, target: Path) -> Iterator[Path]:
    """A folder beside the target that goes away unless it is moved into place, also when the program is told to end."""

    def stop(number: int, frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    stage = near / _partial_name(target)
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


def write_package(job: Job, files: Sequence[PackageFile], target: Path) -> None:
    """Write the files and the manifest into a folder beside the target, then put it in the target's place.

    An earlier package is set aside and only then removed, so that at every moment a whole one is on the disk.

    Raises:
        FolderError: as ``prepare``, or the disk is full.
    """
    near = prepare(target)
    try:
        with _staged(near, target) as stage:
            for file in files:
                path = stage / file.path
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(file.content)
            (stage / MANIFEST).write_bytes(manifest_bytes(job, files))
            target.absolute().parent.mkdir(parents=True, exist_ok=True)
            backup = _backup(target)
            if target.exists():
                shutil.rmtree(backup, ignore_errors=True)
                target.rename(backup)
            try:
                stage.rename(target)
            except OSError:
                if backup.exists():
                    backup.rename(target)
                raise
            shutil.rmtree(backup, ignore_errors=True)
    except FolderError:
        raise
    except OSError as error:
        raise FolderError(
            "--out", repr(str(target)), f"the folder cannot be written ({error.strerror})", _WRITABLE
        ) from error
