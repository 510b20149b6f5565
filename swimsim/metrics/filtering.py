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
    from scipy.signal import lfilter

    ahead, back = _one_pass(np.tan(np.pi * design_cutoff(cutoff_hz, rate_hz) / rate_hz))
    n, flat = len(values), values.reshape(len(values), -1).T
    pad = min(n - 1, max(9, int(1.5 * rate_hz / cutoff_hz)))
    longer = np.empty((len(flat), n + 2 * pad))  # both ends carried on, turned about the end point
    longer[:, pad : pad + n] = flat
    longer[:, :pad] = 2 * flat[:, :1] - flat[:, pad:0:-1]
    longer[:, pad + n :] = 2 * flat[:, -1:] - flat[:, -2 : -pad - 2 : -1]
    steady = np.array([1 - ahead[0], ahead[2] - back[2]])  # state of the filter after a long constant 1
    for _ in range(2):
        longer = lfilter(ahead, back, longer, zi=steady * longer[:, :1])[0][:, ::-1]
    return longer[:, pad : pad + n].T.reshape(values.shape)


def _one_pass(corner: float) -> tuple[np.ndarray, np.ndarray]:
    """Second-order Butterworth low-pass, numerator and denominator; `corner` is tan(pi cut-off / rate)."""
    scale = 1 / (1 + np.sqrt(2) * corner + corner**2)
    gain = corner**2 * scale
    ahead = np.array([gain, 2 * gain, gain])
    back = np.array([1.0, 2 * (corner**2 - 1) * scale, (1 - np.sqrt(2) * corner + corner**2) * scale])
    return ahead, back


def noise_left(smoothing: Smoothing, rate_hz: float) -> float:
    """Standard deviation of white noise after smoothing, per coordinate. [m]"""
    if smoothing.cutoff_hz is None:
        return smoothing.noise_m
    grid = np.linspace(0, rate_hz / 2, 513)
    return float(smoothing.noise_m * np.sqrt(np.mean(two_pass_gain(grid, smoothing.cutoff_hz, rate_hz) ** 2)))


def power(values: np.ndarray) -> np.ndarray:
    """Power per bin of columns without their straight line, ends tapered (Hann), shape (n_bins, n_columns).

    The powers are scaled so that their sum is the mean square of white noise in one column.
    """
    n = len(values)
    ramp, window = _taper(n)
    flat = values - values.mean(axis=0)
    flat -= ramp[:, None] * (ramp @ flat / (ramp @ ramp))
    found = np.fft.rfft(flat * window[:, None], axis=0)
    spectrum = found.real**2 + found.imag**2
    spectrum[1 : (n + 1) // 2] *= 2
    return spectrum / (n * (window @ window))


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
    return analyse([values], rate_hz)[0]


def analyse(sets: Sequence[np.ndarray], rate_hz: float) -> list[tuple[float, float]]:
    """Residual analysis of several sets of columns at once: noise [m] and cut-off [Hz] of each."""
    widths = [values.shape[1] for values in sets]
    starts = np.concatenate([[0], np.cumsum(widths)[:-1]])
    spectra = np.add.reduceat(power(np.concatenate(sets, axis=1)), starts, axis=1) / widths
    bins, n = len(spectra), len(sets[0])
    highest = 1.0 if n % 2 == 0 else (n - 1) / n
    noise_square = white_level(highest, spectra) * bins
    first, share, cutoffs, gain, loss = _cutoff_table(bins, highest * rate_hz / 2, rate_hz)
    risk = loss @ np.add.reduceat(spectra, first, axis=0) + 2 * noise_square * (gain @ share)[:, None]
    return list(zip(np.sqrt(noise_square).tolist(), cutoffs[np.argmin(risk, axis=0)].tolist(), strict=True))


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


def white_level(highest: float, spectra: np.ndarray) -> np.ndarray:
    """Power per bin of the white noise in the tail of spectra.

    The tail is taken apart, by least squares without negative parts, into a flat one (noise) and one that
    falls with the fourth power of frequency and is folded at half the frame rate (the slowest fall of a
    motion without jumps: a kink in the path).

    Parameters
    ----------
    highest : float
        Frequency of the last bin as share of half the frame rate.
    spectra : numpy.ndarray, shape (n_bins, n_spectra)

    Returns
    -------
    numpy.ndarray, shape (n_spectra,)
    """
    inside, first, count, parts = _tail(len(spectra), highest)
    level = np.add.reduceat(spectra[inside], first, axis=0) / count[:, None]
    usable, scale = (level > 0).all(axis=0), level.max(axis=0)
    level = level / np.where(usable, scale, 1.0)
    fit = np.broadcast_to(level.mean(axis=0), level.shape)
    flat = np.zeros(level.shape[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        for _ in range(4):  # the scatter of a level is its share of the true one, known only after a fit
            weight = count[:, None] / fit**2
            flat, falling = _not_negative(parts, level, weight)
            fit = np.maximum(flat + parts[:, None] * falling, 1e-9)
    return np.where(usable, flat * scale, 0.0)


@lru_cache(maxsize=16)
def _tail(bins: int, highest: float) -> tuple[np.ndarray, ...]:
    """Bins that make the tail, the first of each band among them, how many each band has, and the falling part."""
    share = np.linspace(0, highest, bins)
    edges = np.linspace(*TAIL, BANDS + 1)
    inside = np.flatnonzero((share >= edges[0]) & (share < edges[-1]))
    band = np.searchsorted(edges, share[inside], side="right") - 1
    count = np.bincount(band, minlength=BANDS)
    full = count > 0
    middle = ((edges[1:] + edges[:-1]) / 2)[full]
    first = np.concatenate([[0], np.cumsum(count[full])[:-1]])
    return inside, first, count[full], middle**-4 + (2 - middle) ** -4


def _not_negative(
    falling: np.ndarray, level: np.ndarray, weight: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Weighted least squares of a flat and a falling part, neither negative: the free fit, else the better one alone.

    Parameters
    ----------
    falling : numpy.ndarray, shape (n,)
    level, weight : numpy.ndarray, shape (n, k)

    Returns
    -------
    flat, falling : numpy.ndarray, shape (k,)
    """
    a, b, c = weight.sum(axis=0), falling @ weight, falling**2 @ weight
    p, q = (weight * level).sum(axis=0), falling @ (weight * level)
    det = a * c - b * b
    one, other = (c * p - b * q) / det, (a * q - b * p) / det
    free = (det > 0) & (one >= 0) & (other >= 0)
    alone, second = np.maximum(p / a, 0.0), np.maximum(q / c, 0.0)
    better = p * alone >= q * second
    return np.where(free, one, np.where(better, alone, 0.0)), np.where(
        free, other, np.where(better, 0.0, second)
    )


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
    return choose_all([axes], rate_hz=rate_hz, wish=wish)[0]


def choose_all(
    groups: Sequence[Sequence[np.ndarray]], *, rate_hz: float, wish: float | str | None
) -> list[Smoothing]:
    """`choose` for several groups of joints at once."""
    usable = [[v for v in axes if v.shape[1] and len(v) >= LEAST_FRAMES] for axes in groups]
    flat = [v for axes in usable for v in axes]
    found = iter(analyse(flat, rate_hz) if flat else ())
    return [_chosen([next(found) for _ in axes], rate_hz, wish) for axes in usable]


def _chosen(read: list[tuple[float, float]], rate_hz: float, wish: float | str | None) -> Smoothing:
    """Smoothing from noise and cut-off of each axis; one that is set and not seen, without noise, has no say."""
    read = [one for one in read if one[0] >= NOISE_FLOOR_M] or read
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
