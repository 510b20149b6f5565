"""SECOND METHOD (forces strip by strip, no polynomials, a finer step), HAND-COUNTED (terminal speed, coast-down) and
INVARIANT: path, strips, posture and the surge to its periodic state."""

import dataclasses

import numpy as np
import pytest
from made_swimmers import made
from tolerances import ALGEBRA, BONE
from water_swimmers import path_of, stroke_of

from swimsim.ground.conventions import JOINT_INDEX
from swimsim.ground.errors import InputError, UnreachableError
from swimsim.ground.tables import read_toml
from swimsim.water.added_mass import glide
from swimsim.water.coefficients import PLACES, coefficients, drawn_coefficients
from swimsim.water.forces import KINDS, all_strips, force_table, polynomial, strip_shapes
from swimsim.water.path import periodic_frames, periodic_slope, stroke_path
from swimsim.water.posture import neck_extension, posture
from swimsim.water.properties import density
from swimsim.water.strips import hand_area, hand_strips, limb_strips
from swimsim.water.surge import Equation, centre_speed, prepare, settle

#: Speeds of two integrations of one swimmer. The surface is crossed steeply, and a speed across a limb
#: that changes sign has no second derivative: polynomials and steps both feel that. [m/s]
SAME_SPEED = 1e-4


@pytest.fixture(scope="module")
def stroke():
    return stroke_of("pace400_man")


def settled(stroke, **changes):
    return settle(stroke, coefficients(**changes), stroke.path.rate_hz)


# ---- path


def test_slopes_of_a_path_are_those_of_the_motion():
    """Central differences of the closed form, 1e-5 of a cycle apart."""
    path, motion = path_of("sprint_woman"), made("sprint_woman").motion
    time, step = np.arange(0, 480, 37) / 480 * motion.cycle_s, 1e-5 * motion.cycle_s
    ahead, behind = motion.joints(time + step), motion.joints(time - step)
    pelvis = JOINT_INDEX["pelvis"]
    expected = (ahead - behind) / 2e-5
    expected[..., 0] -= expected[:, pelvis, None, 0]
    found = path.slopes_m[::37]
    # The curves have four derivatives: the spectrum ends late, the highest waves of 240 are off by some 1e-4 m a cycle.
    np.testing.assert_allclose(found, expected, atol=2e-3)
    moving = np.abs(expected).max()
    assert np.abs(found - expected).max() < 5e-4 * moving


def test_slope_and_frames_of_a_wave_are_exact():
    share = np.arange(64) / 64
    wave = np.sin(2 * np.pi * 3 * share) + 0.2 * np.cos(2 * np.pi * 7 * share)
    slope = 6 * np.pi * np.cos(2 * np.pi * 3 * share) - 2.8 * np.pi * np.sin(2 * np.pi * 7 * share)
    np.testing.assert_allclose(periodic_slope(wave), slope, atol=1e-11)
    np.testing.assert_allclose(periodic_frames(wave, 128)[::2], wave, atol=ALGEBRA)


def test_a_path_is_seen_from_the_mid_hip(stroke):
    path = stroke.path
    assert np.abs(path.joint("pelvis")[:, 0]).max() == 0
    assert path.advance_m == pytest.approx(1.449 / (41.4 / 60), rel=1e-9)
    upper = np.linalg.norm(path.joint("left_elbow") - path.joint("left_shoulder"), axis=1)
    assert np.ptp(upper) < BONE


def test_a_trace_with_fewer_frames_gives_nearly_the_same_path(stroke):
    path = stroke.path
    coarse = stroke_path(path.joints_m[::4], path.body, period_s=1 / path.rate_hz, speed_m_s=path.speed_m_s)
    assert np.abs(coarse.joints_m - path.joints_m).max() < 2e-3  # 120 frames a cycle, 83 a second


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"joints_m": np.zeros((10, 3, 3))}, "expected shape"),
        ({"period_s": 0.01}, "period_s: expected 0.3 to 10 s per cycle"),
        ({"speed_m_s": 145.0}, "speed_m_s: expected 0.05 to 4 m/s, got 145"),
        ({"cycles": 0}, "cycles: expected a whole number from 1 to 60"),
        ({"steps_per_cycle": 41}, "steps_per_cycle: expected an even number"),
        ({"half": True}, "expected one whole period"),
        ({"missing": True}, "got missing"),
    ],
)
def test_a_wrong_trace_is_refused(stroke, change, match):
    path = stroke.path
    joints = path.joints_m.copy()
    if change.pop("half", False):
        joints = joints[:200]
    if change.pop("missing", False):
        joints[3, 4, 1] = np.nan
    wanted = {"joints_m": joints, "period_s": 1 / path.rate_hz, "speed_m_s": 1.4} | change
    with pytest.raises(InputError, match=match):
        stroke_path(wanted.pop("joints_m"), path.body, **wanted)


# ---- strips


def test_strips_lie_on_the_limbs_and_have_their_areas(stroke):
    path = stroke.path
    hands, arms = hand_strips(path), limb_strips(path, ("forearm",))
    assert hands.area_m2.sum() == pytest.approx(2 * 0.0150, rel=1e-12)
    assert hand_area(path.body) == 0.0150
    wrist, finger = (path.joint(f"left_{name}") for name in ("wrist", "fingertip"))
    np.testing.assert_allclose(hands.at_m[:, 0].T, wrist + (finger - wrist) / 8, atol=BONE)
    np.testing.assert_allclose(np.linalg.norm(hands.way, axis=0), 1, atol=ALGEBRA)
    np.testing.assert_allclose((hands.way * hands.thumb_way).sum(axis=0), 0, atol=ALGEBRA)
    # Hand and forearm show the flow 0.030 to 0.040 m2 (adult men, from memory)
    assert 0.030 < hand_area(path.body) + arms.area_m2.sum() / 2 < 0.040


def test_palms_of_the_two_hands_mirror_each_other():
    """No breath, even beat: the left hand is the right one mirrored, half a cycle later."""
    hands = hand_strips(path_of("sprint_man"))
    left, right = hands.way[:, hands.left], hands.way[:, ~hands.left]
    mirror = np.array([1.0, -1.0, 1.0])[:, None, None]
    np.testing.assert_allclose(np.roll(left, -240, axis=-1), mirror * right, atol=1e-9)


def test_only_what_is_under_water_counts(stroke):
    path = stroke.path
    for strips in all_strips(path):
        high, deep = strips.at_m[2] > 0.12, strips.at_m[2] < -0.12
        assert (strips.under[high] == 0).all()
        assert (strips.under[deep] == 1).all()
        assert (
            np.abs(np.diff(strips.under, axis=-1)).max() < 0.35
        )  # dips in over several instants of 1/480 cycle


# ---- posture


def test_posture_of_the_reference_is_the_reference():
    for preset, sex in (("pace400_man", "man"), ("pace400_woman", "woman")):
        found = posture(path_of(preset))
        share = read_toml("water")["posture"]["reference_share"][sex]
        assert found.area_m2 / found.reference_m2 == pytest.approx(1, abs=0.5e-4 / share)
        assert found.factor(1.4) == pytest.approx(1, abs=3e-3)


def test_frontal_area_is_that_of_measured_swimmers():
    """0.0903 m2 implied by Toussaint et al. 1988 (men), 0.0773 m2 by a regression of Clarys [memory], 0.1128 m2 (Morais
    et al. 2023, age 15 to 16); steeper masters show more than sprinters (Zamparo et al. 2009: it falls with speed)."""
    sprint, masters = (posture(path_of(name)).area_m2 for name in ("sprint_man", "masters_man"))
    assert 0.07 < sprint < masters < 0.12


def test_a_lifted_head_shows_as_neck_extension():
    joints = made("pace400_man").motion.joints(np.array([0.1, 0.4]))
    assert np.degrees(neck_extension(joints)) == pytest.approx(8.0, abs=1e-6)  # as the preset has it


# ---- forces


def direct(path, advance_m, frames, strips=8):
    """Forward force of every kind at some frames, strip by strip, for coefficients and rate of one."""
    rows = []
    for kind, limbs in enumerate(all_strips(path, strips)):
        limbs = limbs.at(frames)
        velocity = limbs.slope_m + np.array([1.0, 0, 0])[:, None, None] * advance_m
        force = strip_shapes(limbs, velocity, kind=kind) * limbs.under * limbs.area_m2[:, None]
        rows.extend(0.5 * density() * force[:, 0].sum(axis=1))
    return np.array(rows)


@pytest.mark.parametrize("times", [0.7, 1.0, 1.3])
def test_the_polynomials_give_the_forces_of_the_strips(stroke, times):
    path, table = stroke.path, stroke.table
    advance = times * path.advance_m
    found = polynomial(table.push, table.scaled(advance))
    expected = direct(path, advance, slice(None))
    assert found.shape == expected.shape == (len(KINDS), 480)
    for one, other in zip(found, expected, strict=True):
        assert np.abs(one - other).max() < 0.02 * np.abs(other).max()  # where a speed across changes sign
        assert abs((one - other).mean()) < 1e-3 * np.abs(other).mean()


def test_no_kind_of_force_feeds_a_limb(stroke):
    x = np.linspace(-1, 1, 9)
    spent = polynomial(stroke.table.spent[:, :, None], x)
    assert spent.min() > -2e-3 * spent.max()  # the polynomials' own error at instants without force
    assert (spent.mean(axis=1)[[KINDS.index(k) for k in KINDS if k != "hand_lift"]] > 0).all()
    assert np.abs(spent[KINDS.index("hand_lift")]).max() < 1e-6 * spent.max()  # lift does no work


def test_more_strips_change_little():
    """Convergence: 8 strips a part against 32; the mean speed differs by less than 0.1 %."""
    path = path_of("sprint_man")
    speeds = [float(settled(prepare(path, strips=n)).mean_speed_m_s[0]) for n in (2, 8, 32)]
    assert abs(speeds[1] / speeds[2] - 1) < 1e-3
    assert abs(speeds[1] - speeds[2]) < abs(speeds[0] - speeds[2])


# ---- surge


def test_the_speed_repeats_after_a_period(stroke):
    for name in ("masters_woman", "sprint_man"):
        surge = settled(stroke_of(name))
        assert np.abs(surge.closure_m_s).max() < 1e-10
    two = settled(stroke_of("pace400_man", breathing=("left", 4)))
    assert two.speed_m_s.shape == (480, 1)
    assert np.abs(two.closure_m_s).max() < 1e-10


#: Body drag less that of the upper arms, which have forces of their own: 5.36 of 30 kg/m taken off.
WITHOUT_ARMS = 1 - 0.179


def strip_by_strip(stroke, steps_per_cycle, periods=5):
    """The same equation, forces straight from the strips, a plain loop over a few periods."""
    path = path_of("sprint_man", steps=steps_per_cycle)
    usual = coefficients()
    kinds = usual.of_kinds()[:, 0]
    k = usual.drag_at_1(path.body)[0] * stroke.posture.factor(path.speed_m_s).mean() * WITHOUT_ARMS
    mass, moved = path.body.mass_kg, path.body.mass_kg * (1 + usual.added_share)
    inner, held = centre_speed(path), float(stroke.table.held @ kinds)
    limbs = all_strips(path)
    frames, step = len(inner), 1 / steps_per_cycle

    def slope(frame, momentum):
        advance = momentum - mass / moved * inner[frame % frames]
        push = kinds @ at_frame(limbs, frame % frames, advance)
        return (push - (k - held) * advance * abs(advance)) / moved

    w = path.advance_m
    for _ in range(periods):
        total = 0.0
        for frame in range(0, frames, 2):
            total += w - mass / moved * inner[frame]
            one = slope(frame, w)
            two = slope(frame + 1, w + step / 2 * one)
            three = slope(frame + 1, w + step / 2 * two)
            four = slope(frame + 2, w + step * three)
            w += step / 6 * (one + 2 * two + 2 * three + four)
    return total / steps_per_cycle * path.rate_hz


def at_frame(limbs, frame, advance):
    rows = []
    for kind, strips in enumerate(limbs):
        now = strips.at(slice(frame, frame + 1))
        velocity = now.slope_m + np.array([1.0, 0, 0])[:, None, None] * advance
        force = strip_shapes(now, velocity, kind=kind) * now.under * now.area_m2[:, None]
        rows.extend(0.5 * density() * force[:, 0].sum(axis=(1, 2)))
    return np.array(rows)


def test_the_speed_is_that_of_a_plain_loop_over_the_strips():
    stroke = stroke_of("sprint_man")
    found = float(settled(stroke).mean_speed_m_s[0])
    assert found == pytest.approx(strip_by_strip(stroke, 240), abs=SAME_SPEED)


def test_a_step_ten_times_finer_gives_the_same_speed():
    coarse, fine = (float(settled(stroke_of("sprint_man", steps=n)).mean_speed_m_s[0]) for n in (240, 2400))
    assert coarse == pytest.approx(fine, abs=SAME_SPEED)


def bare(stroke, push_n):
    """A swimmer whose limbs give a steady push and nothing else: only the body's drag answers."""
    table = stroke.table
    push = np.zeros_like(table.push)
    push[KINDS.index("toe"), :, -1] = push_n / stroke.path.rate_hz**2
    still = dataclasses.replace(
        table, push=push, spent=np.zeros_like(table.spent), held=np.zeros(len(KINDS)), advance_m=(0.0, 5.0)
    )
    level = dataclasses.replace(stroke.posture, area_m2=stroke.posture.reference_m2, deeper_m=0.0)
    return dataclasses.replace(stroke, table=still, posture=level, inner_m=np.zeros(len(stroke.inner_m)))


def test_terminal_speed_of_a_steady_push(stroke):
    """30 kg/m and 67.5 N: 1.5 m/s, all through the stroke; a tethered pull of 67.5 N holds that swimmer there."""
    surge = settle(bare(stroke, 67.5 * WITHOUT_ARMS), coefficients(shed=1.0), stroke.path.rate_hz)
    assert surge.speed_m_s == pytest.approx(1.5, abs=1e-8)
    assert surge.ripple == pytest.approx(0, abs=1e-8)


def test_a_coast_down_is_the_closed_form(stroke):
    """No push: v0 / (1 + k v0 t / m_e) after one period."""
    rate = stroke.path.rate_hz
    equation = Equation(bare(stroke, 0.0), coefficients(), rate)
    end = equation.period(np.array([2.5 / rate])) * rate
    moved = stroke.path.body.mass_kg * 1.25
    speed, _ = glide(1 / rate, speed_m_s=2.5, drag_kg_m=30.0 * WITHOUT_ARMS, moved_kg=moved)
    assert end == pytest.approx(speed, rel=1e-9)


def test_twice_the_rate_is_twice_the_speed_at_one_stroke_length(stroke):
    surge = settle(stroke, coefficients(), np.array([0.5, 1.0]))
    assert surge.mean_speed_m_s[1] == pytest.approx(2 * surge.mean_speed_m_s[0], rel=1e-9)
    bent = settle(stroke, coefficients(drag_exponent=2.2), np.array([0.5, 1.0]))
    assert bent.mean_speed_m_s[1] < 2 * bent.mean_speed_m_s[0]


def test_a_larger_swimmer_of_the_same_shape_goes_as_much_further(stroke):
    """Lengths 1.1, areas 1.21, masses 1.331: the stroke length grows by 1.1 as drag goes with speed squared."""
    surge = settle(stroke, coefficients(size=np.array([1.0, 1.1])), stroke.path.rate_hz)
    assert surge.stroke_length_m[1] == pytest.approx(1.1 * surge.stroke_length_m[0], rel=1e-9)


def test_many_swimmers_at_once_swim_as_each_alone(stroke):
    draws = drawn_coefficients(7, seed=3)
    rates = np.linspace(0.55, 0.8, 7)
    together = settle(stroke, draws, rates).mean_speed_m_s
    for i, rate in enumerate(rates):
        one = {name: float(getattr(draws, name)[i]) for name in PLACES}
        alone = settle(stroke, coefficients(**one), float(rate)).mean_speed_m_s[0]
        assert together[i] == pytest.approx(alone, abs=1e-9)


def test_what_helps_and_what_holds(stroke):
    base = float(settled(stroke).mean_speed_m_s[0])
    for change, sign in (
        ({"gain": 3.0}, 1), ({"drag_factor": 1.1}, -1), ({"hand_area_factor": 1.2}, 1), ({"shed": 1.2}, 1),
    ):  # fmt: skip
        assert sign * (float(settled(stroke, **change).mean_speed_m_s[0]) - base) > 0.005


def test_the_swing_of_the_arms_moves_the_trunk_and_not_the_mean(stroke):
    """Momentum of the arms: internal, so it shows in the mid-hip's ripple and hardly in the mean speed."""
    plain = settled(prepare(stroke.path, inner_motion=False))
    full = settled(stroke)
    assert full.mean_speed_m_s == pytest.approx(plain.mean_speed_m_s, rel=0.01)
    assert full.ripple != pytest.approx(plain.ripple, rel=0.05)
    assert np.abs(stroke.inner_m.mean()) < 1e-12


def test_a_speed_beyond_the_table_is_refused(stroke):
    with pytest.raises(UnreachableError, match="the range of the force table"):
        settled(stroke, drag_factor=40.0)
    surge = settle(stroke, coefficients(drag_factor=np.array([1.0, 40.0])), 0.7)
    assert np.isfinite(surge.mean_speed_m_s).tolist() == [True, False]


def test_wrong_numbers_are_refused(stroke):
    with pytest.raises(InputError, match="rate_hz: expected positive"):
        settle(stroke, coefficients(), 0.0)
    with pytest.raises(InputError, match=r"coefficients: expected some of .* got 'lift'"):
        coefficients(lift=1.0)
    with pytest.raises(InputError, match="strips: expected a whole number, 2 or more"):
        force_table(stroke.path, strips=1)
    with pytest.raises(InputError, match="draws: expected a whole number"):
        drawn_coefficients(1)


def test_draws_fill_their_ranges_evenly():
    """Latin hypercube: one draw in each of n slices of every range."""
    draws, table = drawn_coefficients(50, seed=1), read_toml("water")
    for name, (part, key) in PLACES.items():
        row = table[part][key]
        share = (getattr(draws, name) - row["low"]) / (row["high"] - row["low"])
        assert sorted(np.floor(share * 50)) == list(range(50))
        assert row["low"] <= row["value"] <= row["high"]
    assert (drawn_coefficients(50, seed=1).gain == draws.gain).all()
    assert not (drawn_coefficients(50, seed=2).gain == draws.gain).all()


def test_left_and_right_are_alike(stroke):
    """An even stroke without a breath pushes alike in both halves of the cycle."""
    speed = settled(stroke).speed_m_s[:, 0]
    np.testing.assert_allclose(speed[:120], speed[120:], atol=1e-6)
