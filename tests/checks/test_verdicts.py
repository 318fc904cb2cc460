"""No verdict, wherever it is printed, shows a value that fails and its limit as the same number."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_specs import profile

from mouldgeom.filter.changes import _against
from mouldgeom.filter.findings import within
from mouldgeom.front.answers import result_text
from mouldgeom.inspection.critical import Critical, Occasion, Subject
from mouldgeom.inspection.cures import Mend
from mouldgeom.inspection.rework import Deviation
from mouldgeom.nesting.two_units import StockFit, list_text
from mouldgeom.outputs.asbuilt_picture import _told
from mouldgeom.outputs.asbuilt_report import _deviation, _result_lines
from mouldgeom.outputs.calculation import _missed, _requirements
from mouldgeom.outputs.page.sections import _requirements as page_requirements
from mouldgeom.outputs.page.sections import checks as page_checks
from mouldgeom.outputs.records import json_bytes
from mouldgeom.outputs.size_report import _bound, _stage_line, _why, limit_record
from mouldgeom.strength.book import _missed as missed_by_a_substitute
from mouldgeom.units import decimals, four_figures, plain, told_apart
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import LANGUAGES, Words

pytestmark = pytest.mark.slow

NUMBER = r"(-?\d[\d.,\u202f\u00a0]*)"
Printer = Callable[[float, float, bool], tuple[str, str]]
"""Value and limit as they are printed, of a value, its limit, and whether that is the least allowed."""


def pair(pattern: str, text: str) -> tuple[str, str]:
    found = re.search(pattern.replace("NUMBER", NUMBER), text)
    assert found is not None, text
    return found[1], found[2]


def check(value: float, limit: float, at_least: bool) -> Verdict:
    operator = Operator.AT_LEAST if at_least else Operator.AT_MOST
    return Verdict("9.99", "title", value, limit, operator, "mm", "here", "source")


def bound(value: float, limit: float, at_least: bool) -> Verdict:
    return replace(check(value, limit, at_least), title="name", unit="l")


def answer(value: float, limit: float, at_least: bool) -> Any:
    sizing = SimpleNamespace(limits=(bound(value, limit, at_least),), binding="name", reasons=())
    return SimpleNamespace(sizing=sizing)


def in_record(record: dict[str, Any], value: str, limit: str) -> tuple[str, str]:
    read = json.loads(json_bytes(record))
    return repr(read[value]), repr(read[limit])


def finding(value: float, limit: float, at_least: bool) -> str:
    low, high = (limit, None) if at_least else (None, limit)
    return within("code", "what", value, low, high, "mm", source="source", evidence="seen").line()


def measured(value: float, limit: float, at_least: bool) -> str:
    low, high = (limit, limit + 5) if at_least else (limit - 5, limit)
    item = Critical(Subject.BOX_WIDTH, (), "what", Occasion.BOX, (low + high) / 2, low, high, "tool", "why", "source")
    text = next(iter(_deviation(Deviation(item, value, 0.0, True, Mend.SHIM, "advice"), Words())))
    found = re.search(rf"box-width: {NUMBER} mm, wanted {NUMBER} to {NUMBER} mm", text)
    assert found is not None, text
    return f"{found[1]} against {found[2 if at_least else 3]}"


def fit(value: float, limit: float, _: bool) -> str:
    return list_text((), (StockFit("", 2, value, limit, 0.0, 1, False, None, ()),))


KINDS: dict[str, Printer] = {
    "check on the command line": lambda *v: pair(r"NUMBER [<>]= NUMBER", result_text(check(*v))),
    "check as JSON": lambda *v: in_record(check(*v).record(), "provided", "required"),
    "as built": lambda *v: pair(r": NUMBER [<>]= NUMBER", next(iter(_result_lines((check(*v),))))),
    "as built, deviation": lambda *v: pair(r"NUMBER against NUMBER", measured(*v)),
    "as built, picture": lambda value, limit, _: _told(min(value, limit), max(value, limit)),
    "size, limits": lambda *v: pair(r"name: NUMBER l, at \w+ NUMBER l", "\n".join(_why(answer(*v)))),
    "size, binding": lambda *v: pair(r"NUMBER against NUMBER", _bound(answer(*v).sizing)),
    "size as JSON": lambda *v: in_record(limit_record(bound(*v)), "value", "bound"),
    "size, refusal": lambda *v: pair(r"is NUMBER l, allowed is at \w+ NUMBER l", _against(bound(*v))),
    "size, strength": lambda value, limit, _: pair(
        r"needs NUMBER MPa of NUMBER MPa", _stage_line(check(max(value, limit), min(value, limit), False))
    ),
    "substitute withheld": lambda *v: pair(r"NUMBER against NUMBER", missed_by_a_substitute(check(*v))),
    "finding": lambda *v: pair(r"what NUMBER mm: .* at \w+ NUMBER mm", finding(*v)),
    "pieces out of a bar": lambda *v: pair(r"NUMBER mm together,.*one length of NUMBER mm", fit(*v)),
}
for language in LANGUAGES:
    words = Words(language)
    KINDS |= {
        f"calculation, table, {language}": lambda *v, words=words: pair(
            r"\| NUMBER mm \| [<>]= NUMBER mm", "\n".join(_requirements((check(*v),), words))
        ),
        f"calculation, head, {language}": lambda *v, words=words: pair(
            r"NUMBER mm, .* [<>]= NUMBER mm", _missed(check(*v), words)
        ),
        f"report page, checks, {language}": lambda *v, words=words: pair(
            r">NUMBER mm<.*[≤≥] NUMBER mm", page_checks(words, (check(*v),))
        ),
        f"report page, calculation, {language}": lambda *v, words=words: pair(
            r">NUMBER mm<.*[≤≥] NUMBER mm", page_requirements(words, (check(*v),))
        ),
    }


@pytest.mark.parametrize("kind", KINDS)
@profile(100)
@given(
    limit=st.one_of(st.sampled_from([15.0, 42.0, 0.4, 1.0, 60.0, 99.996, 1435.0]), st.floats(0.01, 20000)),
    exponent=st.floats(-5.5, -0.5),
    at_least=st.booleans(),
)
def test_a_value_that_fails_never_looks_like_its_limit(
    kind: str, limit: float, exponent: float, at_least: bool
) -> None:
    value = limit + (-1 if at_least else 1) * 10**exponent * max(1.0, limit)
    nothing = kind == "as built, picture" and abs(value - limit) < 2e-3  # not enough to be called thin
    if value <= 0 or nothing or (kind == "size, strength" and at_least):
        return
    shown, bounded = KINDS[kind](value, limit, at_least)
    assert shown != bounded


@pytest.mark.parametrize("kind", KINDS)
def test_the_values_that_gave_the_rule_away(kind: str) -> None:
    for value, limit, at_least in ((15.0015, 15.0, False), (41.9985, 42.0, True)):
        shown, bounded = KINDS[kind](value, limit, at_least)
        assert shown != bounded
        assert (len(bounded) < len(shown)) or "picture" in kind or "strength" in kind or "JSON" in kind


def test_the_share_that_is_used_is_not_all_where_it_fails() -> None:
    page = page_checks(Words(), (check(15.00004, 15.0, False),))
    (share,) = re.findall(r"([\d.]+) %<", page)
    assert float(share) > 100


@given(st.floats(0.001, 1e6), st.booleans())
def test_what_holds_is_written_as_ever(value: float, at_least: bool) -> None:
    assert told_apart(value, value, True, four_figures) == (four_figures(value), four_figures(value))
    assert float(four_figures(value)) == pytest.approx(value, rel=5e-4, abs=5e-7)
    assert plain(value, decimals(value)) == four_figures(value)


def test_noise_is_no_failure() -> None:
    """A range's end counts as within it, whatever the last bits are."""
    assert within("c", "w", 0.1 + 0.2, None, 0.3, "mm", source="s", evidence="seen").holds
    assert not within("c", "w", 0.3001, None, 0.3, "mm", source="s", evidence="seen").holds
    assert math.isclose(0.1 + 0.2, 0.3)
