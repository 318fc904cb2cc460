"""The one verdict: when it holds, how much of its limit it uses, in which order verdicts stand, and its record."""

from __future__ import annotations

import ast
import json
import math

import pytest
from conftest import ROOT
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom import checks
from mouldgeom.checks import Case, run_checks
from mouldgeom.front.answers import result_text
from mouldgeom.outputs.page.sections import checks as page_checks
from mouldgeom.verdict import NOISE, Operator, Verdict, by_code, in_order, worst_first
from mouldgeom.words import Words

NUMBERS = st.floats(-1e9, 1e9)
OPERATORS = st.sampled_from(Operator)
CODES = st.one_of(
    st.text(),
    st.lists(st.one_of(st.integers(0, 300).map(str), st.sampled_from(["a", "lift", "", "²", "٣", "-"]))).map(".".join),
)


def held(code: str, value: float, limit: float, operator: Operator = Operator.AT_LEAST) -> Verdict:
    return Verdict(code, "a title", value, limit, operator, "mm", "somewhere", "a source")


def test_record_has_the_promised_keys_and_is_plain_json() -> None:
    record = held("4.1", 45.00004, 45.0).record()
    assert json.loads(json.dumps(record, allow_nan=False)) == {
        "code": "4.1",
        "title": "a title",
        "passed": True,
        "provided": 45.0,
        "required": 45.0,
        "operator": ">=",
        "unit": "mm",
        "where": "somewhere",
        "source": "a source",
    }


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_cannot_be_measured_is_null_in_the_record(value: float) -> None:
    record = held("1.1", value, 1.0).record()
    assert record["provided"] is None
    json.dumps(record, allow_nan=False)


def test_nan_fails_whichever_way_it_is_compared() -> None:
    for operator in Operator:
        found = held("1.1", math.nan, 1.0, operator)
        assert not found.holds
        assert found.use == math.inf


def test_no_negative_zero_in_the_record() -> None:
    assert str(held("1.1", -0.0, -0.0).record()["provided"]) == "0.0"


@pytest.mark.parametrize(
    ("value", "limit", "operator", "holds", "use"),
    [
        (50.0, 45.0, Operator.AT_LEAST, True, 0.9),
        (45.0, 45.0, Operator.AT_LEAST, True, 1.0),
        (44.99, 45.0, Operator.AT_LEAST, False, 45 / 44.99),
        (0.0, 45.0, Operator.AT_LEAST, False, math.inf),
        (0.5, 1.0, Operator.AT_MOST, True, 0.5),
        (1.5, 1.0, Operator.AT_MOST, False, 1.5),
        (0.0, 0.0, Operator.AT_MOST, True, 0.0),
        (1.0, 0.0, Operator.AT_MOST, False, math.inf),
        (45.0 - 4e-5, 45.0, Operator.AT_LEAST, True, 1.0),
        (1000.0 + 9e-4, 1000.0, Operator.AT_MOST, True, 1.0),
        (math.inf, 45.0, Operator.AT_LEAST, True, 0.0),
        (math.inf, 45.0, Operator.AT_MOST, False, math.inf),
    ],
)
def test_holds_and_share_of_the_limit(value: float, limit: float, operator: Operator, holds: bool, use: float) -> None:
    found = held("9.9", value, limit, operator)
    assert found.holds is holds
    assert found.use == pytest.approx(use)


def test_worst_first_puts_failures_then_the_most_used() -> None:
    fine, tight = held("1.1", 90.0, 45.0), held("1.2", 46.0, 45.0)
    bad, worse = held("2.1", 44.0, 45.0), held("2.2", 10.0, 45.0)
    tie = held("1.3", 46.0, 45.0)
    ordered = worst_first((fine, tie, tight, bad, worse))
    assert [r.code for r in ordered] == ["2.2", "2.1", "1.2", "1.3", "1.1"]


@given(NUMBERS, OPERATORS)
def test_at_the_limit_it_holds_and_beyond_the_noise_it_fails(limit: float, operator: Operator) -> None:
    way = -1 if operator is Operator.AT_LEAST else 1
    slack = NOISE * max(1.0, abs(limit))
    assert held("1", limit, limit, operator).holds
    assert held("1", limit + way * slack / 2, limit, operator).holds
    assert held("1", limit - way * 1e3 * slack, limit, operator).holds
    assert not held("1", limit + way * 2 * slack, limit, operator).holds


@given(st.floats(1e-3, 1e9), st.floats(1e-3, 1e9), OPERATORS)
def test_more_than_the_limit_is_used_where_it_fails(value: float, limit: float, operator: Operator) -> None:
    found = held("1", value, limit, operator)
    assert found.holds or found.use > 1
    assert found.use <= 1 + 2 * NOISE * max(1.0, limit) / min(value, limit) or not found.holds


@given(NUMBERS, NUMBERS)
def test_of_two_that_differ_one_way_holds_and_the_other_fails(value: float, limit: float) -> None:
    found = {held("1", value, limit, operator).holds for operator in Operator}
    assert found == {True, False} or (found == {True} and abs(value - limit) <= NOISE * max(1.0, abs(limit)))


def test_a_verdict_has_no_cure_until_one_is_known() -> None:
    assert held("1", 1.0, 2.0).cure == ""
    assert "cure" not in held("1", 1.0, 2.0).record()


# ---------------------------------------------------------------- order


def test_numbers_in_a_code_count_as_numbers() -> None:
    codes = ["lift", "2.10", "12.1", "9.a", "2.9", "9.10", "2", "10.1", "9.1", "", "lift 10", "lift 9", "2.9.1"]
    assert sorted(codes, key=in_order) == [
        *("", "2", "2.9", "2.9.1", "2.10", "9.1", "9.10", "9.a", "10.1", "12.1", "lift", "lift 9", "lift 10"),
    ]


@given(st.lists(CODES, unique=True), st.randoms())
def test_any_codes_have_one_order(codes: list[str], chance: st.randoms) -> None:
    expected = sorted(codes, key=in_order)
    chance.shuffle(codes)
    assert sorted(codes, key=in_order) == expected
    assert len({in_order(code) for code in codes}) == len(codes)


@given(st.integers(0, 999), st.integers(0, 999), st.integers(0, 999), st.integers(0, 999))
def test_codes_of_chapters_stand_as_their_numbers_do(a: int, b: int, c: int, d: int) -> None:
    assert (in_order(f"{a}.{b}") < in_order(f"{c}.{d}")) == ((a, b) < (c, d))


@given(st.lists(st.tuples(CODES, st.sampled_from([0.0, 40.0, 45.0, 46.0]))))
def test_verdicts_are_put_in_order_and_none_is_lost(given_: list[tuple[str, float]]) -> None:
    verdicts = [held(code, value, 45.0) for code, value in given_]
    ordered = worst_first(verdicts)
    assert sorted(map(repr, ordered)) == sorted(map(repr, verdicts)) == sorted(map(repr, by_code(verdicts)))
    assert [one.holds for one in ordered] == sorted(one.holds for one in verdicts)
    assert [one.code for one in by_code(verdicts)] == sorted((one.code for one in verdicts), key=in_order)


def test_of_those_that_use_as_much_the_lower_number_stands_first() -> None:
    ordered = worst_first([held(code, 46.0, 45.0) for code in ("10.1", "lift", "2.10", "2.9")])
    assert [one.code for one in ordered] == ["2.9", "2.10", "10.1", "lift"]


def test_a_check_of_ones_own_sorts_and_prints(hill_case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    def check_lift(case: Case) -> tuple[Verdict, ...]:
        lugs = Verdict("lift", "pull on a lifting lug", 12.5, 10.0, Operator.AT_MOST, "kN", "back panel", "own rule")
        return lugs, Verdict("9.a", "lugs", 2.0, 2.0, Operator.AT_LEAST, "-", "back panel", "own rule")

    monkeypatch.setattr(checks, "CHECKS", (check_lift, checks.check_pitch, checks.check_cutting))
    results = run_checks(hill_case.solids, hill_case)
    codes = [one.code for one in results]
    assert codes[-2:] == ["9.a", "lift"]
    assert worst_first(results)[0].code == "lift"
    printed = "\n".join(map(result_text, worst_first(results)))
    assert printed.startswith("FAIL  lift  pull on a lifting lug\n            12.5 <= 10 kN  at: back panel\n")
    assert "ok    9.a   lugs\n            2 >= 2  at: back panel\n" in printed
    page = page_checks(Words(), results)
    assert page.index("<td>lift</td>") < min(page.index(f"<td>{code}</td>") for code in codes[:-1])


# ---------------------------------------------------------------- no second one


PAIRS = ({"value", "limit"}, {"provided", "required"}, {"value", "bound", "at_least"}, {"value", "operator"})


def verdict_like(source: str) -> list[str]:
    """Classes of a module with a field for the value and one for the limit that it is held against."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ClassDef):
            fields = {ast.unparse(f.target) for f in node.body if isinstance(f, ast.AnnAssign)}
            if any(pair <= fields for pair in PAIRS):
                found.append(node.name)
    return found


def test_a_second_class_would_be_seen() -> None:
    assert verdict_like("class Need:\n    code: str\n    provided: float\n    required: float\n") == ["Need"]


def test_no_second_class_holds_a_value_against_a_limit() -> None:
    """Whatever is judged is a `Verdict`, holds some, or is one with a field more."""
    found = {
        str(path.relative_to(ROOT)): names
        for path in sorted((ROOT / "mouldgeom").rglob("*.py"))
        if (names := verdict_like(path.read_text("utf-8")))
    }
    assert found == {"mouldgeom/verdict.py": ["Verdict"]}
