"""The package: the same bytes each time, whole at every moment, and its exit status and output as promised."""

from __future__ import annotations

import hashlib
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import IO, TYPE_CHECKING

import pytest
from conftest import Made, Run, environment

from mouldgeom import Spec, load, parse
from mouldgeom.cli import main
from mouldgeom.errors import FolderError
from mouldgeom.model.assembly import build
from mouldgeom.outputs import package
from mouldgeom.outputs.kinds import KINDS, PARTS, SPEC
from mouldgeom.outputs.package import Job, make_files, write_package

pytestmark = pytest.mark.slow(seconds=140)

if TYPE_CHECKING:
    from mouldgeom.solids import SolidMould

CHEAP = ("--only", "spec", "--only", "parts", "--only", "flat")


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def manifest(folder: Path) -> dict[str, object]:
    document: dict[str, object] = json.loads((folder / "manifest.json").read_bytes())
    return document


def listed(folder: Path) -> list[dict[str, str]]:
    files = manifest(folder)["files"]
    assert isinstance(files, list)
    return files


# ---------------------------------------------------------------- what stands in it


def test_made_in_silence_and_with_all_checks_held(hill_packages: list[Made]) -> None:
    for _, done in hill_packages:
        assert done.returncode == 0, done.stderr
        assert done.stderr == ""
        assert "\x1b" not in done.stdout
        assert "\r" not in done.stdout
        assert "checks hold" in done.stdout


def test_its_own_specification_makes_the_same_bytes_under_other_circumstances(hill_packages: list[Made]) -> None:
    """The second was made from the specification that the first has written."""
    (by_name, _), (from_file, _) = hill_packages
    one, other = contents(by_name), contents(from_file)
    assert (from_file.parent.parent / "mine.toml").read_bytes() == one["spec.toml"]
    assert list(one) == list(other)
    assert [path for path in one if one[path] != other[path]] == []


def test_every_kind_is_there_and_one_file_a_plate(hill_package: Path, hill_spec: Spec) -> None:
    mould = build(hill_spec)
    kinds = {entry["kind"] for entry in listed(hill_package)}
    assert {"spec", "parts", "flat", "checks", "solid"} <= kinds <= {kind.name for kind in KINDS}
    flat = {entry["mark"] for entry in listed(hill_package) if entry["kind"] == "flat"}
    assert flat == {plate.mark for plate in mould.plates}
    parts = json.loads((hill_package / "parts.json").read_bytes())["parts"]
    assert [part["mark"] for part in parts] == [part.mark for part in mould.parts]
    assert len({part["mark"] for part in parts}) == len(parts)


def test_the_manifest_lists_every_file_with_its_hash(hill_package: Path, hill_spec: Spec) -> None:
    files = contents(hill_package)
    entries = listed(hill_package)
    assert [entry["path"] for entry in entries] == sorted(set(files) - {"manifest.json"})
    for entry in entries:
        assert entry["sha256"] == hashlib.sha256(files[entry["path"]]).hexdigest()
    document = manifest(hill_package)
    schema, fields = files["spec.toml"].split(b"\n", 1)
    assert schema == b"schema = 2"
    assert document["spec_sha256"] == hashlib.sha256(fields).hexdigest() == hill_spec.digest
    assert document["passed"] is True
    assert document["version"]


def test_every_json_document_begins_with_its_schema(hill_package: Path) -> None:
    documents = {path: json.loads(c) for path, c in contents(hill_package).items() if path.endswith(".json")}
    assert len(documents) > 4
    assert {path: next(iter(document.items())) for path, document in documents.items()} == dict.fromkeys(
        documents, ("schema", 1)
    )


def test_no_file_names_a_place_or_a_time(hill_package: Path) -> None:
    for path, content in contents(hill_package).items():
        for word in (
            str(hill_package.parent.parent),
            str(Path.home()) + "/",
            time.strftime("%Y-%m-%d"),
            time.strftime("%H:%M"),
        ):
            assert word.encode() not in content, f"{path} holds {word}"


def test_checks_agree_with_the_manifest(hill_package: Path) -> None:
    document = json.loads((hill_package / "checks.json").read_bytes())
    assert document["passed"] is all(result["passed"] for result in document["results"])
    keys = {"code", "title", "passed", "provided", "required", "operator", "unit", "where", "source"}
    for result in document["results"]:
        assert set(result) >= keys
        assert result["source"]
        assert result["where"]


# ---------------------------------------------------------------- exit status and output


def test_a_failing_check_is_reported_and_the_package_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from mouldgeom import checks

    kept: list[tuple[checks.Verdict, ...]] = []
    measure = checks.run_checks

    def once(solids: SolidMould, case: checks.Case | None = None, own: object = ()) -> tuple[checks.Verdict, ...]:
        if not kept:
            kept.append(measure(solids, case))
        return kept[0]

    monkeypatch.setattr(checks, "run_checks", once)
    spec, out = tmp_path / "stones.toml", tmp_path / "package"
    spec.write_text("[concrete]\nlargest_stone = 20\n", "utf-8")
    assert main(["make", str(spec), "--out", str(out), "--only", "spec", "--only", "checks"]) == 1
    printed = capsys.readouterr()
    assert printed.err == ""
    assert "FAIL" in printed.out
    assert "largest stone" in printed.out
    assert manifest(out)["passed"] is False
    failed = {r["code"]: r for r in json.loads((out / "checks.json").read_bytes())["results"] if not r["passed"]}
    assert {"4.4", "4.5"} <= set(failed)
    assert all(failed[code]["provided"] == 20 > failed[code]["required"] for code in ("4.4", "4.5"))
    for arguments in (
        ["check", str(spec), "--json"],
        ["make", str(spec), "--out", str(out), "--only", "checks", "--json"],
    ):
        assert main(arguments) == 1
        printed = capsys.readouterr()
        assert printed.err == ""
        assert json.loads(printed.out)["passed"] is False
    assert main(["check", str(spec)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[2].startswith("FAIL")  # worst first
    assert "checks fail: 4.4" in lines[-1]


@pytest.mark.parametrize("kinds", [["parts"], ["flat"], ["spec", "parts", "flat"]])
def test_json_is_one_document(kinds: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    only = [word for kind in kinds for word in ("--only", kind)]
    assert main(["make", "--out", str(tmp_path / "p"), *only, "--json"]) == 0
    printed = capsys.readouterr()
    document = json.loads(printed.out)
    assert printed.err == ""
    assert printed.out.isascii()
    assert document["files"] == sorted(contents(tmp_path / "p"))
    assert document["checked"] is False
    assert document["passed"] is None
    assert document["over_its_life"] == Job(build(load("hill-example"))).objective.record()
    suffixes = ("_mm", "_kg", "_kpa", "_l", "_deg")
    for key, value in document.items():
        if isinstance(value, float):
            assert key.endswith(suffixes), f"{key} does not say its unit"


@pytest.mark.parametrize("kinds", [["spec"], ["parts"], ["flat"], ["spec", "parts", "flat"]])
def test_cheap_kinds_do_not_load_the_kernel(kinds: list[str], tmp_path: Path, run: Run) -> None:
    only = [word for kind in kinds for word in ("--only", kind)]
    code = (
        "import sys; from mouldgeom.cli import main; status = main(sys.argv[1:]);"
        "print(sorted({m.split('.')[0] for m in sys.modules} & {'cadquery', 'OCP', 'vtkmodules'})); sys.exit(status)"
    )
    done = run("-c", code, "make", "--out", tmp_path / "p", *only)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] == "[]"
    assert {entry["kind"] for entry in listed(tmp_path / "p")} == set(kinds)


def test_a_title_in_another_script_is_printed_on_a_narrow_terminal(tmp_path: Path, run: Run) -> None:
    spec = tmp_path / "h\u00fcgel.toml"
    spec.write_text('title = "H\u00fcgelwerkstatt \u042f"\n', "utf-8")
    done = run(
        *("-m", "mouldgeom", "make", spec, "--out", tmp_path / "p\u00e4ckchen", "--only", "spec"),
        env={"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
    )
    assert done.returncode == 0, done.stderr
    assert "H\\xfcgelwerkstatt \\u042f" in done.stdout
    assert "\u042f" in (tmp_path / "p\u00e4ckchen" / "spec.toml").read_text("utf-8")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is full")
@pytest.mark.parametrize(("device", "status"), [("/dev/full", 2), ("closed", 0), ("gone", 0)])
def test_output_that_cannot_be_written(device: str, status: int, tmp_path: Path) -> None:
    command = [sys.executable, "-m", "mouldgeom", "make", "--out", str(tmp_path / "p"), "--only", "spec"]
    shell = {
        "/dev/full": '"$@" > /dev/full',
        "closed": '"$@" >&-',
        "gone": 'set -o pipefail; "$@" | true',
    }[device]
    done = subprocess.run(
        ["bash", "-c", shell, "bash", *command], env=environment(), capture_output=True, text=True, check=False
    )
    assert done.returncode == status
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr
    assert len(done.stderr.splitlines()) == (1 if status else 0)


# ---------------------------------------------------------------- whole at every moment


def put(folder: Path, text: str) -> None:
    """Make a cheap package of a specification."""
    job = Job(build(parse(text)), kinds=(SPEC, PARTS))
    write_package(job, make_files(job), folder)


def is_whole(folder: Path) -> bool:
    return set(contents(folder)) == {"manifest.json", *(e["path"] for e in listed(folder))} and all(
        hashlib.sha256((folder / e["path"]).read_bytes()).hexdigest() == e["sha256"] for e in listed(folder)
    )


def leftovers(folder: Path) -> list[str]:
    return [p.name for p in folder.parent.iterdir() if p != folder]


KILLED = """
import os, signal, sys
from pathlib import Path
from mouldgeom.cli import main
from mouldgeom.front import packing
from mouldgeom.outputs import package
if sys.argv[1] != "True":
    package._exchange = lambda one, other: False
said, sys.stdout = sys.stdout, open(os.devnull, "w")
count = moment = 0
def counted(do):
    def step(*arguments, **more):
        global count
        count += 1
        if count == moment:
            os.kill(os.getpid(), signal.SIGKILL)
        return do(*arguments, **more)
    return step
for owner, name in ((Path, "write_bytes"), (Path, "rename"), (Path, "mkdir"), (package.shutil, "rmtree")):
    setattr(owner, name, counted(getattr(owner, name)))
package._exchange = counted(package._exchange)
def make():
    return main(["make", sys.argv[2], "--out", sys.argv[3], "--only", "spec", "--only", "parts"])
assert make() == 0
print(count, file=said, flush=True)
for line in sys.stdin:
    count, moment = 0, int(line)
    if (child := os.fork()) == 0:
        os._exit(make())
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), file=said, flush=True)
"""


@pytest.mark.parametrize("swap", [True, False], ids=["exchange", "two renames"])
def test_a_kill_at_any_step_leaves_a_whole_package(swap: bool, tmp_path: Path) -> None:
    """Every step that changes the disk is a moment to be killed at; a selection of files, and every step at the end."""
    spec = tmp_path / "new.toml"
    spec.write_text('title = "new"\n', "utf-8")
    folder = tmp_path / "place" / "package"
    put(folder, 'title = "old"')
    seen = set()
    command = [sys.executable, "-c", KILLED, str(swap), str(spec), str(folder)]
    with subprocess.Popen(
        command, env=environment(), stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        last = int(process.stdout.readline())
        for moment in sorted({1, 3, *range(max(4, last - 6), last + 1)}):
            put(folder, 'title = "old"')
            print(moment, file=process.stdin)
            assert int(process.stdout.readline()) == -signal.SIGKILL
            place = folder if folder.exists() else folder.parent / ".package.previous"
            assert swap is False or place == folder
            assert is_whole(place)
            seen.add(load(place / "spec.toml").title)
            put(folder, 'title = "next"')  # the next run tidies up
            assert is_whole(folder)
            assert load(folder / "spec.toml").title == "next"
            assert leftovers(folder) == []
        process.stdin.close()
    assert process.returncode == 0
    assert seen == {"old", "new"}


def test_an_earlier_package_that_was_set_aside_comes_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Killed between two renames, then called with something unusable: the old package stands in its place again."""
    folder = tmp_path / "package"
    put(folder, 'title = "old"')
    folder.rename(tmp_path / ".package.previous")
    package.prepare(folder)
    assert is_whole(folder)
    assert leftovers(folder) == []


def test_half_of_a_package_that_was_set_aside_does_not_come_back(tmp_path: Path) -> None:
    folder = tmp_path / "package"
    put(folder, 'title = "old"')
    (folder / "parts.json").unlink()
    folder.rename(tmp_path / ".package.previous")
    package.prepare(folder)
    assert not folder.exists()


def test_leftovers_of_others_are_swept_only_when_they_are_dead(tmp_path: Path) -> None:
    folder = tmp_path / "package"
    dead = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True)
    mine, alive = f".package.{os.getpid()}.partial", f".package.{os.getppid()}.partial"
    foreign = [".package.x.partial", ".other.1.partial", ".package.99999999999.partial"]
    for name in (mine, alive, f".package.{dead.stdout.decode().strip()}.partial", *foreign):
        (tmp_path / name).mkdir()
    put(folder, "")
    assert sorted(leftovers(folder)) == sorted([alive, *foreign])


# ---------------------------------------------------------------- what a person has edited


def fill_in(folder: Path) -> bytes:
    """Do what an inspector does in a spreadsheet: fill in the measurements and save."""
    file = folder / "measured.csv"
    text = file.read_text("utf-8").replace("364,", "364,", 1)
    rows = [line.split(",") for line in text.splitlines()]
    rows[1][rows[0].index("measured")] = "363.5"
    file.write_text("\r\n".join(",".join(row) for row in rows) + "\r\n", "utf-8")
    return file.read_bytes()


INSPECTED = ("--only", "spec", "--only", "inspection")


def test_filled_in_measurements_and_edits_are_refused_by_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "package"
    assert main(["make", "--out", str(folder), *INSPECTED]) == 0
    filled = fill_in(folder)
    (folder / "spec.toml").write_text('title = "mine"\n', "utf-8")
    before = contents(folder)
    capsys.readouterr()
    for command in (
        ["make", "--out", str(folder), *INSPECTED],
        ["make", "short-example", "--out", str(folder), *CHEAP],
    ):
        assert main(command) == 2
        printed = capsys.readouterr()
        assert printed.out == ""
        assert "measured.csv, spec.toml" in printed.err
        assert "--keep-edited" in printed.err
        assert contents(folder) == before
        assert leftovers(folder) == []
    assert main(["make", "--out", str(folder), *INSPECTED, "--keep-edited"]) == 0
    assert "kept beside them: measured-edited.csv\nkept beside them: spec-edited.toml" in capsys.readouterr().out
    assert (folder / "measured-edited.csv").read_bytes() == filled
    assert (folder / "spec-edited.toml").read_bytes() == b'title = "mine"\n'
    assert load(folder / "spec.toml").title != "mine"
    assert manifest(folder)["kept"] == ["measured-edited.csv", "spec-edited.toml"]


def test_what_was_kept_is_carried_along_by_every_later_run(tmp_path: Path) -> None:
    folder = tmp_path / "package"
    make = ["make", "--out", str(folder), *INSPECTED]
    assert main(make) == 0
    first = fill_in(folder)
    assert main([*make, "--keep-edited"]) == 0
    (folder / "measured-edited.csv").write_bytes(
        first + b"more,1\n"
    )  # filled in further: not lost, and no reason to refuse
    assert main(make) == 0
    assert (folder / "measured-edited.csv").read_bytes() == first + b"more,1\n"
    second = fill_in(folder) + b"\n"
    (folder / "measured.csv").write_bytes(second)
    assert main([*make, "--keep-edited", "--json"]) == 0
    assert sorted(contents(folder)) == [
        "manifest.json", "measured-edited-2.csv", "measured-edited.csv", "measured.csv", "spec.toml",
    ]  # fmt: skip
    assert (folder / "measured-edited-2.csv").read_bytes() == second
    (folder / "measured-edited-2.csv").unlink()  # thrown away by hand: it does not come back, and is not missed
    assert main(make) == 0
    assert manifest(folder)["kept"] == ["measured-edited.csv"]


def test_an_edit_while_the_package_is_made_is_not_lost(tmp_path: Path) -> None:
    folder = tmp_path / "package"
    put(folder, 'title = "old"')
    job = Job(build(parse('title = "new"')), kinds=(SPEC, PARTS))
    files = make_files(job)
    package.prepare(folder)
    (folder / "spec.toml").write_text('title = "edited"\n', "utf-8")
    with pytest.raises(FolderError, match=r"edited since .*: spec\.toml"):
        write_package(job, files, folder)
    assert load(folder / "spec.toml").title == "edited"


@pytest.mark.parametrize("version", ["older", "broken", "lost", "half", "climbing"])
def test_a_package_whose_manifest_says_less_loses_nothing(
    version: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a sum of its own a file may be edited; without a manifest it is none of a package."""
    folder, list_ = tmp_path / "package", tmp_path / "package" / "manifest.json"
    put(folder, 'title = "old"')
    document = manifest(folder)
    del document["kept"]
    entries = document["files"]
    assert isinstance(entries, list)
    if version == "older":
        for entry in entries:
            del entry["sha256"]
    if version == "climbing":
        (tmp_path / "other.txt").write_text("someone's", "utf-8")
        entries.append({"path": "../other.txt", "sha256": "0"})
    list_.write_text(json.dumps(document), "utf-8")
    if version == "broken":
        list_.write_bytes(list_.read_bytes()[:-40])
    if version == "lost":
        list_.unlink()
    if version == "half":
        (folder / "parts.json").unlink()
    before = contents(tmp_path)
    status = main(
        ["make", "--out", str(folder), "--only", "spec", "--keep-edited" if version == "climbing" else "--json"]
    )
    printed = capsys.readouterr()
    if version == "half":  # all that is there is as it was written
        assert status == 0
        assert load(folder / "spec.toml").title != "old"
        return
    assert status == 2
    assert {"older": "parts.json, spec.toml"}.get(version, "something other than a package") in printed.err
    assert contents(tmp_path) == before


@pytest.mark.parametrize("lock", ["~$cut-list.xlsx", ".~lock.measured.csv#"])
def test_a_file_that_is_open_in_a_spreadsheet_is_named(
    lock: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "package"
    put(folder, 'title = "old"')
    (folder / lock).write_bytes(b"x")
    assert main(["make", "--out", str(folder), "--only", "spec"]) == 2
    assert f"open in another program, by {lock}. Close it there" in capsys.readouterr().err


# ---------------------------------------------------------------- told to end


SLOW = """
import sys, time
from pathlib import Path
from mouldgeom.cli import main
write = Path.write_bytes
def slow(path, content):
    print("writing", flush=True)
    time.sleep(0.2)
    return write(path, content)
Path.write_bytes = slow
sys.exit(main(["make", sys.argv[1], "--out", sys.argv[2], "--only", "flat"]))
"""


def started(command: list[str]) -> tuple[subprocess.Popen[str], IO[str]]:
    """A process, and what it prints."""
    process = subprocess.Popen(command, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout is not None
    return process, process.stdout


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
@pytest.mark.parametrize("earlier", [True, False])
def test_told_to_end_it_clears_up(number: signal.Signals, earlier: bool, tmp_path: Path) -> None:
    folder = tmp_path / "package"
    if earlier:
        put(folder, 'title = "old"')
    process, said = started([sys.executable, "-c", SLOW, "hill-example", str(folder)])
    for _ in range(3):
        assert said.readline() == "writing\n"
    process.send_signal(number)
    _, err = process.communicate(timeout=60)
    assert process.returncode not in (0, 1, 2)
    assert "Traceback" not in err
    assert len(err.splitlines()) == 1
    assert leftovers(folder) == []
    assert folder.exists() is earlier
    if earlier:
        assert is_whole(folder)
        assert load(folder / "spec.toml").title == "old"


WAITS = """
import sys, time
from mouldgeom.cli import main
from mouldgeom.front import packing
from mouldgeom.outputs import package
moment = sys.argv[1]
def wait():
    print("now", flush=True)
    end = time.monotonic() + 5
    while time.monotonic() < end:
        time.sleep(0.05)
def before(*_):
    wait()
    return make(*_)
def after(one, other):
    done = exchange(one, other)
    wait()
    return done
def renamed(path, target):
    done = rename(path, target)
    if ".partial" in path.name:
        wait()
    return done
def removed(path, **more):
    if ".partial" in path.name and path.exists():
        wait()
    return rmtree(path, **more)
make, exchange, rename, rmtree = packing.make_files, package._exchange, package.Path.rename, package.shutil.rmtree
if moment == "working":
    packing.make_files = before
if moment == "swapped":
    package._exchange = after
if moment == "renamed":
    package._exchange = lambda one, other: False
    package.Path.rename = renamed
if moment == "clearing up":
    package.shutil.rmtree = removed
sys.exit(main(["make", sys.argv[2], "--out", sys.argv[3], "--only", "spec", "--only", "parts"]))
"""


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGHUP])
@pytest.mark.parametrize("moment", ["working", "swapped", "renamed", "clearing up"])
def test_told_to_end_it_says_what_stands_there(moment: str, number: signal.Signals, tmp_path: Path) -> None:
    """Before the swap the old package stands, after it the new one: it says which, and nothing else stays."""
    folder, spec = tmp_path / "place" / "package", tmp_path / "new.toml"
    spec.write_text('title = "new"\n', "utf-8")
    put(folder, 'title = "old"')
    process, said = started([sys.executable, "-c", WAITS, moment, str(spec), str(folder)])
    assert said.readline() == "now\n"
    process.send_signal(number)
    out, err = process.communicate(timeout=60)
    new = moment != "working"
    assert process.returncode == 128 + number
    assert out == ""
    assert err == (
        "mouldgeom: stopped; the new package is whole and in its place, package\n"
        if new
        else "mouldgeom: stopped; a package that was there is still whole, and no file is there in part\n"
    )
    assert is_whole(folder)
    assert load(folder / "spec.toml").title == ("new" if new else "old")
    assert leftovers(folder) == []


def test_a_signal_that_is_to_be_ignored_is_ignored(tmp_path: Path) -> None:
    """As ``nohup`` asks for."""
    folder, spec = tmp_path / "package", tmp_path / "new.toml"
    spec.write_text('title = "new"\n', "utf-8")
    code = (
        "import os, signal, sys; signal.signal(signal.SIGHUP, signal.SIG_IGN); os.execv(sys.executable, sys.argv[1:])"
    )
    command = [sys.executable, "-c", WAITS, "working", str(spec), str(folder)]
    process, said = started([sys.executable, "-c", code, *command])
    assert said.readline() == "now\n"
    process.send_signal(signal.SIGHUP)
    _, err = process.communicate(timeout=60)
    assert (process.returncode, err) == (0, "")
    assert is_whole(folder)


@pytest.mark.parametrize("kind", ["flat", "solid"])
def test_no_library_prints_that_the_home_folder_cannot_be_written(kind: str, tmp_path: Path, run: Run) -> None:
    done = run(
        *("-m", "mouldgeom", "make", "--out", "p", "--only", kind),
        env={"HOME": "/proc/nothing", "XDG_CACHE_HOME": "", "XDG_CONFIG_HOME": ""},
        cwd=tmp_path,
    )
    assert done.returncode == 0
    assert done.stderr == ""


@pytest.mark.parametrize("moment", [0, 5, 18])
def test_a_full_disk_leaves_the_earlier_package(
    moment: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "package"
    put(folder, 'title = "old"')
    before = contents(folder)
    write, count = Path.write_bytes, iter(range(1000))

    def full(path: Path, content: bytes) -> int:
        if next(count) == moment:
            raise OSError(28, "No space left on device")
        return write(path, content)

    monkeypatch.setattr(Path, "write_bytes", full)
    assert main(["make", "--out", str(folder), *CHEAP]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "No space left on device" in printed.err
    assert len(printed.err.splitlines()) == 1
    assert contents(folder) == before
    assert leftovers(folder) == []


def test_a_package_replaces_a_package_and_nothing_of_it_stays(tmp_path: Path) -> None:
    folder = tmp_path / "package"
    put(folder, 'title = "old"')
    assert main(["make", "--out", str(folder), "--only", "parts"]) == 0
    assert sorted(contents(folder)) == ["manifest.json", "parts.json"]
    assert leftovers(folder) == []


def test_a_link_to_a_package_is_followed(tmp_path: Path) -> None:
    real, link = tmp_path / "real", tmp_path / "links" / "link"
    put(real, 'title = "old"')
    link.parent.mkdir()
    link.symlink_to(real)
    put(link, 'title = "new"')
    assert link.is_symlink()
    assert load(real / "spec.toml").title == "new"
    assert leftovers(link) == []


@pytest.mark.parametrize("target", ["new", "new/er/est", "there", "./there/", "there/../other"])
def test_folders_that_can_be_written(target: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("there").mkdir()
    assert main(["make", "--out", target, "--only", "spec"]) == 0
    assert is_whole(Path(target))


@pytest.mark.parametrize("schema", [None, 1])
def test_a_package_of_this_schema_and_of_none_is_replaced(schema: int | None, tmp_path: Path) -> None:
    folder = tmp_path / "package"
    put(folder, 'title = "old"')
    document = {key: value for key, value in manifest(folder).items() if key != "schema"}
    (folder / "manifest.json").write_text(json.dumps(document | ({"schema": schema} if schema else {})), "utf-8")
    assert main(["make", "--out", str(folder), "--only", "spec"]) == 0
    assert load(folder / "spec.toml").title != "old"
    assert manifest(folder)["schema"] == 1


def test_a_package_of_a_newer_schema_is_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "package"
    put(folder, 'title = "old"')
    (folder / "manifest.json").write_text(json.dumps(manifest(folder) | {"schema": 2}), "utf-8")
    before = contents(tmp_path)
    assert main(["make", "--out", str(folder), "--only", "spec", "--keep-edited"]) == 2
    printed = capsys.readouterr().err
    assert printed.startswith(f"mouldgeom: --out = {str(folder)!r}: it holds a package of schema 2, and the newest")
    assert "Choose another folder" in printed
    assert contents(tmp_path) == before
