"""PUBLISHED formulas in closed form (floating and falling bodies, coast-down, tether) and INVARIANT: rods in a pond."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from tolerances import printed

from swimsim.ground.errors import InputError
from swimsim.water.body_plane import Rod, cylinder
from swimsim.water.floating import Pond
from swimsim.water.floating_drive import Drive, Joint

WATER = 1000.0
GRAVITY = 9.81
RADIUS, LENGTH = 0.1, 1.0
DISPLACED = WATER * math.pi * RADIUS**2 * LENGTH

#: What a step of 1/500 s leaves of a closed form; second order, shown below. Share of the value.
STEPPED = 2e-4


def log(density, *, drag_coefficient=1.0, along=0.0, strips=10):
    """A round log of the given density over water's."""
    rod = cylinder(
        "log", mass_kg=density * DISPLACED, length_m=LENGTH, radius_m=RADIUS, strips=strips,
        drag_coefficient=drag_coefficient,
    )  # fmt: skip
    names = ("at_m", "length_m", "area_m2", "half_height_m", "half_breadth_m")
    return Rod(
        "log", rod.mass_kg, rod.inertia_kg_m2, *(getattr(rod, name) for name in names),
        drag_coefficient=drag_coefficient, added_along_kg=along,
    )  # fmt: skip


def pond(rod, *, step_s=0.002, drag=(0.0, 2.0), place=(0.0, 0.0, 0.0), speed=(0.0, 0.0, 0.0)):
    made = Pond([rod], water_kg_m3=WATER, step_s=step_s, drag=drag)
    made.place(np.array([place]), np.array([speed]))
    return made


def period_of(values, step_s):
    """Mean time between upward crossings of 0."""
    up = np.flatnonzero((values[:-1] < 0) & (values[1:] >= 0))
    at = step_s * (up - values[up] / (values[up + 1] - values[up]))
    return np.diff(at).mean()


# ---- one rod


@pytest.mark.parametrize("density", [0.3, 0.5, 0.8])
def test_a_floating_cylinder_comes_to_rest_at_its_depth(density):
    # Archimedes: the circular segment under water is the log's share of water's density
    def lacking(depth):
        half = math.acos(-depth / RADIUS)  # half the wetted angle
        return (half - math.sin(half) * math.cos(half)) / math.pi - density

    rest = brentq(lacking, -RADIUS, RADIUS)
    assert -pond(log(density), place=(0.0, -rest, 0.0)).run(1000)[:, 1] == pytest.approx(rest, abs=1e-9)
    moved = pond(log(density, drag_coefficient=50.0), place=(0.0, -rest + 0.01, 0.0))
    bobs = -moved.run(10_000)[-2000:, 1]  # the bobbing dies out as 1 / time
    assert bobs.mean() == pytest.approx(rest, abs=1e-4)
    assert np.ptp(bobs) < 1e-3


def test_a_floating_cylinder_bobs_with_its_period():
    # 2 pi sqrt((m + added) / (rho g L 2 r)); half a displaced mass is added at the surface (Korotkin, p. 206)
    made = pond(log(0.5, drag_coefficient=0.0), place=(0.0, 0.002, 0.0))
    expected = 2 * math.pi * math.sqrt(DISPLACED / (WATER * GRAVITY * LENGTH * 2 * RADIUS))
    assert period_of(made.run(2000)[:, 1], 0.002) == pytest.approx(expected, rel=STEPPED)


def test_a_floating_cylinder_rocks_with_its_period():
    # Pitch of a level slender log: stiffness rho g 2 r L^3 / 12 plus what weight and buoyancy at the same height
    # leave out; inertia of the log and half its displaced mass, the latter as strips
    rod = log(0.5, drag_coefficient=0.0, strips=100)
    made = pond(rod, place=(0.0, 0.0, 0.002))
    added = 0.5 * DISPLACED * LENGTH**2 / 12
    stiff = WATER * GRAVITY * 2 * RADIUS * LENGTH**3 / 12
    expected = 2 * math.pi * math.sqrt((rod.inertia_kg_m2 + added) / stiff)
    assert period_of(made.run(2000)[:, 2], 0.002) == pytest.approx(expected, rel=1e-3)


def test_undamped_bobbing_keeps_its_height():
    made = pond(log(0.5, drag_coefficient=0.0), place=(0.0, 0.01, 0.0))
    height = np.abs(
        made.run(10_000)[:, 1]
    )  # 25 bobs; added mass grows and falls with depth and works a little
    assert height[-1000:].max() == pytest.approx(height[:1000].max(), rel=0.01)


def test_a_light_log_rises_to_its_terminal_speed():
    rod = log(0.9)
    made = pond(rod, place=(0.0, -20.0, 0.0))
    push = 0.1 * DISPLACED * GRAVITY
    end = math.sqrt(push / (0.5 * WATER * 2 * RADIUS * LENGTH))
    moved = rod.mass_kg + DISPLACED  # deep: one displaced mass is added
    speed = made.run(1500)[:, 4]
    expected = end * np.tanh(push / (moved * end) * 0.002 * np.arange(1500))
    assert speed == pytest.approx(expected, abs=1e-6)


def test_a_glide_slows_as_the_closed_form_says():
    # v0 / (1 + k v0 t / m_e); check value 2.5 m/s, k 25, 75 kg with a quarter added: 1.5000 m/s and 1.9156 m in 1 s
    rod = Rod(
        "body", 75.0, 12.0, [0.0], [1.8], [75.0 / 1.8 / WATER], [0.11], [0.11], added_along_kg=0.25 * 75
    )
    made = pond(rod, step_s=0.001, drag=(25.0, 2.0), speed=(2.5, 0.0, 0.0))
    out = made.run(1001)
    assert out[-1, 3] == pytest.approx(1.5, abs=printed("1.5000"))
    assert out[-1, 0] == pytest.approx(1.9156, abs=printed("1.9156"))


@pytest.mark.parametrize("exponent", [2.0, 2.12, 3.3])
def test_a_steady_push_ends_at_the_speed_of_the_drag_law(exponent):
    # k v^n = push, with the exponents of Toussaint 1988 and Narita 2017
    made = pond(log(0.5, along=5.0), drag=(28.9, exponent))
    drive = Drive(np.zeros((1, 0)), load=[[60.0, 0.0, 0.0]])
    assert made.run(5000, drive=drive)[-1, 3] == pytest.approx((60.0 / 28.9) ** (1 / exponent), rel=1e-9)


def test_a_tethered_pull_stretches_the_tether_and_swings():
    # Hooke: stretch pull / stiffness at the mean, period 2 pi sqrt(m_e / stiffness)
    rod = log(0.5, drag_coefficient=0.0, along=5.0)
    stiff, pull = 200.0, 50.0
    slope = np.zeros((1, 3, 6))
    slope[0, 0, 0] = -stiff
    made = pond(rod)
    x = made.run(10_000, drive=Drive(np.zeros((1, 0)), load=[[pull, 0.0, 0.0]], slope=slope))[:, 0]
    expected = 2 * math.pi * math.sqrt((rod.mass_kg + 5.0) / stiff)
    assert x.max() == pytest.approx(2 * pull / stiff, rel=STEPPED)
    assert period_of(x - pull / stiff, 0.002) == pytest.approx(expected, rel=STEPPED)


def test_halving_the_step_quarters_the_error():
    errors = []
    for step in (0.008, 0.004, 0.002):
        made = pond(log(0.5, along=4.0), step_s=step, drag=(25.0, 2.0), speed=(2.5, 0.0, 0.0))
        time = step * np.arange(round(1 / step))
        moved = 0.5 * DISPLACED + 4.0
        errors.append(np.abs(made.run(len(time))[:, 3] - 2.5 / (1 + 25 * 2.5 * time / moved)).max())
    assert errors[0] / errors[1] == pytest.approx(4.0, abs=0.6)
    assert errors[1] / errors[2] == pytest.approx(4.0, abs=0.6)


def test_added_mass_heavier_than_the_rod_stays_steady():
    # a broad, light plate: ten times its own mass is added; it must rise with push / (m + added) at first
    plate = Rod("plate", 5.0, 0.1, [0.0], [1.0], [0.01], [0.01], [0.13])
    made = pond(plate, place=(0.0, -5.0, 0.0))
    added = WATER * math.pi * 0.13**2
    speed = made.run(3)[:, 4]
    assert speed[1] == pytest.approx((0.01 * WATER - 5.0) * GRAVITY / (5.0 + added) * 0.002, rel=1e-3)
    assert np.abs(np.diff(made.run(500)[:, 4])).max() < 0.01


# ---- jointed rods


def in_the_air(*, driven, swing=0.0):
    """Two logs pinned end to end, 50 m up: nothing but weight acts."""
    rods = [
        cylinder(name, mass_kg=m, length_m=1.0, radius_m=0.1)
        for name, m in (("first", 20.0), ("second", 8.0))
    ]
    joint = Joint("first", "second", (-0.5, 0.0), (0.5, 0.0), driven=driven)
    made = Pond(rods, [joint], water_kg_m3=WATER, step_s=0.002)
    places = np.array([[0.0, 50.0, 0.0], [-1.0, 50.0, 0.0]])
    made.place(places, np.zeros((2, 3)))
    time = 0.002 * np.arange(500)
    angles = swing * (1 - np.cos(2 * np.pi * time / 0.5))[:, None] / 2
    return made, Drive(angles if driven else np.zeros((1, 0))), time


def bodies(made):
    return np.array([[*b.position, b.angle, *b.velocity, b.angular_velocity] for b in made.bodies])


@pytest.mark.parametrize("driven", [False, True])
def test_swinging_rods_fall_as_one_body(driven):
    # In the air no water is carried: the common centre falls by g t^2 / 2 whatever the joint does
    made, drive, _ = in_the_air(driven=driven, swing=0.6)
    made.run(501, drive=drive)  # the engine stands one step before time 0 at first
    centre = np.average(bodies(made)[:, 1], weights=made.mass)
    # 1 s; jointed rods start half a step late: g t dt / 2 = 1 cm
    assert 50.0 - centre == pytest.approx(0.5 * GRAVITY, abs=0.011)


def test_a_driven_joint_turns_both_rods_and_keeps_their_spin():
    # Angular momentum about the common centre is zero at the start and stays zero
    made, drive, _ = in_the_air(driven=True, swing=0.6)
    made.run(300, drive=drive)
    state, mass = bodies(made), made.mass
    place, speed = (
        state[:, i : i + 2] - np.average(state[:, i : i + 2], axis=0, weights=mass) for i in (0, 3)
    )
    moment = mass * (place[:, 0] * speed[:, 1] - place[:, 1] * speed[:, 0]) + made.inertia * state[:, 5]
    assert np.abs(moment).max() > 0.5  # each rod does turn
    assert moment.sum() == pytest.approx(0.0, abs=0.02)


def test_the_joint_follows_its_angle_and_holds_together():
    made, drive, _ = in_the_air(driven=True, swing=0.6)
    made.run(130, drive=drive)
    state = bodies(made)
    # after 130 steps the engine has been handed angle 130 and stands at time 129
    assert state[1, 2] - state[0, 2] == pytest.approx(drive.angles[129, 0], abs=1e-4)
    ends = [
        row[:2] + reach * np.array([math.cos(row[2]), math.sin(row[2])])
        for row, reach in zip(state, (-0.5, 0.5), strict=True)
    ]
    assert np.hypot(*(ends[0] - ends[1])) < 1e-4


def test_the_still_water_takes_energy_and_never_gives_it():
    made = pond(log(1.0, along=3.0), drag=(10.0, 2.0), place=(0.0, -3.0, 0.2), speed=(1.0, 0.4, 3.0))
    out = made.run(1500)
    across = -np.sin(out[:, 2]) * out[:, 3] + np.cos(out[:, 2]) * out[:, 4]
    along = np.cos(out[:, 2]) * out[:, 3] + np.sin(out[:, 2]) * out[:, 4]
    turning = made.inertia[0] + made.deep_turn[0]
    energy = 0.5 * ((DISPLACED * 2) * across**2 + (DISPLACED + 3.0) * along**2 + turning * out[:, 5] ** 2)
    # the water's own coupling of turn and drift (Munk) is left out, so energy may swing by a part of what turns over
    assert energy[-1] < 0.25 * energy[0]
    assert np.diff(energy[::100]).max() < 0.01 * energy[0]


# ---- bad input


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"mass_kg": -1.0}, "mass_kg: expected a positive"),
        ({"inertia_kg_m2": math.nan}, "inertia_kg_m2: expected a positive"),
        ({"mass_kg": 1e6}, "in centimetres or a mass in grams"),
        ({"area_m2": [0.0]}, "area_m2: expected positive"),
        ({"half_breadth_m": [0.1, 0.2]}, "one finite number per strip"),
        ({"drag_coefficient": -0.1}, "drag_coefficient: expected 0 or more"),
    ],
)
def test_a_rod_that_cannot_be_is_refused(change, said):
    good = {
        "name": "rod", "mass_kg": 10.0, "inertia_kg_m2": 1.0, "at_m": [0.0], "length_m": [1.0], "area_m2": [0.01],
        "half_height_m": [0.05], "half_breadth_m": [0.05],
    }  # fmt: skip
    with pytest.raises(InputError, match=said):
        Rod(**{**good, **change})


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"step_s": 0.0}, "step_s: expected a positive"),
        ({"water_kg_m3": 0.997}, "given in kg/L"),
        ({"drag": (math.inf, 2.0)}, "drag: expected k"),
        ({"drag": (25.0, 0.5)}, "n from 1 to 4"),
        ({"carried_kg": -2.0}, "carried_kg: expected 0 or more"),
        ({"joints": [Joint("log", "raft", (0, 0), (0, 0))]}, "got 'raft'"),
        ({"rods": []}, "rods: expected one or more"),
    ],
)
def test_a_pond_that_cannot_be_is_refused(change, said):
    given = {"rods": [log(0.5)], **change}
    with pytest.raises(InputError, match=said):
        Pond(**given)


def test_a_place_that_is_not_finite_is_refused():
    made = Pond([log(0.5)])
    with pytest.raises(InputError, match="finite positions"):
        made.place(np.array([[0.0, math.nan, 0.0]]), np.zeros((1, 3)))
    with pytest.raises(InputError, match="expected shape"):
        made.place(np.zeros((2, 3)), np.zeros((2, 3)))
