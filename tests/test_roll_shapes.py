"""SECOND METHOD: roll shapes against a fine scan and brentq; algebra facts of split peaks.

The table of dips and ratios was computed apart from the package and is held to its printed digits.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_swimmers import made
from scipy.optimize import brentq, minimize_scalar
from tolerances import ALGEBRA, printed

from swimsim.stroke.rhythm import (
    RollShape,
    bump,
    half_cycle_factor,
    one_sided_shape,
    smooth_step,
    third_ratio,
    two_sided_shape,
)

X = np.linspace(0, 2 * np.pi, 200_001)
SCAN = 1e-9  # a parabola's top between scan points: curvature times half a step squared, over two
PEAK = st.floats(math.radians(3), math.radians(60))
DIP = st.floats(0.01, 0.5)
few = settings(max_examples=30, derandomize=True, deadline=None)


def tops(values):
    """Indices of local maxima of a closed curve."""
    inner = values[:-1]
    return np.flatnonzero((inner > np.roll(inner, 1)) & (inner >= np.roll(inner, -1)))


def side_peaks(shape, side):
    """Heights of the humps with this side up, and the valley between the outer two (or NaN)."""
    values = shape(X) * (1 if side == "left" else -1)
    at = [i for i in tops(values) if values[i] > 0]
    return values[at], np.min(values[at[0] : at[-1] + 1]) if len(at) > 1 else np.nan


def dip_of(shape, side):
    peaks, valley = side_peaks(shape, side)
    return (peaks.min() - valley) / peaks.max()


# ---- Where peaks split (algebra; exact, checked to +- 0.005)


@pytest.mark.parametrize(
    ("wave", "limit"),
    [
        (lambda x: np.cos(2 * x), 1 / 4),
        (lambda x: np.sin(2 * x), 1 / 2),
        (lambda x: np.sin(3 * x), 1 / 9),
        (lambda x: -np.sin(3 * x), 1 / 3),
    ],
)
def test_number_of_extrema_by_ratio(wave, limit):
    for ratio, many in ((limit - 0.005, False), (limit + 0.005, True)):
        values = np.sin(X) + ratio * wave(X)
        assert (len(tops(values)) + len(tops(-values)) > 2) is many


@pytest.mark.parametrize("ratio", [1 / 9 - 0.005, 1 / 9 + 0.005])
def test_the_shape_with_a_third_harmonic_splits_at_a_ninth(ratio):
    shape = RollShape(0.0, 1.0, third=ratio)
    assert [len(side_peaks(shape, side)[0]) for side in ("left", "right")] == [1 + (ratio > 1 / 9)] * 2


@pytest.mark.parametrize("ratio", [0.245, 0.255])
def test_the_shape_with_a_second_harmonic_splits_at_a_quarter_on_one_side(ratio):
    shape = RollShape(0.0, 1.0, second=ratio)
    assert [len(side_peaks(shape, side)[0]) for side in ("left", "right")] == [1 + (ratio > 0.25), 1]


def test_the_shape_is_the_sum_of_its_harmonics():
    shape = RollShape(0.02, 0.5, second=0.07, third=-0.04)
    wanted = 0.02 + 0.5 * np.sin(X) + 0.07 * np.cos(2 * X) - 0.04 * np.sin(3 * X)
    assert np.abs(shape(X) - wanted).max() < ALGEBRA


# ---- Dip and ratio (computed apart)


@pytest.mark.parametrize(
    ("dip", "ratio"),
    [(0.05, "0.177"), (0.10, "0.213"), (0.15, "0.245"), (0.20, "0.276"), (0.25, "0.307"), (0.30, "0.338")],
)
def test_ratio_needed_for_a_dip(dip, ratio):
    assert third_ratio(1.0, dip) == pytest.approx(float(ratio), abs=printed(ratio))


@pytest.mark.parametrize(
    ("ratio", "percent"), [(0.15, "2"), (0.20, "8"), (0.25, "16"), (0.30, "24"), (0.40, "40")]
)
def test_dip_of_a_ratio(ratio, percent):
    assert 100 * dip_of(RollShape(0.0, 1.0, third=ratio), "left") == pytest.approx(
        float(percent), abs=printed("1")
    )


@few
@given(DIP)
def test_ratio_against_brentq_on_a_numeric_dip(dip):
    def numeric(ratio):
        top = minimize_scalar(
            lambda x: -(math.sin(x) + ratio * math.sin(3 * x)),
            bounds=(0, np.pi / 2 - 1e-9), method="bounded", options={"xatol": 1e-10},
        )  # fmt: skip
        return 1 - (1 - ratio) / -top.fun - dip

    assert third_ratio(1.0, dip) == pytest.approx(brentq(numeric, 0.1112, 0.9, xtol=1e-12), abs=1e-7)  # xatol


@pytest.mark.parametrize("split", [0.0, 0.4, 1.0])
def test_without_a_dip_the_ratio_is_a_share_of_the_limit(split):
    assert third_ratio(split, 0.0) == pytest.approx(split / 9, abs=ALGEBRA)


# ---- Peaks and dips are what is asked for


@few
@given(PEAK, PEAK, st.floats(0, 1))
def test_two_sided_peaks_are_held_up_to_the_limit(left, right, split):
    shape = two_sided_shape(left, right, split=split, dip=0.0)
    for side, wanted in (("left", left), ("right", right)):
        peaks, _ = side_peaks(shape, side)
        assert len(peaks) == 1 and peaks[0] == pytest.approx(wanted, abs=SCAN)


@few
@given(PEAK, DIP)
def test_two_sided_dips_are_held_on_both_sides(peak, dip):
    shape = two_sided_shape(peak, peak, split=1.0, dip=dip)
    for side in ("left", "right"):
        peaks, _ = side_peaks(shape, side)
        assert peaks == pytest.approx([peak, peak], abs=SCAN)
        assert dip_of(shape, side) == pytest.approx(dip, abs=1e-7)


@few
@given(PEAK, PEAK, DIP, st.sampled_from(["left", "right"]))
def test_a_one_sided_dip_is_held_and_the_other_side_has_one_peak(left, right, dip, side):
    shape = one_sided_shape(left, right, side=side, split=1.0, dip=dip)
    wanted, other = {"left": left, "right": right}, "right" if side == "left" else "left"
    peaks, _ = side_peaks(shape, side)
    assert peaks == pytest.approx([wanted[side]] * 2, abs=SCAN)
    assert dip_of(shape, side) == pytest.approx(dip, abs=1e-7)
    single, _ = side_peaks(shape, other)
    assert single == pytest.approx([wanted[other]], abs=SCAN)


@few
@given(PEAK, PEAK, st.floats(0, 1), st.sampled_from(["left", "right"]))
def test_one_sided_peaks_are_held_up_to_the_limit(left, right, split, side):
    shape = one_sided_shape(left, right, side=side, split=split, dip=0.0)
    for each, wanted in (("left", left), ("right", right)):
        peaks, _ = side_peaks(shape, each)
        assert peaks == pytest.approx([wanted], abs=SCAN)


# ---- Steps and bumps: smooth to the third derivative


@pytest.mark.parametrize("function", [smooth_step, bump])
@pytest.mark.parametrize("end", [-1.0, 0.0, 1.0])
def test_three_derivatives_have_no_jump(function, end):
    """Third differences on both sides of an end agree, better as the step shrinks."""

    def third(step, way):
        x = end + way * step * np.array([0.5, 1.5, 2.5, 3.5])
        return way * np.dot([-1, 3, -3, 1], function(x)) / step**3

    gaps = [abs(third(step, 1.0) - third(step, -1.0)) for step in (4e-3, 1e-3)]
    assert gaps[1] <= 0.3 * gaps[0] + 1e-5


def test_a_step_goes_from_nought_to_one_without_turning():
    u = np.linspace(-0.5, 1.5, 2001)
    values = smooth_step(u)
    assert (values[u <= 0] == 0).all() and np.abs(values[u >= 1] - 1).max() < ALGEBRA
    assert (np.diff(values) >= -ALGEBRA).all()
    assert smooth_step(np.array([0.5]))[0] == pytest.approx(0.5, abs=ALGEBRA)
    assert bump(np.array([0.0, 1.0, -1.0, 3.0])) == pytest.approx([1, 0, 0, 0], abs=ALGEBRA)


@pytest.mark.parametrize("period", [1, 2, 3])
def test_a_factor_holds_round_its_own_peak_and_repeats(period):
    """Half-cycles: left peak at a quarter, right at three quarters; hand-counted places."""
    factors = np.arange(1.0, 2 * period + 1)
    places = np.concatenate([[k + 0.25, k + 0.75] for k in range(period)])
    for near in (-0.15, 0.0, 0.15):
        assert half_cycle_factor(places + near, factors) == pytest.approx(factors, abs=ALGEBRA)
    x = np.linspace(0, period, 301)
    assert half_cycle_factor(x + period, factors) == pytest.approx(half_cycle_factor(x, factors), abs=1e-9)
    assert (half_cycle_factor(x, np.full(2 * period, 1.5)) == 1.5).all()
    assert half_cycle_factor(np.array([0.5]), factors)[0] == pytest.approx(1.5, abs=ALGEBRA)


# ---- In the swimmer


@pytest.mark.parametrize("dip", [0.0, 0.05, 0.30])
def test_the_swimmers_hips_show_the_dip_that_is_set(dip):
    """Scan of the hip joints of a trace at 20,000 frames a cycle, by the words of the definition."""
    one = made("masters_man", targets=(("hip_roll_dip", dip), ("hip_split", 1.0 if dip else 0.0)))
    joints = one.motion.trace(20_000 / one.motion.cycle_s, one.motion.cycle_s)
    across = joints.joint("left_hip") - joints.joint("right_hip")
    roll = np.degrees(np.arctan2(across[:, 2], across[:, 1]))
    for side, sign in (("left", 1), ("right", -1)):
        at = [i for i in tops(sign * roll) if sign * roll[i] > 0]
        assert len(at) == (2 if dip else 1) == one.truth.value("hip_roll_peaks", side)
        assert (sign * roll[at]).max() == pytest.approx(one.truth.value("hip_roll_peak", side), abs=1e-5)
        assert one.truth.value("hip_roll_dip", side) == pytest.approx(100 * dip, abs=1e-4)
