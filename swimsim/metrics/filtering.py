"""Zero-lag smoothing of joint positions, and the choice of its cut-off.

A second-order Butterworth filter run forwards and backwards has no lag and acts as a fourth-order one. Each
pass lowers the half-power point, so the design cut-off is corrected for two passes, with the frequency warp
of the bilinear transform (Winter, Biomechanics and Motor Control of Human Movement; the correction C is
printed there).

The cut-off is set by the caller or found from the residual, what a filter takes away, as in residual analysis
(Winter). The book lays a line through the tail of the residual by eye, calls its intercept the noise, and
takes the cut-off where the residual is that large; the filter may then lose as much motion as there is
noise. Three things differ here, each to lose less:

- the residual is summed in the frequency domain (Parseval, ends tapered);
- the size of the noise is the flat part of the spectrum's tail, see `white_level`, so that the quick part of
  a clean motion is not taken for noise;
- the cut-off is the one with the least expected error, motion lost plus noise let through (the unbiased
  estimate of it by Mallows 1973, Technometrics 15:661-675, and Stein 1981, Annals of Statistics
  9:1135-1151). It comes out higher than the book's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

TWO_PASS_CORRECTION = (2**0.5 - 1) ** 0.25  # Winter; 0.802 in print
DEFAULT_CUTOFF_HZ = 6.0  # common in swimming studies; used where residual analysis has too little to go on
NOISE_FLOOR_M = 0.0002  # below this the trace counts as free of noise and is left as it is (choice of ours)
LOWEST_CUTOFF_HZ = 2.0
TAIL = (0.50, 0.98)  # of the spectrum, as shares of half the frame rate
BANDS = 8
MOST_BINS = 600  # a longer spectrum is taken in bundles
LEAST_FRAMES = 48


@dataclass(frozen=True)
class Smoothing:
    """What was done to one group of joints: cut-off [Hz] or None, and the noise found [m]."""

    cutoff_hz: float | None
    noise_m: float
    how: str


def design_cutoff(cutoff_hz: float, rate_hz: float) -> float:
    """Cut-off to design one pass with, so that two passes have their half-power point at `cutoff_hz`. [Hz]"""
    return rate_hz / np.pi * np.arctan(np.tan(np.pi * cutoff_hz / rate_hz) / TWO_PASS_CORRECTION)


def two_pass_gain(frequency_hz: np.ndarray, cutoff_hz: np.ndarray | float, rate_hz: float) -> np.ndarray:
    """Amplitude gain of both passes together, in closed form; 1/sqrt(2) at the cut-off."""
    warped = np.tan(np.pi * np.minimum(frequency_hz, 0.499999 * rate_hz) / rate_hz)
    corner = np.tan(np.pi * design_cutoff(cutoff_hz, rate_hz) / rate_hz)
    return 1 / (1 + (warped / corner) ** 4)


def smooth(values: np.ndarray, *, cutoff_hz: float, rate_hz: float) -> np.ndarray:
    """Smooth along the first axis with zero lag.

    Parameters
    ----------
    values : numpy.ndarray, shape (n_frames, ...)
        Finite.
    cutoff_hz, rate_hz : float
        Half-power point of both passes together, and frame rate. [Hz]
    """
    from scipy.signal import sosfiltfilt

    sos = _one_pass(np.tan(np.pi * design_cutoff(cutoff_hz, rate_hz) / rate_hz))
    pad = min(len(values) - 1, max(9, int(1.5 * rate_hz / cutoff_hz)))
    return sosfiltfilt(sos, values, axis=0, padlen=pad)


def _one_pass(corner: float) -> np.ndarray:
    """Second-order Butterworth low-pass as one second-order section; `corner` is tan(pi cut-off / rate)."""
    scale = 1 / (1 + np.sqrt(2) * corner + corner**2)
    gain = corner**2 * scale
    return np.array(
        [
            [
                gain,
                2 * gain,
                gain,
                1.0,
                2 * (corner**2 - 1) * scale,
                (1 - np.sqrt(2) * corner + corner**2) * scale,
            ]
        ]
    )


def noise_left(smoothing: Smoothing, rate_hz: float) -> float:
    """Standard deviation of white noise after smoothing, per coordinate. [m]"""
    if smoothing.cutoff_hz is None:
        return smoothing.noise_m
    grid = np.linspace(0, rate_hz / 2, 513)
    return float(smoothing.noise_m * np.sqrt(np.mean(two_pass_gain(grid, smoothing.cutoff_hz, rate_hz) ** 2)))


def power(values: np.ndarray, rate_hz: float) -> tuple[np.ndarray, np.ndarray]:
    """Frequencies and mean power per bin of columns without their straight line, ends tapered (Hann).

    The powers are scaled so that their sum is the mean square of white noise in one column.
    """
    n = len(values)
    ramp, window = _taper(n)
    flat = values - values.mean(axis=0)
    flat = flat - ramp[:, None] * (ramp @ flat / (ramp @ ramp))
    found = np.fft.rfft(flat * window[:, None], axis=0)
    spectrum = found.real**2 + found.imag**2
    spectrum[1 : (n + 1) // 2] *= 2
    return np.fft.rfftfreq(n, 1 / rate_hz), spectrum.mean(axis=1) / (n * (window @ window))


@lru_cache(maxsize=16)
def _taper(n: int) -> tuple[np.ndarray, np.ndarray]:
    """Straight line and Hann window of n frames."""
    return np.linspace(-1, 1, n), np.hanning(n)


def residual_analysis(values: np.ndarray, rate_hz: float) -> tuple[float, float]:
    """Noise and cut-off of columns that belong together.

    Parameters
    ----------
    values : numpy.ndarray, shape (n_frames, n_columns)
        Finite positions. [m]

    Returns
    -------
    noise_m, cutoff_hz : float
        Root-mean-square noise of one column [m] and the cut-off with the least expected error [Hz].

    Notes
    -----
    Expected square error = residual^2 + 2 noise^2 mean(gain) - noise^2.
    """
    frequency, spectrum = power(values, rate_hz)
    noise_square = white_level(frequency / (rate_hz / 2), spectrum) * len(frequency)
    first, share, cutoffs, gain, loss = _cutoff_table(len(frequency), float(frequency[-1]), rate_hz)
    risk = loss @ np.add.reduceat(spectrum, first) + 2 * noise_square * (gain @ share)
    return float(np.sqrt(noise_square)), float(cutoffs[np.argmin(risk)])


@lru_cache(maxsize=16)
def _cutoff_table(bins: int, highest_hz: float, rate_hz: float) -> tuple[np.ndarray, ...]:
    """First bin and share of each bundle of a spectrum; cut-offs [Hz], their gains and squared losses."""
    frequency = np.linspace(0, highest_hz, bins)
    step = -(-bins // MOST_BINS)
    first = np.arange(0, bins, step)
    middle = frequency[np.minimum(first + (step - 1) // 2, bins - 1)]
    share = np.diff(first, append=bins) / bins
    cutoffs = np.linspace(1.0, 0.96 * rate_hz / 2, 160)
    gain = two_pass_gain(middle, cutoffs[:, None], rate_hz)
    return first, share, cutoffs, gain, (1 - gain) ** 2


def white_level(share: np.ndarray, spectrum: np.ndarray) -> float:
    """Power per bin of the white noise in the tail of a spectrum.

    The tail is taken apart, by least squares without negative parts, into a flat one (noise) and one that
    falls with the fourth power of frequency and is folded at half the frame rate (the slowest fall of a
    motion without jumps: a kink in the path).

    Parameters
    ----------
    share : numpy.ndarray, shape (n_bins,)
        Frequency as share of half the frame rate.
    """
    inside, band, count, parts = _tail(len(share), float(share[-1]))
    level = np.bincount(band, spectrum[inside], minlength=BANDS)[count > 0] / count[count > 0]
    if not (level > 0).all():
        return 0.0
    level = level / (scale := level.max())
    fit = np.full(len(level), level.mean())
    for _ in range(4):  # the scatter of a level is its share of the true one, known only after a fit
        weight = np.sqrt(count[count > 0]) / fit
        found = _not_negative(parts * weight[:, None], level * weight)
        fit = np.maximum(parts @ found, 1e-9)
    return float(found[0] * scale)


@lru_cache(maxsize=16)
def _tail(bins: int, highest: float) -> tuple[np.ndarray, ...]:
    """Which bins make the tail, the band of each, how many each band has, and the flat and the falling part."""
    share = np.linspace(0, highest, bins)
    edges = np.linspace(*TAIL, BANDS + 1)
    inside = np.flatnonzero((share >= edges[0]) & (share < edges[-1]))
    band = np.searchsorted(edges, share[inside], side="right") - 1
    count = np.bincount(band, minlength=BANDS)
    middle = ((edges[1:] + edges[:-1]) / 2)[count > 0]
    return inside, band, count, np.stack([np.ones(len(middle)), middle**-4 + (2 - middle) ** -4], axis=1)


def _not_negative(parts: np.ndarray, level: np.ndarray) -> np.ndarray:
    """Least squares with two parts, neither negative: the free fit, else the better of the two alone."""
    (a, b), (_, c), (p, q) = *(parts.T @ parts), parts.T @ level
    det = a * c - b * b
    both = np.array([c * p - b * q, a * q - b * p]) / det if det > 0 else np.array([-1.0, -1.0])
    if (both >= 0).all():
        return both
    first, second = max(p / a, 0.0), max(q / c, 0.0)
    return np.array([first, 0.0]) if p * first >= q * second else np.array([0.0, second])


def choose(axes: Sequence[np.ndarray], *, rate_hz: float, wish: float | str | None) -> Smoothing:
    """Smoothing for joints that belong together.

    The three coordinates of a joint must share a filter, or angles are distorted; the one that needs the
    highest cut-off decides.

    Parameters
    ----------
    axes : sequence of numpy.ndarray, shape (n_frames, n_columns)
        Columns without long gaps: those of x, of y and of z. [m]
    wish : float, "auto" or None
        A set cut-off [Hz], residual analysis, or none.
    """
    read = [residual_analysis(v, rate_hz) for v in axes if v.shape[1] and len(v) >= LEAST_FRAMES]
    read = [
        one for one in read if one[0] >= NOISE_FLOOR_M
    ] or read  # an axis that is set, not seen, has no say
    noise = float(np.sqrt(np.mean([n**2 for n, _ in read]))) if read else 0.0
    if wish is None:
        return Smoothing(None, noise, "not smoothed")
    if wish != "auto":
        if wish >= rate_hz / 2:
            return Smoothing(None, noise, f"set to {wish:g} Hz, which frames this far apart cannot show")
        return Smoothing(float(wish), noise, "set")
    if not read:
        return Smoothing(DEFAULT_CUTOFF_HZ, noise, "default, too little for residual analysis")
    if noise < NOISE_FLOOR_M:
        return Smoothing(None, noise, f"noise below {1000 * NOISE_FLOOR_M:g} mm, left as it is")
    highest = max(cutoff for _, cutoff in read)
    if highest > 0.8 * rate_hz / 2:
        return Smoothing(None, noise, "motion up to half the frame rate, left as it is")
    return Smoothing(max(highest, LOWEST_CUTOFF_HZ), noise, "residual analysis")
