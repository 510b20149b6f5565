"""Error against frame rate and noise: the same swims seen under conditions that differ in these two alone."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from .ways import condition_of

Card = dict[str, Any]
LEAST_RUNGS = 3  # conditions of one view that make a ladder


def rungs(conditions: Iterable[str]) -> dict[str, tuple[float, float]]:
    """Frame rate [Hz] and white noise [px] of each condition that is the first one with nothing else changed.

    Empty where fewer than `LEAST_RUNGS` are.
    """
    known = {text: condition_of(text) for text in conditions}
    rest = {text: replace(one, name="rest", rate_hz=60.0, noise_px=0.0) for text, one in known.items()}
    first = next(iter(rest.values()), None)
    found = {text: (one.rate_hz, one.noise_px) for text, one in known.items() if rest[text] == first}
    return found if len(set(found.values())) >= LEAST_RUNGS else {}


def ladder(card: Mapping) -> Card:
    """Rows of error for every rung: `ladder.measures.<key>.<view>` and `ladder.events.<name>.<view>`.

    A row of a measure holds `rate_hz`, `noise_px`, `bias`, `sd`, `rmse`, `read_share` and `n` in the unit of the
    measure; one of an event `bias_s`, `sd_s`, `rmse_s`, `recall`, and `rounding_s`, the error of whole frames
    1 / (sqrt(12) rate) that an instant found between the frames should stay below.
    """
    steps = rungs(card["design"]["conditions"])
    if not steps:
        return {}
    measures = _by_view(card["measures"], steps, _measure_row)
    return {
        "rungs": [{"condition": text, "rate_hz": r, "noise_px": n} for text, (r, n) in steps.items()],
        "measures": measures,
        "events": _by_view(card["events_by_view"], steps, _event_row),
    }


def _by_view(block: Mapping, steps: Mapping[str, tuple[float, float]], row: Any) -> Card:
    found: Card = {}
    for name, conditions in block.items():
        for text, (rate, noise) in steps.items():
            for view, scores in conditions.get(text, {}).items():
                line = {"rate_hz": rate, "noise_px": noise, **row(scores, rate)}
                found.setdefault(name, {}).setdefault(view, []).append(line)
    return found


def _measure_row(scores: Mapping, rate_hz: float) -> Card:
    return {key: scores[key] for key in ("bias", "sd", "rmse", "read_share", "n")}


def _event_row(scores: Mapping, rate_hz: float) -> Card:
    bias, sd = scores["bias_s"], scores["sd_s"]
    rmse = None if bias is None or sd is None else math.hypot(bias, sd)
    rounding = 1 / (math.sqrt(12) * rate_hz)
    return {"bias_s": bias, "sd_s": sd, "rmse_s": rmse, "recall": scores["recall"], "rounding_s": rounding}
