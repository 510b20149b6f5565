"""HAND-COUNTED and PUBLISHED: the symmetry index by its formula, (R - L) / (R + L) * 2 * 100 (Sanders et al. 2012,
J Swim Res 19:1 [read]); INVARIANT: the mirrored swimmer mirrors it; SECOND METHOD: the blind reader finds it.
"""

import dataclasses
import math

import numpy as np
import pytest
from made_swimmers import body_for, made, made_from
from test_cross_talk import OUTSIDE, RATES
from tolerances import ALGEBRA, SOLVED

import swimsim
from swimsim.faults.apply import apply_faults
from swimsim.faults.asymmetry import index_of, larger_side, paired
from swimsim.faults.catalogue import FaultSetting, fault_of, faults
from swimsim.ground.conventions import SIDES, other_side
from swimsim.ground.errors import InputError, UnreachableError
from swimsim.ground.tables import read_toml
from swimsim.metrics import measure_trace
from swimsim.motion.human import problems
from swimsim.motion.symmetry_truth import symmetry_values
from swimsim.scenario.set_values import set_values
from swimsim.scenario.severity import size_of
from swimsim.stroke.pattern import set_targets
from swimsim.stroke.presets import make_pattern, mirror
from swimsim.teaching.marks import marks_of
from swimsim.validation.cross_talk import cross_talk

DOOR = 100 * SOLVED  # percent are about a hundredth of the SI unit
GROSS = 40.0  # decided: one side is one and a half times the other
#: What can differ, the paired measure and its size in the 400-m man, read off the preset by hand.
PAIRS = {
    "shoulder_roll": ("shoulder_roll_peak", 52.0),
    "hip_roll": ("hip_roll_peak", 26.0),
    "hand_depth": ("hand_depth", None),
    "forearm_slope": ("forearm_slope_at_45", 70.0),
    "entry_catch": ("phase_entry_catch", 30.5),
    "pull": ("phase_pull", 19.5),
    "push": ("phase_push", 22.5),
    "timing": ("entry_spacing", 50.0),
}
INDEX = {of: "symmetry_index" if of == "shoulder_roll" else f"symmetry_index_{of}" for of in PAIRS}
BREATHS = (("none", 0), ("left", 2), ("right", 4), ("left", 3))
MORE_BREATHS = [pytest.param(breath, marks=pytest.mark.slow) for breath in BREATHS[1:3]]


def setting(of, severity=0.5, side="both", **size):
    return FaultSetting("asymmetry", severity=None if size else severity, side=side, of=of, **size)


def swum(of, severity=0.5, side="left", preset="pace400_man", breathing=("none", 0)):
    return made(preset, breathing=breathing, faults=(setting(of, severity, side),))


# ---- the index


@pytest.mark.parametrize(
    ("left", "right", "index"),
    [(1.0, 1.0, 0.0), (1.0, 1.5, 40.0), (1.5, 1.0, -40.0), (0.9, 1.1, 20.0), (2.0, 6.0, 100.0)],
)
def test_the_index_by_hand(left, right, index):
    """40 % is one side half as much again as the other: 2 * 0.5 / 2.5."""
    assert 100 * index_of({"left": left, "right": right}) == pytest.approx(index)


def test_the_truth_takes_the_means_and_has_no_index_where_a_side_is_not_positive():
    rows = {name: row["pair"] for name, row in read_toml("definitions")["measure"].items() if "pair" in row}
    values = {(pair, "left"): np.array([0.5, 1.5]) for pair in rows.values()}
    values |= {(pair, "right"): np.array([2.0, 1.0]) for pair in rows.values()}
    assert symmetry_values(values) == {(name, None): pytest.approx(40.0) for name in rows}
    values["hip_roll_peak", "right"] = np.array([0.0, 0.0])
    assert math.isnan(symmetry_values(values)["symmetry_index_hip_roll", None])
    assert symmetry_values(values)["symmetry_index", None] == pytest.approx(40.0)


def test_there_is_an_index_for_each_pair_and_a_pair_for_each_index():
    measures = read_toml("definitions")["measure"]
    assert set(faults()["asymmetry"].pairs) == set(PAIRS)
    for of, (pair, _) in PAIRS.items():
        assert fault_of(setting(of)).main_measure == INDEX[of]
        assert measures[INDEX[of]]["pair"] == pair and measures[pair]["per"] == "side"
        assert measures[INDEX[of]]["unit"] == "%" and measures[INDEX[of]]["flag"] == "read"


@pytest.mark.parametrize("of", PAIRS)
def test_a_swimmer_with_even_sides_has_index_zero(of):
    assert made("pace400_man").truth.value(INDEX[of]) == pytest.approx(0.0, abs=DOOR)


# ---- the fault


@pytest.mark.parametrize("of", PAIRS)
@pytest.mark.parametrize("side", SIDES)
def test_the_index_is_what_was_set_and_the_mean_of_both_sides_stays(of, side):
    """Severity 0.35 of 40 % is 14 %; the larger side M (1 + 0.07), the other M (1 - 0.07)."""
    one = swum(of, 0.35, side)
    sign = {"left": -1, "right": 1}[side]
    assert one.truth.value(INDEX[of]) == pytest.approx(sign * 14.0, abs=DOOR)
    pair, size = PAIRS[of]
    size = size or made("pace400_man").truth.value(pair, "left")
    assert one.truth.value(pair, side) == pytest.approx(size * 1.07, abs=DOOR)
    assert one.truth.value(pair, other_side(side)) == pytest.approx(size * 0.93, abs=DOOR)


@pytest.mark.parametrize("of", [of for of in PAIRS if of != "hand_depth"])
def test_gross_is_one_and_a_half_times(of):
    """The 400-m man shows every pair in full, but for the depth of the hand: no arm reaches that."""
    one, (pair, _) = swum(of, 1.0, "right"), PAIRS[of]
    assert one.truth.value(pair, "right") / one.truth.value(pair, "left") == pytest.approx(1.5, rel=DOOR)
    assert not problems(one.motion)


def test_a_depth_that_no_arm_reaches_is_refused_with_the_range():
    with pytest.raises(
        UnreachableError, match=r"arm: hand_depth_m: expected about \S+ m to \S+ m for this body"
    ):
        swum("hand_depth", 1.0)


@pytest.mark.parametrize("breathing", [BREATHS[0], BREATHS[3], *MORE_BREATHS])
@pytest.mark.parametrize("of", ["shoulder_roll", "hip_roll", "pull"])
def test_breaths_count_in_the_index(of, breathing):
    """Set and true index agree though a breath raises the roll of its own side."""
    for side in SIDES:
        clean, one = (
            made("masters_woman", breathing=breathing),
            swum(of, 0.5, side, "masters_woman", breathing),
        )
        sign = {"left": -1, "right": 1}[side]
        own = sign * clean.truth.value(INDEX[of])
        assert one.truth.value(INDEX[of]) == pytest.approx(sign * (own + 0.5 * (GROSS - own)), abs=DOOR)
        assert set_values(one.pattern)[INDEX[of], None] == pytest.approx(one.truth.value(INDEX[of]), abs=DOOR)


def test_a_breath_to_one_side_makes_an_index_of_its_own():
    """By hand: 52 and 52 + 9 degrees are 2 * 9 / 113 = 15.93 % towards the breath."""
    for side, sign in (("left", -1), ("right", 1)):
        truth = made("pace400_man", breathing=(side, 2)).truth
        assert truth.value("symmetry_index") == pytest.approx(sign * 200 * 9 / 113, abs=0.01)
    assert made("pace400_man", breathing=("left", 3)).truth.value("symmetry_index") == pytest.approx(
        0, abs=DOOR
    )


@pytest.mark.parametrize("breathing", BREATHS)
@pytest.mark.parametrize("of", ["shoulder_roll", "hip_roll"])
def test_a_normal_breath_is_no_fault(of, breathing):
    clean = made("pace400_man", breathing=breathing)
    for side in (*SIDES, "both"):
        size = size_of(setting(of, 0.0, side), clean.truth, clean=clean.pattern, body=clean.body)
        assert size.severity_effective < 0.01


@pytest.mark.parametrize("of", ["shoulder_roll", "pull", "timing"])
def test_effective_severity_is_that_of_the_larger_side_alone(of):
    one, clean = swum(of, 0.6, "right"), made("pace400_man")
    found = {
        side: size_of(setting(of, 0.6, side), one.truth, clean=clean.pattern, body=one.body) for side in SIDES
    }
    assert found["right"].severity_effective == pytest.approx(0.6, abs=DOOR)
    assert found["left"].severity_effective == 0
    assert found["right"].unit == "%" and found["right"].main_measure == INDEX[of]


@pytest.mark.parametrize("of", PAIRS)
def test_the_mirrored_swimmer_has_the_other_sign(of):
    body = body_for("pace400_woman")
    pattern = make_pattern("pace400_woman", body, breathing=("left", 4))
    faulty = apply_faults(pattern, [setting(of, 0.3, "left")], half_width_m=body.shoulder_width_m / 2)
    one, other = made_from(faulty, body), made_from(mirror(faulty), body)
    for name in INDEX.values():
        assert other.truth.value(name) == pytest.approx(-one.truth.value(name), abs=1e-4), name
    assert abs(one.truth.value(INDEX[of])) > 5


def test_own_difference_is_where_severity_starts():
    """A swimmer 52 and 48 degrees: -8 % of its own; half-way to -40 % is -24 %."""
    body = body_for("pace400_man")
    targets = {"shoulder_roll_right_rad": math.radians(48.0)}
    pattern = make_pattern("pace400_man", body, targets=targets)
    assert 100 * index_of(paired(pattern, fault_of(setting("shoulder_roll")))) == pytest.approx(-8.0)
    half = body.shoulder_width_m / 2
    for side, index in (("left", -24.0), ("right", 16.0)):  # towards the right: from +(-8) half-way to 40
        changed = apply_faults(pattern, [setting("shoulder_roll", 0.5, side)], half_width_m=half)
        assert 100 * index_of(paired(changed, fault_of(setting("shoulder_roll")))) == pytest.approx(index)
    unchanged = apply_faults(pattern, [setting("shoulder_roll", 0.0, "left")], half_width_m=half)
    assert unchanged == pattern


@pytest.mark.parametrize(
    ("breathing", "larger"),
    [(("none", 0), "left"), (("left", 2), "left"), (("right", 2), "right"), (("right", 3), "left")],
)
def test_the_larger_side_is_that_of_the_breath_unless_it_is_set(breathing, larger):
    pattern = made("pace400_man", breathing=breathing).pattern
    assert larger_side(pattern, setting("pull")) == larger
    for side in SIDES:
        assert larger_side(pattern, setting("pull", side=side)) == side


def test_timing_makes_a_gap_on_one_side_and_overlap_on_the_other():
    """Seifert et al. 2005 [read, in words]. By algebra: IdC of a side is P - 100 q, its mean P - 50, here -8."""
    truth = swum("timing", 1.0, "right").truth
    assert truth.value("entry_spacing", "right") == pytest.approx(60, abs=DOOR)
    assert truth.value("coordination_index_side", "right") == pytest.approx(42 - 60, abs=DOOR)
    assert truth.value("coordination_index_side", "left") == pytest.approx(42 - 40, abs=DOOR)
    assert truth.value("coordination_index") == pytest.approx(-8, abs=DOOR)


@pytest.mark.parametrize(
    "of",
    [pytest.param(of, marks=[] if of in ("shoulder_roll", "timing") else pytest.mark.slow) for of in PAIRS],
)
def test_nothing_outside_what_it_owns_moves(of):
    for preset, side in (("pace400_man", "left"), ("masters_woman", "right"), ("sprint_man", "left")):
        one, clean = shown(of, preset, side), made(preset)
        if one is None:
            continue
        changes = cross_talk(
            clean.truth.measures, {"it": one.truth.measures}, owns={"it": fault_of(setting(of)).owns}
        )
        moved = [
            (preset, c.measure, c.side, round(c.change, 3))
            for c in changes
            if not c.owned and c.change > (ALGEBRA if c.measure in RATES else bound(c))
        ]
        assert not moved


def bound(change):
    """An index moves by as much as its pair may: 0.5 degree of 26 is 2 % of it."""
    return 2.0 if change.measure.startswith("symmetry_index") else OUTSIDE[change.unit]


def shown(of, preset, side):
    for severity in (0.7, 0.35):
        try:
            return swum(of, severity, side, preset=preset)
        except UnreachableError:
            continue
    return None


# ---- the blind reader


@pytest.mark.parametrize("of", PAIRS)
@pytest.mark.parametrize("breathing", [("none", 0), ("left", 2)])
def test_the_blind_reader_finds_the_index(of, breathing):
    one = swum(of, 0.35, "right", breathing=breathing)
    reading = measure_trace(one.motion.trace(60.0, 7 * one.motion.cycle_s))
    for name in INDEX.values():
        assert reading.measure(name).value == pytest.approx(one.truth.value(name), abs=0.1), name
    assert reading.measure(INDEX[of]).cycle is None
    for side in SIDES:
        spacing = reading.measure("entry_spacing", side).value
        assert spacing == pytest.approx(one.truth.value("entry_spacing", side), abs=0.02)


def test_the_blind_reader_says_why_there_is_no_index():
    one = made("pace400_man")
    trace = one.motion.trace(60.0, 7 * one.motion.cycle_s)
    joints = trace.joints_m.copy()
    joints[:, trace.joint_names.index("left_shoulder")] = np.nan
    blind = measure_trace(dataclasses.replace(trace, joints_m=joints))
    assert math.isnan(blind.measure("symmetry_index").value)
    assert "left_shoulder" in blind.measure("symmetry_index").reason
    flat = dataclasses.replace(one.pattern.roll, hip_roll_left_rad=0.0, hip_roll_right_rad=0.0)
    level = made_from(dataclasses.replace(one.pattern, roll=flat), one.body)
    read = measure_trace(level.motion.trace(60.0, 7 * one.motion.cycle_s)).measure("symmetry_index_hip_roll")
    assert math.isnan(read.value) and read.reason
    assert math.isnan(level.truth.value("symmetry_index_hip_roll"))


def test_a_planar_swimmer_has_no_index_of_roll():
    swimmer = {"dimensions": 2, "fault": [{"fault": "asymmetry", "of": "pull", "severity": 0.4}]}
    played = swimsim.play(swimsim.read_scenario(swimmer))
    assert math.isnan(played.fault.truth.value("symmetry_index"))
    assert played.fault.truth.value("symmetry_index_pull") == pytest.approx(-16.0, abs=DOOR)
    with pytest.raises(InputError, match=r"expected one that shows in the swimming plane.*got 'asymmetry'"):
        swimsim.read_scenario({**swimmer, "fault": [{"fault": "asymmetry", "severity": 0.4}]})


# ---- doors


def test_the_scenario_names_the_pair_and_the_truth_tells_it():
    fault = {"fault": "asymmetry", "of": "hand_depth", "amount": 10.0, "unit": "%", "side": "right"}
    scenario = swimsim.read_scenario({"fault": [fault]})
    assert scenario.output.views == ["front"] and scenario.fault[0].of == "hand_depth"
    played = swimsim.play(scenario)
    assert played.fault.truth.value("symmetry_index_hand_depth") == pytest.approx(10.0, abs=DOOR)
    from swimsim.scenario.truth_file import truth_record

    (told,) = truth_record(played, version="0")["swimmers"]["fault"]["faults"]
    assert (told["of"], told["main_measure"], told["unit"]) == (
        "hand_depth",
        "symmetry_index_hand_depth",
        "%",
    )
    assert told["severity"] == pytest.approx(0.25)
    title = marks_of(played)[0].title
    assert title == "uneven hand depth, right"


@pytest.mark.parametrize(
    ("fault", "match"),
    [
        (
            {"fault": "asymmetry", "of": "hand_dept"},
            r"fault\[1\]\.of: expected shoulder_roll.*did you mean 'hand_depth'",
        ),
        (
            {"fault": "crossover", "of": "pull"},
            "fault crossover: of: expected it with asymmetry only, got 'pull'",
        ),
        ({"fault": "asymmetry", "strokes": "breathing"}, "strokes: expected one of every, got 'breathing'"),
    ],
)
def test_a_wrong_pair_is_one_clear_line(fault, match):
    with pytest.raises(InputError, match=match):
        swimsim.read_scenario({"fault": [{"severity": 0.5, **fault}]})


def test_an_unknown_pair_is_named_from_python():
    with pytest.raises(InputError, match=r"of: expected one of shoulder_roll.*got 'kick'"):
        fault_of(setting("kick"))


def test_a_pair_that_is_not_positive_is_refused():
    body = body_for("pace400_man")
    pattern = set_targets(make_pattern("pace400_man", body), {"hip_roll_right_rad": 0.0})
    with pytest.raises(
        InputError, match=r"expected a pair that is positive on both sides, got hip_roll_.*on the right"
    ):
        apply_faults(pattern, [setting("hip_roll")], half_width_m=0.2)


def test_two_pairs_go_together_and_one_pair_twice_does_not():
    one = made("pace400_man")
    both = [setting("shoulder_roll", 0.4, "left"), setting("hip_roll", 0.4, "right")]
    swam = made("pace400_man", faults=tuple(both)).truth
    assert swam.value("symmetry_index") == pytest.approx(-16, abs=DOOR)
    assert swam.value("symmetry_index_hip_roll") == pytest.approx(16, abs=DOOR)
    with pytest.raises(InputError, match="faults asymmetry and asymmetry both set hand_depth_m"):
        apply_faults(one.pattern, [setting("hand_depth", 0.1), setting("hand_depth", 0.2)], half_width_m=0.2)
    with pytest.raises(InputError, match="faults straight_arm_press and asymmetry both set hand_depth_m"):
        press = FaultSetting("straight_arm_press", severity=0.3, side="left")
        apply_faults(one.pattern, [press, setting("hand_depth", 0.1)], half_width_m=0.2)


def test_a_matter_of_time_has_no_lines_over_the_body():
    played = swimsim.play(
        swimsim.read_scenario({"fault": [{"fault": "asymmetry", "of": "pull", "severity": 0.5}]})
    )
    fault, correct = marks_of(played)
    assert fault.drawn == () and fault.gauge is None and fault.value == "sides differ by: 20 %"
    assert correct.value == "sides differ by: 0 %"
