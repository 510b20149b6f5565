"""The scorecard: every score of a run in one mapping, and as JSON and CSV.

Keys: `faults.<slug>.<condition>.<view>`, `measures.<key>.<condition>.<view>`, `events.<name>.<condition>` (points in
space where the design has them, else all views together; `events_by_view` has each), `points.<condition>.<view>`,
`ladder` (error against frame rate and noise, where a design has the steps for it), `any_fault`, `confusion`, `speed`,
`refused`, `failed`, `seed`, `versions`, `design`, `detector`. `answered` has by condition and view how many clips
there are, were answered, and failed; of somebody else's detector, `built_in` has `faults` and `any_fault` of the
package's own on the same clips, `notes` what was left out of its answers, `gives` in how many clips it gave findings,
measures or points. A number that does not exist is null, and the row of a fault says in `reason` why.
Intervals are 95 %, over swimmers drawn with replacement, but for proportions (Wilson).
"""

from __future__ import annotations

import json
import math
import platform
from collections import Counter
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import numpy as np

from ..ground.atomic import whole_file
from ..ground.conventions import CAUTION_LINE, EVENTS, MODEL_LINE
from ..ground.files import write_rows
from ..ground.tables import read_toml
from .agreement import agreement
from .gather import Gathered
from .ladder import ladder
from .score_faults import answered, any_fault, confusion, score_fault, spoken_of
from .ways import POINTS

Card = dict[str, Any]
LIBRARIES = ("numpy", "scipy", "scikit-learn", "statsmodels")


def scorecard(found: Gathered) -> Card:
    """All scores of a gathered run."""
    design = found.head["design"]
    seed, faults = design["seed"], design["faults"]
    kinds = [(c, v) for c in design["conditions"] for v in design["views"]]
    spoken = spoken_of(found.clips)
    card = _plain({
        "detector": found.head["detector"], "seed": seed, "versions": versions(found.head["version"]),
        "design": design, "model": MODEL_LINE, "caution": CAUTION_LINE,
        "faults": _by_way(
            found, faults, lambda way, slug: score_fault(found.clips[way], slug, seed=seed, spoken=spoken)
        ),
        "answered": answered(found.clips), "notes": dict(Counter(found.notes)),
        **({"built_in": _built_in(found, faults, kinds, seed)} if found.built_in else {}),
        **({"gives": dict(Counter(found.gives))} if found.gives else {}),
        "measures": _by_way(
            found, read_toml("definitions")["measure"], lambda way, key: _measure(found, way, key, seed)
        ),
        "events": {name: {c: _event(found, name, c) for c in design["conditions"]} for name in EVENTS},
        "events_by_view": _by_way(found, EVENTS, lambda way, name: _event_score(found.events.get((name, way), []))),
        "points": {c: {v: _mean_points(rows) for (o, v), rows in found.points.items() if o == c}
                   for c in design["conditions"]},
        "any_fault": _nested(kinds, lambda c, v: any_fault(found.clips, faults, c, v)),
        "confusion": _nested(kinds, lambda c, v: confusion(found, faults, c, v, spoken=spoken)),
        "speed": {"frames": found.frames, "frames_per_s": found.frames / found.seconds if found.seconds else np.nan},
        "refused": found.refused, "failed": dict(Counter(found.failed)),
    })  # fmt: skip
    return {**card, "ladder": _plain(ladder(card))}


def _built_in(found: Gathered, faults: list[str], kinds: list[tuple[str, str]], seed: int) -> Card:
    """What the package's own detectors reach on the same clips."""
    clips = found.built_in
    return {
        "faults": _by_way(found, faults, lambda way, slug: score_fault(clips[way], slug, seed=seed)),
        "any_fault": _nested(kinds, lambda c, v: any_fault(clips, faults, c, v)),
    }


def _by_way(found: Gathered, names: Any, score: Any) -> Card:
    """Name to condition to view to score, without those that have none."""
    card: Card = {}
    for name in names:
        for way in found.clips:
            value = score(way, name)
            if value is not None:
                card.setdefault(name, {}).setdefault(way[0], {})[way[1]] = value
    return card


def _nested(kinds: list[tuple[str, str]], score: Any) -> Card:
    card: Card = {}
    for condition, view in kinds:
        card.setdefault(condition, {})[view] = score(condition, view)
    return card


def _measure(found: Gathered, way: tuple[str, str], key: str, seed: int) -> Card | None:
    rows = found.pairs.get((key, way))
    if not rows:
        return None
    swimmer, true, read = np.array(rows, float).T
    if not np.isfinite(read).any():
        return None
    a = agreement(read, true, swimmers=swimmer, seed=seed)
    return {
        "unit": read_toml("definitions")["measure"][key]["unit"], "n": a.n, "read_share": a.n / len(rows),
        "bias": a.bias, "bias_ci": a.bias_ci, "sd": a.sd, "rmse": a.rmse,
        "loa_low": a.loa_low, "loa_low_ci": a.loa_low_ci, "loa_high": a.loa_high, "loa_high_ci": a.loa_high_ci,
        "icc_a1": a.icc_a1, "slope": a.slope, "intercept": a.intercept, "smallest_change": a.smallest_change,
    }  # fmt: skip


def _event(found: Gathered, name: str, condition: str) -> Card | None:
    """Of points in space where there are any, else of all views together."""
    ways = [way for way in found.clips if way[0] == condition]
    ways = [way for way in ways if way[1] == POINTS] or ways
    return _event_score([row for way in ways for row in found.events.get((name, way), [])])


def _event_score(rows: list) -> Card | None:
    if not rows:
        return None
    true, read = (sum(row[k] for row in rows) for k in (0, 1))
    errors = np.array([error for row in rows for error in row[2]])
    halves = np.array([0.5 / row[3] for row in rows for _ in row[2]])
    matched = len(errors)
    return {
        "true": true, "found": read, "matched": matched,
        "precision": matched / read if read else np.nan, "recall": matched / true if true else np.nan,
        "f": 2 * matched / (true + read) if true + read else np.nan,
        "bias_s": errors.mean() if matched else np.nan, "sd_s": errors.std(ddof=1) if matched > 1 else np.nan,
        "within_half_frame": float((np.abs(errors) <= halves + 1e-9).mean()) if matched else np.nan,
    }  # fmt: skip


def _mean_points(rows: list[Card]) -> Card:
    """Means over clips of the scores of points, each with the number of clips."""
    keys = rows[0]
    found = {key: np.array([row[key] for row in rows if row[key] is not None], float) for key in keys}
    return {
        "clips": len(rows),
        **{key: values.mean() if len(values) else np.nan for key, values in found.items()},
    }


def versions(own: str) -> dict[str, str]:
    """Versions of the package, of Python and of the libraries that count."""
    found = {"swimsim": own, "python": platform.python_version()}
    for name in LIBRARIES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "not installed"
    return found


def _plain(value: Any) -> Any:
    """Python numbers, lists and null, as JSON has them."""
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(each) for each in value]
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float):
        return round(value, 6) if math.isfinite(value) else None
    return value


def write_json(card: Card, path: Path) -> None:
    """The whole scorecard."""
    with whole_file(path) as part:
        part.write_text(json.dumps(card, indent=1) + "\n", encoding="utf-8")


COLUMNS = ("kind", "name", "condition", "view", "score", "value", "low", "high")


def write_csv(card: Card, path: Path) -> None:
    """One row for each number of faults, measures and events, with its interval where it has one."""
    write_rows(path, list(COLUMNS), [[_cell(each) for each in row] for row in table(card)])


def table(card: Card) -> Iterator[tuple]:
    """Rows of the CSV."""
    for kind, block in (("fault", "faults"), ("measure", "measures"), ("event", "events_by_view")):
        for name, conditions in card[block].items():
            for condition, views in conditions.items():
                for view, row in views.items():
                    for score, value in row.items():
                        if isinstance(value, (int, float)) and not isinstance(value, bool):
                            yield (
                                kind,
                                name,
                                condition,
                                view,
                                score,
                                value,
                                *row.get(f"{score}_ci", (None, None)),
                            )


def _cell(value: Any) -> str:
    return "" if value is None else f"{value:.6g}" if isinstance(value, float) else str(value)
