"""Seeded scatter of the stroke from cycle to cycle, smooth across cycles."""

from __future__ import annotations

import dataclasses
import math

import numpy as np

from ..ground.conventions import SIDES
from ..ground.tables import read_toml
from .pattern import ArmPattern, StrokePattern, breathing_period

MOST_CYCLES = 30  # a longer swim repeats after so many cycles


def scatter(pattern: StrokePattern, *, seed: int, cycles: int) -> StrokePattern:
    """The pattern with every cycle a little different.

    The same seed gives the same scatter whatever the pattern's own values are, so that a swimmer with a fault and
    the same swimmer without it stay comparable.

    Parameters
    ----------
    seed : int
    cycles : int
        How many different cycles; rounded up to whole breathing periods and to a multiple of 3, at most 30.
    """
    table = read_toml("variability")
    period = breathing_period(pattern.breathing_every)
    block = math.lcm(period, 3)  # the solver works on every third cycle at once
    count = math.ceil(min(max(cycles, 6), MOST_CYCLES) / block) * block
    rng = np.random.default_rng(seed)
    draws = {side: _draws(rng, table["arm"], count, table["smoothing"]) for side in SIDES}
    for side in SIDES:  # time 0 stays the right hand's first entry
        draws[side]["entry_delay_share"] = (
            draws[side]["entry_delay_share"] - draws["right"]["entry_delay_share"][0]
        )
    arms = {side: _arms(pattern, side, draws[side]) for side in SIDES}
    roll = _smooth(rng.standard_normal(2 * count), table["smoothing"]) * table["roll"]["peak_relative"]
    return dataclasses.replace(
        pattern,
        cycles=tuple(zip(arms["left"], arms["right"], strict=True)),
        roll_scatter=tuple(float(v) for v in roll),
    )


def _draws(rng, deviations: dict[str, float], count: int, weight: float) -> dict[str, np.ndarray]:
    """Scatter of every parameter in SI, shape (count,) each."""
    draws = {}
    for name, deviation in deviations.items():
        values = _smooth(rng.standard_normal(count), weight) * deviation
        angle = name.endswith("_deg")
        draws[name.removesuffix("_deg") + "_rad" if angle else name] = np.radians(values) if angle else values
    return draws


def _smooth(values: np.ndarray, weight: float) -> np.ndarray:
    """Circular three-point mean, scaled back to unit deviation."""
    mixed = (1 - 2 * weight) * values + weight * (np.roll(values, 1) + np.roll(values, -1))
    return mixed / math.sqrt((1 - 2 * weight) ** 2 + 2 * weight**2)


def _arms(pattern: StrokePattern, side: str, draws: dict[str, np.ndarray]) -> list[ArmPattern]:
    count = len(next(iter(draws.values())))
    arms = []
    for cycle in range(count):
        arm = pattern.arm(side, cycle)
        changed = {
            name: _inside(name, getattr(arm, name) + float(values[cycle])) for name, values in draws.items()
        }
        arms.append(dataclasses.replace(arm, **changed))
    return arms


def _inside(name: str, value: float) -> float:
    meta = ArmPattern.__dataclass_fields__[name].metadata
    return min(max(value, meta["low"]), meta["high"])
