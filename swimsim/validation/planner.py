"""The camera planner: what a coach's own camera can show, down to which severity, and which change helps most.

The file says how the camera is set up; every setting of a condition of filming may stand in it.

    view = "side_left"          # where it stands, or position_m, aim_m and field_deg of a place of its own
    like = "pool deck"          # the condition to start from
    rate_hz = 60
    noise_px = 4

The same swims are then seen as it stands, and with one thing changed at a time: more frames, steadier and sharper
points, set up square, each other named view. A fault counts as seen where at least nine of ten pairs of a clear fault
(effective severity 0.35 and more) and a clean swimmer are told apart (AUC), half of the faults are found from a known
severity on, and at most one clean swimmer in ten raises the alarm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ..ground.errors import InputError, nearest
from ..ground.tables import users_toml
from ..ground.words import safety
from ..view.cameras import VIEWS
from ..view.conditions import LIMITS, Condition
from .design import Design, read_design
from .scorecard import Card
from .ways import condition_of

SEEN_AUC = 0.9
MOST_ALARMS = 10.0  # in 100 clean swimmers
OWN = "your camera"
AS_IT_IS = "as it stands"
_PLACE = ("position_m", "aim_m", "field_deg", "travels")
_SQUARE = {"pan_deg": 0, "tilt_deg": 0, "roll_deg": 0}


@dataclass(frozen=True)
class Setup:
    """One way to set the camera up: what is changed, and the condition and view it makes."""

    says: str
    condition: str
    view: str


def read_camera(path: str | Path) -> tuple[str, str, dict[str, Any] | None]:
    """Condition, view, and the camera's own place (None: a named view) of a camera file.

    Raises
    ------
    InputError
        No such file, no TOML, or keys that do not fit.
    """
    path = Path(path)
    content = users_toml(path, "a camera file")
    try:
        return _from_keys(content)
    except InputError as error:
        raise InputError("\n".join(f"{path}: {line}" for line in str(error).splitlines())) from error


def _from_keys(content: dict[str, Any]) -> tuple[str, str, dict[str, Any] | None]:
    place = {key: content.pop(key) for key in _PLACE if key in content}
    view, like = content.pop("view", None), content.pop("like", "square")
    if (view is None) == ("position_m" not in place):
        raise InputError("expected either view or position_m (with aim_m and field_deg)")
    if view is not None and view not in VIEWS:
        raise InputError(f"view: got '{view}'; {nearest(str(view), VIEWS)}")
    if view is None and not {"position_m", "aim_m", "field_deg"} <= set(place):
        raise InputError("expected position_m, aim_m and field_deg together")
    if view is not None and place:
        raise InputError(f"expected no {', '.join(place)} beside view")
    for key, value in content.items():
        if key not in LIMITS:
            raise InputError(f"{key}: no such setting; {nearest(key, [*LIMITS, *_PLACE, 'view', 'like'])}")
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise InputError(f"{key}: expected a number, got {value!r}")
    text = " + ".join([str(like), *[f"{key}={value:g}" for key, value in content.items()]])
    condition_of(text)
    return text, view or OWN, place or None


def setups(condition: str, view: str) -> list[Setup]:
    """The camera as it stands, and each change to it that would make a difference."""
    now = condition_of(condition)
    found = [Setup(AS_IT_IS, condition, view)]
    for says, changes in _changes(now):
        found.append(Setup(says, " + ".join([condition, *[f"{k}={v:g}" for k, v in changes.items()]]), view))
    found += [Setup(f"view {name.replace('_', ' ')}", condition, name) for name in _others(view)]
    return found


def _changes(now: Condition) -> list[tuple[str, dict[str, float]]]:
    found: list[tuple[str, dict[str, float]]] = []
    if now.rate_hz < 120:
        rate = min(2 * now.rate_hz, 120.0)
        shutter = {"exposure_s": min(now.exposure_s, 0.9 / rate)} if now.exposure_s else {}
        found.append((f"{rate:g} frames a second", {"rate_hz": rate, **shutter}))
    if now.exposure_s > 1 / 500:
        found.append(("shutter 1/500 s", {"exposure_s": 1 / 500}))
    if any(getattr(now, key) for key in _SQUARE):
        found.append(("set up square", dict(_SQUARE)))
    if now.noise_px > 1 or now.lost_share > 0.02:
        half = {
            "noise_px": now.noise_px / 2,
            "wander_px": now.wander_px / 2,
            "lost_share": now.lost_share / 4,
        }
        found.append(("points twice as good", {k: v for k, v in half.items() if getattr(now, k)}))
    return found


def _others(view: str) -> list[str]:
    """Named views other than this one; one side stands for both."""
    side = "side_right" if view == "side_right" else "side_left"
    return [name for name in (side, "front", "rear", "above_front", "above_side") if name != view]


def plan_design(
    condition: str, view: str, place: Mapping[str, Any] | None, *, base: Design | None = None
) -> tuple[Design, list[Setup]]:
    """The design that tries all set-ups on the same swims: that of `shared/designs/planner.toml`, or `base`."""
    tried = setups(condition, view)
    ways = tuple((setup.condition, setup.view) for setup in tried)
    base = base or read_design("planner")
    design = replace(
        base, conditions=tuple(dict.fromkeys(c for c, _ in ways)), views=tuple(dict.fromkeys(v for _, v in ways)),
        ways=ways, cameras={} if place is None else {OWN: dict(place)},
    )  # fmt: skip
    return design, tried


def plan_rows(card: Card, tried: list[Setup]) -> list[dict[str, Any]]:
    """For each set-up: how many faults are seen, and for each fault whether, and from which severity."""
    rows = []
    for setup in tried:
        faults = {
            slug: _seen(ways.get(setup.condition, {}).get(setup.view))
            for slug, ways in card["faults"].items()
        }
        rows.append(
            {"change": setup.says, "seen": sum(fault["seen"] for fault in faults.values()), "faults": faults}
        )
    return rows


def _seen(row: Card | None) -> dict[str, Any]:
    if row is None:
        return {"seen": False, "from": None, "auc": None, "why": "not swum"}
    apart = row["auc_clear"] is not None and row["auc_clear"] >= SEEN_AUC and row["s50"] is not None
    seen = apart and row["false_alarms_per_100"] <= MOST_ALARMS
    why = "not readable" if row["not_read"] == row["faulty_clips"] else "not told apart"
    why = None if seen else "false alarms" if apart else why
    return {"seen": seen, "from": row["s50"] if seen else None, "auc": row["auc_clear"], "why": why}


def plan_words(rows: list[dict[str, Any]]) -> list[str]:
    """What the plan says, in sentences, with the cautions for filming."""
    now, others = rows[0], rows[1:]
    count = len(now["faults"])
    lines = [f"Seen as the camera stands: {now['seen']} of {count} faults."]
    best = max(others, key=lambda row: row["seen"], default=now)
    new = [s for s, fault in best["faults"].items() if fault["seen"] and not now["faults"][s]["seen"]]
    gone = [s for s, fault in now["faults"].items() if fault["seen"] and not best["faults"][s]["seen"]]
    if best["seen"] > now["seen"]:
        lines.append(f"What helps most: {best['change']} ({best['seen']} of {count}).")
        lines.append(f"Seen then as well: {_list(new)}." + (f" No more: {_list(gone)}." if gone else ""))
    else:
        lines.append("No single change that was tried lets more of them be seen.")
    both = max(
        others, key=lambda r: len({s for s, f in r["faults"].items() if f["seen"]} | _all(now)), default=now
    )
    together = _all(now) | _all(both)
    if len(together) > max(best["seen"], now["seen"]):
        lines.append(f"As it stands, and once more with {both['change']}: {len(together)} of {count}.")
    cautions = [block for block in safety() if block.topic == "consent" or "shot list" in block.where]
    return [*lines, *(f"{block.title}: {block.text}" for block in cautions)]


def _all(row: dict[str, Any]) -> set[str]:
    return {slug for slug, fault in row["faults"].items() if fault["seen"]}


def _list(slugs: list[str]) -> str:
    return ", ".join(slug.replace("_", " ") for slug in slugs)
