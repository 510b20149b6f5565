"""The narrow door for traces: read and write NPZ and CSV, ours or from elsewhere.

A trace from elsewhere becomes an ordinary Trace in metres, with our axes and joint names, or one clear error.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from .atomic import whole_file, whole_folder
from .conventions import JOINTS
from .csv_files import load_csv, write_csv, write_rows, write_seen_csv
from .errors import InputError, nearest
from .foreign import OUR_AXES, axes_choice, read_joint_map, unit_scale
from .npz_files import load_npz, write_npz
from .records import Trace

__all__ = [
    "LEAST_RATE_HZ", "read_trace", "whole_file", "whole_folder", "write_csv", "write_npz", "write_rows",
    "write_seen_csv", "write_trace",
]  # fmt: skip

LEAST_RATE_HZ = 25.0  # below it a stroke has too few frames between its events (practice)
_RATE_AGREES = 0.01  # share by which the times in a file may differ from the rate it is said to have


def write_trace(trace: Trace, path: str | os.PathLike) -> None:
    """Write a trace as NPZ or CSV, chosen by the file name."""
    _by_suffix(Path(path), {".npz": write_npz, ".csv": write_csv})(trace, path)


def read_trace(
    path: str | os.PathLike,
    *,
    axes: str | None = None,
    unit: str | None = None,
    rate_hz: float | None = None,
    joint_map: str | os.PathLike | Mapping[str, str] | None = None,
) -> Trace:
    """Read a trace from NPZ or CSV, ours or measured elsewhere.

    Parameters
    ----------
    path : path of a `.npz` or `.csv` file.
    axes : str, optional
        Which file axis gives our x (forward), y (left) and z (up); see `swimsim.ground.foreign.axes_choice`.
    unit : {"m", "cm", "mm"}, optional
        Unit of the file; metres, or the unit in the CSV header, when left out.
    rate_hz : float, optional
        Frame rate, for a file that does not tell it. [Hz]
    joint_map : path or mapping, optional
        Their joint names to ours.

    Returns
    -------
    Trace
        All joints of ours, NaN where the file lacks one; `meta["missing_joints"]` and
        `meta["unknown_joints"]` name what was lacking and what was left out.

    Raises
    ------
    InputError
        Anything wrong with the file or the options: file, field, expected, got.
    """
    path = Path(path)
    if path.is_dir():
        raise InputError(f"{path}: expected a trace file, got a folder")
    if unit is not None:
        unit_scale(unit)
    index, sign = axes_choice(axes or OUR_AXES)
    names = _names(joint_map)
    raw = _load(path)
    scale = unit_scale(_one_unit(path, raw.get("unit"), unit))
    time, rate = _clock(path, raw, rate_hz)
    joints = raw["joints_m"][..., index] * (sign * scale)
    _check_values(path, raw["joint_names"], joints)
    return _as_ours(path, joints, raw, clock=(time, rate), names=names)


def _by_suffix(path: Path, choices: Mapping[str, Any]) -> Any:
    suffix = path.suffix.lower()
    if suffix not in choices:
        raise InputError(f"{path}: expected a file name ending in {' or '.join(choices)}, got '{path.name}'")
    return choices[suffix]


def _load(path: Path) -> dict[str, Any]:
    load = _by_suffix(path, {".npz": load_npz, ".csv": load_csv})
    try:
        if path.stat().st_size == 0:
            raise InputError(f"{path}: expected a trace, got an empty file")
        return load(path)
    except OSError as error:
        raise InputError(f"{path}: expected a readable file, got: {error.strerror or error}") from error


def _names(joint_map: str | os.PathLike | Mapping[str, str] | None) -> Mapping[str, str]:
    if joint_map is None or isinstance(joint_map, Mapping):
        return joint_map or {}
    return read_joint_map(joint_map)


def _one_unit(path: Path, in_file: str | None, said: str | None) -> str:
    if said and in_file and said != in_file:
        raise InputError(f"{path}: unit: expected '{in_file}' as in the column names, got --unit {said}")
    return said or in_file or "m"


def _clock(path: Path, raw: dict[str, Any], said_hz: float | None) -> tuple[np.ndarray, float]:
    """Times and frame rate, from the file or from the rate that was said."""
    frames = len(raw["joints_m"])
    if said_hz is not None and not (np.isfinite(said_hz) and said_hz > 0):
        raise InputError(f"--rate: expected frames per second above 0, got {said_hz:g}")
    if frames < 2:
        raise InputError(f"{path}: expected at least 2 frames, got {frames}")
    time = raw["time_s"]
    rate = said_hz if said_hz is not None else raw["rate_hz"]
    if time is None:
        if rate is None:
            raise InputError(
                f"{path}: time_s: expected times in seconds, got none; add --rate FRAMES_PER_SECOND"
            )
        time = np.arange(frames) / rate
    else:
        _check_time(path, time)
    measured = 1.0 / float(np.median(np.diff(time)))
    if rate is not None and abs(rate / measured - 1) > _RATE_AGREES:
        source = "--rate" if said_hz is not None else "rate_hz"
        raise InputError(
            f"{path}: {source}: expected {measured:.4g} Hz as the times in the file say, got {rate:g}"
        )
    rate = round(measured, 4) if rate is None else rate
    if rate < LEAST_RATE_HZ * (1 - 1e-6):
        raise InputError(
            f"{path}: rate: expected at least {LEAST_RATE_HZ:g} frames per second (fewer cannot place entry "
            f"and exit), got {rate:g}; film or export again at a higher rate"
        )
    return time, float(rate)


def _check_time(path: Path, time: np.ndarray) -> None:
    broken = np.flatnonzero(~np.isfinite(time))
    if len(broken):
        raise InputError(
            f"{path}: time_s: expected a number in every frame, got {time[broken[0]]} at frame {broken[0]}"
        )
    back = np.flatnonzero(np.diff(time) <= 0)
    if len(back):
        i = back[0]
        raise InputError(
            f"{path}: time_s: expected times that increase, got {time[i + 1]:g} s after {time[i]:g} s "
            f"(frame {i + 1})"
        )


def _check_values(path: Path, names: list[str], joints: np.ndarray) -> None:
    infinite = np.argwhere(np.isinf(joints))
    if len(infinite):
        frame, joint, axis = infinite[0]
        raise InputError(
            f"{path}: {names[joint]}: expected a finite number or nothing, got infinity in {'xyz'[axis]} "
            f"at frame {frame} ({len(infinite)} in all)"
        )


def _as_ours(
    path: Path, joints: np.ndarray, raw: dict, *, clock: tuple[np.ndarray, float], names: Mapping[str, str]
) -> Trace:
    """The trace with every joint of ours in our order."""
    theirs = raw["joint_names"]
    absent = [name for name in names if name not in theirs]
    if absent:
        raise InputError(
            f"{path}: map: expected joint names of this file, got '{absent[0]}'; {nearest(absent[0], theirs)}"
        )
    found = [names.get(name, name) for name in theirs]
    known = [name for name in found if name in JOINTS]
    if not known:
        raise InputError(
            f"{path}: joint names: expected names such as left_shoulder, got '{theirs[0]}'; "
            "say which is which with --map FILE"
        )
    if len(set(known)) != len(known):
        twice = next(name for name in known if known.count(name) > 1)
        raise InputError(
            f"{path}: joint names: expected each joint once, got '{twice}' {known.count(twice)} times"
        )
    full = np.full((len(joints), len(JOINTS), 3), np.nan)
    full[:, [JOINTS.index(name) for name in known]] = joints[:, [found.index(name) for name in known]]
    meta = {
        key: value for key, value in raw["meta"].items() if key not in ("missing_joints", "unknown_joints")
    }
    empty = np.isnan(full).all(axis=(0, 2))
    missing = [name for name, gone in zip(JOINTS, empty, strict=True) if gone]
    unknown = [name for name in found if name not in JOINTS]
    if missing:
        meta["missing_joints"] = missing
    if unknown:
        meta["unknown_joints"] = unknown
    return Trace(clock[0], full, JOINTS, clock[1], meta)
