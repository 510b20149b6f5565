"""From the frames of a trace to the frames of a clip: smooth interpolation in time and phase lock."""

from __future__ import annotations

import numpy as np

from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks, Trace

SAME = 1e-6  # cycles; an entry missed by rounding is an entry


def positions_at(trace: Trace, at_s: np.ndarray) -> np.ndarray:
    """Joint positions between frames: cubic through the frames with central-difference slopes.

    Parameters
    ----------
    trace : Trace
    at_s : numpy.ndarray, shape (m,)
        Increasing times; those outside the trace take the nearest end. [s]

    Returns
    -------
    numpy.ndarray, shape (m, n_joints, 3)
        NaN where a neighbouring frame is missing. [m]
    """
    return hermite(trace.time_s, trace.joints_m, np.asarray(at_s, float))


def hermite(time: np.ndarray, values: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Cubic Hermite (Catmull-Rom on even frames) interpolation along the first axis; `at` must increase."""
    if len(time) == 1 or len(at) == 0:
        return np.repeat(values[:1], len(at), axis=0)
    at = np.clip(at, time[0], time[-1])
    low = max(int(np.searchsorted(time, at[0], "right")) - 3, 0)
    high = min(int(np.searchsorted(time, at[-1], "right")) + 3, len(time))
    time, values = time[low:high], values[low:high]
    left = np.clip(np.searchsorted(time, at, "right") - 1, 0, len(time) - 2)
    slopes = np.gradient(values, time, axis=0)
    step = (time[left + 1] - time[left]).reshape((-1,) + (1,) * (values.ndim - 1))
    u = ((at - time[left]) / (time[left + 1] - time[left])).reshape(step.shape)
    a, b = values[left], values[left + 1]
    chord = b - a
    m0, m1 = (np.where(np.isfinite(slopes[i]), slopes[i] * step, chord) for i in (left, left + 1))
    inner = a + u * m0 + u * u * (3 * chord - 2 * m0 - m1) + u**3 * (m0 + m1 - 2 * chord)
    return np.where(u == 0, a, np.where(u == 1, b, inner))


def phase_at(marks: Marks, trace: Trace, at_s: np.ndarray) -> np.ndarray | None:
    """Cycle share 0..1 at each time, or None if the panel has no phase."""
    phase = unwrapped_phase(marks, trace)
    if phase is None:
        return None
    share = np.interp(at_s, trace.time_s, phase) % 1.0
    return np.where(share > 1.0 - SAME, 0.0, share)


def period_share_at(marks: Marks, trace: Trace, at_s: np.ndarray) -> np.ndarray | None:
    """Share 0..1 of the breathing period of the panel's gauge at each time, from the first entry on."""
    phase = unwrapped_phase(marks, trace)
    if phase is None or marks.gauge is None:
        return None
    passed = np.interp(at_s, trace.time_s, phase) - np.ceil(phase[0] - 1e-6)
    share = passed / marks.gauge.period_cycles % 1.0
    return np.where(share > 1.0 - SAME, 0.0, share)


def cycle_time(marks: Marks, trace: Trace) -> float | None:
    """Mean cycle time read from the phase. [s]"""
    phase = unwrapped_phase(marks, trace)
    if phase is None or phase[-1] - phase[0] <= 0:
        return None
    return float((trace.time_s[-1] - trace.time_s[0]) / (phase[-1] - phase[0]))


def clip_times(trace: Trace, *, fps: float, slow: float = 1.0, seconds: float | None = None) -> np.ndarray:
    """Trace time of each frame of a clip.

    Parameters
    ----------
    trace : Trace
    fps : float
        Frames per second of the clip. [1/s]
    slow : float
        Playback speed: 0.5 is half speed.
    seconds : float, optional
        Swimming time to show from the start; the whole trace without it. [s]

    Raises
    ------
    InputError
        A value that is not positive, or more seconds than the trace has.
    """
    for name, value in (("fps", fps), ("slow", slow), ("seconds", 1.0 if seconds is None else seconds)):
        if not np.isfinite(value) or value <= 0:
            raise InputError(f"clip: {name}: expected a positive number, got {value}")
    length = trace.time_s[-1] - trace.time_s[0]
    if seconds is None:
        count = int(np.floor(length * fps / slow + 1e-6)) + 1
    elif seconds > length + 1.5 / trace.rate_hz:
        raise InputError(
            f"clip: seconds: expected at most {length:.2f} (the length of the trace), got {seconds}"
        )
    else:
        count = max(1, round(seconds * fps / slow))
    return np.minimum(trace.time_s[0] + np.arange(count) * slow / fps, trace.time_s[-1])


def locked_times(panels: list[tuple[Trace, Marks]], lead_s: np.ndarray) -> list[np.ndarray]:
    """Trace time of every clip frame for each panel, so that all panels show the same cycle share at once.

    Parameters
    ----------
    panels : list of (Trace, Marks)
    lead_s : numpy.ndarray, shape (n,)
        Times of the first panel. [s]

    Returns
    -------
    list of numpy.ndarray, all of one length
        Shorter than `lead_s` if another trace ends earlier. Panels without a phase run on the clock of the
        first. [s]
    """
    first_trace, first_marks = panels[0]
    first = unwrapped_phase(first_marks, first_trace)
    times = [lead_s]
    for trace, marks in panels[1:]:
        own = unwrapped_phase(marks, trace)
        if first is None or own is None:
            times.append(lead_s - first_trace.time_s[0] + trace.time_s[0])
            continue
        wanted = np.interp(lead_s, first_trace.time_s, first)
        wanted = wanted + np.ceil(own[0] - first[0] - 1e-6)  # the same cycle, counted from both starts
        times.append(np.interp(wanted[wanted <= own[-1] + 1e-9], own, trace.time_s))
    traces = [trace for trace, _ in panels]
    ends = [np.searchsorted(t, x.time_s[-1] + 1.5 / x.rate_hz) for t, x in zip(times, traces, strict=True)]
    count = max(1, min(int(e) for e in ends))
    return [np.clip(t[:count], x.time_s[0], x.time_s[-1]) for t, x in zip(times, traces, strict=True)]


def unwrapped_phase(marks: Marks, trace: Trace) -> np.ndarray | None:
    """Cycles passed at every frame of a trace, or None if the panel has no phase for each of its frames."""
    if marks.phase is None or len(marks.phase) != len(trace.time_s) or not np.isfinite(marks.phase).all():
        return None
    return np.unwrap(np.asarray(marks.phase, float), period=1.0)
