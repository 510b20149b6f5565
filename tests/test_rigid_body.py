"""SECOND METHOD: the moving skeleton against a general rigid-body library (pinocchio) and scipy's rotations.

Joint angles are read off the motion, put into a chain of hinges that knows only the body's lengths, and must
give every joint back. What the chain lacks (a bone that stretches, a wrist that bends sideways, an elbow that
bends backwards or out of its plane) the motion must not have.
"""

import numpy as np
import pinocchio as pin
import pytest
from rigid_body import Chain, arm_chain, leg_chain, limb
from scipy.spatial.transform import Rotation
from tolerances import ALGEBRA

from swimsim.ground.conventions import JOINT_INDEX
from swimsim.ground.joint_angles import elbow_angles, relative, segment_frame, shoulder_angles, wrist_angles
from swimsim.motion.solve import solve
from swimsim.stroke.presets import PRESETS, make_pattern
from swimsim.swimmer.anthropometry import make_body

INSTANTS = 97  # over the whole period; a prime number, so that no event falls on the grid

# A hundred or so chained roundings of 1e-16 on metres give 2e-12; a short lever (the thumb stands 5 cm off
# the hand) and an elbow bent by only a few degrees make angles, and what they rebuild, a hundred times worse.
GEOMETRY_M = 1e-9

STATURE = {"man": 1.80, "woman": 1.70}


@pytest.fixture(scope="module", params=PRESETS)
def swimmer(request):
    """Body, and all joints over the period, for one preset."""
    sex = request.param.rsplit("_", 1)[1]
    body = make_body(STATURE[sex], sex=sex)
    motion = solve(make_pattern(request.param, body, breathing=("left", 2)), body)
    time = np.linspace(0, motion.period_cycles * motion.cycle_s, INSTANTS)
    return body, motion.joints(time)


def arm_frames(joints, side):
    """Axes of trunk, upper arm, forearm and hand in the mirror of the right side, each (n, 3, 3)."""
    p = limb(joints, side, ("shoulder", "elbow", "wrist", "knuckles", "thumb_tip"))
    trunk = np.broadcast_to(np.eye(3), (len(joints), 3, 3))
    hinge = np.cross(p["elbow"] - p["shoulder"], p["wrist"] - p["elbow"])
    thumb = p["thumb_tip"] - p["wrist"]
    hand_way = p["wrist"] - p["knuckles"]
    across = segment_frame(hand_way, thumb)[..., 2]  # thumb side, square to the hand
    upper = segment_frame(p["shoulder"] - p["elbow"], hinge)
    forearm = segment_frame(p["elbow"] - p["wrist"], across)
    return trunk, upper, forearm, segment_frame(hand_way, thumb), p


def arm_angles(joints, side):
    """Nine ISB angles of one arm, (n, 9), the trunk taken along the pool axes; and the points. [rad]"""
    trunk, upper, forearm, hand, points = arm_frames(joints, side)
    angles = [
        shoulder_angles(relative(trunk, upper)),
        elbow_angles(relative(upper, forearm)),
        wrist_angles(relative(forearm, hand)),
    ]
    return np.concatenate(angles, axis=-1), points


@pytest.mark.parametrize("side", ["left", "right"])
def test_arm_comes_back_from_its_joint_angles(swimmer, side):
    body, joints = swimmer
    angles, points = arm_angles(joints, side)
    # the chain's second hinge turns by minus the elevation
    turns = angles * np.array([1, -1, 1, 1, 1, 1, 1, 1, 1])
    chain = arm_chain(body)
    for i, turn in enumerate(turns):
        places = chain.places(turn)
        for name in ("elbow", "wrist", "knuckles", "thumb_tip"):
            gap = np.linalg.norm(points["shoulder"][i] + places[name] - points[name][i])
            assert gap < GEOMETRY_M, f"{side}_{name} at instant {i}"


@pytest.mark.parametrize("side", ["left", "right"])
def test_fingertip_lies_on_the_line_of_the_hand(swimmer, side):
    body, joints = swimmer
    p = limb(joints, side, ("wrist", "knuckles", "fingertip"))
    way = (p["knuckles"] - p["wrist"]) / body.hand_to_knuckles_m
    gap = p["fingertip"] - p["wrist"] - body.hand_to_fingertip_m * way
    assert np.abs(gap).max() < GEOMETRY_M


@pytest.mark.parametrize("side", ["left", "right"])
def test_elbow_is_a_hinge_and_the_wrist_bends_only_to_palm_or_back(swimmer, side):
    _, joints = swimmer
    angles, _ = arm_angles(joints, side)
    flexion, elbow_sideways, deviation, axial = angles[:, 3], angles[:, 4], angles[:, 7], angles[:, 8]
    assert flexion.min() >= 0 and np.degrees(flexion.max()) < 150
    for zero in (elbow_sideways, deviation, axial):
        assert np.abs(zero).max() < GEOMETRY_M / 0.05  # shortest lever: the thumb, 5 cm across the hand


@pytest.mark.parametrize("side", ["left", "right"])
def test_leg_comes_back_from_hip_and_knee_angles(swimmer, side):
    body, joints = swimmer
    p = limb(joints, side, ("hip", "knee", "ankle"))
    thigh, shank = p["hip"] - p["knee"], p["knee"] - p["ankle"]
    # the shin bends back: the hinge turns the shank the other way round than the elbow turns the forearm
    hip = segment_frame(thigh, np.cross(shank, thigh))
    flexion = -np.arctan2(np.linalg.norm(np.cross(shank, thigh), axis=-1), (shank * thigh).sum(-1))
    angles = shoulder_angles(hip) * np.array([1, -1, 1])
    chain = leg_chain(body)
    for i in range(len(joints)):
        places = chain.places([*angles[i], flexion[i]])
        for name in ("knee", "ankle"):
            assert np.linalg.norm(p["hip"][i] + places[name] - p[name][i]) < GEOMETRY_M


@pytest.mark.parametrize(
    "names",
    [
        ("neck", "head_top", "nose", "chin", "left_eye", "right_eye", "left_ear", "right_ear"),
        ("left_ankle", "left_heel", "left_toe"),
        ("right_ankle", "right_heel", "right_toe"),
        ("left_wrist", "left_knuckles", "left_fingertip", "left_thumb_tip"),
        ("right_wrist", "right_knuckles", "right_fingertip", "right_thumb_tip"),
    ],
    ids=lambda names: names[0],
)
def test_rigid_parts_only_turn_and_travel(swimmer, names):
    """The best rotation that scipy finds between any two instants leaves nothing over."""
    _, joints = swimmer
    points = joints[:, [JOINT_INDEX[name] for name in names]]
    first = points[0, 1:] - points[0, :1]
    for now in points[::7]:
        turn, _ = Rotation.align_vectors(now[1:] - now[:1], first)
        assert np.abs(turn.apply(first) - (now[1:] - now[:1])).max() < GEOMETRY_M


@pytest.mark.parametrize("side", ["left", "right"])
def test_bones_have_the_lengths_of_the_body_at_every_instant(swimmer, side):
    body, joints = swimmer
    expected = {
        (f"{side}_shoulder", f"{side}_elbow"): body.upper_arm_m,
        (f"{side}_elbow", f"{side}_wrist"): body.forearm_m,
        (f"{side}_wrist", f"{side}_knuckles"): body.hand_to_knuckles_m,
        (f"{side}_wrist", f"{side}_fingertip"): body.hand_to_fingertip_m,
        (f"{side}_hip", f"{side}_knee"): body.thigh_m,
        (f"{side}_knee", f"{side}_ankle"): body.shank_m,
        ("left_hip", "right_hip"): body.hip_width_m,
        ("pelvis", "thorax"): body.trunk_m,
        ("thorax", "neck"): body.neck_m,
        ("neck", "head_top"): body.head_m,
    }
    wrong = {}
    for (a, b), length in expected.items():
        apart = np.linalg.norm(joints[:, JOINT_INDEX[a]] - joints[:, JOINT_INDEX[b]], axis=-1)
        if np.abs(apart - length).max() > GEOMETRY_M:
            wrong[f"{a} to {b}"] = np.abs(apart - length).max()
    assert wrong == {}


# ---- masses of one arm


def test_mass_and_centre_of_the_straight_arm():
    """Composite centre and inertia about the shoulder, against the parallel-axis sum by hand."""
    body = make_body(1.80)
    chain = arm_chain(body, loaded=True)
    data, hanging = chain.model.createData(), np.zeros(9)
    parts = [body.segments[name] for name in ("upper_arm", "forearm", "hand")]
    starts = np.array([0.0, body.upper_arm_m, body.upper_arm_m + body.forearm_m])
    mass = np.array([part.mass_kg for part in parts])
    down = starts + [part.centre_fraction * part.length_m for part in parts]
    centre = pin.centerOfMass(chain.model, data, hanging)
    assert pin.computeTotalMass(chain.model) == pytest.approx(mass.sum(), abs=ALGEBRA)
    assert centre == pytest.approx(np.array([0, -(mass * down).sum() / mass.sum(), 0]), abs=ALGEBRA)
    about_front = sum(part.inertia_kg_m2[0] for part in parts) + (mass * down**2).sum()
    about_long = sum(part.inertia_kg_m2[2] for part in parts)
    inertia = pin.crba(chain.model, data, hanging)
    assert inertia[1, 1] == pytest.approx(about_front, abs=ALGEBRA)
    assert inertia[0, 0] == pytest.approx(about_long, abs=ALGEBRA)


def test_swinging_arm_has_the_same_energy_both_ways():
    """Kinetic energy of an arm turning sideways about the shoulder: half inertia times speed squared."""
    body = make_body(1.66, sex="woman", body_table="winter_dempster")
    chain = arm_chain(body, loaded=True)
    data, speed = chain.model.createData(), np.zeros(9)
    speed[1] = 3.0  # about the front-back axis [rad/s]
    energy = pin.computeKineticEnergy(chain.model, data, np.zeros(9), speed)
    expected, start = 0.0, 0.0
    for name, length in (("upper_arm", body.upper_arm_m), ("forearm", body.forearm_m), ("hand", 0.0)):
        part = body.segments[name]
        down = start + part.centre_fraction * part.length_m
        expected += 0.5 * part.mass_kg * (3.0 * down) ** 2 + 0.5 * part.inertia_kg_m2[0] * 3.0**2
        start += length
    assert energy == pytest.approx(expected, abs=ALGEBRA)


def test_the_chain_itself():
    """HAND-COUNTED: two links of 1 m, the second bent forward by 90 degrees."""
    chain = Chain().turn("Z").go(0, -1, 0).mark("middle").turn("Z").mark("end", 0, -1, 0)
    places = chain.places([0.0, np.pi / 2])
    assert places["middle"] == pytest.approx(np.array([0, -1, 0]), abs=ALGEBRA)
    assert places["end"] == pytest.approx(np.array([1, -1, 0]), abs=ALGEBRA)
