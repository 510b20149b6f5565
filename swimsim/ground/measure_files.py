"""Events and measures as plain data and as files: JSON with null for what could not be read, or CSV."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from .atomic import check_file, whole_file
from .csv_files import write_rows
from .errors import InputError
from .records import Event, Measure

FORMAT, VERSION = "swimsim.measures", 1
_COLUMNS = ("measure", "side", "cycle", "breathing", "value", "unit", "uncertainty", "rule", "reason")


def number(value: float | None) -> float | None:
    """The number, or None where there is none (JSON has no NaN)."""
    return float(value) if value is not None and math.isfinite(value) else None


def event_record(event: Event) -> dict[str, Any]:
    """An event as plain data. [s]"""
    return {
        "event": event.event,
        "side": event.side,
        "cycle": event.cycle,
        "time_s": round(event.time_s, 12),
        "rule": event.rule,
    }


def measure_record(measure: Measure) -> dict[str, Any]:
    """A measure as plain data; `value` is None with a `reason` where there is none."""
    return {
        "measure": measure.measure,
        "side": measure.side,
        "cycle": measure.cycle,
        "breathing": measure.breathing,
        "value": number(measure.value),
        "unit": measure.unit,
        "rule": measure.rule,
        "definition": measure.definition,
        "reason": measure.reason,
    }


def write_json(record: Mapping[str, Any], path: str | os.PathLike) -> None:
    """Write plain data as JSON; a NaN left in it is an error, not a file."""
    text = json.dumps(record, indent=1, allow_nan=False, ensure_ascii=False)
    with whole_file(path) as part:
        part.write_text(text + "\n", encoding="utf-8", newline="\n")


def check_measures_path(path: str | os.PathLike, *, source: str | os.PathLike) -> None:
    """Refuse a file name that is neither CSV nor JSON, that lies nowhere, or that is the trace itself.

    Raises
    ------
    InputError
    """
    path = Path(path)
    check_file(path)
    if path.suffix.lower() not in (".csv", ".json"):
        raise InputError(f"{path}: output: expected a file name ending in .csv or .json, got '{path.name}'")
    if path.resolve() == Path(source).resolve():
        raise InputError(f"{path}: output: expected another file than the trace, got the trace itself")


def write_measures(
    measures: Sequence[Measure], path: str | os.PathLike, *, events: Sequence[Event] = (), rule: str = ""
) -> None:
    """Write measures as CSV, or with events and the filter rule as JSON, chosen by the file name."""
    if Path(path).suffix.lower() == ".json":
        record = {
            "format": FORMAT,
            "version": VERSION,
            "rule": rule,
            "events": [event_record(e) for e in events],
            "measures": [{**measure_record(m), "uncertainty": number(m.uncertainty)} for m in measures],
        }
        write_json(record, path)
        return
    rows = [[text_cell(getattr(m, column)) for column in _COLUMNS] for m in measures]
    write_rows(path, list(_COLUMNS), rows)


def text_cell(value: Any) -> str:
    """A value as a CSV cell: empty for nothing and NaN, nine significant digits, yes or no."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return "" if math.isnan(value) else f"{value:.9g}"
    return str(value)
