"""Scores of the detectors: how small a fault they find, how often they cry wolf, what they take for what."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

import numpy as np

from ..scenario.cameras import best_view
from .agreement import draws, interval
from .detection import (
    auc,
    auc_bootstrap,
    detection_curve,
    limit_of_blank,
    limit_of_detection,
    roc,
    wilson,
)
from .gather import Clip, Gathered, answer, scores
from .ways import BEST

HALF = (0.35, 0.65)  # effective severities that stand for a half
GROSS = 1.0  # the greatest severity that is swum
CLEAR = 0.35  # from here on a fault counts in the confusion matrix
SLIGHT = (0.1, 0.4)  # effective severities for the limit of detection
ROC_POINTS = 60


def score_fault(
    clips: list[Clip], fault: str, *, seed: int, spoken: Collection[str] | None = None
) -> dict[str, Any] | None:
    """All scores of one detector in one way; None where the fault was never swum there.

    Where nothing was judged (the fault is not among `spoken`, no clip of this way was answered, or all failed) every
    score is NaN; `reason` says why, and in other rows why single scores are.
    """
    clean = [clip for clip in clips if clip.fault is None]
    faulty = [clip for clip in clips if clip.fault == fault]
    if not faulty or not clean:
        return None
    if why := _not_judged([*faulty, *clean], fault, spoken):
        return _blank(why, faulty, clean)
    alarms = sum(answer(clip, fault)[0] for clip in clean)
    found = np.array([answer(clip, fault)[0] for clip in (*faulty, *clean)])
    sizes = [c.effective for c in faulty] + [c.true.get(fault, 0.0) for c in clean]
    curve = detection_curve(np.array(sizes), found).up_to(GROSS)
    low, high = wilson(alarms, len(clean))
    row = {
        **_auc(faulty, clean, fault, seed),
        "s50": curve.s50, "s50_ci": curve.s50_ci, "s95": curve.s95, "s95_ci": curve.s95_ci,
        "s50_says": curve.s50_says, "s95_says": curve.s95_says,
        "curve_says": curve.reason, "deviance_logit": curve.deviance, "deviance_cloglog": curve.deviance_cloglog,
        "false_alarms": alarms, "clean_clips": len(clean), "faulty_clips": len(faulty),
        "false_alarms_per_100": 100 * alarms / len(clean), "false_alarms_per_100_ci": (100 * low, 100 * high),
        **_severity(faulty, clean, fault, seed),
        "not_read": sum(answer(c, fault)[1] == -np.inf for c in faulty),
        "points": [[round(s, 4), bool(f)] for s, f in zip(sizes, found, strict=True)],
        "roc": _roc(faulty, clean, fault),
    }  # fmt: skip
    return {**row, "reason": _why_null(row)}


def spoken_of(clips: Mapping[Any, list[Clip]]) -> set[str]:
    """Faults that a detector named in at least one clip, whether found or not."""
    return {slug for rows in clips.values() for clip in rows for slug in clip.found}


def answered(clips: Mapping[tuple[str, str], list[Clip]]) -> dict[str, dict[str, Any]]:
    """By condition and view: clips, those with at least one finding, and those in which the detector failed."""
    found: dict[str, dict[str, Any]] = {}
    for (condition, view), rows in clips.items():
        found.setdefault(condition, {})[view] = {
            "clips": len(rows),
            "answered": sum(bool(clip.found) for clip in rows),
            "failed": sum(clip.failed for clip in rows),
        }
    return found


def _not_judged(clips: list[Clip], fault: str, spoken: Collection[str] | None) -> str | None:
    if all(clip.failed for clip in clips):
        return "failed: the detector gave no answer in any of these clips"
    if spoken is not None and fault not in spoken:
        return "not judged: no finding ever names this fault"
    if spoken is not None and not any(clip.found for clip in clips):
        return "not judged: no clip was answered in this view and condition"
    return None


_NUMBERS = (
    "auc", "auc_clear", "auc_all", "s50", "s95", "false_alarms_per_100", "severity_mae",
)  # fmt: skip
_ALONE = ("deviance_logit", "deviance_cloglog", "severity_bias", "limit_of_blank", "limit_of_detection")


def _blank(why: str, faulty: list[Clip], clean: list[Clip]) -> dict[str, Any]:
    """The keys of a row of scores without a number."""
    return {
        **dict.fromkeys((*_NUMBERS, *_ALONE, "false_alarms"), np.nan),
        **{f"{key}_ci": (np.nan, np.nan) for key in _NUMBERS},
        **{f"{key}_clips": 0 for key in ("auc", "auc_clear", "auc_all")},
        "clean_clips": len(clean), "faulty_clips": len(faulty), "not_read": len(faulty),
        "s50_says": None, "s95_says": None, "curve_says": why, "points": [], "roc": [], "reason": why,
    }  # fmt: skip


def _why_null(row: dict[str, Any]) -> str | None:
    """Why single numbers of a row are not known."""
    whys = [
        ("auc", f"no faulty clip of effective severity {HALF[0]:g} to {HALF[1]:g}"),
        ("s50", row["s50_says"] or row["curve_says"]),
        ("severity_mae", "no severity was given"),
    ]
    return "; ".join(f"{key}: {why}" for key, why in whys if np.isnan(row[key])) or None


def _auc(faulty: list[Clip], clean: list[Clip], fault: str, seed: int) -> dict[str, Any]:
    """Around half severity, of clear faults, and over all faulty clips, each with its interval over swimmers."""
    found, low = {}, scores(clean, fault)
    parts = {
        "auc": [c for c in faulty if HALF[0] <= c.effective <= HALF[1]],
        "auc_clear": [c for c in faulty if c.effective >= CLEAR],
        "auc_all": faulty,
    }
    for name, part in parts.items():
        high = scores(part, fault)
        who = np.array([c.swimmer for c in part]), np.array([c.swimmer for c in clean])
        found[name] = auc(high, low)
        found[f"{name}_ci"] = auc_bootstrap(high, low, swimmers=who, seed=seed)
        found[f"{name}_clips"] = len(part)
    return found


def _roc(faulty: list[Clip], clean: list[Clip], fault: str) -> list[list[float]]:
    points = np.stack(roc(scores(faulty, fault), scores(clean, fault)), axis=1)
    step = max(1, len(points) // ROC_POINTS)
    return [[round(float(x), 4) for x in row] for row in (*points[:-1:step], points[-1])]


def _severity(faulty: list[Clip], clean: list[Clip], fault: str, seed: int) -> dict[str, Any]:
    """Error of the severity of faulty clips, and the limits of blank and detection of the score."""
    rows = np.array([[c.swimmer, answer(c, fault)[2] - c.effective] for c in faulty], float)
    rows = rows[np.isfinite(rows[:, 1])]
    slight = [c for c in faulty if SLIGHT[0] <= c.effective <= SLIGHT[1]]
    errors = np.array([answer(c, fault)[1] - c.effective for c in slight])
    limits = {
        "limit_of_blank": limit_of_blank(scores(clean, fault)),
        "limit_of_detection": limit_of_detection(scores(clean, fault), errors),
    }
    if not len(rows):
        return {
            "severity_mae": np.nan,
            "severity_mae_ci": (np.nan, np.nan),
            "severity_bias": np.nan,
            **limits,
        }
    weights, member = draws(rows[:, 0], seed)
    total, count = np.bincount(member, np.abs(rows[:, 1])), np.bincount(member)
    with np.errstate(invalid="ignore", divide="ignore"):
        means = (weights @ total) / (weights @ count)
    return {
        "severity_mae": float(np.abs(rows[:, 1]).mean()),
        "severity_mae_ci": interval(means),
        "severity_bias": float(rows[:, 1].mean()),
        **limits,
    }


def view_of(fault: str, view: str) -> str:
    """The view that a kind of view means for a fault."""
    return best_view(fault, "both") if view == BEST else view


def any_fault(
    by_way: Mapping[tuple[str, str], list[Clip]], faults: list[str], condition: str, view: str
) -> dict[str, Any]:
    """Clean swimmers in whom at least one detector sees something, each in its own view."""
    alarmed, seen = set(), set()
    for fault in faults:
        for clip in by_way.get((condition, view_of(fault, view)), ()):
            if clip.fault is None and not clip.failed:
                seen.add(clip.swimmer)
                if answer(clip, fault)[0]:
                    alarmed.add(clip.swimmer)
    share = len(alarmed) / len(seen) if seen else np.nan
    return {
        "swimmers": len(seen),
        "alarmed": len(alarmed),
        "rate": share,
        "rate_ci": wilson(len(alarmed), len(seen)),
    }


def confusion(
    found: Gathered, faults: list[str], condition: str, view: str, *, spoken: Collection[str] | None = None
) -> dict[str, Any]:
    """Which detectors speak for which swum fault, and how far its score moves the others.

    Rows are the swum faults (effective severity `CLEAR` or more, and `none`), columns the detectors, all in the view of
    the swum fault; `shift` is the mean score less that of clean swimmers in that view. Detectors that are not among
    `spoken` have no column.
    """
    columns = [fault for fault in faults if spoken is None or fault in spoken]
    present, shift, clips_in = {}, {}, {}
    for fault in faults:
        clips = found.clips.get((condition, view_of(fault, view)), [])
        own = [c for c in clips if c.fault == fault and c.effective >= CLEAR]
        clean = [c for c in clips if c.fault is None]
        clips_in[fault] = len(own)
        present[fault] = {other: _share(own, other) for other in columns}
        shift[fault] = {other: _mean(own, other) - _mean(clean, other) for other in columns}
    clean_share = {
        other: _share(
            [c for c in found.clips.get((condition, view_of(other, view)), []) if c.fault is None], other
        )
        for other in columns
    }
    return {"present": {**present, "none": clean_share}, "shift": shift, "clips": clips_in}


def _share(clips: list[Clip], fault: str) -> float:
    return sum(answer(c, fault)[0] for c in clips) / len(clips) if clips else np.nan


def _mean(clips: list[Clip], fault: str) -> float:
    values = scores(clips, fault)
    values = values[np.isfinite(values)]
    return float(values.mean()) if len(values) else np.nan
