"""SECOND METHOD: splines, filter and fit of the blind reader against those of scipy, on uneven times."""

import numpy as np
import pytest
from scipy.interpolate import Akima1DInterpolator, CubicSpline
from scipy.optimize import nnls
from scipy.signal import butter, sosfiltfilt
from tolerances import ALGEBRA

from swimsim.ground.cubic import Cubic, Grid
from swimsim.metrics import filtering, gaps
from swimsim.metrics.curves import Curve

ROUNDING = 1e-9  # a band matrix solved two ways, on values of order one and slopes of order a hundred


def uneven(n, seed=0):
    return np.cumsum(np.random.default_rng(seed).uniform(0.01, 0.03, n))


@pytest.mark.parametrize("n", [4, 5, 9, 300])
@pytest.mark.parametrize("columns", [None, 3])
def test_the_spline_is_that_of_scipy(n, columns):
    time, rng = uneven(n), np.random.default_rng(n)
    values = rng.normal(size=n if columns is None else (n, columns))
    ours, theirs = Cubic(Grid(time), values), CubicSpline(time, values)
    at = rng.uniform(time[0] - 0.01, time[-1] + 0.01, 200)
    assert np.abs(ours(at) - theirs(at)).max() < ROUNDING
    assert np.abs(ours.slope(at) - theirs(at, 1)).max() < 100 * ROUNDING
    assert np.abs(ours.slopes - theirs(time, 1)).max() < 100 * ROUNDING
    assert ours(time[n // 2]) == pytest.approx(values[n // 2], abs=ALGEBRA)
    if columns is None:
        for start, stop in ((time[0], time[-1]), (time[1] + 0.003, time[-2] + 0.001)):
            assert ours.integral(start, stop) == pytest.approx(
                float(theirs.integrate(start, stop)), abs=ROUNDING
            )


def test_splines_share_their_grid():
    time = uneven(50)
    grid = Grid(time)
    for seed in range(3):
        values = np.random.default_rng(seed).normal(size=50)
        assert (
            np.abs(Cubic(grid, values)(time + 0.004) - CubicSpline(time, values)(time + 0.004)).max()
            < ROUNDING
        )
    assert grid.nearest(time + 0.001).tolist() == list(range(50))
    assert grid.nearest(np.array([-1.0, 99.0])).tolist() == [0, 49]


def test_crossings_turns_and_extremes_are_those_of_a_fine_search():
    time = np.arange(120) / 60
    rng = np.random.default_rng(3)
    values = sum(rng.normal() * np.sin(k * 3 * time + rng.uniform(0, 6)) for k in range(1, 7))
    curve, fine = Curve(time, values, np.ones(120, bool)), np.linspace(time[0], time[-1], 400_001)
    dense = CubicSpline(time, values)(fine)
    for rising in (True, False):
        sign = 1 if rising else -1
        place = np.flatnonzero((sign * dense[:-1] <= 0) & (sign * dense[1:] > 0))
        found = curve.crossings(rising=rising)
        assert len(found) == len(place)
        assert np.abs(found - fine[place]).max() < 6e-6  # a step of the fine search
    starts, stops = np.array([0.1, 0.7, 1.0]), np.array([0.6, 0.95, 1.9])
    for highest in (True, False):
        times, heights = curve.extreme(starts, stops, highest=highest)
        for i in range(3):
            inside = dense[(fine >= starts[i]) & (fine <= stops[i])]
            assert heights[i] == pytest.approx(
                inside.max() if highest else inside.min(), abs=1e-4
            )  # a fine step at the end
            assert heights[i] == pytest.approx(float(curve.at(times[i])), abs=ALGEBRA)


def test_an_extreme_at_the_end_of_its_window_and_across_a_gap():
    time = np.arange(21.0)
    known = np.ones(21, bool)
    known[10] = False
    curve = Curve(time, time**2, known)
    times, heights = curve.extreme(np.array([2.0, 8.0]), np.array([5.0, 12.0]), highest=True)
    assert (times[0], heights[0]) == (5.0, pytest.approx(25.0, abs=ALGEBRA))
    assert np.isnan(times[1]) and np.isnan(heights[1])


@pytest.mark.parametrize(("cutoff", "rate"), [(6.0, 60.0), (2.0, 25.0), (12.0, 30.0), (20.0, 240.0)])
def test_one_pass_is_the_butterworth_of_scipy(cutoff, rate):
    values = np.random.default_rng(1).normal(size=(200, 2)).cumsum(axis=0)
    sos = butter(2, filtering.design_cutoff(cutoff, rate), fs=rate, output="sos")
    pad = max(9, int(1.5 * rate / cutoff))
    theirs = sosfiltfilt(sos, values, axis=0, padlen=min(199, pad))
    assert np.abs(filtering.smooth(values, cutoff_hz=cutoff, rate_hz=rate) - theirs).max() < ROUNDING


def test_the_fit_without_negative_parts_is_that_of_scipy():
    rng = np.random.default_rng(2)
    falling = rng.uniform(0.1, 3, 8)
    level, weight = rng.normal(size=(8, 500)) + rng.uniform(-1, 2, 500), rng.uniform(0.1, 3, (8, 500))
    ours = np.stack(filtering._not_negative(falling, level, weight))
    root = np.sqrt(weight)
    parts = np.stack([np.ones(8), falling], axis=1)
    theirs = np.array([nnls(parts * root[:, [i]], (level * root)[:, i])[0] for i in range(500)]).T
    assert np.abs(ours - theirs).max() < ROUNDING
    assert len({tuple(column) for column in (theirs > 0).T}) == 4  # both, either, none


def test_a_set_axis_without_noise_does_not_choose_the_filter():
    rng, time = np.random.default_rng(4), np.arange(600) / 60
    noisy = np.sin(2 * np.pi * time)[:, None] + rng.normal(0, 0.004, (600, 4))
    quick = 0.1 * np.sin(22 * np.pi * time)[:, None]  # clean
    alone = filtering.choose([noisy], rate_hz=60.0, wish="auto")
    assert filtering.choose([noisy, quick], rate_hz=60.0, wish="auto") == alone
    assert alone.noise_m == pytest.approx(0.004, rel=0.1)
    assert 3 < alone.cutoff_hz < 12


@pytest.mark.parametrize("n", [4, 5, 7, 60])
def test_the_curve_across_gaps_is_that_of_scipy(n):
    at = uneven(n, seed=n)
    rng = np.random.default_rng(n)
    values = rng.normal(size=(n, 3))
    values[: n // 2, 1] = 2.0  # level, then not
    times = rng.uniform(at[0], at[-1], 300)
    ours, theirs = gaps.akima(at, values, times), Akima1DInterpolator(at, values)(times)
    assert np.abs(ours - theirs).max() < ROUNDING
    assert np.abs(gaps.akima(at, values, at) - values).max() < ALGEBRA


@pytest.mark.parametrize("even", [True, False])
def test_filled_gaps_are_curved_where_short_and_straight_where_long(even):
    time = np.arange(60) / 60
    values = np.stack([np.sin(5 * time), time**2, 3 - time], axis=1)
    lost = [10, 11, 12, *range(30, 45)]
    holey = values.copy()
    holey[lost] = np.nan
    grid = time if even else time[:-1] + 0.004
    filled, known = gaps.fill(time, holey, grid)
    at, have = np.delete(time, lost), np.delete(values, lost, axis=0)
    curve = Akima1DInterpolator(at, have)(np.clip(grid, at[0], at[-1]))
    straight = np.stack([np.interp(grid, at, column) for column in have.T], axis=1)
    far = (grid > time[29] + 1e-12) & (grid < time[45] - 1e-12)
    assert np.array_equal(known, ~far)
    assert np.abs(filled - np.where(known[:, None], curve, straight)).max() < ROUNDING
    longer, all_known = gaps.fill(time, holey, grid, longest_s=0.3)
    assert all_known.all()
    assert np.abs(longer - curve).max() < ROUNDING
