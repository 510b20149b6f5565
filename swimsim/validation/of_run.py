"""The recovery table of one run: both swimmers read blind, held against what was set and what is true."""

from __future__ import annotations

import os
from collections.abc import Sequence

from ..faults.catalogue import fault_of
from ..ground.files import write_rows
from ..ground.measure_files import text_cell
from ..metrics import measure_trace
from ..scenario.play import Played
from ..scenario.set_values import set_in_cycles, set_values
from ..scenario.severity import main_measure
from .recovery import COLUMNS, recovery_rows

_ALWAYS = ("stroke_rate", "speed")  # stated for every run


def recover(played: Played) -> list[dict]:
    """Rows of `measures.csv`, the swimmer with the fault first: over all cycles, then cycle by cycle."""
    rows = []
    for name in ("fault", "correct"):
        swum = getattr(played, name)
        reading = measure_trace(swum.trace)
        rows += recovery_rows(
            name,
            swum.truth.measures,
            reading,
            targets=set_values(swum.pattern),
            targets_in_cycles=set_in_cycles(swum.pattern),
        )
    return rows


def write_recovery(rows: Sequence[dict], path: str | os.PathLike) -> None:
    """Write the table as CSV; an empty cell is a number that does not exist, and `reason` says why."""
    write_rows(path, list(COLUMNS), [[text_cell(row[column]) for column in COLUMNS] for row in rows])


def main_rows(played: Played, rows: Sequence[dict]) -> list[dict]:
    """The rows that this run is about: main measures of its faults on their sides, rate and speed."""
    wanted: dict[str, set[str | None]] = {}
    for setting in played.fault.faults:
        sides = {"left", "right"} if setting.side == "both" else {setting.side}
        for measure in dict.fromkeys((fault_of(setting).main_measure, main_measure(setting))):
            wanted.setdefault(measure, set()).update(sides)
    names = [*wanted, *_ALWAYS]
    found = [
        row
        for row in rows
        if row["cycle"] is None
        and row["measure"] in names
        and row["side"] in {None, *wanted.get(row["measure"], ())}
    ]
    return sorted(found, key=lambda row: names.index(row["measure"]))
