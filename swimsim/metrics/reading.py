"""The blind reader: events and measures from a trace alone, whoever made it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from ..ground.errors import InputError, nearest
from ..ground.records import Event, Measure, Trace
from . import (
    measures_arm,
    measures_head,
    measures_legs,
    measures_lines,
    measures_rates,
    measures_roll,
    measures_still,
    measures_symmetry,
)
from .events import EXIT_JOINTS, EXIT_RULE, list_events
from .gaps import LONGEST_FILLED_S
from .readout import Told, to_measures, trusted, unreadable
from .strokes import HEAD_TURN_DEG, Strokes, read_strokes
from .track import Track

_PARTS = (
    measures_rates.rates, measures_rates.phases, measures_rates.coordination,
    measures_roll.rolls,
    measures_lines.hand_lines, measures_lines.depth_and_travel,
    measures_arm.elbows, measures_arm.forearms, measures_arm.palms_and_recovery,
    measures_legs.trunk, measures_legs.kicks, measures_legs.legs,
    measures_head.breaths,
    measures_symmetry.spacings, measures_still.lead_hands,
)  # fmt: skip

#: What only some kinds of view of one camera can tell; the rest is read from every view.
_SEEN_FROM = {
    measures_roll.rolls: ("front",),
    measures_lines.hand_lines: ("front", "below"),
    measures_arm.elbows: ("side",),
    measures_arm.forearms: ("side",),
    measures_legs.trunk: ("side",),
    measures_legs.kicks: ("side", "front"),
    measures_legs.legs: ("side", "front"),
}


@dataclass(frozen=True)
class Reading:
    """What was read off a trace.

    Parameters
    ----------
    events : tuple of Event
        In order of time.
    measures : tuple of Measure
        In the order of the definitions: the value over all cycles (cycle None), by breath where both kinds of
        stroke exist, then cycle by cycle.
    cutoff_hz : dict of str to float or None
        Smoothing of each group of joints, None where it was left as it is. [Hz]
    noise_m : dict of str to float
        Noise that residual analysis found in each group. [m]
    rule : str
        Filter, event and breath rules in words.
    sizes_m : dict of str to float
        Sizes of the body as read: `half_shoulder_width`, `stature`; NaN where they cannot be read. [m]
    breathing : dict of side to dict of cycle to bool
        Which strokes of an arm carry a breath to its side; without those of which nobody can say.
    """

    events: tuple[Event, ...]
    measures: tuple[Measure, ...]
    cutoff_hz: dict[str, float | None]
    noise_m: dict[str, float]
    rule: str
    sizes_m: dict[str, float] = field(default_factory=dict)
    breathing: dict[str, dict[int, bool]] = field(default_factory=dict)

    def measure(
        self, name: str, side: str | None = None, *, cycle: int | None = None, breathing: bool | None = None
    ) -> Measure:
        """One measure; KeyError if it was not read for that side or cycle."""
        for measure in self.measures:
            if (measure.measure, measure.side, measure.cycle, measure.breathing) == (
                name,
                side,
                cycle,
                breathing,
            ):
                return measure
        raise KeyError(f"{name}, side {side}, cycle {cycle}, breathing {breathing}")


def measure_trace(
    trace: Trace,
    *,
    cutoff_hz: float | str | None = "auto",
    exit_rule: str = EXIT_RULE,
    view: str | None = None,
    longest_gap_s: float = LONGEST_FILLED_S,
) -> Reading:
    """Read every event and measure of `shared/definitions.toml` off a trace.

    Parameters
    ----------
    trace : Trace
        From any source, 25 Hz or more. NaN marks missing positions; gaps up to 0.1 s are filled in.
    cutoff_hz : float, "auto" or None
        Cut-off of the zero-lag smoothing: set, by residual analysis for each group of joints, or none. [Hz]
    exit_rule : str
        `last_of_hand_above_surface` or `wrist_above_surface`.
    view : {"side", "front", "below"}, optional
        The trace was lifted from one camera: what its view cannot tell is not worked out.
    longest_gap_s : float
        Longest gap that is filled in. [s]

    Returns
    -------
    Reading
        A value that cannot be read is NaN and says why.

    Raises
    ------
    InputError
        A cut-off or rule that cannot be used.
    """
    check(trace, cutoff_hz, exit_rule)
    how = {"cutoff_hz": cutoff_hz, "exit_rule": exit_rule, "longest_gap_s": longest_gap_s}
    return read_points(trace, view=view, told={}, **how)


def read_points(
    trace: Trace,
    *,
    cutoff_hz: float | str | None,
    exit_rule: str,
    view: str | None,
    longest_gap_s: float,
    told: Told,
) -> Reading:
    """`measure_trace`, with what a picture does not tell left out by `told`."""
    track = Track(trace, cutoff_hz, longest_gap_s=longest_gap_s)
    if track.unreadable:
        return Reading((), unreadable(track.unreadable, told), {}, {}, track.unreadable)
    with np.errstate(invalid="ignore"):
        strokes = read_strokes(track, exit_rule=exit_rule)
        readouts = [trusted(readout, strokes) for part in _told(view) for readout in part(strokes)]
        readouts += measures_symmetry.indices(readouts)
        measures = to_measures(readouts, strokes, told=told)
    return Reading(
        list_events(strokes.arms, exit_rule=exit_rule),
        measures,
        {group: smoothing.cutoff_hz for group, smoothing in track.smoothing.items()},
        {group: smoothing.noise_m for group, smoothing in track.smoothing.items()},
        _rule(strokes, exit_rule),
        strokes.sizes_m,
        {side: _breaths(strokes, side) for side in strokes.cycles},
    )


def _breaths(strokes: Strokes, side: str) -> dict[int, bool]:
    """Whether each stroke of an arm carries a breath, as far as the head is seen."""
    pairs = zip(strokes.cycles[side].number.tolist(), strokes.breathing[side].tolist(), strict=True)
    return {cycle: bool(kind) for cycle, kind in pairs if kind == kind}


def _told(view: str | None) -> list:
    """The parts that a view can tell."""
    return [part for part in _PARTS if view is None or view in _SEEN_FROM.get(part, (view,))]


def check(trace: Trace, cutoff_hz: float | str | None, exit_rule: str) -> None:
    """Refuse a cut-off or rule that cannot be used."""
    if exit_rule not in EXIT_JOINTS:
        raise InputError(f"exit_rule: '{exit_rule}' is not known, {nearest(exit_rule, EXIT_JOINTS)}")
    if cutoff_hz is None or cutoff_hz == "auto":
        return
    limit = 0.5 * trace.rate_hz
    if isinstance(cutoff_hz, (bool, str)) or not 0 < cutoff_hz < limit:
        raise InputError(
            f"cutoff_hz: expected 'auto', none or a number above 0 and below {limit:g}, got {cutoff_hz!r}"
        )


def _rule(strokes: Strokes, exit_rule: str) -> str:
    """Filter and rules in words."""
    parts = [
        f"{group} {'not smoothed' if s.cutoff_hz is None else f'{s.cutoff_hz:.2f} Hz'}"
        f" (noise {1000 * s.noise_m:.2f} mm; {s.how})"
        for group, s in strokes.track.smoothing.items()
    ]
    return (
        "zero-lag Butterworth, second order run both ways, half-power point of both passes: "
        + ("; ".join(parts) or "nothing to smooth")
        + f". Frames {strokes.track.rate_hz:.4g} Hz, events between frames on cubic curves, "
        f"exit by {exit_rule}. Breathing stroke: face turned more than {HEAD_TURN_DEG:g} degrees "
        "from straight down to the side of the arm between its shoulder plane and its next entry."
    )
