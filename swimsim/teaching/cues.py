"""The order in which faults are spoken of, and the names of their drills."""

from __future__ import annotations

from ..faults.linked import in_order
from ..ground.words import drill_words, fault_words

__all__ = ["drill_names", "in_order"]


def drill_names(fault: str) -> tuple[str, ...]:
    """The drills of a fault by their trade names."""
    return tuple(drill_words(slug).name for slug in fault_words(fault).drills)
