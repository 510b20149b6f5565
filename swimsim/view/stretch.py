"""When each picture of a stretch is: whole breathing periods in real time, without a jump at the seams."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from swimsim.ground.errors import InputError
from swimsim.ground.records import Marks, Trace

from .backdrop import MARK_M
from .cameras import mean_speed
from .clock import Clock
from .look import Panel
from .parts import Part
from .sampling import clip_times, locked_times, unwrapped_phase

PATTERN_M = 2 * MARK_M  # what passes by looks the same after this way [m]
TILE_M = 0.25  # the same but for what marks each metre [m]
CLOSING = 0.03  # share by which the marks of a loop may pass faster or slower than the swimmer swims
MOST_PERIODS = 4  # breathing periods of a loop
_SAME = 1e-6  # periods


@dataclass(frozen=True)
class Stretch:
    """Times of every panel, and how often each picture is shown."""

    clocks: tuple[Clock, ...]
    repeats: np.ndarray

    @property
    def n_frames(self) -> int:
        """Pictures in all, repeats counted."""
        return int(self.repeats.sum())


class Periods:
    """The breathing periods of a trace, counted from the first entry of the arm that the phase is about."""

    def __init__(self, trace: Trace, marks: Marks):
        phase = unwrapped_phase(marks, trace)
        self.cycles = int(trace.meta.get("period_cycles", 1))
        if phase is None:  # one period: all there is
            phase, self.cycles = np.linspace(0.0, 1.0, len(trace.time_s)), 1
        self.phase, self.time = phase, trace.time_s
        self.first = float(np.ceil(phase[0] - _SAME))

    @property
    def count(self) -> float:
        """Breathing periods from the first entry to the end."""
        return (float(self.phase[-1]) - self.first) / self.cycles

    def at(self, periods: float | np.ndarray) -> np.ndarray:
        """Trace time at which so many periods have passed. [s]"""
        return np.interp(self.first + self.cycles * np.asarray(periods), self.phase, self.time)

    def passed(self, time_s: float | np.ndarray) -> np.ndarray:
        """Periods that have passed at a trace time."""
        return (np.interp(time_s, self.time, self.phase) - self.first) / self.cycles


@dataclass
class Timeline:
    """Plans the parts of a clip one after the other.

    Pictures are exactly `slow / fps` of swimming apart, also across a seam: the last picture before it and the
    first one after it are a step apart in the stroke, however many whole periods lie between. What passes by
    goes on without a jump.
    """

    fps: float
    spare_s: float = 0.0  # from the last seam to the next picture, in time of the clip [s]
    shown: float = 0.0  # periods after the first entry, at the last seam
    ends: dict[int, float] = field(default_factory=dict)  # trace -> its time at the last seam [s]
    travel: dict[int, float] = field(default_factory=dict)  # trace -> way shown until the last seam [m]

    def plan(self, part: Part) -> Stretch:
        """The pictures of a part with panels.

        Raises
        ------
        InputError
            More swimming than there is, a stop outside the part, a loop in real time.
        """
        if not np.isfinite(self.fps) or self.fps <= 0:
            raise InputError(f"clip: fps: expected a positive number, got {self.fps}")
        if part.unit == "s":
            return self._seconds(part)
        periods = [Periods(*panel) for panel in part.panels]
        return self._loop(part, periods) if part.loop else self._periods(part, periods)

    def _seconds(self, part: Part) -> Stretch:
        """A stretch from the start of the trace, or from some seconds after it."""
        (trace, _), start = part.panels[0], part.start or 0.0
        until = None if part.length is None else start + part.length
        lead = clip_times(trace, fps=self.fps, slow=part.slow, seconds=until)
        lead = lead[lead >= trace.time_s[0] + start - 1e-9]
        if not len(lead):
            raise InputError(f"clip: start: expected less than the length of the trace, got {start} s")
        times = locked_times(list(part.panels), lead) if part.locked else real_times(part.panels, lead)
        self.spare_s = 0.0
        return Stretch(tuple(Clock(t) for t in times), np.ones(len(times[0]), int))

    def _periods(self, part: Part, periods: list[Periods]) -> Stretch:
        length = part.length or 1.0
        begin = self._begin(part, length, most=min(p.count for p in periods))
        lead, last = periods[0], part.panels[0][0].time_s[-1]
        start, end = (float(lead.at(p)) for p in (begin, begin + length))
        first, step = start + self.spare_s * part.slow, part.slow / self.fps
        count = max(1, int(np.ceil((end - first) / step - _SAME)))
        times = np.minimum(first + step * np.arange(count), last)
        times, repeats = self._stopped(part, lead, times, begin=begin)
        clocks = []
        for (trace, _), own in zip(part.panels, periods, strict=True):
            if part.locked:
                seams, own_times = (
                    (float(own.at(begin)), float(own.at(begin + length))),
                    own.at(lead.passed(times)),
                )
            else:
                seams = self._in_real_time(part, trace, own, (begin, end - start))
                own_times = seams[0] + times - start
            clocks.append(Clock(own_times, self._drift(trace, seams, count)))
        self.spare_s, self.shown = max((first + count * step - end) / part.slow, 0.0), begin + length
        return Stretch(tuple(clocks), repeats)

    def _begin(self, part: Part, length: float, *, most: float) -> float:
        """Period at which a part begins: the one asked for, the next one, or an earlier one when there is none."""
        begin = self.shown if part.start is None else part.start
        if part.start is None and begin + length > most + _SAME:
            begin = begin % 1.0 + (1.0 if 1.0 + begin % 1.0 + length <= most + _SAME else 0.0)
        if begin < 0 or begin + length > most + _SAME:
            raise InputError(
                f"clip: expected a stretch within {most:.2f} breathing periods, got {begin:g} to {begin + length:g}"
            )
        return begin

    def _in_real_time(
        self, part: Part, trace: Trace, own: Periods, stretch: tuple[float, float]
    ) -> tuple[float, float]:
        """Trace times at which an unlocked panel begins and ends: where it was, less whole periods of its own."""
        begin, span = stretch
        start = (
            float(own.at(begin)) if part.start is not None else self.ends.get(id(trace), float(own.at(begin)))
        )
        period = float(own.at(1.0) - own.at(0.0))
        over = max(start + span - float(trace.time_s[-1]), 0.0)
        start -= np.ceil(over / period - _SAME) * period
        if start < trace.time_s[0] - _SAME:
            raise InputError(f"clip: expected {span:.2f} s of swimming in every panel, in real time")
        return start, start + span

    def _drift(self, trace: Trace, seams: tuple[float, float], count: int) -> np.ndarray | None:
        """What makes the way go on from the last seam: at most half a pattern. [m]"""
        way = mean_speed(trace) * np.array(seams)
        jump = self.travel.get(id(trace), way[0]) - way[0]
        drift = jump - PATTERN_M * np.round(jump / PATTERN_M)
        self.ends[id(trace)], self.travel[id(trace)] = seams[1], way[1] + drift
        return np.full(count, drift) if abs(drift) > 1e-9 else None

    def _stopped(
        self, part: Part, lead: Periods, times: np.ndarray, *, begin: float
    ) -> tuple[np.ndarray, np.ndarray]:
        """Times, and how often each picture is shown: once, and the one at a stop for as long as that lasts.

        The first picture at or after a stop is moved back onto it, so that it shows that very instant.
        """
        times, repeats = times.copy(), np.ones(len(times), int)
        end = float(lead.passed(times[-1]))
        for stop in part.stops:
            place = begin + stop / lead.cycles
            if stop < 0 or place > end + _SAME:
                raise InputError(f"clip: stop: expected a share within the part, got {stop:g} cycles")
            at = float(lead.at(place))
            picture = min(int(np.searchsorted(times, at - _SAME)), len(times) - 1)
            times[picture] = at
            repeats[picture] = 1 + round(part.stop_s * self.fps)
        return times, repeats

    def _loop(self, part: Part, periods: list[Periods]) -> Stretch:
        """Whole breathing periods that close.

        The number of pictures is whole, so swimming is shown at most half a picture per loop faster or slower
        than the speed says. What passes by travels at the nearest speed that closes too, within 3 % of the
        swimmer's own. If four periods or fewer can close the whole pattern of 1 m, the fewest are shown; else
        as many as close all but the marks of each metre, which then jump once per loop; else one period, in
        which all that passes by jumps. The lane of a loop is endless.
        """
        if not part.locked:
            raise InputError(
                "clip: loop: expected panels that show the same share of the stroke, got real time"
            )
        begin = part.start or 0.0
        traces = [trace for trace, _ in part.panels]
        number, ways = _closing(part, traces, periods, begin)
        start, end = (periods[0].at(p) for p in (begin, begin + number))
        count = max(2, round(float(end - start) * self.fps / part.slow))
        share = np.arange(count) / count
        clocks = tuple(
            Clock(own.at(begin + number * share), way * share, float(own.at(begin + number) - own.at(begin)))
            for own, way in zip(periods, ways, strict=True)
        )
        return Stretch(clocks, np.ones(count, int))


def real_times(panels: tuple[Panel, ...], lead_s: np.ndarray) -> list[np.ndarray]:
    """Trace time of every picture, each panel on its own clock from the start of its trace. [s]"""
    passed = lead_s - panels[0][0].time_s[0]
    times = [passed + trace.time_s[0] for trace, _ in panels]
    count = min(
        int((t <= trace.time_s[-1] + 1e-9).sum()) for t, (trace, _) in zip(times, panels, strict=True)
    )
    return [t[:count] for t in times]


def _closing(
    part: Part, traces: list[Trace], periods: list[Periods], begin: float
) -> tuple[int, list[float]]:
    """Number of periods of a loop, and how much farther each swimmer must seem to come for it to close. [m]"""
    most = min(p.count for p in periods) - begin + _SAME
    asked = part.length
    numbers = range(1, int(min(most, MOST_PERIODS)) + 1) if asked is None else [round(asked)]
    if not len(numbers) or numbers[0] < 1 or numbers[0] > most or (asked or 1) != round(asked or 1):
        raise InputError(
            f"clip: loop: expected whole breathing periods, at least one and at most {most:.2f}, "
            f"got {'none' if asked is None else f'{asked:g}'}"
        )
    for pattern in (PATTERN_M, TILE_M):
        for number in numbers:
            ends = (begin, begin + number)
            ways = [
                mean_speed(t) * float(np.diff(p.at(ends))[0]) for t, p in zip(traces, periods, strict=True)
            ]
            more = [pattern * round(way / pattern) - way for way in ways]
            if all(abs(m) <= CLOSING * abs(way) for m, way in zip(more, ways, strict=True)):
                return number, more
    return numbers[0], [0.0] * len(traces)
