"""One number for each measure and side, over the strokes of a reading, with its standard uncertainty."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from ..ground.conventions import SIDES
from ..ground.records import Measure
from ..ground.tables import read_toml
from ..metrics import Reading

_MEDIAN = math.sqrt(math.pi / 2)  # standard error of a median over that of a mean, for a normal spread


@dataclass(frozen=True)
class Value:
    """A value over several strokes: median, standard uncertainty [both in the door unit], number of strokes."""

    value: float
    uncertainty: float
    strokes: int

    def signless(self) -> Value:
        """The same without its sign."""
        return Value(abs(self.value), self.uncertainty, self.strokes)


NOTHING = Value(math.nan, math.nan, 0)


@dataclass(frozen=True)
class Values:
    """The measures of a reading, looked up by name and side."""

    reading: Reading

    @cached_property
    def _rows(self) -> dict[tuple[str, str | None], list[Measure]]:
        rows = defaultdict(list)
        for measure in self.reading.measures:
            rows[measure.measure, measure.side].append(measure)
        return rows

    def breaths(self, side: str) -> dict[int, bool]:
        """Whether each stroke of an arm carries a breath to its side, by cycle; unknown ones are left out.

        From one camera only where the view tells how far the face is turned.
        """
        told = self._cycles("breath_turn_start", side)
        return self.reading.breathing.get(side, {}) if told else {}

    def breath_share(self, side: str) -> float:
        """Share of the strokes of a side that carry a breath, of both sides for `both`; NaN where it is not known."""
        strokes = [
            kind for each in (SIDES if side == "both" else (side,)) for kind in self.breaths(each).values()
        ]
        return sum(strokes) / len(strokes) if strokes else math.nan

    def reason(self, name: str, side: str) -> str:
        """Why a measure could not be read."""
        rows = [m for each in (side, None, *SIDES) for m in self._rows.get((name, each), ())]
        return next((m.reason for m in rows if m.reason), f"{name} was not read")

    def at(self, name: str, side: str, *, worst: bool = False, size: bool = False) -> Value:
        """The value of a measure on a side.

        A body measure has one value for every side; `both` of a measure by sides is the greater one with `worst`,
        else the mean of both. `worst` takes breathing and other strokes apart, and the worse; the upper quartile of
        all strokes where breaths are not known.
        """
        if (name, side) in self._rows:
            return self._of(name, side, worst=worst, size=size)
        if (name, None) in self._rows:
            return self._of(name, None, size=size)
        found = [v for v in (self._of(name, s, worst=worst, size=size) for s in SIDES) if v.strokes]
        if not found or worst:
            return max(found, key=lambda v: v.value, default=NOTHING)
        count = len(found)
        spread = math.sqrt(sum(v.uncertainty**2 for v in found)) / count
        return Value(sum(v.value for v in found) / count, spread, sum(v.strokes for v in found))

    def _of(self, name: str, side: str | None, *, worst: bool = False, size: bool = False) -> Value:
        cycles = [m for m in self._cycles(name, side) if math.isfinite(m.value)]
        if not cycles:
            return self._overall(name, side, size=size)
        share, groups = 0.5, [cycles]
        if worst and side:
            breaths = self.breaths(side)
            groups = [[m for m in cycles if breaths.get(m.cycle) is kind] for kind in (True, False)]
            if not any(groups):
                share, groups = 0.75, [cycles]
        return max((_over(group, size=size, share=share) for group in groups if group), key=lambda v: v.value)

    def overall(self, name: str, side: str) -> Value:
        """The value over all strokes together, where that says more than each of them; its scatter from the strokes."""
        side = side if (name, side) in self._rows else None
        whole, each = self._overall(name, side, size=False), self._of(name, side)
        return Value(whole.value, each.uncertainty, max(each.strokes, 1)) if whole.strokes else NOTHING

    def index(self, name: str) -> Value:
        """A symmetry index, with the uncertainty that the scatter of the strokes of both sides gives it.

        For 200 (R - L) / (R + L) it is 400 sqrt((L u_R)^2 + (R u_L)^2) / (R + L)^2.
        """
        found = self._overall(name, None, size=False)
        pair = read_toml("definitions")["measure"].get(name, {}).get("pair")
        left, right = (self._of(pair, side) for side in SIDES) if pair else (NOTHING, NOTHING)
        if not (found.strokes and left.strokes and right.strokes):
            return found
        spread = math.hypot(left.value * right.uncertainty, right.value * left.uncertainty)
        return Value(
            found.value, 400 * spread / (left.value + right.value) ** 2, min(left.strokes, right.strokes)
        )

    def _overall(self, name: str, side: str | None, *, size: bool) -> Value:
        """Where no single stroke has a value: the value over all strokes together."""
        rows = [m for m in self._rows.get((name, side), ()) if m.cycle is None and m.breathing is None]
        if not rows or not math.isfinite(rows[0].value):
            return NOTHING
        value = Value(rows[0].value, rows[0].uncertainty or 0.0, 1)
        return value.signless() if size else value

    def _cycles(self, name: str, side: str | None) -> list[Measure]:
        return [m for m in self._rows.get((name, side), ()) if m.cycle is not None]


def _over(cycles: list[Measure], *, size: bool = False, share: float = 0.5) -> Value:
    """Median, or another quantile, over strokes; its uncertainty from their scatter, and not below what a single
    reading says of itself.
    """
    values = sorted(abs(m.value) if size else m.value for m in cycles)
    own, count = sum(m.uncertainty or 0.0 for m in cycles), len(values)
    scatter = _deviation(values) * (_MEDIAN if count > 2 else 1.0) / math.sqrt(count)
    return Value(_quantile(values, share), max(scatter, own / count / math.sqrt(count)), count)


def _deviation(values: list[float]) -> float:
    """Standard deviation (n-1), 0 for one value."""
    middle = sum(values) / len(values)
    return math.sqrt(sum((value - middle) ** 2 for value in values) / max(len(values) - 1, 1))


def _quantile(values: list[float], share: float) -> float:
    """Quantile of sorted values, straight between neighbours; a handful of numbers is not worth an array."""
    place = share * (len(values) - 1)
    low = min(int(place), len(values) - 2) if len(values) > 1 else 0
    return values[low] + (place - low) * (values[min(low + 1, len(values) - 1)] - values[low])
