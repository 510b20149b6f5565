"""What a camera loses: one record with a unit on every setting, and the named ones of `shared/conditions.toml`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from swimsim.ground.errors import InputError, nearest
from swimsim.ground.tables import read_toml

WIDTH_PX = 1920  # width of the picture for which pixel settings are written (1080p)


@dataclass(frozen=True)
class Condition:
    """How a swimmer is filmed and how its points are found; every default loses nothing.

    Parameters
    ----------
    name : str
    rate_hz : float
        Frames a second that the camera takes. [Hz]
    saved_hz : float or None
        Frames a second by the time stamps of the file, for a slow-motion clip saved at another rate. [Hz]
    time_jitter_s : float
        Standard deviation of the time stamps. [s]
    exposure_s : float
        Time the shutter is open; the stamp marks its opening. [s]
    streak_share : float
        Over which share of its blur streak a point scatters evenly. [1]
    noise_px, wander_px : float
        Standard deviation of white and of slowly wandering noise, in a picture 1920 px wide. [px]
    wander_s : float
        Time after which the wandering noise has forgotten 63 % of where it was. [s]
    behind_times : float
        How much greater all noise is for a point behind the body. [1]
    lost_share, lost_s : float
        Share of points lost at random, and how long such a gap lasts, about. [1], [s]
    lost_behind_share : float
        Share lost of the points behind trunk or head. [1]
    lost_beyond_share : float
        Share lost of the points on the other side of the water surface than the camera. [1]
    splash_s : float
        How long the hand is lost after it enters, on average. [s]
    splash_feet_share : float
        Share lost of the points of a foot at the surface. [1]
    swap_share, swap_s : float
        Share of time in which left and right of arms, legs or face are exchanged, and for how long at a time.
    pan_deg, tilt_deg, roll_deg : float
        How far the camera stands off square: round the swimmer towards the head of a side view (to the swimmer's
        left in front and rear views), upwards, and turned about its own axis, still aimed at the swimmer. [deg]
    distance_m : float or None
        Distance of the lens from the swimmer, known to the coach; the lens is set to show the same width. [m]
    distance_error_share : float
        How much farther the camera stood than the coach believes. [1]
    scale_error_share : float
        How much larger the picture is than the coach believes. [1]
    speed_error_share : float
        How much faster a travelling camera moved than the coach believes. [1]
    lens : tuple of 5 float
        Lens distortion k1, k2, p1, p2, k3 in OpenCV order.
    refraction : bool
        Whether rays bend in the port of a camera under water, or at the surface for one above.
    calibrated : bool
        Whether the coach has measured lens and refraction; they are then in the camera of the Seen.
    """

    name: str = "exact"
    rate_hz: float = 60.0
    saved_hz: float | None = None
    time_jitter_s: float = 0.0
    exposure_s: float = 0.0
    streak_share: float = 0.5
    noise_px: float = 0.0
    wander_px: float = 0.0
    wander_s: float = 0.5
    behind_times: float = 1.0
    lost_share: float = 0.0
    lost_s: float = 0.1
    lost_behind_share: float = 0.0
    lost_beyond_share: float = 0.0
    splash_s: float = 0.0
    splash_feet_share: float = 0.0
    swap_share: float = 0.0
    swap_s: float = 0.1
    pan_deg: float = 0.0
    tilt_deg: float = 0.0
    roll_deg: float = 0.0
    distance_m: float | None = None
    distance_error_share: float = 0.0
    scale_error_share: float = 0.0
    speed_error_share: float = 0.0
    lens: tuple[float, float, float, float, float] = (0.0, 0.0, 0.0, 0.0, 0.0)
    refraction: bool = False
    calibrated: bool = False

    def __post_init__(self) -> None:
        problems = [
            text for field in fields(self) if (text := _problem(field.name, getattr(self, field.name)))
        ]
        if not problems and self.exposure_s > 1 / self.rate_hz:
            problems = [
                f"exposure_s: expected at most one frame, {1 / self.rate_hz:.4g} s, got {self.exposure_s:g}"
            ]
        if problems:
            raise InputError("\n".join(f"condition '{self.name}': {text}" for text in problems))
        object.__setattr__(self, "lens", tuple(float(k) for k in self.lens))


#: Least and greatest value of each number.
LIMITS = {
    "rate_hz": (25.0, 240.0), "saved_hz": (10.0, 240.0), "time_jitter_s": (0.0, 0.02), "exposure_s": (0.0, 0.04),
    "streak_share": (0.0, 1.0), "noise_px": (0.0, 100.0), "wander_px": (0.0, 100.0), "wander_s": (0.01, 10.0),
    "behind_times": (1.0, 20.0), "lost_share": (0.0, 0.9), "lost_s": (0.0, 2.0), "lost_behind_share": (0.0, 1.0),
    "lost_beyond_share": (0.0, 1.0), "splash_s": (0.0, 0.5), "splash_feet_share": (0.0, 0.95),
    "swap_share": (0.0, 0.45), "swap_s": (0.0, 2.0), "pan_deg": (-60.0, 60.0), "tilt_deg": (-45.0, 45.0),
    "roll_deg": (-45.0, 45.0), "distance_m": (0.5, 50.0), "distance_error_share": (-0.5, 1.0),
    "scale_error_share": (-0.5, 1.0), "speed_error_share": (-0.5, 0.5),
}  # fmt: skip
_NONE_ALLOWED = ("saved_hz", "distance_m")


def _problem(key: str, value: Any) -> str | None:
    """What is wrong with one setting; None if nothing."""
    if key == "name":
        return None if isinstance(value, str) and value else f"name: expected a name, got {value!r}"
    if key in ("refraction", "calibrated"):
        return None if isinstance(value, bool) else f"{key}: expected true or false, got {value!r}"
    if key == "lens":
        fits = isinstance(value, (tuple, list)) and len(value) == 5 and all(map(_is_number, value))
        return None if fits else f"lens: expected five numbers k1, k2, p1, p2, k3, got {value!r}"
    if value is None and key in _NONE_ALLOWED:
        return None
    low, high = LIMITS[key]
    if _is_number(value) and low <= value <= high:
        return None
    return f"{key}: expected {low:g} to {high:g}, got {value!r}"


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and bool(np.isfinite(value))


def condition_names() -> tuple[str, ...]:
    """Names of the conditions of `shared/conditions.toml`."""
    return tuple(read_toml("conditions")["condition"])


def condition_named(name: str) -> Condition:
    """One of the named conditions.

    Raises
    ------
    InputError
        Unknown name.
    """
    known = read_toml("conditions")["condition"]
    if name not in known:
        raise InputError(f"condition: expected a known condition, got '{name}'; {nearest(name, known)}")
    return _from_table({**known[name], "name": name})


def make_condition(table: Mapping[str, Any]) -> Condition:
    """A condition from settings by name; with `like` it starts from a named one.

    Raises
    ------
    InputError
        Every unknown setting and every value out of range.
    """
    table = dict(table)
    start = condition_named(table.pop("like")) if "like" in table else Condition()
    table.setdefault("name", start.name if len(table) == 0 else f"{start.name}, changed")
    return _from_table(table, start)


def _from_table(table: dict[str, Any], start: Condition | None = None) -> Condition:
    settings = {key: value for key, value in table.items() if key not in ("says", "source", "flag")}
    known = [field.name for field in fields(Condition)]
    unknown = [key for key in settings if key not in known]
    if unknown:
        name = table.get("name", "")
        raise InputError(
            "\n".join(f"condition '{name}': {key}: no such setting; {nearest(key, known)}" for key in unknown)
        )
    return replace(start or Condition(), **settings)
