"""All papers of a whole package say the same: quantities, marks, names, sizes, pitches, limits, masses, verdicts."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from papers_read import Facts, Num, agree, count, disagreements, facts, slipped, texts

from mouldgeom.outputs.package import Job, PackageFile, manifest_bytes

pytestmark = pytest.mark.slow

Papers = dict[str, str]


@pytest.fixture(scope="module")
def papers(two_moulds: tuple[Job, list[PackageFile]]) -> Papers:
    """Everything that ``make --moulds 2 --prices FILE`` writes, as text."""
    job, files = two_moulds
    made = {file.path: file.content for file in files}
    return texts({**made, "manifest.json": manifest_bytes(job, files)})


@pytest.fixture(scope="module")
def said(papers: Papers) -> Facts:
    return facts(papers)


def kinds(found: Facts) -> dict[str, list[set[str]]]:
    """For each kind of fact, the papers that each of them stands on."""
    out: dict[str, list[set[str]]] = {}
    for key, values in found.items():
        out.setdefault(key[0], []).append({path for path, _ in values})
    return out


LEAST = {
    "status": 50, "moulds": 30, "quantity": 5, "name": 4, "mass": 4, "mass of all": 3, "size": 4, "length": 4,
    "bought": 3, "pieces": 3, "bolts": 2, "steel": 4, "filled mass": 2, "empty mass": 2, "concrete mass": 3,
    "concrete volume": 2, "used": 3, "weld": 3, "laid": 3, "limits": 2, "checks": 2, "check": 2,
    "numbers": 3, "all numbers": 2, "etched": 1, "sum": 2, "mass of sum": 2,
}  # fmt: skip
"""On how many papers a fact of each kind stands at least."""


def test_every_fact_stands_on_several_papers(said: Facts) -> None:
    found = kinds(said)
    assert set(found) == set(LEAST)
    for kind, least in LEAST.items():
        alone = [key for key, values in said.items() if key[0] == kind and len({p for p, _ in values}) < least]
        assert alone == [], kind
    assert len(said) > 450


def test_no_two_papers_disagree(said: Facts) -> None:
    rest = {key: values for key, values in said.items() if key[0] != "limits"}
    assert disagreements(rest) == []


def test_limits_are_the_same_on_paper_and_in_the_file(said: Facts) -> None:
    rest = {key: values for key, values in said.items() if key[0] == "limits"}
    assert len(rest) > 40
    assert disagreements(rest) == []


# ---------------------------------------------------------------- a slip is seen


def test_a_slip_in_any_fact_of_any_paper_is_seen(said: Facts) -> None:
    """Each fact of each paper in turn is changed in one digit, letter or verdict."""
    seen: Counter[str] = Counter()
    for key, values in said.items():
        for at, (path, value) in enumerate(values):
            others = [other for place, (_, other) in enumerate(values) if place != at]
            if not others:
                continue
            wrong = {key: [*values[:at], (path, slipped(value, others)), *values[at + 1 :]]}
            known = set(disagreements({key: values}))
            assert set(disagreements(wrong)) - known, (key, path)
            seen[path] += 1
    assert len(seen) > 80
    assert sum(seen.values()) > 1500


SLIPS = [
    ("cut-list.csv", r"(plate,A3,side panel,)4", "2"),
    ("cut-list.csv", r"(A3,.*,)7\.59", "7.69"),
    ("cut-list.csv", r"(moulds,,[^,]*,)2", "1"),
    ("cut-list.csv", r"(A5,.*,)886\.3", "886.8"),
    ("cut-list.xlsx", r"(Cut list,A3,side panel,)4", "2"),
    ("cut-list.xlsx", r"(W1,.* every )90", "100"),
    ("cut-list.xlsx", r"(Status: )holds", "not checked"),
    ("parts.json", r'("mark": "A7"(?:(?!"mark")[\s\S])*?"quantity": )2', "4"),
    ("parts.json", r'("mark": "B1",\s+"name": ")core wall, front and back', "core wall, front"),
    ("checks.json", r'("provided": )(\d)', "9"),
    ("checks.json", r'("passed": )true', "false"),
    ("manifest.json", r'("passed": )true', "null"),
    ("filter/filter.json", r'("concrete_kg": )157', "167"),
    ("cost.json", r'("name": "hexagon nut M24, class 5",\s+"quantity": \{\s+"low": [\d.]+,\s+"likely": )24\.0', "25.0"),
    ("nests/nests.json", r'("mark": ")A3', "A2"),
    ("nests/3-mm-sheet-1.dxf", r"(part A3: )\d", "9"),
    ("nests/3-mm-sheet-1.svg", r"(· )2( moulds)", "1 moulds"),
    ("bars/cutting-plan.csv", r"(A5 )886\.3", "888.3"),
    ("bars/cutting-plan.svg", r"(>)1( ×<)", "2 ×<"),
    ("flat/A3.dxf", r"(quantity: )4", "2"),
    ("flat/A3.dxf", r"(\$EXTMAX\n 10\n)364", "374"),
    ("drawings/01-general-views.dxf", r"(\n)932\.3", "933.3"),
    ("drawings/01-general-views.svg", r"(\| )932\.3", "933.3"),
    ("drawings/02-general-section.dxf", r"(\n)9\.2(?=\n)", "9.9"),
    ("drawings/07-weld-sides.dxf", r"(\[10 x 40 \()50", "60"),
    ("drawings/07-weld-sides.dxf", r"(\n)holds", "not checked"),
    ("drawings/14-parts-1.dxf", r"(\n)1( off for)", "2 off for"),
    ("drawings.pdf", r"(\n)886\.3", "868.3"),
    ("drawings.pdf", r"(Status\n)holds", "not checked"),
    ("build-sheet.pdf", r"(W1 .* every )90", "100"),
    ("build-sheet.pdf", r"(A7 )2( base)", "4 base"),
    ("build-sheet.pdf", r"(Status: )holds", "not checked"),
    ("build-sheet.pdf", r"(mould, filled )278", "250"),
    ("build-sheet.pdf", r"(\d+ × A3 side panel; )2", "4"),
    ("build-sheet.pdf", r"(one of )2( moulds)", "3 moulds"),
    ("build-sheet.pdf", r"(at the rim 45 mm )43", "41"),
    ("hole-templates.pdf", r"(Status: )holds", "not checked"),
    ("hole-templates.pdf", r"(A1 )front panel", "back panel"),
    ("calculation.md", r"(mould of )113", "112"),
    ("calculation.md", r"(\| 8\.2 \| [^|]*\| )0\.8", "0.9"),
    ("measured.csv", r"(box-width-rim,.*,)362(?=,366)", "361"),
    ("report.html", r'(>A3<.*?<td class="n">)2(?=<)', "4"),
    ("report.html", r"(All )115", "114"),
]  # fmt: skip
"""A paper, where on it, and what is written there instead of what follows the first group."""


@pytest.mark.parametrize(("path", "where", "wrong"), SLIPS, ids=[f"{path} {wrong}" for path, _, wrong in SLIPS])
def test_a_number_changed_on_one_paper_is_seen(papers: Papers, said: Facts, path: str, where: str, wrong: str) -> None:
    doctored, times = re.subn(where, rf"\g<1>{wrong}", papers[path], count=1)
    assert times == 1
    assert doctored != papers[path]
    fresh = set(disagreements(facts({**papers, path: doctored}))) - set(disagreements(said))
    assert fresh != set()
    folder = path.rpartition("/")[0] or path
    assert any(folder in line for line in fresh)


def test_numbers_agree_as_they_are_rounded() -> None:
    """9.225 may stand as 9.2, not as 9.3; 63.45 may stand as 63.5 or 63.4, but these two never stand for the same."""
    for one, other, same in (
        ("9.225", "9.2", True), ("9.225", "9.3", False), ("63.5", "63.4", False), ("1,234", "1234.4", True),
        ("110", "110.4", True), ("110", "110.6", False),
    ):  # fmt: skip
        assert agree(Num.of(one), Num.of(other)) is agree(Num.of(other), Num.of(one)) is same
    assert agree(Num.of("5", 2), Num.of("2.5"))
    assert not agree(count(5, 2), count(2))
