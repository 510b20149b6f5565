"""Where the named points of one arm's stroke lie: given values, given slopes, and the first guess of the unknowns."""

from __future__ import annotations

import math

import numpy as np

from ..ground.tables import read_toml
from ..stroke.pattern import StrokePattern
from ..swimmer.anthropometry import Body

PALM_BACK = ("start_backward", "early_pull", "shoulder_plane", "mid_push", "turn_start")


def straight_arm_m(body: Body) -> float:
    """Shoulder to fingertip of the straight arm. [m]"""
    return body.upper_arm_m + body.forearm_m + body.hand_to_fingertip_m


def ahead_slopes(arms, body: Body) -> dict[str, np.ndarray]:
    """Given forward speeds of the hand against the body. [m/cycle]"""
    table = read_toml("arm_shape")["ahead_slope"]
    slopes = {point: np.full(len(arms), slope * straight_arm_m(body)) for point, slope in table.items()}
    slopes["shoulder_plane"] = slopes["shoulder_plane"] / np.array([arm.pull_share for arm in arms])
    return slopes


def entry_swing(outward: dict[str, np.ndarray], late: np.ndarray, times: dict[str, np.ndarray]) -> np.ndarray:
    """Sideways speed of the hand at entry: on to the extension point, with part of its inward swing. [m/cycle]

    Where the recovery before the entry took less time than the stroke's own does, more of the swing is kept: braked
    before the entry, it would swing back out after it and move a stroke that is not the hurried one.
    """
    line = read_toml("arm_shape")["line"]
    count = len(times["entry"])
    last = np.roll(times["late_recovery"], 1)
    last[0] -= count
    swing = (outward["entry"] - np.roll(late, 1)) / (times["entry"] - last)
    onward = (outward["extension"] - outward["entry"]) / (times["extension"] - times["entry"])
    own = np.append(times["entry"][1:], times["entry"][0] + count) - times["exit"]
    hurry = own / np.roll(own, 1)
    return onward + line["swing_kept"] * hurry ** line["swing_hurry"] * swing


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


def values(
    arms, body: Body, pattern: StrokePattern, unknowns
) -> tuple[dict[str, dict[str, np.ndarray]], np.ndarray]:
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
        "turn": {**turn, **dict.fromkeys(PALM_BACK, 0 * ones)},
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
    first = np.stack([ones * guess[curve, point] for curve, point, _ in unknowns])
    return given, first
