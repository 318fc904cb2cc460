"""The catalogue of words: valid gettext, no sentence twice, the same names to fill in, and nothing left out.

Sentences are found twice: those that the code hands to ``words`` as they stand, and those that chapters and checks make
while they run.
"""

from __future__ import annotations

import ast
import re
import string
from collections.abc import Iterable, Iterator
from io import BytesIO

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po
from conftest import ROOT

from mouldgeom.inspection.asbuilt import BuiltMould, built_results
from mouldgeom.inspection.critical import critical
from mouldgeom.model.assembly import Mould
from mouldgeom.outputs.cutlist import cut_groups
from mouldgeom.strength.book import CAUTIONS, book
from mouldgeom.strength.steps import Chapter
from mouldgeom.verdict import Verdict
from mouldgeom.words import ENGLISH, LANGUAGES, Said, Words, key_of

pytestmark = pytest.mark.slow

DRAFTS = [language for language in LANGUAGES if language != ENGLISH]
FOLDER = ROOT / "mouldgeom/data/words"


def catalogue(language: str) -> Catalog:
    return read_po(BytesIO((FOLDER / f"{language}.po").read_bytes()), locale=language, abort_invalid=True)


def names(sentence: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(sentence) if name}


NAMED = re.compile(r"\{\w*\}")
SAYING = {"words", "say", "w", "Said"}
"""Names of what turns a sentence into the language of the papers."""


def written() -> Iterator[tuple[str, str]]:
    """Every sentence that the code hands to ``words`` as it stands, or one of two, and where."""
    for path in sorted((ROOT / "mouldgeom").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and node.args and called(node.func) in SAYING:
                first = node.args[0]
                for said in (first.body, first.orelse) if isinstance(first, ast.IfExp) else (first,):
                    if isinstance(said, ast.Constant) and isinstance(said.value, str):
                        yield f"{path.name}:{node.lineno}", key_of(said.value)


def called(function: ast.expr) -> str:
    """The last name of what is called."""
    if isinstance(function, ast.Name):
        return function.id
    return function.attr if isinstance(function, ast.Attribute) else ""


def test_a_language_is_a_file() -> None:
    assert {"en", "fr", "es"} <= set(LANGUAGES)
    assert set(DRAFTS) == {path.stem for path in FOLDER.glob("*.po")}


@pytest.mark.parametrize("language", DRAFTS)
def test_the_catalogue_is_valid_and_says_each_sentence_once(language: str) -> None:
    text = (FOLDER / f"{language}.po").read_text("utf-8")
    assert text.startswith("# Draft, to be checked by a speaker.")
    keys = [line for line in text.splitlines() if line.startswith("msgid ")]
    single = [key for key in keys if key != 'msgid ""']
    assert len(single) == len(set(single))
    found = catalogue(language)
    assert len(found) > 300
    for message in found:
        if message.id:
            assert message.string, message.id
            assert names(str(message.id)) == names(str(message.string)), message.id


@pytest.mark.parametrize("language", DRAFTS)
def test_every_sentence_in_the_code_is_translated(language: str) -> None:
    known = {str(message.id) for message in catalogue(language)}
    worded = ((where, sentence) for where, sentence in written() if re.search(r"[^\W\d_]", NAMED.sub("", sentence)))
    sentences = {sentence: where for where, sentence in worded}
    assert len(sentences) > 400
    assert {s: where for s, where in sentences.items() if s not in known} == {}


def in_words(sentence: str) -> bool:
    """Whether a sentence is to be translated: it has words, not signs and units alone."""
    return re.search(r"[a-z]{3}", sentence) is not None


def untranslated(language: str, sentences: Iterable[str]) -> list[str]:
    """The sentences that come out in English, those that are values of others among them."""
    words = Words(language)
    for sentence in sentences:
        words(sentence)
    return sorted(words.missed)


def said_by(chapter: Chapter) -> Iterator[str]:
    """The sentences of a chapter; formulas, numbers and sources are in no language."""
    yield chapter.title
    yield from (*chapter.assumptions, *chapter.cautions)
    yield from (step.what for step in chapter.steps)
    for table in chapter.tables:
        yield from (table.title, table.note, *table.head)
        for row in table.rows:
            cells = zip(table.head, row, strict=True)
            yield from (cell for head, cell in cells if isinstance(cell, str) and head not in {"source", "method"})
    for required in chapter.requirements:
        yield from (required.title, required.where)


@pytest.fixture(scope="module")
def spoken(hill: Mould, inch: Mould, short: Mould) -> frozenset[str]:
    """Every sentence of the examples that is made at run time: calculation, what is measured, names, cut list."""
    said = list(CAUTIONS)
    for mould in (hill, inch, short):
        said += [word for one in critical(mould) for word in (one.what, one.tool, one.why, str(one.stage))]
        said += [sentence for chapter in book(mould) for sentence in said_by(chapter)]
        said += [str(name) for part in mould.parts for name in (part.name, part.group)]
        for group in cut_groups(mould):
            said += [group.material, *(word for row in group.rows for word in (row.shape, row.holes, row.ends))]
    return frozenset(sentence for sentence in said if in_words(sentence))


@pytest.mark.parametrize("language", DRAFTS)
def test_nearly_all_that_is_said_at_run_time_is_translated(language: str, spoken: frozenset[str]) -> None:
    """Nine in ten, numbers or not, so that a new step of the calculation may come a little before its translation."""
    assert len(spoken) > 700
    assert sum(re.search(r"\d", sentence) is not None for sentence in spoken) > 150
    missing = untranslated(language, spoken)
    assert len(missing) <= 0.1 * len(spoken), missing


@pytest.mark.parametrize("language", DRAFTS)
def test_every_check_has_its_title_translated(language: str, hill_results: tuple[Verdict, ...]) -> None:
    titles = {result.title for result in hill_results if in_words(result.title)}
    assert len(titles) > 70
    assert untranslated(language, titles) == []
    places = {result.where for result in hill_results if in_words(result.where) and " " in result.where}
    missing = untranslated(language, places)
    assert len(missing) <= 0.1 * len(places), missing


INSTEAD = {
    r"(anchor|drive) nut": "jack nut",
    r"bridge washer plate": "washer plate",
    r"landing gusset": "gusset",
    r"nose.cover|cover (of|off|on) the (nose|tube)|cover bolt|cover's": "nose lid",
    r"part (number|mark)s?\b": "mark",
    r"\bfilter the (checks|parts|rows)": "find",
    r"\bbucket\b(?!.*\b(sand|stone))": "charge",
    r"\bdraw(s|n)? (off|it off|the air)|(as|not) drawn\b|drawn (bigger|off)|\bdraw the four": "come off, show",
    r"^lines($| ×)|welded through": "seams; continuous",
    r"standing[ _]water|(drainage|separating)[ _]gravel|\bpause\b": "water over the sand, supporting gravel, rest",
    r"not to be had": "if you cannot get it",
    r"\bbound by\b|<- binds": "limited by, governs",
    r"\bmakes ill\b": "makes you ill",
    r"\bgear for\b": "bridge and jack screw",
    r"\banew\b": "again",
    r"\bsafe load\b": "safe working load",
    r"holes? .*does not meet|holes must meet": "line up",
    r"over everything": "overall",
}
"""What no English sentence says, since another word stands for it, and that word.  *Cover* is concrete alone."""


def english() -> Iterator[tuple[str, str]]:
    """Every sentence that people may read, and where: of the code, the catalogues, the read-me and the examples."""
    for path in sorted((ROOT / "mouldgeom").rglob("*.py")):
        tree = ast.parse(path.read_text("utf-8"))
        silent = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if isinstance(node, ast.JoinedStr):
                silent |= {id(value) for value in node.values}
                parts = (str(v.value) if isinstance(v, ast.Constant) else "{}" for v in node.values)
                yield f"{path.name}:{node.lineno}", "".join(parts)
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
                yield f"{path.name}:{node.lineno}", node.value
    for language in DRAFTS:
        yield from ((f"{language}.po", str(message.id)) for message in catalogue(language))
    for path in (ROOT / "README.md", *sorted((ROOT / "mouldgeom/data/examples").glob("*.toml"))):
        lines = path.read_text("utf-8").splitlines()
        yield from ((f"{path.name}:{number}", line) for number, line in enumerate(lines, 1))


def test_one_word_stands_for_one_thing() -> None:
    sentences = [(where, said) for where, said in english() if " " in said or said[:1].isupper()]
    assert len(sentences) > 4000
    assert any(where.startswith("readlist.py") for where, _ in sentences)
    for pattern, word in INSTEAD.items():
        found = [(where, said) for where, said in sentences if re.search(pattern, said, re.IGNORECASE)]
        assert not found, f"say {word}: {found}"


def template(sentence: str) -> str:
    return sentence.key if isinstance(sentence, Said) else sentence


def test_a_code_has_one_title(hill: Mould, inch: Mould, short: Mould, hill_results: tuple[Verdict, ...]) -> None:
    """Of checks, of the calculation and of the mould as built alike; the numbers in a title aside."""
    titles = {(result.code, template(result.title)) for result in hill_results}
    for mould in (hill, inch, short):
        titles |= {(r.code, template(r.title)) for chapter in book(mould) for r in chapter.requirements}
        measured = {one.code: one.nominal for one in critical(mould)}
        titles |= {(r.code, template(r.title)) for r in built_results(BuiltMould(mould, measured))}
    assert len(titles) > 100
    assert sorted(titles) == sorted({code: (code, title) for code, title in titles}.values())


def test_what_a_catalogue_lacks_comes_out_in_english() -> None:
    assert Words("fr")("no such sentence {n}", n=3) == "no such sentence 3"


@pytest.mark.parametrize(
    ("language", "number", "length"), [("en", "1,234.5", "1234.5"), ("fr", "1\u202f234,5", "1234,5")]
)
def test_numbers_follow_the_locale(language: str, number: str, length: str) -> None:
    words = Words(language)
    assert words.number(1234.5, 1) == number
    assert words.length(1234.5) == length


def test_lengths_are_in_the_units_asked_for() -> None:
    assert Words("en", "mm").length(364.0018) == "364"
    assert Words("en", "inches").length(364.0018) == "14 21/64 in"
    assert Words("en", "both").length(364.0018) == "364 (14 21/64 in)"
    assert Words("en", "both").length(364.0018, parts=16) == "364 (14 5/16 in)"
