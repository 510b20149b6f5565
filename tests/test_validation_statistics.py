"""PUBLISHED worked examples (Bland and Altman, Shrout and Fleiss, Hanley and McNeil, Newcombe, Bliss, Norris) and
SECOND METHODS (pingouin, mir_eval, scipy): the statistics of agreement, detection and timed events.
"""

import warnings

import numpy as np
import pytest
from scipy import stats
from tolerances import ALGEBRA, STANDARD_ERRORS

from swimsim.ground.tables import read_csv
from swimsim.validation import agreement as ag
from swimsim.validation import detection as de
from swimsim.validation.event_match import score_times

ROWS = {row["id"]: row for row in read_csv("check_values_agreement")}


def near(row_id, value):
    row = ROWS[row_id]
    assert value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"])), row["what"]


def column(table, name):
    return np.array([float(row[name]) for row in read_csv(f"check_values_{table}")])


@pytest.fixture(scope="module")
def peak_flow():
    wright, mini = (column("bland_altman_1986_pefr", name) for name in ("wright_1", "mini_1"))
    return ag.agreement(wright, mini)


@pytest.fixture(scope="module")
def ratings():
    return np.stack([column("shrout_fleiss_1979", f"J{k}") for k in (1, 2, 3, 4)], axis=1)


@pytest.fixture(scope="module")
def scans():
    """Ratings of abnormal and of normal cases."""
    rating = column("hanley_mcneil_1982", "rating")
    counts = (column("hanley_mcneil_1982", name).astype(int) for name in ("abnormal", "normal"))
    return tuple(np.repeat(rating, count) for count in counts)


# ---- agreement


def test_bias_and_limits_are_those_of_bland_and_altman(peak_flow):
    near("BA86-mean", peak_flow.bias)
    near("BA86-sd", peak_flow.sd)
    near("BA86-lo196", peak_flow.loa_low)
    near("BA86-hi196", peak_flow.loa_high)


def test_intervals_are_those_of_bland_and_altman(peak_flow):
    near("BA86-biasCI-lo", peak_flow.bias_ci[0])
    near("BA86-biasCI-hi", peak_flow.bias_ci[1])
    # the paper's limits lie 2 SD from the bias, ours 1.96: the interval moves by 0.04 SD and keeps its width
    apart = 0.04 * peak_flow.sd
    near("BA86-lowCI-lo", peak_flow.loa_low_ci[0] - apart)
    near("BA86-lowCI-hi", peak_flow.loa_low_ci[1] - apart)
    near("BA86-upCI-lo", peak_flow.loa_high_ci[0] + apart)
    near("BA86-upCI-hi", peak_flow.loa_high_ci[1] + apart)


def test_a_meter_that_reads_high_has_a_positive_bias():
    found = ag.agreement(np.array([2.0, 3, 4, 5]), np.array([1.0, 2, 3, 4]))
    assert (found.bias, found.rmse, found.sd) == (1.0, 1.0, 0.0)


def test_pairs_without_a_value_are_left_out():
    found = ag.agreement(np.array([2.0, np.nan, 4, 5, 7]), np.array([1.0, 2, 3, 4, np.nan]))
    assert (found.n, found.bias) == (3, 1.0)


def test_too_few_pairs_give_no_spread():
    found = ag.agreement(np.array([2.0, 4]), np.array([1.0, 3]))
    assert (found.n, found.bias) == (2, 1.0) and np.isnan([found.sd, found.icc_a1, found.loa_low]).all()


def test_doubling_the_unit_doubles_lengths_and_leaves_ratios():
    rng = np.random.default_rng(1)
    true = rng.normal(10, 3, 40)
    read = true + rng.normal(0.5, 1, 40)
    one, two = ag.agreement(read, true), ag.agreement(2 * read, 2 * true)
    for name in ("bias", "sd", "rmse", "loa_low", "loa_high", "intercept", "smallest_change"):
        assert getattr(two, name) == pytest.approx(2 * getattr(one, name), rel=ALGEBRA)
    assert (two.icc_a1, two.slope) == pytest.approx((one.icc_a1, one.slope), rel=ALGEBRA)


def test_mean_squares_and_icc_are_those_of_shrout_and_fleiss(ratings):
    targets, judges, rest = ag.mean_squares(ratings)
    near("SF79-BMS", targets)
    near("SF79-JMS", judges)
    near("SF79-EMS", rest)
    near("SF79-21", ag.icc_a1(ratings))


def test_icc_is_that_of_another_library(ratings):
    pandas = pytest.importorskip("pandas")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # pingouin with pandas 3
        import pingouin

        wide = pandas.DataFrame(ratings).reset_index()
        long = wide.melt(id_vars="index")
        table = pingouin.intraclass_corr(long, targets="index", raters="variable", ratings="value")
    assert ag.icc_a1(ratings) == pytest.approx(table["ICC"].iloc[1], abs=ALGEBRA)


def test_repeats_of_one_meter_agree_as_published():
    pair = np.stack([column("bland_altman_1986_pefr", f"wright_{k}") for k in (1, 2)], axis=1)
    near("SEM-icc", ag.icc_a1(pair))


def test_smallest_change_from_a_published_error_mean_square():
    errors = np.array([-1.0, 1.0] * 50)
    errors *= np.sqrt(1.64) / errors.std(ddof=1)
    near("SDD", ag.smallest_change(errors, np.zeros(100)))


def test_the_line_is_the_certified_one():
    slope, intercept = ag.line(column("norris", "x"), column("norris", "y"))
    near("Norris-slope", slope)
    near("Norris-int", intercept)


def test_a_truth_that_does_not_vary_has_no_slope():
    assert np.isnan(ag.line(np.full(5, 3.0), np.arange(5.0))).all()


def test_the_bootstrap_over_swimmers_is_wider_where_clips_of_a_swimmer_err_alike():
    """Errors that belong to the swimmer: 12 of them say as much as 12 clips, however many clips each has."""
    rng = np.random.default_rng(3)
    own = np.repeat(rng.normal(0, 1, 12), 10)
    swimmers = np.repeat(np.arange(12), 10)
    plain = ag.agreement(own, np.zeros(120))
    over = ag.agreement(own, np.zeros(120), swimmers=swimmers)
    width, wide = (np.diff(found.bias_ci)[0] for found in (plain, over))
    assert wide == pytest.approx(
        width * np.sqrt(10), rel=0.25
    )  # sqrt(10), less what 12 draws leave uncertain


def test_the_bootstrap_is_that_of_scipy_where_every_clip_has_its_own_swimmer():
    values = np.random.default_rng(4).normal(2, 1, 60)
    ours = ag.agreement(values, np.zeros(60), swimmers=np.arange(60)).bias_ci
    other = stats.bootstrap(
        (values,), np.mean, method="percentile", n_resamples=4000, rng=1
    ).confidence_interval
    # both are random: a 2.5 % quantile of 1000 draws scatters by about 0.08 of the standard error
    assert ours == pytest.approx(tuple(other), abs=STANDARD_ERRORS * 0.08 * values.std() / 60**0.5)


def test_the_same_seed_draws_the_same_interval():
    values = np.random.default_rng(4).normal(2, 1, 20)
    one, two = (ag.agreement(values, np.zeros(20), swimmers=np.arange(20), seed=7) for _ in range(2))
    assert (one.bias_ci, one.loa_low_ci) == (two.bias_ci, two.loa_low_ci)


# ---- found or not found


@pytest.mark.parametrize(("k", "n"), [(81, 263), (15, 148), (0, 20), (1, 29)])
def test_wilson_is_newcombes_table(k, n):
    low, high = de.wilson(k, n)
    near(f"Newc-{k}/{n}-low", low)
    near(f"Newc-{k}/{n}-high", high)


def test_none_of_none_has_no_interval():
    assert np.isnan(de.wilson(0, 0)).all()


def test_auc_is_that_of_hanley_and_mcneil(scans):
    near("HM82-auc", de.auc(*scans))
    near("HM82-auc7", de.auc(*scans))
    near("HM82-U", stats.mannwhitneyu(*scans).statistic / (51 * 58))


def test_delongs_interval_is_the_published_one(scans):
    low, high = de.auc_delong(*scans)
    near("HM82-delong-lo", low)
    near("HM82-delong-hi", high)


def test_auc_by_hand_count():
    near("AUC-4", de.auc(np.array([0.35, 0.8]), np.array([0.1, 0.4])))


def test_a_clip_without_a_score_counts_as_least():
    assert de.auc(np.array([-np.inf, 2.0]), np.array([0.0, 1.0])) == 0.5
    assert np.isnan(de.auc(np.array([]), np.array([1.0])))


def test_the_roc_ends_at_both_corners_and_its_area_is_the_auc(scans):
    false, true = de.roc(*scans)
    assert (false[0], true[0], false[-1], true[-1]) == (0, 0, 1, 1)
    assert np.trapezoid(true, false) == pytest.approx(de.auc(*scans), abs=ALGEBRA)


def test_the_bootstrap_of_the_auc_is_near_delong_where_clips_are_independent(scans):
    faulty, clean = scans
    who = np.arange(len(faulty)), 1000 + np.arange(len(clean))
    ours, other = de.auc_bootstrap(faulty, clean, swimmers=who, seed=2), de.auc_delong(faulty, clean)
    assert ours == pytest.approx(
        other, abs=0.02
    )  # DeLong is symmetric about the AUC, percentiles lean to the middle


@pytest.mark.parametrize(
    ("ends", "s95", "kept", "says"),
    [
        ((0.2, 0.9), 0.6, (0.2, 0.9), None),
        ((0.2, 1.0), 0.6, (0.2, 1.0), None),  # the gross fault itself was swum
        ((0.2, 1.4), 0.6, (0.2, None), "interval ends beyond 1"),
        ((0.2, 2.9), 1.3, (0.2, None), "beyond 1"),
        ((1.1, 2.9), 1.3, (None, None), "beyond 1"),
        ((-0.3, 0.9), 0.6, (0.0, 0.9), None),
    ],
)
def test_a_severity_beyond_the_greatest_that_is_swum_is_not_given_as_a_number(ends, s95, kept, says):
    curve = de.Curve(0.3, (0.2, 0.4), s95, ends, 1.0, 1.0).up_to(1.0)
    assert [None if np.isnan(end) else end for end in curve.s95_ci] == list(kept)
    assert (None if np.isnan(curve.s95) else curve.s95) == (s95 if s95 <= 1 else None)
    assert (curve.s95_says, curve.s50_says) == (says, None)
    assert (curve.s50, curve.s50_ci) == (0.3, (0.2, 0.4))


def test_a_curve_that_is_not_known_stays_so():
    curve = de.detection_curve(np.array([0.1, 0.5]), np.array([False, False])).up_to(1.0)
    assert np.isnan([curve.s95, *curve.s95_ci]).all()
    assert (curve.s95_says, curve.reason) == (None, "found in no clip")


def test_the_detection_curve_is_the_published_fit_of_the_beetles():
    dose, killed, exposed = (column("bliss_1935_beetles", name) for name in ("log10_dose", "killed", "n"))
    each = np.repeat(dose, exposed.astype(int))
    dead = np.concatenate([np.arange(n) < k for k, n in zip(killed, exposed, strict=True)])
    curve = de.detection_curve(each, dead)
    near("beetle-x50", curve.s50)
    near("beetle-x95", curve.s95)
    near("beetle-x50-se", (curve.s50_ci[1] - curve.s50_ci[0]) / 2 / 1.959963984540054)
    counts = de.fit_counts(dose, killed, exposed)
    near("beetle-b0", counts.params[0])
    near("beetle-b1", counts.params[1])
    near("beetle-dev", counts.deviance)
    near("beetle-probit-b1", de.fit_counts(dose, killed, exposed, link="Probit").params[1])
    near("beetle-cll-dev", de.fit_counts(dose, killed, exposed, link="CLogLog").deviance)


def test_a_step_is_known_to_the_gap_that_holds_it():
    severity = np.array([0.0, 0.1, 0.3, 0.4, 0.8])
    curve = de.detection_curve(severity, severity > 0.35)
    assert (curve.s50, curve.s50_ci, curve.s95) == (pytest.approx(0.35), (0.3, 0.4), 0.4)
    assert "step" in curve.reason


@pytest.mark.parametrize(
    ("found", "why"), [([0, 0, 0], "found in no clip"), ([1, 1, 1], "found in every clip")]
)
def test_no_curve_from_one_kind_of_clip(found, why):
    curve = de.detection_curve(np.array([0.1, 0.5, 0.9]), np.array(found, bool))
    assert np.isnan(curve.s50) and curve.reason == why


def test_a_detector_that_finds_less_where_there_is_more_has_no_threshold():
    severity = np.tile([0.1, 0.3, 0.5, 0.9], 10)
    found = np.random.default_rng(0).uniform(size=40) > severity
    assert "no oftener" in de.detection_curve(severity, found).reason


def test_limits_of_blank_and_detection_are_closed_forms():
    near("z95", de.ONE_SIDED_95)
    clean, slight = np.array([-1.0, 0, 1]), np.array([-2.0, 0, 2])  # SD 1 and 2
    assert de.limit_of_blank(clean) == pytest.approx(1.6448536)
    assert de.limit_of_detection(clean, slight) == pytest.approx(3 * 1.6448536)
    assert np.isnan(de.limit_of_blank(np.array([1.0, 2])))


def test_a_missing_library_says_what_to_install():
    with (
        pytest.raises(
            de.MachineError,
            match=r"'nosuchlibrary' is missing; python -m pip install '\.\[validate\]' \(in the project's folder\)",
        ),
        de.extra(),
    ):
        import nosuchlibrary  # noqa: F401


# ---- timed events


def test_event_scores_are_the_hand_count_and_those_of_another_library():
    true, found = np.array([0.5, 1.0, 1.5, 2.0, 2.5]), np.array([0.49, 1.06, 1.52, 2.0, 2.02, 3.0])
    score = score_times(true, found, within_s=0.05)
    near("EV-F", score["f"])
    near("EV-P", score["precision"])
    near("EV-R", score["recall"])
    near("EV-mean", 1000 * score["bias_s"])
    near("EV-sd", 1000 * score["sd_s"])
    near("EV-rms", 1000 * score["rms_s"])
    onset = pytest.importorskip("mir_eval.onset")
    assert onset.f_measure(true, found, window=0.05) == pytest.approx(
        (score["f"], score["precision"], score["recall"])
    )
