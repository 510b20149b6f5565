"""What is said to the swimmer about each fault: one cue, two drills, why, pass mark, care."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass, fields

from ..faults.catalogue import FaultSetting, fault_named
from ..ground.tables import read_toml


@dataclass(frozen=True)
class Drill:
    """A drill by its trade name, and how to do it in one line."""

    name: str
    how: str


@dataclass(frozen=True)
class Cue:
    """Words about one fault, as printed in `shared/cues.toml`.

    `key` says what to look at in the key frame and `key_words` names that frame; `why` is two lines; `care` goes
    beside the caution line; `strip` lists the instants of a film strip (see the head of the file).
    """

    cue: str
    drills: tuple[Drill, ...]
    key: str
    why: tuple[str, ...]
    pass_mark: str
    care: str
    key_words: str
    strip: tuple[str | float, ...]
    flag: str
    source: str


@functools.cache
def cue_of(fault: str) -> Cue:
    """The words about a fault; a part of one has those of the whole."""
    table = read_toml("cues")
    row = table["fault"][fault_named(fault).row.get("of", fault)]
    drills = tuple(Drill(name, table["drill"][name]["how"]) for name in row["drills"])
    plain = {f.name: row[f.name] for f in fields(Cue) if f.name not in ("drills", "why", "strip")}
    return Cue(drills=drills, why=tuple(row["why"]), strip=tuple(row["strip"]), **plain)


def in_order(faults: Sequence[FaultSetting]) -> list[FaultSetting]:
    """Faults in the order in which they are corrected: the cause before its echo."""
    order = read_toml("cues")["order"]
    return sorted(faults, key=lambda s: order.index(fault_named(s.fault).row.get("of", s.fault)))
