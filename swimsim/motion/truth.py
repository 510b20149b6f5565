"""The exact truth about a motion: events, measures and the pattern, all from continuous functions of time."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..ground.conventions import EVENT_RULES, EVENTS, SIDES, other_side
from ..ground.records import Event, Measure
from ..ground.tables import read_toml
from ..stroke.pattern import StrokePattern, parts_of
from .arm_truth import PERCENT, arm_events, arm_values
from .body_truth import kick_values, roll_values, trunk_slope
from .head_truth import BREATH_MEASURES, breath_values
from .kinematics import Motion
from .leg_truth import leg_values
from .symmetry_truth import spacing, symmetry_values

_RATIOS = ("hip_roll_dip", "hip_split")  # bare numbers, share of something other than the cycle
SIDEWAYS = (
    "twist_range",
    "hip_shoulder_ratio",
    "hip_lag",
    "foot_gap",
    "palm_out_at_entry",
    "symmetry_index",
    *BREATH_MEASURES,
)


@dataclass(frozen=True)
class Truth:
    """Events in time order, measures in door units, and every resolved pattern parameter (angles in degrees)."""

    events: tuple[Event, ...]
    measures: tuple[Measure, ...]
    pattern: dict[str, object]

    def value(self, measure: str, side: str | None = None, *, breathing: bool | None = None) -> float:
        """Mean value of a measure over the period, in its door unit.

        Raises
        ------
        ValueError
            No such measure for that side.
        """
        for m in self.measures:
            if (m.measure, m.side, m.cycle, m.breathing) == (measure, side, None, breathing):
                return m.value
        raise ValueError(f"truth: no measure '{measure}' for side {side}, breathing {breathing}")


def take_truth(motion: Motion, duration_s: float) -> Truth:
    """The truth about a motion swum for `duration_s` seconds."""
    period = motion.period_cycles
    at, arms = {}, {}
    for side in SIDES:
        at[side], arms[side] = arm_values(motion.arms[side], period)
        at[side]["deepest"] = motion.arms[side].greatest_depth(at[side]["entry"], at[side]["exit"])[0]
    values: dict[tuple[str, str | None], np.ndarray | float] = {}
    for side in SIDES:
        values |= {(name, side): value for name, value in arms[side].items()}
    values |= _coordination(motion, at)
    values |= roll_values(motion)
    values |= kick_values(motion, at)
    values |= leg_values(motion, at)
    values |= _rates(motion)
    values[("trunk_slope", None)] = trunk_slope(motion)
    entries = {side: at[side]["entry"] for side in SIDES}
    values |= spacing(entries, {side: motion.arms[side].lag for side in SIDES}, period)
    values |= symmetry_values(values)
    measures = [
        m for (name, side), value in values.items() for m in _as_measures(motion.pattern, name, side, value)
    ]
    measures += _breathing_difference(motion.pattern, arms)
    for (name, side), value in breath_values(motion, at).items():
        measures += _of_breaths(name, side, value)
    if motion.dimensions == 2:
        measures = [_without_sideways(m) for m in measures]
    order = list(read_toml("definitions")["measure"])
    measures.sort(key=lambda m: order.index(m.measure))
    return Truth(_events(motion, duration_s), tuple(measures), pattern_table(motion.pattern))


def needs_sideways(measure: str) -> bool:
    """Whether a measure cannot be read in the swimming plane."""
    return "roll" in measure or "line" in measure or measure in SIDEWAYS


def _without_sideways(m: Measure) -> Measure:
    """The same measure of the planar swimmer: null where it needs the sideways direction."""
    if needs_sideways(m.measure):
        return dataclasses.replace(
            m, value=float("nan"), reason="planar swimmer: it has no sideways direction"
        )
    return m


def _events(motion: Motion, duration_s: float) -> tuple[Event, ...]:
    """All events between time 0 and the end; cycle -1 is the one under way at time 0."""
    events = []
    for side in SIDES:
        arm = motion.arms[side]
        cycles = np.arange(-1, int(np.ceil(duration_s * motion.frame.rate)) + 1)
        places = arm_events(arm, cycles)
        for name in EVENTS:
            times = arm.time(places[name])
            events += [
                Event(name, side, int(cycle), max(float(t), 0.0), EVENT_RULES[name])
                for cycle, t in zip(cycles, times, strict=True)
                if -1e-9 <= t <= duration_s
            ]
    return tuple(sorted(events, key=_in_time))


def _in_time(event: Event) -> tuple[float, int, str]:
    """Sort key: time to the nanosecond, then the order of the events in a stroke, then the side."""
    return round(event.time_s, 9), EVENTS.index(event.event), event.side


def _coordination(motion: Motion, at) -> dict[tuple[str, str | None], np.ndarray | float]:
    """Indices of coordination under both rules: end of this arm's push minus the other arm's next start. [%]"""
    period, values = motion.period_cycles, {}
    for name, event in (("coordination_index", "exit"), ("coordination_index_backward", "end_backward")):
        for side in SIDES:
            other = other_side(side)
            ends = at[side][event] + motion.arms[side].lag
            starts = at[other]["start_backward"] + motion.arms[other].lag
            if side == "left":  # the right arm starts again one cycle later
                starts = np.append(starts[1:], starts[0] + period)
            values[(f"{name}_side", side)] = (ends - starts) * PERCENT
        values[(name, None)] = float(np.mean([values[(f"{name}_side", side)].mean() for side in SIDES]))
    return values


def _rates(motion: Motion) -> dict[tuple[str, None], float]:
    cycle = motion.cycle_s
    whole = motion.period_cycles * cycle
    travel = motion.frame.motion.advance(np.array([0.0, whole]))
    speed = float(travel[1] - travel[0]) / whole
    return {
        ("stroke_rate", None): 60 / cycle,
        ("stroke_length", None): speed * cycle,
        ("speed", None): speed,
        ("cycle_time", None): cycle,
    }


def _as_measures(pattern: StrokePattern, name: str, side: str | None, value) -> list[Measure]:
    """Mean over the period, then each cycle and each breath state where they can differ."""
    gap = "not defined for this motion"
    values = np.atleast_1d(np.asarray(value, float))
    rows = [_measure(name, side, None, None, values.mean(), gap)]
    if len(values) == 1:
        return rows
    rows += [_measure(name, side, cycle, None, v, gap) for cycle, v in enumerate(values)]
    # The left side is highest while the left arm of the cycle before recovers: its breath belongs to that peak.
    before = 1 if side == "left" and "roll" in name else 0
    breath = np.array([pattern.breathes(side, cycle - before) for cycle in range(len(values))])
    for state in (True, False):
        if breath.any() and (breath == state).any():
            rows.append(_measure(name, side, None, state, values[breath == state].mean(), gap))
    return rows


def _of_breaths(name: str, side: str, values: np.ndarray) -> list[Measure]:
    """Mean over the strokes with a breath, then each stroke."""
    known = values[np.isfinite(values)]
    gap = "no breath in this stroke" if len(known) else "no breath to this side"
    rows = [_measure(name, side, None, None, known.mean() if len(known) else np.nan, gap)]
    if len(values) > 1:
        rows += [_measure(name, side, cycle, None, value, gap) for cycle, value in enumerate(values)]
    if 0 < len(known) < len(values):
        rows.append(_measure(name, side, None, True, known.mean(), gap))
    return rows


def _measure(name, side, cycle, breathing, value, gap) -> Measure:
    row = read_toml("definitions")["measure"][name]
    value = float(value)
    reason = None if np.isfinite(value) else gap
    return Measure(
        name, side, cycle, value, row["unit"], row["rule"], name, breathing=breathing, reason=reason
    )


def _breathing_difference(pattern: StrokePattern, arms) -> list[Measure]:
    """Greatest hand line of an arm's breathing strokes minus that of its others, or of the other arm's. [cm]"""
    rows = []
    for side in SIDES:
        breath, own = _by_breath(pattern, arms, side)
        rest = own or _by_breath(pattern, arms, other_side(side))[1]
        gap = "no strokes without a breath" if breath else "no breathing strokes of this arm"
        value = np.mean(breath) - np.mean(rest) if breath and rest else np.nan
        rows.append(_measure("pull_line_breathing_difference", side, None, None, value, gap))
    return rows


def _by_breath(pattern: StrokePattern, arms, side: str) -> tuple[list[float], list[float]]:
    """Greatest hand lines of one arm's breathing strokes and of its others. [cm]"""
    lines = arms[side]["pull_line"]
    states = [pattern.breathes(side, cycle) for cycle in range(len(lines))]
    return tuple(
        [float(v) for v, b in zip(lines, states, strict=True) if b is kind] for kind in (True, False)
    )


def pattern_table(pattern: StrokePattern) -> dict[str, object]:
    """Every resolved parameter by name with its unit, angles in degrees; arms by side and breath state."""
    table: dict[str, object] = {
        "stroke_rate_per_min": pattern.stroke_rate_hz * 60,
        "speed_m_s": pattern.speed_m_s,
        "stroke_length_m": pattern.stroke_length_m,
        "arm_lag_share": pattern.arm_lag_share,
        "breathing_side": pattern.breathing_side,
        "breathing_every": pattern.breathing_every,
        "kick_beats": pattern.kick_beats,
        "period_cycles": pattern.period_cycles,
    }
    for part, record in parts_of(pattern).items():
        for f in dataclasses.fields(record):
            value = getattr(record, f.name)
            if f.name.endswith("_rad"):
                table[f"{part}_{f.name.removesuffix('_rad')}_deg"] = float(np.degrees(value))
            else:
                table[f"{part}_{f.name}{'_ratio' if f.name in _RATIOS else ''}"] = value
    return table
