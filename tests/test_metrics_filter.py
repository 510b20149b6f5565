"""PUBLISHED (Winter's two-pass correction) and SECOND METHOD (scipy filters): smoothing and its cut-off."""

import numpy as np
import pytest
from scipy.signal import butter, freqz_sos
from tolerances import ALGEBRA, mean_of_noisy

from swimsim.ground.tables import read_csv
from swimsim.metrics import filtering

ROWS = {row["id"]: row for row in read_csv("check_values_filter")}


def near(row_id, value):
    row = ROWS[row_id]
    assert value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"])), row["what"]


def scipy_gain(design_hz, f, rate):
    """Gain of two passes of scipy's own filter."""
    return (
        np.abs(freqz_sos(butter(2, design_hz, fs=rate, output="sos"), worN=np.atleast_1d(f), fs=rate)[1]) ** 2
    )


def half_power_hz(design_hz, rate):
    f = np.linspace(1, 15, 140_001)
    return np.interp(-np.sqrt(0.5), -scipy_gain(design_hz, f, rate), f)


def test_correction_is_the_printed_one():
    near("C", filtering.TWO_PASS_CORRECTION)
    near("plain", 6 / filtering.TWO_PASS_CORRECTION)


@pytest.mark.parametrize("rate", [49.75, 60, 120])
def test_design_cutoff(rate):
    near(f"design-{rate:g}", filtering.design_cutoff(6, rate))
    near(f"gain-{rate:g}", scipy_gain(filtering.design_cutoff(6, rate), 6.0, rate)[0])


def test_the_traps_are_traps():
    near("trap", half_power_hz(6 / 0.802, 49.75))
    near("none", half_power_hz(6, 49.75))


@pytest.mark.parametrize("rate", [25, 60, 240])
def test_gain_in_closed_form_is_that_of_the_filter(rate):
    f = np.linspace(0.1, 0.45 * rate, 50)
    expected = scipy_gain(filtering.design_cutoff(5.0, rate), f, rate)
    # The bilinear filter of scipy rounds a little more near half the frame rate.
    assert np.abs(filtering.two_pass_gain(f, 5.0, rate) - expected).max() < 1e4 * ALGEBRA


def test_smoothing_a_sine_keeps_its_phase_and_scales_it_by_the_gain():
    t = np.arange(2400) / 120
    wave = np.sin(2 * np.pi * 3 * t)
    out = filtering.smooth(wave[:, None], cutoff_hz=6.0, rate_hz=120.0)[:, 0]
    gain = 1 / (1 + (np.tan(np.pi * 3 / 120) / np.tan(np.pi * filtering.design_cutoff(6, 120) / 120)) ** 4)
    middle = slice(600, 1800)
    assert np.abs(out - gain * wave)[middle].max() < 1e-6  # what is left of the ends after five seconds


@pytest.mark.parametrize("rate", [25.0, 60.0, 240.0])
def test_white_noise_is_measured(rate):
    noise = np.random.default_rng(3).normal(0, 0.005, (int(10 * rate), 12))
    found, _ = filtering.residual_analysis(noise, rate)
    # The tail is about half of n * 12 / 2 bins, each with a relative scatter of one, half of that for the SD.
    assert found == pytest.approx(0.005, abs=mean_of_noisy(0.005 / 2, int(10 * rate * 12 / 4 / 2)) * 2)


def worked_example(seed):
    """Five sines in 10 s at 100 Hz, and the same with white noise of 0.005."""
    t = np.arange(1000) / 100
    parts = ((1, 1, 0), (2, 0.4, 0.7), (3, 0.2, 1.9), (5, 0.06, 0.4), (8, 0.02, 2.2))
    clean = sum(a * np.sin(k * np.pi * t + p) for k, a, p in parts)
    return clean[:, None], (clean + np.random.default_rng(seed).normal(0, 0.005, len(t)))[:, None]


@pytest.mark.parametrize("seed", range(4))
def test_cutoff_is_near_the_best_that_the_truth_allows(seed):
    """SECOND METHOD: with the truth at hand, many cut-offs are tried. The best lies at 6.75-7.4 Hz."""
    clean, noisy = worked_example(seed)
    noise, cutoff = filtering.residual_analysis(noisy, 100.0)
    # 240 bins of one column: three times their scatter of six percent.
    assert noise == pytest.approx(0.005, rel=0.2)

    def rms(cut):
        return np.sqrt(np.mean((filtering.smooth(noisy, cutoff_hz=cut, rate_hz=100.0) - clean) ** 2))

    tried = np.linspace(3, 12, 73)
    best = min(tried, key=rms)
    assert cutoff == pytest.approx(best, abs=1.0)
    assert rms(cutoff) < 1.03 * rms(best)  # the minimum is flat


@pytest.mark.parametrize("rate", [25.0, 60.0, 120.0])
def test_quick_clean_motion_is_not_taken_for_noise(rate):
    """A path with kinks (a triangle wave, exact harmonics to infinity) is clean; it stays as it is."""
    t = np.arange(int(9.7 * rate)) / rate
    path = 0.25 * np.abs((t / 1.37) % 1 - 0.5)
    kinked = np.stack([path, np.roll(path, 7)], axis=1)[: len(t) - 8]
    chosen = filtering.choose([kinked], rate_hz=rate, wish="auto")
    smooth_path = 0.3 * np.sin(2 * np.pi * t / 1.37)
    assert filtering.choose([smooth_path[:, None]], rate_hz=rate, wish="auto").cutoff_hz is None
    assert chosen.noise_m < 0.002  # of 125 mm; the kinks fall between frames


def test_noise_left_is_what_the_filter_leaves():
    noise = np.random.default_rng(1).normal(0, 0.005, (40_000, 4))
    left = filtering.smooth(noise, cutoff_hz=6.0, rate_hz=60.0).std()
    said = filtering.noise_left(filtering.Smoothing(6.0, 0.005, ""), 60.0)
    assert said == pytest.approx(left, rel=0.02)  # 160,000 values, one in five independent


def test_wish_for_none_or_a_number_wins():
    noise = np.random.default_rng(1).normal(0, 0.005, (400, 4))
    assert filtering.choose([noise], rate_hz=60.0, wish=None).cutoff_hz is None
    assert filtering.choose([noise], rate_hz=60.0, wish=4.0).cutoff_hz == 4.0
    assert filtering.choose([noise], rate_hz=60.0, wish=31.0).cutoff_hz is None
    assert filtering.choose([noise[:20]], rate_hz=60.0, wish="auto").cutoff_hz == filtering.DEFAULT_CUTOFF_HZ
