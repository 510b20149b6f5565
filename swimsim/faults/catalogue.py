"""The catalogue of faults: each maps a stroke pattern to a pattern with one thing changed.

Set severity s moves the main measure from the pattern's own value m0 to the gross value g: m0 + s (g - m0).
"""

from __future__ import annotations

import dataclasses
import functools
import math
from dataclasses import dataclass

import numpy as np

from ..ground.conventions import SIDES
from ..ground.errors import InputError, nearest
from ..ground.tables import read_toml
from ..ground.words import fault_words
from ..stroke.pattern import ArmPattern, BodyPattern, StrokePattern

WORDS = {"slight": 0.35, "clear": 0.6, "gross": 0.9}
STROKES = ("every", "breathing")
#: Door units of the main measures: how many SI units one of them is.
DOOR = {"deg": math.pi / 180, "cm": 0.01, "m": 1.0, "%": 0.01}


@dataclass(frozen=True)
class Fault:
    """One fault of the catalogue: numbers from `shared/faults.toml`, terms and sentence from its file of words."""

    slug: str
    terms: tuple[str, ...]
    says: str
    main_measure: str
    unit: str
    owns: frozenset[str]
    sides: tuple[str, ...]
    strokes: tuple[str, ...]
    best_view: str
    limb: tuple[str, ...]
    source: str
    row: dict

    @property
    def part(self) -> str:
        """Which part of the pattern its main target belongs to: `arm`, `roll` or `body`."""
        return _part(self.row["main_target"])

    @property
    def of_arm(self) -> bool:
        """Whether the fault lives in the arm."""
        return self.part == "arm"

    @property
    def pairs(self) -> tuple[str, ...]:
        """What a left-right difference can be of; none for other faults."""
        return tuple(self.row.get("of_pair", ()))

    def sets(self) -> tuple[str, ...]:
        """Names of the pattern parameters it changes, the main one first."""
        if self.slug == "double_bump":
            return ("hip_roll_dip", "hip_split")
        if self.slug == "shoulder_driven":
            return ("hip_lag_share", "hip_roll_rad")
        if self.pairs:
            return (self.row["main_target"].replace("_{side}", ""),)
        names = (self.row["main_target"], *(extra["target"] for extra in self.row["with"]))
        return tuple(name.replace("_{side}", "") for name in names)


def _part(target: str) -> str:
    if target in ArmPattern.__dataclass_fields__:
        return "arm"
    return "body" if target in BodyPattern.__dataclass_fields__ else "roll"


@functools.cache
def faults() -> dict[str, Fault]:
    """All faults by slug, in the order of the table."""
    return {slug: _from_row(slug, row) for slug, row in read_toml("faults")["fault"].items()}


@functools.cache
def aliases() -> dict[str, Fault]:
    """Names for one part of a fault alone, by slug; the row's `of` is the whole fault."""
    return {slug: _from_row(slug, row) for slug, row in read_toml("faults").get("alias", {}).items()}


def _from_row(slug: str, row: dict) -> Fault:
    if "of_pair" in row and not row["owns"]:  # the catalogue shows the first pair
        row = {**row, **next(iter(row["of_pair"].values()))}
    strokes = STROKES if _part(row["main_target"]) == "arm" else ("every",)
    words = fault_words(slug)
    return Fault(
        slug, words.terms, words.says, row["main_measure"], row["unit"], _with_indices(row["owns"]),
        tuple(row["sides"]), strokes, row["best_view"], tuple(row["limb"]), row["source"], row,
    )  # fmt: skip


def _with_indices(owns: list[str]) -> frozenset[str]:
    """Measures that may move, and the symmetry index of each that has one."""
    measures = read_toml("definitions")["measure"]
    return frozenset([*owns, *(name for name, row in measures.items() if row.get("pair") in owns)])


def fault_named(slug: str) -> Fault:
    """The fault of this name.

    Raises
    ------
    InputError
        Unknown name (the nearest is given).
    """
    known = {**faults(), **aliases()}
    if slug not in known:
        raise InputError(f"fault: expected one of {', '.join(known)}, got '{slug}'; {nearest(slug, known)}")
    return known[slug]


@dataclass(frozen=True)
class FaultSetting:
    """A fault as asked for: exactly one of severity (0..1), amount (main measure, in its unit) or word.

    `of` is the pair that differs in a left-right difference, the first of the catalogue when left out.
    """

    fault: str
    severity: float | None = None
    amount: float | None = None
    unit: str | None = None
    word: str | None = None
    side: str = "both"
    strokes: str = "every"
    of: str | None = None

    def check(self) -> None:
        """Hold every field against what is known, all errors at once.

        Raises
        ------
        InputError
        """
        fault = fault_named(self.fault)
        errors = [
            f"fault {self.fault}: {name}: expected one of {', '.join(known)}, got '{got}'; {nearest(got, known)}"
            for name, got, known in (
                ("side", self.side, fault.sides),
                ("strokes", self.strokes, fault.strokes),
                ("unit", self.unit or fault.unit, _units(fault)),
                ("word", self.word or "clear", tuple(WORDS)),
            )
            if got not in known
        ]
        errors += self._of_errors(fault)
        given = [v for v in (self.severity, self.amount, self.word) if v is not None]
        if len(given) != 1:
            errors.append(
                f"fault {self.fault}: expected exactly one of severity, amount, word, got {len(given)}"
            )
        if self.severity is not None and not 0 <= self.severity <= 1:
            errors.append(f"fault {self.fault}: severity: expected 0 to 1, got {self.severity:g}")
        if self.amount is not None and not math.isfinite(self.amount):
            errors.append(f"fault {self.fault}: amount: expected a finite number, got {self.amount}")
        if errors:
            raise InputError("\n".join(errors))

    def _of_errors(self, fault: Fault) -> list[str]:
        if self.of is None or self.of in fault.pairs:
            return []
        if not fault.pairs:
            return [f"fault {self.fault}: of: expected it with asymmetry only, got '{self.of}'"]
        return [
            f"fault {self.fault}: of: expected one of {', '.join(fault.pairs)}, got '{self.of}'; "
            f"{nearest(self.of, fault.pairs)}"
        ]


def fault_of(setting: FaultSetting) -> Fault:
    """The fault of a setting; a left-right difference as the one of its pair.

    Raises
    ------
    InputError
        Unknown name of a fault or pair.
    """
    fault = fault_named(setting.fault)
    if not fault.pairs:
        return fault
    errors = setting._of_errors(fault)
    if errors:
        raise InputError("\n".join(errors))
    return _of_pair(setting.fault, setting.of or fault.pairs[0])


@functools.cache
def _of_pair(slug: str, pair: str) -> Fault:
    row = read_toml("faults")["fault"][slug]
    return _from_row(slug, {**row, **row["of_pair"][pair]})


def _units(fault: Fault) -> tuple[str, ...]:
    return ("cm", "m") if fault.unit == "cm" else (fault.unit,)


def gross_value(row: dict, own: float, half_width_m: float) -> float:
    """Gross value of one parameter in SI, from its row and the pattern's own value."""
    if "gross_deg" in row:
        return math.radians(row["gross_deg"])
    if "gross_half_widths" in row:
        return row["gross_half_widths"] * half_width_m
    if "gross_times" in row:
        return row["gross_times"] * own
    if "gross_add" in row:
        return own + row["gross_add"]
    if "gross_add_deg" in row:
        return own + math.radians(row["gross_add_deg"])
    return row["gross_m"] if "gross_m" in row else row["gross_value"]


def severity_of(setting: FaultSetting, own: float, gross: float) -> float:
    """Set severity on the scale from the pattern's own value (0) to gross (1).

    Raises
    ------
    InputError
        An amount on the wrong side of the pattern's own value, or beyond gross.
    """
    if setting.severity is not None:
        return float(setting.severity)
    if setting.word is not None:
        return WORDS[setting.word]
    unit = setting.unit or fault_named(setting.fault).unit
    severity = (setting.amount * DOOR[unit] - own) / (gross - own)
    if not -1e-12 <= severity <= 1 + 1e-9:
        low, high = own / DOOR[unit], gross / DOOR[unit]
        raise InputError(
            f"fault {setting.fault}: amount: expected between {low:.4g} (this stroke without the fault) and "
            f"{high:.4g} {unit} (gross), got {setting.amount:g}"
        )
    return max(severity, 0.0)


def normal_value(
    fault: Fault, *, stroke_rate_hz: float, half_width_m: float, stature_m: float, strokes: str
) -> float:
    """Usual value of the main measure for this pace and body. [door unit]"""
    row = (
        fault.row["breathing_only"] if strokes == "breathing" and "breathing_only" in fault.row else fault.row
    )
    if "normal_half_widths" in row:
        return row["normal_half_widths"] * half_width_m * 100
    if "normal_stature_percent" in row:
        return row["normal_stature_percent"] * stature_m
    rates = list(read_toml("faults")["rates_per_min"].values())
    return float(np.interp(stroke_rate_hz * 60, rates, row["normal"]))


def passing_value(fault: Fault, stroke_rate_hz: float) -> float:
    """Value of the main measure that passes after coaching, where it goes with the pace; else NaN. [door unit]"""
    rates = list(read_toml("faults")["rates_per_min"].values())
    passes = fault.row.get("passes", [math.nan] * len(rates))
    return float(np.interp(stroke_rate_hz * 60, rates, passes))


def arm_keys(pattern: StrokePattern, setting: FaultSetting) -> list[str]:
    """Names of the arm patterns that a setting touches.

    Raises
    ------
    InputError
        Breathing strokes of an arm that never breathes.
    """
    sides = SIDES if setting.side == "both" else (setting.side,)
    if setting.strokes == "every":
        return [key for side in sides for key in (side, f"{side}_breathing")]
    breathing = [s for s in sides if any(pattern.breathes(s, c) for c in range(pattern.period_cycles))]
    if not breathing:
        raise InputError(
            f"fault {setting.fault}: strokes: 'breathing' expected a swimmer who breathes to the {setting.side} "
            f"side, got breathing side '{pattern.breathing_side}' every {pattern.breathing_every}"
        )
    return [f"{side}_breathing" for side in breathing]


def change_arm(arm: ArmPattern, changes: dict[str, float]) -> ArmPattern:
    """An arm pattern with parameters replaced."""
    return dataclasses.replace(arm, **changes)
