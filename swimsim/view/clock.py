"""Which instant of its trace a panel shows in each picture, and how far it has travelled by then."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from swimsim.ground.records import Camera, Trace

from .cameras import mean_speed
from .figure import Shot
from .sampling import hermite, positions_at

LONGEST_STEP_S = 1 / 30  # between pictures, where the path of a hand is drawn [s]


@dataclass(frozen=True)
class Clock:
    """Times of one panel over a stretch of pictures.

    Parameters
    ----------
    times_s : numpy.ndarray, shape (n_frames,)
        Trace time of each picture, not decreasing. [s]
    drift_m : numpy.ndarray, shape (n_frames,), optional
        Travel of swimmer and camera together beyond that of the trace, so that what passes by goes on without
        a jump from one stretch to the next. [m]
    loop_s : float, optional
        The stretch repeats after this much trace time: what came before its first picture is what its end
        shows. [s]
    """

    times_s: np.ndarray
    drift_m: np.ndarray | None = None
    loop_s: float | None = None

    @property
    def step_s(self) -> float:
        """Trace time from one picture to the next. [s]"""
        steps = np.diff(self.times_s)
        return min(float(np.median(steps)), LONGEST_STEP_S) if len(steps) else LONGEST_STEP_S

    def part(self, first: int, last: int) -> Clock:
        """The clock of some of the pictures."""
        drift = None if self.drift_m is None else self.drift_m[first:last]
        return Clock(self.times_s[first:last], drift, self.loop_s)


@dataclass(frozen=True)
class Path:
    """Joints whose paths are drawn: how many pictures they reach back, instants per picture, time between."""

    names: tuple[str, ...]
    before: int
    fine: int
    step_s: float


def as_clock(times: np.ndarray | Clock) -> Clock:
    """Plain times as a clock without drift."""
    return times if isinstance(times, Clock) else Clock(np.asarray(times, float))


def shot_of(trace: Trace, camera: Camera, clock: Clock, *, zoom: int = 1) -> Shot:
    """All joints of a trace as a camera sees them at the times of a clock."""
    points = positions_at(trace, clock.times_s)
    shift = mean_speed(trace) * clock.times_s if camera.travels else 0 * clock.times_s
    if clock.drift_m is not None and camera.travels:
        points[..., 0] += clock.drift_m[:, None]
        shift = shift + clock.drift_m
    return Shot(camera, points, trace.joint_names, shift, zoom)


def path_of(trace: Trace, path: Path, camera: Camera, *, clock: Clock, zoom: int = 1) -> Shot:
    """Paths of some joints that lead to every picture of a clock.

    Returns
    -------
    Shot
        `fine` instants per picture, starting `before` pictures early; missing before the trace begins.
    """
    early = clock.times_s[0] - path.step_s * np.arange(path.before, 0, -1)
    coarse = np.concatenate([early, clock.times_s])
    times = np.interp(
        np.arange(path.fine * (len(coarse) - 1) + 1) / path.fine, np.arange(len(coarse)), coarse
    )
    values = np.stack([trace.joint(n) for n in path.names], axis=1)
    speed = mean_speed(trace) if camera.travels else 0.0
    points, shift = hermite(trace.time_s, values, times), speed * times
    missing = times < trace.time_s[0] - 1e-9
    if clock.loop_s is not None and missing.any():
        later = times[missing] + clock.loop_s
        points[missing] = hermite(trace.time_s, values, later)
        shift[missing] = speed * later
    else:
        points[missing] = np.nan
    return Shot(camera, points, path.names, shift, zoom)
