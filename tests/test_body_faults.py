"""HAND-COUNTED, SECOND METHOD, COMMON PRACTICE: legs, head and roll too far, in motion, truth and reader.

Angles and instants of the stick swimmer are counted by hand; the truth of the making side is held against a scan of
its joints with scipy's rotations; sizes of the clean stroke are common practice, written out here by hand.
"""

import dataclasses
import math

import numpy as np
import pytest
from made_swimmers import BREATHING, made, made_from
from scipy.spatial.transform import Rotation
from stick_swimmer import Stick, stick_trace
from tolerances import ALGEBRA, SOLVED

from swimsim.faults.apply import apply_faults
from swimsim.faults.catalogue import FaultSetting, aliases, fault_named, faults
from swimsim.ground.conventions import JOINT_INDEX, SIDES
from swimsim.ground.errors import InputError
from swimsim.ground.records import Trace
from swimsim.metrics import measure_trace
from swimsim.motion.head_truth import BREATH_MEASURES
from swimsim.scenario.play import play
from swimsim.scenario.read import read_scenario
from swimsim.scenario.severity import size_of
from swimsim.stroke.presets import PRESETS
from swimsim.teaching.keys import key_time
from swimsim.teaching.marks import marks_of, shown_cycle, shown_side

DOOR = 100 * SOLVED  # of degrees, centimetres and percent
QUICK = ("pace400_man", "sprint_woman", "masters_woman")  # the other presets are swum by the nightly command
QUICK_AND_SLOW = [pytest.param(p, marks=() if p in QUICK else pytest.mark.slow) for p in PRESETS]
SCAN = 6000  # instants of a cycle of the slow second method
SCANNED = {"deg": 0.01, "cm": 0.001, "%": 100 / SCAN}  # what lies between two of them
CURVE = (
    0.02  # what cubic curves through 120 frames a second miss of a sharp turn [deg], [cm], [% of the cycle]
)
LEGS = ("knee_most", "hip_flexion_most", "heel_depth_least", "foot_gap")
BREATHES = ("left", 2)
NEW = {"over_rotation": 0.7, "sinking_legs": 0.7, "scissor_kick": 0.7, "head_lift": 0.7}


def swum(fault, severity=0.7, *, preset="pace400_man", breathing=BREATHES):
    return made(preset, breathing=breathing, faults=(FaultSetting(fault, severity=severity),))


def joints_of(one, n=SCAN):
    """Times over one period and joints by name."""
    motion = one.motion
    time = np.linspace(0, motion.period_cycles * motion.cycle_s, n * motion.period_cycles, endpoint=False)
    points = motion.joints(time)
    return time, {name: points[:, i] for name, i in JOINT_INDEX.items()}


def sagittal(line):
    """Angle below the horizontal of lines that point backwards, in the side plane. [deg]"""
    return np.degrees(np.arctan2(-line[:, 2], -line[:, 0]))


def corner(a, b):
    """Angle between lines. [deg]"""
    cosine = (a * b).sum(1) / np.linalg.norm(a, axis=1) / np.linalg.norm(b, axis=1)
    return np.degrees(np.arccos(cosine))


# ---- The reader against counts by hand


def with_joints(trace, **points):
    """A trace with joints put in, or replaced."""
    names = [n for n in trace.joint_names if n not in points]
    kept = [trace.joint(n) for n in names]
    return Trace(trace.time_s, np.stack([*kept, *points.values()], axis=1), (*names, *points), trace.rate_hz)


def test_knee_hip_and_heel_are_read_as_counted_by_hand():
    """Thigh 40 degrees below the horizontal behind a trunk of 0.15 rad, knee 60 degrees, heel up to 7 cm deep."""
    stick = Stick()
    trace = stick_trace(stick)
    turn = 2 * np.pi * trace.time_s / stick.cycle_s
    points = {}
    for side in SIDES:
        hip = trace.joint(f"{side}_hip")
        knee = hip + 0.4 * np.array([-math.cos(math.radians(40)), 0, -math.sin(math.radians(40))])
        shank = math.radians(40 - 60)
        points[f"{side}_knee"] = knee
        points[f"{side}_ankle"] = knee + 0.4 * np.array([-math.cos(shank), 0, -math.sin(shank)])
        heel = knee + np.array([-0.4, 0, 0])
        heel[:, 2] = -0.17 + 0.10 * np.sin(turn)
        points[f"{side}_heel"] = heel
    reading = measure_trace(with_joints(trace, **points))
    for side in SIDES:
        assert reading.measure("knee_most", side).value == pytest.approx(60, abs=CURVE)
        flexion = 40 - math.degrees(stick.trunk_slope)
        assert reading.measure("hip_flexion_most", side).value == pytest.approx(flexion, abs=CURVE)
        assert reading.measure("heel_depth_least", side).value == pytest.approx(7, abs=CURVE)


def test_the_gap_of_the_feet_is_read_in_the_stroke_in_which_they_part():
    """Ankles 14 cm apart, and 50 cm apart three quarters through every cycle of the left arm."""
    stick = Stick()
    trace = stick_trace(stick)
    late = (trace.time_s / stick.cycle_s - stick.left_delay) % 1.0
    half = 0.07 + 0.18 * np.exp(-(((late - 0.80) / 0.06) ** 2))
    points = {}
    for side, sign in (("left", 1), ("right", -1)):
        ankle = trace.joint(f"{side}_ankle").copy()
        ankle[:, 1] = sign * half
        points[f"{side}_ankle"] = ankle
    reading = measure_trace(with_joints(trace, **points))
    assert reading.measure("foot_gap", "left").value == pytest.approx(50, abs=CURVE)
    assert reading.measure("foot_gap", "right").value == pytest.approx(14, abs=5 * CURVE)  # the filter rings


def headed(stick, extension_deg):
    """A stick swimmer who breathes in every cycle, with the head bent back in the plane of the turned face."""
    trace = stick_trace(dataclasses.replace(stick, breath_left=1))
    across = trace.joint("left_ear") - trace.joint("right_ear")
    turn = np.arctan2(across[:, 2], across[:, 1])
    along = Rotation.from_euler("y", -stick.trunk_slope)
    about = Rotation.from_rotvec(turn[:, None] * np.array([1.0, 0, 0]))
    whole = along * about * Rotation.from_euler("y", -math.radians(extension_deg))
    neck = trace.joint("neck")
    shape = {"head_top": (0.25, 0, 0), "nose": (0.09, 0, -0.12), "chin": (0.01, 0, -0.09)}
    return with_joints(trace, **{name: neck + whole.apply(point) for name, point in shape.items()})


@pytest.mark.parametrize("extension_deg", [-10.0, 5.0, 37.0])
def test_neck_and_breath_are_read_as_counted_by_hand(extension_deg):
    """The face passes 20 of its 80 degrees where exp(-(u/0.1)^2) = 1/4, that is u = 0.1 sqrt(ln 4) from 0.75."""
    stick = Stick()
    reading = measure_trace(headed(stick, extension_deg))
    away = 0.1 * math.sqrt(math.log(4))
    assert reading.measure("neck_extension", "left").value == pytest.approx(extension_deg, abs=CURVE)
    start = 100 * (0.75 - away - stick.exit_share())
    assert reading.measure("breath_turn_start", "left").value == pytest.approx(start, abs=CURVE)
    assert reading.measure("breath_face_return", "left").value == pytest.approx(
        100 * (away - 0.25), abs=CURVE
    )
    for name in BREATH_MEASURES:
        none = reading.measure(name, "right")
        assert math.isnan(none.value) and none.reason == "no breath in this stroke"


def test_a_mouth_is_as_high_as_the_middle_of_nose_and_chin():
    stick = Stick()
    trace = headed(stick, 0.0)
    high = (trace.joint("nose")[:, 2] + trace.joint("chin")[:, 2]) / 2
    assert measure_trace(trace).measure("mouth_height", "left").value == pytest.approx(
        100 * high.max(), abs=CURVE
    )


def test_a_head_that_cannot_be_seen_has_a_reason():
    """Without a nose: no neck, no mouth; without ears and nose: no breath at all."""
    trace = headed(Stick(), 10.0)
    names = [n for n in trace.joint_names if n not in ("nose", "left_ear", "right_ear")]
    blind = Trace(trace.time_s, np.stack([trace.joint(n) for n in names], 1), tuple(names), trace.rate_hz)
    for name in BREATH_MEASURES:
        assert math.isnan(measure_trace(blind).measure(name, "left").value)
    assert "nose" in measure_trace(blind).measure("neck_extension", "left").reason


# ---- The truth against a scan of the joints


def scanned(one, measure, side):
    """The measure over the period by looking at every instant, the mean of its strokes."""
    time, at = joints_of(one)
    cycle, period = one.motion.cycle_s, one.motion.period_cycles
    events = {(e.event, e.cycle): e.time_s for e in one.truth.events if e.side == side}
    values = []
    for k in range(period):
        start = next(events[e, k] for e in ("entry",))
        own = ((time - start) % (period * cycle)) / cycle
        plane, out = (events[name, k] - start for name in ("shoulder_plane", "exit"))
        late = (own * cycle >= plane) & (own < 1)
        knee, hip, ankle = (at[f"{side}_{n}"] for n in ("knee", "hip", "ankle"))
        crown, nose = at["head_top"] - at["neck"], at["nose"] - at["neck"]
        trunk = at["thorax"] - at["pelvis"]
        ears = at["left_ear"] - at["right_ear"]
        turn = (1 if side == "left" else -1) * np.degrees(np.arctan2(ears[:, 2], ears[:, 1]))
        breath = one.pattern.breathes(side, k)
        if measure in BREATH_MEASURES and not breath:
            continue
        if measure == "knee_most":
            values.append(corner(knee - hip, ankle - knee)[own < 1].max())
        elif measure == "hip_flexion_most":
            values.append((sagittal(knee - hip) - sagittal(-trunk))[own < 1].max())
        elif measure == "heel_depth_least":
            values.append(-100 * at[f"{side}_heel"][own < 1, 2].max())
        elif measure == "foot_gap":
            values.append(100 * (at["left_ankle"] - at["right_ankle"])[late, 1].max())
        elif measure == "mouth_height":
            values.append(100 * ((at["nose"] + at["chin"]) / 2)[late, 2].max())
        elif measure == "neck_extension":  # the trunk may lean sideways of the plane of the face
            flat = np.cross(crown, nose)
            flat /= np.linalg.norm(flat, axis=1, keepdims=True)
            inside = trunk - (trunk * flat).sum(1, keepdims=True) * flat
            values.append(corner(inside, crown)[late].max())
        else:
            near = np.flatnonzero((turn > 20) & (np.abs(own * cycle - out) < 0.6 * cycle) & (own > 0.3))
            first, last = own[near[np.argmin(own[near])]], own[near[np.argmax(own[near])]]
            values.append(100 * (first - out / cycle) if measure.endswith("start") else 100 * (last - 1))
    return np.mean(values)


@pytest.mark.parametrize("breathing", [("left", 2), ("left", 3), ("left", 4)])
@pytest.mark.parametrize("fault", [None, *NEW])
def test_truth_is_what_a_scan_of_the_joints_finds(fault, breathing):
    one = swum(fault, breathing=breathing) if fault else made("pace400_man", breathing=breathing)
    unit = {m.measure: m.unit for m in one.truth.measures}
    for measure in (*LEGS, "neck_extension", "mouth_height"):
        true = one.truth.value(measure, "left")
        assert true == pytest.approx(scanned(one, measure, "left"), abs=SCANNED[unit[measure]]), measure


@pytest.mark.parametrize("fault", [None, "over_rotation", "sinking_legs"])
def test_turn_and_return_of_the_face_are_where_a_scan_finds_them(fault):
    one = swum(fault) if fault else made("pace400_man", breathing=BREATHES)
    for measure in ("breath_turn_start", "breath_face_return"):
        true = one.truth.value(measure, "left")
        assert true == pytest.approx(scanned(one, measure, "left"), abs=2 * SCANNED["%"]), measure


# ---- The truth equals the targets


@pytest.mark.parametrize("breathing", [b for b in BREATHING if b[1]])
@pytest.mark.parametrize("preset", QUICK_AND_SLOW)
def test_a_breath_starts_and_ends_and_bends_the_neck_as_set(preset, breathing):
    wanted = (("breath_neck_extension_rad", math.radians(27)), ("breath_turn_start_share", 0.03),
              ("breath_face_return_share", 0.05))  # fmt: skip
    for targets in ((), wanted):
        one = made(preset, breathing=breathing, targets=targets)
        body = one.pattern.body
        for side in SIDES:
            breaths = [one.pattern.breathes(side, c) for c in range(one.motion.period_cycles)]
            if any(breaths):
                bent = math.degrees(body.breath_neck_extension_rad)
                assert one.truth.value("neck_extension", side) == pytest.approx(bent, abs=DOOR)
                for name in ("breath_turn_start", "breath_face_return"):
                    share = 100 * getattr(body, f"{name}_share")
                    assert one.truth.value(name, side) == pytest.approx(share, abs=DOOR), (name, side)
            else:
                assert all(math.isnan(one.truth.value(name, side)) for name in BREATH_MEASURES)


@pytest.mark.parametrize("breathing", BREATHING)
@pytest.mark.parametrize("gap_m", [0.0, 0.45])
def test_the_feet_stand_as_far_apart_as_set(gap_m, breathing):
    one = made("pace400_woman", breathing=breathing, targets=(("scissor_gap_m", gap_m),))
    gaps = [m.value for m in one.truth.measures if m.measure == "foot_gap"]
    assert max(gaps) == pytest.approx(100 * max(gap_m, one.pattern.body.foot_gap_m), abs=DOOR)


@pytest.mark.parametrize("slug", ["flat_hips", "over_rotation", "shoulder_driven"])
def test_the_feet_stay_as_far_apart_however_the_hips_roll(slug):
    one = swum(slug, 1.0, breathing=("none", 0))
    for side in SIDES:
        assert one.truth.value("foot_gap", side) == pytest.approx(100 * one.pattern.body.foot_gap_m, abs=DOOR)


# ---- The clean stroke (common practice)


@pytest.mark.parametrize("preset", PRESETS)
def test_a_clean_breath_and_kick_are_as_coaches_want_them(preset):
    """Neck 10 degrees or less, mouth 5 cm or less out, turn 5 to 10 % before exit, feet 20 cm apart or less."""
    truth = made(preset, breathing=BREATHES).truth
    assert truth.value("neck_extension", "left") <= 10
    assert -5 <= truth.value("mouth_height", "left") <= 5  # in the trough beside the head
    assert -10 <= truth.value("breath_turn_start", "left") <= -5
    for side in SIDES:
        assert truth.value("foot_gap", side) <= 20
        assert truth.value("knee_most", side) <= 50
        assert truth.value("hip_flexion_most", side) <= 12


@pytest.mark.parametrize("preset", PRESETS)
def test_the_face_is_back_before_the_hand_passes_the_head_and_one_lens_stays_in(preset):
    one = made(preset, breathing=BREATHES)
    _, at = joints_of(one, 2000)
    ears = at["left_ear"] - at["right_ear"]
    turned = np.degrees(np.arctan2(ears[:, 2], ears[:, 1])) > 20
    ahead = at["left_knuckles"][:, 0] - at["nose"][:, 0]
    assert not (turned & (ahead > 0) & (at["left_knuckles"][:, 2] > 0)).any()
    assert at["right_eye"][turned, 2].max() < 0 < at["left_eye"][turned, 2].max()


# ---- What each fault looks like


def test_a_lifted_head_has_both_lenses_out_and_looks_forward():
    clean, lifted = made("pace400_man", breathing=BREATHES), swum("head_lift", 1.0)
    for one, both_out in ((clean, False), (lifted, True)):
        _, at = joints_of(one, 2000)
        assert (np.minimum(at["left_eye"][:, 2], at["right_eye"][:, 2]).max() > 0) == both_out
    assert lifted.truth.value("mouth_height", "left") > clean.truth.value("mouth_height", "left") + 2


def test_the_strokes_without_a_breath_keep_their_head():
    clean, lifted = made("pace400_man", breathing=("left", 4)), swum("head_lift", breathing=("left", 4))
    time = np.linspace(0, 2 * clean.motion.cycle_s, 4000)
    moved = np.abs(lifted.motion.joints(time) - clean.motion.joints(time)).max(axis=2)
    head = [JOINT_INDEX[n] for n in ("head_top", "nose", "chin", "neck", "left_eye", "left_ear", "right_eye")]
    rest = [i for i in JOINT_INDEX.values() if i not in (*head, JOINT_INDEX["right_ear"])]
    assert moved[:, rest].max() < ALGEBRA, "nothing but the head"
    assert moved[:, head].max() > 0.05
    assert 0.15 < (moved[:, head].max(axis=1) > 1e-3).mean() < 0.5, "in one of four strokes"


def test_hips_that_drop_with_a_lifted_head_are_a_side_effect():
    """5 to 10 cm lower in the breathing frame (common practice), the mean slope of the trunk as it was."""
    setting = FaultSetting("head_lift", severity=1.0)
    one = made("pace400_man", breathing=BREATHES)
    with_echo = apply_faults(one.pattern, [setting], half_width_m=0.2, side_effects=True)

    low, plain = made_from(with_echo, one.body), swum("head_lift", 1.0)
    drops = []
    for each in (low, plain):
        _, at = joints_of(each, 2000)
        height = at["pelvis"][:, 2]
        drops.append(100 * (height.max() - height.min()))
    assert 5 <= drops[0] <= 10 and drops[1] < 1e-9
    assert low.truth.value("trunk_slope") == pytest.approx(plain.truth.value("trunk_slope"), abs=DOOR)


def test_a_scissor_kick_opens_once_in_a_cycle_for_a_tenth_to_a_sixth_of_it():
    """Once per cycle, 10 to 15 % of it, at the breath (common practice)."""
    one = swum("scissor_kick", 1.0)
    _, at = joints_of(one)
    gap = at["left_ankle"][:, 1] - at["right_ankle"][:, 1]
    wide = gap > 0.30
    assert np.count_nonzero(wide & ~np.roll(wide, 1)) == 1
    assert 0.10 <= wide.mean() <= 0.15
    ears = at["left_ear"] - at["right_ear"]
    assert np.degrees(np.arctan2(ears[:, 2], ears[:, 1]))[np.argmax(gap)] > 60, "with the face out"
    apart = at["left_ankle"][:, 2] - at["right_ankle"][:, 2]
    assert 0.2 < apart[np.argmax(gap)] < 0.5, (
        "like scissors, on the side that is up: a frog's feet would be level"
    )


def test_legs_that_part_keep_their_bones_and_their_kick():
    clean, parted = made("pace400_man", breathing=BREATHES), swum("scissor_kick", 1.0)
    (_, a), (_, b) = joints_of(clean, 500), joints_of(parted, 500)
    for side in SIDES:
        for one, other in (("hip", "knee"), ("knee", "ankle"), ("ankle", "toe"), ("ankle", "heel")):
            sizes = [np.linalg.norm(p[f"{side}_{one}"] - p[f"{side}_{other}"], axis=1) for p in (a, b)]
            assert np.ptp(np.concatenate(sizes)) < ALGEBRA
        kick = [p[f"{side}_ankle"][:, 2] - p[f"{side}_hip"][:, 2] for p in (a, b)]
        assert np.abs(kick[0] - kick[1]).max() < 0.005


def test_sinking_legs_bring_the_heels_down_and_the_thighs_forward():
    """Heels 20 to 35 cm deeper, hip flexion towards 40 degrees, knee 90 (common practice)."""
    clean, sunk = made("pace400_man").truth, swum("sinking_legs", 1.0, breathing=("none", 0)).truth
    deeper = sunk.value("heel_depth_least", "left") - clean.value("heel_depth_least", "left")
    assert 20 <= deeper <= 35
    assert 35 <= sunk.value("hip_flexion_most", "left") <= 45
    assert sunk.value("knee_most", "left") == pytest.approx(90, abs=DOOR)
    assert sunk.value("kick_beats") == clean.value("kick_beats")


def test_a_breath_does_not_turn_an_over_rotated_swimmer_over():
    truth = swum("over_rotation", 1.0).truth
    assert 80 < truth.value("shoulder_roll_peak", "left") < 90
    assert truth.value("shoulder_roll_peak", "right") == pytest.approx(80, abs=DOOR)


# ---- Look-alikes: the measure that tells them apart


def test_sinking_in_breathing_frames_alone_is_a_lifted_head():
    lifted, sunk = swum("head_lift"), swum("sinking_legs")
    clean = made("pace400_man", breathing=BREATHES)
    slope, neck = ([one.truth.value(*m) for one in (clean, lifted, sunk)]
                   for m in (("trunk_slope",), ("neck_extension", "left")))  # fmt: skip
    assert abs(slope[1] - slope[0]) < 0.5 < slope[2] - slope[0]
    assert abs(neck[2] - neck[0]) < 0.5 < neck[1] - neck[0]


def test_a_breathing_stroke_rolls_more_and_is_no_fault():
    setting = {
        "fault": [{"fault": "over_rotation", "severity": 0.0}],
        "breathing": {"side": "left", "every": 2},
    }
    played = play(read_scenario(setting))
    fault = played.fault
    size = size_of(fault.faults[0], fault.truth, clean=played.correct.pattern, body=fault.body)
    assert size.value == pytest.approx(52 + 9 / 2, abs=DOOR)
    assert size.severity_effective < 0.01, "no more than the norm moves with the stroke rate"


def test_two_wide_beats_are_no_scissor_kick():
    """A two-beat kick, however wide, is not tied to the breath."""
    wide = made("masters_man", breathing=BREATHES, targets=(("kick_thigh_rad", math.radians(14)),))
    assert wide.truth.value("foot_gap", "left") <= 20


# ---- What a panel says


def test_a_distance_between_the_feet_has_no_sign():
    for mark in marks_of(play(read_scenario("scissor_kick"))):
        assert "+" not in mark.value
        assert [d.signed for d in mark.drawn if d.values is not None] == [False]


@pytest.mark.parametrize("every", [2, 3, 4])
def test_a_fault_of_the_breath_is_shown_in_a_stroke_with_a_breath(every):
    """The face is out at the key instant, however seldom a breath is taken."""
    for slug in ("head_lift", "scissor_kick"):
        scenario = {
            "fault": [{"fault": slug, "severity": 0.7}],
            "breathing": {"side": "right", "every": every},
        }
        played = play(read_scenario(scenario))
        swum, side = played.fault, shown_side(played)
        time = key_time(swum, slug, side=side, cycle=shown_cycle(played, side))
        points = swum.motion.joints(np.array([time]))[0]
        ears = points[JOINT_INDEX["left_ear"]] - points[JOINT_INDEX["right_ear"]]
        turn = math.degrees(math.atan2(ears[2], ears[1])) * (1 if side == "left" else -1)
        assert turn > 45, (slug, side)


# ---- Refusals, names for one part


@pytest.mark.parametrize("slug", ["head_lift", "late_breath"])
def test_a_fault_of_the_breath_wants_a_swimmer_who_breathes(slug):
    with pytest.raises(
        InputError, match=f"fault {slug}: expected a swimmer who breathes .*got breathing side 'none'"
    ):
        swum(slug, breathing=("none", 0))
    with pytest.raises(InputError, match="expected a swimmer who breathes"):
        read_scenario({"fault": [{"fault": slug, "severity": 0.5}], "breathing": {"every": 0}})


def test_a_fault_of_the_kick_wants_a_kick():
    none = made("pace400_man", kick=0).pattern
    with pytest.raises(InputError, match=r"fault knee_kick: expected a swimmer who kicks .*got 0 beats"):
        apply_faults(none, [FaultSetting("knee_kick", severity=0.5)], half_width_m=0.2)


def test_a_face_that_is_back_before_it_turned_is_refused():
    with pytest.raises(
        InputError, match="breath_turn_start_share, breath_face_return_share: expected a face turned"
    ):
        made("pace400_man", breathing=BREATHES,
             targets=(("breath_turn_start_share", 0.15), ("breath_face_return_share", -0.2)))  # fmt: skip


def test_a_part_of_a_fault_has_a_name_of_its_own():
    assert {slug: fault.row["of"] for slug, fault in aliases().items()} == {
        "knee_kick": "sinking_legs", "late_breath": "head_lift",
    }  # fmt: skip
    assert not set(aliases()) & set(faults())
    for fault in aliases().values():
        whole = fault_named(fault.row["of"])
        assert set(fault.sets()) < set(whole.sets())
        assert fault.owns <= whole.owns | {fault.main_measure}


def test_a_late_breath_is_late_and_lifts_nothing():
    clean, late = made("pace400_man", breathing=BREATHES).truth, swum("late_breath", 1.0).truth
    assert late.value("breath_turn_start", "left") == pytest.approx(8, abs=DOOR)
    assert late.value("neck_extension", "left") == pytest.approx(
        clean.value("neck_extension", "left"), abs=DOOR
    )
    assert late.value("breath_face_return", "left") > 0 > clean.value("breath_face_return", "left")


def test_a_knee_kick_leaves_the_trunk():
    clean, kick = made("pace400_man", breathing=BREATHES).truth, swum("knee_kick", 1.0).truth
    assert kick.value("knee_most", "left") == pytest.approx(90, abs=DOOR)
    assert kick.value("trunk_slope") == pytest.approx(clean.value("trunk_slope"), abs=DOOR)


def test_a_part_and_its_whole_are_refused_together():
    pair = [FaultSetting(slug, severity=0.5) for slug in ("sinking_legs", "knee_kick")]
    with pytest.raises(InputError, match="faults sinking_legs and knee_kick both set kick_"):
        apply_faults(made("pace400_man").pattern, pair, half_width_m=0.2)


def test_a_part_plays_from_a_scenario():
    scenario = {
        "fault": [{"fault": "late_breath", "amount": 2.0, "unit": "%"}],
        "breathing": {"side": "right"},
    }
    truth = play(read_scenario(scenario)).fault.truth
    assert truth.value("breath_turn_start", "right") == pytest.approx(2.0, abs=DOOR)
