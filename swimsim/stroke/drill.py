"""Drills as data: what the arms, the trunk, the head and the legs do over one period, from `shared/drills.toml`.

A drill repeats after its period. Whatever moves is a *track*: rests at given times, and between two rests the
move of least jerk (Flash, Hogan 1985, J Neurosci 5:1688-1703), so that every track is twice continuously
differentiable and a held limb is exactly still. Arms either follow the crawl stroke by a *clock* (which share of
the stroke they show when) or are *posed*: the channels of the hand are tracks themselves.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from ..ground.conventions import SIDES
from ..ground.errors import InputError, nearest
from ..ground.tables import read_toml

#: Channels of a posed arm, in the order of the arm's curves, with the unit they are printed in.
CHANNELS = {
    "ahead": "percent", "outward": "percent", "height": "percent", "pole": "deg", "girdle": "percent",
    "wrist": "deg", "facing": "deg", "turn": "deg",
}  # fmt: skip
REFERENCE_STATURE_M = 1.80  # for which the speeds are printed


@dataclass(frozen=True)
class Track:
    """A number over one period: rests at shares of the period, least-jerk moves between them.

    Parameters
    ----------
    at : tuple of float
        Shares 0..1 of the rests, in order.
    value : tuple of float
        One for each rest.
    gain : float
        What the number has grown by after one period: 0 for a position, whole cycles for a clock.
    """

    at: tuple[float, ...]
    value: tuple[float, ...]
    gain: float = 0.0

    def __call__(self, share: np.ndarray) -> np.ndarray:
        """Values at shares of the period; any share, counted on over the periods."""
        share = np.asarray(share, float)
        turns = np.floor(share - self.at[0])
        at = np.append(self.at, self.at[0] + 1)
        value = np.append(self.value, self.value[0] + self.gain)
        place = np.clip(share - turns, at[0], at[-1])
        number = np.clip(np.searchsorted(at, place, side="right") - 1, 0, len(self.at) - 1)
        u = (place - at[number]) / (at[number + 1] - at[number])
        moved = u * u * u * (10 - 15 * u + 6 * u * u)
        return value[number] + moved * (value[number + 1] - value[number]) + turns * self.gain

    def shifted(self, by: float) -> Track:
        """The same, later by a share of the period; `by` less than 1."""
        places = [a + by for a in self.at]
        turned = [
            (a - 1, v - self.gain) if a >= 1 else (a, v) for a, v in zip(places, self.value, strict=True)
        ]
        at, value = zip(*sorted(turned), strict=True)
        return Track(tuple(at), tuple(value), self.gain)


@dataclass(frozen=True)
class Posed:
    """An arm whose hand is placed directly: tracks of the channels of `CHANNELS`.

    `frame` is `body` (measured from the middle of the shoulders along trunk, shoulder line and back, and turned with
    the shoulders) or `pool` (ahead of the shoulders, outward of the midline, height above the surface). Lengths are
    shares of stature, angles radians.
    """

    frame: str
    channels: dict[str, Track] = field(hash=False)


@dataclass(frozen=True)
class Stroked:
    """An arm that follows the crawl stroke.

    `clock` gives the share of the arm's own stroke; None runs evenly. `detour` places the hand on another way,
    as strongly as the track `detour_weight` says; both are tracks over the arm's own stroke.
    """

    clock: Track | None
    detour: Posed | None = None
    detour_weight: Track | None = None


@dataclass(frozen=True)
class DrillPattern:
    """One drill: every number that its motion needs.

    Parameters
    ----------
    period_s : float
        After which all repeats. [s]
    cycles : int
        Strokes of each arm in a period, for arms that follow the crawl stroke.
    speed_m_s : float
        For a swimmer of 1.80 m. [m/s]
    kicks : int
        Kicks of each leg in a period.
    kick_follows : float
        Share of hip roll that the kick turns with.
    stroke : dict
        Targets of the crawl stroke (pattern fields, SI).
    body : dict
        Settings of trunk and legs (pattern fields, SI).
    rolls : (Track, Track) or None
        Shoulder and hip roll [rad]; None rolls as the stroke does.
    head : Track or None
        Turn of the head, 0 face down, positive face to the left [rad]; None turns as the stroke does.
    fist : Track
        0 open hand, 1 closed fist.
    steps : tuple of (str, float)
        What happens when, as shares of the period.
    """

    name: str
    title: str
    says: str
    period_s: float
    cycles: int
    speed_m_s: float
    kicks: int
    kick_follows: float
    stroke: dict[str, float] = field(hash=False)
    body: dict[str, float] = field(hash=False)
    breathing: tuple[str, int]
    arms: dict[str, Posed | Stroked] = field(hash=False)
    rolls: tuple[Track, Track] | None
    head: Track | None
    fist: Track
    equipment: tuple[str, ...]
    views: tuple[str, ...]
    limb: tuple[str, ...]
    steps: tuple[tuple[str, float], ...]

    @property
    def swims(self) -> bool:
        """Whether any arm follows the crawl stroke."""
        return any(isinstance(arm, Stroked) for arm in self.arms.values())


def drill_names() -> tuple[str, ...]:
    """Every drill that moves."""
    return tuple(read_toml("drills")["drill"])


@functools.cache
def drill_named(name: str) -> DrillPattern:
    """One drill.

    Raises
    ------
    InputError
        There is none of that name (the nearest is given), or its row in the table is wrong.
    """
    rows = read_toml("drills")["drill"]
    if name not in rows:
        raise InputError(f"drill: expected one of {', '.join(rows)}, got '{name}'; {nearest(name, rows)}")
    return _Row(name, rows[name]).drill()


class _Row:
    """One row of the table; what is wrong with it is said with drill and key."""

    def __init__(self, name: str, row: dict, *, period: float | None = None) -> None:
        self.name, self.row = name, row
        self.period = self._number("period_s", 0.5, 60.0) if period is None else period

    def drill(self) -> DrillPattern:
        """The row as a record."""
        self._known(self.row, _KEYS)
        row, still = self.row, Track((0.0,), (0.0,))
        rolls = row.get("roll")
        return DrillPattern(
            self.name, row["title"], row["says"], self.period, int(row.get("cycles", 1)),
            self._number("speed_m_s", 0.0, 2.0), int(row.get("kicks", 0)), float(row.get("kick_follows", 0.5)),
            _in_si(row.get("stroke", {})), _in_si(row.get("body", {})),
            tuple(row.get("breathing", ("none", 0))), self._arms(),
            None if rolls is None else tuple(self._track(rolls[k], "deg") for k in ("shoulder", "hip")),
            self._track(row["head"], "deg") if "head" in row else None,
            self._track(row["fist"], "") if "fist" in row else still,
            tuple(row.get("equipment", ())), tuple(row["views"]), tuple(row.get("limb", ())),
            tuple((label, at / self.period) for label, at in row.get("steps", ())),
        )  # fmt: skip

    def _arms(self) -> dict[str, Posed | Stroked]:
        arms = {}
        for side in SIDES:
            row = self.row.get(side, self.row.get("arms"))
            if row is None:
                raise self._wrong(side, "a table of the arm", "none")
            self._known(row, _ARM_KEYS)
            arms[side] = self._arm(row, later=row.get("left_later_s", 0.0) if side == "left" else 0.0)
        return arms

    def _arm(self, row: dict, *, later: float) -> Posed | Stroked:
        if "pose" in row:
            return self._posed(row, later=later / self.period)
        clock = row.get("clock", "even")
        detour = row.get("detour")
        gain = float(self.row.get("cycles", 1)) if isinstance(clock, list) else 0.0
        track = None if clock == "even" else self._track(clock, "percent", gain=gain)
        if track is not None and later:
            track = track.shifted(later / self.period)
        if detour is None:
            return Stroked(track)
        over = _Row(self.name, self.row, period=100.0)  # keys are percent of the stroke
        return Stroked(track, over._posed(detour, later=0.0), over._track(detour["weight"], ""))

    def _posed(self, row: dict, *, later: float) -> Posed:
        poses = read_toml("drills")["pose"]
        if row["pose"] not in poses:
            raise self._wrong("pose", f"one of {', '.join(poses)}", row["pose"])
        given = {**poses[row["pose"]], **{k: v for k, v in row.items() if k in CHANNELS}}
        channels = {
            name: self._track(given.get(name, 0.0), unit).shifted(later) for name, unit in CHANNELS.items()
        }
        return Posed(given.get("frame", "body"), channels)

    def _track(self, keys, unit: str, *, gain: float = 0.0) -> Track:
        """A number alone, or rests as [seconds, number]."""
        keys = keys if isinstance(keys, list) else [[0.0, keys]]
        factor = {"deg": math.pi / 180, "percent": 0.01, "": 1.0}[unit]
        at = tuple(float(t) / self.period for t, _ in keys)
        if any(b <= a for a, b in pairwise(at)) or not -1e-9 <= at[0] <= at[-1] < 1:
            raise self._wrong("rests", f"times in order, within {self.period:g} s", [t for t, _ in keys])
        return Track(at, tuple(float(v) * factor for _, v in keys), gain)

    def _number(self, key: str, low: float, high: float) -> float:
        value = self.row.get(key)
        if not isinstance(value, int | float) or not low <= value <= high:
            raise self._wrong(key, f"{low:g} to {high:g}", value)
        return float(value)

    def _known(self, row: dict, known: tuple[str, ...]) -> None:
        for key in row:
            if key not in known:
                raise self._wrong(key, "a known key", f"'{key}'; {nearest(key, known)}")

    def _wrong(self, key: str, expected: str, got) -> InputError:
        return InputError(f"shared/drills.toml: drill {self.name}: {key}: expected {expected}, got {got}")


_KEYS = (
    "title", "says", "period_s", "cycles", "speed_m_s", "kicks", "kick_follows", "stroke", "body", "breathing", "arms",
    "left", "right", "roll", "head", "fist", "equipment", "views", "limb", "steps",
)  # fmt: skip
_ARM_KEYS = ("pose", "weight", "frame", "clock", "detour", "left_later_s", *CHANNELS)


def _in_si(row: dict[str, float]) -> dict[str, float]:
    """Pattern fields from printed numbers, by the unit at the end of each name."""
    units = {"_deg": ("_rad", math.pi / 180), "_percent": ("_share", 0.01), "_cm": ("_m", 0.01)}
    found = {}
    for name, value in row.items():
        for unit, (si, factor) in units.items():
            if name.endswith(unit):
                found[name.removesuffix(unit) + si] = value * factor
    return found
