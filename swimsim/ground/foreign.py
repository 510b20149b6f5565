"""Other people's conventions: which way their axes point, their unit, and their joint names."""

from __future__ import annotations

import csv
import json
import tomllib
from pathlib import Path

import numpy as np

from .conventions import JOINTS
from .errors import InputError, nearest, not_text

UNITS_M = {"m": 1.0, "cm": 0.01, "mm": 0.001}
OUR_AXES = "x,y,z"


def axes_choice(axes: str) -> tuple[list[int], np.ndarray]:
    """Which file axis, and with which sign, gives our x (forward), y (to the swimmer's left) and z (up).

    Parameters
    ----------
    axes : str
        Which file axis, with its sign, gives our x, y and z: `x,y,z` changes nothing; `-y,x,z` says that
        the file's -y points forward, its x to the left and its z up.

    Returns
    -------
    list of int, numpy.ndarray
        Index of the file axis, and +1 or -1, for each of ours: `ours = theirs[..., index] * sign`.

    Raises
    ------
    InputError
        Not three different axes, or a left-handed choice (it would swap left and right).
    """
    words = [word.strip().lower().lstrip("+") for word in axes.split(",")]
    letters = [word.lstrip("-") for word in words]
    if len(words) != 3 or any(word not in ("x", "y", "z", "-x", "-y", "-z") for word in words):
        raise InputError(
            f"--axes: expected three of x, y, z with an optional minus, such as -y,x,z, got '{axes}'"
        )
    if len(set(letters)) != 3:
        raise InputError(f"--axes: expected each of x, y and z once, got '{axes}'")
    index = ["xyz".index(letter) for letter in letters]
    sign = np.array([-1.0 if word.startswith("-") else 1.0 for word in words])
    if np.linalg.det(np.eye(3)[index] * sign[:, None]) < 0:
        words[1] = letters[1] if words[1].startswith("-") else f"-{letters[1]}"
        raise InputError(
            f"--axes: expected a right-handed choice, got '{axes}', which would swap left and right; "
            f"did you mean '{','.join(words)}'?"
        )
    return index, sign


def unit_scale(unit: str) -> float:
    """Metres per `m`, `cm` or `mm`."""
    if unit not in UNITS_M:
        raise InputError(f"--unit: expected m, cm or mm, got '{unit}'; {nearest(unit, UNITS_M)}")
    return UNITS_M[unit]


def read_joint_map(path: str | Path) -> dict[str, str]:
    """Their joint names to ours, from a TOML or JSON table or a CSV with two columns (theirs, ours).

    Raises
    ------
    InputError
        Unreadable, not a table of names, a name of ours that does not exist or is given twice.
    """
    path = Path(path)
    if path.is_dir():
        raise InputError(f"{path}: expected a map file, got a folder")
    readers = {".toml": _map_from_toml, ".json": _map_from_json, ".csv": _map_from_csv}
    if path.suffix.lower() not in readers:
        raise InputError(f"{path}: expected a map file ending in .toml, .json or .csv, got '{path.suffix}'")
    try:
        pairs = readers[path.suffix.lower()](path)
    except OSError as error:
        raise InputError(f"{path}: expected a readable map file, got: {error.strerror or error}") from error
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: {not_text(error)}") from error
    except (ValueError, RecursionError) as error:
        raise InputError(f"{path}: expected a table of their joint names to ours, got: {error}") from error
    ours = list(pairs.values())
    problems = [
        f"{path}: {theirs}: expected a joint name of ours, got '{name}'; {nearest(str(name), JOINTS)}"
        for theirs, name in pairs.items()
        if name not in JOINTS
    ]
    problems += [
        f"{path}: expected each joint of ours once, got '{name}' {ours.count(name)} times"
        for name in dict.fromkeys(ours)
        if name in JOINTS and ours.count(name) > 1
    ]
    if problems or not pairs:
        raise InputError("\n".join(problems) or f"{path}: expected at least one pair of names, got none")
    return pairs


def _map_from_toml(path: Path) -> dict:
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    return dict(table["joints"]) if isinstance(table.get("joints"), dict) else table


def _map_from_json(path: Path) -> dict:
    table = json.loads(path.read_text(encoding="utf-8"))
    if not isinstance(table, dict):
        raise ValueError("a JSON text that is no object")
    return dict(table["joints"]) if isinstance(table.get("joints"), dict) else table


def _map_from_csv(path: Path) -> dict:
    with open(path, encoding="utf-8-sig", newline="") as file:
        rows = [[cell.strip() for cell in row] for row in csv.reader(file) if any(row) and row[0][:1] != "#"]
    odd = [row for row in rows if len(row) != 2]
    if odd:
        raise ValueError(f"a row of {len(odd[0])} cells instead of 2")
    return dict(row for row in rows if row != ["theirs", "ours"])
