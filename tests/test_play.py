"""Playing a scenario, and what its pictures say. Kinds of truth: HAND-COUNTED (severities), INVARIANT."""

import dataclasses
import math
import re

import numpy as np
import pytest
from tolerances import ALGEBRA, SOLVED

from swimsim.faults.catalogue import FaultSetting, aliases, faults
from swimsim.ground.conventions import JOINTS
from swimsim.ground.errors import InputError
from swimsim.ground.words import fault_words, words_of
from swimsim.metrics import Reading
from swimsim.scenario.cameras import best_view, cameras_of, with_views
from swimsim.scenario.play import play
from swimsim.scenario.read import read_scenario
from swimsim.scenario.resolve import cycles_of
from swimsim.scenario.set_values import set_in_cycles, set_values
from swimsim.scenario.severity import main_measure, size_of
from swimsim.scenario.truth_file import truth_record
from swimsim.teaching.marks import marks_of, phase_of, ticks_of
from swimsim.validation.of_run import main_rows, recover
from swimsim.view.cameras import VIEWS

IN_DOOR_UNITS = 100 * SOLVED  # degrees, centimetres and percent are about a hundredth of the SI unit


@pytest.fixture(scope="module")
def open_water():
    """The built-in scenario: dropped elbow on the left, severity 0.7."""
    return play(read_scenario())


@pytest.fixture(scope="module")
def breath_slide():
    """Two faults: a wide pull of the left arm on the breath, a crossover of the right."""
    return play(read_scenario("triathlete_breath_slide"))


@pytest.fixture(scope="module")
def every_third():
    """No fault; a breath every three strokes, so the stroke repeats after three cycles."""
    return play(read_scenario({"breathing": {"every": 3}}))


# ---- the two swimmers


def test_the_correct_swimmer_is_the_same_one_without_the_fault(open_water):
    fault, correct = open_water.fault, open_water.correct
    assert fault.body is correct.body
    assert correct.faults == ()
    assert fault.pattern.right == correct.pattern.right
    assert fault.pattern.left != correct.pattern.left
    assert fault.motion.cycle_s == correct.motion.cycle_s
    np.testing.assert_array_equal(fault.trace.time_s, correct.trace.time_s)


def test_severity_nothing_changes_nothing(open_water):
    still = [{"fault": "dropped_elbow", "severity": 0.0, "side": "left"}]
    keys = {**open_water.scenario.model_dump(exclude_none=True), "fault": still}
    played = play(read_scenario(keys))
    assert played.fault.pattern == played.correct.pattern == open_water.correct.pattern
    np.testing.assert_allclose(played.fault.trace.joints_m, open_water.correct.trace.joints_m, atol=SOLVED)


def test_traces_say_what_they_are(open_water):
    trace = open_water.fault.trace
    assert trace.joint_names == JOINTS
    assert trace.rate_hz == 60
    assert trace.meta["speed_m_s"] == open_water.fault.pattern.speed_m_s
    assert "not a real person" in trace.meta["note"]


def test_a_trace_has_six_whole_cycles_of_whole_breathing_periods(open_water, every_third):
    for played, period in ((open_water, 1), (every_third, 3)):
        swum = played.correct
        cycles = cycles_of(played.scenario, swum.pattern)
        assert swum.pattern.period_cycles == period
        assert cycles >= 6
        assert cycles % period == 0
        assert swum.trace.time_s[-1] >= cycles * swum.motion.cycle_s


def test_a_long_clip_gets_a_long_trace():
    scenario = read_scenario({"stroke": {"stroke_rate_per_min": 40.0}, "output": {"seconds": 30.0}})
    from swimsim.scenario.resolve import body_of, clean_pattern

    assert cycles_of(scenario, clean_pattern(scenario, body_of(scenario))) == 20  # 30 s at 40 a minute


def test_set_values_are_the_truth(open_water, every_third, breath_slide):
    for played in (open_water, every_third, breath_slide):
        for swum in (played.fault, played.correct):
            for (measure, side), value in set_values(swum.pattern).items():
                true, cycles = swum.truth.value(measure, side), range(swum.pattern.period_cycles)
                if measure.endswith("_roll_peak") and any(swum.pattern.breathes(side, c) for c in cycles):
                    assert true > value + 0.1, "a breath raises the peak of its side above what was set"
                else:
                    assert true == pytest.approx(value, abs=IN_DOOR_UNITS), measure


def test_what_was_set_is_what_the_user_set_and_each_cycle_keeps_its_own():
    fault = [{"fault": "early_exit", "amount": -10.0, "unit": "cm"}]
    played = play(read_scenario({"fault": fault, "stroke": {"variability": True}, "seed": 4}))
    rows = [r for r in recover(played) if r["swimmer"] == "fault" and r["measure"] == "exit_past_hip"]
    for side in ("left", "right"):
        mine = [r for r in rows if r["side"] == side]
        assert mine[0]["cycle"] is None
        assert mine[0]["set"] == pytest.approx(-10.0, abs=ALGEBRA)
        assert abs(mine[0]["truth"] + 10.0) > 0.01  # the mean of the scattered strokes
        assert len({r["set"] for r in mine[1:]}) > 3
        for row in mine[1:]:
            assert row["set"] == pytest.approx(row["truth"], abs=IN_DOOR_UNITS)


def test_flat_hips_state_what_was_set_on_the_side_of_the_breath_too():
    fault = [{"fault": "flat_hips", "amount": 10.0, "unit": "deg"}]
    played = play(read_scenario({"fault": fault, "breathing": {"side": "left", "every": 2}}))
    rows = [r for r in main_rows(played, recover(played)) if (r["swimmer"], r["side"]) == ("fault", "left")]
    assert [r["set"] for r in rows] == [pytest.approx(10.0, abs=ALGEBRA)]
    assert rows[0]["truth"] > 10.5  # the breath


@pytest.mark.parametrize("breathing", [{}, {"side": "left", "every": 2}, {"side": "right", "every": 3}])
def test_every_cycle_of_a_scattered_stroke_swims_what_it_was_set_to(breathing):
    keys = {"stroke": {"variability": True}, "seed": 4, "breathing": breathing}
    swum = play(read_scenario(keys)).correct
    for (measure, side), each in set_in_cycles(swum.pattern).items():
        true = {m.cycle: m.value for m in swum.truth.measures if (m.measure, m.side) == (measure, side)}
        for cycle, value in enumerate(each):
            assert true[cycle] == pytest.approx(value, abs=IN_DOOR_UNITS), (measure, side, cycle)


def test_a_fault_on_the_breath_only_states_the_set_difference():
    fault = {"fault": "wide_pull", "amount": 9.0, "unit": "cm", "side": "left", "strokes": "breathing"}
    for every in (2, 3):
        played = play(read_scenario({"fault": [fault], "breathing": {"side": "left", "every": every}}))
        (row,) = [
            r
            for r in main_rows(played, recover(played))
            if (r["swimmer"], r["measure"], r["side"]) == ("fault", "pull_line_breathing_difference", "left")
        ]
        assert row["set"] == pytest.approx(9.0, abs=ALGEBRA)
        assert row["truth"] == pytest.approx(9.0, abs=IN_DOOR_UNITS)


# ---- how large a fault is


def test_severity_of_a_dropped_elbow(open_water):
    fault = open_water.fault
    size = size_of(fault.faults[0], fault.truth, clean=open_water.correct.pattern, body=fault.body)
    assert size.main_measure == "forearm_slope_at_45"
    assert size.value == pytest.approx(70 - 0.7 * (70 - 25), abs=IN_DOOR_UNITS)
    assert size.severity == pytest.approx(0.7, abs=ALGEBRA)
    assert size.severity_effective == pytest.approx(0.7, abs=SOLVED)


def test_severity_of_a_fault_on_the_breath_only_is_a_difference(breath_slide):
    fault = breath_slide.fault
    setting = fault.faults[0]
    size = size_of(setting, fault.truth, clean=breath_slide.correct.pattern, body=fault.body)
    assert main_measure(setting) == size.main_measure == "pull_line_breathing_difference"
    half_width_cm = fault.body.shoulder_width_m * 100 / 2
    assert size.value == pytest.approx(0.6 * (half_width_cm + 0), rel=0.01)
    assert size.severity == pytest.approx(0.6, abs=ALGEBRA)


def test_an_effective_severity_is_never_below_nothing(open_water):
    better = FaultSetting("dropped_elbow", severity=0.0, side="right")
    steep = dataclasses.replace(
        open_water.correct.truth,
        measures=tuple(
            dataclasses.replace(m, value=80.0) if m.measure == "forearm_slope_at_45" else m
            for m in open_water.correct.truth.measures
        ),
    )
    size = size_of(better, steep, clean=open_water.correct.pattern, body=open_water.correct.body)
    assert (size.value, size.severity_effective) == (80.0, 0.0)


def test_truth_file_is_in_metres_and_degrees(breath_slide):
    record = truth_record(breath_slide, version="x")["swimmers"]["fault"]
    assert {m["unit"] for m in record["measures"]} == {"m", "deg", "%", "1", "1/min", "s", "m/s"}
    lines = [m["value"] for m in record["measures"] if m["measure"] == "pull_line" and m["cycle"] is None]
    assert all(abs(line) < 0.5 for line in lines)
    first = record["faults"][0]
    assert (first["fault"], first["strokes"], first["unit"]) == ("wide_pull", "breathing", "m")


# ---- views


def test_best_view_is_a_named_view_on_the_side_of_the_fault():
    for slug in faults():
        assert best_view(slug, "both") in VIEWS
    assert best_view("dropped_elbow", "right") == "side_right"
    assert best_view("dropped_elbow", "left") == "side_left"
    assert read_scenario(
        {"fault": [{"fault": "early_exit", "word": "clear", "side": "right"}]}
    ).output.views == ["side_right"]


def test_cameras_of_the_file_are_used():
    place = {"position_m": [0.0, 6.0, -1.0], "aim_m": [0.0, 0.0, 0.0], "field_deg": 40.0, "travels": False}
    scenario = read_scenario({"camera": [place, {"view": "below", "travels": False}]})
    cameras = cameras_of(scenario)
    assert [c.name for c in cameras] == ["camera_1", "below"]
    assert [c.travels for c in cameras] == [False, False]
    np.testing.assert_array_equal(cameras[0].position_m, [0, 6, -1])


def test_other_views_can_be_asked_for():
    scenario = read_scenario()
    assert with_views(scenario, ["rear"]).output.views == ["rear"]
    with pytest.raises(InputError, match="--view: expected a known view, got 'reer'; did you mean 'rear'"):
        with_views(scenario, ["reer"])
    with pytest.raises(InputError, match="--view: expected each view once"):
        with_views(scenario, ["rear", "rear"])


# ---- what the pictures say


def test_marks_of_the_built_in_scenario(open_water):
    fault, correct = marks_of(open_water)
    assert (fault.word, fault.style, correct.word, correct.style) == ("FAULT", "dashed", "CORRECT", "solid")
    assert fault.title == "dropped elbow, left"
    assert fault.value == "forearm slope in the catch: 39°"  # 38.5 is rounded up
    assert correct.value == "forearm slope in the catch: 70°"
    assert fault.band == correct.band == "target: 55° or more"
    assert fault.limb[:2] == ("left_shoulder", "left_elbow")
    assert [label for label, _ in fault.ticks] == ["entry", "pull", "push", "exit"]


def test_marks_of_two_faults(breath_slide):
    fault, correct = marks_of(breath_slide)
    """In the order of correction, whatever the order in the file: the crossover first, and its number."""
    assert fault.title == "crossover, right + wide pull, left on the breath"
    assert correct.title == "the same without them"
    half_cm = 50 * breath_slide.fault.body.shoulder_width_m
    slight = (
        0.35 * -1.75 + 0.65 * -0.08
    )  # from the own line to the gross one, in half widths of the shoulders
    assert fault.value == f"hand line at entry: {slight * half_cm:.0f} cm"
    assert correct.value == f"hand line at entry: {-0.08 * half_cm:.0f} cm"


def test_a_crossover_and_its_target_count_from_the_shoulder_line():
    """Set to the target, the knuckles enter on the straight line of travel."""
    scenario = {
        "swimmer": {"stature_m": 1.8, "sex": "man"},
        "fault": [{"fault": "crossover", "severity": 0.7}],
    }
    half_cm = 50 * play(read_scenario(scenario)).fault.body.shoulder_width_m
    on_line = [{"fault": "crossover", "amount": -half_cm, "unit": "cm", "side": "left"}]
    played = play(read_scenario({**scenario, "fault": on_line}))
    fault, correct = marks_of(played)
    assert correct.band == f"target: -{round(half_cm)} cm (midline) or more"
    assert fault.band == f"inside the {correct.band}"  # just so
    assert fault.value == f"hand line at entry: -{round(half_cm)} cm"
    swum = played.fault
    (entry,) = [e.time_s for e in swum.truth.events if (e.event, e.side, e.cycle) == ("entry", "left", 1)]
    cycle = np.linspace(0, swum.motion.cycle_s, 200, endpoint=False)
    midline = swum.motion.joints(cycle)[:, JOINTS.index("pelvis"), 1].mean()
    knuckles = swum.motion.joints(np.array([entry]))[0, JOINTS.index("left_knuckles"), 1]
    assert knuckles == pytest.approx(midline, abs=SOLVED)


@pytest.mark.parametrize("slug", list(faults()))
def test_the_gross_fault_misses_its_target_and_the_stroke_without_it_meets_it(slug):
    """Read as the panel has it: a number, and a target of one bound or two in the same terms."""
    breath = {"breathing": {"side": "left", "every": 2}} if slug == "head_lift" else {}
    played = play(read_scenario({"fault": [{"fault": slug, "severity": 0.9}], **breath}))
    met = []
    for mark in marks_of(played):
        number = float(re.search(r"[-+]?\d+(?= ?[°%c])", mark.value.rpartition(": ")[2]).group())
        bounds = [float(text) for text in re.findall(r"[-+]?\d+", mark.band)]
        low = bounds[0] if len(bounds) == 2 or "more" in mark.band else -math.inf
        met.append(low <= number <= (math.inf if "more" in mark.band else bounds[-1]))
    assert met == [False, True]


def test_without_a_fault_both_panels_are_correct(every_third):
    assert [m.word for m in marks_of(every_third)] == ["CORRECT", "CORRECT"]


def test_every_fault_has_picture_words():
    assert {*faults(), *aliases()} <= set(words_of("faults"))
    assert all(fault_words(slug).number and fault_words(slug).target for slug in {*faults(), *aliases()})


def test_phase_is_nothing_at_the_arm_s_own_entry_and_grows_by_one_a_cycle(open_water):
    swum = open_water.fault
    for side in ("left", "right"):
        phase = phase_of(swum, side)
        assert ((phase >= 0) & (phase < 1)).all()
        entries = [e.time_s for e in swum.truth.events if (e.event, e.side) == ("entry", side)]
        growing = np.unwrap(phase, period=1.0)
        at_entry = np.interp(entries[1:-1], swum.trace.time_s, growing) % 1.0
        assert np.minimum(at_entry, 1 - at_entry).max() < SOLVED
        assert growing[-1] - growing[0] == pytest.approx(
            swum.trace.time_s[-1] / swum.motion.cycle_s, abs=SOLVED
        )


def test_ticks_are_the_shares_that_were_set(open_water):
    arm = open_water.correct.pattern.left
    ticks = dict(ticks_of(open_water.correct, "left"))
    assert ticks["entry"] == 0
    assert ticks["pull"] == pytest.approx(arm.entry_catch_share, abs=SOLVED)
    assert ticks["push"] == pytest.approx(arm.entry_catch_share + arm.pull_share, abs=SOLVED)
    assert ticks["exit"] == pytest.approx(1 - arm.recovery_share, abs=SOLVED)


# ---- the table of a run


def test_the_summary_holds_the_main_measures_of_both_swimmers(breath_slide):
    rows = main_rows(breath_slide, recover(breath_slide))
    keys = [(row["swimmer"], row["measure"], row["side"]) for row in rows]
    for swimmer in ("fault", "correct"):
        assert (swimmer, "pull_line", "left") in keys
        assert (swimmer, "pull_line", "right") not in keys
        assert (swimmer, "pull_line_breathing_difference", "left") in keys
        assert (swimmer, "entry_line", "right") in keys
        assert (swimmer, "stroke_rate", None) in keys
    assert len(keys) == len(set(keys))


def test_the_reader_is_handed_nothing_but_the_trace(open_water, monkeypatch):
    from swimsim.validation import of_run

    handed = []

    def blind(*args, **keys):
        handed.append((args, keys))
        return Reading((), (), {}, {}, "")

    monkeypatch.setattr(of_run, "measure_trace", blind)
    recover(open_water)
    assert handed == [((open_water.fault.trace,), {}), ((open_water.correct.trace,), {})]


def test_a_one_sided_fault_of_an_alternate_breather_is_measured_on_that_side():
    """The right arm breathes on every third stroke; its other strokes and the left arm stay as they are."""
    scenario = {
        "stroke": {"preset": "masters_woman"},
        "breathing": {"side": "right", "every": 3},
        "fault": [{"fault": "wide_pull", "word": "clear", "side": "right", "strokes": "breathing"}],
    }
    fault, correct = (lambda p: (p.fault, p.correct))(play(read_scenario(scenario)))
    size = size_of(fault.faults[0], fault.truth, clean=correct.pattern, body=fault.body)
    assert size.value == pytest.approx(0.6 * fault.body.shoulder_width_m * 100 / 2, abs=IN_DOOR_UNITS)
    assert size.severity_effective == pytest.approx(0.6, abs=SOLVED)
    assert fault.truth.value("pull_line_breathing_difference", "left") == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("slug", ["wide_entry", "flat_hips", "straight_arm_press"])
def test_a_planar_swimmer_refuses_faults_that_do_not_show_in_the_plane(slug):
    with pytest.raises(
        InputError, match=rf"dropped_elbow, early_exit, .*\) with dimensions = 2, got '{slug}'"
    ):
        read_scenario({"dimensions": 2, "fault": [{"fault": slug, "severity": 0.5}]})


def test_a_planar_swimmer_refuses_a_view_from_the_front():
    with pytest.raises(InputError, match=r"views: expected side views .* got 'front'"):
        read_scenario({"dimensions": 2, "output": {"views": ["front"]}})


def test_a_planar_swimmer_lies_in_the_plane_and_keeps_what_the_side_shows():
    fault = {"fault": [{"fault": "early_exit", "severity": 0.7}]}
    flat, full = (play(read_scenario({**fault, "dimensions": d})).fault for d in (2, 3))
    assert np.all(flat.trace.joints_m[:, :, 1] == 0)
    assert np.array_equal(flat.trace.joints_m[:, :, [0, 2]], full.trace.joints_m[:, :, [0, 2]])
    assert flat.truth.value("exit_past_hip", "left") == full.truth.value("exit_past_hip", "left")
    assert math.isnan(flat.truth.value("hip_roll_peak", "left"))


def test_hips_that_do_not_roll_have_no_lag_and_no_shares_and_say_why():
    still = {"hip_roll_left_deg": 0.0, "hip_roll_right_deg": 0.0}
    truth = play(read_scenario({"stroke": still})).correct.truth
    for name in ("hip_lag", "hip_roll_h1_share"):
        row = next(m for m in truth.measures if m.measure == name and m.cycle is None)
        assert math.isnan(row.value)
        assert row.reason == "not defined for this motion"
    assert truth.value("hip_shoulder_ratio") == pytest.approx(0.0, abs=ALGEBRA)


def test_scattered_strokes_differ_hold_their_targets_and_come_back_with_their_seed():
    scenario = {"seed": 4, "stroke": {"variability": True}, "breathing": {"side": "left", "every": 3}}
    one, again = (play(read_scenario(scenario)).correct for _ in range(2))
    other = play(read_scenario({**scenario, "seed": 5})).correct
    assert np.array_equal(one.trace.joints_m, again.trace.joints_m)
    assert not np.allclose(one.trace.joints_m, other.trace.joints_m)
    lines = [
        m for m in one.truth.measures if (m.measure, m.side) == ("entry_line", "left") and m.cycle is not None
    ]
    assert np.std([m.value for m in lines]) > 0.2
    for m in lines:
        assert m.value == pytest.approx(
            100 * one.pattern.arm("left", m.cycle).entry_line_m, abs=IN_DOOR_UNITS
        )
    first = next(e for e in one.truth.events if (e.event, e.side, e.cycle) == ("entry", "right", 0))
    assert first.time_s == pytest.approx(0.0, abs=ALGEBRA)
