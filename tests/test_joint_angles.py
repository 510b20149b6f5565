"""SECOND METHOD: ISB joint angles against scipy, ROUND TRIP to 1e-6 rad, HAND-COUNTED postures, INVARIANT.

Convention: Wu et al. 2005, J Biomech 38:981-992. X forward, Y up, Z right of the standing person; right arm.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation
from tolerances import ALGEBRA, SOLVED

from swimsim.ground.joint_angles import (
    elbow_angles,
    elbow_rotation,
    included_elbow_angle,
    mirrored,
    relative,
    segment_frame,
    shoulder_angles,
    shoulder_rotation,
    wrist_angles,
    wrist_rotation,
)

RIGHT_ANGLE = np.pi / 2
AWAY_FROM_LOCK = 0.02  # about one degree; nearer to it the outer angles lose digits without limit

turn = st.floats(-np.pi + 1e-6, np.pi - 1e-6)
shoulder = st.tuples(turn, st.floats(AWAY_FROM_LOCK, np.pi - AWAY_FROM_LOCK), turn).map(np.array)
hinge = st.tuples(turn, st.floats(-RIGHT_ANGLE + AWAY_FROM_LOCK, RIGHT_ANGLE - AWAY_FROM_LOCK), turn).map(
    np.array
)


def gap(first, second):
    """Largest difference between two sets of angles, whole turns left out. [rad]"""
    return np.abs(np.angle(np.exp(1j * (np.asarray(first) - np.asarray(second))))).max()


# ---- SECOND METHOD


@given(shoulder)
def test_shoulder_matrix_is_that_of_scipy(angles):
    plane, elevation, axial = angles
    other = Rotation.from_euler("YXY", [plane, -elevation, axial]).as_matrix()
    assert np.abs(shoulder_rotation(angles) - other).max() < ALGEBRA


@given(hinge)
def test_elbow_matrix_is_that_of_scipy(angles):
    other = Rotation.from_euler("ZXY", angles).as_matrix()
    assert np.abs(elbow_rotation(angles) - other).max() < ALGEBRA


def test_angles_read_from_random_matrices_are_those_of_scipy():
    turns = Rotation.random(500, rng=np.random.default_rng(11))
    plane, about_x, axial = turns.as_euler("YXY").T
    # scipy gives a positive X turn; the same posture with a negative one has both outer angles half a turn on
    expected = np.stack([plane + np.pi, about_x, axial + np.pi], axis=-1)
    clear = (about_x > AWAY_FROM_LOCK) & (about_x < np.pi - AWAY_FROM_LOCK)
    assert clear.sum() > 400
    assert gap(shoulder_angles(turns.as_matrix())[clear], expected[clear]) < SOLVED
    assert gap(elbow_angles(turns.as_matrix()), turns.as_euler("ZXY")) < SOLVED


# ---- ROUND TRIP


@given(shoulder)
def test_shoulder_round_trip(angles):
    assert gap(shoulder_angles(shoulder_rotation(angles)), angles) < SOLVED


@given(hinge)
def test_elbow_and_wrist_round_trip(angles):
    assert gap(elbow_angles(elbow_rotation(angles)), angles) < SOLVED
    assert gap(wrist_angles(wrist_rotation(angles)), angles) < SOLVED


@given(shoulder, hinge, hinge, st.integers(0, 2**32 - 1))
def test_angles_to_joint_points_and_back(upper, lower, hand, seed):
    """A whole arm in any place and attitude of the trunk: the angles come back from points alone."""
    trunk = Rotation.random(rng=np.random.default_rng(seed)).as_matrix()
    upper_arm = trunk @ shoulder_rotation(upper)
    forearm = upper_arm @ elbow_rotation(lower)
    palm = forearm @ wrist_rotation(hand)
    points, ends = np.zeros(3), [np.zeros(3)]
    for frame, length in ((upper_arm, 0.29), (forearm, 0.27), (palm, 0.09)):
        points = points - length * frame[:, 1]
        ends.append(points)
    outer = [frame[:, 2] for frame in (upper_arm, forearm, palm)]  # marks on the thumb side of each segment
    read = [
        segment_frame(ends[i] - ends[i + 1], outer[i] + 0.3 * (ends[i] - ends[i + 1])) for i in range(3)
    ]  # a mark that does not sit square is squared
    assert gap(shoulder_angles(relative(trunk, read[0])), upper) < SOLVED
    assert gap(elbow_angles(relative(read[0], read[1])), lower) < SOLVED
    assert gap(wrist_angles(relative(read[1], read[2])), hand) < SOLVED


# ---- HAND-COUNTED postures of a standing person


@pytest.mark.parametrize(
    ("degrees", "elbow_direction"),
    [
        ((0, 90, 0), (0, 0, 1)),  # raised sideways: the elbow is to the right
        ((90, 90, 0), (1, 0, 0)),  # raised forward
        ((-90, 45, 0), (-(0.5**0.5), -(0.5**0.5), 0)),  # stretched backward and down
        ((90, 180, 0), (0, 1, 0)),  # overhead
        ((30, 0, 0), (0, -1, 0)),  # hanging, whatever the plane
    ],
)
def test_where_the_elbow_points(degrees, elbow_direction):
    towards_elbow = -shoulder_rotation(np.radians(degrees))[:, 1]
    assert towards_elbow == pytest.approx(np.array(elbow_direction), abs=ALGEBRA)


def test_inward_rotation_of_the_hanging_arm_brings_the_bent_forearm_to_the_body():
    arm = shoulder_rotation(np.radians([0, 0, 90])) @ elbow_rotation(np.radians([90, 0, 0]))
    assert -arm[:, 1] == pytest.approx(
        np.array([0, 0, -1]), abs=ALGEBRA
    )  # forearm points left, across the body


def test_flexion_and_pronation_signs():
    forearm = elbow_rotation(np.radians([90, 0, 0]))
    assert -forearm[:, 1] == pytest.approx(np.array([1, 0, 0]), abs=ALGEBRA)  # hand in front of the elbow
    pronated = elbow_rotation(np.radians([0, 0, 90]))
    assert pronated[:, 0] == pytest.approx(np.array([0, 0, -1]), abs=ALGEBRA)  # palm turns to the thigh
    bent = wrist_rotation(np.radians([0, 30, 0]))
    assert -bent[:, 1] == pytest.approx(
        np.array([0, -(0.75**0.5), -0.5]), abs=ALGEBRA
    )  # to the little finger


def test_included_elbow_angle_is_the_angle_between_the_bones():
    for flexion in np.radians([0.0, 35.0, 77.0, 140.0]):
        forearm = elbow_rotation(np.array([flexion, 0.0, 0.4]))
        to_shoulder, to_wrist = np.array([0.0, 1.0, 0.0]), -forearm[:, 1]
        between = np.arctan2(np.linalg.norm(np.cross(to_shoulder, to_wrist)), to_shoulder @ to_wrist)
        assert included_elbow_angle(flexion) == pytest.approx(between, abs=ALGEBRA)
    assert np.degrees(included_elbow_angle(np.radians(75.0))) == pytest.approx(105.0, abs=ALGEBRA * 180)


# ---- INVARIANT


@given(shoulder)
def test_left_arm_mirrored_gives_the_angles_of_the_right(angles):
    """Mirror the joint directions of a right arm by hand; `mirrored` undoes it."""
    right = shoulder_rotation(angles)
    flip = np.diag([1.0, 1.0, -1.0])
    left = np.stack([flip @ right[:, 0], flip @ right[:, 1], -flip @ right[:, 2]], axis=-1)
    assert np.linalg.det(left) == pytest.approx(1.0, abs=ALGEBRA)
    assert gap(shoulder_angles(mirrored(left)), angles) < SOLVED


def test_leading_dimensions_are_kept():
    angles = np.random.default_rng(3).uniform(0.1, 1.4, (4, 5, 3))
    assert shoulder_rotation(angles).shape == (4, 5, 3, 3)
    assert shoulder_angles(shoulder_rotation(angles)).shape == (4, 5, 3)
    assert shoulder_angles(shoulder_rotation(angles)[2, 3]) == pytest.approx(angles[2, 3], abs=SOLVED)


def test_missing_points_give_nan_and_not_a_number_made_up():
    frame = segment_frame(
        np.array([[np.nan] * 3, [0.0, 0.0, 0.0], [0.0, 1.0, 0.0]]), np.array([0.0, 0.0, 1.0])
    )
    assert np.isnan(frame[:2]).any(axis=(1, 2)).all()
    assert frame[2] == pytest.approx(np.eye(3), abs=ALGEBRA)
    in_line = segment_frame(np.array([0.0, 2.0, 0.0]), np.array([0.0, 1.0, 0.0]))
    assert np.isnan(in_line).any()
