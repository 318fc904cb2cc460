"""Three extensions of an installed package, through the program: all that a mould has shows what they add."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from conftest import ROOT, Run
from extensions_installed import NAMES, YARD, install_yard
from pypdf import PdfReader

from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.work_record import work_record
from mouldgeom.strength.masses import masses

pytestmark = pytest.mark.slow(seconds=130)

WITH = [word for name in NAMES for word in ("--with", name)]


@pytest.fixture(scope="module")
def env(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Environment in which the package is installed."""
    return {"PYTHONPATH": os.pathsep.join([str(install_yard(tmp_path_factory.mktemp("site"))), str(ROOT)])}


@pytest.fixture(scope="module")
def package(env: dict[str, str], run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A whole package made with all three."""
    folder = tmp_path_factory.mktemp("made") / "package"
    made = run("-m", "mouldgeom", "make", *WITH, "--out", folder, env=env, timeout=600)
    assert made.returncode == 0, made.stderr
    assert "All 117 checks hold." in made.stdout
    return folder


def document(package: Path, name: str) -> dict[str, Any]:
    return json.loads((package / name).read_text("utf-8"))


def text(path: Path) -> list[str]:
    return [page.extract_text() for page in PdfReader(path).pages]


def test_its_parts_are_marked_listed_cut_and_drawn(package: Path) -> None:
    parts = {part["name"]: part for part in document(package, "parts.json")["parts"]}
    hook, leg, grip = parts["rack hook"], parts["handle leg"], parts["handle"]
    assert (hook["quantity"], leg["quantity"], grip["quantity"]) == (4, 16, 8)
    assert hook["pieces"][0] == "rack hook, left front"
    assert (package / f"flat/{hook['mark']}.dxf").is_file()
    with (package / "cut-list.csv").open(encoding="utf-8", newline="") as file:
        listed = {row[2]: row for row in csv.reader(file) if len(row) > 2}
    assert {"rack hook", "handle leg"} <= listed.keys()
    step = (package / "solid/mould.step").read_text("utf-8")
    assert all(f"'{part['mark']}'" in step for part in (hook, leg, grip))
    drawn = text(package / "drawings.pdf")
    (exploded,) = [page for page in drawn if "Mould, taken apart" in page]
    assert all(part["mark"] in exploded.split() for part in (hook, leg, grip))
    assert sum("rack hook" in page for page in drawn) >= 3, "part list, welding sheet, part sheet"
    (sides,) = [page for page in drawn if "Side panels, left and right" in page and "W1" in page]
    for weld in ("rack hook to panel", "handle leg to stiffener", "grip to handle leg"):
        assert weld in " ".join(sides.split())


def test_the_build_sheet_and_the_work_have_its_pieces_and_welds(package: Path, hill: Mould) -> None:
    sheet = " ".join(" ".join(text(package / "build-sheet.pdf")).split())
    for words in ("rack hook", "handle leg", "rack hook to panel", "grip to handle leg"):
        assert words in sheet
    assert document(package, "work.json")["saw_cuts"] == work_record(hill)["saw_cuts"] + 16


def test_its_checks_chapters_and_files_stand_with_the_others(package: Path) -> None:
    checks = document(package, "checks.json")
    results = {result["code"]: result for result in checks["results"]}
    assert checks["passed"]
    assert {"cart", "cart.trips", "grip"} <= results.keys()
    assert "10.9" not in results, "no straight handle is left"
    written = (package / "calculation.md").read_text("utf-8")
    page = (package / "report.html").read_text("utf-8")
    for words in ("Bracket handles", "Donkey cart", "heaviest load"):
        assert words in written
        assert words in page
    assert "heaviest load for the donkey cart" in page
    assert "cart-list.csv" in page
    rows = (package / "cart-list.csv").read_text("utf-8").splitlines()
    assert rows[0] == "load,mass_kg"
    load, _, mass = rows[1].partition(",")
    assert load == "core with base plate and runners"
    parts = document(package, "parts.json")["parts"]
    nuts = 4 * next(part["mass_kg"] for part in parts if part["name"] == "forcing nut")
    welded = (part for part in parts if part["group"] in {"core", "base"} or part["name"] == "nut plate")
    assert float(mass) == pytest.approx(sum(p["mass_kg"] * p["quantity"] for p in welded) + nuts, abs=0.06)


def test_masses_and_lifts_follow(package: Path, hill: Mould) -> None:
    """A side panel gains two hooks, each weighed by its outline, and its brackets reach farther from the body."""
    parts = {part["name"]: part for part in document(package, "parts.json")["parts"]}
    rods = sum(hill.mass(bar) for bar in hill.bars if bar.name == "handle")
    gain = 2 * parts["rack hook"]["mass_kg"] + 4 * parts["handle leg"]["mass_kg"] + 2 * parts["handle"]["mass_kg"]
    side = next(item.lump.mass for unit, item in masses(hill).carried.items() if unit.name == "side panel, left")
    with (package / "cart-list.csv").open(encoding="utf-8", newline="") as file:
        carried = {row["load"]: float(row["mass_kg"]) for row in csv.DictReader(file)}
    assert carried["side panel, left"] == pytest.approx(side + gain - 2 * rods, abs=0.06)
    lifted = next(r for r in document(package, "checks.json")["results"] if r["code"] == "10.1")
    assert lifted["provided"] == pytest.approx(side + gain - 2 * rods, abs=0.01)


def test_manifest_number_and_form_say_what_it_was_made_with(
    package: Path, env: dict[str, str], run: Run, hill: Mould, tmp_path: Path
) -> None:
    manifest = document(package, "manifest.json")
    assert manifest["extensions"] == [{"name": name, "version": "1.2"} for name in NAMES]
    assert manifest["spec_sha256"] == hill.dims.spec.digest
    drawn = text(package / "drawings.pdf")[0]
    assert hill.dims.spec.digest[:8].upper() not in drawn
    measured = (package / "measured.csv").read_text("utf-8")
    assert "with rack-hooks 1.2 and bent-handles 1.2 and cart-check 1.2" in measured
    filled = tmp_path / "measured.csv"
    rows = list(csv.reader(measured.splitlines()))
    rows[1][8] = rows[1][3]
    with filled.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    asked = ("-m", "mouldgeom", "asbuilt", "hill-example", filled)
    good = run(*asked, *WITH, env=env)
    assert good.returncode == 0, good.stderr
    assert "1 of" in good.stdout
    for fewer in ([], WITH[:2]):
        refused = run(*asked, *fewer, env=env)
        assert refused.returncode == 2
        assert "another mould than" in refused.stderr
        assert "--with each extension" in refused.stderr


CHECKS = """
import contextlib, io, json, sys
from mouldgeom.cli import main
for arguments in json.loads(sys.argv[1]):
    with contextlib.redirect_stdout(io.StringIO()) as printed:
        status = main(["check", *arguments, "--json"])
    print(json.dumps([status, printed.getvalue()]))
"""
EXAMPLES = ("inch-example", "short-example")
CODES = {NAMES[0]: set[str](), NAMES[1]: {"grip"}, NAMES[2]: {"cart", "cart.trips"}}
"""Codes of the checks of each alone."""


@pytest.fixture(scope="module")
def codes(env: dict[str, str], run: Run) -> dict[str, set[str]]:
    """Codes of the checks, all of which hold: of an example with all three, of the built-in one with one of them."""
    asked = [*([spec, *WITH] for spec in EXAMPLES), *(["--with", name] for name in NAMES)]
    done = run("-c", CHECKS, json.dumps(asked), env=env, timeout=600)
    assert done.returncode == 0, done.stderr
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert [status for status, _ in answers] == [0] * len(asked), done.stdout
    found = [{result["code"] for result in json.loads(printed)["results"]} for _, printed in answers]
    return dict(zip((*EXAMPLES, *NAMES), found, strict=True))


@pytest.mark.parametrize("spec", EXAMPLES)
def test_it_follows_the_other_examples(spec: str, codes: dict[str, set[str]]) -> None:
    assert {"cart", "cart.trips", "grip"} <= codes[spec]


@pytest.mark.parametrize("name", NAMES)
def test_each_holds_alone(name: str, codes: dict[str, set[str]]) -> None:
    assert {code for code in codes[name] if not code[0].isdigit()} == CODES[name]


def test_a_kind_of_its_own_is_made_alone(env: dict[str, str], run: Run, tmp_path: Path) -> None:
    asked = ("-m", "mouldgeom", "make", "--only", "cart-list", "--out", tmp_path / "list")
    made = run(*asked, "--with", "cart-check", env=env)
    assert made.returncode == 0, made.stderr
    assert sorted(path.name for path in (tmp_path / "list").iterdir()) == ["cart-list.csv", "manifest.json"]
    without = run(*asked, env=env)
    assert without.returncode == 2
    assert "no such kind of file" in without.stderr


def test_the_steel_in_stock_is_adapted_to_with_them(env: dict[str, str], run: Run, tmp_path: Path) -> None:
    """Its parts are laid on sheets and cut from bars with the others; what the list lacks is replaced for all."""
    (tmp_path / "stock.toml").write_text(
        "".join(f'[[sheet]]\nsheet = "{sheet}"\nwidth = 1220\nlength = 2440\n' for sheet in ("4 mm", "6 mm"))
        + "".join(
            f'[[bar]]\nkind = "{kind}"\nsection = "{section}"\nlength = "6 m"\n'
            for kind, section in (
                ("angle", "40x40x4"), ("square tube", "40x40x3"), ("rod", "12 mm"), ("rod", "16 mm"),
                ("threaded rod", "M24"),
            )
        ),
        "utf-8",
    )  # fmt: skip
    made = run(
        *("-m", "mouldgeom", "make", *WITH, "--stock", tmp_path / "stock.toml", "--only", "nests", "--only", "bars"),
        *("--only", "cart-list", "--only", "parts", "--out", tmp_path / "made"), env=env, timeout=600,
    )  # fmt: skip
    assert made.returncode == 0, made.stderr
    assert "3 mm" in made.stdout
    marks = {part["name"]: part["mark"] for part in document(tmp_path / "made", "parts.json")["parts"]}
    nests = " ".join(path.read_text("utf-8", "replace") for path in (tmp_path / "made").rglob("*nest*.*"))
    assert marks["rack hook"] in nests


def test_the_package_is_clean_for_its_own_author(tmp_path: Path) -> None:
    """By the same tools as the program, strictly."""
    for tool in (
        ["mypy", "--strict", "--cache-dir", str(tmp_path), "--config-file", str(ROOT / "pyproject.toml"),
         "-p", "drying_yard"],
        ["ruff", "check", "--no-cache", str(YARD)],
    ):  # fmt: skip
        env = {**os.environ, "MYPYPATH": os.pathsep.join([str(YARD), str(ROOT)])}
        done = subprocess.run(
            [sys.executable, "-m", *tool], capture_output=True, text=True, cwd=YARD, env=env, check=False
        )
        assert done.returncode == 0, done.stdout + done.stderr
