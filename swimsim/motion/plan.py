"""Named points of one arm's stroke: where they lie in time, which are given and which the solver moves."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..ground.tables import read_toml
from ..stroke.pattern import ArmPattern, StrokePattern
from ..swimmer.anthropometry import Body
from .arm import CURVES
from .plan_values import ahead_slopes, entry_swing, values
from .splines import Curves, least_jerk_map
from .waiting import Clock, WaitingCurves

#: Unknowns of one cycle, each moved until its target is met: (curve, point, target).
UNKNOWNS = (
    ("ahead", "entry", "elbow_at_entry_rad"),
    ("ahead", "extension", "elbow_at_extension_rad"),
    ("ahead", "start_backward", "elbow_at_30cm_depth_rad"),
    ("ahead", "shoulder_plane", "knuckles at the shoulder plane"),
    ("ahead", "exit", "exit_past_hip_m"),
    ("ahead slope", "start_backward", "knuckles still at the start of backward movement"),
    ("ahead slope", "end_backward", "knuckles still at the end of backward movement"),
    ("height slope", "deep", "hand deepest at its deep point"),
    ("outward slope", "early_pull", "hand widest at its early-pull point"),
    ("height", "entry", "fingertip at the surface"),
    ("height", "deep", "hand_depth_m"),
    ("height", "shoulder_plane", "elbow_at_shoulder_plane_rad"),
    ("height", "exit", "hand at the surface"),
    ("height", "mid_recovery", "elbow_above_wrist_m"),
    ("outward", "early_pull", "pull_line_m"),
    ("pole", "early_pull", "forearm_slope_at_45_rad"),
    ("turn", "hip", "palm_at_hip_line_rad"),
    ("outward", "mid_recovery", "elbow_at_mid_recovery_rad"),
    ("turn", "entry", "palm_out_at_entry_rad"),
    ("wait", "extension", "lead_hand_still_share"),
)

_VALUE_POINTS = {
    "ahead": (
        "entry", "extension", "start_backward", "shoulder_plane", "end_backward", "exit", "mid_recovery",
        "late_recovery",
    ),
    "outward": (
        "entry", "extension", "start_backward", "early_pull", "shoulder_plane", "end_backward", "exit", "mid_recovery",
        "late_recovery",
    ),
    "height": (
        "entry", "extension", "start_backward", "deep", "shoulder_plane", "end_backward", "exit", "mid_recovery",
        "late_recovery",
    ),
    "pole": (
        "entry", "extension", "start_backward", "early_pull", "shoulder_plane", "end_backward", "exit", "mid_recovery",
        "late_recovery",
    ),
    "girdle": ("entry", "extension", "shoulder_plane", "exit", "mid_recovery"),
    "wrist": (
        "entry", "extension", "start_backward", "early_pull", "shoulder_plane", "hip", "exit", "mid_recovery",
        "late_recovery",
    ),
    "facing": (
        "entry", "extension", "start_backward", "shoulder_plane", "end_backward", "exit", "mid_recovery",
        "late_recovery",
    ),
    "turn": (
        "entry", "start_backward", "early_pull", "shoulder_plane", "mid_push", "turn_start", "hip", "exit",
        "mid_recovery", "late_recovery",
    ),
}  # fmt: skip
_SLOPE_POINTS = {
    "ahead": ("start_backward", "end_backward", "entry", "extension", "shoulder_plane"),
    "outward": ("entry", "early_pull"),
    "height": ("deep", "entry"),
}


def point_shares(arm: ArmPattern) -> dict[str, float]:
    """Cycle share of every named point, from entry."""
    points = read_toml("arm_shape")["points"]
    catch, pull, push = arm.entry_catch_share, arm.pull_share, arm.push_share
    out, wait = catch + pull + push, arm.lead_hand_wait_share
    end = out - arm.release_share
    hip = end - 0.012
    turn_start = max(hip - arm.palm_turn_lead_share, catch + pull + 0.3 * (hip - catch - pull))
    return {
        "entry": 0.0,
        "extension": points["extension"] * (catch - wait) + wait / 2,
        "start_backward": catch,
        "early_pull": catch + points["early_pull"] * pull,
        "deep": catch + points["deep"] * pull,
        "shoulder_plane": catch + pull,
        "mid_push": (catch + pull + turn_start) / 2,
        "turn_start": turn_start,
        "hip": hip,
        "end_backward": end,
        "exit": out,
        "mid_recovery": out + points["mid_recovery"] * arm.recovery_share,
        "late_recovery": out + points["late_recovery"] * arm.recovery_share,
    }


@dataclass(frozen=True)
class ArmPlan:
    """All cycles of one arm: knot times, the linear maps to curves, given values, first guess of the unknowns.

    `times[point]` has shape (period,), on the arm's own clock [cycle]; `first` has shape (n_unknowns, period).
    """

    period: int
    arms: tuple[ArmPattern, ...]
    times: dict[str, np.ndarray]
    maps: dict[str, np.ndarray]
    given: dict[str, dict[str, np.ndarray]]
    slopes: dict[str, dict[str, np.ndarray]]
    first: np.ndarray
    clock: Clock

    @property
    def steered(self) -> np.ndarray:
        """Cycles in which the time that the lead hand lies still is a target, shape (period,)."""
        return np.array([arm.lead_hand_still_share > 0 for arm in self.arms])

    def curves(self, unknowns: np.ndarray) -> Curves | WaitingCurves:
        """Curves for values (n_unknowns, period) of the unknowns."""
        rows = []
        moved = {(curve, point): value for (curve, point, _), value in zip(UNKNOWNS, unknowns, strict=True)}
        moved |= self._followers(moved)
        for name in CURVES:
            points = [moved.get((name, p), self.given[name].get(p)) for p in _VALUE_POINTS[name]]
            if name in _SLOPE_POINTS:
                points += [moved.get((f"{name} slope", p), self._slope(name, p)) for p in _SLOPE_POINTS[name]]
            rows.append(self.maps[name] @ np.concatenate(points))
        curves, lost = Curves(np.stack(rows), self.period), moved["wait", "extension"]
        plain = not (self.clock.waits.any() or lost.any())
        return curves if plain else WaitingCurves(curves, self.clock, lost)

    def _slope(self, curve: str, point: str) -> np.ndarray | None:
        """A given slope on the clock of the curves, which runs faster where the arm waits. [per cycle]"""
        given = self.slopes.get(curve, {}).get(point)
        return None if given is None else given / self.clock.rate

    def _followers(self, moved: dict) -> dict[tuple[str, str], np.ndarray]:
        """Points that go along with an unknown: the elbow at the start of backward movement, late recovery."""
        shape = read_toml("arm_shape")
        catch, late = shape["catch"], shape["late"]
        swung = catch["follows"] * (moved["pole", "early_pull"] - math.radians(catch["around"]))
        wide, high, turned = (
            moved["outward", "mid_recovery"],
            moved["height", "mid_recovery"],
            moved["turn", "entry"],
        )
        given = self.given
        swung_in = given["outward"]["late_recovery"] + late["outward"] * wide
        return {
            ("pole", "start_backward"): given["pole"]["start_backward"] + swung,
            ("outward", "late_recovery"): swung_in,
            ("outward slope", "entry"): entry_swing(given["outward"], swung_in, self.times) / self.clock.rate,
            ("height", "late_recovery"): given["height"]["late_recovery"] + late["height"] * high,
            ("turn", "late_recovery"): given["turn"]["late_recovery"] + late["turn"] * np.roll(turned, -1),
        }


def make_plan(pattern: StrokePattern, body: Body, *, side: str) -> ArmPlan:
    """Plan of one arm, all cycles of the period."""
    period = pattern.period_cycles
    arms = tuple(pattern.arm(side, cycle) for cycle in range(period))
    starts = np.array([cycle + arm.entry_delay_share for cycle, arm in enumerate(arms)])
    lengths = np.diff(np.append(starts, starts[0] + period))
    shares = [point_shares(arm) for arm in arms]
    times = {p: starts + lengths * np.array([s[p] for s in shares]) for p in shares[0]}
    clock = _clock(arms, starts, lengths)
    knots = {p: clock(at, np.zeros(period)) for p, at in times.items()}
    maps: dict[tuple, np.ndarray] = {}
    chosen = {}
    for name in CURVES:
        key = (_VALUE_POINTS[name], _SLOPE_POINTS.get(name, ()))
        if key not in maps:
            places = [np.concatenate([knots[p] for p in points]) if points else np.zeros(0) for points in key]
            maps[key] = least_jerk_map(places[0], period, slope_at=places[1])
        chosen[name] = maps[key]
    given, first = values(arms, body, pattern, UNKNOWNS)
    fall = read_toml("arm_shape")["height_slope"]["entry"] * pattern.stroke_length_m * np.ones(period)
    slopes = {"ahead": ahead_slopes(arms, body), "height": {"entry": fall}}
    return ArmPlan(period, arms, times, chosen, given, slopes, first, clock)


def _clock(arms, starts: np.ndarray, lengths: np.ndarray) -> Clock:
    waits = np.array([arm.lead_hand_wait_share for arm in arms])
    catch = np.array([arm.entry_catch_share for arm in arms])
    return Clock(starts, lengths, lengths * waits, lengths * (catch - waits))
