"""Points that one camera gave, as CSV (`time_s,nose_x_px,nose_y_px,nose_confidence,...`), and their camera as JSON."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np

from .conventions import JOINTS, MODEL_LINE, REFRACTIONS
from .csv_files import read_numbers
from .errors import InputError, nearest, not_text
from .measure_files import write_json
from .records import Camera, Seen

FORMAT, VERSION = "swimsim.camera", 1
_COLUMN = re.compile(r"^(?P<joint>.+)_(?P<part>x_px|y_px|confidence)$")
_FACTS = ("stature_m", "camera_speed_m_s", "condition", "rate_hz")
_CAMERA = tuple(field.name for field in fields(Camera))


def camera_path(path: str | os.PathLike) -> Path:
    """Where the camera of a file of points lies: beside it, under the same name with the suffix .json."""
    return Path(path).with_suffix(".json")


def is_seen_csv(path: str | os.PathLike) -> bool:
    """Whether a file is a CSV whose header names pixels."""
    path = Path(path)
    if path.suffix.lower() != ".csv" or not path.is_file():
        return False
    try:
        with open(path, encoding="utf-8-sig", errors="replace") as file:
            head = next((line for line in file if line.strip() and not line.startswith("#")), "")
    except OSError:
        return False  # who reads it will say why it cannot be read
    return any(cell.strip().endswith("_x_px") for cell in head.split(","))


def write_camera(seen: Seen, path: str | os.PathLike) -> None:
    """Write the camera that is believed in, and what else the coach knows."""
    camera = {name: _plain(getattr(seen.camera, name)) for name in _CAMERA}
    facts = {name: seen.meta[name] for name in _FACTS if seen.meta.get(name) is not None}
    record = {"format": FORMAT, "version": VERSION, "note": MODEL_LINE, "rate_hz": seen.rate_hz}
    write_json({**record, **facts, "camera": camera}, path)


def _plain(value: Any) -> Any:
    """Arrays and tuples as lists."""
    if isinstance(value, np.ndarray):
        return value.tolist()
    return list(value) if isinstance(value, tuple) else value


def read_camera(path: str | os.PathLike) -> tuple[Camera, dict[str, Any]]:
    """A camera file: the camera, and the facts beside it (`stature_m`, `camera_speed_m_s`, `rate_hz`).

    Raises
    ------
    InputError
    """
    path = Path(path)
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(
            f"{path}: expected a readable camera file, got: {error.strerror or error}"
        ) from error
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: {not_text(error)}") from error
    except (ValueError, RecursionError) as error:
        raise InputError(f"{path}: expected a camera as JSON, got: {error}") from error
    given = record.get("camera") if isinstance(record, dict) else None
    if not isinstance(given, dict):
        raise InputError(f"{path}: camera: expected a table of a camera, got none")
    unknown = [key for key in given if key not in _CAMERA]
    missing = [f.name for f in fields(Camera) if f.name in _NEEDED and f.name not in given]
    problems = [f"{path}: camera.{key}: no such key; {nearest(key, _CAMERA)}" for key in unknown]
    problems += [f"{path}: camera.{key}: expected a value, got none" for key in missing]
    problems += [
        f"{path}: camera.{key}: expected {expected}, got {given[key]!r}"
        for key, (expected, fits) in _FITS.items()
        if key in given and not fits(given[key])
    ]
    problems += [
        f"{path}: {key}: expected a number above 0, got {record[key]!r}"
        for key in ("stature_m", "rate_hz")
        if key in record and not _above_0(record[key])
    ]
    speed = record.get("camera_speed_m_s", 0.0)
    if not _is_number(speed):
        problems.append(f"{path}: camera_speed_m_s: expected a number, got {speed!r}")
    if problems:
        raise InputError("\n".join(problems))
    try:
        camera = Camera(**{key: tuple(v) if isinstance(v, list) else v for key, v in given.items()})
    except (TypeError, ValueError) as error:
        raise InputError(f"{path}: {error}") from error
    return camera, {key: record[key] for key in _FACTS if key in record}


_NEEDED = ("position_m", "rotation", "focal_px", "centre_px", "size_px", "name")


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and bool(np.isfinite(value))


def _above_0(value: Any) -> bool:
    return _is_number(value) and value > 0


def _row_of(count: int, fits: Callable[[Any], bool] = _is_number) -> Callable[[Any], bool]:
    """Whether a value is a list of so many values that fit."""
    return lambda value: isinstance(value, list) and len(value) == count and all(map(fits, value))


_FITS: dict[str, tuple[str, Callable[[Any], bool]]] = {
    "name": ("text", lambda value: isinstance(value, str)),
    "position_m": ("three numbers in metres", _row_of(3)),
    "rotation": ("three rows of three numbers", _row_of(3, _row_of(3))),
    "focal_px": ("two numbers above 0", _row_of(2, _above_0)),
    "centre_px": ("two numbers", _row_of(2)),
    "size_px": ("two whole numbers above 0", _row_of(2, lambda v: _above_0(v) and v == int(v))),
    "distortion": ("five numbers", _row_of(5)),
    "travels": ("true or false", lambda value: isinstance(value, bool)),
    "refraction": (f"one of {', '.join(REFRACTIONS)}", lambda value: value in REFRACTIONS),
    "port_m": ("a number above 0", _above_0),
}


def read_seen(
    path: str | os.PathLike,
    camera: Camera,
    *,
    facts: Mapping[str, Any] | None = None,
    rate_hz: float | None = None,
    joint_map: Mapping[str, str] | None = None,
) -> Seen:
    """Points of a CSV with the camera that took them.

    Parameters
    ----------
    facts : mapping, optional
        What else is known, see `Seen.meta`.
    rate_hz : float, optional
        For a file without times. [Hz]
    joint_map : mapping, optional
        Their joint names to ours.

    Raises
    ------
    InputError
        Columns, cells or times that are none; no joint of ours.
    """
    path = Path(path)
    head, table = read_numbers(path)
    places: dict[str, dict[str, int]] = {}
    for i, name in enumerate(head):
        if match := _COLUMN.match(name):
            places.setdefault((joint_map or {}).get(match["joint"], match["joint"]), {})[match["part"]] = i
    lacking = [
        f"{joint}_{part}" for joint, at in places.items() for part in ("x_px", "y_px") if part not in at
    ]
    if lacking:
        raise InputError(f"{path}: columns: expected x_px and y_px of every joint, got no '{lacking[0]}'")
    known = [joint for joint in places if joint in JOINTS]
    if not known:
        first = next(iter(places), head[0])
        raise InputError(
            f"{path}: columns: expected joints such as nose_x_px, got '{first}'; {nearest(first, JOINTS)}"
        )
    time, rate = _clock(path, head, table, rate_hz)
    pixels = np.stack([table[:, [places[joint]["x_px"], places[joint]["y_px"]]] for joint in known], axis=1)
    sure = np.isfinite(pixels).all(axis=-1)
    columns = [
        table[:, at] if (at := places[joint].get("confidence")) is not None else np.ones(len(time))
        for joint in known
    ]
    confidence = np.where(sure, np.nan_to_num(np.stack(columns, axis=1)), 0.0)
    return Seen(time, pixels, confidence, tuple(known), camera, rate, dict(facts or {}))


def _clock(path: Path, head: list[str], table: np.ndarray, said_hz: float | None) -> tuple[np.ndarray, float]:
    """Times of the frames and their rate. [s], [Hz]"""
    if len(table) < 2:
        raise InputError(f"{path}: expected at least 2 frames, got {len(table)}")
    if "time_s" not in head:
        if said_hz is None or not said_hz > 0:
            raise InputError(
                f"{path}: time_s: expected times in seconds, got none; add --rate FRAMES_PER_SECOND"
            )
        return np.arange(len(table)) / said_hz, float(said_hz)
    time = table[:, head.index("time_s")]
    if not np.isfinite(time).all() or (np.diff(time) <= 0).any():
        raise InputError(f"{path}: time_s: expected times that increase, a number in every row")
    return time, round(float((len(time) - 1) / (time[-1] - time[0])), 4)
