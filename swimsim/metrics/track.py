"""A trace made ready for reading: even times, short gaps filled, smoothed by groups of joints, as curves."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from ..ground.conventions import SIDES
from ..ground.cubic import Grid
from ..ground.records import Trace
from . import filtering, gaps
from .curves import Curve

LEAST_RATE_HZ = 24.0
LEAST_FRAMES = 8
MOSTLY = 0.7  # share of frames in which a joint must be known to tell of the noise, where none is whole
PLANAR_M = 0.03  # no joint ever farther than this beside the others: everything lies in one upright plane

#: Joints that are smoothed alike.
GROUPS = {
    "hand": ("wrist", "knuckles", "fingertip", "thumb_tip"),
    "elbow": ("elbow",),
    "shoulder": ("shoulder", "thorax", "neck"),
    "hip": ("hip", "pelvis"),
    "head": ("ear", "eye", "nose"),
    "face": ("head_top", "chin"),
    "leg": ("ankle",),
    "knee": ("knee",),
    "heel": ("heel",),
}


def _names(kind: str) -> tuple[str, ...]:
    middle = ("pelvis", "thorax", "neck", "nose", "head_top", "chin")
    return (kind,) if kind in middle else tuple(f"{side}_{kind}" for side in SIDES)


class Track:
    """Curves of the joints that the measures use.

    Parameters
    ----------
    trace : Trace
    cutoff_hz : float, "auto" or None
        Smoothing, see `filtering.choose`. [Hz]
    longest_gap_s : float
        Longest gap that is filled in. [s]

    Attributes
    ----------
    unreadable : str or None
        Why nothing can be read from this trace at all.
    smoothing : dict of group name to Smoothing
    """

    def __init__(
        self, trace: Trace, cutoff_hz: float | str | None, *, longest_gap_s: float = gaps.LONGEST_FILLED_S
    ) -> None:
        self.frame_time_s = trace.time_s
        self._positions: dict[str, np.ndarray] = {}
        self._rough: dict[str, np.ndarray] = {}
        self._known: dict[str, np.ndarray] = {}
        self._curves: dict[tuple, Curve] = {}
        self._together: dict[tuple[str, ...], np.ndarray] = {}
        self._seen: set[str] = set()
        self._place: dict[str, int] = {}
        self.smoothing: dict[str, filtering.Smoothing] = {}
        self._group = {
            name: group for group, kinds in GROUPS.items() for kind in kinds for name in _names(kind)
        }
        self.unreadable = self._prepare(trace, cutoff_hz, longest_gap_s)

    def _prepare(self, trace: Trace, cutoff_hz: float | str | None, longest_gap_s: float) -> str | None:
        even = gaps.even_times(trace.time_s)
        if len(trace.time_s) < LEAST_FRAMES:
            return f"too few frames: {len(trace.time_s)}, at least {LEAST_FRAMES} needed"
        if even is None:
            return "frame times jump too much to be read"
        self.time_s, self.grid = even, Grid(even)
        self.rate_hz = float((len(even) - 1) / (even[-1] - even[0]))
        if self.rate_hz < LEAST_RATE_HZ:
            return f"frame rate {self.rate_hz:.3g} Hz, 25 Hz or more needed"
        seen, place = gaps.usable(trace.joints_m), {name: i for i, name in enumerate(trace.joint_names)}
        for name in self._group:
            if name not in place:
                continue
            at = place[name]
            filled, known = gaps.fill(
                trace.time_s, trace.joints_m[:, at], even, longest_s=longest_gap_s, seen=seen[:, at]
            )
            if known.any():
                self._positions[name], self._known[name] = filled, known
        self._rough = dict(self._positions)
        members = {g: [name for name in self._positions if self._group[name] == g] for g in GROUPS}
        members = {group: names for group, names in members.items() if names}
        chosen = filtering.choose_all(
            [self._axes(names) for names in members.values()], rate_hz=self.rate_hz, wish=cutoff_hz
        )
        self.smoothing = dict(zip(members, chosen, strict=True))
        for group, names in members.items():
            self._smooth(names, self.smoothing[group])
        self._seen = {name for name, known in self._known.items() if known.any()}
        self._place = {name: 3 * i for i, name in enumerate(self._positions)}
        return None

    def _axes(self, names: list[str]) -> list[np.ndarray]:
        """Columns of x, of y and of z of the joints that are nearly always known, without those that stand still."""
        share = {name: self._known[name].mean() for name in names}
        whole = [name for name in names if share[name] == 1] or [n for n in names if share[n] >= MOSTLY]
        if not whole:
            return []
        stack = np.stack([self._positions[name] for name in whole], axis=2)
        moving = np.ptp(stack, axis=0) > 0
        return [stack[:, axis, moving[axis]] for axis in range(3)]

    def _smooth(self, names: list[str], chosen: filtering.Smoothing) -> None:
        reach = 2 if chosen.cutoff_hz is None else max(2, round(0.5 * self.rate_hz / chosen.cutoff_hz))
        if chosen.cutoff_hz is not None:
            stack = np.concatenate([self._positions[name] for name in names], axis=1)
            parts = np.split(
                filtering.smooth(stack, cutoff_hz=chosen.cutoff_hz, rate_hz=self.rate_hz), len(names), axis=1
            )
            self._positions.update(zip(names, parts, strict=True))
        for name in names:
            self._known[name] = gaps.shrink(self._known[name], reach)

    def missing(self, *names: str) -> tuple[str, ...]:
        """The named joints that this trace does not have."""
        return tuple(name for name in names if name not in self._seen)

    def frames(self, name: str) -> np.ndarray:
        """Smoothed positions of a joint on the even times, shape (n, 3); zeros if missing. [m]"""
        return self._positions[name] if name in self._positions else np.zeros((len(self.time_s), 3))

    def rough_frames(self, name: str) -> np.ndarray:
        """Positions of a joint on the even times before smoothing, gaps filled, shape (n, 3). [m]"""
        return self._rough[name] if name in self._rough else np.zeros((len(self.time_s), 3))

    def known(self, *names: str) -> np.ndarray:
        """Frames in which all named joints may be used."""
        if names not in self._together:
            nothing = np.zeros(len(self.time_s), bool)
            self._together[names] = np.logical_and.reduce([self._known.get(name, nothing) for name in names])
        return self._together[names]

    def curve(self, name: str) -> Curve:
        """Curve of a joint, values (n, 3). [m]"""
        return self.curves(name)

    def curves(self, *names: str) -> Curve:
        """Curve of several joints side by side, values (n, 3 len(names)), known where all of them are. [m]"""
        key = ("joints", *names)
        if key not in self._curves:
            if all(name in self._place for name in names):
                columns = np.concatenate([self._place[name] + np.arange(3) for name in names])
                values, slopes = (part[:, columns] for part in self._all)
            else:
                values, slopes = np.concatenate([self.frames(name) for name in names], axis=1), None
            self._curves[key] = Curve(self.time_s, values, self.known(*names), self.grid, slopes=slopes)
        return self._curves[key]

    @cached_property
    def _all(self) -> tuple[np.ndarray, np.ndarray]:
        """Positions and slopes of all joints side by side: one solution is quicker than one for each."""
        values = np.concatenate(list(self._positions.values()), axis=1)
        return values, self.grid.slopes(values)

    def signal(self, key: tuple, make, *names: str, rough: bool = False) -> Curve:
        """Curve of a quantity made of the frames of the named joints; made once for each key.

        With `rough` the frames are those before smoothing.
        """
        frames = self.rough_frames if rough else self.frames
        return self._kept((*key, rough), lambda: make(*(frames(name) for name in names)), *names)

    def _kept(self, key: tuple, make, *names: str) -> Curve:
        if key not in self._curves:
            self._curves[key] = Curve(self.time_s, make(), self.known(*names), self.grid)
        return self._curves[key]

    def at(self, name: str, times: np.ndarray) -> np.ndarray:
        """Position of a joint at any times, shape (n_times, 3); NaN where not known. [m]"""
        return self.curve(name).at(times)

    def together(self, names: Sequence[str], times: np.ndarray) -> np.ndarray:
        """Positions of several joints at any times, (n_names, *times.shape, 3), NaN if any is not known. [m]"""
        found = self.curves(*names).at(times)
        return np.moveaxis(found.reshape(*found.shape[:-1], len(names), 3), -2, 0)

    def noise_m(self, name: str) -> float:
        """Standard deviation of the noise found in one coordinate of a joint before smoothing. [m]"""
        smoothing = self.smoothing.get(self._group[name])
        return smoothing.noise_m if smoothing else 0.0

    def noise_left_m(self, name: str) -> float:
        """Standard deviation of the noise that smoothing left in one coordinate of a joint. [m]"""
        smoothing = self.smoothing.get(self._group[name])
        return filtering.noise_left(smoothing, self.rate_hz) if smoothing else 0.0

    @cached_property
    def planar(self) -> bool:
        """Whether everything lies in one upright plane, as in a side-view model."""
        y = [self._positions[name][self._known[name], 1] for name in self._positions]
        y = np.concatenate(y) if y else np.zeros(1)
        return bool(len(y) == 0 or np.abs(y - np.median(y)).max() < PLANAR_M)

    @cached_property
    def hip_joints(self) -> tuple[str, ...]:
        """Joints that make the mid-hip: the pelvis, or both hips."""
        return ("pelvis",) if not self.missing("pelvis") else ("left_hip", "right_hip")

    @cached_property
    def shoulder_joints(self) -> tuple[str, ...]:
        """Joints that make the head end of the trunk line: the thorax, or both shoulders."""
        return ("thorax",) if not self.missing("thorax") else ("left_shoulder", "right_shoulder")

    def mid_hip(self) -> Curve:
        """Curve of the mid-hip, values (n, 3). [m]"""
        return self.signal(("mid_hip",), lambda *joints: np.mean(joints, axis=0), *self.hip_joints)

    def nearest_frames(self, times: np.ndarray) -> np.ndarray:
        """Indices of the frames of the trace nearest to the times; -1 for NaN."""
        middles = (self.frame_time_s[1:] + self.frame_time_s[:-1]) / 2
        return np.where(np.isnan(times), -1, np.searchsorted(middles, times))
