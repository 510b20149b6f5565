"""Words for a stroke that a body cannot swim: which target, and what range it can reach."""

from __future__ import annotations

import numpy as np

from ..stroke.pattern import ArmPattern, set_targets
from .frame import Frame
from .plan import UNKNOWNS, make_plan
from .unknowns import try_unknowns

GRID = 9  # values tried over the plausible range of a target


def unreachable_text(frame: Frame, side: str, left: np.ndarray) -> str:
    """Which target of which arm this body cannot reach, and the range it can."""
    body, pattern = frame.body, frame.pattern
    names = [target for _, _, target in UNKNOWNS]
    order = [names[i] for i in np.argsort(-left.max(axis=1)) if names[i] in ArmPattern.__dataclass_fields__]
    suspects = sorted(
        order, key=lambda target: target.endswith("_rad")
    )  # lengths first: they bind most often
    cycle = int(np.argmax(left.max(axis=0)))
    for target in suspects if pattern.period_cycles <= 3 else ():
        reachable = _reachable(frame, side, target)
        if reachable:
            low, high = (_door(target, v) for v in (min(reachable), max(reachable)))
            value = _door(target, getattr(pattern.arm(side, cycle), target))
            return (
                f"{side} arm: {target}: expected about {low} to {high} for this body of {body.stature_m:g} m with the "
                f"other targets as they are, got {value}"
            )
    asked = ", ".join(f"{t} {_door(t, getattr(pattern.arm(side, cycle), t))}" for t in order[:3])
    return (
        f"{side} arm: these targets cannot be reached together by this body of {body.stature_m:g} m: {asked}"
    )


def _door(target: str, value: float) -> str:
    return f"{np.degrees(value):.0f} deg" if target.endswith("_rad") else f"{value:.3f} m"


def _reachable(frame: Frame, side: str, target: str) -> list[float]:
    """Least and greatest value of one target, in its plausible range, for which the arm can be solved; or none."""
    meta = ArmPattern.__dataclass_fields__[target].metadata

    def solved(value: float, near: np.ndarray | None = None) -> np.ndarray | None:
        pattern = set_targets(frame.pattern, {f"{side}_{target}": float(value)})
        trial = Frame(pattern, frame.body, frame.motion)
        return try_unknowns(trial, make_plan(pattern, frame.body, side=side), side, near=near)

    grid = np.linspace(meta["low"], meta["high"], GRID)
    fits = {i: found for i, value in enumerate(grid) if (found := solved(value)) is not None}
    if not fits:
        return []
    low, high = min(fits), max(fits)
    return [
        grid[0] if low == 0 else _edge(solved, grid[low], grid[low - 1], fits[low]),
        grid[-1] if high == GRID - 1 else _edge(solved, grid[high], grid[high + 1], fits[high]),
    ]


def _edge(solved, good: float, bad: float, near: np.ndarray) -> float:
    """The value nearest to `bad` that still can be solved, to a 32nd of the step, each try from the last that could."""
    for _ in range(5):
        middle = (good + bad) / 2
        found = solved(middle, near)
        good, bad, near = (good, middle, near) if found is None else (middle, bad, found)
    return float(good)
