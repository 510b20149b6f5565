"""How much clean swimmers differ: mean, deviation and range of every measure over a family."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ..ground.records import Measure


@dataclass(frozen=True)
class Spread:
    """One measure over many swimmers, both sides together. [unit]

    `within` is the mean over the swimmers of the deviation from stroke to stroke; NaN where a measure has no strokes.
    """

    measure: str
    unit: str
    count: int
    mean: float
    sd: float
    least: float
    most: float
    within: float


def spread(truths: Iterable[Sequence[Measure]]) -> tuple[Spread, ...]:
    """Spread of every measure over swimmers, in the order in which the first of them has it.

    Parameters
    ----------
    truths : iterable of sequence of Measure
        One sequence for each swimmer: values over all cycles (cycle None) and of each cycle.
    """
    means: dict[str, list[float]] = {}
    scatter: dict[str, list[float]] = {}
    units: dict[str, str] = {}
    for measures in truths:
        strokes: dict[tuple[str, str | None], list[float]] = {}
        for one in measures:
            units.setdefault(one.measure, one.unit)
            if one.breathing is not None or not math.isfinite(one.value):
                continue
            if one.cycle is None:
                means.setdefault(one.measure, []).append(one.value)
            else:
                strokes.setdefault((one.measure, one.side), []).append(one.value)
        for (name, _), values in strokes.items():
            scatter.setdefault(name, []).append(float(np.std(values)))
    return tuple(_row(name, unit, means.get(name, []), scatter.get(name, [])) for name, unit in units.items())


def _row(name: str, unit: str, values: list[float], scatter: list[float]) -> Spread:
    if not values:
        return Spread(name, unit, 0, *([math.nan] * 5))
    low, high = min(values), max(values)
    sd = float(np.std(values, ddof=1)) if len(values) > 1 else math.nan
    within = float(np.mean(scatter)) if scatter else math.nan
    return Spread(name, unit, len(values), float(np.mean(values)), sd, low, high, within)


def spread_text(rows: Iterable[Spread]) -> str:
    """The table as text."""
    head = f"{'measure':34} {'n':>4} {'mean':>8} {'sd':>7} {'least':>8} {'most':>8} {'strokes':>8}  unit"
    return "\n".join([head, *map(_line, rows)])


def _line(row: Spread) -> str:
    cells = (
        f"{value:8.2f}" if math.isfinite(value) else f"{'-':>8}"
        for value in (row.least, row.most, row.within)
    )
    sd = f"{row.sd:7.2f}" if math.isfinite(row.sd) else f"{'-':>7}"
    mean = f"{row.mean:8.2f}" if row.count else f"{'-':>8}"
    return f"{row.measure:34} {row.count:4d} {mean} {sd} {' '.join(cells)}  {row.unit}"
