"""Pattern parameters under the names and units of a scenario file: angles in degrees or radians."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

from ..ground.conventions import SIDES
from ..stroke.pattern import ArmPattern, fields_by_name

_ELSEWHERE = ("stroke_rate_hz", "speed_m_s")  # they have keys of their own
DEGREE = math.pi / 180


@dataclass(frozen=True)
class Target:
    """One key of `[stroke]` that sets a pattern parameter: `value * scale` is the parameter in SI."""

    key: str
    parameter: str
    scale: float
    low: float
    high: float
    says: str


_ARM_LAG = Target(
    "arm_lag_share",
    "arm_lag_share",
    1.0,
    0.3,
    0.7,
    "cycle share by which the left hand enters after the right",
)


@functools.cache
def all_targets() -> dict[str, Target]:
    """Every key of `[stroke]` that sets a pattern parameter, by key."""
    arm = ArmPattern.__dataclass_fields__
    targets = []
    for name, spec in fields_by_name().items():
        if name not in _ELSEWHERE:
            for side in ("", *SIDES) if name in arm else ("",):
                targets += _keys(f"{side}_{name}" if side else name, side, spec.metadata)
    return {target.key: target for target in [*targets, _ARM_LAG]}


def _keys(parameter: str, side: str, spec: dict) -> list[Target]:
    says = f"{spec['says']}, {side} arm" if side else spec["says"]
    as_is = Target(parameter, parameter, 1.0, spec["low"], spec["high"], says)
    if not parameter.endswith("_rad"):
        return [as_is]
    low, high = (round(spec[end] / DEGREE, 6) for end in ("low", "high"))
    return [Target(parameter.removesuffix("_rad") + "_deg", parameter, DEGREE, low, high, says), as_is]


def to_si(given: dict[str, float]) -> dict[str, float]:
    """Pattern parameters in SI from the keys of a scenario; those of one arm come last, so that they win."""
    targets = all_targets()
    si = {targets[key].parameter: value * targets[key].scale for key, value in given.items()}
    return dict(sorted(si.items(), key=lambda item: item[0].startswith(("left_", "right_"))))


def said_twice(given: dict[str, float]) -> None:
    """Refuse one parameter given both in degrees and in radians.

    Raises
    ------
    ValueError
        Names the two keys.
    """
    for key, target in all_targets().items():
        if key in given and key != target.parameter and target.parameter in given:
            raise ValueError(f"{key}: expected {key} or {target.parameter}, got both")
