"""Words for a stroke that a body cannot swim: which target, and what range it can reach."""

from __future__ import annotations

import numpy as np

from ..stroke.pattern import ArmPattern, set_targets
from .frame import Frame
from .plan import UNKNOWNS, make_plan
from .unknowns import CHECKED, solve_unknowns


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

    def can(value: float) -> bool:
        pattern = set_targets(frame.pattern, {f"{side}_{target}": float(value)})
        plan = make_plan(pattern, frame.body, side=side)
        trial = Frame(pattern, frame.body, frame.motion)
        return solve_unknowns(trial, plan, side, insist=False)[1].max() < CHECKED

    grid = np.linspace(meta["low"], meta["high"], 9)
    fits = [i for i, value in enumerate(grid) if can(value)]
    if not fits:
        return []
    first, last = fits[0], fits[-1]
    low = grid[0] if first == 0 else _edge(can, grid[first], grid[first - 1])
    high = grid[-1] if last == len(grid) - 1 else _edge(can, grid[last], grid[last + 1])
    return [low, high]


def _edge(can, good: float, bad: float) -> float:
    """The value nearest to `bad` that still can be solved, to a 32nd of the step."""
    for _ in range(5):
        middle = (good + bad) / 2
        good, bad = (middle, bad) if can(middle) else (good, middle)
    return float(good)
