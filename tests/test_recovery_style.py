"""INVARIANT: a straight arm carried high is swum exactly and told from the fault; its shape is COMMON PRACTICE."""

import numpy as np
import pytest
from made_swimmers import STATURES_M, body_for, made
from test_targets import assert_targets

import swimsim
from swimsim.faults.catalogue import FaultSetting
from swimsim.ground.conventions import JOINT_INDEX, SIDES
from swimsim.ground.errors import InputError
from swimsim.motion.human import problems
from swimsim.scenario.severity import size_of
from swimsim.stroke.presets import PRESETS, RECOVERIES, recovery_targets

FAULT = FaultSetting("low_elbow_recovery", severity=0.0)


def straight(preset, stature_m=None, **how):
    targets = recovery_targets("straight", body_for(preset, stature_m))
    return made(preset, stature_m=stature_m, targets=tuple(targets.items()), **how)


def effective(one, clean):
    return size_of(FAULT, one.truth, clean=clean.pattern, body=one.body).severity_effective


@pytest.mark.parametrize("preset", PRESETS)
def test_a_straight_arm_recovery_is_human_and_reaches_every_target(preset):
    one = straight(preset)
    assert_targets(one)
    assert not problems(one.motion)


@pytest.mark.parametrize("breathing", [("left", 2), ("right", 3)])
@pytest.mark.parametrize("stature_m", STATURES_M)
def test_bodies_of_every_size_can_swim_it(stature_m, breathing):
    for preset in ("sprint_woman", "masters_man"):
        one = straight(preset, stature_m, breathing=breathing)
        assert_targets(one)
        assert not problems(one.motion)


@pytest.mark.parametrize("preset", PRESETS)
def test_the_arm_is_nearly_straight_and_the_hand_high_above_head_and_elbow(preset):
    """Elbow 160 to 170 degrees half-way, hand above the elbow and more than half an arm over the water."""
    one = straight(preset)
    body, cycle = one.body, one.motion.cycle_s
    joints = one.motion.joints(np.linspace(0, cycle, 400))
    for side in SIDES:
        assert 160 <= one.truth.value("elbow_at_mid_recovery", side) <= 170
        highest = joints[np.argmax(joints[:, JOINT_INDEX[f"{side}_knuckles"], 2])]
        at = {name: highest[JOINT_INDEX[f"{side}_{name}"]] for name in ("knuckles", "elbow", "shoulder")}
        assert at["knuckles"][2] > at["elbow"][2] + 0.1 > highest[JOINT_INDEX["head_top"], 2]
        assert at["knuckles"][2] > (body.upper_arm_m + body.forearm_m) / 2


@pytest.mark.parametrize("preset", PRESETS)
def test_it_is_a_style_and_the_fault_is_still_a_fault(preset):
    """Both have the hand above the elbow; the style has an arm that is straight and points up, not out."""
    clean, style = made(preset), straight(preset)
    assert effective(style, clean) == 0
    for severity in (0.35, 0.7, 0.8, 1.0):
        fault = made(preset, faults=(FaultSetting("low_elbow_recovery", severity=severity),))
        assert effective(fault, clean) == pytest.approx(severity, abs=0.02)  # norm and own value nearly agree
        assert fault.truth.value("recovery_line", "left") > style.truth.value("recovery_line", "left") + 5


def test_the_stroke_but_for_the_recovery_is_the_same():
    """Events, phases and what the hand does under water stay."""
    clean, style = made("pace400_man"), straight("pace400_man")
    for measure in ("hand_depth", "pull_line", "entry_line", "exit_past_hip", "forearm_slope_at_45"):
        assert style.truth.value(measure, "left") == pytest.approx(
            clean.truth.value(measure, "left"), abs=1e-4
        )
    times = [
        {(e.event, e.side): e.time_s for e in one.truth.events if e.cycle == 0} for one in (clean, style)
    ]
    assert len(times[0]) == 10
    assert times[0] == pytest.approx(times[1], abs=1e-6)


def test_a_scenario_takes_it_by_one_key_and_a_target_wins_over_it():
    keys = {"stroke": {"preset": "sprint_man", "recovery": "straight"}, "swimmer": {"sex": "man"}}
    truth = swimsim.play(swimsim.read_scenario(keys)).correct.truth
    assert truth.value("elbow_at_mid_recovery", "left") == pytest.approx(165, abs=1e-4)
    keys["stroke"]["elbow_at_mid_recovery_deg"] = 160.0
    truth = swimsim.play(swimsim.read_scenario(keys)).correct.truth
    assert truth.value("elbow_at_mid_recovery", "left") == pytest.approx(160, abs=1e-4)
    assert truth.value("elbow_above_wrist", "left") < -15


def test_an_unknown_way_is_refused_with_the_nearest():
    assert RECOVERIES == ("bent", "straight")
    with pytest.raises(
        InputError, match="recovery: expected one of bent, straight, got 'strait'; did you mean"
    ):
        recovery_targets("strait", body_for("sprint_man"))
    assert recovery_targets("bent", body_for("sprint_man")) == {}
