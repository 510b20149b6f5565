"""PUBLISHED (de Leva 1996, trunk as one part) and HAND-COUNTED: the body as rods, and the states handed to the arms."""

import math

import numpy as np
import pytest
from tolerances import ALGEBRA

from swimsim.ground.conventions import JOINT_INDEX
from swimsim.swimmer.anthropometry import make_body
from swimsim.water.float_parts import float_parts
from swimsim.water.float_posture import straight_body
from swimsim.water.floating_arms import ArmLoads, carried, trunk_states
from swimsim.water.floating_body import driven_angles, rod_centres, slopes, swimmer_pins, swimmer_rods


@pytest.fixture(scope="module")
def man():
    body = make_body(1.741, mass_kg=73.0, sex="man")
    return body, float_parts(body), straight_body(body)


def test_rods_and_carried_arms_are_the_whole_body(man):
    body, parts, straight = man
    rods = swimmer_rods(parts, body, straight)
    arms = carried(parts, np.repeat(straight, 8, axis=0), 1.0)[0]
    assert sum(rod.mass_kg for rod in rods) + arms == pytest.approx(73.0, abs=1e-9)
    volume = sum(
        v for name, v in zip(parts.names, parts.volume_m3, strict=True) if "arm" in name or "hand" in name
    )
    assert sum(rod.volume_m3 for rod in rods) + volume == pytest.approx(parts.volume_m3.sum(), rel=ALGEBRA)


@pytest.mark.parametrize(("stature", "mass", "sex", "share", "radius_mm"), [
    (1.741, 73.0, "man", 0.4346, 0.347 * 531.9), (1.735, 61.9, "woman", 0.4257, 0.339 * 529.3),
])  # fmt: skip
def test_the_trunk_put_together_turns_as_the_trunk_printed_as_one(stature, mass, sex, share, radius_mm):
    # de Leva 1996, trunk row: mass share and radius of gyration about the left-right axis. Three parts in line leave
    # out what the parts bend against each other: 5 %
    body = make_body(stature, mass_kg=mass, sex=sex)
    trunk = swimmer_rods(float_parts(body), body, straight_body(body))[0]
    assert trunk.mass_kg == pytest.approx(share * mass, rel=2e-4)
    assert trunk.inertia_kg_m2 == pytest.approx(share * mass * (radius_mm / 1000) ** 2, rel=0.05)


def test_a_level_trunk_is_as_high_as_it_is_deep_and_a_rolled_one_higher(man):
    body, parts, straight = man
    own = [i for i, name in enumerate(parts.names) if name.endswith("trunk")]
    level = swimmer_rods(parts, body, straight)[0]
    assert level.half_height_m == pytest.approx(parts.half_depth_m[own].ravel(), rel=ALGEBRA)
    rolled = straight.copy()
    y = straight[..., 1].copy()
    rolled[..., 1], rolled[..., 2] = 0.0, y  # on its side
    side = swimmer_rods(parts, body, rolled)[0]
    ratio = parts.breadth_over_depth[own][:, None] * parts.half_depth_m[own]
    assert side.half_height_m == pytest.approx(ratio.ravel(), rel=1e-9)
    assert side.half_height_m * side.half_breadth_m == pytest.approx(
        level.half_height_m * level.half_breadth_m, rel=1e-9
    )


def test_a_thigh_tapers_and_needs_no_shift(man):
    _, parts, _ = man
    thigh, hand = (parts.names.index(f"left_{name}") for name in ("thigh", "hand"))
    assert parts.strip_at[[thigh, hand]] == pytest.approx(
        np.tile((np.arange(8) + 0.5) / 8, (2, 1)), abs=ALGEBRA
    )
    assert (np.diff(parts.strip_area_m2[thigh]) < 0).all()  # thick at the hip


def test_a_straight_body_has_no_angles_between_its_rods(man):
    _, _, straight = man
    assert driven_angles(straight) == pytest.approx(np.zeros((1, 7)), abs=ALGEBRA)
    sloping = straight_body(man[0], slope_rad=0.2)
    assert slopes(sloping)["left_foot"] == pytest.approx([0.2], abs=1e-12)
    assert driven_angles(sloping) == pytest.approx(np.zeros((1, 7)), abs=1e-12)


def test_pins_of_the_straight_body_meet_where_its_joints_are(man):
    body, parts, straight = man
    centres = rod_centres(parts, body)
    for pin in swimmer_pins(parts, body, straight):
        ends = [
            centres[rod] + at[0] for rod, at in ((pin.first, pin.on_first_m), (pin.second, pin.on_second_m))
        ]
        assert ends[0] == pytest.approx(ends[1], abs=1e-9)
        assert pin.on_first_m[1] == pytest.approx(0.0, abs=1e-12)
    knee = next(pin for pin in swimmer_pins(parts, body, straight) if pin.second == "left_shank")
    assert centres["left_thigh"] + knee.on_first_m[0] == pytest.approx(-body.thigh_m, abs=1e-9)


def test_the_arms_are_handed_the_places_and_speeds_of_a_turning_trunk(man):
    # Arms that are still against a trunk at slope 0.3 that moves on at (1.2, 0.1) and turns at 2 rad/s: the wrist
    # moves with u - turn * (z - z0), w + turn * (x - x0)
    body, parts, straight = man
    centre, frames = rod_centres(parts, body)["trunk"], np.repeat(straight, 16, axis=0)
    seen = {}

    def force(joints, velocity):
        seen.update(joints=joints, velocity=velocity)
        return np.ones((len(joints), 1, 3)), joints[:, [JOINT_INDEX["left_wrist"]]]

    loads = ArmLoads(frames, 1.0, hip_to_centre_m=centre, force=force)
    state = np.tile([0.5, -0.2, 0.3, 1.2, 0.1, 2.0], (16, 1))
    out = loads.at(state)[0]
    reach = body.trunk_m + body.upper_arm_m + body.forearm_m - centre
    dx, dz = reach * math.cos(0.3), reach * math.sin(0.3)
    wrist = JOINT_INDEX["left_wrist"]
    assert seen["joints"][0, wrist] == pytest.approx(
        [0.5 + dx, body.shoulder_width_m / 2, -0.2 + dz], abs=1e-12
    )
    assert seen["velocity"][0, wrist] == pytest.approx([1.2 - 2 * dz, 0.0, 0.1 + 2 * dx], abs=1e-9)
    assert out == pytest.approx([1.0, 1.0, dx - dz], abs=1e-12)


def test_slopes_of_a_load_that_is_known(man):
    # force = minus ten times the wrist's velocity: forward force falls by 10 N per m/s of the trunk
    body, parts, straight = man
    centre, frames = rod_centres(parts, body)["trunk"], np.repeat(straight, 16, axis=0)

    def force(joints, velocity):
        wrist = [JOINT_INDEX["left_wrist"]]
        return -10 * velocity[:, wrist], joints[:, wrist]

    loads = ArmLoads(frames, 1.0, hip_to_centre_m=centre, force=force)
    state = trunk_states(frames, 1.0, speed_m_s=1.0, hip_to_centre_m=centre)
    slope = loads.slope(state, loads.at(state))[0]
    reach = body.trunk_m + body.upper_arm_m + body.forearm_m - centre
    expected = np.zeros((3, 6))
    expected[0, 3] = expected[1, 4] = -10
    expected[1, 5] = expected[2, 4] = -10 * reach
    expected[2, 2] = 10 * 1.0 * reach  # the wrist comes above the centre: backward force turns it
    expected[2, 5] = -10 * reach**2
    assert slope == pytest.approx(expected, abs=0.02)


def test_arms_that_swing_turn_the_trunk_the_other_way(man):
    _, parts, straight = man
    frames = np.repeat(straight, 64, axis=0)
    time = np.arange(64) / 64
    # one hand goes up and down ahead of the arms' centre: its spin rate is what the trunk feels, reversed
    rise = 0.02 * np.sin(2 * np.pi * time)
    for joint in ("fingertip", "wrist"):
        frames[:, JOINT_INDEX[f"left_{joint}"], 2] += rise
    _, place, torque = carried(parts, frames, 1.0)
    assert place[:, 1].max() > 0
    assert (
        np.corrcoef(torque, rise)[0, 1] > 0.99
    )  # spin rate goes with minus the rise; the torque is reversed
    assert torque.mean() == pytest.approx(0.0, abs=1e-9)
