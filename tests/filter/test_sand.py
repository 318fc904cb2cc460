"""Sieve files, gradings, verdicts, jar test: every fault has its error, and curves behave."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mouldgeom.errors import FolderError, MeasurementError, TableError
from mouldgeom.filter import sand as sand_module
from mouldgeom.filter.field_tests import FallingHead, JarTest
from mouldgeom.filter.sand import (
    LOSS_LIMIT_C136,
    Grading,
    SieveAnalysis,
    judge,
    opening_of,
    read_sieve_csv,
    sand_ranges,
    sieve_openings,
    verdict,
    who_decides,
)
from mouldgeom.outputs.charts import grading_figure
from mouldgeom.spec import BUILT_IN, load
from mouldgeom.spec.fields import SandGroup

GOOD = "opening_mm,retained_g\n1,5\n0.5,45\n0.25,180\n0.15,160\n0.075,9\n0,1\n"


def write(folder: Path, text: str | bytes) -> Path:
    file = folder / "sand.csv"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return file


# reading


def test_reads_masses(tmp_path: Path) -> None:
    analysis = read_sieve_csv(write(tmp_path, GOOD))
    assert analysis.name == "sand"
    assert analysis.grading.openings == (1, 0.5, 0.25, 0.15, 0.075)
    assert analysis.grading.passing == pytest.approx((98.75, 87.5, 42.5, 2.5, 0.25))
    assert (analysis.retained, analysis.pan, analysis.sample) == ((5, 45, 180, 160, 9), 1, None)


def test_reads_percentages_in_any_order_without_pan(tmp_path: Path) -> None:
    text = "opening_mm,passing_percent,note\n0.15,5,fine\n1,100,\n0.5,80,\n0.25,40,\n"
    analysis = read_sieve_csv(write(tmp_path, text))
    assert analysis.grading == Grading((1, 0.5, 0.25, 0.15), (100, 80, 40, 5))
    assert analysis.loss is None
    assert analysis.check_loss() is None


def test_reads_names_and_a_byte_order_mark_and_blank_lines(tmp_path: Path) -> None:
    names = "\ufeff\n Sieve , Retained_g\n\nNo.20,10\n#40,50\n 60 ,100\n0.15 mm,40\n75 \u00b5m,5\npan,1\n\n"
    grading = read_sieve_csv(write(tmp_path, names)).grading
    assert grading.openings == pytest.approx((0.85, 0.425, 0.25, 0.15, 0.075))


def test_reads_semicolons_with_decimal_commas(tmp_path: Path) -> None:
    text = GOOD.replace(",", ";").replace(".", ",")
    assert read_sieve_csv(write(tmp_path, text)).grading == read_sieve_csv(write(tmp_path, GOOD)).grading


def test_pan_may_be_named_in_the_opening_column_and_hold_nothing(tmp_path: Path) -> None:
    text = "opening_mm,retained_g\n1,5\n0.5,45\n0.25,180\n0.15,160\n0.075,10\nPan,0\n"
    assert read_sieve_csv(write(tmp_path, text)).grading.fines == 0


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "empty"),
        ("\n\n", "empty"),
        ("opening_mm\n1\n", "retained_g and passing_percent"),
        ("retained_g,passing_percent\n1,2\n", "opening_mm and sieve"),
        ("opening_mm,retained_g,passing_percent\n1,2,3\n", "both"),
        ("opening_mm,retaind_g\n1,2\n", "Did you mean retained_g"),
        ("opening_mm,retained_g,retained_g\n1,2,3\n", "twice"),
        ("1,5\n0.5,45\n", "is none of"),
        ("hello there\nthis is prose\n", "is none of"),
        ("opening_mm,retained_g\n", "no pan"),
        ("opening_mm,retained_g\n1,10\n0,5\n", "at least two"),
        (GOOD.replace("45", "forty"), "line 3, retained_g = forty: is not a number"),
        (GOOD.replace("45", ""), "is not a number"),
        (GOOD.replace("45", "nan"), "is not a number"),
        (GOOD.replace("45", "1e999"), "is not a number"),
        (GOOD.replace("45", "4_5"), "is not a number"),
        (GOOD.replace("45", "-45"), "below zero"),
        (GOOD.replace("0.5,", "-0.5,"), "below zero"),
        (GOOD.replace("0.5,", "half,"), "is not a number"),
        (GOOD.replace("0.5,", "1.0,"), "is there already"),
        (GOOD + "pan,3\n", "the pan: is there already"),
        (GOOD.replace("0,1\n", ""), "no pan"),
        ("opening_mm,retained_g\n1,0\n0.5,0\n0,0\n", "add up to"),
        (GOOD.replace("45", "45,7"), "has 3 fields"),
        (GOOD.replace("45", "1e308").replace("180", "1e308"), "is not a number"),
        (GOOD.replace("0.075,", "1e-320,"), "no size of a sieve"),
        ('opening_mm,retained_g\n1,"5\n0.5,3\n', "quotation mark that is not closed"),
        ("opening_mm,passing_percent\n1,100\n0.5,40\n0.25,45\n0.1,2\n", "is more than the 40 %"),
        ("opening_mm,passing_percent\n1,101\n0.5,40\n0.1,2\n", "between 0 and 100"),
        ("opening_mm,passing_percent\n1,100\n0.5,40\n0.1,2\n0,1\n", "nothing passes the pan"),
        ("opening_mm,passing_percent\n1,100\n0.5,40\n0.15,12\n", "Sieve again with a finer sieve"),
        ("opening_mm,passing_percent\n1,50\n0.5,40\n0.15,2\n", "Sieve again with a coarser sieve"),
        ("opening_mm,passing_percent,sample_g\n1,100,500\n0.5,40,\n0.15,2,\n", "with retained_g"),
        ("sieve,retained_g\nNo.21,5\nNo.40,5\npan,1\n", "is not the name of a sieve"),
        ("sieve,retained_g\n4.75,5\nNo.40,5\npan,1\n", "is not the name of a sieve"),
        ("sieve,retained_g\n-1 mm,5\nNo.40,5\npan,1\n", "below zero"),
        (b"opening_mm,retained_g\n1,\xff\xfe5\n", "is not a number"),
        ("opening_mm,retained_g\n1,5\n".encode("utf-16"), "a file that is no text"),
        (b"\x00\x01\x02", "a file that is no text"),
        (b"note\n" + b"x" * 1_000_001, "over 1 MB"),
    ],
)
def test_each_fault_is_named(tmp_path: Path, text: str | bytes, message: str) -> None:
    with pytest.raises(MeasurementError) as caught:
        read_sieve_csv(write(tmp_path, text))
    assert message in str(caught.value)
    assert caught.value.remedy


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(FolderError, match="nowhere"):
        read_sieve_csv(tmp_path / "nowhere.csv")
    with pytest.raises(FolderError, match="sieve file"):
        read_sieve_csv(tmp_path)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused_in_words(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    file = write(tmp_path_factory.getbasetemp(), b"opening_mm,retained_g\n" + data)
    try:
        grading = read_sieve_csv(file).grading
    except MeasurementError:
        return
    assert 0 < grading.d10 <= grading.d60


# loss of mass


@pytest.mark.parametrize(
    ("sample", "loss", "verdict_"), [(400, 0, "within"), (403, 0.744, "within"), (405, 1.235, "mass lost")]
)
def test_loss_check(tmp_path: Path, sample: float, loss: float, verdict_: str) -> None:
    analysis = read_sieve_csv(write(tmp_path, GOOD), sample_g=sample)
    finding = analysis.check_loss()
    assert finding is not None
    assert finding.ends[0].value == pytest.approx(loss, abs=1e-3)
    assert finding.word == verdict_
    assert finding.evidence == "common practice"


def test_stricter_loss_check_and_gain(tmp_path: Path) -> None:
    strict = read_sieve_csv(write(tmp_path, GOOD), sample_g=403).check_loss(LOSS_LIMIT_C136)
    assert strict is not None
    assert (strict.holds, strict.ends[0].source, strict.evidence) == (False, "ASTM C136", "memory")
    gain = read_sieve_csv(write(tmp_path, GOOD), sample_g=390).check_loss()
    assert gain is not None
    assert gain.word == "mass gained"
    assert "weigh again" in gain.line()


def test_sample_column_and_its_contradictions(tmp_path: Path) -> None:
    text = GOOD.replace("retained_g\n", "retained_g,sample_g\n").replace("1,5\n", "1,5,402\n")
    for size, mass in (("0.5", 45), ("0.25", 180), ("0.15", 160), ("0.075", 9), ("0", 1)):
        text = text.replace(f"\n{size},{mass}\n", f"\n{size},{mass},\n")
    assert read_sieve_csv(write(tmp_path, text)).sample == 402
    assert read_sieve_csv(write(tmp_path, text), sample_g=402).sample == 402
    with pytest.raises(MeasurementError, match="400 g and 402 g"):
        read_sieve_csv(write(tmp_path, text), sample_g=400)
    with pytest.raises(MeasurementError, match="above zero"):
        read_sieve_csv(write(tmp_path, GOOD), sample_g=0)


# names of sieves


@pytest.mark.parametrize(
    ("name", "opening"),
    [
        ("No.20", 0.85), ("No. 20", 0.85), ("no 20", 0.85), ("#20", 0.85), ("20", 0.85), ("0.25 mm", 0.25),
        ("0.250 mm", 0.25), ("250 um", 0.25), ("250 \u00b5m", 0.25), ("1/2 in", 12.5), ("pan", 0), ("PAN", 0),
        ("0", 0), ("No.3.5", 5.6), ("No. 3 1/2", 5.6), ("#3-1/2", 5.6), ("3 1/2", 5.6), ("3/4 in", 19), ('3/4"', 19),
        ("3/4 inch", 19), ("1 in", 25), ("1 in.", 25), ("1 1/2 in", 37.5), ("1-1/2 in", 37.5), ("0.5 in", 12.7),
    ],
)  # fmt: skip
def test_names_of_sieves(name: str, opening: float) -> None:
    assert opening_of(name) == pytest.approx(opening)


def test_tables_are_complete() -> None:
    assert all(size > 0 for size in sieve_openings().values())
    deciding = [row.quantity for row in sand_ranges() if row.decides]
    assert set(deciding) == {"effective size d10", "uniformity coefficient", "fines"}
    assert all(row.source for row in sand_ranges())
    assert {row.evidence for row in sand_ranges()} <= {"seen", "part seen", "memory"}
    assert not any(row.decides for row in sand_ranges() if row.evidence == "memory")


# gradings


@st.composite
def gradings(draw: st.DrawFn) -> Grading:
    sizes = draw(st.lists(st.floats(0.03, 8), min_size=2, max_size=9, unique_by=lambda x: round(x, 3)))
    count = len(sizes)
    inner = draw(st.lists(st.floats(0, 100), min_size=count - 2, max_size=count - 2))
    return Grading(tuple(sorted(sizes, reverse=True)), (100.0, *sorted(inner, reverse=True), 0.0))


@given(gradings(), st.floats(1, 99), st.floats(1, 99))
def test_size_rises_with_percent(grading: Grading, one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert grading.size_at(low) <= grading.size_at(high) * (1 + 1e-12)
    assert grading.openings[-1] * (1 - 1e-12) <= grading.size_at(low)
    assert grading.size_at(high) <= grading.openings[0] * (1 + 1e-12)


@given(gradings())
def test_coefficients_and_fractions(grading: Grading) -> None:
    assert grading.uniformity >= 1 - 1e-12
    assert grading.d10 <= grading.d30 * (1 + 1e-12) <= grading.d60 * (1 + 1e-12)
    assert sum(part.share for part in grading.fractions()) == pytest.approx(1)


@given(gradings(), st.floats(0.5, 2))
def test_sizes_scale(grading: Grading, factor: float) -> None:
    scaled = Grading(tuple(size * factor for size in grading.openings), grading.passing)
    assert scaled.d10 == pytest.approx(factor * grading.d10)
    assert scaled.uniformity == pytest.approx(grading.uniformity)


def test_flat_part_of_a_curve_gives_the_smaller_size() -> None:
    grading = Grading((1, 0.5, 0.25, 0.125), (100, 10, 10, 0))
    assert grading.d10 == pytest.approx(0.25)
    assert Grading((1, 0.5), (100, 10)).d10 == 0.5


@pytest.mark.parametrize(
    ("openings", "passing"),
    [((1,), (100,)), ((1, 0.5), (100,)), ((0.5, 1), (100, 0)), ((1, 1), (100, 0)), ((1, 0), (100, 0)),
     ((1, 0.5), (50, 60)), ((1, 0.5), (float("nan"), 0)), ((1, float("nan")), (100, 0))],
)  # fmt: skip
def test_what_is_no_grading(openings: tuple[float, ...], passing: tuple[float, ...]) -> None:
    with pytest.raises(MeasurementError):
        Grading(openings, passing)


def test_fines_are_interpolated_or_bounded() -> None:
    assert Grading((1, 0.15, 0.0375), (100, 8, 0)).fines == pytest.approx(4)
    coarse = Grading((1, 0.15), (100, 6))
    assert (coarse.fines, coarse.fines_at_most) == (None, 6)
    dust = Grading((0.05, 0.01), (80, 0))
    assert (dust.fines, dust.fines_at_most) == (80, 80)


# verdicts


def sand(d10: float, uniformity: float, fines: float = 0.2) -> Grading:
    return Grading((d10 * uniformity * 2, d10 * uniformity, d10, 0.075), (100, 60, 10, fines))


@pytest.mark.parametrize(
    ("grading", "words"),
    [
        (sand(0.20, 2.0, 0.1), "within the published ranges"),
        (sand(0.10, 2.0, 0.1), "too fine"),
        (sand(0.40, 2.0, 0.1), "too coarse"),
        (sand(0.20, 1.3, 0.1), "within the published ranges"),  # only informs: it can serve
        (sand(0.20, 3.5, 0.1), "not uniform enough"),
        (sand(0.20, 2.0, 5.0), "wash it"),
        (sand(0.10, 2.8, 2.0), "too fine, not uniform enough, wash it"),
    ],
)
def test_verdict(grading: Grading, words: str) -> None:
    assert verdict(judge(grading)) == words


def test_one_range_decides_for_each_quantity_and_the_reader_is_told_which_and_why() -> None:
    """d10 0.17 mm is below one published range and within the one that decides: only the latter is held against it."""
    findings = judge(sand(0.17, 2.0, 0.1))
    assert sorted(f.code for f in findings) == ["sand-d10", "sand-fines", "sand-uniformity"]
    assert all(finding.holds for finding in findings)
    (size,) = [line for line in who_decides() if "effective size d10" in line]
    assert size.startswith("Wanted effective size d10: 0.15 to 0.35 mm (Virginia")
    assert size.index("Others inform: ") < size.index("0.2 to 0.4 mm (The Constructor")
    assert len(who_decides()) == 3
    assert all("which decides: " in line for line in who_decides())


def test_text_picture_and_default_agree_on_the_effective_size(lettered: list[str]) -> None:
    row = next(row for row in sand_ranges() if row.quantity == "effective size d10" and row.decides)
    default = load(BUILT_IN).sand.effective_size
    assert row.low is not None
    assert row.high is not None
    assert row.low <= default <= row.high
    assert row.low <= SandGroup().effective_size <= row.high
    grading_figure(sand(default, 2.0))
    (finding,) = [f for f in judge(sand(default, 2.0)) if f.code == "sand-d10"]
    assert tuple(end.limit for end in finding.ends) == (row.low, row.high)
    assert {f"wanted d10: {row.low:g} to {row.high:g} mm", f"wanted d10 by {row.source}"} <= set(lettered)


def test_a_quantity_for_which_two_ranges_decide_is_a_fault_of_the_table(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = sand_module._table("sand_ranges.csv", "quantity low high unit role use source evidence note")
    monkeypatch.setattr(sand_module, "_table", lambda *_: [{**row, "role": "decides"} for row in rows])
    sand_ranges.cache_clear()
    with pytest.raises(TableError, match="each quantity once"):
        sand_ranges()
    monkeypatch.undo()
    assert sand_ranges()


def test_fines_that_no_sieve_measured() -> None:
    findings = judge(Grading((1, 0.4, 0.2, 0.15), (100, 60, 10, 3)))
    assert verdict(findings) == "fines not known"
    assert any("jar test" in finding.cure for finding in findings)
    (fines,) = [finding for finding in findings if finding.code == "sand-fines"]
    assert fines.line().startswith("fines and all else that passes the finest sieve (0.15 mm) 3 %: fines not known")
    assert not any(finding.line().startswith("fines 3 %") for finding in findings)
    assert verdict(judge(Grading((1, 0.4, 0.2, 0.15), (100, 60, 10, 0.4)))) == "within the published ranges"


def test_each_finding_reads_as_a_line() -> None:
    for finding in judge(sand(0.10, 4.0, 9.0)):
        assert finding.title in finding.line()
        assert finding.ends[0].source in finding.line()
        assert finding.holds or finding.cure


# jar and standpipe


def test_jar() -> None:
    assert JarTest(95, 5).silt == pytest.approx(5)
    assert JarTest(95, 5).check().holds
    assert JarTest(90, 10).check().word == "wash it"
    assert JarTest(90, 0).silt == 0
    assert JarTest(90, 3).check().evidence == "common practice"
    for sand_mm, silt_mm in ((0, 3), (-1, 3), (90, -1), (float("nan"), 1)):
        with pytest.raises(MeasurementError, match="settled"):
            JarTest(sand_mm, silt_mm)


@pytest.mark.parametrize("change", [{"h2": 500}, {"h2": 600}, {"h2": 0}, {"time": 0}, {"length": -1}, {"tube_area": 0}])
def test_falling_head_refuses(change: dict[str, float]) -> None:
    values = {
        "length": 100, "sample_area": 1963, "tube_area": 78.5, "h1": 500, "h2": 250, "time": 600, "temperature": 20,
    }  # fmt: skip
    with pytest.raises(MeasurementError):
        FallingHead(**{**values, **change})


def test_analysis_of_a_bare_grading_has_no_loss() -> None:
    assert SieveAnalysis("bare", Grading((1, 0.1), (100, 0))).loss is None
