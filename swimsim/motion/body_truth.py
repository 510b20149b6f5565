"""Exact measures of roll, trunk, kick and rate, from continuous functions."""

from __future__ import annotations

import numpy as np

from .instants import greatest
from .kinematics import Motion

DEG, CM, PERCENT = 180 / np.pi, 100.0, 100.0
HARMONICS = 6
NO_ROLL = 1e-18  # below this an amplitude or power is rounding, not roll
SAMPLES = 720  # per cycle, for scans and harmonics


def rolls(motion: Motion, share: np.ndarray) -> dict[str, np.ndarray]:
    """Shoulder, hip, whole-body roll and twist at cycle shares of the right arm. [rad]"""
    shoulder, hip = motion.frame.rolls(share)
    return {"shoulder": shoulder, "hip": hip, "whole_body": (shoulder + hip) / 2, "twist": shoulder - hip}


def harmonics(values: np.ndarray, period: int) -> np.ndarray:
    """Complex amplitudes of harmonics 1..6 of the cycle, from even samples over the whole period."""
    spectrum = np.fft.rfft(values) / len(values) * 2
    return spectrum[period * np.arange(1, HARMONICS + 1)]


def roll_values(motion: Motion) -> dict[tuple[str, str | None], np.ndarray]:
    """Roll measures by (measure, side); shape (period,) per side, scalars else. [deg], [%], [1]"""
    period = motion.period_cycles
    values: dict[tuple[str, str | None], np.ndarray] = {}
    ranges = {}
    for line in ("shoulder", "hip", "whole_body"):
        peaks = {side: _peaks(motion, line, side) * DEG for side in ("left", "right")}
        values |= {(f"{line}_roll_peak", side): peak for side, peak in peaks.items()}
        ranges[line] = peaks["left"].mean() + peaks["right"].mean()
    share = np.arange(SAMPLES * period) / SAMPLES
    sampled = rolls(motion, share)
    shoulder, hip = (harmonics(sampled[line], period) for line in ("shoulder", "hip"))
    values[("shoulder_roll_range", None)] = ranges["shoulder"]
    values[("hip_roll_range", None)] = ranges["hip"]
    values[("twist_range", None)] = _range(motion, "twist") * DEG
    values[("hip_shoulder_ratio", None)] = _ratio(ranges["hip"], ranges["shoulder"])
    values[("hip_lag", None)] = np.angle(_ratio(shoulder[0], hip[0])) / (2 * np.pi) * PERCENT
    for line, spectrum, orders in (("shoulder", shoulder, (1, 2)), ("hip", hip, (1, 2, 3))):
        power = np.abs(spectrum) ** 2
        for order in orders:
            values[(f"{line}_roll_h{order}_share", None)] = PERCENT * _ratio(power[order - 1], power.sum())
    for side, sign in (("left", 1.0), ("right", -1.0)):
        counts, dips = _bumps(motion, sign)
        values[("hip_roll_peaks", side)], values[("hip_roll_dip", side)] = counts, dips * PERCENT
    return values


def _ratio(part, whole):
    """Part over whole; NaN where the line does not roll."""
    return part / whole if abs(whole) > NO_ROLL else np.nan


def _windows(motion: Motion, line: str, side: str) -> tuple[np.ndarray, np.ndarray]:
    """Half-cycles in which this side is up, by the shape's own zero: about one peak per cycle each."""
    roll = motion.pattern.roll
    lag = {"shoulder": 0.0, "hip": roll.hip_lag_share, "whole_body": roll.hip_lag_share / 2}[line]
    centre = np.arange(motion.period_cycles) + roll.roll_peak_share + lag + (0.0 if side == "left" else 0.5)
    return centre - 0.25, centre + 0.25


def _peaks(motion: Motion, line: str, side: str) -> np.ndarray:
    sign = 1.0 if side == "left" else -1.0
    return greatest(lambda x: sign * rolls(motion, x)[line], *_windows(motion, line, side), samples=65)[1]


def _range(motion: Motion, line: str) -> float:
    """Mean over cycles of greatest minus least."""
    low = np.arange(motion.period_cycles, dtype=float)
    top = greatest(lambda x: rolls(motion, x)[line], low, low + 1, samples=129)[1]
    bottom = greatest(lambda x: -rolls(motion, x)[line], low, low + 1, samples=129)[1]
    return float((top + bottom).mean())


def _bumps(motion: Motion, sign: float) -> tuple[np.ndarray, np.ndarray]:
    """Number of hip-roll peaks on one side and the dip between the two highest, per cycle."""
    counts, dips = [], []
    low, high = _windows(motion, "hip", "left" if sign > 0 else "right")

    def f(x):
        return sign * rolls(motion, x)["hip"]

    for a, b in zip(low, high, strict=True):
        grid = np.linspace(a, b, SAMPLES // 2 + 1)
        values = f(grid)
        tops = (
            np.flatnonzero((values[1:-1] > values[:-2]) & (values[1:-1] >= values[2:]) & (values[1:-1] > 0))
            + 1
        )
        counts.append(len(tops))
        if len(tops) < 2:
            dips.append(0.0)
            continue
        two = np.sort(tops[np.argsort(values[tops])[-2:]])
        step = grid[1] - grid[0]
        heights = greatest(f, grid[two] - step, grid[two] + step)[1]
        valley = -greatest(lambda x: -f(x), grid[two[:1]], grid[two[1:]])[1][0]
        dips.append((heights.min() - valley) / heights.max())
    return np.array(counts, float), np.array(dips)


def _ankle_rise(motion: Motion, side: str):
    """Height of one ankle above its own hip as a function of the cycle share (right-arm clock). [m]"""

    def rise(share):
        lines = motion.frame.lines(share / motion.frame.rate)
        leg = motion.legs.points(side, share, lines)
        return leg["ankle"][2] - leg["hip"][2]

    return rise


def ankle_turns(motion: Motion, side: str, *, low: bool) -> tuple[np.ndarray, np.ndarray]:
    """Places (right-arm clock) and heights of the low or high points of one ankle against its own hip.

    Returns
    -------
    places, heights : numpy.ndarray, shape (n_turns,)
        Over the whole period; empty without a kick. [cycle], [m]
    """
    period, rise, sign = motion.period_cycles, _ankle_rise(motion, side), -1.0 if low else 1.0
    share = np.arange(SAMPLES * period) / SAMPLES
    values = sign * rise(share)
    if np.ptp(values) < 1e-9:
        return np.zeros(0), np.zeros(0)
    at = np.flatnonzero((values > np.roll(values, 1)) & (values >= np.roll(values, -1)))
    places, heights = greatest(lambda x: sign * rise(x), share[at] - 1 / SAMPLES, share[at] + 1 / SAMPLES)
    return np.mod(places, period), sign * heights


def _kick_range(motion: Motion, side: str) -> np.ndarray:
    """Highest minus lowest ankle in every cycle; 0 without a kick. [m]"""
    lows, highs = ankle_turns(motion, side, low=True), ankle_turns(motion, side, low=False)
    ranges = []
    for cycle in range(motion.period_cycles):
        top, bottom = (heights[places.astype(int) == cycle] for places, heights in (highs, lows))
        ranges.append(top.max() - bottom.min() if len(top) and len(bottom) else 0.0)
    return np.array(ranges)


def kick_values(
    motion: Motion, at: dict[str, dict[str, np.ndarray]]
) -> dict[tuple[str, str | None], np.ndarray]:
    """Beats, range and timing of the kick. `at[side]` holds event places and `deepest`, on the arm clocks."""
    period = motion.period_cycles
    lows = {side: ankle_turns(motion, side, low=True)[0] for side in ("left", "right")}
    values = {("kick_beats", None): (len(lows["left"]) + len(lows["right"])) / period}
    for side, other in (("left", "right"), ("right", "left")):
        values[("kick_range", side)] = _kick_range(motion, side) * CM
        lag = motion.arms[side].lag
        for name, event, foot in (
            ("entry", "entry", side), ("catch", "start_backward", side), ("exit", "exit", side),
            ("deepest_hand", "deepest", other),
        ):  # fmt: skip
            values[(f"kick_phase_at_{name}", side)] = _phase(at[side][event] + lag, lows[foot], period)
    return values


def _phase(place: np.ndarray, lows: np.ndarray, period: int) -> np.ndarray:
    """Place minus the nearest low point, in degrees of the kick cycle; NaN without a kick."""
    if len(lows) == 0:
        return np.full(len(place), np.nan)
    gap = np.mod(place[:, None] - lows[None, :] + period / 2, period) - period / 2
    nearest = gap[np.arange(len(place)), np.argmin(np.abs(gap), axis=1)]
    return nearest * len(lows) / period * 360


def trunk_slope(motion: Motion) -> float:
    """Mean slope of pelvis to thorax over the period. [deg]"""
    share = np.arange(SAMPLES * motion.period_cycles) / SAMPLES
    axis = motion.frame.lines(share / motion.frame.rate).axis
    return float(np.arctan2(axis[2], axis[0]).mean() * DEG)
