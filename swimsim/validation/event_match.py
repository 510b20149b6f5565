"""Events found against true ones: matched one to one inside a window, by maximum matching.

- As many pairs as possible, and among those the least total time error. A hit exactly on the edge counts.
- Only found events inside the time that the truth covers (widened by the window) are counted: what lies
  outside can be neither right nor wrong.
- Nothing true, or nothing found, leaves recall or precision undefined: NaN with the counts beside it, never
  0.
- Bias, SD and RMS exist for matched pairs only, so read them together with precision and recall.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ..ground.conventions import EVENTS, SIDES
from ..ground.records import Event

_EDGE_S = 1e-9  # rounding of times; a hit on the edge counts


@dataclass(frozen=True)
class EventScore:
    """Score of one kind of event on one side (None: both)."""

    event: str
    side: str | None
    n_true: int
    n_found: int
    n_matched: int
    precision: float
    recall: float
    f: float
    bias_s: float
    sd_s: float
    rms_s: float

    def __str__(self) -> str:
        return (
            f"{self.event:15} {self.side or 'both':5} true {self.n_true} found {self.n_found} matched "
            f"{self.n_matched}; precision {self.precision:.3f} recall {self.recall:.3f} F {self.f:.3f}; "
            f"bias {1000 * self.bias_s:.1f} ms SD {1000 * self.sd_s:.1f} ms"
        )


def match_times(true_s: np.ndarray, found_s: np.ndarray, *, within_s: float) -> np.ndarray:
    """Pairs of indices (true, found), shape (n_pairs, 2): as many as can be, then the nearest ones."""
    from scipy.optimize import linear_sum_assignment

    true_s, found_s = np.asarray(true_s, float), np.asarray(found_s, float)
    if not len(true_s) or not len(found_s):
        return np.empty((0, 2), int)
    apart = np.abs(found_s[None, :] - true_s[:, None])
    near = apart <= within_s + _EDGE_S
    too_far = (within_s + 1) * (min(apart.shape) + 1)
    pairs = np.stack(linear_sum_assignment(np.where(near, apart, too_far)), axis=1)
    return pairs[near[pairs[:, 0], pairs[:, 1]]]


def score_times(true_s: np.ndarray, found_s: np.ndarray, *, within_s: float) -> dict[str, float]:
    """Counts, precision, recall, F, and bias, SD (n-1) and RMS of the matched pairs. [s]"""
    true_s, found_s = np.sort(np.asarray(true_s, float)), np.sort(np.asarray(found_s, float))
    pairs = match_times(true_s, found_s, within_s=within_s)
    apart = found_s[pairs[:, 1]] - true_s[pairs[:, 0]]
    n_true, n_found, n = len(true_s), len(found_s), len(pairs)
    return {
        "n_true": n_true,
        "n_found": n_found,
        "n_matched": n,
        "precision": n / n_found if n_found else np.nan,
        "recall": n / n_true if n_true else np.nan,
        "f": 2 * n / (n_true + n_found) if n_true + n_found else np.nan,
        "bias_s": float(apart.mean()) if n else np.nan,
        "sd_s": float(apart.std(ddof=1)) if n > 1 else np.nan,
        "rms_s": float(np.sqrt((apart**2).mean())) if n else np.nan,
    }


def score_events(
    true: Iterable[Event],
    found: Iterable[Event],
    *,
    within_s: float = 0.05,
    between_s: tuple[float, float] | None = None,
) -> tuple[EventScore, ...]:
    """One score for each kind of event and side.

    Parameters
    ----------
    within_s : float
        Half width of the window. [s]
    between_s : (float, float), optional
        Only events, true or found, between these times count; for events that fall on the very first or last
        frame of a record. Default: what the truth covers. [s]
    """
    true, found = tuple(true), tuple(found)
    times = [event.time_s for event in true]
    low, high = between_s or ((min(times) - within_s, max(times) + within_s) if times else (-np.inf, np.inf))
    true, found = (tuple(e for e in events if low <= e.time_s <= high) for events in (true, found))
    return tuple(
        EventScore(
            name, side, **score_times(_times(true, name, side), _times(found, name, side), within_s=within_s)
        )
        for name in EVENTS
        for side in SIDES
    )


def _times(events: tuple[Event, ...], name: str, side: str) -> np.ndarray:
    return np.array([event.time_s for event in events if (event.event, event.side) == (name, side)])
