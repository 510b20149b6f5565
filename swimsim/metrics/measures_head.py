"""The head in a breath: when it turns, when the face is back, how far the neck is bent back, how high the mouth is."""

from __future__ import annotations

import numpy as np

from ..ground.conventions import SIDES, side_sign
from .curves import Curve
from .measures_lines import NO_BREATH, PLANAR
from .readout import Readout
from .strokes import Strokes

TURNED_DEG = 20.0  # the face has left, or is back, at this turn to the breathing side
LOOK = 0.30  # how far before and after the exit the start of the turn is looked for [cycle]
NONE_HERE = "no breath in this stroke"
_EARS, _EYES = (tuple(f"{side}_{name}" for side in SIDES) for name in ("ear", "eye"))


def breaths(strokes: Strokes) -> list[Readout]:
    """Neck extension [deg], height of the mouth [cm], start of the turn and return of the face [% of the cycle]."""
    return [readout for side in SIDES for readout in _of_side(strokes, side)]


def _of_side(strokes: Strokes, side: str) -> list[Readout]:
    arm = strokes.cycles[side]
    late = np.where(np.isnan(arm.shoulder_plane), arm.entry, arm.shoulder_plane)
    nothing = np.full(len(arm.number), np.nan)
    found = {
        "neck_extension": (_extension(strokes).extreme(late, arm.next_entry, highest=True), _neck(strokes)),
        "mouth_height": (_mouth(strokes).extreme(late, arm.next_entry, highest=True), ("nose", "chin")),
        "breath_turn_start": ((nothing, nothing), _seen(strokes)),
        "breath_face_return": ((nothing, nothing), _seen(strokes)),
    }
    if strokes.head_turn is not None:
        (start, early), (back, behind) = _turn(strokes, side)
        found["breath_turn_start"] = ((start, early), _seen(strokes))
        found["breath_face_return"] = ((back, behind), _seen(strokes))
    breath, scale = strokes.breathing[side] == 1, {"mouth_height": 100.0}
    more = {"reason": _reason(strokes, side), "due": breath}
    return [
        Readout(name, side, scale.get(name, 1.0) * np.where(breath, values, np.nan), joints, times, **more)
        for name, ((times, values), joints) in found.items()
    ]


def _reason(strokes: Strokes, side: str) -> str | None:
    if strokes.track.planar:
        return PLANAR
    if strokes.head_turn is None:
        return NO_BREATH
    return None if (strokes.breathing[side] == 1).all() else NONE_HERE


def _turn(strokes: Strokes, side: str) -> tuple[tuple[np.ndarray, np.ndarray], ...]:
    """Instants [s] of the start of the turn and the return of the face, each with its place [% of the cycle]."""
    arm, sign = strokes.cycles[side], side_sign(side)
    level, left = sign * TURNED_DEG, side == "left"
    start = strokes.head_turn.first_crossing(
        arm.exit - LOOK * arm.time_s, arm.exit + LOOK * arm.time_s, rising=left, level=level
    )
    back = strokes.head_turn.first_crossing(start, start + 0.9 * arm.time_s, rising=not left, level=level)
    part = arm.time_s / 100
    return (start, (start - arm.exit) / part), (back, (back - arm.next_entry) / part)


def _seen(strokes: Strokes) -> tuple[str, ...]:
    """Joints by which the turn of the head is seen."""
    return next((pair for pair in (_EARS, _EYES) if not strokes.track.missing(*pair)), ("nose", "neck"))


def _neck(strokes: Strokes) -> tuple[str, ...]:
    track = strokes.track
    return ("head_top", "neck", "nose", *track.hip_joints, *track.shoulder_joints)


def _extension(strokes: Strokes) -> Curve:
    """Angle from the line neck to head top towards the trunk line, on the side of the nose positive. [deg]"""
    n_hips = len(strokes.track.hip_joints)

    def make(top: np.ndarray, neck: np.ndarray, nose: np.ndarray, *ends: np.ndarray) -> np.ndarray:
        trunk = np.mean(ends[n_hips:], axis=0) - np.mean(ends[:n_hips], axis=0)
        crown, face = _unit(top - neck), nose - neck
        face = _unit(face - _dot(face, crown) * crown)
        return np.degrees(np.arctan2(_dot(trunk, face), _dot(trunk, crown)))[:, 0]

    return strokes.track.signal(("neck extension",), make, *_neck(strokes))


def _mouth(strokes: Strokes) -> Curve:
    """Height of the middle of nose and chin. [m]"""
    return strokes.track.signal(("mouth",), lambda nose, chin: (nose[:, 2] + chin[:, 2]) / 2, "nose", "chin")


def _dot(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return (a * b).sum(axis=1, keepdims=True)


def _unit(v: np.ndarray) -> np.ndarray:
    return v / np.maximum(np.linalg.norm(v, axis=1, keepdims=True), 1e-12)
