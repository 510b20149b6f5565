"""What is said to the swimmer about each fault: one cue, two drills, why, pass mark, care."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from ..ground.tables import read_toml


@dataclass(frozen=True)
class Drill:
    """A drill by its trade name, and how to do it in one line."""

    name: str
    how: str


@dataclass(frozen=True)
class Cue:
    """Words about one fault, as printed in `shared/cues.toml`.

    `key` says what to look at in the key frame, `why` is two lines, `care` goes beside the caution line.
    """

    cue: str
    drills: tuple[Drill, ...]
    key: str
    why: tuple[str, ...]
    pass_mark: str
    care: str
    flag: str
    source: str


@functools.cache
def cue_of(fault: str) -> Cue:
    """The words about a fault."""
    table = read_toml("cues")
    row = table["fault"][fault]
    drills = tuple(Drill(name, table["drill"][name]["how"]) for name in row["drills"])
    return Cue(
        row["cue"],
        drills,
        row["key"],
        tuple(row["why"]),
        row["pass_mark"],
        row["care"],
        row["flag"],
        row["source"],
    )
