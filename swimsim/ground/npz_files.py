"""Traces as NPZ: `time_s`, `joints_m`, `joint_names`, `rate_hz` and `meta` (JSON text). Never a pickle."""

from __future__ import annotations

import io
import json
import os
import zipfile
from pathlib import Path
from typing import Any

import numpy as np

from .atomic import whole_file
from .errors import InputError
from .records import Trace

KEYS = ("time_s", "joints_m", "joint_names", "rate_hz", "meta")
_NEEDED = ("joints_m", "joint_names")
_OLDEST = (1980, 1, 1, 0, 0, 0)  # zip cannot store an earlier date; one date makes the bytes repeat


def write_npz(trace: Trace, path: str | os.PathLike) -> None:
    """Write a trace as NPZ; the same trace gives the same bytes."""
    arrays = {
        "time_s": trace.time_s,
        "joints_m": trace.joints_m,
        "joint_names": np.array(trace.joint_names, dtype=np.str_),
        "rate_hz": np.float64(trace.rate_hz),
        "meta": np.array(json.dumps(dict(trace.meta), sort_keys=True, allow_nan=False)),
    }
    with whole_file(path) as part, zipfile.ZipFile(part, "w") as archive:
        for name, array in arrays.items():
            buffer = io.BytesIO()
            np.lib.format.write_array(buffer, np.asarray(array), allow_pickle=False)
            archive.writestr(zipfile.ZipInfo(f"{name}.npy", date_time=_OLDEST), buffer.getvalue())


def load_npz(path: Path) -> dict[str, Any]:
    """Content of a trace NPZ as `time_s`, `rate_hz` (each may be None), `joints_m`, `joint_names` and `meta`.

    Raises
    ------
    InputError
        Not an NPZ file, a missing or misshapen array, a pickle inside.
    """
    arrays = _arrays(path)
    missing = [key for key in _NEEDED if key not in arrays]
    if missing:
        raise InputError(
            f"{path}: {', '.join(missing)}: expected arrays {', '.join(KEYS)}, "
            f"got {', '.join(arrays) or 'none'}"
        )
    joints, names = arrays["joints_m"], arrays["joint_names"]
    problems = list(_shape_problems(joints, names))
    for key in ("time_s", "rate_hz"):
        if key in arrays and arrays[key].dtype.kind not in "fiu":
            problems.append(f"{key}: expected numbers, got {arrays[key].dtype}")
    if "time_s" in arrays and arrays["time_s"].shape != joints.shape[:1]:
        problems.append(
            f"time_s: expected one time for each of the {len(joints)} frames, got {arrays['time_s'].shape}"
        )
    if "rate_hz" in arrays and arrays["rate_hz"].size != 1:
        problems.append(f"rate_hz: expected one number, got {arrays['rate_hz'].size}")
    elif "rate_hz" in arrays and not problems and not _is_rate(arrays["rate_hz"].reshape(())):
        problems.append(f"rate_hz: expected frames per second above 0, got {arrays['rate_hz']}")
    if problems:
        raise InputError("\n".join(f"{path}: {text}" for text in problems))
    return {
        "time_s": arrays["time_s"].astype(float) if "time_s" in arrays else None,
        "rate_hz": float(arrays["rate_hz"].reshape(())) if "rate_hz" in arrays else None,
        "joints_m": joints.astype(float),
        "joint_names": [str(name) for name in names],
        "meta": _meta(path, arrays.get("meta")),
    }


def _is_rate(rate: np.ndarray) -> bool:
    return bool(np.isfinite(rate) and rate > 0)


def _shape_problems(joints: np.ndarray, names: np.ndarray):
    if joints.ndim != 3 or joints.shape[-1] != 3:
        yield f"joints_m: expected shape (n_frames, n_joints, 3), got {joints.shape}"
    if joints.dtype.kind not in "fiu":
        yield f"joints_m: expected numbers, got {joints.dtype}"
    if names.dtype.kind != "U" or names.ndim != 1:
        yield f"joint_names: expected one row of text, got {names.dtype} of shape {names.shape}"
    elif joints.ndim == 3 and len(names) != joints.shape[1]:
        yield f"joint_names: expected {joints.shape[1]} names, one for each joint, got {len(names)}"


def _arrays(path: Path) -> dict[str, np.ndarray]:
    if not zipfile.is_zipfile(path):
        raise InputError(
            f"{path}: expected an NPZ file (a zip of arrays), got something else or a cut-off file"
        )
    arrays = {}
    try:
        with np.load(path, allow_pickle=False) as archive:
            for key in archive.files:
                if key in KEYS:
                    arrays[key] = np.asarray(archive[key])
    except Exception as error:  # a broken archive fails in many ways; every one has the same remedy
        if "allow_pickle" in str(error) or "Object arrays" in str(error):
            raise InputError(
                f"{path}: expected plain arrays, got a pickled object, which is never opened; "
                "save numbers as float and names as text (dtype str)"
            ) from error
        raise InputError(
            f"{path}: expected a readable NPZ file, got a damaged one ({type(error).__name__}); save it again"
        ) from error
    return arrays


def _meta(path: Path, array: np.ndarray | None) -> dict:
    if array is None:
        return {}
    try:
        meta = json.loads(str(array.reshape(())))
    except (ValueError, RecursionError) as error:
        raise InputError(f"{path}: meta: expected one JSON text, got something else") from error
    if not isinstance(meta, dict):
        raise InputError(f"{path}: meta: expected a JSON object in braces, got {type(meta).__name__}")
    return meta
