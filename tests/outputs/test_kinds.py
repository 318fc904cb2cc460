"""A kind of file is made from what it declares that it needs: alone, or in any order, it gives the same bytes."""

from __future__ import annotations

import inspect
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import FrozenInstanceError, fields, replace
from pathlib import Path
from typing import Any

import hypothesis.core
import pytest

from mouldgeom.drawing.status import Status
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs import kinds
from mouldgeom.outputs.job import Job, make_files, make_kind
from mouldgeom.outputs.kinds import BUILD, CHECKS, DRAWINGS, KINDS, NESTS, OTHERS, REPORT, File, Kind, PackageFile
from mouldgeom.outputs.package import manifest_bytes

pytestmark = pytest.mark.slow(seconds=100)

EACH = pytest.mark.parametrize("kind", KINDS, ids=str)


@pytest.fixture(scope="module")
def whole(two_moulds: tuple[Job, list[PackageFile]]) -> Job:
    """Two moulds and prices, every kind asked for: nests, bars, cost, checks and their status in it."""
    return two_moulds[0]


@pytest.fixture(scope="module")
def package(two_moulds: tuple[Job, list[PackageFile]]) -> list[PackageFile]:
    """Its files, made in the order of a package."""
    return two_moulds[1]


# ---------------------------------------------------------------- the same bytes


@EACH
def test_alone_it_gives_the_bytes_of_a_package(kind: Kind, whole: Job, package: list[PackageFile]) -> None:
    """For the same request; only solids, results, pictures and nests are taken over, to save time."""
    alone = replace(whole)
    alone.__dict__.update(solids=whole.solids, results=whole.results, pictures=whole.pictures)
    if kind is not NESTS:
        alone.__dict__["nests"] = whole.nests
    others = [file for file in package if file.kind is not kind]
    assert make_kind(alone, kind, others) == [file for file in package if file.kind is kind]
    assert any(file.kind is kind for file in package)


def test_in_any_order_they_give_the_same_package(hill: Mould, whole: Job, package: list[PackageFile]) -> None:
    """From solids of its own; the order of today's seed."""
    order = random.Random(hypothesis.core.global_force_seed).sample(KINDS, len(KINDS))
    said: list[str] = []
    job = Job(hill, whole.prices, 2, kinds=tuple(order))
    made = make_files(job, said.append)
    assert said == [kind.name for kind in order if kind is not REPORT] + [REPORT.name]
    assert made == package
    assert manifest_bytes(job, made) == manifest_bytes(whole, package)


def test_the_drawings_of_the_page_are_the_same_whether_they_are_printed_or_not(whole: Job) -> None:
    page_only = Job(whole.mould, moulds=2, kinds=(REPORT,))
    page_only.__dict__.update(sheets=whole.sheets)
    assert page_only.pictures == whole.pictures
    assert "press" not in page_only.__dict__


# ---------------------------------------------------------------- what is declared


@EACH
def test_what_it_needs_is_what_a_job_has(kind: Kind) -> None:
    """By the same name and of the same type."""
    has: dict[str, Any] = {field.name: field.type for field in fields(Job)}
    for name, made in vars(Job).items():
        getter = getattr(made, "func", getattr(made, "fget", None))
        if getter is not None:
            has[name] = inspect.get_annotations(getter)["return"]
    has[OTHERS] = "Sequence[PackageFile]"
    needed = inspect.get_annotations(kind.maker)
    assert tuple(needed)[:-1] == kind.needs
    assert needed.pop("return") == "Iterator[File]"
    assert needed.items() <= has.items()


def test_only_makers_make_files() -> None:
    """Each maker belongs to one kind, and each kind of the module stands in the table, under a name of its own."""
    makers = [value for name, value in vars(kinds).items() if _yields_files(value)]
    assert sorted(kind.maker.__name__ for kind in KINDS) == sorted(maker.__name__ for maker in makers)
    assert {value for value in vars(kinds).values() if isinstance(value, Kind)} == set(KINDS)
    assert len({kind.name for kind in KINDS}) == len(KINDS)


def _yields_files(value: object) -> bool:
    return inspect.isfunction(value) and inspect.get_annotations(value).get("return") == "Iterator[File]"


def test_a_job_cannot_be_written_on(hill: Mould) -> None:
    job = Job(hill)
    for field in fields(Job):
        with pytest.raises(FrozenInstanceError):
            setattr(job, field.name, None)


def test_status_follows_from_what_is_asked_for(hill: Mould, whole: Job) -> None:
    """Not from what somebody looked at before."""
    job = Job(hill, kinds=(DRAWINGS, BUILD))
    job.__dict__["results"] = whole.results
    assert job.results
    assert (job.checked, job.passed, job.status) == (False, True, Status.UNCHECKED)
    for kind in (CHECKS, REPORT):
        asked = Job(hill, kinds=(DRAWINGS, kind))
        asked.__dict__["results"] = whole.results
        assert (asked.checked, asked.passed, asked.status) == (True, True, Status.HOLDS)


# ---------------------------------------------------------------- from outside


def test_a_kind_from_outside_is_handed_in(hill: Mould) -> None:
    """Made from what its maker names; it stands after those of the table, and the last sees the others once."""

    def bolts(mould: Mould, moulds: int) -> Iterator[File]:
        yield File("bolts.txt", f"{moulds * sum(len(row.points) for row in mould.rows)}".encode())

    def index(others: Sequence[PackageFile]) -> Iterator[File]:
        yield File("index.txt", "\n".join(file.path for file in others).encode())

    own = (Kind("index", "what is there", index), Kind("bolts", "how many", bolts))
    made = make_files(Job(hill, moulds=3, kinds=(*own, kinds.PARTS, kinds.SPEC)))
    assert [file.path for file in made] == ["spec.toml", "parts.json", "bolts.txt", "index.txt"]
    assert made[2].content == str(3 * sum(len(row.points) for row in hill.rows)).encode()
    assert made[3].content == b"spec.toml\nparts.json\nbolts.txt"
    assert [file.kind for file in made[2:]] == [own[1], own[0]]


def test_the_help_lists_each_kind_with_its_meaning(run: Callable[..., Any], tmp_path: Path) -> None:
    done = run("-m", "mouldgeom", "make", "--help", env={"COLUMNS": "100"}, cwd=tmp_path)
    text = " ".join(done.stdout.split())
    assert ", ".join(f"{kind.name} ({kind.meaning})" for kind in KINDS) in text
