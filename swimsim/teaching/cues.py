"""The order in which faults are spoken of, and the names of their drills."""

from __future__ import annotations

from collections.abc import Sequence

from ..faults.catalogue import FaultSetting
from ..ground.words import drill_words, fault_words, order_of_correction


def in_order(faults: Sequence[FaultSetting]) -> list[FaultSetting]:
    """Faults in the order in which they are corrected: the cause before its echo."""
    order = order_of_correction()
    return sorted(faults, key=lambda s: order.index(fault_words(s.fault).of or s.fault))


def drill_names(fault: str) -> tuple[str, ...]:
    """The drills of a fault by their trade names."""
    return tuple(drill_words(slug).name for slug in fault_words(fault).drills)
