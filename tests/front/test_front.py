"""The front door as a user has it: short words for what it shows, its own errors for wrong use, no name too many."""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import os
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import ROOT, Run
from readme_blocks import blocks

import mouldgeom
import mouldgeom.extend
from mouldgeom.drawing.figure import VERMILION
from mouldgeom.model.assembly import build as model
from mouldgeom.outputs.records import part_records

MOULD = mouldgeom.build("hill-example")


# ---------------------------------------------------------------- what is visible


def test_dir_shows_exactly_the_public_names(run: Run) -> None:
    done = run(
        "-c",
        "import mouldgeom; print(*dir(mouldgeom)); print(*(n for n in dir(mouldgeom) if not hasattr(mouldgeom, n)))",
    )
    assert done.stdout.split("\n")[:2] == [" ".join(sorted(mouldgeom.__all__)), ""]


def test_the_three_lists_of_public_names_agree() -> None:
    tree = ast.parse((ROOT / "mouldgeom/__init__.py").read_text("utf-8"))
    checked = next(node for node in tree.body if isinstance(node, ast.If) and not isinstance(node.test, ast.UnaryOp))
    typed = {
        alias.asname or alias.name
        for node in ast.walk(checked)
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    homes = {name for names in mouldgeom._HOMES.values() for name in names}
    assert typed == homes == {*mouldgeom.__all__} - {"__version__"}
    for name in homes:
        found = getattr(mouldgeom, name)
        if inspect.isclass(found) or inspect.isfunction(found):
            assert found.__doc__, name


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="bild"):
        mouldgeom.bild  # noqa: B018 (typed as unknown, which is the point)  # type: ignore[attr-defined]


def test_importing_it_loads_next_to_nothing(run: Run) -> None:
    code = (
        "import sys; before = set(sys.modules); import mouldgeom\n"
        "print(*sorted({m.split('.')[0] for m in set(sys.modules) - before}))"
    )
    assert not {"numpy", "pydantic", "cadquery", "ezdxf"} & {*run("-c", code).stdout.split()}


@pytest.mark.parametrize("path", sorted((ROOT / "mouldgeom/cli").glob("*.py")), ids=lambda path: path.stem)
def test_the_commands_go_through_the_front_door(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            assert all(alias.name == "mouldgeom" or not alias.name.startswith("mouldgeom") for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and str(node.module).startswith("mouldgeom"):
            names = {alias.name for alias in node.names}
            inside = str(node.module).startswith("mouldgeom.cli")
            public = node.module == "mouldgeom" and names <= {*mouldgeom.__all__, "cli"}
            assert inside or public, f"{path.name}:{node.lineno} imports {node.module}"
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "mouldgeom":
            assert node.attr in mouldgeom.__all__, f"{path.name}:{node.lineno} reads mouldgeom.{node.attr}"


def test_the_words_of_extensions_are_listed_and_told() -> None:
    told = str(mouldgeom.extend.__doc__)
    for name in mouldgeom.extend.__all__:
        assert getattr(mouldgeom.extend, name) is not None
        assert name in told, name


FRONT = [
    "mouldgeom",
    "mouldgeom.extend",
    *(f"mouldgeom.front.{p.stem}" for p in (ROOT / "mouldgeom/front").glob("[a-z]*.py")),
]


@pytest.mark.parametrize("module", FRONT)
def test_examples_in_docstrings_run(module: str) -> None:
    assert doctest.testmod(importlib.import_module(module)).failed == 0


def public_objects() -> list[str]:
    return [
        n
        for n in mouldgeom.__all__
        if inspect.isclass(getattr(mouldgeom, n)) or inspect.isfunction(getattr(mouldgeom, n))
    ]


@pytest.mark.parametrize("name", public_objects())
def test_every_public_object_has_an_example_that_runs(name: str) -> None:
    found = getattr(mouldgeom, name)
    tests = doctest.DocTestFinder().find(found, name)
    assert sum(len(test.examples) for test in tests) >= 1, f"{name} has no example"
    runner = doctest.DocTestRunner(verbose=False)
    for test in tests:
        runner.run(test)
    assert runner.failures == 0


def test_the_python_of_the_readme_runs() -> None:
    (session,) = blocks("pycon")
    test = doctest.DocTestParser().get_doctest(session, {}, "README", "README.md", 0)
    assert len(test.examples) >= 5
    assert doctest.DocTestRunner(verbose=False).run(test).failed == 0


# ---------------------------------------------------------------- using it


def test_the_short_words() -> None:
    for shown in (MOULD, MOULD.calculated(), MOULD.differences(MOULD), mouldgeom.load("hill-example")):
        assert "\n" not in repr(shown)
        assert 20 < len(repr(shown)) < 130


def test_masses_by_unit_add_up_to_the_list_of_parts() -> None:
    by_list = sum(record["mass_kg"] * record["quantity"] for record in MOULD.records())
    assert sum(MOULD.masses().values()) == pytest.approx(MOULD.mass)
    assert by_list == pytest.approx(MOULD.mass, abs=0.0005 * sum(r["quantity"] for r in MOULD.records()))


def test_the_table_is_the_records() -> None:
    table = MOULD.table()
    assert [*table.index] == [part.mark for part in MOULD.parts]
    assert (table["mass_kg"] * table["quantity"]).sum() == pytest.approx(MOULD.mass, abs=0.1)
    assert table.loc["A1", "holes"] == len(MOULD.records()[0]["holes"])
    assert MOULD.records() == part_records(model(mouldgeom.load("hill-example")))


def test_without_pandas_the_table_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(mouldgeom.InputError, match="records"):
        MOULD.table()


def test_a_flat_pattern_is_a_document() -> None:
    document = MOULD.flat("A1")
    (outline,) = document.modelspace().query("LWPOLYLINE[layer=='CUT_OUTSIDE']")
    points = np.array([(x, y) for x, y, *_ in outline.get_points()])
    record = MOULD.records()[0]
    assert np.ptp(points, axis=0) == pytest.approx([record["width_mm"], record["height_mm"]], abs=1e-3)


def test_differences_add_up() -> None:
    other = mouldgeom.build(MOULD.spec.changed({"filter.least_wall": "50 mm"}))
    found = MOULD.differences(other)
    assert [(one.name, one.before, one.after) for one in found.fields] == [("filter.least_wall", 45.0, 50.0)]
    assert found.mass == pytest.approx(other.mass - MOULD.mass)
    plates_and_bars = sum(one.mass for one in found.pieces)
    fasteners = other.masses()["bolts of the box"] - MOULD.masses()["bolts of the box"]
    assert plates_and_bars + fasteners == pytest.approx(found.mass, abs=1e-6)
    core = {one.name for one in found.pieces if one.what == "cut differently" and "core wall" in one.name}
    assert not core, "the cavity did not change, so the core may not either"
    assert {one.what for one in found.pieces} <= {"cut differently", "moved", "added", "gone"}
    assert not MOULD.differences(mouldgeom.build("hill-example"))
    assert {one.code for one in found.checks} & {"8.2"}
    assert found.record()["fields"][0]["unit"] == "mm"
    back = other.differences(MOULD)
    assert [(p.name, -p.mass, -p.holes) for p in back.pieces] == [(p.name, p.mass, p.holes) for p in found.pieces]


def test_own_checks_stand_among_the_others(tmp_path: Path) -> None:
    from mouldgeom.extend import Case, Operator, Verdict

    def cart(case: Case) -> list[Verdict]:
        heaviest = max(case.mould.mass(part) for part in case.mould.parts)
        return [Verdict("cart", "heaviest part", heaviest, 1.0, Operator.AT_MOST, "kg", "A1", "own rule")]

    found = MOULD.check(cart)
    assert not found.passed
    assert [result.code for result in found.failed] == ["cart"]
    assert found["cart"].value == pytest.approx(max(MOULD.model.mass(part) for part in MOULD.parts))
    assert len(MOULD.check()) == len(found) - 1


def test_a_package_from_python_is_that_of_the_command(tmp_path: Path, run: Run) -> None:
    kinds = ["spec", "parts", "flat", "cutlist"]
    made = MOULD.package(tmp_path / "a", only=kinds)
    done = run(
        "-m", "mouldgeom", "make", "--out", str(tmp_path / "b"), *(w for kind in kinds for w in ("--only", kind))
    )
    assert done.returncode == 0, done.stderr
    assert {p: (tmp_path / "a" / p).read_bytes() for p in made.files} == {
        p: (tmp_path / "b" / p).read_bytes() for p in made.files
    }
    assert made.passed
    assert made.checks is None


@pytest.mark.slow
def test_solids_are_made_once_for_checks_and_package(tmp_path: Path) -> None:
    mould = mouldgeom.build("short-example")
    found = mould.check()
    made = mould.package(tmp_path / "p", only=["checks"])
    assert made.checks is not None
    assert made.checks.results is found.results


@pytest.mark.slow
def test_everything_shows_itself_in_a_notebook(tmp_path: Path) -> None:
    package = MOULD.package(tmp_path / "p", only=["drawings", "parts"])
    sized = mouldgeom.size(asked={"sand_column": "20 in", "charge": 12})
    measured = tmp_path / "measured.csv"
    measured.write_text("code,measured\njoint-nose,0.4\n")
    shown: list[Any] = [
        MOULD, MOULD.check(), package, sized, mouldgeom.as_built("hill-example", measured),
        MOULD.differences(mouldgeom.build("short-example")), MOULD.spec,
    ]  # fmt: skip
    for one in shown:
        html = one._repr_html_()
        assert "<table" in html or "<ul>" in html
        assert "http://" not in html.replace("http://www.w3.org/", "")
        assert "https://" not in html or one is MOULD
        assert one is MOULD.spec or "<svg" in html or "<iframe" in html, type(one)
    assert MOULD._repr_png_().startswith(b"\x89PNG")
    assert MOULD.picture("section", 200)._repr_png_().startswith(b"\x89PNG")


@pytest.mark.slow
def test_a_bar_is_marked_where_the_check_fails_and_only_there() -> None:
    """At the limit itself noise decides which number is greater; the verdict knows."""
    assert any(1 < result.use < 1.000001 for result in MOULD.check()), "none stands at its limit by a hair"
    assert VERMILION not in MOULD.check()._repr_html_()
    thin = mouldgeom.build(MOULD.spec.changed({"concrete.largest_stone": 20})).check()
    assert 0 < thin._repr_html_().count(VERMILION) <= len(thin.failed)


# ---------------------------------------------------------------- wrong use


WRONG = [
    lambda: mouldgeom.build(3),
    lambda: mouldgeom.build(None),
    lambda: mouldgeom.build("no such file.toml"),
    lambda: mouldgeom.build("hill-exampel"),
    lambda: mouldgeom.build("hill-example", 3),
    lambda: mouldgeom.build("hill-example", ["no function"]),
    lambda: mouldgeom.build("hill-example", extensions="rack-hooks"),
    lambda: mouldgeom.build("hill-example", extensions=["no such extension"]),
    lambda: mouldgeom.build("hill-example", extensions=[3]),
    lambda: mouldgeom.build("hill-example", stock=3),
    lambda: MOULD.part("Z99"),
    lambda: MOULD.part(3),
    lambda: MOULD.flat("F1"),
    lambda: MOULD.export("mould.obj"),
    lambda: MOULD.export(3),
    lambda: MOULD.picture("inside out"),
    lambda: MOULD.picture("open", 3),
    lambda: MOULD.picture("open", "wide"),
    lambda: MOULD.check("cart"),
    lambda: MOULD.differences("short-example"),
    lambda: MOULD.package(3),
    lambda: MOULD.package("x", only=["no such kind"]),
    lambda: MOULD.package("x", only="parts"),
    lambda: MOULD.package("x", only=3),
    lambda: MOULD.package("x", moulds=0),
    lambda: MOULD.package("x", moulds="two"),
    lambda: MOULD.package("x", prices=3),
    lambda: mouldgeom.size(3),
    lambda: mouldgeom.size(asked={"sand_column": 500, "charge": 12}).write(3),
    lambda: mouldgeom.size(asked={"sand_column": 500, "charge": 12}).write(pictures=3),
    lambda: mouldgeom.Picture(b"", "nothing").write(3),
    lambda: mouldgeom.size(asked=3),
    lambda: mouldgeom.size(asked={3: 4}),
    lambda: mouldgeom.size(asked={"sand_colum": 500}),
    lambda: mouldgeom.size(asked={"sand_column": object()}),
    lambda: mouldgeom.as_built("hill-example", 3),
    lambda: mouldgeom.as_built(3, "x.csv"),
    lambda: mouldgeom.read_list(3),
    lambda: mouldgeom.read_list("no such list.csv"),
    lambda: mouldgeom.read_list("x.csv", kerf=2),
    lambda: mouldgeom.read_list("x.csv", stock_length=object()),
    lambda: mouldgeom.read_list("x.csv", stock_length=6000, bars="two"),
    lambda: mouldgeom.Extension("Not Plain"),
    lambda: mouldgeom.Extension(3),
]


@pytest.mark.parametrize("wrong", WRONG, ids=range(len(WRONG)))
def test_wrong_use_gives_the_errors_of_the_project(wrong: Any) -> None:
    with pytest.raises(mouldgeom.InputError) as caught:
        wrong()
    assert caught.value.remedy
    assert "pydantic" not in str(caught.value)


# ---------------------------------------------------------------- a script of a user

SCRIPT = """
from mouldgeom import Checks, Mould, Spec, SpecError, build, load
from mouldgeom.extend import Case, Dimensions, Group, Groups, Operator, Verdict


def heavy(case: Case) -> list[Verdict]:
    mass = sum(case.mould.mass(part) for part in case.mould.plates)
    return [Verdict("yard", "plates", mass, 500.0, Operator.AT_MOST, "kg", "all", "own rule")]


def same(dims: Dimensions, groups: Groups) -> Groups:
    return {Group.CORE: groups[Group.CORE]}


spec: Spec = load("hill-example").changed({"filter.sand_column": "20 in"})
mould: Mould = build(spec, [same])
checks: Checks = mould.calculated()
masses: list[float] = [mould.mass for mould in (build(spec), mould)]
names: list[str] = [part.name for part in mould.parts]
try:
    spec.changed({"filter.sand_column": -5})
except SpecError as error:
    print(error.name, checks.passed, len(names), round(masses[0] - masses[1], 9))
"""


def typed(script: Path) -> subprocess.CompletedProcess[str]:
    """What the type checker says of a script; it does not see through an editable installation by itself."""
    command = [
        sys.executable,
        "-m",
        "mypy",
        "--strict",
        "--follow-imports",
        "silent",
        "--cache-dir",
        str(script.parent),
    ]
    environment = {**os.environ, "MYPYPATH": str(ROOT)}
    return subprocess.run(
        [*command, str(script)], capture_output=True, text=True, check=False, cwd=script.parent, env=environment
    )


@pytest.mark.slow
def test_a_script_of_a_user_is_typed(tmp_path: Path, run: Run) -> None:
    script = tmp_path / "script.py"
    script.write_text(SCRIPT)
    done = typed(script)
    assert done.returncode == 0, done.stdout
    wrong = tmp_path / "wrong.py"
    wrong.write_text("import mouldgeom\nmould = mouldgeom.build('hill-example')\nmould.flat(3)\nmouldgeom.bild\n")
    assert typed(wrong).stdout.count("error:") == 2
    assert run(str(script)).stdout == "filter.sand_column True 37 0.0\n"


def test_that_it_is_typed_is_shipped() -> None:
    shipped = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["setuptools"]["package-data"]
    assert "py.typed" in shipped["mouldgeom"]
    assert (ROOT / "mouldgeom/py.typed").is_file()
