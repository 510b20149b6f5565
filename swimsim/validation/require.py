"""What a scorecard must reach: a TOML file that others can put into their checks.

    [[require]]
    score = "faults.*.square.best.auc"
    least = 0.98

A score is a path of keys with dots; `*` stands for every key at that place, `best` for the best view of the fault.
`least` and `most` bound the value. A score that is null falls short: what is not known is not reached.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from ..faults.catalogue import faults
from ..ground.errors import InputError, nearest
from ..ground.tables import users_toml
from ..scenario.cameras import best_view
from .scorecard import Card


def read_requirements(path: str | Path) -> list[dict[str, Any]]:
    """The list of requirements of a file.

    Raises
    ------
    InputError
        No such file, no TOML, or rows that do not fit; all of them at once.
    """
    path = Path(path)
    content = users_toml(path, "a file of requirements")
    rows = content.get("require")
    if not isinstance(rows, list) or not rows or set(content) != {"require"}:
        raise InputError(
            f"{path}: expected rows [[require]] and nothing else, got {', '.join(content) or 'nothing'}"
        )
    if problems := [f"{path}: require {i + 1}: {p}" for i, row in enumerate(rows) if (p := _problem(row))]:
        raise InputError("\n".join(problems))
    return rows


def _problem(row: dict[str, Any]) -> str | None:
    if wrong := set(row) - {"score", "least", "most"}:
        return f"unknown key; {nearest(min(wrong), ('score', 'least', 'most'))}"
    if not isinstance(row.get("score"), str):
        return f"score: expected a path of keys, got {row.get('score')!r}"
    bounds = [row[key] for key in ("least", "most") if key in row]
    numbers = all(
        isinstance(b, (int, float)) and not isinstance(b, bool) and math.isfinite(b) for b in bounds
    )
    return None if bounds and numbers else "least, most: expected at least one of them, a number"


def fell_short(card: Card, rows: list[dict[str, Any]]) -> list[str]:
    """One line for each score that does not reach what is required; empty if all do.

    Raises
    ------
    InputError
        A path that leads to no score.
    """
    lines = []
    for row in rows:
        found = list(_follow(card, row["score"].split("."), ()))
        if not found:
            raise InputError(f"require: '{row['score']}' leads to no score of this scorecard")
        for name, value in found:
            if value is None:
                lines.append(f"{name}: not known")
            elif "least" in row and value < row["least"]:
                lines.append(f"{name}: {value:.4g}, at least {row['least']:g} is required")
            elif "most" in row and value > row["most"]:
                lines.append(f"{name}: {value:.4g}, at most {row['most']:g} is allowed")
    return lines


def _follow(value: Any, keys: list[str], path: tuple[str, ...]) -> Iterator[tuple[str, float | None]]:
    """(path, number or None) of every score that the keys lead to."""
    if not keys:
        if value is None or (isinstance(value, (int, float)) and not isinstance(value, bool)):
            yield ".".join(path), value
        return
    if not isinstance(value, dict):
        return
    key = keys[0]
    if key == "best" and key not in value and len(path) > 1 and path[1] in faults():
        key = best_view(path[1], "both")
    for each in value if key == "*" else (key,):
        if each in value:
            yield from _follow(value[each], keys[1:], (*path, each))
