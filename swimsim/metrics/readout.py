"""From arrays of per-cycle values to Measure records: every key of the definitions, NaN with a reason."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ..ground.conventions import SIDES
from ..ground.records import Measure
from ..ground.tables import read_toml
from .strokes import Strokes

LEAST_FOR_UNCERTAINTY = 3


@dataclass(frozen=True)
class Readout:
    """Values of one measure, on one side, before they become records. Units are those at the door.

    Parameters
    ----------
    measure : str
        Definition key.
    side : str or None
    values : numpy.ndarray, shape (n_cycles,)
        One value for each cycle, NaN where not readable.
    joints : tuple of str
    times : numpy.ndarray, shape (n_cycles,) or (n_cycles, k), or None
        Instants (or first and last instant) the values were read at. [s]
    number : numpy.ndarray of int, shape (n_cycles,), or None
        Cycle numbers; None: those of the arm, or of the body for side None. Empty: the value belongs to no
        cycle.
    overall : float or None
        The value for all cycles together where it is not the mean of the cycles.
    turn : float or None
        Values are angles that repeat after this much.
    reason : str or None
        Why values are NaN, where there is more to say than a missing joint.
    """

    measure: str
    side: str | None
    values: np.ndarray
    joints: tuple[str, ...]
    times: np.ndarray | None = None
    number: np.ndarray | None = None
    overall: float | None = None
    turn: float | None = None
    reason: str | None = None


def to_measures(readouts: list[Readout], strokes: Strokes) -> tuple[Measure, ...]:
    """Records in the order of the definitions: over all cycles, then by breath, then cycle by cycle."""
    known = {(readout.measure, readout.side): readout for readout in readouts}
    measures: list[Measure] = []
    frames = _all_frames(readouts, strokes)
    for key, definition in read_toml("definitions")["measure"].items():
        for side in SIDES if definition["per"] == "side" else (None,):
            readout = known.get((key, side))
            if readout is None or not len(readout.values):
                measures.append(_empty(key, side, definition, readout, strokes))
            else:
                measures.extend(_records(readout, definition, strokes, frames.get(id(readout))))
    return tuple(measures)


def unreadable(reason: str) -> tuple[Measure, ...]:
    """Every measure NaN, for one reason."""
    return tuple(
        Measure(key, side, None, np.nan, d["unit"], d["rule"], key, reason=reason)
        for key, d in read_toml("definitions")["measure"].items()
        for side in (SIDES if d["per"] == "side" else (None,))
    )


def nothing_read(measures: Iterable[Measure]) -> str | None:
    """Why nothing at all could be measured: the commonest reason; None if anything was."""
    measures = list(measures)
    if any(np.isfinite(m.value) for m in measures):
        return None
    return Counter(m.reason for m in measures).most_common(1)[0][0]


def mean(values: np.ndarray, *, turn: float | None = None) -> tuple[float, float | None]:
    """Mean of the finite values and its standard uncertainty, SD / sqrt(n), from three values on.

    With `turn` the mean goes round the circle and the scatter is taken from it.
    """
    known = [value for value in np.asarray(values).tolist() if math.isfinite(value)]
    if not known:
        return math.nan, None
    if turn:
        angles = [value * 2 * math.pi / turn for value in known]
        centre = (
            math.atan2(math.fsum(map(math.sin, angles)), math.fsum(map(math.cos, angles)))
            * turn
            / (2 * math.pi)
        )
        known = [centre + (value - centre + turn / 2) % turn - turn / 2 for value in known]
        middle = math.fsum(known) / len(known)
    else:
        centre = middle = math.fsum(known) / len(known)
    if len(known) < LEAST_FOR_UNCERTAINTY:
        return centre, None
    spread = math.fsum((value - middle) ** 2 for value in known) / (len(known) - 1)
    return centre, math.sqrt(spread / len(known))


def _records(
    readout: Readout, definition: dict, strokes: Strokes, frames: list[tuple[int, ...]] | None
) -> list[Measure]:
    values = readout.values
    if frames is None:
        frames = [()] * len(values)
    base = (readout.measure, readout.side)
    rest = (definition["unit"], definition["rule"], readout.measure)
    why = _reason(readout, strokes)
    records = [_over(readout, rest, values, (None, why, frames))]
    for kind in _breath_kinds(readout, strokes):
        part = strokes.breathing[readout.side] == kind
        records.append(
            _over(readout, rest, values[part], (bool(kind), why, [frames[i] for i in np.flatnonzero(part)]))
        )
    why_not = (
        why
        if not np.isfinite(values).any()
        else readout.reason or "an instant or a joint is missing in this cycle"
    )
    number = _numbers(readout, strokes)
    for i, value in enumerate(values[: len(number)].tolist()):
        reason = why_not if value != value else None
        records.append(
            Measure(*base, number[i], value, *rest, reason=reason, frames=frames[i], joints=readout.joints)
        )
    return records


def _over(readout: Readout, rest: tuple[str, str, str], values: np.ndarray, extra: tuple) -> Measure:
    """The record for several cycles together."""
    breathing, why, frames = extra
    value, uncertainty = mean(values, turn=readout.turn)
    if readout.overall is not None and breathing is None:
        value = float(readout.overall)
    return Measure(
        readout.measure, readout.side, None, value, *rest, breathing=breathing,
        reason=None if np.isfinite(value) else why, uncertainty=uncertainty,
        frames=tuple(sorted({f for one in frames for f in one})), joints=readout.joints,
    )  # fmt: skip


def _numbers(readout: Readout, strokes: Strokes) -> list[int]:
    if readout.number is not None:
        return readout.number.tolist()
    return (strokes.cycles[readout.side] if readout.side else strokes.body).number.tolist()


def _all_frames(readouts: Sequence[Readout], strokes: Strokes) -> dict[int, list[tuple[int, ...]]]:
    """Frames nearest to the instants of each cycle, for every readout (by its identity) in one go."""
    timed = [
        (id(readout), np.asarray(readout.times, float)) for readout in readouts if readout.times is not None
    ]
    flat = np.concatenate([times.ravel() for _, times in timed]) if timed else np.empty(0)
    found, start, frames = strokes.track.nearest_frames(flat).tolist(), 0, {}
    for key, times in timed:
        width, stop = times.size // max(len(times), 1), start + times.size
        rows = (found[i : i + width] for i in range(start, stop, width)) if width else ()
        frames[key] = [tuple(f for f in row if f >= 0) for row in rows]
        start = stop
    return frames


def _breath_kinds(readout: Readout, strokes: Strokes) -> tuple[int, ...]:
    """1 and 0 where the strokes of this side are of both kinds."""
    if readout.side is None or readout.number is not None:
        return ()
    kinds = strokes.breathing[readout.side]
    return (1, 0) if (kinds == 1).any() and (kinds == 0).any() else ()


def _reason(readout: Readout, strokes: Strokes) -> str:
    lacking = strokes.track.missing(*readout.joints)
    if lacking:
        return f"joint missing: {', '.join(lacking)}"
    return readout.reason or "the instant it is read at was not found in any cycle"


def _empty(
    key: str, side: str | None, definition: dict, readout: Readout | None, strokes: Strokes
) -> Measure:
    """A NaN record that says why there is no value."""
    if readout is not None and readout.reason:
        reason = readout.reason
    elif side is None:
        reason = "; ".join(dict.fromkeys(_why_no_cycle(strokes, each) for each in SIDES))
    else:
        reason = _why_no_cycle(strokes, side)
    return Measure(key, side, None, np.nan, definition["unit"], definition["rule"], key, reason=reason)


def _why_no_cycle(strokes: Strokes, side: str) -> str:
    arm = strokes.arms[side]
    entries = int(np.isfinite(arm.entry).sum())
    return arm.reason or f"no whole cycle of the {side} arm: entries found {entries}, two in a row needed"
