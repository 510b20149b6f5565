"""Named points of one arm's stroke: where they lie in time, which are given and which the solver moves."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..ground.tables import read_toml
from ..stroke.pattern import ArmPattern, StrokePattern
from ..swimmer.anthropometry import Body
from .arm import CURVES
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
_PALM_BACK = ("start_backward", "early_pull", "shoulder_plane", "mid_push", "turn_start")
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
            ("outward slope", "entry"): _entry_swing(given["outward"], swung_in, self.times)
            / self.clock.rate,
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
    given, first = _values(arms, body, pattern)
    fall = read_toml("arm_shape")["height_slope"]["entry"] * pattern.stroke_length_m * np.ones(period)
    slopes = {"ahead": _ahead_slopes(arms, body), "height": {"entry": fall}}
    return ArmPlan(period, arms, times, chosen, given, slopes, first, clock)


def _clock(arms, starts: np.ndarray, lengths: np.ndarray) -> Clock:
    waits = np.array([arm.lead_hand_wait_share for arm in arms])
    catch = np.array([arm.entry_catch_share for arm in arms])
    return Clock(starts, lengths, lengths * waits, lengths * (catch - waits))


def straight_arm_m(body: Body) -> float:
    """Shoulder to fingertip of the straight arm. [m]"""
    return body.upper_arm_m + body.forearm_m + body.hand_to_fingertip_m


def _ahead_slopes(arms, body: Body) -> dict[str, np.ndarray]:
    """Given forward speeds of the hand against the body. [m/cycle]"""
    table = read_toml("arm_shape")["ahead_slope"]
    slopes = {point: np.full(len(arms), slope * straight_arm_m(body)) for point, slope in table.items()}
    slopes["shoulder_plane"] = slopes["shoulder_plane"] / np.array([arm.pull_share for arm in arms])
    return slopes


def _entry_swing(
    outward: dict[str, np.ndarray], late: np.ndarray, times: dict[str, np.ndarray]
) -> np.ndarray:
    """Sideways speed of the hand at entry: on to the extension point, with part of its inward swing. [m/cycle]"""
    kept = read_toml("arm_shape")["line"]["swing_kept"]
    last = np.roll(times["late_recovery"], 1)
    last[0] -= len(last)
    swing = (outward["entry"] - np.roll(late, 1)) / (times["entry"] - last)
    onward = (outward["extension"] - outward["entry"]) / (times["extension"] - times["entry"])
    return onward + kept * swing


def _half_way(arms, body: Body, pattern: StrokePattern, ahead_m: float) -> tuple[np.ndarray, np.ndarray]:
    """First guess half-way through recovery: knuckles outward of the midline and above the surface. [m]

    The arm in an upright plane across the line of travel, its elbow as bent and as high as the targets say.
    """
    bend = np.array([arm.elbow_at_mid_recovery_rad for arm in arms])
    rise = np.array([arm.elbow_above_wrist_m for arm in arms])
    upper, lower = body.upper_arm_m, body.forearm_m + body.hand_to_knuckles_m
    reach = np.sqrt(upper**2 + lower**2 - 2 * upper * lower * np.cos(bend))
    along = (upper**2 - lower**2 + reach**2) / (2 * reach)
    off = np.sqrt(np.maximum(upper**2 - along**2, 0.0))
    rest = (reach - along) * body.forearm_m / lower
    size, lean = np.hypot(off, rest), np.arctan2(rest, off)
    tilt = np.clip(np.arccos(np.clip(rise / size, -1, 1)) - lean, -0.5, 1.4)
    roll = 0.8 * (pattern.roll.shoulder_roll_left_rad + pattern.roll.shoulder_roll_right_rad) / 2
    half = body.shoulder_width_m / 2
    across = np.sqrt(np.maximum((reach * np.cos(tilt)) ** 2 - ahead_m**2, 0.0))
    return half * math.cos(roll) + across, half * math.sin(
        roll
    ) - pattern.body.thorax_depth_m + reach * np.sin(tilt)


def _values(arms, body: Body, pattern: StrokePattern) -> tuple[dict[str, dict[str, np.ndarray]], np.ndarray]:
    """Given point values per curve, and the first guess of the unknowns."""
    shape = read_toml("arm_shape")
    ones = np.ones(len(arms))
    reach = straight_arm_m(body)

    def per_cycle(name):
        return np.array([getattr(arm, name) for arm in arms])

    def scaled(curve, factor):
        return {p: ones * v * factor for p, v in shape[curve].items()}

    stroke_length_m = pattern.stroke_length_m
    wide, high = _half_way(arms, body, pattern, shape["ahead"]["mid_recovery"] * reach)
    leave = -body.trunk_m - per_cycle("exit_past_hip_m")
    release = stroke_length_m * per_cycle("release_share")
    half = body.shoulder_width_m / 2
    entry = per_cycle("entry_line_m")
    late, following = shape["late"], np.roll(entry, -1)  # late recovery leads to the next entry
    extension = per_cycle("extension_line_m")
    finish, pull = per_cycle("finish_line_m"), per_cycle("pull_line_m")
    girdle = scaled("girdle", body.stature_m)
    height = scaled("height", reach)
    height["start_backward"] = -np.maximum(per_cycle("catch_depth_m"), shape["catch_depth_least_m"])
    height["late_recovery"] -= late["height"] * late["usual_height"] * reach
    pole = scaled("pole", math.pi / 180)
    entry_pole = per_cycle("entry_pole_rad")
    pole |= {"mid_recovery": per_cycle("recovery_pole_rad"), "entry": entry_pole}
    pole["late_recovery"] = late["pole"] * np.roll(entry_pole, -1) + (1 - late["pole"]) * pole["mid_recovery"]
    turn = scaled("turn", math.pi / 180)
    given = {
        "ahead": {
            "mid_recovery": ones * shape["ahead"]["mid_recovery"] * reach,
            "late_recovery": shape["ahead"]["late_recovery"] * np.sqrt(reach**2 - following**2),
            "end_backward": leave + shape["release_travel"] * release,
        },
        "outward": {
            "entry": half + entry,
            "extension": half + extension,
            "start_backward": half + np.minimum(np.minimum(0.3 * pull, pull - 0.008), 0.5 * extension),
            "shoulder_plane": half + per_cycle("mid_pull_line_m"),
            "end_backward": half + finish,
            "exit": half + finish + shape["line"]["exit_m"],
            "late_recovery": (1 - late["outward"]) * (half + following),
        },
        "height": height,
        "pole": {
            **pole,
            "start_backward": per_cycle("catch_pole_rad"),
            "shoulder_plane": per_cycle("mid_pull_pole_rad"),
        },
        "girdle": girdle,
        "wrist": {**scaled("wrist", math.pi / 180), "hip": per_cycle("wrist_extension_rad")},
        "facing": scaled("facing", math.pi / 180),
        "turn": {**turn, **dict.fromkeys(_PALM_BACK, 0 * ones)},
    }
    guess = {
        ("ahead", "entry"): 0.84 * np.sqrt(reach**2 - entry**2),
        ("ahead", "extension"): 0.90 * np.sqrt(reach**2 - extension**2),
        ("ahead", "start_backward"): 0.72 * reach,
        ("ahead", "shoulder_plane"): girdle["shoulder_plane"],
        ("ahead slope", "start_backward"): -stroke_length_m,
        ("height slope", "deep"): 0.0,
        ("outward slope", "early_pull"): 0.0,
        ("ahead slope", "end_backward"): -stroke_length_m,
        ("ahead", "exit"): leave,
        ("height", "entry"): 0.04 * reach,
        ("height", "deep"): -per_cycle("hand_depth_m"),
        ("height", "shoulder_plane"): -0.98 * per_cycle("hand_depth_m"),
        ("height", "exit"): 0.02 * reach,
        ("height", "mid_recovery"): high,
        ("outward", "early_pull"): half + pull,
        ("pole", "early_pull"): per_cycle("forearm_slope_at_45_rad") - 0.6,
        ("turn", "hip"): 0.2,
        ("outward", "mid_recovery"): wide,
        ("turn", "entry"): -per_cycle("palm_out_at_entry_rad"),
        ("wait", "extension"): 0.0,
    }
    first = np.stack([ones * guess[curve, point] for curve, point, _ in UNKNOWNS])
    return given, first
