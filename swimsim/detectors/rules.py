"""The rules as data: `[detector.NAME]` of `shared/definitions.toml`, beside the scale of severity of the fault."""

from __future__ import annotations

import functools
from collections.abc import Mapping
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
class Rule:
    """How one fault is told from measures.

    `tests` holds the limit of the main measure, then others that are enough alone, each with its scale (None where
    the catalogue gives none). `size` takes values without their sign; `worst` looks at breathing and other strokes
    apart and takes the worse; `on_the_breath` is added to limit and normal value where strokes carry a breath.
    """

    fault: str
    sides: tuple[str, ...]
    tests: tuple[tuple[Limit, Scale | None], ...]
    excuses: tuple[Excuse, ...]
    evidence: tuple[str, ...]
    on_the_breath: float
    size: bool
    worst: bool
    source: str
    flag: str


@functools.cache
def rules() -> dict[str, Rule]:
    """All rules by fault, in the order of the table."""
    return {slug: _rule(slug, row) for slug, row in read_toml("definitions")["detector"].items()}


def _rule(slug: str, row: Mapping) -> Rule:
    fault = read_toml("faults")["fault"].get(slug)
    tests = [(limit_of(row), fault and Scale(fault, fault["unit"]))]
    if "or_else" in row:
        other = row["or_else"]
        tests.append((limit_of(other), fault and Scale(fault[other["row"]], fault["unit"])))
    sided = fault is None or set(SIDES) <= set(fault["sides"])
    per_side = read_toml("definitions")["measure"].get(row["measure"], {}).get("per") == "side"
    return Rule(
        slug,
        SIDES if sided and per_side else ("both",),
        tuple(tests),
        tuple(Excuse(e["says"], tuple(limit_of(c) for c in e["when"])) for e in row.get("excused", ())),
        tuple(row["evidence"]),
        float(row.get("on_the_breath", 0.0)),
        bool(row.get("size", False)),
        bool(row.get("worst", False)),
        row["source"],
        row["flag"],
    )
