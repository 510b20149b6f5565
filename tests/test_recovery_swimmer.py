"""INVARIANT: without noise and at a fair frame rate the blind reader finds the truth of the making side.

The reader shares no code with the motion; both follow the words of the definitions.
"""

import functools

import numpy as np
import pytest
from tolerances import sampled

from swimsim.faults.apply import apply_faults
from swimsim.faults.catalogue import FaultSetting, faults
from swimsim.metrics import measure_trace
from swimsim.motion.head_truth import BREATH_MEASURES
from swimsim.motion.solve import solve
from swimsim.motion.truth import take_truth
from swimsim.stroke.presets import make_pattern
from swimsim.swimmer.anthropometry import make_body
from swimsim.validation.event_match import score_events
from swimsim.validation.recovery import grade, recovery_rows

PRESETS = ("pace400_woman", "sprint_man", "masters_man")
CYCLES = 6.3  # the record ends between events


@functools.cache
def swum(preset, fault=None):
    """Motion, truth and duration of a swimmer who breathes to the left."""
    woman = preset.endswith("woman")
    body = make_body(1.68 if woman else 1.80, sex="woman" if woman else "man")
    pattern = make_pattern(preset, body, breathing=("left", 2))
    if fault:
        setting = FaultSetting(fault, severity=0.7)
        pattern = apply_faults(pattern, [setting], half_width_m=body.shoulder_width_m / 2)
    motion = solve(pattern, body)
    duration = CYCLES * motion.cycle_s
    return motion, take_truth(motion, duration), duration


@pytest.mark.parametrize("rate", [60, 120, 240])
@pytest.mark.parametrize("preset", PRESETS)
def test_events_of_a_clean_trace_lie_within_half_a_frame(preset, rate):
    motion, truth, duration = swum(preset)
    found = measure_trace(motion.trace(rate, duration)).events
    inside = (1 / rate, duration - 2 / rate)  # not those on the first and last frames
    for score in score_events(truth.events, found, within_s=sampled(rate), between_s=inside):
        assert score.f == 1.0, score


@pytest.mark.parametrize("preset", PRESETS)
def test_every_measure_of_a_clean_trace_is_good(preset):
    motion, truth, duration = swum(preset)
    rows = recovery_rows(preset, truth.measures, measure_trace(motion.trace(60, duration)), cycles=False)
    assert len(rows) > 90
    undefined = [(r["measure"], r["side"]) for r in rows if np.isnan(r["truth"])]
    of_a_breath = ("pull_line_breathing_difference", *BREATH_MEASURES)
    assert sorted(undefined) == [
        (name, "right") for name in sorted(of_a_breath)
    ]  # the right arm takes no breath
    rows = [r for r in rows if np.isfinite(r["truth"])]
    poor = [
        (r["measure"], r["side"], r["error"])
        for r in rows
        if grade(r["measure"], r["unit"], abs(r["error"])) != "good"
    ]
    assert not poor


def test_measure_errors_fall_as_the_frame_rate_rises():
    """All angles but kick timing: the kick cycle is the local one here and the mean one in the truth."""
    motion, truth, duration = swum("pace400_woman")
    size = []
    for rate in (25, 60, 240):
        rows = recovery_rows("", truth.measures, measure_trace(motion.trace(rate, duration)), cycles=False)
        angles = [r for r in rows if r["unit"] == "deg" and not r["measure"].startswith("kick_phase")]
        size.append(np.sqrt(np.nanmean([r["error"] ** 2 for r in angles])))
    assert size[2] < size[1] < size[0]


@pytest.mark.parametrize("fault", sorted(faults()))
def test_the_main_measure_of_every_fault_is_recovered(fault):
    motion, truth, duration = swum("pace400_woman", fault)
    rows = recovery_rows(fault, truth.measures, measure_trace(motion.trace(60, duration)), cycles=False)
    main = [r for r in rows if r["measure"] == faults()[fault].main_measure and np.isfinite(r["truth"])]
    assert main
    for row in main:
        assert grade(row["measure"], row["unit"], abs(row["error"])) == "good", row
