"""A validation design: which swimmers, faults, severities, conditions and views, read from a TOML file.

Plans: `full` swims every fault at every severity with every swimmer; `fraction` deals those cells to the swimmers so
that each is swum `runs_per_fault` times; `latin` draws severities evenly over their range, one in each of
`runs_per_fault` equal parts (Latin hypercube over severity and swimmer).
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from ..detectors import rules
from ..faults.catalogue import faults
from ..ground.errors import InputError, nearest
from ..ground.tables import data_folder, users_toml
from ..view.cameras import VIEWS
from ..view.conditions import condition_names
from .ways import BEST, POINTS, condition_of

NONE = "none"  # in place of faults: clean swimmers alone
PLANS = ("full", "fraction", "latin")
MOST_RUNS = 100_000
_BY_PLANNER = ("ways", "cameras")  # set by the planner, not by a design file


@dataclass(frozen=True)
class Design:
    """What is swum and how it is seen.

    Parameters
    ----------
    name : str
    says : str
    seed : int
        Of the family of clean swimmers and of everything drawn by chance.
    plan : str
    swimmers : int
        Clean swimmers, each also seen without a fault.
    faults : tuple of str
        Of a file: all where it names none, clean swimmers alone for `none`.
    severities : tuple of float
        Set severities of `full` and `fraction`; least and greatest of `latin`.
    runs_per_fault : int
        Of `fraction` and `latin`.
    conditions, views : tuple of str
        `3d` is points in space; `best` the view of each fault's catalogue row. A condition may be changed:
        `pool deck + rate_hz=60`.
    ways : tuple of (condition, view)
        Instead of every condition with every view.
    cameras : mapping of str to mapping
        Cameras of one's own, to be named as views: `position_m`, `aim_m`, `field_deg`, `travels`.
    """

    name: str = "quick"
    says: str = ""
    seed: int = 1
    plan: str = "latin"
    swimmers: int = 12
    faults: tuple[str, ...] = ()
    severities: tuple[float, ...] = (0.05, 1.0)
    runs_per_fault: int = 4
    conditions: tuple[str, ...] = ("square",)
    views: tuple[str, ...] = (POINTS, BEST)
    ways: tuple[tuple[str, str], ...] = ()
    cameras: Mapping[str, Mapping[str, Any]] = dataclasses.field(default_factory=dict)

    def text(self) -> dict[str, Any]:
        """Plain values, for files."""
        return _listed(dataclasses.asdict(self))


def _listed(value: Any) -> Any:
    """Lists for tuples, all the way down."""
    if isinstance(value, dict):
        return {key: _listed(each) for key, each in value.items()}
    return [_listed(each) for each in value] if isinstance(value, (list, tuple)) else value


@dataclass(frozen=True)
class Cell:
    """One fault to be swum, at a set severity."""

    fault: str
    severity: float


@dataclass(frozen=True)
class Unit:
    """What one worker does at a time: a clean swimmer, seen without a fault if `clean`, then with each of the cells."""

    name: str
    swimmer: int
    clean: bool
    cells: tuple[Cell, ...]


def design_names() -> tuple[str, ...]:
    """Names of the designs that come with the package."""
    return tuple(sorted(path.stem for path in (data_folder("shared") / "designs").glob("*.toml")))


def read_design(source: str | Path | Mapping[str, Any] | None = None) -> Design:
    """A design from a file, by the name of a shipped one, or from its keys; the quick one for None.

    Raises
    ------
    InputError
        No such design, a file that is no TOML, or keys that do not fit; all of them at once.
    """
    if isinstance(source, Mapping):
        return _checked(dict(source), "design")
    path = _find(source or "quick")
    content = users_toml(path, "a design file")
    return _checked({"name": path.stem, **content}, str(path))


def _find(source: str | Path) -> Path:
    path = Path(source)
    if path.is_file():
        return path
    if str(source) in design_names():
        return data_folder("shared") / "designs" / f"{source}.toml"
    known = ", ".join(design_names())
    raise InputError(
        f"{source}: expected a design file or one of {known}, got neither; {nearest(str(source), design_names())}"
    )


def _checked(content: dict[str, Any], where: str) -> Design:
    known = {field.name: field for field in dataclasses.fields(Design)}
    for key in _BY_PLANNER:
        known.pop(key)
    problems = [f"{key}: unknown key; {nearest(key, known)}" for key in content if key not in known]
    content = {key: tuple(v) if isinstance(v, list) else v for key, v in content.items() if key in known}
    if content.get("faults", ()) in ((), ("all",), "all"):
        content["faults"] = tuple(slug for slug in faults() if slug in rules())
    problems += [text for key, value in content.items() if (text := _problem(key, value))]
    if problems:
        raise InputError("\n".join(f"{where}: {text}" for text in problems))
    if content["faults"] == (NONE,):
        content["faults"] = ()
    return Design(**content)


def _problem(key: str, value: Any) -> str | None:
    """What is wrong with one key; None if nothing."""
    words = {
        "plan": PLANS,
        "faults": (*faults(), NONE),
        "conditions": condition_names(),
        "views": (POINTS, BEST, *VIEWS),
    }
    if key in words:
        given = (value,) if key == "plan" else value
        if not isinstance(given, tuple) or not given or not all(isinstance(each, str) for each in given):
            return f"{key}: expected {'a word' if key == 'plan' else 'a list of words'}, got {value!r}"
        if key == "conditions":
            return _wrong_condition(given)
        if key == "faults" and NONE in given and len(given) > 1:
            return "faults: none stands for no fault at all, got it beside others"
        wrong = next((each for each in given if each not in words[key]), None)
        return None if wrong is None else f"{key}: got '{wrong}'; {nearest(wrong, words[key])}"
    if key in ("seed", "swimmers", "runs_per_fault"):
        low, high = (0, 2**32 - 1) if key == "seed" else (1, MOST_RUNS)
        whole = isinstance(value, int) and not isinstance(value, bool)
        return (
            None
            if whole and low <= value <= high
            else f"{key}: expected a whole number {low} to {high}, got {value!r}"
        )
    if key == "severities":
        fits = isinstance(value, tuple) and value and all(_is_share(v) for v in value)
        return None if fits else f"severities: expected a list of numbers above 0 and up to 1, got {value!r}"
    return None if isinstance(value, str) else f"{key}: expected text, got {value!r}"


def _wrong_condition(given: tuple[str, ...]) -> str | None:
    for text in given:
        name = text.split("+")[0].strip()
        if name not in condition_names():
            return f"conditions: got '{name}'; {nearest(name, condition_names())}"
        try:
            condition_of(text)
        except InputError as error:
            return f"conditions: {error}"
    return None


def _is_share(value: Any) -> bool:
    return (
        isinstance(value, (int, float))
        and not isinstance(value, bool)
        and math.isfinite(value)
        and 0 < value <= 1
    )


def units(design: Design, *, cells_each: int = 6) -> list[Unit]:
    """The work of a design, the same list every time: a unit never holds more than `cells_each` cells."""
    found = []
    for swimmer, cells in enumerate(_dealt(design)):
        parts = [cells[i : i + cells_each] for i in range(0, len(cells), cells_each)] or [()]
        found += [
            Unit(f"swimmer {swimmer}, part {k}", swimmer, k == 0, tuple(part)) for k, part in enumerate(parts)
        ]
    return found


def _dealt(design: Design) -> list[tuple[Cell, ...]]:
    """The cells of each swimmer."""
    hands: list[list[Cell]] = [[] for _ in range(design.swimmers)]
    if design.plan == "full":
        return [tuple(Cell(f, float(s)) for f in design.faults for s in design.severities)] * design.swimmers
    rng = np.random.default_rng([design.seed, 77])
    for number, fault in enumerate(design.faults):
        count = design.runs_per_fault
        if design.plan == "latin":
            low, high = min(design.severities), max(design.severities)
            sizes = low + (high - low) * (rng.permutation(count) + rng.uniform(size=count)) / count
        else:
            sizes = np.array([design.severities[i % len(design.severities)] for i in range(count)])
        start = int(rng.integers(design.swimmers))
        for i, size in enumerate(sizes):
            hands[(start + number + i) % design.swimmers].append(Cell(fault, round(float(size), 6)))
    return [tuple(hand) for hand in hands]
