"""A limit on one measure: what it is for this pace and this body."""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ..ground.tables import read_toml


@dataclass(frozen=True)
class Context:
    """What a limit depends on: pace [cycles per minute], half shoulder width and stature [m]; NaN if not known."""

    rate_per_min: float
    half_width_m: float
    stature_m: float


@dataclass(frozen=True)
class Limit:
    """One measure and the side of a value that counts.

    Parameters
    ----------
    measure : str
    sign : int
        +1: above the limit counts; -1: below it.
    number : float or tuple of float
        One number, or three by pace. [door unit of the measure, or half shoulder widths]
    half_widths : bool
        The number is in half shoulder widths, the measure in cm.
    """

    measure: str
    sign: int
    number: float | tuple[float, ...]
    half_widths: bool = False

    def at(self, context: Context) -> float:
        """The limit for this pace and body, NaN if it hangs on a size that was not read. [door unit]"""
        if self.half_widths:
            return float(self.number * context.half_width_m * 100)
        return by_pace(self.number, context.rate_per_min)

    def beyond(self, value: float, context: Context) -> bool:
        """Whether a value lies beyond the limit; False for a value or a limit that is not known."""
        return bool(self.sign * (value - self.at(context)) > 0)


def by_pace(number: float | tuple[float, ...], rate_per_min: float) -> float:
    """A number, or three of them between the stroke rates of `shared/faults.toml`; at 400-m pace if none was read."""
    if not isinstance(number, tuple):
        return float(number)
    rates = read_toml("faults")["rates_per_min"]
    rate = rate_per_min if math.isfinite(rate_per_min) else rates["pace400"]
    return _between(number, tuple(rates.values()), rate)


@functools.lru_cache(maxsize=1024)
def _between(number: tuple[float, ...], rates: tuple[float, ...], rate: float) -> float:
    return float(np.interp(rate, rates, number))


def limit_of(row: Mapping) -> Limit:
    """The limit of a row of the table: `above` or `below`, plain, by pace, or in half widths."""
    for name, sign in (("above", 1), ("below", -1)):
        if name in row:
            number = row[name]
            return Limit(row["measure"], sign, tuple(number) if isinstance(number, list) else float(number))
        if f"{name}_half_widths" in row:
            return Limit(row["measure"], sign, float(row[f"{name}_half_widths"]), half_widths=True)
    raise ValueError(
        f"detector: expected above or below with the measure {row['measure']}, got {sorted(row)}"
    )
