"""HAND-COUNTED: the spread of measures over swimmers, and the table of faults against measures, on made-up numbers."""

import math
import runpy
from pathlib import Path

import pytest
from tolerances import ALGEBRA

from swimsim.ground.conventions import MODEL_LINE
from swimsim.ground.records import Measure
from swimsim.ground.tables import read_toml
from swimsim.validation.cross_talk import Change, cross_talk, matrix_text
from swimsim.validation.spread import spread, spread_text

GALLERY = Path(__file__).resolve().parents[1] / "gallery"


def measure(name, side, value, cycle=None, *, breathing=None, unit="cm"):
    return Measure(name, side, cycle, value, unit, "rule", name, breathing=breathing)


def two_swimmers():
    """Line: 1 and 3 cm, then 5 and 7 cm; each with strokes 1 cm either way of it."""
    for left, right in ((1.0, 3.0), (5.0, 7.0)):
        rows = [measure("line", "left", left), measure("line", "right", right)]
        for side, value in (("left", left), ("right", right)):
            rows += [measure("line", side, value + step, cycle) for cycle, step in enumerate((-1.0, 1.0))]
        yield [*rows, measure("line", "left", 99.0, breathing=True), measure("slope", None, left, unit="deg")]


def test_mean_deviation_and_range_by_hand():
    """1, 3, 5, 7: mean 4, sum of squares 20, deviation sqrt(20 / 3); strokes +-1 about their mean: 1."""
    line, slope = spread(two_swimmers())
    assert (line.measure, line.unit, line.count) == ("line", "cm", 4)
    assert (line.mean, line.least, line.most) == (4.0, 1.0, 7.0)
    assert line.sd == pytest.approx(math.sqrt(20 / 3), abs=ALGEBRA)
    assert line.within == pytest.approx(1.0, abs=ALGEBRA)
    assert (slope.count, slope.mean, slope.unit) == (2, 3.0, "deg")
    assert slope.sd == pytest.approx(math.sqrt(8), abs=ALGEBRA) and math.isnan(slope.within)


def test_what_does_not_exist_is_left_out_and_counted():
    rows = [measure("line", "left", math.nan), measure("line", "right", 2.0), measure("none", None, math.nan)]
    line, none = spread([rows])
    assert (line.count, line.mean, line.least, line.most) == (1, 2.0, 2.0, 2.0) and math.isnan(line.sd)
    assert none.count == 0 and math.isnan(none.mean) and math.isnan(none.most)


def test_an_empty_family_has_no_rows():
    assert spread([]) == ()


def test_the_text_has_a_line_for_each_measure():
    head, line, slope = spread_text(spread(two_swimmers())).split("\n")
    assert head.split() == ["measure", "n", "mean", "sd", "least", "most", "strokes", "unit"]
    assert line.split() == ["line", "4", "4.00", "2.58", "1.00", "7.00", "1.00", "cm"]
    assert slope.split() == ["slope", "2", "3.00", "2.83", "1.00", "5.00", "-", "deg"]
    assert spread_text(spread([[measure("none", None, math.nan)]])).split("\n")[1].split() == [
        "none", "0", "-", "-", "-", "-", "-", "cm",
    ]  # fmt: skip


# ---- faults against measures


def changes():
    """The elbow: owned and moved by 12.3; the line: not owned, by 0.2 on the left and 0.4 on the right; wrist: new."""
    clean = [measure("elbow", "left", 10.0), measure("line", "left", 1.0), measure("line", "right", 1.0)]
    clean += [measure("wrist", None, math.nan), measure("still", None, 3.0)]
    bent = [measure("elbow", "left", 22.3), measure("line", "left", 1.2), measure("line", "right", 0.6)]
    bent += [measure("wrist", None, 2.0), measure("still", None, 3.004)]
    return cross_talk(clean, {"bent": bent, "none": clean}, owns={"bent": {"elbow"}, "none": ()})


def test_the_table_shows_the_greater_side_a_star_for_what_is_owned_and_dots():
    lines = [line.split() for line in matrix_text(changes()).split("\n")]
    assert lines[:2] == [["1", "bent"], ["2", "none"]]
    assert lines[3] == ["measure", "unit", "1", "2"]
    assert lines[4:] == [
        ["elbow", "cm", "12.3*", "."],
        ["line", "cm", "0.40", "."],
        ["wrist", "cm", "new", "."],
        ["still", "cm", ".", "."],  # less than half of the last digit
    ]


def test_columns_stand_under_their_numbers():
    lines = matrix_text(changes()).split("\n")[3:]
    ends = [lines[0].index(" 1") + 2, lines[0].index(" 2") + 2]
    for line in lines[1:]:
        assert [line[end - 7 : end].strip().rstrip("*") != "" for end in ends] == [True, True]


def test_a_fault_without_a_measure_has_a_dot():
    rows = [
        Change("a", "line", None, 0.0, 1.0, 1.0, "cm", True),
        Change("b", "slope", None, 0.0, 2.0, 2.0, "deg", False),
    ]
    table = [line.split() for line in matrix_text(rows).split("\n")[4:]]
    assert table == [["line", "cm", "1.00*", "."], ["slope", "deg", ".", "2.00"]]


# ---- the scripts


def test_the_page_of_faults_against_measures_names_what_goes_too_far():
    script = runpy.run_path(str(GALLERY / "cross_talk.py"))
    rows = [
        Change("a", "line", "left", 0.0, 0.6, 0.6, "cm", False),
        Change("a", "other", "left", 0.0, 0.4, 0.4, "cm", False),
        Change("a", "owned", "left", 0.0, 9.0, 9.0, "cm", True),
        Change("a", "symmetry_index", None, 0.0, 1.5, 1.5, "%", False),
        Change("a", "share", None, 0.0, 0.3, 0.3, "%", False),
        Change("a", "new", None, math.nan, 1.0, math.inf, "%", False),
    ]
    assert script["too_far"](rows) == ["a moves line by 0.6 cm", "a moves share by 0.3 %"]


def nearness_of(text: str) -> tuple[list[float], list[int]]:
    """Greatest severities, and how many swimmers come nearest to each fault, of a page of clean swimmers."""
    rows = [line.split() for line in text.split("nearest of\n")[1].split("\n```")[0].split("\n")]
    return [float(row[1]) for row in rows], [int(row[2]) for row in rows]


def test_the_page_of_clean_swimmers_is_of_a_family(tmp_path, capsys):
    page = tmp_path / "page.md"
    runpy.run_path(str(GALLERY / "clean_swimmers.py"))["main"](["--count", "2", "--page", str(page)])
    text = page.read_text(encoding="utf-8")
    assert "2 swimmers; thrown away on the way: " in capsys.readouterr().out
    assert "shoulder_roll_peak                    4" in text and "Family 0: 2 swimmers; " in text
    severities, nearest = nearness_of(text)
    assert len(severities) >= 18 and max(severities) < 0.25 and sum(nearest) == 2


def test_the_kept_page_of_clean_swimmers_names_every_measure_and_no_swimmer_with_a_fault():
    """Sixty swimmers of family 0: two sides each, every measure of the definitions, nobody a quarter of the way."""
    text = (GALLERY / "clean_swimmers.md").read_text(encoding="utf-8")
    assert MODEL_LINE in text and "Family 0: 60 swimmers; " in text
    severities, nearest = nearness_of(text)
    assert len(severities) >= 18 and max(severities) < 0.25 and sum(nearest) == 60
    rows = {line.split()[0]: line.split() for line in text.split("```")[1].strip().split("\n")[1:]}
    assert set(rows) == set(read_toml("definitions")["measure"])
    assert rows["shoulder_roll_peak"][1] == "120" and rows["speed"][1] == "60"
    for name, (_, _, mean, _, least, most, *_) in rows.items():
        if "-" not in (least, most):
            assert float(least) <= float(mean) <= float(most), name
