"""What is right about a stroke: said first in a review, and only where the exact truth bears it out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..faults.catalogue import FaultSetting, fault_of
from ..ground.records import Measure
from ..ground.tables import read_toml
from ..scenario.play import Swum
from ..scenario.severity import main_measure

UNITS = {"deg": "°", "cm": " cm", "%": " %"}
SIGNED = ("entry_line", "exit_past_hip")


@dataclass(frozen=True)
class Right:
    """One thing that is right: words, number, band, the limb it is about, and the values that bear it out."""

    measure: str
    words: str
    number: str
    band: str
    limb: tuple[str, ...]
    values: tuple[float, ...]


def right_things(swum: Swum, settings: Sequence[FaultSetting]) -> list[Right]:
    """What is right about a swimmer, best known first.

    Parameters
    ----------
    settings : sequence of FaultSetting
        Nothing that one of these faults may move is praised.

    Returns
    -------
    list of Right
        Measures whose every value, of both sides and all strokes, lies well inside its band. May be empty.
    """
    touched = {main_measure(s) for s in settings}.union(*(fault_of(s).owns for s in settings))
    rows = [row for row in read_toml("right_things")["thing"] if row["measure"] not in touched]
    found = [_right(row, swum.truth.measures) for row in rows]
    return [thing for thing in found if thing is not None]


def _right(row: dict, measures: Sequence[Measure]) -> Right | None:
    own = [m for m in measures if m.measure == row["measure"]]
    values = tuple(m.value for m in own)
    low, high = row["low"] + row["inside"], row["high"] - row["inside"]
    if not values or not all(math.isfinite(v) and low <= v <= high for v in values):
        return None
    over_all = [m.value for m in own if m.cycle is None and m.breathing is None]
    unit = UNITS.get(own[0].unit, f" {own[0].unit}")
    number = _whole(sum(over_all) / len(over_all))
    sign = "+" if row["measure"] in SIGNED and number > 0 else ""
    return Right(
        row["measure"],
        row["words"],
        f"{row['number']}: {sign}{number}{unit}",
        f"right: {_band(row)}{unit}",
        tuple(row["limb"]),
        values,
    )


def _band(row: dict) -> str:
    """`-10 to +8`, or `5 or less` where values below zero cannot be."""
    low, high = row["low"], row["high"]
    signed = row["measure"] in SIGNED
    if row["measure"] == "hip_roll_dip":
        return f"less than {high:g}"
    return f"{low:g} to {'+' if signed else ''}{high:g}"


def _whole(value: float) -> int:
    return math.floor(value + 0.5 + 1e-6)
