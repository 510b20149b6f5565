"""SECOND METHOD: periodic curves against scipy's B-splines, least jerk against other curves."""

import numpy as np
import pytest
from scipy.interpolate import BSpline
from tolerances import ALGEBRA

from swimsim.motion.splines import PER_CYCLE, Curves, basis_rows, least_jerk_map

PERIODS = (1, 2, 3)
ROUNDING = 1e-9  # k-th derivatives are per cycle^k, so rounding grows by 40 for each order


def scipy_curve(coefficients, period):
    """The same curve as a scipy BSpline on uniform knots, wrapped by hand."""
    count = PER_CYCLE * period
    wrapped = np.concatenate([coefficients, coefficients[:5]])
    knots = (np.arange(count + 11) - 5) / PER_CYCLE
    return BSpline(knots, wrapped, 5)


def some(period, seed=3):
    """Random coefficients and places, knots among them."""
    rng = np.random.default_rng(seed)
    places = np.concatenate([rng.uniform(0, period, 200), np.arange(PER_CYCLE * period) / PER_CYCLE])
    return rng.normal(size=PER_CYCLE * period), places


@pytest.mark.parametrize("derivative", range(5))
@pytest.mark.parametrize("period", PERIODS)
def test_curves_and_rows_equal_scipy(period, derivative):
    coefficients, places = some(period)
    wanted = scipy_curve(coefficients, period)(places, nu=derivative)
    bound = ROUNDING * PER_CYCLE**derivative
    rows = basis_rows(places, period, derivative=derivative) @ coefficients
    curve = Curves(coefficients[None], period)(places, derivative=derivative)[0]
    assert np.abs(rows - wanted).max() < bound
    assert np.abs(curve - wanted).max() < bound


@pytest.mark.parametrize("period", PERIODS)
def test_splines_sum_to_one_and_are_nowhere_negative(period):
    _, places = some(period)
    rows = basis_rows(places, period)
    assert np.abs(rows.sum(axis=1) - 1).max() < ALGEBRA
    assert rows.min() > -ALGEBRA
    assert np.abs(basis_rows(places, period, derivative=1).sum(axis=1)).max() < ROUNDING


@pytest.mark.parametrize("period", PERIODS)
def test_curves_repeat_after_their_period_and_run_backwards_too(period):
    coefficients, places = some(period)
    curve = Curves(np.stack([coefficients, -coefficients]), period)
    for shift in (period, -2 * period):
        assert np.abs(curve(places + shift) - curve(places)).max() < ROUNDING
    assert curve(places.reshape(2, -1)).shape == (2, 2, len(places) // 2)


@pytest.mark.parametrize("derivative", range(5))
def test_four_derivatives_have_no_jump_at_the_seam_and_at_knots(derivative):
    coefficients, _ = some(1)
    curve = Curves(coefficients[None], 1)
    knots, step = np.arange(PER_CYCLE) / PER_CYCLE, 1e-9
    jump = curve(knots + step, derivative=derivative) - curve(knots - step, derivative=derivative)
    slope = np.abs(curve(knots + step, derivative=derivative + 1)).max()
    assert np.abs(jump).max() <= 4 * step * slope + ROUNDING * PER_CYCLE**derivative


# ---- Least jerk


def given(period):
    """Places and values of a dozen points, two slopes."""
    value_at = np.concatenate(
        [k + np.array([0.0, 0.11, 0.3, 0.36, 0.5, 0.67, 0.72, 0.86]) for k in range(period)]
    )
    slope_at = np.concatenate([k + np.array([0.3, 0.67]) for k in range(period)])
    rng = np.random.default_rng(8)
    return value_at, slope_at, rng.normal(size=len(value_at) + len(slope_at))


def jerk(coefficients, period):
    """Integral of the squared third derivative, by the midpoint rule on a fine grid."""
    places = (np.arange(4000 * period) + 0.5) / 4000
    return np.mean(Curves(coefficients[None], period)(places, derivative=3)[0] ** 2) * period


@pytest.mark.parametrize("period", PERIODS)
def test_the_curve_goes_through_its_points_with_its_slopes(period):
    value_at, slope_at, values = given(period)
    coefficients = least_jerk_map(value_at, period, slope_at=slope_at) @ values
    curve = scipy_curve(coefficients, period)
    assert np.abs(curve(value_at) - values[: len(value_at)]).max() < ROUNDING
    assert np.abs(curve(slope_at, nu=1) - values[len(value_at) :]).max() < ROUNDING * PER_CYCLE


@pytest.mark.parametrize("period", PERIODS)
def test_no_other_curve_through_the_points_has_less_jerk(period):
    value_at, slope_at, values = given(period)
    coefficients = least_jerk_map(value_at, period, slope_at=slope_at) @ values
    fixed = np.concatenate([basis_rows(value_at, period), basis_rows(slope_at, period, derivative=1)])
    free = np.linalg.svd(fixed)[2][len(values) :]  # directions that leave points and slopes alone
    least = jerk(coefficients, period)
    rng = np.random.default_rng(5)
    for size in (1e-3, 1e-1):
        way = rng.normal(size=len(free)) @ free
        assert jerk(coefficients + size * way, period) > least
        assert jerk(coefficients - size * way, period) > least


def test_a_curve_through_equal_values_is_level():
    value_at, _, _ = given(1)
    coefficients = least_jerk_map(value_at, 1) @ np.full(len(value_at), 0.7)
    assert coefficients == pytest.approx(np.full(PER_CYCLE, 0.7), abs=ROUNDING)


def test_a_sine_is_followed_between_its_points():
    """Twelve points of a sine: least jerk comes within a thousandth of the sine itself."""
    value_at = np.arange(12) / 12 + 0.01
    coefficients = least_jerk_map(value_at, 1) @ np.sin(2 * np.pi * value_at)
    places = np.linspace(0, 1, 1001)
    assert np.abs(Curves(coefficients[None], 1)(places)[0] - np.sin(2 * np.pi * places)).max() < 1e-3
