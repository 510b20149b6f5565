"""INVARIANT: a drill's bones, loop and limits; and HAND-COUNTED or COMMON PRACTICE: the hands are where it says.

What a drill is, in the words of the trade (common practice), is read off the joints here: nothing of the package
but the joint positions is used.
"""

import numpy as np
import pytest
from tolerances import ALGEBRA, BONE, CLOSED

from swimsim.ground.conventions import BONES, JOINT_INDEX, SIDES
from swimsim.ground.errors import InputError
from swimsim.motion.drill_motion import drill_motion, drill_problems
from swimsim.stroke import drill as drill_module
from swimsim.stroke.drill import Track, drill_named, drill_names
from swimsim.swimmer.anthropometry import make_body

BODIES = {"man": make_body(1.80, sex="man"), "woman": make_body(1.66, sex="woman")}
SMALL_AND_TALL = [(sex, stature) for sex in ("woman", "man") for stature in (1.45, 2.05)]
SLOPE_STEP_S = 1e-4
SLOPE_SAME = (
    1e-5  # slopes by a difference over 1e-4 s: third derivatives of some 1e3 m/s^3 leave 1e-5 m/s [m/s]
)
#: Drawn thickness of an adult's limbs (common practice): from the bone of the thigh to the skin, and how far the
#: side of the trunk lies outside the line from shoulder to hip joint.
THIGH_M, SEAM_M = 0.084, 0.03
_done = {}


def done(name, who="man"):
    """The motion of a drill, once."""
    if (name, who) not in _done:
        _done[name, who] = drill_motion(drill_named(name), BODIES[who])
    return _done[name, who]


class Seen:
    """Joints of one period of a drill, by name; `share` counts from 0 to 1."""

    def __init__(self, name, who="man", count=2001):
        self.motion = done(name, who)
        self.share = np.linspace(0, 1, count)
        self.time = self.share * self.motion.cycle_s
        self.joints = self.motion.joints(self.time)

    def __getattr__(self, name):
        return self.joints[:, JOINT_INDEX[name]]

    def beside(self, name):
        """A joint against the middle of the shoulders, along the lane; sideways and up as it is."""
        return getattr(self, name) - self.thorax * np.array([1.0, 0.0, 0.0])

    def stroke(self, side):
        """Share of the side's own even stroke, 0 at its entry."""
        return np.mod(self.share - (0.5 if side == "left" else 0.0), 1.0)

    def between(self, start_s, end_s):
        """Frames of a stretch of time."""
        return (self.time > start_s) & (self.time < end_s)

    @property
    def mouth(self):
        """Half-way between nose and chin."""
        return (self.nose + self.chin) / 2

    def roll(self, part):
        """Tilt of the shoulder or hip line in the plane across the lane. [deg]"""
        line = getattr(self, f"left_{part}") - getattr(self, f"right_{part}")
        return np.degrees(np.arctan2(line[:, 2], np.abs(line[:, 1])))


def off_line(point, start, end):
    """Share of the way from start to end nearest to a point, and the distance there."""
    along = end - start
    share = ((point - start) * along).sum(1) / (along * along).sum(1)
    return share, np.linalg.norm(point - start - share[:, None] * along, axis=1)


def still(path, frames):
    """Greatest movement over some frames, along any axis. [m]"""
    return np.ptp(path[frames], axis=0).max()


# ---- every drill


def test_there_are_thirteen():
    assert len(drill_names()) == len(set(drill_names())) == 13


@pytest.mark.parametrize("who", BODIES)
@pytest.mark.parametrize("name", drill_names())
def test_bones_keep_their_length(name, who):
    joints = Seen(name, who, count=701).joints
    for a, b in BONES:
        length = np.linalg.norm(joints[:, JOINT_INDEX[a]] - joints[:, JOINT_INDEX[b]], axis=1)
        assert np.ptp(length) < BONE, (a, b)


@pytest.mark.parametrize("name", drill_names())
def test_the_loop_closes_in_place_and_speed(name):
    motion = done(name)
    period, step = motion.cycle_s, SLOPE_STEP_S
    time = np.array([-step, 0.0, step, 0.3 * period])
    first, second = motion.joints(time + period), motion.joints(time + 2 * period)
    way = np.array([motion.speed_m_s * period, 0.0, 0.0])
    assert np.abs(second - first - way).max() < CLOSED
    slopes = [(j[2] - j[0]) / (2 * step) for j in (first, second)]
    assert np.abs(slopes[0] - slopes[1]).max() < SLOPE_SAME
    before, after = (first[1] - first[0]) / step, (first[2] - first[1]) / step
    assert np.abs(after - before).max() < 320 * step * 1.01  # no kink: acceleration within the human limit


@pytest.mark.parametrize(("sex", "stature_m"), SMALL_AND_TALL)
@pytest.mark.parametrize("name", drill_names())
def test_small_and_tall_bodies_can_do_it(name, sex, stature_m):
    """Refused if it were not human; bones and reach scale, so the hands move alike."""
    motion = drill_motion(drill_named(name), make_body(stature_m, sex=sex))
    assert not drill_problems(motion)


@pytest.mark.parametrize("name", drill_names())
def test_the_head_turns_to_the_air_or_stays_still(name):
    """Breathing freely: the mouth comes out where the drill turns the face by itself; sculls keep the head still."""
    drill, seen = drill_named(name), Seen(name)
    if drill.breathing[1]:  # breathes as the stroke does
        assert (seen.mouth[:, 2].max() - seen.mouth[:, 2].min()) > 0.05
    elif np.ptp(drill.head.value) == 0:
        assert still(seen.beside("nose"), slice(None)) < CLOSED
    else:
        out = seen.mouth[:, 2] > 0
        assert 0.08 < out.mean() < 0.6
        longest_under = np.diff(np.flatnonzero(np.append(out, out))).max() * seen.motion.cycle_s / len(out)
        assert longest_under < 5.0, "a breath at least every five seconds"


@pytest.mark.parametrize("name", drill_names())
def test_the_legs_kick_in_turn_or_rest_at_the_buoy(name):
    """HAND-COUNTED: bends of each knee in a period, and never both at once."""
    drill, seen = drill_named(name), Seen(name)
    bends = {side: knee_bends(seen, side) for side in SIDES}
    assert {len(times) for times in bends.values()} == {drill.kicks}
    if drill.kicks:
        assert "pull_buoy" not in drill.equipment
        gap = seen.motion.cycle_s / drill.kicks
        apart = np.abs(bends["left"][:, None] - bends["right"][None])
        assert np.abs(np.mod(apart / gap, 1.0) - 0.5).max() < 0.05
    else:
        assert "pull_buoy" in drill.equipment


def knee_bends(seen, side):
    """Times at which a knee is bent most. [s]"""
    hip, knee, ankle = (getattr(seen, f"{side}_{n}") for n in ("hip", "knee", "ankle"))
    thigh, shank = knee - hip, ankle - knee
    sine = np.linalg.norm(np.cross(thigh, shank), axis=1)
    flexion = np.arctan2(sine, (thigh * shank).sum(1))[:-1]
    if np.ptp(flexion) < 1e-6:
        return np.zeros(0)
    peak = (flexion > np.roll(flexion, 1)) & (flexion >= np.roll(flexion, -1))
    return seen.time[:-1][peak]


# ---- hands where the drill says


def test_front_scull():
    """Out and in once a period, forearms only: elbows high and still, fingertips down, hands ahead of the head."""
    seen = Seen("front_scull")
    for side, sign in (("left", 1), ("right", -1)):
        line = sign * getattr(seen, f"{side}_knuckles")[:, 1]
        assert 0.14 < np.ptp(line) < 0.22
        turns = np.flatnonzero(np.diff(np.sign(np.diff(line))) != 0)
        assert len(turns) == 1 and abs(seen.share[turns[0]] - 0.5) < 0.01
        elbow, wrist, tip = (getattr(seen, f"{side}_{n}") for n in ("elbow", "wrist", "fingertip"))
        assert still(seen.beside(f"{side}_elbow"), slice(None)) < 0.05
        assert (elbow[:, 2] - wrist[:, 2]).min() > 0.15
        assert (wrist[:, 2] - tip[:, 2]).min() > 0.12
        assert (tip[:, 0] - seen.head_top[:, 0]).min() > 0.0
        palm_out = sign * palm(seen, side)[:, 1]
        outward = np.gradient(line, seen.time) > 0.1
        inward = np.gradient(line, seen.time) < -0.1
        assert palm_out[outward].mean() > 0.2 > -0.2 > palm_out[inward].mean()


def test_finish_scull():
    """Hands beside the hips, palms to the feet all the time, small sweeps."""
    seen = Seen("finish_scull")
    for side in SIDES:
        hand = getattr(seen, f"{side}_knuckles") - getattr(seen, f"{side}_hip")
        assert np.abs(hand[:, 0]).max() < 0.12
        assert 0.08 < np.ptp(hand[:, 1]) < 0.18
        assert palm(seen, side)[:, 0].max() < -np.cos(np.radians(30))
        assert (getattr(seen, f"{side}_wrist")[:, 2] - getattr(seen, f"{side}_fingertip")[:, 2]).min() > 0.1


def palm(seen, side):
    """Unit normal of the palm from hand and thumb: palm x fingers points to the thumb of the left hand."""
    fingers = getattr(seen, f"{side}_knuckles") - getattr(seen, f"{side}_wrist")
    thumb = getattr(seen, f"{side}_thumb_tip") - getattr(seen, f"{side}_wrist")
    normal = (1 if side == "left" else -1) * np.cross(fingers, thumb)
    return normal / np.linalg.norm(normal, axis=1)[:, None]


def test_fist_swim():
    """HAND-COUNTED: two strokes of each arm with bent fingers, two with straight ones."""
    seen = Seen("fist_swim")
    for side in SIDES:
        reach = np.linalg.norm(getattr(seen, f"{side}_fingertip") - getattr(seen, f"{side}_wrist"), axis=1)
        open_hand = BODIES["man"].hand_to_fingertip_m
        assert reach[seen.share < 0.44].max() < 0.4 * open_hand
        assert abs(reach[(seen.share > 0.51) & (seen.share < 0.94)] - open_hand).max() < BONE
        entries = np.flatnonzero(np.diff(np.sign(getattr(seen, f"{side}_knuckles")[:-1, 2])) < 0)
        assert len(entries) == 4
        assert sum(seen.share[entries] < 0.5) == 2


def test_long_dog_paddle():
    """Both arms stay under water, reach past the head and push past the hip, half a period apart."""
    seen = Seen("long_dog_paddle")
    for side in SIDES:
        for joint in ("elbow", "wrist", "knuckles", "fingertip"):
            assert getattr(seen, f"{side}_{joint}")[:, 2].max() < 0
        hand = getattr(seen, f"{side}_knuckles")
        assert (hand[:, 0] - seen.head_top[:, 0]).max() > 0.20
        assert (getattr(seen, f"{side}_hip")[:, 0] - hand[:, 0]).max() > 0.03
    left, right = (seen.beside(f"{side}_knuckles")[:-1] for side in SIDES)
    assert np.abs(np.roll(right[:, 0], len(right) // 2) - left[:, 0]).max() < 1e-3


def test_single_arm():
    """The left arm rests ahead, straight and still; the right stops at the catch, then strokes with the breath."""
    seen = Seen("single_arm")
    assert still(seen.beside("left_knuckles"), slice(None)) < 0.03
    assert (seen.left_knuckles[:, 0] - seen.head_top[:, 0]).min() > 0.2
    assert still(seen.beside("right_knuckles"), seen.between(0.62, 1.28)) < 0.005
    out = seen.right_knuckles[:, 2] > 0
    assert (np.diff(out.astype(int)) == 1).sum() == 1
    to_the_right = seen.left_eye[:, 1] + seen.right_eye[:, 1] - 2 * seen.head_top[:, 1]
    assert to_the_right[np.argmax(seen.mouth[:, 2])] < 0
    breath = np.argmax(seen.mouth[:, 2])
    assert seen.between(1.3, 3.4)[breath]


def test_catch_point_stops():
    """One second of stillness with the fingertips lowest, each arm in turn, the other arm ahead."""
    seen = Seen("catch_point_stops")
    for side, start, other in (("right", 0.6, "left"), ("left", 4.1, "right")):
        held = seen.between(start + 0.01, start + 0.99)
        assert still(seen.beside(f"{side}_knuckles"), held) < ALGEBRA
        levels = [getattr(seen, f"{side}_{n}")[held, 2].mean() for n in ("elbow", "wrist", "fingertip")]
        assert levels[0] - 0.10 > levels[1] > levels[2] + 0.05
        resting = seen.beside(f"{other}_knuckles")
        stroking = seen.between(start - 0.6, start + 2.8)
        assert still(resting, stroking) < 0.03
        assert (resting[stroking, 0] > 0.5).all()


@pytest.mark.parametrize("who", BODIES)
def test_zipper(who):
    """The thumb stays at the side of the trunk from the thigh to the armpit, hand out of the water at the end."""
    seen = Seen("zipper", who)
    for side in SIDES:
        shoulder, hip, thumb = (getattr(seen, f"{side}_{n}") for n in ("shoulder", "hip", "thumb_tip"))
        up = (seen.stroke(side) > 0.70) & (seen.stroke(side) < 0.82)
        place, distance = off_line(thumb, hip, shoulder)
        assert place[up].min() < 0.1
        assert place[up].max() > 0.5
        assert distance[up].max() - SEAM_M < 0.08  # a hand's width
        assert (getattr(seen, f"{side}_elbow")[up, 2] > thumb[up, 2]).all()
        assert getattr(seen, f"{side}_elbow")[up, 2].max() > 0.15


@pytest.mark.parametrize("who", BODIES)
def test_fingertip_drag(who):
    """Fingertips within 3 cm of the surface from exit to late recovery, elbow highest of the arm."""
    seen = Seen("fingertip_drag", who)
    for side in SIDES:
        recovery = (seen.stroke(side) > 0.74) & (seen.stroke(side) < 0.95)
        tip, elbow = (getattr(seen, f"{side}_{n}")[recovery, 2] for n in ("fingertip", "elbow"))
        assert np.abs(tip).max() < 0.03
        wrist, shoulder = (getattr(seen, f"{side}_{n}")[recovery, 2] for n in ("wrist", "shoulder"))
        assert (elbow > wrist).all() and elbow.max() > shoulder.max()
        hand = getattr(seen, f"{side}_knuckles")[recovery, 0] - seen.thorax[recovery, 0]
        assert hand.min() < -0.45 and hand.max() > 0.45


@pytest.mark.parametrize("who", BODIES)
def test_thumb_to_thigh(who):
    """The thumb comes to the skin of the thigh below the hip joint once a stroke."""
    seen = Seen("thumb_to_thigh", who)
    for side in SIDES:
        hip, knee, thumb = (getattr(seen, f"{side}_{n}") for n in ("hip", "knee", "thumb_tip"))
        place, distance = off_line(thumb, hip, knee)
        touching = (place > 0.2) & (distance < THIGH_M + 0.02)
        assert (seen.stroke(side)[touching] > 0.6).all()
        assert (seen.stroke(side)[touching] < 0.78).all()
        assert touching.mean() > 0.02
        assert distance[place > 0.05].min() > 0.5 * THIGH_M


def test_late_start_swim():
    """Each hand starts back as the other passes the ear, within 2 % of the cycle."""
    seen = Seen("late_start_swim", count=8001)
    for side, other in (("left", "right"), ("right", "left")):
        own = seen.stroke(side)
        window = np.flatnonzero((own > 0.2) & (own < 0.5))
        window = window[np.argsort(own[window])]
        back = np.gradient(getattr(seen, f"{side}_knuckles")[:, 0], seen.time)[window] < 0
        passed = (getattr(seen, f"{other}_knuckles")[:, 0] > getattr(seen, f"{other}_ear")[:, 0])[window]
        start, passing = own[window[np.argmax(back)]], own[window[np.argmax(passed)]]
        assert abs(start - passing) < 0.02


def test_side_kick():
    """On the side all the time, lower arm ahead on its own shoulder line, upper hand at the thigh."""
    seen = Seen("side_kick")
    for part in ("shoulder", "hip"):
        assert seen.roll(part).min() > 70
    lower = seen.right_knuckles - seen.right_shoulder
    assert (lower[:, 0] > 0.6).all()
    assert np.abs(lower[:, 1:]).max() < 0.08
    assert still(seen.beside("right_knuckles"), slice(None)) < CLOSED
    _, distance = off_line(seen.left_knuckles, seen.left_hip, seen.left_knee)
    assert distance.max() < THIGH_M + 0.08
    face = np.degrees(np.arctan2((seen.nose - seen.neck)[:, 2], (seen.nose - seen.neck)[:, 1]))
    assert face.min() < -20 and face.max() > 20  # into the water, and to the air


def test_six_kicks_one_stroke():
    """HAND-COUNTED: six bends of a knee on each side with still arms; then one stroke of each arm, and a turn."""
    seen = Seen("six_kicks_one_stroke")
    times = np.sort(np.concatenate([knee_bends(seen, side) for side in SIDES]))
    assert len(times) == 18
    for start, low, sign in ((0.0, "right", 1), (3.6, "left", -1)):
        held = seen.between(start, start + 2.4)
        assert sum((times > start) & (times <= start + 2.4)) == 6
        upper = "left" if low == "right" else "right"
        assert still(seen.beside(f"{low}_knuckles"), held) < ALGEBRA
        assert still(seen.beside(f"{upper}_knuckles"), held) < ALGEBRA
        assert (seen.beside(f"{low}_knuckles")[held, 0] > 0.55).all()
        assert (getattr(seen, f"{upper}_hip")[held, 0] > getattr(seen, f"{upper}_knuckles")[held, 0]).all()
        for part, least in (("shoulder", 50), ("hip", 45)):
            assert (sign * seen.roll(part)[held] > least).all()
    for side in SIDES:
        dry = getattr(seen, f"{side}_knuckles")[:-1, 2] > 0.02
        assert (np.diff(dry.astype(int)) == 1).sum() == 1


def test_body_roll_kick():
    """Shoulders and hips turn as one piece to both sides; hands stay at the thighs."""
    seen = Seen("body_roll_kick")
    shoulders, hips = seen.roll("shoulder"), seen.roll("hip")
    assert shoulders.max() > 50 and shoulders.min() < -50
    assert np.abs(shoulders - hips).max() < 5
    for side in SIDES:
        _, distance = off_line(*(getattr(seen, f"{side}_{n}") for n in ("wrist", "hip", "knee")))
        assert distance.max() < THIGH_M + 0.10


# ---- tracks and the table


def test_a_track_is_still_between_equal_rests_and_smooth_at_them():
    """SECOND METHOD: the least-jerk move 10 u^3 - 15 u^4 + 6 u^5 of Flash and Hogan 1985, at a quarter and half."""
    track = Track((0.0, 0.4, 0.6), (1.0, 1.0, 3.0))
    assert track(np.array([0.0, 0.2, 0.4])).tolist() == [1.0, 1.0, 1.0]
    assert abs(track(0.5) - 2.0) < ALGEBRA
    assert abs(track(0.45) - (1 + 2 * 0.103515625)) < ALGEBRA
    assert abs(track(0.8) - 2.0) < ALGEBRA
    step = 1e-5
    for rest in (0.4, 0.6, 1.0):
        around = track(rest + np.array([-step, 0.0, step]))
        leaves = (
            10 * (step / 0.2) ** 3 * 2.0
        )  # the cubic with which the shortest, highest move begins, by hand
        assert np.abs(np.diff(around)).max() < 1.01 * leaves


def test_a_track_counts_on():
    clock = Track((0.0, 0.5), (0.2, 0.3), gain=1.0)
    assert np.abs(clock(np.array([0.0, 0.5, 1.0, 3.5])) - [0.2, 0.3, 1.2, 3.3]).max() < ALGEBRA
    shares = np.linspace(-1, 2, 301)
    assert np.abs(clock.shifted(0.7)(shares + 0.7) - clock(shares)).max() < ALGEBRA
    assert (np.diff(clock(shares)) >= -ALGEBRA).all()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"period_s": 0.01}, "period_s: expected 0.5 to 60, got 0.01"),
        ({"hurry": 1}, "hurry: expected a known key, got 'hurry'"),
        (
            {"head": [[0.5, 1.0], [0.2, 3.0]]},
            r"rests: expected times in order, within 1.2 s, got \[0.5, 0.2\]",
        ),
        ({"head": [[0.0, 1.0], [1.3, 3.0]]}, r"rests: expected times in order, within 1.2 s"),
        ({"arms": {"pose": "scul_ahead"}}, "pose: expected one of scull_ahead, .* got scul_ahead"),
        ({"arms": None}, "left: expected a table of the arm, got none"),
    ],
)
def test_a_wrong_row_is_said_with_drill_and_key(monkeypatch, change, says):
    table = drill_module.read_toml("drills")
    row = {k: v for k, v in {**table["drill"]["front_scull"], **change}.items() if v is not None}
    monkeypatch.setattr(drill_module, "read_toml", lambda name: {**table, "drill": {"my_scull": row}})
    drill_named.cache_clear()
    with pytest.raises(InputError, match=f"drills.toml: drill my_scull: {says}"):
        drill_named("my_scull")
    drill_named.cache_clear()


def test_an_unknown_drill_names_the_nearest():
    with pytest.raises(InputError, match="got 'ziper'; did you mean 'zipper'"):
        drill_named("ziper")
