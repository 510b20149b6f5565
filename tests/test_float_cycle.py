"""SECOND METHOD (the same swimmer as three equations of motion, integrated by scipy), PUBLISHED (direction and size of
the effect of lung volume, Washino et al. 2021) and INVARIANT: the floating swimmer over a stroke."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from tolerances import ALGEBRA

from swimsim.ground.conventions import JOINT_INDEX
from swimsim.ground.errors import InputError, UnreachableError
from swimsim.motion.solve import solve
from swimsim.stroke.presets import make_pattern
from swimsim.swimmer.anthropometry import make_body
from swimsim.water.arm_force import arm_forces
from swimsim.water.buoyancy import GRAVITY_M_S2, share_under
from swimsim.water.float_parts import float_parts
from swimsim.water.floating import Pond
from swimsim.water.floating_arms import ArmLoads, crossflow_arms, rate, resampled, trunk_states
from swimsim.water.floating_body import HANGS_ON, rod_centres, slopes
from swimsim.water.floating_cycle import FloatSettings, _Swim, float_cycle
from swimsim.water.floating_drive import Drive
from swimsim.water.floating_motion import Series, float_motion

LIFT_N = 60.0  # at the shoulders, in place of the water on the arms

#: Heights, slopes and speeds that two integrations of one swimmer share: a step of 1/1000 s is first order in the
#: pins, and the second method has none. [m], [rad], [m/s]
TWO_WAYS = (2e-4, 1e-3, 2e-3)


@pytest.fixture(scope="module")
def swimmer():
    body = make_body(1.80)
    motion = solve(make_pattern("pace400_man", body), body)
    period = motion.cycle_s * motion.period_cycles
    joints = motion.joints(np.arange(400) / 400 * period)
    return body, motion, joints, {"period_s": period, "speed_m_s": motion.pattern.speed_m_s}


@pytest.fixture(scope="module")
def settled(swimmer):
    body, _, joints, known = swimmer
    return float_cycle(joints, body, **known)


def without_advance(joints, known):
    """The trace as seen from a carriage that moves with the mean speed."""
    time = np.arange(len(joints)) / len(joints) * known["period_s"]
    return joints - [1, 0, 0] * (known["speed_m_s"] * time)[:, None, None]


def steady_lift(parts):
    """Arms that weigh and swing and feel nothing but a steady lift at the shoulders: what is left is mechanics."""

    def force(joints, velocity):
        at = joints[:, [JOINT_INDEX["thorax"]]]
        return np.broadcast_to([0.0, 0.0, LIFT_N], at.shape), at

    return force


# ---- second method


class ThreeEquations:
    """Trunk centre x, z and slope; every other rod, and the arms' mass, at a prescribed place in the trunk's frame.

    Virtual work in world axes: sum of J^T M (J q'' + b) = sum of J^T F, added mass as a full matrix per rod, no pins.
    """

    def __init__(self, swim):
        self.swim, self.pond = swim, swim.pond
        count, period = swim.count, swim.period_s
        turn = {"trunk": np.zeros(count)}
        place = {"trunk": np.zeros((count, 2))}
        angles = dict(zip(HANGS_ON, swim.angles.T, strict=True))
        for joint in self.pond.joints:
            turn[joint.second] = turn[joint.first] + angles[joint.second]
            pin = place[joint.first] + self.turned(joint.on_first_m, turn[joint.first])
            place[joint.second] = pin - self.turned(joint.on_second_m, turn[joint.second])
        place["arms"], turn["arms"] = swim.place, np.zeros(count)
        names = [rod.name for rod in self.pond.rods] + ["arms"]
        at = np.array([np.column_stack([place[n], turn[n]]) for n in names]).transpose(1, 0, 2)
        self.tables = [self.waves(v) for v in (at, rate(at, period), rate(rate(at, period), period))]
        self.spin = self.waves(swim.torque)

    @staticmethod
    def turned(point, angle):
        x, y = point
        return np.column_stack([np.cos(angle) * x - np.sin(angle) * y, np.sin(angle) * x + np.cos(angle) * y])

    @staticmethod
    def waves(values):
        return np.fft.rfft(values, axis=0) / len(values)

    def value(self, terms, time):
        angle = 2j * np.pi * np.arange(len(terms)) * time / self.swim.period_s
        weight = np.exp(angle) * np.where(np.arange(len(terms)) == 0, 1, 2)
        return np.tensordot(weight, terms, axes=1).real

    def slope(self, time, state, held):
        _, z, angle, u, w, turning = state
        place, first, second = (self.value(table, time) for table in self.tables)
        matrix, right = np.zeros((3, 3)), np.zeros(3)
        sine, cosine = math.sin(angle), math.cos(angle)
        for i, (at, speed, gain) in enumerate(zip(place, first, second, strict=True)):
            c = np.array([[cosine, -sine], [sine, cosine]])
            d, dd, ddd = c @ at[:2], c @ speed[:2], c @ gain[:2]
            jacobian = np.array([[1, 0, -d[1]], [0, 1, d[0]], [0, 0, 1]])
            bias = np.append(ddd + 2 * turning * np.array([-dd[1], dd[0]]) - turning**2 * d, gain[2])
            velocity = jacobian @ [u, w, turning] + np.append(dd, speed[2])
            mass, force = self.rod(i, z + d[1], angle + at[2], velocity)
            matrix += jacobian.T @ mass @ jacobian
            right += jacobian.T @ (force - mass @ bias)
        k, n = self.pond.drag
        lever = (self.swim.body.trunk_m - self.swim.centre) * cosine
        already = self.swim.loads.along * abs(u) * u  # of sloping rods, in the body's drag
        right += [
            held - k * abs(u) ** (n - 1) * u + already,
            LIFT_N,
            self.value(self.spin, time) + lever * LIFT_N,
        ]
        return np.concatenate([[u, w, turning], np.linalg.solve(matrix, right)])

    def rod(self, i, height, angle, velocity):
        if i == len(self.pond.rods):
            return np.diag([self.swim.mass] * 2 + [0.0]), np.array([0.0, -self.swim.mass * GRAVITY_M_S2, 0.0])
        rod, water = self.pond.rods[i], self.swim.settings.water_kg_m3
        along, across = (
            np.array([math.cos(angle), math.sin(angle), 0.0]),
            np.array([-math.sin(angle), math.cos(angle), 0]),
        )
        mass = np.diag([rod.mass_kg, rod.mass_kg, rod.inertia_kg_m2]) + rod.added_along_kg * np.outer(
            along, along
        )
        force = np.array([0.0, -rod.mass_kg * GRAVITY_M_S2, 0.0])
        under = share_under(-(height + rod.at_m * math.sin(angle)), rod.half_height_m)
        for at, f, area, length, half in zip(
            rod.at_m, under, rod.area_m2, rod.length_m, rod.half_breadth_m, strict=True
        ):
            way = across + [0, 0, at]
            normal = way @ velocity
            mass = mass + water * np.pi * half**2 * length * f * np.outer(way, way)
            force = (
                force
                - 0.5 * water * rod.drag_coefficient * 2 * half * length * f * abs(normal) * normal * way
            )
            force = force + water * GRAVITY_M_S2 * area * length * f * np.array([0, 1, at * math.cos(angle)])
        return mass, force


def test_the_jointed_swimmer_moves_as_three_equations_say(swimmer):
    body, _, joints, known = swimmer
    settings = FloatSettings(step_s=1 / 1000, strips=3, hold_speed=True, arm_force=steady_lift)
    swim = _Swim(without_advance(joints, known), body, known["period_s"], known["speed_m_s"], settings)
    made = swim.settle()
    first, step = 10, made.time_s[1]  # start inside the period, where slopes are plain differences
    angle, later = made.slope_rad, slice(first, None, 20)
    turning, up = np.gradient(angle, step)[first], np.gradient(made.height_m, step)[first]
    ahead, above = swim.centre * np.sin(angle[first]), swim.centre * np.cos(angle[first])
    start = [
        0.0, made.height_m[first] + ahead, angle[first],
        made.speed_m_s[first] - ahead * turning, up + above * turning, turning,
    ]  # fmt: skip
    second = ThreeEquations(swim)
    out = solve_ivp(
        lambda t, y: second.slope(t, y, made.held_by_n), (made.time_s[first], made.period_s), start, rtol=1e-6,
        atol=1e-7, t_eval=made.time_s[later], max_step=0.02,
    ).y  # fmt: skip
    height = out[1] - swim.centre * np.sin(out[2])
    speed = out[3] + swim.centre * np.sin(out[2]) * out[5]
    assert height == pytest.approx(made.height_m[later], abs=TWO_WAYS[0])
    assert out[2] == pytest.approx(angle[later], abs=TWO_WAYS[1])
    assert speed == pytest.approx(made.speed_m_s[later], abs=TWO_WAYS[2])
    assert np.ptp(angle) > 5 * TWO_WAYS[1]  # there is something to agree about


def test_surge_alone_is_the_surge_equation(settled, swimmer):
    # (m + added) dv/dt = thrust - k v^n, integrated by scipy; the same thrust drives one rod in the pond
    body, _, _, known = swimmer
    from swimsim.water.body_plane import Rod

    moved, period = 1.25 * body.mass_kg, known["period_s"]
    rod = Rod(
        "body", body.mass_kg, 12.0, [0.0], [1.8], [body.mass_kg / 1.8 / 996.5], [0.11], [0.11],
        added_along_kg=0.25 * body.mass_kg,
    )  # fmt: skip
    count = round(period * 500)
    time = np.arange(count) * period / count
    thrust = 60 + 40 * np.sin(4 * np.pi * time / period) + 10 * np.cos(8 * np.pi * time / period)
    load = np.column_stack([thrust, 0 * thrust, 0 * thrust])
    pond = Pond([rod], step_s=period / count, drag=(28.9, 2.12))
    pond.place(np.zeros((1, 3)), np.array([[1.4, 0.0, 0.0]]))
    speed = pond.run(3 * count, drive=Drive(np.zeros((count, 0)), load=load))[:, 3]
    exact = solve_ivp(
        lambda t, v: (
            60 + 40 * np.sin(4 * np.pi * t / period) + 10 * np.cos(8 * np.pi * t / period)
            - 28.9 * np.abs(v) ** 2.12
        ) / moved,
        (0, 3 * period), [1.4], rtol=1e-10, atol=1e-12, t_eval=np.arange(3 * count) * period / count,
    ).y[0]  # fmt: skip
    # the first step does not know the thrust yet, which fades
    assert speed[2 * count :] == pytest.approx(exact[2 * count :], abs=1e-4)


# ---- the settled stroke


def test_a_trace_seen_from_a_carriage_floats_the_same(settled, swimmer):
    body, _, joints, known = swimmer
    carried = float_cycle(without_advance(joints, known), body, **known)
    assert carried.slope_rad == pytest.approx(settled.slope_rad, abs=1e-9)
    assert carried.held_by_n == pytest.approx(settled.held_by_n, abs=1e-6)


def test_a_swimmer_without_a_kick_floats_steeper_and_settles(settled):
    """Gourgoulis et al. 2014: kicking lowers the trunk's slope. The full forces on hand and arm drive both presets."""
    for preset in ("pace400_man", "sprint_man"):
        body = make_body(1.80)
        motion = solve(make_pattern(preset, body, kick_beats=0), body)
        joints = motion.joints(np.arange(400) / 400 * motion.cycle_s)
        known = {"period_s": motion.cycle_s, "speed_m_s": motion.pattern.speed_m_s}
        still = float_cycle(joints, body, **known, settings=FloatSettings(arm_force=arm_forces(body)))
        assert still.slope_rad.mean() > settled.slope_rad.mean() + np.radians(3)
        assert np.ptp(still.slope_rad) < np.radians(8)


def test_the_speed_is_held_and_the_stroke_repeats(settled, swimmer):
    assert settled.speed_m_s.mean() == pytest.approx(swimmer[3]["speed_m_s"], abs=2e-4)
    assert (settled.change < 1e-4).all()
    # over the joint of the period nothing jumps by more than it moves in a step anyway
    for values in (settled.height_m, settled.slope_rad, settled.speed_m_s):
        assert abs(values[0] - values[-1]) < 1.5 * np.abs(np.diff(values)).max()


def test_what_the_arms_carry_and_the_water_add_up_to_the_weight(settled, swimmer):
    # Heave repeats, so the mean upward force is the weight: the arms' share is what the rods lack
    body = swimmer[0]
    arms = settled.arm_load[:, 1].mean()
    assert 0 < arms < 0.15 * body.mass_kg * GRAVITY_M_S2


def test_fuller_lungs_float_higher_and_flatter(swimmer):
    # Washino et al. 2021: centre of mass 15.2, 16.3 and 19.9 cm deep with full, middle and empty lungs at 1.20 m/s,
    # trunk steeper when empty. Direction and size: 4.7 cm between full and empty, here for another speed and body.
    body, _, joints, known = swimmer
    low, middle, high = (
        float_cycle(joints, body, **known, settings=FloatSettings(fullness=f)) for f in (0, 0.5, 1)
    )
    assert low.height_m.mean() < middle.height_m.mean() < high.height_m.mean()
    assert 0.02 < high.height_m.mean() - low.height_m.mean() < 0.09
    assert low.slope_rad.mean() > high.slope_rad.mean()


def test_the_start_does_not_matter(swimmer, settled):
    body, _, joints, known = swimmer
    lifted = joints + [0.0, 0.0, 0.05]
    # the limbs are the same against the trunk, which starts 5 cm higher
    again = float_cycle(lifted, body, **known)
    assert again.height_m == pytest.approx(settled.height_m, abs=5e-4)
    assert again.slope_rad == pytest.approx(settled.slope_rad, abs=2e-3)


def test_finer_steps_and_strips_change_little(swimmer, settled):
    body, _, joints, known = swimmer
    for change in ({"step_s": 1 / 1000}, {"strips": 32}):
        fine = float_cycle(joints, body, **known, settings=FloatSettings(**change))
        share = np.arange(50) / 50
        for name, limit in (("height_m", 5e-4), ("slope_rad", 2e-3), ("speed_m_s", 2e-3)):
            one, two = (
                np.interp(share * 0.98, np.arange(len(v)) / len(v), v)
                for v in (getattr(settled, name), getattr(fine, name))
            )
            assert one == pytest.approx(two, abs=limit), (change, name)


def test_without_a_held_speed_plain_coefficients_swim_too_slowly(swimmer):
    # known from the literature: steady coefficients without the unsteady part give about 60 % of the speed
    body, _, joints, known = swimmer
    free = float_cycle(joints, body, **known, settings=FloatSettings(hold_speed=False))
    assert free.held_by_n == 0
    assert 0.5 < free.speed_m_s.mean() / known["speed_m_s"] < 0.9


# ---- pieces


def test_rate_and_resampling_of_a_wave():
    time = np.arange(60) / 60 * 2.0
    wave = np.sin(np.pi * time) + 0.3 * np.cos(3 * np.pi * time)
    assert rate(wave, 2.0) == pytest.approx(
        np.pi * np.cos(np.pi * time) - 0.9 * np.pi * np.sin(3 * np.pi * time), abs=1e-9
    )
    fine = np.arange(91) / 91 * 2.0
    assert resampled(wave, 91) == pytest.approx(
        np.sin(np.pi * fine) + 0.3 * np.cos(3 * np.pi * fine), abs=1e-9
    )


def test_the_load_of_the_arms_is_that_of_the_trace_itself(swimmer):
    # In the trace's own state the arms' places and speeds are the trace's: sum the forces there directly
    body, _, joints, known = swimmer
    level = (
        joints - [1, 0, 0] * (known["speed_m_s"] * np.arange(400) / 400 * known["period_s"])[:, None, None]
    )
    parts = float_parts(body, fullness=0.5)
    force = crossflow_arms(parts)
    centre = rod_centres(parts, body)["trunk"]
    state = trunk_states(level, known["period_s"], speed_m_s=known["speed_m_s"], hip_to_centre_m=centre)
    loads = ArmLoads(level, known["period_s"], hip_to_centre_m=centre, force=force).at(state)
    velocity = rate(level, known["period_s"]) + [known["speed_m_s"], 0, 0]
    push, _ = force(level, velocity)
    assert loads[:, :2] == pytest.approx(push.sum(axis=1)[:, [0, 2]], abs=1e-6)


def test_still_water_takes_power_from_every_strip_of_the_arms(swimmer):
    body, _, joints, _ = swimmer
    parts = float_parts(body)
    random = np.random.default_rng(5)
    velocity = np.repeat(random.normal(size=(20, 1, 3)), joints.shape[1], axis=1)
    push, _ = crossflow_arms(parts)(joints[:20], velocity)
    still, _ = crossflow_arms(parts)(joints[:20], 0 * velocity)
    assert (((push - still) * velocity[:, :1]).sum(axis=-1) <= 1e-12).all()


def test_slopes_of_the_rods_are_the_published_sign(swimmer):
    _, motion, joints, _ = swimmer
    assert slopes(joints)["trunk"] == pytest.approx(
        np.full(400, motion.pattern.body.trunk_slope_rad), abs=1e-9
    )


# ---- what goes back to the motion


def test_a_series_gives_back_its_values_and_its_integral():
    time = np.arange(80) / 80 * 1.6
    values = 1.4 + 0.1 * np.cos(2 * np.pi * time / 1.6) - 0.05 * np.sin(6 * np.pi * time / 1.6)
    series = Series(values, 1.6, harmonics=5)
    assert series(time) == pytest.approx(values, abs=ALGEBRA)
    assert series.integral(np.array([0.0, 1.6])) == pytest.approx([0.0, 1.4 * 1.6], abs=ALGEBRA)
    step = 1e-5
    middle = (series.integral(time + step) - series.integral(time - step)) / (2 * step)
    assert middle == pytest.approx(values, abs=1e-8)


def test_the_body_motion_is_smooth_and_periodic_and_keeps_the_means(settled, swimmer):
    back = float_motion(settled)
    period = settled.period_s
    time = np.linspace(0, period, 301)
    for function in (back.speed, back.heave, back.pitch):
        assert function(time + period) == pytest.approx(function(time), abs=1e-9)
    assert back.advance(np.array([0.0, period])) == pytest.approx(
        [0.0, back.mean_speed_m_s * period], abs=1e-9
    )
    assert back.heave(settled.time_s).mean() == pytest.approx(0.0, abs=1e-9)
    assert back.speed_from == "water"
    # twelve harmonics hold all that the float does
    assert back.heave(settled.time_s) == pytest.approx(settled.heave_m - settled.heave_m.mean(), abs=3e-4)
    assert back.speed(settled.time_s) == pytest.approx(settled.speed_m_s, abs=3e-3)


def test_a_reference_keeps_how_much_lower_a_swimmer_lies(settled, swimmer):
    body, _, joints, known = swimmer
    empty = float_cycle(joints, body, **known, settings=FloatSettings(fullness=0.0))
    back = float_motion(empty, reference=settled)
    lower = settled.height_m.mean() - empty.height_m.mean()
    assert back.heave(empty.time_s).mean() == pytest.approx(-lower, abs=1e-4)


def test_the_motion_takes_the_float_and_the_float_the_motion(swimmer, settled):
    body, motion, _, known = swimmer
    back = float_motion(settled)
    again = solve(motion.pattern, body, body_motion=back)
    joints = again.joints(np.arange(400) / 400 * known["period_s"])
    twice = float_motion(float_cycle(joints, body, **known), made_with=back)
    time = settled.time_s
    change = [
        np.abs(getattr(twice, name)(time) - getattr(back, name)(time)).max() for name in ("heave", "pitch")
    ]
    once = [np.abs(getattr(back, name)(time)).max() for name in ("heave", "pitch")]
    assert change[0] < 0.8 * once[0]
    assert change[1] < 0.8 * once[1]  # each round changes less than the one before: the rounds end


# ---- bad input


def test_wrong_numbers_are_named_at_once(swimmer):
    body, _, joints, known = swimmer
    broken = joints.copy()
    broken[3, JOINT_INDEX["left_knee"]] = np.nan
    with pytest.raises(InputError, match=r"(?s)missing \(NaN\).*period_s: expected 0.3 to 60 s.*speed_m_s"):
        float_cycle(broken, body, period_s=0.0, speed_m_s=145.0)
    with pytest.raises(InputError, match="expected shape"):
        float_cycle(joints[:, :4], body, **known)


def test_a_float_that_has_no_time_to_settle_says_so(swimmer):
    body, _, joints, known = swimmer
    with pytest.raises(UnreachableError, match="not settled after 2 periods"):
        float_cycle(joints, body, **known, settings=FloatSettings(periods_most=2))
