"""The recovery study: the same swimmer read at several frame rates, with and without white noise."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ..ground.records import Event, Measure, Trace
from ..metrics import Reading, measure_trace
from .event_match import EventScore, score_events
from .recovery import grade, recovery_rows


@dataclass(frozen=True)
class StudyRow:
    """One measure at one frame rate and noise: bias and scatter of the value over all cycles, over the seeds.

    `missing` counts readings without a value; `grade` holds the root-mean-square error against the yardstick.
    """

    rate_hz: float
    noise_m: float
    measure: str
    side: str | None
    truth: float
    n: int
    missing: int
    bias: float
    sd: float
    unit: str
    grade: str
    reason: str | None


@dataclass(frozen=True)
class Study:
    """All rows, event scores by (rate, noise), and the rules of the readings."""

    rows: tuple[StudyRow, ...]
    events: dict[tuple[float, float], tuple[EventScore, ...]]
    rules: dict[tuple[float, float], str]

    def text(self) -> str:
        """The study as text: the filter and rules, the measures, the events."""
        parts = []
        for key, rule in self.rules.items():
            parts.append(f"\n{key[0]:g} Hz, noise {1000 * key[1]:g} mm. {rule}")
            parts.append(
                f"{'measure':34} {'side':5} {'truth':>9} {'bias':>9} {'SD':>9} unit   grade  n (missing)"
            )
            parts += [_line(row) for row in self.rows if (row.rate_hz, row.noise_m) == key]
            parts += [str(score) for score in self.events.get(key, ())]
        return "\n".join(parts)


def recovery_study(
    trace_maker: Callable[[float], Trace],
    truth: Iterable[Measure],
    *,
    events: Iterable[Event] = (),
    rates: Sequence[float] = (25, 60, 120),
    noise_m: Sequence[float] = (0.0, 0.005),
    seeds: Sequence[int] = range(5),
) -> Study:
    """Read the same swimmer again and again.

    Parameters
    ----------
    trace_maker : callable
        Gives the trace at a frame rate [Hz].
    truth, events : iterables of Measure and Event
        What is true; without events no event scores.
    noise_m : sequence of float
        Standard deviations of white noise on every coordinate [m]; without noise one reading is enough.
    seeds : sequence of int
        One reading with noise for each.
    """
    truth, events = tuple(truth), tuple(events)
    rows: list[StudyRow] = []
    scores, rules = {}, {}
    for rate in rates:
        trace = trace_maker(rate)
        for sigma in noise_m:
            key = (float(rate), float(sigma))
            readings = [measure_trace(with_noise(trace, sigma, seed=s)) for s in (seeds if sigma else (0,))]
            rows += _rows(key, truth, readings)
            rules[key] = readings[0].rule
            if events:
                ends = (trace.time_s[0] + 1 / rate, trace.time_s[-1] - 1 / rate)
                scores[key] = score_events(events, readings[0].events, between_s=ends)
    return Study(tuple(rows), scores, rules)


def with_noise(trace: Trace, sigma_m: float, *, seed: int) -> Trace:
    """The trace with white noise on every coordinate."""
    if not sigma_m:
        return trace
    noise = np.random.default_rng(seed).normal(0.0, sigma_m, trace.joints_m.shape)
    return Trace(trace.time_s, trace.joints_m + noise, trace.joint_names, trace.rate_hz, trace.meta)


def _rows(key: tuple[float, float], truth: tuple[Measure, ...], readings: list[Reading]) -> list[StudyRow]:
    """Bias and scatter of every measure over the readings."""
    tables = [recovery_rows("", truth, reading, cycles=False) for reading in readings]
    rows = []
    for same in zip(*tables, strict=True):
        first = same[0]
        errors = np.array([row["error"] for row in same])
        good = errors[np.isfinite(errors)]
        bias = float(good.mean()) if len(good) else np.nan
        sd = float(good.std(ddof=1)) if len(good) > 1 else np.nan
        rms = float(np.sqrt(np.mean(good**2))) if len(good) else np.nan
        reason = next((row["reason"] for row in same if row["reason"]), None)
        mark = grade(first["measure"], first["unit"], rms)
        what = first["measure"], first["side"], first["truth"]
        count = len(good), len(errors) - len(good)
        rows.append(StudyRow(*key, *what, *count, bias, sd, first["unit"], mark, reason))
    return rows


def _line(row: StudyRow) -> str:
    numbers = " ".join(f"{v:9.3f}" if np.isfinite(v) else f"{'-':>9}" for v in (row.truth, row.bias, row.sd))
    count = f"{row.n}" + (f" ({row.missing}: {row.reason})" if row.missing else "")
    return f"{row.measure:34} {row.side or '':5} {numbers} {row.unit:6} {row.grade:6} {count}"
