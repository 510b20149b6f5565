"""The instants of each arm's stroke, read from the joint curves. One rule for each instant.

- **entry**: the first downward passage of the fingertip through z = 0 after the whole hand (fingertip,
  knuckles, wrist) has been above the surface by the hysteresis. A new entry needs the hand to have been up
  since the last one, and to go deeper than `DEEP_M` before it comes up: less is a hand that brushes the water
  on its way forward.
- **exit**: the last of fingertip, knuckles and wrist passes z = 0 upwards (or the wrist alone, the named
  alternative).
- **start and end of backward movement**: turning points of the smoothed knuckles.x between entry and exit;
  the furthest-forward point before the first lasting backward movement, and the furthest-back point after
  the last one. Lasting means a travel of at least `LASTING_M`.
- **shoulder plane**: the first time after the start of backward movement that knuckles.x falls to the
  shoulder's x.

All are found between frames, on cubic curves. A hand that is just entering in the very first frame (within
half a frame, wrist still up) counts as an entry there. Whatever a gap could have hidden is NaN.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..ground.conventions import EVENT_RULES, EVENT_RULES_NAMED, EVENTS, SIDES
from ..ground.records import Event
from .curves import Curve
from .track import Track

HYSTERESIS_M = 0.01  # least height and depth that tell up from down (choice of ours)
HYSTERESIS_SIGMAS = 4.0
DEEP_M = 0.15  # a hand that pulls goes several times as deep, one that brushes the water not nearly (choice of ours)
LASTING_M = 0.03  # least travel of a lasting backward movement (choice of ours)
LEAST_IN_AIR = 0.10  # of the cycle; recoveries take 20 % and more (Chollet et al. 2000); choice of ours
LEAST_STROKES = 2  # that must agree on it
LONGEST_CYCLE = 1.6  # a cycle this many times the median, with a gap in it, may be two cycles
EXIT_JOINTS = {
    EVENT_RULES["exit"]: ("fingertip", "knuckles", "wrist"),
    EVENT_RULES_NAMED["exit"]["wrist_exit"]: ("wrist",),
}
EXIT_RULE = EVENT_RULES["exit"]


@dataclass(frozen=True)
class ArmStrokes:
    """Instants of one arm, one row for each stroke seen, NaN where not found. [s]

    `number` counts strokes from the first entry at or after t = 0; `next_entry` closes the cycle; `whole`
    marks the strokes whose cycle is closed.
    """

    side: str
    number: np.ndarray
    entry: np.ndarray
    start_backward: np.ndarray
    shoulder_plane: np.ndarray
    end_backward: np.ndarray
    exit: np.ndarray
    next_entry: np.ndarray
    whole: np.ndarray
    reason: str | None = None

    def cycles(self) -> ArmStrokes:
        """Only the strokes whose cycle is closed."""
        rows = {name: getattr(self, name)[self.whole] for name in (*EVENTS, "number", "next_entry", "whole")}
        return ArmStrokes(self.side, reason=self.reason, **rows)

    @property
    def time_s(self) -> np.ndarray:
        """Cycle times. [s]"""
        return self.next_entry - self.entry


def _no_strokes(side: str, reason: str) -> ArmStrokes:
    nothing = np.empty(0)
    return ArmStrokes(side, nothing.astype(int), *[nothing] * 6, nothing.astype(bool), reason)


def read_arm(track: Track, side: str, *, exit_rule: str = EXIT_RULE) -> ArmStrokes:
    """Strokes of one arm."""
    hand = {name: f"{side}_{name}" for name in ("fingertip", "knuckles", "wrist")}
    lacking = track.missing(*hand.values())
    if lacking:
        return _no_strokes(side, f"joint missing: {', '.join(lacking)}")
    heights = {name: _height(track, joint) for name, joint in hand.items()}
    bands = _under_water(track, side, heights)
    if not len(bands):
        return _no_strokes(side, f"the {side} hand never goes below the surface after being above it")
    entry = _entries(track, bands, heights)
    leave = _exits(track, bands, entry, [heights[name] for name in EXIT_JOINTS[exit_rule]])
    if (share := _share_in_air(entry, leave)) < LEAST_IN_AIR:
        return _no_strokes(
            side,
            f"the {side} hand comes out for {100 * share:.0f} % of its cycle, less than any recovery: "
            "the surface is not where it is taken to be",
        )
    start, end = _backward(track, side, entry, leave, bands)
    begin = np.where(np.isnan(entry), track.time_s[bands[:, 1]], np.maximum(entry, track.time_s[0]))
    plane = _shoulder_plane(track, side, np.where(np.isnan(start), begin, start), leave)
    next_entry = np.append(entry[1:], np.nan)
    number = np.arange(len(entry)) - _first(entry, track.time_s[1] - track.time_s[0])
    whole = _whole(entry, next_entry, heights["fingertip"])
    return ArmStrokes(side, number, entry, start, plane, end, leave, next_entry, whole)


def _share_in_air(entry: np.ndarray, leave: np.ndarray) -> float:
    """Median share of the cycle between exit and next entry; 1 where no stroke tells."""
    share = (entry[1:] - leave[:-1]) / np.diff(entry)
    share = share[np.isfinite(share)]
    return float(np.median(share)) if len(share) >= LEAST_STROKES else 1.0


def _height(track: Track, joint: str) -> Curve:
    return track.signal(("height", joint), lambda p: p[:, 2], joint)


def _under_water(track: Track, side: str, heights: dict[str, Curve]) -> np.ndarray:
    """Stretches in which the fingertip is down, between moments with the whole hand up.

    Returns
    -------
    numpy.ndarray of int, shape (n_strokes, 4)
        Last frame surely up, first and last frame surely down, first frame surely up again; -1 where the
        record begins or ends in between.
    """
    band = max(HYSTERESIS_M, HYSTERESIS_SIGMAS * track.noise_left_m(f"{side}_fingertip"))
    lowest = np.min([curve.values for curve in heights.values()], axis=0)
    known = np.logical_and.reduce([curve.known for curve in heights.values()])
    tip = heights["fingertip"].values
    state = np.where(lowest > band, 1, np.where(tip < -band, -1, 0)) * known
    sure = _without_brushes(state, tip)
    if not len(sure):
        return np.empty((0, 4), int)
    first = np.concatenate([[0], np.flatnonzero(np.diff(state[sure])) + 1])
    last = np.append(first[1:] - 1, len(sure) - 1)
    down = np.flatnonzero(state[sure][first] < 0)
    before = np.where(first[down] > 0, sure[first[down] - 1], -1)
    after = np.where(last[down] < len(sure) - 1, sure[np.minimum(last[down] + 1, len(sure) - 1)], -1)
    return np.stack([before, sure[first[down]], sure[last[down]], after], axis=1)


def _without_brushes(state: np.ndarray, tip: np.ndarray) -> np.ndarray:
    """Frames surely up or surely down, without stretches between two ups in which the hand stays shallow."""
    sure = np.flatnonzero(state)
    if not len(sure):
        return sure
    run = np.concatenate([[0], np.cumsum(np.diff(state[sure]) != 0)])
    deepest = np.minimum.reduceat(tip[sure], np.flatnonzero(np.diff(run, prepend=-1)))
    between = (run > 0) & (run < run[-1])
    return sure[~(between & (state[sure] < 0) & (deepest[run] > -DEEP_M))]


def _entries(track: Track, bands: np.ndarray, heights: dict[str, Curve]) -> np.ndarray:
    """Entry of each stroke. [s]"""
    tip, time = heights["fingertip"], track.time_s
    up, down = bands[:, 0], bands[:, 1]
    entry = np.where(up >= 0, tip.first_crossing(time[np.maximum(up, 0)], time[down], rising=False), np.nan)
    if up[0] < 0:
        entry[0] = _entry_at_first_frame(track, heights, down[0])
    return entry


def _entry_at_first_frame(track: Track, heights: dict[str, Curve], down: int) -> float:
    """Entry of a hand that is just going in as the record begins, or NaN."""
    tip, wrist, time = heights["fingertip"], heights["wrist"], track.time_s
    speed = float(tip.slope_at(time[0]))
    if not wrist.values[0] > 0 or not tip.readable(time[0], time[down]) or speed >= 0:
        return np.nan
    if tip.values[0] > 0:
        return float(tip.first_crossing(time[:1], time[down : down + 1], rising=False)[0])
    ago = tip.values[0] / speed
    allowed = max(0.5 / track.rate_hz, 3 * track.noise_left_m("left_fingertip") / -speed)
    return float(time[0] - ago) if ago <= allowed else np.nan


def _exits(track: Track, bands: np.ndarray, entry: np.ndarray, heights: list[Curve]) -> np.ndarray:
    """Exit of each stroke: the latest upward passage of the joints that count. [s]"""
    time, (_, down, last_down, up) = track.time_s, bands.T
    start = np.where(np.isnan(entry), time[down], entry)
    stop = np.where(up >= 0, time[np.maximum(up, 0)], np.nan)
    each = [curve.last_crossing(start, stop, rising=True) for curve in heights]
    sure = np.logical_and.reduce([curve.readable(time[last_down], stop) for curve in heights])
    return np.where(sure & ~np.isnan(each).all(axis=0), np.fmax.reduce(each), np.nan)


def _backward(
    track: Track, side: str, entry: np.ndarray, leave: np.ndarray, bands: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Start and end of backward movement of each stroke. [s]"""
    forward = track.signal(("x", side), lambda p: p[:, 0], f"{side}_knuckles")
    least = max(LASTING_M, HYSTERESIS_SIGMAS * track.noise_left_m(f"{side}_knuckles"))
    begin = np.where(np.isnan(entry), track.time_s[bands[:, 1]], entry)
    finish = np.where(np.isnan(leave), track.time_s[bands[:, 2]], leave)
    tops, bottoms = forward.turns(highest=True), forward.turns(highest=False)
    found = np.full((2, len(entry)), np.nan)
    for i, (low, high) in enumerate(zip(np.maximum(begin, track.time_s[0]), finish, strict=True)):
        if forward.readable(low, high):
            inner = [t[np.searchsorted(t, low) : np.searchsorted(t, high)] for t in (tops, bottoms)]
            times = np.concatenate([[low], np.sort(np.concatenate(inner)), [high]])
            found[:, i] = _lasting(times, forward.at(times), least)
    return found[0], found[1]


def _lasting(times: np.ndarray, x: np.ndarray, least: float) -> tuple[float, float]:
    """Furthest-forward point before the first, furthest-back point after the last backward travel of `least`.

    The ends of the window are no turning points: what would begin or end there is NaN.
    """
    forward, back = np.maximum.accumulate(x), np.minimum.accumulate(x[::-1])[::-1]
    gone, still = np.flatnonzero(forward - x >= least), np.flatnonzero(x - back >= least)
    if not len(gone) or not len(still):
        return np.nan, np.nan
    start = int(np.argmax(x[: gone[0] + 1]))
    end = int(still[-1] + 1 + np.argmin(x[still[-1] + 1 :]))
    return (
        times[start] if start > 0 else np.nan,
        times[end] if end < len(x) - 1 else np.nan,
    )


def _shoulder_plane(track: Track, side: str, begin: np.ndarray, leave: np.ndarray) -> np.ndarray:
    """Passage of the knuckles under their own shoulder. [s]"""
    names = f"{side}_knuckles", f"{side}_shoulder"
    if track.missing(*names):
        return np.full(len(begin), np.nan)
    ahead = track.signal(("ahead", side), lambda hand, shoulder: hand[:, 0] - shoulder[:, 0], *names)
    return ahead.first_crossing(begin, np.where(np.isnan(leave), track.time_s[-1], leave), rising=False)


def _first(entry: np.ndarray, step_s: float) -> int:
    """Row of the first entry at or after t = 0, half a frame of grace."""
    late = np.flatnonzero(entry >= -0.5 * step_s)
    return int(late[0]) if len(late) else len(entry)


def _whole(entry: np.ndarray, next_entry: np.ndarray, tip: Curve) -> np.ndarray:
    """Strokes with a closed cycle, without those in which a gap may have swallowed a stroke."""
    whole = np.isfinite(entry) & np.isfinite(next_entry)
    if whole.any():
        long = next_entry - entry > LONGEST_CYCLE * np.median((next_entry - entry)[whole])
        whole &= ~(long & ~tip.readable(np.maximum(entry, tip.time_s[0]), next_entry))
    return whole


def list_events(arms: dict[str, ArmStrokes], *, exit_rule: str = EXIT_RULE) -> tuple[Event, ...]:
    """All instants found, in order of time."""
    rules = {**EVENT_RULES, "exit": exit_rule}
    found = [
        Event(event, side, int(number), float(time), rules[event])
        for side in SIDES
        for event in EVENTS
        for number, time in zip(arms[side].number, getattr(arms[side], event), strict=True)
        if np.isfinite(time)
    ]
    return tuple(sorted(found, key=lambda event: event.time_s))
