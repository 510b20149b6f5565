"""Arms of one camera: each limb turned out of the picture as far as it looks too short."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..ground.conventions import SIDES
from ..ground.rays import meet, rays
from ..ground.records import Camera
from .seen_body import body_share
from .seen_views import View

SMOOTH_HZ = 6.0  # of the pixels that set the coordinate that is not seen
TURN_HZ = 1.5  # of the hand where its direction is told: below twice the stroke rate
GENTLE = 0.4  # share of its mean speed at which the hand turns softly (this and the next are choices of ours)
IN_AIR_M = 0.10  # a hand this high is in the air
BESIDE_M = 0.45  # a wrist less far ahead of or behind the shoulder swings wide there
AHEAD, STRAIGHT = (0.85, 1.1), 0.7  # of that distance ahead: there the elbow lies nearly in line
_PARTS = ("shoulder", "elbow", "wrist", "knuckles", "fingertip", "thumb_tip")
#: Endings of the joints whose level is not that of a body stretched out.
MOVED = tuple(f"_{part}" for part in (*_PARTS, "hip"))


def arm_levels(
    camera: Camera, pixels: np.ndarray, level: np.ndarray, *, names: tuple[str, ...], view: View, stature_m: float,
    time_s: np.ndarray,
) -> np.ndarray:  # fmt: skip
    """The levels with those of the arms set by the lengths of their limbs, shape (n_frames, n_joints). [m]"""
    origins, along = rays(camera, _calm(pixels, time_s, SMOOTH_HZ))
    first = meet(origins, along, view.hidden, level)
    size = {name: stature_m * body_share(name) for name in _SIZES}
    rolled = level.copy()
    if view.kind == "side":
        _roll_levels(rolled, first, names)
    for side in SIDES:
        joints = {part: names.index(f"{side}_{part}") for part in _PARTS if f"{side}_{part}" in names}
        if len(joints) < len(_PARTS):
            continue
        (upper, fore), swings = _signs(first, joints, side, view=view, time_s=time_s)
        place = {"shoulder": first[:, joints["shoulder"]].copy()}
        place["shoulder"][:, view.hidden] = rolled[:, joints["shoulder"]]
        for base, part, length, sign in (
            ("shoulder", "elbow", "upper_arm", upper),
            ("elbow", "wrist", "forearm", fore),
        ):
            ray = origins[:, joints[part]], along[:, joints[part]]
            place[part] = on_sphere(*ray, place[base], size[length], sign * -view.towards)
            set_to = place[part][:, view.hidden] - level[:, joints[part]]
            if part == "wrist":
                set_to *= swings
            level[:, joints[part]] += set_to
        if view.kind == "side":
            _carry_on(level, joints, size, swings)
            _thumb_level(level, first, joints, size=size, inward=-1.0 if side == "left" else 1.0)
        else:
            _carry_on(level, joints, size, swings)
    if view.kind == "side":
        trunk = [i for i, name in enumerate(names) if name.endswith(("_shoulder", "_hip"))]
        level[:, trunk] = rolled[:, trunk]
    return _calm(level, time_s, SMOOTH_HZ)


_SIZES = ("upper_arm", "forearm", "hand_to_knuckles", "hand_to_fingertip", "thumb_along", "thumb_across")


def _roll_levels(level: np.ndarray, points: np.ndarray, names: tuple[str, ...]) -> None:
    """Shoulders and hips of a side view brought in as far as their difference in height says."""
    for part in ("shoulder", "hip"):
        if not {f"{side}_{part}" for side in SIDES} <= set(names):
            continue
        left, right = (names.index(f"{side}_{part}") for side in SIDES)
        half = abs(level[0, left] - level[0, right]) / 2
        rise = (points[:, left, 2] - points[:, right, 2]) / 2
        across = np.sqrt(np.maximum(half**2 - rise**2, 0.0))
        level[:, left], level[:, right] = across, -across


def _signs(
    points: np.ndarray, joints: dict[str, int], side: str, *, view: View, time_s: np.ndarray
) -> tuple[tuple[np.ndarray, np.ndarray], np.ndarray]:
    """Which way upper arm and forearm point along the axis that is not seen, -1 to 1, and how far the wrist follows."""
    ones = np.ones(len(points))
    if (
        view.kind == "side"
    ):  # the elbow lies outside the shoulder; the wrist before it, but swings wide in the air
        out = ones if side == "left" else -ones
        ahead = points[:, joints["wrist"], 0] - points[:, joints["shoulder"], 0]
        past = ahead / BESIDE_M
        bent = 1 - STRAIGHT * np.clip((past - AHEAD[0]) / (AHEAD[1] - AHEAD[0]), 0, 1)
        return (out * bent, out), np.clip(2 * _way(ahead, time_s), 0, 1) * np.clip(1 - past**4, 0, 1)
    hand = points[:, joints["knuckles"]]
    if view.kind == "below":  # under the body while it goes back
        sign = _way(hand[:, 0] - points[:, joints["shoulder"], 0], time_s)
        return (sign, sign), ones
    # ahead while the hand goes down; in the air the forearm is ahead while the hand comes in
    upper = -_way(hand[:, 2], time_s)
    inward = _way(hand[:, 1] * (-1 if side == "left" else 1), time_s)
    air = np.clip(hand[:, 2] / IN_AIR_M, 0, 1)
    return (upper, (1 - air) * upper + air * inward), ones


def _way(moves: np.ndarray, time_s: np.ndarray) -> np.ndarray:
    """Direction of a slow motion: -1 to 1, softly through 0 where it turns."""
    speed = np.gradient(_calm(moves[:, None], time_s, TURN_HZ)[:, 0])
    return speed / np.hypot(speed, GENTLE * np.sqrt(np.mean(speed**2)) + 1e-12)


def _carry_on(
    level: np.ndarray, joints: dict[str, int], size: Mapping[str, float], share: np.ndarray
) -> None:
    """The hand carries the forearm on, where `share` is 1; where it is 0 it lies straight before the wrist."""
    wrist = level[:, joints["wrist"]]
    step = share * (wrist - level[:, joints["elbow"]]) / size["forearm"]
    for part, length in (
        ("knuckles", "hand_to_knuckles"),
        ("fingertip", "hand_to_fingertip"),
        ("thumb_tip", "thumb_along"),
    ):
        level[:, joints[part]] = wrist + step * size[length]


def _thumb_level(
    level: np.ndarray, points: np.ndarray, joints: dict[str, int], *, size: Mapping[str, float], inward: float
) -> None:
    """The thumb lies beside the hand, on its side towards the midline, as far as is not seen of its distance."""
    share = size["thumb_along"] / size["hand_to_fingertip"]
    base = (1 - share) * points[:, joints["wrist"]] + share * points[:, joints["fingertip"]]
    seen = ((points[:, joints["thumb_tip"]] - base)[:, [0, 2]] ** 2).sum(axis=1)
    level[:, joints["thumb_tip"]] += inward * np.sqrt(np.maximum(size["thumb_across"] ** 2 - seen, 0.0))


def on_sphere(
    origins: np.ndarray, along: np.ndarray, centres: np.ndarray, radius: float, sign: np.ndarray
) -> np.ndarray:
    """Where rays meet spheres: the nearer or the farther point, or the ray's nearest point to the centre.

    Parameters
    ----------
    origins, along, centres : numpy.ndarray, shape (n, 3)
        Ray origins [m], unit directions, centres [m].
    radius : float
        Of the spheres. [m]
    sign : numpy.ndarray, shape (n,)
        -1 for the farther point, +1 for the nearer one; in between a place between them.

    Returns
    -------
    numpy.ndarray, shape (n, 3)
    """
    foot = ((centres - origins) * along).sum(axis=1)
    aside = ((origins + foot[:, None] * along - centres) ** 2).sum(axis=1)
    half = np.sqrt(np.maximum(radius**2 - aside, 0.0))
    return origins + (foot - sign * half)[:, None] * along


def _calm(values: np.ndarray, time_s: np.ndarray, cutoff_hz: float) -> np.ndarray:
    """Columns with gaps filled by straight lines, smoothed without lag; zeros where nothing is known."""
    from .filtering import smooth

    flat = values.reshape(len(values), -1).copy()
    for column in np.flatnonzero(np.isnan(flat).any(axis=0)):
        known = np.isfinite(flat[:, column])
        flat[:, column] = np.interp(time_s, time_s[known], flat[known, column]) if known.any() else 0.0
    rate = (len(time_s) - 1) / (time_s[-1] - time_s[0])
    if len(flat) > 12 and cutoff_hz < rate / 2:
        flat = smooth(flat, cutoff_hz=cutoff_hz, rate_hz=rate)
    return flat.reshape(values.shape)
