"""What the README shows is what the program prints."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from conftest import ROOT
from readme_blocks import README, blocks

from mouldgeom import load
from mouldgeom.cli import main
from mouldgeom.model.assembly import build
from mouldgeom.strength.masses import masses

pytestmark = pytest.mark.slow(seconds=75)


def test_opens_with_the_job_and_two_commands() -> None:
    paragraph = README.split("\n\n")[1]
    assert "sand filter" in paragraph
    assert "mould" in paragraph
    build, test = blocks("sh")
    assert build.strip().endswith("mouldgeom make --out example")
    assert test.strip().endswith("-m pytest")
    assert README.index(build) < README.index(test) < README.index("Python 3.11")


def test_pictures_and_links_are_there() -> None:
    for target in re.findall(r"\]\(([^)]+)\)", README):
        assert (ROOT / target).is_file(), target


def test_console_session(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    (measured,) = blocks("csv")
    Path("measured.csv").write_text(measured, "utf-8")
    commands = 0
    for step in re.split(r"^\$ ", "".join(blocks("console")), flags=re.MULTILINE)[1:]:
        command, _, shown = step.partition("\n")
        commands += 1
        if command.startswith("sed -i"):
            pattern, path = re.fullmatch(r"sed -i '(.*)' (\S+)", command).groups()
            _, old, new, _ = pattern.split("/")
            text, count = re.subn(old, new, Path(path).read_text("utf-8"), flags=re.MULTILINE)
            assert count == 1
            Path(path).write_text(text, "utf-8")
            continue
        words, _, piped = command.partition(" | ")
        assert main(shlex.split(words)[1:]) == int("FAIL" in shown)
        printed = capsys.readouterr().out
        if piped:
            printed = "".join(printed.splitlines(keepends=True)[: int(piped.removeprefix("head -"))])
        assert printed == shown
    assert commands == 4


def test_the_extension_runs(capsys: pytest.CaptureFixture[str]) -> None:
    (program,) = blocks("python")
    exec(program, {"__name__": "yard"})
    assert capsys.readouterr().out == "True\n"


def test_the_filled_mould_weighs_what_the_calculation_says() -> None:
    """Before and after the first change, and no other mass of it is named."""
    spec = load("hill-example")
    wall = re.search(r"least_wall = \"(\d+) mm\"/", README)
    assert wall is not None
    wide = spec.filter.model_copy(update={"least_wall": float(wall[1])})
    weights = [masses(build(s)).filled.mass for s in (spec, spec.model_copy(update={"filter": wide}))]
    told = " ".join(README.split())
    named = re.search(
        r"The filled mould of the example weighs (\d+) kg, and (\d+) kg after the first change above", told
    )
    assert named is not None
    assert [int(number) for number in named.groups()] == [round(weight) for weight in weights]
    assert told.count("filled mould") == 1


@pytest.mark.parametrize(("name", "kinds"), [("inch-example", []), ("short-example", ["--only=checks"])])
def test_named_examples_are_made(
    name: str, kinds: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One with everything, the other with its checks: papers of all examples have tests of their own."""
    assert f"{name}" in README
    assert main(["make", name, *kinds, "--out", str(tmp_path / "out")]) == 0
    assert "checks hold" in capsys.readouterr().out


def test_stock_list_and_prices_are_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    stock, prices = blocks("toml")
    (tmp_path / "prices.toml").write_text(prices, "utf-8")
    more = "".join(
        f"\n[[{kind}]]\n{what}\n"
        for kind, what in (
            ("sheet", 'sheet = "3 mm"\nwidth = 1220\nlength = 2440'),
            ("sheet", 'sheet = "6 mm"\nwidth = 1000\nlength = 2000'),
            ("bar", 'kind = "square tube"\nsection = "40x40x3"\nlength = "6 m"'),
            ("bar", 'kind = "rod"\nsection = "12 mm"\nlength = "6 m"'),
            ("bar", 'kind = "rod"\nsection = "16 mm"\nlength = "6 m"'),
            ("bar", 'kind = "threaded rod"\nsection = "M24"\nlength = "1 m"\nquantity = 9'),
            ("bar", 'kind = "square tube"\nsection = "50x50x3"\nlength = "6 m"\nquantity = 0'),
        )
    )
    (tmp_path / "stock.toml").write_text(stock + more, "utf-8")
    arguments = ["make", "--stock", str(tmp_path / "stock.toml"), "--prices", str(tmp_path / "prices.toml")]
    for moulds in ("1", "2"):
        out = tmp_path / f"out{moulds}"
        kinds = ["--only", "nests", "--only", "bars", "--only", "cost"]
        assert main([*arguments, "--moulds", moulds, "--out", str(out), *kinds]) == 0
        printed = capsys.readouterr().out
        assert "crowns" in printed
        assert f"To buy for {moulds} mould" in printed
        assert (out / "cost.csv").is_file()
