"""How the arm is held: elbow angle, forearm slope, palm, elbow height."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES, side_sign
from .curves import Curve
from .events import ArmStrokes
from .measures_lines import PLANAR, hand_ahead, mid_recovery
from .readout import Readout
from .strokes import Strokes

DEPTH_M = 0.30  # of `elbow_at_30cm_depth`


def elbows(strokes: Strokes) -> list[Readout]:
    """Elbow angle at named instants, and its least value in the backward movement. [deg]"""
    readouts = []
    for side in SIDES:
        arm, track = strokes.cycles[side], strokes.track
        joints = tuple(f"{side}_{name}" for name in ("shoulder", "elbow", "wrist"))
        hand = f"{side}_knuckles"
        height = track.signal(("height", hand), lambda p: p[:, 2], hand)
        deep = height.first_crossing(arm.entry, arm.exit, rising=False, level=-DEPTH_M)
        instants = {
            "elbow_at_entry": arm.entry,
            "elbow_at_start_backward": arm.start_backward,
            "elbow_at_30cm_depth": deep,
            "elbow_at_shoulder_plane": arm.shoulder_plane,
            "elbow_at_end_backward": arm.end_backward,
            "elbow_at_exit": arm.exit,
        }
        angles = included_deg(*track.together(joints, np.array(list(instants.values()))))
        for (name, times), angle in zip(instants.items(), angles, strict=True):
            readouts.append(Readout(name, side, angle, joints, times))
        bend = track.signal(("elbow", side), included_deg, *joints)
        times, least = bend.extreme(arm.start_backward, arm.end_backward, highest=False)
        readouts.append(Readout("elbow_least", side, least, joints, times))
    return readouts


def included_deg(shoulder: np.ndarray, elbow: np.ndarray, wrist: np.ndarray) -> np.ndarray:
    """Included angle shoulder-elbow-wrist, 180 straight, of points (n, 3). [deg]"""
    upper, fore = shoulder - elbow, wrist - elbow
    return between_deg(upper, fore)


def between_deg(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Angle between vectors (..., 3), 0 to 180; exact near both ends. [deg]"""
    return np.degrees(np.arctan2(size(cross(one, other)), (one * other).sum(axis=-1)))


def cross(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Cross product of vectors (..., 3)."""
    (ax, ay, az), (bx, by, bz) = np.moveaxis(one, -1, 0), np.moveaxis(other, -1, 0)
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1)


def size(vectors: np.ndarray) -> np.ndarray:
    """Length of vectors (..., k)."""
    return np.sqrt((vectors * vectors).sum(axis=-1))


def slope_deg(near: np.ndarray, far: np.ndarray) -> np.ndarray:
    """Slope of near -> far below the horizontal, side plane; 90 upright, above 90 pointing back. [deg]"""
    dx, dz = far[..., 0] - near[..., 0], far[..., 2] - near[..., 2]
    angle = np.degrees(np.arctan2(-dz, dx))
    return np.where(angle < -90, angle + 360, angle)


def _reaches(strokes: Strokes, near: str, far: str, slope: float) -> Curve:
    """Curve that rises through zero when the slope of near -> far comes to `slope` degrees. [m]"""
    cosine, sine = np.cos(np.radians(slope)), np.sin(np.radians(slope))

    def make(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        return -(b[:, 2] - a[:, 2]) * cosine - (b[:, 0] - a[:, 0]) * sine

    return strokes.track.signal(("slope", near, far, slope), make, near, far)


def forearms(strokes: Strokes) -> list[Readout]:
    """Forearm slope at named instants [deg], wrist below elbow [1], hand ahead at 75 degrees [cm]."""
    readouts = []
    for side in SIDES:
        arm = strokes.cycles[side]
        shoulder, elbow, wrist = (f"{side}_{name}" for name in ("shoulder", "elbow", "wrist"))
        at_45 = _reaches(strokes, shoulder, elbow, 45.0).first_crossing(arm.entry, arm.exit, rising=True)
        third = arm.start_backward + (arm.shoulder_plane - arm.start_backward) / 3
        instants = {
            "forearm_slope_at_45": at_45,
            "forearm_slope_at_start_backward": arm.start_backward,
            "forearm_slope_at_third_of_pull": third,
            "forearm_slope_at_shoulder_plane": arm.shoulder_plane,
        }
        ends = strokes.track.together((elbow, wrist), np.array(list(instants.values())))
        for (name, times), slope in zip(instants.items(), slope_deg(*ends), strict=True):
            joints = (shoulder, elbow, wrist) if name.endswith("_45") else (elbow, wrist)
            readouts.append(Readout(name, side, slope, joints, times))
        readouts += [_wrist_below(strokes, side, third), _ahead_at_75(strokes, side, arm)]
    return readouts


def _wrist_below(strokes: Strokes, side: str, times: np.ndarray) -> Readout:
    elbow, wrist = f"{side}_elbow", f"{side}_wrist"
    high, low = strokes.track.together((elbow, wrist), times)[..., 2]
    below = high - low
    length = strokes.length_m(elbow, wrist)
    share = below / length if length > 0 else np.full(len(below), np.nan)
    return Readout("wrist_below_elbow_third_of_pull", side, share, (elbow, wrist), times)


def _ahead_at_75(strokes: Strokes, side: str, arm: ArmStrokes) -> Readout:
    elbow, wrist, hand, shoulder = (f"{side}_{n}" for n in ("elbow", "wrist", "knuckles", "shoulder"))
    times = _reaches(strokes, elbow, wrist, 75.0).first_crossing(arm.entry, arm.exit, rising=True)
    ahead = hand_ahead(strokes, side).at(times)
    return Readout("hand_ahead_at_75", side, 100 * ahead, (elbow, wrist, hand, shoulder), times)


def palms_and_recovery(strokes: Strokes) -> list[Readout]:
    """Palm at the hip line and at entry, elbow in mid-recovery [deg]; elbow above wrist there [cm]."""
    track, readouts = strokes.track, []
    for side in SIDES:
        arm = strokes.cycles[side]
        hand, hip, elbow, wrist = (f"{side}_{n}" for n in ("knuckles", "hip", "elbow", "wrist"))
        middle = mid_recovery(arm)
        high, low = track.together((elbow, wrist), middle)[..., 2]
        readouts.append(Readout("elbow_above_wrist", side, 100 * (high - low), (elbow, wrist), middle))
        joints = (f"{side}_shoulder", elbow, wrist)
        bend = included_deg(*track.together(joints, middle))
        readouts.append(Readout("elbow_at_mid_recovery", side, bend, joints, middle))
        readouts.append(_palm_out(strokes, side, arm.entry))
        past_hip = track.signal(("past_hip", side), lambda a, b: a[:, 0] - b[:, 0], hand, hip)
        begin = np.where(np.isnan(arm.start_backward), arm.entry, arm.start_backward)
        passing = past_hip.first_crossing(begin, arm.end_backward, rising=False)
        seen = past_hip.readable(begin, arm.end_backward)
        times = np.where(np.isnan(passing) & seen, arm.end_backward, passing)
        readouts.append(_palm(strokes, side, times))
    return readouts


def _palm_out(strokes: Strokes, side: str, times: np.ndarray) -> Readout:
    """Turn of the palm about the line elbow to wrist, from as far down as that lets it face, outward +. [deg]"""
    names = tuple(f"{side}_{n}" for n in ("elbow", "wrist", "knuckles", "thumb_tip"))
    elbow, wrist, knuckles, thumb = strokes.track.together(names, times)
    sign, forearm = side_sign(side), wrist - elbow
    normal = sign * cross(knuckles - wrist, thumb - wrist)
    with np.errstate(invalid="ignore", divide="ignore"):
        along = forearm / size(forearm)[:, None]
        plain = np.array([0.0, 0.0, -1.0]) + along[:, 2:] * along  # straight down, square to the forearm
        aside = sign * cross(along, plain)
        angle = np.degrees(np.arctan2((normal * aside).sum(1), (normal * plain).sum(1)))
        seen = (size(normal) > 1e-6) & (not strokes.track.planar)
    reason = PLANAR if strokes.track.planar else None
    return Readout("palm_out_at_entry", side, np.where(seen, angle, np.nan), names, times, reason=reason)


def _palm(strokes: Strokes, side: str, times: np.ndarray) -> Readout:
    """Angle of the palm normal from straight back; wrist, knuckles and thumb tip span the palm. [deg]"""
    names = tuple(f"{side}_{n}" for n in ("wrist", "knuckles", "thumb_tip"))
    wrist, knuckles, thumb = strokes.track.together(names, times)
    normal = side_sign(side) * cross(knuckles - wrist, thumb - wrist)
    with np.errstate(invalid="ignore", divide="ignore"):
        angle = np.degrees(np.arctan2(size(normal[:, 1:]), -normal[:, 0]))
        angle = np.where((size(normal) > 1e-6) & (not strokes.track.planar), angle, np.nan)
    reason = PLANAR if strokes.track.planar else None
    return Readout("palm_at_hip_line", side, angle, (*names, f"{side}_hip"), times, reason=reason)
