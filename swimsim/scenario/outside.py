"""One number of the model against one from outside the project, and the table of many."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Outside:
    """One number of the model against a published one.

    Parameters
    ----------
    what, unit : str
    value, low, high : float
        Of the model; band of the source.
    source, flag : str
        Publication; read, derived, memory or practice.
    """

    what: str
    unit: str
    value: float
    low: float
    high: float
    source: str
    flag: str = "read"

    @property
    def inside(self) -> bool:
        """Whether the value lies in the band."""
        return self.low <= self.value <= self.high


def table_text(rows: list[Outside], *, digits: int = 3) -> str:
    """The checks as a table of a document."""
    head = "| what | model | band | inside | unit | source | flag |\n|---|---|---|---|---|---|---|"
    lines = []
    for row in rows:
        value, low, high = (f"{number:.{digits}g}" for number in (row.value, row.low, row.high))
        inside = "yes" if row.inside else "**no**"
        lines.append(
            f"| {row.what} | {value} | {low} to {high} | {inside} | {row.unit} | {row.source} | {row.flag} |"
        )
    return "\n".join([head, *lines])
