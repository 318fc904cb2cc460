"""What the README shows is what the program prints."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from mouldgeom.cli import main

README = (Path(__file__).parent.parent / "README.md").read_text("utf-8")


def blocks(kind: str) -> list[str]:
    return re.findall(rf"```{kind}\n(.*?)```", README, re.DOTALL)


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
        assert (Path(__file__).parent.parent / target).is_file(), target


def test_console_session(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    (session,) = blocks("console")
    commands = 0
    for step in re.split(r"^\$ ", session, flags=re.MULTILINE)[1:]:
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
        assert main(shlex.split(words)[1:]) == 0
        printed = capsys.readouterr().out
        if piped:
            printed = "".join(printed.splitlines(keepends=True)[: int(piped.removeprefix("head -"))])
        assert printed == shown
    assert commands == 3


@pytest.mark.parametrize("name", ["inch-example", "short-example"])
def test_named_examples_are_made(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert f"{name}" in README
    assert main(["make", name, "--out", str(tmp_path / "out")]) == 0
    assert "checks hold" in capsys.readouterr().out
