"""Roll of shoulders, hips and whole body: peaks, ranges, lag, harmonics, humps with a dip."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES, side_sign
from .curves import Curve
from .measures_lines import PLANAR
from .readout import Readout
from .strokes import Strokes

LINES = {"shoulder": ("left_shoulder", "right_shoulder"), "hip": ("left_hip", "right_hip")}
HARMONICS = 6
STANDS_OUT_SIGMAS = 4.0  # a peak must stand out by this many standard deviations of what noise is left
KNOWN_SHARE = 0.6  # of the frames of several cycles: each phase is then seen in most of them
_ROUNDING_DEG = 1e-6
_PHASES = 360  # points of the mean cycle


def roll_curve(strokes: Strokes, kind: str, *, rough: bool = False) -> Curve:
    """Roll of the `shoulder` or `hip` line, their mean (`whole_body`) or difference (`twist`). [deg]"""
    if kind in LINES:
        return strokes.track.signal(("roll", kind), _roll_deg, *LINES[kind], rough=rough)

    def make(*joints: np.ndarray) -> np.ndarray:
        shoulder, hip = _roll_deg(*joints[:2]), _roll_deg(*joints[2:])
        return (shoulder + hip) / 2 if kind == "whole_body" else shoulder - hip

    return strokes.track.signal(("roll", kind), make, *LINES["shoulder"], *LINES["hip"])


def _roll_deg(left: np.ndarray, right: np.ndarray) -> np.ndarray:
    across = left - right
    return np.degrees(np.arctan2(across[:, 2], across[:, 1]))


def rolls(strokes: Strokes) -> list[Readout]:
    """All roll measures; one value for each whole-body cycle."""
    body = strokes.body
    if strokes.track.planar:
        return [Readout(name, side, np.array([]), (), reason=PLANAR) for name, side in _names()]
    if not len(body.number):
        return []
    peaks = {kind: _peaks(strokes, kind) for kind in ("shoulder", "hip", "whole_body")}
    readouts = [readout for kind in peaks for readout in peaks[kind]]
    ranges = {kind: sum(readout.values for readout in peaks[kind]) for kind in LINES}
    ends = np.stack([body.entry, body.next_entry], axis=1)
    for kind, joints in LINES.items():
        readouts.append(Readout(f"{kind}_roll_range", None, ranges[kind], joints, ends))
    twist = roll_curve(strokes, "twist")
    both = (*LINES["shoulder"], *LINES["hip"])
    span = [twist.extreme(body.entry, body.next_entry, highest=highest)[1] for highest in (True, False)]
    readouts.append(Readout("twist_range", None, span[0] - span[1], both, ends))
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(ranges["shoulder"] > 0, ranges["hip"] / ranges["shoulder"], np.nan)
    readouts.append(Readout("hip_shoulder_ratio", None, ratio, both, ends))
    return readouts + _harmonic_measures(strokes, ends) + _humps(strokes)


def _names() -> list[tuple[str, str | None]]:
    sided = ("shoulder_roll_peak", "hip_roll_peak", "whole_body_roll_peak", "hip_roll_peaks", "hip_roll_dip")
    whole = (
        "shoulder_roll_range", "hip_roll_range", "twist_range", "hip_shoulder_ratio", "hip_lag",
        "shoulder_roll_h1_share", "shoulder_roll_h2_share",
        "hip_roll_h1_share", "hip_roll_h2_share", "hip_roll_h3_share",
    )  # fmt: skip
    return [(name, side) for name in sided for side in SIDES] + [(name, None) for name in whole]


def _peaks(strokes: Strokes, kind: str) -> list[Readout]:
    """Largest roll with either side up, in each cycle. [deg]"""
    body, curve, readouts = strokes.body, roll_curve(strokes, kind), []
    joints = LINES.get(kind, (*LINES["shoulder"], *LINES["hip"]))
    for side in SIDES:
        times, values = curve.extreme(body.entry, body.next_entry, highest=side == "left")
        values = side_sign(side) * values
        readouts.append(Readout(f"{kind}_roll_peak", side, values, joints, times, number=body.number))
    return readouts


def harmonics(curve: Curve, starts: np.ndarray, stops: np.ndarray) -> np.ndarray:
    """Complex amplitudes of harmonics 1..6 of the cycle, least squares over all frames of the given cycles
    together.

    The phase runs 0..1 in every cycle, whatever its length, so uneven frames and cycles do not matter. The
    real part belongs to the cosine, minus the imaginary part to the sine. A single cycle must be whole; of several
    together a part may be missing, since the same phase is seen again. NaN if too much is missing or frames are too
    few.
    """
    nothing = np.full(HARMONICS, np.nan, complex)
    if len(starts) == 1 and not curve.readable(starts, stops).all():
        return nothing
    at = np.searchsorted(starts, curve.time_s, side="right") - 1
    inside = (at >= 0) & (curve.time_s < stops[np.maximum(at, 0)])
    if (inside & curve.known).sum() < max(3 * HARMONICS, KNOWN_SHARE * inside.sum()):
        return nothing
    inside &= curve.known
    at, time = at[inside], curve.time_s[inside]
    angle = 2 * np.pi * (time - starts[at]) / (stops - starts)[at]
    order = np.arange(1, HARMONICS + 1)
    waves = angle[:, None] * order
    design = np.concatenate([np.ones((len(angle), 1)), np.cos(waves), np.sin(waves)], axis=1)
    try:  # the waves are nearly orthogonal, so the small normal equations are as good as a full least squares
        fit = np.linalg.solve(design.T @ design, design.T @ curve.values[inside])
    except np.linalg.LinAlgError:
        return nothing
    return fit[1 : HARMONICS + 1] - 1j * fit[HARMONICS + 1 :]


def _harmonic_measures(strokes: Strokes, ends: np.ndarray) -> list[Readout]:
    """Power shares [%] and lag [%], from frames before smoothing: least squares is a smoothing of its own."""
    body, readouts, fits = strokes.body, [], {}
    for kind in LINES:
        curve = roll_curve(strokes, kind, rough=True)
        each = [
            harmonics(curve, body.entry[i : i + 1], body.next_entry[i : i + 1])
            for i in range(len(body.number))
        ]
        fits[kind] = np.array([harmonics(curve, body.entry, body.next_entry), *each])
    for kind, order in (("shoulder", 1), ("shoulder", 2), ("hip", 1), ("hip", 2), ("hip", 3)):
        share = _power_share(fits[kind], order)
        name = f"{kind}_roll_h{order}_share"
        readouts.append(Readout(name, None, share[1:], LINES[kind], ends, overall=share[0], joined=True))
    first = fits["shoulder"][:, 0] * np.conj(fits["hip"][:, 0])
    lag = np.where(np.abs(first) > _ROUNDING_DEG, 100 * np.angle(first) / (2 * np.pi), np.nan)
    joints = (*LINES["shoulder"], *LINES["hip"])
    return [
        *readouts,
        Readout("hip_lag", None, lag[1:], joints, ends, overall=lag[0], turn=100.0, joined=True),
    ]


def _power_share(amplitudes: np.ndarray, order: int) -> np.ndarray:
    square = np.abs(amplitudes) ** 2
    total = square.sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(total > _ROUNDING_DEG**2, 100 * square[:, order - 1] / total, np.nan)


def _humps(strokes: Strokes) -> list[Readout]:
    """Number of hip-roll peaks with one side up, and the dip between the two highest. [1], [%]

    The window of a cycle runs from its lowest point to one cycle later, so that a hump is never cut in two.
    With noise, the value over all cycles is read off the mean cycle, where noise is averaged down.
    """
    body, curve, readouts = strokes.body, roll_curve(strokes, "hip"), []
    joints, ends = LINES["hip"], np.stack([body.entry, body.next_entry], axis=1)
    for side in SIDES:
        sign, trough = side_sign(side), curve.extreme(body.entry, body.next_entry, highest=side == "right")[0]
        late = trough + body.time_s > curve.time_s[-1]
        start = np.where(late, trough - body.time_s, trough)
        tops = _tops(curve, sign, noise_floor_deg(strokes, "hip", left=True))
        found = [
            _hump(curve, sign, tops, a, a + length) for a, length in zip(start, body.time_s, strict=True)
        ]
        count, dip = np.array(found).T
        over = _mean_cycle_hump(strokes, sign)
        for name, values, overall in (("hip_roll_peaks", count, over[0]), ("hip_roll_dip", dip, over[1])):
            more = {"overall": overall, "joined": overall is not None}
            readouts.append(Readout(name, side, values, joints, ends, number=body.number, **more))
    return readouts


def _mean_cycle_hump(strokes: Strokes, sign: float) -> tuple[float | None, float | None]:
    """Peaks and dip of the mean cycle (harmonics 0..6, from frames before smoothing); None without noise."""
    body, curve = strokes.body, roll_curve(strokes, "hip", rough=True)
    smoothing = strokes.track.smoothing.get("hip")
    if smoothing is None or smoothing.cutoff_hz is None:
        return None, None
    waves = harmonics(curve, body.entry, body.next_entry)
    if np.isnan(waves).any():
        return None, None
    turn = np.linspace(-2 * np.pi, 4 * np.pi, 3 * _PHASES + 1)
    roll = (waves * np.exp(1j * turn[:, None] * np.arange(1, HARMONICS + 1))).real.sum(axis=1)
    roll += curve.mean(*strokes.span)
    frames = (body.time_s.sum() * strokes.track.rate_hz) / (2 * HARMONICS + 1)
    least = noise_floor_deg(strokes, "hip", left=False) / np.sqrt(frames)
    cycle = Curve(turn, roll, np.ones(len(turn), bool))
    start = turn[_PHASES + np.argmin(sign * roll[_PHASES : 2 * _PHASES])]
    return _hump(cycle, sign, _tops(cycle, sign, least), start, start + 2 * np.pi)


def noise_floor_deg(strokes: Strokes, kind: str, *, left: bool) -> float:
    """How much a peak of a line's roll must stand out from noise, `left` by smoothing or before it. [deg]"""
    width, joint = strokes.length_m(*LINES[kind]), LINES[kind][0]
    noise = strokes.track.noise_left_m(joint) if left else strokes.track.noise_m(joint)
    floor = STANDS_OUT_SIGMAS * np.degrees(np.sqrt(2) * noise / width) if width > 0 else np.inf
    return max(_ROUNDING_DEG, floor)


def _tops(curve: Curve, sign: float, least: float) -> np.ndarray:
    """Times of the local maxima that stand out by `least`. [s]"""
    from scipy.signal import find_peaks

    tops, bottoms = curve.turns(highest=sign > 0), curve.turns(highest=sign < 0)
    times = np.sort(np.concatenate([curve.time_s[:1], tops, bottoms, curve.time_s[-1:]]))
    heights = sign * curve.at(times)
    peaks = find_peaks(np.nan_to_num(heights, nan=-1e9), prominence=least)[0]
    return times[peaks]


def _hump(curve: Curve, sign: float, tops: np.ndarray, start: float, stop: float) -> tuple[float, float]:
    """Number of peaks above level in a window and the dip between the two highest. [1], [%]"""
    if not curve.readable(start, stop):
        return np.nan, np.nan
    times = tops[(tops >= start) & (tops < stop)]
    heights = sign * curve.at(times)
    times, heights = times[heights > 0], heights[heights > 0]
    if len(times) < 2:
        return float(len(times)), 0.0 if len(times) else np.nan
    two = np.sort(np.argsort(heights)[-2:])
    valley = sign * curve.extreme(times[two[0]], times[two[1]], highest=sign < 0)[1][0]
    return float(len(times)), float(100 * (heights[two].min() - valley) / heights[two].max())
