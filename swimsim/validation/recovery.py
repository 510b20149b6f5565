"""Set, truth, recovered, error: the table that says how far a reading can be trusted.

- The truth over all cycles is taken over the cycles that were read: where the truth differs from cycle to
  cycle of the period (breathing, variability) the mean runs over those cycles, so that a record that is no
  whole number of periods does not look like an error.
- The error is recovered minus truth; for the timing of the kick, the shorter way round the circle.
- A value that cannot be read, or is not defined, is NaN with a reason; it is never left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from ..ground.records import Measure
from ..ground.tables import read_csv
from ..metrics import Reading

#: Columns of `measures.csv`.
COLUMNS = (
    "swimmer", "measure", "side", "cycle", "set", "truth", "recovered", "error", "unit", "rule", "reason",
)  # fmt: skip
_CIRCLE = {"kick_phase": 360.0}


def recovery_rows(
    swimmer: str,
    truth: Iterable[Measure],
    reading: Reading,
    *,
    targets: Mapping | None = None,
    targets_in_cycles: Mapping | None = None,
    cycles: bool = True,
) -> list[dict]:
    """The table of one swimmer, one row for each measure, side and cycle.

    Parameters
    ----------
    swimmer : str
        `fault` or `correct`, or any name.
    truth : iterable of Measure
    reading : Reading
    targets : mapping of (measure, side) to float or None
        What was set over all cycles, in door units.
    targets_in_cycles : mapping of (measure, side) to sequence of float
        What was set in each cycle of the period, where that can differ; elsewhere `targets` hold.
    cycles : bool
        Also the rows of single cycles, besides the row over all of them (cycle None).

    Returns
    -------
    list of dict
        Keys are `COLUMNS`; numbers are floats, NaN where there is none; `set` is None where nothing was set.
    """
    known, targets, each = truth_by_key(truth), targets or {}, targets_in_cycles or {}
    rows = []
    for found in reading.measures:
        if found.breathing is not None or (found.cycle is not None and not cycles):
            continue
        key = (found.measure, found.side)
        true, why = true_value(known, found, reading)
        rows.append(
            {
                "swimmer": swimmer, "measure": found.measure, "side": found.side, "cycle": found.cycle,
                "set": _set_in(found.cycle, targets.get(key), each.get(key)), "truth": true, "recovered": found.value,
                "error": error(found.measure, found.value, true), "unit": found.unit, "rule": found.rule,
                "reason": found.reason or why,
            }
        )  # fmt: skip
    return rows


def _set_in(cycle: int | None, over_all: float | None, each: Sequence[float] | None) -> float | None:
    return over_all if cycle is None or each is None else each[cycle % len(each)]


def truth_by_key(truth: Iterable[Measure]) -> dict:
    """(measure, side) to a dict of cycle (None: over all) to Measure; values by breath are left out."""
    known: dict[tuple[str, str | None], dict] = {}
    for measure in truth:
        if measure.breathing is None:
            known.setdefault((measure.measure, measure.side), {})[measure.cycle] = measure
    return known


def true_value(known: Mapping, found: Measure, reading: Reading) -> tuple[float, str | None]:
    """True value that belongs to a reading, and why there is none."""
    true = known.get((found.measure, found.side))
    if true is None:
        return np.nan, "no truth given for this measure"
    single = [true[cycle].value for cycle in sorted(c for c in true if c is not None)]
    if found.cycle is not None and not single and _differ(known):
        return np.nan, "truth is given over all cycles only"
    if found.cycle is not None:
        value = single[found.cycle % len(single)] if single else true[None].value
    elif not single or (read := _cycles_read(found, reading)) is None:
        value = true[None].value
    else:
        value = mean_value(found.measure, [single[cycle % len(single)] for cycle in read])
    reason = None if np.isfinite(value) else next(iter(true.values())).reason or "no truth in this cycle"
    return float(value), reason


def _differ(known: Mapping) -> bool:
    """Whether the truth differs from cycle to cycle: some measure is given for more than one."""
    return any(len(cycles) > 2 for cycles in known.values())


def _cycles_read(found: Measure, reading: Reading) -> list[int] | None:
    same = (m for m in reading.measures if (m.measure, m.side) == (found.measure, found.side))
    read = [m.cycle for m in same if m.cycle is not None and np.isfinite(m.value)]
    return read or None


def error(measure: str, recovered: float, truth: float) -> float:
    """Recovered minus truth, the shorter way round for angles that repeat."""
    difference = recovered - truth
    turn = _turn(measure)
    return float((difference + turn / 2) % turn - turn / 2) if turn else float(difference)


def mean_value(measure: str, values: list[float]) -> float:
    """Mean, round the circle for angles that repeat."""
    turn = _turn(measure)
    if not turn:
        return float(np.mean(values))
    angle = np.asarray(values) * 2 * np.pi / turn
    return float(np.arctan2(np.sin(angle).mean(), np.cos(angle).mean()) * turn / (2 * np.pi))


def _turn(measure: str) -> float | None:
    return next((turn for start, turn in _CIRCLE.items() if measure.startswith(start)), None)


def yardstick(measure: str, unit: str) -> tuple[float, float]:
    """Greatest RMS error of a good and of a fair recovery, from `shared/recovery_yardstick.csv`."""
    rows = {row["key"]: (float(row["good"]), float(row["fair"])) for row in read_csv("recovery_yardstick")}
    return rows.get(measure) or rows[unit]


def grade(measure: str, unit: str, size: float) -> str:
    """good, fair, poor, or none for an error that does not exist."""
    if not np.isfinite(size):
        return "none"
    good, fair = yardstick(measure, unit)
    return "good" if size <= good else "fair" if size <= fair else "poor"


def recovery_text(rows: Iterable[Mapping], *, rule: str = "") -> str:
    """The table as text, one line a row, the filter and the rules below it."""
    lines = [f"{'measure':34} {'side':5} {'set':>9} {'truth':>9} {'found':>9} {'error':>9} unit   grade"]
    for row in rows:
        numbers = " ".join(_number(row[key]) for key in ("set", "truth", "recovered", "error"))
        why = f"  {row['reason']}" if row["reason"] else ""
        mark = grade(row["measure"], row["unit"], abs(row["error"]))
        name = row["measure"] if row["cycle"] is None else f"{row['measure']} [{row['cycle']}]"
        lines.append(f"{name:34} {row['side'] or '':5} {numbers} {row['unit']:6} {mark}{why}")
    return "\n".join([*lines, *([f"Rule: {rule}"] if rule else [])])


def _number(value: float | None) -> str:
    return f"{'-':>9}" if value is None or not np.isfinite(value) else f"{value:9.3f}"
