"""Faults that are often seen together, from `shared/linked_faults.toml`, and the order of correction."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol, TypeVar

from ..ground.errors import InputError, nearest
from ..ground.tables import read_toml
from ..ground.words import fault_words, order_of_correction
from .catalogue import WORDS, FaultSetting, fault_named


class Named(Protocol):
    """Whatever has the slug of a fault."""

    fault: str


Any = TypeVar("Any", bound=Named)


def linked_sets() -> dict[str, dict]:
    """Every set by name: what it says, why, source, its faults."""
    return read_toml("linked_faults")["set"]


def linked_settings(
    name: str, *, severity: float | None = None, word: str | None = None, side: str = "both"
) -> tuple[FaultSetting, ...]:
    """The faults of a set, each at its share of one severity, in the order of correction.

    Parameters
    ----------
    severity, word : float or str
        Exactly one of them, of the whole set.
    side : {"left", "right", "both"}
        For the members that have sides.

    Raises
    ------
    InputError
        An unknown set or word, or both or none of severity and word.
    """
    if name not in linked_sets():
        raise InputError(f"linked: set: expected one of {', '.join(linked_sets())}, got '{name}'; "
                         f"{nearest(name, linked_sets())}")  # fmt: skip
    if (severity is None) == (word is None):
        raise InputError(f"linked {name}: expected exactly one of severity and word")
    if word is not None and word not in WORDS:
        raise InputError(f"linked {name}: word: expected one of {', '.join(WORDS)}, got '{word}'")
    size = WORDS[word] if severity is None else severity
    return tuple(in_order([_member(row, size, side) for row in linked_sets()[name]["faults"]]))


def _member(row: dict, severity: float, side: str) -> FaultSetting:
    sided = side in fault_named(row["fault"]).sides
    return FaultSetting(
        row["fault"],
        severity=round(severity * row["share"], 6),
        side=side if sided else "both",
        strokes=row.get("strokes", "every"),
    )


def in_order(faults: Sequence[Any]) -> list[Any]:
    """Faults in the order in which they are corrected: the cause before its echo."""
    order = order_of_correction()
    return sorted(faults, key=lambda one: order.index(fault_words(one.fault).of or one.fault))
