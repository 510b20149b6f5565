"""HAND-COUNTED: a clock that waits, hands of known speed; SECOND METHOD: the still hand by a fine scan of joints."""

import functools

import numpy as np
import pytest
from made_swimmers import BREATHING, STATURES_M, made, made_from
from tolerances import ALGEBRA, SOLVED

from swimsim.faults.catalogue import FaultSetting
from swimsim.ground.conventions import JOINT_INDEX, SIDES
from swimsim.ground.tables import read_toml
from swimsim.metrics.curves import Curve
from swimsim.metrics.measures_still import STEP_S, _spans
from swimsim.motion.plan_values import entry_swing
from swimsim.motion.waiting import Clock
from swimsim.stroke.variability import scatter

SCAN = 20000  # instants of a cycle of the slow second method
LOOK_S = 0.2  # between two pictures
KINK_S = 2 * STEP_S  # a speed with a corner, read on cubic curves and straight between the steps of a scan


def span(before, entry, start, limit):
    """First and last still instant of one stroke."""
    return tuple(_spans(before, *(np.array([value]) for value in (entry, start, limit)))[0].tolist())


@functools.cache
def gliding(preset, severity, side="both", breathing=("none", 0)):
    return made(
        preset, breathing=breathing, faults=(FaultSetting("long_glide", severity=severity, side=side),)
    )


def hand_against_body(one, side, time):
    joints = one.motion.joints(time)
    return (joints[:, JOINT_INDEX[f"{side}_knuckles"]] - joints[:, JOINT_INDEX["thorax"]])[:, [0, 2]]


def still_by_scan(one, side):
    """From the first to the last still instant between entry and start of backward movement, % of the cycle."""
    at = {e.event: e.time_s for e in one.truth.events if (e.side, e.cycle) == (side, 0)}
    time = np.linspace(at["entry"], at["start_backward"], SCAN)
    speed = np.hypot(*np.gradient(hand_against_body(one, side, time), time, axis=0).T)
    still = time[speed < one.pattern.speed_m_s / 6]
    return 100 * (np.ptp(still) / one.motion.cycle_s if len(still) else 0.0)


# ---- The clock


def clock(*waits, starts=None):
    count = len(waits)
    starts = np.arange(count, dtype=float) if starts is None else np.array(starts)
    lengths = np.diff(np.append(starts, starts[0] + count))
    return Clock(starts, lengths, lengths * waits, np.full(count, 0.3))


def test_without_a_wait_and_nothing_borrowed_it_is_the_plain_clock():
    own = np.linspace(-2, 3, 501)
    assert clock(0.0)(own, np.zeros(1)) == pytest.approx(own, abs=ALGEBRA)


def test_a_wait_of_a_fifth_is_lost_once_and_the_rest_runs_a_quarter_faster():
    """Rate 1 / (1 - 0.2) = 1.25. Before it 1.25 u; after it 1.25 (u - 0.2); half of it is lost in its middle.

    The middle lies at 0.51 x 0.3 + 0.2 / 2 = 0.253; the window is 0.36 x 0.3 + 0.2 wide with edges of 0.14 x 0.3.
    """
    one, nothing = clock(0.2), np.zeros(1)
    assert one.rate == pytest.approx(1.25, abs=ALGEBRA)
    places = one(np.array([0.0, 0.05, 0.253, 0.46, 0.9, 1.0, 2.253]), nothing)
    expected = [0.0, 0.0625, 1.25 * 0.153, 1.25 * 0.26, 1.25 * 0.7, 1.0, 2 + 1.25 * 0.153]
    assert places == pytest.approx(expected, abs=1e-10)  # sums of tenth powers of numbers of order one
    slope = np.diff(one(np.array([0.2525, 0.2535]), nothing))[0] / 0.001
    assert slope == pytest.approx(1.25 * (1 - 0.2 / 0.308), abs=1e-9)


def test_what_is_borrowed_is_given_back_inside_the_wider_window():
    """0.72 x 0.3 wide with edges of 0.2 x 0.3, so from 0.153 - 0.138 to 0.153 + 0.138, and nothing at its middle."""
    one, own = clock(0.0), np.linspace(0, 1, 1001)
    moved = one(own, np.array([0.05])) - own
    assert np.abs(moved[(own < 0.0149) | (own > 0.2911)]).max() < ALGEBRA
    assert abs(moved[153]) < 1e-10 and moved[100] > 0.005 and moved[200] < -0.005


@pytest.mark.parametrize("waits", [(0.1, 0.0), (0.2, 0.15, 0.2)])
def test_cycles_of_different_waits_close_after_the_period(waits):
    starts = [0.01, 1.0, 1.98][: len(waits)]
    one, borrowed = clock(*waits, starts=starts), np.full(len(waits), 0.02)
    own = np.linspace(0, len(waits), 4001)
    places = one(own, borrowed)
    assert one(own + len(waits), borrowed) == pytest.approx(places + len(waits), abs=1e-10)
    steps = np.diff(places)
    assert (steps > 0).all() and np.abs(np.diff(steps)).max() < 1e-4


# ---- The entry after a stroke that was hurried


def test_an_entry_keeps_more_of_a_swing_that_was_hurried():
    """Recoveries of 0.2 and 0.4 cycle, the hand 10 cm inwards in the last 0.05 and 0.1 of them; 6 cm on in 0.2.

    Onward 0.3 m/cycle. Swings -2 and -1 m/cycle; the entry after the short recovery begins the stroke with the long
    one: ratio 2. The other entry: ratio 1/2.
    """
    line = read_toml("arm_shape")["line"]
    times = {
        "entry": np.array([0.0, 1.0]),
        "extension": np.array([0.2, 1.2]),
        "exit": np.array([0.8, 1.6]),
        "late_recovery": np.array([0.95, 1.9]),
    }
    outward = {"entry": np.array([0.2, 0.2]), "extension": np.array([0.26, 0.26])}
    found = entry_swing(outward, np.array([0.3, 0.3]), times)
    more = 2 ** line["swing_hurry"]
    kept = line["swing_kept"]
    assert found == pytest.approx([0.3 - kept * 1.0 / more, 0.3 - kept * 2.0 * more], abs=ALGEBRA)


@pytest.mark.parametrize("preset", ["pace400_woman", "masters_man"])
@pytest.mark.parametrize("severity", [0.35, 0.7, 1.0])
def test_a_glide_on_the_breath_leaves_the_line_of_the_other_strokes(preset, severity):
    """The decided bound of 5 mm, at every size."""
    setting = FaultSetting("long_glide", severity=severity, side="left", strokes="breathing")
    before, after = (
        [m.value for m in made(preset, breathing=("left", 4), faults=given).truth.measures
         if (m.measure, m.side, m.cycle) == ("extension_line", "left", 1)]
        for given in ((), (setting,))
    )  # fmt: skip
    assert len(before) == 1 and after == pytest.approx(before, abs=0.5)


# ---- The swimmer


@pytest.mark.parametrize("severity", [0.0, 0.35, 0.7, 1.0])
@pytest.mark.parametrize("preset", ["pace400_man", "pace400_woman", "masters_man"])
def test_the_still_hand_is_what_a_fine_scan_of_the_joints_finds(preset, severity):
    one, step = gliding(preset, severity), 100 / SCAN
    own = {"pace400_man": 5.0, "pace400_woman": 5.0, "masters_man": 8.0}[preset]
    for side in SIDES:
        value = one.truth.value("lead_hand_still", side)
        assert value == pytest.approx(own + severity * (28 - own), abs=100 * SOLVED)
        assert still_by_scan(one, side) == pytest.approx(value, abs=2 * step)


@pytest.mark.parametrize("preset", ["sprint_man", "sprint_woman"])
def test_the_hand_of_a_sprinter_is_never_still(preset):
    one = made(preset)
    for side in SIDES:
        assert one.truth.value("lead_hand_still", side) == 0 == still_by_scan(one, side)


def test_two_pictures_a_fifth_of_a_second_apart_show_it():
    """The rule of the poolside: the lead hand has not moved; of a stroke without the fault it has (common practice)."""

    def moved_m(one):
        at = {e.event: e.time_s for e in one.truth.events if (e.side, e.cycle) == ("right", 0)}
        time = np.linspace(at["entry"], at["start_backward"] - LOOK_S, 400)
        apart = hand_against_body(one, "right", time + LOOK_S) - hand_against_body(one, "right", time)
        return np.linalg.norm(apart, axis=1).min()

    assert moved_m(gliding("pace400_man", 1.0)) < 0.05 < moved_m(made("pace400_man"))


def test_the_wait_opens_a_gap_and_hurries_the_rest_at_the_same_rate():
    """Catch-up lowers the index of coordination; what is left for pull, push and recovery is still human."""
    clean, fault = made("pace400_man").truth, gliding("pace400_man", 1.0).truth
    assert fault.value("stroke_rate") == clean.value("stroke_rate")
    assert fault.value("coordination_index") < clean.value("coordination_index") - 4
    share = {p: fault.value(f"phase_{p}", "left") for p in ("entry_catch", "pull", "push", "recovery")}
    own = {p: clean.value(f"phase_{p}", "left") for p in share}
    assert share["entry_catch"] > own["entry_catch"] + 10
    assert all(0.55 * own[p] < share[p] < own[p] for p in ("pull", "push", "recovery"))


@pytest.mark.parametrize("stature_m", STATURES_M)
def test_bodies_of_every_size_lie_as_still_as_they_are_asked(stature_m):
    for preset in ("pace400_woman", "masters_man"):
        one = made(preset, stature_m=stature_m)
        own = 100 * one.pattern.left.lead_hand_still_share
        assert one.truth.value("lead_hand_still", "left") == pytest.approx(own, abs=100 * SOLVED)


@pytest.mark.parametrize("breathing", BREATHING)
def test_it_is_swum_with_every_way_to_breathe_and_on_one_side(breathing):
    one = gliding("masters_woman", 0.7, "left", breathing)
    assert one.truth.value("lead_hand_still", "left") == pytest.approx(22.0, abs=100 * SOLVED)
    assert one.truth.value("lead_hand_still", "right") == pytest.approx(8.0, abs=100 * SOLVED)


def test_scattered_strokes_each_lie_as_still_as_their_own_target():
    clean = gliding("pace400_woman", 0.5)
    one = made_from(scatter(clean.pattern, seed=5, cycles=6), clean.body)
    rows = [m for m in one.truth.measures if m.measure == "lead_hand_still" and m.cycle is not None]
    assert len(rows) == 12
    for m in rows:
        wanted = 100 * one.pattern.arm(m.side, m.cycle).lead_hand_still_share
        assert m.value == pytest.approx(wanted, abs=100 * SOLVED)


# ---- The blind reader


def hand_with_speed_from_rest(slowest_s, growth):
    """A hand whose speed is `growth` times the time from `slowest_s`: half of it forward, half of it down."""
    time = np.arange(0, 1, 1 / 240)
    off = time - slowest_s
    way = np.copysign(growth * off**2 / 2, off)
    values = np.stack([0.6 * way, -0.8 * way], axis=1)
    return Curve(time, values, np.ones(len(time), bool))


@pytest.mark.parametrize("growth", [1.0, 2.0, 5.0])
def test_a_hand_that_slows_and_starts_again_is_still_for_twice_limit_over_growth(growth):
    low, high = span(hand_with_speed_from_rest(0.4, growth), 0.0, 0.9, 0.25)
    assert low == pytest.approx(max(0.4 - 0.25 / growth, 0.0), abs=KINK_S)
    assert high == pytest.approx(0.4 + 0.25 / growth, abs=KINK_S)


def test_a_hand_that_is_never_slow_is_never_still():
    assert span(hand_with_speed_from_rest(-0.5, 2.0), 0.1, 0.9, 0.25) == (0.1, 0.1)


def test_the_start_of_backward_movement_ends_it():
    low, high = span(hand_with_speed_from_rest(0.4, 1.0), 0.3, 0.5, 0.25)
    assert (low, high) == pytest.approx((0.3, 0.5), abs=ALGEBRA)
    assert np.isnan(span(hand_with_speed_from_rest(0.4, 1.0), np.nan, 0.5, 0.25)).all()
