"""From arrays of per-cycle values to Measure records: every key of the definitions, NaN with a reason."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from types import MappingProxyType

import numpy as np

from ..ground.conventions import SIDES
from ..ground.records import Measure
from ..ground.tables import read_toml
from .strokes import Strokes

LEAST_FOR_UNCERTAINTY = 3
MOST_UNCERTAIN = {"deg": 15.0, "cm": 10.0, "%": 10.0}  # of the mean over strokes, by unit (choices of ours)
MOST_UNCERTAIN_TURNS = 0.125  # of an angle that repeats, in turns
LEAST_SHARE = 0.5  # of the strokes filmed in which a measure must be read, where points are lost (ours)


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
    joined : bool
        A few strokes tell as much as many, or all frames together were judged already: no share of strokes is asked.
    due : numpy.ndarray of bool, shape (n_cycles,), optional
        The cycles that have a value at all, such as those with a breath.
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
    joined: bool = False
    due: np.ndarray | None = None


def trusted(readout: Readout, strokes: Strokes) -> Readout:
    """The readout; without values where points are lost and too few of the strokes filmed tell it, or they disagree."""
    values = readout.values
    of_no_cycle = readout.number is not None and not len(readout.number)
    if readout.joined or of_no_cycle or not len(values) or strokes.track.known(*readout.joints).all():
        return readout
    told, filmed = int(np.isfinite(values).sum()), strokes.filmed(readout.side)
    if readout.due is not None:
        filmed = round(filmed * readout.due.mean())
    why = None
    if told < LEAST_SHARE * filmed:
        why = f"read in {told} of about {filmed} strokes filmed: too many gaps to trust it"
    elif (most := _most_uncertain(readout)) is not None:
        uncertainty = mean(values, turn=readout.turn)[1] or 0.0
        if uncertainty > most:
            why = f"the strokes disagree too much to trust it: standard uncertainty {uncertainty:.0f}"
    if not told or why is None:
        return readout
    overall = None if readout.overall is None else np.nan
    return replace(readout, values=np.full(len(values), np.nan), overall=overall, reason=why)


def _most_uncertain(readout: Readout) -> float | None:
    """Standard uncertainty from which a value says nothing; None where none is set. [unit of the measure]"""
    if readout.turn is not None:
        return MOST_UNCERTAIN_TURNS * readout.turn
    return MOST_UNCERTAIN.get(read_toml("definitions")["measure"][readout.measure]["unit"])


#: Of each measure: why the picture does not tell it (None if it does), and what it adds to the rule.
Told = Mapping[str, tuple[str | None, str]]
_ALL: tuple[str | None, str] = (None, "")


def to_measures(
    readouts: list[Readout], strokes: Strokes, *, told: Told = MappingProxyType({})
) -> tuple[Measure, ...]:
    """Records in the order of the definitions: over all cycles, then by breath, then cycle by cycle.

    A measure that is not told has one NaN record for each side, with the reason.
    """
    known = {(readout.measure, readout.side): readout for readout in readouts}
    measures: list[Measure] = []
    frames = _all_frames([one for one in readouts if told.get(one.measure, _ALL)[0] is None], strokes)
    for key, side, (unit, rule) in _wanted():
        why, more = told.get(key, _ALL)
        readout, rest = known.get((key, side)), (unit, rule + more, key)
        there = readout is not None and len(readout.values)
        if why is not None:
            joints = readout.joints if there else ()
            measures.append(Measure(key, side, None, np.nan, *rest, reason=why, joints=joints))
        elif there:
            measures.extend(_records(readout, rest, strokes, frames.get(id(readout))))
        else:
            reason = _no_value(side, readout, strokes)
            measures.append(Measure(key, side, None, np.nan, *rest, reason=reason))
    return tuple(measures)


def unreadable(reason: str, told: Told = MappingProxyType({})) -> tuple[Measure, ...]:
    """Every measure NaN, for one reason, or because it is not told."""
    found = []
    for key, side, (unit, rule) in _wanted():
        why, more = told.get(key, _ALL)
        found.append(Measure(key, side, None, np.nan, unit, rule + more, key, reason=why or reason))
    return tuple(found)


def _wanted() -> list[tuple[str, str | None, tuple[str, str]]]:
    """Key, side, unit and rule of every measure, in the order of the definitions."""
    return [
        (key, side, (row["unit"], row["rule"]))
        for key, row in read_toml("definitions")["measure"].items()
        for side in (SIDES if row["per"] == "side" else (None,))
    ]


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
    readout: Readout, rest: tuple[str, str, str], strokes: Strokes, frames: list[tuple[int, ...]] | None
) -> list[Measure]:
    values = readout.values
    if frames is None:
        frames = [()] * len(values)
    base = (readout.measure, readout.side)
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
        frames=tuple(sorted(set(chain.from_iterable(frames)))), joints=readout.joints,
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
        part = found[start:stop]
        rows = zip(*(part[i::width] for i in range(width)), strict=True)
        frames[key] = [tuple(f for f in row if f >= 0) for row in rows] if -1 in part else list(rows)
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


def _no_value(side: str | None, readout: Readout | None, strokes: Strokes) -> str:
    """Why there is no value on a side."""
    if readout is not None and readout.reason:
        return readout.reason
    if side is None:
        return "; ".join(dict.fromkeys(_why_no_cycle(strokes, each) for each in SIDES))
    return _why_no_cycle(strokes, side)


def _why_no_cycle(strokes: Strokes, side: str) -> str:
    arm = strokes.arms[side]
    entries = int(np.isfinite(arm.entry).sum())
    return arm.reason or f"no whole cycle of the {side} arm: entries found {entries}, two in a row needed"
