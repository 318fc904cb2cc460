"""The specification: every field says what it is, and what is written is what is read."""

from __future__ import annotations

import dataclasses
import json
import math
import tomllib
import unicodedata
from pathlib import Path

import pytest
from conftest import ROOT, Run
from fontTools.ttLib import TTFont
from hypothesis import assume, given
from hypothesis import strategies as st
from pydantic.fields import FieldInfo

from mouldgeom import EXAMPLES, SpecError, load, parse
from mouldgeom.cli import main
from mouldgeom.errors import FolderError, RenamedWarning
from mouldgeom.letters import font_files
from mouldgeom.model.assembly import build
from mouldgeom.spec import SCHEMA, Spec, groups, limits_of, spec_toml, unit_of
from mouldgeom.spec.fields import RENAMED
from mouldgeom.strength_classes import UNMARKED

FIELDS = [(group, name, info) for group, model in groups() for name, info in model.model_fields.items()]
NUMBERS = [(group, name, info) for group, name, info in FIELDS if limits_of(info)]
LENGTHS = [(group, name) for group, name, info in NUMBERS if unit_of(info) == "mm"]
DESIGNATIONS = ["shell", "ledge", "base", "angle", "square_tube", "rod", "bolt", "jack_screw", "grade"]


@pytest.mark.parametrize(("group", "name", "info"), FIELDS)
def test_each_field_has_meaning_unit_range_and_default(group: str, name: str, info: object) -> None:
    assert isinstance(info, FieldInfo)
    assert info.description
    assert len(info.description) >= 10
    assert info.description[0].islower() or info.description.startswith(("Monod", "pH"))
    assert not info.is_required()
    limits = limits_of(info)
    if limits is None:
        assert unit_of(info) == "-"
        assert isinstance(info.default, str | int | tuple)
    else:
        low, high = limits
        assert unit_of(info)
        assert isinstance(info.default, float)
        assert low <= info.default <= high
        assert low < high
        assert all(math.isfinite(limit) for limit in limits)


def test_no_field_name_stands_in_two_groups() -> None:
    names = [name for _, name, _ in FIELDS]
    assert sorted(set(names)) == sorted(names)


@pytest.mark.parametrize("like", EXAMPLES)
def test_new_writes_every_field_with_its_range(like: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "mine.toml"
    assert main(["new", str(path), "--like", like]) == 0
    assert str(path) in capsys.readouterr().out
    text = path.read_text("utf-8")
    assert load(path) == load(like)
    assert set(tomllib.loads(text)) == {"schema", "title", *(group for group, _ in groups())}
    lines = text.splitlines()
    for _, name, info in FIELDS:
        (number,) = [i for i, line in enumerate(lines) if line.startswith(f"{name} = ")]
        assert lines[number - 1].startswith(f"# {info.description}")
        limits = limits_of(info)
        if limits:
            assert f"[{unit_of(info)}, {limits[0]:g} to {limits[1]:g}, default " in lines[number - 1]
        else:
            assert "(default " in lines[number - 1]


def test_the_built_in_defaults_are_a_specification_that_builds() -> None:
    assert parse("") == Spec()
    assert build(parse("")).dims.height > 0


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_load_and_build(name: str) -> None:
    spec = load(name)
    assert "invented" in spec.title
    assert build(spec).plates


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_canonical_text_comes_back_to_the_same_bytes(name: str) -> None:
    spec = load(name)
    text = spec_toml(spec)
    assert parse(text) == spec
    assert spec_toml(parse(text)) == text
    assert spec_toml(parse(spec_toml(spec, comments=True, head=("one", "two")))) == text
    assert parse(text).digest == spec.digest


FAR = "Remove it. All that there are stand in the file that this writes: mouldgeom new FILE."
LETTERS = frozenset(
    character
    for character in map(chr, frozenset.intersection(*(frozenset(TTFont(f).getBestCmap()) for f in font_files())))
    if unicodedata.category(character) not in ("Cc", "Cf")
)


def quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


@given(st.text(st.sampled_from(sorted(LETTERS)), min_size=1, max_size=80))
def test_every_title_comes_back(title: str) -> None:
    spec = Spec(title=title)
    assert parse(spec_toml(spec)).title == title


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=80))
def test_what_the_papers_cannot_show_is_refused_and_named(title: str) -> None:
    if LETTERS.issuperset(title):
        assert parse(f"title = {quoted(title)}").title == title
        return
    with pytest.raises(SpecError, match="title = ") as caught:
        parse(f"title = {quoted(title)}")
    assert any(f"U+{ord(character):04X}" in caught.value.limit for character in title if character not in LETTERS)


@given(st.data())
def test_every_number_in_range_comes_back_to_the_bit(data: st.DataObject) -> None:
    group, name, info = data.draw(st.sampled_from(NUMBERS))
    low, high = limits_of(info) or (0.0, 0.0)
    value = data.draw(st.floats(low, high))
    spec = parse(f"[{group}]\n{name} = {value!r}")
    again = parse(spec_toml(spec))
    assert getattr(getattr(again, group), name) == value
    assert again.digest == spec.digest


@pytest.mark.parametrize(("group", "name"), LENGTHS)
def test_every_length_may_be_written_in_inches(group: str, name: str) -> None:
    info = dict(groups())[group].model_fields[name]
    low, high = limits_of(info) or (0.0, 0.0)
    sixteenths = math.ceil(low / 25.4 * 64)
    assert sixteenths / 64 * 25.4 <= high
    spec = parse(f'[{group}]\n{name} = "{sixteenths}/64 in"')
    assert getattr(getattr(spec, group), name) == pytest.approx(sixteenths / 64 * 25.4, rel=1e-15)


@pytest.mark.parametrize(("text", "value"), [('"2 1/2 in"', 63.5), ('"6 cm"', 60.0), ("60", 60.0), ("60.0", 60.0)])
def test_lengths_in_several_units(text: str, value: float) -> None:
    assert parse(f"[filter]\nfloor = {text}").filter.floor == value


@pytest.mark.parametrize(("group", "name", "info"), NUMBERS)
def test_both_limits_are_allowed_and_nothing_beyond(group: str, name: str, info: object) -> None:
    low, high = limits_of(info) or (0.0, 0.0)  # type: ignore[arg-type]  # fields are drawn by name
    for limit, beyond in ((low, -math.inf), (high, math.inf)):
        assert getattr(getattr(parse(f"[{group}]\n{name} = {limit!r}"), group), name) == limit
        with pytest.raises(SpecError) as caught:
            parse(f"[{group}]\n{name} = {math.nextafter(limit, beyond)!r}")
        assert caught.value.name == f"{group}.{name}"
        assert f"{low:g} " in caught.value.limit
        assert f"{high:g} " in caught.value.limit


@pytest.mark.parametrize(
    ("text", "suggested"),
    [
        ("[filter]\ncavity_widht = 262", "filter.cavity_width"),
        ("[filter]\nCavity-Width = 262", "filter.cavity_width"),
        ("[filter]\nwall = 45", "filter.least_wall"),
        ("[tube]\nradius = 30", "tube.bend_radius"),
        ("[tube]\nsand_column = 480", "filter.sand_column"),
        ("[shop]\nsand_colum = 480", "filter.sand_column"),
        ("sand_column = 480", "filter.sand_column"),
        ("[filtre]\nfloor = 60", "filter"),
        ("[stel]\nbolt = 'M10'", "steel"),
        ("titel = 'x'", "title"),
        ("[shop]\nkerf_comp = true", "shop.kerf_compensation"),
        ("[shop]\nhoist = 500", "handling.hoist_capacity"),
        ("[filter]\ncapacity = 500", "handling.hoist_capacity"),
        ("wall = 45", "filter.least_wall"),
    ],
)
def test_an_unknown_key_names_the_nearest_known_one(text: str, suggested: str) -> None:
    with pytest.raises(SpecError, match="unknown key") as caught:
        parse(text)
    assert caught.value.remedy == f"Did you mean {suggested}?"


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40))
def test_every_unknown_key_names_a_known_one_or_says_where_they_stand(key: str) -> None:
    known = {f"{group}.{name}" for group, name, _ in FIELDS}
    assume(f"tube.{key}" not in known)
    with pytest.raises(SpecError, match="unknown key") as caught:
        parse(f"[tube]\n{quoted(key)} = 1")
    remedy = caught.value.remedy
    assert remedy.removeprefix("Did you mean ").removesuffix("?") in known or remedy == FAR


@pytest.mark.parametrize("text", ["[shop]\nzinc = 1", "[filter]\nx = 1", "colour = 'red'", "[tube]\nquality = 3"])
def test_a_key_that_is_near_nothing_suggests_nothing(text: str) -> None:
    with pytest.raises(SpecError, match="unknown key") as caught:
        parse(text)
    assert caught.value.remedy == FAR


@pytest.mark.parametrize("field", DESIGNATIONS)
def test_steel_is_named_by_its_designation(field: str) -> None:
    with pytest.raises(SpecError) as caught:
        parse(f'[steel]\n{field} = "the good one"')
    assert caught.value.name == f"steel.{field}"
    assert "no such" in caught.value.limit
    assert "known" in caught.value.limit


def test_a_specification_is_frozen() -> None:
    spec = load("hill-example")
    with pytest.raises(SpecError, match=r"title = 'other': .* frozen\. .*changed"):
        spec.title = "other"
    with pytest.raises(SpecError, match=r"filter\.floor = 70: .*changed\({\"filter\.floor\": "):
        spec.filter.floor = 70.0
    with pytest.raises(SpecError, match="frozen"):
        del spec.title
    dims = build(spec).dims
    with pytest.raises(dataclasses.FrozenInstanceError):
        dims.height = 1.0  # type: ignore[misc]  # it is frozen: that is the test


def test_the_digest_follows_every_field_and_nothing_else() -> None:
    base = parse("")
    assert base.digest == parse("# a comment\n[filter]\nfloor = 60").digest == parse('[filter]\nfloor="6 cm"').digest
    seen = {base.digest, parse('title = "other"').digest}
    for group, name, info in NUMBERS:
        low, high = limits_of(info) or (0.0, 0.0)
        seen.add(parse(f"[{group}]\n{name} = {low if info.default != low else high!r}").digest)
    assert len(seen) == len(NUMBERS) + 2


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path: Path) -> None:
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf[filter]\r\nfloor = 62\r\n")
    assert load(path).filter.floor == 62


def test_a_file_wins_over_an_example_of_its_name_but_a_folder_does_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("hill-example").mkdir()
    assert "Hill" in load("hill-example").title
    Path("short-example").write_text('title = "mine"', "utf-8")
    assert load("short-example").title == "mine"


def test_a_missing_file_names_the_example_that_may_be_meant() -> None:
    with pytest.raises(FolderError, match=r"Did you mean inch-example\?"):
        load("inch-exmaple")


@pytest.mark.parametrize(("group", "old", "new"), [(g, o, n) for g, names in RENAMED.items() for o, n in names.items()])
def test_names_of_earlier_editions_are_taken_over_with_a_note(group: str, old: str, new: str) -> None:
    now = getattr(getattr(Spec(), group), new)
    value = now - 1 if now > 1 else now / 2 or 1
    with pytest.warns(RenamedWarning, match=f"{group}.{old} is now called {group}.{new}"):
        spec = parse(f"[{group}]\n{old} = {value}\n")
    assert getattr(getattr(spec, group), new) == value
    with pytest.raises(SpecError, match=f"under its newer name, {group}.{new}, too"):
        parse(f"[{group}]\n{old} = {value}\n{new} = {value}\n")


def test_the_note_of_an_earlier_name_is_one_line_beside_the_answer(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "old.toml"
    path.write_text("[filter]\nstanding_water = 45\n", "utf-8")
    done = run("-m", "mouldgeom", "make", path, "--out", tmp_path / "out", "--only", "spec")
    assert done.returncode == 0
    assert (
        done.stderr == "mouldgeom: schema 1 is read as 2: filter.standing_water is now called filter.water_over_sand\n"
    )
    assert "water_over_sand = 45\n" in (tmp_path / "out/spec.toml").read_text("utf-8")
    asked = run("-m", "mouldgeom", "size", "--pause", "6", "--json")
    assert asked.stderr == "mouldgeom: pause is now called rest\n"
    assert json.loads(asked.stdout) == json.loads(run("-m", "mouldgeom", "size", "--rest", "6", "--json").stdout)


def test_a_specification_of_the_first_schema_is_taken_over_and_says_what_changed() -> None:
    """The example as the first edition shipped it is the example of today, but for strength classes, then unsaid."""
    with pytest.warns(RenamedWarning, match="schema 1 is read as 2: ") as caught:
        spec = load(ROOT / "tests/editions/specification-1.toml")
    today = load("hill-example")
    assert spec.filter == today.filter
    assert spec.steel == today.steel.model_copy(update={"bolt_class": UNMARKED, "screw_class": UNMARKED})
    (warning,) = caught
    assert isinstance(warning.message, RenamedWarning)
    assert warning.message.changes == (
        "filter.drainage_gravel is now called filter.coarse_gravel",
        "filter.separating_gravel is now called filter.fine_gravel",
        "filter.standing_water is now called filter.water_over_sand",
    )
    assert spec_toml(spec).startswith(f"schema = {SCHEMA}\ntitle = ")


@pytest.mark.filterwarnings("error")
@given(st.sampled_from([(g, n, i) for g, n, i in NUMBERS]), st.floats(0, 1), st.booleans())
def test_what_either_schema_says_is_the_same(field: tuple[str, str, object], share: float, commented: bool) -> None:
    group, name, info = field
    low, high = limits_of(info) or (0.0, 0.0)  # type: ignore[arg-type]  # fields are drawn by name
    lines = f"[{group}]\n{name} = {low + share * (high - low)!r}"
    spec = parse(lines)
    assert spec == parse(f"schema = 1\n{lines}") == parse(f"schema = 2\n{lines}")
    written = spec_toml(spec, comments=commented)
    assert parse(written) == parse(written.replace("schema = 2\n", "", 1)) == spec


@pytest.mark.parametrize(("group", "old", "new"), [(g, o, n) for g, names in RENAMED.items() for o, n in names.items()])
def test_an_earlier_name_in_a_file_of_this_schema_is_refused(group: str, old: str, new: str) -> None:
    with pytest.raises(SpecError, match=f"It is called {group}.{new} since schema 2"):
        parse(f"schema = 2\n[{group}]\n{old} = 1\n")


@given(st.integers(-(10**20), 10**20) | st.floats() | st.booleans() | st.text(st.sampled_from("aé1 "), max_size=9))
def test_no_other_schema_is_read(schema: float | str) -> None:
    known = not isinstance(schema, bool) and isinstance(schema, int) and schema in (1, SCHEMA)
    text = f"schema = {json.dumps(schema).replace('NaN', 'nan').replace('Infinity', 'inf')}"
    if known:
        assert parse(text) == Spec()
        return
    with pytest.raises(SpecError) as caught:
        parse(text)
    assert caught.value.name == "schema"
    assert str(SCHEMA) in caught.value.limit
    assert caught.value.remedy


def test_a_command_refuses_a_newer_schema(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "newer.toml"
    path.write_text("schema = 3\n[filter]\nfloor = 62\n", "utf-8")
    done = run("-m", "mouldgeom", "make", path, "--out", tmp_path / "out", "--only", "spec")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("mouldgeom: schema = 3: the newest that this edition of the program reads is 2. ")
    assert not (tmp_path / "out").exists()
