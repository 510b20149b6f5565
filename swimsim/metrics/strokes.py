"""Both arms together: whole-body cycles, the line of travel, breathing strokes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..ground.conventions import SIDES, other_side, side_sign
from .curves import Curve
from .events import EXIT_RULE, LONGEST_CYCLE, ArmStrokes, read_arm
from .track import Track

HEAD_TURN_DEG = (
    40.0  # from straight down to the side of the arm; more counts as a breath (practice, choice of ours)
)

CLEARLY_M = 0.10  # ahead of or behind the shoulder (choice of ours)
QUICK = 0.25  # share of the cycles that are surely single ones (choice of ours)
LEG_OF_STATURE = 0.491  # thigh and shank: Drillis, Contini 1966 (shared/drillis_contini_lengths.csv)


@dataclass(frozen=True)
class Strokes:
    """What the measures stand on: the track and the strokes of both arms.

    `arms` holds every stroke seen, `cycles` only those whose cycle is closed.
    """

    track: Track
    arms: dict[str, ArmStrokes]
    cycles: dict[str, ArmStrokes]

    @cached_property
    def body(self) -> ArmStrokes:
        """Cycles of whole-body measures: those of the arm that enters first at or after t = 0."""
        return min(self.cycles.values(), key=_first_entry)

    @cached_property
    def span(self) -> tuple[float, float]:
        """Start and end of the whole cycles of the body; NaN if there is none. [s]"""
        return (self.body.entry[0], self.body.next_entry[-1]) if len(self.body.number) else (np.nan, np.nan)

    @cached_property
    def cycle_s(self) -> float:
        """Mean over both arms of the mean cycle time. [s]"""
        means = [arm.time_s.mean() for arm in self.cycles.values() if len(arm.number)]
        return float(np.mean(means)) if means else np.nan

    @cached_property
    def midline_m(self) -> float:
        """Mean y of the mid-hip over whole cycles: the line of travel. [m]"""
        track = self.track
        return track.signal(("mid_hip_y",), lambda *j: np.mean(j, axis=0)[:, 1], *track.hip_joints).mean(
            *self.span
        )

    @cached_property
    def half_shoulder_m(self) -> float:
        """Half the distance between the shoulder joint centres across the line of travel. [m]

        The median over frames, in the y-z plane: a shoulder that reaches forward moves ahead, not outward.
        """
        return self.length_m("left_shoulder", "right_shoulder", axes=(1, 2)) / 2

    @cached_property
    def sizes_m(self) -> dict[str, float]:
        """Sizes of the body that limits scale with: half shoulder width, and stature from the length of the legs.

        Hip joint to ankle is 0.491 of stature: Drillis, Contini 1966, as reproduced by Winter. [m]
        """
        bones = [
            self.length_m(f"{side}_{a}", f"{side}_{b}")
            for side in SIDES
            for a, b in (("hip", "knee"), ("knee", "ankle"))
        ]
        return {"half_shoulder_width": self.half_shoulder_m, "stature": sum(bones) / 2 / LEG_OF_STATURE}

    def filmed(self, side: str | None) -> int:
        """How many strokes of an arm (of the body for None) the record holds, by its length. [1]"""
        read = len((self.cycles[side] if side else self.body).number)
        seconds = self.track.time_s[-1] - self.track.time_s[0]
        return max(read, int(seconds / self.cycle_s) if self.cycle_s > 0 else 0)

    def length_m(self, one: str, other: str, *, axes: tuple[int, ...] = (0, 1, 2)) -> float:
        """Median distance of two joints, along the given axes. [m]"""
        known = self.track.known(one, other)
        if not known.any():
            return np.nan
        apart = self.track.frames(one)[known] - self.track.frames(other)[known]
        return float(np.median(np.linalg.norm(apart[:, axes], axis=1)))

    @cached_property
    def head_turn(self) -> Curve | None:
        """Turn of the face from straight down, positive to the left (None: not seen). [deg]"""
        track = self.track
        for pair in (("left_ear", "right_ear"), ("left_eye", "right_eye")):
            if not track.missing(*pair) and not track.planar:
                return track.signal(("head", *pair), _tilt_deg, *pair)
        if track.missing("nose", "neck") or track.planar:
            return None
        return track.signal(("head", "nose"), _off_down_deg, "nose", "neck")

    @cached_property
    def breathing(self) -> dict[str, np.ndarray]:
        """Whether the face turns to the side of the arm between its shoulder plane and its next entry.

        Returns
        -------
        dict of side to numpy.ndarray, shape (n_cycles,)
            1 for a breathing stroke, 0 for another one, NaN where the head cannot be seen.
        """
        found = {}
        for side, arm in self.cycles.items():
            found[side] = np.full(len(arm.number), np.nan)
            if self.head_turn is not None:
                start = np.where(np.isnan(arm.shoulder_plane), arm.entry, arm.shoulder_plane)
                left = side == "left"
                turn = side_sign(side) * self.head_turn.extreme(start, arm.next_entry, highest=left)[1]
                found[side] = np.where(np.isnan(turn), np.nan, turn > HEAD_TURN_DEG)
        return found


def read_strokes(track: Track, *, exit_rule: str = EXIT_RULE) -> Strokes:
    """Strokes of both arms."""
    arms = {side: read_arm(track, side, exit_rule=exit_rule) for side in SIDES}
    arms = _without_double_cycles(track, arms)
    return Strokes(track, arms, {side: arm.cycles() for side, arm in arms.items()})


def _without_double_cycles(track: Track, arms: dict[str, ArmStrokes]) -> dict[str, ArmStrokes]:
    """Arms without whole cycles that are two: the hand goes back under its shoulder twice in it, or it has a gap and
    is much longer than the others of both arms, or holds two entries of the other hand.
    """
    times = np.concatenate([arm.time_s[arm.whole] for arm in arms.values()])
    if not len(times):
        return arms
    longest = LONGEST_CYCLE * np.quantile(times, QUICK)
    found = {}
    for side, arm in arms.items():
        other = np.sort(arms[other_side(side)].entry)
        within = np.diff(np.searchsorted(other, np.stack([arm.entry, arm.next_entry])), axis=0)[0]
        tip = track.curve(f"{side}_fingertip")
        filmed = tip.readable(np.maximum(arm.entry, tip.time_s[0]), arm.next_entry)
        single = filmed | ((arm.time_s <= longest) & (within < 2))
        found[side] = replace(arm, whole=arm.whole & single & (_passes(track, side, arm) < 2))
    return found


def _passes(track: Track, side: str, arm: ArmStrokes) -> np.ndarray:
    """How often the hand goes from well ahead of its shoulder to well behind it in each cycle, gaps bridged. [1]"""
    names = f"{side}_knuckles", f"{side}_shoulder"
    if track.missing(*names):
        return np.zeros(len(arm.entry), int)
    hand, shoulder = (track.frames(name)[:, 0] for name in names)
    place = np.sign(np.trunc((hand - shoulder) / CLEARLY_M))
    sure = np.flatnonzero(place)
    back = sure[1:][(place[sure[1:]] < 0) & (place[sure[:-1]] > 0)]
    return np.diff(np.searchsorted(track.time_s[back], np.stack([arm.entry, arm.next_entry])), axis=0)[0]


def _first_entry(arm: ArmStrokes) -> tuple[bool, float]:
    late = arm.entry[arm.number >= 0]
    return (len(late) == 0, late[0] if len(late) else len(arm.number) == 0)


def _tilt_deg(left: np.ndarray, right: np.ndarray) -> np.ndarray:
    across = left - right
    return np.degrees(np.arctan2(across[:, 2], across[:, 1]))


def _off_down_deg(nose: np.ndarray, neck: np.ndarray) -> np.ndarray:
    face = nose - neck
    return np.degrees(np.arctan2(face[:, 1], -face[:, 2]))
