"""The package: a folder of files, written beside its target and moved into place at the end."""

from __future__ import annotations

import ctypes
import glob
import hashlib
import json
import os
import shutil
import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
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
    from mouldgeom.stock.bars import BarPlan
    from mouldgeom.stock.cost import Cost
    from mouldgeom.stock.nest_model import Nest
    from mouldgeom.stock.rates import Prices
    from mouldgeom.stock.stocklist import StockBar, StockList, StockSheet

MANIFEST = "manifest.json"


class Kind(StrEnum):
    """Kinds of file in a package, in the order in which they are made."""

    SPEC = "spec"
    FILTER = "filter"
    PARTS = "parts"
    FLAT = "flat"
    NESTS = "nests"
    BARS = "bars"
    CUTLIST = "cutlist"
    COST = "cost"
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

    def __init__(
        self,
        mould: Mould,
        prices: Prices | None = None,
        moulds: int = 1,
        stock: StockList | None = None,
        changes: Sequence[str] = (),
        *,
        straight_cuts: bool = False,
        grain: bool = False,
    ) -> None:
        self.mould = mould
        self.prices, self.moulds, self.given, self.changes = prices, moulds, stock, changes
        self.straight_cuts, self.grain = straight_cuts, grain
        self.checked = False

    @cached_property
    def stock(self) -> StockList:
        """The steel that is there: the list that was given, or everything in the tables."""
        from mouldgeom.stock.stocklist import default_stock

        return self.given or default_stock()

    @cached_property
    def nests(self) -> tuple[Nest, ...]:
        """All plates laid on sheets.

        Raises:
            InputError: a part fits no sheet that is there, or the sheets run out.
        """
        from mouldgeom.stock.nest import nest_mould
        from mouldgeom.stock.nest_model import NestOptions

        spec = self.mould.dims.spec
        options = NestOptions.from_spec(spec)
        if self.straight_cuts:
            options = replace(NestOptions.straight(spec.shop.saw_kerf), margin=spec.shop.sheet_margin)
        return nest_mould(self.mould, self.stock, replace(options, grain=self.grain), self.moulds)

    @cached_property
    def bars(self) -> tuple[BarPlan, ...]:
        """All bars cut from stock lengths.

        Raises:
            InputError: a piece fits no bar that is there, or the bars run out.
        """
        from mouldgeom.stock.bars import cut_mould

        shop = self.mould.dims.spec.shop
        return cut_mould(self.mould, self.stock, self.moulds, shop.saw_kerf, shop.end_trim)

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

    @cached_property
    def cost(self) -> Cost | None:
        """Cost of the moulds; ``None`` without prices.

        Raises:
            InputError: a price is missing.
        """
        from mouldgeom.stock.cost import cost
        from mouldgeom.stock.purchase import bought

        if self.prices is None:
            return None
        if self.given is None and self.moulds == 1:
            return cost(self.mould, self.prices, self.moulds)
        items: list[tuple[StockSheet | StockBar, int]] = []
        items += [(sheet.stock, 1) for nest in self.nests for sheet in nest.sheets]
        items += [(run.stock, run.times) for plan in self.bars for run in plan.runs]
        density = self.mould.dims.stock.steel.density_kg_m3
        return cost(self.mould, self.prices, self.moulds, bought(items, density))

    @property
    def passed(self) -> bool:
        """Whether all checks that were run hold."""
        return not self.checked or all(result.passed for result in self.results)


def _spec_files(job: Job) -> Iterator[PackageFile]:
    yield PackageFile("spec.toml", Kind.SPEC, spec_toml(job.mould.dims.spec).encode("utf-8"))


def _parts_files(job: Job) -> Iterator[PackageFile]:
    yield PackageFile("parts.json", Kind.PARTS, json_bytes(part_records(job.mould)))


def _filter_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.filter_files import filter_files

    for path, content in filter_files(job.mould.dims).items():
        yield PackageFile(path, Kind.FILTER, content)


def _nest_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.steel_files import nest_files

    for path, content in nest_files(job.mould, job.nests, job.changes):
        yield PackageFile(path, Kind.NESTS, content)


def _bar_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.steel_files import bar_files

    for path, content in bar_files(job.bars):
        yield PackageFile(path, Kind.BARS, content)


def _checks_files(job: Job) -> Iterator[PackageFile]:
    document = {"passed": all(result.passed for result in job.results), "results": [r.record() for r in job.results]}
    yield PackageFile("checks.json", Kind.CHECKS, json_bytes(document))


def _flat_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.dxf import CutOptions, flat_dxf

    options = CutOptions.from_spec(job.mould.dims.spec)
    for plate in job.mould.plates:
        yield PackageFile(f"flat/{plate.mark}.dxf", Kind.FLAT, flat_dxf(plate, options), plate.mark)


def _cutlist_files(job: Job) -> Iterator[PackageFile]:
    from mouldgeom.outputs.cutlist import cutlist_csv
    from mouldgeom.outputs.spreadsheet import cutlist_xlsx

    yield PackageFile("cut-list.csv", Kind.CUTLIST, cutlist_csv(job.mould))
    yield PackageFile("cut-list.xlsx", Kind.CUTLIST, cutlist_xlsx(job.mould))
    from mouldgeom.outputs.work_record import work_record

    yield PackageFile("work.json", Kind.CUTLIST, json_bytes(work_record(job.mould)))


def _cost_files(job: Job) -> Iterator[PackageFile]:
    """Nothing, unless prices are given."""
    if job.cost is not None:
        from mouldgeom.outputs.cutlist import csv_bytes
        from mouldgeom.stock.cost import cost_record, cost_rows

        yield PackageFile("cost.json", Kind.COST, json_bytes(cost_record(job.cost)))
        yield PackageFile("cost.csv", Kind.COST, csv_bytes(cost_rows(job.cost)))


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
    Kind.FILTER: _filter_files,
    Kind.PARTS: _parts_files,
    Kind.FLAT: _flat_files,
    Kind.NESTS: _nest_files,
    Kind.BARS: _bar_files,
    Kind.CUTLIST: _cutlist_files,
    Kind.COST: _cost_files,
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
