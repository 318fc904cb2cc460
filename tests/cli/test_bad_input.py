"""Whatever is wrong with what a person gives: one line that says so, exit status 2, and nothing written."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from mouldgeom.cli import main

Files = dict[str, tuple[int, bytes]]


def snapshot(folder: Path) -> Files:
    """Every file below a folder, with its time of change and bytes; every folder too."""
    return {
        str(path.relative_to(folder)): (path.lstat().st_mtime_ns, path.read_bytes()) if path.is_file() else (0, b"")
        for path in sorted(folder.rglob("*"))
    }


def refuse(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Run one command, see that it refuses as it must, and return the line that it prints."""
    here = Path.cwd()
    before = snapshot(here)
    capsys.readouterr()
    try:
        status = main(arguments)
    except SystemExit as end:  # the parser of the command line ends the program itself
        status = int(str(end.code))
    printed = capsys.readouterr()
    assert status == 2
    assert printed.out == ""
    assert printed.err.startswith("mouldgeom: ")
    assert printed.err.endswith("\n")
    line = printed.err[:-1]
    assert len(line.splitlines()) == 1, line
    assert line.isprintable()
    assert len(line) < 700
    assert "Traceback" not in line
    assert "Error" not in line
    assert "pydantic" not in line.lower()
    assert snapshot(here) == before
    return line


@pytest.fixture(autouse=True)
def _in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


FLOOR = ("40 mm", "150 mm", "Choose a value", "default 60 mm")
FIELDS: dict[str, tuple[str, tuple[str, ...]]] = {
    # one field by itself: its name, the value with its unit, the limit, the remedy
    "low": ("[filter]\nfloor = 39.9", ("filter.floor = 39.9 mm:", *FLOOR)),
    "high": ("[filter]\nfloor = 151", ("filter.floor = 151 mm:", *FLOOR)),
    "zero": ("[filter]\nfloor = 0", ("filter.floor = 0 mm:", *FLOOR)),
    "negative": ("[filter]\nfloor = -60", ("filter.floor = -60 mm:", *FLOOR)),
    "negative with unit": ('[filter]\nfloor = "-6 cm"', ("filter.floor = -60 mm:", *FLOOR)),
    "high in inches": ('[filter]\nfloor = "8 in"', ("filter.floor = 203.2 mm:", *FLOOR)),
    "bool for length": ("[filter]\nfloor = true", ("filter.floor = true:", "no lengths", *FLOOR)),
    "nan": ("[filter]\nfloor = nan", ("filter.floor = nan:", *FLOOR)),
    "inf": ("[filter]\nfloor = inf", ("filter.floor = inf:", *FLOOR)),
    "minus inf": ("[filter]\nfloor = -inf", ("filter.floor = -inf:", *FLOOR)),
    "huge": ("[filter]\nfloor = 1" + "0" * 900, ("filter.floor = ", "too large", *FLOOR)),
    "huge hexadecimal": ("[filter]\nfloor = 0x1" + "0" * 900, ("filter.floor = ", "too large", *FLOOR)),
    "unit": ('[filter]\nfloor = "6 furlong"', ("filter.floor = '6 furlong':", '"1/8 in"', *FLOOR)),
    "no unit": ('[filter]\nfloor = "60"', ("filter.floor = '60':", "with its unit", *FLOOR)),
    "empty text": ('[filter]\nfloor = ""', ("filter.floor = '':", *FLOOR)),
    "word": ('[filter]\nfloor = "thick"', ("filter.floor = 'thick':", *FLOOR)),
    "fraction by zero": ('[filter]\nfloor = "1/0 in"', ("filter.floor = '1/0 in':", "divides by zero", *FLOOR)),
    "endless fraction": (f'[filter]\nfloor = "{"9" * 400}/1 in"', ("filter.floor = '999", "finite", *FLOOR)),
    "list for length": ("[filter]\nfloor = [60]", ("filter.floor = [60]:", *FLOOR)),
    "table for length": ("[filter]\nfloor = {mm = 60}", ("filter.floor = {'mm': 60}:", *FLOOR)),
    "date for length": ("[filter]\nfloor = 2001-02-03", ("filter.floor = 2001-02-03:", *FLOOR)),
    "time for steel": ("[steel]\nshell = 07:32:00", ("steel.shell = 07:32:00:", "string", 'default is "3 mm"')),
    "true for people": ("[handling]\nteam = true", ("handling.team = true:", "whole number", "default is 4")),
    "broken people": ("[handling]\nteam = 2.0", ("handling.team = 2:", "whole number", "default is 4")),
    "too many people": ("[handling]\nteam = 5", ("handling.team = 5:", "1, 2, 3 or 4", "default is 4")),
    "huge height": (f"[shop]\nstiffener_heights = [{'9' * 400}]", ("shop.stiffener_heights = ", "too large")),
    "bell in title": ('title = "x\\u0007"', ("title = 'x\\x07':", "control character U+0007")),
    "null in owner": ('[papers]\nowner = "\\u0000"', ("papers.owner = '\\x00':", "control character U+0000")),
    "no character": ('[papers]\nowner = "x\\uffff"', ("papers.owner = 'x\\uffff':", "U+FFFF")),
    "turned text": ('[papers]\ncreator = "\\u202e"', ("papers.creator = ", "U+202E (RIGHT-TO-LEFT OVERRIDE)")),
    "script without letters": (
        'title = "\u092a\u093e\u0928\u0940"',
        ("title = ", "Source Sans Pro", "U+092A", "Latin, Greek"),
    ),
    "escape in steel": ('[steel]\nbolt = "\\u001b[2J"', ("steel.bolt = '\\x1b[2J':", "control character U+001B")),
    "litres in quotes": ('[filter]\ncharge = "12 l"', ("filter.charge = '12 l':", "4 l to 40 l", "default 12 l")),
    "degrees in quotes": ('[filter]\ndraft = "1"', ("filter.draft = '1':", "0.6 deg to 4 deg", "default 1 deg")),
    "bool for angle": ("[filter]\ndraft = false", ("filter.draft = false:", "0.6 deg to 4 deg")),
    "charge": ("[filter]\ncharge = 41", ("filter.charge = 41 l:", "4 l to 40 l", "default 12 l")),
    "density": ("[concrete]\ndensity = 7850", ("concrete.density = 7850 kg/m3:", "2000 kg/m3 to 2700 kg/m3")),
    "stone": ("[concrete]\nlargest_stone = 21", ("concrete.largest_stone = 21 mm:", "2 mm to 20 mm")),
    "choice": ('[shop]\ncutting = "water"', ("shop.cutting = 'water':", "'plasma'", 'default is "plasma"')),
    "hole method": ('[shop]\nhole_method = "punch"', ("shop.hole_method = 'punch':", "'pilot'", '"full-size"')),
    "text for bool": ('[shop]\nkerf_compensation = "no"', ("shop.kerf_compensation = 'no':", "default is false")),
    "number for bool": ("[shop]\nkerf_compensation = 1", ("shop.kerf_compensation = 1:", "default is false")),
    "sheet": ('[steel]\nshell = "7 mm"', ("steel.shell = '7 mm':", "no such sheet", "3 mm", "default")),
    "number for sheet": ("[steel]\nshell = 3", ("steel.shell = 3:", "string", 'default is "3 mm"')),
    "angle": ('[steel]\nangle = "40x40x9"', ("steel.angle = '40x40x9':", "no such angle", "40x40x4")),
    "tube": ('[steel]\nsquare_tube = "41x41x3"', ("steel.square_tube = '41x41x3':", "no such", "40x40x3")),
    "rod": ('[steel]\nrod = "13 mm"', ("steel.rod = '13 mm':", "no such rod", "12 mm")),
    "bolt": ('[steel]\nbolt = "M11"', ("steel.bolt = 'M11':", "no such thread", "M10")),
    "jack screw": ('[steel]\njack_screw = "T24"', ("steel.jack_screw = 'T24':", "no such thread", "M24")),
    "grade": ('[steel]\ngrade = "best"', ("steel.grade = 'best':", "no such steel", "S235")),
    "title": ("title = 5", ("title = 5:", "string", "Untitled mould")),
    "empty title": ('title = ""', ("title = '':", "at least 1 character")),
    "long title": (f'title = "{"x" * 81}"', ("title = 'xxx", "at most 80 characters")),
    "list for table": ("filter = [1, 2]", ("filter = [1, 2]:", "a table", "[filter]")),
    "number for table": ("steel = 3", ("steel = 3:", "a table", "[steel]")),
    "tables for table": ("[[shop]]\nkerf = 2", ("shop = [{'kerf': 2}]:", "a table", "[shop]")),
    "unknown key": ("[filter]\nleast_wal = 45", ("filter.least_wal = 45:", "unknown key", "filter.least_wall?")),
    "key of another group": ("[steel]\nkerf = 2", ("steel.kerf = 2:", "unknown key", "shop.kerf?")),
    "key without group": ("draft = 1", ("draft = 1:", "unknown key", "filter.draft?")),
    "unknown group": ("[stell]\nbolt = 'M10'", ("stell = {'bolt': 'M10'}:", "unknown key", "steel?")),
    "key of two lines": ('"a\\nb" = 1', ("a\\nb = 1:", "unknown key")),
    "key that steers a terminal": ('"\\u001b[2J" = 1', ("\\x1b[2J = 1:", "unknown key")),
    "deep key": ("filter." + "a." * 480 + "b = 1", ("filter.a = {'a':", "unknown key")),
}
CROSSED: dict[str, tuple[str, tuple[str, ...]]] = {
    # fields that disagree with each other: the one to change, its value, why, and what to do
    "thin shell": ('[steel]\nshell = "2 mm"', ("steel.shell = '2 mm':", "at least 3 mm", "1/8 in or thicker")),
    "wide fit": ("[shop]\nfit_gap = 1", ("shop.fit_gap = 1 mm:", "leak of 1 mm", "0.83 mm or less")),
    "bolt in angle": ('[steel]\nangle = "20x20x3"', ("steel.bolt = 'M10':", "11 mm hole", "smaller bolt")),
    "washer in angle": ('[steel]\nangle = "35x35x4"', ("steel.bolt = 'M10':", "washer", "larger angle")),
    "wide tube": (
        '[extraction]\ngear = "bridge"\n[steel]\nangle = "40x40x4"\nsquare_tube = "60x60x3.2"',
        ("steel.square_tube = '60x60x3.2':", "mm beyond", "no wider"),
    ),
    "thin screw": ('[steel]\njack_screw = "M8"', ("steel.jack_screw = 'M8':", "M10", "larger jack screw")),
    "bore": ("[tube]\nbore = 9.5", ("tube.bore = 9.5 mm:", "0.5 mm of wall", "smaller bore")),
    "tight bend": ("[tube]\nbend_radius = 14", ("tube.bend_radius = 14 mm:", "15 mm", "larger bend")),
    "bend in panel": ("[tube]\nbend_radius = 15.5", ("tube.bend_radius = 15.5 mm:", "needs 15.8 mm", "larger bend")),
    "wide bend": ("[tube]\nbend_radius = 60", ("tube.bend_radius = 60 mm:", "62 mm", "smaller bend")),
    "inlet": ("[tube]\ninlet_rise = 5", ("tube.inlet_rise = 5 mm:", "needs 6 mm", "higher inlet")),
    "cover": ("[tube]\ncover = 25", ("tube.cover = 25 mm:", "needs 60 mm", "filter.least_wall")),
    "crest": ("[tube]\ncrest_head = 200", ("tube.crest_head = 200 mm:", "below the full level", "less head")),
    "small charge": (
        "[filter]\ncharge = 4\ncavity_width = 600\ncavity_depth = 600\nledge_clearance = 60",
        ("filter.charge = 4 l:", "below the ledge", "larger charge"),
    ),
    "large charge": (
        "[filter]\ncharge = 40\ncavity_width = 160\ncavity_depth = 160\ndraft = 4",
        ("filter.charge = 40 l:", "no reservoir", "smaller charge"),
    ),
    "draft": (
        "[filter]\ncavity_depth = 160\ncharge = 40\nsand_column = 900",
        ("filter.draft = 1 deg:", "less than 100 mm", "less draft"),
    ),
    "nose in flange": (
        "[filter]\nfreeboard = 10\ncharge = 5\ncavity_width = 300\ncavity_depth = 300\n[tube]\ncrest_head = 5",
        ("filter.freeboard = 10 mm:", "base flange", "more freeboard"),
    ),
    "weld land": (
        "[filter]\ncavity_width = 160\ncavity_depth = 160\ncharge = 5\nsand_column = 300\n[shop]\nweld_land = 60",
        ("shop.weld_land = 60 mm:", "less than 80 mm", "narrower land"),
    ),
    "pitch": ("[shop]\nbolt_pitch = 60", ("shop.bolt_pitch = 60 mm:", "cannot be placed", "larger pitch")),
    "pilot": (
        '[shop]\nhole_method = "pilot"\nkerf_compensation = true\npilot_diameter = 3\nkerf = 3',
        ("shop.pilot_diameter = 3 mm:", "shop.kerf", "larger pilot"),
    ),
}


@pytest.mark.parametrize(("text", "pieces"), (FIELDS | CROSSED).values(), ids=(FIELDS | CROSSED).keys())
@pytest.mark.parametrize("command", ["make", "check"])
def test_bad_specifications(
    text: str, pieces: tuple[str, ...], command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("bad.toml").write_text(text, "utf-8")
    line = refuse(capsys, command, "bad.toml", *(["--out", "package"] if command == "make" else []))
    for piece in pieces:
        assert piece in line


CONTENTS: dict[str, tuple[bytes, str]] = {
    "prose": (b"The wall shall be 45 mm thick.\n", "line 1"),
    "json": (b'{"filter": {"floor": 60}}', "line 1"),
    "unclosed": (b'title = "no end', "at its end: a quotation mark or a bracket is not closed"),
    "twice": (b"[filter]\nfloor = 60\nfloor = 61\n", "line 3, column 11: a name that stands there already"),
    "group twice": (b"[filter]\n[filter]\n", "line 2, column 8: a name that stands there already"),
    "deep": (b"x = " + b"[\n" * 5000, "nested too deep"),
    "wide": (b"x = " + b"1" * 5000, "line 1 is longer than 1000 characters"),
    "long key": (b"a." * 20_000 + b"b = 1", "line 1 is longer than 1000 characters"),
    "binary": (bytes(range(256)) * 4, "a file that is no text"),
    "zip": (b"PK\x03\x04\x14\x00\x00\x00\x08\x00\x9c\xd2", "a file that is no text"),
    "latin-1": ("title = 'Gef\u00e4lle'".encode("latin-1"), "a file that is no text"),
    "utf-16": ("title = 'x'".encode("utf-16"), "a file that is no text"),
    "null bytes": (b"title = '\0'", "line 1"),
    "endless": (b"# comment\n" * 20_000, "over 100 kB"),
}


@pytest.mark.parametrize(("content", "piece"), CONTENTS.values(), ids=CONTENTS.keys())
def test_files_that_are_no_specification(content: bytes, piece: str, capsys: pytest.CaptureFixture[str]) -> None:
    Path("bad.toml").write_bytes(content)
    line = refuse(capsys, "make", "bad.toml", "--out", "package")
    assert "bad.toml = " in line
    assert piece in line
    assert "TOML" in line
    assert "mouldgeom new FILE" in line


@pytest.mark.parametrize(
    ("source", "pieces"),
    [
        ("missing.toml", ("SPEC = 'missing.toml':", "No such file", "hill-example, inch-example, short-example")),
        ("hil-example", ("SPEC = 'hil-example':", "Did you mean hill-example?")),
        ("folder", ("SPEC = 'folder':", "Is a directory")),
        (".", ("SPEC = '.':", "Is a directory")),
        ("", ("SPEC = '':", "it is empty")),
        ("  ", ("SPEC = '  ':", "it is empty")),
        ("esc\x1b[2J.toml", ("SPEC = 'esc\\x1b[2J.toml':", "control character U+001B")),
        ("broken\udce9.toml", ("SPEC = 'broken\\udce9.toml':", "U+DCE9")),
        ("file.txt/spec.toml", ("SPEC = ", "Not a directory")),
        ("nul\0name", ("SPEC = 'nul\\x00name':", "control character U+0000")),
        ("x" * 300, ("SPEC = 'xxx", "too long")),
        ("two\nlines.toml", ("SPEC = 'two\\nlines.toml':", "control character U+000A")),
        ("loop.toml", ("SPEC = 'loop.toml':", "symbolic links")),
        ("/dev/zero", ("/dev/zero = a file over 100 kB", "TOML")),
    ],
)
@pytest.mark.parametrize("command", ["make", "check"])
def test_specifications_that_cannot_be_read(
    source: str, pieces: tuple[str, ...], command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("folder").mkdir()
    Path("file.txt").write_text("x", "utf-8")
    Path("loop.toml").symlink_to("loop.toml")
    line = refuse(capsys, command, source, *(["--out", "package"] if command == "make" else []))
    for piece in pieces:
        assert piece in line


def foreign(name: str) -> Callable[[], None]:
    def prepare() -> None:
        Path("folder").mkdir()
        (Path("folder") / name).write_text('{"program": "something else", "files": []}', "utf-8")

    return prepare


def package_with_notes() -> None:
    assert main(["make", "--out", "folder", "--only", "spec"]) == 0
    (Path("folder") / "notes.txt").write_text("welder's telephone number", "utf-8")


def a_file() -> None:
    Path("folder").write_text("x", "utf-8")


def nothing() -> None:
    pass


@pytest.mark.parametrize(
    ("prepare", "target", "pieces"),
    [
        (a_file, "folder", ("--out = 'folder':", "a file of that name", "another folder")),
        (a_file, "folder/package", ("--out = 'folder/package':", "no folder")),
        (a_file, "folder/a/b/package", ("--out = 'folder/a/b/package':", "no folder")),
        (foreign("thesis.txt"), "folder", ("--out = 'folder':", "would be lost: thesis.txt", "an empty folder")),
        (foreign("manifest.json"), "folder", ("--out = 'folder':", "would be lost: manifest.json")),
        (package_with_notes, "folder", ("--out = 'folder':", "would be lost: notes.txt")),
        (nothing, ".", ("--out = '.':", "the folder that the program runs in", "inside it")),
        (nothing, "", ("--out = '':", "it is empty")),
        (nothing, "..", ("--out = '..':", "cannot be replaced")),
        (nothing, "/", ("--out = '/':", "cannot be replaced")),
        (nothing, "/proc/x", ("--out = '/proc/x':", "cannot be written")),
        (nothing, "/dev/null", ("--out = '/dev/null':", "a file of that name")),
        (nothing, "/dev/null/x", ("--out = '/dev/null/x':", "no folder")),
        (nothing, "x" * 300, ("--out = 'xxx", "too long")),
        (nothing, "x" * 200, ("--out = 'xxx", "too long")),
        (nothing, "/".join(["deep" * 50] * 30), ("--out = 'deep", "too long")),
        (nothing, "nul\0name", ("--out = 'nul\\x00name':", "control character U+0000")),
        (nothing, "two\nlines\0", ("--out = 'two\\nlines\\x00':", "control character U+000A")),
    ],
)
def test_folders_that_cannot_be_written(
    prepare: Callable[[], None], target: str, pieces: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    prepare()
    line = refuse(capsys, "make", "--out", target, "--only", "spec")
    for piece in pieces:
        assert piece in line


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_without_the_right_to_write(capsys: pytest.CaptureFixture[str]) -> None:
    Path("locked").mkdir(mode=0o500)
    assert "Permission denied" in refuse(capsys, "make", "--out", "locked/package", "--only", "spec")


@pytest.mark.parametrize(
    ("target", "pieces"),
    [
        ("there.toml", ("FILE = 'there.toml':", "there already", "--force")),
        ("folder", ("FILE = 'folder':",)),
        ("missing/x.toml", ("FILE = 'missing/x.toml':", "No such file")),
        ("there.toml/x.toml", ("FILE = ", "Not a directory")),
        ("/proc/x", ("FILE = '/proc/x':", "cannot be written")),
        ("x" * 300, ("FILE = 'xxx", "too long")),
        ("nul\0name", ("FILE = ", "control character U+0000")),
        ("esc\x1b[2J", ("FILE = 'esc\\x1b[2J':", "control character U+001B")),
        ("", ("FILE = '':", "it is empty")),
        ("/dev/full", ("FILE = '/dev/full':", "")),
    ],
)
@pytest.mark.parametrize("force", [[], ["--force"]], ids=["", "force"])
def test_files_that_new_cannot_write(
    target: str, pieces: tuple[str, ...], force: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    Path("there.toml").write_text("# mine", "utf-8")
    Path("folder").mkdir()
    if force and target == "there.toml":
        return
    line = refuse(capsys, "new", target, *force)
    for piece in pieces:
        assert piece in line


@pytest.mark.parametrize(
    ("arguments", "pieces"),
    [
        ([], ("COMMAND", "--help")),
        (["mak"], ("COMMAND", "'mak'", "make", "--help")),
        (["make"], ("--out", "--help")),
        (["make", "--out"], ("--out", "expected one argument")),
        (["make", "--out", "x", "--colour", "red"], ("--colour", "unrecognized")),
        (["make", "--out", "x", "--only", "drawing"], ("--only = 'drawing':", "no such kind", "flat")),
        (["make", "--out", "x", "--only", "flat", "--only", ""], ("--only = '':", "it is empty")),
        (["make", "--out", "x", "--only"], ("--only", "expected one argument")),
        (["make", "a.toml", "b.toml", "--out", "x"], ("unrecognized arguments: b.toml",)),
        (["check", "--jsonn"], ("--jsonn", "unrecognized")),
        (["make", "--out", "x", "--moulds", "many"], ("--moulds", "'many' is no whole number")),
        (["make", "--out", "x", "--moulds", "9" * 5000], ("--moulds", "is no whole number")),
        (["make", "--out", "x", "--stock", ""], ("--stock = '':", "it is empty")),
        (["make", "--out", "x", "--only", "parts", "--grain"], ("--grain = given:", "--only nests")),
        (["make", "--out", "x", "--only", "flat", "--straight-cuts"], ("--straight-cuts = given:", "--only nests")),
        (["size", "--out", ""], ("--out = '':", "it is empty")),
        (["size", "--pictures", " "], ("--pictures = ' ':", "it is empty")),
        (["size", "--pictures", "x" * 300], ("--pictures = 'xxx", "too long")),
        (["size", "--title", "a\x1b[2Jb"], ("--title = 'a\\x1b[2Jb':", "control character U+001B")),
        (["size", "--title", "\u6c34"], ("title = '\u6c34':", "Source Sans Pro")),
        (["size", "--conductivity-temperature", "10"], ("conductivity_temperature = 10 C:", "without conductivity")),
        (["size", "--litres-per-person", "10"], ("litres_per_person = 10 l:", "without people")),
        (["size", "--sieve", "s.csv", "--uniformity", "2"], ("uniformity = 2:", "not both")),
        (["size", "--charge", "15 kg"], ("--charge = '15 kg':", "from 4 to 40 l")),
        (["readlist", "l.csv", "--stock-length", "0"], ("--stock-length = '0':", "1 mm to 1000 m")),
        (["readlist", "l.csv", "--stock-length", "-1 m"], ("--stock-length = '-1 m':", "1 mm to 1000 m")),
        (["readlist", "l.csv", "--kerf", "2"], ("--kerf = 2:", "no bar is given", "--stock-length")),
        (["readlist", "l.csv", "--bars", "3"], ("--bars = 3:", "no bar is given", "--stock-length")),
        (["readlist", "l.csv", "--material", "rod"], ("--material = rod:", "no bar is given", "--stock-length")),
        (["readlist", "l.csv", "--mm", ""], ("--mm = '':", "it is empty")),
        (["asbuilt", "m.csv", "--picture", ""], ("--picture = '':", "it is empty")),
        (["check", "a", "two\nlines"], ("unrecognized arguments: two\\nlines",)),
        (["new", "x.toml", "--like", "hil-example"], ("--like = 'hil-example':", "hill-example")),
        (["new", "x.toml", "--like", "../hill-example"], ("--like = '../hill-example':", "no such example")),
    ],
)
def test_bad_command_lines(arguments: list[str], pieces: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    line = refuse(capsys, *arguments)
    for piece in pieces:
        assert piece in line


def test_an_earlier_package_stays_as_it_was(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["make", "--out", "package", "--only", "spec", "--only", "flat"]) == 0
    Path("bad.toml").write_text("[filter]\nfloor = 1", "utf-8")
    refuse(capsys, "make", "bad.toml", "--out", "package")


@pytest.mark.parametrize("content", ["", "\n\n", "# started, and never finished\n", "\ufeff"])
@pytest.mark.parametrize(
    "arguments",
    [
        ("check", "empty"),
        ("size", "empty"),
        ("make", "--out", "package", "--prices", "empty"),
        ("make", "--out", "package", "--stock", "empty"),
        ("size", "--sieve", "empty"),
        ("readlist", "empty"),
        ("asbuilt", "empty"),
    ],
)
def test_an_empty_file_is_refused(arguments: tuple[str, ...], content: str, capsys: pytest.CaptureFixture[str]) -> None:
    Path("empty").write_text(content, "utf-8")
    if content.startswith("#") and arguments[0] != "check":
        return
    line = refuse(capsys, *arguments)
    assert "empty" in line.partition(" = ")[2]


def test_there_are_enough_of_them() -> None:
    assert len(FIELDS) + len(CROSSED) + len(CONTENTS) >= 45
