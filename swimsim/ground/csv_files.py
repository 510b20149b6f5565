"""Traces and seen points as CSV, one row per frame (`time_s,left_shoulder_x_m,...`); empty is missing."""

from __future__ import annotations

import csv
import os
import re
from pathlib import Path
from typing import Any

import numpy as np

from .atomic import whole_file
from .errors import InputError
from .records import Seen, Trace

_COLUMN = re.compile(r"^(?P<joint>.+)_(?P<axis>[xyz])(?:_(?P<unit>m|cm|mm))?$")
_SHOWN = 5  # broken cells named one by one before the rest is only counted


def write_csv(trace: Trace, path: str | os.PathLike) -> None:
    """Write a trace as CSV in metres and seconds, to the nanometre."""
    head = ["time_s", *(f"{name}_{axis}_m" for name in trace.joint_names for axis in "xyz")]
    flat = trace.joints_m.reshape(len(trace.time_s), -1)
    _write_table(path, head, np.column_stack([trace.time_s, flat]), decimals=9)


def write_seen_csv(seen: Seen, path: str | os.PathLike) -> None:
    """Write what one camera shows: `time_s,nose_x_px,nose_y_px,nose_confidence,...` for every joint."""
    parts = ("x_px", "y_px", "confidence")
    head = ["time_s", *(f"{name}_{part}" for name in seen.joint_names for part in parts)]
    cells = np.concatenate([seen.pixels, seen.confidence[..., None]], axis=-1)
    _write_table(path, head, np.column_stack([seen.time_s, cells.reshape(len(seen.time_s), -1)]), decimals=6)


def write_rows(path: str | os.PathLike, head: list[str], rows: list[list[str]]) -> None:
    """Write a table of text cells."""
    with whole_file(path) as part, open(part, "w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(head)
        writer.writerows(rows)


def _write_table(path: str | os.PathLike, head: list[str], table: np.ndarray, *, decimals: int) -> None:
    table = np.round(table, decimals) + 0.0  # no "-0.000"
    text = np.char.mod(f"%.{decimals}f", table)
    text[np.isnan(table)] = ""
    lines = [",".join(head), *map(",".join, text.tolist())]
    with whole_file(path) as part:
        part.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def load_csv(path: Path) -> dict[str, Any]:
    """Content of a trace CSV: `time_s` and `unit` (each may be None), `joints_m` (n, j, 3), `joint_names`.

    Raises
    ------
    InputError
        No header, wrong columns, rows of another length, text where a number belongs (all of a kind at once).
    """
    head, rows = _read_rows(path)
    unit, places = _columns(path, head)
    table = _numbers(path, head, rows)
    names = list(dict.fromkeys(name for name, _ in places))
    joints = np.full((len(rows), len(names), 3), np.nan)
    for (name, axis), column in places.items():
        joints[:, names.index(name), "xyz".index(axis)] = table[:, column]
    time = table[:, head.index("time_s")] if "time_s" in head else None
    return {
        "time_s": time,
        "rate_hz": None,
        "joints_m": joints,
        "joint_names": names,
        "unit": unit,
        "meta": {},
    }


def read_numbers(path: Path) -> tuple[list[str], np.ndarray]:
    """Header and numbers of a CSV, NaN for empty cells.

    Raises
    ------
    InputError
    """
    try:
        head, rows = _read_rows(path)
    except OSError as error:
        raise InputError(f"{path}: expected a readable file, got: {error.strerror or error}") from error
    return head, _numbers(path, head, rows)


def _read_rows(path: Path) -> tuple[list[str], dict[int, list[str]]]:
    """Header, and the rows by line number; blank lines and lines that start with # are skipped."""
    rows = {}
    try:
        with open(path, encoding="utf-8-sig", newline="") as file:
            reader = csv.reader(file)
            for row in reader:
                if any(cell.strip() for cell in row) and row[0][:1] != "#":
                    rows[reader.line_num] = row
    except UnicodeDecodeError as error:
        raise InputError(
            f"{path}: expected text in UTF-8, got other bytes at position {error.start}"
        ) from error
    except csv.Error as error:
        raise InputError(f"{path}: expected comma-separated text, got: {error}") from error
    if not rows:
        raise InputError(
            f"{path}: expected a header `time_s,left_shoulder_x_m,...` and rows, got an empty file"
        )
    return [cell.strip() for cell in rows.pop(next(iter(rows)))], rows


def _columns(path: Path, head: list[str]) -> tuple[str | None, dict[tuple[str, str], int]]:
    """Unit of the header (None if it names none), and the column of every joint and axis."""
    found = {i: match for i, name in enumerate(head) if (match := _COLUMN.match(name))}
    odd = [name for i, name in enumerate(head) if i not in found and name not in ("time_s", "frame")]
    problems = []
    if not found:
        problems.append(
            f"columns: expected time_s,left_shoulder_x_m,left_shoulder_y_m,..., got {','.join(head[:4])}"
        )
    elif odd:
        problems.append(f"columns: expected time_s and <joint>_x_m, <joint>_y_m, <joint>_z_m, got '{odd[0]}'")
    repeats = sorted({name for name in head if head.count(name) > 1})
    if repeats:
        problems.append(
            f"columns: expected each column once, got '{repeats[0]}' {head.count(repeats[0])} times"
        )
    units = sorted({match["unit"] or "none" for match in found.values()})
    if len(units) > 1:
        problems.append(f"columns: expected one unit, got {' and '.join(units)}")
    places = {(match["joint"], match["axis"]): i for i, match in found.items()}
    for joint in dict.fromkeys(joint for joint, _ in places):
        lacking = [axis for axis in "xyz" if (joint, axis) not in places]
        if lacking:
            problems.append(f"columns: expected x, y and z of '{joint}', got no {' and no '.join(lacking)}")
    if problems:
        raise InputError("\n".join(f"{path}: {text}" for text in problems))
    return (None if units == ["none"] else units[0]), places


def _numbers(path: Path, head: list[str], rows: dict[int, list[str]]) -> np.ndarray:
    if not rows:
        raise InputError(f"{path}: expected at least 2 frames, got a header and no rows")
    short = [line for line, row in rows.items() if len(row) != len(head)]
    if short:
        more = f" (and {len(short) - 1} more lines)" if len(short) > 1 else ""
        got = len(rows[short[0]])
        raise InputError(
            f"{path}: line {short[0]}: expected {len(head)} cells as in the header, got {got}{more}"
        )
    try:
        return np.array([[float(cell) if cell.strip() else np.nan for cell in row] for row in rows.values()])
    except ValueError:
        raise InputError(_bad_cells(path, head, rows)) from None


def _bad_cells(path: Path, head: list[str], rows: dict[int, list[str]]) -> str:
    bad = [
        f"{path}: line {line}, {head[j]}: expected a number or an empty cell, got '{cell[:40]}'"
        for line, row in rows.items()
        for j, cell in enumerate(row)
        if cell.strip() and not _is_number(cell)
    ]
    more = [f"{path}: and {len(bad) - _SHOWN} more cells that are not numbers"] if len(bad) > _SHOWN else []
    return "\n".join(bad[:_SHOWN] + more)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
