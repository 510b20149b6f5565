"""HAND-COUNTED readings and INVARIANTS on swum ones: what a detector finds, how large, and what it leaves alone.

The reader and the detectors never see how a stroke was made; the truth of the making side is what they are held to.
"""

import dataclasses
import functools
import math

import numpy as np
import pytest
from played_faults import FAULTS, played
from tolerances import ALGEBRA

from swimsim.detectors import clip_finding, detect, rules
from swimsim.detectors.limits import Context, by_pace, limit_of
from swimsim.faults.catalogue import DOOR, faults, gross_value, normal_value
from swimsim.ground.errors import InputError
from swimsim.ground.records import Measure
from swimsim.ground.tables import read_toml
from swimsim.ground.words import fault_words
from swimsim.metrics import Reading, measure_trace
from swimsim.scenario.play import play, swim_clean
from swimsim.scenario.read import read_scenario
from swimsim.scenario.severity import size_of
from swimsim.stroke.presets import PRESETS, preset_row

MEASURES = read_toml("definitions")["measure"]
SIZES = {"half_shoulder_width": 0.20, "stature": 1.80}
ON_ONE_SIDE = {"scissor_kick", "head_lift"}  # shown at a breath, on the side that breathes


def reading(values, *, rate=41.4, sizes=SIZES, breaths=None):
    """A reading by hand: (measure, side) to values cycle by cycle; `breaths` by side, else no stroke has one."""
    breaths = {"left": [0] * 8, "right": [0] * 8} if breaths is None else breaths
    values = values | {("breath_turn_start", s): [math.nan] * len(b) for s, b in breaths.items()}
    rows = [Measure("stroke_rate", None, None, rate, "1/min", "", "stroke_rate")]
    for (name, side), cycles in values.items():
        mean = float(np.nanmean(cycles)) if np.isfinite(cycles).any() else math.nan
        rows.append(Measure(name, side, None, mean, "", "", name, reason=None if len(cycles) else "hidden"))
        rows += [Measure(name, side, k, value, "", "", name) for k, value in enumerate(cycles)]
    known = {s: {k: b == 1 for k, b in enumerate(each) if b == b} for s, each in breaths.items()}
    return Reading((), tuple(rows), {}, {}, "by hand", sizes, known)


def one(values, fault, side="left", **options):
    found = detect(reading(values, **options), faults=[fault])
    return next(finding for finding in found if finding.side == side)


@functools.cache
def found_in(name, severity, who="fault"):
    return detect(measure_trace(getattr(played(name, severity), who).trace))


# ---- the rules as data


def test_every_fault_of_the_catalogue_has_a_rule():
    assert set(faults()) <= set(rules())


@pytest.mark.parametrize("slug", sorted(rules()))
def test_a_rule_is_whole(slug):
    rule = rules()[slug]
    row = read_toml("definitions")["detector"][slug]
    assert rule.source.strip() and rule.flag in {"read", "derived", "memory", "practice"}
    assert fault_words(slug).says
    assert set(row) <= {
        "measure", "above", "below", "above_half_widths", "below_half_widths", "excused", "evidence", "or_else",
        "on_the_breath", "size", "worst", "overall", "signed", "breath", "source", "flag",
    }  # fmt: skip
    if slug in faults():
        used = [test.limit.measure for test in rule.tests] + list(rule.evidence)
        used += [limit.measure for part in rule.excuses for limit in part.when]
        used += [limit.measure for part in rule.tests for limit in part.needs]
        assert set(used) <= set(MEASURES)
        assert rule.tests[0].limit.measure == faults()[slug].main_measure


@pytest.mark.parametrize("slug", sorted(faults()))
@pytest.mark.parametrize("preset", list(PRESETS))
def test_normal_and_gross_are_those_of_the_catalogue(slug, preset):
    """SECOND METHOD: the making side's own reading of the same table."""
    rate, fault = preset_row(preset)["rate_per_min"], faults()[slug]
    scale = rules()[slug].tests[0].scale
    context = Context(rate, SIZES["half_shoulder_width"], SIZES["stature"])
    normal = normal_value(fault, stroke_rate_hz=rate / 60, half_width_m=0.20, stature_m=1.80, strokes="every")
    gross = gross_value(fault.row, math.nan, 0.20) / DOOR[fault.unit]
    assert (scale.normal(context), scale.gross(context)) == pytest.approx((normal, gross), abs=ALGEBRA * 100)


@pytest.mark.parametrize("slug", sorted(faults()))
@pytest.mark.parametrize("preset", list(PRESETS))
def test_a_limit_lies_between_normal_and_gross(slug, preset):
    context = Context(preset_row(preset)["rate_per_min"], 0.20, 1.80)
    for test in rules()[slug].tests:
        limit, scale = test.limit, test.scale
        share = (limit.at(context) - scale.normal(context)) / (scale.gross(context) - scale.normal(context))
        assert 0.1 < share < 0.7


def test_a_limit_between_two_paces_lies_between_theirs():
    assert by_pace((16.0, 12.5, 11.5), (27.6 + 41.4) / 2) == pytest.approx(14.25)
    assert by_pace((16.0, 12.5, 11.5), 20.0) == 16.0 and by_pace((16.0, 12.5, 11.5), math.nan) == 12.5


def test_a_row_without_a_limit_is_refused():
    with pytest.raises(ValueError, match="expected above or below with the measure entry_line"):
        limit_of({"measure": "entry_line", "over": 3.0})


# ---- readings by hand


def test_severity_runs_from_normal_to_gross():
    """70 degrees is 0, 25 is 1: 47.5 is half-way."""
    found = one({("forearm_slope_at_45", "left"): [47.5, 47.5, 47.5]}, "dropped_elbow")
    assert found.present and found.severity == pytest.approx(0.5)
    assert found.evidence[0] == ("forearm_slope_at_45", 47.5, 55.0)


def test_better_than_normal_is_severity_0_with_a_score_below_it():
    found = one({("forearm_slope_at_45", "left"): [79.0, 79.0]}, "dropped_elbow")
    assert (found.present, found.severity, found.score) == (False, 0.0, pytest.approx(-0.2))


def test_one_wild_stroke_does_not_make_a_fault():
    found = one({("exit_past_hip", "left"): [7, 7, 7, 7, -60.0]}, "early_exit")
    assert not found.present and found.evidence[0][1] == 7


def test_the_interval_is_students_over_the_strokes():
    """Two strokes, 45 and 50: mean 47.5, standard error 2.5, t(0.975; 1) = 12.706, 45 degrees from normal to gross."""
    found = one({("forearm_slope_at_45", "left"): [45.0, 50.0]}, "dropped_elbow")
    assert found.severity_high - found.severity == pytest.approx(12.706 * 2.5 / 45, rel=1e-4)
    assert found.severity_low == 0.0


def test_lines_scale_with_the_shoulders_of_the_swimmer():
    wide = {("entry_line", "left"): [9.0, 9.0]}
    assert one(wide, "wide_entry").present  # limit 0.4 x 20 cm = 8 cm
    assert not one(wide, "wide_entry", sizes={**SIZES, "half_shoulder_width": 0.24}).present


def test_lines_are_judged_only_with_the_shoulders_known():
    found = one({("entry_line", "left"): [30.0, 30.0]}, "wide_entry", sizes={})
    assert not found.present and math.isnan(found.score)


def test_the_same_hips_are_clean_in_a_sprint_and_flat_at_an_easy_pace():
    hips = {("hip_roll_peak", "left"): [16.0, 16.0, 16.0]}
    assert one(hips, "flat_hips", rate=27.6).present
    assert not one(hips, "flat_hips", rate=54.0).present


def test_a_breath_allows_more_roll():
    """66 degrees: above 60.6 on strokes without a breath, below 69.6 with one, and 65.1 where every other has one."""
    roll = {("shoulder_roll_peak", "left"): [66.0] * 4}
    assert one(roll, "over_rotation").present
    assert not one(roll, "over_rotation", breaths={"left": [1] * 4}).present
    half = one(roll, "over_rotation", breaths={"left": [1, 0, 1, 0]})
    assert half.present and half.evidence[0][2] == pytest.approx(65.1)


def test_a_breath_is_allowed_for_where_breaths_cannot_be_seen():
    roll = {("shoulder_roll_peak", "left"): [66.0] * 4}
    for breaths in ({}, {"left": [math.nan] * 4}):
        assert not one(roll, "over_rotation", breaths=breaths).present


def test_a_straight_arm_is_not_a_dropped_elbow():
    slope = {("forearm_slope_at_45", "left"): [50.0] * 3}
    bent, straight = ({**slope, ("elbow_at_30cm_depth", "left"): [e] * 3} for e in (140.0, 170.0))
    for elbow, at_30cm in (
        (140.0, bent),
        (105.0, straight),
    ):  # straight at one instant alone is not a straight arm
        assert one({**at_30cm, ("elbow_at_shoulder_plane", "left"): [elbow] * 3}, "dropped_elbow").present
    found = one({**straight, ("elbow_at_shoulder_plane", "left"): [140.0] * 3}, "dropped_elbow")
    assert not found.present and "straight" in found.reason and found.score <= 0


def test_a_dropped_elbow_that_looks_straight_from_the_side_is_no_straight_arm():
    """From one side a forearm turned away from the picture looks straighter than it is; later it looks right."""
    look = {("elbow_at_30cm_depth", "left"): [165.0] * 3, ("forearm_slope_at_45", "left"): [35.0] * 3}
    assert not one({**look, ("elbow_at_shoulder_plane", "left"): [104.0] * 3}, "straight_arm_press").present
    assert one({**look, ("elbow_at_shoulder_plane", "left"): [140.0] * 3}, "straight_arm_press").present


def test_late_hips_are_a_roll_from_the_shoulders_and_not_flat():
    hips = {("hip_roll_peak", s): [11.0] * 3 for s in ("left", "right")} | {
        ("hip_roll_range", None): [22.0] * 3
    }
    late = {**hips, ("hip_lag", None): [22.0] * 3}
    assert one({**hips, ("hip_lag", None): [7.0] * 3}, "flat_hips").present
    assert not one(late, "flat_hips").present
    assert one(late, "shoulder_driven", "both").present


def test_hips_that_hardly_turn_say_nothing_about_their_timing():
    flat = {("hip_roll_range", None): [9.0] * 3, ("hip_lag", None): [22.0] * 3}
    assert not one(flat, "shoulder_driven", "both").present


def test_a_straight_recovery_carried_high_is_a_style():
    low = {("elbow_above_wrist", "left"): [0.0] * 3, ("elbow_at_mid_recovery", "left"): [165.0] * 3}
    assert not one({**low, ("recovery_line", "left"): [40.0] * 3}, "low_elbow_recovery").present
    assert one({**low, ("recovery_line", "left"): [60.0] * 3}, "low_elbow_recovery").present
    far = {("elbow_above_wrist", "left"): [-20.0] * 3}  # from the front, where the elbow angle is not seen
    assert not one({**far, ("recovery_line", "left"): [40.0] * 3}, "low_elbow_recovery").present
    assert one({**far, ("recovery_line", "left"): [60.0] * 3}, "low_elbow_recovery").present


def test_a_pull_wide_only_on_the_breath_is_found():
    lines = {("pull_line", "left"): [4.0, 4.0], ("pull_line_breathing_difference", "left"): [15.0]}
    found = one(lines, "wide_pull")
    assert found.present and found.evidence[0][0] == "pull_line_breathing_difference"
    assert found.severity == pytest.approx(0.75)  # of 20 cm


def test_legs_that_part_at_the_breath_alone_are_found_whichever_side_they_part_to():
    """Six strokes, two with a breath: a median over all of them would see nothing."""
    gap = {("foot_gap", "left"): [18.0, -45.0, 18.0, 18.0, -45.0, 18.0], ("foot_gap", "right"): [18.0] * 6}
    found = one(gap, "scissor_kick", "both", breaths={"left": [0, 1, 0, 0, 1, 0], "right": [0] * 6})
    assert found.present and found.evidence[0][1] == 45.0
    assert one(
        gap, "scissor_kick", "both", breaths={}
    ).present  # the upper quartile, where breaths are not seen


def test_an_index_counts_on_either_side_from_what_the_breath_makes_of_it():
    """A breath on every left stroke: 52 right, 61 left, so the index is -200 x 9 / 113 = -15.9 % without a fault."""
    breath = {"left": [1] * 3, "right": [0] * 3}
    usual = -200 * 9 / 113
    for index, present, severity in (
        (usual, False, 0),
        (usual - 13, True, 13 / (40 + usual)),
        (13, True, None),
    ):
        found = one({("symmetry_index", None): [index]}, "asymmetry", "both", breaths=breath)
        assert found.present is present
        assert severity is None or found.severity == pytest.approx(severity, abs=1e-3)
    assert not one({("symmetry_index", None): [12.0]}, "asymmetry", "both").present
    assert one({("symmetry_index", None): [-13.0]}, "asymmetry", "both").present
    for index in (usual - 10, -usual + 10):  # where breaths are not seen, one to either side is allowed for
        assert not one({("symmetry_index", None): [index]}, "asymmetry", "both", breaths={}).present


def test_the_dip_is_that_of_the_mean_cycle_and_not_of_each():
    """Noise fills the dip of single strokes; the record over all strokes holds what was read off the mean cycle."""
    made = reading({("hip_roll_dip", "left"): [0.0] * 4, ("hip_roll_range", None): [50.0] * 4})
    rows = tuple(
        dataclasses.replace(m, value=20.0) if (m.measure, m.cycle) == ("hip_roll_dip", None) else m
        for m in made.measures
    )
    found = detect(dataclasses.replace(made, measures=rows), faults=["double_bump"])[0]
    assert found.present and found.severity == pytest.approx(20 / 30)


def test_an_index_must_lie_surely_beyond_its_limit():
    """Pull of 18.3 and 21.2 %: index 14.7, 2.2 beyond the limit; sure with little scatter, with much it is not."""
    index = {("symmetry_index_pull", None): [14.7], ("symmetry_index", None): [0.0]}
    for scatter, present in ((0.1, True), (2.0, False)):
        spread = scatter * np.array([-1.0, 0.0, 0.0, 1.0])
        pull = {("phase_pull", "left"): list(18.3 + spread), ("phase_pull", "right"): list(21.2 + spread)}
        found = one({**index, **pull}, "asymmetry", "both")
        assert found.present is present
    # standard error of the median, 1.2533 x 1.633 / 2, and the closed form 400 sqrt((L u)^2 + (R u)^2) / (R + L)^2
    u = 400 * 1.2533 * 2 * np.sqrt(2 / 3) / 2 * np.hypot(18.3, 21.2) / 39.5**2
    assert (found.severity_high - found.severity) * 40 == pytest.approx(3.182 * u, rel=1e-3)


def test_the_index_of_hips_that_hardly_turn_says_nothing():
    index = {("symmetry_index", None): [0.0], ("symmetry_index_hip_roll", None): [30.0]}
    assert one({**index, ("hip_roll_range", None): [48.0]}, "asymmetry", "both").present
    assert not one({**index, ("hip_roll_range", None): [10.0]}, "asymmetry", "both").present


def test_a_measure_that_was_not_read_leaves_its_reason():
    found = one({("palm_at_hip_line", "left"): []}, "palm_in_finish")
    assert not found.present and math.isnan(found.severity) and found.reason == "hidden"


def test_an_unknown_fault_is_refused_with_the_nearest_name():
    with pytest.raises(InputError, match="no detector for 'flat_hip'; did you mean 'flat_hips'"):
        detect(reading({}), faults=["flat_hip"])


def test_a_clip_speaks_by_its_worse_side():
    slopes = {("forearm_slope_at_45", "left"): [70.0] * 3, ("forearm_slope_at_45", "right"): [30.0] * 3}
    found = clip_finding(detect(reading(slopes)), "dropped_elbow")
    assert (found.side, found.present) == ("right", True)
    assert clip_finding((), "dropped_elbow") is None


# ---- swum strokes, exact points


@pytest.mark.parametrize("preset", list(PRESETS))
@pytest.mark.parametrize("breathing", [{"side": "none", "every": 0}, {"side": "left", "every": 2}])
def test_a_clean_stroke_has_no_fault(preset, breathing):
    content = {
        "swimmer": {"sex": preset_row(preset)["sex"]},
        "stroke": {"preset": preset},
        "breathing": breathing,
    }
    found = detect(measure_trace(swim_clean(read_scenario(content)).trace))
    assert [f"{f.fault} {f.side} {f.evidence[0]}" for f in found if f.present] == []


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_found_and_no_other(fault):
    found = found_in(fault, 0.7)
    assert {f.fault for f in found if f.present} == {fault}


@pytest.mark.parametrize("fault", FAULTS)
def test_its_severity_is_the_effective_one(fault):
    swum = played(fault, 0.7).fault
    true = size_of(
        swum.faults[0], swum.truth, clean=played(fault, 0.7).correct.pattern, body=swum.body
    ).severity_effective
    mine = [f.severity for f in found_in(fault, 0.7) if f.fault == fault]
    seen = max(mine) if fault in ON_ONE_SIDE or swum.faults[0].side != "both" else np.mean(mine)
    assert seen == pytest.approx(true, abs=0.08)  # aim: severity error of 0.08


@pytest.mark.parametrize("fault", FAULTS)
def test_more_of_it_scores_more(fault):
    scores = [clip_finding(found_in(fault, severity), fault).score for severity in (0.35, 0.7)]
    clean = clip_finding(found_in(fault, 0.35, "correct"), fault)
    assert clean.score < scores[0] < scores[1] and not clean.present


def test_the_mirrored_swimmer_has_its_fault_on_the_other_side():
    content = {"fault": [{"fault": "crossover", "severity": 0.8, "side": "left"}]}
    for handed, side in ((False, "left"), (True, "right")):
        content["swimmer"] = {"left_handed": handed}
        content["fault"][0]["side"] = side
        played_one = play(read_scenario(content))
        found = [(f.fault, f.side) for f in detect(measure_trace(played_one.fault.trace)) if f.present]
        assert found == [("crossover", side)]


def test_pace_and_sizes_can_be_given():
    hips = reading({("hip_roll_peak", "left"): [16.0] * 3, ("entry_line", "left"): [9.0] * 3}, sizes={})
    by_fault = {
        f.fault: f
        for f in detect(hips, rate_per_min=27.6, sizes_m={"half_shoulder_width": 0.20})
        if f.side == "left"
    }
    assert by_fault["flat_hips"].present and by_fault["wide_entry"].present


def test_findings_are_plain_data():
    found = one({("exit_past_hip", "left"): [-20.0] * 2}, "early_exit")
    assert set(dataclasses.asdict(found)) == {
        "fault", "side", "present", "severity", "severity_low", "severity_high", "evidence", "score", "reason",
    }  # fmt: skip
