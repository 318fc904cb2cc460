"""Packages: which kinds of file are asked for, and the package that was written."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mouldgeom.errors import InputError
from mouldgeom.front.answers import Answer, mould_text, result_text, verdict_text
from mouldgeom.front.checked import Checks
from mouldgeom.outputs.extension import Extension, all_kinds
from mouldgeom.outputs.job import MANIFEST, Job, make_files
from mouldgeom.outputs.kinds import BARS, COST, DRAWINGS, NESTS, REPORT, Kind, PackageFile
from mouldgeom.outputs.package import prepare, write_package
from mouldgeom.reading import path_given
from mouldgeom.rich import html_table

if TYPE_CHECKING:
    from mouldgeom.fabrication.rates import Prices


@dataclass(frozen=True)
class Wanted:
    """What is asked of a package, as ``DesignedMould.package`` says."""

    only: Sequence[str] | None
    prices: str | Path | None
    moulds: int
    straight_cuts: bool
    grain: bool


def packing_kinds(asked: Wanted, extensions: Sequence[Extension], *, stock: bool) -> tuple[Kind, ...]:
    """The kinds of file that are asked for; ``stock``: the mould adapted to a list of steel.

    Raises:
        InputError: there is no such kind, or options that contradict one another.
    """
    there = all_kinds(extensions)
    known = [kind.name for kind in there]
    if isinstance(asked.only, str) or not isinstance(asked.only, Sequence | None):
        raise InputError("--only", repr(asked.only)[:60], "no list of kinds of file", 'Write a list: ["parts"].')
    for name in asked.only or ():
        if name not in known:
            raise InputError("--only", repr(name), "no such kind of file", f"Choose from {', '.join(known)}.")
    kinds = [kind for kind in there if asked.only is None or kind.name in asked.only]
    if asked.prices is None and COST in kinds:
        if asked.only is not None:
            raise InputError("--only", "cost", "the cost needs prices", "Give --prices FILE.")
        kinds.remove(COST)
    if asked.prices is None and not {NESTS, DRAWINGS, REPORT} & {*kinds}:
        for name in ("straight_cuts", "grain"):
            if getattr(asked, name):
                limit = "it serves the nests, which are not among --only"
                raise InputError("--" + name.replace("_", "-"), "given", limit, "Add --only nests, or leave it out.")
    moulds = asked.moulds
    if isinstance(moulds, bool) or not isinstance(moulds, int) or not 1 <= moulds <= 50:
        raise InputError("--moulds", str(moulds), "allowed is 1 to 50", "Choose a number in that range.")
    if asked.only is None and not (stock or moulds > 1 or asked.straight_cuts or asked.grain):
        kinds = [kind for kind in kinds if kind not in (NESTS, BARS)]
    return tuple(kinds)


class Package(Answer):
    """A package that was written: its folder, its files, the edited ones that were kept, and what the checks say.

    It is made by ``Mould.package``.

    >>> import tempfile
    >>> from mouldgeom import build
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = build("hill-example").package(f"{folder}/package", only=["spec", "flat"])
    >>> len(made.files), made.files[-1], made.checks is None
    (21, 'spec.toml', True)
    """

    def __init__(self, job: Job, folder: Path, files: Sequence[PackageFile], kept: Sequence[str]) -> None:
        self.folder = folder
        self.files = tuple(sorted([*(file.path for file in files), MANIFEST, *kept]))
        self.kept = tuple(kept)
        self._job = job
        self._made = len(files) + 1

    @property
    def passed(self) -> bool:
        """Whether all checks that were run hold."""
        return self._job.passed

    @property
    def checks(self) -> Checks | None:
        """Results of the checks; ``None`` if no kind of file that was asked for needs them."""
        return Checks(self._job.results, mould_text(self._job.mould)) if self._job.checked else None

    def record(self) -> dict[str, Any]:
        """What it is, whether the checks hold, its cost over its life, and the paths of all that is in it."""
        verdict = {"checked": self._job.checked, "passed": self.passed if self._job.checked else None}
        whole = {"over_its_life": self._job.objective.record()}
        return {**mould_text(self._job.mould)[1], **verdict, **whole, "files": list(self.files)}

    def text(self) -> str:
        """What was made, what to buy, whether the checks hold, and the cost of the mould and of its use."""
        return "\n".join(self._lines())

    def _lines(self) -> Iterator[str]:
        job = self._job
        yield mould_text(job.mould)[0]
        yield from job.changes
        if NESTS in job.kinds and BARS in job.kinds:
            from mouldgeom.outputs.steel_files import purchase_lines

            yield f"To buy for {job.moulds} mould{'s' if job.moulds > 1 else ''}:"
            for line in purchase_lines(job.nests, job.bars, job.mould.fasteners, job.moulds, job.spares):
                yield f"  {line}"
        yield f"{self._made} files in {self.folder}{os.sep}: {', '.join(map(str, job.kinds))}, manifest"
        for path in self.kept:
            yield f"kept beside them: {path}"
        if job.checked:
            yield verdict_text(job.results)
            yield from (result_text(result) for result in job.results if not result.holds)
        else:
            yield "The checks were not run; run them with: mouldgeom check"
        if job.cost is not None:
            from mouldgeom.fabrication.cost import cost_text

            yield cost_text(job.cost)
        yield job.objective.text()

    def __repr__(self) -> str:
        checked = ("all checks hold" if self.passed else "a check fails") if self._job.checked else "not checked"
        return f"<Package in {str(self.folder)[-60:]!r}: {len(self.files)} files, {checked}>"

    def _repr_html_(self) -> str:
        sheets = sorted((self.folder / "drawings").glob("*.svg"))[:1]
        picture = f"<div style='width:70%'>{sheets[0].read_text('utf-8')}</div>" if sheets else ""
        return picture + html_table(("file",), ((path,) for path in self.files), caption=repr(self)[1:-1])


def prices_given(job: Job, prices: str | Path | None) -> Prices | None:
    """The prices of a file, which may name the own rows of the job; ``None`` without one.

    Raises:
        InputError: the file cannot be read, or a price is wrong.
    """
    from mouldgeom.fabrication.rates import load_prices

    if prices is None:
        return None
    return load_prices(path_given("--prices", prices), job.stock.own if job.stock else job.mould.dims.spec.own)


def pack(
    job: Job,
    asked: Wanted,
    kinds: tuple[Kind, ...],
    folder: Path,
    *,
    keep_edited: bool,
    progress: Callable[[str], None],
) -> Package:
    """Make every file that is asked for, and write the package; ``progress`` is told what is being done.

    Raises:
        InputError: a price is missing, or steel.
        FolderError, Stopped: as ``write_package``; before any work, where that can be known.
    """
    rates = prices_given(job, asked.prices)
    packed = job.asking(
        kinds=kinds, prices=rates, moulds=asked.moulds, straight_cuts=asked.straight_cuts, grain=asked.grain
    )
    _ = packed.cost  # a price that is missing is told before any work
    prepare(folder, keep_edited=keep_edited)
    files = make_files(packed, lambda kind: progress(f"making {kind}"))
    progress("writing")
    kept = write_package(packed, files, folder, keep_edited=keep_edited)
    return Package(packed, folder, files, kept)
