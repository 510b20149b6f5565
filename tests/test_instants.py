"""SECOND METHOD: crossings against scipy's brentq, greatest values against scan and bounded search."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_swimmers import made
from scipy.optimize import brentq, minimize_scalar
from tolerances import CLOCK

from swimsim.ground.conventions import JOINT_INDEX, SIDES
from swimsim.motion.arm_truth import arm_events
from swimsim.motion.instants import first_crossing, greatest
from swimsim.stroke.presets import PRESETS

few = settings(max_examples=40, derandomize=True, deadline=None)
ROOT = 1e-11  # brentq is asked for 1e-14; both stop at rounding of functions of order one


def wave(a, b, c):
    return lambda x: np.sin(2 * np.pi * x + a) + b * np.cos(6 * np.pi * x) + c


@few
@given(st.floats(0, 6), st.floats(-0.3, 0.3), st.floats(-0.5, 0.5), st.booleans())
def test_first_crossing_equals_brentq(a, b, c, rising):
    f, sign = wave(a, b, c), 1 if rising else -1
    low, high = np.array([0.0, 0.3]), np.array([1.0, 1.7])
    found = first_crossing(f, low, high, rising=rising, samples=201)
    for start, stop, place in zip(low, high, found, strict=True):
        grid = np.linspace(start, stop, 20_001)
        values = sign * f(grid)
        ups = np.flatnonzero((values[:-1] < 0) & (values[1:] >= 0))
        if len(ups) == 0:
            assert np.isnan(place)
            continue
        root = brentq(f, grid[ups[0]], grid[ups[0] + 1], xtol=1e-14)
        close = np.abs(np.diff(values)).min() < 1e-12
        assert place == pytest.approx(root, abs=ROOT) or close


def test_the_first_of_several_crossings_is_taken_and_none_is_nan():
    f = lambda x: np.sin(2 * np.pi * x)  # noqa: E731 - a one-line function of the test
    places = first_crossing(f, np.array([0.2, 0.6, 0.1]), np.array([3.2, 3.6, 0.3]))
    assert places[:2] == pytest.approx([1.0, 1.0], abs=ROOT) and np.isnan(places[2])
    down = first_crossing(f, np.array([0.2, 0.6]), np.array([3.2, 3.6]), rising=False)
    assert down == pytest.approx([0.5, 1.5], abs=ROOT)


@pytest.mark.parametrize("power", [1, 3, 5, 9])
def test_flat_crossings_are_found_as_near_as_their_flatness_allows(power):
    """x^9 is below rounding within a hundredth of its root; the value there is what counts."""
    place = first_crossing(lambda x: (x - 0.37) ** power, np.array([0.0]), np.array([1.0]))[0]
    assert abs((place - 0.37) ** power) < 1e-13


def test_a_crossing_at_the_end_counts():
    place = first_crossing(lambda x: x - 1.0, np.array([0.0]), np.array([1.0]))
    assert place == pytest.approx([1.0], abs=ROOT)


def test_steep_and_kinked_functions_are_solved():
    """An exponential, and a minimum of two lines as of the lowest point of the hand."""
    steep = first_crossing(lambda x: np.expm1(40 * (x - 0.613)), np.array([0.0]), np.array([1.0]))
    assert steep == pytest.approx([0.613], abs=ROOT)
    kinked = first_crossing(lambda x: np.minimum(x - 0.4, 5 * (x - 0.42)), np.array([0.0]), np.array([1.0]))
    assert kinked == pytest.approx([0.42], abs=ROOT)


@few
@given(st.floats(0, 6), st.floats(-0.3, 0.3))
def test_greatest_equals_scan_and_bounded_search(a, b):
    f = wave(a, b, 0.0)
    low, high = np.array([0.1, 0.55]), np.array([0.9, 1.6])
    place, value = greatest(f, low, high)
    for start, stop, at, top in zip(low, high, place, value, strict=True):
        grid = np.linspace(start, stop, 4001)
        step, best = grid[1] - grid[0], grid[np.argmax(f(grid))]
        span = max(start, best - step), min(stop, best + step)
        search = minimize_scalar(lambda x: -f(x), bounds=span, method="bounded", options={"xatol": 1e-12})
        assert top == pytest.approx(max(-search.fun, f(start), f(stop)), abs=1e-9)
        assert start <= at <= stop


def test_greatest_at_an_end_and_of_a_level_function():
    place, value = greatest(lambda x: x, np.array([0.0, 1.0]), np.array([1.0, 3.0]))
    assert place == pytest.approx([1.0, 3.0], abs=ROOT) and value == pytest.approx([1.0, 3.0], abs=ROOT)
    place, value = greatest(lambda x: -x, np.array([0.5]), np.array([1.0]))
    assert (place[0], value[0]) == (pytest.approx(0.5, abs=ROOT), pytest.approx(-0.5, abs=ROOT))
    near = [0.7003, 0.9993]  # inside the last step of the scan before an end
    place, value = greatest(
        lambda x: np.cos(x - np.array(near)[:, None]), np.array([0.7, 0.3]), np.array([1.3, 1.0])
    )
    assert place == pytest.approx(near, abs=1e-6) and value == pytest.approx([1.0, 1.0], abs=1e-12)
    _, value = greatest(lambda x: np.full_like(x, 2.0), np.array([0.0]), np.array([1.0]))
    assert value[0] == 2.0


# ---- Events of the swimmer, found again by brentq on joints


def joint(one, name, axis):
    """One coordinate of a joint as a function of time [s]."""
    return lambda t: one.motion.joints(np.atleast_1d(t))[:, JOINT_INDEX[name], axis]


@pytest.mark.parametrize("preset", PRESETS)
@pytest.mark.parametrize("side", SIDES)
def test_events_equal_brentq_on_the_joints_of_the_trace(preset, side):
    """By the words of the definitions; the speed of the knuckles by a five-point difference."""
    one = made(preset, breathing=("left", 2))
    at = {e.event: e.time_s for e in one.truth.events if (e.side, e.cycle) == (side, 0)}
    cycle, h = one.motion.cycle_s, 2e-4
    x = joint(one, f"{side}_knuckles", 0)

    def speed(t):
        return float((8 * (x(t + h) - x(t - h)) - (x(t + 2 * h) - x(t - 2 * h)))[0] / (12 * h))

    def ahead(t):
        return float((x(t) - joint(one, f"{side}_shoulder", 0)(t))[0])

    def tip(t):
        return float(joint(one, f"{side}_fingertip", 2)(t)[0])

    def lowest(t):
        return min(
            float(joint(one, f"{side}_{name}", 2)(t)[0]) for name in ("fingertip", "knuckles", "wrist")
        )

    near = 0.02 * cycle
    for event, f in (
        ("entry", tip), ("start_backward", speed), ("shoulder_plane", ahead), ("end_backward", speed),
        ("exit", lowest),
    ):  # fmt: skip
        root = brentq(f, at[event] - near, at[event] + near, xtol=1e-13)
        bound = CLOCK if event in ("entry", "shoulder_plane", "exit") else 1e-7  # difference of the speed
        assert root == pytest.approx(at[event], abs=bound * cycle), event


def test_events_come_in_order_and_repeat_each_cycle():
    one = made("sprint_woman", breathing=("left", 3))
    for side in SIDES:
        arm = one.motion.arms[side]
        places = arm_events(arm, np.arange(-3, 9))
        order = [places[e] for e in ("entry", "start_backward", "shoulder_plane", "end_backward", "exit")]
        assert (np.diff(order, axis=0) > 0).all()
        for name, place in places.items():
            later = place[3:] - place[:-3]  # the period is three cycles
            assert later == pytest.approx(np.full(len(later), 3.0), abs=CLOCK), name
