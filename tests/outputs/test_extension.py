"""What is refused of an extension: when it is made, put together, loaded, or run."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from extensions_installed import describe

from mouldgeom import InputError, Spec
from mouldgeom.cli import main
from mouldgeom.model.assembly import Mould, build
from mouldgeom.outputs.extension import Extension, all_kinds, installed
from mouldgeom.outputs.job import Job, make_files
from mouldgeom.outputs.kinds import KINDS, SPEC, File, Kind
from mouldgeom.strength.book import book
from mouldgeom.strength.steps import Chapter
from mouldgeom.verdict import Operator, Verdict, own_verdicts

LIST = Kind("yard-list", "a list", lambda mould: [File("yard.csv", b"a\n")])
GOOD = Verdict("yard", "carts", 1.0, 2.0, Operator.AT_MOST, "-", "yard", "own rule")

WRONG: dict[str, tuple[dict[str, Any], str]] = {
    "name": ({"name": "My yard"}, "no plain name"),
    "no text": ({"name": None}, "no plain name"),
    "version": ({"version": 2}, "no plain text"),
    "list": ({"checks": [print]}, "write checks=(one, another)"),
    "no function": ({"checks": ("check",)}, "str among the checks: each is a function"),
    "no change": ({"changes": (None,)}, "each is a function"),
    "no chapter": ({"chapters": (Chapter("", (), ()),)}, "each is a function"),
    "no kind": ({"kinds": ("list",)}, "each is a Kind"),
    "taken": ({"kinds": (replace(LIST, name="report"),)}, "there is a kind of that name"),
    "twice": ({"kinds": (LIST, LIST)}, "there is a kind of that name"),
    "kind's name": ({"kinds": (replace(LIST, name="a list"),)}, "no plain name"),
    "no maker": ({"kinds": (replace(LIST, maker=None),)}, "its maker is no function"),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_wrong_extension_is_refused_when_it_is_made(what: str) -> None:
    given, told = WRONG[what]
    with pytest.raises(InputError) as error:
        Extension(**{"name": "yard", **given})
    assert told.lower() in str(error.value).lower()


def test_extensions_that_do_not_go_together_are_refused(hill_spec: Spec) -> None:
    one, other = Extension("one", kinds=(LIST,)), Extension("other", kinds=(LIST,))
    for pair, told in (((one, one), "given twice"), ((one, other), "extension one has a kind of that name")):
        with pytest.raises(InputError, match=told):
            _ = Job(build(hill_spec, extensions=pair), kinds=KINDS)
    assert all_kinds([one]) == (*KINDS, LIST)


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (5, "a check gives verdicts"),
        (["fine"], "a check gives verdicts"),
        ([replace(GOOD, code="8.1")], "codes that begin with a digit"),
        ([replace(GOOD, code=" ")], "codes that begin with a digit"),
        ([replace(GOOD, value=float("nan"))], "no two finite numbers"),
    ],
)
def test_what_is_no_verdict_of_its_own_is_refused(found: object, told: str, hill: Mould) -> None:
    with pytest.raises(InputError, match=told):
        own_verdicts(found, "yard")
    requirements: Any = found
    if isinstance(found, list):
        with pytest.raises(InputError, match=f"yard.*{told}"):
            Extension("yard", chapters=(lambda _: Chapter("Yard", (), (), (), requirements),)).makers[0](hill)


def test_chapters_from_outside_stand_last(hill: Mould) -> None:
    own = Chapter("Yard", (), (), (), (GOOD,))
    assert book(hill, [lambda _: own])[-1] is own
    assert len(book(hill, [lambda _: own])) == len(book(hill)) + 1
    with pytest.raises(InputError, match="it gives no chapter"):
        book(hill, [lambda _: None])  # type: ignore[list-item, return-value]  # wrong on purpose


MAKERS: dict[str, tuple[Callable[..., Any], str]] = {
    "raises": (lambda mould: [][0], "IndexError"),
    "leaves": (lambda mould: sys.exit(0), "SystemExit"),
    "nothing": (lambda mould: None, "TypeError"),
    "no file": (lambda mould: ["yard.csv"], "its maker gives files"),
    "no bytes": (lambda mould: [File("yard.csv", "text")], "its maker gives files"),  # type: ignore[arg-type]  # wrong on purpose
    "outside": (lambda mould: [File("../yard.csv", b"")], "no plain path"),
    "absolute": (lambda mould: [File("/yard.csv", b"")], "no plain path"),
    "hidden": (lambda mould: [File(".yard", b"")], "no plain path"),
    "taken": (lambda mould: [File("Spec.toml", b"")], "there is a file of that path"),
    "twice": (lambda mould: [File("yard.csv", b"")] * 2, "there is a file of that path"),
    "list": (lambda mould: [File("manifest.json", b"")], "there is a file of that path"),
    "need": (lambda price: [], "no job has that"),
}


@pytest.mark.parametrize("what", MAKERS)
def test_a_kind_that_cannot_be_made_is_told(what: str, hill_spec: Spec) -> None:
    maker, told = MAKERS[what]
    kind = Kind("yard-list", "a list", maker)
    with pytest.raises(InputError, match="yard") as error:
        make_files(Job(build(hill_spec, extensions=[Extension("yard", kinds=(kind,))]), kinds=(SPEC, kind)))
    assert told in str(error.value)


def test_a_kind_from_outside_sees_the_files_of_the_others(hill_spec: Spec) -> None:
    def index(others: Iterable[Any]) -> list[File]:
        return [File("yard/index.txt", "\n".join(file.path for file in others).encode())]

    kind = Kind("yard-index", "an index", index)
    job = Job(build(hill_spec, extensions=[Extension("yard", kinds=(LIST, kind))]), kinds=(kind, LIST, SPEC))
    files = make_files(job)
    assert [file.path for file in files] == ["spec.toml", "yard.csv", "yard/index.txt"]
    assert files[2].content == b"spec.toml\nyard.csv"


# ---------------------------------------------------------------- installed

MODULE = """
from pathlib import Path
from mouldgeom.outputs.extension import Extension
Path(__file__).with_name("marker").touch()
GOOD, OTHER, NONE = Extension("good"), Extension("other"), "text"
def broken(mould):
    raise ValueError("no\\nmould")
def change(dims, groups):
    raise KeyError("piece")
from mouldgeom.identity import PieceId, Role, Side
def less(dims, groups):
    screw = PieceId(Role.FORCING_SCREW, (Side.LEFT, Side.FRONT))
    return {group: parts.without(screw) for group, parts in groups.items()}
LESS = Extension("less", changes=(less,))
from mouldgeom.outputs.kinds import Kind
KIND = Extension("bad-kind", kinds=(Kind("bad-list", "", broken),))
CHANGE = Extension("bad-change", changes=(change,))
CHECK = Extension("bad-check", checks=(broken,))
"""
POINTS = {
    "good": "yard_good:GOOD", "named": "yard_good:OTHER", "text": "yard_good:NONE", "lost": "yard_good:LOST",
    "gone": "yard_gone:X", "syntax": "yard_syntax:X", "bad-kind": "yard_good:KIND", "bad-change": "yard_good:CHANGE",
    "bad-check": "yard_good:CHECK", "less": "yard_good:LESS",
}  # fmt: skip


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with extensions, good and bad, on the path of imports."""
    folder = tmp_path / "site"
    describe(folder, "yard", "3", POINTS)
    (folder / "yard_good.py").write_text(MODULE, "utf-8")
    (folder / "yard_syntax.py").write_text("EXTENSION = (", "utf-8")
    monkeypatch.syspath_prepend(folder)
    monkeypatch.chdir(tmp_path)
    monkeypatch.delitem(sys.modules, "yard_good", raising=False)
    return folder


def test_nothing_is_loaded_that_was_not_asked_for(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["make", "--only", "spec", "--out", "package"]) == 0
    assert not (site / "marker").exists()
    assert b"extensions" not in Path("package/manifest.json").read_bytes()
    (loaded,) = installed(["good", "good"])
    assert (site / "marker").exists()
    assert (loaded.name, loaded.version) == ("good", "3"), "the version of its package, if it has none of its own"
    assert main(["make", "--only", "spec", "--with", "good", "--out", "package"]) == 0
    assert b'"extensions"' in Path("package/manifest.json").read_bytes()
    assert "All" not in capsys.readouterr().err


TOLD = {
    "godo": "no extension of that name; installed are bad-change, bad-check, bad-kind, gone, good, less, lost, named, "
    "syntax, text. Did you mean good?",
    "": "it is empty",
    "text": "yard_good:NONE is str: no Extension",
    "named": "it is installed under another name",
    "lost": "has no attribute 'LOST'",
    "gone": "No module named 'yard_gone'",
    "syntax": "SyntaxError",
    "bad-kind": r"extension bad-kind = ValueError: no\nmould: its code stopped there",
    "less": "extension less = forcing screw, left front taken away: the calculation of what draws the core, the checks "
    "and the papers need it. Leave it in",
    "bad-change": "extension bad-change = KeyError: 'piece': its code stopped there",
}


@pytest.mark.parametrize("name", TOLD)
@pytest.mark.usefixtures("site")
def test_what_cannot_be_used_is_told_in_one_line(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """With status 2, and nothing is written."""
    only = ["--only", "bad-list"] if name == "bad-kind" else ["--only", "spec"]
    assert main(["make", *only, "--with", name, "--out", "package"]) == 2
    printed = capsys.readouterr()
    last = printed.err.splitlines()[-1]
    assert TOLD[name] in last
    assert "Traceback" not in printed.err
    assert not Path("package").exists()


@pytest.mark.slow
@pytest.mark.usefixtures("site")
def test_a_check_that_raises_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--with", "bad-check"]) == 2
    assert "extension bad-check = ValueError" in capsys.readouterr().err


def test_two_of_one_name_are_told(site: Path, capsys: pytest.CaptureFixture[str]) -> None:
    describe(site, "field", "1", {"good": "yard_good:GOOD"})
    assert main(["check", "--with", "good"]) == 2
    assert "installed 2 times" in capsys.readouterr().err
