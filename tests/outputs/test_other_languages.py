"""A specification in French or Spanish makes no English: every sentence on its papers went through the catalogue.

Sources are cited as they are, and formulas with their numbers are in no language; so are names of fields, codes of
dimensions, and what a person wrote.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from conftest import ROOT
from papers_read import texts
from translated import Heard, Translated, in_language

from mouldgeom import load
from mouldgeom.filter.asking import ask
from mouldgeom.inspection.asbuilt import BuiltMould
from mouldgeom.inspection.critical import critical
from mouldgeom.inspection.cures import Mend
from mouldgeom.model.assembly import build
from mouldgeom.outputs.asbuilt_picture import built_figure
from mouldgeom.outputs.asbuilt_report import built_text
from mouldgeom.outputs.size_files import figures
from mouldgeom.outputs.size_report import answer, headline
from mouldgeom.outputs.size_table import size_table, table_figure
from mouldgeom.spec import spec_toml
from mouldgeom.words import Said, Words

pytestmark = pytest.mark.slow(seconds=25)

FIELDS = re.compile(r"[a-z]+\.[a-z_]+")
"""The name of a field of the specification, which stands where a place does."""


def sentences(missed: set[str], told: set[str]) -> list[str]:
    return sorted(said for said in missed - told if not FIELDS.fullmatch(said))


def test_a_french_package_lacks_no_sentence(french: Translated) -> None:
    assert sentences(french.missed, french.sources) == []


def test_a_lacking_sentence_is_noted() -> None:
    words = Words("fr")
    assert words(Said("{one} and a gap of {gap:.1f} mm", one="no such thing", gap=2.25)) == (
        "no such thing and a gap of 2,2 mm"
    )
    assert words.missed == {"{one} and a gap of {gap} mm", "no such thing"}


NAMES = re.compile(r"\{\w+\}|\b[\w-]+\.[\w.-]+|\b[a-z]+-[a-z-]+|\b[\w-]+/")
"""Of values, files and fields, codes, and folders."""


def worded(text: str) -> list[str]:
    return re.findall(r"[a-zà-ÿ]{4,}", re.sub(NAMES, " ", text.lower()))


@pytest.fixture(scope="module")
def english() -> frozenset[str]:
    """Words that English sentences have and French ones have not."""
    catalogue = [m for m in read_po((ROOT / "mouldgeom/data/words/fr.po").open("rb"), locale="fr") if m.id]
    one, other = (
        {word for m in catalogue for word in worded(str(part(m)))} for part in (lambda m: m.id, lambda m: m.string)
    )
    codes = {item.code for item in critical(build(load("hill-example")))}
    assert len(one - other - codes) > 800
    return frozenset(one - other - codes)


class Shown(HTMLParser):
    """The texts that a page or a picture shows, but for code, and sources below a step."""

    def __init__(self, content: str) -> None:
        super().__init__()
        self.open: list[tuple[str, bool]] = []
        self.texts: list[str] = []
        self.feed(content)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open.append((tag, tag in {"script", "style", "code"} or dict(attrs).get("class") == "source"))

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if data.strip() and not any(hidden for _, hidden in self.open):
            self.texts.append(" ".join(data.split()))


LICENCES = ("Permission is hereby granted", "Source Sans Pro, copyright")
"""How the licences begin that the page carries."""


def shown(made: Translated) -> Iterator[tuple[str, str]]:
    """Each text of the papers, page and pictures."""
    for path, text in texts({p: c for p, c in made.files.items() if p.endswith((".pdf", ".svg", ".html"))}).items():
        if path.endswith(".pdf"):
            yield from ((path, line) for line in text.splitlines())
        elif not path.startswith("drawings/"):  # which are in drawings.pdf
            yield from ((path, said) for said in Shown(text).texts)


def test_no_english_word_stands_on_a_french_paper_page_or_picture(french: Translated, english: frozenset[str]) -> None:
    told = french.sources
    found = [(path, said) for path, said in shown(french) if said not in told and not said.startswith(LICENCES)]
    assert {path.partition("/")[0] for path, _ in found} >= {
        "drawings.pdf", "build-sheet.pdf", "hole-templates.pdf", "report.html", "nests", "bars",
    }  # fmt: skip
    assert len(found) > 3000
    english_left = [f"{path}: {said}" for path, said in found if english.intersection(worded(said))]
    assert not english_left, "\n".join(english_left)


@pytest.mark.parametrize("language", ["fr", "es"])
def test_a_finished_mould_is_told_without_english(language: str) -> None:
    """Every deviation by itself and with the others, too small and too large: the report and its picture."""
    mould = build(in_language(language))
    items = critical(mould)
    with pytest.MonkeyPatch.context() as patch:
        heard, cures = Heard(patch), set()
        for off in (-4.0, -1.5, 1.5, 4.0):
            for measured in ({i.code: i.nominal + off for i in items}, *({i.code: i.nominal + off} for i in items)):
                built = BuiltMould(mould, measured)
                text = built_text(built)
                cures |= {cure for cure in Mend if Words(language)(str(cure)) in text}
            built_figure(built).svg()
        missed = heard.missed()
    assert cures == set(Mend)
    codes = {item.code for item in items}
    coded = {said for said in missed if codes.issuperset(said.split(", "))}
    assert sentences(missed, coded | {mould.dims.spec.title}) == []


def test_sizing_pictures_and_answer_are_french(tmp_path: Path) -> None:
    """The headline, the limits and the figures; findings about the sand cite their sources in one line with them."""
    (tmp_path / "fr.toml").write_text(spec_toml(in_language("fr")), "utf-8")
    (tmp_path / "sand.csv").write_text("opening_mm,retained_g\n1,0\n0.5,55\n0.25,290\n0.15,105\n0.1,40\npan,10\n")
    like = str(tmp_path / "fr.toml")
    with pytest.MonkeyPatch.context() as patch:
        heard = Heard(patch)
        for given in ({"people": 6}, {"sieve": str(tmp_path / "sand.csv"), "people": 5, "filters": 1}):
            found = answer(ask({"like": like, **given}))
            words = Words("fr")
            told = [words(line) for line in headline(found)]
            assert not any(re.search(r"\b(of|the|and|at)\b", line) for line in told), told
            for figure in figures(found).values():
                assert figure.words.language == "fr"
                figure.svg()
        request = found.asked.request
        table_figure(size_table(request)[:4], request).svg()
        missed = heard.missed()
    cited = {said for said in missed if "Virginia" in said}
    assert sentences(missed, cited | {found.spec.title}) == []
