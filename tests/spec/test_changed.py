"""A specification as an object: changed, compared, written and shown, and every wrong field told at once."""

from __future__ import annotations

import copy
import pickle
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import pytest
from hypothesis import given
from pydantic import BaseModel
from random_specs import numeric_fields, profile, specs

from mouldgeom import load, parse
from mouldgeom.cli import main
from mouldgeom.errors import FolderError, InputError, SpecError
from mouldgeom.spec import Difference, Spec, groups, limits_of, spec_toml, unchecked
from mouldgeom.spec.fields import RENAMED, FilterGroup

NAMES = [f"{group}.{field}" for group, model in groups() for field in model.model_fields]
LIMITS = {
    path: limits_of(model.model_fields[path.partition(".")[2]]) or (0.0, 0.0) for path, model, _ in numeric_fields()
}
FOREIGN: list[Any] = [object(), Path("x"), {1, 2}, lambda: 0, 1j, None, b"\xff", {"a": object()}]


def told(make: Callable[[], object]) -> SpecError:
    with pytest.raises(SpecError) as caught:
        make()
    return caught.value


@given(specs(), st.data())
@profile(60)
def test_a_change_is_what_the_same_lines_of_a_file_say(other: Spec, data: st.DataObject) -> None:
    """Both start from the defaults; what is written goes through the text of a file."""
    names = data.draw(st.sets(st.sampled_from(NAMES)))
    wanted = {f"{g}.{f}": getattr(getattr(other, g), f) for g, f in (name.split(".") for name in names)}
    spec = Spec().changed({"title": "x", **wanted})
    kept = [line for line in _lines(spec_toml(other)) if line[0] in names]
    text = 'schema = 2\ntitle = "x"\n' + "".join(f"{name} = {value}\n" for name, value in kept)
    assert spec == parse(text)
    assert {one.name for one in Spec().differences(spec)} - {"title"} <= names
    assert spec.changed({name: one for name, _, one, _ in spec.differences(other)}) == other


def _lines(text: str) -> list[tuple[str, str]]:
    """Dotted name and value of each line."""
    found, group = [], ""
    for line in text.splitlines():
        if line.startswith("["):
            group = line.strip("[]")
        elif group and line:
            field, _, value = line.partition(" = ")
            found.append((f"{group}.{field}", value))
    return found


@given(specs(), st.dictionaries(st.sampled_from(sorted(LIMITS)), st.booleans(), min_size=1, max_size=12))
@profile(60)
def test_every_wrong_field_is_told_whichever_way_it_comes(spec: Spec, wrong: dict[str, bool]) -> None:
    changes = {name: LIMITS[name][high] + (1.0 if high else -1.0) for name, high in wrong.items()}
    tables: dict[str, Any] = {}
    for name, value in changes.items():
        group, field = name.split(".")
        tables.setdefault(group, {})[field] = value
    text = "schema = 2\n" + "".join(f"{name} = {value!r}\n" for name, value in changes.items())
    ways = (
        lambda: spec.changed(changes),
        lambda: Spec(**tables),
        lambda: Spec.model_validate(tables),
        lambda: parse(text),
    )
    for way in ways:
        error = told(way)
        assert {one.name for one in error.errors} == set(wrong)
        first = error.errors[0]
        assert (error.name, error.value) == (first.name, first.value)
        assert (error.limit, error.remedy) == (first.limit, first.remedy)
        assert all(str(one) in str(error) for one in error.errors)
        assert "\n" not in str(error)
        assert str(error).startswith(f"{len(wrong)} fields are wrong: 1) " if len(wrong) > 1 else f"{error.name} = ")


@pytest.mark.parametrize("name", ["title", *NAMES])
def test_no_foreign_object_gets_through(name: str) -> None:
    for value in FOREIGN:
        assert told(lambda value=value: Spec().changed({name: value})).name == name  # type: ignore[misc]  # bound now


@pytest.mark.parametrize("changes", [3, None, [("filter.floor", 60)], "filter.floor", object()])
def test_changes_are_a_mapping(changes: Any) -> None:
    assert told(lambda: Spec().changed(changes)).name == "changes"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("filter.sand_colum", r"Did you mean filter\.sand_column\?"),
        ("fltr.sand_column", r"Did you mean filter\.sand_column\?"),
        ("sand_column", r"Did you mean filter\.sand_column\?"),
        ("titel", r"Did you mean title\?"),
        ("schema", "no field"),
        ("filter", r"field by field.*filter\.cavity_width"),
        ("filter.", "field by field"),
        ("filter.floor.x", "unknown key"),
        ("", "unknown key"),
        (5, r'Write such as "filter\.floor"'),
        *((f"{g}.{old}", f"called {g}.{new} ") for g, names in RENAMED.items() for old, new in names.items()),
    ],
)
def test_a_name_that_is_not_known(name: Any, words: str) -> None:
    with pytest.raises(SpecError, match=words):
        Spec().changed({name: 5})


def test_a_character_that_cannot_be_printed_is_told_with_the_rest() -> None:
    error = told(lambda: Spec().changed({"papers.owner": "\x07", "filter.floor": 5}))
    assert [one.remedy[:12] for one in error.errors] == ["Take it out.", "Choose a val"]


def test_a_character_that_cannot_be_printed_is_told_with_the_rest_of_a_file(tmp_path: Path) -> None:
    """The text is read without it, so that its field is told once, or again if it is wrong still; in order."""
    text = (
        'title = "a\\u0007"\n[filter]\nfloor = 5\n[steel]\nshell = "3 mm\\u200b"\nbolt = "M1\\u0000"\n'
        '[shop]\nstiffener_heights = ["50 mm", "60\\u0000 mm"]\n[[own.sheet]]\ndesignation = "\\u0007"\n'
    )
    path = tmp_path / "spec.toml"
    path.write_text(text, "utf-8")
    for make in (lambda: parse(text), lambda: load(path)):
        found = [(one.name, one.remedy == "Take it out.") for one in told(make).errors]
        assert found[:5] == [
            ("title", True),
            ("steel.shell", True),
            ("steel.bolt", True),
            ("shop.stiffener_heights, 2", True),
            ("own.sheet, 1.designation", True),
        ]
        assert {("filter.floor", False), ("steel.bolt", False)} <= set(found[5:])
        assert not {"title", "steel.shell", "shop.stiffener_heights"} & {name for name, _ in found[5:]}


def test_every_way_to_a_wrong_specification_is_refused() -> None:
    spec, wrong = Spec(), "filter.sand_column"
    assert told(lambda: FilterGroup(sand_column=-5)).name == wrong
    assert told(lambda: FilterGroup.model_validate({"sand_column": -5})).name == wrong
    assert told(lambda: Spec.model_validate_json('{"filter": {"sand_column": -5}}')).name == wrong
    assert told(lambda: spec.filter.model_copy(update={"sand_column": -5})).name == wrong
    assert told(lambda: spec.model_copy(update={"filter": {"sand_column": -5}})).name == wrong
    assert told(lambda: spec.model_copy(update={"filtr": spec.filter})).remedy == "Did you mean filter?"
    assert told(lambda: Spec.model_validate(5)).limit == "a table of fields is wanted"
    assert told(lambda: Spec(filter=5)).name == "filter"  # type: ignore[arg-type]  # that is the test
    assert spec.model_copy(update={"filter": {"floor": "6 cm"}}).filter == spec.filter
    assert unchecked(spec, "filter", floor=61.0) == spec.changed({"filter.floor": 61})


OUTDATED = {name for name in dir(BaseModel) if name[0] != "_" and hasattr(getattr(BaseModel, name), "__deprecated__")}
"""What the validation library keeps of its first edition; some of it checks nothing."""


@pytest.mark.parametrize(
    "name", sorted({"model_construct"} | OUTDATED - {"schema", "schema_json", "update_forward_refs"})
)
@pytest.mark.parametrize("thing", [Spec, Spec(), FilterGroup, Spec().filter], ids=lambda thing: type(thing).__name__)
def test_what_would_check_nothing_is_refused(name: str, thing: Any) -> None:
    """By a table as by the whole, and by the type as by one of it; the rest only says what the fields are."""
    error = told(lambda: getattr(thing, name)(update={"sand_column": -5}))
    assert error.name in (f"Spec.{name}", f"FilterGroup.{name}")
    assert "spec.changed({" in error.remedy


def test_texts_are_checked_like_values() -> None:
    assert told(lambda: Spec.model_validate_strings({"filter": {"floor": "1"}})).name == "filter.floor"
    assert Spec.model_validate_strings({"filter": {"floor": "6.1 cm"}}).filter.floor == 61.0


def test_names_given_twice_are_told_with_the_other_faults() -> None:
    text = "[filter]\nfloor = 1\nstanding_water = 50\nwater_over_sand = 50\n[water]\npause = 6\nrest = 6\n"
    assert [one.name for one in told(lambda: parse(text)).errors] == [
        "filter.standing_water",
        "water.pause",
        "filter.floor",
    ]


def test_many_unknown_keys_are_counted() -> None:
    error = told(lambda: parse("[filter]\nfloor = 1\n" + "".join(f"k{n} = 1\n" for n in range(500))))
    assert (error.name, len(error.errors), error.errors[-1].value) == ("filter.floor", 22, "480 more keys")


def test_a_command_tells_of_all_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "wrong.toml"
    path.write_text("[filter]\nfloor = 1\n[tube]\nbore = 99\n", "utf-8")
    assert main(["check", str(path)]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "2 fields are wrong: 1) filter.floor = 1 mm" in said
    assert "2) tube.bore = 99 mm" in said


@given(specs())
@profile(30)
def test_copies_are_equal_and_shown_in_one_line(spec: Spec) -> None:
    for thing in (spec, *(getattr(spec, name) for name, _ in groups())):
        for again in (copy.copy(thing), copy.deepcopy(thing), pickle.loads(pickle.dumps(thing)), thing.model_copy()):
            assert again == thing
            assert hash(again) == hash(thing)
        assert len(repr(thing)) < 120
        assert "\n" not in repr(thing)
    count = len([one for one in Spec().differences(spec) if one.name != "title"])
    assert f", {count} field" in repr(spec)
    assert len(repr(spec.changed({"title": "\\" * 80}))) < 120


def test_differences() -> None:
    spec = load("hill-example")
    other = spec.changed({"title": "x", "steel.bolt": "M12", "filter.charge": 13})
    assert spec.differences(other) == (
        Difference("title", spec.title, "x", "-"),
        Difference("filter.charge", spec.filter.charge, 13.0, "l"),
        Difference("steel.bolt", spec.steel.bolt, "M12", "-"),
    )
    assert spec.differences(load("hill-example")) == ()


@pytest.mark.parametrize("foreign", [3, None, b"x", [], object()])
def test_what_is_no_source_or_specification_is_refused(foreign: Any) -> None:
    for take in (load, parse, spec_toml, Spec().differences, Spec().write):
        with pytest.raises(InputError) as caught:
            take(foreign)
        assert caught.value.remedy


def test_a_specification_is_written_once_or_over(tmp_path: Path) -> None:
    spec = load("short-example")
    path = spec.write(tmp_path / "mine.toml")
    assert path.read_text("utf-8") == spec.toml() == spec_toml(spec)
    with pytest.raises(FolderError, match="give over=True"):
        spec.write(str(path))
    assert spec.write(str(path), comments=True, over=True) == path
    assert path.read_text("utf-8") == spec_toml(spec, comments=True)
    assert load(path) == spec


class _Cells(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.bold: list[str] = []
        self.texts: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.append(tag)

    def handle_data(self, data: str) -> None:
        self.texts.append(data)
        if self.tags[-1] == "strong":
            self.bold.append(data.strip())


def test_a_notebook_shows_a_table_with_the_differences_in_bold() -> None:
    hostile = "<script>x</script>&\"'"
    spec = Spec(title=hostile, papers={"owner": hostile}, filter={"charge": 15})
    cells = _Cells(spec._repr_html_())
    assert set(cells.tags) == {"table", "caption", "thead", "tbody", "tr", "th", "td", "strong"}
    assert [text for text in cells.bold if text] == ["filter.charge", "15 l", "papers.owner", hostile]
    assert cells.texts[0] == hostile
    assert cells.tags.count("tr") == len(NAMES) + 1
    assert set(NAMES) <= set(cells.texts)
    group = _Cells(spec.filter._repr_html_())
    assert "15 l" in group.bold
    assert group.tags.count("tr") == len(FilterGroup.model_fields) + 1
