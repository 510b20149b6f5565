"""INVARIANT: what is easily taken for each other differs in every measure that is named to tell the two apart.

The bounds are those within which a fault leaves alone what it does not own (decided): 0.5 degree, 5 mm, 0.2 % of the
cycle; a swimmer who only looks like one with the fault lies outside them.
"""

import math

import pytest
from made_swimmers import body_for, made
from test_cross_talk import OUTSIDE
from test_faults import BREATHING

from swimsim.faults.catalogue import FaultSetting, faults
from swimsim.ground.tables import read_toml
from swimsim.ground.words import look_alikes
from swimsim.stroke.presets import recovery_targets

PRESET, SEVERITY = "pace400_man", 0.7
DISTANCE = (
    ("entry_catch_share", 0.345),
    ("pull_share", 0.180),
    ("push_share", 0.210),
)  # a gap, the hand on its way
STRAIGHT = tuple(recovery_targets("straight", body_for(PRESET)).items())
#: Swimmers without a fault who look like one with it, as the words of the pairs name them.
CLEAN = {
    "a sprint": {"preset": "sprint_man"},
    "a high stroke rate": {"preset": "sprint_man"},
    "a six-beat kick": {"preset": PRESET, "kick": 6},
    "a two-beat kick": {"preset": PRESET, "kick": 2},
    "a stroke with a breath": {"preset": PRESET, "breathing": ("left", 2)},
    "a distance style": {"preset": PRESET, "targets": DISTANCE},
    "a straight-arm recovery": {"preset": PRESET, "targets": STRAIGHT},
    "a body that snakes": {"preset": PRESET, "targets": (("yaw_rad", math.radians(8)), ("sway_m", 0.10))},
}
#: Not a matter of the swimmer: the camera, or how many strokes are counted; no measure of one swimmer shows it.
OF_THE_WATCHER = {"a camera off its axis", "the breathing pattern"}
MADE = [p for p in look_alikes() if p.fault in faults() and (p.other in faults() or p.other in CLEAN)]


def swimmer(name):
    """A swimmer with a fault, or one without that looks like it."""
    if name in CLEAN:
        how = dict(CLEAN[name])
        return made(how.pop("preset"), **how)
    return made(
        PRESET, breathing=BREATHING.get(name, ("none", 0)), faults=(FaultSetting(name, severity=SEVERITY),)
    )


def values(one, measure):
    """Means of a measure over the period, by side."""
    rows = [m for m in one.truth.measures if m.measure == measure and m.cycle is None and m.breathing is None]
    return {m.side: m.value for m in rows if math.isfinite(m.value)}


def difference(first, second, measure):
    """The greatest difference of one side; a measure that one swimmer has and the other has not differs most."""
    one, other = values(first, measure), values(second, measure)
    both = set(one) & set(other)
    return max((abs(one[side] - other[side]) for side in both), default=math.inf if one or other else 0.0)


@pytest.mark.parametrize("pair", MADE, ids=lambda p: f"{p.fault}-{p.other}".replace(" ", "_"))
def test_look_alikes_differ_in_the_measures_that_are_named(pair):
    units = {name: row["unit"] for name, row in read_toml("definitions")["measure"].items()}
    first, second = swimmer(pair.fault), swimmer(pair.other)
    for measure in pair.measures:
        assert difference(first, second, measure) > OUTSIDE[units[measure]], measure


def test_every_pair_is_made_that_can_be():
    left = {p.other for p in look_alikes() if p not in MADE and p.fault in faults()}
    assert left <= OF_THE_WATCHER, "a swimmer who looks like one with the fault must be made"
    assert {p.fault for p in MADE} >= {
        "dropped_elbow",
        "palm_in_finish",
        "flat_hips",
        "double_bump",
        "head_lift",
    }


def test_the_dip_of_a_kick_wave_is_no_double_bump():
    """One peak to each side with a six-beat kick, two with the fault (the rule of the trade: count the peaks)."""
    assert set(values(swimmer("a six-beat kick"), "hip_roll_peaks").values()) == {1}
    assert set(values(swimmer("double_bump"), "hip_roll_peaks").values()) == {2}


def test_flat_hips_are_in_time_and_hips_behind_the_shoulders_are_late():
    clean = values(made(PRESET), "hip_lag")[None]
    assert values(swimmer("flat_hips"), "hip_lag")[None] == pytest.approx(clean, abs=OUTSIDE["%"])
    assert values(swimmer("shoulder_driven"), "hip_lag")[None] > clean + 5


def test_hips_below_the_norm_of_a_sprint_are_flatter_than_a_sprint():
    assert max(values(swimmer("flat_hips"), "hip_roll_peak").values()) < min(
        values(swimmer("a sprint"), "hip_roll_peak").values()
    )
