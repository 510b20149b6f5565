"""Cross-talk: what else moves when one fault is set. Truth against truth, no reading in between."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from ..ground.records import Measure
from .recovery import error, truth_by_key


@dataclass(frozen=True)
class Change:
    """How much one measure moved when a fault was set, and whether the fault owns it."""

    fault: str
    measure: str
    side: str | None
    clean: float
    faulty: float
    change: float
    unit: str
    owned: bool


def cross_talk(
    clean: Iterable[Measure], faulty: Mapping[str, Iterable[Measure]], *, owns: Mapping[str, Iterable[str]]
) -> tuple[Change, ...]:
    """Change of every measure with every fault, the greatest of its cycles.

    Parameters
    ----------
    clean : iterable of Measure
        Truth without a fault.
    faulty : mapping of fault slug to iterable of Measure
        Truth with that fault alone.
    owns : mapping of fault slug to measure keys
        The measures that the fault is meant to move.
    """
    base = truth_by_key(clean)
    changes = []
    for fault, measures in faulty.items():
        owned = set(owns[fault])
        for (name, side), values in truth_by_key(measures).items():
            pairs = [(base[name, side][c], m) for c, m in values.items() if c in base.get((name, side), {})]
            if pairs:
                changes.append(_greatest(fault, pairs, name in owned))
    return tuple(changes)


def _greatest(fault: str, pairs: list[tuple[Measure, Measure]], owned: bool) -> Change:
    """The change of the cycle in which a measure moves most; a value that comes or goes is infinite."""

    def size(pair: tuple[Measure, Measure]) -> float:
        before, after = (float(one.value) for one in pair)
        if np.isnan(before) or np.isnan(after):
            return 0.0 if np.isnan(before) and np.isnan(after) else np.inf
        return abs(error(pair[0].measure, after, before))

    clean, with_fault = max(pairs, key=size)
    values = float(clean.value), float(with_fault.value)
    return Change(fault, clean.measure, clean.side, *values, size((clean, with_fault)), clean.unit, owned)


def greatest_outside(changes: Iterable[Change]) -> dict[tuple[str, str], Change]:
    """For each fault and unit the greatest change of a measure that the fault does not own."""
    worst: dict[tuple[str, str], Change] = {}
    for change in changes:
        key = (change.fault, change.unit)
        if not change.owned and (key not in worst or change.change > worst[key].change):
            worst[key] = change
    return worst


def cross_talk_text(changes: Iterable[Change], *, least: float = 1e-6) -> str:
    """The table as text: for each fault what it owns, then what else moves by more than `least`."""
    changes, lines = tuple(changes), []
    for fault in dict.fromkeys(change.fault for change in changes):
        for owned, title in ((True, "owned"), (False, "not owned")):
            rows = [c for c in changes if c.fault == fault and c.owned == owned and c.change > least]
            lines.append(f"{fault}: {title}" + ("" if rows else " - nothing moves"))
            rows.sort(key=lambda c: (c.unit, -c.change))
            lines += map(_line, rows)
    return "\n".join(lines)


def _line(c: Change) -> str:
    values = f"{c.clean:9.3f} -> {c.faulty:9.3f}"
    return f"  {c.measure:34} {c.side or '':5} {values}  |{c.change:.4g}| {c.unit}"


SHOWN_FROM = 0.005  # smaller changes are a dot: less than half of the last digit that is shown


def matrix_text(changes: Iterable[Change]) -> str:
    """Faults against measures: how much each measure moves, the greater of both sides.

    A star marks what the fault owns, `new` a value that comes or goes, a dot less than half of the last digit.
    """
    changes = tuple(changes)
    slugs = list(dict.fromkeys(change.fault for change in changes))
    heads = [f"{i:2d} {slug}" for i, slug in enumerate(slugs, start=1)]
    lines = [*heads, "", f"{'measure':32} {'unit':5}" + "".join(f"{i:7d}" for i in range(1, len(slugs) + 1))]
    for name, cells in _by_measure(changes).items():
        unit = next(iter(cells.values())).unit
        lines.append(f"{name:32} {unit:5}" + "".join(f"{_cell(cells.get(slug)):>7}" for slug in slugs))
    return "\n".join(line.rstrip() for line in lines)


def _by_measure(changes: Iterable[Change]) -> dict[str, dict[str, Change]]:
    """The greatest change of either side, by measure and fault."""
    table: dict[str, dict[str, Change]] = {}
    for change in changes:
        cells = table.setdefault(change.measure, {})
        if change.fault not in cells or change.change > cells[change.fault].change:
            cells[change.fault] = change
    return table


def _cell(change: Change | None) -> str:
    if change is None or change.change < SHOWN_FROM:
        return "."
    number = "new" if np.isinf(change.change) else f"{change.change:.{2 if change.change < 10 else 1}f}"
    return number + ("*" if change.owned else " ")
