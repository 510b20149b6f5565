"""COMMON PRACTICE and HAND-COUNTED: the pass mark of the trunk goes with the pace, so that the clean pass at each.

Slow swimmers lie steeper: 15 to 20 degrees at 0.6 to 0.8 m/s, 10 to 13 at 1.0 to 1.2, 7 to 10 from 1.4 on (from memory
of Zamparo et al. 2009): nothing here passes or fails by these figures.
"""

import re

import numpy as np
import pytest

import swimsim
from swimsim.faults.catalogue import fault_named, passing_value
from swimsim.ground.words import fault_words
from swimsim.stroke.presets import PRESETS
from swimsim.teaching.marks import marks_of
from swimsim.teaching.numbers import is_inside

#: Degrees that pass, by hand from the words: 15 when slow, 12 at 400-m pace, 11 in a sprint.
PASSES = {"masters": 15, "pace400": 12, "sprint": 11}


def scenario(preset, severity=0.5):
    return {
        "stroke": {"preset": preset},
        "swimmer": {"sex": preset.split("_")[1]},
        "fault": [{"fault": "sinking_legs", "severity": severity}],
    }


@pytest.mark.parametrize("preset", PRESETS)
def test_a_clean_swimmer_passes_and_one_with_the_fault_does_not(preset):
    played = swimsim.play(swimsim.read_scenario(scenario(preset)))
    marks = marks_of(played)
    target = {int(re.search(r"target: (\d+)° or less", one.band).group(1)) for one in marks}
    assert target == {PASSES[preset.split("_")[0]]}
    clean, sunk = (swum.truth.value("trunk_slope") for swum in (played.correct, played.fault))
    assert clean <= max(target) < sunk


def test_between_the_paces_it_is_read_off_a_line():
    """Half-way from 27.6 to 41.4 cycles a minute: half-way from 15 to 12 degrees."""
    fault = fault_named("sinking_legs")
    assert passing_value(fault, 34.5 / 60) == pytest.approx(13.5)
    assert passing_value(fault, 20 / 60) == 15 and passing_value(fault, 70 / 60) == 11


def test_a_pass_mark_that_holds_at_every_pace_has_no_row():
    assert np.isnan(passing_value(fault_named("crossover"), 0.7))


def test_the_band_over_the_body_ends_at_the_pass_mark():
    """The arc from the chest: its last point lies 15 degrees below level for the slow swimmer, by the cosine rule."""
    played = swimsim.play(swimsim.read_scenario(scenario("masters_man")))
    arc = next(one for one in marks_of(played)[0].drawn if one.kind == "arc" and one.tone == "target")
    corner, level, low = (np.asarray(arc.points_m)[5, i] for i in range(3))
    a, b = level - corner, low - corner
    angle = np.degrees(np.arccos(a @ b / np.linalg.norm(a) / np.linalg.norm(b)))
    assert angle == pytest.approx(15.0, abs=1e-6)


#: By hand: a value, a target as the words have it, and whether it lies inside.
TARGETS = [
    (55, "target: 55° or more", True), (54, "target: 55° or more", False),
    (12, "target: 12 % or less", True), (13, "target: 12 % or less", False),
    (4, "target: less than 5 %", True), (5, "target: less than 5 %", False),
    (6, "target: more than 5 %", True), (5, "target: more than 5 %", False),
    (-10, "target: -10 to +8 cm", True), (8, "target: -10 to +8 cm", True),
    (-11, "target: -10 to +8 cm", False), (9, "target: -10 to +8 cm", False),
    (-18, "target: -18 cm (midline) or more", True), (-19, "target: -18 cm (midline) or more", False),
    (0, "target: 0 % of the cycle or less", True), (15, "target: 15.5° or less", True),
    (3, "target: easy", False), (3, "", False), (3, "target: or more", False),
]  # fmt: skip


@pytest.mark.parametrize(("value", "target", "inside"), TARGETS)
def test_a_value_is_inside_a_target_or_not(value, target, inside):
    assert is_inside(value, target) is inside


def test_the_words_say_both_paces():
    assert "12°" in fault_words("sinking_legs").pass_mark and "15°" in fault_words("sinking_legs").pass_mark
