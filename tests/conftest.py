"""What many tests share: the shipped moulds, their solids, and a way to run the program as a process of its own.

Everything of session scope is made once; tests must not change it.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
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
    from mouldgeom.checks.case import Case
    from mouldgeom.solids import SolidMould


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
