"""Records of a run brought together by way: what the scores are counted from."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from .work import Record

Way = tuple[str, str]


@dataclass(frozen=True)
class Clip:
    """One swim seen one way, as far as faults go; a score is -inf where there was none to give."""

    swimmer: int
    fault: str | None
    effective: float
    true: dict[str, float]
    found: dict[str, tuple[bool, float, float]]
    failed: bool = False


@dataclass
class Gathered:
    """All that is scored.

    `pairs` holds (swimmer, true, read) of every measure and way; `events` (true, found, matched, errors [s], rates
    [Hz]) of every event and way. `built_in` holds the same clips as `clips` as the package's own detectors judge them,
    where the judge was somebody else's; `failed`, `notes` and `said` are of the clips in which a detector failed,
    had something left out of its answer, or printed; `gives` is what its answers held. `frames` and `seconds` are of
    measuring and judging alone.
    """

    head: Record = field(default_factory=dict)
    clips: dict[Way, list[Clip]] = field(default_factory=lambda: defaultdict(list))
    pairs: dict[tuple[str, Way], list[tuple[int, float, float]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    events: dict[tuple[str, Way], list[tuple[int, int, list[float], float]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    points: dict[Way, list[Record]] = field(default_factory=lambda: defaultdict(list))
    refused: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)
    built_in: dict[Way, list[Clip]] = field(default_factory=lambda: defaultdict(list))
    notes: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    gives: list[str] = field(default_factory=list)
    frames: int = 0
    seconds: float = 0.0


def gather(lines: Iterable[Record]) -> Gathered:
    """Bring records together; the first line is the head."""
    found = Gathered()
    for line in lines:
        if "design" in line:
            found.head = line
        elif "refused" in line:
            found.refused.append(f"{line['fault']} {line['severity']:.2f}: {line['refused']}")
        elif "view" in line:
            _take(found, line)
    return found


def _take(found: Gathered, line: Record) -> None:
    way, swimmer = (line["condition"], line["view"]), line["swimmer"]
    swim, failed = (swimmer, line["fault"], line["effective"], line["true"]), bool(line.get("failed"))
    found.clips[way].append(Clip(*swim, _answers(line["findings"]), failed))
    if "built_in" in line:
        found.built_in[way].append(Clip(*swim, _answers(line["built_in"])))
    found.notes += line.get("notes", ())
    found.gives += [line["gives"]] if line.get("gives") else []
    found.said += [line["said"]] if line.get("said") else []
    for key, rows in line["measures"].items():
        found.pairs[key, way] += [(swimmer, true, _value(read)) for true, read in rows]
    for name, (true, read, errors) in line["events"].items():
        found.events[name, way].append((true, read, errors, line["rate_hz"]))
    if line.get("points"):
        found.points[way].append(line["points"])
    if line.get("failed"):
        found.failed.append(line["failed"])
    found.frames += line["frames"]
    found.seconds += line["seconds"]


def _answers(findings: Record) -> dict[str, tuple[bool, float, float]]:
    return {slug: (row[0], _score(row[1], row[0]), _value(row[2])) for slug, row in findings.items()}


def _score(value: Any, present: bool) -> float:
    """A score; a detector that says present and gives no number counts as sure."""
    if value is not None:
        return float(value)
    return math.inf if present else -math.inf


def _value(value: Any) -> float:
    return math.nan if value is None else float(value)


def answer(clip: Clip, fault: str) -> tuple[bool, float, float]:
    """Present, score and severity of one fault in a clip; nothing said means not found."""
    return clip.found.get(fault, (False, -math.inf, math.nan))


def scores(clips: list[Clip], fault: str) -> np.ndarray:
    """Scores of one fault, shape (n_clips,)."""
    return np.array([answer(clip, fault)[1] for clip in clips])
