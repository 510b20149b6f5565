"""SECOND METHOD (the jointed bodies of the physics engine against the surge equation, over the whole stroke and with
the same forces), HAND-COUNTED and INVARIANT: the float in surge alone, and what its body drag has already."""

import dataclasses

import numpy as np
import pytest

from swimsim.faults.catalogue import FaultSetting
from swimsim.ground.conventions import JOINT_INDEX
from swimsim.ground.errors import InputError
from swimsim.ground.tables import read_toml
from swimsim.motion.solve import solve
from swimsim.scenario.in_water import fault_strokes, stroke_in_water, swimmer
from swimsim.water.arm_force import arm_forces
from swimsim.water.body_plane import Rod
from swimsim.water.coefficients import coefficients, drawn_coefficients
from swimsim.water.float_parts import float_parts
from swimsim.water.floating import Pond
from swimsim.water.floating_body import bare, still_drag, swimmer_rods
from swimsim.water.floating_cycle import FloatSettings, float_cycle
from swimsim.water.floating_drive import Drive
from swimsim.water.floating_surge import surge_of_float
from swimsim.water.forces import polynomial
from swimsim.water.surge import settle

#: Mean speed, speed at any instant, ripple. The plane of the rods has the hips on the middle line and neck and ankles
#: at their mean places, so the swing of legs and head differs by a few millimetres from that in space; a step ten times
#: finer changes neither. [m/s], [m/s], share
MEAN, INSTANT, RIPPLE = 1e-4, 2.5e-3, 5e-4


def stroke_of(preset, **changes):
    pattern, body = swimmer(preset)
    return stroke_in_water(solve(dataclasses.replace(pattern, **changes), body))


@pytest.fixture(scope="module")
def pace():
    return stroke_of("pace400_man")


def speeds_of(stroke, usual):
    """Speed at the float's instants, as the surge has it and as the jointed bodies have it."""
    made = surge_of_float(stroke, usual)
    surge = settle(stroke, usual, stroke.path.rate_hz)
    share = np.arange(len(surge.speed_m_s) + 1) / len(surge.speed_m_s) * made.period_s
    again = np.append(surge.speed_m_s[:, 0], surge.speed_m_s[0, 0])
    return surge, np.interp(made.time_s, share, again), made


@pytest.mark.parametrize("preset", ["pace400_man", "sprint_woman", "masters_man"])
def test_the_jointed_bodies_swim_as_the_surge_says(preset):
    surge, one, made = speeds_of(stroke_of(preset), coefficients())
    assert made.held_by_n == 0
    assert made.speed_m_s.mean() == pytest.approx(surge.mean_speed_m_s[0], abs=MEAN)
    assert made.speed_m_s == pytest.approx(one, abs=INSTANT)
    assert made.speed_m_s.std() / made.speed_m_s.mean() == pytest.approx(surge.ripple[0], abs=RIPPLE)
    # there is something to agree about: the speed swings by many times what is allowed
    assert np.ptp(one) > 10 * INSTANT


def test_they_agree_away_from_the_usual_numbers_and_without_a_kick():
    usual = coefficients(gain=1.45, drag_factor=1.1, drag_exponent=2.15, lift_most=0.6, leg_coefficient=0.7)
    surge, one, made = speeds_of(stroke_of("pace400_man", kick_beats=0), usual)
    assert made.speed_m_s.mean() == pytest.approx(surge.mean_speed_m_s[0], abs=MEAN)
    assert made.speed_m_s == pytest.approx(one, abs=INSTANT)
    assert abs(one.mean() - stroke_of("pace400_man").path.speed_m_s) > 0.1  # far from where the search began


def test_height_and_slope_are_held_meanwhile(pace):
    made = surge_of_float(pace)
    assert np.abs(made.heave_m).max() < 1e-9
    assert np.abs(made.pitch_rad).max() < 1e-9


def test_a_finer_step_changes_little(pace):
    one, fine = (surge_of_float(pace, step_s=step).speed_m_s.mean() for step in (1 / 200, 1 / 800))
    assert one == pytest.approx(fine, abs=2e-5)


def test_upper_arms_that_go_along_are_counted_once(pace):
    """Arms that feel nothing: what holds the speed is the body's drag less the upper arms' share, 0.179 of a man's."""

    def nothing(parts):
        return lambda joints, velocity: (np.zeros((len(joints), 1, 3)), joints[:, :1])

    path = pace.path
    for share in (read_toml("water")["arm"]["share_of_drag"]["man"], 0.179):
        made = float_cycle(
            path.joints_m, path.body, period_s=1 / path.rate_hz, speed_m_s=path.speed_m_s,
            settings=FloatSettings(drag=(30.0, 2.0), arm_force=nothing, surge_alone=True),
        )  # fmt: skip
        assert made.held_by_n == pytest.approx((1 - share) * 30.0 * (made.speed_m_s**2).mean(), abs=0.05)


def test_forces_on_all_limbs_are_those_of_the_surge(pace):
    """Straight from joints and velocities against the polynomials, at one steady speed."""
    path, table, rate = pace.path, pace.table, pace.path.rate_hz
    velocity = path.slopes_m * rate + np.array([path.speed_m_s, 0, 0])
    force, _ = arm_forces(path.body, legs=True)(float_parts(path.body))(path.joints_m, velocity)
    at = table.scaled(path.advance_m)
    expected = (coefficients().of_kinds() * polynomial(table.push, at)).sum(axis=0) * rate**2
    found = force[..., 0].sum(axis=1)
    assert np.abs(found - expected).max() < 0.02 * np.abs(expected).max()
    assert found.mean() == pytest.approx(expected.mean(), abs=0.1)


# ---- pieces


def rod(**changes):
    given = {
        "name": "trunk", "mass_kg": 40.0, "inertia_kg_m2": 2.0, "at_m": [-0.25, 0.25], "length_m": [0.5, 0.5],
        "area_m2": [0.07, 0.07], "half_height_m": [0.1, 0.1], "half_breadth_m": [0.15, 0.15],
    }  # fmt: skip
    return Rod(**(given | changes))


def test_drag_of_a_still_slope_by_hand_count(pace):
    """0.5 x 1000 x 1.0 x (0.3 m x 1.0 m) x sin^3 30 = 18.75 kg/m, deep under water; none when level."""
    joints = np.zeros((4, len(pace.path.joints_m[0]), 3))
    joints[..., 2] = -5.0
    joints[:, JOINT_INDEX["thorax"]] = [np.sqrt(3), 0.0, -4.0]
    assert still_drag([rod()], joints, 1000.0) == pytest.approx(18.75, rel=1e-9)
    joints[:, JOINT_INDEX["thorax"]] = [1.0, 0.0, -5.0]
    assert still_drag([rod()], joints, 1000.0) == pytest.approx(0.0, abs=1e-12)


def test_bare_rods_keep_weight_and_buoyancy(pace):
    parts = float_parts(pace.path.body)
    rods = swimmer_rods(parts, pace.path.body, pace.path.joints_m)
    for one, other in zip(rods, bare(rods), strict=True):
        assert (other.mass_kg, other.volume_m3) == (one.mass_kg, one.volume_m3)
        assert other.added_along_kg == one.added_along_kg
    assert still_drag(bare(rods), pace.path.joints_m, 996.5) == 0
    assert still_drag(rods, pace.path.joints_m, 996.5) > 0


def test_a_guided_rod_slides_and_does_nothing_else():
    """20 N forward on 40 kg that start at rest: 0.5 m/s2, whatever lifts or turns it."""
    pond = Pond(bare([rod()]), step_s=1 / 200)
    pond.guide()
    rail = np.tile([-0.3, 0.2], (100, 1))
    pond.place(np.array([[0.0, -0.3, 0.2]]), np.zeros((1, 3)))
    load = np.tile([20.0, 90.0, 15.0], (100, 1))
    out = pond.run(100, drive=Drive(np.zeros((100, 0)), load=load, rail=rail))
    assert out[10:, 1] == pytest.approx(-0.3, abs=1e-9)
    assert out[10:, 2] == pytest.approx(0.2, abs=1e-9)
    assert np.diff(out[10:, 3]) == pytest.approx(0.0025, rel=1e-6)


@pytest.mark.parametrize(
    ("usual", "said"),
    [
        (drawn_coefficients(2), "one swimmer"),
        (coefficients(size=1.02), "size and mass_factor 1"),
        (coefficients(mass_factor=0.9), "size and mass_factor 1"),
    ],
)
def test_another_swimmer_than_the_body_is_refused(pace, usual, said):
    with pytest.raises(InputError, match=said):
        surge_of_float(pace, usual)


def test_a_head_that_comes_up_to_breathe_is_refused():
    pattern, body = swimmer("pace400_man", breathing=("left", 1))
    lifted = fault_strokes([FaultSetting("head_lift", severity=0.7)], pattern, body)[1]
    with pytest.raises(InputError, match="a head that keeps still"):
        surge_of_float(lifted)
