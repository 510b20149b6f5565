"""INVARIANT (balances of momentum and energy, cube law), PUBLISHED (kick, breath, ripple, drag at constant power, hand
forces) and HAND-COUNTED (shares of a push): power, effort and where the hands' push goes."""

import dataclasses

import numpy as np
import pytest
from tolerances import ALGEBRA
from water_swimmers import stroke_of

from swimsim.ground.errors import InputError
from swimsim.ground.tables import read_csv, read_toml
from swimsim.water.arm_force import arm_forces
from swimsim.water.coefficients import coefficients, drawn_coefficients
from swimsim.water.effort import at_power, implied_thrust
from swimsim.water.float_parts import float_parts
from swimsim.water.forces import ARM_KINDS, all_strips, polynomial, strip_shapes
from swimsim.water.hand_push import WAYS, HandPush, hand_push, push_shares
from swimsim.water.limbs import crossflow
from swimsim.water.power import balance, ripple_cost
from swimsim.water.properties import density
from swimsim.water.strips import limb_strips
from swimsim.water.surge import Equation, settle

#: Balances over a period summed at 240 instants of a cycle: the surface is crossed within a few of them. Share.
BALANCED = 3e-4


def swum(preset, **wanted):
    stroke = stroke_of(preset, **wanted)
    surge = settle(stroke, coefficients(), stroke_of(preset).path.rate_hz)
    return surge, balance(surge)


@pytest.fixture(scope="module")
def sprint():
    return swum("sprint_man")


# ---- balances


@pytest.mark.parametrize("preset", ["sprint_man", "pace400_woman", "masters_man"])
def test_momentum_and_energy_balance_over_the_period(preset):
    _, power = swum(preset)
    assert np.abs(power.momentum_gap).max() < BALANCED
    assert np.abs(power.energy_gap).max() < BALANCED
    assert power.arm_thrust_n + power.leg_thrust_n == pytest.approx(power.drag_n, rel=BALANCED)


def test_balances_close_better_with_a_finer_step():
    gaps = []
    for steps in (60, 960):
        stroke = stroke_of("pace400_man", steps=steps)
        power = balance(settle(stroke, coefficients(), stroke.path.rate_hz))
        gaps.append(np.abs([power.momentum_gap, power.energy_gap]).max())
    assert gaps[1] < gaps[0] / 3


def test_nothing_is_counted_twice(sprint):
    """Drag times mean speed, ripple apart, is the power against drag; all power is that and what stays in the water."""
    surge, power = sprint
    drag_w = power.drag_n * surge.mean_speed_m_s
    assert power.drag_w == pytest.approx(drag_w, rel=3 * float(surge.ripple[0]) ** 2 + 1e-3)
    assert power.total_w == pytest.approx(power.drag_w + power.arms_w + power.legs_w)
    assert 0 < power.propelling_efficiency < 1
    assert 0 < power.arm_efficiency < 1


@pytest.mark.parametrize("preset", ["pace400_man", "masters_man"])
def test_all_power_is_the_work_at_the_joints(preset):
    """Second way: -F.(velocity against the mid-hip) of every strip, less the work that throws the arms' mass about."""
    stroke = stroke_of(preset)
    surge = settle(stroke, coefficients(), stroke.path.rate_hz)
    advance, kinds = surge.advance_m[:, 0], coefficients().of_kinds()[:, 0]
    velocity = np.zeros((3, 1, len(advance)))
    velocity[0] = advance
    work, first = 0.0, 0
    for place, strips in enumerate(all_strips(stroke.path)):
        now = strips.at(slice(None, None, 2))
        shapes = strip_shapes(now, now.slope_m + velocity, kind=place)
        force = np.tensordot(kinds[first : first + len(shapes)], shapes, 1) * now.under * now.area_m2[:, None]
        work -= 0.5 * density() * (force * now.slope_m).sum(axis=(0, 1)).mean()
        first += len(shapes)
    thrown = stroke.path.body.mass_kg * np.gradient(np.tile(stroke.inner_m, 3), 1 / 480)[480:960:2]
    work -= (thrown * advance).mean()
    assert float(balance(surge).total_w[0]) == pytest.approx(work * stroke.path.rate_hz**3, rel=1e-3)


def test_ripple_costs_what_a_wave_of_its_size_would(sprint):
    """Mean of v^3 over the cube of the mean: 1 + 1.5 eps^2 for a sine of amplitude eps, 1 + 3 s^2 for deviation s."""
    surge, _ = sprint
    speed, ripple = surge.speed_m_s[:, 0], float(surge.ripple[0])
    found = np.mean(speed**3) / np.mean(speed) ** 3
    assert found == pytest.approx(ripple_cost(np.sqrt(2) * ripple), rel=5e-4)


def test_power_goes_with_the_cube_of_the_rate_and_the_fifth_power_of_size():
    stroke = stroke_of("pace400_man")
    rate = stroke.path.rate_hz
    power = balance(settle(stroke, coefficients(size=np.array([1.0, 1.0, 1.1])), rate * np.array([1, 2, 1])))
    assert power.total_w[1:] / power.total_w[0] == pytest.approx([8.0, 1.1**5], rel=1e-8)
    assert power.drag_n[1:] / power.drag_n[0] == pytest.approx([4.0, 1.1**4], rel=1e-8)


# ---- the same effort


def test_ten_percent_less_drag_at_the_same_power_is_a_gain_of_the_text_book_kind():
    """(1/0.9)^(1/3) = 1.0357 when the efficiency stays; on a path that stays the efficiency falls a little."""
    stroke = stroke_of("pace400_man")
    base = balance(settle(stroke, coefficients(), stroke.path.rate_hz))
    surge, power = at_power(stroke, coefficients(drag_factor=np.array([1.0, 0.9])), base.total_w)
    assert power.total_w == pytest.approx(np.repeat(base.total_w, 2), rel=1e-8)
    ratio = surge.mean_speed_m_s[1] / surge.mean_speed_m_s[0]
    assert 1.01 < ratio < 1.0357
    stays = (power.propelling_efficiency[1] / power.propelling_efficiency[0] / 0.9) ** (1 / 3)
    assert ratio == pytest.approx(stays, rel=2e-3)  # v = (e P / k)^(1/3); the rest is ripple


def test_an_exponent_other_than_two_is_found_too():
    stroke, draws = stroke_of("sprint_woman"), drawn_coefficients(9, seed=5)
    wanted = np.linspace(150, 500, 9)
    surge, power = at_power(stroke, draws, wanted)
    assert power.total_w == pytest.approx(wanted, rel=1e-8)
    again = balance(settle(stroke, draws, surge.rate_hz))
    assert again.total_w == pytest.approx(wanted, rel=1e-8)


def test_a_power_that_is_none_is_refused():
    with pytest.raises(InputError, match="power_w: expected a positive power, got -3 W"):
        at_power(stroke_of("pace400_man"), coefficients(), -3.0)


def test_a_set_speed_tells_the_thrust_it_implies():
    """30 x 1.449^2 = 62.99 N at the reference posture; the two agree where the model swims the set speed itself."""
    stroke = stroke_of("pace400_man")
    needed, given = implied_thrust(stroke, coefficients())
    assert needed == pytest.approx(62.99, rel=3e-3)
    assert given == pytest.approx(needed, rel=0.05)
    assert implied_thrust(stroke, coefficients(gain=1.0))[1] < 0.75 * needed


# ---- published directions


@pytest.mark.parametrize("preset", ["sprint_man", "pace400_man"])
def test_kicking_raises_speed_at_the_same_rate(preset):
    """Homoto et al. 2024: kick raises speed and stroke length at the same rate; hand force stays. How much is a row of
    the checks from outside, which a sprint misses: a tenth of the speed is remembered (Deschodt et al. 1999)."""
    speeds = [float(swum(preset, kick=beats)[0].mean_speed_m_s[0]) for beats in (0, 2, 6)]
    assert speeds[0] < speeds[1] < speeds[2] < 1.15 * speeds[0]


def test_arms_give_most_of_the_thrust(sprint):
    """Tethered 70.3 to 29.7 % (Morouco et al. 2015), 85 to 90 % in free swimming (Bilinauskaite et al. 2013)."""
    assert 0.70 < sprint[1].arm_share < 0.90


def test_breathing_costs_a_little_speed():
    plain, breathes = (
        float(swum("pace400_man", breathing=b)[0].mean_speed_m_s[0]) for b in (("none", 0), ("left", 2))
    )
    assert 0.97 * plain < breathes < plain


def test_recreational_swimmers_ripple_more():
    assert swum("masters_man")[0].ripple > swum("pace400_man")[0].ripple > swum("sprint_man")[0].ripple


def test_power_against_drag_at_speed_is_in_the_published_range():
    """37.2 x 2.20^3 = 396 W for elite men at 2.20 m/s with the drag of towing methods; scaled by the cube of speed and
    by 30 to 37.2 kg/m a man at 1.70 m/s needs 144 to 183 W."""
    stroke = stroke_of("sprint_man", pace=(51.67 / 60, 1.70))
    power = balance(settle(stroke, coefficients(), stroke.path.rate_hz))
    assert power.drag_w == pytest.approx(396.1 * (1.70 / 2.20) ** 3 * 30 / 37.2, rel=0.03)


def test_hand_forces_have_the_published_size(sprint):
    """Sprinters' hands: mean propulsive force 26 to 57 N by part of the pull, peaks of trained adults 60 to 150 N
    [memory]. Within a factor of two of the means, and the peak not above the range by more than a third."""
    rows = {row["quantity"]: row["mean"] for row in read_csv("water_hand_forces")}
    means = [
        float(rows[f"mean hand propulsive force {part}"]) for part in ("downsweep", "insweep", "upsweep")
    ]
    hand = hand_push(sprint[0], "right")
    drives = hand.force_n[:, 0, 0] > 0.1 * hand.force_n[:, 0, 0].max()
    thrust = hand.force_n[drives, 0, 0].mean()
    assert np.mean(means) / 2 < thrust < 2 * np.mean(means)
    assert 60 < hand.peak_n[0] < 200


# ---- where the push goes


def hands_with(force):
    force = np.array(force, float)[:, :, None]
    return HandPush("left", np.arange(len(force)) / len(force), np.zeros((len(force), 3)), force)


def test_shares_of_a_push_by_hand_count():
    """10 forward, 6 up on the hand (pressed down), 3 and 1 sideways, 2 back, 2 down: shares of 24."""
    shares = push_shares(hands_with([[10, 3, 0], [0, -1, 6], [-2, 0, -2]]))
    expected = dict(zip(WAYS, np.array([10, 6, 4, 2, 2]) / 24, strict=True))
    assert {way: float(share[0]) for way, share in shares.items()} == pytest.approx(expected)


def test_size_peak_and_mean_of_a_push_by_hand_count():
    hand = hands_with([[3, 4, 0], [0, 0, 10], [0, 0.5, 0], [0, 0, 0]])
    assert hand.size_n[:, 0] == pytest.approx([5, 10, 0.5, 0])
    assert hand.peak_n == pytest.approx(10)
    assert hand.mean_n == pytest.approx(7.5)  # while above a tenth of the peak
    assert hand.thrust_n == pytest.approx(0.75)


def test_both_hands_of_an_even_stroke_push_alike(sprint):
    left, right = (hand_push(sprint[0], side) for side in ("left", "right"))
    half = len(left.share) // 2
    mirrored = np.roll(left.force_n, -half, axis=0) * np.array([1, -1, 1])[:, None]
    np.testing.assert_allclose(mirrored, right.force_n, atol=1e-5)
    assert left.at_m.shape == (240, 3)
    shares = push_shares(left, right)
    assert sum(shares.values()) == pytest.approx(1, abs=ALGEBRA)
    assert max(shares, key=lambda way: shares[way][0]) == "backward"


def test_a_hand_out_of_the_water_feels_nothing(sprint):
    hand = hand_push(sprint[0], "right")
    out = hand.at_m[:, 2] > 0.12
    assert out.any()
    assert np.abs(hand.force_n[out]).max() < 1e-9


# ---- the same forces for the floating body


def test_the_floating_body_is_driven_by_the_same_forces():
    """Forces straight from joints and velocities against the polynomials of the surge, at one steady speed; nothing
    pushes sideways or forward by buoyancy, and covered arms displace their volume."""
    stroke = stroke_of("pace400_man")
    path, table, rate = stroke.path, stroke.table, stroke.path.rate_hz
    parts = float_parts(path.body)
    velocity = path.slopes_m * rate + np.array([path.speed_m_s, 0, 0])
    force, at = arm_forces(path.body)(parts)(path.joints_m, velocity)
    assert force.shape == at.shape
    kinds = coefficients().of_kinds()[: len(ARM_KINDS)]
    expected = (kinds * polynomial(table.push[: len(ARM_KINDS)], table.scaled(path.advance_m))).sum(
        axis=0
    ) * rate**2
    found = force[..., 0].sum(axis=1)
    assert np.abs(found - expected).max() < 0.02 * np.abs(expected).max()
    assert found.mean() == pytest.approx(expected.mean(), rel=2e-3)
    deep = path.joints_m - np.array([0, 0, 3.0])
    lifted = arm_forces(path.body)(parts)(deep, np.zeros_like(velocity))[0].sum(axis=1)
    own = [i for i, name in enumerate(parts.names) if name.endswith(("upper_arm", "forearm", "hand"))]
    weight = density() * 9.81 * parts.volume_m3[own].sum()
    np.testing.assert_allclose(lifted, np.tile([0, 0, weight], (len(lifted), 1)), atol=1e-6)


# ---- what the body's drag has already


def test_upper_arms_are_not_counted_twice():
    """Straight from the strips: at 400-m pace the drag of upper arms that go along is what is taken off."""
    for preset, k in (("pace400_man", 30.0), ("pace400_woman", 22.0)):
        path = stroke_of(preset).path
        arms = limb_strips(path, ("upper_arm",))
        along = np.zeros_like(arms.way)
        along[0] = 1.0
        drag = -(crossflow(along, arms.way)[0] * arms.under * arms.area_m2[:, None]).sum(axis=0).mean()
        size = (path.body.stature_m / read_toml("water")["drag"]["reference_stature_m"][path.body.sex]) ** 2
        share = read_toml("water")["arm"]["share_of_drag"][path.body.sex]
        assert share == pytest.approx(0.5 * density() * drag / (k * size), rel=0.03)


def test_what_goes_along_pushes_nothing_and_takes_no_power():
    """With no force on any limb, what is left is what was taken off: a share of the drag, and the legs held still."""
    stroke = stroke_of("pace400_man")
    table = dataclasses.replace(stroke.table, push=0 * stroke.table.push, spent=0 * stroke.table.spent)
    surge = settle(stroke, coefficients(), stroke.path.rate_hz)
    equation = Equation(dataclasses.replace(stroke, table=table), coefficients(), stroke.path.rate_hz)
    power = balance(dataclasses.replace(surge, equation=equation))
    held = (table.held[:, None] * equation.kinds).sum(axis=0)
    speed = surge.speed_m_s
    assert power.leg_thrust_n == pytest.approx(held * (speed**2).mean(), rel=1e-9)
    assert power.legs_w == pytest.approx(-held * (speed**3).mean(), rel=1e-9)
    assert power.arm_thrust_n == pytest.approx(0.179 * power.drag_n, rel=1e-9)
    assert power.arms_w == pytest.approx(-0.179 * power.drag_w, rel=1e-9)
