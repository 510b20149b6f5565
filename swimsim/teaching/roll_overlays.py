"""What is drawn for each fault of the roll: lines through hips and shoulders, and curves over the period."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..ground.records import Drawn, Gauge
from ..motion.body_truth import SAMPLES, rolls
from ..motion.kinematics import Motion
from .geometry import DEG, UP, Points, around, chain, unit

HIP_TARGET = (15.0, 40.0)  # [deg]
SHOULDER_TARGET = (40.0, 60.0)  # [deg]
LAG_TARGET = (0.0, 15.0)  # [% of the cycle]
DIP_TARGET = (95.0, 100.0)  # of the peak [%]
DIP_SHOWN = 60.0  # the part of the peak that the curve of a double bump shows [%]
HALF_M = {"hip": 0.25, "shoulder": 0.22}  # half length of the line drawn through two joints [m]
WINDOW = 0.08  # cycle before and after the roll peak in which the arc is shown
ALWAYS = (0.0, 1.0)
FLAT_DEG = 1e-6  # less hip roll than this has no peak [deg]


def flat_hips(body: Points, key: float) -> tuple[Drawn, ...]:
    """Hip line against the level, with the shoulder line for comparison."""
    return _tilted(body, key, "hip", HIP_TARGET)


def over_rotation(body: Points, key: float) -> tuple[Drawn, ...]:
    """Shoulder line against the level, with the hip line for comparison."""
    return _tilted(body, key, "shoulder", SHOULDER_TARGET)


def _tilted(body: Points, key: float, name: str, band: tuple[float, float]) -> tuple[Drawn, ...]:
    """One joint line, its tilt from the level and the band it should lie in; the other line faintly."""
    middle, out = _middle_and_side(body, name)
    level = out * np.array([1.0, 1.0, 0.0])
    reach = HALF_M[name]
    tilt = np.arctan2(out[:, 2], body.sign * out[:, 1]) * DEG
    shares = around(key, WINDOW, WINDOW)
    target = [middle + reach * _raised(level, angle) for angle in band]
    return (
        Drawn("arc", chain(middle, *target), shares=shares, tone="target"),
        Drawn("line", chain(middle, middle + reach * unit(level)), shares=shares, tone="guide"),
        _line(body, "hip" if name == "shoulder" else "shoulder", tone="guide"),
        _line(body, name),
        Drawn(
            "arc",
            chain(middle, middle + reach * unit(level), middle + reach * unit(out)),
            tilt,
            shares=shares,
        ),
    )


def shoulder_driven(body: Points, key: float) -> tuple[Drawn, ...]:
    """Shoulder line and hip line."""
    return (_line(body, "shoulder", tone="guide"), _line(body, "hip"))


def double_bump(body: Points, key: float) -> tuple[Drawn, ...]:
    """Hip line, and the level."""
    middle, out = _middle_and_side(body, "hip")
    level = HALF_M["hip"] * unit(out * np.array([1.0, 1.0, 0.0]))
    return (Drawn("line", chain(middle - level, middle + level), tone="guide"), _line(body, "hip"))


def roll_gauge(body: Points) -> Gauge:
    """Hip roll against shoulder roll."""
    return Gauge(_title(body), _curves(body), band=HIP_TARGET, period_cycles=_period(body))


def shoulder_gauge(body: Points) -> Gauge:
    """The same curves, the shoulders first, with the band of shoulder roll."""
    hips, shoulders = _curves(body)
    return Gauge(_title(body), (shoulders, hips), band=SHOULDER_TARGET, period_cycles=_period(body))


def lag_gauge(body: Points) -> Gauge:
    """The same curves, with the hips' lag behind the shoulders."""
    return Gauge(_title(body), _curves(body), period_cycles=_period(body), lag=LAG_TARGET)


def dip_gauge(body: Points) -> Gauge:
    """Hip roll as a share of the peak of its half-cycle: the upper part, where a second peak shows."""
    motion, period = body.swum.motion, _period(body)
    grid = np.arange(SAMPLES * period) / SAMPLES
    peaks = np.zeros(2 * period)
    np.maximum.at(peaks, _half(motion, grid), np.abs(rolls(motion, grid)["hip"]) * DEG)
    share = body.trace.time_s * motion.frame.rate
    part = 100 * np.abs(_roll(body, "hip")) / np.maximum(peaks[_half(motion, share)], FLAT_DEG)
    curve = np.where(part >= DIP_SHOWN, part, np.nan)
    return Gauge("hip roll, % of its peak", (("hips", curve),), "%", DIP_TARGET, period)


def _half(motion: Motion, share: np.ndarray) -> np.ndarray:
    """Number of the half-cycle of hip roll within the period, at cycle shares of the right arm."""
    roll = motion.pattern.roll
    after = share - roll.roll_peak_share + 0.25 - roll.hip_lag_share
    return np.floor(2 * after).astype(int) % (2 * motion.period_cycles)


def _title(body: Points) -> str:
    return f"roll, {body.side} side up"


def _curves(body: Points) -> tuple[tuple[str, np.ndarray], ...]:
    return (("hips", _roll(body, "hip")), ("shoulders", _roll(body, "shoulder")))


def _roll(body: Points, line: str) -> np.ndarray:
    """Roll with this side up, in every frame. [deg]"""
    motion = body.swum.motion
    return body.sign * rolls(motion, body.trace.time_s * motion.frame.rate)[line] * DEG


def _period(body: Points) -> int:
    return body.swum.motion.period_cycles


def _middle_and_side(body: Points, name: str) -> tuple[np.ndarray, np.ndarray]:
    """Middle of a joint line, and the vector from it to this side's joint."""
    ends = [body.trace.joint(f"{side}_{name}") for side in ("left", "right")]
    middle = (ends[0] + ends[1]) / 2
    return middle, body.joint(name) - middle


def _line(body: Points, name: str, *, tone: str = "main") -> Drawn:
    middle, out = _middle_and_side(body, name)
    more = HALF_M[name] * unit(out)
    return Drawn("line", chain(middle - more, middle + more), shares=ALWAYS, tone=tone)


def _raised(level: np.ndarray, angle_deg: float) -> np.ndarray:
    """A level direction raised by an angle."""
    return np.cos(angle_deg / DEG) * unit(level) + np.sin(angle_deg / DEG) * UP


@dataclass(frozen=True)
class RollFault:
    """Lines over the body and curves beside it."""

    drawn: Callable[[Points, float], tuple[Drawn, ...]]
    gauge: Callable[[Points], Gauge]


ROLL = {
    "flat_hips": RollFault(flat_hips, roll_gauge),
    "shoulder_driven": RollFault(shoulder_driven, lag_gauge),
    "double_bump": RollFault(double_bump, dip_gauge),
    "over_rotation": RollFault(over_rotation, shoulder_gauge),
}
