"""What the blind reader makes of a trace file."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..ground.files import read_trace
from ..ground.measure_files import check_measures_path, measure_record, write_measures
from ..metrics import Reading, measure_trace
from ..metrics.gaps import gaps_in_words
from ..metrics.readout import nothing_read


@dataclass(frozen=True)
class Measured:
    """What was read off a trace file: the reading, its rows over all cycles, and remarks on the file.

    `nothing` says why not one measure could be read; None if any could.
    """

    reading: Reading
    rows: list[dict[str, Any]]
    notes: tuple[str, ...]
    nothing: str | None = None


def measure(
    path: str | os.PathLike,
    *,
    axes: str | None = None,
    unit: str | None = None,
    rate_hz: float | None = None,
    joint_map: str | os.PathLike | Mapping[str, str] | None = None,
    out: str | os.PathLike | None = None,
) -> Measured:
    """What the blind reader makes of any trace file; see `read_trace` for the options.

    Parameters
    ----------
    out : path, optional
        Also write every measure, cycle by cycle, as CSV or JSON.
    """
    if out is not None:
        check_measures_path(out, source=path)
    trace = read_trace(path, axes=axes, unit=unit, rate_hz=rate_hz, joint_map=joint_map)
    reading = measure_trace(trace)
    if out is not None:
        write_measures(reading.measures, out, events=reading.events, rule=reading.rule)
    notes = [
        f"{key.replace('_', ' ')}: {', '.join(trace.meta[key])}"
        for key in ("missing_joints", "unknown_joints")
        if key in trace.meta
    ]
    if gaps := gaps_in_words(trace):
        notes.append(gaps)
    rows = [measure_record(m) for m in reading.measures if m.cycle is None]
    return Measured(reading, rows, (*notes, reading.rule), nothing_read(reading.measures))
