"""What somebody else's detector gave: findings, measures, or points of its own, which are read on as ours are.

Points come as a `Seen` or a `Trace`, as a mapping with `keypoints`, or as a CSV of the kind that we write; measures as
a mapping with `measures`. Findings that come with them stand; else our detectors judge what is read off what was given.
A joint that is not given is missing, and so is a measure: nothing of ours is filled in, but for the events and the size
of the body where measures alone are given, which come from the points that the detector saw.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from ..detectors import detect
from ..ground.conventions import JOINTS, SIDES
from ..ground.errors import InputError, nearest
from ..ground.files import read_trace
from ..ground.records import Finding, Measure, Seen, Trace
from ..ground.seen_files import read_seen
from ..ground.tables import read_toml
from ..metrics import Reading
from .answers import findings_from

PARTS = ("findings", "measures", "keypoints")
_KEYS = ("measure", "side", "cycle", "value", "uncertainty")
NOT_GIVEN = "the detector gives no such measure"


@dataclass(frozen=True)
class Given:
    """Findings of one clip, and the points and the reading they come from; None where those stay as they were."""

    findings: tuple[Finding, ...]
    data: Trace | Seen | None = None
    reading: Reading | None = None


def given_from(
    answer: Any,
    clip: tuple[Trace | Seen, Reading],
    read: Any,
    *,
    notes: list[str],
    where: str = "the detector",
) -> Given:
    """What a detector's answer stands for.

    Parameters
    ----------
    answer : Seen, Trace, mapping or list of findings
    clip : (Trace or Seen, Reading)
        What the detector saw, and what we read off it.
    read : callable
        Reads points.
    notes : list of str
        What was left out is added here.

    Raises
    ------
    InputError
        An answer that does not fit, such as another number of frames.
    """
    data, reading = clip
    parts = [part for part in PARTS if part in answer] if isinstance(answer, Mapping) else []
    points = (
        _points(answer, data, notes) if isinstance(answer, (Seen, Trace)) or "keypoints" in parts else None
    )
    found = read(points) if points is not None else None
    if "measures" in parts:
        found = _with_measures(found or reading, answer["measures"], notes)
    if found is None or "findings" in parts:
        return Given(findings_from(answer, notes=notes, where=where), points, found)
    return Given(detect(found), points, found)


def points_of_file(path: Path, data: Trace | Seen) -> Trace | Seen:
    """Points of a CSV that a command wrote, of the kind of those it was given.

    Raises
    ------
    InputError
        No such columns.
    """
    if isinstance(data, Trace):
        return read_trace(path)
    return read_seen(path, data.camera, facts=data.meta, rate_hz=data.rate_hz)


def _points(answer: Any, data: Trace | Seen, notes: list[str]) -> Trace | Seen:
    """Points as the clip has them: the same frames and joints, NaN for what is not given."""
    if isinstance(answer, (Seen, Trace)):
        if not isinstance(answer, type(data)):
            raise InputError(
                f"expected a {type(data).__name__} as it was given, got a {type(answer).__name__}"
            )
        array = answer.pixels if isinstance(answer, Seen) else answer.joints_m
        columns = {name: array[:, i] for i, name in enumerate(answer.joint_names)}
    else:
        columns = answer["keypoints"]
        if not isinstance(columns, Mapping):
            raise InputError("keypoints: expected a mapping of joints to a point for each frame")
    size = 2 if isinstance(data, Seen) else 3
    names, frames = tuple(data.joint_names), len(data.time_s)
    found = np.full((frames, len(names), size), np.nan)
    for name, rows in columns.items():
        if name in names:
            found[:, names.index(name)] = _rows(name, rows, (frames, size))
        else:
            notes.append(f"points were left out: unknown joint {name!r}; {nearest(str(name), JOINTS)}")
    if isinstance(data, Trace):
        return replace(data, joints_m=found)
    return replace(data, pixels=found, confidence=np.isfinite(found).all(axis=-1).astype(float))


def _rows(name: str, rows: Any, shape: tuple[int, int]) -> np.ndarray:
    """The points of one joint, null as NaN."""
    blank = [math.nan] * shape[1]
    try:
        plain = rows if isinstance(rows, np.ndarray) else [blank if row is None else row for row in rows]
        array = np.array(plain, float)
    except (TypeError, ValueError) as error:
        raise InputError(f"keypoints: {name}: expected numbers, got something else ({error})") from error
    if array.shape != shape:
        raise InputError(
            f"keypoints: {name}: expected {shape[0]} frames of {shape[1]} numbers, got shape {array.shape}"
        )
    return array


def _with_measures(reading: Reading, rows: Any, notes: list[str]) -> Reading:
    """The reading with the measures that were given in place of all of ours."""
    if not isinstance(rows, Sequence) or isinstance(rows, (str, bytes)):
        raise InputError("measures: expected a list")
    definitions = read_toml("definitions")["measure"]
    given = [one for row in rows if (one := _measure(row, definitions, notes)) is not None]
    there = {(one.measure, one.side) for one in given if one.cycle is None and one.breathing is None}
    empty = [
        Measure(key, side, None, math.nan, row["unit"], row["rule"], key, reason=NOT_GIVEN)
        for key, row in definitions.items()
        for side in (SIDES if row["per"] == "side" else (None,))
        if (key, side) not in there
    ]
    return replace(reading, measures=(*given, *empty))


def _measure(row: Any, definitions: Mapping, notes: list[str]) -> Measure | None:
    if not isinstance(row, Mapping) or "measure" not in row:
        raise InputError(f"measures: expected mappings with {', '.join(_KEYS)}, got {row!r:.40}")
    key, side, value, cycle = row["measure"], row.get("side"), row.get("value"), row.get("cycle")
    if key not in definitions:
        notes.append(f"a measure was left out: unknown measure {key!r}; {nearest(str(key), definitions)}")
        return None
    kind = definitions[key]
    if (side in SIDES) != (kind["per"] == "side"):
        wanted = "left or right" if kind["per"] == "side" else "none"
        raise InputError(f"measure {key}: side: expected {wanted}, got {side!r}")
    numbers = [math.nan if v is None else v for v in (value, row.get("uncertainty"))]
    if any(isinstance(v, bool) or not isinstance(v, (int, float)) for v in numbers):
        raise InputError(f"measure {key}: value, uncertainty: expected numbers in {kind['unit']} or null")
    if cycle is not None and (isinstance(cycle, bool) or not isinstance(cycle, int)):
        raise InputError(f"measure {key}: cycle: expected a whole number, got {cycle!r}")
    if not (row.get("breathing") is None or isinstance(row["breathing"], bool)):
        raise InputError(f"measure {key}: breathing: expected true, false or null, got {row['breathing']!r}")
    number, spread = map(float, numbers)
    reason = None if math.isfinite(number) else row.get("reason") or NOT_GIVEN
    return Measure(
        key, side, cycle, number if math.isfinite(number) else math.nan, kind["unit"], kind["rule"], key,
        breathing=row.get("breathing"), reason=reason, uncertainty=spread if math.isfinite(spread) else None,
    )  # fmt: skip
