"""COMMON PRACTICE: what a trunk and a hand look like from outside, in shares; INVARIANT: fingers only where seen."""

import cv2
import numpy as np
import pytest
from drawn_swimmer import pair

from swimsim.ground.records import Marks
from swimsim.view.cameras import VIEWS, mean_speed, named_camera
from swimsim.view.colours import THEMES
from swimsim.view.figure import Shot, ink_for
from swimsim.view.flesh import finger_gaps, hand_balls
from swimsim.view.person import Person
from swimsim.view.sampling import positions_at
from swimsim.view.solid_plan import Plan

LARGE, SMALL = (1240, 920), (300, 220)
LEVEL_S = 0.77  # the hand-made swimmer does not roll at this instant
HAND_BREADTH = 0.45  # of hand length, fingers together: the thumb apart


@pytest.fixture(scope="module")
def trace():
    return pair(4.0)[0][0]


def plan_of(trace, view, times, *, size=LARGE, person=None):
    times = np.atleast_1d(np.asarray(times, float))
    camera = named_camera(view, 1.8, size_px=size)
    shot = Shot(camera, positions_at(trace, times), trace.joint_names, mean_speed(trace) * times)
    return Plan(shot, ink_for(Marks(), THEMES["light"]), person or Person(), 1.8)


def filled(plan, group, frame=0, blocks=None):
    """Silhouette of a group of pieces, True where it is."""
    canvas = np.zeros((LARGE[1], LARGE[0]), np.uint8)
    for block, members in plan.groups[group].items():
        for i in members if blocks is None or block in blocks else ():
            outline = plan.outlines[i][frame]
            if np.isfinite(outline).all():
                cv2.fillConvexPoly(canvas, np.rint(outline).astype(np.int32), 255)
    return canvas > 0


def trunk_edges(trace, share, view="side_left", person=None):
    """Upper and lower row of the trunk at a share of the way from the shoulder line to the hip line. [px]"""
    plan = plan_of(trace, view, LEVEL_S, person=person)
    ends = [plan.shot.joints([f"left_{n}", f"right_{n}"])[0].mean(axis=0) for n in ("shoulder", "hip")]
    column = round(float((ends[0] + share * (ends[1] - ends[0]))[0]))
    rows = np.flatnonzero(filled(plan, "trunk")[:, column])
    return int(rows[0]), int(rows[-1])


@pytest.mark.parametrize("person", [Person(), Person(build="sturdy"), Person(cut="one_piece")])
def test_from_the_side_the_waist_is_shallower_than_chest_and_seat(trace, person):
    chest, waist, seat = (np.diff(trunk_edges(trace, s, person=person))[0] for s in (0.36, 0.66, 0.97))
    assert chest > 1.2 * waist
    assert seat > 1.1 * waist
    assert chest > seat > 0.8 * chest


def test_the_back_is_hollow_above_the_seat_and_the_belly_is_not_fuller_than_the_chest(trace):
    """Upper rows grow downwards: at the loins the back lies below the line from its ribs to its seat."""
    ribs, loins, seat = (np.array(trunk_edges(trace, s)) for s in (0.36, 0.68, 0.97))
    straight = ribs + (0.68 - 0.36) / (0.97 - 0.36) * (seat - ribs)
    scale = plan_of(trace, "side_left", LEVEL_S).shot.scale
    assert loins[0] - straight[0] > 0.02 * scale  # two centimetres
    assert loins[1] < ribs[1]


def test_from_above_the_shoulders_slope_to_the_neck_and_the_waist_is_narrower(trace):
    width = {s: np.diff(trunk_edges(trace, s, "overhead"))[0] for s in (-0.12, 0.05, 0.30, 0.66, 0.95)}
    assert width[-0.12] < 0.75 * width[0.05]
    assert width[0.66] < 0.85 * width[0.30]
    assert width[0.66] < 0.95 * width[0.95]


# ---- hands


def flat_frame(trace, view="below", side="left"):
    """The instant at which the hand shows most of its flat."""
    times = np.linspace(0.3, 3.0, 136)
    plan = plan_of(trace, view, times)
    blade, _, _ = hand_balls(plan.shot, side)
    pixels = plan.shot.see(blade)
    area = [cv2.contourArea(p.astype(np.float32)) for p in pixels]
    return times[int(np.argmax(area))]


def lines_of(plan, side="left"):
    """Outlines of the lines between the fingers that are shown, at frame 0: thin, from one end to the other."""
    gaps = plan.shot.see(finger_gaps(hand_balls(plan.shot, side)[0]))[0]
    found = []
    for outline in (plan.outlines[i][0] for block in plan.groups[f"{side}_arm"].values() for i in block):
        far = [np.linalg.norm(outline - end[:, None], axis=-1).min(axis=-1).max() for end in gaps]
        length = np.ptp(outline, axis=0).max()
        if min(far) < 1.5 and cv2.contourArea(outline.astype(np.float32)) < 1.5 * length:
            found.append(outline)
    return found


def test_a_large_flat_hand_has_three_lines_between_four_fingers(trace):
    plan = plan_of(trace, "below", flat_frame(trace))
    blade = plan.shot.see(hand_balls(plan.shot, "left")[0])[0]
    lines = lines_of(plan)
    assert len(lines) == 3
    across = (blade[4] - blade[1]) / np.linalg.norm(blade[4] - blade[1]) ** 2
    places = sorted(float((line.mean(axis=0) - (blade[1] + blade[2]) / 2) @ across) for line in lines)
    # four fingers of one breadth: lines at about a quarter, a half and three quarters
    assert np.diff(places) == pytest.approx([0.22, 0.22], abs=0.06)


def test_a_small_hand_and_one_seen_edge_on_have_none(trace):
    at = flat_frame(trace)
    assert lines_of(plan_of(trace, "below", at, size=SMALL)) == []
    assert lines_of(plan_of(trace, "side_left", at)) == []


@pytest.mark.parametrize("view", VIEWS)
def test_lines_between_fingers_come_and_go_with_the_size_alone(trace, view):
    """All frames of a stretch have the same pieces; where a hand turns edge on its lines are left out."""
    times = np.linspace(0.3, 2.0, 35)
    large, small = (plan_of(trace, view, times, size=size) for size in (LARGE, SMALL))
    assert len(large.outlines) == len(small.outlines) + 6
    assert {o.shape for o in large.outlines} == {large.outlines[0].shape}


def test_a_hand_is_as_broad_as_hands_are(trace):
    """Breadth at the knuckles against length from wrist to fingertip."""
    at = flat_frame(trace)
    plan = plan_of(trace, "below", at)
    joints = plan.shot.joints(["left_wrist", "left_knuckles", "left_fingertip"])[0]
    hand = filled(plan, "left_arm")
    along = (joints[2] - joints[0]) / np.linalg.norm(joints[2] - joints[0])
    across = np.array([-along[1], along[0]])
    # a quarter of the fingers' length beyond the knuckles: the thumb is not there
    middle = joints[1] + 0.45 * (joints[2] - joints[1])
    inside = [hand[tuple(np.rint((middle + s * across)[::-1]).astype(int))] for s in np.arange(-80, 80, 0.25)]
    length = np.linalg.norm(joints[2] - joints[0])
    assert sum(inside) / 4 == pytest.approx(HAND_BREADTH * length, rel=0.15)


def test_the_little_finger_ends_before_the_others(trace):
    gaps = finger_gaps(hand_balls(plan_of(trace, "below", flat_frame(trace)).shot, "left")[0])[0]
    length = np.linalg.norm(gaps[:, 1] - gaps[:, 0], axis=-1)
    assert (np.diff(length) < 0).all()
