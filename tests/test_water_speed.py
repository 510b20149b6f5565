"""INVARIANT (nothing changes any more, the truth says it, trace and speed agree) and COMMON PRACTICE (an early exit is
slower at the same rate): speed that comes out of the stroke, in a scenario and alone."""

import dataclasses
import json

import numpy as np
import pytest

import swimsim
from swimsim.faults.apply import apply_faults
from swimsim.faults.catalogue import FaultSetting
from swimsim.ground.errors import InputError, UnreachableError
from swimsim.motion.solve import solve
from swimsim.scenario import water_speed
from swimsim.scenario.in_water import stroke_in_water, swimmer
from swimsim.scenario.read import read_scenario
from swimsim.scenario.water_speed import SETTLED_M_S, speed_by_water, swim_by_water
from swimsim.water.coefficients import coefficients
from swimsim.water.surge import settle

SCENARIO = {
    "swimmer": {"sex": "man", "stature_m": 1.8},
    "stroke": {"speed_from": "water"},
    "fault": [{"fault": "early_exit", "severity": 0.7}],
}


@pytest.fixture(scope="module")
def clean():
    return swimmer("pace400_man")


@pytest.fixture(scope="module")
def swum(clean):
    return speed_by_water(*clean)


@pytest.fixture(scope="module")
def played():
    return swimsim.play(read_scenario(SCENARIO))


def test_one_more_round_changes_nothing(clean, swum):
    """Swum at the speed found, the water gives that speed at every instant."""
    pattern, motion, surge = swum
    again = settle(
        stroke_in_water(solve(pattern, clean[1], body_motion=motion)), coefficients(), pattern.stroke_rate_hz
    )
    assert np.abs(again.speed_m_s - surge.speed_m_s).max() < 3 * SETTLED_M_S
    assert float(again.mean_speed_m_s[0]) == pytest.approx(pattern.speed_m_s, abs=SETTLED_M_S)


def test_where_the_search_begins_does_not_matter(clean, swum):
    pattern, body = clean
    far = dataclasses.replace(pattern, speed_m_s=1.15 * pattern.speed_m_s)
    assert speed_by_water(far, body)[0].speed_m_s == pytest.approx(swum[0].speed_m_s, abs=3 * SETTLED_M_S)


def test_the_body_goes_as_fast_as_it_says(swum):
    """The way is the integral of the speed: central differences of `advance`; no heave and no pitch."""
    _, motion, _ = swum
    t, h = np.linspace(0, 2.9, 40), 1e-5
    slope = (motion.advance(t + h) - motion.advance(t - h)) / (2 * h)
    assert slope == pytest.approx(motion.speed(t), abs=1e-7)
    assert motion.advance(np.zeros(1)) == pytest.approx(0, abs=1e-12)
    assert not motion.heave(t).any()
    assert not motion.pitch(t).any()
    assert motion.speed_from == "water"


def test_the_hip_of_the_trace_advances_at_that_speed(played):
    """From the joints alone: metres of the mid-hip over one period."""
    for who in (played.fault, played.correct):
        period = who.motion.cycle_s * who.motion.period_cycles
        hips = who.motion.joints(np.array([0.0, period]))[:, who.trace.joint_names.index("pelvis"), 0]
        assert (hips[1] - hips[0]) / period == pytest.approx(who.pattern.speed_m_s, abs=1e-9)
        assert who.speed_from == "water"
        assert who.truth.value("speed") == pytest.approx(who.pattern.speed_m_s, abs=1e-9)


def test_an_early_exit_is_slower_at_the_same_rate(played):
    fault, correct = played.fault.pattern, played.correct.pattern
    assert fault.stroke_rate_hz == correct.stroke_rate_hz
    assert fault.speed_m_s < correct.speed_m_s - 0.03


def test_set_targets_are_met_while_the_speed_swings(played):
    """The truth equals the targets to 1e-6 as with a steady speed: hand past the hip at exit, in cm."""
    target = played.fault.pattern.left.exit_past_hip_m
    assert played.fault.truth.value("exit_past_hip", "left") / 100 == pytest.approx(target, abs=1e-6)


def test_legs_that_hang_are_not_faster_by_their_kick(clean):
    """No difference hangs on this model's kick: with the clean swimmer's it is slower, alone it would be faster."""
    pattern, body = clean
    faulty = apply_faults(
        pattern, [FaultSetting("sinking_legs", severity=0.7)], half_width_m=body.shoulder_width_m / 2
    )
    kept, _, _ = speed_by_water(faulty, body, clean=pattern, swings=False)
    own, _, _ = speed_by_water(faulty, body, swings=False)
    assert kept.speed_m_s < 1.40 < own.speed_m_s


def test_a_body_that_cannot_meet_its_targets_at_a_swinging_speed_swims_at_the_mean(clean, monkeypatch):
    real = water_speed.speed_by_water

    def stiff(pattern, body, *, clean=None, swings=True):
        if swings:
            raise UnreachableError("elbow")
        return real(pattern, body, clean=clean, swings=False)

    monkeypatch.setattr(water_speed, "speed_by_water", stiff)
    motion = swim_by_water(*clean)
    mean = settle(stroke_in_water(motion), coefficients(), motion.pattern.stroke_rate_hz).mean_speed_m_s
    assert motion.pattern.speed_m_s == pytest.approx(float(mean[0]), abs=SETTLED_M_S)
    assert np.ptp(motion.frame.motion.speed(np.linspace(0, 2, 20))) == 0


def test_scattered_strokes_have_no_periodic_speed(clean):
    from swimsim.stroke.variability import scatter

    with pytest.raises(InputError, match="speed_from: expected strokes that repeat"):
        speed_by_water(scatter(clean[0], seed=1, cycles=6), clean[1])


def test_scattered_strokes_are_swum_at_the_speed_of_the_one_they_scatter_about():
    keys = {**SCENARIO, "fault": [], "stroke": {"speed_from": "water", "variability": True}}
    found = swimsim.play(read_scenario(keys)).correct
    steady = swimsim.play(read_scenario({**SCENARIO, "fault": []})).correct
    assert found.pattern.speed_m_s == pytest.approx(steady.pattern.speed_m_s, abs=1e-9)
    assert len(found.pattern.cycles) > 1


def test_the_files_say_where_the_speed_came_from(tmp_path):
    folder, _ = swimsim.write_traces(SCENARIO, tmp_path / "traces")
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    assert {who["speed_from"] for who in truth["swimmers"].values()} == {"water"}
    assert 'speed_from = "water"' in (folder / "scenario.toml").read_text(encoding="utf-8")
    assert read_scenario(folder / "scenario.toml").stroke.speed_from == "water"


def test_the_planar_swimmer_has_no_hands_to_push_with():
    keys = {"dimensions": 2, "stroke": {"speed_from": "water"}, "output": {"views": ["side_left"]}}
    with pytest.raises(InputError, match="speed_from: expected set with dimensions = 2, got 'water'"):
        read_scenario(keys)
