"""HAND-COUNTED tables and pairs, SECOND METHOD for the matching: what validation says about a reading."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stick_swimmer import Stick, stick_trace
from tolerances import ALGEBRA

from swimsim.ground.records import Event, Measure
from swimsim.ground.tables import read_toml
from swimsim.metrics import Reading, measure_trace
from swimsim.validation.cross_talk import cross_talk, cross_talk_text, greatest_outside
from swimsim.validation.event_match import match_times, score_events, score_times
from swimsim.validation.recovery import COLUMNS, error, grade, recovery_rows, recovery_text
from swimsim.validation.study import recovery_study, with_noise


def one(measure, value, *, side=None, cycle=None, breathing=None, unit="deg", reason=None):
    return Measure(measure, side, cycle, value, unit, "rule", measure, breathing=breathing, reason=reason)


def reading(*measures):
    return Reading((), measures, {}, {}, "by hand")


# ---- events


def test_worked_example_of_matching():
    """Five true, six found; three pairs inside 50 ms, one duplicate: F = 6/11 (hand count)."""
    true, found = [0.5, 1.0, 1.5, 2.0, 2.5], [0.49, 1.06, 1.52, 2.0, 2.02, 3.0]
    score = score_times(true, found, within_s=0.05)
    assert (score["n_true"], score["n_found"], score["n_matched"]) == (5, 6, 3)
    assert score["precision"] == pytest.approx(0.5, abs=ALGEBRA)
    assert score["recall"] == pytest.approx(0.6, abs=ALGEBRA)
    assert score["f"] == pytest.approx(6 / 11, abs=ALGEBRA)
    # Errors -10, 20, 0 ms: mean 10/3, SD sqrt(700/3), RMS sqrt(500/3).
    assert 1000 * score["bias_s"] == pytest.approx(10 / 3, abs=1e-9)
    assert 1000 * score["sd_s"] == pytest.approx(np.sqrt(700 / 3), abs=1e-9)
    assert 1000 * score["rms_s"] == pytest.approx(np.sqrt(500 / 3), abs=1e-9)


def test_a_hit_on_the_edge_counts_and_matching_is_not_greedy():
    assert len(match_times([1.0], [1.05], within_s=0.05)) == 1
    assert len(match_times([1.0], [1.0501], within_s=0.05)) == 0
    # Greedy by nearest would pair 1.04 with 1.05 and leave 1.0 and 1.09 alone.
    assert len(match_times([1.0, 1.05], [1.04, 1.09], within_s=0.05)) == 2


def test_nothing_true_and_nothing_found_is_undefined_not_zero():
    score = score_times([], [], within_s=0.05)
    assert score["n_true"] == score["n_found"] == 0
    assert np.isnan([score[k] for k in ("precision", "recall", "f", "bias_s")]).all()
    assert score_times([1.0], [], within_s=0.05)["recall"] == 0
    assert np.isnan(score_times([1.0], [], within_s=0.05)["precision"])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0, 1), max_size=5), st.lists(st.floats(0, 1), max_size=5))
def test_matching_is_the_best_of_all_by_trying_all(true, found):
    """SECOND METHOD: every one-to-one assignment is tried."""
    pairs = match_times(true, found, within_s=0.1)
    assert len(set(pairs[:, 0])) == len(set(pairs[:, 1])) == len(pairs)
    short, long = sorted((true, found), key=len)
    best = (0, 0.0)
    for order in itertools.permutations(long, len(short)):
        gaps = [abs(a - b) for a, b in zip(short, order, strict=True) if abs(a - b) <= 0.1 + 1e-9]
        best = max(best, (len(gaps), -sum(gaps)))
    total = sum(abs(true[i] - found[j]) for i, j in pairs)
    assert len(pairs) == best[0]
    assert total == pytest.approx(-best[1], abs=1e-9)


def test_scores_by_event_and_side_and_only_where_truth_reaches():
    true = [Event("entry", "left", c, 1.0 + c, "r") for c in range(3)]
    found = [Event("entry", "left", c, 1.01 + c, "r") for c in range(5)]  # two more after the truth ends
    scores = {(s.event, s.side): s for s in score_events(true, found, within_s=0.05)}
    assert len(scores) == 10
    left = scores["entry", "left"]
    assert (left.n_true, left.n_found, left.n_matched, left.f) == (3, 3, 3, 1.0)
    assert left.bias_s == pytest.approx(0.01, abs=1e-9)
    assert np.isnan(scores["exit", "left"].f)
    inside = score_events(true, found, between_s=(1.5, 10.0))[0]
    assert (inside.n_true, inside.n_found) == (2, 4)
    assert "precision 1.000" in str(left)


# ---- the table


def test_table_has_the_columns_of_the_contract_and_the_error_is_recovered_minus_truth():
    found = reading(
        one("elbow_least", 101.5, side="left"), one("elbow_least", 101.0, side="left", cycle=0),
        one("elbow_least", np.nan, side="left", cycle=1, reason="gap"),
    )  # fmt: skip
    targets = {("elbow_least", "left"): 99.0}
    rows = recovery_rows("fault", [one("elbow_least", 100.0, side="left")], found, targets=targets)
    assert [tuple(row) for row in rows] == [COLUMNS] * 3
    assert [row["error"] for row in rows[:2]] == [1.5, 1.0]
    assert rows[0]["set"] == 99.0
    assert np.isnan(rows[2]["error"])
    assert rows[2]["reason"] == "gap"
    text = recovery_text(rows, rule="by hand")
    assert "good" in text
    assert text.endswith("Rule: by hand")


def test_truth_by_cycle_is_taken_over_the_cycles_that_were_read():
    """Period of two cycles, 10 and 20; read in cycles 0, 1, 2: the truth is (10 + 20 + 10) / 3."""
    truth = [one("pull_line", 15.0, side="left", unit="cm")]
    truth += [one("pull_line", v, side="left", cycle=c, unit="cm") for c, v in enumerate((10.0, 20.0))]
    truth += [one("pull_line", 10.0, side="left", breathing=True, unit="cm")]
    found = [one("pull_line", 13.0, side="left", unit="cm")]
    found += [one("pull_line", v, side="left", cycle=c, unit="cm") for c, v in enumerate((10.0, 20.0, 9.0))]
    rows = recovery_rows("correct", truth, reading(*found))
    assert [row["truth"] for row in rows] == pytest.approx([40 / 3, 10, 20, 10])
    assert rows[0]["error"] == pytest.approx(13 - 40 / 3)
    assert rows[3]["error"] == pytest.approx(-1.0)
    # A measure without truth by cycle is compared over all of them only.
    truth.append(one("speed", 1.4, unit="m/s"))
    speeds = [one("speed", 1.41, unit="m/s"), one("speed", 1.42, cycle=0, unit="m/s")]
    rows = recovery_rows("correct", truth, reading(*speeds))
    assert rows[0]["error"] == pytest.approx(0.01)
    assert (np.isnan(rows[1]["error"]), rows[1]["reason"]) == (True, "truth is given over all cycles only")


def test_kick_timing_errs_the_short_way_round():
    assert error("kick_phase_at_exit", -179.0, 178.0) == pytest.approx(3.0)
    assert error("kick_phase_at_exit", 178.0, -179.0) == pytest.approx(-3.0)
    assert error("elbow_least", 178.0, -179.0) == pytest.approx(357.0)


def test_a_measure_without_truth_is_kept_and_says_so():
    row = recovery_rows("x", [], reading(one("speed", 1.4, unit="m/s")))[0]
    assert (row["recovered"], row["reason"]) == (1.4, "no truth given for this measure")
    assert np.isnan(row["error"])


def test_grades_follow_the_yardstick():
    assert [grade("elbow_least", "deg", x) for x in (2.0, 2.1, 5.0, 5.1, np.nan)] == [
        "good", "fair", "fair", "poor", "none",
    ]  # fmt: skip
    assert grade("kick_phase_at_exit", "deg", 6.0) == "good"
    for key, row in read_toml("definitions")["measure"].items():
        assert grade(key, row["unit"], 0.0) == "good"


# ---- the study


@pytest.fixture(scope="module")
def study():
    """A stick swimmer against its own reading at 480 Hz without noise (its closed form is tested elsewhere).

    The record ends between events, so that none falls on its last frames.
    """

    def maker(rate):
        return stick_trace(Stick(), rate_hz=rate, cycles=6.15)

    best = measure_trace(maker(480.0))
    return recovery_study(maker, best.measures, events=best.events, rates=(25, 60, 240), seeds=range(4))


def test_clean_input_is_recovered_and_noise_costs(study):
    for row in study.rows:
        if row.noise_m == 0 and np.isfinite(row.truth):  # there is no breath here, so nothing about one
            assert row.grade == "good", row
            assert row.missing == 0
    noisy_rows = {(r.measure, r.side): r for r in study.rows if r.noise_m and r.rate_hz == 60}
    assert noisy_rows["elbow_at_entry", "left"].sd > 0.1
    assert noisy_rows["elbow_at_entry", "left"].n == 4


def test_noise_is_averaged_down_as_the_frame_rate_rises(study):
    """The noise left after smoothing falls with the rate: RMS over all angles at 25 Hz against 240 Hz."""

    def rms(rate):
        rows = [
            r
            for r in study.rows
            if r.noise_m and r.rate_hz == rate and r.unit == "deg" and np.isfinite(r.bias)
        ]
        return np.sqrt(np.mean([r.bias**2 + r.sd**2 for r in rows if not r.measure.startswith("kick_phase")]))

    assert rms(240) < rms(60) < rms(25)


def test_study_names_filter_rule_and_what_is_missing(study):
    text = study.text()
    assert "25 Hz, noise 5 mm. zero-lag Butterworth" in text
    assert "not smoothed" in text
    assert "both kinds of strokes needed" in text
    for scores in study.events.values():
        assert all(score.f == 1.0 for score in scores)


def test_noise_is_white_of_the_size_asked_for():
    trace = stick_trace(Stick())
    assert with_noise(trace, 0.0, seed=1) is trace
    apart = with_noise(trace, 0.005, seed=1).joints_m - trace.joints_m
    assert apart.std() == pytest.approx(0.005, rel=0.02)  # 60,000 values: five standard errors are 1.5 %
    assert (with_noise(trace, 0.005, seed=1).joints_m == with_noise(trace, 0.005, seed=1).joints_m).all()


# ---- cross-talk


def test_cross_talk_tells_owned_from_not_owned():
    clean = [one("a", 10.0, side="left"), one("b", 5.0, unit="cm"), one("c", 1.0), one("d", np.nan)]
    fault = [one("a", 14.0, side="left"), one("b", 5.2, unit="cm"), one("c", 1.0), one("d", 2.0)]
    changes = cross_talk(clean, {"bent": fault}, owns={"bent": {"a"}})
    found = {c.measure: (c.change, c.owned) for c in changes}
    assert found["a"] == (4.0, True)
    assert found["b"] == (pytest.approx(0.2), False)
    assert found["c"] == (0.0, False)
    assert found["d"] == (np.inf, False)
    worst = greatest_outside(changes)
    assert worst["bent", "cm"].measure == "b"
    assert worst["bent", "deg"].measure == "d"
    text = cross_talk_text(changes)
    assert text.index("bent: owned") < text.index("  a ") < text.index("bent: not owned") < text.index("  b ")
    assert "  c " not in text


def test_cross_talk_takes_the_cycle_that_moves_most():
    clean = [one("a", 2.0)] + [one("a", 2.0, cycle=c) for c in range(2)]
    fault = [one("a", 3.0), one("a", 2.0, cycle=0), one("a", 4.0, cycle=1), one("a", 9.0, breathing=True)]
    (change,) = cross_talk(clean, {"f": fault}, owns={"f": ()})
    assert (change.change, change.faulty) == (2.0, 4.0)
    assert "nothing moves" in cross_talk_text(cross_talk(clean, {"f": clean}, owns={"f": ()}))
