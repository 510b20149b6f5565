"""From the pixels of one camera to points in the world: the coordinate that is not seen comes from the body.

Two coordinates of a point follow from its pixel once the third is set. Trunk, head and legs are set by the
proportions of the body, shoulders and hips of a side view by how far one is above the other. Each limb of the arm is
set by its length: its far joint lies where the ray of its pixel meets the sphere round its near joint (the limb's
length from the published table), or nearest to it where it passes by. Of the two meeting points one is taken

- in side views with the elbow outside the shoulder, and in the recovery with the wrist outside the elbow; under water
  the hand stays in the upright plane through the shoulder line;
- in front and rear views ahead while the hand goes down and behind while it comes up, the forearm in the air ahead
  while the hand comes in;
- from below or above under the body while the hand goes back.

Set coordinates come from smoothed pixels, so that the noise of the two that are seen stays as it is.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..ground.conventions import SIDES
from ..ground.rays import meet, onto_plane, rays
from ..ground.records import Camera, Seen, Trace
from ..ground.tables import read_toml
from .seen_sides import sides_put_right
from .seen_square import squared
from .seen_views import View, view_of

STATURE_M = 1.75  # where nobody says how tall the swimmer is (choice of ours)
SMOOTH_HZ = 6.0  # of the pixels that set the coordinate that is not seen
TURN_HZ = 1.5  # of the hand where its direction is told: below twice the stroke rate
LEAST_CONFIDENCE = 0.25
GENTLE = (
    0.4  # share of its mean speed at which the hand is taken to change its direction softly (choice of ours)
)
IN_AIR_M, BESIDE_M = (
    0.10,
    0.45,
)  # a hand this high is in the air; a wrist less far from the shoulder swings wide there
AHEAD, STRAIGHT = (0.85, 1.1), 0.7  # of that distance ahead: there the elbow lies nearly in line
BODY_DEPTH_M = 0.08  # of hips and shoulders below the surface, for views from below or above (choice of ours)


def body_share(name: str) -> float:
    """A size of the body as share of stature."""
    return float(read_toml("seen")["body"][name])


def lift(
    seen: Seen, *, stature_m: float, time_s: np.ndarray, limbs: bool = True, square: bool = True
) -> Trace:
    """World points of everything that is seen, by the camera that is believed in.

    Parameters
    ----------
    seen : Seen
    stature_m : float
        Sets the coordinate that is not seen. [m]
    time_s : numpy.ndarray, shape (n_frames,)
        Times of the frames. [s]
    limbs : bool
        False: arms stay in the upright plane through their shoulder, so that angles are those in the picture.
    square : bool
        Whether the camera is turned until the body lies along its line of travel; see `seen_square`.

    Returns
    -------
    Trace
        Where the camera travels, points are carried along by its speed of `meta["camera_speed_m_s"]`.
    """
    names = tuple(seen.joint_names)
    view = view_of(seen.camera)
    with np.errstate(invalid="ignore"):
        pixels = np.where((seen.confidence >= LEAST_CONFIDENCE)[..., None], seen.pixels, np.nan)
    pixels, mended = sides_put_right(pixels, names, time_s)
    levels, camera, turn = _body_levels(names, view, stature_m), seen.camera, 0.0
    if square:
        camera, turn = squared(camera, pixels, levels_m=levels, names=names, view=view)
    level = np.broadcast_to(levels, pixels.shape[:2])
    if limbs and any(f"{side}_shoulder" in names for side in SIDES):
        some = [i for i, name in enumerate(names) if name.endswith(_MOVED)]
        level = level.copy()
        level[:, some] = _arm_levels(
            camera, pixels[:, some], level[:, some], names=tuple(names[i] for i in some), view=view,
            stature_m=stature_m, time_s=time_s,
        )  # fmt: skip
    points = onto_plane(camera, pixels, axis=view.hidden, level_m=level)
    travelled = (
        float(seen.meta.get("camera_speed_m_s") or 0.0) * time_s
        if seen.camera.travels
        else np.zeros(len(time_s))
    )
    points[..., 0] += travelled[:, None]
    rate = float((len(time_s) - 1) / (time_s[-1] - time_s[0])) if len(time_s) > 1 else seen.rate_hz
    return Trace(time_s, points, names, rate, {**seen.meta, "turned_deg": turn, "sides_put_right": mended})


def camera_as_squared(seen: Seen, *, square: bool = True) -> Camera:
    """The camera that `lift` uses: the one that is believed in, or that one turned to be square to the body."""
    if not square:
        return seen.camera
    view, names = view_of(seen.camera), tuple(seen.joint_names)
    levels = _body_levels(names, view, float(seen.meta.get("stature_m") or STATURE_M))
    return squared(seen.camera, seen.pixels, levels_m=levels, names=names, view=view)[0]


def _body_levels(names: tuple[str, ...], view: View, stature_m: float) -> np.ndarray:
    """Where each joint lies along the axis that is not seen, for a body stretched out at the surface. [m]"""
    table = {"side": _sideways, "front": _along, "below": _upright}[view.kind]()
    return np.array([stature_m * table.get(name, 0.0) for name in names]) - (
        BODY_DEPTH_M if view.kind == "below" else 0.0
    )


def _paired(parts: Mapping[str, float], *, sided: bool) -> dict[str, float]:
    return {
        f"{s}_{part}": v * (1 if s == "left" or not sided else -1) for part, v in parts.items() for s in SIDES
    }


def _sideways() -> dict[str, float]:
    """y of each joint as share of stature."""
    arm = dict.fromkeys(
        ("shoulder", "elbow", "wrist", "knuckles", "fingertip", "thumb_tip"),
        body_share("half_shoulder_width"),
    )
    leg = dict.fromkeys(("hip", "knee", "ankle", "heel", "toe"), body_share("half_hip_width"))
    head = dict.fromkeys(("eye", "ear"), body_share("half_head_width"))
    return _paired({**arm, **leg, **head}, sided=True)


def _along() -> dict[str, float]:
    """x of each joint ahead of the mid-hip as share of stature; arms hang from the shoulder until they are set."""
    share = {name: body_share(name) for name in ("trunk", "neck", "head", "thigh", "shank", "foot")}
    neck = share["trunk"] + share["neck"]
    arm = dict.fromkeys(("shoulder", "elbow", "wrist", "knuckles", "fingertip", "thumb_tip"), share["trunk"])
    ankle = -share["thigh"] - share["shank"]
    legs = {"hip": 0.0, "knee": -share["thigh"], "ankle": ankle, "heel": ankle, "toe": ankle - share["foot"]}
    face = dict.fromkeys(("eye", "ear"), neck + share["head"] / 2)
    middle = {"thorax": share["trunk"], "neck": neck, "head_top": neck + share["head"]}
    return {
        **_paired({**arm, **legs, **face}, sided=False),
        **middle,
        "nose": neck + 0.36 * share["head"],
        "chin": neck,
    }


def _upright() -> dict[str, float]:
    return {}


_PARTS = ("shoulder", "elbow", "wrist", "knuckles", "fingertip", "thumb_tip")
_MOVED = tuple(
    f"_{part}" for part in (*_PARTS, "hip")
)  # joints whose level is not that of a body stretched out


def _arm_levels(
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
