"""The rules as data: `[detector.NAME]` of `shared/definitions.toml`, beside the scale of severity of the fault."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ..ground.conventions import SIDES
from ..ground.tables import read_toml
from .limits import Context, Limit, by_pace, limit_of

#: Door units: how many of them one unit of `shared/faults.toml` is.
_DOOR = {"cm": 100.0, "%": 100.0}


@dataclass(frozen=True)
class Scale:
    """Where severity is 0 (the normal stroke of that pace and body) and where it is 1 (gross). [door unit]"""

    row: Mapping
    unit: str

    def normal(self, context: Context) -> float:
        """Normal value of the main measure."""
        if "normal_half_widths" in self.row:
            return self.row["normal_half_widths"] * context.half_width_m * 100
        if "normal_stature_percent" in self.row:
            return self.row["normal_stature_percent"] * context.stature_m
        return by_pace(tuple(self.row["normal"]), context.rate_per_min)

    def gross(self, context: Context) -> float:
        """Value of the main measure at severity 1."""
        if "gross_half_widths" in self.row:
            return self.row["gross_half_widths"] * context.half_width_m * 100
        if "gross_deg" in self.row:
            return self.row["gross_deg"]
        return self.row.get("gross_m", self.row.get("gross_value")) * _DOOR.get(self.unit, 1.0)


@dataclass(frozen=True)
class Excuse:
    """Another name for the same picture: all conditions must hold."""

    says: str
    when: tuple[Limit, ...]


@dataclass(frozen=True)
class BreathIndex:
    """The symmetry index that breaths alone make: usual size of each side, and what a breath adds. [door unit]"""

    usual: Scale
    on_the_breath: float

    def at(self, context: Context, left: float, right: float) -> float:
        """Index for the share of strokes of the left and of the right side that carry a breath. [%]"""
        usual = self.usual.normal(context)
        low, high = (usual + self.on_the_breath * share for share in (left, right))
        return 200 * (high - low) / (high + low)


@dataclass(frozen=True)
class Test:
    """One limit that is enough alone.

    Parameters
    ----------
    limit : Limit
    scale : Scale or None
        Of the severity; None where the catalogue gives none.
    signed : bool
        An index: either sign counts, each from what is usual, and only what lies surely beyond the limit.
    breath : BreathIndex or None
        What is usual where a breath makes an index of its own.
    needs : tuple of Limit
        All must hold, else the test says nothing.
    """

    limit: Limit
    scale: Scale | None
    signed: bool = False
    breath: BreathIndex | None = None
    needs: tuple[Limit, ...] = ()


@dataclass(frozen=True)
class Rule:
    """How one fault is told from measures.

    `tests` holds that of the main measure first. `size` takes values without their sign; `overall` the value of all
    strokes together and not of each; `worst` looks at breathing and other strokes apart and takes the worse;
    `on_the_breath` is added to limit and normal value where strokes carry a breath.
    """

    fault: str
    sides: tuple[str, ...]
    tests: tuple[Test, ...]
    excuses: tuple[Excuse, ...]
    evidence: tuple[str, ...]
    on_the_breath: float
    size: bool
    worst: bool
    overall: bool
    source: str
    flag: str


@functools.cache
def rules() -> dict[str, Rule]:
    """All rules by fault, in the order of the table."""
    return {slug: _rule(slug, row) for slug, row in read_toml("definitions")["detector"].items()}


def _rule(slug: str, row: Mapping) -> Rule:
    fault = read_toml("faults")["fault"].get(slug)
    sided = fault is None or set(SIDES) <= set(fault["sides"])
    per_side = read_toml("definitions")["measure"].get(row["measure"], {}).get("per") == "side"
    return Rule(
        slug,
        SIDES if sided and per_side else ("both",),
        tuple(_test(one, fault) for one in (row, *row.get("or_else", ()))),
        tuple(Excuse(e["says"], _limits(e["when"])) for e in row.get("excused", ())),
        tuple(row["evidence"]),
        float(row.get("on_the_breath", 0.0)),
        bool(row.get("size", False)),
        bool(row.get("worst", False)),
        bool(row.get("overall", False)),
        row["source"],
        row["flag"],
    )


def _test(row: Mapping, fault: Mapping | None) -> Test:
    scale = breath = None
    if fault is not None:
        scale = Scale(fault[row["row"]] if "row" in row else fault, fault["unit"])
    if "breath" in row:
        usual = read_toml("faults")["fault"][row["breath"]["fault"]]
        breath = BreathIndex(Scale(usual, usual["unit"]), float(row["breath"]["adds"]))
    return Test(limit_of(row), scale, bool(row.get("signed", False)), breath, _limits(row.get("needs", ())))


def _limits(rows: Iterable[Mapping]) -> tuple[Limit, ...]:
    return tuple(limit_of(row) for row in rows)
