"""Median and spread over strokes, breathing and other strokes apart: what a coach compares with the next visit."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .reading import Reading


@dataclass(frozen=True)
class Spread:
    """One measure on one side over the strokes of one kind, in the unit of the measure.

    `breathing` is True or False for those strokes alone, None for all; `low` and `high` are the quartiles; `sd` is NaN
    for a single stroke.
    """

    measure: str
    side: str | None
    breathing: bool | None
    unit: str
    strokes: int
    median: float
    low: float
    high: float
    sd: float


def over_strokes(reading: Reading) -> tuple[Spread, ...]:
    """Every measure that was read in single strokes.

    Returns
    -------
    tuple of Spread
        In the order of the reading: all strokes, then, where both kinds were seen, breathing strokes and the others.
    """
    groups: dict[tuple[str, str | None], list[tuple[int, float]]] = {}
    units = {}
    for measure in reading.measures:
        if measure.cycle is not None and math.isfinite(measure.value):
            groups.setdefault((measure.measure, measure.side), []).append((measure.cycle, measure.value))
            units[measure.measure] = measure.unit
    found = []
    for (name, side), values in groups.items():
        kinds = reading.breathing.get(side, {})
        known = {kinds.get(cycle) for cycle, _ in values}
        for kind in (None, True, False) if {True, False} <= known else (None,):
            part = np.array([value for cycle, value in values if kind is None or kinds.get(cycle) is kind])
            low, median, high = np.percentile(part, [25, 50, 75]).tolist()
            spread = float(part.std(ddof=1)) if len(part) > 1 else math.nan
            found.append(Spread(name, side, kind, units[name], len(part), median, low, high, spread))
    return tuple(found)
