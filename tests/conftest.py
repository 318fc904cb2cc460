"""What many tests share: the shipped moulds, their solids, and a way to run the program as a process of its own.

Everything of session scope is made once; tests must not change it.
"""

from __future__ import annotations

import fcntl
import os
import pickle
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import hypothesis
import hypothesis.core
import pytest

from mouldgeom import Spec, load
from mouldgeom.drawing.figure import Figure
from mouldgeom.geometry.placement import Placement
from mouldgeom.identity import MOULD, PieceId, Role
from mouldgeom.model.assembly import Mould, Piece, build
from mouldgeom.model.shapes import Stand

if TYPE_CHECKING:
    from translated import Translated

    from mouldgeom.checks.case import Case
    from mouldgeom.nesting.layout import Nest
    from mouldgeom.outputs.job import Job
    from mouldgeom.outputs.kinds import PackageFile
    from mouldgeom.solids import SolidMould
    from mouldgeom.verdict import Verdict


def named(mould: Mould, label: str) -> Piece:
    """The piece with an English label."""
    return next(piece for piece in mould.pieces() if piece.name == label)


def bridged(spec: Spec) -> Spec:
    """The same filter with a bridge that draws its core, and a jack screw that a bridge takes."""
    screw = "1-8" if spec.steel.jack_screw[0].isdigit() else "M24"
    return spec.changed({"extraction.gear": "bridge", "steel.jack_screw": screw})


def stands(*placements: Placement) -> tuple[Stand, ...]:
    """Pieces of some part at these places."""
    return tuple(Stand(PieceId(Role.PANEL, (), number), MOULD, at) for number, at in enumerate(placements, 1))


ROOT = Path(__file__).resolve().parent.parent
Run = Callable[..., "subprocess.CompletedProcess[str]"]


def pytest_configure(config: pytest.Config) -> None:
    """The property tests draw the same examples every time, unless a seed is given; no test is timed."""
    hypothesis.settings.register_profile("untimed", deadline=None)
    hypothesis.settings.load_profile("untimed")
    # started with nohup or in the background, they would be ignored in every process that a test starts
    signal.signal(signal.SIGHUP, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    if config.getoption("--hypothesis-seed", None) is None:
        hypothesis.core.global_force_seed = 0


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest files first, by the seconds of their marks, so that the processes end together."""
    seconds: dict[Path, float] = {}
    for item in items:
        slow = item.get_closest_marker("slow")
        own = slow.kwargs.get("seconds", 3.0) if slow else 0.0
        seconds[item.path] = max(own, seconds.get(item.path, 0.0))
    items.sort(key=lambda item: -seconds[item.path])


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how to draw the same examples again."""
    terminalreporter.write_line(f"property tests: --hypothesis-seed={hypothesis.core.global_force_seed}")


def environment(more: Mapping[str, str] | None = None) -> dict[str, str]:
    """The environment of a process that runs this checkout, from whatever folder."""
    return {**os.environ, "PYTHONPATH": str(ROOT), **(more or {})}


@pytest.fixture(scope="session")
def run() -> Run:
    """Run ``python`` with these arguments as a process and return it when it has ended."""

    def start(
        *arguments: str | Path, env: Mapping[str, str] | None = None, cwd: Path | None = None, timeout: float = 120
    ) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, *map(str, arguments)]
        return subprocess.run(
            command, env=environment(env), cwd=cwd, capture_output=True, text=True, timeout=timeout, check=False
        )

    return start


class Kept:
    """What is made once a run, by the first process of the tests that asks for it, and read by the others."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def of(self, name: str, make: Callable[[Path], Any]) -> Any:
        """What ``make`` gave, from an empty folder of its own, which stays."""
        answer, place = self.folder / f"{name}.pickle", self.folder / name
        with (self.folder / f"{name}.lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not answer.exists():
                shutil.rmtree(place, ignore_errors=True)  # of another process, in which it went wrong
                place.mkdir()
                answer.write_bytes(pickle.dumps(make(place)))
        return pickle.loads(answer.read_bytes())


@pytest.fixture(scope="session")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Kept:
    """What the processes of one run of the tests share."""
    base = tmp_path_factory.getbasetemp()
    return Kept(base.parent if "PYTEST_XDIST_WORKER" in os.environ else base)


Made = tuple[Path, "subprocess.CompletedProcess[str]"]


@pytest.fixture(scope="session")
def hill_packages(kept: Kept, hill_spec: Spec) -> list[Made]:
    """The package of the built-in example, twice: by name, and from its specification, where all else differs too."""

    def make(base: Path) -> list[Made]:
        from mouldgeom.spec import spec_toml

        (base / "deep" / "er").mkdir(parents=True)
        (base / "deep" / "mine.toml").write_bytes(spec_toml(hill_spec).encode())
        circumstances = [
            (
                ("hill-example", str(base / "one" / "package")),
                base,
                {"PYTHONHASHSEED": "1", "TZ": "Asia/Kathmandu", "LANG": "C", "LC_ALL": "C"},
            ),
            (
                ("../mine.toml", "pack age"),
                base / "deep" / "er",
                {"PYTHONHASHSEED": "4711", "TZ": "America/St_Johns", "LANG": "de_DE.UTF-8", "LC_ALL": "tr_TR.UTF-8"},
            ),
        ]
        running = []
        for (spec, target), cwd, env in circumstances:
            command = [sys.executable, "-m", "mouldgeom", "make", spec, "--out", target]
            pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
            # the keywords are the same for both, and the library types each by itself
            running.append((cwd / target, subprocess.Popen(command, cwd=cwd, env=environment(env), **pipes)))  # type: ignore[call-overload]
            time.sleep(0.7)  # another second of the clock
        done = []
        for folder, process in running:
            out, err = process.communicate(timeout=600)
            done.append((folder, subprocess.CompletedProcess(process.args, process.returncode, out, err)))
        return done

    made: list[Made] = kept.of("hill-packages", make)
    return made


@pytest.fixture(scope="session")
def hill_package(hill_packages: list[Made]) -> Path:
    """The folder of the first."""
    folder, done = hill_packages[0]
    assert done.returncode == 0, done.stderr
    return folder


@pytest.fixture(scope="session")
def french(kept: Kept) -> Translated:
    """The package of the built-in example in French."""
    from translated import translated

    made: Translated = kept.of("french", lambda _: translated("fr"))
    return made


@pytest.fixture(scope="session")
def hill_spec() -> Spec:
    """The built-in example."""
    return load("hill-example")


@pytest.fixture(scope="session")
def hill(hill_spec: Spec) -> Mould:
    """Mould of the built-in example: no kernel."""
    return build(hill_spec)


@pytest.fixture(scope="session")
def inch() -> Mould:
    """Mould of the example in inch stock: no kernel."""
    return build(load("inch-example"))


@pytest.fixture(scope="session")
def short() -> Mould:
    """Mould of the example with a rectangular plan: no kernel."""
    return build(load("short-example"))


@pytest.fixture(scope="session", params=["hill", "inch", "short"])
def example(request: pytest.FixtureRequest) -> Mould:
    """Each shipped mould in turn."""
    mould: Mould = request.getfixturevalue(request.param)
    return mould


@pytest.fixture(scope="session")
def bridged_hill(hill_spec: Spec) -> Mould:
    """Mould of the built-in example with a bridge: no kernel."""
    return build(bridged(hill_spec))


@pytest.fixture(scope="session")
def bridged_example(example: Mould) -> Mould:
    """Each shipped mould in turn, with a bridge."""
    return build(bridged(example.dims.spec))


@pytest.fixture(scope="session", params=["forcing screws", "bridge"])
def either(request: pytest.FixtureRequest, example: Mould) -> Mould:
    """Each shipped mould in turn, with either gear."""
    return example if request.param == example.dims.spec.extraction.gear else build(bridged(example.dims.spec))


def _solids(mould: Mould) -> SolidMould:
    from mouldgeom.solids import SolidMould

    return SolidMould(mould)


def _case(solids: SolidMould) -> Case:
    from mouldgeom.checks.case import Case

    return Case(solids)


@pytest.fixture(scope="session")
def two_nests(kept: Kept, hill: Mould) -> tuple[Nest, ...]:
    """Plates of two moulds of the built-in example on sheets."""
    from mouldgeom.outputs.job import Job

    nests: tuple[Nest, ...] = kept.of("two-nests", lambda _: Job(hill, moulds=2).nests)
    return nests


@pytest.fixture(scope="session")
def two_moulds(
    kept: Kept,
    hill: Mould,
    hill_solids: SolidMould,
    hill_results: tuple[Verdict, ...],
    two_nests: tuple[Nest, ...],
) -> tuple[Job, list[PackageFile]]:
    """Everything that ``make --moulds 2 --prices FILE`` writes of the built-in example, and what it was made from."""
    from readme_blocks import blocks

    from mouldgeom.fabrication.rates import parse_prices
    from mouldgeom.outputs.job import Job, make_files
    from mouldgeom.outputs.kinds import KINDS, PackageFile

    def asked() -> Job:
        prices = parse_prices(next(block for block in blocks("toml") if "[material]" in block))
        job = Job(hill, prices, 2, kinds=KINDS)
        job.__dict__.update(solids=hill_solids, results=hill_results, nests=two_nests)
        return job

    def make(_: Path) -> tuple[dict[str, Any], list[tuple[str, str, bytes, str | None]]]:
        job = asked()
        files = [(file.path, file.kind.name, file.content, file.mark) for file in make_files(job)]
        return {name: getattr(job, name) for name in ("sheets", "pictures")}, files

    found, files = kept.of("two-moulds", make)
    job, of_name = asked(), {kind.name: kind for kind in KINDS}
    job.__dict__.update(found)
    return job, [PackageFile(path, of_name[kind], content, mark) for path, kind, content, mark in files]


@pytest.fixture(scope="session")
def hill_solids(hill: Mould) -> SolidMould:
    """Solids of the built-in example, each made on first use."""
    return _solids(hill)


@pytest.fixture(scope="session")
def inch_solids(inch: Mould) -> SolidMould:
    """Solids of the example in inch stock, each made on first use."""
    return _solids(inch)


@pytest.fixture(scope="session")
def short_solids(short: Mould) -> SolidMould:
    """Solids of the example with a rectangular plan, each made on first use."""
    return _solids(short)


@pytest.fixture(scope="session")
def hill_case(hill_solids: SolidMould) -> Case:
    """The built-in example under examination, measured once."""
    return _case(hill_solids)


@pytest.fixture(scope="session")
def hill_results(kept: Kept, hill_case: Case) -> tuple[Verdict, ...]:
    """Results of every check of the built-in example."""
    from mouldgeom.checks import run_checks

    results: tuple[Verdict, ...] = kept.of("hill-results", lambda _: run_checks(hill_case.solids, hill_case))
    return results


@pytest.fixture(scope="session")
def inch_case(inch_solids: SolidMould) -> Case:
    """The example in inch stock under examination, measured once."""
    return _case(inch_solids)


@pytest.fixture(scope="session")
def short_case(short_solids: SolidMould) -> Case:
    """The example with a rectangular plan under examination, measured once."""
    return _case(short_solids)


@pytest.fixture(scope="session", params=["hill_solids", "inch_solids", "short_solids"])
def example_solids(request: pytest.FixtureRequest) -> SolidMould:
    """Solids of each shipped mould in turn."""
    solids: SolidMould = request.getfixturevalue(request.param)
    return solids


@pytest.fixture(scope="session", params=["hill_case", "inch_case", "short_case"])
def example_case(request: pytest.FixtureRequest) -> Case:
    """Each shipped mould under examination in turn."""
    case: Case = request.getfixturevalue(request.param)
    return case


@pytest.fixture
def lettered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is lettered on figures that are drawn from here on."""
    found: list[str] = []
    plain_text = Figure.text

    def text(figure: Figure, x: float, y: float, words: str, *more: Any, **style: Any) -> None:
        found.append(words)
        plain_text(figure, x, y, words, *more, **style)

    monkeypatch.setattr(Figure, "text", text)
    return found
