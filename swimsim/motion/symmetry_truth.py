"""Symmetry indices of the truth: right against left, from the means over the period of what is paired."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..ground.conventions import SIDES, other_side
from ..ground.tables import read_toml
from .arm_truth import PERCENT

Values = Mapping[tuple[str, str | None], np.ndarray | float]


def symmetry_values(values: Values) -> dict[tuple[str, None], float]:
    """Symmetry index of every measure that has one, (R - L) / (R + L) * 2 * 100; NaN unless both are positive. [%]"""
    found = {}
    for name, row in read_toml("definitions")["measure"].items():
        if "pair" in row:
            left, right = (float(np.mean(values[row["pair"], side])) for side in SIDES)
            positive = left > 0 and right > 0
            found[name, None] = (right - left) / (right + left) * 2 * 100 if positive else float("nan")
    return found


def spacing(entry: Mapping[str, np.ndarray], lag: Mapping[str, float], period: int) -> Values:
    """From each entry of a hand to the next entry of the other hand. [% of the cycle]

    Parameters
    ----------
    entry : mapping of side to numpy.ndarray, shape (period,)
        Entries in the arm's own count of cycles.
    lag : mapping of side to float
        Share of the cycle by which the arm's count starts late.
    period : int
        Cycles until the stroke repeats.
    """
    found = {}
    for side in SIDES:
        here, there = entry[side] + lag[side], entry[other_side(side)] + lag[other_side(side)]
        if side == "left":  # the right hand enters again one cycle later
            there = np.append(there[1:], there[0] + period)
        found["entry_spacing", side] = (there - here) * PERCENT
    return found
